//! Noticing that the files of the key changed on disk.

use crate::key::KeyFile;
use egui::Context;
use notify::{RecommendedWatcher, RecursiveMode, Watcher as _};
use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

/// Watches the folder of the open key. The system's notices only say that it is time to look; a network folder sends none, so it is looked at too
/// whenever the window is turned to again.
#[derive(Debug, Default)]
pub struct KeyWatch {
    noticed: Arc<AtomicBool>,
    /// Watches while it is kept.
    watcher: Option<RecommendedWatcher>,
    was_focused: bool,
    is_started: bool,
}

impl KeyWatch {
    /// Watches another folder. That the system won't is no problem: then it is looked at when the window is turned to.
    pub fn start(&mut self, ctx: &Context, dir: &Path) {
        self.noticed = Arc::default();
        self.is_started = true;
        let (noticed, ctx) = (Arc::clone(&self.noticed), ctx.clone());
        let on_event = move |event: notify::Result<notify::Event>| {
            let of_key =
                |path: &std::path::PathBuf| path.file_name().is_some_and(|name| KeyFile::ALL.iter().any(|file| name == file.name()));
            // Where notices were lost, everything may have happened.
            let matters = event.map_or(true, |event| !event.kind.is_access() && event.paths.iter().any(of_key));
            if matters && !noticed.swap(true, Ordering::Relaxed) {
                ctx.request_repaint();
            }
        };
        self.watcher = notify::recommended_watcher(on_event).ok();
        if let Some(watcher) = &mut self.watcher
            && watcher.watch(dir, RecursiveMode::NonRecursive).is_err()
        {
            self.watcher = None;
        }
    }

    /// True where something may have changed since the last call.
    pub fn noticed(&mut self, ctx: &Context) -> bool {
        let focused = ctx.input(|input| input.focused);
        let turned_to = self.is_started && focused && !self.was_focused && self.watcher.is_none();
        self.was_focused = focused;
        self.noticed.swap(false, Ordering::Relaxed) || turned_to
    }

    /// Looks again later: now is no time.
    pub fn again(&self) {
        self.noticed.store(true, Ordering::Relaxed);
    }
}
