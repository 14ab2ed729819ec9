//! Key health: how well a key can tell its own forms apart, and what to record next.
//!
//! Of every pair of forms it is counted which features tell them apart (both recorded, and one honest reading picks the right one of the two
//! with a probability of 0.75 or more), and how easily the two are confused by a person who looks at everything:
//!
//! `confusion(f, g) = Π over the features recorded of both of BC(f, g)`, where BC = Σ √(p(o|f) p(o|g)) over the outcomes of one honest
//! reading is the Bhattacharyya coefficient of the two rows of the channel table. It is 1 where nothing is recorded that differs, and twice
//! the probability of a mistake between two equally likely forms is never more (T. Kailath, IEEE Trans. Commun. Technol. 15, 1967).
//!
//! The confusion of the key is its mean over the pairs, weighted by p(f) p(g). Recording one cell (a form, a feature) multiplies the
//! confusion of that form with every form that has a record of the feature by some BC; what will be found is not known, so its mean is
//! taken over the records that the other forms have, weighted by their priors. The expected drop is what cells are ranked by.
//!
//! Weighing every pair of 2 000 forms of 60 features is a matter of a second. Of a larger key every so-manieth form is weighed, 2 000 in
//! all, and [`Health::weighed`] says so; what does not need pairs (unused values, forms with little recorded) is counted in full.

mod pairs;
mod report;

pub use report::{Cell, Health, HealthStopped, Hollow, MOST_FORMS, Pair, Thin, UnusedValue};
