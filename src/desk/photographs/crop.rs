//! The frame by which a photograph is cropped: dragged by its handles, or moved with the arrow keys.

use crate::desk::theme::{self, TARGET};
use crate::desk::widgets;
use crate::photo::Crop;
use crate::say;
use egui::{EventFilter, Key, Pos2, Rect, Response, Role, Sense, Stroke, StrokeKind, Ui, Vec2, WidgetInfo, pos2, vec2};

/// A crop that is being made, in pixels of the whole photograph as it is turned on the screen.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(in crate::desk) struct Framing {
    rect: Rect,
    /// Width and height of the whole photograph as turned, in pixels.
    size: Vec2,
}

/// The least side of a crop, in pixels.
const LEAST_PX: f32 = 16.0;

/// The eight handles: which edges each moves (-1 left or top, 1 right or bottom), and its name.
fn handles() -> [(i8, i8, &'static str); 8] {
    [
        (-1, -1, say!("Crop handle, top left")),
        (0, -1, say!("Crop handle, top")),
        (1, -1, say!("Crop handle, top right")),
        (1, 0, say!("Crop handle, right")),
        (1, 1, say!("Crop handle, bottom right")),
        (0, 1, say!("Crop handle, bottom")),
        (-1, 1, say!("Crop handle, bottom left")),
        (-1, 0, say!("Crop handle, left")),
    ]
}

impl Framing {
    /// Begins with a crop of a photograph of that size.
    pub(in crate::desk) fn new(crop: Crop, (width, height): (u32, u32)) -> Self {
        let min = pos2(crop.left as f32, crop.top as f32);
        Self { rect: Rect::from_min_size(min, vec2(crop.width as f32, crop.height as f32)), size: vec2(width as f32, height as f32) }
    }

    /// The crop in whole pixels, within the photograph.
    pub(in crate::desk) fn crop(&self) -> Crop {
        let (min, max) = (self.rect.min.round(), self.rect.max.round());
        let px = |x: f32| x.max(0.0) as u32;
        let crop = Crop { left: px(min.x), top: px(min.y), width: px(max.x - min.x), height: px(max.y - min.y) };
        crop.within(px(self.size.x), px(self.size.y))
    }

    /// Moves the edges a handle stands for, by so many pixels. The frame stays inside and does not vanish.
    fn pull(&mut self, (x, y): (i8, i8), by: Vec2) {
        let least = self.size.min(Vec2::splat(LEAST_PX));
        let Rect { min, max } = &mut self.rect;
        match x {
            -1 => min.x = (min.x + by.x).clamp(0.0, (max.x - least.x).max(0.0)),
            1 => max.x = (max.x + by.x).clamp((min.x + least.x).min(self.size.x), self.size.x),
            _ => {}
        }
        match y {
            -1 => min.y = (min.y + by.y).clamp(0.0, (max.y - least.y).max(0.0)),
            1 => max.y = (max.y + by.y).clamp((min.y + least.y).min(self.size.y), self.size.y),
            _ => {}
        }
    }

    /// Moves the whole frame, as far as there is room.
    fn shift(&mut self, by: Vec2) {
        let most = (self.size - self.rect.size()).max(Vec2::ZERO);
        let min = (self.rect.min.to_vec2() + by).clamp(Vec2::ZERO, most);
        self.rect = Rect::from_min_size(min.to_pos2(), self.rect.size());
    }
}

/// Draws the frame over a picture at `picture` on the screen and lets it be changed.
pub(in crate::desk) fn framing_ui(ui: &mut Ui, framing: &mut Framing, picture: Rect) {
    let c = theme::colours(ui);
    let points_from_px = picture.width() / framing.size.x.max(1.0);
    let on_screen = |framing: &Framing| {
        let at = |p: Pos2| picture.min + p.to_vec2() * points_from_px;
        Rect::from_min_max(at(framing.rect.min), at(framing.rect.max))
    };
    let frame = on_screen(framing);
    let body = ui.interact(frame, widgets::id("crop frame"), Sense::click_and_drag());
    body.widget_info(|| WidgetInfo::labeled(Role::Button, true, say!("Crop frame")));
    framing.shift(moved(ui, &body, points_from_px));
    for (x, y, name) in handles() {
        let along = |side: i8, low: f32, high: f32| match side {
            -1 => low,
            1 => high,
            _ => f32::midpoint(low, high),
        };
        let frame = on_screen(framing);
        let centre = pos2(along(x, frame.left(), frame.right()), along(y, frame.top(), frame.bottom()));
        let handle =
            ui.interact(Rect::from_center_size(centre, Vec2::splat(TARGET)), widgets::id(("crop handle", x, y)), Sense::click_and_drag());
        handle.widget_info(|| WidgetInfo::labeled(Role::Button, true, name));
        framing.pull((x, y), moved(ui, &handle, points_from_px));
    }
    let frame = on_screen(framing);
    let painter = ui.painter();
    // What will be cut off is veiled.
    for veiled in [
        Rect::from_min_max(picture.min, pos2(picture.right(), frame.top())),
        Rect::from_min_max(pos2(picture.left(), frame.bottom()), picture.max),
        Rect::from_min_max(pos2(picture.left(), frame.top()), pos2(frame.left(), frame.bottom())),
        Rect::from_min_max(pos2(frame.right(), frame.top()), pos2(picture.right(), frame.bottom())),
    ] {
        painter.rect_filled(veiled, 0.0, c.table.gamma_multiply(0.72));
    }
    painter.rect_stroke(frame, 0.0, Stroke::new(2.0, c.glow), StrokeKind::Middle);
    for (x, y, _) in handles() {
        let at = frame.center() + vec2(f32::from(x) * frame.width() / 2.0, f32::from(y) * frame.height() / 2.0);
        let focused = ui.memory(|memory| memory.has_focus(widgets::id(("crop handle", x, y))));
        painter.circle(at, if focused { 9.0 } else { 7.0 }, c.paper, Stroke::new(2.0, c.glow));
    }
}

/// By how many pixels a part was dragged, or moved with the arrow keys while it has the focus (with Shift, ten times as far).
pub(in crate::desk) fn moved(ui: &Ui, response: &Response, points_from_px: f32) -> Vec2 {
    let mut by = if response.dragged() { response.drag_delta() / points_from_px.max(1e-6) } else { Vec2::ZERO };
    if response.has_focus() {
        // The arrows are for moving, not for going to the next target.
        let arrows = EventFilter { horizontal_arrows: true, vertical_arrows: true, ..EventFilter::default() };
        ui.memory_mut(|memory| memory.set_focus_lock_filter(response.id, arrows));
        ui.input(|input| {
            let step = if input.modifiers.shift { 10.0 } else { 1.0 };
            // At least a point on the screen, or nothing would be seen to move.
            let step = step * (1.0 / points_from_px.max(1e-6)).max(1.0);
            for (key, direction) in [
                (Key::ArrowLeft, vec2(-1.0, 0.0)),
                (Key::ArrowRight, vec2(1.0, 0.0)),
                (Key::ArrowUp, vec2(0.0, -1.0)),
                (Key::ArrowDown, vec2(0.0, 1.0)),
            ] {
                by += direction * step * input.num_presses(key) as f32;
            }
        });
    }
    by
}

#[cfg(test)]
mod tests {
    use super::*;

    fn framing() -> Framing {
        Framing::new(Crop { left: 20, top: 10, width: 60, height: 30 }, (100, 50))
    }

    #[test]
    fn a_handle_moves_its_edges_and_stays_inside() {
        let mut f = framing();
        f.pull((-1, -1), vec2(-5.0, -50.0));
        assert_eq!(f.crop(), Crop { left: 15, top: 0, width: 65, height: 40 });
        f.pull((1, 0), vec2(500.0, 7.0));
        assert_eq!(f.crop(), Crop { left: 15, top: 0, width: 85, height: 40 });
        f.pull((-1, 1), vec2(500.0, -500.0));
        assert_eq!(f.crop(), Crop { left: 84, top: 0, width: 16, height: 16 }, "it does not vanish");
    }

    #[test]
    fn the_frame_is_moved_as_far_as_there_is_room() {
        let mut f = framing();
        f.shift(vec2(1000.0, -3.0));
        assert_eq!(f.crop(), Crop { left: 40, top: 7, width: 60, height: 30 });
    }

    #[test]
    fn a_photograph_smaller_than_the_least_crop_is_no_trouble() {
        let mut f = Framing::new(Crop::all(4, 3), (4, 3));
        for (x, y, _) in handles() {
            f.pull((x, y), vec2(9.0, -9.0));
            f.pull((x, y), vec2(-9.0, 9.0));
        }
        f.shift(vec2(-1.0, 1.0));
        assert_eq!(f.crop(), Crop::all(4, 3));
    }
}
