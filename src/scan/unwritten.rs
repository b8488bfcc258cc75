//! Rows at the end of a plain TIFF that nothing was ever written to.
//!
//! A system that copies a file often makes room for all of it first, and that room holds zeros. A copy that is broken
//! off then has its full size, and its last rows are black. A holder, or black cut off by the scanner's program, is
//! black as well: so these rows are told apart by where they begin. What is written comes in whole pages, and ends in
//! the middle of a row; a dark edge of a picture ends where a row does, or tapers off.

use std::io::{Read, Seek, SeekFrom};
use std::ops::Range;

use super::error::Error;
use super::facts::Compression;
use super::layout::{Grid, Layout};

/// Bytes that systems and networks write together, at the least, or a multiple of it (page size of x86-64; ARM64 knows
/// 4, 16 and 64 kB; cluster of NTFS, ext4 and APFS as they are made by default; common practice).
const PAGE: u64 = 4096;

/// Bytes looked at together.
const BLOCK: u64 = 64 << 10;

/// Least share of the last written page that holds something: a picture's noise leaves hardly a byte at zero, and dark
/// 16-bit codes every other.
const WRITTEN: f64 = 0.25;

/// Rows at the end that are zero to the last bit and begin as only a copy that was broken off makes them, from the
/// first that is not whole; of plain strips one after another.
///
/// # Errors
/// When the disk fails.
pub(super) fn unwritten<R: Read + Seek>(input: &mut R, layout: &Layout) -> Result<Option<Range<u32>>, Error> {
    let in_order = layout.chunks.windows(2).all(|pair| pair[0].offset + pair[0].length <= pair[1].offset);
    let plain = layout.compression == Compression::None && !layout.planar && matches!(layout.grid, Grid::Strips { .. });
    let (Some(first), Some(last), true) = (layout.chunks.first(), layout.chunks.last(), plain && in_order) else {
        return Ok(None);
    };
    let written = end_of_written(input, first.offset)?;
    let broken = written.next_multiple_of(PAGE);
    // The last code before the break may have a byte at zero, as dark ones have.
    if broken >= last.offset + last.length || broken - written > 1 || broken < first.offset + PAGE {
        return Ok(None);
    }
    let mut page = vec![0; PAGE as usize];
    input.seek(SeekFrom::Start(broken - PAGE))?;
    input.read_exact(&mut page)?;
    let held = page.iter().filter(|byte| **byte != 0).count() as f64 / PAGE as f64;
    let Some(down) = layout.chunks.iter().rposition(|chunk| chunk.offset <= broken) else { return Ok(None) };
    let into = broken - layout.chunks[down].offset;
    if held < WRITTEN || into.is_multiple_of(layout.row_bytes() as u64) {
        return Ok(None);
    }
    let row = layout.rows_of(down as u32).start + (into / layout.row_bytes() as u64) as u32;
    Ok((row < layout.size.height).then_some(row..layout.size.height))
}

/// Where the zeros begin that the file ends in; no further up than `top`.
fn end_of_written<R: Read + Seek>(input: &mut R, top: u64) -> Result<u64, Error> {
    let mut end = input.seek(SeekFrom::End(0))?;
    // Of nearly all scans one page is enough.
    let mut length = PAGE;
    while end > top {
        let start = end.saturating_sub(length).max(top);
        let mut block = vec![0; (end - start) as usize];
        input.seek(SeekFrom::Start(start))?;
        input.read_exact(&mut block)?;
        if let Some(at) = block.iter().rposition(|byte| *byte != 0) {
            return Ok(start + at as u64 + 1);
        }
        (end, length) = (start, BLOCK);
    }
    Ok(top)
}
