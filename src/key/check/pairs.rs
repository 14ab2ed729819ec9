//! Pairs of forms that no recorded feature separates, found without comparing every two.

use super::form::held_ids;
use crate::key::model::{Feature, FeatureKind, Form, Key, Record};
use rayon::prelude::*;
use std::collections::{BTreeMap, HashMap};

/// Pairs that are told of. A key that has more needs another look as a whole.
const MOST_PAIRS: usize = 100;

/// Forms that one core looks for the likes of at a time.
const AT_A_TIME: usize = 64;

/// One bit a form.
type Bits = Vec<u64>;

/// Pairs of forms, the earlier first, in the order of the later.
///
/// For each value of each feature, the forms that can have it are one bit each; and-ing those of a form's records leaves the forms it
/// can be taken for. That is linear in forms × features × forms ÷ 64. Only the few that are left are compared by their measures.
pub(super) fn pairs(key: &Key) -> Vec<(usize, usize)> {
    let words = key.forms.len().div_ceil(64);
    let mut by_parts: BTreeMap<Vec<u8>, Bits> = BTreeMap::new();
    for (at, form) in key.forms.iter().enumerate() {
        set(by_parts.entry(parts(form)).or_insert_with(|| vec![0; words]), at);
    }
    let (measured, chosen): (Vec<&Feature>, Vec<&Feature>) =
        key.features.iter().partition(|feature| matches!(feature.kind, FeatureKind::Measure(_)));
    let tables: Vec<Table> = chosen.par_iter().map(|feature| Table::of(&key.forms, feature)).collect();
    let measures: Vec<Vec<Measured>> =
        measured.par_iter().map(|feature| key.forms.iter().map(|form| Measured::of(form, feature)).collect()).collect();
    let some = |(chunk, forms): (usize, &[Form])| {
        let mut found = Vec::new();
        for (at, form) in forms.iter().enumerate() {
            if found.len() >= MOST_PAIRS {
                break;
            }
            let Some(left) = by_parts.get(&parts(form)) else { continue };
            let at = chunk * AT_A_TIME + at;
            let room = MOST_PAIRS - found.len();
            found.extend(alike(at, left.clone(), &tables, &measures).take(room).map(|other| (other, at)));
        }
        found
    };
    let found: Vec<Vec<(usize, usize)>> = key.forms.par_chunks(AT_A_TIME).enumerate().map(some).collect();
    found.into_iter().flatten().take(MOST_PAIRS).collect()
}

/// The forms before `at`, of those in `left`, that nothing separates it from.
fn alike(at: usize, mut left: Bits, tables: &[Table], measures: &[Vec<Measured>]) -> impl Iterator<Item = usize> {
    // Only those before it: what comes later finds it.
    left.truncate(at / 64 + 1);
    if let Some(last) = left.last_mut() {
        *last &= (1 << (at % 64)) - 1;
    }
    for table in tables {
        let values = table.values_of(at);
        if values.is_empty() {
            continue;
        }
        let mut any = 0;
        match values {
            [one] => {
                let row = table.row(*one);
                for ((word, open), row) in left.iter_mut().zip(&table.open).zip(row) {
                    *word &= open | row;
                    any |= *word;
                }
            }
            several => {
                let rows: Vec<&[u64]> = several.iter().map(|&value| table.row(value)).collect();
                for (i, (word, open)) in left.iter_mut().zip(&table.open).enumerate() {
                    *word &= rows.iter().fold(*open, |all, row| all | row.get(i).copied().unwrap_or(0));
                    any |= *word;
                }
            }
        }
        if any == 0 {
            left.clear();
            break;
        }
    }
    let same_measures = move |other: &usize| {
        measures.iter().all(|column| match (column.get(at), column.get(*other)) {
            (Some(one), Some(other)) => !one.differs(*other),
            _ => true,
        })
    };
    set_bits(left).filter(same_measures)
}

/// The numbers of the bits that are set, from the least.
fn set_bits(bits: Bits) -> impl Iterator<Item = usize> {
    bits.into_iter().enumerate().filter(|(_, word)| *word != 0).flat_map(|(i, word)| {
        std::iter::successors(Some(word), |word| Some(word & word.wrapping_sub(1)))
            .take_while(|word| *word != 0)
            .map(move |word| i * 64 + word.trailing_zeros() as usize)
    })
}

fn set(bits: &mut [u64], at: usize) {
    if let Some(word) = bits.get_mut(at / 64) {
        *word |= 1 << (at % 64);
    }
}

/// What is recorded of one chosen feature.
struct Table {
    /// Forms of which nothing is recorded, so that they can have any value.
    open: Bits,
    /// For each value, the forms that can have it.
    rows: Vec<Bits>,
    /// For each form, where its values start in `values`; and where the last ends.
    starts: Vec<usize>,
    values: Vec<usize>,
}

impl Table {
    fn of(forms: &[Form], feature: &Feature) -> Self {
        let words = forms.len().div_ceil(64);
        let mut table = Self { open: vec![0; words], rows: Vec::new(), starts: Vec::with_capacity(forms.len() + 1), values: Vec::new() };
        let mut known: HashMap<&str, usize> = HashMap::new();
        for (at, form) in forms.iter().enumerate() {
            table.starts.push(table.values.len());
            for value in values(form, feature) {
                let row = *known.entry(value).or_insert_with(|| {
                    table.rows.push(vec![0; words]);
                    table.rows.len() - 1
                });
                table.values.push(row);
                if let Some(row) = table.rows.get_mut(row) {
                    set(row, at);
                }
            }
            if table.starts.last() == Some(&table.values.len()) {
                set(&mut table.open, at);
            }
        }
        table.starts.push(table.values.len());
        table
    }

    fn values_of(&self, form: usize) -> &[usize] {
        match (self.starts.get(form), self.starts.get(form + 1)) {
            (Some(&start), Some(&end)) => self.values.get(start..end).unwrap_or_default(),
            _ => &[],
        }
    }

    fn row(&self, value: usize) -> &[u64] {
        self.rows.get(value).map_or(&[], Vec::as_slice)
    }
}

/// What is recorded of one measure of one form.
#[derive(Debug, Clone, Copy)]
enum Measured {
    Open,
    Between(f64, f64),
    DoesNotApply,
}

impl Measured {
    fn of(form: &Form, feature: &Feature) -> Self {
        match form.features.get(&feature.id) {
            Some(Record::Between(from, to)) => Self::Between(*from, *to),
            Some(Record::DoesNotApply) => Self::DoesNotApply,
            _ => Self::Open,
        }
    }

    fn differs(self, other: Self) -> bool {
        match (self, other) {
            (Self::Between(a, b), Self::Between(c, d)) => b < c || d < a,
            (Self::Between(..), Self::DoesNotApply) | (Self::DoesNotApply, Self::Between(..)) => true,
            _ => false,
        }
    }
}

fn parts(form: &Form) -> Vec<u8> {
    let mut parts: Vec<u8> = form.parts.iter().map(|&part| part as u8).collect();
    parts.sort_unstable();
    parts.dedup();
    parts
}

/// The values a form is recorded with; none where nothing is.
fn values<'k>(form: &'k Form, feature: &Feature) -> Vec<&'k str> {
    match form.features.get(&feature.id) {
        Some(Record::Always(value)) => vec![value.as_str()],
        Some(Record::Values(values)) => values.keys().map(crate::key::ValueId::as_str).collect(),
        // As good as a value: what cannot be there is not there.
        Some(Record::DoesNotApply) => vec!["\0"],
        Some(Record::Between(..) | Record::NotRecorded) | None => match feature.kind {
            FeatureKind::Glaze => held_ids(&form.glazes).collect(),
            FeatureKind::Decoration => held_ids(&form.decorations).collect(),
            FeatureKind::Mark => held_ids(&form.marks).collect(),
            FeatureKind::Choice(_) | FeatureKind::Measure(_) => Vec::new(),
        },
    }
}
