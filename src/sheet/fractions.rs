//! Fractions and signs as they are set in print.

/// "-1 1/2" as "−1½", "+3/4" as "+¾": halves, quarters and thirds, and a true minus before a number that stands alone;
/// a name keeps its hyphens. The font has a sign for one of the thirds only: both are put together from small figures
/// and the fraction slash (Unicode 6.2, general punctuation), so that they are alike.
pub(super) fn with_fractions(text: &str) -> String {
    const SET: [(&str, &str); 5] =
        [("1/2", "½"), ("1/4", "¼"), ("3/4", "¾"), ("1/3", "¹\u{2044}₃"), ("2/3", "²\u{2044}₃")];
    let text = with_minus(text);
    SET.iter().fold(text, |text, (typed, set)| {
        let joined =
            ('0'..='9').fold(text, |text, digit| text.replace(&format!("{digit} {typed}"), &format!("{digit}{set}")));
        joined.replace(typed, set)
    })
}

fn with_minus(text: &str) -> String {
    let mut set = String::with_capacity(text.len());
    let mut letters = text.chars().peekable();
    while let Some(letter) = letters.next() {
        let alone = set.chars().next_back().is_none_or(char::is_whitespace);
        let of_a_number = letters.peek().is_some_and(char::is_ascii_digit);
        set.push(if letter == '-' && alone && of_a_number { '−' } else { letter });
    }
    set
}

#[cfg(test)]
mod tests {
    use super::with_fractions;

    #[test]
    fn fractions_are_set_as_one_letter() {
        for (typed, set) in [
            ("-1 1/2", "−1½"),
            ("+3/4", "+¾"),
            ("-2/3", "−²\u{2044}₃"),
            ("+1 1/3", "+1¹\u{2044}₃"),
            ("4 1/2", "4½"),
            ("1/4", "¼"),
            ("00", "00"),
            ("+0.1", "+0.1"),
            ("00 -1, 5 -1 1/2", "00 −1, 5 −1½"),
            ("about 1/2, +1 1/2 stop", "about ½, +1½ stop"),
            ("grades after ANSI PH2.2-1966 band middles", "grades after ANSI PH2.2-1966 band middles"),
            ("paper store-room matt", "paper store-room matt"),
        ] {
            assert_eq!(with_fractions(typed), set);
        }
    }
}
