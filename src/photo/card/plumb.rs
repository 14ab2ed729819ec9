//! The lens by straight edges: whatever is straight on the table (a card, print, boards, the table's edge) must be straight without the lens.

use super::Shades;
use super::lines::{Line, lines};
use crate::photo::camera::{Lens, Measured, TUKEY, biweight, robust_sd};
use kurbo::Point;
use rayon::prelude::*;

/// A line takes part if it spans this share of the picture's half diagonal.
const LEAST_SPAN: f64 = 0.35;
/// Lines of one direction may all be bowed alike in truth (cloth that was pulled); one standard deviation of the bow's depth as a share of the span (our
/// own estimate).
const ALIKE_SD: f64 = 0.0015;
/// And each by itself.
const SINGLE_SD: f64 = 0.0005;

/// No picture tells k₁ better than this (one standard deviation), and none is asked of a lens that bends more than a few times this (our own estimates).
const LEAST_SD: f64 = 0.0008;
const ANY_K1_SD: f64 = 0.05;

/// Edges are looked for straight first, then bowed as the lens makes them by what was seen so far: what is bowed by more than the reach of a look is seen
/// too little bowed by one look.
const LOOKS: usize = 3;
/// No camera that takes pictures of things bends them more (our own estimate).
const MOST_K1: f64 = 0.06;

/// Of many faint edges (grain of wood) those are seen that happen to be straight in the picture, whatever the lens: where the colour changes by no more than
/// so much across edges, k₁ may be wrong by as much (one standard deviation; from rendered tables of all kinds), and by less the clearer they are.
const CHOSEN_SD: f64 = 0.005;
const FAINT: f64 = 18.0;

/// How one edge is bowed in the picture, and by how much a lens would bow it.
struct Bow {
    /// Direction in quarter turns: edges of about one direction are of one family.
    angle_rad: f64,
    /// Depth of the bow over the span.
    depth: f64,
    /// Change of it for each unit of k₁.
    by_k1: f64,
    sd: f64,
    /// How much the colour changes over it for each pixel of its length.
    clear: f64,
}

/// An edge changes by so many of 255 steps over a pixel at least.
const LEAST_CHANGE: f64 = 2.5;
/// Fewer lines tell nothing of a lens; and lines agree that scatter by no more than so many of their standard deviations (our own estimates).
const LEAST_LINES: usize = 6;
const AGREED: f64 = 1.7;

/// What the straight edges of the picture say of the lens's distortion by themselves: k₁ and its standard deviation. None where too few agree.
pub fn by_straight_edges(small: &Shades, whole: &Shades, lens: &Lens) -> Option<Measured> {
    let found = lines(small, 200);
    let mut said: Option<Measured> = None;
    for _ in 0..LOOKS {
        let lens = Lens { k1: said.map_or(0.0, |k1| k1.value.clamp(-MOST_K1, MOST_K1)), ..*lens };
        said = Some(agreed(found.par_iter().filter_map(|line| bow(line, whole, &lens)).collect())?);
    }
    said
}

/// k₁ by as many of the clearest edges as agree: what is clearest is made straight (a card, a seam between boards), what is faint may be grain, which is
/// curved.
fn agreed(mut bows: Vec<Bow>) -> Option<Measured> {
    bows.sort_by(|a, b| b.clear.total_cmp(&a.clear));
    let mut count = bows.len();
    while count >= LEAST_LINES {
        let clearest = bows.get(..count)?;
        let (k1, scatter) = solve(clearest)?;
        if scatter < AGREED {
            let clear = clearest.iter().map(|b| b.clear).sum::<f64>() / count as f64;
            return Some(Measured::new(k1.value, k1.sd.hypot(CHOSEN_SD * (FAINT / clear.max(1e-6)).powi(2).min(1.0))));
        }
        count /= 2;
    }
    None
}

fn bow(line: &Line, whole: &Shades, lens: &Lens) -> Option<Bow> {
    let (from, to) = (line.stretches.first()?.0, line.stretches.last()?.1);
    let span = to - from;
    let covered: f64 = line.stretches.iter().map(|(s, e)| e - s).sum();
    if span < LEAST_SPAN * lens.half_diagonal_px() || covered < 0.4 * span {
        return None;
    }
    let across = kurbo::Vec2::new(-line.along.y, line.along.x);
    let beside = bowed(line, (from, to), lens);
    let stations = line.stretches.iter().flat_map(|(s, e)| (0..((e - s) / 4.0) as usize).map(move |i| s + (i as f64 + 0.5) * 4.0));
    let places: Vec<Point> = stations.map(|along| line.at + line.along * along + across * beside(along)).collect();
    let points = one_side(&places, across, whole);
    if points.len() < 25 {
        return None;
    }
    let measured = |k1: f64| {
        let lens = Lens { k1, ..*lens };
        let straight: Vec<Point> = points.iter().map(|p| lens.straight(*p)).collect();
        depth(&straight, line, from, span)
    };
    let (zero, one) = (measured(0.0)?, measured(0.01)?);
    let by_k1 = (one.0 - zero.0) / 0.01;
    Some(Bow {
        angle_rad: line.along.atan2().rem_euclid(std::f64::consts::PI),
        depth: zero.0,
        by_k1,
        sd: (zero.1.powi(2) + SINGLE_SD.powi(2)).sqrt(),
        clear: line.strength / covered.max(1.0),
    })
}

/// The edge at each place, of those that become lighter across or of those that become darker, whichever are more: a drawn line has one of either along its
/// two sides, and whoever took the nearer would find it bowed as it was thought to be.
fn one_side(places: &[Point], across: kurbo::Vec2, whole: &Shades) -> Vec<Point> {
    let reach_px = 3.0 * whole.scale.max(1.0);
    let aside = 1.2 * whole.scale;
    // The clearest of either kind at each place, a far one less than a near one of the same height.
    let best = |at: Point, lighter: bool| {
        let peaks = whole.changes_at(at, across, reach_px, 0).filter(|(_, change)| *change > LEAST_CHANGE);
        let own = peaks.filter(|(shift, _)| {
            let [within, without] =
                [shift - aside, shift + aside].map(|shift| whole.at(at + across * shift).first().copied().unwrap_or(0.0));
            (without > within) == lighter
        });
        let weighed = own.map(|(shift, change)| (shift, change * (1.0 - 0.35 * (shift / reach_px).abs())));
        weighed.max_by(|a, b| a.1.total_cmp(&b.1)).map(|(shift, height)| (at + across * whole.settled(at, across, shift, 0), height))
    };
    let [lighter, darker] = [true, false].map(|kind| places.iter().filter_map(|at| best(*at, kind)).collect::<Vec<_>>());
    let height = |of: &[(Point, f64)]| of.iter().map(|(_, height)| height).sum::<f64>();
    let more = if height(&lighter) >= height(&darker) { lighter } else { darker };
    more.into_iter().map(|(point, _)| point).collect()
}

/// How far beside a line through its middle, in pixels, the lens shows what is straight, by the place along the line.
fn bowed(line: &Line, (from, to): (f64, f64), lens: &Lens) -> impl Fn(f64) -> f64 {
    let across = kurbo::Vec2::new(-line.along.y, line.along.x);
    let span = to - from;
    let at = |u: f64| {
        let p = line.at + line.along * (from + u * span);
        (lens.bent(p) - p).dot(across)
    };
    // The parabola through its ends and middle; what is straight in it is the line's own.
    let depth = at(0.5) - f64::midpoint(at(0.0), at(1.0));
    move |along| {
        let u = 2.0 * (along - from) / span - 1.0;
        depth * (1.0 / 3.0 - u * u)
    }
}

/// Depth of the parabola through points about a line as a share of the span, with its standard deviation; the farthest points are let go.
fn depth(points: &[Point], line: &Line, from: f64, span: f64) -> Option<(f64, f64)> {
    use nalgebra::{Matrix3, Vector3};
    let mut weights = vec![1.0; points.len()];
    let mut result = None;
    for _ in 0..4 {
        let (mut m, mut r) = (Matrix3::zeros(), Vector3::zeros());
        let rows: Vec<(Vector3<f64>, f64)> = points
            .iter()
            .map(|p| {
                let u = (line.place(*p) - from) / span - 0.5;
                (Vector3::new(1.0, u, 1.0 - 4.0 * u * u), (*p - line.at).cross(line.along) / span)
            })
            .collect();
        for ((row, value), w) in rows.iter().zip(&weights) {
            m += row * row.transpose() * *w;
            r += row * (*value * w);
        }
        let inverse = m.try_inverse()?;
        let fit = inverse * r;
        let off: Vec<f64> = rows.iter().map(|(row, value)| value - row.dot(&fit)).collect();
        let scale = robust_sd(off.iter().copied()).max(1e-6);
        weights = off.iter().map(|o| biweight(o / (TUKEY * scale))).collect();
        // Points four pixels apart err alike a little: the variance is taken twice.
        result = Some((fit.z, (2.0 * inverse.m33).sqrt() * scale));
    }
    result
}

/// The k₁ below and above which lines lie that a lens bends alike in sum.
fn middling(bows: &[Bow]) -> Option<f64> {
    let mut each: Vec<(f64, f64)> = bows.iter().filter(|b| b.by_k1.abs() > 1e-6).map(|b| (-b.depth / b.by_k1, b.by_k1.abs())).collect();
    each.sort_by(|a, b| a.0.total_cmp(&b.0));
    let half = 0.5 * each.iter().map(|(_, weight)| weight).sum::<f64>();
    let mut sum = 0.0;
    each.into_iter()
        .find(|(_, weight)| {
            sum += weight;
            sum >= half
        })
        .map(|(k1, _)| k1)
}

/// k₁ by bows together, and how many of their own standard deviations the bows scatter by; each family of directions being allowed a bow of its own.
fn solve(bows: &[Bow]) -> Option<(Measured, f64)> {
    use nalgebra::{DMatrix, DVector};
    if bows.len() < 3 {
        return None;
    }
    let families = 4;
    let family = |b: &Bow| ((b.angle_rad / std::f64::consts::PI * families as f64 + 0.5) as usize) % families;
    // Half of the lines may be none at first (a chord of a bowed one, two that run together): what most agree on is where to begin.
    let begin = middling(bows)?;
    let off: Vec<f64> = bows.iter().map(|b| (b.depth + b.by_k1 * begin) / b.sd).collect();
    let scale = robust_sd(off.iter().copied()).max(1.0);
    let mut weights: Vec<f64> = off.iter().map(|o| biweight(o / (TUKEY * scale))).collect();
    let mut found = None;
    for _ in 0..6 {
        let n = 1 + families;
        let (mut m, mut r) = (DMatrix::<f64>::zeros(n, n), DVector::<f64>::zeros(n));
        let row = |b: &Bow| DVector::from_fn(n, |i, _| if i == 0 { -b.by_k1 } else { f64::from(u8::from(i == 1 + family(b))) });
        for (b, w) in bows.iter().zip(&weights) {
            let row = row(b);
            let w = w / b.sd.powi(2);
            m += &row * row.transpose() * w;
            r += row * (b.depth * w);
        }
        for i in 0..n {
            *m.get_mut((i, i))? += if i == 0 { ANY_K1_SD } else { ALIKE_SD }.powi(-2);
        }
        let inverse = m.try_inverse()?;
        let fit = &inverse * r;
        // Edges that are curved in truth fall out; the scatter of the rest widens the answer.
        let off: Vec<f64> = bows.iter().map(|b| (b.depth - row(b).dot(&fit)) / b.sd).collect();
        let scale = robust_sd(off.iter().copied()).max(1.0);
        weights = off.iter().map(|o| biweight(o / (TUKEY * scale))).collect();
        // Edges that scatter more than was thought are not straight (grain of wood), and what curves them may curve them alike.
        found = Some((*fit.get(0)?, inverse.get((0, 0))?.sqrt() * scale.powi(3), scale));
    }
    found.map(|(k1, sd, scatter)| (Measured::new(k1, sd.max(LEAST_SD)), scatter))
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "tests")]
    use super::*;
    use image::{Rgb, RgbImage};

    /// Squared paper seen straight on through a lens, its lines 2 pixels wide and 56 apart.
    fn squared_paper(lens: &Lens, turn_rad: f64) -> RgbImage {
        let (sin, cos) = turn_rad.sin_cos();
        RgbImage::from_fn(lens.width_px as u32, lens.height_px as u32, |x, y| {
            let p = lens.straight(Point::new(f64::from(x) + 0.5, f64::from(y) + 0.5));
            let [u, v] = [cos * p.x + sin * p.y, cos * p.y - sin * p.x].map(|at| ((at + 20.0).rem_euclid(56.0) - 28.0).abs());
            // Half a pixel soft at either side.
            let ink = (u.max(v) - 26.5).clamp(0.0, 1.0);
            Rgb([244.0 - 106.0 * ink, 242.0 - 82.0 * ink, 234.0 - 50.0 * ink].map(|c| c as u8))
        })
    }

    #[test]
    fn squared_paper_tells_the_lens() {
        for (k1, turn_rad) in [(-0.012, 0.0), (0.0, 0.0), (0.010, 0.0), (-0.012, 0.3), (0.010, 0.3)] {
            let lens = Lens { k1, ..Lens::of_35mm(1200.0, 900.0, 26.0).unwrap() };
            let paper = squared_paper(&lens, turn_rad);
            let (small, whole) = (Shades::of(&paper, 1000), Shades::of(&paper, 1200));
            let told = by_straight_edges(&small, &whole, &Lens { k1: 0.0, ..lens }).unwrap();
            assert!(told.sd < 0.003 && (told.value - k1).abs() < 2.5 * told.sd, "{told:?} for {k1} turned by {turn_rad}");
        }
    }

    #[test]
    fn an_even_picture_tells_nothing() {
        let blank = RgbImage::from_pixel(900, 700, Rgb([200, 190, 180]));
        let lens = Lens::of_35mm(900.0, 700.0, 26.0).unwrap();
        assert_eq!(by_straight_edges(&Shades::of(&blank, 900), &Shades::of(&blank, 900), &lens), None);
        assert_eq!(middling(&[]), None);
    }
}
