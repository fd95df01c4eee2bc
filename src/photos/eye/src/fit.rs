//! Lays a grid of modules over a place in a picture, and reads it.
//!
//! The grid is a perspective map of the square; it is moved until the parts of a
//! code that are the same in every code (corner marks, timing rows, the small
//! mark near the fourth corner) lie where the picture has them.

use crate::gray::Gray;
use crate::mend::mended;

pub type Point = (f32, f32);

/// From module coordinates to the picture.
#[derive(Clone, Copy, Debug)]
pub struct Map([f32; 8]);

impl Map {
    /// The map that takes `from` to `to`; `None` where the points don't span.
    pub fn new(from: [Point; 4], to: [Point; 4]) -> Option<Map> {
        let mut m = [[0f64; 9]; 8];
        for (i, ((x, y), (u, v))) in from.iter().zip(&to).enumerate() {
            let [x, y, u, v] = [x, y, u, v].map(|c| f64::from(*c));
            m[2 * i] = [x, y, 1.0, 0.0, 0.0, 0.0, -u * x, -u * y, u];
            m[2 * i + 1] = [0.0, 0.0, 0.0, x, y, 1.0, -v * x, -v * y, v];
        }
        for c in 0..8 {
            let best = (c..8).max_by(|a, b| m[*a][c].abs().total_cmp(&m[*b][c].abs()))?;
            if m[best][c].abs() < 1e-9 {
                return None;
            }
            m.swap(c, best);
            let pivot = m[c];
            for (r, row) in m.iter_mut().enumerate() {
                if r != c {
                    let f = row[c] / pivot[c];
                    row.iter_mut().zip(pivot).for_each(|(a, p)| *a -= f * p);
                }
            }
        }
        Some(Map(std::array::from_fn(|i| (m[i][8] / m[i][i]) as f32)))
    }

    /// Whether a place lies before the camera, not behind it.
    pub fn before(&self, (x, y): Point) -> bool {
        self.0[6] * x + self.0[7] * y + 1.0 > 0.05
    }

    pub fn at(&self, (x, y): Point) -> Point {
        let h = &self.0;
        let d = h[6] * x + h[7] * y + 1.0;
        ((h[0] * x + h[1] * y + h[2]) / d, (h[3] * x + h[4] * y + h[5]) / d)
    }
}

/// Modules that are the same in every code of a size: where, and whether dark.
pub fn fixed(n: usize) -> Vec<(f32, f32, bool)> {
    let mut all = Vec::new();
    let mut put = |x: usize, y: usize, dark: bool| all.push((x as f32 + 0.5, y as f32 + 0.5, dark));
    for (cx, cy) in [(0, 0), (n - 7, 0), (0, n - 7)] {
        for y in 0..7usize {
            for x in 0..7usize {
                let ring = x.abs_diff(3).max(y.abs_diff(3));
                put(cx + x, cy + y, ring != 2);
            }
        }
    }
    for i in 0..8 {
        put(7, i, false);
        put(n - 8, i, false);
        put(7, n - 1 - i, false);
        if i < 7 {
            put(i, 7, false);
            put(n - 1 - i, 7, false);
            put(i, n - 8, false);
        }
    }
    for i in 8..n - 8 {
        put(i, 6, i % 2 == 0);
        put(6, i, i % 2 == 0);
    }
    if n > 21 {
        for y in 0..5usize {
            for x in 0..5usize {
                let ring = x.abs_diff(2).max(y.abs_diff(2));
                put(n - 9 + x, n - 9 + y, ring != 1);
            }
        }
    }
    all
}

/// A picture beside the mean of its neighbourhood.
pub struct Flat<'a> {
    pub gray: &'a Gray,
    pub mean: &'a Gray,
}

impl Flat<'_> {
    /// How much darker than its neighbourhood; dark is positive.
    pub fn at(&self, p: Point) -> f32 {
        self.mean.at(p.0, p.1) - self.gray.at(p.0, p.1)
    }

    /// The mean over a module's inner part, and how far its shades lie apart.
    fn module(&self, map: &Map, x: f32, y: f32) -> (f32, f32) {
        let around = [(0.25, 0.25), (-0.25, 0.25), (0.25, -0.25), (-0.25, -0.25)];
        let part = |(dx, dy): (f32, f32)| self.at(map.at((x + dx, y + dy)));
        let (middle, outer) = (part((0.0, 0.0)), around.map(part));
        let (low, high) = outer.iter().fold((middle, middle), |(l, h), v| (l.min(*v), h.max(*v)));
        ((2.0 * middle + outer.iter().sum::<f32>()) / 6.0, high - low)
    }

    /// How well the fixed modules fit: 1 all, 0 none better than chance. Each
    /// counts at most fully, so that one bright edge can't outweigh the rest.
    pub fn score(&self, map: &Map, fixed: &[(f32, f32, bool)]) -> f32 {
        let values: Vec<f32> = fixed.iter().map(|(x, y, _)| self.at(map.at((*x, *y)))).collect();
        let scale = values.iter().map(|v| v.abs()).sum::<f32>() / values.len() as f32;
        if scale < 0.5 {
            return 0.0;
        }
        let sum: f32 = values
            .iter()
            .zip(fixed)
            .map(|(v, (_, _, dark))| (if *dark { *v } else { -*v } / scale).clamp(-1.0, 1.0))
            .sum();
        sum / values.len() as f32
    }

    /// The fit as the marks alone give it, over the parts that hardly depend on
    /// the fourth corner.
    pub fn rough(&self, n: usize, to: [Point; 4]) -> Option<f32> {
        let near: Vec<_> =
            fixed(n).into_iter().filter(|(x, y, _)| *x < n as f32 - 9.0 || *y < n as f32 - 9.0).collect();
        Some(self.score(&Map::new(anchors(n), to)?, &near))
    }

    /// Finds the fourth point by the small mark near it.
    pub fn settle_last(&self, n: usize, to: &mut [Point; 4], module: f32) {
        let fixed: Vec<_> = fixed(n).into_iter().filter(|(x, y, _)| *x + *y > n as f32).collect();
        let (from, start) = (anchors(n), to[3]);
        let mut best = (-1.0f32, start);
        for i in -8..=8 {
            for j in -8..=8 {
                let at = (start.0 + i as f32 * 0.5 * module, start.1 + j as f32 * 0.5 * module);
                let score =
                    Map::new(from, [to[0], to[1], to[2], at]).map_or(-1.0, |m| self.score(&m, &fixed));
                // Nearer is likelier: a far fit must be better.
                let score = score - 0.004 * (i as f32).hypot(j as f32);
                if score > best.0 {
                    best = (score, at);
                }
            }
        }
        to[3] = best.1;
    }

    /// Moves the four points of the map, one at a time, while the fit gets
    /// better; from steps of `coarse` to `fine` modules.
    pub fn settle(&self, n: usize, to: &mut [Point; 4], module: f32, steps: &[f32]) -> f32 {
        let fixed = fixed(n);
        let from = anchors(n);
        let score = |to: &[Point; 4]| Map::new(from, *to).map_or(-1.0, |m| self.score(&m, &fixed));
        let mut best = score(to);
        for step in steps {
            let d = step * module;
            for _ in 0..6 {
                let before = best;
                // The fourth point is the least known: it moves first.
                for i in [3, 0, 1, 2] {
                    for (dx, dy) in
                        [(d, 0.0), (-d, 0.0), (0.0, d), (0.0, -d), (d, d), (-d, -d), (d, -d), (-d, d)]
                    {
                        let mut moved = *to;
                        moved[i] = (moved[i].0 + dx, moved[i].1 + dy);
                        let now = score(&moved);
                        if now > best {
                            best = now;
                            *to = moved;
                        }
                    }
                }
                if best - before < 0.002 {
                    break;
                }
            }
        }
        best
    }

    /// Reads the grid, as it is and with the blur from module to module taken
    /// out, for several meanings of dark.
    pub fn read(&self, n: usize, to: [Point; 4]) -> Option<String> {
        let map = Map::new(anchors(n), to)?;
        let module = |i: usize| self.module(&map, (i % n) as f32 + 0.5, (i / n) as f32 + 0.5);
        let (values, spreads): (Vec<f32>, Vec<f32>) = (0..n * n).map(module).unzip();
        let scale = values.iter().map(|v| v.abs()).sum::<f32>() / values.len() as f32;
        let text = |dark: &dyn Fn(usize) -> bool| {
            let grid = rqrr::SimpleGrid::from_func(n, |x, y| dark(y * n + x));
            rqrr::Grid::new(grid).decode().ok().map(|(_, text)| text)
        };
        let blurs = [0.0f32, 0.18, 0.35].map(|blur| sharper(&values, n, blur));
        for sharp in &blurs {
            for bias in [0.0f32, 0.15, -0.15, 0.4, -0.4] {
                if let Some(text) = text(&|i| sharp[i] + bias * scale > 0.0) {
                    return Some(text);
                }
            }
        }
        // Parts are covered: what is neither dark nor light, or not even, is left out.
        for (sharp, uneven) in [(&blurs[0], 0.0), (&blurs[0], 0.5), (&blurs[1], 0.25)] {
            let doubt = |(v, s): (&f32, &f32)| uneven * s / scale - (v.abs() / scale).min(1.2);
            let doubts: Vec<f32> = sharp.iter().zip(&spreads).map(doubt).collect();
            if let Some(grid) = mended(sharp, &doubts, n, scale) {
                return text(&|i| grid[i]);
            }
        }
        None
    }
}

/// Takes from every module the share `blur` of its four neighbours.
fn sharper(values: &[f32], n: usize, blur: f32) -> Vec<f32> {
    let get = |x: usize, y: usize| values[y.min(n - 1) * n + x.min(n - 1)];
    let one = |i: usize| {
        let (x, y) = (i % n, i / n);
        let near = get(x.saturating_sub(1), y) + get(x + 1, y) + get(x, y.saturating_sub(1)) + get(x, y + 1);
        values[i] - blur * near
    };
    (0..n * n).map(one).collect()
}

/// Middles of the three corner marks and of the fourth place, in modules.
pub fn anchors(n: usize) -> [Point; 4] {
    let (a, b) = (3.5, n as f32 - 3.5);
    [(a, a), (b, a), (a, b), (b, b)]
}
