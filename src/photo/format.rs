//! What a file holds, told by its first bytes and never by its name.

/// A picture format that is read here.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Format {
    /// JPEG (ISO/IEC 10918).
    Jpeg,
    /// PNG (ISO/IEC 15948).
    Png,
    /// WebP (RFC 9649).
    WebP,
    /// TIFF 6.0.
    Tiff,
}

impl Format {
    /// All of them.
    pub const ALL: [Self; 4] = [Self::Jpeg, Self::Png, Self::WebP, Self::Tiff];

    /// Its name in a sentence.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Jpeg => "JPEG",
            Self::Png => "PNG",
            Self::WebP => "WebP",
            Self::Tiff => "TIFF",
        }
    }

    /// The file extension it is kept under.
    pub const fn extension(self) -> &'static str {
        match self {
            Self::Jpeg => "jpg",
            Self::Png => "png",
            Self::WebP => "webp",
            Self::Tiff => "tif",
        }
    }

    /// The extensions files of this format go by, lower case.
    pub const fn extensions(self) -> &'static [&'static str] {
        match self {
            Self::Jpeg => &["jpg", "jpeg", "jpe", "jfif", "mpo"],
            Self::Png => &["png", "apng"],
            Self::WebP => &["webp"],
            Self::Tiff => &["tif", "tiff"],
        }
    }

    /// The format whose files go by that extension, in any case.
    pub fn of_extension(extension: &str) -> Option<Self> {
        let lower = extension.to_ascii_lowercase();
        Self::ALL.into_iter().find(|format| format.extensions().contains(&lower.as_str()))
    }

    pub(super) const fn decoder(self) -> image::ImageFormat {
        match self {
            Self::Jpeg => image::ImageFormat::Jpeg,
            Self::Png => image::ImageFormat::Png,
            Self::WebP => image::ImageFormat::WebP,
            Self::Tiff => image::ImageFormat::Tiff,
        }
    }
}

/// What the first bytes of a file say it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Content {
    /// A picture that is read here.
    Picture(Format),
    /// A picture that is not: what it is, and what to do.
    Other(&'static str, &'static str),
    /// No picture: what it is.
    NotAPicture(&'static str),
}

const AS_PNG: &str = "save it as PNG or JPEG first";
const AS_JPEG: &str = "set the phone to take JPEG, or save it as JPEG first";
const RAW: &str = "save it as JPEG or TIFF with the camera's own program first";

/// Raw files of cameras that begin like a TIFF but hold only a small preview where a TIFF has its picture.
const RAW_EXTENSIONS: [&str; 11] = ["dng", "nef", "nrw", "cr2", "arw", "srf", "sr2", "pef", "3fr", "iiq", "rwl"];

/// Tells what a file holds from its first bytes (32 are enough). The extension only tells a camera's raw file from a TIFF.
pub(super) fn sniff(head: &[u8], extension: &str) -> Content {
    let tiff =
        head.starts_with(b"II\x2a\0") || head.starts_with(b"MM\0\x2a") || head.starts_with(b"II\x2b\0") || head.starts_with(b"MM\0\x2b");
    if tiff && RAW_EXTENSIONS.contains(&extension.to_ascii_lowercase().as_str()) {
        return Content::Other("a camera's raw file", RAW);
    }
    if tiff {
        return Content::Picture(Format::Tiff);
    }
    if head.starts_with(&[0xff, 0xd8, 0xff]) {
        return Content::Picture(Format::Jpeg);
    }
    if head.starts_with(b"\x89PNG\r\n\x1a\n") {
        return Content::Picture(Format::Png);
    }
    if head.starts_with(b"RIFF") && head.get(8..12) == Some(b"WEBP") {
        return Content::Picture(Format::WebP);
    }
    if head.get(4..8) == Some(b"ftyp") {
        return match head.get(8..12) {
            Some(b"heic" | b"heix" | b"heim" | b"heis" | b"hevc" | b"hevx" | b"mif1" | b"msf1") => {
                Content::Other("a HEIC picture", AS_JPEG)
            }
            Some(b"avif" | b"avis") => Content::Other("an AVIF picture", AS_PNG),
            Some(b"crx ") => Content::Other("a camera's raw file", RAW),
            _ => Content::NotAPicture("a film"),
        };
    }
    if head.starts_with(b"GIF8") {
        return Content::Other("a GIF picture", AS_PNG);
    }
    if head.starts_with(b"BM") && head.get(6..10) == Some(&[0; 4]) {
        return Content::Other("a BMP picture", AS_PNG);
    }
    if head.starts_with(&[0xff, 0x0a]) || head.starts_with(b"\0\0\0\x0cJXL ") {
        return Content::Other("a JPEG XL picture", AS_PNG);
    }
    if head.starts_with(b"\0\0\0\x0cjP  ") {
        return Content::Other("a JPEG 2000 picture", AS_PNG);
    }
    if head.starts_with(b"IIRO") || head.starts_with(b"IIU\0") || head.starts_with(b"FUJIFILMCCD-RAW") {
        return Content::Other("a camera's raw file", RAW);
    }
    if head.starts_with(b"8BPS") {
        return Content::Other("a layered picture of a paint program", AS_PNG);
    }
    if head.starts_with(b"%PDF") {
        return Content::NotAPicture("a PDF document");
    }
    if head.starts_with(b"PK\x03\x04") {
        return Content::NotAPicture("a zip archive or an office document");
    }
    if head.starts_with(b"<?xml") || head.starts_with(b"<svg") || head.starts_with(b"<!DOCTYPE") || head.starts_with(b"<html") {
        return Content::NotAPicture("a web page or an XML text");
    }
    if is_text(head) {
        return Content::NotAPicture("plain text");
    }
    Content::NotAPicture("something unknown")
}

/// True where the bytes read as UTF-8 (a character may be cut at the end) without control characters.
fn is_text(head: &[u8]) -> bool {
    let whole = match std::str::from_utf8(head) {
        Ok(text) => text,
        Err(error) if error.error_len().is_none() => {
            head.get(..error.valid_up_to()).and_then(|valid| std::str::from_utf8(valid).ok()).unwrap_or_default()
        }
        Err(_) => return false,
    };
    !whole.is_empty() && !whole.chars().any(|c| c.is_control() && !c.is_whitespace())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_first_bytes_decide() {
        let rows: [(&[u8], &str, Content); 16] = [
            (b"\xff\xd8\xff\xe0\0\x10JFIF", "jpg", Content::Picture(Format::Jpeg)),
            (b"\xff\xd8\xff\xe1", "txt", Content::Picture(Format::Jpeg)),
            (b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR", "png", Content::Picture(Format::Png)),
            (b"RIFF\x10\0\0\0WEBPVP8 ", "webp", Content::Picture(Format::WebP)),
            (b"RIFF\x10\0\0\0WAVEfmt ", "webp", Content::NotAPicture("something unknown")),
            (b"II\x2a\0\x08\0\0\0", "tif", Content::Picture(Format::Tiff)),
            (b"MM\0\x2a\0\0\0\x08", "TIFF", Content::Picture(Format::Tiff)),
            (b"MM\0\x2a\0\0\0\x08", "NEF", Content::Other("a camera's raw file", RAW)),
            (b"\0\0\0\x18ftypheic", "heic", Content::Other("a HEIC picture", AS_JPEG)),
            (b"\0\0\0\x18ftypavif", "avif", Content::Other("an AVIF picture", AS_PNG)),
            (b"\0\0\0\x18ftypisom", "mp4", Content::NotAPicture("a film")),
            (b"GIF89a", "gif", Content::Other("a GIF picture", AS_PNG)),
            (b"%PDF-1.7", "jpg", Content::NotAPicture("a PDF document")),
            (b"shopping list\nbread", "jpg", Content::NotAPicture("plain text")),
            ("Größe 12 cm, Dose m\u{fc}".as_bytes(), "jpg", Content::NotAPicture("plain text")),
            (b"\0\x01\x02\x03", "jpg", Content::NotAPicture("something unknown")),
        ];
        for (head, extension, expected) in rows {
            assert_eq!(sniff(head, extension), expected, "{head:?} .{extension}");
        }
    }

    #[test]
    fn a_character_cut_at_the_end_is_still_text() {
        assert!(is_text(&[b'a', 0xc3]));
        assert!(!is_text(&[b'a', 0xff, b'b']));
        assert!(!is_text(&[]));
    }

    #[test]
    fn extensions_lead_back() {
        for format in Format::ALL {
            assert_eq!(Format::of_extension(format.extension()), Some(format));
        }
        assert_eq!(Format::of_extension("JPEG"), Some(Format::Jpeg));
        assert_eq!(Format::of_extension("txt"), None);
    }
}
