//! A stretch of core of one diameter on one smooth piece of axis, sampled.

use super::axis::{Axis, Piece};
use super::disc::Disc;
use super::layout::Layout;
use super::vec3::{V3, dist};

/// Distance of samples along the axis, mm.
const SAMPLE_MM: f64 = 5.0;
/// Most samples on one span, so that absurd lengths cost no more than long ones.
const MOST_SAMPLES: usize = 400;

#[derive(Debug, Clone, Copy)]
pub(super) struct Node {
    pub u: f64,
    pub p: V3,
    pub t: V3,
}

#[derive(Debug)]
pub(super) struct Span<'a> {
    pub piece: &'a Piece,
    pub r: f64,
    pub nodes: Vec<Node>,
    /// Greatest distance of two neighbouring samples.
    pub spacing: f64,
    /// The axis bends tighter than the radius of the core: the discs then run
    /// through one another, and every sample has to be treated as an end face.
    pub tight: bool,
    /// Whether the first and the last sample are end faces.
    ends: [bool; 2],
}

impl<'a> Span<'a> {
    /// The samples `from` to `to` and one more on either side, where there are
    /// more: a stretch whose cut ends are no faces.
    pub fn part(&self, from: usize, to: usize) -> Span<'a> {
        let last = self.nodes.len().saturating_sub(1);
        let (from, to) = (from.saturating_sub(1), (to + 1).min(last));
        let ends = [self.ends[0] && from == 0, self.ends[1] && to == last];
        Span { nodes: self.nodes[from..=to].to_vec(), ends, ..*self }
    }

    pub fn disc(&self, node: &Node) -> Disc {
        Disc { c: node.p, n: node.t, r: self.r }
    }

    pub fn disc_at(&self, u: f64) -> Disc {
        let spot = self.piece.spot(u);
        Disc { c: spot.p, n: spot.t, r: self.r }
    }

    /// Arc length from the stud.
    pub fn arc(&self, u: f64) -> f64 {
        self.piece.begins + self.piece.arc(u)
    }

    /// Samples whose discs bound the solid: both end faces, or all of them
    /// where the core bends too tightly for its surface to be a smooth tube.
    pub fn faces(&self) -> impl Iterator<Item = &Node> {
        let last = self.nodes.len().saturating_sub(1);
        self.nodes
            .iter()
            .enumerate()
            .filter(move |(i, _)| self.tight || (*i == 0 && self.ends[0]) || (*i == last && self.ends[1]))
            .map(|(_, n)| n)
    }
}

/// The live zone of a core: from the insulation cut to the lower tube end.
pub(super) fn live_spans<'a>(layout: &Layout, axis: &'a Axis) -> Vec<Span<'a>> {
    let (s, d) = (layout.stations(), layout.dia);
    spans(axis, &[(s.A, s.U, d.clear_mm), (s.U, s.L, d.tube_mm)])
}

/// Cuts an axis into spans: `zones` are arc lengths from the stud, and the
/// diameter between them.
pub(super) fn spans<'a>(axis: &'a Axis, zones: &[(f64, f64, f64)]) -> Vec<Span<'a>> {
    let mut out = Vec::with_capacity(zones.len() + axis.pieces.len());
    for &(from, to, dia) in zones {
        for piece in &axis.pieces {
            let lo = from.max(piece.begins);
            let hi = to.min(piece.begins + piece.length);
            if hi - lo > 1e-9 {
                out.push(sample(piece, lo, hi, dia / 2.0));
            }
        }
    }
    out
}

fn sample(piece: &Piece, lo: f64, hi: f64, r: f64) -> Span<'_> {
    let u = |arc: f64| piece.u_at(arc - piece.begins);
    let (first, last) = (u(lo), u(hi));
    let count = (((hi - lo) / SAMPLE_MM).ceil() as usize).clamp(2, MOST_SAMPLES);
    let nodes: Vec<Node> = (0..=count)
        .map(|i| {
            let u = first + (last - first) * i as f64 / count as f64;
            let spot = piece.spot(u);
            Node { u, p: spot.p, t: spot.t }
        })
        .collect();
    let spacing = nodes
        .windows(2)
        .map(|w| dist(w[0].p, w[1].p))
        .fold(0.0, f64::max)
        // Arc over chord: five per cent covers a turn of a radian between samples.
        * 1.05;
    Span { piece, r, nodes, spacing, tight: piece.least_radius() <= r, ends: [true; 2] }
}
