//! What is to be said of a lid on a base.

use crate::key::Years;
use crate::words::decimal;
use crate::{say, say_count};
use std::fmt;

/// What is to be said of a lid on a base.
#[derive(Debug, Clone, PartialEq)]
pub enum Reason {
    /// A person put the two together.
    Pinned,
    /// How much wider the gallery is than the flange, in mm; the other axis where both were measured.
    Play {
        /// On the longer axis.
        major_mm: f64,
        /// On the shorter axis.
        minor_mm: Option<f64>,
    },
    /// The flange measures wider than the gallery, by so many mm.
    Tight {
        /// By how much.
        mm: f64,
    },
    /// There is so much play that the lid slides.
    Rocks {
        /// On the looser axis.
        mm: f64,
    },
    /// An oval lid so loose that it also goes on turned by a quarter.
    TurnsRound,
    /// What was noted of the two differs although they fit.
    Differs {
        /// The column.
        column: String,
        /// Of the lid.
        lid: String,
        /// Of the base.
        base: String,
    },
    /// Two glazes that the key tells apart, but hardly.
    Near {
        /// The column.
        column: String,
        /// Of the lid.
        lid: String,
        /// Of the base.
        base: String,
        /// ΔE00 between the two.
        delta_e: f64,
    },
    /// They were not made in the same years although they fit.
    Apart {
        /// Of the lid.
        lid: Years,
        /// Of the base.
        base: Years,
    },
    /// So many other bases are at least as likely for this lid, or nearly so.
    OthersFit {
        /// How many.
        bases: usize,
    },
}

impl Reason {
    /// True of what makes a lid and a base that fit a marriage.
    pub const fn is_marriage(&self) -> bool {
        matches!(self, Self::Differs { .. } | Self::Apart { .. })
    }
}

impl fmt::Display for Reason {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Pinned => f.write_str(say!("put together by hand")),
            Self::Play { major_mm, minor_mm: None } => f.write_str(&say!("{mm} of play", mm = mm(*major_mm))),
            Self::Play { major_mm, minor_mm: Some(minor_mm) } => {
                f.write_str(&say!("{major} and {minor} of play", major = mm(*major_mm), minor = mm(*minor_mm)))
            }
            Self::Tight { mm: by } => f.write_str(&say!("tight: the flange measures {by} wider than the gallery", by = mm(*by))),
            Self::Rocks { mm: play } => f.write_str(&say!("rocks: {mm} of play", mm = mm(*play))),
            Self::TurnsRound => f.write_str(say!("loose for an oval: it goes on turned by a quarter too")),
            Self::Differs { column, lid, base } => {
                f.write_str(&say!("marriage: fits, but the {column} differs ('{lid}' on '{base}')", column, lid, base))
            }
            Self::Near { column, lid, base, delta_e } => {
                f.write_str(&say!("the {column} is hardly told apart ('{lid}' on '{base}', ΔE00 {delta_e:.1})", column, lid, base, delta_e))
            }
            Self::Apart { lid, base } => {
                f.write_str(&say!("marriage: fits, but the lid was made {lid} and the base {base}", lid = years(*lid), base = years(*base)))
            }
            Self::OthersFit { bases } => f.write_str(&say_count!(n = *bases, "another base fits as well", "{n} other bases fit as well")),
        }
    }
}

fn mm(x: f64) -> String {
    // No '-0.0'.
    decimal(format!("{:.1} mm", (x * 10.0).round() / 10.0 + 0.0))
}

fn years(years: Years) -> String {
    match (years.from, years.to) {
        (Some(from), Some(to)) if from == to => say!("in {from}", from),
        (Some(from), Some(to)) => format!("{from}–{to}"),
        (Some(from), None) => say!("from {from} on", from),
        (None, Some(to)) => say!("up to {to}", to),
        (None, None) => say!("at some time").to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reasons_are_sentences() {
        let says = |reason: Reason| reason.to_string();
        assert_eq!(says(Reason::Play { major_mm: 2.04, minor_mm: None }), "2.0 mm of play");
        assert_eq!(says(Reason::Play { major_mm: -0.04, minor_mm: Some(1.26) }), "0.0 mm and 1.3 mm of play");
        assert_eq!(says(Reason::Tight { mm: 0.4 }), "tight: the flange measures 0.4 mm wider than the gallery");
        assert_eq!(
            says(Reason::Differs { column: "glaze".into(), lid: "Flint".into(), base: "Slate".into() }),
            "marriage: fits, but the glaze differs ('Flint' on 'Slate')"
        );
        assert_eq!(
            says(Reason::Near { column: "glaze".into(), lid: "Moss".into(), base: "Sedge".into(), delta_e: 3.04 }),
            "the glaze is hardly told apart ('Moss' on 'Sedge', ΔE00 3.0)"
        );
        let apart = Reason::Apart { lid: Years { from: Some(1934), to: Some(1938) }, base: Years { from: Some(1951), to: None } };
        assert_eq!(says(apart), "marriage: fits, but the lid was made 1934–1938 and the base from 1951 on");
        assert_eq!(says(Reason::OthersFit { bases: 1 }), "another base fits as well");
    }
}
