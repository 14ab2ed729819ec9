//! What stands before the camera: a piece, a card, the cloth, perhaps a wall behind and something that covers the card, and the light.

use crate::camera::Camera;
use crate::solid::{Solid, Turned, joined_mm};
use crate::vector::{V3, v3};
use crate::{card, cloth, glaze};

/// A plane through `origin` with its texture's directions.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Plane {
    pub(crate) origin: V3,
    pub(crate) normal: V3,
    pub(crate) along: V3,
}

/// The piece: solids in its own axes, of one glaze.
#[derive(Debug)]
pub(crate) struct Piece {
    /// Each with the fillet, in millimetres, by which it joins those before it.
    pub(crate) solids: Vec<(Solid, f64)>,
    /// Of hollow ware, the body filled up: solids after the first have no share in what lies deeper than so many millimetres in it.
    pub(crate) core: Option<(Turned, f64)>,
    pub(crate) glaze: glaze::Glaze,
    pub(crate) origin: V3,
    /// Directions of its own x, y and z in the world.
    pub(crate) axes: [V3; 3],
    /// Corners of the box, in its own axes, that holds all of it.
    pub(crate) low: V3,
    pub(crate) high: V3,
}

impl Piece {
    pub(crate) fn own(&self, direction: V3) -> V3 {
        v3(self.axes[0].dot(direction), self.axes[1].dot(direction), self.axes[2].dot(direction))
    }

    pub(crate) fn own_point(&self, p: V3) -> V3 {
        self.own(p - self.origin)
    }

    pub(crate) fn world(&self, own: V3) -> V3 {
        self.axes[0] * own.x + self.axes[1] * own.y + self.axes[2] * own.z
    }

    pub(crate) fn world_point(&self, own: V3) -> V3 {
        self.world(own) + self.origin
    }

    /// Signed distance of a point in the piece's own axes.
    pub(crate) fn distance_mm(&self, own: V3) -> f64 {
        let mut nearest = f64::INFINITY;
        for (k, (solid, fillet)) in self.solids.iter().enumerate() {
            let mut next = solid.distance_mm(own);
            if let Some((core, deep)) = self.core.as_ref().filter(|_| k > 0 && next < 20.0) {
                next = next.max(-core.distance_mm(own) - deep);
            }
            nearest = if *fillet > 0.0 && nearest.is_finite() { joined_mm(nearest, next, *fillet) } else { nearest.min(next) };
        }
        nearest
    }

    /// How far a point in the piece's own axes is outside its box.
    pub(crate) fn outside_mm(&self, own: V3) -> f64 {
        let d = |x: f64, low: f64, high: f64| (low - x).max(x - high).max(0.0);
        v3(d(own.x, self.low.x, self.high.x), d(own.y, self.low.y, self.high.y), d(own.z, self.low.z, self.high.z)).length()
    }
}

/// What a cover is made of.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Stuff {
    /// The cloth of the table, in a fold.
    Cloth,
    /// A fingertip.
    Skin,
}

/// Light from one window, the rest of the room, and a lamp or none.
#[derive(Debug, Clone)]
pub(crate) struct Light {
    pub(crate) window_mm: V3,
    /// Half of the window's width and height, as vectors.
    pub(crate) window_across: V3,
    pub(crate) window_up: V3,
    /// What a perfect white at the origin, square to the window, gets from it.
    pub(crate) key: f64,
    /// What it gets from the room.
    pub(crate) room: f64,
    /// A small lamp: its place and strength at the origin.
    pub(crate) lamp: Option<(V3, f64)>,
    /// How strong red, green and blue of this light are on a neutral white, after the camera's white balance.
    pub(crate) gains: V3,
    /// The edge of a shadow of something outside the picture: a place on the table, the direction into the shadow, softness, and how dark.
    pub(crate) shade: Option<Shade>,
}

#[derive(Debug, Clone, Copy)]
pub(crate) struct Shade {
    pub(crate) at: V3,
    pub(crate) into: V3,
    pub(crate) soft_mm: f64,
    /// Share of the window's light that is taken away.
    pub(crate) depth: f64,
    /// Width of the shadow along `into`; beyond it is light again.
    pub(crate) width_mm: f64,
}

/// How the sensor and the lens spoil the picture.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Sensor {
    pub(crate) blur_px: f64,
    /// Share of light lost at the picture's corners.
    pub(crate) vignette: f64,
    /// Standard deviation of the noise at full white and in black, in linear light.
    pub(crate) shot: f64,
    pub(crate) read: f64,
    /// Strength of the sharpening that phones do.
    pub(crate) sharpen: f64,
    pub(crate) jpeg_quality: u8,
    pub(crate) seed: u64,
}

#[derive(Debug)]
pub(crate) struct Scene {
    pub(crate) camera: Camera,
    pub(crate) piece: Piece,
    pub(crate) card: card::Card,
    pub(crate) table: Plane,
    pub(crate) cloth: cloth::Cloth,
    /// A wall behind, for pieces seen from the side.
    pub(crate) wall: Option<(Plane, V3)>,
    pub(crate) covers: Vec<(Solid, Stuff)>,
    pub(crate) light: Light,
    pub(crate) sensor: Sensor,
}
