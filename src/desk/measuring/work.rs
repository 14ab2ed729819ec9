//! The work of measuring that runs off the frame.

use super::setup::Setup;
use crate::daybook::Photograph;
use crate::desk::jobs::Progress;
use crate::photo::outline::Above;
use crate::photo::{self, Edit, Limits, PhotoHash, Prepared, ScaleBy, Scaled, Store};
use egui::ColorImage;
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
    /// Width and height of the photograph in pixels.
    pub size: (u32, u32),
    /// For measuring.
    pub prepared: Arc<Prepared>,
}

/// What was measured, or why not.
#[derive(Debug)]
pub struct Found {
    /// By what the scale was taken.
    pub by: ScaleBy,
    /// The scale.
    pub scaled: Result<Arc<Scaled>, String>,
    /// The outline; nothing where there is no scale.
    pub above: Option<Result<Above, String>>,
}

/// Opens a photograph of the store to be measured on.
pub(super) fn open(photograph: &Photograph, store: &Store, longest_side: u32, progress: &Progress) -> Done {
    let opened = store
        .open(photograph.hash, photograph.format, &photograph.name, &Limits::USUAL, &progress.for_photo())
        .map_err(|error| error.to_string())
        .and_then(|photo| {
            let picture = photo::preview(photo.pixels(), Edit::default(), longest_side);
            let picture = ColorImage::from_rgb([picture.width() as usize, picture.height() as usize], picture.as_raw());
            let prepared = Prepared::of(&photo, &progress.for_photo()).map_err(|error| error.to_string())?;
            Ok(Opened { picture, size: (photo.width(), photo.height()), prepared: Arc::new(prepared) })
        });
    Done::Opened(photograph.hash, opened)
}

/// Measures as the setup says; a scale that is known already is not looked for again.
pub(super) fn measure(number: u64, prepared: &Prepared, setup: &Setup, known: Option<Arc<Scaled>>, progress: &Progress) -> Done {
    let scaled = match known {
        Some(scaled) => Ok(scaled),
        None => prepared.scaled(&setup.scale).map(Arc::new).map_err(|error| error.to_string()),
    };
    let above = scaled
        .as_ref()
        .ok()
        .map(|scaled| prepared.above(scaled, &setup.options(), &progress.for_photo()).map_err(|error| error.to_string()));
    Done::Measured(number, Box::new(Found { by: setup.scale, scaled, above }))
}
