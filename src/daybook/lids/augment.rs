//! The assignment problem on few edges: the greatest sum of gains, where most rows and columns cannot meet.
//!
//! Rows are put in one after the other. Each takes the cheapest way that is left to it: a free column, or a column whose row then goes on in the same
//! manner, or to stay alone (or send another row to be alone), which gains nothing. The cheapest way is found by Dijkstra's algorithm over reduced
//! costs, which never fall below nought (Edmonds and Karp, Journal of the ACM 19, 1972, 248–264; Tomizawa, Networks 1, 1971, 173–194). Gains are whole
//! numbers, so the answer is exact, and of answers alike it is always the same one.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

/// For each row the column that it takes, or none. `gains[row]` are its columns, below `columns`, each once, with what it gains there, above nought.
/// What lies beyond `columns` is passed over.
pub(super) fn greatest_sum(gains: &[Vec<(usize, i64)>], columns: usize) -> Vec<Option<usize>> {
    let mut state = State::new(gains, columns);
    for row in 0..gains.len() {
        state.put_in(row);
    }
    state.column_of
}

/// Where a way may end.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum End {
    /// At that column: it is free, or its row goes on.
    Column(usize),
    /// That row stays alone.
    Alone(usize),
}

#[derive(Debug)]
struct State<'g> {
    gains: &'g [Vec<(usize, i64)>],
    column_of: Vec<Option<usize>>,
    row_of: Vec<Option<usize>>,
    /// Prices of rows and columns: never more together than what an edge costs, which is its gain below nought; the same on edges that are taken.
    rows: Vec<i64>,
    columns: Vec<i64>,
    /// Of the search that is on: how far each column is, and the row it is reached from.
    far: Vec<Option<(i64, usize)>>,
    /// The columns that `far` speaks of, and those of them whose distance is settled.
    touched: Vec<usize>,
    settled: Vec<usize>,
}

impl<'g> State<'g> {
    fn new(gains: &'g [Vec<(usize, i64)>], columns: usize) -> Self {
        Self {
            gains,
            column_of: vec![None; gains.len()],
            row_of: vec![None; columns],
            rows: vec![0; gains.len()],
            columns: vec![0; columns],
            far: vec![None; columns],
            touched: Vec::new(),
            settled: Vec::new(),
        }
    }

    /// The lowest price that this row's edges leave room for.
    fn price_of(&self, row: usize) -> i64 {
        let edges = self.gains.get(row).map_or(&[][..], Vec::as_slice);
        edges.iter().filter_map(|&(column, gain)| Some(-gain - self.columns.get(column)?)).fold(0, i64::min)
    }

    fn put_in(&mut self, row: usize) {
        let price = self.price_of(row);
        if let Some(own) = self.rows.get_mut(row) {
            *own = price;
        }
        let mut heap = BinaryHeap::new();
        self.look_from(row, 0, &mut heap);
        let end = loop {
            // Staying alone is always a way, so the heap never runs dry before it is found.
            let Some(Reverse((distance, end))) = heap.pop() else { return };
            match end {
                End::Alone(_) => break (distance, end),
                End::Column(column) => {
                    // Found again by a shorter way meanwhile.
                    if self.far.get(column).copied().flatten().is_none_or(|(known, _)| known < distance) {
                        continue;
                    }
                    match self.row_of.get(column).copied().flatten() {
                        None => break (distance, end),
                        Some(next) => {
                            self.settled.push(column);
                            self.look_from(next, distance, &mut heap);
                        }
                    }
                }
            }
        };
        self.pay(row, end.0);
        self.turn(row, end.1);
        for column in self.touched.drain(..) {
            if let Some(far) = self.far.get_mut(column) {
                *far = None;
            }
        }
        self.settled.clear();
    }

    /// Adds what can be reached from a row that is itself reached at a distance.
    fn look_from(&mut self, row: usize, distance: i64, heap: &mut BinaryHeap<Reverse<(i64, End)>>) {
        let price = self.rows.get(row).copied().unwrap_or(0);
        heap.push(Reverse((distance - price, End::Alone(row))));
        for &(column, gain) in self.gains.get(row).map_or(&[][..], Vec::as_slice) {
            let (Some(other), Some(far)) = (self.columns.get(column), self.far.get_mut(column)) else { continue };
            let reached = distance - gain - price - other;
            if far.is_none_or(|(known, _)| reached < known) {
                if far.is_none() {
                    self.touched.push(column);
                }
                *far = Some((reached, row));
                heap.push(Reverse((reached, End::Column(column))));
            }
        }
    }

    /// Moves the prices of what was passed, so that the way found costs nothing beside them.
    fn pay(&mut self, row: usize, distance: i64) {
        if let Some(own) = self.rows.get_mut(row) {
            *own += distance;
        }
        for &column in &self.settled {
            let Some((far, _)) = self.far.get(column).copied().flatten() else { continue };
            let short = distance - far;
            if let Some(price) = self.columns.get_mut(column) {
                *price -= short;
            }
            if let Some(price) = self.row_of.get(column).copied().flatten().and_then(|row| self.rows.get_mut(row)) {
                *price += short;
            }
        }
    }

    /// Gives every row along the way its new column.
    fn turn(&mut self, first: usize, end: End) {
        let mut column = match end {
            End::Column(column) => Some(column),
            // That row lets go of the column it had, which the one before it takes.
            End::Alone(row) => self.column_of.get_mut(row).and_then(Option::take),
        };
        while let Some(at) = column {
            let Some((_, row)) = self.far.get(at).copied().flatten() else { return };
            if let Some(own) = self.row_of.get_mut(at) {
                *own = Some(row);
            }
            let Some(own) = self.column_of.get_mut(row) else { return };
            let before = own.replace(at);
            if row == first {
                return;
            }
            column = before;
        }
    }
}
