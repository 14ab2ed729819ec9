//! Sets of forms, and counts of answers against them, 64 forms a word.

/// A set of forms, one bit each, in the order of the table.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Bits {
    words: Vec<u64>,
    forms: usize,
}

impl Bits {
    /// No form of so many.
    pub fn none(forms: usize) -> Self {
        Self { words: vec![0; forms.div_ceil(64)], forms }
    }

    /// Every form of so many.
    pub fn all(forms: usize) -> Self {
        let mut all = Self { words: vec![u64::MAX; forms.div_ceil(64)], forms };
        all.trim();
        all
    }

    /// The forms for which the word of truth is true, in order; as many forms as there are words.
    pub fn from_truth(truth: impl ExactSizeIterator<Item = bool>) -> Self {
        let forms = truth.len();
        let mut words = Vec::with_capacity(forms.div_ceil(64));
        let (mut word, mut at) = (0u64, 0u32);
        for is_in in truth {
            word |= u64::from(is_in) << at;
            at += 1;
            if at == 64 {
                words.push(word);
                (word, at) = (0, 0);
            }
        }
        if at > 0 {
            words.push(word);
        }
        Self { words, forms }
    }

    /// Number of forms that may be in the set.
    pub fn forms(&self) -> usize {
        self.forms
    }

    /// Number of forms in the set.
    pub fn count(&self) -> usize {
        // Four counts at a time: no count waits for the one before.
        let (fours, rest) = self.words.as_chunks::<4>();
        let sum = fours.iter().fold([0u64; 4], |sum, four| std::array::from_fn(|i| add(sum, four, i)));
        (sum.iter().sum::<u64>() + rest.iter().map(|word| u64::from(word.count_ones())).sum::<u64>()) as usize
    }

    /// True where the form is in the set.
    pub fn contains(&self, form: usize) -> bool {
        form < self.forms && self.words.get(form / 64).is_some_and(|word| word >> (form % 64) & 1 == 1)
    }

    /// Puts a form in. A form past the last is passed over.
    pub fn insert(&mut self, form: usize) {
        if form < self.forms
            && let Some(word) = self.words.get_mut(form / 64)
        {
            *word |= 1 << (form % 64);
        }
    }

    /// Takes a form out.
    pub fn remove(&mut self, form: usize) {
        if let Some(word) = self.words.get_mut(form / 64) {
            *word &= !(1 << (form % 64));
        }
    }

    /// Keeps what the other set holds too. Both must be over as many forms.
    pub fn keep(&mut self, other: &Self) {
        for (word, other) in self.words.iter_mut().zip(&other.words) {
            *word &= other;
        }
    }

    /// Adds what the other set holds. Both must be over as many forms.
    pub fn join(&mut self, other: &Self) {
        for (word, other) in self.words.iter_mut().zip(&other.words) {
            *word |= other;
        }
    }

    /// Number of forms in this set and not in the other.
    pub fn count_without(&self, other: &Self) -> usize {
        self.words.iter().zip(&other.words).map(|(word, other)| (word & !other).count_ones() as usize).sum()
    }

    /// The forms of the set, in order.
    pub fn iter(&self) -> impl Iterator<Item = usize> + '_ {
        self.words.iter().enumerate().flat_map(|(at, &word)| {
            std::iter::successors((word != 0).then_some(word), |word| {
                let less = word & (word - 1);
                (less != 0).then_some(less)
            })
            .map(move |word| at * 64 + word.trailing_zeros() as usize)
        })
    }

    fn trim(&mut self) {
        let over = self.forms % 64;
        if over > 0
            && let Some(last) = self.words.last_mut()
        {
            *last &= (1 << over) - 1;
        }
    }
}

#[expect(clippy::indexing_slicing, reason = "both arrays have four places and i is below four")]
fn add(sum: [u64; 4], four: &[u64; 4], i: usize) -> u64 {
    sum[i] + u64::from(four[i].count_ones())
}

/// How many answers speak against each form, as binary digits: plane i holds the forms whose count has digit i.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Slips {
    planes: Vec<Bits>,
    forms: usize,
}

impl Slips {
    /// No answer yet against any of so many forms.
    pub fn none(forms: usize) -> Self {
        Self { planes: Vec::new(), forms }
    }

    /// Counts one more answer: against every form but those it leaves.
    pub fn count_all_but(&mut self, left: &Bits) {
        let mut carry = Bits::all(self.forms);
        for (word, left) in carry.words.iter_mut().zip(&left.words) {
            *word &= !left;
        }
        for plane in &mut self.planes {
            for (digit, carry) in plane.words.iter_mut().zip(&mut carry.words) {
                let both = *digit & *carry;
                *digit ^= *carry;
                *carry = both;
            }
        }
        if carry.words.iter().any(|&word| word != 0) {
            self.planes.push(carry);
        }
    }

    /// The forms against which exactly so many answers speak.
    pub fn exactly(&self, answers: usize) -> Bits {
        let mut found = Bits::all(self.forms);
        if answers.checked_shr(self.planes.len() as u32).unwrap_or(0) > 0 {
            return Bits::none(self.forms);
        }
        for (digit, plane) in self.planes.iter().enumerate() {
            let flip = if answers >> digit & 1 == 1 { 0 } else { u64::MAX };
            for (found, word) in found.words.iter_mut().zip(&plane.words) {
                *found &= word ^ flip;
            }
        }
        found
    }

    /// The least count there is, with the forms that have it; nothing of a table without forms.
    pub fn least(&self) -> (usize, Bits) {
        // From the highest digit down: where some that are left have a nought, those with a one fall out.
        let mut left = Bits::all(self.forms);
        let mut least = 0;
        for (digit, plane) in self.planes.iter().enumerate().rev() {
            if left.count_without(plane) > 0 {
                for (word, plane) in left.words.iter_mut().zip(&plane.words) {
                    *word &= !plane;
                }
            } else if self.forms > 0 {
                least |= 1 << digit;
            }
        }
        (least, left)
    }

    /// How many answers speak against one form.
    pub fn of(&self, form: usize) -> usize {
        self.planes.iter().enumerate().map(|(digit, plane)| usize::from(plane.contains(form)) << digit).sum()
    }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::indexing_slicing, reason = "tests")]
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #![proptest_config(ProptestConfig { cases: 64, failure_persistence: None, ..ProptestConfig::default() })]

        #[test]
        fn counts_by_digits_are_counts_one_by_one(
            forms in 0_usize..200,
            seed in prop::collection::vec(prop::collection::vec(any::<bool>(), 200), 0..9),
        ) {
            let mut slips = Slips::none(forms);
            let mut slow = vec![0_usize; forms];
            for truth in &seed {
                let left = Bits::from_truth(truth[..forms].iter().copied());
                prop_assert_eq!(left.count(), truth[..forms].iter().filter(|t| **t).count());
                prop_assert_eq!(left.iter().collect::<Vec<_>>(), (0..forms).filter(|&f| truth[f]).collect::<Vec<_>>());
                slips.count_all_but(&left);
                for (n, is_left) in slow.iter_mut().zip(truth) {
                    *n += usize::from(!is_left);
                }
            }
            for (form, &n) in slow.iter().enumerate() {
                prop_assert_eq!(slips.of(form), n);
            }
            for n in 0..10 {
                let there: Vec<usize> = (0..forms).filter(|&f| slow[f] == n).collect();
                prop_assert_eq!(slips.exactly(n).iter().collect::<Vec<_>>(), there);
            }
            let least = slow.iter().copied().min().unwrap_or(0);
            let (n, with) = slips.least();
            prop_assert_eq!(n, least);
            prop_assert_eq!(with.iter().collect::<Vec<_>>(), (0..forms).filter(|&f| slow[f] == least).collect::<Vec<_>>());
        }
    }

    #[test]
    fn the_last_word_holds_no_form_too_many() {
        for forms in [0, 1, 63, 64, 65, 128, 130] {
            let all = Bits::all(forms);
            assert_eq!((all.count(), all.iter().count()), (forms, forms), "{forms}");
            let mut bits = Bits::none(forms);
            bits.insert(forms);
            assert_eq!((bits.count(), bits.contains(forms)), (0, false), "{forms}");
        }
    }
}
