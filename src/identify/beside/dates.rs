//! The years in which the piece was made, as its evidence has them, against the years in which forms were made.

use super::weigh::{Bearing, Library};
use crate::identify::Index;
use crate::identify::column::What;
use crate::identify::piece::Piece;
use crate::identify::text::years;
use crate::key::{DecorationId, FormId, Mark, MarkId, Used, Years};
use crate::marks::dates::{Dating, Gathered, Origin, Rules, Said, Thing, Unread, of_decoration, of_form};
use crate::say;

/// Share of pieces whose years in the key, or whose evidence, are wrong. A choice of this program, no source.
const SLIP: f64 = 0.05;
/// A form whose last year is not known is taken to have been made for so long. A choice of this program, no source.
const OPEN_YEARS: i32 = 40;
/// Years within which dates are weighed: no tableware of a known pottery is outside.
const YEARS: (i32, i32) = (1500, 2200);

/// The dates of a piece, and what could not be read of what was said of them.
#[derive(Debug, Clone, PartialEq)]
pub struct PieceDates {
    /// All evidence put together.
    pub dating: Dating,
    /// What says nothing, and why.
    pub unread: Vec<Unread>,
    /// What is to be said besides.
    pub remarks: Vec<String>,
}

/// How probable the evidence makes each year, the likeliest of all being 1.
#[derive(Debug, Clone)]
pub(super) struct Weights {
    first: i32,
    of_year: Vec<f64>,
}

impl Weights {
    pub(super) fn of(dating: &Dating) -> Self {
        let (first, last) = YEARS;
        let range = i16::try_from(first).unwrap_or(0)..=i16::try_from(last).unwrap_or(i16::MAX);
        let years = dating.years(Thing::Making, range);
        let most = years.iter().map(|year| year.1).fold(0.0, f64::max).max(f64::MIN_POSITIVE);
        Self { first, of_year: years.iter().map(|year| year.1 / most).collect() }
    }

    /// The mean weight of the years in which a form was made. None where nothing is known of them.
    pub(super) fn of_years(&self, made: Years) -> Option<f64> {
        let (from, to) = match (made.from, made.to) {
            (None, None) => return None,
            (Some(from), None) => (from, from.saturating_add(OPEN_YEARS)),
            (None, Some(to)) => (to.saturating_sub(OPEN_YEARS), to),
            (Some(from), Some(to)) => (from, to.max(from)),
        };
        let at = |year: i32| usize::try_from(i64::from(year) - i64::from(self.first)).ok();
        let inside = self.of_year.get(at(from.max(self.first))?..=at(to)?.min(self.of_year.len().saturating_sub(1)))?;
        if inside.is_empty() { None } else { Some(inside.iter().sum::<f64>() / inside.len() as f64) }
    }
}

pub(super) fn bearing(library: &Library, prior: &[f64], said: &[Said], mark: Option<&Mark>) -> Option<Bearing> {
    let Gathered { mut evidence, put, .. } = Gathered::of(Rules::published(), library.marks(), mark, said);
    // What the mark says of years is weighed with the mark, which forms record.
    evidence.retain(|one| one.origin != Origin::MarkYears);
    if evidence.is_empty() {
        return None;
    }
    let dating = Dating::of(evidence, put);
    let weights = Weights::of(&dating);
    let known: Vec<Option<f64>> = library.drawn().iter().map(|form| weights.of_years(form.made)).collect();
    let hull = library.drawn().iter().fold(Years::default(), |hull, form| Years {
        from: hull.from.map_or(form.made.from, |a| Some(form.made.from.map_or(a, |b| a.min(b)))),
        to: hull.to.map_or(form.made.to, |a| Some(form.made.to.map_or(a, |b| a.max(b)))),
    });
    // A stranger may be of any year of the key's pottery, and of some before and after.
    let wide = Years { from: hull.from.map(|from| from.saturating_sub(OPEN_YEARS)), to: hull.to.map(|to| to.saturating_add(OPEN_YEARS)) };
    let broad = weights.of_years(wide).unwrap_or(1.0);
    let log = |mean: Option<f64>| mean.map(|mean| ((1.0 - SLIP) * mean + SLIP * broad).max(f64::MIN_POSITIVE).ln());
    let words = if dating.made.is_disputed() { say!("firm evidence excludes each other").to_owned() } else { dating.made.when.words() };
    Some(Bearing::new("dates", words, prior, known.into_iter().map(log).collect(), broad.max(f64::MIN_POSITIVE).ln()))
}

impl Index {
    /// All evidence of the date of a piece put together: what was said of it, the years of its mark where that is known, and those of a form and
    /// of a decoration where they are given.
    pub fn dates(&self, piece: &Piece, form: Option<&FormId>) -> PieceDates {
        let mark = self.one_mark(piece);
        let Gathered { mut evidence, unread, remarks, put } =
            Gathered::of(Rules::published(), self.library.marks(), mark.as_ref().and_then(|id| self.library.mark(id)), &piece.beside.dates);
        let form = form.and_then(|id| self.library.form(id));
        evidence.extend(form.and_then(|form| of_form(&form.name, form.made)));
        evidence.extend(self.one_decoration(piece).and_then(|id| self.library.decoration(&id)).and_then(of_decoration));
        PieceDates { dating: Dating::of(evidence, put), unread, remarks }
    }

    /// The mark that the piece was said to have, where it was one alone.
    pub(in crate::identify) fn one_mark(&self, piece: &Piece) -> Option<MarkId> {
        self.one_value(piece, What::Mark).map(|id| MarkId::new(id.as_str()))
    }

    /// True where the piece was said to have one mark, and the key knows it from paper only.
    pub(in crate::identify) fn mark_was_never_used(&self, piece: &Piece) -> bool {
        self.one_mark(piece).and_then(|id| self.library.mark(&id)).is_some_and(|mark| mark.used == Used::NeverUsed)
    }

    fn one_decoration(&self, piece: &Piece) -> Option<DecorationId> {
        self.one_value(piece, What::Decoration).map(|id| DecorationId::new(id.as_str()))
    }

    /// ', 1951–58 by the mark', ', 1951–61', or nothing: the years of a form as far as its mark and what else was said of dates leave them.
    pub(in crate::identify) fn dated(&self, piece: &Piece, form: usize) -> String {
        let Some(form) = self.library.drawn().get(form) else { return String::new() };
        let mark = self.one_mark(piece).and_then(|id| self.library.mark(&id));
        if self.mark_was_never_used(piece) {
            return say!(
                "{dated}; its mark was never in production as far as the key knows",
                dated = self.dated_by(piece, form, Years::default())
            );
        }
        self.dated_by(piece, form, mark.map(|mark| mark.made).unwrap_or_default())
    }

    fn dated_by(&self, piece: &Piece, form: &super::weigh::Drawn, of_mark: Years) -> String {
        if !piece.beside.dates.is_empty() {
            let dates = self.dates(piece, Some(&form.id));
            let made = &dates.dating.made;
            let when = match made.when.words() {
                _ if made.is_disputed() || !dates.dating.clashes().is_empty() => say!(", its dates do not go together").to_owned(),
                _ if made.when.hull().is_open() => String::new(),
                words => say!(", made {words}", words),
            };
            let decorated = dates.dating.decorated.as_ref().filter(|dated| !dated.is_disputed() && !dated.when.hull().is_open());
            return when + &decorated.map_or_else(String::new, |dated| say!(", decorated {when}", when = dated.when.words()));
        }
        let made = form.made;
        let both = Years { from: made.from.max(of_mark.from), to: least(made.to, of_mark.to) };
        let clash = matches!((both.from, both.to), (Some(from), Some(to)) if from > to);
        if clash {
            return say!(
                ", {years} by the form, {of_mark} by the mark",
                years = years(made.from, made.to),
                of_mark = years(of_mark.from, of_mark.to)
            );
        }
        let words = years(both.from, both.to);
        match (words.is_empty(), of_mark.is_open() || both == made) {
            (true, _) => String::new(),
            (false, true) => format!(", {words}"),
            (false, false) => say!(", {words} by the mark", words),
        }
    }
}

fn least(a: Option<i32>, b: Option<i32>) -> Option<i32> {
    match (a, b) {
        (Some(a), Some(b)) => Some(a.min(b)),
        (a, b) => a.or(b),
    }
}
