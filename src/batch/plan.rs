//! What the scans of a batch decide together, and with it what each frame is made with.

use std::collections::HashMap;
use std::sync::Arc;

use crate::film::Warning;
use crate::flat::Law;
use crate::light::Density;
use crate::notes::WarningNote;

use super::entry::{Entry, Known, PlacedSpot};
use super::frame::{Decided, grade, thinner};
use super::key::key;
use super::reading::Reading;
use super::settings::{Crop, Ends};

/// Two bases further apart than this, in D, are of two films or two developments: twice the accuracy of a
/// bench densitometer (0.02 D, makers' manuals, from memory).
const UNLIKE: f64 = 0.04;

/// Readings of one base differ by up to this, in D: repeatability of a bench densitometer (makers' manuals, from
/// memory).
const REPEATS: f64 = 0.01;

/// Warnings that say no more where the base was taken from elsewhere.
pub(super) const ELSEWHERE: [&str; 2] = ["no-base", "base-unsure"];

/// What holds for the whole batch.
#[derive(Debug, Default)]
pub(super) struct Plan {
    /// The sure rebates.
    bases: Option<Bases>,
    /// Thinnest and densest net end of all frames.
    pub common: Option<(Density, Density)>,
    /// By its file, why a scan does not belong to the notes of its name.
    pub exchanged: HashMap<String, String>,
    /// Which scan has which frame name, in lower case.
    names: HashMap<String, String>,
}

/// The sure rebates of a batch.
#[derive(Clone, Copy, Debug)]
struct Bases {
    median: Density,
    lowest: Density,
    highest: Density,
    /// Whether it is one film: at least three scans, and more than half of them alike.
    agreed: bool,
    /// Whether more than half of them even read the same.
    one: bool,
}

impl Bases {
    fn of(mut densities: Vec<Density>) -> Option<Self> {
        densities.sort_by(|a, b| a.value().total_cmp(&b.value()));
        let n = densities.len();
        let (lowest, highest) = (*densities.first()?, *densities.last()?);
        let median = Density::new((densities[n / 2].value() + densities[(n - 1) / 2].value()) / 2.0).noted();
        let most = |within: f64| n >= 3 && 2 * densities.iter().filter(|d| apart(**d, median) <= within).count() > n;
        Some(Self { median, lowest, highest, agreed: most(UNLIKE), one: most(REPEATS) })
    }
}

impl Bases {
    /// The base that the batch has in common, to the hundredth that a densitometer shows: a scan more or less does not
    /// move it.
    fn common(&self) -> Density {
        Density::new((self.median.value() * 1e2).round() / 1e2)
    }

    /// Where most scans read the same: a reading that differs from theirs by no more than readings of one base do.
    fn locks(&self, density: Density) -> bool {
        self.one && apart(density, self.common()) <= REPEATS
    }
}

fn unlike(a: Density, b: Density) -> bool {
    apart(a, b) > UNLIKE
}

/// How far apart two densities are, to the four decimals that are written down.
fn apart(a: Density, b: Density) -> f64 {
    (a - b).noted().value().abs()
}

/// What was decided for a scan.
#[derive(Clone, Debug)]
pub(super) struct Decision {
    /// For each frame.
    pub frames: Vec<Decided>,
    /// Film base taken off.
    pub base: Density,
    /// Where it came from: rebate, batch, given, assumed.
    pub base_source: &'static str,
    /// The place that the exposure is found by, if it is by one.
    pub spot: Option<PlacedSpot>,
    /// Of the measuring and of the decisions.
    pub warnings: Vec<WarningNote>,
}

/// What a measured scan brings to the counsel of all.
#[derive(Clone, Copy, Debug)]
pub(super) struct Voice<'a> {
    /// File name.
    pub file: &'a str,
    /// Name of what is made from it.
    pub name: &'a str,
    /// The base that somebody gave it.
    pub given: Option<Density>,
    /// What was measured.
    pub reading: &'a Reading,
}

/// The base of one scan, and who said so.
struct Base {
    density: Density,
    source: &'static str,
    warning: Option<Warning>,
}

impl Plan {
    /// Takes counsel with all scans that could be measured, in name order.
    pub(super) fn of(voices: &[Voice<'_>]) -> Self {
        let sure = voices.iter().filter_map(|voice| voice.reading.rebate).filter(|rebate| rebate.sure);
        let bases = Bases::of(sure.map(|rebate| rebate.density).collect());
        let mut plan = Self { bases, ..Self::default() };

        let nets = voices.iter().flat_map(|voice| {
            let base = plan.base_of(voice.given, voice.reading).density;
            voice.reading.frames.iter().map(move |f| (f.thin - base, f.dense - base))
        });
        plan.common = nets.reduce(|a, b| {
            let thin = if b.0 < a.0 { b.0 } else { a.0 };
            let dense = if b.1 > a.1 { b.1 } else { a.1 };
            (thin, dense)
        });
        for Voice { file, name, reading, .. } in voices {
            for number in 1..=reading.frames.len() {
                let name = frame_name(name, number, reading.frames.len());
                plan.names.entry(name.to_lowercase()).or_insert_with(|| (*file).to_owned());
            }
        }
        plan
    }

    /// A short name for what was decided in common: the same wherever the same scans were heard.
    pub(super) fn key(&self) -> String {
        let mut names: Vec<_> = self.names.iter().collect();
        names.sort();
        key(&[&format!("{:?} {:?} {names:?}", self.bases, self.common)])
    }

    /// What each frame of a measured scan is made with.
    ///
    /// # Errors
    /// When another scan has the name of one of its frames, or its spot cannot be read.
    pub(super) fn decide(&self, entry: &Entry, known: &Known, reading: &Reading) -> Result<Decision, String> {
        let settings = &known.settled.settings;
        let base = self.base_of(settings.base, reading);
        let spot = known.spot.clone()?;
        let (first, now) = (known.matched.len(), reading.frames.len());
        if settings.ends == Ends::First && first > 0 && first != now {
            let what = "put them right with frames or picture, or leave ends = \"match\" out";
            return Err(format!("{now} frames were found in it and {first} in its first scan: {what}"));
        }
        let (mut frames, mut decided) = (Vec::new(), Vec::from_iter(base.warning));
        for (number, frame) in (1..).zip(&reading.frames) {
            let name = frame_name(&entry.name, number, reading.frames.len());
            if let Some(other) = self.names.get(&name.to_lowercase()).filter(|other| **other != entry.file) {
                return Err(format!("its frame {name} would have the files of {other}: rename one of the two"));
            }
            let (grade, warning) = grade(settings, known.stock.table(), frame, number);
            decided.extend(warning);
            decided.extend(thinner(frame, base.density, number));
            let bounds = frame.corners.bounds(reading.size);
            let frame = Decided {
                name,
                number,
                reading: frame.clone(),
                base: base.density,
                law: self.law(known, number, (frame.thin - base.density, frame.dense - base.density)),
                flat_area: if settings.crop == Crop::None { reading.size.whole() } else { bounds },
                proof_area: bounds,
                grade,
                grade_given: settings.grade.is_some(),
                stock: Arc::clone(&known.stock),
                placing: settings.place,
                spot: spot.map(|spot| spot.density - base.density),
                exposure: settings.exposure,
                dry_down: settings.dry_down,
                split: settings.split,
                open: None,
            };
            decided.extend(frame.beyond_split());
            frames.push(frame);
        }
        let mut warnings = reading.warnings.clone();
        // That a base was taken from elsewhere is told by who took it.
        let elsewhere: &[&str] = match base.source {
            "batch" | "given" => &ELSEWHERE,
            _ => &[],
        };
        warnings.retain(|w| !elsewhere.contains(&w.code.as_str()));
        warnings.extend(decided.iter().map(WarningNote::from));
        warnings.sort_by_key(WarningNote::gravity);
        Ok(Decision { frames, base: base.density, base_source: base.source, spot, warnings })
    }

    /// Given; else the batch's where its scans agree and this one's rebate reads the same or is not sure; else the
    /// scan's own rebate; else the batch's; else none: then density counts from clear light.
    fn base_of(&self, given: Option<Density>, reading: &Reading) -> Base {
        let base = |density, source, warning| Base { density, source, warning };
        match (given, reading.rebate, self.bases) {
            (Some(given), Some(rebate), _) if unlike(given, rebate.density) => {
                let warning = Warning::BaseUnlikeRebate { given, rebate: rebate.density };
                base(given, "given", Some(warning))
            }
            (Some(given), _, _) => base(given, "given", None),
            (None, Some(own), Some(of)) if of.agreed && (!own.sure || of.locks(own.density)) => {
                let (density, bases) = (of.common(), [of.lowest, of.highest]);
                let other = unlike(own.density, density).then_some(Warning::BaseOfBatch { density, bases });
                base(density, "batch", other)
            }
            (None, Some(own), Some(of)) if of.agreed && unlike(own.density, of.median) => {
                let warning = Warning::BaseUnlikeBatch { density: own.density, batch: of.median };
                base(own.density, "rebate", Some(warning))
            }
            (None, Some(own), _) => base(own.density, "rebate", None),
            (None, None, Some(of)) => {
                let (density, bases) = (of.common(), [of.lowest, of.highest]);
                base(density, "batch", Some(Warning::BaseOfBatch { density, bases }))
            }
            (None, None, None) => base(Density::default(), "assumed", None),
        }
    }

    fn law(&self, known: &Known, number: usize, own: (Density, Density)) -> Law {
        let (thin, dense) = match &known.settled.settings.ends {
            Ends::Each => own,
            Ends::Common => self.common.unwrap_or(own),
            Ends::Match(_) => known.matched.first().copied().unwrap_or(own),
            Ends::First => known.matched.get(number - 1).copied().unwrap_or(own),
        };
        Law::between(thin.noted(), dense.noted())
    }
}

impl Decision {
    /// Whether its frames can be shown on the straight pages: not without a base to expose by.
    pub(super) fn has_straight(&self) -> bool {
        self.base_source != "assumed"
    }

    /// Everything that the files and the notes of a scan depend on.
    pub(super) fn key(&self, known: &Known) -> String {
        let mut parts = vec![known.measure_key.clone(), self.base.value().to_string(), self.base_source.to_owned()];
        // The page is the sheet's, not the scan's, and zones are for looking back; of the wedge counts what is in it,
        // which the measuring goes by; that a scan was salvaged is among its warnings.
        let counts = |name: &str| !["page", "wedge", "zones", "salvage"].contains(&name);
        let words = known.settled.settings.words();
        parts.extend(words.into_iter().filter(|(name, _)| counts(name)).map(|(_, word)| word));
        let decided = known.settled.decided_by.iter().filter(|(name, _)| counts(name) || **name == "wedge");
        parts.extend(decided.map(|(name, place)| format!("{name} {place}")));
        parts.extend(self.frames.iter().map(|f| format!("{} {:?} {:?} {:?}", f.name, f.law, f.flat_area, f.reading)));
        // What notes say of the shot goes into the files.
        parts.push(format!(
            "{:?}",
            known.shot.fields().iter().map(|field| (&field.name, &field.text)).collect::<Vec<_>>()
        ));
        // What is in a paper's file, not its name.
        parts.push(format!("{:?} {:?}", known.stock, self.spot));
        parts.extend(self.warnings.iter().map(|w| w.message.clone()));
        key(&parts.iter().map(String::as_str).collect::<Vec<_>>())
    }
}

fn frame_name(scan: &str, number: usize, frames: usize) -> String {
    if frames == 1 { scan.to_owned() } else { format!("{scan}-{number}") }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::batch::reading::Rebate;
    use crate::plane::{Area, Quad, Size};

    /// A scan whose rebate reads this, sure or not; none without.
    fn reading(rebate: Option<(f64, bool)>) -> Reading {
        let size = Size { width: 10, height: 10 };
        let patch = Quad::of(Area { x: 0, y: 0, width: 10, height: 10 });
        let rebate = rebate.map(|(density, sure)| Rebate {
            density: Density::new(density),
            sure,
            confidence: 1.0,
            sides: 4,
            spread: Density::default(),
            patch,
        });
        Reading {
            size,
            rebate,
            frames: Vec::new(),
            tones: Vec::new(),
            codes_blake3: String::new(),
            warnings: Vec::new(),
        }
    }

    #[test]
    fn every_scan_has_the_base_that_it_should() {
        let film = [0.208, 0.212, 0.214, 0.26].map(Density::new);
        let plan = Plan { bases: Bases::of(film.to_vec()), ..Plan::default() };
        let base = |plan: &Plan, given: Option<f64>, rebate: Option<(f64, bool)>| {
            let base = plan.base_of(given.map(Density::new), &reading(rebate));
            (base.density.value(), base.source, base.warning.map(|w| w.code()))
        };
        for (given, rebate, should) in [
            (None, Some((0.214, true)), (0.21, "batch", None)),
            (None, Some((0.22, true)), (0.21, "batch", None)),
            (None, Some((0.225, true)), (0.225, "rebate", None)),
            (None, Some((0.26, true)), (0.26, "rebate", Some("base-unlike-batch"))),
            (None, Some((0.26, false)), (0.21, "batch", Some("base-of-batch"))),
            (None, Some((0.23, false)), (0.21, "batch", None)),
            (None, None, (0.21, "batch", Some("base-of-batch"))),
            (Some(0.3), Some((0.21, true)), (0.3, "given", Some("base-unlike-rebate"))),
            (Some(0.22), Some((0.21, true)), (0.22, "given", None)),
        ] {
            assert_eq!(base(&plan, given, rebate), should, "{given:?} {rebate:?}");
        }
        let alone = Plan::default();
        assert_eq!(base(&alone, None, Some((0.26, false))), (0.26, "rebate", None));
        assert_eq!(base(&alone, None, None), (0.0, "assumed", None));
    }

    fn bases(values: &[f64]) -> Option<(f64, bool)> {
        Bases::of(values.iter().map(|v| Density::new(*v)).collect()).map(|b| (b.median.value(), b.agreed))
    }

    #[test]
    fn scans_of_one_film_are_locked_to_one_base_and_others_keep_their_own() {
        let of = |values: &[f64]| Bases::of(values.iter().map(|v| Density::new(*v)).collect()).unwrap();
        let film = of(&[0.212, 0.208, 0.214, 0.26]);
        assert_eq!(film.common(), Density::new(0.21));
        assert!(film.locks(Density::new(0.214)) && !film.locks(Density::new(0.225)));
        assert!(!of(&[0.20, 0.22, 0.18, 0.16]).locks(Density::new(0.19)), "no two of them read the same");
    }

    #[test]
    fn a_batch_speaks_with_its_middle_voice_and_only_if_it_has_one() {
        assert_eq!(bases(&[]), None);
        assert_eq!(bases(&[0.30, 0.20, 0.21]), Some((0.21, true)));
        assert_eq!(bases(&[0.20, 0.25]), Some((0.225, false)), "two scans are no majority");
        assert_eq!(bases(&[0.12, 0.20, 0.28, 0.36]), Some((0.24, false)), "nor are four films");
    }
}
