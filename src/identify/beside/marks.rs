//! What a mark says of forms of which the key does not record a mark: its lines and its years.

use super::dates::Weights;
use super::weigh::{Bearing, Drawn, Library};
use crate::identify::column::{Column, Kind, NOT_RECORDED};
use crate::identify::piece::Seen;
use crate::identify::text::{any_of, years};
use crate::key::{Mark, Used};
use crate::marks::Asked;
use crate::say;

pub(super) const NAME: &str = "line and years of the mark";

/// A mark is on ware of another line than those the key names so often, beside ware of one of them. A choice of this program, no source.
const OTHER_LINE: f64 = 0.05;
/// A form's or a mark's years in the key are wrong so often. A choice of this program, no source.
const SLIP: f64 = 0.05;
/// Of marks that a wording may be, those are left out that are so much less likely than the best.
const LEAST: f64 = 1e-3;

/// Weighs lines and years of the marks that were seen, or that the wording may be, for the forms without a record of marks. Those with one are
/// answered by it alone. None where that tells no form from another.
pub(super) fn bearing(library: &Library, prior: &[f64], column: &Column, seen: &Seen) -> Option<Bearing> {
    let open: Vec<bool> = (0..library.drawn().len()).map(|form| column.pattern_of(form) == NOT_RECORDED).collect();
    if !open.iter().any(|open| *open) {
        return None;
    }
    let told: Vec<(&Mark, f64, Option<&Weights>)> = candidates(library, column, seen)
        .into_iter()
        .filter_map(|(number, weight)| Some((library.marks().get(number)?, weight, library.years_of_mark(number))))
        .collect();
    let all: f64 = told.iter().map(|(_, weight, _)| weight).sum();
    if all <= 0.0 {
        return None;
    }
    let of_form = |form: &Drawn| {
        let of_mark = |(mark, weight, years): &(&Mark, f64, Option<&Weights>)| {
            let line = if mark.lines.is_empty() || mark.lines.contains(&form.line) { 1.0 } else { OTHER_LINE };
            let when = years.and_then(|years| years.of_years(form.made)).map_or(1.0, |w| (1.0 - SLIP) * w + SLIP);
            weight / all * line * when
        };
        told.iter().map(of_mark).sum::<f64>().ln()
    };
    let known: Vec<Option<f64>> = library.drawn().iter().zip(&open).map(|(form, open)| open.then(|| of_form(form))).collect();
    let first = known.iter().flatten().next().copied();
    if known.iter().flatten().all(|log| Some(*log) == first) {
        return None;
    }
    let names: Vec<String> = told.iter().take(3).map(|(mark, ..)| words(mark)).collect();
    // A stranger's mark is as good as any: the broad half is the mean of the others.
    let mut bearing = Bearing::new(NAME, any_of(&names), prior, known, f64::NEG_INFINITY);
    bearing.stranger = 0.0;
    Some(bearing)
}

/// Numbers of the marks that it may be, likeliest first, each with its weight.
fn candidates(library: &Library, column: &Column, seen: &Seen) -> Vec<(usize, f64)> {
    let Kind::Values(values) = &column.kind else { return Vec::new() };
    let used = |(_, mark): &(usize, &Mark)| mark.used == Used::InUse;
    let marks = library.marks().iter().enumerate().filter(used);
    match seen {
        Seen::Values(ids) => {
            marks.filter(|(_, mark)| ids.iter().any(|id| id.as_str() == mark.id.as_str())).map(|(i, _)| (i, 1.0)).collect()
        }
        Seen::Wording(_) | Seen::Mark(_) => {
            let (typed, looks) = seen.mark().unwrap_or_default();
            // Wordings stand in the order of the key's marks.
            let asked = values.wordings.as_ref().map(|wordings| wordings.asked_of(typed, &looks)).filter(Asked::says_something);
            let Some(asked) = asked else { return Vec::new() };
            let ratios = asked.ratios();
            let ratio = |i: usize| Some(ratios.get(i)?.clamp(-100.0, 100.0).exp());
            let mut weighed: Vec<(usize, f64)> = marks.filter_map(|(i, _)| Some((i, ratio(i)?))).collect();
            let best = weighed.iter().map(|(_, weight)| *weight).fold(0.0, f64::max);
            weighed.retain(|(_, weight)| *weight >= LEAST * best && *weight > 0.0);
            weighed.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
            weighed
        }
        _ => Vec::new(),
    }
}

/// '“Quoin oval”, 1951–58'
fn words(mark: &Mark) -> String {
    let made = years(mark.made.from, mark.made.to);
    if made.is_empty() { format!("“{}”", mark.name) } else { format!("“{}”, {made}", mark.name) }
}

/// What of a form that was held against.
pub(super) fn of_form(form: &Drawn) -> String {
    match years(form.made.from, form.made.to) {
        made if made.is_empty() => say!("no marks and no years are recorded").to_owned(),
        made => say!("no marks are recorded, made {made}", made),
    }
}
