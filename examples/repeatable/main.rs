//! Does one negative always start from the same place? It is scanned brighter, darker, in other encodings, turned, at
//! half the resolution, in 8 bits; the flat positives are laid over that of the first scan.
//!
//! `cargo run --release --example repeatable -- repeatable-out`
//!
//! The negative is drawn, and drawn without the library.

#![allow(clippy::print_stdout, reason = "a table is what it is for")]

mod flats;
mod negative;

use std::error::Error;
use std::fs;
use std::path::{Path, PathBuf};

use dryside::batch::{self, Order, Wishes};
use dryside::scan::Halt;
use negative::{REFERENCE, Scanned};

/// Spread of density in one pixel of the full scan at net density 1: a fast film in a 4 x 5 inch sheet has less.
const GRAIN: f64 = 0.03;

fn main() -> Result<(), Box<dyn Error>> {
    let folder = std::env::args_os().nth(1).map(PathBuf::from);
    let folder = folder.ok_or("no folder given: name the folder to work in")?;
    let grain = std::env::args().nth(2).map_or(Ok(GRAIN), |word| word.parse())?;
    println!("difference in L*         a coil of rope  under a blank sky");
    println!("                         mean    99 %    mean    99 %");
    let negatives = [0.0, 0.25].map(|sky| negative::negative(grain, sky));
    let [coil, sky] = [&negatives[0], &negatives[1]].map(|negative| tones(&folder, negative, REFERENCE));
    let (coil, sky) = (coil?, sky?);
    for how in negative::others() {
        let coil = flats::apart(&coil, &tones(&folder, &negatives[0], how)?);
        let sky = flats::apart(&sky, &tones(&folder, &negatives[1], how)?);
        println!("{:24} {:.2}    {:.2}    {:.2}    {:.2}", how.name, coil.mean, coil.most, sky.mean, sky.most);
    }
    Ok(())
}

/// Scans the negative, makes its flat positive, and reads that.
fn tones(folder: &Path, negative: &[f64], how: Scanned) -> Result<Vec<f64>, Box<dyn Error>> {
    let scans = folder.join(how.name.replace(' ', "-"));
    fs::create_dir_all(&scans)?;
    fs::write(scans.join("dryside.toml"), format!("encoding = \"{}\"\n", how.encoding))?;
    negative::scan(negative, how, &scans.join("coil.tif"))?;
    let out = scans.with_extension("out");
    let order = Order {
        leave: Default::default(),
        scans,
        out: Some(out.clone()),
        flags: Wishes::default(),
        force: true,
        dry_run: false,
        jobs: 1,
        memory: 400_000_000,
        sheets: false,
        explain: false,
        dust_map: false,
        share: None,
        measure_only: false,
    };
    let outcome = batch::run(&order, &Halt::default(), &|_| {})?;
    for done in &outcome.scans {
        done.result.as_ref().map_err(String::as_str)?;
    }
    flats::tones(&out.join("flat/coil.tif"), &out.join("flat/coil.notes.toml"), how)
}
