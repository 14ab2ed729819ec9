//! The two shelves as they are kept with the daybook, with what a person settled of them.

use super::chosen::Wishes;
use super::error::HalfProblem;
use super::half::{Half, Side};
use serde::{Deserialize, Serialize};

/// Loose lids and lidless bases, and which of them were put together or kept apart by hand. Every change keeps the wishes so that they can be met.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Shelves {
    /// The lids, in the order they came.
    #[serde(default)]
    pub lids: Vec<Half>,
    /// The bases, in the order they came.
    #[serde(default)]
    pub bases: Vec<Half>,
    /// Lid and base that belong together, whatever the weights say.
    #[serde(default)]
    pub pinned: Vec<(String, String)>,
    /// Lid and base that do not belong together.
    #[serde(default)]
    pub forbidden: Vec<(String, String)>,
}

impl Shelves {
    /// One of the two.
    pub fn of(&self, side: Side) -> &[Half] {
        match side {
            Side::Lid => &self.lids,
            Side::Base => &self.bases,
        }
    }

    fn of_mut(&mut self, side: Side) -> &mut Vec<Half> {
        match side {
            Side::Lid => &mut self.lids,
            Side::Base => &mut self.bases,
        }
    }

    /// True where nothing lies on either.
    pub fn is_empty(&self) -> bool {
        self.lids.is_empty() && self.bases.is_empty()
    }

    /// A half by its id.
    pub fn half(&self, side: Side, id: &str) -> Option<&Half> {
        self.of(side).iter().find(|half| half.id == id)
    }

    /// The next free number of a shelf: 'L7', 'B3'.
    pub fn free_id(&self, side: Side) -> String {
        let letter = if side == Side::Lid { 'L' } else { 'B' };
        let taken = |half: &Half| half.id.strip_prefix(letter)?.parse::<u64>().ok();
        let last = self.of(side).iter().filter_map(taken).max().unwrap_or(0);
        format!("{letter}{}", last.saturating_add(1))
    }

    /// Puts a half on its shelf: in the place of the one that had the id `old`, else at the end. Wishes follow a new id.
    ///
    /// # Errors
    /// Where it has no id, or another half has it.
    pub fn put(&mut self, side: Side, old: Option<&str>, half: Half) -> Result<(), HalfProblem> {
        if half.id.trim().is_empty() {
            return Err(HalfProblem::NoId);
        }
        let taken = self.of(side).iter().position(|known| known.id == half.id && Some(known.id.as_str()) != old);
        if let Some(first) = taken {
            return Err(HalfProblem::Taken { id: half.id, number: first + 1 });
        }
        let id = half.id.clone();
        match old.and_then(|old| self.of_mut(side).iter_mut().find(|known| known.id == old)) {
            Some(known) => *known = half,
            None => self.of_mut(side).push(half),
        }
        if let Some(old) = old.filter(|old| *old != id) {
            for pair in self.pinned.iter_mut().chain(&mut self.forbidden) {
                let own = if side == Side::Lid { &mut pair.0 } else { &mut pair.1 };
                if own == old {
                    own.clone_from(&id);
                }
            }
        }
        Ok(())
    }

    /// Puts a half at the end of its shelf, where its id is not taken; true where it was put there.
    pub fn push(&mut self, side: Side, half: Half) -> bool {
        self.put(side, None, half).is_ok()
    }

    /// What is wrong with shelves that a person wrote by hand, so that they can't be used; nothing where they can.
    pub fn fault(&self) -> Option<String> {
        for side in [Side::Lid, Side::Base] {
            let mut seen = std::collections::BTreeSet::new();
            for half in self.of(side) {
                if half.id.trim().is_empty() {
                    return Some(format!("a {} has no id", side.word()));
                }
                if !seen.insert(half.id.as_str()) {
                    return Some(format!("two {}s have the id '{}'", side.word(), half.id));
                }
                let sound =
                    |m: &crate::identify::Measured| m.value.is_finite() && m.value > 0.0 && m.plus_minus.is_finite() && m.plus_minus > 0.0;
                if !half.major.iter().chain(&half.minor).all(sound) {
                    return Some(format!("a measure of the {} '{}' is no length above 0 with a ± above 0", side.word(), half.id));
                }
                if half.minor.is_some_and(|minor| half.major.is_none_or(|major| major.value < minor.value)) {
                    return Some(format!("the shorter axis of the {} '{}' is longer than the longer one", side.word(), half.id));
                }
            }
        }
        None
    }

    /// Takes a half off its shelf, with every wish that names it.
    pub fn take_off(&mut self, side: Side, id: &str) {
        self.of_mut(side).retain(|half| half.id != id);
        let names = |pair: &(String, String)| if side == Side::Lid { pair.0 == id } else { pair.1 == id };
        self.pinned.retain(|pair| !names(pair));
        self.forbidden.retain(|pair| !names(pair));
    }

    /// Puts two together by hand. Whatever else either was pinned to, it no longer is. Nothing where one of them is not there.
    pub fn pin(&mut self, lid: &str, base: &str) {
        if self.half(Side::Lid, lid).is_none() || self.half(Side::Base, base).is_none() {
            return;
        }
        self.free(lid, base);
        self.pinned.retain(|pair| pair.0 != lid && pair.1 != base);
        self.pinned.push((lid.to_owned(), base.to_owned()));
    }

    /// Says that two do not belong together. Nothing where one of them is not there.
    pub fn forbid(&mut self, lid: &str, base: &str) {
        if self.half(Side::Lid, lid).is_none() || self.half(Side::Base, base).is_none() {
            return;
        }
        self.free(lid, base);
        self.forbidden.push((lid.to_owned(), base.to_owned()));
    }

    /// Takes back what was wished of two.
    pub fn free(&mut self, lid: &str, base: &str) {
        let is_it = |pair: &(String, String)| pair.0 == lid && pair.1 == base;
        self.pinned.retain(|pair| !is_it(pair));
        self.forbidden.retain(|pair| !is_it(pair));
    }

    /// True where the two were put together by hand.
    pub fn is_pinned(&self, lid: &str, base: &str) -> bool {
        self.pinned.iter().any(|pair| pair.0 == lid && pair.1 == base)
    }

    /// True where it was said that the two do not belong together.
    pub fn is_forbidden(&self, lid: &str, base: &str) -> bool {
        self.forbidden.iter().any(|pair| pair.0 == lid && pair.1 == base)
    }

    /// What is wished, as [`pair`](super::pair) takes it. Wishes about halves that are not there are left out: a person may have edited the file.
    pub fn wishes(&self) -> Wishes {
        let there = |pairs: &[(String, String)]| -> Vec<(String, String)> {
            let lids: std::collections::BTreeSet<&str> = self.lids.iter().map(|half| half.id.as_str()).collect();
            let bases: std::collections::BTreeSet<&str> = self.bases.iter().map(|half| half.id.as_str()).collect();
            pairs.iter().filter(|pair| lids.contains(pair.0.as_str()) && bases.contains(pair.1.as_str())).cloned().collect()
        };
        Wishes { pinned: there(&self.pinned), forbidden: there(&self.forbidden) }
    }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "tests")]
    use super::super::{Rules, pair};
    use super::*;
    use crate::identify::Measured;
    use proptest::prelude::*;

    fn half(id: &str, mm: f64) -> Half {
        Half { id: id.to_owned(), major: Some(Measured { value: mm, plus_minus: 1.0 }), ..Half::default() }
    }

    #[test]
    fn a_new_id_keeps_its_wishes_and_a_taken_one_is_refused() {
        let mut shelves = Shelves::default();
        assert_eq!(shelves.free_id(Side::Lid), "L1");
        for n in 1..=2 {
            shelves.put(Side::Lid, None, half(&format!("L{n}"), 90.0)).unwrap();
            shelves.put(Side::Base, None, half(&format!("B{n}"), 92.0)).unwrap();
        }
        shelves.pin("L1", "B2");
        shelves.put(Side::Lid, Some("L1"), half("oval one", 91.0)).unwrap();
        assert_eq!(shelves.pinned, [("oval one".to_owned(), "B2".to_owned())]);
        assert_eq!((shelves.lids[0].id.as_str(), shelves.free_id(Side::Lid).as_str()), ("oval one", "L3"));
        let refused = shelves.put(Side::Lid, Some("oval one"), half("L2", 91.0)).unwrap_err();
        assert_eq!(refused.to_string(), "another one on this shelf, the 2nd, has the id 'L2' (give it an id of its own)");
        assert_eq!(shelves.put(Side::Base, None, half(" ", 1.0)).unwrap_err(), HalfProblem::NoId);
        shelves.take_off(Side::Base, "B2");
        assert_eq!(shelves.pinned, []);
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(64))]
        /// Whatever is done to the shelves, their wishes can be met.
        #[test]
        fn wishes_can_always_be_met(steps in proptest::collection::vec((0..6u8, 0..5usize, 0..5usize), 0..40)) {
            let mut shelves = Shelves::default();
            for (what, a, b) in steps {
                let (lid, base) = (format!("L{a}"), format!("B{b}"));
                match what {
                    0 => drop(shelves.put(Side::Lid, None, half(&lid, 80.0 + 5.0 * a as f64))),
                    1 => drop(shelves.put(Side::Base, None, half(&base, 82.0 + 5.0 * b as f64))),
                    2 => shelves.pin(&lid, &base),
                    3 => shelves.forbid(&lid, &base),
                    4 => shelves.take_off(Side::Lid, &lid),
                    _ => drop(shelves.put(Side::Base, Some(&base), half(&format!("B{a}"), 82.0))),
                }
            }
            let made = pair(&shelves.lids, &shelves.bases, Rules::built_in(), None, &shelves.wishes()).unwrap();
            for (lid, base) in &shelves.pinned {
                prop_assert!(made.pairs.iter().any(|p| shelves.lids[p.lid].id == *lid && shelves.bases[p.base].id == *base));
            }
            for (lid, base) in &shelves.forbidden {
                prop_assert!(!made.pairs.iter().any(|p| shelves.lids[p.lid].id == *lid && shelves.bases[p.base].id == *base));
            }
        }
    }
}
