//! Straight edges of a picture: places where the colour changes, grown together where they change in one direction, joined where they lie on one line.

use super::Shades;
use kurbo::{Point, Vec2};

/// A straight line with the stretches of it that are edges. Lengths are pixels of the photograph.
#[derive(Debug, Clone)]
pub(super) struct Line {
    pub(super) at: Point,
    pub(super) along: Vec2,
    /// From and to along the line, sorted, none touching the next.
    pub(super) stretches: Vec<(f64, f64)>,
    /// How much the colour changes over it, all together.
    pub(super) strength: f64,
}

impl Line {
    /// How much of the line from `a` to `b` (along it) is an edge, 0 to 1.
    pub(super) fn covered(&self, a: f64, b: f64) -> f64 {
        let (a, b) = (a.min(b), a.max(b));
        let sum: f64 = self.stretches.iter().map(|(s, e)| (e.min(b) - s.max(a)).max(0.0)).sum();
        if b > a { (sum / (b - a)).min(1.0) } else { 0.0 }
    }

    pub(super) fn place(&self, p: Point) -> f64 {
        (p - self.at).dot(self.along)
    }

    fn length(&self) -> f64 {
        self.stretches.iter().map(|(s, e)| e - s).sum()
    }

    pub(super) fn meets(&self, other: &Self) -> Option<Point> {
        let cross = self.along.cross(other.along);
        (cross.abs() > 0.05).then(|| self.at + self.along * ((other.at - self.at).cross(other.along) / cross))
    }
}

/// Edges change by at least this many of 255 steps over a pixel of the small picture.
const LEAST_CHANGE: f32 = 2.5;
/// Pixels of one edge change in directions that differ by no more than this (22.5°, after Grompone von Gioi and others, Image Processing On Line 2,
/// 2012, 35–55; from memory of the paper).
const TOLERANCE_RAD: f32 = 0.39;

/// At most `most` lines, the longest first.
pub(super) fn lines(shades: &Shades, most: usize) -> Vec<Line> {
    let mut all = every_line(shades);
    all.truncate(most);
    all
}

/// At most `longest` lines, the longest first, and after them at most `strongest` others: on grained wood a card's edges are clear but short.
pub(super) fn long_or_strong(shades: &Shades, longest: usize, strongest: usize) -> Vec<Line> {
    let mut all = every_line(shades);
    let mut others = all.split_off(longest.min(all.len()));
    others.sort_by(|a, b| b.strength.total_cmp(&a.strength));
    others.truncate(strongest);
    all.extend(others);
    all
}

/// All lines, the longest first.
fn every_line(shades: &Shades) -> Vec<Line> {
    let (w, h) = (shades.width, shades.height);
    if w < 8 || h < 8 {
        return Vec::new();
    }
    let (size, way) = changes(shades);
    let mut order: Vec<u32> = (0..size.len() as u32).filter(|i| size.get(*i as usize).is_some_and(|s| *s > LEAST_CHANGE)).collect();
    order.sort_by(|a, b| size.get(*b as usize).unwrap_or(&0.0).total_cmp(size.get(*a as usize).unwrap_or(&0.0)).then(a.cmp(b)));
    let mut used = vec![false; size.len()];
    let mut found = Vec::new();
    let mut region: Vec<u32> = Vec::new();
    for seed in order {
        if used.get(seed as usize).copied().unwrap_or(true) {
            continue;
        }
        region.clear();
        region.push(seed);
        if let Some(u) = used.get_mut(seed as usize) {
            *u = true;
        }
        let first = way.get(seed as usize).copied().unwrap_or(0.0);
        // A strong edge does not run on into the weave beside it.
        let least = LEAST_CHANGE.max(0.3 * size.get(seed as usize).copied().unwrap_or(0.0));
        let (mut sx, mut sy) = (first.cos(), first.sin());
        let mut next = 0;
        while let Some(&at) = region.get(next) {
            next += 1;
            let (x, y) = (at as usize % w, at as usize / w);
            let mean = sy.atan2(sx);
            for yy in y.saturating_sub(1)..=(y + 1).min(h - 1) {
                for xx in x.saturating_sub(1)..=(x + 1).min(w - 1) {
                    let i = yy * w + xx;
                    let (Some(u), Some(s), Some(a)) = (used.get_mut(i), size.get(i), way.get(i)) else { continue };
                    if *u || *s <= least {
                        continue;
                    }
                    let turn = (a - mean).rem_euclid(std::f32::consts::TAU);
                    if turn.min(std::f32::consts::TAU - turn) < TOLERANCE_RAD {
                        *u = true;
                        sx += a.cos();
                        sy += a.sin();
                        region.push(i as u32);
                    }
                }
            }
        }
        if let Some(segment) = segment(&region, &size, w, shades.scale) {
            found.push(segment);
        }
    }
    joined(found, shades.scale)
}

/// Size and direction of the greatest change of colour at each pixel.
fn changes(shades: &Shades) -> (Vec<f32>, Vec<f32>) {
    let (w, h) = (shades.width, shades.height);
    let (mut size, mut way) = (vec![0.0_f32; w * h], vec![0.0_f32; w * h]);
    for y in 1..h - 1 {
        for x in 1..w - 1 {
            let (mut best, mut direction) = (0.0, 0.0);
            for plane in shades.planes() {
                let at = |dx: usize, dy: usize| plane.get((y + dy - 1) * w + x + dx - 1).copied().unwrap_or(0.0);
                // Scharr's weights 3, 10, 3 (his thesis, Heidelberg 2000; from memory), over 32: the change over a pixel.
                let gx = (3.0 * (at(2, 0) - at(0, 0)) + 10.0 * (at(2, 1) - at(0, 1)) + 3.0 * (at(2, 2) - at(0, 2))) / 32.0;
                let gy = (3.0 * (at(0, 2) - at(0, 0)) + 10.0 * (at(1, 2) - at(1, 0)) + 3.0 * (at(2, 2) - at(2, 0))) / 32.0;
                let g = gx.hypot(gy);
                if g > best {
                    best = g;
                    direction = gy.atan2(gx);
                }
            }
            if let (Some(s), Some(d)) = (size.get_mut(y * w + x), way.get_mut(y * w + x)) {
                *s = best;
                *d = direction;
            }
        }
    }
    (size, way)
}

/// The line through a region by its weighted moments. None where it is short or not thin.
fn segment(region: &[u32], size: &[f32], w: usize, scale: f64) -> Option<Line> {
    if region.len() < 8 {
        return None;
    }
    let weighed = || {
        region.iter().map(|i| {
            let weight = f64::from(size.get(*i as usize).copied().unwrap_or(0.0));
            ((*i as usize % w) as f64 + 0.5, (*i as usize / w) as f64 + 0.5, weight)
        })
    };
    let sum: f64 = weighed().map(|(_, _, m)| m).sum();
    let cx = weighed().map(|(x, _, m)| m * x).sum::<f64>() / sum;
    let cy = weighed().map(|(_, y, m)| m * y).sum::<f64>() / sum;
    let (mut xx, mut xy, mut yy) = (0.0, 0.0, 0.0);
    for (x, y, m) in weighed() {
        xx += m * (x - cx).powi(2);
        xy += m * (x - cx) * (y - cy);
        yy += m * (y - cy).powi(2);
    }
    let angle = 0.5 * (2.0 * xy).atan2(xx - yy);
    let along = Vec2::from_angle(angle);
    let thin = ((xx * along.y * along.y - 2.0 * xy * along.x * along.y + yy * along.x * along.x) / sum).max(0.0).sqrt();
    let places = weighed().map(|(x, y, _)| (x - cx) * along.x + (y - cy) * along.y);
    let (low, high) = places.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), p| (l.min(p), h.max(p)));
    // Two pixels of blur make 1.2; a bend or a blob is wider.
    (high - low >= 8.0 && thin < 1.7).then(|| Line {
        at: Point::new(cx * scale, cy * scale),
        along,
        stretches: vec![((low - 0.5) * scale, (high + 0.5) * scale)],
        strength: sum * scale,
    })
}

/// Segments that lie on one line, as one line.
fn joined(mut found: Vec<Line>, scale: f64) -> Vec<Line> {
    found.sort_by(|a, b| b.length().total_cmp(&a.length()).then(a.at.x.total_cmp(&b.at.x)).then(a.at.y.total_cmp(&b.at.y)));
    found.truncate(4000);
    let mut lines: Vec<Line> = Vec::new();
    for line in found {
        let ends = |l: &Line| {
            let (s, e) = l.stretches.first().copied().unwrap_or_default();
            [l.at + l.along * s, l.at + l.along * e]
        };
        let near = lines.iter_mut().find(|kept| {
            ends(&line).iter().all(|p| (*p - kept.at).cross(kept.along).abs() < 1.6 * scale) && line.along.cross(kept.along).abs() < 0.12
        });
        if let Some(kept) = near {
            let [a, b] = ends(&line).map(|p| kept.place(p));
            kept.stretches.push((a.min(b), a.max(b)));
            kept.strength += line.strength;
        } else {
            lines.push(line);
        }
    }
    for line in &mut lines {
        line.stretches.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut merged: Vec<(f64, f64)> = Vec::new();
        for (s, e) in line.stretches.drain(..) {
            match merged.last_mut() {
                Some(last) if s <= last.1 + 2.0 * scale => last.1 = last.1.max(e),
                _ => merged.push((s, e)),
            }
        }
        line.stretches = merged;
    }
    // A short piece by itself is no edge worth a thought.
    lines.retain(|l| l.length() >= 20.0 * scale);
    lines.sort_by(|a, b| b.length().total_cmp(&a.length()));
    lines
}
