//! One upright view of the box, along the row of studs or across it: walls,
//! plate, entries or cable, the cores with their tubes, the studs.

use super::canvas::Canvas;
use crate::facts::{Across, GapTo, Picture, PictureGap};

/// Where a view lies on the paper: paper mm for one mm, and the paper point of
/// the middle of the plate's inside face.
#[derive(Clone, Copy)]
pub(super) struct View {
    pub across: Across,
    pub k: f64,
    pub x0: f64,
    pub y0: f64,
    /// Nothing below this height is drawn.
    pub lowest: f64,
    /// Letters of the stations on one core.
    pub letters: bool,
}

/// Room over the studs in the drawing, mm of the box.
pub(super) const ABOVE: f64 = 26.0;
/// Breakout under the crutch, mm of the box. For the eye only.
const BREAKOUT: f64 = 25.0;
/// How far the entry fittings reach under the plate. For the eye only.
const FITTING: f64 = 12.0;

impl View {
    /// Paper point of a place in the box.
    pub fn at(&self, across: f64, z: f64) -> [f64; 2] {
        [self.x0 + across * self.k, self.y0 - z * self.k]
    }

    /// Paper point of a point in space.
    pub fn spot(&self, p: [f64; 3]) -> [f64; 2] {
        let across = match self.across {
            Across::Studs => p[0],
            Across::Depth => p[1],
        };
        self.at(across, p[2])
    }

    /// Extent of the box across the view: from, to. A distance that the job does
    /// not give takes the stud pitch, and its wall is drawn broken.
    pub fn extent(&self, picture: &Picture) -> [(f64, bool); 2] {
        match self.across {
            Across::Studs => {
                let half = picture.stud_pitch + picture.stud_to_wall;
                [(-half, true), (half, true)]
            }
            Across::Depth => depth(picture),
        }
    }

    /// Whether this view shows a gap in its true length.
    pub fn shows(&self, gap: &PictureGap) -> bool {
        match self.across {
            Across::Studs => matches!(gap.to, GapTo::Phase | GapTo::Plate | GapTo::Wall),
            Across::Depth => matches!(gap.to, GapTo::Cover | GapTo::Back),
        }
    }

    pub fn draw(&self, c: &mut Canvas, picture: &Picture) {
        self.shell(c, picture);
        self.start(c, picture);
        for phase in &picture.phases {
            for zone in &phase.zones {
                let outline = zone.outline(self.across);
                let mut outline: Vec<[f64; 2]> =
                    outline.iter().filter(|p| p[1] > self.lowest).map(|p| self.at(p[0], p[1])).collect();
                outline.dedup();
                let (fill, w) = fill(zone.name);
                c.poly(&outline, fill, w);
            }
            // Marks of one core only: three sets would crowd.
            if self.letters && phase.number == 3 {
                self.stations(c, &phase.stations);
            }
        }
        self.studs(c, picture);
    }

    fn stations(&self, c: &mut Canvas, stations: &[(char, [f64; 3], f64)]) {
        let mut last = f64::NEG_INFINITY;
        for (letter, p, dia) in stations {
            let at = self.spot(*p);
            let edge = at[0] + dia / 2.0 * self.k;
            // Two that stand close print one beside the other.
            let out = if at[1] - last < 3.6 { 8.0 } else { 3.0 };
            last = if out > 3.0 { f64::NEG_INFINITY } else { at[1] };
            c.line([edge, at[1]], [edge + out - 0.6, at[1]], 0.2, "solid");
            c.text([edge + out, at[1]], letter.to_string(), 9.0, true, "start");
        }
    }

    fn shell(&self, c: &mut Canvas, picture: &Picture) {
        let [(from, from_known), (to, to_known)] = self.extent(picture);
        let top = picture.gland_to_stud + ABOVE;
        let dash = |known: bool| if known { "solid" } else { "dash" };
        c.path(&[self.at(from, 0.0), self.at(from, top)], 0.7, dash(from_known));
        c.path(&[self.at(from, top), self.at(to, top)], 0.7, "solid");
        c.path(&[self.at(to, top), self.at(to, 0.0)], 0.7, dash(to_known));
        let (left, right) = (self.at(from, 0.0), self.at(to, 0.0));
        let thickness = (picture.plate_thickness * self.k).max(1.0);
        c.rect(left[0] - 2.5, left[1], right[0] + 2.5, right[1] + thickness, "cross", 0.5);
        if self.letters {
            c.text([right[0], right[1] + thickness + 2.8], "G", 9.0, true, "end");
        }
    }

    /// Entries, or the cable with its crutch.
    fn start(&self, c: &mut Canvas, picture: &Picture) {
        if let (Some(height), Some(pitch)) = (picture.entry_height, picture.entry_pitch) {
            let half = picture.core_dia * 0.75;
            let places: &[f64] = match self.across {
                Across::Studs => &[-1.0, 0.0, 1.0],
                Across::Depth => &[0.0],
            };
            for i in places {
                self.upright(c, picture, i * pitch, half, [-FITTING, height]);
            }
            match picture.crutch_below {
                Some(depth) if -depth - BREAKOUT > self.lowest => self.cable(c, picture, -depth),
                Some(_) => {}
                // Single-core cables: each up through its own entry to its sheath cut.
                None => {
                    let half = picture.cable_dia / 2.0;
                    for i in places {
                        self.upright(c, picture, i * pitch, half, [self.lowest, picture.sheath_cut]);
                    }
                }
            }
        } else if let Some(height) = picture.crutch_height {
            self.cable(c, picture, height);
        }
    }

    /// How far the cable runs aside across this view, at a height.
    fn aside(&self, picture: &Picture, z: f64) -> f64 {
        let [along, across] = picture.aside;
        z * if self.across == Across::Studs { along } else { across }
    }

    /// A fitting or a cable between two heights, round the axis that passes the
    /// plate at `x`, upright or by the cable's lean.
    fn upright(&self, c: &mut Canvas, picture: &Picture, x: f64, half: f64, [low, high]: [f64; 2]) {
        let [foot, head] = [low, high].map(|z| x + self.aside(picture, z));
        if foot == head {
            let (a, b) = (self.at(x - half, high), self.at(x + half, low));
            c.rect(a[0], a[1], b[0], b[1], "pale", 0.4);
        } else {
            let corners = [(head - half, high), (head + half, high), (foot + half, low), (foot - half, low)];
            c.poly(&corners.map(|(x, z)| self.at(x, z)), "pale", 0.4);
        }
    }

    /// The cable below its crutch, and the breakout.
    fn cable(&self, c: &mut Canvas, picture: &Picture, crutch: f64) {
        let half = picture.cable_dia / 2.0;
        self.upright(c, picture, 0.0, half, [self.lowest, crutch - BREAKOUT]);
        let wide = picture.core_dia * 1.6;
        let (foot, head) = (self.aside(picture, crutch - BREAKOUT), self.aside(picture, crutch));
        let points = [
            self.at(foot - half, crutch - BREAKOUT),
            self.at(head - wide, crutch),
            self.at(head + wide, crutch),
            self.at(foot + half, crutch - BREAKOUT),
        ];
        c.poly(&points, "grey", 0.4);
    }

    fn studs(&self, c: &mut Canvas, picture: &Picture) {
        let labels: &[(f64, &str)] = match self.across {
            Across::Studs => &[(-1.0, "L1"), (0.0, "L2"), (1.0, "L3")],
            Across::Depth => &[(0.0, "T0")],
        };
        for (i, label) in labels {
            let at = self.at(i * picture.stud_pitch, picture.gland_to_stud);
            c.circle(at, (8.0 * self.k).max(1.1), "black", 0.3);
            if self.across == Across::Studs {
                c.text([at[0], at[1] - 3.0], *label, 9.0, true, "middle");
            }
        }
    }
}

/// From the back wall to the cover, and which of the two the job gives.
pub(super) fn depth(picture: &Picture) -> [(f64, bool); 2] {
    let known = |given: Option<f64>| (given.unwrap_or(picture.stud_pitch), given.is_some());
    let ((back, back_known), (cover, cover_known)) =
        (known(picture.stud_to_back), known(picture.stud_to_cover));
    [(-back, back_known), (cover, cover_known)]
}

/// Filling and line of a zone.
pub(super) fn fill(zone: &str) -> (&'static str, f64) {
    match zone {
        "tube" => ("hatch", 0.45),
        "clear" => ("white", 0.35),
        _ => ("dots", 0.3),
    }
}
