//! A TIFF that was cut short: which of its rows are there.

use std::io::{BufReader, Read, Seek};

use super::directory::Source;
use super::error::Error;
use super::expand::{LowestFirst, expand};
use super::facts::Compression;
use super::layout::{Chunk, Grid, Layout};
use crate::plane::Size;

/// What becomes of a scan that was cut short.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Torn {
    /// It is refused.
    #[default]
    Refuse,
    /// The whole rows that are there are taken for the scan.
    Salvage,
}

/// Bytes read from the file at a time.
const BUFFER: usize = 256 << 10;

/// How many rows from the top are there in every plane. A strip that the file ends in counts as far as its rows can be
/// had.
///
/// # Errors
/// When the disk fails: a file that cannot be read is not one that was cut short.
pub(super) fn rows_there<R: Read + Seek + Send>(source: &mut Source<R>, layout: &Layout) -> Result<u32, Error> {
    let (across, down) = (layout.across() as usize, layout.chunks_down() as usize);
    let mut rows = layout.size.height;
    for plane in layout.chunks.chunks(across * down) {
        let end = source.length();
        let Some(torn) = plane.iter().position(|chunk| !chunk.ends_by(end)) else { continue };
        let (row, chunk) = ((torn / across) as u32, plane[torn]);
        rows = rows.min(layout.rows_of(row).start + rows_of_torn(source, layout, row, chunk)?);
    }
    Ok(rows)
}

/// Whole rows of the chunk that the file ends in.
fn rows_of_torn<R: Read + Seek + Send>(
    source: &mut Source<R>,
    layout: &Layout,
    row: u32,
    chunk: Chunk,
) -> Result<u32, Error> {
    let bytes = source.length().saturating_sub(chunk.offset);
    if bytes == 0 || matches!(layout.grid, Grid::Tiles { .. }) {
        return Ok(0);
    }
    let most = layout.rows_of(row).len() as u32;
    if layout.compression == Compression::None {
        return Ok(most.min((bytes / layout.row_bytes() as u64) as u32));
    }
    // The end of the packed bytes may lie in the middle of a code: the rows before it are whole.
    let packed = source.from(chunk.offset)?;
    let mut unpacked = if layout.lowest_first {
        expand(layout.compression, BufReader::with_capacity(BUFFER, LowestFirst(packed)))?
    } else {
        expand(layout.compression, BufReader::with_capacity(BUFFER, packed))?
    };
    let mut one = vec![0; layout.row_bytes()];
    for row in 0..most {
        match unpacked.read_exact(&mut one).map_err(Error::from) {
            Ok(()) => {}
            Err(disk @ Error::Disk(_)) => return Err(disk),
            Err(_) => return Ok(row),
        }
    }
    Ok(most)
}

impl Layout {
    /// The layout of the first `rows` rows, all of which are there.
    pub(super) fn cut_to(self, rows: u32, length: u64) -> Self {
        let (across, before) = (self.across() as usize, self.chunks_down() as usize);
        let size = Size { height: rows, ..self.size };
        let after = rows.div_ceil(self.chunk_rows()) as usize;
        let kept = self.chunks.chunks(across * before).flat_map(|plane| &plane[..across * after]);
        let ending = |chunk: &Chunk| Chunk { length: chunk.length.min(length - chunk.offset), ..*chunk };
        let chunks = kept.map(ending).collect();
        Self { size, chunks, ..self }
    }
}
