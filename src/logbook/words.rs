//! Numbers as they are set on the page.

use crate::light::Density;

/// A density to two places, with a true minus sign and no minus before zero.
pub(super) fn two(density: Density) -> String {
    let text = format!("{density}");
    match text.strip_prefix('-') {
        Some("0.00") => "0.00".to_owned(),
        Some(rest) => format!("\u{2212}{rest}"),
        None => text,
    }
}

/// "1 frame", "2 frames".
pub(super) fn count(number: usize, what: &str) -> String {
    format!("{number} {what}{}", if number == 1 { "" } else { "s" })
}

/// A warning's code as words.
pub(super) fn spoken(code: &str) -> String {
    code.replace('-', " ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_have_a_true_minus_and_zero_has_none() {
        assert_eq!([1.256, -0.126, -0.004].map(|d| two(Density::new(d))), ["1.26", "\u{2212}0.13", "0.00"]);
        assert_eq!([count(1, "frame"), count(0, "frame")], ["1 frame", "0 frames"]);
    }
}
