//! A cable that enters at an angle: the cubic between two points with stated
//! directions that bends least. Plain geometry, needs no source; a smooth
//! stand-in for a stiff cable, not its elastic shape. Between parallel ends it
//! bends tighter at the ends than an S-bend: the two are not compared.

use super::layout::in_range;
use super::refusal::Refusal;
use super::vec3::{V3, add_scaled, cross, dot, norm, scale, sub, unit};
use serde::{Deserialize, Serialize};

/// Steps over which the least radius and the length are taken.
const STEPS: usize = 4000;
/// Above this radius the curve is straight, mm.
const STRAIGHT_MM: f64 = 1e9;

/// Ends of the curve: points x, y, z in mm, directions along the way from
/// `p0` to `p1`, of any length.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
pub struct HermiteInput {
    pub p0_mm: [f64; 3],
    pub e0: [f64; 3],
    pub p1_mm: [f64; 3],
    pub e1: [f64; 3],
}

#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct HermiteRoute {
    /// Speeds at the ends that make the bending least.
    pub alpha_mm: f64,
    pub beta_mm: f64,
    pub length_mm: f64,
    /// To the axis; `None` where the curve is straight.
    pub least_radius_mm: Option<f64>,
    /// At half and at a quarter of the parameter.
    pub mid_mm: [f64; 3],
    pub quarter_mm: [f64; 3],
}

/// The cubic `p(t)` as coefficients of t^0 to t^3.
struct Cubic([V3; 4]);

impl Cubic {
    fn at(&self, t: f64) -> V3 {
        let [a, b, c, d] = self.0;
        add_scaled(add_scaled(add_scaled(a, b, t), c, t * t), d, t * t * t)
    }

    /// First and second derivative.
    fn slopes(&self, t: f64) -> (V3, V3) {
        let [_, b, c, d] = self.0;
        let first = add_scaled(add_scaled(b, c, 2.0 * t), d, 3.0 * t * t);
        (first, add_scaled(scale(c, 2.0), d, 6.0 * t))
    }
}

/// The curve of least bending. Refuses a direction of no length, and ends
/// between which the curve would have to start or end backwards.
pub fn hermite_route(i: &HermiteInput) -> Result<HermiteRoute, Refusal> {
    let named = |p: [f64; 3], what: &'static str| p.map(|v| (v, what));
    in_range(&named(i.p0_mm, "first point"))?;
    in_range(&named(i.p1_mm, "second point"))?;
    in_range(&named(i.e0, "first direction"))?;
    in_range(&named(i.e1, "second direction"))?;
    let e0 = unit(i.e0).ok_or(Refusal::FigureOutOfRange("first direction"))?;
    let e1 = unit(i.e1).ok_or(Refusal::FigureOutOfRange("second direction"))?;
    let way = sub(i.p1_mm, i.p0_mm);
    let (a, b, c) = (dot(way, e0), dot(way, e1), dot(e0, e1));
    let alpha = 3.0 * (2.0 * a - c * b) / (4.0 - c * c);
    let beta = 3.0 * (2.0 * b - c * a) / (4.0 - c * c);
    if !(alpha > 0.0 && beta > 0.0) {
        return Err(Refusal::NoForwardCurve);
    }
    let (v0, v1) = (scale(e0, alpha), scale(e1, beta));
    let square = add_scaled(add_scaled(scale(way, 3.0), v0, -2.0), v1, -1.0);
    let cube = add_scaled(add_scaled(scale(way, -2.0), v0, 1.0), v1, 1.0);
    let curve = Cubic([i.p0_mm, v0, square, cube]);

    let (mut length, mut tightest) = (0.0, 0.0f64);
    for k in 0..=STEPS {
        let (first, second) = curve.slopes(k as f64 / STEPS as f64);
        let speed = norm(first);
        // Simpson's rule: 1 4 2 4 … 4 1.
        let weight = match k {
            0 | STEPS => 1.0,
            k if k % 2 == 1 => 4.0,
            _ => 2.0,
        };
        length += weight * speed / (3.0 * STEPS as f64);
        let bending = norm(cross(first, second)) / (speed * speed * speed);
        // Where the curve stands still it has a cusp.
        tightest = tightest.max(if bending.is_nan() { f64::INFINITY } else { bending });
    }
    let radius = 1.0 / tightest;
    Ok(HermiteRoute {
        alpha_mm: alpha,
        beta_mm: beta,
        length_mm: length,
        least_radius_mm: (radius < STRAIGHT_MM).then_some(radius),
        mid_mm: curve.at(0.5),
        quarter_mm: curve.at(0.25),
    })
}

/// A cable's way to the box: from its last cleat to where it stands upright.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ApproachInput {
    /// The cleat aside of the middle of the box, and below the plate.
    pub aside_mm: f64,
    pub below_mm: f64,
    /// Slant of the cable at the cleat: 0 upright, 90 lying towards the box.
    pub slant_deg: f64,
    /// Where it stands upright, below the plate.
    pub upright_below_mm: f64,
}

/// The curve of least bending of that way, its length and least radius. Refuses
/// what [`hermite_route`] refuses, a cleat that is not below the upright part,
/// and a slant outside 0 to 90 degrees.
pub fn approach_route(i: &ApproachInput) -> Result<HermiteRoute, Refusal> {
    in_range(&[
        (i.aside_mm, "cleat aside"),
        (i.below_mm, "cleat below the plate"),
        (i.upright_below_mm, "upright part below the plate"),
    ])?;
    if i.aside_mm < 0.0 {
        return Err(Refusal::FigureOutOfRange("cleat aside"));
    }
    if i.below_mm <= i.upright_below_mm {
        return Err(Refusal::FigureOutOfRange("cleat below the plate"));
    }
    if !(0.0..=90.0).contains(&i.slant_deg) {
        return Err(Refusal::FigureOutOfRange("slant"));
    }
    let (sin, cos) = libm::sincos(i.slant_deg.to_radians());
    hermite_route(&HermiteInput {
        p0_mm: [i.aside_mm, 0.0, -i.below_mm],
        e0: [-sin, 0.0, cos],
        p1_mm: [0.0, 0.0, -i.upright_below_mm],
        e1: [0.0, 0.0, 1.0],
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_quarter_turn_of_a_cable() {
        // A quarter circle of 1 m from lying to upright: the cubic of least
        // bending runs within 2 % of its length and is tighter somewhere.
        let input =
            ApproachInput { aside_mm: 1000.0, below_mm: 1000.0, slant_deg: 90.0, upright_below_mm: 0.0 };
        let way = approach_route(&input).expect("a way");
        assert!((way.length_mm / 1570.8 - 1.0).abs() < 0.02, "{}", way.length_mm);
        let radius = way.least_radius_mm.expect("bent");
        assert!(radius > 600.0 && radius < 1000.0, "{radius}");
        let straight = ApproachInput { aside_mm: 0.0, slant_deg: 0.0, ..input };
        assert_eq!(approach_route(&straight).expect("a way").least_radius_mm, None);
        let inside = ApproachInput { upright_below_mm: 1000.0, ..input };
        assert!(approach_route(&inside).is_err());
    }
}
