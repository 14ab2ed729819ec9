//! What was worked out of a list already: a cell that comes again is read once, and a row that says the same is named once.

use super::{NamedRow, Namer, Said};
use rayon::prelude::*;
use std::collections::HashMap;
use std::ops::Range;
use std::sync::Arc;

/// So many cells and rows are kept in mind; when there are more, all is forgotten and begun anew.
const MOST: usize = 1 << 17;

/// Numbers of the cells of a row that are read, one a column that is.
type RowOf = Box<[u32]>;

/// What was worked out already.
pub(super) struct Memo<'n, 'k> {
    namer: &'n Namer<'k>,
    /// The columns that are read.
    columns: Vec<usize>,
    /// The number of each text, a map a column of those that are read.
    numbers: Vec<HashMap<String, u32>>,
    /// What each says, by its number.
    said: Vec<Said>,
    named: HashMap<RowOf, Arc<NamedRow>>,
}

impl<'n, 'k> Memo<'n, 'k> {
    pub(super) fn new(namer: &'n Namer<'k>) -> Self {
        let read = |to: &super::Use| matches!(to, super::Use::Feature(_) | super::Use::Missing);
        let columns: Vec<usize> = namer.uses.iter().enumerate().filter(|(_, to)| read(to)).map(|(column, _)| column).collect();
        Self { namer, numbers: vec![HashMap::new(); columns.len()], said: Vec::new(), named: HashMap::new(), columns }
    }

    /// Names rows, in their order.
    pub(super) fn name<'c>(&mut self, rows: Range<usize>, cell: &(dyn Fn(usize, usize) -> &'c str + Sync)) -> Vec<Arc<NamedRow>> {
        if self.said.len() > MOST || self.named.len() > MOST {
            self.numbers.iter_mut().for_each(HashMap::clear);
            self.said.clear();
            self.named.clear();
        }
        let keys = self.keys(rows, cell);
        let mut new: Vec<&RowOf> = keys.iter().filter(|key| !self.named.contains_key(*key)).collect();
        new.sort_unstable();
        new.dedup();
        let named: Vec<(RowOf, Arc<NamedRow>)> =
            new.into_par_iter().with_min_len(4).map(|key| (key.clone(), Arc::new(self.name_one(key)))).collect();
        self.named.extend(named);
        keys.iter().filter_map(|key| self.named.get(key).cloned()).collect()
    }

    /// The cells of each row as numbers. Those that are new are read.
    fn keys<'c>(&mut self, rows: Range<usize>, cell: &(dyn Fn(usize, usize) -> &'c str + Sync)) -> Vec<RowOf> {
        let mut new: Vec<(usize, &str)> = Vec::new();
        let first_new = self.said.len();
        let keys = rows
            .map(|row| {
                let of_column = |(&column, numbers): (&usize, &mut HashMap<String, u32>)| {
                    let text = cell(row, column);
                    if let Some(&number) = numbers.get(text) {
                        return number;
                    }
                    let number = u32::try_from(first_new + new.len()).unwrap_or(u32::MAX);
                    numbers.insert(text.to_owned(), number);
                    new.push((column, text));
                    number
                };
                self.columns.iter().zip(&mut self.numbers).map(of_column).collect()
            })
            .collect();
        let said: Vec<Said> = new.into_par_iter().with_min_len(16).map(|(column, text)| self.namer.said(column, text)).collect();
        self.said.extend(said);
        keys
    }

    fn name_one(&self, key: &[u32]) -> NamedRow {
        let mut cells = vec![&Said::Nothing; self.namer.uses.len()];
        for (&column, &number) in self.columns.iter().zip(key) {
            if let (Some(cell), Some(said)) = (cells.get_mut(column), self.said.get(number as usize)) {
                *cell = said;
            }
        }
        self.namer.of_said(cells.into_iter())
    }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::indexing_slicing, reason = "tests")]
    use super::*;
    use crate::key::builtin;

    /// Whatever is kept in mind, a row gets the name it gets alone.
    #[test]
    fn a_row_is_named_as_it_would_be_alone() {
        let key = builtin::demo().key;
        let headers = ["box", "lid outline", "rim", "missing", "height lid off"].map(str::to_owned);
        let namer = Namer::new(&key, &headers);
        let rows = [
            ["1", "oval", "", "", "62±2"],
            ["2", "round", "", "", ""],
            ["3", "oval", "", "", "62±2"],
            ["4", "ovall", "plain", "lid|wheel", "tall"],
            ["5", "", "", "", ""],
            ["6", "ovall", "plain", "lid|wheel", "tall"],
        ];
        let mut memo = Memo::new(&namer);
        let mut together = Vec::new();
        for chunk in [0..2, 2..3, 3..6] {
            together.extend(memo.name(chunk, &|row, column| rows[row][column]));
        }
        assert_eq!(together.len(), rows.len());
        for (row, named) in rows.iter().zip(&together) {
            assert_eq!(**named, namer.name(|column| row[column]), "{row:?}");
        }
        assert!(Arc::ptr_eq(&together[0], &together[2]) && Arc::ptr_eq(&together[3], &together[5]), "each is worked out once");
        assert_eq!(together[3].problems.len(), 3, "{:?}", together[3].problems);
    }
}
