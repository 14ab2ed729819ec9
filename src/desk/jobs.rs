//! Work off the frame: reading and writing files, the daybook, decoding photographs.
//!
//! A job runs on a thread of its own, can be cancelled, and sends one [`Done`]. The window collects what is done at the start of a frame.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicU32, Ordering};
use std::sync::mpsc::{Receiver, Sender, channel};

/// What a job sends when it ends. Each screen that starts jobs has its own kind.
#[derive(Debug)]
pub enum Done {
    /// The house key was opened or saved.
    Key(super::key_work::Done),
    /// The daybook answered.
    Daybook(super::daybook_work::Done),
    /// Something on a further page of the Daybook.
    Pages(super::daybook::pages::Done),
    /// Something was worked out of the whole key.
    KeyBook(super::key_book::Done),
    /// The fewest features by which forms are told from all others.
    Alone(Box<super::tell_apart::alone::Done>),
    /// A list was read, or what it would do was worked out.
    BringIn(super::bring_in::Done),
    /// A photograph was read.
    Photographs(super::photographs::Done),
    /// A picture of a mark was opened or chosen.
    KeyPictures(super::key_pictures::Whose, super::key_pictures::Done),
    /// A mark was laid out.
    Reading(super::reading::Done),
    /// A sheet was laid out, drawn or written.
    Printing(super::printing::Done),
    /// Something was measured on a photograph.
    Measuring(super::measuring::Done),
    /// What is not saved was kept, or a sentence why not.
    Kept(Result<(), String>),
    /// The job panicked, which is a fault of the program.
    Broke {
        /// What it was doing.
        doing: String,
    },
}

/// How far a job is, and whether it should stop. Cheap to clone; shared with the job.
#[derive(Debug, Clone, Default)]
pub struct Progress {
    permille: Arc<AtomicU32>,
    cancelled: Arc<AtomicBool>,
}

impl Progress {
    /// Says how far the work is, 0 to 1.
    pub fn set(&self, share: f32) {
        self.permille.store((share.clamp(0.0, 1.0) * 1000.0) as u32, Ordering::Relaxed);
    }

    /// How far the work is, 0 to 1.
    pub fn share(&self) -> f32 {
        self.permille.load(Ordering::Relaxed) as f32 / 1000.0
    }

    /// Asks the work to stop.
    pub fn cancel(&self) {
        self.cancelled.store(true, Ordering::Relaxed);
    }

    /// True once it should stop.
    pub fn is_cancelled(&self) -> bool {
        self.cancelled.load(Ordering::Relaxed)
    }

    /// The same handle, as reading a photograph takes it.
    pub fn for_photo(&self) -> crate::photo::Progress {
        crate::photo::Progress::sharing(Arc::clone(&self.permille), Arc::clone(&self.cancelled))
    }

    /// The flag itself, for a room below that takes one.
    pub fn cancel_flag(&self) -> Arc<AtomicBool> {
        Arc::clone(&self.cancelled)
    }
}

/// A job that runs.
#[derive(Debug)]
pub struct Running {
    id: u64,
    /// What it does, for the person: 'Reading cup.jpg'.
    pub doing: String,
    /// How far it is.
    pub progress: Progress,
}

/// All jobs that run.
#[derive(Debug)]
pub struct Jobs {
    send: Sender<(u64, Done)>,
    receive: Receiver<(u64, Done)>,
    running: Vec<Running>,
    next_id: u64,
}

impl Default for Jobs {
    fn default() -> Self {
        let (send, receive) = channel();
        Self { send, receive, running: Vec::new(), next_id: 0 }
    }
}

impl Jobs {
    /// Starts a job on a thread of its own.
    pub fn start(&mut self, ctx: &egui::Context, doing: impl Into<String>, work: impl FnOnce(&Progress) -> Done + Send + 'static) {
        let doing = doing.into();
        let id = self.next_id;
        self.next_id += 1;
        let progress = Progress::default();
        self.running.push(Running { id, doing: doing.clone(), progress: progress.clone() });
        let (send, ctx) = (self.send.clone(), ctx.clone());
        std::thread::spawn(move || {
            let done = catch_unwind(AssertUnwindSafe(|| work(&progress))).unwrap_or(Done::Broke { doing });
            // The window may have gone meanwhile; then nobody waits for the answer.
            let _ = send.send((id, done));
            ctx.request_repaint();
        });
    }

    /// What has ended since the last call, in the order it ended.
    pub fn collect(&mut self) -> Vec<Done> {
        let mut all = Vec::new();
        while let Ok((id, done)) = self.receive.try_recv() {
            self.running.retain(|job| job.id != id);
            all.push(done);
        }
        all
    }

    /// The jobs that run, oldest first.
    pub fn running(&self) -> &[Running] {
        &self.running
    }

    /// True where nothing runs.
    pub fn is_idle(&self) -> bool {
        self.running.is_empty()
    }
}
