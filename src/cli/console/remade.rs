//! What is told of files that were made again from their notes.

use crate::batch::{FileState, Remade, RemadeFrame, RemadeScan};

use super::table::Table;
use super::words::{count, grouped};
use super::{Console, print_lines};

impl Console {
    /// What was gone and is there again, what differs by now; failures stand last. Tells whether it could be printed.
    pub(in crate::cli) fn remade(&self, remade: &Remade, dry_run: bool) -> bool {
        let mut table = Table::named(&["frame", "flat", "proof", "straight", ""], 0..0);
        let frames = || remade.scans.iter().filter_map(|scan| scan.result.as_ref().ok()).flatten();
        table.rows.extend(frames().map(row));
        let mut lines: Vec<String> = Vec::new();
        if table.rows.len() > 1 {
            lines.extend(table.lines());
            lines.push(String::new());
        }
        let told = |scan: &'_ RemadeScan| -> Vec<(String, String)> {
            scan.differs.iter().map(|differs| (scan.file.clone(), differs.to_string())).collect()
        };
        let told: Vec<_> = remade.scans.iter().flat_map(told).collect();
        lines.extend(grouped(told.iter().map(|(file, differs)| (file.as_str(), differs.clone()))));
        let unnoted = remade
            .unnoted
            .iter()
            .map(|file| (file.as_str(), "it has no notes yet: run without --from-notes".to_owned()));
        lines.extend(grouped(unnoted));
        let of = |state| frames().flat_map(RemadeFrame::states).filter(|of| *of == state).count();
        let out = remade.out.display();
        let there = format!("{} as their notes say", count(of(FileState::There), "file"));
        if dry_run {
            lines.push(format!("{there}, {} to make again, nothing written: {out}", of(FileState::ToMake)));
        } else {
            let (same, other) = (of(FileState::Made), of(FileState::Otherwise));
            let mut parts = vec![there, format!("{} made again to the byte", count(same, "file"))];
            let others = [(other, "made again and other than before"), (of(FileState::Finished), "finished")];
            parts.extend(others.iter().filter(|(n, _)| *n > 0).map(|(n, what)| format!("{n} {what}")));
            lines.push(format!("{}: {out}", parts.join(", ")));
            if same + other > 0 {
                lines.push("prints at size: dryside print --from NOTES makes them again".to_owned());
            }
        }
        let printed = print_lines(&lines);
        for scan in &remade.scans {
            if let Err(why) = &scan.result {
                self.error(&format!("{}: {why}", scan.file));
            }
        }
        remade.troubles.iter().for_each(|trouble| self.error(trouble));
        printed
    }
}

fn row(frame: &RemadeFrame) -> Vec<String> {
    let further = |state: Option<FileState>| state.map_or_else(String::new, |state| in_words(state).to_owned());
    let mut xmp: Vec<&str> = frame.xmp.into_iter().flatten().map(in_words).collect();
    xmp.dedup();
    let xmp = if xmp.is_empty() { String::new() } else { format!("xmp {}", xmp.join(", ")) };
    let files = [frame.flat, frame.proof].map(|state| in_words(state).to_owned());
    [vec![frame.name.clone()], files.to_vec(), vec![further(frame.straight), xmp]].concat()
}

fn in_words(state: FileState) -> &'static str {
    match state {
        FileState::There => "there",
        FileState::Kept => "changed by hand, kept",
        FileState::ToMake => "to make again",
        FileState::Made => "made again",
        FileState::Otherwise => "made, another file",
        FileState::Finished => "finished",
    }
}
