//! The piece from the side: its numbers, the wall, and what they answer.

use super::panel::{heading_ui, seen_or_why};
use super::top::{OnTop, top_ui};
use super::view::Open;
use crate::desk::document::Document;
use crate::desk::theme::{self, TARGET};
use crate::desk::widgets::remark;
use crate::identify::by_shape::LidOn;
use crate::identify::{Observation, ShapeMeasured};
use crate::photo::camera::Measured;
use crate::photo::side::{At, SideMeasured, TRUST, Top};
use crate::photo::{answers_side, shape_of};
use crate::say;
use egui::{TextEdit, Ui, vec2};

/// Thicknesses of a wall that can be, in mm.
const WALLS_MM: std::ops::RangeInclusive<f64> = 0.5..=50.0;

/// What is told of the piece, by what is said of its top.
fn told(open: &Open) -> Option<SideMeasured> {
    let side = open.found.as_ref().and_then(|found| found.side())?;
    Some(side.measured.clone().told(open.steps.now().top.map_or(Top::Unsaid, OnTop::top)))
}

/// Before it is said what is on top, only what is the same with a lid on is answered, and the shape is compared with forms as they are and with their lids.
pub(super) fn answers_of_side(doc: &Document, open: &Open) -> (Vec<Observation>, Option<ShapeMeasured>) {
    let Some(measured) = told(open) else { return (Vec::new(), None) };
    let lid = open.steps.now().top.map_or(LidOn::Either, OnTop::lid);
    let list = answers_side(&doc.key, lid, &measured);
    let used: Vec<Observation> = list.iter().filter(|answer| !open.leaves_out(answer)).cloned().collect();
    let shape = shape_of(lid, &measured, &used);
    (list, shape)
}

/// True where there is something to answer with.
pub(super) fn side_ui(ui: &mut Ui, open: &mut Open) -> bool {
    heading_ui(ui, open, say!("Outline"));
    if !seen_or_why(ui, open, open.found.as_ref().and_then(|found| found.side()).is_some()) {
        return false;
    }
    let Some(measured) = told(open) else { return false };
    top_ui(ui, open);
    numbers_ui(ui, &measured);
    wall_ui(ui, open);
    true
}

fn numbers_ui(ui: &mut Ui, m: &SideMeasured) {
    egui::Grid::new("side numbers").num_columns(2).min_row_height(22.0).spacing(vec2(14.0, 4.0)).show(ui, |ui| {
        let mut row = |name: &str, text: String| {
            remark(ui, name);
            ui.label(text);
            ui.end_row();
        };
        let mm = |m: Option<Measured>, hidden: &str| m.map_or_else(|| hidden.to_owned(), |m| format!("{m} mm"));
        row(say!("Height"), mm(m.height, say!("not seen")));
        row(say!("Rim"), mm(m.rim, say!("not told")));
        row(say!("Greatest"), mm(Some(m.greatest), ""));
        row(say!("Foot"), mm(m.foot, say!("not seen")));
        match &m.capacity {
            Some(capacity) => {
                row(say!("To the brim"), format!("{} ml", capacity.ml));
                row("", say!("{imperial_pints} imperial pints", imperial_pints = capacity.imperial_pints()));
                row("", say!("{us_fl_oz} US fl oz", us_fl_oz = capacity.us_fl_oz()));
            }
            None => row(say!("To the brim"), say!("not told").to_owned()),
        }
        for part in &m.left_out {
            let (from, to) = (part.from_mm, part.to_mm);
            let where_it_is = match part.at {
                At::Left => say!("left, {from:.0}–{to:.0} mm up", from, to),
                At::Right => say!("right, {from:.0}–{to:.0} mm up", from, to),
            };
            row(say!("Stands out"), where_it_is);
        }
    });
}

/// What else should be known of the numbers.
pub(super) fn notes_ui(ui: &mut Ui, open: &Open) {
    let Some(measured) = told(open) else { return };
    for note in measured.notes.iter().map(String::as_str).chain([TRUST]) {
        remark(ui, crate::key::capital(note));
    }
}

fn wall_ui(ui: &mut Ui, open: &mut Open) {
    ui.horizontal(|ui| {
        let label = remark(ui, say!("Wall in mm"));
        let field = TextEdit::singleline(&mut open.wall).hint_text("5").desired_width(60.0).min_size(vec2(0.0, TARGET));
        let left =
            ui.add(field).labelled_by(label.id).on_hover_text(say!("Measured at the rim; empty: 5 mm, give or take 1.5")).lost_focus();
        let typed = open.wall.trim();
        let wall = if typed.is_empty() { Ok(None) } else { typed.replace(',', ".").parse::<f64>().map(Some) };
        match wall {
            Ok(wall) if wall.is_none_or(|mm| WALLS_MM.contains(&mm)) => {
                if left {
                    open.steps.change(|setup| setup.wall_mm = wall);
                }
            }
            _ => {
                let c = theme::colours(ui);
                ui.colored_label(c.alarm, say!("0.5 to 50 mm"));
            }
        }
    });
}
