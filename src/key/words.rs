//! Finding what a person means by a name: either word of a pair, any case, hyphens or spaces, with or without accents.

mod fold;
mod search;

pub(crate) use fold::Synonyms;
pub use fold::fold;
pub use search::Hit;

use super::ids::{DecorationId, FeatureId, FormId, GlazeId, LineId, MarkId, PaperId, ValueId};
use super::model::{FeatureKind, Form, Key, Part};
use super::problem::{nearest, or_list};
use crate::say;
use search::Search;
use std::collections::HashMap;
use thiserror::Error;

/// Why a name was not found.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum NotFound {
    /// Nothing is called so.
    #[error("{}", say!("there is no {what} '{text}' in this key{suggestion}", what, text, suggestion = suggestion(nearest)))]
    Unknown {
        /// What was looked for: form, feature, …
        what: &'static str,
        /// As written.
        text: String,
        /// The nearest names, best first, at most three.
        nearest: Vec<String>,
    },
    /// Several things are called so.
    #[error("{}", say!("'{text}' can mean {or_list} (write one of them in full)", text, or_list = or_list(among)))]
    Ambiguous {
        /// What was looked for.
        what: &'static str,
        /// As written.
        text: String,
        /// Names that mean one thing each, in the order of the key.
        among: Vec<String>,
    },
}

fn suggestion(nearest: &[String]) -> String {
    if nearest.is_empty() {
        return String::new();
    }
    let quoted: Vec<String> = nearest.iter().map(|name| format!("'{name}'")).collect();
    format!(" (did you mean {}?)", or_list(&quoted))
}

/// The names of a key, ready to be looked up. It does not follow later changes of the key.
#[derive(Debug, Clone)]
pub struct Words {
    synonyms: Synonyms,
    features: Index,
    values: HashMap<FeatureId, Index>,
    forms: Index,
    lines: Index,
    glazes: Index,
    decorations: Index,
    marks: Index,
    papers: Index,
    search: Search,
}

impl Words {
    /// The names of that key.
    pub fn new(key: &Key) -> Self {
        let synonyms = Synonyms::new(&key.about.synonyms);
        let mut features = Index::new("feature");
        let mut values = HashMap::new();
        let mut glazes = Index::new("glaze");
        let mut decorations = Index::new("decoration");
        let mut marks = Index::new("mark");
        let mut papers = Index::new("paper");
        let mut lines = Index::new("line");
        for glaze in &key.glazes {
            named(&synonyms, &mut glazes, glaze.id.as_str(), &glaze.name, &glaze.also);
        }
        for decoration in &key.decorations {
            named(&synonyms, &mut decorations, decoration.id.as_str(), &decoration.name, &decoration.also);
        }
        for mark in &key.marks {
            named(&synonyms, &mut marks, mark.id.as_str(), &mark.name, &mark.also);
        }
        for paper in &key.papers {
            named(&synonyms, &mut papers, paper.id.as_str(), &paper.title, &[]);
        }
        for line in &key.lines {
            named(&synonyms, &mut lines, line.id.as_str(), &line.name, &line.also);
        }
        for feature in &key.features {
            named(&synonyms, &mut features, feature.id.as_str(), &feature.shown_name(), &feature.also);
            let index = match &feature.kind {
                FeatureKind::Choice(choice) => {
                    let mut index = Index::new("value");
                    for value in choice {
                        named(&synonyms, &mut index, value.id.as_str(), &value.shown_name(), &value.also);
                    }
                    index
                }
                FeatureKind::Measure(_) => Index::new("value"),
                FeatureKind::Glaze => glazes.clone(),
                FeatureKind::Decoration => decorations.clone(),
                FeatureKind::Mark => marks.clone(),
            };
            values.insert(feature.id.clone(), index);
        }
        let forms = form_index(key, &synonyms);
        let search = Search::new(key, &synonyms);
        Self { synonyms, features, values, forms, lines, glazes, decorations, marks, papers, search }
    }

    /// The feature called that.
    ///
    /// # Errors
    /// Where none or several are.
    pub fn feature(&self, text: &str) -> Result<FeatureId, NotFound> {
        self.features.find(&self.synonyms, text).map(FeatureId::new)
    }

    /// The value of that feature called that: one of its own, or a glaze, decoration or mark.
    ///
    /// # Errors
    /// Where none or several are.
    pub fn value(&self, feature: &FeatureId, text: &str) -> Result<ValueId, NotFound> {
        match self.values.get(feature) {
            Some(index) => index.find(&self.synonyms, text).map(ValueId::new),
            None => Err(NotFound::Unknown { what: "feature", text: feature.to_string(), nearest: Vec::new() }),
        }
    }

    /// The form called that: its id, its name where only one form has it, or its name and its line (or a line that borrowed it) in either
    /// order.
    ///
    /// # Errors
    /// Where none or several are.
    pub fn form(&self, text: &str) -> Result<FormId, NotFound> {
        self.forms.find(&self.synonyms, text).map(FormId::new)
    }

    /// The line called that.
    ///
    /// # Errors
    /// Where none or several are.
    pub fn line(&self, text: &str) -> Result<LineId, NotFound> {
        self.lines.find(&self.synonyms, text).map(LineId::new)
    }

    /// The glaze called that.
    ///
    /// # Errors
    /// Where none or several are.
    pub fn glaze(&self, text: &str) -> Result<GlazeId, NotFound> {
        self.glazes.find(&self.synonyms, text).map(GlazeId::new)
    }

    /// The decoration called that.
    ///
    /// # Errors
    /// Where none or several are.
    pub fn decoration(&self, text: &str) -> Result<DecorationId, NotFound> {
        self.decorations.find(&self.synonyms, text).map(DecorationId::new)
    }

    /// The mark called that.
    ///
    /// # Errors
    /// Where none or several are.
    pub fn mark(&self, text: &str) -> Result<MarkId, NotFound> {
        self.marks.find(&self.synonyms, text).map(MarkId::new)
    }

    /// The paper called that.
    ///
    /// # Errors
    /// Where none or several are.
    pub fn paper(&self, text: &str) -> Result<PaperId, NotFound> {
        self.papers.find(&self.synonyms, text).map(PaperId::new)
    }

    /// The part called that: 'knob' is the finial where the key says so.
    ///
    /// # Errors
    /// Where none is.
    pub fn part(&self, text: &str) -> Result<Part, NotFound> {
        let wanted = self.synonyms.apply(&fold(text));
        let found = Part::ALL.into_iter().find(|part| [part.english(), part.word()].iter().any(|word| self.synonyms.apply(word) == wanted));
        found.ok_or_else(|| NotFound::Unknown {
            what: "part",
            text: text.to_owned(),
            nearest: nearest(&wanted, Part::ALL.map(Part::word)).into_iter().collect(),
        })
    }

    /// The forms that fit some words in any order, with typing mistakes, best first; at most `limit` of them.
    ///
    /// The words are looked for in names, other names and the names of lines, by either word of a pair.
    pub fn search_forms(&self, text: &str, limit: usize) -> Vec<Hit> {
        self.search.find(&self.synonyms, text, limit)
    }
}

fn named(synonyms: &Synonyms, index: &mut Index, id: &str, name: &str, also: &[String]) {
    index.add(synonyms, id, name, std::iter::once(name).chain(also.iter().map(String::as_str)));
}

fn form_index(key: &Key, synonyms: &Synonyms) -> Index {
    let mut lines: HashMap<&str, Vec<&str>> = HashMap::new();
    for line in &key.lines {
        lines.entry(line.id.as_str()).or_insert_with(|| std::iter::once(&line.name).chain(&line.also).map(String::as_str).collect());
    }
    let mut index = Index::new("form");
    for form in &key.forms {
        let names = || std::iter::once(form.name.as_str()).chain(form.also.iter().map(String::as_str));
        let own = lines.get(form.line.as_str()).map_or(&[][..], Vec::as_slice);
        let with_line = names().flat_map(|name| own.iter().map(move |line| format!("{name} {line}")));
        let full = own.first().map_or_else(|| form.name.clone(), |line| format!("{}, {line}", form.name));
        let all: Vec<String> = names().map(str::to_owned).chain(with_line).collect();
        index.add(synonyms, form.id.as_str(), &full, all.iter().map(String::as_str));
    }
    for form in &key.forms {
        borrowed_names(form, &lines, synonyms, &mut index);
    }
    index
}

/// A borrowed form is also found under the line that borrowed it, unless that line has a form of its own of that name.
fn borrowed_names(form: &Form, lines: &HashMap<&str, Vec<&str>>, synonyms: &Synonyms, index: &mut Index) {
    for borrower in &form.borrowed_by {
        for line in lines.get(borrower.id.as_str()).map_or(&[][..], Vec::as_slice) {
            index.add_if_free(synonyms, form.id.as_str(), &format!("{} {line}", form.name));
        }
    }
}

/// Names of one sort of thing. Words of a name may come in any order.
#[derive(Debug, Clone)]
struct Index {
    what: &'static str,
    /// Id and shown name of each.
    things: Vec<(String, String)>,
    ids: HashMap<String, usize>,
    names: HashMap<String, Vec<usize>>,
}

impl Index {
    fn new(what: &'static str) -> Self {
        Self { what, things: Vec::new(), ids: HashMap::new(), names: HashMap::new() }
    }

    fn add<'n>(&mut self, synonyms: &Synonyms, id: &'n str, shown: &str, names: impl Iterator<Item = &'n str>) {
        if self.ids.contains_key(id) {
            return;
        }
        let at = self.things.len();
        self.ids.insert(id.to_owned(), at);
        self.things.push((id.to_owned(), shown.to_owned()));
        for name in names.chain(std::iter::once(id)) {
            let entry = self.names.entry(sorted_words(synonyms, name)).or_default();
            if entry.last() != Some(&at) {
                entry.push(at);
            }
        }
    }

    fn add_if_free(&mut self, synonyms: &Synonyms, id: &str, name: &str) {
        if let Some(&at) = self.ids.get(id) {
            self.names.entry(sorted_words(synonyms, name)).or_insert_with(|| vec![at]);
        }
    }

    fn find(&self, synonyms: &Synonyms, text: &str) -> Result<&str, NotFound> {
        let text = text.trim();
        if let Some((id, _)) = self.ids.get(text).and_then(|&at| self.things.get(at)) {
            return Ok(id);
        }
        match self.names.get(&sorted_words(synonyms, text)).map_or(&[][..], Vec::as_slice) {
            [] => Err(NotFound::Unknown { what: self.what, text: text.to_owned(), nearest: self.nearest(synonyms, text) }),
            [one] => Ok(self.things.get(*one).map_or("", |(id, _)| id)),
            several => Err(NotFound::Ambiguous {
                what: self.what,
                text: text.to_owned(),
                among: several.iter().filter_map(|&at| self.things.get(at)).map(|(id, shown)| self.certain(synonyms, id, shown)).collect(),
            }),
        }
    }

    /// The shown name where it means one thing, else the id.
    fn certain(&self, synonyms: &Synonyms, id: &str, shown: &str) -> String {
        let alone = self.names.get(&sorted_words(synonyms, shown)).is_some_and(|found| found.len() == 1);
        let name = if alone { shown } else { id };
        format!("'{name}'")
    }

    fn nearest(&self, synonyms: &Synonyms, text: &str) -> Vec<String> {
        const MOST: usize = 3;
        let wanted = synonyms.apply(&fold(text));
        let length = wanted.chars().count();
        let limit = (length / 3).max(1);
        let slips = |name: &str| {
            let name = synonyms.apply(&fold(name));
            let near = name.chars().count().abs_diff(length) <= limit;
            near.then(|| strsim::damerau_levenshtein(&wanted, &name)).filter(|&slips| slips <= limit)
        };
        let mut found: Vec<(usize, usize)> = Vec::new();
        for (at, (id, shown)) in self.things.iter().enumerate() {
            let short = shown.split(',').next().unwrap_or_default();
            if let Some(least) = [id.as_str(), shown, short].into_iter().filter_map(slips).min() {
                found.push((least, at));
            }
        }
        found.sort_unstable();
        found.into_iter().filter_map(|(_, at)| self.things.get(at)).map(|(_, shown)| shown.clone()).take(MOST).collect()
    }
}

fn sorted_words(synonyms: &Synonyms, text: &str) -> String {
    let plain = synonyms.apply(&fold(text));
    let mut words: Vec<&str> = plain.split(' ').collect();
    words.sort_unstable();
    words.join(" ")
}
