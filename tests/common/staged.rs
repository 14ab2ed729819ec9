//! Photographs made up for tests: a flat lid and a card on a cloth, seen through a known lens from a known place. A second route beside the program's own
//! camera: its projection is written out here again.

use image::{Rgb, RgbImage};
use rand::{Rng as _, SeedableRng as _};
use rand_chacha::ChaCha8Rng;
use rayon::prelude::*;

/// What lies beneath.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Cloth {
    Pale,
    Dark,
    Newsprint,
    Linen,
}

/// A lid's outline in plan: half long side, half short side, exponent of the superellipse, angle.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Lid {
    pub a_mm: f64,
    pub b_mm: f64,
    pub exponent: f64,
    pub angle_rad: f64,
    pub at_mm: (f64, f64),
    pub rgb: [f64; 3],
    /// Second harmonic of a warp, as a share of the radius.
    pub warp: f64,
}

/// A whole scene.
#[derive(Debug, Clone)]
pub(crate) struct Scene {
    pub width: u32,
    pub height: u32,
    pub focal_35: f64,
    pub k1: f64,
    /// Tilt about x and y, then roll; radians.
    pub tilt: (f64, f64, f64),
    /// Millimetres before the camera, and where the card's middle is seen (millimetres).
    pub shift_mm: (f64, f64, f64),
    pub cloth: Cloth,
    pub card_rgb: [f64; 3],
    pub patterned: bool,
    pub card: bool,
    /// What lies before the card's lower edge is as light as the card, but for so many of 255 steps.
    pub foot_alike: Option<f64>,
    pub lid: Option<Lid>,
    /// Middles of coins of [`COIN_MM`] in the card's plane.
    pub coins_mm: Vec<(f64, f64)>,
    /// Where a dark band of decoration runs round the lid, as a share of its radius.
    pub band_at: Option<f64>,
    pub noise: f64,
    pub shadow: bool,
    pub seed: u64,
}

/// Diameter of the coins.
pub(crate) const COIN_MM: f64 = 23.25;

/// A coin of two metals with a raised edge and a head on it that nobody ever struck; the light falls along x.
fn coin(u: f64, v: f64) -> [f64; 3] {
    let reach = u.hypot(v) / (0.5 * COIN_MM);
    let metal = if reach < 0.7 { [186.0, 182.0, 172.0] } else { [150.0, 118.0, 62.0] };
    let ridge = if reach > 0.92 { 1.12 } else { 1.0 };
    let relief = 1.0 + 0.16 * (1.9 * u).sin() * (1.4 * v + 0.8 * u).cos() * if reach < 0.62 { 1.0 } else { 0.25 };
    metal.map(|c| c * ridge * relief * (1.0 + 0.01 * u))
}

impl Scene {
    /// A card left of an oval lid of 160 by 144 mm on linen, the camera a little aslant.
    pub(crate) fn oval_on_linen() -> Self {
        Self {
            width: 1200,
            height: 900,
            focal_35: 27.0,
            k1: 0.002,
            tilt: (0.16, -0.10, 0.2),
            shift_mm: (-62.0, 4.0, 330.0),
            cloth: Cloth::Linen,
            card_rgb: [246.0, 246.0, 244.0],
            patterned: true,
            card: true,
            foot_alike: None,
            lid: Some(Lid {
                a_mm: 80.0,
                b_mm: 72.0,
                exponent: 2.0,
                angle_rad: 0.4,
                at_mm: (128.0, 2.0),
                rgb: [60.0, 90.0, 80.0],
                warp: 0.0,
            }),
            coins_mm: Vec::new(),
            band_at: None,
            noise: 2.0,
            shadow: false,
            seed: 3,
        }
    }
}

fn turn(t: (f64, f64, f64)) -> [[f64; 3]; 3] {
    let (sx, cx) = t.0.sin_cos();
    let (sy, cy) = t.1.sin_cos();
    let (sz, cz) = t.2.sin_cos();
    let mul = |a: [[f64; 3]; 3], b: [[f64; 3]; 3]| -> [[f64; 3]; 3] {
        std::array::from_fn(|i| std::array::from_fn(|j| (0..3).map(|k| a[i][k] * b[k][j]).sum()))
    };
    let x = [[1.0, 0.0, 0.0], [0.0, cx, -sx], [0.0, sx, cx]];
    let y = [[cy, 0.0, sy], [0.0, 1.0, 0.0], [-sy, 0.0, cy]];
    let z = [[cz, -sz, 0.0], [sz, cz, 0.0], [0.0, 0.0, 1.0]];
    // Looking straight down: x right, y up on the table is y down in the picture, z towards the camera.
    mul(mul(mul(x, y), z), [[1.0, 0.0, 0.0], [0.0, -1.0, 0.0], [0.0, 0.0, -1.0]])
}

/// Light of a number of the file (IEC 61966-2-1), and the number of a light.
fn light(c: f64) -> f64 {
    let c = c.clamp(0.0, 255.0) / 255.0;
    if c <= 0.040_45 { c / 12.92 } else { ((c + 0.055) / 1.055).powf(2.4) }
}

fn number(l: f64) -> f64 {
    255.0 * if l <= 0.003_130_8 { 12.92 * l } else { 1.055 * l.powf(1.0 / 2.4) - 0.055 }
}

/// How far a point of the plane lies outside a card.
fn beside_card_mm(x: f64, y: f64) -> f64 {
    let (qx, qy) = ((x.abs() - (42.8 - 3.18)).max(0.0), (y.abs() - (26.99 - 3.18)).max(0.0));
    qx.hypot(qy) - 3.18
}

/// How thick a card is (ISO/IEC 7810).
const THICK_MM: f64 = 0.76;

impl Scene {
    /// The pixel of a point of the card's plane.
    pub(crate) fn pixel(&self, x: f64, y: f64) -> (f64, f64) {
        let r = turn(self.tilt);
        let (tx, ty, tz) = self.shift_mm;
        let v = [r[0][0] * x + r[0][1] * y + tx, r[1][0] * x + r[1][1] * y + ty, r[2][0] * x + r[2][1] * y + tz];
        let half = f64::from(self.width).hypot(f64::from(self.height)) / 2.0;
        let f = self.focal_35 / 21.633_307_652_783_937 * half;
        let (u, w) = (f * v[0] / v[2], f * v[1] / v[2]);
        let bend = 1.0 + self.k1 * (u * u + w * w) / (half * half);
        (f64::from(self.width) / 2.0 + u * bend, f64::from(self.height) / 2.0 + w * bend)
    }

    /// The point under a pixel of the plane that lies so far above the card's face, by turns of the lens's own formula and then the plane.
    fn plane(&self, m: &[[f64; 3]; 3], px: f64, py: f64, above_mm: f64) -> (f64, f64) {
        let half = f64::from(self.width).hypot(f64::from(self.height)) / 2.0;
        let f = self.focal_35 / 21.633_307_652_783_937;
        let (u, w) = ((px - f64::from(self.width) / 2.0) / half, (py - f64::from(self.height) / 2.0) / half);
        let rd = (u * u + w * w).sqrt();
        let mut r = rd;
        for _ in 0..9 {
            r = rd / (1.0 + self.k1 * r * r);
        }
        let s = if rd > 0.0 { r / rd } else { 1.0 };
        let ray = [u * s / f, w * s / f, 1.0];
        let (tx, ty, tz) = self.shift_mm;
        let back = |v: [f64; 3]| -> [f64; 3] { std::array::from_fn(|i| m[0][i] * v[0] + m[1][i] * v[1] + m[2][i] * v[2]) };
        let (eye, dir) = (back([-tx, -ty, -tz]), back(ray));
        let k = (above_mm - eye[2]) / dir[2];
        (eye[0] + k * dir[0], eye[1] + k * dir[1])
    }

    fn colour(&self, x: f64, y: f64) -> [f64; 3] {
        let hash = |i: i64, j: i64| {
            let mut h = (i as u64).wrapping_mul(0x9E37_79B9_7F4A_7C15) ^ (j as u64).wrapping_mul(0xC2B2_AE3D_27D4_EB4F) ^ self.seed;
            h ^= h >> 29;
            h = h.wrapping_mul(0xBF58_476D_1CE4_E5B9);
            ((h >> 40) as f64) / f64::from(1 << 24)
        };
        let grid = |s: f64| ((x / s).floor() as i64, (y / s).floor() as i64);
        let mut rgb = match self.cloth {
            Cloth::Pale => [222.0, 216.0, 205.0].map(|c| c + 6.0 * (hash(grid(0.8).0, grid(0.8).1) - 0.5)),
            Cloth::Dark => [52.0, 50.0, 58.0].map(|c| c + 5.0 * (hash(grid(0.8).0, grid(0.8).1) - 0.5)),
            Cloth::Linen => {
                let weave = if (grid(1.3).0 + grid(1.3).1) % 2 == 0 { 7.0 } else { -7.0 };
                [188.0, 172.0, 146.0].map(|c| c + weave + 14.0 * (hash(grid(1.3).0, grid(1.3).1) - 0.5))
            }
            Cloth::Newsprint => {
                let (row, within) = ((y / 3.2).floor(), (y / 3.2).rem_euclid(1.0));
                let ink = within < 0.62 && hash((x / 0.9).floor() as i64, row as i64) < 0.55 && (x / 52.0).rem_euclid(1.0) > 0.06;
                [if ink { 70.0 } else { 214.0 }; 3]
            }
        };
        if let Some(lid) = &self.lid {
            let (dx, dy) = (x - lid.at_mm.0, y - lid.at_mm.1);
            let (s, c) = lid.angle_rad.sin_cos();
            let (u, v) = (c * dx + s * dy, -s * dx + c * dy);
            let wave = 1.0 + lid.warp * (2.0 * v.atan2(u) + 1.0).cos();
            let (p, q) = (u / lid.a_mm, v / lid.b_mm);
            let reach = if (lid.exponent - 2.0).abs() < 1e-9 {
                (p * p + q * q).sqrt()
            } else {
                (p.abs().powf(lid.exponent) + q.abs().powf(lid.exponent)).powf(1.0 / lid.exponent)
            } / wave;
            let out_mm = (reach - 1.0) * f64::midpoint(lid.a_mm, lid.b_mm);
            if reach < 1.0 {
                // A dome lit from one side, a dark line where the knob begins, a highlight.
                let light = 1.0 + 0.13 * (u - 0.6 * v) / lid.a_mm - 0.10 * reach.powi(4);
                let ring =
                    if (0.17..0.19).contains(&reach) || self.band_at.is_some_and(|at| (reach - at).abs() < 0.02) { 0.45 } else { 1.0 };
                let shine = 60.0 * (-((u / lid.a_mm - 0.35).powi(2) + (v / lid.b_mm + 0.3).powi(2)) / 0.01).exp();
                return lid.rgb.map(|k| (k * light * ring + shine).min(255.0));
            }
            // Its shadow on the cloth, all round where it touches and longer on one side.
            let contact = 0.62 + 0.38 * (out_mm / 1.6).min(1.0);
            let side = (0.6 * u + 0.8 * v) / (u.hypot(v) + 1e-9);
            let cast = if self.shadow && side > 0.0 && out_mm < 14.0 * side { 0.62 + 0.38 * (out_mm / (14.0 * side)).powi(3) } else { 1.0 };
            rgb = rgb.map(|k| k * contact.min(cast));
        }
        for (cx, cy) in &self.coins_mm {
            let (u, v) = (x - cx, y - cy);
            let out = u.hypot(v) - 0.5 * COIN_MM;
            if out < 0.0 {
                return coin(u, v);
            }
            // Its shadow falls to one side.
            if out < 1.6 * (u / u.hypot(v)).max(0.0) {
                rgb = rgb.map(|k| k * 0.7);
            }
        }
        if self.card {
            let out = beside_card_mm(x, y);
            if out < 0.0 {
                let stripe = self.patterned && ((x + 2.0 * y) / 9.0).rem_euclid(1.0) < 0.4 && x.abs() < 38.0 && y.abs() < 22.0;
                return if stripe { [150.0, 60.0, 70.0] } else { self.card_rgb };
            }
            if let Some(steps) = self.foot_alike.filter(|_| y < -26.99) {
                return self.card_rgb.map(|c| c - steps);
            }
            if out < 1.0 && y < 0.0 {
                rgb = rgb.map(|k| k * 0.75);
            }
        }
        rgb
    }

    /// The picture, each pixel the mean of four looks, with noise.
    pub(crate) fn picture(&self) -> RgbImage {
        let w = self.width as usize;
        let m = turn(self.tilt);
        let mut raw = vec![0_u8; w * self.height as usize * 3];
        raw.par_chunks_mut(3 * w).enumerate().for_each(|(row, line)| {
            let mut dice = ChaCha8Rng::seed_from_u64(self.seed ^ (row as u64) << 20);
            for (column, pixel) in line.as_chunks_mut::<3>().0.iter_mut().enumerate() {
                let mut sum = [0.0; 3];
                for i in 0..4 {
                    let (px, py) = (column as f64 + f64::from(i % 2) / 2.0 + 0.25, row as f64 + f64::from(i / 2) / 2.0 + 0.25);
                    let (x, y) = self.plane(&m, px, py, 0.0);
                    let (u, v) = self.plane(&m, px, py, -THICK_MM);
                    // Past the face the card's side is seen, as far as the camera looks at it: it gets less light.
                    let side = self.card && beside_card_mm(x, y) >= 0.0 && beside_card_mm(u, v) < 0.0;
                    let colour = if side { self.card_rgb.map(|c| 0.7 * c) } else { self.colour(x, y) };
                    // A lens gathers light, not the numbers of a file.
                    for (s, c) in sum.iter_mut().zip(colour) {
                        *s += light(c) / 4.0;
                    }
                }
                let mut grain = || (0..4).map(|_| dice.random::<f64>() - 0.5).sum::<f64>() * 1.73 * self.noise;
                *pixel = sum.map(|c| (number(c) + grain()).clamp(0.0, 255.0) as u8);
            }
        });
        RgbImage::from_raw(self.width, self.height, raw).unwrap_or_else(|| RgbImage::from_pixel(1, 1, Rgb([0; 3])))
    }
}
