//! A hash of bytes that come in order, of which the first may still change at the end.

use blake3::hazmat::{ChainingValue, HasherExt, Mode, merge_subtrees_non_root, merge_subtrees_root};
use blake3::{CHUNK_LEN, Hash, Hasher};

/// A BLAKE3 hash whose first chunk stays open. The tree of the BLAKE3 paper, section 2.1, has whole subtrees of 1, 2,
/// 4, 8 ... chunks to the right of the first one; these are closed as they fill.
#[derive(Clone, Debug, Default)]
pub(super) struct OpenHash {
    /// The first chunk.
    head: Vec<u8>,
    /// Subtrees after it, each as many chunks as all before it.
    whole: Vec<ChainingValue>,
    /// The one that is filling.
    open: Option<(Hasher, usize)>,
}

impl OpenHash {
    /// As many of the first bytes may change.
    pub(super) const OPEN: usize = CHUNK_LEN;

    /// Changes bytes of those, as far as they have been added.
    pub(super) fn change(&mut self, at: usize, bytes: &[u8]) {
        self.head[at..at + bytes.len()].copy_from_slice(bytes);
    }

    pub(super) fn add(&mut self, bytes: &[u8]) {
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

    pub(super) fn finish(mut self) -> Hash {
        self.whole.extend(self.open.map(|(hasher, _)| hasher.finalize_non_root()));
        let Some((last, before)) = self.whole.split_last() else { return blake3::hash(&self.head) };
        let first = Hasher::new().update(&self.head).finalize_non_root();
        let left = before.iter().fold(first, |left, right| merge_subtrees_non_root(&left, right, Mode::Hash));
        merge_subtrees_root(&left, last, Mode::Hash)
    }
}
