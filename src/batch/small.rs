//! Small pictures of a frame, to look at: reduced in light while bands of codes go by, then set upright.

use std::path::PathBuf;
use std::sync::mpsc::{Receiver, Sender, channel};

use crate::light::{Density, ScreenCodes};
use crate::paper::{Print, Rendering};
use crate::plane::{Across, Area, Band, Down, Quad, Shelf, Size, per_code};
use crate::save;
use crate::scan::{self, Channel, Orientation, Rows, Scan};

use super::folders::Folders;

/// Long edge in pixels of a proof, and of the picture on the straight pages, unless the frame has fewer.
pub(super) const PROOF_EDGE: u32 = 1600;
pub(super) const STRAIGHT_EDGE: u32 = 1000;

/// A small picture that a frame can have.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Kind {
    /// In its own grade and exposure.
    Proof,
    /// On the straight pages.
    Straight,
}

impl Kind {
    /// Its file.
    pub(super) fn path(self, name: &str, folders: &Folders) -> PathBuf {
        match self {
            Self::Proof => folders.proof(name),
            Self::Straight => folders.straight(name),
        }
    }
}

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

    /// For its rows of a band, if it has any there.
    pub(super) fn buffer(&self, band: Band<'_>, spare: &Shelf<Vec<f32>>) -> Option<Vec<f32>> {
        buffer(band, self.area, self.size.width, spare)
    }

    /// Takes its part of row `y`, reduced across, to the rows `into` of a band.
    pub(super) fn row(&self, y: u32, codes: &[u16], into: &mut Option<Vec<f32>>) {
        if let Some(rows) = into.as_mut().filter(|_| self.area.rows().contains(&y)) {
            self.across.row(&codes[self.area.columns()], &self.tones, rows);
        }
    }
}

/// An empty buffer with room for `width` values of each row that a band has of an area, from the shelf or new; nothing
/// where it has none.
pub(super) fn buffer<T>(band: Band<'_>, area: Area, width: u32, spare: &Shelf<Vec<T>>) -> Option<Vec<T>> {
    let rows = band.rows().filter(|(y, _)| area.rows().contains(y)).count();
    (rows > 0).then(|| {
        let mut buffer = spare.take().unwrap_or_default();
        buffer.clear();
        buffer.reserve_exact(rows * width as usize);
        buffer
    })
}

/// Relative luminance of a print on the screen, for each code by its net density.
pub(super) fn tones(print: &Print<'_>, net: impl Fn(u16) -> Density + Sync) -> Vec<f32> {
    let luminance = Rendering::Screen.luminances(print);
    per_code(|code| luminance(net(code)) as f32)
}

/// A small picture that comes together, row by row.
pub(super) struct Growing<'s> {
    small: &'s Small,
    down: Down,
    codes: ScreenCodes,
    greys: Sender<Vec<u8>>,
}

/// Its greys, as stored: they may be packed while the scan is still read.
pub(super) struct Greys {
    area: Area,
    size: Size,
    rows: Receiver<Vec<u8>>,
}

impl Small {
    /// Begins the picture.
    pub(super) fn grow(&self) -> (Growing<'_>, Greys) {
        let (greys, rows) = channel();
        let down = Down::new(self.area.size(), self.size);
        let growing = Growing { small: self, down, codes: ScreenCodes::default(), greys };
        (growing, Greys { area: self.area, size: self.size, rows })
    }
}

impl Growing<'_> {
    /// Takes the rows of the next band.
    pub(super) fn take(&mut self, rows: Option<Vec<f32>>, spare: &Shelf<Vec<f32>>) {
        let Self { small, down, codes, greys } = self;
        if let Some(rows) = rows {
            for row in rows.chunks_exact(small.size.width as usize) {
                down.row(row, |light| send(light, codes, greys));
            }
            spare.put(rows);
        }
    }

    /// All bands have come.
    pub(super) fn finish(self) {
        let Self { down, codes, greys, .. } = self;
        down.finish(|light| send(light, &codes, &greys));
    }
}

fn send(light: &[f32], codes: &ScreenCodes, greys: &Sender<Vec<u8>>) {
    // Whoever packs them has failed if nobody takes them, and tells it.
    drop(greys.send(light.iter().map(|y| codes.of(*y)).collect()));
}

impl Greys {
    /// The picture as a JPEG: upright, because it is looked at. What lies outside a tilted frame is black, as through a
    /// filed-out negative carrier: a bright holder would draw the eye.
    ///
    /// # Errors
    /// When it cannot be packed, or ends before its last row.
    pub(super) fn jpeg(self, corners: Quad, orientation: Orientation) -> Result<Vec<u8>, save::Error> {
        let Self { area, size, rows } = self;
        let outline = corners.moved(-f64::from(area.x), -f64::from(area.y));
        let (across, down) = (f64::from(size.width), f64::from(size.height));
        let outline = outline.scaled(across / f64::from(area.width), down / f64::from(area.height));
        let rows = (0..size.height).zip(rows).map(|(y, mut row)| {
            let inside = outline.row_span(y, size.width);
            row[..inside.start].fill(0);
            row[inside.end..].fill(0);
            row
        });
        if orientation == Orientation::default() {
            return save::growing_jpeg(rows, size);
        }
        let greys = rows.collect::<Vec<_>>().concat();
        if greys.len() as u64 != size.pixels() {
            return Err(save::Error::CutOff);
        }
        let (greys, size) = upright(&greys, size, orientation);
        save::grey_jpeg(&greys, size, None)
    }
}

/// Reads all of a scan, or of a flat positive, for its small pictures alone.
///
/// # Errors
/// When it cannot be read.
pub(super) fn reduce(scan: &Scan, channel: Channel, smalls: &[Small]) -> Result<Vec<Greys>, scan::Error> {
    let spare = Shelf::default();
    let (mut growing, greys): (Vec<_>, _) = smalls.iter().map(Small::grow).unzip();
    let develop = |band: &Band<'_>| {
        let mut rows: Vec<_> = smalls.iter().map(|small| small.buffer(*band, &spare)).collect();
        for (y, codes) in band.rows() {
            smalls.iter().zip(&mut rows).for_each(|(small, rows)| small.row(y, codes, rows));
        }
        rows
    };
    scan.read(channel, Rows::All, develop, |rows| {
        growing.iter_mut().zip(rows).for_each(|(growing, rows)| growing.take(rows, &spare));
        Ok::<_, scan::Error>(())
    })?;
    growing.into_iter().for_each(Growing::finish);
    Ok(greys)
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
