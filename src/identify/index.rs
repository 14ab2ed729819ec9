//! The compiled index: a key turned into columns.

use super::column::{Column, KindOf, Record, What, held_to};
use super::outcomes::Outcomes;
use super::settings::Settings;
use crate::colour::Lab;
use crate::key::{
    Caution, Condition, Feature, FeatureId, FeatureKind, Form, FormId, Held, Key, LineId, MarkId, Often, Part, Used, Value, ValueId, Years,
};
use crate::marks::Legend;
use std::collections::HashMap;

/// How far a colour value of a feature (a clay) strays, where the key has no figure for it: ΔE00, one standard deviation. No source.
const VALUE_SPREAD: f64 = 3.0;

/// A key compiled for naming pieces. It owns all it needs, so that the key may change while it answers; make a new one after each change.
///
/// Forms stand in the order of their ids whatever their order in the key, so that two keys with the same forms give the same answers to
/// the last bit.
#[derive(Debug, Clone)]
pub struct Index {
    pub(super) settings: Settings,
    pub(super) forms: Vec<Entry>,
    /// Prior of each form among the forms, sum 1.
    pub(super) prior: Vec<f64>,
    pub(super) columns: Vec<Column>,
    /// What can come out of a look, a column each.
    pub(super) outcomes: Vec<Outcomes>,
    pub(super) by_feature: HashMap<FeatureId, usize>,
    pub(super) by_form: HashMap<FormId, usize>,
    /// Years of each mark, in the order of the key.
    pub(super) mark_years: HashMap<MarkId, Years>,
    /// Name and cautions of each glaze that has any.
    pub(super) cautions: HashMap<ValueId, (String, Vec<Caution>)>,
    /// Lines in the order of the key, for gains about the line.
    pub(super) lines: Vec<LineId>,
}

/// What the answers say of a form beyond its features.
#[derive(Debug, Clone)]
pub(super) struct Entry {
    pub(super) id: FormId,
    pub(super) name: String,
    pub(super) line: String,
    pub(super) line_id: LineId,
    pub(super) parts: Vec<Part>,
    /// The form's own years of making, each open end filled from its line's.
    pub(super) made: Years,
}

impl Index {
    /// Compiles a key with the usual figures.
    pub fn new(key: &Key) -> Self {
        Self::with(key, Settings::default())
    }

    /// Compiles a key. A record that names a value the feature does not have is passed over; the key's own check reports it.
    pub fn with(key: &Key, settings: Settings) -> Self {
        let mut order: Vec<&Form> = key.forms.iter().collect();
        order.sort_by(|a, b| a.id.cmp(&b.id));
        let weights: Vec<f64> =
            order.iter().map(|form| if form.weight.is_finite() && form.weight > 0.0 { form.weight } else { 1.0 }).collect();
        let sum: f64 = weights.iter().sum();
        let prior: Vec<f64> = weights.iter().map(|w| w / sum).collect();

        let lines: HashMap<&LineId, &crate::key::Line> = key.lines.iter().map(|line| (&line.id, line)).collect();
        let forms: Vec<Entry> = order
            .iter()
            .map(|form| {
                let line = lines.get(&form.line);
                let of_line = line.map(|line| line.made).unwrap_or_default();
                Entry {
                    id: form.id.clone(),
                    name: form.name.clone(),
                    line: line.map(|line| line.name.clone()).unwrap_or_default(),
                    line_id: form.line.clone(),
                    parts: form.parts.clone(),
                    made: Years { from: form.made.from.or(of_line.from), to: form.made.to.or(of_line.to) },
                }
            })
            .collect();

        let reader = Reader::new(key);
        let columns: Vec<Column> = key
            .features
            .iter()
            .map(|feature| {
                let records: Vec<Record> = order.iter().map(|form| reader.record(form, feature)).collect();
                Column::new(feature, feature.shown_name(), reader.needs(feature), kind_of(key, feature), &records, &prior)
            })
            .collect();

        Self {
            settings: settings.sane(),
            by_feature: columns.iter().enumerate().rev().map(|(i, column)| (column.id.clone(), i)).collect(),
            by_form: forms.iter().enumerate().rev().map(|(i, form)| (form.id.clone(), i)).collect(),
            mark_years: key.marks.iter().map(|mark| (mark.id.clone(), mark.made)).collect(),
            cautions: key
                .glazes
                .iter()
                .filter(|glaze| !glaze.cautions.is_empty())
                .map(|glaze| (ValueId::new(glaze.id.as_str()), (glaze.name.clone(), glaze.cautions.clone())))
                .collect(),
            lines: key.lines.iter().map(|line| line.id.clone()).collect(),
            forms,
            prior,
            outcomes: columns.iter().map(Outcomes::new).collect(),
            columns,
        }
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

/// Reads records out of a key.
struct Reader<'a> {
    features: HashMap<&'a FeatureId, &'a Feature>,
    /// Value numbers by feature and id.
    numbers: HashMap<(&'a FeatureId, &'a str), usize>,
    never_used: Vec<&'a MarkId>,
}

impl<'a> Reader<'a> {
    fn new(key: &'a Key) -> Self {
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
        }
    }

    /// What a form has of a feature, the conditions of the feature taken into account.
    fn record(&self, form: &Form, feature: &Feature) -> Record {
        let applies = match &feature.only_if {
            None => true,
            Some(Condition::Has(part)) => has(form, *part),
            Some(Condition::Lacks(part)) => !has(form, *part),
            // What is not recorded of the other feature may be so.
            Some(Condition::Is(other, values)) => match self.features.get(other).map(|other| self.own_record(form, other)) {
                Some(Record::NotApplicable) => false,
                Some(Record::Values(got) | Record::Counted(got)) => {
                    values.iter().filter_map(|v| self.numbers.get(&(other, v.as_str()))).any(|n| got.iter().any(|g| g.0 == *n))
                }
                Some(Record::NotRecorded | Record::Between(..)) | None => true,
            },
        };
        if applies { self.own_record(form, feature) } else { Record::NotApplicable }
    }

    /// The same without the feature's condition.
    fn own_record(&self, form: &Form, feature: &Feature) -> Record {
        use crate::key::Record as Said;
        if !has(form, feature.part) {
            return Record::NotApplicable;
        }
        let measured = matches!(feature.kind, FeatureKind::Measure(_));
        let one = |id: &ValueId, often: Often| Some((*self.numbers.get(&(&feature.id, id.as_str()))?, often, 1.0));
        match form.features.get(&feature.id) {
            Some(Said::DoesNotApply) => Record::NotApplicable,
            Some(Said::Between(lo, hi)) if measured => Record::between(*lo, *hi),
            Some(Said::Always(value)) if !measured => weighed(&one(value, Often::Always).into_iter().collect::<Vec<_>>()),
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

/// Every form has a body.
fn has(form: &Form, part: Part) -> bool {
    part == Part::Body || form.parts.contains(&part)
}

/// The kind of a feature with the names of its values.
fn kind_of(key: &Key, feature: &Feature) -> KindOf {
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
            KindOf::Values { what: What::Choice, legends: vec![None; ids.len()], ids, names, colours }
        }
        FeatureKind::Glaze => {
            let colours = key.glazes.iter().map(|glaze| Some((glaze.lab, glaze.spread))).collect();
            KindOf::Values { what: What::Glaze, legends: vec![None; ids.len()], ids, names, colours }
        }
        FeatureKind::Decoration => KindOf::Values { what: What::Decoration, colours: none(), legends: vec![None; ids.len()], ids, names },
        FeatureKind::Mark => {
            let legends = key.marks.iter().map(|mark| Some(Legend::new(mark))).collect();
            KindOf::Values { what: What::Mark, colours: none(), legends, ids, names }
        }
    }
}
