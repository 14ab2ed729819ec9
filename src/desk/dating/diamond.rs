//! A registration diamond as it is seen, to be written into.
//!
//! Nothing here knows what a corner means: which of the two layouts it is follows from what stands in them.

use crate::desk::theme;
use crate::marks::dates::diamond::Corners;
use crate::say;
use egui::{Pos2, Rect, Shape, Stroke, TextEdit, Ui, Vec2, pos2, vec2};

const HEIGHT: f32 = 250.0;
/// Size of a corner's field, in points.
const FIELD: Vec2 = vec2(44.0, 34.0);

pub(super) fn diamond_ui(ui: &mut Ui, corners: &mut Corners) {
    let c = theme::colours(ui);
    let (rect, _) = ui.allocate_exact_size(vec2(ui.available_width().min(320.0), HEIGHT), egui::Sense::hover());
    let middle = pos2(rect.center().x, rect.top() + 146.0);
    let reach = vec2(98.0, 96.0);
    let ends = [middle - vec2(0.0, reach.y), middle + vec2(reach.x, 0.0), middle + vec2(0.0, reach.y), middle - vec2(reach.x, 0.0)];
    let painter = ui.painter();
    let ink = Stroke::new(2.0, c.ink);
    painter.add(Shape::closed_line(ends.to_vec(), ink));
    painter.circle(pos2(middle.x, rect.top() + 25.0), 24.0, c.paper, ink);
    painter.text(middle, egui::Align2::CENTER_CENTER, say!("Rd"), egui::FontId::proportional(22.0), c.ink_soft);
    field(ui, say!("Class, in the circle"), pos2(middle.x, rect.top() + 25.0), &mut corners.class);
    field(ui, say!("Top corner"), middle - vec2(0.0, reach.y * 0.56), &mut corners.top);
    field(ui, say!("Right corner"), middle + vec2(reach.x * 0.58, 0.0), &mut corners.right);
    field(ui, say!("Bottom corner"), middle + vec2(0.0, reach.y * 0.56), &mut corners.bottom);
    field(ui, say!("Left corner"), middle - vec2(reach.x * 0.58, 0.0), &mut corners.left);
}

fn field(ui: &mut Ui, name: &str, at: Pos2, seen: &mut Option<String>) {
    let mut text = seen.clone().unwrap_or_default();
    let edit = TextEdit::singleline(&mut text).align(egui::Align2::CENTER_CENTER).char_limit(12).desired_width(FIELD.x);
    let response = ui.put(Rect::from_center_size(at, FIELD), edit);
    response.widget_info(|| egui::WidgetInfo::labeled(egui::Role::TextInput, true, name));
    if response.on_hover_text(name).changed() {
        *seen = (!text.trim().is_empty()).then(|| text.trim().to_owned());
    }
}
