//! How often a gallery of some size turns up by chance: learnt from the two shelves themselves.
//!
//! Of the mass, half lies close about the sizes that are there (a form comes again) and half wider about them, beside sizes nobody has measured
//! yet ([`Rules`]'s 'sizes'). The lid and base in question are left out of it.

use super::fit::{normal, sd_of};
use super::half::{Half, Side};
use super::rules::Rules;
use rayon::prelude::*;

/// The wide half: one standard deviation as a share of the size. A choice of this program.
const WIDE: f64 = 0.15;
/// The ratio of axes close about those that are there, one standard deviation at the least.
const RATIO_SD: f64 = 0.008;
/// The least ratio of axes that is thought of.
const LEAST_RATIO: f64 = 0.3;
/// Beyond so many standard deviations nothing is added.
const FAR: f64 = 5.0;

/// The sizes and ratios of axes on both shelves.
#[derive(Debug, Clone)]
pub(super) struct Population {
    /// As galleries: a lid's flange with the commonest clearance added. Ascending.
    sizes: Vec<f64>,
    /// Minor by major axis, ascending.
    ratios: Vec<f64>,
    log_from: f64,
    log_to: f64,
    worth: f64,
    /// Density of the wide half and of unmeasured sizes over equal steps of log size, as sums over pieces.
    wide: Vec<f64>,
    middle_mm: f64,
    spread: Spread,
}

#[derive(Debug, Clone, Copy)]
struct Spread {
    mm: f64,
    give: f64,
}

const BINS: usize = 400;

impl Population {
    pub(super) fn new(rules: &Rules, lids: &[Half], bases: &[Half]) -> Self {
        let commonest = rules.clearances.iter().max_by(|a, b| a.share.total_cmp(&b.share));
        let middle_mm = commonest.map_or(0.0, |kind| kind.middle_mm);
        let spread = commonest.map_or(Spread { mm: 1.0, give: 0.01 }, |kind| Spread { mm: kind.spread_mm, give: kind.give });
        let shelf = |halves: &[Half], side: Side| halves.iter().filter_map(|half| size(half, side, middle_mm)).collect::<Vec<f64>>();
        let mut sizes = shelf(lids, Side::Lid);
        sizes.extend(shelf(bases, Side::Base));
        sizes.sort_by(f64::total_cmp);
        let mut ratios: Vec<f64> = lids.iter().chain(bases).filter_map(ratio).collect();
        ratios.sort_by(f64::total_cmp);
        let (log_from, log_to) = (rules.sizes.0.ln(), rules.sizes.1.ln());
        let mut population = Self { sizes, ratios, log_from, log_to, worth: rules.sizes_worth, wide: Vec::new(), middle_mm, spread };
        let logs: Vec<f64> = population.sizes.iter().map(|size| size.ln()).collect();
        population.wide = (0..BINS).into_par_iter().map(|bin| wide_at(&logs, population.log_of(bin))).collect();
        population
    }

    #[expect(clippy::cast_precision_loss, reason = "a few hundred bins")]
    fn log_of(&self, bin: usize) -> f64 {
        self.log_from + (bin as f64 + 0.5) / BINS as f64 * (self.log_to - self.log_from)
    }

    /// One standard deviation of what counts as the same size, with the reading's.
    fn close_mm(&self, size_mm: f64, read_sd_mm: f64) -> f64 {
        self.spread.mm.hypot(self.spread.give * size_mm).hypot(read_sd_mm)
    }

    /// Sum over all pieces, the base itself left out, of the density at that gallery; [`Population::without`] takes a lid's part away.
    pub(super) fn of_base(&self, base: &Half) -> Option<Sum> {
        let read = base.major?;
        let close_sd = self.close_mm(read.value, sd_of(read));
        let from = self.sizes.partition_point(|size| *size < read.value - FAR * close_sd);
        let near = self.sizes.get(from..).unwrap_or_default().iter().take_while(|size| **size <= read.value + FAR * close_sd);
        let close: f64 = near.map(|size| normal(read.value - size, close_sd)).sum::<f64>() - normal(0.0, close_sd);
        let at = ((read.value.ln() - self.log_from) / (self.log_to - self.log_from)).clamp(0.0, 1.0);
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            clippy::cast_precision_loss,
            reason = "a share of a few hundred bins"
        )]
        let bin = ((at * BINS as f64) as usize).min(BINS - 1);
        let wide = self.wide.get(bin).copied().unwrap_or(0.0) - normal(0.0, WIDE);
        let unmeasured = self.worth / (self.log_to - self.log_from);
        Some(Sum {
            gallery_mm: read.value,
            close_sd,
            close: close.max(0.0),
            wide_log: wide.max(0.0),
            unmeasured_log: unmeasured,
            ratio: Ratio::new(&self.ratios, base),
        })
    }

    /// Density per mm of a gallery by chance, this lid left out too.
    #[expect(clippy::cast_precision_loss, reason = "a number of pieces")]
    pub(super) fn without(&self, sum: &Sum, lid: &Half) -> f64 {
        let own = size(lid, Side::Lid, self.middle_mm);
        let close = own.map_or(0.0, |size| normal(sum.gallery_mm - size, sum.close_sd));
        let wide = own.map_or(0.0, |size| normal((sum.gallery_mm / size).ln(), WIDE));
        let others = (self.sizes.len() as f64 - 1.0 - f64::from(u8::from(own.is_some()))).max(0.0);
        let by_log = 0.5 * (sum.wide_log - wide).max(0.0) + sum.unmeasured_log;
        let density = (0.5 * (sum.close - close).max(0.0) + by_log / sum.gallery_mm) / (others + self.worth);
        density.max(f64::MIN_POSITIVE)
    }

    /// Density of a ratio of axes by chance, this lid left out too; none where the base has one axis only.
    #[expect(clippy::cast_precision_loss, reason = "a number of pieces")]
    pub(super) fn ratio_without(&self, sum: &Sum, lid: &Half) -> Option<f64> {
        let base = sum.ratio?;
        let own = ratio(lid).map_or(0.0, |other| base.close(other));
        let others = (self.ratios.len() as f64 - 1.0 - f64::from(u8::from(ratio(lid).is_some()))).max(0.0);
        let any = 1.0 / (1.0 - LEAST_RATIO);
        // An eighth of what is there may be of any ratio.
        let density = (0.875 * (base.others - own).max(0.0) + (self.worth + 0.125 * others) * any) / (others + self.worth).max(1.0);
        Some(density.max(f64::MIN_POSITIVE))
    }
}

/// Sum over the pieces, of these logarithms of their sizes, of the wide density at one.
fn wide_at(logs: &[f64], log: f64) -> f64 {
    logs.iter().map(|size| normal(log - size, WIDE)).sum()
}

/// A base's ratio of axes, and the sum of the densities there of the ratios of all other pieces.
#[derive(Debug, Clone, Copy)]
struct Ratio {
    at: f64,
    sd: f64,
    others: f64,
}

impl Ratio {
    fn new(ratios: &[f64], base: &Half) -> Option<Self> {
        let at = ratio(base)?;
        let read_sd = sd_of(base.minor?) / base.major?.value;
        let mut found = Self { at, sd: RATIO_SD.hypot(read_sd), others: 0.0 };
        let from = ratios.partition_point(|other| *other < at - FAR * found.sd);
        let near = ratios.get(from..).unwrap_or_default().iter().take_while(|other| **other <= at + FAR * found.sd);
        found.others = (near.map(|other| found.close(*other)).sum::<f64>() - found.close(at)).max(0.0);
        Some(found)
    }

    /// Ratios end at 1: what would lie beyond is folded back.
    fn close(&self, other: f64) -> f64 {
        normal(self.at - other, self.sd) + normal(2.0 - self.at - other, self.sd)
    }
}

/// The part of the sums that is the same for every lid.
#[derive(Debug, Clone, Copy)]
pub(super) struct Sum {
    gallery_mm: f64,
    close_sd: f64,
    close: f64,
    wide_log: f64,
    unmeasured_log: f64,
    ratio: Option<Ratio>,
}

fn size(half: &Half, side: Side, middle_mm: f64) -> Option<f64> {
    let read = half.major?;
    Some(read.value + if side == Side::Lid { middle_mm } else { 0.0 })
}

fn ratio(half: &Half) -> Option<f64> {
    Some((half.minor?.value / half.major?.value).clamp(LEAST_RATIO, 1.0))
}
