//! Tolerances of one termination, added up. Geometry needs no source; the
//! house tolerances of the marks are the planner's figures, common practice,
//! no source.

use super::layout::in_range;
use super::refusal::Refusal;
use super::verdict::SLACK_MM;
use serde::{Deserialize, Serialize};

/// Lengths and tolerances, mm. A minimum that is absent is not graded.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
pub struct StackInput {
    /// Recovered length of the tube, nominal, least and greatest.
    pub sct_length_mm: f64,
    pub sct_length_min_mm: f64,
    pub sct_length_max_mm: f64,
    pub sct_over_semicon_mm: f64,
    pub insulation_exposed_mm: f64,
    pub lug_insulation_end_to_stud_mm: f64,
    pub tol_insulation_cut_mm: f64,
    pub tol_semicon_edge_mm: f64,
    /// Mark for the lower end of the tube.
    pub tol_tube_set_mm: f64,
    #[serde(default)]
    pub sct_over_insulation_min_mm: Option<f64>,
    #[serde(default)]
    pub sct_over_semicon_min_mm: Option<f64>,
    #[serde(default)]
    pub clear_surface_min_mm: Option<f64>,
    #[serde(default)]
    pub insulation_exposed_min_mm: Option<f64>,
    #[serde(default)]
    pub edge_to_plate_min_mm: Option<f64>,
    /// Gland plate to stud; without it there is no row for the plate.
    #[serde(default)]
    pub box_gland_to_stud_mm: Option<f64>,
    #[serde(default)]
    pub tol_box_mm: Option<f64>,
    #[serde(default)]
    pub entry_height_mm: Option<f64>,
}

/// One row of the stack, mm.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct StackRow {
    pub nominal_mm: f64,
    /// Nominal less the kit's own tolerance of the tube length.
    pub worst_kit_mm: f64,
    /// That less all house tolerances.
    pub worst_mm: f64,
    /// Nominal less the root of the sum of squares; decides nothing.
    pub rss_mm: f64,
    pub limit_mm: Option<f64>,
    /// `None` where there is no minimum.
    pub grade: Option<Grade>,
    /// `Advise` only: the marks held this closely keep the minimum. Not
    /// rounded; printed rounded down to 0.5.
    pub mark_tol_mm: Option<f64>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Grade {
    Pass,
    /// Holding the marks more closely keeps the minimum.
    Advise,
    /// The part alone can miss the minimum, or no mark is held that closely.
    Accept,
    /// Short without any tolerance.
    Block,
}

impl Grade {
    pub fn as_str(self) -> &'static str {
        match self {
            Self::Pass => "pass",
            Self::Advise => "advise",
            Self::Accept => "accept",
            Self::Block => "block",
        }
    }
}

/// All rows. `insulation_exposed` is printed, and judged only where the kit
/// states a minimum for it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Stack {
    pub sct_over_insulation: StackRow,
    pub sct_over_semicon: StackRow,
    pub clear_surface: StackRow,
    pub insulation_exposed: StackRow,
    /// Only with a box height and a minimum.
    pub edge_to_plate: Option<StackRow>,
}

/// Nobody holds a mark more closely than this, mm. Common practice, no source.
const CLOSEST_MARK_MM: f64 = 1.0;

/// The stack of one termination. Refuses a negative tolerance and a recovered
/// length outside its own range (`tolerance-sign`).
pub fn tolerance_stack(i: &StackInput) -> Result<Stack, Refusal> {
    let some = |v: Option<f64>| v.unwrap_or(0.0);
    let box_tol = some(i.tol_box_mm);
    in_range(&[
        (i.sct_length_mm, "tube length"),
        (i.sct_length_min_mm, "least tube length"),
        (i.sct_length_max_mm, "greatest tube length"),
        (i.sct_over_semicon_mm, "tube over the core screen"),
        (i.insulation_exposed_mm, "insulation exposed"),
        (i.lug_insulation_end_to_stud_mm, "insulation cut to stud"),
        (i.tol_insulation_cut_mm, "tolerance of the insulation cut"),
        (i.tol_semicon_edge_mm, "tolerance of the core screen edge"),
        (i.tol_tube_set_mm, "tolerance of the tube mark"),
        (some(i.sct_over_insulation_min_mm), "least tube over the insulation"),
        (some(i.sct_over_semicon_min_mm), "least tube over the core screen"),
        (some(i.clear_surface_min_mm), "least clear surface"),
        (some(i.insulation_exposed_min_mm), "least insulation exposed"),
        (some(i.edge_to_plate_min_mm), "least edge to plate"),
        (some(i.box_gland_to_stud_mm), "gland plate to stud"),
        (box_tol, "tolerance of the box"),
        (some(i.entry_height_mm), "entry height"),
    ])?;
    let (ta, tb, tl) = (i.tol_insulation_cut_mm, i.tol_semicon_edge_mm, i.tol_tube_set_mm);
    let (shorter, longer) = (i.sct_length_mm - i.sct_length_min_mm, i.sct_length_max_mm - i.sct_length_mm);
    if [ta, tb, tl, box_tol, shorter, longer].iter().any(|t| *t < 0.0) {
        return Err(Refusal::ToleranceSign);
    }
    let over_insulation = i.sct_length_mm - i.sct_over_semicon_mm;
    let edge = i.lug_insulation_end_to_stud_mm + i.insulation_exposed_mm;
    let edge_to_plate = i.box_gland_to_stud_mm.zip(i.edge_to_plate_min_mm);
    Ok(Stack {
        sct_over_insulation: Sum { nominal: over_insulation, kit: shorter, fixed: 0.0, marks: &[tl, tb] }
            .row(i.sct_over_insulation_min_mm),
        sct_over_semicon: Sum { nominal: i.sct_over_semicon_mm, kit: 0.0, fixed: 0.0, marks: &[tl, tb] }
            .row(i.sct_over_semicon_min_mm),
        clear_surface: Sum {
            nominal: i.insulation_exposed_mm - over_insulation,
            kit: longer,
            fixed: 0.0,
            marks: &[tl, ta],
        }
        .row(i.clear_surface_min_mm),
        insulation_exposed: Sum { nominal: i.insulation_exposed_mm, kit: 0.0, fixed: 0.0, marks: &[ta, tb] }
            .row(i.insulation_exposed_min_mm),
        edge_to_plate: edge_to_plate.map(|(z, least)| {
            Sum { nominal: z - edge - some(i.entry_height_mm), kit: 0.0, fixed: box_tol, marks: &[tb] }
                .row(Some(least))
        }),
    })
}

struct Sum<'a> {
    nominal: f64,
    /// What the part itself may lack.
    kit: f64,
    /// What the site may lack and no mark mends.
    fixed: f64,
    marks: &'a [f64],
}

impl Sum<'_> {
    fn row(&self, limit: Option<f64>) -> StackRow {
        let worst_kit = self.nominal - self.kit;
        let worst = worst_kit - self.fixed - self.marks.iter().sum::<f64>();
        let squares = self.marks.iter().chain([&self.kit, &self.fixed]).map(|t| t * t).sum::<f64>();
        let graded = limit.map(|l| self.grade(l, worst_kit, worst));
        StackRow {
            nominal_mm: self.nominal,
            worst_kit_mm: worst_kit,
            worst_mm: worst,
            rss_mm: self.nominal - squares.sqrt(),
            limit_mm: limit,
            grade: graded.map(|g| g.0),
            mark_tol_mm: graded.and_then(|g| g.1),
        }
    }

    fn grade(&self, limit: f64, worst_kit: f64, worst: f64) -> (Grade, Option<f64>) {
        let short = |v: f64| v < limit - SLACK_MM;
        if short(self.nominal) {
            return (Grade::Block, None);
        }
        if short(worst_kit) {
            return (Grade::Accept, None);
        }
        if !short(worst) {
            return (Grade::Pass, None);
        }
        let each = (worst_kit - self.fixed - limit) / self.marks.len() as f64;
        if each >= CLOSEST_MARK_MM - SLACK_MM { (Grade::Advise, Some(each)) } else { (Grade::Accept, None) }
    }
}
