//! What is wrong with the writing of a TOML file, in plain words.

/// What the parser says first (toml_parser 1.1), and the same for who has never read TOML's grammar.
const PLAIN: [(&str, &str); 23] = [
    ("unclosed table", "the name of a table stands between [ and ]: the ] is missing"),
    ("unclosed array table", "the name of such a table stands between [[ and ]]: the ]] is missing"),
    ("unclosed array", "this list has no end: a ] is missing"),
    ("unclosed inline table", "this begins with { and has no end: a } is missing"),
    ("string values must be quoted", "here a value is missing, or words that stand in quotes"),
    ("invalid basic string", "these quotes are not closed in their line"),
    ("invalid multi-line basic string", "these three quotes are not closed by three others"),
    ("missing escaped value", "a \\ stands in these quotes: write it as \\\\, or put the words into single quotes"),
    ("invalid literal string", "these quotes are not closed in their line"),
    ("missing opening quote", "the quote before it is missing"),
    ("missing assignment", "an = is missing: write it as key = value"),
    ("key with no value", "it has no value: write it as key = value"),
    ("missing value", "the value is missing: write it as key = value"),
    ("extra assignment", "there is an = too many"),
    ("extra `=`", "there is an = too many"),
    ("unexpected `=` in array", "there is an = in a list"),
    ("missing comma", "a comma is missing before it"),
    ("extra comma", "there is a comma too many"),
    ("unquoted keys cannot be empty", "the key before the = is missing"),
    ("invalid unquoted key", "this key has letters that stand in quotes"),
    ("unexpected content", "there is more behind the value: each key stands on a line of its own, words in quotes"),
    (
        "unexpected key or value",
        "there is more behind the value: each key stands on a line of its own, words in quotes",
    ),
    ("cannot recurse", "lists or tables lie too deep in one another"),
];

/// What is wrong in line `line` of a TOML file of which the parser `said` this.
pub fn spelling(said: &str, text: &str, line: usize) -> String {
    let plain = PLAIN.iter().find(|(parser, _)| said.starts_with(parser)).map(|(_, plain)| *plain);
    match (quotes(text, line), plain) {
        ("", plain) => plain.unwrap_or(said).to_owned(),
        (quotes, _) => quotes.to_owned(),
    }
}

/// How a value of line `line` is written, if it is a word, a fraction, or as much of a date as TOML has no form for,
/// and stands there bare.
fn quotes(text: &str, line: usize) -> &'static str {
    let value = text.lines().nth(line.saturating_sub(1)).and_then(|l| l.split_once('=')).map_or("", |(_, value)| value);
    let value = value.split('#').next().unwrap_or_default().trim();
    let bare = !value.is_empty() && !value.starts_with(['"', '\'', '[', '{', '=']) && value.parse::<f64>().is_err();
    let figures = |part: &str| !part.is_empty() && part.bytes().all(|b| b.is_ascii_digit());
    let date: Vec<&str> = value.split('-').collect();
    if value.split_once(',').is_some_and(|(whole, part)| figures(whole) && figures(part)) {
        return "the decimal sign is a point, as 2.5";
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
        _ => {}
    }
    if bare { "words, and fractions such as \"1/3\", stand in quotes" } else { "" }
}

#[cfg(test)]
mod tests {
    use super::*;
    use toml_edit::{DocumentMut, TomlError};

    /// The parser's own words stay out: each slip is held against what the parser of today says of it.
    #[test]
    fn slips_that_people_make_are_told_in_plain_words() {
        for (text, told) in [
            ("[shot\na = 1\n", "the ] is missing"),
            ("[[shot]\n", "the ]] is missing"),
            ("a = [1, 2\n", "a ] is missing"),
            ("a = { b = 1\n", "a } is missing"),
            ("a = \"coil\n", "quotes are not closed"),
            ("a = 'coil\n", "quotes are not closed"),
            ("a = \"C:\\scans\"\n", "write it as \\\\"),
            ("a = coil\n", "stand in quotes"),
            ("a 1\n", "write it as key = value"),
            ("a =\n", "a value is missing"),
            ("a = 2,5\n", "the decimal sign is a point"),
            ("a\n", "key = value"),
            ("a = = 1\n", "= too many"),
            ("a = [1 2]\n", "here a value is missing"),
            ("a = [\"x\" \"y\"]\n", "a comma is missing"),
            ("a = [1,, 2]\n", "a comma too many"),
            ("= 1\n", "the key before the = is missing"),
            ("a = \"coil\" of rope\n", "more behind the value"),
        ] {
            let error: TomlError = text.parse::<DocumentMut>().unwrap_err();
            let said = error.message().lines().next().unwrap();
            assert!(spelling(said, text, 1).contains(told), "{text}: {said}: {}", spelling(said, text, 1));
        }
    }

    #[test]
    fn only_a_bare_word_is_told_to_stand_in_quotes() {
        for bare in ["exposure=-1/3", "lens = 210 mm # long", "subject = coil"] {
            assert!(quotes(&format!("a = 1\n{bare}\n"), 2).contains("in quotes"), "{bare}");
        }
        assert!(quotes("date = 2026-11", 1).contains("without its day stands in quotes"));
        assert!(quotes("date = 31.02.2026 # frost", 1).contains("year first"));
        for other in ["date = 2026-02-31", "exposure = -0.5", "grade = \"3", "crop =", "picture = [[1, 2", "no sign"] {
            assert_eq!(quotes(other, 1), "", "{other}");
        }
    }
}
