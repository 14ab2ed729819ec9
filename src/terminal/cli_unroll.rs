//! What may be said to `footring unroll`.

use super::cli_measure::points;
use clap::{Args, ValueEnum};
use kurbo::Point;
use std::path::PathBuf;

/// How the print on the strips is made plain.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum StripContrast {
    /// In the photograph's own colours
    None,
    /// Grey, the ground flattened and the ink told from the glaze
    Print,
    /// The same, and faint places brought up to strong ones
    Faint,
}

/// How letters lie round the ring.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum StripArcs {
    /// An arc above and an arc below that reads the other way round
    Two,
    /// One line all round
    One,
    /// No ring: straight lines only
    None,
}

/// `footring unroll`
#[derive(Debug, Clone, PartialEq, Args)]
#[command(after_help = "Examples:\n  \
    footring unroll foot.jpg --out strips.png\n  \
    footring unroll foot.jpg --out strips.png --contrast faint --json\n  \
    footring unroll foot.jpg --out strips.png --centre 320,318 --ring 320,110\n  \
    footring unroll foot.jpg --out strips.png --centre 320,318 --ring '560,318 320,140'\n  \
    footring unroll left.jpg --with right.jpg --with top.jpg --out strips.png\n\n\
    The ring of a round or oval mark is found, or set by its middle and one point on its outermost line (two for an oval: the ends of its two half axes). \
    Arcs and straight lines are laid under each other in the order in which they are read. The mark should stand within 75 degrees of upright; otherwise \
    say how far it is turned. What a slanted camera does to a ring is taken out; that its near side is larger is not.")]
pub struct Unroll {
    /// The photograph: JPEG, PNG, WebP or TIFF
    pub photo: PathBuf,
    /// Write the strips here, as PNG, one under the other
    #[arg(long, value_name = "FILE")]
    pub out: PathBuf,
    /// The middle of the mark in pixels: "x,y"
    #[arg(long, value_name = "POINT", requires = "ring", value_parser = one)]
    pub centre: Option<Point>,
    /// A point on the outermost line of a round mark, or the ends of the two half axes of an oval one: "x,y" or "x,y x,y"
    #[arg(long, value_name = "POINTS", requires = "centre", value_parser = one_or_two)]
    pub ring: Option<RingPoints>,
    /// How far the mark is turned clockwise, in degrees
    #[arg(long, value_name = "DEGREES", allow_negative_numbers = true, value_parser = degrees)]
    pub turned: Option<f64>,
    /// How its letters lie (otherwise told by their stems)
    #[arg(long, value_enum)]
    pub arcs: Option<StripArcs>,
    /// How the print is made plain
    #[arg(long, value_enum, default_value_t = StripContrast::Print)]
    pub contrast: StripContrast,
    /// Exchange light and dark
    #[arg(long)]
    pub invert: bool,
    /// Another picture of the same pressed mark, lit from another side (up to three)
    #[arg(long, value_name = "PHOTO", conflicts_with = "contrast")]
    pub with: Vec<PathBuf>,
    /// Show the strips to 'tesseract', if it is on this machine, and print what it suggests
    #[arg(long)]
    pub read: bool,
    /// Print JSON for another program
    #[arg(long)]
    pub json: bool,
}

/// Points on a ring.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum RingPoints {
    /// On a round one.
    Round(Point),
    /// Ends of the half axes of an oval one.
    Oval(Point, Point),
}

fn one(text: &str) -> Result<Point, String> {
    points(text, 1)?.first().copied().ok_or_else(|| "a point is needed (write 120,85.5)".to_owned())
}

fn one_or_two(text: &str) -> Result<RingPoints, String> {
    let most = if text.split_whitespace().count() == 2 { 2 } else { 1 };
    match points(text, most)?.as_slice() {
        [a] => Ok(RingPoints::Round(*a)),
        [a, b] => Ok(RingPoints::Oval(*a, *b)),
        _ => Err("one point or two are needed (write 120,85.5)".to_owned()),
    }
}

fn degrees(text: &str) -> Result<f64, String> {
    text.parse::<f64>()
        .ok()
        .filter(|n| (-360.0..=360.0).contains(n))
        .ok_or_else(|| "that is not an angle from -360 to 360 degrees (write 12.5)".to_owned())
}
