//! The work on photographs that runs off the frame.

use super::thumbs::THUMB_SIDE;
use crate::daybook::{PhotoKind, Photograph};
use crate::desk::jobs::Progress;
use crate::photo::{self, Edit, Limits, Photo, PhotoError, PhotoHash, Source, Store, Watch, WatchOptions};
use crate::say;
use egui::{ColorImage, Context};
use image::RgbImage;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// What a photograph job sends.
#[derive(Debug)]
pub enum Done {
    /// A picture was read and kept, or a sentence says why not. Nothing where it was stopped.
    Added(Option<Result<Added, String>>),
    /// A small picture was made.
    Thumb(PhotoHash, Edit, Result<ColorImage, String>),
    /// A picture for the viewer was made, with the width and height of the photograph itself.
    Full(PhotoHash, Result<(ColorImage, (u32, u32)), String>),
    /// Files were chosen. Empty where none were.
    Chosen(Vec<PathBuf>),
    /// A folder to watch was chosen, if one was.
    ChosenFolder(Option<PathBuf>),
    /// The folder is being watched, or a sentence says why not.
    Watching(PathBuf, Result<Watch, String>),
}

/// A picture that was read and kept.
#[derive(Debug)]
pub struct Added {
    /// It, to be put with the piece. What it shows is still to be said.
    pub photograph: Photograph,
    /// Its small picture.
    pub thumb: ColorImage,
    /// What the person should know of it.
    pub notes: Vec<String>,
}

/// A picture on its way in.
#[derive(Debug, Clone)]
pub(super) enum Incoming {
    /// A file.
    File(PathBuf),
    /// Pixels that the window was handed by a paste.
    Pixels(Arc<ColorImage>),
    /// A text that was pasted while nothing was being typed: perhaps where a picture is.
    Text(String),
    /// Whatever the clipboard holds.
    Clipboard,
}

impl Incoming {
    /// What its job is doing, for the person. All begin with the same word, by which they are counted.
    pub(super) fn doing(&self) -> String {
        match self {
            Self::File(path) => format!("{} {}", reading(), path.file_name().unwrap_or(path.as_os_str()).display()),
            Self::Pixels(_) | Self::Text(_) | Self::Clipboard => format!("{} {}", reading(), say!("what was pasted")),
        }
    }
}

/// The first word of every job that reads a picture in.
pub(super) fn reading() -> &'static str {
    say!(in "before the name of a file", "Reading")
}

/// The name of a pasted picture.
const PASTED: &str = "pasted.png";

/// Reads a picture and keeps it.
pub(super) fn add(incoming: Incoming, store: &Store, progress: &Progress) -> Done {
    let added = match find_picture(incoming, &progress.for_photo()) {
        Ok(photo) => keep(&photo, store),
        Err(Refused::Stopped) => return Done::Added(None),
        Err(Refused::Because(why)) => Err(why),
    };
    if progress.is_cancelled() {
        return Done::Added(None);
    }
    Done::Added(Some(added))
}

enum Refused {
    Stopped,
    Because(String),
}

impl From<PhotoError> for Refused {
    fn from(error: PhotoError) -> Self {
        match error {
            PhotoError::Cancelled => Self::Stopped,
            other => Self::Because(other.to_string()),
        }
    }
}

fn find_picture(incoming: Incoming, progress: &photo::Progress) -> Result<Photo, Refused> {
    let limits = Limits::USUAL;
    match incoming {
        Incoming::File(path) => Ok(photo::open(Source::Path(path), &limits, progress)?),
        Incoming::Pixels(picture) => Ok(photo::from_rgba(PASTED, picture.width(), picture.height(), &rgba_of(&picture), &limits)?),
        Incoming::Text(text) => match path_in(&text) {
            Some(path) => Ok(photo::open(Source::Path(path), &limits, progress)?),
            None => from_clipboard(&limits, progress),
        },
        Incoming::Clipboard => from_clipboard(&limits, progress),
    }
}

/// The picture on the clipboard, or the picture file whose path is on it.
fn from_clipboard(limits: &Limits, progress: &photo::Progress) -> Result<Photo, Refused> {
    let unreadable = |error: arboard::Error| Refused::Because(say!("the clipboard could not be read: {error}", error));
    let mut clipboard = arboard::Clipboard::new().map_err(unreadable)?;
    if let Ok(picture) = clipboard.get_image() {
        return Ok(photo::from_rgba(PASTED, picture.width, picture.height, &picture.bytes, limits)?);
    }
    let file = clipboard.get().file_list().ok().and_then(|files| files.into_iter().next());
    match file.or_else(|| clipboard.get_text().ok().as_deref().and_then(path_in)) {
        Some(path) => Ok(photo::open(Source::Path(path), limits, progress)?),
        None => Err(Refused::Because(say!("there is no picture on the clipboard (copy one first, then paste)").to_owned())),
    }
}

/// The file a pasted text stands for: a path, or a `file:` address (RFC 8089) as file managers put on the clipboard.
fn path_in(text: &str) -> Option<PathBuf> {
    let line = text.lines().map(str::trim).find(|line| !line.is_empty())?;
    let path = match line.strip_prefix("file://") {
        // An empty or a local host may stand before the path.
        Some(rest) => PathBuf::from(percent_decoded(rest.strip_prefix("localhost").unwrap_or(rest))?),
        None => PathBuf::from(line.trim_matches(['"', '\''])),
    };
    (path.is_absolute() && path.exists()).then_some(path)
}

/// A text with each `%` and two hexadecimal digits put back to the byte they stand for (RFC 3986, 2.1).
fn percent_decoded(text: &str) -> Option<String> {
    let mut bytes = Vec::with_capacity(text.len());
    let mut rest = text.bytes();
    while let Some(byte) = rest.next() {
        if byte == b'%' {
            let digits = [rest.next()?, rest.next()?];
            bytes.push(u8::from_str_radix(std::str::from_utf8(&digits).ok()?, 16).ok()?);
        } else {
            bytes.push(byte);
        }
    }
    String::from_utf8(bytes).ok()
}

fn keep(photo: &Photo, store: &Store) -> Result<Added, String> {
    let kept = store.keep(photo).map_err(|error| error.to_string())?;
    let photograph = Photograph {
        hash: kept.hash,
        format: kept.format,
        kind: PhotoKind::default(),
        edit: Edit::default(),
        name: photo.name().to_owned(),
        caption: String::new(),
    };
    let thumb = colour_image(&photo::preview(photo.pixels(), Edit::default(), THUMB_SIDE));
    Ok(Added { photograph, thumb, notes: photo.notes().to_vec() })
}

/// Makes the small picture of a kept photograph.
pub(super) fn thumb(photograph: &Photograph, store: &Store, progress: &Progress) -> Done {
    let made = store.preview(photograph.hash, photograph.format, photograph.edit, THUMB_SIDE, &Limits::USUAL, &progress.for_photo());
    Done::Thumb(photograph.hash, photograph.edit, made.map(|picture| colour_image(&picture)).map_err(|error| error.to_string()))
}

/// Makes the picture of a kept photograph for the viewer, all of it and unturned, within what the screen can take.
pub(super) fn full(photograph: &Photograph, store: &Store, longest_side: u32, progress: &Progress) -> Done {
    let opened = store.open(photograph.hash, photograph.format, &photograph.name, &Limits::USUAL, &progress.for_photo());
    let made = opened.map(|photo| {
        let picture = colour_image(&photo::preview(photo.pixels(), Edit::default(), longest_side));
        (picture, (photo.width(), photo.height()))
    });
    Done::Full(photograph.hash, made.map_err(|error| error.to_string()))
}

/// Asks for picture files with the system's dialog.
pub(super) fn choose() -> Done {
    let extensions: Vec<&str> = photo::Format::ALL.iter().flat_map(|format| format.extensions().iter().copied()).collect();
    let either_case: Vec<String> = extensions.iter().flat_map(|e| [(*e).to_owned(), e.to_uppercase()]).collect();
    let files = rfd::FileDialog::new()
        .set_title(say!("Add photographs of the piece in hand"))
        .add_filter(say!("Pictures"), &either_case)
        .add_filter(say!("All files"), &["*"])
        .pick_files();
    Done::Chosen(files.unwrap_or_default())
}

/// Asks for the folder to watch with the system's dialog.
pub(super) fn choose_folder() -> Done {
    Done::ChosenFolder(rfd::FileDialog::new().set_title(say!("Watch the folder where the phone or camera puts its pictures")).pick_folder())
}

/// Begins to watch a folder.
pub(super) fn watch(folder: &Path, ctx: &Context) -> Done {
    let ctx = ctx.clone();
    let watch = Watch::start(folder, WatchOptions::USUAL, move || ctx.request_repaint());
    Done::Watching(folder.to_owned(), watch.map_err(|error| error.to_string()))
}

fn colour_image(picture: &RgbImage) -> ColorImage {
    ColorImage::from_rgb([picture.width() as usize, picture.height() as usize], picture.as_raw())
}

fn rgba_of(picture: &ColorImage) -> Vec<u8> {
    picture.pixels.iter().flat_map(egui::Color32::to_srgba_unmultiplied).collect()
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "tests")]
    use super::*;

    #[test]
    fn a_pasted_text_may_be_where_a_picture_is() {
        let dir = tempfile::tempdir().unwrap();
        let file = dir.path().join("a mark, 50%.png");
        std::fs::write(&file, b"").unwrap();
        let plain = file.display().to_string();
        let address = format!("file://{}", plain.replace('%', "%25").replace(' ', "%20"));
        for text in [plain.clone(), format!("\"{plain}\""), format!("\n{plain}\n/another"), address] {
            assert_eq!(path_in(&text), Some(file.clone()), "{text}");
        }
        for text in ["", "\n", "a mark, 50%.png", "/no/such/file.png", "file:///%zz", "file:///%2"] {
            assert_eq!(path_in(text), None, "{text}");
        }
    }
}
