//! The axis of one core as a chain of smooth pieces from the stud downwards,
//! with its arc length. Every piece is a closed formula over `u` from 0 (upper
//! end) to 1 (lower end), so nothing is integrated but the length of an S-bend.

use super::hermite::Cubic;
use super::vec3::{V3, add_scaled, dot, norm, scale, sub};
use std::f64::consts::PI;

/// Where an axis is at one place: point and unit direction (downwards).
#[derive(Debug, Clone, Copy)]
pub(super) struct Spot {
    pub p: V3,
    pub t: V3,
}

#[derive(Debug, Clone)]
enum Shape {
    /// Straight line.
    Line { from: V3, run: V3 },
    /// S-bend: plan position goes with `(1 - cos)/2` of the height.
    Wave { low: V3, step: [f64; 2], height: f64 },
    /// Circle arc in a vertical plane, `p = foot + way (e R (1-cos f) + z R sin f)`,
    /// `f` from `first` to `last`.
    Arc { foot: V3, e: [f64; 2], way: f64, radius: f64, first: f64, last: f64 },
    /// A core that leans: curve of least bending, and its least radius.
    Cubic { curve: Cubic, radius: f64 },
}

/// One smooth piece and the arc length at which it begins.
#[derive(Debug, Clone)]
pub(super) struct Piece {
    shape: Shape,
    pub begins: f64,
    pub length: f64,
    /// S-bend and cubic only: arc length at the panel ends.
    panels: Option<Box<[f64; PANELS + 1]>>,
}

const PANELS: usize = 16;

/// Gauss-Legendre nodes and weights on (-1, 1), eight points.
const GAUSS: [(f64, f64); 4] = [
    (0.183_434_642_495_649_8, 0.362_683_783_378_362),
    (0.525_532_409_916_329, 0.313_706_645_877_887_3),
    (0.796_666_477_413_626_7, 0.222_381_034_453_374_5),
    (0.960_289_856_497_536_3, 0.101_228_536_290_376_26),
];

impl Piece {
    /// Point, first and second derivative by `u`.
    pub fn jet(&self, u: f64) -> (V3, V3, V3) {
        match &self.shape {
            Shape::Line { from, run } => (add_scaled(*from, *run, u), *run, [0.0; 3]),
            Shape::Wave { low, step, height } => {
                let (sin, cos) = libm::sincos(PI * (1.0 - u));
                let (off, d1, d2) = ((1.0 - cos) / 2.0, -PI * sin / 2.0, PI * PI * cos / 2.0);
                (
                    [low[0] + step[0] * off, low[1] + step[1] * off, low[2] + height * (1.0 - u)],
                    [step[0] * d1, step[1] * d1, -height],
                    [step[0] * d2, step[1] * d2, 0.0],
                )
            }
            Shape::Arc { foot, e, way, radius, first, last } => {
                let turn = last - first;
                let (sin, cos) = libm::sincos(first + turn * u);
                let r = way * radius;
                let along = |h: f64, v: f64| [e[0] * h, e[1] * h, v];
                (
                    add_scaled(*foot, along(1.0 - cos, sin), r),
                    scale(along(sin, cos), r * turn),
                    scale(along(cos, -sin), r * turn * turn),
                )
            }
            Shape::Cubic { curve, .. } => {
                let (first, second) = curve.slopes(u);
                (curve.at(u), first, second)
            }
        }
    }

    pub fn spot(&self, u: f64) -> Spot {
        let (p, d1, _) = self.jet(u);
        let n = norm(d1);
        let t = if n > 0.0 { scale(d1, 1.0 / n) } else { [0.0, 0.0, -1.0] };
        Spot { p, t }
    }

    /// Least radius of curvature anywhere on the piece; infinite when straight.
    pub fn least_radius(&self) -> f64 {
        match &self.shape {
            Shape::Line { .. } => f64::INFINITY,
            Shape::Arc { radius, .. } | Shape::Cubic { radius, .. } => *radius,
            Shape::Wave { step, height, .. } => {
                let s = norm([step[0], step[1], 0.0]);
                if s > 0.0 { 2.0 * height * height / (PI * PI * s) } else { f64::INFINITY }
            }
        }
    }

    /// Arc length from the upper end of the piece to `u`.
    pub fn arc(&self, u: f64) -> f64 {
        let Some(panels) = &self.panels else {
            return self.length * u;
        };
        let k = panel_of(u);
        let from = k as f64 / PANELS as f64;
        panels[k] + self.gauss(from, u)
    }

    /// The `u` at an arc length from the upper end of the piece.
    pub fn u_at(&self, arc: f64) -> f64 {
        if self.length <= 0.0 {
            return 0.0;
        }
        let Some(panels) = &self.panels else {
            return (arc / self.length).clamp(0.0, 1.0);
        };
        let k = panels[1..PANELS].partition_point(|&end| end <= arc);
        let (lo, hi) = (k as f64 / PANELS as f64, (k + 1) as f64 / PANELS as f64);
        let span = panels[k + 1] - panels[k];
        let mut u = lo + (hi - lo) * ((arc - panels[k]) / span).clamp(0.0, 1.0);
        for _ in 0..8 {
            let miss = panels[k] + self.gauss(lo, u) - arc;
            let speed = norm(self.jet(u).1);
            if miss.abs() < 1e-10 || speed <= 0.0 {
                break;
            }
            u = (u - miss / speed).max(lo).min(hi);
        }
        u
    }

    /// Arc length between two `u` of an S-bend or cubic by eight-point quadrature.
    fn gauss(&self, from: f64, to: f64) -> f64 {
        match &self.shape {
            Shape::Wave { step, height, .. } => {
                let s2 = step[0] * step[0] + step[1] * step[1];
                quadrature(from, to, |u| {
                    let side = PI / 2.0 * libm::sin(PI * u);
                    (height * height + s2 * side * side).sqrt()
                })
            }
            Shape::Cubic { curve, .. } => quadrature(from, to, |u| norm(curve.slopes(u).0)),
            Shape::Line { .. } | Shape::Arc { .. } => 0.0,
        }
    }
}

fn quadrature(from: f64, to: f64, speed: impl Fn(f64) -> f64) -> f64 {
    let (mid, half) = ((from + to) / 2.0, (to - from) / 2.0);
    GAUSS.iter().map(|&(x, w)| w * (speed(mid - half * x) + speed(mid + half * x))).sum::<f64>() * half
}

fn panel_of(u: f64) -> usize {
    ((u * PANELS as f64) as usize).min(PANELS - 1)
}

/// The whole axis of one core, from the stud to where its lowest piece begins.
#[derive(Debug, Clone)]
pub(super) struct Axis {
    pub pieces: Vec<Piece>,
    /// Arc length from the stud to the crutch or the top of the entry.
    pub start_arc: f64,
    /// Arc length from the stud to the start of the lowest piece.
    pub tail: f64,
}

impl Axis {
    pub fn new() -> Self {
        Self { pieces: Vec::with_capacity(4), start_arc: 0.0, tail: 0.0 }
    }

    fn push(&mut self, shape: Shape, length: f64) {
        if length <= 0.0 {
            return;
        }
        let mut piece = Piece { shape, begins: self.tail, length, panels: None };
        if matches!(piece.shape, Shape::Wave { .. } | Shape::Cubic { .. }) {
            let mut ends = Box::new([0.0; PANELS + 1]);
            for k in 0..PANELS {
                let at = |i: usize| i as f64 / PANELS as f64;
                ends[k + 1] = ends[k] + piece.gauss(at(k), at(k + 1));
            }
            piece.length = ends[PANELS];
            piece.panels = Some(ends);
        }
        self.tail += piece.length;
        self.pieces.push(piece);
    }

    pub fn line(&mut self, from: V3, to: V3) {
        let run = sub(to, from);
        self.push(Shape::Line { from, run }, norm(run));
    }

    /// S-bend from `high` down to `low`; a height of nothing adds nothing.
    pub fn wave(&mut self, high: V3, low: V3) {
        let (step, height) = ([high[0] - low[0], high[1] - low[1]], high[2] - low[2]);
        if step == [0.0, 0.0] {
            return self.line(high, low);
        }
        self.push(Shape::Wave { low, step, height }, height);
    }

    /// The curve of least bending between two points with their directions of
    /// rise, from `high` down to `low`; a straight line where there is none.
    pub fn cubic(&mut self, high: V3, rise_high: V3, low: V3, rise_low: V3) {
        match Cubic::between(high, scale(rise_high, -1.0), low, scale(rise_low, -1.0)) {
            Ok(curve) => {
                let radius = curve.least_radius();
                self.push(Shape::Cubic { curve, radius }, norm(sub(high, low)));
            }
            Err(_) => self.line(high, low),
        }
    }

    /// Two equal arcs of `radius` that begin upright at `low` and end upright
    /// over `high`, then straight on up to `high`. False when they do not fit.
    pub fn two_arcs(&mut self, high: V3, low: V3, radius: f64) -> bool {
        let step = [high[0] - low[0], high[1] - low[1]];
        let s = norm([step[0], step[1], 0.0]);
        if s < 1e-9 {
            self.line(high, low);
            return true;
        }
        let square = 4.0 * radius * s - s * s;
        let height = high[2] - low[2];
        if s > 2.0 * radius || square.sqrt() > height + 1e-9 {
            return false;
        }
        let turn = libm::acos(1.0 - s / (2.0 * radius));
        let e = [step[0] / s, step[1] / s];
        let top = [high[0], high[1], low[2] + square.sqrt()];
        self.line(high, top);
        for (foot, way, first, last) in [(top, -1.0, 0.0, turn), (low, 1.0, turn, 0.0)] {
            let shape = Shape::Arc { foot, e, way, radius, first, last };
            self.push(shape, radius * turn);
        }
        true
    }

    /// Least radius of curvature above the start or below it; infinite when
    /// straight.
    pub fn least_radius(&self, below: bool) -> f64 {
        let pieces = self.pieces.iter().filter(|p| (p.begins >= self.start_arc) == below);
        pieces.map(Piece::least_radius).fold(f64::INFINITY, f64::min)
    }

    /// Piece and `u` at an arc length; beyond the end, the end itself.
    pub fn locate(&self, arc: f64) -> (usize, f64) {
        let last = self.pieces.len().saturating_sub(1);
        let k = self.pieces.iter().take(last).take_while(|p| p.begins + p.length <= arc).count();
        let u = self.pieces.get(k).map_or(0.0, |p| p.u_at(arc - p.begins));
        (k, u)
    }

    /// Point and direction at an arc length from the stud.
    pub fn at(&self, arc: f64) -> Spot {
        let (k, u) = self.locate(arc);
        match self.pieces.get(k) {
            Some(piece) => piece.spot(u),
            None => Spot { p: [0.0; 3], t: [0.0, 0.0, -1.0] },
        }
    }

    /// Marks the present lower end as crutch or top of the entry.
    pub fn mark_start(&mut self) {
        self.start_arc = self.tail;
    }
}

/// How far a ring of radius `r` square to `t` reaches along the unit `n`.
pub(super) fn reach(r: f64, t: V3, n: V3) -> f64 {
    let along = dot(t, n);
    r * (1.0 - along * along).max(0.0).sqrt()
}
