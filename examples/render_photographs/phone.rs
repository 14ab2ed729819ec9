//! The phones that the pictures are taken with: a phone has one lens, whoever holds it over whatever table.

use crate::camera::{Camera, focal_px};
use rand::{Rng as _, SeedableRng as _};
use rand_chacha::ChaCha8Rng;

/// Who is written down to have made them.
pub(crate) const MAKER: &str = "Invented";

/// A lens that comes with many pictures.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Phone {
    /// As the picture names it.
    pub(crate) model: String,
    /// Focal length for 35 mm film, taken over the diagonal, as the picture names it.
    pub(crate) equivalent_mm: f64,
    /// How many times that it is, focused as it is.
    pub(crate) focused: f64,
    /// Share by which a point at the half diagonal is moved outward.
    pub(crate) k1: f64,
    /// How far the axis lies beside the picture's middle, as shares of its width and height.
    pub(crate) beside: (f64, f64),
}

/// With the distance it is focused at a lens changes a little: from picture to picture its bend by as much, and its focal length by such a share (our own
/// estimates).
const BEND_VARIES: f64 = 0.0006;
const FOCAL_VARIES: f64 = 0.004;

impl Phone {
    /// The two of the demo's household.
    pub(crate) fn household() -> [Self; 2] {
        [
            Self { model: "kitchen phone".to_owned(), equivalent_mm: 26.2, focused: 1.0, k1: 0.011, beside: (0.003, -0.002) },
            Self { model: "workshop phone".to_owned(), equivalent_mm: 24.8, focused: 1.0, k1: -0.008, beside: (-0.002, 0.004) },
        ]
    }

    /// One by chance.
    pub(crate) fn by_chance(seed: u64) -> Self {
        let mut rng = ChaCha8Rng::seed_from_u64(seed);
        Self {
            model: format!("phone {seed}"),
            equivalent_mm: rng.random_range(24.0..28.0),
            focused: 1.0,
            k1: rng.random_range(-0.015..0.015),
            beside: (rng.random_range(-0.006..0.006), rng.random_range(-0.006..0.006)),
        }
    }

    /// The same as it is for one picture.
    pub(crate) fn focused(&self, seed: u64) -> Self {
        let mut rng = ChaCha8Rng::seed_from_u64(seed ^ 0x5eed_f0c5);
        let mut one = || rng.random_range(-1.0..1.0);
        Self { k1: self.k1 + BEND_VARIES * one(), focused: 1.0 + FOCAL_VARIES * one(), ..self.clone() }
    }

    /// A camera with this lens, in no place yet.
    pub(crate) fn camera(&self, (width, height): (u32, u32)) -> Camera {
        let (w, h) = (f64::from(width), f64::from(height));
        let zero = crate::vector::V3::ZERO;
        Camera {
            width,
            height,
            focal_px: focal_px(self.equivalent_mm * self.focused, width, height),
            cx: w * (0.5 + self.beside.0),
            cy: h * (0.5 + self.beside.1),
            k1: self.k1,
            rotation: [zero; 3],
            translation_mm: zero,
        }
    }
}
