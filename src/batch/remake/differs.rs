//! In what a scan, the program or the settings differ from what notes tell.

use std::fmt;
use std::path::Path;

use toml::Value;

use crate::batch::counting;
use crate::batch::key::Stamp;
use crate::batch::noted::Noted;
use crate::batch::print::Read;
use crate::batch::settings::{Kept, Settings};
use crate::batch::wishes::{Place, Settled, Wishes};
use crate::notes::{Notes, text_of};
use crate::save::PROGRAM;
use crate::scan::{self, Scan};

/// A difference, and what it changes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Differs {
    /// What differs.
    pub what: String,
    /// As the notes have it, and as it is now; nothing where only that it changed can be known.
    pub values: Option<(String, String)>,
    /// What that changes.
    pub so: &'static str,
    /// Whether files made now may be of other bytes than those that the notes tell of.
    pub bytes: bool,
    /// Whether they would be of another picture.
    pub forbids: bool,
}

impl fmt::Display for Differs {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self { what, values, so, .. } = self;
        match values {
            Some((was, now)) => write!(f, "{what}: {was} in its notes, {now} now: {so}"),
            None => write!(f, "{what}: {so}"),
        }
    }
}

fn differs(what: &str, was: &dyn fmt::Display, now: &dyn fmt::Display, so: &'static str) -> Option<Differs> {
    let (was, now) = (was.to_string(), now.to_string());
    let values = Some((short(&was), short(&now)));
    (was != now).then(|| Differs { what: what.to_owned(), values, so, bytes: false, forbids: false })
}

impl Differs {
    /// The same, where files made now may be of other bytes.
    fn in_bytes(self) -> Self {
        Self { bytes: true, ..self }
    }
}

/// As much of a long word as tells it apart.
fn short(word: &str) -> String {
    const LETTERS: usize = 40;
    match word.chars().count() {
        0 => "nothing".to_owned(),
        count if count > LETTERS => word.chars().take(LETTERS - 1).chain(['…']).collect(),
        _ => word.to_owned(),
    }
}

/// Of a hash so much as tells it apart.
fn hash(of: &str) -> String {
    of.chars().take(12).collect()
}

/// What differs where a scan has another name.
const NAME: &str = "name";

impl Differs {
    /// Whether it is that a scan is called so by now.
    pub(super) fn is_renamed_to(&self, file: &str) -> bool {
        self.what == NAME && self.values.as_ref().is_some_and(|(_, now)| *now == short(file))
    }
}

/// Another name of the scan.
pub(super) fn of_name(notes: &Notes, path: &Path) -> Option<Differs> {
    let now = path.file_name().unwrap_or_default().to_string_lossy();
    differs(NAME, &notes.scan.file, &now, "it was renamed; a batch without --from-notes renames its notes")
}

/// Another version.
pub(super) fn of_program(notes: &Notes) -> Option<Differs> {
    let so = "another version may make other bytes of the same picture";
    differs("program", &notes.record.program, &PROGRAM, so).map(Differs::in_bytes)
}

/// What the files say of the picture.
pub(super) fn of_words(notes: &Notes, said: &str) -> Option<Differs> {
    let changed = notes.record.said.as_deref().is_some_and(|before| before != said);
    let so = "changed since the files were made: those made now say it as it stands, and their pixels are the same";
    changed.then(|| Differs {
        what: "what [shot] and the scan say of the picture".to_owned(),
        values: None,
        so,
        bytes: true,
        forbids: false,
    })
}

/// Settings that a run without --from-notes would obey.
///
/// # Errors
/// When those in the notes are none.
pub(super) fn of_settings(noted: &Noted, flags: &Wishes, in_file: &Wishes) -> Result<Vec<Differs>, String> {
    let notes = &noted.notes;
    let wrong = |e: &dyn fmt::Display| format!("{}: {e}", noted.wanted.notes.display());
    let base = noted.sidecar.correction().map_err(|e| wrong(&e))?.base;
    let own = Wishes::of_notes(&noted.sidecar, base, &noted.wanted.results()).map_err(|e| wrong(&e))?;
    let Settled { settings, decided_by } = Settled::settle(flags, &own, in_file);
    let mut all = Vec::new();
    for (name, now) in settings.words() {
        let Some(was) = notes.record.settings.get(&name) else { continue };
        // The page is the sheet's, and zones are for looking back: no file of a scan hangs on them.
        if ["page", "zones"].contains(&name.as_str()) {
            continue;
        }
        let by = match decided_by.get(name.as_str()) {
            Some(Place::Flag) => "by a flag",
            Some(Place::Notes) => "by the notes' own [settings]",
            Some(Place::File) => "by dryside.toml",
            None => "by default",
        };
        all.extend(differs(&name, was, &now, "").map(|differs| Differs {
            values: Some((short(was), format!("{} {by}", short(&now)))),
            so: "the notes hold, without --from-notes the new word counts",
            ..differs
        }));
    }
    all.extend(of_stock(notes, &settings));
    all.extend(of_wedge(notes, &settings));
    Ok(all)
}

/// What is in the files of a paper and a table of a person's own, key for key.
fn of_stock(notes: &Notes, settings: &Settings) -> Vec<Differs> {
    let kept = [(&settings.paper, &notes.print.paper_file), (&settings.grades, &notes.print.table_file)];
    let mut all = Vec::new();
    for (kept, was) in kept {
        let (Kept::File(path), Some(was)) = (kept, was) else { continue };
        let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
        let so = "what is made again goes by the copy in the notes";
        let cannot = |what: String| Differs { what, values: None, so, bytes: false, forbids: false };
        let parse = |text: &str| text.parse().map(Value::Table).map_err(|e: toml::de::Error| first_line(e.message()));
        let parsed = match text_of(path) {
            Ok(Some(now)) if now == *was => continue,
            Ok(Some(now)) => parse(was).and_then(|was| Ok((was, parse(&now)?))),
            Ok(None) => {
                all.push(cannot(format!("{name} is gone")));
                continue;
            }
            Err(error) => Err(error.to_string()),
        };
        match parsed {
            Ok((was, now)) => {
                let mut apart = Vec::new();
                find_apart(&name, Some(&was), Some(&now), &mut apart);
                all.extend(apart.iter().filter_map(|(at, was, now)| differs(at, was, now, so)));
            }
            Err(why) => all.push(cannot(format!("{name} cannot be read ({why})"))),
        }
    }
    all
}

fn first_line(text: &str) -> String {
    text.lines().next().unwrap_or_default().to_owned()
}

/// Finds where two values differ, and tells by which keys one comes there; what stands in a list is counted from 1.
fn find_apart(at: &str, was: Option<&Value>, now: Option<&Value>, all: &mut Vec<(String, String, String)>) {
    let word = |value: Option<&Value>| value.map_or_else(String::new, Value::to_string);
    match (was, now) {
        (Some(Value::Table(was)), Some(Value::Table(now))) => {
            let keys = was.keys().chain(now.keys().filter(|key| !was.contains_key(*key)));
            keys.for_each(|key| find_apart(&format!("{at}, {key}"), was.get(key), now.get(key), all));
        }
        (Some(Value::Array(was)), Some(Value::Array(now))) => {
            for i in 0..was.len().max(now.len()) {
                find_apart(&format!("{at} {}", i + 1), was.get(i), now.get(i), all);
            }
        }
        (was, now) if was != now => all.push((at.to_owned(), word(was), word(now))),
        _ => {}
    }
}

/// The calibration.
fn of_wedge(notes: &Notes, settings: &Settings) -> Option<Differs> {
    let (was, path) = (notes.scan.wedge.as_ref()?, settings.wedge.as_ref()?);
    let now = match text_of(path) {
        Ok(Some(text)) => blake3::hash(text.as_bytes()).to_hex().to_string(),
        Ok(None) => "gone".to_owned(),
        Err(_) => "unreadable".to_owned(),
    };
    let so = "what is made again goes by its points in the notes";
    differs(&format!("calibration {}", was.file), &hash(&was.blake3), &hash(&now), so)
}

/// The scan's file. Its codes are read when something is to be made, or when the disk says that they may be others.
///
/// # Errors
/// When it cannot be read.
pub(super) fn of_scan(
    notes: &Notes,
    path: &Path,
    scan: &Scan,
    read: &Read,
    nothing: bool,
) -> Result<Vec<Differs>, scan::Error> {
    let (was, facts) = (&notes.scan, scan.facts());
    let opt = |word: &Option<String>| word.clone().unwrap_or_default();
    let pixels = |width: u32, height: u32| format!("{width} x {height}");
    let forbids = |differs: Option<Differs>| differs.map(|differs| Differs { bytes: true, forbids: true, ..differs });
    let another = "it is another scan: places and densities in the notes are not its own";
    let mut all = Vec::new();
    let size = (facts.size.width, facts.size.height);
    all.extend(forbids(differs("size", &pixels(was.width, was.height), &pixels(size.0, size.1), another)));
    let stamp = Stamp::of(path)?;
    if all.is_empty() && (!nothing || (stamp.bytes, &stamp.modified) != (was.bytes, &was.modified)) {
        let codes = counting::fingerprint(scan, read.channel())?;
        let what = "codes (BLAKE3)";
        all.extend(forbids(differs(what, &hash(&was.codes_blake3), &hash(&codes), "it was scanned or edited anew")));
    }
    let encoding = read.encoding(facts)?.to_string();
    let so = "its codes mean other densities";
    all.extend(forbids(differs("encoding", &was.encoding, &encoding, so)));
    let said = "files made now carry the new one, and their pixels are the same";
    let ppi = |ppi: Option<[f64; 2]>| {
        ppi.map_or_else(String::new, |[x, y]| if x == y { x.to_string() } else { format!("{x} x {y}") })
    };
    let now = facts.resolution.map(|r| [r.x.value(), r.y.value()]);
    let turned = "files made now are turned by the new one";
    let in_files = [
        differs("ppi", &ppi(was.ppi), &ppi(now), said),
        differs("bits", &was.bits, &facts.bits, "its codes are the same"),
        differs("orientation", &was.orientation, &facts.orientation.value(), turned),
    ];
    all.extend(in_files.into_iter().flatten().map(Differs::in_bytes));
    let words = [
        ("make", &was.make, &facts.make),
        ("model", &was.model, &facts.model),
        ("software", &was.software, &facts.software),
        ("date", &was.date, &facts.date_time),
        ("description", &was.description, &facts.description),
    ];
    all.extend(
        words.iter().filter_map(|(what, was, now)| differs(what, &opt(was), &opt(now), said)).map(Differs::in_bytes),
    );
    Ok(all)
}
