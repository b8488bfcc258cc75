//! Memory: how much of it may be used for what is kept of scans between one reading and the next, and what all scans
//! share.

use std::collections::VecDeque;
use std::path::{Path, PathBuf};
use std::sync::{Condvar, Mutex, MutexGuard, PoisonError};

use crate::scan::{self, Channel, Halt, Scan, Torn};

use super::benches::Benches;
use super::develop::Spare;

/// Bytes that work on one scan takes whatever its size: tables, overview and proof, and for each thread bands on their
/// way. Measured with 1 to 16 threads: see `docs/performance.md`.
const A_JOB: u64 = 40_000_000;
const A_THREAD: u64 = 15_000_000;

/// Bytes of memory without which no scan can be worked on.
pub fn least_memory() -> u64 {
    A_JOB + A_THREAD * rayon::current_num_threads() as u64
}

/// Room for what is kept of scans.
pub(super) struct Room {
    total: u64,
    inner: Mutex<Inner>,
    freed: Condvar,
    halt: Halt,
    /// Densitometers of all scans that are worked on in it.
    pub(super) benches: Benches,
    /// Buffers that serve one scan after another.
    pub(super) spare: Spare,
}

struct Inner {
    left: u64,
    /// Scans whose codes wait to be read once more, oldest first.
    waiting: VecDeque<(PathBuf, Scan, u64)>,
}

impl Inner {
    /// Takes `bytes`, and for that lets go of what waits, oldest first; nothing goes if it would not suffice.
    fn take(&mut self, bytes: u64) -> bool {
        let waiting: u64 = self.waiting.iter().map(|(.., bytes)| bytes).sum();
        if self.left + waiting < bytes {
            return false;
        }
        while self.left < bytes
            && let Some((_, scan, freed)) = self.waiting.pop_front()
        {
            drop(scan);
            self.left += freed;
        }
        self.left -= bytes;
        true
    }
}

/// A scan and the room that it has. The memory goes before the room is given back.
pub(super) struct Opened<'r> {
    pub scan: Scan,
    place: Place<'r>,
}

/// A part of the room, given back in the end.
struct Place<'r> {
    room: &'r Room,
    bytes: u64,
}

impl Drop for Place<'_> {
    fn drop(&mut self) {
        self.room.inner().left += self.bytes;
        self.room.freed.notify_all();
    }
}

impl Room {
    /// What `memory` leaves beside `jobs` scans in work. Scans that are opened here heed `halt`.
    pub(super) fn new(memory: u64, jobs: usize, halt: &Halt) -> Self {
        // With none at all nobody would have to wait for another.
        let total = memory.saturating_sub(least_memory() * jobs as u64).max(1);
        let inner = Mutex::new(Inner { left: total, waiting: VecDeque::new() });
        let (benches, spare) = (Benches::default(), Spare::default());
        Self { total, inner, freed: Condvar::new(), halt: halt.clone(), benches, spare }
    }

    /// Opens a scan to be read several times. One that is packed is unpacked into memory where there is room, so that
    /// this is done once; one that can only be read as a whole waits until there is room for that.
    ///
    /// # Errors
    /// When it cannot be read.
    pub(super) fn open(&self, path: &Path, channel: Channel, torn: Torn) -> Result<Opened<'_>, scan::Error> {
        let mut scan = scan::open_torn(path, torn)?.heeding(&self.halt);
        let whole = self.wait_for(scan.bytes_to_read(channel));
        if !scan.is_packed() {
            return Ok(Opened { scan, place: whole });
        }
        let Some(place) = self.take(2 * scan.facts().size.pixels()) else { return Ok(Opened { scan, place: whole }) };
        scan.keep(channel)?;
        Ok(Opened { scan, place })
    }

    /// Puts a scan whose codes are kept by, to be read once more by whoever asks first; it goes when others need the
    /// room.
    pub(super) fn put_by(&self, path: &Path, Opened { scan, mut place }: Opened<'_>) {
        if scan.is_kept() {
            self.inner().waiting.push_back((path.to_owned(), scan, std::mem::take(&mut place.bytes)));
            // It may go again, so it is as good as room: dropping its place tells those who wait.
        }
    }

    /// A scan to be read once: the one that was put by, if it is still there.
    ///
    /// # Errors
    /// When it cannot be opened.
    pub(super) fn take_up(&self, path: &Path, channel: Channel, torn: Torn) -> Result<Opened<'_>, scan::Error> {
        let mut inner = self.inner();
        if let Some(at) = inner.waiting.iter().position(|(of, ..)| of == path)
            && let Some((_, scan, bytes)) = inner.waiting.remove(at)
        {
            return Ok(Opened { scan, place: Place { room: self, bytes } });
        }
        drop(inner);
        let scan = scan::open_torn(path, torn)?.heeding(&self.halt);
        let place = self.wait_for(scan.bytes_to_read(channel));
        Ok(Opened { scan, place })
    }

    /// Room that something can do without.
    fn take(&self, bytes: u64) -> Option<Place<'_>> {
        let taken = self.inner().take(bytes);
        taken.then(|| Place { room: self, bytes })
    }

    /// Room that something cannot do without: waits for it. What is larger than all of it has it alone.
    fn wait_for(&self, bytes: u64) -> Place<'_> {
        let bytes = bytes.min(self.total);
        let mut inner = self.inner();
        while !inner.take(bytes) {
            inner = self.freed.wait(inner).unwrap_or_else(PoisonError::into_inner);
        }
        Place { room: self, bytes }
    }

    fn inner(&self) -> MutexGuard<'_, Inner> {
        self.inner.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A packed scan of 100 x 100 pixels, which takes 20,000 bytes unpacked.
    fn packed(folder: &Path, name: &str) -> PathBuf {
        let path = folder.join(name);
        image::GrayImage::from_fn(100, 100, |x, y| image::Luma([(x + y) as u8])).save(&path).unwrap();
        path
    }

    fn room(bytes: u64) -> Room {
        Room::new(least_memory() + bytes, 1, &Halt::default())
    }

    #[test]
    fn a_scan_that_was_put_by_is_taken_up_unless_another_needed_its_room() {
        let folder = tempfile::tempdir().unwrap();
        let [one, other] = ["one.png", "other.png"].map(|name| packed(folder.path(), name));
        let room = room(30_000);
        let opened = room.open(&one, Channel::Green, Torn::Refuse).unwrap();
        assert!(opened.scan.is_kept());
        room.put_by(&one, opened);
        assert!(room.take_up(&one, Channel::Green, Torn::Refuse).unwrap().scan.is_kept());
        room.put_by(&one, room.open(&one, Channel::Green, Torn::Refuse).unwrap());
        room.put_by(&other, room.open(&other, Channel::Green, Torn::Refuse).unwrap());
        assert!(!room.take_up(&one, Channel::Green, Torn::Refuse).unwrap().scan.is_kept(), "it gave way");
        assert!(room.take_up(&other, Channel::Green, Torn::Refuse).unwrap().scan.is_kept());
        assert_eq!(room.inner().left, 30_000, "all is given back");
    }

    #[test]
    fn nothing_gives_way_to_what_does_not_fit_anyhow() {
        let folder = tempfile::tempdir().unwrap();
        let path = packed(folder.path(), "coil.png");
        let room = room(30_000);
        room.put_by(&path, room.open(&path, Channel::Green, Torn::Refuse).unwrap());
        assert!(room.take(30_001).is_none());
        assert!(room.take_up(&path, Channel::Green, Torn::Refuse).unwrap().scan.is_kept());
    }

    #[test]
    fn who_needs_room_waits_for_it_and_what_is_larger_than_all_of_it_has_it_alone() {
        for total in [0, 1000] {
            let room = room(total);
            let place = room.wait_for(5000);
            std::thread::scope(|scope| {
                let waits = scope.spawn(|| drop(room.wait_for(700)));
                std::thread::sleep(std::time::Duration::from_millis(20));
                assert!(!waits.is_finished(), "{total}");
                drop(place);
            });
        }
    }
}
