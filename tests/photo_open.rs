//! Taking photographs in: every format, every orientation, and every way a file can be wrong.
#![expect(clippy::unwrap_used, clippy::panic, clippy::indexing_slicing, reason = "tests")]

use footring::photo::{Format, Limits, PhotoError, PhotoHash, Progress, Source, from_rgba, open};
use image::codecs::jpeg::JpegEncoder;
use image::codecs::png::PngEncoder;
use image::codecs::webp::WebPEncoder;
use image::{DynamicImage, ExtendedColorType, ImageEncoder as _, Rgb, RgbImage};
use proptest::prelude::*;
use std::fs;
use std::path::Path;

/// A picture whose four corners are told apart even after JPEG: red and green on top, blue and white below, wider than high.
fn corners() -> RgbImage {
    RgbImage::from_fn(48, 32, |x, y| match (x < 24, y < 16) {
        (true, true) => Rgb([250, 10, 10]),
        (false, true) => Rgb([10, 250, 10]),
        (true, false) => Rgb([10, 10, 250]),
        (false, false) => Rgb([245, 245, 245]),
    })
}

/// The least EXIF block: a TIFF head and one entry, tag 0x0112 (orientation), as a SHORT.
fn exif(orientation: u8) -> Vec<u8> {
    let mut block = b"II\x2a\0\x08\0\0\0\x01\0".to_vec();
    block.extend([0x12, 0x01, 3, 0, 1, 0, 0, 0, orientation, 0, 0, 0, 0, 0, 0, 0]);
    block
}

fn jpeg(picture: &RgbImage, orientation: Option<u8>) -> Vec<u8> {
    let mut bytes = Vec::new();
    let mut encoder = JpegEncoder::new_with_quality(&mut bytes, 95);
    if let Some(orientation) = orientation {
        encoder.set_exif_metadata(exif(orientation)).unwrap();
    }
    encoder.write_image(picture, picture.width(), picture.height(), ExtendedColorType::Rgb8).unwrap();
    bytes
}

fn png(picture: &DynamicImage, orientation: Option<u8>) -> Vec<u8> {
    let mut bytes = Vec::new();
    let mut encoder = PngEncoder::new(&mut bytes);
    if let Some(orientation) = orientation {
        encoder.set_exif_metadata(exif(orientation)).unwrap();
    }
    encoder.write_image(picture.as_bytes(), picture.width(), picture.height(), picture.color().into()).unwrap();
    bytes
}

fn webp(picture: &RgbImage, orientation: Option<u8>) -> Vec<u8> {
    let mut bytes = Vec::new();
    let mut encoder = WebPEncoder::new_lossless(&mut bytes);
    if let Some(orientation) = orientation {
        encoder.set_exif_metadata(exif(orientation)).unwrap();
    }
    encoder.write_image(picture, picture.width(), picture.height(), ExtendedColorType::Rgb8).unwrap();
    bytes
}

/// An uncompressed TIFF, written by hand after TIFF 6.0: head, pixels, bits per sample, one directory, and where the next one is.
fn tiff(picture: &RgbImage, orientation: Option<u8>, next_directory: u32) -> Vec<u8> {
    let pixels = picture.as_raw();
    let bits_at = 8 + pixels.len() as u32;
    let directory_at = bits_at + 6;
    let mut bytes = b"II\x2a\0".to_vec();
    bytes.extend(directory_at.to_le_bytes());
    bytes.extend(pixels);
    bytes.extend([8, 0, 8, 0, 8, 0]);
    let mut entries: Vec<(u16, u16, u32, u32)> = vec![
        (256, 4, 1, picture.width()),
        (257, 4, 1, picture.height()),
        (258, 3, 3, bits_at),
        (259, 3, 1, 1),
        (262, 3, 1, 2),
        (273, 4, 1, 8),
    ];
    entries.extend(orientation.map(|o| (274, 3, 1, u32::from(o))));
    entries.extend([(277, 3, 1, 3), (278, 4, 1, picture.height()), (279, 4, 1, pixels.len() as u32)]);
    bytes.extend((entries.len() as u16).to_le_bytes());
    for (tag, kind, count, value) in entries {
        bytes.extend(tag.to_le_bytes());
        bytes.extend(kind.to_le_bytes());
        bytes.extend(count.to_le_bytes());
        bytes.extend(value.to_le_bytes());
    }
    bytes.extend(next_directory.to_le_bytes());
    bytes
}

fn open_bytes(name: &str, bytes: &[u8]) -> Result<footring::photo::Photo, PhotoError> {
    open(Source::Bytes { name: name.to_owned(), bytes: bytes.into() }, &Limits::USUAL, &Progress::new())
}

fn message(name: &str, bytes: &[u8]) -> String {
    open_bytes(name, bytes).unwrap_err().to_string()
}

/// The colours of the four corners: top left, top right, bottom left, bottom right.
fn corner_names(picture: &RgbImage) -> String {
    let (right, bottom) = (picture.width() - 6, picture.height() - 6);
    [(5, 5), (right, 5), (5, bottom), (right, bottom)]
        .iter()
        .map(|&(x, y)| match picture.get_pixel(x, y).0 {
            [r, g, b] if r > 200 && g > 200 && b > 200 => 'w',
            [r, _, _] if r > 200 => 'r',
            [_, g, _] if g > 200 => 'g',
            [_, _, b] if b > 200 => 'b',
            other => panic!("a colour that is none of the four: {other:?}"),
        })
        .collect()
}

#[test]
fn all_eight_orientations_of_all_four_formats_come_out_upright() {
    // How each of the eight shows the stored picture r g / b w. Source: EXIF 2.32, tag 0x0112: 'the 0th row is … the 0th column is …'.
    let rows = [(1, "rgbw"), (2, "grwb"), (3, "wbgr"), (4, "bwrg"), (5, "rbgw"), (6, "brwg"), (7, "wgbr"), (8, "gwrb")];
    let picture = corners();
    let as_dynamic = DynamicImage::ImageRgb8(picture.clone());
    for (orientation, expected) in rows {
        let files = [
            ("a.jpg", jpeg(&picture, Some(orientation))),
            ("a.png", png(&as_dynamic, Some(orientation))),
            ("a.webp", webp(&picture, Some(orientation))),
            ("a.tif", tiff(&picture, Some(orientation), 0)),
        ];
        for (name, bytes) in files {
            let photo = open_bytes(name, &bytes).unwrap();
            let size = if orientation >= 5 { (32, 48) } else { (48, 32) };
            assert_eq!((photo.width(), photo.height()), size, "{name} {orientation}");
            assert_eq!(corner_names(photo.pixels()), expected, "{name} {orientation}");
            assert_eq!(photo.notes(), &[] as &[String], "{name} {orientation}");
            assert_eq!(photo.bytes().as_ref(), bytes, "the bytes are kept as they came");
            assert_eq!(photo.hash(), PhotoHash::of(&bytes));
        }
    }
}

#[test]
fn an_orientation_after_the_pixels_of_a_png_counts_too() {
    let plain = png(&DynamicImage::ImageRgb8(corners()), None);
    let end = plain.len() - 12;
    let mut chunk = b"eXIf".to_vec();
    chunk.extend(exif(6));
    let mut bytes = plain[..end].to_vec();
    bytes.extend((chunk.len() as u32 - 4).to_be_bytes());
    bytes.extend(&chunk);
    bytes.extend(crc32(&chunk).to_be_bytes());
    bytes.extend(&plain[end..]);
    assert_eq!(corner_names(open_bytes("a.png", &bytes).unwrap().pixels()), "brwg");
}

/// The check sum of PNG chunks (PNG third edition, annex D), bit by bit.
fn crc32(bytes: &[u8]) -> u32 {
    !bytes.iter().fold(u32::MAX, |crc, &byte| {
        (0..8).fold(crc ^ u32::from(byte), |crc, _| if crc & 1 == 1 { 0xedb8_8320 ^ (crc >> 1) } else { crc >> 1 })
    })
}

#[test]
fn a_nonsense_orientation_leaves_the_picture_as_it_is() {
    for orientation in [0, 9, 200] {
        assert_eq!(corner_names(open_bytes("a.jpg", &jpeg(&corners(), Some(orientation))).unwrap().pixels()), "rgbw");
    }
}

#[test]
fn a_mislabelled_picture_is_read_by_its_content_with_a_note() {
    let photo = open_bytes("mark.png", &jpeg(&corners(), None)).unwrap();
    assert_eq!(photo.format(), Format::Jpeg);
    assert_eq!(photo.notes(), ["'mark.png' is a JPEG in spite of its name, and was read as one"]);
    let photo = open_bytes("mark", &jpeg(&corners(), None)).unwrap();
    assert_eq!(photo.notes(), &[] as &[String], "no extension says nothing wrong");
}

#[test]
fn every_depth_and_transparency_comes_out_as_eight_bits_on_white() {
    let rgba = DynamicImage::ImageRgba8(image::RgbaImage::from_pixel(4, 4, image::Rgba([200, 0, 0, 128])));
    assert_eq!(open_bytes("a.png", &png(&rgba, None)).unwrap().pixels().get_pixel(1, 1).0, [227, 127, 127]);
    let clear = DynamicImage::ImageRgba8(image::RgbaImage::from_pixel(4, 4, image::Rgba([0, 0, 0, 0])));
    assert_eq!(open_bytes("a.png", &png(&clear, None)).unwrap().pixels().get_pixel(1, 1).0, [255, 255, 255]);
    let grey_alpha = DynamicImage::ImageLumaA8(image::GrayAlphaImage::from_pixel(4, 4, image::LumaA([0, 0])));
    assert_eq!(open_bytes("a.png", &png(&grey_alpha, None)).unwrap().pixels().get_pixel(1, 1).0, [255, 255, 255]);
    let deep = image::ImageBuffer::<Rgb<u16>, Vec<u16>>::from_pixel(4, 4, Rgb([65_535, 32_896, 0]));
    let mut bytes = std::io::Cursor::new(Vec::new());
    DynamicImage::ImageRgb16(deep).write_to(&mut bytes, image::ImageFormat::Png).unwrap();
    assert_eq!(open_bytes("a.png", bytes.get_ref()).unwrap().pixels().get_pixel(1, 1).0, [255, 128, 0]);
    let grey = DynamicImage::ImageLuma16(image::ImageBuffer::from_pixel(4, 4, image::Luma([32_896])));
    let mut bytes = std::io::Cursor::new(Vec::new());
    grey.write_to(&mut bytes, image::ImageFormat::Tiff).unwrap();
    assert_eq!(open_bytes("a.tif", bytes.get_ref()).unwrap().pixels().get_pixel(1, 1).0, [128, 128, 128]);
}

#[test]
fn a_four_ink_and_a_progressive_jpeg_are_read() {
    // Made by tests/reference/make_photos.py: 32 × 24 pixels, left half full cyan, right half half-tone black; and a progressive one of corners.
    let cmyk = open_bytes("cmyk.jpg", include_bytes!("data/photo/cmyk.jpg")).unwrap();
    let [left, right] = [(4, 12), (28, 12)].map(|(x, y)| cmyk.pixels().get_pixel(x, y).0);
    assert!(left[0] < 30 && left[1] > 220 && left[2] > 220, "cyan, not {left:?}");
    assert!(right.iter().all(|&c| (110..=145).contains(&c)), "grey, not {right:?}");
    let progressive = open_bytes("p.jpg", include_bytes!("data/photo/progressive.jpg")).unwrap();
    assert_eq!(corner_names(progressive.pixels()), "rgbw");
}

#[test]
fn a_jpeg_that_no_decoder_here_reads_says_what_it_is_and_what_to_save_it_as() {
    // The frame's head of an ordinary one, changed (ISO/IEC 10918-1, B.2.2): its marker, or the bits of a sample.
    let ordinary = jpeg(&corners(), None);
    let frame = ordinary.windows(2).position(|pair| pair == [0xff, 0xc0]).unwrap();
    for (marker, bits, said) in [
        (
            0xc0,
            12,
            "a JPEG of 12 bits a colour, which cannot be read here (save it as a PNG or TIFF of 16 bits, which can, or as an ordinary JPEG of 8)",
        ),
        (
            0xc0,
            16,
            "a JPEG of an unusual depth, which cannot be read here (save it as a PNG or TIFF of 16 bits, which can, or as an ordinary JPEG of 8)",
        ),
        (0xc3, 16, "a lossless JPEG, which cannot be read here (save it as PNG or TIFF, which lose nothing either)"),
        (0xc9, 8, "a JPEG with arithmetic coding, which cannot be read here (save it as an ordinary JPEG)"),
        (0xc5, 8, "a JPEG of several resolutions in one, which cannot be read here (save it as an ordinary JPEG)"),
    ] {
        let mut bytes = ordinary.clone();
        bytes[frame + 1] = marker;
        bytes[frame + 4] = bits;
        assert_eq!(message("scan.jpg", &bytes), format!("'scan.jpg' is {said}"), "{marker:#x} {bits}");
    }
}

#[test]
fn of_several_pictures_the_first_is_taken_with_a_note() {
    let note = |name: &str| format!("'{name}' holds more than one picture; the first was taken");
    let pages = open_bytes("two.tif", &tiff(&corners(), None, 8)).unwrap();
    assert_eq!(pages.notes(), [note("two.tif")]);
    for (name, bytes) in [
        ("film.webp", include_bytes!("data/photo/animated.webp").as_slice()),
        ("film.png", include_bytes!("data/photo/animated.png").as_slice()),
    ] {
        let photo = open_bytes(name, bytes).unwrap();
        assert_eq!(photo.notes(), [note(name)]);
        assert_eq!(corner_names(photo.pixels()), "rgbw", "{name}");
    }
}

/// A PNG head that says it is that large, with next to no data behind it.
fn png_bomb(width: u32, height: u32) -> Vec<u8> {
    let mut bytes = b"\x89PNG\r\n\x1a\n".to_vec();
    let mut chunk = |kind: &[u8; 4], data: &[u8]| {
        bytes.extend((data.len() as u32).to_be_bytes());
        let body = [kind.as_slice(), data].concat();
        bytes.extend(&body);
        bytes.extend(crc32(&body).to_be_bytes());
    };
    let mut head = Vec::new();
    head.extend(width.to_be_bytes());
    head.extend(height.to_be_bytes());
    head.extend([8, 2, 0, 0, 0]);
    chunk(b"IHDR", &head);
    chunk(b"IDAT", &[0x78, 0x9c, 0x03, 0, 0, 0, 0, 1]);
    chunk(b"IEND", &[]);
    bytes
}

#[test]
fn a_bomb_of_two_hundred_megapixels_is_refused_by_its_head() {
    assert_eq!(
        message("bomb.png", &png_bomb(20_000, 10_000)),
        "'bomb.png' is 20000 × 10000 pixels, 200 megapixels, more than the 120 allowed (save a smaller copy first)"
    );
    assert_eq!(
        message("bomb.png", &png_bomb(150_000_000, 2_000_000_000)),
        "'bomb.png' is 150000000 × 2000000000 pixels, 300000000000 megapixels, more than the 120 allowed (save a smaller copy first)"
    );
    // A JPEG says its size in its frame head; a small one is made to claim 20000 × 10000.
    let mut bytes = jpeg(&corners(), None);
    let frame = bytes.windows(2).position(|pair| pair == [0xff, 0xc0]).unwrap();
    bytes[frame + 5..frame + 9].copy_from_slice(&[0x27, 0x10, 0x4e, 0x20]);
    assert_eq!(
        message("bomb.jpg", &bytes),
        "'bomb.jpg' is 20000 × 10000 pixels, 200 megapixels, more than the 120 allowed (save a smaller copy first)"
    );
    let mut bytes = tiff(&corners(), None, 0);
    let directory = bytes.len() - 4 - 9 * 12;
    bytes[directory + 8..directory + 12].copy_from_slice(&20_000u32.to_le_bytes());
    bytes[directory + 20..directory + 24].copy_from_slice(&10_000u32.to_le_bytes());
    // One strip of all rows, or the file would contradict itself.
    bytes[directory + 7 * 12 + 8..directory + 8 * 12].copy_from_slice(&10_000u32.to_le_bytes());
    assert_eq!(
        message("bomb.tif", &bytes),
        "'bomb.tif' is 20000 × 10000 pixels, 200 megapixels, more than the 120 allowed (save a smaller copy first)"
    );
    // About the most a WebP can say (lossless, RFC 9649, 3.4): a signature byte, then fourteen bits each for width and height less one.
    let mut bytes = b"RIFF\x16\0\0\0WEBPVP8L\x0a\0\0\0\x2f\xfe\xbf\xff\x0f\0\0\0\0\0".to_vec();
    bytes.resize(30, 0);
    assert_eq!(
        message("bomb.webp", &bytes),
        "'bomb.webp' is 16383 × 16383 pixels, 269 megapixels, more than the 120 allowed (save a smaller copy first)"
    );
}

#[test]
fn limits_of_length_and_memory_are_kept() {
    let bytes = jpeg(&corners(), None);
    let with = |limits: Limits| {
        open(Source::Bytes { name: "a.jpg".to_owned(), bytes: bytes.clone().into() }, &limits, &Progress::new()).unwrap_err().to_string()
    };
    assert_eq!(
        with(Limits { most_bytes: 10, ..Limits::USUAL }),
        "'a.jpg' is 1 MB long, more than the 1 MB allowed for one photograph (save a smaller copy first)"
    );
    assert_eq!(
        with(Limits { most_memory_bytes: 48 * 32 * 3 - 1, ..Limits::USUAL }),
        "'a.jpg' would need more than 1 MB of memory to open (save it again as an ordinary JPEG)"
    );
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("long.jpg");
    let file = fs::File::create(&path).unwrap();
    file.set_len(251_000_000).unwrap();
    assert_eq!(
        open(Source::Path(path), &Limits::USUAL, &Progress::new()).unwrap_err().to_string(),
        "'long.jpg' is 251 MB long, more than the 250 MB allowed for one photograph (save a smaller copy first)"
    );
}

#[test]
fn a_file_cut_short_says_so() {
    let files = [
        ("a.jpg", jpeg(&corners(), None)),
        ("a.png", png(&DynamicImage::ImageRgb8(corners()), None)),
        ("a.webp", webp(&corners(), None)),
        ("a.tif", tiff(&corners(), None, 0)),
    ];
    for (name, bytes) in files {
        for part in [bytes.len() - 5, bytes.len() / 2] {
            assert_eq!(
                message(name, &bytes[..part]),
                format!("'{name}' ends before its picture does, it was probably not copied whole (copy it again from the camera)"),
                "{name} cut at {part} of {}",
                bytes.len()
            );
        }
    }
}

#[test]
fn what_is_no_picture_says_what_it_is() {
    assert_eq!(message("list.jpg", b""), "'list.jpg' is empty, 0 bytes long (copy it again from the camera)");
    assert_eq!(
        message("list.jpg", b"cups, saucers, a jug\n"),
        "'list.jpg' holds plain text, not a picture (expected JPEG, PNG, WebP or TIFF)"
    );
    assert_eq!(
        message("dir/IMG_0001.HEIC", b"\0\0\0\x18ftypheic\0\0\0\0"),
        "'IMG_0001.HEIC' is a HEIC picture, which cannot be read here (set the phone to take JPEG, or save it as JPEG first)"
    );
    let raw = tiff(&corners(), None, 0);
    assert_eq!(
        message("P1.NEF", &raw),
        "'P1.NEF' is a camera's raw file, which cannot be read here (save it as JPEG or TIFF with the camera's own program first)"
    );
}

#[test]
fn paths_that_are_no_files_say_so() {
    let folder = tempfile::tempdir().unwrap();
    let at = |path: &Path| open(Source::Path(path.to_owned()), &Limits::USUAL, &Progress::new()).unwrap_err().to_string();
    assert_eq!(at(&folder.path().join("gone.jpg")), "there is no file 'gone.jpg' any more (was it moved, or its card taken out?)");
    let inside = folder.path().join("holiday.jpg");
    fs::create_dir(&inside).unwrap();
    assert_eq!(at(&inside), "'holiday.jpg' is a folder, not a picture (open it and choose a picture inside)");
    #[cfg(unix)]
    assert_eq!(at(Path::new("/dev/null")), "'null' is not an ordinary file (choose a JPEG, PNG, WebP or TIFF picture)");
}

#[test]
fn a_file_is_read_with_progress_to_the_end_and_can_be_stopped() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("a.png");
    fs::write(&path, png(&DynamicImage::ImageRgb8(corners()), None)).unwrap();
    let progress = Progress::new();
    let photo = open(Source::Path(path.clone()), &Limits::USUAL, &progress).unwrap();
    assert_eq!(photo.name(), "a.png");
    assert!((progress.fraction() - 1.0).abs() < 1e-6, "{}", progress.fraction());
    let stopped = Progress::new();
    stopped.cancel();
    let error = open(Source::Path(path), &Limits::USUAL, &stopped).unwrap_err();
    assert!(matches!(error, PhotoError::Cancelled), "{error}");
    assert!(stopped.fraction() < 1.0);
}

#[test]
fn pasted_pixels_become_a_photograph_that_opens_again() {
    let rgba: Vec<u8> = corners().pixels().flat_map(|p| [p.0[0], p.0[1], p.0[2], 255]).collect();
    let photo = from_rgba("pasted.png", 48, 32, &rgba, &Limits::USUAL).unwrap();
    assert_eq!(photo.pixels().as_ref(), &corners());
    let again = open_bytes("pasted.png", photo.bytes()).unwrap();
    assert_eq!((again.hash(), again.pixels()), (photo.hash(), photo.pixels()));
    assert_eq!(
        from_rgba("pasted.png", 48, 32, &rgba[1..], &Limits::USUAL).unwrap_err().to_string(),
        "the pasted picture says 48 × 32 pixels but brings 6143 bytes (copy it again)"
    );
    assert!(matches!(from_rgba("p", 0, 0, &[], &Limits::USUAL), Err(PhotoError::BadPaste { .. })));
    assert!(matches!(from_rgba("p", 1 << 20, 1 << 20, &[], &Limits::USUAL), Err(PhotoError::TooManyPixels { .. })));
    assert!(matches!(from_rgba("p", usize::MAX, 2, &[], &Limits::USUAL), Err(PhotoError::BadPaste { .. })));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]
    /// Whatever happens to the bytes of a file, it opens or says why; it never ends the program.
    #[test]
    fn harmed_bytes_never_end_the_program(
        which in 0usize..4,
        harms in proptest::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..12),
        keep in any::<prop::sample::Index>(),
    ) {
        let mut bytes = match which {
            0 => jpeg(&corners(), Some(3)),
            1 => png(&DynamicImage::ImageRgb8(corners()), Some(3)),
            2 => webp(&corners(), Some(3)),
            _ => tiff(&corners(), Some(3), 0),
        };
        for (at, to) in harms {
            let at = at.index(bytes.len());
            bytes[at] = to;
        }
        bytes.truncate(keep.index(bytes.len()) + 1);
        let small = Limits { most_pixels: 4_000_000, most_memory_bytes: 32_000_000, ..Limits::USUAL };
        match open(Source::Bytes { name: "harmed.jpg".to_owned(), bytes: bytes.into() }, &small, &Progress::new()) {
            Ok(photo) => prop_assert!(photo.width() > 0 && photo.height() > 0),
            Err(error) => {
                let words = error.to_string();
                prop_assert!(words.contains("'harmed.jpg'") && !words.ends_with('.') && !words.contains('\n'), "{}", words);
            }
        }
    }
}
