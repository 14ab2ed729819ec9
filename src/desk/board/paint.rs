//! From millimetres to points on the screen, and the few ways a path is inked.

use egui::{Color32, Mesh, Painter, Pos2, Rect, Shape, Stroke, pos2, vec2};
use kurbo::{BezPath, PathEl};
use lyon_tessellation::path::Path as LyonPath;
use lyon_tessellation::{BuffersBuilder, FillOptions, FillTessellator, FillVertex, VertexBuffers, math::point};

/// Where a drawing in millimetres stands on the screen: points from millimetres.
///
/// Millimetres run right and up; points run right and down.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Placing {
    /// The screen point of the millimetre origin.
    pub origin: Pos2,
    /// Points a millimetre.
    pub scale: f32,
}

impl Placing {
    /// The placing that fits `mm` (a rectangle with y up) into `rect`, centred, no larger than `most` points a millimetre.
    pub fn fit(mm: kurbo::Rect, rect: Rect, most: f32) -> Self {
        let (w, h) = ((mm.width().max(1.0)) as f32, (mm.height().max(1.0)) as f32);
        let scale = (rect.width() / w).min(rect.height() / h).min(most).max(0.01);
        let centre = vec2(mm.center().x as f32, -mm.center().y as f32) * scale;
        Self { origin: rect.center() - centre, scale }
    }

    /// A point on the screen.
    pub fn at(&self, x_mm: f64, y_mm: f64) -> Pos2 {
        pos2(self.origin.x + x_mm as f32 * self.scale, self.origin.y - y_mm as f32 * self.scale)
    }

    /// The millimetres under a point of the screen.
    pub fn mm_at(&self, at: Pos2) -> (f64, f64) {
        (f64::from((at.x - self.origin.x) / self.scale), f64::from((self.origin.y - at.y) / self.scale))
    }

    /// A rectangle on the screen.
    pub fn rect(&self, mm: kurbo::Rect) -> Rect {
        Rect::from_two_pos(self.at(mm.x0, mm.y0), self.at(mm.x1, mm.y1))
    }

    /// The sub-paths of a path as points, curves flattened to a quarter of a point, and whether each is closed.
    pub fn lines(&self, path: &BezPath) -> Vec<(Vec<Pos2>, bool)> {
        let tolerance_mm = f64::from(0.15 / self.scale.max(1e-3));
        let mut all: Vec<(Vec<Pos2>, bool)> = Vec::new();
        kurbo::flatten(path.iter(), tolerance_mm, |el| match el {
            PathEl::MoveTo(p) => all.push((vec![self.at(p.x, p.y)], false)),
            PathEl::LineTo(p) => {
                if let Some((line, _)) = all.last_mut() {
                    line.push(self.at(p.x, p.y));
                }
            }
            PathEl::ClosePath => {
                if let Some((_, closed)) = all.last_mut() {
                    *closed = true;
                }
            }
            PathEl::QuadTo(..) | PathEl::CurveTo(..) => {}
        });
        all.retain(|(line, _)| line.len() > 1);
        all
    }
}

/// Fills a path, holes left out by the even-odd rule, with a soft edge.
pub fn fill(painter: &Painter, path: &BezPath, placing: Placing, colour: Color32) {
    fill_lines(painter, &placing.lines(path), colour);
}

/// Fills closed lines, holes left out by the even-odd rule, with a soft edge.
pub fn fill_lines(painter: &Painter, lines: &[(Vec<Pos2>, bool)], colour: Color32) {
    if colour.a() == 0 || lines.is_empty() {
        return;
    }
    let mut builder = LyonPath::builder();
    for (line, _) in lines {
        let mut at = line.iter().filter(|p| p.is_finite());
        let Some(first) = at.next() else { continue };
        builder.begin(point(first.x, first.y));
        for p in at {
            builder.line_to(point(p.x, p.y));
        }
        builder.end(true);
    }
    let mut buffers: VertexBuffers<Pos2, u32> = VertexBuffers::new();
    let mut tessellator = FillTessellator::new();
    let made = tessellator.tessellate_path(
        &builder.build(),
        &FillOptions::even_odd().with_tolerance(0.1),
        &mut BuffersBuilder::new(&mut buffers, |vertex: FillVertex<'_>| pos2(vertex.position().x, vertex.position().y)),
    );
    if made.is_err() {
        return;
    }
    let mut mesh = Mesh::default();
    for p in &buffers.vertices {
        mesh.colored_vertex(*p, colour);
    }
    mesh.indices = buffers.indices;
    painter.add(Shape::mesh(mesh));
    for (line, _) in lines {
        painter.add(Shape::closed_line(line.clone(), Stroke::new(0.8, colour)));
    }
}

/// Inks the outline of a path.
pub fn stroke(painter: &Painter, path: &BezPath, placing: Placing, stroke: Stroke) {
    for (line, closed) in placing.lines(path) {
        painter.add(if closed { Shape::closed_line(line, stroke) } else { Shape::line(line, stroke) });
    }
}

/// Inks the outline of a path in dashes: what is only guessed.
pub fn dashed(painter: &Painter, path: &BezPath, placing: Placing, stroke: Stroke) {
    for (mut line, closed) in placing.lines(path) {
        if closed && let Some(first) = line.first().copied() {
            line.push(first);
        }
        painter.extend(Shape::dashed_line(&line, stroke, 7.0, 5.0));
    }
}

/// A soft light around a path: the next look.
pub fn glow(painter: &Painter, path: &BezPath, placing: Placing, colour: Color32) {
    for (width, strength) in [(16.0, 0.10), (10.0, 0.16), (6.0, 0.22)] {
        stroke(painter, path, placing, Stroke::new(width, colour.gamma_multiply(strength)));
    }
}

/// A millimetre grid, with a stronger line each centimetre, clipped to `rect`.
pub fn grid(painter: &Painter, rect: Rect, placing: Placing, line: Color32) {
    let step_mm = [1.0_f32, 5.0, 10.0, 50.0, 100.0].into_iter().find(|step| step * placing.scale >= 7.0).unwrap_or(100.0);
    let step = step_mm * placing.scale;
    let lines = |horizontal: bool| {
        let (from, to, origin) =
            if horizontal { (rect.top(), rect.bottom(), placing.origin.y) } else { (rect.left(), rect.right(), placing.origin.x) };
        let first = ((from - origin) / step).ceil() as i64;
        let last = ((to - origin) / step).floor() as i64;
        for i in first..=last.min(first + 1000) {
            let at = origin + i as f32 * step;
            let width = if (i as f32 * step_mm) % (step_mm * 5.0) == 0.0 { 1.0 } else { 0.5 };
            let stroke = Stroke::new(width, line);
            if horizontal {
                painter.hline(rect.x_range(), at, stroke);
            } else {
                painter.vline(at, rect.y_range(), stroke);
            }
        }
    };
    lines(true);
    lines(false);
}
