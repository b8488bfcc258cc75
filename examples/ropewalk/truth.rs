//! What is known about the scans because they were made: written beside them.

use serde::Serialize;

use crate::bed::Bed;
use crate::scanner::{Flatbed, Scan};

/// Everything known, file by file.
#[derive(Debug, Serialize)]
pub(crate) struct Truths {
    pub(crate) sheet: Vec<Truth>,
}

/// What is known about one scan.
#[derive(Debug, Serialize)]
pub(crate) struct Truth {
    pub(crate) file: String,
    pub(crate) kind: String,
    pub(crate) picture: String,
    pub(crate) ppi: f64,
    /// Degrees clockwise.
    pub(crate) tilt: f64,
    /// Linear light of open light, full scale 1.
    pub(crate) open_light: f64,
    /// The exposed area's corners in pixels, clockwise from top left; (0, 0) is the corner of the first pixel.
    pub(crate) corners: [[f64; 2]; 4],
    /// -log10 of linear light over full scale in the rebate, without noise (RGB: of the green channel).
    pub(crate) base: f64,
    /// Net density of the film: no grain, no dust, no scanner.
    pub(crate) net: Ends,
    /// Net density as the scanner reads it (lens, stray light, lamp), without grain, dust and noise.
    pub(crate) net_as_scanned: Ends,
}

/// The 0.1, 50 and 99.9 percentile.
#[derive(Debug, Serialize)]
pub(crate) struct Ends {
    pub(crate) thin: f64,
    pub(crate) median: f64,
    pub(crate) dense: f64,
}

/// A number to four decimals.
fn short(value: f64) -> f64 {
    (value * 1e4).round() / 1e4
}

fn ends(mut densities: Vec<f64>) -> Ends {
    densities.sort_by(f64::total_cmp);
    let at = |part: f64| short(densities[((densities.len() - 1) as f64 * part).round() as usize]);
    Ends { thin: at(0.001), median: at(0.5), dense: at(0.999) }
}

/// What is known of a scan; `tint` is what the film adds in the channel that is read.
pub(crate) fn truth(
    file: &str,
    kind: &str,
    picture: &str,
    bed: &Bed,
    flatbed: &Flatbed,
    scan: &Scan,
    tint: f64,
) -> Truth {
    let size = (scan.width, scan.height);
    let glass = |i: usize| flatbed.place((i % size.0) as f64 + 0.5, (i / size.0) as f64 + 0.5, size);
    // 1. The rebate, half a millimetre away from anything else.
    let rebate: Vec<f64> =
        (0..scan.clean.len()).filter(|&i| bed.within_rebate(glass(i)) > 0.5).map(|i| scan.clean[i]).collect();
    let base = -(rebate.iter().sum::<f64>() / rebate.len() as f64).log10();
    // 2. The picture, up to where its edge gets soft.
    let inside: Vec<usize> = (0..scan.clean.len()).filter(|&i| bed.within_picture(glass(i)) > 0.4).collect();
    let film = inside.iter().filter_map(|&i| scan.net[i]).collect();
    let read = inside.iter().map(|&i| -scan.clean[i].log10() - base).collect();
    let corners = bed.corners().map(|corner| {
        let pixel = |mm: f64, size: usize| (mm * flatbed.scale() + size as f64 / 2.0) * 100.0;
        [pixel(corner.x, size.0).round() / 100.0, pixel(corner.y, size.1).round() / 100.0]
    });
    Truth {
        file: file.into(),
        kind: kind.into(),
        picture: picture.into(),
        ppi: flatbed.ppi,
        tilt: bed.tilt,
        open_light: flatbed.lamp,
        corners,
        base: short(base + tint),
        net: ends(film),
        net_as_scanned: ends(read),
    }
}
