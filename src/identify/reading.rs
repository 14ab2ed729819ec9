//! One observation weighed against one column.
//!
//! For a form whose record has shares q over the k values of the feature, and a slip rate ε, a person reads value v with probability
//! (1−ε) q(v) + ε (1−q(v)) / (k−1). Where pieces were counted, values never seen among them keep a small share (see `Record::shares`); an answer
//! with such a value disagrees with the form all the same. 'Either' adds up. On a form to which the feature does not apply every value is a slip: ε / k.
//! What is not recorded is neutral: its likelihood is the mean over the forms with a record, weighted by their priors alone and not by
//! anything seen before, so that the order of the answers cannot matter.
//! A stranger's likelihood is half broad (any value, any number) and half the mean over the whole key.

use super::column::{Column, Kind, Measure, NOT_APPLICABLE, NOT_RECORDED, RECORDED, Values, What};
use super::measure::default_plus_minus;
use super::piece::{Observation, Seen, Sure, weighed};
use super::text::{any_of, measure, number};
use super::{Agreement, Measured};
use crate::colour::{Lab, delta_e00};
use crate::key::{ValueId, percent};
use crate::marks::{Asked, Looks};
use crate::say;

/// Density of a colour from nowhere in particular: one in so many cubic units of ΔE00. A choice of this program, no source; the colours a
/// screen can show fill some 800 000 cubic units of CIELAB, which ΔE00 makes smaller where they are strong.
pub(super) const COLOUR_BROAD: f64 = 1.0 / 100_000.0;
/// Within so many standard deviations a colour agrees: 95 in 100 of a three-dimensional normal (χ² of 3 degrees, 7.815).
const COLOUR_WITHIN: f64 = 2.796;
/// A value agrees with a measurement that is at least so many times as likely on it as on the likeliest value. A choice of this program, no source.
const WEIGHED_AGREES: f64 = 0.05;
/// An observation, weighed.
#[derive(Debug, Clone)]
pub(super) struct Reading {
    /// Likelihood of the observation on a form of each pattern.
    pub(super) likelihood: Vec<f64>,
    /// How the observation stands to each pattern.
    pub(super) agreement: Vec<Agreement>,
    /// Likelihood on a stranger.
    pub(super) stranger: f64,
    /// Mean likelihood over the forms with a record.
    pub(super) mean: f64,
}

/// Why an observation says nothing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Silent {
    /// The person could not tell.
    NotSure,
    /// It does not suit the feature: a measurement of an outline, a value the key does not have, no number.
    Unfit,
}

/// Weighs an observation.
///
/// # Errors
/// Why it says nothing of any form.
pub(super) fn read(column: &Column, observation: &Observation) -> Result<Reading, Silent> {
    let slip = match observation.sure {
        Sure::Sure => column.slip,
        Sure::Probably => (4.0 * column.slip).min(0.5),
    };
    match (&column.kind, &observation.seen) {
        (_, Seen::NotSure) => Err(Silent::NotSure),
        (Kind::Values(values), Seen::NotThere) if values.what != What::Choice => Err(Silent::NotSure),
        (Kind::Values(values), Seen::NotThere) => Ok(not_there(column, slip, values.k())),
        (Kind::Measure(_), Seen::NotThere) => Ok(not_there(column, slip, 1.0)),
        (Kind::Values(values), Seen::Values(ids)) => {
            let seen = numbers(values, ids);
            if seen.is_empty() {
                return Err(Silent::Unfit);
            }
            let mut given = vec![0.0; values.ids.len()];
            for &v in &seen {
                if let Some(g) = given.get_mut(v) {
                    *g = 1.0;
                }
            }
            let any = seen.len() as f64 / values.k();
            let agrees = |v: usize| seen.contains(&v);
            Ok(of_values(column, values, slip, &Evidence { given: &given, broad: any, outlier: 0.0 }, agrees))
        }
        (Kind::Values(values), Seen::Weighed(weights)) => {
            let mut given = vec![0.0; values.ids.len()];
            for (id, weight) in weights.iter().filter(|(_, weight)| weight.is_finite() && *weight > 0.0) {
                if let Some(g) = values.ids.iter().position(|v| v == id).and_then(|v| given.get_mut(v)) {
                    *g = *weight;
                }
            }
            let most = given.iter().copied().fold(0.0, f64::max);
            if most <= 0.0 {
                return Err(Silent::Unfit);
            }
            for g in &mut given {
                *g /= most;
            }
            let broad = given.iter().sum::<f64>() / values.k();
            let agrees = |v: usize| given.get(v).is_some_and(|g| *g >= WEIGHED_AGREES);
            Ok(of_values(column, values, slip, &Evidence { given: &given, broad, outlier: 0.0 }, agrees))
        }
        (Kind::Values(values), Seen::Colour { lab, spread }) => {
            let spread = if spread.is_finite() { spread.abs() } else { 0.0 };
            let known = values.colours.iter().any(Option::is_some);
            if !known || ![lab.l, lab.a, lab.b].into_iter().all(f64::is_finite) {
                return Err(Silent::Unfit);
            }
            let apart: Vec<Option<f64>> = values.colours.iter().map(|colour| colour.map(|c| sds_apart(*lab, spread, c))).collect();
            let given: Vec<f64> = values
                .colours
                .iter()
                .map(|colour| colour.map_or(COLOUR_BROAD, |c| colour_density(sds_apart(*lab, spread, c), c.1.hypot(spread))))
                .collect();
            let agrees = |v: usize| apart.get(v).copied().flatten().is_some_and(|sds| sds <= COLOUR_WITHIN);
            Ok(of_values(column, values, slip, &Evidence { given: &given, broad: COLOUR_BROAD, outlier: slip }, agrees))
        }
        (Kind::Values(values), Seen::Wording(typed)) => of_mark(column, values, slip, typed, &Looks::default()),
        (Kind::Values(values), Seen::Mark(mark)) => of_mark(column, values, slip, &mark.wording, &mark.looks),
        (Kind::Measure(m), Seen::Measured(measured)) if measured.value.is_finite() => Ok(of_measure(column, m, slip, *measured)),
        (Kind::Values(_), Seen::Measured(_)) | (Kind::Measure(_), _) => Err(Silent::Unfit),
    }
}

/// How likely what was said is, for each value that may have been looked at.
struct Evidence<'a> {
    given: &'a [f64],
    /// On a value that is none of the key's.
    broad: f64,
    /// Share of readings that have nothing to do with the piece.
    outlier: f64,
}

/// A mark as far as it can be seen.
fn of_mark(column: &Column, values: &Values, slip: f64, typed: &str, looks: &Looks) -> Result<Reading, Silent> {
    let asked = values.wordings.as_ref().map(|wordings| wordings.asked_of(typed, looks)).filter(Asked::says_something);
    let Some(asked) = asked else { return Err(Silent::Unfit) };
    let given: Vec<f64> = asked.ratios().iter().map(|ratio| ratio.clamp(-100.0, 100.0).exp()).collect();
    let agreeing = asked.agreeing();
    let agrees = |v: usize| agreeing.get(v).copied().unwrap_or(false);
    Ok(of_values(column, values, slip, &Evidence { given: &given, broad: 1.0, outlier: slip }, agrees))
}

fn of_values(column: &Column, values: &Values, slip: f64, evidence: &Evidence<'_>, agrees: impl Fn(usize) -> bool) -> Reading {
    let blur = |p: f64| (1.0 - evidence.outlier) * p + evidence.outlier * evidence.broad;
    let sum = |weights: &[f64]| weights.iter().zip(evidence.given).map(|(p, g)| p * g).sum::<f64>();
    let by_record = |(shares, floor): (&Vec<(usize, f64)>, &f64)| blur(sum(&values.channel(shares, *floor, slip)));
    let not_applicable = slip * evidence.given.iter().sum::<f64>() / values.k();
    let agreement = |shares: &[(usize, f64)]| {
        if shares.iter().any(|s| agrees(s.0)) { Agreement::Agrees } else { Agreement::Disagrees }
    };
    let mut likelihood = vec![not_applicable, 0.0];
    likelihood.extend(values.shares.iter().zip(&values.floors).skip(RECORDED).map(by_record));
    let mut agreements = vec![Agreement::NotApplicable, Agreement::NotRecorded];
    agreements.extend(values.shares.iter().skip(RECORDED).map(|shares| agreement(shares)));
    complete(column, likelihood, agreements, evidence.broad)
}

fn of_measure(column: &Column, m: &Measure, slip: f64, measured: Measured) -> Reading {
    let x = measured.value;
    let broad = m.broad.density(x);
    let plus_minus = if measured.plus_minus.is_finite() && measured.plus_minus > 0.0 {
        measured.plus_minus
    } else {
        default_plus_minus(x, m.give_percent)
    };
    let mut likelihood = vec![slip * broad, 0.0];
    let mut agreement = vec![Agreement::NotApplicable, Agreement::NotRecorded];
    for &range in m.ranges.iter().skip(RECORDED) {
        let spread = m.spread(range, plus_minus);
        likelihood.push((1.0 - slip) * spread.density(x) + slip * broad);
        agreement.push(if spread.excludes(x) { Agreement::Disagrees } else { Agreement::Agrees });
    }
    complete(column, likelihood, agreement, broad)
}

/// 'There is none': right on the forms that cannot have it, a slip on all others.
fn not_there(column: &Column, slip: f64, k: f64) -> Reading {
    let mut likelihood = vec![slip / k; column.patterns()];
    let mut agreement = vec![Agreement::Disagrees; column.patterns()];
    if let (Some(l), Some(a)) = (likelihood.get_mut(NOT_APPLICABLE), agreement.get_mut(NOT_APPLICABLE)) {
        *l = 1.0 - slip;
        *a = Agreement::Agrees;
    }
    let (recorded, absent) = column.prior_of_recorded_and_not_applicable();
    let all = recorded + absent;
    let share = if all > 0.0 { absent / all } else { 0.0 };
    // The broad half of a stranger may have it or not.
    Reading { likelihood, agreement, stranger: 0.5 * slip / k + 0.5 * share, mean: slip / k }
}

/// Fills in the likelihoods of the forms without a record and of a stranger.
fn complete(column: &Column, mut likelihood: Vec<f64>, agreement: Vec<Agreement>, broad: f64) -> Reading {
    let (recorded, absent) = column.prior_of_recorded_and_not_applicable();
    let sum: f64 = column.prior.iter().zip(&likelihood).skip(RECORDED).map(|(w, l)| w * l).sum();
    let mean = if recorded > 0.0 { sum / recorded } else { broad };
    if let Some(l) = likelihood.get_mut(NOT_RECORDED) {
        *l = mean;
    }
    let everywhere = if recorded + absent > 0.0 {
        (sum + absent * likelihood.get(NOT_APPLICABLE).copied().unwrap_or(0.0)) / (recorded + absent)
    } else {
        broad
    };
    Reading { likelihood, agreement, stranger: 0.5 * broad + 0.5 * everywhere, mean }
}

/// The numbers of the values named, without repeats and without those the key does not have.
fn numbers(values: &Values, ids: &[ValueId]) -> Vec<usize> {
    let mut numbers: Vec<usize> = ids.iter().filter_map(|id| values.ids.iter().position(|v| v == id)).collect();
    numbers.sort_unstable();
    numbers.dedup();
    numbers
}

pub(super) fn sds_apart(seen: Lab, spread: f64, (lab, own): (Lab, f64)) -> f64 {
    let sd = own.hypot(spread).max(0.1);
    let apart = delta_e00(seen, lab) / sd;
    if apart.is_finite() { apart } else { f64::MAX }
}

/// The three-dimensional normal density at so many standard deviations.
pub(super) fn colour_density(sds: f64, sd: f64) -> f64 {
    let sd = sd.max(0.1);
    (-0.5 * sds * sds).exp() / ((2.0 * std::f64::consts::PI).powf(1.5) * sd.powi(3))
}

/// What was seen, in words: 'round', 'probably buff or red', '92 ± 2 mm', '“OV?N PROOF”'.
pub(super) fn seen_words(column: &Column, observation: &Observation) -> String {
    let words = match (&observation.seen, &column.kind) {
        (Seen::Values(ids), Kind::Values(values)) => {
            let names: Vec<&str> = ids
                .iter()
                .map(|id| values.ids.iter().position(|v| v == id).and_then(|i| values.names.get(i)).map_or(id.as_str(), String::as_str))
                .collect();
            any_of(&names)
        }
        (Seen::Weighed(weights), kind) => {
            let name = |id: &ValueId| match kind {
                Kind::Values(values) => values.ids.iter().position(|v| v == id).and_then(|i| values.names.get(i)).cloned(),
                Kind::Measure(_) => None,
            };
            let words = |(id, share): (&ValueId, f64)| format!("{} ({})", name(id).unwrap_or_else(|| id.to_string()), percent(share));
            let named: Vec<String> = weighed(weights).into_iter().map(words).collect();
            any_of(&named.iter().map(String::as_str).collect::<Vec<_>>())
        }
        (Seen::Values(ids), Kind::Measure(_)) => any_of(&ids.iter().map(ValueId::as_str).collect::<Vec<_>>()),
        (Seen::Measured(Measured { value, plus_minus }), Kind::Measure(m)) => {
            if *plus_minus > 0.0 {
                format!("{} ± {}", number(*value), measure(*plus_minus, m.unit.sign()))
            } else {
                measure(*value, m.unit.sign())
            }
        }
        (Seen::Measured(measured), Kind::Values(_)) => number(measured.value),
        (Seen::Colour { lab, .. }, Kind::Values(values)) => {
            let nearest = values
                .colours
                .iter()
                .zip(&values.names)
                .filter_map(|(colour, name)| Some((delta_e00(*lab, (*colour)?.0), name)))
                .min_by(|a, b| a.0.total_cmp(&b.0));
            nearest.map_or_else(|| say!("a colour").to_owned(), |(_, name)| say!("a colour nearest to {name}", name))
        }
        (Seen::Colour { .. }, Kind::Measure(_)) => say!("a colour").to_owned(),
        (Seen::Wording(text), _) => format!("“{text}”"),
        (Seen::Mark(mark), _) => mark.words(),
        (Seen::NotThere, _) => column.none(),
        (Seen::NotSure, _) => say!("could not be told").to_owned(),
    };
    match observation.sure {
        Sure::Sure => words,
        Sure::Probably => say!("probably {words}", words),
    }
}
