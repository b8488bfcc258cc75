//! From what was done to what is written down, and back.

use crate::film::{Spread, Warning, gravity};
use crate::flat::Law;
use crate::light::Density;
use crate::notes::{
    FileNotes, FlatFrame, FlatNotes, Marks, MeasuredFrame, MeasuredNotes, Notes, PrintFrame, PrintNotes,
    RebateEvidence, RecordNotes, Row, ScanNotes, SplitNotes, SpotNotes, TonesNotes, VERSION, WedgeNotes,
};
use crate::save::Written;
use crate::scan::Facts;

use super::calibrated::Wedge;
use super::entry::{Entry, Known};
use super::frame::Decided;
use super::light::Light;
use super::make::{self, Packed};
use super::outcome::{Done, DoneScan};
use super::plan::{Decision, ELSEWHERE};
use super::reading::{FrameReading, Reading};

/// A scan that was made, with all that is to be written down.
pub(super) struct Made<'a> {
    /// The scan.
    pub entry: &'a Entry,
    /// Name of its folder.
    pub folder: String,
    /// Its settings and keys.
    pub known: &'a Known,
    /// What was measured.
    pub reading: &'a Reading,
    /// What its file says.
    pub facts: &'a Facts,
    /// What its codes mean.
    pub light: &'a Light,
    /// What was decided.
    pub decision: &'a Decision,
    /// How flat positives are packed.
    pub packed: Packed,
    /// A short name for what the files say of the picture.
    pub said: String,
    /// What became of each frame.
    pub made: &'a [make::Made],
    /// What the files depend on; empty while they are in the making.
    pub key: &'a str,
    /// Files of an earlier run that are to go.
    pub former: Vec<FileNotes>,
}

/// The program's part of the notes.
pub(super) fn notes(of: &Made<'_>) -> Notes {
    let (decision, known) = (of.decision, of.known);
    let spot = decision.spot.map(|spot| SpotNotes { at: [spot.at.x, spot.at.y], density: plain(spot.density) });
    let measured = measured(of.reading, &known.measure_key, decision.base, decision.base_source);
    let measured = MeasuredNotes { spot, ..measured };
    Notes { scan: scan(of), measured, flat: flat(of), print: print(of), record: record(of) }
}

fn scan(of: &Made<'_>) -> ScanNotes {
    let facts = of.facts;
    ScanNotes {
        file: of.entry.file.clone(),
        folder: of.folder.clone(),
        bytes: of.known.stamp.bytes,
        modified: of.known.stamp.modified.clone(),
        codes_blake3: of.reading.codes_blake3.clone(),
        width: facts.size.width,
        height: facts.size.height,
        bits: facts.bits,
        channels: facts.channels,
        channel: (facts.channels == 3).then(|| of.known.settled.settings.channel.to_string()),
        ppi: facts.resolution.map(|r| [r.x.value(), r.y.value()]),
        orientation: facts.orientation.value(),
        encoding: of.light.encoding.to_string(),
        encoding_source: of.light.source.to_owned(),
        wedge: of.known.wedge.as_ref().map(wedge),
        make: facts.make.clone(),
        model: facts.model.clone(),
        software: facts.software.clone(),
        date: facts.date_time.clone(),
        description: facts.description.clone(),
    }
}

fn wedge(wedge: &Wedge) -> WedgeNotes {
    let points = wedge.calibration.steps().map(|(scanner, density)| [plain(scanner), plain(density)]).collect();
    WedgeNotes { file: wedge.file.clone(), blake3: wedge.blake3.clone(), points }
}

/// What was measured, with a base taken off its frames.
pub(super) fn measured(reading: &Reading, key: &str, base: Density, base_source: &str) -> MeasuredNotes {
    let frame = |(number, (f, tones)): (u32, (&FrameReading, &Option<Spread>))| MeasuredFrame {
        number,
        corners: f.corners.0.map(|p| [p.x, p.y]),
        confidence: f.confidence,
        sides: f.sides.clone(),
        thin: plain(f.thin - base),
        median: plain(f.median - base),
        dense: plain(f.dense - base),
        range: plain(f.dense - f.thin),
        pixels: f.pixels,
        at_full_scale: f.at_full_scale,
        at_zero: f.at_zero,
        dust: f.dust,
        dust_share: f.dust_share,
        tones: tones.as_ref().map(|tones| TonesNotes {
            from: plain(tones.from - base),
            step: plain(tones.step),
            parts: tones.parts.to_vec(),
        }),
    };
    MeasuredNotes {
        key: key.to_owned(),
        rebate: reading.rebate.map(|rebate| plain(rebate.density)),
        rebate_evidence: reading.rebate.map(|rebate| RebateEvidence {
            confidence: rebate.confidence,
            sure: rebate.sure,
            sides: rebate.sides,
            spread: plain(rebate.spread),
            patch: rebate.patch.0.map(|p| [p.x, p.y]),
        }),
        base: plain(base),
        base_source: base_source.to_owned(),
        spot: None,
        frames: (1..).zip(reading.frames.iter().zip(&reading.tones)).map(frame).collect(),
        warnings: reading.warnings.clone(),
    }
}

/// TIFF 6.0, Predictor.
const NO_DIFFERENCES: u16 = 1;
pub(super) const DIFFERENCES: u16 = 2;

fn flat(of: &Made<'_>) -> FlatNotes {
    let settings = &of.known.settled.settings;
    let (lo, hi) = Law::ends();
    let frame = |(f, made): (&Decided, &make::Made)| FlatFrame {
        number: f.number as u32,
        file: format!("{}.tif", f.name),
        thin: plain(f.law.thin()),
        dense: plain(f.law.dense()),
        area: [f.flat_area.x, f.flat_area.y, f.flat_area.width, f.flat_area.height],
        bytes: made.flat.bytes,
        blake3: made.flat.blake3.clone(),
        at_zero: made.at_zero,
        at_full_scale: made.at_full_scale,
        xmp: made.flat_xmp.as_ref().map(|written| xmp(f, written)),
    };
    FlatNotes {
        ends: settings.ends.to_string(),
        encoding: settings.out_encoding.to_string(),
        compression: Some(of.packed.packing.to_string()),
        predictor: Some(if of.packed.differenced { DIFFERENCES } else { NO_DIFFERENCES }),
        lo,
        hi,
        frames: of.decision.frames.iter().zip(of.made).map(frame).collect(),
    }
}

fn xmp(frame: &Decided, written: &Written) -> FileNotes {
    FileNotes { file: format!("{}.xmp", frame.name), bytes: written.bytes, blake3: written.blake3.clone() }
}

fn print(of: &Made<'_>) -> PrintNotes {
    let stock = &of.known.stock;
    let settings = &of.known.settled.settings;
    let split = |f: &Decided| {
        f.split.zip(f.equivalent()).map(|(split, (grade, r))| SplitNotes {
            exposures: split.to_string(),
            equivalent: grade.to_string(),
            r: (r * 100.0).round() / 100.0,
        })
    };
    let frame = |(f, made): (&Decided, &make::Made)| PrintFrame {
        number: f.number as u32,
        file: format!("{}.jpg", f.name),
        bytes: made.proof.bytes,
        blake3: made.proof.blake3.clone(),
        grade: f.grade.to_string(),
        r: f.r(),
        chosen: if f.grade_given { "given" } else { "auto" }.to_owned(),
        exposure: f.exposure.value(),
        x0: f.exposed().open.value(),
        split: split(f),
        straight: made.straight.as_ref().map(|written| FileNotes {
            file: format!("{}.jpg", f.name),
            bytes: written.bytes,
            blake3: written.blake3.clone(),
        }),
        xmp: made.proof_xmp.as_ref().map(|written| xmp(f, written)),
    };
    PrintNotes {
        paper: stock.paper().name().to_owned(),
        table: stock.table().name().to_owned(),
        paper_file: of.known.own_stock[0].clone(),
        table_file: of.known.own_stock[1].clone(),
        place: settings.place.to_string(),
        dry_down: settings.dry_down.percent(),
        frames: of.decision.frames.iter().zip(of.made).map(frame).collect(),
    }
}

fn record(of: &Made<'_>) -> RecordNotes {
    let settled = &of.known.settled;
    RecordNotes {
        version: VERSION,
        program: crate::save::PROGRAM.to_owned(),
        key: of.key.to_owned(),
        former: of.former.clone(),
        said: Some(of.said.clone()),
        settings: settled.settings.words(),
        warnings: of.decision.warnings.iter().filter(|w| !of.reading.warnings.contains(w)).cloned().collect(),
        decided_by: settled.decided_by.iter().map(|(name, place)| ((*name).to_owned(), place.to_string())).collect(),
    }
}

/// Rows of the batch's table: one a frame, or one for a scan that failed.
pub(super) fn rows(done: &Done) -> Vec<Row> {
    let scan = done.file.clone();
    match &done.result {
        Err(error) => vec![Row { scan, error: error.clone(), ..Row::default() }],
        Ok(of) => of.frames.iter().map(|frame| row(&scan, of, frame)).collect(),
    }
}

fn row(scan: &str, of: &DoneScan, frame: &Decided) -> Row {
    let codes: Vec<&str> = of.warnings.iter().filter(|w| w.is_about(frame.number)).map(|w| w.code.as_str()).collect();
    Row {
        scan: scan.to_owned(),
        frame: frame.name.clone(),
        base: Some(plain(frame.base)),
        base_source: of.base_source.to_owned(),
        thin: Some(plain(frame.thin())),
        median: Some(plain(frame.median())),
        dense: Some(plain(frame.dense())),
        range: Some(plain(frame.range())),
        grade: frame.grade.to_string(),
        r: Some(frame.r()),
        exposure: Some(frame.exposure.value()),
        place: frame.placing.to_string(),
        dry_down: Some(frame.dry_down.percent()),
        split: frame.split.map_or_else(String::new, |split| split.to_string()),
        equivalent: frame.equivalent().map_or_else(String::new, |(grade, _)| grade.to_string()),
        paper: frame.stock.paper().name().to_owned(),
        table: frame.stock.table().name().to_owned(),
        flags: codes.join(" "),
        error: String::new(),
    }
}

/// What is wrong with the photographer's part of the notes of a scan of so many `frames`: its marks, and its link to
/// the first scan if it is `unlinked`. It is no reason to make anything again.
pub(super) fn by_hand(marks: &Marks, frames: usize, unlinked: Option<&String>) -> Vec<Warning> {
    let slips = marks.slips(frames).into_iter().map(|slip| Warning::MarkUnread { slip });
    slips.chain(unlinked.map(|why| Warning::RescanUnlinked { why: why.clone() })).collect()
}

/// Rows of the frames that notes tell of, the way back of [`rows`]; what is wrong with what is written `by_hand` is
/// flagged there.
pub(super) fn rows_of_notes(notes: &Notes, by_hand: &[Warning]) -> Vec<Row> {
    let (measured, print) = (&notes.measured, &notes.print);
    let taken = ["batch", "given"].contains(&measured.base_source.as_str());
    let elsewhere = |code: &str| taken && ELSEWHERE.contains(&code);
    let of_scan = measured.warnings.iter().filter(|w| !elsewhere(&w.code)).chain(&notes.record.warnings);
    let of_scan: Vec<_> = of_scan.collect();
    let row = |(frame, proof): (&MeasuredFrame, &PrintFrame)| {
        let number = frame.number as usize;
        let codes = of_scan.iter().filter(|w| w.is_about(number)).map(|w| w.code.as_str());
        let mut codes: Vec<&str> = codes.chain(by_hand.iter().map(|w| w.code())).collect();
        codes.sort_by_key(|code| gravity(code));
        Row {
            scan: notes.scan.file.clone(),
            frame: proof.file.strip_suffix(".jpg").unwrap_or(&proof.file).to_owned(),
            base: Some(measured.base),
            base_source: measured.base_source.clone(),
            thin: Some(frame.thin),
            median: Some(frame.median),
            dense: Some(frame.dense),
            range: Some(frame.range),
            grade: proof.grade.clone(),
            r: Some(proof.r),
            exposure: Some(proof.exposure),
            place: print.place.clone(),
            dry_down: Some(print.dry_down),
            split: proof.split.as_ref().map_or_else(String::new, |split| split.exposures.clone()),
            equivalent: proof.split.as_ref().map_or_else(String::new, |split| split.equivalent.clone()),
            paper: print.paper.clone(),
            table: print.table.clone(),
            flags: codes.join(" "),
            error: String::new(),
        }
    };
    measured.frames.iter().zip(&print.frames).map(row).collect()
}

/// As written down.
fn plain(density: Density) -> f64 {
    density.noted().value()
}
