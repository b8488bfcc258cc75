//! Parts of a scan worked on side by side, and what came of them taken in order.

use std::sync::mpsc::{Receiver, Sender, SyncSender, channel, sync_channel};
use std::thread;

use rayon::prelude::*;

use super::error::Error;

/// Makes something of every part, `at_once` of them in parallel, and takes the results in order: while one batch is
/// made, the calling thread takes what the batch before it gave.
pub(super) fn in_order<P: Sync, T: Send, E: From<Error>>(
    parts: &[P],
    at_once: usize,
    make: impl Fn(&P) -> Result<T, Error> + Sync,
    mut take: impl FnMut(T) -> Result<(), E>,
) -> Result<(), E> {
    let mut made = Vec::new();
    for batch in parts.chunks(at_once) {
        let mut next = Ok(Vec::new());
        let taken = rayon::in_place_scope(|scope| {
            scope.spawn(|_| next = batch.par_iter().map(&make).collect());
            made.drain(..).try_for_each(&mut take)
        });
        taken?;
        made = next?;
    }
    made.into_iter().try_for_each(take)
}

/// What comes one after another from `read`, in batches, is made something of in parallel and the results are taken in order;
/// meanwhile a thread of its own goes on reading. Each batch goes back to the reader when it has served.
pub(super) fn as_it_comes<B: Sync + Send, T: Send, E: From<Error>>(
    read: impl FnOnce(&Outlet<B>) -> Result<(), Error> + Send,
    make: impl Fn(&B) -> T + Sync,
    mut take: impl FnMut(T) -> Result<(), E>,
) -> Result<(), E> {
    let (full, batches) = sync_channel(1);
    let (back, spare) = channel();
    thread::scope(|scope| {
        let reading = scope.spawn(move || read(&Outlet { full, spare }));
        let taken = take_all(batches, &back, make, &mut take);
        let read = reading.join().unwrap_or_else(|panic| std::panic::resume_unwind(panic));
        // Who no longer takes stops the reading too: the cause is told, not its consequence.
        taken?;
        Ok(read?)
    })
}

fn take_all<B: Sync + Send, T: Send, E>(
    batches: Receiver<Vec<B>>,
    back: &Sender<B>,
    make: impl Fn(&B) -> T + Sync,
    take: &mut impl FnMut(T) -> Result<(), E>,
) -> Result<(), E> {
    for batch in batches {
        let made: Vec<T> = batch.par_iter().map(&make).collect();
        // At the end nobody waits for them any more.
        batch.into_iter().for_each(|part| drop(back.send(part)));
        made.into_iter().try_for_each(&mut *take)?;
    }
    Ok(())
}

/// Where a reader puts its batches.
pub(super) struct Outlet<B> {
    full: SyncSender<Vec<B>>,
    spare: Receiver<B>,
}

impl<B> Outlet<B> {
    /// Hands a batch over; waits while another is still to be worked on.
    ///
    /// # Errors
    /// When nobody takes any more; the reader may stop.
    pub(super) fn put(&self, batch: Vec<B>) -> Result<(), Error> {
        self.full.send(batch).map_err(|_| Error::Disk(std::io::ErrorKind::BrokenPipe.into()))
    }

    /// A part that has served and can be filled again.
    pub(super) fn spare(&self) -> Option<B> {
        self.spare.try_recv().ok()
    }
}
