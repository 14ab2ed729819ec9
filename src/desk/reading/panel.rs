//! The panel beside the mark: where it is, how it is made plain, what can be read, and what it is like.

use super::alike::alike_ui;
use super::setup::Setup;
use super::view::{Open, Tool};
use crate::desk::command::{Command, Screen};
use crate::desk::document::Document;
use crate::desk::icons::Icon;
use crate::desk::mark_drawer::sieve::Sieve;
use crate::desk::theme::{self, TARGET};
use crate::desk::widgets::{self, Ability, button, chip, heading, icon_button, icon_button_if, main_button, remark, strong};
use crate::identify::{Observation, Seen, Sure};
use crate::key::{Feature, FeatureKind, MarkId, ValueId, capital};
use crate::photo::mark::{Contrast, HOW_TO_GET_A_READER, InkBy, MarkBy, Relief, Ring, Tone};
use crate::say;
use egui::{DragValue, Margin, ScrollArea, TextEdit, Ui, vec2};
use kurbo::Point;

/// Marks that may bear what can be read, at most.
const MOST_NAMED: usize = 4;

pub(super) fn panel_ui(ui: &mut Ui, doc: &Document, open: &mut Open, commands: &mut Vec<Command>) {
    ui.horizontal(|ui| {
        heading(ui, say!("The mark"));
        widgets::row_from_right(ui, |ui| {
            if icon_button(ui, Icon::Close, say!("Close the mark")).clicked() {
                open.close();
            }
            if icon_button_if(ui, Icon::Redo, say!("Redo"), Ability::from(open.steps.can_redo())).clicked() {
                open.steps.redo();
            }
            if icon_button_if(ui, Icon::Undo, say!("Undo"), Ability::from(open.steps.can_undo())).clicked() {
                open.steps.undo();
            }
        });
    });
    ScrollArea::vertical().id_salt("mark panel").auto_shrink(false).show(ui, |ui| {
        ui.set_max_width(ui.available_width() - 8.0);
        words_ui(ui, doc, open, commands);
        ui.separator();
        place_ui(ui, open);
        ui.separator();
        ink_ui(ui, open);
        light_ui(ui, open);
        ui.separator();
        if let Some(mark) = alike_ui(ui, doc, open) {
            answer(doc, open, Seen::Values(vec![ValueId::new(mark.as_str())]), commands);
        }
        if open.reader.is_none() {
            ui.separator();
            remark(ui, capital(HOW_TO_GET_A_READER));
        }
    });
}

fn mark_feature(doc: &Document) -> Option<&Feature> {
    doc.key.features.iter().find(|feature| matches!(feature.kind, FeatureKind::Mark))
}

/// Makes it the answer on the Bench, and goes there.
fn answer(doc: &Document, open: &mut Open, seen: Seen, commands: &mut Vec<Command>) {
    if let Some(feature) = mark_feature(doc) {
        commands.push(Command::See(Observation { feature: feature.id.clone(), seen, sure: Sure::Sure }));
        commands.push(Command::Go(Screen::Bench));
        open.close();
    }
}

fn words_ui(ui: &mut Ui, doc: &Document, open: &mut Open, commands: &mut Vec<Command>) {
    let label = strong(ui, say!("What can be read"));
    let field = TextEdit::singleline(&mut open.typed)
        .hint_text("MARROW… OV?N")
        .desired_width(ui.available_width() - 22.0)
        .margin(Margin::symmetric(8, 7))
        .min_size(vec2(0.0, TARGET));
    ui.add(field).labelled_by(label.id).on_hover_text(say!("? is one letter that can't be read, … or ... any number of them"));
    if open.typed.trim().is_empty() {
        return;
    }
    let sieve = Sieve { typed: open.typed.clone(), ..Sieve::default() };
    let passed: Vec<(MarkId, String)> = open
        .passed
        .passed(doc, &sieve)
        .iter()
        .filter_map(|passed| doc.key.marks.get(passed.number))
        .take(MOST_NAMED)
        .map(|mark| (mark.id.clone(), mark.name.clone()))
        .collect();
    if passed.is_empty() {
        remark(ui, say!("No mark of the key has these words"));
    }
    let mut chosen = None;
    ui.horizontal_wrapped(|ui| {
        for (id, name) in &passed {
            if chip(ui, &capital(name), false).on_hover_text(say!("It is this one")).clicked() {
                chosen = Some(id.clone());
            }
        }
    });
    if let Some(id) = chosen {
        answer(doc, open, Seen::Values(vec![ValueId::new(id.as_str())]), commands);
    } else if mark_feature(doc).is_some() && main_button(ui, Icon::Bench, say!("Answer with these words")).clicked() {
        let typed = open.typed.trim().to_owned();
        answer(doc, open, Seen::Wording(typed), commands);
    }
}

fn place_ui(ui: &mut Ui, open: &mut Open) {
    ui.horizontal(|ui| {
        strong(ui, say!("Where it is"));
        if open.is_working() {
            ui.spinner();
            remark(ui, say!("laying it out …"));
        }
    });
    let now = open.steps.now().by;
    ui.horizontal_wrapped(|ui| {
        if chip(ui, say!("Find it"), now == MarkBy::Found).clicked() {
            open.steps.change(|setup| setup.by = MarkBy::Found);
        }
        if chip(ui, say!("Set its ring"), matches!(now, MarkBy::Ring(_)))
            .on_hover_text(say!("Three handles: the middle, and the ends of the two axes of the outermost line or letters"))
            .clicked()
            && let Some(ring) = open.ring().or_else(|| in_the_middle(open))
        {
            open.steps.change(|setup| setup.by = MarkBy::Ring(ring));
        }
        if chip(ui, say!("Straight lines only"), now == MarkBy::Lines).clicked() {
            open.steps.change(|setup| setup.by = MarkBy::Lines);
        }
    });
    let found = open.laid.as_ref().and_then(|shown| shown.laid.unrolled.as_ref().ok()).map(|unrolled| unrolled.turned_rad.to_degrees());
    ui.horizontal(|ui| {
        let mut degrees = open.steps.now().turned_degrees.or(found).unwrap_or(0.0);
        let label = remark(ui, say!("Turned by"));
        let response = ui.add(DragValue::new(&mut degrees).range(-180.0..=180.0).speed(0.5).fixed_decimals(0).suffix("°"));
        let response = response.labelled_by(label.id).on_hover_text(say!("Which way the mark stands in the photograph, clockwise"));
        if response.changed() && degrees.is_finite() {
            open.steps.change(|setup| setup.turned_degrees = Some(degrees));
        }
        if button(ui, Icon::Turn, say!("Other way up")).clicked() {
            let turned = (degrees + 360.0).rem_euclid(360.0) - 180.0;
            open.steps.change(|setup| setup.turned_degrees = Some(turned));
        }
    });
}

/// A ring to begin with.
fn in_the_middle(open: &Open) -> Option<Ring> {
    let (width, height) = open.size()?;
    let radius = 0.35 * f64::from(width.min(height));
    Some(Ring::new(Point::new(f64::from(width) / 2.0, f64::from(height) / 2.0), (radius, radius), 0.0))
}

fn ink_ui(ui: &mut Ui, open: &mut Open) {
    strong(ui, say!(in "of a mark", "Print"));
    let now = open.steps.now().contrast;
    ui.horizontal_wrapped(|ui| {
        for (contrast, words, hint) in [
            (Contrast::AS_IT_IS, say!("As it is"), say!("The photograph in grey")),
            (Contrast::PRINT, say!("Plain"), say!("Uneven light taken out, ink told from glaze")),
            (Contrast::FAINT, say!("Faint"), say!("The same, with faint places brought up")),
        ] {
            let same =
                Contrast { ink: now.ink, tone: now.tone, ..contrast } == now && (contrast != Contrast::AS_IT_IS || now.ink == contrast.ink);
            if chip(ui, words, same).on_hover_text(hint).clicked() {
                open.steps.change(|setup| setup.contrast = Contrast { tone: now.tone, ..contrast });
            }
        }
        let light = now.tone == Tone::InkLight;
        if chip(ui, say!("Light on dark"), light).clicked() {
            open.steps.change(|setup| setup.contrast.tone = if light { Tone::InkDark } else { Tone::InkLight });
        }
        let picking = open.tool == Tool::Pick;
        if chip(ui, say!("Pick the ink"), picking || matches!(now.ink, InkBy::Picked { .. }))
            .on_hover_text(say!("Click on a letter of the mark"))
            .clicked()
        {
            open.tool = if picking { Tool::Hand } else { Tool::Pick };
        }
    });
    if open.tool == Tool::Pick {
        remark(ui, say!("Click on a letter"));
    }
}

/// Other photographs of the mark, lit from other sides.
fn light_ui(ui: &mut Ui, open: &mut Open) {
    if open.others.is_empty() {
        return;
    }
    let c = theme::colours(ui);
    strong(ui, say!("Lit from other sides"))
        .on_hover_text(say!("For impressed marks: the camera still, the lamp at one side, then at another"));
    let mut setup: Setup = open.steps.now().clone();
    for other in &open.others {
        let mut with = setup.with.contains(&other.hash);
        if ui.checkbox(&mut with, say!("Together with {other}", other = other.name)).changed() {
            if with {
                setup.with.push(other.hash);
            } else {
                setup.with.retain(|hash| *hash != other.hash);
            }
        }
    }
    if !setup.with.is_empty() {
        ui.horizontal_wrapped(|ui| {
            for (relief, words) in [(Relief::Difference, say!("What differs")), (Relief::Strongest, say!("What stands out in any"))] {
                if chip(ui, words, setup.relief == relief).clicked() {
                    setup.relief = relief;
                }
            }
        });
    }
    open.steps.push(setup);
    if let Some(why) = open.laid.as_ref().and_then(|shown| shown.laid.apart.as_ref()) {
        ui.colored_label(c.alarm, capital(why));
    }
}
