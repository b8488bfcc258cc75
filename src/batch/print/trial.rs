//! Trial prints: parts of a picture as it lies on the easel, each with an exposure of its own.

use image::GrayImage;
use rayon::prelude::*;

use crate::batch::frame::Decided;
use crate::light::{Densitometer, Density, Encoding, Millimetres, PixelsPerInch};
use crate::paper::{PaperSize, Print, Rendering};
use crate::plane::{Area, Band, Point, Quad, Resampling, Size, per_code};
use crate::scan::{self, Channel, Rows, Scan};

use super::carrier::{Carrier, open};
use super::easel::{Easel, Laid, Meeting};
use super::expose::HELD;

/// One exposure in one grade: what each code of the scan prints as.
pub(in crate::batch) struct Lamp {
    /// Luminance of the print for each code.
    light: Vec<f32>,
    /// Luminance of the deepest black, and of unexposed paper: nothing is darker or brighter.
    black: f32,
    white: f32,
}

impl Lamp {
    /// As a print that fills the file's whole scale has it.
    pub(in crate::batch) fn of(decided: &Decided, bench: &Densitometer) -> Self {
        // What lies beyond the scanner's range prints as the paper's white.
        const BEYOND_RANGE: Density = Density::new(f64::INFINITY);
        let print = Print::parted(&decided.stock, decided.grade, open(decided), decided.split);
        let luminances = Rendering::Screen.luminances(&print);
        let luminance = |net| luminances(net) as f32;
        let net = |code| bench.density(code).map_or(BEYOND_RANGE, |d| d - decided.base);
        Self {
            light: per_code(|code| luminance(net(code))),
            black: luminance(Density::new(f64::NEG_INFINITY)),
            white: luminance(BEYOND_RANGE),
        }
    }
}

/// A part of the picture, in its pixels, and the light it gets.
#[derive(Clone, Copy)]
pub(in crate::batch) struct Part<'l> {
    /// Where it lies.
    pub area: Area,
    /// Its exposure.
    pub lamp: &'l Lamp,
}

/// A frame laid on the easel.
pub(in crate::batch) struct Trial<'a> {
    scan: &'a Scan,
    channel: Channel,
    laid: Laid,
    resampling: Resampling,
}

impl<'a> Trial<'a> {
    /// Lays it as a print of this size and resolution has it, fitted onto the sheet.
    ///
    /// # Errors
    /// When the frame's outline holds no picture, or the print would have too many pixels.
    pub(in crate::batch) fn lay(
        carrier: &Carrier,
        scan: &'a Scan,
        size: PaperSize,
        ppi: PixelsPerInch,
        tilt: f64,
    ) -> Result<Self, String> {
        let easel = Easel { size, ppi, meeting: Meeting::Fit, border: Millimetres::default(), tilt };
        let laid = easel.lay(&carrier.lying)?;
        let resampling = Resampling::new(scan.facts().size, laid.picture.size(), laid.mapping, laid.outline);
        Ok(Self { scan, channel: carrier.read.channel(), laid, resampling })
    }

    /// Pixels of the picture.
    pub(in crate::batch) fn size(&self) -> Size {
        self.laid.picture.size()
    }

    /// Where a place of the scan lies in the picture.
    pub(in crate::batch) fn place(&self, in_scan: Point) -> Point {
        self.laid.mapping.back(in_scan)
    }

    /// What of the scan shows.
    pub(in crate::batch) fn outline(&self) -> Quad {
        self.laid.outline
    }

    /// Whether a place of the scan shows.
    pub(in crate::batch) fn shows(&self, in_scan: Point) -> bool {
        self.laid.outline.holds(in_scan)
    }

    /// Pixels of the scan across one of the picture's.
    pub(in crate::batch) fn scale(&self) -> f64 {
        self.laid.scanned().0 / f64::from(self.size().width)
    }

    /// Each part as the whole print has it there in its exposure, in 8 bits and the sRGB curve: also at its edges it
    /// knows nothing of its neighbours. Parts share what is read: some rows of the scan at a time.
    ///
    /// # Errors
    /// When the scan can no longer be read.
    pub(in crate::batch) fn expose(&self, parts: &[Part<'_>]) -> Result<Vec<GrayImage>, scan::Error> {
        let mut codes: Vec<Vec<u8>> = parts.iter().map(|_| Vec::new()).collect();
        // Codes and light are held side by side.
        for block in self.resampling.blocks(HELD / 2) {
            // What of each part lies in these rows of the picture.
            let here = |part: &Part<'_>| {
                let (top, end) = (part.area.y.max(block.start), part.area.rows().end.min(block.end));
                (top < end).then(|| Area { y: top, height: end - top, ..part.area })
            };
            let needed: Vec<Option<(Area, Area)>> =
                parts.iter().map(|part| here(part).map(|area| (area, self.resampling.needs_for(area)))).collect();
            let Some(all) = needed.iter().flatten().map(|(_, from)| *from).reduce(around) else { continue };
            let read = self.read(all)?;
            for ((part, codes), (area, from)) in
                parts.iter().zip(&mut codes).zip(&needed).filter_map(|(p, n)| Some((p, (*n)?)))
            {
                codes.extend(self.printed(part.lamp, area, from, &read, all));
            }
        }
        let picture = |(part, codes): (&Part<'_>, Vec<u8>)| {
            GrayImage::from_raw(part.area.width, part.area.height, codes).expect("a part has all its rows")
        };
        Ok(parts.iter().zip(codes).map(picture).collect())
    }

    /// The codes of an area of the scan.
    fn read(&self, area: Area) -> Result<Vec<u16>, scan::Error> {
        let mut codes = Vec::with_capacity(area.size().pixels() as usize);
        let rows = Rows::Between { first: area.y, end: area.rows().end };
        let cut =
            |band: &Band<'_>| band.rows().flat_map(|(_, row)| &row[area.columns()]).copied().collect::<Vec<u16>>();
        self.scan.read(self.channel, rows, cut, |part| -> Result<(), scan::Error> {
            codes.extend_from_slice(&part);
            Ok(())
        })?;
        Ok(codes)
    }

    /// An area of the picture, made of what was read of the scan.
    fn printed(&self, lamp: &Lamp, area: Area, from: Area, read: &[u16], all: Area) -> Vec<u8> {
        let row = |y: u32| {
            let start = (y - all.y) as usize * all.width as usize + (from.x - all.x) as usize;
            &read[start..][..from.width as usize]
        };
        let light = from.rows().into_par_iter().flat_map_iter(row).map(|code| lamp.light[usize::from(*code)]).collect();
        let window = self.resampling.window(from, light);
        // As of a print: rounded to 16 bits first.
        let code = |y: f32| {
            let y = f64::from(y.clamp(lamp.black, lamp.white));
            let deep = (f64::from(u16::MAX) * Encoding::Srgb.encode(y)).round() as u32;
            ((deep + 128) / 257) as u8
        };
        let columns = area.x..area.x + area.width;
        let printed = |y| self.resampling.part_of_row(y, columns.clone(), &window).into_iter().map(code);
        area.rows().into_par_iter().flat_map_iter(printed).collect()
    }
}

/// The smallest area around two.
fn around(a: Area, b: Area) -> Area {
    let (x, y) = (a.x.min(b.x), a.y.min(b.y));
    let (right, end) = ((a.x + a.width).max(b.x + b.width), a.rows().end.max(b.rows().end));
    Area { x, y, width: right - x, height: end - y }
}
