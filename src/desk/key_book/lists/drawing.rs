//! Choosing how a value or a decoration is drawn: one of the drawings of the trade's shapes, one that the key has already, or strokes drawn by hand.

use crate::desk::board::glyph;
use crate::desk::document::Document;
use crate::desk::icons::Icon;
use crate::desk::theme::{self, TARGET};
use crate::desk::widgets::{Ability, icon_button_if, remark};
use crate::key::FeatureKind;
use crate::key::shape::{Drawing, FinialKind, FootKind, HandleKind, Plan, SpoutKind, Surface};
use crate::{say, say_count};
use egui::{
    Button, CornerRadius, Popup, PopupCloseBehavior, Pos2, Rect, Role, ScrollArea, Sense, Stroke, StrokeKind, Ui, WidgetInfo, pos2, vec2,
};

/// Side of the square that strokes are drawn in, in points.
const PAD: f32 = 220.0;
/// Points of a stroke nearer than this to the line through their neighbours are left out, in parts of the square.
const STRAIGHT: f64 = 0.012;

fn shapes() -> Vec<(String, Drawing)> {
    let mut out: Vec<(String, Drawing)> =
        vec![(say!("by its name alone").to_owned(), Drawing::None), (say!("not there").to_owned(), Drawing::Absent)];
    let plans = [
        (say!("round"), Plan::Round),
        (say!("oval"), Plan::Oval(1.3)),
        (say!("rounded square"), Plan::RoundedSquare),
        (say!("oblong"), Plan::Oblong(1.4)),
        (say!("six-sided"), Plan::Sided(6)),
        (say!("eight-sided"), Plan::Sided(8)),
        (say!("lobed"), Plan::Lobed(6)),
    ];
    out.extend(plans.map(|(words, plan)| (words.to_owned(), Drawing::Plan(plan))));
    let handles = [
        (say!("loop handle"), HandleKind::Loop),
        (say!("ear handle"), HandleKind::Ear),
        (say!("angular handle"), HandleKind::Angular),
        (say!("lug"), HandleKind::Lug),
        (say!("stick handle"), HandleKind::Stick),
        (say!("bail"), HandleKind::Bail),
        (say!("pierced handle"), HandleKind::Pierced),
    ];
    out.extend(handles.map(|(words, kind)| (words.to_owned(), Drawing::Handle(kind))));
    out.extend((0..=4).map(|n| (say_count!(n, "{n} handle", "{n} handles"), Drawing::Handles(n as u8))));
    let spouts = [
        (say!("lip"), SpoutKind::Lip),
        (say!("beak"), SpoutKind::Beak),
        (say!("tube"), SpoutKind::Tube),
        (say!("swan neck"), SpoutKind::Swan),
    ];
    out.extend(spouts.map(|(words, kind)| (words.to_owned(), Drawing::Spout(kind))));
    let finials = [
        (say!("ball"), FinialKind::Ball),
        (say!("button"), FinialKind::Button),
        (say!("cone"), FinialKind::Cone),
        (say!("upright ring"), FinialKind::Ring),
        (say!("strap"), FinialKind::Strap),
        (say!("bar"), FinialKind::Bar),
        (say!("sunk grip"), FinialKind::Sunk),
    ];
    out.extend(finials.map(|(words, kind)| (words.to_owned(), Drawing::Finial(kind))));
    let feet = [
        (say!("foot ring"), FootKind::Ring),
        (say!("flat foot"), FootKind::Flat),
        (say!("pedestal"), FootKind::Pedestal),
        (say!("stumps"), FootKind::Stumps),
        (say!("hollow foot"), FootKind::Hollow),
    ];
    out.extend(feet.map(|(words, kind)| (words.to_owned(), Drawing::Foot(kind))));
    let surfaces = [
        (say!("plain surface"), Surface::Plain),
        (say!("ribs"), Surface::Ribs(6, 20.0, 80.0)),
        (say!("flutes"), Surface::Flutes(24)),
        (say!("facets"), Surface::Facets(8)),
    ];
    out.extend(surfaces.map(|(words, surface)| (words.to_owned(), Drawing::Surface(surface))));
    out
}

/// Drawings that values and decorations of the key have and the list of shapes lacks: profiles and strokes.
fn known(doc: &Document) -> Vec<(String, Drawing)> {
    let values = doc.key.features.iter().filter_map(|feature| match &feature.kind {
        FeatureKind::Choice(values) => Some(values.iter().map(|value| (value.shown_name(), value.drawing.clone()))),
        FeatureKind::Measure(_) | FeatureKind::Glaze | FeatureKind::Decoration | FeatureKind::Mark => None,
    });
    let decorations = doc.key.decorations.iter().map(|decoration| (decoration.name.clone(), decoration.drawing.clone()));
    let mut out: Vec<(String, Drawing)> = Vec::new();
    for (words, drawing) in values.flatten().chain(decorations) {
        let own = matches!(drawing, Drawing::Body(_) | Drawing::Lid(_) | Drawing::Rim(_) | Drawing::Strokes(_));
        if own && !out.iter().any(|(_, known)| *known == drawing) {
            out.push((say!("as {words}", words), drawing));
        }
    }
    out
}

/// The drawing of something as a button that opens all there are to choose from.
pub(super) fn drawing_ui(ui: &mut Ui, doc: &Document, of: &str, drawing: &mut Drawing) {
    let c = theme::colours(ui);
    let (rect, response) = ui.allocate_exact_size(vec2(TARGET + 6.0, TARGET + 6.0), Sense::click());
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, say!("Drawing of {of}", of)));
    let line = if response.hovered() || response.has_focus() { Stroke::new(2.0, c.glow) } else { Stroke::new(1.0, c.edge) };
    ui.painter().rect(rect, CornerRadius::same(6), c.paper_warm, line, StrokeKind::Inside);
    glyph::drawing_glyph(ui.painter(), rect.shrink(5.0), drawing, c);
    Popup::menu(&response).close_behavior(PopupCloseBehavior::CloseOnClickOutside).show(|ui| {
        ui.set_max_width(420.0);
        ScrollArea::vertical().max_height(430.0).show(ui, |ui| {
            remark(ui, say!("Drawn as"));
            choices_ui(ui, &shapes(), drawing);
            let known = known(doc);
            if !known.is_empty() {
                remark(ui, say!("Or as something in this key is"));
                choices_ui(ui, &known, drawing);
            }
            remark(ui, say!("Or by hand: drag in the square"));
            pad_ui(ui, of, drawing);
        });
    });
}

fn choices_ui(ui: &mut Ui, all: &[(String, Drawing)], drawing: &mut Drawing) {
    let c = theme::colours(ui);
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing = vec2(4.0, 4.0);
        for (words, one) in all {
            let on = one == drawing;
            let figure = egui::Atom::paint(vec2(30.0, 30.0), |ui, args| glyph::drawing_glyph(ui.painter(), args.rect, one, c));
            let response = ui.add(Button::selectable(on, figure).min_size(vec2(TARGET + 4.0, TARGET + 4.0))).on_hover_text(words);
            response.widget_info(|| WidgetInfo::selected(Role::Button, true, on, say!("Drawn as {words}", words)));
            if response.clicked() {
                *drawing = one.clone();
            }
        }
    });
}

/// A square to draw strokes in with the mouse or a finger.
fn pad_ui(ui: &mut Ui, of: &str, drawing: &mut Drawing) {
    let c = theme::colours(ui);
    let (rect, response) = ui.allocate_exact_size(vec2(PAD, PAD), Sense::drag());
    response.widget_info(|| WidgetInfo::labeled(Role::Canvas, true, say!("Square to draw {of} in", of)));
    ui.painter().rect(rect, CornerRadius::same(6), c.paper_warm, Stroke::new(1.0, c.edge), StrokeKind::Inside);
    if !drawing.is_none() {
        glyph::drawing_glyph(ui.painter(), rect, drawing, c);
    }
    let id = response.id.with("stroke");
    let mut stroke: Vec<Pos2> = ui.data_mut(|data| data.remove_temp(id)).unwrap_or_default();
    if response.dragged()
        && let Some(at) = response.interact_pointer_pos()
        && stroke.last().is_none_or(|last| last.distance(at) > 1.5)
    {
        stroke.push(at);
    }
    if response.drag_stopped() {
        let points: Vec<(f64, f64)> = stroke.iter().map(|at| in_square(rect, *at)).collect();
        let points = simplified(&points);
        if points.len() > 1 {
            match drawing {
                Drawing::Strokes(strokes) => strokes.push(points),
                _ => *drawing = Drawing::Strokes(vec![points]),
            }
        }
    } else if !stroke.is_empty() {
        ui.painter().add(egui::Shape::line(stroke.clone(), Stroke::new(2.0, c.glow)));
        ui.data_mut(|data| data.insert_temp(id, stroke));
    }
    let drawn = matches!(drawing, Drawing::Strokes(strokes) if !strokes.is_empty());
    ui.horizontal(|ui| {
        if icon_button_if(ui, Icon::Undo, say!("Take the last stroke away"), Ability::from(drawn)).clicked()
            && let Drawing::Strokes(strokes) = drawing
        {
            strokes.pop();
            if strokes.is_empty() {
                *drawing = Drawing::None;
            }
        }
        if icon_button_if(ui, Icon::Remove, say!("Take all strokes away"), Ability::from(drawn)).clicked() {
            *drawing = Drawing::None;
        }
    });
}

fn in_square(rect: Rect, at: Pos2) -> (f64, f64) {
    let at = pos2(at.x.clamp(rect.left(), rect.right()), at.y.clamp(rect.top(), rect.bottom())) - rect.min;
    let part = |x: f32, of: f32| (f64::from(x / of.max(1.0)) * 1000.0).round() / 1000.0;
    (part(at.x, rect.width()), part(at.y, rect.height()))
}

/// The stroke without the points that say nothing (Douglas and Peucker, 1973).
fn simplified(points: &[(f64, f64)]) -> Vec<(f64, f64)> {
    let (Some(&first), Some(&last)) = (points.first(), points.last()) else { return Vec::new() };
    let off = |&(x, y): &(f64, f64)| {
        let (dx, dy) = (last.0 - first.0, last.1 - first.1);
        let length = dx.hypot(dy);
        if length < 1e-9 { (x - first.0).hypot(y - first.1) } else { ((x - first.0) * dy - (y - first.1) * dx).abs() / length }
    };
    let farthest = points.iter().map(off).enumerate().max_by(|a, b| a.1.total_cmp(&b.1));
    match farthest {
        Some((at, far)) if far > STRAIGHT && at > 0 && at + 1 < points.len() => {
            let (before, after) = (points.get(..=at).unwrap_or_default(), points.get(at..).unwrap_or_default());
            let mut out = simplified(before);
            out.pop();
            out.extend(simplified(after));
            out
        }
        _ if points.len() > 1 => vec![first, last],
        _ => vec![first],
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_stroke_keeps_its_corners_and_loses_what_is_straight() {
        let straight: Vec<(f64, f64)> = (0..=100).map(|n| (f64::from(n) / 100.0, 0.5)).collect();
        assert_eq!(simplified(&straight), [(0.0, 0.5), (1.0, 0.5)]);
        let corner: Vec<(f64, f64)> =
            (0..=10).map(|n| (f64::from(n) / 10.0, 0.0)).chain((1..=10).map(|n| (1.0, f64::from(n) / 10.0))).collect();
        assert_eq!(simplified(&corner), [(0.0, 0.0), (1.0, 0.0), (1.0, 1.0)]);
        // A closed stroke keeps its farthest point.
        assert_eq!(simplified(&[(0.0, 0.0), (0.5, 0.5), (0.0, 0.0)]), [(0.0, 0.0), (0.5, 0.5), (0.0, 0.0)]);
        assert_eq!((simplified(&[]), simplified(&[(0.1, 0.1)])), (vec![], vec![(0.1, 0.1)]));
    }
}
