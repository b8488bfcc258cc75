//! Zones read back: what was placed at the camera, and what the negative has there.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use crate::batch::linked;
use crate::batch::noted::Noted;
use crate::batch::papers::{drawn, put};
use crate::batch::print::Read;
use crate::batch::spots::{self, Spots};
use crate::batch::which::{self, Wanted};
use crate::batch::wishes::{Settled, Wishes};
use crate::batch::{Aperture, settings_file};
use crate::film::{Estimate, Tone, ZoneTable, developed, shadow_shift};
use crate::light::{Density, Stops};
use crate::meter::ZoneStep;
use crate::notes::{ReportSpot, ShotNotes, Sidecar};
use crate::plane::Point;
use crate::sheet::{Head, Sheet, zones};

use super::sums::{Summed, sums};

/// Farther than this from its zone, in stops, a tone is another place than was metered: N+3 is more than films are
/// developed to (house).
const FAR: f64 = 3.0;

/// What is to be read back.
#[derive(Clone, Debug)]
pub struct ZonesOrder {
    /// Frames, notes, folders of results.
    pub notes: Vec<PathBuf>,
    /// The folder of the scans; that beside the results if not said.
    pub scans: Option<PathBuf>,
    /// The setting `zones` as a flag.
    pub flags: Wishes,
    /// A file for the plot, ending in .svg or .png.
    pub plot: Option<PathBuf>,
    /// Replace another file that is there.
    pub force: bool,
}

/// A tone that was read back.
#[derive(Clone, Debug, PartialEq)]
pub struct ZoneRow {
    /// Name of the scan.
    pub scan: String,
    /// The reading: "shadow".
    pub reading: String,
    /// Where it was placed, and what was found.
    pub tone: Tone,
    /// What is unsure of that, by grain and noise.
    pub unsure: Option<Density>,
    /// What its exposure is to give; nothing beyond the table.
    pub aimed: Option<Density>,
    /// How much more exposure it looks like; nothing beyond the table.
    pub shift: Option<Stops>,
    /// The zone that has what was found.
    pub reads_as: String,
}

/// What the tones of one picture say.
#[derive(Clone, Debug, PartialEq)]
pub struct PictureRow {
    /// Name of the scan.
    pub scan: String,
    /// Its day, if one is written.
    pub date: String,
    /// Its film, if one is written.
    pub film: String,
    /// How much more speed the film shows than the meter was set to.
    pub shift: Option<Stops>,
    /// The speed that comes of it, where the meter's is written.
    pub speed: Option<f64>,
    /// What development was meant: N is 0.
    pub meant: Option<Stops>,
    /// What it came out as.
    pub developed: Option<Stops>,
}

/// What the pictures of one film say.
#[derive(Clone, Debug, PartialEq)]
pub struct FilmRow {
    /// The film; nothing where none is written.
    pub film: String,
    /// The shift of its shadows over all pictures, in stops.
    pub shift: Estimate,
    /// How that moves from picture to picture, in stops.
    pub trend: Option<Estimate>,
}

/// What a batch says.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ZonesRead {
    /// Tone by tone.
    pub rows: Vec<ZoneRow>,
    /// Picture by picture, by their day, then their name.
    pub pictures: Vec<PictureRow>,
    /// The tables that zones were taken from.
    pub tables: Vec<ZoneTable>,
    /// Whether all densities are true ones, by a wedge.
    pub by_wedge: bool,
    /// Film by film, what its pictures say of its speed.
    pub films: Vec<FilmRow>,
    /// What development came out as, by what was meant, in words; in N.
    pub developed: Vec<(String, Estimate)>,
    /// Readings that could not be read back, and why.
    pub left_out: Vec<String>,
    /// Scans that could not be.
    pub failures: Vec<String>,
}

/// Reads the placed tones of scans back. A scan that fails is told in what comes of it; the others go on.
///
/// # Errors
/// When something typed is no frame.
pub fn read_zones(order: &ZonesOrder) -> Result<ZonesRead, String> {
    let mut read = ZonesRead { by_wedge: true, ..ZonesRead::default() };
    for of in which::notes(&order.notes)? {
        let failed = one(of, order, &mut read).err();
        read.failures.extend(failed);
    }
    read.pictures.sort_by(|a, b| (&a.date, &a.scan).cmp(&(&b.date, &b.scan)));
    // Two films in one folder say nothing of one another.
    let mut by_film: BTreeMap<&str, Vec<f64>> = BTreeMap::new();
    for (film, shift) in read.pictures.iter().filter_map(|p| Some((&p.film, p.shift?))) {
        by_film.entry(film).or_default().push(shift.value());
    }
    let row = |(film, shifts): (&&str, &Vec<f64>)| {
        let trend = Estimate::slope(shifts);
        Some(FilmRow { film: (*film).to_owned(), shift: Estimate::mean(shifts)?, trend })
    };
    read.films = by_film.iter().filter_map(row).collect();
    let mut by_meant: BTreeMap<String, Vec<f64>> = BTreeMap::new();
    for picture in &read.pictures {
        if let Some(came) = picture.developed {
            by_meant.entry(in_n(picture.meant)).or_default().push(came.value());
        }
    }
    read.developed = by_meant.iter().filter_map(|(meant, came)| Some((meant.clone(), Estimate::mean(came)?))).collect();
    if let Some(path) = &order.plot {
        put(path, &drawn(&sheet(&read)?, path)?, order.force)?;
    }
    Ok(read)
}

/// The plot; by the first table if scans have several.
fn sheet(read: &ZonesRead) -> Result<Sheet, String> {
    let table = read.tables.first().ok_or("there is nothing to plot: no reading has a zone and a place")?;
    let tones = |picture: &PictureRow| {
        read.rows.iter().filter(|row| row.scan == picture.scan).map(|row| row.tone).collect::<Vec<_>>()
    };
    let pictures: Vec<(String, Vec<Tone>)> =
        read.pictures.iter().map(|picture| (picture.scan.clone(), tones(picture))).collect();
    let densities = if read.by_wedge { "true densities" } else { "scanner densities" };
    let head = Head {
        title: "Zones read back".to_owned(),
        date: String::new(),
        kind: format!("{} pictures, {densities}, net of base", pictures.len()),
        paper_and_table: format!("aims: {}", table.name()),
        ..Head::default()
    };
    Ok(zones(table, &pictures, &head))
}

/// "N+1", "N"; "not written".
fn in_n(meant: Option<Stops>) -> String {
    match meant {
        None => "not written".to_owned(),
        Some(n) if n.value() == 0.0 => "N".to_owned(),
        Some(n) => format!("N{n}"),
    }
}

/// # Errors
/// What is wrong, with the file that it is wrong with.
fn one(of: Wanted, order: &ZonesOrder, read: &mut ZonesRead) -> Result<(), String> {
    let name = of.scan();
    let file = of.notes.clone();
    let wrong = |what: &dyn std::fmt::Display| format!("{}: {what}", file.display());
    let sidecar = Sidecar::open(&file).map_err(|e| wrong(&e))?;
    let shot = linked::shot(&sidecar, &of.notes);
    let sums = sums(&shot, file.parent().unwrap_or(Path::new("")));
    let placed = placed(&shot, &sums, &name, &mut read.left_out);
    if placed.is_empty() {
        return Ok(());
    }
    let noted = Noted::open(of)?;
    if noted.notes.measured.base_source == "assumed" {
        return Err(wrong(&"it has no base, so there are no net densities: give it one, and run dryside batch"));
    }
    let (path, scan) = noted.scan(order.scans.as_deref())?;
    let own = Wishes::of_notes(&sidecar, None, &noted.wanted.results()).map_err(|e| wrong(&e))?;
    let in_file = settings_file(path.parent().unwrap_or(Path::new(""))).map_err(|e| e.to_string())?;
    let table = Settled::settle(&order.flags, &own, &in_file).settings.zones;

    let channel = noted.notes.scan.channel.as_deref().unwrap_or("green");
    let by = Read::of(
        &noted.notes.record.settings.get("encoding").cloned().unwrap_or_else(|| "auto".to_owned()),
        channel,
        &noted.notes,
    )
    .map_err(|e| wrong(&e))?;
    noted.verify(&path, &scan, by.channel())?;
    let of_scan = |what: &dyn std::fmt::Display| format!("{}: {what}", path.display());
    let bench = by.bench(scan.facts()).map_err(|e| of_scan(&e))?;
    let aperture = if scan.facts().resolution.is_some() { Aperture::default() } else { spots::WITHOUT_RESOLUTION };
    let at = placed.iter().map(|of| Point { x: of.at[0], y: of.at[1] }).collect();
    let base = Some(Density::new(noted.notes.measured.base));
    let (spots, warnings) =
        spots::read(&scan, by.channel(), &bench, &Spots { at, aperture, zones: None }, base, by.calibration())
            .map_err(|e| of_scan(&e))?;
    read.left_out.extend(warnings.iter().map(|warning| format!("{name}: {warning}")));
    let (mut tones, mut beyond) = (Vec::new(), Vec::new());
    for (of, spot) in placed.iter().zip(&spots) {
        let Some(row) = row(&name, of, spot, &table) else { continue };
        let left_out = match row.shift.map(Stops::value) {
            None => Some("the table of zones does not reach there"),
            Some(stops) if stops.abs() > FAR => Some("this is more than film or development do: check its place"),
            Some(_) => None,
        };
        match left_out {
            None => tones.push(row.tone),
            Some(why) => {
                beyond.push(row.tone);
                read.left_out.push(format!("{name}: {}: left out of speed and development: {why}", of.reading));
            }
        }
        read.rows.push(row);
    }
    read.by_wedge &= noted.notes.scan.wedge.is_some();
    if !read.tables.contains(&table) {
        read.tables.push(table.clone());
    }
    // A light that is no denser than a shadow is another place than was metered: nothing is concluded from it.
    if out_of_order(&[&tones[..], &beyond].concat()) {
        read.left_out
            .push(format!("{name}: a higher zone is no denser than a lower one: check the places of its readings"));
        return Ok(());
    }
    let shift = shadow_shift(&tones, &table);
    read.pictures.push(PictureRow {
        scan: name,
        date: shot.date.map_or_else(String::new, |date| date.to_string()),
        film: shot.film.clone().unwrap_or_default(),
        shift,
        speed: shot.speed.zip(shift).map(|(speed, shift)| speed * shift.value().exp2()),
        meant: shot.development.n,
        developed: developed(&tones, &table),
    });
    Ok(())
}

/// Whether a tone exposed for a higher zone is no denser than one exposed for a lower.
fn out_of_order(tones: &[Tone]) -> bool {
    let mut tones = tones.to_vec();
    tones.sort_by(|a, b| a.exposed().total_cmp(&b.exposed()));
    tones.windows(2).any(|pair| pair[0].exposed() < pair[1].exposed() && pair[0].found >= pair[1].found)
}

/// A reading with a zone and a place.
struct Placed {
    reading: String,
    zone: ZoneStep,
    /// How much more exposure than the sums ask for is written.
    given: Stops,
    at: [f64; 2],
}

/// Readings with a zone and a place. One whose exposure is another than its sums, by a film's reciprocity, is left out:
/// what such a film makes of the difference is not known well enough.
fn placed(shot: &ShotNotes, sums: &[Summed], name: &str, left_out: &mut Vec<String>) -> Vec<Placed> {
    let mut placed = Vec::new();
    for reading in &shot.readings {
        // The shutter was open once: a reading without sums of its own goes by those of another.
        let summed = sums.iter().find(|summed| summed.name == reading.name).or(sums.first());
        let apart = summed.filter(|summed| summed.agrees() == Some(false)).and_then(|of| Some((of, of.apart()?)));
        match (reading.zone, reading.at) {
            (Some(_), Some(_)) if apart.is_some_and(|(of, _)| of.is_corrected()) => left_out.push(format!(
                "{name}: {}: another time is written than the sums give, and the film needs more above a second: left out, see dryside notes check",
                reading.name
            )),
            (Some(zone), Some(at)) => {
                let given = apart.map(|(_, stops)| stops).unwrap_or_default();
                placed.push(Placed { reading: reading.name.clone(), zone, given, at });
            }
            (Some(_), None) => {
                let how = "it has no place: write where it is in the scan, at = [x, y]";
                left_out.push(format!("{name}: {}: {how}", reading.name));
            }
            (None, _) => {}
        }
    }
    placed
}

fn row(scan: &str, of: &Placed, spot: &ReportSpot, table: &ZoneTable) -> Option<ZoneRow> {
    let found = Density::new(spot.net?);
    let tone = Tone { zone: of.zone, given: of.given, found };
    Some(ZoneRow {
        scan: scan.to_owned(),
        reading: of.reading.clone(),
        tone,
        unsure: spot.uncertainty.map(Density::new),
        aimed: tone.aimed(table),
        shift: tone.shift(table),
        reads_as: table.zone(found).to_string(),
    })
}
