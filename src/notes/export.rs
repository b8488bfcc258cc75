//! Notes as a table: one row a frame, columns that stay the same.

use super::format::Notes;
use super::marks::{Marked, Marks};
use super::select::{Fact, SOFTEST};
use super::shot::{MeterNote, ShotNotes};

/// All columns, in their order. New ones come at the end of their part; none changes its meaning.
pub const COLUMNS: [&str; 62] = [
    // The frame.
    "scan",
    "frame",
    "number",
    "folder",
    // The shot.
    "title",
    "subject",
    "caption",
    "place",
    "date",
    "photographer",
    "rights",
    "keywords",
    "rating",
    "film",
    "speed",
    "holder",
    "side",
    "camera",
    "lens",
    "focal_mm",
    "aperture",
    "shutter",
    "filter",
    "factor",
    "bellows_mm",
    "reciprocity",
    "light",
    "movements",
    "readings",
    "developer",
    "dilution",
    "development_time",
    "temperature_c",
    "agitation",
    "development_n",
    "remarks",
    "development_remarks",
    // What was measured.
    "base",
    "base_source",
    "thin",
    "median",
    "dense",
    "range",
    "ends_thin",
    "ends_dense",
    // How its proof is printed.
    "paper",
    "grades",
    "grade",
    "r",
    "place_by",
    "exposure",
    "dry_down",
    "split",
    "prints",
    // What to look at, and what it rests on.
    "mark",
    "remark",
    "flag",
    "scanned",
    "codes_blake3",
    "flat",
    "proof",
    "program",
];

/// A frame of some notes.
#[derive(Clone, Copy, Debug)]
pub struct Exported<'a> {
    /// Name of the scan.
    pub scan: &'a str,
    /// The program's part.
    pub notes: &'a Notes,
    /// The photographer's part.
    pub shot: &'a ShotNotes,
    /// How many prints were made of the frame.
    pub prints: usize,
    /// The photographer's marks.
    pub marks: &'a Marks,
    /// Which frame, counted from 0.
    pub frame: usize,
}

impl Exported<'_> {
    /// What a column holds: nothing, one fact, or several. Nothing also for a name that is no column.
    pub fn column(&self, column: &str) -> Vec<Fact> {
        self.of_frame(column)
            .or_else(|| self.of_shot(column))
            .or_else(|| self.measured(column))
            .or_else(|| self.printed(column))
            .unwrap_or_default()
    }

    fn of_frame(&self, column: &str) -> Option<Vec<Fact>> {
        let scan = &self.notes.scan;
        Some(match column {
            "scan" => text(Some(&scan.file)),
            "frame" => text(Some(&self.name())),
            "number" => number(Some(self.frame as f64 + 1.0)),
            "folder" => text(Some(&scan.folder)),
            "flag" => self.flags(),
            "scanned" => text(scan.date.as_ref()),
            "mark" => text(self.marked().mark.map(|mark| mark.to_string()).as_ref()),
            "remark" => text(self.marked().remark.as_ref()),
            "codes_blake3" => text(Some(&scan.codes_blake3)),
            "program" => text(Some(&self.notes.record.program)),
            _ => return None,
        })
    }

    fn of_shot(&self, column: &str) -> Option<Vec<Fact>> {
        let (shot, bath) = (self.shot, &self.shot.development);
        let mm = |length: Option<crate::light::Millimetres>| number(length.map(crate::light::Millimetres::value));
        Some(match column {
            "title" => text(shot.title.as_ref()),
            "subject" => text(shot.subject.as_ref()),
            "caption" => text(shot.caption.as_ref()),
            "place" => text(shot.place.as_ref()),
            "date" => text(shot.date.map(|date| date.to_string()).as_ref()),
            "photographer" => text(shot.photographer.as_ref()),
            "rights" => text(shot.rights.as_ref()),
            "keywords" => shot.keywords.iter().cloned().map(Fact::Text).collect(),
            "rating" => number(shot.rating.map(f64::from)),
            "film" => text(shot.film.as_ref()),
            "speed" => number(shot.speed),
            "holder" => text(shot.holder.as_ref()),
            "side" => text(shot.side.as_ref()),
            "camera" => text(shot.camera.as_ref()),
            "lens" => text(shot.lens.as_ref()),
            "focal_mm" => mm(shot.focal),
            "aperture" => written(shot.aperture.as_ref().map(|f| (f.value(), f.written().to_owned()))),
            // Without its unit a spreadsheet takes 1/60 for a date.
            "shutter" => written(shot.shutter.map(|time| (time.value(), with_unit(&self.as_noted(column))))),
            "filter" => text(shot.filter.as_ref()),
            "factor" => written(shot.factor.map(|factor| (factor.value(), factor.to_string()))),
            "bellows_mm" => mm(shot.bellows),
            "reciprocity" => text(shot.reciprocity.as_ref()),
            "light" => text(shot.light.as_ref()),
            "movements" => self.movements(),
            "readings" => shot.readings.iter().map(|of| Fact::Text(reading(shot, of))).collect(),
            "developer" => text(bath.developer.as_ref()),
            "dilution" => text(bath.dilution.as_ref()),
            "development_time" => written(bath.time.map(|time| (time.value(), self.as_noted("development.time")))),
            "temperature_c" => number(bath.temperature),
            "agitation" => text(bath.agitation.as_ref()),
            "development_n" => number(bath.n.map(crate::light::Stops::value)),
            "remarks" => text(shot.remarks.as_ref()),
            "development_remarks" => text(bath.remarks.as_ref()),
            _ => return None,
        })
    }

    fn measured(&self, column: &str) -> Option<Vec<Fact>> {
        let measured = &self.notes.measured;
        let frame = measured.frames.get(self.frame)?;
        // They are noted net of base.
        let net = |density: f64| number(Some(density));
        let flat = self.notes.flat.frames.get(self.frame);
        Some(match column {
            "base" => number((measured.base_source != "assumed").then_some(measured.base)),
            "base_source" => text(Some(&measured.base_source)),
            "thin" => net(frame.thin),
            "median" => net(frame.median),
            "dense" => net(frame.dense),
            "range" => number(Some(four(frame.dense - frame.thin))),
            "ends_thin" => number(flat.map(|flat| flat.thin)),
            "ends_dense" => number(flat.map(|flat| flat.dense)),
            "flat" => text(flat.map(|flat| &flat.file)),
            _ => return None,
        })
    }

    fn printed(&self, column: &str) -> Option<Vec<Fact>> {
        let print = &self.notes.print;
        let frame = print.frames.get(self.frame);
        Some(match column {
            "paper" => text(Some(&print.paper)),
            "grades" => text(Some(&print.table)),
            "grade" => written(frame.map(|frame| (grade(&frame.grade), set(&frame.grade)))),
            "r" => number(frame.map(|frame| frame.r)),
            "place_by" => text(Some(&print.place)),
            "exposure" => written(frame.map(|f| (f.exposure, set(&crate::light::Stops::new(f.exposure).to_string())))),
            "dry_down" => number(Some(print.dry_down)),
            "split" => text(frame.and_then(|frame| frame.split.as_ref()).map(|split| &split.exposures)),
            "prints" => number(Some(self.prints as f64)),
            "proof" => text(frame.map(|frame| &frame.file)),
            _ => return None,
        })
    }

    /// A field of the shot as it stands in the notes.
    fn as_noted(&self, name: &str) -> String {
        let noted = self.shot.fields().iter().find(|field| field.name == name);
        noted.map_or_else(String::new, |field| field.text.clone())
    }

    fn name(&self) -> String {
        if self.notes.measured.frames.len() == 1 {
            self.scan.to_owned()
        } else {
            format!("{}-{}", self.scan, self.frame + 1)
        }
    }

    fn marked(&self) -> Marked {
        self.marks.of_frame(self.frame + 1)
    }

    fn flags(&self) -> Vec<Fact> {
        let notes = self.notes.measured.warnings.iter().chain(&self.notes.record.warnings);
        let mut flags: Vec<_> = notes.filter(|note| note.is_about(self.frame + 1)).collect();
        flags.sort_by_key(|note| note.gravity());
        flags.into_iter().map(|note| Fact::Text(note.code.clone())).collect()
    }

    fn movements(&self) -> Vec<Fact> {
        let moved =
            self.shot.fields().iter().filter_map(|field| Some((field.name.strip_prefix("movements.")?, &field.text)));
        moved.map(|(what, how)| Fact::Text(format!("{} {how}", what.replace('.', " ")))).collect()
    }
}

/// "shadow 2m on III", the meter's words as they stand in the notes.
fn reading(shot: &ShotNotes, of: &MeterNote) -> String {
    let is_its = |name: &str| name.strip_suffix(".metered").is_some_and(|key| key.rsplit('.').next() == Some(&of.key));
    let metered = shot.fields().iter().find(|field| is_its(&field.name)).map_or("not metered", |field| &field.text);
    of.zone.map_or_else(|| format!("{} {metered}", of.name), |zone| format!("{} {metered} on {zone}", of.name))
}

fn text(words: Option<&String>) -> Vec<Fact> {
    words.filter(|words| !words.is_empty()).map(|words| Fact::Text(words.clone())).into_iter().collect()
}

fn number(value: Option<f64>) -> Vec<Fact> {
    value.map(Fact::Number).into_iter().collect()
}

fn written(value: Option<(f64, String)>) -> Vec<Fact> {
    value.map(|(value, text)| Fact::Written(value, text)).into_iter().collect()
}

/// Four decimals, as all densities are noted.
fn four(density: f64) -> f64 {
    (density * 1e4).round() / 1e4 + 0.0
}

/// Fractions as one letter each, which no spreadsheet takes for a date or a sum.
pub(super) fn set(words: &str) -> String {
    let set = [("1/2", "½"), ("1/3", "⅓"), ("2/3", "⅔"), ("1/4", "¼"), ("3/4", "¾")];
    let set = set.iter().fold(words.to_owned(), |words, (plain, letter)| words.replace(plain, letter));
    ['½', '⅓', '⅔', '¼', '¾']
        .iter()
        .fold(set, |words, letter| words.replace(&format!(" {letter}"), &letter.to_string()))
}

/// A bare number of a shutter is seconds.
fn with_unit(time: &str) -> String {
    if time.ends_with(|c: char| c.is_ascii_digit()) { format!("{time} s") } else { time.to_owned() }
}

/// Where a grade lies among the others.
fn grade(name: &str) -> f64 {
    if name == "00" {
        return SOFTEST;
    }
    name.split(' ')
        .filter_map(|part| match part.split_once('/') {
            Some((over, under)) => Some(over.parse::<f64>().ok()? / under.parse::<f64>().ok()?),
            None => part.parse().ok(),
        })
        .sum()
}

/// Rows as CSV with a header line, several facts of a column joined by semicolons. Cells that a spreadsheet would run
/// as a formula begin with an apostrophe (common practice).
///
/// # Errors
/// None that plain values could cause; the writer's own are passed on.
pub fn export_csv(rows: &[Exported<'_>]) -> std::io::Result<Vec<u8>> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    writer.write_record(COLUMNS).map_err(std::io::Error::other)?;
    for row in rows {
        let cell = |column: &&str| {
            let facts = row.column(column);
            let plain = matches!(facts[..], [Fact::Number(_)]);
            let text = facts.iter().map(Fact::to_string).collect::<Vec<_>>().join("; ");
            if !plain && text.starts_with(['=', '+', '-', '@', '\t', '\r']) { format!("'{text}") } else { text }
        };
        writer.write_record(COLUMNS.iter().map(cell)).map_err(std::io::Error::other)?;
    }
    writer.into_inner().map_err(|e| e.into_error())
}

/// The same as JSON: an array of objects. A column without a fact is null; those that may have several are arrays. What
/// people write their own way is a number under its column and stands as written under the column with `_written`
/// behind it.
pub fn export_json(rows: &[Exported<'_>]) -> String {
    const LISTS: [&str; 4] = ["keywords", "movements", "readings", "flag"];
    const AS_WRITTEN: [&str; 6] = ["aperture", "shutter", "factor", "development_time", "grade", "exposure"];
    let value = |fact: &Fact| match fact {
        Fact::Number(number) | Fact::Written(number, _) => serde_json::json!(number),
        Fact::Text(text) => serde_json::json!(text),
    };
    let row = |row: &Exported<'_>| {
        let entries = |column: &&str| {
            let facts = row.column(column);
            let values = facts.iter().map(value);
            let value =
                if LISTS.contains(column) { values.collect() } else { values.into_iter().next().unwrap_or_default() };
            let words = AS_WRITTEN.contains(column).then(|| {
                let words = facts.first().map(Fact::to_string);
                (format!("{column}_written"), words.map_or(serde_json::Value::Null, Into::into))
            });
            std::iter::once(((*column).to_owned(), value)).chain(words)
        };
        serde_json::Value::Object(COLUMNS.iter().flat_map(entries).collect())
    };
    let rows = serde_json::Value::Array(rows.iter().map(row).collect());
    serde_json::to_string_pretty(&rows).expect("rows are plain values")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fractions_become_what_no_spreadsheet_reckons_with() {
        for (plain, letter) in
            [("1 1/2", "1½"), ("1/2", "½"), ("+1/3", "+⅓"), ("-1 2/3", "-1⅔"), ("00", "00"), ("+0.1", "+0.1")]
        {
            assert_eq!(set(plain), letter);
        }
        // A shutter of 1/60 would be a date in a spreadsheet.
        assert_eq!((with_unit("1/60"), with_unit("2m")), ("1/60 s".to_owned(), "2m".to_owned()));
        assert_eq!([grade("00"), grade("0"), grade("1/2"), grade("4 1/2")], [SOFTEST, 0.0, 0.5, 4.5]);
    }
}
