//! Packed strips too large to unpack at once, streamed row by row.

use std::fs::File;
use std::io::{BufReader, Read, Seek, SeekFrom};
use std::path::Path;

use super::chunk::{checked_end, short_chunk};
use super::error::Error;
use super::expand::{LowestFirst, expand};
use super::facts::Compression;
use super::gather::{Gather, gathered};
use super::layout::{Chunk, Grid, Layout};
use super::samples::{Pick, mean};
use super::stream::Wanted;
use crate::plane::Band;

/// Unpacked bytes from which on a strip is streamed.
const GIANT: u64 = 4 << 20;
/// Bytes read from the file at a time.
const BUFFER: usize = 256 << 10;

/// Whether a page is one that this file reads.
pub(super) fn is_giant(layout: &Layout) -> bool {
    let bytes = layout.row_bytes() as u64 * u64::from(layout.chunk_rows());
    layout.compression != Compression::None && matches!(layout.grid, Grid::Strips { .. }) && bytes > GIANT
}

/// Works on all wanted rows and takes what came of them, top first. The unpacking is one thread's work: such a strip
/// has no other way in. It ends with the last wanted row; strips that hold none are left packed.
pub(super) fn stream_giant<T: Send, E: From<Error>>(
    path: &Path,
    layout: &Layout,
    wanted: Wanted,
    work: impl Fn(&Band<'_>) -> T + Sync,
    take: impl FnMut(T) -> Result<(), E>,
) -> Result<(), E> {
    gathered(layout.size, wanted, |gather| unpack(path, layout, wanted.pick, gather), work, take)
}

fn unpack(path: &Path, layout: &Layout, pick: Pick, gather: &mut Gather<'_>) -> Result<(), Error> {
    let planes = match pick {
        _ if !layout.planar => 0..1,
        Pick::One(channel) => channel..channel + 1,
        Pick::Mean | Pick::Each => 0..3,
    };
    let side_by_side = pick == Pick::Each;
    let pick = if layout.planar { Pick::One(0) } else { pick };
    let mut packed = vec![0; layout.row_bytes()];
    let mut codes = vec![vec![0; layout.size.width as usize * pick.codes()]; planes.len()];
    for down in 0..layout.size.height.div_ceil(layout.chunk_rows()) {
        let here = layout.rows_of(down).len() as u32;
        if !gather.wants(here) {
            gather.pass(here);
            continue;
        }
        let open = |plane| open_strip(path, layout, layout.chunk(plane, down, 0));
        let mut strips = planes.clone().map(open).collect::<Result<Vec<_>, Error>>()?;
        for _ in 0..here {
            if gather.is_done() {
                return Ok(());
            }
            let wanted = gather.wants(1);
            for (strip, codes) in strips.iter_mut().zip(&mut codes) {
                strip.read_exact(&mut packed).map_err(short_chunk)?;
                if wanted {
                    layout.samples.grey(&packed, pick, codes);
                }
            }
            gather.row(|row| match codes.as_slice() {
                [red, green, blue] if side_by_side => {
                    for (x, pixel) in row.chunks_exact_mut(3).enumerate() {
                        pixel.copy_from_slice(&[red[x], green[x], blue[x]]);
                    }
                }
                [red, green, blue] => {
                    for (x, code) in row.iter_mut().enumerate() {
                        *code = mean(red[x], green[x], blue[x]);
                    }
                }
                one => row.copy_from_slice(&one[0]),
            })?;
        }
        if layout.compression == Compression::Deflate {
            strips.iter_mut().try_for_each(checked_end)?;
        }
    }
    Ok(())
}

fn open_strip(path: &Path, layout: &Layout, strip: Chunk) -> Result<Box<dyn Read + Send>, Error> {
    let mut file = File::open(path)?;
    file.seek(SeekFrom::Start(strip.offset))?;
    let bytes = file.take(strip.length);
    if layout.lowest_first {
        expand(layout.compression, BufReader::with_capacity(BUFFER, LowestFirst(bytes)))
    } else {
        expand(layout.compression, BufReader::with_capacity(BUFFER, bytes))
    }
}
