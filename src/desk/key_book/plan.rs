//! The form as seen from above, whose rim and lid can be taken hold of.

use crate::desk::board::{Placing, paint};
use crate::desk::theme::{Colours, TARGET};
use crate::desk::widgets;
use crate::key::Form;
use crate::key::shape::Plan;
use crate::say;
use egui::{Key, Modifiers, Role, Sense, Stroke, Ui, WidgetInfo, vec2};

/// Most points a millimetre in the drawing.
const LARGEST: f32 = 3.0;
/// The longest outline, long side ÷ short side, that is drawn by hand.
const LONGEST: f64 = 6.0;
/// Sides or lobes, fewest and most.
const COUNTS: std::ops::RangeInclusive<u8> = 3..=24;

/// Which outline is taken hold of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Of {
    Rim,
    Lid,
}

/// Draws the form from above. The short side of an outline, or where the second side or lobe of one with several begins, can be dragged or moved with the arrow keys.
pub(super) fn plan_ui(ui: &mut Ui, form: &mut Form, height: f32, c: &Colours) {
    let (rect, _) = ui.allocate_exact_size(vec2(ui.available_width(), height), Sense::hover());
    let shape = &mut form.shape;
    let above = shape.above();
    let b = above.bounds;
    let half = b.x1.max(-b.x0).max(20.0);
    let across = b.y1.max(-b.y0).max(20.0);
    let placing = Placing::fit(kurbo::Rect::new(-half, -across, half, across), rect.shrink2(vec2(34.0, 22.0)), LARGEST);
    let painter = ui.painter().with_clip_rect(rect);
    paint::grid(&painter, rect, placing, c.grid);
    for (_, path) in &above.parts {
        paint::fill(&painter, path, placing, c.clay);
        paint::stroke(&painter, path, placing, Stroke::new(1.4, c.ink));
    }
    let (rim_mm, lid_mm) = (shape.max_radius_mm(), shape.lid_radius_mm());
    let own_lid = shape.lid_plan.is_some();
    let outlines = [(Of::Rim, Some(&mut shape.plan), rim_mm), (Of::Lid, shape.lid_plan.as_mut().filter(|_| own_lid), lid_mm)];
    for (of, plan, half_mm) in outlines {
        let Some(plan) = plan.filter(|_| half_mm > 0.0) else { continue };
        handle_ui(ui, rect, placing, of, plan, half_mm, c);
    }
}

/// What of an outline is taken hold of: where it is, in millimetres, and what is said of it.
fn held(of: Of, plan: &Plan, half_mm: f64) -> (f64, f64, String) {
    match *plan {
        Plan::Sided(count) | Plan::Lobed(count) => {
            let angle = std::f64::consts::TAU / f64::from(count.max(1));
            let radius = half_mm * plan.radius_at(angle);
            let words = match (plan, of) {
                (Plan::Sided(_), Of::Rim) => say!("Sides of the rim, from above: {count}", count),
                (Plan::Sided(_), Of::Lid) => say!("Sides of the lid, from above: {count}", count),
                (_, Of::Rim) => say!("Lobes of the rim, from above: {count}", count),
                (_, Of::Lid) => say!("Lobes of the lid, from above: {count}", count),
            };
            (radius * angle.cos(), radius * angle.sin(), words)
        }
        _ => {
            let short = plan.half_short_mm(half_mm);
            let (short_mm, long_mm) = (short * 2.0, half_mm * 2.0);
            let words = match of {
                Of::Rim => say!("Short side of the rim, from above: {short_mm:.0} mm of {long_mm:.0} mm", short_mm, long_mm),
                Of::Lid => say!("Short side of the lid, from above: {short_mm:.0} mm of {long_mm:.0} mm", short_mm, long_mm),
            };
            (0.0, short, words)
        }
    }
}

fn handle_ui(ui: &Ui, rect: egui::Rect, placing: Placing, of: Of, plan: &mut Plan, half_mm: f64, c: &Colours) {
    let (x, y, words) = held(of, plan, half_mm);
    // The lid's is on the near side, so that the two never lie on one another.
    let side = if of == Of::Lid { -1.0 } else { 1.0 };
    let at = placing.at(x, y * side);
    let target = egui::Rect::from_center_size(at, vec2(TARGET, TARGET)).intersect(rect);
    let response = ui.interact(target, widgets::id(("plan", of == Of::Lid)), Sense::click_and_drag());
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, words.clone()));
    if response.dragged()
        && let Some(pointer) = response.interact_pointer_pos()
    {
        let (x, y) = placing.mm_at(pointer);
        *plan = dragged(plan, half_mm, x, y * side);
    }
    if response.has_focus() {
        widgets::keep_arrows(ui, response.id);
        let pressed = |key| ui.input_mut(|input| input.consume_key(Modifiers::NONE, key));
        let steps =
            i8::from(pressed(Key::ArrowUp) | pressed(Key::ArrowRight)) - i8::from(pressed(Key::ArrowDown) | pressed(Key::ArrowLeft));
        if steps != 0 {
            *plan = stepped(plan, half_mm, steps);
        }
    }
    let size = if response.hovered() || response.has_focus() || response.dragged() { 7.0 } else { 5.0 };
    ui.painter().with_clip_rect(rect).circle(at, size, c.paper, Stroke::new(2.0, c.glow));
    response.on_hover_text(words);
}

/// The outline with its handle at a point, in millimetres.
fn dragged(plan: &Plan, half_mm: f64, x: f64, y: f64) -> Plan {
    match plan {
        Plan::Sided(_) | Plan::Lobed(_) => {
            let angle = y.atan2(x).rem_euclid(std::f64::consts::TAU).max(1e-3);
            let count = (std::f64::consts::TAU / angle).round().clamp(f64::from(*COUNTS.start()), f64::from(*COUNTS.end())) as u8;
            counted(plan, count)
        }
        _ => with_short_side(plan, half_mm, (y * 2.0).round()),
    }
}

/// The outline with its handle a step further: a millimetre of the short side, or one side or lobe.
fn stepped(plan: &Plan, half_mm: f64, steps: i8) -> Plan {
    match *plan {
        Plan::Sided(count) | Plan::Lobed(count) => counted(plan, count.saturating_add_signed(steps).clamp(*COUNTS.start(), *COUNTS.end())),
        _ => with_short_side(plan, half_mm, (plan.half_short_mm(half_mm) * 2.0).round() + f64::from(steps)),
    }
}

fn counted(plan: &Plan, count: u8) -> Plan {
    match plan {
        Plan::Lobed(_) => Plan::Lobed(count),
        _ => Plan::Sided(count),
    }
}

/// The outline with a short side of so many millimetres; a round one becomes oval, and an oval one round where it is as good as that.
fn with_short_side(plan: &Plan, half_mm: f64, short_mm: f64) -> Plan {
    if !(short_mm.is_finite() && half_mm > 0.0) {
        return plan.clone();
    }
    // A millimetre is the least that is drawn.
    let round = half_mm * 2.0 - short_mm < 1.0;
    // Thousandths, as a person writes them in the file.
    let aspect = (half_mm * 2.0 / short_mm.max(1.0)).clamp(1.0, LONGEST);
    let aspect = (aspect * 1000.0).round() / 1000.0;
    match plan {
        Plan::Round | Plan::Oval(_) if round => Plan::Round,
        Plan::Round | Plan::Oval(_) => Plan::Oval(aspect),
        Plan::Oblong(_) | Plan::RoundedSquare if !round => Plan::Oblong(aspect),
        Plan::Oblong(_) => Plan::Oblong(1.0),
        other => other.clone(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_dragged_short_side_makes_an_oval_and_a_circle_again() {
        let oval = dragged(&Plan::Round, 60.0, 3.0, 48.2);
        assert_eq!(oval, Plan::Oval(1.25), "96 mm of 120 mm");
        assert_eq!(dragged(&oval, 60.0, 0.0, 60.0), Plan::Round);
        assert_eq!(dragged(&oval, 60.0, 0.0, 500.0), Plan::Round, "never wider than long");
        assert_eq!(dragged(&oval, 60.0, 0.0, -5.0), Plan::Oval(6.0), "never nothing");
        assert_eq!(dragged(&Plan::Oblong(2.0), 60.0, 0.0, 40.0), Plan::Oblong(1.5));
        assert_eq!(dragged(&Plan::RoundedSquare, 60.0, 0.0, 40.0), Plan::Oblong(1.5));
    }

    #[test]
    fn the_angle_from_the_long_side_says_how_many_there_are() {
        let at = |plan: &Plan, degrees: f64| {
            let (sin, cos) = degrees.to_radians().sin_cos();
            dragged(plan, 60.0, 60.0 * cos, 60.0 * sin)
        };
        assert_eq!(at(&Plan::Sided(8), 60.0), Plan::Sided(6));
        assert_eq!(at(&Plan::Lobed(6), 91.0), Plan::Lobed(4));
        assert_eq!(at(&Plan::Sided(8), 0.0), Plan::Sided(24), "no more than can be drawn");
        assert_eq!(at(&Plan::Sided(8), 300.0), Plan::Sided(3), "no fewer than three");
    }

    #[test]
    fn arrow_keys_move_by_a_millimetre_or_by_one() {
        assert_eq!(stepped(&Plan::Sided(8), 60.0, -1), Plan::Sided(7));
        assert_eq!(stepped(&Plan::Lobed(24), 60.0, 1), Plan::Lobed(24));
        assert_eq!(stepped(&Plan::Oval(1.25), 60.0, 1), Plan::Oval(1.237), "97 mm of 120 mm");
        assert_eq!(stepped(&Plan::Round, 60.0, 1), Plan::Round);
        assert_eq!(stepped(&Plan::Round, 60.0, -1), Plan::Oval(1.008), "119 mm of 120 mm");
    }
}
