//! A scan's decisions as its notes hold them.

use std::path::Path;
use std::sync::Arc;

use crate::batch::frame::Decided;
use crate::batch::make::Packed;
use crate::batch::noted::Noted;
use crate::batch::recall;
use crate::batch::record::DIFFERENCES;
use crate::batch::settings::Settings;
use crate::batch::stock;
use crate::flat::Law;
use crate::light::{Density, LogExposure, Stops};
use crate::notes::{Notes, PrintNotes};
use crate::paper::{DryDown, Grade, Placing, Split, Stock, read_paper, read_table};
use crate::plane::Area;
use crate::scan::Facts;

/// Everything that a scan's files were made by.
pub(super) struct AsNoted {
    /// Settings that were in force.
    pub settings: Settings,
    /// The paper and the table of grades.
    pub stock: Arc<Stock>,
    /// Its frames.
    pub frames: Vec<Decided>,
}

impl AsNoted {
    /// Reads them back.
    ///
    /// # Errors
    /// When one of them is none, or the paper of a person's own is gone.
    pub(super) fn of(noted: &Noted) -> Result<Self, String> {
        let notes = &noted.notes;
        let settings = Settings::of_words(&notes.record.settings).map_err(|e| e.to_string())?;
        let stock = stock_of(&notes.print, &settings)?;
        let frames = (1..=noted.reading.frames.len()).map(|number| frame(noted, number, &settings, &stock));
        Ok(Self { frames: frames.collect::<Result<_, _>>()?, settings, stock })
    }

    /// How flat positives were packed; notes of an earlier program leave that to settings and scan.
    pub(super) fn packed(&self, notes: &Notes, facts: &Facts) -> Packed {
        let noted = notes.flat.compression.as_deref().and_then(|word| word.parse().ok()).zip(notes.flat.predictor);
        let packed = |(packing, predictor)| Packed { packing, differenced: predictor == DIFFERENCES };
        noted.map_or_else(|| Packed::of(&self.settings, facts), packed)
    }
}

/// Log exposure beyond which no paper prints anything, in D, and the most stops that settings take.
const MOST_LIGHT: f64 = 12.0;
const MOST_STOPS: f64 = 6.0;

fn frame(noted: &Noted, number: usize, settings: &Settings, stock: &Arc<Stock>) -> Result<Decided, String> {
    let (notes, reading) = (&noted.notes, &noted.reading.frames[number - 1]);
    let none = || format!("these notes name no files of frame {number}: run without --from-notes");
    let flat = notes.flat.frames.get(number - 1).ok_or_else(none)?;
    let proof = notes.print.frames.get(number - 1).ok_or_else(none)?;
    // Names, never paths: what notes say may not reach out of the folder.
    let name = flat.file.strip_suffix(".tif").filter(|name| Path::new(name).file_name().is_some_and(|f| f == *name));
    let name = name.filter(|name| proof.file == format!("{name}.jpg")).ok_or_else(none)?;
    let [x, y, width, height] = flat.area;
    let flat_area = Area { x, y, width, height };
    let size = noted.reading.size;
    let inside = x.checked_add(width).is_some_and(|right| right <= size.width)
        && y.checked_add(height).is_some_and(|bottom| bottom <= size.height);
    let (thin, dense) = (Density::new(flat.thin), Density::new(flat.dense));
    if !inside || width == 0 || height == 0 || ![thin, dense].into_iter().all(recall::is_of_film) {
        return Err(format!(
            "the flat positive of frame {number} cannot be as these notes say: run without --from-notes"
        ));
    }
    // No print has more light than these bounds, and a name is one line.
    let sound = |number: f64, most: f64| number.is_finite() && number.abs() <= most;
    if thin >= dense
        || !sound(proof.x0, MOST_LIGHT)
        || !sound(proof.exposure, MOST_STOPS)
        || name.contains(char::is_control)
    {
        return Err(format!("the files of frame {number} cannot be as these notes say: run without --from-notes"));
    }
    let base = Density::new(notes.measured.base);
    let grade: Grade = proof.grade.parse().map_err(|e: crate::paper::UnknownGrade| e.to_string())?;
    let split = proof.split.as_ref().map(|split| split.exposures.parse::<Split>()).transpose()?;
    let placing = if notes.print.place.is_empty() { Ok(settings.place) } else { notes.print.place.parse::<Placing>() };
    Ok(Decided {
        name: name.to_owned(),
        number,
        reading: reading.clone(),
        base,
        law: Law::between(thin, dense),
        flat_area,
        proof_area: reading.corners.bounds(size),
        stock: Arc::clone(stock),
        grade,
        grade_given: proof.chosen == "given",
        placing: placing?,
        spot: notes.measured.spot.map(|spot| Density::new(spot.density) - base),
        exposure: Stops::new(proof.exposure),
        dry_down: format!("{}%", notes.print.dry_down).parse::<DryDown>()?,
        split,
        open: Some(LogExposure::new(proof.x0)),
    })
}

/// Paper and table: from what the notes hold of their files, or the shelf; notes of an earlier program go by the files.
fn stock_of(print: &PrintNotes, settings: &Settings) -> Result<Arc<Stock>, String> {
    let paper = match &print.paper_file {
        Some(text) => read_paper(text).map_err(|e| format!("[print] paper_file: {e}"))?,
        None => stock::paper(settings)?.0,
    };
    let table = match &print.table_file {
        Some(text) => read_table(text).map_err(|e| format!("[print] table_file: {e}"))?,
        None => stock::table(settings)?.0,
    };
    let other = |what: &str, was: &str, now: &str| {
        format!("its {what} was \"{was}\" and is \"{now}\" by now: put the file back, or run without --from-notes")
    };
    if paper.name() != print.paper {
        return Err(other("paper", &print.paper, paper.name()));
    }
    if table.name() != print.table {
        return Err(other("table of grades", &print.table, table.name()));
    }
    Ok(Arc::new(Stock::new(paper, table)))
}
