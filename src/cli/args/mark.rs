//! `dryside mark`.

use std::path::PathBuf;

use clap::Args as Group;

use crate::notes::Mark;

#[derive(Debug, Group)]
pub(in crate::cli) struct MarkArgs {
    /// What is to become of them: print, hold, skip, or none to take a mark away
    #[arg(value_name = "MARK", value_parser = mark)]
    pub(in crate::cli) mark: Marking,
    /// Frames: their names in the folder of results, as ropewalk-out/sheet-01, their proofs or notes there, or the
    /// whole folder
    #[arg(required = true, value_name = "FRAME")]
    pub(in crate::cli) frames: Vec<PathBuf>,
    /// A few words beside the mark, as "burn in the sky"
    #[arg(long, value_name = "WORDS")]
    pub(in crate::cli) remark: Option<String>,
}

/// A mark, or none.
#[derive(Clone, Copy, Debug)]
pub(in crate::cli) struct Marking(pub(in crate::cli) Option<Mark>);

fn mark(word: &str) -> Result<Marking, String> {
    match word.trim() {
        "none" => Ok(Marking(None)),
        word => word.parse().map(|mark| Marking(Some(mark))).map_err(|e: String| format!("{e}, or none")),
    }
}
