//! Cloths and table tops: colours at a place given in millimetres, in linear light.

use crate::vector::{V3, chance, noise, rough, smooth, v3};

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Kind {
    Pale,
    Dark,
    Linen,
    Gingham,
    Newsprint,
    Wood,
    Stone,
    Towel,
    TeaTowel,
}

impl Kind {
    pub(crate) const ALL: [Self; 9] =
        [Self::Pale, Self::Dark, Self::Linen, Self::Gingham, Self::Newsprint, Self::Wood, Self::Stone, Self::Towel, Self::TeaTowel];

    pub(crate) const fn name(self) -> &'static str {
        match self {
            Self::Pale => "pale",
            Self::Dark => "dark",
            Self::Linen => "linen",
            Self::Gingham => "gingham",
            Self::Newsprint => "newsprint",
            Self::Wood => "wood",
            Self::Stone => "stone",
            Self::Towel => "towel",
            Self::TeaTowel => "tea-towel",
        }
    }
}

#[derive(Debug, Clone, Copy)]
pub(crate) struct Cloth {
    pub(crate) kind: Kind,
    /// Main colour of what has one, in linear light.
    pub(crate) tint: V3,
    pub(crate) salt: u64,
    /// Direction of its threads on the table.
    pub(crate) turn_rad: f64,
}

impl Cloth {
    /// Colour at a place on the table.
    pub(crate) fn colour(&self, x: f64, y: f64) -> V3 {
        let (s, c) = self.turn_rad.sin_cos();
        let (u, v) = (x * c + y * s, y * c - x * s);
        let t = self.salt;
        match self.kind {
            Kind::Pale | Kind::Dark => self.tint * ((1.0 + 0.05 * rough(u / 60.0, v / 60.0, 3, t)) * (1.0 + 0.05 * weave(u, v, 0.55, t))),
            Kind::Linen => {
                let slub = noise(u / 12.0, v / 0.7, t) * 0.5 + noise(u / 0.7, v / 12.0, t + 1) * 0.5;
                self.tint * ((1.0 + 0.16 * slub) * (1.0 + 0.12 * weave(u, v, 0.9, t)))
            }
            Kind::Gingham => {
                let stripe = |w: f64| smooth(-0.25, 0.25, (w / 9.0).rem_euclid(2.0).min(2.0 - (w / 9.0).rem_euclid(2.0)) * 9.0 - 4.5);
                let both = f64::midpoint(stripe(u), stripe(v));
                V3::all(0.74).mix(self.tint, both) * (1.0 + 0.08 * weave(u, v, 0.5, t))
            }
            Kind::Newsprint => newsprint(u, v, t),
            Kind::Wood => {
                let bend = 6.0 * noise(u / 160.0, v / 70.0, t);
                let ring = ((v + bend) / 7.0 + 1.5 * noise(u / 220.0, v / 25.0, t + 1)).rem_euclid(1.0);
                let fibre = noise(u / 9.0, v / 0.35, t + 2);
                let board = chance((v / 95.0).floor() as i64, 2, t);
                let seam = ((v / 95.0).rem_euclid(1.0) - 0.5).abs() > 0.494;
                let deep = 0.62 + 0.3 * smooth(0.0, 1.0, ring) + 0.12 * fibre + 0.25 * (board - 0.5);
                self.tint * if seam { 0.25 } else { deep }
            }
            Kind::Stone => {
                let grain = noise(u / 0.8, v / 0.8, t) + 0.8 * noise(u / 2.2, v / 2.2, t + 1);
                let spot = smooth(0.55, 0.75, noise(u / 3.1, v / 3.1, t + 2));
                (self.tint * (1.0 + 0.22 * grain)).mix(V3::all(0.03), 0.8 * spot)
            }
            Kind::Towel => {
                let loops = noise(u / 1.1, v / 1.1, t) * 0.6 + noise(u / 2.7, v / 2.7, t + 1) * 0.5;
                let rib = 0.06 * (u * std::f64::consts::TAU / 14.0).sin();
                self.tint * (0.92 + 0.3 * loops + rib).max(0.1)
            }
            Kind::TeaTowel => self.tea_towel(u, v),
        }
    }

    fn tea_towel(&self, u: f64, v: f64) -> V3 {
        let ground = V3::all(0.7) * (1.0 + 0.07 * weave(u, v, 0.6, self.salt));
        let stripe = (u / 62.0).rem_euclid(1.0);
        if stripe < 0.09 || (0.13..0.15).contains(&stripe) {
            return self.tint.mix(ground, 0.12);
        }
        // Sprigs between the stripes: a ring of leaves each.
        let (i, j) = ((u / 31.0).floor() as i64, (v / 34.0).floor() as i64);
        let (x, y) = ((u / 31.0).rem_euclid(1.0) * 31.0 - 19.0, (v / 34.0).rem_euclid(1.0) * 34.0 - 17.0);
        let (r, angle) = (x.hypot(y), y.atan2(x) + std::f64::consts::TAU * chance(i, j, self.salt));
        let leaf = 4.0 + 4.5 * (angle * 2.5).cos().abs();
        let ink = smooth(0.4, -0.4, r - leaf) * (1.0 - 0.8 * smooth(2.2, 1.8, r));
        ground.mix(v3(self.tint.y, self.tint.x, self.tint.z), 0.85 * ink)
    }
}

/// Over-and-under of threads that lie `pitch` apart, −1 … 1.
fn weave(u: f64, v: f64, pitch_mm: f64, salt: u64) -> f64 {
    let (i, j) = ((u / pitch_mm).floor(), (v / pitch_mm).floor());
    let (fu, fv) = (u / pitch_mm - i - 0.5, v / pitch_mm - j - 0.5);
    let over = (i as i64 + j as i64).rem_euclid(2) == 0;
    let across = if over { fu } else { fv };
    let own = if over { chance(i as i64, 1, salt) } else { chance(j as i64, 2, salt) };
    1.0 - 5.0 * across * across + 0.6 * (own - 0.5)
}

/// Columns of rows of strokes that look like print and say nothing, with a headline and a grey picture here and there.
fn newsprint(u: f64, v: f64, salt: u64) -> V3 {
    let paper = v3(0.60, 0.57, 0.50) * (1.0 + 0.04 * noise(u / 0.9, v / 0.9, salt));
    let ink = v3(0.07, 0.07, 0.075);
    let (column, x) = ((u / 54.0).floor() as i64, (u / 54.0).rem_euclid(1.0) * 54.0);
    if (53.0..53.4).contains(&x) {
        return ink.mix(paper, 0.3);
    }
    if !(2.0..50.0).contains(&x) {
        return paper;
    }
    let (block, y) = ((v / 62.0).floor() as i64, (v / 62.0).rem_euclid(1.0) * 62.0);
    let kind = chance(column, block, salt);
    if kind < 0.16 && y < 44.0 {
        // A printed picture of nothing: dots of a screen at 45°.
        let tone = 0.5 + 0.45 * noise(u / 13.0, v / 13.0, salt + 5);
        let screen = ((u + v) * 4.2).sin() * ((u - v) * 4.2).sin();
        return if screen * 0.5 + 0.5 > tone { paper } else { ink.mix(paper, 0.1) };
    }
    let headline = kind > 0.78 && y > 47.0;
    let (pitch, width) = if headline { (7.5, 3.6) } else { (3.3, 1.35) };
    let (row, line) = ((v / pitch).floor() as i64, (v / pitch).rem_euclid(1.0));
    let shift = 7.0 * chance(row, column, salt + 9);
    let (cell, inner) = (((x + shift) / width).floor() as i64, ((x + shift) / width).rem_euclid(1.0));
    let letter = |k: i64| chance(cell * 31 + k, row * 17 + column, salt + 3);
    if letter(0) < 0.16 || !(0.2..0.82).contains(&line) {
        return paper;
    }
    let (gx, gy) = (inner, (line - 0.2) / 0.62);
    let tall = letter(1) > 0.55;
    if gy > 0.7 && !tall {
        return paper;
    }
    let stem = (gx - 0.2).abs() < 0.1 && letter(2) > 0.25 || (gx - 0.68).abs() < 0.09 && letter(3) > 0.4 && gy < 0.7;
    let bar = ((gy - 0.06).abs() < 0.09 && letter(4) > 0.35
        || (gy - 0.36).abs() < 0.08 && letter(5) > 0.55
        || (gy - 0.66).abs() < 0.09 && letter(6) > 0.3)
        && (0.15..0.75).contains(&gx);
    if stem || bar { ink } else { paper }
}
