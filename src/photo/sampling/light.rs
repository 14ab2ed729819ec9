//! The light, from something white.

use super::area::{Area, SamplingError, quantile};
use crate::colour::{Adaptation, Lab, WHITE_D65, Xyz, delta_e00};
use crate::say;
use image::RgbImage;

/// Fewest pixels of a white.
const LEAST: usize = 64;
/// More of a white than this cut off, and its tint is anyone's guess.
const MOST_CLIPPED: f64 = 0.2;
/// A white is at least so bright (linear, of 1): an eighth of the light, a mid grey in the picture, less what a shadow takes.
const DARKEST: f64 = 0.03;
/// Lightness may fall across a white by so much, L* (from the 5th to the 95th of a hundred).
const MOST_UNEVEN: f64 = 12.0;
/// Chroma of a white as photographed; lamps that a camera has not corrected reach about 35.
const MOST_CHROMA: f64 = 45.0;
/// What each unit of the white's chroma adds to the uncertainty of a colour, ΔE00, one standard deviation along each axis. Read off
/// `tests/reference/lamps.py`, where a camera has corrected half of a lamp's tint; a simple model, not a measurement.
const TINT_SD: f64 = 0.08;
/// A white of more chroma is worth a word.
const TINTED: f64 = 12.0;

/// The light in a picture, read from a white. All limits of it are choices of this program, no source.
///
/// The picture's colours are taken to daylight by the Bradford transform. The camera's own white balance is three gains, but in the sensor's
/// primaries, which a photograph no longer shows; in `tests/reference/lamps.py` Bradford is nearer than gains on the channels of the photograph
/// wherever a camera has taken away half of a lamp's tint (root mean square of ΔE00 4.6 to 5.2 against 5.8 to 6.2) or more, and in daylight never further by more
/// than 0.2.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct White {
    pub(super) to_d65: Adaptation,
    /// Its own colour as photographed, scaled to its luminance: `[1, 1, 1]` is neutral.
    pub tint: [f64; 3],
    /// Its chroma as photographed, were it of full lightness: 0 is neutral, a lamp that the camera left as it is reaches 35 and more.
    pub chroma: f64,
    /// What it adds to a colour's uncertainty, by how uneven and how far from neutral it is: ΔE00, one standard deviation along each axis.
    pub sd_delta_e: f64,
}

impl White {
    /// Reflectance of white paper or of a card's border where it is not known, 0 to 1 (common practice, no source: L* about 95).
    pub const USUAL_REFLECTANCE: f64 = 0.88;

    /// The light from an area that is white or grey and reflects a share of the light, above 0 to 1.
    ///
    /// # Errors
    /// [`SamplingError`]: outside, too small, overexposed, too dark, uneven, or no white.
    pub fn of(picture: &RgbImage, area: &Area, reflectance: f64) -> Result<Self, SamplingError> {
        let cells = area.cells(picture, say!(in "an area", "white"), LEAST, MOST_CLIPPED)?;
        let median = |n: usize| {
            let mut channel: Vec<f64> = cells.linear.iter().filter_map(|c| c.get(n).copied()).collect();
            channel.sort_by(f64::total_cmp);
            quantile(&channel, 0.5)
        };
        let seen = Xyz::from_linear([median(0), median(1), median(2)]);
        if seen.y / 100.0 < DARKEST {
            return Err(SamplingError::TooDark { what: say!(in "an area", "white") });
        }
        let bright = Lab::from(Xyz { x: 100.0 * seen.x / seen.y, y: 100.0, z: 100.0 * seen.z / seen.y });
        let chroma = bright.a.hypot(bright.b);
        if chroma > MOST_CHROMA {
            return Err(SamplingError::Coloured);
        }
        let share = if reflectance.is_finite() { reflectance.clamp(0.01, 1.0) } else { Self::USUAL_REFLECTANCE };
        let full = Xyz { x: seen.x / share, y: seen.y / share, z: seen.z / share };
        let to_d65 = Adaptation::new(full, WHITE_D65).ok_or(SamplingError::Coloured)?;
        let own = Lab::from(to_d65.apply(seen));
        let labs: Vec<Lab> = cells.linear.iter().map(|c| to_d65.apply(Xyz::from_linear(*c)).into()).collect();
        let mut lightness: Vec<f64> = labs.iter().map(|lab| lab.l).collect();
        lightness.sort_by(f64::total_cmp);
        if quantile(&lightness, 0.95) - quantile(&lightness, 0.05) > MOST_UNEVEN {
            return Err(SamplingError::Uneven);
        }
        let squares: f64 = labs.iter().map(|lab| delta_e00(*lab, own).powi(2)).sum();
        let tint = Xyz { x: 100.0 * seen.x / seen.y, y: 100.0, z: 100.0 * seen.z / seen.y }.to_linear();
        let uneven = (squares / labs.len() as f64 / 3.0).sqrt();
        Ok(Self { to_d65, tint, chroma, sd_delta_e: uneven.hypot(TINT_SD * chroma) })
    }

    /// What a person should know of the light, a sentence, or nothing of a white that is nearly neutral.
    pub fn note(&self) -> Option<&'static str> {
        let [red, _, blue] = self.tint;
        (self.chroma > TINTED).then_some(if red > blue {
            say!("the light is warm, so the spread is wider (by a window in daylight it is narrower)")
        } else {
            say!("the light is cool, so the spread is wider (set the camera's white balance on the card)")
        })
    }
}
