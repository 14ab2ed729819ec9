//! From a scene to linear light, and from linear light to the bytes of a photograph.

use crate::glaze::Place;
use crate::phone::{MAKER, Phone};
use crate::scene::{Scene, Stuff};
use crate::vector::{V3, smooth, v3};
use crate::{card, solid};
use image::codecs::jpeg::JpegEncoder;
use rand::{Rng as _, SeedableRng as _};
use rand_chacha::ChaCha8Rng;
use rayon::prelude::*;

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum What {
    Piece,
    Face,
    Side,
    Table,
    Wall,
    Cover(usize),
}

/// Where neighbouring pixels see the piece at depths so far apart, one part of it stands before another.
const APART_MM: f64 = 2.5;

/// The part of a ray inside a box, as distances along it.
fn through_box(from: V3, way: V3, low: V3, high: V3) -> Option<(f64, f64)> {
    let (mut near, mut far) = (0.0_f64, f64::INFINITY);
    for (o, d, l, h) in [(from.x, way.x, low.x, high.x), (from.y, way.y, low.y, high.y), (from.z, way.z, low.z, high.z)] {
        let (a, b) = ((l - o) / d, (h - o) / d);
        if a.is_nan() || b.is_nan() {
            continue;
        }
        near = near.max(a.min(b));
        far = far.min(a.max(b));
    }
    (near < far).then_some((near, far))
}

/// Steps along a ray until the distance is nothing.
fn march(near: f64, far: f64, distance: impl Fn(f64) -> f64) -> Option<f64> {
    let mut t = near;
    for _ in 0..220 {
        let d = distance(t);
        if d < 0.004 {
            return Some(t);
        }
        t += d;
        if t > far {
            return None;
        }
    }
    None
}

fn hit(scene: &Scene, from: V3, way: V3) -> Option<(f64, What)> {
    let mut best: Option<(f64, What)> = None;
    let mut keep = |t: f64, what: What| {
        if t > 0.0 && best.is_none_or(|b| t < b.0) {
            best = Some((t, what));
        }
    };
    for (plane, what) in [(Some(scene.table), What::Table), (scene.wall.map(|w| w.0), What::Wall)] {
        if let Some(plane) = plane {
            let down = way.dot(plane.normal);
            if down < -1e-6 {
                keep((plane.origin - from).dot(plane.normal) / down, what);
            }
        }
    }
    let piece = &scene.piece;
    let (o, d) = (piece.own_point(from), piece.own(way));
    let inside = through_box(o, d, piece.low, piece.high);
    if let Some(t) = inside.and_then(|(near, far)| march(near, far, |t| piece.distance_mm(o + d * t))) {
        keep(t, What::Piece);
    }
    let half = v3(card::LONG_MM / 2.0, card::SHORT_MM / 2.0, 0.0);
    let inside = through_box(from, way, v3(-half.x, -half.y, -card::THICK_MM), half);
    if let Some(t) = inside.and_then(|(near, far)| march(near - 1e-3, far + 1e-3, |t| card::distance_mm(from + way * t))) {
        keep(t, if (from + way * t).z > -0.01 { What::Face } else { What::Side });
    }
    for (k, (cover, _)) in scene.covers.iter().enumerate() {
        if let Some(t) = march(1.0, 3000.0, |t| cover.distance_mm(from + way * t)) {
            keep(t, What::Cover(k));
        }
    }
    best
}

/// Share of a light at `to` that reaches a point: 1 in full light. `wide` is half the light's width as seen from here, a tangent.
fn lit(scene: &Scene, from: V3, to: V3, wide: f64) -> f64 {
    let way = (to - from).unit();
    let piece = &scene.piece;
    let (o, d) = (piece.own_point(from), piece.own(way));
    let mut open = 1.0_f64;
    let margin = v3(6.0, 6.0, 6.0);
    if let Some((near, far)) = through_box(o, d, piece.low - margin, piece.high + margin) {
        let mut t = near.max(0.6);
        for _ in 0..40 {
            let distance = piece.distance_mm(o + d * t);
            open = open.min(distance / (wide * t));
            if open < 0.003 {
                return 0.0;
            }
            t += distance.clamp(0.6, 20.0);
            if t > far {
                break;
            }
        }
    }
    for (cover, _) in &scene.covers {
        let mut t = 1.0;
        while t < 120.0 && open > 0.003 {
            let distance = cover.distance_mm(from + way * t);
            open = open.min(distance / (wide * t));
            t += distance.clamp(0.5, 12.0);
        }
    }
    if scene.wall.is_some() {
        let mut t = 1.0;
        while t < 160.0 && open > 0.003 {
            let distance = card::distance_mm(from + way * t);
            open = open.min(distance / (wide * t));
            t += distance.clamp(0.3, 12.0);
        }
    }
    smooth(0.0, 1.0, open)
}

/// Light that falls on a point, as a perfect white would give it back.
fn light_at(scene: &Scene, p: V3, n: V3, contact: bool) -> V3 {
    let light = &scene.light;
    let to = light.window_mm - p;
    let facing = n.dot(to.unit()).max(0.0);
    let mut window = light.key * facing * (light.window_mm.dot(light.window_mm) / to.dot(to));
    if window > 0.0 {
        let wide = light.window_across.length() / to.length() / 2.0;
        let ends = [-0.5, 0.5].map(|s| lit(scene, p + n * 0.05, light.window_mm + light.window_across * s, wide));
        window *= f64::midpoint(ends[0], ends[1]);
    }
    if let Some(shade) = light.shade {
        let deep = (p - shade.at).dot(shade.into);
        let dark = smooth(-shade.soft_mm, shade.soft_mm, deep) * (1.0 - smooth(-shade.soft_mm, shade.soft_mm, deep - shade.width_mm));
        window *= 1.0 - shade.depth * dark;
    }
    let mut lamp = 0.0;
    if let Some((at, strength)) = light.lamp {
        let to = at - p;
        let facing = n.dot(to.unit()).max(0.0);
        if facing > 0.0 {
            lamp = strength * facing * at.dot(at) / to.dot(to) * lit(scene, p + n * 0.05, at, 0.05);
        }
    }
    let mut open = 1.0;
    if contact {
        for (reach, weight) in [(1.5, 0.3), (5.0, 0.3), (14.0, 0.3), (32.0, 0.2)] {
            let own = scene.piece.own_point(p + n * reach);
            if scene.piece.outside_mm(own) < reach {
                open -= weight * (1.0 - (scene.piece.distance_mm(own) / reach).clamp(0.0, 1.0));
            }
        }
    }
    let up = 0.65 + 0.35 * n.dot(scene.table.normal);
    light.gains * (window + lamp + light.room * up * open.max(0.08))
}

/// What a mirror would show in a direction: the window, the room, the cloth.
fn mirrored(scene: &Scene, p: V3, way: V3, rough: f64) -> V3 {
    let light = &scene.light;
    let to = light.window_mm;
    let normal = light.window_across.cross(light.window_up).unit();
    let down = way.dot(normal);
    let mut seen = light.room * 0.9;
    let t = if down.abs() > 1e-6 { (to - p).dot(normal) / down } else { -1.0 };
    if t > 0.0 {
        let q = p + way * t - to;
        let (a, b) = (light.window_across.length(), light.window_up.length());
        let (u, v) = (q.dot(light.window_across) / (a * a), q.dot(light.window_up) / (b * b));
        let (su, sv) = (rough * t / a + 0.01, rough * t / b + 0.01);
        let inside = smooth(1.0 + su, 1.0 - su, u.abs()) * smooth(1.0 + sv, 1.0 - sv, v.abs());
        let bars = 1.0 - 0.8 * smooth(0.05 + su, 0.03, u.abs()) * (1.0 - rough).max(0.0);
        let bright = light.key * std::f64::consts::PI * to.dot(to) / (4.0 * a * b);
        seen += inside * bars * bright / ((1.0 + su) * (1.0 + sv));
    }
    let table = way.dot(scene.table.normal);
    let ground = scene.cloth.tint * (0.8 * (light.key * 0.6 + light.room));
    light.gains.times(V3::all(seen).mix(ground, smooth(0.05, -0.05, table)))
}

fn piece_normal(scene: &Scene, own: V3) -> V3 {
    let e = 0.35;
    let at = |x: f64, y: f64, z: f64| scene.piece.distance_mm(own + v3(x, y, z));
    let n = v3(at(e, 0.0, 0.0) - at(-e, 0.0, 0.0), at(0.0, e, 0.0) - at(0.0, -e, 0.0), at(0.0, 0.0, e) - at(0.0, 0.0, -e));
    scene.piece.world(n.unit())
}

fn decor_place(scene: &Scene, own: V3) -> Place {
    let Some((solid::Solid::Turned(turned), _)) = scene.piece.solids.first() else {
        return Place { share: 0.0, turn: 0.0, span_mm: 1.0, around_mm: 1.0, u_mm: own.x, v_mm: own.y };
    };
    let turn = own.y.atan2(own.x) / std::f64::consts::TAU;
    let radius = turned.plan.radius_mm();
    if scene.wall.is_some() {
        let around = std::f64::consts::TAU * turned.radius_mm;
        return Place { share: own.z / turned.high_mm, turn, span_mm: turned.high_mm, around_mm: around, u_mm: turn * around, v_mm: own.z };
    }
    let share = turned.plan.reach_mm(own.x, own.y) / radius;
    Place { share, turn, span_mm: radius, around_mm: std::f64::consts::TAU * radius * share, u_mm: own.x, v_mm: own.y }
}

/// What is seen along a ray. `fine` is how many samples a side are taken of cloth within the ray's share of a pixel, `wide` that share in radians.
fn seen(scene: &Scene, from: V3, way: V3, hit: Option<(f64, What)>, fine: i32, wide: f64) -> V3 {
    let Some((t, what)) = hit else { return scene.light.gains * (scene.light.room * 0.5) };
    let p = from + way * t;
    let cloth = |p: V3| {
        let (plane, q) = (scene.table, p - scene.table.origin);
        let (u, v) = (q.dot(plane.along), q.dot(plane.normal.cross(plane.along)));
        let step = |k: i32| (f64::from(k) + 0.5) / f64::from(fine) - 0.5;
        let mut sum = V3::ZERO;
        for (i, j) in (0..fine).flat_map(|i| (0..fine).map(move |j| (i, j))) {
            sum = sum + scene.cloth.colour(u + step(i) * wide * t, v + step(j) * wide * t);
        }
        sum * (1.0 / f64::from(fine * fine))
    };
    match what {
        What::Table => cloth(p).times(light_at(scene, p, scene.table.normal, true)),
        What::Wall => scene.wall.map_or(V3::ZERO, |(plane, colour)| colour.times(light_at(scene, p, plane.normal, false))),
        What::Face | What::Side => {
            let face = what == What::Face;
            let n = if face { v3(0.0, 0.0, 1.0) } else { v3(p.x, p.y, 0.0).unit() };
            let colour = if face { scene.card.colour(p.x, p.y) } else { V3::all(0.5) };
            let mirror = way - n * (2.0 * way.dot(n));
            colour.times(light_at(scene, p, n, true)) + mirrored(scene, p, mirror, 0.25) * (fresnel(-way.dot(n)) * 0.5)
        }
        What::Cover(k) => {
            let e = 0.1;
            let Some((cover, stuff)) = scene.covers.get(k) else { return V3::ZERO };
            let d = |v: V3| cover.distance_mm(p + v) - cover.distance_mm(p - v);
            let n = v3(d(v3(e, 0.0, 0.0)), d(v3(0.0, e, 0.0)), d(v3(0.0, 0.0, e))).unit();
            let colour = if matches!(stuff, Stuff::Skin) { v3(0.55, 0.30, 0.22) } else { cloth(p) };
            colour.times(light_at(scene, p, n, false))
        }
        What::Piece => {
            let own = scene.piece.own_point(p);
            let n = piece_normal(scene, own);
            let colour = scene.piece.glaze.colour(decor_place(scene, own));
            let mirror = way - n * (2.0 * way.dot(n));
            let shine = fresnel((-way.dot(n)).max(0.0));
            colour.times(light_at(scene, p, n, scene.wall.is_some())) * (1.0 - shine)
                + mirrored(scene, p, mirror, scene.piece.glaze.rough) * shine
        }
    }
}

/// Schlick's approximation for a glass of index 1.5 (0.04 straight on). Common practice.
fn fresnel(cos: f64) -> f64 {
    0.04 + 0.96 * (1.0 - cos.clamp(0.0, 1.0)).powi(5)
}

/// The picture in linear light, row by row.
pub(crate) fn linear(scene: &Scene) -> Vec<V3> {
    let (w, h) = (scene.camera.width as usize, scene.camera.height as usize);
    let eye = scene.camera.eye();
    let mut hits: Vec<Option<(f64, What)>> = vec![None; w * h];
    hits.par_chunks_mut(w).enumerate().for_each(|(y, row)| {
        for (x, found) in row.iter_mut().enumerate() {
            *found = hit(scene, eye, scene.camera.ray(x as f64 + 0.5, y as f64 + 0.5));
        }
    });
    let mut picture = vec![V3::ZERO; w * h];
    picture.par_chunks_mut(w).enumerate().for_each(|(y, row)| {
        for (x, pixel) in row.iter_mut().enumerate() {
            let own = hits[y * w + x];
            let another = |one: Option<(f64, What)>| match (one, own) {
                (Some(one), Some(own)) => one.1 != own.1 || (own.1 == What::Piece && (one.0 - own.0).abs() > APART_MM),
                _ => one.is_some() != own.is_some(),
            };
            let edge =
                (y.saturating_sub(1)..(y + 2).min(h)).any(|j| (x.saturating_sub(1)..(x + 2).min(w)).any(|i| another(hits[j * w + i])));
            let n = if edge { 3 } else { 1 };
            let fine = if edge { 1 } else { 2 };
            let wide = 1.0 / (scene.camera.focal_px * f64::from(n));
            let mut sum = V3::ZERO;
            for k in 0..n * n {
                let (i, j) = (f64::from(k % n), f64::from(k / n));
                let side = f64::from(n);
                let way = scene.camera.ray(x as f64 + (i + 0.5) / side, y as f64 + (j + 0.5) / side);
                let found = if edge { hit(scene, eye, way) } else { own };
                sum = sum + seen(scene, eye, way, found, fine, wide);
            }
            *pixel = sum * (1.0 / f64::from(n * n));
        }
    });
    picture
}

fn blurred(picture: &[V3], w: usize, h: usize, sigma: f64) -> Vec<V3> {
    let reach = (3.0 * sigma).ceil() as usize;
    let weights: Vec<f64> = (0..=2 * reach).map(|k| (-0.5 * ((k as f64 - reach as f64) / sigma).powi(2)).exp()).collect();
    let total: f64 = weights.iter().sum();
    let pass = |from: &[V3], step: usize, count: usize, at: usize, base: usize| {
        let mut sum = V3::ZERO;
        for (k, weight) in weights.iter().enumerate() {
            let place = (at + k).saturating_sub(reach).min(count - 1);
            sum = sum + from[base + place * step] * *weight;
        }
        sum * (1.0 / total)
    };
    let mut across = vec![V3::ZERO; w * h];
    across
        .par_chunks_mut(w)
        .enumerate()
        .for_each(|(y, row)| row.iter_mut().enumerate().for_each(|(x, v)| *v = pass(picture, 1, w, x, y * w)));
    let mut both = vec![V3::ZERO; w * h];
    both.par_chunks_mut(w).enumerate().for_each(|(y, row)| row.iter_mut().enumerate().for_each(|(x, v)| *v = pass(&across, w, h, y, x)));
    both
}

/// The lens's blur, the sensor's noise, the sRGB curve (IEC 61966-2-1), JPEG.
pub(crate) fn jpeg(scene: &Scene, taken_by: Option<&Phone>) -> Result<Vec<u8>, Box<dyn std::error::Error>> {
    let (w, h) = (scene.camera.width as usize, scene.camera.height as usize);
    let sensor = scene.sensor;
    let mut light = blurred(&linear(scene), w, h, sensor.blur_px.max(0.2));
    let mut rng = ChaCha8Rng::seed_from_u64(sensor.seed);
    let mut grain: Vec<V3> = (0..w * h)
        .map(|_| {
            let mut one = || (0..4).map(|_| rng.random::<f64>()).sum::<f64>() * 1.732 - 3.464;
            v3(one(), one(), one())
        })
        .collect();
    grain = blurred(&grain, w, h, 0.5);
    for (k, (pixel, grain)) in light.iter_mut().zip(&grain).enumerate() {
        let (x, y) = ((k % w) as f64 - w as f64 / 2.0, (k / w) as f64 - h as f64 / 2.0);
        let corner = x.hypot(y) * 2.0 / (w as f64).hypot(h as f64);
        let p = *pixel * (1.0 - sensor.vignette * corner * corner);
        let one = |c: f64, g: f64| c + 1.8 * g * (sensor.shot * sensor.shot * c.max(0.0) + sensor.read * sensor.read).sqrt();
        *pixel = v3(one(p.x, grain.x), one(p.y, grain.y), one(p.z, grain.z));
    }
    if sensor.sharpen > 0.0 {
        let soft = blurred(&light, w, h, 1.0);
        for (p, s) in light.iter_mut().zip(&soft) {
            *p = *p + (*p - *s) * sensor.sharpen;
        }
    }
    let curve = |c: f64| {
        let c = c.clamp(0.0, 1.0);
        ((if c <= 0.003_130_8 { 12.92 * c } else { 1.055 * c.powf(1.0 / 2.4) - 0.055 }) * 255.0).round() as u8
    };
    let bytes: Vec<u8> = light.iter().flat_map(|p| [curve(p.x), curve(p.y), curve(p.z)]).collect();
    let mut out = Vec::new();
    JpegEncoder::new_with_quality(&mut out, sensor.jpeg_quality).encode(&bytes, w as u32, h as u32, image::ExtendedColorType::Rgb8)?;
    if let Some(phone) = taken_by {
        out.splice(2..2, app1(phone));
    }
    Ok(out)
}

/// An APP1 segment (Exif 2.32, JEITA CP-3451) with the camera's maker and model and the focal length, true and for 35 mm film.
fn app1(phone: &Phone) -> Vec<u8> {
    let mut head: Vec<u8> = b"II\x2a\0\x08\0\0\0\x03\0".to_vec();
    let entry = |t: &mut Vec<u8>, tag: u16, kind: u16, count: u32, value: u32| {
        t.extend(tag.to_le_bytes());
        t.extend(kind.to_le_bytes());
        t.extend(count.to_le_bytes());
        t.extend(value.to_le_bytes());
    };
    let text = |s: &str| [s.as_bytes(), b"\0"].concat();
    let (make, model) = (text(MAKER), text(&phone.model));
    // The first directory ends at 50, the second at 80.
    let (at_focal, at_make) = (80, 88);
    let at_model = at_make + make.len() as u32;
    entry(&mut head, 0x010F, 2, make.len() as u32, at_make);
    entry(&mut head, 0x0110, 2, model.len() as u32, at_model);
    entry(&mut head, 0x8769, 4, 1, 50);
    head.extend([0; 4]);
    head.extend(2_u16.to_le_bytes());
    entry(&mut head, 0x920A, 5, 1, at_focal);
    entry(&mut head, 0xA405, 3, 1, phone.equivalent_mm.round() as u32);
    head.extend([0; 4]);
    head.extend(((phone.equivalent_mm / 6.0 * 100.0).round() as u32).to_le_bytes());
    head.extend(100_u32.to_le_bytes());
    head.extend(make);
    head.extend(model);
    let length = (head.len() + 8) as u16;
    [&[0xFF, 0xE1][..], &length.to_be_bytes(), b"Exif\0\0", &head].concat()
}
