//! Straight lines of letters: which way they run, and where each begins and ends.

use super::plane::Plane;
use kurbo::{Point, Vec2};

/// A place with ink, and how much.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Inked {
    pub place: Point,
    pub ink: f64,
}

/// Everything drawn that `within` lets through; of every few, where there is much.
pub(crate) fn inked(fine: &Plane, within: impl Fn(Point) -> bool) -> Vec<Inked> {
    let all: Vec<Inked> = (0..fine.height())
        .flat_map(|y| (0..fine.width()).map(move |x| (x, y)))
        .filter_map(|(x, y)| {
            let ink = f64::from(fine.get(x, y));
            let place = Point::new(x as f64 + 0.5, y as f64 + 0.5);
            (ink > 0.3 && within(place)).then_some(Inked { place, ink })
        })
        .collect();
    let step = (all.len() / 8_000).max(1);
    all.into_iter().step_by(step).collect()
}

/// How far a mark reaches from its middle, in standard deviations: evenly filled words 1.73, a ring 1.41; more is something else.
const REACH: f64 = 2.15;

/// The part of the ink that belongs together: without what lies further from its middle than most by far (specks, the foot).
pub(crate) fn gathered(mut all: Vec<Inked>) -> Vec<Inked> {
    for _ in 0..6 {
        let whole: f64 = all.iter().map(|i| i.ink).sum();
        if whole <= 0.0 {
            return all;
        }
        let middle = all.iter().map(|i| i.place.to_vec2() * i.ink).fold(Vec2::ZERO, |a, b| a + b) / whole;
        let spread = |part: fn(Vec2) -> f64| {
            (all.iter().map(|i| i.ink * part(i.place.to_vec2() - middle).powi(2)).sum::<f64>() / whole).sqrt().max(4.0)
        };
        let (sx, sy) = (spread(|v| v.x), spread(|v| v.y));
        all.retain(|i| {
            let v = i.place.to_vec2() - middle;
            (v.x / sx).abs() < REACH && (v.y / sy).abs() < REACH
        });
    }
    all
}

/// How the ink falls into rows across a direction, one number for each cell of height.
struct Rows {
    from: f64,
    counts: Vec<f64>,
}

impl Rows {
    fn of(ink: &[Inked], along_rad: f64) -> Self {
        let down = Vec2::from_angle(along_rad + std::f64::consts::FRAC_PI_2);
        let heights: Vec<(f64, f64)> = ink.iter().map(|i| (i.place.to_vec2().dot(down), i.ink)).collect();
        let from = heights.iter().map(|h| h.0).fold(f64::INFINITY, f64::min).floor();
        let to = heights.iter().map(|h| h.0).fold(f64::NEG_INFINITY, f64::max);
        let mut counts = vec![0.0; if to >= from { (to - from) as usize + 2 } else { 1 }];
        for (height, ink) in heights {
            let at = height - from;
            let share = at.fract();
            for (cell, part) in [(at as usize, 1.0 - share), (at as usize + 1, share)] {
                if let Some(count) = counts.get_mut(cell) {
                    *count += ink * part;
                }
            }
        }
        Self { from, counts }
    }

    /// How sharply the rows are parted: the sum of squares, of ink that is one in all, for a cell of height.
    fn parted(&self) -> f64 {
        let whole: f64 = self.counts.iter().sum();
        self.counts.iter().map(|c| (c / whole.max(1e-9)).powi(2)).sum()
    }
}

/// How well the ink is parted into rows along each direction from −75° to 75°, in steps of 1.5°.
pub(crate) fn parted_along(ink: &[Inked]) -> Vec<(f64, f64)> {
    (-50..=50)
        .map(|k| {
            let along = f64::from(k) * 1.5_f64.to_radians();
            (along, Rows::of(ink, along).parted())
        })
        .collect()
}

/// The direction along which lines run, near one or anywhere from −75° to 75°, found to a fifth of a degree.
pub(crate) fn direction(ink: &[Inked], near: Option<f64>) -> f64 {
    let first = near.unwrap_or_else(|| {
        // Lines nearer to level are preferred where two directions part as well.
        let weighed = |(along, parted): &(f64, f64)| parted * (1.0 - 0.15 * (along / 1.3).powi(2));
        parted_along(ink).iter().max_by(|a, b| weighed(a).total_cmp(&weighed(b))).map_or(0.0, |best| best.0)
    });
    let reach = if near.is_some() { 30 } else { 9 };
    (-reach..=reach)
        .map(|k| first + f64::from(k) * 0.2_f64.to_radians())
        .map(|along| (along, Rows::of(ink, along).parted()))
        .max_by(|a, b| a.1.total_cmp(&b.1))
        .map_or(first, |best| best.0)
}

/// A line of letters: cells along and across the direction, from the corner of the picture.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Line {
    pub left: f64,
    pub right: f64,
    pub top: f64,
    pub bottom: f64,
}

/// The lines, from the top down. Borders (thin rows as wide as everything) are left out.
pub(crate) fn lines(ink: &[Inked], along_rad: f64) -> Vec<Line> {
    let rows = Rows::of(ink, along_rad);
    let smooth: Vec<f64> = (0..rows.counts.len())
        .map(|k| {
            let near = rows.counts.get(k.saturating_sub(1)..(k + 2).min(rows.counts.len())).unwrap_or_default();
            near.iter().sum::<f64>() / near.len().max(1) as f64
        })
        .collect();
    let mut sorted = smooth.clone();
    sorted.sort_by(f64::total_cmp);
    let quantile = |share: f64| sorted.get(((sorted.len().saturating_sub(1)) as f64 * share) as usize).copied().unwrap_or(0.0);
    // Where nothing but letters was found no row is quiet, save the outermost: the height at which letters have stems only is not one of them.
    let quiet = quantile(0.1).min(2.0 * quantile(0.02));
    let level = quiet + 0.17 * (quantile(0.97) - quiet);
    let mut runs: Vec<(usize, usize)> = Vec::new();
    for (k, count) in smooth.iter().enumerate() {
        if *count <= level {
            continue;
        }
        match runs.last_mut() {
            Some((_, end)) if *end + 1 >= k => *end = k,
            _ => runs.push((k, k)),
        }
    }
    let tallest = runs.iter().map(|(a, b)| b - a + 1).max().unwrap_or(0);
    runs.retain(|(a, b)| (b - a + 1) as f64 >= (0.28 * tallest as f64).max(4.0));
    // A crack or the corner of a frame is no line of words: it holds far less ink.
    let inked = |(a, b): &(usize, usize)| rows.counts.get(*a..=*b).unwrap_or_default().iter().sum::<f64>();
    let richest = runs.iter().map(inked).fold(0.0, f64::max);
    runs.retain(|run| inked(run) > 0.08 * richest);
    let along = Vec2::from_angle(along_rad);
    let down = Vec2::new(-along.y, along.x);
    runs.iter()
        .filter_map(|(a, b)| {
            let (top, bottom) = (rows.from + *a as f64 - 0.5, rows.from + *b as f64 + 1.5);
            let mut xs: Vec<f64> =
                ink.iter().map(|i| i.place.to_vec2()).filter(|v| (top..=bottom).contains(&v.dot(down))).map(|v| v.dot(along)).collect();
            xs.sort_by(f64::total_cmp);
            let cut = xs.len() / 200;
            let (left, right) = (xs.get(cut).copied()?, xs.get(xs.len() - 1 - cut).copied()?);
            Some(Line { left: left - 1.0, right: right + 1.0, top, bottom })
        })
        .collect()
}
