//! The search for a way out of a box that does not fit: the cheapest set of
//! changes, at most three together, after which height, gap, earthed gaps and
//! bends all pass. Plain geometry, needs no source; the weights are common
//! practice, no source, and come from outside. It argues neither cost nor
//! permission: the planner chooses.

mod figures;
mod search;
mod settings;

pub use figures::{JudgedFigure, JudgedKind, judged_figures};
pub use search::{Binding, Rejected, RemedySearch, remedy_search, remedy_search_where};
pub use settings::{Settings, TriedLayout};

use super::layout::{Diameters, Layout};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// What can be changed about a layout, in the order of nesting: the first is
/// tried innermost, so that a dearer change moves as little as possible.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub enum Remedy {
    /// Each core to the stud that it lies under.
    #[serde(rename = "RM12")]
    CoreOrder,
    /// A shorter insulated length: edge and tube move up together.
    #[serde(rename = "RM1")]
    EdgeUp,
    #[serde(rename = "RM2")]
    CrutchLower,
    /// Crutch below the plate, three single entries.
    #[serde(rename = "RM3")]
    CrutchOutside,
    /// Single entries that are there already at another pitch, their crutch
    /// deeper below the plate.
    #[serde(rename = "entries-moved")]
    EntriesMoved,
    #[serde(rename = "RM5")]
    OtherKit,
    /// A spacer between plate and box.
    #[serde(rename = "RM9")]
    Extension,
}

impl Remedy {
    /// All of them, the innermost first.
    pub const ALL: [Remedy; 7] = [
        Remedy::CoreOrder,
        Remedy::EdgeUp,
        Remedy::CrutchLower,
        Remedy::CrutchOutside,
        Remedy::EntriesMoved,
        Remedy::OtherKit,
        Remedy::Extension,
    ];
}

/// A layout and what may be changed about it.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct RemedyInput {
    pub layout: Layout,
    pub options: RemedyOptions,
    /// Weight of each remedy; one without a weight is not offered.
    pub weights: BTreeMap<Remedy, f64>,
    /// Most remedies taken together.
    pub most_remedies: usize,
}

/// What the job offers; `None`: it does not offer it.
#[derive(Debug, Clone, PartialEq, Default, Deserialize)]
pub struct RemedyOptions {
    /// Diameter of the core over its insulation: what a bore has to take.
    pub dia_over_insulation_mm: f64,
    #[serde(rename = "RM1", default)]
    pub edge_up: Option<EdgeUpOption>,
    #[serde(rename = "RM2", default)]
    pub crutch_lower: Option<CrutchLowerOption>,
    #[serde(rename = "RM3", default)]
    pub crutch_outside: Option<CrutchOutsideOption>,
    #[serde(rename = "entries-moved", default)]
    pub entries_moved: Option<EntriesMovedOption>,
    #[serde(rename = "RM5", default)]
    pub kits: Option<Vec<KitOption>>,
    #[serde(rename = "RM9", default)]
    pub extension: Option<ExtensionOption>,
}

/// Limits of the kit in force to the insulated length.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
pub struct EdgeUpOption {
    pub insulation_min_mm: f64,
    pub clear_surface_min_mm: f64,
}

#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
pub struct CrutchLowerOption {
    pub crutch_height_min_mm: f64,
}

#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
pub struct CrutchOutsideOption {
    pub entry_height_mm: f64,
    pub entry_pitch_max_mm: f64,
    pub room_below_plate_mm: f64,
}

#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
pub struct EntriesMovedOption {
    pub entry_pitch_max_mm: f64,
    /// `None`: the crutch stays as deep as it is.
    #[serde(default)]
    pub room_below_plate_mm: Option<f64>,
}

/// Another kit with its own chain, diameters and limits.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct KitOption {
    pub code: String,
    /// Least and greatest diameter over the insulation.
    pub bore_mm: [f64; 2],
    pub insulation_exposed_mm: f64,
    pub insulation_min_mm: f64,
    pub clear_surface_min_mm: f64,
    pub sct_over_insulation_mm: f64,
    pub sct_over_semicon_mm: f64,
    pub semicon_left_mm: f64,
    pub dia: Diameters,
    pub limits: KitLimits,
}

#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
pub struct KitLimits {
    pub phase_gap_min_mm: f64,
    pub earth_gap_min_mm: f64,
    pub edge_to_plate_min_mm: f64,
    pub edge_to_crutch_min_mm: f64,
}

#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
pub struct ExtensionOption {
    pub extension_max_mm: f64,
}
