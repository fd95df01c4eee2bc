//! From a picture to the texts of its codes: at several sizes, against several
//! neighbourhoods, until a code reads or nothing is left to try.

use crate::finder::{DIRTY, Finder, WHOLE, finders};
use crate::fit::{Flat, Map, Point, anchors};
use crate::gray::Gray;
use crate::threshold::Dark;

/// A code that was read.
#[derive(Clone, Debug, PartialEq)]
pub struct Code {
    pub text: String,
    /// Middles of its three corner marks and of its fourth corner, pixels of the
    /// picture as decoded.
    pub corners: [Point; 4],
    /// Modules along a side.
    pub modules: usize,
}

/// How far something reaches beyond the code printed on it, in sides of the code.
#[derive(Clone, Copy, Debug)]
pub struct Beyond {
    pub left: f32,
    pub right: f32,
    pub above: f32,
    pub below: f32,
}

/// Most codes told apart in one picture; a picture with more is none of cards.
const MOST: usize = 16;
/// Triples of corner marks tried in one picture at one size.
const TRIES: usize = 60;

/// Every code found, in order of place.
pub fn codes(picture: &Gray) -> Vec<Code> {
    let mut found: Vec<Code> = Vec::new();
    let mut sizes = vec![(picture.clone(), 1.0f32)];
    while let Some((last, by)) = sizes.last()
        && last.width.min(last.height) >= 600
        && sizes.len() < 4
    {
        sizes.push((last.half(), by * 2.0));
    }
    // The middle sizes first: quick, and right for most cards.
    sizes.sort_by_key(|(g, _)| g.width.abs_diff(1600));
    for (gray, by) in &sizes {
        look(gray, *by, &mut found);
    }
    // Nothing read: once more with uneven light and with blur taken out.
    let others: [fn(&Gray) -> Gray; 3] = [Gray::logarithms, |g| g.sharper(2), |g| g.sharper(4)];
    for other in others {
        for (gray, by) in &sizes {
            if found.is_empty() {
                look(&other(gray), *by, &mut found);
            }
        }
    }
    // Still nothing: dirt across the corner marks, or one of them covered.
    for (gray, by) in &sizes {
        for (r, step) in neighbourhoods(gray) {
            if found.is_empty() {
                let marks = finders(&Dark::new(gray, r, step), DIRTY);
                at_one_size(gray, &marks, *by, &mut found);
                if found.is_empty() {
                    found.extend(from_two_marks(gray, &marks, *by));
                }
            }
        }
    }
    found.sort_by(|a, b| {
        let (p, q) = (a.corners[0], b.corners[0]);
        p.1.total_cmp(&q.1).then(p.0.total_cmp(&q.0))
    });
    found
}

fn look(gray: &Gray, by: f32, found: &mut Vec<Code>) {
    for (r, step) in neighbourhoods(gray) {
        let dark = Dark::new(gray, r, step);
        at_one_size(gray, &finders(&dark, WHOLE), by, found);
    }
}

/// Wide and narrow squares against which a pixel is dark, and by how much it must be.
fn neighbourhoods(gray: &Gray) -> [(usize, u8); 2] {
    [(gray.width / 60 + 8, 3), (14, 2)]
}

fn at_one_size(gray: &Gray, marks: &[Finder], by: f32, found: &mut Vec<Code>) {
    let mut tries = 0;
    for triple in triples(marks) {
        if found.len() >= MOST || tries >= TRIES {
            return;
        }
        let middle = ((triple.1.0 + triple.2.0) / 2.0 * by, (triple.1.1 + triple.2.1) / 2.0 * by);
        if found.iter().any(|c| inside(middle, &c.corners)) {
            continue;
        }
        tries += 1;
        let (a, b, c, module) = triple;
        let start = [a, b, c, (b.0 + c.0 - a.0, b.1 + c.1 - a.1)];
        if let Some(code) = try_place(gray, start, module, By::ThreeMarks) {
            let code = code.times(by);
            if !found.iter().any(|c| inside(code.corners[0], &c.corners)) {
                found.push(code);
            }
        }
    }
}

/// Corner, right and lower mark, and their modules' mean length.
type Triple = (Point, Point, Point, f32);

/// Sets of three marks that could belong to one code, the likeliest first.
fn triples(marks: &[Finder]) -> Vec<Triple> {
    let marks = &marks[..marks.len().min(48)];
    let mut all: Vec<(f32, Triple)> = Vec::new();
    for a in marks {
        for (i, b) in marks.iter().enumerate() {
            for c in &marks[i + 1..] {
                if let Some(one) = triple(a, b, c) {
                    all.push(one);
                }
            }
        }
    }
    all.sort_by(|x, y| x.0.total_cmp(&y.0));
    all.into_iter().map(|(_, t)| t).collect()
}

fn triple(a: &Finder, b: &Finder, c: &Finder) -> Option<(f32, Triple)> {
    let sizes = [a.module(), b.module(), c.module()];
    let (low, high) =
        (sizes.iter().copied().fold(f32::MAX, f32::min), sizes.iter().copied().fold(0.0, f32::max));
    if high > low * 1.9 + 0.6 {
        return None;
    }
    let (ab, ac) = ((b.x - a.x, b.y - a.y), (c.x - a.x, c.y - a.y));
    let (lb, lc) = (ab.0.hypot(ab.1), ac.0.hypot(ac.1));
    let module = (sizes[0] + sizes[1] + sizes[2]) / 3.0;
    let (short, long) = (lb.min(lc), lb.max(lc));
    if short < module * 7.0 || long > module * 80.0 || long > short * 2.4 {
        return None;
    }
    let cross = (ab.0 * ac.1 - ab.1 * ac.0) / (lb * lc);
    let dot = (ab.0 * ac.0 + ab.1 * ac.1) / (lb * lc);
    if cross.abs() < 0.55 {
        return None;
    }
    let cost =
        (long / short).ln() + dot.abs() + (high / low).ln() + 0.3 / (a.seen.min(b.seen).min(c.seen) as f32);
    let (right, lower) = if cross > 0.0 { (b, c) } else { (c, b) };
    Some((cost, ((a.x, a.y), (right.x, right.y), (lower.x, lower.y), module)))
}

/// The code of which one corner mark is covered: where the third lies follows
/// from the two others, if the card is not tilted much.
fn from_two_marks(gray: &Gray, marks: &[Finder], by: f32) -> Option<Code> {
    let marks = &marks[..marks.len().min(24)];
    for (i, p) in marks.iter().enumerate() {
        for q in &marks[i + 1..] {
            let module = (p.module() + q.module()) / 2.0;
            let (dx, dy) = (q.x - p.x, q.y - p.y);
            let far = dx.hypot(dy) / module;
            if p.module().max(q.module()) > p.module().min(q.module()) * 1.5 + 0.5
                || !(8.0..75.0).contains(&far)
            {
                continue;
            }
            let (p, q) = ((p.x, p.y), (q.x, q.y));
            // Along a side, the square on either hand; the fourth corner is one
            // of the two that are not seen.
            let mut starts = Vec::new();
            for (dx, dy) in [(-dy, dx), (dy, -dx)] {
                let (r, s) = ((p.0 + dx, p.1 + dy), (q.0 + dx, q.1 + dy));
                starts.extend([[p, q, r, s], [q, s, p, r]].into_iter().chain([[q, p, s, r], [p, r, q, s]]));
            }
            // Across the middle.
            let middle = ((p.0 + q.0) / 2.0, (p.1 + q.1) / 2.0);
            let (r, s) =
                ((middle.0 - dy / 2.0, middle.1 + dx / 2.0), (middle.0 + dy / 2.0, middle.1 - dx / 2.0));
            starts.extend([[r, p, q, s], [r, q, p, s], [s, p, q, r], [s, q, p, r]]);
            starts.retain(|[a, b, c, _]| (b.0 - a.0) * (c.1 - a.1) - (b.1 - a.1) * (c.0 - a.0) > 0.0);
            let read = |start| try_place(gray, start, module, By::TwoMarks);
            if let Some(code) = starts.into_iter().find_map(read) {
                return Some(code.times(by));
            }
        }
    }
    None
}

/// What a place was found by; with two marks the first fit is a guess.
#[derive(Clone, Copy, PartialEq)]
enum By {
    ThreeMarks,
    TwoMarks,
}

impl Code {
    /// The corners, in order round it, of what the code is printed on, were it flat;
    /// `None` where it would reach behind the camera.
    pub fn printed_on(&self, beyond: Beyond) -> Option<[Point; 4]> {
        let n = self.modules as f32;
        let map = Map::new(anchors(self.modules), self.corners)?;
        let (x0, x1) = (-beyond.left * n, (1.0 + beyond.right) * n);
        let (y0, y1) = (-beyond.above * n, (1.0 + beyond.below) * n);
        let corners = [(x0, y0), (x1, y0), (x1, y1), (x0, y1)];
        corners.iter().all(|p| map.before(*p)).then(|| corners.map(|p| map.at(p)))
    }

    fn times(mut self, by: f32) -> Code {
        self.corners.iter_mut().for_each(|p| *p = (p.0 * by, p.1 * by));
        self
    }
}

/// Reads a code whose four corners lie about at `start`, in the order of
/// [`Code::corners`].
fn try_place(gray: &Gray, start: [Point; 4], module: f32, by: By) -> Option<Code> {
    let reach = 12.0 * module;
    let bound = |f: fn(f32, f32) -> f32, k: fn(&Point) -> f32| start.iter().map(k).reduce(f).unwrap_or(0.0);
    let x0 = (bound(f32::min, |p| p.0) - reach).max(0.0) as usize;
    let y0 = (bound(f32::min, |p| p.1) - reach).max(0.0) as usize;
    let x1 = (bound(f32::max, |p| p.0) + reach).max(0.0) as usize;
    let y1 = (bound(f32::max, |p| p.1) + reach).max(0.0) as usize;
    let part = gray.crop(x0, y0, x1, y1);
    if part.width < 21 || part.height < 21 {
        return None;
    }
    let start = start.map(|p| (p.0 - x0 as f32, p.1 - y0 as f32));
    let length = |p: Point, q: Point| (p.0 - q.0).hypot(p.1 - q.1);
    let side = (length(start[0], start[1]) + length(start[0], start[2])) / 2.0;
    let (least_rough, steps): (f32, &[f32]) = match by {
        By::ThreeMarks => (0.25, &[0.5, 0.25, 0.12]),
        By::TwoMarks => (0.15, &[1.0, 0.5, 0.25, 0.12]),
    };
    let mut fits: Vec<(f32, usize)> = Vec::new();
    for wide in [7.0f32, 4.0, 12.0] {
        let mean = part.mean((wide * module).max(3.0) as usize);
        let flat = Flat { gray: &part, mean: &mean };
        if fits.is_empty() {
            // Where the marks lie by chance, nothing between them fits either.
            let rough = |n: usize| Some((flat.rough(n, start)?, n));
            fits = counts(side / module + 7.0).into_iter().filter_map(rough).collect();
            fits.retain(|(score, _)| *score > least_rough);
            fits.sort_by(|x, y| y.0.total_cmp(&x.0));
            fits.truncate(2);
        }
        for (_, n) in &fits {
            let mut to = start;
            let pitch = side / (*n as f32 - 7.0);
            if by == By::ThreeMarks {
                flat.settle_last(*n, &mut to, pitch);
            }
            if flat.settle(*n, &mut to, pitch, steps) < 0.35 {
                continue;
            }
            if let Some(text) = flat.read(*n, to) {
                let corners = to.map(|p| (p.0 + x0 as f32, p.1 + y0 as f32));
                return Some(Code { text, corners, modules: *n });
            }
        }
    }
    None
}

/// Sizes of codes near a measured count of modules: 21 and every fourth, to 57.
fn counts(measured: f32) -> Vec<usize> {
    let mut all: Vec<usize> = (21..=57).step_by(4).collect();
    all.sort_by(|a, b| (*a as f32 - measured).abs().total_cmp(&(*b as f32 - measured).abs()));
    all.truncate(4);
    all
}

/// Whether a point lies in the square of a code, a little beyond its marks.
fn inside(p: Point, corners: &[Point; 4]) -> bool {
    let [a, b, c, d] = *corners;
    let middle = ((a.0 + b.0 + c.0 + d.0) / 4.0, (a.1 + b.1 + c.1 + d.1) / 4.0);
    let ring = [a, b, d, c].map(|q| (middle.0 + (q.0 - middle.0) * 1.3, middle.1 + (q.1 - middle.1) * 1.3));
    let mut sign = 0.0f32;
    for i in 0..4 {
        let (q, r) = (ring[i], ring[(i + 1) % 4]);
        let side = (r.0 - q.0) * (p.1 - q.1) - (r.1 - q.1) * (p.0 - q.0);
        if side * sign < 0.0 {
            return false;
        }
        if side != 0.0 {
            sign = side;
        }
    }
    true
}
