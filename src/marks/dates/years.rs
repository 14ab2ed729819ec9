//! Evidence as a probability over years.

use super::combine::{Dating, constrains};
use super::evidence::{Evidence, Firmness, Thing, Weighs};
use super::span::{Span, Spans};
use std::ops::RangeInclusive;

/// How probable a year outside is beside one inside, far away and in the first year, and over how many years that fades.
/// Choices of this program, no source: a law is broken by a fake or a slip of reading, a custom by many.
const fn edge(evidence: &Evidence) -> (f64, f64) {
    match (evidence.weighs, evidence.firmness) {
        (Weighs::Bounds, Firmness::Law) => (0.002, 0.3),
        (Weighs::Bounds, Firmness::Paper) => (0.01, 1.0),
        (Weighs::Bounds, Firmness::Custom) => (0.05, 3.0),
        (Weighs::Usual, Firmness::Law | Firmness::Paper | Firmness::Custom) => (0.25, 5.0),
        (_, Firmness::Weak) => (0.4, 8.0),
    }
}

/// Years from that year to the nearest span; 0 within one.
fn years_away(spans: &Spans, year: i16) -> f64 {
    let away = |span: &Span| {
        let before = span.from.map_or(0, |from| (i32::from(from.in_year()) - i32::from(year)).max(0));
        let after = span.to.map_or(0, |to| (i32::from(year) - i32::from(to.in_year())).max(0));
        f64::from(before.max(after))
    };
    spans.list().iter().map(away).fold(f64::INFINITY, f64::min)
}

impl Dating {
    /// The probability that the thing happened in each of those years, summing to 1. Within the evidence every year is as probable as
    /// the next. Empty for an empty range.
    pub fn years(&self, thing: Thing, years: RangeInclusive<i16>) -> Vec<(i16, f64)> {
        let mut of: Vec<(Spans, (f64, f64))> =
            self.evidence.iter().filter_map(|evidence| Some((constrains(evidence, thing, self.put)?, edge(evidence)))).collect();
        // Products in a fixed order, so that the order of the evidence does not show in the last digit.
        of.sort_by(|a, b| a.1.0.total_cmp(&b.1.0).then_with(|| a.0.hull().first_day().cmp(&b.0.hull().first_day())));
        let weights: Vec<(i16, f64)> = years
            .map(|year| {
                let weight = of.iter().map(|(spans, (floor, soft))| {
                    let away = years_away(spans, year);
                    if away == 0.0 { 1.0 } else { floor + (0.5 - floor) * (-away / soft).exp() }
                });
                (year, weight.product::<f64>())
            })
            .collect();
        let sum: f64 = weights.iter().map(|(_, weight)| weight).sum();
        weights.into_iter().map(|(year, weight)| (year, if sum > 0.0 { weight / sum } else { 0.0 })).collect()
    }

    /// How well a span of years goes with the evidence: the mean weight of its years over the mean of all, both within `years`. 1 where
    /// the evidence says nothing, 0 where the span has no year there.
    pub fn likelihood_ratio(&self, thing: Thing, span: &Span, years: RangeInclusive<i16>) -> f64 {
        let all = self.years(thing, years);
        let inside = |year: i16| span.from.is_none_or(|from| from.in_year() <= year) && span.to.is_none_or(|to| year <= to.in_year());
        let within: Vec<f64> = all.iter().filter(|(year, _)| inside(*year)).map(|(_, p)| *p).collect();
        if within.is_empty() {
            return 0.0;
        }
        within.iter().sum::<f64>() / within.len() as f64 * all.len() as f64
    }
}
