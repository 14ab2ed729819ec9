//! The lens: focal length, middle of the picture, and how far it bends straight lines.

use super::written::FILM_HALF_DIAGONAL_MM;
use super::{KnownLens, Measured, Written};
use crate::say;
use kurbo::{Point, Vec2};

/// A pin-hole camera with one term of radial distortion. Lengths are pixels.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lens {
    /// Width of the picture.
    pub width_px: f64,
    /// Height of the picture.
    pub height_px: f64,
    /// Focal length.
    pub focal_px: f64,
    /// Where the optical axis meets the picture.
    pub centre_px: Point,
    /// Radial distortion: at the half diagonal a point is moved outward by this share of it. Phones keep it within about ±0.015 (common practice,
    /// no source).
    pub k1: f64,
}

/// Where the focal length was taken from, and how well it is known with that.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FocalFrom {
    /// The camera wrote it into the picture.
    Exif,
    /// Nothing was said: a phone's usual one was taken.
    Usual,
}

impl FocalFrom {
    /// One standard deviation of the logarithm of the focal length. A written focal length is rounded to whole millimetres and changes with the
    /// distance; without one it is anything from a wide phone to a short telephoto lens.
    pub const fn ln_sd(self) -> f64 {
        match self {
            Self::Exif => 0.03,
            Self::Usual => 0.30,
        }
    }
}

/// A lens as it is believed to be before anything is measured in the picture.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Believed {
    /// The likeliest lens.
    pub lens: Lens,
    /// Where its focal length was taken from.
    pub focal_from: FocalFrom,
    /// One standard deviation of the logarithm of the focal length.
    pub ln_focal_sd: f64,
    /// One standard deviation of `k1`.
    pub k1_sd: f64,
}

impl Believed {
    /// The lens of a picture of that size from what its camera wrote into it, else a usual phone's.
    ///
    /// # Errors
    /// [`LensError::NoSize`] where a side is not above 0.
    pub fn of_picture(written: &Written, width_px: f64, height_px: f64) -> Result<Self, LensError> {
        let usual = Self::usual(width_px, height_px)?;
        Ok(match written.focal_px {
            Some(focal_px) => {
                Self { lens: Lens { focal_px, ..usual.lens }, focal_from: FocalFrom::Exif, ln_focal_sd: FocalFrom::Exif.ln_sd(), ..usual }
            }
            None => usual,
        })
    }

    /// The same with what other pictures of the camera say of its lens.
    #[must_use]
    pub fn known_by(self, known: KnownLens) -> Self {
        Self { lens: Lens { k1: known.k1.value, ..self.lens }, k1_sd: known.k1.sd.min(self.k1_sd), ..self }
    }

    /// The same with what straight edges of the picture say of `k1`: both together by their weights. Edges that say something else altogether than what is
    /// believed are curved, and say nothing.
    #[must_use]
    pub fn and_straight(self, straight: Option<Measured>) -> Self {
        let Some(seen) = straight else { return self };
        let (own, other) = (self.k1_sd.powi(-2), seen.sd.powi(-2));
        let apart = (seen.value - self.lens.k1).abs() / self.k1_sd.hypot(seen.sd);
        if !(own + other).is_finite() || apart.is_nan() || apart >= CURVED {
            return self;
        }
        let k1 = (own * self.lens.k1 + other * seen.value) / (own + other);
        Self { lens: Lens { k1, ..self.lens }, k1_sd: (own + other).powf(-0.5), ..self }
    }

    /// A usual phone's lens.
    ///
    /// # Errors
    /// [`LensError::NoSize`] where a side is not above 0.
    pub fn usual(width_px: f64, height_px: f64) -> Result<Self, LensError> {
        let lens = Lens::of_35mm(width_px, height_px, USUAL_FOCAL_35_MM)?;
        Ok(Self { lens, focal_from: FocalFrom::Usual, ln_focal_sd: FocalFrom::Usual.ln_sd(), k1_sd: K1_SD })
    }
}

/// Why a lens was not taken.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum LensError {
    /// A picture of no size.
    #[error("{}", say!("the picture has no size"))]
    NoSize,
}

/// One standard deviation of `k1` where nothing is known of it: phones straighten their pictures to within 1–1.5 % at the edge (common practice,
/// no source).
const K1_SD: f64 = 0.010;
/// Edges are curved that are so many standard deviations from what is believed of the lens (our own estimate).
const CURVED: f64 = 4.0;
/// One standard deviation of the middle's place, as a share of the picture's width (common practice, no source).
pub(crate) const CENTRE_SD: f64 = 0.008;
/// What a phone's main camera usually has (common practice, no source).
const USUAL_FOCAL_35_MM: f64 = 27.0;

impl Lens {
    /// A lens without distortion whose '35 mm equivalent' focal length is known, by the diagonal.
    ///
    /// # Errors
    /// [`LensError::NoSize`] where a side is not above 0.
    pub fn of_35mm(width_px: f64, height_px: f64, focal_35_mm: f64) -> Result<Self, LensError> {
        if !(width_px > 0.0 && height_px > 0.0 && width_px.is_finite() && height_px.is_finite()) {
            return Err(LensError::NoSize);
        }
        let half = width_px.hypot(height_px) / 2.0;
        let focal_px = focal_35_mm / FILM_HALF_DIAGONAL_MM * half;
        Ok(Self { width_px, height_px, focal_px, centre_px: Point::new(width_px / 2.0, height_px / 2.0), k1: 0.0 })
    }

    /// Half the diagonal of the picture.
    pub fn half_diagonal_px(&self) -> f64 {
        self.width_px.hypot(self.height_px) / 2.0
    }

    /// Where the lens puts the pixel that a perfect pin-hole would light.
    pub fn bent(&self, straight: Point) -> Point {
        let v = straight - self.centre_px;
        let rho = v.hypot() / self.half_diagonal_px();
        self.centre_px + v * (1.0 + self.k1 * rho * rho)
    }

    /// Which pixel a perfect pin-hole would have lit: the inverse of [`Lens::bent`], by Newton's method. For `k1` within ±0.2 it is exact to 1e-9
    /// pixel anywhere within one and a half half-diagonals.
    pub fn straight(&self, bent: Point) -> Point {
        let v = bent - self.centre_px;
        let half = self.half_diagonal_px();
        let rd = v.hypot() / half;
        if rd == 0.0 || self.k1 == 0.0 {
            return bent;
        }
        let mut r = rd;
        for _ in 0..12 {
            let slope = 1.0 + 3.0 * self.k1 * r * r;
            if slope < 0.2 {
                break;
            }
            let step = (r + self.k1 * r * r * r - rd) / slope;
            r -= step;
            if step.abs() < 1e-13 {
                break;
            }
        }
        self.centre_px + v * (r / rd)
    }

    /// The direction of the ray of that pixel before the camera: (x/z, y/z).
    pub fn slope(&self, px: Point) -> Vec2 {
        (self.straight(px) - self.centre_px) / self.focal_px
    }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "tests")]
    use super::*;

    #[test]
    fn straightening_undoes_bending() {
        for k1 in [-0.03, -0.01, 0.0, 0.015, 0.05] {
            let lens = Lens { k1, ..Lens::of_35mm(4000.0, 3000.0, 26.0).unwrap() };
            for (x, y) in [(0.0, 0.0), (2000.0, 1500.0), (3999.0, 10.0), (1234.5, 2987.6)] {
                let p = Point::new(x, y);
                assert!((lens.straight(lens.bent(p)) - p).hypot() < 1e-8, "{k1} {p}");
            }
        }
    }

    #[test]
    fn a_lens_that_bends_outward_moves_the_corner_by_its_share() {
        let lens = Lens { k1: 0.015, ..Lens::of_35mm(1600.0, 1200.0, 26.0).unwrap() };
        let corner = lens.bent(Point::new(1600.0, 1200.0));
        assert!((corner - Point::new(1612.0, 1209.0)).hypot() < 1e-9, "{corner}");
    }

    #[test]
    fn a_picture_without_a_camera_gets_a_usual_lens() {
        let Believed { lens, focal_from, .. } = Believed::of_picture(&Written::default(), 1600.0, 1200.0).unwrap();
        assert_eq!(focal_from, FocalFrom::Usual);
        assert!((lens.focal_px - 27.0 / 21.6333 * 1000.0).abs() < 0.1, "{}", lens.focal_px);
        assert_eq!(Lens::of_35mm(0.0, 10.0, 26.0), Err(LensError::NoSize));
    }

    #[test]
    fn other_pictures_and_straight_edges_tell_the_lens_together_but_curved_ones_do_not() {
        let usual = Believed::usual(1600.0, 1200.0).unwrap();
        let known = usual.known_by(KnownLens { k1: Measured::new(0.011, 0.002), pictures: 4 });
        assert!((known.lens.k1, known.k1_sd) == (0.011, 0.002));
        let both = known.and_straight(Some(Measured::new(0.013, 0.002)));
        assert!((both.lens.k1 - 0.012).abs() < 1e-12 && (both.k1_sd - 0.002 / 2.0_f64.sqrt()).abs() < 1e-12, "{both:?}");
        assert_eq!(known.and_straight(None), known);
        assert_eq!(known.and_straight(Some(Measured::new(-0.02, 0.002))), known, "curved");
        assert_eq!(known.and_straight(Some(Measured::new(f64::NAN, 0.002))), known);
    }
}
