//! A printed page: paths, text and pictures in millimetres from the top left corner, y downward, without a word of how it is written out.
//!
//! Three writers turn it into files: [`pdf`](write_pdf), [`svg`](write_svg) and [`png`](write_png). A millimetre of the page is a millimetre of each,
//! so that what is drawn at true scale is printed at true scale.
//!
//! Nothing here fails on what it is given to draw: a path that is not finite is left out, a sign that no bundled font has is drawn as an empty box
//! and keeps its meaning for whoever copies the text.

mod face;
mod pdf;
mod png;
mod size;
mod svg;
mod wrap;

pub use face::{Face, Line, has_sign, line};
pub use pdf::write_pdf;
pub use png::{MOST_PIXELS, write_png};
pub use size::Paper;
pub(crate) use svg::escaped;
pub use svg::write_svg;
pub use wrap::wrap;

use crate::say;
use image::RgbImage;
use kurbo::{Affine, BezPath, Point, Rect, Shape as _, Vec2};
use std::sync::Arc;

/// Millimetres of a typographic point.
pub const POINT_MM: f64 = 25.4 / 72.0;

/// A colour of the page, as sRGB.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Colour(pub [u8; 3]);

impl Colour {
    /// Text and outlines.
    pub const INK: Self = Self([0x26, 0x22, 0x20]);
    /// Words of less weight.
    pub const SOFT: Self = Self([0x5c, 0x55, 0x4e]);
    /// Hair lines.
    pub const FAINT: Self = Self([0xa8, 0xa0, 0x96]);
    /// The palest tint, for what something belongs to.
    pub const WASH: Self = Self([0xec, 0xe6, 0xda]);
    /// The colour of fired clay, for silhouettes.
    pub const CLAY: Self = Self([0xc9, 0xb7, 0x9b]);
    /// The cut wall.
    pub const CUT: Self = Self([0x6b, 0x61, 0x56]);
    /// What is to be looked at.
    pub const GLOW: Self = Self([0xb8, 0x5c, 0x10]);
    /// What is there.
    pub const MOSS: Self = Self([0x3f, 0x63, 0x45]);
    /// The paper itself.
    pub const PAPER: Self = Self([0xff, 0xff, 0xff]);
}

/// A line along a path.
#[derive(Debug, Clone, PartialEq)]
pub struct Stroke {
    /// Its colour.
    pub colour: Colour,
    /// Its width in mm.
    pub width_mm: f64,
    /// Lengths of dash and gap in mm; none for a line drawn through.
    pub dash_mm: Option<[f64; 2]>,
}

impl Stroke {
    /// A line drawn through.
    pub const fn new(colour: Colour, width_mm: f64) -> Self {
        Self { colour, width_mm, dash_mm: None }
    }

    /// A dashed line.
    pub const fn dashed(colour: Colour, width_mm: f64, dash_mm: f64, gap_mm: f64) -> Self {
        Self { colour, width_mm, dash_mm: Some([dash_mm, gap_mm]) }
    }
}

/// Something drawn on a page. Later things lie over earlier ones.
#[derive(Debug, Clone)]
pub enum Item {
    /// A path, filled (nonzero rule) and then stroked.
    Path {
        /// The path in mm.
        path: BezPath,
        /// Its fill.
        fill: Option<Colour>,
        /// Its line.
        stroke: Option<Stroke>,
    },
    /// A line of text.
    Text {
        /// The left end of its base line.
        at: Point,
        /// Size of the type in mm.
        size_mm: f64,
        /// Its colour.
        colour: Colour,
        /// What it says.
        line: Arc<Line>,
    },
    /// A picture, stretched over the rectangle.
    Picture {
        /// Where it lies.
        rect: Rect,
        /// Its pixels.
        pixels: Arc<RgbImage>,
        /// What it shows, for who cannot see it.
        alt: String,
    },
}

impl Item {
    /// A filled path.
    pub const fn fill(path: BezPath, colour: Colour) -> Self {
        Self::Path { path, fill: Some(colour), stroke: None }
    }

    /// A line along a path.
    pub const fn stroke(path: BezPath, stroke: Stroke) -> Self {
        Self::Path { path, fill: None, stroke: Some(stroke) }
    }

    /// A straight line.
    pub fn straight(from: impl Into<Point>, to: impl Into<Point>, stroke: Stroke) -> Self {
        Self::stroke(kurbo::Line::new(from, to).to_path(0.01), stroke)
    }

    /// A line of text with the left end of its base line at a point.
    pub const fn text(at: Point, size_mm: f64, colour: Colour, line: Arc<Line>) -> Self {
        Self::Text { at, size_mm, colour, line }
    }

    /// The same, moved.
    #[must_use]
    pub fn shifted(mut self, by: Vec2) -> Self {
        match &mut self {
            Self::Path { path, .. } => path.apply_affine(Affine::translate(by)),
            Self::Text { at, .. } => *at += by,
            Self::Picture { rect, .. } => *rect = *rect + by,
        }
        self
    }
}

/// One page.
#[derive(Debug, Clone)]
pub struct Page {
    /// Width in mm.
    pub width_mm: f64,
    /// Height in mm.
    pub height_mm: f64,
    /// What is on it.
    pub items: Vec<Item>,
}

impl Page {
    /// An empty page.
    pub const fn new(width_mm: f64, height_mm: f64) -> Self {
        Self { width_mm, height_mm, items: Vec::new() }
    }

    /// Every line of text on it, in the order it was drawn.
    pub fn texts(&self) -> impl Iterator<Item = &str> {
        self.items.iter().filter_map(|item| match item {
            Item::Text { line, .. } => Some(line.text()),
            Item::Path { .. } | Item::Picture { .. } => None,
        })
    }
}

/// Pages that belong together.
#[derive(Debug, Clone)]
pub struct Document {
    /// What it is called.
    pub title: String,
    /// Its pages.
    pub pages: Vec<Page>,
    /// What whoever prints it should know: 'the text of 2 labels was set smaller than 5 points'.
    pub remarks: Vec<String>,
}

/// Why a page could not be written.
#[derive(Debug, thiserror::Error)]
pub enum WriteError {
    /// There is no page.
    #[error("{}", say!("there is no page to write"))]
    NoPage,
    /// A page is larger than a picture may be.
    #[error("{}", say!("a picture of {width} × {height} pixels is too large (at most {MOST_PIXELS} pixels: ask for fewer to the inch)", width, height, MOST_PIXELS))]
    TooLarge {
        /// Pixels across.
        width: u64,
        /// Pixels down.
        height: u64,
    },
    /// The writer of the format refused it.
    #[error("{}", say!("the page can't be written: {what}", what = _0))]
    Format(String),
}
