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
    /// Least of the tube's lower end over plate or entry; with it and a box
    /// height there is a row for it.
    #[serde(default)]
    pub tube_to_plate_min_mm: Option<f64>,
}

/// A dimension whose tolerance a row adds up.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Part {
    TubeLength,
    Box,
    TubeMark,
    SemiconEdge,
    InsulationCut,
}

impl Part {
    pub fn as_str(self) -> &'static str {
        match self {
            Self::TubeLength => "the recovered length",
            Self::Box => "the height of the box",
            Self::TubeMark => "the mark for the lower end L",
            Self::SemiconEdge => "the semicon edge",
            Self::InsulationCut => "the insulation cut",
        }
    }
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
    /// The dimension that takes the largest share of the worst case, and its
    /// tolerance; of equals the first of the kit, the box, the marks. `None`
    /// where no tolerance is above nought.
    pub largest: Option<(Part, f64)>,
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
    /// Only with a box height and a minimum.
    pub tube_to_plate: Option<StackRow>,
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
        (some(i.tube_to_plate_min_mm), "least tube end to plate"),
    ])?;
    let (ta, tb, tl) = (i.tol_insulation_cut_mm, i.tol_semicon_edge_mm, i.tol_tube_set_mm);
    let (shorter, longer) = (i.sct_length_mm - i.sct_length_min_mm, i.sct_length_max_mm - i.sct_length_mm);
    if [ta, tb, tl, box_tol, shorter, longer].iter().any(|t| *t < 0.0) {
        return Err(Refusal::ToleranceSign);
    }
    let (cut, edge_mark, tube_mark) =
        ((Part::InsulationCut, ta), (Part::SemiconEdge, tb), (Part::TubeMark, tl));
    let over_insulation = i.sct_length_mm - i.sct_over_semicon_mm;
    let edge = i.lug_insulation_end_to_stud_mm + i.insulation_exposed_mm;
    let tube_end = edge + i.sct_over_semicon_mm;
    let sum = |nominal: f64, kit: f64, fixed: f64, marks: &[(Part, f64)], least: Option<f64>| {
        Sum { nominal, kit, fixed, marks }.row(least)
    };
    let above_plate = |least: Option<f64>, station: f64, mark: (Part, f64)| {
        let z = i.box_gland_to_stud_mm?;
        let nominal = z - station - some(i.entry_height_mm);
        Some(sum(nominal, 0.0, box_tol, &[mark], Some(least?)))
    };
    let clear = i.insulation_exposed_mm - over_insulation;
    let both = [tube_mark, edge_mark];
    Ok(Stack {
        sct_over_insulation: sum(over_insulation, shorter, 0.0, &both, i.sct_over_insulation_min_mm),
        sct_over_semicon: sum(i.sct_over_semicon_mm, 0.0, 0.0, &both, i.sct_over_semicon_min_mm),
        clear_surface: sum(clear, longer, 0.0, &[tube_mark, cut], i.clear_surface_min_mm),
        insulation_exposed: sum(
            i.insulation_exposed_mm,
            0.0,
            0.0,
            &[cut, edge_mark],
            i.insulation_exposed_min_mm,
        ),
        edge_to_plate: above_plate(i.edge_to_plate_min_mm, edge, edge_mark),
        tube_to_plate: above_plate(i.tube_to_plate_min_mm, tube_end, tube_mark),
    })
}

struct Sum<'a> {
    nominal: f64,
    /// What the part itself may lack.
    kit: f64,
    /// What the site may lack and no mark mends.
    fixed: f64,
    marks: &'a [(Part, f64)],
}

impl Sum<'_> {
    fn row(&self, limit: Option<f64>) -> StackRow {
        let worst_kit = self.nominal - self.kit;
        let worst = worst_kit - self.fixed - self.marks.iter().map(|m| m.1).sum::<f64>();
        let parts = [(Part::TubeLength, self.kit), (Part::Box, self.fixed)];
        let parts = parts.iter().chain(self.marks);
        let squares = parts.clone().map(|(_, t)| t * t).sum::<f64>();
        let largest = parts.fold(None, |most: Option<(Part, f64)>, part| match most {
            Some(most) if most.1 >= part.1 => Some(most),
            _ => (part.1 > 0.0).then_some(*part),
        });
        let graded = limit.map(|l| self.grade(l, worst_kit, worst));
        StackRow {
            nominal_mm: self.nominal,
            worst_kit_mm: worst_kit,
            worst_mm: worst,
            rss_mm: self.nominal - squares.sqrt(),
            limit_mm: limit,
            grade: graded.map(|g| g.0),
            mark_tol_mm: graded.and_then(|g| g.1),
            largest,
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
