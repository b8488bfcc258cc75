//! Any word as each of those that are typed: a condition of a selection, times, apertures, grades, lengths.
#![no_main]

use dryside::light::Stops;
use dryside::meter::{Bellows, FNumber, FilterFactor, Seconds, ZoneStep};
use dryside::notes::{COLUMNS, Condition};
use dryside::paper::{Grade, Placing, Split};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|word: &str| {
    let _ = Condition::parse(word, &COLUMNS);
    let _ = (word.parse::<Seconds>(), word.parse::<FilterFactor>(), word.parse::<Bellows>(), word.parse::<ZoneStep>());
    let _ = (word.parse::<Stops>(), word.parse::<Placing>(), word.parse::<Split>());
    if let Ok(number) = word.parse::<FNumber>() {
        assert!(number.to_string().parse::<FNumber>().is_ok(), "{number}");
    }
    if let Ok(grade) = word.parse::<Grade>() {
        assert_eq!(grade.to_string().parse::<Grade>().ok(), Some(grade));
    }
});
