//! What was unpacked last of scans that can only be unpacked from their top: rows around the places that are looked at,
//! and a small picture of each frame. So a loupe moves on, and a frame is stepped into, without all of the scan being
//! unpacked once more.

use std::collections::BTreeSet;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use crate::plane::{Area, Band};
use crate::scan::{self, Channel, Rows, Scan};

use super::NetPicture;

/// Stretches of rows that are kept, those that are being unpacked among them: a frame lies beside three others at most.
const STRETCHES: usize = 4;
/// Bytes of the codes of a stretch: some 3,700 rows of a scan 18,000 pixels wide (house: several loupes high).
const STRETCH: u64 = 128 << 20;
/// Bytes of small pictures that are kept.
const PICTURES: usize = 64 << 20;

/// Why there is nothing to be seen.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Unseen {
    /// Its scan is being unpacked for another who asked: it is there at once when that is done, so ask again then.
    Coming,
    /// What is wrong, and what to do.
    Wrong(String),
}

impl From<String> for Unseen {
    fn from(why: String) -> Self {
        Self::Wrong(why)
    }
}

/// What is kept. Scans are known by the hash of their codes, as their notes have it. Nobody waits in here: what is kept
/// is told while other scans are unpacked, or other rows of the same one.
#[derive(Debug, Default)]
pub(super) struct Unpacked {
    /// Latest first.
    stretches: Mutex<Vec<Arc<Stretch>>>,
    /// Scans of which rows are being unpacked.
    rows: AtWork,
    /// Latest first, each with what it was made of.
    pictures: Mutex<Vec<(String, NetPicture)>>,
    /// Pictures that are being made.
    making: AtWork,
}

/// What is being unpacked.
#[derive(Debug, Default)]
struct AtWork(Mutex<BTreeSet<String>>);

/// The one who unpacks it.
struct Hand<'a> {
    at: &'a AtWork,
    what: &'a str,
}

impl AtWork {
    /// Nothing if another is at it.
    fn begin<'a>(&'a self, what: &'a str) -> Option<Hand<'a>> {
        let free = lock(&self.0).insert(what.to_owned());
        // Made only where it is free: a hand that is put down frees it.
        free.then(|| Hand { at: self, what })
    }

    fn count(&self) -> usize {
        lock(&self.0).len()
    }
}

impl Drop for Hand<'_> {
    fn drop(&mut self) {
        lock(&self.at.0).remove(self.what);
    }
}

/// Rows of a scan that follow one another.
#[derive(Debug)]
struct Stretch {
    scan: String,
    first: u32,
    width: u32,
    codes: Vec<u16>,
}

impl Stretch {
    /// Reads as many rows around those of `part` as a stretch may have.
    fn read(name: &str, scan: &Scan, channel: Channel, part: Area) -> Result<Self, scan::Error> {
        let size = scan.facts().size;
        let rows = ((STRETCH / 2 / u64::from(size.width)) as u32).clamp(part.height, size.height);
        let middle = part.y + part.height / 2;
        let first = middle.saturating_sub(rows / 2).min(part.y).min(size.height - rows);
        let end = (first + rows).max(part.y + part.height).min(size.height);
        let mut codes = Vec::with_capacity((end - first) as usize * size.width as usize);
        let all = |band: &Band<'_>| band.samples().to_vec();
        scan.read(channel, Rows::Between { first, end }, all, |band| -> Result<(), scan::Error> {
            codes.extend(band);
            Ok(())
        })?;
        Ok(Self { scan: name.to_owned(), first, width: size.width, codes })
    }

    fn holds(&self, name: &str, part: Area) -> bool {
        let end = self.first as usize + self.codes.len() / self.width as usize;
        self.scan == name && self.first <= part.y && (part.y + part.height) as usize <= end
    }

    fn cut(&self, part: Area) -> Vec<u16> {
        let rows = self.codes.chunks_exact(self.width as usize).skip((part.y - self.first) as usize);
        rows.take(part.height as usize).flat_map(|row| &row[part.columns()]).copied().collect()
    }
}

impl Unpacked {
    /// The codes of a part of a scan.
    ///
    /// # Errors
    /// When another unpacks rows of the same scan, and those of [`Scan::read`].
    pub(super) fn part(&self, name: &str, scan: &Scan, channel: Channel, part: Area) -> Result<Vec<u16>, Unseen> {
        if let Some(stretch) = self.stretch(name, part) {
            return Ok(stretch.cut(part));
        }
        let _hand = self.rows.begin(name).ok_or(Unseen::Coming)?;
        // The one before may have unpacked it since.
        if let Some(stretch) = self.stretch(name, part) {
            return Ok(stretch.cut(part));
        }
        // The oldest go before the new ones need their room.
        lock(&self.stretches).truncate(STRETCHES.saturating_sub(self.rows.count()));
        let stretch = Stretch::read(name, scan, channel, part).map_err(|e| Unseen::Wrong(e.to_string()))?;
        let codes = stretch.cut(part);
        lock(&self.stretches).insert(0, Arc::new(stretch));
        Ok(codes)
    }

    /// A stretch that holds a part, which is the latest then.
    fn stretch(&self, name: &str, part: Area) -> Option<Arc<Stretch>> {
        let mut stretches = lock(&self.stretches);
        let at = stretches.iter().position(|stretch| stretch.holds(name, part))?;
        stretches[..=at].rotate_right(1);
        Some(stretches[0].clone())
    }

    /// A small picture that is known by what it is made `of`.
    ///
    /// # Errors
    /// When another makes the same, and those of `make`.
    pub(super) fn picture(
        &self,
        of: &str,
        make: impl FnOnce() -> Result<NetPicture, String>,
    ) -> Result<NetPicture, Unseen> {
        if let Some(picture) = self.made(of) {
            return Ok(picture);
        }
        let _hand = self.making.begin(of).ok_or(Unseen::Coming)?;
        if let Some(picture) = self.made(of) {
            return Ok(picture);
        }
        let picture = make()?;
        let mut pictures = lock(&self.pictures);
        pictures.insert(0, (of.to_owned(), picture.clone()));
        let mut bytes = 0;
        pictures.retain(|(_, picture)| {
            bytes += 2 * picture.codes.len();
            bytes <= PICTURES
        });
        Ok(picture)
    }

    /// A picture that was made before, which is the latest then.
    fn made(&self, of: &str) -> Option<NetPicture> {
        let mut pictures = lock(&self.pictures);
        let at = pictures.iter().position(|(known, _)| known == of)?;
        pictures[..=at].rotate_right(1);
        Some(pictures[0].1.clone())
    }
}

fn lock<T>(kept: &Mutex<T>) -> MutexGuard<'_, T> {
    kept.lock().unwrap_or_else(PoisonError::into_inner)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plane::Size;

    /// The slow twin: the part cut out of the whole picture.
    #[test]
    fn a_part_is_that_of_the_scan_however_the_stretches_lie() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("coil.png");
        let grey = |x: u32, y: u32| ((x * 7 + y * 13) % 251) as u8;
        image::GrayImage::from_fn(40, 60, |x, y| image::Luma([grey(x, y)])).save(&path).unwrap();
        let scan = scan::open(&path).unwrap();
        assert!(scan.unpacks_from_top());
        let unpacked = Unpacked::default();
        for (x, y, width, height) in [(0, 0, 8, 8), (3, 50, 20, 10), (39, 59, 1, 1), (0, 0, 40, 60)] {
            let part = Area { x, y, width, height };
            let codes = unpacked.part("coil", &scan, Channel::Green, part).unwrap();
            let wanted = part.rows().flat_map(|y| part.columns().map(move |x| 257 * u16::from(grey(x as u32, y))));
            assert!(wanted.eq(codes), "{part:?}");
        }
        assert_eq!(lock(&unpacked.stretches).len(), 1, "it was unpacked once");
    }

    fn blank(edge: u32) -> NetPicture {
        NetPicture { size: Size { width: edge, height: edge }, codes: vec![0; (edge * edge) as usize] }
    }

    #[test]
    fn pictures_beyond_the_room_go_those_first_that_were_not_looked_at_for_longest() {
        let unpacked = Unpacked::default();
        // Three of 18 MB lie within 64 MB, four do not.
        let look = |name: &str| unpacked.picture(name, || Ok(blank(3000))).map(drop);
        ["one", "two", "three", "one", "four"].iter().try_for_each(|name| look(name)).unwrap();
        let known: Vec<String> = lock(&unpacked.pictures).iter().map(|(of, _)| of.clone()).collect();
        assert_eq!(known, ["four", "one", "three"]);
        unpacked.picture("one", || Err("it is made again".to_owned())).unwrap();
    }

    #[test]
    fn what_another_unpacks_is_told_as_coming_and_everything_else_is_there() {
        let unpacked = Unpacked::default();
        unpacked.picture("kept", || Ok(blank(4))).unwrap();
        let twice = || Err("it is unpacked twice".to_owned());
        let made = unpacked.picture("coil", || {
            // What others see while it is made.
            assert_eq!(unpacked.picture("coil", twice), Err(Unseen::Coming));
            assert_eq!(unpacked.picture("kept", twice), Ok(blank(4)));
            assert_eq!(unpacked.picture("keg", || Ok(blank(3))), Ok(blank(3)));
            Ok(blank(5))
        });
        assert_eq!(made, Ok(blank(5)));
        assert_eq!(unpacked.picture("coil", twice), Ok(blank(5)));
        // One that fails leaves the way free.
        let torn = || Err("it is torn".to_owned());
        assert_eq!(unpacked.picture("net", torn), Err(Unseen::Wrong("it is torn".to_owned())));
        assert_eq!(unpacked.picture("net", || Ok(blank(2))), Ok(blank(2)));
    }

    #[test]
    fn rows_that_are_there_are_told_while_others_of_the_same_scan_are_unpacked() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("coil.png");
        image::GrayImage::new(40, 60).save(&path).unwrap();
        let scan = scan::open(&path).unwrap();
        let unpacked = Unpacked::default();
        let part = Area { x: 0, y: 0, width: 8, height: 8 };
        let look = |name: &str| unpacked.part(name, &scan, Channel::Green, part).map(drop);
        look("coil").unwrap();
        let coil = unpacked.rows.begin("coil");
        let keg = unpacked.rows.begin("keg");
        assert!(coil.is_some() && keg.is_some());
        assert_eq!((look("coil"), look("keg"), look("anvil")), (Ok(()), Err(Unseen::Coming), Ok(())));
        drop(keg);
        assert_eq!(look("keg"), Ok(()));
    }
}
