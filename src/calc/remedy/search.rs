//! The sets of remedies in order of weight, the settings of each, and what came
//! of them.

use super::super::earthed::{earthed_of, heights_pass};
use super::super::judge::{judge_height, no_dressing_helps};
use super::super::layout::Layout;
use super::super::refusal::Refusal;
use super::super::route::{route, s_bend_axes};
use super::super::solid::{cores, cores_keep};
use super::super::verdict::Verdict;
use super::figures::{JudgedFigure, JudgedKind, bends_pass, judged_figures};
use super::settings::{Settings, TriedLayout};
use super::{Remedy, RemedyInput};
use serde::{Serialize, Serializer};
use std::collections::BTreeMap;

/// Layouts whose gap may be looked at before the search gives up. A job with
/// sensible figures asks for some thousands; a slip of typing would ask for
/// millions.
const MOST_LAYOUTS: usize = 2_000_000;

/// What came of the search.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RemedySearch {
    #[serde(serialize_with = "by_name")]
    pub before: Vec<JudgedFigure>,
    #[serde(serialize_with = "short_ones")]
    pub before_failing: Vec<JudgedFigure>,
    /// Why there are no figures before: the layout is refused as it is.
    #[serde(skip_serializing_if = "Option::is_none", serialize_with = "refusal_code")]
    pub before_refused: Option<Refusal>,
    pub not_offered: BTreeMap<Remedy, &'static str>,
    /// The way out; empty where there is nothing to do, `None` where there is
    /// none.
    pub remedies: Option<Vec<Remedy>>,
    pub cost: Option<f64>,
    pub settings: Option<Settings>,
    #[serde(serialize_with = "by_name", skip_serializing_if = "Vec::is_empty")]
    pub after: Vec<JudgedFigure>,
    /// Phase 1, 2, 3.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub after_tail_mm: Option<[f64; 3]>,
    /// The figure with the least margin as a share of its limit; where there is
    /// no way out, the single figure that can't be met.
    pub binding: Option<Binding>,
    /// Every cheaper set, at its farthest setting.
    pub rejected: Vec<Rejected>,
    /// The layout of the way out.
    #[serde(skip)]
    pub layout: Option<Layout>,
    /// The search ended before every setting was tried.
    #[serde(skip)]
    pub gave_up: bool,
    /// Layouts looked at.
    #[serde(skip)]
    pub layouts: usize,
}

/// A set that does not serve.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Rejected {
    pub remedies: Vec<Remedy>,
    pub cost: f64,
    pub at: Settings,
    #[serde(serialize_with = "short_ones")]
    pub failing: Vec<JudgedFigure>,
    /// The farthest setting is no layout at all.
    #[serde(skip_serializing_if = "Option::is_none", serialize_with = "refusal_code")]
    pub refused: Option<Refusal>,
    /// Cores cross there, which is never a pass.
    #[serde(skip)]
    pub crosses: bool,
    /// Settings of the set that pass by geometry and that the caller refused.
    #[serde(skip)]
    pub passed_geometry: usize,
}

/// The figure that holds the layout, or keeps it from being one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Binding(pub JudgedFigure);

impl Serialize for Binding {
    fn serialize<S: Serializer>(&self, s: S) -> Result<S::Ok, S::Error> {
        #[derive(Serialize)]
        struct Line {
            figure: JudgedKind,
            actual_mm: f64,
            limit_mm: f64,
            #[serde(skip_serializing_if = "Option::is_none")]
            margin_mm: Option<f64>,
            #[serde(skip_serializing_if = "Option::is_none")]
            short_mm: Option<f64>,
        }
        let JudgedFigure { kind, actual_mm, limit_mm } = self.0;
        let margin = self.0.margin_mm();
        let (margin_mm, short_mm) =
            if self.0.passes() { (Some(margin), None) } else { (None, Some(-margin)) };
        Line { figure: kind, actual_mm, limit_mm, margin_mm, short_mm }.serialize(s)
    }
}

fn by_name<S: Serializer>(figures: &[JudgedFigure], s: S) -> Result<S::Ok, S::Error> {
    s.collect_map(figures.iter().map(|f| (f.kind.name(), f.actual_mm)))
}

fn short_ones<S: Serializer>(figures: &[JudgedFigure], s: S) -> Result<S::Ok, S::Error> {
    s.collect_seq(figures.iter().map(|f| Binding(*f)))
}

fn refusal_code<S: Serializer>(refusal: &Option<Refusal>, s: S) -> Result<S::Ok, S::Error> {
    refusal.map(Refusal::code).serialize(s)
}

/// The cheapest set by geometry alone. Refuses only what no remedy touches: a
/// least bending radius that is not given.
pub fn remedy_search(input: &RemedyInput) -> Result<RemedySearch, Refusal> {
    remedy_search_where(input, |_, _| true)
}

/// The same, each setting that passes by geometry being put to `serves`, with
/// its set; the first that serves is the answer.
pub fn remedy_search_where(
    input: &RemedyInput,
    serves: impl FnMut(&[Remedy], &TriedLayout<'_>) -> bool,
) -> Result<RemedySearch, Refusal> {
    if input.layout.limits.min_bend_core_mm.is_none() {
        return Err(Refusal::FigureMissing("least bending radius"));
    }
    let mut search = Search { serves, set: Vec::new(), layouts: 0, passed: 0 };
    let first = TriedLayout::first(input);
    let before = judged_figures(&input.layout);
    let mut out = RemedySearch {
        before_failing: before.as_ref().map_or_else(|_| Vec::new(), |f| short(f)),
        before_refused: before.as_ref().err().copied(),
        before: before.unwrap_or_default(),
        not_offered: BTreeMap::new(),
        remedies: None,
        cost: None,
        settings: None,
        after: Vec::new(),
        after_tail_mm: None,
        binding: None,
        rejected: Vec::new(),
        layout: None,
        gave_up: false,
        layouts: 0,
    };
    if search.is_clean(&input.layout) {
        out.binding = tightest(&out.before);
        (out.remedies, out.cost, out.settings) = (Some(Vec::new()), Some(0.0), Some(Settings::default()));
        return Ok(out);
    }
    out.not_offered = not_offered(input, &first);
    for (cost, set) in sets(input, &out.not_offered) {
        search.set.clone_from(&set);
        search.passed = 0;
        if let Tried::Serves(found) = search.within(&first, set.len()) {
            out.after = judged_figures(&found.layout)?;
            out.after_tail_mm = Some(route(&found.layout)?.phases.map(|p| p.tail_mm));
            out.binding = tightest(&out.after);
            out.layout = Some(found.layout);
            (out.remedies, out.cost, out.settings) = (Some(set), Some(cost), Some(found.settings));
            break;
        }
        out.rejected.push(rejected(&first, set, cost, search.passed));
        if search.layouts >= MOST_LAYOUTS {
            out.gave_up = true;
            break;
        }
    }
    if out.remedies.is_none() {
        out.binding = never_met(&out);
    }
    out.layouts = search.layouts;
    Ok(out)
}

/// Why a remedy is no part of any set.
fn not_offered(input: &RemedyInput, first: &TriedLayout<'_>) -> BTreeMap<Remedy, &'static str> {
    let options = &input.options;
    let inside = input.layout.start.crutch_height_mm.is_some();
    let why = |remedy: Remedy| {
        let offered = match remedy {
            Remedy::CoreOrder if !input.layout.crosses() => return Some("no crossing"),
            Remedy::CoreOrder => true,
            Remedy::EdgeUp => options.edge_up.is_some(),
            Remedy::CrutchLower => options.crutch_lower.is_some(),
            Remedy::CrutchOutside => options.crutch_outside.is_some(),
            Remedy::EntriesMoved => options.entries_moved.is_some(),
            Remedy::OtherKit => options.kits.is_some(),
            Remedy::Extension => options.extension.is_some(),
        };
        if !offered || !input.weights.contains_key(&remedy) {
            return Some("not offered by the job");
        }
        match remedy {
            Remedy::CrutchLower | Remedy::CrutchOutside if !inside => Some("the crutch is outside already"),
            Remedy::EntriesMoved if inside => Some("the crutch is in the box, there are no entries"),
            Remedy::EntriesMoved if !first.has(remedy) => {
                Some("no other pitch or depth that there is room for")
            }
            Remedy::OtherKit if !first.has(remedy) => Some("no kit whose bore takes the core"),
            // With another kit in force there may be room.
            Remedy::EdgeUp if !first.has(remedy) && options.kits.is_none() => {
                Some("at the kit's least already")
            }
            Remedy::CrutchLower if !first.has(remedy) => Some("as low as the job allows already"),
            Remedy::CrutchOutside if !first.has(remedy) => {
                Some("no entry pitch or depth that there is room for")
            }
            Remedy::Extension if !first.has(remedy) => Some("the extension is less than one step"),
            _ => None,
        }
    };
    Remedy::ALL.into_iter().filter_map(|remedy| Some((remedy, why(remedy)?))).collect()
}

/// Sets of one to three offered remedies in order of weight; of equal weight
/// the smaller set, then the one that stands first in [`Remedy::ALL`].
fn sets(input: &RemedyInput, left_out: &BTreeMap<Remedy, &'static str>) -> Vec<(f64, Vec<Remedy>)> {
    let offered: Vec<Remedy> = Remedy::ALL.into_iter().filter(|r| !left_out.contains_key(r)).collect();
    let mut sets: Vec<(f64, Vec<Remedy>)> = (1..1u32 << offered.len())
        .map(|bits| {
            (0..offered.len()).filter(|i| bits & (1 << i) != 0).map(|i| offered[i]).collect::<Vec<_>>()
        })
        .filter(|set| set.len() <= input.most_remedies)
        .filter(|set| !(set.contains(&Remedy::CrutchLower) && set.contains(&Remedy::CrutchOutside)))
        .map(|set| (set.iter().filter_map(|r| input.weights.get(r)).sum(), set))
        .collect();
    sets.sort_by(|(a, x), (b, y)| a.total_cmp(b).then(x.len().cmp(&y.len())).then(x.cmp(y)));
    sets
}

enum Tried<'i> {
    Serves(Box<TriedLayout<'i>>),
    /// Some setting passes by geometry and does not serve.
    Refused,
    /// No setting passes by geometry.
    Short,
}

struct Search<F> {
    serves: F,
    set: Vec<Remedy>,
    layouts: usize,
    passed: usize,
}

impl<F: FnMut(&[Remedy], &TriedLayout<'_>) -> bool> Search<F> {
    /// Tries every setting of the first `left` remedies of the set, the last of
    /// them outermost.
    fn within<'i>(&mut self, from: &TriedLayout<'i>, left: usize) -> Tried<'i> {
        let Some(&remedy) = left.checked_sub(1).and_then(|i| self.set.get(i)) else {
            return self.leaf(from);
        };
        let mut any = Tried::Short;
        let mut settled_pitch = None;
        for next in from.with_each(remedy) {
            if matches!(remedy, Remedy::CrutchOutside | Remedy::EntriesMoved) {
                // Depth moves nothing but the bend below the plate: where that
                // passes and nothing in the box does, no other depth helps.
                let pitch = next.settings.entry_pitch_mm;
                if settled_pitch == pitch || !bends_pass(&next.layout)[1] {
                    continue;
                }
                match self.within(&next, left - 1) {
                    Tried::Short => settled_pitch = pitch,
                    found @ Tried::Serves(_) => return found,
                    Tried::Refused => any = Tried::Refused,
                }
            } else {
                match self.within(&next, left - 1) {
                    Tried::Short => {}
                    found @ Tried::Serves(_) => return found,
                    Tried::Refused => any = Tried::Refused,
                }
            }
            if self.layouts >= MOST_LAYOUTS {
                break;
            }
        }
        any
    }

    fn leaf<'i>(&mut self, tried: &TriedLayout<'i>) -> Tried<'i> {
        if !self.is_clean(&tried.layout) {
            return Tried::Short;
        }
        self.passed += 1;
        if (self.serves)(&self.set, tried) { Tried::Serves(Box::new(tried.clone())) } else { Tried::Refused }
    }

    /// Whether height, gap, earthed gaps and bends all pass; cheap questions
    /// first. With bends that pass, the bound on any dressing bounds these
    /// cores too, and beside the studs no gap is wider than at the studs.
    fn is_clean(&mut self, layout: &Layout) -> bool {
        self.layouts += 1;
        let limit = layout.limits.phase_gap_min_mm;
        if layout.check().is_err()
            || layout.crosses()
            || judge_height(layout).verdict != Verdict::Pass
            || bends_pass(layout) != [true, true]
            || no_dressing_helps(layout)
        {
            return false;
        }
        let axes = s_bend_axes(layout);
        if !heights_pass(layout, &axes) {
            return false;
        }
        let cores = cores(layout, &axes);
        cores_keep(layout, &cores, limit)
            && earthed_of(layout, &axes, cores.each_ref().map(|c| c.live.as_slice())).verdict == Verdict::Pass
    }
}

fn rejected(first: &TriedLayout<'_>, set: Vec<Remedy>, cost: f64, passed_geometry: usize) -> Rejected {
    let far = set.iter().rev().fold(first.clone(), |at, remedy| at.farthest(*remedy));
    let figures = judged_figures(&far.layout);
    Rejected {
        cost,
        at: far.settings,
        failing: figures.as_ref().map_or_else(|_| Vec::new(), |f| short(f)),
        refused: figures.err(),
        crosses: far.layout.crosses(),
        remedies: set,
        passed_geometry,
    }
}

fn short(figures: &[JudgedFigure]) -> Vec<JudgedFigure> {
    figures.iter().filter(|f| !f.passes()).copied().collect()
}

fn tightest(figures: &[JudgedFigure]) -> Option<Binding> {
    figures.iter().min_by(|a, b| a.relative().total_cmp(&b.relative())).copied().map(Binding)
}

/// The single limit that can't be met: the studs where they stand too close;
/// else of the figures short in every attempt the one relatively shortest at
/// its best attempt.
fn never_met(out: &RemedySearch) -> Option<Binding> {
    let mut attempts: Vec<&[JudgedFigure]> = out.rejected.iter().map(|r| r.failing.as_slice()).collect();
    if out.before_refused.is_none() {
        attempts.push(&out.before_failing);
    }
    // A refused layout has no figures and says nothing here.
    attempts.retain(|failing| !failing.is_empty());
    let best_of = |kind: JudgedKind| {
        let tried: Vec<&JudgedFigure> =
            attempts.iter().filter_map(|failing| failing.iter().find(|f| f.kind == kind)).collect();
        (tried.len() == attempts.len())
            .then(|| tried.into_iter().max_by(|a, b| a.relative().total_cmp(&b.relative())).copied())
            .flatten()
    };
    if let Some(at_studs) = best_of(JudgedKind::PhaseGapAtStuds) {
        return Some(Binding(at_studs));
    }
    let kinds = attempts.first()?.iter().map(|f| f.kind);
    kinds.filter_map(best_of).min_by(|a, b| a.relative().total_cmp(&b.relative())).map(Binding)
}
