//! The rows of a print, one after another, read ahead by a thread of its own.

use std::sync::mpsc::{Receiver, sync_channel};
use std::thread::Scope;

use crate::plane::Band;
use crate::scan::{Error, Rows, Scan};

/// Rows of one print, top first. Reading begins with the first row that is wanted: prints that lie further down wait.
pub(super) struct Reel<'scope, 'env> {
    scope: &'scope Scope<'scope, 'env>,
    scan: &'scope Scan,
    pieces: Option<Receiver<Result<Vec<u16>, Error>>>,
    held: Vec<u16>,
    at: usize,
}

impl<'scope, 'env> Reel<'scope, 'env> {
    pub(super) fn new(scope: &'scope Scope<'scope, 'env>, scan: &'scope Scan) -> Self {
        Self { scope, scan, pieces: None, held: Vec::new(), at: 0 }
    }

    /// The next row.
    ///
    /// # Errors
    /// When the print can no longer be read.
    pub(super) fn row(&mut self, into: &mut [u16]) -> Result<(), Error> {
        if self.at == self.held.len() {
            let pieces = self.pieces.get_or_insert_with(|| start(self.scope, self.scan));
            let ended = || Error::Unsuited("it has fewer rows than it says: make it again".into());
            self.held = pieces.recv().map_err(|_| ended())??;
            self.at = 0;
        }
        into.copy_from_slice(&self.held[self.at..self.at + into.len()]);
        self.at += into.len();
        Ok(())
    }
}

fn start<'scope>(scope: &'scope Scope<'scope, '_>, scan: &'scope Scan) -> Receiver<Result<Vec<u16>, Error>> {
    let (full, pieces) = sync_channel(1);
    scope.spawn(move || {
        let rows = |band: &Band<'_>| band.samples().to_vec();
        // Who no longer takes has an error of its own to tell.
        let stopped = |_| Error::Unsuited("who takes its rows has stopped".into());
        let read = scan.read_colours(Rows::All, rows, |rows| full.send(Ok(rows)).map_err(stopped));
        if let Err(error) = read {
            drop(full.send(Err(error)));
        }
    });
    pieces
}
