//! A layout written: TIFF and PDF, each streamed from the prints.

use std::fmt::Display;
use std::fs;
use std::io::{self, BufWriter, Write};
use std::path::Path;
use std::thread;

use crate::batch::key::on_disk;
use crate::batch::seal::Seal;
use crate::batch::spared::spare_scans;
use crate::plane::Band;
use crate::save::{self, DeepTiff, Inscription, Making, Packing};
use crate::scan::{self, Carried, Halt, Rows};
use crate::sheet::{self, Deep, Laid, Said};

use super::inscribed::said;
use super::named::Files;
use super::opened::{Common, Opened};
use super::reel::Reel;

/// Why a file was not written.
#[derive(Debug, thiserror::Error)]
enum Error {
    /// A print, by the name of its file.
    #[error("{0}: {1}")]
    Print(String, scan::Error),
    #[error(transparent)]
    Save(#[from] save::Error),
    #[error(transparent)]
    Sheet(#[from] sheet::Error),
    /// In words, with the path.
    #[error("{0}")]
    Seal(String),
    #[error("another file of this name is there: give another name with --out, or replace it with --force")]
    Another,
}

impl From<io::Error> for Error {
    fn from(error: io::Error) -> Self {
        Self::Save(error.into())
    }
}

/// Writes the files that were asked for. A file that is there already, and that an earlier layout did not leave so, is
/// replaced with `force` only.
///
/// # Errors
/// Which file, and why.
pub(super) fn write(
    files: &Files,
    laid: &Laid,
    (prints, says): (&[Opened], &Inscription),
    common: &Common,
    (force, halt): (bool, &Halt),
) -> Result<(), String> {
    for file in files.all() {
        spare_scans(file)?;
        let folder = file.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
        fs::create_dir_all(folder).map_err(|e| told(folder, &e))?;
    }
    if let Some(file) = &files.tiff {
        let carried = says.over(&Carried::default());
        whole(file, force, |making| tiff(BufWriter::new(making), laid, prints, (common, &carried)))?;
    }
    if let Some(file) = &files.pdf {
        let title = file.file_stem().unwrap_or_default().to_string_lossy().into_owned();
        let title = says.title.clone().unwrap_or(title);
        let says = (&*title, said(says));
        whole(file, force, |making| pdf(BufWriter::new(making), says, laid, prints, (common, halt)))?;
    }
    Ok(())
}

fn whole(file: &Path, force: bool, fill: impl FnOnce(&mut Making<'_>) -> Result<(), Error>) -> Result<(), String> {
    let name = file.file_name().unwrap_or_default().to_string_lossy();
    let mut seal = Seal::of(file.with_file_name(format!(".{name}.seal")));
    let mut hash = String::new();
    let made = save::whole(file, |making| {
        fill(making)?;
        let written = making.written();
        if !force && file.exists() && on_disk(file)? != written && !seal.vouches_for(file).map_err(Error::Seal)? {
            return Err(Error::Another);
        }
        hash.clone_from(&written.blake3);
        seal.expect([written.blake3]).map_err(Error::Seal)
    });
    made.map(drop).map_err(|e| match e {
        Error::Print(..) | Error::Seal(_) | Error::Sheet(sheet::Error::Print(_)) => e.to_string(),
        e => told(file, &e),
    })?;
    seal.finish(String::new(), vec![hash])
}

fn told(path: &Path, error: &dyn Display) -> String {
    format!("{}: {error}", path.display())
}

fn tiff<W: Write + io::Seek>(
    file: W,
    laid: &Laid,
    prints: &[Opened],
    (common, carried): (&Common, &Carried),
) -> Result<(), Error> {
    let picture = DeepTiff {
        size: laid.size(),
        colours: common.colours,
        // Every printer and every lab reads plain TIFF, and grain does not shrink.
        packing: Packing::None,
        differenced: false,
        icc: &common.icc,
        resolution: Some((common.ppi, common.ppi)),
        // It stands upright.
        orientation: 1,
        software: save::PROGRAM,
        carried: &carried.main,
        exif: &carried.exif,
    };
    thread::scope(|scope| {
        let mut reels: Vec<Reel<'_, '_>> = prints.iter().map(|print| Reel::new(scope, &print.scan)).collect();
        save::write_tiff(file, &picture, |strips| {
            let row = |number: usize, into: &mut [u16]| {
                reels[number].row(into).map_err(|e| Error::Print(prints[number].path().display().to_string(), e))
            };
            laid.compose(common.colours.samples(), row, |band| Ok(strips.rows(band)?))
        })
    })
}

fn pdf(
    mut file: impl Write,
    (title, said): (&str, Said),
    laid: &Laid,
    prints: &[Opened],
    (common, halt): (&Common, &Halt),
) -> Result<(), Error> {
    let deep = |(number, print): (usize, &Opened)| {
        let (path, halt) = (print.path().to_owned(), halt.clone());
        // Its place among the others is part of its name: one print may lie there twice.
        let name = format!("{number} {}", path.display());
        Deep::new(&name, print.size(), common.colours, &common.icc, move |out| {
            let samples =
                |band: &Band<'_>| -> Vec<u8> { band.samples().iter().flat_map(|code| code.to_be_bytes()).collect() };
            let told = |e: &dyn Display| io::Error::other(format!("{}: {e}", path.display()));
            let scan = scan::open(&path).map_err(|e| told(&e))?.heeding(&halt);
            let read = scan.read_colours(Rows::All, samples, |bytes| out.write_all(&bytes).map_err(scan::Error::Disk));
            read.map_err(|e| told(&e))
        })
    };
    let prints = prints.iter().enumerate().map(deep).collect::<Result<Vec<_>, _>>()?;
    laid.sheet(title, prints).saying(said).write_pdf(&mut file)?;
    Ok(file.flush()?)
}
