//! What else might have been measured: outlines that are seen nearly as well as the best one.
//!
//! The scatter of an outline about its solid says nothing of whether it is the right outline. So several are fitted, and what they say is held together: where
//! they are the same piece seen a little otherwise, the ± holds them; where they are not, and are seen as well, nothing is told.

use super::error::SideError;
use super::measured::SideMeasured;
use crate::photo::camera::Measured;

/// An outline that is seen worse by so much counts less by e. A choice of this program, from rendered photographs.
const TEMPER: f64 = 0.06;
/// Numbers that differ by more than this share are not those of one piece seen a little otherwise.
const SAME_SHARE: f64 = 0.12;
/// Another piece is as likely where it counts so much.
const AS_LIKELY: f64 = 0.5;

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
