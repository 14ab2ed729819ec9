//! How good a cover is, in words.

use super::{Cover, Goal, Proof};
use crate::words::decimal;
use crate::{say, say_count};

impl Cover {
    /// How far it is proven that nothing is less, in a sentence: '3 features of effort 4: no fewer will do'. Efforts are given to a
    /// thousandth.
    pub fn sentence(&self, goal: Goal) -> String {
        let thousandths = |effort: f64| (effort * 1000.0).round() / 1000.0;
        let features = say_count!(
            n = self.features.len(),
            "{n} feature of effort {effort}",
            "{n} features of effort {effort}",
            effort = decimal(thousandths(self.effort).to_string())
        );
        match (self.proof, goal) {
            (Proof::Exact, Goal::Fewest) => say!("{features}: no fewer will do", features),
            (Proof::Exact, Goal::LeastEffort) => say!("{features}: no less effort will do", features),
            (Proof::AtLeast(bound), Goal::Fewest) => {
                say!("{features}: the fewest found; fewer than {bound:.0} are proven not to do", features, bound)
            }
            (Proof::AtLeast(bound), Goal::LeastEffort) => {
                say!(
                    "{features}: the least found; less than {bound} is proven not to do",
                    features,
                    bound = decimal(thousandths(bound).to_string())
                )
            }
        }
    }
}
