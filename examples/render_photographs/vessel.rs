//! Hollow ware: from the outside's half profile to a wall of even thickness, a rounded rim, and what it holds.
//!
//! Radii and heights are millimetres; the table is at height 0.

use crate::plan::{Model, Plan};

/// A pot turned from a half profile.
#[derive(Debug, Clone)]
pub(crate) struct Vessel {
    /// The outside from the foot's edge on the table to the top of the rim's rounded edge.
    pub(crate) outside: Vec<(f64, f64)>,
    /// The inside from the middle of its floor to the top of the rim.
    pub(crate) inside: Vec<(f64, f64)>,
    pub(crate) wall_mm: f64,
    /// Where in `outside` the rim's rounded edge begins.
    edge: usize,
}

/// Steps of the inside, in millimetres of height.
const STEP_MM: f64 = 0.1;

impl Vessel {
    /// A wall of `wall_mm` everywhere inside of `profile` (foot to rim, rising), square to it, with a rim rounded in a half circle of the same
    /// thickness. None where the profile is too short or too narrow for such a wall.
    pub(crate) fn new(profile: &[(f64, f64)], wall_mm: f64) -> Option<Self> {
        let line = dense(profile);
        let (top, half) = (line.last()?.1, wall_mm / 2.0);
        // Back from the end until the half circle on the wall is as high as the profile was.
        let (at, middle) = (1..line.len() - 1).rev().find_map(|k| {
            let (before, here) = (line[k - 1], line[k]);
            let (dr, dh) = (here.0 - before.0, here.1 - before.1);
            let length = dr.hypot(dh);
            let middle = (here.0 - dh / length * half, here.1 + dr / length * half);
            (length > 0.0 && middle.1 + half <= top).then_some((k, middle))
        })?;
        let start = (line[at].1 - middle.1).atan2(line[at].0 - middle.0);
        let arc = |from: f64, to: f64| {
            (1..=24)
                .map(move |k| from + (to - from) * f64::from(k) / 24.0)
                .map(move |a| (middle.0 + half * a.cos(), middle.1 + half * a.sin()))
        };
        let quarter = std::f64::consts::FRAC_PI_2;
        let mut outside = line[..=at].to_vec();
        outside.extend(arc(start, quarter));
        // The inside: at each height the greatest radius that is a wall away from the outside and from the table.
        let lip = start + std::f64::consts::PI;
        let lip_height = middle.1 + half * lip.sin();
        let mut inside = Vec::new();
        let mut height = wall_mm;
        while height < lip_height - STEP_MM {
            let greatest = line.iter().filter(|p| (p.1 - height).abs() < wall_mm).map(|p| p.0).fold(0.0, f64::max);
            let away = |r: f64| line[..=at].iter().map(|p| (p.0 - r).hypot(p.1 - height)).fold(f64::INFINITY, f64::min);
            let mut r = greatest;
            while r > 0.0 {
                let off = away(r);
                let short = if within(&line, r, height) { wall_mm - off } else { off.max(0.05) };
                if short <= 1e-6 {
                    break;
                }
                r -= short.max(1e-4);
            }
            if r > 0.0 {
                if inside.is_empty() {
                    inside.push((0.0, height));
                }
                inside.push((r, height));
            }
            height += STEP_MM;
        }
        if inside.len() < 4 {
            return None;
        }
        let mut over: Vec<(f64, f64)> = std::iter::once((middle.0 + half * lip.cos(), lip_height)).chain(arc(lip, quarter)).collect();
        inside.append(&mut over);
        Some(Self { outside, inside, wall_mm, edge: at })
    }

    /// The wall's section as a closed polygon.
    pub(crate) fn section(&self) -> Vec<(f64, f64)> {
        let mut around = vec![(0.0, 0.0)];
        around.extend(thinned(&self.outside, 0.3));
        let inside: Vec<(f64, f64)> = thinned(&self.inside, 0.3);
        around.extend(inside.iter().rev().skip(1));
        around
    }

    /// The same with the inside filled to the rim.
    pub(crate) fn filled(&self) -> Vec<(f64, f64)> {
        let mut around = vec![(0.0, 0.0)];
        around.extend(thinned(&self.outside, 0.3));
        around.push((0.0, self.height_mm()));
        around
    }

    /// Its outline from above.
    pub(crate) fn plan(&self) -> Plan {
        let wide = self.greatest_mm();
        Plan { model: Model::Circle { two: 0.0, three: 0.0 }, major_mm: wide, minor_mm: wide }
    }

    /// Height to the top of the rim.
    pub(crate) fn height_mm(&self) -> f64 {
        self.outside.last().map_or(0.0, |p| p.1)
    }

    /// Greatest diameter of the rim's rounded edge.
    pub(crate) fn rim_mm(&self) -> f64 {
        2.0 * self.outside.iter().skip(self.edge).map(|p| p.0).fold(0.0, f64::max)
    }

    /// Radius of the highest circle of the rim.
    pub(crate) fn brim_mm(&self) -> f64 {
        self.outside.last().map_or(0.0, |p| p.0)
    }

    pub(crate) fn greatest_mm(&self) -> f64 {
        2.0 * self.outside.iter().map(|p| p.0).fold(0.0, f64::max)
    }

    /// Diameter where the outside meets the table.
    pub(crate) fn foot_mm(&self) -> f64 {
        2.0 * self.outside.first().map_or(0.0, |p| p.0)
    }

    /// What it holds, level with the top of the rim: the inside as frusta of cones, V = π h (R² + R r + r²) / 3 each.
    pub(crate) fn capacity_ml(&self) -> f64 {
        let frusta = self.inside.windows(2).map(|w| {
            let ((r, h), (s, k)) = (w[0], w[1]);
            std::f64::consts::PI / 3.0 * (k - h) * (r * r + r * s + s * s)
        });
        frusta.sum::<f64>() / 1000.0
    }

    /// The outside's radius at a height.
    pub(crate) fn radius_at_mm(&self, height: f64) -> f64 {
        let span = self.outside.windows(2).find(|w| w[0].1 <= height && height <= w[1].1);
        span.map_or(0.0, |w| w[0].0 + (w[1].0 - w[0].0) * (height - w[0].1) / (w[1].1 - w[0].1).max(1e-9))
    }

    /// The outside in fewer points, at most about `apart` millimetres from each other.
    pub(crate) fn profile_mm(&self, apart: f64) -> Vec<[f64; 2]> {
        thinned(&self.outside, apart).into_iter().map(|p| [p.0, p.1]).collect()
    }
}

/// Some of the points, the first and last among them.
fn thinned(line: &[(f64, f64)], apart: f64) -> Vec<(f64, f64)> {
    let mut points: Vec<(f64, f64)> = Vec::new();
    for (k, p) in line.iter().enumerate() {
        let far = points.last().is_none_or(|q| (p.0 - q.0).hypot(p.1 - q.1) >= apart);
        if far || k + 1 == line.len() {
            points.push(*p);
        }
    }
    points
}

/// True inside of the profile (left of it, above the table, below its end).
fn within(line: &[(f64, f64)], r: f64, height: f64) -> bool {
    line.windows(2)
        .filter(|w| (w[0].1 > height) != (w[1].1 > height))
        .filter(|w| r < w[0].0 + (w[1].0 - w[0].0) * (height - w[0].1) / (w[1].1 - w[0].1))
        .count()
        % 2
        == 1
}

/// The same line with a point at least every fifth of a millimetre.
fn dense(line: &[(f64, f64)]) -> Vec<(f64, f64)> {
    let mut points: Vec<(f64, f64)> = line.first().copied().into_iter().collect();
    for w in line.windows(2) {
        let n = ((w[1].0 - w[0].0).hypot(w[1].1 - w[0].1) / 0.2).ceil();
        points.extend((1..=n as usize).map(|k| k as f64 / n).map(|s| (w[0].0 + (w[1].0 - w[0].0) * s, w[0].1 + (w[1].1 - w[0].1) * s)));
    }
    points
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "tests")]
    use super::*;

    /// A cylinder of 80 mm outside, 100 mm high, with a wall and a floor of 4 mm holds π · 36² · 96 mm³, and a little more over the rounded edge and less in
    /// the round of the floor's corner.
    #[test]
    fn a_cylinder_holds_what_it_should() {
        let vessel = Vessel::new(&[(40.0, 0.0), (40.0, 100.0)], 4.0).unwrap();
        let plain = std::f64::consts::PI * 36.0 * 36.0 * 96.0 / 1000.0;
        assert!((vessel.capacity_ml() / plain - 1.0).abs() < 0.005, "{} {plain}", vessel.capacity_ml());
        assert!(
            (vessel.height_mm() - 100.0).abs() < 0.21 && (vessel.rim_mm() - 80.0).abs() < 0.02 && (vessel.foot_mm() - 80.0).abs() < 1e-9
        );
    }

    #[test]
    fn a_wall_thicker_than_the_pot_is_none() {
        assert!(Vessel::new(&[(5.0, 0.0), (5.0, 9.0)], 12.0).is_none());
        assert!(Vessel::new(&[(5.0, 0.0)], 1.0).is_none());
    }
}
