//! A band of rows of a scan: the unit in which scans stream.

/// Rows of grey codes, `width` samples each, that follow one another in the scan at a fixed step.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Band<'a> {
    first_row: u32,
    step: u32,
    width: u32,
    samples: &'a [u16],
}

impl<'a> Band<'a> {
    /// Rows `first_row`, `first_row + step` ...; `samples` holds whole rows of `width` codes, top row first.
    ///
    /// # Panics
    /// If `width` or `step` is 0 or `samples` is not whole rows.
    pub fn new(first_row: u32, step: u32, width: u32, samples: &'a [u16]) -> Self {
        assert!(width > 0 && step > 0 && samples.len().is_multiple_of(width as usize), "a band holds whole rows");
        Self { first_row, step, width, samples }
    }

    /// Each row with its number in the scan, top first.
    pub fn rows(self) -> impl DoubleEndedIterator<Item = (u32, &'a [u16])> {
        let rows = self.samples.chunks_exact(self.width as usize);
        (0u32..rows.len() as u32).zip(rows).map(move |(i, row)| (self.first_row + i * self.step, row))
    }

    /// All samples, row after row.
    pub fn samples(self) -> &'a [u16] {
        self.samples
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rows_know_where_they_lie() {
        let band = Band::new(10, 4, 3, &[1, 2, 3, 4, 5, 6]);
        let rows: Vec<_> = band.rows().collect();
        assert_eq!(rows, [(10, &[1, 2, 3][..]), (14, &[4, 5, 6][..])]);
    }
}
