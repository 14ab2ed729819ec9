//! Distributions over the outcomes of a look: each a height over a common floor, and a few runs of outcomes that stand above it.
//!
//! The peaks of all rows lie behind one another, so that a mixture of ten thousand rows is a run through memory.

/// The rows of one column, by pattern.
#[derive(Debug, Clone, Default)]
pub(super) struct Rows {
    by_pattern: Vec<Row>,
    runs: Vec<Run>,
    peaks: Vec<f64>,
}

/// One row.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Row {
    /// How often the floor is met.
    pub(super) height: f64,
    /// Entropy of the outcome, in bits.
    pub(super) bits: f64,
    /// Its runs: the first, and one past the last.
    runs: (u32, u32),
}

/// Peaks on outcomes that follow one another.
#[derive(Debug, Clone, Copy)]
struct Run {
    outcome: u32,
    /// Where its peaks are: the first, and one past the last.
    peaks: (u32, u32),
}

impl Rows {
    /// Adds a row. Its peaks are outcomes with what stands on them above the floor, in any order, an outcome once.
    pub(super) fn push(&mut self, height: f64, peaks: impl IntoIterator<Item = (u32, f64)>) {
        let row = self.made(height, peaks);
        self.by_pattern.push(row);
    }

    /// Puts another row in the place of one.
    pub(super) fn put(&mut self, pattern: usize, height: f64, peaks: impl IntoIterator<Item = (u32, f64)>) {
        let made = self.made(height, peaks);
        if let Some(row) = self.by_pattern.get_mut(pattern) {
            *row = made;
        }
    }

    fn made(&mut self, height: f64, peaks: impl IntoIterator<Item = (u32, f64)>) -> Row {
        let mut peaks: Vec<(u32, f64)> = peaks.into_iter().collect();
        peaks.sort_unstable_by_key(|peak| peak.0);
        let first = number(self.runs.len());
        for pair in peaks.chunk_by(|a, b| b.0 == a.0 + 1) {
            let from = number(self.peaks.len());
            self.peaks.extend(pair.iter().map(|peak| peak.1));
            let outcome = pair.first().map_or(0, |peak| peak.0);
            self.runs.push(Run { outcome, peaks: (from, number(self.peaks.len())) });
        }
        Row { height, bits: 0.0, runs: (first, number(self.runs.len())) }
    }

    /// The rows, by pattern.
    pub(super) fn iter(&self) -> impl Iterator<Item = &Row> {
        self.by_pattern.iter()
    }

    /// The row of a pattern.
    pub(super) fn get(&self, pattern: usize) -> Option<&Row> {
        self.by_pattern.get(pattern)
    }

    /// Says what the entropy of each row is.
    pub(super) fn set_bits(&mut self, of: impl Fn(&Self, &Row) -> f64) {
        let bits: Vec<f64> = self.by_pattern.iter().map(|row| of(self, row)).collect();
        for (row, bits) in self.by_pattern.iter_mut().zip(bits) {
            row.bits = bits;
        }
    }

    /// The runs of a row: the outcome that each begins with, and its peaks.
    pub(super) fn runs<'a>(&'a self, row: &Row) -> impl Iterator<Item = (usize, &'a [f64])> + use<'a> {
        let runs = self.runs.get(row.runs.0 as usize..row.runs.1 as usize).unwrap_or_default();
        let peaks = |run: &Run| self.peaks.get(run.peaks.0 as usize..run.peaks.1 as usize).unwrap_or_default();
        runs.iter().map(move |run| (run.outcome as usize, peaks(run)))
    }

    /// The outcomes on which either of two rows has a peak, in order, with the peak of each.
    pub(super) fn either<'a>(&'a self, one: &Row, other: &Row) -> impl Iterator<Item = (usize, f64, f64)> + use<'a> {
        let peaks = |row: &Row| self.runs(row).flat_map(|(from, peaks)| peaks.iter().enumerate().map(move |(at, &peak)| (from + at, peak)));
        let (mut one, mut other) = (peaks(one).peekable(), peaks(other).peekable());
        std::iter::from_fn(move || match (one.peek().copied(), other.peek().copied()) {
            (Some((a, p)), Some((b, q))) if a == b => {
                one.next();
                other.next();
                Some((a, p, q))
            }
            (Some((a, p)), other_at) if other_at.is_none_or(|(b, _)| a < b) => {
                one.next();
                Some((a, p, 0.0))
            }
            (_, Some((b, q))) => {
                other.next();
                Some((b, 0.0, q))
            }
            (_, None) => None,
        })
    }

    /// Adds the peaks of a row, so many times, to what stands on each outcome.
    pub(super) fn add(&self, row: &Row, times: f64, to: &mut [f64]) {
        for (outcome, peaks) in self.runs(row) {
            let to = to.get_mut(outcome..).unwrap_or_default();
            for (p, peak) in to.iter_mut().zip(peaks) {
                *p += times * peak;
            }
        }
    }
}

/// A place in lists that are far shorter than four thousand million.
fn number(n: usize) -> u32 {
    u32::try_from(n).unwrap_or(u32::MAX)
}
