//! One line of a mark laid straight and upright, to read from left to right.

use super::ring::Ring;
use crate::say;
use image::{GrayImage, Luma, Rgb, RgbImage};
use kurbo::{Affine, Point};
use rayon::prelude::*;
use serde::Serialize;

/// Where a line stood on the mark.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum StripPlace {
    /// Over the top, heads outward.
    ArcAbove,
    /// Straight in the middle, or a mark of straight lines.
    Straight,
    /// Along the bottom, heads inward.
    ArcBelow,
    /// All round, heads outward.
    Ring,
}

impl StripPlace {
    /// In words.
    pub fn name(self) -> &'static str {
        match self {
            Self::ArcAbove => say!("arc above"),
            Self::Straight => say!("straight"),
            Self::ArcBelow => say!("arc below"),
            Self::Ring => say!("ring"),
        }
    }
}

/// A straight strip: which photograph pixel each of its own shows. It holds no picture, so that it can be taken from the photograph and from any enhanced copy.
#[derive(Debug, Clone, PartialEq)]
pub struct Strip {
    /// Where the line stood.
    pub place: StripPlace,
    /// Width in pixels.
    pub width: u32,
    /// Height in pixels.
    pub height: u32,
    way: Way,
}

#[derive(Debug, Clone, PartialEq)]
enum Way {
    Arc(Box<Arc>),
    /// From the strip to the photograph.
    Flat(Affine),
}

#[derive(Debug, Clone, PartialEq)]
struct Arc {
    ring: Ring,
    /// Angle at each column's left edge, and at the last one's right.
    angles: Vec<f64>,
    /// Distance from the ring at the upper edge and at the lower.
    out: (f64, f64),
}

/// Most pixels along a strip.
const MOST_PX: f64 = 8000.0;

impl Strip {
    /// A strip along a ring from one angle to another (clockwise if the second is larger), its upper edge `out.0` pixels outside the ring, its lower `out.1`.
    pub(crate) fn along(ring: Ring, place: StripPlace, (from, to): (f64, f64), out: (f64, f64), scale: f64) -> Self {
        let middle = super::find::moved_out(&ring, f64::midpoint(out.0, out.1));
        let scale = scale.min(MOST_PX / middle.length(from, to).abs().max(1.0));
        let width = (middle.length(from, to).abs() * scale).round().max(1.0);
        let height = ((out.0 - out.1).abs() * scale).round().max(1.0);
        let angles = middle.even_angles(from, to, width as usize);
        Self { place, width: width as u32, height: height as u32, way: Way::Arc(Box::new(Arc { ring, angles, out })) }
    }

    /// A straight strip.
    pub(crate) fn straight(photo_from_strip: Affine, width: f64, height: f64) -> Self {
        let (width, height) = (width.round().clamp(1.0, MOST_PX), height.round().clamp(1.0, MOST_PX));
        Self { place: StripPlace::Straight, width: width as u32, height: height as u32, way: Way::Flat(photo_from_strip) }
    }

    /// Where the photograph shows a place of the strip, both in pixels from the top left corner.
    pub fn photo_from_strip(&self, p: Point) -> Point {
        match &self.way {
            Way::Flat(affine) => *affine * p,
            Way::Arc(arc) => {
                let at = p.x.clamp(0.0, f64::from(self.width));
                let k = at as usize;
                let (a, b) = (arc.angles.get(k), arc.angles.get(k + 1).or(arc.angles.get(k)));
                let round = a.zip(b).map_or(0.0, |(a, b)| a + (b - a) * at.fract());
                arc.ring.at(round, arc.out.0 + (arc.out.1 - arc.out.0) * p.y / f64::from(self.height))
            }
        }
    }

    /// Where the strip shows a place of the photograph; `None` where it does not.
    pub fn strip_from_photo(&self, p: Point) -> Option<Point> {
        let (w, h) = (f64::from(self.width), f64::from(self.height));
        let on = match &self.way {
            Way::Flat(affine) => affine.inverse() * p,
            Way::Arc(arc) => {
                let (round, out) = arc.ring.place_of(p);
                let (first, last) = (*arc.angles.first()?, *arc.angles.last()?);
                let (low, high) = (first.min(last), first.max(last));
                let round = low + (round - low).rem_euclid(std::f64::consts::TAU);
                if round > high {
                    return None;
                }
                let rising = last > first;
                let k = arc.angles.partition_point(|a| if rising { *a <= round } else { *a > round }).clamp(1, arc.angles.len().max(2) - 1);
                let (a, b) = (arc.angles.get(k - 1)?, arc.angles.get(k)?);
                let x = (k - 1) as f64 + if (b - a).abs() > 1e-12 { (round - a) / (b - a) } else { 0.0 };
                Point::new(x, (out - arc.out.0) / (arc.out.1 - arc.out.0) * h)
            }
        };
        ((0.0..=w).contains(&on.x) && (0.0..=h).contains(&on.y)).then_some(on)
    }

    /// Its angles from the right, clockwise, in radians, where it lies along a ring: left end and right end.
    pub fn angles(&self) -> Option<(f64, f64)> {
        match &self.way {
            Way::Arc(arc) => Some((*arc.angles.first()?, *arc.angles.last()?)),
            Way::Flat(_) => None,
        }
    }

    /// Its edge in the photograph, closed.
    pub fn outline(&self) -> Vec<Point> {
        let (w, h) = (f64::from(self.width), f64::from(self.height));
        let steps = 48;
        let share = |k: u32| f64::from(k) / f64::from(steps);
        let top = (0..=steps).map(|k| Point::new(w * share(k), 0.0));
        let low = (0..=steps).map(|k| Point::new(w * (1.0 - share(k)), h));
        top.chain(low).chain([Point::ZERO]).map(|p| self.photo_from_strip(p)).collect()
    }

    /// The strip in the photograph's colours. What lies outside the photograph repeats its edge.
    pub fn picture(&self, photo: &RgbImage) -> RgbImage {
        self.drawn(photo.as_raw(), photo.width(), photo.height(), RgbImage::new(self.width, self.height), Rgb)
    }

    /// The strip from a grey picture of the same size as the photograph.
    pub fn grey(&self, photo: &GrayImage) -> GrayImage {
        self.drawn(photo.as_raw(), photo.width(), photo.height(), GrayImage::new(self.width, self.height), |c: [u8; 1]| Luma(c))
    }

    fn drawn<const N: usize, P>(
        &self,
        raw: &[u8],
        width: u32,
        height: u32,
        mut out: image::ImageBuffer<P, Vec<u8>>,
        pixel: impl Fn([u8; N]) -> P + Sync,
    ) -> image::ImageBuffer<P, Vec<u8>>
    where
        P: image::Pixel<Subpixel = u8> + Send + Sync,
    {
        let (w, h) = (width as usize, height as usize);
        if w == 0 || h == 0 {
            return out;
        }
        let at = |x: usize, y: usize, c: usize| f64::from(raw.get((y * w + x) * N + c).copied().unwrap_or(0));
        let own = self.width as usize;
        let pixels: Vec<P> = (0..own * self.height as usize)
            .into_par_iter()
            .map(|k| {
                let p = self.photo_from_strip(Point::new((k % own) as f64 + 0.5, (k / own) as f64 + 0.5));
                let (x, y) = ((p.x - 0.5).clamp(0.0, (w - 1) as f64), (p.y - 0.5).clamp(0.0, (h - 1) as f64));
                let (i, j, fx, fy) = (x as usize, y as usize, x.fract(), y.fract());
                let (i2, j2) = ((i + 1).min(w - 1), (j + 1).min(h - 1));
                pixel(std::array::from_fn(|c| {
                    let top = at(i, j, c) * (1.0 - fx) + at(i2, j, c) * fx;
                    let low = at(i, j2, c) * (1.0 - fx) + at(i2, j2, c) * fx;
                    (top * (1.0 - fy) + low * fy).round() as u8
                }))
            })
            .collect();
        for (to, from) in out.pixels_mut().zip(pixels) {
            *to = from;
        }
        out
    }
}
