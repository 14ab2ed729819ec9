//! Names, parts, what the form is claimed with, and the measures of its shape.

use super::draft::{self, Sheet};
use super::lists::fields::{claims_ui, how_ui, papers_ui, years_ui};
use crate::desk::document::Document;
use crate::desk::icons::Icon;
use crate::desk::theme::TARGET;
use crate::desk::widgets::{self, button, chip, icon_button, remark};
use crate::key::shape::{FinialKind, FootKind, HandleAt, HandleKind, Plan, SpoutKind, Surface};
use crate::key::{Form, Held, How, Key, Often, Part};
use crate::say;
use egui::{DragValue, Margin, Response, TextEdit, Ui, vec2};

/// Largest length a field takes, in millimetres.
const LARGEST_MM: f64 = 2000.0;

/// A field for a number, named for a screen reader.
pub(super) fn number(ui: &mut Ui, name: &str, value: &mut f64, range: std::ops::RangeInclusive<f64>, suffix: &str) -> Response {
    let speed = if suffix.is_empty() { 0.05 } else { 0.5 };
    ui.add(DragValue::new(value).range(range).speed(speed).max_decimals(2).suffix(suffix)).accessible_name(name.to_owned())
}

fn labelled(ui: &mut Ui, name: &str, value: &mut f64, range: std::ops::RangeInclusive<f64>, suffix: &str) {
    remark(ui, name);
    number(ui, name, value, range, suffix);
}

fn field(ui: &mut Ui, name: &str, text: &mut String) -> Response {
    let label = remark(ui, name);
    ui.add(TextEdit::singleline(text).desired_width(240.0).min_size(vec2(0.0, TARGET)).margin(Margin::symmetric(8, 7)))
        .labelled_by(label.id)
}

/// Names, line and parts.
pub(super) fn names_ui(ui: &mut Ui, doc: &Document, sheet: &mut Sheet) {
    ui.set_width(ui.available_width());
    ui.horizontal_wrapped(|ui| {
        ui.horizontal(|ui| field(ui, say!("Name"), &mut sheet.draft.name));
        if ui.horizontal(|ui| field(ui, say!("Other names"), &mut sheet.also)).inner.changed() {
            sheet.draft.also = sheet.also.split(',').map(|name| name.trim().to_owned()).filter(|name| !name.is_empty()).collect();
        }
    });
    ui.horizontal_wrapped(|ui| {
        remark(ui, say!("Line"));
        for line in &doc.key.lines {
            if chip(ui, &line.name, sheet.draft.line == line.id).clicked() {
                sheet.draft.line = line.id.clone();
            }
        }
        if doc.key.lines.is_empty() {
            ui.label(say!("this key has no lines yet; write one into lines.ron"));
        }
    });
    ui.horizontal_wrapped(|ui| {
        remark(ui, say!("Parts"));
        for part in Part::ALL.into_iter().filter(|part| *part != Part::Body) {
            if chip(ui, part.word(), sheet.draft.parts.contains(&part)).clicked() {
                draft::toggle_part(&mut sheet.draft, part, &doc.key);
            }
        }
    });
    ui.horizontal(|ui| {
        let label = remark(ui, say!("Note"));
        let width = ui.available_width();
        let edit = TextEdit::singleline(&mut sheet.draft.note).desired_width(width).margin(Margin::symmetric(8, 7));
        ui.add(edit.min_size(vec2(0.0, TARGET))).labelled_by(label.id);
    });
}

/// Years of making, how common the form is, the lines that sold it too, and what else is said of it.
pub(super) fn said_ui(ui: &mut Ui, doc: &Document, form: &mut Form) {
    ui.set_width(ui.available_width());
    widgets::strong(ui, say!("Years of making"));
    years_ui(ui, &mut form.made);
    ui.horizontal_wrapped(|ui| {
        labelled(ui, say!("How common beside other forms"), &mut form.weight, 0.01..=1000.0, "");
        remark(ui, say!("1 where nothing is known"));
    });
    let lines = doc.key.lines.iter().filter(|line| line.id != form.line).map(|line| (&line.id, line.name.as_str())).collect::<Vec<_>>();
    list_ui(ui, doc, say!("Borrowed by"), lines.into_iter(), &mut form.borrowed_by);
    claims_ui(ui, doc, &mut form.claims);
}

/// Glazes, decorations and marks, with how each is known.
pub(super) fn held_ui(ui: &mut Ui, doc: &Document, form: &mut Form) {
    let key: &Key = &doc.key;
    list_ui(ui, doc, say!("Glazes"), key.glazes.iter().map(|glaze| (&glaze.id, glaze.name.as_str())), &mut form.glazes);
    list_ui(
        ui,
        doc,
        say!("Decorations"),
        key.decorations.iter().map(|decoration| (&decoration.id, decoration.name.as_str())),
        &mut form.decorations,
    );
    list_ui(ui, doc, say!("Marks"), key.marks.iter().map(|mark| (&mark.id, mark.name.as_str())), &mut form.marks);
}

fn list_ui<'k, Id: PartialEq + Clone + 'k>(
    ui: &mut Ui,
    doc: &Document,
    heading: &str,
    known: impl Iterator<Item = (&'k Id, &'k str)>,
    held: &mut Vec<Held<Id>>,
) {
    widgets::strong(ui, heading);
    ui.horizontal_wrapped(|ui| {
        for (id, name) in known {
            let at = held.iter().position(|one| one.id == *id);
            if chip(ui, name, at.is_some()).clicked() {
                match at {
                    Some(at) => {
                        held.remove(at);
                    }
                    None => {
                        held.push(Held {
                            id: id.clone(),
                            often: Often::Sometimes,
                            how: How::Seen,
                            papers: Vec::new(),
                            note: String::new(),
                        });
                    }
                }
            } else if let Some(one) = at.and_then(|at| held.get_mut(at)) {
                how_ui(ui, name, &mut one.how);
                papers_ui(ui, doc, name, &mut one.papers);
            }
        }
    });
}

/// A row of chips of which one is on.
fn one_of<T: PartialEq + Copy>(ui: &mut Ui, name: &str, all: &[(T, &str)], now: T, mut set: impl FnMut(T)) {
    remark(ui, name);
    for (value, words) in all {
        if chip(ui, words, *value == now).clicked() {
            set(*value);
        }
    }
}

/// Plan, handles, spout, finial, foot, wall and surface.
pub(super) fn shape_ui(ui: &mut Ui, form: &mut Form) {
    widgets::strong(ui, say!("Shape"));
    plan_ui(ui, say!("Plan of the rim"), &mut form.shape.plan);
    if form.parts.contains(&Part::Lid) {
        ui.horizontal_wrapped(|ui| labelled(ui, say!("Lid stands above the rim by"), &mut form.shape.lid_sits_mm, -200.0..=200.0, " mm"));
    }
    ui.horizontal_wrapped(|ui| {
        let all = [
            (FootKind::Ring, say!("ring")),
            (FootKind::Flat, say!("flat")),
            (FootKind::Pedestal, say!("pedestal")),
            (FootKind::Stumps, say!("stumps")),
            (FootKind::Hollow, say!("hollow")),
        ];
        let now = form.shape.foot;
        one_of(ui, say!("Foot"), &all, now, |kind| form.shape.foot = kind);
        labelled(ui, say!("Wall"), &mut form.shape.wall_mm, 0.5..=40.0, " mm");
    });
    surface_ui(ui, form);
    handles_ui(ui, form);
    if let Some(spout) = &mut form.shape.spout {
        ui.horizontal_wrapped(|ui| {
            let all = [
                (SpoutKind::Lip, say!("lip")),
                (SpoutKind::Beak, say!("beak")),
                (SpoutKind::Tube, say!("tube")),
                (SpoutKind::Swan, say!("swan neck")),
            ];
            let now = spout.kind;
            one_of(ui, say!("Spout"), &all, now, |kind| spout.kind = kind);
            labelled(ui, say!("Spout root"), &mut spout.root_mm, 0.0..=LARGEST_MM, " mm");
            labelled(ui, say!("Spout tip"), &mut spout.tip_mm, 0.0..=LARGEST_MM, " mm");
            labelled(ui, say!("Spout reach"), &mut spout.reach_mm, 0.0..=LARGEST_MM, " mm");
        });
    }
    if let Some(finial) = &mut form.shape.finial {
        ui.horizontal_wrapped(|ui| {
            let all = [
                (FinialKind::Ball, say!("ball")),
                (FinialKind::Button, say!("button")),
                (FinialKind::Cone, say!("cone")),
                (FinialKind::Ring, say!("upright ring")),
                (FinialKind::Strap, say!("strap")),
                (FinialKind::Bar, say!("bar")),
                (FinialKind::Sunk, say!("sunk")),
            ];
            let now = finial.kind;
            one_of(ui, say!("Finial"), &all, now, |kind| finial.kind = kind);
            labelled(ui, say!("Finial height"), &mut finial.height_mm, 0.0..=200.0, " mm");
            labelled(ui, say!("Finial width"), &mut finial.width_mm, 0.5..=200.0, " mm");
        });
    }
}

fn plan_ui(ui: &mut Ui, name: &str, plan: &mut Plan) {
    ui.horizontal_wrapped(|ui| {
        remark(ui, name);
        let kinds: [(&str, Plan); 6] = [
            (say!("round"), Plan::Round),
            (say!("oval"), Plan::Oval(1.3)),
            (say!("rounded square"), Plan::RoundedSquare),
            (say!("oblong"), Plan::Oblong(1.4)),
            (say!("sided"), Plan::Sided(8)),
            (say!("lobed"), Plan::Lobed(6)),
        ];
        for (words, kind) in kinds {
            let on = std::mem::discriminant(&kind) == std::mem::discriminant(plan);
            if chip(ui, words, on).clicked() && !on {
                *plan = kind;
            }
        }
        match plan {
            Plan::Oval(aspect) | Plan::Oblong(aspect) => labelled(ui, say!("Long side ÷ short side"), aspect, 1.0..=20.0, ""),
            Plan::Sided(count) => count_ui(ui, say!("Sides"), count, 3..=64),
            Plan::Lobed(count) => count_ui(ui, say!("Lobes"), count, 2..=64),
            Plan::Round | Plan::RoundedSquare => {}
        }
    });
}

fn count_ui(ui: &mut Ui, name: &str, count: &mut u8, range: std::ops::RangeInclusive<u8>) {
    remark(ui, name);
    ui.add(DragValue::new(count).range(range).speed(0.1)).accessible_name(name.to_owned());
}

fn surface_ui(ui: &mut Ui, form: &mut Form) {
    let top = form.shape.body_height_mm().max(10.0);
    ui.horizontal_wrapped(|ui| {
        remark(ui, say!("Surface"));
        let surface = &mut form.shape.surface;
        let round = |x: f64| x.round();
        let kinds: [(&str, Surface); 4] = [
            (say!("plain"), Surface::Plain),
            (say!("ribs"), Surface::Ribs(6, round(top * 0.3), round(top * 0.8))),
            (say!("flutes"), Surface::Flutes(24)),
            (say!("facets"), Surface::Facets(8)),
        ];
        for (words, kind) in kinds {
            let on = std::mem::discriminant(&kind) == std::mem::discriminant(surface);
            if chip(ui, words, on).clicked() && !on {
                *surface = kind;
            }
        }
        match surface {
            Surface::Ribs(count, from, to) => {
                count_ui(ui, say!("Ribs"), count, 1..=60);
                labelled(ui, say!("Ribs from"), from, 0.0..=LARGEST_MM, " mm");
                labelled(ui, say!("Ribs to"), to, 0.0..=LARGEST_MM, " mm");
            }
            Surface::Flutes(count) => count_ui(ui, say!("Flutes"), count, 3..=200),
            Surface::Facets(count) => count_ui(ui, say!("Facets"), count, 3..=64),
            Surface::Plain => {}
        }
    });
}

fn handles_ui(ui: &mut Ui, form: &mut Form) {
    if !form.parts.contains(&Part::Handle) {
        return;
    }
    let height = form.shape.body_height_mm().max(20.0);
    let mut gone = None;
    for (i, handle) in form.shape.handles.iter_mut().enumerate() {
        ui.push_id(("handle", i), |ui| {
            ui.horizontal_wrapped(|ui| {
                let all = [
                    (HandleKind::Loop, say!("loop")),
                    (HandleKind::Ear, say!("ear")),
                    (HandleKind::Angular, say!("angular")),
                    (HandleKind::Lug, say!("lug")),
                    (HandleKind::Stick, say!("stick")),
                    (HandleKind::Bail, say!("bail")),
                    (HandleKind::Pierced, say!("pierced")),
                ];
                let now = handle.kind;
                one_of(ui, &say!("Handle {i}", i = i + 1), &all, now, |kind| handle.kind = kind);
                let places =
                    [(HandleAt::Both, say!("both sides")), (HandleAt::Right, say!("one side")), (HandleAt::Over, say!("over the top"))];
                let now = handle.at;
                one_of(ui, say!(in "a handle", "at"), &places, now, |at| handle.at = at);
                labelled(ui, say!("Upper root"), &mut handle.top_mm, -LARGEST_MM..=LARGEST_MM, " mm");
                labelled(ui, say!("Lower root"), &mut handle.bottom_mm, -LARGEST_MM..=LARGEST_MM, " mm");
                labelled(ui, say!("Reach"), &mut handle.reach_mm, 0.0..=LARGEST_MM, " mm");
                labelled(ui, say!("Thickness"), &mut handle.thick_mm, 0.5..=100.0, " mm");
                if icon_button(ui, Icon::Remove, &say!("Remove handle {i}", i = i + 1)).clicked() {
                    gone = Some(i);
                }
            });
        });
    }
    if let Some(i) = gone {
        form.shape.handles.remove(i);
    }
    if button(ui, Icon::Add, say!("Another handle")).clicked() {
        form.shape.handles.push(draft::new_handle(height));
    }
}
