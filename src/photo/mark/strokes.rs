//! What is drawn with a pen: narrow, darker or lighter than what lies to both sides. Edges of the foot, shadows and gleams are broad and fall away.

use super::error::MarkError;
use super::ground::Ground;
use super::plane::Plane;
use image::RgbImage;

/// Pixels along the longer side of the picture that is looked at.
const LOOK_PX: usize = 480;

/// Density that an eye just sees (a lightness step of about two in a hundred), and times the grain of the glaze: weaker strokes are no print.
const LEAST_STRENGTH: f64 = 0.035;
const LEAST_OVER_GRAIN: f64 = 3.0;

/// A picture's strokes, 0 to 1, at some scale of the photograph.
#[derive(Debug, Clone)]
pub(crate) struct Strokes {
    /// 0 none, 1 as strong as the strongest.
    pub drawn: Plane,
    /// Pixels of the photograph for a cell.
    pub scale: f64,
    /// How far the strongest strokes stand over the grain of the glaze, in times of it.
    pub over_grain: f64,
    /// Density of the strongest strokes.
    pub strength: f64,
}

impl Strokes {
    pub(crate) fn of(picture: &RgbImage) -> Self {
        let longer = picture.width().max(picture.height()) as usize;
        let by = longer.div_ceil(LOOK_PX).max(1);
        let reach = f64::from(picture.width().min(picture.height())) / 6.0;
        let ground = Ground::of(picture, by, Some(reach));
        let along = ground.along(ground.ink_axis());
        let half_wide = (along.width().max(along.height()) / 80).max(2);
        let dark = narrow(&along.map(|v| v.max(0.0)), half_wide);
        let light = narrow(&along.map(|v| (-v).max(0.0)), half_wide);
        let (most_dark, most_light) = (dark.quantile(0.99), light.quantile(0.99));
        // Pressed letters have a lit and a shaded flank; print has one side only.
        let both = if most_light > 0.55 * most_dark { dark.with(&light, |a, b| a + b) } else { dark };
        let grain = both.quantile(0.5).max(1e-4);
        let strength = both.quantile(0.99).max(1e-4);
        let least = (2.0 * grain).min(strength * 0.5);
        let drawn = both.map(|v| ((v - least) / (strength - least).max(1e-4)).clamp(0.0, 1.0));
        Self { drawn, scale: by as f64, over_grain: f64::from(strength / grain), strength: f64::from(strength) }
    }

    /// Whether anything stands out at all.
    pub(crate) fn check(&self) -> Result<(), MarkError> {
        if self.strength < LEAST_STRENGTH || self.over_grain < LEAST_OVER_GRAIN { Err(MarkError::Blank) } else { Ok(()) }
    }
}

/// What stands out and is narrower than twice `half_wide` cells: the plane less its opening by a square (Meyer, 'Contrast feature extraction', 1979).
fn narrow(plane: &Plane, half_wide: usize) -> Plane {
    let opened = plane.map(|v| -v).largest(half_wide).map(|v| -v).largest(half_wide);
    plane.with(&opened, |v, o| (v - o).max(0.0))
}
