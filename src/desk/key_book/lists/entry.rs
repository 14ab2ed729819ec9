//! An entry of a list of the key while it is being changed.

use crate::colour::Lab;
use crate::desk::command::Command;
use crate::desk::document::Document;
use crate::desk::key_pictures::{Adding, Pictures};
use crate::desk::steps::Steps;
use crate::key::edit;
use crate::key::shape::Drawing;
use crate::key::{
    About, Applied, Decoration, Feature, FeatureKind, Finish, Glaze, Key, KeyFile, Line, Paper, PaperKind, Part, Severity, View, When,
    Years, check_key,
};
use crate::say;
use std::collections::BTreeSet;

/// What stands in one of the lists.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Entry {
    Line(Line),
    Feature(Feature),
    Glaze(Glaze),
    Decoration(Decoration),
    Paper(Paper),
    About(About),
}

/// Ids are replaced in place by lists of one shape.
macro_rules! put {
    ($list:expr, $entry:expr, $was:expr) => {
        match $list.iter_mut().find(|known| Some(known.id.as_str()) == $was) {
            Some(known) => *known = $entry.clone(),
            None => $list.push($entry.clone()),
        }
    };
}

impl Entry {
    /// The entry of that id.
    pub(super) fn of(key: &Key, file: KeyFile, id: &str) -> Option<Self> {
        match file {
            KeyFile::Lines => key.line(&id.into()).cloned().map(Self::Line),
            KeyFile::Features => key.feature(&id.into()).cloned().map(Self::Feature),
            KeyFile::Glazes => key.glaze(&id.into()).cloned().map(Self::Glaze),
            KeyFile::Decorations => key.decoration(&id.into()).cloned().map(Self::Decoration),
            KeyFile::Papers => key.paper(&id.into()).cloned().map(Self::Paper),
            KeyFile::About => Some(Self::About(key.about.clone())),
            KeyFile::Forms | KeyFile::Marks | KeyFile::Counted | KeyFile::Retired => None,
        }
    }

    /// A new one for that list.
    pub(super) fn blank(file: KeyFile) -> Option<Self> {
        let (also, claims, note, made) = (Vec::new(), Vec::new(), String::new(), Years::default());
        Some(match file {
            KeyFile::Lines => Self::Line(Line { id: "".into(), name: String::new(), also, made, claims, note }),
            KeyFile::Features => Self::Feature(Feature {
                id: "".into(),
                name: String::new(),
                also,
                part: Part::Body,
                view: View::Side,
                kind: FeatureKind::Choice(Vec::new()),
                only_if: None,
                slip: 0.02,
                effort: 1.0,
                look: String::new(),
            }),
            KeyFile::Glazes => Self::Glaze(Glaze {
                id: "".into(),
                name: String::new(),
                also,
                lines: Vec::new(),
                lab: Lab::new(75.0, 0.0, 6.0),
                spread: 1.5,
                finish: Finish::Gloss,
                made,
                cautions: Vec::new(),
                claims,
                note,
            }),
            KeyFile::Decorations => Self::Decoration(Decoration {
                id: "".into(),
                name: String::new(),
                also,
                lines: Vec::new(),
                drawing: Drawing::None,
                applied: Applied::PrintedOver,
                made,
                on_old_stock: false,
                claims,
                note,
            }),
            KeyFile::Papers => Self::Paper(Paper {
                id: "".into(),
                title: String::new(),
                kind: PaperKind::PriceList,
                date: When::Circa(1950),
                lists: Vec::new(),
                pictures: Vec::new(),
                note,
            }),
            KeyFile::About | KeyFile::Forms | KeyFile::Marks | KeyFile::Counted | KeyFile::Retired => return None,
        })
    }

    pub(super) const fn file(&self) -> KeyFile {
        match self {
            Self::Line(_) => KeyFile::Lines,
            Self::Feature(_) => KeyFile::Features,
            Self::Glaze(_) => KeyFile::Glazes,
            Self::Decoration(_) => KeyFile::Decorations,
            Self::Paper(_) => KeyFile::Papers,
            Self::About(_) => KeyFile::About,
        }
    }

    pub(super) fn id(&self) -> &str {
        match self {
            Self::Line(x) => x.id.as_str(),
            Self::Feature(x) => x.id.as_str(),
            Self::Glaze(x) => x.id.as_str(),
            Self::Decoration(x) => x.id.as_str(),
            Self::Paper(x) => x.id.as_str(),
            Self::About(_) => "",
        }
    }

    fn set_id(&mut self, id: &str) {
        match self {
            Self::Line(x) => x.id = id.into(),
            Self::Feature(x) => x.id = id.into(),
            Self::Glaze(x) => x.id = id.into(),
            Self::Decoration(x) => x.id = id.into(),
            Self::Paper(x) => x.id = id.into(),
            Self::About(_) => {}
        }
    }

    /// The name shown for it; empty where it has none yet.
    pub(super) fn name(&self) -> String {
        match self {
            Self::Line(x) => x.name.clone(),
            Self::Feature(x) if x.id.as_str().is_empty() => x.name.clone(),
            Self::Feature(x) => x.shown_name(),
            Self::Glaze(x) => x.name.clone(),
            Self::Decoration(x) => x.name.clone(),
            Self::Paper(x) => x.title.clone(),
            Self::About(x) => x.title.clone(),
        }
    }

    /// The other names, where it may have some.
    pub(super) fn also(&self) -> Option<&Vec<String>> {
        match self {
            Self::Line(x) => Some(&x.also),
            Self::Feature(x) => Some(&x.also),
            Self::Glaze(x) => Some(&x.also),
            Self::Decoration(x) => Some(&x.also),
            Self::Paper(_) | Self::About(_) => None,
        }
    }

    pub(super) fn also_mut(&mut self) -> Option<&mut Vec<String>> {
        match self {
            Self::Line(x) => Some(&mut x.also),
            Self::Feature(x) => Some(&mut x.also),
            Self::Glaze(x) => Some(&mut x.also),
            Self::Decoration(x) => Some(&mut x.also),
            Self::Paper(_) | Self::About(_) => None,
        }
    }

    pub(super) fn name_mut(&mut self) -> &mut String {
        match self {
            Self::Line(x) => &mut x.name,
            Self::Feature(x) => &mut x.name,
            Self::Glaze(x) => &mut x.name,
            Self::Decoration(x) => &mut x.name,
            Self::Paper(x) => &mut x.title,
            Self::About(x) => &mut x.title,
        }
    }

    /// The key with this entry in the place of the one of that id, or at the end.
    fn put(&self, key: &Key, was: Option<&str>) -> Key {
        let mut new = key.clone();
        match self {
            Self::Line(x) => put!(new.lines, x, was),
            Self::Feature(x) => put!(new.features, x, was),
            Self::Glaze(x) => put!(new.glazes, x, was),
            Self::Decoration(x) => put!(new.decorations, x, was),
            Self::Paper(x) => put!(new.papers, x, was),
            Self::About(x) => new.about = x.clone(),
        }
        new
    }
}

/// An entry on its sheet: what is edited, with its steps, and as it is in the key.
#[derive(Debug)]
pub(super) struct Edit {
    pub(super) draft: Entry,
    pub(super) steps: Steps<Entry>,
    /// As it is in the key; none of a new one.
    pub(super) saved: Option<Entry>,
    /// Other names, as they are typed.
    pub(super) also: String,
    /// Words that mean the same, a group a line, as they are typed.
    pub(super) groups: String,
    /// Another id, as it is typed.
    pub(super) id: String,
    /// What is wrong with it, when it was to be saved.
    pub(super) refused: Option<String>,
    /// Asked whether the edits may be dropped.
    pub(super) asks_to_leave: bool,
    /// What is typed to find the form that an entry of a paper means.
    pub(super) form_typed: String,
    /// New pictures of a paper.
    pub(super) adding: Adding,
    /// How often the values of a feature are named.
    pub(super) used: super::feature::Used,
}

impl Edit {
    pub(super) fn of(entry: Entry, is_new: bool) -> Self {
        let mut edit = Self {
            steps: Steps::new(entry.clone()),
            saved: (!is_new).then(|| entry.clone()),
            also: String::new(),
            groups: String::new(),
            id: String::new(),
            refused: None,
            asks_to_leave: false,
            form_typed: String::new(),
            adding: Adding::default(),
            used: super::feature::Used::default(),
            draft: entry,
        };
        edit.show();
        edit
    }

    /// True where something would be lost by leaving it.
    pub(super) fn is_changed(&self) -> bool {
        match &self.saved {
            Some(saved) => *saved != self.draft,
            None => Entry::blank(self.draft.file()).is_none_or(|blank| blank != self.draft),
        }
    }

    /// What was edited so far becomes a step.
    pub(super) fn settle(&mut self) {
        self.steps.push(self.draft.clone());
    }

    /// Takes the last edit back. False where there is none.
    pub(super) fn undo(&mut self) -> bool {
        self.settle();
        let can = self.steps.can_undo();
        self.steps.undo();
        self.draft = self.steps.now().clone();
        self.show();
        can
    }

    /// Makes it again. False where there is none.
    pub(super) fn redo(&mut self) -> bool {
        let can = self.steps.can_redo();
        self.steps.redo();
        self.draft = self.steps.now().clone();
        self.show();
        can
    }

    fn show(&mut self) {
        self.adding.stop_framing();
        self.also = self.draft.also().map(|also| also.join(", ")).unwrap_or_default();
        self.id = self.draft.id().to_owned();
        if let Entry::About(about) = &self.draft {
            self.groups = about.synonyms.iter().map(|group| group.join(", ")).collect::<Vec<_>>().join("\n");
        }
    }

    /// Asks for the entry to be saved; false where something is wrong with it, which is then said.
    pub(super) fn save(&mut self, doc: &Document, pictures: &mut Pictures, commands: &mut Vec<Command>) -> bool {
        self.settle();
        self.refused = None;
        let key = &doc.key;
        let file = self.draft.file();
        let mut entry = self.draft.clone();
        if let Entry::Feature(feature) = &mut entry {
            super::feature::name_values(feature);
        }
        let trimmed = entry.name_mut().trim().to_owned();
        // A feature may leave its name out: its id says it.
        let named = matches!((&entry, &self.saved), (Entry::Feature(_), Some(_)));
        *entry.name_mut() = trimmed;
        if entry.name().is_empty() && !named {
            self.refused = Some(say!("the {word} has no name yet", word = file.said()));
            return false;
        }
        if self.saved.is_none() {
            entry.set_id(&edit::made_id(&entry.name(), |id| Entry::of(key, file, id).is_some()));
        }
        let id = entry.id().to_owned();
        let fresh = match &mut entry {
            Entry::Paper(paper) => self.adding.name(&mut paper.pictures, "paper", &id, pictures),
            _ => Vec::new(),
        };
        let new = entry.put(key, self.saved.as_ref().map(Entry::id));
        if let Some(why) = doc.place.read_only.clone().or_else(|| wrong_now(key, &new)) {
            self.refused = Some(why);
            return false;
        }
        let step = match (&self.saved, file) {
            (_, KeyFile::About) => say!("change what the key is").to_owned(),
            (Some(_), _) => say!("change the {word} '{entry}'", word = file.said(), entry = entry.name()),
            (None, _) => say!("add the {word} '{entry}'", word = file.said(), entry = entry.name()),
        };
        if !fresh.is_empty() {
            commands.push(Command::KeepPictures(fresh));
        }
        commands.push(Command::ChangeKey(step, Box::new(new)));
        self.saved = Some(entry.clone());
        self.draft = entry;
        self.settle();
        self.show();
        true
    }

    /// Asks for another id, which every reference follows.
    pub(super) fn rename(&mut self, doc: &Document, commands: &mut Vec<Command>) {
        let (Some(saved), to) = (&self.saved, self.id.trim().to_owned()) else { return };
        let file = saved.file();
        match edit::rename(&doc.key, file, saved.id(), &to) {
            Ok(renamed) => {
                let step = say!("rename the {word} '{id}' to '{to}'", word = file.said(), id = saved.id(), to);
                commands.push(Command::ChangeKey(step, Box::new(renamed.key)));
                self.draft.set_id(&to);
                if let Some(saved) = &mut self.saved {
                    saved.set_id(&to);
                }
                // Steps from before have the old id.
                self.steps = Steps::new(self.draft.clone());
                self.refused = None;
            }
            Err(why) => self.refused = Some(why.to_string()),
        }
    }

    /// Asks for the entry to be taken out. True where nothing refers to it.
    pub(super) fn remove(&mut self, doc: &Document, commands: &mut Vec<Command>) -> bool {
        let Some(saved) = &self.saved else { return true };
        let (file, id) = (saved.file(), saved.id());
        match edit::remove(&doc.key, file, id) {
            Ok(new) => {
                commands.push(Command::ChangeKey(
                    say!("take out the {word} '{saved}'", word = file.said(), saved = saved.name()),
                    Box::new(new),
                ));
                true
            }
            Err(why) => {
                self.refused = Some(why.to_string());
                false
            }
        }
    }
}

/// The first thing that would be wrong with a key and is not now.
pub(super) fn wrong_now(before: &Key, after: &Key) -> Option<String> {
    let errors =
        |key: &Key| check_key(key).into_iter().filter(|problem| problem.severity == Severity::Error).map(|problem| problem.sentence());
    let known: BTreeSet<String> = errors(before).collect();
    errors(after).find(|sentence| !known.contains(sentence))
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "tests")]
    use super::*;
    use crate::desk::document::KeyPlace;
    use crate::key::builtin;

    fn saved(edit: &mut Edit, doc: &Document) -> Key {
        let mut commands = Vec::new();
        assert!(edit.save(doc, &mut Pictures::default(), &mut commands), "{:?}", edit.refused);
        match commands.pop() {
            Some(Command::ChangeKey(_, key)) => *key,
            other => unreachable!("{other:?}"),
        }
    }

    #[test]
    fn a_new_entry_gets_an_id_of_its_own() {
        let doc = Document::new(builtin::demo().key, KeyPlace::default());
        for file in [KeyFile::Lines, KeyFile::Features, KeyFile::Glazes, KeyFile::Decorations, KeyFile::Papers] {
            let mut edit = Edit::of(Entry::blank(file).unwrap(), true);
            assert!(!edit.is_changed());
            assert!(!edit.save(&doc, &mut Pictures::default(), &mut Vec::new()) && edit.refused.is_some(), "{file}: it has no name");
            *edit.draft.name_mut() = "Évening Blue".to_owned();
            if let Entry::Feature(feature) = &mut edit.draft {
                // A choice wants two values or more.
                feature.kind = FeatureKind::Glaze;
            }
            let key = saved(&mut edit, &doc);
            assert_eq!(Entry::of(&key, file, "evening-blue").map(|entry| entry.name()), Some("Évening Blue".to_owned()), "{file}");
        }
    }

    #[test]
    fn what_would_break_the_key_is_refused() {
        let doc = Document::new(builtin::demo().key, KeyPlace::default());
        let mut edit = Edit::of(Entry::of(&doc.key, KeyFile::Features, "lid-outline").unwrap(), false);
        if let Entry::Feature(Feature { kind: FeatureKind::Choice(values), .. }) = &mut edit.draft {
            values.retain(|value| value.id.as_str() != "oval");
        }
        let mut commands = Vec::new();
        assert!(!edit.save(&doc, &mut Pictures::default(), &mut commands) && commands.is_empty());
        assert!(edit.refused.clone().unwrap().contains("oval"), "{:?}", edit.refused);
        assert!(edit.undo() && !edit.is_changed());
        assert!(!edit.remove(&doc, &mut commands) && edit.refused.clone().unwrap().contains("can't be taken out"));
    }

    #[test]
    fn an_id_is_changed_with_what_refers_to_it() {
        let doc = Document::new(builtin::demo().key, KeyPlace::default());
        let glaze = doc.key.forms.iter().find_map(|form| form.glazes.first()).unwrap().id.clone();
        let mut edit = Edit::of(Entry::of(&doc.key, KeyFile::Glazes, glaze.as_str()).unwrap(), false);
        edit.id = "another".to_owned();
        let mut commands = Vec::new();
        edit.rename(&doc, &mut commands);
        let Some(Command::ChangeKey(step, key)) = commands.pop() else { unreachable!("it is renamed") };
        assert_eq!(step, format!("rename the glaze '{glaze}' to 'another'"));
        assert!(key.forms.iter().flat_map(|form| &form.glazes).any(|held| held.id.as_str() == "another"));
        edit.id = "Not An Id".to_owned();
        edit.rename(&doc, &mut commands);
        assert!(commands.is_empty() && edit.refused.is_some());
    }
}
