//! Finds with their photographs as one zip: to send to a club member, or to keep.

use super::recorded;
use super::seen::seen_words;
use crate::daybook::condition::ConditionRules;
use crate::daybook::{Find, Photograph};
use crate::key::{Key, capital, id_from_name};
use std::fmt::Write as _;
use std::io::{self, Cursor, Write as _};
use std::sync::Arc;
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, ZipWriter};

/// Gives the bytes of a photograph, or says why it can't.
pub type Read<'a> = dyn Fn(&Photograph) -> Result<Arc<[u8]>, String> + 'a;

/// Writes finds with their photographs: a folder each, with the find as JSON and in words, and its photographs as they came. `read` gives the bytes of a
/// photograph; one that it can't give is told in the find's words and in what this gives back, and is left out.
///
/// # Errors
/// Where the zip can't be written.
pub fn write_packet(key: &Key, finds: &[Find], rules: &ConditionRules, read: &Read<'_>) -> io::Result<(Vec<u8>, Vec<String>)> {
    let mut zip = ZipWriter::new(Cursor::new(Vec::new()));
    // Photographs are packed already.
    let packed = SimpleFileOptions::default().compression_method(CompressionMethod::Deflated);
    let as_is = SimpleFileOptions::default().compression_method(CompressionMethod::Stored).large_file(true);
    let mut lost = Vec::new();
    for find in finds {
        let folder = folder_of(find);
        let mut words = in_words(key, find, rules);
        for (at, photograph) in find.photographs.iter().enumerate() {
            let name = file_name(at, photograph);
            match read(photograph) {
                Ok(bytes) => {
                    zip.start_file(format!("{folder}/{name}"), as_is).map_err(io::Error::other)?;
                    zip.write_all(&bytes)?;
                    let _ = write!(words, "Photograph {name}: {}", photograph.kind.words());
                    if !photograph.caption.is_empty() {
                        let _ = write!(words, ", {}", photograph.caption);
                    }
                    words.push('\n');
                }
                Err(why) => {
                    let _ = writeln!(words, "Photograph {name} is missing: {why}");
                    lost.push(format!("{folder}/{name}: {why}"));
                }
            }
        }
        zip.start_file(format!("{folder}/find.txt"), packed).map_err(io::Error::other)?;
        zip.write_all(words.as_bytes())?;
        zip.start_file(format!("{folder}/find.json"), packed).map_err(io::Error::other)?;
        serde_json::to_writer_pretty(&mut zip, find).map_err(io::Error::from)?;
        zip.write_all(b"\n")?;
    }
    let bytes = zip.finish().map_err(io::Error::other)?.into_inner();
    Ok((bytes, lost))
}

/// A folder name that is safe on every system: what it is in plain letters, and the id.
fn folder_of(find: &Find) -> String {
    let name = find.named.as_ref().map_or_else(|| "find".to_owned(), |named| id_from_name(&named.form_name));
    let name: String = name.chars().take(40).collect();
    format!("{name}-{}", find.id)
}

/// '01-mark.jpg': neither the name it came with nor its caption is trusted with a path.
fn file_name(at: usize, photograph: &Photograph) -> String {
    format!("{:02}-{}.{}", at + 1, photograph.kind.stored(), photograph.format.extension())
}

fn in_words(key: &Key, find: &Find, rules: &ConditionRules) -> String {
    let mut words = format!("{}\n", super::lido::title(find));
    let mut say = |text: String| {
        if !text.trim().is_empty() {
            words.push_str(&crate::key::plain(&text));
            words.push('\n');
        }
    };
    say(find.verdict.clone());
    say(format!("Recorded {}, {}", find.found_at.strftime("%Y-%m-%d %H:%M"), find.standing.words()));
    say(find.note.clone());
    for seen in &find.piece.observations {
        say(format!("{}: {}", capital(&key.feature_name(&seen.feature)), seen_words(key, seen)));
    }
    for part in &find.piece.missing {
        say(format!("{} gone", capital(part.word())));
    }
    recorded::sentences(find, rules).into_iter().for_each(&mut say);
    say(format!("Id {}", find.id));
    words
}
