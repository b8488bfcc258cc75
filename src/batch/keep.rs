//! Notes saved: whole or not at all, and where a link leads, through it.

use std::fmt::Display;
use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, MutexGuard, PoisonError};

use crate::notes::{NotesError, Sidecar, text_of};
use crate::save;

/// How the name of notes ends, and that of what could not be written into them.
const NOTES: &str = ".notes.toml";
const ASIDE: &str = ".notes.aside.toml";

/// Saves notes under `path`. A link stays a link: the file that it leads to is replaced.
///
/// # Errors
/// When the disk refuses, or the link leads nowhere.
pub(super) fn keep(path: &Path, text: &str) -> Result<(), String> {
    put(path, text, |_| true).map(drop)
}

/// The same, if the file still holds what was `seen`; tells whether it did.
///
/// # Errors
/// Those of [`keep`].
pub(super) fn keep_over(path: &Path, seen: &str, text: &str) -> Result<bool, String> {
    put(path, text, |real| text_of(real).is_ok_and(|there| there.as_deref() == Some(seen)))
}

/// Notes that are protected against writing stay; who may read them may read the new ones, and nobody else.
fn put(path: &Path, text: &str, still: impl FnOnce(&Path) -> bool) -> Result<bool, String> {
    let real = through(path)?;
    let rights = fs::metadata(&real).ok().map(|before| before.permissions());
    if rights.as_ref().is_some_and(fs::Permissions::readonly) {
        return Err("it is write-protected: take the protection off, and say it again".to_owned());
    }
    let told = |e: std::io::Error| save::refusal(&e);
    let ready = save::ready(&real, |file| file.write_all(text.as_bytes())).map_err(told)?;
    // Looked at as late as can be: an editor may have saved meanwhile.
    if !still(&real) {
        return Ok(false);
    }
    ready.put().map_err(told)?;
    rights.map_or(Ok(()), |rights| fs::set_permissions(&real, rights)).map_err(told)?;
    Ok(true)
}

/// Saves several notes, or none of them: all are written beside before the first gets its name.
///
/// # Errors
/// When the disk refuses one of them, or a link leads nowhere: which, and what has become of the others.
pub(super) fn keep_all(all: &[(PathBuf, String)]) -> Result<(), String> {
    let none = if all.len() > 1 { "; none of them was written" } else { "" };
    let told = |path: &Path, e: &dyn Display| format!("{}: {e}{none}", path.display());
    let real = all.iter().map(|(path, _)| through(path).map_err(|e| told(path, &e))).collect::<Result<Vec<_>, _>>()?;
    let mut ready = Vec::new();
    for ((path, text), real) in all.iter().zip(&real) {
        let one = save::ready(real, |file| file.write_all(text.as_bytes()));
        ready.push(one.map_err(|e: std::io::Error| told(path, &save::refusal(&e)))?);
    }
    for (written, (ready, (path, _))) in ready.into_iter().zip(all).enumerate() {
        ready.put().map_err(|e| {
            let of = all.len();
            format!(
                "{}: {}; {written} of {of} notes files are written: say it again",
                path.display(),
                save::refusal(&e)
            )
        })?;
    }
    Ok(())
}

/// The file that is written for a path: where a link leads.
fn through(path: &Path) -> Result<PathBuf, String> {
    match path.is_symlink() {
        true => fs::canonicalize(path)
            .map_err(|e| format!("it is a link, and where it leads there is nothing to write to: {e}: mend the link")),
        false => Ok(path.to_owned()),
    }
}

/// Held while this program reads notes to write in them: what one of its threads wrote meanwhile is not lost.
pub(super) fn writing() -> MutexGuard<'static, ()> {
    static WRITING: Mutex<()> = Mutex::new(());
    WRITING.lock().unwrap_or_else(PoisonError::into_inner)
}

/// Opens notes, lets `change` write in them, and saves them. They are opened just now: a person may have written in them meanwhile.
/// Where they have a slip they stay as they are, and what `change` makes of new ones goes beside them, so that it is not lost.
///
/// # Errors
/// When they cannot be read or saved; a slip, with where the values are.
pub(super) fn change(path: &Path, change: impl Fn(Sidecar) -> Result<String, NotesError>) -> Result<(), String> {
    let _writing = writing();
    match Sidecar::open(path) {
        Ok(sidecar) => keep(path, &change(sidecar).map_err(|e| e.to_string())?),
        Err(slip @ NotesError::Slip { .. }) => {
            let beside = aside(path);
            let text = change(Sidecar::new()).map_err(|e| e.to_string())?;
            let told = |what: &dyn Display| format!("{slip}; {what}");
            keep(&beside, &text).map_err(|e| told(&format!("{}: {e}", beside.display())))?;
            Err(told(&format!("what belongs there is in {} until then", beside.display())))
        }
        Err(other) => Err(other.to_string()),
    }
}

/// The file beside notes that holds what they could not take.
fn aside(path: &Path) -> PathBuf {
    let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
    path.with_file_name(format!("{}{ASIDE}", name.strip_suffix(NOTES).unwrap_or(&name)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_notes_with_a_slip_cannot_take_goes_beside_them() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("coil.notes.toml");
        fs::write(&path, "[shot]\nfilm = pan\n").unwrap();
        let asked = ["film=pan".to_owned()];
        let write = |sidecar: Sidecar| Ok(sidecar.with_shot(&asked).unwrap());
        let told = change(&path, write).unwrap_err();
        assert!(told.contains("line 2, column 8") && told.contains("coil.notes.aside.toml until then"), "{told}");
        assert_eq!(fs::read_to_string(&path).unwrap(), "[shot]\nfilm = pan\n");
        assert!(fs::read_to_string(folder.path().join("coil.notes.aside.toml")).unwrap().contains("film = \"pan\""));
        fs::write(&path, "[shot]\n").unwrap();
        change(&path, write).unwrap();
        assert_eq!(fs::read_to_string(&path).unwrap(), "[shot]\nfilm = \"pan\"\n");
    }

    #[cfg(unix)]
    #[test]
    fn a_link_stays_a_link() {
        let folder = tempfile::tempdir().unwrap();
        let (real, link) = (folder.path().join("real.toml"), folder.path().join("coil.notes.toml"));
        fs::write(&real, "").unwrap();
        std::os::unix::fs::symlink("real.toml", &link).unwrap();
        keep(&link, "[shot]\n").unwrap();
        assert!(link.is_symlink());
        assert_eq!(fs::read_to_string(&real).unwrap(), "[shot]\n");
        fs::remove_file(&real).unwrap();
        assert!(keep(&link, "").unwrap_err().contains("mend the link"));
    }
}
