//! Where three edges are among the lines: the fourth is where a card's proportions and the lens say, and what is seen along that one line speaks for it.
//!
//! A card that stands before a cloth as light as itself, its foot in its own shadow, has three clear edges and one too faint to be found by itself. Through each
//! line and the lens runs a plane; two of them tell the direction of two sides, the third that of the end between, which is square to it; and as the end's length
//! is known, so is the place of everything.

use super::find::{Guess, focals, least_side, wound};
use super::lines::Line;
use super::{LONG_MM, SHORT_MM, Shades};
use crate::photo::camera::{Believed, Lens};
use kurbo::{Point, Vec2};
use nalgebra::Vector3;
use rayon::prelude::*;

/// So much of the three edges must be seen, all together and of each: as one is taken on less, more is asked of the others than where there are four.
const LEAST_SEEN: f64 = 0.6;
const LEAST_OF_EACH: f64 = 0.4;
/// The fourth edge is looked for about its place, as a share of its distance, in so many steps to either side: a line is drawn to a third of a pixel, which on a
/// card 200 pixels long turns the vanishing point by so much that the far edge moves by three in a hundred, seen 30° aslant.
const ABOUT: (f64, i32) = (0.05, 5);
/// Places looked at along it.
const PLACES: usize = 24;
/// The colours beside it differ by at least so many of 255 steps in the mean: less than the lines' own change over a pixel, as the mean has less grain.
const LEAST_STEP: f64 = 2.0;
/// How many places for it are kept of one guess.
const MOST_PLACES: usize = 2;

/// Of so many of the best threes the fourth edge is looked for: on gingham there are a million.
const MOST_THREES: usize = 6000;

/// Guesses by three lines, in no order.
pub(super) fn by_three(lines: &[Line], pairs: &[(usize, usize)], small: &Shades, whole: &Shades, believed: &Believed) -> Vec<Guess> {
    let least = least_side(small);
    let three = |a: usize, b: usize, end: usize| Three::of([lines.get(a)?, lines.get(b)?], lines.get(end)?, least);
    let mut threes: Vec<(f64, [usize; 3], usize)> = pairs
        .par_iter()
        .flat_map_iter(|&(a, b)| {
            let ends = (0..lines.len()).filter_map(move |end| Some((end, three(a, b, end)?)));
            ends.flat_map(move |(end, three)| {
                let lies = three.lies(believed);
                let scored =
                    lies.iter().enumerate().filter_map(|(i, lie)| Some((three.told(lie.far(1.0)?, small)?.score(), [a, b, end], i)));
                scored.collect::<Vec<_>>()
            })
        })
        .collect();
    threes.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)).then(a.2.cmp(&b.2)));
    threes.truncate(MOST_THREES);
    threes
        .par_iter()
        .filter_map(|(_, [a, b, end], i)| {
            let three = three(*a, *b, *end)?;
            let lie = *three.lies(believed).get(*i)?;
            Some(three.guesses(&lie, small, whole, believed))
        })
        .flatten()
        .collect()
}

/// Two sides and the end between them.
struct Three<'a> {
    sides: [&'a Line; 2],
    /// Where the sides meet the end.
    corners: [Point; 2],
    /// How much of the end is seen, and how much it goes on past the corners.
    seen: f64,
    past: f64,
}

impl<'a> Three<'a> {
    /// None where the end is too short or too little seen.
    fn of(sides: [&'a Line; 2], end: &'a Line, least: f64) -> Option<Self> {
        if sides.iter().any(|side| side.along.cross(end.along).abs() < 0.7) {
            return None;
        }
        let corners = [sides[0].meets(end)?, sides[1].meets(end)?];
        if (corners[1] - corners[0]).hypot() < least {
            return None;
        }
        let (seen, past) = along(end, corners[0], corners[1]);
        (seen >= LEAST_OF_EACH).then_some(Self { sides, corners, seen, past })
    }

    /// How the cards lie that have these three edges, to one side of the end and to the other, it being their short or their long side.
    fn lies(&self, believed: &Believed) -> Vec<Lie> {
        let mut lies = Vec::new();
        for focal in focals(believed) {
            let lens = Lens { focal_px: believed.lens.focal_px * focal, ..believed.lens };
            for (end_mm, side_mm) in [(SHORT_MM, LONG_MM), (LONG_MM, SHORT_MM)] {
                if let Some((ends, side)) = self.placed(&lens, end_mm) {
                    lies.extend([-side_mm, side_mm].map(|mm| Lie { lens, ends, side: side * mm }));
                }
            }
        }
        lies
    }

    /// Where before the camera the two corners lie, in mm, the end being so long, and the direction of the sides.
    fn placed(&self, lens: &Lens, end_mm: f64) -> Option<([Vector3<f64>; 2], Vector3<f64>)> {
        let ray = |px: Point| {
            let slope = lens.slope(px);
            Vector3::new(slope.x, slope.y, 1.0)
        };
        let size = (self.corners[1] - self.corners[0]).hypot();
        let [p, q] = self.corners.map(ray);
        let plane = |corner: Point, side: &Line| ray(corner).cross(&ray(corner + side.along * size));
        let side = plane(self.corners[0], self.sides[0]).cross(&plane(self.corners[1], self.sides[1])).try_normalize(1e-12)?;
        let square = p.cross(&q);
        let mut end = side.cross(&square).try_normalize(1e-12)? * end_mm;
        // The second corner is the first and the end: what of them lies square to the first's ray tells how far off it is.
        let mut far = p.cross(&end).dot(&square) / square.norm_squared();
        if far < 0.0 {
            (far, end) = (-far, -end);
        }
        Some(([q * far - end, q * far], side))
    }

    /// How much is seen of the three edges. None where that is too little, or the corners lie outside the picture.
    fn told(&self, ends: [Point; 2], small: &Shades) -> Option<Told> {
        let least = least_side(small);
        let edge = 2.0 * small.scale;
        let (w, h) = (small.width as f64 * small.scale, small.height as f64 * small.scale);
        let inside = |p: &Point| p.x > edge && p.y > edge && p.x < w - edge && p.y < h - edge;
        let short = |a: Point, b: Point| (b - a).hypot() < least;
        if !ends.iter().chain(&self.corners).all(inside)
            || short(ends[0], ends[1])
            || ends.iter().zip(&self.corners).any(|(a, b)| short(*a, *b))
        {
            return None;
        }
        let ([one, other], [from, beside], [to, across]) = (self.sides, self.corners, ends);
        let ((a, past_a), (b, past_b)) = (along(one, from, to), along(other, beside, across));
        let told = Told { three: a + b + self.seen, weakest: a.min(b).min(self.seen), past: (self.past + past_a + past_b) / 3.0 };
        (told.three / 3.0 >= LEAST_SEEN && told.weakest >= LEAST_OF_EACH).then_some(told)
    }

    /// Guesses where along the fourth edge most is seen.
    fn guesses(&self, lie: &Lie, small: &Shades, whole: &Shades, believed: &Believed) -> Vec<Guess> {
        let Some(told) = lie.far(1.0).and_then(|ends| self.told(ends, small)) else { return Vec::new() };
        let middle = self.corners[0].midpoint(self.corners[1]);
        let steps: Vec<([Point; 2], f64)> = (-ABOUT.1..=ABOUT.1)
            .filter_map(|i| lie.far(1.0 + ABOUT.0 * f64::from(i) / f64::from(ABOUT.1)))
            .map(|ends| (ends, changes_over(whole, ends, middle)))
            .collect();
        let height = |i: usize| steps.get(i).map_or(0.0, |s| s.1);
        let mut tops: Vec<_> = steps
            .iter()
            .enumerate()
            .filter(|(i, (_, own))| *own > 0.0 && *own >= height(i.wrapping_sub(1)) && *own >= height(i + 1))
            .map(|(_, top)| *top)
            .collect();
        tops.sort_by(|a, b| b.1.total_cmp(&a.1));
        tops.truncate(MOST_PLACES);
        tops.into_iter()
            .filter_map(|([p, q], fourth)| {
                let (corners, miss) = wound([self.corners[0], self.corners[1], q, p], believed)?;
                (miss < 0.05).then(|| Guess { corners, score: told.with(fourth) - 6.0 * miss })
            })
            .collect()
    }
}

/// How much is seen of three edges.
struct Told {
    /// Of all together, 0 to 3.
    three: f64,
    weakest: f64,
    past: f64,
}

impl Told {
    fn score(&self) -> f64 {
        self.with(1.0)
    }

    /// By the fourth edge, too, weighed as guesses by four lines are.
    fn with(&self, fourth: f64) -> f64 {
        (self.three + fourth) / 4.0 + 0.3 * self.weakest.min(fourth) - 0.6 * self.past
    }
}

/// A card by three of its edges, as it lies before the camera.
#[derive(Clone, Copy)]
struct Lie {
    lens: Lens,
    ends: [Vector3<f64>; 2],
    /// From the end to the edge across, in mm.
    side: Vector3<f64>,
}

impl Lie {
    /// The corners across, for a share of the sides' length.
    fn far(&self, share: f64) -> Option<[Point; 2]> {
        let [p, q] = self.ends.map(|end| {
            let place = end + self.side * share;
            let centre = self.lens.centre_px;
            (place.z > 0.0).then(|| self.lens.bent(centre + Vec2::new(place.x, place.y) / place.z * self.lens.focal_px))
        });
        Some([p?, q?])
    }
}

/// How much of a line between two corners is an edge, and how much of it past them.
fn along(line: &Line, from: Point, to: Point) -> (f64, f64) {
    let (s, e) = (line.place(from), line.place(to));
    let (cut, beyond) = (0.05 * (e - s), 0.2 * (e - s));
    (line.covered(s + cut, e - cut), f64::midpoint(line.covered(s - beyond, s), line.covered(e, e + beyond)))
}

/// How much of a line is crossed by one and the same change of colour, 0 to 1: `within` lies on the card's side of it.
fn changes_over(whole: &Shades, [from, to]: [Point; 2], within: Point) -> f64 {
    let run = (to - from).normalize();
    let out = Vec2::new(-run.y, run.x);
    let out = if out.dot(within - from) > 0.0 { -out } else { out } * (1.5 * whole.scale);
    let steps: Vec<Vector3<f64>> = (0..PLACES)
        .map(|i| from.lerp(to, 0.08 + 0.84 * (i as f64 + 0.5) / PLACES as f64))
        .map(|px| {
            let (inside, outside) = (whole.at(px - out), whole.at(px + out));
            Vector3::from_iterator(inside.iter().zip(outside).map(|(a, b)| f64::from(b - a)))
        })
        .collect();
    let mean = steps.iter().sum::<Vector3<f64>>() / PLACES as f64;
    if mean.norm() < LEAST_STEP {
        return 0.0;
    }
    steps.iter().filter(|step| step.dot(&mean) > 0.4 * mean.norm_squared()).count() as f64 / PLACES as f64
}
