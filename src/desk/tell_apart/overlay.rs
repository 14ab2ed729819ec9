//! Half profiles and plans of look-alikes, laid over each other at one true scale with the difference shaded.

use super::dashes;
use crate::desk::board::{Placing, paint, vessel};
use crate::desk::theme::{self, Colours, GAP};
use crate::desk::widgets;
use crate::key::{Form, Part, View};
use egui::{Align2, Color32, FontId, Mesh, Painter, Pos2, Rect, Role, Sense, Shape, Stroke, Ui, WidgetInfo, pos2, vec2};

/// Heights at which the difference between profiles is shaded, in millimetres.
const STEP_MM: f64 = 0.5;

/// Draws the overlay.
pub(super) fn overlay_ui(ui: &mut Ui, forms: &[&Form]) {
    let c = theme::colours(ui);
    let rect = ui.available_rect_before_wrap();
    widgets::paper(c).show(ui, |ui| {
        let size = rect.size() - vec2(2.0 * GAP + 2.0, 2.0 * GAP + 2.0);
        let (area, response) = ui.allocate_exact_size(size, Sense::hover());
        let names: Vec<&str> = forms.iter().map(|form| form.name.as_str()).collect();
        response
            .widget_info(|| WidgetInfo::labeled(Role::Image, true, format!("Profiles and plans of {} over each other", names.join(", "))));
        let side_height = area.height() * 0.6;
        let side = Rect::from_min_max(area.min, pos2(area.right(), area.top() + side_height));
        let above = Rect::from_min_max(pos2(area.left(), side.bottom() + 6.0), area.max);
        let scale = common_scale(forms, side, above);
        side_view(&ui.painter().with_clip_rect(side), side, forms, scale, c);
        above_view(&ui.painter().with_clip_rect(above), above, forms, scale, c);
    });
}

/// Points a millimetre at which every form fits both views.
fn common_scale(forms: &[&Form], side: Rect, above: Rect) -> f32 {
    let most = |of: &dyn Fn(&Form) -> f64| forms.iter().map(|form| of(form)).fold(1.0, f64::max) as f32;
    let (height, reach) = (most(&|form| form.shape.height_mm()), most(&|form| form.shape.max_radius_mm()));
    let deep = most(&|form| form.shape.plan.half_short_mm(form.shape.max_radius_mm()) * 2.0);
    let by_height = (side.height() - 34.0) / height;
    let by_width = (side.width() - 90.0) / (2.0 * reach);
    let by_plan = (above.height() - 34.0) / deep;
    by_height.min(by_width).min(by_plan).clamp(0.05, 4.0)
}

fn caption(painter: &Painter, rect: Rect, words: &str, c: &Colours) {
    painter.text(rect.left_top() + vec2(2.0, 0.0), Align2::LEFT_TOP, words, FontId::proportional(14.0), c.ink_soft);
}

/// The outline of a form's half from the foot up over the lid.
fn half_profile(form: &Form) -> Vec<Vec<(f64, f64)>> {
    let mut lines = vec![form.shape.body_profile(0.2)];
    if form.parts.contains(&Part::Lid) {
        lines.push(form.shape.lid_profile(0.2));
    }
    lines
}

fn side_view(painter: &Painter, rect: Rect, forms: &[&Form], scale: f32, c: &Colours) {
    let placing = Placing { origin: pos2(rect.center().x, rect.bottom() - 8.0), scale };
    paint::grid(painter, rect, placing, c.grid);
    caption(painter, rect, View::Side.words(), c);
    vessel::rule(painter, pos2(rect.left() + 2.0, placing.origin.y), rect.height() - 34.0, scale, c);
    painter.hline(rect.x_range(), placing.origin.y + 1.0, Stroke::new(1.5, c.ink_soft));
    shade(painter, forms, placing, c.glow.gamma_multiply(0.38));
    let axis = [placing.origin, placing.at(0.0, forms.iter().map(|form| form.shape.height_mm()).fold(0.0, f64::max) + 4.0)];
    painter.extend(Shape::dashed_line(&axis, Stroke::new(1.0, c.ink_soft), 9.0, 4.0));
    for (n, form) in forms.iter().enumerate() {
        let stroke = Stroke::new(2.0, c.forms.get(n).copied().unwrap_or(c.ink));
        for line in half_profile(form) {
            for mirror in [1.0, -1.0] {
                let points: Vec<Pos2> = line.iter().map(|(r, h)| placing.at(r * mirror, *h)).collect();
                ink(painter, points, stroke, n);
            }
        }
    }
}

fn ink(painter: &Painter, points: Vec<Pos2>, stroke: Stroke, n: usize) {
    match dashes(n) {
        None => {
            painter.add(Shape::line(points, stroke));
        }
        Some((dash, gap)) => painter.extend(Shape::dashed_line(&points, stroke, dash, gap)),
    }
}

/// Shades, height by height, the band between the inmost and the outmost profile.
fn shade(painter: &Painter, forms: &[&Form], placing: Placing, colour: Color32) {
    let lines: Vec<Vec<Vec<(f64, f64)>>> = forms.iter().map(|form| half_profile(form)).collect();
    let top = forms.iter().map(|form| form.shape.height_mm()).fold(0.0, f64::max);
    let steps = (top / STEP_MM).ceil().min(4000.0) as usize;
    let mut mesh = Mesh::default();
    for step in 0..steps {
        let h = step as f64 * STEP_MM;
        let radii: Vec<f64> = lines.iter().map(|form| widest_at(form, h + STEP_MM / 2.0)).collect();
        let (least, most) = (radii.iter().copied().fold(f64::INFINITY, f64::min), radii.iter().copied().fold(0.0, f64::max));
        if most - least < 0.05 {
            continue;
        }
        for mirror in [1.0, -1.0] {
            mesh.add_colored_rect(Rect::from_two_pos(placing.at(least * mirror, h), placing.at(most * mirror, h + STEP_MM)), colour);
        }
    }
    painter.add(Shape::mesh(mesh));
}

/// The greatest radius of a form's outline at a height; 0 where it does not reach.
fn widest_at(lines: &[Vec<(f64, f64)>], h: f64) -> f64 {
    let mut widest: f64 = 0.0;
    for line in lines {
        for pair in line.windows(2) {
            let [(r0, h0), (r1, h1)] = pair else { continue };
            if (h0.min(*h1)..=h0.max(*h1)).contains(&h) {
                let t = if (h1 - h0).abs() < 1e-9 { 0.5 } else { (h - h0) / (h1 - h0) };
                widest = widest.max(r0 + (r1 - r0) * t);
            }
        }
    }
    widest
}

fn above_view(painter: &Painter, rect: Rect, forms: &[&Form], scale: f32, c: &Colours) {
    let placing = Placing { origin: pos2(rect.center().x, rect.center().y + 8.0), scale };
    paint::grid(painter, rect, placing, c.grid);
    let words =
        if forms.iter().any(|form| form.parts.contains(&Part::Lid)) { "from above: the lid, else the rim" } else { View::Above.words() };
    caption(painter, rect, words, c);
    for (n, form) in forms.iter().enumerate() {
        let stroke = Stroke::new(2.0, c.forms.get(n).copied().unwrap_or(c.ink));
        let lid_reach = form.shape.lid_profile(0.5).iter().map(|(r, _)| *r).fold(0.0, f64::max);
        let path = if form.parts.contains(&Part::Lid) && lid_reach > 0.0 {
            form.shape.lid_plan.as_ref().unwrap_or(&form.shape.plan).path(lid_reach)
        } else {
            form.shape.plan.path(form.shape.rim_radius_mm())
        };
        for (mut line, closed) in placing.lines(&path) {
            if closed && let Some(first) = line.first().copied() {
                line.push(first);
            }
            ink(painter, line, stroke, n);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_widest_radius_of_a_cone_is_on_its_line() {
        let cone = [vec![(10.0, 0.0), (30.0, 40.0)]];
        assert!((widest_at(&cone, 20.0) - 20.0).abs() < 1e-9, "halfway up, halfway out");
        assert!(widest_at(&cone, 41.0).abs() < 1e-12, "above its rim there is nothing");
        let step = [vec![(10.0, 0.0), (10.0, 5.0), (25.0, 5.0), (25.0, 9.0)]];
        assert!((widest_at(&step, 5.0) - 25.0).abs() < 1e-9, "on a step the outer end counts");
    }
}
