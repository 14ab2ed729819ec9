//! Ids and names: none empty, none twice, and no word for two things.

use super::{Sink, place_of};
use crate::key::file::{Entry, KeyFile};
use crate::key::load::Texts;
use crate::key::model::{FeatureKind, Form, Key};
use crate::key::problem::{Place, ProblemKind};
use crate::key::text::Step;
use crate::key::words::{Synonyms, fold};
use crate::say;
use std::collections::HashMap;

pub(super) fn check(key: &Key, texts: &Texts, sink: &mut Sink) {
    let synonyms = Synonyms::new(&key.about.synonyms);
    groups(&key.about.synonyms, sink);
    list(key, texts, &synonyms, |x: &crate::key::Feature| (x.name.as_str(), x.also.as_slice()), sink);
    list(key, texts, &synonyms, |x: &crate::key::Line| (x.name.as_str(), x.also.as_slice()), sink);
    list(key, texts, &synonyms, |x: &crate::key::Glaze| (x.name.as_str(), x.also.as_slice()), sink);
    list(key, texts, &synonyms, |x: &crate::key::Decoration| (x.name.as_str(), x.also.as_slice()), sink);
    list(key, texts, &synonyms, |x: &crate::key::Mark| (x.name.as_str(), x.also.as_slice()), sink);
    ids::<crate::key::Paper>(key, texts, sink);
    ids::<crate::key::Counted>(key, texts, sink);
    ids::<crate::key::Retired>(key, texts, sink);
    ids::<Form>(key, texts, sink);
    retired(key, texts, sink);
    forms(key, texts, sink);
    unseen(key, sink);
    for (at, feature) in key.features.iter().enumerate() {
        let FeatureKind::Choice(values) = &feature.kind else { continue };
        sink.at(KeyFile::Features, at);
        let mut words = WordsOf::new(&synonyms);
        for (i, value) in values.iter().enumerate() {
            let steps = [Step::Field("kind"), Step::At(0), Step::At(i)];
            let names = std::iter::once(value.id.as_str()).chain(Some(value.name.as_str())).chain(value.also.iter().map(String::as_str));
            words.add(i, &value.shown_name(), names, &steps, sink);
        }
    }
}

/// Names that hold signs nobody sees, or that turn the writing round.
fn unseen(key: &Key, sink: &mut Sink) {
    macro_rules! names {
        ($($list:ident $file:ident $field:ident;)+) => {$(
            for (at, entry) in key.$list.iter().enumerate() {
                if let Some(sign) = unseen_sign(&entry.$field) {
                    sink.at(KeyFile::$file, at);
                    let (of, id) = (KeyFile::$file.word(), entry.id.to_string());
                    sink.push(&[Step::Field(stringify!($field))], ProblemKind::UnseenSign { of, id, field: stringify!($field), sign });
                }
            }
        )+};
    }
    names! {
        features Features name;
        lines Lines name;
        forms Forms name;
        glazes Glazes name;
        decorations Decorations name;
        marks Marks name;
        papers Papers title;
    }
    if let Some(sign) = unseen_sign(&key.about.title) {
        sink.at(KeyFile::About, 0);
        let kind = ProblemKind::UnseenSign { of: say!("key"), id: key.about.title.clone(), field: "title", sign };
        sink.push(&[Step::Field("title")], kind);
    }
}

/// The first sign of a text that can't be shown as it is, as U+202E.
fn unseen_sign(text: &str) -> Option<String> {
    let plain = crate::key::plain(text);
    let control = |c: char| c == '\n' || c == '\t';
    text.chars().zip(plain.chars()).find(|(is, shown)| is != shown || control(*is)).map(|(sign, _)| format!("U+{:04X}", u32::from(sign)))
}

/// The names of one form that is not yet in the key, or that replaces the one of its id.
pub(super) fn check_form(key: &Key, form: &Form, sink: &mut Sink) {
    id_and_name(KeyFile::Forms, form.id.as_str(), Some(&form.name), sink);
    let same_name = |other: &&Form| other.id != form.id && other.line == form.line && fold(&other.name) == fold(&form.name);
    if key.forms.iter().any(|other| same_name(&other)) {
        let within = within(key, form);
        let kind =
            ProblemKind::DoubleName { of: say!("forms"), name: form.name.clone(), within, first: Place::file(KeyFile::Forms.name()) };
        sink.push(&[Step::Field("name")], kind);
    }
}

fn within(key: &Key, form: &Form) -> String {
    let line = key.line(&form.line).map_or(form.line.as_str(), |line| &line.name);
    say!(" in the line '{line}'", line)
}

/// The words of the groups of synonyms: none in two groups.
fn groups(groups: &[Vec<String>], sink: &mut Sink) {
    sink.at(KeyFile::About, 0);
    let mut seen: HashMap<String, (usize, &str)> = HashMap::new();
    for (i, group) in groups.iter().enumerate() {
        let shown = group.first().map_or("", String::as_str);
        for (j, word) in group.iter().enumerate() {
            let steps = [Step::Field("synonyms"), Step::At(i), Step::At(j)];
            match seen.get(&fold(word)) {
                Some(&(other, _)) if other == i => sink.push(&steps, ProblemKind::Twice { what: word.clone(), list: "synonyms" }),
                Some(&(_, other)) => {
                    let kind = ProblemKind::WordForTwo { word: word.clone(), one: format!("'{other}'"), other: format!("'{shown}'") };
                    sink.push(&steps, kind);
                }
                None => {
                    seen.insert(fold(word), (i, shown));
                }
            }
        }
    }
}

/// Ids of a list, and that no word means two of it.
fn list<T: Entry>(key: &Key, texts: &Texts, synonyms: &Synonyms, names: impl Fn(&T) -> (&str, &[String]), sink: &mut Sink) {
    ids::<T>(key, texts, sink);
    let mut words = WordsOf::new(synonyms);
    for (at, entry) in T::list(key).iter().enumerate() {
        sink.at(T::FILE, at);
        let (name, also) = names(entry);
        if T::FILE != KeyFile::Features {
            id_and_name(T::FILE, entry.id(), Some(name), sink);
        }
        let shown = if name.is_empty() { entry.id().to_owned() } else { name.to_owned() };
        let all = [entry.id(), name].into_iter().chain(also.iter().map(String::as_str));
        words.add(at, &shown, all, &[], sink);
    }
}

/// Ids of a list: none empty, none odd, none twice.
fn ids<T: Entry>(key: &Key, texts: &Texts, sink: &mut Sink) {
    let mut first: HashMap<&str, usize> = HashMap::new();
    for (at, entry) in T::list(key).iter().enumerate() {
        sink.at(T::FILE, at);
        id_and_name(T::FILE, entry.id(), None, sink);
        match first.get(entry.id()) {
            Some(&earlier) => {
                let first = place_of(texts, T::FILE, earlier, "id");
                sink.push(&[Step::Field("id")], ProblemKind::DoubleId { of: T::FILE.plural(), id: entry.id().to_owned(), first });
            }
            None => {
                first.insert(entry.id(), at);
            }
        }
    }
}

fn id_and_name(file: KeyFile, id: &str, name: Option<&str>, sink: &mut Sink) {
    if let Some(name) = name {
        if name.trim().is_empty() {
            sink.push(&[Step::Field("name")], ProblemKind::Empty { of: file.word(), id: id.to_owned(), field: "name" });
        }
        if file != KeyFile::Forms {
            return;
        }
    }
    if id.trim().is_empty() {
        sink.push(&[Step::Field("id")], ProblemKind::Empty { of: file.word(), id: id.to_owned(), field: "id" });
    } else if !id.split('-').all(|word| !word.is_empty() && word.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit())) {
        sink.push(&[Step::Field("id")], ProblemKind::OddId { id: id.to_owned(), instead: super::super::id_from_name(id) });
    }
}

/// Forms that were retired: none is also in use.
fn retired(key: &Key, texts: &Texts, sink: &mut Sink) {
    let used: HashMap<&str, usize> = key.forms.iter().enumerate().rev().map(|(at, form)| (form.id.as_str(), at)).collect();
    for (at, retired) in key.retired.iter().enumerate() {
        let id = &retired.form.id;
        if let Some(&form) = used.get(id.as_str()) {
            sink.at(KeyFile::Retired, at);
            let first = place_of(texts, KeyFile::Forms, form, "id");
            let kind = ProblemKind::DoubleId { of: say!("forms, used or retired,"), id: id.to_string(), first };
            sink.push(&[Step::Field("form"), Step::Field("id")], kind);
        }
    }
}

/// Names of forms: none twice in its line.
fn forms(key: &Key, texts: &Texts, sink: &mut Sink) {
    let mut first: HashMap<(&str, String), usize> = HashMap::new();
    for (at, form) in key.forms.iter().enumerate() {
        sink.at(KeyFile::Forms, at);
        if form.name.trim().is_empty() {
            sink.push(&[Step::Field("name")], ProblemKind::Empty { of: say!("form"), id: form.id.to_string(), field: "name" });
            continue;
        }
        let name = (form.line.as_str(), fold(&form.name));
        match first.get(&name) {
            Some(&earlier) => {
                let first = place_of(texts, KeyFile::Forms, earlier, "name");
                let kind = ProblemKind::DoubleName { of: say!("forms"), name: form.name.clone(), within: within(key, form), first };
                sink.push(&[Step::Field("name")], kind);
            }
            None => {
                first.insert(name, at);
            }
        }
    }
}

/// The words of things of one sort.
struct WordsOf<'s> {
    synonyms: &'s Synonyms,
    seen: HashMap<String, (usize, String)>,
}

impl<'s> WordsOf<'s> {
    fn new(synonyms: &'s Synonyms) -> Self {
        Self { synonyms, seen: HashMap::new() }
    }

    fn add<'n>(&mut self, at: usize, shown: &str, names: impl Iterator<Item = &'n str>, steps: &[Step], sink: &mut Sink) {
        let mut told = false;
        for name in names.filter(|name| !name.is_empty()) {
            let word = self.synonyms.apply(&fold(name));
            match self.seen.get(&word) {
                // Two of one id are told of already.
                Some((other, one)) if *other != at && !told && one != shown => {
                    told = true;
                    let kind = ProblemKind::WordForTwo { word: name.to_owned(), one: format!("'{one}'"), other: format!("'{shown}'") };
                    sink.push(steps, kind);
                }
                Some((other, _)) if *other != at && !told => {
                    told = true;
                    let kind = ProblemKind::WordForTwo {
                        word: name.to_owned(),
                        one: say!("one thing").to_owned(),
                        other: say!("another").to_owned(),
                    };
                    sink.push(steps, kind);
                }
                Some(_) => {}
                None => {
                    self.seen.insert(word, (at, shown.to_owned()));
                }
            }
        }
    }
}
