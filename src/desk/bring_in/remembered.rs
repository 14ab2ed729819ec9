//! What the columns of earlier lists were taken for, kept in the data folder, so that the next list with the same columns starts from it.

use crate::desk::settings::write_whole;
use crate::key::tables::{Mapping, Table};
use serde::{Deserialize, Serialize};
use std::io;
use std::path::Path;

/// So many are kept; the oldest goes.
const MOST: usize = 50;
const FILE: &str = "lists.ron";

/// The mappings of earlier lists, newest first.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
pub(super) struct Remembered(Vec<Entry>);

#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
struct Entry {
    headers: Vec<String>,
    mapping: Mapping,
}

impl Remembered {
    /// Those of a data folder; none where there are none or they can't be read, which loses a convenience only.
    pub(super) fn read(data_dir: &Path) -> Self {
        std::fs::read_to_string(data_dir.join(FILE)).ok().and_then(|text| ron::from_str(&text).ok()).unwrap_or_default()
    }

    /// What a list with the columns of that table was taken for last.
    pub(super) fn of(&self, table: &Table) -> Option<&Mapping> {
        self.0.iter().find(|entry| entry.headers == table.headers).map(|entry| &entry.mapping)
    }

    /// Keeps what a list was taken for.
    pub(super) fn keep(&mut self, table: &Table, mapping: &Mapping) {
        self.0.retain(|entry| entry.headers != table.headers);
        self.0.insert(0, Entry { headers: table.headers.clone(), mapping: mapping.clone() });
        self.0.truncate(MOST);
    }

    /// Writes them, whole or not at all.
    ///
    /// # Errors
    /// Where the folder can't be written.
    pub(super) fn write(&self, data_dir: &Path) -> io::Result<()> {
        write_whole(data_dir, &data_dir.join(FILE), self)
    }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "tests")]
    use super::*;
    use crate::key::tables::{Options, Role, read_bytes};

    fn table(text: &str) -> Table {
        read_bytes("list.csv", text.as_bytes().to_vec(), &Options::default()).unwrap()
    }

    #[test]
    fn a_list_with_the_same_columns_starts_from_the_last_one() {
        let dir = tempfile::tempdir().unwrap();
        let (one, other) = (table("name,rim\na,plain\n"), table("name,foot\na,flat\n"));
        let mapping = Mapping { columns: [("name".to_owned(), Role::Name), ("rim".to_owned(), Role::Ignore)].into(), ..Mapping::default() };
        let mut kept = Remembered::read(dir.path());
        kept.keep(&one, &Mapping::default());
        kept.keep(&one, &mapping);
        kept.write(dir.path()).unwrap();
        let read = Remembered::read(dir.path());
        assert_eq!((read.of(&one), read.of(&other)), (Some(&mapping), None));
        assert_eq!(read.0.len(), 1, "one of the same columns");
        std::fs::write(dir.path().join(FILE), "(((").unwrap();
        assert_eq!(Remembered::read(dir.path()), Remembered::default(), "a broken file stops nothing");
    }

    #[test]
    fn the_oldest_goes() {
        let mut kept = Remembered::default();
        for n in 0..MOST + 5 {
            kept.keep(&table(&format!("name,feature {n}\na,b\n")), &Mapping::default());
        }
        assert_eq!(kept.0.len(), MOST);
        assert!(kept.of(&table("name,feature 0\na,b\n")).is_none() && kept.of(&table("name,feature 54\na,b\n")).is_some());
    }
}
