//! The files of a sheet that shows one frame: a PDF, and each page as a PNG. Both are sealed, so that the next run
//! knows them as the program's own.

use std::fs;
use std::path::{Path, PathBuf};

use crate::light::PixelsPerInch;
use crate::plane::Size;
use crate::save;
use crate::sheet::Sheet;

use super::write::write;

/// Saves them under a frame's name; pages of an earlier, longer sheet go. The PDF comes first.
///
/// # Errors
/// When one of the files was put there or changed by other hands and `force` is not given, or cannot be made or saved.
pub(super) fn save(
    sheet: &Sheet,
    folder: &Path,
    name: &str,
    ppi: PixelsPerInch,
    force: bool,
) -> Result<Vec<PathBuf>, String> {
    let page = |number: usize| match number {
        0 => folder.join(format!("{name}.png")),
        later => folder.join(format!("{name}-page-{}.png", later + 1)),
    };
    let pdf = folder.join(format!("{name}.pdf"));
    let pages: Vec<PathBuf> = (0..sheet.pages()).map(page).collect();
    let foreign = |path: &&PathBuf| path.exists() && !is_ours(path);
    if let Some(path) = std::iter::once(&pdf).chain(&pages).find(foreign).filter(|_| !force) {
        let what = "it was put there or changed by other hands: move it away, or run with --force";
        return Err(format!("{}: {what}", path.display()));
    }
    let wrong = |path: &Path, e: &dyn std::fmt::Display| format!("{}: {e}", path.display());
    write(&pdf, &save::seal_pdf(sheet.pdf().map_err(|e| wrong(&pdf, &e))?))?;
    for (number, path) in pages.iter().enumerate() {
        let picture = sheet.raster(number, ppi).map_err(|e| wrong(path, &e))?;
        let size = Size { width: picture.width(), height: picture.height() };
        write(path, &save::grey_png(picture.as_raw(), size, ppi).map_err(|e| wrong(path, &e))?)?;
    }
    for path in (sheet.pages()..).map(page).take_while(|path| is_ours(path)) {
        fs::remove_file(&path).map_err(|e| wrong(&path, &e))?;
    }
    Ok(std::iter::once(pdf).chain(pages).collect())
}

fn is_ours(path: &Path) -> bool {
    save::is_our_png(path) || save::is_our_pdf(path)
}
