//! Small pictures of a frame, to look at: reduced in light while bands of codes go by, then set upright.

use rayon::prelude::*;

use crate::light::{Density, ScreenCodes};
use crate::paper::{Print, Rendering};
use crate::plane::{Across, Area, Band, Down, Quad, Shelf, Size, per_code};
use crate::save;
use crate::scan::{self, Channel, Orientation, Rows, Scan};

/// Long edge in pixels of a proof, and of the picture on the straight pages, unless the frame has fewer.
pub(super) const PROOF_EDGE: u32 = 1600;
pub(super) const STRAIGHT_EDGE: u32 = 1000;

/// Pixels that a thread turns into greys at a time.
const AT_A_TIME: usize = 1 << 16;

/// What is to become of codes on their way to a small picture.
pub(super) struct Small {
    /// Where the frame lies.
    area: Area,
    /// As stored.
    size: Size,
    /// From code to relative luminance of the print.
    tones: Vec<f32>,
    across: Across,
}

impl Small {
    /// Of what lies in `area`, no larger than `edge`.
    pub(super) fn new(area: Area, edge: u32, tones: Vec<f32>) -> Self {
        let size = area.size().fitted(edge);
        Self { area, size, tones, across: Across::new(area.width, size.width) }
    }

    /// Takes its part of row `y`, reduced across, to the rows `into` of a band.
    pub(super) fn row(&self, y: u32, codes: &[u16], into: &mut Option<Vec<f32>>, spare: &Shelf<Vec<f32>>) {
        if self.area.rows().contains(&y) {
            let rows = into.get_or_insert_with(|| emptied(spare));
            self.across.row(&codes[self.area.columns()], &self.tones, rows);
        }
    }
}

/// A buffer from the shelf, or a new one.
pub(super) fn emptied<T>(shelf: &Shelf<Vec<T>>) -> Vec<T> {
    let mut buffer = shelf.take().unwrap_or_default();
    buffer.clear();
    buffer
}

/// Relative luminance of a print on the screen, for each code by its net density.
pub(super) fn tones(print: &Print<'_>, net: impl Fn(u16) -> Density + Sync) -> Vec<f32> {
    let luminance = Rendering::Screen.luminances(print);
    per_code(|code| luminance(net(code)) as f32)
}

/// A small picture that comes together.
pub(super) struct Growing<'s> {
    small: &'s Small,
    down: Down,
}

impl<'s> Growing<'s> {
    pub(super) fn new(small: &'s Small) -> Self {
        Self { small, down: Down::new(small.area.size(), small.size) }
    }

    /// Takes the rows of the next band.
    pub(super) fn take(&mut self, rows: Option<Vec<f32>>, spare: &Shelf<Vec<f32>>) {
        if let Some(rows) = rows {
            rows.chunks_exact(self.small.size.width as usize).for_each(|row| self.down.row(row));
            spare.put(rows);
        }
    }

    /// The picture as a JPEG: upright, because it is looked at. What lies outside a tilted frame is black, as through a
    /// filed-out negative carrier: a bright holder would draw the eye.
    ///
    /// # Errors
    /// When it cannot be packed.
    pub(super) fn jpeg(self, corners: Quad, orientation: Orientation) -> Result<Vec<u8>, save::Error> {
        let (area, stored) = (self.small.area, self.small.size);
        let outline = corners.moved(-f64::from(area.x), -f64::from(area.y));
        let (across, down) = (f64::from(stored.width), f64::from(stored.height));
        let outline = outline.scaled(across / f64::from(area.width), down / f64::from(area.height));
        let codes = ScreenCodes::default();
        let light = self.down.finish();
        let mut greys: Vec<u8> = light.into_par_iter().with_min_len(AT_A_TIME).map(|y| codes.of(y)).collect();
        for (y, row) in (0..stored.height).zip(greys.chunks_exact_mut(stored.width as usize)) {
            let inside = outline.row_span(y, stored.width);
            row[..inside.start].fill(0);
            row[inside.end..].fill(0);
        }
        let (greys, size) = upright(&greys, stored, orientation);
        save::grey_jpeg(&greys, size, None)
    }
}

/// Reads all of a scan, or of a flat positive, for its small pictures alone.
///
/// # Errors
/// When it cannot be read.
pub(super) fn reduce<'s>(scan: &Scan, channel: Channel, smalls: &'s [Small]) -> Result<Vec<Growing<'s>>, scan::Error> {
    let spare = Shelf::default();
    let mut growing: Vec<_> = smalls.iter().map(Growing::new).collect();
    let develop = |band: &Band<'_>| {
        let mut rows: Vec<Option<Vec<f32>>> = vec![None; smalls.len()];
        for (y, codes) in band.rows() {
            smalls.iter().zip(&mut rows).for_each(|(small, rows)| small.row(y, codes, rows, &spare));
        }
        rows
    };
    scan.read(channel, Rows::All, develop, |rows| {
        growing.iter_mut().zip(rows).for_each(|(growing, rows)| growing.take(rows, &spare));
        Ok::<_, scan::Error>(())
    })?;
    Ok(growing)
}

/// A picture as it is looked at.
pub(super) fn upright<T: Copy>(pixels: &[T], stored: Size, orientation: Orientation) -> (Vec<T>, Size) {
    if orientation == Orientation::default() {
        return (pixels.to_vec(), stored);
    }
    let size = orientation.upright(stored);
    let mut turned = Vec::with_capacity(pixels.len());
    for y in 0..size.height {
        for x in 0..size.width {
            let (column, row) = orientation.stored(x, y, stored);
            turned.push(pixels[row as usize * stored.width as usize + column as usize]);
        }
    }
    (turned, size)
}
