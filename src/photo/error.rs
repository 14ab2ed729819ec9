//! Why a photograph was not taken in.

use std::io;

/// Why a photograph was not taken in. Each message is a sentence that names the file and says what to do.
#[derive(Debug, thiserror::Error)]
pub enum PhotoError {
    /// Nothing is there.
    #[error("there is no file '{name}' any more (was it moved, or its card taken out?)")]
    Missing {
        /// File name.
        name: String,
    },
    /// A folder was given.
    #[error("'{name}' is a folder, not a picture (open it and choose a picture inside)")]
    Folder {
        /// Folder name.
        name: String,
    },
    /// Neither a file nor a folder: a pipe, a device.
    #[error("'{name}' is not an ordinary file (choose a JPEG, PNG, WebP or TIFF picture)")]
    NotAFile {
        /// File name.
        name: String,
    },
    /// The system refused to read it.
    #[error("'{name}' could not be read: {source}")]
    Unreadable {
        /// File name.
        name: String,
        /// What the system said.
        source: io::Error,
    },
    /// It has no bytes.
    #[error("'{name}' is empty, 0 bytes long (copy it again from the camera)")]
    Empty {
        /// File name.
        name: String,
    },
    /// Its content is no picture, whatever its name.
    #[error("'{name}' holds {what}, not a picture (expected JPEG, PNG, WebP or TIFF)")]
    NotAPicture {
        /// File name.
        name: String,
        /// What it holds: 'plain text'.
        what: &'static str,
    },
    /// A picture of a kind that is not read here.
    #[error("'{name}' is {what}, which cannot be read here ({advice})")]
    OtherFormat {
        /// File name.
        name: String,
        /// What it is: 'a HEIC picture'.
        what: &'static str,
        /// What to do instead.
        advice: &'static str,
    },
    /// A picture of a readable kind in a flavour that is not read.
    #[error("'{name}' is a {format} of a rare kind that cannot be read here: {detail} (save it again as an ordinary JPEG or PNG)")]
    RareKind {
        /// File name.
        name: String,
        /// Name of the format.
        format: &'static str,
        /// What the decoder said.
        detail: String,
    },
    /// Too long a file.
    #[error("'{name}' is {} MB long, more than the {} MB allowed for one photograph (save a smaller copy first)", whole_mb(*bytes), whole_mb(*most))]
    TooManyBytes {
        /// File name.
        name: String,
        /// Its length.
        bytes: u64,
        /// The most allowed.
        most: u64,
    },
    /// Too many pixels, found out before any was decoded.
    #[error("'{name}' is {width} × {height} pixels, {} megapixels, more than the {} allowed (save a smaller copy first)", whole_mb(u64::from(*width) * u64::from(*height)), whole_mb(*most))]
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
    #[error("'{name}' would need more than {} MB of memory to open (save it again as an ordinary JPEG)", whole_mb(*most))]
    TooMuchMemory {
        /// File name.
        name: String,
        /// The most bytes allowed.
        most: u64,
    },
    /// It ends too early.
    #[error("'{name}' ends before its picture does, it was probably not copied whole (copy it again from the camera)")]
    CutShort {
        /// File name.
        name: String,
    },
    /// Its content contradicts itself.
    #[error("'{name}' is a damaged {format}: {detail} (copy it again from the camera)")]
    Damaged {
        /// File name.
        name: String,
        /// Name of the format.
        format: &'static str,
        /// What the decoder said.
        detail: String,
    },
    /// A pasted picture whose size and bytes do not agree.
    #[error("the pasted picture says {width} × {height} pixels but brings {bytes} bytes (copy it again)")]
    BadPaste {
        /// Width in pixels.
        width: usize,
        /// Height in pixels.
        height: usize,
        /// Bytes that came.
        bytes: usize,
    },
    /// Someone asked to stop.
    #[error("opening the picture was stopped")]
    Cancelled,
}

/// Millions, rounded up so that something above a limit never reads as equal to it.
fn whole_mb(n: u64) -> u64 {
    n.div_ceil(1_000_000)
}
