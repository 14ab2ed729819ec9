//! What is laid over each other on the plate: half profiles and plans in millimetres, and how far they are apart.

use crate::desk::document::Document;
use crate::key::shape::{FinialKind, Shape};
use crate::key::{Form, FormId, Part};
use kurbo::{BezPath, PathEl, Rect, Shape as _};

/// Whether the forms are compared with their lids on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Lids {
    /// As they stand on a shelf; a form without a lid as it is.
    #[default]
    On,
    /// Bodies alone.
    Off,
}

/// How finely curves are followed, in millimetres.
const FINE_MM: f64 = 0.05;
/// Height of one row of the shaded band, in millimetres.
const ROW_MM: f64 = 0.25;
/// Rows of the band at most, for a shape of a size that no tableware has.
const MOST_ROWS: usize = 4000;
/// Directions in which plans are compared.
const ANGLES: usize = 360;
/// Differences below this many millimetres are not shaded.
const SAME_MM: f64 = 0.05;

/// One form as it is drawn on the plate.
#[derive(Debug, Clone)]
pub struct Outline {
    /// The form.
    pub form: FormId,
    /// Half profiles of body and lid, to the right of the axis.
    pub profile: Vec<BezPath>,
    /// Finial, handles and spout: drawn thin. Those left of the axis are cut off.
    pub thin: Vec<BezPath>,
    /// Seen from above: the lid where it is on, else the rim.
    pub plan: BezPath,
    radii: Vec<f64>,
    reach: Vec<f64>,
}

/// One row of the shaded band.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Row {
    /// Its lower edge above the table.
    pub from_mm: f64,
    /// Its upper edge.
    pub to_mm: f64,
    /// Radius of the inmost form there.
    pub inner_mm: f64,
    /// Radius of the outmost.
    pub outer_mm: f64,
}

/// Everything that is drawn on the plate.
#[derive(Debug, Clone, Default)]
pub struct Plate {
    /// The forms, in the order of the legend.
    pub outlines: Vec<Outline>,
    /// What the half profiles take up; x from 0.
    pub side: Rect,
    /// What the plans take up, about (0, 0).
    pub plan: Rect,
    /// Between the inmost and the outmost profile.
    pub band: Vec<Row>,
    /// Between the inmost and the outmost plan, one direction after another, counter-clockwise.
    pub ring: Vec<(f64, f64)>,
    /// How far the outlines of body and lid lie apart at most, seen from the side, in millimetres.
    pub side_apart_mm: f64,
    /// The same for the plans.
    pub plan_apart_mm: f64,
    /// True where any of the forms has a lid.
    pub any_lid: bool,
}

impl Plate {
    /// Lays the forms over each other, standing on one table, axis on axis.
    pub fn of(doc: &Document, forms: &[FormId], lids: Lids) -> Self {
        let forms: Vec<&Form> = forms.iter().filter_map(|id| doc.form(id)).collect();
        let any_lid = forms.iter().any(|form| has_lid(&form.shape));
        let outlines: Vec<Outline> = forms.iter().map(|form| outline(form, lids)).collect();
        let mut side = Rect::ZERO;
        let mut plan = Rect::ZERO;
        for outline in &outlines {
            for path in outline.profile.iter().chain(&outline.thin).filter(|path| !path.is_empty()) {
                side = side.union(path.bounding_box());
            }
            if !outline.plan.is_empty() {
                plan = plan.union(outline.plan.bounding_box());
            }
        }
        side.x0 = 0.0;
        side.y0 = 0.0;
        let (band, ring) = (band(&outlines), ring(&outlines));
        let plan_apart_mm = ring.iter().map(|(inner, outer)| outer - inner).fold(0.0, f64::max);
        Self { side_apart_mm: furthest(&outlines), plan_apart_mm, outlines, side, plan, band, ring, any_lid }
    }
}

fn has_lid(shape: &Shape) -> bool {
    shape.lid_top_mm().is_some()
}

fn outline(form: &Form, lids: Lids) -> Outline {
    let shape = &form.shape;
    let lid_on = lids == Lids::On && has_lid(shape);
    let body = shape.body_profile(FINE_MM);
    let mut profile = vec![line(&body)];
    let mut plan = shape.plan.path(shape.rim_radius_mm());
    let mut radii: Vec<f64> = angles().map(|angle| shape.rim_radius_mm() * shape.plan.radius_at(angle)).collect();
    if lid_on {
        let mut lid = shape.lid_profile(FINE_MM);
        let lid_radius = lid.iter().map(|p| p.0).fold(0.0, f64::max);
        let lid_plan = shape.lid_plan.as_ref().unwrap_or(&shape.plan);
        plan = lid_plan.path(lid_radius);
        radii = angles().map(|angle| lid_radius * lid_plan.radius_at(angle)).collect();
        if let Some(&(r, top)) = lid.last()
            && r > 0.0
        {
            lid.push((0.0, top));
        }
        profile.push(line(&lid));
    } else if let Some(&(_, rim)) = body.last() {
        // The level of the rim, out to the axis, as the trade draws it.
        profile.push(line(&[(0.0, rim), (shape.rim_radius_mm(), rim)]));
    }
    let mut thin = Vec::new();
    let mut solid = Vec::new();
    for (part, path) in shape.silhouette().parts {
        match part {
            Part::Body => solid.push(path),
            Part::Lid if lid_on => solid.push(path),
            Part::Finial if lid_on => {
                if shape.finial.is_some_and(|finial| finial.kind != FinialKind::Sunk) {
                    solid.push(path.clone());
                }
                thin.push(path);
            }
            Part::Handle | Part::Spout if path.bounding_box().x1 > 0.0 => thin.push(path),
            _ => {}
        }
    }
    Outline { form: form.id.clone(), reach: reach(&solid), profile, thin, plan, radii }
}

fn angles() -> impl Iterator<Item = f64> {
    (0..ANGLES).map(|i| std::f64::consts::TAU * i as f64 / ANGLES as f64)
}

/// The direction of an entry of [`Plate::ring`], in radians.
pub fn angle_of(i: usize) -> f64 {
    std::f64::consts::TAU * i as f64 / ANGLES as f64
}

fn line(points: &[(f64, f64)]) -> BezPath {
    let mut path = BezPath::new();
    for (i, &(x, y)) in points.iter().enumerate() {
        if i == 0 {
            path.move_to((x, y));
        } else {
            path.line_to((x, y));
        }
    }
    path
}

/// The greatest radius of closed outlines in each row of [`ROW_MM`] above the table, measured at its middle.
fn reach(paths: &[BezPath]) -> Vec<f64> {
    let mut edges: Vec<(kurbo::Point, kurbo::Point)> = Vec::new();
    for path in paths {
        let (mut start, mut at) = (kurbo::Point::ZERO, kurbo::Point::ZERO);
        kurbo::flatten(path, FINE_MM, |el| match el {
            PathEl::MoveTo(p) => (start, at) = (p, p),
            PathEl::LineTo(p) => {
                edges.push((at, p));
                at = p;
            }
            PathEl::ClosePath => {
                edges.push((at, start));
                at = start;
            }
            PathEl::QuadTo(..) | PathEl::CurveTo(..) => {}
        });
    }
    let top = edges.iter().map(|(a, b)| a.y.max(b.y)).fold(0.0, f64::max);
    let rows = ((top / ROW_MM).ceil() as usize).min(MOST_ROWS);
    let mut found = vec![0.0_f64; rows];
    for (a, b) in edges {
        let (low, high) = if a.y <= b.y { (a, b) } else { (b, a) };
        if high.y - low.y < 1e-12 {
            continue;
        }
        // Rows whose middle lies within the edge.
        let first = (low.y / ROW_MM - 0.5).ceil().max(0.0) as usize;
        for (row, widest) in found.iter_mut().enumerate().skip(first) {
            let y = (row as f64 + 0.5) * ROW_MM;
            if y > high.y {
                break;
            }
            *widest = widest.max(low.x + (high.x - low.x) * (y - low.y) / (high.y - low.y));
        }
    }
    found
}

fn band(outlines: &[Outline]) -> Vec<Row> {
    let rows = outlines.iter().map(|outline| outline.reach.len()).max().unwrap_or(0);
    (0..rows)
        .filter_map(|row| {
            let at = |outline: &Outline| outline.reach.get(row).copied().unwrap_or(0.0);
            let inner_mm = outlines.iter().map(at).fold(f64::INFINITY, f64::min);
            let outer_mm = outlines.iter().map(at).fold(0.0, f64::max);
            let from_mm = row as f64 * ROW_MM;
            (outer_mm - inner_mm > SAME_MM).then_some(Row { from_mm, to_mm: from_mm + ROW_MM, inner_mm, outer_mm })
        })
        .collect()
}

fn ring(outlines: &[Outline]) -> Vec<(f64, f64)> {
    (0..ANGLES)
        .map(|i| {
            let at = |outline: &Outline| outline.radii.get(i).copied().unwrap_or(0.0);
            let inner = outlines.iter().map(at).fold(f64::INFINITY, f64::min);
            (if inner.is_finite() { inner } else { 0.0 }, outlines.iter().map(at).fold(0.0, f64::max))
        })
        .collect()
}

/// The greatest distance of a point of one outline's profile from the profile of another.
fn furthest(outlines: &[Outline]) -> f64 {
    let segments: Vec<Vec<kurbo::Line>> = outlines
        .iter()
        .map(|outline| outline.profile.iter().flat_map(BezPath::segments).filter_map(|segment| segment.as_line()).collect())
        .collect();
    let mut most = 0.0_f64;
    for (i, one) in segments.iter().enumerate() {
        for (j, other) in segments.iter().enumerate() {
            if i == j || other.is_empty() {
                continue;
            }
            for point in one.iter().flat_map(|line| [line.p0, line.p1]) {
                let nearest = other.iter().map(|line| distance(point, *line)).fold(f64::INFINITY, f64::min);
                most = most.max(nearest);
            }
        }
    }
    most
}

fn distance(point: kurbo::Point, line: kurbo::Line) -> f64 {
    let along = line.p1 - line.p0;
    let length2 = along.hypot2();
    let t = if length2 < 1e-18 { 0.0 } else { ((point - line.p0).dot(along) / length2).clamp(0.0, 1.0) };
    point.distance(line.p0 + along * t)
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "tests")]
    use super::*;
    use crate::desk::document::KeyPlace;

    fn demo() -> Document {
        Document::new(crate::key::builtin::demo().key, KeyPlace::default())
    }

    fn pair(doc: &Document, lids: Lids) -> Plate {
        Plate::of(doc, &["quoin-covered-sugar".into(), "quoin-casserole-one".into()], lids)
    }

    #[test]
    fn a_form_laid_over_itself_differs_nowhere() {
        let doc = demo();
        for form in &doc.key.forms {
            let plate = Plate::of(&doc, &[form.id.clone(), form.id.clone()], Lids::On);
            assert_eq!(plate.band, Vec::new(), "{}", form.id);
            assert!(plate.plan_apart_mm < 1e-9 && plate.side_apart_mm < 1e-9, "{}", form.id);
        }
    }

    #[test]
    fn the_sugar_and_the_casserole_lie_as_far_apart_as_they_are_recorded() {
        // Lids of radius 57 round, and 59.5 by 59.5 ÷ 1.12 oval: 57 − 53.125 across, 2.5 along.
        let plate = pair(&demo(), Lids::On);
        assert!((plate.plan_apart_mm - 3.875).abs() < 1e-6, "{}", plate.plan_apart_mm);
        // Bodies: the shoulders (56, 54) and (58.5, 55), the rims (54, 70) and (56.5, 71).
        let bodies = pair(&demo(), Lids::Off);
        assert!(bodies.side_apart_mm > 2.0 && bodies.side_apart_mm < 3.0, "{}", bodies.side_apart_mm);
        assert!(plate.any_lid && bodies.any_lid);
        assert!(plate.side.height() > bodies.side.height(), "the lids stand higher than the bodies");
    }

    #[test]
    fn a_row_of_the_band_lies_between_the_written_radii() {
        let plate = pair(&demo(), Lids::Off);
        // At 30 mm: 51 + 5 · 13/37 on the sugar, 53 + 5.5 · 13/38 on the casserole.
        let row = plate.band.iter().find(|row| row.from_mm <= 30.0 && row.to_mm > 30.0).unwrap();
        assert!((row.inner_mm - (51.0 + 5.0 * 13.125 / 37.0)).abs() < 1e-6, "{row:?}");
        assert!((row.outer_mm - (53.0 + 5.5 * 13.125 / 38.0)).abs() < 1e-6, "{row:?}");
    }

    #[test]
    fn nothing_to_draw_gives_an_empty_plate() {
        let plate = Plate::of(&demo(), &["no-such-form".into()], Lids::On);
        assert!(plate.outlines.is_empty() && plate.band.is_empty() && !plate.any_lid);
        assert!(plate.plan_apart_mm == 0.0 && plate.side_apart_mm == 0.0);
    }
}
