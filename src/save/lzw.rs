//! LZW as TIFF has it (TIFF 6.0, section 13), packed.

const CLEAR: u32 = 256;
const END: u32 = 257;
/// The first code that stands for a string.
const FIRST: u32 = 258;
/// With this many codes the table is cleared: TIFF 6.0 wants it after 4094 has been put.
const FULL: u32 = 4095;
const LEAST_BITS: u32 = 9;
/// Places for strings, eight times as many as there are strings, so that hardly two want the same one: a power of two.
const SLOTS: usize = 1 << 15;

/// Packs `plain`. Grain hardly repeats itself, so that most of the time goes into asking for strings that are not
/// known: strings lie in a small table of hashes, each as its last byte and the code of what is before it.
pub(super) fn pack(plain: &[u8]) -> Vec<u8> {
    let mut bits = Bits { out: Vec::with_capacity(plain.len() + plain.len() / 2 + 16), held: 0, count: 0 };
    let mut strings = vec![0; SLOTS];
    let (mut codes, mut width) = (FIRST, LEAST_BITS);
    bits.put(CLEAR, width);
    let mut bytes = plain.iter().map(|byte| u32::from(*byte));
    let mut before = bytes.next();
    for byte in bytes {
        let Some(code) = before else { break };
        match find(&strings, code << 8 | byte) {
            Ok(longer) => before = Some(longer),
            Err(slot) => {
                bits.put(code, width);
                strings[slot] = (code << 8 | byte) << 12 | codes;
                codes += 1;
                if codes == FULL {
                    bits.put(CLEAR, width);
                    strings.fill(0);
                    (codes, width) = (FIRST, LEAST_BITS);
                } else if codes == 1 << width {
                    width += 1;
                }
                before = Some(byte);
            }
        }
    }
    if let Some(code) = before {
        bits.put(code, width);
        // Who unpacks learns a string from it too.
        width += u32::from(codes + 1 == 1 << width);
    }
    bits.put(END, width);
    bits.end()
}

/// The code of a string (code of all but its last byte, then that byte), or the slot in which it can be put. A slot
/// holds both parts and the string's own code, which is never 0.
fn find(strings: &[u32], string: u32) -> Result<u32, usize> {
    let strings: &[u32; SLOTS] = strings.try_into().expect("as many as were made");
    // Fibonacci hashing (Knuth, The Art of Computer Programming 3, 6.4): the golden ratio times 2^32.
    let mut slot = (string.wrapping_mul(0x9E37_79B9) >> (u32::BITS - SLOTS.ilog2())) as usize;
    loop {
        match strings[slot] {
            0 => return Err(slot),
            there if there >> 12 == string => return Ok(there & 0xFFF),
            _ => slot = (slot + 1) % SLOTS,
        }
    }
}

/// Bits put one after another, the higher ones first.
struct Bits {
    out: Vec<u8>,
    held: u64,
    count: u32,
}

impl Bits {
    fn put(&mut self, code: u32, width: u32) {
        self.held = self.held << width | u64::from(code);
        self.count += width;
        if self.count >= u32::BITS {
            self.count -= u32::BITS;
            self.out.extend_from_slice(&((self.held >> self.count) as u32).to_be_bytes());
        }
    }

    fn end(mut self) -> Vec<u8> {
        // Zeros to a whole word, of which the bytes that hold something are kept.
        let bytes = self.count.div_ceil(8) as usize;
        let word = ((self.held << (u32::BITS - self.count)) as u32).to_be_bytes();
        self.out.extend_from_slice(&word[..bytes]);
        self.out
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Unpacked by the weezl library, an independent one.
    #[test]
    fn another_library_unpacks_what_was_packed() {
        let still = vec![7u8; 30_000];
        let noise: Vec<u8> = (0..90_000u32).map(|i| (i.wrapping_mul(2_654_435_761) >> 11) as u8).collect();
        let slope: Vec<u8> = (0..50_000u32).map(|i| (i / 300) as u8).collect();
        // Lengths at which the table is cleared, or codes grow, just at the end.
        let lengths = (250..270).chain(505..520).chain(3830..3850).map(|n| noise[..n].to_vec());
        for plain in [still, noise.clone(), slope, Vec::new(), vec![1], vec![2, 2]].into_iter().chain(lengths) {
            let mut back = Vec::new();
            let mut other = weezl::decode::Decoder::with_tiff_size_switch(weezl::BitOrder::Msb, 8);
            other.into_vec(&mut back).decode_all(&pack(&plain)).status.unwrap();
            assert!(back == plain, "{} bytes", plain.len());
        }
    }

    /// The worked example of TIFF 6.0, section 13: 7 7 7 8 8 7 7 6 6 is 256 7 258 8 8 258 6 6 257.
    #[test]
    fn the_example_of_the_standard_is_packed_as_written_there() {
        let codes = [256u32, 7, 258, 8, 8, 258, 6, 6, 257];
        let mut bits = Bits { out: Vec::new(), held: 0, count: 0 };
        codes.into_iter().for_each(|code| bits.put(code, 9));
        assert_eq!(pack(&[7, 7, 7, 8, 8, 7, 7, 6, 6]), bits.end());
    }
}
