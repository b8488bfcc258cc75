//! What a grade and an exposure make of a frame.

use crate::batch::frame::straight;
use crate::batch::print::{decide, settled};
use crate::batch::stock;
use crate::batch::wishes::Wishes;
use crate::light::{Density, ScreenCodes, Stops};
use crate::notes::TonesNotes;
use crate::paper::{Grade, Placing, Print, Rendering};

use super::net::{self, NET_CODES, net_of};
use super::{NetPicture, TableFrames};

/// A frame on its paper.
#[derive(Clone, Debug)]
pub struct OnPaper {
    /// Its grade and its stops beyond the placing.
    pub grade: Grade,
    /// The same.
    pub exposure: Stops,
    /// How it is printed, in words.
    pub words: Vec<String>,
    /// The screen's grey (sRGB, 8 bits) for each code of net density.
    pub screen: Vec<u8>,
    /// The print's density over net density.
    pub curve: Vec<(Density, Density)>,
    /// Net densities of its ends.
    pub ends: (Density, Density),
    /// How its tones are spread, over net density.
    pub tones: Option<TonesNotes>,
}

/// Net densities that the curve is drawn over, and how far its points lie apart.
const CURVE: (f64, f64, f64) = (-0.2, 2.6, 0.02);

impl TableFrames {
    /// A frame placed as asked; what is not said, as its notes say.
    ///
    /// # Errors
    /// When the notes cannot be read, or a place that it is exposed by.
    pub fn on_paper(&self, id: usize, asked: &Wishes) -> Result<OnPaper, String> {
        let (noted, number) = self.noted(id)?;
        let settings = settled(asked, &noted)?;
        let spot = |at| {
            let read = |scan: &_| net::read(&noted)?.spot(at, &noted.notes, scan);
            self.scan(&noted).and_then(|scan| read(&scan))
        };
        let (decided, _) = decide(&settings, stock::stock(&settings)?, &noted, number, spot)?;
        let mut words = vec![format!("grade {}", decided.grade)];
        if let Some((grade, _)) = decided.equivalent() {
            words = vec![format!("split, about grade {grade}")];
        }
        if settings.exposure.value() != 0.0 {
            words.push(format!("{} stop", settings.exposure));
        }
        words.push(placed(&settings.place));
        words.push(format!("paper {}", decided.stock.paper().name()));
        let tones = noted.notes.measured.frames.get(number - 1).and_then(|frame| frame.tones.clone());
        let ends = (decided.thin(), decided.dense());
        Ok(shown(&decided.print(), decided.grade, settings.exposure, words, ends, tones))
    }

    /// A placing as the page writes it, as the setting: "at=0.5,0.25=VIII" with the place as shares of the upright
    /// frame becomes pixels of the scan as stored; other words stay.
    ///
    /// # Errors
    /// When the place is none, or the notes cannot be read.
    pub fn place(&self, id: usize, word: &str) -> Result<String, String> {
        let Some(spot) = word.strip_prefix("at=") else { return Ok(word.to_owned()) };
        let wrong = || format!("\"{word}\" is no place in the frame");
        let (place, zone) = spot.split_once('=').ok_or_else(wrong)?;
        let (across, down) = place.split_once(',').ok_or_else(wrong)?;
        let share = |word: &str| word.parse().ok().filter(|share| (0.0..=1.0).contains(share)).ok_or_else(wrong);
        let (across, down): (f64, f64) = (share(across)?, share(down)?);
        let (noted, number) = self.noted(id)?;
        let area = self.area(&noted, number);
        let orientation = net::orientation(&noted);
        let upright = orientation.upright(area.size());
        let pixel = |share: f64, side: u32| ((share * f64::from(side)) as u32).min(side - 1);
        let (x, y) = orientation.stored(pixel(across, upright.width), pixel(down, upright.height), area.size());
        Ok(format!("{},{}={zone}", area.x + x, area.y + y))
    }

    /// A frame as the straight pages show it.
    ///
    /// # Errors
    /// When the notes cannot be read.
    pub fn straight(&self, id: usize) -> Result<OnPaper, String> {
        let (noted, number) = self.noted(id)?;
        let stock = stock::stock(&settled(&Wishes::default(), &noted)?)?;
        let frame = &noted.reading.frames[number - 1];
        let base = Density::new(noted.notes.measured.base);
        let words = vec!["straight: grade 2 for all, film base as black".to_owned()];
        let tones = noted.notes.measured.frames.get(number - 1).and_then(|frame| frame.tones.clone());
        let ends = (frame.thin - base, frame.dense - base);
        Ok(shown(&straight(&stock), Grade::NORMAL, Stops::default(), words, ends, tones))
    }
}

/// What an exposure is found by, in words: where a spot lies is seen, its zone is not.
fn placed(by: &Placing) -> String {
    match by {
        Placing::Highlights | Placing::Shadows => format!("placed by the {by}"),
        Placing::Fixed => "one exposure for all".to_owned(),
        Placing::Spot { zone, .. } => format!("a spot on zone {zone}"),
    }
}

fn shown(
    print: &Print<'_>,
    grade: Grade,
    exposure: Stops,
    words: Vec<String>,
    ends: (Density, Density),
    tones: Option<TonesNotes>,
) -> OnPaper {
    let codes = ScreenCodes::default();
    let screen = (0..NET_CODES as u16).map(|code| codes.of(Rendering::Screen.luminance(print, net_of(code)) as f32));
    let (from, to, step) = CURVE;
    let points = (0..=((to - from) / step).round() as u32).map(|i| Density::new(from + step * f64::from(i)));
    let curve = points.map(|net| (net, print.density(net))).collect();
    OnPaper { grade, exposure, words, screen: screen.collect(), curve, ends, tones }
}

impl OnPaper {
    /// The grey of each pixel.
    pub fn develop(&self, net: &NetPicture) -> Vec<u8> {
        net.codes.iter().map(|code| self.screen[usize::from(*code)]).collect()
    }
}
