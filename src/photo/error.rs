//! Why a photograph was not taken in.

use crate::say;
use std::io;

/// Why a photograph was not taken in. Each message is a sentence that names the file and says what to do.
#[derive(Debug, thiserror::Error)]
pub enum PhotoError {
    /// Nothing is there.
    #[error("{}", say!("there is no file '{name}' any more (was it moved, or its card taken out?)", name))]
    Missing {
        /// File name.
        name: String,
    },
    /// A folder was given.
    #[error("{}", say!("'{name}' is a folder, not a picture (open it and choose a picture inside)", name))]
    Folder {
        /// Folder name.
        name: String,
    },
    /// Neither a file nor a folder: a pipe, a device.
    #[error("{}", say!("'{name}' is not an ordinary file (choose a JPEG, PNG, WebP or TIFF picture)", name))]
    NotAFile {
        /// File name.
        name: String,
    },
    /// The system refused to read it.
    #[error("{}", say!("'{name}' could not be read: {source}", name, source))]
    Unreadable {
        /// File name.
        name: String,
        /// What the system said.
        source: io::Error,
    },
    /// It has no bytes.
    #[error("{}", say!("'{name}' is empty, 0 bytes long (copy it again from the camera)", name))]
    Empty {
        /// File name.
        name: String,
    },
    /// Its content is no picture, whatever its name.
    #[error("{}", say!("'{name}' holds {what}, not a picture (expected JPEG, PNG, WebP or TIFF)", name, what))]
    NotAPicture {
        /// File name.
        name: String,
        /// What it holds: 'plain text'.
        what: &'static str,
    },
    /// A picture of a kind that is not read here.
    #[error("{}", say!("'{name}' is {what}, which cannot be read here ({advice})", name, what, advice))]
    OtherFormat {
        /// File name.
        name: String,
        /// What it is: 'a HEIC picture'.
        what: &'static str,
        /// What to do instead.
        advice: &'static str,
    },
    /// A picture of a readable kind in a flavour that is not read.
    #[error("{}", say!("'{name}' is a {format} of a rare kind that cannot be read here: {detail} (save it again as an ordinary JPEG or PNG)", name, format, detail))]
    RareKind {
        /// File name.
        name: String,
        /// Name of the format.
        format: &'static str,
        /// What the decoder said.
        detail: String,
    },
    /// Too long a file.
    #[error("{}", say!("'{name}' is {whole_mb} MB long, more than the {whole_mb2} MB allowed for one photograph (save a smaller copy first)", name, whole_mb = whole_mb(*bytes), whole_mb2 = whole_mb(*most)))]
    TooManyBytes {
        /// File name.
        name: String,
        /// Its length.
        bytes: u64,
        /// The most allowed.
        most: u64,
    },
    /// Too many pixels, found out before any was decoded.
    #[error("{}", say!("'{name}' is {width} × {height} pixels, {whole_mb} megapixels, more than the {whole_mb2} allowed (save a smaller copy first)", name, width, height, whole_mb = whole_mb(u64::from(*width) * u64::from(*height)), whole_mb2 = whole_mb(*most)))]
    TooManyPixels {
        /// File name.
        name: String,
        /// Width in pixels.
        width: u32,
        /// Height in pixels.
        height: u32,
        /// The most pixels allowed.
        most: u64,
    },
    /// Its pixels, or tables inside it, would need too much memory.
    #[error("{}", say!("'{name}' would need more than {whole_mb} MB of memory to open (save it again as an ordinary JPEG)", name, whole_mb = whole_mb(*most)))]
    TooMuchMemory {
        /// File name.
        name: String,
        /// The most bytes allowed.
        most: u64,
    },
    /// It ends too early.
    #[error("{}", say!("'{name}' ends before its picture does, it was probably not copied whole (copy it again from the camera)", name))]
    CutShort {
        /// File name.
        name: String,
    },
    /// Its content contradicts itself.
    #[error("{}", say!("'{name}' is a damaged {format}: {detail} (copy it again from the camera)", name, format, detail))]
    Damaged {
        /// File name.
        name: String,
        /// Name of the format.
        format: &'static str,
        /// What the decoder said.
        detail: String,
    },
    /// A pasted picture whose size and bytes do not agree.
    #[error("{}", say!("the pasted picture says {width} × {height} pixels but brings {bytes} bytes (copy it again)", width, height, bytes))]
    BadPaste {
        /// Width in pixels.
        width: usize,
        /// Height in pixels.
        height: usize,
        /// Bytes that came.
        bytes: usize,
    },
    /// Someone asked to stop.
    #[error("{}", say!("opening the picture was stopped"))]
    Cancelled,
}

/// Millions, rounded up so that something above a limit never reads as equal to it.
fn whole_mb(n: u64) -> u64 {
    n.div_ceil(1_000_000)
}
