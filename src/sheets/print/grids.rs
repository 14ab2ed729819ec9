//! Grids of labels, by their measures alone: columns, rows, size, margins, gaps.
//!
//! A sheet of labels is described by what a rule says of it. `assets/label_grids.ron` holds common ones; anyone can measure another.

use crate::say;
use crate::sheets::page::Paper;
use serde::Deserialize;
use std::sync::LazyLock;

const TEXT: &str = include_str!("../../../assets/label_grids.ron");

/// A grid of labels on a sheet. Lengths in mm.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Grid {
    /// What it is called: 'A4, 3 × 8'.
    pub name: String,
    /// The paper: A4 or Letter.
    #[serde(deserialize_with = "paper")]
    pub paper: Paper,
    /// Labels across.
    pub columns: u32,
    /// Labels down.
    pub rows: u32,
    /// Width of a label.
    pub width_mm: f64,
    /// Height of a label.
    pub height_mm: f64,
    /// From the paper's left edge to the first label.
    pub left_mm: f64,
    /// From the paper's upper edge to the first label.
    pub top_mm: f64,
    /// Between one label and the next across.
    #[serde(default)]
    pub gap_x_mm: f64,
    /// Between one label and the next down.
    #[serde(default)]
    pub gap_y_mm: f64,
}

fn paper<'de, D: serde::Deserializer<'de>>(from: D) -> Result<Paper, D::Error> {
    let word = String::deserialize(from)?;
    Paper::ALL
        .into_iter()
        .find(|paper| paper.words() == word && *paper != Paper::Phone)
        .ok_or_else(|| serde::de::Error::custom(format!("'{word}' is no paper for labels (write \"A4\" or \"Letter\")")))
}

/// Why measures make no grid.
#[derive(Debug, thiserror::Error, PartialEq)]
pub enum GridError {
    /// A number is missing or one.
    #[error("{}", say!("'{what}' is not a grid of labels (write columns × rows, width × height, left and top margin in mm: 3x8,70x36,0x4.5; gaps may follow: 2.5x0)", what = _0))]
    Unreadable(String),
    /// A label has no size.
    #[error("{}", say!("a label of {width} × {height} mm can't be printed on (each side from 8 mm)", width, height))]
    TooSmall {
        /// Its width in mm.
        width: f64,
        /// Its height in mm.
        height: f64,
    },
    /// The labels reach beyond the paper.
    #[error("{}", say!("the labels reach {over:.1} mm beyond the {edge} edge of {paper} (check margins and gaps)", over, edge, paper))]
    TooLarge {
        /// How far.
        over: f64,
        /// Which edge.
        edge: &'static str,
        /// The paper.
        paper: &'static str,
    },
}

impl Grid {
    /// A grid from its measures as typed: `3x8,70x36,0x4.5` and, where there are gaps, `,2.5x0`.
    ///
    /// # Errors
    /// [`GridError`] where it can't be read or does not fit on the paper.
    pub fn parse(text: &str, paper: Paper) -> Result<Self, GridError> {
        let pairs: Option<Vec<(f64, f64)>> = text.split(',').map(pair).collect();
        let whole = |n: f64| (n.fract() == 0.0 && (1.0..=100.0).contains(&n)).then_some(n as u32);
        let read = pairs.and_then(|pairs| {
            let (counts, size, margins, gaps) = match *pairs.as_slice() {
                [a, b, c] => (a, b, c, (0.0, 0.0)),
                [a, b, c, d] => (a, b, c, d),
                _ => return None,
            };
            Some(Self {
                name: text.to_owned(),
                paper,
                columns: whole(counts.0)?,
                rows: whole(counts.1)?,
                width_mm: size.0,
                height_mm: size.1,
                left_mm: margins.0,
                top_mm: margins.1,
                gap_x_mm: gaps.0,
                gap_y_mm: gaps.1,
            })
        });
        let grid = read.ok_or_else(|| GridError::Unreadable(text.to_owned()))?;
        grid.check()?;
        Ok(grid)
    }

    /// Labels on a sheet.
    pub const fn on_a_sheet(&self) -> usize {
        self.columns as usize * self.rows as usize
    }

    /// Whether it fits on its paper.
    ///
    /// # Errors
    /// [`GridError::TooSmall`], [`GridError::TooLarge`].
    pub fn check(&self) -> Result<(), GridError> {
        if self.width_mm < 8.0 || self.height_mm < 8.0 {
            return Err(GridError::TooSmall { width: self.width_mm, height: self.height_mm });
        }
        let (width, height) = self.paper.size_mm();
        let reach = |from: f64, count: u32, each: f64, gap: f64| from + f64::from(count) * each + f64::from(count.saturating_sub(1)) * gap;
        let right = reach(self.left_mm, self.columns, self.width_mm, self.gap_x_mm) - width;
        let bottom = reach(self.top_mm, self.rows, self.height_mm, self.gap_y_mm) - height;
        for (over, edge) in [(right, "right"), (bottom, "lower")] {
            if over > 0.05 {
                return Err(GridError::TooLarge { over, edge, paper: self.paper.words() });
            }
        }
        Ok(())
    }

    /// Left and upper edge of a label, counted along the rows.
    pub fn place(&self, at: usize) -> (f64, f64) {
        let columns = self.columns.max(1) as usize;
        let (column, row) = ((at % columns) as f64, (at / columns) as f64);
        (self.left_mm + column * (self.width_mm + self.gap_x_mm), self.top_mm + row * (self.height_mm + self.gap_y_mm))
    }
}

fn pair(text: &str) -> Option<(f64, f64)> {
    let (one, other) = text.split_once(['x', 'X', '×', '*'])?;
    let number = |text: &str| text.trim().parse::<f64>().ok().filter(|n| n.is_finite() && (0.0..=1000.0).contains(n));
    Some((number(one)?, number(other)?))
}

/// The grids that are built in, in the order of the file.
pub fn grids() -> &'static [Grid] {
    static GRIDS: LazyLock<Vec<Grid>> = LazyLock::new(|| ron::from_str(TEXT).unwrap_or_default());
    &GRIDS
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "tests")]
    use super::*;

    #[test]
    fn every_built_in_grid_fits_its_paper() {
        ron::from_str::<Vec<Grid>>(TEXT).unwrap();
        assert!(grids().len() >= 8, "{}", grids().len());
        for grid in grids() {
            assert_eq!(grid.check(), Ok(()), "{}", grid.name);
        }
        for paper in [Paper::A4, Paper::Letter] {
            assert!(grids().iter().filter(|grid| grid.paper == paper).count() >= 3);
        }
    }

    #[test]
    fn a_grid_is_read_from_its_measures() {
        let grid = Grid::parse("3x8, 70x36,0 × 4.5", Paper::A4).unwrap();
        assert_eq!((grid.columns, grid.rows, grid.on_a_sheet(), grid.gap_x_mm), (3, 8, 24, 0.0));
        assert_eq!(grid.place(0), (0.0, 4.5));
        assert_eq!(grid.place(4), (70.0, 40.5));
        let gaps = Grid::parse("3x7,63.5x38.1,7.2x15.1,2.5x0", Paper::A4).unwrap();
        assert_eq!(gaps.place(1), (73.2, 15.1));
    }

    #[test]
    fn what_is_no_grid_is_said_to_be_none() {
        let said = |text: &str| Grid::parse(text, Paper::A4).unwrap_err().to_string();
        for text in ["", "3x8", "3x8,70x36", "0x8,70x36,0x0", "3.5x8,50x30,0x0", "3x8,70xinf,0x0", "a"] {
            assert!(said(text).starts_with(&format!("'{text}' is not a grid of labels")), "{}", said(text));
        }
        assert_eq!(said("4x8,70x36,0x4.5"), "the labels reach 70.0 mm beyond the right edge of A4 (check margins and gaps)");
        assert_eq!(said("3x9,70x36,0x4.5"), "the labels reach 31.5 mm beyond the lower edge of A4 (check margins and gaps)");
        assert_eq!(said("3x8,5x36,0x4.5"), "a label of 5 × 36 mm can't be printed on (each side from 8 mm)");
    }
}
