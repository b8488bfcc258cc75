//! What was unpacked last of scans that can only be unpacked from their top: rows around the places that are looked at, and a small
//! picture of each frame. So a loupe moves on, and a frame is stepped into, without all of the scan being unpacked once more.

use std::sync::{Mutex, MutexGuard, PoisonError};

use crate::plane::{Area, Band};
use crate::scan::{self, Channel, Rows, Scan};

use super::NetPicture;

/// Stretches of rows that are held: a frame lies beside three others at most.
const STRETCHES: usize = 4;
/// Bytes of the codes of a stretch: some 3,700 rows of a scan 18,000 pixels wide (house: several loupes high).
const STRETCH: u64 = 128 << 20;
/// Bytes of small pictures that are held.
const PICTURES: usize = 64 << 20;

/// What is held. Scans are known by the hash of their codes, as their notes have it.
#[derive(Debug, Default)]
pub(super) struct Held {
    /// Latest first.
    stretches: Mutex<Vec<Stretch>>,
    /// Latest first, each with what it was made of.
    pictures: Mutex<Vec<(String, NetPicture)>>,
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

impl Held {
    /// The codes of a part of a scan. Who asks for what another is unpacking waits for it.
    ///
    /// # Errors
    /// Those of [`Scan::read`].
    pub(super) fn part(&self, name: &str, scan: &Scan, channel: Channel, part: Area) -> Result<Vec<u16>, scan::Error> {
        let mut stretches = lock(&self.stretches);
        let stretch = match stretches.iter().position(|stretch| stretch.holds(name, part)) {
            Some(at) => stretches.remove(at),
            None => {
                // The oldest goes before the new one needs its room.
                stretches.truncate(STRETCHES - 1);
                Stretch::read(name, scan, channel, part)?
            }
        };
        let codes = stretch.cut(part);
        stretches.insert(0, stretch);
        Ok(codes)
    }

    /// A small picture that is known by what it is made `of`.
    ///
    /// # Errors
    /// Those of `make`.
    pub(super) fn picture(
        &self,
        of: String,
        make: impl FnOnce() -> Result<NetPicture, String>,
    ) -> Result<NetPicture, String> {
        if let Some((_, picture)) = lock(&self.pictures).iter().find(|(known, _)| *known == of) {
            return Ok(picture.clone());
        }
        let picture = make()?;
        let mut pictures = lock(&self.pictures);
        pictures.insert(0, (of, picture.clone()));
        let mut bytes = 0;
        pictures.retain(|(_, picture)| {
            bytes += 2 * picture.codes.len();
            bytes <= PICTURES
        });
        Ok(picture)
    }
}

fn lock<T>(held: &Mutex<T>) -> MutexGuard<'_, T> {
    held.lock().unwrap_or_else(PoisonError::into_inner)
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
        let held = Held::default();
        for (x, y, width, height) in [(0, 0, 8, 8), (3, 50, 20, 10), (39, 59, 1, 1), (0, 0, 40, 60)] {
            let part = Area { x, y, width, height };
            let codes = held.part("coil", &scan, Channel::Green, part).unwrap();
            let wanted = part.rows().flat_map(|y| part.columns().map(move |x| 257 * u16::from(grey(x as u32, y))));
            assert!(wanted.eq(codes), "{part:?}");
        }
        assert_eq!(lock(&held.stretches).len(), 1, "it was unpacked once");
    }

    #[test]
    fn pictures_beyond_the_room_go_the_oldest_first() {
        let held = Held::default();
        let large = NetPicture { size: Size { width: 4096, height: 4096 }, codes: vec![0; 1 << 24] };
        let made = |name: &str| held.picture(name.to_owned(), || Ok(large.clone())).map(drop);
        ["one", "two", "three"].iter().try_for_each(|name| made(name)).unwrap();
        let known: Vec<String> = lock(&held.pictures).iter().map(|(of, _)| of.clone()).collect();
        assert_eq!(known, ["three", "two"]);
        held.picture("two".to_owned(), || Err("it is made again".to_owned())).unwrap();
    }
}
