//! From the bytes of a text file to text.

use super::problem::{TableProblem, TableProblemKind};
use super::table::CellAt;
use encoding_rs::{Encoding, UTF_16BE, UTF_16LE, WINDOWS_1252};

/// What a file without a known start is found to be.
enum Found {
    Utf8(String),
    Utf16(&'static Encoding),
    /// Zeros where no text has any.
    Binary,
    /// Not UTF-8 throughout.
    Older(Vec<u8>),
}

/// The text of a file, and what was taken for granted. None where it is no text.
pub(super) fn decode(mut bytes: Vec<u8>, notes: &mut Vec<TableProblem>) -> Option<String> {
    if bytes.starts_with(&[0xef, 0xbb, 0xbf]) {
        bytes.drain(..3);
    }
    match find(bytes.as_slice(), notes) {
        Some(text) => Some(text),
        None => match classify(bytes) {
            Found::Utf8(text) => Some(text),
            Found::Utf16(_) | Found::Binary => None,
            Found::Older(bytes) => Some(by_line(&bytes, notes)),
        },
    }
}

/// UTF-16, by its mark or by its zeros.
fn find(bytes: &[u8], notes: &mut Vec<TableProblem>) -> Option<String> {
    let (encoding, bytes) = match bytes {
        [0xff, 0xfe, rest @ ..] => (UTF_16LE, rest),
        [0xfe, 0xff, rest @ ..] => (UTF_16BE, rest),
        _ => match zeros(bytes) {
            Some(Found::Utf16(encoding)) => (encoding, bytes),
            _ => return None,
        },
    };
    let (text, broken) = encoding.decode_without_bom_handling(bytes);
    let name = if encoding == UTF_16LE { "UTF-16 (little-endian)" } else { "UTF-16 (big-endian)" };
    notes.push(TableProblem { at: CellAt::WHOLE, kind: TableProblemKind::Utf16 { encoding: name } });
    if broken {
        notes.push(TableProblem { at: CellAt::WHOLE, kind: TableProblemKind::BrokenText { encoding: "UTF-16" } });
    }
    Some(text.into_owned())
}

/// Where the zero bytes of the start of a file stand: none, at every other place, or anywhere.
fn zeros(bytes: &[u8]) -> Option<Found> {
    const SAMPLE: usize = 4096;
    let head = bytes.get(..SAMPLE.min(bytes.len()) & !1).unwrap_or_default();
    let count = |odd: usize| head.iter().skip(odd).step_by(2).filter(|&&byte| byte == 0).count();
    let (even, odd) = (count(0), count(1));
    let half = head.len() / 2;
    match (even, odd) {
        (0, 0) => None,
        // Latin letters in UTF-16 have a zero beside each.
        (e, o) if o * 10 > half * 6 && e * 10 < half => Some(Found::Utf16(UTF_16LE)),
        (e, o) if e * 10 > half * 6 && o * 10 < half => Some(Found::Utf16(UTF_16BE)),
        _ => Some(Found::Binary),
    }
}

fn classify(bytes: Vec<u8>) -> Found {
    if let Some(found) = zeros(&bytes) {
        return found;
    }
    match String::from_utf8(bytes) {
        Ok(text) => Found::Utf8(text),
        Err(e) => Found::Older(e.into_bytes()),
    }
}

/// Each line as UTF-8 where it is that, else as Windows-1252: lists grow by copying from several others.
fn by_line(bytes: &[u8], notes: &mut Vec<TableProblem>) -> String {
    let mut text = String::with_capacity(bytes.len() + bytes.len() / 8);
    let mut older = 0;
    for line in bytes.split_inclusive(|&byte| byte == b'\n') {
        if let Ok(line) = std::str::from_utf8(line) {
            text.push_str(line);
        } else {
            older += 1;
            text.push_str(&WINDOWS_1252.decode_without_bom_handling(line).0);
        }
    }
    notes.push(TableProblem { at: CellAt::WHOLE, kind: TableProblemKind::Windows1252 { lines: older } });
    text
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "tests")]
    use super::*;

    fn utf16(text: &str, order: fn(u16) -> [u8; 2], mark: bool) -> Vec<u8> {
        let mark = mark.then_some(0xfeff);
        mark.into_iter().chain(text.encode_utf16()).flat_map(order).collect()
    }

    fn check(bytes: Vec<u8>, expected: Option<&str>, said: &[&str]) {
        let mut notes = Vec::new();
        assert_eq!(decode(bytes, &mut notes).as_deref(), expected, "text");
        let notes: Vec<String> = notes.iter().map(|note| note.kind.to_string()).collect();
        assert_eq!(notes, said, "notes");
    }

    #[test]
    fn every_encoding_comes_to_the_same_text() {
        let text = "name,clay\nCrème dish,grès\n";
        check(text.into(), Some(text), &[]);
        check([b"\xef\xbb\xbf", text.as_bytes()].concat(), Some(text), &[]);
        check(utf16(text, u16::to_le_bytes, true), Some(text), &["read as UTF-16 (little-endian)"]);
        check(utf16(text, u16::to_be_bytes, true), Some(text), &["read as UTF-16 (big-endian)"]);
        check(utf16(text, u16::to_le_bytes, false), Some(text), &["read as UTF-16 (little-endian)"]);
        check(utf16(text, u16::to_be_bytes, false), Some(text), &["read as UTF-16 (big-endian)"]);
        let older = "1 line is not UTF-8 and was read as Windows-1252 (if letters with accents look wrong, save the file as UTF-8)";
        check(b"name,clay\nCr\xe8me dish,gr\xe8s\n".to_vec(), Some(text), &[older]);
    }

    #[test]
    fn a_file_of_two_encodings_is_read_line_by_line() {
        let mut notes = Vec::new();
        let text = decode("Crème\n".bytes().chain(*b"Gr\xe8s \x809\n").collect(), &mut notes).unwrap();
        assert_eq!(text, "Crème\nGrès €9\n");
    }

    #[test]
    fn half_a_character_of_utf_16_is_said() {
        let mut bytes = utf16("ab", u16::to_le_bytes, true);
        bytes.push(b'c');
        check(
            bytes,
            Some("ab\u{fffd}"),
            &["read as UTF-16 (little-endian)", "some characters make no sense in UTF-16 and are shown as '\u{fffd}'"],
        );
    }

    #[test]
    fn what_is_no_text_is_none() {
        check(b"\x7fELF\0\0\x01\x02\0\0\0\0\x03\x04".to_vec(), None, &[]);
        check(Vec::new(), Some(""), &[]);
    }
}
