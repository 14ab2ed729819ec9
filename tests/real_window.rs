//! The built program on a screen in memory, driven by a real keyboard's events: a piece is named and put in the daybook, and the daybook on
//! disk has it.
//!
//! Needs Xvfb, openbox and xdotool. Where one is not installed this says so and does nothing; in CI that is a failure.

#![cfg(all(feature = "window", target_os = "linux"))]
#![expect(clippy::unwrap_used, clippy::print_stderr, clippy::panic, reason = "tests")]

use footring::daybook::{Daybook, Page};
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

/// How long the slowest step may take before the test gives up. Nothing is measured by it.
const PATIENCE: Duration = Duration::from_mins(2);

/// A program that is ended when this goes out of scope, also when the test fails.
struct Running(Child);

impl Drop for Running {
    fn drop(&mut self) {
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

fn installed(program: &str) -> bool {
    std::env::var_os("PATH").is_some_and(|path| std::env::split_paths(&path).any(|folder| folder.join(program).is_file()))
}

/// Asks again and again until there is an answer.
fn until<T>(what: &str, mut ask: impl FnMut() -> Option<T>) -> T {
    let start = Instant::now();
    loop {
        if let Some(answer) = ask() {
            return answer;
        }
        assert!(start.elapsed() < PATIENCE, "waited in vain for {what}");
        std::thread::sleep(Duration::from_millis(100));
    }
}

/// A screen in memory with a window manager.
struct Screen {
    display: String,
    _manager: Running,
    _server: Running,
}

impl Screen {
    fn new(folder: &Path) -> Self {
        let number = folder.join("screen");
        let log = |name: &str| Stdio::from(std::fs::File::create(folder.join(name)).unwrap());
        // Xvfb writes the number of the free screen it found to its standard output.
        let server = Command::new("Xvfb")
            .args(["-displayfd", "1", "-screen", "0", "1280x800x24", "-nolisten", "tcp"])
            .stdout(std::fs::File::create(&number).unwrap())
            .stderr(log("xvfb.log"))
            .spawn()
            .unwrap();
        let server = Running(server);
        let number = until("the screen", || std::fs::read_to_string(&number).ok().filter(|text| text.ends_with('\n')));
        let display = format!(":{}", number.trim());
        let manager = Command::new("openbox").env("DISPLAY", &display).stdout(Stdio::null()).stderr(log("openbox.log")).spawn().unwrap();
        Self { display, _manager: Running(manager), _server: server }
    }

    fn xdotool(&self, args: &[&str]) -> Option<String> {
        let ran = Command::new("xdotool").args(args).env("DISPLAY", &self.display).stderr(Stdio::null()).output().unwrap();
        ran.status.success().then(|| String::from_utf8_lossy(&ran.stdout).trim().to_owned()).filter(|text| !text.is_empty())
    }

    /// Presses keys in a row, each when the program has done with the one before.
    fn press(&self, program: &Running, keys: &[&str]) {
        for key in keys {
            let done = Command::new("xdotool").args(["key", key]).env("DISPLAY", &self.display).status().unwrap();
            assert!(done.success(), "xdotool could not press {key}");
            std::thread::sleep(Duration::from_millis(100));
            program.rest();
        }
    }
}

impl Running {
    /// Processor time the program has used so far, in the system's ticks: user and system time, fields 14 and 15 of `/proc/PID/stat`.
    fn ticks(&self) -> Option<u64> {
        let stat = std::fs::read_to_string(format!("/proc/{}/stat", self.0.id())).ok()?;
        // The name, in brackets, may hold blanks.
        let (_, fields) = stat.rsplit_once(')')?;
        let mut fields = fields.split_whitespace().skip(11);
        Some(fields.next()?.parse::<u64>().ok()? + fields.next()?.parse::<u64>().ok()?)
    }

    /// Waits until the program has nothing to do: the window draws only when something changes.
    fn rest(&self) {
        until("the window to be at rest", || {
            let before = self.ticks()?;
            std::thread::sleep(Duration::from_millis(400));
            (self.ticks()? <= before + 1).then_some(())
        });
    }
}

#[test]
fn a_piece_named_by_keyboard_in_the_real_window_is_in_the_daybook() {
    let missing: Vec<&str> = ["Xvfb", "openbox", "xdotool"].into_iter().filter(|program| !installed(program)).collect();
    if !missing.is_empty() {
        assert!(std::env::var_os("CI").is_none(), "not installed: {}", missing.join(", "));
        eprintln!("not run, because not installed: {} (sh tools/test installs them on Debian)", missing.join(", "));
        return;
    }
    let folder = tempfile::tempdir().unwrap();
    let data = folder.path().join("data");
    let screen = Screen::new(folder.path());
    let log = folder.path().join("footring.log");
    let program = Command::new(env!("CARGO_BIN_EXE_footring"))
        .args(["open", "demo", "--language", "en", "--data-dir"])
        .arg(&data)
        .env("DISPLAY", &screen.display)
        .env_remove("WAYLAND_DISPLAY")
        .env_remove("WAYLAND_SOCKET")
        .env("LIBGL_ALWAYS_SOFTWARE", "1")
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(std::fs::File::create(&log).unwrap())
        .spawn()
        .unwrap();
    let mut program = Running(program);
    let window = until("the window", || {
        if let Some(ended) = program.0.try_wait().unwrap() {
            panic!("the program ended by itself ({ended}): {}", std::fs::read_to_string(&log).unwrap_or_default());
        }
        screen.xdotool(&["search", "--onlyvisible", "--name", "Footring"])
    });
    let window = window.lines().last().unwrap().to_owned();
    let _focused = screen.xdotool(&["windowactivate", "--sync", &window]);
    until("the keyboard to be with the window", || screen.xdotool(&["getwindowfocus"]).filter(|focused| *focused == window));

    // The walk-through of the README: body outline, handle, lid outline, hole in the lid; then into the daybook.
    program.rest();
    screen.press(&program, &["Return", "6", "Return", "4", "Return", "2", "Return", "1", "ctrl+s"]);

    let folder_of_book = data.join("daybook");
    let page = Page { most: 10, ..Page::default() };
    let finds = until("the find in the daybook", || {
        let book = folder_of_book.join("finds.db").is_file().then(|| Daybook::open(&folder_of_book).ok())??;
        book.newest_first(&page).ok().filter(|finds| !finds.is_empty())
    });
    let [Ok(find)] = finds.as_slice() else { panic!("one find was put in, not {finds:?}") };
    let seen: Vec<&str> = find.piece.observations.iter().map(|observation| observation.feature.as_str()).collect();
    assert_eq!(seen, ["body-outline", "handle", "lid-outline", "lid-hole"], "every answer was kept, in order");
    let named = find.named.as_ref().map(|named| named.form.as_str());
    assert_eq!(named, Some("quoin-casserole-one"), "the piece has its name: {}", find.verdict);
    assert_eq!(find.key.title, footring::key::builtin::demo().key.about.title, "it says by which key it was named");
    assert!(!find.verdict.is_empty(), "the verdict is a sentence");

    // It closes when it is asked to.
    let _closing = screen.xdotool(&["windowclose", &window]);
    let ended = until("the program to end", || program.0.try_wait().unwrap());
    let _code = ended.code();
    assert!(data.is_dir(), "the data folder stays");
}
