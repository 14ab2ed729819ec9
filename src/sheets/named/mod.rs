//! A box, sorted: a table with one row a piece, each row named, as comma-separated values.
//!
//! Columns called like features of the key say what was seen: as typed to `--see` after the `=`, nothing where nobody looked. A column
//! `missing` names the parts that are gone. All columns are kept as they are and in their order; after them come [`ADDED`].
//!
//! A cell that can't be read is a [`CellProblem`]; its row is named from the rest.

mod memo;
mod write;

use crate::identify::see::answer;
use crate::identify::{Index, Observation, Piece, VerdictState};
use crate::key::{Feature, FeatureId, Key, Part, Words};
use std::collections::BTreeMap;

/// The columns that are added. Where the table has a column of such a name already, ` (named)` is put after the added one's.
pub const ADDED: [&str; 7] = ["form", "line", "probability", "runner-up", "next look", "verdict", "problems"];

/// The name of the column that says which parts are gone.
pub const MISSING: &str = "missing";

/// What a column of the table is for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Use {
    /// What was seen of this feature.
    Feature(FeatureId),
    /// Parts that are gone.
    Missing,
    /// Neither; it is kept as it is.
    Other,
    /// A column before it is for the same; it is kept and not read.
    Twice(FeatureId),
}

/// Names rows of a table.
#[derive(Debug)]
pub struct Namer<'k> {
    key: &'k Key,
    index: Index,
    words: Words,
    headers: Vec<String>,
    uses: Vec<Use>,
}

/// What a cell says of the piece.
#[derive(Debug, Clone, PartialEq)]
enum Said {
    /// Nobody looked, or the column is for something else.
    Nothing,
    /// What was seen of a feature.
    Seen(Observation),
    /// Parts that are gone, and why others that are named can't be read.
    Gone(Vec<Part>, Vec<String>),
    /// It can't be read, and why.
    Wrong(String),
}

/// A row, named.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct NamedRow {
    /// The most probable form; empty where nothing was seen, or the verdict is 'not in this key'.
    pub form: String,
    /// Its line.
    pub line: String,
    /// Its probability; that of 'not in this key' where that is the verdict. None where nothing was seen.
    pub probability: Option<f64>,
    /// The second most probable form with its probability, or 'not in this key'.
    pub runner_up: String,
    /// The feature worth looking at next; empty where the name is settled.
    pub next_look: String,
    /// The verdict in a sentence.
    pub verdict: String,
    /// How far the naming has come.
    pub state: Option<VerdictState>,
    /// The cells that could not be read: column, counted from 0, and why.
    pub problems: Vec<(usize, String)>,
}

/// A cell that could not be read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CellProblem {
    /// Row of data, counted from 0.
    pub row: usize,
    /// Column, counted from 0.
    pub column: usize,
    /// Why.
    pub says: String,
}

/// What became of a table.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Sorted {
    /// Rows of data.
    pub rows: usize,
    /// How many rows came to each verdict, in the order of the verdicts.
    pub states: BTreeMap<VerdictState, usize>,
    /// Cells that could not be read, the first thousand in the order of the table.
    pub problems: Vec<CellProblem>,
    /// How many there are in all.
    pub all_problems: usize,
}

impl<'k> Namer<'k> {
    /// Finds out what each column is for. A unit in brackets after a feature's name, as an export of the key writes it, counts for nothing.
    pub fn new(key: &'k Key, headers: &[String]) -> Self {
        let words = Words::new(key);
        let mut uses: Vec<Use> = Vec::new();
        for header in headers {
            let name = header.trim();
            let bare = name.strip_suffix(')').and_then(|name| name.rsplit_once('(')).map_or(name, |(name, _)| name.trim());
            let found = words.feature(name).or_else(|_| words.feature(bare));
            uses.push(match found {
                Ok(id) if uses.iter().any(|other| matches!(other, Use::Feature(other) if *other == id)) => Use::Twice(id),
                Ok(id) => Use::Feature(id),
                Err(_) if name.eq_ignore_ascii_case(MISSING) && !uses.contains(&Use::Missing) => Use::Missing,
                Err(_) => Use::Other,
            });
        }
        Self { key, index: Index::new(key), words, headers: headers.to_vec(), uses }
    }

    /// What each column is for.
    pub fn uses(&self) -> &[Use] {
        &self.uses
    }

    /// For a column that is no feature's: the features whose names are nearest to it, should it be one misspelt.
    pub fn meant(&self, column: usize) -> Vec<String> {
        match (self.uses.get(column), self.headers.get(column).map(|header| self.words.feature(header))) {
            (Some(Use::Other), Some(Err(crate::key::words::NotFound::Unknown { nearest, .. }))) => nearest,
            (Some(Use::Other), Some(Err(crate::key::words::NotFound::Ambiguous { among, .. }))) => among,
            _ => Vec::new(),
        }
    }

    /// The headings of the sorted table.
    pub fn headings(&self) -> Vec<String> {
        let taken = |name: &str| self.headers.iter().any(|header| header.trim().eq_ignore_ascii_case(name));
        let added = ADDED.iter().map(|name| if taken(name) { format!("{name} (named)") } else { (*name).to_owned() });
        self.headers.iter().cloned().chain(added).collect()
    }

    /// Names a row from its cells.
    pub fn name<'c>(&self, cell: impl Fn(usize) -> &'c str) -> NamedRow {
        let said: Vec<Said> = (0..self.uses.len()).map(|column| self.said(column, cell(column))).collect();
        self.of_said(said.iter())
    }

    /// What a row says of its piece, and why cells of it could not be read, each with its column's heading.
    pub fn piece<'c>(&self, cell: impl Fn(usize) -> &'c str) -> (Piece, Vec<String>) {
        let (mut piece, mut problems) = (Piece::default(), Vec::new());
        for column in 0..self.uses.len() {
            match self.said(column, cell(column)) {
                Said::Nothing => {}
                Said::Seen(observation) => piece.see(observation),
                Said::Wrong(why) => problems.push(format!("{}: {why}", self.header(column))),
                Said::Gone(parts, wrong) => {
                    piece.missing.extend(parts);
                    problems.extend(wrong.into_iter().map(|why| format!("{}: {why}", self.header(column))));
                }
            }
        }
        (piece, problems)
    }

    /// What a cell says.
    fn said(&self, column: usize, cell: &str) -> Said {
        let text = unguarded(cell.trim());
        match self.uses.get(column) {
            Some(Use::Feature(id)) if !text.is_empty() => match self.key.feature(id) {
                Some(feature) => self.seen(feature, text),
                None => Said::Nothing,
            },
            Some(Use::Missing) => self.gone(text),
            _ => Said::Nothing,
        }
    }

    fn seen(&self, feature: &Feature, text: &str) -> Said {
        if matches!(text, "-" | "–" | "—") {
            let says = format!("'{text}' says nothing certain (write none where there is no such thing, and nothing where nobody looked)");
            return Said::Wrong(says);
        }
        match answer(self.key, &self.words, feature, text) {
            Ok(observation) => Said::Seen(observation),
            Err(error) => Said::Wrong(error.to_string()),
        }
    }

    fn gone(&self, text: &str) -> Said {
        let (mut parts, mut wrong) = (Vec::new(), Vec::new());
        for part in text.split(['|', ',', ';']).map(str::trim).filter(|part| !part.is_empty()) {
            match self.words.part(part) {
                Ok(part) => parts.push(part),
                Err(error) => wrong.push(error.to_string()),
            }
        }
        Said::Gone(parts, wrong)
    }

    /// Names a row from what its cells say, one a column.
    fn of_said<'s>(&self, cells: impl Iterator<Item = &'s Said>) -> NamedRow {
        let mut row = NamedRow::default();
        let mut piece = Piece::default();
        for (column, said) in cells.enumerate() {
            match said {
                Said::Nothing => {}
                Said::Seen(observation) => piece.see(observation.clone()),
                Said::Wrong(why) => row.problems.push((column, why.clone())),
                Said::Gone(parts, wrong) => {
                    piece.missing.extend(parts);
                    row.problems.extend(wrong.iter().map(|why| (column, why.clone())));
                }
            }
        }
        self.weigh(&piece, row)
    }

    fn weigh(&self, piece: &Piece, mut row: NamedRow) -> NamedRow {
        let (standing, verdict) = self.index.answer_in_brief(piece);
        row.state = Some(verdict.state);
        if verdict.state == VerdictState::Nothing {
            "Nothing was seen of it that rules anything out".clone_into(&mut row.verdict);
            return row;
        }
        let mut first = standing.candidates.iter();
        let stranger = ("not in this key".to_owned(), standing.not_in_key);
        if verdict.state == VerdictState::NotInKey {
            row.probability = Some(standing.not_in_key);
        } else if let Some(leader) = first.next() {
            (row.form, row.line) = (leader.name.clone(), leader.line.clone());
            row.probability = Some(leader.probability);
        }
        let second = first.next().map(|second| (second.full_name(), second.probability));
        let second = match second {
            Some(second) if verdict.state == VerdictState::NotInKey || second.1 >= stranger.1 => second,
            _ => stranger,
        };
        row.runner_up = format!("{} ({})", second.0, shown(second.1));
        if verdict.state != VerdictState::Settled
            && let Some(look) = standing.next_looks.first()
        {
            row.next_look = self.key.feature_name(&look.feature);
        }
        row.verdict = verdict.sentence;
        row
    }

    fn header(&self, column: usize) -> &str {
        self.headers.get(column).map_or("", String::as_str)
    }
}

/// A probability to four places, never rounded up to certainty or down to impossibility.
fn shown(probability: f64) -> String {
    if probability >= 1.0 || probability <= 0.0 { format!("{probability:.4}") } else { format!("{:.4}", probability.clamp(0.0001, 0.9999)) }
}

/// A text without the apostrophe that keeps a spreadsheet from taking it for a formula.
fn unguarded(text: &str) -> &str {
    text.strip_prefix('\'').filter(|rest| rest.starts_with(['=', '+', '-', '@'])).unwrap_or(text)
}

#[cfg(test)]
mod tests {
    #![expect(clippy::indexing_slicing, reason = "tests")]
    use super::*;
    use crate::key::builtin;

    fn headers(names: &[&str]) -> Vec<String> {
        names.iter().map(|name| (*name).to_owned()).collect()
    }

    fn named(names: &[&str], cells: &[&'static str]) -> NamedRow {
        let key = builtin::demo().key;
        let namer = Namer::new(&key, &headers(names));
        namer.name(|column| cells[column])
    }

    #[test]
    fn columns_are_found_by_any_of_their_names_with_or_without_unit() {
        let key = builtin::demo().key;
        let namer =
            Namer::new(&key, &headers(&["box", "Lid-Outline", "height, lid off (mm)", "missing", "lid outline", "lid outlin", "Missing"]));
        let id = |use_: &Use| match use_ {
            Use::Feature(id) | Use::Twice(id) => id.to_string(),
            _ => String::new(),
        };
        assert_eq!(namer.uses()[0], Use::Other);
        assert!(matches!(&namer.uses()[1], Use::Feature(id) if id.as_str() == "lid-outline"));
        assert!(matches!(&namer.uses()[2], Use::Feature(_)), "{:?}", namer.uses()[2]);
        assert_eq!(namer.uses()[3], Use::Missing);
        assert_eq!(namer.uses()[4], Use::Twice(FeatureId::from("lid-outline")));
        assert_eq!((id(&namer.uses()[5]), namer.meant(5)), (String::new(), vec!["lid outline".to_owned()]));
        assert_eq!(namer.uses()[6], Use::Other);
        assert!(namer.meant(1).is_empty());
    }

    #[test]
    fn a_row_in_which_nobody_looked_says_so() {
        let row = named(&["lid outline", "rim"], &["", "  "]);
        assert_eq!((row.form.as_str(), row.probability, row.runner_up.as_str()), ("", None, ""));
        assert_eq!(row.verdict, "Nothing was seen of it that rules anything out");
        assert_eq!(row.state, Some(VerdictState::Nothing));
    }

    #[test]
    fn a_cell_that_cannot_be_read_leaves_the_rest_of_the_row() {
        let row = named(&["lid outline", "body outline", "missing"], &["ovall", "-", "lid|wheel"]);
        let says: Vec<(usize, &str)> = row.problems.iter().map(|(column, says)| (*column, says.as_str())).collect();
        assert_eq!(
            says,
            [
                (0, "there is no value 'ovall' in this key (did you mean 'oval'?)"),
                (1, "'-' says nothing certain (write none where there is no such thing, and nothing where nobody looked)"),
                (2, "there is no part 'wheel' in this key"),
            ]
        );
        assert_eq!(row.state, Some(VerdictState::Nothing));
        let row = named(&["lid outline", "rim"], &["ovall", "plain"]);
        assert_eq!(row.problems.len(), 1);
        assert!(row.probability.is_some() && !row.form.is_empty() && !row.next_look.is_empty(), "{row:?}");
    }

    #[test]
    fn added_columns_do_not_take_the_name_of_one_that_is_there() {
        let key = builtin::demo().key;
        let namer = Namer::new(&key, &headers(&["Form", "rim"]));
        let want = ["Form", "rim", "form (named)", "line", "probability", "runner-up", "next look", "verdict", "problems"];
        assert_eq!(namer.headings(), want);
    }

    #[test]
    fn probabilities_are_never_rounded_to_certainty() {
        assert_eq!([0.999_99, 1.0, 0.000_001, 0.0, 0.5].map(shown), ["0.9999", "1.0000", "0.0001", "0.0000", "0.5000"]);
    }

    #[test]
    fn an_apostrophe_before_a_formula_is_not_read() {
        assert_eq!(["'=a", "'-5", "'tis", "=a"].map(unguarded), ["=a", "-5", "'tis", "=a"]);
    }
}
