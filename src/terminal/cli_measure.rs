//! What may be said to `footring measure`.

use crate::photo::{LEAST_ROUNDS, MOST_ROUNDS};
use clap::{Args, ValueEnum};
use kurbo::Point;
use std::path::PathBuf;

/// From where the photograph was taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum View {
    /// From above, the card lying in the plane of the rim: is it round or oval, and how large
    Above,
    /// From the side, the card standing upright on the table in line with the middle of the piece: height, diameters, profile and capacity
    Side,
}

/// What is said of the top of a piece.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum SaidTop {
    /// Open right to the edge that is seen: that edge is the rim
    Open,
    /// A lid is on it, or it is closed, or its opening is narrower than the edge that is seen
    Closed,
}

/// `footring measure`
#[derive(Debug, Clone, PartialEq, Args)]
#[command(after_help = "Examples:\n  \
    footring measure lid.jpg --view above --overlay seen.png\n  \
    footring measure lid.jpg --view above --card '473,649 349,421 220,516 335,744' --json\n  \
    footring measure jug.jpg --view side --top open --wall-mm 4.5\n  \
    footring measure lid.jpg --view above --bootstrap 200\n  \
    footring measure lid.jpg --view above --cameras cameras.ron --taken-with 'kitchen phone'\n  \
    footring measure lid.jpg --view above --scale-mm 150 --points '300,900 900,905'\n  \
    footring measure lid.jpg --view above --coin-mm 23.25 --coin '212,640 1390,655'\n\n\
    The card is any bank card (ISO/IEC 7810 ID-1, 85.60 × 53.98 mm). Without --card and --scale-mm it is looked for. What stands behind ± holds in 95 of \
    100 cases. With --scale-mm the tilt of the camera is not known, and the ± says so. One coin tells how far the camera was tilted but not to which side, \
    and the ± says that too: lay two of the same kind on opposite sides of the piece.")]
pub struct Measure {
    /// The photograph: JPEG, PNG, WebP or TIFF
    pub photo: PathBuf,
    /// From where it was taken
    #[arg(long, value_enum)]
    pub view: View,
    /// The four corners of the card in pixels, where its straight edges would meet: "x,y x,y x,y x,y"
    #[arg(long, value_name = "CORNERS", value_parser = four)]
    pub card: Option<[Point; 4]>,
    /// A length in mm between the two --points, in place of a card
    #[arg(long, value_name = "MM", requires = "points", conflicts_with = "card")]
    pub scale_mm: Option<f64>,
    /// The two ends of that length in pixels: "x,y x,y"
    #[arg(long, value_name = "POINTS", requires = "scale_mm", value_parser = two)]
    pub points: Option<[Point; 2]>,
    /// One coin, or two of the same kind, lying flat beside the piece, by a point on each in pixels: "x,y" or "x,y x,y"
    #[arg(long, value_name = "POINTS", requires = "coin_mm", conflicts_with_all = ["card", "scale_mm"], value_parser = one_or_two)]
    pub coin: Option<OnCoins>,
    /// The coin's diameter in mm, as its mint states it
    #[arg(long, value_name = "MM", requires = "coin")]
    pub coin_mm: Option<f64>,
    /// How far the rim lies above the card, in mm
    #[arg(long, value_name = "MM", default_value_t = 0.0, allow_negative_numbers = true, value_parser = rim_height)]
    pub rim_height_mm: f64,
    /// Thickness of the wall in mm, for the capacity of a piece seen from the side (otherwise a usual one is taken)
    #[arg(long, value_name = "MM", value_parser = wall)]
    pub wall_mm: Option<f64>,
    /// What is at the top of a piece seen from the side: rim and capacity are told only where it is open to its edge, as a flat closed top looks the same
    #[arg(long, value_enum)]
    pub top: Option<SaidTop>,
    /// A file of cameras as 'footring lens' and the window write it: what other pictures of the same camera say of its lens
    #[arg(long, value_name = "FILE")]
    pub cameras: Option<PathBuf>,
    /// The camera of that file that took the photograph, where the photograph doesn't name it (a messenger may have taken that out), by its model
    #[arg(long, value_name = "CAMERA", requires = "cameras")]
    pub taken_with: Option<String>,
    /// Find each ± a second way too: measure so many times again what might as well have been seen of the card and the outline (20 to 5000; always the same
    /// draws)
    #[arg(long, value_name = "ROUNDS", value_parser = rounds)]
    pub bootstrap: Option<usize>,
    /// Write a copy of the photograph with what was seen drawn over it, as PNG
    #[arg(long, value_name = "FILE")]
    pub overlay: Option<PathBuf>,
    /// Print JSON for another program
    #[arg(long)]
    pub json: bool,
}

pub(super) fn points(text: &str, most: usize) -> Result<Vec<Point>, String> {
    let words: Vec<&str> = text.split_whitespace().collect();
    if words.len() != most {
        return Err(format!("that is {} points, not {most} (write them as \"x,y x,y …\", in pixels from the top left)", words.len()));
    }
    words
        .into_iter()
        .map(|word| {
            let number = |s: &str| s.parse::<f64>().ok().filter(|n| n.is_finite());
            word.split_once(',')
                .and_then(|(x, y)| Some(Point::new(number(x)?, number(y)?)))
                .ok_or_else(|| format!("'{word}' is not a point (write 120,85.5)"))
        })
        .collect()
}

fn four(text: &str) -> Result<[Point; 4], String> {
    points(text, 4)?.try_into().map_err(|got: Vec<Point>| format!("four points are needed, not {}", got.len()))
}

fn two(text: &str) -> Result<[Point; 2], String> {
    points(text, 2)?.try_into().map_err(|got: Vec<Point>| format!("two points are needed, not {}", got.len()))
}

/// Points on coins.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum OnCoins {
    /// On the only one.
    One(Point),
    /// On each of two.
    Two([Point; 2]),
}

fn one_or_two(text: &str) -> Result<OnCoins, String> {
    if text.split_whitespace().count() > 1 {
        two(text).map(OnCoins::Two)
    } else {
        points(text, 1)?.first().copied().map(OnCoins::One).ok_or_else(String::new)
    }
}

fn rim_height(text: &str) -> Result<f64, String> {
    text.parse::<f64>()
        .ok()
        .filter(|n| (-200.0..=400.0).contains(n))
        .ok_or_else(|| "that is not a height from -200 to 400 mm (write 12.5)".to_owned())
}

fn wall(text: &str) -> Result<f64, String> {
    text.parse::<f64>()
        .ok()
        .filter(|n| (0.5..=50.0).contains(n))
        .ok_or_else(|| "that is not a thickness from 0.5 to 50 mm (write 4.5)".to_owned())
}

fn rounds(text: &str) -> Result<usize, String> {
    text.parse()
        .ok()
        .filter(|n| (LEAST_ROUNDS..=MOST_ROUNDS).contains(n))
        .ok_or_else(|| format!("that is not a number of rounds from {LEAST_ROUNDS} to {MOST_ROUNDS} (write 200)"))
}
