//! Which of some wordings lie closest to what was typed, letter for letter: a coarse count that is made in a moment, so that few need be weighed.
//!
//! The count is the least number of letters lost, added or changed between the typed letters and any stretch of the wording, worked out for all typed
//! letters at once in the bits of one word (Myers, Journal of the ACM 46, 1999, 395–415, in the form of Hyyrö, Nordic Journal of Computing 10, 2003,
//! 29–39). A letter that is likelier where another stands than anywhere else
//! counts as right, one that can't be read as any.

use super::weigh::{After, Query};

/// Typed letters that one word holds; what was typed is cut where it has more.
const MOST: usize = 64;
/// Going on at another place of the wording counts as much as so many wrong letters.
const LEAP: u32 = 1;

/// What was typed, as bits.
#[derive(Debug, Clone)]
pub(super) struct Typed {
    /// As it was typed, cut at gaps only.
    whole: Vec<Run>,
    /// Cut at blanks too, for lines read in another order; empty where that is the same.
    words: Vec<Run>,
}

/// Letters that follow each other.
#[derive(Debug, Clone)]
struct Run {
    /// For each letter by number, where it may have been typed, one bit a place.
    at: Vec<u64>,
    /// Where any letter may stand that has no number of its own.
    any: u64,
    length: u32,
}

impl Typed {
    /// `letters`: how many letters have a number.
    pub(super) fn new(query: &Query, letters: usize) -> Self {
        let whole = runs(query, letters, After::Gap);
        let words = runs(query, letters, After::Blank);
        Self { words: if words.len() == whole.len() { Vec::new() } else { words }, whole }
    }

    /// The count for a wording.
    pub(super) fn from(&self, codes: &[u16]) -> u32 {
        let sum = |runs: &[Run]| runs.iter().map(|run| run.from(codes)).sum::<u32>();
        let whole = sum(&self.whole);
        if whole < 2 || self.words.is_empty() {
            return whole;
        }
        // Each leap costs, or words that stand anywhere would be as good as words in a row.
        whole.min(sum(&self.words) + LEAP * (self.words.len() - self.whole.len()) as u32)
    }
}

fn runs(query: &Query, letters: usize, cut_at: After) -> Vec<Run> {
    let mut runs: Vec<Run> = Vec::new();
    for step in &query.steps {
        let full = runs.last().is_none_or(|run| run.length as usize == MOST);
        if full || step.after >= cut_at {
            runs.push(Run { at: vec![0; letters], any: 0, length: 0 });
        }
        let Some(run) = runs.last_mut() else { continue };
        let bit = 1_u64 << run.length;
        run.length += 1;
        if step.given.is_empty() {
            run.any |= bit;
        }
        for (code, at) in run.at.iter_mut().enumerate() {
            if u16::try_from(code).is_ok_and(|code| step.likely(code) > 1.0) || step.given.is_empty() {
                *at |= bit;
            }
        }
    }
    runs
}

impl Run {
    fn from(&self, codes: &[u16]) -> u32 {
        let last = 1_u64 << (self.length - 1);
        let (mut more, mut less) = (u64::MAX, 0_u64);
        let mut here = self.length;
        let mut least = here;
        for code in codes {
            let equal = self.at.get(usize::from(*code)).copied().unwrap_or(self.any);
            let diagonal = (((equal & more).wrapping_add(more)) ^ more) | equal | less;
            let up = less | !(diagonal | more);
            let down = more & diagonal;
            if up & last != 0 {
                here += 1;
            } else if down & last != 0 {
                here -= 1;
            }
            // A stretch may begin anywhere: no bit is carried in at the bottom.
            let up = up << 1;
            more = (down << 1) | !(diagonal | up);
            less = up & diagonal;
            least = least.min(here);
        }
        least
    }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::indexing_slicing, reason = "tests")]
    use super::super::confusions::Confusions;
    use super::super::typed::tokens;
    use super::super::weigh::code;
    use super::*;

    fn codes(text: &str) -> Vec<u16> {
        text.chars().filter_map(|c| code(c, &[])).collect()
    }

    fn count(typed: &str, wording: &str) -> u32 {
        let query = Query::new(&tokens(typed), &[], Confusions::standard());
        Typed::new(&query, super::super::weigh::PLAIN).from(&codes(wording))
    }

    /// The same by the table of the textbook, for typed letters without blanks and gaps.
    fn by_table(typed: &str, wording: &str) -> u32 {
        let query = Query::new(&tokens(typed), &[], Confusions::standard());
        let same = |at: u32, b: char| {
            let step = &query.steps[at as usize - 1];
            step.given.is_empty() || code(b, &[]).is_some_and(|code| step.likely(code) > 1.0)
        };
        let mut row: Vec<u32> = vec![0; wording.chars().count() + 1];
        for i in (1..).take(typed.chars().count()) {
            let mut corner = row[0];
            row[0] = i;
            for (j, b) in wording.chars().enumerate() {
                let cost = (corner + u32::from(!same(i, b))).min(row[j] + 1).min(row[j + 1] + 1);
                corner = row[j + 1];
                row[j + 1] = cost;
            }
        }
        row.into_iter().min().unwrap_or(0)
    }

    #[test]
    fn counts_are_those_of_the_table() {
        let wordings =
            ["MARROWBYPOTTERYFENLIGHTMADEINENGLAND", "QUOIN", "STANNARDMARROWBYENGLANDDETERGENTPROOF", "X", "OVENPROOFSTONEWARE"];
        let typed = [
            "MARROW",
            "RROWYPOT",
            "STOMEWAPE",
            "Q?OIN",
            "ZZZZZZ",
            "X",
            "DETERG3NTPRO0FF",
            "ENGLANDENGLANDENGLANDENGLANDENGLANDENGLANDENGLANDENGLAND",
        ];
        for typed in typed {
            for wording in wordings {
                assert_eq!(count(typed, wording), by_table(typed, wording), "{typed} in {wording}");
            }
        }
    }

    #[test]
    fn gaps_and_other_orders_cost_little() {
        assert_eq!(count("MARR…PROOF", "MARROWBYQUOINOVENPROOF"), 0);
        assert_eq!(count("PROOF QUOIN", "QUOINOVENPROOF"), 1);
        assert_eq!(count("?????", "QUOIN"), 0);
        let long = "A".repeat(150);
        assert_eq!(count(&long, "BCDE"), 150);
    }
}
