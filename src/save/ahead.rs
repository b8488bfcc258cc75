//! A file flushed to the disk while it is still being written.

use std::fs::File;
use std::io;
use std::sync::mpsc::{SyncSender, sync_channel};
use std::thread::{self, JoinHandle};

/// A thread that flushes a file while another writes it.
#[derive(Debug)]
pub(super) struct Ahead {
    go: SyncSender<()>,
    flushing: JoinHandle<io::Result<()>>,
}

impl Ahead {
    pub(super) fn new(file: File) -> Self {
        let (go, when) = sync_channel::<()>(1);
        Self { go, flushing: thread::spawn(move || when.iter().try_for_each(|()| file.sync_data())) }
    }

    /// Flushes what has been written; if it is still at it, one more time will do.
    pub(super) fn go(&self) {
        let _ = self.go.try_send(());
    }

    /// What went wrong with a flush is told once only, so that it must be told from here.
    pub(super) fn finish(self) -> io::Result<()> {
        drop(self.go);
        self.flushing.join().unwrap_or_else(|panic| std::panic::resume_unwind(panic))
    }
}
