//! The compiled index: a key turned into columns.

use super::beside::Library;
use super::column::{Column, KindOf, Record, What, held_to};
use super::outcomes::Outcomes;
use super::settings::Settings;
use super::table::{Sums, Table};
use crate::colour::Lab;
use crate::key::{
    Caution, Condition, Feature, FeatureId, FeatureKind, Form, FormId, Held, Key, LineId, MarkId, Often, Part, Used, Value, ValueId,
};
use crate::marks::Wordings;
use rayon::prelude::*;
use std::cell::Cell;
use std::collections::HashMap;
use std::sync::Arc;

/// How far a colour value of a feature (a clay) strays, where the key has no figure for it: ΔE00, one standard deviation. No source.
pub(super) const VALUE_SPREAD: f64 = 3.0;

/// A key compiled for naming pieces. It owns all it needs, so that the key may change while it answers; make a new one after each change.
///
/// Forms stand in the order of their ids whatever their order in the key, so that two keys with the same forms give the same answers to
/// the last bit.
#[derive(Debug, Clone)]
pub struct Index {
    pub(super) settings: Settings,
    pub(super) forms: Arc<Vec<Entry>>,
    /// Prior of each form among the forms, sum 1.
    pub(super) prior: Vec<f64>,
    /// log₂ of each prior; none where all are the same.
    pub(super) prior_bits: Option<Vec<f64>>,
    pub(super) columns: Arc<Vec<Column>>,
    /// The patterns of all columns, bundled.
    pub(super) table: Table,
    /// How many forms have each pattern of each column.
    pub(super) counts: Sums,
    /// What can come out of a look, a column each.
    pub(super) outcomes: Vec<Outcomes>,
    pub(super) by_feature: HashMap<FeatureId, usize>,
    pub(super) by_form: Arc<HashMap<FormId, usize>>,
    /// What shapes and dates are weighed by.
    pub(super) library: Library,
    /// Name and cautions of each glaze that has any.
    pub(super) cautions: HashMap<ValueId, (String, Vec<Caution>)>,
    /// Lines in the order of the key, for gains about the line.
    pub(super) lines: Vec<LineId>,
    wordings: Arc<Wordings>,
}

/// What the answers say of a form beyond its features.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Entry {
    pub(super) id: FormId,
    pub(super) name: String,
    pub(super) line: String,
    pub(super) line_id: LineId,
    pub(super) parts: Vec<Part>,
}

impl Index {
    /// Compiles a key with the usual figures.
    pub fn new(key: &Key) -> Self {
        Self::with(key, Settings::default())
    }

    /// Compiles a key. A record that names a value the feature does not have is passed over; the key's own check reports it.
    pub fn with(key: &Key, settings: Settings) -> Self {
        let order = in_order(key);
        let prior = priors(&order);
        let forms = entries(key, &order);

        let reader = Reader::new(key, Arc::new(Wordings::new(&key.marks)));
        // Form by form, since a form's records lie together; then feature by feature.
        let rows: Vec<Vec<Record>> = order.par_iter().map(|form| reader.row(form, &key.features)).collect();
        let (columns, outcomes): (Vec<Column>, Vec<Outcomes>) = key
            .features
            .par_iter()
            .enumerate()
            .map(|(i, feature)| compile(key, &reader, feature, rows.iter().filter_map(|row| row.get(i)), &prior))
            .unzip();
        let table = Table::new(forms.len(), &patterns_of(&columns));
        let even = prior.iter().all(|p| Some(p) == prior.first());

        Self {
            settings: settings.sane(),
            by_feature: columns.iter().enumerate().rev().map(|(i, column)| (column.id.clone(), i)).collect(),
            by_form: Arc::new(forms.iter().enumerate().rev().map(|(i, form)| (form.id.clone(), i)).collect()),
            library: Library::new(key, &order),
            cautions: key
                .glazes
                .iter()
                .filter(|glaze| !glaze.cautions.is_empty())
                .map(|glaze| (ValueId::new(glaze.id.as_str()), (glaze.name.clone(), glaze.cautions.clone())))
                .collect(),
            lines: key.lines.iter().map(|line| line.id.clone()).collect(),
            counts: table.gather(&vec![1.0; forms.len()]),
            table,
            forms: Arc::new(forms),
            prior_bits: (!even).then(|| prior.iter().map(|p| p.log2()).collect()),
            prior,
            outcomes,
            columns: Arc::new(columns),
            wordings: reader.wordings,
        }
    }

    /// The index of a key in which nothing but one form has changed since this one was made: the same, to the last bit, as one made anew, in a
    /// fraction of the time. Only the features whose record changed are compiled again. A new index is made where the form is new, gone or has
    /// another weight.
    #[must_use]
    pub fn edited(&self, key: &Key, form: &FormId) -> Self {
        self.with_form_of(key, form).unwrap_or_else(|| Self::with(key, self.settings))
    }

    fn with_form_of(&self, key: &Key, form: &FormId) -> Option<Self> {
        let order = in_order(key);
        let prior = priors(&order);
        let &at = self.by_form.get(form)?;
        let now = order.get(at).copied().filter(|now| now.id == *form)?;
        if prior != self.prior || key.features.len() != self.columns.len() {
            return None;
        }
        let mut edited = self.clone();
        edited.library = self.library.edited(key, at, now);
        let entry = entries(key, &[now]).pop()?;
        if self.forms.get(at) != Some(&entry) {
            *Arc::make_mut(&mut edited.forms).get_mut(at)? = entry;
        }
        let reader = Reader::new(key, Arc::clone(&self.wordings));
        let changed: Vec<usize> = key
            .features
            .iter()
            .zip(self.columns.iter())
            .enumerate()
            .filter_map(|(i, (feature, column))| (column.record_of(at) != Some(&reader.record(now, feature, &Cell::new(0)))).then_some(i))
            .collect();
        if changed.is_empty() {
            return Some(edited);
        }
        let again = |feature: &Feature| {
            let records: Vec<Record> = order.iter().map(|form| reader.record(form, feature, &Cell::new(0))).collect();
            compile(key, &reader, feature, records.iter(), &prior)
        };
        let again: Vec<(usize, (Column, Outcomes))> = changed.par_iter().filter_map(|&i| Some((i, again(key.features.get(i)?)))).collect();
        let columns = Arc::make_mut(&mut edited.columns);
        for (i, (column, outcomes)) in again {
            *columns.get_mut(i)? = column;
            *edited.outcomes.get_mut(i)? = outcomes;
        }
        edited.table = self.table.renewed(&patterns_of(columns), &changed);
        edited.counts = edited.table.gather(&vec![1.0; order.len()]);
        Some(edited)
    }

    /// The wordings of the key's marks, in their order, as readings of a mark are weighed by them.
    pub fn wordings(&self) -> &Wordings {
        &self.wordings
    }

    /// Number of forms.
    pub fn len(&self) -> usize {
        self.forms.len()
    }

    /// True for a key without forms.
    pub fn is_empty(&self) -> bool {
        self.forms.is_empty()
    }

    pub(super) fn column(&self, feature: &FeatureId) -> Option<&Column> {
        self.by_feature.get(feature).and_then(|&i| self.columns.get(i))
    }

    /// The full name of a form: 'covered sugar, Quoin'.
    pub(super) fn full_name(&self, form: usize) -> String {
        self.forms.get(form).map_or_else(String::new, |entry| {
            if entry.line.is_empty() { entry.name.clone() } else { format!("{}, {}", entry.name, entry.line) }
        })
    }
}

/// The forms of a key in the order of their ids.
fn in_order(key: &Key) -> Vec<&Form> {
    let mut order: Vec<&Form> = key.forms.iter().collect();
    order.sort_by(|a, b| a.id.cmp(&b.id));
    order
}

/// The weights of the forms, scaled to 1.
fn priors(order: &[&Form]) -> Vec<f64> {
    let weights: Vec<f64> = order.iter().map(|form| if form.weight.is_finite() && form.weight > 0.0 { form.weight } else { 1.0 }).collect();
    let sum: f64 = weights.iter().sum();
    weights.iter().map(|w| w / sum).collect()
}

fn entries(key: &Key, order: &[&Form]) -> Vec<Entry> {
    let lines: HashMap<&LineId, &crate::key::Line> = key.lines.iter().map(|line| (&line.id, line)).collect();
    order
        .iter()
        .map(|form| {
            let line = lines.get(&form.line);
            Entry {
                id: form.id.clone(),
                name: form.name.clone(),
                line: line.map(|line| line.name.clone()).unwrap_or_default(),
                line_id: form.line.clone(),
                parts: form.parts.clone(),
            }
        })
        .collect()
}

/// One feature over all forms, given the record of each.
fn compile<'r>(
    key: &Key,
    reader: &Reader<'_>,
    feature: &Feature,
    records: impl Iterator<Item = &'r Record>,
    prior: &[f64],
) -> (Column, Outcomes) {
    let column = Column::new(feature, feature.shown_name(), reader.needs(feature), kind_of(key, feature, &reader.wordings), records, prior);
    let outcomes = Outcomes::new(&column);
    (column, outcomes)
}

fn patterns_of(columns: &[Column]) -> Vec<(usize, &[u32])> {
    columns.iter().map(|column| (column.patterns(), &*column.pattern)).collect()
}

/// Reads records out of a key.
struct Reader<'a> {
    features: HashMap<&'a FeatureId, &'a Feature>,
    /// Value numbers by feature and id.
    numbers: HashMap<(&'a FeatureId, &'a str), usize>,
    never_used: Vec<&'a MarkId>,
    wordings: Arc<Wordings>,
}

impl<'a> Reader<'a> {
    fn new(key: &'a Key, wordings: Arc<Wordings>) -> Self {
        let mut numbers = HashMap::new();
        for feature in key.features.iter().rev() {
            let ids: Vec<&str> = match &feature.kind {
                FeatureKind::Choice(values) => values.iter().map(|v| v.id.as_str()).collect(),
                FeatureKind::Glaze => key.glazes.iter().map(|g| g.id.as_str()).collect(),
                FeatureKind::Decoration => key.decorations.iter().map(|d| d.id.as_str()).collect(),
                FeatureKind::Mark => key.marks.iter().map(|m| m.id.as_str()).collect(),
                FeatureKind::Measure(_) => Vec::new(),
            };
            for (number, id) in ids.into_iter().enumerate().rev() {
                numbers.insert((&feature.id, id), number);
            }
        }
        Self {
            features: key.features.iter().rev().map(|feature| (&feature.id, feature)).collect(),
            numbers,
            never_used: key.marks.iter().filter(|mark| mark.used == Used::NeverUsed).map(|mark| &mark.id).collect(),
            wordings,
        }
    }

    /// What a form has of every feature.
    fn row(&self, form: &Form, features: &[Feature]) -> Vec<Record> {
        let next = Cell::new(0);
        features.iter().map(|feature| self.record(form, feature, &next)).collect()
    }

    /// What a form has of a feature, the conditions of the feature taken into account. `next` is where the form's record of it likely stands: after
    /// the one that was read before.
    fn record(&self, form: &Form, feature: &Feature, next: &Cell<usize>) -> Record {
        let applies = match &feature.only_if {
            None => true,
            Some(Condition::Has(part)) => has(form, *part),
            Some(Condition::Lacks(part)) => !has(form, *part),
            // What is not recorded of the other feature may be so.
            Some(Condition::Is(other, values)) => match self.features.get(other).map(|other| self.own_record(form, other, &Cell::new(0))) {
                Some(Record::NotApplicable) => false,
                Some(Record::Values(got) | Record::Counted(got)) => {
                    values.iter().filter_map(|v| self.numbers.get(&(other, v.as_str()))).any(|n| got.iter().any(|g| g.0 == *n))
                }
                Some(Record::NotRecorded | Record::Between(..)) | None => true,
            },
        };
        if applies { self.own_record(form, feature, next) } else { Record::NotApplicable }
    }

    /// The same without the feature's condition.
    fn own_record(&self, form: &Form, feature: &Feature, next: &Cell<usize>) -> Record {
        use crate::key::Record as Said;
        if !has(form, feature.part) {
            return Record::NotApplicable;
        }
        let measured = matches!(feature.kind, FeatureKind::Measure(_));
        let one = |id: &ValueId, often: Often| Some((*self.numbers.get(&(&feature.id, id.as_str()))?, often, 1.0));
        match said(form, &feature.id, next) {
            Some(Said::DoesNotApply) => Record::NotApplicable,
            Some(Said::Between(lo, hi)) if measured => Record::between(*lo, *hi),
            Some(Said::Always(value)) if !measured => match one(value, Often::Always) {
                Some((number, often, _)) => Record::Values(vec![(number, often.weight())]),
                None => Record::NotRecorded,
            },
            Some(Said::Values(values)) if !measured => {
                weighed(&values.iter().filter_map(|(id, often)| one(id, *often)).collect::<Vec<_>>())
            }
            Some(Said::Between(..) | Said::Always(_) | Said::Values(_) | Said::NotRecorded) | None => match feature.kind {
                FeatureKind::Glaze => self.claims(feature, form.glazes.iter().map(|held| (held.id.as_str(), claim(held)))),
                FeatureKind::Decoration => self.claims(feature, form.decorations.iter().map(|held| (held.id.as_str(), claim(held)))),
                // A mark that was never put on ware is on no form, whatever is claimed.
                FeatureKind::Mark => self.claims(
                    feature,
                    form.marks.iter().filter(|held| !self.never_used.contains(&&held.id)).map(|held| (held.id.as_str(), claim(held))),
                ),
                FeatureKind::Choice(_) | FeatureKind::Measure(_) => Record::NotRecorded,
            },
        }
    }

    fn claims<'b>(&self, feature: &Feature, claims: impl Iterator<Item = (&'b str, (Often, f64))>) -> Record {
        let numbered = claims.filter_map(|(id, (often, held))| Some((*self.numbers.get(&(&feature.id, id))?, often, held)));
        weighed(&numbered.collect::<Vec<_>>())
    }

    /// The parts without which a feature cannot be looked at: its own, the lid for a finial, and those its condition speaks of.
    fn needs(&self, feature: &Feature) -> Vec<Part> {
        let mut parts = vec![feature.part];
        match &feature.only_if {
            Some(Condition::Has(part) | Condition::Lacks(part)) => parts.push(*part),
            Some(Condition::Is(other, _)) => parts.extend(self.features.get(other).map(|other| other.part)),
            None => {}
        }
        if parts.contains(&Part::Finial) {
            parts.push(Part::Lid);
        }
        parts.sort_unstable();
        parts.dedup();
        parts
    }
}

/// How often, and how much the claim counts.
fn claim<Id>(held: &Held<Id>) -> (Often, f64) {
    (held.often, held_to(held.how))
}

/// Value numbers with how often and how much each claim counts: by counts where all are counts, else by words.
fn weighed(values: &[(usize, Often, f64)]) -> Record {
    let counts: Option<Vec<(usize, f64)>> = values.iter().map(|&(v, often, held)| Some((v, f64::from(often.times()?) * held))).collect();
    match counts {
        Some(counts) => Record::counted(counts),
        None => Record::values(values.iter().map(|&(v, often, held)| (v, often.weight() * held)).collect()),
    }
}

/// What a form says of a feature. Forms say their features in much the same order, so the place after the last is tried before a search.
fn said<'f>(form: &'f Form, feature: &FeatureId, next: &Cell<usize>) -> Option<&'f crate::key::Record> {
    let found = match form.features.get_index(next.get()) {
        Some((id, said)) if id == feature => Some((next.get(), said)),
        _ => form.features.get_full(feature).map(|(at, _, said)| (at, said)),
    };
    let (at, said) = found?;
    next.set(at + 1);
    Some(said)
}

/// Every form has a body.
fn has(form: &Form, part: Part) -> bool {
    part == Part::Body || form.parts.contains(&part)
}

/// The kind of a feature with the names of its values.
fn kind_of(key: &Key, feature: &Feature, wordings: &Arc<Wordings>) -> KindOf {
    let (ids, names): (Vec<ValueId>, Vec<String>) = key.values_of(feature).into_iter().unzip();
    let none = || vec![None; ids.len()];
    let spread = |lab: Lab| (lab, VALUE_SPREAD);
    match &feature.kind {
        FeatureKind::Measure(kind) => {
            let give = kind.give_percent.unwrap_or(match kind.unit {
                // Nothing gives in a count.
                crate::key::Unit::Count => 0.0,
                _ => key.about.give_percent,
            });
            let give_percent = if give.is_finite() { give.clamp(0.0, 100.0) } else { 0.0 };
            KindOf::Measure { unit: kind.unit, give_percent }
        }
        FeatureKind::Choice(values) => {
            let colours = values.iter().map(|value: &Value| value.lab.map(spread)).collect();
            KindOf::Values { what: What::Choice, wordings: None, ids, names, colours }
        }
        FeatureKind::Glaze => {
            let colours = key.glazes.iter().map(|glaze| Some((glaze.lab, glaze.spread))).collect();
            KindOf::Values { what: What::Glaze, wordings: None, ids, names, colours }
        }
        FeatureKind::Decoration => KindOf::Values { what: What::Decoration, colours: none(), wordings: None, ids, names },
        FeatureKind::Mark => KindOf::Values { what: What::Mark, colours: none(), wordings: Some(Arc::clone(wordings)), ids, names },
    }
}
