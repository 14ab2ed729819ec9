//! Vessels on the screen: the three views of the sketch, and silhouettes for shelves.

use super::paint::{self, Placing};
use super::sketch::{Drawn, Sketch};
use crate::desk::theme::{self, Colours};
use crate::key::outline::Silhouette;
use crate::key::shape::Shape;
use crate::key::{Form, FormId, Part, View};
use egui::{Align2, Color32, FontId, Painter, Pos2, Rect, Stroke, pos2, vec2};
use kurbo::{Affine, BezPath, Shape as _};
use std::collections::BTreeMap;
use std::sync::Arc;

/// A sketch with its outlines in millimetres, worked out once for all the frames that show it.
#[derive(Debug)]
pub struct DrawnSketch {
    /// The sketch.
    pub sketch: Sketch,
    side: Silhouette,
    above: Silhouette,
    underneath: Silhouette,
    section: BezPath,
    lid_section: BezPath,
    surface: Vec<BezPath>,
}

impl DrawnSketch {
    /// Works out the outlines of a sketch.
    pub fn of(sketch: Sketch) -> Self {
        let shape = &sketch.shape;
        Self {
            side: shape.silhouette(),
            above: shape.above(),
            underneath: shape.underneath(),
            section: Affine::FLIP_X * shape.section(),
            lid_section: Affine::FLIP_X * shape.lid_section(),
            surface: shape.surface_lines(),
            sketch,
        }
    }
}

/// The bounds of a view in millimetres.
pub fn bounds_of(drawn: &DrawnSketch, view: View) -> kurbo::Rect {
    match view {
        View::Side | View::Hand => drawn.side.bounds,
        View::Above => drawn.above.bounds,
        View::Underneath => drawn.underneath.bounds,
    }
}

/// Where a view stands that is drawn in `rect`.
pub fn placing_of(drawn: &DrawnSketch, view: View, rect: Rect) -> Placing {
    match view {
        View::Side | View::Hand => side_placing(drawn, rect),
        View::Above | View::Underneath => Placing::fit(bounds_of(drawn, view), rect, 2.2),
    }
}

/// The placing of the side view that shows the whole sketch, standing on the table.
pub fn side_placing(drawn: &DrawnSketch, rect: Rect) -> Placing {
    let b = drawn.side.bounds;
    // Room on both sides of the axis alike, so that the axis stays in the middle as parts come and go.
    let half = b.x1.max(-b.x0).max(40.0);
    Placing::fit(kurbo::Rect::new(-half, 0.0, half, b.y1.max(40.0)), rect, 3.0)
}

/// The fill and outline of a part.
struct Inking {
    fill: Option<Color32>,
    line: Stroke,
    dashes: Dashes,
}

#[derive(PartialEq)]
enum Dashes {
    Whole,
    Dashed,
}

fn inking(drawn: Drawn, sketch: &Sketch, c: &Colours) -> Option<Inking> {
    match drawn {
        Drawn::Said => {
            let coat = sketch.glaze.or(sketch.clay).map_or(c.clay, theme::of_lab);
            Some(Inking { fill: Some(coat), line: Stroke::new(2.0, c.ink), dashes: Dashes::Whole })
        }
        Drawn::Guessed => {
            let fill = sketch.glaze.map(|lab| theme::of_lab(lab).gamma_multiply(0.35));
            Some(Inking { fill, line: Stroke::new(1.6, c.ink_faint), dashes: Dashes::Dashed })
        }
        Drawn::Gone => Some(Inking { fill: None, line: Stroke::new(1.2, c.alarm.gamma_multiply(0.7)), dashes: Dashes::Dashed }),
        Drawn::Absent => None,
    }
}

fn ink(painter: &Painter, path: &BezPath, placing: Placing, inking: &Inking) {
    if let Some(fill) = inking.fill {
        paint::fill(painter, path, placing, fill);
    }
    if inking.dashes == Dashes::Whole {
        paint::stroke(painter, path, placing, inking.line);
    } else {
        paint::dashed(painter, path, placing, inking.line);
    }
}

/// Draws the side view, cut at the left of the axis and whole at the right, and says where each part is.
pub fn side_view(painter: &Painter, figure: &DrawnSketch, placing: Placing, c: &Colours, lit: Option<Part>) -> Vec<(Part, Rect)> {
    let (sketch, silhouette) = (&figure.sketch, &figure.side);
    let clip = painter.clip_rect();
    let axis = placing.origin.x;
    let right = painter.with_clip_rect(Rect::from_min_max(pos2(axis, clip.top()), clip.max));
    let left = painter.with_clip_rect(Rect::from_min_max(clip.min, pos2(axis, clip.bottom())));
    let table = placing.origin.y;
    painter.hline(clip.left() + 6.0..=clip.right() - 6.0, table + 1.0, Stroke::new(1.5, c.ink_soft));

    let mut regions = Vec::new();
    for (part, path) in &silhouette.parts {
        let drawn = sketch.part(*part);
        let Some(look) = inking(drawn, sketch, c) else { continue };
        let rect = placing.rect(path.bounding_box());
        regions.push((*part, rect));
        if lit == Some(*part) {
            paint::glow(painter, path, placing, c.glow);
            if drawn != Drawn::Said {
                paint::fill(painter, path, placing, c.glow_wash);
            }
        }
        let cut = matches!(part, Part::Body | Part::Lid) && drawn == Drawn::Said;
        if *part == Part::Foot && sketch.part(Part::Body) == Drawn::Said {
            // The body is cut at the left, and its section shows the foot already.
            ink(&right, path, placing, &look);
        } else if cut {
            ink(&right, path, placing, &look);
            paint::fill(&left, path, placing, c.paper);
            paint::stroke(&left, path, placing, look.line);
            let section = if *part == Part::Body { &figure.section } else { &figure.lid_section };
            paint::fill(&left, section, placing, c.clay_dark);
        } else {
            let look =
                if lit == Some(*part) && look.dashes == Dashes::Dashed { Inking { line: Stroke::new(2.0, c.glow), ..look } } else { look };
            ink(painter, path, placing, &look);
        }
        if *part == Part::Body && drawn == Drawn::Said {
            for line in &figure.surface {
                paint::stroke(&right, line, placing, Stroke::new(1.0, c.ink.gamma_multiply(0.45)));
            }
        }
    }
    let top = placing.at(0.0, silhouette.bounds.y1).y - 8.0;
    painter.extend(egui::Shape::dashed_line(
        &[pos2(axis, table), pos2(axis, top)],
        Stroke::new(1.0, c.ink_soft.gamma_multiply(0.8)),
        9.0,
        4.0,
    ));
    unknown_signs(painter, sketch, &regions, c);
    foot_region(sketch, placing, &mut regions);
    if lit == Some(Part::Foot)
        && let Some((_, rect)) = regions.iter().find(|(part, _)| *part == Part::Foot)
    {
        painter.rect_stroke(rect.expand(3.0), 5.0, Stroke::new(2.5, c.glow), egui::StrokeKind::Outside);
    }
    regions
}

/// A question mark on the body and the lid where nothing was said of them.
fn unknown_signs(painter: &Painter, sketch: &Sketch, regions: &[(Part, Rect)], c: &Colours) {
    for (part, rect) in regions {
        if matches!(part, Part::Body | Part::Lid) && sketch.part(*part) == Drawn::Guessed && rect.height() > 16.0 {
            let size = (rect.height() * 0.3).clamp(13.0, 26.0);
            painter.text(
                rect.center() + vec2(rect.width() * 0.16, 0.0),
                Align2::CENTER_CENTER,
                "?",
                FontId::new(size, theme::bold()),
                c.ink_faint,
            );
        }
        if sketch.part(*part) == Drawn::Gone {
            painter.text(rect.center(), Align2::CENTER_CENTER, crate::say!("gone"), FontId::proportional(13.0), c.alarm);
        }
    }
}

fn foot_region(sketch: &Sketch, placing: Placing, regions: &mut Vec<(Part, Rect)>) {
    if regions.iter().any(|(part, _)| *part == Part::Foot) || sketch.part(Part::Foot) == Drawn::Absent {
        return;
    }
    let foot = sketch.shape.foot_radius_mm().max(4.0);
    let height = sketch.shape.foot_height_mm().max(3.0);
    regions.push((Part::Foot, placing.rect(kurbo::Rect::new(-foot, 0.0, foot, height))));
}

/// Draws the view from above, and says where each part is.
pub fn above_view(painter: &Painter, figure: &DrawnSketch, rect: Rect, c: &Colours, lit: Option<Part>) -> Vec<(Part, Rect)> {
    let (sketch, above) = (&figure.sketch, &figure.above);
    let placing = Placing::fit(above.bounds, rect, 2.2);
    let mut regions = Vec::new();
    for (part, path) in &above.parts {
        let drawn = match part {
            Part::Body if sketch.plan_said.0 == Drawn::Said => Drawn::Said,
            Part::Body => Drawn::Guessed,
            Part::Lid if sketch.part(Part::Lid) == Drawn::Guessed || sketch.part(Part::Lid) == Drawn::Said => sketch.plan_said.1,
            other => sketch.part(*other),
        };
        view_part(painter, sketch, path, placing, c, (*part, drawn), lit, &mut regions);
    }
    if sketch.plan_said.1 != Drawn::Said
        && matches!(sketch.part(Part::Lid), Drawn::Guessed | Drawn::Said)
        && let Some((_, lid)) = regions.iter().find(|(part, _)| *part == Part::Lid)
    {
        let ink = if lit == Some(Part::Lid) { c.glow } else { c.ink_faint };
        painter.text(lid.center() + vec2(lid.width() * 0.26, 0.0), Align2::CENTER_CENTER, "?", FontId::new(22.0, theme::bold()), ink);
    }
    regions
}

/// Draws the view from underneath with the mark as far as it is known, and says where each part is.
pub fn underneath_view(painter: &Painter, figure: &DrawnSketch, rect: Rect, c: &Colours, lit: Option<Part>) -> Vec<(Part, Rect)> {
    let (sketch, below) = (&figure.sketch, &figure.underneath);
    let placing = Placing::fit(below.bounds, rect, 2.2);
    let mut regions = Vec::new();
    for (part, path) in &below.parts {
        view_part(painter, sketch, path, placing, c, (*part, sketch.part(*part)), lit, &mut regions);
    }
    let foot = (sketch.shape.foot_radius_mm() as f32 * placing.scale).max(26.0);
    let ink = sketch.ink.map_or(c.moss, theme::of_lab);
    let is_bare = sketch.part(Part::Body) != Drawn::Said;
    let ground = if is_bare { c.paper } else { sketch.glaze.or(sketch.clay).map_or(c.clay, theme::of_lab) };
    let ink = readable(ink, ground, c);
    let lines = sketch.mark.len().min(4);
    let height = (foot * 1.2 / lines.max(1) as f32).min(16.0);
    for (i, line) in sketch.mark.iter().take(lines).enumerate() {
        let at = placing.origin + vec2(0.0, (i as f32 - (lines as f32 - 1.0) / 2.0) * height);
        let wide = painter.layout_no_wrap(line.clone(), FontId::new(12.0, theme::bold()), ink).size().x;
        let size = (12.0 * foot * 1.7 / wide.max(1.0)).clamp(6.5, 13.0).min(height);
        painter.text(at, Align2::CENTER_CENTER, line, FontId::new(size, theme::bold()), ink);
    }
    regions
}

/// An ink that can be read on its ground (4.5 : 1, as text must): itself, or else the plain ink, or else that for dark grounds.
fn readable(ink: Color32, ground: Color32, c: &Colours) -> Color32 {
    let reads = |ink: &Color32| theme::contrast(*ink, ground) >= 4.5;
    let all = [ink, c.ink, c.on_ink];
    let best = all.into_iter().reduce(|a, b| if theme::contrast(b, ground) > theme::contrast(a, ground) { b } else { a });
    all.into_iter().find(reads).or(best).unwrap_or(ink)
}

#[expect(clippy::too_many_arguments, reason = "one part of a view: where, how and what")]
fn view_part(
    painter: &Painter,
    sketch: &Sketch,
    path: &BezPath,
    placing: Placing,
    c: &Colours,
    (part, drawn): (Part, Drawn),
    lit: Option<Part>,
    regions: &mut Vec<(Part, Rect)>,
) {
    let Some(look) = inking(drawn, sketch, c) else { return };
    let rect = placing.rect(path.bounding_box());
    match regions.iter_mut().find(|(known, _)| *known == part && part != Part::Handle) {
        Some((_, known)) => *known = known.union(rect),
        None => regions.push((part, rect)),
    }
    let glowing = lit == Some(part);
    if glowing {
        paint::glow(painter, path, placing, c.glow);
        if drawn != Drawn::Said {
            paint::fill(painter, path, placing, c.glow_wash);
        }
    } else if drawn == Drawn::Guessed && matches!(part, Part::Body | Part::Lid) {
        paint::fill(painter, path, placing, c.paper);
    }
    let look = if glowing && look.dashes == Dashes::Dashed { Inking { line: Stroke::new(2.0, c.glow), ..look } } else { look };
    ink(painter, path, placing, &look);
}

/// A silhouette in millimetres as one set of closed lines, ready to be placed.
#[derive(Debug, Clone)]
pub struct Drawn2d {
    /// The outline of each part.
    pub paths: Vec<BezPath>,
    /// Strokes of the surface.
    pub lines: Vec<BezPath>,
    /// Its bounds, in millimetres.
    pub bounds: kurbo::Rect,
}

impl Drawn2d {
    /// The silhouette of a shape.
    pub fn of(shape: &Shape) -> Self {
        let silhouette = shape.silhouette();
        Self {
            paths: silhouette.parts.into_iter().map(|(_, path)| path).collect(),
            lines: shape.surface_lines(),
            bounds: silhouette.bounds,
        }
    }

    /// Draws it filled, with the seams between its parts left light.
    pub fn paint(&self, painter: &Painter, placing: Placing, fill: Color32, seam: Color32) {
        for path in &self.paths {
            paint::fill(painter, path, placing, fill);
        }
        for path in &self.paths {
            paint::stroke(painter, path, placing, Stroke::new(0.7, seam));
        }
        if placing.scale > 0.35 {
            for line in &self.lines {
                paint::stroke(painter, line, placing, Stroke::new(0.6, seam));
            }
        }
    }
}

/// Silhouettes kept between frames, by form. A form drawn anew after an edit replaces the old drawing.
#[derive(Debug, Default)]
pub struct Drawings {
    kept: BTreeMap<FormId, (Shape, Arc<Drawn2d>)>,
}

impl Drawings {
    /// The drawing of a form.
    pub fn of(&mut self, form: &Form) -> Arc<Drawn2d> {
        if let Some((shape, drawn)) = self.kept.get(&form.id)
            && *shape == form.shape
        {
            return Arc::clone(drawn);
        }
        let drawn = Arc::new(Drawn2d::of(&form.shape));
        self.kept.insert(form.id.clone(), (form.shape.clone(), Arc::clone(&drawn)));
        drawn
    }
}

/// A rule with a mark each millimetre step, standing upright from the table.
pub fn rule(painter: &Painter, foot: Pos2, height: f32, points_per_mm: f32, c: &Colours) {
    let step_mm = if points_per_mm > 1.2 { 5.0 } else { 10.0 };
    let most = height / points_per_mm;
    painter.vline(foot.x, foot.y - height..=foot.y, Stroke::new(1.0, c.ink_soft));
    let mut mm = 0.0;
    while mm <= most {
        let y = foot.y - mm * points_per_mm;
        let long = mm % 50.0 == 0.0;
        let length = if long { 12.0 } else { 6.0 };
        painter.hline(foot.x..=foot.x + length, y, Stroke::new(if long { 1.5 } else { 1.0 }, c.ink_soft));
        if long && mm > 0.0 {
            let words = if mm % 100.0 == 0.0 { format!("{mm:.0} mm") } else { format!("{mm:.0}") };
            painter.text(pos2(foot.x + 15.0, y), Align2::LEFT_CENTER, words, FontId::proportional(11.5), c.ink_soft);
        }
        mm += step_mm;
    }
}
