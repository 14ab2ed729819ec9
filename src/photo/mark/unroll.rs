//! A mark unrolled: its ring found or given, its arcs and lines laid straight.

use super::arcs::{self, Lie, Round};
use super::error::MarkError;
use super::find::{FoundRing, LEAST_RINGNESS, LEAST_SEEN, check_size, likeliest_in};
use super::lines::{self, Inked, direction, gathered, inked};
use super::plane::Plane;
use super::ring::{Ring, RingKind};
use super::strip::{Strip, StripPlace};
use super::strokes::Strokes;
use crate::photo::Progress;
use image::RgbImage;
use kurbo::{Affine, Point, Vec2};
use std::f64::consts::{FRAC_PI_2, PI};

/// What is known beforehand.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct UnrollOptions {
    /// Where the mark lies.
    pub by: MarkBy,
    /// Which way it stands.
    pub up: UpBy,
    /// How its letters lie round the ring.
    pub arcs: ArcsBy,
}

/// Where the mark lies.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub enum MarkBy {
    /// It is looked for: a ring, or straight lines where there is no ring.
    #[default]
    Found,
    /// On this ring: the outermost of what is drawn, as two or three handles set it.
    Ring(Ring),
    /// It has straight lines only.
    Lines,
}

/// Which way the mark stands.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub enum UpBy {
    /// By its gaps and its lines, within 75° of the photograph's own.
    #[default]
    Found,
    /// Turned clockwise by so many radians.
    Turned(f64),
}

/// How the letters lie round a ring.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub enum ArcsBy {
    /// As their stems tell.
    #[default]
    Found,
    /// An upper arc with heads outward, a lower one with heads inward, parted where the print has gaps.
    Two,
    /// All round with heads outward.
    One,
    /// An upper and a lower arc that part at these angles, clockwise from the right in radians: on the left, on the right.
    Parted(f64, f64),
}

/// A mark laid out.
#[derive(Debug, Clone, PartialEq)]
pub struct Unrolled {
    /// The ring, where there is one: the outermost of what is drawn.
    pub ring: Option<Ring>,
    /// Between which distances from the ring letters stand on it, in pixels, outward: feet, then heads. Both 0 without letters on a ring.
    pub band_px: (f64, f64),
    /// How far the mark is turned clockwise in the photograph.
    pub turned_rad: f64,
    /// How sure the strips stand upright rather than on their heads: above 2 is sure, below −2 means that the photograph should be turned round.
    pub upright: f64,
    /// How much the ring stands out from the next best; 1 where it was given, 0 where there is none.
    pub surety: f64,
    /// The strips in the order in which they are read: upper arc, straight lines from the top down, lower arc.
    pub strips: Vec<Strip>,
}

/// Lays a mark out.
///
/// An ellipse corrects the slant of the camera and, near the ring, the hollow of the base. What it does not correct: that the near side of a slanted base is
/// shown larger than the far side, and on a strongly hollow or domed base the lines in the middle, which are then a little bent.
///
/// # Errors
/// [`MarkError`] where nothing that reads was found, and why; [`MarkError::Stopped`].
pub fn unroll(photo: &RgbImage, options: &UnrollOptions, progress: &Progress) -> Result<Unrolled, MarkError> {
    check_size(photo)?;
    let strokes = Strokes::of(photo);
    progress.report(1, 1, 0, 100);
    let all = gathered(inked(&strokes.drawn, |_| true));
    match options.by {
        MarkBy::Lines => straight(&strokes, &all, options.up),
        MarkBy::Ring(ring) => {
            let inside = |p: &Point| p.x >= 0.0 && p.y >= 0.0 && p.x <= f64::from(photo.width()) && p.y <= f64::from(photo.height());
            let held = ring.outline(48).iter().filter(|p| inside(p)).count();
            if !ring.centre.is_finite() || ring.minor < 8.0 || held < 36 || !inside(&ring.centre) {
                return Err(MarkError::RingOutside);
            }
            let found = FoundRing { ring, ringness: 1.0, surety: 1.0, seen: 1.0 };
            round(&strokes, found, options)
        }
        MarkBy::Found => {
            let likeliest = match likeliest_in(&strokes, progress) {
                Err(e @ (MarkError::Blank | MarkError::Stopped)) => return Err(e),
                likeliest => likeliest,
            };
            let laid = |ringness, seen| {
                let found = likeliest.as_ref().ok().and_then(|likeliest| likeliest.if_at_least(ringness, seen));
                found.ok_or(MarkError::NoRing).and_then(|found| round(&strokes, found, options))
            };
            laid(LEAST_RINGNESS, LEAST_SEEN).or_else(|no_ring| match straight(&strokes, &all, options.up) {
                // Lines that are blocks are no lines: a ring that is hard to see is likelier then.
                Ok(lines) if has_blocks(&lines) => Ok(laid(FAINT_RINGNESS, FAINT_SEEN).unwrap_or(lines)),
                // Where there are no lines either, it is the ring that a person can set.
                lines => lines.map_err(|_no_lines| no_ring),
            })
        }
    }
}

/// What a ring must have that is taken where straight lines come out as blocks. Choices of this program, tried on the demo's marks and others drawn by lot.
const FAINT_RINGNESS: f64 = 0.35;
const FAINT_SEEN: f64 = 0.4;
/// A strip as wide as any that is higher than this share of its width is more than a line of letters.
const BLOCK: f64 = 0.36;

fn has_blocks(lines: &Unrolled) -> bool {
    let widest = lines.strips.iter().map(|strip| strip.width).max().unwrap_or(0);
    lines.strips.iter().any(|strip| 5 * strip.width > 4 * widest && f64::from(strip.height) > BLOCK * f64::from(strip.width))
}

/// Height of letters in a strip, at least, and most times larger than in the photograph.
const LETTER_PX: f64 = 48.0;
const MOST_LARGER: f64 = 4.0;

fn round(strokes: &Strokes, found: FoundRing, options: &UnrollOptions) -> Result<Unrolled, MarkError> {
    let fine = &strokes.drawn;
    let ring = found.ring.moved(1.0 / strokes.scale, Vec2::ZERO);
    let given = matches!(options.by, MarkBy::Ring(_));
    let band = match arcs::band(fine, &ring) {
        Some(band) => band,
        None if given => (-0.3 * ring.minor, 0.0),
        None => return Err(MarkError::NoRing),
    };
    let lie_round = Round::of(fine, &ring, band);
    let middle = middle_of(fine, &ring, band.0);
    let up = match options.up {
        UpBy::Turned(turned) if turned.is_finite() => turned - FRAC_PI_2,
        _ => arcs::up(&lie_round, &ring, &middle),
    };
    let two = match options.arcs {
        ArcsBy::Parted(left, right) => {
            let right = left + (right - left).rem_euclid(std::f64::consts::TAU);
            Lie::Two((left, right), (right, left + std::f64::consts::TAU))
        }
        _ => arcs::two(&lie_round, up),
    };
    let Lie::Two(_, below) = two else { return Err(MarkError::NoRing) };
    let heads_out = |ends| arcs::upright(&arcs::laid(fine, &ring, band, ends));
    let lie = match options.arcs {
        ArcsBy::One => arcs::one(&lie_round, up),
        ArcsBy::Found if heads_out(below) + 1.5 * arcs::open_below(&lie_round, up) > 0.5 => arcs::one(&lie_round, up),
        _ => two,
    };
    let scale = strokes.scale;
    let full = found.ring;
    let (feet, heads) = (band.0 * scale, band.1 * scale);
    let larger = (LETTER_PX / (heads - feet).max(1.0)).clamp(1.0, MOST_LARGER);
    let room = 0.22 * (heads - feet);
    let (top, low) = (heads + room, feet - room);
    let lines = middle_strips(strokes, &ring, &middle, up, larger);
    let (strips, upright) = match lie {
        Lie::One(ends) => {
            let mut strips = vec![Strip::along(full, StripPlace::Ring, ends, (top, low), larger)];
            strips.extend(lines);
            (strips, heads_out(ends))
        }
        Lie::Two(above, below) => {
            let mut strips = vec![Strip::along(full, StripPlace::ArcAbove, above, (top, low), larger)];
            strips.extend(lines);
            // Read the other way round: from the left end, and from its heads, which are inward.
            strips.push(Strip::along(full, StripPlace::ArcBelow, (below.1, below.0), (low, top), larger));
            (strips, heads_out(above) - heads_out(below))
        }
    };
    Ok(Unrolled { ring: Some(full), band_px: (feet, heads), turned_rad: up + FRAC_PI_2, upright, surety: found.surety, strips })
}

/// What is drawn within the letters of a ring, with a little room, in cells.
fn middle_of(fine: &Plane, ring: &Ring, feet: f64) -> Vec<Inked> {
    let inner = super::find::moved_out(ring, feet - 0.13 * ring.minor);
    inked(fine, |p| inner.place_of(p).1 < 0.0)
}

/// The straight lines in the middle of a ring, the ring's slant taken out.
fn middle_strips(strokes: &Strokes, ring: &Ring, middle: &[Inked], up: f64, larger: f64) -> Vec<Strip> {
    if middle.len() < 40 {
        return Vec::new();
    }
    // On the round mark that a slanted ring pictures, lines run straight and square to up.
    let flat_from_photo = if ring.kind == RingKind::Round { flattening(ring) } else { Affine::IDENTITY };
    let flat: Vec<Inked> = middle.iter().map(|i| Inked { place: flat_from_photo * i.place, ink: i.ink }).collect();
    let along = direction(&flat, Some(up + FRAC_PI_2));
    strips_of(&flat, along, flat_from_photo.inverse(), strokes.scale, larger)
}

/// The affinity that makes a slanted ring round again, its middle and its area kept.
fn flattening(ring: &Ring) -> Affine {
    let turn = Affine::rotate_about(ring.turn_rad, ring.centre);
    let c = ring.centre.to_vec2();
    let r = ring.radius();
    turn * Affine::translate(c) * Affine::scale_non_uniform(r / ring.major, r / ring.minor) * Affine::translate(-c) * turn.inverse()
}

/// Strips of all lines along a direction. `photo_from_flat` leads from the cells of the ink to those of the strokes.
fn strips_of(ink: &[Inked], along: f64, photo_from_flat: Affine, scale: f64, larger: f64) -> Vec<Strip> {
    lines::lines(ink, along)
        .into_iter()
        .map(|line| {
            let high = line.bottom - line.top;
            let room = 0.25 * high;
            let larger = (LETTER_PX / (high * scale).max(1.0)).clamp(1.0, MOST_LARGER).max(larger.min(LETTER_PX / 12.0));
            let (left, top) = (line.left - room, line.top - room);
            let (width, height) = (line.right - line.left + 2.0 * room, high + 2.0 * room);
            let cells = 1.0 / (larger * scale);
            let way = Affine::scale(scale)
                * photo_from_flat
                * Affine::rotate(along)
                * Affine::translate(Vec2::new(left, top))
                * Affine::scale(cells);
            Strip::straight(way, width / cells, height / cells)
        })
        .collect()
}

fn straight(strokes: &Strokes, all: &[Inked], up: UpBy) -> Result<Unrolled, MarkError> {
    if all.len() < 60 {
        return Err(MarkError::NoLines);
    }
    let along = match up {
        UpBy::Turned(turned) if turned.is_finite() => direction(all, Some(turned)),
        _ => direction(all, None),
    };
    let strips = strips_of(all, along, Affine::IDENTITY, strokes.scale, 1.0);
    if strips.is_empty() {
        return Err(MarkError::NoLines);
    }
    let upright = strips
        .iter()
        .map(|s| {
            arcs::upright(&Plane::from_fn(s.width as usize / 2, s.height as usize / 2, |x, y| {
                let p = s.photo_from_strip(Point::new(2.0 * x as f64 + 1.0, 2.0 * y as f64 + 1.0));
                strokes.drawn.inside(p.x / strokes.scale, p.y / strokes.scale)
            }))
        })
        .sum();
    Ok(Unrolled { ring: None, band_px: (0.0, 0.0), turned_rad: super::ring::wrapped(along).clamp(-PI, PI), upright, surety: 0.0, strips })
}
