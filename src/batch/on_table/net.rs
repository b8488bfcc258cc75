//! A frame's net densities as a picture: small to look at, or a part of it pixel by pixel.

use std::path::Path;

use crate::batch::key::Stamp;
use crate::batch::noted::Noted;
use crate::batch::print::Read;
use crate::batch::settings::Settings;
use crate::batch::small::upright;
use crate::flat::{Law, read_back};
use crate::light::{Densitometer, Density};
use crate::plane::{Across, Area, Band, Down, Size, per_code};
use crate::scan::{self, Channel, Orientation, Rows, Scan};

use super::{TableFrames, Unseen};

/// Codes of a net density: thousandths of a D from [`THINNEST`] on, in 12 bits. An 8-bit grey of the hardest paper
/// takes more than one of them.
pub(super) const NET_CODES: usize = 4096;
const THINNEST: f64 = -0.5;
const STEP: f64 = 0.001;

/// Longest edge of a small picture: one that fills a large screen.
pub const MOST_EDGE: u32 = 2400;

/// Longest side of a tile in pixels.
pub const MOST_OF_A_TILE: u32 = 1024;

/// Rows of the scan that go into one of a small picture, at least.
const ROWS_UNDER_ONE: u32 = 2;

/// Net densities of a frame or a part of it, as codes, upright.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NetPicture {
    /// Its size.
    pub size: Size,
    /// Row by row.
    pub codes: Vec<u16>,
}

/// The net density that a code stands for.
pub(super) fn net_of(code: u16) -> Density {
    Density::new(THINNEST + STEP * f64::from(code))
}

fn code_of(net: f64) -> u16 {
    ((net - THINNEST) / STEP).round().clamp(0.0, (NET_CODES - 1) as f64) as u16
}

impl TableFrames {
    /// A frame's net densities, no larger than `edge`; reduced in light. Where the scan is away its flat positive tells
    /// them.
    ///
    /// # Errors
    /// When neither can be read, or only from its top and another is at it.
    pub fn net(&self, id: usize, edge: u32) -> Result<NetPicture, Unseen> {
        let (noted, number) = self.noted(id)?;
        let source = self.source(&noted, number)?;
        let small = source.area.size().fitted(edge);
        let stored = if source.scan.unpacks_from_top() {
            // All sizes come of one unpacking.
            let largest = source.area.size().fitted(MOST_EDGE);
            let of = source.known_by(&noted.notes.scan.codes_blake3);
            self.unpacked.picture(&of, || source.reduced(largest))?.reduced(small)
        } else {
            source.reduced(small)?
        };
        let (codes, size) = upright(&stored.codes, stored.size, orientation(&noted));
        Ok(NetPicture { size, codes })
    }

    /// A part of a frame, pixel by pixel: `part` in pixels of the frame as it stands upright, as far as the frame has
    /// them.
    ///
    /// # Errors
    /// When the scan is away or cannot be read, or only from its top and another is at it, or the part lies outside the
    /// frame.
    pub fn tile(&self, id: usize, part: Area) -> Result<NetPicture, Unseen> {
        let (noted, number) = self.noted(id)?;
        let scan = self.scan(&noted)?;
        let area = self.area(&noted, number);
        let orientation = orientation(&noted);
        let frame = orientation.upright(area.size());
        let width = part.width.min(frame.width.saturating_sub(part.x)).min(MOST_OF_A_TILE);
        let height = part.height.min(frame.height.saturating_sub(part.y)).min(MOST_OF_A_TILE);
        if width == 0 || height == 0 {
            return Err(Unseen::Wrong("the tile lies outside the frame".to_owned()));
        }
        // Two opposite corners as stored bound it.
        let corner = |x, y| orientation.stored(x, y, area.size());
        let (a, b) = (corner(part.x, part.y), corner(part.x + width - 1, part.y + height - 1));
        let (left, top) = (area.x + a.0.min(b.0), area.y + a.1.min(b.1));
        let stored = Size { width: a.0.abs_diff(b.0) + 1, height: a.1.abs_diff(b.1) + 1 };
        let (read, densities) = densities(&noted, &scan)?;
        let codes_of: Vec<u16> = densities.into_iter().map(code_of).collect();
        let part = Area { x: left, y: top, width: stored.width, height: stored.height };
        let took = if scan.unpacks_from_top() {
            self.unpacked.part(&noted.notes.scan.codes_blake3, &scan, read.channel(), part)?
        } else {
            codes_in(&scan, read.channel(), part).map_err(|e| e.to_string())?
        };
        let codes: Vec<u16> = took.into_iter().map(|code| codes_of[usize::from(code)]).collect();
        let (codes, size) = upright(&codes, stored, orientation);
        Ok(NetPicture { size, codes })
    }
}

/// The scan's codes in a part of it, row by row.
fn codes_in(scan: &Scan, channel: Channel, part: Area) -> Result<Vec<u16>, scan::Error> {
    let cut =
        |band: &Band<'_>| -> Vec<u16> { band.rows().flat_map(|(_, row)| &row[part.columns()]).copied().collect() };
    let mut codes = Vec::new();
    let rows = Rows::Between { first: part.y, end: part.y + part.height };
    scan.read(channel, rows, cut, |part| -> Result<(), scan::Error> {
        codes.extend(part);
        Ok(())
    })?;
    Ok(codes)
}

impl NetPicture {
    /// The same, smaller; reduced in light.
    fn reduced(self, small: Size) -> Self {
        if small == self.size {
            return self;
        }
        let light = per_code(|code| 10f64.powf(-net_of(code).value()) as f32);
        let (across, mut down) = (Across::new(self.size.width, small.width), Down::new(self.size, small));
        let mut codes = Vec::new();
        for row in self.codes.chunks_exact(self.size.width as usize) {
            let mut narrow = Vec::new();
            across.row(row, &light, &mut narrow);
            down.row(&narrow, |light| extend(&mut codes, light));
        }
        down.finish(|light| extend(&mut codes, light));
        Self { size: small, codes }
    }
}

/// Adds averages of light as codes of net density.
fn extend(codes: &mut Vec<u16>, light: &[f32]) {
    codes.extend(light.iter().map(|light| code_of(-f64::from(*light).log10())));
}

/// What a picture of net densities is read of.
struct Source {
    scan: Scan,
    channel: Channel,
    /// Of each code.
    densities: Vec<f64>,
    /// Where the frame lies.
    area: Area,
}

impl Source {
    /// By what a picture of it is known: the scan's codes by their hash, what they stand for, and the part.
    fn known_by(&self, codes: &str) -> String {
        let densities = blake3::hash(bytemuck::cast_slice(&self.densities));
        format!("{codes} {:?} {:?} {densities}", self.channel, self.area)
    }

    /// A picture of this size as stored, reduced in light, of rows here and there.
    fn reduced(&self, small: Size) -> Result<NetPicture, String> {
        let Self { scan, channel, densities, area } = self;
        let step = (area.height / (small.height * ROWS_UNDER_ONE)).max(1);
        let light: Vec<f32> = densities.iter().map(|net| 10f64.powf(-net) as f32).collect();
        let rows = (step / 2..scan.facts().size.height).step_by(step as usize).filter(|y| area.rows().contains(y));
        let sampled = Size { width: area.width, height: rows.count() as u32 };
        let (across, mut down) = (Across::new(area.width, small.width), Down::new(sampled, small));
        let reduced = |band: &Band<'_>| {
            let mut narrow = Vec::new();
            let inside = band.rows().filter(|(y, _)| area.rows().contains(y));
            inside.for_each(|(_, row)| across.row(&row[area.columns()], &light, &mut narrow));
            narrow
        };
        let mut codes = Vec::new();
        let took = scan.read(*channel, Rows::EveryNth(step), reduced, |rows| -> Result<(), scan::Error> {
            let rows = rows.chunks_exact(small.width as usize);
            rows.for_each(|row| down.row(row, |light| extend(&mut codes, light)));
            Ok(())
        });
        took.map_err(|e| e.to_string())?;
        down.finish(|light| extend(&mut codes, light));
        Ok(NetPicture { size: small, codes })
    }
}

impl TableFrames {
    /// The scan, else the flat positive that was made of it.
    fn source(&self, noted: &Noted, number: usize) -> Result<Source, String> {
        match self.scan(noted) {
            Ok(scan) => {
                let (read, densities) = densities(noted, &scan)?;
                Ok(Source { scan, channel: read.channel(), densities, area: self.area(noted, number) })
            }
            Err(away) => flat(noted, number).map_err(|why| format!("{away}; {why}")),
        }
    }
}

/// A frame's flat positive, by the law and the encoding that its notes name.
fn flat(noted: &Noted, number: usize) -> Result<Source, String> {
    let of = noted.notes.flat.frames.get(number - 1).ok_or("its notes name no flat positive")?;
    let path = noted.flat(&of.file);
    let wrong = |e: &dyn std::fmt::Display| format!("{}: {e}", path.display());
    let scan = scan::open(&path).map_err(|e| wrong(&e))?;
    let [x, y, width, height] = of.area;
    let bounds = noted.reading.frames[number - 1].corners.bounds(noted.reading.size);
    let inside = bounds.x >= x && bounds.y >= y && scan.facts().size == Size { width, height };
    let area = Area { x: bounds.x.saturating_sub(x), y: bounds.y.saturating_sub(y), ..bounds };
    if !inside || area.x + area.width > width || area.y + area.height > height {
        return Err(wrong(&"it is not the flat positive that the notes tell of"));
    }
    let law = Law::between(Density::new(of.thin), Density::new(of.dense));
    let mut settings = Settings::default();
    settings
        .set("out-encoding", noted.notes.record.settings.get("out-encoding").map_or("", String::as_str))
        .map_err(|e| wrong(&e))?;
    // The outermost codes stand for what the scanner did not see: thinner and denser than any film.
    let net = |code| match (code, read_back(code, &law, &settings.out_encoding)) {
        (_, Some(net)) => net.value(),
        (0, None) => f64::NEG_INFINITY,
        (_, None) => f64::INFINITY,
    };
    Ok(Source { scan, channel: Channel::Green, densities: per_code(net), area })
}

/// Why the scan cannot be read, by its name and what the disk says of it.
pub(super) fn away(noted: &Noted, scans: Option<&Path>) -> Option<String> {
    let (file, path) = (&noted.notes.scan.file, noted.place(scans));
    let measured = Stamp { bytes: noted.notes.scan.bytes, modified: noted.notes.scan.modified.clone() };
    match Stamp::of(&path) {
        Ok(there) if there == measured => None,
        Ok(_) => Some(format!("{file} has changed since it was measured: run dryside batch on its folder again")),
        Err(_) => Some(format!(
            "{} is not there: end dryside table and start it with --scans FOLDER, where the scans are",
            path.display()
        )),
    }
}

impl TableFrames {
    /// The scan, if it is still the file that was measured.
    ///
    /// # Errors
    /// Why it cannot be read.
    pub(super) fn scan(&self, noted: &Noted) -> Result<Scan, String> {
        match away(noted, self.scans()) {
            Some(why) => Err(why),
            None => noted.scan(self.scans()).map(|(_, scan)| scan.heeding(&self.halt)),
        }
    }
}

/// How a frame is turned to be looked at.
pub(super) fn orientation(noted: &Noted) -> Orientation {
    Orientation::new(noted.notes.scan.orientation).unwrap_or_default()
}

/// How the scan of the notes is read.
pub(super) fn read(noted: &Noted) -> Result<Read, String> {
    let notes = &noted.notes;
    let encoding = notes.record.settings.get("encoding").map_or("auto", String::as_str);
    Read::of(encoding, notes.scan.channel.as_deref().unwrap_or("green"), notes)
}

/// How the scan is read, and the net density of each of its codes.
fn densities(noted: &Noted, scan: &Scan) -> Result<(Read, Vec<f64>), String> {
    let read = read(noted)?;
    let bench: Densitometer = read.bench(scan.facts()).map_err(|e| e.to_string())?;
    let base = noted.notes.measured.base;
    let densities = per_code(|code| bench.densities()[usize::from(code)] - base);
    Ok((read, densities))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_code_is_the_density_it_stands_for() {
        for code in 0..NET_CODES as u16 {
            assert_eq!(code_of(net_of(code).value()), code);
        }
        assert_eq!((code_of(f64::INFINITY), code_of(-3.0), code_of(0.0)), (4095, 0, 500));
    }
}
