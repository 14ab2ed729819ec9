//! What is found on disk, and what becomes of it.

use crate::desk::app::Footring;
use crate::desk::command::{Change, Notice, Step};
use crate::desk::jobs::Done as JobDone;
use crate::desk::key_work;
use crate::key::diff::words::lines;
use crate::key::merge::{Choices, join};
use crate::key::{Key, OnDisk};
use crate::say;
use egui::Context;
use std::sync::{Arc, PoisonError};

/// A key as it was read, and as it is on disk.
#[derive(Debug)]
pub struct Found {
    /// As it was read or last saved.
    pub base: Arc<Key>,
    /// As it is on disk.
    pub disk: OnDisk,
    /// What the person was saving, where that is why the disk was looked at.
    pub saving: Option<String>,
}

/// Looks at the disk, off the frame.
pub(in crate::desk) fn look_at_disk(app: &mut Footring, ctx: &Context, saving: Option<String>) {
    let folder = Arc::clone(&app.folder);
    app.jobs.start(ctx, say!("Looking at the key on disk"), move |_progress| {
        let folder = folder.lock().unwrap_or_else(PoisonError::into_inner);
        let found = folder.as_ref().filter(|folder| saving.is_some() || !folder.changed_on_disk().is_empty()).map(|folder| {
            let base = Arc::new(folder.key().clone());
            Box::new(Found { base, disk: folder.on_disk(), saving })
        });
        JobDone::Key(key_work::Done::Disk(found))
    });
}

impl Footring {
    /// Looks at the disk where something was noticed and nothing is under way.
    pub(in crate::desk) fn poll_disk(&mut self, ctx: &Context) {
        if self.opening.is_some() || !self.key_watch.noticed(ctx) {
            return;
        }
        // A draft rests on what was read; it is put together with the disk when it is saved.
        if self.jobs.is_idle() && !self.views.clash.is_open() && !self.is_drafting() {
            look_at_disk(self, ctx, None);
        } else {
            self.key_watch.again();
        }
    }

    fn is_drafting(&self) -> bool {
        self.views.key_book.is_drafting() || self.views.mark_drawer.is_editing()
    }

    /// What others changed comes into the document, or the clashes are shown.
    pub(in crate::desk) fn disk_found(&mut self, ctx: &Context, found: Found) {
        if found.saving.is_none() && self.is_drafting() {
            self.key_watch.again();
            return;
        }
        if let Some(why) = found.disk.unusable() {
            // What is open stays; when the files are mended, they are looked at again.
            let what = found.saving.map_or_else(String::new, |step| say!("{step} is on screen but not saved: ", step));
            self.notice = Some(Notice::problem(say!("{what}the key on disk can't be taken in as it is now: {why}", what, why)));
            return;
        }
        let mine = Arc::clone(&self.doc.key);
        let joined = join(&found.base, &mine, found.disk.key(), &Choices::default());
        if joined.clashes.is_empty() && joined.doubled.is_empty() {
            self.take_from_disk(ctx, found.disk, Arc::new(joined.key), say!("changes on disk"));
        } else if let Some(file) = joined.doubled.first() {
            let says =
                say!("'{file}' was changed on disk too, and in one of the two an id stands twice (mend it there, and save again)", file);
            self.notice = Some(Notice::problem(says));
        } else {
            self.views.clash.open(found, mine, joined);
        }
    }

    /// Takes a joined key as one step, and saves what of it is not on disk.
    pub(in crate::desk) fn take_from_disk(&mut self, ctx: &Context, disk: OnDisk, after: Arc<Key>, name: &str) {
        let before = Arc::clone(&self.doc.key);
        let on_disk = *disk.key() == *after;
        if let Some(folder) = self.folder.lock().unwrap_or_else(PoisonError::into_inner).as_mut() {
            folder.take_for_read(disk);
        }
        if *before == *after && on_disk {
            return;
        }
        let said = lines(&before, &after);
        if on_disk {
            self.doc.set_key(Arc::clone(&after));
            let more = if said.len() > 1 { say!(", and {said} more", said = said.len() - 1) } else { String::new() };
            let first = said.first().map_or("", String::as_str);
            self.notice = Some(Notice::news(say!("Changed on disk and taken in: {first}{more}", first, more)));
        } else {
            self.set_key(ctx, Arc::clone(&after), name);
        }
        if *before != *after {
            self.steps.push(Step { name: name.to_owned(), change: Change::Key { before, after } });
        }
    }
}
