//! What is wrong with the writing of a TOML file, in plain words.

/// A value that is a word, or several.
const WORDS: &str = "words, and fractions such as \"1/3\", stand in quotes";
/// A value that has come to its end, and does not end there.
const BEHIND: &str = "there is more behind the value: each key stands on a line of its own, words in quotes";
const TWO_SIGNS: &str = "there is an = too many";

/// What the parser says first (toml_parser 1.1), and the same for who has never read TOML's grammar. Of two that begin
/// alike the longer stands first.
const PLAIN: [(&str, &str); 30] = [
    ("unclosed table", "the name of a table stands between [ and ]: the ] is missing"),
    ("unclosed array table", "the name of such a table stands between [[ and ]]: the ]] is missing"),
    ("unclosed array", "this list has no end: a ] is missing"),
    ("unclosed inline table", "this begins with { and has no end: a } is missing"),
    ("missing array opening", "this ] has no [ before it"),
    ("missing inline table opening", "this } has no { before it"),
    ("missing table open", "this ] has no [ before it"),
    ("string values must be quoted", "here a value is missing, or words that stand in quotes"),
    ("invalid basic string", "these quotes are not closed in their line"),
    ("invalid multi-line basic string", "these three quotes are not closed by three others"),
    ("invalid multi-line literal string", "these three quotes are not closed by three others"),
    ("missing escaped value", "a \\ stands in these quotes: write it as \\\\, or put the words into single quotes"),
    ("invalid literal string", "these quotes are not closed in their line"),
    ("missing opening quote", "the quote before it is missing"),
    ("missing assignment", "an = is missing: write it as key = value"),
    ("key with no value", "it is no key = value: a key is one word, with an = and its value behind it"),
    ("missing value", "the value is missing: write it as key = value"),
    ("extra assignment between key-value pairs, expected `,`", "a comma is missing before this key"),
    ("extra assignment", TWO_SIGNS),
    ("extra `=`", TWO_SIGNS),
    ("unexpected `=` in array", "there is an = in a list, which holds values alone"),
    ("missing comma between key-value pairs", "a comma is missing before it, or a } in the line above"),
    ("missing comma", "a comma is missing before it"),
    ("extra comma", "there is a comma too many"),
    (
        "unquoted keys cannot be empty",
        "here a name is missing: of a key before its =, between two points, or in brackets",
    ),
    ("invalid unquoted key", "this key has letters that stand in quotes"),
    ("unexpected key or value", BEHIND),
    ("invalid mantissa", "a figure stands before the point, as in 0.5"),
    ("invalid fraction", "a figure stands behind the point, as in 5.0"),
    ("cannot recurse", "lists or tables lie too deep in one another"),
];

/// What is wrong in line `line` of a TOML file of which the parser `said` this.
pub fn spelling(said: &str, text: &str, line: usize) -> String {
    let written = text.lines().nth(line.saturating_sub(1)).unwrap_or_default();
    let written = written.split('#').next().unwrap_or_default();
    let (key, value) = written.split_once('=').map_or((written, ""), |(key, value)| (key.trim(), value.trim()));
    let own = match said {
        _ if said.starts_with("missing comma between array elements") && opens_before(key, value) => {
            "the list in the lines above has no end: a ] is missing"
        }
        _ if said.starts_with("string values must be quoted") && written.contains('=') && value.is_empty() => {
            "the value is missing: write it as key = value"
        }
        _ if said.starts_with("invalid literal string") && !written.contains('\'') => {
            "a key in these { } has no value: write it as key = value"
        }
        _ if said.starts_with("string values must be quoted") && value.starts_with('[') => of_list(value),
        _ => of_value(value),
    };
    let plain = || PLAIN.iter().find(|(parser, _)| said.starts_with(parser)).map(|(_, plain)| *plain);
    if own.is_empty() { plain().unwrap_or(said).to_owned() } else { own.to_owned() }
}

/// Whether a line of which the parser says that it goes on a list begins a key of its own.
fn opens_before(key: &str, value: &str) -> bool {
    let bare = |c: char| c.is_ascii_alphanumeric() || "-_.".contains(c);
    !key.is_empty() && key.chars().all(bare) && !value.is_empty() && !value.contains('[')
}

/// A number, or one of the two words that stand bare.
fn is_bare(word: &str) -> bool {
    word.parse::<f64>().is_ok() || ["true", "false"].contains(&word)
}

/// How the values of a list are written: the first that is wrong.
fn of_list(list: &str) -> &'static str {
    let quoted = |item: &str| item.starts_with(['"', '\'', '{']);
    let items = list.split([',', '[', ']']).map(str::trim).filter(|item| !item.is_empty() && !quoted(item));
    let wrong = items.filter(|item| !is_bare(item)).map(|item| match item.split_whitespace().all(is_bare) {
        true => "a comma is missing in this list",
        false => of_value(item),
    });
    wrong.into_iter().next().unwrap_or_default()
}

/// How a value is written, if it is a word, a fraction, or as much of a date as TOML has no form for, and stands there
/// bare.
fn of_value(value: &str) -> &'static str {
    let bare = !value.is_empty() && !value.starts_with(['"', '\'', '[', '{', '=', ']', '}']) && !is_bare(value);
    let figures = |part: &str| !part.is_empty() && part.bytes().all(|b| b.is_ascii_digit());
    let date: Vec<&str> = value.split('-').collect();
    if value.split_once(',').is_some_and(|(whole, part)| figures(whole) && figures(part)) {
        return "the decimal sign is a point, as 2.5";
    }
    if value.starts_with(['\u{201c}', '\u{201d}', '\u{201e}', '\u{2018}', '\u{2019}']) {
        return "these quotes are printed ones: write \", as in \"coil of rope\"";
    }
    match (&date[..], &value.split('.').collect::<Vec<_>>()[..]) {
        ([year, month], _) if year.len() == 4 && figures(year) && figures(month) => {
            return "a date without its day stands in quotes, as \"2026-11\"";
        }
        // The parser says what is wrong with it.
        ([year, month, day], _)
            if year.len() == 4
                && [year, month].iter().all(|p| figures(p))
                && day.starts_with(|c: char| c.is_ascii_digit()) =>
        {
            return "";
        }
        (_, [day, month, year]) if [day, month, year].iter().all(|p| figures(p)) => {
            return "write a date as 2026-11-25, year first";
        }
        // A point without a figure at one of its sides.
        (_, [whole, part]) if [whole, part].iter().all(|p| p.is_empty() || figures(p)) => return "",
        _ => {}
    }
    match value.split_once('=').map(|(first, _)| first.trim()) {
        _ if !bare => "",
        Some(first) if is_bare(first) => TWO_SIGNS,
        Some(first) if first.split([' ', ',']).next().is_some_and(is_bare) => BEHIND,
        None if value.split_whitespace().all(is_bare) => BEHIND,
        None if value.ends_with([']', '}']) && value.split([' ', ']', '}']).next().is_some_and(is_bare) => BEHIND,
        _ => WORDS,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use toml_edit::{DocumentMut, TomlError};

    /// The slip as the parser of today tells it, and the line where it does.
    fn parsed(text: &str) -> (String, usize) {
        let error: TomlError = text.parse::<DocumentMut>().unwrap_err();
        let at = error.span().map_or(0, |span| span.start).min(text.len());
        (error.message().lines().next().unwrap().to_owned(), text[..at].matches('\n').count() + 1)
    }

    /// What is to be written follows from the grammar (TOML 1.0: toml.io/en/v1.0.0). The parser's own words stay out:
    /// each slip is held against what the parser of today says of it.
    #[test]
    fn slips_that_people_make_are_told_in_plain_words() {
        let deep = format!("a = {}\n", "[".repeat(200));
        let mut met = [false; PLAIN.len()];
        for (text, told) in [
            ("[shot\na = 1\n", "the ] is missing"),
            ("[[shot]\n", "the ]] is missing"),
            ("a = [1, 2\n", "a ] is missing"),
            ("a = [1, 2\nb = 3\n", "the list in the lines above has no end"),
            ("a = { b = 1\n", "a } is missing"),
            ("a = { b = 1\nc = 2\n", "a comma is missing before it, or a } in the line above"),
            ("a = ]\n", "no [ before it"),
            ("a = }\n", "no { before it"),
            ("] = 1\n", "no [ before it"),
            ("a = \"coil\n", "quotes are not closed"),
            ("a = 'coil\n", "quotes are not closed"),
            ("a = \"\"\"coil\n", "three quotes are not closed"),
            ("a = \'\'\'coil\n", "three quotes are not closed"),
            ("a = \"C:\\scans\"\n", "write it as \\\\"),
            ("a = \u{201c}coil\u{201d}\n", "printed ones"),
            ("a = coil\n", "stand in quotes"),
            ("a = at=0.25,0.5=VIII\n", "stand in quotes"),
            ("a = [1, coil]\n", "stand in quotes"),
            ("a = [coil of rope]\n", "stand in quotes"),
            ("a = { b = coil }\n", "stand in quotes"),
            ("a = { b = coil\" }\n", "the quote before it is missing"),
            ("a 1\n", "a key is one word, with an = and its value behind it"),
            ("a\n", "a key is one word, with an = and its value behind it"),
            ("lens used = \"90\"\n", "a key is one word"),
            ("a =\n", "the value is missing"),
            ("a =", "the value is missing"),
            (".a\n", "the value is missing"),
            ("a = { b }\n", "has no value"),
            ("a = { b 1 }\n", "an = is missing"),
            ("a = 2,5\n", "the decimal sign is a point"),
            ("a = .5\n", "before the point, as in 0.5"),
            ("a = 5.\n", "behind the point, as in 5.0"),
            ("a = = 1\n", "= too many"),
            ("x = 1 = 2\n", "= too many"),
            ("a = { b = = 1 }\n", "= too many"),
            ("a = [b = 1]\n", "an = in a list"),
            ("a = [1 2]\n", "a comma is missing in this list"),
            ("picture = [[1 2], [3, 4]]\n", "a comma is missing in this list"),
            ("picture = [[1, 2] [3, 4]]\n", "a comma is missing before it"),
            ("a = [\"x\" \"y\"]\n", "a comma is missing"),
            ("a = { b = 1 c = 2 }\n", "a comma is missing before this key"),
            ("a = [1,, 2]\n", "a comma too many"),
            ("= 1\n", "a name is missing"),
            ("[]\n", "a name is missing"),
            ("s\u{fc}d = 1\n", "letters that stand in quotes"),
            ("a = \"coil\" of rope\n", "more behind the value"),
            ("a = 1 2\n", "more behind the value"),
            ("a = 1 b = 2\n", "more behind the value"),
            ("a = 1 ]\n", "more behind the value"),
            ("[shot] a = 1\n", "more behind the value"),
            (&deep, "too deep"),
        ] {
            let (said, line) = parsed(text);
            let plain = spelling(&said, text, line);
            assert!(plain.contains(told), "{text}: {said}: {plain}");
            if let Some(entry) =
                PLAIN.iter().position(|(parser, plainly)| said.starts_with(parser) && *plainly == plain)
            {
                met[entry] = true;
            }
        }
        let unmet: Vec<&str> = PLAIN.iter().zip(met).filter(|(_, met)| !met).map(|((parser, _), _)| *parser).collect();
        assert_eq!(unmet, [] as [&str; 0], "no slip is told by these");
    }

    #[test]
    fn only_a_bare_word_is_told_to_stand_in_quotes() {
        for bare in ["-1/3", "210 mm", "coil"] {
            assert!(of_value(bare).contains("in quotes"), "{bare}");
        }
        assert!(spelling("", "a = 1\nlens = 210 mm # long\n", 2).contains("in quotes"));
        assert!(of_value("2026-11").contains("without its day stands in quotes"));
        assert!(of_value("31.02.2026").contains("year first"));
        for other in ["2026-02-31", "-0.5", "true", "\"3", "", "[[1, 2"] {
            assert_eq!(of_value(other), "", "{other}");
        }
    }
}
