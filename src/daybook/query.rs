//! Reading the daybook: lists, counts, boxes.

use super::book::Daybook;
use super::condition::Condition;
use super::error::DaybookError;
use super::filter::{Conditions, Filter, Graded, Order, Question, Way, Without};
use super::find::{Find, FindId};
use super::fold::fold;
use super::row::Reader;
use crate::photo::{Format, PhotoHash};
use rusqlite::types::Value;
use rusqlite::{Row, params_from_iter};

/// Which finds of a list by time are wanted.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Page {
    /// Words that must all be found somewhere. Empty: every find.
    pub search: String,
    /// Only finds of the box with exactly that label, where given.
    pub box_label: Option<String>,
    /// How many to pass over.
    pub skip: u32,
    /// How many to give at most.
    pub most: u32,
}

/// Where a page of a list ended, so that the next goes on from there however the list has changed before it.
#[derive(Debug, Clone, PartialEq)]
pub struct Place {
    sorted_by: Value,
    id: String,
}

/// Finds in the order of a list; one that cannot be read is given as its error, in its place.
pub type Listed = Vec<Result<Find, DaybookError>>;

/// A box and how many finds lie in it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BoxCount {
    /// Its label; empty for finds without a box.
    pub label: String,
    /// How many finds.
    pub finds: u64,
    /// How many pieces they stand for: a find may be of several that are alike.
    pub pieces: u64,
}

/// What a box holds, by what its pieces were taken for.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct BoxTally {
    /// Finds.
    pub finds: u64,
    /// Pieces.
    pub pieces: u64,
    /// Pieces by the name of their form and line, most first; an empty name for those taken for none.
    pub named: Vec<(String, u64)>,
}

impl Daybook {
    /// A find, whether removed or not.
    ///
    /// # Errors
    /// [`DaybookError::UnreadableFind`] where its row holds what this program does not understand.
    pub fn find(&self, id: FindId) -> Result<Option<Find>, DaybookError> {
        Reader::new(&self.connection, &self.path)?.find(id)
    }

    /// Finds by their ids, in that order, removed ones too. One that cannot be read, or is none, is given as its error, in its place.
    ///
    /// # Errors
    /// [`DaybookError::Busy`], [`DaybookError::Damaged`] and the like.
    pub fn several(&self, ids: &[FindId]) -> Result<Vec<Result<Find, DaybookError>>, DaybookError> {
        let mut reader = Reader::new(&self.connection, &self.path)?;
        ids.iter()
            .map(|id| match reader.find(*id) {
                Ok(Some(find)) => Ok(Ok(find)),
                Ok(None) => Ok(Err(DaybookError::NoSuchFind { id: *id })),
                Err(error @ DaybookError::UnreadableFind { .. }) => Ok(Err(error)),
                Err(other) => Err(other),
            })
            .collect()
    }

    /// The ids of a whole list, in its order: what a window scrolls through, reading only what is in sight.
    ///
    /// # Errors
    /// As [`Daybook::several`].
    pub fn ids(&self, question: &Question) -> Result<Vec<FindId>, DaybookError> {
        let (ids, _place) = self.listed(question, None, None)?;
        Ok(ids.into_iter().filter_map(|id| id.parse().ok()).collect())
    }

    /// A page of a list of at most `most` finds, from where the page before it ended, and where this one does (none at the end of the list).
    ///
    /// # Errors
    /// As [`Daybook::several`].
    pub fn page(&self, question: &Question, after: Option<&Place>, most: u32) -> Result<(Listed, Option<Place>), DaybookError> {
        let (ids, place) = self.listed(question, after, Some((most, 0)))?;
        let more = ids.len() >= most as usize;
        Ok((self.read_all(&ids)?, place.filter(|_| more)))
    }

    /// How many finds a filter leaves.
    ///
    /// # Errors
    /// As [`Daybook::several`].
    pub fn how_many(&self, filter: &Filter) -> Result<u64, DaybookError> {
        let sorted = |error| DaybookError::sort(error, &self.path);
        let conditions = self.conditions(filter, Without::Nothing)?;
        let mut statement = self.connection.prepare(&format!("SELECT count(*) FROM listed WHERE {}", conditions.sql)).map_err(sorted)?;
        statement.query_row(params_from_iter(&conditions.values), |row| counted(row, 0)).map_err(sorted)
    }

    /// Finds that are not removed, newest first. One that cannot be read is given as its error, in its place, and hides no other.
    ///
    /// # Errors
    /// As [`Daybook::several`].
    pub fn newest_first(&self, page: &Page) -> Result<Vec<Result<Find, DaybookError>>, DaybookError> {
        let (ids, _place) = self.listed(&page.question(), None, Some((page.most, page.skip)))?;
        self.read_all(&ids)
    }

    /// How many finds that are not removed the page's search and box leave, `skip` and `most` aside.
    ///
    /// # Errors
    /// As [`Daybook::several`].
    pub fn count(&self, page: &Page) -> Result<u64, DaybookError> {
        self.how_many(&page.question().filter)
    }

    /// The conditions of a filter, with the grades of this daybook's rules.
    pub(super) fn conditions(&self, filter: &Filter, without: Without) -> Result<Conditions, DaybookError> {
        let names: Vec<(String, String)> = self.rules.grades.iter().map(|grade| (fold(&grade.name), grade.id.clone())).collect();
        let asks = filter.asks_for_grades(&names.iter().map(|(name, _)| name.as_str()).collect::<Vec<_>>());
        let told = if asks { self.conditions_told()? } else { Vec::new() };
        Ok(filter.conditions(without, &Graded { names, told }))
    }

    /// Every condition that finds are in, as it is laid out, with the id of its grade by this daybook's rules.
    fn conditions_told(&self) -> Result<Vec<(String, String)>, DaybookError> {
        let sorted = |error| DaybookError::sort(error, &self.path);
        let mut statement = self.connection.prepare("SELECT DISTINCT faults FROM listed WHERE removed = 0").map_err(sorted)?;
        let rows = statement.query_map([], |row| row.get::<_, String>(0)).map_err(sorted)?;
        rows.map(|told| told.map(|told| (told.clone(), self.grade_of(&told)))).collect::<Result<_, _>>().map_err(sorted)
    }

    /// The id of the grade of a condition as it is laid out; empty where nobody looked.
    pub(super) fn grade_of(&self, told: &str) -> String {
        let condition = Condition::of_told(told).unwrap_or_default();
        condition.grade(&self.rules).map_or_else(String::new, |graded| graded.grade.id.clone())
    }

    /// Ids in the order of a question, and the place of the last.
    fn listed(
        &self,
        question: &Question,
        after: Option<&Place>,
        most_and_skip: Option<(u32, u32)>,
    ) -> Result<(Vec<String>, Option<Place>), DaybookError> {
        let sorted = |error| DaybookError::sort(error, &self.path);
        let conditions = self.conditions(&question.filter, Without::Nothing)?;
        let (by, mut values, way) = question.sorting();
        let (direction, beyond) = match way {
            Way::Up => ("ASC", ">"),
            Way::Down => ("DESC", "<"),
        };
        // Ids sort by when they were made, so of two alike the later stands first, whichever way the list is sorted.
        let mut sql = format!("SELECT id, {by} AS sorted_by FROM listed WHERE {}", conditions.sql);
        values.extend(conditions.values);
        if let Some(Place { sorted_by, id }) = after {
            sql = format!("SELECT id, sorted_by FROM ({sql}) WHERE sorted_by {beyond} ? OR sorted_by = ? AND id < ?");
            values.extend([sorted_by.clone(), sorted_by.clone(), Value::from(id.clone())]);
        }
        sql = format!("{sql} ORDER BY sorted_by {direction}, id DESC");
        if let Some((most, skip)) = most_and_skip {
            sql.push_str(" LIMIT ? OFFSET ?");
            values.extend([Value::from(most), Value::from(skip)]);
        }
        let mut statement = self.connection.prepare(&sql).map_err(sorted)?;
        let mut rows = statement.query(params_from_iter(&values)).map_err(sorted)?;
        let (mut ids, mut last) = (Vec::new(), Value::Null);
        while let Some(row) = rows.next().map_err(sorted)? {
            ids.push(row.get::<_, String>(0).map_err(sorted)?);
            last = row.get(1).map_err(sorted)?;
        }
        let place = ids.last().map(|id| Place { sorted_by: last, id: id.clone() });
        Ok((ids, place))
    }

    fn read_all(&self, ids: &[String]) -> Result<Vec<Result<Find, DaybookError>>, DaybookError> {
        let mut reader = Reader::new(&self.connection, &self.path)?;
        let read = ids.iter().map(|id| match reader.find_of(id) {
            Ok(Some(find)) => Ok(Ok(find)),
            Ok(None) => Ok(Err(DaybookError::UnreadableFind { id: id.clone(), detail: "it is listed, and not there".to_owned() })),
            Err(error @ DaybookError::UnreadableFind { .. }) => Ok(Err(error)),
            Err(other) => Err(other),
        });
        read.collect()
    }

    /// The boxes with the number of their finds, by label; numbers in labels count as numbers ('Box 9' before 'Box 14').
    ///
    /// # Errors
    /// As [`Daybook::several`].
    pub fn boxes(&self) -> Result<Vec<BoxCount>, DaybookError> {
        let sorted = |error| DaybookError::sort(error, &self.path);
        let mut statement = self
            .connection
            .prepare("SELECT box, count(*), sum(pieces) FROM listed WHERE removed = 0 GROUP BY box ORDER BY max(box_sort), box")
            .map_err(sorted)?;
        let rows = statement
            .query_map([], |row| Ok(BoxCount { label: row.get(0)?, finds: counted(row, 1)?, pieces: counted(row, 2)? }))
            .map_err(sorted)?;
        rows.collect::<Result<Vec<_>, _>>().map_err(sorted)
    }

    /// What lies in the box of that label.
    ///
    /// # Errors
    /// As [`Daybook::several`].
    pub fn tally_of_box(&self, label: &str) -> Result<BoxTally, DaybookError> {
        let sorted = |error| DaybookError::sort(error, &self.path);
        let mut statement = self
            .connection
            .prepare(
                "SELECT form || iif(line = '', '', ', ' || line), count(*), sum(pieces) FROM listed WHERE removed = 0 AND box = ?1
                 GROUP BY 1 ORDER BY 3 DESC, 1",
            )
            .map_err(sorted)?;
        let mut rows = statement.query([label]).map_err(sorted)?;
        let mut tally = BoxTally::default();
        while let Some(row) = rows.next().map_err(sorted)? {
            let pieces = counted(row, 2).map_err(sorted)?;
            tally.finds += counted(row, 1).map_err(sorted)?;
            tally.pieces += pieces;
            tally.named.push((row.get(0).map_err(sorted)?, pieces));
        }
        Ok(tally)
    }

    /// Every photograph that any find refers to or once referred to, removed ones included, each once: what the store should hold.
    ///
    /// # Errors
    /// As [`Daybook::several`].
    pub fn photographs_kept(&self) -> Result<Vec<(PhotoHash, Format)>, DaybookError> {
        let sorted = |error| DaybookError::sort(error, &self.path);
        let mut statement = self
            .connection
            .prepare(
                "SELECT hash, format FROM photographs
                 UNION
                 SELECT photo.value ->> 'hash', photo.value ->> 'format' FROM history, json_each(history.find, '$.photographs') AS photo
                 ORDER BY 1",
            )
            .map_err(sorted)?;
        let rows = statement.query_map([], |row| Ok((row.get::<_, String>(0)?, row.get::<_, String>(1)?))).map_err(sorted)?;
        let mut kept = Vec::new();
        for row in rows {
            let (hash, format) = row.map_err(sorted)?;
            if let (Ok(hash), Some(format)) = (hash.parse(), Format::of_extension(&format)) {
                kept.push((hash, format));
            }
        }
        Ok(kept)
    }
}

impl Page {
    fn question(&self) -> Question {
        let filter = Filter { search: self.search.clone(), box_label: self.box_label.clone(), ..Filter::default() };
        Question { filter, order: Some(Order::default()) }
    }
}

/// A number of rows. SQLite's own numbers have a sign; a count is never negative.
fn counted(row: &Row<'_>, column: usize) -> rusqlite::Result<u64> {
    row.get::<_, i64>(column).map(i64::unsigned_abs)
}
