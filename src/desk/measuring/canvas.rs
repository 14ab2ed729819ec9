//! The photograph with what was found drawn over it, handles to drag, and the brush.

use super::areas::{area_places, draw_areas, use_area};
use super::setup::{Setup, Subject, Which};
use super::view::{Open, Picture};
use crate::desk::icons::Icon;
use crate::desk::photographs::moved;
use crate::desk::theme::{self, TARGET};
use crate::desk::widgets::{self, Ability, icon_button, icon_button_if};
use crate::photo::camera::Placed;
use crate::photo::outline::{Above, Says, Shape, Stroke as BrushStroke};
use crate::photo::{LineColour, OUTLINE_COLOUR, SCALE_COLOUR, ScaleBy};
use egui::{Color32, Pos2, Rect, Role, Sense, Shape as Drawn, Stroke, StrokeKind, TextureId, Ui, Vec2, WidgetInfo, pos2, vec2};
use kurbo::Point;

/// What dragging on the picture does.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) enum Tool {
    /// Moves the picture; handles are dragged.
    #[default]
    Hand,
    /// Says what is the piece, or what is not.
    Brush(Says, Vec<Point>),
    /// Sets the two ends of a known length.
    Ends(Vec<Point>),
    /// Sets an area by dragging across it.
    Area(Which, Option<Point>),
    /// A handle is being dragged: the setup as it will be when it is let go.
    Dragging(Handle, Box<Setup>),
}

/// A place that can be dragged.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Handle {
    Corner(usize),
    End(usize),
    Centre,
    Axis(usize),
    /// One of the two corners of an area.
    Area(Which, usize),
}

impl Handle {
    fn name(self) -> String {
        match self {
            Self::Corner(i) => format!("Corner {} of the card", i + 1),
            Self::End(i) => format!("End {} of the length", i + 1),
            Self::Area(which, i) => format!("Corner {} of the {}'s area", i + 1, which.name()),
            Self::Centre => "Middle of the outline".to_owned(),
            Self::Axis(i) => format!("{} axis of the outline, end {}", if i % 2 == 0 { "Major" } else { "Minor" }, i / 2 + 1),
        }
    }
}

pub(super) const SCALE: Color32 = colour(SCALE_COLOUR);
pub(super) const OUTLINE: Color32 = colour(OUTLINE_COLOUR);
pub(super) const SEAM: Color32 = Color32::from_rgba_premultiplied(15, 15, 15, 150);
/// By how much deviations of the rim are enlarged where they are drawn.
const RESIDUALS_BY: f64 = 30.0;
/// Half the width of the brush on the screen, in points.
const BRUSH: f32 = 16.0;
/// Side of the loupe in points, and by how much it enlarges what the screen shows.
const LOUPE: f32 = 150.0;
const LOUPE_BY: f32 = 5.0;

const fn colour([r, g, b]: LineColour) -> Color32 {
    Color32::from_rgb(r, g, b)
}

/// Where the picture lies on the screen.
#[derive(Debug, Clone, Copy)]
pub(super) struct Laid {
    picture: Rect,
    points_from_px: f32,
}

impl Laid {
    pub(super) fn screen(&self, px: Point) -> Pos2 {
        self.picture.min + vec2(px.x as f32, px.y as f32) * self.points_from_px
    }

    pub(super) fn px(&self, at: Pos2) -> Point {
        let v = (at - self.picture.min) / self.points_from_px.max(1e-6);
        Point::new(f64::from(v.x), f64::from(v.y))
    }
}

/// Draws the picture and all that is over it.
pub(super) fn canvas_ui(ui: &mut Ui, open: &mut Open, canvas: Rect) {
    let c = theme::colours(ui);
    ui.painter().rect_filled(canvas, 6.0, c.table);
    let (texture, size) = match &open.picture {
        Picture::Ready { texture, photo, .. } => (texture.id(), (photo.width(), photo.height())),
        Picture::Failed(why) => {
            let why = why.clone();
            widgets::in_rect(ui, "no picture", canvas.shrink(16.0), |ui| ui.colored_label(c.alarm, why));
            return;
        }
        Picture::Opening | Picture::Arrived(_) => {
            ui.painter().text(canvas.center(), egui::Align2::CENTER_CENTER, "Opening …", egui::FontId::proportional(16.0), c.ink_soft);
            return;
        }
    };
    let size_px = vec2(size.0.max(1) as f32, size.1.max(1) as f32);
    let response = ui.interact(canvas, widgets::id("measuring canvas"), Sense::click_and_drag());
    response.widget_info(|| WidgetInfo::labeled(Role::Image, true, "Photograph to measure"));
    zoom_and_pan(ui, open, &response, canvas);
    let fit = ((canvas.width() - 8.0) / size_px.x).min((canvas.height() - 8.0) / size_px.y).max(1e-6);
    let on_screen = size_px * fit * open.zoom;
    let most = ((on_screen - canvas.size()) / 2.0).max(Vec2::ZERO) + canvas.size() * 0.25 * f32::from(u8::from(open.zoom > 1.0));
    open.pan = open.pan.clamp(-most, most);
    let laid = Laid { picture: Rect::from_center_size(canvas.center() + open.pan, on_screen), points_from_px: fit * open.zoom };
    let painter = ui.painter().with_clip_rect(canvas.intersect(ui.clip_rect()));
    let whole = Rect::from_min_max(pos2(0.0, 0.0), pos2(1.0, 1.0));
    painter.image(texture, laid.picture, whole, Color32::WHITE);
    use_tool(open, &response, laid);
    draw_found(&painter, open, laid);
    let held = handles_ui(ui, open, laid, canvas);
    if let Some(at) = held {
        loupe(&painter, texture, laid, canvas, at);
    }
    zoom_buttons(ui, open, canvas);
}

fn zoom_and_pan(ui: &Ui, open: &mut Open, response: &egui::Response, canvas: Rect) {
    if let Some(at) = response.hover_pos() {
        let (scroll, pinch) = ui.input(|input| (input.smooth_scroll_delta.y, input.zoom_delta()));
        let factor = pinch * (scroll / 240.0).exp();
        if factor.is_finite() && (factor - 1.0).abs() > 1e-4 {
            zoom_about(open, factor, at - canvas.center());
        }
    }
    if response.dragged() && open.tool == Tool::Hand {
        open.pan += response.drag_delta();
    }
}

fn zoom_about(open: &mut Open, factor: f32, point: Vec2) {
    let zoom = (open.zoom * factor).clamp(1.0, 24.0);
    open.pan = point + (open.pan - point) * (zoom / open.zoom);
    open.zoom = zoom;
    if zoom <= 1.0 {
        open.pan = Vec2::ZERO;
    }
}

fn zoom_buttons(ui: &mut Ui, open: &mut Open, canvas: Rect) {
    let c = theme::colours(ui);
    let row = Rect::from_min_size(pos2(canvas.left() + 6.0, canvas.bottom() - TARGET - 6.0), vec2(3.0 * (TARGET + 12.0), TARGET));
    ui.painter().rect_filled(row, 8.0, c.paper);
    widgets::in_rect(ui, "zoom", row, |ui| {
        ui.horizontal(|ui| {
            ui.spacing_mut().item_spacing.x = 4.0;
            if icon_button_if(ui, Icon::ZoomOut, "Zoom out", Ability::from(open.zoom > 1.0)).clicked() {
                zoom_about(open, 1.0 / 1.5, Vec2::ZERO);
            }
            if icon_button(ui, Icon::ZoomFit, "Show all of it").clicked() {
                zoom_about(open, 1e-6, Vec2::ZERO);
            }
            if icon_button_if(ui, Icon::ZoomIn, "Zoom in", Ability::from(open.zoom < 24.0)).clicked() {
                zoom_about(open, 1.5, Vec2::ZERO);
            }
        });
    });
}

/// The brush and the two ends of a length.
fn use_tool(open: &mut Open, response: &egui::Response, laid: Laid) {
    let at = response.interact_pointer_pos().map(|at| laid.px(at));
    match &mut open.tool {
        Tool::Brush(says, drawn) => {
            if let Some(at) = at.filter(|_| response.dragged() || response.clicked()) {
                drawn.push(at);
            }
            if (response.drag_stopped() || response.clicked()) && !drawn.is_empty() {
                let stroke =
                    BrushStroke { px: std::mem::take(drawn), radius_px: f64::from(BRUSH / laid.points_from_px.max(1e-6)), says: *says };
                let mut setup = open.steps.now().clone();
                setup.strokes.push(stroke);
                setup.near = None;
                open.steps.push(setup);
            }
        }
        Tool::Ends(ends) => {
            if let Some(at) = at.filter(|_| response.clicked()) {
                ends.push(at);
            }
            if let (&[a, b], Ok(mm)) = (ends.as_slice(), open.length.trim().parse::<f64>()) {
                let setup = Setup { scale: ScaleBy::Length([a, b], mm), near: None, ..open.steps.now().clone() };
                open.steps.push(setup);
                open.tool = Tool::Hand;
            }
        }
        Tool::Area(..) => use_area(open, response, laid),
        Tool::Hand | Tool::Dragging(..) => {}
    }
}

/// The setup that is drawn: the one being dragged, or the one that stands.
pub(super) fn shown(open: &Open) -> &Setup {
    match &open.tool {
        Tool::Dragging(_, setup) => setup,
        _ => open.steps.now(),
    }
}

fn placed(open: &Open) -> Option<Placed> {
    Some(open.found.as_ref()?.scale()?.camera.placed)
}

fn above(open: &Open) -> Option<&Above> {
    if open.steps.now().subject.is_above() { open.found.as_ref()?.above() } else { None }
}

fn corners(open: &Open) -> Option<[Point; 4]> {
    match shown(open).scale {
        ScaleBy::Corners(px) if matches!(open.tool, Tool::Dragging(Handle::Corner(_), _)) => Some(px),
        _ if open.steps.now().subject == Subject::Colour => None,
        ScaleBy::Length(..) => None,
        by => {
            let found = open.found.as_ref().filter(|found| found.by == by).and_then(|found| found.scale()?.card.as_ref());
            match (found, by) {
                (Some(card), _) => Some(card.corners_px),
                (None, ScaleBy::Corners(px)) => Some(px),
                _ => None,
            }
        }
    }
}

fn curve(open: &Open) -> Option<Shape> {
    match &open.tool {
        Tool::Dragging(Handle::Centre | Handle::Axis(_), setup) => setup.near,
        _ => above(open).map(|above| above.shape),
    }
}

fn draw_found(painter: &egui::Painter, open: &Open, laid: Laid) {
    let line = |points: Vec<Pos2>, colour: Color32| {
        painter.add(Drawn::line(points.clone(), Stroke::new(4.0, SEAM)));
        painter.add(Drawn::line(points, Stroke::new(2.0, colour)));
    };
    if let Some([a, b, c, d]) = corners(open) {
        line([a, b, c, d, a].map(|p| laid.screen(p)).to_vec(), SCALE);
    }
    draw_areas(painter, open, laid);
    draw_side(painter, open, laid);
    if let ScaleBy::Length([a, b], _) = shown(open).scale {
        line(vec![laid.screen(a), laid.screen(b)], SCALE);
    }
    if let (Some(shape), Some(placed)) = (curve(open), placed(open)) {
        let mut round: Vec<Pos2> = shape.points(240).iter().filter_map(|p| placed.project_plane(*p)).map(|p| laid.screen(p)).collect();
        round.extend(round.first().copied());
        line(round, OUTLINE);
        let axis = |angle: f64| placed.project_plane(shape.at(angle)).map(|p| laid.screen(p));
        let quarter = std::f64::consts::FRAC_PI_2;
        for from in [0.0, quarter] {
            if let (Some(a), Some(b)) = (axis(from), axis(from + 2.0 * quarter)) {
                painter.add(Drawn::dashed_line(&[a, b], Stroke::new(1.5, OUTLINE), 6.0, 5.0));
            }
        }
        if open.residuals
            && let Some(above) = above(open)
        {
            for (point, weight) in &above.points {
                let (miss, angle) = shape.distance(point.mm);
                let end = shape.at(angle) + shape.normal(angle) * (miss * RESIDUALS_BY);
                let colour = if *weight > 0.2 { OUTLINE } else { SCALE };
                if let (Some(a), Some(b)) = (placed.project_plane(shape.at(angle)), placed.project_plane(end)) {
                    painter.line_segment([laid.screen(a), laid.screen(b)], Stroke::new(1.0, colour));
                }
            }
        }
    }
    let brush = |px: &[Point], radius: f32, says: Says| {
        let colour = match says {
            Says::Piece => Color32::from_rgba_premultiplied(30, 110, 60, 110),
            Says::Other => Color32::from_rgba_premultiplied(120, 50, 20, 110),
        };
        for p in px {
            painter.circle_filled(laid.screen(*p), radius, colour);
        }
    };
    for stroke in &open.steps.now().strokes {
        brush(&stroke.px, stroke.radius_px as f32 * laid.points_from_px, stroke.says);
    }
    match &open.tool {
        Tool::Brush(says, px) => brush(px, BRUSH, *says),
        Tool::Ends(px) => px.iter().for_each(|p| {
            painter.circle(laid.screen(*p), 6.0, SCALE, Stroke::new(2.0, SEAM));
        }),
        Tool::Hand | Tool::Area(..) | Tool::Dragging(..) => {}
    }
}

/// The solid that was seen from the side, and its axis.
fn draw_side(painter: &egui::Painter, open: &Open, laid: Laid) {
    let Some(side) = open.found.as_ref().and_then(|found| found.side()).filter(|_| open.steps.now().subject == Subject::Side) else {
        return;
    };
    for p in &side.solid_px {
        painter.circle_filled(laid.screen(*p), 1.6, OUTLINE);
    }
    let axis = side.axis_px.map(|p| laid.screen(p));
    painter.add(Drawn::dashed_line(&axis, Stroke::new(1.5, OUTLINE), 6.0, 5.0));
}

/// The handles there are, with their places in the photograph.
fn handles(open: &Open) -> Vec<(Handle, Point)> {
    let mut all = Vec::new();
    if let Some(corners) = corners(open) {
        all.extend(corners.into_iter().enumerate().map(|(i, p)| (Handle::Corner(i), p)));
    }
    if let ScaleBy::Length(ends, _) = shown(open).scale {
        all.extend(ends.into_iter().enumerate().map(|(i, p)| (Handle::End(i), p)));
    }
    all.extend(area_places(open));
    if let (Some(shape), Some(placed)) = (curve(open), placed(open)) {
        all.extend(placed.project_plane(shape.centre).map(|p| (Handle::Centre, p)));
        for i in 0..4_u8 {
            let at = shape.at(std::f64::consts::FRAC_PI_2 * f64::from(i));
            all.extend(placed.project_plane(at).map(|p| (Handle::Axis(usize::from(i)), p)));
        }
    }
    all
}

/// Lets handles be dragged or moved with the arrow keys. The place of the one that is held, for the loupe.
fn handles_ui(ui: &mut Ui, open: &mut Open, laid: Laid, canvas: Rect) -> Option<Point> {
    if !matches!(open.tool, Tool::Hand | Tool::Dragging(..)) {
        return None;
    }
    let c = theme::colours(ui);
    let mut held = None;
    for (handle, px) in handles(open) {
        let at = laid.screen(px);
        if !canvas.contains(at) {
            continue;
        }
        let side = if matches!(handle, Handle::Corner(_) | Handle::Area(..)) { TARGET * 0.7 } else { TARGET };
        let response = ui.interact(
            Rect::from_center_size(at, Vec2::splat(side)),
            widgets::id(("measuring handle", handle.name())),
            Sense::click_and_drag(),
        );
        response.widget_info(|| WidgetInfo::labeled(Role::Button, true, handle.name()));
        // A frame's code may run twice; what was pressed counts once.
        let by = if ui.current_pass_index() == 0 { moved(ui, &response, laid.points_from_px) } else { Vec2::ZERO };
        if by != Vec2::ZERO {
            let by = kurbo::Vec2::new(f64::from(by.x), f64::from(by.y));
            if let Some(setup) = pulled(open, handle, by) {
                open.tool = Tool::Dragging(handle, Box::new(setup));
            }
        }
        let let_go = response.drag_stopped() || (!response.dragged() && by != Vec2::ZERO);
        if let_go
            && let Tool::Dragging(dragged, setup) = &open.tool
            && *dragged == handle
        {
            open.steps.push((**setup).clone());
            open.tool = Tool::Hand;
        }
        let active = response.dragged() || response.has_focus();
        if active {
            held = Some(px);
        }
        let colour = if matches!(handle, Handle::Corner(_) | Handle::End(_) | Handle::Area(Which::White, _)) { SCALE } else { OUTLINE };
        let radius = if active || response.hovered() { 8.0 } else { 5.5 };
        ui.painter().circle(at, radius, c.paper.gamma_multiply(0.55), Stroke::new(2.5, colour));
    }
    held
}

/// The setup with a handle moved by so many pixels.
fn pulled(open: &Open, handle: Handle, by: kurbo::Vec2) -> Option<Setup> {
    let mut setup = shown(open).clone();
    match handle {
        Handle::Corner(i) => {
            let mut px = corners(open)?;
            *px.get_mut(i)? += by;
            setup.scale = ScaleBy::Corners(px);
        }
        Handle::End(i) => {
            if let ScaleBy::Length(ends, _) = &mut setup.scale {
                *ends.get_mut(i)? += by;
            }
        }
        Handle::Area(which, i) => {
            let mut corners = setup.areas.of(which)?;
            *corners.get_mut(i)? += by;
            setup.areas.set(which, corners);
        }
        Handle::Centre | Handle::Axis(_) => {
            let (mut shape, placed) = (curve(open)?, placed(open)?);
            let angle = |i: usize| std::f64::consts::FRAC_PI_2 * i as f64;
            let from = if let Handle::Axis(i) = handle { shape.at(angle(i)) } else { shape.centre };
            let to = placed.on_plane(placed.project_plane(from)? + by, 0.0)?;
            match handle {
                Handle::Axis(i) => {
                    let arm = to - shape.centre;
                    let half = arm.hypot().clamp(5.0, 1000.0);
                    if i % 2 == 0 {
                        shape.a = half;
                        shape.turn_rad = arm.atan2() - angle(i);
                    } else {
                        shape.b = half;
                    }
                }
                _ => shape.centre = to,
            }
            setup.near = Some(shape);
        }
    }
    Some(setup)
}

/// What lies under the held handle, enlarged, in the corner farthest from it.
fn loupe(painter: &egui::Painter, texture: TextureId, laid: Laid, canvas: Rect, at: Point) {
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
        painter.line_segment([centre - arm * LOUPE / 2.0, centre - arm * 5.0], Stroke::new(1.0, SCALE));
        painter.line_segment([centre + arm * 5.0, centre + arm * LOUPE / 2.0], Stroke::new(1.0, SCALE));
    }
    painter.rect_stroke(rect, 6.0, Stroke::new(2.0, SCALE), StrokeKind::Inside);
}
