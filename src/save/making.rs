//! A file in the making: hashed as it is written, and flushed to the disk while more of it is still to come.

use std::fs::File;
use std::io::{self, Read, Seek, SeekFrom, Write};
use std::sync::mpsc::{SyncSender, sync_channel};
use std::thread::{self, JoinHandle};

use blake3::hazmat::{ChainingValue, HasherExt, Mode, merge_subtrees_non_root, merge_subtrees_root};
use blake3::{CHUNK_LEN, Hash, Hasher};

/// From one flush of a large file to the next: a tenth of a second's work for a disk of today.
const FLUSH_EVERY: u64 = 32 << 20;

/// A finished file.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Written {
    /// Bytes.
    pub bytes: u64,
    /// BLAKE3 of all of them, hexadecimal.
    pub blake3: String,
}

/// Takes the bytes of a file in order. What may be changed afterwards are the first 1024, where formats keep what they
/// know only at the end.
#[derive(Debug)]
pub struct Making<'f> {
    file: &'f mut File,
    at: u64,
    end: u64,
    hash: Fingerprint,
    ahead: Option<Ahead>,
}

impl<'f> Making<'f> {
    pub(super) fn new(file: &'f mut File) -> Self {
        Self { file, at: 0, end: 0, hash: Fingerprint::default(), ahead: None }
    }

    /// Flushes what is left.
    pub(super) fn finish(self) -> io::Result<Written> {
        if let Some(ahead) = self.ahead {
            ahead.finish()?;
        }
        self.file.sync_data()?;
        Ok(Written { bytes: self.end, blake3: self.hash.finish().to_hex().to_string() })
    }

    fn flush_ahead(&mut self, bytes: usize) -> io::Result<()> {
        if self.end / FLUSH_EVERY != (self.end + bytes as u64) / FLUSH_EVERY {
            let ahead = match self.ahead.take() {
                Some(ahead) => ahead,
                None => Ahead::new(self.file.try_clone()?),
            };
            ahead.go();
            self.ahead = Some(ahead);
        }
        Ok(())
    }
}

impl Write for Making<'_> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        if self.at < self.end && self.at + bytes.len() as u64 > self.hash.head.len() as u64 {
            return Err(io::Error::new(io::ErrorKind::InvalidInput, "only the beginning of a file may be changed"));
        }
        let count = self.file.write(bytes)?;
        if self.at < self.end {
            self.hash.head[self.at as usize..][..count].copy_from_slice(&bytes[..count]);
        } else {
            self.hash.add(&bytes[..count]);
            self.flush_ahead(count)?;
            self.end += count as u64;
        }
        self.at += count as u64;
        Ok(count)
    }

    fn flush(&mut self) -> io::Result<()> {
        self.file.flush()
    }
}

impl Seek for Making<'_> {
    fn seek(&mut self, to: SeekFrom) -> io::Result<u64> {
        self.at = self.file.seek(to)?;
        Ok(self.at)
    }
}

/// The size and the hash of a file as it lies on the disk.
///
/// # Errors
/// When it cannot be read.
pub fn fingerprint(mut file: impl Read) -> io::Result<Written> {
    let mut hasher = Hasher::new();
    let (mut bytes, mut piece) = (0, vec![0; PIECE]);
    loop {
        match file.read(&mut piece)? {
            0 => return Ok(Written { bytes, blake3: hasher.finalize().to_hex().to_string() }),
            n => {
                bytes += n as u64;
                hasher.update_rayon(&piece[..n]);
            }
        }
    }
}

/// Bytes read at a time: enough for several threads to hash.
const PIECE: usize = 4 << 20;

/// A BLAKE3 hash whose first chunk stays open. The tree of the BLAKE3 paper, section 2.1, has whole subtrees of 1, 2, 4, 8 ...
/// chunks to the right of the first one; these are closed as they fill.
#[derive(Debug, Default)]
struct Fingerprint {
    /// The first chunk.
    head: Vec<u8>,
    /// Subtrees after it, each as many chunks as all before it.
    whole: Vec<ChainingValue>,
    /// The one that is filling.
    open: Option<(Hasher, usize)>,
}

impl Fingerprint {
    fn add(&mut self, bytes: &[u8]) {
        let (head, mut rest) = bytes.split_at(bytes.len().min(CHUNK_LEN - self.head.len()));
        self.head.extend_from_slice(head);
        while !rest.is_empty() {
            let full = CHUNK_LEN << self.whole.len();
            let (mut hasher, held) = self.open.take().unwrap_or_else(|| {
                let mut hasher = Hasher::new();
                hasher.set_input_offset(full as u64);
                (hasher, 0)
            });
            let (here, beyond) = rest.split_at(rest.len().min(full - held));
            hasher.update(here);
            if held + here.len() == full {
                self.whole.push(hasher.finalize_non_root());
            } else {
                self.open = Some((hasher, held + here.len()));
            }
            rest = beyond;
        }
    }

    fn finish(mut self) -> Hash {
        self.whole.extend(self.open.map(|(hasher, _)| hasher.finalize_non_root()));
        let Some((last, before)) = self.whole.split_last() else { return blake3::hash(&self.head) };
        let first = Hasher::new().update(&self.head).finalize_non_root();
        let left = before.iter().fold(first, |left, right| merge_subtrees_non_root(&left, right, Mode::Hash));
        merge_subtrees_root(&left, last, Mode::Hash)
    }
}

/// A thread that flushes a file while another writes it.
#[derive(Debug)]
struct Ahead {
    go: SyncSender<()>,
    flushing: JoinHandle<io::Result<()>>,
}

impl Ahead {
    fn new(file: File) -> Self {
        let (go, when) = sync_channel::<()>(1);
        Self { go, flushing: thread::spawn(move || when.iter().try_for_each(|()| file.sync_data())) }
    }

    /// Flushes what has been written; if it is still at it, one more time will do.
    fn go(&self) {
        let _ = self.go.try_send(());
    }

    /// What went wrong with a flush is told once only, so that it must be told from here.
    fn finish(self) -> io::Result<()> {
        drop(self.go);
        self.flushing.join().unwrap_or_else(|panic| std::panic::resume_unwind(panic))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The blake3 crate's own hash of the finished file.
    #[test]
    fn a_file_whose_beginning_is_changed_at_the_end_has_the_hash_of_what_lies_on_the_disk() {
        for bytes in [9, 1023, 1024, 1025, 2048, 3072, 5000, 8192, 8193, 70_000] {
            for piece in [1, 7, 1024, 4096] {
                let mut file = tempfile::tempfile().unwrap();
                let mut making = Making::new(&mut file);
                let all: Vec<u8> = (0..bytes).map(|i: u32| (i * 31 + i / 251) as u8).collect();
                all.chunks(piece).for_each(|part| making.write_all(part).unwrap());
                making.seek(SeekFrom::Start(4)).unwrap();
                making.write_all(&[1, 2, 3, 4]).unwrap();
                let written = making.finish().unwrap();
                file.rewind().unwrap();
                let mut there = Vec::new();
                file.read_to_end(&mut there).unwrap();
                assert_eq!(there[4..8], [1, 2, 3, 4]);
                let wanted = Written { bytes: bytes.into(), blake3: blake3::hash(&there).to_hex().to_string() };
                assert_eq!(written, wanted, "{bytes} bytes by {piece}");
                assert_eq!(fingerprint(there.as_slice()).unwrap(), wanted);
            }
        }
    }

    #[test]
    fn what_has_been_hashed_cannot_be_changed() {
        let mut file = tempfile::tempfile().unwrap();
        let mut making = Making::new(&mut file);
        making.write_all(&[7; 5000]).unwrap();
        making.seek(SeekFrom::Start(1020)).unwrap();
        assert!(making.write_all(&[0; 8]).is_err());
    }
}
