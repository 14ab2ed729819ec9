//! `footring sequence`

use super::cli::Sequence as Asked;
use super::open_key;
use super::outcome::{Outcome, Trouble};
use super::page::{Rows, count, plain};
use crate::identify::Index;
use crate::identify::cover::Goal;
use crate::identify::sequence::{Method, Sequence, SequenceAsk, To};
use crate::key::{FormId, Key, Part, Words};
use serde::Serialize;
use std::collections::BTreeSet;
use std::io::Write;

pub(super) fn run(asked: &Asked, out: &mut dyn Write, err: &mut dyn Write) -> Result<Outcome, Trouble> {
    let key = open_key::with_forms(&asked.key, err)?;
    let words = Words::new(&key);
    let missing: BTreeSet<Part> = asked
        .missing
        .iter()
        .map(|text| words.part(text).map_err(|e| Trouble::Misuse(format!("--missing '{text}': {e}"))))
        .collect::<Result<_, _>>()?;
    let ask = SequenceAsk {
        method: if asked.exact { Method::Exact } else { Method::Greedy },
        goal: if asked.least_effort { Goal::LeastEffort } else { Goal::Fewest },
        missing,
        finds: Vec::new(),
    };
    let sequence = Index::new(&key).sequence(&ask).map_err(|e| Trouble::Problem(e.to_string()))?;
    if asked.json {
        return super::json(&report(&key, asked, &sequence), out);
    }
    print_text(&key, asked, &sequence, out)?;
    Ok(Outcome::Well)
}

fn print_text(key: &Key, asked: &Asked, sequence: &Sequence, out: &mut dyn Write) -> Result<(), Trouble> {
    let what = if asked.least_effort { "effort" } else { "looks" };
    writeln!(
        out,
        "{}: {} in {}",
        plain(&key.about.title),
        count(key.forms.len(), "form", "forms"),
        count(sequence.steps.len(), "step", "steps")
    )?;
    writeln!(
        out,
        "On average {:.2} {what}, at most {}; no sequence has less than {:.2} ({:.2} bits to be told)",
        sequence.expected,
        count(sequence.longest, "look", "looks"),
        sequence.bound,
        sequence.entropy_bits
    )?;
    if let To::Forms(forms) = &sequence.start {
        writeln!(out, "\nNo look parts {}", plain(&names(key, forms)))?;
    }
    for step in &sequence.steps {
        writeln!(out, "\n{}. {}", step.number, plain(&step.name))?;
        let mut rows = Rows::default();
        for choice in &step.choices {
            let to = match &choice.to {
                To::Step(number) => format!("step {number}"),
                To::Forms(forms) => names(key, forms),
            };
            rows.add([plain(&choice.label), plain(&to)]);
        }
        rows.write(out, "   ")?;
    }
    if !sequence.cut_short.is_empty() {
        let forms = count(sequence.cut_short.len(), "form", "forms");
        writeln!(out, "\nThe sequence would be too long; some paths end early, with {forms} not told apart to the end")?;
    }
    Ok(())
}

/// 'covered sugar, Quoin', or several of them joined by 'or'.
fn names(key: &Key, forms: &[FormId]) -> String {
    let names: Vec<String> = forms.iter().map(|id| key.form_name(id)).collect();
    names.join(" or ")
}

/// What `--json` prints.
#[derive(Serialize)]
struct Report<'a> {
    key: &'a str,
    exact: bool,
    least: &'static str,
    expected: f64,
    bound: f64,
    entropy_bits: f64,
    longest: usize,
    start: Led<'a>,
    steps: Vec<Told<'a>>,
    cut_short: Vec<&'a str>,
}

#[derive(Serialize)]
struct Told<'a> {
    number: usize,
    feature: &'a str,
    name: &'a str,
    choices: Vec<Way<'a>>,
}

#[derive(Serialize)]
struct Way<'a> {
    label: &'a str,
    to: Led<'a>,
}

/// `{"step": 4}` or `{"forms": ["quoin-covered-sugar"]}`.
#[derive(Serialize)]
#[serde(rename_all = "lowercase")]
enum Led<'a> {
    Step(usize),
    Forms(Vec<&'a str>),
}

impl<'a> From<&'a To> for Led<'a> {
    fn from(to: &'a To) -> Self {
        match to {
            To::Step(number) => Self::Step(*number),
            To::Forms(forms) => Self::Forms(forms.iter().map(FormId::as_str).collect()),
        }
    }
}

fn report<'a>(key: &'a Key, asked: &Asked, sequence: &'a Sequence) -> Report<'a> {
    Report {
        key: &key.about.title,
        exact: asked.exact,
        least: if asked.least_effort { "effort" } else { "looks" },
        expected: sequence.expected,
        bound: sequence.bound,
        entropy_bits: sequence.entropy_bits,
        longest: sequence.longest,
        start: Led::from(&sequence.start),
        steps: sequence
            .steps
            .iter()
            .map(|step| Told {
                number: step.number,
                feature: step.feature.as_str(),
                name: &step.name,
                choices: step.choices.iter().map(|choice| Way { label: &choice.label, to: Led::from(&choice.to) }).collect(),
            })
            .collect(),
        cut_short: sequence.cut_short.iter().map(FormId::as_str).collect(),
    }
}
