//! Putting the plan together.

use super::columns::{self, Columns, Said, Says, Target, Values};
use super::grouping::{Group, Grouping};
use super::names::{Ids, tidy};
use super::problem::{ImportError, ImportProblem, LeftOut};
use super::records::{Heard, applies, hold, widened};
use super::{Addition, Change, Plan, drawing};
use crate::key::ids::FormId;
use crate::key::model::{Feature, FeatureKind, Form, Key, Part, Record, Years};
use crate::key::shape::Shape;
use crate::key::tables::cells::{self, is_missing};
use crate::key::tables::header::clip;
use crate::key::tables::mapping::{Mapping, Rows};
use crate::key::tables::table::{CellAt, Table};
use crate::key::tables::{quantity, years};
use crate::key::words::Words;
use indexmap::IndexMap;
use std::collections::HashMap;

/// So many different notes of one form are kept.
const NOTES: usize = 20;

pub(super) fn plan(old: &Key, table: &Table, mapping: &Mapping) -> Result<Plan, ImportError> {
    let words = Words::new(old);
    let mut plan = Plan {
        additions: Vec::new(),
        changes: Vec::new(),
        left_out: Vec::new(),
        problems: Vec::new(),
        rows: 0,
        pieces: false,
        key: old.clone(),
    };
    let columns = columns::find(&mut plan.key, &words, table, mapping, &mut plan.additions, &mut plan.left_out, &mut plan.problems)?;
    let groups = Grouping::new(old, &words, table, mapping, &columns).run(&mut plan);
    plan.rows = groups.iter().map(|group| group.rows.len()).sum();
    let shared: usize = groups.iter().map(|group| group.rows.len()).filter(|&rows| rows > 1).sum();
    plan.pieces = match mapping.rows {
        Rows::Guess => shared * 2 > plan.rows,
        Rows::Forms => false,
        Rows::Pieces => true,
    };
    let mut builder = Builder {
        old,
        table,
        mapping,
        columns: &columns,
        words: &words,
        values: columns.targets.iter().map(|target| (target.feature, Values::default())).collect(),
        ids: Ids::of(old.forms.iter().map(|form| form.id.as_str())),
    };
    for group in &groups {
        builder.form(group, &mut plan);
    }
    plan.left_out.sort_by_key(|left_out| left_out.at);
    plan.problems.sort_by_key(|problem| problem.at);
    Ok(plan)
}

/// Makes and completes forms.
struct Builder<'a> {
    old: &'a Key,
    table: &'a Table,
    mapping: &'a Mapping,
    columns: &'a Columns,
    words: &'a Words,
    values: HashMap<usize, Values>,
    ids: Ids,
}

impl Builder<'_> {
    fn form(&mut self, group: &Group, plan: &mut Plan) {
        let counted = plan.pieces || group.rows.len() > 1;
        let mut form = match group.form.and_then(|at| self.old.forms.get(at)) {
            Some(form) => form.clone(),
            None => self.new_form(group, plan),
        };
        let is_new = group.form.is_none();
        let mut heard: IndexMap<usize, Heard> = IndexMap::new();
        for target in &self.columns.targets {
            for &row in &group.rows {
                self.hear(target, row, heard.entry(target.feature).or_default(), plan);
            }
        }
        let had: Vec<Part> = form.parts.clone();
        // Lent out while the plan is written to: a feature may have ten thousand values, too many to copy for each form.
        let features = std::mem::take(&mut plan.key.features);
        for (feature, heard) in heard {
            let (Some(feature), Some(record)) = (features.get(feature), heard.record(counted)) else { continue };
            Self::put(&mut form, feature, record, heard.at, is_new, plan);
        }
        plan.key.features = features;
        self.years(&mut form, group, is_new, plan);
        self.notes(&mut form, group, is_new, plan);
        if is_new {
            if form.shape.body.is_empty() || form.parts != had {
                let features: Vec<&Feature> = plan.key.features.iter().collect();
                drawing::draw(&mut form, &features);
            }
            plan.additions.push(Addition::Form { id: form.id.clone(), name: form.name.clone(), rows: group.rows.len() });
            plan.key.forms.push(form);
        } else if let Some(place) = group.form.and_then(|at| plan.key.forms.get_mut(at)) {
            *place = form;
        }
    }

    fn new_form(&mut self, group: &Group, plan: &Plan) -> Form {
        let line = plan.key.line(&group.line).map_or("", |line| line.id.as_str());
        let id = FormId::new(self.ids.make(&format!("{line} {}", group.name)));
        let weight = if plan.pieces { group.rows.len() as f64 } else { 1.0 };
        Form {
            id,
            name: group.name.clone(),
            also: Vec::new(),
            line: group.line.clone(),
            borrowed_by: Vec::new(),
            made: Years::default(),
            weight,
            parts: vec![Part::Body],
            shape: Shape {
                body: Vec::new(),
                wall_mm: 5.0,
                plan: crate::key::shape::Plan::default(),
                lid: Vec::new(),
                lid_plan: None,
                lid_sits_mm: 0.0,
                handles: Vec::new(),
                spout: None,
                finial: None,
                foot: crate::key::shape::FootKind::default(),
                surface: crate::key::shape::Surface::default(),
            },
            features: IndexMap::new(),
            glazes: Vec::new(),
            decorations: Vec::new(),
            marks: Vec::new(),
            claims: Vec::new(),
            pictures: Vec::new(),
            note: String::new(),
        }
    }

    /// Reads one cell.
    fn hear(&mut self, target: &Target, row: usize, heard: &mut Heard, plan: &mut Plan) {
        let cell = self.table.cell(row, target.column);
        if is_missing(cell) {
            return;
        }
        let at = self.table.at(row, target.column);
        if heard.at == CellAt::WHOLE {
            heard.at = at;
        }
        match target.says {
            Says::Measure { unit, otherwise } => {
                let read = quantity::parse(cell, self.mapping.decimal())
                    .and_then(|found| found.in_unit(unit, otherwise, self.mapping.pints, cell.trim()));
                match read {
                    Ok((low, high)) => {
                        let (least, greatest) = heard.range.unwrap_or((low, high));
                        heard.range = Some((least.min(low), greatest.max(high)));
                    }
                    Err(why) => plan.left_out.push(LeftOut { at, why: why.into() }),
                }
            }
            Says::Values { split } => {
                let was_there = target.feature < self.old.features.len();
                let Plan { key, additions, left_out, problems, .. } = plan;
                let (Some(feature), Some(values)) = (key.features.get_mut(target.feature), self.values.get_mut(&target.feature)) else {
                    return;
                };
                for text in cells::values(cell, split) {
                    let say = |said, why| match said {
                        Said::LeftOut => left_out.push(LeftOut { at, why }),
                        Said::ToLookAt => problems.push(LeftOut { at, why }),
                    };
                    if let Some(value) = values.of(feature, was_there, self.words, text, say, additions) {
                        *heard.counts.entry(value).or_insert(0) += 1;
                    }
                }
            }
        }
    }

    /// Records what was heard, where the key does not say otherwise.
    fn put(form: &mut Form, feature: &Feature, record: Record, at: CellAt, is_new: bool, plan: &mut Plan) {
        if !form.parts.contains(&feature.part) && feature.part != Part::Body {
            if !is_new {
                let why = ImportProblem::DoesNotApply { feature: feature.shown_name() };
                plan.left_out.push(LeftOut { at, why });
                return;
            }
            form.parts.push(feature.part);
        }
        if !applies(form, feature) {
            plan.left_out.push(LeftOut { at, why: ImportProblem::DoesNotApply { feature: feature.shown_name() } });
            return;
        }
        let what = || Addition::Record { form: form.id.clone(), what: feature.shown_name() };
        let addition = what();
        let added = match &feature.kind {
            FeatureKind::Glaze => hold(&mut form.glazes, &record),
            FeatureKind::Decoration => hold(&mut form.decorations, &record),
            FeatureKind::Mark => hold(&mut form.marks, &record),
            FeatureKind::Choice(_) | FeatureKind::Measure(_) => match form.features.get(&feature.id) {
                None | Some(Record::NotRecorded) => {
                    form.features.insert(feature.id.clone(), record);
                    true
                }
                Some(before) => {
                    if let Some(after) = widened(before, &record) {
                        let change = Change { form: form.id.clone(), feature: feature.id.clone(), before: before.clone(), after };
                        plan.changes.push(change);
                    }
                    false
                }
            },
        };
        if added && !is_new {
            plan.additions.push(addition);
        }
    }

    fn years(&self, form: &mut Form, group: &Group, is_new: bool, plan: &mut Plan) {
        let mut made = Years::default();
        let mut widen = |from: Option<i32>, to: Option<i32>| {
            made.from = match (made.from, from) {
                (Some(a), Some(b)) => Some(a.min(b)),
                (a, b) => a.or(b),
            };
            made.to = match (made.to, to) {
                (Some(a), Some(b)) => Some(a.max(b)),
                (a, b) => a.or(b),
            };
        };
        for &row in &group.rows {
            let mut own = Years::default();
            let sides = [(&self.columns.from, true, false), (&self.columns.to, false, true), (&self.columns.years, true, true)];
            for (columns, first, last) in sides {
                for &column in columns {
                    let cell = self.table.cell(row, column);
                    if is_missing(cell) {
                        continue;
                    }
                    let at = self.table.at(row, column);
                    match years::parse(cell) {
                        Some(found) => {
                            own.from = if first { found.from } else { own.from };
                            own.to = if last { found.to } else { own.to };
                        }
                        None => plan.left_out.push(LeftOut { at, why: ImportProblem::NoYear { text: clip(cell) } }),
                    }
                }
            }
            match own {
                Years { from: Some(from), to: Some(to) } if from > to => {
                    let at = CellAt::row(self.table.at(row, 0).row);
                    plan.left_out.push(LeftOut { at, why: ImportProblem::YearsBackwards { from, to } });
                }
                Years { from, to } => widen(from, to),
            }
        }
        // Open ends of single pieces need not agree with the closed ends of others.
        if let Years { from: Some(from), to: Some(to) } = made
            && from > to
        {
            made.to = None;
        }
        if made.is_open() {
            return;
        }
        if is_new {
            form.made = made;
        } else if form.made.is_open() {
            form.made = made;
            plan.additions.push(Addition::Record { form: form.id.clone(), what: "years of making".to_owned() });
        }
    }

    fn notes(&self, form: &mut Form, group: &Group, is_new: bool, plan: &mut Plan) {
        let mut notes: Vec<String> = Vec::new();
        for &row in &group.rows {
            for &column in &self.columns.notes {
                let note = tidy(self.table.cell(row, column));
                if !is_missing(&note) && !notes.contains(&note) {
                    notes.push(note);
                }
            }
        }
        if notes.is_empty() {
            return;
        }
        if notes.len() > NOTES {
            let at = group.rows.first().map_or(CellAt::WHOLE, |&row| CellAt::row(self.table.at(row, 0).row));
            plan.problems.push(LeftOut { at, why: ImportProblem::ManyNotes { notes: notes.len(), kept: NOTES } });
            notes.truncate(NOTES);
        }
        if is_new {
            form.note = notes.join("\n");
        } else {
            notes.retain(|note| !form.note.contains(note.as_str()));
            if !notes.is_empty() {
                let before = if form.note.is_empty() { Vec::new() } else { vec![std::mem::take(&mut form.note)] };
                form.note = [before, notes].concat().join("\n");
                plan.additions.push(Addition::Record { form: form.id.clone(), what: "note".to_owned() });
            }
        }
    }
}
