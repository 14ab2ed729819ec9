//! The work of reading a mark that runs off the frame.

use super::setup::Setup;
use crate::daybook::Photograph;
use crate::desk::jobs::Progress;
use crate::key::{Key, MarkId, builtin, picture_path};
use crate::photo::mark::{self, Likeness, Look, Reader, Reading, Unrolled};
use crate::photo::{self, Limits, PhotoHash, Source, Store};
use crate::say;
use image::{GrayImage, RgbImage};
use std::path::{Component, Path};
use std::sync::Arc;
use std::time::Duration;

/// A mark is looked at with no more pixels than this along the longer side: letters stay sharp, and changes are seen at once.
const LONGEST_PX: u32 = 1600;
/// A machine that has not read a strip within this is stopped.
const MOST_TIME: Duration = Duration::from_secs(20);

/// What a job of reading sends.
#[derive(Debug)]
pub enum Done {
    /// The photograph was opened, or a sentence says why not.
    Opened(PhotoHash, Result<Arc<RgbImage>, String>),
    /// The mark was laid out; the number is that of the asking.
    Laid(u64, Box<Laid>),
    /// The key's pictures were compared.
    Compared(PhotoHash, Result<Vec<Alike>, String>),
    /// A machine read a strip; the number is that of the asking.
    Suggested(u64, usize, Result<Reading, String>),
}

/// A mark laid out.
#[derive(Debug)]
pub struct Laid {
    /// The photograph with its print made plain.
    pub plain: GrayImage,
    /// Where everything lies, or a sentence.
    pub unrolled: Result<Unrolled, String>,
    /// The strips, in the order in which they are read.
    pub strips: Vec<GrayImage>,
    /// Why pictures were not put together.
    pub apart: Option<String>,
}

/// A picture of the key, compared with the photograph.
#[derive(Debug, Clone)]
pub struct Alike {
    /// The mark.
    pub mark: MarkId,
    /// The picture's caption.
    pub caption: String,
    /// How alike.
    pub likeness: Likeness,
    /// The picture.
    pub picture: Arc<RgbImage>,
}

fn opened(photograph: &Photograph, store: &Store, progress: &Progress) -> Result<RgbImage, String> {
    let photo = store
        .open(photograph.hash, photograph.format, &photograph.name, &Limits::USUAL, &progress.for_photo())
        .map_err(|error| error.to_string())?;
    Ok(photo::preview(photo.pixels(), photograph.edit, LONGEST_PX))
}

/// Opens a photograph of the store as it is turned and cropped.
pub(super) fn open(photograph: &Photograph, store: &Store, progress: &Progress) -> Done {
    Done::Opened(photograph.hash, opened(photograph, store, progress).map(Arc::new))
}

/// What a mark is laid out from.
pub(super) struct Asked {
    pub(super) number: u64,
    pub(super) picture: Arc<RgbImage>,
    /// Photographs lit from other sides.
    pub(super) with: Vec<Photograph>,
    pub(super) store: Store,
    pub(super) setup: Setup,
}

/// Lays a mark out as the setup says.
pub(super) fn lay(asked: &Asked, progress: &Progress) -> Done {
    let (base, apart) = match together(asked, progress) {
        Ok(base) => (base, None),
        Err(why) => (Arc::clone(&asked.picture), Some(why)),
    };
    let plain = mark::enhanced(&base, &asked.setup.contrast);
    let unrolled = mark::unroll(&base, &asked.setup.options(), &progress.for_photo()).map_err(|error| error.to_string());
    let strips = unrolled.as_ref().map(|unrolled| unrolled.strips.iter().map(|strip| strip.grey(&plain)).collect()).unwrap_or_default();
    Done::Laid(asked.number, Box::new(Laid { plain, unrolled, strips, apart }))
}

/// The photograph, or its relief with the others.
fn together(asked: &Asked, progress: &Progress) -> Result<Arc<RgbImage>, String> {
    if asked.with.is_empty() {
        return Ok(Arc::clone(&asked.picture));
    }
    let others: Vec<RgbImage> = asked.with.iter().map(|one| opened(one, &asked.store, progress)).collect::<Result<_, _>>()?;
    let all: Vec<&RgbImage> = std::iter::once(&*asked.picture).chain(&others).collect();
    let stack = mark::relief(&all, asked.setup.relief, &progress.for_photo()).map_err(|error| error.to_string())?;
    Ok(Arc::new(image::DynamicImage::ImageLuma8(stack.relief).into_rgb8()))
}

/// Compares the pictures of the key's marks with a photograph. A picture that cannot be opened is passed over; the key's own check reports it.
pub(super) fn compare(hash: PhotoHash, picture: &RgbImage, key: &Key, dir: Option<&Path>, progress: &Progress) -> Done {
    Done::Compared(hash, compared(picture, key, dir, progress))
}

fn compared(picture: &RgbImage, key: &Key, dir: Option<&Path>, progress: &Progress) -> Result<Vec<Alike>, String> {
    let own = Look::of(picture).map_err(|error| error.to_string())?;
    let mut known = Vec::new();
    for mark in &key.marks {
        for one in &mark.pictures {
            if progress.is_cancelled() {
                return Err(say!("stopped").to_owned());
            }
            let Some(source) = picture_of_key(&one.file, dir) else { continue };
            let Ok(photo) = photo::open(source, &Limits::USUAL, &progress.for_photo()) else { continue };
            let shown = photo::preview(photo.pixels(), photo::Edit::default(), LONGEST_PX);
            if let Ok(look) = Look::of(&shown) {
                known.push((mark.id.clone(), one.caption.clone(), Arc::new(shown), look));
            }
        }
    }
    if known.is_empty() {
        return Err(say!("no mark of this key has a picture to compare with").to_owned());
    }
    let looks: Vec<Look> = known.iter().map(|one| one.3.clone()).collect();
    let ranked = mark::rank(&own, &looks, &progress.for_photo()).map_err(|error| error.to_string())?;
    let alike = |(at, likeness): (usize, Likeness)| {
        let (mark, caption, picture, _) = known.get(at)?;
        Some(Alike { mark: mark.clone(), caption: caption.clone(), likeness, picture: Arc::clone(picture) })
    };
    Ok(ranked.into_iter().filter_map(alike).collect())
}

/// A picture of the key; none for a name that leads out of its folder.
pub(in crate::desk) fn picture_of_key(file: &str, dir: Option<&Path>) -> Option<Source> {
    let within = Path::new(file).components().all(|part| matches!(part, Component::Normal(_)));
    if !within {
        return None;
    }
    match dir {
        Some(dir) => Some(Source::Path(picture_path(dir, file))),
        None => Some(Source::Bytes { name: file.to_owned(), bytes: Arc::from(builtin::picture(file)?) }),
    }
}

/// Lets a machine read a strip.
pub(super) fn suggest(number: u64, at: usize, reader: &Reader, strip: &GrayImage, progress: &Progress) -> Done {
    Done::Suggested(number, at, reader.read(strip, MOST_TIME, &progress.for_photo()).map_err(|error| error.to_string()))
}
