//! What lies beneath: how likely each cell of the plane is to be cloth, by the colours that are common along the picture's edge.

use super::above::{Says, Stroke};
use super::plane::Plane;
use kurbo::Point;

/// Steps of lightness and of the two colour differences that are told apart.
const BIN: f32 = 5.0;
/// Bins along each of the three.
const BINS: [usize; 3] = [54, 64, 64];
/// How much of the picture's width along its edge is taken for cloth.
const BORDER: f64 = 0.07;

/// How much lighter the cloth may be than its shadow, in the numbers of the file.
const SHADES: [f32; 5] = [1.08, 1.2, 1.35, 1.55, 1.8];

/// What a colour is that would be the cloth's in more light.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Shadows {
    /// Rather the cloth in shadow.
    Cloth,
    /// Something else.
    Piece,
}

/// How likely cells are to be cloth.
#[derive(Debug, Clone)]
pub(super) struct Cloth {
    /// 0 to 1 for each cell; 0.5 where nothing is known or seen.
    pub(super) likely: Vec<f32>,
    width: usize,
    /// Usual change of colour over a cell of cloth, summed over the three numbers.
    pub(super) grain: f32,
    /// Whether the whole plane is of one even colour.
    pub(super) blank: bool,
}

fn bin(colour: [f32; 3]) -> usize {
    let [l, r, b] = colour;
    // A float cast saturates: what is below 0 goes to 0.
    let index = |v: f32, n: usize| ((v / BIN) as usize).min(n - 1);
    let [n0, n1, n2] = BINS;
    (index(l, n0) * n1 + index(r + 160.0, n1)) * n2 + index(b + 160.0, n2)
}

/// Counts of colours, softened to the neighbouring bins with weights 1, 2, 1.
fn soften(counts: &mut [f32]) {
    let [_, n1, n2] = BINS;
    for stride in [1, n2, n1 * n2] {
        let old = counts.to_vec();
        let get = |i: usize| old.get(i).copied().unwrap_or(0.0);
        for (i, c) in counts.iter_mut().enumerate() {
            *c = 0.5 * get(i) + 0.25 * (get(i + stride) + i.checked_sub(stride).map_or(0.0, get));
        }
    }
}

impl Cloth {
    /// By the cells along the picture's edge, `card` being left out (and taken for no piece).
    pub(super) fn of(plane: &Plane, card: impl Fn(Point) -> bool, shadows: Shadows) -> Self {
        let border = ((BORDER * plane.width.min(plane.height) as f64) as usize).max(4);
        let [n0, n1, n2] = BINS;
        let (mut edge, mut all) = (vec![0.0_f32; n0 * n1 * n2], vec![0.0_f32; n0 * n1 * n2]);
        let mut grains = Vec::new();
        let mut on_card = vec![false; plane.width * plane.height];
        for y in 0..plane.height {
            for x in 0..plane.width {
                let Some(colour) = plane.cell(x, y) else { continue };
                if card(plane.middle(x, y)) {
                    if let Some(c) = on_card.get_mut(y * plane.width + x) {
                        *c = true;
                    }
                    continue;
                }
                if let Some(n) = all.get_mut(bin(colour)) {
                    *n += 1.0;
                }
                if plane.near_edge(x, y, border) {
                    if let Some(n) = edge.get_mut(bin(colour)) {
                        *n += 1.0;
                    }
                    if let (true, Some(next)) = ((x + y) % 3 == 0, plane.cell(x + 2, y)) {
                        grains.push(colour.iter().zip(next).map(|(a, b)| (a - b).abs()).sum::<f32>());
                    }
                }
            }
        }
        soften(&mut edge);
        soften(&mut all);
        let (edges, alls) = (edge.iter().sum::<f32>().max(1.0), all.iter().sum::<f32>().max(1.0));
        // Beyond the edge at least two parts of five are taken for cloth: then a colour as common at the edge as anywhere is cloth.
        let ratio: Vec<f32> = edge
            .iter()
            .zip(&all)
            .map(|(e, a)| {
                let (e, a) = ((e + 0.3) / edges, (a + 0.6) / alls);
                (0.6 * e / a).min(1.0)
            })
            .collect();
        let mut likely = vec![0.5; plane.width * plane.height];
        for y in 0..plane.height {
            for x in 0..plane.width {
                let i = y * plane.width + x;
                if let (Some(to), Some(colour)) = (likely.get_mut(i), plane.cell(x, y)) {
                    let by = |lit: f32| ratio.get(bin(colour.map(|c| c * lit))).copied().unwrap_or(0.5);
                    let shaded = match shadows {
                        Shadows::Cloth => SHADES.iter().map(|lit| by(*lit)).fold(0.0, f32::max),
                        Shadows::Piece => 0.0,
                    };
                    *to = if on_card.get(i) == Some(&true) { 1.0 } else { by(1.0).max(0.6 * shaded) };
                }
            }
        }
        let most = all.iter().copied().fold(0.0_f32, f32::max);
        let middle = grains.len() / 2;
        let grain = if grains.is_empty() { 4.0 } else { *grains.select_nth_unstable_by(middle, f32::total_cmp).1 };
        Self {
            likely,
            width: plane.width,
            grain: grain.max(1.0),
            blank: most > 0.12 * alls && grain < 0.5 && all.iter().filter(|n| **n > 0.01).count() < 64,
        }
    }

    /// The same where colours are asked nothing: all of it may be cloth or piece.
    pub(super) fn unasked(&self) -> Self {
        Self { likely: vec![0.5; self.likely.len()], ..*self }
    }

    /// What the brush says stands above what the colours say.
    pub(super) fn paint(&mut self, plane: &Plane, strokes: &[Stroke], to_plane: impl Fn(Point) -> Option<Point>) {
        for stroke in strokes {
            let value = match stroke.says {
                Says::Piece => 0.0,
                Says::Other => 1.0,
            };
            for px in &stroke.px {
                let edge = Point::new(px.x + stroke.radius_px, px.y);
                let (Some(mm), Some(beside)) = (to_plane(*px), to_plane(edge)) else { continue };
                let radius = (beside - mm).hypot() / plane.cell_mm;
                let (x, y) = plane.place(mm);
                let range = |at: f64, most: usize| {
                    let from = (at - radius).max(0.0) as usize;
                    from..((at + radius).max(0.0) as usize + 1).min(most)
                };
                for j in range(y, plane.height) {
                    for i in range(x, plane.width) {
                        if (i as f64 - x).hypot(j as f64 - y) <= radius
                            && let Some(cell) = self.likely.get_mut(j * self.width + i)
                        {
                            *cell = value;
                        }
                    }
                }
            }
        }
    }

    /// How likely the cell nearest a place is to be cloth.
    pub(super) fn at(&self, plane: &Plane, mm: Point) -> f32 {
        let (x, y) = plane.place(mm);
        let (x, y) = (x.round(), y.round());
        if x < 0.0 || y < 0.0 || x as usize >= self.width {
            return 0.5;
        }
        self.likely.get(y as usize * self.width + x as usize).copied().unwrap_or(0.5)
    }
}
