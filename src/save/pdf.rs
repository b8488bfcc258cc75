//! A PDF that says which program wrote it, so that the next run knows it as its own.

use std::fs::{self, File};
use std::io::Read;
use std::path::Path;

/// Where the end of a PDF begins (ISO 32000-1, 7.5.5): a comment may stand before it, and no offset changes.
const END: &[u8] = b"startxref";
/// How the comment begins, and the length of the hash behind it.
const SEAL: &[u8] = b"% dryside: BLAKE3 of all but this line ";
const HASH: usize = 64;
/// More bytes than a page of ours ever has: others are not read to the end.
const LARGEST: u64 = 256 << 20;

/// Seals a PDF: a comment near its end names the hash of all the rest.
pub fn seal_pdf(mut pdf: Vec<u8>) -> Vec<u8> {
    let at = last(&pdf, END).unwrap_or(pdf.len());
    let line = [SEAL, blake3::hash(&pdf).to_hex().as_bytes(), b"\n"].concat();
    pdf.splice(at..at, line);
    pdf
}

/// Whether a file is a PDF that [`seal_pdf`] has sealed and that nobody has changed since. What cannot be read is not
/// ours.
pub fn is_our_pdf(path: &Path) -> bool {
    let read = || {
        // A pipe would be waited for.
        fs::metadata(path).ok().filter(|facts| facts.is_file() && facts.len() <= LARGEST)?;
        let mut pdf = Vec::new();
        File::open(path).ok()?.take(LARGEST).read_to_end(&mut pdf).ok()?;
        let at = last(&pdf, SEAL)?;
        let end = at + SEAL.len() + HASH;
        let named = pdf.get(at + SEAL.len()..end)?.to_vec();
        // The line's end goes with it.
        pdf.drain(at..(end + 1).min(pdf.len()));
        Some(blake3::hash(&pdf).to_hex().as_bytes() == named)
    };
    read().unwrap_or(false)
}

fn last(pdf: &[u8], part: &[u8]) -> Option<usize> {
    pdf.windows(part.len()).rposition(|window| window == part)
}

#[cfg(test)]
mod tests {
    use super::*;

    const PDF: &[u8] = b"%PDF-1.7\n1 0 obj<<>>endobj\nxref\n0 1\ntrailer<<>>\nstartxref\n27\n%%EOF";

    #[test]
    fn a_page_is_known_as_ours_until_somebody_changes_it() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("coil.pdf");
        assert!(!is_our_pdf(&path));
        fs::write(&path, PDF).unwrap();
        assert!(!is_our_pdf(&path), "it has no seal");
        let sealed = seal_pdf(PDF.to_vec());
        assert!(sealed.starts_with(&PDF[..40]) && sealed.ends_with(b"\nstartxref\n27\n%%EOF"));
        fs::write(&path, &sealed).unwrap();
        assert!(is_our_pdf(&path));
        for changed in [[&sealed[..], b"\n% a note"].concat(), sealed[..sealed.len() - 30].to_vec()] {
            fs::write(&path, changed).unwrap();
            assert!(!is_our_pdf(&path));
        }
    }
}
