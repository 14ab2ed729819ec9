//! From a photograph to measurements, in steps that can be kept: the picture laid out for looking, the scale, the outline.

use super::Photo;
use super::Progress;
use super::camera::{Believed, Camera, CameraName, Cameras, KnownLens, Lens, LensError, Measured, ScaleError, Written};
use super::card::{self, CardError, CardFit, Shades};
use super::coin::{self, CoinError, CoinFit};
use super::outline::{Above, AboveOptions, Beside, OutlineError, measure_above};
use crate::say;
use kurbo::Point;
use std::sync::Arc;

/// Pixels along the longer side of the picture that is searched.
const SMALL_PX: usize = 1000;
/// Pixels along the longer side, at most, of the picture that is measured on.
const WHOLE_PX: usize = 3000;
/// From above a card is seen no further aslant than this, in degrees: a person who means to look straight down is off by 20 or so, and a card that leans on
/// something can't be told from one that lies but by this (our own estimate).
const MOST_ASLANT_DEGREES: f64 = 40.0;

/// Why nothing was measured.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum MeasureError {
    /// The card.
    #[error(transparent)]
    Card(#[from] CardError),
    /// A coin.
    #[error(transparent)]
    Coin(#[from] CoinError),
    /// The length that was given.
    #[error(transparent)]
    Scale(#[from] ScaleError),
    /// The outline.
    #[error(transparent)]
    Outline(#[from] OutlineError),
    /// The card is seen from far aslant where the picture should be taken from above.
    #[error("{}", say!("the card is seen {degrees:.0}° aslant, so it may not lie in the plane of the piece (lay it flat beside the rim and photograph both from above)", degrees))]
    CardAslant {
        /// Between the line of sight and what stands square on the card, in degrees.
        degrees: f64,
    },
    /// The picture has no size.
    #[error(transparent)]
    Lens(#[from] LensError),
    /// Too small to measure on.
    #[error("{}", say!("the picture is only {width} × {height} pixels (600 along the longer side are needed to measure)", width, height))]
    Tiny {
        /// Width in pixels.
        width: u32,
        /// Height in pixels.
        height: u32,
    },
    /// So many rounds say nothing, or take for ever.
    #[error("{}", say!("'{rounds}' rounds are too few or too many to tell a spread by (write {least} to {most})", rounds, least = super::LEAST_ROUNDS, most = super::MOST_ROUNDS))]
    Rounds {
        /// How many were asked for.
        rounds: usize,
    },
    /// Measuring again tells no spread.
    #[error("{}", say!("measuring again tells no spread here (it needs a card or two coins for the tilt, and an outline in half of the rounds)"))]
    NoSpread,
    /// Stopped by the one who asked.
    #[error("{}", say!("stopped"))]
    Stopped,
}

/// A photograph laid out for looking, and the lens as its straight edges show it. Making one takes some tenths of a second for 12 megapixels.
#[derive(Debug, Clone)]
pub struct Prepared {
    /// For searching.
    pub small: Arc<Shades>,
    /// For measuring.
    pub whole: Arc<Shades>,
    /// What the camera wrote of itself.
    pub written: Written,
    /// What the picture's straight edges say of its lens's distortion.
    pub straight: Option<Measured>,
    /// What other pictures of the same camera say of it.
    pub known: Option<KnownLens>,
    /// The lens by all of that.
    pub believed: Believed,
}

/// What gives the scale.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum ScaleBy {
    /// A bank card that is looked for.
    FoundCard,
    /// A bank card whose four corners are given in pixels, round the card.
    Corners([Point; 4]),
    /// Two points in pixels, and the length between them in mm.
    Length([Point; 2], f64),
    /// A coin, by a pixel on it and its diameter in mm.
    Coin(Point, f64),
    /// Two coins of the same diameter in mm, by a pixel on each.
    Coins([Point; 2], f64),
}

/// A camera and what placed it.
#[derive(Debug, Clone)]
pub struct Scaled {
    /// The camera.
    pub camera: Camera,
    /// The card, where it was one.
    pub card: Option<CardFit>,
    /// The coins, where it was coins.
    pub coins: Option<CoinFit>,
    /// Relative standard deviation of a length where the scale was taken.
    pub scale_sd: f64,
}

impl Scaled {
    /// Whether it is known how the camera was tilted: a length says nothing of it, one coin not to which side.
    pub fn tilt_known(&self) -> bool {
        self.card.is_some() || self.coins.as_ref().is_some_and(|coins| coins.other.is_none())
    }
}

impl Prepared {
    /// Lays a photograph out; nothing is known of its camera but what it says itself.
    ///
    /// # Errors
    /// [`MeasureError::Tiny`] below 600 pixels, [`MeasureError::Stopped`].
    pub fn of(photo: &Photo, progress: &Progress) -> Result<Self, MeasureError> {
        let (width, height) = (photo.width(), photo.height());
        if width.max(height) < 600 {
            return Err(MeasureError::Tiny { width, height });
        }
        let (small, whole) = rayon::join(|| Shades::of(photo.pixels(), SMALL_PX), || Shades::of(photo.pixels(), WHOLE_PX));
        stop(progress)?;
        let (w, h) = (f64::from(width), f64::from(height));
        let written = Written::of(photo.bytes(), w, h);
        let believed = Believed::of_picture(&written, w, h)?;
        let straight = card::by_straight_edges(&small, &whole, &believed.lens);
        stop(progress)?;
        let believed = believed.and_straight(straight);
        Ok(Self { small: Arc::new(small), whole: Arc::new(whole), written, straight, known: None, believed })
    }

    /// The same picture by what other pictures of its camera say of the lens. `taken_with` is the camera where the person says it; left out, it is the one
    /// that the picture names. `picture` is the picture's own name among those the cameras are known by: it is not asked about itself.
    #[must_use]
    pub fn with_known(&self, cameras: &Cameras, taken_with: Option<&CameraName>, picture: &str) -> Self {
        let camera = taken_with.or(self.written.name.as_ref());
        let known = camera.and_then(|camera| cameras.lens(camera, picture));
        let Lens { width_px, height_px, .. } = self.believed.lens;
        // A camera that is named by the person tells the focal length where the picture doesn't.
        let focal_px = camera.and_then(|camera| camera.focal_35_mm).and_then(|mm| Lens::of_35mm(width_px, height_px, f64::from(mm)).ok());
        let written = Written { focal_px: self.written.focal_px.or(focal_px.map(|lens| lens.focal_px)), ..self.written.clone() };
        let Ok(own) = Believed::of_picture(&written, width_px, height_px) else { return self.clone() };
        let believed = known.map_or(own, |known| own.known_by(known)).and_straight(self.straight);
        Self { known, believed, ..self.clone() }
    }

    /// The camera.
    ///
    /// # Errors
    /// [`MeasureError::Card`], [`MeasureError::Coin`] or [`MeasureError::Scale`], in whose message stands what to do.
    pub fn scaled(&self, by: &ScaleBy) -> Result<Scaled, MeasureError> {
        let by_card = |fit: CardFit| Scaled { camera: fit.camera.clone(), scale_sd: fit.scale_sd(), card: Some(fit), coins: None };
        match by {
            ScaleBy::FoundCard => Ok(by_card(card::find(&self.small, &self.whole, &self.believed)?)),
            ScaleBy::Corners(px) => Ok(by_card(by_corners(&self.whole, &self.believed, *px)?)),
            ScaleBy::Length(px, mm) => {
                let camera = Camera::by_length(&self.believed, *px, *mm)?;
                let [a, b] = *px;
                let length = |placed: &super::camera::Placed| Some(vec![(placed.on_plane(a, 0.0)? - placed.on_plane(b, 0.0)?).hypot()]);
                let sd = camera.spread(length).and_then(|c| c.get((0, 0)).copied()).map_or(f64::INFINITY, f64::sqrt);
                Ok(Scaled { scale_sd: sd / mm, camera, card: None, coins: None })
            }
            ScaleBy::Coin(px, mm) => self.by_coins(&[*px], *mm),
            ScaleBy::Coins(px, mm) => self.by_coins(px, *mm),
        }
    }

    /// The outline from above.
    ///
    /// # Errors
    /// [`MeasureError::Outline`], in whose message stands what to do, and [`MeasureError::CardAslant`].
    pub fn above(&self, scaled: &Scaled, options: &AboveOptions, progress: &Progress) -> Result<Above, MeasureError> {
        if scaled.card.is_some() {
            let eye = scaled.camera.placed.eye_mm();
            let degrees = eye.x.hypot(eye.y).atan2(eye.z.abs()).to_degrees();
            if degrees > MOST_ASLANT_DEGREES {
                return Err(MeasureError::CardAslant { degrees });
            }
        }
        let beside = if scaled.card.is_some() { options.beside } else { Beside::Nothing };
        let options = AboveOptions { beside, ..options.clone() };
        let above = |camera: &Camera| measure_above(&self.small, &self.whole, camera, &options, progress);
        let one = above(&scaled.camera)?;
        // Where the tilt is as likely the other way, what comes out lies between what both make of it.
        match scaled.coins.as_ref().and_then(|coins| coins.other.as_ref()) {
            Some(other) => Ok(one.or(&above(other)?)),
            None => Ok(one),
        }
    }

    fn by_coins(&self, on_px: &[Point], diameter_mm: f64) -> Result<Scaled, MeasureError> {
        let fit = coin::fit(&self.whole, &self.believed, on_px, diameter_mm)?;
        Ok(Scaled { camera: fit.camera.clone(), scale_sd: fit.scale_sd, card: None, coins: Some(fit) })
    }
}

/// The card by corners given in any order: they are put round their middle, and the turn that fits a card best is taken.
fn by_corners(whole: &Shades, believed: &Believed, px: [Point; 4]) -> Result<CardFit, CardError> {
    let middle = px.iter().fold(kurbo::Vec2::ZERO, |sum, p| sum + p.to_vec2()) / 4.0;
    let mut round = px;
    round.sort_by(|p, q| (p.to_vec2() - middle).atan2().total_cmp(&(q.to_vec2() - middle).atan2()));
    let [a, b, c, d] = round;
    let tried = [[a, b, c, d], [b, c, d, a]].map(|corners| card::fit(whole, believed, corners));
    match tried {
        [Ok(one), Ok(other)] => Ok(if one.residual_px <= other.residual_px { one } else { other }),
        [Ok(one), Err(_)] | [Err(_), Ok(one)] => Ok(one),
        [Err(one), Err(other)] => Err(if one == CardError::NotACard { other } else { one }),
    }
}

fn stop(progress: &Progress) -> Result<(), MeasureError> {
    if progress.is_cancelled() { Err(MeasureError::Stopped) } else { Ok(()) }
}
