//! The sidecar of a scan, the measuring report, and the table of a batch: formats of their own, with their own types.

mod correction;
mod format;
mod misplaced;
mod readings;
mod report;
mod sidecar;
mod table;
mod text;
mod wedge;

pub use correction::Correction;
pub use format::{
    FlatFrame, FlatNotes, MeasuredFrame, MeasuredNotes, Notes, OutputFile, OutputFiles, Outputs, PrintFrame,
    PrintNotes, RebateEvidence, RecordNotes, ScanNotes, SplitNotes, SpotNotes, VERSION, WarningNote, WedgeNotes,
};
pub use readings::readings;
pub use report::{
    ReportBase, ReportDust, ReportEncoding, ReportFacts, ReportFrame, ReportGrade, ReportNet, ReportRebate, ReportScan,
    ReportSpot, ScanReport, report_json,
};
pub use sidecar::{Error, Sidecar};
pub use table::{Row, csv};
pub use text::{quotes, text_of};
pub use wedge::{WEDGE_VERSION, WedgeError, WedgeFile, WedgeScan, WedgeStep, densities};
