//! Which finds of the daybook are wanted, and in which order: said as values, asked of SQLite.

use super::find::Standing;
use super::fold::fold;
use super::record::{Status, YearSpan};
use crate::key::FormId;
use crate::say;
use rusqlite::types::Value;

/// Which finds are wanted. Everything that is given must hold; the default leaves every find that is not removed.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Filter {
    /// Words that must all be found somewhere, in whole or in part: in names, verdict, box, note, captions, place, prices, years, condition. A word of a
    /// grade's name also finds what is of that grade.
    pub search: String,
    /// Only finds taken for that form, or for none.
    pub form: Option<FormChoice>,
    /// Only finds of the line of that name.
    pub line: Option<String>,
    /// Only finds listed under the glaze of that name: their body's. Empty: those of which it is not known.
    pub glaze: Option<String>,
    /// Only finds with the mark of that name.
    pub mark: Option<String>,
    /// Only finds of the box with exactly that label.
    pub box_label: Option<String>,
    /// Only finds of that status.
    pub status: Option<Status>,
    /// Only finds whose naming stood so.
    pub standing: Option<Standing>,
    /// Only finds that may have been made in these years, and of which any year is known.
    pub made: Option<YearSpan>,
    /// Only finds with a photograph, or only those without.
    pub photographed: Option<bool>,
    /// Only finds whose name was not settled.
    pub doubtful: bool,
    /// Only finds in the condition of that grade, by its id. Empty: those that nobody looked over.
    pub grade: Option<String>,
}

/// Finds taken for a form, or for none.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum FormChoice {
    /// Taken for this form.
    Is(FormId),
    /// Taken for no form.
    None,
}

/// What a list of finds shows and can be sorted by.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize)]
#[expect(missing_docs, reason = "`Column::words` says what each shows")]
pub enum Column {
    Form,
    Line,
    Glaze,
    Decoration,
    Mark,
    Made,
    Decorated,
    Sure,
    Box,
    Status,
    Place,
    Pieces,
    Paid,
    Asked,
    Photographs,
    Note,
    Found,
}

impl Column {
    /// All of them, in the order they stand in.
    pub const ALL: [Self; 17] = [
        Self::Form,
        Self::Line,
        Self::Glaze,
        Self::Decoration,
        Self::Mark,
        Self::Made,
        Self::Decorated,
        Self::Sure,
        Self::Box,
        Self::Status,
        Self::Place,
        Self::Pieces,
        Self::Paid,
        Self::Asked,
        Self::Photographs,
        Self::Note,
        Self::Found,
    ];

    /// Its heading.
    pub fn words(self) -> &'static str {
        match self {
            Self::Form => say!(in "a column of finds", "Form"),
            Self::Line => say!(in "a column of finds", "Line"),
            Self::Glaze => say!(in "a column of finds", "Glaze"),
            Self::Decoration => say!(in "a column of finds", "Decoration"),
            Self::Mark => say!(in "a column of finds", "Mark"),
            Self::Made => say!(in "a column of finds", "Made"),
            Self::Decorated => say!(in "a column of finds", "Decorated"),
            Self::Sure => say!(in "a column of finds", "How sure"),
            Self::Box => say!(in "a column of finds", "Box"),
            Self::Status => say!(in "a column of finds", "Status"),
            Self::Place => say!(in "a column of finds", "Found at"),
            Self::Pieces => say!(in "a column of finds", "Pieces"),
            Self::Paid => say!(in "a column of finds", "Paid"),
            Self::Asked => say!(in "a column of finds", "Asked"),
            Self::Photographs => say!(in "a column of finds", "Photographs"),
            Self::Note => say!(in "a column of finds", "Note"),
            Self::Found => say!(in "a column of finds", "Recorded"),
        }
    }

    /// What SQLite sorts by; none for what nobody sorts by.
    pub(super) const fn sql(self) -> Option<&'static str> {
        Some(match self {
            Self::Form => "form_sort",
            Self::Line => "line",
            Self::Glaze => "glaze",
            Self::Decoration => "decoration",
            Self::Mark => "mark",
            Self::Made => "coalesce(made_from, made_to, 32767)",
            Self::Decorated => "coalesce(decorated_from, 32767)",
            Self::Sure => "sure",
            Self::Box => "box_sort",
            Self::Status => "status",
            Self::Place => "place_sort",
            Self::Pieces => "pieces",
            Self::Paid => "paid_sort",
            Self::Asked => "asked_sort",
            Self::Photographs => "photographs",
            Self::Found => "found_ms",
            Self::Note => return None,
        })
    }

    /// True where a list can be sorted by it.
    pub const fn sorts(self) -> bool {
        self.sql().is_some()
    }
}

/// From small to great, or from great to small.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, serde::Serialize, serde::Deserialize)]
pub enum Way {
    /// The least first.
    Up,
    /// The greatest first.
    #[default]
    Down,
}

/// In which order finds are given. Where it leaves two alike, the one recorded later stands first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, serde::Serialize, serde::Deserialize)]
pub struct Order {
    /// By what.
    pub by: Column,
    /// Which end first.
    pub way: Way,
}

impl Default for Order {
    /// Newest first.
    fn default() -> Self {
        Self { by: Column::Found, way: Way::Down }
    }
}

impl Order {
    /// The expression sorted by and whether the greatest stands first.
    pub(super) fn sql(self) -> (&'static str, Way) {
        match self.by.sql() {
            Some(expression) => (expression, self.way),
            None => ("found_ms", Way::Down),
        }
    }
}

/// A list of finds: which, and in which order.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Question {
    /// Which.
    pub filter: Filter,
    /// In which order. None: where words are searched for, those first that are called by them; else, and where that leaves two alike, the newest first.
    pub order: Option<Order>,
}

impl Question {
    /// What SQLite sorts by, its values, and whether the greatest stands first.
    pub(super) fn sorting(&self) -> (String, Vec<Value>, Way) {
        let words = words_of(&self.filter.search);
        if self.order.is_some() || words.is_empty() {
            let (by, way) = self.order.unwrap_or_default().sql();
            return (by.to_owned(), Vec::new(), way);
        }
        // For each word: 3 where it is one of the names, 2 where one begins with it, 1 where one has it, 0 where only a note or the like does. Times
        // before the year 2286 stay below the factor.
        let one = "(instr(names, ?) > 0) + (instr(names, ?) > 0) + (instr(names, ?) > 0)";
        let by = format!("({}) * 10000000000000 + found_ms", vec![one; words.len()].join(" + "));
        let values = words.iter().flat_map(|word| [format!(" {word} "), format!(" {word}"), word.clone()]).map(Value::from);
        (by, values.collect(), Way::Down)
    }
}

/// A dimension that a filter narrows and that chips count.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Dimension {
    Form,
    Line,
    Glaze,
    Mark,
    Box,
    Status,
    Photographed,
    Doubtful,
    Grade,
}

/// What of a filter is passed over.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Without {
    /// Nothing.
    Nothing,
    /// Every [`Dimension`]: what is left is the search, how the naming stood and the years.
    AllThatIsCounted,
}

/// Conditions on `listed`, joined by AND, and their values in order.
#[derive(Debug, Default)]
pub(super) struct Conditions {
    pub(super) sql: String,
    pub(super) values: Vec<Value>,
}

impl Conditions {
    fn and(&mut self, condition: &str, values: impl IntoIterator<Item = Value>) {
        self.sql.push_str(" AND ");
        self.sql.push_str(condition);
        self.values.extend(values);
    }
}

/// A search of more words than anyone types (a pasted page) goes by its first; SQLite bounds the length of a question.
const MOST_WORDS: usize = 40;

/// From each word at most this many of its trigrams are looked up; what they leave is then looked at itself.
const MOST_TRIGRAMS: usize = 5;

impl Filter {
    /// True where it leaves every find.
    pub fn is_open(&self) -> bool {
        *self == Self::default()
    }

    /// How many things it narrows by, the search aside.
    pub fn narrowed(&self) -> usize {
        [
            self.form.is_some(),
            self.line.is_some(),
            self.glaze.is_some(),
            self.mark.is_some(),
            self.box_label.is_some(),
            self.status.is_some(),
            self.standing.is_some(),
            self.made.is_some(),
            self.photographed.is_some(),
            self.doubtful,
            self.grade.is_some(),
        ]
        .into_iter()
        .filter(|narrowed| *narrowed)
        .count()
    }

    /// The conditions, which begin with those on removed finds. The dimensions that chips count may be passed over. `graded` are the conditions there are by
    /// their grades; it need not be known where [`Filter::asks_for_grades`] says no.
    pub(super) fn conditions(&self, without: Without, graded: &Graded) -> Conditions {
        let mut all = Conditions { sql: "removed = 0".to_owned(), values: Vec::new() };
        self.search_conditions(&mut all, graded);
        if without == Without::Nothing {
            self.counted_conditions(&mut all, graded);
        }
        if let Some(standing) = self.standing {
            all.and("standing = ?", [Value::from(standing.stored().to_owned())]);
        }
        if let Some(made) = self.made {
            all.and("(made_from IS NOT NULL OR made_to IS NOT NULL)", []);
            if let Some(to) = made.to {
                all.and("coalesce(made_from, ?) <= ?", [Value::from(to), Value::from(to)]);
            }
            if let Some(from) = made.from {
                all.and("coalesce(made_to, ?) >= ?", [Value::from(from), Value::from(from)]);
            }
        }
        all
    }

    /// The conditions of every [`Dimension`].
    fn counted_conditions(&self, all: &mut Conditions, graded: &Graded) {
        match &self.form {
            Some(FormChoice::Is(form)) => all.and("form_id = ?", [Value::from(form.to_string())]),
            Some(FormChoice::None) => all.and("form_id IS NULL", []),
            None => {}
        }
        let named = [("line = ?", &self.line), ("glaze = ?", &self.glaze), ("mark = ?", &self.mark), ("box = ?", &self.box_label)];
        for (condition, value) in named {
            if let Some(value) = value {
                all.and(condition, [Value::from(value.clone())]);
            }
        }
        if let Some(status) = self.status {
            all.and("status = ?", [Value::from(status.stored().to_owned())]);
        }
        match self.photographed {
            Some(true) => all.and("photographs > 0", []),
            Some(false) => all.and("photographs = 0", []),
            None => {}
        }
        if self.doubtful {
            all.and("standing <> 'settled'", []);
        }
        if let Some(grade) = &self.grade {
            all.and(ONE_OF_THESE, [graded.as_list(|known| known == grade)]);
        }
    }

    /// True where the conditions depend on which condition is of which grade.
    pub(super) fn asks_for_grades(&self, names: &[&str]) -> bool {
        self.grade.is_some() || words_of(&self.search).iter().any(|word| names.iter().any(|name| is_word_of(word, name)))
    }

    /// Words of three letters and more are looked up by their trigrams, and what those leave is looked at; shorter ones are looked for everywhere.
    fn search_conditions(&self, all: &mut Conditions, graded: &Graded) {
        let (of_grades, others): (Vec<String>, Vec<String>) =
            words_of(&self.search).into_iter().partition(|word| graded.names.iter().any(|(name, _)| is_word_of(word, name)));
        if !others.is_empty() {
            let (condition, values) = found_by(&others);
            all.and(&condition, values);
        }
        for word in of_grades {
            let (condition, mut values) = found_by(std::slice::from_ref(&word));
            let ids: Vec<&str> = graded.names.iter().filter(|(name, _)| is_word_of(&word, name)).map(|(_, id)| id.as_str()).collect();
            values.push(graded.as_list(|id| ids.contains(&id)));
            all.and(&format!("({condition} OR {ONE_OF_THESE})"), values);
        }
    }
}

/// Conditions that a parameter lists as JSON.
const ONE_OF_THESE: &str = "faults IN (SELECT value FROM json_each(?))";

/// The conditions that finds are in, by their grades.
#[derive(Debug, Default)]
pub(super) struct Graded {
    /// The names of the grades, folded, and their ids.
    pub(super) names: Vec<(String, String)>,
    /// Each condition as it is laid out, and the id of its grade; an empty id where nobody looked.
    pub(super) told: Vec<(String, String)>,
}

impl Graded {
    fn as_list(&self, wanted: impl Fn(&str) -> bool) -> Value {
        let told: Vec<&str> = self.told.iter().filter(|(_, grade)| wanted(grade)).map(|(told, _)| told.as_str()).collect();
        Value::from(serde_json::to_string(&told).unwrap_or_default())
    }
}

fn words_of(search: &str) -> Vec<String> {
    fold(search).split(' ').filter(|word| !word.is_empty()).take(MOST_WORDS).map(str::to_owned).collect()
}

/// True where a word of at least three letters begins one of a name.
fn is_word_of(word: &str, name: &str) -> bool {
    word.chars().count() >= 3 && name.split(' ').any(|part| part.starts_with(word))
}

/// The condition on finds that have all of some words, and its values.
fn found_by(words: &[String]) -> (String, Vec<Value>) {
    let (mut inner, mut values) = (Vec::new(), Vec::new());
    let trigrams: Vec<String> = words.iter().flat_map(|word| trigrams(word)).collect();
    if !trigrams.is_empty() {
        inner.push("words MATCH ?");
        values.push(Value::from(trigrams.join(" AND ")));
    }
    for word in words {
        // A word of three letters is its own trigram: what has that has the word.
        if word.chars().count() != 3 || trigrams_of(word).is_empty() {
            inner.push("instr(search, ?) > 0");
            values.push(Value::from(word.clone()));
        }
    }
    (format!("number IN (SELECT rowid FROM words WHERE {})", inner.join(" AND ")), values)
}

/// All trigrams of a word that FTS5 can be asked for, each once.
fn trigrams_of(word: &str) -> Vec<String> {
    let letters: Vec<char> = word.chars().collect();
    let mut all: Vec<String> = letters.windows(3).filter(|three| !three.contains(&'\0')).map(|three| three.iter().collect()).collect();
    all.sort();
    all.dedup();
    all
}

/// Some of the trigrams of a word, spread over it, as FTS5 wants them written.
fn trigrams(word: &str) -> Vec<String> {
    let all = trigrams_of(word);
    let step = all.len().div_ceil(MOST_TRIGRAMS).max(1);
    all.iter().step_by(step).map(|three| format!("\"{}\"", three.replace('"', "\"\""))).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_become_trigrams_that_fts5_can_read() {
        assert_eq!(trigrams("cov"), ["\"cov\""]);
        assert_eq!(trigrams("co"), [] as [&str; 0]);
        assert_eq!(trigrams("a\"b"), ["\"a\"\"b\""]);
        assert!(trigrams(&"abcdefghijklmnopqrstuvwxyz".repeat(40)).len() <= MOST_TRIGRAMS);
    }

    #[test]
    fn columns_are_all_there_and_named() {
        assert_eq!(Column::ALL.iter().filter(|column| !column.sorts()).collect::<Vec<_>>(), [&Column::Note]);
        assert_eq!(Filter { search: "x".to_owned(), ..Filter::default() }.narrowed(), 0);
        assert_eq!(Filter { grade: Some("used".to_owned()), ..Filter::default() }.narrowed(), 1);
        assert_eq!(Filter { doubtful: true, line: Some(String::new()), ..Filter::default() }.narrowed(), 2);
    }
}
