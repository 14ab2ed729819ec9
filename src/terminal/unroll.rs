//! `footring unroll`

use super::cli_unroll::{RingPoints, StripArcs, StripContrast, Unroll as Asked};
use super::outcome::{Outcome, Trouble};
use super::page::{plain, say};
use super::photograph::opened;
use crate::photo::mark::{
    ArcsBy, Contrast, HOW_TO_GET_A_READER, MarkBy, Reader, Reading, Relief, Ring, RingKind, StripPlace, Tone, UnrollOptions, Unrolled,
    UpBy, enhanced, relief, unroll,
};
use crate::photo::{Photo, Progress};
use image::{DynamicImage, GrayImage, Rgb, RgbImage, imageops};
use serde::Serialize;
use std::io::Write;
use std::sync::Arc;
use std::time::Duration;

/// White between the strips.
const GAP_PX: u32 = 10;
/// How long the reader may take for a strip.
const MOST_READING: Duration = Duration::from_secs(20);

pub(super) fn run(asked: &Asked, out: &mut dyn Write, err: &mut dyn Write) -> Result<Outcome, Trouble> {
    let photo = opened(&asked.photo, err)?;
    let wrong = |e: &dyn std::fmt::Display| Trouble::Problem(format!("'{}': {e}", photo.name()));
    let options = options(asked);
    let mut lit = None;
    if !asked.with.is_empty() {
        let others = asked.with.iter().map(|file| opened(file, err)).collect::<Result<Vec<Photo>, Trouble>>()?;
        let all: Vec<&RgbImage> = std::iter::once(&photo).chain(&others).map(|p| p.pixels().as_ref()).collect();
        lit = Some(relief(&all, Relief::Difference, &Progress::new()).map_err(|e| wrong(&e))?.relief);
    }
    // A relief is looked at for its mark like a photograph.
    let looked_at: Arc<RgbImage> = match &lit {
        Some(relief) => Arc::new(DynamicImage::ImageLuma8(relief.clone()).into_rgb8()),
        None => Arc::clone(photo.pixels()),
    };
    let found = unroll(&looked_at, &options, &Progress::new()).map_err(|e| wrong(&e))?;
    let strips = drawn(asked, &looked_at, lit, &found);
    let (sheet, tops) = stacked(&strips);
    sheet
        .save_with_format(&asked.out, image::ImageFormat::Png)
        .map_err(|e| Trouble::Misuse(format!("'{}' can't be written: {e}", asked.out.display())))?;
    let readings = if asked.read { read(&looked_at, &found, err) } else { Vec::new() };
    let report = Report::of(&found, &tops, readings);
    if asked.json { super::json(&report, out) } else { report.print(out) }
}

fn options(asked: &Asked) -> UnrollOptions {
    let by = match (asked.centre, asked.ring) {
        (Some(centre), Some(RingPoints::Round(on))) => MarkBy::Ring(Ring::through(centre, on)),
        (Some(centre), Some(RingPoints::Oval(end, side))) => MarkBy::Ring(Ring::oval_through(centre, end, side)),
        _ if asked.arcs == Some(StripArcs::None) => MarkBy::Lines,
        _ => MarkBy::Found,
    };
    let arcs = match asked.arcs {
        Some(StripArcs::Two) => ArcsBy::Two,
        Some(StripArcs::One) => ArcsBy::One,
        Some(StripArcs::None) | None => ArcsBy::Found,
    };
    UnrollOptions { by, up: asked.turned.map_or(UpBy::Found, |degrees| UpBy::Turned(degrees.to_radians())), arcs }
}

/// The strips as they are to be seen.
fn drawn(asked: &Asked, photo: &RgbImage, lit: Option<GrayImage>, found: &Unrolled) -> Vec<RgbImage> {
    let tone = if asked.invert { Tone::InkLight } else { Tone::InkDark };
    let how = match asked.contrast {
        StripContrast::None => None,
        StripContrast::Print => Some(Contrast { tone, ..Contrast::PRINT }),
        StripContrast::Faint => Some(Contrast { tone, ..Contrast::FAINT }),
    };
    let grey = match (lit, how) {
        (Some(mut relief), _) => {
            if asked.invert {
                imageops::invert(&mut relief);
            }
            Some(relief)
        }
        (None, Some(how)) => Some(enhanced(photo, &how)),
        (None, None) => None,
    };
    let mut strips: Vec<RgbImage> = match &grey {
        Some(grey) => found.strips.iter().map(|s| DynamicImage::ImageLuma8(s.grey(grey)).into_rgb8()).collect(),
        None => found.strips.iter().map(|s| s.picture(photo)).collect(),
    };
    if asked.invert && grey.is_none() {
        strips.iter_mut().for_each(imageops::invert);
    }
    strips
}

/// One under the other on white, and where each begins.
fn stacked(strips: &[RgbImage]) -> (RgbImage, Vec<u32>) {
    let width = strips.iter().map(RgbImage::width).max().unwrap_or(1);
    let height: u32 = strips.iter().map(|s| s.height() + GAP_PX).sum::<u32>().saturating_sub(GAP_PX).max(1);
    let mut sheet = RgbImage::from_pixel(width, height, Rgb([255; 3]));
    let mut tops = Vec::new();
    let mut top = 0;
    for strip in strips {
        imageops::replace(&mut sheet, strip, 0, i64::from(top));
        tops.push(top);
        top += strip.height() + GAP_PX;
    }
    (sheet, tops)
}

/// What the reader makes of each strip; nothing, with a word on why, where it can't.
fn read(photo: &RgbImage, found: &Unrolled, err: &mut dyn Write) -> Vec<Option<Reading>> {
    let Some(reader) = Reader::found() else {
        say(err, HOW_TO_GET_A_READER);
        return Vec::new();
    };
    let grey = enhanced(photo, &Contrast::PRINT);
    let one = |strip: &crate::photo::mark::Strip| match reader.read(&strip.grey(&grey), MOST_READING, &Progress::new()) {
        Ok(reading) => Some(reading),
        Err(e) => {
            say(err, &e.to_string());
            None
        }
    };
    found.strips.iter().map(one).collect()
}

#[derive(Serialize)]
struct Report {
    /// The ring of the mark; null for a mark of straight lines.
    ring: Option<RingReport>,
    /// How far the mark is turned clockwise.
    turned_deg: f64,
    /// Above 2: the letters surely stand upright; below −2: on their heads.
    upright: f64,
    strips: Vec<StripReport>,
}

#[derive(Serialize)]
struct RingReport {
    kind: RingKind,
    centre_px: [f64; 2],
    major_px: f64,
    minor_px: f64,
    /// From the right to the major axis, clockwise.
    axis_deg: f64,
    /// Between which distances from the ring letters stand, outward: feet and heads.
    letters_px: [f64; 2],
    /// How much the ring stands out from the next best, 0 to 1.
    surety: f64,
}

#[derive(Serialize)]
struct StripReport {
    place: StripPlace,
    /// Where it lies in the file written.
    top_px: u32,
    width_px: u32,
    height_px: u32,
    /// Left and right end on the ring, clockwise from the right; null for a straight line.
    angles_deg: Option<[f64; 2]>,
    /// Its edge in the photograph.
    outline_px: Vec<[f64; 2]>,
    /// What the machine suggests, where it was asked.
    #[serde(skip_serializing_if = "Option::is_none")]
    suggestion: Option<Reading>,
}

impl Report {
    fn of(found: &Unrolled, tops: &[u32], readings: Vec<Option<Reading>>) -> Self {
        let tenth = |v: f64| (v * 10.0).round() / 10.0;
        let ring = found.ring.map(|ring| RingReport {
            kind: ring.kind,
            centre_px: [tenth(ring.centre.x), tenth(ring.centre.y)],
            major_px: tenth(ring.major),
            minor_px: tenth(ring.minor),
            axis_deg: tenth(ring.turn_rad.to_degrees()),
            letters_px: [tenth(found.band_px.0), tenth(found.band_px.1)],
            surety: (found.surety * 100.0).round() / 100.0,
        });
        let readings = readings.into_iter().chain(std::iter::repeat(None));
        let strips = found.strips.iter().zip(tops).zip(readings).map(|((strip, top), suggestion)| StripReport {
            place: strip.place,
            top_px: *top,
            width_px: strip.width,
            height_px: strip.height,
            angles_deg: strip.angles().map(|(a, b)| [tenth(a.to_degrees()), tenth(b.to_degrees())]),
            outline_px: strip.outline().iter().map(|p| [tenth(p.x), tenth(p.y)]).collect(),
            suggestion,
        });
        Self { ring, turned_deg: tenth(found.turned_rad.to_degrees()), upright: tenth(found.upright), strips: strips.collect() }
    }

    fn print(&self, out: &mut dyn Write) -> Result<Outcome, Trouble> {
        let mut line = |name: &str, text: String| writeln!(out, "{}", plain(&format!("{name:<13}{text}")));
        match &self.ring {
            Some(ring) => {
                let kind = if ring.kind == RingKind::Round { "round" } else { "oval" };
                let [x, y] = ring.centre_px;
                line("mark", format!("{kind}, middle at {x:.0},{y:.0}, half axes {:.0} and {:.0} pixels", ring.major_px, ring.minor_px))?;
            }
            None => line("mark", "straight lines, no ring of letters".to_owned())?,
        }
        let way = if self.turned_deg < 0.0 { "anticlockwise" } else { "clockwise" };
        line("turned", format!("{:.0} degrees {way}", self.turned_deg.abs()))?;
        if self.upright < -2.0 {
            line("upright", "probably not: turn the photograph round (--turned 180)".to_owned())?;
        }
        for strip in &self.strips {
            let size = format!("{} × {} pixels at {} from the top", strip.width_px, strip.height_px, strip.top_px);
            let read = strip.suggestion.as_ref().map_or_else(String::new, |s| {
                if s.text.is_empty() {
                    "; the machine reads nothing".to_owned()
                } else {
                    format!("; the machine suggests '{}' ({})", s.text, crate::key::percent(s.confidence))
                }
            });
            line(strip.place.name(), size + &read)?;
        }
        Ok(Outcome::Well)
    }
}
