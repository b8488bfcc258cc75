//! `dryside exposure`: the sums, with a film from the shelf or from a person's own file.

use std::path::Path;

use crate::meter::{Exposure, Reciprocity, Working, read_film};
use crate::notes::text_of;

use super::settings::is_toml;

/// An exposure that is asked about.
#[derive(Clone, Debug)]
pub struct ExposureOrder {
    /// All but the film.
    pub exposure: Exposure,
    /// The film: P, its name, or a file.
    pub reciprocity: Option<String>,
}

/// An exposure, worked out.
#[derive(Clone, Debug, PartialEq)]
pub struct ExposureAsked {
    /// All that it was worked out from.
    pub exposure: Exposure,
    /// The sums.
    pub working: Working,
}

/// Works it out.
///
/// # Errors
/// When the film is not known, or the reading says nothing without more.
pub fn ask_exposure(order: &ExposureOrder) -> Result<ExposureAsked, String> {
    let film = order.reciprocity.as_ref().map(|word| reciprocity(word, Path::new(""))).transpose()?;
    let exposure = Exposure { reciprocity: film, ..order.exposure.clone() };
    Ok(ExposureAsked { working: exposure.work_out()?, exposure })
}

/// What a person names as a film: P, a film on the shelf, or a file, whose path counts from `folder`.
///
/// # Errors
/// When it is none of these, or what is wrong with the file.
pub(super) fn reciprocity(word: &str, folder: &Path) -> Result<Reciprocity, String> {
    if !is_toml(word) {
        return word.parse().map_err(|e: crate::meter::NoFilm| e.to_string());
    }
    let path = folder.join(word);
    let wrong = |e: &dyn std::fmt::Display| format!("{}: {e}", path.display());
    let text = text_of(&path).map_err(|e| wrong(&e))?;
    let text = text.ok_or_else(|| wrong(&"no such film: check its name and folder"))?;
    read_film(&text).map_err(|e| wrong(&e))
}
