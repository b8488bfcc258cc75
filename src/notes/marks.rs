//! The photographer's `[marks]`: which frames are to be printed, looked at again, or left out. Written only when the
//! person asks for it, by `dryside mark`.

use std::collections::BTreeMap;
use std::fmt;
use std::str::FromStr;

use toml_edit::{DocumentMut, InlineTable, Item, Table, Value};

/// The table's name.
const MARKS: &str = "marks";

/// What is to become of a frame.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Mark {
    /// It is to be printed.
    Print,
    /// It is to be looked at again.
    Hold,
    /// It is to be left out.
    Skip,
}

const NAMES: [(Mark, &str); 3] = [(Mark::Print, "print"), (Mark::Hold, "hold"), (Mark::Skip, "skip")];

impl fmt::Display for Mark {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(NAMES.iter().find(|(mark, _)| mark == self).map_or("", |(_, name)| name))
    }
}

impl FromStr for Mark {
    type Err = String;

    fn from_str(word: &str) -> Result<Self, String> {
        let plain = word.trim().to_lowercase();
        let mark = NAMES.iter().find(|(_, name)| *name == plain).map(|(mark, _)| *mark);
        mark.ok_or_else(|| format!("\"{word}\" is no mark: use print, hold or skip"))
    }
}

/// What stands at a frame's number.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Marked {
    /// The mark, if there is one that is known.
    pub mark: Option<Mark>,
    /// What was written beside it.
    pub remark: Option<String>,
}

/// The marks of a notes file.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Marks {
    frames: BTreeMap<usize, Marked>,
    slips: Vec<String>,
}

impl Marks {
    /// Reads them: a frame's number, and a word or a table of `mark` and `remark`. What cannot be read is kept as a
    /// slip.
    pub(super) fn of(document: &DocumentMut) -> Self {
        let mut marks = Self::default();
        for (name, item) in document.iter() {
            if name != MARKS && item.is_table_like() && is_like_marks(name) {
                marks.slips.push(format!("[{name}] is not read: did you mean [{MARKS}]?"));
            }
        }
        match document.get(MARKS).map(|item| (item, item.as_table_like())) {
            None => {}
            Some((_, Some(table))) => table.iter().for_each(|(number, item)| marks.read(number, item)),
            Some((_, None)) => {
                marks.slips.push(format!("{MARKS} is no table: write [{MARKS}], and below it 1 = \"print\""))
            }
        }
        marks
    }

    fn read(&mut self, number: &str, item: &Item) {
        let mut slip = |what: String| self.slips.push(format!("[{MARKS}] {number}: {what}"));
        let Some(frame) = number.parse().ok().filter(|number| *number > 0) else {
            return slip("this is no number of a frame: write 1 = \"print\", and so on".to_owned());
        };
        let mut marked = Marked::default();
        match item.as_table_like() {
            None => marked.mark = word(item).and_then(|word| word.parse().map_err(&mut slip).ok()),
            Some(table) => {
                for (key, item) in table.iter() {
                    match (key, word(item)) {
                        ("mark", Some(word)) => marked.mark = word.parse().map_err(&mut slip).ok(),
                        ("remark", Some(word)) => marked.remark = Some(word),
                        _ => slip(format!("{key} is not read: write {{ mark = \"print\", remark = \"...\" }}")),
                    }
                }
            }
        }
        self.frames.insert(frame, marked);
    }

    /// What stands at the number of a frame.
    pub fn of_frame(&self, number: usize) -> Marked {
        self.frames.get(&number).cloned().unwrap_or_default()
    }

    /// What could not be read, or is about a frame that a scan of so many frames has not, each with what to do.
    pub fn slips(&self, frames: usize) -> Vec<String> {
        let has = if frames == 1 { "one frame".to_owned() } else { format!("{frames} frames") };
        let beyond = |number: &&usize| **number > frames;
        let told = |number: &usize| format!("[{MARKS}] {number}: this scan has {has}: give another number");
        let beyond = self.frames.keys().filter(beyond).map(told);
        self.slips.iter().cloned().chain(beyond).collect()
    }
}

/// Marks a frame, writes a remark beside it, or takes both away; everything else stays to the byte. A remark that
/// stands beside a mark stays unless another is given; an empty one takes it away. Tells whether `[marks]` is a table
/// that can take it.
pub(super) fn write(document: &mut DocumentMut, number: usize, mark: Option<Mark>, remark: Option<&str>) -> bool {
    let headed = || {
        let mut table = Table::new();
        table.decor_mut().set_prefix("\n");
        Item::Table(table)
    };
    let nothing = mark.is_none() && remark.is_none_or(str::is_empty);
    if nothing && !document.contains_key(MARKS) {
        return true;
    }
    let Some(table) = document.entry(MARKS).or_insert_with(headed).as_table_like_mut() else { return false };
    let key = number.to_string();
    if nothing {
        table.remove(&key);
        let empty = table.is_empty();
        // A heading that this program set goes with the last mark; one with a word beside it stays.
        if empty && document.get(MARKS).and_then(Item::as_table).is_some_and(is_bare) {
            document.remove(MARKS);
        }
        return true;
    }
    match table.get_mut(&key) {
        Some(item) if item.is_table_like() => {
            if let Some(there) = item.as_table_like_mut() {
                let mut put = |name: &str, word: Option<String>| match word {
                    Some(word) => drop(there.insert(name, Item::Value(word.into()))),
                    None => drop(there.remove(name)),
                };
                put("mark", mark.map(|mark| mark.to_string()));
                if let Some(remark) = remark {
                    put("remark", (!remark.is_empty()).then(|| remark.to_owned()));
                }
            }
        }
        Some(Item::Value(there)) => {
            let mut fresh = marked(mark, remark);
            *fresh.decor_mut() = there.decor().clone();
            *there = fresh;
        }
        _ => drop(table.insert(&key, Item::Value(marked(mark, remark)))),
    }
    true
}

/// Whether a table's heading has nothing around it but blanks.
fn is_bare(table: &Table) -> bool {
    let bare = |around: Option<&toml_edit::RawString>| {
        around.and_then(toml_edit::RawString::as_str).is_none_or(|text| text.trim().is_empty())
    };
    bare(table.decor().prefix()) && bare(table.decor().suffix())
}

/// The mark alone, or what there is of mark and remark.
fn marked(mark: Option<Mark>, remark: Option<&str>) -> Value {
    match (mark, remark.filter(|remark| !remark.is_empty())) {
        (Some(mark), None) => mark.to_string().into(),
        (mark, remark) => {
            let mut both = InlineTable::new();
            mark.map(|mark| both.insert("mark", mark.to_string().into()));
            remark.map(|remark| both.insert("remark", remark.into()));
            Value::InlineTable(both)
        }
    }
}

/// A value as a word; a number or a yes is none that is known, and is told as it stands.
fn word(item: &Item) -> Option<String> {
    let value = item.as_value()?;
    let mut plain = value.clone();
    plain.decor_mut().clear();
    Some(value.as_str().map_or_else(|| plain.to_string(), str::to_owned))
}

fn is_like_marks(name: &str) -> bool {
    let plain = name.to_lowercase();
    // One slip; "remarks" and "masks" are words of their own.
    plain == MARKS || ["mark", "makrs", "marsk", "markes"].contains(&plain.as_str())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn marks(text: &str) -> Marks {
        Marks::of(&text.parse().unwrap())
    }

    #[test]
    fn a_mark_is_a_word_or_a_table_with_a_remark() {
        let marks = marks(
            "[shot]\nsubject = \"coil\"\n[marks]\n1 = \"print\" # mine\n2 = { mark = \"Hold\", remark = \"burn in\" }\n4 = \"skip\"\n[marks.5]\nremark = \"again\"\n",
        );
        let of = |number| marks.of_frame(number);
        assert_eq!(of(1), Marked { mark: Some(Mark::Print), remark: None });
        assert_eq!(of(2), Marked { mark: Some(Mark::Hold), remark: Some("burn in".to_owned()) });
        assert_eq!((of(3), of(4).mark), (Marked::default(), Some(Mark::Skip)));
        assert_eq!(of(5).remark.as_deref(), Some("again"));
        assert_eq!(marks.slips(5), [] as [&str; 0]);
        assert_eq!(marks.slips(4), ["[marks] 5: this scan has 4 frames: give another number"]);
    }

    #[test]
    fn what_is_no_mark_is_told_with_what_to_write_and_the_others_hold() {
        let of = |text: &str| marks(&format!("[marks]\n2 = \"print\"\n{text}\n"));
        for (text, word, advice) in [
            ("1 = \"prnt\"", "[marks] 1: \"prnt\" is no mark", "use print, hold or skip"),
            ("1 = 3", "\"3\" is no mark", "use print, hold or skip"),
            ("coil = \"print\"", "[marks] coil", "no number of a frame"),
            ("0 = \"print\"", "[marks] 0", "no number of a frame"),
            ("1 = { mark = \"hold\", note = \"x\" }", "[marks] 1: note is not read", "remark = "),
            ("[mark]\n1 = \"hold\"", "[mark] is not read", "did you mean [marks]?"),
        ] {
            let marks = of(text);
            let slips = marks.slips(9);
            assert!(slips.len() == 1 && slips[0].contains(word) && slips[0].contains(advice), "{slips:?}");
            assert_eq!(marks.of_frame(2).mark, Some(Mark::Print));
        }
        assert!(marks("marks = 3").slips(1)[0].contains("[marks]"));
        assert_eq!(marks("[masks]\n1 = 2\n[remarks]\na = 1"), Marks::default());
    }

    #[test]
    fn a_mark_is_written_and_everything_else_stays() {
        let hand = "[shot]\nsubject = 'coil'  # mine\n[marks]  # of the night\n2 = \"hold\" # see\n3 = { mark = \"skip\", remark = \"fogged\" }\n\n[scan]\nfile = \"a\"\n";
        let mut document: DocumentMut = hand.parse().unwrap();
        assert!(write(&mut document, 2, Some(Mark::Print), None) && write(&mut document, 3, Some(Mark::Hold), None));
        let expected = hand.replace("\"hold\" # see", "\"print\" # see").replace("mark = \"skip\"", "mark = \"hold\"");
        assert_eq!(document.to_string(), expected);
        assert!(write(&mut document, 1, Some(Mark::Skip), Some("thin")) && write(&mut document, 2, None, None));
        let marks = Marks::of(&document);
        assert_eq!(marks.of_frame(1), Marked { mark: Some(Mark::Skip), remark: Some("thin".into()) });
        assert_eq!((marks.of_frame(2), marks.of_frame(3).remark.as_deref()), (Marked::default(), Some("fogged")));
        // A remark stands without a mark, too, and goes when it is emptied.
        assert!(write(&mut document, 4, None, Some("again")) && write(&mut document, 1, Some(Mark::Skip), Some("")));
        let marks = Marks::of(&document);
        assert_eq!(marks.of_frame(4), Marked { mark: None, remark: Some("again".into()) });
        assert_eq!(marks.of_frame(1), Marked { mark: Some(Mark::Skip), remark: None });
        assert!(write(&mut document, 4, None, Some("")) && Marks::of(&document).of_frame(4) == Marked::default());
        let mut none: DocumentMut = "marks = 3\n".parse().unwrap();
        assert!(!write(&mut none, 1, Some(Mark::Print), None));
    }
}
