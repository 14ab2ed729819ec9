//! Whether a picture's file is whole, and small facts of its container that the decoders keep to themselves.
//!
//! Only the container is walked here, by its lengths; pixels are the decoders' business.

use super::Format;

/// Whether the file reaches its own end. A decoder may be content with less: a JPEG cut in the middle decodes to a picture that is grey below.
///
/// TIFF has no end of its own; its decoder notices when data is missing. So a TIFF only counts as whole if its first directory lies inside.
pub(super) fn is_whole(format: Format, bytes: &[u8]) -> bool {
    match format {
        Format::Jpeg => jpeg_reaches_its_end(bytes),
        Format::Png => png_chunks(bytes).any(|chunk| chunk.kind == *b"IEND"),
        Format::WebP => riff_length(bytes).is_some_and(|length| bytes.len() as u64 >= length),
        Format::Tiff => tiff_next_directory(bytes).is_some(),
    }
}

/// Whether there are more pictures in the file than the first: an animation, further pages.
pub(super) fn holds_more(format: Format, bytes: &[u8]) -> bool {
    match format {
        Format::Jpeg => false,
        Format::Png => png_chunks(bytes).take_while(|chunk| chunk.kind != *b"IDAT").any(|chunk| chunk.kind == *b"acTL"),
        // RFC 9649, 2.7: bit 1 of the flags says that it is an animation.
        Format::WebP => bytes.get(12..16) == Some(b"VP8X") && bytes.get(20).is_some_and(|flags| flags & 0x02 != 0),
        Format::Tiff => tiff_next_directory(bytes).is_some_and(|next| next != 0),
    }
}

/// The EXIF block of a PNG, wherever it stands (PNG third edition, 11.3.4.5: anywhere but between the picture's own chunks).
pub(super) fn png_exif(bytes: &[u8]) -> Option<&[u8]> {
    png_chunks(bytes).find(|chunk| chunk.kind == *b"eXIf").map(|chunk| chunk.data)
}

/// Walks the markers of a JPEG (ISO/IEC 10918-1, annex B) to the end-of-image marker. Thumbnails lie inside segments and are skipped with them.
fn jpeg_reaches_its_end(bytes: &[u8]) -> bool {
    let mut at = 2;
    while let Some(rest) = bytes.get(at..) {
        let Some(skip) = rest.iter().position(|&b| b == 0xff) else { return false };
        at += skip;
        match bytes.get(at + 1) {
            None => return false,
            Some(0xd9) => return true,
            // A second 0xff is filling; 0x00 is a plain 0xff of the data; these markers have no length.
            Some(0xff) => at += 1,
            Some(0x00 | 0x01 | 0xd0..=0xd8) => at += 2,
            Some(_) => match be_u16(bytes, at + 2) {
                Some(length) => at += 2 + usize::from(length.max(2)),
                None => return false,
            },
        }
    }
    false
}

/// What makes a JPEG one that no decoder here reads, and what to do: told by its frame's head (ISO/IEC 10918-1, table B.1 and B.2.2).
pub(super) fn rare_jpeg(bytes: &[u8]) -> Option<(&'static str, &'static str)> {
    let (marker, bits) = jpeg_frame(bytes)?;
    match marker {
        0xc3 | 0xc7 | 0xcb | 0xcf => Some(("a lossless JPEG", "save it as PNG or TIFF, which lose nothing either")),
        0xc5 | 0xc6 | 0xcd | 0xce => Some(("a JPEG of several resolutions in one", "save it as an ordinary JPEG")),
        0xc9 | 0xca => Some(("a JPEG with arithmetic coding", "save it as an ordinary JPEG")),
        _ if bits == 12 => {
            Some(("a JPEG of 12 bits a colour", "save it as a PNG or TIFF of 16 bits, which can, or as an ordinary JPEG of 8"))
        }
        _ if bits != 8 => {
            Some(("a JPEG of an unusual depth", "save it as a PNG or TIFF of 16 bits, which can, or as an ordinary JPEG of 8"))
        }
        _ => None,
    }
}

/// The marker of a JPEG's frame and how many bits a sample of it has.
fn jpeg_frame(bytes: &[u8]) -> Option<(u8, u8)> {
    let mut at = 2;
    loop {
        let marker = *bytes.get(at + 1)?;
        match (bytes.get(at)?, marker) {
            (0xff, 0xff) => at += 1,
            // 0xc4, 0xc8 and 0xcc are tables among the frames.
            (0xff, 0xc0..=0xc3 | 0xc5..=0xc7 | 0xc9..=0xcb | 0xcd..=0xcf) => return Some((marker, *bytes.get(at + 4)?)),
            // The scan comes after its frame.
            (0xff, 0xd9 | 0xda) => return None,
            (0xff, 0x01 | 0xd0..=0xd8) => at += 2,
            (0xff, _) => at += 2 + usize::from(be_u16(bytes, at + 2)?.max(2)),
            _ => return None,
        }
    }
}

struct Chunk<'a> {
    kind: [u8; 4],
    data: &'a [u8],
}

/// The chunks of a PNG that are there in full.
fn png_chunks(bytes: &[u8]) -> impl Iterator<Item = Chunk<'_>> {
    let mut rest = bytes.get(8..).unwrap_or_default();
    std::iter::from_fn(move || {
        let length = usize::try_from(be_u32(rest, 0)?).ok()?;
        let kind = rest.get(4..8)?.try_into().ok()?;
        let data = rest.get(8..)?.get(..length)?;
        // Four bytes of check sum follow; the end counts as reached without them.
        rest = rest.get(8 + length + 4..).unwrap_or_default();
        Some(Chunk { kind, data })
    })
}

/// The length a RIFF file says it has, its head included.
fn riff_length(bytes: &[u8]) -> Option<u64> {
    let length = bytes.get(4..8)?.try_into().ok().map(u32::from_le_bytes)?;
    Some(u64::from(length) + 8)
}

/// Where the second directory of a TIFF is, 0 for nowhere. `None` where the first does not lie inside the file.
fn tiff_next_directory(bytes: &[u8]) -> Option<u64> {
    let little = bytes.first() == Some(&b'I');
    let number = |at: u64, length: usize| -> Option<u64> {
        let at = usize::try_from(at).ok()?;
        let digits = bytes.get(at..at.checked_add(length)?)?;
        let fold = |sum: u64, &digit: &u8| (sum << 8) | u64::from(digit);
        Some(if little { digits.iter().rev().fold(0, fold) } else { digits.iter().fold(0, fold) })
    };
    // 43 marks a BigTIFF, with eight-byte offsets and twenty-byte entries.
    let big = number(2, 2)? == 43;
    let (offset_at, offset_length, count_length, entry_length) = if big { (8, 8, 8, 20) } else { (4, 4, 2, 12) };
    let first = number(offset_at, offset_length)?;
    let entries = number(first, count_length)?;
    let end = first.checked_add(count_length as u64)?.checked_add(entries.checked_mul(entry_length)?)?;
    number(end, offset_length)
}

fn be_u16(bytes: &[u8], at: usize) -> Option<u16> {
    bytes.get(at..at.checked_add(2)?)?.try_into().ok().map(u16::from_be_bytes)
}

fn be_u32(bytes: &[u8], at: usize) -> Option<u32> {
    bytes.get(at..at.checked_add(4)?)?.try_into().ok().map(u32::from_be_bytes)
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "tests")]
    use super::*;
    use image::ImageFormat;
    use proptest::prelude::*;

    fn encoded(format: Format) -> Vec<u8> {
        let picture = image::RgbImage::from_fn(40, 30, |x, y| image::Rgb([(x * 6) as u8, (y * 8) as u8, ((x * y) % 251) as u8]));
        let mut bytes = std::io::Cursor::new(Vec::new());
        let as_image: ImageFormat = format.decoder();
        picture.write_to(&mut bytes, as_image).unwrap();
        bytes.into_inner()
    }

    #[test]
    fn whole_files_are_whole_and_halves_are_not() {
        for format in Format::ALL {
            let bytes = encoded(format);
            assert!(is_whole(format, &bytes), "{format:?} whole");
            assert!(!holds_more(format, &bytes), "{format:?} has one picture");
            if format != Format::Tiff {
                for part in [1, 9, bytes.len() / 3, bytes.len() / 2, bytes.len() - 6] {
                    assert!(!is_whole(format, &bytes[..part]), "{format:?} cut at {part} of {}", bytes.len());
                }
            }
        }
    }

    #[test]
    fn what_follows_the_end_of_a_jpeg_does_no_harm() {
        let mut bytes = encoded(Format::Jpeg);
        bytes.extend_from_slice(b"a short film, as some phones add it");
        assert!(is_whole(Format::Jpeg, &bytes));
    }

    proptest! {
        #[test]
        fn no_bytes_upset_the_walk(bytes in proptest::collection::vec(any::<u8>(), 0..300), which in 0usize..4, good_start in any::<bool>()) {
            let format = Format::ALL[which];
            let mut bytes = bytes;
            if good_start {
                let mut start = encoded(format);
                start.truncate(60);
                start.extend(bytes);
                bytes = start;
            }
            let _ = (is_whole(format, &bytes), holds_more(format, &bytes), png_exif(&bytes).map(<[u8]>::len));
        }
    }
}
