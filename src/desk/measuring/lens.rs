//! What is known of the lens of the camera that took the photograph, and by whom.

use super::view::{Open, Picture};
use super::work::KnownCameras;
use crate::desk::theme;
use crate::desk::widgets::{chip, remark};
use crate::key::capital;
use crate::photo::Prepared;
use crate::photo::camera::CameraName;
use crate::{say, say_count};
use egui::Ui;
use std::sync::Arc;

/// By what the lens is believed.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) enum LensBy {
    /// By the other pictures of the camera that the photograph names.
    #[default]
    Camera,
    /// By those of the camera that the person names, where the photograph names none.
    TakenWith(CameraName),
    /// By this picture alone.
    Alone,
}

impl LensBy {
    /// The photograph with what is known of its lens.
    pub(super) fn prepared(&self, alone: &Arc<Prepared>, known: &KnownCameras) -> Arc<Prepared> {
        let taken_with = match self {
            Self::Alone => return Arc::clone(alone),
            Self::Camera => None,
            Self::TakenWith(camera) => Some(camera),
        };
        Arc::new(alone.with_known(&known.cameras, taken_with, &known.picture))
    }
}

/// A lens that is known no better than this (one standard deviation of k₁) is worth a picture of something straight.
const WELL_KNOWN_SD: f64 = 0.004;

pub(super) fn lens_ui(ui: &mut Ui, open: &mut Open) {
    let Picture::Ready { prepared, known, .. } = &open.picture else { return };
    let (prepared, known) = (Arc::clone(prepared), Arc::clone(known));
    if let Some(trouble) = &known.trouble {
        let c = theme::colours(ui);
        ui.colored_label(c.alarm, capital(trouble));
    }
    match &prepared.written.name {
        Some(camera) => named_ui(ui, open, camera, &prepared, &known),
        None => nameless_ui(ui, open, &known),
    }
}

fn named_ui(ui: &mut Ui, open: &mut Open, camera: &CameraName, prepared: &Prepared, known: &KnownCameras) {
    let Some(lens) = known.lens else {
        let says = if prepared.believed.k1_sd > WELL_KNOWN_SD {
            say!(
                "{camera}: its lens is not known yet. A photograph of squared paper or a newspaper, opened here once, makes each ± smaller",
                camera
            )
        } else {
            say!("{camera}: its lens is told by what is straight in this photograph", camera)
        };
        remark(ui, says);
        return;
    };
    remark(
        ui,
        say_count!(
            n = lens.pictures,
            "{camera}: its lens is known by {n} photograph",
            "{camera}: its lens is known by {n} photographs",
            camera
        ),
    );
    let alone = open.steps.now().lens == LensBy::Alone;
    if chip(ui, say!("By this picture alone"), alone)
        .on_hover_text(say!("Leaves out what other photographs of this camera said of its lens"))
        .clicked()
    {
        open.take_lens(if alone { LensBy::Camera } else { LensBy::Alone });
    }
}

fn nameless_ui(ui: &mut Ui, open: &mut Open, known: &KnownCameras) {
    if known.cameras.cameras.is_empty() {
        return;
    }
    remark(ui, say!("The photograph does not say which camera took it. Which one?"));
    ui.horizontal_wrapped(|ui| {
        for camera in known.cameras.cameras.iter().map(|known| &known.camera) {
            let by = LensBy::TakenWith(camera.clone());
            let on = open.steps.now().lens == by;
            if chip(ui, &camera.to_string(), on)
                .on_hover_text(say!("Its lens and focal length are then taken for this photograph's"))
                .clicked()
            {
                open.take_lens(if on { LensBy::Camera } else { by });
            }
        }
    });
}
