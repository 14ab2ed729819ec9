//! Sheets as files: the ending says what is written.

use crate::say;
use crate::sheets::csv::save;
use crate::sheets::page::{Document, WriteError, write_pdf, write_png, write_svg};
use std::io;
use std::path::{Path, PathBuf};

/// What a file is written as.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FileKind {
    /// One file of all pages.
    Pdf,
    /// A file a page.
    Svg,
    /// A file a page.
    Png,
}

/// Why a sheet could not be written to files. What was written before stays.
#[derive(Debug, thiserror::Error)]
pub enum FileError {
    /// The name does not say what to write.
    #[error("{}", say!("'{what}' says not what to write (end it with .pdf, .svg or .png)", what = .0.display()))]
    Ending(PathBuf),
    /// The pages can't be written as that.
    #[error(transparent)]
    Write(#[from] WriteError),
    /// The system won't have it.
    #[error("{}", say!("'{file}' can't be written: {why}", file = file.display(), why))]
    Io {
        /// The file.
        file: PathBuf,
        /// What the system says.
        why: io::Error,
    },
}

impl FileKind {
    /// What the ending of a name says.
    ///
    /// # Errors
    /// [`FileError::Ending`].
    pub fn of(file: &Path) -> Result<Self, FileError> {
        let ending = file.extension().map(|ending| ending.to_string_lossy().to_lowercase());
        match ending.as_deref() {
            Some("pdf") => Ok(Self::Pdf),
            Some("svg") => Ok(Self::Svg),
            Some("png") => Ok(Self::Png),
            _ => Err(FileError::Ending(file.to_owned())),
        }
    }
}

/// Writes a document, and gives the files: one PDF, or a picture a page, numbered where there are several. Each is written whole or not at all.
///
/// # Errors
/// [`FileError`].
pub fn write_files(document: &Document, pixels_per_inch: f64, file: &Path) -> Result<Vec<PathBuf>, FileError> {
    let kind = FileKind::of(file)?;
    let put =
        |path: &Path, bytes: &[u8]| save(path, |out| out.write_all(bytes)).map_err(|why| FileError::Io { file: path.to_owned(), why });
    if kind == FileKind::Pdf {
        put(file, &write_pdf(document)?)?;
        return Ok(vec![file.to_owned()]);
    }
    if document.pages.is_empty() {
        return Err(WriteError::NoPage.into());
    }
    let mut written = Vec::new();
    for (at, page) in document.pages.iter().enumerate() {
        let path = if document.pages.len() == 1 { file.to_owned() } else { numbered(file, at + 1) };
        let bytes = match kind {
            FileKind::Svg => write_svg(page, &document.title)?.into_bytes(),
            FileKind::Png | FileKind::Pdf => write_png(page, pixels_per_inch)?,
        };
        put(&path, &bytes)?;
        written.push(path);
    }
    Ok(written)
}

/// `plate.png` becomes `plate-2.png`.
fn numbered(file: &Path, number: usize) -> PathBuf {
    let stem = file.file_stem().map(|stem| stem.to_string_lossy().into_owned()).unwrap_or_default();
    let ending = file.extension().map(|ending| ending.to_string_lossy().into_owned()).unwrap_or_default();
    file.with_file_name(format!("{stem}-{number}.{ending}"))
}

/// Where the files are, in words: 'key.pdf', 'plate-1.png to plate-3.png'.
pub fn files_words(files: &[PathBuf]) -> String {
    match files {
        [] => String::new(),
        [one] => one.display().to_string(),
        [first, .., last] => say!("{from} to {to}", from = first.display(), to = last.display()),
    }
}
