//! The work of measuring that runs off the frame.

use super::lens::LensBy;
use super::setup::{Setup, Subject};
use crate::daybook::Photograph;
use crate::desk::jobs::Progress;
use crate::key::{Feature, FeatureKind, Key};
use crate::photo::camera::{Cameras, KnownLens};
use crate::photo::outline::Above;
use crate::photo::sampling::{Area, ColourRead, SamplingError, White, sample};
use crate::photo::side::{self, SideSeen};
use crate::photo::{self, Edit, Limits, Photo, PhotoHash, Prepared, ScaleBy, Scaled, Store};
use crate::say;
use egui::ColorImage;
use kurbo::{Point, Rect};
use std::path::Path;
use std::sync::Arc;

/// What a job of measuring sends.
#[derive(Debug)]
pub enum Done {
    /// The photograph was opened and laid out, or a sentence says why not.
    Opened(PhotoHash, Result<Opened, String>),
    /// Something was measured; the number is that of the asking.
    Measured(u64, Box<Found>),
}

/// A photograph to measure on.
#[derive(Debug)]
pub struct Opened {
    /// For the screen.
    pub picture: ColorImage,
    /// The photograph itself.
    pub photo: Arc<Photo>,
    /// For measuring, by the photograph alone.
    pub prepared: Arc<Prepared>,
    /// What is known of cameras.
    pub known: Arc<KnownCameras>,
}

/// The cameras of the data folder.
#[derive(Debug)]
pub struct KnownCameras {
    /// All of them, with what this photograph says.
    pub cameras: Cameras,
    /// The photograph's own name among what they are known by.
    pub picture: String,
    /// What other photographs say of the lens that took this one.
    pub lens: Option<KnownLens>,
    /// Why they were not read or not kept.
    pub trouble: Option<String>,
}

impl KnownCameras {
    /// Reads the cameras and adds what a photograph says of its own. A file that is not understood is left as it is.
    fn with(photo: &Photo, prepared: &Prepared, file: &Path) -> Self {
        let picture = photo.hash().to_string();
        match Cameras::read(file) {
            Ok(mut cameras) => {
                let learnt = match (&prepared.written.name, prepared.straight) {
                    (Some(camera), Some(k1)) => cameras.learn(camera, &picture, k1),
                    _ => false,
                };
                let trouble = if learnt { cameras.write(file).err().map(|error| error.to_string()) } else { None };
                let lens = prepared.written.name.as_ref().and_then(|camera| cameras.lens(camera, &picture));
                Self { cameras, picture, lens, trouble }
            }
            Err(error) => Self { cameras: Cameras::default(), picture, lens: None, trouble: Some(error.to_string()) },
        }
    }
}

/// What was measured, or why not.
#[derive(Debug)]
pub struct Found {
    /// By what the scale was taken.
    pub by: ScaleBy,
    /// By what the lens was believed.
    pub(super) lens: LensBy,
    /// The scale. None where none was needed.
    pub scaled: Option<Result<Arc<Scaled>, String>>,
    /// What was seen; nothing where there is no scale.
    pub seen: Option<Result<Seen, String>>,
}

/// What was seen on the photograph.
#[derive(Debug)]
pub enum Seen {
    /// The outline from above.
    Above(Box<Above>),
    /// The solid from the side.
    Side(Box<SideSeen>),
    /// A colour.
    Colour(Box<ColourRead>),
}

impl Found {
    /// The scale, where there is one.
    pub(super) fn scale(&self) -> Option<&Arc<Scaled>> {
        self.scaled.as_ref()?.as_ref().ok()
    }

    pub(super) fn seen(&self) -> Option<&Seen> {
        self.seen.as_ref()?.as_ref().ok()
    }

    pub(super) fn above(&self) -> Option<&Above> {
        match self.seen()? {
            Seen::Above(above) => Some(above),
            Seen::Side(_) | Seen::Colour(_) => None,
        }
    }

    pub(super) fn side(&self) -> Option<&SideSeen> {
        match self.seen()? {
            Seen::Side(side) => Some(side),
            Seen::Above(_) | Seen::Colour(_) => None,
        }
    }

    pub(super) fn colour(&self) -> Option<&ColourRead> {
        match self.seen()? {
            Seen::Colour(colour) => Some(colour),
            Seen::Above(_) | Seen::Side(_) => None,
        }
    }
}

/// Opens a photograph of the store to be measured on.
pub(super) fn open(photograph: &Photograph, store: &Store, cameras: &Path, longest_side: u32, progress: &Progress) -> Done {
    let opened = store
        .open(photograph.hash, photograph.format, &photograph.name, &Limits::USUAL, &progress.for_photo())
        .map_err(|error| error.to_string())
        .and_then(|photo| {
            let picture = photo::preview(photo.pixels(), Edit::default(), longest_side);
            let picture = ColorImage::from_rgb([picture.width() as usize, picture.height() as usize], picture.as_raw());
            let prepared = Prepared::of(&photo, &progress.for_photo()).map_err(|error| error.to_string())?;
            let known = Arc::new(KnownCameras::with(&photo, &prepared, cameras));
            Ok(Opened { picture, photo: Arc::new(photo), prepared: Arc::new(prepared), known })
        });
    Done::Opened(photograph.hash, opened)
}

/// What a measurement is made of.
pub(super) struct Asked {
    pub(super) number: u64,
    pub(super) photo: Arc<Photo>,
    pub(super) prepared: Arc<Prepared>,
    pub(super) key: Arc<Key>,
    pub(super) setup: Setup,
    /// A scale that is known already is not looked for again.
    pub(super) known: Option<Arc<Scaled>>,
}

/// Measures as the setup says.
pub(super) fn measure(asked: &Asked, progress: &Progress) -> Done {
    let setup = &asked.setup;
    let found = if setup.subject == Subject::Colour {
        let seen = colour(asked).transpose().map(|read| read.map(|read| Seen::Colour(Box::new(read))).map_err(|error| error.to_string()));
        Found { by: setup.scale, lens: setup.lens.clone(), scaled: asked.known.clone().map(Ok), seen }
    } else {
        let scaled = match &asked.known {
            Some(scaled) => Ok(Arc::clone(scaled)),
            None => asked.prepared.scaled(&setup.scale).map(Arc::new).map_err(|error| error.to_string()),
        };
        let seen = scaled.as_ref().ok().map(|scaled| seen(asked, scaled, progress));
        Found { by: setup.scale, lens: setup.lens.clone(), scaled: Some(scaled), seen }
    };
    Done::Measured(asked.number, Box::new(found))
}

fn seen(asked: &Asked, scaled: &Scaled, progress: &Progress) -> Result<Seen, String> {
    let setup = &asked.setup;
    if setup.subject == Subject::Side {
        let card = scaled.card.as_ref().ok_or(
            say!("from the side neither a length nor a coin is enough: only a card tells where the camera stood (stand one upright beside the piece, in line with its middle)"),
        )?;
        let side = side::measure(asked.photo.pixels(), card, setup.wall(), &progress.for_photo());
        return side.map(|side| Seen::Side(Box::new(side))).map_err(|error| error.to_string());
    }
    asked
        .prepared
        .above(scaled, &setup.options(), &progress.for_photo())
        .map(|above| Seen::Above(Box::new(above)))
        .map_err(|error| error.to_string())
}

/// Features that have colours, glazes first.
pub(super) fn coloured(key: &Key) -> Vec<&Feature> {
    let glazes = key.features.iter().filter(|feature| matches!(feature.kind, FeatureKind::Glaze));
    let clays = key.features.iter().filter(|feature| matches!(&feature.kind, FeatureKind::Choice(v) if v.iter().any(|v| v.lab.is_some())));
    glazes.chain(clays).collect()
}

/// The feature that a colour is to answer.
pub(super) fn feature_of<'k>(key: &'k Key, setup: &Setup) -> Option<&'k Feature> {
    let all = coloured(key);
    let chosen = setup.areas.feature.as_ref().and_then(|id| all.iter().find(|feature| feature.id == *id));
    chosen.or_else(|| all.first()).copied()
}

/// Nothing before both areas are set.
fn colour(asked: &Asked) -> Result<Option<ColourRead>, SamplingError> {
    let areas = &asked.setup.areas;
    let (Some(white), Some(at)) = (areas.white, areas.at) else { return Ok(None) };
    let size = (asked.photo.width(), asked.photo.height());
    let white = White::of(asked.photo.pixels(), &area(white, size), White::USUAL_REFLECTANCE)?;
    let sampled = sample(asked.photo.pixels(), &area(at, size), &white)?;
    Ok(Some(ColourRead::of(&asked.key, feature_of(&asked.key, &asked.setup), sampled, areas.white_is)))
}

/// The whole pixels between two corners, within the picture.
fn area([a, b]: [Point; 2], (width, height): (u32, u32)) -> Area {
    let whole = Rect::new(0.0, 0.0, f64::from(width), f64::from(height));
    let rect = Rect::from_points(a, b).intersect(whole).round();
    Area::Rect { left: rect.x0 as u32, top: rect.y0 as u32, width: rect.width() as u32, height: rect.height() as u32 }
}
