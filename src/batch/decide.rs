//! What the scans of a batch decide together, and with it what each frame is made with.

use std::path::PathBuf;

use crate::film::Warning;
use crate::flat::Law;
use crate::light::Density;
use crate::notes::{Sidecar, WarningNote};

use super::folders::Folders;
use super::frame::{Decided, grade};
use super::key::key;
use super::light::Light;
use super::make;
use super::reading::Reading;
use super::ready::{Known, Ready};
use super::settings::{Crop, Ends, Settings};
use super::{DoneFrames, Error, Order, record};

/// A base further than this from the batch's, in D, is another film or another development: twice the accuracy of a
/// bench densitometer (0.02 D, makers' manuals, from memory).
const UNLIKE: f64 = 0.04;

/// What holds for the whole batch.
#[derive(Debug)]
pub(super) struct Plan {
    /// Median of the sure rebates.
    base: Option<Density>,
    /// Thinnest and densest net end of all frames.
    common: Option<(Density, Density)>,
    /// Ends of the notes that were asked for, by their path.
    matched: Vec<(PathBuf, (Density, Density))>,
}

/// The base of one scan, and who said so.
struct Base {
    density: Density,
    source: &'static str,
    warning: Option<Warning>,
}

impl Plan {
    /// Takes counsel with all scans.
    ///
    /// # Errors
    /// When notes that ends are to match cannot be used.
    pub(super) fn of(scans: &[Ready]) -> Result<Self, Error> {
        let known: Vec<_> = scans.iter().filter_map(|scan| scan.state.as_ref().ok()).collect();
        let sure = known.iter().filter_map(|k| k.reading.as_ref()).filter(|r| r.rebate_sure);
        let mut plan =
            Self { base: median(sure.filter_map(|r| r.rebate).collect()), common: None, matched: Vec::new() };

        let nets = known.iter().filter_map(|k| Some((k, k.reading.as_ref()?))).flat_map(|(k, reading)| {
            let base = plan.base_of(&k.settled.settings, reading).density;
            reading.frames.iter().map(move |f| (f.thin - base, f.dense - base))
        });
        plan.common = nets.reduce(|a, b| {
            let thin = if b.0 < a.0 { b.0 } else { a.0 };
            let dense = if b.1 > a.1 { b.1 } else { a.1 };
            (thin, dense)
        });
        for known in &known {
            if let Ends::Match(path) = &known.settled.settings.ends
                && !plan.matched.iter().any(|(p, _)| p == path)
            {
                plan.matched.push((path.clone(), ends_of_notes(path)?));
            }
        }
        Ok(plan)
    }

    /// Given, else the scan's own rebate, else the batch's, else none: then density counts from clear light.
    fn base_of(&self, settings: &Settings, reading: &Reading) -> Base {
        let base = |density, source, warning| Base { density, source, warning };
        match (settings.base, reading.rebate, self.base) {
            (Some(given), _, _) => base(given, "given", None),
            (None, Some(own), Some(batch)) if (own - batch).value().abs() > UNLIKE => {
                base(own, "rebate", Some(Warning::BaseUnlikeBatch { density: own, batch }))
            }
            (None, Some(own), _) => base(own, "rebate", None),
            (None, None, Some(batch)) => base(batch, "batch", Some(Warning::BaseOfBatch { density: batch })),
            (None, None, None) => base(Density::default(), "assumed", None),
        }
    }

    fn law(&self, settings: &Settings, own: (Density, Density)) -> Law {
        let (thin, dense) = match &settings.ends {
            Ends::Each => own,
            Ends::Common => self.common.unwrap_or(own),
            Ends::Match(path) => self.matched.iter().find(|(p, _)| p == path).map_or(own, |(_, ends)| *ends),
        };
        Law::between(thin, dense)
    }

    /// Makes a scan's files, or leaves them when they are up to date.
    ///
    /// # Errors
    /// What is wrong with the scan or the disk, in words for the person at the desk.
    pub(super) fn carry_out(&self, ready: &Ready, folders: &Folders, order: &Order) -> Result<DoneFrames, String> {
        let known = ready.state.as_ref().map_err(Clone::clone)?;
        let Some(reading) = &known.reading else {
            return Ok(DoneFrames { frames: Vec::new(), base_source: "", warnings: Vec::new(), up_to_date: false });
        };
        let settings = &known.settled.settings;
        let base = self.base_of(settings, reading);
        let (frames, decided) = self.frames(ready, known, reading, base.density);
        let mut warnings = reading.warnings.clone();
        warnings.extend(base.warning.iter().chain(&decided).map(WarningNote::from));

        let make_key = make_key(known, &frames, &base);
        let before = known.before.as_ref();
        let present = |frame: &Decided| folders.flat(&frame.name).is_file() && folders.proof(&frame.name).is_file();
        let up_to_date = before.is_some_and(|notes| notes.record.key == make_key) && frames.iter().all(present);
        let done = DoneFrames { frames, base_source: base.source, warnings, up_to_date };
        if up_to_date || order.dry_run {
            return Ok(done);
        }
        carry_out(ready, known, reading, &done, &make_key, folders)?;
        Ok(done)
    }

    fn frames(&self, ready: &Ready, known: &Known, reading: &Reading, base: Density) -> (Vec<Decided>, Vec<Warning>) {
        let settings = &known.settled.settings;
        let mut warnings = Vec::new();
        let frames = (1..).zip(&reading.frames).map(|(number, frame)| {
            let (grade, warning) = grade(settings, frame, number);
            warnings.extend(warning);
            let bounds = frame.corners.bounds(reading.size);
            Decided {
                name: if reading.frames.len() == 1 { ready.name.clone() } else { format!("{}-{number}", ready.name) },
                number,
                reading: *frame,
                base,
                law: self.law(settings, (frame.thin - base, frame.dense - base)),
                flat_area: if settings.crop == Crop::None { reading.size.whole() } else { bounds },
                proof_area: bounds,
                grade,
                grade_given: settings.grade.is_some(),
                exposure: settings.exposure,
            }
        });
        (frames.collect(), warnings)
    }
}

/// Everything that the files of a scan depend on.
fn make_key(known: &Known, frames: &[Decided], base: &Base) -> String {
    let words = known.settled.settings.words();
    let mut parts = vec![known.measure_key.clone(), base.density.value().to_string(), base.source.to_owned()];
    // The page is the sheet's, not the scan's.
    parts.extend(words.into_iter().filter(|(name, _)| name != "page").map(|(_, word)| word));
    parts.extend(frames.iter().map(|f| format!("{} {} {}", f.name, f.law.thin().value(), f.law.dense().value())));
    key(&parts.iter().map(String::as_str).collect::<Vec<_>>())
}

fn carry_out(
    ready: &Ready,
    known: &Known,
    reading: &Reading,
    done: &DoneFrames,
    make_key: &str,
    folders: &Folders,
) -> Result<(), String> {
    let scan = crate::scan::open(&ready.path).map_err(|e| e.to_string())?;
    let settings = &known.settled.settings;
    let light = Light::of(scan.facts(), settings).map_err(|e| e.to_string())?;
    let made = make::make(&scan, &light.encoding, settings, &done.frames, folders).map_err(|e| e.to_string())?;

    let notes = record::notes(&record::Made {
        ready,
        known,
        reading,
        facts: scan.facts(),
        light: &light,
        done,
        made: &made,
        make_key,
    });
    let path = folders.notes(&ready.name);
    let text = known.sidecar.clone().with(&notes).map_err(|e| format!("{}: {e}", path.display()))?;
    crate::save::whole(&path, |file| std::io::Write::write_all(file, text.as_bytes()))
        .map_err(|e| format!("{}: {e}", path.display()))
}

fn median(mut densities: Vec<Density>) -> Option<Density> {
    densities.sort_by(|a, b| a.value().total_cmp(&b.value()));
    let n = densities.len();
    let middle = Density::new((densities.get(n / 2)?.value() + densities[(n - 1) / 2].value()) / 2.0);
    // Four decimals, as all that is written in notes.
    Some(Density::new((middle.value() * 1e4).round() / 1e4))
}

/// The ends at which an earlier scan's flat positive was placed: those of its first frame.
fn ends_of_notes(path: &std::path::Path) -> Result<(Density, Density), Error> {
    let wrong = |what: String| Error::Match { path: path.to_owned(), what };
    if !path.is_file() {
        return Err(wrong("no such notes: give the .notes.toml of an earlier scan after match=".into()));
    }
    let notes = Sidecar::open(path).map_err(|e| wrong(e.to_string()))?.ours();
    let flat = notes.and_then(|n| n.flat.frames.first().cloned());
    let flat =
        flat.ok_or_else(|| wrong("these notes name no flat positive: give those of a scan that was made".into()))?;
    Ok((Density::new(flat.thin), Density::new(flat.dense)))
}
