//! Pieces from the side: a pot on a table, a card standing upright beside it with its face in the plane of the pot's axis, a wall behind.

use crate::card;
use crate::chosen::{Wish, Yes, card_kind, cloth_and_glaze, cover, sensor};
use crate::form::Pot;
use crate::phone::Phone;
use crate::scene::{Light, Piece, Plane, Scene, Shade};
use crate::solid::{Solid, Turned};
use crate::vector::{V3, v3};
use rand::{Rng as _, SeedableRng as _};
use rand_chacha::ChaCha8Rng;

/// A scene and what is known of it.
pub(crate) struct PlantedSide {
    pub(crate) scene: Scene,
    pub(crate) pot: Pot,
    /// Directions in the card's plane: along the table to the right, and upward.
    pub(crate) right: V3,
    pub(crate) up: V3,
    /// The foot's middle on the table and the middle of the highest circle of the rim.
    pub(crate) axis_mm: [V3; 2],
    pub(crate) handle_turn_rad: f64,
    pub(crate) phone: Phone,
    pub(crate) hard: Vec<&'static str>,
}

impl PlantedSide {
    /// The point of a circle about the axis.
    fn around(&self, radius: f64, height: f64, angle: f64) -> V3 {
        let (s, c) = angle.sin_cos();
        self.axis_mm[0] + self.up * height + self.right * (radius * c) + v3(0.0, 0.0, radius * s)
    }

    /// A circle about the axis in the picture, in 64 points.
    pub(crate) fn circle_px(&self, radius: f64, height: f64) -> Vec<(f64, f64)> {
        let step = std::f64::consts::TAU / 64.0;
        (0..64).map(|k| self.scene.camera.project(self.around(radius, height, f64::from(k) * step))).collect()
    }

    /// Where rays from the camera graze the outside of the turned body, left and right from the foot up, in the picture. Some of it may be hidden behind a
    /// handle or behind the body itself.
    ///
    /// At a point (r cos θ, r sin θ, h) the surface's normal is (n cos θ, n sin θ, m) where (n, m) is square to the profile; the ray from an eye at
    /// distance e from the axis and height k grazes it where n (e cos(θ − θₑ) − r) + m (k − h) = 0.
    pub(crate) fn grazed_px(&self) -> [Vec<(f64, f64)>; 2] {
        let eye = self.scene.camera.eye() - self.axis_mm[0];
        let (x, y, k) = (eye.dot(self.right), eye.z, eye.dot(self.up));
        let (e, toward) = (x.hypot(y), y.atan2(x));
        let line = self.pot.vessel.profile_mm(1.0);
        let mut sides = [Vec::new(), Vec::new()];
        for w in line.windows(2) {
            let [[r0, h0], [r1, h1]] = [w[0], w[1]];
            let (n, m) = (h1 - h0, r0 - r1);
            let (r, h) = (f64::midpoint(r0, r1), f64::midpoint(h0, h1));
            let cos = (r - m * (k - h) / n) / e;
            if n.abs() > 1e-9 && cos.abs() <= 1.0 {
                let off = cos.acos();
                sides[0].push(self.scene.camera.project(self.around(r, h, toward + off)));
                sides[1].push(self.scene.camera.project(self.around(r, h, toward - off)));
            }
        }
        sides
    }
}

/// A pot from the side, with its card.
pub(crate) fn side(seed: u64, (width, height): (u32, u32), wish: &Wish, choose: impl FnOnce(&mut ChaCha8Rng) -> Pot) -> PlantedSide {
    let mut rng = ChaCha8Rng::seed_from_u64(seed);
    let rng = &mut rng;
    let pot = choose(rng);
    let mut hard = Vec::new();
    let (cloth, glaze) = cloth_and_glaze(rng, wish, seed, pot.vessel.greatest_mm() / 2.0, &mut hard);
    let kind = card_kind(rng, wish, &mut hard);
    // Nine in ten cards stand on their long edge.
    let long = rng.random_bool(0.9);
    let (right, up) = if long { (v3(1.0, 0.0, 0.0), v3(0.0, 1.0, 0.0)) } else { (v3(0.0, -1.0, 0.0), v3(1.0, 0.0, 0.0)) };
    let (half_wide, half_high) =
        if long { (card::LONG_MM / 2.0, card::SHORT_MM / 2.0) } else { (card::SHORT_MM / 2.0, card::LONG_MM / 2.0) };
    if !long {
        hard.push("card-on-end");
    }
    // The handle is to the right of its axes, or turned about them; the card stands on either side, clear of what is there.
    let square = rng.random_bool(0.75);
    let out = if square { rng.random_range(-0.2..0.2) } else { rng.random_range(-0.9..0.9) };
    let flip = rng.random_bool(0.5);
    let handle_turn_rad = if flip { std::f64::consts::PI + out } else { out };
    let (to_right, to_left) = pot.reach_mm();
    let (to_right, to_left) = if flip { (to_left, to_right) } else { (to_right, to_left) };
    let drawn = rng.random_range(8.0..30.0);
    let gap = wish.gap_mm.unwrap_or(drawn);
    if gap < 2.5 {
        hard.push("gap-2mm");
    }
    let at = if rng.random_bool(0.5) { -(to_right + gap + half_wide) } else { to_left + gap + half_wide };
    let foot = right * at - up * half_high;
    let tall = pot.vessel.height_mm();
    let mut solids = vec![(Solid::Turned(Turned::new(pot.vessel.plan(), &pot.vessel.section())), 0.0)];
    solids.extend(pot.solids(handle_turn_rad));
    let core = Some((Turned::new(pot.vessel.plan(), &pot.vessel.filled()), pot.vessel.wall_mm / 2.0));
    let far = to_right.max(to_left) + 3.0;
    let high =
        pot.spout.map_or(tall, |s| tall.max(s.tip_mm)).max(pot.handles.iter().map(|h| h.top_mm + h.thick_mm).fold(0.0, f64::max)) + 8.0;

    let mut points: Vec<V3> = card::corners().to_vec();
    let body = pot.vessel.greatest_mm() / 2.0;
    for h in [0.0, tall] {
        points.extend(
            (0..12)
                .map(|k| f64::from(k) * std::f64::consts::FRAC_PI_6)
                .map(|a| foot + up * h + right * (body * a.cos()) + v3(0.0, 0.0, body * a.sin())),
        );
    }
    points.extend([foot + right * to_right + up * (tall * 0.6), foot - right * to_left + up * (tall * 0.6)]);
    let equivalent_mm = rng.random_range(24.0..28.0);
    let drawn: f64 = rng.random_range(8.0..25.0);
    let tilt = wish.tilt_deg.unwrap_or(drawn).to_radians();
    let turn: f64 = rng.random_range(-0.16..0.16);
    let beside = (rng.random_range(-0.006..0.006), rng.random_range(-0.006..0.006));
    let own = Phone { model: "nobody's phone".to_owned(), equivalent_mm, focused: 1.0, k1: rng.random_range(-0.015..0.015), beside };
    let phone = wish.phone.as_ref().map_or(own, |phone| phone.focused(seed));
    let mut camera = phone.camera((width, height));
    let (low, top) = points.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), p| (a.min(p.dot(right)), b.max(p.dot(right))));
    let middle = right * f64::midpoint(low, top) + up * (tall * 0.45 - half_high);
    let view = right * (turn.sin() * tilt.cos()) + up * tilt.sin() + v3(0.0, 0.0, turn.cos() * tilt.cos());
    let (roll, margin) = (rng.random_range(-0.05..0.05), rng.random_range(0.03..0.09));
    camera.step_back(middle, view, (up, roll), 250.0, &points, margin);

    let drawn = rng.random_range(0.6..0.92);
    let level = wish.level.unwrap_or(drawn);
    let share = rng.random_range(0.3..0.7);
    let from = if rng.random_bool(0.5) { 1.0 } else { -1.0 };
    let (beside, steep): (f64, f64) = (rng.random_range(0.3..1.25), rng.random_range(0.35..1.0));
    let mut toward = right * (from * beside.sin() * steep.cos()) + up * steep.sin() + v3(0.0, 0.0, beside.cos() * steep.cos());
    let glare = rng.random_bool(0.3);
    if Yes::or(wish.glare, glare) {
        // Mirrored near the edge of the body that is seen, at half height.
        hard.push("window-glare");
        let n = (right * (from * 0.93) + v3(0.0, 0.0, 0.45)).unit();
        let spot = foot + up * (tall * 0.55) + n * pot.vessel.radius_at_mm(tall * 0.55);
        let look = (spot - camera.eye()).unit();
        let mirror = look - n * (2.0 * look.dot(n));
        let mirror = (mirror + up * 0.5).unit();
        toward = if mirror.z > -0.3 { mirror } else { toward };
    }
    let window_mm = toward * 1500.0;
    let facing = toward.z.max(toward.dot(up)).max(0.35);
    let across = toward.cross(up).unit();
    let shaded = rng.random_bool(0.25);
    let shade = Yes::or(wish.shade, shaded).then(|| {
        hard.push("shadow-across");
        let a: f64 = rng.random_range(-1.0..1.0);
        let side = if rng.random_bool(0.5) { right } else { -right };
        Shade {
            at: foot * rng.random_range(0.1..0.9),
            into: (side * a.cos() + up * a.sin()).unit(),
            soft_mm: rng.random_range(3.0..18.0),
            depth: rng.random_range(0.6..0.95),
            width_mm: rng.random_range(60.0..500.0),
        }
    });
    let warm: f64 = rng.random_range(-0.12..0.22);
    let mut covers = Vec::new();
    let covered = rng.random_bool(0.06);
    if Yes::or(wish.covered, covered) {
        hard.push("card-covered");
        covers.push(cover(rng));
    }
    let behind = body + rng.random_range(60.0..400.0);
    let paper = [V3::all(0.75), v3(0.62, 0.58, 0.5), v3(0.32, 0.36, 0.4), v3(0.1, 0.1, 0.11), v3(0.42, 0.3, 0.24)][rng.random_range(0..5)];
    let normal = v3(0.0, 0.0, 1.0);
    let scene = Scene {
        camera,
        piece: Piece {
            solids,
            core,
            glaze,
            origin: foot,
            // Its z is up and its y goes away from the camera.
            axes: [right, -normal, up],
            low: v3(-far, -far, 0.0),
            high: v3(far, far, high),
        },
        card: card::Card { kind, salt: seed },
        table: Plane { origin: -up * half_high, normal: up, along: right },
        cloth,
        wall: Some((Plane { origin: v3(0.0, 0.0, -behind), normal, along: right }, paper)),
        covers,
        light: Light {
            window_mm,
            window_across: across * rng.random_range(250.0..500.0),
            window_up: toward.cross(across) * rng.random_range(300.0..600.0),
            key: level * share / facing,
            room: level * (1.0 - share) / 0.85,
            lamp: None,
            gains: v3(1.0 + 0.6 * warm, 1.0, 1.0 - warm),
            shade,
        },
        sensor: sensor(rng, wish, seed),
    };
    let axis_mm = [foot, foot + up * tall];
    PlantedSide { scene, pot, right, up, axis_mm, handle_turn_rad, phone, hard }
}
