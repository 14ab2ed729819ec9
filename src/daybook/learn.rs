//! What the finds say of the key's frequencies: proposals with what is recorded now and what would be, never done silently.
//!
//! Only what was certain is counted: finds whose verdict was settled, and of those the answers a person was sure of that name one value, or
//! a measurement. A find is counted once: the key keeps those that were ([`Counted`]).

mod claims;
mod records;
mod words;

use super::{Find, FindId, Standing};
use crate::identify::{Seen, Sure};
use crate::key::{Counted, CountedId, DecorationId, Feature, FeatureId, FeatureKind, FormId, GlazeId, Held, Key, MarkId, Record, ValueId};
use crate::say;
use std::collections::{BTreeMap, BTreeSet, HashMap, HashSet};

/// What a keeper wrote in words is worth so many pieces: always 5, usually 4, sometimes 1, as [`Often::weight`](crate::key::Often::weight) has it.
/// It is put into counts from so many pieces up, unless a piece shows what the record rules out. A choice of this program, no source.
pub const PIECES_FOR_WORDS: u32 = 5;

/// What the finds would change.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Learnt {
    /// In the order of the forms of the key, then of its features.
    pub proposals: Vec<Proposal>,
    /// The finds that were counted, each with its form, by id.
    pub counted: Vec<(FindId, FormId)>,
    /// The finds that were not, by id, with the reason.
    pub left_out: Vec<(FindId, LeftOut)>,
}

/// One change of one form.
#[derive(Debug, Clone, PartialEq)]
pub struct Proposal {
    /// The form.
    pub form: FormId,
    /// The feature the pieces were asked.
    pub feature: FeatureId,
    /// On how many pieces it rests.
    pub pieces: u32,
    /// What would change.
    pub change: Change,
}

/// What would change of a form.
#[derive(Debug, Clone, PartialEq)]
pub enum Change {
    /// The record of the feature. `before` is none where nothing is recorded.
    Record {
        /// As it is.
        before: Option<Record>,
        /// As it would be.
        after: Record,
    },
    /// The glazes it is claimed in.
    Glazes(Claims<GlazeId>),
    /// The decorations it is claimed with.
    Decorations(Claims<DecorationId>),
    /// The marks it is claimed with.
    Marks(Claims<MarkId>),
}

/// Claims before and after.
#[derive(Debug, Clone, PartialEq)]
pub struct Claims<Id> {
    /// As they are.
    pub before: Vec<Held<Id>>,
    /// As they would be.
    pub after: Vec<Held<Id>>,
}

/// Why a find was not counted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum LeftOut {
    /// It was counted before.
    CountedBefore,
    /// It was named by another key.
    OtherKey,
    /// It was not named, or its verdict was not settled.
    NotSettled,
    /// The key no longer has its form.
    FormGone,
    /// Nothing certain was said of it that the key can hold.
    NothingCertain,
}

impl LeftOut {
    /// In words: 'the verdict was not settled'.
    pub fn words(self) -> &'static str {
        match self {
            Self::CountedBefore => say!("counted before"),
            Self::OtherKey => say!("named by another key"),
            Self::NotSettled => say!("the verdict was not settled"),
            Self::FormGone => say!("its form is no longer in the key"),
            Self::NothingCertain => say!("nothing was said of it that can be counted"),
        }
    }
}

/// What was seen of one feature on the pieces of one form.
#[derive(Debug, Clone, PartialEq, Default)]
struct Tally {
    /// Pieces of each value.
    values: BTreeMap<String, u32>,
    /// Measured values with half their ±.
    measured: Vec<(f64, f64)>,
}

/// What these finds say of the key. `folder` is the key's folder name, by which a find knows the key it was named by.
pub fn learn(key: &Key, folder: &str, finds: &[Find]) -> Learnt {
    let counted_before: BTreeSet<&str> = key.counted.iter().map(|counted| counted.id.as_str()).collect();
    let known = Known::new(key);
    let mut learnt = Learnt::default();
    let mut tallies: BTreeMap<(usize, usize), Tally> = BTreeMap::new();
    for find in finds {
        match admit(&known, folder, find, &counted_before) {
            Ok(form) => {
                if tally(&known, form, find, &mut tallies) {
                    learnt.counted.extend(key.forms.get(form).map(|form| (find.id, form.id.clone())));
                } else {
                    learnt.left_out.push((find.id, LeftOut::NothingCertain));
                }
            }
            Err(why) => learnt.left_out.push((find.id, why)),
        }
    }
    learnt.counted.sort_unstable();
    learnt.left_out.sort_unstable();
    for ((form, feature), tally) in &tallies {
        let (Some(form), Some(feature)) = (key.forms.get(*form), key.features.get(*feature)) else { continue };
        let change = match feature.kind {
            FeatureKind::Choice(_) | FeatureKind::Measure(_) => records::change(form.features.get(&feature.id), tally),
            // A record beside the claims goes before them, in the engine as here.
            FeatureKind::Glaze | FeatureKind::Decoration | FeatureKind::Mark if form.features.contains_key(&feature.id) => {
                records::change(form.features.get(&feature.id), tally)
            }
            FeatureKind::Glaze => claims::change(&form.glazes, &tally.values).map(Change::Glazes),
            FeatureKind::Decoration => claims::change(&form.decorations, &tally.values).map(Change::Decorations),
            FeatureKind::Mark => claims::change(&form.marks, &tally.values).map(Change::Marks),
        };
        if let Some(change) = change {
            let pieces = tally.values.values().sum::<u32>() + u32::try_from(tally.measured.len()).unwrap_or(u32::MAX);
            learnt.proposals.push(Proposal { form: form.id.clone(), feature: feature.id.clone(), pieces, change });
        }
    }
    learnt
}

/// The forms, features and values of a key by their ids: of a hundred thousand finds each answer is looked up.
struct Known<'k> {
    forms: HashMap<&'k FormId, usize>,
    /// Where a feature stands, and its values; none of a measure.
    features: HashMap<&'k FeatureId, (usize, Option<HashSet<ValueId>>)>,
}

impl<'k> Known<'k> {
    fn new(key: &'k Key) -> Self {
        let feature = |(at, feature): (usize, &'k Feature)| {
            let measured = matches!(feature.kind, FeatureKind::Measure(_));
            (&feature.id, (at, (!measured).then(|| key.values_of(feature).into_iter().map(|(id, _)| id).collect())))
        };
        Self {
            forms: key.forms.iter().enumerate().map(|(at, form)| (&form.id, at)).collect(),
            features: key.features.iter().enumerate().map(feature).collect(),
        }
    }
}

impl Learnt {
    /// The key with the proposals taken that `takes` says yes to by their number. All finds that were looked at are noted in it as counted, so
    /// that what was declined is not proposed again.
    #[must_use]
    pub fn taken(&self, key: &Key, takes: impl Fn(usize) -> bool) -> Key {
        let mut key = key.clone();
        for (_, proposal) in self.proposals.iter().enumerate().filter(|(number, _)| takes(*number)) {
            proposal.make(&mut key);
        }
        key.counted.extend(self.counted.iter().map(|(id, form)| Counted { id: CountedId::new(id.to_string()), form: form.clone() }));
        key
    }
}

impl Proposal {
    /// Makes the change, unless the form is gone or is no longer as it was.
    fn make(&self, key: &mut Key) {
        let Some(form) = key.forms.iter_mut().find(|form| form.id == self.form) else { return };
        match &self.change {
            Change::Record { before, after } => {
                if form.features.get(&self.feature).filter(|record| **record != Record::NotRecorded) == before.as_ref() {
                    form.features.insert(self.feature.clone(), after.clone());
                }
            }
            Change::Glazes(claims) => claims.make(&mut form.glazes),
            Change::Decorations(claims) => claims.make(&mut form.decorations),
            Change::Marks(claims) => claims.make(&mut form.marks),
        }
    }
}

impl<Id: Clone + PartialEq> Claims<Id> {
    fn make(&self, now: &mut Vec<Held<Id>>) {
        if *now == self.before {
            now.clone_from(&self.after);
        }
    }
}

/// The form a find counts for.
fn admit(known: &Known<'_>, folder: &str, find: &Find, counted_before: &BTreeSet<&str>) -> Result<usize, LeftOut> {
    if counted_before.contains(find.id.to_string().as_str()) {
        return Err(LeftOut::CountedBefore);
    }
    if find.key.folder != folder {
        return Err(LeftOut::OtherKey);
    }
    let named = find.named.as_ref().filter(|_| find.standing == Standing::Settled).ok_or(LeftOut::NotSettled)?;
    known.forms.get(&named.form).copied().ok_or(LeftOut::FormGone)
}

/// Adds the certain answers of a find. False where there was none.
fn tally(known: &Known<'_>, form: usize, find: &Find, tallies: &mut BTreeMap<(usize, usize), Tally>) -> bool {
    let mut any = false;
    for observation in find.piece.observations.iter().filter(|o| o.sure == Sure::Sure) {
        let Some((at, values)) = known.features.get(&observation.feature) else { continue };
        match (&observation.seen, values) {
            (Seen::Values(seen), Some(values)) => {
                if let [only] = seen.as_slice()
                    && values.contains(only)
                {
                    *tallies.entry((form, *at)).or_default().values.entry(only.to_string()).or_insert(0) += 1;
                    any = true;
                }
            }
            (Seen::Measured(m), None) if m.value.is_finite() && m.value >= 0.0 && m.plus_minus.is_finite() => {
                tallies.entry((form, *at)).or_default().measured.push((m.value, m.plus_minus.abs()));
                any = true;
            }
            (
                Seen::Values(_)
                | Seen::Weighed(_)
                | Seen::Measured(_)
                | Seen::Colour { .. }
                | Seen::Wording(_)
                | Seen::Mark(_)
                | Seen::NotThere
                | Seen::NotSure,
                _,
            ) => {}
        }
    }
    any
}
