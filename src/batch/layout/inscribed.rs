//! What the files of a layout say: of one picture all that its notes say, of several their titles and what they have in
//! common.

use std::path::Path;

use crate::save::Inscription;
use crate::sheet::Said;

use super::opened::Opened;
use super::titles::{Found, found};
use crate::batch::linked;
use crate::batch::settings::Settings;

/// What the notes of the prints say; prints that no notes name say nothing.
pub(super) fn inscription(prints: &[Opened], results: Option<&Path>) -> Inscription {
    let mut all: Vec<Inscription> = prints.iter().filter_map(|print| of_print(print.path(), results)).collect();
    // Of prints that nobody knows nothing is in common.
    let whole = all.len() == prints.len();
    // A print may lie there twice.
    all.dedup();
    let Some(first) = all.first() else { return Inscription::default() };
    let titles: Vec<&str> = all.iter().filter_map(|of| of.title.as_deref()).collect();
    let common = |of: fn(&Inscription) -> &Option<String>| {
        let same = whole && all.iter().all(|other| of(other) == of(first));
        of(first).clone().filter(|_| same)
    };
    let mut keywords: Vec<String> = Vec::new();
    for word in all.iter().flat_map(|of| &of.keywords) {
        if !keywords.contains(word) {
            keywords.push(word.clone());
        }
    }
    Inscription {
        title: (!titles.is_empty()).then(|| titles.join("; ")),
        caption: common(|of| &of.caption),
        creator: common(|of| &of.creator),
        rights: common(|of| &of.rights),
        place: common(|of| &of.place),
        keywords,
        ..Inscription::default()
    }
}

fn of_print(print: &Path, results: Option<&Path>) -> Option<Inscription> {
    let Found { path, sidecar, .. } = found(print, results).ok()?;
    let shot = linked::shot(&sidecar, &path);
    let settings = sidecar.ours().and_then(|notes| Settings::of_words(&notes.record.settings).ok()).unwrap_or_default();
    Some(Inscription {
        title: shot.called().map(str::to_owned),
        caption: shot.told().map(str::to_owned),
        creator: shot.photographer.clone().or(settings.photographer),
        rights: shot.rights.clone().or(settings.rights),
        place: shot.place.clone(),
        keywords: shot.keywords.clone(),
        ..Inscription::default()
    })
}

/// The same as a PDF says it.
pub(super) fn said(of: &Inscription) -> Said {
    let rights = of.rights.iter().cloned();
    let about: Vec<String> = of.caption.iter().cloned().chain(rights).collect();
    Said {
        author: of.creator.clone(),
        about: (!about.is_empty()).then(|| about.join("; ")),
        keywords: of.keywords.clone(),
    }
}
