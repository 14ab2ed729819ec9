//! The renotation: chromaticities of Munsell's chips.
//!
//! Newhall, Nickerson & Judd, J. Opt. Soc. Am. 33, 1943, 385–418, with the chips extrapolated beyond it; see `assets/munsell`.

use std::sync::LazyLock;

/// Chromaticity of illuminant C, from which chips are kept as differences (CIE 15).
pub(super) const C: [f64; 2] = [0.31006, 0.31616];
/// Standard hues of each value: 2.5R, 5R, 7.5R …
pub(super) const HUES: usize = 40;

/// The chips of one value.
#[derive(Debug)]
pub(super) struct Plane {
    /// The value.
    pub(super) value: f64,
    /// For each standard hue, from 2.5R on, x and y less those of C of the chips of chroma 2, 4, 6 …
    hues: Vec<Vec<[f64; 2]>>,
}

/// The planes, darkest first: values 0.4, 0.6, 0.8, 1, 2 … 10.
pub(super) static PLANES: LazyLock<Vec<Plane>> = LazyLock::new(|| read(include_str!("../../../assets/munsell/renotation.txt")));

fn read(text: &str) -> Vec<Plane> {
    let mut planes: Vec<Plane> = Vec::new();
    for line in text.lines().filter(|line| !line.starts_with('#')) {
        let mut figures = line.split(' ').filter_map(|n| n.parse::<f64>().ok());
        // The file is sorted by value, then hue, and none is missing: a test sees to it.
        let (Some(value), Some(_)) = (figures.next(), figures.next()) else { continue };
        let mut chips = Vec::new();
        while let (Some(x), Some(y)) = (figures.next(), figures.next()) {
            chips.push([x / 1e4 - C[0], y / 1e4 - C[1]]);
        }
        match planes.last_mut().filter(|plane| plane.value >= value) {
            Some(plane) => plane.hues.push(chips),
            None => planes.push(Plane { value, hues: vec![chips] }),
        }
    }
    planes
}

impl Plane {
    /// A chip of a standard hue (counted round the circle) and any chroma: on the straight line between its neighbours, beyond the last on the
    /// line of the last two.
    pub(super) fn chip(&self, hue: usize, chroma: f64) -> [f64; 2] {
        let Some(chips) = self.hues.get(hue % HUES) else { return [0.0; 2] };
        let step = chroma / 2.0;
        let low = (step.floor().max(0.0) as usize).min(chips.len().saturating_sub(1));
        let at = |n: usize| if n == 0 { [0.0; 2] } else { chips.get(n - 1).copied().unwrap_or_default() };
        let ([x0, y0], [x1, y1]) = (at(low), at(low + 1));
        let share = step - low as f64;
        [x0 + share * (x1 - x0), y0 + share * (y1 - y0)]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_chip_is_missing() {
        let values: Vec<f64> = PLANES.iter().map(|plane| plane.value).collect();
        assert_eq!(values, [0.4, 0.6, 0.8, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 9.0, 10.0]);
        assert!(PLANES.iter().all(|plane| plane.hues.len() == HUES && plane.hues.iter().all(|chips| !chips.is_empty())));
        let text = include_str!("../../../assets/munsell/renotation.txt");
        let hues: Vec<f64> = text.lines().filter(|l| !l.starts_with('#')).filter_map(|l| l.split(' ').nth(1)?.parse().ok()).collect();
        let want: Vec<f64> = (0..hues.len()).map(|i| 2.5 * (i % HUES + 1) as f64).collect();
        assert_eq!(hues, want);
    }
}
