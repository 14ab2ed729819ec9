//! Test cover: the smallest set of features by which forms are told from others.
//!
//! Two forms are told apart by a feature that is recorded of both and of which one honest reading picks the right one of the two with
//! at least a stated probability ([`Ask::surely`], 0.75 unless asked otherwise; 0.5 is a guess). Which set of features is least then is the
//! test cover problem (K. M. J. De Bontridder et al., Discrete Applied Mathematics 128, 2003): a set cover with one row for each pair. It
//! is solved by branch and bound; past a stated number of nodes the best answer found is given with the bound that is proven.

mod ask;
mod say;
mod search;
mod solve;

pub use ask::{Among, Ask, Cover, CoverError, Goal, MOST_PAIRS, Proof, Untold, Used};
