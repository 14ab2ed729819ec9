//! How far a long verb is: a bar on standard error, and only where that is a terminal.

use indicatif::{ProgressBar, ProgressStyle};
use std::time::Duration;

/// A bar that counts what is done; `what` says what is counted: 'rows named'.
pub(super) fn bar(what: &'static str) -> ProgressBar {
    // It draws on standard error, and hides where that is no terminal.
    let bar = ProgressBar::new(0).with_message(what);
    if let Ok(style) = ProgressStyle::with_template("{bar:30} {human_pos} of {human_len} {msg}, {eta} left") {
        bar.set_style(style.progress_chars("=> "));
    }
    bar.enable_steady_tick(Duration::from_millis(200));
    bar
}

/// Moves the bar.
pub(super) fn show(bar: &ProgressBar, done: usize, all: usize) {
    if bar.length() != Some(all as u64) {
        bar.set_length(all as u64);
    }
    // Pieces are done in any order by several threads; the bar goes by the number alone.
    bar.set_position(done as u64);
}
