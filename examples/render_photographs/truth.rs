//! What is written beside the pictures, and the same drawn over them.

use crate::camera::Camera;
use crate::lid::Planted;
use crate::phone::Phone;
use crate::scene::Scene;
use crate::side::PlantedSide;
use crate::vector::V3;
use crate::{card, plan, render};
use serde_json::{Value, json};
use std::error::Error;

/// A scene of either view.
pub(crate) enum Photograph {
    Above(Box<Planted>),
    Side(Box<PlantedSide>),
}

impl Photograph {
    pub(crate) const fn scene(&self) -> &Scene {
        match self {
            Self::Above(p) => &p.scene,
            Self::Side(p) => &p.scene,
        }
    }

    const fn phone(&self) -> &Phone {
        match self {
            Self::Above(p) => &p.phone,
            Self::Side(p) => &p.phone,
        }
    }

    pub(crate) fn jpeg(&self, exif: bool) -> Result<Vec<u8>, Box<dyn Error>> {
        render::jpeg(self.scene(), exif.then_some(self.phone()))
    }

    /// The record of a picture, lengths to a thousandth of a millimetre, pixels to a hundredth.
    pub(crate) fn record(&self, file: &str, (form, glaze): (Option<&str>, Option<&str>), exif: bool) -> Value {
        let scene = self.scene();
        let g = scene.light.gains;
        let mut record = json!({
            "file": file, "cloth": scene.cloth.kind.name(), "card": scene.card.kind.name(), "exif": exif, "phone": self.phone().model,
            "camera": camera(&scene.camera),
            "card_px": card::corners().map(|p| px(scene.camera.project(p))),
            "glaze_lab": scene.piece.glaze.lab, "light_gains": three(g),
        });
        let own = match self {
            Self::Above(p) => above(p),
            Self::Side(p) => side(p),
        };
        if let (Some(record), Value::Object(own)) = (record.as_object_mut(), own) {
            record.extend(own);
            for (name, id) in [("form", form), ("glaze", glaze)] {
                if let Some(id) = id {
                    record.insert(name.to_owned(), json!(id));
                }
            }
        }
        record
    }

    /// The picture with what the truth says of it: card in green, rim and foot in red, the grazed outline in blue.
    pub(crate) fn overlay(&self, bytes: &[u8]) -> Result<image::RgbImage, Box<dyn Error>> {
        let mut picture = image::load_from_memory(bytes)?.to_rgb8();
        let mut dot = |(x, y): (f64, f64), ink: [u8; 3]| {
            for k in -2_i32..=2 {
                for (i, j) in [(x.floor() as i32 + k, y.floor() as i32), (x.floor() as i32, y.floor() as i32 + k)] {
                    let at = u32::try_from(i).ok().zip(u32::try_from(j).ok());
                    if let Some((i, j)) = at.filter(|at| at.0 < picture.width() && at.1 < picture.height()) {
                        picture.put_pixel(i, j, image::Rgb(ink));
                    }
                }
            }
        };
        match self {
            Self::Above(p) => rim_px(p).into_iter().for_each(|p| dot(p, [255, 0, 0])),
            Self::Side(p) => {
                let vessel = &p.pot.vessel;
                p.circle_px(vessel.brim_mm(), vessel.height_mm()).into_iter().for_each(|p| dot(p, [255, 0, 0]));
                p.circle_px(vessel.foot_mm() / 2.0, 0.0).into_iter().for_each(|p| dot(p, [255, 0, 0]));
                p.grazed_px().into_iter().flatten().for_each(|p| dot(p, [0, 80, 255]));
            }
        }
        for corner in card::corners() {
            dot(self.scene().camera.project(corner), [0, 200, 0]);
        }
        Ok(picture)
    }
}

/// 64 points of the rim in the picture.
fn rim_px(planted: &Planted) -> Vec<(f64, f64)> {
    let piece = &planted.scene.piece;
    (0..64)
        .map(|k| planted.scene.camera.project(piece.world_point(planted.plan.point(f64::from(k) / 64.0 * std::f64::consts::TAU))))
        .collect()
}

fn rounded(x: f64, by: f64) -> f64 {
    (x * by).round() / by
}

fn mm(x: f64) -> f64 {
    rounded(x, 1e3)
}

fn fine(x: f64) -> f64 {
    rounded(x, 1e9)
}

fn three(v: V3) -> [f64; 3] {
    [v.x, v.y, v.z].map(fine)
}

fn px((x, y): (f64, f64)) -> [f64; 2] {
    [rounded(x, 1e2), rounded(y, 1e2)]
}

fn flat(p: V3) -> [f64; 2] {
    [mm(p.x), mm(p.y)]
}

fn camera(camera: &Camera) -> Value {
    let rotation: Vec<f64> = camera.rotation.iter().flat_map(|r| [r.x, r.y, r.z]).map(fine).collect();
    let t = camera.translation_mm;
    json!({"width": camera.width, "height": camera.height, "focal_px": fine(camera.focal_px), "cx": fine(camera.cx), "cy": fine(camera.cy),
        "k1": fine(camera.k1), "rotation": rotation, "translation_mm": three(t)})
}

fn above(planted: &Planted) -> Value {
    let plan = &planted.plan;
    let exponent = if let plan::Model::Superellipse { exponent } = plan.model { json!(mm(exponent)) } else { Value::Null };
    let origin = planted.scene.piece.origin;
    json!({
        "view": "above", "hard": planted.hard,
        "outline": {"model": plan.name(), "major_mm": mm(plan.major_mm), "minor_mm": mm(plan.minor_mm), "exponent": exponent,
            "angle_deg": mm(planted.turn_rad.to_degrees().rem_euclid(180.0))},
        "outline_px": rim_px(planted).into_iter().map(px).collect::<Vec<_>>(),
        "centre_px": px(planted.scene.camera.project(origin)), "centre_mm": flat(origin),
    })
}

fn side(planted: &PlantedSide) -> Value {
    let (vessel, camera) = (&planted.pot.vessel, &planted.scene.camera);
    let pixels = |points: Vec<(f64, f64)>| points.into_iter().map(px).collect::<Vec<_>>();
    let profile: Vec<[f64; 2]> = vessel.profile_mm(1.0).into_iter().map(|[r, h]| [mm(r), mm(h)]).collect();
    json!({
        "view": "side", "hard": planted.hard, "wall": planted.scene.wall.is_some(),
        "side": {
            "height_mm": mm(vessel.height_mm()), "rim_mm": mm(vessel.rim_mm()), "brim_mm": mm(2.0 * vessel.brim_mm()),
            "max_mm": mm(vessel.greatest_mm()), "foot_mm": mm(vessel.foot_mm()), "capacity_ml": mm(vessel.capacity_ml()),
            "wall_mm": vessel.wall_mm, "profile_mm": profile, "up": flat(planted.up),
            "axis_mm": planted.axis_mm.map(flat), "axis_px": planted.axis_mm.map(|p| px(camera.project(p))),
            "parts": planted.pot.parts(), "parts_turn_deg": mm(planted.handle_turn_rad.to_degrees()),
        },
        "rim_px": pixels(planted.circle_px(vessel.brim_mm(), vessel.height_mm())),
        "foot_px": pixels(planted.circle_px(vessel.foot_mm() / 2.0, 0.0)),
        "outline_px": planted.grazed_px().map(pixels),
    })
}
