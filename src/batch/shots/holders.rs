//! Film holders by their numbers.

use std::str::FromStr;

/// Sides of a holder.
const SIDES: [&str; 2] = ["a", "b"];
/// Highest number of a holder.
const MOST: u16 = 999;

/// Numbers of film holders, each with two sides.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Holders(Vec<u16>);

impl Holders {
    /// A name for each sheet, with its holder and side: holder-07a.
    pub(super) fn sheets(&self) -> impl Iterator<Item = (String, [String; 2])> + '_ {
        self.0.iter().flat_map(|number| {
            SIDES
                .map(|side| (format!("holder-{number:02}{side}"), [format!("holder={number}"), format!("side={side}")]))
        })
    }
}

impl FromStr for Holders {
    type Err = String;

    /// Reads "1-10", "3,5,7-9".
    fn from_str(word: &str) -> Result<Self, String> {
        let number = |n: &str| n.trim().parse::<u16>().ok().filter(|n| (1..=MOST).contains(n));
        let range = |part: &str| match part.split_once('-') {
            Some((first, last)) => Some(number(first)?..=number(last)?).filter(|range| !range.is_empty()),
            None => number(part).map(|n| n..=n),
        };
        let ranges: Option<Vec<_>> = word.split(',').map(range).collect();
        let ranges =
            ranges.ok_or_else(|| format!("\"{word}\" are no holders: give their numbers, as 1-10 or 3,5,7-9"))?;
        let mut numbers: Vec<u16> = ranges.into_iter().flatten().collect();
        numbers.sort_unstable();
        numbers.dedup();
        Ok(Self(numbers))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_side_of_a_holder_is_a_sheet() {
        let names = |word: &str| word.parse::<Holders>().unwrap().sheets().map(|(name, _)| name).collect::<Vec<_>>();
        assert_eq!(
            names("7, 1-2,7"),
            ["holder-01a", "holder-01b", "holder-02a", "holder-02b", "holder-07a", "holder-07b"]
        );
        for wrong in ["", "0", "a", "3-1", "1-", "1-9999", "-3"] {
            assert!(wrong.parse::<Holders>().unwrap_err().contains("as 1-10"), "{wrong}");
        }
    }
}
