//! `dryside proof`: proof sheets laid again from what a batch left.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use crate::light::PixelsPerInch;
use crate::notes::{Mark, Notes, Sidecar};
use crate::scan::Halt;
use crate::sheet::{GridSize, Lay, LooksLay, PageSize};

use super::again::make_again;
use super::each_frame::Seeing;
use super::folders::{self, Folders, PROOF, SHEETS, STRAIGHT, real};
use super::gather::refuse_scans;
use super::linked;
use super::loupe::Behind;
use super::record;
use super::sheet_parts::Kinds;
use super::sheets::{self, PROOF_SHEET, STOPPED, Wanted};
use super::shown::Shown;
use super::which;

/// What is asked for.
#[derive(Clone, Debug)]
pub struct ProofOrder {
    /// Folders of results, notes, frames.
    pub frames: Vec<PathBuf>,
    /// Only those that carry this mark.
    pub marked: Option<Mark>,
    /// The paper; that of the batch if not said.
    pub page: Option<PageSize>,
    /// Columns and rows; chosen if not said.
    pub grid: Option<GridSize>,
    /// Whether frames lie in their true size, as on a contact sheet.
    pub contact: bool,
    /// Which kinds of pages.
    pub kinds: Kinds,
    /// Whether pages of the loupe come behind them.
    pub loupe: bool,
    /// Resolution of the JPEG pages.
    pub ppi: PixelsPerInch,
    /// The folder of the scans, to make pictures again that are gone.
    pub scans: Option<PathBuf>,
    /// Where the sheet goes; into the folder of results if there is one.
    pub out: Option<PathBuf>,
    /// Lay it again, also where other hands changed it.
    pub force: bool,
    /// Bytes of memory that looking through the loupe may use.
    pub memory: u64,
}

/// What became of it.
#[derive(Clone, Debug, Default)]
pub struct ProofOutcome {
    /// Whether it is a contact sheet.
    pub contact: bool,
    /// How many frames are on the sheet.
    pub frames: usize,
    /// The PDF, and the JPEG pages.
    pub files: Vec<PathBuf>,
    /// Whether it was laid, or was there as it would be.
    pub laid: bool,
    /// What a person should know, each with the notes that it is about.
    pub warnings: Vec<String>,
    /// What is not on the sheet, and why.
    pub failures: Vec<String>,
}

/// What was read of a scan.
struct OfScan {
    notes: Notes,
    shown: Vec<Shown>,
    /// How many frames it has.
    frames: usize,
}

/// A page as a picture is no longer than this, in pixels: common programs open none that is (common practice).
const LONGEST_PAGE: f64 = 16_384.0;

/// Lays a proof sheet from results, until `halt` is asked. Frames that cannot be shown are told; the others are laid.
/// Under the loupe, `tell` learns the name of each.
///
/// # Errors
/// When there is nothing to lay, the paper is too small, the sheet cannot be saved, or it
/// is halted.
pub fn lay_proofs(order: &ProofOrder, halt: &Halt, tell: &dyn Fn(&str)) -> Result<ProofOutcome, String> {
    let mut outcome = ProofOutcome { contact: order.contact, ..ProofOutcome::default() };
    let wanted;
    (wanted, outcome.failures) = which::all(&order.frames);

    // 1. All frames that are meant, each once, in the order of what was typed.
    let mut scans: Vec<OfScan> = Vec::new();
    for of in wanted {
        match read(&of.notes, &of.results(), &mut outcome.warnings) {
            Err(error) => outcome.failures.push(error),
            Ok(mut scan) => {
                let frames = scan.frames;
                let marked = |shown: &Shown| order.marked.is_none_or(|mark| shown.marked.mark == Some(mark));
                let is_meant = |shown: &Shown| of.frame.is_none_or(|number| number == shown.number) && marked(shown);
                scan.shown.retain(is_meant);
                if of.frame.is_some_and(|number| !(1..=frames).contains(&number)) {
                    let notes = of.notes.display();
                    outcome.failures.push(format!("{notes}: there is no such frame, this scan has {frames}"));
                }
                scans.push(scan);
            }
        }
    }
    outcome.warnings.dedup();
    let of: usize = scans.iter().map(|scan| scan.frames).sum();
    scans.retain(|scan| !scan.shown.is_empty());
    let Some(first) = scans.first() else { return Err(nothing(order, &outcome)) };

    // 2. Where the sheet goes, and that nobody else is at work there.
    let results: BTreeSet<PathBuf> = scans.iter().map(|scan| scan.shown[0].folders.out().to_owned()).collect();
    let out = match (&order.out, results.first()) {
        (Some(out), _) => out.clone(),
        (None, Some(only)) if results.len() == 1 => only.clone(),
        _ => return Err("several folders of results: say with --out where the sheet shall go".to_owned()),
    };
    let folders = Folders::of_results(&out, &title(&scans));
    let names: Vec<String> = scans.iter().map(|scan| scan.notes.scan.file.clone()).collect();
    refuse_scans(folders.out(), &names).map_err(|e| e.to_string())?;
    for results in results.iter().chain([&out]) {
        // Links are seen through; in a folder of its own a picture may be called as its scan is.
        let links = [SHEETS, PROOF, STRAIGHT].map(|name| (real(&results.join(name)), real(results).join(name)));
        let mut led = links.iter().filter(|(to, own)| to != own);
        led.try_for_each(|(to, _)| refuse_scans(to, &names)).map_err(|e| e.to_string())?;
    }
    let others = results.iter().filter(|results| *results != folders.out());
    let _held: Vec<_> = others.map(|out| folders::hold(out)).collect::<Result<_, _>>().map_err(|e| e.to_string())?;
    let _out = folders.prepare(&[SHEETS], None).map_err(|e| e.to_string())?;

    // 3. What of it cannot be is told before there is work.
    let page = || first.notes.record.settings.get("page").and_then(|word| word.parse().ok());
    let page = order.page.or_else(page).unwrap_or(PageSize::A4);
    refuse_large_pages(page, order.ppi)?;
    let behind = match order.loupe {
        true => Some(Behind {
            scans: order.scans.as_deref(),
            lay: LooksLay::new(page, order.ppi).map_err(|e| e.to_string())?,
            seeing: Seeing { memory: order.memory, halt, tell },
        }),
        false => None,
    };

    // 4. Pictures that are gone, and then the sheet.
    let mut shown: Vec<Shown> = scans.into_iter().flat_map(|scan| scan.shown).collect();
    if order.contact {
        outcome.failures.extend(without_size(&mut shown)?);
    }
    outcome.failures.extend(make_again(&mut shown, order.kinds.straight, order.scans.as_deref(), halt));
    if halt.is_asked() {
        return Err(STOPPED.to_owned());
    }
    let sheet = if order.contact { "contact-sheet" } else { PROOF_SHEET };
    let choice = Choice::of(order, &shown, of);
    let wanted = Wanted {
        stem: choice.as_ref().map_or_else(|| sheet.to_owned(), |choice| format!("{sheet}-{}", choice.name)),
        lay: Lay { page, grid: order.grid, contact: order.contact },
        kinds: order.kinds,
        ppi: order.ppi,
        force: order.force,
        chosen: choice.map(|choice| choice.words),
    };
    let saved = sheets::save(&shown, &wanted, &folders, behind.as_ref(), halt)?;
    outcome.failures.extend(saved.failures);
    Ok(ProofOutcome { frames: shown.len(), files: saved.files, laid: saved.laid, ..outcome })
}

/// Takes out the frames whose size on film is not known, and tells each of them.
///
/// # Errors
/// When there is no other.
fn without_size(shown: &mut Vec<Shown>) -> Result<Vec<String>, String> {
    let unknown = |shown: &Shown| shown.failure().is_none() && shown.on_film.is_none();
    let why = "its scan does not say its resolution, so its size on film is not known";
    if let Some(first) = shown.first().filter(|_| shown.iter().all(unknown)) {
        return Err(format!("{}: {why}: lay the sheet without --contact", first.row.frame));
    }
    let told = |shown: &Shown| format!("{}: {why}: it is not on the sheet", shown.row.frame);
    let troubles = shown.iter().filter(|shown| unknown(shown)).map(told).collect();
    shown.retain(|shown| !unknown(shown));
    Ok(troubles)
}

/// That no page as a picture is longer than common programs open.
fn refuse_large_pages(page: PageSize, ppi: PixelsPerInch) -> Result<(), String> {
    let longer = page.width().max(page.height());
    let pixels = longer.pixels(ppi).round();
    if pixels <= LONGEST_PAGE {
        return Ok(());
    }
    let most = (LONGEST_PAGE * ppi.value() / longer.pixels(ppi)).floor();
    let (what, common) =
        (format!("a page of {page} at {} pixels an inch", ppi.value()), "common programs open none longer than");
    Err(format!("{what} is a picture of {pixels} pixels, and {common} {LONGEST_PAGE}: use --ppi {most} or less"))
}

/// A sheet of some frames of all.
struct Choice {
    /// What its files are called after.
    name: String,
    /// What its head says.
    words: String,
}

impl Choice {
    /// Nothing if all frames of the results are meant. By a mark, or of frames that were typed: several are called
    /// after the first and by eight letters of all their names, so that one choice leaves the sheet of another alone.
    fn of(order: &ProofOrder, shown: &[Shown], of: usize) -> Option<Self> {
        let typed = order.frames.iter().any(|typed| !typed.is_dir());
        let count = shown.len();
        let several = |count: usize| if count == 1 { "1 frame".to_owned() } else { format!("{count} frames") };
        let names: Vec<String> =
            shown.iter().map(|shown| format!("{}/{}", shown.folders.name(), shown.row.frame)).collect();
        let of_all = || blake3::hash(names.join("\n").as_bytes()).to_hex()[..8].to_owned();
        match (order.marked, typed, shown) {
            (None, false, _) => None,
            (Some(mark), false, _) => {
                let words = format!("{count} of {}, marked {mark}", several(of));
                Some(Self { name: format!("marked-{mark}"), words })
            }
            (None, true, [one]) => Some(Self { name: short(&one.row.frame), words: one.row.frame.clone() }),
            (None, true, _) => {
                let name = format!("{}-and-{}-more-{}", short(&shown[0].row.frame), count - 1, of_all());
                Some(Self { name, words: format!("{} chosen", several(count)) })
            }
            (Some(mark), true, _) => {
                let words = format!("{count} of {} chosen, marked {mark}", several(of));
                Some(Self { name: format!("marked-{mark}-{}", of_all()), words })
            }
        }
    }
}

/// A frame's name, as long as leaves room in the name of a file.
fn short(name: &str) -> String {
    let end = name.char_indices().map(|(at, c)| at + c.len_utf8()).take_while(|end| *end <= 100).last();
    name[..end.unwrap_or_default()].to_owned()
}

/// What the notes of a scan tell of its frames.
fn read(path: &Path, results: &Path, warnings: &mut Vec<String>) -> Result<OfScan, String> {
    let wrong = |e: &dyn std::fmt::Display| format!("{}: {e}", path.display());
    let sidecar = Sidecar::open(path).map_err(|e| wrong(&e))?;
    let notes = sidecar.ours().filter(|notes| !notes.measured.frames.is_empty());
    let notes =
        notes.ok_or_else(|| wrong(&"these notes hold no measured frame: run dryside batch on the scans first"))?;
    let unlinked = linked::first(&sidecar, path).err();
    let by_hand = record::by_hand(&sidecar.marks(), notes.measured.frames.len(), unlinked.as_ref());
    warnings.extend(by_hand.iter().map(|warning| format!("{}: {warning}", path.display())));
    let folders = Folders::of_results(results, &notes.scan.folder);
    let shown = Shown::of_notes(&sidecar, &notes, path, &folders);
    Ok(OfScan { frames: shown.len(), notes, shown })
}

/// The folders of the scans, each once.
fn title(scans: &[OfScan]) -> String {
    let mut names: Vec<&str> = Vec::new();
    for scan in scans {
        if !names.contains(&scan.notes.scan.folder.as_str()) {
            names.push(&scan.notes.scan.folder);
        }
    }
    names.join(", ")
}

/// That there is nothing to lay, and why.
fn nothing(order: &ProofOrder, outcome: &ProofOutcome) -> String {
    match (order.marked, &outcome.failures[..]) {
        (Some(mark), []) => which::none_marked(mark),
        (_, [first, ..]) => first.clone(),
        (None, []) => "no frames: give a folder of results, as ropewalk-out".to_owned(),
    }
}
