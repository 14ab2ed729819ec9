//! What a list of finds could be narrowed by, with how many finds each choice would leave.

use super::book::Daybook;
use super::error::DaybookError;
use super::filter::{Dimension, Filter};
use super::record::Status;
use rusqlite::params_from_iter;
use std::collections::BTreeMap;

/// A choice and how many finds it would leave.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Facet {
    /// The name of the line, glaze, mark, box or form; empty where none is known.
    pub name: String,
    /// The id of the form or grade; empty for the others.
    pub id: String,
    /// How many finds.
    pub finds: u64,
}

/// The choices of every dimension. Those of a dimension are counted as if the filter said nothing of it, so that another choice can be made.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Facets {
    /// By form; the one without an id is 'no form'.
    pub forms: Vec<Facet>,
    /// By line.
    pub lines: Vec<Facet>,
    /// By glaze.
    pub glazes: Vec<Facet>,
    /// By mark.
    pub marks: Vec<Facet>,
    /// By box.
    pub boxes: Vec<Facet>,
    /// By the grade of their condition, best first, and last those that nobody looked over; the id is the grade's.
    pub grades: Vec<Facet>,
    /// By status, in the order of [`Status::ALL`].
    pub statuses: Vec<(Status, u64)>,
    /// Finds with a photograph.
    pub photographed: u64,
    /// Finds whose name was not settled.
    pub doubtful: u64,
    /// Finds taken for no form.
    pub no_form: u64,
}

impl Daybook {
    /// Counts what a filter could be narrowed by. Names come most frequent first, boxes as people sort them.
    ///
    /// # Errors
    /// [`DaybookError::Busy`], [`DaybookError::Damaged`] and the like.
    pub fn facets(&self, filter: &Filter) -> Result<Facets, DaybookError> {
        let by_count = "count(*) DESC, 2, 1";
        let forms = self.grouped(filter, Dimension::Form, "coalesce(form_id, '')", "form", by_count)?;
        let statuses = self.grouped(filter, Dimension::Status, "''", "status", by_count)?;
        let of = |status: Status| statuses.iter().find(|facet| facet.name == status.stored()).map_or(0, |facet| facet.finds);
        Ok(Facets {
            no_form: forms.iter().filter(|facet| facet.id.is_empty()).map(|facet| facet.finds).sum(),
            forms,
            lines: self.grouped(filter, Dimension::Line, "''", "line", by_count)?,
            glazes: self.grouped(filter, Dimension::Glaze, "''", "glaze", by_count)?,
            marks: self.grouped(filter, Dimension::Mark, "''", "mark", by_count)?,
            boxes: self.grouped(filter, Dimension::Box, "''", "box", "max(box_sort), 2")?,
            grades: self.grades(filter)?,
            statuses: Status::ALL.map(|status| (status, of(status))).into(),
            photographed: self.counted_where(filter, Dimension::Photographed, "photographs > 0")?,
            doubtful: self.counted_where(filter, Dimension::Doubtful, "standing <> 'settled'")?,
        })
    }

    /// Finds by grade: counted by the conditions they are in, of which there are few.
    fn grades(&self, filter: &Filter) -> Result<Vec<Facet>, DaybookError> {
        let mut by_grade: BTreeMap<String, u64> = BTreeMap::new();
        for told in self.grouped(filter, Dimension::Grade, "''", "faults", "2")? {
            *by_grade.entry(self.grade_of(&told.name)).or_default() += told.finds;
        }
        let known = self.rules.grades.iter().map(|grade| (grade.id.as_str(), grade.name.as_str())).chain(std::iter::once(("", "")));
        let facet = |(id, name): (&str, &str)| Some(Facet { name: name.to_owned(), id: id.to_owned(), finds: *by_grade.get(id)? });
        Ok(known.filter_map(facet).collect())
    }

    fn grouped(&self, filter: &Filter, without: Dimension, id: &str, name: &str, order: &str) -> Result<Vec<Facet>, DaybookError> {
        let sorted = |error| DaybookError::sort(error, &self.path);
        let conditions = self.conditions(filter, Some(without))?;
        let sql = format!("SELECT {id}, {name}, count(*) FROM listed WHERE {} GROUP BY 1, 2 ORDER BY {order}", conditions.sql);
        let mut statement = self.connection.prepare(&sql).map_err(sorted)?;
        let rows = statement
            .query_map(params_from_iter(&conditions.values), |row| {
                Ok(Facet { id: row.get(0)?, name: row.get(1)?, finds: row.get::<_, i64>(2)?.unsigned_abs() })
            })
            .map_err(sorted)?;
        rows.collect::<Result<Vec<_>, _>>().map_err(sorted)
    }

    fn counted_where(&self, filter: &Filter, without: Dimension, condition: &str) -> Result<u64, DaybookError> {
        let sorted = |error| DaybookError::sort(error, &self.path);
        let conditions = self.conditions(filter, Some(without))?;
        let sql = format!("SELECT count(*) FROM listed WHERE {} AND {condition}", conditions.sql);
        let mut statement = self.connection.prepare(&sql).map_err(sorted)?;
        statement.query_row(params_from_iter(&conditions.values), |row| row.get::<_, i64>(0)).map(i64::unsigned_abs).map_err(sorted)
    }
}
