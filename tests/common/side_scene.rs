//! Scenes from the side, painted pixel by pixel: a turned piece on a cloth before a wall, a card standing in the plane of its axis.
//!
//! It has its own camera and marches along each ray, so that it shares nothing with what is tested. Everything in it is invented.
#![expect(dead_code, reason = "each test uses a part")]

use image::{Rgb, RgbImage};

pub(crate) type V = [f64; 3];

pub(crate) fn dot(a: V, b: V) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

fn add(a: V, b: V, by: f64) -> V {
    [a[0] + b[0] * by, a[1] + b[1] * by, a[2] + b[2] * by]
}

fn unit(a: V) -> V {
    let l = dot(a, a).sqrt();
    [a[0] / l, a[1] / l, a[2] / l]
}

fn cross(a: V, b: V) -> V {
    [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
}

/// A pin-hole with one term of distortion. Rows of `rotation` are the camera's right, down and forward in the world.
#[derive(Debug, Clone)]
pub(crate) struct Camera {
    pub(crate) size: (u32, u32),
    pub(crate) focal_px: f64,
    pub(crate) centre_px: (f64, f64),
    pub(crate) k1: f64,
    pub(crate) eye: V,
    pub(crate) rotation: [V; 3],
}

impl Camera {
    pub(crate) fn looking(size: (u32, u32), focal_px: f64, k1: f64, eye: V, at: V, roll: f64) -> Self {
        let forward = unit(add(at, eye, -1.0));
        let right = unit(cross(forward, [roll.sin(), roll.cos(), 0.0]));
        let down = cross(forward, right);
        let centre_px = (f64::from(size.0) / 2.0, f64::from(size.1) / 2.0);
        Self { size, focal_px, centre_px, k1, eye, rotation: [right, down, forward] }
    }

    pub(crate) fn project(&self, p: V) -> (f64, f64) {
        let v = add(p, self.eye, -1.0);
        let z = dot(v, self.rotation[2]);
        let (x, y) = (self.focal_px * dot(v, self.rotation[0]) / z, self.focal_px * dot(v, self.rotation[1]) / z);
        let half = f64::from(self.size.0).hypot(f64::from(self.size.1)) / 2.0;
        let bend = 1.0 + self.k1 * (x * x + y * y) / (half * half);
        (self.centre_px.0 + x * bend, self.centre_px.1 + y * bend)
    }

    fn ray(&self, px: (f64, f64)) -> V {
        let half = f64::from(self.size.0).hypot(f64::from(self.size.1)) / 2.0;
        let (bx, by) = (px.0 - self.centre_px.0, px.1 - self.centre_px.1);
        let (mut x, mut y) = (bx, by);
        for _ in 0..20 {
            let bend = 1.0 + self.k1 * (x * x + y * y) / (half * half);
            (x, y) = (bx / bend, by / bend);
        }
        let along = add(add(self.rotation[2], self.rotation[0], x / self.focal_px), self.rotation[1], y / self.focal_px);
        unit(along)
    }
}

#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Cloth {
    Plain([f64; 3]),
    Gingham([f64; 3], [f64; 3]),
    Print,
}

impl Cloth {
    fn colour(self, u: f64, v: f64) -> [f64; 3] {
        match self {
            Self::Plain(c) => c,
            Self::Gingham(a, b) => {
                let on = |x: f64| f64::from(u8::from((x / 9.0).rem_euclid(2.0) < 1.0));
                let t = f64::midpoint(on(u), on(v));
                [0, 1, 2].map(|i| a[i] + (b[i] - a[i]) * t)
            }
            Self::Print => {
                let line = (v / 3.2).rem_euclid(1.0) < 0.55;
                let word = ((u / 1.3).floor() * 12.9898 + (v / 3.2).floor() * 78.233).sin().abs() < 0.62;
                if line && word { [0.18, 0.18, 0.2] } else { [0.72, 0.7, 0.66] }
            }
        }
    }
}

#[derive(Debug, Clone)]
#[expect(clippy::struct_excessive_bools, reason = "each is a thing that is there or not")]
pub(crate) struct Scene {
    pub(crate) camera: Camera,
    /// Half profile of the outside, from the table up.
    pub(crate) profile: Vec<(f64, f64)>,
    pub(crate) wall_mm: f64,
    pub(crate) open: bool,
    pub(crate) handle: bool,
    /// Another handle like it on the other side.
    pub(crate) both_handles: bool,
    pub(crate) spout: bool,
    /// Distance of the axis from the card's middle, along x.
    pub(crate) axis_x: f64,
    pub(crate) clay: [f64; 3],
    pub(crate) table: Cloth,
    pub(crate) backdrop: Cloth,
    pub(crate) half_shadow: bool,
    pub(crate) seed: u64,
}

/// A mug, from the table up.
pub(crate) const MUG: [(f64, f64); 6] = [(36.0, 0.0), (38.0, 3.0), (40.0, 10.0), (41.0, 50.0), (41.5, 80.0), (42.0, 92.0)];

impl Scene {
    /// A mug left of the card, before a plain wall.
    pub(crate) fn mug() -> Self {
        Self {
            camera: Camera::looking((800, 600), 640.0, 0.004, [-20.0, 110.0, 330.0], [-38.0, 12.0, 0.0], 0.01),
            profile: MUG.to_vec(),
            wall_mm: 5.0,
            open: true,
            handle: false,
            both_handles: false,
            spout: false,
            axis_x: -105.0,
            clay: [0.62, 0.30, 0.14],
            table: Cloth::Plain([0.55, 0.50, 0.42]),
            backdrop: Cloth::Plain([0.60, 0.60, 0.62]),
            half_shadow: false,
            seed: 3,
        }
    }
}

pub(crate) const TABLE_Y: f64 = -26.99;
const WALL_Z: f64 = -260.0;

fn radius_at(profile: &[(f64, f64)], h: f64) -> f64 {
    let mut widest = -1.0_f64;
    for w in profile.windows(2) {
        let (a, b) = (w[0], w[1]);
        if h >= a.1.min(b.1) && h <= a.1.max(b.1) && (b.1 - a.1).abs() > 1e-12 {
            widest = widest.max(a.0 + (b.0 - a.0) * (h - a.1) / (b.1 - a.1));
        }
    }
    widest
}

impl Scene {
    /// Card corners in pixels, around it.
    pub(crate) fn card_px(&self) -> [(f64, f64); 4] {
        [(-42.8, 26.99), (42.8, 26.99), (42.8, -26.99), (-42.8, -26.99)].map(|(x, y)| self.camera.project([x, y, 0.0]))
    }

    fn top(&self) -> f64 {
        self.profile.last().unwrap().1
    }

    fn in_piece(&self, p: V) -> bool {
        let h = p[1] - TABLE_Y;
        let e = p[0] - self.axis_x;
        let s = e.hypot(p[2]);
        let r = radius_at(&self.profile, h);
        if s < r {
            let hollow = self.open && h > 8.0 && s < radius_at(&self.profile, h) - self.wall_mm;
            return !hollow;
        }
        let top = self.top();
        if self.handle || self.both_handles {
            let e = if self.both_handles { e.abs() } else { e };
            let (ce, ch, ring) = (radius_at(&self.profile, 0.55 * top) - 2.0, 0.55 * top, 0.24 * top);
            let tube = ((e - ce).hypot(h - ch) - ring).hypot(p[2]);
            if e > ce && tube < 5.0 {
                return true;
            }
        }
        if self.spout {
            let from = (-radius_at(&self.profile, 0.4 * top) + 4.0, 0.4 * top);
            let to = (from.0 - 0.42 * top, 0.85 * top);
            let (de, dh) = (to.0 - from.0, to.1 - from.1);
            let t = (((e - from.0) * de + (h - from.1) * dh) / (de * de + dh * dh)).clamp(0.0, 1.0);
            let away = ((e - from.0 - t * de).powi(2) + (h - from.1 - t * dh).powi(2) + p[2] * p[2]).sqrt();
            return away < 9.0 - 3.0 * t;
        }
        false
    }

    fn colour(&self, ray: V) -> [f64; 3] {
        let eye = self.camera.eye;
        let reach = self.profile.iter().map(|p| p.0).fold(0.0, f64::max)
            + if self.handle || self.both_handles || self.spout { 0.6 * self.top() } else { 2.0 };
        let middle = [self.axis_x, TABLE_Y + self.top() / 2.0, 0.0];
        let along = dot(add(middle, eye, -1.0), ray);
        let beside = add(add(eye, ray, along), middle, -1.0);
        let ball = reach.hypot(self.top() / 2.0) + 3.0;
        let light = unit([-0.5, 0.8, 0.6]);
        let mut hit = None;
        let square = ball * ball - dot(beside, beside);
        if square > 0.0 {
            let (from, to) = (along - square.sqrt(), along + square.sqrt());
            let steps = ((to - from) / 1.2).ceil();
            let mut t = from;
            let step = (to - from) / steps;
            while t <= to {
                if self.in_piece(add(eye, ray, t)) {
                    let (mut low, mut high) = (t - step, t);
                    for _ in 0..10 {
                        let mid = f64::midpoint(low, high);
                        if self.in_piece(add(eye, ray, mid)) { high = mid } else { low = mid }
                    }
                    hit = Some(high);
                    break;
                }
                t += step;
            }
        }
        let card = -eye[2] / ray[2];
        let at_card = add(eye, ray, card);
        if at_card[0].abs() < 42.8 && at_card[1].abs() < 26.99 && hit.is_none_or(|t| t > card) {
            let stripe = (at_card[1] > 8.0 && at_card[1] < 19.0) || (at_card[0].abs() < 9.0 && at_card[1] < 0.0);
            return if stripe { [0.08, 0.15, 0.32] } else { [0.78, 0.78, 0.78] };
        }
        // Past its face the card's side is seen, as far as the camera looks at it (0.76 mm thick, ISO/IEC 7810).
        let back = -(eye[2] + 0.76) / ray[2];
        let at_back = add(eye, ray, back);
        if at_back[0].abs() < 42.8 && at_back[1].abs() < 26.99 && hit.is_none_or(|t| t > back) {
            return [0.4, 0.4, 0.4];
        }
        if let Some(t) = hit {
            let p = add(eye, ray, t);
            // The normal from how the inside lies about the point.
            let mut n = [0.0; 3];
            for k in 0..64 {
                let z = 1.0 - (2.0 * f64::from(k) + 1.0) / 64.0;
                let turn = f64::from(k) * 2.399_963;
                let way = [(1.0 - z * z).sqrt() * turn.cos(), z, (1.0 - z * z).sqrt() * turn.sin()];
                if !self.in_piece(add(p, way, 1.5)) {
                    n = add(n, way, 1.0);
                }
            }
            let n = unit(n);
            let lit = dot(n, light).max(0.0);
            let half = unit(add(light, ray, -1.0));
            let gloss = dot(n, half).max(0.0).powi(60) * 0.5;
            let h = p[1] - TABLE_Y;
            let inside = self.open && (p[0] - self.axis_x).hypot(p[2]) < radius_at(&self.profile, h) - 0.5 * self.wall_mm;
            let dim = if inside { 0.55 } else { 1.0 };
            return self.clay.map(|c| c * (0.35 + 0.65 * lit) * dim + gloss * dim);
        }
        let table = (TABLE_Y - eye[1]) / ray[1];
        let wall = (WALL_Z - eye[2]) / ray[2];
        if table > 0.0 && (wall < 0.0 || table < wall) {
            let p = add(eye, ray, table);
            let base = self.profile[0].0;
            let away = ((p[0] - self.axis_x - 12.0) / 1.25).hypot(p[2] - 4.0) - base;
            let shade = 1.0 - 0.55 * (-(away.max(0.0)) / 16.0).exp();
            return self.table.colour(p[0], p[2]).map(|c| c * shade);
        }
        let p = add(eye, ray, wall.max(0.0));
        self.backdrop.colour(p[0], p[1]).map(|c| c * (0.8 + 0.0004 * p[0]).clamp(0.4, 1.1))
    }

    /// The picture, each pixel the mean of four rays, with noise.
    pub(crate) fn paint(&self) -> RgbImage {
        let (w, h) = self.camera.size;
        let mut noise = self.seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) | 1;
        let mut picture = RgbImage::new(w, h);
        for (x, y, pixel) in picture.enumerate_pixels_mut() {
            let mut sum = [0.0; 3];
            for (dx, dy) in [(0.25, 0.25), (0.75, 0.25), (0.25, 0.75), (0.75, 0.75)] {
                let c = self.colour(self.camera.ray((f64::from(x) + dx, f64::from(y) + dy)));
                for (s, v) in sum.iter_mut().zip(c) {
                    *s += v / 4.0;
                }
            }
            let shade = if self.half_shadow && x + y / 2 < w / 2 { 0.5 } else { 1.0 };
            *pixel = Rgb(sum.map(|c| {
                noise ^= noise << 13;
                noise ^= noise >> 7;
                noise ^= noise << 17;
                let grain = ((noise >> 40) as f64 / f64::from(1 << 24) - 0.5) * 9.0;
                let c = (c * shade).clamp(0.0, 1.0);
                let v = if c <= 0.003_130_8 { 12.92 * c } else { 1.055 * c.powf(1.0 / 2.4) - 0.055 };
                (v * 255.0 + grain).round().clamp(0.0, 255.0) as u8
            }));
        }
        picture
    }
}
