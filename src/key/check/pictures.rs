//! Pictures: inside the folder, there, and of a kind that can be shown.

use super::Sink;
use crate::key::file::KeyFile;
use crate::key::model::{Key, Picture};
use crate::key::problem::{ProblemKind, nearest};
use crate::key::source::{Source, say};
use crate::key::text::Step;
use crate::say;
use image::ImageFormat;

pub(super) fn check(key: &Key, source: &dyn Source, sink: &mut Sink) {
    let mut checker = Checker { source, names: None };
    for (at, form) in key.forms.iter().enumerate() {
        sink.at(KeyFile::Forms, at);
        checker.list(&form.pictures, sink);
    }
    for (at, mark) in key.marks.iter().enumerate() {
        sink.at(KeyFile::Marks, at);
        checker.list(&mark.pictures, sink);
    }
    for (at, paper) in key.papers.iter().enumerate() {
        sink.at(KeyFile::Papers, at);
        checker.list(&paper.pictures, sink);
    }
}

/// Pictures of more pixels are not read: a file of a few bytes may say that it has any number of them. As for photographs.
const MOST_PIXELS: u64 = 120_000_000;

struct Checker<'s> {
    source: &'s dyn Source,
    /// The names there are, once they are needed.
    names: Option<Vec<String>>,
}

impl Checker<'_> {
    fn list(&mut self, pictures: &[Picture], sink: &mut Sink) {
        for (i, picture) in pictures.iter().enumerate() {
            let steps = [Step::Field("pictures"), Step::At(i), Step::Field("file")];
            if let Some(kind) = self.picture(&picture.file) {
                sink.push(&steps, kind);
            }
        }
    }

    fn picture(&mut self, file: &str) -> Option<ProblemKind> {
        if is_outside(file) {
            return Some(ProblemKind::PictureOutside { file: file.to_owned() });
        }
        let unreadable = |why: String| Some(ProblemKind::UnreadablePicture { file: file.to_owned(), why });
        match self.source.picture_head(file) {
            Ok(Some(head)) => match image::guess_format(&head) {
                Ok(ImageFormat::Jpeg | ImageFormat::Png | ImageFormat::WebP | ImageFormat::Tiff) => {
                    let (wide, high) = self.source.picture_size(file)?;
                    let too_large = u64::from(wide) * u64::from(high) > MOST_PIXELS;
                    too_large.then_some(())?;
                    unreadable(say!(
                        "it has {wide} × {high} pixels, more than {most} million (make it smaller)",
                        wide,
                        high,
                        most = MOST_PIXELS / 1_000_000
                    ))
                }
                Ok(_) | Err(_) => unreadable(say!("it is no JPEG, PNG, WebP or TIFF picture (save it as one)").to_owned()),
            },
            Ok(None) => {
                let names = self.names.get_or_insert_with(|| self.source.pictures());
                Some(ProblemKind::NoPicture { file: file.to_owned(), nearest: nearest(file, names.iter().map(String::as_str)) })
            }
            Err(e) => unreadable(say(&e)),
        }
    }
}

/// True for a path that leads out of `pictures/`, on any system.
pub(in crate::key) fn is_outside(file: &str) -> bool {
    file.trim().is_empty()
        || file.starts_with('/')
        || file.contains(['\\', '\0'])
        || file.split('/').any(|step| step.is_empty() || step == "." || step == "..")
        || file.as_bytes().get(1) == Some(&b':')
}

#[cfg(test)]
mod tests {
    use super::is_outside;

    #[test]
    fn a_path_that_leads_out_is_seen_on_any_system() {
        for file in ["", " ", "/etc/x.png", "../x.png", "a/../../x.png", "C:/x.png", "c:x.png", "a\\b.png", "a//b.png", "./a.png"] {
            assert!(is_outside(file), "{file}");
        }
        for file in ["a.png", "marks/crown 2.jpg", "a..b.png"] {
            assert!(!is_outside(file), "{file}");
        }
    }
}
