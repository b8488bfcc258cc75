//! Deflate for grain (RFC 1951, in the wrapping of RFC 1950).
//!
//! Grain does not repeat itself. A general packer spends most of its time on looking for repetitions, and finds none;
//! what shrinks differences of neighbours is that small ones are frequent, and what shrinks a calm ground is runs of
//! one byte. So frequent bytes get short codes, runs are written as such, and nothing else is looked for.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use zlib_rs::adler32::adler32;

/// RFC 1950: Deflate with a window of 32 KiB, and what makes the two bytes a multiple of 31.
const HEADER: [u8; 2] = [0x78, 0x01];
/// The check sum of nothing (RFC 1950).
const NOTHING: u32 = 1;
/// Symbols (RFC 1951, 3.2.5): 256 bytes, the end of a block, lengths of repetitions.
const SYMBOLS: usize = 286;
const END: usize = 256;
/// Shortest and longest repetition.
const SHORTEST: usize = 3;
const LONGEST: usize = 258;
/// Most bits of a code (RFC 1951, 3.2.7).
const MOST_BITS: u8 = 15;
/// Bytes looked at together: a run begins where all of them are like the byte before.
const TOGETHER: usize = 4;

/// Packs `plain` as a stream of one block.
pub(super) fn pack(plain: &[u8]) -> Vec<u8> {
    // 1. how often each symbol will be written
    let mut counts = Counts([0; SYMBOLS]);
    // The end, and one more: a code of one symbol would have no bits.
    (counts.0[END], counts.0[0]) = (1, 1);
    walk(plain, &mut counts);
    let bits = code_lengths(&counts.0);
    // 2. the block
    let mut out = Vec::with_capacity(plain.len() + plain.len() / 8 + 512);
    out.extend(HEADER);
    let mut block = Block { codes: codes(&bits), bits: Bits { out, held: 0, count: 0 } };
    block.describe(&bits);
    walk(plain, &mut block);
    block.symbol(END);
    // 3. the check sum
    let mut packed = block.bits.end();
    packed.extend(adler32(NOTHING, plain).to_be_bytes());
    packed
}

/// What becomes of bytes and runs of them.
trait Tokens {
    fn bytes(&mut self, bytes: &[u8]);
    /// The byte before, this many times more: [`SHORTEST`] to [`LONGEST`].
    fn run(&mut self, length: usize);
}

fn walk(plain: &[u8], tokens: &mut impl Tokens) {
    let mut at = 0;
    while let Some(group) = plain.get(at..at + TOGETHER) {
        let before = at.checked_sub(1).map(|before| plain[before]);
        if before.is_some_and(|before| group == [before; TOGETHER]) {
            let length = plain[at..].iter().take(LONGEST).take_while(|byte| Some(**byte) == before).count();
            tokens.run(length);
            at += length;
        } else {
            tokens.bytes(group);
            at += TOGETHER;
        }
    }
    tokens.bytes(&plain[at..]);
}

/// Symbol of a repetition's length, how many bits tell it exactly, and these (RFC 1951, 3.2.5).
fn length_symbol(length: usize) -> (usize, u32, usize) {
    if length == LONGEST {
        return (SYMBOLS - 1, 0, 0);
    }
    let past = length - SHORTEST;
    // From 8 on there are four symbols to each doubling.
    let extra = (past / 4).max(1).ilog2();
    (257 + 4 * extra as usize + (past >> extra), extra, past & ((1 << extra) - 1))
}

struct Counts([u32; SYMBOLS]);

impl Tokens for Counts {
    fn bytes(&mut self, bytes: &[u8]) {
        bytes.iter().for_each(|byte| self.0[usize::from(*byte)] += 1);
    }

    fn run(&mut self, length: usize) {
        self.0[length_symbol(length).0] += 1;
    }
}

/// How many bits each symbol gets: Huffman's, none more than [`MOST_BITS`]; 0 for one that is not written.
fn code_lengths(counts: &[u32; SYMBOLS]) -> [u8; SYMBOLS] {
    let mut counts = *counts;
    loop {
        let bits = huffman(&counts);
        if bits.iter().all(|bits| *bits <= MOST_BITS) {
            return bits;
        }
        // Halved counts differ less and their codes with them; a symbol that is there stays there.
        counts.iter_mut().for_each(|count| *count = count.div_ceil(2));
    }
}

/// Huffman's code lengths (1952): the two rarest are joined until one is left; how deep a symbol then lies is its
/// length.
fn huffman(counts: &[u32; SYMBOLS]) -> [u8; SYMBOLS] {
    let mut rarest: BinaryHeap<_> =
        (0..).zip(counts).filter(|(_, n)| **n > 0).map(|(symbol, n)| Reverse((u64::from(*n), symbol))).collect();
    // Symbols first, then what they were joined to.
    let mut parents = vec![0; SYMBOLS];
    while let (Some(Reverse((one, a))), Some(Reverse((other, b)))) = (rarest.pop(), rarest.pop()) {
        let joined = parents.len();
        parents.push(0);
        (parents[a], parents[b]) = (joined, joined);
        rarest.push(Reverse((one + other, joined)));
    }
    let mut depths = vec![0u8; parents.len()];
    // A parent comes after its children; the last one has none.
    for node in (0..parents.len()).rev().filter(|node| parents[*node] > 0) {
        depths[node] = depths[parents[node]] + 1;
    }
    std::array::from_fn(|symbol| depths[symbol])
}

/// A code, its first bit lowest, and its length.
type Code = (u32, u32);

/// Codes of these lengths in the order that whoever unpacks takes for granted (RFC 1951, 3.2.2).
fn codes(bits: &[u8; SYMBOLS]) -> [Code; SYMBOLS] {
    let mut codes = [(0, 0); SYMBOLS];
    let mut code = 0u32;
    for length in 1..=MOST_BITS {
        for symbol in (0..SYMBOLS).filter(|symbol| bits[*symbol] == length) {
            codes[symbol] = (code.reverse_bits() >> (u32::BITS - u32::from(length)), u32::from(length));
            code += 1;
        }
        code <<= 1;
    }
    codes
}

/// A block being written.
struct Block {
    codes: [Code; SYMBOLS],
    bits: Bits,
}

impl Block {
    /// Says that it is the last one and has codes of its own, and how long these are (RFC 1951, 3.2.7). The lengths
    /// themselves are written with 4 bits each.
    fn describe(&mut self, lengths: &[u8; SYMBOLS]) {
        const LAST: Code = (1, 1);
        const OWN_CODES: Code = (2, 2);
        /// Symbols beyond 257, distances beyond 1, and lengths of lengths beyond 4.
        const COUNTS: [Code; 3] = [(SYMBOLS as u32 - 257, 5), (0, 5), (15, 4)];
        [LAST, OWN_CODES].into_iter().chain(COUNTS).for_each(|code| self.bits.put(code));
        // Three that stand for repeated lengths are not used; 0 to 15 have 4 bits each.
        (0..19).for_each(|i| self.bits.put((if i < 3 { 0 } else { 4 }, 3)));
        // The one distance, a byte back, has one bit.
        for length in lengths.iter().chain(&[1]) {
            self.bits.put((u32::from(length.reverse_bits() >> 4), 4));
        }
    }

    fn symbol(&mut self, symbol: usize) {
        self.bits.put(self.codes[symbol]);
    }
}

impl Tokens for Block {
    fn bytes(&mut self, bytes: &[u8]) {
        for two in bytes.chunks(2) {
            let (code, length) = self.codes[usize::from(two[0])];
            match two.get(1).map(|byte| self.codes[usize::from(*byte)]) {
                Some((next, more)) => self.bits.put((code | next << length, length + more)),
                None => self.bits.put((code, length)),
            }
        }
    }

    fn run(&mut self, length: usize) {
        /// A byte back.
        const DISTANCE: Code = (0, 1);
        let (symbol, extra, exactly) = length_symbol(length);
        self.symbol(symbol);
        self.bits.put((exactly as u32, extra));
        self.bits.put(DISTANCE);
    }
}

/// Bits put one after another, the lower ones first.
struct Bits {
    out: Vec<u8>,
    held: u64,
    count: u32,
}

impl Bits {
    /// Puts at most 32.
    fn put(&mut self, (bits, count): Code) {
        self.held |= u64::from(bits) << self.count;
        self.count += count;
        if self.count >= u32::BITS {
            self.out.extend_from_slice(&(self.held as u32).to_le_bytes());
            self.held >>= u32::BITS;
            self.count -= u32::BITS;
        }
    }

    fn end(mut self) -> Vec<u8> {
        let bytes = self.count.div_ceil(8) as usize;
        self.out.extend_from_slice(&self.held.to_le_bytes()[..bytes]);
        self.out
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Unpacked by flate2 with miniz_oxide, an independent library, which compares the check sum too.
    fn unpacked(packed: &[u8]) -> Vec<u8> {
        let mut back = Vec::new();
        let mut stream = flate2::bufread::ZlibDecoder::new(packed);
        std::io::Read::read_to_end(&mut stream, &mut back).unwrap();
        assert_eq!(stream.total_in(), packed.len() as u64, "all of it");
        back
    }

    #[test]
    fn another_library_unpacks_what_was_packed() {
        let noise: Vec<u8> = (0..90_000u32).map(|i| (i.wrapping_mul(2_654_435_761) >> 11) as u8).collect();
        let slope: Vec<u8> = (0..50_000u32).map(|i| (i / 300) as u8).collect();
        let rare: Vec<u8> = (0..30_000u32).map(|i| if i % 997 == 0 { (i % 251) as u8 } else { 0 }).collect();
        for plain in [noise, slope, rare, Vec::new(), vec![1], vec![2, 2], vec![3; 5], vec![9; 1_000_000]] {
            let packed = pack(&plain);
            assert!(unpacked(&packed) == plain, "{} bytes", plain.len());
            assert!(packed.len() <= plain.len() + plain.len() / 100 + 300, "{} from {}", packed.len(), plain.len());
        }
    }

    #[test]
    fn runs_of_every_length_come_back() {
        for length in 1..600 {
            let plain = [vec![5; length], vec![6, 7, 8, 9, 1], vec![9; length], vec![3]].concat();
            assert!(unpacked(&pack(&plain)) == plain, "{length}");
        }
    }

    /// RFC 1951, 3.2.5, the table of lengths: the first length of each symbol, and its extra bits.
    #[test]
    fn lengths_have_the_symbols_of_the_standard() {
        let table = [
            (257, 0, 3),
            (264, 0, 10),
            (265, 1, 11),
            (268, 1, 17),
            (269, 2, 19),
            (273, 3, 35),
            (277, 4, 67),
            (281, 5, 131),
            (284, 5, 227),
            (285, 0, 258),
        ];
        for (symbol, extra, length) in table {
            assert_eq!(length_symbol(length), (symbol, extra, 0), "{length}");
        }
        assert_eq!(length_symbol(257), (284, 5, 30));
    }

    /// Counts that grow like Fibonacci's numbers make Huffman's codes as deep as they get.
    #[test]
    fn no_code_is_longer_than_the_standard_allows() {
        let mut counts = [0; SYMBOLS];
        let (mut a, mut b) = (1u32, 1u32);
        for count in counts.iter_mut().take(40) {
            *count = a;
            (a, b) = (b, a + b);
        }
        assert!(huffman(&counts).iter().any(|bits| *bits > MOST_BITS));
        let bits = code_lengths(&counts);
        // Kraft: a code that leaves nothing over.
        let kraft: f64 = bits.iter().filter(|b| **b > 0).map(|b| 0.5f64.powi(i32::from(*b))).sum();
        assert!(bits.iter().all(|b| *b <= MOST_BITS) && kraft == 1.0, "{kraft}");
    }
}
