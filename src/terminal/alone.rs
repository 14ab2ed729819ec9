//! `footring tell --alone` and `footring tell --line`

use super::cli::Tell;
use super::outcome::{Outcome, Trouble};
use super::page::{Rows, count, plain};
use crate::identify::Index;
use crate::identify::cover::{Among, Ask, Cover, Goal, Proof};
use crate::key::{FeatureId, Form, FormId, Key, Line, Part, Words};
use serde::Serialize;
use std::collections::BTreeSet;
use std::io::Write;
use std::ops::ControlFlow;

/// Pairs that nothing tells apart which are written out without `--all`.
const WRITTEN_OUT: usize = 10;

/// Answers for one form, for a few of them, or for a line.
pub(super) fn run(key: &Key, tell: &Tell, forms: &[&Form], missing: BTreeSet<Part>, out: &mut dyn Write) -> Result<Outcome, Trouble> {
    let index = Index::new(key);
    let line = tell.line.as_deref().map(|text| line_of(key, text)).transpose()?;
    let (who, among) = if let Some(line) = line {
        let of_line: Vec<FormId> = key.forms.iter().filter(|form| form.is_sold_in(&line.id)).map(|form| form.id.clone()).collect();
        (format!("Each form of {} from each other ({})", line.name, count(of_line.len(), "form", "forms")), Among::EachOther(of_line))
    } else {
        let names: Vec<String> = forms.iter().map(|form| key.full_name(form)).collect();
        let rest = count(index.len().saturating_sub(forms.len()), "other form", "other forms");
        (format!("{} from {rest}", names.join(" or ")), Among::FromOthers(forms.iter().map(|form| form.id.clone()).collect()))
    };
    let ask = Ask { goal: goal(tell), missing, ..Ask::new(among) };
    let cover = index.cover(&ask, |_| ControlFlow::Continue(())).map_err(|e| Trouble::Problem(e.to_string()))?;
    if tell.json {
        return super::json(&report(key, &who, &cover), out);
    }
    print_text(key, &index, tell, &who, forms, &cover, out)?;
    Ok(Outcome::Well)
}

fn goal(tell: &Tell) -> Goal {
    if tell.least_effort { Goal::LeastEffort } else { Goal::Fewest }
}

/// The line of that name or id.
fn line_of<'k>(key: &'k Key, text: &str) -> Result<&'k Line, Trouble> {
    let id = Words::new(key).line(text).map_err(|e| Trouble::Misuse(e.to_string()))?;
    key.line(&id).ok_or_else(|| Trouble::Misuse(format!("there is no line '{text}' in this key")))
}

fn print_text(
    key: &Key,
    index: &Index,
    tell: &Tell,
    who: &str,
    forms: &[&Form],
    cover: &Cover,
    out: &mut dyn Write,
) -> Result<(), Trouble> {
    writeln!(out, "{}", plain(who))?;
    if cover.features.is_empty() {
        let why = if cover.pairs == 0 { "There is nothing to tell apart" } else { "Nothing that is recorded tells any of them apart" };
        writeln!(out, "{why}")?;
    } else {
        let names: Vec<&str> = cover.features.iter().map(|used| used.name.as_str()).collect();
        writeln!(out, "By these alone: {}\n", plain(&names.join(", ")))?;
        let mut rows = Rows::default();
        for used in &cover.features {
            let has = match forms {
                [one] => index.recorded(&one.id, &used.feature).unwrap_or_default(),
                _ => String::new(),
            };
            let alone = if used.alone > 0 { format!("{} by nothing else", used.alone) } else { String::new() };
            rows.add([used.name.clone(), has, format!("tells {} apart", count(used.pairs, "more pair", "more pairs")), alone]);
        }
        rows.write(out, "  ")?;
        writeln!(out, "\n{}", cover.sentence(goal(tell)))?;
    }
    if cover.untold_pairs > 0 {
        writeln!(out, "\nNothing tells apart, whatever is looked at ({})", count(cover.untold_pairs, "pair", "pairs"))?;
        let most = if tell.all { usize::MAX } else { WRITTEN_OUT };
        for pair in cover.untold.iter().take(most) {
            let name = |id: &FormId| key.form_name(id);
            let record = match pair.to_record.as_slice() {
                [] => "nothing is left to record; add a feature in which they differ".to_owned(),
                open => format!("record {}", shown(key, open).join(" or ")),
            };
            writeln!(out, "  {}", plain(&format!("{} and {}: {record}", name(&pair.form), name(&pair.other))))?;
        }
        let written = cover.untold.len().min(most);
        if written < cover.untold_pairs {
            let how = if tell.all { "" } else { " (--all writes them out)" };
            writeln!(out, "  … and {} more{how}", cover.untold_pairs - written)?;
        }
    }
    Ok(())
}

pub(super) fn shown(key: &Key, features: &[FeatureId]) -> Vec<String> {
    features.iter().map(|id| key.feature_name(id)).collect()
}

/// What `--json` prints.
#[derive(Serialize)]
struct Report<'a> {
    key: &'a str,
    asked: &'a str,
    features: Vec<UsedLine<'a>>,
    effort: f64,
    /// No set is less than this: the number of features, or the effort. Null where the answer is proven to be the least.
    at_least: Option<f64>,
    pairs: usize,
    untold_pairs: usize,
    untold: Vec<UntoldLine>,
}

#[derive(Serialize)]
struct UsedLine<'a> {
    feature: &'a str,
    effort: f64,
    /// Pairs it tells apart that those before it do not.
    pairs: usize,
    /// Pairs that nothing else tells apart.
    alone: usize,
}

#[derive(Serialize)]
struct UntoldLine {
    form: String,
    other: String,
    to_record: Vec<String>,
}

fn report<'a>(key: &'a Key, who: &'a str, cover: &'a Cover) -> Report<'a> {
    Report {
        key: &key.about.title,
        asked: who,
        features: cover
            .features
            .iter()
            .map(|used| UsedLine { feature: &used.name, effort: used.effort, pairs: used.pairs, alone: used.alone })
            .collect(),
        effort: cover.effort,
        at_least: match cover.proof {
            Proof::Exact => None,
            Proof::AtLeast(bound) => Some(bound),
        },
        pairs: cover.pairs,
        untold_pairs: cover.untold_pairs,
        untold: cover
            .untold
            .iter()
            .map(|pair| UntoldLine { form: pair.form.to_string(), other: pair.other.to_string(), to_record: shown(key, &pair.to_record) })
            .collect(),
    }
}
