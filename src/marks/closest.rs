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

/// Runs that are counted in step with each other: what one waits for, the others work in.
const TOGETHER: usize = 4;

/// What was typed, as bits: as it was typed, cut at gaps only, and behind it cut at blanks too, for lines read in another order (unless that is the same).
#[derive(Debug, Clone)]
pub(super) struct Typed {
    groups: Vec<Group>,
    /// Runs of what was typed as it was typed, and all.
    whole: usize,
    all: usize,
}

/// Runs that are counted together. Each stands at the upper end of its word; below it every letter counts as right, so that a stretch may begin anywhere.
#[derive(Debug, Clone)]
struct Group {
    /// For each letter by number, where it may have been typed, one bit a place.
    at: Vec<[u64; TOGETHER]>,
    /// Where any letter may stand that has no number of its own.
    any: [u64; TOGETHER],
    /// The bits of each run.
    own: [u64; TOGETHER],
    /// Letters of each; 0 where there is no run.
    lengths: [u32; TOGETHER],
}

/// Letters that follow each other.
#[derive(Debug, Clone)]
struct Run {
    at: Vec<u64>,
    any: u64,
    length: u32,
}

impl Typed {
    /// `letters`: how many letters have a number.
    pub(super) fn new(query: &Query, letters: usize) -> Self {
        let mut runs_of_all = runs(query, letters, After::Gap);
        let whole = runs_of_all.len();
        let words = runs(query, letters, After::Blank);
        if words.len() > whole {
            runs_of_all.extend(words);
        }
        Self { groups: runs_of_all.chunks(TOGETHER).map(|runs| Group::new(runs, letters)).collect(), whole, all: runs_of_all.len() }
    }

    /// The count for a wording.
    pub(super) fn from(&self, codes: &[u16]) -> u32 {
        let (mut whole, mut words) = (0, 0);
        for (number, group) in self.groups.iter().enumerate() {
            for (at, count) in (number * TOGETHER..).zip(group.from(codes)) {
                *if at < self.whole { &mut whole } else { &mut words } += count;
            }
        }
        if self.all == self.whole {
            return whole;
        }
        // Each leap costs, or words that stand anywhere would be as good as words in a row.
        whole.min(words + LEAP * (self.all - 2 * self.whole) as u32)
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

impl Group {
    fn new(runs: &[Run], letters: usize) -> Self {
        let mut group =
            Self { at: vec![[u64::MAX; TOGETHER]; letters], any: [u64::MAX; TOGETHER], own: [0; TOGETHER], lengths: [0; TOGETHER] };
        for (lane, run) in runs.iter().enumerate().filter(|(_, run)| run.length > 0) {
            let below = MOST as u32 - run.length;
            let own = u64::MAX << below;
            let lifted = |bits: u64| bits << below | !own;
            for (at, bits) in group.at.iter_mut().zip(&run.at) {
                if let Some(at) = at.get_mut(lane) {
                    *at = lifted(*bits);
                }
            }
            if let (Some(any), Some(of_run), Some(length)) = (group.any.get_mut(lane), group.own.get_mut(lane), group.lengths.get_mut(lane))
            {
                (*any, *of_run, *length) = (lifted(run.any), own, run.length);
            }
        }
        group
    }

    fn from(&self, codes: &[u16]) -> [u32; TOGETHER] {
        let (mut more, mut less) = (self.own, [0_u64; TOGETHER]);
        let mut here = self.lengths;
        let mut least = here;
        for code in codes {
            let equal = self.at.get(usize::from(*code)).unwrap_or(&self.any);
            let lanes = equal.iter().zip(&mut more).zip(&mut less).zip(here.iter_mut().zip(&mut least));
            for (((equal, more), less), (here, least)) in lanes {
                let diagonal = (((equal & *more).wrapping_add(*more)) ^ *more) | equal | *less;
                let up = *less | !(diagonal | *more);
                let down = *more & diagonal;
                // Which way it goes can't be foretold, so there is no branch. Never are both bits set, and never does it fall below 0.
                *here = here.wrapping_add((up >> (MOST - 1)) as u32).wrapping_sub((down >> (MOST - 1)) as u32);
                // A stretch may begin anywhere: no bit is carried in at the bottom.
                let up = up << 1;
                *more = (down << 1) | !(diagonal | up);
                *less = up & diagonal;
                *least = (*least).min(*here);
            }
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
