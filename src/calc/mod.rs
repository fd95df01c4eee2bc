//! The calculating room: pure functions from lengths to figures and verdicts.
//!
//! Nothing here reads a file, the clock or the environment, and nothing prints.
//! Lengths are millimetres as `f64` in fields named `_mm`, angles degrees,
//! voltages kilovolts. Every model either gives figures or a [`Refusal`], and a
//! refusal is part of the result. Tables and limits are arguments: what they
//! come from is the business of the rooms that quote them.
//!
//! Sines, cosines, powers and logarithms go through `libm`, because those of
//! the platform differ in the last bits and packs must not.

mod altitude;
mod axis;
mod bend;
mod bound;
mod chain;
mod clearance;
mod disc;
mod drawing;
mod earthed;
mod heights;
mod judge;
mod layout;
mod nearest;
mod refusal;
mod rounding;
mod route;
mod slices;
mod solid;
mod span;
mod stack;
mod tube_length;
mod vec3;
mod verdict;

pub use altitude::{
    AltitudeInput, AltitudeLevel, FORM_IEC60071_2, FORM_IEC62271_1, altitude, altitude_factor,
};
pub use bend::{Bend, BendInput, BendNote, bend};
pub use bound::{Spread, SpreadInput, spread_bound};
pub use chain::{
    ArmourAt, MM_PER_KV_PEAK, REF_RING_MM, TerminationChain, TerminationInput, TestClearance,
    TestClearanceInput, TestVerdict, termination_chain, test_clearance,
};
pub use clearance::{Clearance, ClearanceInput, ClearanceRow, clearance_lookup};
pub use disc::{DiscDistance, TOUCHING_MM, TwoDiscs, disc_disc};
pub use drawing::{Drawing, DrawnAxis, DrawnStation, drawing};
pub use earthed::{EarthedAt, EarthedGaps, EarthedPlaces, earthed_gaps};
pub use heights::{HeightNote, LeastHeights, chain_height_mm, least_heights};
pub use judge::{J14, J15, J19, Judgement, Verdicts, judgement, verdicts};
pub use layout::{
    Arrangement, BendRef, BoxSize, Diameters, LONGEST_MM, Layout, Limits, Start, StartKind, Stations,
};
pub use refusal::Refusal;
pub use rounding::{RoundedChain, chain_rounding};
pub use route::{CourseSpot, PhaseRoute, Route, course, point_at, route};
pub use slices::{SliceInput, SliceNote, Slices, f13_slices};
pub use solid::{GapAt, SolidGap, sbend_gap, solid_gap};
pub use stack::{Grade, Stack, StackInput, StackRow, tolerance_stack};
pub use tube_length::{TubeClass, TubeLength, TubeLengthInput, tube_length_rule};
pub use verdict::{SLACK_MM, Verdict};
