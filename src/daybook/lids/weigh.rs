//! The likelihood ratio of a lid and a base: 'they belong together' against 'they met by chance'.

use super::fit::{Axis, one_axis, two_axes, window_mm};
use super::half::Half;
use super::population::{Population, Sum};
use super::reason::Reason;
use super::rules::Rules;
use crate::colour::delta_e00;
use crate::key::words::{Words, fold};
use crate::key::{Key, Years};
use rayon::prelude::*;
use std::collections::BTreeMap;

/// Logarithms of ratios are kept within these.
const LN_BOUNDS: (f64, f64) = (-60.0, 30.0);
/// A pair whose ratio is below this (about 1 in 20) is not thought of.
const LEAST_LN: f64 = -3.0;
/// Someone who names a glaze strays so far, one standard deviation in ΔE00. A choice of this program.
const NAMING_DELTA_E: f64 = 1.0;

/// A pair that is thought of.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Weighed {
    pub(super) lid: usize,
    pub(super) base: usize,
    /// Natural logarithm of the likelihood ratio.
    pub(super) ln: f64,
}

/// Glazes at least so alike are said to be hardly told apart: within about 1.8 standard deviations. A choice of this program.
const HARDLY_TOLD: f64 = 0.2;

/// Two shelves, ready to be weighed.
#[derive(Debug)]
pub(super) struct Weigher<'s> {
    lids: &'s [Half],
    bases: &'s [Half],
    rules: &'s Rules,
    population: Population,
    columns: Vec<Column<'s>>,
    /// The logarithms for years that overlap and that do not; none where no rule says anything.
    years: Option<(f64, f64)>,
}

impl<'s> Weigher<'s> {
    pub(super) fn new(lids: &'s [Half], bases: &'s [Half], rules: &'s Rules, key: Option<&Key>) -> Self {
        let columns = rules.alike.iter().map(|(name, share)| Column::new(name, *share, lids, bases, key)).collect();
        let years = rules.same_date.as_ref().map(|(_, share)| ln_of_years(*share, lids, bases));
        Self { lids, bases, rules, population: Population::new(rules, lids, bases), columns, years }
    }

    /// Every pair that can be, by lid and then by base. Bases are sorted by size, so that each lid meets only those it may fit.
    pub(super) fn all(&self) -> Vec<Weighed> {
        let mut by_size: Vec<(f64, usize)> = self.bases.iter().enumerate().filter_map(|(at, base)| Some((base.major?.value, at))).collect();
        by_size.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        let sums: Vec<Option<Sum>> = self.bases.iter().map(|base| self.population.of_base(base)).collect();
        let widest_sd = self.bases.iter().filter_map(|base| base.major).map(super::fit::sd_of).fold(0.0, f64::max);
        let of_lid = |(lid, half): (usize, &Half)| {
            let Some(flange) = half.major else { return Vec::new() };
            let (from, to) = window_mm(self.rules, flange.value, super::fit::sd_of(flange).hypot(widest_sd));
            let first = by_size.partition_point(|(size, _)| *size < flange.value + from);
            let near = by_size.get(first..).unwrap_or_default().iter().take_while(|(size, _)| *size <= flange.value + to);
            let weighed = near.filter_map(|&(_, base)| {
                let ln = self.ln(lid, base, sums.get(base)?.as_ref()?)?;
                (ln >= LEAST_LN).then_some(Weighed { lid, base, ln })
            });
            let mut found: Vec<Weighed> = weighed.collect();
            found.sort_by_key(|pair| pair.base);
            found
        };
        self.lids.par_iter().enumerate().map(of_lid).collect::<Vec<_>>().concat()
    }

    fn ln(&self, lid: usize, base: usize, sum: &Sum) -> Option<f64> {
        let fit = self.ln_of_fit(lid, base, sum)?;
        let both_axes = self.lids.get(lid)?.minor.is_some() && self.bases.get(base)?.minor.is_some();
        let noted: f64 =
            self.columns.iter().filter(|column| !(both_axes && column.name == "outline")).map(|column| column.ln(lid, base)).sum();
        let years = match (self.years, self.overlap(lid, base)) {
            (Some((same, _)), Some(true)) => same,
            (Some((_, apart)), Some(false)) => apart,
            _ => 0.0,
        };
        Some((fit + noted + years).clamp(LN_BOUNDS.0, LN_BOUNDS.1))
    }

    fn ln_of_fit(&self, lid: usize, base: usize, sum: &Sum) -> Option<f64> {
        let (lid, base) = (self.lids.get(lid)?, self.bases.get(base)?);
        let (flange, gallery) = (lid.major?, base.major?);
        let major = Axis::new(flange, gallery);
        let by_chance = self.population.without(sum, lid);
        let ln = match (lid.minor, base.minor, self.population.ratio_without(sum, lid)) {
            (Some(flange), Some(narrow), Some(ratio)) => {
                let minor = Axis::new(flange, narrow);
                // A density of the ratio is one of the shorter axis by the longer one.
                two_axes(self.rules, major, minor, gallery.value).ln() - by_chance.ln() - (ratio / gallery.value).ln()
            }
            _ => one_axis(self.rules, major, gallery.value).ln() - by_chance.ln(),
        };
        Some(if ln.is_nan() { LN_BOUNDS.0 } else { ln.clamp(LN_BOUNDS.0, LN_BOUNDS.1) })
    }

    /// Whether the years of making overlap; nothing where they are not known of both.
    fn overlap(&self, lid: usize, base: usize) -> Option<bool> {
        let (a, b) = (self.lids.get(lid)?.made, self.bases.get(base)?.made);
        (!a.is_open() && !b.is_open()).then(|| overlap(a, b))
    }

    /// What is to be said of a lid on a base.
    pub(super) fn reasons(&self, lid: usize, base: usize) -> Vec<Reason> {
        let (Some(on), Some(under)) = (self.lids.get(lid), self.bases.get(base)) else { return Vec::new() };
        let mut reasons = Vec::new();
        if let (Some(flange), Some(gallery)) = (on.major, under.major) {
            let major_mm = gallery.value - flange.value;
            let minor_mm = on.minor.zip(under.minor).map(|(flange, gallery)| gallery.value - flange.value);
            let (least, most) = (minor_mm.map_or(major_mm, |m| m.min(major_mm)), minor_mm.map_or(major_mm, |m| m.max(major_mm)));
            if least < 0.0 {
                reasons.push(Reason::Tight { mm: -least });
            } else {
                reasons.push(Reason::Play { major_mm, minor_mm });
            }
            if most >= self.rules.rocks_from_mm {
                reasons.push(Reason::Rocks { mm: most });
            }
            // More than a clearance can be in doubt: the base is an oval, and yet the lid goes across it.
            if let (Some(narrow), Some(flange_minor)) = (under.minor, on.minor)
                && gallery.value - narrow.value > 3.0
                && flange.value - flange_minor.value > 1.0
                && flange.value <= narrow.value
            {
                reasons.push(Reason::TurnsRound);
            }
        }
        reasons.extend(self.columns.iter().filter_map(|column| column.reason(lid, base, on, under)));
        if self.overlap(lid, base) == Some(false) {
            reasons.push(Reason::Apart { lid: on.made, base: under.made });
        }
        reasons
    }
}

/// What was noted in one column, by numbers of values.
#[derive(Debug)]
struct Column<'s> {
    name: &'s str,
    share: f64,
    lids: Vec<Option<usize>>,
    bases: Vec<Option<usize>>,
    /// For each value: how many pieces have it or one that is hardly told from it.
    pieces: Vec<f64>,
    all: f64,
    /// Values the key has colours of: how alike two of them look, 0 to 1, and their ΔE00. Not the value itself.
    near: BTreeMap<(usize, usize), (f64, f64)>,
}

impl<'s> Column<'s> {
    fn new(name: &'s str, share: f64, lids: &[Half], bases: &[Half], key: Option<&Key>) -> Self {
        let glazes = if name == "glaze" { key } else { None };
        let words = glazes.map(Words::new);
        let mut numbers: BTreeMap<String, usize> = BTreeMap::new();
        let mut number = |half: &Half| {
            let text = half.noted(name)?;
            let id = words
                .as_ref()
                .and_then(|words| words.glaze(text).ok())
                .map_or_else(|| format!("as written: {}", fold(text)), |id| id.to_string());
            let next = numbers.len();
            Some(*numbers.entry(id).or_insert(next))
        };
        let lids: Vec<Option<usize>> = lids.iter().map(&mut number).collect();
        let bases: Vec<Option<usize>> = bases.iter().map(&mut number).collect();
        let near = glazes.map_or_else(BTreeMap::new, |key| nearness(key, &numbers));
        let mut own = vec![0.0; numbers.len()];
        for value in lids.iter().chain(&bases).flatten() {
            if let Some(n) = own.get_mut(*value) {
                *n += 1.0;
            }
        }
        let mut pieces = own.clone();
        for (&(a, b), (alike, _)) in &near {
            if let (Some(sum), Some(other)) = (pieces.get_mut(a), own.get(b)) {
                *sum += alike * other;
            }
        }
        let all = own.iter().sum();
        Self { name, share, lids, bases, pieces, all, near }
    }

    fn values(&self, lid: usize, base: usize) -> Option<(usize, usize)> {
        Some(((*self.lids.get(lid)?)?, (*self.bases.get(base)?)?))
    }

    /// How alike two values are: 1 for the same.
    fn alike(&self, a: usize, b: usize) -> f64 {
        if a == b { 1.0 } else { self.near.get(&(a, b)).map_or(0.0, |(alike, _)| *alike) }
    }

    /// Natural logarithm of the ratio; 0 where nothing was noted of one of them. Chance is what the other pieces on both shelves show.
    #[expect(clippy::cast_precision_loss, reason = "a number of values")]
    fn ln(&self, lid: usize, base: usize) -> f64 {
        let Some((a, b)) = self.values(lid, base) else { return 0.0 };
        let alike = self.alike(a, b);
        let others = (self.pieces.get(a).copied().unwrap_or(0.0) - 1.0 - alike).max(0.0);
        let chance = (others + 1.0) / ((self.all - 2.0).max(0.0) + self.pieces.len() as f64 + 1.0);
        (alike * self.share / chance + (1.0 - alike) * (1.0 - self.share) / (1.0 - chance).max(0.01)).ln()
    }

    fn reason(&self, lid: usize, base: usize, on: &Half, under: &Half) -> Option<Reason> {
        let (a, b) = self.values(lid, base)?;
        if a == b {
            return None;
        }
        let (column, lid, base) = (self.name.to_owned(), on.noted(self.name)?.to_owned(), under.noted(self.name)?.to_owned());
        match self.near.get(&(a, b)) {
            Some(&(alike, delta_e)) if alike >= HARDLY_TOLD => Some(Reason::Near { column, lid, base, delta_e }),
            _ => Some(Reason::Differs { column, lid, base }),
        }
    }
}

/// How alike the glazes of the key look: exp(−½ (ΔE00 / σ)²) with σ from the spreads of both and of naming. Those below a hundredth are left out.
fn nearness(key: &Key, numbers: &BTreeMap<String, usize>) -> BTreeMap<(usize, usize), (f64, f64)> {
    let known: Vec<_> = key.glazes.iter().filter_map(|glaze| Some((glaze, *numbers.get(glaze.id.as_str())?))).collect();
    let mut near = BTreeMap::new();
    for (a, one) in &known {
        for (b, other) in known.iter().filter(|(_, other)| other != one) {
            let delta_e = delta_e00(a.lab, b.lab);
            let sd = a.spread.hypot(b.spread).hypot(NAMING_DELTA_E);
            let alike = (-0.5 * (delta_e / sd).powi(2)).exp();
            if alike >= 0.01 {
                near.insert((*one, *other), (alike, delta_e));
            }
        }
    }
    near
}

fn overlap(a: Years, b: Years) -> bool {
    let apart = |first: Years, then: Years| matches!((first.to, then.from), (Some(to), Some(from)) if to < from);
    !apart(a, b) && !apart(b, a)
}

/// The logarithms for years that overlap and that do not, by how many lids and bases overlap by chance.
#[expect(clippy::cast_precision_loss, reason = "a number of pairs")]
fn ln_of_years(share: f64, lids: &[Half], bases: &[Half]) -> (f64, f64) {
    let dated = |halves: &[Half]| halves.iter().map(|half| half.made).filter(|made| !made.is_open()).collect::<Vec<_>>();
    let (lids, bases) = (dated(lids), dated(bases));
    // Lids that end before a base begins, and begin after it ends: two look-ups in sorted years.
    let mut ends: Vec<i32> = lids.iter().map(|made| made.to.unwrap_or(i32::MAX)).collect();
    let mut starts: Vec<i32> = lids.iter().map(|made| made.from.unwrap_or(i32::MIN)).collect();
    ends.sort_unstable();
    starts.sort_unstable();
    let apart: usize = bases
        .iter()
        .map(|made| {
            let before = made.from.map_or(0, |from| ends.partition_point(|end| *end < from));
            let after = made.to.map_or(0, |to| starts.len() - starts.partition_point(|start| *start <= to));
            before + after
        })
        .sum();
    let all = lids.len() * bases.len();
    let chance = ((all - apart) as f64 + 1.0) / (all as f64 + 2.0);
    ((share / chance).ln(), ((1.0 - share) / (1.0 - chance)).ln())
}

#[cfg(test)]
mod tests;
