//! Papers: what an entry of a list means, as written there: 'lge server 9¼'.
//!
//! [`reconcile`] gives for every entry the forms it may mean, by its words (the key's names and synonyms, abbreviations as data), by its sizes with the
//! habit of the list, and by the line and date of the paper. [`accepted`] makes claims of what a person accepts; each cites the paper.

mod abbreviations;
mod accept;
mod entry;
mod habit;
mod money;
mod pasted;
mod prices;
mod reconcile;
mod vocabulary;

pub use abbreviations::Abbreviations;
pub use accept::{Accepted, accepted};
pub use entry::{Entry, Nominal, NominalUnit, entries};
pub use habit::Habit;
pub use money::{Money, Priced, price, price_series};
pub use pasted::pasted;
pub use prices::{PriceError, adjusted, price_index};
pub use reconcile::{Guess, Meant, Reconciled, reconcile};
