//! How a verb ends.

use thiserror::Error;

/// How a verb ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Outcome {
    /// It was done.
    Well,
    /// It was done as far as could be, and something is wrong.
    Problems,
    /// It was asked for something that cannot be.
    Misuse,
}

impl Outcome {
    /// The exit code of the program.
    pub const fn code(self) -> u8 {
        match self {
            Self::Well => 0,
            Self::Problems => 1,
            Self::Misuse => 2,
        }
    }
}

/// Why a verb could not be done.
#[derive(Debug, Error)]
pub(super) enum Trouble {
    /// What was asked for cannot be.
    #[error("{0}")]
    Misuse(String),
    /// What was asked for is possible, but not with this key or on this machine.
    #[error("{0}")]
    Problem(String),
    /// What was found could not be written out.
    #[error("the output can't be written: {0}")]
    Output(#[from] std::io::Error),
}

impl Trouble {
    pub(super) const fn outcome(&self) -> Outcome {
        match self {
            Self::Misuse(_) => Outcome::Misuse,
            Self::Problem(_) | Self::Output(_) => Outcome::Problems,
        }
    }
}
