//! The sums of an exposure, held against published figures: every row of the list that the project keeps, with where it
//! stands. P: published source read; C: computed; M: from memory.
#![allow(clippy::unwrap_used)]

use dryside::light::Stops;
use dryside::meter::{
    Bellows, Caution, Exposure, ExposureValue, FNumber, FilterFactor, Reading, Reciprocity, Seconds, ZoneStep,
};

fn seconds(word: &str) -> Seconds {
    word.parse().unwrap()
}

fn bellows(word: &str) -> Bellows {
    word.parse().unwrap()
}

fn film(word: &str) -> Reciprocity {
    word.parse().unwrap()
}

fn metered(word: &str) -> Exposure {
    Exposure::of(Reading::Time(seconds(word)))
}

fn near(value: f64, published: f64, within: f64) {
    assert!((value - published).abs() <= within, "{value}, published {published}");
}

/// US Army Subcourse SS0512 and large-format handbooks (P): (E/f)^2, and log2 of it in stops.
#[test]
fn a_bellows_takes_its_published_factor() {
    for (word, factor) in [("300/150", 4.0), ("450/300", 2.25), ("280/210", 1.7778), ("165/150", 1.21)] {
        near(bellows(word).factor(), factor, 0.5e-4);
    }
    near(bellows("280/210").stops().value(), 0.830, 0.5e-3);
    // 18 in before a lens of 12 in: 8 s become 18 s.
    let exposure = Exposure { bellows: Some(bellows("18in/12in")), ..metered("8 s") };
    near(exposure.work_out().unwrap().time().value(), 18.0, 1e-9);
}

/// The same sources: a lens is never nearer to the film than its focal length.
#[test]
fn a_bellows_shorter_than_the_lens_is_refused() {
    let told = "150/300".parse::<Bellows>().unwrap_err().to_string();
    assert!(told.contains("bellows of 150 mm is shorter than the focal length 300 mm"), "{told}");
    assert!("300/300".parse::<Bellows>().is_ok());
}

/// Common practice (P): a pocket table turns 30 s into 51 s with a 150 mm lens at 200 mm; exactly it is 53.3 s. Tables
/// round to quarter stops, so that they may be an eighth apart.
#[test]
fn a_pocket_table_is_met_to_its_quarter_stop() {
    let exposure = Exposure { bellows: Some(bellows("200/150")), ..metered("30 s") };
    let time = exposure.work_out().unwrap().time();
    near(time.value(), 53.3, 0.05);
    assert!(time.over(seconds("51 s")).value().abs() < 1.0 / 8.0);
    let quarters = Stops::new((bellows("200/150").stops().value() * 4.0).floor() / 4.0);
    near(seconds("30 s").longer(quarters).value(), 51.0, 1.0);
}

/// Common practice (P): a shadow metered at 2 min and placed on III is exposed for 30 s.
#[test]
fn a_shadow_is_placed() {
    let exposure = Exposure { zone: Some("III".parse().unwrap()), ..metered("2m") };
    near(exposure.work_out().unwrap().time().value(), 30.0, 1e-9);
    assert_eq!("V".parse::<ZoneStep>().unwrap(), ZoneStep::METERED);
}

/// ILFORD film reciprocity leaflet (formula and 10 s -> 20.42 s P, the others Q): t^P above 1 s.
#[test]
fn film_is_given_its_published_time() {
    for (p, t, published, within) in [
        ("1.31", 10.0, 20.42, 0.005),
        ("1.31", 60.0, 213.5, 0.05),
        ("1.26", 10.0, 18.20, 0.005),
        ("1.26", 120.0, 416.7, 0.1),
        ("1.33", 10.0, 21.38, 0.005),
    ] {
        near(film(p).correct(Seconds::new(t).unwrap()).time.unwrap().value(), published, within);
    }
    near(film("hp5-plus").correct(seconds("10 s")).time.unwrap().value(), 20.42, 0.005);
    near(film("FP4 Plus").correct(seconds("10 s")).time.unwrap().value(), 18.20, 0.005);
}

/// The same leaflet (P): one second or less needs no correction. t^P would shorten it.
#[test]
fn a_second_or_less_stays() {
    for word in ["1 s", "1/2", "1/60"] {
        assert_eq!(film("1.31").correct(seconds(word)).time, Some(seconds(word)));
    }
    assert!(film("1.31").correct(seconds("1.01")).time.unwrap() > seconds("1.01"));
}

/// Kodak technical data F-4016, October 2007 (P): 10 s -> 15 s or 1/2 stop, 100 s -> 200 s or 1 stop; 1 s has 1/3 stop
/// and no time.
#[test]
fn a_makers_table_is_met_in_both_columns_and_they_stay_apart() {
    let film = film("t-max-100");
    for (metered, time, stops) in [("1/10", 0.1, 0.0), ("10 s", 15.0, 0.5), ("100 s", 200.0, 1.0)] {
        let corrected = film.correct(seconds(metered));
        near(corrected.time.unwrap().value(), time, 1e-9);
        near(corrected.stops.unwrap().value(), stops, 1e-9);
        assert_eq!(corrected.beyond, None);
    }
    near(film.correct(seconds("1 s")).stops.unwrap().value(), 1.0 / 3.0, 1e-9);
    // 15 s are 0.585 stops more than 10 s, and the aperture column says 0.5: not one from the other.
    assert!((seconds("15 s").over(seconds("10 s")).value() - 0.5).abs() > 0.05);
    // Log-log half-way between 10 s and 100 s: sqrt(15 x 200) (C).
    let half_way = film.correct(Seconds::new(1000f64.sqrt()).unwrap());
    near(half_way.time.unwrap().value(), 3000f64.sqrt(), 1e-9);
    near(half_way.stops.unwrap().value(), 0.75, 1e-9);
}

/// Kodak technical data F-4016 (P): no time stands at 1 s, so that one is reckoned between the rows beside it, and that
/// is told.
#[test]
fn what_a_table_leaves_open_is_told() {
    let at = |word: &str| {
        let exposure = Exposure { reciprocity: Some(film("t-max-100")), ..metered(word) };
        exposure.work_out().unwrap().cautions
    };
    assert_eq!(at("1 s"), [Caution::Between(seconds("1/10"), seconds("10 s"))]);
    assert!(at("1 s")[0].to_string().contains("between the rows of 1/10 s and 10 s"));
    // Where its rows stand, and between two that have no other between them, nothing is told.
    for word in ["1/10", "10 s", "30 s", "100 s"] {
        assert_eq!(at(word), [], "{word}");
    }
}

/// Makers' data sheets (P): what lies beyond the last row is flagged.
#[test]
fn beyond_a_table_is_told() {
    let exposure = Exposure { reciprocity: Some(film("t-max-100")), ..metered("4m") };
    let working = exposure.work_out().unwrap();
    assert_eq!(working.cautions, [Caution::Beyond(seconds("100 s"))]);
    assert!(working.cautions[0].to_string().contains("beyond 1 min 40 s this is a guess"));
    assert!(working.time() > seconds("8m"), "and it goes on along the last line");
}

/// Teaching (P), computed: 1 s x 2 x 2.25 = 4.5 s -> 7.17 s at P 1.31; in wrong orders 4.50 and 5.58.
#[test]
fn reciprocity_comes_last() {
    let exposure = Exposure {
        filters: vec![FilterFactor::new(2.0).unwrap()],
        bellows: Some(bellows("450/300")),
        reciprocity: Some(film("1.31")),
        ..metered("1 s")
    };
    let working = exposure.work_out().unwrap();
    let times: Vec<f64> = working.steps.iter().map(|step| step.time.value()).collect();
    for (time, published) in times.iter().zip([1.0, 2.0, 4.5, 7.17]) {
        near(*time, published, 0.005);
    }
    near(working.uncorrected().value(), 4.5, 1e-9);
    let correct = |s: f64| film("1.31").correct(Seconds::new(s).unwrap()).time.unwrap().value();
    near(correct(1.0) * 2.0 * 2.25, 4.50, 0.005);
    near(correct(2.0) * 2.25, 5.58, 0.005);
}

/// The whole way, worked out by hand: 2 min on III is 30 s, x 2 is 60 s, x 2.25 is 135 s, 135^1.31 is 617.6 s.
#[test]
fn every_step_can_be_followed_on_paper() {
    let exposure = Exposure {
        zone: Some("III".parse().unwrap()),
        filters: vec!["2".parse().unwrap()],
        bellows: Some(bellows("450/300")),
        reciprocity: Some(film("1.31")),
        ..metered("2m")
    };
    let lines: Vec<String> =
        exposure.work_out().unwrap().steps.iter().map(|step| format!("{} = {}", step.sum, step.time)).collect();
    assert_eq!(
        lines,
        [
            "metered = 2 min",
            "placed on zone III: 2 stops less = 30 s",
            "filter: x 2, 1 stop more = 1 min",
            "bellows: (450/300)^2 = x 2.25, 1.17 stops more = 2 min 15 s",
            "reciprocity, P 1.31: 135 ^ 1.31 = 10 min 18 s",
        ]
    );
}

/// ISO 517 (M, C): 1.4 2.8 5.6 11 22 45 are exactly 2^(i/2); f/13 is both 12.70 (third) and 13.45 (half), so it is kept
/// as written.
#[test]
fn an_aperture_is_kept_as_written_and_means_what_is_marked() {
    let f = |word: &str| word.parse::<FNumber>().unwrap();
    for (i, word) in [(1, "1.4"), (3, "2.8"), (5, "f/5.6"), (7, "f/11"), (9, "F/22"), (11, "f45")] {
        assert_eq!(f(word).meant(), [(f64::from(i) / 2.0).exp2()]);
        assert_eq!(f(word).written(), word);
    }
    let thirteen = f("f/13");
    assert_eq!(thirteen.written(), "f/13");
    near(thirteen.meant()[0], 12.70, 0.005);
    near(thirteen.meant()[1], 13.45, 0.005);
    near(thirteen.doubt().value(), 1.0 / 6.0, 1e-9);
    // From one marked stop to the next is a stop, and not 2 log2(22/16).
    near(f("f/16").stops_to(&f("f/22")).value(), 1.0, 1e-9);
}

/// APEX (P): EV = log2(N^2/t); f/32 and 4 s are 8.000. And back.
#[test]
fn an_exposure_value_is_that_of_apex() {
    near(ExposureValue::of(32.0, seconds("4 s")).value(), 8.0, 1e-12);
    let at = |aperture: &str| Exposure {
        aperture: Some(aperture.parse().unwrap()),
        ..Exposure::of(Reading::Value("EV 8".parse().unwrap()))
    };
    near(at("f/32").work_out().unwrap().time().value(), 4.0, 1e-9);
    let doubtful = at("f/13").work_out().unwrap();
    assert!(matches!(&doubtful.cautions[..], [Caution::Doubt(n, _)] if n.written() == "f/13"), "{doubtful:?}");
    assert!(
        Exposure::of(Reading::Value("EV 8".parse().unwrap())).work_out().unwrap_err().contains("say at which, as f/22")
    );
}

/// Common practice: two stops down is four times as long, wherever it was metered.
#[test]
fn another_aperture_than_the_readings_is_reckoned_with() {
    let exposure = Exposure {
        metered_at: Some("f/16".parse().unwrap()),
        aperture: Some("f/32".parse().unwrap()),
        ..metered("1/8")
    };
    near(exposure.work_out().unwrap().time().value(), 0.5, 1e-9);
}

#[test]
fn where_the_film_is_unknown_a_long_time_is_told() {
    assert!(matches!(metered("2 s").work_out().unwrap().cautions[..], [Caution::NoFilm(_)]));
    assert_eq!(metered("1 s").work_out().unwrap().cautions, []);
}
