//! A drawing for a form of which a table gives no more than its size.

use crate::key::model::{Feature, FeatureKind, Form, Part, Record, Unit};
use crate::key::shape::{Finial, FinialKind, FootKind, Handle, HandleAt, HandleKind, Plan, Point, Shape, Spout, SpoutKind, Surface};
use crate::key::words::fold;

/// The middle sizes of tableware where a table says nothing, in millimetres. A choice of this program, no source.
const HEIGHT_MM: f64 = 80.0;
const RADIUS_MM: f64 = 60.0;

/// Draws the form plainly in its own height and width, with the parts it has.
pub(super) fn draw(form: &mut Form, features: &[&Feature]) {
    let size = |words: &[&str]| {
        form.features.iter().find_map(|(id, record)| match record {
            Record::Between(low, high) if *high > 0.0 => {
                let feature = features.iter().find(|feature| feature.id == *id)?;
                let FeatureKind::Measure(kind) = &feature.kind else { return None };
                let name = fold(&feature.shown_name());
                let named = words.iter().any(|word| name == *word || name.ends_with(&format!(" {word}")));
                (kind.unit == Unit::Mm && named).then_some(f64::midpoint(*low, *high))
            }
            _ => None,
        })
    };
    let bound = |x: f64| x.clamp(2.0, 1900.0);
    let across = size(&["diameter"]).or_else(|| size(&["width", "length"])).map(|across| bound(across / 2.0));
    let height = size(&["height"]).map(bound);
    let (radius, height) = match (across, height) {
        (Some(radius), Some(height)) => (radius, height),
        (Some(radius), None) => (radius, bound(radius * HEIGHT_MM / RADIUS_MM)),
        (None, Some(height)) => (bound(height * RADIUS_MM / HEIGHT_MM), height),
        (None, None) => (RADIUS_MM, HEIGHT_MM),
    };
    form.shape = shape(round(radius), round(height), &form.parts);
}

fn round(x: f64) -> f64 {
    (x * 10.0).round() / 10.0
}

/// A plain bowl or, where it is far wider than high, a plate.
fn shape(radius: f64, height: f64, parts: &[Part]) -> Shape {
    let has = |part: Part| parts.contains(&part);
    let at = |r: f64, h: f64| (round(radius * r), round(height * h));
    let corner = |r: f64, h: f64| Point::Corner(at(r, h).0, at(r, h).1);
    let curve = |r: f64, h: f64| Point::Curve(at(r, h).0, at(r, h).1);
    let body = if height < radius * 0.4 {
        vec![corner(0.6, 0.0), corner(0.6, 0.1), curve(0.75, 0.35), corner(1.0, 1.0)]
    } else {
        vec![corner(0.55, 0.0), corner(0.55, 0.05), curve(0.92, 0.4), corner(1.0, 1.0)]
    };
    let thick = round((radius * 0.08).max(1.0));
    let handle = Handle {
        kind: HandleKind::Loop,
        at: HandleAt::Both,
        top_mm: round(height * 0.8),
        bottom_mm: round(height * 0.4),
        reach_mm: round(radius * 0.35),
        thick_mm: thick,
    };
    let spout = Spout { kind: SpoutKind::Tube, root_mm: round(height * 0.5), tip_mm: height, reach_mm: round(radius * 0.5) };
    Shape {
        body,
        wall_mm: (radius * 0.05).clamp(1.0, 5.0),
        plan: Plan::Round,
        lid: if has(Part::Lid) { vec![corner(0.95, 0.0), curve(0.6, 0.15), corner(0.0, 0.2)] } else { Vec::new() },
        lid_plan: None,
        lid_sits_mm: 0.0,
        handles: if has(Part::Handle) { vec![handle] } else { Vec::new() },
        spout: has(Part::Spout).then_some(spout),
        finial: has(Part::Finial).then(|| Finial { kind: FinialKind::Ball, height_mm: round(height * 0.12), width_mm: thick * 2.0 }),
        foot: FootKind::default(),
        surface: Surface::Plain,
    }
}
