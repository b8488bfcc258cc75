//! Bands of a scan turned into those of a frame's flat positive and small pictures.

use crate::flat;
use crate::light::{Densitometer, Density};
use crate::plane::{Band, Shelf, Table};
use crate::scan::Facts;

use super::frame::Decided;
use super::make::Task;
use super::settings::Settings;
use super::small::{Kind, PROOF_EDGE, STRAIGHT_EDGE, Small, buffer, tones};

/// What turns bands of the scan into those of a frame's pictures.
pub(super) struct Chain<'a> {
    pub frame: &'a Decided,
    pub facts: &'a Facts,
    /// The whole tone chain from scan code to flat code, if there is to be a flat positive.
    flat: Option<Table>,
    /// The small pictures that are to be, in the order of [`super::make::Files::kinds`].
    pub smalls: Vec<Small>,
}

/// Buffers of bands that have been written or taken, for the next ones.
#[derive(Default)]
pub(super) struct Spare {
    pub flat: Shelf<Vec<u16>>,
    pub small: Shelf<Vec<f32>>,
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
    /// For each small picture rows of its width, one for each row of the scan.
    pub smalls: Vec<Option<Vec<f32>>>,
}

/// What lies beyond the scanner's range prints as the paper's white.
pub(super) const BEYOND_RANGE: Density = Density::new(f64::INFINITY);

/// How many of the codes are `wanted`.
fn count(codes: &[u16], wanted: u16) -> u64 {
    // Counted in 16 bits as far as they hold, which compiles to vector instructions.
    let of_piece = |piece: &[u16]| piece.iter().map(|code| u16::from(*code == wanted)).sum::<u16>();
    codes.chunks(usize::from(u16::MAX)).map(|piece| u64::from(of_piece(piece))).sum()
}

impl<'a> Chain<'a> {
    /// For a frame, and the files of it that are to be made.
    pub(super) fn new(task: &Task<'a>, facts: &'a Facts, bench: &Densitometer, settings: &Settings) -> Self {
        let Task { frame, files } = *task;
        let net = |code| bench.density(code).map_or(BEYOND_RANGE, |d| d - frame.base);
        let proof = || Small::new(frame.proof_area, PROOF_EDGE, tones(&frame.print(), net));
        let straight = || Small::new(frame.proof_area, STRAIGHT_EDGE, tones(&frame.straight(), net));
        let smalls = files.kinds().map(|kind| match kind {
            Kind::Proof => proof(),
            Kind::Straight => straight(),
        });
        let smalls = smalls.collect();
        let flat = files.flat.then(|| flat::table(bench, frame.base, &frame.law, &settings.out_encoding));
        Self { frame, facts, flat, smalls }
    }

    /// What a band gives to the frame.
    pub(super) fn develop(&self, band: Band<'_>, spare: &Spare) -> Developed {
        let flat_area = self.frame.flat_area;
        let mut developed = Developed {
            flat: self.flat.as_ref().and_then(|_| buffer(band, flat_area, flat_area.width, &spare.flat)),
            smalls: self.smalls.iter().map(|small| small.buffer(band, &spare.small)).collect(),
            ..Developed::default()
        };
        for (y, codes) in band.rows() {
            if let Some((table, flat)) = self.flat.as_ref().zip(developed.flat.as_mut())
                && flat_area.rows().contains(&y)
            {
                let start = flat.len();
                table.extend(&codes[flat_area.columns()], flat);
                let inside = self.inside(y, &flat[start..]);
                developed.at_zero += count(inside, 0);
                developed.at_full_scale += count(inside, u16::MAX);
            }
            for (small, rows) in self.smalls.iter().zip(&mut developed.smalls) {
                small.row(y, codes, rows);
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
