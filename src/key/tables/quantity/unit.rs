//! The units of other people's lists.

use crate::key::model::Unit;
use serde::{Deserialize, Serialize};

/// Whose pints and fluid ounces are meant where a list does not say so.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
pub enum Customary {
    /// The imperial fluid ounce is 28.4130625 ml, the pint 568.26125 ml.
    #[default]
    Imperial,
    /// The US fluid ounce is 29.5735295625 ml, the pint 473.176473 ml.
    Us,
}

/// A unit as written in a list.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[expect(missing_docs, reason = "each is the unit's own name")]
pub enum ListUnit {
    Mm,
    Cm,
    M,
    Inch,
    Foot,
    G,
    Kg,
    Ounce,
    Pound,
    Ml,
    Cl,
    Dl,
    L,
    /// Whose is said by [`Customary`].
    FluidOunce,
    ImperialFluidOunce,
    UsFluidOunce,
    /// Whose is said by [`Customary`].
    Pint,
    ImperialPint,
    UsPint,
    UsCup,
    /// A count, or a number whose unit is the feature's.
    Plain,
}

impl ListUnit {
    /// Every unit.
    pub const ALL: [Self; 21] = [
        Self::Mm,
        Self::Cm,
        Self::M,
        Self::Inch,
        Self::Foot,
        Self::G,
        Self::Kg,
        Self::Ounce,
        Self::Pound,
        Self::Ml,
        Self::Cl,
        Self::Dl,
        Self::L,
        Self::FluidOunce,
        Self::ImperialFluidOunce,
        Self::UsFluidOunce,
        Self::Pint,
        Self::ImperialPint,
        Self::UsPint,
        Self::UsCup,
        Self::Plain,
    ];

    /// The unit of the key it belongs to, and how many of that one it is. Exact, from the definitions of 1959 (inch 25.4 mm, pound
    /// 453.59237 g) and the gallons of 4546.09 ml and of 231 cubic inches, as NIST's and the UK's tables of units print them.
    pub(crate) const fn metric(self, customary: Customary) -> (Unit, f64) {
        let us = matches!(customary, Customary::Us);
        match self {
            Self::Mm => (Unit::Mm, 1.0),
            Self::Cm => (Unit::Mm, 10.0),
            Self::M => (Unit::Mm, 1000.0),
            Self::Inch => (Unit::Mm, 25.4),
            Self::Foot => (Unit::Mm, 304.8),
            Self::G => (Unit::G, 1.0),
            Self::Kg => (Unit::G, 1000.0),
            Self::Ounce => (Unit::G, 28.349_523_125),
            Self::Pound => (Unit::G, 453.592_37),
            Self::Ml => (Unit::Ml, 1.0),
            Self::Cl => (Unit::Ml, 10.0),
            Self::Dl => (Unit::Ml, 100.0),
            Self::L => (Unit::Ml, 1000.0),
            Self::UsFluidOunce => (Unit::Ml, 29.573_529_562_5),
            Self::ImperialFluidOunce => (Unit::Ml, 28.413_062_5),
            Self::FluidOunce => (Unit::Ml, if us { 29.573_529_562_5 } else { 28.413_062_5 }),
            Self::UsPint => (Unit::Ml, 473.176_473),
            Self::ImperialPint => (Unit::Ml, 568.261_25),
            Self::Pint => (Unit::Ml, if us { 473.176_473 } else { 568.261_25 }),
            Self::UsCup => (Unit::Ml, 236.588_236_5),
            Self::Plain => (Unit::Count, 1.0),
        }
    }

    /// How many of a unit of the key it is. None where it is of another sort.
    pub(super) fn in_unit(self, unit: Unit, customary: Customary) -> Option<f64> {
        if self == Self::Plain {
            return Some(1.0);
        }
        let meant = if self == Self::Ounce && unit == Unit::Ml { Self::FluidOunce } else { self };
        let (own, scale) = meant.metric(customary);
        (own == unit).then_some(scale)
    }

    /// The unit as it is written after a number; empty for a plain one.
    pub const fn sign(self) -> &'static str {
        match self {
            Self::Mm => "mm",
            Self::Cm => "cm",
            Self::M => "m",
            Self::Inch => "in",
            Self::Foot => "ft",
            Self::G => "g",
            Self::Kg => "kg",
            Self::Ounce => "oz",
            Self::Pound => "lb",
            Self::Ml => "ml",
            Self::Cl => "cl",
            Self::Dl => "dl",
            Self::L => "l",
            Self::FluidOunce => "fl oz",
            Self::ImperialFluidOunce => "imperial fl oz",
            Self::UsFluidOunce => "US fl oz",
            Self::Pint => "pt",
            Self::ImperialPint => "imperial pt",
            Self::UsPint => "US pt",
            Self::UsCup => "US cup",
            Self::Plain => "",
        }
    }

    /// The unit in a sentence.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Mm => "millimetres",
            Self::Cm => "centimetres",
            Self::M => "metres",
            Self::Inch => "inches",
            Self::Foot => "feet",
            Self::G => "grams",
            Self::Kg => "kilograms",
            Self::Ounce => "ounces",
            Self::Pound => "pounds",
            Self::Ml => "millilitres",
            Self::Cl => "centilitres",
            Self::Dl => "decilitres",
            Self::L => "litres",
            Self::FluidOunce => "fluid ounces",
            Self::ImperialFluidOunce => "imperial fluid ounces",
            Self::UsFluidOunce => "US fluid ounces",
            Self::Pint => "pints",
            Self::ImperialPint => "imperial pints",
            Self::UsPint => "US pints",
            Self::UsCup => "US cups",
            Self::Plain => "plain numbers",
        }
    }

    /// The unit of these small letters, full stops and blanks left out: `in`, `inches`, `usfloz`.
    pub(crate) fn from_letters(letters: &str) -> Option<Self> {
        let (whose, rest) = whose(letters);
        let unit = match rest {
            "mm" | "millimetre" | "millimetres" | "millimeter" | "millimeters" => Self::Mm,
            "cm" | "cms" | "centimetre" | "centimetres" | "centimeter" | "centimeters" => Self::Cm,
            "m" | "metre" | "metres" | "meter" | "meters" => Self::M,
            "in" | "ins" | "inch" | "inches" => Self::Inch,
            "ft" | "foot" | "feet" => Self::Foot,
            "g" | "gm" | "gms" | "gram" | "grams" | "gramme" | "grammes" => Self::G,
            "kg" | "kgs" | "kilo" | "kilos" | "kilogram" | "kilograms" => Self::Kg,
            "oz" | "ozs" | "ounce" | "ounces" => Self::Ounce,
            "lb" | "lbs" | "pound" | "pounds" => Self::Pound,
            "ml" | "mls" | "cc" | "millilitre" | "millilitres" | "milliliter" | "milliliters" => Self::Ml,
            "cl" | "centilitre" | "centilitres" | "centiliter" | "centiliters" => Self::Cl,
            "dl" | "decilitre" | "decilitres" | "deciliter" | "deciliters" => Self::Dl,
            "l" | "litre" | "litres" | "liter" | "liters" => Self::L,
            "floz" | "flozs" | "fluidoz" | "fluidounce" | "fluidounces" => Self::FluidOunce,
            "pt" | "pts" | "pint" | "pints" => Self::Pint,
            "cup" | "cups" if whose == Some(Customary::Us) => return Some(Self::UsCup),
            _ => return None,
        };
        match (whose, unit) {
            (None, unit) => Some(unit),
            (Some(Customary::Us), Self::FluidOunce) => Some(Self::UsFluidOunce),
            (Some(Customary::Us), Self::Pint) => Some(Self::UsPint),
            (Some(Customary::Imperial), Self::FluidOunce) => Some(Self::ImperialFluidOunce),
            (Some(Customary::Imperial), Self::Pint) => Some(Self::ImperialPint),
            _ => None,
        }
    }
}

fn whose(letters: &str) -> (Option<Customary>, &str) {
    for (word, whose) in [
        ("imperial", Customary::Imperial),
        ("imp", Customary::Imperial),
        ("uk", Customary::Imperial),
        ("british", Customary::Imperial),
        ("us", Customary::Us),
        ("american", Customary::Us),
    ] {
        if let Some(rest) = letters.strip_prefix(word)
            && !rest.is_empty()
        {
            return (Some(whose), rest);
        }
    }
    (None, letters)
}
