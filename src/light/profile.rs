//! ICC profiles: the transfer curve of a scan's, and the grey profile that a flat positive carries.

use moxcms::{ColorProfile, DataColorSpace, LocalizableString, Matrix3d, ProfileText, ToneReprCurve, Xyzd};

use super::encoding::Encoding;

/// What a scan's embedded profile says about light: one curve a channel.
#[derive(Clone, Debug, PartialEq)]
pub enum Profile {
    /// A grey profile's kTRC.
    Grey(Encoding),
    /// An RGB profile's three TRCs, red, green, blue.
    Rgb([Encoding; 3]),
}

/// Why an embedded profile cannot be used.
#[derive(Debug, thiserror::Error)]
pub enum ProfileError {
    /// It does not parse.
    #[error("the embedded profile is damaged ({0}): give the scan's encoding with --encoding")]
    Damaged(String),
    /// It is neither a grey nor an RGB profile with curves (ICC.1 kTRC, or matrix/TRC).
    #[error("the embedded profile has no tone curve of its own: give the scan's encoding with --encoding")]
    NoCurve,
    /// Its curve falls or is flat somewhere that matters, so no density can be read back.
    #[error("the tone curve of the embedded profile does not rise: give the scan's encoding with --encoding")]
    NotRising,
}

impl Profile {
    /// Reads the curves of an ICC profile.
    ///
    /// The parser only parses; the curves are evaluated here in double precision (ICC.1: PCS Y = kTRC\[device\]).
    pub fn parse(icc: &[u8]) -> Result<Self, ProfileError> {
        let profile = ColorProfile::new_from_slice(icc).map_err(|e| ProfileError::Damaged(e.to_string()))?;
        let one = |curve: &Option<ToneReprCurve>| curve.as_ref().ok_or(ProfileError::NoCurve).and_then(rising);
        match profile.color_space {
            DataColorSpace::Gray => Ok(Self::Grey(one(&profile.gray_trc)?)),
            DataColorSpace::Rgb => {
                Ok(Self::Rgb([one(&profile.red_trc)?, one(&profile.green_trc)?, one(&profile.blue_trc)?]))
            }
            _ => Err(ProfileError::NoCurve),
        }
    }
}

fn rising(curve: &ToneReprCurve) -> Result<Encoding, ProfileError> {
    let encoding = encoding_of(curve)?;
    let light: Vec<f64> = (0..=256).map(|i| encoding.decode(f64::from(i) / 256.0)).collect();
    let rises = light.windows(2).all(|pair| pair[0] <= pair[1]);
    if rises && light[256] - light[0] > 0.5 { Ok(encoding) } else { Err(ProfileError::NotRising) }
}

fn encoding_of(curve: &ToneReprCurve) -> Result<Encoding, ProfileError> {
    match curve {
        ToneReprCurve::Lut(points) => Ok(match points.as_slice() {
            // ICC.1 `curv`: no entry is the identity, one entry a gamma as u8Fixed8.
            [] => Encoding::Linear,
            [256] => Encoding::Linear,
            [gamma] => Encoding::Gamma(f64::from(*gamma) / 256.0),
            _ => Encoding::Table(points.clone()),
        }),
        ToneReprCurve::Parametric(p) => {
            let p: Vec<f64> = p.iter().map(|v| f64::from(*v)).collect();
            // ICC.1 `para`, types 0 to 4.
            match p[..] {
                [g] => Ok(Encoding::Gamma(g)),
                [g, a, b] if a != 0.0 => Ok(Encoding::Formula([g, a, b, 0.0, -b / a, 0.0, 0.0])),
                [g, a, b, c] if a != 0.0 => Ok(Encoding::Formula([g, a, b, 0.0, -b / a, c, c])),
                [g, a, b, c, d] => Ok(Encoding::Formula([g, a, b, c, d, 0.0, 0.0])),
                [g, a, b, c, d, e, f] => Ok(Encoding::Formula([g, a, b, c, d, e, f])),
                _ => Err(ProfileError::NoCurve),
            }
        }
    }
}

/// An ICC v4 grey profile for `encoding` under the D50 illuminant, the same bytes every time.
///
/// # Panics
/// Never for the named encodings that can be asked for; a profile's own table is written as that table.
pub fn grey_profile(encoding: &Encoding) -> Vec<u8> {
    let mut profile = ColorProfile::new_gray_with_gamma(1.0);
    profile.gray_trc = Some(curve_of(encoding));
    profile.chromatic_adaptation = None;
    finished(profile, format!("Grey, {encoding}"))
}

/// An ICC v4 profile of sRGB (IEC 61966-2-1) under the D50 illuminant, the same bytes every time.
///
/// # Panics
/// Never.
pub fn srgb_profile() -> Vec<u8> {
    let mut profile = ColorProfile::new_srgb();
    // Its primaries, adapted from D65 to D50 by Bradford's matrix, and that adaptation, as sRGB profiles hold them
    // (from memory; held against the palette library). The library that writes the profile is off by 0.0002 in the
    // first, puts the matrix of the eye's cones in the place of the second, and adds a cicp tag of a narrow range.
    profile.cicp = None;
    profile.chromatic_adaptation = Some(Matrix3d {
        v: [[1.047_882, 0.022_919, -0.050_201], [0.029_587, 0.990_479, -0.017_059], [-0.009_232, 0.015_076, 0.751_678]],
    });
    profile.red_colorant = Xyzd { x: 0.436_07, y: 0.222_49, z: 0.013_92 };
    profile.green_colorant = Xyzd { x: 0.385_15, y: 0.716_87, z: 0.097_08 };
    profile.blue_colorant = Xyzd { x: 0.143_07, y: 0.060_61, z: 0.714_10 };
    finished(profile, "sRGB (IEC 61966-2-1)".to_owned())
}

/// ICC.1: the PCS illuminant D50 as headers hold it. In version 4 it is also the media's white.
const D50: Xyzd = Xyzd { x: 0.9642, y: 1.0, z: 0.8249 };

/// The bytes of a profile under this name.
fn finished(mut profile: ColorProfile, name: String) -> Vec<u8> {
    /// Year, month, day, hours, minutes, seconds.
    const CREATED: [u16; 6] = [2026, 1, 1, 0, 0, 0];
    // ICC.1: tags begin at multiples of 4 and so does the end. The library does not pad, and a text takes 2 bytes a
    // letter: an even number of letters needs no padding.
    let text = |mut words: String| {
        if words.encode_utf16().count() % 2 == 1 {
            words.push('.');
        }
        let (language, country) = ("en".to_owned(), "US".to_owned());
        Some(ProfileText::Localizable(vec![LocalizableString { language, country, value: words }]))
    };
    profile.white_point = D50;
    profile.media_white_point = Some(D50);
    profile.description = text(name);
    profile.copyright = text("No copyright, use freely".to_owned());
    let mut icc = profile.encode().expect("a profile of curves always encodes");
    // The library writes the time of the call. ICC.1, header bytes 24 to 35: a constant date, so that two runs write
    // the same file.
    for (field, value) in icc[24..36].chunks_exact_mut(2).zip(CREATED) {
        field.copy_from_slice(&value.to_be_bytes());
    }
    icc
}

fn curve_of(encoding: &Encoding) -> ToneReprCurve {
    let formula = |p: &[f64]| ToneReprCurve::Parametric(p.iter().map(|v| *v as f32).collect());
    match encoding {
        Encoding::Linear => ToneReprCurve::Lut(Vec::new()),
        Encoding::Gamma(g) => formula(&[*g]),
        // IEC 61966-2-1 and CIE 15 as ICC.1 `para` type 3: (a X + b)^g from X >= d, else c X.
        Encoding::Srgb => formula(&[2.4, 1.0 / 1.055, 0.055 / 1.055, 1.0 / 12.92, 0.04045]),
        Encoding::Lstar => formula(&[3.0, 100.0 / 116.0, 16.0 / 116.0, 2700.0 / 24389.0, 0.08]),
        Encoding::Table(points) => ToneReprCurve::Lut(points.clone()),
        Encoding::Formula(p) => formula(p),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn named() -> [Encoding; 5] {
        [Encoding::Linear, Encoding::Gamma(2.2), Encoding::Gamma(1.8), Encoding::Srgb, Encoding::Lstar]
    }

    #[test]
    fn a_grey_profile_reads_back_as_the_curve_it_was_made_for() {
        for encoding in named() {
            let Profile::Grey(back) = Profile::parse(&grey_profile(&encoding)).unwrap() else { panic!("not grey") };
            for i in 0..=100 {
                let x = f64::from(i) / 100.0;
                // s15Fixed16 parameters are good to 1.5e-5.
                assert!((back.decode(x) - encoding.decode(x)).abs() < 5e-5, "{encoding} at {x}");
            }
            assert_eq!(back.to_string(), encoding.to_string());
        }
    }

    /// The `moxcms` library builds its own linearisation table from the same profile.
    #[test]
    fn curves_agree_with_an_independent_evaluation() {
        for encoding in named() {
            let profile = ColorProfile::new_from_slice(&grey_profile(&encoding)).unwrap();
            let theirs = profile.build_gray_linearize_table::<u16, 65536, 16>().unwrap();
            for code in (0..=65535usize).step_by(255) {
                let ours = encoding.decode(code as f64 / 65535.0);
                assert!((ours - f64::from(theirs[code])).abs() < 5e-5, "{encoding} code {code}");
            }
        }
    }

    #[test]
    fn the_same_profile_is_the_same_bytes() {
        let icc = grey_profile(&Encoding::Gamma(2.2));
        assert_eq!(icc, grey_profile(&Encoding::Gamma(2.2)));
        assert_eq!(icc[24..36], [7, 234, 0, 1, 0, 1, 0, 0, 0, 0, 0, 0], "and not that of the day");
    }

    /// Curve and primaries held against the `palette` library: linear red, green and blue light, from the D65 of IEC
    /// 61966-2-1 to D50 by Bradford's matrix.
    #[test]
    fn the_srgb_profile_is_srgb() {
        use palette::chromatic_adaptation::AdaptIntoUnclamped;
        use palette::white_point::{D50, D65};
        use palette::{IntoColor, LinSrgb, Xyz};
        let icc = srgb_profile();
        assert_eq!(icc, srgb_profile());
        let Profile::Rgb(curves) = Profile::parse(&icc).unwrap() else { panic!("it is not RGB") };
        for (curve, i) in curves.iter().flat_map(|curve| (0..=64u8).map(move |i| (curve, f64::from(i) / 64.0))) {
            assert!((curve.decode(i) - Encoding::Srgb.decode(i)).abs() < 2e-5, "{i}");
        }
        let profile = ColorProfile::new_from_slice(&icc).unwrap();
        let ours = [profile.red_colorant, profile.green_colorant, profile.blue_colorant];
        for (ours, [r, g, b]) in ours.iter().zip([[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]]) {
            let at_d65: Xyz<D65, f64> = LinSrgb::new(r, g, b).into_color();
            let theirs: Xyz<D50, f64> = at_d65.adapt_into_unclamped();
            for (ours, theirs) in [(ours.x, theirs.x), (ours.y, theirs.y), (ours.z, theirs.z)] {
                assert!((ours - theirs).abs() < 1e-4, "{ours} for {theirs}");
            }
        }
        let adaptation = profile.chromatic_adaptation.expect("it is adapted").v;
        for (column, [x, y, z]) in [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]].into_iter().enumerate() {
            let theirs: Xyz<D50, f64> = Xyz::<D65, f64>::new(x, y, z).adapt_into_unclamped();
            for (row, theirs) in [theirs.x, theirs.y, theirs.z].into_iter().enumerate() {
                let ours = adaptation[row][column];
                // The library's D50 has Z 0.8252, that of ICC.1 0.8249.
                assert!((ours - theirs).abs() < 5e-4, "row {row}, column {column}: {ours} for {theirs}");
            }
        }
    }

    /// ICC.1, 7.1 (quoted): the profile and all its tags are aligned to 4 bytes; strict readers refuse others.
    #[test]
    fn everything_in_it_is_aligned() {
        let all = named().into_iter().map(|encoding| (encoding.to_string(), grey_profile(&encoding)));
        for (name, icc) in all.chain([("RGB".to_owned(), srgb_profile())]) {
            let number = |at: usize| u32::from_be_bytes(icc[at..at + 4].try_into().unwrap());
            assert_eq!((number(0) as usize, icc.len() % 4), (icc.len(), 0), "{name}");
            let tags = number(128) as usize;
            assert!(tags >= 4);
            for tag in 0..tags {
                let offset = number(132 + 12 * tag + 4);
                assert_eq!(offset % 4, 0, "{name}: tag {tag}");
            }
        }
    }

    #[test]
    fn damaged_bytes_are_refused_with_what_to_do() {
        let icc = grey_profile(&Encoding::Srgb);
        for cut in [0, 10, 100, 140] {
            let error = Profile::parse(&icc[..cut]).unwrap_err();
            assert!(error.to_string().contains("--encoding"), "{error}");
        }
    }

    #[test]
    fn a_falling_curve_is_refused() {
        let mut falling = ColorProfile::new_gray_with_gamma(1.0);
        falling.gray_trc = Some(ToneReprCurve::Lut(vec![65535, 30000, 0]));
        assert!(matches!(Profile::parse(&falling.encode().unwrap()), Err(ProfileError::NotRising)));
    }
}
