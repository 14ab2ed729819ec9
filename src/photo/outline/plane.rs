//! The plane of the rim, laid flat: the photograph seen straight from above in cells of equal size.

use crate::photo::camera::Placed;
use crate::photo::card::Shades;
use kurbo::{Point, Rect};
use rayon::prelude::*;

/// Farther from the card than this nothing is looked for, in mm: a dish of 500 mm lies within.
const REACH_MM: f64 = 560.0;
/// Most cells along a side.
const MOST_CELLS: f64 = 900.0;
/// Cells are no smaller than this, in mm.
const LEAST_CELL_MM: f64 = 0.8;

/// The plane in cells.
#[derive(Debug, Clone)]
pub(super) struct Plane {
    pub(super) width: usize,
    pub(super) height: usize,
    /// Side of a cell in mm.
    pub(super) cell_mm: f64,
    low: Point,
    /// Lightness, red against green, yellow against blue; row by row.
    cells: Vec<[f32; 3]>,
    /// Whether the photograph shows the cell.
    seen: Vec<bool>,
}

impl Plane {
    /// The part of the plane z = `z_mm` that the photograph shows. None where it shows none of it.
    pub(super) fn of(shades: &Shades, placed: &Placed, z_mm: f64) -> Option<Self> {
        let (w, h) = (placed.lens.width_px, placed.lens.height_px);
        let mut bounds: Option<Rect> = None;
        let n = 24;
        for i in 0..=n {
            let t = f64::from(i) / f64::from(n);
            for px in [Point::new(t * w, 0.0), Point::new(t * w, h), Point::new(0.0, t * h), Point::new(w, t * h)] {
                // An edge of the picture that looks past the plane reaches to the end of it.
                let mm = placed.on_plane(px, z_mm).unwrap_or(Point::new(f64::MAX, f64::MAX));
                let mm = Point::new(mm.x.clamp(-REACH_MM, REACH_MM), mm.y.clamp(-REACH_MM, REACH_MM));
                bounds = Some(bounds.map_or(Rect::from_points(mm, mm), |b| b.union_pt(mm)));
            }
        }
        let bounds = bounds?;
        let cell_mm = (bounds.width().max(bounds.height()) / MOST_CELLS).max(LEAST_CELL_MM);
        let (width, height) = ((bounds.width() / cell_mm) as usize, (bounds.height() / cell_mm) as usize);
        if width < 8 || height < 8 {
            return None;
        }
        let low = bounds.origin();
        let row = |y: usize| {
            (0..width)
                .map(|x| {
                    let mm = Point::new(low.x + (x as f64 + 0.5) * cell_mm, low.y + (y as f64 + 0.5) * cell_mm);
                    let px = placed.project(nalgebra::Point3::new(mm.x, mm.y, z_mm)).filter(|px| shades.holds(*px));
                    px.map_or(([0.0; 3], false), |px| (shades.at(px), true))
                })
                .collect::<Vec<_>>()
        };
        let (cells, seen) = (0..height).into_par_iter().flat_map_iter(row).unzip();
        Some(Self { width, height, cell_mm, low, cells, seen })
    }

    /// Column and row of a place, as numbers with a fraction.
    pub(super) fn place(&self, mm: Point) -> (f64, f64) {
        ((mm.x - self.low.x) / self.cell_mm - 0.5, (mm.y - self.low.y) / self.cell_mm - 0.5)
    }

    /// The middle of a cell.
    pub(super) fn middle(&self, x: usize, y: usize) -> Point {
        Point::new(self.low.x + (x as f64 + 0.5) * self.cell_mm, self.low.y + (y as f64 + 0.5) * self.cell_mm)
    }

    /// The cell's colour, where the photograph shows it.
    pub(super) fn cell(&self, x: usize, y: usize) -> Option<[f32; 3]> {
        if x >= self.width || !*self.seen.get(y.checked_mul(self.width)? + x)? {
            return None;
        }
        self.cells.get(y * self.width + x).copied()
    }

    /// The colour at a place between four cells, where the photograph shows all of them.
    pub(super) fn at(&self, mm: Point) -> Option<[f32; 3]> {
        let (x, y) = self.place(mm);
        if x < 0.0 || y < 0.0 {
            return None;
        }
        let (i, j) = (x as usize, y as usize);
        let (fx, fy) = ((x - i as f64) as f32, (y - j as f64) as f32);
        let (a, b, c, d) = (self.cell(i, j)?, self.cell(i + 1, j)?, self.cell(i, j + 1)?, self.cell(i + 1, j + 1)?);
        let mut out = [0.0; 3];
        for (k, value) in out.iter_mut().enumerate() {
            let get = |v: [f32; 3]| v.get(k).copied().unwrap_or(0.0);
            let top = get(a) * (1.0 - fx) + get(b) * fx;
            let low = get(c) * (1.0 - fx) + get(d) * fx;
            *value = top * (1.0 - fy) + low * fy;
        }
        Some(out)
    }

    /// Whether fewer than `n` cells lie between the cell and the edge of what is seen, along its row or column.
    pub(super) fn near_edge(&self, x: usize, y: usize, n: usize) -> bool {
        [(x.wrapping_sub(n), y), (x + n, y), (x, y.wrapping_sub(n)), (x, y + n)].iter().any(|(x, y)| self.cell(*x, *y).is_none())
    }
}
