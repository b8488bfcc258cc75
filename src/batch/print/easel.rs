//! Where the picture lies on its sheet, and where each pixel of it lies in the scan.

use std::fmt;
use std::str::FromStr;

use crate::light::{Millimetres, PixelsPerInch};
use crate::paper::PaperSize;
use crate::plane::{Area, Mapping, Point, Quad, Size};
use crate::scan::Orientation;

/// How a picture meets a sheet of another shape.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Meeting {
    /// All of it shows, and what it leaves of the sheet stays white.
    #[default]
    Fit,
    /// It fills the sheet, and what lies beyond is cut off, the same on both sides.
    Fill,
}

impl fmt::Display for Meeting {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Fit => "fit",
            Self::Fill => "fill",
        })
    }
}

impl FromStr for Meeting {
    type Err = String;

    fn from_str(word: &str) -> Result<Self, String> {
        match word {
            "fit" => Ok(Self::Fit),
            "fill" => Ok(Self::Fill),
            _ => Err(format!("\"{word}\": use fit or fill")),
        }
    }
}

/// The easel as it is set: what the paper is and how the picture lies on it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Easel {
    /// The sheet.
    pub size: PaperSize,
    /// Resolution of the print.
    pub ppi: PixelsPerInch,
    /// How the picture meets it.
    pub meeting: Meeting,
    /// Paper that stays white on all sides, at least.
    pub border: Millimetres,
    /// Degrees by which the frame lies turned clockwise in the scan, and is turned back.
    pub tilt: f64,
}

/// The most pixels of a sheet, and of one of its sides: as many as are read of a scan.
const MOST_PIXELS: u64 = 1_500_000_000;
const MOST_A_SIDE: f64 = 200_000.0;

/// A picture that is to have more pixels than the scan, by no more than this share, has enough: rounding and the
/// frame's outline cost as much.
const ENOUGH: f64 = 0.99;

/// A frame as it lies in the scan.
#[derive(Clone, Copy, Debug)]
pub(in crate::batch) struct Lying {
    /// Its outline, in pixels as stored.
    pub corners: Quad,
    /// Size of the scan.
    pub scan: Size,
    /// How the scan is turned upright.
    pub orientation: Orientation,
    /// Height of the scan's pixels over their width.
    pub pixel_shape: f64,
}

/// A picture laid on a sheet.
#[derive(Clone, Copy, Debug)]
pub(super) struct Laid {
    /// The sheet.
    pub sheet: Size,
    /// The picture on it.
    pub picture: Area,
    /// Where its pixels lie in the scan.
    pub mapping: Mapping,
    /// What of the scan may show.
    pub outline: Quad,
}

impl Lying {
    /// How far the frame is turned clockwise, in degrees, as the mean of its sides; to a hundredth.
    pub(in crate::batch) fn tilt(&self) -> f64 {
        let [a, b, c, d] = self.corners.scaled(1.0, self.pixel_shape).0;
        let across = |from: Point, to: Point| (to.y - from.y).atan2(to.x - from.x);
        let down = |from: Point, to: Point| (from.x - to.x).atan2(to.y - from.y);
        let mean = (across(a, b) + across(d, c) + down(a, d) + down(b, c)) / 4.0;
        (mean.to_degrees() * 1e2).round() / 1e2 + 0.0
    }

    /// Width and height of what shows of it upright, in widths of the scan's pixels; none where nothing does.
    pub(in crate::batch) fn upright(&self, tilt: f64) -> Option<(f64, f64)> {
        self.inner(tilt).map(|corners| Upright::of(corners, self.orientation).extent(self.pixel_shape))
    }

    /// The largest box, turned by `tilt`, that lies inside the frame and inside the scan: corners that are no right
    /// angles and sides that lie askew lose a little, and nothing that is no picture shows. Four corners from what is
    /// top left without the turn.
    fn inner(&self, tilt: f64) -> Option<[Point; 4]> {
        let square = |quad: Quad| quad.scaled(1.0, self.pixel_shape);
        let middle = square(self.corners).middle();
        let turned = |p: Point, degrees: f64| {
            let (sin, cos) = degrees.to_radians().sin_cos();
            let (x, y) = (p.x - middle.x, p.y - middle.y);
            Point { x: middle.x + cos * x - sin * y, y: middle.y + sin * x + cos * y }
        };
        // Inside a quad that lies nearly upright: between the inner ones of the corners of each side.
        let between = |quad: Quad| {
            let [a, b, c, d] = square(quad).0.map(|p| turned(p, -tilt));
            [a.x.max(d.x), a.y.max(b.y), b.x.min(c.x), c.y.min(d.y)]
        };
        let (frame, scan) = (between(self.corners), between(Quad::of(self.scan.whole())));
        let (left, top) = (frame[0].max(scan[0]), frame[1].max(scan[1]));
        let (right, bottom) = (frame[2].min(scan[2]), frame[3].min(scan[3]));
        let corners = [(left, top), (right, top), (right, bottom), (left, bottom)];
        let stored = |(x, y)| {
            let back = turned(Point { x, y }, tilt);
            Point { x: back.x, y: back.y / self.pixel_shape }
        };
        (right - left >= 1.0 && bottom - top >= 1.0).then(|| corners.map(stored))
    }
}

impl Easel {
    /// Lays a frame on the sheet: upright, in the middle of what the border leaves.
    ///
    /// # Errors
    /// When there is no room for it, or the sheet has too many pixels.
    pub(super) fn lay(&self, frame: &Lying) -> Result<Laid, String> {
        let corners =
            frame.inner(self.tilt).ok_or("the frame's outline holds no picture: put it right in the notes")?;
        let whole = Upright::of(corners, frame.orientation);
        let (width, height) = whole.extent(frame.pixel_shape);
        let (sheet_width, sheet_height) = self.size.turned_for((width, height));
        let pixels = |length: Millimetres| length.pixels(self.ppi).round();
        let [across, down, border] = [sheet_width, sheet_height, self.border].map(pixels);
        if across.max(down) > MOST_A_SIDE || across * down > MOST_PIXELS as f64 {
            return Err(format!(
                "{} at {} ppi are {across} x {down} pixels, more than are made: take fewer ppi",
                self.size,
                self.ppi.value()
            ));
        }
        let (room_across, room_down) = (across - 2.0 * border, down - 2.0 * border);
        if room_across < 1.0 || room_down < 1.0 {
            return Err(format!(
                "a border of {} mm leaves nothing of {}: make it narrower",
                self.border.value(),
                self.size
            ));
        }
        let shape = (room_across / room_down) / (width / height);
        let (share, room) = match self.meeting {
            Meeting::Fit => ((1.0, 1.0), (room_across / shape.max(1.0), room_down * shape.min(1.0))),
            Meeting::Fill => ((shape.min(1.0), 1.0 / shape.max(1.0)), (room_across, room_down)),
        };
        let picture = (room.0.round().max(1.0), room.1.round().max(1.0));
        let mapping = whole.cut(share).mapping(picture);
        let from = |all: f64, part: f64| ((all - part) / 2.0).floor() as u32;
        Ok(Laid {
            sheet: Size { width: across as u32, height: down as u32 },
            picture: Area {
                x: from(across, picture.0),
                y: from(down, picture.1),
                width: picture.0 as u32,
                height: picture.1 as u32,
            },
            mapping,
            outline: Quad(corners),
        })
    }
}

impl Laid {
    /// Pixels of the scan under the picture, across and down.
    pub(super) fn scanned(&self) -> (f64, f64) {
        let length = |p: Point| p.x.hypot(p.y);
        let (across, down) = (length(self.mapping.across), length(self.mapping.down));
        (f64::from(self.picture.width) * across, f64::from(self.picture.height) * down)
    }

    /// Whether the scan has a pixel for each of the picture's, as good as.
    pub(super) fn is_enough(&self) -> bool {
        let (across, down) = self.scanned();
        across >= ENOUGH * f64::from(self.picture.width) && down >= ENOUGH * f64::from(self.picture.height)
    }
}

/// A picture seen upright: its top left corner in the scan, and the ways to its top right and bottom left ones.
#[derive(Clone, Copy)]
struct Upright {
    corner: Point,
    across: Point,
    down: Point,
}

impl Upright {
    /// The box with these corners, which are clockwise as stored.
    fn of(corners: [Point; 4], orientation: Orientation) -> Self {
        const UNIT: Size = Size { width: 1, height: 1 };
        let places = [(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)].map(|(x, y)| Point { x, y });
        // The stored corner that shows where `place` is when the picture stands upright.
        let showing = |place: Point| {
            let shows = |stored: &Point| orientation.upright_place(*stored, UNIT) == place;
            corners[places.iter().position(shows).unwrap_or(0)]
        };
        let corner = showing(places[0]);
        let way = |to: Point| Point { x: to.x - corner.x, y: to.y - corner.y };
        Self { corner, across: way(showing(places[1])), down: way(showing(places[3])) }
    }

    /// Width and height, in widths of the scan's pixels.
    fn extent(&self, pixel_shape: f64) -> (f64, f64) {
        let length = |p: Point| p.x.hypot(p.y * pixel_shape);
        (length(self.across), length(self.down))
    }

    /// Its middle, of which these shares of width and height are left.
    fn cut(self, (across, down): (f64, f64)) -> Self {
        let times = |p: Point, share: f64| Point { x: p.x * share, y: p.y * share };
        let (left, top) = (times(self.across, (1.0 - across) / 2.0), times(self.down, (1.0 - down) / 2.0));
        Self {
            corner: Point { x: self.corner.x + left.x + top.x, y: self.corner.y + left.y + top.y },
            across: times(self.across, across),
            down: times(self.down, down),
        }
    }

    fn mapping(self, (width, height): (f64, f64)) -> Mapping {
        Mapping {
            origin: self.corner,
            across: Point { x: self.across.x / width, y: self.across.y / width },
            down: Point { x: self.down.x / height, y: self.down.y / height },
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const SCAN: Size = Size { width: 1060, height: 860 };

    fn frame(corners: [(f64, f64); 4]) -> Lying {
        let corners = Quad(corners.map(|(x, y)| Point { x, y }));
        Lying { corners, scan: SCAN, orientation: Orientation::TopLeft, pixel_shape: 1.0 }
    }

    fn upright() -> Lying {
        frame([(50.0, 40.0), (1050.0, 40.0), (1050.0, 840.0), (50.0, 840.0)])
    }

    fn easel(size: &str, ppi: f64) -> Easel {
        let ppi = PixelsPerInch::new(ppi).unwrap();
        Easel { size: size.parse().unwrap(), ppi, meeting: Meeting::Fit, border: Millimetres::default(), tilt: 0.0 }
    }

    fn close(a: Point, x: f64, y: f64) -> bool {
        (a.x - x).abs() < 1e-9 && (a.y - y).abs() < 1e-9
    }

    /// Arithmetic: 254 x 203.2 mm at 100 ppi are 1000 x 800 pixels, which is the frame itself.
    #[test]
    fn a_sheet_of_the_frames_shape_is_filled_by_it() {
        let laid = easel("10x8in", 100.0).lay(&upright()).unwrap();
        assert_eq!(laid.sheet, Size { width: 1000, height: 800 });
        assert_eq!(laid.picture, laid.sheet.whole());
        assert!(close(laid.mapping.of(0.0, 0.0), 50.0, 40.0) && close(laid.mapping.of(1000.0, 800.0), 1050.0, 840.0));
        assert!(laid.is_enough() && !easel("10x8in", 102.0).lay(&upright()).unwrap().is_enough());
    }

    #[test]
    fn a_picture_fits_or_fills_a_sheet_of_another_shape() {
        let square = easel("8x8in", 100.0);
        let fit = square.lay(&upright()).unwrap();
        assert_eq!(fit.picture, Area { x: 0, y: 80, width: 800, height: 640 });
        assert!(close(fit.mapping.of(800.0, 640.0), 1050.0, 840.0));
        let fill = Easel { meeting: Meeting::Fill, ..square }.lay(&upright()).unwrap();
        assert_eq!(fill.picture, fill.sheet.whole());
        // The middle 800 of the frame's 1000 columns.
        assert!(close(fill.mapping.of(0.0, 0.0), 150.0, 40.0) && close(fill.mapping.of(800.0, 800.0), 950.0, 840.0));
        assert_eq!(fill.outline, fit.outline, "what is cut off may still be read around an edge");
    }

    #[test]
    fn a_border_stays_free_on_all_sides() {
        let laid = Easel { border: Millimetres::new(25.4), ..easel("12x10in", 100.0) }.lay(&upright()).unwrap();
        assert_eq!(laid.sheet, Size { width: 1200, height: 1000 });
        assert_eq!(laid.picture, Area { x: 100, y: 100, width: 1000, height: 800 });
        let wide = Easel { border: Millimetres::new(130.0), ..easel("10x10in", 100.0) };
        assert!(wide.lay(&upright()).unwrap_err().contains("make it narrower"));
        assert!(easel("10x10in", 30_000.0).lay(&upright()).unwrap_err().contains("take fewer ppi"));
    }

    /// TIFF 6.0, Orientation, through the type that holds the standard's table: stored corners show where it says.
    #[test]
    fn a_scan_that_was_turned_lies_upright_on_the_sheet() {
        for value in 1..=8 {
            let orientation = Orientation::new(value).unwrap();
            let laid = easel("10x8in", 100.0).lay(&Lying { orientation, ..upright() }).unwrap();
            let tall = orientation.swaps_axes();
            assert_eq!(laid.sheet.width, if tall { 800 } else { 1000 }, "{value}");
            let (width, height) = (f64::from(laid.picture.width), f64::from(laid.picture.height));
            for (x, y) in [(0.0, 0.0), (width, 0.0), (0.3 * width, 0.9 * height)] {
                let stored = laid.mapping.of(x, y);
                let in_frame = Point { x: stored.x - 50.0, y: stored.y - 40.0 };
                let back = orientation.upright_place(in_frame, Size { width: 1000, height: 800 });
                assert!(close(back, x, y), "{value}: {back:?} for {x}, {y}");
            }
        }
    }

    #[test]
    fn a_tilted_frame_shows_no_surroundings_and_straightened_nearly_all_of_itself() {
        let (sin, cos) = 1.5f64.to_radians().sin_cos();
        let around = [(-400.0, -300.0), (400.0, -300.0), (400.0, 300.0), (-400.0, 300.0)];
        let tilted = frame(around.map(|(x, y): (f64, f64)| (530.0 + cos * x - sin * y, 430.0 + sin * x + cos * y)));
        assert_eq!(tilted.tilt(), 1.5);
        for (tilt, least) in [(0.0, 0.90), (1.5, 0.9999)] {
            let laid = Easel { tilt, ..easel("8x6in", 100.0) }.lay(&tilted).unwrap();
            let kept = laid.outline.area() / tilted.corners.area();
            assert!((least..=1.0 + 1e-9).contains(&kept), "{tilt}: {kept}");
            let a_little_in = laid.outline.drawn_in(1e-9, 1e-9).0;
            assert!(a_little_in.into_iter().all(|corner| tilted.corners.holds(corner)), "{tilt}");
        }
    }

    /// A frame that the scan cuts: its corners lie outside, and there is no picture there.
    #[test]
    fn what_the_scan_cuts_off_is_not_shown() {
        let cut = frame([(-30.0, 20.0), (1000.0, 20.0), (1000.0, 900.0), (-30.0, 900.0)]);
        let laid = easel("10x8in", 50.0).lay(&cut).unwrap();
        assert_eq!(laid.outline.bounds(SCAN), Area { x: 0, y: 20, width: 1000, height: 840 });
        let nothing = frame([(0.0, 0.0), (0.5, 0.0), (0.5, 100.0), (0.0, 100.0)]);
        assert!(easel("10x8in", 50.0).lay(&nothing).is_err());
    }

    /// Pixels twice as dense down as across: the picture is half as high as its rows say.
    #[test]
    fn pixels_that_are_not_square_are_told() {
        let flat = Lying { pixel_shape: 0.5, ..upright() };
        let laid = easel("10x4in", 100.0).lay(&flat).unwrap();
        assert_eq!(laid.picture, Area { x: 0, y: 0, width: 1000, height: 400 });
        assert!(close(laid.mapping.of(1000.0, 400.0), 1050.0, 840.0));
    }
}
