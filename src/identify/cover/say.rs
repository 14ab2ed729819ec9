//! How good a cover is, in words.

use super::{Cover, Goal, Proof};
use crate::key::count;

impl Cover {
    /// How far it is proven that nothing is less, in a sentence: '3 features of effort 4: no fewer will do'. Efforts are given to a
    /// thousandth.
    pub fn sentence(&self, goal: Goal) -> String {
        let thousandths = |effort: f64| (effort * 1000.0).round() / 1000.0;
        let features = format!("{} of effort {}", count(self.features.len(), "feature"), thousandths(self.effort));
        match (self.proof, goal) {
            (Proof::Exact, Goal::Fewest) => format!("{features}: no fewer will do"),
            (Proof::Exact, Goal::LeastEffort) => format!("{features}: no less effort will do"),
            (Proof::AtLeast(bound), Goal::Fewest) => {
                format!("{features}: the fewest found; fewer than {bound:.0} are proven not to do")
            }
            (Proof::AtLeast(bound), Goal::LeastEffort) => {
                format!("{features}: the least found; less than {} is proven not to do", thousandths(bound))
            }
        }
    }
}
