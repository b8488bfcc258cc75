//! Finding the scans of a folder.

use std::collections::HashMap;
use std::path::{Path, PathBuf};
use std::{fs, io};

use crate::save;

/// Endings of files that are looked at. Of two files with one name the earlier kind is the scan: a preview or an export
/// never takes the place of a TIFF.
const ENDINGS: [&str; 5] = ["tif", "tiff", "png", "jpg", "jpeg"];

/// How the plot of a calibration ends: a picture, and no scan.
pub(super) const PLOT: &str = ".wedge.png";

/// A scan to be worked on, or a file that cannot be one and why.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Candidate {
    /// The file.
    pub path: PathBuf,
    /// Name without ending: that of everything made from it.
    pub name: String,
    /// Another scan that has the name already.
    pub same_name_as: Option<PathBuf>,
}

impl Candidate {
    /// Its file name.
    pub(super) fn file(&self) -> String {
        self.path.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default()
    }
}

/// Scans of `folder` in name order, numbers in names counted as numbers. Hidden files, folders, pictures that the
/// program drew itself and files of other kinds are passed over. Of two scans with one name and different endings the
/// second cannot be worked on.
///
/// # Errors
/// When the folder cannot be read.
pub(super) fn scans(folder: &Path) -> io::Result<Vec<Candidate>> {
    let mut files = Vec::new();
    for entry in fs::read_dir(folder)? {
        let entry = entry?;
        let name = entry.file_name().to_string_lossy().into_owned();
        let ending = Path::new(&name).extension().map(|e| e.to_string_lossy().to_lowercase());
        let rank = ending.as_ref().and_then(|e| ENDINGS.iter().position(|known| known == e));
        // Through links: a scan may lie elsewhere.
        let path = entry.path();
        // A picture that the program drew tells so in its first bytes, and one that does not is read no further.
        let drawn = || name.ends_with(PLOT) || ending.as_deref() == Some("png") && save::is_our_png(&path);
        if let Some(rank) = rank.filter(|_| !name.starts_with('.') && !path.is_dir() && !drawn()) {
            files.push((in_name_order(&name), rank, path));
        }
    }
    files.sort();
    // Where letter case does not count in file names, "A.tif" and "a.png" would write the same files.
    let stem = |path: &Path| path.file_stem().map(|s| s.to_string_lossy().into_owned()).unwrap_or_default();
    let mut firsts: HashMap<String, (usize, PathBuf)> = HashMap::new();
    for (_, rank, path) in &files {
        let first = firsts.entry(stem(path).to_lowercase()).or_insert_with(|| (*rank, path.clone()));
        if *rank < first.0 {
            *first = (*rank, path.clone());
        }
    }
    let candidate = |(_, _, path): (_, _, PathBuf)| {
        let name = stem(&path);
        let first = &firsts[&name.to_lowercase()].1;
        Candidate { same_name_as: (*first != path).then(|| first.clone()), name, path }
    };
    Ok(files.into_iter().map(candidate).collect())
}

/// A key that sorts "sheet 2" before "sheet 10": words in lower case, numbers by value, the plain name to settle ties.
pub(super) fn in_name_order(name: &str) -> (Vec<(String, u64)>, String) {
    let mut parts = vec![(String::new(), 0u64)];
    let mut digits = false;
    for c in name.chars() {
        let last = parts.last_mut().expect("there is always a part");
        match c.to_digit(10) {
            Some(d) => last.1 = last.1.saturating_mul(10).saturating_add(u64::from(d)),
            None if digits => parts.push((c.to_lowercase().collect(), 0)),
            None => last.0.extend(c.to_lowercase()),
        }
        digits = c.is_ascii_digit();
    }
    (parts, name.to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn names(files: &[&str]) -> Vec<(String, bool)> {
        let folder = tempfile::tempdir().unwrap();
        for file in files {
            fs::write(folder.path().join(file), b"").unwrap();
        }
        fs::create_dir(folder.path().join("folder.tif")).unwrap();
        let found = scans(folder.path()).unwrap();
        let of = |c: &Candidate| c.path.file_name().unwrap().to_string_lossy().into_owned();
        found.iter().map(|c| (of(c), c.same_name_as.is_none())).collect()
    }

    #[test]
    fn scans_come_in_name_order_and_nothing_else_comes() {
        let found = names(&["roll-10.tif", "roll-2.TIFF", ".roll-1.tif", "roll.txt", "Roll-1.png", "dryside.toml"]);
        let order: Vec<&str> = found.iter().map(|f| f.0.as_str()).collect();
        assert_eq!(order, ["Roll-1.png", "roll-2.TIFF", "roll-10.tif"]);
    }

    #[test]
    fn of_two_with_one_name_the_tiff_is_the_scan() {
        let found = names(&["lantern.jpg", "lantern.tif", "loft.tif", "Loft.TIFF"]);
        let mut taken: Vec<_> = found.iter().filter(|f| f.1).map(|f| f.0.as_str()).collect();
        taken.sort_unstable();
        assert_eq!(taken, ["lantern.tif", "loft.tif"]);
    }
}
