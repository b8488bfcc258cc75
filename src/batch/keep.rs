//! Notes saved: whole or not at all, and where a link leads, through it.

use std::fmt::Display;
use std::fs::{self, Permissions};
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::sync::{Mutex, MutexGuard, PoisonError};

use crate::notes::{NotesError, Sidecar, text_of};
use crate::save::{self, Ready};

/// How the name of notes ends, and that of what could not be written into them.
const NOTES: &str = ".notes.toml";
const ASIDE: &str = ".notes.aside.toml";

/// Notes that were there when they were named.
pub(super) const GONE: &str = "these notes are gone";
/// Notes that are not as they were read.
pub(super) const SAVED_MEANWHILE: &str = "other hands saved it meanwhile: say it again";

/// Saves notes under `path`. A link stays a link: the file that it leads to is replaced.
///
/// # Errors
/// When the disk refuses, the link leads nowhere, or the notes are protected against writing.
pub(super) fn keep(path: &Path, text: &str) -> Result<(), String> {
    let place = Place::of(path)?;
    let ready = place.ready(text)?;
    place.put(ready)
}

/// The same, if the file still holds what was `seen` (nothing: if there still is no such file); tells whether it did.
///
/// # Errors
/// Those of [`keep`].
pub(super) fn keep_over(path: &Path, seen: Option<&str>, text: &str) -> Result<bool, String> {
    let place = Place::of(path)?;
    let ready = place.ready(text)?;
    // Looked at as late as can be: an editor may have saved meanwhile.
    if !place.still(seen)? {
        return Ok(false);
    }
    place.put(ready).map(|()| true)
}

/// Notes to be written anew.
#[derive(Clone, Debug)]
pub(super) struct Rewritten {
    /// Their path.
    pub path: PathBuf,
    /// What was read there; nothing of a link that leads nowhere.
    pub seen: Option<String>,
    /// What is to stand there.
    pub text: String,
}

/// Saves several notes, or none of them: all are written beside before the first gets its name.
///
/// # Errors
/// When the disk refuses one of them, a link leads nowhere, one is protected against writing or was saved by other
/// hands since it was read: which, and what has become of the others.
pub(super) fn keep_all(all: &[Rewritten]) -> Result<(), String> {
    let none = if all.len() > 1 { "; none of them was written" } else { "" };
    let told = |of: &Rewritten, e: &dyn Display| format!("{}: {e}{none}", of.path.display());
    let places = all.iter().map(|of| Place::of(&of.path).map_err(|e| told(of, &e))).collect::<Result<Vec<_>, _>>()?;
    let ready = all.iter().zip(&places).map(|(of, place)| place.ready(&of.text).map_err(|e| told(of, &e)));
    let ready = ready.collect::<Result<Vec<_>, _>>()?;
    for (of, place) in all.iter().zip(&places) {
        if !place.still(of.seen.as_deref()).map_err(|e| told(of, &e))? {
            return Err(told(of, &SAVED_MEANWHILE));
        }
    }
    for (written, ((of, place), ready)) in all.iter().zip(&places).zip(ready).enumerate() {
        let so_far = || format!("{written} of {} notes files are written: say it again", all.len());
        place.put(ready).map_err(|e| format!("{}: {e}; {}", of.path.display(), so_far()))?;
    }
    Ok(())
}

/// Where notes are put: who may read them may read the new ones, and nobody else.
struct Place {
    /// Where a link leads.
    real: PathBuf,
    rights: Option<Permissions>,
}

impl Place {
    /// Notes that are protected against writing stay.
    fn of(path: &Path) -> Result<Self, String> {
        let real = through(path)?;
        let rights = fs::metadata(&real).ok().map(|before| before.permissions());
        if rights.as_ref().is_some_and(Permissions::readonly) {
            return Err("it is write-protected: take the protection off, and say it again".to_owned());
        }
        Ok(Self { real, rights })
    }

    /// The text, written beside.
    fn ready(&self, text: &str) -> Result<Ready<'_>, String> {
        save::ready(&self.real, |file| file.write_all(text.as_bytes())).map_err(|e: io::Error| save::refusal(&e))
    }

    /// Whether the file still holds what was seen.
    fn still(&self, seen: Option<&str>) -> Result<bool, String> {
        text_of(&self.real).map(|there| there.as_deref() == seen).map_err(|e| e.to_string())
    }

    fn put(&self, ready: Ready<'_>) -> Result<(), String> {
        ready.put().map_err(|e| save::refusal(&e))?;
        let rights = self.rights.clone();
        rights.map_or(Ok(()), |rights| fs::set_permissions(&self.real, rights)).map_err(|e| save::refusal(&e))
    }
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

/// How often notes are read again that other hands save while they are written in: an editor, or another share of the
/// batch.
const TRIES: usize = 5;

/// Opens notes, lets `change` write in them, and saves them. They are opened just now: a person may have written in
/// them meanwhile; and opened again where somebody does so while `change` is at it. Where they have a slip they stay as
/// they are, and what `change` makes of new ones goes beside them, so that it is not lost.
///
/// # Errors
/// When they cannot be read or saved; a slip, with where the values are.
pub(super) fn change(path: &Path, change: impl Fn(Sidecar) -> Result<String, NotesError>) -> Result<(), String> {
    let _writing = writing();
    for _ in 0..TRIES {
        let seen = text_of(path).map_err(|e| e.to_string())?;
        match seen.as_deref().map_or_else(|| Ok(Sidecar::new()), Sidecar::parse) {
            Ok(sidecar) => {
                let text = change(sidecar).map_err(|e| e.to_string())?;
                if keep_over(path, seen.as_deref(), &text)? {
                    return Ok(());
                }
            }
            Err(slip @ NotesError::Slip { .. }) => {
                let beside = aside(path);
                let text = change(Sidecar::new()).map_err(|e| e.to_string())?;
                let told = |what: &dyn Display| format!("{slip}; {what}");
                keep(&beside, &text).map_err(|e| told(&format!("{}: {e}", beside.display())))?;
                return Err(told(&format!("what belongs there is in {} until then", beside.display())));
            }
            Err(other) => return Err(other.to_string()),
        }
    }
    Err("other hands save it again and again: close it there, and run again".to_owned())
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

    /// As another share of a batch, or an editor, does it between reading and writing.
    #[test]
    fn what_others_save_while_notes_are_changed_is_not_lost() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("coil.notes.toml");
        fs::write(&path, "[shot]\nsubject = \"coil\"\n").unwrap();
        let saved = std::cell::Cell::new(false);
        let asked = ["film=pan".to_owned()];
        change(&path, |sidecar| {
            if !saved.replace(true) {
                fs::write(&path, "[shot]\nsubject = \"coil of rope\"\n").unwrap();
            }
            Ok(sidecar.with_shot(&asked).unwrap())
        })
        .unwrap();
        assert_eq!(fs::read_to_string(&path).unwrap(), "[shot]\nsubject = \"coil of rope\"\nfilm = \"pan\"\n");
        let many = std::cell::Cell::new(0);
        let told = change(&path, |sidecar| {
            many.set(many.get() + 1);
            fs::write(&path, format!("[shot]\nholder = {}\n", many.get())).unwrap();
            Ok(sidecar.with_shot(&asked).unwrap())
        });
        assert!(told.unwrap_err().contains("again and again") && many.get() == TRIES);
    }

    /// An editor that saves in another encoding than UTF-8 has saved, but what is told is what there is to mend.
    #[test]
    fn notes_that_cannot_be_read_any_more_are_told_as_that() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("coil.notes.toml");
        fs::write(&path, b"[shot]\nplace = \"l\xe4nge\"\n").unwrap();
        let told = keep_over(&path, Some("[shot]\n"), "new\n").unwrap_err();
        assert!(told.contains("not UTF-8"), "{told}");
        let all = [Rewritten { path: path.clone(), seen: Some("[shot]\n".into()), text: "new\n".into() }];
        let told = keep_all(&all).unwrap_err();
        assert!(told.contains("coil.notes.toml: it is not UTF-8"), "{told}");
        assert!(fs::read(&path).unwrap().contains(&0xe4), "it is as it was");
    }

    #[test]
    fn several_notes_are_written_all_or_none() {
        let folder = tempfile::tempdir().unwrap();
        let of = |name: &str| folder.path().join(format!("{name}.notes.toml"));
        let rewritten =
            |name: &str, seen: &str| Rewritten { path: of(name), seen: Some(seen.into()), text: "new\n".into() };
        fs::write(of("coil"), "old\n").unwrap();
        fs::write(of("keg"), "saved by an editor\n").unwrap();
        let told = keep_all(&[rewritten("coil", "old\n"), rewritten("keg", "old\n")]).unwrap_err();
        assert!(told.contains("keg.notes.toml: other hands") && told.contains("none of them was written"), "{told}");
        assert_eq!(fs::read_to_string(of("coil")).unwrap(), "old\n");
        let mut rights = fs::metadata(of("keg")).unwrap().permissions();
        rights.set_readonly(true);
        fs::set_permissions(of("keg"), rights).unwrap();
        let told = keep_all(&[rewritten("coil", "old\n"), rewritten("keg", "saved by an editor\n")]).unwrap_err();
        assert!(told.contains("keg.notes.toml: it is write-protected") && told.contains("none of them"), "{told}");
        keep_all(&[rewritten("coil", "old\n")]).unwrap();
        assert_eq!(fs::read_to_string(of("coil")).unwrap(), "new\n");
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 2, "nothing is left beside them");
    }
}
