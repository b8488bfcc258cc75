//! Which frames are meant: conditions on the columns of the export, as a person types them.

use std::cmp::Ordering;
use std::fmt;

use crate::light::Millimetres;
use crate::meter::Seconds;

/// What a column holds of a frame.
#[derive(Clone, Debug, PartialEq)]
pub enum Fact {
    /// Words.
    Text(String),
    /// A number, in the unit that the column's name tells.
    Number(f64),
    /// A number with the way that people write it: grade "1½", shutter time "1/60 s".
    Written(f64, String),
}

impl fmt::Display for Fact {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Text(text) | Self::Written(_, text) => f.write_str(text),
            Self::Number(number) => write!(f, "{number}"),
        }
    }
}

/// A condition: column, relation, value, written without blanks around the sign.
#[derive(Clone, Debug, PartialEq)]
pub struct Condition {
    column: String,
    relation: Relation,
    value: String,
    /// The same as a number in the column's unit, if it is one.
    wanted: Option<f64>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Relation {
    Is,
    IsNot,
    Below,
    AtMost,
    Above,
    AtLeast,
}

/// Longer signs first, so that none is read as its own beginning.
const SIGNS: [(&str, Relation); 6] = [
    ("!=", Relation::IsNot),
    ("<=", Relation::AtMost),
    (">=", Relation::AtLeast),
    ("<", Relation::Below),
    (">", Relation::Above),
    ("=", Relation::Is),
];

/// Why a word is no condition.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NoCondition {
    /// No sign stands in it.
    #[error("\"{0}\" is no condition: write column=value, as film=*400 or \"grade>3\" or flag=base-clipped")]
    NoSign(String),
    /// There is no such column.
    #[error("\"{column}\" is no column: {}", near.map_or_else(|| format!("there are {}", columns.join(", ")), |near| format!("did you mean {near}?")))]
    NoColumn {
        /// As typed.
        column: String,
        /// The nearest that there is.
        near: Option<&'static str>,
        /// All that there are.
        columns: Vec<&'static str>,
    },
    /// Only numbers and dates have an order.
    #[error("{column} is compared with \"{value}\", which is no number and no date")]
    NoOrder {
        /// Of the condition.
        column: String,
        /// As typed.
        value: String,
    },
}

impl Condition {
    /// Reads a condition on one of `columns`.
    ///
    /// # Errors
    /// When it is none.
    pub fn parse(word: &str, columns: &[&'static str]) -> Result<Self, NoCondition> {
        let first = word.find(['=', '<', '>', '!']).ok_or_else(|| NoCondition::NoSign(word.to_owned()))?;
        let (column, rest) = (word[..first].trim(), &word[first..]);
        let sign = SIGNS.iter().find(|(sign, _)| rest.starts_with(sign));
        let (sign, relation) = sign.ok_or_else(|| NoCondition::NoSign(word.to_owned()))?;
        let value = rest[sign.len()..].trim().to_owned();
        let Some(column) = columns.iter().find(|known| **known == column) else {
            let distance = |known: &&&'static str| strsim::damerau_levenshtein(known, column);
            let near = columns.iter().min_by_key(distance).filter(|known| distance(known) <= 2).copied();
            return Err(NoCondition::NoColumn { column: column.to_owned(), near, columns: columns.to_vec() });
        };
        let ordered = !matches!(relation, Relation::Is | Relation::IsNot);
        let wanted = number(&value).or_else(|| with_unit(column, &value));
        if ordered && wanted.is_none() && !is_date(&value) {
            return Err(NoCondition::NoOrder { column: (*column).to_owned(), value });
        }
        Ok(Self { column: (*column).to_owned(), relation: *relation, value, wanted })
    }

    /// The column that it is about.
    pub fn column(&self) -> &str {
        &self.column
    }

    /// Whether it holds for what the column has: several facts, as flags are, hold if one does; `!=` if none does.
    /// Nothing equals only nothing ("title=").
    pub fn holds(&self, facts: &[Fact]) -> bool {
        let any = |relation| facts.iter().any(|fact| self.is(relation, fact));
        match self.relation {
            Relation::Is if self.value.is_empty() => facts.is_empty(),
            Relation::IsNot if self.value.is_empty() => !facts.is_empty(),
            Relation::IsNot => !any(Relation::Is),
            relation => any(relation),
        }
    }

    fn is(&self, relation: Relation, fact: &Fact) -> bool {
        let order = match fact {
            Fact::Number(is) | Fact::Written(is, _) => self.wanted.and_then(|wanted| near(*is, wanted)),
            // Dates are written so that their letters have their order; a shorter one stands for all that it begins.
            Fact::Text(text) if is_date(text) && is_date(&self.value) => {
                let length = self.value.len().min(text.len());
                Some(text[..length].cmp(&self.value[..length]))
            }
            Fact::Text(_) => None,
        };
        match relation {
            Relation::Is | Relation::IsNot => order == Some(Ordering::Equal) || matches(&self.value, &fact.to_string()),
            Relation::Below => order == Some(Ordering::Less),
            Relation::AtMost => matches!(order, Some(Ordering::Less | Ordering::Equal)),
            Relation::Above => order == Some(Ordering::Greater),
            Relation::AtLeast => matches!(order, Some(Ordering::Greater | Ordering::Equal)),
        }
    }
}

/// Fractions that differ by less than people write are one: 1/60 and 0.0167. Whole numbers are counted, and are one
/// only with themselves.
fn near(is: f64, wanted: f64) -> Option<Ordering> {
    let counted = is.fract() == 0.0 && wanted.fract() == 0.0;
    let apart = if counted { 0.0 } else { 5e-3 * wanted.abs().max(1e-3) };
    if (is - wanted).abs() <= apart { Some(Ordering::Equal) } else { is.partial_cmp(&wanted) }
}

/// A number as it is written on the bench: "1.18", "1 1/2", "-1/3"; the softest grade, "00", lies below 0.
fn number(word: &str) -> Option<f64> {
    let part = |word: &str| word.parse::<f64>().ok().filter(|n| n.is_finite());
    let fraction = |word: &str| match word.split_once('/') {
        Some((over, under)) => Some(part(over)? / part(under).filter(|n| *n > 0.0)?),
        None => part(word),
    };
    match word.split_once(' ') {
        _ if word == "00" => Some(SOFTEST),
        Some((whole, rest)) => {
            let (whole, rest) = (part(whole)?, fraction(rest).filter(|n| *n >= 0.0)?);
            Some(if whole < 0.0 { whole - rest } else { whole + rest })
        }
        None => fraction(word),
    }
}

/// A time or a length with its unit, in a column of such: "1s", "2m", "12in".
fn with_unit(column: &str, word: &str) -> Option<f64> {
    match column {
        "shutter" | "development_time" => word.parse::<Seconds>().ok().map(Seconds::value),
        _ if column.ends_with("_mm") => word.parse::<Millimetres>().ok().map(Millimetres::value),
        _ => None,
    }
}

/// Where grade 00 lies among the numbers of the others.
pub(super) const SOFTEST: f64 = -1.0;

/// "2026", "2026-03", "2026-03-12" and so on.
fn is_date(word: &str) -> bool {
    if !word.is_ascii() {
        return false;
    }
    let mut letters = word.bytes();
    letters.by_ref().take(4).filter(u8::is_ascii_digit).count() == 4
        && letters.enumerate().all(|(at, letter)| match at {
            0 | 3 => letter == b'-',
            1 | 2 | 4 | 5 => letter.is_ascii_digit(),
            _ => true,
        })
}

/// Whether a text is as wanted, in either case; a star stands for any letters, also none.
fn matches(wanted: &str, text: &str) -> bool {
    let (wanted, text) = (wanted.to_lowercase(), text.to_lowercase());
    let mut parts = wanted.split('*');
    let first = parts.next().unwrap_or_default();
    let Some(mut rest) = text.strip_prefix(first) else { return false };
    let mut last = None;
    for part in parts {
        if let Some(before) = last.replace(part) {
            match rest.find(before) {
                Some(at) => rest = &rest[at + before.len()..],
                None => return false,
            }
        }
    }
    last.map_or(rest.is_empty(), |last| rest.ends_with(last))
}

#[cfg(test)]
mod tests {
    use proptest::prelude::{any, prop_assert, proptest};

    use super::*;

    const COLUMNS: [&str; 4] = ["film", "grade", "flag", "date"];

    fn holds(word: &str, facts: &[Fact]) -> bool {
        Condition::parse(word, &COLUMNS).unwrap().holds(facts)
    }

    fn text(text: &str) -> Vec<Fact> {
        vec![Fact::Text(text.to_owned())]
    }

    #[test]
    fn words_are_compared_in_either_case_and_a_star_stands_for_any_letters() {
        let film = text("Sheet film 400");
        for yes in ["film=sheet film 400", "film=*400", "film=sheet*", "film=*F*4*", "film=*", "film!=*100", "film!="] {
            assert!(holds(yes, &film), "{yes}");
        }
        for no in ["film=sheet", "film=*40", "film=", "film!=*400", "film=sheet*sheet*"] {
            assert!(!holds(no, &film), "{no}");
        }
        assert!(holds("film=", &[]) && !holds("film=*", &[]) && holds("film!=x", &[]));
    }

    #[test]
    fn grades_and_fractions_have_an_order() {
        let grade = [Fact::Written(2.5, "2½".to_owned())];
        for yes in ["grade>2", "grade>=2 1/2", "grade=2½", "grade=2.5", "grade<3", "grade>00", "grade!=2", "grade<=5/2"]
        {
            assert!(holds(yes, &grade), "{yes}");
        }
        assert!(!holds("grade>2.5", &grade) && !holds("grade<2 1/2", &grade));
        assert!(holds("grade<0", &[Fact::Written(SOFTEST, "00".to_owned())]));
    }

    #[test]
    fn what_is_counted_is_equal_only_to_itself_and_fractions_as_people_write_them() {
        let number = |n: f64| [Fact::Number(n)];
        assert!(holds("grade=201", &number(201.0)) && !holds("grade=201", &number(200.0)));
        assert!(holds("grade<201", &number(200.0)) && !holds("grade>=201", &number(200.0)));
        for yes in ["grade=1/60", "grade=0.0167", "grade>=0.0167", "grade<=0.0166"] {
            assert!(holds(yes, &number(1.0 / 60.0)), "{yes}");
        }
        assert!(!holds("grade=1/50", &number(1.0 / 60.0)));
    }

    #[test]
    fn of_several_flags_one_is_enough_and_none_may_be_excluded() {
        let flags = [Fact::Text("no-base".into()), Fact::Text("eight-bit".into())];
        assert!(
            holds("flag=eight-bit", &flags) && !holds("flag!=no-base", &flags) && holds("flag!=no-profile", &flags)
        );
    }

    #[test]
    fn a_part_of_a_date_stands_for_all_that_it_begins() {
        let date = text("2026-03-12");
        for yes in ["date=2026-03*", "date=2026", "date>=2026-03", "date<2026-04", "date>2025", "date<=2026-03-12"] {
            assert!(holds(yes, &date), "{yes}");
        }
        assert!(!holds("date>2026", &date) && !holds("date<2026-03", &date));
    }

    #[test]
    fn what_is_no_condition_is_told_with_what_to_write() {
        let told = |word: &str| Condition::parse(word, &COLUMNS).unwrap_err().to_string();
        assert!(told("film").contains("write column=value"));
        assert!(told("fim=x").contains("did you mean film?"));
        assert!(told("zone=V").ends_with("\"zone\" is no column: there are film, grade, flag, date"));
        assert!(told("film>soft").contains("no number and no date"));
        assert!(told("").contains("no condition") && told("!").contains("no condition"));
    }

    proptest! {
        #[test]
        fn any_words_are_read_or_refused(word in any::<String>(), fact in any::<String>()) {
            if let Ok(condition) = Condition::parse(&word, &COLUMNS) {
                condition.holds(&text(&fact));
            }
            prop_assert!(matches(&fact, &fact) || fact.to_lowercase().contains('*'));
        }
    }
}
