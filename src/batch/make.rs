//! A scan's flat positives and proofs, made in one pass.

use std::io::{BufWriter, Write};
use std::path::{Path, PathBuf};
use std::sync::mpsc::{Receiver, SyncSender, sync_channel};
use std::thread;

use crate::light::{Densitometer, grey_profile};
use crate::plane::Band;
use crate::save::{self, Colours, DeepTiff, Packing, Written};
use crate::scan::{self, Carried, Compression, Facts, Rows, Scan};

use super::develop::{Chain, Developed, Spare};
use super::folders::Folders;
use super::frame::Decided;
use super::inscribe::{Inscriber, Printed, Tones};
use super::settings::Settings;
use super::small::Growing;

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
        let Self::Save { error: save::Error::Disk(error), .. } = self else { return false };
        error.kind() == std::io::ErrorKind::UnexpectedEof
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
        // Grain in the low bits makes LZW larger with differences and Deflate smaller; with LZW the scanner's choice stands.
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

/// Reads the scan once and meanwhile writes each frame's flat positive, each in a thread of its own; then the proofs, and the
/// pictures of the straight pages.
///
/// # Errors
/// The first that the scan or the disk gives. Files that were not finished by then do not appear.
pub(super) fn make(
    scan: &Scan,
    bench: &Densitometer,
    settings: &Settings,
    packed: Packed,
    tasks: &[Task<'_>],
    (inscriber, folders): (&Inscriber<'_>, &Folders),
) -> Result<Vec<Made>, Error> {
    let facts = scan.facts();
    let chains: Vec<_> = tasks.iter().map(|task| Chain::new(task, facts, bench, settings)).collect();
    let mut proofs: Vec<_> = chains.iter().zip(tasks).map(|(chain, task)| Proof::of(chain, task.files)).collect();
    let spare = Spare::default();
    thread::scope(|scope| {
        let (mut ways, mut writers) = (Vec::new(), Vec::new());
        for Task { frame, files } in tasks {
            let (way, rows) = sync_channel(WAITING);
            ways.push(way);
            let (spare, flat) = (&spare, files.flat);
            writers.push(scope.spawn(move || match flat {
                true => write_flat((frame, packed), facts, settings, (&rows, spare), inscriber, folders),
                false => Ok(Written::default()),
            }));
        }
        let develop = |band: &Band<'_>| -> Vec<_> { chains.iter().map(|chain| chain.develop(*band, &spare)).collect() };
        let read = scan.read(settings.channel, Rows::All, develop, |developed| {
            let frames = proofs.iter_mut().zip(&ways);
            frames.zip(developed).try_for_each(|((proof, way), developed)| proof.take(developed, way, &spare))
        });
        drop(ways);
        // Flat positives are still being flushed; the proofs are made meanwhile.
        let proofs: Vec<_> = match &read {
            Ok(()) => proofs.into_iter().map(|proof| proof.finish(inscriber, folders)).collect(),
            Err(_) => Vec::new(),
        };
        let written: Vec<_> =
            writers.into_iter().map(|w| w.join().unwrap_or_else(|p| std::panic::resume_unwind(p))).collect();
        if let Err(Stop::Scan(error)) = read {
            return Err(error.into());
        }
        // When one frame stops the reading, the others are cut off too: the cause is told, not its consequence.
        let (flats, failures): (Vec<_>, Vec<_>) = written.into_iter().partition(Result::is_ok);
        if let Some(error) = failures.into_iter().filter_map(Result::err).min_by_key(Error::is_cut_off) {
            return Err(error);
        }
        let beside = |task: &Task<'_>| {
            let Task { frame, files } = *task;
            let flat = || save_beside(&folders.flat_xmp(&frame.name), &inscriber.flat(Tones::of(frame)));
            let proof = || save_beside(&folders.proof_xmp(&frame.name), &of_proof(frame, inscriber));
            Ok((files.flat_xmp.then(flat).transpose()?, files.proof_xmp.then(proof).transpose()?))
        };
        let beside = tasks.iter().map(beside).collect::<Result<Vec<_>, Error>>()?;
        let all = flats.into_iter().flatten().zip(proofs).zip(beside);
        all.map(|((flat, made), (flat_xmp, proof_xmp))| Ok(Made { flat, flat_xmp, proof_xmp, ..made? })).collect()
    })
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

/// What a proof carries.
fn of_proof(frame: &Decided, inscriber: &Inscriber<'_>) -> Carried {
    let grade = frame.equivalent().map_or(frame.grade, |(grade, _)| grade).to_string();
    let (paper, table) = (frame.stock.paper().name(), frame.stock.table().name());
    inscriber.print(Tones::of(frame), Printed { paper, table, grade: &grade, exposure: frame.exposure })
}

/// Saves what a file carries of XMP in one beside it.
pub(super) fn save_beside(path: &Path, carried: &Carried) -> Result<Written, Error> {
    let packet = save::packet(carried).unwrap_or_default();
    let saved = save::whole(path, |file| Ok::<_, save::Error>(file.write_all(packet)?));
    saved.map_err(|error| Error::Save { path: path.to_owned(), error })
}

fn write_flat(
    (frame, packed): (&Decided, Packed),
    facts: &Facts,
    settings: &Settings,
    (bands, spare): (&Receiver<Vec<u16>>, &Spare),
    inscriber: &Inscriber<'_>,
    folders: &Folders,
) -> Result<Written, Error> {
    let path = folders.flat(&frame.name);
    let icc = grey_profile(&settings.out_encoding);
    let carried = inscriber.flat(Tones::of(frame));
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
                spare.flat.put(rows);
            }
            // Reading stopped early: the reason is told by who reads, and this file must not appear.
            if pixels == picture.size.pixels() { Ok(()) } else { Err(cut_off()) }
        })
    });
    saved.map_err(|error| Error::Save { path: path.clone(), error })
}

/// A frame's small pictures while its scan is read, and what is counted of its flat positive.
struct Proof<'a> {
    chain: &'a Chain<'a>,
    files: Files,
    smalls: Vec<Growing<'a>>,
    made: Made,
}

impl<'a> Proof<'a> {
    fn of(chain: &'a Chain<'a>, files: Files) -> Self {
        Self { chain, files, smalls: chain.smalls.iter().map(Growing::new).collect(), made: Made::default() }
    }

    /// Takes what the next band gave; its part of the flat positive goes on its way to the file.
    fn take(&mut self, developed: Developed, way: &SyncSender<Vec<u16>>, spare: &Spare) -> Result<(), Stop> {
        self.smalls.iter_mut().zip(developed.smalls).for_each(|(small, rows)| small.take(rows, &spare.small));
        self.made.at_zero += developed.at_zero;
        self.made.at_full_scale += developed.at_full_scale;
        developed.flat.map_or(Ok(()), |rows| way.send(rows).map_err(|_| Stop::Frame))
    }

    /// Saves the proof, and the picture of the straight pages. A flat positive stays as stored, these are turned upright.
    fn finish(self, inscriber: &Inscriber<'_>, folders: &Folders) -> Result<Made, Error> {
        let frame = self.chain.frame;
        let (name, carried) = (&frame.name, of_proof(frame, inscriber));
        let save = |small: Growing<'_>, path: PathBuf| {
            let jpeg = small.jpeg(frame.reading.corners, self.chain.facts.orientation);
            let jpeg = jpeg.and_then(|jpeg| save::inscribe_jpeg(&jpeg, &carried));
            let saved = jpeg.and_then(|jpeg| save::whole(&path, |file| Ok::<_, save::Error>(file.write_all(&jpeg)?)));
            saved.map_err(|error| Error::Save { path, error })
        };
        let mut smalls = self.smalls.into_iter();
        let mut next = |wanted: bool, path: PathBuf| match wanted {
            true => smalls.next().map(|small| save(small, path)).transpose(),
            false => Ok(None),
        };
        let proof = next(self.files.proof, folders.proof(name))?.unwrap_or_default();
        Ok(Made { proof, straight: next(self.files.straight, folders.straight(name))?, ..self.made })
    }
}

fn cut_off() -> save::Error {
    std::io::Error::new(std::io::ErrorKind::UnexpectedEof, "the scan ended early").into()
}
