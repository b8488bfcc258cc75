//! The flat positive, cut out of the scan.

use crate::batch::each_frame::Laid;
use crate::batch::print::Carrier;
use crate::batch::small::upright;
use crate::flat::{self, Law};
use crate::light::{Densitometer, Density, Encoding};
use crate::plane::{Area, Band, Table};
use crate::scan::{self, Channel, Rows, Scan};
use crate::sheet::Pixels;

/// The flat positive, as its file has it.
pub(super) struct Flat<'a> {
    scan: &'a Scan,
    channel: Channel,
    table: Table,
    encoding: Encoding,
}

impl<'a> Flat<'a> {
    /// Of a frame of these notes.
    ///
    /// # Errors
    /// When they tell of none, or not how it was made.
    pub(super) fn of(laid: &Laid<'a>, carrier: &Carrier, bench: &Densitometer) -> Result<Self, String> {
        let notes = &laid.noted.notes.flat;
        let placed = notes.frames.iter().find(|frame| frame.number as usize == laid.number);
        let placed = placed.ok_or("its notes tell of no flat positive: run dryside batch on the scans first")?;
        let encoding: Encoding = notes.encoding.parse().map_err(|e: crate::light::UnknownEncoding| e.to_string())?;
        let law = Law::between(Density::new(placed.thin), Density::new(placed.dense));
        let table = flat::table(bench, carrier.decided.base, &law, &encoding);
        Ok(Self { scan: laid.scan, channel: carrier.read.channel(), table, encoding })
    }

    /// The pixels of an area, upright.
    ///
    /// # Errors
    /// When the scan can no longer be read.
    pub(super) fn pixels(&self, area: Area) -> Result<Pixels, String> {
        let mut codes = Vec::with_capacity(area.size().pixels() as usize);
        let rows = Rows::Between { first: area.y, end: area.rows().end };
        let cut = |band: &Band<'_>| {
            let mut flat = Vec::new();
            band.rows().for_each(|(_, row)| self.table.extend(&row[area.columns()], &mut flat));
            flat
        };
        let taken = self.scan.read(self.channel, rows, cut, |part| -> Result<(), scan::Error> {
            codes.extend_from_slice(&part);
            Ok(())
        });
        taken.map_err(|e| e.to_string())?;
        let (turned, size) = upright(&codes, area.size(), self.scan.facts().orientation);
        Ok(Pixels::deep(size, &turned, &self.encoding))
    }
}
