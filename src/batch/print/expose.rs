//! The light of a print, row after row.

use std::ops::Range;

use rayon::prelude::*;

use crate::light::{lightness, luminance};
use crate::paper::EdgeBurn;
use crate::plane::{Area, Band, Point, Resampling, Unsharp, Window};
use crate::scan::{self, Channel, Rows, Scan};

use super::easel::Laid;

/// Pixels of the scan that are held at a time: 128 MB, however large scan and print are.
pub(super) const HELD: u64 = 32 << 20;

/// A sheet of paper under the enlarger.
pub(super) struct Exposure<'a> {
    /// What is printed.
    pub scan: &'a Scan,
    /// Which channel of it.
    pub channel: Channel,
    /// Where it lies.
    pub laid: Laid,
    /// For each code the luminance that the print has there, at exposures that lie evenly from its own to the most that
    /// is burnt in.
    pub light: Vec<Vec<f32>>,
    /// How its edges are burnt in.
    pub edge_burn: EdgeBurn,
    /// How it is sharpened, if it is.
    pub sharpening: Option<Unsharp>,
    /// Luminance of unexposed paper, and of its deepest black: nothing is brighter or darker.
    pub white: f32,
    /// That of the black.
    pub black: f32,
}

impl Exposure<'_> {
    /// Delivers the luminance of the sheet, some rows at a time, top first.
    ///
    /// # Errors
    /// Those of the scan, and those of `each`.
    pub(super) fn rows<E: From<scan::Error>>(&self, mut each: impl FnMut(&[f32]) -> Result<(), E>) -> Result<(), E> {
        let (sheet, picture) = (self.laid.sheet, self.laid.picture);
        let blank = vec![self.white; sheet.width as usize];
        for _ in 0..picture.y {
            each(&blank)?;
        }
        let facts = self.scan.facts();
        let resampling = Resampling::new(facts.size, picture.size(), self.laid.mapping, self.laid.outline);
        let reach = self.sharpening.as_ref().map_or(0, Unsharp::reach);
        for block in resampling.blocks(HELD) {
            let around = block.start.saturating_sub(reach)..block.end.saturating_add(reach).min(picture.height);
            let window = self.window(&resampling, resampling.needs(around.clone()))?;
            let first = (block.start - around.start) as usize;
            let lit: Vec<Vec<f32>> = around.into_par_iter().map(|y| resampling.row(y, &window)).collect();
            let lit = match &self.sharpening {
                Some(unsharp) => sharpened(unsharp, lit, first..first + block.len()),
                None => lit,
            };
            let whole = |row: Vec<f32>| {
                let mut whole = blank.clone();
                for (place, light) in whole[picture.columns()].iter_mut().zip(row) {
                    // A sinc and an unsharp mask overshoot at edges; paper does not.
                    *place = light.clamp(self.black, self.white);
                }
                whole
            };
            let rows: Vec<Vec<f32>> = lit.into_par_iter().map(whole).collect();
            each(&rows.concat())?;
        }
        for _ in picture.rows().end..sheet.height {
            each(&blank)?;
        }
        Ok(())
    }

    fn window(&self, resampling: &Resampling, area: Area) -> Result<Window, scan::Error> {
        let mut samples = Vec::with_capacity(area.size().pixels() as usize);
        let rows = Rows::Between { first: area.y, end: area.rows().end };
        let lit = |band: &Band<'_>| self.lit(band, area);
        self.scan.read(self.channel, rows, lit, |part| -> Result<(), scan::Error> {
            samples.extend_from_slice(&part);
            Ok(())
        })?;
        Ok(resampling.window(area, samples))
    }

    fn lit(&self, band: &Band<'_>, area: Area) -> Vec<f32> {
        let [evenly] = &self.light[..] else { return self.burnt(band, area) };
        let codes = band.rows().flat_map(|(_, row)| &row[area.columns()]);
        codes.map(|code| evenly[usize::from(*code)]).collect()
    }

    /// Each pixel with the exposure of its place on the print, as under the enlarger: before anything is mixed.
    fn burnt(&self, band: &Band<'_>, area: Area) -> Vec<f32> {
        let size = self.laid.picture.size();
        let picture = (f64::from(size.width), f64::from(size.height));
        let steps = self.light.len() - 1;
        let per_stop = steps as f64 / self.edge_burn.most().value();
        let mut lit = Vec::with_capacity(band.samples().len());
        for (y, row) in band.rows() {
            let light = |(x, code): (u32, &u16)| {
                let place = Point { x: f64::from(x) + 0.5, y: f64::from(y) + 0.5 };
                let Point { x, y } = self.laid.mapping.back(place);
                let at = (self.edge_burn.at((x, y), picture).value() * per_stop).clamp(0.0, steps as f64);
                let step = (at as usize).min(steps - 1);
                let (less, more) = (self.light[step][usize::from(*code)], self.light[step + 1][usize::from(*code)]);
                less + (more - less) * (at - step as f64) as f32
            };
            lit.extend((area.x..).zip(&row[area.columns()]).map(light));
        }
        lit
    }
}

/// Sharpened in L*, so that light and dark edges are so alike to the eye.
fn sharpened(unsharp: &Unsharp, mut rows: Vec<Vec<f32>>, wanted: Range<usize>) -> Vec<Vec<f32>> {
    let in_place = |rows: &mut Vec<Vec<f32>>, change: fn(f64) -> f64| {
        rows.par_iter_mut().flatten().for_each(|value| *value = change(f64::from(*value)) as f32);
    };
    in_place(&mut rows, lightness);
    let mut rows = unsharp.rows(&rows, wanted);
    in_place(&mut rows, luminance);
    rows
}
