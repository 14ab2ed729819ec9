//! A new form from the piece in hand.

use super::draft::draw;
use crate::desk::board::sketch::Sketch;
use crate::desk::document::Document;
use crate::identify::{Seen, weighed};
use crate::key::shape::{Point, Shape};
use crate::key::{DecorationId, FeatureKind, Form, FormId, GlazeId, Held, How, MarkId, Often, Part, Record, Years};
use indexmap::IndexMap;

/// Points that a half profile taken from the sketch is reduced to, so that a person can move them.
const POINTS: usize = 8;
/// A line that was traced is kept within so many millimetres.
const TRACED_WITHIN_MM: f64 = 0.5;

/// A form that has what was seen of the piece in hand, drawn as the board draws it.
///
/// One value becomes 'always', a measure its range with the ± as give. What was 'either' or 'not sure' stays not recorded, for nobody knows it.
pub(super) fn from_hand(doc: &Document) -> Form {
    let piece = &doc.hand.piece;
    let mut form = Form {
        id: FormId::new(""),
        name: String::new(),
        also: Vec::new(),
        line: doc.key.lines.first().map(|line| line.id.clone()).unwrap_or_default(),
        borrowed_by: Vec::new(),
        made: Years::default(),
        weight: 1.0,
        parts: vec![Part::Body],
        shape: editable(Sketch::of(doc).shape),
        features: IndexMap::new(),
        glazes: Vec::new(),
        decorations: Vec::new(),
        marks: Vec::new(),
        claims: Vec::new(),
        pictures: Vec::new(),
        note: doc.hand.note.clone(),
    };
    if let Some(shape) = &piece.beside.shape {
        trace(&mut form.shape, &shape.profile_mm);
    }
    // A part that is gone was once there.
    form.parts.extend(piece.missing.iter().copied());
    for observation in &piece.observations {
        let Some(feature) = doc.key.feature(&observation.feature) else { continue };
        let record = match &observation.seen {
            Seen::Values(values) => match (values.as_slice(), &feature.kind) {
                ([one], FeatureKind::Choice(_)) => Record::Always(one.clone()),
                ([one], FeatureKind::Glaze) => {
                    form.glazes.push(held(GlazeId::new(one.as_str())));
                    continue;
                }
                ([one], FeatureKind::Decoration) => {
                    form.decorations.push(held(DecorationId::new(one.as_str())));
                    continue;
                }
                ([one], FeatureKind::Mark) => {
                    form.marks.push(held(MarkId::new(one.as_str())));
                    continue;
                }
                _ => continue,
            },
            Seen::Weighed(weights) => match weighed(weights).first() {
                Some((likeliest, share)) if *share >= 0.95 => Record::Always((*likeliest).clone()),
                _ => continue,
            },
            Seen::Measured(measured) => {
                let round = |x: f64| (x * 10.0).round() / 10.0;
                Record::Between(round((measured.value - measured.plus_minus).max(0.0)), round(measured.value + measured.plus_minus))
            }
            _ => continue,
        };
        form.parts.push(feature.part);
        form.features.insert(feature.id.clone(), record);
    }
    // Almost every piece has a foot; that nobody spoke of it is no sign that this one has none.
    let footed = doc.key.forms.iter().filter(|known| known.parts.contains(&Part::Foot)).count();
    if footed * 2 > doc.key.forms.len() {
        form.parts.push(Part::Foot);
    }
    if form.parts.contains(&Part::Finial) {
        form.parts.push(Part::Lid);
    }
    form.parts.sort();
    form.parts.dedup();
    fit_drawing_to_parts(&mut form);
    form
}

fn held<Id>(id: Id) -> Held<Id> {
    Held { id, often: Often::Sometimes, how: How::Seen, papers: Vec::new(), note: String::new() }
}

/// Takes the outside from what was measured on a photograph: the points that keep the line within half a millimetre of it, on half millimetres.
fn trace(shape: &mut Shape, profile_mm: &[(f64, f64)]) {
    let kept = simplified(profile_mm, TRACED_WITHIN_MM);
    let half = |x: f64| (x.max(0.0) * 2.0).round() / 2.0;
    let last = kept.len().saturating_sub(1);
    let mut body: Vec<Point> = kept
        .iter()
        .enumerate()
        .map(|(i, (r, h))| if i == 0 || i == last { Point::Corner(half(*r), half(*h)) } else { Point::Curve(half(*r), half(*h)) })
        .collect();
    body.dedup();
    if body.len() >= 2 {
        shape.body = body;
    }
}

/// The points of a line that keep it within so many millimetres (Douglas and Peucker, Cartographica 10, 1973, from memory of the paper).
fn simplified(line: &[(f64, f64)], within_mm: f64) -> Vec<(f64, f64)> {
    let (Some(&first), Some(&last)) = (line.first(), line.last()) else { return Vec::new() };
    let (dx, dy) = (last.0 - first.0, last.1 - first.1);
    let length = dx.hypot(dy);
    let off = |p: &(f64, f64)| {
        if length > 0.0 { ((p.0 - first.0) * dy - (p.1 - first.1) * dx).abs() / length } else { (p.0 - first.0).hypot(p.1 - first.1) }
    };
    let farthest = line.iter().enumerate().map(|(i, p)| (i, off(p))).max_by(|a, b| a.1.total_cmp(&b.1));
    match farthest {
        Some((at, far)) if far > within_mm && at > 0 && at + 1 < line.len() => {
            let (before, after) = (line.get(..=at).unwrap_or_default(), line.get(at..).unwrap_or_default());
            let mut kept = simplified(before, within_mm);
            kept.pop();
            kept.extend(simplified(after, within_mm));
            kept
        }
        _ => vec![first, last],
    }
}

/// What the sketch only guessed goes; what the form has is drawn.
fn fit_drawing_to_parts(form: &mut Form) {
    let has = |part: Part| form.parts.contains(&part);
    let (lid, finial, handle, spout) = (has(Part::Lid), has(Part::Finial), has(Part::Handle), has(Part::Spout));
    if !lid {
        form.shape.lid.clear();
        form.shape.lid_plan = None;
        form.shape.lid_sits_mm = 0.0;
    }
    if !finial {
        form.shape.finial = None;
    }
    if !handle {
        form.shape.handles.clear();
    }
    if !spout {
        form.shape.spout = None;
    }
    for part in form.parts.clone() {
        draw(form, part);
    }
}

/// The shape with its profiles reduced to a few points on half millimetres.
fn editable(mut shape: Shape) -> Shape {
    shape.body = reduced(&shape.body);
    shape.lid = reduced(&shape.lid);
    if shape.body.len() < 2 {
        shape.body = vec![Point::Corner(30.0, 0.0), Point::Curve(45.0, 25.0), Point::Corner(48.0, 60.0)];
    }
    shape
}

fn reduced(points: &[Point]) -> Vec<Point> {
    let half = |x: f64| (x.max(0.0) * 2.0).round() / 2.0;
    let on_halves = |point: &Point| match *point {
        Point::Curve(r, h) => Point::Curve(half(r), half(h)),
        Point::Corner(r, h) => Point::Corner(half(r), half(h)),
    };
    if points.len() <= POINTS {
        return points.iter().map(on_halves).collect();
    }
    let last = points.len() - 1;
    let mut out: Vec<Point> = (0..POINTS)
        .filter_map(|i| points.get(i * last / (POINTS - 1)))
        .map(on_halves)
        .enumerate()
        .map(|(i, point)| match point {
            // The outline runs through the points in between; only its ends are sharp.
            Point::Curve(r, h) | Point::Corner(r, h) if i == 0 || i == POINTS - 1 => Point::Corner(r, h),
            Point::Curve(r, h) | Point::Corner(r, h) => Point::Curve(r, h),
        })
        .collect();
    out.dedup();
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_traced_line_keeps_its_corners_and_stays_near() {
        // A cylinder on a cone: one corner between.
        let line: Vec<(f64, f64)> = (0..=60).map(f64::from).map(|h| if h < 30.0 { (20.0 + h / 2.0, h) } else { (35.0, h) }).collect();
        assert_eq!(simplified(&line, 0.5), [(20.0, 0.0), (35.0, 30.0), (35.0, 60.0)]);
        assert_eq!(simplified(&[], 0.5), []);
        let Some(mut shape) = crate::key::builtin::demo().key.forms.first().map(|form| form.shape.clone()) else { return };
        trace(&mut shape, &line);
        assert_eq!(shape.body, [Point::Corner(20.0, 0.0), Point::Curve(35.0, 30.0), Point::Corner(35.0, 60.0)]);
    }
}
