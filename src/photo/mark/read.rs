//! Reading by machine: if a program named `tesseract` is on this machine, a strip can be shown to it. What it says is a suggestion, never an answer.

use crate::photo::Progress;
use crate::say;
use image::GrayImage;
use serde::Serialize;
use std::ffi::OsStr;
use std::io::Read;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::mpsc;
use std::time::{Duration, Instant};

/// The program, found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Reader {
    program: PathBuf,
}

/// What the program read on a strip.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Reading {
    /// The words, one blank between them.
    pub text: String,
    /// Mean of its own confidence in the words, by letters, 0 to 1.
    pub confidence: f64,
    /// The words from left to right as it gives them.
    pub words: Vec<ReadWord>,
}

/// A word, and where on the strip.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ReadWord {
    /// Its letters.
    pub text: String,
    /// The program's own confidence, 0 to 1.
    pub confidence: f64,
    /// Left edge, top edge, width and height in pixels of the strip.
    pub place_px: [u32; 4],
}

/// Why nothing was read.
#[derive(Debug, thiserror::Error)]
pub enum ReadError {
    /// The program could not be run.
    #[error("{}", say!("'tesseract' could not be run: {what}", what = _0))]
    NotRun(std::io::Error),
    /// The strip could not be handed over.
    #[error("{}", say!("the strip could not be written for 'tesseract': {what}", what = _0))]
    NotWritten(String),
    /// It ended with a complaint.
    #[error("{}", say!("'tesseract' gave up: {what}", what = _0))]
    GaveUp(String),
    /// It took too long.
    #[error("{}", say!("'tesseract' was stopped after {what} seconds (try a smaller picture)", what = _0))]
    TooLong(u64),
    /// Stopped by the one who asked.
    #[error("{}", say!("stopped"))]
    Stopped,
}

/// How to get the program where it is missing.
pub const HOW_TO_GET_A_READER: &str =
    "there is no 'tesseract' on this machine (on Debian: apt install tesseract-ocr); nothing else is missing without it";

/// Most bytes taken of what it prints, and of what it complains.
const MOST_BYTES: u64 = 1_000_000;
const MOST_COMPLAINT: u64 = 4_000;

impl Reader {
    /// Looks for the program in the folders of `PATH`; `None` where there is none (see [`HOW_TO_GET_A_READER`]).
    pub fn found() -> Option<Self> {
        Self::found_in(&std::env::var_os("PATH")?)
    }

    /// Looks for it in a list of folders written as `PATH` is.
    pub fn found_in(path: &OsStr) -> Option<Self> {
        let name = if cfg!(windows) { "tesseract.exe" } else { "tesseract" };
        // A relative folder would mean another program in another place.
        std::env::split_paths(path)
            .filter(|folder| folder.is_absolute())
            .map(|folder| folder.join(name))
            .find(|file| runs(file))
            .map(|program| Self { program })
    }

    /// Shows it one line and waits, at most `most`. The strip is written to a folder of its own that is removed afterwards; nothing is sent anywhere.
    ///
    /// # Errors
    /// See [`ReadError`]. Nothing read is no error: the text is then empty.
    pub fn read(&self, strip: &GrayImage, most: Duration, progress: &Progress) -> Result<Reading, ReadError> {
        let folder = tempfile::tempdir().map_err(|e| ReadError::NotWritten(e.to_string()))?;
        let file = folder.path().join("strip.png");
        framed(strip).save_with_format(&file, image::ImageFormat::Png).map_err(|e| ReadError::NotWritten(e.to_string()))?;
        // One line of text (7), as a table.
        let mut child = Command::new(&self.program)
            .arg(&file)
            .args(["stdout", "--psm", "7", "tsv"])
            .env("OMP_THREAD_LIMIT", "1")
            .current_dir(folder.path())
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .map_err(ReadError::NotRun)?;
        let printed = listen(child.stdout.take(), MOST_BYTES);
        let complained = listen(child.stderr.take(), MOST_COMPLAINT);
        let ended = wait(&mut child, most, progress)?;
        let text = |from: &mpsc::Receiver<Vec<u8>>| {
            String::from_utf8_lossy(&from.recv_timeout(Duration::from_secs(2)).unwrap_or_default()).into_owned()
        };
        if ended {
            Ok(table(&text(&printed)))
        } else {
            let said = text(&complained);
            let line = said.lines().map(str::trim).find(|l| !l.is_empty()).unwrap_or("it said nothing");
            Err(ReadError::GaveUp(line.chars().take(160).collect()))
        }
    }
}

/// Room round the strip: letters that touch the edge are misread.
const FRAME_PX: u32 = 14;

fn framed(strip: &GrayImage) -> GrayImage {
    let mut out = GrayImage::from_pixel(strip.width() + 2 * FRAME_PX, strip.height() + 2 * FRAME_PX, image::Luma([255]));
    image::imageops::replace(&mut out, strip, i64::from(FRAME_PX), i64::from(FRAME_PX));
    out
}

fn runs(file: &Path) -> bool {
    let Ok(about) = std::fs::metadata(file) else { return false };
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt as _;
        about.is_file() && about.permissions().mode() & 0o111 != 0
    }
    #[cfg(not(unix))]
    {
        about.is_file()
    }
}

/// Takes what a pipe gives beside the waiting, so that a full pipe stops nobody; past the limit it is thrown away.
fn listen(pipe: Option<impl Read + Send + 'static>, most: u64) -> mpsc::Receiver<Vec<u8>> {
    let (send, receive) = mpsc::channel();
    if let Some(pipe) = pipe {
        std::thread::spawn(move || {
            let mut kept = Vec::new();
            let mut pipe = pipe.take(most);
            // A pipe that breaks has said what it had to say.
            let _ = pipe.read_to_end(&mut kept);
            let _ = send.send(kept);
            let _ = std::io::copy(&mut pipe.into_inner(), &mut std::io::sink());
        });
    }
    receive
}

/// True where it ended well; it is ended by force when the time is up or someone asks to stop.
fn wait(child: &mut Child, most: Duration, progress: &Progress) -> Result<bool, ReadError> {
    let start = Instant::now();
    loop {
        match child.try_wait() {
            Ok(Some(status)) => return Ok(status.success()),
            Ok(None) => {}
            Err(e) => return Err(ReadError::NotRun(e)),
        }
        let stop = if progress.is_cancelled() {
            Some(ReadError::Stopped)
        } else if start.elapsed() > most {
            Some(ReadError::TooLong(most.as_secs()))
        } else {
            None
        };
        if let Some(why) = stop {
            // It may have ended just now, which is as good.
            let _ = child.kill();
            let _ = child.wait();
            return Err(why);
        }
        std::thread::sleep(Duration::from_millis(15));
    }
}

/// Words from the table: twelve columns, of which the first is the level (5 is a word), then places, the confidence in hundredths and the text.
fn table(text: &str) -> Reading {
    let mut words = Vec::new();
    for line in text.lines() {
        let cells: Vec<&str> = line.split('\t').collect();
        let [level, _, _, _, _, _, left, top, width, height, confidence, word, ..] = cells.as_slice() else { continue };
        let word = word.trim();
        let (Ok(confidence), false, "5") = (confidence.parse::<f64>(), word.is_empty(), *level) else { continue };
        let px = |cell: &str| cell.parse::<u32>().unwrap_or(0);
        let text: String = word.chars().filter(|c| !c.is_control()).take(200).collect();
        let place_px = [px(left).saturating_sub(FRAME_PX), px(top).saturating_sub(FRAME_PX), px(width), px(height)];
        words.push(ReadWord { text, confidence: (confidence / 100.0).clamp(0.0, 1.0), place_px });
        if words.len() == 200 {
            break;
        }
    }
    let letters = |w: &ReadWord| w.text.chars().count() as f64;
    let all: f64 = words.iter().map(letters).sum();
    let confidence = if all > 0.0 { words.iter().map(|w| w.confidence * letters(w)).sum::<f64>() / all } else { 0.0 };
    let text = words.iter().map(|w| w.text.as_str()).collect::<Vec<_>>().join(" ");
    Reading { text, confidence, words }
}

#[cfg(test)]
#[cfg(unix)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "tests")]
    use super::*;
    use std::os::unix::fs::PermissionsExt as _;

    /// A folder with a program of that name that runs these lines of shell.
    fn pretended(lines: &str) -> (tempfile::TempDir, Reader) {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("tesseract");
        std::fs::write(&file, format!("#!/bin/sh\n{lines}\n")).unwrap();
        std::fs::set_permissions(&file, std::fs::Permissions::from_mode(0o755)).unwrap();
        let reader = Reader::found_in(folder.path().as_os_str()).unwrap();
        (folder, reader)
    }

    fn read(lines: &str, most: Duration) -> Result<Reading, ReadError> {
        let (_folder, reader) = pretended(lines);
        reader.read(&GrayImage::from_pixel(40, 20, image::Luma([255])), most, &Progress::new())
    }

    const LONG: Duration = Duration::from_secs(30);

    #[test]
    fn words_and_confidences_come_from_the_table() {
        // The program is handed a picture that is there, one line of text to read, and the table asked for.
        let said = read(
            r#"test -s "$1" && test "$2 $3 $4 $5" = "stdout --psm 7 tsv" || exit 1
               printf 'level\tpage_num\tblock_num\tpar_num\tline_num\tword_num\tleft\ttop\twidth\theight\tconf\ttext\n'
               printf '1\t1\t0\t0\t0\t0\t0\t0\t68\t48\t-1\t\n'
               printf '5\t1\t1\t1\t1\t1\t16\t15\t30\t12\t91.5\tMADE\n'
               printf '5\t1\t1\t1\t1\t2\t50\t15\t10\t12\t61.5\tIN\n'"#,
            LONG,
        )
        .unwrap();
        assert_eq!(said.text, "MADE IN");
        assert_eq!(said.words.first().unwrap().place_px, [2, 1, 30, 12], "the frame is taken off");
        assert!((said.confidence - (0.915 * 4.0 + 0.615 * 2.0) / 6.0).abs() < 1e-9);
    }

    #[test]
    fn trouble_is_a_sentence() {
        let complaint = read("echo 'Error opening data file eng.traineddata' >&2; exit 1", LONG).unwrap_err();
        assert_eq!(complaint.to_string(), "'tesseract' gave up: Error opening data file eng.traineddata");
        assert_eq!(read("exit 3", LONG).unwrap_err().to_string(), "'tesseract' gave up: it said nothing");
        let long = read("exec sleep 60", Duration::from_millis(60)).unwrap_err();
        assert_eq!(long.to_string(), "'tesseract' was stopped after 0 seconds (try a smaller picture)");
        assert_eq!(read("echo nothing of a table", LONG).unwrap(), Reading { text: String::new(), confidence: 0.0, words: Vec::new() });
    }

    #[test]
    fn it_can_be_stopped_and_its_output_has_an_end() {
        let (_folder, reader) = pretended("exec sleep 60");
        let progress = Progress::new();
        progress.cancel();
        let stopped = reader.read(&GrayImage::new(4, 4), LONG, &progress).unwrap_err();
        assert_eq!(stopped.to_string(), "stopped");
        // Three megabytes of words: no more than two hundred are kept, and the program is not held up.
        let much = r"yes 'word' | head -c 3000000 | sed 's/^/5\t1\t1\t1\t1\t1\t16\t15\t30\t12\t91\t/'";
        assert_eq!(read(much, LONG).unwrap().words.len(), 200);
    }

    #[test]
    fn only_a_program_that_can_be_run_is_one() {
        let folder = tempfile::tempdir().unwrap();
        assert_eq!(Reader::found_in(folder.path().as_os_str()), None);
        std::fs::write(folder.path().join("tesseract"), "not a program").unwrap();
        assert_eq!(Reader::found_in(folder.path().as_os_str()), None, "it may not be run");
        assert_eq!(Reader::found_in(OsStr::new("")), None);
    }
}
