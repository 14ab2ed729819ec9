//! What is said of a key's health.

use super::super::Index;
use super::super::apart::{Feature, features, has_values, id_of, unused_values};
use super::pairs::{Weighed, weigh};
use crate::key::{FeatureId, FormId, ValueId};
use crate::say;
use std::ops::ControlFlow;
use thiserror::Error;

/// Most forms that are weighed in pairs.
pub const MOST_FORMS: usize = 2_000;
/// Most pairs of each list.
const LISTED: usize = 200;
/// Most cells of [`Health::to_record`].
const CELLS: usize = 100;

/// The health of a key.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Health {
    /// Forms of the key.
    pub forms: usize,
    /// Features of the key.
    pub features: usize,
    /// Forms that were weighed in pairs: all of them, or [`MOST_FORMS`] of a larger key.
    pub weighed: usize,
    /// Pairs of the forms that were weighed.
    pub pairs: usize,
    /// Mean confusion of two forms of the key, 0 to 1, weighted by their priors (see the module).
    pub confusion: f64,
    /// How many pairs nothing tells apart.
    pub untold_pairs: usize,
    /// These pairs, most confusing first, then by id; the first 200.
    pub untold: Vec<Pair>,
    /// How many pairs one feature alone tells apart.
    pub by_one_pairs: usize,
    /// These pairs, the least sure first; the first 200.
    pub by_one: Vec<Pair>,
    /// How many pairs are told apart, but not without the lid.
    pub lid_only_pairs: usize,
    /// These pairs, most confusing first; the first 200.
    pub lid_only: Vec<Pair>,
    /// Features that tell no pair apart, in the order of the key.
    pub telling_nothing: Vec<Hollow>,
    /// Values that no form has, in the order of the key.
    pub unused: Vec<UnusedValue>,
    /// Forms with anything not recorded, the most first.
    pub thin: Vec<Thin>,
    /// Cells worth recording, the greatest expected drop of [`Self::confusion`] first; the first 100.
    pub to_record: Vec<Cell>,
}

/// Two forms that are hard to tell apart.
#[derive(Debug, Clone, PartialEq)]
pub struct Pair {
    /// The one of the lesser id.
    pub form: FormId,
    /// The other.
    pub other: FormId,
    /// What tells them apart where that is one feature alone.
    pub by: Option<FeatureId>,
    /// Probability that one honest reading of that feature picks the right one, 0.5 (a guess) where there is none.
    pub surely: f64,
    /// How easily they are confused, 0 to 1.
    pub confusion: f64,
    /// Features not recorded of one of them or of both, which may tell them apart once they are; in the order of the key.
    pub to_record: Vec<FeatureId>,
}

/// A feature that tells nothing apart.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Hollow {
    /// The feature.
    pub feature: FeatureId,
    /// Forms of the whole key of which it is recorded.
    pub recorded: usize,
}

/// A value that no form has.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct UnusedValue {
    /// The feature.
    pub feature: FeatureId,
    /// The value.
    pub value: ValueId,
    /// Its name on screen.
    pub name: String,
}

/// A form of which something is not recorded.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Thin {
    /// The form.
    pub form: FormId,
    /// Features not recorded.
    pub missing: Vec<FeatureId>,
    /// Features it could have, those included.
    pub of: usize,
}

/// One cell of the key that is not recorded.
#[derive(Debug, Clone, PartialEq)]
pub struct Cell {
    /// The form.
    pub form: FormId,
    /// The feature.
    pub feature: FeatureId,
    /// Expected drop of the key's confusion, in the same measure.
    pub drop: f64,
}

/// The weighing was broken off.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
#[error("{}", say!("stopped before every pair was weighed"))]
pub struct HealthStopped;

impl Index {
    /// The health of the key. `watch` is told how far it is, 0 to 1, and can break it off.
    ///
    /// # Errors
    /// Where `watch` breaks it off.
    pub fn health(&self, mut watch: impl FnMut(f64) -> ControlFlow<()>) -> Result<Health, HealthStopped> {
        let n = self.len();
        let chosen: Vec<usize> = if n > MOST_FORMS { (0..MOST_FORMS).map(|i| i * n / MOST_FORMS).collect() } else { (0..n).collect() };
        let seen: Vec<Feature<'_>> = features(self).collect();
        let weighed = weigh(self, &seen, &chosen, &mut watch).ok_or(HealthStopped)?;
        let form = |place: usize| chosen.get(place).copied().unwrap_or(usize::MAX);
        let pair = |place: usize| {
            let told = weighed.pairs.get(place).copied().unwrap_or_default();
            let (a, b) = weighed.places(place);
            let open = |f: &&Feature<'_>| f.record_of(form(a)).is_none() || f.record_of(form(b)).is_none();
            Pair {
                form: id_of(self, form(a)),
                other: id_of(self, form(b)),
                by: (told.telling == 1).then(|| seen.get(told.last as usize).map(|f| f.id().clone())).flatten(),
                surely: if told.telling == 1 { f64::from(told.surely) } else { 0.5 },
                confusion: weighed.confusion(place),
                to_record: seen.iter().filter(open).map(|f| f.id().clone()).collect(),
            }
        };
        let listed = |which: &dyn Fn(&super::pairs::Told) -> bool| {
            let all: Vec<usize> = (0..weighed.pairs.len()).filter(|&p| weighed.pairs.get(p).is_some_and(which)).collect();
            let most = by_confusion(&all, &weighed);
            (all.len(), most.into_iter().map(pair).collect::<Vec<Pair>>())
        };
        let (untold_pairs, untold) = listed(&|told| told.telling == 0);
        let (lid_only_pairs, lid_only) = listed(&|told| told.telling > 0 && told.without_lid == 0);
        let mut by_one: Vec<usize> = (0..weighed.pairs.len()).filter(|&p| weighed.pairs.get(p).is_some_and(|t| t.telling == 1)).collect();
        let by_one_pairs = by_one.len();
        let surely = |p: &usize| weighed.pairs.get(*p).map_or(0.0, |told| told.surely);
        by_one.sort_by(|a, b| surely(a).total_cmp(&surely(b)));
        by_one.truncate(LISTED);

        let recorded = |f: &Feature<'_>| (0..n).filter(|&form| f.record_of(form).is_some_and(has_values)).count();
        let telling_nothing = seen
            .iter()
            .zip(&weighed.by_feature)
            .filter(|(_, told)| **told == 0)
            .map(|(f, _)| Hollow { feature: f.id().clone(), recorded: recorded(f) })
            .collect();
        let mut thin: Vec<Thin> = (0..n)
            .filter_map(|form| {
                let missing: Vec<FeatureId> = seen.iter().filter(|f| f.record_of(form).is_none()).map(|f| f.id().clone()).collect();
                let of = seen.iter().filter(|f| f.record_of(form).is_none_or(has_values)).count();
                (!missing.is_empty()).then(|| Thin { form: id_of(self, form), missing, of })
            })
            .collect();
        thin.sort_by_key(|thin| std::cmp::Reverse(thin.missing.len()));
        let unused = seen
            .iter()
            .flat_map(|f| unused_values(f).into_iter().map(|(value, name)| UnusedValue { feature: f.id().clone(), value, name }));
        let to_record = weighed
            .cells(CELLS)
            .into_iter()
            .filter_map(|(place, f, drop)| Some(Cell { form: id_of(self, form(place)), feature: seen.get(f)?.id().clone(), drop }))
            .collect();
        Ok(Health {
            forms: n,
            features: seen.len(),
            weighed: chosen.len(),
            pairs: weighed.pairs.len(),
            confusion: weighed.mean,
            untold_pairs,
            untold,
            by_one_pairs,
            by_one: by_one.into_iter().map(pair).collect(),
            lid_only_pairs,
            lid_only,
            telling_nothing,
            unused: unused.collect(),
            thin,
            to_record,
        })
    }
}

/// The most confusing of these pairs, the first ones of equals.
fn by_confusion(pairs: &[usize], weighed: &Weighed) -> Vec<usize> {
    let mut order = pairs.to_vec();
    order.sort_by(|&a, &b| weighed.confusion(b).total_cmp(&weighed.confusion(a)));
    order.truncate(LISTED);
    order
}
