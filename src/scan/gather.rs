//! Rows that come one after another, gathered into bands and the bands into batches.

use super::error::Error;
use super::order::{Outlet, as_it_comes};
use super::stream::{BAND, Wanted, bands_a_batch};
use crate::plane::{Band, Size};

/// Works on the wanted ones of the rows that `read` gathers, in bands, and takes what came of each, top first.
pub(super) fn gathered<T: Send, E: From<Error>>(
    size: Size,
    wanted: Wanted,
    read: impl FnOnce(&mut Gather<'_>) -> Result<(), Error> + Send,
    work: impl Fn(&Band<'_>) -> T + Sync,
    take: impl FnMut(T) -> Result<(), E>,
) -> Result<(), E> {
    let read = |outlet: &Outlet<Gathered>| {
        let mut gather = Gather { size, wanted, outlet, next: 0, band: None, bands: Vec::new() };
        read(&mut gather)?;
        gather.finish()
    };
    let width = size.width * wanted.pick.codes() as u32;
    let work = |gathered: &Gathered| work(&Band::new(gathered.first, wanted.rows.step(), width, &gathered.codes));
    as_it_comes(read, work, take)
}

/// Takes the rows of a scan in order and hands over the wanted ones.
pub(super) struct Gather<'a> {
    size: Size,
    wanted: Wanted,
    outlet: &'a Outlet<Gathered>,
    next: u32,
    band: Option<Gathered>,
    bands: Vec<Gathered>,
}

/// Rows of a band from this one on.
struct Gathered {
    first: u32,
    codes: Vec<u16>,
}

impl Gather<'_> {
    /// Whether no row is wanted any more: what comes after it need not be unpacked.
    pub(super) fn is_done(&self) -> bool {
        self.wanted.rows.are_done(self.next)
    }

    /// Whether one of the next `rows` is wanted.
    pub(super) fn wants(&self, rows: u32) -> bool {
        self.wanted.rows.within(self.next..self.next + rows, self.size.height).next().is_some()
    }

    /// Goes past rows that are not wanted.
    pub(super) fn pass(&mut self, rows: u32) {
        self.next += rows;
    }

    /// Takes the next row; `codes` is called for its codes if it is wanted.
    pub(super) fn row(&mut self, codes: impl FnOnce(&mut [u16])) -> Result<(), Error> {
        let wanted = self.wants(1);
        let row = self.next;
        self.next += 1;
        if !wanted {
            return Ok(());
        }
        let width = self.size.width as usize * self.wanted.pick.codes();
        let full = (BAND as usize / width).max(1) * width;
        let band = self.band.get_or_insert_with(|| {
            let mut codes = self.outlet.spare().map(|band| band.codes).unwrap_or_default();
            codes.clear();
            codes.reserve_exact(full);
            Gathered { first: row, codes }
        });
        let start = band.codes.len();
        band.codes.resize(start + width, 0);
        codes(&mut band.codes[start..]);
        if band.codes.len() >= full {
            self.bands.extend(self.band.take());
            if self.bands.len() >= bands_a_batch(full as u64) {
                self.outlet.put(std::mem::take(&mut self.bands))?;
            }
        }
        Ok(())
    }

    /// Hands over what is left.
    fn finish(mut self) -> Result<(), Error> {
        self.bands.extend(self.band.take());
        if self.bands.is_empty() { Ok(()) } else { self.outlet.put(self.bands) }
    }
}
