//! Buffers and counters that threads use one after another.

use std::sync::{Mutex, PoisonError};

/// Things that are dear to make: fresh memory for every band would cost as much as reading it.
#[derive(Debug)]
pub struct Shelf<T>(Mutex<Vec<T>>);

impl<T> Default for Shelf<T> {
    fn default() -> Self {
        Self(Mutex::new(Vec::new()))
    }
}

impl<T> Shelf<T> {
    /// Takes one off, if one is there.
    pub fn take(&self) -> Option<T> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner).pop()
    }

    /// Puts one back.
    pub fn put(&self, thing: T) {
        self.0.lock().unwrap_or_else(PoisonError::into_inner).push(thing);
    }

    /// Lends one out for `work`, a new one if all are in use.
    pub fn lend<R>(&self, new: impl FnOnce() -> T, work: impl FnOnce(&mut T) -> R) -> R {
        let mut thing = self.take().unwrap_or_else(new);
        let result = work(&mut thing);
        self.put(thing);
        result
    }

    /// All that lie on it.
    pub fn into_all(self) -> Vec<T> {
        self.0.into_inner().unwrap_or_else(PoisonError::into_inner)
    }
}
