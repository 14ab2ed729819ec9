//! The photograph with its ring, and the strips below it.

use super::alike::{Beside, over_ui};
use super::setup::Setup;
use super::view::{Open, Picture, Tool};
use crate::desk::canvas::{Dragging, Handle, Laid, SEAM, handle_ui, loupe};
use crate::desk::icons::Icon;
use crate::desk::theme::{self, TARGET};
use crate::desk::widgets::{self, button, remark};
use crate::photo::OUTLINE_COLOUR;
use crate::photo::mark::{MarkBy, Ring};
use crate::say;
use egui::{Color32, Pos2, Rect, Role, ScrollArea, Sense, Shape, Stroke, TextureId, Ui, WidgetInfo, pos2, vec2};
use kurbo::{Point, Vec2};

const RING: Color32 = {
    let [r, g, b] = OUTLINE_COLOUR;
    Color32::from_rgb(r, g, b)
};
/// Share of the height that the strips take.
const STRIPS: f32 = 0.36;
/// A strip is shown no higher than this, in points.
const STRIP_HIGH: f32 = 48.0;

pub(super) fn sheet_ui(ui: &mut Ui, open: &mut Open, all: Rect) {
    let split = all.bottom() - STRIPS * all.height();
    let canvas = Rect::from_min_max(all.min, pos2(all.right(), split - 8.0));
    let strips = Rect::from_min_max(pos2(all.left(), split), all.max);
    canvas_ui(ui, open, canvas);
    widgets::in_rect(ui, "strips", strips, |ui| {
        ScrollArea::vertical().id_salt("strips").auto_shrink(false).show(ui, |ui| {
            ui.set_max_width(strips.width() - 10.0);
            strips_ui(ui, open);
        });
    });
}

fn canvas_ui(ui: &mut Ui, open: &mut Open, whole: Rect) {
    let c = theme::colours(ui);
    ui.painter().rect_filled(whole, 6.0, c.table);
    if let Picture::Failed(why) = &open.picture {
        let why = why.clone();
        widgets::in_rect(ui, say!("no picture"), whole.shrink(16.0), |ui| ui.colored_label(c.alarm, why));
        return;
    }
    let (Some((width, height)), Some(texture)) = (open.size(), open.laid.as_ref().map(|shown| shown.plain.id())) else {
        ui.painter().text(whole.center(), egui::Align2::CENTER_CENTER, say!("Opening …"), egui::FontId::proportional(16.0), c.ink_soft);
        return;
    };
    let canvas = match open.beside {
        Some((_, Beside::Side)) => whole.split_left_right_at_fraction(0.5).0.shrink(2.0),
        _ => whole,
    };
    let response = ui.interact(canvas, widgets::id("mark canvas"), Sense::click_and_drag());
    response.widget_info(|| WidgetInfo::labeled(Role::Image, true, say!("Photograph of the mark")));
    let dragging = if open.tool == Tool::Hand { Dragging::MovesIt } else { Dragging::IsForATool };
    let laid = open.looking.laid(ui, &response, canvas, vec2(width as f32, height as f32), dragging);
    let painter = ui.painter().with_clip_rect(canvas.intersect(ui.clip_rect()));
    laid.paint(&painter, texture);
    over_ui(ui, open, laid, canvas, whole);
    if open.tool == Tool::Pick
        && response.clicked()
        && let Some(at) = response.interact_pointer_pos()
    {
        open.pick(laid.px(at));
    }
    ring_ui(ui, open, laid, canvas, texture);
    open.looking.buttons_ui(ui, canvas);
}

fn ring_ui(ui: &Ui, open: &mut Open, laid: Laid, canvas: Rect, texture: TextureId) {
    let Some(ring) = open.ring() else { return };
    let painter = ui.painter().with_clip_rect(canvas.intersect(ui.clip_rect()));
    let mut round: Vec<Pos2> = ring.outline(160).iter().map(|p| laid.screen(*p)).collect();
    round.extend(round.first().copied());
    painter.add(Shape::line(round.clone(), Stroke::new(4.0, SEAM)));
    painter.add(Shape::line(round, Stroke::new(2.0, RING)));
    if open.tool == Tool::Pick {
        return;
    }
    let mut held = None;
    for (place, name) in
        [(Place::Middle, say!("Middle of the ring")), (Place::End, say!("End of the ring")), (Place::Side, say!("Side of the ring"))]
    {
        let px = place.of(&ring);
        let Some(pulled) = handle_ui(ui, laid, canvas, Handle { name, px, colour: RING, side: TARGET }) else { continue };
        if pulled.by != Vec2::ZERO {
            let by = MarkBy::Ring(place.pulled(&ring, pulled.by));
            open.tool = Tool::Dragging(Box::new(Setup { by, ..open.steps.now().clone() }));
        }
        if pulled.let_go
            && let Tool::Dragging(setup) = &open.tool
        {
            open.steps.push((**setup).clone());
            open.tool = Tool::Hand;
        }
        if pulled.active {
            held = Some(px);
        }
    }
    if let Some(at) = held {
        loupe(&painter, texture, laid, canvas, at, RING);
    }
}

/// A handle of the ring.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Place {
    Middle,
    /// Of the major axis.
    End,
    /// Of the minor axis.
    Side,
}

impl Place {
    fn of(self, ring: &Ring) -> Point {
        let along = Vec2::from_angle(ring.turn_rad);
        match self {
            Self::Middle => ring.centre,
            Self::End => ring.centre + along * ring.major,
            Self::Side => ring.centre + Vec2::new(-along.y, along.x) * ring.minor,
        }
    }

    /// The ring with this place moved.
    fn pulled(self, ring: &Ring, by: Vec2) -> Ring {
        let to = self.of(ring) + by;
        match self {
            Self::Middle => Ring { centre: to, ..*ring },
            Self::End => Ring::oval_through(ring.centre, to, Self::Side.of(ring)),
            Self::Side => {
                let along = Vec2::from_angle(ring.turn_rad);
                let arm: Vec2 = to - ring.centre;
                let minor = arm.dot(Vec2::new(-along.y, along.x)).abs();
                Ring::new(ring.centre, (ring.major, minor), ring.turn_rad)
            }
        }
    }
}

fn strips_ui(ui: &mut Ui, open: &mut Open) {
    let c = theme::colours(ui);
    let Some(shown) = &open.laid else { return };
    match &shown.laid.unrolled {
        Err(why) => {
            ui.colored_label(c.alarm, crate::key::capital(why));
        }
        Ok(unrolled) => {
            let mut suggest = None;
            for (number, (strip, texture)) in unrolled.strips.iter().zip(&shown.strips).enumerate() {
                let size = vec2(strip.width as f32, strip.height as f32);
                let scale = ((ui.available_width()) / size.x.max(1.0)).min(STRIP_HIGH / size.y.max(1.0));
                ui.horizontal_wrapped(|ui| {
                    remark(ui, crate::key::capital(strip.place.name()));
                    if open.reader.is_some()
                        && button(ui, Icon::Look, say!("Suggest"))
                            .on_hover_text(say!("Let tesseract read this strip; it is often wrong"))
                            .clicked()
                    {
                        suggest = Some(number);
                    }
                    match open.suggested.get(&number) {
                        Some(Ok(reading)) if reading.text.is_empty() => {
                            remark(ui, say!("The machine reads nothing here"));
                        }
                        Some(Ok(reading)) => {
                            let words = say!(
                                "Perhaps “{text}”, {confidence} sure",
                                text = reading.text,
                                confidence = crate::key::percent(reading.confidence)
                            );
                            if button(ui, Icon::Add, &words).on_hover_text(say!("Add it to what can be read")).clicked() {
                                if !open.typed.is_empty() && !open.typed.ends_with(' ') {
                                    open.typed.push(' ');
                                }
                                open.typed.push_str(&reading.text);
                            }
                        }
                        Some(Err(why)) => {
                            ui.colored_label(c.alarm, crate::key::capital(why));
                        }
                        None => {}
                    }
                });
                let (rect, response) = ui.allocate_exact_size(size * scale, Sense::hover());
                response.widget_info(|| {
                    WidgetInfo::labeled(Role::Image, true, say!("Strip {number}: {place}", number = number + 1, place = strip.place.name()))
                });
                ui.painter().image(texture.id(), rect, Rect::from_min_max(pos2(0.0, 0.0), pos2(1.0, 1.0)), Color32::WHITE);
            }
            open.suggest = open.suggest.or(suggest);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn handles_move_what_they_hold() {
        let ring = Ring::new(Point::new(100.0, 80.0), (60.0, 40.0), 0.3);
        let moved = Place::Middle.pulled(&ring, Vec2::new(5.0, -3.0));
        assert_eq!((moved.centre, moved.major, moved.minor), (Point::new(105.0, 77.0), 60.0, 40.0));
        let along = Vec2::from_angle(0.3);
        let longer = Place::End.pulled(&ring, along * 10.0);
        assert!((longer.major - 70.0).abs() < 1e-9 && (longer.minor - 40.0).abs() < 1e-9, "{longer:?}");
        let wider = Place::Side.pulled(&ring, Vec2::new(-along.y, along.x) * 5.0);
        assert!((wider.minor - 45.0).abs() < 1e-9 && (wider.major - 60.0).abs() < 1e-9, "{wider:?}");
    }
}
