//! `footring identify`

use super::cli::Identify;
use super::cli_dates::DatedBy;
use super::date::unread_words;
use super::open_key;
use super::outcome::{Outcome, Trouble};
use super::page::{Rows, percent, plain, say};
use crate::identify::see::{mark_typed, see};
use crate::identify::{Candidate, Index, Observation, Piece, PieceDates, Seen, Shelf, Standing, Sure, Verdict, weighed};
use crate::key::{Key, ValueId, Words, capital};
use crate::marks::dates::Said;
use serde::Serialize;
use std::io::Write;

/// Forms that fit, listed without `--all`.
const LISTED: usize = 12;

/// Forms that do not fit, listed without `--all`.
const SLIPS: usize = 3;

/// Next looks that are listed.
const LOOKS: usize = 5;

pub(super) fn run(identify: &Identify, out: &mut dyn Write, err: &mut dyn Write) -> Result<Outcome, Trouble> {
    let key = open_key::with_forms(&identify.key, err)?;
    let piece = piece_of(&key, identify)?;
    let index = Index::new(&key);
    let standing = index.standing(&piece);
    let verdict = index.verdict(&piece, &standing);
    let dates = (!piece.beside.dates.is_empty()).then(|| index.dates(&piece, None));
    if identify.json {
        super::json(&report(&key, &piece, &standing, &verdict, dates.as_ref()), out)?;
    } else {
        print_verdict(&verdict, &key, out)?;
        if let Some(dates) = &dates {
            print_dates(dates, out)?;
        }
        print_shelf(&index, &piece, &standing, &key, identify.all, out)?;
        print_looks(&standing, &key, out)?;
    }
    // What dates nothing is told, as 'footring date' tells it.
    let unread = dates.map(|dates| dates.unread).unwrap_or_default();
    for unread in &unread {
        say(err, &unread_words(unread));
    }
    Ok(if unread.is_empty() { Outcome::Well } else { Outcome::Problems })
}

/// What the command line says of the piece in hand.
fn piece_of(key: &Key, identify: &Identify) -> Result<Piece, Trouble> {
    let words = Words::new(key);
    let mut piece = Piece::default();
    for text in &identify.see {
        let observation = see(key, &words, text).map_err(|e| Trouble::Misuse(format!("--see '{text}': {e}")))?;
        if piece.seen(&observation.feature).is_some() {
            return Err(Trouble::Misuse(format!(
                "--see '{text}': that feature was given before (several values that it may be are parted by '|')"
            )));
        }
        piece.see(observation);
    }
    for text in &identify.missing {
        piece.missing.insert(words.part(text).map_err(|e| Trouble::Misuse(format!("--missing '{text}': {e}")))?);
    }
    piece.beside.dates = dated_by(&identify.dated_by)?;
    Ok(piece)
}

/// What the command line says of its dates, in the order of the window.
fn dated_by(by: &DatedBy) -> Result<Vec<Said>, Trouble> {
    let said = |option: &str, one: Said| match one.check() {
        Ok(()) => Ok(one),
        Err(why) => Err(Trouble::Misuse(format!("{option} '{}': {why}", one.text()))),
    };
    let words = by.dates_words.iter().map(|text| said("--dates-words", Said::Words(text.clone())));
    let codes = by.dates_code.iter().map(|text| said("--dates-code", Said::Code(text.clone())));
    let diamond = by.dates_diamond.iter().map(|text| said("--dates-diamond", Said::Diamond(text.clone())));
    let number = by.dates_rd.iter().map(|text| said("--dates-rd", Said::Number(text.clone())));
    let sold = by.dates_sold.iter().map(|text| said("--dates-sold", Said::Sold(text.clone())));
    words.chain(codes).chain(diamond).chain(number).chain(sold).collect()
}

/// What its dates come to, a line each.
fn print_dates(dates: &PieceDates, out: &mut dyn Write) -> Result<(), Trouble> {
    writeln!(out)?;
    for (word, dated) in dates.dating.things() {
        writeln!(out, "{}", plain(&capital(&dated.sentence(word, &dates.dating))))?;
    }
    Ok(())
}

fn print_verdict(verdict: &Verdict, key: &Key, out: &mut dyn Write) -> Result<(), Trouble> {
    // Often the sentence begins with the title.
    if !verdict.sentence.starts_with(&verdict.title) {
        writeln!(out, "{}", plain(&verdict.title))?;
    }
    if !verdict.sentence.is_empty() {
        writeln!(out, "{}", plain(&verdict.sentence))?;
    }
    if !verdict.rests_on.is_empty() {
        writeln!(out, "\nIt rests on {}", plain(&verdict.rests_on.join("; ")))?;
    }
    if !verdict.not_ruled_out.is_empty() {
        let mut rows = Rows::default();
        for (form, why) in &verdict.not_ruled_out {
            rows.add([key.form(form).map_or_else(|| form.to_string(), |f| key.full_name(f)), why.clone()]);
        }
        writeln!(out, "\nNot ruled out")?;
        rows.write(out, "  ")?;
    }
    if let Some(words) = &verdict.on_trust {
        writeln!(out, "{}", plain(words))?;
    }
    for caution in &verdict.cautions {
        writeln!(out, "\nCaution: {}", plain(caution))?;
    }
    Ok(())
}

fn print_shelf(index: &Index, piece: &Piece, standing: &Standing, key: &Key, all: bool, out: &mut dyn Write) -> Result<(), Trouble> {
    let fit = match standing.fits {
        0 => "nothing fits".to_owned(),
        1 => "1 form fits".to_owned(),
        n => format!("{n} forms fit"),
    };
    writeln!(
        out,
        "\nOn the shelf: {fit}, {} with one slip, {} set aside; not in this key: {}",
        standing.one_slip,
        standing.set_aside,
        percent(standing.not_in_key).trim_start()
    )?;
    let mut rows = Rows::default();
    let (fitting, others): (Vec<&Candidate>, Vec<&Candidate>) = standing.candidates.iter().partition(|c| c.place == Shelf::Fits);
    let (most_fitting, most_others) = if all { (usize::MAX, usize::MAX) } else { (LISTED, SLIPS) };
    for candidate in fitting.iter().take(most_fitting).chain(others.iter().take(most_others)) {
        let why = match &candidate.place {
            Shelf::Fits => String::new(),
            Shelf::OneSlip(feature) if !all => format!("but for the {}", key.feature_name(feature)),
            Shelf::OneSlip(_) | Shelf::SetAside => disagreeing(index, piece, candidate).join("; "),
        };
        rows.add([percent(candidate.probability), candidate.full_name(), why]);
    }
    rows.write(out, "")?;
    let left = fitting.len().saturating_sub(most_fitting) + others.len().saturating_sub(most_others);
    if left > 0 {
        writeln!(out, "         and {left} more (--all lists every form, with what speaks against it)")?;
    }
    Ok(())
}

/// Why a candidate disagrees, in words.
fn disagreeing(index: &Index, piece: &Piece, candidate: &Candidate) -> Vec<String> {
    index
        .why(piece, &candidate.form)
        .into_iter()
        .filter(|reason| reason.feature.as_ref().is_some_and(|feature| candidate.disagreements.contains(feature)))
        .map(|reason| reason.says)
        .collect()
}

fn print_looks(standing: &Standing, key: &Key, out: &mut dyn Write) -> Result<(), Trouble> {
    if !standing.next_looks.is_empty() {
        writeln!(out, "\nWorth looking at next")?;
        let mut rows = Rows::default();
        for look in standing.next_looks.iter().take(LOOKS) {
            rows.add([format!("{:>5.2} bits", look.bits), key.feature_name(&look.feature), look.says.clone()]);
        }
        rows.write(out, "  ")?;
    }
    Ok(())
}

/// What was seen, as `--see` reads it after the '='.
fn value_of(key: &Key, observation: &Observation) -> String {
    let names = key.feature(&observation.feature).map(|feature| key.values_of(feature)).unwrap_or_default();
    let name = |id: &ValueId| names.iter().find(|(known, _)| known == id).map_or_else(|| id.to_string(), |(_, name)| name.clone());
    let value = match &observation.seen {
        Seen::Values(values) => values.iter().map(name).collect::<Vec<_>>().join("|"),
        Seen::Weighed(weights) => weighed(weights).into_iter().map(|(id, _)| name(id)).collect::<Vec<_>>().join("|"),
        Seen::Measured(measured) => format!("{}±{}", measured.value, measured.plus_minus),
        Seen::Colour { lab, .. } => format!("lab({}, {}, {})", lab.l, lab.a, lab.b),
        Seen::Wording(text) => text.clone(),
        Seen::Mark(mark) => mark_typed(mark),
        Seen::NotThere => "none".to_owned(),
        Seen::NotSure => "?".to_owned(),
    };
    if observation.sure == Sure::Probably { format!("{value}~") } else { value }
}

/// What `--json` prints.
#[derive(Serialize)]
struct Report {
    key: String,
    observations: Vec<Answer>,
    candidates: Vec<Named>,
    fits: usize,
    not_in_key: f64,
    next_looks: Vec<Look>,
    verdict: String,
    /// What its dates come to, where any were given.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    dates: Vec<String>,
}

#[derive(Serialize)]
struct Answer {
    feature: String,
    value: String,
}

#[derive(Serialize)]
struct Named {
    form: String,
    line: String,
    probability: f64,
    disagreements: Vec<String>,
}

#[derive(Serialize)]
struct Look {
    feature: String,
    bits: f64,
}

fn report(key: &Key, piece: &Piece, standing: &Standing, verdict: &Verdict, dates: Option<&PieceDates>) -> Report {
    let dates = dates.map(|dates| dates.dating.things().into_iter().map(|(word, dated)| dated.sentence(word, &dates.dating)).collect());
    Report {
        key: key.about.title.clone(),
        observations: piece
            .observations
            .iter()
            .map(|seen| Answer { feature: key.feature_name(&seen.feature), value: value_of(key, seen) })
            .collect(),
        candidates: standing
            .candidates
            .iter()
            .map(|candidate| Named {
                form: candidate.name.clone(),
                line: candidate.line.clone(),
                probability: candidate.probability,
                disagreements: candidate.disagreements.iter().map(|feature| key.feature_name(feature)).collect(),
            })
            .collect(),
        fits: standing.fits,
        not_in_key: standing.not_in_key,
        next_looks: standing.next_looks.iter().map(|look| Look { feature: key.feature_name(&look.feature), bits: look.bits }).collect(),
        verdict: verdict.sentence.clone(),
        dates: dates.unwrap_or_default(),
    }
}
