//! Glazes: a body colour under a clear gloss, with specks, bands, dots or stripes on it.

use crate::vector::{V3, chance, noise, smooth, v3};

/// A glazed surface.
#[derive(Debug, Clone)]
pub(crate) struct Glaze {
    /// The colour under D65 as CIELAB.
    pub(crate) lab: [f64; 3],
    /// Share of light given back, in linear light.
    pub(crate) albedo: V3,
    /// How far the mirror image is smeared, as a tangent: 0.01 shining, 0.2 satin, 0.5 matt.
    pub(crate) rough: f64,
    /// Specks: share of the cells of 2.4 mm that hold one.
    pub(crate) specks: f64,
    pub(crate) decor: Vec<Decor>,
    pub(crate) salt: u64,
}

/// A decoration over the glaze. `from` and `to` are shares of the rim's radius for lids and of the height for pieces from the side.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Decor {
    Band { from: f64, to: f64, colour: V3 },
    Dots { at: f64, radius_mm: f64, count: u32, colour: V3 },
    Stripes { from: f64, to: f64, count: u32, colour: V3 },
}

/// Where on the piece a point is: along the axis of decorations (0 … 1), around in turns, and flat coordinates in millimetres for specks.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Place {
    pub(crate) share: f64,
    pub(crate) turn: f64,
    /// Millimetres that one unit of share and one turn stand for.
    pub(crate) span_mm: f64,
    pub(crate) around_mm: f64,
    pub(crate) u_mm: f64,
    pub(crate) v_mm: f64,
}

impl Glaze {
    pub(crate) fn plain(lab: [f64; 3], rough: f64, salt: u64) -> Self {
        Self { lab, albedo: linear_from_lab(lab), rough, specks: 0.0, decor: Vec::new(), salt }
    }

    pub(crate) fn colour(&self, place: Place) -> V3 {
        // Glaze is never quite even.
        let cloudy = 1.0 + 0.02 * noise(place.u_mm / 14.0, place.v_mm / 14.0, self.salt);
        let mut colour = self.albedo * cloudy;
        if self.specks > 0.0 {
            let (i, j) = ((place.u_mm / 2.4).floor() as i64, (place.v_mm / 2.4).floor() as i64);
            if chance(i, j, self.salt) < self.specks {
                let (x, y) = (chance(i, j, self.salt + 1), chance(i, j, self.salt + 2));
                let r = 0.15 + 0.45 * chance(i, j, self.salt + 3).powi(2);
                let d = (place.u_mm - (i as f64 + 0.25 + 0.5 * x) * 2.4).hypot(place.v_mm - (j as f64 + 0.25 + 0.5 * y) * 2.4);
                colour = colour.mix(v3(0.05, 0.03, 0.02), 0.85 * smooth(r + 0.12, r - 0.12, d));
            }
        }
        for decor in &self.decor {
            let (share, ink) = match *decor {
                Decor::Band { from, to, colour } => (f64::from(u8::from(place.share > from && place.share < to)), colour),
                Decor::Dots { at, radius_mm, count, colour } => {
                    let step = place.turn * f64::from(count);
                    let along = (step - step.round()) / f64::from(count) * place.around_mm;
                    (smooth(radius_mm + 0.1, radius_mm - 0.1, along.hypot((place.share - at) * place.span_mm)), colour)
                }
                Decor::Stripes { from, to, count, colour } => {
                    let on = place.share > from && place.share < to && (place.turn * f64::from(count)).rem_euclid(1.0) < 0.4;
                    (f64::from(u8::from(on)), colour)
                }
            };
            colour = colour.mix(ink, share * 0.95);
        }
        colour
    }
}

/// CIELAB (D65, 2°) to linear sRGB: CIE 15 and IEC 61966-2-1, their inverse matrix. Written out here because the renderer must not lean on what it is
/// meant to check.
pub(crate) fn linear_from_lab([l, a, b]: [f64; 3]) -> V3 {
    let fy = (l + 16.0) / 116.0;
    let inverse = |f: f64| if f > 6.0 / 29.0 { f * f * f } else { 3.0 * (6.0_f64 / 29.0).powi(2) * (f - 4.0 / 29.0) };
    let (x, y, z) = (0.95047 * inverse(fy + a / 500.0), inverse(fy), 1.08883 * inverse(fy - b / 200.0));
    let limit = |c: f64| c.clamp(0.002, 0.98);
    v3(
        limit(3.240_454_2 * x - 1.537_138_5 * y - 0.498_531_4 * z),
        limit(-0.969_266_0 * x + 1.876_010_8 * y + 0.041_556_0 * z),
        limit(0.055_643_4 * x - 0.204_025_9 * y + 1.057_225_2 * z),
    )
}
