//! Where settings may be written, and which place decides.

use std::collections::BTreeMap;
use std::fmt;
use std::path::Path;

use crate::notes::{self, Sidecar};

use super::settings::{NAMES, SettingError, Settings, after_match, is_toml, unknown};

/// Settings written in one place, as words, each checked.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Wishes(Vec<(&'static str, String)>);

impl Wishes {
    /// Adds one.
    ///
    /// # Errors
    /// When there is no such setting or it cannot take the value.
    pub fn add(&mut self, name: &str, value: &str) -> Result<(), SettingError> {
        let known = NAMES.into_iter().find(|n| *n == name).ok_or_else(|| unknown(name))?;
        Settings::default().set(known, value)?;
        self.0.push((known, value.to_owned()));
        Ok(())
    }

    /// Those of a settings file; a path in it counts from its `folder`.
    ///
    /// # Errors
    /// When it is not TOML or a setting is wrong.
    pub fn parse(text: &str, folder: &Path) -> Result<Self, SettingError> {
        let table: toml::Table = text.parse().map_err(|e: toml::de::Error| {
            let at = e.span().map_or(0, |s| s.start).min(text.len());
            let line = text.as_bytes()[..at].iter().filter(|byte| **byte == b'\n').count() + 1;
            let what = e.message().lines().next().unwrap_or("not TOML");
            SettingError::Slip { line, what: notes::spelling(what, text, line) }
        })?;
        if let Some((name, _)) = table.iter().find(|(_, value)| value.is_table()) {
            let what = format!("[{name}] is a table: settings stand here without one, each on a line");
            return Err(SettingError::Slip { line: 1, what });
        }
        let word = |value: &toml::Value| value.as_str().map_or_else(|| value.to_string(), str::to_owned);
        Self::from_folder(table.iter().map(|(name, value)| (name.as_str(), word(value))), folder)
    }

    /// Those of a scan's notes in `folder`, and the `base` that was put right there.
    ///
    /// # Errors
    /// When a setting is wrong or is none of a single scan's: where it stands, and what it can be.
    pub(super) fn of_notes(sidecar: &Sidecar, base: Option<String>, folder: &Path) -> Result<Self, String> {
        let mut wishes = Self::default();
        for (name, word) in sidecar.settings().map_err(|e| e.to_string())? {
            wishes.add_of_notes(&name, word, folder).map_err(|error| match sidecar.setting_at(&name) {
                Some((line, column)) => format!("line {line}, column {column}: [settings] {error}"),
                None => format!("[settings] {error}"),
            })?;
        }
        if let Some(base) = base {
            wishes.add_of_notes("base", base, folder).map_err(|error| format!("[scan] {error}"))?;
        }
        Ok(wishes)
    }

    fn add_of_notes(&mut self, name: &str, word: String, folder: &Path) -> Result<(), SettingError> {
        let one = Self::from_folder(std::iter::once((name, word)), folder)?;
        match one.0.iter().find(|(name, _)| *name == "page") {
            Some((page, _)) => Err(SettingError::OfBatch(page)),
            None => {
                self.0.extend(one.0);
                Ok(())
            }
        }
    }

    fn from_folder<'w>(words: impl Iterator<Item = (&'w str, String)>, folder: &Path) -> Result<Self, SettingError> {
        let mut wishes = Self::default();
        for (name, word) in words {
            // Words that hold a path, and what stands before it.
            let path = match name {
                "ends" => after_match(&word).map(|path| ("match=", path)),
                "wedge" => Some(("", &*word)).filter(|(_, path)| !path.eq_ignore_ascii_case("none")),
                "paper" | "grades" => Some(("", &*word)).filter(|(_, path)| is_toml(path)),
                _ => None,
            };
            match path.filter(|(_, path)| !path.is_empty()) {
                Some((before, path)) => wishes.add(name, &format!("{before}{}", folder.join(path).display()))?,
                None => wishes.add(name, &word)?,
            }
        }
        Ok(wishes)
    }
}

/// Where a setting can be written, in falling order of what counts more.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Place {
    /// On the command line.
    Flag,
    /// In the scan's own notes.
    Notes,
    /// In the settings file.
    File,
}

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Flag => "flag",
            Self::Notes => "notes",
            Self::File => "settings",
        })
    }
}

/// Settings in force, and which place decided those that are not the default.
#[derive(Clone, Debug, PartialEq)]
pub struct Settled {
    /// The settings.
    pub settings: Settings,
    /// Place of each that somebody wrote.
    pub decided_by: BTreeMap<&'static str, Place>,
}

impl Settled {
    /// A flag beats a scan's own notes, notes beat the settings file, the settings file beats the default.
    pub fn settle(flags: &Wishes, notes: &Wishes, file: &Wishes) -> Self {
        let mut settled = Self { settings: Settings::default(), decided_by: BTreeMap::new() };
        for (place, wishes) in [(Place::File, file), (Place::Notes, notes), (Place::Flag, flags)] {
            for (name, value) in &wishes.0 {
                settled.settings.set(name, value).expect("wishes were checked when they were added");
                settled.decided_by.insert(name, place);
            }
        }
        settled
    }
}

#[cfg(test)]
mod tests {
    use super::super::settings::{Ends, Kept};
    use super::*;

    fn wishes(text: &str) -> Wishes {
        Wishes::parse(text, Path::new("/loft")).unwrap()
    }

    #[test]
    fn a_flag_beats_the_notes_and_the_notes_beat_the_file() {
        let file = wishes("grade = 2\ncrop = \"none\"\nexposure = 0.5");
        let notes = wishes("grade = 3\nexposure = 1");
        let settled = Settled::settle(&wishes("exposure = -0.25"), &notes, &file);
        let words = settled.settings.words();
        assert_eq!([&words["grade"], &words["crop"], &words["exposure"], &words["page"]], ["3", "none", "-0.25", "a4"]);
        assert_eq!(settled.decided_by["grade"], Place::Notes);
        assert_eq!(settled.decided_by["exposure"], Place::Flag);
        assert!(!settled.decided_by.contains_key("page"));
    }

    #[test]
    fn a_path_counts_from_where_it_is_written() {
        let settings =
            Settled::settle(&wishes("ends = 'match=../x.toml'"), &Wishes::default(), &Wishes::default()).settings;
        assert_eq!(settings.ends, Ends::Match("/loft/../x.toml".into()));
        let wedge = |text| Settled::settle(&wishes(text), &Wishes::default(), &Wishes::default()).settings.wedge;
        assert_eq!(wedge("wedge = 'tablet.wedge.toml'"), Some("/loft/tablet.wedge.toml".into()));
        assert_eq!(wedge("wedge = 'none'"), None);
        let paper = |text| Settled::settle(&wishes(text), &Wishes::default(), &Wishes::default()).settings.paper;
        assert_eq!(paper("paper = 'mine.paper.toml'"), Kept::File("/loft/mine.paper.toml".into()));
        assert_eq!(paper("paper = 'matt'"), Kept::Shelf("matt"));
    }

    #[test]
    fn a_setting_of_notes_that_is_wrong_is_told_with_its_place() {
        let told = |text: &str| Wishes::of_notes(&Sidecar::parse(text).unwrap(), None, Path::new("")).unwrap_err();
        let page = told("# mine\n[settings]\ngrade = 2\npage = 'a4'\n");
        assert!(page.starts_with("line 4, column 8: [settings] page") && page.contains("whole batch"), "{page}");
        let grade = told("settings = { grade = 9 }\n");
        assert!(grade.starts_with("line 1, column 22: [settings] grade: \"9\" is no grade"), "{grade}");
        let base = Wishes::of_notes(&Sidecar::new(), Some("3".to_owned()), Path::new("")).unwrap_err();
        assert!(base.starts_with("[scan] base: "), "{base}");
    }

    #[test]
    fn a_wrong_name_gets_the_nearest_right_one() {
        let error = Wishes::parse("exposuer = 1", Path::new("")).unwrap_err();
        assert!(error.to_string().contains("did you mean \"exposure\"?"), "{error}");
        let error = Wishes::parse("weather = 'fair'", Path::new("")).unwrap_err();
        assert!(error.to_string().contains("is no setting: there are channel, encoding"), "{error}");
    }

    #[test]
    fn a_value_out_of_range_says_what_it_can_be() {
        for (text, advice) in [
            ("exposure = 40", "from -6 to 6 (stops"),
            ("base = 3", "from 0 to 1 (D)"),
            ("grade = 7", "use one of 00, 0"),
            ("ends = 'match='", "match=FILE"),
            ("crop = true", "use frame or none"),
            ("base = nan", "from 0 to 1 (D)"),
        ] {
            let error = Wishes::parse(text, Path::new("")).unwrap_err().to_string();
            assert!(error.contains(advice), "{text}: {error}");
        }
        let error = Wishes::parse("grade = 2\nexposure=-1/3\n", Path::new("")).unwrap_err().to_string();
        assert!(error.starts_with("line 2: ") && error.contains("stand in quotes"), "{error}");
        assert!(matches!(
            Wishes::parse("grade = 2\ncrop = \n", Path::new("")),
            Err(SettingError::Slip { line: 2, .. })
        ));
    }
}
