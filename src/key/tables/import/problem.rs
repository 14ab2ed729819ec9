//! What a table says that cannot be brought in.

use crate::key::tables::quantity::QuantityError;
use crate::key::tables::table::{CellAt, Table};
use crate::key::words::NotFound;
use crate::say;
use thiserror::Error;

/// Why a table cannot be brought in at all.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum ImportError {
    /// No column holds the names.
    #[error("{}", say!("no column is taken for the name of the form (say which one is, by its header; there are {columns})", columns = .columns.join(", ")))]
    NoNameColumn {
        /// The columns, in quotes.
        columns: Vec<String>,
    },
    /// The mapping has a column that the table lacks.
    #[error("{}", say!("the mapping has a column '{column}', which the table does not (it has {columns})", column, columns = .columns.join(", ")))]
    NoColumn {
        /// The column of the mapping.
        column: String,
        /// The columns, in quotes.
        columns: Vec<String>,
    },
}

/// A row or cell with what is the matter with it.
#[derive(Debug, Clone, PartialEq)]
pub struct LeftOut {
    /// Where.
    pub at: CellAt,
    /// What.
    pub why: ImportProblem,
}

impl LeftOut {
    /// The matter in a line, its place first.
    pub fn tell(&self, table: &Table) -> String {
        format!("{}: {}", table.place(self.at), self.why)
    }
}

/// What is the matter with a row or cell.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum ImportProblem {
    /// No name in the row.
    #[error("{}", say!("this row has no name"))]
    NoName,
    /// A text without letter and digit.
    #[error("{}", say!("'{text}' has no letter or digit, so nothing can be called so", text))]
    NoWord {
        /// As written.
        text: String,
    },
    /// No measure.
    #[error(transparent)]
    Measure(#[from] QuantityError),
    /// No years.
    #[error("{}", say!("'{text}' is not a year (write 1951, 1951-64 or 1950s)", text))]
    NoYear {
        /// As written.
        text: String,
    },
    /// The years of a form run backwards.
    #[error("{}", say!("the first year {from} is after the last, {to}; the years of this row were left out", from, to))]
    YearsBackwards {
        /// First.
        from: i32,
        /// Last.
        to: i32,
    },
    /// A glaze, decoration or mark that the key does not have.
    #[error("{}", say!("{what}; a list can't make one, so add it in the key first", what = _0))]
    Unknown(NotFound),
    /// A name that several things have.
    #[error("{0}")]
    Ambiguous(NotFound),
    /// The feature of the key is of another kind than the column.
    #[error("{}", say!("the feature '{feature}' is {is}, so this column was left out (take it for {instead})", feature, is, instead))]
    OtherKind {
        /// The feature.
        feature: String,
        /// What it is.
        is: &'static str,
        /// What the column could be taken for.
        instead: &'static str,
    },
    /// The form cannot have the feature.
    #[error("{}", say!("'{feature}' does not apply to this form as the key describes it", feature))]
    DoesNotApply {
        /// The feature.
        feature: String,
    },
    /// A new value near one that there is.
    #[error("{}", say!("'{text}' is new for '{feature}' and was added; did you mean '{nearest}'?", text, feature, nearest))]
    NearValue {
        /// The feature.
        feature: String,
        /// As written.
        text: String,
        /// The value there is.
        nearest: String,
    },
    /// A new form near one that there is.
    #[error("{}", say!("'{text}' is new and was added; did you mean '{nearest}'?", text, nearest))]
    NearForm {
        /// As written.
        text: String,
        /// The form there is.
        nearest: String,
    },
    /// A new feature near one that there is.
    #[error("{}", say!("the feature '{text}' is new and was added; did you mean '{nearest}'?", text, nearest))]
    NearFeature {
        /// As written.
        text: String,
        /// The feature there is.
        nearest: String,
    },
    /// Too many notes.
    #[error("{}", say!("this form has {notes} different notes; the first {kept} were kept", notes, kept))]
    ManyNotes {
        /// All of them.
        notes: usize,
        /// Those that were kept.
        kept: usize,
    },
}
