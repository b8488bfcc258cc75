//! The photographer's `[shot]`, read: a view beside the text, which stays as it is. A field that cannot be read is told
//! with its place, and is the only one that is not there.

mod date;
mod field;
mod kind;
mod slip;
mod walk;
mod write;

use toml_edit::Document;

use crate::light::{Millimetres, Stops};
use crate::meter::{Bellows, Exposure, FNumber, FilterFactor, Reading, Reciprocity, Seconds, ZoneStep};

pub use date::{NoDate, ShotDate};
use field::Found;
pub use field::{FIELDS, Field};
pub use kind::Kind;
pub(super) use slip::Lines;
pub use slip::Slip;
pub use write::WriteError;
pub(super) use write::write;

use kind::Told;

/// How a picture was made at the camera. All of it may be missing.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ShotNotes {
    /// What the picture is called.
    pub title: Option<String>,
    /// What it shows; stands under it on sheets.
    pub subject: Option<String>,
    /// More words about it.
    pub caption: Option<String>,
    /// Where it was made.
    pub place: Option<String>,
    /// When it was exposed.
    pub date: Option<ShotDate>,
    /// Who made it.
    pub photographer: Option<String>,
    /// Whose it is.
    pub rights: Option<String>,
    /// Words to find it by.
    pub keywords: Vec<String>,
    /// -1 (rejected) to 5.
    pub rating: Option<i8>,
    /// The film.
    pub film: Option<String>,
    /// The speed that the meter was set to.
    pub speed: Option<f64>,
    /// Film holder, and its side.
    pub holder: Option<String>,
    /// Side of the holder.
    pub side: Option<String>,
    /// The camera.
    pub camera: Option<String>,
    /// The lens.
    pub lens: Option<String>,
    /// Its focal length.
    pub focal: Option<Millimetres>,
    /// As it was written.
    pub aperture: Option<FNumber>,
    /// How long the shutter was open.
    pub shutter: Option<Seconds>,
    /// The filter, by its name.
    pub filter: Option<String>,
    /// What it takes away.
    pub factor: Option<FilterFactor>,
    /// From lens board to film.
    pub bellows: Option<Millimetres>,
    /// What the film needs above a second: P, a film's name or its file.
    pub reciprocity: Option<String>,
    /// The light.
    pub light: Option<String>,
    /// Movements of the front and the rear standard.
    pub movements: [Movements; 2],
    /// What was metered, in the order written.
    pub readings: Vec<MeterNote>,
    /// The development.
    pub development: DevelopmentNotes,
    /// Anything else.
    pub remarks: Option<String>,
    /// The first scan of this negative, by its name or its notes.
    pub rescan_of: Option<String>,
    /// Keys of the photographer's own, dotted, with their text.
    pub own: Vec<(String, String)>,
    /// What cannot be read.
    pub slips: Vec<Slip>,
    /// What looks like a slip of the pen and may be none.
    pub hints: Vec<Slip>,
    /// Every field that was read, in the order written.
    read: Vec<ReadField>,
}

/// A field that was read, as it stands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ReadField {
    /// Its dotted name below `[shot]`.
    pub name: String,
    /// What stands there, without quotes.
    pub text: String,
    /// Line and column, 1 for the first.
    pub place: (usize, usize),
    /// Whether it stands in the notes of the first scan of the same negative.
    pub of_first: bool,
}

/// Movements of one standard.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Movements {
    /// Up; a fall is below 0.
    pub rise: Option<Millimetres>,
    /// To the right, seen from behind.
    pub shift: Option<Millimetres>,
    /// About the upright axis, in degrees.
    pub swing: Option<f64>,
    /// About the level axis, in degrees; forwards is above 0.
    pub tilt: Option<f64>,
}

/// Something that was metered.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct MeterNote {
    /// What it stands under, its name or its number.
    pub key: String,
    /// What: "shadow".
    pub name: String,
    /// What the meter said.
    pub metered: Option<Reading>,
    /// The aperture that this is for, if another than that of the exposure.
    pub aperture: Option<FNumber>,
    /// The zone that it was placed on, or fell on.
    pub zone: Option<ZoneStep>,
    /// Where it is, x and y in pixels of the scan as stored.
    pub at: Option<[f64; 2]>,
}

/// `[shot.development]`
#[derive(Clone, Debug, Default, PartialEq)]
pub struct DevelopmentNotes {
    /// The developer.
    pub developer: Option<String>,
    /// How it was mixed.
    pub dilution: Option<String>,
    /// How long.
    pub time: Option<Seconds>,
    /// In degrees Celsius.
    pub temperature: Option<f64>,
    /// How it was moved.
    pub agitation: Option<String>,
    /// N+1 is 1.
    pub n: Option<Stops>,
    /// Anything else.
    pub remarks: Option<String>,
}

impl ShotNotes {
    /// What the picture is called: its title, else its subject; without blanks around it.
    pub fn called(&self) -> Option<&str> {
        words(&self.title).or_else(|| words(&self.subject))
    }

    /// What is told of the picture beside that: its caption, else its subject where it is called by its title.
    pub fn told(&self) -> Option<&str> {
        self.caption.as_deref().or_else(|| words(&self.title).and_then(|_| words(&self.subject)))
    }

    /// Reads `[shot]` of a notes file; nothing is in it when there is none.
    pub fn of(text: &str) -> Self {
        let mut shot = Self::default();
        shot.read_in(text, |_| true, false);
        shot.check_lens();
        shot
    }

    /// Reads that of a negative that was scanned again: where it says nothing of its own, what the notes of the `first`
    /// scan say. Places do not come over, they are pixels of the other scan.
    pub fn of_rescan(text: &str, first: &str) -> Self {
        let own = Self::of(text);
        let mut shot = Self::default();
        let slipped = |name: &str| own.slips.iter().any(|slip| slip.key == name);
        let said =
            |name: &str| own.place(name).is_some() || slipped(name) || own.own.iter().any(|(own, _)| own == name);
        shot.read_in(first, |name| !said(name) && !name.ends_with(".at"), true);
        (shot.slips, shot.hints) = (Vec::new(), Vec::new());
        shot.read_in(text, |_| true, false);
        shot.check_lens();
        shot
    }

    fn read_in(&mut self, text: &str, wanted: impl Fn(&str) -> bool, of_first: bool) {
        let Ok(document) = Document::parse(text) else { return };
        let Some(item) = document.get("shot") else { return };
        let lines = Lines::of(text);
        if !item.is_table_like() {
            let at = item.span().map_or((1, 1), |span| lines.place(span.start));
            let what = "it is no table: write the fields below a line [shot]".to_owned();
            self.slips.push(Slip { key: "shot".to_owned(), place: at, text: item.to_string().trim().to_owned(), what });
        }
        for found in walk::fields(item).into_iter().filter(|found| wanted(&found.name)) {
            let place = lines.place(found.at.start);
            match found.field {
                Some(field) => match field.kind.read(&found.value) {
                    Ok(told) => {
                        let (name, text) = (found.name.clone(), found.text.clone());
                        self.read.push(ReadField { name, text, place, of_first });
                        self.take(&found, told);
                    }
                    Err(what) => self.slips.push(Slip { key: found.name, place, text: found.text, what }),
                },
                None if field::is_table(&found.name) => {
                    let what = format!("it is no table: write the fields below a line [shot.{}]", found.name);
                    self.slips.push(Slip { key: found.name, place, text: found.text, what });
                }
                None => {
                    if let Some(near) = field::near(&found.name) {
                        let what = format!("it is kept, and read as nothing: did you mean {near}?");
                        self.hints.push(Slip { key: found.name.clone(), place, text: found.text.clone(), what });
                    }
                    self.own.push((found.name, found.text));
                }
            }
        }
    }

    /// Every field that was read, in the order written.
    pub fn fields(&self) -> &[ReadField] {
        &self.read
    }

    /// Line and column of a field that was read.
    pub fn place(&self, name: &str) -> Option<(usize, usize)> {
        self.read.iter().find(|field| field.name == name).map(|field| field.place)
    }

    fn take(&mut self, found: &Found, told: Told) {
        let parts: Vec<&str> = found.name.split('.').collect();
        match (&parts[..], told) {
            (["title"], Told::Text(v)) => self.title = Some(v),
            (["subject"], Told::Text(v)) => self.subject = Some(v),
            (["caption"], Told::Text(v)) => self.caption = Some(v),
            (["place"], Told::Text(v)) => self.place = Some(v),
            (["date"], Told::Date(v)) => self.date = Some(v),
            (["photographer"], Told::Text(v)) => self.photographer = Some(v),
            (["rights"], Told::Text(v)) => self.rights = Some(v),
            (["keywords"], Told::Words(v)) => self.keywords = v,
            (["rating"], Told::Number(v)) => self.rating = Some(v as i8),
            (["film"], Told::Text(v)) => self.film = Some(v),
            (["speed"], Told::Number(v)) => self.speed = Some(v),
            (["holder"], Told::Text(v)) => self.holder = Some(v),
            (["side"], Told::Text(v)) => self.side = Some(v),
            (["camera"], Told::Text(v)) => self.camera = Some(v),
            (["lens"], Told::Text(v)) => self.lens = Some(v),
            (["focal"], Told::Length(v)) => self.focal = Some(v),
            (["aperture"], Told::Aperture(v)) => self.aperture = Some(v),
            (["shutter"], Told::Time(v)) => self.shutter = Some(v),
            (["filter"], Told::Text(v)) => self.filter = Some(v),
            (["factor"], Told::Factor(v)) => self.factor = Some(v),
            (["bellows"], Told::Length(v)) => self.bellows = Some(v),
            (["reciprocity"], Told::Text(v)) => self.reciprocity = Some(v),
            (["light"], Told::Text(v)) => self.light = Some(v),
            (["remarks"], Told::Text(v)) => self.remarks = Some(v),
            (["rescan-of"], Told::Text(v)) => self.rescan_of = Some(v),
            (["movements", standard, what], told) => {
                let of = &mut self.movements[usize::from(*standard == "rear")];
                match (*what, told) {
                    ("rise", Told::Length(v)) => of.rise = Some(v),
                    ("shift", Told::Length(v)) => of.shift = Some(v),
                    ("swing", Told::Number(v)) => of.swing = Some(v),
                    ("tilt", Told::Number(v)) => of.tilt = Some(v),
                    _ => {}
                }
            }
            (["development", what], told) => {
                let of = &mut self.development;
                match (*what, told) {
                    ("developer", Told::Text(v)) => of.developer = Some(v),
                    ("dilution", Told::Text(v)) => of.dilution = Some(v),
                    ("time", Told::Time(v)) => of.time = Some(v),
                    ("temperature", Told::Number(v)) => of.temperature = Some(v),
                    ("agitation", Told::Text(v)) => of.agitation = Some(v),
                    ("n", Told::Stops(v)) => of.n = Some(v),
                    ("remarks", Told::Text(v)) => of.remarks = Some(v),
                    _ => {}
                }
            }
            (["readings", name, what] | [name @ ("shadow" | "highlight"), what], told) => {
                let of = self.reading(name);
                match (*what, told) {
                    ("name", Told::Text(v)) => of.name = v,
                    ("metered", Told::Reading(v)) => of.metered = Some(v),
                    ("aperture", Told::Aperture(v)) => of.aperture = Some(v),
                    ("zone", Told::Zone(v)) => of.zone = Some(v),
                    ("at", Told::Place(v)) => of.at = Some(v),
                    _ => {}
                }
            }
            _ => {}
        }
    }

    fn reading(&mut self, key: &str) -> &mut MeterNote {
        let at = self.readings.iter().position(|reading| reading.key == key).unwrap_or_else(|| {
            self.readings.push(MeterNote { key: key.to_owned(), name: key.to_owned(), ..MeterNote::default() });
            self.readings.len() - 1
        });
        &mut self.readings[at]
    }

    /// A bellows and its lens that cannot be.
    fn check_lens(&mut self) {
        if let (Some(extension), Some(focal)) = (self.bellows, self.focal)
            && let Err(e) = Bellows::new(extension, focal)
        {
            let (key, read) = ("bellows".to_owned(), self.read.iter().find(|field| field.name == "bellows"));
            let (place, text) = read.map_or(((1, 1), String::new()), |field| (field.place, field.text.clone()));
            self.slips.push(Slip { key, place, text, what: e.to_string() });
            self.bellows = None;
        }
    }

    /// What one reading makes of the exposure, its film known or not; nothing where the meter's word is missing.
    pub fn exposure(&self, reading: &MeterNote, film: Option<&Reciprocity>) -> Option<Exposure> {
        Some(Exposure {
            metered_at: reading.aperture.clone(),
            aperture: self.aperture.clone(),
            zone: reading.zone,
            filters: self.factor.into_iter().collect(),
            bellows: self.bellows.zip(self.focal).and_then(|(e, f)| Bellows::new(e, f).ok()),
            reciprocity: film.cloned(),
            ..Exposure::of(reading.metered?)
        })
    }
}

/// What is written in a field, without blanks around it; nothing of blanks alone.
fn words(field: &Option<String>) -> Option<&str> {
    field.as_deref().map(str::trim).filter(|words| !words.is_empty())
}

#[cfg(test)]
mod tests {
    use super::*;

    const FULL: &str = r#"
# mine
[shot]
title = "Coil"
date = 2026-03-12
film = "pan sheet 100"
speed = 64
keywords = ["rope", "store room"]
focal = "300mm"
aperture = "f/22 1/2"
shutter = "10m 20s"
factor = 2
bellows = "18in"
reciprocity = 1.31
plate = "glass"
[shot.readings]
shadow = { metered = "2m", zone = "III", at = [512, 300] }
highlight = { metered = "EV 8", zone = "VII", aperture = "f/16" }
[shot.development]
developer = "two-bath"
time = "8m 30s"
temperature = "68F"
n = "N-1"
[shot.movements]
front = { rise = "12mm", tilt = 4 }
rear = { shift = "-5mm" }
"#;

    #[test]
    fn a_blank_title_names_nothing_and_leaves_the_subject_to_be_the_name_alone() {
        let of = |title: &str| ShotNotes::of(&format!("[shot]\ntitle = \"{title}\"\nsubject = \" coil of rope \"\n"));
        assert_eq!((of("  ").called(), of("  ").told()), (Some("coil of rope"), None));
        assert_eq!((of(" Loft ").called(), of(" Loft ").told()), (Some("Loft"), Some("coil of rope")));
    }

    #[test]
    fn every_field_is_read_as_what_it_is() {
        let shot = ShotNotes::of(FULL);
        assert_eq!((shot.slips.as_slice(), shot.hints.as_slice()), (&[][..], &[][..]));
        assert_eq!(shot.date.unwrap().to_string(), "2026-03-12");
        assert_eq!(shot.keywords, ["rope", "store room"]);
        assert_eq!((shot.speed, shot.shutter.unwrap().value()), (Some(64.0), 620.0));
        assert_eq!(shot.aperture.as_ref().unwrap().written(), "f/22 1/2");
        assert!((shot.bellows.unwrap().value() - 457.2).abs() < 1e-9);
        assert_eq!(shot.reciprocity.as_deref(), Some("1.31"));
        assert_eq!(shot.readings.iter().map(|r| r.name.as_str()).collect::<Vec<_>>(), ["shadow", "highlight"]);
        assert_eq!(shot.readings[0].at, Some([512.0, 300.0]));
        assert_eq!(shot.development.temperature, Some(20.0));
        assert_eq!(shot.development.n, Some(Stops::new(-1.0)));
        assert_eq!((shot.movements[0].tilt, shot.movements[1].shift.map(Millimetres::value)), (Some(4.0), Some(-5.0)));
        assert_eq!(shot.own, [("plate".to_owned(), "glass".to_owned())]);
        assert_eq!(shot.place("aperture"), Some((10, 12)));
    }

    #[test]
    fn readings_are_found_however_their_tables_are_written() {
        for text in [
            "[shot]
shadow = { metered = '2m', zone = 'III' }
",
            "[shot]
readings = [ { name = 'shadow', metered = '2m', zone = 'III' } ]
",
            "[[shot.readings]]
name = 'shadow'
metered = '2m'
zone = 'III'
",
            "shot.readings.shadow.metered = '2m'
shot.readings.shadow.zone = 'III'
",
            "[shot.readings.shadow]
metered = '2m'
zone = 'III'
",
        ] {
            let shot = ShotNotes::of(text);
            let [reading] = &shot.readings[..] else { panic!("{text}: {shot:?}") };
            assert_eq!(
                (reading.metered, reading.zone.map(|z| z.number())),
                (Some(Reading::Time("2m".parse().unwrap())), Some(3.0)),
                "{text}"
            );
        }
    }

    #[test]
    fn what_cannot_be_read_is_told_with_its_place_and_nothing_else_is_refused() {
        for (line, told) in [
            ("aperture = \"f/banana\"", "line 2, column 12: aperture: \"f/banana\" is no aperture: write it as f/22"),
            ("aperture = nan", "line 2, column 12: aperture: \"NaN\" is no aperture"),
            ("date = \"31.02.\"", "date: \"31.02.\" is no date: write it as 2026-11-25"),
            ("date = \"2026-02-31\"", "in no calendar"),
            ("date = 20261125", "is no date"),
            ("date = 16:30:00", "is no date"),
            ("shutter = \"-4 s\"", "shutter: \"-4 s\" is no time"),
            ("shutter = -4", "shutter: \"-4\" is no time"),
            ("shutter = nan", "is no time"),
            ("shutter = inf", "is no time"),
            ("shutter = { s = 4 }", ""),
            ("shutter = [4]", "shutter: it is no plain word"),
            ("focal = 300", "focal: \"300\" is no length: use millimetres"),
            ("bellows = \"2in\"", "bellows: the bellows of 50.8 mm is shorter than the focal length 300 mm"),
            ("speed = \"fast\"", "write the speed as a number"),
            ("speed = -100", "write the speed as a number"),
            ("factor = 0", "is no filter factor"),
            ("rating = 2.5", "stars are whole"),
            ("readings.shadow.zone = \"XI\"", "readings.shadow.zone: \"XI\" is no zone"),
            ("readings.shadow.at = [nan, 3]", "it is no place"),
            ("readings.shadow.at = [1, 2, 3]", "it is no place"),
            ("movements.front.tilt = 200", "write degrees"),
            ("movements.front.rise = \"high\"", "is no length"),
            ("movements.front.rise = \"9000mm\"", "farther than any camera moves"),
            ("development.time = 8", "minutes or seconds? write 8m or 45s"),
            ("development.temperature = 20", "write it as 20C or 68F"),
            ("development.n = \"more\"", "write N, N+1"),
            ("apperture = \"f/8\"", "it is kept, and read as nothing: did you mean aperture?"),
        ] {
            let text = format!(
                "[shot]\n{line}\nsubject = \"coil\"\n{}",
                if line.starts_with("bellows") { "focal = \"300mm\"\n" } else { "" }
            );
            let shot = ShotNotes::of(&text);
            assert_eq!(shot.subject.as_deref(), Some("coil"), "{line}");
            let all: Vec<String> = shot.slips.iter().chain(&shot.hints).map(ToString::to_string).collect();
            match told {
                "" => assert!(shot.shutter.is_none() && !shot.own.is_empty(), "{line}: {all:?}"),
                told => assert!(all.len() == 1 && all[0].contains(told), "{line}: {all:?}"),
            }
        }
    }

    fn set(text: &str, asked: &[&str]) -> Result<String, WriteError> {
        let mut document = text.parse().unwrap();
        asked.iter().try_for_each(|asked| write(&mut document, asked)).map(|()| document.to_string())
    }

    #[test]
    fn a_field_is_written_and_all_else_stays_to_the_byte() {
        let hand = "# top\n[shot]   # odd\naperture   =  'f/8'  # wide\nplate = 1\n\n[shot.development]\ntime = '8m' # short\n\n[scan]\nfile = 'a.tif'\n# end\n";
        assert_eq!(set(hand, &["aperture=f/22 1/2"]).unwrap(), hand.replace("'f/8'", "\"f/22 1/2\""));
        assert_eq!(set(hand, &["development.time=9m"]).unwrap(), hand.replace("'8m'", "\"9m\""));
        assert_eq!(set(hand, &["plate="]).unwrap(), hand.replace("plate = 1\n", ""));
        assert_eq!(
            set(hand, &["shot.film=pan = sheet"]).unwrap(),
            hand.replace("plate = 1\n", "plate = 1\nfilm = \"pan = sheet\"\n")
        );
        let all = set(
            hand,
            &[
                "readings.shadow.metered=2m",
                "readings.shadow.zone=III",
                "readings.shadow.at=12,30.5",
                "date=2026-11-25",
                "speed=64",
            ],
        )
        .unwrap();
        for line in [
            "date = 2026-11-25\n",
            "speed = 64\n",
            "[shot.readings]\nshadow = { metered = \"2m\", zone = \"III\", at = [12, 30.5] }\n",
        ] {
            assert!(all.contains(line), "{all}");
        }
        assert_eq!(ShotNotes::of(&all).readings.len(), 1);
        assert_eq!(set("", &["film=pan"]).unwrap(), "[shot]\nfilm = \"pan\"\n");
        // TOML 1.0: a date with a time has seconds.
        for (date, written) in [
            ("2026-11-25 16:30", "\"2026-11-25 16:30\""),
            ("2026-11-25 16:30:05", "2026-11-25T16:30:05"),
            ("2026-11", "\"2026-11\""),
            ("2026", "2026"),
        ] {
            let text = set("", &[&format!("date={date}")]).unwrap();
            assert_eq!(text.trim_end(), format!("[shot]\ndate = {written}"));
        }
    }

    #[test]
    fn what_is_written_is_read_again_as_the_same() {
        for field in FIELDS {
            let name = field.name.replace('*', "shadow");
            let text = set("", &[&format!("{name}={}", field.example)]).unwrap_or_else(|e| panic!("{e}"));
            let shot = ShotNotes::of(&text);
            assert!(shot.slips.is_empty() && shot.hints.is_empty() && shot.own.is_empty(), "{text}: {shot:?}");
        }
    }

    /// No arm of the reading swallows a field: each changes the notes by more than the list of what was read.
    #[test]
    fn every_field_comes_to_lie_in_the_notes() {
        for field in FIELDS {
            let name = field.name.replace('*', "first");
            let mut shot = ShotNotes::of(&set("", &[&format!("{name}={}", field.example)]).unwrap());
            assert_eq!(shot.read.len(), 1, "{name}");
            shot.read.clear();
            // A reading is there by its key alone.
            let bare = MeterNote { key: "first".to_owned(), name: "first".to_owned(), ..MeterNote::default() };
            shot.readings.retain(|reading| *reading != bare);
            assert_ne!(shot, ShotNotes::default(), "{name}");
        }
    }

    #[test]
    fn what_no_field_takes_is_not_written() {
        for (asked, told) in [
            ("aperture=f/banana", "aperture: \"f/banana\" is no aperture"),
            ("apperture=f/8", "\"apperture\" is no field: did you mean aperture?"),
            ("aperture", "write it as key=value"),
            ("=3", "is no name of a field"),
            ("a b=3", "is no name of a field"),
            ("a..b=3", "is no name of a field"),
            ("date=31.02.", "is no date"),
            ("film.maker=x", "nothing can stand below it"),
        ] {
            let error = set("[shot]\nfilm = 'pan'\n", &[asked]).unwrap_err().to_string();
            assert!(error.contains(told), "{asked}: {error}");
        }
    }
}
