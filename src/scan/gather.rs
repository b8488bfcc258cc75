//! Rows that come one after another, gathered into bands and the bands into batches.

use super::error::Error;
use super::rows::Rows;
use super::stream::{BAND, bands_a_batch};
use crate::plane::{Band, Size};

/// Takes the rows of a scan in order and hands over the wanted ones.
pub(super) struct Gather<F> {
    size: Size,
    rows: Rows,
    each: F,
    next: u32,
    first: u32,
    codes: Vec<u16>,
    bands: Vec<Band>,
    /// Buffers of bands that have been handed over, to be used again.
    spare: Vec<Vec<u16>>,
}

impl<E: From<Error>, F: FnMut(&[Band]) -> Result<(), E>> Gather<F> {
    pub(super) fn new(size: Size, rows: Rows, each: F) -> Self {
        Self { size, rows, each, next: 0, first: 0, codes: Vec::new(), bands: Vec::new(), spare: Vec::new() }
    }

    /// Takes the next row; `grey` is called for its codes if it is wanted.
    pub(super) fn row(&mut self, grey: impl FnOnce(&mut [u16])) -> Result<(), E> {
        let row = self.next;
        self.next += 1;
        if self.rows.within(row..row + 1, self.size.height).next().is_none() {
            return Ok(());
        }
        let width = self.size.width as usize;
        let full = (BAND as usize / width).max(1) * width;
        if self.codes.is_empty() {
            self.first = row;
            self.codes = self.spare.pop().unwrap_or_default();
            self.codes.clear();
            self.codes.reserve_exact(full);
        }
        let start = self.codes.len();
        self.codes.resize(start + width, 0);
        grey(&mut self.codes[start..]);
        if self.codes.len() >= full {
            self.close();
            if self.bands.len() >= bands_a_batch(full as u64) {
                (self.each)(&self.bands)?;
                self.spare.extend(self.bands.drain(..).map(Band::into_samples));
            }
        }
        Ok(())
    }

    fn close(&mut self) {
        let codes = std::mem::take(&mut self.codes);
        if !codes.is_empty() {
            self.bands.push(Band::new(self.first, self.rows.step(), self.size.width, codes));
        }
    }

    /// Hands over what is left.
    pub(super) fn finish(mut self) -> Result<(), E> {
        self.close();
        if self.bands.is_empty() { Ok(()) } else { (self.each)(&self.bands) }
    }
}
