//! The sidecar of a scan, the measuring report, the table of a batch, and what its shares write down for one another:
//! formats of their own, with their own types.

mod correction;
mod export;
mod format;
mod line_ends;
mod marks;
mod measured;
mod misplaced;
mod prints;
mod readings;
mod report;
mod select;
mod settings;
mod share;
mod shot;
mod sidecar;
mod spelling;
mod table;
mod text;
mod wedge;

pub use correction::Correction;
pub use export::{COLUMNS, Exported, export_csv, export_json};
pub use format::{
    FileNotes, FlatFrame, FlatNotes, MeasuredFrame, MeasuredNotes, Notes, OutputFile, OutputFiles, Outputs, PrintFrame,
    PrintNotes, RebateEvidence, RecordNotes, ScanNotes, SplitNotes, SpotNotes, TonesNotes, VERSION, WarningNote,
    WedgeNotes,
};
pub use marks::{Mark, Marked, Marks};
pub use measured::{MEASURED_VERSION, MeasuredFile, ReadingNotes};
pub use prints::PrintRecord;
pub use readings::readings;
pub use report::{
    ReportBase, ReportDust, ReportEncoding, ReportFacts, ReportFrame, ReportGrade, ReportNet, ReportRebate, ReportScan,
    ReportSpot, ScanReport, report_json,
};
pub use select::{Condition, Fact, NoCondition};
pub use share::{MadeScan, SHARE_VERSION, ShareFile};
pub use shot::{
    DevelopmentNotes, FIELDS, Field, Kind, MeterNote, Movements, NoDate, ReadField, ShotDate, ShotNotes, Slip,
    WriteError,
};
pub use sidecar::{Error as NotesError, Sidecar};
pub use spelling::spelling;
pub use table::{Row, csv};
pub use text::{bytes_of, text_of};
pub use wedge::{WEDGE_VERSION, WedgeError, WedgeFile, WedgeScan, WedgeStep, densities};
