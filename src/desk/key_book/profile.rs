//! The drawing of the sheet, whose half profile can be taken hold of, and the same profile as a list of points.

use super::draft::Sheet;
use super::entries::number;
use super::shelves::rule;
use crate::desk::board::{Placing, paint};
use crate::desk::icons::Icon;
use crate::desk::theme::{Colours, TARGET};
use crate::desk::widgets::{self, Ability, button, chip, icon_button, icon_button_if, remark};
use crate::key::Part;
use crate::key::shape::Point;
use crate::say;
use egui::{Role, Sense, Stroke, Ui, WidgetInfo, pos2, vec2};

/// Most points a millimetre in the drawing.
const LARGEST: f32 = 4.0;

/// A point that is taken hold of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Held {
    /// Of the lid; else of the body.
    lid: bool,
    number: usize,
}

fn coordinates(point: Point) -> (f64, f64) {
    match point {
        Point::Curve(radius, height) | Point::Corner(radius, height) => (radius, height),
    }
}

fn moved(point: Point, radius: f64, height: f64) -> Point {
    match point {
        Point::Curve(..) => Point::Curve(radius, height),
        Point::Corner(..) => Point::Corner(radius, height),
    }
}

/// Draws the form from the side on a millimetre grid. The points of the profiles of body and lid can be dragged, or moved with the arrow keys.
pub(super) fn drawing_ui(ui: &mut Ui, sheet: &mut Sheet, height: f32, c: &Colours) {
    let (rect, _) = ui.allocate_exact_size(vec2(ui.available_width(), height), Sense::hover());
    let shape = &sheet.draft.shape;
    let silhouette = shape.silhouette();
    let b = silhouette.bounds;
    let half = b.x1.max(-b.x0).max(40.0);
    let placing = Placing::fit(kurbo::Rect::new(-half, 0.0, half, b.y1.max(40.0)), rect.shrink2(vec2(34.0, 26.0)), LARGEST);
    let painter = ui.painter().with_clip_rect(rect);
    paint::grid(&painter, rect, placing, c.grid);
    rule(
        ui,
        pos2(rect.left() + 4.0, placing.origin.y),
        (b.y1 as f32 * placing.scale + 8.0).min(placing.origin.y - rect.top() - 2.0).max(10.0),
        placing.scale,
        c,
    );
    // Filled and inked part by part, so that each covers the joint of the one behind it.
    for (_, path) in &silhouette.parts {
        paint::fill(&painter, path, placing, c.clay);
        paint::stroke(&painter, path, placing, Stroke::new(1.6, c.ink));
    }
    for line in shape.surface_lines() {
        paint::stroke(&painter, &line, placing, Stroke::new(0.8, c.ink_soft));
    }
    painter.hline(rect.left() + 6.0..=rect.right() - 6.0, placing.origin.y + 1.0, Stroke::new(1.5, c.ink_soft));
    let dragging = sheet.dragged;
    let mut now_dragged = None;
    let lift = sheet.draft.shape.lid_lift_mm();
    let shape = &mut sheet.draft.shape;
    let of_body = shape.body.iter_mut().enumerate().map(|(i, point)| (Held { lid: false, number: i }, point));
    let of_lid = shape.lid.iter_mut().enumerate().map(|(i, point)| (Held { lid: true, number: i }, point));
    for (which, point) in of_body.chain(of_lid) {
        let lift = if which.lid { lift } else { 0.0 };
        let (radius, height_mm) = coordinates(*point);
        let at = placing.at(radius, height_mm + lift);
        let target = egui::Rect::from_center_size(at, vec2(TARGET, TARGET)).intersect(rect);
        let response = ui.interact(target, widgets::id(("profile point", which.lid, which.number)), Sense::click_and_drag());
        let number = which.number + 1;
        let words = if which.lid {
            say!("Point {number} of the lid: radius {radius} mm, height {height_mm} mm", number, radius, height_mm)
        } else {
            say!("Point {number} of the body: radius {radius} mm, height {height_mm} mm", number, radius, height_mm)
        };
        response.widget_info(|| WidgetInfo::labeled(Role::Button, true, words.clone()));
        let held = response.dragged() && dragging.is_none_or(|held| held == which);
        // A lid's edge may lie below the rim it sits on.
        let lowest = if which.lid { -200.0 } else { 0.0 };
        if held && let Some(pointer) = response.interact_pointer_pos() {
            now_dragged = Some(which);
            let (x, y) = placing.mm_at(pointer);
            let half = |v: f64, least: f64| (v.clamp(least, 1000.0) * 2.0).round() / 2.0;
            *point = moved(*point, half(x, 0.0), half(y - lift, lowest));
        }
        if response.has_focus() {
            widgets::keep_arrows(ui, response.id);
            let step = |key| ui.input_mut(|input| input.consume_key(egui::Modifiers::NONE, key));
            let (mut r, mut h) = coordinates(*point);
            r += f64::from(i8::from(step(egui::Key::ArrowRight)) - i8::from(step(egui::Key::ArrowLeft)));
            h += f64::from(i8::from(step(egui::Key::ArrowUp)) - i8::from(step(egui::Key::ArrowDown)));
            *point = moved(*point, r.max(0.0), h.max(lowest));
        }
        let size = if response.hovered() || response.has_focus() || held { 7.0 } else { 5.0 };
        if matches!(point, Point::Corner(..)) {
            painter.rect(
                egui::Rect::from_center_size(at, vec2(size, size) * 1.7),
                1.0,
                c.paper,
                Stroke::new(2.0, c.glow),
                egui::StrokeKind::Middle,
            );
        } else {
            painter.circle(at, size, c.paper, Stroke::new(2.0, c.glow));
        }
        response.on_hover_text(words);
    }
    sheet.dragged = now_dragged;
    remark(
        ui,
        say!(
            "{height_mm:.0} mm high, {width_mm:.0} mm wide",
            height_mm = sheet.draft.shape.height_mm(),
            width_mm = sheet.draft.shape.width_mm()
        ),
    );
}

/// The half profiles as lists of points.
pub(super) fn points_ui(ui: &mut Ui, sheet: &mut Sheet) {
    let has_lid = sheet.draft.parts.contains(&Part::Lid);
    list_ui(ui, Part::Body, say!("Half profile of the body, from the table up to the rim"), &mut sheet.draft.shape.body);
    if has_lid {
        list_ui(ui, Part::Lid, say!("Half profile of the lid, from its edge up to the top"), &mut sheet.draft.shape.lid);
    }
}

fn list_ui(ui: &mut Ui, part: Part, heading: &str, points: &mut Vec<Point>) {
    let of = part.word();
    widgets::strong(ui, heading);
    let mut gone = None;
    let mut doubled = None;
    let may_go = points.len() > 2;
    for (i, point) in points.iter_mut().enumerate() {
        ui.push_id((part, i), |ui| {
            ui.horizontal_wrapped(|ui| {
                let number_of = i + 1;
                remark(ui, format!("{number_of}"));
                let (mut radius, mut height) = coordinates(*point);
                remark(ui, say!("radius"));
                number(ui, &say!("Radius of point {number_of} of the {of}", number_of, of), &mut radius, 0.0..=1000.0, " mm");
                remark(ui, say!("height"));
                number(ui, &say!("Height of point {number_of} of the {of}", number_of, of), &mut height, -200.0..=1000.0, " mm");
                if (radius, height) != coordinates(*point) {
                    *point = moved(*point, radius, height);
                }
                let corner = matches!(point, Point::Corner(..));
                let response = chip(ui, say!("corner"), corner);
                response.widget_info(|| {
                    WidgetInfo::selected(Role::Button, true, corner, say!("Point {number_of} of the {of} is a corner", number_of, of))
                });
                if response.clicked() {
                    *point = if corner { Point::Curve(radius, height) } else { Point::Corner(radius, height) };
                }
                if icon_button(ui, Icon::Add, &say!("Add a point after point {number_of} of the {of}", number_of, of)).clicked() {
                    doubled = Some(i);
                }
                if icon_button_if(ui, Icon::Remove, &say!("Remove point {number_of} of the {of}", number_of, of), Ability::from(may_go))
                    .clicked()
                {
                    gone = Some(i);
                }
            });
        });
    }
    if let Some(i) = gone {
        points.remove(i);
    }
    if let Some(i) = doubled
        && let Some(&here) = points.get(i)
    {
        let (r, h) = coordinates(here);
        // Half-way to the next point, or a little above the last.
        let (r, h) = points.get(i + 1).map_or((r, h + 5.0), |&next| {
            let (nr, nh) = coordinates(next);
            (r.midpoint(nr).round(), h.midpoint(nh).round())
        });
        points.insert(i + 1, Point::Curve(r, h));
    }
    if points.is_empty() && button(ui, Icon::Add, &say!("Begin the profile of the {of}", of)).clicked() {
        points.extend([Point::Corner(40.0, 0.0), Point::Curve(0.0, 15.0)]);
    }
}
