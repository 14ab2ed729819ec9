//! What a trial found.

use super::super::{Index, Piece, VerdictState};
use super::calibration::{Calibration, Forecast, brier, loss_bits, reliability};
use super::capacity::most_bits;
use super::draw::Maker;
use super::piece::Named;
use super::{Options, Share};
use crate::key::{FormId, LineId};
use rayon::prelude::*;
use std::collections::BTreeMap;

/// What a trial found. Shares are over all made-up pieces, each weighed by how common its form is; their intervals are of 95 %.
#[derive(Debug, Clone, PartialEq)]
pub struct Report {
    /// What was tried.
    pub options: Options,
    /// Number of pieces, strangers not among them.
    pub pieces: usize,
    /// The right form was the most probable.
    pub first: Share,
    /// It was one of the three most probable.
    pub first_three: Share,
    /// A name was settled.
    pub settled: Share,
    /// The name that was settled was wrong.
    pub settled_wrongly: Share,
    /// The verdict was 'not in this key', although it is.
    pub called_strange: Share,
    /// The verdict was that the answers do not go together.
    pub called_contradictory: Share,
    /// The looks it took.
    pub looks: Looks,
    /// How far the probabilities can be believed.
    pub calibration: Calibration,
    /// Each form, in the order of their ids.
    pub forms: Vec<FormResult>,
    /// Forms taken for others, most often first; ties by the ids.
    pub confusions: Vec<Confusion>,
    /// The lines, in the order of the key.
    pub lines: Vec<LineId>,
    /// For each line, how many of its pieces were taken for a form of each line.
    pub line_taken_for: Vec<Vec<usize>>,
    /// Pieces of forms that were left out of the key; none where that was not tried.
    pub strangers: Option<Strangers>,
}

/// The looks it took.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Looks {
    /// Mean number of looks at a piece.
    pub mean: f64,
    /// Half of the pieces took no more than this.
    pub median: usize,
    /// 95 of 100 pieces took no more than this.
    pub most_of_95: usize,
    /// Mean effort, a glance being 1.
    pub mean_effort: f64,
    /// Entropy with nothing looked at, in bits: as many yes-or-no questions would be needed at least, were there no slips (Huffman, Proc. IRE
    /// 40, 1952).
    pub start_bits: f64,
    /// Mean entropy at the end.
    pub end_bits: f64,
    /// The most that one look at any feature of the key can tell, in bits.
    pub best_look_bits: f64,
    /// No way of choosing the looks can gain as much as was gained with a lower mean number of them: gained bits ÷ the bits of the best look.
    pub bound: f64,
}

/// How one form fared.
#[derive(Debug, Clone, PartialEq)]
pub struct FormResult {
    /// The form.
    pub form: FormId,
    /// Its made-up pieces.
    pub pieces: usize,
    /// Those for which it was the most probable form.
    pub right: usize,
    /// The share of these.
    pub first: Share,
    /// Those for which it was one of the first three.
    pub first_three: usize,
    /// Mean number of looks.
    pub looks: f64,
}

/// A form that was taken for another.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Confusion {
    /// What the pieces were.
    pub form: FormId,
    /// The form that was thought more probable than any other.
    pub taken_for: FormId,
    /// Number of pieces.
    pub pieces: usize,
    /// Those of them that were settled under the wrong name.
    pub settled: usize,
}

/// How pieces of forms that the key did not have were named.
#[derive(Debug, Clone, PartialEq)]
pub struct Strangers {
    /// Forms left out, one at a time.
    pub forms: usize,
    /// Pieces of them.
    pub pieces: usize,
    /// The verdict was 'not in this key'.
    pub called_strange: Share,
    /// The verdict was that the answers do not go together.
    pub called_contradictory: Share,
    /// They were settled under the name of another form.
    pub named: Share,
    /// The same with a measure of their size taken, so that nothing told the person to take one.
    pub named_though_measured: Share,
    /// Which form was settled instead of which, most often first.
    pub taken_for: Vec<Confusion>,
}

impl Report {
    /// The result of a form.
    pub fn form(&self, id: &FormId) -> Option<&FormResult> {
        self.forms.binary_search_by(|result| result.form.cmp(id)).ok().and_then(|place| self.forms.get(place))
    }

    /// Pairs of forms that were taken for each other, either way, most often first; ties by the ids. The first of a pair is the one with the lesser id.
    pub fn pairs(&self) -> Vec<(FormId, FormId, usize)> {
        let mut sums: BTreeMap<(&FormId, &FormId), usize> = BTreeMap::new();
        for confusion in &self.confusions {
            let (a, b) = (&confusion.form, &confusion.taken_for);
            *sums.entry(if a <= b { (a, b) } else { (b, a) }).or_default() += confusion.pieces;
        }
        let mut pairs: Vec<(FormId, FormId, usize)> = sums.into_iter().map(|((a, b), n)| (a.clone(), b.clone(), n)).collect();
        pairs.sort_by_key(|pair| std::cmp::Reverse(pair.2));
        pairs
    }
}

/// Sums over pieces, each with its weight.
struct Weighed<'a> {
    pieces: Vec<(f64, &'a Named)>,
    all: f64,
    /// How many equal pieces the unequal ones are worth.
    worth: f64,
}

impl Weighed<'_> {
    fn mean(&self, of: impl Fn(&Named) -> f64) -> f64 {
        if self.all > 0.0 { self.pieces.iter().map(|(weight, named)| weight * of(named)).sum::<f64>() / self.all } else { 0.0 }
    }

    fn share(&self, is: impl Fn(&Named) -> bool) -> Share {
        Share::weighted(self.mean(|named| f64::from(u8::from(is(named)))), self.worth)
    }

    /// The least number of looks that so large a share of the pieces did not pass.
    fn looks_of(&self, share: f64) -> usize {
        let mut by_looks: Vec<(usize, f64)> = self.pieces.iter().map(|(weight, named)| (named.looks, *weight)).collect();
        by_looks.sort_by_key(|piece| piece.0);
        let mut sum = 0.0;
        for (looks, weight) in &by_looks {
            sum += weight;
            if sum >= share * self.all - 1e-9 {
                return *looks;
            }
        }
        by_looks.last().map_or(0, |last| last.0)
    }
}

pub(super) fn report(index: &Index, maker: &Maker<'_>, options: Options, known: &[Vec<Named>], strange: &[(usize, Vec<Named>)]) -> Report {
    let of_form = |form: usize| index.prior.get(form).copied().unwrap_or(0.0) / options.pieces.max(1) as f64;
    let pieces: Vec<(f64, &Named)> = known
        .iter()
        .enumerate()
        .flat_map(|(form, all)| all.iter().map(move |named| (form, named)))
        .map(|(form, named)| (of_form(form), named))
        .collect();
    let all: f64 = pieces.iter().map(|piece| piece.0).sum();
    let squares: f64 = pieces.iter().map(|piece| piece.0 * piece.0).sum();
    let weighed = Weighed { pieces, all, worth: if squares > 0.0 { all * all / squares } else { 0.0 } };
    let is_first = |named: &Named| named.rank == Some(0);
    Report {
        options,
        pieces: weighed.pieces.len(),
        first: weighed.share(is_first),
        first_three: weighed.share(|named| named.rank.is_some_and(|rank| rank < 3)),
        settled: weighed.share(|named| named.state == VerdictState::Settled),
        settled_wrongly: weighed.share(|named| named.state == VerdictState::Settled && !is_first(named)),
        called_strange: weighed.share(|named| named.state == VerdictState::NotInKey),
        called_contradictory: weighed.share(|named| named.state == VerdictState::Contradiction),
        looks: looks(index, &weighed),
        calibration: calibration(index, &weighed),
        forms: index.forms.iter().zip(known).map(|(entry, all)| form_result(&entry.id, all)).collect(),
        confusions: confusions(index, known.iter().map(Vec::as_slice).enumerate(), |named| !is_first(named)),
        lines: index.lines.clone(),
        line_taken_for: line_taken_for(index, known),
        strangers: (!strange.is_empty()).then(|| strangers(maker, strange)),
    }
}

fn form_result(id: &FormId, all: &[Named]) -> FormResult {
    let right = all.iter().filter(|named| named.rank == Some(0)).count();
    FormResult {
        form: id.clone(),
        pieces: all.len(),
        right,
        first: Share::of(right, all.len()),
        first_three: all.iter().filter(|named| named.rank.is_some_and(|rank| rank < 3)).count(),
        looks: all.iter().map(|named| named.looks as f64).sum::<f64>() / all.len().max(1) as f64,
    }
}

fn looks(index: &Index, weighed: &Weighed<'_>) -> Looks {
    let start_bits = index.standing(&Piece::default()).entropy_bits;
    let end_bits = weighed.mean(|named| named.entropy_bits);
    let best_look_bits = index.columns.par_iter().map(most_bits).reduce(|| 0.0, f64::max);
    Looks {
        mean: weighed.mean(|named| named.looks as f64),
        median: weighed.looks_of(0.5),
        most_of_95: weighed.looks_of(0.95),
        mean_effort: weighed.mean(|named| named.effort),
        start_bits,
        end_bits,
        best_look_bits,
        bound: if best_look_bits > 0.0 { ((start_bits - end_bits) / best_look_bits).max(0.0) } else { 0.0 },
    }
}

fn calibration(index: &Index, weighed: &Weighed<'_>) -> Calibration {
    let blank = index.standing(&Piece::default());
    let squares: f64 = blank.candidates.iter().map(|c| c.probability * c.probability).sum::<f64>() + blank.not_in_key * blank.not_in_key;
    // With nothing looked at the right form has its prior, and comes as often.
    let expected = |of: &dyn Fn(f64) -> f64| index.prior.iter().map(|prior| prior * of((1.0 - blank.not_in_key) * prior)).sum::<f64>();
    let forecasts = weighed.pieces.iter().filter(|(weight, _)| *weight > 0.0);
    let (bins, expected_error) =
        reliability(forecasts.map(|(weight, named)| Forecast { said: named.leader_p, is_right: named.rank == Some(0), weight: *weight }));
    Calibration {
        brier: weighed.mean(|named| brier(named.squares, named.right_p)),
        brier_blank: expected(&|p| brier(squares, p)),
        log_loss_bits: weighed.mean(|named| loss_bits(named.right_p)),
        log_loss_blank_bits: expected(&loss_bits),
        bins,
        expected_error,
    }
}

/// Which form was taken for which, over the pieces of each form that count as such.
fn confusions<'a>(index: &Index, of_form: impl Iterator<Item = (usize, &'a [Named])>, counts: impl Fn(&Named) -> bool) -> Vec<Confusion> {
    let mut sums: BTreeMap<(usize, usize), (usize, usize)> = BTreeMap::new();
    for (form, all) in of_form {
        for named in all.iter().filter(|named| counts(named)) {
            if let Some(leader) = named.leader {
                let sum = sums.entry((form, leader)).or_default();
                sum.0 += 1;
                sum.1 += usize::from(named.state == VerdictState::Settled);
            }
        }
    }
    let id = |form: usize| index.forms.get(form).map(|entry| entry.id.clone()).unwrap_or_default();
    let mut all: Vec<Confusion> = sums
        .into_iter()
        .map(|((form, leader), (pieces, settled))| Confusion { form: id(form), taken_for: id(leader), pieces, settled })
        .collect();
    // Forms stand in the order of their ids, and the sort is stable.
    all.sort_by_key(|confusion| std::cmp::Reverse(confusion.pieces));
    all
}

fn line_taken_for(index: &Index, known: &[Vec<Named>]) -> Vec<Vec<usize>> {
    let mut counts = vec![vec![0; index.lines.len()]; index.lines.len()];
    let line_of = |form: usize| index.forms.get(form).and_then(|entry| index.lines.iter().position(|line| *line == entry.line_id));
    for (form, all) in known.iter().enumerate() {
        let Some(row) = line_of(form).and_then(|line| counts.get_mut(line)) else { continue };
        for named in all {
            if let Some(cell) = named.leader.and_then(line_of).and_then(|line| row.get_mut(line)) {
                *cell += 1;
            }
        }
    }
    counts
}

fn strangers(maker: &Maker<'_>, strange: &[(usize, Vec<Named>)]) -> Strangers {
    let all: usize = strange.iter().map(|(_, pieces)| pieces.len()).sum();
    let share =
        |state: VerdictState| Share::of(strange.iter().flat_map(|(_, pieces)| pieces).filter(|named| named.state == state).count(), all);
    let settled = |named: &Named| named.state == VerdictState::Settled;
    Strangers {
        forms: strange.len(),
        pieces: all,
        called_strange: share(VerdictState::NotInKey),
        called_contradictory: share(VerdictState::Contradiction),
        named: share(VerdictState::Settled),
        named_though_measured: Share::of(
            strange.iter().flat_map(|(_, pieces)| pieces).filter(|named| settled(named) && !named.on_trust).count(),
            all,
        ),
        taken_for: confusions(maker.index, strange.iter().map(|(form, pieces)| (*form, pieces.as_slice())), settled),
    }
}
