//! Value drawings as small pictures, told apart at a glance on a button of 28 points.

use super::super::model::Part;
use super::super::shape::{
    Drawing, Finial, FinialKind, FootKind, Handle, HandleAt, HandleKind, Plan, Point as Knot, Shape, Spout, SpoutKind, Surface,
};
use super::band::{band, polygon};
use super::profile::{FINE_MM, curve, polyline};
use kurbo::{Affine, BezPath, Point, Rect, Shape as _, Vec2};
use std::f64::consts::TAU;

/// How a path of a [`Glyph`] is painted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ink {
    /// A line in full ink: the value itself.
    Stroke,
    /// Filled with full ink: the value itself.
    Fill,
    /// A line in faint ink: what it belongs to.
    Faint,
    /// Filled with the palest tint: what it belongs to.
    Wash,
}

/// A small picture in the unit square, (0, 0) top left, in the order in which it is painted.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Glyph {
    /// Its paths and how each is painted.
    pub paths: Vec<(BezPath, Ink)>,
}

impl Glyph {
    /// True where there is nothing to draw, only a name to write.
    pub fn is_empty(&self) -> bool {
        self.paths.is_empty()
    }

    fn wash(&mut self, path: BezPath) {
        self.paths.push((path, Ink::Wash));
    }

    fn faint(&mut self, path: BezPath) {
        self.paths.push((path, Ink::Faint));
    }

    fn stroke(&mut self, path: BezPath) {
        self.paths.push((path, Ink::Stroke));
    }

    fn fill(&mut self, path: BezPath) {
        self.paths.push((path, Ink::Fill));
    }

    /// Scales `window` (y upward) into the square with a margin, keeping its proportions, and drops what is not finite or has no points.
    fn seen_through(mut self, window: Rect) -> Self {
        const MARGIN: f64 = 0.06;
        let size = window.width().max(window.height()).max(1e-9);
        let scale = (1.0 - 2.0 * MARGIN) / size;
        let view = Affine::translate((0.5, 0.5)) * Affine::scale_non_uniform(scale, -scale) * Affine::translate(-window.center().to_vec2());
        for (path, _) in &mut self.paths {
            path.apply_affine(view);
        }
        self.paths.retain(|(path, _)| path.elements().len() > 1 && path.is_finite());
        self
    }

    /// Scales all of it into the square.
    fn fitted(self) -> Self {
        let bounds = self.paths.iter().map(|(path, _)| path.bounding_box()).reduce(|a, b| a.union(b)).unwrap_or(Rect::ZERO);
        self.seen_through(bounds)
    }
}

impl Drawing {
    /// The drawing as a small picture; empty for [`Drawing::None`] and for profiles without usable points.
    pub fn glyph(&self) -> Glyph {
        match self {
            Self::None => Glyph::default(),
            Self::Plan(plan) => {
                let mut glyph = Glyph::default();
                let path = plan.path(1.0);
                glyph.wash(path.clone());
                glyph.stroke(path);
                glyph.fitted()
            }
            Self::Body(points) => mirrored_glyph(points),
            Self::Lid(points) => lid(points),
            Self::Rim(points) => rim(points),
            Self::Handle(kind) => handle(*kind),
            Self::Handles(count) => handles(*count),
            Self::Spout(kind) => spout(*kind),
            Self::Finial(kind) => finial(*kind),
            Self::Foot(kind) => foot(*kind),
            Self::Surface(surface) => modelled(*surface),
            Self::Absent => absent(),
            Self::Strokes(strokes) => drawn(strokes),
        }
    }
}

fn level(from: f64, to: f64, y: f64) -> BezPath {
    kurbo::Line::new((from, y), (to, y)).to_path(0.1)
}

fn mirrored_glyph(points: &[Knot]) -> Glyph {
    let mut glyph = Glyph::default();
    let whole = super::mirrored_profile(&curve(points));
    if whole.is_empty() {
        return glyph;
    }
    glyph.wash(whole.clone());
    glyph.stroke(whole);
    glyph.fitted()
}

/// A lid over the top of a faint body.
fn lid(points: &[Knot]) -> Glyph {
    let mut glyph = Glyph::default();
    let whole = super::mirrored_profile(&curve(points));
    if whole.is_empty() {
        return glyph;
    }
    let bounds = whole.bounding_box();
    let (half, low) = (bounds.max_x(), bounds.min_y());
    let drop = half * 0.55;
    let gap = half * 0.06;
    let mut walls = BezPath::new();
    walls.move_to((-half * 0.94, low - gap));
    walls.curve_to((-half * 0.94, low - drop * 0.6), (-half * 0.9, low - drop * 0.8), (-half * 0.8, low - drop));
    walls.move_to((half * 0.94, low - gap));
    walls.curve_to((half * 0.94, low - drop * 0.6), (half * 0.9, low - drop * 0.8), (half * 0.8, low - drop));
    glyph.faint(walls);
    glyph.faint(level(-half * 0.94, half * 0.94, low - gap));
    glyph.wash(whole.clone());
    glyph.stroke(whole);
    glyph.fitted()
}

/// The last of a wall, cut through, the outside to the right.
fn rim(points: &[Knot]) -> Glyph {
    let mut glyph = Glyph::default();
    let line = polyline(points, FINE_MM);
    let wall = band(&curve(points), |_| 3.2);
    if line.len() < 2 || wall.is_empty() {
        return glyph;
    }
    let bounds = wall.bounding_box();
    let size = bounds.width().max(bounds.height()).max(9.0);
    let (Some(&(top_r, top_h)), Some(&(low_r, low_h))) = (line.last(), line.first()) else { return glyph };
    // The mouth behind the cut, and the wall going on below it.
    glyph.faint(level(top_r - 1.6 - size * 0.55, top_r - 1.6, top_h));
    glyph.faint(level(low_r - 1.6 - size * 0.3, low_r - 1.6, low_h));
    glyph.fill(wall);
    glyph.fitted()
}

/// A plain vessel for showing one part of.
fn vessel(body: &[Knot]) -> Shape {
    Shape {
        body: body.to_vec(),
        wall_mm: 3.0,
        plan: Plan::Round,
        lid: Vec::new(),
        lid_plan: None,
        lid_sits_mm: 0.0,
        handles: Vec::new(),
        spout: None,
        finial: None,
        foot: FootKind::Flat,
        surface: Surface::Plain,
    }
}

/// A shape with one part in full ink and the rest faint.
fn with_part(shape: &Shape, part: Part) -> Glyph {
    let mut glyph = Glyph::default();
    for (at, path) in shape.silhouette().parts {
        if at == part {
            glyph.fill(path);
        } else if at != Part::Foot {
            glyph.wash(path.clone());
            glyph.faint(path);
        }
    }
    glyph
}

fn handle(kind: HandleKind) -> Glyph {
    let (width, height) = match kind {
        HandleKind::Stick => (22.0, 30.0),
        HandleKind::Lug | HandleKind::Pierced => (26.0, 40.0),
        HandleKind::Bail => (30.0, 34.0),
        _ => (24.0, 56.0),
    };
    let mut shape = vessel(&[Knot::Corner(width * 0.86, 0.0), Knot::Curve(width, height * 0.35), Knot::Corner(width, height)]);
    let (top_mm, bottom_mm, reach_mm, thick_mm) = match kind {
        HandleKind::Loop => (47.0, 10.0, 27.0, 7.5),
        HandleKind::Ear => (49.0, 6.0, 26.0, 8.0),
        HandleKind::Angular => (50.0, 10.0, 27.0, 7.5),
        HandleKind::Lug => (31.0, 14.0, 19.0, 9.0),
        HandleKind::Stick => (25.0, 10.0, 48.0, 9.5),
        HandleKind::Bail => (34.0, 26.0, 34.0, 6.5),
        HandleKind::Pierced => (37.0, 14.0, 27.0, 6.0),
    };
    let at = if kind == HandleKind::Bail { HandleAt::Over } else { HandleAt::Right };
    shape.handles = vec![Handle { kind, at, top_mm, bottom_mm, reach_mm, thick_mm }];
    let glyph = with_part(&shape, Part::Handle);
    if kind == HandleKind::Bail {
        return glyph.fitted();
    }
    // Only the right of the vessel: the handle is what is to be seen.
    let from = width - if kind == HandleKind::Stick { 14.0 } else { 16.0 };
    let clipped = Glyph { paths: glyph.paths.into_iter().map(|(path, ink)| (clipped_left(&path, from, ink), ink)).collect() };
    clipped.fitted()
}

/// A body's outline cut off at x; handles, which are wholly right of it, are left as they are.
fn clipped_left(path: &BezPath, from: f64, ink: Ink) -> BezPath {
    if ink == Ink::Fill {
        return path.clone();
    }
    let right: Vec<Point> = super::profile::flat(path, FINE_MM).into_iter().filter(|p| p.0 >= from).map(Point::from).collect();
    let (Some(first), Some(last)) = (right.first().copied(), right.last().copied()) else { return BezPath::new() };
    let ends = (Point::new(from, first.y), Point::new(from, last.y));
    let line = std::iter::once(ends.0).chain(right).chain([ends.1]);
    if ink == Ink::Wash {
        return polygon(line);
    }
    let mut open = polygon(line);
    open.pop();
    open
}

fn handles(count: u8) -> Glyph {
    let mut glyph = Glyph::default();
    for i in 0..count.min(8) {
        let angle = TAU * f64::from(i) / f64::from(count.min(8));
        let mut tab = super::band::rounded(&[(0.86, -0.17, 0.0), (1.42, -0.15, 0.13), (1.42, 0.15, 0.13), (0.86, 0.17, 0.0)]);
        tab.apply_affine(Affine::rotate(angle));
        glyph.fill(tab);
    }
    let circle = Plan::Round.path(0.92);
    glyph.wash(circle.clone());
    glyph.stroke(circle);
    glyph.seen_through(Rect::new(-1.42, -1.42, 1.42, 1.42))
}

fn spout(kind: SpoutKind) -> Glyph {
    let mut shape = match kind {
        SpoutKind::Lip | SpoutKind::Beak => {
            vessel(&[Knot::Corner(20.0, 0.0), Knot::Curve(25.0, 16.0), Knot::Curve(19.0, 42.0), Knot::Corner(21.0, 54.0)])
        }
        SpoutKind::Tube | SpoutKind::Swan => {
            vessel(&[Knot::Corner(17.0, 0.0), Knot::Curve(26.0, 20.0), Knot::Curve(20.0, 42.0), Knot::Corner(15.0, 50.0)])
        }
    };
    let (root_mm, tip_mm, reach_mm) = match kind {
        SpoutKind::Lip => (34.0, 59.0, 19.0),
        SpoutKind::Beak => (22.0, 58.0, 17.0),
        SpoutKind::Tube => (18.0, 52.0, 30.0),
        SpoutKind::Swan => (16.0, 52.0, 30.0),
    };
    shape.spout = Some(Spout { kind, root_mm, tip_mm, reach_mm });
    with_part(&shape, Part::Spout).fitted()
}

fn finial(kind: FinialKind) -> Glyph {
    let dome = [Knot::Corner(30.0, 0.0), Knot::Curve(25.0, 8.0), Knot::Curve(0.0, 15.0)];
    let mut shape = vessel(&[]);
    shape.lid = dome.to_vec();
    let (height_mm, width_mm) = match kind {
        FinialKind::Ball => (20.0, 16.0),
        FinialKind::Button => (11.0, 26.0),
        FinialKind::Cone => (20.0, 18.0),
        FinialKind::Ring => (20.0, 22.0),
        FinialKind::Strap => (14.0, 34.0),
        FinialKind::Bar => (11.0, 40.0),
        FinialKind::Sunk => (8.0, 30.0),
    };
    if kind == FinialKind::Sunk {
        shape.lid = vec![Knot::Corner(30.0, 0.0), Knot::Curve(27.0, 10.0), Knot::Corner(19.0, 15.0)];
    }
    shape.finial = Some(Finial { kind, height_mm, width_mm });
    with_part(&shape, Part::Finial).seen_through(Rect::new(-31.0, -2.0, 31.0, 38.0))
}

fn foot(kind: FootKind) -> Glyph {
    let bowl = match kind {
        FootKind::Ring => vec![Knot::Corner(17.0, 0.0), Knot::Corner(17.0, 6.0), Knot::Curve(27.0, 13.0), Knot::Corner(34.0, 34.0)],
        FootKind::Flat => vec![Knot::Corner(25.0, 0.0), Knot::Curve(31.0, 14.0), Knot::Corner(33.0, 34.0)],
        FootKind::Pedestal => {
            vec![Knot::Corner(22.0, 0.0), Knot::Curve(20.0, 4.0), Knot::Curve(7.0, 14.0), Knot::Curve(25.0, 24.0), Knot::Corner(33.0, 40.0)]
        }
        FootKind::Stumps => vec![Knot::Corner(22.0, 9.0), Knot::Curve(31.0, 20.0), Knot::Corner(34.0, 38.0)],
        FootKind::Hollow => vec![Knot::Corner(26.0, 0.0), Knot::Curve(32.0, 16.0), Knot::Corner(33.0, 34.0)],
    };
    let mut shape = vessel(&bowl);
    shape.foot = kind;
    let mut glyph = Glyph::default();
    let silhouette = shape.silhouette();
    for path in silhouette.outlines_of(Part::Body) {
        glyph.wash(path.clone());
        glyph.faint(path.clone());
    }
    match kind {
        FootKind::Ring | FootKind::Pedestal | FootKind::Stumps => {
            silhouette.outlines_of(Part::Foot).for_each(|path| glyph.fill(path.clone()));
        }
        FootKind::Flat => glyph.fill(super::band::rounded(&[(-25.0, 0.0, 0.0), (25.0, 0.0, 0.0), (26.6, 4.0, 0.0), (-26.6, 4.0, 0.0)])),
        FootKind::Hollow => {
            // The base cut through: an arch that stands on its edge.
            let mut arch = BezPath::new();
            arch.move_to((-26.0, 0.0));
            arch.line_to((-20.0, 0.0));
            arch.curve_to((-13.0, 8.0), (13.0, 8.0), (20.0, 0.0));
            arch.line_to((26.0, 0.0));
            arch.line_to((29.5, 9.0));
            arch.curve_to((18.0, 14.0), (-18.0, 14.0), (-29.5, 9.0));
            arch.close_path();
            glyph.fill(arch);
        }
    }
    glyph.stroke(level(-38.0, 38.0, -1.6));
    glyph.seen_through(Rect::new(-38.0, -6.0, 38.0, 42.0))
}

fn modelled(surface: Surface) -> Glyph {
    let mut shape = vessel(&[Knot::Corner(22.0, 0.0), Knot::Curve(29.0, 14.0), Knot::Curve(30.0, 34.0), Knot::Corner(26.0, 54.0)]);
    // A few lines that read, whatever the count on the piece.
    shape.surface = match surface {
        Surface::Plain => Surface::Plain,
        Surface::Ribs(..) => Surface::Ribs(6, 9.0, 46.0),
        Surface::Flutes(_) => Surface::Flutes(18),
        Surface::Facets(_) => Surface::Facets(8),
    };
    let mut glyph = Glyph::default();
    let silhouette = shape.silhouette();
    for path in silhouette.outlines_of(Part::Body) {
        glyph.wash(path.clone());
        glyph.stroke(path.clone());
    }
    for line in shape.surface_lines() {
        glyph.stroke(line);
    }
    if surface == Surface::Plain {
        // A gleam, so that 'plain' is a statement and not a picture that failed.
        let mut gleam = BezPath::new();
        gleam.move_to((-19.0, 16.0));
        gleam.curve_to((-21.0, 24.0), (-21.0, 30.0), (-19.0, 40.0));
        glyph.faint(gleam);
    }
    glyph.fitted()
}

fn absent() -> Glyph {
    let mut glyph = Glyph::default();
    for i in 0..12 {
        let from = TAU * f64::from(i) / 12.0;
        let mut dash = BezPath::new();
        dash.move_to(Vec2::from_angle(from).to_point());
        kurbo::Arc::new(Point::ORIGIN, (1.0, 1.0), from, TAU / 22.0, 0.0).to_cubic_beziers(1e-3, |a, b, c| dash.curve_to(a, b, c));
        glyph.faint(dash);
    }
    glyph.stroke(kurbo::Line::new((-0.72, -0.72), (0.72, 0.72)).to_path(0.1));
    glyph.seen_through(Rect::new(-1.15, -1.15, 1.15, 1.15))
}

fn drawn(strokes: &[Vec<(f64, f64)>]) -> Glyph {
    let mut glyph = Glyph::default();
    for stroke in strokes {
        let mut path = BezPath::new();
        for &(x, y) in stroke.iter().filter(|(x, y)| x.is_finite() && y.is_finite()) {
            let at = (x.clamp(0.0, 1.0), y.clamp(0.0, 1.0));
            if path.elements().is_empty() {
                path.move_to(at);
            } else {
                path.line_to(at);
            }
        }
        if path.elements().len() > 1 {
            glyph.stroke(path);
        }
    }
    glyph
}
