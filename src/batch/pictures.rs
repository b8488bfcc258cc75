//! Pictures of what was measured: drawn anew whenever they are asked for.

use std::path::Path;

use image::GrayImage;

use crate::film::Dust;
use crate::light::{Densitometer, Density, PixelsPerInch};
use crate::plane::{Overview, Size};
use crate::save;
use crate::scan::{self, Scan};

use super::entry::{Entry, Known};
use super::explain;
use super::folders::{DUST, EXPLAIN, Folders};
use super::light::Light;
use super::outcome::{Done, DoneScan};
use super::reading::{self, Reading};
use super::write::write;
use super::{Order, dust_map};

/// Light that stands for none, of full scale: density 5, beyond any flatbed (common practice).
const LEAST_LIGHT: f32 = 1e-5;

/// Density of linear light.
pub(super) fn density(light: f32) -> Density {
    Density::of(f64::from(light.max(LEAST_LIGHT)))
}

/// A scan looked over again: what was counted comes from its reading, only what lies where is looked for anew.
pub(super) struct Seen<'a> {
    pub entry: &'a Entry,
    pub reading: &'a Reading,
    pub done: &'a DoneScan,
    pub scan: Scan,
    pub light: Light,
    pub overview: Overview,
    pub dust: Dust,
}

/// Names of the folders of the pictures that an order asks for.
pub(super) fn folders(order: &Order) -> Vec<&'static str> {
    [(order.explain, EXPLAIN), (order.dust_map, DUST)]
        .into_iter()
        .filter_map(|(asked, name)| asked.then_some(name))
        .collect()
}

/// Draws the pictures of a scan that the order asks for. What goes wrong is told in words; the scan itself is done.
pub(super) fn draw(entry: &Entry, done: &Done, folders: &Folders, order: &Order) -> Vec<String> {
    let (Ok(known), Ok(of)) = (&entry.state, &done.result) else { return Vec::new() };
    let Some(reading) = known.reading.as_ref().filter(|_| !order.dry_run && (order.explain || order.dust_map)) else {
        return Vec::new();
    };
    let seen = match look(entry, known, reading, of) {
        Ok(seen) => seen,
        Err(error) => return vec![format!("{}: no picture of it could be drawn: {error}", entry.file)],
    };
    let explained = || save(&folders.explain(&entry.name), &explain::picture(&seen), order.force);
    let mapped = || save(&folders.dust_map(&entry.name), &dust_map::picture(&seen), order.force);
    let saved = [order.explain.then(explained), order.dust_map.then(mapped)];
    saved.into_iter().flatten().filter_map(Result::err).collect()
}

fn look<'a>(
    entry: &'a Entry,
    known: &'a Known,
    reading: &'a Reading,
    done: &'a DoneScan,
) -> Result<Seen<'a>, scan::Error> {
    let settings = &known.settled.settings;
    let scan = scan::open_torn(&entry.path, settings.salvage)?;
    let light = Light::of(scan.facts(), settings)?;
    let overview = reading::overview(&scan, settings.channel, &Densitometer::new(&light.encoding))?;
    let dust = Dust::of(&overview);
    // Base and ends are true densities if there is a wedge: so is the picture in which they are looked for.
    let overview = match &known.wedge {
        Some(wedge) => overview.map(|light| wedge.calibration.density(density(light)).transmittance() as f32),
        None => overview,
    };
    Ok(Seen { entry, reading, done, scan, light, overview, dust })
}

/// A picture of other hands is not drawn over.
fn save(path: &Path, picture: &GrayImage, force: bool) -> Result<(), String> {
    let failed = |error: &dyn std::fmt::Display| format!("{}: {error}", path.display());
    if path.exists() && !force && !save::is_our_png(path) {
        return Err(failed(&"it was put there or changed by other hands: move it away, or run with --force"));
    }
    let size = Size { width: picture.width(), height: picture.height() };
    let ppi = PixelsPerInch::new(crate::sheet::PICTURE_PPI).expect("a picture has pixels");
    let png = save::grey_png(picture.as_raw(), size, ppi).map_err(|e| failed(&e))?;
    write(path, &png)
}
