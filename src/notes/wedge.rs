//! The calibration file of a scanner, version 1, and the list of a tablet's densities.

use std::fmt::Write;

use serde::Deserialize;
use toml::Spanned;

use crate::light::{Density, LEAST_STEPS};

/// Version of this format. A file of a newer version is refused.
pub const WEDGE_VERSION: u32 = 1;

/// What a calibration file calls itself.
const FORMAT: &str = "dryside wedge";

/// Densities that a step can have, or that a scanner can read of one: no scanner reads beyond 5 D, and its full scale
/// may lie below open light.
const OF_A_STEP: std::ops::RangeInclusive<f64> = -1.0..=6.0;

/// What a scanned step tablet taught.
#[derive(Clone, Debug, PartialEq)]
pub struct WedgeFile {
    /// Program and version that made it.
    pub program: String,
    /// The scan that it was made from.
    pub scan: WedgeScan,
    /// The tablet: its name, and how many steps it has.
    pub tablet: (String, usize),
    /// Steps that could be told apart, thinnest first.
    pub steps: Vec<WedgeStep>,
}

/// `[scan]`: the scan of the tablet.
#[derive(Clone, Debug, PartialEq, Eq, Deserialize)]
pub struct WedgeScan {
    /// File name, without folders.
    pub file: String,
    /// When it was last changed, UTC, RFC 3339.
    pub modified: String,
    /// Which channel of three was read.
    #[serde(default)]
    pub channel: Option<String>,
    /// Transfer encoding of its codes.
    pub encoding: String,
    /// Who said so: profile, given, assumed.
    pub encoding_source: String,
}

/// A step. In D, four decimals.
#[derive(Clone, Copy, Debug, PartialEq, Deserialize)]
pub struct WedgeStep {
    /// As the scanner reads it.
    pub scanner: f64,
    /// As the tablet has it.
    pub density: f64,
    /// How far that lies above what the other steps say; the two outermost have none.
    pub residual: Option<f64>,
}

/// Why a file is no calibration.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum WedgeError {
    /// Something else.
    #[error("it is no calibration: give a file that dryside wedge has written")]
    Other,
    /// Written by a newer program.
    #[error("it is of version {0}, newer than this program knows ({WEDGE_VERSION}): use a newer dryside")]
    Newer(u32),
    /// Damaged in a place that can be named.
    #[error("line {line}: {what}: make it again with dryside wedge")]
    Line {
        /// 1 for the first.
        line: usize,
        /// What is wrong there.
        what: String,
    },
    /// Too short.
    #[error("it has {0} steps, a curve needs {LEAST_STEPS}: make it again with dryside wedge")]
    Few(usize),
}

/// The part that is read back.
#[derive(Deserialize)]
struct Parsed {
    program: String,
    scan: WedgeScan,
    tablet: Tablet,
    steps: Vec<Spanned<WedgeStep>>,
}

#[derive(Deserialize)]
struct Tablet {
    name: String,
    steps: usize,
}

impl WedgeFile {
    /// The file's text.
    pub fn text(&self) -> String {
        let word = |text: &str| toml::Value::from(text).to_string();
        let channel = self.scan.channel.as_ref().map_or_else(String::new, |c| format!("channel = {}\n", word(c)));
        let (median, largest) = self.residuals();
        let ends = |of: Option<&WedgeStep>| of.map_or(0.0, |step| step.density);
        let mut text = format!(
            "# What a step tablet taught about a scanner. Name this file in dryside.toml, wedge = \"...\", for scans made with the\n\
             # same scanner and the same settings. Densities in D; the formulas are in docs/physics.md.\n\n\
             format = {}\nversion = {WEDGE_VERSION}\nprogram = {}\n\n\
             [scan]\nfile = {}\nmodified = {}\n{channel}encoding = {}\nencoding_source = {}\n\n\
             [tablet]\nname = {}\nsteps = {}\n\n\
             [reach]\nsteps = {}\nthinnest = {:.4}\ndensest = {:.4}\nresidual_median = {median:.4}\nresidual_largest = {largest:.4}\n",
            word(FORMAT),
            word(&self.program),
            word(&self.scan.file),
            word(&self.scan.modified),
            word(&self.scan.encoding),
            word(&self.scan.encoding_source),
            word(&self.tablet.0),
            self.tablet.1,
            self.steps.len(),
            ends(self.steps.first()),
            ends(self.steps.last()),
        );
        for step in &self.steps {
            let residual = step.residual.map_or_else(String::new, |r| format!("residual = {r:.4}\n"));
            // Writing into a string cannot fail.
            let _ =
                write!(text, "\n[[steps]]\nscanner = {:.4}\ndensity = {:.4}\n{residual}", step.scanner, step.density);
        }
        text
    }

    /// Reads a file back.
    ///
    /// # Errors
    /// When it is none, of a newer version, or damaged: with the line, where there is one.
    pub fn parse(text: &str) -> Result<Self, WedgeError> {
        let line_of = |at: usize| text.as_bytes()[..at.min(text.len())].iter().filter(|b| **b == b'\n').count() + 1;
        let slip = |e: toml::de::Error| {
            let what = e.message().lines().next().unwrap_or("not TOML").to_owned();
            WedgeError::Line { line: e.span().map_or(1, |span| line_of(span.start)), what }
        };
        let table: toml::Table = text.parse().map_err(slip)?;
        if table.get("format").and_then(toml::Value::as_str) != Some(FORMAT) {
            return Err(WedgeError::Other);
        }
        let version = table.get("version").and_then(toml::Value::as_integer).and_then(|v| u32::try_from(v).ok());
        match version {
            Some(newer) if newer > WEDGE_VERSION => return Err(WedgeError::Newer(newer)),
            Some(_) => {}
            None => return Err(WedgeError::Other),
        }
        let parsed: Parsed = toml::from_str(text).map_err(slip)?;
        for (i, step) in parsed.steps.iter().enumerate() {
            // The span of a step begins at its [[steps]], the numbers stand below.
            let wrong = |what: String| WedgeError::Line { line: line_of(step.span().start), what };
            let own = step.get_ref();
            if let Some(d) = [own.scanner, own.density].into_iter().find(|d| !OF_A_STEP.contains(d)) {
                return Err(wrong(format!("in the step that begins here {d} is no density")));
            }
            let before = i.checked_sub(1).map(|i| parsed.steps[i].get_ref());
            if before.is_some_and(|b| own.scanner <= b.scanner || own.density <= b.density) {
                return Err(wrong("the step that begins here is not denser than the one before".to_owned()));
            }
        }
        if parsed.steps.len() < LEAST_STEPS {
            return Err(WedgeError::Few(parsed.steps.len()));
        }
        Ok(Self {
            program: parsed.program,
            scan: parsed.scan,
            tablet: (parsed.tablet.name, parsed.tablet.steps),
            steps: parsed.steps.into_iter().map(Spanned::into_inner).collect(),
        })
    }

    /// The median and the largest of all residuals, without their signs; 0 where there is none.
    pub fn residuals(&self) -> (f64, f64) {
        let mut all: Vec<f64> = self.steps.iter().filter_map(|step| step.residual.map(f64::abs)).collect();
        all.sort_by(f64::total_cmp);
        (all.get(all.len() / 2).copied().unwrap_or(0.0), all.last().copied().unwrap_or(0.0))
    }
}

/// The densities of a tablet from a list that a person wrote: one a line, or separated by commas, semicolons or blanks;
/// what stands after `#` is not read.
///
/// # Errors
/// The line and the word that is no density.
pub fn densities(text: &str) -> Result<Vec<Density>, String> {
    let lines = (1..).zip(text.trim_start_matches('\u{feff}').lines());
    let words = lines.flat_map(|(number, line)| {
        let told = line.split('#').next().unwrap_or_default();
        told.split([';', ' ', '\t', '\r']).map(move |word| (number, word))
    });
    let words: Vec<_> = words.collect();
    if let Some((line, word, point)) = words.iter().find_map(|(line, word)| Some((line, word, with_point(word)?))) {
        return Err(format!("line {line}: \"{word}\": decimals are written with a point, as {point}"));
    }
    let words = words.into_iter().flat_map(|(line, word)| word.split(',').map(move |part| (line, part)));
    words
        .filter(|(_, word)| !word.is_empty())
        .map(|(line, word)| {
            let density = word.parse().ok().filter(|d| OF_A_STEP.contains(d));
            density.map(|d| Density::new(d).noted()).ok_or_else(|| {
                format!("line {line}: \"{word}\" is no density: write one density a line, as 0.05, and nothing else")
            })
        })
        .collect()
}

/// A number that was written with a comma, with a point; no two densities stand so: whole ones, and nothing between.
fn with_point(word: &str) -> Option<String> {
    let (whole, part) = word.trim_end_matches(',').split_once(',')?;
    let figures = |text: &str| !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit());
    (figures(whole.trim_start_matches('-')) && figures(part)).then(|| format!("{whole}.{part}"))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn file() -> WedgeFile {
        let step = |scanner, density, residual| WedgeStep { scanner, density, residual };
        WedgeFile {
            program: "dryside 0.1.0".into(),
            scan: WedgeScan {
                file: "tablet \"of the loft\".tif".into(),
                modified: "2026-03-14T10:00:00Z".into(),
                channel: Some("green".into()),
                encoding: "gamma 2.2".into(),
                encoding_source: "profile".into(),
            },
            tablet: ("21 x 0.15".into(), 21),
            steps: vec![
                step(0.0497, 0.05, None),
                step(0.198, 0.2, Some(-0.0012)),
                step(0.346, 0.35, Some(0.0007)),
                step(0.493, 0.5, None),
            ],
        }
    }

    #[test]
    fn a_calibration_comes_back_as_it_was_written() {
        let text = file().text();
        assert_eq!(WedgeFile::parse(&text).unwrap(), file(), "{text}");
        assert_eq!(file().residuals(), (0.0012, 0.0012));
    }

    #[test]
    fn a_damaged_file_is_refused_with_line_and_reason() {
        let text = file().text();
        let line_of = |what: &str| text.lines().position(|l| l == what).unwrap() + 1;
        let refused = |from: &str, to: &str| {
            assert!(text.contains(from), "{text}");
            WedgeFile::parse(&text.replacen(from, to, 1)).unwrap_err().to_string()
        };
        let at = |what| format!("line {}: ", line_of(what));
        // The third step's numbers are changed; it begins two lines above its density.
        let third = format!("line {}: ", line_of("scanner = 0.3460") - 1);
        for wrong in ["density = 0.1000", "density = 0.2000", "density = -0.3000"] {
            let told = refused("density = 0.3500", wrong);
            assert!(told.starts_with(&third) && told.contains("not denser"), "{told}");
        }
        for wrong in ["scanner = 77.0", "scanner = nan", "scanner = inf"] {
            let told = refused("scanner = 0.3460", wrong);
            assert!(told.starts_with(&third) && told.contains("is no density"), "{told}");
        }
        assert!(refused("density = 0.3500", "density = 0,35").starts_with(&at("density = 0.3500")));
        assert!(refused("density = 0.3500", "density = \"thin\"").starts_with(&at("density = 0.3500")));
        assert!(refused("version = 1", "version = 2").contains("newer"));
        assert!(refused("format = \"dryside wedge\"", "format = \"a cake\"").contains("no calibration"));
        let short = text.split("\n[[steps]]").take(3).collect::<Vec<_>>().join("\n[[steps]]");
        assert_eq!(WedgeFile::parse(&short), Err(WedgeError::Few(2)));
        assert_eq!(WedgeFile::parse("grade = 2"), Err(WedgeError::Other));
    }

    #[test]
    fn a_list_of_densities_is_read_as_people_write_it() {
        let plain = |text| densities(text).map(|list| list.iter().map(|d| d.value()).collect::<Vec<_>>());
        assert_eq!(plain("# of the loft\n0.05\n0.20 # base\n\n0.35\n"), Ok(vec![0.05, 0.2, 0.35]));
        assert_eq!(plain("\u{feff}0.05, 0.20;0.35\r\n"), Ok(vec![0.05, 0.2, 0.35]));
        assert!(plain("0.05\n0,x20").unwrap_err().contains("line 2: \"x20\""));
        assert!(plain("0.05\n20").unwrap_err().contains("line 2: \"20\""));
        assert_eq!(plain("0.05,0.20,0.35"), Ok(vec![0.05, 0.2, 0.35]));
        for (text, line) in [("0,05\n0,20\n", 1), ("# D\n0,05; 0,20", 2), ("0.05\n0,20, 0,35", 2)] {
            let told = plain(text).unwrap_err();
            assert!(told.starts_with(&format!("line {line}: ")) && told.contains("with a point, as 0."), "{told}");
        }
    }
}
