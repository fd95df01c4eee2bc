//! A cable that enters at an angle: the cubic between two points with stated
//! directions that bends least. Plain geometry, needs no source; a smooth
//! stand-in for a stiff cable, not its elastic shape. Between parallel ends it
//! bends tighter at the ends than an S-bend: the two are not compared.

use super::layout::{MOST_LEAN_DEG, in_range};
use super::refusal::Refusal;
use super::vec3::{V3, add_scaled, cross, dot, norm, scale, sub, unit};
use serde::{Deserialize, Serialize};

/// Samples over which the greatest curvature is looked for, and rounds of
/// halving round the greatest.
const SAMPLES: usize = 256;
const ROUNDS: usize = 40;
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

/// The cubic `p(t)`, `t` from 0 to 1, as coefficients of t^0 to t^3.
#[derive(Debug, Clone)]
pub(super) struct Cubic([V3; 4]);

/// Speeds at both ends that make the bending least, for unit directions; `None`
/// where the curve would have to start or end backwards.
fn speeds(p0: V3, e0: V3, p1: V3, e1: V3) -> Option<(f64, f64)> {
    let way = sub(p1, p0);
    let (a, b, c) = (dot(way, e0), dot(way, e1), dot(e0, e1));
    let alpha = 3.0 * (2.0 * a - c * b) / (4.0 - c * c);
    let beta = 3.0 * (2.0 * b - c * a) / (4.0 - c * c);
    (alpha > 0.0 && beta > 0.0).then_some((alpha, beta))
}

/// Whether there is a curve that runs forward from `p0` along the unit `e0` to
/// `p1` along the unit `e1`.
pub(super) fn has_forward_curve(p0: V3, e0: V3, p1: V3, e1: V3) -> bool {
    speeds(p0, e0, p1, e1).is_some()
}

impl Cubic {
    /// From `p0` along the unit `e0` to `p1` along the unit `e1`. Refuses ends
    /// between which it would have to start or end backwards.
    pub fn between(p0: V3, e0: V3, p1: V3, e1: V3) -> Result<Self, Refusal> {
        let (alpha, beta) = speeds(p0, e0, p1, e1).ok_or(Refusal::NoForwardCurve)?;
        let way = sub(p1, p0);
        let (v0, v1) = (scale(e0, alpha), scale(e1, beta));
        let square = add_scaled(add_scaled(scale(way, 3.0), v0, -2.0), v1, -1.0);
        let cube = add_scaled(add_scaled(scale(way, -2.0), v0, 1.0), v1, 1.0);
        Ok(Self([p0, v0, square, cube]))
    }

    pub fn at(&self, t: f64) -> V3 {
        let [a, b, c, d] = self.0;
        add_scaled(add_scaled(add_scaled(a, b, t), c, t * t), d, t * t * t)
    }

    /// First and second derivative.
    pub fn slopes(&self, t: f64) -> (V3, V3) {
        let [_, b, c, d] = self.0;
        let first = add_scaled(add_scaled(b, c, 2.0 * t), d, 3.0 * t * t);
        (first, add_scaled(scale(c, 2.0), d, 6.0 * t))
    }

    fn curvature(&self, t: f64) -> f64 {
        let (first, second) = self.slopes(t);
        let speed = norm(first);
        let bending = norm(cross(first, second)) / (speed * speed * speed);
        // Where the curve stands still it has a cusp.
        if bending.is_nan() { f64::INFINITY } else { bending }
    }

    /// Least radius of curvature, ends included; infinite where it is straight.
    pub fn least_radius(&self) -> f64 {
        let at = |k: usize| k as f64 / SAMPLES as f64;
        let mut best = (self.curvature(0.0), 0);
        for k in 1..=SAMPLES {
            let bending = self.curvature(at(k));
            if bending > best.0 {
                best = (bending, k);
            }
        }
        let (mut low, mut high) = (at(best.1.saturating_sub(1)), at((best.1 + 1).min(SAMPLES)));
        let mut tightest = best.0;
        for _ in 0..ROUNDS {
            let (one, other) = (low + (high - low) / 3.0, high - (high - low) / 3.0);
            let (a, b) = (self.curvature(one), self.curvature(other));
            tightest = tightest.max(a).max(b);
            if a > b { high = other } else { low = one }
        }
        let radius = 1.0 / tightest;
        if radius < STRAIGHT_MM { radius } else { f64::INFINITY }
    }

    /// By Simpson's rule.
    fn length(&self) -> f64 {
        let sum: f64 = (0..=SAMPLES)
            .map(|k| {
                let weight = match k {
                    0 | SAMPLES => 1.0,
                    k if k % 2 == 1 => 4.0,
                    _ => 2.0,
                };
                weight * norm(self.slopes(k as f64 / SAMPLES as f64).0)
            })
            .sum();
        sum / (3.0 * SAMPLES as f64)
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
    let (alpha, beta) = speeds(i.p0_mm, e0, i.p1_mm, e1).ok_or(Refusal::NoForwardCurve)?;
    let curve = Cubic::between(i.p0_mm, e0, i.p1_mm, e1)?;
    let radius = curve.least_radius();
    Ok(HermiteRoute {
        alpha_mm: alpha,
        beta_mm: beta,
        length_mm: curve.length(),
        least_radius_mm: radius.is_finite().then_some(radius),
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
    /// Where it stands as it enters, below the plate.
    pub upright_below_mm: f64,
    /// Its lean there, from upright; it comes from the side it leans away from.
    pub lean_deg: f64,
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
    if !(0.0..MOST_LEAN_DEG).contains(&i.lean_deg) {
        return Err(Refusal::LeanRange);
    }
    let (sin, cos) = libm::sincos(i.slant_deg.to_radians());
    let (lean_sin, lean_cos) = libm::sincos(i.lean_deg.to_radians());
    let below = i.upright_below_mm;
    hermite_route(&HermiteInput {
        p0_mm: [i.aside_mm, 0.0, -i.below_mm],
        e0: [-sin, 0.0, cos],
        p1_mm: [below * lean_sin / lean_cos, 0.0, -below],
        e1: [-lean_sin, 0.0, lean_cos],
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_quarter_turn_of_a_cable() {
        // A quarter circle of 1 m from lying to upright: the cubic of least
        // bending runs within 2 % of its length and is tighter somewhere.
        let input = ApproachInput {
            aside_mm: 1000.0,
            below_mm: 1000.0,
            slant_deg: 90.0,
            upright_below_mm: 0.0,
            lean_deg: 0.0,
        };
        let way = approach_route(&input).expect("a way");
        assert!((way.length_mm / 1570.8 - 1.0).abs() < 0.02, "{}", way.length_mm);
        let radius = way.least_radius_mm.expect("bent");
        assert!(radius > 600.0 && radius < 1000.0, "{radius}");
        let straight = ApproachInput { aside_mm: 0.0, slant_deg: 0.0, ..input };
        assert_eq!(approach_route(&straight).expect("a way").least_radius_mm, None);
        // A cable that comes slanting and enters so has no bend at all.
        let slanting = ApproachInput { aside_mm: 1000.0, slant_deg: 45.0, lean_deg: 45.0, ..input };
        assert_eq!(approach_route(&slanting).expect("a way").least_radius_mm, None);
        let inside = ApproachInput { upright_below_mm: 1000.0, ..input };
        assert!(approach_route(&inside).is_err());
    }
}
