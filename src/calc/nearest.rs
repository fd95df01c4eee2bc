//! Least distance of swept cores. A core between two stations is the union of
//! discs square to its axis, with flat ends.
//!
//! Between its end faces the surface of such a core is a smooth tube, and the
//! nearest points of two tubes lie where the line between the axes is square
//! to both: axis distance less both radii, found by Newton's steps. Everything
//! else involves an end face: one disc against the discs of the other core.
//! Samples serve only to bound, to prune and to begin from.

use super::disc::{Disc, Near, nearest};
use super::span::{Node, Span};
use super::vec3::{V3, add_scaled, cross, dist, dot, norm, scale, sub, unit};

/// Two figures nearer than this count as equal, so that the mirror image of a
/// pair never displaces it by the last bit of a sum.
const TIE_MM: f64 = 1e-7;

/// The least distance found so far.
#[derive(Debug, Clone, Copy)]
pub(super) struct Best {
    /// Below zero: how deep two tubes run into each other.
    pub signed: f64,
    pub found: Option<Found>,
}

#[derive(Debug, Clone, Copy)]
pub(super) struct Found {
    pub on: usize,
    pub to: usize,
    pub p: V3,
    pub q: V3,
    pub arcs: [f64; 2],
}

/// One span of one core against one of another; `on` and `to` are phases.
pub(super) struct Task<'a> {
    pub on: usize,
    pub to: usize,
    pub a: &'a Span<'a>,
    pub b: &'a Span<'a>,
    bound: f64,
}

impl<'a> Task<'a> {
    pub fn new(on: usize, a: &'a Span<'a>, to: usize, b: &'a Span<'a>) -> Self {
        let mut least = f64::INFINITY;
        for i in &a.nodes {
            for j in &b.nodes {
                let d = sub(i.p, j.p);
                least = least.min(dot(d, d));
            }
        }
        let bound = least.sqrt() - a.r - b.r - (a.spacing + b.spacing) / 2.0;
        Self { on, to, a, b, bound }
    }
}

impl Best {
    /// Nothing found yet; only distances below `cutoff` will be looked for.
    pub fn below(cutoff: f64) -> Self {
        Self { signed: cutoff, found: None }
    }

    fn offer(&mut self, signed: f64, found: impl FnOnce() -> Found) {
        if signed < self.signed - TIE_MM {
            self.signed = signed;
            self.found = Some(found());
        }
    }

    /// Works off all tasks, the most promising first.
    pub fn search(&mut self, mut tasks: Vec<Task<'_>>) {
        // Bounds of mirror images differ in the last bits: compare them coarsely.
        tasks.sort_by(|x, y| (x.bound * 1e4).round().total_cmp(&(y.bound * 1e4).round()));
        for task in &tasks {
            if task.bound >= self.signed {
                continue;
            }
            self.tube_to_tube(task);
            for node in task.a.faces() {
                self.face(task, &task.a.disc(node), node.u, task.b, false);
            }
            for node in task.b.faces() {
                self.face(task, &task.b.disc(node), node.u, task.a, true);
            }
        }
    }

    fn tube_to_tube(&mut self, task: &Task<'_>) {
        let (a, b) = (task.a, task.b);
        let width = b.nodes.len();
        let grid: Vec<f64> =
            a.nodes.iter().flat_map(|i| b.nodes.iter().map(move |j| dist(i.p, j.p))).collect();
        let slack = a.r + b.r + (a.spacing + b.spacing) / 2.0;
        for (at, &d) in grid.iter().enumerate() {
            if d - slack >= self.signed {
                continue;
            }
            let (i, j) = (at / width, at % width);
            let lower_beside = |di: isize, dj: isize| {
                let x = i.checked_add_signed(di).filter(|x| *x < a.nodes.len());
                let y = j.checked_add_signed(dj).filter(|y| *y < width);
                matches!((x, y), (Some(x), Some(y)) if grid[x * width + y] < d)
            };
            if (-1..=1).any(|di| (-1..=1).any(|dj| lower_beside(di, dj))) {
                continue;
            }
            self.refine(task, &a.nodes[i], &b.nodes[j]);
        }
    }

    fn refine(&mut self, task: &Task<'_>, i: &Node, j: &Node) {
        let (a, b) = (task.a, task.b);
        if let Some(line) = common_normal(a, b, i.u, j.u) {
            let signed = line.d - a.r - b.r;
            self.offer(signed, || {
                // Overlapping tubes touch half-way into the overlap.
                let dip = (-signed).max(0.0) / 2.0;
                Found {
                    on: task.on,
                    to: task.to,
                    p: add_scaled(line.p, line.n, dip - a.r),
                    q: add_scaled(line.q, line.n, b.r - dip),
                    arcs: [a.arc(line.u), b.arc(line.v)],
                }
            });
        }
    }

    /// One disc of a core against all discs of a span of the other.
    fn face(&mut self, task: &Task<'_>, disc: &Disc, u: f64, span: &Span<'_>, swapped: bool) {
        // Discs that touch have no depth to compare.
        if self.signed <= 0.0 {
            return;
        }
        if let Some((near, v)) = sweep(disc, span, self.signed) {
            self.offer(near.d, || {
                let (p, q, arcs) = if swapped {
                    (near.q, near.p, [task.a.arc(v), task.b.arc(u)])
                } else {
                    (near.p, near.q, [task.a.arc(u), task.b.arc(v)])
                };
                Found { on: task.on, to: task.to, p, q, arcs }
            });
        }
    }
}

struct Normal {
    d: f64,
    u: f64,
    v: f64,
    p: V3,
    q: V3,
    /// From `q` to `p`.
    n: V3,
}

/// The line square to both axes nearest to a pair of samples, when it lies
/// inside both spans.
fn common_normal(a: &Span<'_>, b: &Span<'_>, mut u: f64, mut v: f64) -> Option<Normal> {
    let ends = |s: &Span<'_>| Some((s.nodes.first()?.u, s.nodes.last()?.u));
    let ((u0, u1), (v0, v1)) = (ends(a)?, ends(b)?);
    let stride = 4.0 * (a.spacing + b.spacing);
    for _ in 0..40 {
        let (p, p1, p2) = a.piece.jet(u);
        let (q, q1, q2) = b.piece.jet(v);
        let e = sub(p, q);
        let (pp, qq, pq) = (dot(p1, p1), dot(q1, q1), dot(p1, q1));
        let (gu, gv) = (dot(e, p1), -dot(e, q1));
        let d = norm(e);
        let (speed_u, speed_v) = (pp.sqrt(), qq.sqrt());
        if speed_u <= 0.0 || speed_v <= 0.0 {
            return None;
        }
        if d < 1e-6 {
            // The axes themselves cross: any direction square to both will do.
            let n = unit(cross(p1, q1))?;
            return Some(Normal { d, u, v, p, q, n });
        }
        if gu.abs() <= 1e-9 * speed_u * d && gv.abs() <= 1e-9 * speed_v * d {
            let n = scale(e, 1.0 / d);
            return Some(Normal { d, u, v, p, q, n });
        }
        let (mut huu, mut hvv, huv) = (pp + dot(e, p2), qq - dot(e, q2), -pq);
        if huu <= 0.0 || hvv <= 0.0 || huu * hvv - huv * huv <= 1e-9 * pp * qq {
            // Not a bowl here: a damped step on the first derivatives alone.
            (huu, hvv) = (pp * 1.05, qq * 1.05);
        }
        let det = huu * hvv - huv * huv;
        let short = |step: f64, speed: f64| {
            let most = stride / speed;
            if step.is_finite() { step.max(-most).min(most) } else { 0.0 }
        };
        let nu = (u + short((huv * gv - hvv * gu) / det, speed_u)).max(u0).min(u1);
        let nv = (v + short((huv * gu - huu * gv) / det, speed_v)).max(v0).min(v1);
        if nu == u && nv == v {
            return None;
        }
        (u, v) = (nu, nv);
    }
    None
}

/// Least distance of a disc to the discs of a span, when it is below `cutoff`.
fn sweep(disc: &Disc, span: &Span<'_>, cutoff: f64) -> Option<(Near, f64)> {
    let mut best: Option<(Near, f64)> = None;
    let mut least = cutoff;
    let bounds: Vec<f64> = span.nodes.iter().map(|n| disc.distance_to(n.p) - span.r).collect();
    let half = span.spacing / 2.0;
    let first = (0..bounds.len()).min_by(|&i, &j| bounds[i].total_cmp(&bounds[j]))?;
    if bounds[first] - half >= least {
        return None;
    }
    let mut at: Vec<Option<Near>> = vec![None; bounds.len()];
    let rest = (0..bounds.len()).filter(|&k| k != first);
    for k in std::iter::once(first).chain(rest) {
        if bounds[k] - half >= least {
            continue;
        }
        let near = nearest(disc, &span.disc(&span.nodes[k]));
        if near.d < least {
            least = near.d;
            best = Some((near, span.nodes[k].u));
        }
        at[k] = Some(near);
    }
    for k in 0..at.len() {
        let Some(near) = at[k] else { continue };
        let beside = |i: Option<usize>| i.and_then(|i| at.get(i)).and_then(|n| n.map(|n| n.d));
        let (before, after) = (beside(k.checked_sub(1)), beside(Some(k + 1)));
        let is_low = before.is_none_or(|d| near.d <= d) && after.is_none_or(|d| near.d <= d);
        if near.d <= 0.0 || !is_low || near.d - span.spacing >= least {
            continue;
        }
        // The nearest point of a disc moves along the axis when its disc does.
        let node = &span.nodes[k];
        let downhill_after = slope(&near, node.t) > 0.0;
        let other = if downhill_after { k.checked_add(1) } else { k.checked_sub(1) };
        let Some(other) = other.and_then(|o| span.nodes.get(o)) else {
            continue;
        };
        let (near, u) = settle(disc, span, node, near, other);
        if near.d < least {
            least = near.d;
            best = Some((near, u));
        }
    }
    best
}

/// Above zero while the distance falls with growing `u`.
fn slope(near: &Near, t: V3) -> f64 {
    if near.d > 0.0 { dot(sub(near.p, near.q), t) / near.d } else { 0.0 }
}

/// Closes in on the least distance between sample `from`, where the distance
/// falls towards `other`, and `other`.
fn settle(disc: &Disc, span: &Span<'_>, from: &Node, near: Near, other: &Node) -> (Near, f64) {
    let way = if other.u > from.u { 1.0 } else { -1.0 };
    let mut best = (near, from.u);
    let (mut low, mut f_low) = (from.u, slope(&near, from.t) * way);
    let far = nearest(disc, &span.disc(other));
    let (mut high, mut f_high) = (other.u, slope(&far, other.t) * way);
    let length = dist(from.p, other.p).max(1e-12);
    let whole = (other.u - from.u).abs().max(1e-300);
    for round in 0..40 {
        // Secant where the signs allow it, and halving every third round.
        let secant = f_low / (f_low - f_high);
        let k =
            if round % 3 != 2 && f_high < 0.0 && secant.is_finite() { secant.clamp(0.02, 0.98) } else { 0.5 };
        let u = low + (high - low) * k;
        let disc_u = span.disc_at(u);
        let near = nearest(disc, &disc_u);
        if near.d < best.0.d {
            best = (near, u);
        }
        let f = slope(&near, disc_u.n) * way;
        if near.d <= 0.0 || f.abs() < 1e-7 {
            break;
        }
        if f > 0.0 {
            (low, f_low) = (u, f);
        } else {
            (high, f_high) = (u, f);
        }
        if (high - low).abs() / whole * length < 1e-5 {
            break;
        }
    }
    best
}
