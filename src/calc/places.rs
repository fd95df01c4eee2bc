//! Where the cores of a layout start, pass the plate and stand: points in the box.
//! x along the studs, y towards the cover, z up from the gland plate.

use super::layout::{Arrangement, Layout, StartKind};
use super::vec3::{V3, add_scaled, dot, scale};

impl Layout {
    /// Place of stud `phase` (1 to 3) in plan.
    pub(super) fn stud(&self, phase: usize) -> [f64; 2] {
        [(phase as f64 - 2.0) * self.box_.stud_pitch_mm, 0.0]
    }

    /// Which start place (0 left, 1 middle, 2 right) feeds stud `phase`.
    pub(super) fn place_of(&self, phase: usize) -> usize {
        self.core_to_stud.iter().position(|&s| usize::try_from(s) == Ok(phase)).unwrap_or(1)
    }

    /// Place of a core in the bunch, in plan.
    pub(super) fn bunch(&self, place: usize) -> [f64; 2] {
        let d = self.start.core_dia_mm;
        match self.start.arrangement {
            Some(Arrangement::Trefoil) => {
                let at = [210.0, 90.0, 330.0][place.min(2)] + self.start.rotation_deg.unwrap_or(0.0);
                let angle = at.to_radians();
                // Circle through the centres of three touching cores.
                let radius = d / 3f64.sqrt();
                [radius * libm::cos(angle), radius * libm::sin(angle)]
            }
            Some(Arrangement::Row) | None => [(place as f64 - 1.0) * d, 0.0],
        }
    }

    /// Where a core begins its bend inside the box, in plan.
    pub(super) fn gate(&self, place: usize) -> [f64; 2] {
        match self.start.kind {
            StartKind::Crutch => self.bunch(place),
            StartKind::Entries => {
                let pitch = self.start.entry_pitch_mm.unwrap_or(0.0);
                [(place as f64 - 1.0) * pitch, 0.0]
            }
        }
    }

    /// Unit direction in which cable and cores rise where they pass the plate;
    /// `None` where they stand upright.
    pub(super) fn lean(&self) -> Option<V3> {
        let lean = self.start.lean_deg.filter(|lean| *lean > 0.0)?;
        let (sin, cos) = libm::sincos(lean.to_radians());
        let (across, along) = libm::sincos(self.start.lean_towards_deg.unwrap_or(0.0).to_radians());
        Some([sin * along, sin * across, cos])
    }

    /// How far cable and cores run aside for one mm of rise where they pass the
    /// plate: along the studs, and towards the cover.
    pub fn aside_of_rise(&self) -> [f64; 2] {
        self.lean().map_or([0.0, 0.0], |e| [e[0] / e[2], e[1] / e[2]])
    }

    /// Where the leaning axis through the middle of the plate is at a height.
    fn on_the_lean(&self, z: f64) -> V3 {
        match self.lean() {
            None => [0.0, 0.0, z],
            Some(e) => scale(e, z / e[2]),
        }
    }

    /// A core's centre in a bunch whose middle is at a height: the bunch lies
    /// square to the cable, so that it tips with its lean.
    pub(super) fn bunch_point(&self, place: usize, z: f64) -> V3 {
        let [x, y] = self.bunch(place);
        match self.lean() {
            None => [x, y, z],
            Some(e) => add_scaled(self.on_the_lean(z), tipped([x, y, 0.0], e), 1.0),
        }
    }

    /// Where a core of three single entries passes the inside face of the plate.
    pub(super) fn plate_point(&self, place: usize) -> V3 {
        let [x, y] = self.gate(place);
        [x, y, 0.0]
    }

    /// Where a core begins its bend inside the box: at the crutch, or at the top
    /// of its entry.
    pub(super) fn start_point(&self, place: usize) -> V3 {
        let z = self.start_height_mm();
        match self.start.kind {
            StartKind::Crutch => self.bunch_point(place, z),
            StartKind::Entries => add_scaled(self.on_the_lean(z), self.plate_point(place), 1.0),
        }
    }

    /// The insulation cut of a core, straight below its stud.
    pub(super) fn cut_point(&self, phase: usize) -> V3 {
        at_height(self.stud(phase), self.box_.gland_to_stud_mm - self.lug_insulation_end_to_stud_mm)
    }

    /// Least height between a core's start and its insulation cut: that of all
    /// three, save where a leaning bunch is tipped.
    pub(super) fn least_height_mm(&self) -> f64 {
        if self.lean().is_none() || self.start.kind == StartKind::Entries {
            return self.height_mm();
        }
        let lowest = self.box_.gland_to_stud_mm - self.lug_insulation_end_to_stud_mm;
        (0..3).map(|place| lowest - self.start_point(place)[2]).fold(f64::INFINITY, f64::min)
    }

    /// Largest sideways step of the three cores inside the box.
    pub(super) fn step_in_box(&self) -> f64 {
        largest_step(|place, phase| (self.gate(place), self.stud(phase)), self)
    }

    /// Largest sideways step between bunch and entries below the plate.
    pub(super) fn step_outside(&self) -> f64 {
        largest_step(|place, _| (self.bunch(place), self.gate(place)), self)
    }

    /// Depth of a crutch below the plate, where the job has one.
    pub(super) fn depth_below(&self) -> Option<f64> {
        match self.start.kind {
            StartKind::Crutch => None,
            StartKind::Entries => self.start.crutch_below_plate_mm,
        }
    }
}

/// Up from the plate.
pub(super) const UPRIGHT: V3 = [0.0, 0.0, 1.0];

/// A level vector turned with the axis `e`, which came from upright the shortest
/// way: its part along the lean tips, its part across stays.
fn tipped(v: V3, e: V3) -> V3 {
    let sin = (e[0] * e[0] + e[1] * e[1]).sqrt();
    let way = [e[0] / sin, e[1] / sin, 0.0];
    let along = dot(v, way);
    let across = add_scaled(v, way, -along);
    add_scaled(across, [way[0] * e[2], way[1] * e[2], -sin], along)
}

fn largest_step(ends: impl Fn(usize, usize) -> ([f64; 2], [f64; 2]), layout: &Layout) -> f64 {
    (1..=3)
        .map(|phase| {
            let (a, b) = ends(layout.place_of(phase), phase);
            plan_distance(a, b)
        })
        .fold(0.0, f64::max)
}

pub(super) fn plan_distance(a: [f64; 2], b: [f64; 2]) -> f64 {
    let (dx, dy) = (a[0] - b[0], a[1] - b[1]);
    (dx * dx + dy * dy).sqrt()
}

pub(super) fn at_height(plan: [f64; 2], z: f64) -> V3 {
    [plan[0], plan[1], z]
}

/// Along a cable that leans by `lean_deg` from upright, between two heights that
/// lie `height_mm` apart.
pub fn along_lean_mm(lean_deg: f64, height_mm: f64) -> f64 {
    height_mm / libm::cos(lean_deg.to_radians())
}
