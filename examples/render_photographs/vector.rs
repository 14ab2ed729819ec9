//! Vectors of three numbers, and chance that depends on a place instead of a sequence.

use std::ops::{Add, Mul, Neg, Sub};

/// A point or direction in millimetres, or a colour in linear light.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct V3 {
    pub(crate) x: f64,
    pub(crate) y: f64,
    pub(crate) z: f64,
}

pub(crate) const fn v3(x: f64, y: f64, z: f64) -> V3 {
    V3 { x, y, z }
}

impl V3 {
    pub(crate) const ZERO: Self = v3(0.0, 0.0, 0.0);

    pub(crate) const fn all(s: f64) -> Self {
        v3(s, s, s)
    }

    pub(crate) fn dot(self, o: Self) -> f64 {
        self.x * o.x + self.y * o.y + self.z * o.z
    }

    pub(crate) fn cross(self, o: Self) -> Self {
        v3(self.y * o.z - self.z * o.y, self.z * o.x - self.x * o.z, self.x * o.y - self.y * o.x)
    }

    pub(crate) fn length(self) -> f64 {
        self.dot(self).sqrt()
    }

    /// Length 1 in the same direction; zero stays zero.
    pub(crate) fn unit(self) -> Self {
        let length = self.length();
        if length > 0.0 { self * (1.0 / length) } else { self }
    }

    /// Coordinate by coordinate.
    pub(crate) fn times(self, o: Self) -> Self {
        v3(self.x * o.x, self.y * o.y, self.z * o.z)
    }

    pub(crate) fn mix(self, o: Self, share: f64) -> Self {
        self * (1.0 - share) + o * share
    }
}

impl Add for V3 {
    type Output = Self;
    fn add(self, o: Self) -> Self {
        v3(self.x + o.x, self.y + o.y, self.z + o.z)
    }
}

impl Sub for V3 {
    type Output = Self;
    fn sub(self, o: Self) -> Self {
        v3(self.x - o.x, self.y - o.y, self.z - o.z)
    }
}

impl Mul<f64> for V3 {
    type Output = Self;
    fn mul(self, s: f64) -> Self {
        v3(self.x * s, self.y * s, self.z * s)
    }
}

impl Neg for V3 {
    type Output = Self;
    fn neg(self) -> Self {
        self * -1.0
    }
}

/// 0 below `from`, 1 above `to`, smooth between.
pub(crate) fn smooth(from: f64, to: f64, x: f64) -> f64 {
    let t = ((x - from) / (to - from)).clamp(0.0, 1.0);
    t * t * (3.0 - 2.0 * t)
}

/// A number in 0 .. 1 that belongs to a cell of a grid: always the same for the same cell.
pub(crate) fn chance(x: i64, y: i64, salt: u64) -> f64 {
    let mut h = (x as u64).wrapping_mul(0x9E37_79B9_7F4A_7C15)
        ^ (y as u64).wrapping_mul(0xC2B2_AE3D_27D4_EB4F)
        ^ salt.wrapping_mul(0x1656_67B1_9E37_79F9);
    h ^= h >> 32;
    h = h.wrapping_mul(0xD6E8_FEB8_6659_FD93);
    h ^= h >> 32;
    h = h.wrapping_mul(0xD6E8_FEB8_6659_FD93);
    h ^= h >> 32;
    (h >> 11) as f64 / (1_u64 << 53) as f64
}

/// Smooth noise in −1 .. 1 with details of about one unit.
pub(crate) fn noise(x: f64, y: f64, salt: u64) -> f64 {
    let (xi, yi) = (x.floor(), y.floor());
    let (fx, fy) = (smooth(0.0, 1.0, x - xi), smooth(0.0, 1.0, y - yi));
    let (xi, yi) = (xi as i64, yi as i64);
    let row = |y: i64| chance(xi, y, salt) * (1.0 - fx) + chance(xi + 1, y, salt) * fx;
    (row(yi) * (1.0 - fy) + row(yi + 1) * fy) * 2.0 - 1.0
}

/// Noise of several sizes, each half as large and half as strong as the last, in about −1 .. 1.
pub(crate) fn rough(x: f64, y: f64, octaves: u32, salt: u64) -> f64 {
    let (mut sum, mut scale, mut weight) = (0.0, 1.0, 0.5);
    for octave in 0..octaves {
        sum += weight * noise(x * scale, y * scale, salt + u64::from(octave) * 101);
        scale *= 2.03;
        weight *= 0.5;
    }
    sum
}
