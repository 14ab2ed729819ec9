//! The two areas of a colour: something white, and the glaze or clay.

use super::canvas::{Handle, OUTLINE, SCALE, Tool, shown};
use super::setup::{Subject, Which};
use super::view::{Open, Picture};
use crate::desk::canvas::{Laid, SEAM};
use egui::{Rect, Stroke, StrokeKind};
use kurbo::Point;

/// A drag shorter than this, in pixels of the photograph, is a click.
const LEAST_PX: f64 = 4.0;
/// A click sets a square of twice this share of the picture's shorter side, at least so many pixels from its middle to its edge.
const CLICKED_SHARE: f64 = 0.008;
const CLICKED_PX: f64 = 6.0;

/// Dragging across the picture sets an area; a click sets a small one.
pub(super) fn use_area(open: &mut Open, response: &egui::Response, laid: Laid) {
    let at = response.interact_pointer_pos().map(|at| laid.px(at));
    let Picture::Ready { photo, .. } = &open.picture else { return };
    let half = (CLICKED_SHARE * f64::from(photo.width().min(photo.height()))).max(CLICKED_PX);
    let Tool::Area(which, from) = &mut open.tool else { return };
    if response.drag_started() || response.clicked() {
        // Where the button went down; the drag is told only some points later.
        let pressed = response.ctx.input(|input| input.pointer.press_origin()).map(|at| laid.px(at));
        if let Some(pressed) = pressed.or(at) {
            from.get_or_insert(pressed);
        }
    }
    let ended = response.drag_stopped() || response.clicked();
    if let (Some(from), Some(to), true) = (*from, at, ended) {
        let which = *which;
        let corners = if (to - from).hypot() < LEAST_PX {
            let half = kurbo::Vec2::new(half, half);
            [from - half, from + half]
        } else {
            [from, to]
        };
        open.steps.change(|setup| setup.areas.set(which, corners));
        open.tool = Tool::Hand;
    }
}

/// An area in the middle of the picture, to be moved with its corners.
pub(super) fn set_in_the_middle(open: &mut Open, which: Which) {
    let Picture::Ready { photo, .. } = &open.picture else { return };
    let (w, h) = (f64::from(photo.width()), f64::from(photo.height()));
    let x = if which == Which::White { 0.35 * w } else { 0.65 * w };
    let half = 0.03 * w.min(h);
    let (middle, half) = (Point::new(x, 0.5 * h), kurbo::Vec2::new(half, half));
    open.steps.change(|setup| setup.areas.set(which, [middle - half, middle + half]));
    open.tool = Tool::Hand;
}

/// The corners that can be dragged.
pub(super) fn area_places(open: &Open) -> Vec<(Handle, Point)> {
    if open.steps.now().subject != Subject::Colour {
        return Vec::new();
    }
    let of = |which: Which| {
        shown(open)
            .areas
            .of(which)
            .into_iter()
            .flat_map(move |corners| corners.into_iter().enumerate().map(move |(i, p)| (Handle::Area(which, i), p)))
    };
    of(Which::White).chain(of(Which::At)).collect()
}

pub(super) fn draw_areas(painter: &egui::Painter, open: &Open, laid: Laid) {
    if open.steps.now().subject != Subject::Colour {
        return;
    }
    for (which, colour) in [(Which::White, SCALE), (Which::At, OUTLINE)] {
        if let Some([a, b]) = shown(open).areas.of(which) {
            let rect = Rect::from_two_pos(laid.screen(a), laid.screen(b));
            painter.rect_stroke(rect, 2.0, Stroke::new(4.0, SEAM), StrokeKind::Middle);
            painter.rect_stroke(rect, 2.0, Stroke::new(2.0, colour), StrokeKind::Middle);
        }
    }
}
