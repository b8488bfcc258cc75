//! A page put together row by row: ink first, then the prints' own pixels over it.

use super::super::canvas::Canvas;
use super::super::error::Error;
use super::super::page::Page;
use super::super::raster::draw_on;
use super::hang::Hung;
use crate::light::PixelsPerInch;
use crate::plane::Size;

/// Samples of a band: 4 MB, whatever the page.
const BAND: usize = 2 << 20;

/// See [`Laid::compose`](super::Laid::compose).
pub(super) fn compose<E: From<Error>>(
    ink: &Page,
    (size, ppi): (Size, PixelsPerInch),
    prints: &[Hung],
    samples: usize,
    (mut row, mut put): (impl FnMut(usize, &mut [u16]) -> Result<(), E>, impl FnMut(&[u16]) -> Result<(), E>),
) -> Result<(), E> {
    let width = size.width as usize * samples;
    let rows = (BAND / width).max(1);
    let mut codes: Vec<u16> = Vec::with_capacity(rows * width);
    for first in (0..size.height).step_by(rows) {
        let band = first..size.height.min(first + rows as u32);
        let mut canvas = Canvas::band(size.width, band.clone());
        draw_on(&mut canvas, ink, ppi)?;
        codes.clear();
        // 65,535 is 255 times 257: black and white are those of the prints, whatever their curve.
        let grey = canvas.into_image();
        codes.extend(grey.as_raw().iter().flat_map(|code| std::iter::repeat_n(u16::from(*code) * 257, samples)));
        for (number, print) in prints.iter().enumerate() {
            let foot = print.top + print.size.height;
            for y in band.start.max(print.top)..band.end.min(foot) {
                let at = (y - band.start) as usize * width + print.left as usize * samples;
                row(number, &mut codes[at..at + print.size.width as usize * samples])?;
            }
        }
        put(&codes)?;
    }
    Ok(())
}
