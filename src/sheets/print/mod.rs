//! What is printed: the bench key, a plate of look-alikes, sheets of forms and marks, labels, lists, the census.
//!
//! Each function lays a [`Document`] out from a key, and from finds where it is about them; writing it out is [`page`](super::page)'s. No clock is read, and no file
//! opened but those that [`write_files`] writes.

mod bench_key;
mod booklet;
mod census;
mod draw;
mod files;
mod flow;
mod form_sheet;
mod grids;
mod labels;
mod lists;
mod mark_sheet;
mod plate;
mod service;
mod setup;
mod table;

pub use bench_key::bench_key;
pub use census::census_sheet;
pub use files::{FileError, FileKind, files_words, write_files};
pub use flow::caution;
pub use form_sheet::form_sheets;
pub use grids::{Grid, GridError, grids};
pub use labels::{Label, labels, labels_of_finds, labels_of_forms};
pub use lists::{Lot, LotLine, LotOf, lot_list, wants_list};
pub use mark_sheet::mark_sheets;
pub use plate::plate;
pub use service::service_list;
pub use setup::{Fold, Setup};

use super::page::Document;
use crate::identify::sequence::SequenceError;
use crate::say;

/// Why a sheet can't be laid out.
#[derive(Debug, thiserror::Error, PartialEq)]
pub enum PrintError {
    /// The key has no forms.
    #[error("{}", say!("there is no form in this key to print"))]
    NoForms,
    /// The key has no marks.
    #[error("{}", say!("there is no mark in this key to print"))]
    NoMarks,
    /// No form was named.
    #[error("{}", say!("no form was named (name one, or several)"))]
    NothingChosen,
    /// A plate is of two to six forms.
    #[error("{}", say!("a plate shows two to six forms, not {what}", what = _0))]
    Count(usize),
    /// The sequence can't be found.
    #[error(transparent)]
    Sequence(#[from] SequenceError),
    /// Nothing is wanted for a service.
    #[error("{}", say!("nothing is wanted for the service '{name}' yet (add forms to it)", name = _0))]
    EmptyService(String),
    /// There are no finds.
    #[error("{}", say!("there is no find {what}", what = _0))]
    NoFinds(String),
}

/// Folds a document where that is asked for.
fn finished(document: Document, setup: Setup) -> Document {
    if setup.is_booklet() { booklet::folded(document) } else { document }
}
