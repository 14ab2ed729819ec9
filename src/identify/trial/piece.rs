//! Naming one made-up piece.

use super::super::{Index, Observation, Piece, Seen, Standing, Sure, VerdictState};
use super::draw::Maker;
use super::{Options, Way};
use crate::key::{FeatureId, FormId, Part};
use rand::Rng as _;
use rand_chacha::ChaCha8Rng;

/// Probabilities nearer to each other than this, relatively, are tied.
const TIED: f64 = 1e-12;

/// How one piece was named.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Named {
    /// Place of the right form, from 0; ties are broken by lot. None for a stranger.
    pub(super) rank: Option<usize>,
    /// The most probable form, ties broken by lot, as a number of the maker's index.
    pub(super) leader: Option<usize>,
    /// Its probability.
    pub(super) leader_p: f64,
    /// That of the right form; of 'not in this key' for a stranger.
    pub(super) right_p: f64,
    /// The sum of the squares of all probabilities, 'not in this key' among them.
    pub(super) squares: f64,
    /// Entropy that is left, in bits.
    pub(super) entropy_bits: f64,
    pub(super) looks: usize,
    pub(super) effort: f64,
    pub(super) state: VerdictState,
    /// The name was settled without a measure of its size.
    pub(super) on_trust: bool,
}

/// Makes a piece of the maker's form up, looks at it and names it with `asked`.
pub(super) fn name_piece(asked: &Index, maker: &Maker<'_>, form: usize, trial: usize, stranger: bool, options: Options) -> Named {
    let mut dice = maker.dice(form, trial, stranger);
    let mut piece = Piece::default();
    // Rolled for every form, so that the dice fall the same with and without lids lost.
    let lost = dice.random_bool(options.lost_lids);
    if lost && maker.has_lid(form) {
        piece.missing.insert(Part::Lid);
    }
    let (standing, effort) = match options.way {
        Way::AnyOrder { looks } => {
            let effort = any_order(asked, maker, form, looks, &mut piece, &mut dice);
            let standing = asked.standing(&piece);
            (standing, effort)
        }
        Way::Guided { most } => guided(asked, maker, form, most, &mut piece, &mut dice),
    };
    let verdict = asked.verdict(&piece, &standing);
    let looked = Looked { looks: piece.observations.len(), effort, state: verdict.state, on_trust: verdict.on_trust.is_some() };
    let right = maker.index.forms.get(form).map(|entry| &entry.id).filter(|_| !stranger);
    named(&standing, right, |id| maker.index.by_form.get(id).copied(), &mut dice, looked)
}

fn see(piece: &mut Piece, feature: FeatureId, seen: Seen) {
    // The features are all different, so there is no earlier answer to look for.
    piece.observations.push(Observation { feature, seen, sure: Sure::Sure });
}

/// Looks at features in an order by lot; the effort of all looks.
fn any_order(asked: &Index, maker: &Maker<'_>, form: usize, looks: usize, piece: &mut Piece, dice: &mut ChaCha8Rng) -> f64 {
    let mut open: Vec<_> = asked.columns.iter().filter(|column| !column.needs.iter().any(|part| piece.missing.contains(part))).collect();
    let mut effort = 0.0;
    for _ in 0..looks.min(open.len()) {
        let column = open.swap_remove(dice.random_range(0..open.len()));
        effort += column.effort;
        see(piece, column.id.clone(), maker.look(form, &column.id, dice));
    }
    effort
}

/// Follows the engine until the name is settled or there is nothing left to ask.
fn guided(asked: &Index, maker: &Maker<'_>, form: usize, most: usize, piece: &mut Piece, dice: &mut ChaCha8Rng) -> (Standing, f64) {
    let mut effort = 0.0;
    loop {
        let standing = asked.standing(piece);
        let state = asked.verdict(piece, &standing).state;
        let next = standing.next_looks.first().filter(|_| state != VerdictState::Settled && piece.observations.len() < most);
        let Some(next) = next else { return (standing, effort) };
        effort += next.effort;
        see(piece, next.feature.clone(), maker.look(form, &next.feature, dice));
    }
}

#[derive(Clone, Copy)]
struct Looked {
    looks: usize,
    effort: f64,
    state: VerdictState,
    on_trust: bool,
}

fn named(
    standing: &Standing,
    right: Option<&FormId>,
    number_of: impl Fn(&FormId) -> Option<usize>,
    dice: &mut ChaCha8Rng,
    looked: Looked,
) -> Named {
    let (ahead_lot, leader_lot) = (dice.random::<f64>(), dice.random::<f64>());
    let best = standing.candidates.first().map_or(0.0, |leader| leader.probability);
    let tied = |p: f64, with: f64| (p - with).abs() <= TIED * with;
    let found = right.and_then(|id| standing.candidates.iter().find(|candidate| candidate.form == *id));
    let rank = found.map(|found| {
        let p = found.probability;
        let ahead = standing.candidates.iter().take_while(|other| other.probability > p && !tied(other.probability, p)).count();
        let level = standing.candidates.iter().skip(ahead).take_while(|other| tied(other.probability, p)).count();
        ahead + by_lot(level, ahead_lot)
    });
    let leader = if rank == Some(0) {
        found
    } else {
        // One of the first that are tied, the right one not among them.
        let first =
            || standing.candidates.iter().take_while(|other| tied(other.probability, best)).filter(|other| Some(&other.form) != right);
        first().nth(by_lot(first().count(), leader_lot))
    };
    let squares = standing.candidates.iter().map(|candidate| candidate.probability * candidate.probability).sum::<f64>();
    Named {
        rank,
        leader: leader.and_then(|candidate| number_of(&candidate.form)),
        leader_p: best,
        right_p: if right.is_some() { found.map_or(0.0, |found| found.probability) } else { standing.not_in_key },
        squares: squares + standing.not_in_key * standing.not_in_key,
        entropy_bits: standing.entropy_bits,
        looks: looked.looks,
        effort: looked.effort,
        state: looked.state,
        on_trust: looked.on_trust,
    }
}

/// A number below `n`, 0 where there is none, from one of 0 up to 1.
fn by_lot(n: usize, lot: f64) -> usize {
    ((lot * n as f64) as usize).min(n.saturating_sub(1))
}
