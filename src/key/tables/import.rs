//! From a table to a house key: a plan that can be looked at, and then carried out.

mod build;
mod columns;
mod drawing;
mod grouping;
mod names;
mod problem;
mod records;

pub use problem::{ImportError, ImportProblem, LeftOut};
pub(in crate::key) use records::widened;

use super::header::clip;
use super::mapping::Mapping;
use super::table::Table;
use crate::key::count;
use crate::key::ids::{FeatureId, FormId};
use crate::key::model::{About, FORMAT, Key, Record};

/// Something new in the key.
#[derive(Debug, Clone, PartialEq)]
pub enum Addition {
    /// A line, by its name.
    Line(String),
    /// A feature, by its name.
    Feature(String),
    /// A value of a feature that the key has, by their names.
    Value {
        /// The feature.
        feature: String,
        /// The value.
        value: String,
    },
    /// A form with the number of its rows.
    Form {
        /// Its id in the new key.
        id: FormId,
        /// Its name.
        name: String,
        /// Rows of the table.
        rows: usize,
    },
    /// What was not recorded of a form that the key has.
    Record {
        /// The form.
        form: FormId,
        /// The feature, the years of making, or what else it was.
        what: String,
    },
}

/// How much is new, by sort.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, serde::Serialize)]
#[expect(missing_docs, reason = "each is the number of what it is named for")]
pub struct Added {
    pub lines: usize,
    pub features: usize,
    pub values: usize,
    pub forms: usize,
    pub records: usize,
}

impl Added {
    /// In words, what there is none of left out: '3 forms, 1 line'; nothing where there is none of anything.
    pub fn words(&self) -> Option<String> {
        let all =
            [(self.forms, "form"), (self.lines, "line"), (self.features, "feature"), (self.values, "value"), (self.records, "record")];
        let parts: Vec<String> = all.into_iter().filter(|(n, _)| *n > 0).map(|(n, one)| count(n, one)).collect();
        (!parts.is_empty()).then(|| parts.join(", "))
    }
}

/// Something the table says otherwise than the key does. It is done only where the person wants it.
#[derive(Debug, Clone, PartialEq)]
pub struct Change {
    /// The form.
    pub form: FormId,
    /// The feature.
    pub feature: FeatureId,
    /// What the key says.
    pub before: Record,
    /// What it would say: the key's values and the table's, or the range over both.
    pub after: Record,
}

/// Whether what the key says otherwise is changed too.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Changes {
    /// The key's own word stands.
    #[default]
    Keep,
    /// The changes of the plan are made.
    Make,
}

/// What bringing a table into a key would do.
#[derive(Debug, Clone, PartialEq)]
pub struct Plan {
    /// What is new, in the order of the table.
    pub additions: Vec<Addition>,
    /// What the table says otherwise than the key does.
    pub changes: Vec<Change>,
    /// Rows and cells that could not be brought in, in the order of the table.
    pub left_out: Vec<LeftOut>,
    /// What was brought in and should be looked at.
    pub problems: Vec<LeftOut>,
    /// How many rows were brought in, wholly or in part.
    pub rows: usize,
    /// True where each row is one piece, so that values are counted and forms weigh as many pieces as they have.
    pub pieces: bool,
    /// The key with the additions.
    key: Key,
}

impl Plan {
    /// The key with what the plan adds, and with its changes where they are wanted.
    pub fn applied(&self, changes: Changes) -> Key {
        let mut key = self.key.clone();
        if changes == Changes::Make && !self.changes.is_empty() {
            let places: std::collections::HashMap<FormId, usize> =
                key.forms.iter().enumerate().map(|(at, form)| (form.id.clone(), at)).collect();
            for change in &self.changes {
                if let Some(form) = places.get(&change.form).and_then(|&at| key.forms.get_mut(at)) {
                    form.features.insert(change.feature.clone(), change.after.clone());
                }
            }
        }
        key
    }

    /// How much is new, by sort.
    pub fn added(&self) -> Added {
        let mut added = Added::default();
        for addition in &self.additions {
            match addition {
                Addition::Line(_) => added.lines += 1,
                Addition::Feature(_) => added.features += 1,
                Addition::Value { .. } => added.values += 1,
                Addition::Form { .. } => added.forms += 1,
                Addition::Record { .. } => added.records += 1,
            }
        }
        added
    }

    /// True where there is nothing to do.
    pub fn is_empty(&self) -> bool {
        self.additions.is_empty() && self.changes.is_empty()
    }
}

/// Plans what bringing a table into a key would do. The key may be empty.
///
/// # Errors
/// Where the mapping has no column of names, or names a column that the table does not have.
pub fn import(key: &Key, table: &Table, mapping: &Mapping) -> Result<Plan, ImportError> {
    build::plan(key, table, mapping)
}

/// An empty key for a table, called as its file.
pub fn new_key(table: &Table) -> Key {
    let about = About {
        format: FORMAT,
        title: file_title(table),
        note: format!("Made from the table '{}'.", clip(&table.file)),
        give_percent: 2.0,
        ..About::default()
    };
    Key { about, ..Key::default() }
}

/// The name of a table's file in words.
fn file_title(table: &Table) -> String {
    let stem = table.file.rsplit_once('.').map_or(table.file.as_str(), |(stem, _)| stem);
    let words: Vec<&str> = stem.split(['_', '-', ' ', '.']).filter(|word| !word.is_empty()).collect();
    let title = words.join(" ");
    if crate::key::words::fold(&title).is_empty() { "table".to_owned() } else { title }
}

#[cfg(test)]
mod tests;
