//! What lies on the scanner: a sheet of film, its exposed area, the holder about it. Millimetres.

/// A place on the film or on the glass: millimetres right of and below the middle.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Place {
    pub(crate) x: f64,
    pub(crate) y: f64,
}

/// How a sheet lies on the glass.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Lying {
    /// In a holder that is black, its opening smaller than the sheet; turned by degrees.
    Holder { turned: f64 },
    /// The scan stops at the sheet's edges.
    EdgeToEdge,
    /// Bare on the glass, open light all round.
    OpenLight,
}

/// A sheet of 4 x 5 inch film (nominal; the sheet is a little smaller, common practice).
#[derive(Clone, Copy, Debug)]
pub(crate) struct Bed {
    pub(crate) lying: Lying,
    pub(crate) upright: bool,
    /// How the film is turned on the glass, degrees clockwise.
    pub(crate) tilt: f64,
    pub(crate) notches: bool,
}

/// What the light passes at one place.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Passes {
    Nothing,
    Open,
    /// Film: the part of the picture's exposure it got, and where in the picture (0 to 1).
    Film {
        exposed: f64,
        across: f64,
        down: f64,
    },
}

/// Sheet, exposed area and holder opening, short side and long side.
const SHEET: (f64, f64) = (100.5, 125.5);
const EXPOSED: (f64, f64) = (96.0, 120.0);
const OPENING: (f64, f64) = (99.3, 124.3);

/// Depth, half width and places (from the middle of the short side) of the code notches.
const NOTCHES: [(f64, f64, f64); 3] = [(2.0, 1.6, -42.5), (1.4, 1.0, -38.0), (1.4, 1.0, -35.0)];

/// Distance from a rectangle with rounded corners, negative inside.
fn outside(p: Place, size: (f64, f64), round: f64) -> f64 {
    let (x, y) = (p.x.abs() - size.0 / 2.0 + round, p.y.abs() - size.1 / 2.0 + round);
    x.max(0.0).hypot(y.max(0.0)) + x.max(y).min(0.0) - round
}

fn turned(p: Place, degrees: f64) -> Place {
    let (sin, cos) = degrees.to_radians().sin_cos();
    Place { x: p.x * cos - p.y * sin, y: p.x * sin + p.y * cos }
}

impl Bed {
    fn lay(&self, size: (f64, f64)) -> (f64, f64) {
        if self.upright { size } else { (size.1, size.0) }
    }

    /// What the scan covers, wide and high.
    pub(crate) fn covered(&self) -> (f64, f64) {
        let (w, h) = self.lay(SHEET);
        match self.lying {
            Lying::Holder { .. } => (w + 6.0, h + 6.0),
            Lying::EdgeToEdge => (w - 0.6, h - 0.6),
            Lying::OpenLight => (w + 5.0, h + 5.0),
        }
    }

    /// The exposed area, wide and high.
    pub(crate) fn exposed(&self) -> (f64, f64) {
        self.lay(EXPOSED)
    }

    /// The exposed area's corners on the glass, clockwise from top left.
    pub(crate) fn corners(&self) -> [Place; 4] {
        let (w, h) = self.exposed();
        [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)]
            .map(|(x, y)| turned(Place { x: x * w / 2.0, y: y * h / 2.0 }, self.tilt))
    }

    /// What the light passes at a place on the glass.
    pub(crate) fn at(&self, glass: Place) -> Passes {
        if self.shade(glass) > 0.0 {
            return Passes::Nothing;
        }
        let film = turned(glass, -self.tilt);
        if outside(film, self.lay(SHEET), 1.0) > 0.0 || self.notched(film) {
            return Passes::Open;
        }
        let (w, h) = self.exposed();
        // The camera's film holder stands a little off the film: its shadow is 0.3 mm soft.
        let part = (0.5 - outside(film, (w, h), 0.7) / 0.3).clamp(0.0, 1.0);
        Passes::Film { exposed: part * part * (3.0 - 2.0 * part), across: film.x / w + 0.5, down: film.y / h + 0.5 }
    }

    /// How far a place is inside bare rebate: from the picture, from the sheet's edge, from the holder.
    pub(crate) fn within_rebate(&self, glass: Place) -> f64 {
        let film = turned(glass, -self.tilt);
        if self.notches && self.on_end(film).y < 5.0 - SHEET.1 / 2.0 {
            return -1.0;
        }
        outside(film, self.exposed(), 0.7).min(-outside(film, self.lay(SHEET), 1.0)).min(-self.shade(glass))
    }

    /// How far a place is inside the picture.
    pub(crate) fn within_picture(&self, glass: Place) -> f64 {
        -outside(turned(glass, -self.tilt), self.exposed(), 0.7)
    }

    /// How far a place is under the holder, negative in its opening.
    fn shade(&self, glass: Place) -> f64 {
        match self.lying {
            Lying::Holder { turned: by } => outside(turned(glass, -by), self.lay(OPENING), 1.5),
            _ => -1e3,
        }
    }

    fn notched(&self, film: Place) -> bool {
        let on_end = self.on_end(film);
        self.notches
            && NOTCHES.iter().any(|&(deep, half, middle)| {
                ((on_end.x - middle) / half).hypot((on_end.y + SHEET.1 / 2.0) / deep) < 1.0
            })
    }

    /// A place of the film, the sheet stood on a short side.
    fn on_end(&self, film: Place) -> Place {
        if self.upright { film } else { Place { x: film.y, y: -film.x } }
    }
}
