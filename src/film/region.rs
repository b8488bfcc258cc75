//! What each place of a scan shows: picture, rebate, open light, holder.

use super::field::{Field, HOLDER, TOLERANCE};
use crate::light::Density;
use crate::plane::{Overview, Quad, Size};

/// What a place of a scan shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Region {
    /// Inside a frame's outline, whatever its density.
    Picture,
    /// Film without exposure: within 0.025 D of the base.
    Rebate,
    /// Brighter than the base by more; without a base, within 0.025 D of full scale.
    OpenLight,
    /// Opaque: denser than 1.5 D over full scale.
    Holder,
    /// Film or its edge, and none of the above: print on the edge, fog, blur between two of them.
    OtherFilm,
}

/// The regions of an overview, pixel by pixel.
#[derive(Clone, Debug, PartialEq)]
pub struct Regions {
    size: Size,
    regions: Vec<Region>,
}

impl Regions {
    /// Tells the regions of an overview. `base` is the density of the rebate over full scale, if there is one; `frames`
    /// are the outlines of the pictures in pixels of the scan.
    ///
    /// Outside frames a pixel's density is that of the 3 x 3 pixels around it.
    pub fn of(overview: &Overview, base: Option<Density>, frames: &[Quad]) -> Self {
        let (size, scale) = (overview.size(), overview.scale());
        let field = Field::of(overview);
        let base = base.map(|density| density.value() as f32);
        let mut regions: Vec<Region> =
            (0..size.height as usize).flat_map(|y| field.row(y)).map(|density| outside(*density, base)).collect();
        for frame in frames {
            let frame = frame.scaled(1.0 / scale.0, 1.0 / scale.1);
            for y in 0..size.height {
                regions[y as usize * size.width as usize..][frame.row_span(y, size.width)].fill(Region::Picture);
            }
        }
        Self { size, regions }
    }

    /// The overview's size.
    pub fn size(&self) -> Size {
        self.size
    }

    /// What the pixel at column `x`, row `y` of the overview shows.
    pub fn at(&self, x: u32, y: u32) -> Region {
        self.regions[y as usize * self.size.width as usize + x as usize]
    }
}

fn outside(density: f32, base: Option<f32>) -> Region {
    match base {
        _ if density > HOLDER => Region::Holder,
        Some(base) if density < base - TOLERANCE => Region::OpenLight,
        Some(base) if density <= base + TOLERANCE => Region::Rebate,
        None if density <= TOLERANCE => Region::OpenLight,
        _ => Region::OtherFilm,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plane::Area;

    const SIZE: Size = Size { width: 60, height: 40 };

    /// From left to right, ten pixels each: holder, open light, rebate, picture over two, print on the edge.
    fn drawn() -> Overview {
        let densities = [3.0, 0.0, 0.2, 0.2, 0.9, 0.6];
        let light = (0..40 * 60).map(|i: usize| 10f32.powf(-densities[i % 60 / 10])).collect();
        Overview::new(SIZE, light, Size { width: 120, height: 80 })
    }

    fn along(regions: &Regions) -> Vec<Region> {
        (0..6).map(|i| regions.at(10 * i + 5, 20)).collect()
    }

    #[test]
    fn a_drawn_scan_has_the_regions_that_were_drawn() {
        let frame = Quad::of(Area { x: 60, y: 0, width: 40, height: 80 });
        let regions = Regions::of(&drawn(), Some(Density::new(0.21)), &[frame]);
        use Region::{Holder, OpenLight, OtherFilm, Picture, Rebate};
        assert_eq!(along(&regions), [Holder, OpenLight, Rebate, Picture, Picture, OtherFilm]);
        // An edge's blur is one pixel wide on either side: the field's own mean.
        assert_eq!((regions.at(28, 3), regions.at(30, 3), regions.at(50, 3)), (Rebate, Picture, OtherFilm));
    }

    #[test]
    fn without_a_base_only_full_scale_is_open_light_and_film_is_film() {
        let regions = Regions::of(&drawn(), None, &[]);
        use Region::{Holder, OpenLight, OtherFilm};
        assert_eq!(along(&regions), [Holder, OpenLight, OtherFilm, OtherFilm, OtherFilm, OtherFilm]);
    }
}
