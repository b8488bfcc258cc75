//! A small picture of a whole scan in linear light: what the eye would take in at a glance.

use super::area::{Area, Size};

/// Linear light (0 to 1 of the scanner's full scale) of a scan, area-averaged to a size that is quick to search.
#[derive(Clone, Debug)]
pub struct Overview {
    size: Size,
    light: Vec<f32>,
    scale: (f64, f64),
}

impl Overview {
    /// `light` holds `size` values row after row; `scan` is the size of the scan that they stand for.
    ///
    /// # Panics
    /// If `light` has not `size` values.
    pub fn new(size: Size, light: Vec<f32>, scan: Size) -> Self {
        assert_eq!(light.len() as u64, size.pixels(), "an overview has a value for each of its pixels");
        let scale = (f64::from(scan.width) / f64::from(size.width), f64::from(scan.height) / f64::from(size.height));
        Self { size, light, scale }
    }

    /// Its own size.
    pub fn size(&self) -> Size {
        self.size
    }

    /// Linear light of the pixel at column `x`, row `y`.
    pub fn at(&self, x: u32, y: u32) -> f32 {
        self.light[y as usize * self.size.width as usize + x as usize]
    }

    /// All values, row after row.
    pub fn light(&self) -> &[f32] {
        &self.light
    }

    /// A part of it, of the same scale.
    ///
    /// # Panics
    /// If the area reaches beyond it.
    pub fn part(&self, area: Area) -> Self {
        let width = self.size.width as usize;
        let rows = self.light.chunks_exact(width).skip(area.y as usize).take(area.height as usize);
        let light = rows.flat_map(|row| row[area.x as usize..][..area.width as usize].iter().copied()).collect();
        Self { size: Size { width: area.width, height: area.height }, light, scale: self.scale }
    }

    /// The same picture with every value of light changed.
    pub fn map(self, light: impl Fn(f32) -> f32) -> Self {
        Self { light: self.light.into_iter().map(light).collect(), ..self }
    }

    /// Scan pixels to one of its own, across and down.
    pub fn scale(&self) -> (f64, f64) {
        self.scale
    }
}
