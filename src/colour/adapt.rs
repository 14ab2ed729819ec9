//! One light to another: what a colour seen under a lamp would be under daylight.
//!
//! The linear form of the Bradford transform after von Kries (K. M. Lam's thesis, Bradford 1985; published as the linearised part of
//! CIECAM97s and used by ICC profiles): the cone responses of the two whites scale those of the colour.

use super::Xyz;

/// Cone responses of XYZ, Bradford.
const CONES_FROM_XYZ: [[f64; 3]; 3] = [[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]];
/// Its inverse.
const XYZ_FROM_CONES: [[f64; 3]; 3] = [
    [0.986_992_905_466_712_1, -0.147_054_256_420_990_1, 0.159_962_651_663_731_22],
    [0.432_305_269_723_394_45, 0.518_360_271_536_777_4, 0.049_291_228_212_855_594],
    [-0.008_528_664_575_177_328, 0.040_042_821_654_084_86, 0.968_486_695_787_55],
];

/// White of illuminant C, 2° observer, from its chromaticity 0.31006, 0.31616 (CIE 15), Y = 100. Munsell's chips were measured under it.
pub const WHITE_C: Xyz = Xyz { x: 98.070_597_2, y: 100.0, z: 118.224_949_4 };

/// The change of one white to another.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Adaptation([[f64; 3]; 3]);

impl Adaptation {
    /// The change that takes the one white to the other, its luminance too: a white seen as half as bright makes all colours twice as bright.
    ///
    /// None where a white is none: not finite, or without light for one of the three cones.
    pub fn new(from: Xyz, to: Xyz) -> Option<Self> {
        let (from, to) = (times(&CONES_FROM_XYZ, from.array()), times(&CONES_FROM_XYZ, to.array()));
        let sees = |cones: [f64; 3]| cones.into_iter().all(|c| c.is_finite() && c > 1e-9);
        if !sees(from) || !sees(to) {
            return None;
        }
        let [[f0, f1, f2], [t0, t1, t2]] = [from, to];
        let gains = [t0 / f0, t1 / f1, t2 / f2];
        let scaled = {
            let [a, b, c] = CONES_FROM_XYZ;
            let [ga, gb, gc] = gains;
            [a.map(|x| x * ga), b.map(|x| x * gb), c.map(|x| x * gc)]
        };
        let [[a0, a1, a2], [b0, b1, b2], [c0, c1, c2]] = scaled;
        let columns = [[a0, b0, c0], [a1, b1, c1], [a2, b2, c2]].map(|column| times(&XYZ_FROM_CONES, column));
        let [[x0, y0, z0], [x1, y1, z1], [x2, y2, z2]] = columns;
        Some(Self([[x0, x1, x2], [y0, y1, y2], [z0, z1, z2]]))
    }

    /// The colour under the other white.
    pub fn apply(&self, colour: Xyz) -> Xyz {
        let [x, y, z] = times(&self.0, colour.array());
        Xyz { x, y, z }
    }
}

impl Xyz {
    fn array(self) -> [f64; 3] {
        [self.x, self.y, self.z]
    }
}

fn times(matrix: &[[f64; 3]; 3], [x, y, z]: [f64; 3]) -> [f64; 3] {
    matrix.map(|[a, b, c]| a * x + b * y + c * z)
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "tests")]
    use super::super::{Lab, WHITE_D65};
    use super::*;
    use proptest::prelude::*;

    fn close(one: Xyz, two: Xyz, by: f64) -> bool {
        one.array().into_iter().zip(two.array()).all(|(a, b)| (a - b).abs() < by)
    }

    #[test]
    fn a_white_without_light_is_none() {
        let black = Xyz { x: 0.0, y: 0.0, z: 0.0 };
        let nothing = Xyz { x: f64::NAN, y: 100.0, z: 100.0 };
        assert_eq!(Adaptation::new(black, WHITE_D65), None);
        assert_eq!(Adaptation::new(WHITE_D65, nothing), None);
        // A light so blue that one cone sees less than nothing of it.
        assert_eq!(Adaptation::new(Xyz { x: 0.0, y: 1.0, z: 100.0 }, WHITE_D65), None);
    }

    #[test]
    fn the_white_of_c_has_its_chromaticity() {
        let sum = WHITE_C.x + WHITE_C.y + WHITE_C.z;
        assert!((WHITE_C.x / sum - 0.31006).abs() < 1e-9 && (WHITE_C.y / sum - 0.31616).abs() < 1e-9);
    }

    proptest! {
        /// Any light that a lamp or a window gives (linear sRGB, red against blue up to one to ten) is taken to white, and back.
        #[test]
        fn a_white_of_any_tint_becomes_white(r in 0.1..1.0_f64, g in 0.2..1.0_f64, b in 0.1..1.0_f64, grey in 0.01..1.0_f64) {
            let light = Xyz::from_linear([r, g, b]);
            let there = Adaptation::new(light, WHITE_D65).unwrap();
            prop_assert!(close(there.apply(light), WHITE_D65, 1e-9));
            // A grey under that light is a grey.
            let lab = Lab::from(there.apply(Xyz { x: light.x * grey, y: light.y * grey, z: light.z * grey }));
            prop_assert!(lab.a.abs() < 1e-9 && lab.b.abs() < 1e-9, "{lab:?}");
            let back = Adaptation::new(WHITE_D65, light).unwrap();
            let colour = Xyz { x: 20.0, y: 30.0, z: 15.0 };
            prop_assert!(close(back.apply(there.apply(colour)), colour, 1e-9));
        }
    }
}
