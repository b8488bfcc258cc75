//! Where a TIFF page's samples lie, checked against the file before anything is allocated.

use std::io::{Read, Seek};
use std::ops::Range;

use super::directory::{Directory, Source};
use super::error::Error;
use super::facts::Compression;
use super::salvage::{self, Torn};
use super::samples::{Depth, Samples};
use crate::plane::Size;

/// Longest edge of a scan in pixels.
pub(super) const EDGE: u32 = 200_000;
/// Most pixels of a scan.
pub(super) const PIXELS: u64 = 1_500_000_000;
/// Most samples a pixel.
const PER_PIXEL: u64 = 8;
/// Most bytes of a tile, and of a row of tiles as codes.
const TILE_BYTES: u64 = 64 << 20;
const TILE_ROW_PIXELS: u64 = 128 << 20;
/// Most strips or tiles.
const CHUNKS: u64 = 4 << 20;
/// No packing makes more than this many pixels of a byte (Deflate: at most 1032 bytes of one).
const PIXELS_A_BYTE: u64 = 2000;

/// The validated geometry of a page: all chunks lie in the file.
#[derive(Debug)]
pub(super) struct Layout {
    pub(super) size: Size,
    pub(super) samples: Samples,
    /// Colour channels, 1 or 3; further ones follow them.
    pub(super) colours: u8,
    pub(super) extra: u8,
    pub(super) compression: Compression,
    /// FillOrder 2.
    pub(super) lowest_first: bool,
    /// Each channel has chunks of its own.
    pub(super) planar: bool,
    pub(super) grid: Grid,
    /// Plane after plane, in each row after row of chunks.
    pub(super) chunks: Vec<Chunk>,
}

/// How a page is cut into chunks.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Grid {
    /// Full rows, this many a strip but the last.
    Strips { rows: u32 },
    /// Tiles of one size, the outer ones padded.
    Tiles { width: u32, height: u32 },
}

/// Where the bytes of a strip or tile lie.
#[derive(Clone, Copy, Debug)]
pub(super) struct Chunk {
    pub(super) offset: u64,
    pub(super) length: u64,
}

impl Chunk {
    /// Whether a file of so many bytes holds all of it.
    pub(super) fn ends_by(self, length: u64) -> bool {
        self.offset.checked_add(self.length).is_some_and(|end| end <= length)
    }
}

impl Layout {
    /// Rows of a full chunk.
    pub(super) fn chunk_rows(&self) -> u32 {
        match self.grid {
            Grid::Strips { rows } => rows,
            Grid::Tiles { height, .. } => height,
        }
    }

    /// Columns of a chunk.
    pub(super) fn chunk_width(&self) -> u32 {
        match self.grid {
            Grid::Strips { .. } => self.size.width,
            Grid::Tiles { width, .. } => width,
        }
    }

    /// Bytes of a row of a chunk, unpacked.
    pub(super) fn row_bytes(&self) -> usize {
        self.samples.row_bytes(self.chunk_width()) as usize
    }

    /// Chunks side by side.
    pub(super) fn across(&self) -> u32 {
        self.size.width.div_ceil(self.chunk_width())
    }

    /// Rows of chunks below one another.
    pub(super) fn chunks_down(&self) -> u32 {
        self.size.height.div_ceil(self.chunk_rows())
    }

    /// The rows of the scan that the chunks in the `down`th row of chunks hold.
    pub(super) fn rows_of(&self, down: u32) -> Range<u32> {
        let first = down * self.chunk_rows();
        first..first.saturating_add(self.chunk_rows()).min(self.size.height)
    }

    /// Rows stored in a chunk of the `down`th row of chunks: tiles are padded, strips are not.
    pub(super) fn stored_rows(&self, down: u32) -> usize {
        match self.grid {
            Grid::Strips { .. } => self.rows_of(down).len(),
            Grid::Tiles { height, .. } => height as usize,
        }
    }

    pub(super) fn chunk(&self, plane: usize, down: u32, across: u32) -> Chunk {
        let per_plane = self.across() as usize * self.chunks_down() as usize;
        self.chunks[plane * per_plane + down as usize * self.across() as usize + across as usize]
    }

    /// Reads and checks the layout of the page that `directory` describes. All of its chunks lie in the file, or it is
    /// `Torn`.
    pub(super) fn of<R: Read + Seek + Send>(
        source: &mut Source<R>,
        directory: &Directory,
        torn: Torn,
    ) -> Result<Self, Error> {
        let size = size_of(source, directory)?;
        let photometric = source.first(directory, 262)?;
        let (colours, inverted) = match photometric {
            Some(0) => (1, true),
            Some(1) => (1, false),
            Some(2) => (3, false),
            Some(3) => return Err(Error::unsupported("its colours are a palette")),
            Some(5) => return Err(Error::unsupported("its colours are printing inks (CMYK)")),
            Some(6) => return Err(Error::unsupported("its colours are YCbCr, as JPEG leaves them")),
            Some(n) => {
                return Err(Error::unsupported(format!(
                    "its colours are of kind {n} (TIFF PhotometricInterpretation)"
                )));
            }
            None => return Err(Error::damaged("the file does not say whether black or white is zero")),
        };
        let compression = compression_of(source, directory)?;
        let per_pixel = source.first(directory, 277)?.unwrap_or(1);
        if per_pixel < u64::from(colours) {
            return Err(Error::damaged("the file has fewer channels than its colours need"));
        }
        if per_pixel > PER_PIXEL {
            return Err(Error::unsupported(format!("it has {per_pixel} channels")));
        }
        let depth = depth_of(source, directory, per_pixel)?;
        let predicted = match source.first(directory, 317)?.unwrap_or(1) {
            1 => false,
            // TIFF 6.0 knows differences in LZW data only; readers disagree about what they mean elsewhere but in
            // Deflate.
            2 if compression == Compression::None || compression == Compression::PackBits => {
                return Err(Error::unsupported(format!(
                    "it claims differences (Predictor 2) with packing \"{compression}\""
                )));
            }
            2 if depth == Depth::Twelve => {
                return Err(Error::unsupported("it stores 12-bit differences (Predictor 2)"));
            }
            2 => true,
            n => return Err(Error::unsupported(format!("it stores differences of kind {n} (TIFF Predictor)"))),
        };
        let planar = match source.first(directory, 284)?.unwrap_or(1) {
            1 => false,
            2 => per_pixel > 1,
            _ => return Err(Error::damaged("the file's order of channels makes no sense (PlanarConfiguration)")),
        };
        let lowest_first = source.first(directory, 266)? == Some(2);
        let side_by_side = if planar { 1 } else { per_pixel as usize };
        let big_endian = source.is_big_endian();
        let samples = Samples { depth, big_endian, per_pixel: side_by_side, predicted, inverted };
        let grid = grid_of(source, directory, size, &samples)?;
        let extra = per_pixel as u8 - colours;
        let chunks = Vec::new();
        let mut layout = Self { size, samples, colours, extra, compression, lowest_first, planar, grid, chunks };
        layout.chunks = chunks_of(source, directory, &layout)?;
        if layout.chunks.iter().all(|chunk| chunk.ends_by(source.length())) {
            return Ok(layout);
        }
        if torn == Torn::Refuse {
            return Err(Error::Torn);
        }
        match salvage::rows_there(source, &layout)? {
            0 => Err(Error::cut_short()),
            rows => Ok(layout.cut_to(rows, source.length())),
        }
    }
}

/// Width and height, checked against what is read.
pub(super) fn size_of<R: Read + Seek>(source: &mut Source<R>, directory: &Directory) -> Result<Size, Error> {
    let edge = |value: Option<u64>| value.ok_or_else(|| Error::damaged("the file does not say how large the scan is"));
    let (width, height) = (edge(source.first(directory, 256)?)?, edge(source.first(directory, 257)?)?);
    checked_size(width, height)
}

/// A size that is neither empty nor beyond what is read.
pub(super) fn checked_size(width: u64, height: u64) -> Result<Size, Error> {
    if width == 0 || height == 0 {
        return Err(Error::damaged("the file says that the scan is empty"));
    }
    if width > u64::from(EDGE) || height > u64::from(EDGE) || width * height > PIXELS {
        let what = format!(
            "it claims {width} x {height} pixels; at most {EDGE} a side and 1.5 thousand million in all are read"
        );
        return Err(Error::TooLarge(what.into()));
    }
    Ok(Size { width: width as u32, height: height as u32 })
}

fn compression_of<R: Read + Seek>(source: &mut Source<R>, directory: &Directory) -> Result<Compression, Error> {
    let name = match source.first(directory, 259)?.unwrap_or(1) {
        1 => return Ok(Compression::None),
        5 => return Ok(Compression::Lzw),
        8 | 32946 => return Ok(Compression::Deflate),
        32773 => return Ok(Compression::PackBits),
        2..=4 => "a fax code",
        6 | 7 => "JPEG, which loses tones",
        34712 | 33003 | 33005 => "JPEG 2000",
        34887 => "LERC",
        34925 => "LZMA",
        50000 | 34926 => "Zstandard",
        50001 | 34927 => "WebP",
        n => return Err(Error::unsupported(format!("it is packed by method {n} (TIFF Compression)"))),
    };
    Err(Error::unsupported(format!("it is packed by {name}")))
}

fn depth_of<R: Read + Seek>(source: &mut Source<R>, directory: &Directory, per_pixel: u64) -> Result<Depth, Error> {
    let values = |source: &mut Source<R>, tag, default| match directory.entry(tag) {
        Some(entry) => source.numbers(entry, per_pixel),
        None => Ok(vec![default]),
    };
    // TIFF 6.0: BitsPerSample 1 and SampleFormat 1, unsigned, unless the file says else; format 4 is "undefined".
    let (bits, formats) = (values(source, 258, 1)?, values(source, 339, 1)?);
    if formats.contains(&3) {
        return Err(Error::unsupported("its samples are floating-point numbers"));
    }
    if formats.iter().any(|format| *format != 1 && *format != 4) {
        return Err(Error::unsupported("its samples are signed numbers"));
    }
    match bits.first() {
        Some(first) if bits.iter().any(|b| b != first) => Err(Error::unsupported("its channels differ in depth")),
        Some(8) => Ok(Depth::Eight),
        Some(12) => Ok(Depth::Twelve),
        Some(16) => Ok(Depth::Sixteen),
        Some(n) => Err(Error::unsupported(format!("it has {n} bits a sample"))),
        None => Err(Error::damaged("the file does not say how deep its samples are")),
    }
}

fn grid_of<R: Read + Seek>(
    source: &mut Source<R>,
    directory: &Directory,
    size: Size,
    samples: &Samples,
) -> Result<Grid, Error> {
    if directory.entry(322).is_none() && directory.entry(324).is_none() {
        // Missing or 2^32 - 1: all rows in one strip (TIFF 6.0, RowsPerStrip).
        let rows = source.first(directory, 278)?.unwrap_or(u64::MAX).min(u64::from(size.height)) as u32;
        return if rows == 0 {
            Err(Error::damaged("the file's strips hold no rows"))
        } else {
            Ok(Grid::Strips { rows })
        };
    }
    let edge = |value: Option<u64>| {
        let value = value.filter(|edge| (1..=u64::from(EDGE) * 2).contains(edge));
        value.ok_or_else(|| Error::damaged("the size of the file's tiles makes no sense"))
    };
    let (width, height) = (edge(source.first(directory, 322)?)? as u32, edge(source.first(directory, 323)?)? as u32);
    if samples.row_bytes(width) * u64::from(height) > TILE_BYTES
        || u64::from(height) * u64::from(size.width) > TILE_ROW_PIXELS
    {
        return Err(Error::Unsuited("its tiles are too large: save it in strips, or in tiles of 1024 pixels".into()));
    }
    Ok(Grid::Tiles { width, height })
}

fn chunks_of<R: Read + Seek>(
    source: &mut Source<R>,
    directory: &Directory,
    layout: &Layout,
) -> Result<Vec<Chunk>, Error> {
    let planes = if layout.planar { u64::from(layout.colours + layout.extra) } else { 1 };
    let down = layout.chunks_down();
    let count = u64::from(layout.across()) * u64::from(down) * planes;
    if count > CHUNKS {
        return Err(Error::damaged("the file has more strips or tiles than makes sense"));
    }
    let (offsets, lengths) = match layout.grid {
        Grid::Strips { .. } => (273, 279),
        // Old writers list tiles under the numbers of strips, and readers in use put up with it.
        Grid::Tiles { .. } if directory.entry(324).is_none() => (273, 279),
        Grid::Tiles { .. } => (324, 325),
    };
    let missing = || Error::damaged("the file does not say where its pixels lie");
    let offsets = source.numbers(directory.entry(offsets).ok_or_else(missing)?, count)?;
    let lengths = match directory.entry(lengths) {
        Some(entry) => source.numbers(entry, count)?,
        None if layout.compression == Compression::None => vec![0; count as usize],
        None => return Err(missing()),
    };
    if (offsets.len() as u64) < count || (lengths.len() as u64) < count {
        return Err(Error::damaged("the file has fewer strips or tiles than its size needs"));
    }
    let a_row = u64::from(layout.across());
    let mut chunks = Vec::with_capacity(count as usize);
    let mut total = 0;
    for (index, (offset, length)) in (0u64..).zip(offsets.into_iter().zip(lengths)) {
        let plain = layout.row_bytes() as u64 * layout.stored_rows((index / a_row % u64::from(down)) as u32) as u64;
        let length = match (layout.compression, length) {
            (Compression::None, 0) => plain,
            (Compression::None, length) if length < plain => {
                return Err(Error::damaged("a strip or tile holds fewer rows than it should"));
            }
            // What follows the pixels in an uncompressed chunk is nobody's.
            (Compression::None, _) => plain,
            (_, 0) => return Err(Error::damaged("a strip or tile is empty")),
            (_, length) => length,
        };
        // What of it lies in the file.
        total += length.min(source.length().saturating_sub(offset));
        chunks.push(Chunk { offset, length });
    }
    // Plain chunks that overlap claim more than the file holds; packed ones cannot hold that little.
    let overlapping = layout.compression == Compression::None && total > source.length();
    if overlapping || total < layout.size.pixels() / PIXELS_A_BYTE {
        return Err(Error::damaged("the file is far too small for the size it claims"));
    }
    Ok(chunks)
}
