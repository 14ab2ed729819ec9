//! The cameras whose pictures were looked at before, and what those pictures said of their lenses.
//!
//! A lens bends every picture it takes alike. What one picture leaves open (a lid on plain cloth, nothing straight in sight) others of the same camera tell:
//! squared paper, a newspaper, boards. So what the straight edges of each picture said is kept by camera, and the next picture begins with what all of them
//! say together.

use super::{CameraName, Measured, TUKEY, biweight, median};
use crate::photo::durable::write_over;
use crate::say;
use serde::{Deserialize, Serialize};
use std::io;
use std::path::{Path, PathBuf};

/// From picture to picture a lens bends differently by as much: it is focused at another distance (one standard deviation of k₁; our own estimate).
const VARIES_SD: f64 = 0.001;
/// Of one camera so many pictures are kept, those that say most.
const MOST_PICTURES: usize = 40;
/// No picture says more than this of a lens, and one that says less is no use (one standard deviation of k₁; our own estimates).
const BEST_SD: f64 = 0.0005;
const WORST_SD: f64 = 0.009;

/// What one picture said of the lens.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Said {
    /// The hash of the picture.
    pub picture: String,
    /// k₁ by its straight edges.
    pub k1: f64,
    /// One standard deviation of it.
    pub sd: f64,
}

/// A camera and what its pictures said.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct KnownCamera {
    /// Which.
    pub camera: CameraName,
    /// What each picture said.
    pub said: Vec<Said>,
}

/// What is known of a lens by other pictures.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct KnownLens {
    /// k₁ of the next picture.
    pub k1: Measured,
    /// How many pictures it was taken from.
    pub pictures: usize,
}

/// All cameras that are remembered.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Cameras {
    /// Each once.
    pub cameras: Vec<KnownCamera>,
}

/// Why what is remembered of cameras was not read or not written.
#[derive(Debug, thiserror::Error)]
pub enum CamerasError {
    /// The file can't be read.
    #[error("{}", say!("what is known of cameras can't be read: {file}: {source}", file = file.display(), source = source))]
    Unread {
        /// Which file.
        file: PathBuf,
        /// Why.
        source: io::Error,
    },
    /// It is not what this program writes.
    #[error("{}", say!("what is known of cameras can't be understood: {file}:{line}:{column}: {what} (mend the line, or take the file away: it is made again)", file = file.display(), line, column, what))]
    NotUnderstood {
        /// Which file.
        file: PathBuf,
        /// Line, from 1.
        line: usize,
        /// Column, from 1.
        column: usize,
        /// What is wrong there.
        what: String,
    },
    /// It can't be written.
    #[error("{}", say!("what is known of cameras can't be written: {file}: {source}", file = file.display(), source = source))]
    Unwritten {
        /// Which file.
        file: PathBuf,
        /// Why.
        source: io::Error,
    },
}

impl Cameras {
    /// The name of the file in a data folder.
    pub const FILE: &str = "cameras.ron";

    /// What a file says; nothing where there is none.
    ///
    /// # Errors
    /// [`CamerasError::Unread`] and [`CamerasError::NotUnderstood`], with the place.
    pub fn read(file: &Path) -> Result<Self, CamerasError> {
        let text = match std::fs::read_to_string(file) {
            Ok(text) => text,
            Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(Self::default()),
            Err(source) => return Err(CamerasError::Unread { file: file.to_owned(), source }),
        };
        ron::from_str(&text).map_err(|error| CamerasError::NotUnderstood {
            file: file.to_owned(),
            line: error.span.start.line,
            column: error.span.start.col,
            what: error.code.to_string(),
        })
    }

    /// Writes the file whole or not at all.
    ///
    /// # Errors
    /// [`CamerasError::Unwritten`].
    pub fn write(&self, file: &Path) -> Result<(), CamerasError> {
        let unwritten = |source| CamerasError::Unwritten { file: file.to_owned(), source };
        let text = ron::ser::to_string_pretty(self, ron::ser::PrettyConfig::default()).map_err(|e| unwritten(io::Error::other(e)))?;
        write_over(file, format!("{text}\n").as_bytes()).map_err(unwritten)
    }

    /// Keeps what the straight edges of a picture say of the lens that took it, in place of what the same picture said before. True where that changed
    /// anything: a picture that says next to nothing is not kept.
    pub fn learn(&mut self, camera: &CameraName, picture: &str, k1: Measured) -> bool {
        if !(k1.value.is_finite() && k1.sd > 0.0 && k1.sd <= WORST_SD) {
            return false;
        }
        let said = Said { picture: picture.to_owned(), k1: rounded(k1.value), sd: rounded(k1.sd) };
        let at = self.cameras.iter().position(|known| known.camera.is_same(camera)).unwrap_or(self.cameras.len());
        if at == self.cameras.len() {
            self.cameras.push(KnownCamera { camera: camera.clone(), said: Vec::new() });
        }
        let Some(known) = self.cameras.get_mut(at) else { return false };
        let before = known.said.clone();
        known.said.retain(|s| s.picture != said.picture);
        known.said.push(said);
        known.said.sort_by(|a, b| a.sd.total_cmp(&b.sd).then_with(|| a.picture.cmp(&b.picture)));
        known.said.truncate(MOST_PICTURES);
        known.said != before
    }

    /// Forgets a camera. True where it was known.
    pub fn forget(&mut self, camera: &CameraName) -> bool {
        let before = self.cameras.len();
        self.cameras.retain(|known| !known.camera.is_same(camera));
        self.cameras.len() != before
    }

    /// What other pictures than this one say of a camera's lens. None where none does.
    pub fn lens(&self, camera: &CameraName, not_by: &str) -> Option<KnownLens> {
        self.cameras.iter().find(|known| known.camera.is_same(camera))?.lens(not_by)
    }
}

impl KnownCamera {
    /// What its pictures say together, without one of them: their mean by weight, those left out that say something else than the rest. None where none is
    /// left.
    pub fn lens(&self, not_by: &str) -> Option<KnownLens> {
        let said: Vec<(f64, f64)> = self
            .said
            .iter()
            .filter(|s| s.picture != not_by && s.k1.is_finite() && s.sd.is_finite())
            .map(|s| (s.k1, s.sd.abs().max(BEST_SD).hypot(VARIES_SD)))
            .collect();
        let mut k1 = begin_at(&said)?;
        let mut found = None;
        for _ in 0..20 {
            let weights: Vec<f64> = said.iter().map(|(value, sd)| biweight((value - k1) / (TUKEY * sd)) / (sd * sd)).collect();
            let total: f64 = weights.iter().sum();
            if total <= 0.0 {
                return found;
            }
            k1 = said.iter().zip(&weights).map(|((value, _), w)| w * value).sum::<f64>() / total;
            let kept: Vec<(f64, f64)> = said.iter().copied().filter(|(value, sd)| (value - k1).abs() < TUKEY * sd).collect();
            // Pictures that scatter more than they say make the answer wider.
            let off: f64 = kept.iter().map(|(value, sd)| ((value - k1) / sd).powi(2)).sum();
            let scatter = (off / (kept.len().max(2) - 1) as f64).max(1.0);
            let sd = (scatter / total).sqrt().hypot(VARIES_SD * scatter.sqrt());
            found = Some(KnownLens { k1: Measured::new(k1, sd), pictures: kept.len() });
        }
        found
    }
}

/// Where to begin: the middle value, or of one or two pictures the one that says more.
fn begin_at(said: &[(f64, f64)]) -> Option<f64> {
    if said.len() < 3 {
        return said.iter().min_by(|a, b| a.1.total_cmp(&b.1)).map(|best| best.0);
    }
    Some(median(said.iter().map(|(value, _)| *value)))
}

/// To a millionth: more is not known, and a person may read the file.
fn rounded(k1: f64) -> f64 {
    (k1 * 1e6).round() / 1e6
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "tests")]
    use super::*;

    fn camera(model: &str) -> CameraName {
        CameraName {
            maker: "Invented".to_owned(),
            model: model.to_owned(),
            focal_mm: Some(4.37),
            focal_35_mm: Some(26),
            long_by_short: 1.333,
        }
    }

    #[test]
    fn pictures_of_one_camera_tell_its_lens_and_another_knows_nothing_of_it() {
        let mut cameras = Cameras::default();
        for (picture, k1) in [("a", 0.0102), ("b", 0.0114), ("c", 0.0108), ("d", 0.0110)] {
            assert!(cameras.learn(&camera("kitchen"), picture, Measured::new(k1, 0.002)));
        }
        assert!(!cameras.learn(&camera("kitchen"), "a", Measured::new(0.0102, 0.002)), "said already");
        let KnownLens { k1, pictures } = cameras.lens(&camera("kitchen"), "").unwrap();
        assert_eq!(pictures, 4);
        // Four of √(0.002² + 0.001²) each, and how much the next picture's varies.
        assert!((k1.value - 0.010_85).abs() < 1e-5 && (k1.sd - (0.000_005_f64 / 4.0).sqrt().hypot(0.001)).abs() < 1e-5, "{k1:?}");
        assert_eq!(cameras.lens(&camera("workshop"), ""), None);
        assert_eq!(cameras.lens(&CameraName { focal_35_mm: Some(13), ..camera("kitchen") }, ""), None, "another lens of the same phone");
        // A picture is not told by itself.
        assert_eq!(cameras.lens(&camera("kitchen"), "b").unwrap().pictures, 3);
        assert!(cameras.forget(&camera("kitchen")) && !cameras.forget(&camera("kitchen")));
        assert_eq!(cameras, Cameras::default());
    }

    #[test]
    fn a_picture_of_something_curved_is_left_out_and_disagreement_is_owned_to() {
        let mut cameras = Cameras::default();
        for (picture, k1) in [("a", 0.0102), ("b", 0.0114), ("c", 0.0108), ("curved", -0.03)] {
            cameras.learn(&camera("kitchen"), picture, Measured::new(k1, 0.001));
        }
        let agreed = cameras.lens(&camera("kitchen"), "").unwrap();
        assert!(agreed.pictures == 3 && (agreed.k1.value - 0.0108).abs() < 2e-4, "{agreed:?}");
        for (picture, k1) in [("a", 0.007), ("b", 0.0114), ("c", 0.0145)] {
            cameras.learn(&camera("kitchen"), picture, Measured::new(k1, 0.001));
        }
        let doubted = cameras.lens(&camera("kitchen"), "").unwrap();
        assert!(doubted.k1.sd > 1.8 * agreed.k1.sd, "{doubted:?} after {agreed:?}");
    }

    #[test]
    fn what_says_nothing_is_not_kept_and_no_camera_has_pictures_without_end() {
        let mut cameras = Cameras::default();
        for bad in [Measured::new(0.01, 0.02), Measured::new(f64::NAN, 0.001), Measured::new(0.01, 0.0), Measured::new(0.01, f64::INFINITY)]
        {
            assert!(!cameras.learn(&camera("kitchen"), "a", bad), "{bad:?}");
        }
        assert_eq!(cameras.lens(&camera("kitchen"), ""), None);
        for i in 0..200_u32 {
            cameras.learn(&camera("kitchen"), &format!("{i:03}"), Measured::new(0.01, 0.001 + 1e-5 * f64::from(i)));
        }
        let known = cameras.cameras.first().unwrap();
        assert_eq!((known.said.len(), known.said.last().map(|s| s.picture.as_str())), (MOST_PICTURES, Some("039")), "the best are kept");
    }

    #[test]
    fn the_file_is_read_as_it_was_written_and_a_broken_one_is_told_with_its_place() {
        let dir = tempfile::tempdir().unwrap();
        let file = dir.path().join("deep").join(Cameras::FILE);
        assert_eq!(Cameras::read(&file).unwrap(), Cameras::default(), "none yet");
        let mut cameras = Cameras::default();
        cameras.learn(&camera("kitchen \"phone\""), "a", Measured::new(0.010_234_567, 0.002));
        cameras.write(&file).unwrap();
        assert_eq!(Cameras::read(&file).unwrap(), cameras);
        std::fs::write(&file, "(\n    cameras: [(camera: 3)],\n)").unwrap();
        let why = Cameras::read(&file).unwrap_err().to_string();
        assert!(why.contains(&format!("{}:2:", file.display())) && why.contains("mend the line"), "{why}");
        assert!(Cameras::read(dir.path()).unwrap_err().to_string().starts_with("what is known of cameras can't be read"));
    }
}
