//! Whether a colour scan is one of colour film.

use crate::film::{self, Warning};
use crate::light::Densitometer;
use crate::plane::Band;
use crate::scan::{self, Channel, Rows, Scan};

/// Rows, and places in each, that are looked at.
const LOOKED_AT: (u32, usize) = (48, 64);

/// The warning that a scan in three channels shows the mask of colour film.
///
/// # Errors
/// When the scan cannot be read.
pub(super) fn masked(scan: &Scan, bench: &Densitometer) -> Result<Option<Warning>, scan::Error> {
    let facts = scan.facts();
    if facts.channels != 3 {
        return Ok(None);
    }
    let [red, green, blue] =
        [Channel::Red, Channel::Green, Channel::Blue].map(|channel| densities(scan, channel, bench));
    let places = red?.into_iter().zip(green?).zip(blue?).map(|((red, green), blue)| [red, green, blue]);
    Ok(film::mask(places).map(|mask| Warning::ColourNegative { mask }))
}

fn densities(scan: &Scan, channel: Channel, bench: &Densitometer) -> Result<Vec<f64>, scan::Error> {
    let size = scan.facts().size;
    let apart = (size.width as usize / LOOKED_AT.1).max(1);
    let density = |code: &u16| bench.densities()[usize::from(*code)];
    let of_band = |band: &Band<'_>| -> Vec<f64> {
        band.rows().flat_map(|(_, row)| row.iter().step_by(apart).map(density)).collect()
    };
    let rows = Rows::EveryNth((size.height / LOOKED_AT.0).max(1));
    let mut densities = Vec::new();
    scan.read(channel, rows, of_band, |more| -> Result<(), scan::Error> {
        densities.extend(more);
        Ok(())
    })?;
    Ok(densities)
}
