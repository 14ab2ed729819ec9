//! Letters that worn or badly inked print makes look alike.
//!
//! Common practice of readers of print, no source for the figures: each is the chance that the first is read where the second stands, out
//! of a hundred readings of worn print.

/// Single letters, both ways.
const PAIRS: [(char, char, f64); 36] = [
    ('O', '0', 0.20),
    ('O', 'Q', 0.05),
    ('O', 'D', 0.03),
    ('O', 'C', 0.02),
    ('0', 'Q', 0.03),
    ('0', 'D', 0.03),
    ('I', '1', 0.20),
    ('I', 'L', 0.06),
    ('I', 'J', 0.02),
    ('I', 'T', 0.02),
    ('L', '1', 0.05),
    ('1', '7', 0.03),
    ('B', '8', 0.06),
    ('B', 'R', 0.02),
    ('B', 'P', 0.02),
    ('B', 'E', 0.02),
    ('C', 'G', 0.06),
    ('C', 'E', 0.02),
    ('E', 'F', 0.05),
    ('F', 'P', 0.03),
    ('P', 'R', 0.04),
    ('S', '5', 0.06),
    ('S', '8', 0.02),
    ('Z', '2', 0.06),
    ('G', '6', 0.05),
    ('6', '8', 0.02),
    ('3', '8', 0.04),
    ('0', '8', 0.02),
    ('A', '4', 0.03),
    ('U', 'V', 0.06),
    ('V', 'Y', 0.05),
    ('H', 'N', 0.03),
    ('M', 'N', 0.03),
    ('H', 'K', 0.02),
    ('K', 'X', 0.02),
    ('4', '9', 0.02),
];

/// Two letters that read as one, and the other way round.
pub(super) const DIGRAPHS: [([char; 2], char, f64); 5] =
    [(['R', 'N'], 'M', 0.05), (['V', 'V'], 'W', 0.05), (['C', 'L'], 'D', 0.03), (['I', 'I'], 'U', 0.03), (['L', 'I'], 'U', 0.02)];

/// Chance that `seen` is read where `stands` was printed; none where the two are not known to be mixed up.
pub(super) fn confused(seen: char, stands: char) -> Option<f64> {
    PAIRS.iter().find(|&&(a, b, _)| (a, b) == (seen, stands) || (b, a) == (seen, stands)).map(|p| p.2)
}

/// The capital letters and figures that a letter is easily read as where the print is worn, in the order of the alphabet; figures first.
pub fn look_alikes(letter: char) -> Vec<char> {
    let stands = letter.to_ascii_uppercase();
    let mut seen: Vec<char> = PAIRS.iter().filter_map(|&(a, b, _)| (a == stands).then_some(b).or((b == stands).then_some(a))).collect();
    seen.sort_unstable();
    seen
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeMap;

    #[test]
    fn no_pair_stands_twice_and_no_letter_is_mixed_up_more_often_than_read() {
        let mut sums: BTreeMap<char, f64> = BTreeMap::new();
        let mut pairs = std::collections::BTreeSet::new();
        for (a, b, p) in PAIRS {
            assert!(pairs.insert((a.min(b), a.max(b))), "{a} and {b} stand twice");
            *sums.entry(a).or_default() += p;
            *sums.entry(b).or_default() += p;
        }
        for (letter, sum) in sums {
            assert!(sum < 0.5, "{letter} is mixed up {sum} of the time");
        }
    }

    #[test]
    fn look_alikes_are_those_of_the_table() {
        assert_eq!(look_alikes('u'), ['V']);
        assert_eq!(look_alikes('6'), ['8', 'G']);
        assert!(look_alikes('W').is_empty());
    }

    #[test]
    fn confusion_goes_both_ways() {
        assert_eq!(confused('O', '0'), confused('0', 'O'));
        assert_eq!(confused('O', 'X'), None);
    }
}
