//! Which page of a TIFF is the scan.

use std::collections::HashSet;
use std::io::{Read, Seek};

use super::describe::{ICC, describe};
use super::directory::{Directory, Source};
use super::error::Error;
use super::facts::{Facts, Format};
use super::layout::{Layout, size_of};
use super::salvage::Torn;

/// More pages than any scanner writes.
const PAGES: usize = 4096;

/// A page that may be the scan.
struct Page {
    directory: Directory,
    /// A preview (TIFF 6.0, NewSubfileType bit 0; SubfileType 2).
    preview: bool,
    pixels: u64,
}

/// Reads the directories of a TIFF and chooses the scan: the largest page that is no preview and of a kind that is
/// read. Where the first page is a preview, the pictures hung below it (SubIFDs) count as pages too.
pub(super) fn open_tiff<R: Read + Seek + Send>(input: R, torn: Torn) -> Result<(Facts, Layout), Error> {
    let (mut source, first) = Source::open(input)?;
    let (mut pages, count) = candidates(&mut source, first)?;
    // Previews last; larger before smaller; of two alike the earlier.
    pages.sort_by_key(|page| (page.preview, u64::MAX - page.pixels));
    let only_previews = pages.iter().all(|page| page.preview);
    let mut refusal = None;
    for page in pages.iter().filter(|page| only_previews || !page.preview) {
        match Layout::of(&mut source, &page.directory, torn) {
            Ok(layout) => return facts(&mut source, page, layout, count, torn),
            Err(error @ (Error::Unsupported(_) | Error::TooLarge(_))) => refusal = refusal.or(Some(error)),
            Err(error) => return Err(refusal.unwrap_or(error)),
        }
    }
    Err(refusal.unwrap_or_else(|| Error::damaged("the file holds no picture")))
}

fn candidates<R: Read + Seek>(source: &mut Source<R>, first: u64) -> Result<(Vec<Page>, u32), Error> {
    let (mut pages, mut seen) = (Vec::new(), HashSet::new());
    let (mut offset, mut count) = (first, 0);
    while offset != 0 {
        if !seen.insert(offset) {
            return Err(Error::damaged("the file's pages run in a circle"));
        }
        if seen.len() > PAGES {
            return Err(Error::unsupported("it has more pages than a scan can have"));
        }
        let page = page(source, offset)?;
        offset = page.directory.next;
        count += 1;
        let below = page.directory.entry(330).filter(|_| page.preview).copied();
        pages.push(page);
        if let Some(entry) = below {
            for offset in source.numbers(&entry, 16)? {
                if seen.insert(offset) {
                    pages.push(self::page(source, offset)?);
                }
            }
        }
    }
    Ok((pages, count))
}

fn page<R: Read + Seek>(source: &mut Source<R>, offset: u64) -> Result<Page, Error> {
    let directory = source.directory(offset)?;
    let kind = source.first(&directory, 254)?.unwrap_or(0);
    // Bit 2 marks a mask, which is no picture either.
    let preview = kind & 0b101 != 0 || source.first(&directory, 255)? == Some(2);
    // A page of absurd size ranks first, so that its refusal is what is told; one of no size ranks last.
    let pixels = match size_of(source, &directory) {
        Ok(size) => size.pixels(),
        Err(Error::TooLarge(_)) => u64::MAX,
        Err(_) => 0,
    };
    Ok(Page { directory, preview, pixels })
}

fn facts<R: Read + Seek>(
    source: &mut Source<R>,
    page: &Page,
    layout: Layout,
    pages: u32,
    torn: Torn,
) -> Result<(Facts, Layout), Error> {
    let samples = &layout.samples;
    let claimed = size_of(source, &page.directory)?;
    let depth = (samples.depth.bits(), layout.colours, layout.extra);
    let mut facts = Facts {
        predictor: samples.predicted,
        white_is_zero: samples.inverted,
        pages,
        big: source.is_big(),
        rows_lost: claimed.height - layout.size.height,
        ..Facts::bare(layout.size, Format::Tiff, layout.compression, depth)
    };
    if torn == Torn::Refuse && page.directory.entry(ICC).is_some_and(|entry| !source.holds(entry)) {
        return Err(Error::Torn);
    }
    describe(source, &page.directory, &mut facts)?;
    Ok((facts, layout))
}
