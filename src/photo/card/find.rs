//! Finding the card: four straight edges that make a rectangle of its proportions as some camera would see it.

use super::fit::{by_edges, goes_on, rough};
use super::fourth::by_three;
use super::lines::{Line, long_or_strong};
use super::{CardError, CardFit, Shades, corners_mm};
use crate::photo::camera::{Believed, Lens, Placed};
use kurbo::Point;
use rayon::prelude::*;

/// Four pixels that may be a card's corners, and how well the edges speak for them.
#[derive(Debug, Clone, Copy)]
pub(super) struct Guess {
    pub(super) corners: [Point; 4],
    pub(super) score: f64,
}

/// How many lines are combined, the longest and besides them the strongest; more only cost time.
const MOST_LINES: (usize, usize) = (200, 100);
/// How many of the guesses with the best lines are looked at.
const MOST_GUESSES: usize = 3000;
/// Guesses of which so much goes on past the corners are checks and boards.
const GUESS_GOING_ON: f64 = 0.7;
/// How many guesses are fitted in full.
const MOST_FITTED: usize = 48;

/// Directions are told apart by so many.
const FANS: usize = 18;

/// A card stands by its edges like this at least: of 370 rendered photographs in 356 it was one that does, in one three sides of a square printed on one.
const LEAST_STANDING: f64 = 1.2;

/// A card's edges end at its corners: no more than this share of the lines past them may look like the edges themselves.
const MOST_GOING_ON: f64 = 0.35;
/// The same where the fourth edge was looked for: were it something printed across the card, or what covers it, two of the eight lines would go on, 0.25.
const MOST_GOING_ON_BY_THREE: f64 = 0.2;

/// The card in a photograph.
///
/// # Errors
/// [`CardError`], in whose message stands what to do.
pub fn find(small: &Shades, whole: &Shades, believed: &Believed) -> Result<CardFit, CardError> {
    let lines = long_or_strong(small, MOST_LINES.0, MOST_LINES.1);
    let pairs = pairs(&lines, least_side(small));
    let card = |guesses: Vec<Guess>| best_of(&kept(guesses, small, whole, believed), whole, believed);
    match card(by_four(&lines, &pairs, small, believed)) {
        Err(CardError::NoCard) => card(by_three(&lines, &pairs, small, whole, believed))
            .and_then(|by_three| if by_three.goes_on < MOST_GOING_ON_BY_THREE { Ok(by_three) } else { Err(CardError::NoCard) }),
        told => told,
    }
}

/// The card among the guesses.
fn best_of(guesses: &[Guess], whole: &Shades, believed: &Believed) -> Result<CardFit, CardError> {
    let mut fits: Vec<CardFit> = guesses
        .par_iter()
        .filter_map(|guess| rough(whole, believed, guess.corners).ok())
        .filter(|fit| fit.edges_seen > 0.55 && fit.weakest_edge > 0.3 && fit.rounded && fit.goes_on < MOST_GOING_ON)
        .collect();
    fits.sort_by(|a, b| b.standing().total_cmp(&a.standing()));
    fits.truncate(4);
    let mut fits: Vec<CardFit> = fits
        .par_iter()
        .filter_map(|f| by_edges(whole, believed, f.corners_px).ok())
        .filter(|f| f.edges_seen > 0.77 && f.weakest_edge > 0.58 && f.rounded && f.goes_on < MOST_GOING_ON)
        .collect();
    fits.sort_by(|a, b| b.standing().total_cmp(&a.standing()));
    let Some(best) = fits.first().cloned() else { return Err(CardError::NoCard) };
    let middle = |fit: &CardFit| fit.camera.placed.project_plane(Point::ZERO).unwrap_or_default();
    let long = |fit: &CardFit| (fit.corners_px[0] - fit.corners_px[1]).hypot();
    // A frame printed on the card is a card's edge too: of those that lie within one another the outermost is it.
    let nest = |other: &CardFit| (middle(other) - middle(&best)).hypot() < 0.25 * long(&best);
    // So is a square printed on it, three sides of it with one of the card's own: what lies within a card that stands as well is of that card.
    let beside_px = 0.03 * long(&best);
    let prints = |other: &CardFit| best.corners_px.iter().all(|p| within(&other.corners_px, *p, beside_px)) && as_good(other, &best);
    let outer = fits
        .iter()
        .filter(|f| nest(f) && long(f) < 1.25 * long(&best) && f.standing() > 0.85 * best.standing() || prints(f))
        .max_by(|a, b| long(a).total_cmp(&long(b)));
    let chosen = outer.cloned().unwrap_or(best.clone());
    let card = |fit: CardFit| Some(fit.closer(whole)).filter(|f| f.standing() >= LEAST_STANDING && !f.is_bowed());
    let Some(closer) = card(chosen.clone()) else { return Err(CardError::NoCard) };
    let apart = |f: &&CardFit| (middle(f) - middle(&chosen)).hypot() > 0.8 * long(&chosen) && as_good(f, &chosen);
    if let Some(second) = fits.iter().filter(apart).cloned().find_map(card) {
        let say = |p: Point| format!("({:.0}, {:.0})", p.x, p.y);
        return Err(CardError::TwoCards { first: say(middle(&closer)), second: say(middle(&second)) });
    }
    Ok(closer)
}

/// One of two cards is as likely as the other where it stands so nearly as well.
const ALIKE: f64 = 0.93;

fn as_good(card: &CardFit, other: &CardFit) -> bool {
    card.standing() > ALIKE * other.standing()
}

/// Whether a place lies within four corners taken round, or beside their sides by no more than so many pixels.
fn within(corners: &[Point; 4], p: Point, beside_px: f64) -> bool {
    let sides = corners.iter().zip(corners.iter().cycle().skip(1));
    let off: Vec<f64> = sides.map(|(a, b)| (*b - *a).normalize().cross(p - *a)).collect();
    off.iter().all(|d| *d > -beside_px) || off.iter().all(|d| *d < beside_px)
}

/// Sides of a card are at least so long, in pixels of the photograph.
pub(super) fn least_side(small: &Shades) -> f64 {
    0.05 * small.width.max(small.height) as f64 * small.scale
}

/// Lines that run alike, far enough apart to be opposite sides.
fn pairs(lines: &[Line], least: f64) -> Vec<(usize, usize)> {
    let mut pairs: Vec<(usize, usize)> = Vec::new();
    for (i, a) in lines.iter().enumerate() {
        for (j, b) in lines.iter().enumerate().skip(i + 1) {
            if a.along.cross(b.along).abs() < 0.3 && (b.at - a.at).cross(a.along).abs() > 0.8 * least {
                pairs.push((i, j));
            }
        }
    }
    pairs
}

/// Guesses by four lines, in no order.
fn by_four(lines: &[Line], pairs: &[(usize, usize)], small: &Shades, believed: &Believed) -> Vec<Guess> {
    let least = least_side(small);
    // Pairs by their direction: those that lie nearly along one another make no card, and on grained wood most do.
    let mut fans: Vec<Vec<(usize, usize)>> = vec![Vec::new(); FANS];
    let fan = |pair: &(usize, usize)| {
        let turn = lines.get(pair.0).map_or(0.0, |l| l.along.atan2().rem_euclid(std::f64::consts::PI)) / std::f64::consts::PI;
        ((turn * FANS as f64) as usize).min(FANS - 1)
    };
    for pair in pairs {
        if let Some(own) = fans.get_mut(fan(pair)) {
            own.push(*pair);
        }
    }
    pairs
        .par_iter()
        .flat_map_iter(|pair| {
            let own = fan(pair);
            let (a, b) = *pair;
            fans.iter()
                .enumerate()
                .filter(move |(other, _)| own.abs_diff(*other).min(FANS - own.abs_diff(*other)) >= FANS / 6)
                .flat_map(|(_, fan)| fan)
                .filter(move |other| *other > pair)
                .filter_map(move |&(c, d)| Some([lines.get(a)?, lines.get(c)?, lines.get(b)?, lines.get(d)?]))
                .filter_map(|four| guess(four, small, believed, least))
        })
        .collect()
}

/// The best guesses, best first; of those that are nearly the same, one.
fn kept(mut found: Vec<Guess>, small: &Shades, whole: &Shades, believed: &Believed) -> Vec<Guess> {
    found.sort_by(|a, b| {
        b.score.total_cmp(&a.score).then(a.corners[0].x.total_cmp(&b.corners[0].x)).then(a.corners[0].y.total_cmp(&b.corners[0].y))
    });
    let mut kept: Vec<Guess> = Vec::new();
    for guess in found.into_iter().take(MOST_GUESSES) {
        let same = |k: &Guess| k.corners.iter().all(|p| guess.corners.iter().any(|q| (*p - *q).hypot() < 3.0 * small.scale));
        let past = || Placed::from_four(believed.lens, corners_mm(), guess.corners).map_or(1.0, |placed| goes_on(whole, &placed));
        if !kept.iter().any(same) && past() < GUESS_GOING_ON {
            kept.push(guess);
        }
        if kept.len() == MOST_FITTED {
            break;
        }
    }
    kept
}

/// Four lines, two and two about parallel, taken round: a card's outline?
fn guess(four: [&Line; 4], small: &Shades, believed: &Believed, least: f64) -> Option<Guess> {
    let [a, c, b, d] = four;
    if a.along.cross(c.along).abs() < 0.7 {
        return None;
    }
    let corners = [a.meets(c)?, c.meets(b)?, b.meets(d)?, d.meets(a)?];
    let edge = 2.0 * small.scale;
    let (w, h) = (small.width as f64 * small.scale, small.height as f64 * small.scale);
    if corners.iter().any(|p| p.x < edge || p.y < edge || p.x > w - edge || p.y > h - edge) {
        return None;
    }
    // side n runs from corner n to the next, on the line after it: c, b, d, a.
    let sides = [c, b, d, a];
    let at = |i: usize| corners.get(i % 4).copied().unwrap_or_default();
    let lengths: Vec<f64> = (0..4).map(|i| (at(i + 1) - at(i)).hypot()).collect();
    let [l0, l1, l2, l3] = lengths.as_slice() else { return None };
    let (one, two) = (f64::midpoint(*l0, *l2), f64::midpoint(*l1, *l3));
    let aspect = one.max(two) / one.min(two).max(1e-9);
    if one.min(two) < least || !(1.05..2.4).contains(&aspect) {
        return None;
    }
    let (mut seen, mut weakest, mut past) = (0.0, 1.0_f64, 0.0);
    for (i, line) in sides.iter().enumerate() {
        let (s, e) = (line.place(at(i)), line.place(at(i + 1)));
        let cut = 0.05 * (e - s);
        let covered = line.covered(s + cut, e - cut);
        seen += covered / 4.0;
        weakest = weakest.min(covered);
        let beyond = 0.2 * (e - s);
        past += (line.covered(s - beyond, s) + line.covered(e, e + beyond)) / 8.0;
    }
    if seen < 0.5 || weakest < 0.2 {
        return None;
    }
    let (corners, miss) = wound(corners, believed)?;
    (miss < 0.05).then_some(Guess { corners, score: seen + 0.3 * weakest - 0.6 * past - 6.0 * miss })
}

/// Corners in order so that the first side is a long one, and as the plane's are: clockwise on the screen; and how far they are from a card's then.
pub(super) fn wound(mut corners: [Point; 4], believed: &Believed) -> Option<([Point; 4], f64)> {
    if (corners[1] - corners[0]).cross(corners[2] - corners[1]) < 0.0 {
        corners.reverse();
    }
    let mut best: Option<([Point; 4], f64)> = None;
    for turn in 0..2 {
        let mut turned = corners;
        turned.rotate_left(turn);
        if let Some(miss) = misses(believed, turned)
            && best.is_none_or(|(_, m)| miss < m)
        {
            best = Some((turned, miss));
        }
    }
    best
}

/// The focal lengths to try, as shares of the believed one.
pub(super) fn focals(believed: &Believed) -> &'static [f64] {
    if believed.ln_focal_sd < 0.1 { &[0.93, 1.0, 1.07] } else { &[0.7, 0.85, 1.0, 1.2, 1.5] }
}

/// How far off four corners are from a card's, as a share of their distance, for the focal length that suits them best.
pub(super) fn misses(believed: &Believed, corners: [Point; 4]) -> Option<f64> {
    let lens = believed.lens;
    focals(believed)
        .iter()
        .filter_map(|by| {
            let lens = Lens { focal_px: lens.focal_px * by, ..lens };
            let placed = Placed::from_four(lens, corners_mm(), corners)?;
            let size = (corners[2] - corners[0]).hypot();
            let mut sum = 0.0;
            for (mm, px) in corners_mm().iter().zip(&corners) {
                sum += (placed.project_plane(*mm)? - *px).hypot2();
            }
            Some((sum / 4.0).sqrt() / size)
        })
        .min_by(f64::total_cmp)
}
