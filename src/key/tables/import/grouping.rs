//! Rows put together by the name and the line of their form.

use super::columns::{self, Columns};
use super::names::{Ids, compared, tidy};
use super::problem::{ImportProblem, LeftOut};
use super::{Addition, Plan, file_title};
use crate::key::ids::{FormId, LineId};
use crate::key::model::{Key, Line, Years};
use crate::key::tables::cells::is_missing;
use crate::key::tables::header::clip;
use crate::key::tables::mapping::Mapping;
use crate::key::tables::table::Table;
use crate::key::words::{NotFound, Words, fold};
use std::collections::HashMap;

/// The rows of one form.
pub(super) struct Group {
    pub(super) name: String,
    pub(super) line: LineId,
    pub(super) rows: Vec<usize>,
    /// Its place in the key, where that has it.
    pub(super) form: Option<usize>,
}

/// Rows put together by name and line.
pub(super) struct Grouping<'a> {
    old: &'a Key,
    words: &'a Words,
    table: &'a Table,
    mapping: &'a Mapping,
    columns: &'a Columns,
    /// Forms of the key by line and compared name.
    forms: HashMap<(LineId, String), usize>,
    places: HashMap<FormId, usize>,
    lines: HashMap<String, LineId>,
    line_ids: Ids,
    /// The line of forms that have none.
    otherwise: Option<LineId>,
}

impl<'a> Grouping<'a> {
    pub(super) fn new(old: &'a Key, words: &'a Words, table: &'a Table, mapping: &'a Mapping, columns: &'a Columns) -> Self {
        let mut forms = HashMap::new();
        for (at, form) in old.forms.iter().enumerate() {
            for name in std::iter::once(&form.name).chain(&form.also) {
                forms.entry((form.line.clone(), compared(name))).or_insert(at);
            }
        }
        let places = old.forms.iter().enumerate().map(|(at, form)| (form.id.clone(), at)).collect();
        let line_ids = Ids::of(old.lines.iter().map(|line| line.id.as_str()));
        Self { old, words, table, mapping, columns, forms, places, lines: HashMap::new(), line_ids, otherwise: None }
    }

    pub(super) fn run(mut self, plan: &mut Plan) -> Vec<Group> {
        let mut groups: Vec<Group> = Vec::new();
        let mut known: HashMap<(&str, &str), usize> = HashMap::new();
        let mut by_name: HashMap<(LineId, String), usize> = HashMap::new();
        for row in 0..self.table.len() {
            let name = self.table.cell(row, self.columns.name).trim();
            let line = self.columns.line.map_or("", |column| self.table.cell(row, column).trim());
            // What was refused once is refused in each row, so that each row is told of.
            let found = known.get(&(name, line)).copied().or_else(|| self.group(row, name, line, &mut groups, &mut by_name, plan));
            if let Some(found) = found {
                known.insert((name, line), found);
            }
            if let Some(group) = found.and_then(|at| groups.get_mut(at)) {
                group.rows.push(row);
            }
        }
        groups
    }

    fn group(
        &mut self,
        row: usize,
        name: &str,
        line: &str,
        groups: &mut Vec<Group>,
        by_name: &mut HashMap<(LineId, String), usize>,
        plan: &mut Plan,
    ) -> Option<usize> {
        let at = self.table.at(row, self.columns.name);
        let mut leave = |why| plan.left_out.push(LeftOut { at, why });
        if is_missing(name) {
            leave(ImportProblem::NoName);
            return None;
        }
        let name = tidy(name);
        let same = compared(&name);
        if same.is_empty() {
            leave(ImportProblem::NoWord { text: clip(&name) });
            return None;
        }
        let mut form = None;
        let line = if is_missing(line) {
            match self.words.form(&name) {
                Ok(id) => {
                    form = self.places.get(&id).copied();
                    form.and_then(|at| self.old.forms.get(at)).map(|form| form.line.clone())?
                }
                Err(ambiguous @ NotFound::Ambiguous { .. }) => {
                    leave(ImportProblem::Ambiguous(ambiguous));
                    return None;
                }
                Err(unknown @ NotFound::Unknown { .. }) => {
                    let line = self.otherwise(plan);
                    if !by_name.contains_key(&(line.clone(), same.clone()))
                        && let Some(nearest) = columns::near(Some(unknown))
                    {
                        plan.problems.push(LeftOut { at, why: ImportProblem::NearForm { text: clip(&name), nearest } });
                    }
                    line
                }
            }
        } else {
            let line = self.line(row, line, plan)?;
            form = self.forms.get(&(line.clone(), same.clone())).copied();
            line
        };
        let place = form.map_or_else(|| (line.clone(), same.clone()), |at| (LineId::new(""), at.to_string()));
        Some(*by_name.entry(place).or_insert_with(|| {
            groups.push(Group { name, line, rows: Vec::new(), form });
            groups.len() - 1
        }))
    }

    fn line(&mut self, row: usize, text: &str, plan: &mut Plan) -> Option<LineId> {
        let at = self.table.at(row, self.columns.line.unwrap_or(0));
        match self.words.line(text) {
            Ok(id) => return Some(id),
            Err(ambiguous @ NotFound::Ambiguous { .. }) => {
                plan.left_out.push(LeftOut { at, why: ImportProblem::Ambiguous(ambiguous) });
                return None;
            }
            Err(NotFound::Unknown { .. }) => {}
        }
        if fold(text).is_empty() {
            plan.left_out.push(LeftOut { at, why: ImportProblem::NoWord { text: clip(text) } });
            return None;
        }
        Some(self.new_line(text, plan))
    }

    fn new_line(&mut self, name: &str, plan: &mut Plan) -> LineId {
        let same = compared(name);
        if let Some(line) = self.lines.get(&same) {
            return line.clone();
        }
        let name = tidy(name);
        let id = LineId::new(self.line_ids.make(&name));
        plan.key.lines.push(Line {
            id: id.clone(),
            name: name.clone(),
            also: Vec::new(),
            made: Years::default(),
            claims: Vec::new(),
            note: String::new(),
        });
        plan.additions.push(Addition::Line(name));
        self.lines.insert(same, id.clone());
        id
    }

    /// The line of forms that have none: as the mapping says, else one called as the file.
    fn otherwise(&mut self, plan: &mut Plan) -> LineId {
        if let Some(line) = &self.otherwise {
            return line.clone();
        }
        let name = self.mapping.line.clone().filter(|line| !fold(line).is_empty()).unwrap_or_else(|| file_title(self.table));
        let line = self.words.line(&name).unwrap_or_else(|_| self.new_line(&name, plan));
        self.otherwise = Some(line.clone());
        line
    }
}
