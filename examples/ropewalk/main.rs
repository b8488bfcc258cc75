//! Makes the demo scans: six invented 4 x 5 inch negatives of a ropewalk's store room, scanned on a flatbed.
//!
//! `cargo run --release --example ropewalk -- fixtures/ropewalk`
//!
//! Nothing here is read from anywhere: a small still life is ray-marched, exposed on a film with a curve and
//! grain, laid on a scanner with a lamp, a lens and dust, and written with what is known about it. The
//! example does not use the library, so what it knows is independent of what the library measures.

mod bed;
mod camera;
mod dust;
mod film;
mod goods;
mod jobs;
mod noise;
mod pictures;
mod room;
mod rope;
mod scanner;
mod settle;
mod shape;
mod stuff;
mod tiff_file;
mod truth;
mod vector;

use std::error::Error;
use std::fs;
use std::path::{Path, PathBuf};

use jobs::{Job, jobs};
use tiff_file::Label;
use truth::{Truth, Truths};

fn main() -> Result<(), Box<dyn Error>> {
    let folder = std::env::args_os().nth(1).map(PathBuf::from);
    let folder = folder.ok_or("no folder given: name the folder to write the scans to")?;
    fs::create_dir_all(&folder)?;
    let mut truths = Truths { sheet: Vec::new() };
    for (number, job) in (1..).zip(jobs()) {
        truths.sheet.push(make(&folder, number, &job)?);
    }
    let head = "# Known because the scans were made by examples/ropewalk; densities are -log10 of linear light.\n\n";
    fs::write(folder.join("truth.toml"), format!("{head}{}", toml::to_string(&truths)?))?;
    fs::write(folder.join("README.md"), readme())?;
    Ok(())
}

/// Takes, develops, scans and writes one sheet.
fn make(folder: &Path, number: u32, job: &Job) -> Result<Truth, Box<dyn Error>> {
    let exposed = job.bed.exposed();
    let width = (exposed.0 * job.flatbed.scale()).round() as usize;
    let picture = camera::take(&(job.room)(), exposed, width, job.flatbed.seed);
    let latent = film::expose(picture, job.placed);
    let scan = job.flatbed.scan(&job.bed, &latent, &job.film, job.dust, job.tint);
    let file = format!("{}.tif", job.name);
    let label = Label {
        about: format!("{}, 4x5 negative", job.about),
        when: format!("2026:03:14 10:0{number}:00"),
        ppi: job.flatbed.ppi,
    };
    tiff_file::write(&folder.join(&file), &scan, job.packed, &label)?;
    let tint = job.tint[job.tint.len() / 2];
    Ok(truth::truth(&file, job.kind, job.about, &job.bed, &job.flatbed, &scan, tint))
}

/// What lies in the folder, for whoever opens it.
fn readme() -> String {
    let sheets: String =
        jobs().iter().map(|job| format!("- `{}.tif` {}: {}.\n", job.name, job.about, job.kind)).collect();
    format!(
        "# The store room of a ropewalk\n\n\
         Six 4 x 5 inch negatives as a flatbed scanner delivers them, 16 bit. Everything is invented and drawn.\n\n\
         {sheets}\n\
         Made, byte for byte, by `cargo run --release --example ropewalk -- fixtures/ropewalk`.\n\
         `truth.toml` holds what is known about each because it was made. Free of any rights.\n"
    )
}
