//! A file under its final name is whole: written beside itself, flushed, renamed.

use std::fs::OpenOptions;
use std::io;
use std::path::Path;

use super::making::{Making, Written};

/// How the name of a file in the making begins. What a broken run leaves behind is known by it.
pub const LEFTOVER_PREFIX: &str = ".dryside-";

/// Lets `fill` write a file that appears under `path`, whole, only when all has been written and flushed; an older file
/// there is replaced. On an error nothing appears and the older file stays. Says what has been written.
///
/// # Errors
/// Those of `fill`, and those of the disk.
pub fn whole<E: From<io::Error>>(
    path: &Path,
    fill: impl FnOnce(&mut Making<'_>) -> Result<(), E>,
) -> Result<Written, E> {
    Ok(ready(path, fill)?.put()?)
}

/// A file that is written, flushed and closed, and has not its name yet: of these there may be more than a system opens
/// at once. Let go, it is gone.
#[derive(Debug)]
pub struct Ready<'p> {
    file: tempfile::TempPath,
    path: &'p Path,
    written: Written,
}

impl Ready<'_> {
    /// Gives it its name; an older file there is replaced.
    ///
    /// # Errors
    /// Those of the disk.
    pub fn put(self) -> io::Result<Written> {
        self.file.persist(self.path).map_err(|e| e.error)?;
        Ok(self.written)
    }
}

/// The same up to the name, so that several files can get theirs together.
///
/// # Errors
/// Those of `fill`, and those of the disk.
pub fn ready<'p, E: From<io::Error>>(
    path: &'p Path,
    fill: impl FnOnce(&mut Making<'_>) -> Result<(), E>,
) -> Result<Ready<'p>, E> {
    let folder = path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let mut file = beside(folder)?;
    let mut making = Making::new(file.as_file_mut());
    fill(&mut making)?;
    let written = making.finish()?;
    Ok(Ready { file: file.into_temp_path(), path, written })
}

/// A new file, with the rights that any new file gets, not the private ones of a temporary.
fn beside(folder: &Path) -> io::Result<tempfile::NamedTempFile> {
    let mut said = None;
    let new = |path: &Path| {
        let file = OpenOptions::new().read(true).write(true).create_new(true).open(path);
        file.inspect_err(|e| said = e.raw_os_error())
    };
    let made = tempfile::Builder::new().prefix(LEFTOVER_PREFIX).suffix(".part").make_in(folder, new);
    // What the system said, in its own words; the text that goes with it would name a file that nobody knows.
    made.map_err(|e| said.map_or_else(|| io::Error::from(e.kind()), io::Error::from_raw_os_error))
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::fs;
    use std::io::Write;

    #[test]
    fn a_failed_write_leaves_the_older_file_and_nothing_else() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("sheet.tif");
        whole::<io::Error>(&path, |file| file.write_all(b"first")).unwrap();
        let failed = whole(&path, |file| {
            file.write_all(b"half of the sec")?;
            Err(io::Error::other("the disk is full"))
        });
        assert_eq!(failed.unwrap_err().to_string(), "the disk is full");
        assert_eq!(fs::read(&path).unwrap(), b"first");
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1);
    }

    /// On Linux a folder of /proc takes no file, and the system says so by a number of its own: ENOENT, 2 (errno(3)).
    #[cfg(target_os = "linux")]
    #[test]
    fn what_the_system_said_is_kept() {
        let told = whole::<io::Error>(Path::new("/proc/sheet.tif"), |_| Ok(())).unwrap_err();
        assert_eq!(told.raw_os_error(), Some(2), "{told}");
        assert!(!told.to_string().contains(LEFTOVER_PREFIX), "{told}");
    }

    #[cfg(unix)]
    #[test]
    fn a_new_file_has_the_rights_of_any_new_file() {
        use std::os::unix::fs::PermissionsExt;
        let folder = tempfile::tempdir().unwrap();
        let mode = |name: &str| fs::metadata(folder.path().join(name)).unwrap().permissions().mode() & 0o777;
        whole::<io::Error>(&folder.path().join("ours"), |_| Ok(())).unwrap();
        fs::write(folder.path().join("any"), b"").unwrap();
        assert_eq!(mode("ours"), mode("any"));
    }
}
