//! Which colours are the surround's and which the piece's.

use super::raster::{Raster, Shows};

/// Bins for lightness and for each colour difference.
const BINS: usize = 24;
/// Width of a bin of lightness, of 256.
const LIGHT_STEP: f32 = 10.8;
/// Width of a bin of a colour difference.
const TINT_STEP: f32 = 8.0;
/// Bands of the picture from below upward: table and wall behind it differ.
const BANDS: usize = 6;
/// How much all of the picture counts in a band.
const ELSEWHERE: f32 = 0.25;
/// Weight of 'any colour at all', so that a colour seen nowhere says little.
const ANYTHING: f32 = 0.03;

/// The table is seen darker where a shadow lies on it: all three numbers of its colour by the same share, as less light of the same colour is in a picture that is
/// written with a gamma. Otherwise a shadow, seen nowhere but beside the foot, is taken for the piece's.
const SHADOWS: [f32; 4] = [0.85, 0.7, 0.55, 0.4];
/// How often it is so, against the table's own colours. Our own estimate: a piece's shadow covers about a tenth of what is seen of the table.
const SHADOW_SHARE: f32 = 0.1;
/// Shadows are looked for below this height over the line on which the piece stands, in mm: further up it is what is behind the piece, and a wall's own shading would be
/// taken for a shadow.
const SHADOWS_TO_MM: f64 = 10.0;

/// What the surround's colour counts for while nothing is known of the piece.
const UNKNOWN: f32 = -0.05;

/// How often each colour is seen.
#[derive(Debug, Clone)]
struct Seen {
    bins: Vec<f32>,
}

fn bin_of([light, red, yellow]: [f32; 3]) -> usize {
    let most = (BINS - 1) as f32;
    let l = (light / LIGHT_STEP).clamp(0.0, most) as usize;
    let r = (red / TINT_STEP + BINS as f32 / 2.0).clamp(0.0, most) as usize;
    let y = (yellow / TINT_STEP + BINS as f32 / 2.0).clamp(0.0, most) as usize;
    (l * BINS + r) * BINS + y
}

impl Seen {
    fn none() -> Self {
        Self { bins: vec![0.0; BINS * BINS * BINS] }
    }

    fn add(&mut self, bin: usize, weight: f32) {
        if let Some(b) = self.bins.get_mut(bin) {
            *b += weight;
        }
    }

    /// Spread over neighbouring bins, and summing to 1.
    fn smoothed(mut self) -> Self {
        for stride in [1, BINS, BINS * BINS] {
            let from = self.bins.clone();
            for (i, to) in self.bins.iter_mut().enumerate() {
                let place = (i / stride) % BINS;
                let own = from.get(i).copied().unwrap_or(0.0);
                let before = if place > 0 { from.get(i - stride).copied().unwrap_or(own) } else { own };
                let after = if place + 1 < BINS { from.get(i + stride).copied().unwrap_or(own) } else { own };
                *to = 0.25 * before + 0.5 * own + 0.25 * after;
            }
        }
        let sum: f32 = self.bins.iter().sum();
        if sum > 0.0 {
            for b in &mut self.bins {
                *b /= sum;
            }
        }
        self
    }

    fn mixed(&self, other: &Self, share: f32) -> Self {
        Self { bins: self.bins.iter().zip(&other.bins).map(|(a, b)| a * (1.0 - share) + b * share).collect() }
    }

    fn of(&self, bin: usize) -> f32 {
        self.bins.get(bin).copied().unwrap_or(0.0) + ANYTHING / (BINS * BINS * BINS) as f32
    }
}

/// The bins of all cells, kept while colours are learnt again and again.
#[derive(Debug, Clone)]
pub(super) struct Colours {
    bins: Vec<u16>,
    rows: usize,
    columns: usize,
}

/// What is believed of a cell while colours are learnt.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Believed {
    Piece,
    Surround,
    Unknown,
}

impl Colours {
    pub(super) fn new(raster: &Raster) -> Self {
        Self { bins: raster.shades.iter().map(|s| bin_of(*s) as u16).collect(), rows: raster.rows, columns: raster.columns }
    }

    /// For each cell how much its colour speaks for the piece (1) or for the surround (−1), learnt from cells of which that is believed. Where nothing
    /// is believed of the piece, the colours of the whole picture stand for it.
    pub(super) fn leaning<B: Fn(usize, usize) -> Believed>(&self, raster: &Raster, believed: B) -> Vec<f32> {
        let band = |row: usize| (row * BANDS / self.rows.max(1)).min(BANDS - 1);
        let (mut piece, mut all, mut dimmed) = (Seen::none(), Seen::none(), Seen::none());
        let mut bands = vec![Seen::none(); BANDS];
        let mut pieces = 0_usize;
        let shadows_to = raster.table_row + SHADOWS_TO_MM / raster.cell_mm;
        for row in 0..self.rows {
            for column in 0..self.columns {
                let k = row * self.columns + column;
                let (Some(&bin), true) = (self.bins.get(k), raster.shown(column, row) == Shows::Picture) else { continue };
                let bin = usize::from(bin);
                all.add(bin, 1.0);
                match believed(column, row) {
                    Believed::Piece => {
                        pieces += 1;
                        piece.add(bin, 1.0);
                    }
                    Believed::Surround => {
                        if let Some(b) = bands.get_mut(band(row)) {
                            b.add(bin, 1.0);
                            if (row as f64) < shadows_to {
                                let shade = raster.shades.get(k).copied().unwrap_or_default();
                                for dim in SHADOWS {
                                    dimmed.add(bin_of(shade.map(|v| v * dim)), 1.0);
                                }
                            }
                        }
                    }
                    Believed::Unknown => {}
                }
            }
        }
        let mut everywhere = Seen::none();
        for b in &bands {
            for (to, from) in everywhere.bins.iter_mut().zip(&b.bins) {
                *to += from;
            }
        }
        let everywhere = everywhere.smoothed();
        let dimmed = dimmed.smoothed();
        // While nothing is known of the piece, what looks like the surround may well be a piece of the same colour.
        let least = if pieces > 60 { -1.0 } else { UNKNOWN };
        let piece = if pieces > 60 { piece.smoothed() } else { all.smoothed() };
        let bands: Vec<Seen> = bands
            .into_iter()
            .map(|b| {
                let few = b.bins.iter().sum::<f32>() < 40.0;
                b.smoothed().mixed(&everywhere, if few { 1.0 } else { ELSEWHERE })
            })
            .collect();
        (0..self.rows * self.columns)
            .map(|k| {
                let (row, column) = (k / self.columns, k % self.columns);
                let (Some(&bin), Some(surround)) = (self.bins.get(k), bands.get(band(row))) else { return 0.0 };
                if raster.shown(column, row) != Shows::Picture {
                    return 0.0;
                }
                let bin = usize::from(bin);
                let in_shadow = if (row as f64) < shadows_to { SHADOW_SHARE * dimmed.of(bin) } else { 0.0 };
                let ratio = (piece.of(bin) / (surround.of(bin) + in_shadow)).ln();
                (ratio / 2.5).clamp(least, 1.0)
            })
            .collect()
    }
}
