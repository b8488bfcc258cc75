//! The tone of a print: the hue of its blacks, halftones and whites.

use std::fmt;
use std::str::FromStr;

use palette::chromatic_adaptation::AdaptIntoUnclamped;
use palette::convert::IntoColorUnclamped;
use palette::white_point::{D50, D65};
use palette::{Lab, LinSrgb, Xyz};

use crate::light::Density;

/// The least density above paper white of a point: nearer to it the tone would change with a jump.
const LEAST: f64 = 0.05;
/// The densest, and the strongest a* or b*: more is no tone of a photograph (house).
const DENSEST: f64 = 2.5;
const STRONGEST: f64 = 30.0;
/// Points of a tone, at most.
const MOST_POINTS: usize = 8;

/// Hue by print density: points of density above paper white with CIE a* and b* (D50), joined by straight lines. It
/// fades into paper white, which stays neutral, and stays as it is beyond the densest point. Lightness is the print's
/// own.
///
/// No tone here claims to be what a chemical toner does: no measured values by density were found.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Tone(Vec<Point>);

#[derive(Clone, Copy, Debug, PartialEq)]
struct Point {
    density: f64,
    a: f64,
    b: f64,
}

/// Tones by name (house): a brown and a blue that are seen beside a neutral print, and not by themselves.
const NAMED: [(&str, [Point; 3]); 2] = [
    (
        "warm",
        [
            Point { density: 0.30, a: 0.8, b: 4.0 },
            Point { density: 1.00, a: 1.5, b: 6.0 },
            Point { density: 1.90, a: 0.8, b: 2.5 },
        ],
    ),
    (
        "cool",
        [
            Point { density: 0.30, a: -0.3, b: -2.0 },
            Point { density: 1.00, a: -0.4, b: -4.0 },
            Point { density: 1.90, a: 0.2, b: -3.0 },
        ],
    ),
];

const NEUTRAL: &str = "neutral";

impl Tone {
    /// Whether it is none.
    pub fn is_neutral(&self) -> bool {
        self.0.is_empty()
    }

    /// a* and b* of a density above paper white.
    pub fn hue(&self, above_white: Density) -> (f64, f64) {
        let d = above_white.value();
        let white = Point { density: 0.0, a: 0.0, b: 0.0 };
        let mut before = white;
        for point in &self.0 {
            if d < point.density {
                let share = ((d - before.density) / (point.density - before.density)).clamp(0.0, 1.0);
                return (before.a + (point.a - before.a) * share, before.b + (point.b - before.b) * share);
            }
            before = *point;
        }
        (before.a, before.b)
    }

    /// Linear sRGB light (0 to 1) of a tone of lightness `l` (0 to 100) that lies `above_white`. Where sRGB does not
    /// reach so strong a colour, it is made weaker until it does, and lightness stays.
    pub fn rgb(&self, l: f64, above_white: Density) -> [f64; 3] {
        let (a, b) = self.hue(above_white);
        let colour = |share: f64| {
            let at_d50: Xyz<D50, f64> = Lab::<D50, f64>::new(l, a * share, b * share).into_color_unclamped();
            // Bradford's matrix, the library's own choice.
            let at_d65: Xyz<D65, f64> = at_d50.adapt_into_unclamped();
            let rgb: LinSrgb<f64> = at_d65.into_color_unclamped();
            [rgb.red, rgb.green, rgb.blue]
        };
        // Neutral ends lie at 0 and 1 to within what the matrices are rounded to.
        let shown = |rgb: &[f64; 3]| rgb.iter().all(|v| (-1e-6..=1.0 + 1e-6).contains(v));
        let full = colour(1.0);
        if shown(&full) {
            return full.map(|v| v.clamp(0.0, 1.0));
        }
        let (mut low, mut high) = (0.0, 1.0);
        for _ in 0..20 {
            let middle = (low + high) / 2.0;
            if shown(&colour(middle)) { low = middle } else { high = middle }
        }
        colour(low).map(|v| v.clamp(0.0, 1.0))
    }
}

/// A name, or the points as they are read.
impl fmt::Display for Tone {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.is_neutral() {
            return f.write_str(NEUTRAL);
        }
        if let Some((name, _)) = NAMED.iter().find(|(_, points)| self.0 == points) {
            return f.write_str(name);
        }
        for (i, Point { density, a, b }) in self.0.iter().enumerate() {
            write!(f, "{}{density}:{a},{b}", if i == 0 { "" } else { " " })?;
        }
        Ok(())
    }
}

/// A word that is no tone.
#[derive(Debug, thiserror::Error)]
#[error(
    "\"{0}\" is no tone: use neutral, warm or cool, or points of density above paper white \
     (0.05 to 2.5, rising) with a* and b* (-30 to 30), as \"0.3:1,6 1.8:0,-5\""
)]
pub struct UnknownTone(String);

impl FromStr for Tone {
    type Err = UnknownTone;

    /// Reads `neutral`, `warm`, `cool`, or points `D:a,b` with blanks between.
    fn from_str(word: &str) -> Result<Self, UnknownTone> {
        let plain = word.trim().to_lowercase();
        if plain == NEUTRAL {
            return Ok(Self::default());
        }
        if let Some((_, points)) = NAMED.iter().find(|(name, _)| *name == plain) {
            return Ok(Self(points.to_vec()));
        }
        let point = |word: &str| {
            let (density, hue) = word.split_once(':')?;
            let (a, b) = hue.split_once(',')?;
            let number = |n: &str, low: f64, high: f64| n.trim().parse().ok().filter(|v| (low..=high).contains(v));
            let hue = |n| number(n, -STRONGEST, STRONGEST);
            Some(Point { density: number(density, LEAST, DENSEST)?, a: hue(a)?, b: hue(b)? })
        };
        let points: Option<Vec<Point>> = plain.split_whitespace().map(point).collect();
        let rising = |points: &Vec<Point>| points.windows(2).all(|w| w[0].density < w[1].density);
        let fits = |points: &Vec<Point>| (1..=MOST_POINTS).contains(&points.len()) && rising(points);
        points.filter(fits).map(Self).ok_or_else(|| UnknownTone(word.to_owned()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::light::lightness;

    #[test]
    fn tones_are_read_and_come_back() {
        for word in ["neutral", "warm", "cool", "0.3:1,6 1.8:0,-5"] {
            assert_eq!(word.parse::<Tone>().unwrap().to_string(), word);
        }
        for wrong in ["sepia", "0.3:1", "0.01:1,1", "1:1,1 0.5:1,1", "0.3:1,60", "", "0.3:NaN,2"] {
            let told = wrong.parse::<Tone>().unwrap_err().to_string();
            assert!(told.contains("neutral, warm or cool"), "{wrong}");
        }
    }

    #[test]
    fn a_tone_fades_into_paper_white_and_stays_in_the_blacks() {
        let split: Tone = "0.4:2,8 1.6:-1,-6".parse().unwrap();
        let close = |d: f64, a: f64, b: f64| {
            let got = split.hue(Density::new(d));
            assert!((got.0 - a).abs() < 1e-9 && (got.1 - b).abs() < 1e-9, "{d}: {got:?}");
        };
        close(-0.1, 0.0, 0.0);
        close(0.0, 0.0, 0.0);
        close(0.2, 1.0, 4.0);
        close(0.4, 2.0, 8.0);
        close(1.0, 0.5, 1.0);
        close(2.1, -1.0, -6.0);
        assert_eq!(Tone::default().hue(Density::new(1.0)), (0.0, 0.0));
    }

    /// Lab back from the linear sRGB light by the matrix and white that ICC sRGB profiles hold (D50, Bradford, ICC.1
    /// and IEC 61966-2-1, from memory), which is not how it was made: lightness within 0.05, hue within 0.1 wherever
    /// sRGB reaches it.
    #[test]
    fn lightness_is_kept_and_the_hue_is_the_one_asked_for() {
        const TO_XYZ: [[f64; 3]; 3] = [
            [0.436_074_7, 0.385_064_9, 0.143_080_4],
            [0.222_504_5, 0.716_878_6, 0.060_616_9],
            [0.013_932_2, 0.097_104_5, 0.714_173_3],
        ];
        const WHITE: [f64; 3] = [0.964_22, 1.0, 0.825_21];
        for word in ["neutral", "warm", "cool", "0.4:2,8 1.6:-1,-6", "0.1:0,25 1.2:25,-30"] {
            let tone: Tone = word.parse().unwrap();
            for step in 0..=210 {
                let d = Density::new(f64::from(step) / 100.0);
                let l = lightness(d.transmittance());
                let rgb = tone.rgb(l, d);
                let xyz = TO_XYZ.map(|row| row.iter().zip(rgb).map(|(m, v)| m * v).sum::<f64>());
                // f of CIE 15 is (L* + 16)/116.
                let f: Vec<f64> =
                    xyz.iter().zip(WHITE).map(|(v, white)| (lightness(v / white) + 16.0) / 116.0).collect();
                let (back, a, b) = (116.0 * f[1] - 16.0, 500.0 * (f[0] - f[1]), 200.0 * (f[1] - f[2]));
                assert!((back - l).abs() < 0.05, "{word} at {d}: L* {back} for {l}");
                let (wanted_a, wanted_b) = tone.hue(d);
                let inside = rgb.iter().all(|v| (1e-4..=0.9999).contains(v));
                assert!(!inside || (a - wanted_a).abs() < 0.1 && (b - wanted_b).abs() < 0.1, "{word} at {d}: {a} {b}");
                assert!(a.hypot(b) <= wanted_a.hypot(wanted_b) + 0.1, "{word} at {d}: never stronger than asked");
            }
        }
    }
}
