//! The plate: half profiles and plans laid over each other at one true scale, the difference shaded.

use super::line;
use super::outline::{self, Lids, Plate};
use super::{Compared, TellApartView};
use crate::desk::bench::card::trim;
use crate::desk::board::{Placing, paint, vessel};
use crate::desk::document::Document;
use crate::desk::theme::{self, Colours};
use crate::desk::widgets::{self, chip, remark};
use crate::say;
use egui::{Align, CornerRadius, FontId, Layout, Mesh, Painter, Rect, Role, Sense, Shape, Stroke, StrokeKind, Ui, WidgetInfo, pos2, vec2};
use kurbo::BezPath;

/// Room for the millimetre rule left of the axis, in points.
const RULE: f32 = 66.0;
/// Points a millimetre at most.
const LARGEST: f32 = 5.0;
/// Strength of the shade over the difference.
const SHADE: f32 = 0.3;
/// Height of the words over each drawing, in points.
const TITLE: f32 = 24.0;

/// Draws the plate into the rest of `ui`.
pub fn plate_ui(ui: &mut Ui, doc: &Document, view: &mut TellApartView, compared: &Compared) {
    head_ui(ui, view, compared);
    let caption_height = 22.0;
    let room = ui.available_rect_before_wrap();
    let rect = Rect::from_min_max(room.min, pos2(room.right(), room.bottom() - caption_height - 4.0));
    let response = ui.allocate_rect(rect, Sense::hover());
    let words = in_words(doc, compared.lids, &compared.plate);
    response.widget_info(|| WidgetInfo::labeled(Role::Image, true, words.clone()));
    if ui.is_rect_visible(rect) {
        let c = theme::colours(ui);
        let painter = ui.painter().with_clip_rect(rect.intersect(ui.clip_rect()));
        draw(&painter, rect, view.lit, compared, c);
        ui.painter().rect_stroke(rect, CornerRadius::same(4), Stroke::new(1.0, c.edge), StrokeKind::Inside);
    }
    let plate = &compared.plate;
    if !plate.outlines.is_empty() {
        let words = say!(
            "Furthest apart: {side} from the side, {above} from above",
            side = millimetres(plate.side_apart_mm),
            above = millimetres(plate.plan_apart_mm)
        );
        ui.add(egui::Label::new(egui::RichText::new(words).size(14.0).color(theme::colours(ui).ink_soft)).truncate());
    }
}

fn millimetres(mm: f64) -> String {
    if mm < 0.05 { say!(in "a distance", "nothing").to_owned() } else { format!("{} mm", trim(mm)) }
}

fn head_ui(ui: &mut Ui, view: &mut TellApartView, compared: &Compared) {
    widgets::row_from_right(ui, |ui| {
        if compared.plate.any_lid {
            for (lids, words) in [(Lids::Off, say!("Lids off")), (Lids::On, say!("Lids on"))] {
                if chip(ui, words, compared.lids == lids).clicked() {
                    view.lids = Some(lids);
                }
            }
        }
        ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
            ui.add(egui::Label::new(egui::RichText::new(say!("Laid over each other")).heading()).truncate());
            if ui.available_width() > 150.0 {
                remark(ui, say!("to one scale"));
            }
        });
    });
}

fn in_words(doc: &Document, lids: Lids, plate: &Plate) -> String {
    let names: Vec<String> =
        plate.outlines.iter().filter_map(|outline| doc.form(&outline.form)).map(|form| doc.key.full_name(form)).collect();
    let names = names.join("; ");
    match (plate.any_lid, lids) {
        (true, Lids::On) => say!("Half profiles and plans of {names}, lids on", names),
        (true, Lids::Off) => say!("Half profiles and plans of {names}, lids off", names),
        (false, _) => say!("Half profiles and plans of {names}", names),
    }
}

/// Where the two drawings stand: side view and plan at one scale.
struct Places {
    side: Placing,
    plan: Placing,
    /// The bottom left corners of their titles.
    titles: [egui::Pos2; 2],
}

fn places(rect: Rect, plate: &Plate) -> Places {
    let (side_w, side_h) = (plate.side.width().max(20.0) as f32, plate.side.height().max(20.0) as f32);
    let (plan_w, plan_h) = (plate.plan.width().max(20.0) as f32, plate.plan.height().max(20.0) as f32);
    let room = rect.shrink2(vec2(14.0, 10.0));
    let gap = 26.0;
    // Side by side, or the plan under the profile: whichever is larger.
    let beside = ((room.width() - RULE - gap) / (side_w + plan_w)).min((room.height() - TITLE) / side_h.max(plan_h));
    let under = ((room.width() - RULE) / side_w.max(plan_w)).min((room.height() - 2.0 * TITLE - 12.0) / (side_h + plan_h));
    let scale = beside.max(under).clamp(0.02, LARGEST);
    let step = (scale * 5.0).max(0.1);
    // On whole steps of the grid from the first origin, so that one grid serves both.
    let snap = |from: f32, to: f32| from + ((to - from) / step).round() * step;
    if beside >= under {
        let spare = (room.width() - RULE - gap - (side_w + plan_w) * scale).max(0.0) / 2.0;
        let high = side_h.max(plan_h) * scale;
        let table = room.bottom() - ((room.height() - TITLE - high) / 2.0).max(0.0) - (high - side_h * scale) / 2.0;
        let origin = pos2(room.left() + RULE + spare, table);
        let centre_x = snap(origin.x, origin.x + side_w * scale + gap + plan_w * scale / 2.0);
        let centre_y = snap(table, table - side_h * scale / 2.0);
        let top = (table - side_h * scale).min(centre_y - plan_h * scale / 2.0) - 5.0;
        Places {
            side: Placing { origin, scale },
            plan: Placing { origin: pos2(centre_x, centre_y), scale },
            titles: [pos2(origin.x + 4.0, top), pos2(centre_x - plan_w * scale / 2.0, top)],
        }
    } else {
        let spare_x = (room.width() - RULE - side_w.max(plan_w) * scale).max(0.0) / 2.0;
        let spare_y = (room.height() - 2.0 * TITLE - 12.0 - (side_h + plan_h) * scale).max(0.0) / 2.0;
        let table = room.top() + spare_y + TITLE + side_h * scale;
        let origin = pos2(room.left() + RULE + spare_x, table);
        let centre_y = snap(table, table + 12.0 + TITLE + plan_h * scale / 2.0);
        let centre_x = snap(origin.x, origin.x + plan_w * scale / 2.0);
        let plan_left = centre_x - plan_w * scale / 2.0;
        Places {
            side: Placing { origin, scale },
            plan: Placing { origin: pos2(centre_x, centre_y), scale },
            titles: [pos2(origin.x + 4.0, table - side_h * scale - 5.0), pos2(plan_left, centre_y - plan_h * scale / 2.0 - 3.0)],
        }
    }
}

fn draw(painter: &Painter, rect: Rect, lit: Option<usize>, compared: &Compared, c: &Colours) {
    let plate = &compared.plate;
    if plate.outlines.is_empty() {
        return;
    }
    let places = places(rect, plate);
    paint::grid(painter, rect, places.side, c.grid);
    let axis = places.side.origin.x;
    let table = places.side.origin.y;
    let top = places.side.at(0.0, plate.side.y1).y;
    let right = painter.with_clip_rect(Rect::from_min_max(pos2(axis, rect.top()), rect.max).intersect(painter.clip_rect()));
    shade_band(&right, places.side, plate, c);
    shade_ring(painter, places.plan, plate, c);

    vessel::rule(painter, pos2(axis - RULE + 6.0, table), table - top + 1.0, places.side.scale, c);
    painter.hline(axis - RULE..=places.side.at(plate.side.x1, 0.0).x + 8.0, table + 1.0, Stroke::new(1.5, c.ink_soft));
    let dashes = Stroke::new(1.0, c.ink_soft.gamma_multiply(0.8));
    painter.extend(Shape::dashed_line(&[pos2(axis, table), pos2(axis, top - 4.0)], dashes, 9.0, 4.0));
    let plan = places.plan.rect(plate.plan);
    let centre = places.plan.origin;
    painter.extend(Shape::dashed_line(&[pos2(plan.left() - 5.0, centre.y), pos2(plan.right() + 5.0, centre.y)], dashes, 9.0, 4.0));
    painter.extend(Shape::dashed_line(&[pos2(centre.x, plan.top() - 2.0), pos2(centre.x, plan.bottom() + 5.0)], dashes, 9.0, 4.0));

    // The last drawn lies on top: the form that is pointed at, else the first.
    let mut order: Vec<usize> = (0..plate.outlines.len()).rev().collect();
    order.sort_by_key(|&at| lit == Some(at));
    for at in order {
        let Some(outline) = plate.outlines.get(at) else { continue };
        let more = if lit == Some(at) { 1.4 } else { 0.0 };
        let lines = |paths: &[BezPath]| paths.iter().flat_map(|path| places.side.lines(path)).collect::<Vec<_>>();
        line::ink(&right, lines(&outline.thin), at, 1.1 + more * 0.5, c);
        line::ink(&right, lines(&outline.profile), at, 2.2 + more, c);
        line::ink(painter, places.plan.lines(&outline.plan), at, 2.2 + more, c);
    }
    let above = match (plate.any_lid, compared.lids) {
        (true, Lids::On) => say!("lids from above"),
        _ => say!("rims from above"),
    };
    for (at, words) in places.titles.iter().zip([say!("from the side"), above]) {
        let galley = painter.layout_no_wrap(words.to_owned(), FontId::proportional(14.0), c.ink_soft);
        let at = pos2(at.x.min(rect.right() - galley.size().x - 4.0), (at.y - galley.size().y).max(rect.top() + 2.0));
        painter.galley(at, galley, c.ink_soft);
    }
}

fn shade_band(painter: &Painter, placing: Placing, plate: &Plate, c: &Colours) {
    let colour = c.glow.gamma_multiply(SHADE);
    let mut mesh = Mesh::default();
    for row in &plate.band {
        mesh.add_colored_rect(Rect::from_two_pos(placing.at(row.inner_mm, row.from_mm), placing.at(row.outer_mm, row.to_mm)), colour);
    }
    painter.add(Shape::mesh(mesh));
}

fn shade_ring(painter: &Painter, placing: Placing, plate: &Plate, c: &Colours) {
    let colour = c.glow.gamma_multiply(SHADE);
    let mut mesh = Mesh::default();
    let n = plate.ring.len() as u32;
    for (i, (inner, outer)) in plate.ring.iter().enumerate() {
        let (sin, cos) = outline::angle_of(i).sin_cos();
        mesh.colored_vertex(placing.at(inner * cos, inner * sin), colour);
        mesh.colored_vertex(placing.at(outer * cos, outer * sin), colour);
        let (a, b) = (2 * i as u32, 2 * ((i as u32 + 1) % n));
        mesh.add_triangle(a, a + 1, b + 1);
        mesh.add_triangle(a, b + 1, b);
    }
    painter.add(Shape::mesh(mesh));
}
