//! Arguments as typed, and what they settle to.

use std::path::PathBuf;

use clap::{Args as Group, Parser, Subcommand};

use crate::batch::{
    Aperture, FitOrder, GOOD, GatherOrder, Meeting, Order, PPI, PaperOrder, PrintOrder, PrintTask, PrintWishes,
    SHARPEN, Settings, Settled, Share, Spots, TabletNamed, WedgeOrder, Wishes, least_memory,
};
use crate::light::{Density, Millimetres, PixelsPerInch, Stops};
use crate::paper::{EdgeBurn, PaperSize, Rendering, Tone};
use crate::plane::Point;
use crate::save::PictureKind;

/// Turns scans of black-and-white negatives into flat positives, proofs, a proof sheet and notes.
///
/// A scan is never written to, moved or renamed.
#[derive(Debug, Parser)]
#[command(name = "dryside", version, arg_required_else_help = true)]
pub(super) struct Args {
    #[command(subcommand)]
    pub(super) task: Task,
}

#[derive(Debug, Subcommand)]
pub(super) enum Task {
    /// Work through a folder of scans.
    ///
    /// Every scan becomes a flat positive, a proof in its grade and notes; all together a proof sheet and a table. What is
    /// up to date is left alone, so a run that was broken off is finished by running it again.
    #[command(
        override_usage = "dryside batch [OPTIONS] <SCANS>\n       dryside batch --gather <OUT>... [--out <FOLDER>]"
    )]
    Batch(Box<BatchArgs>),
    /// Measure scans, each for itself, and write nothing.
    ///
    /// Settings files and notes are not read: what is given here is what holds.
    Measure(MeasureArgs),
    /// Make prints at size, from scans and their notes.
    ///
    /// A print is made from the scan itself, upright and cut to its frame, on the paper and in the grade and exposure of
    /// its proof unless others are given. Its notes keep every decision, so that --from makes the same file again. Work through
    /// the scans with dryside batch first.
    Print(PrintArgs),
    /// Calibrate a scanner: read a scanned step tablet.
    ///
    /// Writes NAME.wedge.toml, a calibration to be named with --wedge or in dryside.toml, and NAME.wedge.png, its plot. Scan the
    /// tablet as you scan negatives, with the same settings of the scanner and nothing set automatically.
    Wedge(WedgeArgs),
    /// Look at printing papers and grades, or make a paper of your own.
    ///
    /// Plain "dryside paper" lists papers and tables of grades; with a name it tells that paper's figures and their sources.
    Paper(PaperArgs),
}

#[derive(Debug, Subcommand)]
pub(super) enum PaperTask {
    /// Make a paper from readings of a printed wedge.
    ///
    /// Writes NAME.paper.toml, to be named as paper. The readings are a table (CSV) with the columns log_exposure and density, from paper
    /// white to full black; or a flatbed's scan of the print, which is less true in the blacks.
    Fit(FitArgs),
}

#[derive(Debug, Group)]
pub(super) struct BatchArgs {
    /// Folder of scans (TIFF, PNG, JPEG), with a dryside.toml if you keep settings there
    #[arg(required_unless_present = "gather")]
    scans: Option<PathBuf>,
    /// Folder for the results [default: beside the scans, with "-out"]
    #[arg(long, value_name = "FOLDER")]
    out: Option<PathBuf>,
    /// Ends of the tone scale: each, common, or match=NOTES of an earlier scan [default: each]
    #[arg(long)]
    ends: Option<String>,
    /// What flat positives hold: frame or none (the whole scan) [default: frame]
    #[arg(long)]
    crop: Option<String>,
    /// Encoding of flat positives: gamma2.2, gamma1.8, srgb, lstar, linear [default: gamma2.2]
    #[arg(long, value_name = "CURVE")]
    out_encoding: Option<String>,
    /// Compression of flat positives: same, none, lzw, deflate, packbits [default: same as the scan]
    #[arg(long)]
    compression: Option<String>,
    /// Paper of the proofs: glossy, semi-matt, matt, or a file of your own (.toml) [default: glossy]
    #[arg(long)]
    paper: Option<String>,
    /// Table that gives grades their range: bands, rc, rc-later, fibre, or a file of your own (.toml) [default: bands]
    #[arg(long, value_name = "TABLE")]
    grades: Option<String>,
    /// Grade of the proofs: 00, 0, 1/2, 1, "1 1/2" (with a blank in quotes) ... 5, or auto [default: auto]
    #[arg(long)]
    grade: Option<String>,
    /// What the exposure is found by: highlights, shadows, fixed (one for all), or X,Y=ZONE, as 512,300=VIII [default: highlights]
    #[arg(long, value_name = "HOW")]
    place: Option<String>,
    /// Exposure of the proofs in stops, as 0.5, -1/3 or "-1 1/2", more is darker [default: 0]
    #[arg(long, value_name = "STOPS", allow_hyphen_values = true)]
    exposure: Option<String>,
    /// Exposure taken away because prints get darker while they dry, as 8% [default: 0%]
    #[arg(long, value_name = "PERCENT")]
    dry_down: Option<String>,
    /// The exposure in two parts, a soft and a hard grade with their stops, as "00 -1, 5 -1 1/2", or none [default: none]
    #[arg(long, value_name = "PARTS")]
    split: Option<String>,
    /// Page of the proof sheet: a4, letter, 8x10 [default: a4]
    #[arg(long)]
    page: Option<String>,
    /// Lay out no proof sheet
    #[arg(long)]
    no_sheet: bool,
    /// Draw an overview of each scan that shows what was taken for what
    #[arg(long)]
    explain: bool,
    /// Draw a map of the dust on each scan, for spotting
    #[arg(long)]
    dust_map: bool,
    /// Make again what is up to date
    #[arg(long)]
    force: bool,
    /// Only tell what would be done
    #[arg(long)]
    dry_run: bool,
    /// Scans worked on side by side [default: one a core, at most 4]
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u8).range(1..=64))]
    jobs: Option<u8>,
    #[command(flatten)]
    memory: MemoryArgs,
    /// Only a share of the folder, as 3/16, for runs on several machines (docs/many-machines.md)
    #[arg(long, value_name = "K/N")]
    share: Option<Share>,
    /// First pass: only measure; when all shares are measured, run them again without it
    #[arg(long, requires = "share", conflicts_with_all = ["explain", "dust_map"])]
    measure_only: bool,
    /// Gather the shares in these folders of results: one table, one proof sheet
    #[arg(long, value_name = "OUT", num_args = 1.., conflicts_with_all = NOT_GATHERED)]
    gather: Vec<PathBuf>,
    #[command(flatten)]
    light: LightArgs,
}

/// What gathering shares does not ask for: it goes by what they were made with.
const NOT_GATHERED: [&str; 26] = [
    "scans",
    "ends",
    "crop",
    "out_encoding",
    "compression",
    "paper",
    "grades",
    "grade",
    "place",
    "exposure",
    "dry_down",
    "split",
    "page",
    "explain",
    "dust_map",
    "dry_run",
    "jobs",
    "memory",
    "share",
    "measure_only",
    "channel",
    "encoding",
    "base",
    "film",
    "frames",
    "wedge",
];

/// What `batch` is to do.
pub(super) enum Batch {
    /// Work through a folder, or a share of it.
    Run(Order),
    /// Gather shares.
    Gather(GatherOrder),
}

#[derive(Debug, Group)]
struct MemoryArgs {
    /// Memory to be used, as 128MB or 1GB; compressed scans are unpacked only once if they fit [default: 200MB for each of --jobs]
    #[arg(long, value_name = "SIZE", value_parser = memory)]
    memory: Option<u64>,
}

impl MemoryArgs {
    fn settle(&self, jobs: usize) -> u64 {
        self.memory.unwrap_or((MEMORY_A_JOB * jobs as u64).max(least_memory()))
    }
}

#[derive(Debug, Group)]
pub(super) struct MeasureArgs {
    /// Scans
    #[arg(required = true, value_name = "FILE")]
    files: Vec<PathBuf>,
    /// Print the report as JSON
    #[arg(long)]
    pub(super) json: bool,
    /// Read the density of a place, X,Y in pixels of the scan as stored; may be given several times
    #[arg(long, value_name = "X,Y", value_parser = place)]
    at: Vec<Point>,
    /// Diameter of the round opening for --at: 3mm, 0.1in, 40px [default: 3mm]
    #[arg(long, value_name = "LENGTH", requires = "at", value_parser = aperture)]
    aperture: Option<Aperture>,
    #[command(flatten)]
    memory: MemoryArgs,
    #[command(flatten)]
    light: LightArgs,
}

#[derive(Debug, Group)]
pub(super) struct PrintArgs {
    /// Frames: their names in the folder of results, as ropewalk-out/sheet-01, their proofs or notes there, or the
    /// whole folder
    #[arg(required_unless_present = "from", value_name = "FRAME")]
    frames: Vec<PathBuf>,
    /// Make all prints again that a notes file tells of, to the byte
    #[arg(long, value_name = "NOTES", conflicts_with_all = ["frames", "size", "asked"])]
    from: Option<PathBuf>,
    /// Sheet, as 30x24cm, 300x240mm or 12x9.5in; it is turned to suit the picture
    #[arg(long, required_unless_present = "from")]
    size: Option<PaperSize>,
    #[command(flatten)]
    asked: AskedArgs,
    /// Folder of the scans [default: beside the results, under the name that the notes give]
    #[arg(long, value_name = "FOLDER")]
    scans: Option<PathBuf>,
    /// Folder for the prints [default: print, in the folder of results]
    #[arg(long, value_name = "FOLDER")]
    out: Option<PathBuf>,
    /// Make again what is there, also where other hands have changed it
    #[arg(long)]
    force: bool,
}

#[derive(Debug, Group)]
#[group(id = "asked", multiple = true)]
struct AskedArgs {
    /// Pixels per inch of the print [default: 300]
    #[arg(long, value_parser = ppi)]
    ppi: Option<PixelsPerInch>,
    /// Show all of the picture, and leave white what is left of the sheet [default]
    #[arg(long, conflicts_with = "fill")]
    fit: bool,
    /// Fill the sheet, and cut off what lies beyond
    #[arg(long)]
    fill: bool,
    /// Paper that stays white on all sides, at least: 5mm, 1cm, 0.25in [default: none]
    #[arg(long, value_name = "WIDTH")]
    border: Option<Millimetres>,
    /// Set a frame upright that lies askew in its scan
    #[arg(long)]
    straighten: bool,
    /// Sharpen for the print by an unsharp mask: 0 to 2, 0.5 is mild [default: 0]
    #[arg(long, value_name = "AMOUNT", value_parser = sharpen)]
    sharpen: Option<f64>,
    /// Burn in the edges, in stops at the middle of each side, as 1/4; corners get more [default: 0]
    #[arg(long, value_name = "STOPS", allow_hyphen_values = true, value_parser = edge_burn)]
    edge_burn: Option<EdgeBurn>,
    /// Hue: neutral, warm, cool, or points of density above paper white with CIE a* and b*, as "0.3:1,6 1.8:0,-5"
    /// [default: neutral]
    #[arg(long)]
    tone: Option<Tone>,
    /// White of the file: full (the sheet it is printed on gives its own) or paper (the paper's tone) [default: full]
    #[arg(long, value_name = "WHITE")]
    white: Option<Rendering>,
    /// Paper: glossy, semi-matt, matt, or a file of your own (.toml) [default: the proof's]
    #[arg(long)]
    paper: Option<String>,
    /// Table that gives grades their range: bands, rc, rc-later, fibre, or a file of your own (.toml) [default: the
    /// proof's]
    #[arg(long, value_name = "TABLE")]
    grades: Option<String>,
    /// Grade: 00, 0, 1/2, 1, "1 1/2" (with a blank in quotes) ... 5, or auto [default: the proof's]
    #[arg(long)]
    grade: Option<String>,
    /// What the exposure is found by: highlights, shadows, fixed (one for all), or X,Y=ZONE, as 512,300=VIII [default:
    /// as the proof's]
    #[arg(long, value_name = "HOW")]
    place: Option<String>,
    /// Exposure in stops, as 0.5, -1/3 or "-1 1/2", more is darker [default: the proof's]
    #[arg(long, value_name = "STOPS", allow_hyphen_values = true)]
    exposure: Option<String>,
    /// Exposure taken away because prints get darker while they dry, as 8% [default: the proof's]
    #[arg(long, value_name = "PERCENT")]
    dry_down: Option<String>,
    /// The exposure in two parts, a soft and a hard grade with their stops, as "00 -1, 5 -1 1/2", or none [default: as
    /// the proof's]
    #[arg(long, value_name = "PARTS")]
    split: Option<String>,
    /// Kind of file: tiff (16 bits), jpeg or png (8 bits) [default: tiff]
    #[arg(long = "as", value_name = "KIND")]
    kind: Option<PictureKind>,
    /// Print also where the scan has too few pixels for this size
    #[arg(long)]
    allow_upsampling: bool,
}

#[derive(Debug, Group)]
pub(super) struct WedgeArgs {
    /// Scan of a step tablet
    scan: PathBuf,
    /// The tablet by its steps: 21 (0.15 apart), 31 or 41 (0.10 apart) [default: as many as are found]
    #[arg(long, value_name = "N", conflicts_with = "densities")]
    steps: Option<usize>,
    /// The tablet by a list of its densities, one a line, thinnest or densest first
    #[arg(long, value_name = "FILE")]
    densities: Option<PathBuf>,
    /// Folder for the calibration and its plot [default: where you are]
    #[arg(long, value_name = "FOLDER")]
    out: Option<PathBuf>,
    /// Replace files of these names that are others
    #[arg(long)]
    force: bool,
    #[command(flatten)]
    codes: CodeArgs,
}

#[derive(Debug, Group)]
#[command(args_conflicts_with_subcommands = true)]
pub(super) struct PaperArgs {
    #[command(subcommand)]
    pub(super) task: Option<PaperTask>,
    /// Paper: glossy, semi-matt, matt, or a file of your own (.toml)
    name: Option<String>,
    /// Table that gives grades their range: bands, rc, rc-later, fibre, or a file of your own (.toml) [default: bands]
    #[arg(long, value_name = "TABLE")]
    grades: Option<String>,
    /// Grade that is looked at [default: the one that suits --range, else 2]
    #[arg(long)]
    grade: Option<String>,
    /// Print the grade's curve as log_exposure,density
    #[arg(long, conflicts_with = "plot")]
    pub(super) csv: bool,
    /// Draw the curves of all grades: a file that ends in .svg or .png
    #[arg(long, value_name = "FILE")]
    plot: Option<PathBuf>,
    /// A negative's range in D, to be drawn under the curves
    #[arg(long, value_name = "D", value_parser = range)]
    range: Option<Density>,
    /// Replace another file of the plot's name
    #[arg(long)]
    force: bool,
}

#[derive(Debug, Group)]
pub(super) struct FitArgs {
    /// Table of readings (CSV), or a scan of the print
    readings: PathBuf,
    /// For a scan: how far the steps of the wedge are apart, in D: 0.15 (21 steps), 0.10 (31 or 41)
    #[arg(long, value_name = "D", value_parser = apart)]
    apart: Option<Density>,
    /// What the paper is called [default: as the file of the readings]
    #[arg(long)]
    name: Option<String>,
    /// Folder for the paper's file [default: where you are]
    #[arg(long, value_name = "FOLDER")]
    out: Option<PathBuf>,
    /// Replace another file of its name
    #[arg(long)]
    force: bool,
    #[command(flatten)]
    codes: CodeArgs,
}

#[derive(Debug, Group)]
struct LightArgs {
    #[command(flatten)]
    codes: CodeArgs,
    /// Film base in D, instead of what is measured
    #[arg(long, value_name = "D")]
    base: Option<String>,
    /// Film in the scans: 4x5, 5x7, 8x10, 120, 35mm, auto [default: auto]
    #[arg(long)]
    film: Option<String>,
    /// Frames that a scan should show; another number is flagged [default: auto]
    #[arg(long, value_name = "N")]
    frames: Option<String>,
    /// Calibration of the scanner, a file that dryside wedge wrote, or none [default: none]
    #[arg(long, value_name = "FILE")]
    wedge: Option<String>,
}

#[derive(Debug, Group)]
struct CodeArgs {
    /// Channel of colour scans: green, red, blue, mean [default: green]
    #[arg(long)]
    channel: Option<String>,
    /// Encoding of the scans: gamma2.2, gamma1.8, srgb, lstar, linear [default: their profile's, else srgb]
    #[arg(long, value_name = "CURVE")]
    encoding: Option<String>,
}

impl CodeArgs {
    fn words(self) -> [(&'static str, Option<String>); 2] {
        [("channel", self.channel), ("encoding", self.encoding)]
    }
}

impl LightArgs {
    fn words(self) -> impl Iterator<Item = (&'static str, Option<String>)> {
        self.codes.words().into_iter().chain([
            ("base", self.base),
            ("film", self.film),
            ("frames", self.frames),
            ("wedge", self.wedge),
        ])
    }
}

/// Most scans worked on side by side unless told otherwise: each holds some tens of megabytes.
const MOST_JOBS: usize = 4;

/// Bytes of memory that a job may use unless told otherwise: together two of them keep a sheet of 4 x 5 inch at 2400 ppi.
const MEMORY_A_JOB: u64 = 200_000_000;

impl BatchArgs {
    /// What is ordered.
    ///
    /// # Errors
    /// When a setting cannot take what it is given.
    pub(super) fn settle(self) -> Result<Batch, String> {
        let Some(scans) = self.scans else {
            let sheets = !self.no_sheet;
            return Ok(Batch::Gather(GatherOrder { outs: self.gather, out: self.out, force: self.force, sheets }));
        };
        let own = [
            ("ends", self.ends),
            ("crop", self.crop),
            ("out-encoding", self.out_encoding),
            ("compression", self.compression),
            ("paper", self.paper),
            ("grades", self.grades),
            ("grade", self.grade),
            ("place", self.place),
            ("exposure", self.exposure),
            ("dry-down", self.dry_down),
            ("split", self.split),
            ("page", self.page),
        ];
        let cores = std::thread::available_parallelism().map_or(1, usize::from);
        let jobs = self.jobs.map_or(cores.min(MOST_JOBS), usize::from);
        Ok(Batch::Run(Order {
            flags: wishes(own.into_iter().chain(self.light.words()))?,
            scans,
            out: self.out,
            force: self.force,
            dry_run: self.dry_run,
            jobs,
            memory: self.memory.settle(jobs),
            sheets: !self.no_sheet,
            explain: self.explain,
            dust_map: self.dust_map,
            share: self.share,
            measure_only: self.measure_only,
        }))
    }
}

impl MeasureArgs {
    /// Settings, spots, files and memory.
    ///
    /// # Errors
    /// When a setting cannot take what it is given.
    pub(super) fn settle(self) -> Result<(Settings, Spots, Vec<PathBuf>, u64), String> {
        let flags = wishes(self.light.words())?;
        let settings = Settled::settle(&flags, &Wishes::default(), &Wishes::default()).settings;
        Ok((
            settings,
            Spots { at: self.at, aperture: self.aperture.unwrap_or_default() },
            self.files,
            self.memory.settle(2),
        ))
    }
}

impl PrintArgs {
    /// What is ordered.
    ///
    /// # Errors
    /// When a setting cannot take what it is given.
    pub(super) fn settle(self) -> Result<PrintOrder, String> {
        let task = match (self.from, self.size) {
            (Some(notes), _) => PrintTask::Again(notes),
            (None, Some(size)) => PrintTask::New(self.frames, Box::new(self.asked.wishes(size)?)),
            (None, None) => return Err("give the size of the sheet, as --size 30x24cm".to_owned()),
        };
        Ok(PrintOrder { task, scans: self.scans, out: self.out, force: self.force })
    }
}

impl AskedArgs {
    fn wishes(self, size: PaperSize) -> Result<PrintWishes, String> {
        Ok(PrintWishes {
            size,
            ppi: self.ppi.or(PixelsPerInch::new(GOOD)).ok_or("a print has a resolution")?,
            meeting: if self.fill { Meeting::Fill } else { Meeting::Fit },
            border: self.border.unwrap_or_default(),
            straighten: self.straighten,
            sharpen: self.sharpen.unwrap_or(0.0),
            edge_burn: self.edge_burn.unwrap_or_default(),
            tone: self.tone.unwrap_or_default(),
            white: self.white.unwrap_or(Rendering::Screen),
            kind: self.kind.unwrap_or(PictureKind::Tiff),
            upsampling: self.allow_upsampling,
            graded: wishes([
                ("paper", self.paper),
                ("grades", self.grades),
                ("grade", self.grade),
                ("place", self.place),
                ("exposure", self.exposure),
                ("dry-down", self.dry_down),
                ("split", self.split),
            ])?,
        })
    }
}

/// An amount of sharpening.
fn sharpen(word: &str) -> Result<f64, String> {
    let number = word.trim().parse().ok().filter(|amount| SHARPEN.contains(amount));
    number.ok_or_else(|| format!("use a number from {} to {}", SHARPEN.start(), SHARPEN.end()))
}

/// How edges are burnt in.
fn edge_burn(word: &str) -> Result<EdgeBurn, String> {
    let burn = word.parse::<Stops>().ok().and_then(EdgeBurn::new);
    burn.ok_or_else(|| "use a number from 0 to 2 (stops, or thirds as 1/3)".to_owned())
}

/// A resolution of a print.
fn ppi(word: &str) -> Result<PixelsPerInch, String> {
    let number = word.trim().parse().ok().filter(|ppi| PPI.contains(ppi));
    number.and_then(PixelsPerInch::new).ok_or_else(|| format!("use a number from {} to {}", PPI.start(), PPI.end()))
}

impl WedgeArgs {
    /// What is ordered.
    ///
    /// # Errors
    /// When a setting cannot take what it is given.
    pub(super) fn settle(self) -> Result<WedgeOrder, String> {
        let flags = wishes(self.codes.words())?;
        let listed = self.densities.map(TabletNamed::Densities);
        Ok(WedgeOrder {
            scan: self.scan,
            tablet: self.steps.map(TabletNamed::Steps).or(listed),
            out: self.out,
            force: self.force,
            settings: Settled::settle(&flags, &Wishes::default(), &Wishes::default()).settings,
        })
    }
}

impl PaperArgs {
    /// What is asked; nothing if no paper is named and nothing else.
    ///
    /// # Errors
    /// When a setting cannot take what it is given.
    pub(super) fn settle(self) -> Result<Option<PaperOrder>, String> {
        let any = self.csv || self.plot.is_some() || self.grade.is_some() || self.grades.is_some();
        if self.name.is_none() && !any && self.range.is_none() {
            return Ok(None);
        }
        let mut flags = wishes([("grades", self.grades), ("grade", self.grade)])?;
        if let Some(name) = self.name {
            flags.add("paper", &name).map_err(|e| e.to_string())?;
        }
        let settings = Settled::settle(&flags, &Wishes::default(), &Wishes::default()).settings;
        Ok(Some(PaperOrder { settings, range: self.range, plot: self.plot, force: self.force }))
    }
}

impl FitArgs {
    /// What is ordered.
    ///
    /// # Errors
    /// When a setting cannot take what it is given.
    pub(super) fn settle(self) -> Result<FitOrder, String> {
        let flags = wishes(self.codes.words())?;
        Ok(FitOrder {
            readings: self.readings,
            apart: self.apart,
            settings: Settled::settle(&flags, &Wishes::default(), &Wishes::default()).settings,
            name: self.name,
            out: self.out,
            force: self.force,
        })
    }
}

/// A range of densities that a negative can have.
fn range(word: &str) -> Result<Density, String> {
    let range = word.trim().parse().ok().filter(|d| (0.1..=4.0).contains(d));
    range.map(Density::new).ok_or_else(|| "use a number from 0.1 to 4 (D)".to_owned())
}

/// A distance of two steps of a wedge.
fn apart(word: &str) -> Result<Density, String> {
    let apart = word.trim().parse().ok().filter(|d| (0.03..=0.35).contains(d));
    apart.map(Density::new).ok_or_else(|| "use a number from 0.03 to 0.35 (D), as 0.15".to_owned())
}

/// An opening, in whatever case its unit is written.
fn aperture(word: &str) -> Result<Aperture, String> {
    word.to_lowercase().parse()
}

/// Bytes, at least what one scan takes.
fn memory(word: &str) -> Result<u64, String> {
    let plain = word.trim().to_lowercase();
    let in_unit = |unit: &str, bytes: f64| {
        plain.strip_suffix(unit).and_then(|number| number.trim_end().parse::<f64>().ok()).map(|n| n * bytes)
    };
    match in_unit("mb", 1e6).or_else(|| in_unit("gb", 1e9)) {
        Some(bytes) if bytes >= least_memory() as f64 => Ok(bytes as u64),
        Some(_) => Err(format!("one scan takes {}MB: give at least that", least_memory() / 1_000_000)),
        None => Err("use a number with its unit, as 128MB or 1GB".to_owned()),
    }
}

/// A place as two numbers with a comma between them.
fn place(word: &str) -> Result<Point, String> {
    let number = |n: &str| n.trim().parse::<f64>().ok().filter(|n| n.is_finite());
    let place = word.split_once(',').and_then(|(x, y)| Some(Point { x: number(x)?, y: number(y)? }));
    place.ok_or_else(|| "use two numbers of pixels, as 512,300".to_owned())
}

fn wishes(words: impl IntoIterator<Item = (&'static str, Option<String>)>) -> Result<Wishes, String> {
    let mut wishes = Wishes::default();
    for (name, word) in words {
        if let Some(word) = word {
            wishes.add(name, &word).map_err(|e| format!("--{e}"))?;
        }
    }
    Ok(wishes)
}

#[cfg(test)]
mod tests {
    use clap::CommandFactory;
    use clap::error::ErrorKind;

    use super::*;

    fn batch(words: &[&str]) -> Result<Order, String> {
        let all = ["dryside", "batch", "scans"].iter().chain(words);
        let Task::Batch(args) = Args::try_parse_from(all).map_err(|e| e.to_string())?.task else {
            return Err("no batch".to_owned());
        };
        match args.settle()? {
            Batch::Run(order) => Ok(order),
            Batch::Gather(_) => Err("no run".to_owned()),
        }
    }

    #[test]
    fn gathering_asks_for_nothing_that_shares_were_made_with() {
        let all = |words: &[&str]| Args::try_parse_from(["dryside", "batch"].iter().chain(words)).map(drop);
        assert!(all(&["--gather", "a", "b", "--out", "c", "--no-sheet", "--force"]).is_ok());
        let command = Args::command();
        let of_batch = command.find_subcommand("batch").unwrap().get_arguments();
        let others = of_batch.filter(|arg| !["gather", "out", "no_sheet", "force"].contains(&arg.get_id().as_str()));
        for arg in others {
            let value = match arg.get_id().as_str() {
                "share" => "1/2",
                "memory" => "1GB",
                _ => "1",
            };
            let flag = arg.get_long().map(|long| format!("--{long}"));
            let words = [flag.as_deref(), arg.get_action().takes_values().then_some(value)];
            let words: Vec<_> = words.into_iter().flatten().chain(["--gather", "a"]).collect();
            assert_eq!(all(&words).unwrap_err().kind(), ErrorKind::ArgumentConflict, "{words:?}");
        }
    }

    #[test]
    fn a_share_is_named_by_its_number_and_of_how_many() {
        assert!(batch(&["--measure-only"]).is_err(), "of which share?");
        assert_eq!(batch(&["--share", "3/16"]).unwrap().share.map(|s| s.to_string()).as_deref(), Some("3/16"));
        assert!(batch(&["--share", "0/16"]).unwrap_err().contains("the first share is 1"));
    }

    fn stops(words: &[&str]) -> f64 {
        let flags = batch(words).unwrap().flags;
        Settled::settle(&flags, &Wishes::default(), &Wishes::default()).settings.exposure.value()
    }

    #[test]
    fn less_exposure_is_typed_as_it_is_said() {
        for (word, expected) in [("-1/2", -0.5), ("-1 1/2", -1.5), ("-1", -1.0), ("1/4", 0.25), ("-0.5", -0.5)] {
            assert_eq!(stops(&["--exposure", word]), expected, "{word}");
            assert_eq!(stops(&[&format!("--exposure={word}"), "--force"]), expected, "{word}");
        }
    }

    #[test]
    fn a_flag_is_no_exposure() {
        let told = batch(&["--exposure", "--force"]).unwrap_err();
        assert!(told.contains("--exposure: \"--force\": use a number from -6 to 6 (stops"), "{told}");
        assert!(batch(&["--exposure"]).is_err() && batch(&["-1/2"]).is_err());
    }

    #[test]
    fn memory_is_read_with_its_unit() {
        // Enough for any number of threads that this may be tested with.
        assert_eq!(memory("9000MB"), Ok(9_000_000_000));
        assert_eq!(memory("12.5 gb"), Ok(12_500_000_000));
        assert!(memory("128").unwrap_err().contains("as 128MB"));
        assert!(memory("10MB").unwrap_err().contains("at least"));
        assert!(memory("-1GB").is_err() && memory("nanGB").is_err());
    }

    #[test]
    fn an_opening_is_read_in_either_case() {
        assert_eq!(aperture("3MM"), Ok(Aperture::default()));
        assert!(aperture("3 cubits").unwrap_err().contains("3mm, 0.1in or 40px"));
    }
}
