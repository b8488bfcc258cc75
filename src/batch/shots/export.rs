//! Notes given out: as a table, and the frames that conditions hold for.

use std::path::{Path, PathBuf};

use crate::batch::{linked, which};
use crate::notes::{COLUMNS, Condition, Exported, Marks, Notes, ShotNotes, Sidecar, export_csv, export_json};

/// What becomes of the rows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Export {
    /// A table for a spreadsheet.
    Csv,
    /// For other programs.
    Json,
}

/// Rows that were given out, and notes that could not be read.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct GivenOut {
    /// The table, or one line a frame that was found.
    pub text: String,
    /// What is wrong with notes that were left out.
    pub failures: Vec<String>,
}

/// Gives out the notes of what was typed (files, frames, folders of results), one row a frame that was measured.
///
/// # Errors
/// When something typed is none of these.
pub fn export_notes(typed: &[PathBuf], export: Export) -> Result<GivenOut, String> {
    let (opened, failures) = opened(typed)?;
    let rows: Vec<_> = opened.iter().flat_map(Opened::rows).collect();
    let text = match export {
        Export::Csv => String::from_utf8(export_csv(&rows).map_err(|e| e.to_string())?).map_err(|e| e.to_string())?,
        Export::Json => export_json(&rows) + "\n",
    };
    Ok(GivenOut { text, failures })
}

/// Finds the frames in a folder of results, or of one of its notes, that all of some conditions hold for: a line each,
/// as dryside print takes them.
///
/// # Errors
/// When a condition is none, or the folder has no notes.
pub fn find_frames(folder: &Path, words: &[String]) -> Result<GivenOut, String> {
    let conditions = words.iter().map(|word| Condition::parse(word, &COLUMNS)).collect::<Result<Vec<_>, _>>();
    let conditions = conditions.map_err(|e| e.to_string())?;
    let (opened, failures) = opened(&[folder.to_owned()])?;
    let mut text = String::new();
    for of in &opened {
        for row in of.rows() {
            if conditions.iter().all(|condition| condition.holds(&row.column(condition.column()))) {
                let name = row.column("frame").first().map(ToString::to_string).unwrap_or_default();
                let results = if folder.is_dir() { folder } else { &of.results };
                text += &format!("{}\n", results.join(name).display());
            }
        }
    }
    Ok(GivenOut { text, failures })
}

/// Notes that could be read.
struct Opened {
    scan: String,
    frame: Option<usize>,
    notes: Notes,
    shot: ShotNotes,
    prints: Vec<u32>,
    marks: Marks,
    /// The folder of results, as it was typed or as the notes lie in it.
    results: PathBuf,
}

impl Opened {
    fn rows(&self) -> impl Iterator<Item = Exported<'_>> {
        let frames = (0..self.notes.measured.frames.len()).filter(|i| self.frame.is_none_or(|wanted| wanted == i + 1));
        frames.map(|frame| {
            let prints = self.prints.iter().filter(|of| **of as usize == frame + 1).count();
            Exported { scan: &self.scan, notes: &self.notes, shot: &self.shot, prints, marks: &self.marks, frame }
        })
    }
}

/// Opens notes; those that hold nothing measured yet are left out.
fn opened(typed: &[PathBuf]) -> Result<(Vec<Opened>, Vec<String>), String> {
    let (mut opened, mut failures) = (Vec::new(), Vec::new());
    for of in which::sure(typed)? {
        let read = Sidecar::open(&of.notes).and_then(|sidecar| Ok((sidecar.prints()?, sidecar)));
        let (prints, sidecar) = match read {
            Ok(read) => read,
            Err(error) => {
                failures.push(format!("{}: {error}", of.notes.display()));
                continue;
            }
        };
        let Some(notes) = sidecar.ours() else { continue };
        let frames = notes.measured.frames.len();
        if of.frame.is_some_and(|number| !(1..=frames).contains(&number)) {
            return Err(format!("{}: {}", of.notes.display(), which::no_such_frame(frames)));
        }
        opened.push(Opened {
            scan: of.scan(),
            frame: of.frame,
            notes,
            shot: linked::shot(&sidecar, &of.notes),
            prints: prints.iter().map(|print| print.frame).collect(),
            marks: sidecar.marks(),
            results: of.results(),
        });
    }
    Ok((opened, failures))
}
