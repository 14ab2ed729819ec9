//! The one factory of windows under test: the demo key in memory, a fresh daybook, no animation, a fixed size.

use egui::{Theme, Vec2, vec2};
use egui_kittest::kittest::Queryable as _;
use egui_kittest::{Harness, SnapshotOptions};
use footring::desk::Footring;
use footring::desk::app::Desk;
use std::time::{Duration, Instant};

/// A window under test and the folder its daybook lives in.
pub(crate) struct Table {
    /// The window.
    pub harness: Harness<'static, Footring>,
    dir: tempfile::TempDir,
}

/// The size of a small laptop screen.
pub(crate) const LAPTOP: Vec2 = vec2(1280.0, 800.0);

impl Table {
    /// A window in light colours on the demo key.
    pub(crate) fn new() -> Self {
        Self::with(Theme::Light, LAPTOP)
    }

    /// A window of that theme and size on the demo key.
    pub(crate) fn with(theme: Theme, size: Vec2) -> Self {
        let key = footring::key::builtin::demo().key;
        Self::on(key, theme, size)
    }

    /// A window on another key.
    pub(crate) fn on(key: footring::key::Key, theme: Theme, size: Vec2) -> Self {
        let dir = tempfile::tempdir().unwrap();
        let desk = Desk::in_memory(key, dir.path().to_owned());
        let harness = Self::harness(desk, theme, size);
        Self { harness, dir }
    }

    /// A window on a copy of the demo key on disk, so that what is saved can be looked at.
    pub(crate) fn on_disk() -> Self {
        let dir = tempfile::tempdir().unwrap();
        let start = footring::desk::Start { key: None, data_dir: Some(dir.path().to_owned()), ..Default::default() };
        let desk = Desk::prepare(start).unwrap();
        let harness = Self::harness(desk, Theme::Light, LAPTOP);
        Self { harness, dir }
    }

    /// The program is started again on the same data, as after a crash.
    pub(crate) fn started_again(self) -> Self {
        let Self { harness, dir } = self;
        drop(harness);
        let start = footring::desk::Start { key: None, data_dir: Some(dir.path().to_owned()), ..Default::default() };
        let desk = Desk::prepare(start).unwrap();
        Self { harness: Self::harness(desk, Theme::Light, LAPTOP), dir }
    }

    fn harness(desk: Desk, theme: Theme, size: Vec2) -> Harness<'static, Footring> {
        let mut harness = Harness::builder()
            .with_size(size)
            .with_theme(theme)
            .with_max_steps(12)
            .with_options(SnapshotOptions::new().threshold(0.9).max_failed_pixels(8))
            .with_context_setup(Footring::dress)
            .build_eframe(move |cc| Footring::new(&cc.egui_ctx, desk));
        // A key on disk is opened off the frame.
        let start = Instant::now();
        while harness.state().opening.is_some() {
            harness.run_ok();
            assert!(start.elapsed() < Duration::from_mins(1), "the key never opened");
            std::thread::sleep(Duration::from_millis(2));
        }
        harness.run();
        harness
    }

    /// The folder of the settings, the daybook and the key.
    pub(crate) fn dir(&self) -> &std::path::Path {
        self.dir.path()
    }

    /// Runs frames until nothing moves and no work is left.
    pub(crate) fn settle(&mut self) {
        let start = Instant::now();
        loop {
            self.harness.run_ok();
            if self.harness.state().is_at_rest() {
                self.harness.run_ok();
                return;
            }
            assert!(start.elapsed() < Duration::from_mins(1), "work in the background never ended");
            std::thread::sleep(Duration::from_millis(5));
        }
    }

    /// Says what is seen, as a person would in words, without the board.
    pub(crate) fn see(&mut self, text: &str) {
        let doc = &self.harness.state().doc;
        let observation = footring::identify::see::see(&doc.key, &doc.words, text).unwrap_or_else(|error| panic!("{text}: {error}"));
        self.harness.state_mut().ask(footring::desk::command::Command::See(observation));
        self.settle();
    }

    /// Clicks what a screen reader calls by that name.
    pub(crate) fn click(&mut self, name: &str) {
        self.harness.get_by_label(name).click();
        self.settle();
    }

    /// Presses a key.
    pub(crate) fn key(&mut self, key: egui::Key) {
        self.harness.key_press(key);
        self.settle();
    }

    /// Presses a key with Ctrl (on another system, its command key).
    pub(crate) fn command(&mut self, key: egui::Key) {
        self.harness.key_press_modifiers(egui::Modifiers::COMMAND, key);
        self.settle();
    }

    /// Types a text, as into a field.
    pub(crate) fn type_text(&mut self, text: &str) {
        self.harness.event(egui::Event::Text(text.to_owned()));
        self.settle();
    }
}
