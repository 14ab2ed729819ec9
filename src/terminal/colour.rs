//! `footring colour`

use super::cli::Colour;
use super::open_key;
use super::outcome::{Outcome, Trouble};
use super::page::{Rows, count, percent, plain, say};
use crate::identify::colours::{self, Twins};
use crate::key::{FeatureKind, Words};
use crate::photo::sampling::{Area, ColourRead, SamplingError, White, WhiteIs, sample};
use crate::photo::{self, Limits, Progress, Source};
use serde::Serialize;
use std::io::Write;

/// Glazes that are written out.
const WRITTEN_OUT: usize = 6;

#[derive(Serialize)]
struct Report {
    lab: [f64; 3],
    spread: f64,
    within_95: f64,
    left_out: f64,
    speckled: bool,
    munsell: Option<String>,
    name: Option<&'static str>,
    name_number: Option<u16>,
    glazes: Vec<Row>,
    none_of_these: f64,
    twins: Vec<TwinRow>,
    notes: Vec<String>,
}

#[derive(Serialize)]
struct Row {
    glaze: String,
    name: String,
    delta_e: f64,
    probability: f64,
}

#[derive(Serialize)]
struct TwinRow {
    glazes: [String; 2],
    delta_e: f64,
    told_by: Vec<String>,
}

pub(super) fn run(asked: &Colour, out: &mut dyn Write, err: &mut dyn Write) -> Result<Outcome, Trouble> {
    let loaded = open_key::load(&asked.key)?;
    let key = loaded.key;
    if !loaded.problems.is_empty() {
        let problems = count(loaded.problems.len(), "problem", "problems");
        say(err, &format!("{problems} in this key ('footring check {}' lists them)", asked.key));
    }
    let feature = match &asked.feature {
        Some(name) => {
            let id = Words::new(&key).feature(name).map_err(|e| Trouble::Misuse(format!("--feature '{name}': {e}")))?;
            key.feature(&id)
        }
        None => key.features.iter().find(|f| matches!(f.kind, FeatureKind::Glaze)),
    };
    let known = feature.map_or_else(|| colours::glazes(&key), |feature| colours::values(&key, feature));
    if known.is_empty() {
        return Err(match &asked.feature {
            Some(name) => {
                Trouble::Misuse(format!("'{name}' has no colours in this key (name a feature of glazes, or one whose values have a lab)"))
            }
            None => Trouble::Problem(format!("there is no glaze in '{}'", asked.key)),
        });
    }
    if asked.reflects.is_some_and(|share| share <= 0.0) {
        return Err(Trouble::Misuse("a white that reflects nothing is none (write --reflects 0.18 for a grey card)".to_owned()));
    }

    let source = Source::Path(asked.photo.clone());
    let photo = photo::open(source, &Limits::USUAL, &Progress::new()).map_err(|e| Trouble::Problem(e.to_string()))?;
    let area = |[left, top, width, height]: [u32; 4]| Area::Rect { left, top, width, height };
    let white =
        White::of(photo.pixels(), &area(asked.white), asked.reflects.unwrap_or(White::USUAL_REFLECTANCE)).map_err(|e| trouble(&e))?;
    let sampled = sample(photo.pixels(), &area(asked.at), &white).map_err(|e| trouble(&e))?;
    let white = if asked.paper { WhiteIs::Paper } else { WhiteIs::Known };
    let ColourRead { sampled, spread, ranking, twins, munsell, name, mut notes } = ColourRead::among(&key, &known, sampled, white);
    let behind = notes.split_off(1.min(notes.len()));
    notes.extend(photo.notes().iter().cloned().chain(behind));

    let report = Report {
        lab: <(f64, f64, f64)>::from(sampled.lab).into(),
        spread,
        within_95: sampled.within_95,
        left_out: sampled.left_out,
        speckled: sampled.speckled,
        munsell: munsell.map(|m| m.to_string()),
        name: name.map(|n| n.name),
        name_number: name.map(|n| n.number),
        glazes: ranking
            .likely
            .iter()
            .map(|l| Row { glaze: l.known.id.clone(), name: l.known.name.clone(), delta_e: l.delta_e, probability: l.probability })
            .collect(),
        none_of_these: ranking.none,
        twins: twins.into_iter().map(|Twins { one, other, delta_e, told_by }| TwinRow { glazes: [one, other], delta_e, told_by }).collect(),
        notes,
    };
    if asked.json {
        return super::json(&report, out);
    }
    print(&report, out)?;
    Ok(Outcome::Well)
}

/// An area outside of the picture is a slip of the command line; all else is the picture's.
fn trouble(error: &SamplingError) -> Trouble {
    match error {
        SamplingError::Outside { .. } => Trouble::Misuse(error.to_string()),
        _ => Trouble::Problem(error.to_string()),
    }
}

fn print(report: &Report, out: &mut dyn Write) -> Result<(), Trouble> {
    let [l, a, b] = report.lab;
    writeln!(out, "Lab {l:.1}, {a:.1}, {b:.1}, give or take ΔE00 {:.1}", 2.0 * report.spread)?;
    if let (Some(name), Some(munsell)) = (report.name, &report.munsell) {
        writeln!(out, "In words: {name} (ISCC–NBS), Munsell {munsell}")?;
    }
    writeln!(out)?;
    let mut rows = Rows::default();
    for row in report.glazes.iter().take(WRITTEN_OUT) {
        rows.add([percent(row.probability), row.name.clone(), format!("ΔE00 {:.1}", row.delta_e)]);
    }
    rows.add([percent(report.none_of_these), "none of these".to_owned(), String::new()]);
    rows.write(out, "")?;
    for twin in &report.twins {
        let [one, other] = &twin.glazes;
        writeln!(out, "\n{}", plain(&format!("Twins: {one} and {other}, ΔE00 {:.1} apart; this colour can't part them", twin.delta_e)))?;
        for told in &twin.told_by {
            writeln!(out, "  {}", plain(told))?;
        }
    }
    writeln!(out)?;
    for note in &report.notes {
        writeln!(out, "Note: {}", plain(note))?;
    }
    Ok(())
}
