//! How a text ends its lines, and whether it begins with a mark: kept, whatever the TOML library makes of it.

use toml_edit::{Document, Item, Value};

/// The byte order mark that some editors put before UTF-8.
const MARK: char = '\u{feff}';

/// A text as it was read.
#[derive(Clone, Debug, Default)]
pub(super) struct LineEnds {
    marked: bool,
    /// The last line, if nothing ends it.
    open: Option<String>,
    /// Each line with whether it ends as on Windows; empty where none does.
    lines: Vec<(String, bool)>,
}

impl LineEnds {
    /// Those of a text.
    pub(super) fn of(text: &str) -> Self {
        let plain = text.trim_start_matches(MARK);
        let lines = if plain.contains("\r\n") { plain.split_inclusive('\n').map(ended).collect() } else { Vec::new() };
        let last = plain.rsplit('\n').next().filter(|last| !last.is_empty());
        Self { marked: text.starts_with(MARK), open: last.map(str::to_owned), lines }
    }

    /// The text with them, after something in it was changed. Lines that are new end as most do.
    pub(super) fn restore(&self, changed: &str) -> String {
        let cut = changed.strip_suffix('\n').filter(|cut| self.open.as_deref() == cut.rsplit('\n').next());
        let changed = cut.unwrap_or(changed);
        let mark = if self.marked { MARK.to_string() } else { String::new() };
        if self.lines.is_empty() {
            return mark + changed;
        }
        let most = self.lines.iter().filter(|(_, windows)| *windows).count() * 2 >= self.lines.len();
        let new: Vec<(&str, bool)> = changed
            .split_inclusive('\n')
            .map(|line| (line.trim_end_matches(['\n', '\r']), line.ends_with('\n')))
            .collect();
        let same = |(old, line): (&(String, bool), &(&str, bool))| old.0 == line.0;
        let top = self.lines.iter().zip(&new).take_while(|pair| same(*pair)).count();
        let shorter = self.lines.len().min(new.len()) - top;
        let end = self.lines.iter().rev().zip(new.iter().rev()).take(shorter).take_while(|pair| same(*pair)).count();
        // Between what is the same at the top and at the end, a line is looked for among those that are left.
        let mut left = &self.lines[top..self.lines.len() - end];
        let within = inside_words(changed);
        let mut text = mark;
        let mut at = 0;
        for (number, (line, whole)) in new.iter().enumerate() {
            let windows = if number < top {
                self.lines[number].1
            } else if number >= new.len() - end {
                self.lines[self.lines.len() - (new.len() - number)].1
            } else {
                let known = left.iter().position(|(old, _)| old == line).filter(|_| !line.is_empty());
                let known = known.map(|i| {
                    let windows = left[i].1;
                    left = &left[i + 1..];
                    windows
                });
                known.unwrap_or(most)
            };
            let break_at = at + changed[at..].find('\n').unwrap_or(0);
            // Inside a word of several lines an end of line is part of the word: it stands there as it must.
            let kept = within.iter().any(|range| range.contains(&break_at));
            text.push_str(line);
            if *whole {
                let ended_so = changed[..break_at].ends_with('\r');
                text.push_str(if if kept { ended_so } else { windows } { "\r\n" } else { "\n" });
            }
            at = break_at + 1;
        }
        text
    }
}

fn ended(line: &str) -> (String, bool) {
    (line.trim_end_matches(['\n', '\r']).to_owned(), line.ends_with("\r\n"))
}

/// Where words of several lines stand, in bytes.
fn inside_words(text: &str) -> Vec<std::ops::Range<usize>> {
    let mut found = Vec::new();
    if let Ok(document) = Document::parse(text) {
        words(document.as_item(), &mut found);
    }
    found.retain(|range| text[range.clone()].contains('\n'));
    found
}

fn words(item: &Item, found: &mut Vec<std::ops::Range<usize>>) {
    match item {
        Item::Table(table) => table.iter().for_each(|(_, item)| words(item, found)),
        Item::ArrayOfTables(tables) => tables.iter().flat_map(|t| t.iter()).for_each(|(_, item)| words(item, found)),
        Item::Value(value) => of_value(value, found),
        Item::None => {}
    }
}

fn of_value(value: &Value, found: &mut Vec<std::ops::Range<usize>>) {
    match value {
        Value::String(word) => found.extend(word.span()),
        Value::Array(list) => list.iter().for_each(|value| of_value(value, found)),
        Value::InlineTable(table) => table.iter().for_each(|(_, value)| of_value(value, found)),
        _ => {}
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use toml_edit::{DocumentMut, value};

    fn changed(text: &str, change: impl Fn(&mut DocumentMut)) -> String {
        let ends = LineEnds::of(text);
        let mut document: DocumentMut = text.trim_start_matches(MARK).parse().unwrap();
        change(&mut document);
        ends.restore(&document.to_string())
    }

    #[test]
    fn a_text_that_is_not_changed_comes_back_to_the_byte() {
        for text in [
            "",
            "a = 1",
            "a = 1\n",
            "\u{feff}a = 1\r\n",
            "# one\r\n\r\na = 1 # two\r\n[t]\r\nw = '''x\r\ny\nz'''\r\n\r\n",
            "a = 1\r\nb = 2\nc = 3\r\n\r\n\n# end",
            "w = [ # list\r\n  1,\r\n  2 ]\r\n",
        ] {
            assert_eq!(changed(text, |_| {}), text);
        }
    }

    #[test]
    fn what_is_new_ends_as_the_rest_and_words_keep_their_own() {
        let text = "\u{feff}# mine\r\n[shot]\r\nsubject = 'coil'\r\nwords = '''a\nb'''\r\n";
        let now = changed(text, |document| {
            document["shot"]["film"] = value("pan");
            document["shot"]["paper"] = value("a\nb");
        });
        assert_eq!(
            now,
            format!("{text}film = \"pan\"\r\npaper = \"\"\"\r\na\nb\"\"\"\r\n").replace("\"\"\"\r\na", "\"\"\"\na")
        );
        let mixed = "a = 1\r\nb = 2\nc = 3\r\n";
        assert_eq!(changed(mixed, |document| document["b"] = value(5)), "a = 1\r\nb = 5\r\nc = 3\r\n");
        assert_eq!(changed(mixed, |document| document["d"] = value(5)), "a = 1\r\nb = 2\nc = 3\r\nd = 5\r\n");
    }
}
