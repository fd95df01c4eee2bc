//! Least bending radius of a cable from a table of multiples of its diameter;
//! the rows are an argument, each with its own basis. No basis is the right one
//! for every cable: the maker's letter outranks all of them.

use super::number::{above_zero, finite};
use super::refusal::Refusal;
use serde::{Deserialize, Serialize};

/// One row of the table; basis, cable and stage together are its key.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BendRow<'t> {
    pub basis: &'t str,
    pub cable: &'t str,
    pub stage: &'t str,
    /// Radius as a multiple of the outer diameter; `None` where the cell is no
    /// plain multiple, as in the rows for the cylinder of the type test, which
    /// are diameters. Such a row is never used.
    pub factor: Option<f64>,
}

#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct BendMinimumInput {
    pub basis_name: String,
    pub cable: String,
    pub stage: String,
    pub outer_dia_mm: f64,
    /// What the maker's or table's radius is to: `inside`, `axis`, or
    /// `unstated`, which counts as inside, the stricter.
    #[serde(default)]
    pub stated_to: String,
}

#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct BendMinimum {
    pub factor: f64,
    pub radius_as_stated_mm: f64,
    /// To the inside of the bend.
    pub least_inside_mm: f64,
    /// To the axis: what radii of this room are held against.
    pub least_axis_mm: f64,
}

/// Least radius to inside and to axis, half a diameter apart. Refuses, in this
/// order: no such row, a diameter not above zero, another word for what the
/// radius is to.
pub fn bend_minimum(rows: &[BendRow<'_>], i: &BendMinimumInput) -> Result<BendMinimum, Refusal> {
    let factor = rows
        .iter()
        .filter(|r| r.basis == i.basis_name && r.cable == i.cable && r.stage == i.stage)
        .find_map(|r| r.factor)
        .ok_or(Refusal::NoRow)?;
    if !above_zero(i.outer_dia_mm) {
        return Err(Refusal::DiameterRange);
    }
    let (stated, half) = (factor * i.outer_dia_mm, i.outer_dia_mm / 2.0);
    let (inside, axis) = match i.stated_to.as_str() {
        "inside" | "unstated" => (stated, stated + half),
        "axis" => (stated - half, stated),
        _ => return Err(Refusal::StatedToUnknown),
    };
    finite(&[stated, inside, axis])?;
    Ok(BendMinimum { factor, radius_as_stated_mm: stated, least_inside_mm: inside, least_axis_mm: axis })
}
