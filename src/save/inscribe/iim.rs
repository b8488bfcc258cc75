//! The older IPTC block (IPTC-IIM 4.2, record 2). It is carried on, but for what is said anew: two answers to one
//! question help nobody, and XMP has the new one.

use super::Inscription;

/// Every dataset begins with this (IIM 4.2, 1.6).
const MARKER: u8 = 0x1C;
/// The record of editorial metadata.
const EDITORIAL: u8 = 2;

/// Its datasets but those that the inscription says anew; as it is where it is no such block.
pub(super) fn without(block: &[u8], of: &Inscription) -> Vec<u8> {
    // Object name, date created, byline, sub-location, keywords, copyright notice, caption (IIM 4.2, chapter 6).
    let said = [
        (5, of.title.is_some()),
        (25, !of.keywords.is_empty()),
        (55, of.exposed.is_some()),
        (60, of.exposed.is_some()),
        (80, of.creator.is_some()),
        (92, of.place.is_some()),
        (116, of.rights.is_some()),
        (120, of.caption.is_some()),
    ];
    let mut kept = Vec::with_capacity(block.len());
    let mut rest = block;
    while let [MARKER, record, dataset, high, low, ..] = *rest {
        let length = usize::from(u16::from_be_bytes([high, low]));
        // From 32,768 bytes on the length is told in another way, and no text of ours is as long.
        let Some(whole) = rest.get(..5 + length).filter(|_| length < 0x8000) else { return block.to_vec() };
        if record != EDITORIAL || !said.contains(&(dataset, true)) {
            kept.extend_from_slice(whole);
        }
        rest = &rest[whole.len()..];
    }
    // What follows is padding, or this is none.
    if rest.iter().all(|byte| *byte == 0) { kept } else { block.to_vec() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_said_anew_goes_and_the_rest_stays() {
        let block = b"\x1c\x02\x05\x00\x04coil\x1c\x02\x78\x00\x02ab\x1c\x02\x50\x00\x01w\0";
        let of = Inscription { title: Some("keg".into()), ..Inscription::default() };
        assert_eq!(without(block, &of), b"\x1c\x02\x78\x00\x02ab\x1c\x02\x50\x00\x01w");
        assert_eq!(without(block, &Inscription::default()), &block[..block.len() - 1]);
        for torn in [&block[..10], b"no block", b"\x1c\x02\x05\x80\x04\0\0\0\0"] {
            assert_eq!(without(torn, &of), torn);
        }
    }
}
