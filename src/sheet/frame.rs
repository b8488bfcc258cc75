//! What a proof sheet is told about its frames and its batch.

use super::picture::Picture;

/// One frame of a proof sheet: its picture and the facts under it.
#[derive(Debug, Clone, Default)]
pub struct Frame {
    /// Name of the scan or frame, any text; shortened in its middle where it is too long.
    pub name: String,
    /// The picture; without one the frame is an empty box.
    pub picture: Option<Picture>,
    /// What the picture is of, in the photographer's words.
    pub subject: Option<String>,
    /// Density of base and fog.
    pub base: Option<f64>,
    /// Net density between thin and dense end.
    pub range: Option<f64>,
    /// Paper grade as a table writes it: "2", "2 1/2"; with exposure beyond the placing: "2, +1/3 stop".
    pub grade: Option<String>,
    /// How else it was printed than the head says, in a few words each: "paper neutral matt", "split 00 -1, 5 -1".
    pub printed: Vec<String>,
    /// What to look at twice, in a few words each: "no base", "dense end in noise".
    pub flags: Vec<String>,
    /// Why there is no picture; the reason is written into the empty box, and a picture is not drawn.
    pub failed: Option<String>,
}

impl Frame {
    /// The picture to draw, if the frame has one and did not fail.
    pub(super) fn shown(&self) -> Option<&Picture> {
        self.picture.as_ref().filter(|_| self.failed.is_none())
    }
}

/// What stands at the head of every page; an empty text takes no room.
#[derive(Debug, Clone, Default)]
pub struct Head {
    /// Name of the batch.
    pub title: String,
    /// Date of the sheet, as it is to be read.
    pub date: String,
    /// How the frames were printed: "each in its own grade", "straight proof, grade 2".
    pub kind: String,
    /// Paper and the table its grades come from.
    pub paper_and_table: String,
}
