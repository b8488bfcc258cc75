//! How the page looks: its style sheet, with the letters in it.

use base64::Engine;
use base64::engine::general_purpose::STANDARD;

const STYLE: &str = include_str!("style.css");

/// Inter 4.0 in two weights, cut down by `font/make.sh` (SIL Open Font License 1.1, `src/sheet/font/OFL.txt`). Some 60
/// KB make the page look alike everywhere, also where nothing of the kind is installed; a page of one frame is no
/// smaller without them than a letter with a picture.
const LETTERS: [(u16, &[u8]); 2] = [
    (400, include_bytes!("font/Inter-Regular-European.woff2")),
    (500, include_bytes!("font/Inter-Medium-European.woff2")),
];

/// The style sheet.
pub(super) fn style() -> String {
    let face = |(weight, letters): (u16, &[u8])| {
        let letters = STANDARD.encode(letters);
        format!(
            "@font-face{{font-family:\"Inter\";font-weight:{weight};src:url(data:font/woff2;base64,{letters}) format(\"woff2\")}}\n"
        )
    };
    LETTERS.map(face).concat() + STYLE
}
