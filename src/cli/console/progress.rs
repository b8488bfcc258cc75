//! A line that shows how far the work is.

use std::fmt;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::Duration;

use indicatif::{HumanDuration, ProgressBar, ProgressState, ProgressStyle};

use crate::batch::Event;

use super::words::count;
use super::{Console, one_line};

impl Console {
    /// A line that shows how far a batch is, if somebody watches.
    pub(in crate::cli) fn progress(&self) -> Progress {
        let bar = ProgressBar::new(1);
        let style = ProgressStyle::with_template("{bar:24}  {msg}  {left}").expect("the template is well formed");
        bar.set_style(style.with_key("left", time_left));
        bar.enable_steady_tick(Duration::from_millis(250));
        Progress { bar, scans: AtomicU64::new(0) }
    }

    /// A line that names the print in the making, if somebody watches.
    pub(in crate::cli) fn printing(&self) -> Progress {
        let bar = ProgressBar::new_spinner();
        bar.enable_steady_tick(Duration::from_millis(250));
        Progress { bar, scans: AtomicU64::new(0) }
    }
}

/// Shows how far a batch is; nothing when nobody watches.
pub(in crate::cli) struct Progress {
    bar: ProgressBar,
    scans: AtomicU64,
}

impl Progress {
    /// Takes up what a batch tells. Each scan counts twice, measured and made, or once if it is only measured.
    pub(in crate::cli) fn tell(&self, event: Event<'_>) {
        let of_all = || self.scans.load(Ordering::Relaxed);
        match event {
            Event::Begin { scans, measure_only } => {
                let times = if measure_only { 1 } else { 2 };
                self.scans.store(scans as u64, Ordering::Relaxed);
                self.bar.set_length(times * scans as u64);
                self.bar.set_message(format!("measuring {}", count(scans, "scan")));
            }
            Event::Measured(name) => {
                self.bar.inc(1);
                self.bar.set_message(format!("{} of {} measured: {name}", self.bar.position(), of_all()));
            }
            Event::Made(name) => {
                self.bar.inc(1);
                let made = self.bar.position().saturating_sub(of_all());
                self.bar.set_message(format!("{made} of {} made: {name}", of_all()));
            }
            Event::Sheets => self.bar.set_message("laying out the proof sheet"),
        }
    }

    /// Names the print that is in the making.
    pub(in crate::cli) fn print(&self, file: &str) {
        self.bar.set_message(format!("printing {}", one_line(file)));
    }

    /// Names the scan that is held against its notes.
    pub(in crate::cli) fn remake(&self, scan: &str) {
        self.bar.set_message(format!("from its notes: {}", one_line(scan)));
    }

    /// Names what is looked at.
    pub(in crate::cli) fn look(&self, name: &str) {
        self.bar.set_message(format!("looking at {}", one_line(name)));
    }

    /// Lets something else be printed.
    pub(in crate::cli) fn suspend(&self, print: impl FnOnce()) {
        self.bar.suspend(print);
    }

    /// Clears the line.
    pub(in crate::cli) fn finish(self) {
        self.bar.finish_and_clear();
    }
}

/// The time left, once there is something to reckon it from.
fn time_left(state: &ProgressState, text: &mut dyn fmt::Write) {
    if state.pos() > 0 && !state.is_finished() {
        let _ = write!(text, "about {} left", HumanDuration(state.eta()));
    }
}
