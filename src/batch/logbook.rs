//! The logbook of a batch on the disk: one page of all frames, made of what lies there written down.

use std::collections::BTreeMap;
use std::io::Write;
use std::path::{Path, PathBuf};

use percent_encoding::{AsciiSet, NON_ALPHANUMERIC, utf8_percent_encode};
use rayon::prelude::*;

use crate::film::{Warning, ZoneTable};
use crate::light::Density;
use crate::logbook::{Entry, Failure, Flag, Link, Logbook, page};
use crate::notes::{MeasuredFrame, Notes, Sidecar};
use crate::save;

use super::closing::Closing;
use super::folders::{Folders, PRINT, real};
use super::key::{Stamp, key};
use super::linked;
use super::own_picture::jpeg;
use super::record;
use super::seal::Seal;
use super::sheet_parts::{Printing, densities, grade, kind, printed};
use super::shown::Shown;
use super::thumbnail::Reducing;

/// The page, and a hidden file that remembers what it shows and how it was saved.
const PAGE: &str = "batch.html";
const SEAL: &str = ".batch-page";

/// Makes the page of all frames and scans; where nothing has changed it is left as it is. Gives its place; nothing
/// where no scan went well and an earlier page is worth more.
///
/// # Errors
/// When it cannot be saved, or other hands changed it: which, and why.
pub(super) fn save(
    shown: &[Shown],
    closing: &Closing<'_>,
    settings: &BTreeMap<String, String>,
    folders: &Folders,
) -> Result<Option<PathBuf>, String> {
    let path = folders.out().join(PAGE);
    if shown.iter().all(|shown| shown.failure().is_some()) && path.exists() {
        return Ok(None);
    }
    let failed = |error: &dyn std::fmt::Display| format!("{}: {error}", path.display());
    let printing = Printing::of(shown);
    let book = blank(shown, &printing, settings, folders);
    let key = page_key(&book, shown);
    let mut seal = Seal::of(folders.out().join(SEAL));
    if path.exists() && !closing.force {
        if path.is_file() && seal.finished_by(&key).is_some() {
            return Ok(Some(path));
        }
        seal.refuse_others(&path)?;
    }
    let frames: Vec<&Shown> = shown.iter().filter(|shown| shown.failure().is_none()).collect();
    let reducing = Reducing::of(frames.len());
    let entries = frames.par_iter().map(|shown| entry(shown, &printing, &reducing, folders)).collect();
    let html = page(&Logbook { entries, ..book });
    let hash = blake3::hash(html.as_bytes()).to_hex().to_string();
    // The seal comes first.
    seal.expect([hash.clone()])?;
    save::whole(&path, |file| file.write_all(html.as_bytes()))
        .map_err(|e: std::io::Error| failed(&save::refusal(&e)))?;
    seal.finish(key, vec![hash])?;
    Ok(Some(path))
}

/// Whether there is one.
pub(super) fn is_there(folders: &Folders) -> bool {
    folders.out().join(PAGE).exists()
}

/// The logbook without its frames.
fn blank(shown: &[Shown], printing: &Printing, settings: &BTreeMap<String, String>, folders: &Folders) -> Logbook {
    let Printing { paper, table, .. } = printing;
    let densities = densities(shown);
    // As on the sheet: beside the page the names of files say enough, and the same batch elsewhere is the same page.
    let out = format!("{}/", folders.out().display());
    let failures = shown.iter().filter_map(Shown::failure).map(|(scan, reason)| (scan, reason.replace(&out, "")));
    let zones: ZoneTable = settings.get("zones").and_then(|word| word.parse().ok()).unwrap_or_default();
    let whole = [("table of figures (CSV)", folders.table()), ("proof sheet (PDF)", folders.sheet("proof-sheet.pdf"))];
    Logbook {
        title: folders.name(),
        day: jiff::ZonedDateTime::now().date().to_string(),
        made: vec![
            kind("each frame in its own grade", printing),
            format!("paper {paper}, grades after {table}"),
            format!("{densities}, net of base"),
        ],
        failed: failures.map(|(scan, reason)| Failure { scan: scan.to_owned(), reason }).collect(),
        zones: (zones.zones().map(|(name, net)| (name.to_owned(), net)).collect(), zones.name().to_owned()),
        settings: settings.iter().map(|(name, word)| (name.clone(), word.clone())).collect(),
        files: whole.iter().filter_map(|(word, file)| link(word, file, folders.out())).collect(),
        entries: Vec::new(),
    }
}

/// Everything that the page shows but the day. Notes and proofs are told by when they were made, not read.
fn page_key(book: &Logbook, shown: &[Shown]) -> String {
    let of_all = Logbook { day: String::new(), ..book.clone() };
    let stamp = |path: &Path| Stamp::of(path).map(|stamp| stamp.modified).unwrap_or_default();
    let frame = |shown: &Shown| {
        let files = [stamp(&shown.notes), stamp(&shown.proof())];
        format!("{:?} {:?} {files:?}", shown.row, shown.folders.out())
    };
    let parts: Vec<String> = std::iter::once(format!("{of_all:?}")).chain(shown.iter().map(frame)).collect();
    key(&parts.iter().map(String::as_str).collect::<Vec<_>>())
}

fn entry(shown: &Shown, of_batch: &Printing, reducing: &Reducing, folders: &Folders) -> Entry {
    let row = &shown.row;
    let (notes, flat) = (shown.notes.clone(), shown.folders.flat(&row.frame));
    // Of notes that cannot be read any more the page says so; the row still says what was decided.
    let (sidecar, notes_wrong) = match Sidecar::open(&notes) {
        Ok(sidecar) => (Some(sidecar), None),
        Err(error) => (None, Some(error.to_string())),
    };
    let written = sidecar.as_ref().and_then(Sidecar::ours);
    let by_hand = written.as_ref().zip(sidecar.as_ref()).map(|(written, sidecar)| {
        let unlinked = linked::first(sidecar, &notes).err();
        record::by_hand(&sidecar.marks(), written.measured.frames.len(), unlinked.as_ref())
    });
    let by_hand = by_hand.unwrap_or_default();
    let measured = written.as_ref().and_then(|notes| frame_of(notes, &flat));
    let density = |d: Option<f64>| d.map(Density::new);
    let proof = jpeg(&shown.proof()).map_err(|e| e.to_string()).and_then(|jpeg| reducing.reduce(&jpeg));
    let net = [row.thin, row.median, row.dense].map(density);
    let files = [("flat positive", flat), ("proof", shown.proof()), ("notes", notes)];
    Entry {
        name: row.frame.clone(),
        scan: row.scan.clone(),
        called: shown.called.clone(),
        date: shown.date.clone(),
        mark: shown.marked.mark.map(|mark| mark.to_string()),
        remark: shown.marked.remark.clone().filter(|remark| !remark.trim().is_empty()),
        picture: Some(proof.map_err(|e| format!("the proof cannot be shown: {e}"))),
        base: density(row.base).filter(|_| row.base_source != "assumed"),
        base_source: row.base_source.clone(),
        net: if let [Some(thin), Some(median), Some(dense)] = net { Some([thin, median, dense]) } else { None },
        printed: std::iter::once(grade(row)).chain(printed(row, of_batch)).collect(),
        flags: flags(&row.flags, written.as_ref(), measured.map(|frame| frame.number), &by_hand),
        prints: sidecar.map(|sidecar| prints(&sidecar, shown, folders.out())).unwrap_or_default(),
        tones: measured.and_then(|frame| frame.tones.clone()),
        notes_wrong,
        files: files.iter().filter_map(|(word, file)| link(word, file, folders.out())).collect(),
    }
}

/// The prints made of a frame, each with its file if that is there.
fn prints(sidecar: &Sidecar, shown: &Shown, from: &Path) -> Vec<(String, Option<Link>)> {
    // Prints that cannot be read are told by the command that makes them.
    let all = sidecar.prints().unwrap_or_default();
    let made = all.into_iter().filter(|print| print.frame as usize == shown.number && print.bytes > 0);
    let told = made.map(|print| {
        let said = format!("{}, grade {} on {}", print.size, print.grade, print.paper);
        (said, link(&print.file, &shown.folders.out().join(PRINT).join(&print.file), from))
    });
    told.collect()
}

/// What the notes say of the frame whose flat positive this is.
fn frame_of<'n>(notes: &'n Notes, flat: &Path) -> Option<&'n MeasuredFrame> {
    let file = flat.file_name()?.to_string_lossy();
    let number = notes.flat.frames.iter().find(|frame| frame.file == file)?.number;
    notes.measured.frames.iter().find(|frame| frame.number == number)
}

/// The flags of a row, each with its message in the notes, or among what is wrong with what is written there `by_hand`.
pub(super) fn flags(codes: &str, notes: Option<&Notes>, number: Option<u32>, by_hand: &[Warning]) -> Vec<Flag> {
    let mut by_hand: Vec<_> = by_hand.iter().collect();
    let mut all: Vec<_> =
        notes.into_iter().flat_map(|n| n.measured.warnings.iter().chain(&n.record.warnings)).collect();
    all.retain(|warning| number.is_none_or(|number| warning.is_about(number as usize)));
    let flag = |code: &str| {
        let at = all.iter().position(|warning| warning.code == code);
        // One code may stand there twice, each time with a message of its own.
        let message = at.map(|at| all.remove(at).message.clone());
        let mut of_hand = || {
            let at = by_hand.iter().position(|warning| warning.code() == code)?;
            Some(by_hand.remove(at).to_string())
        };
        let message = message.or_else(&mut of_hand).unwrap_or_default();
        Flag { code: code.to_owned(), message }
    };
    codes.split_whitespace().map(flag).collect()
}

/// What stands in a path of a reference as it is (RFC 3986, 2.3: unreserved, and the slash).
const PLAIN: &AsciiSet = &NON_ALPHANUMERIC.remove(b'-').remove(b'.').remove(b'_').remove(b'~').remove(b'/');

/// The way from the page to a file, if the file is there.
fn link(word: &str, file: &Path, from: &Path) -> Option<Link> {
    let way = pathdiff::diff_paths(real(file), real(from)).filter(|_| file.exists())?;
    let way = way.components().map(|part| part.as_os_str().to_string_lossy()).collect::<Vec<_>>().join("/");
    Some(Link { word: word.to_owned(), to: utf8_percent_encode(&way, PLAIN).to_string() })
}

#[cfg(test)]
mod tests {
    use std::fs;

    use super::*;

    #[test]
    fn links_are_relative_and_hold_whatever_a_file_is_called() {
        let top = tempfile::tempdir().unwrap();
        let (out, other) = (top.path().join("out"), top.path().join("a b"));
        for (folder, name) in [(&out, "50 % #1 ?.tif"), (&other, "\u{fc}.tif")] {
            fs::create_dir(folder).unwrap();
            fs::write(folder.join(name), b"").unwrap();
        }
        let to = |file: PathBuf| link("flat", &file, &out).map(|link| link.to);
        assert_eq!(to(out.join("50 % #1 ?.tif")).as_deref(), Some("50%20%25%20%231%20%3F.tif"));
        assert_eq!(to(other.join("\u{fc}.tif")).as_deref(), Some("../a%20b/%C3%BC.tif"));
        assert_eq!(to(out.join("gone.tif")), None);
    }
}
