//! Which of the key's glazes or clays a colour may be.
//!
//! Each is weighed as [`Seen::Colour`](super::Seen::Colour) weighs it: a normal in ΔE00 of the colour's spread and its own, blurred by the slip rate; 'none
//! of these' by the density of a colour from nowhere in particular. Before anything is seen all are alike.

use super::Settings;
use super::index::VALUE_SPREAD;
use super::reading::{COLOUR_BROAD, colour_density, sds_apart};
use crate::colour::{Lab, delta_e00};
use crate::key::{Feature, FeatureKind, Finish, Key, Years};
use crate::say;

/// A colour that the key knows.
#[derive(Debug, Clone, PartialEq)]
pub struct Known {
    /// Id of the glaze or value.
    pub id: String,
    /// Its name.
    pub name: String,
    /// Its colour.
    pub lab: Lab,
    /// How far sound pieces stray from it, ΔE00, one standard deviation.
    pub spread: f64,
}

/// One of them, weighed.
#[derive(Debug, Clone, PartialEq)]
pub struct Likely {
    /// The glaze or clay.
    pub known: Known,
    /// Its distance from the colour seen.
    pub delta_e: f64,
    /// Its probability.
    pub probability: f64,
}

/// Two that a colour of this spread cannot part.
#[derive(Debug, Clone, PartialEq)]
pub struct Twins {
    /// Name of the likelier.
    pub one: String,
    /// Name of the other.
    pub other: String,
    /// Their distance from each other.
    pub delta_e: f64,
    /// What else tells them apart, each a sentence; empty where the key says nothing.
    pub told_by: Vec<String>,
}

/// All of them, weighed.
#[derive(Debug, Clone, PartialEq)]
pub struct Ranking {
    /// The most probable first; ties by id.
    pub likely: Vec<Likely>,
    /// Probability that it is none of them. All probabilities add up to 1.
    pub none: f64,
}

/// The colours of the key's glazes.
pub fn glazes(key: &Key) -> Vec<Known> {
    let known =
        |glaze: &crate::key::Glaze| Known { id: glaze.id.to_string(), name: glaze.name.clone(), lab: glaze.lab, spread: glaze.spread };
    key.glazes.iter().map(known).collect()
}

/// The colours of a feature's values, those that have one (a clay); the glazes for a feature of glazes.
pub fn values(key: &Key, feature: &Feature) -> Vec<Known> {
    match &feature.kind {
        FeatureKind::Glaze => glazes(key),
        FeatureKind::Choice(values) => values
            .iter()
            .filter_map(|v| Some(Known { id: v.id.to_string(), name: v.shown_name(), lab: v.lab?, spread: VALUE_SPREAD }))
            .collect(),
        FeatureKind::Measure(_) | FeatureKind::Decoration | FeatureKind::Mark => Vec::new(),
    }
}

/// Weighs a colour of a spread (ΔE00, one standard deviation) against what the key knows. `slip` is the feature's slip rate.
pub fn rank(known: &[Known], slip: f64, lab: Lab, spread: f64) -> Ranking {
    let spread = if spread.is_finite() { spread.abs() } else { 0.0 };
    let slip = slip.clamp(0.0, 0.5);
    let not_in_key = Settings::default().not_in_key;
    let none = if known.is_empty() { 1.0 } else { not_in_key * COLOUR_BROAD };
    let prior = (1.0 - not_in_key) / known.len().max(1) as f64;
    let mut likely: Vec<Likely> = known
        .iter()
        .map(|k| {
            let density = colour_density(sds_apart(lab, spread, (k.lab, k.spread)), k.spread.hypot(spread));
            let probability = prior * ((1.0 - slip) * density + slip * COLOUR_BROAD);
            Likely { known: k.clone(), delta_e: delta_e00(lab, k.lab), probability }
        })
        .collect();
    let all = none + likely.iter().map(|l| l.probability).sum::<f64>();
    for l in &mut likely {
        l.probability /= all;
    }
    likely.sort_by(|a, b| b.probability.total_cmp(&a.probability).then_with(|| a.known.id.cmp(&b.known.id)));
    Ranking { likely, none: none / all }
}

/// Twins of the likeliest: those at least a tenth as probable and no further from it than two standard deviations of the colour and of both.
pub fn twins(key: &Key, ranking: &Ranking, spread: f64) -> Vec<Twins> {
    let Some((first, rest)) = ranking.likely.split_first() else { return Vec::new() };
    rest.iter()
        .filter_map(|other| {
            let delta_e = delta_e00(first.known.lab, other.known.lab);
            let within = 2.0 * spread.hypot(first.known.spread).hypot(other.known.spread);
            (delta_e <= within && other.probability >= 0.1 * first.probability).then(|| Twins {
                one: first.known.name.clone(),
                other: other.known.name.clone(),
                delta_e,
                told_by: told_by(key, &first.known.id, &other.known.id),
            })
        })
        .collect()
}

/// What the key records of two glazes that is not alike. Empty for values that are no glazes.
fn told_by(key: &Key, one: &str, other: &str) -> Vec<String> {
    let glaze = |id: &str| key.glazes.iter().find(|g| g.id.as_str() == id);
    let (Some(a), Some(b)) = (glaze(one), glaze(other)) else { return Vec::new() };
    let mut said = Vec::new();
    if a.made != b.made {
        said.push(say!("years: {a} {of_a}, {b} {of_b}", a = a.name, of_a = years(a.made), b = b.name, of_b = years(b.made)));
    }
    if a.finish != b.finish {
        said.push(say!("surface: {a} {of_a}, {b} {of_b}", a = a.name, of_a = finish(a.finish), b = b.name, of_b = finish(b.finish)));
    }
    if a.lines != b.lines {
        let lines = |g: &crate::key::Glaze| {
            let names: Vec<&str> = g.lines.iter().map(|id| key.line(id).map_or(id.as_str(), |line| line.name.as_str())).collect();
            if names.is_empty() { say!("not recorded").to_owned() } else { names.join(", ") }
        };
        said.push(say!("lines: {a} {of_a}, {b} {of_b}", a = a.name, of_a = lines(a), b = b.name, of_b = lines(b)));
    }
    for g in [a, b] {
        said.extend(g.claims.iter().map(|claim| format!("{}: {} ({})", g.name, claim.says, claim.how.words())));
        if !g.note.is_empty() {
            said.push(format!("{}: {}", g.name, g.note));
        }
    }
    said
}

fn finish(finish: Finish) -> &'static str {
    match finish {
        Finish::Gloss => say!("gloss"),
        Finish::Satin => say!("satin"),
        Finish::Matt => say!("matt"),
    }
}

fn years(years: Years) -> String {
    match (years.from, years.to) {
        (Some(from), Some(to)) => say!("{from} to {to}", from, to),
        (Some(from), None) => say!("from {from}", from),
        (None, Some(to)) => say!("to {to}", to),
        (None, None) => say!("not recorded").to_owned(),
    }
}
