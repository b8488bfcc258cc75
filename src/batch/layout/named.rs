//! How the files of a layout are called.

use std::path::{Path, PathBuf};

use std::collections::BTreeSet;

use crate::batch::folders::{LAYOUT, PRINT, real};
use crate::batch::which::wanted;
use crate::notes::Sidecar;
use crate::sheet::LayoutPaper;

use super::LayoutOrder;
use super::opened::Opened;

/// The files that are to be written.
#[derive(Debug, PartialEq)]
pub(super) struct Files {
    pub(super) tiff: Option<PathBuf>,
    pub(super) pdf: Option<PathBuf>,
}

impl Files {
    pub(super) fn all(&self) -> impl Iterator<Item = &Path> {
        [&self.tiff, &self.pdf].into_iter().flatten().map(PathBuf::as_path)
    }
}

/// The files as they were named, by their ending; both kinds where there is none.
///
/// # Errors
/// When one of them is a print, or lies among the scans or where another command keeps its files.
pub(super) fn files(order: &LayoutOrder, prints: &[Opened]) -> Result<Files, String> {
    let stem = order.out.clone().unwrap_or_else(|| of_itself(order));
    let files = by_ending(&stem);
    let print = files.all().find(|file| prints.iter().any(|print| real(print.path()) == real(file)));
    match print {
        Some(print) => Err(format!("{}: this is one of the prints: give another name with --out", print.display())),
        None => guarded(&files, prints).map(|()| files),
    }
}

/// Folders of results that the prints lie in.
pub(super) fn results(prints: &[Opened]) -> BTreeSet<PathBuf> {
    let folders = prints.iter().filter_map(|print| real(print.path()).parent().map(Path::to_path_buf));
    folders
        .filter(|folder| folder.ends_with(PRINT))
        .filter_map(|folder| folder.parent().map(Path::to_path_buf))
        .collect()
}

/// A scan stays as it is, also with --force, and so does what other commands made.
fn guarded(files: &Files, prints: &[Opened]) -> Result<(), String> {
    for results in results(prints) {
        // Notes that cannot be read name no scans; their own command tells of them.
        let notes =
            wanted(&results).unwrap_or_default().into_iter().filter_map(|of| Sidecar::open(&of.notes).ok()?.ours());
        let names: BTreeSet<String> = notes.map(|notes| notes.scan.folder).filter(|name| !name.is_empty()).collect();
        let scans: Vec<PathBuf> = names.iter().filter_map(|name| Some(results.parent()?.join(name))).collect();
        for file in files.all() {
            let lies_in = |folder: &Path| real(file).starts_with(real(folder));
            if scans.iter().any(|scans| lies_in(scans)) {
                return Err(format!(
                    "{}: this lies in the folder of the scans, which stays as it is: give another with --out",
                    file.display()
                ));
            }
            if lies_in(&results) && !lies_in(&results.join(LAYOUT)) {
                return Err(format!(
                    "{}: this lies where a batch keeps its results: give a name in {} or elsewhere with --out",
                    file.display(),
                    results.join(LAYOUT).display()
                ));
            }
        }
    }
    Ok(())
}

fn by_ending(out: &Path) -> Files {
    let ending = out.extension().map(|ending| ending.to_string_lossy().to_lowercase());
    let with = |ending: &str| {
        let mut name = out.as_os_str().to_owned();
        name.push(ending);
        PathBuf::from(name)
    };
    match ending.as_deref() {
        Some("tif" | "tiff") => Files { tiff: Some(out.to_owned()), pdf: None },
        Some("pdf") => Files { tiff: None, pdf: Some(out.to_owned()) },
        // A dot in a name is no ending: "10.5x8cm".
        _ => Files { tiff: Some(with(".tif")), pdf: Some(with(".pdf")) },
    }
}

/// "layout/sheet-01-10x8cm-and-2-more-on-a3", beside the folder of the first print.
fn of_itself(order: &LayoutOrder) -> PathBuf {
    let first = order.prints.first().map(PathBuf::as_path).unwrap_or(Path::new(""));
    let folder = first.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let beside = if folder.ends_with(PRINT) { folder.parent().unwrap_or(folder) } else { folder };
    let name = first.file_stem().unwrap_or_default().to_string_lossy();
    let more = match order.prints.len() {
        0 | 1 => String::new(),
        prints => format!("-and-{}-more", prints - 1),
    };
    let paper = match &order.paper {
        LayoutPaper::Sheet(name, ..) => name.clone(),
        LayoutPaper::Roll(width) => format!("roll-{:.0}mm", width.value()),
    };
    beside.join(LAYOUT).join(format!("{name}{more}-on-{paper}"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_ending_says_which_kind() {
        let names = |out: &str| {
            let files = by_ending(Path::new(out));
            files.all().map(|file| file.display().to_string()).collect::<Vec<_>>()
        };
        assert_eq!(names("wall.TIF"), ["wall.TIF"]);
        assert_eq!(names("wall.pdf"), ["wall.pdf"]);
        assert_eq!(names("coil-10.5x8cm"), ["coil-10.5x8cm.tif", "coil-10.5x8cm.pdf"]);
    }
}
