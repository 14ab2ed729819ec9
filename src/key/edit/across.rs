//! Copying a form from another key, with all that it refers to.
//!
//! What both keys have under one name is used as it is here. What is missing comes along: the line, features and their values, glazes, decorations, marks, and papers that are cited. A name that means something else
//! here gets an id of its own.

use super::forms::new_form_id;
use super::{EditError, made_id};
use crate::key::file::KeyFile;
use crate::key::model::{Claim, Condition, FeatureKind, Form, Held, Key, Picture, Record};
use crate::key::words::fold;
use crate::key::{DecorationId, FeatureId, FormId, GlazeId, LineId, MarkId, PaperId, ValueId};
use crate::say;
use indexmap::IndexMap;
use std::collections::BTreeMap;

/// A key into which a form was copied.
#[derive(Debug, Clone, PartialEq)]
pub struct Copied {
    /// The new key.
    pub key: Key,
    /// The form's id there.
    pub form: FormId,
    /// What came along with it, in words: 'the glaze Sage'.
    pub came: Vec<String>,
    /// What is called the same in both keys and is not the same: this key's own was used.
    pub differs: Vec<String>,
    /// Pictures to be copied: the file there, and what it is to be called here, both below `pictures/`.
    pub pictures: Vec<(String, String)>,
}

/// Copies a form. `picture_taken` says of a file name whether this key's `pictures/` has it already.
///
/// # Errors
/// Where the other key has no such form.
pub fn copy_form(from: &Key, form: &FormId, into: &Key, picture_taken: &dyn Fn(&str) -> bool) -> Result<Copied, EditError> {
    let Some(form) = from.form(form) else { return Err(EditError::Unknown { of: KeyFile::Forms.said(), id: form.to_string() }) };
    let mut copier = Copier {
        from,
        out: Copied { key: into.clone(), form: FormId::default(), came: Vec::new(), differs: Vec::new(), pictures: Vec::new() },
        picture_taken,
        known: BTreeMap::new(),
    };
    let line = copier.line(&form.line);
    let name = name_here(into, &line, &form.name);
    let id = new_form_id(&copier.out.key, &format!("{line} {name}"));
    let copy = Form {
        id: id.clone(),
        name,
        also: form.also.clone(),
        line,
        borrowed_by: copier.held(&form.borrowed_by, Copier::line),
        features: copier.records(form),
        glazes: copier.held(&form.glazes, Copier::glaze),
        decorations: copier.held(&form.decorations, Copier::decoration),
        marks: copier.held(&form.marks, Copier::mark),
        claims: copier.claims(&form.claims),
        pictures: copier.pictures(&form.pictures),
        ..form.clone()
    };
    copier.out.key.forms.push(copy);
    copier.out.form = id;
    Ok(copier.out)
}

fn name_here(key: &Key, line: &LineId, name: &str) -> String {
    let taken = |name: &str| key.forms.iter().any(|form| form.line == *line && fold(&form.name) == fold(name));
    super::free_name(name, taken)
}

struct Copier<'k> {
    from: &'k Key,
    out: Copied,
    picture_taken: &'k dyn Fn(&str) -> bool,
    /// What each id there is here.
    known: BTreeMap<(KeyFile, String), String>,
}

/// What is done about an entry that is referred to.
enum Found {
    /// It is here under that id.
    Here(String),
    /// It is to come along under that id.
    Comes(String),
    /// The other key lacks it too.
    Nowhere,
}

impl Copier<'_> {
    /// Where an entry is here: by its id and name, or by its name alone.
    fn find<T: PartialEq>(&mut self, file: KeyFile, id: &str, theirs: &[T], ours: &[T], see: impl Fn(&T) -> (&str, &str)) -> Found {
        if let Some(here) = self.known.get(&(file, id.to_owned())) {
            return Found::Here(here.clone());
        }
        let Some(there) = theirs.iter().find(|entry| see(entry).0 == id) else { return Found::Nowhere };
        let name = fold(see(there).1);
        let here = ours.iter().find(|entry| fold(see(entry).1) == name);
        if let Some(here) = here {
            if here != there {
                self.out.differs.push(say!("the {word} {name}", word = file.said(), name = see(here).1));
            }
            let here = see(here).0.to_owned();
            self.known.insert((file, id.to_owned()), here.clone());
            return Found::Here(here);
        }
        let new = made_id(id, |id| ours.iter().any(|entry| see(entry).0 == id));
        self.out.came.push(say!("the {word} {name}", word = file.said(), name = see(there).1));
        self.known.insert((file, id.to_owned()), new.clone());
        Found::Comes(new)
    }

    fn line(&mut self, id: &LineId) -> LineId {
        let ours = self.out.key.lines.clone();
        match self.find(KeyFile::Lines, id.as_str(), &self.from.lines, &ours, |x| (x.id.as_str(), x.name.as_str())) {
            Found::Here(here) => LineId::new(here),
            Found::Comes(new) => {
                let Some(mut line) = self.from.line(id).cloned() else { return id.clone() };
                line.id = LineId::new(new);
                line.claims = self.claims(&line.claims);
                self.out.key.lines.push(line.clone());
                line.id
            }
            Found::Nowhere => id.clone(),
        }
    }

    fn glaze(&mut self, id: &GlazeId) -> GlazeId {
        let ours = self.out.key.glazes.clone();
        match self.find(KeyFile::Glazes, id.as_str(), &self.from.glazes, &ours, |x| (x.id.as_str(), x.name.as_str())) {
            Found::Here(here) => GlazeId::new(here),
            Found::Comes(new) => {
                let Some(mut glaze) = self.from.glaze(id).cloned() else { return id.clone() };
                glaze.id = GlazeId::new(new);
                glaze.lines = self.lines_here(&glaze.lines);
                glaze.claims = self.claims(&glaze.claims);
                self.out.key.glazes.push(glaze.clone());
                glaze.id
            }
            Found::Nowhere => id.clone(),
        }
    }

    fn decoration(&mut self, id: &DecorationId) -> DecorationId {
        let ours = self.out.key.decorations.clone();
        match self.find(KeyFile::Decorations, id.as_str(), &self.from.decorations, &ours, |x| (x.id.as_str(), x.name.as_str())) {
            Found::Here(here) => DecorationId::new(here),
            Found::Comes(new) => {
                let Some(mut decoration) = self.from.decoration(id).cloned() else { return id.clone() };
                decoration.id = DecorationId::new(new);
                decoration.lines = self.lines_here(&decoration.lines);
                decoration.claims = self.claims(&decoration.claims);
                self.out.key.decorations.push(decoration.clone());
                decoration.id
            }
            Found::Nowhere => id.clone(),
        }
    }

    fn mark(&mut self, id: &MarkId) -> MarkId {
        let ours = self.out.key.marks.clone();
        match self.find(KeyFile::Marks, id.as_str(), &self.from.marks, &ours, |x| (x.id.as_str(), x.name.as_str())) {
            Found::Here(here) => MarkId::new(here),
            Found::Comes(new) => {
                let Some(mut mark) = self.from.mark(id).cloned() else { return id.clone() };
                mark.id = MarkId::new(new);
                mark.lines = self.lines_here(&mark.lines);
                mark.papers = mark.papers.iter().map(|paper| self.paper(paper)).collect();
                mark.pictures = self.pictures(&mark.pictures);
                self.out.key.marks.push(mark.clone());
                mark.id
            }
            Found::Nowhere => id.clone(),
        }
    }

    /// A paper comes with its words, but what it lists means nothing here until it is reconciled with this key.
    fn paper(&mut self, id: &PaperId) -> PaperId {
        let ours = self.out.key.papers.clone();
        match self.find(KeyFile::Papers, id.as_str(), &self.from.papers, &ours, |x| (x.id.as_str(), x.title.as_str())) {
            Found::Here(here) => PaperId::new(here),
            Found::Comes(new) => {
                let Some(mut paper) = self.from.paper(id).cloned() else { return id.clone() };
                paper.id = PaperId::new(new);
                for listed in &mut paper.lists {
                    listed.form = None;
                    listed.glazes.clear();
                }
                paper.pictures = self.pictures(&paper.pictures);
                self.out.key.papers.push(paper.clone());
                paper.id
            }
            Found::Nowhere => id.clone(),
        }
    }

    fn feature(&mut self, id: &FeatureId) -> FeatureId {
        if let Some(here) = self.known.get(&(KeyFile::Features, id.to_string())) {
            return FeatureId::new(here.clone());
        }
        let Some(theirs) = self.from.feature(id).cloned() else { return id.clone() };
        let name = fold(&theirs.shown_name());
        let same_sort = |kind: &FeatureKind| match (kind, &theirs.kind) {
            (FeatureKind::Measure(a), FeatureKind::Measure(b)) => a.unit == b.unit,
            (a, b) => std::mem::discriminant(a) == std::mem::discriminant(b),
        };
        let ours = &self.out.key.features;
        let at = ours.iter().position(|f| fold(&f.shown_name()) == name && f.part == theirs.part && same_sort(&f.kind));
        if let Some(at) = at {
            let here = self.out.key.features.get(at).map(|feature| feature.id.clone()).unwrap_or_default();
            self.known.insert((KeyFile::Features, id.to_string()), here.to_string());
            return here;
        }
        let new = made_id(id.as_str(), |id| ours.iter().any(|feature| feature.id.as_str() == id));
        self.known.insert((KeyFile::Features, id.to_string()), new.clone());
        self.out.came.push(format!("the feature {}", theirs.shown_name()));
        let mut feature = theirs;
        feature.id = FeatureId::new(new);
        if let Some(Condition::Is(of, values)) = &feature.only_if {
            let here = self.feature(of);
            let values = values.iter().map(|value| self.value(of, &here, value)).collect();
            feature.only_if = Some(Condition::Is(here, values));
        }
        self.out.key.features.push(feature.clone());
        feature.id
    }

    /// A value of a feature there, as it is called here; one that the feature lacks here is added to it.
    fn value(&mut self, there: &FeatureId, here: &FeatureId, value: &ValueId) -> ValueId {
        let kind = self.from.feature(there).map(|feature| feature.kind.clone());
        let theirs = match kind {
            Some(FeatureKind::Glaze) => return ValueId::new(self.glaze(&GlazeId::new(value.as_str())).as_str()),
            Some(FeatureKind::Decoration) => return ValueId::new(self.decoration(&DecorationId::new(value.as_str())).as_str()),
            Some(FeatureKind::Mark) => return ValueId::new(self.mark(&MarkId::new(value.as_str())).as_str()),
            Some(FeatureKind::Choice(values)) => values.into_iter().find(|one| one.id == *value),
            Some(FeatureKind::Measure(_)) | None => None,
        };
        let feature = self.out.key.features.iter_mut().find(|feature| feature.id == *here);
        let (Some(mut theirs), Some(feature)) = (theirs, feature) else { return value.clone() };
        let feature_name = feature.shown_name();
        let FeatureKind::Choice(values) = &mut feature.kind else { return value.clone() };
        let name = fold(&theirs.shown_name());
        if let Some(known) = values.iter().find(|one| fold(&one.shown_name()) == name) {
            return known.id.clone();
        }
        let shown = theirs.shown_name();
        theirs.id = ValueId::new(made_id(value.as_str(), |id| values.iter().any(|one| one.id.as_str() == id)));
        if theirs.id != *value {
            theirs.name.clone_from(&shown);
        }
        values.push(theirs.clone());
        self.out.came.push(format!("{shown} as a value of the {feature_name}"));
        theirs.id
    }

    fn records(&mut self, form: &Form) -> IndexMap<FeatureId, Record> {
        let mut out = IndexMap::new();
        for (id, record) in &form.features {
            let here = self.feature(id);
            let record = match record {
                Record::Always(value) => Record::Always(self.value(id, &here, value)),
                Record::Values(values) => {
                    Record::Values(values.iter().map(|(value, often)| (self.value(id, &here, value), *often)).collect())
                }
                Record::Between(..) | Record::NotRecorded | Record::DoesNotApply => record.clone(),
            };
            out.insert(here, record);
        }
        out
    }

    fn held<Id>(&mut self, list: &[Held<Id>], mut here: impl FnMut(&mut Self, &Id) -> Id) -> Vec<Held<Id>> {
        let one = |held: &Held<Id>| Held {
            id: here(self, &held.id),
            often: held.often,
            how: held.how,
            papers: held.papers.iter().map(|paper| self.paper(paper)).collect(),
            note: held.note.clone(),
        };
        list.iter().map(one).collect()
    }

    fn claims(&mut self, claims: &[Claim]) -> Vec<Claim> {
        let cited = |claim: &Claim| Claim { papers: claim.papers.iter().map(|paper| self.paper(paper)).collect(), ..claim.clone() };
        claims.iter().map(cited).collect()
    }

    /// The lines of a glaze that are here already: the others are not needed for the form.
    fn lines_here(&self, lines: &[LineId]) -> Vec<LineId> {
        let here = |id: &LineId| self.known.get(&(KeyFile::Lines, id.to_string())).map(|id| LineId::new(id.clone()));
        lines.iter().filter_map(here).collect()
    }

    fn pictures(&mut self, pictures: &[Picture]) -> Vec<Picture> {
        pictures.iter().map(|picture| Picture { file: self.picture(&picture.file), caption: picture.caption.clone() }).collect()
    }

    fn picture(&mut self, file: &str) -> String {
        if let Some((_, here)) = self.out.pictures.iter().find(|(there, _)| there == file) {
            return here.clone();
        }
        let (stem, ending) = file.rsplit_once('.').map_or((file, String::new()), |(stem, ending)| (stem, format!(".{ending}")));
        let numbered = |n: usize| if n == 1 { file.to_owned() } else { format!("{stem}-{n}{ending}") };
        let taken = |name: &str| (self.picture_taken)(name) || self.out.pictures.iter().any(|(_, here)| here == name);
        let here = super::first_free(numbered, taken);
        self.out.pictures.push((file.to_owned(), here.clone()));
        here
    }
}
