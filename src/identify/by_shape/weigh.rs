//! From distances between shapes to likelihoods.
//!
//! A piece of a form has the form's profile, grown or shrunk as a whole by the give of firing, and read with an error of some millimetres. Errors of
//! neighbouring heights go together, so a profile counts as [`BENDS`] readings of the mean deviation d, not as one a millimetre:
//! `ln p = −½ BENDS (π/2) (d/σ)² − ½ (g/σ_g)²`, at the growth g that makes it greatest; √(π/2) makes a mean absolute deviation a standard one.
//! A small share of readings have nothing to do with the piece (a wrong outline): they are spread broadly, over [`BROAD_SHARE`] of the piece's size.

use super::bands::{Row, at_least, row_mm};
use super::error::ShapeError;
use super::library::{Entry, LidOn, Scaling, ShapeIndex};
use super::profile::HalfProfile;
use crate::key::FormId;
use rayon::prelude::*;
use serde::{Deserialize, Serialize};
use std::f64::consts::FRAC_PI_2;

/// How many independent readings a profile is worth. A choice of this program, no source.
const BENDS: f64 = 4.0;

/// How far a form's drawing strays from its pieces beside the give of firing, one standard deviation in mm. A choice of this program, no source.
const DRAWN_SD_MM: f64 = 0.8;

/// Share of measured outlines that are wrong. A choice of this program, no source.
const SLIP: f64 = 0.02;

/// The spread of shapes at large, as a share of the square root of their area. A choice of this program, no source.
const BROAD_SHARE: f64 = 0.15;

/// Growths that are tried between −3 and 3 standard deviations of the give, before the best is refined.
const GROWTHS: [f64; 13] = [-3.0, -2.5, -2.0, -1.5, -1.0, -0.5, 0.0, 0.5, 1.0, 1.5, 2.0, 2.5, 3.0];

/// A form whose bound lies so far below what slips alone give (natural logarithm) is not compared: neither what the growths between those
/// tried change, nor the form's own part (e⁻⁴⁰), could be seen in the sum.
const FAR: f64 = 50.0;

/// A half profile read on a piece.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ShapeReading<'a> {
    /// The half profile.
    pub profile: &'a HalfProfile,
    /// How uncertain it is, one standard deviation in mm.
    pub sd_mm: f64,
    /// Whether the lid was on.
    pub lid: LidOn,
    /// Whether its size counts. Where heights and diameters of the same photograph are answered too, take [`Scaling::AnySize`], or they count twice.
    pub scaling: Scaling,
}

/// How well the shape seen goes with each form: natural logarithms of likelihoods, on a scale of their own on which a perfect match is about 0.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct ShapeSeen {
    /// Each form that has a profile, in the order of ids. Forms that are not here are neutral.
    pub of_forms: Vec<(FormId, f64)>,
    /// The likelihood on a piece of any shape at all.
    pub broad: f64,
}

impl ShapeSeen {
    /// The logarithm for a form. None where it has no profile, which is neutral.
    pub fn of(&self, form: &FormId) -> Option<f64> {
        let at = self.of_forms.binary_search_by(|(id, _)| id.cmp(form)).ok()?;
        self.of_forms.get(at).map(|f| f.1)
    }
}

impl ShapeIndex {
    /// The likelihood of a shape on every form that has one.
    ///
    /// # Errors
    /// Where the uncertainty is not a number above 0.
    pub fn weigh(&self, reading: &ShapeReading<'_>) -> Result<ShapeSeen, ShapeError> {
        if !(reading.sd_mm > 0.0 && reading.sd_mm.is_finite()) {
            return Err(ShapeError::NotASpread { given: reading.sd_mm });
        }
        let sd = reading.sd_mm.hypot(DRAWN_SD_MM);
        let wide = (BROAD_SHARE * reading.profile.area_mm2().sqrt()).max(2.0 * sd);
        let broad = BENDS * (sd / wide).ln();
        let floor = SLIP.ln() + broad;
        let weigher = Weigher::new(self, reading, sd, floor);
        let mut of_entries: Vec<(usize, f64)> = self
            .entries
            .par_iter()
            .enumerate()
            .filter(|(_, entry)| entry.is_meant(reading.lid))
            .map(|(i, entry)| (entry.form, weigher.log_likelihood(i, entry)))
            .collect();
        // The better of a form's two entries; they lie behind one another.
        of_entries.dedup_by(|later, first| {
            let same = later.0 == first.0;
            if same {
                first.1 = first.1.max(later.1);
            }
            same
        });
        let of_forms = of_entries.into_iter().filter_map(|(i, log)| Some((self.form(i)?.clone(), log))).collect();
        Ok(ShapeSeen { of_forms, broad })
    }
}

struct Weigher<'a> {
    index: &'a ShapeIndex,
    reading: &'a ShapeReading<'a>,
    sd: f64,
    /// The logarithm that slips alone give.
    floor: f64,
    length: f64,
    /// One standard deviation of the give, as a share.
    give: f64,
    /// The bands of the profile at each growth in turn; of area 1 there is one.
    rows: Vec<(f64, Row)>,
}

impl<'a> Weigher<'a> {
    fn new(index: &'a ShapeIndex, reading: &'a ShapeReading<'a>, sd: f64, floor: f64) -> Self {
        let give = index.give_percent / 200.0;
        let rows = match reading.scaling {
            Scaling::AnySize => vec![(0.0, ShapeIndex::own_row(reading.profile, Scaling::AnySize))],
            Scaling::TrueSize if give <= 0.0 => vec![(0.0, ShapeIndex::own_row(reading.profile, Scaling::TrueSize))],
            Scaling::TrueSize => GROWTHS.iter().map(|&z| (z, row_mm(reading.profile.outline(), 1.0 + z * give))).collect(),
        };
        Self { index, reading, sd, floor, length: reading.profile.length_mm(), give, rows }
    }

    fn log_likelihood(&self, i: usize, entry: &Entry) -> f64 {
        let Some(row) = self.index.rows(self.reading.scaling).get(i) else { return self.floor };
        // The bound at a growth tried holds near it, too, but for what half a step of growth changes.
        let bounds = self.rows.iter().map(|(z, own)| (*z, self.cost(f64::from(at_least(own, row)), entry, *z)));
        let Some((z, bound)) = bounds.min_by(|a, b| a.1.total_cmp(&b.1)) else { return self.floor };
        if -bound < self.floor - FAR {
            return self.floor;
        }
        let cost = match self.reading.scaling {
            Scaling::AnySize => self.cost(self.index.distance(self.reading.profile, i, Scaling::AnySize), entry, 0.0),
            Scaling::TrueSize if self.give <= 0.0 => self.cost(self.index.distance(self.reading.profile, i, Scaling::TrueSize), entry, 0.0),
            Scaling::TrueSize => self.least_cost(entry, z),
        };
        let fits = (1.0 - SLIP).ln() - cost;
        let (more, less) = if fits > self.floor { (fits, self.floor) } else { (self.floor, fits) };
        more + (less - more).exp().ln_1p()
    }

    /// −ln p of a distance at a growth of so many standard deviations.
    fn cost(&self, distance: f64, entry: &Entry, growths: f64) -> f64 {
        let deviation = match self.reading.scaling {
            Scaling::TrueSize => distance / (0.5 * (self.length + entry.length)),
            Scaling::AnySize => distance * self.reading.profile.area_mm2() / self.length,
        };
        let z = deviation / self.sd;
        0.5 * BENDS * FRAC_PI_2 * z * z + 0.5 * growths * growths
    }

    /// The least cost over growths near one tried, by golden sections.
    fn least_cost(&self, entry: &Entry, near: f64) -> f64 {
        const SHARE: f64 = 0.618_033_988_749_895;
        let at = |z: f64| self.cost(self.reading.profile.outline().area_between(1.0 + z * self.give, &entry.outline, 1.0), entry, z);
        let (mut low, mut high) = (near - 1.0, near + 1.0);
        let (mut a, mut b) = (high - SHARE * (high - low), low + SHARE * (high - low));
        let (mut at_a, mut at_b) = (at(a), at(b));
        for _ in 0..14 {
            if at_a < at_b {
                (high, b, at_b) = (b, a, at_a);
                a = high - SHARE * (high - low);
                at_a = at(a);
            } else {
                (low, a, at_a) = (a, b, at_b);
                b = low + SHARE * (high - low);
                at_b = at(b);
            }
        }
        at_a.min(at_b).min(at(near))
    }
}
