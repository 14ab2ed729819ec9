//! The marks as they were drawn: wording, size and borders of each, and where every letter stands.
//!
//! Millimetres from the middle of the mark, x to the right, y up. The wording is that of the demo key, which a test compares; sizes, borders and letter shapes
//! are the program's own.

use crate::letters::{Stroke, advance, distance, letter_strokes, noise, smooth};
use std::f64::consts::{FRAC_PI_2, TAU};

/// Where a line stands, in the key's words.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Place {
    ArcAbove,
    ArcBelow,
    Ring,
    Straight,
}

impl Place {
    pub(crate) const fn name(self) -> &'static str {
        match self {
            Self::ArcAbove => "arc above",
            Self::ArcBelow => "arc below",
            Self::Ring => "ring",
            Self::Straight => "straight",
        }
    }
}

/// A line of a mark: its words, its place and the height of its capitals. Straight lines also say how high they stand.
pub(crate) type Line = (&'static str, Place, f64, f64);

/// What makes one mark look different from another.
pub(crate) struct Design {
    pub id: &'static str,
    pub lines: &'static [Line],
    /// Half axes of the middle of the letters on arcs.
    pub arc: (f64, f64),
    /// Half axes of the borders.
    pub borders: &'static [(f64, f64)],
    /// Half the side of a square frame with cut corners and the cut; 0 where there is none.
    pub frame: (f64, f64),
    /// Half the pen's width.
    pub pen: f64,
    /// Lean of the letters.
    pub slant: f64,
    /// Width of letters against their height: 1 as drawn.
    pub wide: f64,
    /// Ink in sRGB, 0 to 1; `None` where the mark is pressed or raised.
    pub ink: Option<[f64; 3]>,
}

use Place::{ArcAbove, ArcBelow, Ring, Straight};

const PLAIN: Design =
    Design { id: "", lines: &[], arc: (0.0, 0.0), borders: &[], frame: (0.0, 0.0), pen: 0.2, slant: 0.0, wide: 1.0, ink: None };

/// Every mark of the demo key.
pub(crate) const DESIGNS: [Design; 14] = [
    Design {
        id: "fenlight-script",
        lines: &[("Fenlight", Straight, 5.0, 1.0), ("by Marrowby", Straight, 2.6, -4.5)],
        pen: 0.21,
        slant: 0.28,
        ink: Some([0.36, 0.23, 0.13]),
        ..PLAIN
    },
    Design {
        id: "fenlight-round",
        lines: &[("MARROWBY POTTERY", ArcAbove, 2.15, 0.0), ("FENLIGHT", Straight, 2.1, 0.0), ("MADE IN ENGLAND", ArcBelow, 1.95, 0.0)],
        arc: (10.4, 10.4),
        borders: &[(8.1, 8.1), (12.9, 12.9)],
        ink: Some([0.20, 0.40, 0.27]),
        ..PLAIN
    },
    Design { id: "marrowby-impressed", lines: &[("MARROWBY", Straight, 3.4, 0.0)], pen: 0.3, wide: 1.1, ..PLAIN },
    Design {
        id: "fenlight-wartime",
        lines: &[("MARROWBY", Straight, 3.2, 2.6), ("B", Straight, 3.6, -3.2)],
        pen: 0.26,
        wide: 0.9,
        ink: Some([0.12, 0.12, 0.13]),
        ..PLAIN
    },
    Design {
        id: "fenlight-heron",
        lines: &[("FENLIGHT", ArcAbove, 2.6, 0.0), ("MARROWBY", ArcBelow, 2.4, 0.0)],
        arc: (11.8, 7.8),
        borders: &[(14.2, 10.2)],
        pen: 0.19,
        ink: Some([0.22, 0.30, 0.55]),
        ..PLAIN
    },
    Design {
        id: "quoin-square",
        lines: &[
            ("MARROWBY", Straight, 2.7, 5.6),
            ("QUOIN", Straight, 4.0, 1.0),
            ("OVEN PROOF", Straight, 2.1, -3.4),
            ("STONEWARE", Straight, 2.1, -6.8),
        ],
        frame: (11.0, 2.6),
        ink: Some([0.22, 0.38, 0.28]),
        ..PLAIN
    },
    Design {
        id: "quoin-oval",
        lines: &[("MARROWBY QUOIN", ArcAbove, 2.3, 0.0), ("OVEN PROOF", Straight, 2.1, 0.0), ("MADE IN ENGLAND", ArcBelow, 2.1, 0.0)],
        arc: (12.6, 8.8),
        borders: &[(10.4, 6.6), (14.9, 11.1)],
        pen: 0.18,
        wide: 0.95,
        ink: Some([0.40, 0.41, 0.43]),
        ..PLAIN
    },
    Design {
        id: "quoin-words",
        lines: &[("QUOIN", Straight, 4.4, 1.8), ("Marrowby stoneware", Straight, 2.2, -3.4)],
        pen: 0.22,
        ink: Some([0.13, 0.13, 0.14]),
        ..PLAIN
    },
    Design { id: "quoin-impressed", lines: &[("QUOIN", Straight, 4.6, 0.0)], pen: 0.36, wide: 0.95, ..PLAIN },
    Design {
        id: "stannard-words",
        lines: &[("STANNARD", Straight, 3.3, 3.6), ("by Marrowby", Straight, 2.4, -0.8), ("oven to table", Straight, 2.4, -4.9)],
        pen: 0.21,
        ink: Some([0.14, 0.13, 0.13]),
        ..PLAIN
    },
    Design {
        id: "stannard-moulded",
        lines: &[("STANNARD", Straight, 3.6, 2.6), ("MARROWBY", Straight, 3.6, -3.0)],
        pen: 0.36,
        wide: 0.92,
        ..PLAIN
    },
    Design {
        id: "stannard-round",
        lines: &[("STANNARD MARROWBY ENGLAND", Ring, 2.5, 0.0), ("DETERGENT PROOF", Straight, 1.3, 0.0)],
        arc: (11.0, 11.0),
        borders: &[(13.5, 13.5)],
        ink: Some([0.38, 0.25, 0.16]),
        ..PLAIN
    },
    Design {
        id: "oven-proof-label",
        lines: &[("Stannard", Straight, 3.4, 3.0), ("OVEN PROOF", Straight, 2.4, -0.9), ("Do not put on a flame", Straight, 1.5, -4.2)],
        borders: &[(14.0, 9.0), (13.2, 8.2)],
        pen: 0.18,
        ink: Some([0.62, 0.20, 0.16]),
        ..PLAIN
    },
    Design { id: "seconds-scratch", lines: &[("X", Straight, 7.0, 0.0)], pen: 0.3, ..PLAIN },
];

pub(crate) fn design(id: &str) -> Option<&'static Design> {
    DESIGNS.iter().find(|d| d.id == id)
}

/// Where a letter stands: its middle, which way it reads, which way is up, its width and height.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Letter {
    pub line: usize,
    pub at: usize,
    pub sign: char,
    pub middle: (f64, f64),
    pub up: (f64, f64),
    pub width: f64,
    pub height: f64,
}

impl Letter {
    /// A place of the letter's own body, 4 by 6 units from its foot, on the mark.
    fn placed(&self, (x, y): (f64, f64), design: &Design) -> (f64, f64) {
        let scale = self.height / 6.0;
        let right = (self.up.1, -self.up.0);
        let along = ((x + y * design.slant) * design.wide - (advance(self.sign) - 1.2) * design.wide / 2.0) * scale;
        let over = (y - 3.0) * scale;
        (self.middle.0 + right.0 * along + self.up.0 * over, self.middle.1 + right.1 * along + self.up.1 * over)
    }
}

impl Design {
    /// Every letter that is not a blank, line by line.
    pub(crate) fn letters(&self) -> Vec<Letter> {
        let mut all = Vec::new();
        for (line, &(text, place, height, stands)) in self.lines.iter().enumerate() {
            let spread = if place == Straight { 1.0 } else { 1.12 };
            let step = |c: char| advance(c) * self.wide * spread * height / 6.0;
            let whole: f64 = text.chars().map(step).sum::<f64>() - 1.2 * self.wide * spread * height / 6.0;
            let mut run = -whole / 2.0;
            for (at, letter) in text.chars().enumerate() {
                let width = (advance(letter) - 1.2) * self.wide * height / 6.0;
                let here = run + width / 2.0;
                run += step(letter);
                if letter == ' ' {
                    continue;
                }
                let (middle, up) = match place {
                    Straight => ((here, stands), (0.0, 1.0)),
                    ArcAbove | Ring => self.on_arc(FRAC_PI_2, -here, 1.0),
                    ArcBelow => self.on_arc(-FRAC_PI_2, here, -1.0),
                };
                all.push(Letter { line, at, sign: letter, middle, up, width, height });
            }
        }
        all
    }

    /// The place on the arc that lies `along` millimetres from the direction `from`, anticlockwise, and its normal times `sense`.
    fn on_arc(&self, from: f64, along: f64, sense: f64) -> ((f64, f64), (f64, f64)) {
        let (a, b) = self.arc;
        let steps = 400;
        let mut angle = from;
        for _ in 0..steps {
            angle += along / f64::from(steps) / (a * angle.sin()).hypot(b * angle.cos());
        }
        let normal = (angle.cos() / a, angle.sin() / b);
        let length = normal.0.hypot(normal.1);
        ((a * angle.cos(), b * angle.sin()), (sense * normal.0 / length, sense * normal.1 / length))
    }

    pub(crate) fn strokes(&self) -> Vec<Stroke> {
        let mut strokes = Vec::new();
        for letter in self.letters() {
            for stroke in letter_strokes(letter.sign) {
                strokes.push(stroke.iter().map(|p| letter.placed(*p, self)).collect());
            }
        }
        for &(a, b) in self.borders {
            strokes.push((0..=120).map(|i| f64::from(i) / 120.0 * TAU).map(|t| (a * t.cos(), b * t.sin())).collect());
        }
        let (far, cut) = self.frame;
        if far > 0.0 {
            let corner = |k: u32| {
                let (s, c) = (f64::from(k) * FRAC_PI_2).sin_cos();
                [(far - cut, far), (far, far - cut)].map(|(x, y)| (x * c + y * s, y * c - x * s))
            };
            strokes.push((0..=4).flat_map(corner).collect());
        }
        if self.slant > 0.0 {
            strokes
                .push((0..=40).map(|i| f64::from(i) / 40.0).map(|t| (18.0 * t - 9.0, -1.6 + 0.5 * (t * TAU).sin() * (1.0 - t))).collect());
        }
        if self.id == "fenlight-heron" {
            strokes.extend(heron());
        }
        strokes
    }

    /// How far the mark reaches from its middle.
    pub(crate) fn reach(&self) -> f64 {
        self.strokes().iter().flatten().map(|p| p.0.hypot(p.1)).fold(0.0, f64::max) + 2.0 * self.pen
    }
}

/// A bird standing in reeds.
fn heron() -> Vec<Stroke> {
    let curve = crate::letters::curve;
    let reed = |x: f64| curve(&[(x, -4.6), (x + 0.3, -1.0), (x + 0.9, 2.0)]);
    vec![
        curve(&[(-0.6, -4.4), (-0.4, -2.2), (-0.3, -0.8)]),
        curve(&[(0.5, -4.4), (0.5, -2.4), (0.4, -0.8)]),
        curve(&[(2.6, -2.0), (1.2, -0.6), (-0.8, -0.4), (-1.6, 0.6), (-0.4, 1.3), (1.6, 0.2), (2.6, -2.0)]),
        curve(&[(-1.5, 0.7), (-2.3, 2.0), (-1.4, 3.0), (-1.9, 4.0), (-2.9, 3.9)]),
        vec![(-2.0, 4.0), (-4.6, 3.3)],
        reed(-5.4),
        reed(-4.6),
        reed(3.8),
        reed(4.6),
    ]
}

/// How much of each place is covered, on a square grid about the middle.
pub(crate) struct Inked {
    pub half_mm: f64,
    pub per_mm: f64,
    side: usize,
    covered: Vec<f32>,
}

impl Inked {
    /// Lays the strokes down: `swell` is how unevenly the pen fed, 0 to 1.
    pub(crate) fn of(design: &Design, per_mm: f64, swell: f64, seed: u32) -> Self {
        let half_mm = design.reach() + 1.5;
        let side = (2.0 * half_mm * per_mm).ceil() as usize;
        let mut inked = Self { half_mm, per_mm, side, covered: vec![0.0; side * side] };
        let soft = 0.5 / per_mm;
        let reach = design.pen * (1.0 + swell) + soft;
        for stroke in design.strokes() {
            for pair in stroke.windows(2) {
                let [from, to] = *pair else { continue };
                let cell = |v: f64| ((v + half_mm) * per_mm).clamp(0.0, side as f64 - 1.0) as usize;
                for row in cell(-(from.1.max(to.1) + reach))..=cell(-(from.1.min(to.1) - reach)) {
                    for column in cell(from.0.min(to.0) - reach)..=cell(from.0.max(to.0) + reach) {
                        let at = ((column as f64 + 0.5) / per_mm - half_mm, half_mm - (row as f64 + 0.5) / per_mm);
                        let half = design.pen * (1.0 + swell * (noise(seed, at.0 * 0.8, at.1 * 0.8) - 0.5));
                        let covered = smooth(half + soft, half - soft, distance(at, from, to)) as f32;
                        if let Some(there) = inked.covered.get_mut(row * side + column) {
                            *there = there.max(covered);
                        }
                    }
                }
            }
        }
        inked
    }

    /// The same, run into the glaze by about so many millimetres.
    #[must_use]
    pub(crate) fn blurred(mut self, mm: f64) -> Self {
        let reach = (mm * self.per_mm).round() as usize;
        for _ in 0..3 {
            self.covered = turned_mean(&turned_mean(&self.covered, self.side, reach), self.side, reach);
        }
        self
    }

    /// Covered, 0 to 1, at a place; 0 outside.
    pub(crate) fn at(&self, (x, y): (f64, f64)) -> f64 {
        let (u, v) = ((x + self.half_mm) * self.per_mm - 0.5, (self.half_mm - y) * self.per_mm - 0.5);
        if u < 0.0 || v < 0.0 || u >= self.side as f64 - 1.0 || v >= self.side as f64 - 1.0 {
            return 0.0;
        }
        let (i, j, fu, fv) = (u as usize, v as usize, u.fract(), v.fract());
        let cell = |i: usize, j: usize| self.covered.get(j * self.side + i).map_or(0.0, |c| f64::from(*c));
        (cell(i, j) * (1.0 - fu) + cell(i + 1, j) * fu) * (1.0 - fv) + (cell(i, j + 1) * (1.0 - fu) + cell(i + 1, j + 1) * fu) * fv
    }
}

/// Mean of each row over `reach` cells to both sides, turned over so that a second call does the columns.
fn turned_mean(cells: &[f32], side: usize, reach: usize) -> Vec<f32> {
    let mut out = vec![0.0; cells.len()];
    for (row, line) in cells.chunks(side.max(1)).enumerate() {
        let mut sum: f32 = line.iter().take(reach).sum();
        for column in 0..side {
            sum += line.get(column + reach).copied().unwrap_or(0.0);
            if column > reach {
                sum -= line.get(column - reach - 1).copied().unwrap_or(0.0);
            }
            if let Some(there) = out.get_mut(column * side + row) {
                *there = sum / (2 * reach + 1) as f32;
            }
        }
    }
    out
}
