//! The sheets of paper that have a name.

/// A sheet as it stands upright.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct NamedSheet {
    pub(super) name: &'static str,
    /// In mm.
    pub(super) width: f64,
    /// In mm.
    pub(super) height: f64,
    /// Whether proof sheets, strips and the like are laid on it.
    pub(super) page: bool,
    /// Whether printers take it, so that finished prints are laid on it.
    pub(super) printer: bool,
}

const fn sheet(name: &'static str, width: f64, height: f64, page: bool, printer: bool) -> NamedSheet {
    NamedSheet { name, width, height, page, printer }
}

pub(super) const A4: NamedSheet = sheet("a4", 210.0, 297.0, true, true);
pub(super) const LETTER: NamedSheet = sheet("letter", 215.9, 279.4, true, true);
pub(super) const EIGHT_BY_TEN: NamedSheet = sheet("8x10", 203.2, 254.0, true, false);

/// All of them, the smallest first. ISO 216:2007: a2 to a5. ANSI/ASME Y14.1: letter and tabloid (sizes A and B, 8 1/2 x
/// 11 and 11 x 17 in), 17 x 22 in (size C). 13 x 19 in is a size of printers, the others in inches are the trade's
/// sizes of printing paper (common practice).
pub(super) const NAMED_SHEETS: [NamedSheet; 12] = [
    sheet("5x7", 127.0, 177.8, true, false),
    sheet("a5", 148.0, 210.0, true, false),
    EIGHT_BY_TEN,
    LETTER,
    A4,
    sheet("11x14", 279.4, 355.6, true, false),
    sheet("tabloid", 279.4, 431.8, true, false),
    sheet("a3", 297.0, 420.0, true, true),
    sheet("13x19in", 330.2, 482.6, false, true),
    sheet("16x20", 406.4, 508.0, true, false),
    sheet("17x22in", 431.8, 558.8, false, true),
    sheet("a2", 420.0, 594.0, true, true),
];

#[cfg(test)]
mod tests {
    use super::NAMED_SHEETS;

    #[test]
    fn they_stand_in_order_of_their_size() {
        assert!(NAMED_SHEETS.is_sorted_by_key(|sheet| sheet.width * sheet.height));
        assert!(NAMED_SHEETS.iter().all(|sheet| sheet.width < sheet.height && (sheet.page || sheet.printer)));
    }
}
