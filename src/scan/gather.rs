//! Rows that come one after another, gathered into bands and the bands into batches.

use super::error::Error;
use super::order::{Outlet, as_it_comes};
use super::rows::Rows;
use super::stream::{BAND, bands_a_batch};
use crate::plane::{Band, Size};

/// Works on the wanted ones of the rows that `read` gathers, in bands, and takes what came of each, top first.
pub(super) fn gathered<T: Send, E: From<Error>>(
    size: Size,
    rows: Rows,
    read: impl FnOnce(&mut Gather<'_>) -> Result<(), Error> + Send,
    work: impl Fn(&Band<'_>) -> T + Sync,
    take: impl FnMut(T) -> Result<(), E>,
) -> Result<(), E> {
    let read = |outlet: &Outlet<Gathered>| {
        let mut gather = Gather { size, rows, outlet, next: 0, band: None, bands: Vec::new() };
        read(&mut gather)?;
        gather.finish()
    };
    let work = |gathered: &Gathered| work(&Band::new(gathered.first, rows.step(), size.width, &gathered.codes));
    as_it_comes(read, work, take)
}

/// Takes the rows of a scan in order and hands over the wanted ones.
pub(super) struct Gather<'a> {
    size: Size,
    rows: Rows,
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
    /// Takes the next row; `grey` is called for its codes if it is wanted.
    pub(super) fn row(&mut self, grey: impl FnOnce(&mut [u16])) -> Result<(), Error> {
        let row = self.next;
        self.next += 1;
        if self.rows.within(row..row + 1, self.size.height).next().is_none() {
            return Ok(());
        }
        let width = self.size.width as usize;
        let full = (BAND as usize / width).max(1) * width;
        let band = self.band.get_or_insert_with(|| {
            let mut codes = self.outlet.spare().map(|band| band.codes).unwrap_or_default();
            codes.clear();
            codes.reserve_exact(full);
            Gathered { first: row, codes }
        });
        let start = band.codes.len();
        band.codes.resize(start + width, 0);
        grey(&mut band.codes[start..]);
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
