//! Which frames are meant by what a person typed.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::{fs, io};

use super::find::in_name_order;
use super::folders::{FLAT, PICTURES, beside, real};
use crate::notes::{Mark, Sidecar};

/// How the name of a scan's notes ends.
const NOTES: &str = ".notes.toml";

/// Endings that people leave on the name of a frame.
const ENDINGS: [&str; 6] = ["tif", "tiff", "jpg", "jpeg", "png", "pdf"];

/// Frames of one scan.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Wanted {
    /// Their notes.
    pub notes: PathBuf,
    /// One of them; all if not said.
    pub frame: Option<usize>,
}

impl Wanted {
    /// Name of the scan, as its notes have it.
    pub(super) fn scan(&self) -> String {
        scan_of(&self.notes)
    }

    /// The folder of results that the notes lie in.
    pub(super) fn results(&self) -> PathBuf {
        let folder = parent(&self.notes);
        if folder.file_name().is_some_and(|name| name == FLAT) { parent(&folder) } else { folder }
    }
}

/// A frame's name without the ending of a picture.
pub(super) fn without_ending(name: &str) -> String {
    let ending = |(_, ending): &(&str, &str)| ENDINGS.contains(&ending.to_lowercase().as_str());
    name.rsplit_once('.').filter(ending).map_or(name, |(stem, _)| stem).to_owned()
}

fn parent(path: &Path) -> PathBuf {
    path.parent().map(Path::to_path_buf).unwrap_or_default()
}

/// The frames meant by a notes file, a frame's name in a folder of results, one of its pictures there, its scan, or the
/// folder itself (all of them).
///
/// # Errors
/// When there is no such frame, or a folder cannot be looked through.
pub(super) fn wanted(typed: &Path) -> Result<Vec<Wanted>, String> {
    let path = std::path::absolute(typed).map_err(|e| format!("{}: {e}", typed.display()))?;
    let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
    if path.is_dir() {
        let all = of_folder(&path)?;
        return if all.is_empty() { Err(without_notes(typed, &path)) } else { Ok(all) };
    }
    if name.ends_with(NOTES) {
        let there = path.is_file().then(|| vec![Wanted { notes: path, frame: None }]);
        return there.ok_or_else(|| told(typed, None));
    }
    let name = without_ending(&name);
    let folder = parent(&path);
    let folders = flats(&folder);
    let found = folders.iter().find_map(|flat| in_folder(flat, &name));
    if let Some(wanted) = found {
        return Ok(vec![wanted]);
    }
    let all = folders.iter().map(|flat| names(flat)).collect::<Result<Vec<_>, _>>()?;
    let near = |other: &String| strsim::damerau_levenshtein(other, &name);
    // A link that leads nowhere is no help.
    let all = all.into_iter().flatten().filter(|(_, path)| path.is_file()).map(|(other, _)| other);
    Err(told(typed, all.min_by_key(near).filter(|other| near(other) <= 2).as_deref()))
}

/// All frames of a folder of results, or of the folder of notes itself, in name order; none where there is none.
///
/// # Errors
/// When it cannot be looked through: why, and what to do.
pub(super) fn of_folder(folder: &Path) -> Result<Vec<Wanted>, String> {
    let inner = folder.join(FLAT);
    let all = names(if inner.exists() { &inner } else { folder })?;
    Ok(all.into_iter().map(|(_, notes)| Wanted { notes, frame: None }).collect())
}

/// All frames meant by what was typed, each once and in the order typed, and what is wrong with words that mean none.
/// Of a scan that is meant as a whole no single frame is listed beside it.
pub(super) fn all(typed: &[PathBuf]) -> (Vec<Wanted>, Vec<String>) {
    found(typed, false)
}

/// Whether notes are a form that waits for its scan. Those that cannot be read are none: whoever opens them tells why.
fn is_form(notes: &Path) -> bool {
    Sidecar::open(notes).is_ok_and(|sidecar| sidecar.is_form())
}

fn found(typed: &[PathBuf], forms: bool) -> (Vec<Wanted>, Vec<String>) {
    let (mut all, mut failures) = (Vec::new(), Vec::new());
    for typed in typed {
        match wanted(typed) {
            // Of a folder: forms that were laid for negatives not yet scanned have no frames.
            Ok(wanted) if typed.is_dir() => all.extend(wanted.into_iter().filter(|of| forms || !is_form(&of.notes))),
            Ok(wanted) => all.extend(wanted),
            Err(error) => failures.push(error),
        }
    }
    // Paths of one file can be written in many ways; notes that are a link are notes of their own scan.
    let place = |of: &Wanted| (real(&parent(&of.notes)), of.scan());
    let whole: BTreeSet<_> = all.iter().filter(|of| of.frame.is_none()).map(place).collect();
    let mut seen = BTreeSet::new();
    all.retain(|of| {
        let place = place(of);
        (of.frame.is_none() || !whole.contains(&place)) && seen.insert((place, of.frame))
    });
    (all, failures)
}

/// The same, where one word that means no frame is reason enough to begin nothing.
///
/// # Errors
/// When something typed is no frame.
pub(super) fn sure(typed: &[PathBuf]) -> Result<Vec<Wanted>, String> {
    let (all, failures) = all(typed);
    failures.into_iter().next().map_or(Ok(all), Err)
}

/// The notes of what was typed, forms with them, each file once: a frame stands for its scan.
///
/// # Errors
/// When something typed is no frame.
pub(super) fn notes(typed: &[PathBuf]) -> Result<Vec<Wanted>, String> {
    let (mut all, failures) = found(typed, true);
    let mut seen = BTreeSet::new();
    all.iter_mut().for_each(|of| of.frame = None);
    all.retain(|of| seen.insert((real(&parent(&of.notes)), of.scan())));
    failures.into_iter().next().map_or(Ok(all), Err)
}

/// The notes of one scan, named by their file or as any frame of theirs.
///
/// # Errors
/// When there are none, or several.
pub(super) fn noted(typed: &Path) -> Result<Wanted, String> {
    match &wanted(typed)?[..] {
        [one] => Ok(Wanted { frame: None, ..one.clone() }),
        _ => Err(format!("{}: there are several notes: give one of the files", typed.display())),
    }
}

/// Where the notes of a frame may lie that is named in `folder`: the folder of results, one of the folders in it, or
/// that of the scans.
fn flats(folder: &Path) -> Vec<PathBuf> {
    let inner = folder.file_name().is_some_and(|name| PICTURES.iter().any(|known| name == *known));
    let beside_it = if inner { parent(folder).join(FLAT) } else { folder.join(FLAT) };
    vec![beside_it, beside(folder).join(FLAT)]
}

/// By the scan's name, or by that of one of several frames: the scan's with a number.
fn in_folder(flat: &Path, name: &str) -> Option<Wanted> {
    let notes = |scan: &str| Some(flat.join(format!("{scan}{NOTES}"))).filter(|path| path.is_file());
    let whole = notes(name).map(|notes| Wanted { notes, frame: None });
    whole.or_else(|| {
        let (scan, number) = name.rsplit_once('-')?;
        Some(Wanted { notes: notes(scan)?, frame: Some(number.parse().ok()?) })
    })
}

/// The notes in a folder, in name order, each with the name of its scan; none where there is no such folder.
///
/// # Errors
/// When it cannot be looked through.
fn names(flat: &Path) -> Result<Vec<(String, PathBuf)>, String> {
    let mut all: Vec<_> = notes_in(flat)?.into_iter().map(|path| (scan_of(&path), path)).collect();
    all.sort_by_key(|(name, _)| in_name_order(name));
    Ok(all)
}

/// The notes in a folder, in no order; none where there is no such folder.
///
/// # Errors
/// When it cannot be looked through: why, and what to do.
pub(super) fn notes_in(folder: &Path) -> Result<Vec<PathBuf>, String> {
    let wrong = |e: &io::Error| format!("{}: cannot be looked through: {e}: see who may read it", folder.display());
    let entries = match fs::read_dir(folder) {
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(Vec::new()),
        entries => entries.map_err(|e| wrong(&e))?,
    };
    let paths = entries.map(|entry| entry.map(|entry| entry.path())).collect::<Result<Vec<_>, _>>();
    let is_notes = |path: &PathBuf| path.file_name().is_some_and(|name| name.to_string_lossy().ends_with(NOTES));
    Ok(paths.map_err(|e| wrong(&e))?.into_iter().filter(is_notes).collect())
}

/// Name of the scan whose notes these are.
pub(super) fn scan_of(notes: &Path) -> String {
    let name = notes.file_name().unwrap_or_default().to_string_lossy();
    name.strip_suffix(NOTES).unwrap_or(&name).to_owned()
}

/// That a scan has no frame of a number, but so many.
pub(super) fn no_such_frame(frames: usize) -> String {
    let frames = if frames == 1 { "one frame".to_owned() } else { format!("{frames} frames") };
    format!("there is no such frame, this scan has {frames}")
}

/// That no frame carries a mark, and how one gets it.
pub(super) fn none_marked(mark: Mark) -> String {
    format!("no frame here is marked {mark}: mark some first, as dryside mark {mark} FRAME")
}

/// Of a folder: mostly it is that of the scans, and its results lie beside it.
fn without_notes(typed: &Path, path: &Path) -> String {
    let results = beside(path);
    match results.join(FLAT).is_dir() {
        true => {
            format!("{}: there are no notes in this folder: did you mean {}?", typed.display(), beside(typed).display())
        }
        false => told(typed, None),
    }
}

fn told(typed: &Path, near: Option<&str>) -> String {
    let what = "there is no such frame";
    match near {
        Some(near) => format!("{}: {what}: did you mean {near}?", typed.display()),
        None => format!(
            "{}: {what}: give its name in the folder of results, as ropewalk-out/sheet-01, or its notes file",
            typed.display()
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn results() -> tempfile::TempDir {
        let top = tempfile::tempdir().unwrap();
        fs::create_dir_all(top.path().join("loft-out/flat")).unwrap();
        fs::create_dir_all(top.path().join("loft")).unwrap();
        for scan in ["coil-2", "strip", "coil-10"] {
            fs::write(top.path().join(format!("loft-out/flat/{scan}.notes.toml")), "[scan]\n").unwrap();
        }
        top
    }

    #[test]
    fn a_frame_is_found_by_whatever_names_it() {
        let top = results();
        let notes = |scan: &str| top.path().join(format!("loft-out/flat/{scan}.notes.toml"));
        let one = |typed: &str| wanted(&top.path().join(typed)).unwrap();
        for typed in [
            "loft-out/coil-2",
            "loft-out/coil-2.tif",
            "loft-out/flat/coil-2.tif",
            "loft-out/proof/coil-2.jpg",
            "loft-out/flat/coil-2.notes.toml",
            "loft/coil-2.tiff",
        ] {
            assert_eq!(one(typed), [Wanted { notes: notes("coil-2"), frame: None }], "{typed}");
        }
        assert_eq!(one("loft-out/strip-3"), [Wanted { notes: notes("strip"), frame: Some(3) }]);
        let all: Vec<_> = one("loft-out").iter().map(Wanted::scan).collect();
        assert_eq!(all, ["coil-2", "coil-10", "strip"]);
        assert_eq!(one("loft-out/flat").len(), 3);
        assert_eq!(one("loft-out/strip")[0].results(), top.path().join("loft-out"));
    }

    #[test]
    fn what_is_named_twice_is_meant_once() {
        let top = results();
        let typed = |words: &[&str]| words.iter().map(|word| top.path().join(word)).collect::<Vec<_>>();
        let named = |words: &[&str]| {
            let (all, failures) = all(&typed(words));
            assert_eq!(failures, [] as [&str; 0]);
            all.iter().map(|of| (of.scan(), of.frame)).collect::<Vec<_>>()
        };
        let (coil, strip) = (|| ("coil-2".to_owned(), None), |frame| ("strip".to_owned(), frame));
        assert_eq!(named(&["loft-out/coil-2", "loft-out/flat/coil-2.tif", "loft/coil-2.tiff"]), [coil()]);
        assert_eq!(named(&["loft-out/coil-2", "loft-out/../loft-out/coil-2"]), [coil()]);
        assert_eq!(named(&["loft-out/coil-2", "loft-out"]).len(), 3);
        assert_eq!(named(&["loft-out/strip-3", "loft-out/coil-2", "loft-out/strip"]), [coil(), strip(None)]);
        let frames = ["loft-out/strip-3", "loft-out/strip-1", "loft-out/strip-3"];
        assert_eq!(named(&frames), [strip(Some(3)), strip(Some(1))]);
        assert_eq!(notes(&typed(&frames)).unwrap().iter().map(|of| of.frame).collect::<Vec<_>>(), [None]);
        let (found, failures) = all(&typed(&["loft-out/lantern", "loft-out/coil-2"]));
        assert!(found.len() == 1 && failures.len() == 1, "{failures:?}");
        assert!(sure(&typed(&["loft-out/coil-2", "loft-out/lantern"])).is_err());
    }

    #[test]
    fn a_name_that_is_none_gets_the_nearest_or_how_to_give_one() {
        let top = results();
        let told = |typed: &str| wanted(&top.path().join(typed)).unwrap_err();
        assert!(told("loft-out/stripp").contains("did you mean strip?"));
        assert!(told("loft-out/lantern").contains("as ropewalk-out/sheet-01"));
        assert!(told("loft-out/flat/lantern.notes.toml").contains("no such frame"));
        assert!(told("loft").ends_with("loft-out?"), "the results lie beside it: {}", told("loft"));
        fs::create_dir(top.path().join("store")).unwrap();
        assert!(told("store").contains("no such frame"), "a folder without results");
        // What is no folder can be looked through as little as one that nobody may read.
        fs::write(top.path().join("flat"), "").unwrap();
        assert!(told("lantern").contains("flat: cannot be looked through"), "{}", told("lantern"));
        assert!(told("").contains("flat: cannot be looked through"), "{}", told(""));
    }
}
