//! A frame's tones without its grain: the light of small squares, from which its ends are read.
//!
//! A single pixel of a fine scan holds grain, and the finer the scan the more. Read from pixels, the ends of one
//! negative would lie the further apart the finer it is scanned.

use rayon::prelude::*;

use crate::light::CODES;
use crate::plane::{Histogram, Size};

use super::FrameFound;
use super::nearest::Nearest;

/// Squares along a frame's longer side: at least so many, and less than twice as many where it has that many pixels. On
/// a 4x5 sheet they are 0.12 to 0.24 mm wide, a tenth of what a bench densitometer sees. Frames of fewer pixels are
/// taken as they are: their pixels are such squares.
const ALONG: u32 = 500;
/// Rows that are looked at in a square, at least: more of them would calm grain no further than it need be.
const ROWS: u32 = 4;
/// Fewest squares from which an end may be read: 0.1 % of them is then one.
const FEWEST: u64 = 1000;

/// How a frame is cut into squares.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Squares {
    side: u32,
    left: u32,
    top: u32,
    across: usize,
}

impl Squares {
    /// The squares of a frame in a scan of `size`; nothing where they would be single pixels.
    pub fn of(frame: &FrameFound, size: Size) -> Option<Self> {
        let bounds = frame.corners.bounds(size);
        // A power of two, so that a scan of half the resolution has the same squares.
        let side = 1 << (bounds.width.max(bounds.height) / ALONG).max(1).ilog2();
        let across = bounds.width.div_ceil(side) as usize;
        (side > 1).then_some(Self { side, left: bounds.x, top: bounds.y, across })
    }

    /// Rows from one that is looked at to the next.
    fn step(&self) -> u32 {
        (self.side / ROWS).max(1)
    }
}

/// Light of a frame's squares, or of those in some of its rows.
#[derive(Clone, Debug, PartialEq)]
pub struct Evened {
    squares: Squares,
    /// Row of squares of the first sum.
    first: usize,
    /// Sum of light and pixels of each square, row after row. The sums are exact: see
    /// [`crate::light::Densitometer::light`].
    sums: Vec<(f64, u32)>,
}

impl Evened {
    /// Nothing seen yet.
    pub fn new(squares: Squares) -> Self {
        Self { squares, first: 0, sums: Vec::new() }
    }

    /// Forgets what was seen, and keeps the memory for it.
    pub fn clear(&mut self) {
        self.sums.clear();
    }

    /// Takes `codes` of row `y` from column `from` on, each standing for `light[code]`. Rows come top first.
    ///
    /// # Panics
    /// If `light` has not a value for each code.
    pub fn add(&mut self, y: u32, from: usize, codes: &[u16], light: &[f32]) {
        let Squares { side, left, top, across } = self.squares;
        if !y.is_multiple_of(self.squares.step()) {
            return;
        }
        let light: &[f32; CODES] = light.try_into().expect("light has a value for each code");
        let row = (y.saturating_sub(top) / side) as usize;
        if self.sums.is_empty() {
            self.first = row;
        }
        let begin = (row - self.first) * across;
        self.sums.resize(self.sums.len().max(begin + across), (0.0, 0));
        let (side, mut at) = (side as usize, from.saturating_sub(left as usize));
        let mut rest = codes;
        while let Some(sum) = self.sums[begin..].get_mut(at / side).filter(|_| !rest.is_empty()) {
            let (here, beyond) = rest.split_at((side - at % side).min(rest.len()));
            // Four sums side by side: one would wait for itself at every pixel.
            let mut sums = [0.0; 4];
            for four in here.chunks(4) {
                for (sum, code) in sums.iter_mut().zip(four) {
                    *sum += f64::from(light[usize::from(*code)]);
                }
            }
            sum.0 += sums.iter().sum::<f64>();
            sum.1 += here.len() as u32;
            at += here.len();
            rest = beyond;
        }
    }

    /// Adds what was seen of other rows of the same frame, further down.
    pub fn merge(&mut self, other: &Self) {
        // A band may hold none of the rows that are looked at.
        if other.sums.is_empty() {
            return;
        }
        if self.sums.is_empty() {
            self.first = other.first;
        }
        let begin = (other.first - self.first) * self.squares.across;
        self.sums.resize(self.sums.len().max(begin + other.sums.len()), (0.0, 0));
        for (mine, theirs) in self.sums[begin..].iter_mut().zip(&other.sums) {
            *mine = (mine.0 + theirs.0, mine.1 + theirs.1);
        }
    }

    /// The codes that come nearest to the light of each square of which at least half was seen; `light` rises with the
    /// code. Nothing where they are too few for an end.
    pub fn histogram(&self, light: &[f32]) -> Option<Histogram> {
        let whole = self.squares.side * (self.squares.side / self.squares.step());
        let nearest = Nearest::to(light);
        let code = |(sum, pixels): &(f64, u32)| nearest.code((sum / f64::from(*pixels)) as f32);
        let codes: Vec<u16> = self.sums.par_iter().filter(|(_, pixels)| 2 * pixels >= whole).map(code).collect();
        let mut histogram = Histogram::default();
        histogram.add(&codes);
        (histogram.total() >= FEWEST).then_some(histogram)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plane::Quad;

    const SIZE: Size = Size { width: 1038, height: 1500 };

    fn linear() -> Vec<f32> {
        (0..CODES).map(|c| c as f32 / 65_535.0).collect()
    }

    fn squares() -> Squares {
        Squares::of(&FrameFound::given(Quad::of(SIZE.whole())), SIZE).unwrap()
    }

    fn code(x: usize, y: u32) -> u16 {
        (20_000 + (x / 2 * 40) + (y / 2 * 7) as usize + if (x + y as usize).is_multiple_of(2) { 900 } else { 0 }) as u16
    }

    fn evened(rows: std::ops::Range<u32>) -> Evened {
        let mut evened = Evened::new(squares());
        for y in rows {
            let row: Vec<u16> = (0..1038).map(|x| code(x, y)).collect();
            evened.add(y, 0, &row[..400], &linear());
            evened.add(y, 400, &row[400..], &linear());
        }
        evened
    }

    /// 1500 pixels are 750 squares of 2 x 2; each holds two pixels that are 900 codes brighter, a mean of 450.
    /// Bands as short as a row, of which most hold none that is looked at, and squares as large as a fine scan's.
    #[test]
    fn bands_of_any_height_give_the_same_squares() {
        let light = linear();
        let size = Size { width: 8400, height: 40 };
        let squares = Squares::of(&FrameFound::given(Quad::of(size.whole())), size).unwrap();
        assert!(squares.step() > 1);
        // The frame's soft edge is left out.
        let rows = 20..size.height;
        let row = |y: u32| (0..size.width).map(|x| (x * 7 + y * 13) as u16).collect::<Vec<_>>();
        let whole = rows.clone().fold(Evened::new(squares), |mut all, y| {
            all.add(y, 0, &row(y), &light);
            all
        });
        for high in [1, 3, 7] {
            let mut all = Evened::new(squares);
            for first in rows.clone().step_by(high) {
                let mut band = Evened::new(squares);
                for y in first..(first + high as u32).min(size.height) {
                    band.add(y, 0, &row(y), &light);
                }
                all.merge(&band);
            }
            assert_eq!(all.histogram(&light), whole.histogram(&light), "bands of {high} rows");
        }
    }

    #[test]
    fn each_square_counts_with_its_mean_light() {
        let histogram = evened(0..1500).histogram(&linear()).unwrap();
        let mut slow = Histogram::default();
        (0..750).for_each(|v| (0..519).for_each(|u| slow.add(&[(20_450 + u * 40 + v * 7) as u16])));
        assert_eq!(histogram.total(), slow.total());
        for share in [0.001, 0.5, 0.99] {
            let (fast, slow) = (histogram.percentile(share).unwrap(), slow.percentile(share).unwrap());
            assert!(fast.abs_diff(slow) <= 1, "{share}: {fast}, {slow}");
        }
    }

    #[test]
    fn bands_put_together_are_the_whole() {
        let mut parts = evened(0..401);
        parts.merge(&evened(401..403));
        parts.merge(&evened(403..1500));
        assert!(parts.histogram(&linear()) == evened(0..1500).histogram(&linear()));
    }

    #[test]
    fn a_frame_of_few_pixels_is_taken_as_it_is() {
        let small = Size { width: 800, height: 999 };
        assert_eq!(Squares::of(&FrameFound::given(Quad::of(small.whole())), small), None);
        assert!(evened(0..2).histogram(&linear()).is_none(), "nor are few squares");
    }
}
