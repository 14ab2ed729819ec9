//! The photograph with what was found drawn over it, handles to drag, and the brush.

use super::areas::{area_places, draw_areas, use_area};
use super::setup::{Setup, Subject, Which};
use super::view::{Open, Picture};
use crate::desk::canvas::{self, Dragging, Laid, SEAM, handle_ui, loupe, no_picture_ui};
use crate::desk::theme::{self, TARGET};
use crate::desk::widgets;
use crate::photo::camera::Placed;
use crate::photo::outline::{Above, Says, Shape, Stroke as BrushStroke};
use crate::photo::{LineColour, OUTLINE_COLOUR, SCALE_COLOUR, ScaleBy};
use crate::say;
use egui::{Color32, Pos2, Rect, Role, Sense, Shape as Drawn, Stroke, Ui, WidgetInfo, vec2};
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
    Coin(usize),
    Centre,
    Axis(usize),
    /// One of the two corners of an area.
    Area(Which, usize),
}

impl Handle {
    fn name(self) -> String {
        match self {
            Self::Corner(i) => say!("Corner {number} of the card", number = i + 1),
            Self::End(i) => say!("End {number} of the length", number = i + 1),
            Self::Coin(i) => say!("Coin {number}", number = i + 1),
            Self::Area(Which::White, i) => say!("Corner {number} of the white's area", number = i + 1),
            Self::Area(Which::At, i) => say!("Corner {number} of the colour's area", number = i + 1),
            Self::Centre => say!("Middle of the outline").to_owned(),
            Self::Axis(i) if i % 2 == 0 => say!("Major axis of the outline, end {number}", number = i / 2 + 1),
            Self::Axis(i) => say!("Minor axis of the outline, end {number}", number = i / 2 + 1),
        }
    }
}

pub(super) const SCALE: Color32 = colour(SCALE_COLOUR);
pub(super) const OUTLINE: Color32 = colour(OUTLINE_COLOUR);
/// By how much deviations of the rim are enlarged where they are drawn.
const RESIDUALS_BY: f64 = 30.0;
/// Half the width of the brush on the screen, in points.
const BRUSH: f32 = 16.0;

const fn colour([r, g, b]: LineColour) -> Color32 {
    Color32::from_rgb(r, g, b)
}

/// Draws the picture and all that is over it.
pub(super) fn canvas_ui(ui: &mut Ui, open: &mut Open, canvas: Rect) {
    let c = theme::colours(ui);
    ui.painter().rect_filled(canvas, 6.0, c.table);
    let (texture, size) = match &open.picture {
        Picture::Ready { texture, photo, .. } => (texture.id(), (photo.width(), photo.height())),
        Picture::Failed(why) => {
            let why = why.clone();
            no_picture_ui(ui, canvas, Some(&why));
            return;
        }
        Picture::Opening | Picture::Arrived(_) => {
            no_picture_ui(ui, canvas, None);
            return;
        }
    };
    let response = ui.interact(canvas, widgets::id("measuring canvas"), Sense::click_and_drag());
    response.widget_info(|| WidgetInfo::labeled(Role::Image, true, say!("Photograph to measure")));
    let dragging = if open.tool == Tool::Hand { Dragging::MovesIt } else { Dragging::IsForATool };
    let laid = open.looking.laid(ui, &response, canvas, vec2(size.0 as f32, size.1 as f32), dragging);
    let painter = ui.painter().with_clip_rect(canvas.intersect(ui.clip_rect()));
    laid.paint(&painter, texture);
    use_tool(open, &response, laid);
    draw_found(&painter, open, laid);
    let held = handles_ui(ui, open, laid, canvas);
    if let Some(at) = held {
        loupe(&painter, texture, laid, canvas, at, SCALE);
    }
    open.looking.buttons_ui(ui, canvas);
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
        ScaleBy::Length(..) | ScaleBy::Coin(..) | ScaleBy::Coins(..) => None,
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
    for coin in open.found.as_ref().and_then(|found| found.scale()?.coins.as_ref()).iter().flat_map(|coins| &coins.edges_px) {
        let mut round: Vec<Pos2> = coin.points(90).into_iter().map(|p| laid.screen(p)).collect();
        round.extend(round.first().copied());
        line(round, SCALE);
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
    match shown(open).scale {
        ScaleBy::Coin(px, _) => all.push((Handle::Coin(0), px)),
        ScaleBy::Coins(px, _) => all.extend(px.into_iter().enumerate().map(|(i, p)| (Handle::Coin(i), p))),
        _ => {}
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
    let mut held = None;
    for (handle, px) in handles(open) {
        let side = if matches!(handle, Handle::Corner(_) | Handle::Area(..)) { TARGET * 0.7 } else { TARGET };
        let colour = if matches!(handle, Handle::Corner(_) | Handle::End(_) | Handle::Coin(_) | Handle::Area(Which::White, _)) {
            SCALE
        } else {
            OUTLINE
        };
        let drawn = canvas::Handle { name: &handle.name(), px, colour, side };
        let Some(pulled_by) = handle_ui(ui, laid, canvas, drawn) else { continue };
        if pulled_by.by != kurbo::Vec2::ZERO
            && let Some(setup) = pulled(open, handle, pulled_by.by)
        {
            open.tool = Tool::Dragging(handle, Box::new(setup));
        }
        if pulled_by.let_go
            && let Tool::Dragging(dragged, setup) = &open.tool
            && *dragged == handle
        {
            open.steps.push((**setup).clone());
            open.tool = Tool::Hand;
        }
        if pulled_by.active {
            held = Some(px);
        }
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
        Handle::Coin(i) => match &mut setup.scale {
            ScaleBy::Coin(px, _) => *px += by,
            ScaleBy::Coins(px, _) => *px.get_mut(i)? += by,
            _ => return None,
        },
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
