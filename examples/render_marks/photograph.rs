//! A photograph of a foot with a mark: a pinhole camera over a base that may be dished, light from one side, glaze that gleams and crazes, print that wore.
//!
//! Millimetres: x to the right and y up on the base, z toward the camera, the origin in the middle of the mark. The camera looks at `aim`, leans back by
//! `tilt_deg` toward the direction `toward_deg` (anticlockwise from x), and is rolled by `roll_deg`, so that the mark seems turned clockwise by as much.

use crate::drawing::{Design, Inked, Letter};
use crate::letters::{hash, noise, smooth};
use image::{Rgb, RgbImage};
use rand::{Rng as _, SeedableRng as _};
use rand_chacha::ChaCha8Rng;

/// One photograph to be.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Shot {
    pub mark: &'static str,
    pub size: (u32, u32),
    /// Pixels for a millimetre in the middle of the picture.
    pub px_per_mm: f64,
    pub tilt_deg: f64,
    pub toward_deg: f64,
    pub roll_deg: f64,
    /// Where the middle of the mark lies from the middle of the picture, as a share of its size.
    pub off: (f64, f64),
    /// Radius of the dish of the base in mm: positive hollow, negative domed, 0 flat.
    pub dish_mm: f64,
    /// Share of the print that is rubbed away, and how faint what is left is at its faintest, 0 to 1.
    pub lost: f64,
    pub faint: f64,
    pub run_mm: f64,
    pub glaze: [f64; 3],
    pub speckle: f64,
    pub crazing: f64,
    /// Where gleams lie, as shares of the size, and how wide.
    pub gleams: &'static [(f64, f64, f64)],
    /// How much darker the dark side is, and the direction of the light.
    pub uneven: f64,
    pub light_deg: f64,
    /// How steep the light is on pressed marks: 1 grazing.
    pub raking: f64,
    /// Radius of the foot ring and where its middle lies from that of the mark.
    pub foot_mm: f64,
    pub foot_off: (f64, f64),
    pub noise: f64,
    pub blur_px: f64,
    pub seed: u32,
}

/// The camera and the base.
struct View {
    right: V,
    down: V,
    ahead: V,
    eye: V,
    focal: f64,
    middle: (f64, f64),
    bend: f64,
}

type V = [f64; 3];

fn dot(a: V, b: V) -> f64 {
    a.iter().zip(b).map(|(x, y)| x * y).sum()
}

fn plus(a: V, b: V, by: f64) -> V {
    std::array::from_fn(|i| a.get(i).copied().unwrap_or(0.0) + by * b.get(i).copied().unwrap_or(0.0))
}

impl View {
    fn of(shot: &Shot) -> Self {
        let (w, h) = (f64::from(shot.size.0), f64::from(shot.size.1));
        let focal = 2.2 * w;
        let far = focal / shot.px_per_mm;
        let (sin_t, cos_t) = shot.tilt_deg.to_radians().sin_cos();
        let (sin_d, cos_d) = shot.toward_deg.to_radians().sin_cos();
        let ahead = [-sin_t * cos_d, -sin_t * sin_d, -cos_t];
        let (sin_r, cos_r) = shot.roll_deg.to_radians().sin_cos();
        // The picture's right, square to the line of sight, turned by the roll.
        let flat = [cos_r, sin_r, 0.0];
        let right = plus(flat, ahead, -dot(flat, ahead));
        let length = dot(right, right).sqrt();
        let right = right.map(|v| v / length);
        let [ax, ay, az] = ahead;
        let [rx, ry, rz] = right;
        let down = [ay * rz - az * ry, az * rx - ax * rz, ax * ry - ay * rx];
        let eye = ahead.map(|v| -v * far);
        let bend = if shot.dish_mm == 0.0 { 0.0 } else { 0.5 / shot.dish_mm };
        Self { right, down, ahead, eye, focal, middle: (w * (0.5 + shot.off.0), h * (0.5 + shot.off.1)), bend }
    }

    fn project(&self, (x, y): (f64, f64)) -> (f64, f64) {
        let q = plus([x, y, self.bend * (x * x + y * y)], self.eye, -1.0);
        let z = dot(q, self.ahead);
        (self.middle.0 + self.focal * dot(q, self.right) / z, self.middle.1 + self.focal * dot(q, self.down) / z)
    }

    /// The place of the base that a pixel sees.
    fn seen(&self, (u, v): (f64, f64)) -> (f64, f64) {
        let (x, y) = ((u - self.middle.0) / self.focal, (v - self.middle.1) / self.focal);
        let ray = plus(plus(self.ahead, self.right, x), self.down, y);
        let [rx, ry, rz] = ray;
        let [ex, ey, ez] = self.eye;
        let mut z = 0.0;
        let mut at = (0.0, 0.0);
        for _ in 0..5 {
            let t = (z - ez) / rz;
            at = (ex + t * rx, ey + t * ry);
            // Beyond the foot the base is no dish any more; far out it would run away.
            z = self.bend * (at.0 * at.0 + at.1 * at.1).min(1600.0);
        }
        at
    }
}

/// A letter as the photograph shows it, in pixels.
pub(crate) struct Seen {
    pub letter: Letter,
    pub middle: (f64, f64),
    /// From the letter's middle to half its height up, and to half its width along the line.
    pub up: (f64, f64),
    pub along: (f64, f64),
}

/// Where letters and arcs come to lie.
pub(crate) fn seen(shot: &Shot, design: &Design) -> (Vec<Seen>, Vec<(f64, f64)>) {
    let view = View::of(shot);
    let letters = design
        .letters()
        .into_iter()
        .map(|letter| {
            let middle = view.project(letter.middle);
            let step = |(x, y): (f64, f64), by: f64| {
                let p = view.project((letter.middle.0 + x * by, letter.middle.1 + y * by));
                (p.0 - middle.0, p.1 - middle.1)
            };
            let right = (letter.up.1, -letter.up.0);
            Seen { middle, up: step(letter.up, letter.height / 2.0), along: step(right, letter.width.max(0.6) / 2.0), letter }
        })
        .collect();
    let (a, b) = design.arc;
    let arc = if a > 0.0 {
        (0..72).map(|k| f64::from(k) / 72.0 * std::f64::consts::TAU).map(|t| view.project((a * t.cos(), b * t.sin()))).collect()
    } else {
        Vec::new()
    };
    (letters, arc)
}

/// How the surface is covered at a place, ready for light.
struct Surface<'a> {
    shot: &'a Shot,
    design: &'a Design,
    inked: Inked,
    /// Below this of the wearing noise, print is gone.
    gone_below: f64,
}

impl<'a> Surface<'a> {
    fn of(shot: &'a Shot, design: &'a Design) -> Self {
        let (run, swell) = if design.ink.is_some() { (shot.run_mm, 0.5) } else { (0.12, 0.0) };
        let inked = Inked::of(design, 24.0, swell, shot.seed + 4).blurred(run / 2.0);
        let reach = design.reach();
        // The share is measured on the wearing noise itself, so that 'a third lost' means a third of the ground.
        let mut levels: Vec<f64> = (0..2500)
            .map(|i| (f64::from(i % 50) / 25.0 - 1.0, f64::from(i / 50) / 25.0 - 1.0))
            .map(|(x, y)| wearing(shot.seed, (x * reach, y * reach)))
            .collect();
        levels.sort_by(f64::total_cmp);
        let gone_below = levels.get((shot.lost * 2499.0) as usize).copied().unwrap_or(0.0);
        Self { shot, design, inked, gone_below }
    }

    /// What is left of the print at a place, 0 to 1.
    fn left(&self, at: (f64, f64)) -> f64 {
        let shot = self.shot;
        let worn = if shot.lost > 0.0 { smooth(self.gone_below - 0.03, self.gone_below + 0.05, wearing(shot.seed, at)) } else { 1.0 };
        let fed = 1.0 - shot.faint * noise(shot.seed + 1, at.0 * 0.16, at.1 * 0.16);
        let speck = smooth(0.08, 0.22, noise(shot.seed + 3, at.0 * 3.1, at.1 * 3.1));
        worn * fed * (0.35 + 0.65 * speck)
    }

    /// Reflected colour and slope of the ground.
    fn look(&self, at: (f64, f64)) -> ([f64; 3], (f64, f64)) {
        let shot = self.shot;
        let far = (at.0 - shot.foot_off.0).hypot(at.1 - shot.foot_off.1);
        let cloud = noise(shot.seed + 11, at.0 * 0.09, at.1 * 0.09);
        let mut colour = shot.glaze.map(|c| c * (0.97 + 0.06 * cloud));
        let mut slope = (0.0, 0.0);
        let covered = self.inked.at(at);
        let scale = |colour: &mut [f64; 3], by: [f64; 3]| colour.iter_mut().zip(by).for_each(|(c, b)| *c *= b);
        if let Some(ink) = self.design.ink {
            let cover = 0.9 * covered * self.left(at);
            for (c, i) in colour.iter_mut().zip(ink) {
                *c += (i - *c) * cover;
            }
        } else {
            let step = 0.06;
            let deep = if self.design.id == "stannard-moulded" { -0.32 } else { 0.34 };
            let fill = self.left(at) * deep;
            slope = (
                -fill * (self.inked.at((at.0 + step, at.1)) - self.inked.at((at.0 - step, at.1))) / (2.0 * step),
                -fill * (self.inked.at((at.0, at.1 + step)) - self.inked.at((at.0, at.1 - step))) / (2.0 * step),
            );
            scale(&mut colour, [1.0 - 0.05 * covered; 3]);
        }
        if shot.crazing > 0.0 {
            let line = smooth(0.09, 0.02, craze(shot.seed, at)) * shot.crazing;
            scale(&mut colour, [1.0 - 0.42 * line, 1.0 - 0.52 * line, 1.0 - 0.62 * line]);
        }
        if shot.speckle > 0.0 {
            let dark = shot.speckle * smooth(0.84, 0.98, noise(shot.seed + 9, at.0 * 1.9, at.1 * 1.9));
            scale(&mut colour, [1.0 - dark; 3]);
        }
        // The foot: a shadow where the floor meets it, the bare ring, then the side going down and the table.
        let foot = shot.foot_mm;
        let shade = 1.0 - 0.3 * smooth(foot - 3.5, foot, far) * smooth(foot + 0.3, foot - 0.1, far);
        scale(&mut colour, [shade; 3]);
        let ring = smooth(foot - 0.2, foot + 0.2, far) * smooth(foot + 2.6, foot + 2.3, far);
        let grit = 0.9 + 0.2 * noise(shot.seed + 21, at.0 * 2.4, at.1 * 2.4);
        for (c, r) in colour.iter_mut().zip([0.80, 0.71, 0.58]) {
            *c += (r * grit - *c) * ring;
        }
        let outside = smooth(foot + 2.3, foot + 2.7, far);
        let beyond = smooth(foot + 11.0, foot + 12.0, far);
        for ((c, g), t) in colour.iter_mut().zip(shot.glaze).zip([0.27, 0.25, 0.24]) {
            let side = g * (0.86 - 0.03 * (far - foot).clamp(0.0, 12.0));
            *c += (side + (t - side) * beyond - *c) * outside;
        }
        (colour, slope)
    }
}

fn wearing(seed: u32, (x, y): (f64, f64)) -> f64 {
    0.62 * noise(seed + 2, x * 0.17, y * 0.17) + 0.28 * noise(seed + 6, x * 0.5, y * 0.5) + 0.1 * noise(seed + 7, x * 2.2, y * 2.2)
}

/// How far a place lies from the nearest crack, in millimetres: cracks part the ground into cells about five millimetres wide.
fn craze(seed: u32, (x, y): (f64, f64)) -> f64 {
    let bend = (noise(seed + 31, x * 0.5, y * 0.5) - 0.5, noise(seed + 32, x * 0.5, y * 0.5) - 0.5);
    let (u, v) = (x / 5.0 + 0.25 * bend.0 + 500.0, y / 5.0 + 0.25 * bend.1 + 500.0);
    let (mut first, mut second) = (f64::INFINITY, f64::INFINITY);
    for j in -1..=1_i32 {
        for i in -1..=1_i32 {
            let cell = (u.floor() + f64::from(i), v.floor() + f64::from(j));
            let (cu, cv) = (cell.0 as u32, cell.1 as u32);
            let point = (cell.0 + hash(seed + 33, cu, cv), cell.1 + hash(seed + 34, cu, cv));
            let far = (point.0 - u).hypot(point.1 - v);
            if far < first {
                (first, second) = (far, first);
            } else {
                second = second.min(far);
            }
        }
    }
    (second - first) * 2.5
}

/// The picture.
pub(crate) fn photograph(shot: &Shot, design: &Design) -> RgbImage {
    let view = View::of(shot);
    let surface = Surface::of(shot, design);
    let (w, h) = shot.size;
    let mut dice = ChaCha8Rng::seed_from_u64(u64::from(shot.seed));
    let (light_y, light_x) = shot.light_deg.to_radians().sin_cos();
    let mut light: Vec<[f64; 3]> = Vec::with_capacity((w * h) as usize);
    for py in 0..h {
        for px in 0..w {
            let mut sum = [0.0; 3];
            for (du, dv) in [(0.25, 0.25), (0.75, 0.25), (0.25, 0.75), (0.75, 0.75)] {
                let (u, v) = (f64::from(px) + du, f64::from(py) + dv);
                let (colour, slope) = surface.look(view.seen((u, v)));
                let (sx, sy) = (u / f64::from(w) - 0.5, 0.5 - v / f64::from(h));
                // Light is uneven across the picture; on pressed letters it falls on one flank and misses the other.
                let even = 1.0 - shot.uneven * (0.5 - (sx * light_x + sy * light_y)) - 0.25 * (sx * sx + sy * sy);
                let flank = 1.0 - shot.raking * (slope.0 * light_x + slope.1 * light_y);
                let mut gleam = 0.0;
                for &(gx, gy, wide) in shot.gleams {
                    let (dx, dy) = ((u / f64::from(w) - gx) / wide, (v / f64::from(h) - gy) / (wide * 0.7));
                    gleam += 0.85 * smooth(1.25, 0.75, (dx.powi(4) + dy.powi(4)).powf(0.25)) + 0.18 * (-(dx * dx + dy * dy) / 3.0).exp();
                }
                for (s, c) in sum.iter_mut().zip(colour) {
                    // sRGB numbers to light roughly by their square: the renderer's own camera.
                    *s += (c * c * (even * flank).max(0.02) + gleam).min(1.0) / 4.0;
                }
            }
            light.push(sum);
        }
    }
    let light = softened(light, w as usize, shot.blur_px);
    let mut picture = RgbImage::new(w, h);
    for (pixel, seen) in picture.pixels_mut().zip(light) {
        *pixel = Rgb(seen.map(|v| {
            let grain: f64 = (0..4).map(|_| dice.random_range(-1.0..1.0)).sum::<f64>() * 0.87;
            ((v.max(0.0).sqrt() + shot.noise * grain) * 255.0).round().clamp(0.0, 255.0) as u8
        }));
    }
    picture
}

/// A lens that is not quite in focus: a small bell.
fn softened(light: Vec<[f64; 3]>, width: usize, px: f64) -> Vec<[f64; 3]> {
    if px <= 0.0 {
        return light;
    }
    let reach = (px * 2.5).ceil() as isize;
    let bell: Vec<f64> = (-reach..=reach).map(|k| (-(k as f64 / px).powi(2) / 2.0).exp()).collect();
    let whole: f64 = bell.iter().sum();
    let height = light.len() / width.max(1);
    let pass = |from: &[[f64; 3]], dx: isize, dy: isize| -> Vec<[f64; 3]> {
        (0..from.len())
            .map(|at| {
                let (x, y) = (at % width, at / width);
                let mut sum = [0.0; 3];
                for (k, weight) in (-reach..=reach).zip(&bell) {
                    let (u, v) = (x.saturating_add_signed(k * dx).min(width - 1), y.saturating_add_signed(k * dy).min(height - 1));
                    if let Some(there) = from.get(v * width + u) {
                        sum.iter_mut().zip(there).for_each(|(s, t)| *s += t * weight / whole);
                    }
                }
                sum
            })
            .collect()
    };
    let across = pass(&light, 1, 0);
    pass(&across, 0, 1)
}
