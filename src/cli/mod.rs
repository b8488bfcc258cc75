//! The program at the command line: arguments, what they settle to, the console.

mod args;
mod console;

use std::ffi::OsString;
use std::process::ExitCode;

use clap::Parser;

use crate::batch::{self, WedgeError};
use crate::notes::ScanReport;
use args::{Args, Batch, PaperArgs, PaperTask, Task};
use console::Console;

/// Some scans failed, the others went well.
const SOME_FAILED: u8 = 1;
/// Nothing could be done as it was asked.
const WRONG_USAGE: u8 = 2;

/// Runs the program. Exit status: 0 all well, 1 some scans failed, 2 wrong usage.
pub fn run(words: impl IntoIterator<Item = OsString>) -> ExitCode {
    let args = match Args::try_parse_from(words) {
        Ok(args) => args,
        Err(help_or_error) => {
            Console::usage(&help_or_error);
            return if help_or_error.use_stderr() { ExitCode::from(WRONG_USAGE) } else { ExitCode::SUCCESS };
        }
    };
    let console = Console;
    match perform(args.task, &console) {
        Ok(true) => ExitCode::SUCCESS,
        Ok(false) => ExitCode::from(SOME_FAILED),
        Err(error) => {
            console.error(&error);
            ExitCode::from(WRONG_USAGE)
        }
    }
}

/// Does the task; tells whether all went well.
fn perform(task: Task, console: &Console) -> Result<bool, String> {
    match task {
        Task::Batch(args) => match args.settle()? {
            Batch::Run(order) => {
                let progress = console.progress();
                let outcome = batch::run(&order, &|event| progress.tell(event));
                progress.finish();
                let outcome = outcome.map_err(|e| e.to_string())?;
                Ok(console.batch(&outcome, &order) && outcome.all_well())
            }
            Batch::Gather(order) => {
                let progress = console.progress();
                let gathered = batch::gather(&order, &|event| progress.tell(event));
                progress.finish();
                let gathered = gathered.map_err(|e| e.to_string())?;
                Ok(console.gathered(&gathered) && gathered.all_well())
            }
        },
        Task::Measure(args) => {
            let json = args.json;
            let (settings, spots, files, memory) = args.settle()?;
            let reports = batch::measure(&files, &settings, &spots, memory).map_err(|e| e.to_string())?;
            let failed = reports.iter().any(|report| matches!(report, ScanReport::Failed { .. }));
            Ok(console.measured(&reports, json) && !failed)
        }
        Task::Print(args) => {
            let order = args.settle()?;
            let progress = console.printing();
            let outcome = batch::make_prints(&order, &|file| progress.print(file));
            progress.finish();
            let outcome = outcome.map_err(|e| e.to_string())?;
            Ok(console.printed(&outcome) && outcome.failures.is_empty())
        }
        Task::Layout(args) => Ok(console.laid(&batch::make_layout(&args.settle()?)?)),
        Task::Wedge(args) => match batch::make_wedge(&args.settle()?) {
            Ok(done) => Ok(console.wedge(&done)),
            Err(WedgeError::Asked(error)) => Err(error),
            Err(of_the_scan) => {
                console.error(&of_the_scan.to_string());
                Ok(false)
            }
        },
        Task::Paper(args) => paper(args, console),
    }
}

/// Tells what there is, or of one paper; or makes one.
fn paper(mut args: PaperArgs, console: &Console) -> Result<bool, String> {
    if let Some(PaperTask::Fit(fit)) = args.task.take() {
        return batch::fit_paper(&fit.settle()?).map(|done| console.paper_fitted(&done));
    }
    let csv = args.csv;
    let Some(order) = args.settle()? else { return Ok(console.papers()) };
    let asked = batch::ask_paper(&order)?;
    Ok(match (csv, &order.plot) {
        (true, _) => console.curve(&asked),
        (false, Some(plot)) => console.plotted(plot),
        (false, None) => console.paper(&asked),
    })
}
