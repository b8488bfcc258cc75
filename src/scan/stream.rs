//! A TIFF's codes in bands, several of them decoded side by side.

use std::ops::Range;
use std::path::Path;

use super::chunk::Reader;
use super::error::Error;
use super::facts::Compression;
use super::layout::{Grid, Layout};
use super::order::in_order;
use super::rows::Rows;
use super::samples::{Pick, mean};
use crate::plane::{Band, Shelf};

/// Codes of a band to aim at: 512 KB, so that they stay in the processor's cache until they have been worked on.
pub(super) const BAND: u32 = 1 << 18;
/// Bands that a thread has before it: fewer would wait for one another.
const BANDS_A_THREAD: usize = 8;
/// Most codes of bands in the making, however many threads there are: 16 MB.
const BATCH: u64 = 8 << 20;
/// Bytes that are read and turned into codes at a time, so that they stay in the processor's cache.
const PIECE: usize = 256 << 10;

/// What is wanted of a scan.
#[derive(Clone, Copy)]
pub(super) struct Wanted {
    pub(super) pick: Pick,
    pub(super) rows: Rows,
}

/// Bands that are worked on in one go.
pub(super) fn bands_a_batch(codes_a_band: u64) -> usize {
    (BANDS_A_THREAD * rayon::current_num_threads()).min((BATCH / codes_a_band.max(1)) as usize).max(1)
}

/// What a thread needs to read bands.
struct Desk<'a> {
    reader: Reader<'a>,
    codes: Vec<u16>,
}

/// Works on all wanted rows in bands and takes what came of each, top first. Rows of tiles or packed strips are
/// unpacked together, and worked on by bands.
pub(super) fn stream<T: Send, E: From<Error>>(
    path: &Path,
    layout: &Layout,
    wanted: Wanted,
    work: impl Fn(&Band<'_>) -> T + Sync,
    mut take: impl FnMut(T) -> Result<(), E>,
) -> Result<(), E> {
    let height = layout.size.height;
    let span = layout.rows_together();
    let spans: Vec<Range<u32>> = (0..height)
        .step_by(span as usize)
        .map(|first| first..first.saturating_add(span).min(height))
        .filter(|span| wanted.rows.within(span.clone(), height).next().is_some())
        .collect();
    let at_once = bands_a_batch(layout.codes_together() * wanted.pick.codes() as u64);
    // The buffers of one band serve another: fresh memory for each would cost as much as reading.
    let desks = Shelf::default();
    let desk = || Desk { reader: Reader::new(path), codes: Vec::new() };
    let make = |span: &Range<u32>| {
        desks.lend(desk, |desk| {
            let whole = band(desk, layout, wanted, span.clone())?;
            Ok(whole.parts(BAND as usize).map(|part| work(&part)).collect::<Vec<_>>())
        })
    };
    in_order(&spans, at_once, make, |made| made.into_iter().try_for_each(&mut take))
}

impl Layout {
    /// Whether rows can be read without those above them.
    fn cuts_anywhere(&self) -> bool {
        self.compression == Compression::None && matches!(self.grid, Grid::Strips { .. })
    }

    /// Rows that are read together: a band's, or those of a chunk if they are more.
    fn rows_together(&self) -> u32 {
        let unit = if self.cuts_anywhere() { 1 } else { self.chunk_rows() };
        unit * (BAND / self.size.width / unit).max(1)
    }

    /// Their codes of one channel.
    fn codes_together(&self) -> u64 {
        u64::from(self.rows_together().min(self.size.height)) * u64::from(self.size.width)
    }

    /// Bytes of memory that the rows that are read together take beyond those of usual bands: for each thread where they
    /// are unpacked, plane by plane, and for all that are in the making what comes of them.
    pub(super) fn bytes_beyond_bands(&self, pick: Pick) -> u64 {
        let planes = if self.planar && pick == Pick::Mean { 3 } else { 1 };
        let of = |codes: u64, planes: usize| {
            let at_once = bands_a_batch(codes);
            let unpacked = planes * at_once.min(rayon::current_num_threads());
            size_of::<u16>() as u64 * codes * (unpacked + at_once) as u64
        };
        of(self.codes_together(), planes).saturating_sub(of(u64::from(BAND), 1))
    }
}

/// The wanted rows among `span`, which holds at least one and begins with a chunk's first row unless rows can be cut.
fn band<'d>(desk: &'d mut Desk<'_>, layout: &Layout, wanted: Wanted, span: Range<u32>) -> Result<Band<'d>, Error> {
    let Desk { reader, codes } = desk;
    let width = layout.size.width as usize * wanted.pick.codes();
    let rows: Vec<u32> = wanted.rows.within(span, layout.size.height).collect();
    codes.resize(rows.len() * width, 0);
    match wanted.pick {
        pick if !layout.planar => fill(reader, layout, 0, pick, &rows, codes)?,
        Pick::One(channel) => fill(reader, layout, channel, Pick::One(0), &rows, codes)?,
        Pick::Mean => {
            let (mut green, mut blue) = (vec![0; codes.len()], vec![0; codes.len()]);
            for (plane, into) in [&mut *codes, &mut green, &mut blue].into_iter().enumerate() {
                fill(reader, layout, plane, Pick::One(0), &rows, into)?;
            }
            for (code, (green, blue)) in codes.iter_mut().zip(green.into_iter().zip(blue)) {
                *code = mean(*code, green, blue);
            }
        }
        Pick::Each => {
            let mut one = vec![0; rows.len() * layout.size.width as usize];
            for plane in 0..3 {
                fill(reader, layout, plane, Pick::One(0), &rows, &mut one)?;
                codes.iter_mut().skip(plane).step_by(3).zip(&one).for_each(|(code, of)| *code = *of);
            }
        }
    }
    Ok(Band::new(rows[0], wanted.rows.step(), width as u32, codes))
}

/// Fills `codes` with the given rows of one plane, chunk by chunk.
fn fill(
    reader: &mut Reader<'_>,
    layout: &Layout,
    plane: usize,
    pick: Pick,
    rows: &[u32],
    codes: &mut [u16],
) -> Result<(), Error> {
    let width = layout.size.width as usize * pick.codes();
    let (mut rows, mut codes) = (rows, codes);
    while let Some(first) = rows.first() {
        let down = first / layout.chunk_rows();
        let end = layout.rows_of(down).end;
        let count = rows.iter().take_while(|row| **row < end).count();
        let (here, below) = rows.split_at(count);
        let (into, rest) = codes.split_at_mut(count * width);
        if layout.cuts_anywhere() {
            plain_rows(reader, layout, (plane, down), pick, here, into)?;
        } else {
            for across in 0..layout.across() {
                chunk_rows(reader, layout, (plane, down, across), pick, here, into)?;
            }
        }
        (rows, codes) = (below, rest);
    }
    Ok(())
}

/// Rows of an uncompressed strip, read where they lie.
fn plain_rows(
    reader: &mut Reader<'_>,
    layout: &Layout,
    (plane, down): (usize, u32),
    pick: Pick,
    rows: &[u32],
    codes: &mut [u16],
) -> Result<(), Error> {
    let (width, row_bytes) = (layout.size.width as usize * pick.codes(), layout.row_bytes());
    let strip = layout.chunk(plane, down, 0);
    let top = layout.rows_of(down).start;
    // Neighbouring rows are read together, as many as the cache holds; spaced ones each for itself.
    let neighbours = rows.windows(2).all(|pair| pair[1] == pair[0] + 1);
    let together = if neighbours { (PIECE / row_bytes).max(1) } else { 1 };
    for (rows, codes) in rows.chunks(together).zip(codes.chunks_mut(together * width)) {
        let from = u64::from(rows[0] - top) * row_bytes as u64;
        if layout.samples.are_codes() && !layout.lowest_first {
            reader.straight(strip, from, bytemuck::cast_slice_mut(codes))?;
            continue;
        }
        let bytes = reader.plain(layout, strip, from, rows.len() * row_bytes)?;
        for (row, codes) in bytes.chunks_exact(row_bytes).zip(codes.chunks_exact_mut(width)) {
            layout.samples.grey(row, pick, codes);
        }
    }
    Ok(())
}

/// Rows of a tile or a packed strip, which is unpacked down to the last of them.
fn chunk_rows(
    reader: &mut Reader<'_>,
    layout: &Layout,
    (plane, down, across): (usize, u32, u32),
    pick: Pick,
    rows: &[u32],
    codes: &mut [u16],
) -> Result<(), Error> {
    let (width, row_bytes) = (layout.size.width as usize * pick.codes(), layout.row_bytes());
    let chunk = layout.chunk(plane, down, across);
    let top = layout.rows_of(down).start;
    let Some(last) = rows.last() else { return Ok(()) };
    let needed = (last - top) as usize + 1;
    let plain = match layout.compression {
        Compression::None => reader.plain(layout, chunk, 0, needed * row_bytes)?,
        _ => reader.unpack(layout, chunk, needed * row_bytes, needed == layout.rows_of(down).len())?,
    };
    let chunk_width = layout.chunk_width() as usize * pick.codes();
    let left = across as usize * chunk_width;
    let columns = left..(left + chunk_width).min(width);
    for (row, codes) in rows.iter().zip(codes.chunks_exact_mut(width)) {
        let at = (row - top) as usize * row_bytes;
        layout.samples.grey(&plain[at..at + row_bytes], pick, &mut codes[columns.clone()]);
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plane::Size;
    use crate::scan::samples::{Depth, Samples};

    fn layout(planar: bool, grid: Grid) -> Layout {
        let samples =
            Samples { depth: Depth::Sixteen, big_endian: false, per_pixel: 1, predicted: false, inverted: false };
        let (size, compression) = (Size { width: 20_000, height: 5000 }, Compression::Deflate);
        let (colours, extra, lowest_first, chunks) = (1, 0, false, Vec::new());
        Layout { size, samples, colours, extra, compression, lowest_first, planar, grid, chunks }
    }

    /// A row of tiles of 500 is ten million codes: one at a time, where it is unpacked and what comes of it.
    #[test]
    fn rows_of_large_tiles_are_counted_and_usual_strips_are_not() {
        let tiles = Grid::Tiles { width: 500, height: 500 };
        let threads = rayon::current_num_threads() as u64;
        let usual = 2 * u64::from(BAND) * (threads + bands_a_batch(u64::from(BAND)) as u64);
        assert_eq!(layout(false, tiles).bytes_beyond_bands(Pick::One(0)), 40_000_000u64.saturating_sub(usual));
        assert_eq!(layout(true, tiles).bytes_beyond_bands(Pick::One(1)), 40_000_000u64.saturating_sub(usual));
        assert_eq!(layout(true, tiles).bytes_beyond_bands(Pick::Mean), 80_000_000u64.saturating_sub(usual));
        assert_eq!(layout(false, Grid::Strips { rows: 13 }).bytes_beyond_bands(Pick::One(0)), 0);
    }
}
