//! The six sheets: which picture, which film, how it was exposed, how it lay on the glass.

use crate::bed::{Bed, Lying};
use crate::dust::Dust;
use crate::film::Emulsion;
use crate::pictures::{barrels, bench, blocks, coils, floats, lantern};
use crate::room::Room;
use crate::scanner::Flatbed;
use crate::tiff_file::Packed;

/// One sheet, from the room to the file.
pub(crate) struct Job {
    pub(crate) name: &'static str,
    pub(crate) kind: &'static str,
    pub(crate) about: &'static str,
    pub(crate) room: fn() -> Room,
    pub(crate) film: Emulsion,
    /// Log exposure of the picture's geometric mean above the toe.
    pub(crate) placed: f64,
    pub(crate) bed: Bed,
    pub(crate) flatbed: Flatbed,
    pub(crate) dust: Dust,
    pub(crate) packed: Packed,
    /// Density the film adds, channel by channel.
    pub(crate) tint: &'static [f64],
}

/// Film developed to the usual contrast.
const NORMAL: Emulsion =
    Emulsion { base: 0.17, gradient: 0.62, toe: 0.16, latitude: 3.1, shoulder: 0.30, grain: 0.0085 };

/// The sheets in the order of their names.
pub(crate) fn jobs() -> [Job; 6] {
    let flatbed = |ppi: f64, lamp: f64, seed: u64| Flatbed { ppi, lamp, stray: 0.003, seed };
    let bed = |lying: Lying, upright: bool| Bed { lying, upright, tilt: 0.0, notches: false };
    let straight = Lying::Holder { turned: 0.0 };
    [
        Job {
            name: "sheet-01",
            kind: "normal, in a holder",
            about: "Coils on the shelf",
            room: coils::room,
            film: NORMAL,
            placed: 0.95,
            bed: Bed { tilt: 0.12, ..bed(straight, false) },
            flatbed: flatbed(205.0, 0.94, 101),
            dust: Dust { specks: 22, hairs: 0 },
            packed: Packed::Deflate,
            tint: &[0.0],
        },
        Job {
            name: "sheet-02",
            kind: "thin, edge to edge",
            about: "Blocks on the wall",
            room: blocks::room,
            film: Emulsion { base: 0.13, gradient: 0.58, ..NORMAL },
            placed: 0.12,
            bed: bed(Lying::EdgeToEdge, true),
            flatbed: flatbed(215.0, 0.93, 102),
            dust: Dust { specks: 14, hairs: 1 },
            packed: Packed::Lzw,
            tint: &[0.0],
        },
        Job {
            name: "sheet-03",
            kind: "dense, two stops over, on open light, with notches",
            about: "Glass floats in the window",
            room: floats::room,
            film: Emulsion { base: 0.22, ..NORMAL },
            placed: 1.50,
            bed: Bed { notches: true, tilt: -0.25, ..bed(Lying::OpenLight, false) },
            flatbed: flatbed(206.0, 0.965, 103),
            dust: Dust { specks: 18, hairs: 0 },
            packed: Packed::Deflate,
            tint: &[0.0],
        },
        Job {
            name: "sheet-04",
            kind: "contrasty, in a holder",
            about: "Lantern on the bench",
            room: lantern::room,
            film: Emulsion { base: 0.26, gradient: 0.60, ..NORMAL },
            placed: 0.90,
            bed: bed(straight, true),
            flatbed: flatbed(203.0, 0.95, 104),
            dust: Dust { specks: 16, hairs: 0 },
            packed: Packed::Not,
            tint: &[0.0],
        },
        Job {
            name: "sheet-05",
            kind: "tilted and dusty, in a holder",
            about: "Corner of the store room",
            room: barrels::room,
            film: Emulsion { base: 0.18, gradient: 0.58, ..NORMAL },
            placed: 0.95,
            bed: Bed { tilt: 1.3, ..bed(Lying::Holder { turned: 1.05 }, false) },
            flatbed: flatbed(207.0, 0.92, 105),
            dust: Dust { specks: 130, hairs: 3 },
            packed: Packed::Lzw,
            tint: &[0.0],
        },
        Job {
            name: "sheet-06",
            kind: "RGB, in a holder",
            about: "The splicer's bench",
            room: bench::room,
            film: Emulsion { base: 0.15, gradient: 0.64, ..NORMAL },
            placed: 0.92,
            bed: Bed { tilt: -0.1, ..bed(straight, false) },
            flatbed: flatbed(165.0, 0.94, 106),
            dust: Dust { specks: 15, hairs: 1 },
            packed: Packed::Lzw,
            tint: &[0.012, 0.010, 0.0],
        },
    ]
}
