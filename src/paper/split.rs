//! Split printing: the exposure of a frame given in two parts, one soft and one hard.

use std::fmt;
use std::str::FromStr;

use super::grade::Grade;
use super::print::{Exposure, Print};
use super::stock::Stock;
use crate::light::{LogExposure, Stops};

/// Two exposures, each a grade and its light in stops from the frame's exposure. -1 and -1 give half of it each.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Split {
    soft: (Grade, Stops),
    hard: (Grade, Stops),
}

/// More or less than this, in stops, is no part of an exposure.
const MOST: f64 = 6.0;

impl Split {
    /// With the same ratio of its parts, as shares of one whole: what 0 and 0 give is twice that, a stop more.
    #[must_use]
    pub(super) fn whole(self) -> Self {
        let light = 10f64.powf(self.soft.1.log_exposure()) + 10f64.powf(self.hard.1.log_exposure());
        let share =
            |(grade, stops): (Grade, Stops)| (grade, Stops::new(stops.value() - Stops::of_factor(light).value()));
        Self { soft: share(self.soft), hard: share(self.hard) }
    }

    /// With so many stops more of the hard part: a harder print.
    #[must_use]
    pub fn harder(self, more: Stops) -> Self {
        Self { hard: (self.hard.0, self.hard.1 + more), ..self }
    }

    /// The print with both exposures, where `open` is what film base receives of the frame's exposure, on the scale
    /// that all grades share.
    pub fn print(self, stock: &Stock, open: LogExposure) -> Print<'_> {
        let part = |(grade, stops): (Grade, Stops)| Exposure {
            curve: stock.curve(grade),
            open: stock.own(grade, open + stops),
        };
        Print::split(part(self.soft), part(self.hard))
    }
}

impl<'s> Print<'s> {
    /// On `stock`, where film base receives `open` on the own scale of `grade`: in that one exposure, or in the two
    /// parts of a split.
    pub fn parted(stock: &'s Stock, grade: Grade, open: LogExposure, split: Option<Split>) -> Self {
        match split {
            None => Print::new(Exposure { curve: stock.curve(grade), open }),
            Some(split) => split.print(stock, stock.shared(grade, open)),
        }
    }
}

/// "00 -1, 5 -1 1/2".
impl fmt::Display for Split {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let [(soft, soft_stops), (hard, hard_stops)] = [self.soft, self.hard];
        let part = |stops: Stops| if stops.value() == 0.0 { "+0".to_owned() } else { stops.to_string() };
        write!(f, "{soft} {}, {hard} {}", part(soft_stops), part(hard_stops))
    }
}

impl FromStr for Split {
    type Err = String;

    fn from_str(word: &str) -> Result<Self, String> {
        let wrong = || format!("\"{word}\": use a soft and a hard grade, each with its stops, as \"00 -1, 5 -1 1/2\"");
        let part = |part: &str| {
            let (grade, stops) = match part.find(['+', '-']) {
                Some(sign) => part.split_at(sign),
                None => unsigned(part).ok_or_else(wrong)?,
            };
            let stops: Stops = stops.parse().map_err(|_| wrong())?;
            let grade: Grade = grade.parse().map_err(|e: super::UnknownGrade| e.to_string())?;
            if stops.value().abs() <= MOST {
                Ok((grade, stops))
            } else {
                Err(format!("\"{word}\": use stops from -6 to 6"))
            }
        };
        let (soft, hard) = word.split_once(',').ok_or_else(wrong)?;
        let split = Self { soft: part(soft)?, hard: part(hard)? };
        if split.soft.0 > split.hard.0 {
            return Err(format!("\"{word}\": the soft exposure comes first, the hard one after it"));
        }
        Ok(split)
    }
}

/// Grade and stops where these have no sign. A grade alone, as "2 1/2", is not taken for one with stops.
fn unsigned(part: &str) -> Option<(&str, &str)> {
    let part = part.trim();
    if part.parse::<Grade>().is_ok() {
        return None;
    }
    let mut pairs = part.match_indices(' ').map(|(blank, _)| part.split_at(blank));
    let both = |(grade, stops): &(&str, &str)| grade.parse::<Grade>().is_ok() && stops.parse::<Stops>().is_ok();
    pairs.find(both).or_else(|| part.split_once(' '))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::light::Density;
    use crate::paper::{Placing, Tones, shelf};

    /// Data sheets (quoted): where grade 5 is a stop slower, half the light of 00 and all of 5 meet the whole light of
    /// grade 2 at 0.60 above white, where the light is fixed.
    #[test]
    fn a_split_keeps_the_middle_tone_of_the_exposure_that_it_parts() {
        let stock = Stock::new(shelf::paper("glossy").unwrap().clone(), shelf::table("rc").unwrap().clone());
        let grade: Grade = "2".parse().unwrap();
        let tones = Tones { thin: Density::new(0.1), dense: Density::new(1.2), spot: None };
        let whole = Placing::Fixed.expose(&stock, grade, None, tones).unwrap();
        let split: Split = "00 -1, 5 +0".parse().unwrap();
        assert_eq!(Placing::Fixed.expose(&stock, grade, Some(split), tones), Some(whole));
        let print = split.print(&stock, stock.shared(grade, whole.open));
        let middle = Print::new(whole).net(Density::new(0.65));
        assert!((print.density(middle).value() - 0.65).abs() < 1e-9);
        assert!(print.r() < 180.0 && print.r() > 40.0);
    }

    #[test]
    fn splits_are_read_as_they_are_written() {
        for word in ["00 -1, 5 -1 1/2", "1 1/2 +1/3, 4 1/2 -2/3", "2 -1, 2 -1", "0 +0, 5 -2"] {
            assert_eq!(word.parse::<Split>().unwrap().to_string(), word);
        }
        assert_eq!("0.5-1,4.5-1".parse::<Split>().unwrap().to_string(), "1/2 -1, 4 1/2 -1");
        for (unsigned, signed) in [
            ("00 0, 5 0", "00 +0, 5 +0"),
            ("1 1/2 1/3, 4 1/2 1 1/2", "1 1/2 +1/3, 4 1/2 +1 1/2"),
            ("2 1 1/2,4.5 0.5", "2 +1 1/2, 4 1/2 +1/2"),
        ] {
            assert_eq!(unsigned.parse::<Split>().unwrap().to_string(), signed);
        }
        for (wrong, advice) in [
            ("2 1/2, 5 -1", "each with its stops"),
            ("7 0, 8 0", "is no grade"),
            ("00 -1", "a soft and a hard grade"),
            ("00, 5", "each with its stops"),
            ("5 -1, 00 -1", "soft exposure comes first"),
            ("00 -9, 5 -1", "from -6 to 6"),
            ("7 -1, 8 -1", "is no grade"),
            ("00 -x, 5 -1", "each with its stops"),
        ] {
            assert!(wrong.parse::<Split>().unwrap_err().contains(advice), "{wrong}");
        }
    }
}
