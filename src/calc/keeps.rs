//! Whether cores keep a given gap, without finding the gap: for searches. Most
//! of two cores is seen to be far enough apart by a few balls round stretches of
//! their axes; only what is left is searched as closely as for the gap itself.

use super::disc::{TOUCHING_MM, nearest};
use super::nearest::{Best, Task};
use super::span::Span;
use super::vec3::dist;
use super::verdict::SLACK_MM;

/// Spans of one core: live zone, and the rest down to the start.
pub(super) struct Core<'a> {
    pub live: Vec<Span<'a>>,
    pub below: Vec<Span<'a>>,
}

/// Discs compared one by one in the hope of a quick no, for each pair of spans.
const QUICK_TRIES: usize = 4;

/// Whether the live zone of each core keeps `limit` from the whole of each
/// other. `pairs` are indices of cores; those that mirror others may be left out.
pub(super) fn keeps(cores: &[Core<'_>; 3], pairs: &[(usize, usize)], limit: f64) -> bool {
    // A gap is never below zero, and where cores touch it is zero.
    if limit <= SLACK_MM {
        return true;
    }
    let cutoff = (limit - SLACK_MM).max(TOUCHING_MM);
    pairs.iter().all(|&(i, j)| {
        let (a, b) = (&cores[i], &cores[j]);
        all_keep(&a.live, &b.live, cutoff)
            && all_keep(&a.live, &b.below, cutoff)
            && all_keep(&b.live, &a.below, cutoff)
    })
}

fn all_keep(ones: &[Span<'_>], others: &[Span<'_>], cutoff: f64) -> bool {
    ones.iter().all(|a| others.iter().all(|b| pair_keeps(a, b, cutoff)))
}

/// A run of samples of one span, both ends inclusive; it stands for the core
/// half a spacing beyond them as well.
#[derive(Clone, Copy)]
struct Stretch {
    from: usize,
    to: usize,
}

impl Stretch {
    fn middle(self) -> usize {
        usize::midpoint(self.from, self.to)
    }

    /// Radius of a ball round the middle sample that holds the axis.
    fn reach(self, spacing: f64) -> f64 {
        ((self.to - self.middle()) as f64 + 0.5) * spacing
    }

    fn halves(self) -> [Self; 2] {
        let middle = self.middle();
        [Self { to: middle, ..self }, Self { from: middle + 1, ..self }]
    }

    fn with(self, at: usize) -> Self {
        Self { from: self.from.min(at), to: self.to.max(at) }
    }
}

fn pair_keeps(a: &Span<'_>, b: &Span<'_>, cutoff: f64) -> bool {
    let Some(left) = left_over(a, b, cutoff) else {
        return false;
    };
    let Some((x, y)) = left else {
        return true;
    };
    let (a, b) = (a.part(x.from, x.to), b.part(y.from, y.to));
    let mut best = Best::below(cutoff);
    best.search(vec![Task::new(1, &a, 2, &b)]);
    best.found.is_none()
}

/// The stretches that balls do not show to be far enough apart; `Some(None)`
/// where there are none, `None` where two discs are seen to be too near.
fn left_over(a: &Span<'_>, b: &Span<'_>, cutoff: f64) -> Option<Option<(Stretch, Stretch)>> {
    let whole = |s: &Span<'_>| Stretch { from: 0, to: s.nodes.len().saturating_sub(1) };
    let mut stack = vec![(whole(a), whole(b))];
    let mut left: Option<(Stretch, Stretch)> = None;
    let (mut least, mut tries) = (cutoff, 0);
    while let Some((x, y)) = stack.pop() {
        let (i, j) = (x.middle(), y.middle());
        let apart = dist(a.nodes[i].p, b.nodes[j].p) - a.r - b.r;
        let (reach_x, reach_y) = (x.reach(a.spacing), y.reach(b.spacing));
        if apart - reach_x - reach_y >= cutoff {
            continue;
        }
        if apart < least && tries < QUICK_TRIES {
            (least, tries) = (apart, tries + 1);
            if nearest(&a.disc(&a.nodes[i]), &b.disc(&b.nodes[j])).d < cutoff {
                return None;
            }
        }
        if x.from == x.to && y.from == y.to {
            left = Some(left.map_or((x, y), |(p, q)| (p.with(i), q.with(j))));
        } else if y.from == y.to || (x.from < x.to && reach_x >= reach_y) {
            stack.extend(x.halves().map(|half| (half, y)));
        } else {
            stack.extend(y.halves().map(|half| (x, half)));
        }
    }
    Some(left)
}
