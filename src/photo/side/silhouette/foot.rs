//! Where the piece meets the table: the foot that the edges below speak for best as a whole.
//!
//! Shadow, cloth and glaze are hard to tell apart there point by point, but the near edge of a foot that stands on the table is an ellipse of which only the size is unknown,
//! and how the wall turns in to it. So some hundred feet are tried, and each is asked how much of its edge is seen.

use super::super::capacity::brim_ml;
use super::super::contour::{Contact, Contour};
use super::super::measure::Others;
use super::super::solid::Axis;
use super::super::view::View;
use super::edges::Leaning;
use crate::photo::card::Shades;
use kurbo::{Point, Vec2};
use rayon::prelude::*;

/// The wall is believed as it is from this share of the height up.
const BELIEVED_SHARE: f64 = 0.16;
/// And no lower than this, in mm.
const BELIEVED_MM: f64 = 7.0;
/// How far to either side of an edge the colours are compared, in pixels.
const BESIDE_PX: f64 = 2.0;
/// A change of colour of so much counts half.
const HALF: f64 = 9.0;

/// What colours count beside edges.
const COLOURS: f64 = 1.2;

/// What colours of the piece beyond an edge count against it.
const BEYOND: f64 = 1.0;

/// How the wall turns in to the foot, from the foot (0) to where it is believed (1): the share of the way outward.
const TURNS: [fn(f64) -> f64; 5] = [
    |t| (1.0 - (1.0 - (2.0 * t).min(1.0)).powi(2)).sqrt(),
    |t| t,
    |t| (t * (2.0 - t)).max(0.0).sqrt(),
    |t| ((t - 0.35) / 0.65).max(0.0),
    |t| {
        let t = ((t - 0.25) / 0.75).max(0.0);
        (t * (2.0 - t)).max(0.0).sqrt()
    },
];

/// How a wall goes on: the share of the way outward by the share of the way up.
pub(super) type Turn = fn(f64) -> f64;

/// How far outward a profile reaches at a height, both in mm. None where it does not rise through it.
pub(in super::super) fn radius_at(profile: &[(f64, f64)], high_mm: f64) -> Option<f64> {
    profile.windows(2).find_map(|w| match *w {
        [a, b] if a.1 <= high_mm && b.1 > high_mm => Some(a.0 + (b.0 - a.0) * (high_mm - a.1) / (b.1 - a.1)),
        _ => None,
    })
}

/// The feet that are tried on a profile that stands on a table.
struct Feet<'a> {
    profile: &'a [(f64, f64)],
    table_mm: f64,
    /// Up to where the wall is not believed, and its radius there.
    join: f64,
    wall: f64,
}

impl<'a> Feet<'a> {
    fn of(profile: &'a [(f64, f64)], table_mm: f64) -> Option<Self> {
        let &(_, top) = profile.last()?;
        let join = table_mm + ((top - table_mm) * BELIEVED_SHARE).max(BELIEVED_MM).min(0.6 * (top - table_mm).max(0.0));
        let wall = radius_at(profile, join)?;
        Some(Self { profile, table_mm, join, wall })
    }

    /// Radii and turns.
    fn all(&self) -> Vec<(f64, Turn)> {
        (0..=38).map(|share| self.wall * (0.35 + 0.02 * f64::from(share))).flat_map(|foot| TURNS.map(|turn| (foot, turn))).collect()
    }

    fn whole(&self, (foot, turn): (f64, Turn)) -> Vec<(f64, f64)> {
        let up = (0..POINTS).map(|k| k as f64 / POINTS as f64);
        let mut line: Vec<(f64, f64)> =
            up.map(|t| (foot + (self.wall - foot) * turn(t), self.table_mm + (self.join - self.table_mm) * t)).collect();
        line.push((self.wall, self.join));
        line.extend(self.profile.iter().copied().filter(|p| p.1 > self.join));
        line
    }

    /// How much is seen of each of them. Of a small foot, or of one behind the wall, little shows, and that little is the wall's own clear edge: so each is asked
    /// for as long an edge as shows of the longest.
    fn scored(&self, picture: &Shades, leaning: &Leaning<'_>, (view, axis): (&View, &Axis)) -> Vec<(f64, (f64, Turn))> {
        let eye = view.eye(axis);
        let seen_of = |foot: (f64, Turn)| {
            let contour = Contour::new(eye, &self.whole(foot), 0.0);
            let low = contour.contacts().iter().filter(|c| c.piece < POINTS);
            (seen(picture, Some(leaning), (view, axis), &contour, &low), foot)
        };
        let all: Vec<(Seen, (f64, Turn))> = self.all().into_par_iter().map(seen_of).collect();
        let longest = all.iter().map(|(seen, _)| seen.length).fold(0.0, f64::max);
        all.into_iter().map(|(seen, foot)| (seen.share_of(longest), foot)).collect()
    }
}

/// Points of a profile below where its wall is believed.
const POINTS: usize = 8;

/// The profile with the foot for which most is seen, standing at `table_mm` up the axis.
pub(in super::super) fn with_best_foot(
    picture: &Shades,
    leaning: &Leaning<'_>,
    placed: (&View, &Axis),
    profile: &[(f64, f64)],
    table_mm: f64,
) -> Vec<(f64, f64)> {
    let Some(feet) = Feet::of(profile, table_mm) else { return profile.to_vec() };
    let best = feet.scored(picture, leaning, placed).into_iter().max_by(|a, b| a.0.total_cmp(&b.0));
    best.map_or_else(|| profile.to_vec(), |(_, foot)| feet.whole(foot))
}

/// What other feet that are seen nearly as well say, where the wall is so thick.
pub(in super::super) fn other_feet(
    picture: &Shades,
    leaning: &Leaning<'_>,
    placed: (&View, &Axis),
    profile: &[(f64, f64)],
    (table_mm, wall_mm): (f64, f64),
) -> Others {
    let (Some(feet), Some(&(own, _))) = (Feet::of(profile, table_mm), profile.first()) else { return Others::default() };
    let whole = |(score, foot): (f64, (f64, Turn))| Scored { score, radius_mm: foot.0, profile: feet.whole(foot) };
    others(own, profile, wall_mm, feet.scored(picture, leaning, placed).into_iter().map(whole).collect())
}

/// A profile with one foot, or one rim, and how well that is seen.
pub(super) struct Scored {
    pub(super) score: f64,
    pub(super) radius_mm: f64,
    pub(super) profile: Vec<(f64, f64)>,
}

/// What others than the foot (or the rim) of a profile, which has that radius, say of it.
pub(super) fn others(radius_mm: f64, profile: &[(f64, f64)], wall_mm: f64, scored: Vec<Scored>) -> Others {
    let best = scored.iter().map(|s| s.score).fold(f64::NEG_INFINITY, f64::max);
    let own_ml = brim_ml(profile, wall_mm);
    let one = |there: Scored| {
        let p = ((there.score - best) / TEMPER).exp();
        (p > UNLIKELY).then(|| (p, there.radius_mm - radius_mm, brim_ml(&there.profile, wall_mm) - own_ml))
    };
    let likely: Vec<(f64, f64, f64)> = scored.into_par_iter().filter_map(one).collect();
    let sum = likely.iter().map(|(p, ..)| p).sum::<f64>().max(f64::MIN_POSITIVE);
    let mean = |of: &dyn Fn(f64, f64) -> f64| likely.iter().map(|&(p, mm, ml)| p * of(mm, ml)).sum::<f64>() / sum;
    let ml = mean(&|_, ml| ml);
    Others { mm: mean(&|mm, _| mm * mm).sqrt(), ml, ml_sd: mean(&|_, there| (there - ml) * (there - ml)).sqrt() }
}

/// What is less likely than this beside the best counts for nothing: all feet that are tried would together make up a fiftieth.
const UNLIKELY: f64 = 1e-4;

/// What is seen worse by so much is less likely by e. A choice of this program, from rendered photographs.
const TEMPER: f64 = 0.03;

/// How much is seen of an edge, and along how many pixels it was asked.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Seen {
    sum: f64,
    length: f64,
}

impl Seen {
    pub(super) fn share(self) -> f64 {
        if self.length > 0.0 { self.sum / self.length } else { 0.0 }
    }

    /// Of two edges together.
    pub(super) fn both(self, other: Self) -> f64 {
        Self { sum: self.sum + other.sum, length: self.length + other.length }.share()
    }

    /// Of so many pixels, along the rest of which nothing is seen.
    fn share_of(self, length: f64) -> f64 {
        if length > 0.0 { (self.sum - NOTHING * self.length) / length } else { 0.0 }
    }
}

/// What is seen at a place counts as much for an edge as against one: half of what a change counts ([`HALF`]), and no colours.
const NOTHING: f64 = 0.5;

/// How much of the edge is seen at those points of a contour, on both sides. Without colours only how much it changes there tells.
pub(super) fn seen<'a>(
    picture: &Shades,
    leaning: Option<&Leaning<'_>>,
    (view, axis): (&View, &Axis),
    contour: &Contour,
    contacts: &(impl Iterator<Item = &'a Contact> + Clone),
) -> Seen {
    let mut seen = Seen::default();
    for side in [false, true] {
        let mut last: Option<Point> = None;
        for contact in contacts.clone() {
            let contact: Contact = if side { contour.mirrored(contact) } else { *contact };
            let (Some(px), Some(out)) = (view.px(axis, contact.at), view.px(axis, contact.at + contact.normal)) else {
                continue;
            };
            let weight = last.map_or(0.0, |l| (px - l).hypot().min(12.0));
            last = Some(px);
            let across = (out - px).normalize();
            let colours = leaning.map_or(0.0, |l| COLOURS * l.step(px, across) - BEYOND * l.beyond(px, across));
            seen.sum += weight * (edge(picture, px, across) + colours);
            seen.length += weight;
        }
    }
    seen
}

/// How much of an edge is seen at a place, 0 to 1.
pub(super) fn edge(picture: &Shades, px: Point, across: Vec2) -> f64 {
    let along = Vec2::new(-across.y, across.x);
    let mean = |by: f64| {
        let mut sum = [0.0_f64; 3];
        for beside in [-1.5, 0.0, 1.5] {
            for (s, v) in sum.iter_mut().zip(picture.at(px + across * by + along * beside)) {
                *s += f64::from(v) / 3.0;
            }
        }
        sum
    };
    let (inner, outer) = (mean(-BESIDE_PX), mean(BESIDE_PX));
    let change = inner.iter().zip(outer).map(|(a, b)| (a - b) * (a - b)).sum::<f64>().sqrt();
    change / (change + HALF)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_foot_of_which_little_shows_is_asked_for_as_long_an_edge() {
        // 100 pixels of the wall's clear edge, and 400 of a foot that is a little less clear.
        let (behind, whole) = (Seen { sum: 150.0, length: 100.0 }, Seen { sum: 480.0, length: 400.0 });
        assert!(behind.share() > whole.share() && behind.share_of(400.0) < whole.share_of(400.0));
        // And what shows of one that is not there counts against it.
        let nothing = Seen { sum: 100.0, length: 400.0 };
        assert!(nothing.share_of(400.0) < Seen::default().share_of(400.0));
        assert!(Seen::default().share_of(0.0).abs() < 1e-12);
    }

    #[test]
    fn others_that_are_seen_alike_count_alike() {
        let cup = |foot: f64| vec![(foot, 0.0), (foot, 20.0), (40.0, 21.0), (40.0, 80.0)];
        let [own, wide] = [30.0, 40.0].map(|foot| brim_ml(&cup(foot), 4.0));
        let scored = [(1.4, 30.0), (1.4, 40.0), (0.9, 10.0)].map(|(score, foot)| Scored { score, radius_mm: foot, profile: cup(foot) });
        let found = others(30.0, &cup(30.0), 4.0, scored.into());
        assert!((found.mm - 50.0_f64.sqrt()).abs() < 1e-9, "{found:?}");
        let half = 0.5 * (wide - own);
        assert!(half > 5.0 && (found.ml - half).abs() < 1e-9 && (found.ml_sd - half).abs() < 1e-9, "{found:?}, {half}");
    }
}
