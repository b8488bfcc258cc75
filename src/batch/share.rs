//! A share of a folder: which scans one of several runs takes.

use std::fmt;
use std::str::FromStr;

/// One of so many shares of a folder; the first is 1.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Share {
    number: u32,
    of: u32,
}

/// More shares than any scheduler has places for.
const MOST: u32 = 100_000;

impl Share {
    /// Of how many.
    pub fn of(self) -> u32 {
        self.of
    }

    /// For each file of a folder the share that takes it. Files stand in the order of the hashes of their names, and
    /// that order is cut into pieces of one size, to one file: so neighbours of a roll are spread, a share is the same
    /// on every machine, and a new file moves at most one other from each share to the next.
    pub(super) fn of_files<S: AsRef<str>>(of: u32, files: &[S]) -> Vec<Self> {
        let mut order: Vec<usize> = (0..files.len()).collect();
        let hash = |i: &usize| *blake3::hash(files[*i].as_ref().as_bytes()).as_bytes();
        order.sort_by_cached_key(|i| (hash(i), files[*i].as_ref().to_owned()));
        let mut shares = vec![Self { number: 1, of }; files.len()];
        for (place, i) in (1u64..).zip(order) {
            shares[i].number = (place * u64::from(of)).div_ceil(files.len() as u64) as u32;
        }
        shares
    }

    /// Name of a file about it, without its ending.
    pub(super) fn stem(self) -> String {
        format!("{}-of-{}", self.number, self.of)
    }
}

impl fmt::Display for Share {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}/{}", self.number, self.of)
    }
}

impl FromStr for Share {
    type Err = String;

    fn from_str(word: &str) -> Result<Self, String> {
        let number = |n: &str| n.trim().parse::<u32>().ok();
        let both = word.split_once('/').and_then(|(which, of)| Some((number(which)?, number(of)?)));
        match both {
            Some((number, of)) if (1..=of).contains(&number) && of <= MOST => Ok(Self { number, of }),
            Some((0, _) | (_, 0)) => Err("the first share is 1: use 1/16 to 16/16".to_owned()),
            Some((number, of)) if number > of => {
                Err(format!("there is no share {number} of {of}: the last is {of}/{of}"))
            }
            Some(_) => Err(format!("more than {MOST} shares: use fewer")),
            None => Err("use which share and how many there are, as 3/16".to_owned()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn roll(frames: usize) -> Vec<String> {
        (0..frames).map(|n| format!("sheet-{n:04}.tif")).collect()
    }

    #[test]
    fn every_file_is_in_one_share_and_shares_differ_by_one_file_at_most() {
        for (files, of) in [(0, 3), (1, 1), (3, 8), (6, 3), (7, 3), (400, 16), (1000, 7)] {
            let shares = Share::of_files(of, &roll(files));
            let sizes: Vec<usize> = (1..=of).map(|k| shares.iter().filter(|s| s.number == k).count()).collect();
            assert_eq!(sizes.iter().sum::<usize>(), files);
            let (least, most) = (sizes.iter().min().unwrap(), sizes.iter().max().unwrap());
            assert!(most - least <= 1, "{files} in {of}: {sizes:?}");
        }
    }

    #[test]
    fn a_new_file_moves_at_most_one_other_from_each_share_to_the_next() {
        let mut files = roll(400);
        let before = Share::of_files(16, &files);
        for new in ["aft.tif", "sheet-0123a.tif", "zinc.tif"] {
            files.push(new.to_owned());
            let after = Share::of_files(16, &files);
            let moved = before.iter().zip(&after).filter(|(a, b)| a != b);
            assert!(moved.clone().count() <= 15, "{new} moves {}", moved.count());
            files.pop();
        }
    }

    /// Whatever the order in which a disk lists its files.
    #[test]
    fn a_share_goes_by_names_alone() {
        let files = roll(50);
        let mut turned = files.clone();
        turned.reverse();
        let mut back = Share::of_files(4, &turned);
        back.reverse();
        assert_eq!(Share::of_files(4, &files), back);
    }

    #[test]
    fn a_share_is_typed_as_it_is_said() {
        let share = |word: &str| word.parse::<Share>();
        assert_eq!(share("3/16").map(|s| s.to_string()).as_deref(), Ok("3/16"));
        assert_eq!(share("1/1").map(Share::stem).as_deref(), Ok("1-of-1"));
        for (wrong, advice) in [
            ("0/16", "the first share is 1"),
            ("17/16", "the last is 16/16"),
            ("1/0", "the first share is 1"),
            ("3", "as 3/16"),
            ("3 of 16", "as 3/16"),
            ("-1/16", "as 3/16"),
            ("1/2/3", "as 3/16"),
            ("1/100001", "more than 100000 shares"),
        ] {
            let told = share(wrong).unwrap_err();
            assert!(told.contains(advice), "{wrong}: {told}");
        }
    }
}
