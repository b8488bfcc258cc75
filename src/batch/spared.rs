//! Files that nothing replaces, whatever is forced.

use std::path::Path;

use crate::save::{self, PROGRAM};
use crate::scan::{self, Error, Facts};

/// Whether a picture says that this program made it, whichever version.
pub(super) fn is_ours(facts: &Facts) -> bool {
    let by = |program: &str| program.split(' ').next().map(str::to_owned);
    facts.software.as_deref().is_some_and(|software| by(software) == by(PROGRAM))
}

/// Refuses a file under whose name a picture stands that this program did not make: it may be a scan.
///
/// # Errors
/// When there is one: what to do.
pub(super) fn spare_scans(path: &Path) -> Result<(), String> {
    let spared = match scan::open(path) {
        Ok(scan) => !is_ours(scan.facts()) && !save::is_our_png(path),
        Err(Error::NotAnImage(_) | Error::Disk(_)) => false,
        Err(_) => path.metadata().is_ok_and(|there| there.len() > 0),
    };
    let why =
        "a picture stands there that dryside did not make, and stays as it is: move it away, or give another name";
    if spared { Err(format!("{}: {why}", path.display())) } else { Ok(()) }
}

#[cfg(test)]
mod tests {
    use std::fs;

    use super::*;

    #[test]
    fn a_scan_is_spared_and_a_file_of_our_own_or_no_picture_is_not() {
        let top = tempfile::tempdir().unwrap();
        let fixtures = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fixtures/tiff");
        assert!(spare_scans(&fixtures.join("g16-plain.tif")).is_err());
        assert!(spare_scans(&fixtures.join("torn-strip.tif")).is_err(), "a torn scan is one");
        assert!(spare_scans(&top.path().join("none")).is_ok());
        let words = top.path().join("words.txt");
        fs::write(&words, "no picture").unwrap();
        assert!(spare_scans(&words).is_ok());
    }
}
