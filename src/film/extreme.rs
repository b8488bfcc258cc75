//! Where in a frame its ends lie.

use super::dust::Dust;
use super::patch::patches;
use crate::light::Density;
use crate::plane::{Overview, Point, Quad, Size};

/// The places of a frame that are as thin as its thin end or thinner, and as dense as its dense end or denser: the
/// middle of the largest patch of each, moved onto the patch, in pixels of the scan.
///
/// Densities are over full scale. Where no pixel of the overview reaches an end, because it is made of spots finer than
/// that, the nearest to it is taken. `None` where nothing of the frame is free of dust.
pub fn extremes(overview: &Overview, dust: &Dust, corners: Quad, thin: Density, dense: Density) -> Option<[Point; 2]> {
    let (thin, dense) = (thin.transmittance() as f32, dense.transmittance() as f32);
    let inside = inside(overview, dust, corners);
    let Size { width, height } = overview.size();
    let light = overview.light();
    let at = |(x, y): (u32, u32)| light[y as usize * width as usize + x as usize];
    let brightest = inside.iter().copied().max_by(|a, b| at(*a).total_cmp(&at(*b)))?;
    let darkest = inside.iter().copied().min_by(|a, b| at(*a).total_cmp(&at(*b)))?;
    let largest = |beyond: &dyn Fn(f32) -> bool, nearest: (u32, u32)| {
        let beyond: Vec<_> = inside.iter().copied().filter(|pixel| beyond(at(*pixel))).collect();
        let patch = patches(&beyond, (width as usize, height as usize), 1).into_iter().max_by_key(Vec::len);
        patch.map_or(nearest, |patch| heart(&patch))
    };
    let places = [largest(&|light| light >= thin, brightest), largest(&|light| light <= dense, darkest)];
    let scale = overview.scale();
    Some(places.map(|(x, y)| Point { x: (f64::from(x) + 0.5) * scale.0, y: (f64::from(y) + 0.5) * scale.1 }))
}

/// The pixels that count for a frame's ends.
fn inside(overview: &Overview, dust: &Dust, corners: Quad) -> Vec<(u32, u32)> {
    let (size, scale) = (overview.size(), overview.scale());
    let frame = super::margin::inset(corners).scaled(1.0 / scale.0, 1.0 / scale.1);
    let mut pixels = Vec::new();
    for y in 0..size.height {
        let clear = dust.clear_of_overview(y, frame.row_span(y, size.width));
        pixels.extend(clear.flatten().map(|x| (x as u32, y)));
    }
    pixels
}

/// The pixel of a patch that is nearest to its middle.
fn heart(patch: &[(u32, u32)]) -> (u32, u32) {
    let mean = |of: fn(&(u32, u32)) -> u32| patch.iter().map(|p| f64::from(of(p))).sum::<f64>() / patch.len() as f64;
    let (x, y) = (mean(|p| p.0), mean(|p| p.1));
    let away = |p: &(u32, u32)| (f64::from(p.0) - x).powi(2) + (f64::from(p.1) - y).powi(2);
    let nearest = patch.iter().copied().min_by(|a, b| away(a).total_cmp(&away(b)));
    nearest.expect("a patch has a pixel")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plane::Area;

    /// A grey frame with two bright squares, a dark one, and a black speck.
    #[test]
    fn the_largest_patch_of_each_end_is_pointed_at_and_dust_is_not() {
        let size = Size { width: 100, height: 100 };
        let square = |x: usize, y: usize, at: (usize, usize), side: usize| {
            (at.0..at.0 + side).contains(&x) && (at.1..at.1 + side).contains(&y)
        };
        let light = (0..10_000usize)
            .map(|i| match (i % 100, i / 100) {
                (x, y) if square(x, y, (20, 20), 10) || square(x, y, (70, 20), 14) => 0.5,
                (x, y) if square(x, y, (40, 60), 20) => 0.02,
                (x, y) if square(x, y, (80, 80), 2) => 0.001,
                _ => 0.1,
            })
            .collect();
        let overview = Overview::new(size, light, Size { width: 200, height: 200 });
        let frame = Quad::of(Area { x: 0, y: 0, width: 200, height: 200 });
        let of = |thin, dense| {
            let dust = Dust::of(&overview);
            extremes(&overview, &dust, frame, Density::of(thin), Density::of(dense)).unwrap()
        };
        let [thin, dense] = of(0.4, 0.03);
        assert!((thin.x - 154.0).abs() < 2.0 && (thin.y - 54.0).abs() < 2.0, "{thin:?}");
        assert!((dense.x - 100.0).abs() < 2.0 && (dense.y - 140.0).abs() < 2.0, "{dense:?}");
        // Ends that no pixel reaches.
        let [_, dense] = of(0.9, 0.001);
        assert!((80.0..120.0).contains(&dense.x) && (120.0..160.0).contains(&dense.y), "{dense:?}");
    }
}
