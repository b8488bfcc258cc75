//! The code that stands for some light, looked for among few.

/// Evenly spaced cells of light that say between which codes to look.
const CELLS: usize = 1 << 14;

/// The code whose light comes nearest to some light, where light rises with the code.
pub(super) struct Nearest<'a> {
    light: &'a [f32],
    /// For each cell how many codes are darker than all of it; the last cell ends beyond every code.
    below: Vec<usize>,
}

impl<'a> Nearest<'a> {
    /// Of codes whose light is `light[code]`.
    pub(super) fn to(light: &'a [f32]) -> Self {
        let mut below = Vec::with_capacity(CELLS + 1);
        let mut darker = 0;
        for cell in 0..CELLS {
            let begin = cell as f32 / CELLS as f32;
            darker += light[darker..].iter().take_while(|l| **l < begin).count();
            below.push(darker);
        }
        below.push(light.len());
        Self { light, below }
    }

    /// The code nearest to light `mean`, 0 to 1.
    pub(super) fn code(&self, mean: f32) -> u16 {
        let cell = ((mean * CELLS as f32) as usize).min(CELLS - 1);
        let (from, to) = (self.below[cell], self.below[cell + 1]);
        let above = from + self.light[from..to].partition_point(|l| *l < mean);
        let above = above.clamp(1, self.light.len() - 1);
        let nearer_below = mean - self.light[above - 1] < self.light[above] - mean;
        (above - usize::from(nearer_below)) as u16
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::light::{CODES, Densitometer, Encoding};

    /// The slow twin: all codes compared. At every light of a code, next to it, half-way to the next, and beyond both
    /// ends.
    #[test]
    fn the_nearest_code_is_the_nearest_of_all() {
        for encoding in [Encoding::Linear, Encoding::Gamma(2.2), Encoding::Lstar] {
            let bench = Densitometer::new(&encoding);
            let nearest = Nearest::to(bench.light());
            let even = (0..=3000).map(|i| i as f32 / 3000.0);
            let of_codes = bench.light().windows(2).step_by(211).flat_map(|pair| {
                let next = |l: f32| [f32::from_bits(l.to_bits().saturating_sub(1)), l, f32::from_bits(l.to_bits() + 1)];
                next(pair[0]).into_iter().chain([f32::midpoint(pair[0], pair[1])])
            });
            for mean in even.chain(of_codes).chain([1.5]) {
                let got = nearest.code(mean);
                let off = |code: usize| (bench.light()[code] - mean).abs();
                let least = (0..CODES).map(off).fold(f32::INFINITY, f32::min);
                assert_eq!(off(usize::from(got)), least, "{encoding}: {mean} is not code {got}");
            }
        }
    }
}
