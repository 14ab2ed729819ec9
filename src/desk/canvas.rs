//! A large picture to work on: zooming, moving it, handles over it, and a loupe.

use super::icons::Icon;
use super::photographs::moved;
use super::theme::{self, TARGET};
use super::widgets::{self, Ability, icon_button, icon_button_if};
use crate::say;
use egui::{Color32, Pos2, Rect, Response, Role, Sense, Stroke, StrokeKind, TextureId, Ui, Vec2, WidgetInfo, pos2, vec2};
use kurbo::Point;

/// A dark seam on both sides of a line over a photograph.
pub(super) const SEAM: Color32 = Color32::from_rgba_premultiplied(15, 15, 15, 150);
/// Side of the loupe in points, and by how much it enlarges what the screen shows.
const LOUPE: f32 = 150.0;
const LOUPE_BY: f32 = 5.0;
const MOST_ZOOM: f32 = 24.0;

/// What stands where a picture is to be: why it can't be opened, or that it is being opened.
pub(super) fn no_picture_ui(ui: &mut Ui, canvas: Rect, failed: Option<&str>) {
    let c = theme::colours(ui);
    if let Some(why) = failed {
        widgets::in_rect(ui, say!("no picture"), canvas.shrink(16.0), |ui| ui.colored_label(c.alarm, why));
    } else {
        let font = egui::FontId::proportional(16.0);
        ui.painter().text(canvas.center(), egui::Align2::CENTER_CENTER, say!("Opening …"), font, c.ink_soft);
    }
}

/// How a picture is looked at.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Looking {
    /// 1 shows all of it.
    zoom: f32,
    pan: Vec2,
}

impl Default for Looking {
    fn default() -> Self {
        Self { zoom: 1.0, pan: Vec2::ZERO }
    }
}

/// Whether dragging moves the picture.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Dragging {
    MovesIt,
    IsForATool,
}

impl Looking {
    /// Takes the wheel and the drag, and says where the picture of that size lies.
    pub(super) fn laid(&mut self, ui: &Ui, response: &Response, canvas: Rect, size_px: Vec2, dragging: Dragging) -> Laid {
        if let Some(at) = response.hover_pos() {
            let (scroll, pinch) = ui.input(|input| (input.smooth_scroll_delta.y, input.zoom_delta()));
            let factor = pinch * (scroll / 240.0).exp();
            if factor.is_finite() && (factor - 1.0).abs() > 1e-4 {
                self.zoom_about(factor, at - canvas.center());
            }
        }
        if response.dragged() && dragging == Dragging::MovesIt {
            self.pan += response.drag_delta();
        }
        let size_px = size_px.max(Vec2::splat(1.0));
        let fit = ((canvas.width() - 8.0) / size_px.x).min((canvas.height() - 8.0) / size_px.y).max(1e-6);
        let on_screen = size_px * fit * self.zoom;
        let most = ((on_screen - canvas.size()) / 2.0).max(Vec2::ZERO) + canvas.size() * 0.25 * f32::from(u8::from(self.zoom > 1.0));
        self.pan = self.pan.clamp(-most, most);
        Laid { picture: Rect::from_center_size(canvas.center() + self.pan, on_screen), points_from_px: fit * self.zoom }
    }

    fn zoom_about(&mut self, factor: f32, point: Vec2) {
        let zoom = (self.zoom * factor).clamp(1.0, MOST_ZOOM);
        self.pan = point + (self.pan - point) * (zoom / self.zoom);
        self.zoom = zoom;
        if zoom <= 1.0 {
            self.pan = Vec2::ZERO;
        }
    }

    /// The buttons in the lower left corner.
    pub(super) fn buttons_ui(&mut self, ui: &mut Ui, canvas: Rect) {
        let c = theme::colours(ui);
        let row = Rect::from_min_size(pos2(canvas.left() + 6.0, canvas.bottom() - TARGET - 6.0), vec2(3.0 * (TARGET + 12.0), TARGET));
        ui.painter().rect_filled(row, 8.0, c.paper);
        widgets::in_rect(ui, "zoom", row, |ui| {
            ui.horizontal(|ui| {
                ui.spacing_mut().item_spacing.x = 4.0;
                if icon_button_if(ui, Icon::ZoomOut, say!("Zoom out"), Ability::from(self.zoom > 1.0)).clicked() {
                    self.zoom_about(1.0 / 1.5, Vec2::ZERO);
                }
                if icon_button(ui, Icon::ZoomFit, say!("Show all of it")).clicked() {
                    self.zoom_about(1e-6, Vec2::ZERO);
                }
                if icon_button_if(ui, Icon::ZoomIn, say!("Zoom in"), Ability::from(self.zoom < MOST_ZOOM)).clicked() {
                    self.zoom_about(1.5, Vec2::ZERO);
                }
            });
        });
    }
}

/// Where a picture lies on the screen.
#[derive(Debug, Clone, Copy)]
pub(super) struct Laid {
    pub(super) picture: Rect,
    pub(super) points_from_px: f32,
}

impl Laid {
    pub(super) fn screen(&self, px: Point) -> Pos2 {
        self.picture.min + vec2(px.x as f32, px.y as f32) * self.points_from_px
    }

    pub(super) fn px(&self, at: Pos2) -> Point {
        let v = (at - self.picture.min) / self.points_from_px.max(1e-6);
        Point::new(f64::from(v.x), f64::from(v.y))
    }

    /// Paints the picture.
    pub(super) fn paint(&self, painter: &egui::Painter, texture: TextureId) {
        painter.image(texture, self.picture, Rect::from_min_max(pos2(0.0, 0.0), pos2(1.0, 1.0)), Color32::WHITE);
    }
}

/// A handle over a picture.
#[derive(Debug, Clone, Copy)]
pub(super) struct Handle<'a> {
    pub(super) name: &'a str,
    pub(super) px: Point,
    pub(super) colour: Color32,
    /// Side of what can be dragged, in points.
    pub(super) side: f32,
}

/// What was done with a handle in this frame.
#[derive(Debug, Clone, Copy)]
pub(super) struct Pulled {
    /// By how many pixels of the picture it was moved.
    pub(super) by: kurbo::Vec2,
    /// It was let go, or moved by a key.
    pub(super) let_go: bool,
    /// It is dragged or has the focus.
    pub(super) active: bool,
}

/// Draws a handle that can be dragged or moved with the arrow keys. None where it is out of sight.
pub(super) fn handle_ui(ui: &Ui, laid: Laid, canvas: Rect, handle: Handle<'_>) -> Option<Pulled> {
    let at = laid.screen(handle.px);
    if !canvas.contains(at) {
        return None;
    }
    let c = theme::colours(ui);
    let response =
        ui.interact(Rect::from_center_size(at, Vec2::splat(handle.side)), widgets::id(("handle", handle.name)), Sense::click_and_drag());
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, handle.name));
    // A frame's code may run twice; what was pressed counts once.
    let by = if ui.current_pass_index() == 0 { moved(ui, &response, laid.points_from_px) } else { Vec2::ZERO };
    let active = response.dragged() || response.has_focus();
    let radius = if active || response.hovered() { 8.0 } else { 5.5 };
    ui.painter().circle(at, radius, c.paper.gamma_multiply(0.55), Stroke::new(2.5, handle.colour));
    let let_go = response.drag_stopped() || (!response.dragged() && by != Vec2::ZERO);
    Some(Pulled { by: kurbo::Vec2::new(f64::from(by.x), f64::from(by.y)), let_go, active })
}

/// What lies under the held handle, enlarged, in the corner farthest from it.
pub(super) fn loupe(painter: &egui::Painter, texture: TextureId, laid: Laid, canvas: Rect, at: Point, colour: Color32) {
    let place = laid.screen(at);
    let x = if place.x < canvas.center().x { canvas.right() - LOUPE - 8.0 } else { canvas.left() + 8.0 };
    let rect = Rect::from_min_size(pos2(x, canvas.top() + 8.0), Vec2::splat(LOUPE));
    let side = laid.picture.size();
    let uv = |p: Pos2| pos2((p.x - laid.picture.left()) / side.x.max(1.0), (p.y - laid.picture.top()) / side.y.max(1.0));
    let half = Vec2::splat(LOUPE / 2.0 / LOUPE_BY);
    painter.rect_filled(rect.expand(2.0), 6.0, SEAM);
    painter.image(texture, rect, Rect::from_min_max(uv(place - half), uv(place + half)), Color32::WHITE);
    let centre = rect.center();
    for arm in [vec2(1.0, 0.0), vec2(0.0, 1.0)] {
        painter.line_segment([centre - arm * LOUPE / 2.0, centre - arm * 5.0], Stroke::new(1.0, colour));
        painter.line_segment([centre + arm * 5.0, centre + arm * LOUPE / 2.0], Stroke::new(1.0, colour));
    }
    painter.rect_stroke(rect, 6.0, Stroke::new(2.0, colour), StrokeKind::Inside);
}
