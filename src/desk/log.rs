//! A log of what the program told and what went wrong, in the data folder, and the details that go with a report. Neither says where on this machine anything lies.

use super::app::Footring;
use super::command::Notice;
use egui::Context;
use jiff::Timestamp;
use std::collections::VecDeque;
use std::fs::{self, File, OpenOptions};
use std::io::{self, Write as _};
use std::path::{Path, PathBuf};

/// Bytes after which a new log is begun.
const LARGEST: u64 = 512 * 1024;
/// Logs that are kept: the one that is written and those before it.
const KEPT: usize = 4;
/// Lines that go with a report.
const RECENT: usize = 40;

/// The log that is being written.
#[derive(Debug, Default)]
pub struct Log {
    file: Option<File>,
    recent: VecDeque<String>,
    /// Folders whose names are left out, with what stands for each.
    private: Vec<(PathBuf, &'static str)>,
    last: String,
}

impl Log {
    /// Opens the log of a data folder; a large one is put behind the others first. Where it can't be written there is none: the program works without.
    pub fn open(data_dir: &Path) -> Self {
        let path = data_dir.join("footring.log");
        // Where the old ones can't be moved the log only grows.
        let _ = rotate(&path);
        let file = OpenOptions::new().create(true).append(true).open(&path).ok();
        let mut private = vec![(data_dir.to_owned(), "<data>")];
        private.extend(directories::UserDirs::new().map(|dirs| (dirs.home_dir().to_owned(), "<home>")));
        Self { file, private, ..Self::default() }
    }

    /// Says that what stands in that folder is called so, without the folder's own place.
    pub fn hide(&mut self, folder: &Path, called: &'static str) {
        self.private.retain(|(_, known)| *known != called);
        self.private.insert(0, (folder.to_owned(), called));
    }

    /// Writes a line, unless the last one said the same.
    pub fn say(&mut self, kind: &str, says: &str) {
        let says = self.without_places(says).replace(['\n', '\r'], " ");
        let line = format!("{kind}: {says}");
        if line == self.last {
            return;
        }
        self.last.clone_from(&line);
        let line = format!("{:.0} {line}", Timestamp::now());
        if let Some(file) = &mut self.file {
            // A log that can't be written is no reason to stop.
            let _ = writeln!(file, "{line}");
        }
        self.recent.push_back(line);
        if self.recent.len() > RECENT {
            self.recent.pop_front();
        }
    }

    fn without_places(&self, text: &str) -> String {
        let mut out = text.to_owned();
        for (folder, called) in &self.private {
            let folder = folder.to_string_lossy();
            // A root would stand for every separator.
            if folder.len() > 1 {
                out = out.replace(folder.as_ref(), called);
            }
        }
        out
    }

    /// The details that go with a report: the program, the system, what is open by its size, and the last lines.
    pub fn details(&self, open: &[String]) -> String {
        let mut out = format!("Footring {}\n{} {}\n", env!("CARGO_PKG_VERSION"), std::env::consts::OS, std::env::consts::ARCH);
        for line in open {
            out.push_str(&self.without_places(line));
            out.push('\n');
        }
        out.push('\n');
        for line in &self.recent {
            out.push_str(line);
            out.push('\n');
        }
        out
    }
}

/// Puts a large log behind the others: `footring.log` becomes `footring.1.log`, that `footring.2.log`, and the oldest goes.
fn rotate(path: &Path) -> io::Result<()> {
    if fs::metadata(path).map_or(0, |found| found.len()) < LARGEST {
        return Ok(());
    }
    let numbered = |n: usize| if n == 0 { path.to_owned() } else { path.with_extension(format!("{n}.log")) };
    for n in (0..KEPT - 1).rev() {
        if numbered(n).exists() {
            fs::rename(numbered(n), numbered(n + 1))?;
        }
    }
    Ok(())
}

impl Footring {
    /// Copies what goes with a report of a fault: sizes and the last lines of the log, no names of folders.
    pub(super) fn copy_details(&mut self, ctx: &Context) {
        if let Some(dir) = &self.doc.place.dir {
            self.log.hide(dir, "<key>");
        }
        let key = &self.doc.key;
        let open = [
            format!(
                "key: {} forms, {} features, {} marks, {} problems",
                key.forms.len(),
                key.features.len(),
                key.marks.len(),
                self.doc.place.problems.len()
            ),
            format!("screen: {:?}, {} %", self.screen, self.settings.comfort.percent),
        ];
        ctx.copy_text(self.log.details(&open));
        self.notice =
            Some(Notice::news(crate::say!("The details are copied. Paste them into your report; they hold no names of folders.")));
    }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "tests")]
    use super::*;

    #[test]
    fn places_are_left_out_and_nothing_is_said_twice() {
        let dir = tempfile::tempdir().unwrap();
        let key = dir.path().join("keys").join("marrowby");
        let mut log = Log::open(dir.path());
        log.hide(&key, "<key>");
        log.say("problem", &format!("not saved: {}\nand {}", key.join("forms.ron").display(), dir.path().join("finds.db").display()));
        log.say("problem", &format!("not saved: {}\nand {}", key.join("forms.ron").display(), dir.path().join("finds.db").display()));
        let details = log.details(&[format!("key: 82 forms, {}", key.display())]);
        let lines: Vec<&str> = details.lines().collect();
        assert_eq!(lines.len(), 5, "{details}");
        assert!(lines.iter().all(|line| !line.contains(&*dir.path().to_string_lossy())), "{details}");
        assert!(lines.last().unwrap().ends_with(" problem: not saved: <key>/forms.ron and <data>/finds.db"), "{details}");
        assert_eq!(fs::read_to_string(dir.path().join("footring.log")).unwrap().lines().count(), 1);
    }

    #[test]
    fn a_large_log_is_put_behind_the_others() {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("footring.log");
        for round in 0..KEPT + 2 {
            fs::write(&path, vec![b'0' + u8::try_from(round).unwrap(); usize::try_from(LARGEST).unwrap()]).unwrap();
            let mut log = Log::open(dir.path());
            log.say("start", "again");
        }
        let mut names: Vec<String> =
            fs::read_dir(dir.path()).unwrap().map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect();
        names.sort();
        assert_eq!(names, ["footring.1.log", "footring.2.log", "footring.3.log", "footring.log"]);
        assert!(fs::read(dir.path().join("footring.1.log")).unwrap().starts_with(b"5"));
    }
}
