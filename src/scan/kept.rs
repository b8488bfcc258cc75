//! Codes that are kept in memory, for a scan that is dear to read again.

use super::error::Error;
use super::order::in_order;
use super::rows::Rows;
use super::samples::Pick;
use super::stream::bands_a_batch;
use crate::plane::{Band, Shelf, Size};

/// All rows of one channel.
#[derive(Debug)]
pub(super) struct Kept {
    pub(super) pick: Pick,
    size: Size,
    /// In bands, top first, each with its first row.
    bands: Vec<(u32, Vec<u16>)>,
}

impl Kept {
    pub(super) fn new(pick: Pick, size: Size) -> Self {
        Self { pick, size, bands: Vec::new() }
    }

    /// Takes the next band.
    pub(super) fn push(&mut self, codes: Vec<u16>) {
        let rows = |codes: &[u16]| codes.len() as u32 / self.size.width;
        let first = self.bands.last().map_or(0, |(first, codes)| first + rows(codes));
        self.bands.push((first, codes));
    }

    /// Works on the wanted rows in bands and takes what came of each, top first.
    pub(super) fn stream<T: Send, E: From<Error>>(
        &self,
        rows: Rows,
        work: impl Fn(&Band<'_>) -> T + Sync,
        mut take: impl FnMut(T) -> Result<(), E>,
    ) -> Result<(), E> {
        let width = self.size.width as usize;
        let at_once = bands_a_batch(self.bands.first().map_or(0, |(_, codes)| codes.len() as u64));
        let spare = Shelf::default();
        let of_band = |(first, codes): &(u32, Vec<u16>)| {
            if rows == Rows::All {
                return Ok(Some(work(&Band::new(*first, 1, self.size.width, codes))));
            }
            let end = first + (codes.len() / width) as u32;
            let wanted: Vec<u32> = rows.within(*first..end, self.size.height).collect();
            let Some(top) = wanted.first() else { return Ok(None) };
            Ok(Some(spare.lend(Vec::new, |copied: &mut Vec<u16>| {
                copied.clear();
                for row in &wanted {
                    copied.extend_from_slice(&codes[(row - first) as usize * width..][..width]);
                }
                work(&Band::new(*top, rows.step(), self.size.width, copied))
            })))
        };
        in_order(&self.bands, at_once, of_band, |worked: Option<T>| worked.map_or(Ok(()), &mut take))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The slow twin: every row for itself, asked whether it is wanted.
    #[test]
    fn wanted_rows_come_from_memory_as_they_would_from_the_file() {
        let size = Size { width: 3, height: 31 };
        let mut kept = Kept::new(Pick::One(0), size);
        let codes: Vec<u16> = (0..93).collect();
        codes.chunks(15).for_each(|band| kept.push(band.to_vec()));
        for rows in [Rows::All, Rows::EveryNth(4), Rows::EveryNth(100), Rows::Between { first: 3, end: 17 }] {
            let mut got = Vec::new();
            let of_band = |band: &Band<'_>| band.rows().map(|(y, codes)| (y, codes.to_vec())).collect::<Vec<_>>();
            kept.stream(rows, of_band, |rows| -> Result<(), Error> {
                got.extend(rows);
                Ok(())
            })
            .unwrap();
            let wanted = rows.within(0..31, 31).map(|y| (y, codes[3 * y as usize..][..3].to_vec()));
            assert!(wanted.eq(got), "{rows:?}");
        }
    }
}
