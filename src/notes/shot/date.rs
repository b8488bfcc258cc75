//! When a picture was exposed, as far as it is known.

use std::fmt;
use std::str::FromStr;

use jiff::civil::{Date, Time};

/// Years that a negative can be of: the first ones on paper to long after this program.
const YEARS: std::ops::RangeInclusive<i16> = 1826..=2200;

/// A year, a month of it, a day, or a minute or second of that.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ShotDate {
    /// Of the common era.
    pub year: i16,
    /// 1 to 12.
    pub month: Option<i8>,
    /// 1 to 31; only with a month.
    pub day: Option<i8>,
    /// Hour, minute, second, by the clock there; only with a day.
    pub time: Option<[i8; 3]>,
}

/// A word that is no date.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NoDate {
    /// Not written as one.
    #[error("\"{0}\" is no date: write it as 2026-11-25, with a time as 2026-11-25 16:30, or only 2026-11 or 2026")]
    Word(String),
    /// A day that is in no calendar.
    #[error("\"{0}\" is in no calendar: check the day")]
    Calendar(String),
    /// A year without photographs.
    #[error("\"{word}\": years from {} to {} are taken", YEARS.start(), YEARS.end())]
    Year {
        /// As written.
        word: String,
    },
}

impl FromStr for ShotDate {
    type Err = NoDate;

    /// Reads "2026", "2026-11", "2026-11-25", "2026-11-25 16:30", "2026-11-25T16:30:05"; a zone behind the time is
    /// passed over.
    fn from_str(word: &str) -> Result<Self, NoDate> {
        let word = word.trim();
        let none = || NoDate::Word(word.to_owned());
        let (day, clock) = match word.split_once(['T', 't', ' ']) {
            Some((day, clock)) => (day, Some(clock.trim())),
            None => (word, None),
        };
        let figures = |part: &str, count: usize| part.len() == count && part.bytes().all(|b| b.is_ascii_digit());
        let parts: Vec<&str> = day.split('-').collect();
        let sound = figures(parts[0], 4) && parts.len() <= 3 && parts[1..].iter().all(|part| figures(part, 2));
        if !sound || clock.is_some() && parts.len() < 3 {
            return Err(none());
        }
        let number = |i: usize| parts.get(i).and_then(|part| part.parse::<i8>().ok());
        let year: i16 = parts[0].parse().map_err(|_| none())?;
        if !YEARS.contains(&year) {
            return Err(NoDate::Year { word: word.to_owned() });
        }
        let (month, day) = (number(1), number(2));
        Date::new(year, month.unwrap_or(1), day.unwrap_or(1)).map_err(|_| NoDate::Calendar(word.to_owned()))?;
        let time = clock.map(|clock| {
            let end = clock.find(|c: char| !c.is_ascii_digit() && c != ':').unwrap_or(clock.len());
            let parts: Option<Vec<i8>> =
                clock[..end].split(':').map(|p| p.parse().ok().filter(|_| figures(p, 2))).collect();
            let parts = parts.filter(|parts| (2..=3).contains(&parts.len()))?;
            let time = [parts[0], parts[1], parts.get(2).copied().unwrap_or(0)];
            Time::new(time[0], time[1], time[2], 0).ok().map(|_| time)
        });
        match time {
            Some(None) => Err(none()),
            time => Ok(Self { year, month, day, time: time.flatten() }),
        }
    }
}

/// As ISO 8601 has it, a blank before the time.
impl fmt::Display for ShotDate {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:04}", self.year)?;
        for part in [self.month, self.day].into_iter().flatten() {
            write!(f, "-{part:02}")?;
        }
        match self.time {
            Some([hour, minute, 0]) => write!(f, " {hour:02}:{minute:02}"),
            Some([hour, minute, second]) => write!(f, " {hour:02}:{minute:02}:{second:02}"),
            None => Ok(()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_date_is_read_as_far_as_it_is_known() {
        for (word, shown) in [
            ("2026", "2026"),
            ("2026-11", "2026-11"),
            ("2026-11-25", "2026-11-25"),
            ("2026-11-25 16:30", "2026-11-25 16:30"),
            ("2026-11-25T16:30:05", "2026-11-25 16:30:05"),
            ("2026-11-25T16:30:00+01:00", "2026-11-25 16:30"),
            ("2026-11-25T16:30:00.5Z", "2026-11-25 16:30"),
            ("2028-02-29", "2028-02-29"),
        ] {
            assert_eq!(word.parse::<ShotDate>().unwrap().to_string(), shown);
        }
    }

    #[test]
    fn what_is_in_no_calendar_is_told() {
        for wrong in [
            "31.02.",
            "31.02.2026",
            "yesterday",
            "",
            "26",
            "2026-1-1",
            "2026-11-25 25:00",
            "2026-11 16:30",
            "2026-11-25 4pm",
        ] {
            assert!(wrong.parse::<ShotDate>().unwrap_err().to_string().contains("write it as 2026-11-25"), "{wrong}");
        }
        for wrong in ["2026-02-31", "2026-13-01", "2026-00-10", "2026-02-29"] {
            assert!(wrong.parse::<ShotDate>().unwrap_err().to_string().contains("in no calendar"), "{wrong}");
        }
        assert!("0026-02-01".parse::<ShotDate>().unwrap_err().to_string().contains("years from 1826"));
    }
}
