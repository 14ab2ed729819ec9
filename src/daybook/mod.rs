//! The daybook: the finds, in SQLite, with their photographs beside it by content hash.
//!
//! A daybook is a folder: `finds.db` holds the finds, `photographs/` the pictures as they came (see [`crate::photo::Store`]). [`Daybook::open`]
//! makes or opens one; a file that is damaged, of a newer program, or no daybook at all is said to be so and left untouched. A large file is looked
//! through ([`Soundness`]) before it is first written in, not before it is first read.
//!
//! Every change is one transaction, on disk when the call returns. Finds are never deleted: a removed one keeps its row, so that a removal
//! can be undone, and every change leaves the find as it then was in the history. The clock is the caller's.

pub mod backup;
mod beside;
mod book;
pub mod census;
pub mod condition;
pub mod copies;
mod error;
mod facets;
mod filter;
mod find;
mod fold;
pub mod join;
mod known;
mod laid_out;
pub mod learn;
pub mod lids;
pub mod many;
pub mod papers;
mod pen;
mod query;
pub mod record;
mod row;
mod schema;
mod sound;
mod time_text;
pub mod years;

pub use beside::{Beside, BesideError};
pub use book::{Change, ChangeKind, Daybook};
pub use error::DaybookError;
pub use facets::{Facet, Facets};
pub use filter::{Column, Filter, FormChoice, Order, Question, Way};
pub use find::{Find, FindId, KeyName, Named, PhotoKind, Photograph, Standing};
pub use query::{BoxCount, BoxTally, Listed, Page, Place};
pub use record::{Called, Price, Record, Status};
pub use schema::SCHEMA;
pub use sound::Soundness;
