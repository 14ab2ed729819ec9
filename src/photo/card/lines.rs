//! Straight edges of a picture: places where the colour changes, grown together where they change in one direction, joined where they lie on one line.

use super::Shades;
use kurbo::{Point, Vec2};
use rayon::prelude::*;

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

/// How a picture changes at a pixel: by how much over a pixel, and in which direction (of length 1; nothing where the change is too small for an edge).
#[derive(Debug, Clone, Copy, Default)]
struct Change {
    size: f32,
    way: [f32; 2],
}

/// At most `most` lines, the longest first.
pub(super) fn lines(shades: &Shades, most: usize) -> Vec<Line> {
    shades.lines().iter().take(most).cloned().collect()
}

/// At most `longest` lines, the longest first, and after them at most `strongest` others: on grained wood a card's edges are clear but short.
pub(super) fn long_or_strong(shades: &Shades, longest: usize, strongest: usize) -> Vec<Line> {
    let mut all = shades.lines().to_vec();
    let mut others = all.split_off(longest.min(all.len()));
    others.sort_by(|a, b| b.strength.total_cmp(&a.strength));
    others.truncate(strongest);
    all.extend(others);
    all
}

/// All lines, the longest first.
pub(super) fn every_line(shades: &Shades) -> Vec<Line> {
    let (w, h) = (shades.width, shades.height);
    if w < 8 || h < 8 {
        return Vec::new();
    }
    let changes = changes(shades);
    let at = |i: usize| changes.get(i).copied().unwrap_or_default();
    let mut order: Vec<u32> = (0..changes.len() as u32).filter(|i| at(*i as usize).size > LEAST_CHANGE).collect();
    order.par_sort_unstable_by(|a, b| at(*b as usize).size.total_cmp(&at(*a as usize).size).then(a.cmp(b)));
    let near = TOLERANCE_RAD.cos();
    let mut used = vec![false; changes.len()];
    let mut found = Vec::new();
    let mut region: Vec<u32> = Vec::new();
    for seed in order {
        let Some(u) = used.get_mut(seed as usize).filter(|u| !**u) else { continue };
        *u = true;
        region.clear();
        region.push(seed);
        let first = at(seed as usize);
        // A strong edge does not run on into the weave beside it.
        let least = LEAST_CHANGE.max(0.3 * first.size);
        let [mut sx, mut sy] = first.way;
        let mut next = 0;
        while let Some(&own) = region.get(next) {
            next += 1;
            let (x, y) = (own as usize % w, own as usize / w);
            let (mean_x, mean_y) = (sx, sy);
            let least_along = near * (sx * sx + sy * sy).sqrt();
            for yy in y.saturating_sub(1)..=(y + 1).min(h - 1) {
                for xx in x.saturating_sub(1)..=(x + 1).min(w - 1) {
                    let i = yy * w + xx;
                    let Some(u) = used.get_mut(i).filter(|u| !**u) else { continue };
                    let Change { size, way: [cos, sin] } = at(i);
                    if size > least && mean_x * cos + mean_y * sin > least_along {
                        *u = true;
                        sx += cos;
                        sy += sin;
                        region.push(i as u32);
                    }
                }
            }
        }
        if let Some(segment) = segment(&region, &changes, w, shades.scale) {
            found.push(segment);
        }
    }
    joined(found, shades.scale)
}

/// The greatest change of colour at each pixel.
fn changes(shades: &Shades) -> Vec<Change> {
    let (w, h) = (shades.width, shades.height);
    let colours = shades.colours();
    let change = |x: usize, y: usize| {
        let at = |dx: usize, dy: usize| colours.get((y + dy - 1) * w + x + dx - 1).copied().unwrap_or_default();
        let around = [at(0, 0), at(1, 0), at(2, 0), at(0, 1), at(2, 1), at(0, 2), at(1, 2), at(2, 2)];
        let (mut square, mut g) = (0.0, [0.0; 2]);
        for k in 0..3 {
            let [a, b, c, d, e, f, low, i] = around.map(|v| v.get(k).copied().unwrap_or(0.0));
            // Scharr's weights 3, 10, 3 (his thesis, Heidelberg 2000; from memory), over 32: the change over a pixel.
            let gx = (3.0 * (c - a) + 10.0 * (e - d) + 3.0 * (i - f)) / 32.0;
            let gy = (3.0 * (f - a) + 10.0 * (low - b) + 3.0 * (i - c)) / 32.0;
            let own = gx * gx + gy * gy;
            if own > square {
                (square, g) = (own, [gx, gy]);
            }
        }
        let size = square.sqrt();
        if size > LEAST_CHANGE { Change { size, way: g.map(|g| g / size) } } else { Change::default() }
    };
    let mut changes = vec![Change::default(); w * h];
    let rows = changes.par_chunks_mut(w).enumerate().with_min_len(16);
    rows.filter(|(y, _)| (1..h - 1).contains(y)).for_each(|(y, row)| {
        for (x, to) in row.iter_mut().enumerate().take(w - 1).skip(1) {
            *to = change(x, y);
        }
    });
    changes
}

/// The line through a region by its weighted moments. None where it is short or not thin.
fn segment(region: &[u32], changes: &[Change], w: usize, scale: f64) -> Option<Line> {
    if region.len() < 8 {
        return None;
    }
    let weighed = || {
        region.iter().map(|i| {
            let weight = changes.get(*i as usize).map_or(0.0, |c| f64::from(c.size));
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
