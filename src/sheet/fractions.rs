//! Fractions and signs as they are set in print.

/// "-1 1/2" as "−1½", "+3/4" as "+¾": halves and quarters, and a true minus. Thirds stay as they are typed: the font has a sign
/// for one of them only.
pub(super) fn with_fractions(text: &str) -> String {
    const SET: [(&str, &str); 3] = [("1/2", "½"), ("1/4", "¼"), ("3/4", "¾")];
    let text = text.replace('-', "−");
    SET.iter().fold(text, |text, (typed, set)| {
        let joined =
            ('0'..='9').fold(text, |text, digit| text.replace(&format!("{digit} {typed}"), &format!("{digit}{set}")));
        joined.replace(typed, set)
    })
}

#[cfg(test)]
mod tests {
    use super::with_fractions;

    #[test]
    fn fractions_are_set_as_one_letter() {
        for (typed, set) in [
            ("-1 1/2", "−1½"),
            ("+3/4", "+¾"),
            ("-2/3", "−2/3"),
            ("4 1/2", "4½"),
            ("1/4", "¼"),
            ("00", "00"),
            ("+0.1", "+0.1"),
        ] {
            assert_eq!(with_fractions(typed), set);
        }
    }
}
