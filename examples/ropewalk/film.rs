//! From light to density: the camera's flare, the curve of the emulsion, its grain.

use crate::camera::Image;

/// Part of the picture's mean light that the camera's inside spreads over all of it
/// (common practice: a clean lens and bellows give 0.3 to 1 %).
const CAMERA_FLARE: f64 = 0.005;

/// An emulsion as it was developed.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Emulsion {
    /// Density of base and fog.
    pub(crate) base: f64,
    /// Slope of the straight part.
    pub(crate) gradient: f64,
    /// How round the toe is, in log exposure.
    pub(crate) toe: f64,
    /// Log exposure from toe to shoulder, and how round the shoulder is.
    pub(crate) latitude: f64,
    pub(crate) shoulder: f64,
    /// Density noise of one scan pixel at total density 1.
    pub(crate) grain: f64,
}

impl Emulsion {
    /// Net density for a log exposure counted from where the straight part would begin.
    pub(crate) fn net(&self, log_exposure: f64) -> f64 {
        let bend = |x: f64, round: f64| {
            let t = x / round;
            // ln(1 + e^t), which for a large t is t itself.
            round * if t > 35.0 { t } else { t.exp().ln_1p() }
        };
        self.gradient * (bend(log_exposure, self.toe) - bend(log_exposure - self.latitude, self.shoulder))
    }
}

/// A picture on the film, not yet developed: exposures, 1 where the toe ends.
#[derive(Clone, Debug)]
pub(crate) struct Latent(Image);

/// Exposes so that the picture's geometric mean lies `placed` (log exposure) above the toe.
pub(crate) fn expose(mut picture: Image, placed: f64) -> Latent {
    let count = picture.light.len() as f64;
    let mean = picture.light.iter().sum::<f64>() / count;
    let logs: f64 = picture.light.iter().map(|light| (light + 1e-4 * mean).log10()).sum();
    let scale = 10f64.powf(placed - logs / count);
    for light in &mut picture.light {
        *light = (*light + CAMERA_FLARE * mean) * scale;
    }
    Latent(picture)
}

impl Latent {
    /// The exposure at a place of the picture, 0 to 1 across and down.
    pub(crate) fn at(&self, across: f64, down: f64) -> f64 {
        let (w, h) = (self.0.width, self.0.height);
        let x = (across * w as f64 - 0.5).clamp(0.0, w as f64 - 1.0);
        let y = (down * h as f64 - 0.5).clamp(0.0, h as f64 - 1.0);
        let (x0, y0) = (x.floor() as usize, y.floor() as usize);
        let (x1, y1) = ((x0 + 1).min(w - 1), (y0 + 1).min(h - 1));
        let (fx, fy) = (x - x0 as f64, y - y0 as f64);
        let row = |y: usize| {
            let (a, b) = (self.0.light[y * w + x0], self.0.light[y * w + x1]);
            a + (b - a) * fx
        };
        row(y0) + (row(y1) - row(y0)) * fy
    }
}
