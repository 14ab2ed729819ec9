//! Shapes for the side view: forms of the demo key, stretched or not, and pots made up by chance; their handles and spouts as tubes.

use crate::solid::Solid;
use crate::vector::v3;
use crate::vessel::Vessel;
use footring::key::shape::{FootKind, Handle, HandleAt, HandleKind, Plan, Point, Shape, Spout, SpoutKind};
use footring::key::{Form, builtin, outline};
use rand::Rng as _;
use rand_chacha::ChaCha8Rng;

/// A pot and what is on it.
#[derive(Debug, Clone)]
pub(crate) struct Pot {
    pub(crate) vessel: Vessel,
    pub(crate) handles: Vec<Handle>,
    pub(crate) spout: Option<Spout>,
}

/// Forms of the demo key that are round, hollow enough to measure and without a stem.
pub(crate) fn round_forms() -> Vec<Form> {
    let usable = |form: &Form| {
        let shape = &form.shape;
        let radius = shape.body.iter().map(|p| at(*p).0).fold(0.0, f64::max);
        let bows = shape.handles.iter().any(|h| matches!(h.kind, HandleKind::Bail | HandleKind::Pierced));
        shape.plan == Plan::Round
            && !bows
            && !matches!(shape.foot, FootKind::Pedestal | FootKind::Stumps)
            && rim_height(shape) > 0.45 * radius
    };
    builtin::demo().key.forms.into_iter().filter(usable).collect()
}

fn at(point: Point) -> (f64, f64) {
    match point {
        Point::Curve(r, h) | Point::Corner(r, h) => (r, h),
    }
}

fn rim_height(shape: &Shape) -> f64 {
    shape.body.last().map_or(0.0, |p| at(*p).1)
}

impl Pot {
    /// A form as the key has it.
    pub(crate) fn of(form: &Form) -> Option<Self> {
        Self::stretched(&form.shape, 1.0, 1.0)
    }

    fn stretched(shape: &Shape, wide: f64, high: f64) -> Option<Self> {
        let line: Vec<(f64, f64)> = outline::polyline(&shape.body, 0.002).into_iter().map(|(r, h)| (r * wide, h * high)).collect();
        let vessel = Vessel::new(&line, shape.wall_mm)?;
        let handles = shape.handles.iter().map(|h| Handle { top_mm: h.top_mm * high, bottom_mm: h.bottom_mm * high, ..*h }).collect();
        let spout = shape.spout.map(|s| Spout { root_mm: s.root_mm * high, tip_mm: s.tip_mm * high, ..s });
        Some(Self { vessel, handles, spout })
    }

    /// Two of three times a form of the key, stretched; else a pot that swells and narrows as chance has it.
    pub(crate) fn by_chance(rng: &mut ChaCha8Rng, forms: &[Form]) -> Self {
        loop {
            let (wide, high) = (rng.random_range(0.85..1.15), rng.random_range(0.85..1.2));
            let pick = rng.random_range(0..forms.len().max(1));
            let invented = rng.random_bool(0.34) || forms.is_empty();
            let made = made_up(rng);
            let pot = match forms.get(pick).map(|f| &f.shape) {
                Some(shape) if !invented => Self::stretched(shape, wide, high),
                _ => Self::stretched(&made, 1.0, 1.0),
            };
            if let Some(pot) = pot {
                return pot;
            }
        }
    }

    /// Parts by name, as they are seen.
    pub(crate) fn parts(&self) -> Vec<&'static str> {
        let handles = self.handles.iter().flat_map(|h| if h.at == HandleAt::Both { vec!["handle"; 2] } else { vec!["handle"] });
        handles.chain(self.spout.map(|_| "spout")).collect()
    }

    /// How far it reaches from the axis to the right (handles) and to the left (spouts, second handles).
    pub(crate) fn reach_mm(&self) -> (f64, f64) {
        let body = self.vessel.greatest_mm() / 2.0;
        let out =
            |h: &Handle| self.vessel.radius_at_mm(h.top_mm).max(self.vessel.radius_at_mm(h.bottom_mm)) + h.reach_mm + h.thick_mm / 2.0;
        let right = self.handles.iter().map(out).fold(body, f64::max);
        let left = self.handles.iter().filter(|h| h.at == HandleAt::Both).map(out).fold(body, f64::max);
        let spout = self.spout.map_or(0.0, |s| self.vessel.radius_at_mm(s.root_mm) + s.reach_mm + 6.0);
        (right, left.max(spout))
    }

    /// Handles and spout as solids, with their fillets, in the piece's axes turned by an angle about its own.
    pub(crate) fn solids(&self, turn_rad: f64) -> Vec<(Solid, f64)> {
        let mut solids = Vec::new();
        for handle in &self.handles {
            let sides: &[f64] = if handle.at == HandleAt::Both { &[0.0, std::f64::consts::PI] } else { &[0.0] };
            for side in sides {
                solids.push((tube(&self.handle(handle), turn_rad + side), 2.0));
            }
        }
        if let Some(spout) = &self.spout {
            solids.push((tube(&self.spout(spout), turn_rad + std::f64::consts::PI), 3.0));
        }
        solids
    }

    /// Radius, height and thickness along a handle.
    fn handle(&self, h: &Handle) -> Vec<(f64, f64, f64)> {
        let half = h.thick_mm / 2.0;
        let (top, bottom) = (h.top_mm.min(self.vessel.height_mm() - half - 1.0), h.bottom_mm.max(half + 1.0));
        let (rt, rb) = (self.vessel.radius_at_mm(top), self.vessel.radius_at_mm(bottom));
        let far = h.reach_mm - half;
        match h.kind {
            HandleKind::Angular => {
                vec![
                    (rt, top, half),
                    (rt + far, top - 1.0, half),
                    (rt.max(rb) + far * 0.8, bottom + (top - bottom) * 0.35, half * 0.9),
                    (rb, bottom, half),
                ]
            }
            HandleKind::Stick => vec![(rb, bottom, half), (rt.max(rb) + far, top, half * 0.8)],
            HandleKind::Lug => vec![(rt, top, half), (rt + far, top, half * 0.9)],
            HandleKind::Loop | HandleKind::Ear | HandleKind::Bail | HandleKind::Pierced => {
                let skew = if h.kind == HandleKind::Ear { 0.7 } else { 1.0 };
                let bow = |s: f64| (std::f64::consts::PI * s.powf(skew)).sin().max(0.0).powf(0.75);
                (0..=24)
                    .map(|k| f64::from(k) / 24.0)
                    .map(|s| (rt + (rb - rt) * s + far * bow(s), top + (bottom - top) * s, half * (1.0 - 0.15 * bow(s))))
                    .collect()
            }
        }
    }

    fn spout(&self, s: &Spout) -> Vec<(f64, f64, f64)> {
        let top = self.vessel.height_mm();
        let wide = (self.vessel.greatest_mm() * 0.08).clamp(5.0, 11.0);
        match s.kind {
            SpoutKind::Lip | SpoutKind::Beak => {
                let root = top - wide - 3.0;
                let r = self.vessel.radius_at_mm(root);
                vec![(r, root, wide), (self.vessel.rim_mm() / 2.0 + s.reach_mm - 3.0, (top - 4.0).min(s.tip_mm), 3.0)]
            }
            SpoutKind::Tube => vec![
                (self.vessel.radius_at_mm(s.root_mm), s.root_mm, wide * 1.3),
                (self.vessel.radius_at_mm(s.root_mm) + s.reach_mm, s.tip_mm, wide * 0.6),
            ],
            SpoutKind::Swan => {
                let r = self.vessel.radius_at_mm(s.root_mm);
                let (a, d) = ((r, s.root_mm), (r + s.reach_mm, s.tip_mm));
                let (b, c) = ((r + s.reach_mm * 0.7, s.root_mm), (r + s.reach_mm * 0.35, s.tip_mm));
                (0..=20)
                    .map(|k| f64::from(k) / 20.0)
                    .map(|t| {
                        let w = [(1.0 - t).powi(3), 3.0 * t * (1.0 - t).powi(2), 3.0 * t * t * (1.0 - t), t.powi(3)];
                        let mix = |p: [f64; 4]| p.iter().zip(w).map(|(x, w)| x * w).sum::<f64>();
                        (mix([a.0, b.0, c.0, d.0]), mix([a.1, b.1, c.1, d.1]), wide * (1.35 - 0.8 * t))
                    })
                    .collect()
            }
        }
    }
}

fn tube(line: &[(f64, f64, f64)], turn_rad: f64) -> Solid {
    let (s, c) = turn_rad.sin_cos();
    Solid::tube(line.iter().map(|&(r, h, half)| (v3(r * c, r * s, h), half)).collect())
}

/// A pot that nobody made: a foot, a belly, perhaps a neck, a rim.
fn made_up(rng: &mut ChaCha8Rng) -> Shape {
    let high: f64 = rng.random_range(45.0..210.0);
    let belly: f64 = rng.random_range(32.0..(high * 1.1).clamp(40.0, 100.0));
    let foot = belly * rng.random_range(0.5..0.9);
    let neck = belly * rng.random_range(0.6..1.02);
    let rim = neck * rng.random_range(0.95..1.18);
    let (at, up) = (high * rng.random_range(0.3..0.55), high * rng.random_range(0.72..0.86));
    let mut body =
        vec![Point::Corner(foot, 0.0), Point::Corner(foot, 3.0), Point::Curve(belly, at), Point::Curve(neck, up), Point::Corner(rim, high)];
    if rng.random_bool(0.3) {
        body = vec![
            Point::Corner(foot, 0.0),
            Point::Corner(foot, 4.0),
            Point::Curve(f64::midpoint(foot, belly) + 0.18 * belly, at),
            Point::Corner(belly, high),
        ];
    }
    let (top, reach) = (high * rng.random_range(0.7..0.85), rng.random_range(18.0..38.0));
    let kind = [HandleKind::Loop, HandleKind::Ear, HandleKind::Angular][rng.random_range(0..3)];
    let handle =
        Handle { kind, at: HandleAt::Right, top_mm: top, bottom_mm: high * 0.3, reach_mm: reach, thick_mm: rng.random_range(6.0..11.0) };
    let with_handle = rng.random_bool(0.6);
    let spout = Spout { kind: SpoutKind::Beak, root_mm: high * 0.8, tip_mm: high, reach_mm: rng.random_range(8.0..16.0) };
    let with_spout = with_handle && rng.random_bool(0.4);
    Shape {
        body,
        wall_mm: rng.random_range(3.0..6.0),
        plan: Plan::Round,
        lid: Vec::new(),
        lid_plan: None,
        lid_sits_mm: 0.0,
        handles: if with_handle { vec![handle] } else { Vec::new() },
        spout: with_spout.then_some(spout),
        finial: None,
        foot: FootKind::Ring,
        surface: footring::key::shape::Surface::Plain,
    }
}
