//! A camera with all that is unsure about it.

use super::{Believed, Lens, Placed, Pose};
use crate::say;
use kurbo::{Point, Vec2};
use nalgebra::{DMatrix, DVector, Rotation3, Vector3};

/// A placed camera and the covariance of its numbers.
#[derive(Debug, Clone)]
pub struct Camera {
    /// The likeliest place and lens.
    pub placed: Placed,
    /// How far an unknown tilt may shorten one axis of what lies in the plane: one standard deviation of the logarithm, 0 where the tilt was measured.
    pub shortening_sd: f64,
    start: Placed,
    at: DVector<f64>,
    covariance: DMatrix<f64>,
}

/// With only a length to go by, the camera is held as level as a person holds it: by 8° or so (our own estimate). One axis then looks shorter by t²/2.
const UNKNOWN_TILT_RAD: f64 = 0.14;
/// A person sets a point on a ruler to about so many pixels of the photograph.
const SET_BY_HAND_PX: f64 = 1.0;

/// Why a length was not taken for a scale.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum ScaleError {
    /// Not a length.
    #[error("{}", say!("'{what}' is no length for a scale (it must be from 5 to 2000 mm)", what = _0))]
    NotALength(f64),
    /// The points are too near one another.
    #[error("{}", say!("the two points are only {what:.0} pixels apart (take two marks that are farther apart: 60 pixels at least)", what = _0))]
    TooNear(f64),
    /// A point is not in the picture.
    #[error("{}", say!("the point {what:.0},{other:.0} lies outside the picture", what = _0, other = _1))]
    Outside(f64, f64),
}

impl Camera {
    /// Turn (3), shift (3), ln focal length, k₁ and the middle (2): the numbers that place a camera.
    pub(crate) const NUMBERS: usize = 10;

    /// From changes to a start and their covariance; numbers beyond [`Camera::NUMBERS`] place nothing but may go together with those that do.
    pub(crate) fn new(start: Placed, at: DVector<f64>, covariance: DMatrix<f64>) -> Self {
        Self { placed: placed_at(&start, &at), shortening_sd: 0.0, start, at, covariance }
    }

    /// By two points of the plane and the length between them; the tilt is not known and is taken for none. The world's origin lies between the
    /// points, its x axis along the picture's.
    ///
    /// # Errors
    /// [`ScaleError`] where the length or the points are no scale.
    pub fn by_length(believed: &Believed, px: [Point; 2], length_mm: f64) -> Result<Self, ScaleError> {
        if !(5.0..=2000.0).contains(&length_mm) {
            return Err(ScaleError::NotALength(length_mm));
        }
        let lens = believed.lens;
        if let Some(p) = px.iter().find(|p| !((0.0..=lens.width_px).contains(&p.x) && (0.0..=lens.height_px).contains(&p.y))) {
            return Err(ScaleError::Outside(p.x, p.y));
        }
        let apart_px = (px[1] - px[0]).hypot();
        if apart_px < 60.0 {
            return Err(ScaleError::TooNear(apart_px));
        }
        let [a, b] = px.map(|p| lens.slope(p));
        let z = length_mm / (b - a).hypot();
        let middle = (a + b) / 2.0 * z;
        // Looking straight down: the picture's y axis goes down, the world's z axis to the camera.
        let rotation = Rotation3::from_axis_angle(&Vector3::x_axis(), std::f64::consts::PI);
        let start = Placed { lens, pose: Pose { rotation, translation_mm: Vector3::new(middle.x, middle.y, z) } };
        let mut covariance = DMatrix::zeros(Self::NUMBERS, Self::NUMBERS);
        let scale = 2.0_f64.sqrt() * SET_BY_HAND_PX / apart_px;
        // Nearer with a shorter lens looks alike: focal length and distance go together.
        let focal = believed.ln_focal_sd.powi(2);
        let tilt = (UNKNOWN_TILT_RAD / 2.0).powi(2);
        for (i, j, value) in [
            (0, 0, tilt),
            (1, 1, tilt),
            (2, 2, 1e-12),
            (3, 3, 1e-12),
            (4, 4, 1e-12),
            (5, 5, scale.powi(2) + focal),
            (5, 6, focal),
            (6, 5, focal),
            (6, 6, focal),
            (7, 7, believed.k1_sd.powi(2)),
            (8, 8, super::CENTRE_SD.powi(2)),
            (9, 9, super::CENTRE_SD.powi(2)),
        ] {
            if let Some(c) = covariance.get_mut((i, j)) {
                *c = value;
            }
        }
        let mut camera = Self::new(start, DVector::zeros(Self::NUMBERS), covariance);
        camera.shortening_sd = UNKNOWN_TILT_RAD.powi(2) / 2.0;
        Ok(camera)
    }

    /// How the camera may stray from where it is, in directions that are unsure independently of one another. None where it is no number.
    pub fn strays(&self) -> Option<Strays> {
        let own = self.covariance.view((0, 0), (Self::NUMBERS, Self::NUMBERS));
        let sds = own.diagonal().map(|v| v.max(0.0).sqrt().max(1e-12));
        let alike = DMatrix::from_fn(Self::NUMBERS, Self::NUMBERS, |i, j| {
            own.get((i, j)).copied().unwrap_or(0.0) / (sds.get(i).copied().unwrap_or(1.0) * sds.get(j).copied().unwrap_or(1.0))
        });
        if alike.iter().any(|n| !n.is_finite()) {
            return None;
        }
        let eigen = alike.symmetric_eigen();
        let lengths = eigen.eigenvalues.map(|v| v.max(0.0).sqrt());
        let directions = DMatrix::from_diagonal(&sds) * eigen.eigenvectors * DMatrix::from_diagonal(&lengths);
        Some(Strays { start: self.start, at: self.at.rows(0, Self::NUMBERS).into_owned(), directions })
    }

    /// The camera as it might as well be, drawn from its own covariance. None where that is no number.
    pub(crate) fn drawn(&self, dice: &mut rand_chacha::ChaCha8Rng) -> Option<Self> {
        let strays = self.strays()?;
        let by: [f64; Self::NUMBERS] = std::array::from_fn(|_| crate::photo::bootstrap::normal(dice));
        let at = strays.moved(&by).at;
        let covariance = self.covariance.view((0, 0), (Self::NUMBERS, Self::NUMBERS)).into_owned();
        Some(Self { shortening_sd: self.shortening_sd, ..Self::new(self.start, at, covariance) })
    }

    /// Covariance of numbers that are computed from the camera, by first differences over all that is unsure. None where the numbers cannot be had on
    /// one side.
    pub fn spread<F: Fn(&Placed) -> Option<Vec<f64>>>(&self, numbers: F) -> Option<DMatrix<f64>> {
        let mut columns = Vec::with_capacity(Self::NUMBERS);
        for j in 0..Self::NUMBERS {
            let sd = self.covariance.get((j, j))?.sqrt();
            let at = |by: f64| {
                let mut p = self.at.clone();
                *p.get_mut(j)? += by;
                numbers(&placed_at(&self.start, &p))
            };
            let (up, down) = (DVector::from_vec(at(sd)?), DVector::from_vec(at(-sd)?));
            if up.len() != down.len() || sd <= 0.0 {
                return None;
            }
            columns.push((up - down) / (2.0 * sd));
        }
        let slopes = DMatrix::from_columns(&columns);
        let own = self.covariance.view((0, 0), (Self::NUMBERS, Self::NUMBERS));
        Some(&slopes * own * slopes.transpose())
    }
}

/// How a camera may stray: see [`Camera::strays`].
#[derive(Debug, Clone, PartialEq)]
pub struct Strays {
    start: Placed,
    at: DVector<f64>,
    directions: DMatrix<f64>,
}

impl Strays {
    /// How many directions there are.
    pub const COUNT: usize = Camera::NUMBERS;

    /// The same, straying so many times as far.
    #[must_use]
    pub fn widened(self, times: f64) -> Self {
        Self { directions: self.directions * times, ..self }
    }

    /// The same about the camera so many standard deviations off along each direction.
    #[must_use]
    pub fn moved(self, by: &[f64; Self::COUNT]) -> Self {
        let at = &self.at + &self.directions * DVector::from_column_slice(by);
        Self { at, ..self }
    }

    /// The camera so many standard deviations off along each direction.
    pub fn placed(&self, by: &[f64; Self::COUNT]) -> Placed {
        placed_at(&self.start, &(&self.at + &self.directions * DVector::from_column_slice(by)))
    }
}

/// The camera of those numbers, which are changes from a start.
pub(crate) fn placed_at(start: &Placed, p: &DVector<f64>) -> Placed {
    let n = |i: usize| p.get(i).copied().unwrap_or(0.0);
    let turn = Rotation3::new(Vector3::new(n(0), n(1), n(2)));
    let size = start.pose.translation_mm.norm();
    let lens = Lens {
        focal_px: start.lens.focal_px * n(6).exp(),
        k1: start.lens.k1 + n(7),
        centre_px: start.lens.centre_px + Vec2::new(n(8), n(9)) * start.lens.width_px,
        ..start.lens
    };
    Placed {
        lens,
        pose: Pose {
            rotation: turn * start.pose.rotation,
            translation_mm: start.pose.translation_mm + Vector3::new(n(3), n(4), n(5)) * size,
        },
    }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "tests")]
    use super::*;

    #[test]
    fn a_length_makes_a_scale_and_says_how_sure_it_is() {
        let believed = Believed::usual(1600.0, 1200.0).unwrap();
        let camera = Camera::by_length(&believed, [Point::new(300.0, 900.0), Point::new(900.0, 900.0)], 150.0).unwrap();
        // 600 pixels are 150 mm everywhere in the plane: another 200 pixels are 50 mm, and up in the picture is up in the world.
        let (a, b) = (
            camera.placed.on_plane(Point::new(800.0, 400.0), 0.0).unwrap(),
            camera.placed.on_plane(Point::new(800.0, 200.0), 0.0).unwrap(),
        );
        assert!((b.y - a.y - 50.0).abs() < 1e-9 && (b.x - a.x).abs() < 1e-9, "{a} {b}");
        let apart = |placed: &Placed| {
            Some(vec![(placed.on_plane(Point::new(900.0, 900.0), 0.0)? - placed.on_plane(Point::new(300.0, 900.0), 0.0)?).hypot()])
        };
        let sd = camera.spread(apart).unwrap()[(0, 0)].sqrt();
        // √2 pixels of 600 are 0.35 mm of 150; tilt and lens add to it.
        assert!((0.35..2.5).contains(&sd), "{sd}");
    }

    #[test]
    fn what_is_no_scale_is_refused_with_the_reason() {
        let believed = Believed::usual(1600.0, 1200.0).unwrap();
        let by = |a: (f64, f64), b: (f64, f64), mm| Camera::by_length(&believed, [a.into(), b.into()], mm).unwrap_err().to_string();
        assert_eq!(by((0.0, 0.0), (600.0, 0.0), f64::NAN), "'NaN' is no length for a scale (it must be from 5 to 2000 mm)");
        assert_eq!(
            by((10.0, 10.0), (20.0, 10.0), 30.0),
            "the two points are only 10 pixels apart (take two marks that are farther apart: 60 pixels at least)"
        );
        assert_eq!(by((10.0, 10.0), (2000.0, 10.0), 30.0), "the point 2000,10 lies outside the picture");
    }
}
