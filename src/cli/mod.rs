//! The program at the command line: arguments, what they settle to, the console.

mod args;
mod console;

use std::collections::BTreeSet;
use std::ffi::OsString;
use std::process::{self, ExitCode};

use clap::Parser;

use crate::batch::{self, Event, WedgeError};
use crate::light_table;
use crate::notes::ScanReport;
use crate::scan::Halt;
use args::{Args, Batch, NotesTask, PaperArgs, PaperTask, Task};
use console::Console;

/// Something that is there failed; the rest is done.
const SOME_FAILED: u8 = 1;
/// Nothing was done: the command makes no sense, nothing of what it names is there, or the one thing that it makes
/// cannot be made.
const NOT_BEGUN: u8 = 2;
/// The person at the desk stopped it: 128 and the number of the interrupt (common practice of shells).
const STOPPED: u8 = 130;

/// Runs the program. Exit status: 0 all well, 1 something failed, 2 nothing was done, 130 stopped.
pub fn run(words: impl IntoIterator<Item = OsString>) -> ExitCode {
    let args = match Args::try_parse_from(words) {
        Ok(args) => args,
        Err(help_or_error) => {
            Console::usage(&help_or_error);
            return if help_or_error.use_stderr() { ExitCode::from(NOT_BEGUN) } else { ExitCode::SUCCESS };
        }
    };
    let console = Console;
    match perform(args.task, &console) {
        Ok(Ended::Well) => ExitCode::SUCCESS,
        Ok(Ended::SomeFailed) => ExitCode::from(SOME_FAILED),
        Ok(Ended::NotBegun) => ExitCode::from(NOT_BEGUN),
        Ok(Ended::Stopped) => ExitCode::from(STOPPED),
        Err(error) => {
            console.error(&error);
            ExitCode::from(NOT_BEGUN)
        }
    }
}

/// How a task ended.
enum Ended {
    Well,
    SomeFailed,
    /// What was wrong has been told.
    NotBegun,
    Stopped,
}

impl Ended {
    /// Of a task on several things that were named.
    fn of(well: bool, none_there: bool) -> Self {
        if none_there { Self::NotBegun } else { well.into() }
    }
}

impl From<bool> for Ended {
    fn from(well: bool) -> Self {
        if well { Self::Well } else { Self::SomeFailed }
    }
}

/// Ctrl-C, or a polite end by another program, asks the work to stop: what is in hand is dropped, and what is made is
/// whole. Asked twice, the program ends at once; files in the making have no name yet.
fn halt_on_signals() -> Result<Halt, String> {
    let halt = Halt::default();
    let asked = halt.clone();
    let set = ctrlc::set_handler(move || {
        if asked.ask() {
            process::exit(STOPPED.into());
        }
    });
    set.map(|()| halt).map_err(|e| format!("cannot listen for Ctrl-C: {e}"))
}

/// Does the task; tells how it ended.
fn perform(task: Task, console: &Console) -> Result<Ended, String> {
    match task {
        Task::Batch(args) => match args.settle()? {
            Batch::Run(order) => {
                let halt = halt_on_signals()?;
                let progress = console.progress();
                let outcome = batch::run(&order, &halt, &|event| progress.tell(event));
                progress.finish();
                match outcome {
                    Err(stopped @ batch::Error::Stopped { .. }) => {
                        console.error(&stopped.to_string());
                        Ok(Ended::Stopped)
                    }
                    Err(error) => Err(error.to_string()),
                    Ok(outcome) => Ok((console.batch(&outcome, &order) && outcome.all_well()).into()),
                }
            }
            Batch::Remake(order) => {
                let halt = halt_on_signals()?;
                let progress = console.printing();
                let remade = batch::remake(&order, &halt, &|scan| progress.remake(scan));
                progress.finish();
                match remade {
                    Err(stopped @ batch::Error::Stopped { .. }) => {
                        console.error(&stopped.to_string());
                        Ok(Ended::Stopped)
                    }
                    Err(error) => Err(error.to_string()),
                    Ok(remade) => Ok((console.remade(&remade, order.dry_run) && remade.all_well()).into()),
                }
            }
            Batch::Gather(order) => {
                let halt = halt_on_signals()?;
                let progress = console.progress();
                let gathered = batch::gather(&order, &halt, &|event| progress.tell(event));
                progress.finish();
                match gathered {
                    Err(stopped @ batch::Error::Stopped { .. }) => {
                        console.error(&stopped.to_string());
                        Ok(Ended::Stopped)
                    }
                    Err(error) => Err(error.to_string()),
                    Ok(gathered) => Ok((console.gathered(&gathered) && gathered.all_well()).into()),
                }
            }
        },
        Task::Watch(args) => {
            let order = args.settle()?;
            let halt = halt_on_signals()?;
            let progress = console.progress();
            let (mut well, mut told) = (true, BTreeSet::new());
            let ended = batch::watch(&order, &halt, &|event| progress.tell(event), &mut |what| {
                progress.suspend(|| well &= console.watched(&what, &mut told));
            });
            progress.finish();
            ended.map_err(|e| e.to_string())?;
            Ok((well && told.is_empty()).into())
        }
        Task::Measure(args) => {
            let json = args.json;
            let (settings, spots, files, memory) = args.settle()?;
            let reports = batch::measure(&files, &settings, &spots, memory).map_err(|e| e.to_string())?;
            let failed = reports.iter().any(|report| matches!(report, ScanReport::Failed { .. }));
            Ok(Ended::of(console.measured(&reports, json) && !failed, !files.iter().any(|file| file.exists())))
        }
        Task::Mark(args) => {
            let outcome = batch::mark_frames(&args.frames, args.mark.0, args.remark.as_deref());
            let outcome = outcome.map_err(|e| e.to_string())?;
            let well = console.marked(&outcome, args.mark.0) && outcome.failures.is_empty();
            Ok(Ended::of(well, outcome.none_there))
        }
        Task::Print(args) => {
            let order = args.settle()?;
            let halt = halt_on_signals()?;
            let progress = console.printing();
            let outcome = batch::make_prints(&order, &halt, &|file| progress.print(file));
            progress.finish();
            let outcome = outcome.map_err(|e| e.to_string())?;
            let well = console.printed(&outcome) && outcome.failures.is_empty();
            Ok(if halt.is_asked() { Ended::Stopped } else { Ended::of(well, outcome.none_there) })
        }
        Task::Proof(args) => {
            let order = args.settle()?;
            let halt = halt_on_signals()?;
            let progress = console.printing();
            progress.tell(Event::Sheets);
            let outcome = batch::lay_proofs(&order, &halt, &|frame| progress.look(frame));
            progress.finish();
            match outcome {
                Err(error) if halt.is_asked() => {
                    console.error(&error);
                    Ok(Ended::Stopped)
                }
                done => {
                    let outcome = done?;
                    Ok((console.proofs(&outcome) && outcome.failures.is_empty()).into())
                }
            }
        }
        Task::Strip(args) => {
            let order = args.settle()?;
            let halt = halt_on_signals()?;
            let progress = console.printing();
            let outcome = batch::make_strips(&order, &halt, &|frame| progress.print(frame));
            progress.finish();
            let outcome = outcome.map_err(|e| e.to_string())?;
            let well = console.strips(&outcome) && outcome.failures.is_empty();
            Ok(if halt.is_asked() { Ended::Stopped } else { Ended::of(well, outcome.none_there) })
        }
        Task::Loupe(args) => {
            let order = args.settle();
            let halt = halt_on_signals()?;
            let progress = console.printing();
            let outcome = batch::look(&order, &halt, &|frame| progress.look(frame));
            progress.finish();
            let outcome = outcome.map_err(|e| e.to_string())?;
            let well = console.looked(&outcome) && outcome.failures.is_empty();
            Ok(if halt.is_asked() { Ended::Stopped } else { Ended::of(well, outcome.none_there) })
        }
        Task::Layout(args) => {
            let halt = halt_on_signals()?;
            match batch::make_layout(&args.settle()?, &halt) {
                Err(error) if halt.is_asked() => {
                    console.error(&error);
                    Ok(Ended::Stopped)
                }
                done => Ok(console.laid(&done?).into()),
            }
        }
        Task::Table(args) => {
            let halt = halt_on_signals()?;
            light_table::serve(&args.settle(), &halt, &|address| console.table(address))?;
            Ok(Ended::Well)
        }
        Task::Wedge(args) => match batch::make_wedge(&args.settle()?) {
            Ok(done) => Ok(console.wedge(&done).into()),
            Err(WedgeError::Asked(error)) => Err(error),
            Err(of_the_scan) => {
                console.error(&of_the_scan.to_string());
                Ok(Ended::of(false, of_the_scan.is_of_no_file()))
            }
        },
        Task::Paper(args) => paper(args, console).map(Ended::from),
        Task::Notes(args) => notes(args.task, console).map(Ended::from),
        Task::Exposure(args) => match args.settle() {
            Some(order) => batch::ask_exposure(&order).map(|asked| console.exposure(&asked).into()),
            None => Ok(console.films().into()),
        },
    }
}

/// Lays notes out, writes in them, tells what stands in them.
fn notes(task: NotesTask, console: &Console) -> Result<bool, String> {
    match task {
        NotesTask::New(args) => batch::lay_notes(&args.settle()).map(|done| console.notes_laid(&done)),
        NotesTask::Set(args) => {
            batch::write_notes(&args.notes, &args.fields).map(|changed| console.notes_written(&changed))
        }
        NotesTask::Show(args) => batch::show_notes(&args.notes).map(|shown| console.notes_shown(&shown)),
        NotesTask::Check(args) => {
            let checked = batch::check_notes(&args.notes)?;
            Ok(console.notes_checked(&checked) && checked.iter().all(batch::Checked::is_sound))
        }
        NotesTask::Export(args) => {
            let given = batch::export_notes(&args.notes, args.export())?;
            Ok(console.given_out(&given) && given.failures.is_empty())
        }
        NotesTask::Find(args) => {
            let found = batch::find_frames(&args.folder, &args.conditions)?;
            Ok(console.given_out(&found) && found.failures.is_empty())
        }
        NotesTask::Zones(args) => {
            let read = batch::read_zones(&args.settle()?)?;
            Ok(console.zones_read(&read) && read.failures.is_empty())
        }
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
