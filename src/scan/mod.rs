//! The file as the scanner left it: its facts, and its codes streamed in bands.
//!
//! ```no_run
//! use dryside::plane::Band;
//! use dryside::scan::{self, Channel, Rows};
//!
//! let scan = scan::open("rope-store.tif".as_ref())?;
//! let mut brightest = 0;
//! let of_band = |band: &Band<'_>| band.samples().iter().copied().max();
//! scan.read(Channel::Green, Rows::All, of_band, |most| {
//!     brightest = brightest.max(most.unwrap_or_default());
//!     Ok::<_, scan::Error>(())
//! })?;
//! # Ok::<_, scan::Error>(())
//! ```
//!
//! A scan is only ever read. Memory does not grow with it: a thread holds a band of about half a megabyte, or a strip
//! or row of tiles where they are larger; only JPEG and interlaced PNG, which cannot be streamed, are held whole,
//! within limits.

mod channel;
mod chunk;
mod describe;
mod directory;
mod error;
mod expand;
mod facts;
mod gather;
mod giant;
mod halt;
mod jpeg;
mod kept;
mod layout;
mod lzw;
mod order;
mod orientation;
mod pages;
mod png;
mod rows;
mod salvage;
mod samples;
mod stream;
mod unwritten;

use std::fs::{self, File};
use std::io::{BufReader, Read};
use std::ops::Range;
use std::path::{Path, PathBuf};

pub use channel::{Channel, UnknownChannel};
pub use error::Error;
pub use facts::{Carried, CarriedTag, Compression, Facts, Format, Resolution};
pub use halt::Halt;
pub use orientation::Orientation;
pub use rows::Rows;
pub use salvage::Torn;

use crate::plane::Band;
use jpeg::JpegPicture;
use kept::Kept;
use layout::Layout;
use png::PngPicture;
use samples::Pick;
use stream::Wanted;

/// A scan whose facts are known and whose codes can be read.
#[derive(Debug)]
pub struct Scan {
    path: PathBuf,
    facts: Facts,
    picture: Picture,
    kept: Option<Kept>,
    halt: Halt,
}

/// How the codes are got at.
#[derive(Debug)]
enum Picture {
    Tiff(Layout),
    Png(PngPicture),
    Jpeg(JpegPicture),
}

/// Opens a scan and reads its facts, no pixels. The kind is told by the first bytes, not by the name.
///
/// # Errors
/// If the file cannot be read, is no picture, is damaged, of a kind that is not read, or beyond the limits.
pub fn open(path: &Path) -> Result<Scan, Error> {
    open_torn(path, Torn::Refuse)
}

/// The same of a TIFF that may have been cut short. What other kinds lack is only known when they are read.
///
/// # Errors
/// Those of [`open`]; if it is torn and to be refused, or nothing of it is there.
pub fn open_torn(path: &Path, torn: Torn) -> Result<Scan, Error> {
    let metadata = fs::metadata(path).map_err(Error::Disk)?;
    if metadata.is_dir() {
        return Err(Error::NotAnImage("it is a folder".into()));
    }
    if !metadata.is_file() {
        return Err(Error::NotAnImage("it is no ordinary file".into()));
    }
    if metadata.len() == 0 {
        return Err(Error::damaged("the file is empty"));
    }
    let mut head = Vec::new();
    File::open(path)?.take(8).read_to_end(&mut head)?;
    let (facts, picture) = if head.starts_with(b"II") || head.starts_with(b"MM") {
        let (facts, layout) = pages::open_tiff(BufReader::new(File::open(path)?), torn)?;
        (facts, Picture::Tiff(layout))
    } else if head.starts_with(png::MAGIC) {
        let (facts, picture) = png::open_png(path)?;
        (facts, Picture::Png(picture))
    } else if head.starts_with(jpeg::MAGIC) {
        let (facts, picture) = jpeg::open_jpeg(path)?;
        (facts, Picture::Jpeg(picture))
    } else {
        return Err(Error::NotAnImage("it is no picture of a known kind".into()));
    };
    Ok(Scan { path: path.to_owned(), facts, picture, kept: None, halt: Halt::default() })
}

impl Scan {
    /// What the file says.
    pub fn facts(&self) -> &Facts {
        &self.facts
    }

    /// The same scan, whose reading stops when it is asked to.
    pub fn heeding(self, halt: &Halt) -> Self {
        Self { halt: halt.clone(), ..self }
    }

    /// Whether reading it again means unpacking it again.
    pub fn is_packed(&self) -> bool {
        self.facts.compression != Compression::None
    }

    /// Whether rows in its middle can only be had by unpacking those above them, too.
    pub fn unpacks_from_top(&self) -> bool {
        self.kept.is_none()
            && match &self.picture {
                Picture::Tiff(layout) => giant::is_giant(layout),
                Picture::Png(_) | Picture::Jpeg(_) => true,
            }
    }

    /// Bytes of memory that reading it takes beyond that of other scans: those of a picture that can only be held
    /// whole, of a JPEG's file, of rows of tiles.
    pub fn bytes_to_read(&self, channel: Channel) -> u64 {
        match &self.picture {
            Picture::Tiff(layout) if giant::is_giant(layout) => 0,
            Picture::Tiff(layout) => layout.bytes_beyond_bands(Pick::of(channel, self.facts.channels)),
            Picture::Png(png) => {
                if png.interlaced {
                    png.samples.bytes(self.facts.size)
                } else {
                    0
                }
            }
            Picture::Jpeg(jpeg) => jpeg.samples.bytes(self.facts.size) + jpeg.file,
        }
    }

    /// Rows at its end, from 0, that hold zeros as only a copy leaves them that was broken off. Told of plain TIFFs;
    /// packed ones of that kind are refused when they are read.
    ///
    /// # Errors
    /// When the disk fails.
    pub fn unwritten(&self) -> Result<Option<Range<u32>>, Error> {
        match &self.picture {
            Picture::Tiff(layout) if self.facts.rows_lost == 0 => {
                unwritten::unwritten(&mut File::open(&self.path)?, layout)
            }
            _ => Ok(None),
        }
    }

    /// Reads all codes of one channel into memory, 2 bytes a pixel; from then on they are delivered from there.
    ///
    /// # Errors
    /// Those of [`Scan::read`].
    pub fn keep(&mut self, channel: Channel) -> Result<(), Error> {
        let mut kept = Kept::new(Pick::of(channel, self.facts.channels), self.facts.size);
        self.read(
            channel,
            Rows::All,
            |band| band.samples().to_vec(),
            |codes| {
                kept.push(codes);
                Ok::<_, Error>(())
            },
        )?;
        self.kept = Some(kept);
        Ok(())
    }

    /// Whether codes are kept in memory.
    pub fn is_kept(&self) -> bool {
        self.kept.is_some()
    }

    /// Reads the wanted rows of one channel as grey codes, in bands: 0 is black and 65535 white, whatever the file's
    /// depth and polarity. Rows and columns are as stored; `channel` is of no matter for a grey scan. Each band is
    /// decoded and given to `work` on one of several threads, while its codes are still in the processor's cache; what
    /// came of the bands is given to `take` in order, top first, on this thread.
    ///
    /// # Errors
    /// What `take` returns, if it is asked to stop, or if the file can no longer be read or proves damaged; some rows
    /// before may then have been taken.
    pub fn read<T: Send, E: From<Error>>(
        &self,
        channel: Channel,
        rows: Rows,
        work: impl Fn(&Band<'_>) -> T + Sync,
        take: impl FnMut(T) -> Result<(), E>,
    ) -> Result<(), E> {
        self.stream(Wanted { pick: Pick::of(channel, self.facts.channels), rows }, work, take)
    }

    /// The same of all colour channels, side by side: bands of a colour picture have three codes a pixel, red, green,
    /// blue.
    ///
    /// # Errors
    /// Those of [`Scan::read`].
    pub fn read_colours<T: Send, E: From<Error>>(
        &self,
        rows: Rows,
        work: impl Fn(&Band<'_>) -> T + Sync,
        take: impl FnMut(T) -> Result<(), E>,
    ) -> Result<(), E> {
        self.stream(Wanted { pick: Pick::all(self.facts.channels), rows }, work, take)
    }

    fn stream<T: Send, E: From<Error>>(
        &self,
        wanted: Wanted,
        work: impl Fn(&Band<'_>) -> T + Sync,
        mut take: impl FnMut(T) -> Result<(), E>,
    ) -> Result<(), E> {
        let take = |of_band| if self.halt.is_asked() { Err(Error::Stopped.into()) } else { take(of_band) };
        if let Some(kept) = self.kept.as_ref().filter(|kept| kept.pick == wanted.pick) {
            return kept.stream(wanted.rows, work, take);
        }
        match &self.picture {
            Picture::Tiff(layout) if giant::is_giant(layout) => {
                giant::stream_giant(&self.path, layout, wanted, work, take)
            }
            Picture::Tiff(layout) => stream::stream(&self.path, layout, wanted, work, take),
            Picture::Png(png) => png::stream_png(&self.path, &self.facts, &png.samples, wanted, work, take),
            Picture::Jpeg(jpeg) => jpeg::stream_jpeg(&self.path, &self.facts, &jpeg.samples, wanted, work, take),
        }
    }
}

#[cfg(test)]
mod tests {
    use tiff::encoder::{Compression as Packing, compression::DeflateLevel};
    use tiff::encoder::{TiffEncoder, colortype::Gray16};

    use super::*;

    /// One strip of 8 MB, packed, and a PNG: TIFF 6.0 and ISO/IEC 15948 pack each as one stream.
    #[test]
    fn codes_that_are_kept_need_no_unpacking_from_the_top_whatever_file_they_came_of() {
        let folder = tempfile::tempdir().unwrap();
        let (tif, png) = (folder.path().join("coil.tif"), folder.path().join("coil.png"));
        let file = TiffEncoder::new(File::create(&tif).unwrap()).unwrap();
        let mut file = file.with_compression(Packing::Deflate(DeflateLevel::Fast));
        let mut image = file.new_image::<Gray16>(2000, 2000).unwrap();
        image.rows_per_strip(2000).unwrap();
        image.write_data(&vec![0x1234; 2000 * 2000]).unwrap();
        image::GrayImage::new(40, 60).save(&png).unwrap();
        for path in [tif, png] {
            let mut scan = open(&path).unwrap();
            assert!(scan.unpacks_from_top(), "{}", path.display());
            scan.keep(Channel::Green).unwrap();
            assert!(!scan.unpacks_from_top(), "{}", path.display());
        }
    }
}
