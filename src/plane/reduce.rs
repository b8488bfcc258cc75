//! Reduction by area average, a row at a time.

use super::area::Size;
use crate::light::CODES;

/// Reduces rows across: each pixel of the result is the average of those under it, parts of pixels counted by their
/// share.
#[derive(Debug)]
pub struct Across {
    scale: f32,
    /// For each column of the result: its first source column and the share of each that it covers.
    columns: Vec<Cover>,
}

/// A picture being reduced downwards, of rows that have been reduced across. Rows go in one after another, and the
/// result's come out as they are done; nothing but the row that has begun and the next is held.
#[derive(Debug)]
pub struct Down {
    from: u32,
    to: Size,
    next_row: u32,
    /// The result's row that has begun.
    begun: u32,
    /// Sums of it, and of the next if that has begun too.
    sums: Vec<f32>,
}

/// The source pixels `first..=last` under one pixel of the result: whole ones count 1, the outer two their share.
#[derive(Clone, Copy, Debug)]
struct Cover {
    first: u32,
    last: u32,
    first_share: f32,
    last_share: f32,
}

fn covers(from: u32, to: u32) -> Vec<Cover> {
    let scale = f64::from(from) / f64::from(to);
    (0..to)
        .map(|i| {
            let (start, end) = (f64::from(i) * scale, f64::from(i + 1) * scale);
            let first = (start as u32).min(from - 1);
            let last = ((end.ceil() as u32).max(first + 1) - 1).min(from - 1);
            if first == last {
                return Cover { first, last, first_share: (end - start) as f32, last_share: 0.0 };
            }
            let share = |v: f64| v.clamp(0.0, 1.0) as f32;
            let (first_share, last_share) = (share(f64::from(first + 1) - start), share(end - f64::from(last)));
            Cover { first, last, first_share, last_share }
        })
        .collect()
}

impl Across {
    /// From rows of `from` pixels to rows of `to`, which is at most as many and at least 1.
    ///
    /// # Panics
    /// If `to` is 0 or more than `from`.
    pub fn new(from: u32, to: u32) -> Self {
        assert!(to > 0 && to <= from, "a reduction reduces");
        Self { scale: to as f32 / from as f32, columns: covers(from, to) }
    }

    /// Adds to `into` one source row, each code first turned into `light[code]`, averaged across.
    ///
    /// # Panics
    /// If `light` has not a value for each code, or the row not `from` codes.
    pub fn row(&self, codes: &[u16], light: &[f32], into: &mut Vec<f32>) {
        let light: &[f32; CODES] = light.try_into().expect("light has a value for each code");
        let value = |code: u16| light[usize::from(code)];
        into.extend(self.columns.iter().map(|c| {
            let under = &codes[c.first as usize..=c.last as usize];
            let mut sum = value(under[0]) * c.first_share + value(under[under.len() - 1]) * c.last_share;
            if let [_, between @ .., _] = under {
                between.iter().for_each(|code| sum += value(*code));
            }
            sum * self.scale
        }));
    }
}

impl Down {
    /// From pictures of size `from`, reduced across, to size `to`, which is at most as large and at least 1 x 1.
    ///
    /// # Panics
    /// If `to` is empty or higher than `from`.
    pub fn new(from: Size, to: Size) -> Self {
        assert!(to.height > 0 && to.height <= from.height, "a reduction reduces");
        Self { from: from.height, to, next_row: 0, begun: 0, sums: Vec::new() }
    }

    /// Takes the next source row, already averaged across; `done` gets the result's row that was complete before it, if
    /// one was.
    ///
    /// # Panics
    /// If more rows come than the source has.
    pub fn row(&mut self, across: &[f32], done: impl FnOnce(&[f32])) {
        assert!(self.next_row < self.from, "more rows than the picture has");
        let scale = f64::from(self.to.height) / f64::from(self.from);
        let (start, end) = (f64::from(self.next_row) * scale, f64::from(self.next_row + 1) * scale);
        let width = self.to.width as usize;
        let first = (start as u32).min(self.to.height - 1);
        if first > self.begun {
            done(&self.sums[..width]);
            self.sums.drain(..width);
            self.begun = first;
        }
        let boundary = f64::from(first + 1);
        let mut add = |row: u32, weight: f64| {
            let weighted = across.iter().map(|value| value * weight as f32);
            match self.sums.get_mut((row - first) as usize * width..).expect("rows begin one after another") {
                [] => self.sums.extend(weighted),
                sums => sums.iter_mut().zip(weighted).for_each(|(sum, value)| *sum += value),
            }
        };
        if end <= boundary || first + 1 == self.to.height {
            add(first, end - start);
        } else {
            add(first, boundary - start);
            add(first + 1, end - boundary);
        }
        self.next_row += 1;
    }

    /// The row that is done with the last of the source; none if not all of the source came.
    pub fn finish(self, done: impl FnOnce(&[f32])) {
        if self.next_row == self.from {
            done(&self.sums[..self.to.width as usize]);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plane::per_code;

    fn reduce(from: Size, to: Size, pixel: impl Fn(u32, u32) -> u16) -> Vec<f32> {
        let identity = per_code(f32::from);
        let (across, mut down) = (Across::new(from.width, to.width), Down::new(from, to));
        let mut all = Vec::new();
        for y in 0..from.height {
            let row: Vec<u16> = (0..from.width).map(|x| pixel(x, y)).collect();
            let mut narrow = Vec::new();
            across.row(&row, &identity, &mut narrow);
            down.row(&narrow, |row| all.extend_from_slice(row));
        }
        down.finish(|row| all.extend_from_slice(row));
        all
    }

    /// The slow twin: every source pixel cut by every target pixel.
    #[test]
    fn each_pixel_is_the_average_of_the_area_under_it() {
        let (from, to) = (Size { width: 37, height: 23 }, Size { width: 10, height: 7 });
        let pixel = |x: u32, y: u32| ((x * 911 + y * 577 + x * y * 13) % 50_000) as u16;
        let got = reduce(from, to, pixel);
        let overlap = |i: u32, n: u32, m: u32, j: u32| {
            let s = f64::from(n) / f64::from(m);
            ((f64::from(j + 1) * s).min(f64::from(i + 1)) - (f64::from(j) * s).max(f64::from(i))).max(0.0) / s
        };
        for v in 0..to.height {
            for u in 0..to.width {
                let mut mean = 0.0;
                for y in 0..from.height {
                    for x in 0..from.width {
                        let share = overlap(x, from.width, to.width, u) * overlap(y, from.height, to.height, v);
                        mean += share * f64::from(pixel(x, y));
                    }
                }
                let ours = f64::from(got[(v * to.width + u) as usize]);
                assert!((ours - mean).abs() < 0.05, "({u}, {v}): {ours} not {mean}");
            }
        }
    }

    #[test]
    fn a_reduction_to_the_same_size_changes_nothing() {
        let size = Size { width: 5, height: 4 };
        let got = reduce(size, size, |x, y| (x * 100 + y) as u16);
        assert!(got.iter().enumerate().all(|(i, v)| *v == ((i % 5) * 100 + i / 5) as f32));
    }
}
