//! How likely a reading is on a wording by the very process that `wordings::readings` draws by. Nobody can know more of a reading than that, so what comes first
//! by it is the most that any matcher can have right: the ceiling.

use super::wordings::Losses;
use footring::marks::look_alikes;

/// Letters drawn in place of others.
pub(crate) struct Exact {
    /// For each letter that stands, how often each other is drawn for it.
    instead: Vec<Vec<f64>>,
    shortest: usize,
}

/// A wording in one line: the numbers of its letters, none for a blank.
pub(crate) struct Line {
    places: Vec<Option<usize>>,
    letters: usize,
}

#[derive(Clone, Copy, PartialEq)]
enum Seen {
    Letter(usize),
    Blank,
    One,
    Gap,
}

/// A reading, ready to be held against lines.
pub(crate) struct Asked<'a> {
    exact: &'a Exact,
    seen: Vec<Seen>,
    losses: Losses,
    /// Letters that were read, rightly or wrongly.
    read: usize,
    /// Weight of so many letters lost and so many changed, in whatever places.
    weights: Vec<Vec<f64>>,
    /// Letters lost and changed at most.
    most: usize,
}

fn number(c: char) -> Option<usize> {
    c.to_digit(36).and_then(|n| usize::try_from(n).ok())
}

fn ln_choose(n: usize, k: usize) -> f64 {
    (0..k).map(|i| ((n - i) as f64 / (k - i) as f64).ln()).sum()
}

/// How often of so many letters so many are damaged.
fn damaged(letters: usize, how_many: usize) -> f64 {
    (0..2001).filter(|r| (letters * (1000 + r) + 5000) / 10_000 == how_many).count() as f64 / 2001.0
}

fn most_damaged(letters: usize) -> usize {
    (letters * 3000 + 5000) / 10_000
}

impl Exact {
    /// `shortest` as in `readings`.
    pub(crate) fn new(shortest: usize) -> Self {
        let instead = (0..36_u32)
            .map(|stands| {
                let letter = char::from_digit(stands, 36).map_or('?', |c| c.to_ascii_uppercase());
                let alike = look_alikes(letter);
                let any = if alike.is_empty() { 1.0 } else { 0.5 };
                let others = if letter.is_ascii_digit() { 26.0 } else { 25.0 };
                (0..36_u32)
                    .map(|drawn| {
                        let c = char::from_digit(drawn, 36).map_or('?', |c| c.to_ascii_uppercase());
                        let by_looks = if alike.contains(&c) { 0.5 / alike.len() as f64 } else { 0.0 };
                        by_looks + if c.is_ascii_uppercase() && drawn != stands { any / others } else { 0.0 }
                    })
                    .collect()
            })
            .collect();
        Self { instead, shortest }
    }

    pub(crate) fn line(line: &str) -> Line {
        let places: Vec<Option<usize>> = line.chars().map(number).collect();
        Line { letters: places.iter().flatten().count(), places }
    }

    /// Makes a reading ready.
    pub(crate) fn asked(&self, typed: &str, losses: Losses) -> Asked<'_> {
        let seen: Vec<Seen> = typed
            .chars()
            .map(|c| match c {
                '?' => Seen::One,
                '…' => Seen::Gap,
                _ => number(c).map_or(Seen::Blank, Seen::Letter),
            })
            .collect();
        let read = seen.iter().filter(|seen| matches!(seen, Seen::Letter(_))).count();
        let ones = seen.iter().filter(|seen| **seen == Seen::One).count();
        let gap = seen.contains(&Seen::Gap);
        let lost_at_most =
            if losses == Losses::Each { ones } else { (0..=read).filter(|lost| most_damaged(read + lost) >= *lost).max().unwrap_or(0) };
        let changed_at_most = (0..=lost_at_most).map(|lost| most_damaged(read + lost).saturating_sub(lost)).max().unwrap_or(0).min(read);
        let weight = |lost: usize, changed: usize| {
            let possible = match losses {
                Losses::Unsaid => true,
                Losses::Each => lost == ones,
                Losses::OneRun => (lost > 0) == gap,
            };
            let (run, all) = (read + lost, lost + changed);
            let places = if losses == Losses::OneRun { ((read + 1) as f64).ln() } else { ln_choose(run, lost) };
            let log = ln_choose(all, lost) - all as f64 * std::f64::consts::LN_2 - places - ln_choose(read, changed);
            if possible { damaged(run, all) * log.exp() } else { 0.0 }
        };
        let weights = (0..=lost_at_most).map(|lost| (0..=changed_at_most).map(|changed| weight(lost, changed)).collect()).collect();
        let most = if losses == Losses::Unsaid { most_damaged(read + lost_at_most) } else { changed_at_most };
        Asked { exact: self, seen, losses, read, weights, most }
    }
}

impl Asked<'_> {
    /// The chance that this was read of that line, but for what is the same for all lines.
    pub(crate) fn chance(&self, line: &Line) -> f64 {
        let apart: usize = self.seen.split(|seen| *seen == Seen::Gap).map(|part| edits(part, line)).sum();
        if apart > self.most {
            return 0.0;
        }
        let (lost_at_most, changed_at_most) = (self.weights.len(), self.weights.first().map_or(0, Vec::len));
        let cells = lost_at_most * changed_at_most;
        let long = self.seen.len();
        // Ways to have read so much of the reading so far, by letters lost and changed.
        let mut ways = vec![0.0; (long + 1) * cells];
        let mut whole = vec![0.0; cells];
        for place in &line.places {
            let mut next = vec![0.0; ways.len()];
            if place.is_some()
                && let Some(begin) = ways.first_mut()
            {
                *begin += 1.0;
            }
            let mut add = |read: usize, lost: usize, changed: usize, p: f64| {
                if lost < lost_at_most
                    && changed < changed_at_most
                    && let Some(way) = next.get_mut(read * cells + lost * changed_at_most + changed)
                {
                    *way += p;
                }
            };
            for (at, p) in ways.iter().copied().enumerate().filter(|(_, p)| *p > 0.0) {
                let (read, lost, changed) = (at / cells, at % cells / changed_at_most, at % changed_at_most);
                let before = read.checked_sub(1).and_then(|read| self.seen.get(read));
                match (place, self.seen.get(read)) {
                    (None, _) if matches!(before, Some(Seen::Blank | Seen::Gap)) => add(read, lost, changed, p),
                    (None, Some(Seen::Blank)) => add(read + 1, lost, changed, p),
                    (None, _) => {}
                    (Some(stands), here) => {
                        match self.losses {
                            Losses::Unsaid => add(read, lost + 1, changed, p),
                            Losses::OneRun if before == Some(&Seen::Gap) => add(read, lost + 1, changed, p),
                            Losses::Each if here == Some(&Seen::One) => add(read + 1, lost + 1, changed, p),
                            Losses::OneRun if here == Some(&Seen::Gap) => add(read + 1, lost + 1, changed, p),
                            Losses::Each | Losses::OneRun => {}
                        }
                        if let Some(Seen::Letter(typed)) = here {
                            if typed == stands {
                                add(read + 1, lost, changed, p);
                            } else {
                                let instead = self.exact.instead.get(*stands).and_then(|row| row.get(*typed)).copied().unwrap_or(0.0);
                                add(read + 1, lost, changed + 1, p * instead);
                            }
                        }
                    }
                }
            }
            if place.is_some() {
                for (sum, p) in whole.iter_mut().zip(next.iter().skip(long * cells)) {
                    *sum += p;
                }
            }
            ways = next;
        }
        let least = self.exact.shortest.min(line.letters);
        let of_lost = |(lost, weights): (usize, &Vec<f64>)| {
            let run = self.read + lost;
            if run < least || run > line.letters {
                return 0.0;
            }
            let here = whole.iter().skip(lost * changed_at_most);
            let sum: f64 = here.zip(weights).map(|(ways, weight)| ways * weight).sum();
            sum / ((line.letters - least + 1) as f64 * (line.letters - run + 1) as f64)
        };
        self.weights.iter().enumerate().map(of_lost).sum()
    }
}

/// Letters lost, added or changed at least between a part of a reading and any stretch of a line: a bound that spares most lines the sum.
fn edits(part: &[Seen], line: &Line) -> usize {
    let part: Vec<Seen> = part.iter().copied().filter(|seen| *seen != Seen::Blank).collect();
    let mut column: Vec<usize> = (0..=part.len()).collect();
    let mut best = part.len();
    for letter in line.places.iter().flatten() {
        let mut corner = 0;
        let mut above = 0;
        for (seen, cell) in part.iter().zip(column.iter_mut().skip(1)) {
            let same = *seen == Seen::One || *seen == Seen::Letter(*letter);
            let cost = (corner + usize::from(!same)).min(above + 1).min(*cell + 1);
            corner = *cell;
            above = cost;
            *cell = cost;
        }
        best = best.min(column.last().copied().unwrap_or(0));
    }
    best
}
