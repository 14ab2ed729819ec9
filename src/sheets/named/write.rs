//! The table with its rows named, written a chunk at a time.

use super::memo::Memo;
use super::{CellProblem, NamedRow, Namer, Sorted, shown};
use crate::identify::VerdictState;
use crate::sheets::csv::guarded_unless_a_number;
use std::io::{self, Write};

/// Problems that are kept with their places.
const MOST_KEPT: usize = 1000;
/// Rows that are named between two writes: enough to keep every core at work.
const CHUNK: usize = 2048;

impl Namer<'_> {
    /// Writes the table with its rows named. `cell` gives the text of a cell, row before column, both counted from 0; `watch` is told how
    /// many rows are done.
    ///
    /// # Errors
    /// Those of the writer.
    pub fn write<'c>(
        &self,
        rows: usize,
        cell: &(dyn Fn(usize, usize) -> &'c str + Sync),
        out: &mut dyn Write,
        watch: &mut dyn FnMut(usize),
    ) -> io::Result<Sorted> {
        let mut sorted = Sorted { rows, ..Sorted::default() };
        let mut csv = csv::Writer::from_writer(out);
        csv.write_record(self.headings().iter().map(|heading| guarded_unless_a_number(heading))).map_err(io::Error::from)?;
        let mut memo = Memo::new(self);
        let mut from = 0;
        while from < rows {
            let to = rows.min(from + CHUNK);
            for (row, named) in (from..to).zip(memo.name(from..to, cell)) {
                let own = (0..self.headers.len()).map(|column| guarded_unless_a_number(cell(row, column)));
                let added = self.added(&named);
                csv.write_record(own.chain(added.iter().map(|text| guarded_unless_a_number(text)))).map_err(io::Error::from)?;
                *sorted.states.entry(named.state.unwrap_or(VerdictState::Nothing)).or_default() += 1;
                sorted.all_problems += named.problems.len();
                let room = MOST_KEPT.saturating_sub(sorted.problems.len());
                let kept = named.problems.iter().take(room).map(|(column, says)| CellProblem { row, column: *column, says: says.clone() });
                sorted.problems.extend(kept);
            }
            from = to;
            watch(to);
        }
        csv.flush()?;
        Ok(sorted)
    }

    /// The cells of [`super::ADDED`].
    fn added(&self, named: &NamedRow) -> [String; 7] {
        let problems: Vec<String> = named.problems.iter().map(|(column, says)| format!("{}: {says}", self.header(*column))).collect();
        [
            named.form.clone(),
            named.line.clone(),
            named.probability.map(shown).unwrap_or_default(),
            named.runner_up.clone(),
            named.next_look.clone(),
            named.verdict.clone(),
            problems.join("; "),
        ]
    }
}
