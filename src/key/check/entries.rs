//! Everything but the forms: features, lines, glazes, decorations, marks, papers.

use super::Sink;
use super::code;
use super::index::Index;
use super::shape;
use crate::colour::Lab;
use crate::key::file::KeyFile;
use crate::key::ids::{LineId, PaperId};
use crate::key::model::{Claim, Condition, Feature, FeatureKind, Key, Paper, When, Years};
use crate::key::problem::ProblemKind;
use crate::key::text::Step;
use crate::say;

pub(super) fn check(key: &Key, index: &Index<'_>, sink: &mut Sink) {
    sink.at(KeyFile::About, 0);
    bounded(say!("the give"), key.about.give_percent, 0.0, 50.0, say!("0 to 50 percent"), &[Step::Field("give_percent")], sink);
    for (at, feature) in key.features.iter().enumerate() {
        sink.at(KeyFile::Features, at);
        check_feature(feature, index, sink);
    }
    for (at, line) in key.lines.iter().enumerate() {
        sink.at(KeyFile::Lines, at);
        years(line.made, sink);
        claims(&line.claims, index, sink);
    }
    for (at, glaze) in key.glazes.iter().enumerate() {
        sink.at(KeyFile::Glazes, at);
        lines(&glaze.lines, index, sink);
        lab(glaze.lab, &[Step::Field("lab")], sink);
        bounded(say!("the spread"), glaze.spread, 0.01, 50.0, say!("above 0, at most 50"), &[Step::Field("spread")], sink);
        years(glaze.made, sink);
        claims(&glaze.claims, index, sink);
    }
    for (at, decoration) in key.decorations.iter().enumerate() {
        sink.at(KeyFile::Decorations, at);
        lines(&decoration.lines, index, sink);
        shape::drawing(&decoration.drawing, &[Step::Field("drawing")], sink);
        years(decoration.made, sink);
        claims(&decoration.claims, index, sink);
    }
    for (at, mark) in key.marks.iter().enumerate() {
        sink.at(KeyFile::Marks, at);
        lines(&mark.lines, index, sink);
        papers(&mark.papers, &[], index, sink);
        years(mark.made, sink);
        code::check(mark, index, sink);
        if let Some(ink) = &mark.ink {
            lab(ink.lab, &[Step::Field("ink"), Step::Field("lab")], sink);
        }
        for (i, line) in mark.wording.iter().enumerate() {
            if line.text.trim().is_empty() {
                let kind = ProblemKind::Empty { of: say!("mark"), id: mark.id.to_string(), field: "line of wording" };
                sink.push(&[Step::Field("wording"), Step::At(i)], kind);
            }
        }
    }
    for (at, paper) in key.papers.iter().enumerate() {
        sink.at(KeyFile::Papers, at);
        check_paper(paper, index, sink);
    }
}

fn check_feature(feature: &Feature, index: &Index<'_>, sink: &mut Sink) {
    bounded(say!("the slip"), feature.slip, 0.0, 0.5, say!("0 to 0.5"), &[Step::Field("slip")], sink);
    above_zero(say!("the effort"), feature.effort, &[Step::Field("effort")], sink);
    match &feature.kind {
        FeatureKind::Choice(values) => {
            let list = [Step::Field("kind"), Step::At(0)];
            if values.is_empty() {
                sink.push(
                    &[Step::Field("kind")],
                    ProblemKind::NothingIn { what: say!("the choice"), expected: say!("two values or more") },
                );
            }
            let mut seen = std::collections::HashSet::new();
            for (i, value) in values.iter().enumerate() {
                let here = [list[0].clone(), list[1].clone(), Step::At(i)];
                let field = |name| [&here[..], &[Step::Field(name)]].concat();
                if !seen.insert(value.id.as_str()) {
                    sink.push(&field("id"), ProblemKind::Twice { what: value.id.to_string(), list: say!("the values of this feature") });
                }
                if value.id.as_str().trim().is_empty() {
                    sink.push(
                        &field("id"),
                        ProblemKind::Empty { of: say!("value of the feature"), id: feature.id.to_string(), field: "id" },
                    );
                }
                shape::drawing(&value.drawing, &field("drawing"), sink);
                if let Some(colour) = value.lab {
                    lab(colour, &field("lab"), sink);
                }
            }
        }
        FeatureKind::Measure(measure) => {
            if let Some(give) = measure.give_percent {
                bounded(
                    say!("the give"),
                    give,
                    0.0,
                    50.0,
                    say!("0 to 50 percent"),
                    &[Step::Field("kind"), Step::Field("give_percent")],
                    sink,
                );
            }
        }
        FeatureKind::Glaze | FeatureKind::Decoration | FeatureKind::Mark => {}
    }
    if let Some(Condition::Is(other, values)) = &feature.only_if {
        let steps = [Step::Field("only_if")];
        index.refer(KeyFile::Features, other.as_str(), &[steps[0].clone(), Step::At(0)], sink);
        if values.is_empty() {
            sink.push(&steps, ProblemKind::NothingIn { what: say!("the condition"), expected: say!("one value or more") });
        }
        if let Some(other) = index.features.get(other.as_str()) {
            for (i, value) in values.iter().enumerate() {
                index.refer_value(other, value.as_str(), &[steps[0].clone(), Step::At(1), Step::At(i)], sink);
            }
        }
    }
}

fn check_paper(paper: &Paper, index: &Index<'_>, sink: &mut Sink) {
    let date = [Step::Field("date")];
    match paper.date {
        When::Day(year, month, day) => {
            let real = i16::try_from(year).ok().zip(i8::try_from(month).ok()).zip(i8::try_from(day).ok());
            if real.is_none_or(|((y, m), d)| jiff::civil::Date::new(y, m, d).is_err()) {
                sink.push(&date, ProblemKind::NoSuchDate { date: format!("{day}.{month}.{year}") });
            }
        }
        When::Month(year, month) if !(1..=12).contains(&month) => {
            sink.push(&date, ProblemKind::NoSuchDate { date: say!("month {month} of {year}", month, year) });
        }
        When::Between(from, to) if from > to => {
            sink.push(&date, ProblemKind::Backwards { what: say!("the years"), from: from.to_string(), to: to.to_string() });
        }
        When::Month(..) | When::Between(..) | When::Year(_) | When::Circa(_) => {}
    }
    match paper.date {
        When::Month(year, _) | When::Year(year) | When::Circa(year) => possible_year(year, &date, sink),
        When::Between(from, to) => [from, to].into_iter().for_each(|year| possible_year(year, &date, sink)),
        // A day that there is not is told above.
        When::Day(..) => {}
    }
    for (i, listed) in paper.lists.iter().enumerate() {
        let here = |more: &[Step]| [&[Step::Field("lists"), Step::At(i)], more].concat();
        if let Some(form) = &listed.form {
            index.refer(KeyFile::Forms, form.as_str(), &here(&[Step::Field("form")]), sink);
        }
        for (j, glaze) in listed.glazes.iter().enumerate() {
            index.refer(KeyFile::Glazes, glaze.as_str(), &here(&[Step::Field("glazes"), Step::At(j)]), sink);
        }
    }
}

/// The first and the last year in which anything can have been made or written of. A choice of this program: ware is older than any year that
/// is known of it, and plans go a little ahead.
const YEARS: std::ops::RangeInclusive<i32> = -10_000..=2200;

fn possible_year(year: i32, steps: &[Step], sink: &mut Sink) {
    if !YEARS.contains(&year) {
        sink.push(steps, ProblemKind::OutOfBounds { what: say!("the year"), found: year.to_string(), expected: say!("-10000 to 2200") });
    }
}

pub(super) fn years(years: Years, sink: &mut Sink) {
    for (name, year) in [("from", years.from), ("to", years.to)] {
        if let Some(year) = year {
            possible_year(year, &[Step::Field("made"), Step::Field(name)], sink);
        }
    }
    if let (Some(from), Some(to)) = (years.from, years.to)
        && from > to
    {
        sink.push(&[Step::Field("made")], ProblemKind::Backwards { what: say!("the years"), from: from.to_string(), to: to.to_string() });
    }
}

fn lines(lines: &[LineId], index: &Index<'_>, sink: &mut Sink) {
    for (i, line) in lines.iter().enumerate() {
        index.refer(KeyFile::Lines, line.as_str(), &[Step::Field("lines"), Step::At(i)], sink);
        if lines.iter().take(i).any(|earlier| earlier == line) {
            sink.push(&[Step::Field("lines"), Step::At(i)], ProblemKind::Twice { what: line.to_string(), list: "lines" });
        }
    }
}

pub(super) fn claims(claims: &[Claim], index: &Index<'_>, sink: &mut Sink) {
    for (i, claim) in claims.iter().enumerate() {
        papers(&claim.papers, &[Step::Field("claims"), Step::At(i)], index, sink);
    }
}

pub(super) fn papers(papers: &[PaperId], before: &[Step], index: &Index<'_>, sink: &mut Sink) {
    for (i, paper) in papers.iter().enumerate() {
        let steps = [before, &[Step::Field("papers"), Step::At(i)]].concat();
        index.refer(KeyFile::Papers, paper.as_str(), &steps, sink);
    }
}

fn lab(lab: Lab, steps: &[Step], sink: &mut Sink) {
    bounded(say!("the lightness"), lab.l, 0.0, 100.0, say!("0 (black) to 100 (white)"), steps, sink);
    bounded(say!("the red to green coordinate"), lab.a, -160.0, 160.0, say!("-160 to 160"), steps, sink);
    bounded(say!("the yellow to blue coordinate"), lab.b, -160.0, 160.0, say!("-160 to 160"), steps, sink);
}

/// Tells of a number outside limits, or that is none.
pub(super) fn bounded(what: &'static str, x: f64, least: f64, most: f64, expected: &'static str, steps: &[Step], sink: &mut Sink) {
    if !(least..=most).contains(&x) {
        sink.push(steps, ProblemKind::OutOfBounds { what, found: x.to_string(), expected });
    }
}

/// Tells of a number that is not above zero.
pub(super) fn above_zero(what: &'static str, x: f64, steps: &[Step], sink: &mut Sink) {
    if !(x > 0.0 && x.is_finite()) {
        sink.push(steps, ProblemKind::OutOfBounds { what, found: x.to_string(), expected: say!("above 0") });
    }
}
