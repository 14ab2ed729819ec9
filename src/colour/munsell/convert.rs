//! CIE to Munsell and back.
//!
//! Value comes from the luminance factor by the polynomial of ASTM D1535. Hue and chroma come from the chips of the renotation: straight between
//! chromas, by radius and angle about illuminant C between hues, by luminance between values. (The standard's choice of straight or round lines
//! between hues, chip by chip, is left out: it moves a hue by less than half of a step, which `tests/colour_reference.rs` holds.) White D65 is
//! taken to C by the Bradford transform.

use super::super::{Adaptation, Lab, WHITE_C, WHITE_D65, Xyz};
use super::notation::Munsell;
use super::table::{C, HUES, PLANES, Plane};

/// Round trips of the search for hue and chroma; it is done after a dozen.
const ROUNDS: usize = 200;
/// More chroma than any surface has.
const MOST_CHROMA: f64 = 60.0;

impl Munsell {
    /// The notation of a colour. None where a coordinate is not finite. Lighter than white is taken as value 10, darker than black as 0.
    pub fn from_lab(lab: Lab) -> Option<Self> {
        if ![lab.l, lab.a, lab.b].into_iter().all(f64::is_finite) {
            return None;
        }
        let Xyz { x, y, z } = Adaptation::new(WHITE_D65, WHITE_C)?.apply(Xyz::from(lab));
        let sum = x + y + z;
        if y <= 0.0 || sum <= 0.0 {
            return Some(Self { hue: 100.0, value: 0.0, chroma: 0.0 });
        }
        Some(Self::from_xyy([x / sum, y / sum, y / 100.0]))
    }

    /// The notation of a chromaticity x, y and luminance factor Y (0 to 1), illuminant C.
    pub(super) fn from_xyy([x, y, luminance]: [f64; 3]) -> Self {
        let value = value(100.0 * luminance);
        let target = [x - C[0], y - C[1]];
        let radius = target[0].hypot(target[1]);
        let angle = target[1].atan2(target[0]);
        // Nearer to C than the figures of the renotation can say.
        if radius < 1e-5 {
            return Self { hue: 100.0, value, chroma: 0.0 };
        }
        let (mut hue, mut chroma) = (100.0, 2.0);
        for round in 0..ROUNDS {
            hue = hue_at(value, chroma, angle);
            let next = chroma_at(value, hue, radius);
            let moved = (next - chroma).abs();
            // Where hue lines are bent, the steps may swing.
            chroma = if round < 30 { next } else { f64::midpoint(next, chroma) };
            if moved < 1e-7 {
                break;
            }
        }
        Self { hue, value, chroma }
    }

    /// The colour, white D65. Chroma beyond the last chip is extrapolated.
    pub fn to_lab(self) -> Lab {
        let luminance = luminance(self.value.clamp(0.0, 10.0));
        let [dx, dy] = if self.is_neutral() { [0.0; 2] } else { chip(self.value, self.hue, self.chroma) };
        let (x, y) = (C[0] + dx, (C[1] + dy).max(1e-6));
        let seen = Xyz { x: luminance * x / y, y: luminance, z: luminance * (1.0 - x - y) / y };
        Adaptation::new(WHITE_C, WHITE_D65).map_or(seen, |to_d65| to_d65.apply(seen)).into()
    }
}

/// Luminance factor in percent of a value, 0 to 10 (ASTM D1535).
fn luminance(v: f64) -> f64 {
    v * (1.1914 + v * (-0.22533 + v * (0.23352 + v * (-0.020_484 + v * 0.000_819_39))))
}

/// Value of a luminance factor in percent, by halving: the polynomial rises all the way from 0 to 10.
fn value(percent: f64) -> f64 {
    root(0.0, 10.0, |v| luminance(v) - percent)
}

/// Where a rising function crosses 0, else the nearer end.
fn root(mut low: f64, mut high: f64, f: impl Fn(f64) -> f64) -> f64 {
    if f(low) >= 0.0 {
        return low;
    }
    if f(high) <= 0.0 {
        return high;
    }
    for _ in 0..50 {
        let middle = f64::midpoint(low, high);
        if f(middle) < 0.0 { low = middle } else { high = middle }
    }
    f64::midpoint(low, high)
}

/// x and y less those of C of any chip. Between values it is on the straight line by luminance; below the darkest plane it is that plane's.
fn chip(value: f64, hue: f64, chroma: f64) -> [f64; 2] {
    between(value, |plane| {
        let step = (hue / 2.5 - 1.0).rem_euclid(HUES as f64);
        let low = step.floor();
        let ([x0, y0], [x1, y1]) = (plane.chip(low as usize, chroma), plane.chip(low as usize + 1, chroma));
        let (a0, turn) = (y0.atan2(x0), turn(y0.atan2(x0), y1.atan2(x1)));
        let share = step - low;
        let radius = x0.hypot(y0) * (1.0 - share) + x1.hypot(y1) * share;
        let angle = a0 + share * turn;
        [radius * angle.cos(), radius * angle.sin()]
    })
}

/// From one angle to another the short way round, −π to π.
fn turn(from: f64, to: f64) -> f64 {
    let full = 2.0 * std::f64::consts::PI;
    (to - from + std::f64::consts::PI).rem_euclid(full) - std::f64::consts::PI
}

fn between(value: f64, at: impl Fn(&Plane) -> [f64; 2]) -> [f64; 2] {
    let above = PLANES.partition_point(|plane| plane.value < value);
    match (above.checked_sub(1).and_then(|n| PLANES.get(n)), PLANES.get(above)) {
        (Some(low), Some(high)) => {
            let share = (luminance(value) - luminance(low.value)) / (luminance(high.value) - luminance(low.value));
            let ([x0, y0], [x1, y1]) = (at(low), at(high));
            [x0 + share * (x1 - x0), y0 + share * (y1 - y0)]
        }
        (Some(plane), None) | (None, Some(plane)) => at(plane),
        (None, None) => [0.0; 2],
    }
}

/// The hue number at which a ring of one value and chroma has this angle about C.
fn hue_at(value: f64, chroma: f64, angle: f64) -> f64 {
    let angle_of = |hue: f64| {
        let [x, y] = chip(value, hue, chroma);
        y.atan2(x)
    };
    // The rings turn against the clock: hue numbers rise with the angle from red through yellow.
    let nodes: Vec<f64> = (0..=HUES).map(|n| angle_of(2.5 * (n + 1) as f64)).collect();
    for (n, pair) in nodes.windows(2).enumerate() {
        let &[from, to] = pair else { continue };
        let (whole, part) = (turn(from, to), turn(from, angle));
        if part * whole >= 0.0 && part.abs() <= whole.abs() && whole.abs() > 0.0 {
            let sign = whole.signum();
            let low = 2.5 * (n + 1) as f64;
            let hue = root(low, low + 2.5, |hue| sign * turn(angle, angle_of(hue)));
            return if hue > 100.0 { hue - 100.0 } else { hue };
        }
    }
    100.0
}

/// The chroma at which a hue of one value is so far from C.
fn chroma_at(value: f64, hue: f64, radius: f64) -> f64 {
    root(0.0, MOST_CHROMA, |chroma| {
        let [x, y] = chip(value, hue, chroma);
        x.hypot(y) - radius
    })
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "tests")]
    use super::*;
    use proptest::prelude::*;

    /// ASTM D1535 by way of colour-science 0.4.7, four places.
    #[test]
    fn the_polynomial_gives_the_published_luminances() {
        let want = [1.1799, 3.0481, 6.3912, 11.7008, 19.2718, 29.3012, 41.9854, 57.6196, 76.6956, 100.0];
        for (n, want) in want.into_iter().enumerate() {
            let v = (n + 1) as f64;
            assert!((luminance(v) - want).abs() < 1e-4, "{v}: {}", luminance(v));
            assert!((value(luminance(v)) - v).abs() < 1e-9, "{v}");
        }
        assert!((luminance(5.0) - 19.271_84).abs() < 1e-5);
    }

    /// x, y, Y of chips in the renotation, Y of perfect white (Newhall, Nickerson & Judd 1943, Table I).
    #[test]
    fn published_chips_are_found_and_placed() {
        for (text, xyy) in [("5R 5/10", [0.4747, 0.3227, 0.192_72]), ("10YR 6/4", [0.3861, 0.3767, 0.293_01])] {
            assert_eq!(Munsell::from_xyy(xyy).to_string(), text);
            let chip: Munsell = text.parse().unwrap();
            let [dx, dy] = super::chip(chip.value, chip.hue, chip.chroma);
            assert!((dx + C[0] - xyy[0]).abs() < 1e-4 && (dy + C[1] - xyy[1]).abs() < 1e-4, "{text}");
        }
    }

    #[test]
    fn greys_are_neutral_and_the_ends_hold() {
        for (l, text) in [(0.0, "N 0/"), (50.0, "N 4.9/"), (100.0, "N 10/"), (130.0, "N 10/"), (-5.0, "N 0/")] {
            assert_eq!(Munsell::from_lab(Lab::new(l, 0.0, 0.0)).unwrap().to_string(), text);
        }
        assert_eq!(Munsell::from_lab(Lab::new(50.0, f64::NAN, 0.0)), None);
        assert_eq!(Munsell::from_lab(Lab::new(f64::INFINITY, 0.0, 0.0)), None);
        let far = Munsell::from_lab(Lab::new(50.0, 500.0, -500.0)).unwrap();
        assert!(far.chroma.is_finite() && (0.0..=100.0).contains(&far.hue), "{far:?}");
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(200))]
        /// Every colour a screen can show comes back.
        #[test]
        fn there_and_back(r in 0u8..=255, g in 0u8..=255, b in 0u8..=255) {
            let lab = Lab::from_srgb([r, g, b]);
            let munsell = Munsell::from_lab(lab).unwrap();
            let back = munsell.to_lab();
            let off = super::super::super::delta_e00(lab, back);
            prop_assert!(off < 0.5 || munsell.value < 1.0 , "{lab:?} {munsell} {back:?}: {off}");
        }
    }
}
