//! A notes file on disk: two hands write in it, and neither disturbs the other.

use std::io;
use std::path::Path;

use toml_edit::{ArrayOfTables, Document, DocumentMut, Item, Table};

use super::correction::{Correction, HELD};
use super::format::{Notes, Outputs, VERSION};
use super::line_ends::LineEnds;
use super::marks::{self, Mark, Marks};
use super::misplaced;
use super::prints::PrintRecord;
use super::settings;
use super::shot::{self, FIELDS, ShotNotes, WriteError};
use super::spelling::spelling;
use super::text::text_of;

/// How a new notes file begins.
const FIRST_WORDS: &str = "\
# Notes of one scan. [shot] is yours: subject, place, film, camera, lens, exposure, development, whatever you keep.
# It is kept to the byte. A [settings] table of yours, e.g. with  grade = \"3\",  holds for this scan alone.
# The tables below [shot] are the program's. Only picture and base, written under [scan], put frames and base right.

[shot]
";

/// Above the fields of a form.
const FORM: &str = "# What there is to fill in: take the # away, the values are examples. All of it may stay out, and words of your own may come in.
";

/// The program's tables, in order.
const OURS: [&str; 5] = ["scan", "measured", "flat", "print", "record"];

/// The prints that were made, each a table of its own.
const PRINTS: &str = "prints";

/// Why a notes file cannot be used.
#[derive(Debug, thiserror::Error)]
pub enum Error {
    /// The disk refused.
    #[error("the notes cannot be read: {0}")]
    Disk(#[from] io::Error),
    /// A slip of the pen: not TOML.
    #[error("the notes have a slip in line {line}, column {column}: {what}: mend it and run again")]
    Slip {
        /// 1 for the first.
        line: usize,
        /// 1 for the first.
        column: usize,
        /// What the parser makes of it.
        what: String,
    },
    /// Written by a newer program.
    #[error(
        "the notes are of version {0}, newer than this program knows ({VERSION}): they are left alone, use a newer dryside"
    )]
    Newer(i64),
    /// Something of a table's name that is none.
    #[error("in the notes \"{0}\" is no table: rename it, or write it as [{0}], and run again")]
    NotATable(&'static str),
    /// Frames given in a way that says no place.
    #[error(
        "in the notes [scan] picture gives no frames: write two opposite corners of each, [[x, y], [x, y]], or all four, and run again"
    )]
    NoCorners,
    /// A base that is no number.
    #[error("in the notes [scan] base is no density: write a number in D, as 0.21, and run again")]
    NoBase,
    /// A word that is none of those that are obeyed, but near to one.
    #[error("in the notes {word} is not known: did you mean \"{meant}\"? mend it and run again")]
    Unlike {
        /// As written, with its table.
        word: String,
        /// The nearest right one.
        meant: &'static str,
    },
    /// Frames or base put right where they are not obeyed.
    #[error(
        "in the notes {0} stands where it is not obeyed: to put frames or base right, write picture or base under [scan], and run again"
    )]
    Elsewhere(String),
    /// Something of the prints' name that holds no prints.
    #[error("in the notes \"prints\" is not the program's list of prints: rename it, and run again")]
    NotPrints,
    /// A print that cannot be read.
    #[error("in the notes, print {number} is damaged ({what}): remove its [[prints]] table, and print the frame anew")]
    NoPrint {
        /// 1 for the first.
        number: usize,
        /// What the parser makes of it.
        what: String,
    },
    /// A setting that is more than a value.
    #[error("in the notes the setting \"{0}\" has no plain value: mend it and run again")]
    NotPlain(String),
}

/// The notes of a scan, with the photographer's part untouched.
#[derive(Clone, Debug)]
pub struct Sidecar {
    document: DocumentMut,
    ends: LineEnds,
}

impl Sidecar {
    /// Notes that nobody has written in yet.
    pub fn new() -> Self {
        let document = FIRST_WORDS.parse().expect("the first words are TOML");
        Self { document, ends: LineEnds::default() }
    }

    /// New notes as a form: what is `given` as `key=value` stands in it, all other fields as comments with an example.
    ///
    /// # Errors
    /// When a field cannot take what it is given.
    pub fn form(given: &[String]) -> Result<String, WriteError> {
        // Checked as they will be read, and those that no field of the form is for are written after it is laid out.
        Self::new().with_shot(given)?;
        let word = |name: &str| {
            let of = |asked: &String| {
                let (key, word) = asked.split_once('=')?;
                (key.trim() == name && !word.trim().is_empty()).then(|| word.trim().to_owned())
            };
            given.iter().rev().find_map(of)
        };
        let (mut text, mut head) = (format!("{}{FORM}", Self::new().text()), "");
        for field in FIELDS.iter().filter(|field| !field.name.contains('*')) {
            let (table, key) = field.name.rsplit_once('.').unwrap_or(("", field.name));
            if table != head && !table.is_empty() {
                let any = FIELDS.iter().any(|field| {
                    field.name.rsplit_once('.').is_some_and(|(of, _)| of == table) && word(field.name).is_some()
                });
                text += &format!("\n{}[shot.{table}]\n", if any { "" } else { "# " });
                head = table;
            }
            match word(field.name) {
                Some(word) => text += &format!("{key} = {}\n", field.kind.value(&word)),
                None => text += &format!("# {key} = {}\n", field.kind.value(field.example)),
            }
        }
        text += "\n# [shot.readings]\n# shadow = { metered = \"2m\", zone = \"III\", at = [512, 300] }\n\
                 # highlight = { metered = \"1/8\", zone = \"VII\" }\n";
        let known = |asked: &&String| {
            asked.split_once('=').is_some_and(|(key, _)| FIELDS.iter().any(|field| field.name == key.trim()))
        };
        let others: Vec<String> = given.iter().filter(|asked| !known(asked)).cloned().collect();
        if !others.is_empty() {
            text = Self::parse(&text).expect("a form is TOML").with_shot(&others)?;
        }
        Ok(text)
    }

    /// Reads the notes at `path`; new ones when there is no such file.
    ///
    /// # Errors
    /// When the file cannot be read, is not TOML, is of a newer version, or has a word misplaced that would be obeyed elsewhere.
    pub fn open(path: &Path) -> Result<Self, Error> {
        match text_of(path)? {
            Some(text) => Self::parse(&text),
            None => Ok(Self::new()),
        }
    }

    /// Reads notes.
    ///
    /// # Errors
    /// Those of [`Sidecar::open`], but the disk's.
    pub fn parse(text: &str) -> Result<Self, Error> {
        let ends = LineEnds::of(text);
        let text = text.trim_start_matches('\u{feff}');
        let document: DocumentMut = text.parse().map_err(|e: toml_edit::TomlError| slip(text, &e))?;
        let version = document.get("record").and_then(|r| r.get("version")).and_then(Item::as_integer);
        if let Some(newer) = version.filter(|v| *v > i64::from(VERSION)) {
            return Err(Error::Newer(newer));
        }
        let other = |name: &&str| document.get(name).is_some_and(|item| !item.is_table());
        match OURS.into_iter().find(other) {
            Some(name) => Err(Error::NotATable(name)),
            None => misplaced::check(&document).map(|()| Self { document, ends }),
        }
    }

    /// The whole file as it stands.
    fn text(&self) -> String {
        self.ends.restore(&self.document.to_string())
    }

    /// The photographer's `[shot]`, read.
    pub fn shot_notes(&self) -> ShotNotes {
        // Without the mark that columns are not counted from.
        ShotNotes::of(&self.document.to_string())
    }

    /// The same of a negative that was scanned again, over what the notes of its `first` scan say.
    pub fn shot_over(&self, first: &Self) -> ShotNotes {
        ShotNotes::of_rescan(&self.document.to_string(), &first.document.to_string())
    }

    /// The whole file with fields of `[shot]` written, each as `key=value`; `key=` takes one away. Everything else
    /// stays to the byte.
    ///
    /// # Errors
    /// When a field cannot take its value, or there is no place for it.
    pub fn with_shot(mut self, asked: &[String]) -> Result<String, WriteError> {
        asked.iter().try_for_each(|asked| shot::write(&mut self.document, asked))?;
        Ok(self.text())
    }

    /// The whole file with frames marked, or their marks taken away. Everything else stays to the byte.
    ///
    /// # Errors
    /// When something else stands in the marks' place.
    pub fn with_marks(mut self, frames: &[usize], mark: Option<Mark>, remark: Option<&str>) -> Result<String, Error> {
        let all = frames.iter().all(|number| marks::write(&mut self.document, *number, mark, remark));
        if all { Ok(self.text()) } else { Err(Error::NotATable("marks")) }
    }

    /// The whole file with settings of this scan written, or taken away where there is no word. Everything else stays
    /// to the byte.
    ///
    /// # Errors
    /// When something else stands in the settings' place.
    pub fn with_settings(mut self, words: &[(&str, Option<String>)]) -> Result<String, Error> {
        if words.iter().all(|(name, word)| settings::write(&mut self.document, name, word.as_deref())) {
            Ok(self.text())
        } else {
            Err(Error::NotATable("settings"))
        }
    }

    /// What stands below the last line that says something, so that it stays above a table that is added.
    fn take_tail(&mut self) -> String {
        let tail = self.document.trailing().as_str().unwrap_or_default().to_owned();
        self.document.set_trailing("");
        tail
    }

    /// The program's part as it was last written, if it is all there.
    pub fn ours(&self) -> Option<Notes> {
        toml::from_str(&self.document.to_string()).ok()
    }

    /// The files that they name as made, whatever the rest of the program's part is like.
    pub fn outputs(&self) -> Outputs {
        toml::from_str(&self.document.to_string()).unwrap_or_default()
    }

    /// Whether they were laid for a negative that is not yet scanned: words of a person, and nothing of the program's.
    pub fn is_form(&self) -> bool {
        self.document.contains_key("shot") && !self.document.contains_key("scan")
    }

    /// The photographer's `[settings]` of this scan: names and values as words.
    ///
    /// # Errors
    /// When it is no table of plain values.
    pub fn settings(&self) -> Result<Vec<(String, String)>, Error> {
        let Some(item) = self.document.get("settings") else { return Ok(Vec::new()) };
        let table = item.as_table_like().ok_or(Error::NotATable("settings"))?;
        let word = |(name, item): (&str, &Item)| {
            let mut value = item.as_value().cloned().ok_or(Error::NotPlain(name.to_owned()))?;
            // Without the blanks and comments around it.
            value.decor_mut().clear();
            Ok((name.to_owned(), value.as_str().map_or_else(|| value.to_string(), str::to_owned)))
        };
        table.iter().map(word).collect()
    }

    /// Line and column of a setting's value, 1 for the first.
    pub fn setting_at(&self, name: &str) -> Option<(usize, usize)> {
        let text = self.document.to_string();
        let document = Document::parse(text.as_str()).ok()?;
        let at = document.get("settings")?.get(name)?.span()?.start;
        Some(shot::Lines::of(&text).place(at))
    }

    /// What the photographer put right in `[scan]`.
    ///
    /// # Errors
    /// When it cannot be read.
    pub fn correction(&self) -> Result<Correction, Error> {
        Correction::of(&self.document)
    }

    /// The photographer's marks.
    pub fn marks(&self) -> Marks {
        Marks::of(&self.document)
    }

    /// The prints that were made, in order.
    ///
    /// # Errors
    /// When something else stands in their place, or one of them is damaged.
    pub fn prints(&self) -> Result<Vec<PrintRecord>, Error> {
        let Some(item) = self.document.get(PRINTS) else { return Ok(Vec::new()) };
        let tables = item.as_array_of_tables().ok_or(Error::NotPrints)?;
        let print = |(number, table): (usize, &Table)| {
            toml::from_str(&table.to_string()).map_err(|e: toml::de::Error| {
                let what = e.message().lines().next().unwrap_or("not TOML").to_owned();
                Error::NoPrint { number, what }
            })
        };
        (1..).zip(tables).map(print).collect()
    }

    /// The whole file with `record` among the prints, in the place of an earlier one with its file. Everything else
    /// stays to the byte.
    ///
    /// # Errors
    /// When something else stands in the prints' place.
    pub fn with_print(mut self, record: &PrintRecord) -> Result<String, Error> {
        let fresh = toml::to_string(record).expect("a print is plain values");
        let mut fresh = fresh.parse::<DocumentMut>().expect("what was just written is TOML").into_table();
        unplace(&mut fresh);
        let tail = if self.document.contains_key(PRINTS) { String::new() } else { self.take_tail() };
        let prints = self.document.entry(PRINTS).or_insert_with(|| Item::ArrayOfTables(ArrayOfTables::new()));
        let prints = prints.as_array_of_tables_mut().ok_or(Error::NotPrints)?;
        let of_file = |table: &Table| table.get("file").and_then(Item::as_str) == Some(record.file.as_str());
        let earlier = prints.iter().position(of_file);
        match earlier.and_then(|at| prints.get_mut(at)) {
            Some(old) => renew(old, fresh, &[]),
            None => {
                fresh.decor_mut().set_prefix(tail + "\n");
                prints.push(fresh);
            }
        }
        Ok(self.text())
    }

    /// The whole file with the program's part brought up to date. Everything else stays to the byte.
    ///
    /// # Errors
    /// When something of the photographer's stands where a table of the program's belongs.
    pub fn with(mut self, notes: &Notes) -> Result<String, Error> {
        let fresh = toml::to_string(notes).expect("notes are plain values");
        let mut fresh: DocumentMut = fresh.parse().expect("what was just written is TOML");
        let first = !OURS.iter().any(|name| self.document.contains_key(name)) && !self.document.contains_key(PRINTS);
        let mut tail = if first { self.take_tail() } else { String::new() };
        for name in OURS {
            let Some(Item::Table(mut table)) = fresh.remove(name) else { continue };
            unplace(&mut table);
            match self.document.get_mut(name) {
                None => {
                    table.decor_mut().set_prefix(std::mem::take(&mut tail) + "\n");
                    self.document.insert(name, Item::Table(table));
                }
                Some(Item::Table(old)) => renew(old, table, if name == "scan" { &HELD } else { &[] }),
                Some(_) => return Err(Error::NotATable(name)),
            }
        }
        Ok(self.text())
    }
}

impl Default for Sidecar {
    fn default() -> Self {
        Self::new()
    }
}

/// Takes over every value of `fresh` where the old one stands, with the comments around it; drops what is no more, but
/// not what is `held`.
fn renew(old: &mut Table, mut fresh: Table, held: &[&str]) {
    old.retain(|key, _| fresh.contains_key(key) || held.contains(&key));
    for (key, mut item) in std::mem::take(&mut fresh) {
        if let (Some(Item::Value(before)), Item::Value(now)) = (old.get(&key), &mut item) {
            *now.decor_mut() = before.decor().clone();
        }
        old.insert(&key, item);
    }
}

/// Forgets where tables stood in the text that they were parsed from, so that they follow their parent in this one.
fn unplace(table: &mut Table) {
    table.set_position(None);
    for (_, item) in table.iter_mut() {
        match item {
            Item::Table(inner) => unplace(inner),
            Item::ArrayOfTables(inner) => inner.iter_mut().for_each(unplace),
            _ => {}
        }
    }
}

fn slip(text: &str, error: &toml_edit::TomlError) -> Error {
    let at = error.span().map_or(0, |span| span.start).min(text.len());
    let (line, column) = shot::Lines::of(text).place(at);
    let said = error.message().lines().next().unwrap_or("not TOML");
    let what = match error.span().filter(|_| said == "duplicate key").and_then(|span| text.get(span)) {
        Some(key) => twice(text, line, key),
        None => spelling(said, text, line),
    };
    Error::Slip { line, column, what }
}

/// Which key stands twice, and in which table.
fn twice(text: &str, line: usize, key: &str) -> String {
    let is_head = |line: &&str| line.trim_start().starts_with('[');
    let lines: Vec<&str> = text.lines().take(line).collect();
    match lines.iter().rev().copied().find(is_head) {
        Some(head) if lines.last().is_some_and(is_head) => {
            format!("duplicate key: {} stands there twice", head_of(head))
        }
        Some(head) => format!("duplicate key: {key} stands twice in {}", head_of(head)),
        None => format!("duplicate key: {key} stands twice at the top"),
    }
}

/// `[shot]` of a line that begins with it.
fn head_of(line: &str) -> &str {
    let line = line.trim();
    line.rfind(']').map_or(line, |end| &line[..=end])
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::notes::format::{
        FlatNotes, MeasuredFrame, MeasuredNotes, PrintNotes, RecordNotes, ScanNotes, TonesNotes,
    };
    use std::collections::BTreeMap;

    fn notes(base: f64, frames: u32) -> Notes {
        let frame = |number| MeasuredFrame {
            number,
            corners: [[1.0, 2.0], [3.0, 2.0], [3.0, 5.0], [1.0, 5.0]],
            confidence: 1.0,
            sides: [const { String::new() }; 4],
            thin: 0.1,
            median: 0.5,
            dense: 1.2,
            range: 1.1,
            pixels: 100,
            at_full_scale: 0,
            at_zero: 0,
            dust: 7,
            dust_share: 0.0002,
            tones: (number > 1).then(|| TonesNotes { from: -0.02, step: 0.025, parts: vec![0, 9_000, 1_000] }),
        };
        Notes {
            scan: ScanNotes {
                file: "coil.tif".into(),
                folder: "loft".into(),
                bytes: 10,
                modified: "2026-03-14T10:00:00Z".into(),
                codes_blake3: "00".into(),
                width: 10,
                height: 10,
                bits: 16,
                channels: 1,
                channel: None,
                ppi: None,
                orientation: 1,
                encoding: "linear".into(),
                encoding_source: "given".into(),
                make: None,
                model: None,
                software: None,
                date: None,
                description: None,
                wedge: None,
            },
            measured: MeasuredNotes {
                key: "k".into(),
                rebate: None,
                rebate_evidence: None,
                base,
                base_source: "rebate".into(),
                spot: None,
                frames: (1..=frames).map(frame).collect(),
                warnings: Vec::new(),
            },
            flat: FlatNotes {
                ends: "each".into(),
                encoding: "gamma 2.2".into(),
                compression: None,
                predictor: None,
                lo: 15.0,
                hi: 90.0,
                frames: Vec::new(),
            },
            print: PrintNotes {
                paper: "p".into(),
                table: "t".into(),
                paper_file: None,
                table_file: None,
                place: "highlights".into(),
                dry_down: 0.0,
                frames: Vec::new(),
            },
            record: RecordNotes {
                version: VERSION,
                program: "dryside".into(),
                key: "k".into(),
                former: Vec::new(),
                said: None,
                warnings: Vec::new(),
                settings: BTreeMap::new(),
                decided_by: BTreeMap::new(),
            },
        }
    }

    const HAND: &str = "\
# my own heading

[shot]   # odd spacing kept
subject   =  'coil of tarred rope'
exposed = 2026-03-12  # a date, not a word
readings = [ { at = [ 1,2 ], zone = \"III\" },
             { at = [3, 4], zone = \"VII\" } ]

[shot.development]
developer = \"two-bath\"   # mixed fresh

[settings]
grade = 3  # soft enough
";

    #[test]
    fn what_the_photographer_wrote_survives_any_number_of_runs_to_the_byte() {
        let mut text = HAND.to_owned();
        for run in 0..5 {
            text =
                Sidecar::parse(&text).unwrap().with(&notes(0.2 + f64::from(run) / 100.0, 1 + run as u32 % 3)).unwrap();
            assert!(text.starts_with(HAND), "after run {run}:\n{text}");
            let back = Sidecar::parse(&text).unwrap().ours().unwrap();
            assert_eq!(back, notes(0.2 + f64::from(run) / 100.0, 1 + run as u32 % 3));
        }
        assert_eq!(text.matches("[scan]").count(), 1);
        assert_eq!(text.matches("[[measured.frames]]").count(), 2);
    }

    #[test]
    fn a_table_written_below_the_programs_stays_there_with_its_comments() {
        let first = Sidecar::new().with(&notes(0.2, 2)).unwrap();
        let tail = "\n# later thoughts\n[shot.print]\npaper = \"matt\" # warm\n# the end\n";
        let again = Sidecar::parse(&(first.clone() + tail)).unwrap().with(&notes(0.3, 2)).unwrap();
        assert!(again.ends_with(tail), "{again}");
        assert!(again.starts_with(FIRST_WORDS));
    }

    #[test]
    fn what_was_put_right_in_the_scans_table_is_kept_with_its_comment() {
        let hand = "[scan]\npicture = [[1, 2], [8, 9]]  # by the light table\nbase = 0.21\nmine = 3\n";
        let text = Sidecar::parse(hand).unwrap().with(&notes(0.2, 1)).unwrap();
        let text = Sidecar::parse(&text).unwrap().with(&notes(0.3, 1)).unwrap();
        assert!(text.contains("picture = [[1, 2], [8, 9]]  # by the light table\nbase = 0.21\n"), "{text}");
        assert!(!text.contains("mine"));
        assert_eq!(Sidecar::parse(&text).unwrap().correction().unwrap().base.as_deref(), Some("0.21"));
    }

    #[test]
    fn a_slip_is_named_with_its_place() {
        let error = Sidecar::parse("[shot]\nsubject = coil\n").unwrap_err();
        assert!(error.to_string().contains("line 2, column 11"), "{error}");
        assert!(error.to_string().contains("stand in quotes"), "{error}");
    }

    /// The keys may lie far apart.
    #[test]
    fn a_key_that_stands_twice_is_told_with_its_table() {
        let told = |text: &str| Sidecar::parse(text).unwrap_err().to_string();
        let shot = told("[shot]\nfilm = 1\nlens = 2\nfilm = 3 # again\n");
        assert!(shot.contains("line 4, column 1: duplicate key: film stands twice in [shot]"), "{shot}");
        assert!(told("a = 1\na = 2\n").contains("a stands twice at the top"));
        assert!(told("[shot]\na = 1\n[scan]\n[shot] # x\n").contains("duplicate key: [shot] stands there twice"));
    }

    #[test]
    fn line_ends_and_the_mark_before_them_are_kept() {
        let hand = format!("\u{feff}{}", HAND.replace('\n', "\r\n"));
        let text = Sidecar::parse(&hand).unwrap().with(&notes(0.2, 2)).unwrap();
        assert!(text.starts_with(&hand), "{text:?}");
        assert!(!text.replace("\r\n", "").contains('\n'), "the program's lines end so as well");
        let text = Sidecar::parse(&text).unwrap().with_print(&print("a.tif", 0)).unwrap();
        let back = Sidecar::parse(&text).unwrap();
        assert_eq!(back.prints().unwrap(), [print("a.tif", 0)]);
        assert_eq!((back.ours().unwrap(), back.text()), (notes(0.2, 2), text));
        // A column is counted without the mark.
        assert!(Sidecar::parse("\u{feff}a = b\r\n").unwrap_err().to_string().contains("line 1, column 5"));
    }

    #[test]
    fn a_form_is_read_as_notes_and_stays_above_what_is_added() {
        let given = ["holder=7", "side=a", "development.developer=two-bath", "plate=glass", "readings.shadow.zone=III"];
        let form = Sidecar::form(&given.map(str::to_owned)).unwrap();
        let shot = ShotNotes::of(&form);
        assert_eq!((shot.holder.as_deref(), shot.side.as_deref()), (Some("7"), Some("a")), "{form}");
        assert_eq!(shot.development.developer.as_deref(), Some("two-bath"));
        assert_eq!((shot.readings.len(), shot.own.len(), shot.slips.len()), (1, 1, 0));
        let text = Sidecar::parse(&form).unwrap().with(&notes(0.2, 1)).unwrap();
        assert!(text.starts_with(&(form.clone() + "\n[scan]\n")), "{text}");
        // Every field, its # taken away.
        let form = Sidecar::form(&given[..3].iter().map(|&g| g.to_owned()).collect::<Vec<_>>()).unwrap();
        let (_, fields) = form.split_once(FORM).unwrap();
        let all = format!("[shot]\n{}", fields.replace("# ", ""));
        let shot = Sidecar::parse(&all).unwrap().shot_notes();
        assert!(shot.slips.is_empty() && shot.hints.is_empty() && shot.own.is_empty(), "{shot:?}");
        assert_eq!((shot.readings.len(), shot.holder.as_deref()), (2, Some("7")));
        assert!(matches!(Sidecar::form(&["aperture=f/banana".to_owned()]), Err(WriteError::Value { .. })));
    }

    #[test]
    fn newer_notes_are_refused_unharmed() {
        let error = Sidecar::parse("[record]\nversion = 99\n").unwrap_err();
        assert!(matches!(error, Error::Newer(99)));
    }

    #[test]
    fn settings_of_the_photographer_are_read() {
        let sidecar = Sidecar::parse(HAND).unwrap();
        assert_eq!(sidecar.settings().unwrap(), [("grade".to_owned(), "3".to_owned())]);
        assert!(Sidecar::parse("settings = 3\n").unwrap().settings().is_err());
        assert!(matches!(Sidecar::parse("scan = 3\n"), Err(Error::NotATable("scan"))));
        assert_eq!(sidecar.shot_notes().subject.as_deref(), Some("coil of tarred rope"));
    }

    fn print(file: &str, bytes: u64) -> PrintRecord {
        PrintRecord {
            file: file.into(),
            bytes,
            blake3: "ab".into(),
            program: "dryside".into(),
            frame: 1,
            kind: "tiff".into(),
            size: "30x24cm".into(),
            ppi: 360.0,
            meeting: "fit".into(),
            upsampling: false,
            border: 0.0,
            tilt: -0.25,
            sharpen: 0.5,
            tone: "warm".into(),
            white: "full".into(),
            paper: "p".into(),
            table: "t".into(),
            grade: "2 1/2".into(),
            r: 96.25,
            place: "512,300=VIII".into(),
            spot: Some(0.9),
            exposure: 1.0 / 3.0,
            dry_down: 8.0,
            split: Some("00 -1, 5 -1".into()),
            split_grade: Some("2".into()),
            split_r: Some(104.2),
            edge_burn: 0.25,
            x0: 0.6123,
            base: 0.2,
            corners: [[1.0, 2.0], [3.0, 2.0], [3.0, 5.0], [1.0, 5.0]],
            orientation: 1,
            channel: "green".into(),
            encoding: "auto".into(),
            wedge: None,
            codes_blake3: "00".into(),
            said: String::new(),
            paper_file: Some("# \"Mine\", as 'it' lies\n[dmin]\r\ndensity = 0.06 \\\n".into()),
            table_file: None,
            xmp: None,
        }
    }

    #[test]
    fn prints_are_added_and_brought_up_to_date_and_nothing_else_moves() {
        let before = Sidecar::parse(HAND).unwrap().with(&notes(0.2, 2)).unwrap() + "\n[later]\nword = 1 # mine\n";
        let one = Sidecar::parse(&before).unwrap().with_print(&print("a.tif", 0)).unwrap();
        assert!(one.starts_with(before.trim_end()), "{one}");
        let two = Sidecar::parse(&one).unwrap().with_print(&print("b.tif", 5)).unwrap();
        let sealed = Sidecar::parse(&two).unwrap().with_print(&print("a.tif", 7)).unwrap();
        let prints = Sidecar::parse(&sealed).unwrap().prints().unwrap();
        assert_eq!(prints, [print("a.tif", 7), print("b.tif", 5)]);
        assert!(prints[0].is_like(&prints[1]) && !prints[0].is_like(&PrintRecord { ppi: 300.0, ..print("a.tif", 7) }));
        assert_eq!(sealed.replacen("bytes = 7", "bytes = 0", 1), two, "only the seal changed");
        // A batch leaves them where they are.
        let tail = &sealed[sealed.find("[[prints]]").unwrap()..];
        assert!(Sidecar::parse(&sealed).unwrap().with(&notes(0.3, 1)).unwrap().ends_with(tail));
    }

    #[test]
    fn prints_that_are_none_are_told_with_their_number() {
        assert!(matches!(Sidecar::parse("prints = 3\n").unwrap().prints(), Err(Error::NotPrints)));
        assert!(Sidecar::parse("[prints]\na = 3\n").unwrap().with_print(&print("a.tif", 0)).is_err());
        let text = Sidecar::new().with_print(&print("a.tif", 0)).unwrap();
        let damaged = Sidecar::parse(&text.replace("ppi = 360.0\n", "")).unwrap().prints().unwrap_err().to_string();
        assert!(damaged.contains("print 1") && damaged.contains("ppi"), "{damaged}");
    }
}
