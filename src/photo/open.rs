//! Reading a picture, within limits, whatever it says it is.

use super::complete::{holds_more, is_whole, png_exif, rare_jpeg};
use super::error::PhotoError;
use super::format::{Content, Format, sniff};
use super::hash::PhotoHash;
use super::progress::{Progress, Watched};
use crate::say;
use image::error::{DecodingError, ImageError, LimitErrorKind};
use image::metadata::Orientation;
use image::{DynamicImage, ImageDecoder, ImageReader, RgbImage, Rgba, RgbaImage};
use std::fs;
use std::io::{self, Read};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// Where a picture comes from.
#[derive(Debug, Clone)]
pub enum Source {
    /// A file.
    Path(PathBuf),
    /// Bytes that are already here, under the name they came with.
    Bytes {
        /// A file name.
        name: String,
        /// The bytes.
        bytes: Arc<[u8]>,
    },
}

/// How much a picture may ask for. All of it is checked before pixels are decoded.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Limits {
    /// Most bytes of the file.
    pub most_bytes: u64,
    /// Most pixels, width × height.
    pub most_pixels: u64,
    /// Most bytes of decoded pixels, at the depth the file has, and of tables inside the file.
    pub most_memory_bytes: u64,
}

impl Limits {
    /// What a table computer with 4 GB bears, and what the largest phone cameras write in full: 250 MB, 120 megapixels, 640 MB decoded.
    /// A choice of this program, no source.
    pub const USUAL: Self = Self { most_bytes: 250_000_000, most_pixels: 120_000_000, most_memory_bytes: 640_000_000 };
}

/// A picture that was read: its bytes as they came, and its upright pixels.
///
/// Cloning is cheap: bytes and pixels are shared.
#[derive(Clone)]
pub struct Photo {
    name: String,
    format: Format,
    bytes: Arc<[u8]>,
    hash: PhotoHash,
    pixels: Arc<RgbImage>,
    notes: Vec<String>,
}

impl Photo {
    /// The file name it came with.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// The format of the bytes.
    pub fn format(&self) -> Format {
        self.format
    }

    /// The bytes exactly as they came.
    pub fn bytes(&self) -> &Arc<[u8]> {
        &self.bytes
    }

    /// The hash of the bytes.
    pub fn hash(&self) -> PhotoHash {
        self.hash
    }

    /// The pixels: upright, eight bits of sRGB, on white where the picture is transparent.
    pub fn pixels(&self) -> &Arc<RgbImage> {
        &self.pixels
    }

    /// Width of the upright picture in pixels.
    pub fn width(&self) -> u32 {
        self.pixels.width()
    }

    /// Height of the upright picture in pixels.
    pub fn height(&self) -> u32 {
        self.pixels.height()
    }

    /// What a person should know of how it was read, each a sentence: a wrong extension, further pages left out.
    pub fn notes(&self) -> &[String] {
        &self.notes
    }
}

impl std::fmt::Debug for Photo {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "Photo({:?}, {}, {} × {}, {})", self.name, self.format.name(), self.width(), self.height(), self.hash)
    }
}

/// Reads a picture. What it is, is told by its content; a name that says otherwise leads to a note.
///
/// `progress` goes from 0 to 1 and can stop the reading and, but for a JPEG, the decoding. (The decoding of a JPEG runs to its end, which the
/// limits keep to a second or two; its result is then thrown away.) Memory held meanwhile is at most about twice `most_memory_bytes`.
///
/// # Errors
/// See [`PhotoError`]. A panic inside a decoder is caught and reported as [`PhotoError::Damaged`].
pub fn open(source: Source, limits: &Limits, progress: &Progress) -> Result<Photo, PhotoError> {
    let (name, bytes) = match source {
        Source::Path(path) => {
            let name = file_name(&path);
            let bytes = read(&path, &name, limits, progress)?;
            (name, bytes)
        }
        Source::Bytes { name, bytes } => (file_name(Path::new(&name)), bytes),
    };
    progress.report(1, 1, 0, READ);
    let length = bytes.len() as u64;
    if length > limits.most_bytes {
        return Err(PhotoError::TooManyBytes { name, bytes: length, most: limits.most_bytes });
    }
    if bytes.is_empty() {
        return Err(PhotoError::Empty { name });
    }
    let extension = extension_of(&name);
    let format = match sniff(bytes.get(..64).unwrap_or(&bytes), extension) {
        Content::Picture(format) => format,
        Content::Other(what, advice) => return Err(PhotoError::OtherFormat { name, what, advice }),
        Content::NotAPicture(what) => return Err(PhotoError::NotAPicture { name, what }),
    };
    let pixels = catch_unwind(AssertUnwindSafe(|| decode(&name, format, &bytes, limits, progress))).unwrap_or_else(|_panic| {
        Err(PhotoError::Damaged { name: name.clone(), format: format.name(), detail: "its decoder gave up".to_owned() })
    })?;
    progress.check()?;
    let mut notes = Vec::new();
    if let Some(said) = Format::of_extension(extension).filter(|said| *said != format) {
        notes.push(say!("'{name}' is a {format} in spite of its name, and was read as one", name, format = format.name()));
        debug_assert_ne!(said, format);
    }
    if holds_more(format, &bytes) {
        notes.push(say!("'{name}' holds more than one picture; the first was taken", name));
    }
    let hash = PhotoHash::of(&bytes);
    progress.report(1, 1, 0, 1000);
    Ok(Photo { name, format, bytes, hash, pixels: Arc::new(pixels), notes })
}

/// A photograph from plain pixels, four bytes each (red, green, blue, opacity), row by row from the top: what the clipboard hands over.
/// It is kept as a PNG.
///
/// # Errors
/// [`PhotoError::BadPaste`] where size and bytes disagree or there is nothing; [`PhotoError::TooManyPixels`] beyond the limits.
pub fn from_rgba(name: &str, width: usize, height: usize, rgba: &[u8], limits: &Limits) -> Result<Photo, PhotoError> {
    let bad = || PhotoError::BadPaste { width, height, bytes: rgba.len() };
    let (w, h) = (u32::try_from(width).map_err(|_wide| bad())?, u32::try_from(height).map_err(|_high| bad())?);
    if u64::from(w) * u64::from(h) > limits.most_pixels {
        return Err(PhotoError::TooManyPixels { name: name.to_owned(), width: w, height: h, most: limits.most_pixels });
    }
    if w == 0 || h == 0 || width.checked_mul(height).and_then(|n| n.checked_mul(4)) != Some(rgba.len()) {
        return Err(bad());
    }
    let picture = RgbaImage::from_raw(w, h, rgba.to_vec()).ok_or_else(bad)?;
    let opaque = picture.pixels().all(|pixel| pixel.0.last() == Some(&255));
    let whole = if opaque { DynamicImage::ImageRgb8(on_white(&picture)) } else { DynamicImage::ImageRgba8(picture) };
    let mut png = io::Cursor::new(Vec::new());
    whole.write_to(&mut png, image::ImageFormat::Png).map_err(|error| PhotoError::Damaged {
        name: name.to_owned(),
        format: Format::Png.name(),
        detail: error.to_string(),
    })?;
    let bytes: Arc<[u8]> = png.into_inner().into();
    let pixels = match whole {
        DynamicImage::ImageRgba8(picture) => on_white(&picture),
        other => other.into_rgb8(),
    };
    let hash = PhotoHash::of(&bytes);
    Ok(Photo { name: name.to_owned(), format: Format::Png, bytes, hash, pixels: Arc::new(pixels), notes: Vec::new() })
}

/// Per mille of the work that is reading the file; the rest is decoding.
const READ: u32 = 400;
/// Where decoding ends and turning upright begins.
const DECODED: u32 = 950;

/// Reads a whole file in pieces.
fn read(path: &Path, name: &str, limits: &Limits, progress: &Progress) -> Result<Arc<[u8]>, PhotoError> {
    let failed = |source: io::Error| match source.kind() {
        io::ErrorKind::NotFound => PhotoError::Missing { name: name.to_owned() },
        _ => PhotoError::Unreadable { name: name.to_owned(), source },
    };
    // Asked before it is opened: opening a pipe would wait for its writer.
    let about = fs::metadata(path).map_err(failed)?;
    if about.is_dir() {
        return Err(PhotoError::Folder { name: name.to_owned() });
    }
    if !about.is_file() {
        return Err(PhotoError::NotAFile { name: name.to_owned() });
    }
    if about.len() > limits.most_bytes {
        return Err(PhotoError::TooManyBytes { name: name.to_owned(), bytes: about.len(), most: limits.most_bytes });
    }
    // The length may change while it is read; one byte beyond the limit is enough to know.
    let mut file = fs::File::open(path).map_err(failed)?.take(limits.most_bytes.saturating_add(1));
    let mut bytes = Vec::with_capacity(usize::try_from(about.len()).unwrap_or(0));
    let piece_length = 256 * 1024;
    loop {
        progress.check()?;
        let got = file.by_ref().take(piece_length).read_to_end(&mut bytes).map_err(failed)?;
        progress.report(bytes.len() as u64, about.len(), 0, READ);
        if got == 0 {
            return Ok(bytes.into());
        }
    }
}

/// Decodes the first picture, upright.
fn decode(name: &str, format: Format, bytes: &[u8], limits: &Limits, progress: &Progress) -> Result<RgbImage, PhotoError> {
    let failed = |error: ImageError| explain(error, name, format, bytes, limits, progress);
    let damaged = |detail: &str| PhotoError::Damaged { name: name.to_owned(), format: format.name(), detail: detail.to_owned() };
    progress.check()?;
    if let (Format::Jpeg, Some((what, advice))) = (format, rare_jpeg(bytes)) {
        return Err(PhotoError::OtherFormat { name: name.to_owned(), what, advice });
    }
    let mut reader = ImageReader::with_format(Watched::new(bytes, progress, READ, DECODED), format.decoder());
    let mut decoder_limits = image::Limits::no_limits();
    decoder_limits.max_alloc = Some(limits.most_memory_bytes);
    reader.limits(decoder_limits);
    let mut decoder = reader.into_decoder().map_err(failed)?;
    let (width, height) = decoder.dimensions();
    if u64::from(width) * u64::from(height) > limits.most_pixels {
        return Err(PhotoError::TooManyPixels { name: name.to_owned(), width, height, most: limits.most_pixels });
    }
    if width == 0 || height == 0 {
        return Err(damaged("it has no pixels"));
    }
    if decoder.total_bytes() > limits.most_memory_bytes {
        return Err(PhotoError::TooMuchMemory { name: name.to_owned(), most: limits.most_memory_bytes });
    }
    if !is_whole(format, bytes) {
        return Err(PhotoError::CutShort { name: name.to_owned() });
    }
    let orientation = upright_from_stored(format, bytes, &mut decoder);
    let stored = DynamicImage::from_decoder(decoder).map_err(failed)?;
    progress.report(1, 1, 0, DECODED);
    progress.check()?;
    let flat = if stored.color().has_alpha() { on_white(&stored.into_rgba8()) } else { stored.into_rgb8() };
    let mut upright = DynamicImage::ImageRgb8(flat);
    upright.apply_orientation(orientation);
    Ok(upright.into_rgb8())
}

/// The turn that brings the stored pixels upright. A damaged or absent EXIF block means that they are.
fn upright_from_stored(format: Format, bytes: &[u8], decoder: &mut impl ImageDecoder) -> Orientation {
    let block = match format {
        Format::Tiff => return decoder.orientation().unwrap_or(Orientation::NoTransforms),
        // The decoder looks only before the picture's own chunks.
        Format::Png => png_exif(bytes).map(<[u8]>::to_vec),
        Format::Jpeg | Format::WebP => decoder.exif_metadata().ok().flatten(),
    };
    let Some(block) = block else { return Orientation::NoTransforms };
    // Some writers put the head that only a JPEG needs before the block of a WebP or PNG.
    let block = block.strip_prefix(b"Exif\0\0").unwrap_or(&block);
    Orientation::from_exif_chunk(block).unwrap_or(Orientation::NoTransforms)
}

/// Lays a transparent picture on white paper.
fn on_white(picture: &RgbaImage) -> RgbImage {
    let mut flat = RgbImage::new(picture.width(), picture.height());
    for (to, from) in flat.pixels_mut().zip(picture.pixels()) {
        let Rgba([red, green, blue, opacity]) = *from;
        let over = |channel: u8| {
            let (channel, opacity) = (u32::from(channel), u32::from(opacity));
            ((channel * opacity + 255 * (255 - opacity) + 127) / 255) as u8
        };
        to.0 = [over(red), over(green), over(blue)];
    }
    flat
}

/// Puts a decoder's error into a sentence.
fn explain(error: ImageError, name: &str, format: Format, bytes: &[u8], limits: &Limits, progress: &Progress) -> PhotoError {
    let name = name.to_owned();
    if progress.is_cancelled() {
        return PhotoError::Cancelled;
    }
    let damaged = |name, error: &DecodingError| {
        let detail = first_words(&std::error::Error::source(error).map_or_else(|| error.to_string(), ToString::to_string));
        PhotoError::Damaged { name, format: format.name(), detail }
    };
    match error {
        ImageError::IoError(source) if source.kind() == io::ErrorKind::UnexpectedEof => PhotoError::CutShort { name },
        ImageError::IoError(_) | ImageError::Decoding(_) if !is_whole(format, bytes) => PhotoError::CutShort { name },
        ImageError::IoError(source) => PhotoError::Damaged { name, format: format.name(), detail: first_words(&source.to_string()) },
        ImageError::Limits(limit) if matches!(limit.kind(), LimitErrorKind::InsufficientMemory) => {
            PhotoError::TooMuchMemory { name, most: limits.most_memory_bytes }
        }
        ImageError::Unsupported(error) => PhotoError::RareKind { name, format: format.name(), detail: first_words(&error.to_string()) },
        ImageError::Decoding(error) => damaged(name, &error),
        other => PhotoError::Damaged { name, format: format.name(), detail: first_words(&other.to_string()) },
    }
}

/// The first line of a decoder's words, in the manner of our own: no capital, no full stop, not endless.
fn first_words(text: &str) -> String {
    let line = text.lines().next().unwrap_or_default().trim().trim_end_matches('.');
    let mut letters = line.chars();
    let first = letters.next().map(|c| c.to_lowercase().to_string()).unwrap_or_default();
    let words: String = first.chars().chain(letters).take(120).collect();
    if words.is_empty() { "its decoder gave up".to_owned() } else { words }
}

/// The last part of a path, for messages: whole paths are long and private.
pub(super) fn file_name(path: &Path) -> String {
    path.file_name().map_or_else(|| path.display().to_string(), |name| name.to_string_lossy().into_owned())
}

fn extension_of(name: &str) -> &str {
    Path::new(name).extension().and_then(|extension| extension.to_str()).unwrap_or_default()
}
