//! The piece from the side: its numbers, the lid and the wall, and what they answer.

use super::panel::{heading_ui, seen_or_why};
use super::view::Open;
use crate::desk::document::Document;
use crate::desk::theme::{self, TARGET};
use crate::desk::widgets::{chip, remark};
use crate::identify::by_shape::LidOn;
use crate::identify::{Observation, ShapeMeasured};
use crate::photo::camera::Measured;
use crate::photo::side::{At, SideSeen, TRUST};
use crate::photo::{answers_side, shape_of};
use crate::say;
use egui::{TextEdit, Ui, vec2};

/// Thicknesses of a wall that can be, in mm.
const WALLS_MM: std::ops::RangeInclusive<f64> = 0.5..=50.0;

/// Whether the lid was on: as the person says, else as the picture tells.
fn lid_of(open: &Open, side: &SideSeen) -> LidOn {
    let seen = if side.measured.rim.is_none() { LidOn::On } else { LidOn::Off };
    open.steps.now().lid.unwrap_or(seen)
}

pub(super) fn answers_of_side(doc: &Document, open: &Open) -> (Vec<Observation>, Option<ShapeMeasured>) {
    let Some(side) = open.found.as_ref().and_then(|found| found.side()) else { return (Vec::new(), None) };
    let lid = lid_of(open, side);
    let list = answers_side(&doc.key, lid, &side.measured);
    let used: Vec<Observation> = list.iter().filter(|answer| !open.leaves_out(answer)).cloned().collect();
    (list, shape_of(lid, &side.measured, &used))
}

/// True where there is something to answer with.
pub(super) fn side_ui(ui: &mut Ui, open: &mut Open) -> bool {
    heading_ui(ui, open, say!("Outline"));
    if !seen_or_why(ui, open, open.found.as_ref().and_then(|found| found.side()).is_some()) {
        return false;
    }
    let Some(side) = open.found.as_ref().and_then(|found| found.side()) else { return false };
    let lid = lid_of(open, side);
    numbers_ui(ui, side);
    lid_and_wall_ui(ui, open, lid);
    true
}

fn numbers_ui(ui: &mut Ui, side: &SideSeen) {
    let m = &side.measured;
    egui::Grid::new("side numbers").num_columns(2).min_row_height(22.0).spacing(vec2(14.0, 4.0)).show(ui, |ui| {
        let mut row = |name: &str, text: String| {
            remark(ui, name);
            ui.label(text);
            ui.end_row();
        };
        let mm = |m: Option<Measured>, hidden: &str| m.map_or_else(|| hidden.to_owned(), |m| format!("{m} mm"));
        row(say!("Height"), mm(m.height, say!("not seen")));
        row(say!("Rim"), mm(m.rim, say!("the top is closed")));
        row(say!("Greatest"), mm(Some(m.greatest), ""));
        row(say!("Foot"), mm(m.foot, say!("not seen")));
        match &m.capacity {
            Some(capacity) => {
                row(say!("To the brim"), format!("{} ml", capacity.ml));
                row("", say!("{imperial_pints} imperial pints", imperial_pints = capacity.imperial_pints()));
                row("", say!("{us_fl_oz} US fl oz", us_fl_oz = capacity.us_fl_oz()));
            }
            None => row(say!("To the brim"), say!("not known").to_owned()),
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
    for note in m.notes.iter().map(String::as_str).chain([TRUST]) {
        remark(ui, crate::key::capital(note));
    }
}

fn lid_and_wall_ui(ui: &mut Ui, open: &mut Open, lid: LidOn) {
    ui.horizontal_wrapped(|ui| {
        for (is, words) in [(LidOn::Off, say!("Lid off, or none")), (LidOn::On, say!("Lid on"))] {
            if chip(ui, words, lid == is).clicked() {
                open.steps.change(|setup| setup.lid = Some(is));
            }
        }
    });
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
