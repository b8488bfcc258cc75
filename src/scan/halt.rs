//! Stopping early, when the person at the desk asks for it.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

/// Whether work is to stop. Clones are one: what asks one of them asks all.
#[derive(Clone, Debug, Default)]
pub struct Halt(Arc<AtomicBool>);

impl Halt {
    /// Asks everybody to stop; tells whether that had been asked before.
    pub fn ask(&self) -> bool {
        self.0.swap(true, Ordering::Relaxed)
    }

    /// Whether it was asked.
    pub fn is_asked(&self) -> bool {
        self.0.load(Ordering::Relaxed)
    }
}
