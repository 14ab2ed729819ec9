//! Pictures of the key: those of its marks, forms and papers as textures, and new ones that are turned and cropped until what they belong to is saved.

mod view;

pub use view::Adding;
pub(super) use view::{paint, pictures_ui, without_unsaved};

use crate::daybook::Photograph;
use crate::desk::document::Document;
use crate::desk::jobs::{Done as JobDone, Jobs, Progress};
use crate::desk::reading::picture_of_key;
use crate::key::Picture;
use crate::key::pack;
use crate::photo::{self, Edit, Limits, Source, Store};
use crate::say;
use egui::{ColorImage, Context, TextureHandle, TextureOptions};
use image::RgbImage;
use std::collections::BTreeMap;
use std::path::PathBuf;
use std::sync::Arc;

/// Longest side of a picture on a card or a sheet, in pixels.
const SHOWN_PX: u32 = 640;
/// Longest side of a picture that is kept with the key: its letters stay sharp.
const KEPT_PX: u32 = 1600;
/// Most pictures that are opened at once.
const MOST_OPENING: usize = 2;
/// JPEG quality of a picture that is kept with the key.
const QUALITY: u8 = 90;
/// The first words of every job that opens a picture of the key.
fn opening() -> &'static str {
    say!("Opening the picture")
}

/// Which screen a picture is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Whose {
    /// The Mark Drawer.
    Marks,
    /// The Key Book: the form or the paper that is open there.
    KeyBook,
}

/// What a job on pictures of the key sends.
#[derive(Debug)]
pub enum Done {
    /// A picture of the key was opened, or a sentence says why not.
    Opened(String, Result<Arc<RgbImage>, String>),
    /// A file was chosen, if one was.
    Chosen(Option<PathBuf>),
    /// A picture for what is being changed was read, or a sentence says why not.
    Taken(Result<Arc<RgbImage>, String>),
}

/// Something asked for while drawing, to be started before the next frame.
#[derive(Debug)]
pub(in crate::desk) enum Ask {
    /// Choose a file with the system's dialog.
    Choose,
    /// Read that file.
    File(PathBuf),
    /// Take that photograph of the piece in hand, as it is turned and cropped.
    From(Box<Photograph>),
}

/// A picture of the key.
pub(in crate::desk) enum Shown {
    Waiting,
    Ready(TextureHandle),
    Failed(String),
}

impl std::fmt::Debug for Shown {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(match self {
            Self::Waiting => "Waiting",
            Self::Ready(_) => "Ready",
            Self::Failed(_) => "Failed",
        })
    }
}

/// A new picture as it is turned and cropped. Turning or cropping it makes another, so that a step can go back to this one.
#[derive(Clone)]
pub(in crate::desk) struct Fresh {
    source: Arc<RgbImage>,
    edit: Edit,
    /// As it will be kept.
    kept: TextureHandle,
    /// Turned, but all of it.
    whole: TextureHandle,
}

impl std::fmt::Debug for Fresh {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Fresh").field("edit", &self.edit).finish_non_exhaustive()
    }
}

impl Fresh {
    fn of(ctx: &Context, source: Arc<RgbImage>, edit: Edit) -> Self {
        let kept = texture(ctx, &photo::preview(&source, edit, SHOWN_PX));
        let whole = texture(ctx, &photo::preview(&source, Edit { crop: None, ..edit }, SHOWN_PX));
        Self { source, edit, kept, whole }
    }

    /// The same picture, turned and cropped otherwise.
    fn edited(&self, ctx: &Context, edit: Edit) -> Self {
        Self::of(ctx, Arc::clone(&self.source), edit)
    }

    /// Width and height of the whole picture, in pixels.
    fn size(&self) -> (u32, u32) {
        self.source.dimensions()
    }

    /// As it goes into the key with the mark, form or paper of that id.
    fn of_entry(&self, kind: &str, id: &str) -> NewPicture {
        let new = NewPicture { file: String::new(), pixels: Arc::clone(&self.source), edit: self.edit };
        NewPicture { file: format!("{kind}-{id}-{}.jpg", new.fingerprint()), ..new }
    }
}

fn texture(ctx: &Context, picture: &RgbImage) -> TextureHandle {
    let size = [picture.width() as usize, picture.height() as usize];
    ctx.load_texture("picture of the key", ColorImage::from_rgb(size, picture.as_raw()), TextureOptions::LINEAR)
}

/// A picture that goes into the key with what it shows.
#[derive(Debug, Clone)]
pub struct NewPicture {
    /// Its name below `pictures/`.
    pub file: String,
    pixels: Arc<RgbImage>,
    edit: Edit,
}

impl NewPicture {
    /// What it is as eight letters and figures: the same for the same picture.
    fn fingerprint(&self) -> String {
        let mut hash = blake3::Hasher::new();
        hash.update(self.pixels.as_raw());
        hash.update(format!("{:?}", self.edit).as_bytes());
        hash.finalize().to_hex().chars().take(8).collect()
    }

    /// The file: a JPEG, turned and cropped.
    ///
    /// # Errors
    /// What the encoder says, which would be a fault of the program.
    pub fn jpeg(&self) -> Result<Vec<u8>, String> {
        let mut bytes = Vec::new();
        let encoder = image::codecs::jpeg::JpegEncoder::new_with_quality(&mut bytes, QUALITY);
        photo::apply(&self.pixels, self.edit).write_with_encoder(encoder).map_err(|error| error.to_string())?;
        Ok(bytes)
    }
}

/// The pictures of the key as far as they were wanted.
#[derive(Debug, Default)]
pub struct Pictures {
    known: BTreeMap<String, Shown>,
    wanted: Vec<String>,
    /// Of the key in this folder.
    dir: Option<PathBuf>,
    pub(super) asks: Vec<Ask>,
    /// The pass in which dropped files were last read.
    read_pass: Option<u64>,
    opened: Vec<(String, Result<Arc<RgbImage>, String>)>,
    taken: Vec<Result<Arc<RgbImage>, String>>,
}

impl Pictures {
    /// Takes files that were dropped on the window as pictures of what is being changed. Lists and packed keys are somebody else's.
    pub(super) fn drop_on(&mut self, ctx: &Context) {
        let pass = ctx.cumulative_pass_nr();
        if self.read_pass.replace(pass) == Some(pass) {
            return;
        }
        let files: Vec<_> = ctx.input(|input| input.raw.dropped_files.iter().map(|file| file.path().to_owned()).collect());
        self.asks.extend(files.into_iter().filter(|file| !super::bring_in::is_list(file) && !pack::is_packed(file)).map(Ask::File));
    }

    /// A job's work arrives.
    pub(super) fn take_in(&mut self, done: Done) {
        match done {
            Done::Opened(file, made) => self.opened.push((file, made)),
            Done::Chosen(file) => self.asks.extend(file.map(Ask::File)),
            Done::Taken(made) => self.taken.push(made),
        }
    }

    /// A picture of the key; it is asked for where it is not there yet.
    pub(super) fn of(&mut self, ctx: &Context, file: &str) -> &Shown {
        if !self.known.contains_key(file) {
            self.wanted.push(file.to_owned());
            ctx.request_repaint();
        }
        self.known.entry(file.to_owned()).or_insert(Shown::Waiting)
    }
}

fn opened(source: Source, edit: Edit, longest_px: u32, progress: &Progress) -> Result<Arc<RgbImage>, String> {
    let photo = photo::open(source, &Limits::USUAL, &progress.for_photo()).map_err(|error| error.to_string())?;
    Ok(Arc::new(photo::preview(photo.pixels(), edit, longest_px)))
}

/// What is being changed: its pictures, and those that are being added.
pub(super) type Changed<'e> = (&'e mut Adding, &'e mut Vec<Picture>);

/// Takes in what jobs have done, and starts what was asked for. Called before each frame.
pub(super) fn poll(
    pictures: &mut Pictures,
    whose: Whose,
    changed: Option<Changed<'_>>,
    (doc, store): (&Document, Option<&Store>),
    ctx: &Context,
    jobs: &mut Jobs,
) {
    if pictures.dir != doc.place.dir {
        *pictures = Pictures { dir: doc.place.dir.clone(), ..Pictures::default() };
    }
    for (file, made) in std::mem::take(&mut pictures.opened) {
        let shown = match made {
            Ok(picture) => Shown::Ready(texture(ctx, &picture)),
            Err(why) => Shown::Failed(why),
        };
        pictures.known.insert(file, shown);
    }
    let taken = std::mem::take(&mut pictures.taken);
    if let Some((adding, list)) = changed {
        for made in taken {
            adding.take(list, made.map(|picture| Fresh::of(ctx, picture, Edit::default())));
        }
    }
    for ask in std::mem::take(&mut pictures.asks) {
        match ask {
            Ask::Choose => jobs.start(ctx, say!("Choosing a picture"), move |_progress| {
                let extensions: Vec<&str> = photo::Format::ALL.iter().flat_map(|format| format.extensions().iter().copied()).collect();
                let either: Vec<String> = extensions.iter().flat_map(|e| [(*e).to_owned(), e.to_uppercase()]).collect();
                let chosen =
                    rfd::FileDialog::new().set_title(say!("A picture for the key")).add_filter(say!("Pictures"), &either).pick_file();
                JobDone::KeyPictures(whose, Done::Chosen(chosen))
            }),
            Ask::File(path) => jobs.start(ctx, say!("Reading a picture"), move |progress| {
                JobDone::KeyPictures(whose, Done::Taken(opened(Source::Path(path), Edit::default(), KEPT_PX, progress)))
            }),
            Ask::From(photograph) => {
                let Some(store) = store.cloned() else { continue };
                jobs.start(ctx, say!("Reading a picture"), move |progress| {
                    let made =
                        store.preview(photograph.hash, photograph.format, photograph.edit, KEPT_PX, &Limits::USUAL, &progress.for_photo());
                    JobDone::KeyPictures(whose, Done::Taken(made.map(Arc::new).map_err(|error| error.to_string())))
                });
            }
        }
    }
    while jobs.running().iter().filter(|job| job.doing.starts_with(opening())).count() < MOST_OPENING
        && let Some(file) = pictures.wanted.pop()
    {
        let source = picture_of_key(&file, doc.place.dir.as_deref());
        jobs.start(ctx, format!("{} {file}", opening()), move |progress| {
            let made = source.ok_or_else(|| say!("there is no such picture in the key").to_owned());
            JobDone::KeyPictures(whose, Done::Opened(file, made.and_then(|source| opened(source, Edit::default(), SHOWN_PX, progress))))
        });
    }
    if !pictures.wanted.is_empty() && jobs.is_idle() {
        ctx.request_repaint();
    }
}
