//! sRGB codes and linear light, for mixing greys as light mixes.

use std::sync::LazyLock;

use crate::light::Encoding;

/// Linear light (0 black, 1 white) of every sRGB code.
static LIGHT: LazyLock<[f32; 256]> =
    LazyLock::new(|| std::array::from_fn(|code| Encoding::Srgb.decode(code as f64 / 255.0) as f32));

/// Linear light of an sRGB code.
pub(super) fn light(code: u8) -> f32 {
    LIGHT[usize::from(code)]
}

/// Nearest sRGB code of linear light; what is below 0 or above 1 is clipped.
pub(super) fn code(light: f32) -> u8 {
    (255.0 * Encoding::Srgb.encode(f64::from(light))).round() as u8
}

#[cfg(test)]
mod tests {
    use super::{code, light};

    #[test]
    fn every_code_comes_back_from_its_light() {
        for value in 0..=255 {
            assert_eq!(code(light(value)), value);
        }
    }

    #[test]
    fn half_the_light_is_code_188() {
        // 1.055 * 0.5^(1/2.4) - 0.055 = 0.73536 (computed).
        assert_eq!(code(0.5), 188);
    }
}
