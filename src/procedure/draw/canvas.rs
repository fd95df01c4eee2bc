//! Shapes, and a canvas that collects them.

use crate::units::whole;
use serde::{Deserialize, Serialize};

/// One shape in paper mm, origin top left, y downward.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(tag = "k", rename_all = "lowercase")]
pub enum Shape {
    Line { x1: f64, y1: f64, x2: f64, y2: f64, w: f64, dash: String },
    Poly { pts: Vec<[f64; 2]>, fill: String, w: f64 },
    Path { pts: Vec<[f64; 2]>, w: f64, dash: String },
    Circle { x: f64, y: f64, r: f64, fill: String, w: f64 },
    Text { x: f64, y: f64, s: String, size: f64, bold: bool, anchor: String, rot: f64 },
    Arrow { x1: f64, y1: f64, x2: f64, y2: f64, w: f64, heads: String },
}

#[derive(Default)]
pub struct Canvas {
    pub shapes: Vec<Shape>,
}

/// A hundredth of a millimetre is finer than any printer; more digits would
/// only make the bytes of a pack depend on the last bit of a sine.
fn r(v: f64) -> f64 {
    let rounded = (v * 100.0).round() / 100.0;
    if rounded == 0.0 { 0.0 } else { rounded }
}

fn points(pts: &[[f64; 2]]) -> Vec<[f64; 2]> {
    pts.iter().map(|p| [r(p[0]), r(p[1])]).collect()
}

impl Canvas {
    pub fn line(&mut self, from: [f64; 2], to: [f64; 2], w: f64, dash: &str) {
        self.shapes.push(Shape::Line {
            x1: r(from[0]),
            y1: r(from[1]),
            x2: r(to[0]),
            y2: r(to[1]),
            w,
            dash: dash.into(),
        });
    }

    pub fn poly(&mut self, pts: &[[f64; 2]], fill: &str, w: f64) {
        self.shapes.push(Shape::Poly { pts: points(pts), fill: fill.into(), w });
    }

    pub fn rect(&mut self, x1: f64, y1: f64, x2: f64, y2: f64, fill: &str, w: f64) {
        self.poly(&[[x1, y1], [x2, y1], [x2, y2], [x1, y2]], fill, w);
    }

    pub fn path(&mut self, pts: &[[f64; 2]], w: f64, dash: &str) {
        self.shapes.push(Shape::Path { pts: points(pts), w, dash: dash.into() });
    }

    pub fn circle(&mut self, at: [f64; 2], radius: f64, fill: &str, w: f64) {
        self.shapes.push(Shape::Circle { x: r(at[0]), y: r(at[1]), r: r(radius), fill: fill.into(), w });
    }

    pub fn text(&mut self, at: [f64; 2], s: impl Into<String>, size: f64, bold: bool, anchor: &str) {
        self.shapes.push(Shape::Text {
            x: r(at[0]),
            y: r(at[1]),
            s: s.into(),
            size,
            bold,
            anchor: anchor.into(),
            rot: 0.0,
        });
    }

    pub fn text_up(&mut self, at: [f64; 2], s: impl Into<String>, size: f64, bold: bool) {
        self.shapes.push(Shape::Text {
            x: r(at[0]),
            y: r(at[1]),
            s: s.into(),
            size,
            bold,
            anchor: "middle".into(),
            rot: -90.0,
        });
    }

    pub fn arrow(&mut self, from: [f64; 2], to: [f64; 2], w: f64, heads: &str) {
        self.shapes.push(Shape::Arrow {
            x1: r(from[0]),
            y1: r(from[1]),
            x2: r(to[0]),
            y2: r(to[1]),
            w,
            heads: heads.into(),
        });
    }

    /// A horizontal dimension with its figure on a white ground over the line.
    pub fn dimension(&mut self, x1: f64, x2: f64, y: f64, figure: &str, size: f64) {
        self.arrow([x1, y], [x2, y], 0.2, "both");
        let middle = (x1 + x2) / 2.0;
        let half = 0.5 + figure.chars().count() as f64 * size * 0.11;
        if half * 2.0 + 5.0 < (x2 - x1).abs() {
            self.rect(middle - half, y - size * 0.2, middle + half, y + size * 0.2, "white", 0.0);
            self.text([middle, y], figure, size, true, "middle");
        } else {
            // No room on the line: the figure stands beside it.
            self.text([x2.max(x1) + 1.5, y], figure, size, true, "start");
        }
    }

    /// A bar of known length that proves the scale; a short one without its middle figure.
    pub fn scale_bar(&mut self, x: f64, y: f64, paper_per_mm: f64, length_mm: f64) {
        let half = length_mm / 2.0 * paper_per_mm;
        self.rect(x, y, x + half, y + 1.6, "black", 0.2);
        self.rect(x + half, y, x + 2.0 * half, y + 1.6, "white", 0.2);
        for (i, at) in [0.0, length_mm / 2.0, length_mm].iter().enumerate() {
            let unit = if i == 2 { " mm" } else { "" };
            if i == 1 && half < 12.5 {
                continue;
            }
            self.text([x + half * i as f64, y + 4.4], format!("{}{unit}", whole(*at)), 9.0, false, "middle");
        }
    }
}
