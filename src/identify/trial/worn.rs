//! What can still be read of a worn mark.

use crate::marks::look_alikes;
use rand::Rng as _;
use rand_chacha::ChaCha8Rng;

/// Shares of the letters of a worn mark's legible run that are gone, or read as another. Choices of this program, no source.
const GONE: f64 = 0.15;
const MISREAD: f64 = 0.05;
/// The fewest letters that are legible in one run.
const FEWEST: usize = 4;

/// A run of the wording with letters lost, `?` for each and `…` where the wear begins; nothing where no letter is left.
pub(super) fn worn_wording(wording: &str, dice: &mut ChaCha8Rng) -> Option<String> {
    let letters: Vec<char> = wording.chars().collect();
    let places: Vec<usize> = letters.iter().enumerate().filter(|(_, c)| c.is_alphanumeric()).map(|(at, _)| at).collect();
    let most = places.len();
    if most == 0 {
        return None;
    }
    let length = dice.random_range(FEWEST.min(most)..=most);
    let first = dice.random_range(0..=most - length);
    let (from, to) = (*places.get(first)?, *places.get(first + length - 1)?);
    let mut text = String::new();
    if first > 0 {
        text.push('…');
    }
    let mut legible = 0;
    for &c in letters.get(from..=to)? {
        if !c.is_alphanumeric() {
            text.push(c);
        } else if dice.random_bool(GONE) {
            text.push('?');
        } else {
            legible += 1;
            let others = if dice.random_bool(MISREAD) { look_alikes(c) } else { Vec::new() };
            text.push(if others.is_empty() { c } else { *others.get(dice.random_range(0..others.len()))? });
        }
    }
    if first + length < most {
        text.push('…');
    }
    (legible > 0).then_some(text)
}

#[cfg(test)]
mod tests {
    use super::*;
    use rand::SeedableRng as _;

    #[test]
    fn a_worn_wording_is_a_run_of_the_wording() {
        let mut dice = ChaCha8Rng::seed_from_u64(5);
        let wording = "MARROWBY POTTERY OVEN PROOF";
        for _ in 0..500 {
            let worn = worn_wording(wording, &mut dice);
            let Some(worn) = worn else { continue };
            let letters = worn.chars().filter(|c| *c != '…').count();
            assert!((FEWEST..=wording.chars().count()).contains(&letters), "{worn}");
            assert!(worn.chars().any(char::is_alphanumeric), "{worn}");
            // Every character stands, is gone, or is one that looks like it, somewhere along the wording.
            let run: Vec<char> = worn.chars().filter(|c| *c != '…').collect();
            let fits =
                |start: &[char]| start.iter().zip(&run).all(|(is, read)| is == read || *read == '?' || look_alikes(*is).contains(read));
            let all: Vec<char> = wording.chars().collect();
            assert!(all.windows(run.len()).any(fits), "{worn}");
        }
    }

    #[test]
    fn a_mark_without_words_reads_as_nothing() {
        let mut dice = ChaCha8Rng::seed_from_u64(5);
        assert_eq!(worn_wording("", &mut dice), None);
        assert_eq!(worn_wording("· — ·", &mut dice), None);
        assert!(worn_wording("M", &mut dice).is_none_or(|worn| worn.chars().count() == 1));
    }
}
