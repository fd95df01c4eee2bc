//! The settings of each remedy, least change first, and the layout they make.

use super::super::layout::{Layout, StartKind};
use super::{EdgeUpOption, KitOption, Remedy, RemedyInput, RemedyOptions};
use serde::Serialize;

/// Steps of the entry pitch and of a box extension, mm.
const PITCH_STEP_MM: f64 = 5.0;
const EXTENSION_STEP_MM: f64 = 5.0;
/// Steps of the depth of a crutch below the plate, mm.
const DEPTH_STEP_MM: f64 = 10.0;
/// Steps of insulated length and crutch height, mm.
const FINE_STEP_MM: f64 = 1.0;
/// Most settings of one variable: figures are capped in the layout, and no
/// slip of typing may cost more.
const MOST_SETTINGS: usize = 4000;
/// Noise allowed where a step meets its end, mm.
const NOISE_MM: f64 = 1e-9;

/// What is changed, and to what. The order of the cores has no figure: it
/// becomes 1, 2, 3.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct Settings {
    #[serde(rename = "insulation_exposed_mm", skip_serializing_if = "Option::is_none")]
    pub insulation_exposed_mm: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub crutch_height_mm: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub entry_pitch_mm: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub crutch_below_plate_mm: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub kit: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub extension_mm: Option<f64>,
}

/// A layout on the way through the search, with what was changed about it.
#[derive(Debug, Clone)]
pub struct TriedLayout<'i> {
    pub layout: Layout,
    pub settings: Settings,
    /// Limits of the kit in force to the insulated length.
    edge_up: Option<EdgeUpOption>,
    options: &'i RemedyOptions,
}

impl<'i> TriedLayout<'i> {
    pub(super) fn first(input: &'i RemedyInput) -> Self {
        let options = &input.options;
        Self { layout: input.layout, settings: Settings::default(), edge_up: options.edge_up, options }
    }

    /// Every setting of one remedy, least change first.
    pub(super) fn with_each(&self, remedy: Remedy) -> Box<dyn Iterator<Item = TriedLayout<'i>> + '_> {
        match remedy {
            Remedy::CoreOrder => Box::new(std::iter::once(self.in_order())),
            Remedy::EdgeUp => Box::new(self.lengths().map(|mm| self.exposed(mm))),
            Remedy::CrutchLower => Box::new(self.heights().map(|mm| self.lowered(mm))),
            Remedy::CrutchOutside => Box::new(
                self.pitches()
                    .flat_map(move |pitch| self.depths().map(move |depth| self.outside(pitch, depth))),
            ),
            Remedy::EntriesMoved => {
                Box::new(self.other_entries().into_iter().map(|(pitch, depth)| self.moved(pitch, depth)))
            }
            Remedy::OtherKit => Box::new(self.kits().map(|kit| self.with_kit(kit))),
            Remedy::Extension => Box::new(self.extensions().map(|mm| self.extended(mm))),
        }
    }

    /// The farthest setting of one remedy: what is reported of a set that
    /// fails. Of single entries the least pitch and the greatest depth; of
    /// other kits the first that fits.
    pub(super) fn farthest(&self, remedy: Remedy) -> TriedLayout<'i> {
        let found = match remedy {
            Remedy::CrutchOutside => self
                .pitches()
                .next()
                .zip(self.depths().last())
                .map(|(pitch, depth)| self.outside(pitch, depth)),
            Remedy::EntriesMoved => {
                let widest = |a: &(f64, Option<f64>), b: &(f64, Option<f64>)| a.0.total_cmp(&b.0);
                // Of the widest the deepest: it stands last.
                self.other_entries().into_iter().max_by(widest).map(|(pitch, depth)| self.moved(pitch, depth))
            }
            Remedy::OtherKit => self.with_each(remedy).next(),
            _ => self.with_each(remedy).last(),
        };
        found.unwrap_or_else(|| self.clone())
    }

    /// Whether a remedy has any setting here.
    pub(super) fn has(&self, remedy: Remedy) -> bool {
        self.with_each(remedy).next().is_some()
    }

    fn in_order(&self) -> Self {
        let mut next = self.clone();
        next.layout.core_to_stud = [1, 2, 3];
        next
    }

    fn lengths(&self) -> impl Iterator<Item = f64> + use<'i> {
        let from = self.layout.insulation_exposed_mm;
        let over = self.layout.sct_over_insulation_mm;
        let least = self.edge_up.map(|kit| kit.insulation_min_mm.max(over + kit.clear_surface_min_mm));
        steps(from - FINE_STEP_MM, -FINE_STEP_MM, least)
    }

    fn exposed(&self, mm: f64) -> Self {
        let mut next = self.clone();
        next.layout.insulation_exposed_mm = mm;
        next.settings.insulation_exposed_mm = Some(mm);
        next
    }

    fn heights(&self) -> impl Iterator<Item = f64> + use<'i> {
        let from = self.layout.start.crutch_height_mm.unwrap_or(0.0);
        let least = self.options.crutch_lower.map(|o| o.crutch_height_min_mm.max(0.0));
        steps(from - FINE_STEP_MM, -FINE_STEP_MM, least)
    }

    fn lowered(&self, mm: f64) -> Self {
        let mut next = self.clone();
        next.layout.start.crutch_height_mm = Some(mm);
        next.settings.crutch_height_mm = Some(mm);
        next
    }

    /// From the tube's diameter and the gap, up to what plate and studs take.
    fn pitches(&self) -> impl Iterator<Item = f64> + use<'i> {
        let least = self.layout.dia.tube_mm + self.layout.limits.phase_gap_min_mm;
        let from = ((least - NOISE_MM) / PITCH_STEP_MM).ceil() * PITCH_STEP_MM;
        let pitch = self.layout.box_.stud_pitch_mm;
        steps(from, PITCH_STEP_MM, self.options.crutch_outside.map(|o| o.entry_pitch_max_mm.min(pitch)))
    }

    fn depths(&self) -> impl Iterator<Item = f64> + use<'i> {
        steps(DEPTH_STEP_MM, DEPTH_STEP_MM, self.options.crutch_outside.map(|o| o.room_below_plate_mm))
    }

    fn outside(&self, pitch: f64, depth: f64) -> Self {
        let mut next = self.clone();
        let start = &mut next.layout.start;
        start.kind = StartKind::Entries;
        start.crutch_height_mm = None;
        start.entry_height_mm = self.options.crutch_outside.map(|o| o.entry_height_mm);
        start.entry_pitch_mm = Some(pitch);
        start.crutch_below_plate_mm = Some(depth);
        next.settings.entry_pitch_mm = Some(pitch);
        next.settings.crutch_below_plate_mm = Some(depth);
        next
    }

    /// Pitch and depth of entries that are there already, least change first: the
    /// pitch nearest to the present one, and of each pitch the depths from the
    /// present one down.
    fn other_entries(&self) -> Vec<(f64, Option<f64>)> {
        let (Some(option), Some(pitch)) = (self.options.entries_moved, self.layout.start.entry_pitch_mm)
        else {
            return Vec::new();
        };
        let depth = self.layout.start.crutch_below_plate_mm;
        let least = self.layout.dia.tube_mm + self.layout.limits.phase_gap_min_mm;
        let from = ((least - NOISE_MM) / PITCH_STEP_MM).ceil() * PITCH_STEP_MM;
        let most = option.entry_pitch_max_mm.min(self.layout.box_.stud_pitch_mm);
        let mut pitches: Vec<f64> = steps(from, PITCH_STEP_MM, Some(most)).collect();
        pitches.retain(|p| (p - pitch).abs() > NOISE_MM);
        // Of two as near, the wider: nothing but the bend asks for a narrower one.
        pitches.sort_by(|a, b| (a - pitch).abs().total_cmp(&(b - pitch).abs()).then(b.total_cmp(a)));
        pitches.insert(0, pitch);
        let deeper: Vec<Option<f64>> = match depth {
            None => vec![None],
            Some(depth) => {
                let next = ((depth + NOISE_MM) / DEPTH_STEP_MM).floor() * DEPTH_STEP_MM + DEPTH_STEP_MM;
                let more = steps(next, DEPTH_STEP_MM, option.room_below_plate_mm);
                std::iter::once(depth).chain(more).map(Some).collect()
            }
        };
        let all = pitches.iter().flat_map(|p| deeper.iter().map(move |d| (*p, *d)));
        // The first of all is the layout as it is.
        all.skip(1).collect()
    }

    fn moved(&self, pitch: f64, depth: Option<f64>) -> Self {
        let mut next = self.clone();
        next.layout.start.entry_pitch_mm = Some(pitch);
        next.layout.start.crutch_below_plate_mm = depth;
        next.settings.entry_pitch_mm = Some(pitch);
        next.settings.crutch_below_plate_mm = depth;
        next
    }

    fn kits(&self) -> impl Iterator<Item = &'i KitOption> + use<'i> {
        let core = self.options.dia_over_insulation_mm;
        let kits = self.options.kits.as_deref().unwrap_or_default();
        kits.iter().filter(move |kit| kit.bore_mm[0] <= core && core <= kit.bore_mm[1])
    }

    fn with_kit(&self, kit: &KitOption) -> Self {
        let mut next = self.clone();
        let layout = &mut next.layout;
        layout.insulation_exposed_mm = kit.insulation_exposed_mm;
        layout.sct_over_insulation_mm = kit.sct_over_insulation_mm;
        layout.sct_over_semicon_mm = kit.sct_over_semicon_mm;
        layout.semicon_left_mm = kit.semicon_left_mm;
        layout.dia = kit.dia;
        let limits = &mut layout.limits;
        limits.phase_gap_min_mm = kit.limits.phase_gap_min_mm;
        limits.earth_gap_min_mm = kit.limits.earth_gap_min_mm;
        limits.edge_to_plate_min_mm = kit.limits.edge_to_plate_min_mm;
        limits.edge_to_crutch_min_mm = kit.limits.edge_to_crutch_min_mm;
        next.edge_up = Some(EdgeUpOption {
            insulation_min_mm: kit.insulation_min_mm,
            clear_surface_min_mm: kit.clear_surface_min_mm,
        });
        next.settings.kit = Some(kit.code.clone());
        next
    }

    fn extensions(&self) -> impl Iterator<Item = f64> + use<'i> {
        steps(EXTENSION_STEP_MM, EXTENSION_STEP_MM, self.options.extension.map(|o| o.extension_max_mm))
    }

    fn extended(&self, mm: f64) -> Self {
        let mut next = self.clone();
        next.layout.box_.gland_to_stud_mm += mm;
        next.settings.extension_mm = Some(mm);
        next
    }
}

/// `from`, `from + step` … up to and with `end`; nothing where there is no end.
fn steps(from: f64, step: f64, end: Option<f64>) -> impl Iterator<Item = f64> + use<> {
    let count = end.map_or(0.0, |end| ((end - from) / step + NOISE_MM).floor() + 1.0);
    let count = if count.is_finite() && count > 0.0 { (count as usize).min(MOST_SETTINGS) } else { 0 };
    (0..count).map(move |i| from + step * i as f64)
}
