#![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "tests")]

use super::*;
use crate::identify::Measured;
use rand::{Rng as _, SeedableRng as _};
use rand_chacha::ChaCha8Rng;

fn half(id: String, major: f64, glaze: &str) -> Half {
    let noted = BTreeMap::from([("glaze".to_owned(), glaze.to_owned())]);
    Half { id, major: Some(Measured { value: major, plus_minus: 0.6 }), noted, ..Half::default() }
}

fn four() -> (Vec<Half>, Vec<Half>) {
    let lids = [("L1", 92.0, "Flint"), ("L2", 93.5, "Moss"), ("L3", 120.0, "Slate"), ("L4", 160.0, "Moss")];
    let bases = [("B1", 94.0, "Flint"), ("B2", 95.4, "Moss"), ("B3", 122.0, "Flint"), ("B4", 201.0, "Slate")];
    let shelf = |of: &[(&str, f64, &str)]| of.iter().map(|(id, mm, glaze)| half((*id).to_owned(), *mm, glaze)).collect();
    (shelf(&lids), shelf(&bases))
}

fn pairs(pairing: &Pairing) -> Vec<(usize, usize)> {
    pairing.pairs.iter().map(|pair| (pair.lid, pair.base)).collect()
}

fn wishes(pinned: &[(&str, &str)], forbidden: &[(&str, &str)]) -> Wishes {
    let own = |pairs: &[(&str, &str)]| pairs.iter().map(|(a, b)| ((*a).to_owned(), (*b).to_owned())).collect();
    Wishes { pinned: own(pinned), forbidden: own(forbidden) }
}

#[test]
fn four_lids_find_their_bases_a_marriage_is_called_one_and_what_fits_nothing_stays_alone() {
    let (lids, bases) = four();
    let found = pair(&lids, &bases, Rules::built_in(), None, &Wishes::default()).unwrap();
    assert_eq!(pairs(&found), [(0, 0), (1, 1), (2, 2)]);
    assert_eq!((found.lids_alone.as_slice(), found.bases_alone.as_slice()), (&[3][..], &[3][..]));
    assert!(found.pairs[0].probability > 0.8 && found.pairs[2].probability < found.pairs[0].probability, "{:?}", found.pairs);
    assert!(found.pairs[2].reasons.iter().any(Reason::is_marriage), "{:?}", found.pairs[2]);
    assert!(found.lids_alone_chance[3] > 0.999 && found.lids_alone_chance[0] < 0.2);
}

#[test]
fn pins_and_forbidden_pairs_are_kept_to() {
    let (lids, bases) = four();
    let found = pair(&lids, &bases, Rules::built_in(), None, &wishes(&[("L4", "B1")], &[("L2", "B2")])).unwrap();
    assert_eq!(pairs(&found), [(2, 2), (3, 0)]);
    assert_eq!((found.pairs[1].probability, found.pairs[1].reasons[0].to_string().as_str()), (1.0, "put together by hand"));
    assert!(found.candidates.iter().all(|c| c.lid != 3 && c.base != 0 && (c.lid, c.base) != (1, 1)));
}

#[test]
fn wishes_that_cannot_be_met_are_refused() {
    let (lids, bases) = four();
    let wrong = |wishes: &Wishes| pair(&lids, &bases, Rules::built_in(), None, wishes).unwrap_err().to_string();
    assert_eq!(wrong(&wishes(&[("L9", "B1")], &[])), "there is no lid 'L9' on its shelf");
    assert_eq!(wrong(&wishes(&[], &[("L1", "L1")])), "there is no base 'L1' on its shelf");
    assert_eq!(wrong(&wishes(&[("L1", "B1"), ("L1", "B2")], &[])), "the lid 'L1' is pinned twice (take one pin out)");
    assert_eq!(wrong(&wishes(&[("L1", "B1"), ("L2", "B1")], &[])), "the base 'B1' is pinned twice (take one pin out)");
    assert_eq!(
        wrong(&wishes(&[("L1", "B1")], &[("L1", "B1")])),
        "the lid 'L1' and the base 'B1' are both pinned and forbidden (take one of them out)"
    );
    assert!(pair(&lids, &bases, Rules::built_in(), None, &wishes(&[("L1", "B1"), ("L1", "B1")], &[])).is_ok());
}

#[test]
fn empty_shelves_and_pieces_without_measures_are_no_trouble() {
    let (lids, _) = four();
    let found = pair(&lids, &[], Rules::built_in(), None, &Wishes::default()).unwrap();
    assert_eq!((found.pairs.len(), found.lids_alone.len()), (0, 4));
    let blank = [Half { id: "B".to_owned(), ..Half::default() }];
    let found = pair(&lids, &blank, Rules::built_in(), None, &Wishes::default()).unwrap();
    assert_eq!((found.pairs.len(), found.bases_alone.as_slice()), (0, &[0][..]));
    assert_eq!(pair(&[], &[], Rules::built_in(), None, &Wishes::default()).unwrap().pairs, []);
}

#[test]
fn lids_that_are_all_alike_share_their_chances() {
    let lids: Vec<Half> = (0..3).map(|n| half(format!("L{n}"), 100.0, "Flint")).collect();
    let bases: Vec<Half> = (0..3).map(|n| half(format!("B{n}"), 102.0, "Flint")).collect();
    let found = pair(&lids, &bases, Rules::built_in(), None, &Wishes::default()).unwrap();
    for paired in &found.pairs {
        assert!((0.15..=1.0 / 3.0 + 1e-9).contains(&paired.probability), "{paired:?}");
        assert_eq!(paired.reasons.last(), Some(&Reason::OthersFit { bases: 2 }));
    }
    let sum: f64 = found.candidates.iter().filter(|c| c.lid == 0).map(|c| c.probability).sum();
    assert!((sum + found.lids_alone_chance[0] - 1.0).abs() < 1e-9);
}

/// Made-up shelves: a share of the pieces belongs together, as the rules say such pieces are; the truth goes with them.
pub(super) fn made_up(seed: u64, pieces: usize, together: f64) -> (Vec<Half>, Vec<Half>, Vec<Option<usize>>) {
    let mut dice = ChaCha8Rng::seed_from_u64(seed);
    let glazes = ["Flint", "Slate", "Moss", "Ember", "Peat", "Oatmeal", "Harbour", "Saffron"];
    let mut normal = move |dice: &mut ChaCha8Rng| (0..12).map(|_| dice.random::<f64>()).sum::<f64>() - 6.0;
    let (mut lids, mut bases, mut truth) = (Vec::new(), Vec::new(), Vec::new());
    for n in 0..pieces {
        let size = 60.0 + 200.0 * dice.random::<f64>();
        let glaze = glazes[dice.random_range(0..glazes.len())];
        let belongs = dice.random_bool(together);
        let clearance = (2.0 + 0.8f64.hypot(0.006 * size) * normal(&mut dice)).abs();
        let read = |x: f64, dice: &mut ChaCha8Rng, normal: &mut dyn FnMut(&mut ChaCha8Rng) -> f64| x + 0.3 * normal(dice);
        lids.push(half(format!("L{n}"), read(size, &mut dice, &mut normal), glaze));
        let (at, glaze) = if belongs {
            (size + clearance, if dice.random_bool(0.96) { glaze } else { glazes[dice.random_range(0..glazes.len())] })
        } else {
            (60.0 + 200.0 * dice.random::<f64>(), glazes[dice.random_range(0..glazes.len())])
        };
        bases.push(half(format!("B{n}"), read(at, &mut dice, &mut normal), glaze));
        truth.push(belongs.then_some(n));
    }
    (lids, bases, truth)
}

#[test]
fn probabilities_can_be_believed() {
    // Of pairs said to be 80 % sure, about 80 in 100 are right: over many small shelves, by tenths.
    let (mut said, mut right, mut pieces) = ([0.0; 10], [0.0; 10], [0u32; 10]);
    for seed in 0..90 {
        let together = [0.3, 0.5, 0.8][seed as usize % 3];
        let (lids, bases, truth) = made_up(seed, 24, together);
        let found = pair(&lids, &bases, Rules::built_in(), None, &Wishes::default()).unwrap();
        for c in &found.candidates {
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a tenth")]
            let tenth = ((c.probability * 10.0) as usize).min(9);
            said[tenth] += c.probability;
            right[tenth] += f64::from(u8::from(truth[c.lid] == Some(c.base)));
            pieces[tenth] += 1;
        }
    }
    let error: f64 = said.iter().zip(&right).map(|(said, right): (&f64, &f64)| (said - right).abs()).sum::<f64>()
        / f64::from(pieces.iter().sum::<u32>());
    assert!(error < 0.03, "{said:?} {right:?} {pieces:?}: {error}");
    assert!(right[9] > 300.0 && (said[9] - right[9]).abs() < 0.04 * said[9], "{said:?} {right:?}");
}

#[test]
fn the_share_that_belongs_together_is_learnt() {
    for (together, at_least, at_most) in [(0.1, 0.02, 0.25), (0.9, 0.8, 0.99)] {
        let (lids, bases, _) = made_up(7, 150, together);
        let found = pair(&lids, &bases, Rules::built_in(), None, &Wishes::default()).unwrap();
        assert!((at_least..=at_most).contains(&found.share), "{together}: {}", found.share);
    }
}

#[test]
fn messages_that_go_on_from_where_they_were_change_no_probability() {
    // The plain way: with every share that is tried, nobody has said anything yet.
    let afresh = |shelves: &Shelves, weighed: &[Weighed]| {
        let (mut share, worth) = shelves.together;
        let prior = share;
        let edges: Vec<(usize, usize, f64)> = weighed.iter().map(|pair| (pair.lid, pair.base, pair.ln)).collect();
        let web = Web::new(shelves.lids, shelves.bases, &edges);
        let weights = |share: f64| weighed.iter().map(|pair| (pair.ln + shelves.ln_odds(share)).exp()).collect::<Vec<f64>>();
        for _ in 0..ROUNDS {
            let expected: f64 = web.chances(&weights(share), Care::Rough, &mut web.unsaid()).pairs.iter().sum();
            let new = (prior * worth + expected) / (worth + as_number(shelves.free.0.min(shelves.free.1)));
            let moved = (new - share).abs();
            share = new;
            if moved < 1e-4 {
                break;
            }
        }
        (share, web.chances(&weights(share), Care::Fine, &mut web.unsaid()))
    };
    for seed in 0..12 {
        let pieces = 10 + seed as usize * 6;
        let (lids, bases, _) = made_up(seed, pieces, [0.3, 0.6, 0.9][seed as usize % 3]);
        let rules = Rules::built_in();
        let weighed = Weigher::new(&lids, &bases, rules, None).all();
        let shelves = Shelves { lids: pieces, bases: pieces, free: (pieces, pieces), together: rules.together };
        let (share, _, found) = shelves.learn(&weighed);
        let (plain_share, plain) = afresh(&shelves, &weighed);
        assert!((share - plain_share).abs() < 2e-3, "{seed}: {share} {plain_share}");
        for (a, b) in found.pairs.iter().zip(&plain.pairs) {
            assert!((a - b).abs() < 2e-3, "{seed}: {a} {b}");
        }
    }
}
