//! What a field takes, and how it is read.

use std::str::FromStr;

use toml_edit::{Array, Datetime, Value};

use super::date::ShotDate;
use crate::light::{Millimetres, Stops};
use crate::meter::{FNumber, FilterFactor, Reading, Seconds, ZoneStep};

/// Degrees that a standard can be turned by.
const DEGREES: std::ops::RangeInclusive<f64> = -90.0..=90.0;
/// Millimetres that it can be moved by.
const MOVED: std::ops::RangeInclusive<f64> = -500.0..=500.0;
/// Focal lengths and extensions in millimetres: from a lens of a pocket camera to that of a reproduction camera, and
/// beyond.
const LENGTHS: std::ops::RangeInclusive<f64> = 1.0..=10_000.0;
/// Speeds that a meter can be set to (ISO 6 and beyond).
const SPEEDS: std::ops::RangeInclusive<f64> = 0.1..=1e6;
/// Degrees Celsius of a bath.
const BATHS: std::ops::RangeInclusive<f64> = 0.0..=60.0;
/// Stars, as XMP has them: -1 is rejected.
const STARS: std::ops::RangeInclusive<f64> = -1.0..=5.0;
/// N- and N+.
const DEVELOPED: std::ops::RangeInclusive<f64> = -6.0..=6.0;

/// What a field takes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Words.
    Text,
    /// Several words, as a list or with commas.
    Words,
    /// A date, as far as it is known.
    Date,
    /// -1 to 5.
    Rating,
    /// A film speed.
    Speed,
    /// A length above 0, with its unit.
    Length,
    /// An aperture as written.
    Aperture,
    /// A shutter time; a bare number is seconds.
    Time,
    /// A time in a bath, with its unit.
    Bath,
    /// A filter factor.
    Factor,
    /// A length either way, with its unit.
    Movement,
    /// Degrees either way.
    Degrees,
    /// A meter's reading.
    Reading,
    /// A zone.
    Zone,
    /// Pixels of the scan.
    Place,
    /// A temperature with its unit.
    Temperature,
    /// N, N+1, N-1 1/2.
    Development,
}

/// What a field was read as.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Told {
    Text(String),
    Words(Vec<String>),
    Date(ShotDate),
    Number(f64),
    Length(Millimetres),
    Aperture(FNumber),
    Time(Seconds),
    Factor(FilterFactor),
    Reading(Reading),
    Zone(ZoneStep),
    Place([f64; 2]),
    Stops(Stops),
}

impl Kind {
    /// Reads a value.
    ///
    /// # Errors
    /// What is wrong with it, in words, with how to write it.
    pub(super) fn read(self, value: &Value) -> Result<Told, String> {
        if let (Self::Place, Value::Array(array)) = (self, value) {
            return place(array).map(Told::Place).ok_or_else(no_place);
        }
        if let (Self::Words, Value::Array(array)) = (self, value) {
            return Ok(Told::Words(array.iter().filter_map(word).collect()));
        }
        let word = word(value).ok_or("it is no plain word: write it in quotes")?;
        self.read_word(&word)
    }

    /// Reads a word.
    ///
    /// # Errors
    /// What is wrong with it, in words, with how to write it.
    pub(super) fn read_word(self, word: &str) -> Result<Told, String> {
        fn parsed<T: FromStr<Err: std::fmt::Display>>(word: &str, told: fn(T) -> Told) -> Result<Told, String> {
            word.parse().map(told).map_err(|e: T::Err| e.to_string())
        }
        let number = |bounds: &std::ops::RangeInclusive<f64>, units: &[&str], how: &str| {
            let plain = units.iter().find_map(|unit| word.trim().strip_suffix(unit)).unwrap_or(word).trim();
            let number = plain.parse::<f64>().ok().filter(|v| bounds.contains(v));
            number.map(Told::Number).ok_or_else(|| format!("\"{word}\": {how}"))
        };
        match self {
            Self::Text => Ok(Told::Text(word.to_owned())),
            Self::Words => {
                Ok(Told::Words(word.split(',').map(|w| w.trim().to_owned()).filter(|w| !w.is_empty()).collect()))
            }
            Self::Date => parsed(word, Told::Date),
            Self::Rating => match number(&STARS, &[], "stars are -1 (rejected) to 5")? {
                Told::Number(stars) if stars.fract() != 0.0 => {
                    Err(format!("\"{word}\": stars are whole, -1 (rejected) to 5"))
                }
                told => Ok(told),
            },
            Self::Speed => number(&SPEEDS, &[], "write the speed as a number, as 64"),
            Self::Length => match parsed(word, Told::Length)? {
                Told::Length(length) if !LENGTHS.contains(&length.value()) => {
                    Err(format!("\"{word}\" is no length of a lens or a bellows: check its unit"))
                }
                told => Ok(told),
            },
            Self::Aperture => parsed(word, Told::Aperture),
            Self::Time => parsed(word, Told::Time),
            Self::Bath if word.trim().parse::<f64>().is_ok() => {
                Err(format!("\"{word}\": minutes or seconds? write 8m or 45s"))
            }
            Self::Bath => parsed(word, Told::Time),
            Self::Factor => parsed(word, Told::Factor),
            Self::Movement => movement(word),
            Self::Degrees => number(&DEGREES, &["deg", "\u{b0}"], "write degrees as a number from -90 to 90"),
            Self::Reading => parsed(word, Told::Reading),
            Self::Zone => parsed(word, Told::Zone),
            Self::Place => {
                let numbers: Option<Vec<f64>> =
                    word.trim_matches(['[', ']']).split(',').map(|n| n.trim().parse().ok()).collect();
                let pair = numbers.and_then(|numbers| <[f64; 2]>::try_from(numbers).ok()).filter(sound);
                pair.map(Told::Place).ok_or_else(no_place)
            }
            Self::Temperature => temperature(word),
            Self::Development => {
                let stops = word.trim().trim_start_matches(['N', 'n']).trim();
                let stops = if stops.is_empty() { Ok(Stops::default()) } else { stops.parse::<Stops>() };
                let stops = stops.ok().filter(|stops| DEVELOPED.contains(&stops.value()));
                stops.map(Told::Stops).ok_or_else(|| format!("\"{word}\" is no development: write N, N+1 or N-1 1/2"))
            }
        }
    }

    /// A word as a value of TOML for this field: a date, a number or a list where it is one, else in quotes.
    pub(in crate::notes) fn value(self, word: &str) -> Value {
        let number = || {
            let whole = word.trim().parse::<i64>().ok().map(Value::from);
            whole.or_else(|| word.trim().parse::<f64>().ok().filter(|n| n.is_finite()).map(Value::from))
        };
        let bare = match self {
            // A time without seconds is no date of TOML 1.0: other readers would refuse the whole file.
            Self::Date => match (word.trim().len(), word.matches(':').count()) {
                (4, _) => number(),
                (10.., 0 | 2) => word.trim().parse::<Datetime>().ok().map(Value::from),
                _ => None,
            },
            Self::Rating | Self::Speed | Self::Degrees => number(),
            Self::Place => match self.read_word(word) {
                Ok(Told::Place(place)) => Some(Value::Array(
                    place
                        .iter()
                        .map(|n| if n.fract() == 0.0 { Value::from(*n as i64) } else { Value::from(*n) })
                        .collect(),
                )),
                _ => None,
            },
            _ => None,
        };
        bare.unwrap_or_else(|| Value::from(word))
    }
}

/// A plain value as a person would write it.
fn word(value: &Value) -> Option<String> {
    match value {
        Value::String(word) => Some(word.value().clone()),
        Value::Integer(number) => Some(number.value().to_string()),
        Value::Float(number) => Some(number.value().to_string()),
        Value::Datetime(date) => Some(date.value().to_string()),
        Value::Boolean(is) => Some(is.value().to_string()),
        Value::Array(_) | Value::InlineTable(_) => None,
    }
}

fn place(array: &Array) -> Option<[f64; 2]> {
    let numbers: Option<Vec<f64>> =
        array.iter().map(|v| v.as_float().or_else(|| v.as_integer().map(|whole| whole as f64))).collect();
    <[f64; 2]>::try_from(numbers?).ok().filter(sound)
}

fn sound(pair: &[f64; 2]) -> bool {
    pair.iter().all(|v| v.is_finite() && *v >= 0.0)
}

fn no_place() -> String {
    "it is no place: write two numbers of pixels, as [512, 300]".to_owned()
}

fn movement(word: &str) -> Result<Told, String> {
    let plain = word.trim();
    let (sign, size) = plain.strip_prefix('-').map_or((1.0, plain.trim_start_matches('+')), |rest| (-1.0, rest.trim()));
    // A length is above 0; a standard may well stand at 0.
    let zero = size.trim_end_matches(char::is_alphabetic).trim().parse() == Ok(0.0);
    let length = if zero { Ok(Millimetres::default()) } else { size.parse::<Millimetres>() };
    let length = length.map_err(|e| e.to_string())? * sign;
    if MOVED.contains(&length.value()) {
        Ok(Told::Length(length))
    } else {
        Err(format!("\"{word}\" is farther than any camera moves: check its unit"))
    }
}

fn temperature(word: &str) -> Result<Told, String> {
    let plain = word.trim().replace('\u{b0}', "");
    let read =
        |unit: char| plain.strip_suffix([unit, unit.to_ascii_lowercase()]).and_then(|n| n.trim().parse::<f64>().ok());
    let celsius = read('C').or_else(|| read('F').map(|f| (f - 32.0) / 1.8));
    let celsius = celsius.filter(|c| BATHS.contains(c));
    celsius.map(Told::Number).ok_or_else(|| format!("\"{word}\" is no temperature of a bath: write it as 20C or 68F"))
}
