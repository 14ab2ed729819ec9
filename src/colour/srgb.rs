//! sRGB to CIELAB and back, by way of XYZ.
//!
//! White point: D65 as 95.047, 100, 108.883 (ASTM E308, 2° observer; from memory of the standard, and the white that the published
//! test values of the red, green and blue primaries in the tests were computed with). Another rounding of D65 moves Lab by up to 0.01.

use super::Lab;

/// A colour in CIE XYZ, 2° observer, scaled so that the white has Y = 100.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Xyz {
    /// X.
    pub x: f64,
    /// Y, the luminance.
    pub y: f64,
    /// Z.
    pub z: f64,
}

/// The white that Lab is measured from: D65, 2° observer.
pub const WHITE_D65: Xyz = Xyz { x: 95.047, y: 100.0, z: 108.883 };

/// ε = (6/29)³ of CIE 15, as the exact fraction.
const EPSILON: f64 = 216.0 / 24389.0;
/// κ = (29/3)³ of CIE 15, as the exact fraction.
const KAPPA: f64 = 24389.0 / 27.0;

impl Xyz {
    /// XYZ of an sRGB colour (IEC 61966-2-1:1999, matrix from the primaries and white of the standard, 7 places).
    pub fn from_srgb(rgb: [u8; 3]) -> Self {
        Self::from_linear(rgb.map(|c| linear_from_srgb(f64::from(c) / 255.0)))
    }

    /// XYZ of linear light in the primaries of sRGB: 0 for none, 1 for the white's. Values outside are taken as they are.
    pub fn from_linear([r, g, b]: [f64; 3]) -> Self {
        Self {
            x: 100.0 * (0.412_456_4 * r + 0.357_576_1 * g + 0.180_437_5 * b),
            y: 100.0 * (0.212_672_9 * r + 0.715_152_2 * g + 0.072_175_0 * b),
            z: 100.0 * (0.019_333_9 * r + 0.119_192_0 * g + 0.950_304_1 * b),
        }
    }

    /// Linear light in the primaries of sRGB. Below 0 or above 1 where the colour is outside of what a screen can show.
    pub fn to_linear(self) -> [f64; 3] {
        let (x, y, z) = (self.x / 100.0, self.y / 100.0, self.z / 100.0);
        // The inverse of the matrix above.
        [
            3.240_454_836_021_408_7 * x - 1.537_138_850_102_575_1 * y - 0.498_531_546_868_481 * z,
            -0.969_266_389_875_653_8 * x + 1.876_010_928_842_491 * y + 0.041_556_082_346_673_545 * z,
            0.055_643_419_604_213_67 * x - 0.204_025_854_267_698_18 * y + 1.057_225_162_457_929 * z,
        ]
    }

    /// The nearest sRGB colour, each channel clamped to what a screen can show.
    pub fn to_srgb(self) -> [u8; 3] {
        // A float cast saturates, and takes NaN to 0.
        self.to_linear().map(|linear| (srgb_from_linear(linear).clamp(0.0, 1.0) * 255.0).round() as u8)
    }
}

impl Lab {
    /// Lab of an sRGB colour.
    pub fn from_srgb(rgb: [u8; 3]) -> Self {
        Xyz::from_srgb(rgb).into()
    }

    /// Lab of linear light in the primaries of sRGB: 0 for none, 1 for the white's.
    pub fn from_linear(rgb: [f64; 3]) -> Self {
        Xyz::from_linear(rgb).into()
    }

    /// Linear light in the primaries of sRGB. Below 0 or above 1 where the colour is outside of what a screen can show; NaN where a
    /// coordinate is.
    pub fn to_linear(self) -> [f64; 3] {
        Xyz::from(self).to_linear()
    }

    /// True where a screen of sRGB can show it: each channel of linear light is from 0 to 1, to a millionth. False for NaN.
    pub fn is_in_srgb(self) -> bool {
        self.to_linear().into_iter().all(|c| (-1e-6..=1.0 + 1e-6).contains(&c))
    }

    /// The nearest sRGB colour, each channel clamped to what a screen can show: a colour outside the screen's range changes hue.
    pub fn to_srgb(self) -> [u8; 3] {
        Xyz::from(self).to_srgb()
    }
}

impl From<Xyz> for Lab {
    /// CIE 15: L* = 116 f(Y/Yn) − 16, a* = 500 (f(X/Xn) − f(Y/Yn)), b* = 200 (f(Y/Yn) − f(Z/Zn)).
    fn from(c: Xyz) -> Self {
        let f = |t: f64| if t > EPSILON { t.cbrt() } else { (KAPPA * t + 16.0) / 116.0 };
        let (fx, fy, fz) = (f(c.x / WHITE_D65.x), f(c.y / WHITE_D65.y), f(c.z / WHITE_D65.z));
        Self { l: 116.0 * fy - 16.0, a: 500.0 * (fx - fy), b: 200.0 * (fy - fz) }
    }
}

impl From<Lab> for Xyz {
    fn from(c: Lab) -> Self {
        let fy = (c.l + 16.0) / 116.0;
        let back = |f: f64| if f.powi(3) > EPSILON { f.powi(3) } else { (116.0 * f - 16.0) / KAPPA };
        Self { x: WHITE_D65.x * back(fy + c.a / 500.0), y: WHITE_D65.y * back(fy), z: WHITE_D65.z * back(fy - c.b / 200.0) }
    }
}

/// Linear light of an sRGB channel, 0 to 1 (IEC 61966-2-1:1999). Below 0 the straight part goes on.
pub fn linear_from_srgb(c: f64) -> f64 {
    if c <= 0.04045 { c / 12.92 } else { ((c + 0.055) / 1.055).powf(2.4) }
}

/// sRGB channel of linear light, 0 to 1 (IEC 61966-2-1:1999). Below 0 the straight part goes on.
pub fn srgb_from_linear(l: f64) -> f64 {
    if l <= 0.003_130_8 { 12.92 * l } else { 1.055 * l.powf(1.0 / 2.4) - 0.055 }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn decoding_a_half_gives_the_published_value() {
        // Computed from the formula of IEC 61966-2-1:1999 by an independent program.
        assert!((linear_from_srgb(0.5) - 0.214_041_140_5).abs() < 1e-10, "{}", linear_from_srgb(0.5));
    }

    #[test]
    fn srgb_to_lab_meets_values_computed_elsewhere() {
        // Computed by two independent programs with this matrix and white, 4 places.
        for (rgb, l, a, b) in [
            ([255, 0, 0], 53.2408, 80.0925, 67.2032),
            ([0, 255, 0], 87.7347, -86.1827, 83.1793),
            ([0, 0, 255], 32.2970, 79.1875, -107.8602),
            ([128, 128, 128], 53.5850, 0.0, 0.0),
            ([181, 101, 29], 50.9466, 27.1756, 51.1618),
            ([245, 235, 215], 93.3359, 0.0794, 10.9087),
        ] {
            let lab = Lab::from_srgb(rgb);
            for (name, got, want) in [("L", lab.l, l), ("a", lab.a, a), ("b", lab.b, b)] {
                assert!((got - want).abs() < 2e-4, "{rgb:?}: {name} is {got}, not {want}");
            }
        }
    }

    #[test]
    fn every_grey_and_a_net_of_colours_come_back_from_lab() {
        for r in (0..=255).step_by(15) {
            for g in (0..=255).step_by(15) {
                for b in (0..=255).step_by(15) {
                    let rgb = [r, g, b].map(|c: i32| c as u8);
                    assert_eq!(Lab::from_srgb(rgb).to_srgb(), rgb);
                }
            }
        }
        for c in 0..=255 {
            assert_eq!(Lab::from_srgb([c; 3]).to_srgb(), [c; 3]);
        }
    }

    #[test]
    fn a_colour_no_screen_can_show_is_clamped() {
        assert_eq!(Lab::new(150.0, 0.0, 0.0).to_srgb(), [255, 255, 255]);
        assert_eq!(Lab::new(-20.0, 0.0, 0.0).to_srgb(), [0, 0, 0]);
        assert_eq!(Lab::new(f64::NAN, 0.0, 0.0).to_srgb(), [0, 0, 0]);
    }
}
