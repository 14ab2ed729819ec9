//! The letters on a ring: between which distances they stand, which way is up, where the arcs begin and end, and whether the lower ones stand on their heads.

use super::find::profile;
use super::lines::{Inked, parted_along};
use super::plane::Plane;
use super::ring::{Ring, RingKind, wrapped};
use std::f64::consts::{FRAC_PI_2, PI, TAU};

/// Between which distances from the ring the letters stand, in cells: feet (further in) and heads. Borders are thinner than letters are high, and are left out.
pub(crate) fn band(fine: &Plane, ring: &Ring) -> Option<(f64, f64)> {
    let (from, to) = (-0.62, 0.06);
    let all = profile(fine, ring, from, to, 1.0, 240);
    let wide = ((0.12 * ring.minor).round() as usize).max(3);
    let opened = opened(&all, wide);
    // Only the outer half may hold the ring of letters: what stands further in are the lines in the middle.
    let outer = opened.len() * 2 / 5;
    let most = opened.iter().skip(outer).copied().fold(0.0, f64::max);
    let quiet = all.iter().copied().fold(f64::INFINITY, f64::min);
    if most < quiet + 0.03 {
        return None;
    }
    let level = quiet + 0.4 * (most - quiet);
    let last = opened.iter().rposition(|v| *v > level)?;
    let first = opened.iter().take(last).rposition(|v| *v <= level).map_or(0, |k| k + 1);
    let px = |k: usize| from * ring.minor + (to - from) * ring.minor * k as f64 / all.len() as f64;
    let (feet, heads) = (px(first), px(last + 1));
    // A band that is most of the way to the middle is no band.
    (heads - feet < 0.5 * ring.minor).then_some((feet, heads))
}

/// What stays of a row of numbers where a plateau of so many is as high: smallest, then largest over the width.
fn opened(all: &[f64], wide: usize) -> Vec<f64> {
    let windows = |from: &[f64], most: bool| -> Vec<f64> {
        (0..from.len())
            .map(|k| {
                let low = if most { (k + 1).saturating_sub(wide) } else { k };
                let high = if most { k + 1 } else { (k + wide).min(from.len()) };
                let some = from.get(low..high).unwrap_or_default().iter().copied();
                if most { some.fold(0.0, f64::max) } else { some.fold(f64::INFINITY, f64::min) }
            })
            .collect()
    };
    windows(&windows(all, false), true)
}

/// How much of the band is inked at each angle, `COLUMNS` all round from the right, clockwise.
pub(crate) struct Round {
    covered: Vec<f64>,
    /// Half the height of the letters as an angle.
    half_letter: f64,
}

const COLUMNS: usize = 720;
const COLUMNS_ROUND: i64 = 720;

impl Round {
    pub(crate) fn of(fine: &Plane, ring: &Ring, (feet, heads): (f64, f64)) -> Self {
        let covered = (0..COLUMNS)
            .map(|k| {
                let round = TAU * (k as f64 + 0.5) / COLUMNS as f64;
                let inked = (0..16).filter(|j| {
                    let p = ring.at(round, feet + (heads - feet) * (f64::from(*j) + 0.5) / 16.0);
                    fine.inside(p.x, p.y) > 0.35
                });
                inked.count() as f64 / 16.0
            })
            .collect();
        Self { covered, half_letter: (heads - feet) / (2.0 * ring.radius()) }
    }

    /// Mean over an angle and so much to both sides.
    fn about(&self, round: f64, half_rad: f64) -> f64 {
        let cells = ((half_rad / TAU * COLUMNS as f64).round() as i64).max(0);
        let middle = (round / TAU * COLUMNS as f64).floor() as i64;
        let sum: f64 =
            (-cells..=cells).map(|k| self.covered.get((middle + k).rem_euclid(COLUMNS_ROUND) as usize).copied().unwrap_or(0.0)).sum();
        sum / (2 * cells + 1) as f64
    }

    fn mean(&self) -> f64 {
        self.covered.iter().sum::<f64>() / COLUMNS as f64
    }

    /// The emptiest place about a direction, and how empty: 0 nothing drawn, 1 as much as everywhere. Further off counts as fuller.
    fn gap_near(&self, round: f64, reach: f64) -> (f64, f64) {
        let steps = 40;
        (-steps..=steps)
            .map(|k| {
                let off = reach * f64::from(k) / f64::from(steps);
                let filled = self.about(round + off, 0.8 * self.half_letter) / self.mean().max(1e-3);
                (round + off, filled + 0.5 * (off / reach).powi(2))
            })
            .min_by(|a, b| a.1.total_cmp(&b.1))
            .unwrap_or((round, 1.0))
    }

    /// The ends of the letters between two angles: the first and last inked columns, with a little room.
    fn ends(&self, from: f64, to: f64) -> (f64, f64) {
        let step = TAU / COLUMNS as f64;
        let columns = ((to - from) / step) as usize;
        let inked = |k: &usize| self.about(from + step * *k as f64, step) > 0.12;
        let room = 0.5 * self.half_letter;
        let first = (0..columns).find(inked).unwrap_or(0);
        let last = (0..columns).rev().find(inked).unwrap_or(columns);
        ((from + step * first as f64 - room).max(from - room), (from + step * last as f64 + room).min(to + room))
    }
}

/// How the letters lie round the ring.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Lie {
    /// Two arcs: from and to of the upper one, clockwise; then of the lower one, clockwise too.
    Two((f64, f64), (f64, f64)),
    /// One, heads outward all round.
    One((f64, f64)),
}

/// Which way is up, as an angle from the right, clockwise: −π/2 where the photograph stands upright.
pub(crate) fn up(round: &Round, ring: &Ring, middle: &[Inked]) -> f64 {
    let parted = if middle.len() > 60 { parted_along(middle) } else { Vec::new() };
    let most = parted.iter().map(|p| p.1).fold(1e-9, f64::max);
    let mean = parted.iter().map(|p| p.1).sum::<f64>() / parted.len().max(1) as f64;
    // Of an oval, up lies along the shorter axis: the way of it that is nearer to the photograph's own.
    let oval = (ring.kind == RingKind::Oval).then(|| {
        let short = ring.turn_rad + FRAC_PI_2;
        if wrapped(short + FRAC_PI_2).abs() <= FRAC_PI_2 { wrapped(short) } else { wrapped(short + PI) }
    });
    let score = |along: f64, lines: f64| {
        let up = along - FRAC_PI_2;
        let two = round.gap_near(up + FRAC_PI_2, 0.6).1 + round.gap_near(up - FRAC_PI_2, 0.6).1;
        let one = 2.0 * round.about(up + PI, 0.3) / round.mean().max(1e-3);
        let expected = oval.map_or(-FRAC_PI_2, |o| o);
        let off = wrapped(up - expected) / if oval.is_some() { 0.25 } else { 1.2 };
        1.5 * lines - 0.35 * two.min(one) - 0.5 * off * off
    };
    (-50..=50)
        .map(|k| {
            let along = f64::from(k) * 1.5_f64.to_radians();
            let lines = parted
                .iter()
                .find(|p| (p.0 - along).abs() < 1e-6)
                .map_or(0.0, |p| (p.1 - mean) / (most - mean).max(1e-9) * (1.0 - mean / most));
            (along - FRAC_PI_2, score(along, lines))
        })
        .max_by(|a, b| a.1.total_cmp(&b.1))
        .map_or(-FRAC_PI_2, |best| best.0)
}

/// The two arcs on both sides of the emptiest places left and right.
pub(crate) fn two(round: &Round, up: f64) -> Lie {
    let (right, _) = round.gap_near(up + FRAC_PI_2, 0.6);
    let (left, _) = round.gap_near(up - FRAC_PI_2, 0.6);
    Lie::Two(round.ends(left, right), round.ends(right, left + TAU))
}

/// How much emptier the bottom of the ring is than its sides, in times of how full it is on the mean: above 0 where a line all round begins and ends, below 0
/// where two arcs part left and right.
pub(crate) fn open_below(round: &Round, up: f64) -> f64 {
    let side = |off: f64| round.gap_near(up + off, 0.6).1;
    f64::midpoint(side(FRAC_PI_2), side(-FRAC_PI_2)) - round.about(up + PI, 0.25) / round.mean().max(1e-3)
}

/// All round from the widest gap: the one place where most columns in a row are empty, nearest below.
pub(crate) fn one(round: &Round, up: f64) -> Lie {
    let below = up + PI;
    let gap = (-60..=60)
        .map(|k| below + f64::from(k) * 2.0_f64.to_radians())
        .map(|at| (at, round.about(at, 0.22) / round.mean().max(1e-3) + 0.15 * wrapped(at - below).powi(2)))
        .min_by(|a, b| a.1.total_cmp(&b.1))
        .map_or(below, |best| best.0);
    Lie::One(round.ends(gap, gap + TAU))
}

/// Whether letters stand on their feet, by their stems: more letters have their upright on the left (B D E F K L P R and most small ones) than on the right
/// (J, d, q): a fact of the alphabet. Above 0 for upright, with how sure: the sum of differences over the root of their squares.
pub(crate) fn upright(strip: &Plane) -> f64 {
    let (width, height) = (strip.width(), strip.height());
    let column = |x: usize| (0..height).filter(|y| strip.get(x, *y) > 0.35).count() as f64 / height as f64;
    let covered: Vec<f64> = (0..width).map(column).collect();
    let mut differences = Vec::new();
    let mut start = None;
    for (x, c) in covered.iter().chain([&0.0]).enumerate() {
        match (start, *c > 0.06) {
            (None, true) => start = Some(x),
            (Some(from), false) => {
                start = None;
                let wide = x - from;
                if wide * 4 > height && wide * 10 < height * 13 {
                    let third = (wide / 3).max(1);
                    let most = |a: usize, b: usize| covered.get(a..b).unwrap_or_default().iter().copied().fold(0.0, f64::max);
                    differences.push(most(from, from + third) - most(x - third, x));
                }
            }
            _ => {}
        }
    }
    let squares: f64 = differences.iter().map(|d| d * d).sum();
    if squares < 1e-9 { 0.0 } else { differences.iter().sum::<f64>() / squares.sqrt() }
}

/// What is drawn along an arc, upright if heads are outward.
pub(crate) fn laid(fine: &Plane, ring: &Ring, (feet, heads): (f64, f64), (from, to): (f64, f64)) -> Plane {
    let height = 28;
    let width = ((to - from).abs() * ring.radius() / (heads - feet).max(1.0) * f64::from(height)) as usize;
    Plane::from_fn(width, height as usize, |x, y| {
        let round = from + (to - from) * (x as f64 + 0.5) / width.max(1) as f64;
        let p = ring.at(round, heads + (feet - heads) * (y as f64 + 0.5) / f64::from(height));
        fine.inside(p.x, p.y)
    })
}
