//! Where a batch reads and writes.

use std::fs::{self, File, TryLockError};
use std::io;
use std::path::{Component, Path, PathBuf};

use crate::save::LEFTOVER_PREFIX;

use super::share::Share;

/// Why a batch cannot begin.
#[derive(Debug, thiserror::Error)]
pub enum Error {
    /// The folder of scans cannot be read.
    #[error("{}: {error}: give a folder of scans", path.display())]
    Scans {
        /// The folder.
        path: PathBuf,
        /// Why.
        error: io::Error,
    },
    /// The output lies among the scans.
    #[error(
        "{}: this lies in the folder of the scans, which stays as it is: give another with --out, such as {}",
        out.display(), better.display()
    )]
    OutAmongScans {
        /// The folder asked for.
        out: PathBuf,
        /// One that would do.
        better: PathBuf,
    },
    /// The scans lie where the program writes.
    #[error("{}: these scans lie where this output would be written: give another folder with --out", scans.display())]
    ScansInOut {
        /// The folder of scans.
        scans: PathBuf,
    },
    /// Another run is at work there.
    #[error("{}: another dryside is at work here: let it finish, or choose another folder with --out", .0.display())]
    AtWork(PathBuf),
    /// The output folder cannot be made or written.
    #[error("{}: cannot write there: {error}: choose another folder with --out, or free this one", path.display())]
    Out {
        /// The folder.
        path: PathBuf,
        /// Why.
        error: io::Error,
    },
}

/// The folders of what is made from a folder of scans.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Folders {
    /// Name of the folder of scans, and where it is if the scans are at hand.
    name: String,
    scans: Option<PathBuf>,
    out: PathBuf,
}

/// Name of the settings file in the folder of the scans.
const SETTINGS_FILE: &str = "dryside.toml";

/// Folders below the output folder.
pub(super) const FLAT: &str = "flat";
pub(super) const PROOF: &str = "proof";
/// Pictures of the straight pages.
pub(super) const STRAIGHT: &str = "straight";
pub(super) const SHEETS: &str = "sheets";
/// What shares of a batch write down for one another.
pub(super) const MEASURED: &str = "measured";
pub(super) const SHARES: &str = "shares";
/// Folders of pictures, made when they are asked for.
pub(super) const EXPLAIN: &str = "explain";
pub(super) const DUST: &str = "dust";
/// The folder of prints at size.
pub(super) const PRINT: &str = "print";
/// Folders of test strips and loupes.
pub(super) const STRIP: &str = "strip";
pub(super) const LOUPE: &str = "loupe";
/// Finished prints on one paper.
pub(super) const LAYOUT: &str = "layout";
/// All that hold pictures of frames or scans under their names.
pub(super) const PICTURES: [&str; 8] = [FLAT, PROOF, STRAIGHT, EXPLAIN, DUST, PRINT, STRIP, LOUPE];

/// A hidden file that a run holds locked while it is at work. Shares of a batch hold it together, and each one of its
/// own.
const HELD: &str = ".dryside-at-work";

/// Another, held by the share whose turn it is.
const TURN: &str = ".dryside-turn";

/// Holds a folder of results against other runs for as long as it lives.
#[derive(Debug)]
pub(super) struct Held {
    _all: File,
    _share: Option<File>,
}

impl Folders {
    /// Scans in `scans`, as [`of_scans`] gives it; results in `out`, or beside the scans' folder under its name with
    /// "-out".
    ///
    /// # Errors
    /// When one of the two lies where the other's files are.
    pub(super) fn new(scans: &Path, out: Option<&Path>) -> Result<Self, Error> {
        let better = beside(scans);
        let out = real(out.unwrap_or(&better));
        if out.starts_with(scans) {
            return Err(Error::OutAmongScans { out, better });
        }
        let name = scans.file_name().map_or_else(String::new, |name| name.to_string_lossy().into_owned());
        let folders = Self { name, scans: Some(scans.to_owned()), out };
        if folders.is_result(scans) {
            return Err(Error::ScansInOut { scans: scans.to_owned() });
        }
        Ok(folders)
    }

    /// A folder of results whose scans lie elsewhere: of their folder only the `name` is known.
    pub(super) fn of_results(out: &Path, name: &str) -> Self {
        Self { name: name.to_owned(), scans: None, out: real(out) }
    }

    /// Makes the output folder and those `below` it, holds it against other runs for as long as what is given back
    /// lives, and clears away what a broken run left. Shares of one batch hold it side by side, and do not clear: what
    /// they would find may be in the making.
    ///
    /// # Errors
    /// When the disk refuses, another run is at work, or a link leads from the output folders to the scans.
    pub(super) fn prepare(&self, below: &[&str], share: Option<Share>) -> Result<Held, Error> {
        let below = below.iter().map(|name| self.out.join(name));
        let places: Vec<PathBuf> = std::iter::once(self.out.clone()).chain(below).collect();
        for path in &places {
            let failed = |error| Error::Out { path: path.clone(), error };
            fs::create_dir_all(path).map_err(failed)?;
            // Now that they are there, links and dots can be seen through.
            let real = fs::canonicalize(path).map_err(failed)?;
            if let Some(scans) = self.scans.as_ref().filter(|scans| real.starts_with(scans)) {
                return Err(Error::OutAmongScans { out: path.clone(), better: beside(scans) });
            }
        }
        let all = self.out.join(HELD);
        let Some(share) = share else {
            return hold(&self.out);
        };
        let own = self.out.join(SHARES).join(format!("{HELD}-{}", share.stem()));
        let lock = |path: &Path, lock: fn(&File) -> Result<(), TryLockError>| locked(path, &self.out, lock);
        Ok(Held { _all: lock(&all, File::try_lock_shared)?, _share: Some(lock(&own, File::try_lock)?) })
    }

    /// Waits for its turn among shares at work side by side, where what one of them does is seen by the others; the
    /// turn ends when what is given back is let go.
    ///
    /// # Errors
    /// When the disk refuses.
    pub(super) fn turn(&self) -> Result<File, Error> {
        let path = self.out.join(SHARES).join(TURN);
        let failed = |error| Error::Out { path: path.clone(), error };
        let turn = File::options().create(true).read(true).append(true).open(&path).map_err(failed)?;
        turn.lock().map_err(failed)?;
        Ok(turn)
    }

    /// Name of the folder of scans.
    pub(super) fn name(&self) -> String {
        self.name.clone()
    }

    /// The folder of everything that is made.
    pub(super) fn out(&self) -> &Path {
        &self.out
    }

    /// Whether a path, without links, lies where results are written.
    pub(super) fn is_result(&self, path: &Path) -> bool {
        PICTURES.iter().chain(&[SHEETS, MEASURED, SHARES]).any(|name| path.starts_with(self.out.join(name)))
    }

    /// Flat positive of a frame.
    pub(super) fn flat(&self, frame: &str) -> PathBuf {
        self.out.join(FLAT).join(format!("{frame}.tif"))
    }

    /// A flat positive by its file name.
    pub(super) fn flat_file(&self, file: &str) -> PathBuf {
        self.out.join(FLAT).join(file)
    }

    /// A proof by its file name.
    pub(super) fn proof_file(&self, file: &str) -> PathBuf {
        self.out.join(PROOF).join(file)
    }

    /// Notes of a scan.
    pub(super) fn notes(&self, scan: &str) -> PathBuf {
        self.out.join(FLAT).join(format!("{scan}.notes.toml"))
    }

    /// Proof of a frame.
    pub(super) fn proof(&self, frame: &str) -> PathBuf {
        self.out.join(PROOF).join(format!("{frame}.jpg"))
    }

    /// What the flat positive of a frame says of the picture, in a file beside it.
    pub(super) fn flat_xmp(&self, frame: &str) -> PathBuf {
        self.out.join(FLAT).join(format!("{frame}.xmp"))
    }

    /// And its proof.
    pub(super) fn proof_xmp(&self, frame: &str) -> PathBuf {
        self.out.join(PROOF).join(format!("{frame}.xmp"))
    }

    /// Picture of a frame on the straight pages.
    pub(super) fn straight(&self, frame: &str) -> PathBuf {
        self.out.join(STRAIGHT).join(format!("{frame}.jpg"))
    }

    /// A picture of the straight pages by its file name.
    pub(super) fn straight_file(&self, file: &str) -> PathBuf {
        self.out.join(STRAIGHT).join(file)
    }

    /// A file of the proof sheet.
    pub(super) fn sheet(&self, file: &str) -> PathBuf {
        self.out.join(SHEETS).join(file)
    }

    /// What a measuring pass read of a scan, by the scan's whole file name.
    pub(super) fn measured(&self, file: &str) -> PathBuf {
        self.out.join(MEASURED).join(format!("{file}.toml"))
    }

    /// Where shares say what they made.
    pub(super) fn shares(&self) -> PathBuf {
        self.out.join(SHARES)
    }

    /// What a share made.
    pub(super) fn share(&self, share: Share) -> PathBuf {
        self.shares().join(format!("{}.toml", share.stem()))
    }

    /// Overview picture of a scan.
    pub(super) fn explain(&self, scan: &str) -> PathBuf {
        self.out.join(EXPLAIN).join(format!("{scan}.png"))
    }

    /// Dust map of a scan.
    pub(super) fn dust_map(&self, scan: &str) -> PathBuf {
        self.out.join(DUST).join(format!("{scan}.png"))
    }

    /// The table of the batch.
    pub(super) fn table(&self) -> PathBuf {
        self.out.join("batch.csv")
    }
}

/// Holds a folder of results against all other runs, and clears away what a broken one left, whichever command that
/// was.
///
/// # Errors
/// When another run is at work there, or the disk refuses.
pub(super) fn hold(out: &Path) -> Result<Held, Error> {
    let held = Held { _all: locked(&out.join(HELD), out, File::try_lock)?, _share: None };
    let below = PICTURES.iter().chain(&[SHEETS, LAYOUT, MEASURED, SHARES]).map(|name| out.join(name));
    for path in std::iter::once(out.to_owned()).chain(below.filter(|path| path.is_dir())) {
        clear(&path).map_err(|error| Error::Out { path, error })?;
    }
    Ok(held)
}

fn locked(path: &Path, out: &Path, lock: impl Fn(&File) -> Result<(), TryLockError>) -> Result<File, Error> {
    let failed = |error| Error::Out { path: path.to_owned(), error };
    // Some network disks lock together only what can be read.
    let held = File::options().create(true).read(true).append(true).open(path).map_err(failed)?;
    match lock(&held) {
        Ok(()) => Ok(held),
        Err(TryLockError::WouldBlock) => Err(Error::AtWork(out.to_owned())),
        Err(TryLockError::Error(error)) => Err(failed(error)),
    }
}

/// Makes a folder for files that are made from a scan.
///
/// # Errors
/// When it lies among the scans, or the disk refuses.
pub(super) fn for_files(folder: &Path, scan: &Path) -> Result<(), String> {
    let wrong = |e: &dyn std::fmt::Display| format!("{}: {e}", folder.display());
    let among = fs::canonicalize(scan).map_err(|e| wrong(&e))?;
    if real(folder).starts_with(among.parent().unwrap_or(&among)) {
        return Err(wrong(&"this lies in the folder of the scans, which stays as it is: give another with --out"));
    }
    fs::create_dir_all(folder).map_err(|e| wrong(&e))
}

/// A folder of scans as it really lies, without links and dots.
///
/// # Errors
/// When there is no such folder.
pub(super) fn of_scans(scans: &Path) -> Result<PathBuf, Error> {
    let failed = |error| Error::Scans { path: scans.to_owned(), error };
    let scans = fs::canonicalize(scans).map_err(|error| match error.kind() {
        io::ErrorKind::NotFound => failed(io::Error::other("there is no such folder, check its name")),
        _ => failed(error),
    })?;
    if !scans.is_dir() {
        return Err(Error::Scans { path: scans, error: io::Error::other("not a folder") });
    }
    Ok(scans)
}

/// The settings file among the scans.
pub(super) fn settings(scans: &Path) -> PathBuf {
    scans.join(SETTINGS_FILE)
}

/// The folder beside that of the scans in which results lie if no other is named.
pub(super) fn beside(scans: &Path) -> PathBuf {
    match scans.file_name() {
        Some(name) => scans.with_file_name(format!("{}-out", name.to_string_lossy())),
        None => std::env::temp_dir().join("dryside-out"),
    }
}

/// The path without links and dots as far as it exists, so that folders can be compared.
pub(super) fn real(path: &Path) -> PathBuf {
    let whole = std::path::absolute(path).unwrap_or_else(|_| path.to_owned());
    let existing = whole.ancestors().find_map(|a| Some((a, fs::canonicalize(a).ok()?)));
    match existing {
        Some((ancestor, found)) => {
            let rest = whole.strip_prefix(ancestor).unwrap_or(Path::new(""));
            rest.components().fold(found, |path, part| match part {
                // Nothing of the rest exists, so there are no links in it to be followed.
                Component::ParentDir => path.parent().map_or(path.clone(), Path::to_path_buf),
                part => path.join(part),
            })
        }
        None => whole,
    }
}

/// Clears away what a broken run left in a folder.
///
/// # Errors
/// When the disk refuses.
pub(super) fn clear(folder: &Path) -> io::Result<()> {
    for entry in fs::read_dir(folder)? {
        let entry = entry?;
        let name = entry.file_name().to_string_lossy().into_owned();
        if name.starts_with(LEFTOVER_PREFIX) && name.ends_with(".part") {
            fs::remove_file(entry.path())?;
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn folders(scans: &Path, out: Option<&Path>) -> Result<Folders, Error> {
        Folders::new(&of_scans(scans)?, out)
    }

    /// As a share of scans at the root of a disk, or a hand in its file, has it.
    #[test]
    fn results_of_scans_without_a_name_lie_among_no_scans() {
        let top = tempfile::tempdir().unwrap();
        assert!(Folders::of_results(&top.path().join("out"), "").prepare(&[SHEETS], None).is_ok());
    }

    #[test]
    fn results_never_lie_among_the_scans() {
        let top = tempfile::tempdir().unwrap();
        let scans = top.path().join("loft");
        fs::create_dir_all(scans.join("flat")).unwrap();
        let refused = |out: &Path| folders(&scans, Some(out)).unwrap_err().to_string();
        assert!(refused(&scans).contains("loft-out"));
        assert!(refused(&scans.join("made/here")).contains("stays as it is"));
        assert!(refused(&scans.join("../loft/x")).contains("stays as it is"));
        assert!(folders(&scans.join("flat"), Some(&scans)).unwrap_err().to_string().contains("would be written"));
        assert!(folders(&top.path().join("none"), None).unwrap_err().to_string().contains("give a folder of scans"));
    }

    #[cfg(unix)]
    #[test]
    fn a_link_back_to_the_scans_is_seen_through() {
        let top = tempfile::tempdir().unwrap();
        let (scans, out) = (top.path().join("loft"), top.path().join("out"));
        fs::create_dir(&scans).unwrap();
        fs::create_dir(&out).unwrap();
        std::os::unix::fs::symlink(&scans, out.join("flat")).unwrap();
        let refused = folders(&scans, Some(&out)).unwrap().prepare(&[FLAT], None).unwrap_err();
        assert!(matches!(refused, Error::OutAmongScans { .. }), "{refused}");
        let round = top.path().join("new/../loft/made");
        assert!(folders(&scans, Some(&round)).and_then(|f| f.prepare(&[FLAT], None).map(drop)).is_err());
    }

    #[test]
    fn without_a_choice_results_lie_beside_the_scans() {
        let top = tempfile::tempdir().unwrap();
        let scans = top.path().join("loft");
        fs::create_dir(&scans).unwrap();
        let folders = folders(&scans, None).unwrap();
        let held = folders.prepare(&[FLAT], None).unwrap();
        assert!(folders.out().ends_with("loft-out") && folders.out().is_dir());
        fs::write(folders.out().join("flat").join(".dryside-x.part"), b"half").unwrap();
        assert!(matches!(folders.prepare(&[FLAT], None), Err(Error::AtWork(_))), "one run at a time");
        drop(held);
        folders.prepare(&[FLAT], None).unwrap();
        assert_eq!(fs::read_dir(folders.out().join("flat")).unwrap().count(), 0);
    }

    #[test]
    fn shares_work_side_by_side_and_nobody_else_with_them() {
        let top = tempfile::tempdir().unwrap();
        let scans = top.path().join("loft");
        fs::create_dir(&scans).unwrap();
        let folders = folders(&scans, None).unwrap();
        let share = |word: &str| folders.prepare(&[FLAT, SHARES], Some(word.parse().unwrap()));
        let first = share("1/2").unwrap();
        fs::write(folders.out().join("flat").join(".dryside-x.part"), b"half").unwrap();
        let second = share("2/2").unwrap();
        assert!(matches!(share("2/2"), Err(Error::AtWork(_))), "one run of a share at a time");
        assert!(matches!(folders.prepare(&[], None), Err(Error::AtWork(_))), "no whole run beside shares");
        assert_eq!(fs::read_dir(folders.out().join("flat")).unwrap().count(), 1, "it may be in the making");
        drop((first, second));
        let whole = folders.prepare(&[FLAT], None).unwrap();
        assert!(matches!(share("1/2"), Err(Error::AtWork(_))), "no share beside a whole run");
        drop(whole);
        share("1/2").unwrap();
    }
}
