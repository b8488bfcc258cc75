//! The fields of `[shot]` that are read. One list: reading, writing and the forms for new notes go by it.

use super::kind::Kind;
use toml_edit::Value;

/// A field.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Field {
    /// Its dotted name below `[shot]`; `*` stands for any name.
    pub name: &'static str,
    /// What it takes.
    pub kind: Kind,
    /// One that it takes.
    pub example: &'static str,
}

const fn field(name: &'static str, kind: Kind, example: &'static str) -> Field {
    Field { name, kind, example }
}

/// All of them, in the order in which a form has them.
pub const FIELDS: [Field; 45] = [
    field("title", Kind::Text, "Coil"),
    field("subject", Kind::Text, "coil of tarred rope"),
    field("caption", Kind::Text, "a coil on the floor of the store room"),
    field("place", Kind::Text, "ropewalk, store room"),
    field("date", Kind::Date, "2026-11-25 16:30"),
    field("photographer", Kind::Text, "your name"),
    field("rights", Kind::Text, "all rights with the photographer"),
    field("keywords", Kind::Words, "rope, store room"),
    field("rating", Kind::Rating, "3"),
    field("film", Kind::Text, "pan sheet 100"),
    field("speed", Kind::Speed, "64"),
    field("holder", Kind::Text, "7"),
    field("side", Kind::Text, "a"),
    field("camera", Kind::Text, "field camera"),
    field("lens", Kind::Text, "the long one"),
    field("focal", Kind::Length, "300mm"),
    field("aperture", Kind::Aperture, "f/22 1/2"),
    field("shutter", Kind::Time, "10m 20s"),
    field("filter", Kind::Text, "yellow"),
    field("factor", Kind::Factor, "2"),
    field("bellows", Kind::Length, "450mm"),
    field("reciprocity", Kind::Text, "1.31"),
    field("light", Kind::Text, "overcast, one window"),
    field("remarks", Kind::Text, "wind in the door"),
    field("rescan-of", Kind::Text, "sheet-01"),
    field("movements.front.rise", Kind::Movement, "12mm"),
    field("movements.front.shift", Kind::Movement, "0mm"),
    field("movements.front.swing", Kind::Degrees, "0"),
    field("movements.front.tilt", Kind::Degrees, "4"),
    field("movements.rear.rise", Kind::Movement, "0mm"),
    field("movements.rear.shift", Kind::Movement, "-5mm"),
    field("movements.rear.swing", Kind::Degrees, "-2"),
    field("movements.rear.tilt", Kind::Degrees, "0"),
    field("readings.*.name", Kind::Text, "shadow"),
    field("readings.*.metered", Kind::Reading, "2m"),
    field("readings.*.aperture", Kind::Aperture, "f/16"),
    field("readings.*.zone", Kind::Zone, "III"),
    field("readings.*.at", Kind::Place, "512,300"),
    field("development.developer", Kind::Text, "two-bath"),
    field("development.dilution", Kind::Text, "1+1"),
    field("development.time", Kind::Bath, "8m 30s"),
    field("development.temperature", Kind::Temperature, "20C"),
    field("development.agitation", Kind::Text, "10 s a minute"),
    field("development.n", Kind::Development, "N+1"),
    field("development.remarks", Kind::Text, "fresh"),
];

/// Readings that may stand in `[shot]` itself.
const READINGS: [&str; 2] = ["shadow", "highlight"];

/// A value below `[shot]`, with the field that it is of.
#[derive(Clone, Debug)]
pub(super) struct Found {
    /// Its dotted name.
    pub name: String,
    /// The field, if it is one that is read.
    pub field: Option<&'static Field>,
    /// What stands there.
    pub value: Value,
    /// The same as text.
    pub text: String,
    /// Where, in bytes of the text.
    pub at: std::ops::Range<usize>,
}

/// The field of a dotted name.
pub(super) fn of(name: &str) -> Option<&'static Field> {
    let parts: Vec<&str> = name.split('.').collect();
    let parts = match parts[..] {
        [reading, what] if READINGS.contains(&reading) => vec!["readings", reading, what],
        _ => parts,
    };
    let is = |field: &&Field| {
        let known: Vec<&str> = field.name.split('.').collect();
        known.len() == parts.len() && known.iter().zip(&parts).all(|(known, part)| *known == "*" || known == part)
    };
    FIELDS.iter().find(is)
}

/// Whether it is the name of what holds fields, and no field itself.
pub(super) fn is_table(name: &str) -> bool {
    READINGS.contains(&name) || FIELDS.iter().any(|field| field.name.starts_with(&format!("{name}.")))
}

/// The field that a name of none is near to.
pub(super) fn near(name: &str) -> Option<String> {
    let plain = name.to_lowercase();
    let distance = |known: &str| strsim::damerau_levenshtein(known, &plain);
    let letters = |word: &str| {
        let mut letters: Vec<char> = word.chars().collect();
        letters.sort_unstable();
        letters
    };
    // A short word is near only to its own letters: "flim" is, but a plate is no place.
    let near = |known: &&str| match known.len() {
        ..=5 => letters(known) == letters(&plain),
        6 | 7 => distance(known) <= 1,
        _ => distance(known) <= 2,
    };
    let names = FIELDS.iter().map(|field| field.name).filter(|known| !known.contains('*'));
    names.filter(near).min_by_key(|known| distance(known)).map(str::to_owned)
}
