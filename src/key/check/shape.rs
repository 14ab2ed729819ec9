//! The drawing of a form, and the drawings of values.

use super::Sink;
use super::entries::{above_zero, bounded};
use crate::key::model::{Form, Part};
use crate::key::problem::ProblemKind;
use crate::key::shape::{Drawing, Plan, Point, Surface};
use crate::key::text::Step;
use crate::say;

/// No piece of tableware is larger, in millimetres.
const LARGEST_MM: f64 = 2000.0;

pub(super) fn check(form: &Form, sink: &mut Sink) {
    let shape = &form.shape;
    let field = |name| [Step::Field("shape"), Step::Field(name)];
    profile("body", &shape.body, &field("body"), sink);
    if !shape.lid.is_empty() {
        profile("lid", &shape.lid, &field("lid"), sink);
    }
    above_zero(say!("the wall"), shape.wall_mm, &field("wall_mm"), sink);
    plan(&shape.plan, &field("plan"), sink);
    if let Some(lid) = &shape.lid_plan {
        plan(lid, &field("lid_plan"), sink);
    }
    bounded(
        say!("the height of the lid's edge"),
        shape.lid_sits_mm,
        -LARGEST_MM,
        LARGEST_MM,
        say!("millimetres"),
        &field("lid_sits_mm"),
        sink,
    );
    for (i, handle) in shape.handles.iter().enumerate() {
        let of = |name| [&field("handles")[..], &[Step::At(i), Step::Field(name)]].concat();
        bounded(say!("the upper root of the handle"), handle.top_mm, -LARGEST_MM, LARGEST_MM, say!("millimetres"), &of("top_mm"), sink);
        bounded(
            say!("the lower root of the handle"),
            handle.bottom_mm,
            -LARGEST_MM,
            LARGEST_MM,
            say!("millimetres"),
            &of("bottom_mm"),
            sink,
        );
        bounded(say!("the reach of the handle"), handle.reach_mm, 0.0, LARGEST_MM, say!("0 or more"), &of("reach_mm"), sink);
        above_zero(say!("the thickness of the handle"), handle.thick_mm, &of("thick_mm"), sink);
    }
    if let Some(spout) = &shape.spout {
        let of = |name| [&field("spout")[..], &[Step::Field(name)]].concat();
        bounded(say!("the root of the spout"), spout.root_mm, 0.0, LARGEST_MM, say!("0 or more"), &of("root_mm"), sink);
        bounded(say!("the tip of the spout"), spout.tip_mm, 0.0, LARGEST_MM, say!("0 or more"), &of("tip_mm"), sink);
        bounded(say!("the reach of the spout"), spout.reach_mm, 0.0, LARGEST_MM, say!("0 or more"), &of("reach_mm"), sink);
    }
    if let Some(finial) = &shape.finial {
        let of = |name| [&field("finial")[..], &[Step::Field(name)]].concat();
        bounded(say!("the height of the finial"), finial.height_mm, 0.0, LARGEST_MM, say!("0 or more"), &of("height_mm"), sink);
        above_zero(say!("the width of the finial"), finial.width_mm, &of("width_mm"), sink);
    }
    surface(shape.surface, &field("surface"), sink);
    drawn(form, Part::Lid, "lid", !shape.lid.is_empty(), sink);
    drawn(form, Part::Finial, "finial", shape.finial.is_some(), sink);
    drawn(form, Part::Handle, "handles", !shape.handles.is_empty(), sink);
    drawn(form, Part::Spout, "spout", shape.spout.is_some(), sink);
}

fn drawn(form: &Form, part: Part, field: &'static str, is_drawn: bool, sink: &mut Sink) {
    let part_word = format!("{part:?}");
    match (form.parts.contains(&part), is_drawn) {
        (true, false) => sink.push(&[Step::Field("shape")], ProblemKind::PartNotDrawn { part: part.word(), field, part_word }),
        (false, true) => {
            sink.push(&[Step::Field("shape"), Step::Field(field)], ProblemKind::DrawnPartLacking { part: part.word(), field, part_word });
        }
        _ => {}
    }
}

const fn coordinates(point: Point) -> (f64, f64) {
    match point {
        Point::Curve(radius, height) | Point::Corner(radius, height) => (radius, height),
    }
}

/// Tells of a half profile that is none.
fn profile(what: &'static str, points: &[Point], steps: &[Step], sink: &mut Sink) {
    if points.len() < 2 {
        let count = if points.is_empty() { say!("no points") } else { say!("1 point") };
        sink.push(steps, ProblemKind::TooFewPoints { what, points: count.to_owned() });
        return;
    }
    let mut sound = true;
    for (i, &point) in points.iter().enumerate() {
        let (radius, height) = coordinates(point);
        let here = [steps, &[Step::At(i)]].concat();
        let before = sink.findings.len();
        bounded(say!("the radius"), radius, 0.0, LARGEST_MM, say!("0 or more millimetres from the axis"), &here, sink);
        let least = if what == "body" { 0.0 } else { -LARGEST_MM };
        bounded(say!("the height"), height, least, LARGEST_MM, say!("0 or more millimetres above the table"), &here, sink);
        sound &= sink.findings.len() == before;
    }
    if !sound {
        return;
    }
    let greatest = points.iter().map(|&p| coordinates(p).0).fold(0.0, f64::max);
    let top = points.iter().map(|&p| coordinates(p).1).fold(f64::MIN, f64::max);
    let bottom = points.iter().map(|&p| coordinates(p).1).fold(f64::MAX, f64::min);
    if greatest <= 0.0 {
        sink.push(steps, ProblemKind::FlatProfile { what, lacks: say!("width") });
    }
    if top <= bottom && what == "body" {
        sink.push(steps, ProblemKind::FlatProfile { what, lacks: say!("height") });
    }
}

fn plan(plan: &Plan, steps: &[Step], sink: &mut Sink) {
    match *plan {
        Plan::Oval(aspect) | Plan::Oblong(aspect) => {
            bounded(say!("the aspect"), aspect, 1.0, 20.0, say!("long side ÷ short side, 1 or more"), steps, sink);
        }
        Plan::Sided(sides) => bounded(say!("the number of sides"), f64::from(sides), 3.0, 64.0, say!("3 to 64"), steps, sink),
        Plan::Lobed(lobes) => bounded(say!("the number of lobes"), f64::from(lobes), 2.0, 64.0, say!("2 to 64"), steps, sink),
        Plan::Round | Plan::RoundedSquare => {}
    }
}

fn surface(surface: Surface, steps: &[Step], sink: &mut Sink) {
    match surface {
        Surface::Ribs(_, from, to) => {
            for x in [from, to] {
                bounded(say!("the height of the ribs"), x, 0.0, LARGEST_MM, say!("0 or more"), steps, sink);
            }
            if from > to {
                sink.push(steps, ProblemKind::Backwards { what: say!("the ribs"), from: from.to_string(), to: to.to_string() });
            }
        }
        Surface::Flutes(count) | Surface::Facets(count) => {
            bounded(say!("the number"), f64::from(count), 3.0, 255.0, say!("3 or more"), steps, sink);
        }
        Surface::Plain => {}
    }
}

/// Tells of a value's drawing that cannot be drawn.
pub(super) fn drawing(drawing: &Drawing, steps: &[Step], sink: &mut Sink) {
    let inner = || [steps, &[Step::At(0)]].concat();
    match drawing {
        Drawing::Plan(shape) => plan(shape, &inner(), sink),
        Drawing::Body(points) => profile("drawing", points, &inner(), sink),
        Drawing::Lid(points) => profile("drawing of the lid", points, &inner(), sink),
        Drawing::Rim(points) if points.len() < 2 => profile("drawing of the rim", points, &inner(), sink),
        Drawing::Surface(kind) => surface(*kind, &inner(), sink),
        Drawing::Strokes(strokes) => {
            for (i, stroke) in strokes.iter().enumerate() {
                for (j, (x, y)) in stroke.iter().enumerate() {
                    let here = [&inner()[..], &[Step::At(i), Step::At(j)]].concat();
                    for z in [x, y] {
                        bounded(say!("the stroke"), *z, -0.5, 1.5, say!("0 (left, top) to 1 (right, bottom)"), &here, sink);
                    }
                }
            }
        }
        _ => {}
    }
}
