//! Loose lids and lidless bases: which lid belongs to which base, and which have lost theirs.
//!
//! For each lid and base the likelihood of what was measured and noted of both is taken once as 'they belong together' and once as 'they met by
//! chance' ([`Rules`]: data a person may edit). With the odds that any two belong together, which are learnt from the two lists themselves, that is
//! the weight of the pair. A *sorting* pairs some lids with some bases and leaves the others alone; its probability is in proportion to the product of
//! the weights of its pairs. [`pair`] gives the most probable sorting, and for each pair that can be its probability summed over all sortings.

mod assign;
mod augment;
mod chances;
mod chosen;
mod error;
mod fit;
mod half;
mod kept;
mod load;
mod population;
mod read;
mod reason;
mod roads;
mod rules;
mod typed;
mod weigh;

pub use assign::most_probable;
pub use chances::{Chances, Reckoned, chances};
pub use chosen::{Candidate, Paired, Pairing, Wishes, pair, reasons};
pub use error::{HalfProblem, PairError, ReadError};
pub use half::{Half, Side};
pub use kept::Shelves;
pub use load::LoadedRules;
pub use read::{Shelf, read};
pub use reason::Reason;
pub use rules::{Rule, RuleKind, Rules};
pub use typed::{cells_of, columns_of, side_of, typed};
