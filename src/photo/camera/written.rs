//! What a camera wrote into a picture of itself.

use serde::{Deserialize, Serialize};
use std::fmt;
use std::io::Cursor;

/// Half the diagonal of the 36 × 24 mm picture that '35 mm equivalent' refers to.
pub(super) const FILM_HALF_DIAGONAL_MM: f64 = 21.633_307_652_783_937;
/// Two pictures of one lens have the same shape and focal length to within this share; what was cropped has another shape, another lens of a phone another
/// focal length by a third at least.
const NEAR_SHARE: f64 = 0.01;

/// One lens of a camera, by what the camera writes into its pictures. A phone with three lenses is three of these.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CameraName {
    /// Who made it; empty where it doesn't say.
    #[serde(default)]
    pub maker: String,
    /// Its model.
    pub model: String,
    /// Focal length in mm, to a hundredth.
    #[serde(default)]
    pub focal_mm: Option<f64>,
    /// Focal length in mm for 35 mm film, whole.
    #[serde(default)]
    pub focal_35_mm: Option<u32>,
    /// The picture's longer side over its shorter, to a thousandth.
    pub long_by_short: f64,
}

impl CameraName {
    /// Whether a lens of that name took what this one took: small differences of shape are those of whole pixels, small ones of focal length those of rounding
    /// and of the distance it is focused at.
    pub fn is_same(&self, other: &Self) -> bool {
        let near = |a: f64, b: f64| (a / b - 1.0).abs() < NEAR_SHARE;
        let same_focal = match (self.focal_mm, other.focal_mm) {
            (Some(a), Some(b)) => near(a, b),
            (a, b) => a.is_none() && b.is_none(),
        };
        let same_35 = match (self.focal_35_mm, other.focal_35_mm) {
            (Some(a), Some(b)) => a.abs_diff(b) <= 1,
            (a, b) => a.is_none() && b.is_none(),
        };
        let same_shape = near(self.long_by_short, other.long_by_short);
        same_shape && same_focal && same_35 && self.maker == other.maker && self.model == other.model
    }
}

impl fmt::Display for CameraName {
    /// `kitchen phone (26 mm)`: model, and the focal length that lenses are spoken of by.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.model)?;
        match (self.focal_35_mm, self.focal_mm) {
            (Some(mm), _) => write!(f, " ({mm} mm)"),
            (None, Some(mm)) => write!(f, " ({mm:.1} mm)"),
            (None, None) => Ok(()),
        }
    }
}

/// What stands in a picture of the camera that took it.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Written {
    /// Focal length in pixels.
    pub focal_px: Option<f64>,
    /// The lens; none where the model is not said.
    pub name: Option<CameraName>,
}

impl Written {
    /// Reads what the camera wrote (EXIF 2.32: tags 0x010F `Make`, 0x0110 `Model`, 0xA405 `FocalLengthIn35mmFilm`, 0x920A `FocalLength` with 0xA20E
    /// `FocalPlaneXResolution`). Nothing where there is nothing, or nothing that can be read.
    pub fn of(bytes: &[u8], width_px: f64, height_px: f64) -> Self {
        let Ok(read) = exif::Reader::new().read_from_container(&mut Cursor::new(bytes)) else { return Self::default() };
        let number = |tag| {
            let field = read.get_field(tag, exif::In::PRIMARY)?;
            match &field.value {
                exif::Value::Rational(v) => v.first().map(exif::Rational::to_f64),
                other => other.get_uint(0).map(f64::from),
            }
            .filter(|n| n.is_finite() && *n > 0.0)
        };
        let words = |tag| {
            let field = read.get_field(tag, exif::In::PRIMARY)?;
            let exif::Value::Ascii(lines) = &field.value else { return None };
            let line: String = String::from_utf8_lossy(lines.first()?).chars().filter(|c| !c.is_control()).take(LONGEST_NAME).collect();
            let line = line.trim().to_owned();
            (!line.is_empty()).then_some(line)
        };
        let half = width_px.hypot(height_px) / 2.0;
        let (focal_mm, focal_35) = (number(exif::Tag::FocalLength), number(exif::Tag::FocalLengthIn35mmFilm));
        let by_plane = || {
            let dots = number(exif::Tag::FocalPlaneXResolution)?;
            // 3 is centimetres; inches are the default (EXIF 2.32, tag 0xA210).
            let unit_mm = if number(exif::Tag::FocalPlaneResolutionUnit) == Some(3.0) { 10.0 } else { 25.4 };
            Some(focal_mm? * dots / unit_mm)
        };
        let focal_px = focal_35.map(|mm| mm / FILM_HALF_DIAGONAL_MM * half).or_else(by_plane);
        let long_by_short = width_px.max(height_px) / width_px.min(height_px);
        let name = words(exif::Tag::Model).filter(|_| long_by_short.is_finite()).map(|model| CameraName {
            maker: words(exif::Tag::Make).unwrap_or_default(),
            model,
            focal_mm: focal_mm.map(|mm| (100.0 * mm).round() / 100.0),
            focal_35_mm: focal_35.map(|mm| mm.round() as u32),
            long_by_short: (1000.0 * long_by_short).round() / 1000.0,
        });
        // From a very wide lens to a long telephoto: anything else is not a focal length.
        Self { focal_px: focal_px.filter(|f| (0.3..30.0).contains(&(f / half))), name }
    }
}

/// Names that are longer are no names.
const LONGEST_NAME: usize = 64;

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "tests")]
    use super::*;

    fn demo(name: &str) -> (Vec<u8>, Written) {
        let bytes = std::fs::read(format!("{}/demo/photographs/{name}", env!("CARGO_MANIFEST_DIR"))).unwrap();
        let written = Written::of(&bytes, 1528.0, 1146.0);
        (bytes, written)
    }

    #[test]
    fn a_picture_names_its_camera_and_another_of_the_same_is_known_again() {
        let (bytes, kitchen) = demo("lid-01-fenlight-covered-sugar-linen.jpg");
        let name = kitchen.name.unwrap();
        assert_eq!(name.to_string(), "kitchen phone (26 mm)");
        assert_eq!((name.maker.as_str(), name.focal_mm), ("Invented", Some(4.37)));
        assert!((kitchen.focal_px.unwrap() - 26.0 / FILM_HALF_DIAGONAL_MM * 955.0).abs() < 0.1);
        assert!(demo("lid-02-quoin-casserole-one-linen.jpg").1.name.unwrap().is_same(&name));
        let focused_near = CameraName { focal_mm: Some(4.40), focal_35_mm: Some(27), ..name.clone() };
        assert!(focused_near.is_same(&name) && !CameraName { focal_35_mm: Some(52), ..name.clone() }.is_same(&name));
        assert!(!demo("lid-04-quoin-casserole-one-pale.jpg").1.name.unwrap().is_same(&name), "the other phone's");
        // Turned it is the same lens, cropped it is no lens that is known.
        assert!(Written::of(&bytes, 1146.0, 1528.0).name.unwrap().is_same(&name));
        assert!(!Written::of(&bytes, 1100.0, 1100.0).name.unwrap().is_same(&name));
    }

    #[test]
    fn what_says_nothing_and_what_says_nonsense_is_nobodys() {
        assert_eq!(Written::of(b"no picture", 1600.0, 1200.0), Written::default());
        assert_eq!(demo("lid-03-quoin-covered-sugar-gingham.jpg").1, Written::default());
        let (mut bytes, _) = demo("lid-01-fenlight-covered-sugar-linen.jpg");
        for at in 20..110 {
            for byte in [0, 0x7F, 0xFF] {
                let was = std::mem::replace(bytes.get_mut(at).unwrap(), byte);
                let written = Written::of(&bytes, 1528.0, 1146.0);
                assert!(written.focal_px.is_none_or(|f| f.is_finite() && f > 0.0), "byte {at} as {byte}");
                *bytes.get_mut(at).unwrap() = was;
            }
        }
    }
}
