//! What a list of finds could be narrowed by, with how many finds each choice would leave.

use super::book::Daybook;
use super::error::DaybookError;
use super::filter::{Dimension, Filter, FormChoice, Without};
use super::fold::natural;
use super::record::Status;
use rusqlite::{Row, params_from_iter};
use std::collections::{BTreeMap, HashMap};

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
    /// All dimensions are counted in one pass over the finds that the rest of the filter leaves: one that fails in no dimension counts in each of
    /// them, one that fails in a single dimension counts there only.
    ///
    /// # Errors
    /// [`DaybookError::Busy`], [`DaybookError::Damaged`] and the like.
    pub fn facets(&self, filter: &Filter) -> Result<Facets, DaybookError> {
        let sorted = |error| DaybookError::sort(error, &self.path);
        let conditions = self.conditions(filter, Without::AllThatIsCounted)?;
        let sql = format!(
            "SELECT form_id, form, line, glaze, mark, box, status, faults, photographs > 0, standing <> 'settled' FROM listed WHERE {}",
            conditions.sql
        );
        let mut statement = self.connection.prepare(&sql).map_err(sorted)?;
        let mut rows = statement.query(params_from_iter(&conditions.values)).map_err(sorted)?;
        let mut counts = Counts::new(filter, |told| self.grade_of(told));
        while let Some(row) = rows.next().map_err(sorted)? {
            counts.add(row).map_err(sorted)?;
        }
        let grades = self.rules.grades.iter().map(|grade| (grade.id.as_str(), grade.name.as_str()));
        Ok(counts.facets(grades.chain(std::iter::once(("", "")))))
    }
}

/// The dimensions with names, by their places in [`Counts::named`] and among the columns that are read.
const NAMED: [Dimension; 6] = [Dimension::Line, Dimension::Glaze, Dimension::Mark, Dimension::Box, Dimension::Status, Dimension::Grade];
/// Where the first of them stands among the columns.
const FIRST_NAMED: usize = 2;

/// What was counted so far.
struct Counts<'f, G> {
    filter: &'f Filter,
    grade_of: G,
    /// Forms by id and name.
    forms: Tallies<(String, String)>,
    form_numbers: HashMap<String, Vec<usize>>,
    named: [Tallies<String>; 6],
    numbers: [HashMap<String, usize>; 6],
    /// For each condition that was met so far, whether it is of the grade that is asked for.
    right_grade: Vec<bool>,
    photographed: u64,
    doubtful: u64,
}

/// Names in the order they were met, with how many finds each has.
type Tallies<N> = Vec<(N, u64)>;

impl<'f, G: Fn(&str) -> String> Counts<'f, G> {
    fn new(filter: &'f Filter, grade_of: G) -> Self {
        Self {
            filter,
            grade_of,
            forms: Vec::new(),
            form_numbers: HashMap::new(),
            named: Default::default(),
            numbers: Default::default(),
            right_grade: Vec::new(),
            photographed: 0,
            doubtful: 0,
        }
    }

    fn add(&mut self, row: &Row<'_>) -> rusqlite::Result<()> {
        let filter = self.filter;
        let form_id = row.get_ref(0)?.as_str_or_null()?;
        let (photographed, doubtful): (bool, bool) = (row.get(8)?, row.get(9)?);
        let mut words = [""; 6];
        for (at, word) in words.iter_mut().enumerate() {
            *word = row.get_ref(FIRST_NAMED + at)?.as_str()?;
        }
        let [line, glaze, mark, label, status, told] = words;
        let other = |wanted: &Option<String>, is: &str| wanted.as_ref().is_some_and(|wanted| wanted != is);
        let mut fails = Fails::default();
        fails.note(
            Dimension::Form,
            match &filter.form {
                Some(FormChoice::Is(form)) => form_id != Some(form.as_str()),
                Some(FormChoice::None) => form_id.is_some(),
                None => false,
            },
        );
        fails.note(Dimension::Line, other(&filter.line, line));
        fails.note(Dimension::Glaze, other(&filter.glaze, glaze));
        fails.note(Dimension::Mark, other(&filter.mark, mark));
        fails.note(Dimension::Box, other(&filter.box_label, label));
        fails.note(Dimension::Status, filter.status.is_some_and(|wanted| wanted.stored() != status));
        fails.note(Dimension::Photographed, filter.photographed.is_some_and(|wanted| wanted != photographed));
        fails.note(Dimension::Doubtful, filter.doubtful && !doubtful);
        fails.note(Dimension::Grade, !self.is_of_grade(told));
        if fails.number > 1 {
            return Ok(());
        }
        for ((dimension, word), (tallies, numbers)) in NAMED.into_iter().zip(words).zip(self.named.iter_mut().zip(&mut self.numbers)) {
            if fails.in_no_other(dimension) {
                let number = number_of(numbers, tallies, word);
                count(tallies, number);
            }
        }
        if fails.in_no_other(Dimension::Form) {
            self.count_form(form_id.unwrap_or_default(), row.get_ref(1)?.as_str()?);
        }
        self.photographed += u64::from(photographed && fails.in_no_other(Dimension::Photographed));
        self.doubtful += u64::from(doubtful && fails.in_no_other(Dimension::Doubtful));
        Ok(())
    }

    /// Of how a condition is laid out there are few different ones: each is graded once.
    fn is_of_grade(&mut self, told: &str) -> bool {
        let Some(wanted) = &self.filter.grade else { return true };
        let [.., tallies] = &mut self.named;
        let [.., numbers] = &mut self.numbers;
        let number = number_of(numbers, tallies, told);
        if number >= self.right_grade.len() {
            self.right_grade.push((self.grade_of)(told) == *wanted);
        }
        self.right_grade.get(number).copied().unwrap_or(false)
    }

    /// A form has one name as a rule; finds of before it was renamed have its earlier one.
    fn count_form(&mut self, id: &str, name: &str) {
        if !self.form_numbers.contains_key(id) {
            self.form_numbers.insert(id.to_owned(), Vec::new());
        }
        let Some(numbers) = self.form_numbers.get_mut(id) else { return };
        let known = numbers.iter().copied().find(|number| self.forms.get(*number).is_some_and(|((_, known), _)| known == name));
        let number = known.unwrap_or_else(|| {
            self.forms.push(((id.to_owned(), name.to_owned()), 0));
            numbers.push(self.forms.len() - 1);
            self.forms.len() - 1
        });
        count(&mut self.forms, number);
    }

    /// All of it in order. `grades` are ids and names, best first.
    fn facets<'g>(self, grades: impl Iterator<Item = (&'g str, &'g str)>) -> Facets {
        let facet = |(name, finds): (String, u64)| Facet { name, id: String::new(), finds };
        let by_count = |mut facets: Vec<Facet>| {
            facets.retain(|facet| facet.finds > 0);
            facets.sort_by(|a, b| b.finds.cmp(&a.finds).then_with(|| (&a.name, &a.id).cmp(&(&b.name, &b.id))));
            facets
        };
        let forms = by_count(self.forms.into_iter().map(|((id, name), finds)| Facet { name, id, finds }).collect());
        let [lines, glazes, marks, boxes, statuses, told] = self.named.map(|tallies| tallies.into_iter().map(facet).collect::<Vec<_>>());
        let mut boxes = by_count(boxes);
        boxes.sort_by_cached_key(|facet| (natural(&facet.name), facet.name.clone()));
        let mut by_grade: BTreeMap<String, u64> = BTreeMap::new();
        for Facet { name: told, finds, .. } in told.into_iter().filter(|told| told.finds > 0) {
            *by_grade.entry((self.grade_of)(&told)).or_default() += finds;
        }
        let graded = grades.filter_map(|(id, name)| Some(Facet { name: name.to_owned(), id: id.to_owned(), finds: *by_grade.get(id)? }));
        let of = |status: Status| statuses.iter().find(|facet| facet.name == status.stored()).map_or(0, |facet| facet.finds);
        Facets {
            no_form: forms.iter().filter(|facet| facet.id.is_empty()).map(|facet| facet.finds).sum(),
            forms,
            lines: by_count(lines),
            glazes: by_count(glazes),
            marks: by_count(marks),
            boxes,
            grades: graded.collect(),
            statuses: Status::ALL.map(|status| (status, of(status))).into(),
            photographed: self.photographed,
            doubtful: self.doubtful,
        }
    }
}

/// In which dimensions a find is not as the filter wants it.
#[derive(Debug, Clone, Copy, Default)]
struct Fails {
    number: u32,
    last: Option<Dimension>,
}

impl Fails {
    fn note(&mut self, dimension: Dimension, fails: bool) {
        if fails {
            self.number += 1;
            self.last = Some(dimension);
        }
    }

    /// True where it fails nowhere, or in that dimension alone.
    fn in_no_other(self, dimension: Dimension) -> bool {
        self.number == 0 || (self.number == 1 && self.last == Some(dimension))
    }
}

fn number_of(numbers: &mut HashMap<String, usize>, tallies: &mut Tallies<String>, word: &str) -> usize {
    if let Some(number) = numbers.get(word) {
        return *number;
    }
    tallies.push((word.to_owned(), 0));
    numbers.insert(word.to_owned(), tallies.len() - 1);
    tallies.len() - 1
}

fn count<N>(tallies: &mut Tallies<N>, number: usize) {
    if let Some((_, finds)) = tallies.get_mut(number) {
        *finds += 1;
    }
}
