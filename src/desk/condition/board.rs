//! The piece in three views, each to be pointed at, with what was noted where it is.

use super::view::ConditionView;
use crate::daybook::condition::Place;
use crate::desk::board::paint;
use crate::desk::board::vessel::{self, DrawnSketch};
use crate::desk::command::Command;
use crate::desk::document::Document;
use crate::desk::theme::{self, Colours};
use crate::desk::widgets;
use crate::key::{Part, View, capital};
use crate::say;
use crate::words::of_data;
use egui::{Align2, FontId, Pos2, Rect, Role, Sense, Stroke, Ui, WidgetInfo, pos2, vec2};

/// Radius of a place's mark, in points.
const MARK: f32 = 11.0;

/// Draws the three views.
pub(super) fn board_ui(ui: &mut Ui, doc: &Document, view: &mut ConditionView, sketch: &DrawnSketch, commands: &mut Vec<Command>) {
    let area = ui.max_rect();
    let wide = area.width() >= 520.0;
    let (side, rest) = if wide {
        area.split_left_right_at_x(area.left() + area.width() * 0.6)
    } else {
        area.split_top_bottom_at_y(area.top() + area.height() * 0.5)
    };
    let (above, underneath) = if wide { rest.split_top_bottom_at_y(rest.center().y) } else { rest.split_left_right_at_x(rest.center().x) };
    for (from, rect) in [(View::Side, side), (View::Above, above), (View::Underneath, underneath)] {
        view_ui(ui, doc, view, sketch, from, rect.shrink(4.0), commands);
    }
}

fn view_ui(
    ui: &mut Ui,
    doc: &Document,
    view: &mut ConditionView,
    sketch: &DrawnSketch,
    from: View,
    rect: Rect,
    commands: &mut Vec<Command>,
) {
    let c = theme::colours(ui);
    let response = ui.interact(rect, widgets::id(("condition", from.words())), Sense::click());
    let kind = of_data(doc.condition_rules.name_of(view.kind(&doc.condition_rules))).into_owned();
    let label = say!("Point at the {kind} {from}", kind, from = from.words());
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, &label));
    let edge = if response.has_focus() { Stroke::new(2.0, c.glow) } else { Stroke::new(1.0, c.edge) };
    ui.painter().rect(rect, 8.0, c.paper, edge, egui::StrokeKind::Inside);
    let painter = ui.painter().with_clip_rect(rect.shrink(1.0));
    let inner = Rect::from_min_max(rect.min + vec2(14.0, 28.0), rect.max - vec2(14.0, 14.0));
    let placing = vessel::placing_of(sketch, from, inner);
    let regions = match from {
        View::Side | View::Hand => {
            paint::grid(&painter, rect.shrink(1.0), placing, c.grid);
            vessel::side_view(&painter, sketch, placing, c, None)
        }
        View::Above => vessel::above_view(&painter, sketch, inner, c, None),
        View::Underneath => vessel::underneath_view(&painter, sketch, inner, c, None),
    };
    painter.text(rect.left_top() + vec2(8.0, 6.0), Align2::LEFT_TOP, capital(from.words()), FontId::proportional(14.0), c.ink_soft);
    let bounds = placing.rect(vessel::bounds_of(sketch, from));
    marks_ui(ui, doc, view, from, bounds, rect, c);
    if response.clicked() {
        // The keyboard points at the middle; the place can then be moved.
        let at = response.interact_pointer_pos().unwrap_or(bounds.center());
        view.add(doc, part_at(&regions, at), Some(place_of(from, bounds, at)), commands);
    }
    if let Some(at) = response.hover_pos() {
        let part = part_at(&regions, at);
        painter.circle_stroke(at, MARK, Stroke::new(2.0, c.glow));
        response.on_hover_text(say!("{kind} on the {part}", kind = capital(&kind), part = part.word()));
    }
}

/// The uppermost part under a point; the body where there is none.
fn part_at(regions: &[(Part, Rect)], at: Pos2) -> Part {
    let rank = |part: Part| match part {
        Part::Body => 0,
        Part::Lid => 1,
        _ => 2,
    };
    let under = regions.iter().filter(|(_, rect)| rect.contains(at)).max_by_key(|(part, _)| rank(*part));
    under.map_or(Part::Body, |(part, _)| *part)
}

fn place_of(view: View, bounds: Rect, at: Pos2) -> Place {
    let share = |x: f32, from: f32, to: f32| f64::from(((x - from) / (to - from).max(1.0)).clamp(0.0, 1.0));
    Place { view, across: share(at.x, bounds.left(), bounds.right()), down: share(at.y, bounds.top(), bounds.bottom()) }
}

fn at_place(place: Place, bounds: Rect) -> Pos2 {
    pos2(bounds.left() + bounds.width() * place.across as f32, bounds.top() + bounds.height() * place.down as f32)
}

/// The places of what was noted in this view, by their numbers.
fn marks_ui(ui: &mut Ui, doc: &Document, view: &mut ConditionView, from: View, bounds: Rect, rect: Rect, c: &Colours) {
    for (number, flaw) in doc.hand.piece.condition.flaws.iter().enumerate() {
        let Some(place) = flaw.place.filter(|place| place.view == from) else { continue };
        let at = at_place(place, bounds).clamp(rect.min + vec2(MARK, MARK), rect.max - vec2(MARK, MARK));
        let target = Rect::from_center_size(at, vec2(34.0, 34.0));
        let response = ui.interact(target, widgets::id(("fault on the board", number)), Sense::click());
        let words = say!("Fault {number}: {fault}", number = number + 1, fault = flaw.words(&doc.condition_rules));
        let on = view.chosen == Some(number);
        response.widget_info(|| WidgetInfo::selected(Role::Button, true, on, &words));
        let painter = ui.painter();
        let ring = if on || response.has_focus() || response.hovered() { c.glow } else { c.paper };
        painter.circle(at, MARK, c.alarm, Stroke::new(2.5, ring));
        painter.text(at, Align2::CENTER_CENTER, (number + 1).to_string(), FontId::new(13.0, theme::bold()), c.paper);
        if response.clicked() {
            view.chosen = Some(number);
            (view.size, view.note) = (None, None);
        }
        response.on_hover_text(words);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_place_is_a_share_of_the_drawing_and_leads_back() {
        let bounds = Rect::from_min_max(pos2(100.0, 50.0), pos2(300.0, 150.0));
        let at = pos2(150.0, 125.0);
        let place = place_of(View::Side, bounds, at);
        assert_eq!((place.across, place.down), (0.25, 0.75));
        assert_eq!(at_place(place, bounds), at);
        let beside = place_of(View::Side, bounds, pos2(0.0, 999.0));
        assert_eq!((beside.across, beside.down), (0.0, 1.0));
        // The same place on a drawing of twice the size.
        let larger = Rect::from_min_max(pos2(0.0, 0.0), pos2(400.0, 200.0));
        assert_eq!(at_place(place, larger), pos2(100.0, 150.0));
    }

    #[test]
    fn the_uppermost_part_is_pointed_at() {
        let regions = [
            (Part::Lid, Rect::from_min_max(pos2(0.0, 0.0), pos2(50.0, 20.0))),
            (Part::Body, Rect::from_min_max(pos2(0.0, 10.0), pos2(50.0, 80.0))),
            (Part::Finial, Rect::from_min_max(pos2(20.0, 0.0), pos2(30.0, 5.0))),
        ];
        assert_eq!(part_at(&regions, pos2(25.0, 2.0)), Part::Finial);
        assert_eq!(part_at(&regions, pos2(5.0, 15.0)), Part::Lid);
        assert_eq!(part_at(&regions, pos2(5.0, 60.0)), Part::Body);
        assert_eq!(part_at(&regions, pos2(500.0, 60.0)), Part::Body);
    }
}
