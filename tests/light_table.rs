//! The light table as a browser meets it: what it shows is what scans and notes hold, what is decided stands in the
//! notes, and nobody else gets in.
#![allow(clippy::unwrap_used)]
#![cfg(unix)]

mod bench;

use std::fs;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};

use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use bench::{dryside, printed, scan_of, sheet_codes};
use serde_json::Value;

/// A batch of one scan that stands on its side, and its light table.
struct Table {
    _top: tempfile::TempDir,
    scan: PathBuf,
    out: PathBuf,
    port: u16,
    token: String,
    run: Child,
}

const SIZE: (u32, u32) = (400, 500);

impl Table {
    fn open() -> Self {
        let top = tempfile::tempdir().unwrap();
        let (scans, out) = (top.path().join("scans"), top.path().join("out"));
        fs::create_dir(&scans).unwrap();
        let scan = scans.join("coil.tif");
        scan_of(&scan, SIZE, &sheet_codes(SIZE, 1.0), (600, 6));
        let made = dryside(&[&"batch", &scans, &"--out", &out, &"--encoding", &"linear"]);
        assert!(made.status.success(), "{}", printed(&made));
        let mut command = Command::new(env!("CARGO_BIN_EXE_dryside"));
        let mut run = command.arg("table").arg(&out).stdout(Stdio::piped()).stderr(Stdio::null()).spawn().unwrap();
        let mut line = String::new();
        BufReader::new(run.stdout.take().unwrap()).read_line(&mut line).unwrap();
        let address = line.trim().strip_prefix("light table: http://127.0.0.1:").unwrap();
        let (port, token) = address.trim_end_matches('/').split_once('/').unwrap();
        Self { _top: top, scan, out, port: port.parse().unwrap(), token: token.to_owned(), run }
    }

    /// Sends what a browser would; gives the status and the body.
    fn send(&self, head: &str, body: &str) -> (u16, Vec<u8>) {
        let mut stream = TcpStream::connect(("127.0.0.1", self.port)).unwrap();
        write!(stream, "{head}Connection: close\r\nContent-Length: {}\r\n\r\n{body}", body.len()).unwrap();
        let mut answer = Vec::new();
        stream.read_to_end(&mut answer).unwrap();
        let end = answer.windows(4).position(|four| four == b"\r\n\r\n").unwrap();
        let status = String::from_utf8_lossy(&answer[9..12]).parse().unwrap();
        (status, answer[end + 4..].to_vec())
    }

    fn host(&self) -> String {
        format!("Host: 127.0.0.1:{}\r\n", self.port)
    }

    fn get(&self, path: &str) -> (u16, Vec<u8>) {
        self.send(&format!("GET /{}/{path} HTTP/1.1\r\n{}", self.token, self.host()), "")
    }

    fn json(&self, path: &str) -> Value {
        let (status, body) = self.get(path);
        assert_eq!(status, 200, "{path}: {}", String::from_utf8_lossy(&body));
        serde_json::from_slice(&body).unwrap()
    }

    fn post(&self, path: &str, body: &str) -> (u16, Value) {
        let kind = "Content-Type: application/json\r\n";
        let (status, body) = self.send(&format!("POST /{}/{path} HTTP/1.1\r\n{}{kind}", self.token, self.host()), body);
        let text = String::from_utf8_lossy(&body).into_owned();
        (status, serde_json::from_str(&text).unwrap_or(Value::String(text)))
    }

    fn notes(&self) -> PathBuf {
        self.out.join("flat/coil.notes.toml")
    }

    /// Sends fields of the shot notes of the first frame.
    fn shot(&self, seen: &str, fields: &str) -> (u16, Value) {
        self.post("frame/0/shot", &format!("{{\"fields\":{fields},\"revision\":\"{seen}\"}}"))
    }

    /// Runs the batch once more, while the table is open.
    fn batch_again(&self) {
        let made = dryside(&[&"batch", &self.scan.parent().unwrap(), &"--out", &self.out, &"--encoding", &"linear"]);
        assert!(made.status.success(), "{}", printed(&made));
    }

    /// The frames, when the table has become so: it looks at its folder now and then.
    fn until(&self, so: impl Fn(&Value) -> bool) -> Vec<Value> {
        for _ in 0..200 {
            let batch = self.json("batch");
            if so(&batch) {
                return batch["frames"].as_array().unwrap().clone();
            }
            std::thread::sleep(std::time::Duration::from_millis(50));
        }
        panic!("it did not come to this: {}", self.json("batch"));
    }
}

impl Drop for Table {
    fn drop(&mut self) {
        let _ = self.run.kill();
        let _ = self.run.wait();
    }
}

fn codes(bytes: &[u8]) -> Vec<u16> {
    bytes.chunks_exact(2).map(|two| u16::from_le_bytes([two[0], two[1]])).collect()
}

#[test]
fn nobody_gets_in_who_was_not_told_the_address() {
    let table = Table::open();
    let get = |token: &str, more: &str| table.send(&format!("GET /{token}/batch HTTP/1.1\r\n{more}"), "").0;
    let (own, token) = (table.host(), table.token.as_str());
    assert_eq!(get(token, &own), 200);
    assert_eq!(get(&"0".repeat(32), &own), 404, "another token");
    assert_eq!(get(token, "Host: rope.example\r\n"), 403, "a name that leads here (DNS rebinding)");
    assert_eq!(get(token, &format!("{own}Origin: http://rope.example\r\n")), 403, "another page");
    let plain = format!("POST /{token}/frame/0/mark HTTP/1.1\r\n{own}Content-Type: text/plain\r\n");
    assert_eq!(table.send(&plain, "{\"mark\":\"print\",\"revision\":\"\"}").0, 415, "a form of another page");
    assert_eq!(table.post("frame/0/mark", &format!("{{\"mark\":\"{}\"}}", "x".repeat(70_000))).0, 413);
    for path in ["..%2f..%2fetc%2fpasswd", "frame/99/net", "frame/0/tile?x=9999&y=0&width=4&height=4", "light-table"] {
        assert_eq!(table.get(path).0, 404, "{path}");
    }
    assert!(!fs::read_to_string(table.notes()).unwrap().contains("[marks]"));
}

/// The definition of density, D = -log10 of the transmittance, on the codes of the scan itself, which are linear.
#[test]
fn a_tile_holds_the_net_densities_of_the_scan_pixel_by_pixel_and_upright() {
    let table = Table::open();
    let notes = bench::notes(&table.notes());
    let base = notes["measured"]["base"].as_float().unwrap();
    let (size, scan) = bench::samples(&table.scan);
    let frame = &table.json("batch")["frames"][0];
    let (width, height) = (frame["pixels"][0].as_u64().unwrap(), frame["pixels"][1].as_u64().unwrap());
    assert!(width > height, "it stands on its side (Orientation 6)");
    let corners = notes["measured"]["frames"][0]["corners"].as_array().unwrap();
    let at = |i: usize, k: usize| corners[i][k].as_float().unwrap();
    let (left, bottom) = (at(0, 0).floor() as u32, at(2, 1).ceil() as u32);
    let (status, body) = table.get("frame/0/tile?x=20&y=30&width=40&height=25");
    assert_eq!((status, body.len()), (200, 40 * 25 * 2));
    for (i, code) in codes(&body).into_iter().enumerate() {
        let (x, y) = (20 + i as u32 % 40, 30 + i as u32 / 40);
        // TIFF 6.0, Orientation 6: row 0 is the right side, column 0 the top; so across runs up from the bottom of the
        // file.
        let (column, row) = (left + y, bottom - 1 - x);
        let stored = scan[(row * size.0 + column) as usize];
        let net = -(f64::from(stored) / 65_535.0).log10() - base;
        let expected = (net * 1000.0).round() + 500.0;
        assert!((f64::from(code) - expected).abs() <= 1.0, "{x},{y}: {code}, {expected}");
    }
}

#[test]
fn the_picture_in_a_grade_is_that_of_its_table_and_darker_with_more_exposure() {
    let table = Table::open();
    let net = codes(&table.get("frame/0/net?edge=200").1);
    let developed = |asked: &str| {
        let of = table.json(&format!("frame/0/printed?{asked}"));
        let screen = STANDARD.decode(of["screen"].as_str().unwrap()).unwrap();
        let by_table: Vec<u8> = net.iter().map(|code| screen[usize::from(*code)]).collect();
        assert_eq!(table.get(&format!("frame/0/developed?edge=200&{asked}")), (200, by_table.clone()), "{asked}");
        let sum: u64 = by_table.iter().map(|grey| u64::from(*grey)).sum();
        (sum as f64 / by_table.len() as f64, of)
    };
    let (middle, of) = developed("grade=2");
    assert_eq!(of["grade"], "2");
    let (more, _) = developed("grade=2&exposure=%2B2/3");
    let (less, _) = developed("grade=2&exposure=-2/3");
    assert!(less > middle + 5.0 && middle > more + 5.0, "{less} {middle} {more}");
    // docs/physics.md: zone V has L* 51 on the glossy paper; by sRGB (IEC 61966-2-1) that is a grey of 121.6. The place
    // is read in light through 3 mm of film, round; here through a square of as many pixels. A zone is some 24 greys.
    let (_, placed) = developed("grade=2&place=at%3D0.5,0.5%3DV");
    let screen = STANDARD.decode(placed["screen"].as_str().unwrap()).unwrap();
    let (width, height) = (200, net.len() / 200);
    let around = |middle: usize| middle - 14..middle + 14;
    let pixels = around(height / 2).flat_map(|y| around(width / 2).map(move |x| (x, y)));
    let light = |(x, y): (usize, usize)| 10f64.powf((500.0 - f64::from(net[y * width + x])) / 1000.0);
    let light = pixels.map(light).sum::<f64>() / (28.0 * 28.0);
    let grey = screen[(500.0 - 1000.0 * light.log10()).round() as usize];
    assert!((f64::from(grey) - 121.6).abs() < 8.0, "{grey}");
    for zone in table.json("batch")["zones"].as_array().unwrap() {
        assert_eq!(
            table.get(&format!("frame/0/printed?place=at%3D0.5,0.5%3D{}", zone.as_str().unwrap())).0,
            200,
            "{zone}"
        );
    }
    assert_eq!(table.get("frame/0/printed?grade=9").0, 422);
    developed("straight");
}

#[test]
fn what_is_decided_stands_in_the_notes_and_what_changed_meanwhile_is_not_overwritten() {
    let table = Table::open();
    let hand = "[shot]\nsubject = 'coil'  # by hand\n";
    let text = fs::read_to_string(table.notes()).unwrap().replacen("[shot]\n", hand, 1);
    write(&table.notes(), &text);
    let frame = || table.json("batch")["frames"][0].clone();
    let seen = frame()["revision"].as_str().unwrap().to_owned();
    let (status, marked) = table.post(
        "frame/0/mark",
        &format!("{{\"mark\":\"print\",\"remark\":\"burn the rafters\",\"revision\":\"{seen}\"}}"),
    );
    assert_eq!((status, marked["mark"].as_str()), (200, Some("print")));
    let text = fs::read_to_string(table.notes()).unwrap();
    assert!(text.contains(hand) && text.contains("burn the rafters"), "{text}");
    // A second page that saw the older notes.
    let (status, now) = table.post("frame/0/mark", &format!("{{\"mark\":\"skip\",\"revision\":\"{seen}\"}}"));
    assert_eq!((status, now["mark"].as_str(), now["remark"].as_str()), (409, Some("print"), Some("burn the rafters")));
    assert_eq!(fs::read_to_string(table.notes()).unwrap(), text);
    let seen = now["revision"].as_str().unwrap();
    let words = format!("{{\"grade\":\"3 1/2\",\"exposure\":\"-1/3\",\"revision\":\"{seen}\"}}");
    let (status, graded) = table.post("frame/0/print", &words);
    assert_eq!((status, graded["grade"].as_str()), (200, Some("3 1/2")), "{graded}");
    let seen = graded["revision"].as_str().unwrap();
    let (status, titled) = table.shot(seen, "{\"title\":\"Store room\"}");
    assert_eq!((status, titled["title"].as_str()), (200, Some("Store room")), "{titled}");
    let notes = bench::notes(&table.notes());
    assert_eq!(notes["settings"]["grade"].as_str(), Some("3 1/2"));
    assert_eq!(titled["own"].to_string(), "[\"3 1/2\",\"-1/3\",null]");
    // Placed by a spot, it keeps its grade; and what is taken away stands there no more.
    let seen = titled["revision"].as_str().unwrap();
    let words = format!("{{\"place\":\"at=0.5,0.5=VI\",\"exposure\":null,\"revision\":\"{seen}\"}}");
    let (status, placed) = table.post("frame/0/print", &words);
    assert_eq!(
        (status, placed["grade"].as_str(), placed["exposure"].as_str()),
        (200, Some("3 1/2"), Some("0")),
        "{placed}"
    );
    assert!(bench::notes(&table.notes())["settings"].get("exposure").is_none());
    // A batch goes by it.
    let made = dryside(&[&"batch", &table.scan.parent().unwrap(), &"--out", &table.out, &"--encoding", &"linear"]);
    assert!(printed(&made).contains("3 1/2"), "{}", printed(&made));
}

#[test]
fn shot_notes_are_written_field_by_field_and_what_cannot_be_read_is_told() {
    let table = Table::open();
    let hand = "# north light\n[shot]\nlens = \"the long one\" # borrowed\nfilm = 'ortho'\n";
    let text = fs::read_to_string(table.notes()).unwrap().replacen("[shot]\n", hand, 1);
    write(&table.notes(), &text);
    let batch = table.json("batch");
    assert!(batch["shot"].as_array().unwrap().iter().any(|name| name == "development.developer"), "{batch}");
    let frame = &batch["frames"][0];
    assert_eq!(frame["shot"], serde_json::json!({ "film": "ortho" }), "of the fields that are written here");
    let seen = frame["revision"].as_str().unwrap();
    for (fields, told) in [
        ("{\"date\":\"the day after\"}", "date"),
        ("{\"rating\":\"5\"}", "dryside notes set"),
        ("{\"scan.file\":\"x\"}", "dryside notes set"),
    ] {
        let (status, why) = table.shot(seen, fields);
        assert!(status == 422 && why.as_str().unwrap().contains(told), "{fields}: {status} {why}");
    }
    assert_eq!(fs::read_to_string(table.notes()).unwrap(), text, "nothing was written");
    let (status, now) =
        table.shot(seen, "{\"date\":\"2026-11-25\",\"development.developer\":\"two-bath\",\"film\":\"\"}");
    assert_eq!((status, now["date"].as_str()), (200, Some("2026-11-25")), "{now}");
    assert_eq!(now["shot"], serde_json::json!({ "date": "2026-11-25", "development.developer": "two-bath" }));
    let text = fs::read_to_string(table.notes()).unwrap();
    assert!(text.contains("# north light\n[shot]\nlens = \"the long one\" # borrowed\n"), "{text}");
    let (status, other) = table.shot(seen, "{\"film\":\"pan\"}");
    assert_eq!((status, other["revision"].as_str()), (409, now["revision"].as_str()), "a page that saw older notes");
}

/// docs/notes-format.md: a rescan takes up the first scan's words, and they are not written into its notes.
#[test]
fn words_of_a_first_scan_are_shown_beside_those_of_the_rescan_and_never_written_there() {
    let table = Table::open();
    scan_of(&table.scan.with_file_name("again.tif"), SIZE, &sheet_codes(SIZE, 0.8), (600, 6));
    table.batch_again();
    table.until(|batch| batch["frames"].as_array().unwrap().len() == 2);
    let of_first = |words: &str| {
        let text = fs::read_to_string(table.notes()).unwrap();
        let start = text.find("[shot]\n").unwrap() + "[shot]\n".len();
        let end = start + text[start..].find("[scan]").unwrap();
        write(&table.notes(), &format!("{}{words}\n{}", &text[..start], &text[end..]));
    };
    of_first("title = 'Coil of hemp'\nfilm = 'ortho'\n");
    let notes = table.out.join("flat/again.notes.toml");
    let text = fs::read_to_string(&notes).unwrap();
    let text = text.replacen("[shot]\n", "[shot]\nrescan-of = 'coil'\nsubject = 'coil, drier'\n", 1);
    write(&notes, &text);
    let frame = table.json("batch")["frames"][1].clone();
    assert_eq!(frame["shot"], serde_json::json!({ "subject": "coil, drier" }), "its own");
    assert_eq!(frame["of_first"], serde_json::json!({ "title": "Coil of hemp", "film": "ortho" }));
    assert_eq!(frame["title"], "Coil of hemp");
    let shot = |seen: &Value, film: &str| {
        let body = format!("{{\"fields\":{{\"film\":\"{film}\"}},\"revision\":{}}}", seen["revision"]);
        let (status, frame) = table.post("frame/1/shot", &body);
        assert_eq!(status, 200, "{frame}");
        frame
    };
    let pan = shot(&frame, "pan");
    assert_eq!(pan["shot"], serde_json::json!({ "subject": "coil, drier", "film": "pan" }));
    assert_eq!(pan["of_first"], serde_json::json!({ "title": "Coil of hemp" }));
    // What an undo sends: nothing stood there of its own.
    assert_eq!(shot(&pan, "")["of_first"], frame["of_first"]);
    assert_eq!(fs::read_to_string(&notes).unwrap(), text);
    // And what is written of the first scan is told of the rescan, too.
    let mut stream = TcpStream::connect(("127.0.0.1", table.port)).unwrap();
    stream.set_read_timeout(Some(std::time::Duration::from_secs(60))).unwrap();
    write!(stream, "GET /{}/events HTTP/1.1\r\n{}\r\n", table.token, table.host()).unwrap();
    let mut lines = BufReader::new(stream).lines().map(Result::unwrap);
    assert!(lines.by_ref().any(|line| line.contains("text/event-stream")));
    of_first("title = 'Coil of sisal'\n");
    let told = lines.by_ref().find(|line| line.contains("\"name\":\"again\"") && line.contains("sisal")).unwrap();
    assert!(told.contains("\"of_first\":{\"title\":\"Coil of sisal\"}"), "{told}");
}

/// The same codes, in a TIFF whose rows are read where they lie, and in a PNG, which can only be unpacked from its top
/// (ISO/IEC 15948: one Deflate stream).
#[test]
fn a_scan_that_is_unpacked_from_its_top_shows_the_same() {
    let table = Table::open();
    let folder = table.scan.parent().unwrap();
    let codes_of = sheet_codes(SIZE, 1.0);
    scan_of(&folder.join("plain.tif"), SIZE, &codes_of, (600, 1));
    let mut png = png::Encoder::new(fs::File::create(folder.join("packed.png")).unwrap(), SIZE.0, SIZE.1);
    png.set_color(png::ColorType::Grayscale);
    png.set_depth(png::BitDepth::Sixteen);
    // 600 pixels an inch.
    png.set_pixel_dims(Some(png::PixelDimensions { xppu: 23_622, yppu: 23_622, unit: png::Unit::Meter }));
    let bytes: Vec<u8> = codes_of.iter().flat_map(|code| code.to_be_bytes()).collect();
    png.write_header().unwrap().write_image_data(&bytes).unwrap();
    table.batch_again();
    let frames = table.until(|batch| batch["frames"].as_array().unwrap().len() == 3);
    let id = |name: &str| frames.iter().position(|frame| frame["name"] == name).unwrap();
    let (plain, packed) = (id("plain"), id("packed"));
    assert_eq!(frames[plain]["pixels"], frames[packed]["pixels"]);
    // Asked at once, before anything is unpacked: who waits for what another unpacks gets the same.
    let edges = [100, 150, 250, 400];
    let ask = |edge: u32| table.get(&format!("frame/{packed}/net?edge={edge}"));
    let at_once: Vec<_> = std::thread::scope(|scope| {
        let asked: Vec<_> = edges.iter().map(|edge| scope.spawn(|| ask(*edge))).collect();
        asked.into_iter().map(|asked| asked.join().unwrap()).collect()
    });
    for (edge, (status, at_once)) in edges.into_iter().zip(at_once) {
        assert_eq!((status, at_once), ask(edge), "{edge}");
        assert_eq!(status, 200);
    }
    for part in ["x=0&y=0&width=50&height=40", "x=100&y=300&width=64&height=32", "x=0&y=100&width=20&height=1"] {
        let [from_rows, from_top] = [plain, packed].map(|id| table.get(&format!("frame/{id}/tile?{part}")));
        assert_eq!((from_rows.0, &from_rows.1), (200, &from_top.1), "{part}");
    }
    for edge in [200, 1600] {
        let [one, other] = [plain, packed].map(|id| codes(&table.get(&format!("frame/{id}/net?edge={edge}")).1));
        assert_eq!(one.len(), other.len());
        // One is rounded to thousandths of a D once more, before it is reduced.
        assert!(one.iter().zip(&other).all(|(a, b)| a.abs_diff(*b) <= 1), "{edge}");
    }
}

#[test]
fn frames_that_a_batch_adds_are_told_to_a_page_that_is_open_and_so_is_what_it_warns_of() {
    let table = Table::open();
    let mut stream = TcpStream::connect(("127.0.0.1", table.port)).unwrap();
    stream.set_read_timeout(Some(std::time::Duration::from_secs(60))).unwrap();
    write!(stream, "GET /{}/events HTTP/1.1\r\n{}\r\n", table.token, table.host()).unwrap();
    let mut lines = BufReader::new(stream).lines().map(Result::unwrap);
    assert!(lines.by_ref().any(|line| line.contains("text/event-stream")));
    // Its name stands before that of the first, which keeps its place all the same.
    let other = table.scan.with_file_name("anvil.tif");
    scan_of(&other, SIZE, &sheet_codes(SIZE, 0.8), (600, 6));
    table.batch_again();
    let told = lines.by_ref().find(|line| line.starts_with("data:") && line.contains("\"id\":1")).unwrap();
    assert!(told.contains("\"name\":\"anvil\""), "{told}");
    let (status, picture) = table.get("frame/1/net?edge=100");
    assert!(status == 200 && !picture.is_empty());
    assert_eq!(table.json("batch")["frames"][0]["name"], "coil");
    let notes = table.out.join("flat/anvil.notes.toml");
    let text = fs::read_to_string(&notes).unwrap();
    write(&notes, &text.replacen("[shot]\n", "[shot]\nrescan-of = \"windlass\"\n", 1));
    let frames = table.until(|batch| batch["frames"][1]["flags"].to_string().contains("rescan-unlinked"));
    let flags = frames[1]["flags"].to_string();
    assert!(flags.contains("windlass") && !frames[0]["flags"].to_string().contains("rescan"), "{flags}");
}

/// docs/notes-format.md: a scan that was renamed keeps its notes under its new name, known by its codes.
#[test]
fn a_scan_that_is_renamed_keeps_its_place_under_its_new_name_and_one_whose_notes_are_gone_goes() {
    let mut table = Table::open();
    let seen = table.json("batch")["frames"][0].clone();
    table.post("frame/0/mark", &format!("{{\"mark\":\"hold\",\"revision\":{}}}", seen["revision"]));
    let renamed = table.scan.with_file_name("bight.tif");
    fs::rename(&table.scan, &renamed).unwrap();
    table.scan = renamed;
    table.batch_again();
    let frames = table.until(|batch| batch["frames"][0]["scan"] == "bight.tif");
    assert_eq!(frames.len(), 1, "{frames:?}");
    let told = |key: &str| frames[0][key].clone();
    assert_eq!((told("name"), told("mark"), told("gone")), ("bight".into(), "hold".into(), false.into()));
    assert_eq!((told("error"), told("away")), (Value::Null, Value::Null));
    assert_eq!(table.get("frame/0/tile?x=0&y=0&width=8&height=8").0, 200);
    let (notes, kept) = (table.out.join("flat/bight.notes.toml"), table.out.join("kept"));
    fs::rename(&notes, &kept).unwrap();
    table.until(|batch| batch["frames"][0]["gone"] == true && batch["frames"][0]["error"] == Value::Null);
    fs::rename(&kept, &notes).unwrap();
    table.until(|batch| batch["frames"][0]["gone"] == false && batch["frames"][0]["mark"] == "hold");
}

#[test]
fn what_a_page_sends_is_taken_as_it_is_or_not_at_all() {
    let table = Table::open();
    let seen = table.json("batch")["frames"][0]["revision"].as_str().unwrap().to_owned();
    let text = fs::read_to_string(table.notes()).unwrap();
    for (path, words) in [
        ("frame/0/mark", "\"mark\":\"print\",\"stars\":5"),
        ("frame/0/shot", "\"fields\":{},\"title\":\"Coil\""),
        ("frame/0/print", "\"grade\":\"3\",\"contrast\":\"3\""),
    ] {
        let (status, why) = table.post(path, &format!("{{{words},\"revision\":\"{seen}\"}}"));
        assert!(status == 422 && why.as_str().unwrap().contains("unknown field"), "{path}: {status} {why}");
    }
    for path in ["do/prints", "do/sheets", "do/stop", "do/put-away"] {
        let (status, why) = table.post(path, "{\"size\":\"8x6cm\",\"border\":\"5mm\"}");
        assert!(status == 422 && why.as_str().unwrap().contains("unknown field"), "{path}: {status} {why}");
    }
    assert_eq!(fs::read_to_string(table.notes()).unwrap(), text);
}

#[test]
fn prints_are_made_on_the_sheet_that_is_asked_for_and_one_that_is_none_is_refused_in_the_commands_words() {
    let table = Table::open();
    let batch = table.json("batch");
    assert_eq!(batch["sizes"], serde_json::json!(["18x13cm", "24x18cm", "30x24cm", "40x30cm"]));
    assert_eq!(batch["size"], "30x24cm");
    table.post("frame/0/mark", &format!("{{\"mark\":\"print\",\"revision\":{}}}", batch["frames"][0]["revision"]));
    let (status, why) = table.post("do/prints", "{\"size\":\"a4\"}");
    let by_command = printed(&dryside(&[&"print", &table.out, &"--size", &"a4"]));
    assert!(status == 422 && by_command.contains(why.as_str().unwrap()), "{status} {why}: {by_command}");
    let order = |size: &str| {
        assert_eq!(table.post("do/prints", &format!("{{\"size\":\"{size}\"}}")).0, 202);
        table.until(|batch| batch["work"]["running"] == false);
        table.json("batch")["work"].clone()
    };
    // Too large for its pixels: told by its own line, as the command tells it.
    let large = order("30x24cm");
    let why = large["failures"][0].as_str().unwrap();
    let by_command = printed(&dryside(&[&"print", &table.out, &"--marked", &"print", &"--size", &"30x24cm"]));
    assert!(large["well"] == false && by_command.contains(why), "{large}: {by_command}");
    assert!(order("15 x 12 mm")["well"] == true);
    let made: Vec<_> = fs::read_dir(table.out.join("print")).unwrap().map(|file| file.unwrap().file_name()).collect();
    assert_eq!(made, ["coil-15x12mm.tif"]);
    // Once it is put away nobody is told of it again.
    assert_eq!(table.post("do/put-away", "{}").0, 202);
    assert_eq!(table.json("batch")["work"], Value::Null);
}

/// The places are counted by hand in the text that is written here.
#[test]
fn what_cannot_be_read_is_told_with_its_place_and_a_field_is_shown_as_it_is_written() {
    let table = Table::open();
    let text = fs::read_to_string(table.notes()).unwrap();
    let with = |words: &str| {
        write(&table.notes(), &format!("{words}{}", &text[text.find("[scan]\n").unwrap()..]));
        table.json("batch")["frames"][0].clone()
    };
    let untouched = with("");
    for (words, told) in [
        ("[shot]\nfilm = pan sheet\n", "line 2, column 8: words, and fractions such as \"1/3\", stand in quotes"),
        ("[shot]\nfilm = \"pan\n", "line 2, column 12: these quotes are not closed in their line"),
        ("[settings]\ngrade = \"9\"\n\n", "line 2, column 9: [settings] grade: \"9\" is no grade: use one of 00, 0"),
    ] {
        let error = with(words)["error"].as_str().unwrap().to_owned();
        assert!(error.starts_with(&format!("coil.notes.toml: {told}")), "{error}");
        let checked = printed(&dryside(&[&"notes", &"check", &table.notes()]));
        assert!(checked.contains(told), "as notes check says it: {checked}");
    }
    let frame = with("[shot]\ntitle = [\"a\", \"b\"]\ndate = \"the day after\"\naperture = \"f/banana\"\n");
    assert_eq!(frame["error"], Value::Null);
    assert_eq!(frame["shot"], serde_json::json!({ "title": "[\"a\", \"b\"]", "date": "the day after" }));
    assert!(
        frame["unread"]["date"].as_str().unwrap().starts_with("line 3, column 8: date: \"the day after\" is no date")
    );
    assert!(frame["unread"]["title"].as_str().unwrap().starts_with("line 2, column 9: title: "));
    // One that has no line on the slip, too.
    assert!(frame["unread"]["aperture"].as_str().unwrap().starts_with("line 4, column 12: aperture: "), "{frame}");
    assert_eq!(frame["flags"], untouched["flags"], "no warning of the scan");
    // What is written there replaces it, and what is not spoken of stays.
    let (status, now) = table.shot(frame["revision"].as_str().unwrap(), "{\"date\":\"2026-11-26\"}");
    assert_eq!((status, now["date"].as_str()), (200, Some("2026-11-26")), "{now}");
    assert!(fs::read_to_string(table.notes()).unwrap().contains("title = [\"a\", \"b\"]\n"));
}

#[test]
fn a_page_learns_what_an_editor_writes_and_why_a_scan_cannot_be_read() {
    let table = Table::open();
    let mut stream = TcpStream::connect(("127.0.0.1", table.port)).unwrap();
    stream.set_read_timeout(Some(std::time::Duration::from_secs(60))).unwrap();
    write!(stream, "GET /{}/events HTTP/1.1\r\n{}\r\n", table.token, table.host()).unwrap();
    let mut lines = BufReader::new(stream).lines().map(Result::unwrap);
    assert!(lines.by_ref().any(|line| line.contains("text/event-stream")));
    let text = fs::read_to_string(table.notes()).unwrap();
    write(&table.notes(), &format!("{text}\n[marks]\n1 = \"hold\"\n"));
    let told = lines.by_ref().find(|line| line.starts_with("data:")).unwrap();
    assert!(told.contains("\"mark\":\"hold\""), "{told}");
    write(&table.notes(), &format!("{text}\n[marks\n"));
    let told = lines.by_ref().find(|line| line.starts_with("data:")).unwrap();
    assert!(told.contains("\"error\":\"") && told.contains("line "), "{told}");
    write(&table.notes(), &text);
    lines.by_ref().find(|line| line.starts_with("data:")).unwrap();
    // Notes that are gone are not made anew.
    let seen = table.json("batch")["frames"][0]["revision"].as_str().unwrap().to_owned();
    fs::rename(table.notes(), table.out.join("kept")).unwrap();
    let (status, _) = table.post("frame/0/mark", &format!("{{\"mark\":\"skip\",\"revision\":\"{seen}\"}}"));
    assert!(status == 422 && !table.notes().exists());
    fs::rename(table.out.join("kept"), table.notes()).unwrap();
    let from_scan = codes(&table.get("frame/0/net?edge=200").1);
    fs::rename(&table.scan, table.scan.with_extension("away")).unwrap();
    let frame = table.json("batch")["frames"][0].clone();
    assert!(frame["away"].as_str().unwrap().contains("coil.tif"), "{frame}");
    // Its flat positive still shows it: to half a step of its codes, some thousandths of a D here.
    let from_flat = codes(&table.get("frame/0/net?edge=200").1);
    assert_eq!(from_flat.len(), from_scan.len());
    assert!(from_flat.iter().zip(&from_scan).all(|(a, b)| a.abs_diff(*b) <= 3), "the same net densities");
    let (status, why) = table.get("frame/0/tile?x=0&y=0&width=8&height=8");
    assert!(status == 404 && String::from_utf8_lossy(&why).contains("--scans"), "{}", String::from_utf8_lossy(&why));
}

fn write(path: &Path, text: &str) {
    fs::write(path, text).unwrap();
}
