//! Notes laid out as forms, the evening before there is a scan.

use std::collections::HashSet;
use std::path::{Path, PathBuf};

use crate::batch::find;
use crate::batch::folders::{FLAT, Folders, PICTURES, real};
use crate::batch::keep::keep;
use crate::batch::which::without_ending;
use crate::notes::Sidecar;

use super::holders::Holders;

/// Notes that are to be laid out.
#[derive(Clone, Debug)]
pub struct LayOrder {
    /// The folder of the scans, there already or not; or of their results.
    pub folder: PathBuf,
    /// Folder of the results, if it is another than a batch takes by itself.
    pub out: Option<PathBuf>,
    /// Names that the scans will have.
    pub names: Vec<String>,
    /// Holders whose sheets they will be.
    pub holders: Option<Holders>,
    /// What all of them say, as `key=value`.
    pub given: Vec<String>,
}

/// Notes that were laid out.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct LaidNotes {
    /// Their folder.
    pub folder: PathBuf,
    /// New ones, by the name of their scan.
    pub laid: Vec<String>,
    /// Those that were there, and stay as they are.
    pub kept: Vec<String>,
}

/// Lays a form for each sheet where a batch of the scans will look for its notes. What is there stays as it is.
///
/// # Errors
/// When no sheet is named and there is no scan, a name is none, a field cannot take what it is given, or the disk refuses.
pub fn lay_notes(order: &LayOrder) -> Result<LaidNotes, String> {
    let folder = real(&order.folder);
    let wrong = |what: &str| Err(format!("{}: {what}", order.folder.display()));
    if folder.exists() && !folder.is_dir() {
        return wrong("this is a file: give the folder that the scans are in or will be in");
    }
    if folder.file_name().is_some_and(|name| PICTURES.iter().any(|known| name == *known))
        && folder.parent().is_some_and(|results| results.join(FLAT).is_dir())
    {
        return wrong("this lies in a folder of results: give that folder, or the one of the scans");
    }
    let is_results = order.out.is_none() && folder.join(FLAT).is_dir();
    let folders = match is_results {
        true => Folders::of_results(&folder, ""),
        false => Folders::new(&folder, order.out.as_deref()).map_err(|e| e.to_string())?,
    };
    let sheets = sheets(order, &folder, is_results)?;
    let forms: Result<Vec<_>, String> = sheets
        .into_iter()
        .map(|(name, own)| {
            let given = [&order.given[..], &own].concat();
            Sidecar::form(&given).map(|form| (name, form)).map_err(|e| e.to_string())
        })
        .collect();
    let forms = forms?;
    let _held = folders.prepare(&[FLAT], None).map_err(|e| e.to_string())?;
    let mut done = LaidNotes { folder: folders.out().join(FLAT), ..LaidNotes::default() };
    for (name, form) in forms {
        let path = folders.notes(&name);
        // A link that leads nowhere is there as well.
        if path.exists() || path.is_symlink() {
            done.kept.push(name);
            continue;
        }
        keep(&path, &form).map_err(|e| format!("{}: {e}", path.display()))?;
        done.laid.push(name);
    }
    Ok(done)
}

/// Names of the sheets, each with what its holder says.
fn sheets(order: &LayOrder, folder: &Path, is_results: bool) -> Result<Vec<(String, Vec<String>)>, String> {
    let named = order.names.iter().map(|name| Ok((sound(name)?, Vec::new())));
    let held = order.holders.iter().flat_map(Holders::sheets).map(|(name, own)| Ok((name, own.to_vec())));
    let mut sheets: Vec<_> = named.chain(held).collect::<Result<_, String>>()?;
    if sheets.is_empty() && !is_results && folder.is_dir() {
        let scans = find::scans(folder).map_err(|e| format!("{}: {e}", folder.display()))?;
        sheets = scans.into_iter().map(|scan| (scan.name, Vec::new())).collect();
    }
    if sheets.is_empty() && is_results {
        let what = "these are results, and their scans have notes already: name further sheets, or give the folder of the scans";
        return Err(format!("{}: {what}", order.folder.display()));
    }
    if sheets.is_empty() {
        return Err(format!(
            "{}: there are no scans yet: name the sheets as their scans will be called, or give --holders 1-10",
            order.folder.display()
        ));
    }
    let mut seen = HashSet::new();
    sheets.retain(|(name, _)| seen.insert(name.clone()));
    Ok(sheets)
}

/// A name that a scan can have, without its ending.
fn sound(name: &str) -> Result<String, String> {
    let plain = without_ending(name);
    let sound = !plain.is_empty()
        && !plain.starts_with('.')
        && !plain.contains(|c: char| c.is_control() || c == '/' || c == '\\')
        && plain.trim() == plain;
    if sound {
        Ok(plain)
    } else {
        Err(format!("\"{name}\" is no name of a scan: use letters, figures and signs but / and \\"))
    }
}
