//! What is known of one half: its measures, and what it may belong to, each to be pinned or kept apart.

use super::draft::Draft;
use super::work::{Other, Sorted};
use super::{PairingPage, change};
use crate::daybook::lids::{Half, Reason, Shelves, Side};
use crate::desk::command::Command;
use crate::desk::icons::Icon;
use crate::desk::theme::{self, TARGET};
use crate::desk::widgets::{button, chip, icon_button, remark, strong};
use crate::key::{capital, percent};
use crate::say;
use egui::{RichText, ScrollArea, Ui};

/// '92 × 80 mm, Flint, buff'.
pub(super) fn half_words(half: &Half) -> String {
    let mut words = Vec::new();
    match (half.major, half.minor) {
        (Some(major), Some(minor)) if (major.value - minor.value).abs() >= 0.5 => {
            words.push(format!("{} × {} mm", round(major.value), round(minor.value)));
        }
        (Some(major), Some(_)) => words.push(say!("{value} mm across", value = round(major.value))),
        (Some(major), None) => words.push(format!("{} mm", round(major.value))),
        (None, _) => words.push(say!("not measured").to_owned()),
    }
    words.extend(half.noted.values().map(|text| text.trim().to_owned()).filter(|text| !text.is_empty()));
    match (half.made.from, half.made.to) {
        (Some(from), Some(to)) if from != to => words.push(format!("{from}–{to}")),
        (Some(year), _) | (None, Some(year)) => words.push(year.to_string()),
        (None, None) => {}
    }
    words.join(", ")
}

fn round(mm: f64) -> String {
    let text = format!("{mm:.1}");
    crate::words::decimal(text.trim_end_matches(".0").to_owned())
}

/// The reasons, as a sentence.
pub(super) fn reason_words(reasons: &[Reason]) -> String {
    reasons.iter().map(ToString::to_string).collect::<Vec<_>>().join("; ")
}

/// The other side of a half, and the ids of both as lid and base.
fn as_pair<'a>(side: Side, own: &'a str, other: &'a str) -> (&'a str, &'a str) {
    if side == Side::Lid { (own, other) } else { (other, own) }
}

/// Draws what is known of the chosen half.
pub(super) fn detail_ui(
    ui: &mut Ui,
    shelves: &Shelves,
    sorted: &Sorted,
    page: &mut PairingPage,
    (side, id): (Side, &str),
    commands: &mut Vec<Command>,
) {
    let Some(at) = shelves.of(side).iter().position(|half| half.id == id) else {
        page.chosen = None;
        return;
    };
    let Some(half) = shelves.of(side).get(at) else { return };
    let other_side = if side == Side::Lid { Side::Base } else { Side::Lid };
    ui.horizontal_wrapped(|ui| {
        strong(ui, format!("{} {id}: {}", capital(side.word()), half_words(half)));
        if button(ui, Icon::Edit, say!("Change")).clicked() {
            page.draft = Some(Draft::of(half, side));
        }
        if button(ui, Icon::Remove, say!("Take off the shelf")).clicked() {
            commands.push(change(say!("take the {side} {id} off the shelf", side = side.word(), id), shelves, |after| {
                after.take_off(side, id);
            }));
            page.chosen = None;
        }
        if icon_button(ui, Icon::Close, &say!("Close the {side} {id}", side = side.word(), id)).clicked() {
            page.chosen = None;
        }
    });
    let others = sorted.others_of(side, at);
    let alone = match side {
        Side::Lid => sorted.pairing.lids_alone_chance.get(at),
        Side::Base => sorted.pairing.bases_alone_chance.get(at),
    };
    let alone = alone.copied().unwrap_or(1.0);
    let forbidden: Vec<&str> = shelves
        .forbidden
        .iter()
        .filter(|pair| if side == Side::Lid { pair.0 == id } else { pair.1 == id })
        .map(|pair| if side == Side::Lid { pair.1.as_str() } else { pair.0.as_str() })
        .collect();
    if others.is_empty() {
        remark(
            ui,
            match other_side {
                Side::Lid => say!("No lid here fits it"),
                Side::Base => say!("No base here fits it"),
            },
        );
    } else {
        let alone = percent(alone);
        remark(
            ui,
            match other_side {
                Side::Lid => say!("That no lid here is its own: {alone}", alone),
                Side::Base => say!("That no base here is its own: {alone}", alone),
            },
        );
    }
    ScrollArea::vertical().id_salt("what it may belong to").auto_shrink(false).show(ui, |ui| {
        for other in others {
            let Some(known) = shelves.of(other_side).get(other.at) else { continue };
            other_ui(ui, shelves, (side, id), known, other, commands);
        }
        for other in forbidden {
            let (lid, base) = as_pair(side, id, other);
            ui.horizontal(|ui| {
                remark(ui, say!("Kept apart from {other_side} {other}", other_side = other_side.word(), other));
                if chip(ui, &say!("May be {other} after all", other), false).clicked() {
                    commands.push(change(say!("{lid} may be on {base} after all", lid, base), shelves, |after| after.free(lid, base)));
                }
            });
        }
    });
}

fn other_ui(ui: &mut Ui, shelves: &Shelves, (side, id): (Side, &str), known: &Half, other: &Other, commands: &mut Vec<Command>) {
    let c = theme::colours(ui);
    let (lid, base) = as_pair(side, id, &known.id);
    let pinned = shelves.is_pinned(lid, base);
    ui.horizontal(|ui| {
        ui.set_min_height(TARGET);
        ui.add_sized([52.0, TARGET], egui::Label::new(RichText::new(percent(other.probability)).family(theme::bold())));
        if pinned {
            if chip(ui, say!("Pinned"), true).on_hover_text(say!("Let {lid} on {base} be weighed again", lid, base)).clicked() {
                commands.push(change(say!("unpin {lid} and {base}", lid, base), shelves, |after| after.free(lid, base)));
            }
        } else if chip(ui, &say!("Pin {known}", known = known.id), false)
            .on_hover_text(say!("{lid} belongs on {base}", lid, base))
            .clicked()
        {
            commands.push(change(say!("pin {lid} on {base}", lid, base), shelves, |after| after.pin(lid, base)));
        }
        if chip(ui, &say!("Not {known}", known = known.id), false)
            .on_hover_text(say!("{lid} does not belong on {base}", lid, base))
            .clicked()
        {
            commands.push(change(say!("keep {lid} and {base} apart", lid, base), shelves, |after| after.forbid(lid, base)));
        }
        let married = other.reasons.iter().any(Reason::is_marriage);
        let words = {
            let (id, half, reasons) = (&known.id, half_words(known), capital(&reason_words(&other.reasons)));
            match side {
                Side::Lid => say!("base {id}: {half}. {reasons}", id, half, reasons),
                Side::Base => say!("lid {id}: {half}. {reasons}", id, half, reasons),
            }
        };
        let label = egui::Label::new(RichText::new(&words).color(if married { c.alarm } else { c.ink })).truncate();
        ui.add(label).on_hover_text(words);
    });
}
