//! `footring mark`

use super::cli::Mark as Asked;
use super::open_key;
use super::outcome::{Outcome, Trouble};
use super::page::{percent, plain};
use crate::key::{Key, Layout, Mark, Used, Years};
use crate::marks::{Confusions, Found, Looks, Match, Wordings, wording_match};
use serde::Serialize;
use std::io::Write;

/// Marks that are listed at most.
const LISTED: usize = 10;
/// A mark less probable than this is not listed.
const LEAST: f64 = 0.001;
pub(super) fn run(asked: &Asked, out: &mut dyn Write, err: &mut dyn Write) -> Result<Outcome, Trouble> {
    let key = open_key::saying(&asked.key, err)?;
    if key.marks.is_empty() {
        return Err(Trouble::Problem(format!("there is no mark in '{}' that can be used", asked.key)));
    }
    let own_table = asked.confusions.as_deref().map(|file| {
        let name = file.display().to_string();
        let text = std::fs::read_to_string(file).map_err(|e| Trouble::Misuse(format!("'{name}' can't be read: {e}")))?;
        Confusions::parse(&name, &text).map_err(|e| Trouble::Misuse(e.to_string().replace('\n', ": ")))
    });
    let own_table = own_table.transpose()?;
    if let Some(colour) = &asked.colour {
        known_ink(&key, colour)?;
    }
    let layout = asked.layout.as_ref().and_then(|word| Layout::ALL.into_iter().find(|layout| layout.word() == word));
    let looks = Looks { layout, ink: asked.colour.clone() };
    let found = Wordings::new(&key.marks)
        .find_by(&asked.wording, usize::MAX, &looks, own_table.as_ref().unwrap_or(Confusions::standard()))
        .map_err(|e| Trouble::Misuse(e.to_string()))?;
    let stranger = (1.0 - found.iter().map(|f| f.probability).sum::<f64>()).clamp(0.0, 1.0);
    let listed: Vec<(&Mark, Match, &Found)> = found
        .iter()
        .take(LISTED)
        .filter(|f| f.probability >= LEAST)
        .filter_map(|f| key.marks.get(f.number).map(|mark| (mark, wording_match(&asked.wording, mark), f)))
        .collect();
    if asked.json {
        let marks = listed
            .iter()
            .map(|(mark, read, f)| Line {
                mark: mark.id.as_str(),
                name: &mark.name,
                score: read.score,
                probability: f.probability,
                years: mark.made,
                how: mark.how.words(),
                never_used: mark.used == Used::NeverUsed,
            })
            .collect();
        return super::json(&Report { marks, not_in_key: stranger }, out);
    }
    if listed.is_empty() {
        writeln!(out, "{}", plain(&format!("No mark of this key goes with '{}'", asked.wording)))?;
    }
    for (mark, read, f) in &listed {
        let mut notes = vec![mark.made.words()];
        if mark.used == Used::NeverUsed {
            notes.push("never used, as far as is known".to_owned());
        }
        if !looks.layout_fits(mark) {
            notes.push(format!("its layout is {}", mark.layout.words()));
        }
        if !looks.ink_fits(mark) {
            notes.push(mark.ink.as_ref().map_or_else(|| "it has no ink".to_owned(), |ink| format!("its ink is {}", ink.name)));
        }
        notes.retain(|note| !note.is_empty());
        let notes = if notes.is_empty() { String::new() } else { format!(" ({})", notes.join("; ")) };
        writeln!(out, "{}  {}{}", percent(f.probability), plain(&mark.name), plain(&notes))?;
        for (line, letters) in under(mark, read, &asked.wording) {
            writeln!(out, "         {}\n         {}", plain(&line), plain(&letters))?;
        }
    }
    writeln!(out, "{}  not in this key", percent(stranger))?;
    Ok(Outcome::Well)
}

/// Each line of the wording in which something was read, and the typed letters under those they were matched with.
fn under(mark: &Mark, read: &Match, typed: &str) -> Vec<(String, String)> {
    let typed: Vec<char> = typed.chars().collect();
    let mut lines = Vec::new();
    for (number, line) in mark.wording.iter().enumerate() {
        let mut letters: Vec<char> = line.text.chars().map(|c| if c.is_whitespace() { ' ' } else { '·' }).collect();
        let mut any = false;
        for span in read.spans.iter().filter(|span| span.line == number) {
            // Blanks stand on either side as it happens; letters go under letters.
            let mut of_span = typed.iter().skip(span.typed.start).take(span.typed.len()).filter(|c| c.is_alphanumeric() || **c == '?');
            for at in span.printed.clone() {
                if let Some(place) = letters.get_mut(at)
                    && *place != ' '
                    && let Some(c) = of_span.next()
                {
                    *place = *c;
                    any = true;
                }
            }
        }
        if any {
            lines.push((line.text.clone(), letters.into_iter().collect()));
        }
    }
    lines
}

/// Says so where no mark of the key has that ink.
fn known_ink(key: &Key, colour: &str) -> Result<(), Trouble> {
    let looks = Looks { layout: None, ink: Some(colour.to_owned()) };
    if !colour.trim().is_empty() && key.marks.iter().any(|mark| looks.ink_fits(mark)) {
        return Ok(());
    }
    let mut inks: Vec<&str> = key.marks.iter().filter_map(|mark| mark.ink.as_ref()).map(|ink| ink.name.as_str()).collect();
    inks.sort_unstable();
    inks.dedup();
    Err(Trouble::Misuse(format!("no mark of this key has an ink called '{colour}' (it has {})", inks.join(", "))))
}

/// What `--json` prints.
#[derive(Serialize)]
struct Report<'a> {
    marks: Vec<Line<'a>>,
    /// Probability that it is a mark the key has not.
    not_in_key: f64,
}

#[derive(Serialize)]
struct Line<'a> {
    mark: &'a str,
    name: &'a str,
    score: f64,
    probability: f64,
    years: Years,
    how: &'static str,
    never_used: bool,
}
