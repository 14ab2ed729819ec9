//! The photographs of a daybook, kept by the hash of their content.
//!
//! `photographs/ab/cdef….jpg` holds the bytes exactly as they came: once written never changed, never removed by the program. The first
//! two digits of the hash are the folder. `previews/` holds smaller copies that can be made again and may be deleted at any time.

use super::durable::{Written, write_new, write_over};
use super::edit::Edit;
use super::error::PhotoError;
use super::format::{Content, Format, sniff};
use super::hash::PhotoHash;
use super::open::{Limits, Photo, Source, open};
use super::preview::preview;
use super::progress::Progress;
use crate::say;
use image::RgbImage;
use image::codecs::jpeg::JpegEncoder;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// The photographs of one daybook folder.
#[derive(Debug, Clone)]
pub struct Store {
    photographs: PathBuf,
    previews: PathBuf,
}

/// A photograph that is kept.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Kept {
    /// Its hash.
    pub hash: PhotoHash,
    /// Its format.
    pub format: Format,
    /// Whether the same bytes were kept before.
    pub was_there: WasThere,
}

/// Whether the same bytes were kept before.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WasThere {
    /// They are new.
    No,
    /// They were there, unharmed.
    Yes,
    /// A file was there under their name, but harmed; it was replaced by the good bytes.
    Harmed,
}

/// Why a photograph could not be kept or found.
#[derive(Debug, thiserror::Error)]
pub enum StoreError {
    /// The disk is full.
    #[error("{}", say!("there is no room left on the disk for the photograph (make room, then try again)"))]
    Full,
    /// It could not be written.
    #[error("{}", say!("the photograph could not be kept: {source}", source))]
    Write {
        /// What the system said.
        source: io::Error,
    },
    /// Its file is not there.
    #[error("{}", say!("the photograph {short} is missing from the daybook's folder (bring it back from a copy of the folder)", short = short(*hash)))]
    Missing {
        /// Its hash.
        hash: PhotoHash,
    },
    /// Its file is not what was kept.
    #[error("{}", say!("the photograph {short} was changed or damaged on the disk (bring it back from a copy of the folder)", short = short(*hash)))]
    Harmed {
        /// Its hash.
        hash: PhotoHash,
    },
    /// Its file could not be read.
    #[error("{}", say!("the photograph {short} could not be read: {source}", short = short(*hash), source))]
    Read {
        /// Its hash.
        hash: PhotoHash,
        /// What the system said.
        source: io::Error,
    },
    /// It could be read but not decoded.
    #[error(transparent)]
    Photo(#[from] PhotoError),
}

/// Something [`Store::verify`] found wrong.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum StoreProblem {
    /// A photograph of the list is not there.
    Missing(PhotoHash),
    /// A photograph of the list is not what was kept.
    Harmed(PhotoHash),
    /// A photograph of the list could not be read, and why.
    Unreadable(PhotoHash, String),
}

impl Store {
    /// The store of that daybook folder. Nothing is made or read before it is needed.
    pub fn at(daybook_folder: &Path) -> Self {
        Self { photographs: daybook_folder.join("photographs"), previews: daybook_folder.join("previews") }
    }

    /// Keeps a photograph: durably, once. The same bytes twice are one file.
    ///
    /// # Errors
    /// [`StoreError::Full`], [`StoreError::Write`].
    pub fn keep(&self, photo: &Photo) -> Result<Kept, StoreError> {
        let (hash, format) = (photo.hash(), photo.format());
        let path = self.path(hash, format);
        let was_there = match write_new(&path, photo.bytes()).map_err(write_failed)? {
            Written::New => WasThere::No,
            Written::WasThere => match fs::read(&path) {
                Ok(bytes) if PhotoHash::of(&bytes) == hash => WasThere::Yes,
                _ => {
                    write_over(&path, photo.bytes()).map_err(write_failed)?;
                    WasThere::Harmed
                }
            },
        };
        Ok(Kept { hash, format, was_there })
    }

    /// Keeps bytes that are known to be those of a photograph of that hash, over a file that may be there: one that was harmed is made good.
    ///
    /// # Errors
    /// Where the folder cannot be written.
    pub fn keep_bytes(&self, hash: PhotoHash, format: Format, bytes: &[u8]) -> io::Result<()> {
        if PhotoHash::of(bytes) != hash {
            return Err(io::Error::new(io::ErrorKind::InvalidData, "the bytes are not those of the photograph"));
        }
        write_over(&self.path(hash, format), bytes)
    }

    /// Where a photograph is kept.
    pub fn path(&self, hash: PhotoHash, format: Format) -> PathBuf {
        let digits = hash.to_string();
        let (folder, file) = digits.split_at(2);
        self.photographs.join(folder).join(format!("{file}.{}", format.extension()))
    }

    /// The bytes of a photograph, checked against its hash.
    ///
    /// # Errors
    /// [`StoreError::Missing`], [`StoreError::Harmed`], [`StoreError::Read`].
    pub fn read(&self, hash: PhotoHash, format: Format) -> Result<Arc<[u8]>, StoreError> {
        match fs::read(self.path(hash, format)) {
            Ok(bytes) if PhotoHash::of(&bytes) == hash => Ok(bytes.into()),
            Ok(_other) => Err(StoreError::Harmed { hash }),
            Err(error) if error.kind() == io::ErrorKind::NotFound => Err(StoreError::Missing { hash }),
            Err(source) => Err(StoreError::Read { hash, source }),
        }
    }

    /// A photograph, decoded again. `name` is the file name it once came with.
    ///
    /// # Errors
    /// As [`Store::read`] and [`open`].
    pub fn open(&self, hash: PhotoHash, format: Format, name: &str, limits: &Limits, progress: &Progress) -> Result<Photo, StoreError> {
        let bytes = self.read(hash, format)?;
        Ok(open(Source::Bytes { name: name.to_owned(), bytes }, limits, progress)?)
    }

    /// A picture of a kept photograph as edited, neither side longer than `longest_side`: from `previews/` where it was made before, else made
    /// and put there. That it could not be put there is no error; it is then made again the next time.
    ///
    /// # Errors
    /// As [`Store::open`], where it has to be made.
    pub fn preview(
        &self,
        hash: PhotoHash,
        format: Format,
        edit: Edit,
        longest_side: u32,
        limits: &Limits,
        progress: &Progress,
    ) -> Result<RgbImage, StoreError> {
        let path = self.preview_path(hash, edit, longest_side);
        if let Some(made) = read_preview(&path, longest_side, progress) {
            return Ok(made);
        }
        let name = format!("{}.{}", short(hash), format.extension());
        let photo = self.open(hash, format, &name, limits, progress)?;
        let small = preview(photo.pixels(), edit, longest_side);
        let mut bytes = Vec::new();
        if JpegEncoder::new_with_quality(&mut bytes, 88).encode_image(&small).is_ok() {
            // A full or read-only disk only costs time here.
            let _not_kept = write_over(&path, &bytes);
        }
        Ok(small)
    }

    /// Checks the photographs of a list against their hashes, and gives what is wrong, in the order of the list.
    ///
    /// # Errors
    /// [`PhotoError::Cancelled`].
    pub fn verify(&self, list: &[(PhotoHash, Format)], progress: &Progress) -> Result<Vec<StoreProblem>, PhotoError> {
        let mut problems = Vec::new();
        for (done, &(hash, format)) in list.iter().enumerate() {
            progress.check()?;
            match self.read(hash, format) {
                Ok(_bytes) => {}
                Err(StoreError::Missing { .. }) => problems.push(StoreProblem::Missing(hash)),
                Err(StoreError::Harmed { .. }) => problems.push(StoreProblem::Harmed(hash)),
                Err(other) => problems.push(StoreProblem::Unreadable(hash, other.to_string())),
            }
            progress.report(done as u64 + 1, list.len() as u64, 0, 1000);
        }
        Ok(problems)
    }

    fn preview_path(&self, hash: PhotoHash, edit: Edit, longest_side: u32) -> PathBuf {
        let digits = hash.to_string();
        let (folder, file) = digits.split_at(2);
        let crop = edit.crop.map_or_else(String::new, |c| format!("-{}x{}+{}+{}", c.width, c.height, c.left, c.top));
        self.previews.join(folder).join(format!("{file}-{longest_side}-{}{crop}.jpg", edit.turns()))
    }
}

/// A preview made before, where it is there and sound.
fn read_preview(path: &Path, longest_side: u32, progress: &Progress) -> Option<RgbImage> {
    let bytes = fs::read(path).ok()?;
    if !matches!(sniff(&bytes, "jpg"), Content::Picture(Format::Jpeg)) {
        return None;
    }
    let side = u64::from(longest_side.max(1));
    let limits = Limits { most_pixels: side * side, ..Limits::USUAL };
    let photo = open(Source::Bytes { name: "preview.jpg".to_owned(), bytes: bytes.into() }, &limits, progress).ok()?;
    (photo.width().max(photo.height()) <= longest_side.max(1)).then(|| photo.pixels().as_ref().clone())
}

fn write_failed(source: io::Error) -> StoreError {
    match source.kind() {
        io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded => StoreError::Full,
        _ => StoreError::Write { source },
    }
}

/// The first digits of a hash: enough to find the file by.
fn short(hash: PhotoHash) -> String {
    hash.to_string().chars().take(12).collect()
}
