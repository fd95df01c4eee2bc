//! Looks for the corner marks of codes: along any line through the middle of
//! one, dark, light, dark, light, dark run as 1 : 1 : 3 : 1 : 1.

use crate::threshold::Dark;

/// A place that looks like a corner mark.
#[derive(Clone, Copy, Debug)]
pub struct Finder {
    pub x: f32,
    pub y: f32,
    /// Length of a module along the row and the column through the middle, px.
    pub across: f32,
    pub down: f32,
    /// Rows that saw it.
    pub seen: u32,
}

impl Finder {
    pub fn module(&self) -> f32 {
        (self.across * self.down).sqrt()
    }
}

/// Whether five runs are near 1 : 1 : 3 : 1 : 1, and the length of a module.
fn ratio(runs: [f32; 5]) -> Option<f32> {
    let total: f32 = runs.iter().sum();
    if total < 7.0 || runs.iter().any(|r| *r < 1.0) {
        return None;
    }
    let module = total / 7.0;
    let slack = module * 0.6 + 0.5;
    let near = |run: f32, times: f32| (run - times * module).abs() < slack * times.sqrt();
    let fits = near(runs[0], 1.0)
        && near(runs[1], 1.0)
        && near(runs[2], 3.0)
        && near(runs[3], 1.0)
        && near(runs[4], 1.0);
    fits.then_some(module)
}

/// The five runs through (`x`, `y`) in one direction, and how far the middle of
/// the middle run lies from there, in steps.
fn through(dark: &Dark, x: f32, y: f32, dx: f32, dy: f32, most: usize) -> Option<([f32; 5], f32)> {
    let is = |k: isize| dark.is((x + dx * k as f32).floor() as isize, (y + dy * k as f32).floor() as isize);
    if !is(0) {
        return None;
    }
    let side = |sign: isize| -> Option<[usize; 3]> {
        let mut runs = [0usize; 3];
        let mut k = sign;
        for (i, run) in runs.iter_mut().enumerate() {
            while is(k) == (i % 2 == 0) {
                *run += 1;
                k += sign;
                if *run > most {
                    return None;
                }
            }
        }
        Some(runs)
    };
    let (back, on) = (side(-1)?, side(1)?);
    let middle = (on[0] as f32 - back[0] as f32) / 2.0;
    let runs = [back[2], back[1], back[0] + on[0] + 1, on[1], on[2]].map(|r| r as f32);
    Some((runs, middle))
}

/// Share of the rows of a mark's dark middle that must see it.
pub const WHOLE: f32 = 0.9;
/// The same for a mark with dirt across it.
pub const DIRTY: f32 = 0.3;

/// Every place that looks like a corner mark, those seen by most rows first.
pub fn finders(dark: &Dark, share: f32) -> Vec<Finder> {
    let mut found: Vec<Finder> = Vec::new();
    let mut ends: Vec<usize> = Vec::new();
    for y in 0..dark.height {
        let row = dark.row(y);
        ends.clear();
        ends.push(0);
        ends.extend((1..row.len()).filter(|x| row[*x] != row[*x - 1]));
        ends.push(row.len());
        let first = usize::from(row.first() != Some(&1));
        let mut i = first;
        while i + 5 < ends.len() {
            let runs: [f32; 5] = std::array::from_fn(|k| (ends[i + k + 1] - ends[i + k]) as f32);
            if let Some(across) = ratio(runs) {
                let x = (ends[i + 2] + ends[i + 3]) as f32 / 2.0;
                add(dark, &mut found, x, y as f32 + 0.5, across);
            }
            i += 2;
        }
    }
    // A real mark is seen by the rows of its middle, three modules of them.
    found.retain(|f| f.seen as f32 >= f.down * share);
    found.sort_by(|a, b| b.seen.cmp(&a.seen).then(a.y.total_cmp(&b.y)).then(a.x.total_cmp(&b.x)));
    found
}

fn add(dark: &Dark, found: &mut Vec<Finder>, x: f32, y: f32, across: f32) {
    let most = (across * 9.0) as usize + 4;
    let Some((runs, shift)) = through(dark, x, y, 0.0, 1.0, most) else { return };
    let Some(down) = ratio(runs) else { return };
    let y = y + shift;
    let Some((runs, shift)) = through(dark, x, y, 1.0, 0.0, most) else { return };
    let Some(across) = ratio(runs) else { return };
    if across > down * 2.6 || down > across * 2.6 {
        return;
    }
    let x = x + shift;
    let new = Finder { x, y, across, down, seen: 1 };
    // Rows come from the top: a mark met before is among the latest.
    let same = |f: &&mut Finder| {
        let near = f.module().max(1.5);
        (f.x - x).abs() < near * 1.5 && (f.y - y).abs() < near * 1.5
    };
    match found.iter_mut().rev().take(400).find(same) {
        Some(old) => {
            let n = old.seen as f32;
            let blend = |a: f32, b: f32| (a * n + b) / (n + 1.0);
            *old = Finder {
                x: blend(old.x, new.x),
                y: blend(old.y, new.y),
                across: blend(old.across, new.across),
                down: blend(old.down, new.down),
                seen: old.seen + 1,
            };
        }
        None => found.push(new),
    }
}
