//! What is seen across an edge of the card: two steps, from its face to its side and from its side to what it lies on.
//!
//! At each place along the edge the colours of face and ground are its own; the side has one colour along the whole edge. All of them go into the samples
//! linearly, so they are taken out of the reckoning (Golub & Pereyra, SIAM Journal on Numerical Analysis 10, 1973, 413–432; from memory of the paper), and only
//! where the edge lies and how a step is spread remains to be found.

use crate::photo::camera::Measured;
use kurbo::{Point, Vec2};
use nalgebra::{DVector, Matrix3, Vector3};

/// Samples across an edge are so many pixels apart.
pub(super) const STEP_PX: f64 = 0.5;
/// So much of the misfit of neighbouring samples is one and the same: what misfits here is less grain than the camera's own way to draw a step, which is the same
/// all along an edge (our own estimate from rendered cards).
const TOGETHER: f64 = 30.0;
/// The side of a card is so bright as a share of a white thing that lies beside it: it stands upright (our own estimate).
const SIDE: Measured = Measured::new(0.3, 0.2);

/// What is seen across the edge at one place.
pub(super) struct Across {
    /// Where the face's edge is thought to be.
    pub(super) px: Point,
    /// One pixel outward.
    pub(super) outward: Vec2,
    /// From −0.5 to 0.5 along the edge.
    pub(super) along: f64,
    /// How far the side shows beyond the face, in pixels.
    pub(super) side_px: f64,
    /// Where the first sample lies, in pixels outward.
    pub(super) from_px: f64,
    /// Linear light of red, green and blue.
    pub(super) light: [Vec<f64>; 3],
}

/// The numbers of an edge: how far it lies outward, how far its end is turned outward, how far its middle is bowed outward, by how much a step is spread (one
/// standard deviation), all in pixels; and by what share sharpening draws it over.
pub(super) const NUMBERS: usize = 5;

/// How far outward the edge lies at a place, in pixels.
pub(super) fn shift_at(p: &DVector<f64>, along: f64) -> f64 {
    let n = |i: usize| p.get(i).copied().unwrap_or(0.0);
    n(0) + n(1) * 2.0 * along + n(2) * (1.0 - 8.0 * along * along)
}

/// A step at 0 as it is seen, from 0 to 1, kept for quick reading.
struct Step {
    values: Vec<f64>,
}

impl Step {
    const REACH_PX: f64 = 12.0;
    const FINE: f64 = 32.0;

    fn new(spread: f64, sharpened: f64) -> Self {
        // Six standard deviations away it is 0 or 1 to 1e-9.
        let normal = |x: f64| if x.abs() < 6.0 { 0.5 * libm::erfc(-x / std::f64::consts::SQRT_2) } else { f64::from(u8::from(x > 0.0)) };
        let count = (2.0 * Self::REACH_PX * Self::FINE) as usize + 2;
        let values = (0..count)
            .map(|i| i as f64 / Self::FINE - Self::REACH_PX)
            .map(|x| (1.0 + sharpened) * normal(x / spread) - sharpened * normal(x / spread.hypot(1.0)))
            .collect();
        Self { values }
    }

    fn at(&self, x: f64) -> f64 {
        let place = (x.clamp(-Self::REACH_PX, Self::REACH_PX) + Self::REACH_PX) * Self::FINE;
        let (i, share) = (place as usize, place.fract());
        let get = |i: usize| self.values.get(i).copied().unwrap_or(1.0);
        get(i) * (1.0 - share) + get(i + 1) * share
    }

    fn slope(&self, x: f64) -> f64 {
        let h = 1.0 / Self::FINE;
        (self.at(x + h) - self.at(x - h)) / (2.0 * h)
    }
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(x, y)| x * y).sum()
}

/// Takes out of a column what some others can make of it.
struct Without {
    columns: [Vec<f64>; 3],
    inverse: Matrix3<f64>,
}

impl Without {
    fn new(columns: [Vec<f64>; 3]) -> Option<Self> {
        let [a, b, c] = &columns;
        let (ab, ac, bc) = (dot(a, b), dot(a, c), dot(b, c));
        let products = Matrix3::new(dot(a, a), ab, ac, ab, dot(b, b), bc, ac, bc, dot(c, c)) + Matrix3::identity() * 1e-6;
        Some(Self { inverse: products.try_inverse()?, columns })
    }

    /// What is left of it, and how much of each goes into it.
    fn of(&self, y: &[f64]) -> (Vec<f64>, Vector3<f64>) {
        let by = self.inverse * Vector3::from_iterator(self.columns.iter().map(|c| dot(c, y)));
        let mut left = y.to_vec();
        for (column, by) in self.columns.iter().zip(by.iter()) {
            for (l, c) in left.iter_mut().zip(column) {
                *l -= by * c;
            }
        }
        (left, by)
    }
}

/// What is known of an edge before it is looked at.
#[derive(Debug, Clone, Copy)]
pub(super) struct Known {
    /// Linear light of a white thing near the card, of red, green and blue.
    pub(super) white: [f64; 3],
    /// Standard deviation of a sample.
    pub(super) noise: f64,
    /// By how much a step is spread, in pixels, and drawn over.
    pub(super) spread: Measured,
    pub(super) sharpened: Measured,
    /// Where the edge is thought to be, in pixels outward: the change that was seen first is that of one of the steps, or of both together.
    pub(super) near_px: f64,
}

/// What is left of the samples when colours are what suits them best.
pub(super) struct Left {
    /// For each place and colour: samples minus what they should be.
    pub(super) rows: Vec<[Vec<f64>; 3]>,
    /// How these change when the edge at that place moves outward by a pixel and colours go along.
    pub(super) slopes: Vec<[Vec<f64>; 3]>,
    /// How far the side's colour is from what was believed of it, in standard deviations.
    pub(super) side_off: [f64; 3],
}

/// One place's columns.
struct One {
    without: Without,
    side: Vec<f64>,
    side_left: Vec<f64>,
    y_left: [Vec<f64>; 3],
}

fn one(place: &Across, p: &DVector<f64>, step: &Step) -> Option<One> {
    let e = shift_at(p, place.along);
    let count = place.light.iter().map(Vec::len).min().unwrap_or(0);
    let [mut face, mut side, mut ground, mut fading] = std::array::from_fn(|_| Vec::with_capacity(count));
    for i in 0..count {
        let x = place.from_px + i as f64 * STEP_PX - e;
        let (a, b) = (step.at(x), step.at(x - place.side_px));
        face.push(1.0 - a);
        side.push(a - b);
        ground.push(b);
        // Beside a card the ground may grow darker or lighter evenly.
        fading.push(b * (x - place.side_px).max(0.0));
    }
    let without = Without::new([face, ground, fading])?;
    let side_left = without.of(&side).0;
    let y_left = place.light.each_ref().map(|y| without.of(y).0);
    Some(One { without, side, side_left, y_left })
}

/// What is left of the samples; with `slopes` also how that changes.
pub(super) fn left(places: &[Across], weights: &[f64], p: &DVector<f64>, known: &Known, slopes: bool) -> Left {
    let n = |i: usize| p.get(i).copied().unwrap_or(0.0);
    let step = Step::new(n(3).clamp(0.3, 4.0), n(4).clamp(-0.9, 3.0));
    let ones: Vec<Option<One>> = places.iter().map(|place| one(place, p, &step)).collect();
    // The side's colour, by all places together and what is believed of it.
    let unit = known.noise * known.noise * TOGETHER;
    let mut side_off = [0.0; 3];
    let mut side = [0.0; 3];
    for (k, ((colour, off), white)) in side.iter_mut().zip(&mut side_off).zip(known.white).enumerate() {
        let (mut up, mut down) = (0.0, 0.0);
        for (one, w) in ones.iter().zip(weights).filter_map(|(o, w)| Some((o.as_ref()?, w))) {
            let Some(y) = one.y_left.get(k) else { continue };
            up += w * dot(&one.side_left, y);
            down += w * dot(&one.side_left, &one.side_left);
        }
        // The three colours are believed together, as one.
        let (mean, sd) = (SIDE.value * white, SIDE.sd * white * 3.0_f64.sqrt());
        let trust = unit / (sd * sd);
        *colour = (up + trust * mean) / (down + trust);
        *off = (*colour - mean) / sd;
    }
    let mut out = Left { rows: Vec::with_capacity(ones.len()), slopes: Vec::new(), side_off };
    for (one, place) in ones.iter().zip(places) {
        let (mut rows, mut changes) = ([const { Vec::new() }; 3], [const { Vec::new() }; 3]);
        let Some(one) = one else {
            out.rows.push(rows);
            if slopes {
                out.slopes.push(changes);
            }
            continue;
        };
        let e = shift_at(p, place.along);
        for (((row, change), y), b) in rows.iter_mut().zip(&mut changes).zip(&place.light).zip(side) {
            let rest: Vec<f64> = y.iter().zip(&one.side).map(|(y, f)| y - b * f).collect();
            let (misfit, by) = one.without.of(&rest);
            *row = misfit;
            if slopes {
                let moved: Vec<f64> = (0..y.len())
                    .map(|i| place.from_px + i as f64 * STEP_PX - e)
                    .map(|x| (by.x - b) * step.slope(x) + (b - by.y) * step.slope(x - place.side_px))
                    .collect();
                *change = one.without.of(&moved).0;
            }
        }
        out.rows.push(rows);
        if slopes {
            out.slopes.push(changes);
        }
    }
    out
}

/// How far an edge may lie from where it is thought to be, be turned against where it was seen at first, and bowed, in pixels.
const NEAR_PX: f64 = 0.3;
const TURN_PX: f64 = 0.4;
const BOW_PX: f64 = 0.5;

/// What is left of the samples and of all that was believed, in standard deviations.
pub(super) fn residuals(places: &[Across], weights: &[f64], known: &Known, p: &DVector<f64>) -> DVector<f64> {
    let left = left(places, weights, p, known, false);
    let mut rows: Vec<f64> = Vec::new();
    for (place, w) in left.rows.iter().zip(weights) {
        let root = w.sqrt() / (known.noise * TOGETHER.sqrt());
        rows.extend(place.iter().flatten().map(|r| r * root));
    }
    let n = |i: usize| p.get(i).copied().unwrap_or(0.0);
    rows.push((n(0) - known.near_px) / NEAR_PX);
    rows.push(n(1) / TURN_PX);
    rows.push(n(2) / BOW_PX);
    rows.push((n(3) - known.spread.value) / known.spread.sd);
    rows.push((n(4) - known.sharpened.value) / known.sharpened.sd);
    rows.extend(left.side_off);
    DVector::from_vec(rows)
}

/// So many places side by side are looked at as one where two explanations are set against one another: what grain does goes out of it.
const BLOCK: usize = 13;
/// Misfit of such blocks tells as much as so many independent samples would (our own estimate).
const BLOCKS_TELL: f64 = 3.0;

/// How ill an explanation suits the samples: mean square of the misfit of blocks.
pub(super) fn blocks(left: &Left) -> f64 {
    let (mut sum, mut n) = (0.0, 0.0_f64);
    for block in left.rows.chunks(BLOCK) {
        for k in 0..3 {
            let rows: Vec<&Vec<f64>> = block.iter().filter_map(|place| place.get(k)).collect();
            for i in 0..rows.iter().map(|r| r.len()).min().unwrap_or(0) {
                let mean = rows.iter().filter_map(|r| r.get(i)).sum::<f64>() / rows.len() as f64;
                sum += mean * mean;
                n += 1.0;
            }
        }
    }
    sum / n.max(1.0)
}

/// The share of each explanation, by the misfit of its blocks and how far the side's colour is from what was believed.
pub(super) fn shares(explained: &[Left]) -> Vec<f64> {
    let misfits: Vec<f64> = explained.iter().map(blocks).collect();
    let least = misfits.iter().copied().fold(f64::INFINITY, f64::min).max(1e-12);
    let costs: Vec<f64> =
        explained.iter().zip(&misfits).map(|(e, m)| BLOCKS_TELL * m / least + e.side_off.iter().map(|o| o * o).sum::<f64>()).collect();
    let best = costs.iter().copied().fold(f64::INFINITY, f64::min);
    let weights: Vec<f64> = costs.iter().map(|c| (-0.5 * (c - best)).exp()).collect();
    let sum: f64 = weights.iter().sum();
    weights.iter().map(|w| w / sum).collect()
}
