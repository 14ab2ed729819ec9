//! What else might have been measured: outlines that are seen nearly as well as the best one.
//!
//! The scatter of an outline about its solid says nothing of whether it is the right outline. So several are fitted, and what they say is held together: where
//! they are the same piece seen a little otherwise, the ± holds them; where they are not, and are seen as well, nothing is told. And the card alone is held against the
//! card with the outline.

use super::error::SideError;
use super::fit::Fitted;
use super::measured::SideMeasured;
use crate::photo::camera::{Measured, Placed};

/// An outline that is seen worse by so much counts less by e. A choice of this program, from rendered photographs.
const TEMPER: f64 = 0.06;
/// Numbers that differ by more than this share are not those of one piece seen a little otherwise.
const SAME_SHARE: f64 = 0.12;
/// Another piece is as likely where it counts so much.
const AS_LIKELY: f64 = 0.5;

/// The scale beside the card may be another with the outline than by the card alone by this share, and nothing is amiss. A choice of this program, from
/// rendered photographs.
const AGREED_SHARE: f64 = 0.012;

/// By what share lengths up the axis and across it come out otherwise by the camera as the card alone has it than by that which goes with the outline: beyond
/// what may be, one of the two is wrong, and the ± has to hold both.
pub(super) fn contradicted(card: &Placed, fitted: &Fitted) -> [f64; 2] {
    let (low, high) = fitted.profile.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), p| (low.min(p.1), high.max(p.1)));
    let wide = fitted.profile.iter().map(|p| p.0).fold(0.0, f64::max);
    let (axis, placed, middle) = (fitted.axis, fitted.placed(), f64::midpoint(low, high));
    [(axis.at(0.0, low), axis.at(0.0, high)), (axis.at(-wide, middle), axis.at(wide, middle))].map(|(a, b)| {
        let by_card = |mm| placed.project_plane(mm).and_then(|px| card.on_plane(px, 0.0));
        let share = match (by_card(a), by_card(b)) {
            (Some(p), Some(q)) => (p - q).hypot() / (a - b).hypot().max(1e-6) - 1.0,
            _ => 0.0,
        };
        (share * share - AGREED_SHARE * AGREED_SHARE).max(0.0).sqrt()
    })
}

/// A number of a measurement that may be widened.
type Number = fn(&mut SideMeasured) -> Option<&mut Measured>;

/// All of them.
const NUMBERS: [Number; 5] =
    [|m| m.height.as_mut(), |m| m.rim.as_mut(), |m| Some(&mut m.greatest), |m| m.foot.as_mut(), |m| m.capacity.as_mut().map(|c| &mut c.ml)];

/// The best measurement with a ± that holds those others that are seen nearly as well; `seen` is how well each is seen, 0 to 1.
///
/// # Errors
/// [`SideError::Two`] where another piece is seen as well.
pub(super) fn held((mut best, seen): (SideMeasured, f64), others: &[(SideMeasured, f64)]) -> Result<SideMeasured, SideError> {
    let weight = |other: f64| ((other - seen) / TEMPER).exp().min(1.0);
    for (other, other_seen) in others {
        let differs = (other.greatest.value / best.greatest.value.max(1e-6)).ln().abs() > SAME_SHARE;
        if differs && weight(*other_seen) > AS_LIKELY {
            return Err(SideError::Two { first_mm: best.greatest.value, second_mm: other.greatest.value });
        }
    }
    for number in NUMBERS {
        let Some(own) = number(&mut best) else { continue };
        let (mut sum, mut squares) = (1.0, 0.0);
        for (other, other_seen) in others {
            let Some(there) = number(&mut other.clone()).map(|there| there.value) else { continue };
            let off = there - own.value;
            let counts = weight(*other_seen);
            if off.abs() < SAME_SHARE * own.value || counts > AS_LIKELY {
                sum += counts;
                squares += counts * off * off;
            }
        }
        own.sd = own.sd.hypot((squares / sum).sqrt());
    }
    Ok(best)
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "tests")]
    use super::*;

    fn measured(greatest: f64, foot: Option<f64>) -> SideMeasured {
        SideMeasured {
            height: Some(Measured::new(90.0, 0.6)),
            rim: None,
            greatest: Measured::new(greatest, 0.5),
            foot: foot.map(|mm| Measured::new(mm, 0.8)),
            profile_mm: Vec::new(),
            profile_sd_mm: Vec::new(),
            capacity: None,
            wall_mm: 5.0,
            off_mm: 0.1,
            axis_mm: [(0.0, 0.0); 2],
            left_out: Vec::new(),
            notes: Vec::new(),
        }
    }

    #[test]
    fn what_is_seen_as_well_is_held_by_the_plus_minus() {
        let alone = held((measured(80.0, Some(60.0)), 0.8), &[]).unwrap();
        assert_eq!(alone, measured(80.0, Some(60.0)));
        let two = held((measured(80.0, Some(60.0)), 0.8), &[(measured(84.0, Some(60.0)), 0.8)]).unwrap();
        // Half of 4² beside 0.5².
        assert!((two.greatest.sd - 8.25_f64.sqrt()).abs() < 1e-12, "{}", two.greatest.sd);
        assert!((two.foot.unwrap().sd - 0.8).abs() < 1e-12);
    }

    #[test]
    fn what_is_seen_much_worse_counts_for_little_and_another_piece_for_nothing() {
        let worse = held((measured(80.0, None), 0.8), &[(measured(84.0, Some(60.0)), 0.5)]).unwrap();
        assert!((0.5..0.6).contains(&worse.greatest.sd) && worse.foot.is_none(), "{worse:?}");
        let other = held((measured(80.0, None), 0.8), &[(measured(42.0, None), 0.7)]).unwrap();
        assert!((other.greatest.sd - 0.5).abs() < 1e-12, "{}", other.greatest.sd);
        let as_well = held((measured(80.0, None), 0.8), &[(measured(42.0, None), 0.79)]).unwrap_err();
        assert_eq!(
            as_well.to_string(),
            "two outlines are seen as well, 80 and 42 mm across (put the piece before a plain wall or cloth of another colour, away from its shadow)"
        );
    }
}
