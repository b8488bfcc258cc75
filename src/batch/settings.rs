//! Settings: what may be set.

use std::collections::BTreeMap;
use std::fmt;
use std::ops::RangeInclusive;
use std::path::{Path, PathBuf};
use std::str::FromStr;

use crate::film::{Film, ZoneTable};
use crate::light::{Density, Encoding, Stops};
use crate::paper::{DryDown, Grade, Placing, Split, shelf};
use crate::save::Packing;
use crate::scan::{Channel, Torn};
use crate::sheet::PageSize;

/// What a batch goes by. Each field is one setting, under the same name in the settings file, in a scan's notes and as
/// a flag.
#[derive(Clone, Debug, PartialEq)]
pub struct Settings {
    /// `channel`: which of three is read.
    pub channel: Channel,
    /// `encoding`: of the scans, instead of what they say themselves.
    pub encoding: Option<Encoding>,
    /// `base`: film base, instead of what is measured.
    pub base: Option<Density>,
    /// `film`: what lies in the scans.
    pub film: Film,
    /// `frames`: how many a scan should show.
    pub frames: Option<usize>,
    /// `wedge`: calibration of the scanner; `None` leaves scanner densities.
    pub wedge: Option<PathBuf>,
    /// `salvage`: what becomes of a scan that was cut short.
    pub salvage: Torn,
    /// `ends`: where the flat law is placed.
    pub ends: Ends,
    /// `crop`: whether flat positives are cut to the frame.
    pub crop: Crop,
    /// `out-encoding`: of the flat positives.
    pub out_encoding: Encoding,
    /// `compression`: of the flat positives; `None` is the scan's own.
    pub packing: Option<Packing>,
    /// `paper`: that proofs are printed on.
    pub paper: Kept,
    /// `grades`: the table that gives grades their range.
    pub grades: Kept,
    /// `grade`: of the proofs; `None` chooses.
    pub grade: Option<Grade>,
    /// `place`: what the exposure of the proofs is found by.
    pub place: Placing,
    /// `exposure`: of the proofs, in stops beyond the placing.
    pub exposure: Stops,
    /// `dry-down`: exposure that is taken away because prints get darker while they dry.
    pub dry_down: DryDown,
    /// `split`: the exposure in two parts; `None` gives it in one.
    pub split: Option<Split>,
    /// `zones`: the net densities that zones are to have, for `dryside notes zones`.
    pub zones: ZoneTable,
    /// `photographer`: who made the pictures, unless a scan's notes name another.
    pub photographer: Option<String>,
    /// `rights`: whose they are, unless a scan's notes say otherwise.
    pub rights: Option<String>,
    /// `personal`: whether what the scans' files say of persons, places and machines goes on into the files made from
    /// them.
    pub personal: Personal,
    /// `xmp`: whether what files say of the picture also stands in files beside them.
    pub xmp: Beside,
    /// `page`: size of the proof sheet.
    pub page: PageSize,
}

/// A paper, or a table of grades.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Kept {
    /// One that comes with the program, by its name there.
    Shelf(&'static str),
    /// A person's own.
    File(PathBuf),
}

/// Which ends a flat positive is placed by.
#[derive(Clone, Debug, PartialEq)]
pub enum Ends {
    /// Each frame's own.
    Each,
    /// One pair for the batch, so that differences of exposure survive.
    Common,
    /// Those in the notes of an earlier scan.
    Match(PathBuf),
    /// Of a negative that was scanned again those of its first scan, which its notes name; of all others each frame's
    /// own.
    First,
}

/// How a flat positive is cut.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Crop {
    /// To the upright area that holds the frame.
    Frame,
    /// Not at all.
    None,
}

/// What becomes of what a scan's file says of persons, places and machines.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Personal {
    /// It goes no further.
    Drop,
    /// It is carried on.
    Keep,
}

/// Whether XMP also stands in a file of its own.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Beside {
    /// Only inside.
    None,
    /// In NAME.xmp, too.
    Beside,
}

impl Default for Settings {
    fn default() -> Self {
        Self {
            channel: Channel::Green,
            encoding: None,
            base: None,
            film: Film::Auto,
            frames: None,
            wedge: None,
            salvage: Torn::Refuse,
            ends: Ends::Each,
            crop: Crop::Frame,
            out_encoding: Encoding::Gamma(2.2),
            packing: None,
            paper: Kept::Shelf(shelf::PAPERS[0]),
            grades: Kept::Shelf(shelf::TABLES[0]),
            grade: None,
            place: Placing::default(),
            exposure: Stops::default(),
            dry_down: DryDown::default(),
            split: None,
            zones: ZoneTable::default(),
            photographer: None,
            rights: None,
            personal: Personal::Drop,
            xmp: Beside::None,
            page: PageSize::A4,
        }
    }
}

/// What is wrong with a setting.
#[derive(Debug, thiserror::Error)]
pub enum SettingError {
    /// No such setting.
    #[error("\"{name}\" is no setting: {}", hint.map_or_else(|| format!("there are {}", NAMES.join(", ")), |h| format!("did you mean \"{h}\"?")))]
    Unknown {
        /// As written.
        name: String,
        /// The nearest right one.
        hint: Option<&'static str>,
    },
    /// A value that it cannot take.
    #[error("{name}: {why}")]
    Value {
        /// The setting.
        name: &'static str,
        /// What is wrong, and what it can take.
        why: String,
    },
    /// The setting of a whole batch in the notes of one scan.
    #[error("{0} holds for the whole batch: set it in dryside.toml or as a flag")]
    OfBatch(&'static str),
    /// The file is not TOML.
    #[error("line {line}: {what}")]
    Slip {
        /// 1 for the first.
        line: usize,
        /// What the parser makes of it.
        what: String,
    },
}

pub(super) fn unknown(name: &str) -> SettingError {
    // Two slips in a short word, three in a long one, are still recognisable.
    let near = |n: &&str| strsim::damerau_levenshtein(n, name) <= 2.max(n.len() / 4);
    let hint = NAMES.into_iter().filter(near).min_by_key(|n| strsim::damerau_levenshtein(n, name));
    SettingError::Unknown { name: name.to_owned(), hint }
}

/// More frames than any scanner's bed holds: a 35 mm film of 36 and its ends.
pub(super) const MOST_FRAMES: usize = 40;

/// Names of all settings.
pub(super) const NAMES: [&str; 24] = [
    "channel",
    "encoding",
    "base",
    "film",
    "frames",
    "wedge",
    "salvage",
    "ends",
    "crop",
    "out-encoding",
    "compression",
    "paper",
    "grades",
    "grade",
    "place",
    "exposure",
    "dry-down",
    "split",
    "zones",
    "photographer",
    "rights",
    "personal",
    "xmp",
    "page",
];

/// Exposures of a print, in stops beyond the placing: no negative needs more, and a slip of the pen is soon more.
pub(super) const EXPOSURE: RangeInclusive<f64> = -6.0..=6.0;

impl Settings {
    /// Sets one by its name. Names are checked by the caller.
    pub(super) fn set(&mut self, name: &'static str, word: &str) -> Result<(), SettingError> {
        /// A word read as what it stands for, or what is wrong with it.
        fn read<T: FromStr<Err: fmt::Display>>(word: &str) -> Result<T, String> {
            word.to_lowercase().parse().map_err(|e: T::Err| e.to_string())
        }
        fn unless<T>(auto: &str, word: &str, read: impl Fn(&str) -> Result<T, String>) -> Result<Option<T>, String> {
            if word.eq_ignore_ascii_case(auto) { Ok(None) } else { read(word).map(Some) }
        }
        let set = match name {
            "channel" => read(word).map(|v| self.channel = v),
            "encoding" => unless("auto", word, read).map(|v| self.encoding = v),
            // Four decimals, as all that is written in notes.
            "base" => unless("auto", word, |w| within(w, w.parse().ok(), 0.0, 1.0, "D"))
                .map(|v| self.base = v.map(|d| Density::new(d).noted())),
            "film" => read(word).map(|v| self.film = v),
            "frames" => unless("auto", word, |w| {
                let count: Option<usize> = w.parse().ok().filter(|n| (1..=MOST_FRAMES).contains(n));
                count.ok_or_else(|| format!("\"{w}\": use a number from 1 to {MOST_FRAMES}, or auto"))
            })
            .map(|v| self.frames = v),
            "wedge" => unless("none", word, |w| match w {
                "" => Err("\"\": use a calibration file that dryside wedge wrote, or none".to_owned()),
                path => Ok(PathBuf::from(path)),
            })
            .map(|v| self.wedge = v),
            "salvage" => match word.to_lowercase().as_str() {
                "no" => Ok(Torn::Refuse),
                "yes" => Ok(Torn::Salvage),
                _ => Err(format!("\"{word}\": use yes or no")),
            }
            .map(|v| self.salvage = v),
            // A path keeps its letters.
            "ends" => word.parse().map(|v| self.ends = v),
            "crop" => read(word).map(|v| self.crop = v),
            "out-encoding" => read(word).map(|v| self.out_encoding = v),
            "compression" => unless("same", word, read).map(|v| self.packing = v),
            "paper" => Kept::read(word, "paper", &shelf::PAPERS).map(|v| self.paper = v),
            "grades" => Kept::read(word, "table of grades", &shelf::TABLES).map(|v| self.grades = v),
            "grade" => unless("auto", word, read).map(|v| self.grade = v),
            "place" => read(word).map(|v| self.place = v),
            "exposure" => {
                let stops = word.parse().ok().map(Stops::value);
                within(word, stops, *EXPOSURE.start(), *EXPOSURE.end(), "stops, or thirds as 1/3")
                    .map(|v| self.exposure = Stops::new(v))
            }
            "dry-down" => read(word).map(|v| self.dry_down = v),
            "split" => unless("none", word, read).map(|v| self.split = v),
            "zones" => read(word).map(|v| self.zones = v),
            "photographer" => unless("none", word, line).map(|v| self.photographer = v),
            "rights" => unless("none", word, line).map(|v| self.rights = v),
            "personal" => read(word).map(|v| self.personal = v),
            "xmp" => read(word).map(|v| self.xmp = v),
            "page" => read(word).map(|v| self.page = v),
            _ => return Err(unknown(name)),
        };
        set.map_err(|why| SettingError::Value { name, why })
    }

    /// Settings as notes record them, the way back of [`Settings::words`]; names that are no settings are passed over.
    ///
    /// # Errors
    /// When one of them cannot take its value.
    pub(super) fn of_words(words: &BTreeMap<String, String>) -> Result<Self, SettingError> {
        let mut settings = Self::default();
        for name in NAMES {
            if let Some(word) = words.get(name) {
                settings.set(name, word)?;
            }
        }
        Ok(settings)
    }

    /// Every setting as words, for the record.
    pub fn words(&self) -> BTreeMap<String, String> {
        let auto = || "auto".to_owned();
        let values = [
            self.channel.to_string(),
            self.encoding.as_ref().map_or_else(auto, Encoding::to_string),
            self.base.map_or_else(auto, |b| b.value().to_string()),
            self.film.to_string(),
            self.frames.map_or_else(auto, |n| n.to_string()),
            self.wedge.as_ref().map_or_else(|| "none".to_owned(), |path| path.display().to_string()),
            match self.salvage {
                Torn::Refuse => "no".to_owned(),
                Torn::Salvage => "yes".to_owned(),
            },
            self.ends.to_string(),
            self.crop.to_string(),
            self.out_encoding.to_string(),
            self.packing.map_or_else(|| "same".to_owned(), |p| p.to_string()),
            self.paper.to_string(),
            self.grades.to_string(),
            self.grade.map_or_else(auto, |g| g.to_string()),
            self.place.to_string(),
            self.exposure.value().to_string(),
            self.dry_down.to_string(),
            self.split.map_or_else(|| "none".to_owned(), |split| split.to_string()),
            self.zones.to_string(),
            self.photographer.clone().unwrap_or_else(|| "none".to_owned()),
            self.rights.clone().unwrap_or_else(|| "none".to_owned()),
            self.personal.to_string(),
            self.xmp.to_string(),
            self.page.to_string(),
        ];
        NAMES.map(str::to_owned).into_iter().zip(values).collect()
    }
}

impl Kept {
    /// A name on the shelf, or a file that ends as all of its kind do. A path keeps its letters.
    fn read(word: &str, what: &str, shelf: &[&'static str]) -> Result<Self, String> {
        match shelf.iter().find(|name| name.eq_ignore_ascii_case(word.trim())) {
            Some(name) => Ok(Self::Shelf(name)),
            None if is_toml(word) => Ok(Self::File(PathBuf::from(word))),
            None => Err(format!("\"{word}\" is no {what}: use {}, or a file of your own (.toml)", shelf.join(", "))),
        }
    }
}

/// Whether a word is the path of a paper or a table of one's own.
pub(super) fn is_toml(word: &str) -> bool {
    Path::new(word).extension().is_some_and(|ending| ending.eq_ignore_ascii_case("toml"))
}

impl fmt::Display for Kept {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Shelf(name) => f.write_str(name),
            Self::File(path) => write!(f, "{}", path.display()),
        }
    }
}

impl fmt::Display for Ends {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Each => f.write_str("each"),
            Self::Common => f.write_str("common"),
            Self::First => f.write_str("match"),
            Self::Match(notes) => write!(f, "match={}", notes.display()),
        }
    }
}

impl FromStr for Ends {
    type Err = String;

    fn from_str(word: &str) -> Result<Self, String> {
        match (word.to_lowercase().as_str(), after_match(word)) {
            ("each", _) => Ok(Self::Each),
            ("common", _) => Ok(Self::Common),
            ("match", _) => Ok(Self::First),
            (_, Some(path)) if !path.is_empty() => Ok(Self::Match(path.into())),
            _ => Err(format!(
                "\"{word}\": use each, common, match=FILE with the notes of an earlier scan, or match for negatives scanned again"
            )),
        }
    }
}

/// The path in "match=PATH".
pub(super) fn after_match(word: &str) -> Option<&str> {
    let (before, path) = word.split_at_checked("match=".len())?;
    before.eq_ignore_ascii_case("match=").then_some(path)
}

impl fmt::Display for Beside {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::None => "none",
            Self::Beside => "beside",
        })
    }
}

impl FromStr for Beside {
    type Err = String;

    fn from_str(word: &str) -> Result<Self, String> {
        match word {
            "none" => Ok(Self::None),
            "beside" => Ok(Self::Beside),
            _ => Err(format!("\"{word}\": use none or beside")),
        }
    }
}

impl fmt::Display for Personal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Drop => "drop",
            Self::Keep => "keep",
        })
    }
}

impl FromStr for Personal {
    type Err = String;

    fn from_str(word: &str) -> Result<Self, String> {
        match word {
            "drop" => Ok(Self::Drop),
            "keep" => Ok(Self::Keep),
            _ => Err(format!("\"{word}\": use drop or keep")),
        }
    }
}

impl fmt::Display for Crop {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Frame => "frame",
            Self::None => "none",
        })
    }
}

impl FromStr for Crop {
    type Err = String;

    fn from_str(word: &str) -> Result<Self, String> {
        match word {
            "frame" => Ok(Self::Frame),
            "none" => Ok(Self::None),
            _ => Err(format!("\"{word}\": use frame or none")),
        }
    }
}

/// Words that stand on one line.
fn line(word: &str) -> Result<String, String> {
    let words = word.trim();
    if words.is_empty() || words.contains(char::is_control) {
        return Err(format!("\"{}\": use words on one line, or none", word.escape_debug()));
    }
    Ok(words.to_owned())
}

fn within(word: &str, number: Option<f64>, low: f64, high: f64, unit: &str) -> Result<f64, String> {
    let number = number.filter(|v| (low..=high).contains(v));
    number.ok_or_else(|| format!("\"{word}\": use a number from {low} to {high} ({unit})"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::batch::wishes::{Settled, Wishes};

    #[test]
    fn words_of_settings_set_the_same_settings() {
        let all = "channel = 'red'\nencoding = 'gamma1.8'\nbase = 0.21\nfilm = '120'\nframes = 3\nwedge = 'tablet.wedge.toml'\nsalvage = 'yes'\nends = 'common'\ncrop = 'none'\n\
                   out-encoding = 'lstar'\ncompression = 'lzw'\npaper = 'matt'\ngrades = 'loft.toml'\ngrade = '2 1/2'\nplace = '512,300=VII 1/3'\n\
                   exposure = 0.5\ndry-down = '8%'\nsplit = '00 -1, 5 -1 1/2'\n\
                   zones = '0.09 0.18 0.30 0.45 0.70 0.85 1.05 1.30 1.45'\n\
                   photographer = 'M. Hemp'\nrights = 'all'\npersonal = 'keep'\nxmp = 'beside'\npage = 'letter'";
        let all = Wishes::parse(all, Path::new("")).unwrap();
        let settings = Settled::settle(&all, &Wishes::default(), &Wishes::default()).settings;
        let mut back = Settings::default();
        for name in NAMES {
            back.set(name, &settings.words()[name]).unwrap();
        }
        assert_eq!(back, settings);
    }

    #[test]
    fn words_are_read_in_either_case_and_paths_as_they_are() {
        let words = |name, word: &str| {
            let mut settings = Settings::default();
            settings.set(name, word).map(|()| settings.words()[name].clone()).map_err(|e| e.to_string())
        };
        for (name, word, read) in [
            ("encoding", "sRGB", "srgb"),
            ("encoding", "Gamma2.2", "gamma 2.2"),
            ("out-encoding", "LSTAR", "lstar"),
            ("channel", "Green", "green"),
            ("film", "35MM", "35mm"),
            ("frames", "Auto", "auto"),
            ("ends", "Common", "common"),
            ("ends", "Match=Loft/Coil.notes.toml", "match=Loft/Coil.notes.toml"),
            ("wedge", "Tablet.wedge.toml", "Tablet.wedge.toml"),
            ("crop", "None", "none"),
            ("compression", "LZW", "lzw"),
            ("page", "A4", "a4"),
            ("paper", "Semi-Matt", "semi-matt"),
            ("paper", "Loft/Mine.paper.toml", "Loft/Mine.paper.toml"),
            ("grades", "RC", "rc"),
            ("place", "Shadows", "shadows"),
            ("place", "512,300=viii", "512,300=VIII"),
            ("split", "None", "none"),
        ] {
            assert_eq!(words(name, word).as_deref(), Ok(read), "{name} {word}");
        }
        assert!(words("encoding", "2.2").unwrap_err().contains("gamma2.2"));
        let told = words("paper", "pearl").unwrap_err();
        assert!(told.contains("\"pearl\" is no paper: use glossy, semi-matt, matt, or a file"), "{told}");
        assert!(words("grades", "7").unwrap_err().contains("is no table of grades: use bands, rc, rc-later, fibre"));
    }

    #[test]
    fn stops_are_read_as_printers_write_them() {
        for (word, stops) in [("1/3", 1.0 / 3.0), ("-1 1/2", -1.5), ("+2/3", 2.0 / 3.0), ("0.25", 0.25), ("-1", -1.0)] {
            let mut settings = Settings::default();
            settings.set("exposure", word).unwrap();
            assert!((settings.exposure.value() - stops).abs() < 1e-9, "{word}");
        }
        for wrong in ["1/0", "a/b", "1 1", "--1/3"] {
            assert!(Settings::default().set("exposure", wrong).is_err(), "{wrong}");
        }
        for far in ["20/3", "-6 1/3", "7"] {
            let told = Settings::default().set("exposure", far).unwrap_err().to_string();
            assert!(told.contains(&format!("\"{far}\": use a number from -6 to 6")), "{told}");
        }
    }
}
