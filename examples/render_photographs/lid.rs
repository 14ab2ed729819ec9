//! Lids from above, drawn by chance from a seed, or after a form.

use crate::card;
use crate::chosen::{Wish, Yes, card_kind, cloth_and_glaze, cover, sensor};
use crate::phone::Phone;
use crate::plan::{Model, Plan};
use crate::scene::{Light, Piece, Plane, Scene, Shade};
use crate::solid::{Solid, Turned};
use crate::vector::{V3, v3};
use rand::{Rng as _, SeedableRng as _};
use rand_chacha::ChaCha8Rng;

/// A scene and what is known of it.
pub(crate) struct Planted {
    pub(crate) scene: Scene,
    pub(crate) plan: Plan,
    pub(crate) turn_rad: f64,
    pub(crate) phone: Phone,
    pub(crate) hard: Vec<&'static str>,
}

/// The shape of a lid, where it is not drawn by chance.
#[derive(Debug, Clone)]
pub(crate) struct LidShape {
    pub(crate) plan: Plan,
    /// Half profile inward and up from its widest edge at height 0.
    pub(crate) dome: Vec<(f64, f64)>,
}

/// Height of the cloth below the card's face and the rim.
const CLOTH_MM: f64 = -card::THICK_MM;

/// A thin rounded edge, widest at height 0, and what rises from it.
const EDGE_MM: f64 = 0.7;

fn shaped_section(radius: f64, dome: &[(f64, f64)]) -> (Vec<(f64, f64)>, f64) {
    let mut line = vec![(0.0, CLOTH_MM + 0.05), (radius - EDGE_MM, -EDGE_MM)];
    let quarter = std::f64::consts::FRAC_PI_2;
    line.extend(
        (1..=12).map(|k| -quarter + quarter * f64::from(k) / 12.0).map(|a| (radius - EDGE_MM + EDGE_MM * a.cos(), EDGE_MM * a.sin())),
    );
    line.extend(dome.iter().filter(|p| p.0 < radius - 0.05));
    let top = dome.iter().map(|p| p.1).fold(0.0, f64::max);
    line.push((0.0, line.last().map_or(top, |p| p.1)));
    (line, top)
}

fn lid_section(rng: &mut ChaCha8Rng, radius: f64) -> (Vec<(f64, f64)>, f64) {
    let edge = EDGE_MM;
    let slope: f64 = rng.random_range(0.12..0.38);
    let mut line = vec![(0.0, CLOTH_MM + 0.05), (radius - edge, -edge)];
    let last = std::f64::consts::FRAC_PI_2 - slope;
    line.extend(
        (1..=16)
            .map(|k| -std::f64::consts::FRAC_PI_2 + (last + std::f64::consts::FRAC_PI_2) * f64::from(k) / 16.0)
            .map(|a| (radius - edge + edge * a.cos(), edge * a.sin())),
    );
    let flange = radius * rng.random_range(0.05..0.16);
    let (r1, h1) = (radius - flange, edge + flange * slope.tan());
    line.push((r1, h1));
    let power = rng.random_range(1.9..2.5);
    let rise = r1 / power * rng.random_range(0.25..0.62);
    line.extend((1..=60).map(|k| f64::from(k) / 60.0).map(|s| (r1 * (1.0 - s), h1 + rise * (1.0 - (1.0 - s).powf(power)))));
    (line, h1 + rise)
}

fn plan(rng: &mut ChaCha8Rng) -> Plan {
    let major_mm: f64 = rng.random_range(90.0..300.0);
    match rng.random_range(0..10) {
        0..=3 => Plan {
            model: Model::Circle { two: rng.random_range(0.0..0.004), three: rng.random_range(0.0..0.002) },
            major_mm,
            minor_mm: major_mm,
        },
        4..=7 => {
            let aspect: f64 = if rng.random_bool(0.4) { rng.random_range(1.03..1.09) } else { rng.random_range(1.06..1.4) };
            Plan { model: Model::Ellipse, major_mm, minor_mm: major_mm / aspect }
        }
        _ => Plan {
            model: Model::Superellipse { exponent: rng.random_range(3.0..5.0) },
            major_mm,
            minor_mm: major_mm / rng.random_range(1.0..1.25),
        },
    }
}

fn knob(rng: &mut ChaCha8Rng, wish: &Wish, solids: &mut Vec<(Solid, f64)>, top: f64, radius: f64) -> f64 {
    let size = (radius * 0.13).clamp(7.0, 17.0);
    let kind = rng.random_range(0..4);
    match wish.knob.unwrap_or(kind) {
        0 => {
            solids.push((Solid::tube(vec![(v3(0.0, 0.0, top - 3.0), size * 0.55), (v3(0.0, 0.0, top + size * 0.7), size * 0.5)]), 3.0));
            solids.push((Solid::Ball { middle: v3(0.0, 0.0, top + size * 1.2), half: v3(size, size, size * 0.75) }, 2.0));
        }
        1 => {
            let ring = (0..=20)
                .map(|k| f64::from(k) / 20.0 * std::f64::consts::TAU)
                .map(|a| (v3(a.sin() * size, 0.0, top + size * 0.7 - a.cos() * size), size * 0.28));
            solids.push((Solid::tube(ring.collect()), 2.5));
        }
        2 => solids.push((
            Solid::Block {
                middle: v3(0.0, 0.0, top + size * 0.3),
                half: v3(size * 1.5, size * 0.45, size * 0.8),
                round_mm: size * 0.3,
                turn_rad: rng.random_range(0.0..3.1),
            },
            3.0,
        )),
        _ => return top + 1.0,
    }
    top + size * 2.2
}

/// A lid from above, with its card beside it.
pub(crate) fn lid(seed: u64, (width, height): (u32, u32), wish: &Wish, shape: Option<&LidShape>) -> Planted {
    let mut rng = ChaCha8Rng::seed_from_u64(seed);
    let rng = &mut rng;
    let drawn = plan(rng);
    let plan = shape.map_or(drawn, |s| s.plan);
    let radius = plan.radius_mm();
    let by_chance = lid_section(rng, radius);
    let (section, top) = shape.map_or(by_chance, |s| shaped_section(radius, &s.dome));
    let mut solids = vec![(Solid::Turned(Turned::new(plan, &section)), 0.0)];
    let high = knob(rng, wish, &mut solids, top, radius);
    let mut hard = Vec::new();
    let mut reach = radius;
    let lugs = rng.random_bool(0.3);
    if Yes::or(wish.lugs, lugs) {
        let out = rng.random_range(7.0..18.0);
        let both = rng.random_bool(0.5);
        for side in if both { vec![-1.0, 1.0] } else { vec![1.0] } {
            let half = v3(out, radius * rng.random_range(0.14..0.24), 2.2);
            solids.push((Solid::Block { middle: v3(side * radius, 0.0, 1.6), half, round_mm: 2.0, turn_rad: 0.0 }, 1.5));
        }
        reach = radius + out;
        hard.push("lugs");
    }
    let (cloth, glaze) = cloth_and_glaze(rng, wish, seed, radius, &mut hard);
    // The piece beside the card: out along a direction until the gap is what it should be.
    let turn_rad = rng.random_range(0.0..std::f64::consts::TAU);
    let way: f64 = rng.random_range(0.0..std::f64::consts::TAU);
    let drawn = if rng.random_bool(0.2) { 2.0 } else { rng.random_range(5.0..30.0) };
    let gap = wish.gap_mm.unwrap_or(drawn);
    if gap < 2.5 {
        hard.push("gap-2mm");
    }
    let (s, c) = turn_rad.sin_cos();
    let turned = |p: V3| v3(p.x * c - p.y * s, p.x * s + p.y * c, 0.0);
    let mut around: Vec<V3> = (0..180).map(|k| turned(plan.point(f64::from(k) * 0.0349))).collect();
    if reach > radius {
        let w = radius * 0.24;
        around.extend([-1.0, 1.0].into_iter().flat_map(|m| [-w, 0.0, w].map(|y| turned(v3(m * reach, y, 0.0)))));
    }
    let nearest =
        |d: f64| around.iter().map(|p| card::plane_distance_mm(p.x + d * way.cos(), p.y + d * way.sin())).fold(f64::INFINITY, f64::min);
    let (mut near, mut far) = (0.0, 600.0);
    for _ in 0..40 {
        let middle = f64::midpoint(near, far);
        let inside = middle < radius * 0.6;
        if inside || nearest(middle) < gap { near = middle } else { far = middle }
    }
    let origin = v3(far * way.cos(), far * way.sin(), 0.0);
    let mut points: Vec<V3> = around.iter().map(|p| *p + origin).collect();
    points.extend(card::corners());
    points.push(origin + v3(0.0, 0.0, high));
    let equivalent_mm = rng.random_range(24.0..28.0);
    let drawn: f64 = rng.random_range(0.0..22.0);
    let tilt = wish.tilt_deg.unwrap_or(drawn).to_radians();
    let beside = (rng.random_range(-0.006..0.006), rng.random_range(-0.006..0.006));
    let own = Phone { model: "nobody's phone".to_owned(), equivalent_mm, focused: 1.0, k1: rng.random_range(-0.015..0.015), beside };
    let phone = wish.phone.as_ref().map_or(own, |phone| phone.focused(seed));
    let mut camera = phone.camera((width, height));
    let target = points.iter().fold(V3::ZERO, |a, p| a + *p) * (1.0 / points.len() as f64);
    let middle = v3((origin.x - 0.0) * 0.5, (origin.y - 0.0) * 0.5, 0.0).mix(target, 0.5);
    let lean: f64 = rng.random_range(0.0..std::f64::consts::TAU);
    let view = v3(tilt.sin() * lean.cos(), tilt.sin() * lean.sin(), tilt.cos());
    let along = v3(origin.x, origin.y, 0.0).unit();
    let up = v3(-along.y, along.x, 0.0);
    let roll = rng.random_range(-0.25..0.25);
    let margin = rng.random_range(0.03..0.09);
    camera.step_back(middle, view, (up, roll), 150.0, &points, margin);
    let drawn = rng.random_range(0.6..0.95);
    let level = wish.level.unwrap_or(drawn);
    let share = rng.random_range(0.3..0.75);
    let side: f64 = rng.random_range(0.0..std::f64::consts::TAU);
    let steep: f64 = rng.random_range(0.45..1.2);
    let mut window_mm = v3(side.cos() * steep.cos(), side.sin() * steep.cos(), steep.sin()) * 1500.0;
    let glare = rng.random_bool(0.2);
    if Yes::or(wish.glare, glare) {
        // Mirrored in the glaze just inside the rim.
        let rim = origin + turned(plan.point(side)) * 0.96;
        let n = (v3(side.cos() * c - side.sin() * s, side.cos() * s + side.sin() * c, 0.0) * 0.25 + v3(0.0, 0.0, 1.0)).unit();
        let look = (rim - camera.eye()).unit();
        let mirror = look - n * (2.0 * look.dot(n));
        if mirror.z > 0.3 {
            window_mm = rim + mirror * 1400.0;
            hard.push("window-glare");
        }
    }
    let facing = window_mm.unit().z;
    let back = window_mm.unit();
    let across = back.cross(v3(0.0, 0.0, 1.0)).unit();
    let shaded = rng.random_bool(0.25);
    let shade = Yes::or(wish.shade, shaded).then(|| {
        hard.push("shadow-across");
        let a: f64 = rng.random_range(0.0..std::f64::consts::TAU);
        Shade {
            at: origin * rng.random_range(0.1..0.7),
            into: v3(a.cos(), a.sin(), 0.0),
            soft_mm: rng.random_range(2.0..16.0),
            depth: rng.random_range(0.6..0.95),
            width_mm: rng.random_range(60.0..500.0),
        }
    });
    let warm: f64 = rng.random_range(-0.12..0.22);
    let card_kind = card_kind(rng, wish, &mut hard);
    let mut covers = Vec::new();
    let covered = rng.random_bool(0.08);
    if Yes::or(wish.covered, covered) {
        hard.push("card-covered");
        covers.push(cover(rng));
    }
    let bound = v3(reach + 3.0, plan.minor_mm / 2.0 + 3.0, high + 3.0);
    let bound = v3(bound.x, bound.y.max(radius * 0.3), bound.z);
    let scene = Scene {
        camera,
        piece: Piece {
            solids,
            core: None,
            glaze,
            origin,
            axes: [v3(c, s, 0.0), v3(-s, c, 0.0), v3(0.0, 0.0, 1.0)],
            low: v3(-bound.x, -bound.y, CLOTH_MM),
            high: bound,
        },
        card: card::Card { kind: card_kind, salt: seed },
        table: Plane { origin: v3(0.0, 0.0, CLOTH_MM), normal: v3(0.0, 0.0, 1.0), along: v3(1.0, 0.0, 0.0) },
        cloth,
        wall: None,
        covers,
        light: Light {
            window_mm,
            window_across: across * rng.random_range(250.0..500.0),
            window_up: back.cross(across) * rng.random_range(300.0..600.0),
            key: level * share / facing.max(0.3),
            room: level * (1.0 - share),
            lamp: None,
            gains: v3(1.0 + 0.6 * warm, 1.0, 1.0 - warm),
            shade,
        },
        sensor: sensor(rng, wish, seed),
    };
    Planted { scene, plan, turn_rad, phone, hard }
}
