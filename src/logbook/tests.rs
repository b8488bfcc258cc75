//! The page as a whole, on names that do their worst.

use super::*;

fn entry(name: &str) -> Entry {
    let density = |d: f64| Density::new(d);
    Entry {
        name: name.to_owned(),
        scan: format!("{name}.tif"),
        date: Some("2026-03-12".to_owned()),
        mark: Some("hold".to_owned()),
        remark: Some("burn <in> the window".to_owned()),
        prints: vec![("30x24cm, grade 2 on matt".to_owned(), None)],
        called: Some("Coil <of> \"tarred\" rope & tow".to_owned()),
        picture: Some(Ok(Small { jpeg: vec![0xFF, 0xD8, 0xFF], width: 40, height: 30 })),
        base: Some(density(0.21)),
        base_source: "rebate".to_owned(),
        net: Some([density(0.04), density(0.52), density(1.26)]),
        printed: vec!["2 1/2".to_owned()],
        flags: vec![Flag { code: "dense-end-in-noise".to_owned(), message: "scan again, brighter".to_owned() }],
        tones: Some(TonesNotes { from: 0.0, step: 0.02, parts: vec![5_000; 64] }),
        notes_wrong: None,
        files: vec![Link { word: "notes".to_owned(), to: "flat/a%20b.notes.toml".to_owned() }],
    }
}

fn logbook(names: &[&str]) -> Logbook {
    Logbook {
        title: "Ropewalk".to_owned(),
        day: "2026-11-25".to_owned(),
        made: vec!["graded".to_owned()],
        entries: names.iter().map(|name| entry(name)).collect(),
        failed: vec![Failure { scan: "torn.tif".to_owned(), reason: "the file is cut short".to_owned() }],
        zones: (vec![("I".to_owned(), Density::new(0.1))], "a test".to_owned()),
        settings: vec![("page".to_owned(), "a4".to_owned())],
        files: Vec::new(),
    }
}

#[test]
fn what_a_file_is_called_never_becomes_part_of_the_page() {
    let long = "x".repeat(200);
    let names = ["<script>alert(1)</script>", "\" onload=\"alert(1)", "'&amp;", "\u{202e}gnp.exe", "\u{1f9f5}", &long];
    let page = page(&logbook(&names));
    assert!(!page.contains("<script") && page.contains("&lt;script&gt;alert(1)&lt;/script&gt;"));
    assert!(!page.contains("\" onload=\"") && page.contains("&amp;amp;"));
    assert!(page.contains(&long) && page.contains('\u{1f9f5}'));
    assert!(page.contains("burn &lt;in&gt; the window") && page.contains("2026-03-12"));
    assert!(page.contains("30x24cm, grade 2 on matt, its file is not there any more"));
    assert!(page.contains("Coil &lt;of&gt; &quot;tarred&quot; rope &amp; tow"));
}

/// The page without what fonts and pictures are made of, in whose letters any word may stand by chance.
fn without_data(page: &str) -> String {
    let mut parts = page.split(";base64,");
    let first = parts.next().unwrap_or_default().to_owned();
    let after = |part: &str| part.find(['"', ')', '\'']).map_or_else(String::new, |end| part[end..].to_owned());
    first + &parts.map(after).collect::<String>()
}

/// Nothing is fetched: all that is referred to is in the page, or a file beside it that a person goes to.
#[test]
fn the_page_needs_nothing_beside_itself() {
    let page = page(&logbook(&["sheet-01"]));
    let said = without_data(&page);
    assert!(!said.contains("http") && !said.contains("//") && !said.contains("@import"), "no address");
    for source in page.split("src=\"").skip(1).chain(page.split("url(").skip(1)) {
        assert!(source.starts_with("data:"), "{}", &source[..40]);
    }
}

#[test]
fn every_link_within_the_page_leads_somewhere() {
    let page = page(&logbook(&["sheet-01", "sheet-02"]));
    for to in page.split("href=\"#").skip(1).filter_map(|rest| rest.split('"').next()) {
        assert!(page.contains(&format!("id=\"{to}\"")), "{to}");
    }
    let failed = page.find("torn.tif").unwrap();
    assert!(failed < page.find("dense end in noise").unwrap(), "what failed comes first");
}

#[test]
fn the_gravest_flag_comes_first_and_one_of_a_whole_scan_is_told_once() {
    let flag = |code: &str, message: &str| Flag { code: code.to_owned(), message: message.to_owned() };
    let lost = flag("rows-unwritten", "rows 812 to 1500 hold nothing");
    let on_strip = |number: usize| Entry {
        scan: "strip.tif".to_owned(),
        flags: vec![lost.clone(), flag("range-beyond-grades", &format!("frame {number} will print flat"))],
        ..entry(&format!("strip-{number}"))
    };
    let page = page(&Logbook { entries: vec![entry("sheet-01"), on_strip(1), on_strip(2)], ..logbook(&[]) });
    let (first, rest) = page.split_once("id=\"along\"").unwrap();
    let (_, list) = first.split_once("id=\"first\"").unwrap();
    let at = |words: &str| list.find(words).unwrap();
    assert!(at("rows unwritten") < at("dense end in noise") && at("dense end in noise") < at("range beyond grades"));
    assert_eq!(list.matches("rows 812 to 1500").count(), 1);
    assert!(list.contains("strip-1</bdi></a>, <a href=\"#frame-3\"><bdi>strip-2"));
    // With the frames once more, and then only where it was told.
    assert_eq!(rest.matches("rows 812 to 1500").count(), 1);
    assert!(rest.contains("rows unwritten</b>: see <a href=\"#frame-2\"><bdi>strip-1"));
    assert!(rest.contains("frame 1 will print flat") && rest.contains("frame 2 will print flat"));
}

#[test]
fn a_batch_without_frames_says_so() {
    let page = page(&Logbook::default());
    assert!(page.contains("No frame came of this batch.") && page.contains("A batch: logbook"));
    assert!(page.contains("every scan went well"));
}

#[test]
fn what_is_not_known_is_said_and_not_drawn() {
    let bare = Entry { name: "sheet-07".to_owned(), net: entry("").net, ..Entry::default() };
    let page = page(&Logbook { entries: vec![bare], ..Logbook::default() });
    for words in
        ["no proof", "none: densities count from full scale", "run the batch with --force", "No frame has a base"]
    {
        assert!(page.contains(words), "{words}");
    }
    let said = without_data(&page);
    assert!(!said.contains("NaN") && !said.contains("inf"));
}

#[test]
fn notes_that_cannot_be_read_are_to_be_put_right_and_not_forced() {
    let why = Some("line 3: no such key".to_owned());
    let torn = Entry { name: "sheet-07".to_owned(), net: entry("").net, notes_wrong: why, ..Entry::default() };
    let page = page(&Logbook { entries: vec![torn], ..Logbook::default() });
    assert!(page.contains("its notes cannot be read: line 3: no such key. Put them right, then run the batch again."));
    assert!(!page.contains("--force"));
}
