//! What gives the scale: a bank card that is found or set, or a length.

use super::canvas::Tool;
use super::setup::Setup;
use super::view::{Open, Picture};
use crate::desk::theme::{self, TARGET};
use crate::desk::widgets::{chip, remark, strong};
use crate::key::capital;
use crate::photo::ScaleBy;
use egui::{TextEdit, Ui, vec2};

pub(super) fn scale_ui(ui: &mut Ui, open: &mut Open) {
    let c = theme::colours(ui);
    strong(ui, "Scale");
    let scaled = open.found.as_ref().and_then(|found| found.scaled.as_ref());
    match scaled {
        Some(Ok(scaled)) => {
            let by = if scaled.card.is_some() { "by the bank card" } else { "by a length; the tilt is not known" };
            remark(ui, format!("{by}, ± {:.1} %", 200.0 * scaled.scale_sd));
        }
        Some(Err(why)) => {
            ui.colored_label(c.alarm, capital(why));
        }
        None if matches!(open.picture, Picture::Ready { .. }) => {
            remark(ui, "Looking for the card …");
        }
        None => {}
    }
    ui.horizontal_wrapped(|ui| {
        if chip(ui, "Find the card", open.steps.now().scale == ScaleBy::FoundCard).clicked() {
            let setup = Setup { scale: ScaleBy::FoundCard, ..open.steps.now().clone() };
            open.steps.push(setup);
        }
        if chip(ui, "Set its corners", matches!(open.steps.now().scale, ScaleBy::Corners(_)))
            .on_hover_text("Four handles; drag each to where two straight edges of the card would meet")
            .clicked()
            && let Some(px) = corners_to_begin_with(open)
        {
            let setup = Setup { scale: ScaleBy::Corners(px), ..open.steps.now().clone() };
            open.steps.push(setup);
        }
        let is_length = matches!(open.steps.now().scale, ScaleBy::Length(..)) || matches!(open.tool, Tool::Ends(_));
        if chip(ui, "By a length", is_length).on_hover_text("Click two marks of a ruler that lies in the plane of the rim").clicked() {
            open.tool = Tool::Ends(Vec::new());
        }
    });
    if matches!(open.steps.now().scale, ScaleBy::Length(..)) || matches!(open.tool, Tool::Ends(_)) {
        length_ui(ui, open);
    }
}

fn length_ui(ui: &mut Ui, open: &mut Open) {
    ui.horizontal(|ui| {
        let label = remark(ui, "Length in mm");
        let field = TextEdit::singleline(&mut open.length).desired_width(70.0).min_size(vec2(0.0, TARGET));
        let left = ui.add(field).labelled_by(label.id).lost_focus();
        if left
            && let ScaleBy::Length(ends, _) = open.steps.now().scale
            && let Ok(mm) = open.length.trim().parse::<f64>()
        {
            let setup = Setup { scale: ScaleBy::Length(ends, mm), ..open.steps.now().clone() };
            open.steps.push(setup);
        }
    });
    if let Tool::Ends(ends) = &open.tool {
        remark(ui, if ends.is_empty() { "Click its first end" } else { "Click its other end" });
    }
    if open.length.trim().parse::<f64>().is_err() {
        let c = theme::colours(ui);
        ui.colored_label(c.alarm, "That is not a number of millimetres (write 100)");
    }
}

/// Where the four handles begin: on the card that was found, or round the middle of the picture.
fn corners_to_begin_with(open: &Open) -> Option<[kurbo::Point; 4]> {
    if let Some(card) = open.found.as_ref().and_then(|found| found.scale()).and_then(|scaled| scaled.card.as_ref()) {
        return Some(card.corners_px);
    }
    let Picture::Ready { photo, .. } = &open.picture else { return None };
    let (w, h) = (f64::from(photo.width()), f64::from(photo.height()));
    let (x, y) = (0.13 * w, 0.082 * w);
    Some([(-x, -y), (x, -y), (x, y), (-x, y)].map(|(dx, dy)| kurbo::Point::new(0.5 * w + dx, 0.5 * h + dy)))
}
