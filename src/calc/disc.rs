//! Distance of two flat discs in space: the primitive under every gap between
//! cores. Plain geometry, needs no source.
//!
//! Both discs are convex, so a pair of points of which each is the nearest to
//! the other is the answer. The quick ways below only propose such a pair; it
//! is taken when projecting back and forth leaves it where it is.

use super::layout::in_range;
use super::refusal::Refusal;
use super::vec3::{V3, add_scaled, cross, dist, dot, norm, scale, sub, unit};
use serde::{Deserialize, Serialize};

/// Gaps below this count as touching and are given as 0, mm.
pub const TOUCHING_MM: f64 = 0.02;

/// Two discs: centre, normal (any length above zero) and radius of each.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
pub struct TwoDiscs {
    pub c1_mm: [f64; 3],
    pub n1: [f64; 3],
    pub r1_mm: f64,
    pub c2_mm: [f64; 3],
    pub n2: [f64; 3],
    pub r2_mm: f64,
}

/// Distance of two discs and the nearest point on each.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct DiscDistance {
    pub distance_mm: f64,
    pub from_mm: [f64; 3],
    pub to_mm: [f64; 3],
}

/// Distance of two flat discs; 0 below [`TOUCHING_MM`].
/// Refuses figures that are not numbers, negative radii and normals without a
/// direction.
pub fn disc_disc(two: &TwoDiscs) -> Result<DiscDistance, Refusal> {
    for v in [two.c1_mm, two.n1, two.c2_mm, two.n2] {
        in_range(&v.map(|x| (x, "disc")))?;
    }
    in_range(&[(two.r1_mm, "disc radius"), (two.r2_mm, "disc radius")])?;
    if two.r1_mm < 0.0 || two.r2_mm < 0.0 {
        return Err(Refusal::FigureOutOfRange("disc radius"));
    }
    let normal = |n: V3| unit(n).ok_or(Refusal::FigureOutOfRange("disc normal"));
    let near = nearest(
        &Disc { c: two.c1_mm, n: normal(two.n1)?, r: two.r1_mm },
        &Disc { c: two.c2_mm, n: normal(two.n2)?, r: two.r2_mm },
    );
    Ok(DiscDistance {
        distance_mm: if near.d < TOUCHING_MM { 0.0 } else { near.d },
        from_mm: near.p,
        to_mm: near.q,
    })
}

/// A disc with a unit normal.
#[derive(Debug, Clone, Copy)]
pub(super) struct Disc {
    pub c: V3,
    pub n: V3,
    pub r: f64,
}

/// Nearest points `p` and `q` of two discs and their distance.
#[derive(Debug, Clone, Copy)]
pub(super) struct Near {
    pub d: f64,
    pub p: V3,
    pub q: V3,
}

impl Disc {
    fn project(&self, x: V3) -> V3 {
        let v = sub(x, self.c);
        let flat = add_scaled(v, self.n, -dot(v, self.n));
        let out = norm(flat);
        let k = if out > self.r { self.r / out } else { 1.0 };
        add_scaled(self.c, flat, k)
    }

    pub fn distance_to(&self, x: V3) -> f64 {
        dist(x, self.project(x))
    }

    /// Direction in the disc's plane that rises fastest along `n`.
    fn rise(&self, n: V3) -> Option<V3> {
        unit(add_scaled(n, self.n, -dot(n, self.n)))
    }
}

pub(super) fn nearest(a: &Disc, b: &Disc) -> Near {
    let mut p = a.project(b.c);
    let mut q = b.project(p);
    for _ in 0..4 {
        let (p1, q1) = (a.project(q), b.project(a.project(q)));
        let moved = dist(p, p1) + dist(q, q1);
        (p, q) = (p1, q1);
        if moved < 1e-10 {
            return near(p, q);
        }
    }
    if let Some(common) = crossing(a, b) {
        return near(common, common);
    }
    // A rim of one against the face of the other, either way round.
    if let Some(found) = rim_to_face(b, a) {
        return Near { d: found.d, p: found.q, q: found.p };
    }
    if let Some(found) = rim_to_face(a, b) {
        return found;
    }
    if let Some(found) = rim_to_rim(a, b, p, q) {
        return found;
    }
    for _ in 0..2000 {
        let p1 = a.project(q);
        let q1 = b.project(p1);
        let moved = dist(q, q1);
        (p, q) = (p1, q1);
        if moved < 1e-8 {
            break;
        }
    }
    near(p, q)
}

fn near(p: V3, q: V3) -> Near {
    Near { d: dist(p, q), p, q }
}

/// A point that lies in both discs, where their planes cross.
fn crossing(a: &Disc, b: &Disc) -> Option<V3> {
    let along = cross(a.n, b.n);
    let sin = norm(along);
    if sin < 1e-9 {
        return None;
    }
    let along = scale(along, 1.0 / sin);
    // From a's centre, in a's plane, square to the line, until b's plane.
    let side = cross(along, a.n);
    let slope = dot(side, b.n);
    if slope.abs() < 1e-12 {
        return None;
    }
    let foot = add_scaled(a.c, side, dot(sub(b.c, a.c), b.n) / slope);
    let interval = |disc: &Disc| {
        let from = sub(disc.c, foot);
        let mid = dot(from, along);
        let off = add_scaled(from, along, -mid);
        let half = disc.r * disc.r - dot(off, off);
        (half >= 0.0).then(|| (mid - half.sqrt(), mid + half.sqrt()))
    };
    let ((a0, a1), (b0, b1)) = (interval(a)?, interval(b)?);
    let (from, to) = (a0.max(b0), a1.min(b1));
    (from <= to).then(|| add_scaled(foot, along, (from + to) / 2.0))
}

/// `p` on the rim of `a` right over a point `q` of the face of `b`.
fn rim_to_face(a: &Disc, b: &Disc) -> Option<Near> {
    let rise = a.rise(b.n)?;
    let height = dot(sub(a.c, b.c), b.n);
    let p = add_scaled(a.c, rise, if height > 0.0 { -a.r } else { a.r });
    settled(a, b, p, b.project(p))
}

fn settled(a: &Disc, b: &Disc, p: V3, q: V3) -> Option<Near> {
    let p1 = a.project(q);
    let q1 = b.project(p1);
    (dist(p, p1) + dist(q, q1) < 1e-8).then(|| near(p1, q1))
}

/// Newton's steps on the two angles round the rims, from the nearest rim
/// points of a rough pair.
fn rim_to_rim(a: &Disc, b: &Disc, p: V3, q: V3) -> Option<Near> {
    let mut ua = unit(sub(p, a.c))?;
    let mut ub = unit(sub(q, b.c))?;
    let turn = |u: V3, v: V3, by: f64| unit(add_scaled(u, v, by));
    for _ in 0..30 {
        let (va, vb) = (cross(a.n, ua), cross(b.n, ub));
        let e = sub(add_scaled(a.c, ua, a.r), add_scaled(b.c, ub, b.r));
        let (ga, gb) = (a.r * dot(e, va), -b.r * dot(e, vb));
        let haa = a.r * (a.r - dot(e, ua));
        let hbb = b.r * (b.r + dot(e, ub));
        let hab = -a.r * b.r * dot(va, vb);
        let det = haa * hbb - hab * hab;
        if haa <= 0.0 || hbb <= 0.0 || det <= 1e-14 * haa * hbb {
            return None;
        }
        let da = ((hab * gb - hbb * ga) / det).clamp(-0.5, 0.5);
        let db = ((hab * ga - haa * gb) / det).clamp(-0.5, 0.5);
        if !(da.is_finite() && db.is_finite()) {
            return None;
        }
        ua = turn(ua, va, da)?;
        ub = turn(ub, vb, db)?;
        if da.abs() * a.r + db.abs() * b.r < 1e-9 {
            break;
        }
    }
    settled(a, b, add_scaled(a.c, ua, a.r), add_scaled(b.c, ub, b.r))
}
