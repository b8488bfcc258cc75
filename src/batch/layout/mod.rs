//! `dryside layout`: finished prints on one paper.

mod inscribed;
mod named;
mod opened;
mod reel;
mod titles;
mod written;

use std::path::PathBuf;

use crate::light::{Millimetres, PixelsPerInch};
use crate::scan::Halt;
use crate::sheet::{Captioned, LayoutPaper, Stand, Wished, lacking, layout};

use super::folders::hold;
use opened::{Opened, agree};
use titles::{Noted, noted};

/// What is asked for.
#[derive(Clone, Debug)]
pub struct LayoutOrder {
    /// The prints, in the order in which they are to lie.
    pub prints: Vec<PathBuf>,
    /// The paper.
    pub paper: LayoutPaper,
    /// White at the paper's edges, at least.
    pub margin: Millimetres,
    /// White between prints, at least.
    pub gap: Millimetres,
    /// Where they stand between head and foot.
    pub stand: Stand,
    /// Lines that lead a knife.
    pub cut_marks: bool,
    /// A line around each print.
    pub key_line: bool,
    /// What stands under them.
    pub captions: Captions,
    /// Numbers of the copies, one for all or one for each; none to take those of the notes.
    pub editions: Vec<String>,
    /// The file, or where none is named one in `layout` beside the prints.
    pub out: Option<PathBuf>,
    /// Replace another file of its name.
    pub force: bool,
}

/// What stands under the prints.
#[derive(Clone, Debug, PartialEq)]
pub enum Captions {
    /// What `[shot]` says in the notes that name the print; in this folder of results, if it is said.
    Noted(Option<PathBuf>),
    /// These words: one for all, or one for each. Parts are separated by semicolons, the first is the title.
    Given(Vec<String>),
    /// Nothing.
    None,
}

/// What became of it.
#[derive(Clone, Debug)]
pub struct LayoutDone {
    /// The prints: file, width and height, and how far each lies from the left and from the top of the paper.
    pub prints: Vec<LaidPrint>,
    /// The paper, its width and height as it lies.
    pub paper: (String, Millimetres, Millimetres),
    /// Resolution of all.
    pub ppi: PixelsPerInch,
    /// The files.
    pub files: Vec<PathBuf>,
    /// What a person should know.
    pub advice: Vec<String>,
}

/// A print on the paper.
#[derive(Clone, Debug)]
pub struct LaidPrint {
    /// Its file, without folders.
    pub file: String,
    /// Width and height.
    pub size: (Millimetres, Millimetres),
    /// From the left and from the top of the paper.
    pub at: (Millimetres, Millimetres),
    /// What stands under it.
    pub caption: String,
}

/// Lays prints on one paper and writes the files; `halt` stops it between two bands of a print.
///
/// # Errors
/// When a print cannot be read, two of them do not belong on one paper, the paper is too small, or a file cannot be written:
/// which, and what to do.
pub fn make_layout(order: &LayoutOrder, halt: &Halt) -> Result<LayoutDone, String> {
    let prints = order.prints.iter().map(|path| Opened::open(path, halt)).collect::<Result<Vec<_>, _>>()?;
    let common = agree(&prints)?;
    let mut advice: Vec<String> = prints.iter().filter_map(Opened::untagged).collect();
    let captioned = captions(&prints, order, &mut advice)?;
    // A print may lie there twice.
    advice.sort();
    advice.dedup();
    let wished = Wished {
        paper: order.paper.clone(),
        ppi: common.ppi,
        margin: order.margin,
        gap: order.gap,
        stand: order.stand,
        cut_marks: order.cut_marks,
        key_line: order.key_line,
    };
    let laid = layout(&captioned, &wished).map_err(|misfit| misfit.to_string())?;
    if order.out.is_none() && !prints.iter().all(|print| print.is_ours() || print.lies_among_prints()) {
        return Err("not all of them are prints of dryside: say with --out where the paper shall be saved".to_owned());
    }
    let files = named::files(order, &prints)?;
    if files.pdf.is_some() {
        laid.refuse_long_pdf().map_err(|misfit| misfit.to_string())?;
    }
    // No other run clears away what is in the making.
    let held = named::results(&prints).iter().map(|results| hold(results)).collect::<Result<Vec<_>, _>>();
    let _held = held.map_err(|e| e.to_string())?;
    let results = match &order.captions {
        Captions::Noted(results) => results.as_deref(),
        Captions::Given(_) | Captions::None => None,
    };
    let says = inscribed::inscription(&prints, results);
    written::write(&files, &laid, (&prints, &says), &common, (order.force, halt))?;
    let mm = |pixels: u32| Millimetres::of_pixels(f64::from(pixels), common.ppi);
    let print = |((print, captioned), (left, top)): ((&Opened, &Captioned), (u32, u32))| LaidPrint {
        file: print.name(),
        size: (mm(captioned.size.width), mm(captioned.size.height)),
        at: (mm(left), mm(top)),
        caption: captioned.title.clone(),
    };
    let (width, height) = laid.sides();
    Ok(LayoutDone {
        prints: prints.iter().zip(&captioned).zip(laid.places()).map(print).collect(),
        paper: (order.paper.to_string(), width, height),
        ppi: common.ppi,
        files: files.all().map(PathBuf::from).collect(),
        advice,
    })
}

/// Each print with its caption.
fn captions(prints: &[Opened], order: &LayoutOrder, advice: &mut Vec<String>) -> Result<Vec<Captioned>, String> {
    let each = |words: &[String], what: &str, option: &str| match words.len() {
        count if count == 1 || count == prints.len() || words.is_empty() => Ok(()),
        count => {
            let prints = prints.len();
            Err(format!("{count} {what} for {prints} prints: give one {option} for all, or one for each in order"))
        }
    };
    each(&order.editions, "editions", "--edition")?;
    let given = match &order.captions {
        Captions::Given(words) => &words[..],
        Captions::Noted(_) | Captions::None => &[],
    };
    each(given, "captions", "--caption")?;
    let mut given = given.iter().cycle();
    let mut editions = order.editions.iter().cycle();
    let mut captioned = |print: &Opened| {
        let bare =
            Captioned { size: print.size(), title: String::new(), facts: Vec::new(), indent: Millimetres::default() };
        let edition = editions.next();
        let results = match &order.captions {
            Captions::Noted(results) => results.as_deref(),
            Captions::Given(_) | Captions::None => None,
        };
        let noted = noted(print.path(), results);
        if noted.is_err() {
            advice.extend(print.no_print());
        }
        if order.captions == Captions::None {
            return bare;
        }
        // Under the picture, not under its white border.
        let indent = noted.as_ref().map_or_else(|_| Millimetres::default(), |noted| noted.border);
        if let Some(words) = given.next() {
            let mut parts = words.split(';').map(|part| part.trim().to_owned());
            let title = parts.next().unwrap_or_default();
            return Captioned { title, facts: parts.chain(edition.cloned()).collect(), indent, ..bare };
        }
        match noted.and_then(Noted::titled) {
            Ok((title, noted)) => {
                let edition = edition.cloned().or(noted.edition);
                Captioned { title, facts: noted.year.into_iter().chain(edition).collect(), indent, ..bare }
            }
            Err(why) => {
                advice.push(format!("{}: no caption: {why}, or give --caption", print.name()));
                bare
            }
        }
    };
    let all: Vec<Captioned> = prints.iter().map(&mut captioned).collect();
    for (print, captioned) in prints.iter().zip(&all) {
        let lacking = lacking(&format!("{} {}", captioned.title, captioned.facts.join(" ")));
        if !lacking.is_empty() {
            let name = print.name();
            advice.push(format!(
                "{name}: the sheet's type has no {lacking}: boxes stand for them, so spell it otherwise"
            ));
        }
    }
    Ok(all)
}
