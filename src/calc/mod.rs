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

mod adiabatic;
mod altitude;
mod axis;
mod bend;
mod bend_minimum;
mod bound;
mod chain;
mod charging;
mod clearance;
mod coax;
mod creepage;
mod dew_point;
mod disc;
mod drawing;
mod earthed;
mod gap_stack;
mod heights;
mod hermite;
mod ir_length;
mod joint;
mod judge;
mod keeps;
mod layout;
mod nearest;
mod number;
mod passes;
mod places;
mod refusal;
mod remedy;
mod resistance;
mod rounding;
mod route;
mod screen_area;
mod sheath_voltage;
mod slices;
mod solid;
mod span;
mod stack;
mod tube_field;
mod tube_length;
mod vec3;
mod verdict;
mod vlf;
mod void_inception;
mod window;
mod wrench;

pub use adiabatic::{
    Adiabatic, AdiabaticInput, AdiabaticSought, HEATING_ALUMINIUM, HEATING_COPPER, HEATING_LEAD,
    HEATING_STEEL, Heating, adiabatic, heating_of,
};
pub use altitude::{
    AltitudeInput, AltitudeLevel, FORM_IEC60071_2, FORM_IEC62271_1, altitude, altitude_factor,
};
pub use bend::{Bend, BendInput, BendNote, bend};
pub use bend_minimum::{BendMinimum, BendMinimumInput, BendRow, bend_minimum};
pub use bound::{Spread, SpreadInput, spread_bound};
pub use chain::{
    ArmourAt, MM_PER_KV_PEAK, REF_RING_MM, TerminationChain, TerminationInput, TestClearance,
    TestClearanceInput, TestVerdict, termination_chain, test_clearance,
};
pub use charging::{ChargeCaution, Charging, ChargingInput, WAVEFORM_DC, WAVEFORM_SINE, charging};
pub use clearance::{Clearance, ClearanceInput, ClearanceRow, clearance_lookup};
pub use coax::{Capacitance, CapacitanceInput, EPS0_F_PER_M, Field, FieldInput, capacitance, field};
pub use creepage::{Creepage, CreepageInput, PollutionClass, creepage};
pub use dew_point::{DEW_MARGIN_K, DewPoint, DewPointInput, dew_point};
pub use disc::{DiscDistance, TOUCHING_MM, TwoDiscs, disc_disc};
pub use drawing::{Drawing, DrawnAxis, DrawnStation, drawing};
pub use earthed::{EarthedAt, EarthedGaps, EarthedPlaces, earthed_gaps};
pub use gap_stack::{GapStack, GapStackInput, gap_stack};
pub use heights::{HeightNote, LeastHeights, chain_height_mm, least_heights};
pub use hermite::{ApproachInput, HermiteInput, HermiteRoute, approach_route, hermite_route};
pub use ir_length::{IrLength, IrLengthInput, ir_length};
pub use joint::{JointChain, JointInput, PARK_ROOM_MM, joint_chain};
pub use judge::{J14, J15, J19, Judgement, Verdicts, judgement, verdicts};
pub use layout::{
    Arrangement, BendRef, BoxSize, Diameters, LONGEST_MM, Layout, Limits, MOST_LEAN_DEG, Start, StartKind,
    Stations,
};
pub use passes::{EnclosureRule, Measure, bend_depth_mm, passes_at};
pub use places::along_lean_mm;
pub use refusal::Refusal;
pub use remedy::{
    Binding, CrutchLowerOption, CrutchOutsideOption, EdgeUpOption, EntriesMovedOption, ExtensionOption,
    JudgedFigure, JudgedKind, KitLimits, KitOption, Rejected, Remedy, RemedyInput, RemedyOptions,
    RemedySearch, Settings, TriedLayout, judged_figures, remedy_search, remedy_search_where,
};
pub use resistance::{
    CONDUCTING_ALUMINIUM, CONDUCTING_COPPER, Conducting, ContinuityVerdict, Resistance, ResistanceInput,
    SCREEN_BAND, ScreenContinuity, ScreenContinuityInput, resistance, screen_continuity,
};
pub use rounding::{RoundedChain, chain_rounding};
pub use route::{CourseSpot, PhaseRoute, Route, course, point_at, route};
pub use screen_area::{ScreenArea, ScreenMakeUp, screen_area};
pub use sheath_voltage::{SheathVoltage, SheathVoltageInput, sheath_voltage};
pub use slices::{SliceInput, SliceNote, Slices, f13_slices};
pub use solid::{GapAt, SolidGap, sbend_gap, solid_gap};
pub use stack::{Grade, Part, Stack, StackInput, StackRow, tolerance_stack};
pub use tube_field::{TubeField, TubeFieldInput, tube_field_length};
pub use tube_length::{TubeClass, TubeLength, TubeLengthInput, tube_length_rule, tube_length_series};
pub use verdict::{SLACK_MM, Verdict};
pub use vlf::{HeldVerdict, VlfLevel, VlfLevelInput, VlfPair, VlfRow, VlfTableInput, vlf_level, vlf_table};
pub use void_inception::{StepState, VoidInception, VoidInput, VoidPrint, void_inception};
pub use window::{SEARCH_ABOVE_MM, SiteWindow, SiteWindowInput, site_window};
pub use wrench::wrench_serves;
