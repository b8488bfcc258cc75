//! Focus: how sharply each part of a frame is drawn, told from its grain.
//!
//! An edge of a lens is a step blurred by some spread s. Its gradient, seen through a kernel of spread k, has an energy
//! that goes as 1/sqrt(s^2 + k^2), so two kernels tell s, whatever the edge's contrast and however many edges there
//! are. Grain has a gradient, too: it is measured where the frame is calm, at each density, and taken off. Where it
//! hides what is fine, wider kernels are taken: they calm grain sooner than edges.

use crate::plane::{Area, Point, Quad, Size};

/// Panes along a frame's longer side: on a 4x5 sheet they are 2.5 mm wide.
const ALONG: u32 = 48;
/// Least side of a pane in pixels: a smaller one does not hold an edge and what lies around it.
const LEAST_SIDE: u32 = 48;
/// Pixels that are averaged each way for one look after another, from fine to coarse. A pane must hold sixteen such
/// blocks.
const BLOCKS: [usize; 4] = [1, 2, 4, 8];
const BLOCKS_A_SIDE: usize = 16;
/// The coarse look that is held against a fine one is so many looks further, where there are as many.
const FURTHER: usize = 2;
/// Share of a level's panes, in order of their energy, that shows grain alone.
const CALM: f64 = 0.1;
/// Fewest panes that show the grain of a level.
const FEWEST: usize = 12;
/// Levels a unit of density.
const LEVELS_A_UNIT: f32 = 10.0;
/// Density that the thin end has, too, as far as its grain goes: fog's, and the scanner's noise (house; fog alone is
/// 0.05 to 0.15 D).
const FOG: f64 = 0.3;
/// Energy of grain grows as density (Siedentopf, from memory). A level may show this many times what the least grainy
/// one leads to expect, which is the scanner's noise; more is picture.
const GRAINIER: f64 = 4.0;
/// Energy beyond that of grain, as a share of it and in its own chance spreads, that is no grain.
const BEYOND_GRAIN: f64 = 0.5;
const CHANCES: f64 = 4.0;
/// Of fine detail, what must show if it is sharp, in the same way.
const FINE_BEYOND: f64 = 0.2;
/// The least spread that pixels tell, in pixels: sharper ones look alike (house).
const LEAST_BLUR: f64 = 0.6;
/// Beyond this, in pixels, one blur is like another.
const MOST_BLUR: f64 = 20.0;
/// What is sharpest in a frame: a tenth of all panes that have detail are sharper (house).
const SHARPEST: f64 = 0.1;
/// Panes that are hardly less sharp than that.
const AS_SHARP: f64 = 1.25;

/// How a frame is cut into square panes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Panes {
    /// Side of a pane, in pixels of the scan.
    pub side: u32,
    /// Left edge of the first.
    pub left: u32,
    /// Top edge of the first.
    pub top: u32,
    /// Panes side by side.
    pub across: u32,
    /// Panes one below the other.
    pub down: u32,
}

impl Panes {
    /// The panes of a frame, clear of its soft edges; nothing where it is smaller than one.
    pub fn of(corners: Quad, size: Size) -> Option<Self> {
        let bounds = super::margin::inset(corners).bounds(size);
        let side = bounds.width.max(bounds.height).div_ceil(ALONG).max(LEAST_SIDE);
        let (across, down) = (bounds.width / side, bounds.height / side);
        let middle = |first: u32, length: u32, count: u32| first + (length - count * side) / 2;
        (across > 0 && down > 0).then(|| Self {
            side,
            left: middle(bounds.x, bounds.width, across),
            top: middle(bounds.y, bounds.height, down),
            across,
            down,
        })
    }

    /// How many there are.
    pub fn count(&self) -> usize {
        self.across as usize * self.down as usize
    }

    /// Where one lies in the scan; they are counted row by row.
    pub fn area(&self, pane: usize) -> Area {
        let (column, row) = (pane as u32 % self.across, pane as u32 / self.across);
        let (x, y) = (self.left + column * self.side, self.top + row * self.side);
        Area { x, y, width: self.side, height: self.side }
    }

    fn middle(&self, pane: usize) -> Point {
        let (area, half) = (self.area(pane), f64::from(self.side) / 2.0);
        Point { x: f64::from(area.x) + half, y: f64::from(area.y) + half }
    }

    /// What is told, but nothing of a pane that stands alone in the calm: that is mostly a speck of dust that was not
    /// found.
    fn without_loners(&self, told: &[Told]) -> Vec<Told> {
        let (across, down) = (self.across as usize, self.down as usize);
        let alone = |pane: usize| {
            let (x, y) = (pane % across, pane / across);
            let rows = y.saturating_sub(1)..(y + 2).min(down);
            let mut near = rows.flat_map(|v| (x.saturating_sub(1)..(x + 2).min(across)).map(move |u| v * across + u));
            near.all(|other| other == pane || told[other] == Told::Nothing)
        };
        (0..told.len()).map(|pane| if alone(pane) { Told::Nothing } else { told[pane] }).collect()
    }

    /// The looks that a pane is large enough for, as blocks of so many pixels.
    fn looks(&self) -> &'static [usize] {
        let count = BLOCKS.iter().filter(|block| BLOCKS_A_SIDE * **block <= self.side as usize).count();
        &BLOCKS[..count]
    }
}

/// What a pane shows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Detail {
    /// Mean density.
    level: f64,
    /// Energy of its gradient, (D/pixel)^2, in each look; 0 in those for which it is too small.
    energy: [f64; BLOCKS.len()],
}

impl Detail {
    /// Looks at a pane: densities row after row. What is not a number (dust) is left out. Nothing if hardly anything is
    /// left.
    ///
    /// # Panics
    /// If there is not a density for each pixel of the pane.
    pub fn of(densities: &[f32], panes: &Panes) -> Option<Self> {
        let side = panes.side as usize;
        assert_eq!(densities.len(), side * side, "a pane has a density for each pixel");
        let (sum, count) = densities
            .iter()
            .filter(|d| !d.is_nan())
            .fold((0.0, 0u32), |(sum, count), d| (sum + f64::from(*d), count + 1));
        // Less than half of a pane is no pane.
        if 2 * count < panes.side * panes.side {
            return None;
        }
        let mut energies = [0.0; BLOCKS.len()];
        for (found, block) in energies.iter_mut().zip(panes.looks()) {
            *found = energy(&averaged(densities, side, *block), side / block, *block)?;
        }
        Some(Self { level: sum / f64::from(count), energy: energies })
    }
}

/// Means of blocks of `block` pixels each way; no number where one is none.
fn averaged(densities: &[f32], side: usize, block: usize) -> Vec<f32> {
    let small = side / block;
    let each = 1.0 / (block * block) as f32;
    let mean = |u: usize, v: usize| {
        let rows = (v * block..(v + 1) * block).map(|y| &densities[y * side + u * block..][..block]);
        rows.flatten().sum::<f32>() * each
    };
    (0..small).flat_map(|v| (0..small).map(move |u| (u, v))).map(|(u, v)| mean(u, v)).collect()
}

/// Energy of the gradient: (D/pixel)^2, where a value stands for `block` pixels. The kernel is the difference of two
/// pairs: a triangle two values wide on each side. Its median is taken off, so that a smooth shade has no energy. The
/// middle of the pane counts most and its edges nothing (Hann's window), so that an edge cut off there is seen alike in
/// every look.
fn energy(values: &[f32], side: usize, block: usize) -> Option<f64> {
    let at = |x: usize, y: usize| values[y * side + x];
    let window: Vec<f32> = (2..side.saturating_sub(1).max(2))
        .map(|middle| (std::f32::consts::PI * middle as f32 / side as f32).sin().powi(2))
        .collect();
    let mut gradients = [Vec::new(), Vec::new()];
    for (y, down_weight) in window.iter().enumerate() {
        for (x, across_weight) in window.iter().enumerate() {
            let pair = |a: (usize, usize), b: (usize, usize)| at(x + a.0, y + a.1) + at(x + b.0, y + b.1);
            let across = pair((2, 1), (3, 1)) + pair((2, 2), (3, 2)) - pair((0, 1), (1, 1)) - pair((0, 2), (1, 2));
            let down = pair((1, 2), (1, 3)) + pair((2, 2), (2, 3)) - pair((1, 0), (1, 1)) - pair((2, 0), (2, 1));
            if !(across + down).is_nan() {
                let weight = down_weight * across_weight;
                gradients[0].push((across / 4.0, weight));
                gradients[1].push((down / 4.0, weight));
            }
        }
    }
    let all: f64 = gradients[0].iter().map(|(_, weight)| f64::from(*weight)).sum();
    let spread = |mut gradient: Vec<(f32, f32)>| {
        let middle = gradient.len() / 2;
        let median = gradient.select_nth_unstable_by(middle, |a, b| a.0.total_cmp(&b.0)).1.0;
        gradient.iter().map(|(value, weight)| f64::from(*weight) * f64::from(value - median).powi(2)).sum::<f64>() / all
    };
    let wide = 2.0 * block as f64;
    (all > 0.0).then(|| gradients.into_iter().map(spread).sum::<f64>() / (wide * wide))
}

/// Square of the kernel's own spread, in pixels: that of a triangle of half-width b is b^2/6.
fn kernel(block: usize) -> f64 {
    let half = 2.0 * block as f64;
    half * half / 6.0
}

/// What is told of a pane.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Told {
    /// It has nothing to focus on: no detail, or none that its grain does not hide.
    Nothing,
    /// Its edges are blurred by this spread (of a bell), in pixels of the scan.
    Blur(f64),
}

/// How sharply a frame is drawn, pane by pane.
#[derive(Clone, Debug, PartialEq)]
pub struct Focus {
    panes: Panes,
    told: Vec<Told>,
    /// Energy of each pane's fine detail.
    strength: Vec<f64>,
    best: Option<f64>,
}

impl Focus {
    /// Tells it from what the panes show, row by row; `thin` is the density of the frame's thin end, next to which
    /// there is least grain. A pane that lies beyond the frame, or is all dust, has no detail.
    ///
    /// # Panics
    /// If there are not as many as panes.
    pub fn of(panes: Panes, details: &[Option<Detail>], thin: f64) -> Self {
        assert_eq!(details.len(), panes.count(), "each pane is looked at");
        let grain = Grain::of(details, thin);
        // As many values in a pane as know nothing of one another: the kernel spans two each way, and the window leaves
        // two thirds of them each way.
        let chance = |block: usize| CHANCES * 2f64.sqrt() * 3.0 * block as f64 / f64::from(panes.side);
        let looks = panes.looks();
        let tell = |detail: &Option<Detail>| {
            let Some(detail) = detail else { return (Told::Nothing, 0.0) };
            let of_grain = grain.at(detail.level);
            let net = |look: usize| (detail.energy[look] - of_grain[look]).max(0.0);
            let seen = |look: usize| {
                let further = (look + FURTHER).min(looks.len() - 1);
                let (fine, coarse) = (net(look), net(further));
                let is_detail = coarse > of_grain[further] * (BEYOND_GRAIN + chance(looks[further])) + NO_ENERGY;
                // A sharp edge has at least half as much again in the fine look as in the coarse one.
                let would_show = 1.5 * coarse > of_grain[look] * (FINE_BEYOND + chance(looks[look]));
                (is_detail && would_show).then(|| (Told::Blur(blur(fine, coarse, looks[look], looks[further])), fine))
            };
            (0..looks.len() - 1).find_map(seen).unwrap_or((Told::Nothing, 0.0))
        };
        let (told, strength): (Vec<Told>, Vec<f64>) = details.iter().map(tell).unzip();
        let told = panes.without_loners(&told);
        let mut blurs: Vec<f64> = told.iter().filter_map(spread_of).collect();
        blurs.sort_by(f64::total_cmp);
        let best = blurs.get((SHARPEST * blurs.len() as f64) as usize).copied();
        Self { panes, told, strength, best }
    }

    /// The panes and what is told of each.
    pub fn told(&self) -> impl Iterator<Item = (Area, Told)> + '_ {
        (0..).map(|pane| self.panes.area(pane)).zip(self.told.iter().copied())
    }

    /// The spread of what is sharpest in the frame, in pixels of the scan; nothing if there is nothing to focus on.
    pub fn best(&self) -> Option<f64> {
        self.best
    }

    /// Share of the scan's pixels each way that the sharpest places fill with detail, at most 1: a bell of spread s
    /// lets a tenth of the contrast through at sqrt(ln 10 / 2) / (pi s) cycles a pixel, the limit of what is resolved
    /// (common practice), and a print carries half a cycle a pixel.
    pub fn carried(&self) -> Option<f64> {
        let cycles = |spread: f64| (10f64.ln() / 2.0).sqrt() / (std::f64::consts::PI * spread);
        self.best.map(|spread| (cycles(spread) / 0.5).min(1.0))
    }

    /// Middles of the sharpest places, the ones with most fine detail first, at least `apart` pixels from one another.
    pub fn sharpest(&self, most: usize, apart: f64) -> Vec<Point> {
        let Some(best) = self.best else { return Vec::new() };
        let sharp = |pane: &usize| spread_of(&self.told[*pane]).is_some_and(|spread| spread <= AS_SHARP * best);
        let mut order: Vec<usize> = (0..self.told.len()).filter(sharp).collect();
        order.sort_by(|a, b| self.strength[*b].total_cmp(&self.strength[*a]));
        let mut places: Vec<Point> = Vec::new();
        for place in order.into_iter().map(|pane| self.panes.middle(pane)) {
            let near = |other: &Point| (other.x - place.x).hypot(other.y - place.y) < apart;
            if places.len() < most && !places.iter().any(near) {
                places.push(place);
            }
        }
        places
    }
}

/// Energy that the roundings of a scan without grain may have: 0.0001 D a pixel.
const NO_ENERGY: f64 = 1e-8;

fn spread_of(told: &Told) -> Option<f64> {
    match told {
        Told::Blur(spread) => Some(*spread),
        Told::Nothing => None,
    }
}

/// The spread of a bell that blurs a step so that its energies stand so to one another: with r = (fine/coarse)^2 =
/// (s^2 + K^2)/(s^2 + k^2) it is s^2 = (K^2 - r k^2)/(r - 1).
fn blur(fine: f64, coarse: f64, block: usize, further: usize) -> f64 {
    let r = (fine / coarse) * (fine / coarse);
    let square = if r > 1.0 { (kernel(further) - r * kernel(block)) / (r - 1.0) } else { f64::INFINITY };
    square.max(0.0).sqrt().clamp(LEAST_BLUR, MOST_BLUR)
}

/// Energy of the grain alone, in each look, by density.
struct Grain {
    thin: f64,
    /// Of each level whose panes are enough to show it.
    levels: Vec<Option<Energies>>,
    /// The least of all levels for each unit of density.
    least: Energies,
}

type Energies = [f64; BLOCKS.len()];

impl Grain {
    fn of(details: &[Option<Detail>], thin: f64) -> Self {
        let mut by_level: Vec<Vec<&Detail>> = Vec::new();
        for detail in details.iter().flatten() {
            let level = level_of(detail.level);
            by_level.resize_with(by_level.len().max(level + 1), Vec::new);
            by_level[level].push(detail);
        }
        let calm = |panes: &Vec<&Detail>, look: usize| {
            let mut energies: Vec<f64> = panes.iter().map(|detail| detail.energy[look]).collect();
            energies.sort_by(f64::total_cmp);
            energies[(CALM * energies.len() as f64) as usize]
        };
        let shown =
            |panes: &Vec<&Detail>| (panes.len() >= FEWEST).then(|| std::array::from_fn(|look| calm(panes, look)));
        let levels: Vec<Option<Energies>> = by_level.iter().map(shown).collect();
        let mut grain = Self { thin, levels, least: [0.0; BLOCKS.len()] };
        let unit = |(level, shown): (usize, &Option<Energies>)| {
            let grown = grain.grown((level as f64 + 0.5) / f64::from(LEVELS_A_UNIT));
            shown.map(|energies| energies.map(|energy| energy / grown))
        };
        let units: Vec<Energies> = grain.levels.iter().enumerate().filter_map(unit).collect();
        let least = |look: usize| units.iter().map(|unit| unit[look]).reduce(f64::min).unwrap_or_default();
        grain.least = std::array::from_fn(least);
        grain
    }

    /// What energy of grain grows as.
    fn grown(&self, density: f64) -> f64 {
        (density - self.thin).max(0.0) + FOG
    }

    /// Energy of grain at a density.
    fn at(&self, density: f64) -> Energies {
        let least = self.least.map(|unit| unit * self.grown(density));
        match self.levels.get(level_of(density)).copied().flatten() {
            Some(shown) => std::array::from_fn(|look| shown[look].min(GRAINIER * least[look])),
            None => least,
        }
    }
}

fn level_of(density: f64) -> usize {
    (density as f32 * LEVELS_A_UNIT).max(0.0) as usize
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The integral of the bell: Abramowitz and Stegun 7.1.26, off by 1.5e-7 at most (from memory).
    fn normal(x: f64) -> f64 {
        let z = x.abs() / 2f64.sqrt();
        let t = 1.0 / (1.0 + 0.327_591_1 * z);
        let series = [0.254_829_592, -0.284_496_736, 1.421_413_741, -1.453_152_027, 1.061_405_429];
        let sum = series.iter().rev().fold(0.0, |sum, a| (sum + a) * t);
        let erf = 1.0 - sum * (-z * z).exp();
        0.5 * (1.0 + if x < 0.0 { -erf } else { erf })
    }

    /// Chance that comes out the same every time (splitmix64, from memory), as a bell: twelve throws added.
    struct Dice(u64);

    impl Dice {
        fn bell(&mut self) -> f64 {
            let mut throw = || {
                self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
                let n = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
                let n = (n ^ (n >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
                ((n ^ (n >> 31)) >> 11) as f64 / (1u64 << 53) as f64
            };
            (0..12).map(|_| throw()).sum::<f64>() - 6.0
        }
    }

    /// A step of `contrast` D blurred by a bell of spread `blur`, tilted by `degrees`, on film of density 0.64.
    #[derive(Clone, Copy)]
    struct Edge {
        blur: f64,
        contrast: f64,
        degrees: f64,
    }

    fn pane(panes: &Panes, edge: Option<Edge>, grain: f64, dice: &mut Dice) -> Option<Detail> {
        let side = panes.side;
        let half = f64::from(side) / 2.0;
        let density = |x: u32, y: u32| match edge {
            None => 0.64 + 0.1 * (f64::from(x) / f64::from(side) - 0.5),
            Some(Edge { blur, contrast, degrees }) => {
                let (sin, cos) = degrees.to_radians().sin_cos();
                let away = (f64::from(x) + 0.5 - half) * cos + (f64::from(y) + 0.5 - half) * sin;
                0.64 + contrast * (normal(away / blur) - 0.5)
            }
        };
        let densities: Vec<f32> = (0..side * side)
            .map(|i| {
                let d = density(i % side, i / side);
                // Siedentopf: the spread of grain goes as the root of density.
                (d + grain * (d / 0.64).sqrt() * dice.bell()) as f32
            })
            .collect();
        Detail::of(&densities, panes)
    }

    /// A frame of which two thirds of the panes are smooth shades and the others hold an edge each, five degrees askew
    /// as on the chart of ISO 12233 (common practice) or more; a row of panes for each blur, and below it another.
    fn frame(side: u32, blurs: &[f64], contrast: f64, grain: f64) -> Vec<Vec<f64>> {
        let panes = Panes { side, left: 0, top: 0, across: 9, down: 2 * blurs.len() as u32 };
        let mut dice = Dice(5);
        let mut details = Vec::new();
        for blur in blurs.iter().flat_map(|blur| [blur, blur]) {
            for column in 0..9 {
                let edge = Edge { blur: *blur, contrast, degrees: [5.0, 95.0, 40.0][column / 3] };
                details.push(pane(&panes, (column % 3 == 0).then_some(edge), grain, &mut dice));
            }
        }
        let focus = Focus::of(panes, &details, 0.2);
        let told: Vec<Told> = focus.told().map(|(_, told)| told).collect();
        let smooth = told.iter().zip(0..).filter(|(_, i)| i % 9 % 3 != 0);
        assert!(smooth.clone().all(|(told, _)| *told == Told::Nothing), "a smooth shade is nothing to focus on");
        told.chunks(18).map(|rows| rows.iter().filter_map(spread_of).collect()).collect()
    }

    /// Closed form: edges of known spread. Read alike whatever their contrast and the grain over them.
    #[test]
    fn the_spread_of_an_edge_is_read_whatever_its_contrast_and_grain() {
        let blurs = [0.8, 1.5, 3.0, 5.0];
        for (contrast, grain) in [(0.8, 0.0), (0.2, 0.0), (0.8, 0.01), (0.8, 0.03), (0.3, 0.01)] {
            for (blur, told) in blurs.iter().zip(frame(96, &blurs, contrast, grain)) {
                assert_eq!(told.len(), 6, "{blur} at {contrast} D, grain {grain}");
                // The wider a blur, the more grain weighs; beyond four pixels only that much is sure.
                let off = if grain / contrast * blur > 0.08 { 0.4 } else { 0.25 };
                let near = |spread: &f64| if *blur > 4.0 { *spread > 4.0 } else { (spread / blur - 1.0).abs() < off };
                assert!(told.iter().all(near), "{blur} at {contrast} D, grain {grain}: {told:?}");
            }
        }
    }

    #[test]
    fn small_panes_rank_edges_too() {
        let blurs = [0.8, 1.4, 2.4];
        for grain in [0.0, 0.01] {
            let told = frame(48, &blurs, 0.8, grain);
            let mean = |row: &Vec<f64>| row.iter().sum::<f64>() / row.len() as f64;
            let means: Vec<f64> = told.iter().map(mean).collect();
            assert!(means.windows(2).all(|pair| pair[1] > 1.25 * pair[0]), "grain {grain}: {means:?}");
        }
    }

    /// Arithmetic: a spread of 1.366 pixels lets a tenth through at a quarter of a cycle, which fills half the pixels.
    #[test]
    fn what_is_carried_follows_from_the_sharpest_places() {
        let panes = Panes { side: 64, left: 0, top: 0, across: 20, down: 1 };
        let with = |spread: f64| {
            let told = vec![Told::Blur(spread); 20];
            Focus { panes, told, strength: vec![1.0; 20], best: Some(spread) }
        };
        assert!((with(1.366).carried().unwrap() - 0.5).abs() < 1e-3);
        assert_eq!(with(0.6).carried(), Some(1.0), "no more than there are");
        assert_eq!(with(1.0).sharpest(3, 640.0).len(), 2, "places are apart");
    }

    #[test]
    fn grain_alone_is_nothing_to_focus_on_and_dust_is_not_looked_at() {
        let panes = Panes { side: 64, left: 0, top: 0, across: 8, down: 8 };
        let mut dice = Dice(3);
        let mut details: Vec<_> = (0..64).map(|_| pane(&panes, None, 0.04, &mut dice)).collect();
        let focus = Focus::of(panes, &details, 0.2);
        assert!(focus.told().all(|(_, told)| told == Told::Nothing));
        assert_eq!((focus.best(), focus.carried()), (None, None));
        assert!(focus.sharpest(2, 0.0).is_empty());
        // A speck that nobody found: it stands alone.
        let edge = Edge { blur: 0.8, contrast: 0.8, degrees: 20.0 };
        details[20] = pane(&panes, Some(edge), 0.01, &mut dice);
        assert_eq!(Focus::of(panes, &details, 0.2).best(), None);
        details[21] = details[20];
        assert!(Focus::of(panes, &details, 0.2).best().is_some());
        let mut densities = vec![0.6f32; 64 * 64];
        for i in 0..64 {
            densities[i * 64 + 20] = f32::NAN;
        }
        assert_eq!(Detail::of(&densities, &panes).map(|d| d.energy), Some([0.0; 4]));
        details[0] = Detail::of(&[f32::NAN; 64 * 64], &panes);
        assert_eq!(details[0], None);
    }

    #[test]
    fn panes_lie_inside_their_frame() {
        let size = Size { width: 9600, height: 12_000 };
        let frame = Quad::of(Area { x: 200, y: 300, width: 9000, height: 11_200 });
        let panes = Panes::of(frame, size).unwrap();
        let last = panes.area(panes.count() - 1);
        assert!((40..=48).contains(&panes.down) && panes.left > 200 && last.x + last.width < 9200);
        assert!(last.rows().end < 11_500);
        assert_eq!(Panes::of(Quad::of(Area { x: 0, y: 0, width: 20, height: 40 }), size), None);
    }
}
