//! What gives the scale: a bank card that is found or set, coins, or a length.

use super::canvas::Tool;
use super::lens::lens_ui;
use super::setup::Setup;
use super::view::{Open, Picture};
use crate::desk::theme::{self, TARGET};
use crate::desk::widgets::{chip, remark, strong};
use crate::key::capital;
use crate::photo::ScaleBy;
use crate::say;
use egui::{TextEdit, Ui, vec2};
use kurbo::Point;

pub(super) fn scale_ui(ui: &mut Ui, open: &mut Open) {
    let c = theme::colours(ui);
    strong(ui, say!("Scale"));
    let scaled = open.found.as_ref().and_then(|found| found.scaled.as_ref());
    match scaled {
        Some(Ok(scaled)) => {
            let by = match &scaled.coins {
                _ if scaled.card.is_some() => say!("by the bank card"),
                Some(coins) if coins.edges_px.len() > 1 => say!("by two coins"),
                Some(_) => say!("by one coin"),
                None => say!("by a length; the tilt is not known"),
            };
            remark(ui, say!("{by}, ± {percent:.1} %", by, percent = 200.0 * scaled.scale_sd));
            if scaled.coins.is_some() && !scaled.tilt_known() {
                remark(
                    ui,
                    say!(
                        "Which way the camera was tilted is not known from it, and each ± says so: a second coin on the other side of the piece tells"
                    ),
                );
            }
        }
        Some(Err(why)) => {
            ui.colored_label(c.alarm, capital(why));
        }
        None if matches!(open.picture, Picture::Ready { .. }) => {
            remark(ui, say!("Looking for the card …"));
        }
        None => {}
    }
    lens_ui(ui, open);
    ui.horizontal_wrapped(|ui| {
        if chip(ui, say!("Find the card"), open.steps.now().scale == ScaleBy::FoundCard).clicked() {
            let setup = Setup { scale: ScaleBy::FoundCard, ..open.steps.now().clone() };
            open.steps.push(setup);
        }
        if chip(ui, say!("Set its corners"), matches!(open.steps.now().scale, ScaleBy::Corners(_)))
            .on_hover_text(say!("Four handles; drag each to where two straight edges of the card would meet"))
            .clicked()
            && let Some(px) = corners_to_begin_with(open)
        {
            let setup = Setup { scale: ScaleBy::Corners(px), ..open.steps.now().clone() };
            open.steps.push(setup);
        }
        let is_length = matches!(open.steps.now().scale, ScaleBy::Length(..)) || matches!(open.tool, Tool::Ends(_));
        if chip(ui, say!("By a length"), is_length)
            .on_hover_text(say!("Click two marks of a ruler that lies in the plane of the rim"))
            .clicked()
        {
            open.tool = Tool::Ends(Vec::new());
        }
        for two in [false, true] {
            let on = if two {
                matches!(open.steps.now().scale, ScaleBy::Coins(..))
            } else {
                matches!(open.steps.now().scale, ScaleBy::Coin(..))
            };
            let words = if two { say!("By two coins") } else { say!("By a coin") };
            let help = if two {
                say!("Two handles; drag each onto a coin. Both are of the same kind and lie flat on opposite sides of the piece")
            } else {
                say!("A handle; drag it onto the coin. Two coins measure better")
            };
            if chip(ui, words, on).on_hover_text(help).clicked() {
                by_coins(open, two);
            }
        }
    });
    if matches!(open.steps.now().scale, ScaleBy::Length(..)) || matches!(open.tool, Tool::Ends(_)) {
        length_ui(ui, open);
    }
    if matches!(open.steps.now().scale, ScaleBy::Coin(..) | ScaleBy::Coins(..)) {
        diameter_ui(ui, open);
    }
}

/// The scale by coins, whose handles begin on those that were pointed at, or left and right in the picture.
fn by_coins(open: &mut Open, two: bool) {
    let Picture::Ready { photo, .. } = &open.picture else { return };
    let (w, h) = (f64::from(photo.width()), f64::from(photo.height()));
    let [left, right] = [0.15, 0.85].map(|share| Point::new(share * w, 0.5 * h));
    let (px, mm) = match open.steps.now().scale {
        ScaleBy::Coin(px, mm) => ([px, if px.x < 0.5 * w { right } else { left }], mm),
        ScaleBy::Coins(px, mm) => (px, mm),
        _ => ([left, right], diameter(open).unwrap_or(USUAL_COIN_MM)),
    };
    let scale = if two { ScaleBy::Coins(px, mm) } else { ScaleBy::Coin(px[0], mm) };
    open.tool = Tool::Hand;
    let setup = Setup { scale, ..open.steps.now().clone() };
    open.steps.push(setup);
}

/// What the field holds before anything is typed: a one-euro piece (Council Regulation (EC) 975/98).
pub(super) const USUAL_COIN_MM: f64 = 23.25;

fn diameter(open: &Open) -> Option<f64> {
    open.coin.trim().replace(',', ".").parse::<f64>().ok().filter(|mm| (10.0..=60.0).contains(mm))
}

fn diameter_ui(ui: &mut Ui, open: &mut Open) {
    ui.horizontal(|ui| {
        let label = remark(ui, say!("Diameter of the coin in mm"));
        let field = TextEdit::singleline(&mut open.coin).desired_width(70.0).min_size(vec2(0.0, TARGET));
        let left = ui.add(field).labelled_by(label.id).on_hover_text(say!("As its mint states it")).lost_focus();
        match diameter(open) {
            Some(typed) if left => {
                let scale = match open.steps.now().scale {
                    ScaleBy::Coin(px, _) => ScaleBy::Coin(px, typed),
                    ScaleBy::Coins(px, _) => ScaleBy::Coins(px, typed),
                    other => other,
                };
                let setup = Setup { scale, ..open.steps.now().clone() };
                open.steps.push(setup);
            }
            Some(_) => {}
            None => {
                let c = theme::colours(ui);
                ui.colored_label(c.alarm, say!("10 to 60 mm"));
            }
        }
    });
}

fn length_ui(ui: &mut Ui, open: &mut Open) {
    ui.horizontal(|ui| {
        let label = remark(ui, say!("Length in mm"));
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
        remark(ui, if ends.is_empty() { say!("Click its first end") } else { say!("Click its other end") });
    }
    if open.length.trim().parse::<f64>().is_err() {
        let c = theme::colours(ui);
        ui.colored_label(c.alarm, say!("That is not a number of millimetres (write 100)"));
    }
}

/// Where the four handles begin: on the card that was found, or round the middle of the picture.
fn corners_to_begin_with(open: &Open) -> Option<[Point; 4]> {
    if let Some(card) = open.found.as_ref().and_then(|found| found.scale()).and_then(|scaled| scaled.card.as_ref()) {
        return Some(card.corners_px);
    }
    let Picture::Ready { photo, .. } = &open.picture else { return None };
    let (w, h) = (f64::from(photo.width()), f64::from(photo.height()));
    let (x, y) = (0.13 * w, 0.082 * w);
    Some([(-x, -y), (x, -y), (x, y), (-x, y)].map(|(dx, dy)| Point::new(0.5 * w + dx, 0.5 * h + dy)))
}
