//! Memory: how much of it may be used for what is kept of scans between one reading and the next.

use std::collections::VecDeque;
use std::path::{Path, PathBuf};
use std::sync::{Condvar, Mutex, MutexGuard, PoisonError};

use crate::scan::{self, Channel, Scan};

/// Bytes that work on one scan takes whatever its size: bands on their way, tables, overview, proof. Measured: see
/// `docs/performance.md`.
pub(super) const A_JOB: u64 = 64_000_000;

/// Room for what is kept of scans.
pub(super) struct Room {
    total: u64,
    inner: Mutex<Inner>,
    freed: Condvar,
}

struct Inner {
    left: u64,
    /// Scans whose codes wait to be read once more, oldest first, with the bytes that they take.
    waiting: VecDeque<(PathBuf, Scan, u64)>,
}

/// A part of the room, given back in the end.
pub(super) struct Taken<'r> {
    room: &'r Room,
    bytes: u64,
}

impl Drop for Taken<'_> {
    fn drop(&mut self) {
        self.room.inner().left += self.bytes;
        self.room.freed.notify_all();
    }
}

impl Room {
    /// What `memory` leaves beside `jobs` scans in work.
    pub(super) fn new(memory: u64, jobs: usize) -> Self {
        let total = memory.saturating_sub(A_JOB * jobs as u64);
        Self { total, inner: Mutex::new(Inner { left: total, waiting: VecDeque::new() }), freed: Condvar::new() }
    }

    /// Opens a scan to be read several times. One that is packed is unpacked into memory where there is room, so that this is
    /// done once; one that can only be read as a whole waits until there is room for that.
    ///
    /// # Errors
    /// When it cannot be read.
    pub(super) fn open(&self, path: &Path, channel: Channel) -> Result<(Scan, Taken<'_>), scan::Error> {
        let mut scan = scan::open(path)?;
        let taken = self.wait_for(scan.bytes_to_read());
        if !scan.is_packed() {
            return Ok((scan, taken));
        }
        let Some(kept) = self.take(2 * scan.facts().size.pixels()) else { return Ok((scan, taken)) };
        scan.keep(channel)?;
        Ok((scan, kept))
    }

    /// Puts a scan by whose codes are kept, to be read once more by whoever asks first; it goes when others need the room.
    pub(super) fn put_by(&self, path: &Path, scan: Scan, mut taken: Taken<'_>) {
        if scan.is_kept() {
            self.inner().waiting.push_back((path.to_owned(), scan, std::mem::take(&mut taken.bytes)));
            // It may go again, so it is as good as room.
            self.freed.notify_all();
        }
    }

    /// A scan to be read once: the one that was put by, if it is still there.
    ///
    /// # Errors
    /// When it cannot be opened.
    pub(super) fn take_up(&self, path: &Path) -> Result<(Scan, Taken<'_>), scan::Error> {
        let mut inner = self.inner();
        if let Some(at) = inner.waiting.iter().position(|(of, ..)| of == path)
            && let Some((_, scan, bytes)) = inner.waiting.remove(at)
        {
            return Ok((scan, Taken { room: self, bytes }));
        }
        drop(inner);
        let scan = scan::open(path)?;
        let taken = self.wait_for(scan.bytes_to_read());
        Ok((scan, taken))
    }

    /// Room that something can do without.
    fn take(&self, bytes: u64) -> Option<Taken<'_>> {
        let mut inner = self.inner();
        while inner.left < bytes
            && let Some((_, scan, freed)) = inner.waiting.pop_front()
        {
            drop(scan);
            inner.left += freed;
        }
        (inner.left >= bytes).then(|| {
            inner.left -= bytes;
            Taken { room: self, bytes }
        })
    }

    /// Room that something cannot do without: waits for it. What is larger than all of it has it alone.
    fn wait_for(&self, bytes: u64) -> Taken<'_> {
        let bytes = bytes.min(self.total);
        loop {
            if let Some(taken) = self.take(bytes) {
                return taken;
            }
            let inner = self.inner();
            if inner.left < bytes {
                drop(self.freed.wait(inner).unwrap_or_else(PoisonError::into_inner));
            }
        }
    }

    fn inner(&self) -> MutexGuard<'_, Inner> {
        self.inner.lock().unwrap_or_else(PoisonError::into_inner)
    }
}
