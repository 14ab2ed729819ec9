//! Areas of a picture, and what is in them.

use crate::colour::linear_from_srgb;
use crate::say;
use image::{GrayImage, RgbImage};
use std::sync::LazyLock;
use thiserror::Error;

/// A part of a picture, in pixels of the upright photograph.
#[derive(Debug, Clone, PartialEq)]
pub enum Area {
    /// A rectangle.
    Rect {
        /// Left edge.
        left: u32,
        /// Top edge.
        top: u32,
        /// Width.
        width: u32,
        /// Height.
        height: u32,
    },
    /// The inside of a polygon of three corners or more (even–odd rule); a pixel belongs to it by its middle.
    Polygon(Vec<[f64; 2]>),
    /// Where a mask of the picture's size is not black.
    Mask(GrayImage),
}

/// Why an area gives no colour. Each is a sentence that begins with what the area is for.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum SamplingError {
    /// It reaches past the edge.
    #[error("{}", say!("the area of the {what} is not within the picture of {width} × {height} pixels (give left, top, width and height in pixels)", what, width, height))]
    Outside {
        /// 'white' or 'glaze'.
        what: &'static str,
        /// Width of the picture.
        width: u32,
        /// Height of the picture.
        height: u32,
    },
    /// Too few pixels.
    #[error("{}", say!("the area of the {what} has {pixels} pixels; at least {least} are needed (take a larger one, or a picture from nearer)", what, pixels, least))]
    TooSmall {
        /// 'white' or 'glaze'.
        what: &'static str,
        /// Pixels in it.
        pixels: usize,
        /// Fewest.
        least: usize,
    },
    /// Overexposed.
    #[error("{}", say!("the area of the {what} is overexposed: {percent:.0} % of it is as bright as the picture can be (take a darker picture, or an area without glare)", what, percent))]
    Clipped {
        /// 'white' or 'glaze'.
        what: &'static str,
        /// Share of pixels, in percent.
        percent: f64,
    },
    /// Too little light.
    #[error("{}", say!("the area of the {what} is too dark to read a colour from (take a lighter picture, or an area out of the shadow)", what))]
    TooDark {
        /// 'white' or 'glaze'.
        what: &'static str,
    },
    /// A shadow across the white.
    #[error("{}", say!("the area of the white is uneven: a shadow or an edge runs through it (take a smaller one, lit as the piece is)"))]
    Uneven,
    /// No white.
    #[error("{}", say!("the area of the white is too coloured for a white (choose the white border of the card, a grey patch or plain paper)"))]
    Coloured,
}

/// Channels from here up may be cut off. A choice of this program, no source.
const CLIPPED: u8 = 250;
/// A pixel no brighter than this in any channel is mostly noise. A choice of this program, no source.
const DARK: u8 = 8;
/// Most cells an area is averaged to.
const MOST_CELLS: f64 = 4096.0;

static LINEAR: LazyLock<Vec<f64>> = LazyLock::new(|| (0..=255u8).map(|c| linear_from_srgb(f64::from(c) / 255.0)).collect());

/// An area, averaged to small cells in linear light, so that the camera's noise is not taken for a spread of the glaze.
#[derive(Debug)]
pub(super) struct Cells {
    /// Mean linear light of each cell that has enough usable pixels, row by row.
    pub(super) linear: Vec<[f64; 3]>,
    /// Cells left out as cut off or dark.
    pub(super) unusable: usize,
}

impl Area {
    /// The least rectangle around it: left, top, right, bottom.
    fn bounds(&self, picture: &RgbImage, what: &'static str) -> Result<[u32; 4], SamplingError> {
        let (width, height) = picture.dimensions();
        let outside = || SamplingError::Outside { what, width, height };
        match self {
            Self::Rect { left, top, width: w, height: h } => {
                let right = left.checked_add(*w).filter(|r| *r <= width).ok_or_else(outside)?;
                let bottom = top.checked_add(*h).filter(|b| *b <= height).ok_or_else(outside)?;
                Ok([*left, *top, right, bottom])
            }
            Self::Polygon(corners) => {
                let within = |[x, y]: &[f64; 2]| (0.0..=f64::from(width)).contains(x) && (0.0..=f64::from(height)).contains(y);
                if corners.len() < 3 || !corners.iter().all(within) {
                    return Err(outside());
                }
                let low = |n: fn(&[f64; 2]) -> f64| corners.iter().map(n).fold(f64::INFINITY, f64::min).floor() as u32;
                let high = |n: fn(&[f64; 2]) -> f64| corners.iter().map(n).fold(0.0, f64::max).ceil() as u32;
                Ok([low(|c| c[0]), low(|c| c[1]), high(|c| c[0]).min(width), high(|c| c[1]).min(height)])
            }
            Self::Mask(mask) if mask.dimensions() == (width, height) => Ok([0, 0, width, height]),
            Self::Mask(_) => Err(outside()),
        }
    }

    fn holds(&self, x: u32, y: u32) -> bool {
        match self {
            Self::Rect { .. } => true,
            Self::Mask(mask) => mask.get_pixel_checked(x, y).is_some_and(|p| p.0 != [0]),
            Self::Polygon(corners) => {
                let (x, y) = (f64::from(x) + 0.5, f64::from(y) + 0.5);
                let ends = corners.iter().zip(corners.iter().cycle().skip(1));
                ends.filter(|&(&[x0, y0], &[x1, y1])| (y0 > y) != (y1 > y) && x < x0 + (x1 - x0) * (y - y0) / (y1 - y0)).count() % 2 == 1
            }
        }
    }

    /// What is in it.
    ///
    /// # Errors
    /// Outside, too small, cut off or dark: more than `most_clipped` of its pixels as bright as can be, or hardly any usable.
    pub(super) fn cells(&self, picture: &RgbImage, what: &'static str, least: usize, most_clipped: f64) -> Result<Cells, SamplingError> {
        let [left, top, right, bottom] = self.bounds(picture, what)?;
        let (wide, high) = (right.saturating_sub(left), bottom.saturating_sub(top));
        let side = (f64::from(wide) * f64::from(high) / MOST_CELLS).sqrt().ceil().max(1.0) as u32;
        let (mut pixels, mut clipped, mut dark) = (0_usize, 0_usize, 0_usize);
        let mut cells = Cells { linear: Vec::new(), unusable: 0 };
        for cell_top in (top..bottom).step_by(side as usize) {
            for cell_left in (left..right).step_by(side as usize) {
                let (mut sum, mut used, mut all) = ([0.0; 3], 0_usize, 0_usize);
                for y in cell_top..(cell_top + side).min(bottom) {
                    for x in cell_left..(cell_left + side).min(right) {
                        let Some(pixel) = picture.get_pixel_checked(x, y).filter(|_| self.holds(x, y)) else { continue };
                        all += 1;
                        let most = pixel.0.into_iter().max().unwrap_or_default();
                        if most >= CLIPPED {
                            clipped += 1;
                        } else if most <= DARK {
                            dark += 1;
                        } else {
                            used += 1;
                            for (sum, c) in sum.iter_mut().zip(pixel.0) {
                                *sum += LINEAR.get(usize::from(c)).copied().unwrap_or_default();
                            }
                        }
                    }
                }
                pixels += all;
                if used * 2 > all {
                    cells.linear.push(sum.map(|s| s / used as f64));
                } else if all > 0 {
                    cells.unusable += 1;
                }
            }
        }
        if pixels < least {
            return Err(SamplingError::TooSmall { what, pixels, least });
        }
        let share = clipped as f64 / pixels as f64;
        if share > most_clipped {
            return Err(SamplingError::Clipped { what, percent: 100.0 * share });
        }
        if cells.linear.is_empty() || dark * 2 > pixels {
            return Err(SamplingError::TooDark { what });
        }
        Ok(cells)
    }
}

/// The value that a share of the sorted values lies below; 0 for none.
pub(super) fn quantile(sorted: &[f64], share: f64) -> f64 {
    let n = (share * sorted.len().saturating_sub(1) as f64).round() as usize;
    sorted.get(n).copied().unwrap_or_default()
}
