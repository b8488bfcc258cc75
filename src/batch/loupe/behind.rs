//! Looks through the loupe behind a proof sheet: of each of its frames.

use std::path::Path;

use super::glass::Glass;
use super::places::sharpest;
use crate::batch::each_frame::{Laid, Seeing, on_scan};
use crate::batch::key::Stamp;
use crate::batch::noted::Noted;
use crate::batch::print::{GOOD, settled};
use crate::batch::shown::Shown;
use crate::batch::stock::with_texts;
use crate::batch::which::Wanted;
use crate::batch::wishes::Wishes;
use crate::light::PixelsPerInch;
use crate::sheet::{Look, LooksLay, Seen};

use super::found::in_centimetres;

/// How frames are looked at.
pub(in crate::batch) struct Behind<'a> {
    /// The folder of the scans; that beside the results if not said.
    pub scans: Option<&'a Path>,
    /// How the looks are laid.
    pub lay: LooksLay,
    /// Memory, halt, and who learns each name.
    pub seeing: Seeing<'a>,
}

/// Looks at the frames of a sheet. What cannot be looked at says why in its place; the failures are given, too, each
/// once a scan. When it is halted, the rest is missing.
pub(in crate::batch) fn look_behind(shown: &[Shown], behind: &Behind<'_>) -> (Vec<Look>, Vec<String>) {
    let (mut looks, mut failures) = (Vec::new(), Vec::new());
    for of_scan in shown.chunk_by(|a, b| a.row.scan == b.row.scan && a.folders == b.folders) {
        if behind.seeing.halt.is_asked() {
            break;
        }
        let look = |shown: &Shown, seen: Result<Seen, String>| {
            let name = if shown.failure().is_some() { shown.row.scan.clone() } else { shown.row.frame.clone() };
            Look { name, called: shown.called.clone(), seen }
        };
        if let Some((_, error)) = of_scan[0].failure() {
            looks.extend(of_scan.iter().map(|shown| look(shown, Err(error.to_owned()))));
            continue;
        }
        match seen(of_scan, behind) {
            Ok(seen) => {
                let told = of_scan.iter().zip(&seen).filter_map(|(shown, seen)| Some((shown, seen.as_ref().err()?)));
                failures.extend(told.map(|(shown, error)| format!("{}: {error}", shown.row.frame)));
                looks.extend(of_scan.iter().zip(seen).map(|(shown, seen)| look(shown, seen)));
            }
            Err(error) => {
                looks.extend(of_scan.iter().map(|shown| look(shown, Err(error.clone()))));
                failures.push(error);
            }
        }
    }
    (looks, failures)
}

/// What looks depend on beside what is shown of the frames: what the program noted of the scan, the settings and papers
/// it is printed by, and the scan as it lies there now; or why it cannot be looked at. Marks and prints that are
/// written into the notes are not drawn.
pub(in crate::batch) fn looked_at(shown: &Shown, scans: Option<&Path>) -> String {
    let of = |noted: &Noted| {
        let settings = settled(&Wishes::default(), noted)?;
        let (_, papers) = with_texts(&settings)?;
        let (path, _) = noted.scan(scans)?;
        let Stamp { bytes, modified } = Stamp::of(&path).map_err(|e| format!("{}: {e}", path.display()))?;
        Ok::<_, String>(format!("{:?} {:?} {papers:?} {bytes} {modified}", noted.notes, settings.words()))
    };
    let noted = Noted::open(Wanted { notes: shown.notes.clone(), frame: None });
    noted.and_then(|noted| of(&noted)).unwrap_or_else(|why| why)
}

/// The frames of one scan.
fn seen(of_scan: &[Shown], behind: &Behind<'_>) -> Result<Vec<Result<Seen, String>>, String> {
    let noted = Noted::open(Wanted { notes: of_scan[0].notes.clone(), frame: None })?;
    let (path, _) = noted.scan(behind.scans)?;
    let numbers: Vec<usize> = of_scan.iter().map(|shown| shown.number).collect();
    let seen = on_scan(&noted, &path, &numbers, &behind.seeing, |laid| see(laid, &behind.lay))?;
    Ok(seen.into_iter().map(|came| came.result).collect())
}

fn see(laid: &Laid<'_>, lay: &LooksLay) -> Result<Seen, String> {
    let glass = Glass::over(laid)?;
    let overview = glass.overview(lay.overview_room(), lay.ppi())?;
    let frame = overview.area(laid.scan);
    let (side, each) = lay.crop_pixels(frame.width.min(frame.height));
    let places = sharpest(frame, side, glass.focus.as_ref(), lay.crops());
    let crops = glass.crops(&places, &overview)?;
    let facts = facts(&glass, laid.scan.facts().resolution.map(|resolution| resolution.x));
    Ok(Seen { overview: overview.print, marks: overview.marks, crops, each, facts })
}

fn facts(glass: &Glass<'_>, scan: Option<PixelsPerInch>) -> Vec<String> {
    let found = &glass.found;
    let edge = match (&glass.focus, found.edge_words(scan)) {
        (_, Some(edge)) => format!("edges where it is sharpest: {edge}"),
        (Some(_), None) => "nothing to focus on: no detail, or none that its own grain does not hide".to_owned(),
        (None, None) => "too small to tell its sharpness".to_owned(),
    };
    let by_sharpness = found.by_sharpness.map(|size| format!("{} by its sharpness", in_centimetres(size)));
    let by_pixels = format!("{} by its pixels", in_centimetres(found.by_pixels));
    let largest = format!("largest print at {GOOD} pixels an inch:");
    [edge, largest, by_pixels].into_iter().chain(by_sharpness).collect()
}
