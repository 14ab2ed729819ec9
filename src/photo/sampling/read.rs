//! A colour of a photograph against what a key knows: which glaze or clay it may be, and in words.

use super::sampled::Sampled;
use crate::colour::{ColourName, Munsell};
use crate::identify::colours::{self, Known, Ranking, Twins};
use crate::key::{Feature, Key};
use crate::say;

/// What a photograph is worth.
pub fn hint() -> &'static str {
    say!("a photograph under a lamp is a hint, not a measurement")
}

/// Unknown paper: brighteners and yellowing, ΔE00, one standard deviation. A choice of this program, no source.
const PAPER_SD: f64 = 1.5;
/// How often the area is not of the glaze at all (a shadow, a band, the cloth). Lower than a feature's slip rate, which is of the eye. No source.
const SLIP: f64 = 0.005;
/// Standard deviations beyond which nothing is near: 95 in 100 of a three-dimensional normal (χ² of 3 degrees, 7.815).
const NEAR: f64 = 2.796;

/// What the white was.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum WhiteIs {
    /// Made to be white or grey: the border of a card, a patch.
    #[default]
    Known,
    /// Paper of no known kind, which widens the spread.
    Paper,
}

/// A colour that was read, weighed and put into words.
#[derive(Debug, Clone, PartialEq)]
pub struct ColourRead {
    /// The colour.
    pub sampled: Sampled,
    /// Its uncertainty with that of the white: ΔE00, one standard deviation along each axis.
    pub spread: f64,
    /// The key's colours, the likeliest first.
    pub ranking: Ranking,
    /// Those that cannot be told apart by it.
    pub twins: Vec<Twins>,
    /// Munsell notation. None outside of it.
    pub munsell: Option<Munsell>,
    /// ISCC–NBS name.
    pub name: Option<&'static ColourName>,
    /// What a person should know, each a sentence.
    pub notes: Vec<String>,
}

impl ColourRead {
    /// Weighs a colour against the values of a feature, or against all glazes.
    pub fn of(key: &Key, feature: Option<&Feature>, sampled: Sampled, white: WhiteIs) -> Self {
        let known = feature.map_or_else(|| colours::glazes(key), |feature| colours::values(key, feature));
        Self::among(key, &known, sampled, white)
    }

    /// Weighs a colour against those given.
    pub fn among(key: &Key, known: &[Known], sampled: Sampled, white: WhiteIs) -> Self {
        let spread = match white {
            WhiteIs::Known => sampled.sd_delta_e,
            WhiteIs::Paper => sampled.sd_delta_e.hypot(PAPER_SD),
        };
        let ranking = colours::rank(known, SLIP, sampled.lab, spread);
        let twins = colours::twins(key, &ranking, spread);
        let munsell = Munsell::from_lab(sampled.lab);
        let mut notes = vec![hint().to_owned()];
        notes.extend(sampled.notes.iter().cloned());
        let nearest = ranking.likely.iter().min_by(|a, b| a.delta_e.total_cmp(&b.delta_e));
        if let Some(far) = nearest.filter(|l| l.delta_e > NEAR * spread.hypot(l.known.spread)) {
            notes.push(say!(
                "no colour of this key is near: the nearest, {name}, is ΔE00 {far:.1} away",
                name = far.known.name,
                far = far.delta_e
            ));
        }
        Self { name: munsell.and_then(Munsell::name), sampled, spread, ranking, twins, munsell, notes }
    }
}
