//! How far a piece of work has come, and the wish to stop it.

use super::PhotoError;
use std::io::{self, BufRead, Read, Seek, SeekFrom};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicU32, Ordering};

/// A handle shared between the thread that works and the one that waits. Clones are the same handle.
#[derive(Debug, Clone, Default)]
pub struct Progress {
    per_mille: Arc<AtomicU32>,
    cancelled: Arc<AtomicBool>,
}

impl Progress {
    /// A new handle, at nothing done.
    pub fn new() -> Self {
        Self::default()
    }

    /// A handle on a counter and a flag that someone else shows and sets: thousandths done, and whether to stop.
    pub fn sharing(per_mille: Arc<AtomicU32>, cancelled: Arc<AtomicBool>) -> Self {
        Self { per_mille, cancelled }
    }

    /// The share done, 0 to 1. It never goes back.
    pub fn fraction(&self) -> f32 {
        self.per_mille.load(Ordering::Relaxed) as f32 / 1000.0
    }

    /// Asks the work to stop. It ends with [`PhotoError::Cancelled`] at its next look at the handle.
    pub fn cancel(&self) {
        self.cancelled.store(true, Ordering::Relaxed);
    }

    /// True once someone asked to stop.
    pub fn is_cancelled(&self) -> bool {
        self.cancelled.load(Ordering::Relaxed)
    }

    /// Says that `done` of `whole` is done within the stretch from `from` to `to` (per mille of the whole work).
    pub(crate) fn report(&self, done: u64, whole: u64, from: u32, to: u32) {
        let share = if whole == 0 { 1.0 } else { (done as f64 / whole as f64).clamp(0.0, 1.0) };
        let at = from + (f64::from(to - from) * share) as u32;
        self.per_mille.fetch_max(at, Ordering::Relaxed);
    }

    /// Stops the work where that was asked for.
    pub(crate) fn check(&self) -> Result<(), PhotoError> {
        if self.is_cancelled() { Err(PhotoError::Cancelled) } else { Ok(()) }
    }
}

/// A reader that reports how far it was read and fails once the work is cancelled, so that a decoder stops in the middle.
pub(super) struct Watched<'a> {
    inner: io::Cursor<&'a [u8]>,
    progress: &'a Progress,
    from: u32,
    to: u32,
}

impl<'a> Watched<'a> {
    pub(super) fn new(bytes: &'a [u8], progress: &'a Progress, from: u32, to: u32) -> Self {
        Self { inner: io::Cursor::new(bytes), progress, from, to }
    }

    fn look(&self) -> io::Result<()> {
        self.progress.report(self.inner.position(), self.inner.get_ref().len() as u64, self.from, self.to);
        if self.progress.is_cancelled() { Err(io::Error::other("cancelled")) } else { Ok(()) }
    }
}

impl Read for Watched<'_> {
    fn read(&mut self, buf: &mut [u8]) -> io::Result<usize> {
        self.look()?;
        self.inner.read(buf)
    }
}

impl BufRead for Watched<'_> {
    fn fill_buf(&mut self) -> io::Result<&[u8]> {
        self.look()?;
        self.inner.fill_buf()
    }

    fn consume(&mut self, amount: usize) {
        self.inner.consume(amount);
    }
}

impl Seek for Watched<'_> {
    fn seek(&mut self, pos: SeekFrom) -> io::Result<u64> {
        self.inner.seek(pos)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_never_goes_back_and_survives_an_empty_whole() {
        let progress = Progress::new();
        progress.report(5, 10, 0, 400);
        assert!((progress.fraction() - 0.2).abs() < 1e-6, "{}", progress.fraction());
        progress.report(1, 10, 0, 400);
        assert!((progress.fraction() - 0.2).abs() < 1e-6, "{}", progress.fraction());
        progress.report(0, 0, 400, 1000);
        assert!((progress.fraction() - 1.0).abs() < 1e-6, "{}", progress.fraction());
    }

    #[test]
    fn a_cancelled_reader_fails() {
        let progress = Progress::new();
        let mut reader = Watched::new(b"abcdef", &progress, 0, 1000);
        let mut two = [0; 2];
        assert_eq!(reader.read(&mut two).ok(), Some(2));
        progress.clone().cancel();
        assert!(reader.read(&mut two).is_err(), "reads on after the cancel");
        assert!(reader.fill_buf().is_err(), "fills on after the cancel");
    }
}
