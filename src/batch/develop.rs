//! Bands of a scan turned into those of a frame's flat positive and proof.

use crate::flat;
use crate::light::{Densitometer, Density};
use crate::paper::Rendering;
use crate::plane::{Across, Band, Shelf, Size, Table, per_code};
use crate::scan::Facts;

use super::frame::Decided;
use super::settings::Settings;

/// Long edge of a proof in pixels, unless the frame has fewer.
const PROOF_EDGE: u32 = 1600;

/// Size of a frame's proof, as stored.
pub(super) fn proof_size(frame: &Decided) -> Size {
    frame.proof_area.size().fitted(PROOF_EDGE)
}

/// What turns bands of the scan into those of a frame's pictures.
pub(super) struct Chain<'a> {
    pub frame: &'a Decided,
    pub facts: &'a Facts,
    /// The whole tone chain from scan code to flat code.
    flat: Table,
    /// The whole tone chain from scan code to relative luminance of the print.
    print: Vec<f32>,
    across: Across,
}

/// Buffers of bands that have been written or taken, for the next ones.
#[derive(Default)]
pub(super) struct Spare {
    pub flat: Shelf<Vec<u16>>,
    pub proof: Shelf<Vec<f32>>,
}

fn emptied<T>(shelf: &Shelf<Vec<T>>) -> Vec<T> {
    let mut buffer = shelf.take().unwrap_or_default();
    buffer.clear();
    buffer
}

/// What one band gives to a frame: nothing where the frame has no part in it.
#[derive(Default)]
pub(super) struct Developed {
    /// Rows of the flat positive.
    pub flat: Option<Vec<u16>>,
    /// Pixels of the frame at code 0 of the flat positive.
    pub at_zero: u64,
    /// Pixels of the frame at full scale of the flat positive.
    pub at_full_scale: u64,
    /// Rows of the proof's width, one for each row of the scan.
    pub proof: Option<Vec<f32>>,
}

impl<'a> Chain<'a> {
    pub(super) fn new(frame: &'a Decided, facts: &'a Facts, bench: &Densitometer, settings: &Settings) -> Self {
        // What lies beyond the scanner's range prints as the paper's white.
        const BEYOND_RANGE: Density = Density::new(f64::INFINITY);
        let print = frame.print();
        let net = |code| bench.density(code).map_or(BEYOND_RANGE, |d| d - frame.base);
        Self {
            frame,
            facts,
            flat: flat::table(bench, frame.base, &frame.law, &settings.out_encoding),
            print: per_code(|code| Rendering::Screen.luminance(&print, net(code)) as f32),
            across: Across::new(frame.proof_area.width, proof_size(frame).width),
        }
    }

    /// What a band gives to the frame.
    pub(super) fn develop(&self, band: Band<'_>, spare: &Spare) -> Developed {
        let (flat_area, proof_area) = (self.frame.flat_area, self.frame.proof_area);
        let mut developed = Developed::default();
        for (y, codes) in band.rows() {
            if flat_area.rows().contains(&y) {
                let flat = developed.flat.get_or_insert_with(|| emptied(&spare.flat));
                let start = flat.len();
                self.flat.extend(&codes[flat_area.columns()], flat);
                let inside = self.inside(y, &flat[start..]);
                developed.at_zero += inside.iter().filter(|code| **code == 0).count() as u64;
                developed.at_full_scale += inside.iter().filter(|code| **code == u16::MAX).count() as u64;
            }
            if proof_area.rows().contains(&y) {
                let proof = developed.proof.get_or_insert_with(|| emptied(&spare.proof));
                self.across.row(&codes[proof_area.columns()], &self.print, proof);
            }
        }
        developed
    }

    /// The part of row `y` of the flat positive that lies in the frame.
    fn inside<'r>(&self, y: u32, row: &'r [u16]) -> &'r [u16] {
        let span = self.frame.reading.corners.row_span(y, self.facts.size.width);
        let in_row = |column: usize| column.saturating_sub(self.frame.flat_area.x as usize).min(row.len());
        &row[in_row(span.start)..in_row(span.end)]
    }
}
