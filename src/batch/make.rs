//! A scan's flat positives and small pictures, made in one pass.

use std::io::{BufWriter, Write};
use std::path::{Path, PathBuf};
use std::sync::mpsc::{Receiver, SyncSender, sync_channel};
use std::thread::{self, ScopedJoinHandle};

use crate::light::{Densitometer, grey_profile};
use crate::plane::Band;
use crate::save::{self, Colours, DeepTiff, Packing, Written};
use crate::scan::{self, Carried, Compression, Facts, Rows, Scan};

use super::develop::{Chain, Developed, Spare};
use super::folders::Folders;
use super::frame::Decided;
use super::inscribe::{Inscriber, Printed, Tones};
use super::settings::Settings;
use super::small::{Greys, Growing, Kind, Small};

/// Why a scan's files could not be made.
#[derive(Debug, thiserror::Error)]
pub(super) enum Error {
    /// The scan.
    #[error(transparent)]
    Scan(#[from] scan::Error),
    /// What is written.
    #[error("{}: {error}", path.display())]
    Save {
        /// The file that was to be.
        path: PathBuf,
        /// Why it is not.
        error: save::Error,
    },
}

impl Error {
    fn is_cut_off(&self) -> bool {
        matches!(self, Self::Save { error: save::Error::CutOff, .. })
    }
}

/// The files of a frame that are to be made.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Files {
    /// The flat positive.
    pub flat: bool,
    /// The proof.
    pub proof: bool,
    /// Its picture on the straight pages.
    pub straight: bool,
    /// What the flat positive says of the picture, in a file beside it.
    pub flat_xmp: bool,
    /// And the proof.
    pub proof_xmp: bool,
}

impl Files {
    /// The small pictures among them.
    pub(super) fn kinds(self) -> impl Iterator<Item = Kind> {
        self.proof.then_some(Kind::Proof).into_iter().chain(self.straight.then_some(Kind::Straight))
    }

    /// Whether there is none.
    pub(super) fn is_none(self) -> bool {
        self == Self::default()
    }
}

/// A frame, and what is to be made of it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Task<'a> {
    pub frame: &'a Decided,
    pub files: Files,
}

/// How flat positives are packed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Packed {
    /// How their strips are.
    pub packing: Packing,
    /// Whether differences of neighbours are.
    pub differenced: bool,
}

impl Packed {
    /// As the settings say, else as the scan is.
    pub(super) fn of(settings: &Settings, facts: &Facts) -> Self {
        let packing = settings.packing.unwrap_or(match facts.compression {
            Compression::Lzw => Packing::Lzw,
            Compression::Deflate => Packing::Deflate,
            Compression::PackBits => Packing::PackBits,
            Compression::None | Compression::Jpeg => Packing::None,
        });
        // Grain in the low bits makes LZW larger with differences and Deflate smaller; with LZW the scanner's choice
        // stands.
        let scanners = facts.compression == Compression::Lzw && facts.predictor;
        Self { packing, differenced: packing == Packing::Deflate || scanners }
    }
}

/// What became of a frame; of files that were not to be made nothing is known.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Made {
    /// The flat positive's file.
    pub flat: Written,
    /// The proof's file.
    pub proof: Written,
    /// The file of its picture on the straight pages, if it has one.
    pub straight: Option<Written>,
    /// Pixels of the frame at code 0 of the flat positive.
    pub at_zero: u64,
    /// Pixels of the frame at full scale of the flat positive.
    pub at_full_scale: u64,
    /// What the flat positive says, in a file beside it.
    pub flat_xmp: Option<Written>,
    /// And the proof.
    pub proof_xmp: Option<Written>,
}

/// Bands of a flat positive that may wait for the disk.
const WAITING: usize = 16;

/// What a scan's files are made of, and where.
pub(super) struct Makings<'a> {
    /// The scan.
    pub scan: &'a Scan,
    /// What its codes stand for.
    pub bench: &'a Densitometer,
    /// How it is read and what its files are.
    pub settings: &'a Settings,
    /// How flat positives are packed.
    pub packed: Packed,
    /// What files say of the picture.
    pub inscriber: &'a Inscriber<'a>,
    /// Where they go.
    pub folders: &'a Folders,
    /// Buffers of earlier bands.
    pub spare: &'a Spare,
}

impl Makings<'_> {
    /// Reads the scan once and meanwhile writes each frame's flat positive, its proof and its picture on the straight
    /// pages, each in a thread of its own.
    ///
    /// # Errors
    /// The first that the scan or the disk gives. Files that were not finished by then do not appear.
    pub(super) fn make(&self, tasks: &[Task<'_>]) -> Result<Vec<Made>, Error> {
        let Self { scan, bench, settings, spare, .. } = *self;
        let chains: Vec<_> = tasks.iter().map(|task| Chain::new(task, scan.facts(), bench, settings)).collect();
        thread::scope(|scope| {
            let (mut growing, mut writing) = (Vec::new(), Vec::new());
            for (Task { frame, files }, chain) in tasks.iter().zip(&chains) {
                let (way, bands) = sync_channel(WAITING);
                let (smalls, greys): (Vec<_>, Vec<_>) = chain.smalls.iter().map(Small::grow).unzip();
                let of_flat = files.flat.then(|| scope.spawn(move || self.write_flat(frame, &bands)));
                let small = |(kind, greys)| scope.spawn(move || self.write_small(frame, kind, greys));
                let of_smalls = files.kinds().zip(greys).map(small);
                writing.push(of_flat.into_iter().chain(of_smalls).collect::<Vec<_>>());
                growing.push(GrowingFrame { smalls, way, counted: Made::default() });
            }
            let develop = |band: &Band<'_>| -> Vec<_> { chains.iter().map(|of| of.develop(*band, spare)).collect() };
            let read = scan.read(settings.channel, Rows::All, develop, |developed| {
                growing.iter_mut().zip(developed).try_for_each(|(growing, developed)| growing.take(developed, spare))
            });
            let is_whole = read.is_ok();
            let counted: Vec<_> = growing.into_iter().map(|growing| growing.finish(is_whole)).collect();
            let written: Vec<_> = writing.into_iter().map(|files| all(files.into_iter().map(join).collect())).collect();
            if let Err(Stop::Scan(error)) = read {
                return Err(error.into());
            }
            let made = tasks.iter().zip(counted).zip(all(written)?);
            made.map(|((task, counted), written)| self.with_files(task, counted, written)).collect()
        })
    }

    fn write_flat(&self, frame: &Decided, bands: &Receiver<Vec<u16>>) -> Result<Written, Error> {
        let Self { settings, packed, .. } = *self;
        let facts = self.scan.facts();
        let path = self.folders.flat(&frame.name);
        let icc = grey_profile(&settings.out_encoding);
        let carried = self.inscriber.flat(Tones::of(frame));
        let picture = DeepTiff {
            size: frame.flat_area.size(),
            colours: Colours::Grey,
            packing: packed.packing,
            differenced: packed.differenced,
            icc: &icc,
            resolution: facts.resolution.map(|r| (r.x, r.y)),
            orientation: facts.orientation.value(),
            software: save::PROGRAM,
            carried: &carried.main,
            exif: &carried.exif,
        };
        let saved = save::whole(&path, |file| {
            save::write_tiff(BufWriter::new(file), &picture, |strips| {
                let mut pixels = 0;
                for rows in bands {
                    pixels += rows.len() as u64;
                    strips.rows(&rows)?;
                    self.spare.flat.put(rows);
                }
                // Reading stopped early: the reason is told by who reads, and this file must not appear.
                if pixels == picture.size.pixels() { Ok(()) } else { Err(save::Error::CutOff) }
            })
        });
        saved.map_err(|error| Error::Save { path, error })
    }

    /// A flat positive stays as stored; small pictures are turned upright.
    fn write_small(&self, frame: &Decided, kind: Kind, greys: Greys) -> Result<Written, Error> {
        let path = kind.path(&frame.name, self.folders);
        let jpeg = greys.jpeg(frame.reading.corners, self.scan.facts().orientation);
        let jpeg = jpeg.and_then(|jpeg| save::inscribe_jpeg(&jpeg, &self.of_proof(frame)));
        let saved = jpeg.and_then(|jpeg| save::whole(&path, |file| Ok::<_, save::Error>(file.write_all(&jpeg)?)));
        saved.map_err(|error| Error::Save { path, error })
    }

    /// What a frame's small pictures carry.
    fn of_proof(&self, frame: &Decided) -> Carried {
        let grade = frame.equivalent().map_or(frame.grade, |(grade, _)| grade).to_string();
        let (paper, table) = (frame.stock.paper().name(), frame.stock.table().name());
        let printed = Printed { paper, table, grade: &grade, exposure: frame.exposure };
        self.inscriber.print(Tones::of(frame), printed)
    }

    /// What was made of a frame: its files as they were `written`, and what stands beside them, which is saved now.
    fn with_files(&self, task: &Task<'_>, counted: Made, written: Vec<Written>) -> Result<Made, Error> {
        let Task { frame, files } = *task;
        let flat_xmp = || save_beside(&self.folders.flat_xmp(&frame.name), &self.inscriber.flat(Tones::of(frame)));
        let proof_xmp = || save_beside(&self.folders.proof_xmp(&frame.name), &self.of_proof(frame));
        let (flat_xmp, proof_xmp) =
            (files.flat_xmp.then(flat_xmp).transpose()?, files.proof_xmp.then(proof_xmp).transpose()?);
        let mut made = Made { flat_xmp, proof_xmp, ..counted };
        let mut written = written.into_iter();
        if files.flat {
            made.flat = written.next().unwrap_or_default();
        }
        for (kind, written) in files.kinds().zip(written) {
            match kind {
                Kind::Proof => made.proof = written,
                Kind::Straight => made.straight = Some(written),
            }
        }
        Ok(made)
    }
}

fn join<T>(writing: ScopedJoinHandle<'_, T>) -> T {
    writing.join().unwrap_or_else(|panic| std::panic::resume_unwind(panic))
}

/// What went well, if all did. When one file stops the reading the others are cut off, too: the cause is told, not its
/// consequence.
fn all<T>(results: Vec<Result<T, Error>>) -> Result<Vec<T>, Error> {
    let (all, failures): (Vec<_>, Vec<_>) = results.into_iter().partition(Result::is_ok);
    match failures.into_iter().filter_map(Result::err).min_by_key(Error::is_cut_off) {
        Some(error) => Err(error),
        None => Ok(all.into_iter().flatten().collect()),
    }
}

/// Why reading stopped: the scan, or a frame that takes no more.
enum Stop {
    Scan(scan::Error),
    Frame,
}

impl From<scan::Error> for Stop {
    fn from(error: scan::Error) -> Self {
        Self::Scan(error)
    }
}

/// Saves what a file carries of XMP in one beside it.
pub(super) fn save_beside(path: &Path, carried: &Carried) -> Result<Written, Error> {
    let packet = save::packet(carried).unwrap_or_default();
    let saved = save::whole(path, |file| Ok::<_, save::Error>(file.write_all(packet)?));
    saved.map_err(|error| Error::Save { path: path.to_owned(), error })
}

/// A frame whose scan is being read: its pictures, and what is counted of its flat positive.
struct GrowingFrame<'a> {
    smalls: Vec<Growing<'a>>,
    way: SyncSender<Vec<u16>>,
    counted: Made,
}

impl GrowingFrame<'_> {
    /// Takes what the next band gave; its part of the flat positive goes on its way to the file.
    fn take(&mut self, developed: Developed, spare: &Spare) -> Result<(), Stop> {
        self.smalls.iter_mut().zip(developed.smalls).for_each(|(small, rows)| small.take(rows, &spare.small));
        self.counted.at_zero += developed.at_zero;
        self.counted.at_full_scale += developed.at_full_scale;
        developed.flat.map_or(Ok(()), |rows| self.way.send(rows).map_err(|_| Stop::Frame))
    }

    /// All bands have come, unless reading stopped: then what writes its files finds them cut off.
    fn finish(self, is_whole: bool) -> Made {
        if is_whole {
            self.smalls.into_iter().for_each(Growing::finish);
        }
        self.counted
    }
}
