//! How much memory may be used.

use clap::Args as Group;

use crate::batch::least_memory;

/// Bytes of memory that a job may use unless told otherwise: together two of them keep a sheet of 4 x 5 inch at 2400
/// ppi.
pub(super) const MEMORY_A_JOB: u64 = 200_000_000;

#[derive(Debug, Group)]
pub(super) struct MemoryArgs {
    /// Memory to be used, as 128MB or 1GB; compressed scans are unpacked only once if they fit [default: 200MB for each
    /// of --jobs]
    #[arg(long, value_name = "SIZE", value_parser = memory)]
    memory: Option<u64>,
}

impl MemoryArgs {
    pub(super) fn settle(&self, jobs: usize) -> u64 {
        self.memory.unwrap_or((MEMORY_A_JOB * jobs as u64).max(least_memory()))
    }
}

/// Bytes, at least what one scan takes.
pub(super) fn memory(word: &str) -> Result<u64, String> {
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn memory_is_read_with_its_unit() {
        // Enough for any number of threads that this may be tested with.
        assert_eq!(memory("9000MB"), Ok(9_000_000_000));
        assert_eq!(memory("12.5 gb"), Ok(12_500_000_000));
        assert!(memory("128").unwrap_err().contains("as 128MB"));
        assert!(memory("10MB").unwrap_err().contains("at least"));
        assert!(memory("-1GB").is_err() && memory("nanGB").is_err());
    }
}
