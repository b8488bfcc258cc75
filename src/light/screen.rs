//! Light as 8-bit sRGB codes, many at a time.

use super::encoding::Encoding;

/// Cells of evenly spaced light, narrower than any code: the narrowest are the darkest, 1/(255 12.92) wide (IEC
/// 61966-2-1).
const CELLS: usize = 4096;

/// The nearest 8-bit sRGB code (IEC 61966-2-1) to light from 0 to 1, by comparing instead of raising to a power.
#[derive(Clone, Debug)]
pub struct ScreenCodes {
    /// Code 1 begins at the first of these lights, code 2 at the second ...; beyond the last code none does.
    begins: [f32; 256],
    /// The highest code that begins at or below the lower end of each cell.
    cells: Vec<u8>,
}

impl Default for ScreenCodes {
    fn default() -> Self {
        let begins = std::array::from_fn(|i| u8::try_from(i + 1).map_or(f32::NAN, begin));
        let below = |cell| begins.partition_point(|b| *b <= cell as f32 / CELLS as f32) as u8;
        Self { cells: (0..CELLS).map(below).collect(), begins }
    }
}

impl ScreenCodes {
    /// The code of `light`; what lies beyond 0 and 1 gets the outermost codes.
    pub fn of(&self, light: f32) -> u8 {
        // At most one code begins within a cell: one comparison tells, and no branch has to be guessed.
        let below = self.cells[((light * CELLS as f32) as usize).min(CELLS - 1)];
        below + u8::from(self.begins[usize::from(below)] <= light)
    }
}

fn exactly(light: f32) -> u8 {
    (255.0 * Encoding::Srgb.encode(f64::from(light))).round() as u8
}

/// The least light of a code, by halving: the bits of positive numbers rise with them.
fn begin(code: u8) -> f32 {
    let (mut below, mut at) = (0, 1f32.to_bits());
    while at - below > 1 {
        let middle = below + (at - below) / 2;
        if exactly(f32::from_bits(middle)) < code { below = middle } else { at = middle }
    }
    f32::from_bits(at)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The slow twin: the formula itself, at even steps, next to where each code begins, and beyond both ends.
    #[test]
    fn every_light_gets_the_code_of_the_formula() {
        let codes = ScreenCodes::default();
        let next = |light: f32| [light.to_bits() - 1, light.to_bits(), light.to_bits() + 1].map(f32::from_bits);
        let about = codes.begins[..255].iter().flat_map(|b| next(*b)).collect::<Vec<_>>();
        let even = (0..=100_000).map(|i| i as f32 / 100_000.0);
        for light in even.chain(about).chain([-1.0, 1e-20, 2.0, f32::INFINITY]) {
            assert_eq!(codes.of(light), exactly(light), "{light}");
        }
    }
}
