//! What came of a search, in words and figures as they print.

use super::Request;
use super::edit::{Change, apply};
use super::lift::{Desk, Worse};
use super::offer::Offer;
use super::ways::Way;
use crate::calc::{Binding, JudgedFigure, JudgedKind, Rejected, Remedy, RemedySearch, Settings};
use crate::facts::{self, Sheet};
use crate::finding::{Grade, Judgement, State};
use crate::job::schema::Mark;
use crate::job::{self, Job};
use crate::units::{Rounding, decimals_that_differ, fixed};
use serde::Serialize;

/// The whole answer; as JSON `cutback-remedies-1`.
#[derive(Clone, Debug, Serialize)]
pub struct RemedyReport {
    pub format: &'static str,
    pub outcome: Outcome,
    /// Why nothing was searched, or why there is no way out.
    pub why: Option<String>,
    /// Figures of the enclosure that are short as planned.
    pub short: Vec<FigureLine>,
    pub way: Option<WayOut>,
    /// The figure that holds the way out, or the one that can't be met.
    pub binding: Option<FigureLine>,
    /// Every lighter way, and why it does not serve.
    pub rejected: Vec<RejectedWay>,
    pub not_offered: Vec<NotOffered>,
    /// Ways that would have weighed more, and were not looked at alone.
    pub heavier: Vec<String>,
    /// Layouts looked at, and jobs judged by every rule.
    pub layouts: usize,
    pub jobs: usize,
    /// The search ended before every setting was tried.
    pub gave_up: bool,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Outcome {
    /// Height, gap, earthed gaps and bends pass as planned.
    NothingToDo,
    WayOut,
    NoWayOut,
    NotSearched,
}

/// One judged figure beside its limit, as printed.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct FigureLine {
    pub figure: &'static str,
    pub actual: String,
    pub least: String,
    /// With its sign.
    pub margin: String,
    pub passes: bool,
}

/// A figure before and after; no text where there is none.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Compared {
    pub name: String,
    pub title: String,
    pub before: String,
    pub after: String,
    /// Judged figures: the limit after it.
    pub least: String,
}

#[derive(Clone, Debug, Serialize)]
pub struct WayOut {
    pub ways: Vec<String>,
    pub weight: f64,
    pub changes: Vec<Changed>,
    /// Judged figures of the enclosure.
    pub figures: Vec<Compared>,
    /// Every other computed fact that changes.
    pub facts: Vec<Compared>,
    /// What has to be seen to, and no figure shows.
    pub needs: Vec<String>,
    /// Findings that stay open after it.
    pub still_open: Vec<String>,
    /// Acceptances in the file that no longer hold.
    pub lapsed: Vec<String>,
    /// The changed job file.
    #[serde(skip)]
    pub text: String,
}

/// A key of the job file that changes.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Changed {
    pub key: String,
    pub before: String,
    /// Nothing: the key goes.
    pub after: Option<String>,
    pub why: String,
}

#[derive(Clone, Debug, Serialize)]
pub struct RejectedWay {
    pub ways: Vec<String>,
    pub weight: f64,
    /// The farthest setting, in words.
    pub at: Vec<String>,
    pub short: Vec<FigureLine>,
    /// A layout that is none, or cores that cross.
    pub why: Option<String>,
    /// Rules that weigh worse where the enclosure passes.
    pub rules: Vec<Refused>,
}

#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Refused {
    pub rule: String,
    pub check: String,
    pub message: String,
}

#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct NotOffered {
    pub way: String,
    pub why: String,
}

const FORMAT: &str = "cutback-remedies-1";

impl RemedyReport {
    pub(super) fn not_searched(why: String) -> Self {
        Self { why: Some(why), ..Self::empty(Outcome::NotSearched) }
    }

    fn empty(outcome: Outcome) -> Self {
        Self {
            format: FORMAT,
            outcome,
            why: None,
            short: Vec::new(),
            way: None,
            binding: None,
            rejected: Vec::new(),
            not_offered: Vec::new(),
            heavier: Vec::new(),
            layouts: 0,
            jobs: 0,
            gave_up: false,
        }
    }
}

pub(super) fn report(
    request: &Request<'_>,
    offer: &Offer,
    desk: &Desk<'_, '_>,
    found: &RemedySearch,
) -> RemedyReport {
    let way_name = |remedy: &Remedy| {
        request.ways.way(*remedy).map_or_else(|| format!("{remedy:?}"), |way| way.name.clone())
    };
    let rejected = found.rejected.iter().map(|r| RejectedWay {
        ways: r.remedies.iter().map(way_name).collect(),
        weight: r.cost,
        at: at_words(&r.at, &r.remedies),
        short: r.failing.iter().map(line).collect(),
        why: why_not(r),
        rules: desk.why_refused(&r.remedies).iter().map(refused).collect(),
    });
    let mut out = RemedyReport {
        short: found.before_failing.iter().map(line).collect(),
        why: found.before_refused.map(|r| format!("as planned {r}")),
        binding: found.binding.map(|Binding(figure)| line(&figure)),
        rejected: rejected.collect(),
        not_offered: not_offered(request, offer, found),
        heavier: heavier(request, found),
        layouts: found.layouts,
        jobs: desk.jobs,
        gave_up: found.gave_up || desk.gave_up(),
        ..RemedyReport::empty(Outcome::NoWayOut)
    };
    match (&found.remedies, &found.settings) {
        (Some(set), _) if set.is_empty() => out.outcome = Outcome::NothingToDo,
        (Some(set), Some(settings)) => match way_out(request, desk, found, set, settings) {
            Ok(way) => (out.outcome, out.way) = (Outcome::WayOut, Some(way)),
            Err(why) => (out.outcome, out.why) = (Outcome::NotSearched, Some(why)),
        },
        _ => {
            // Where geometry passed somewhere, no figure stands in the way.
            if found.rejected.iter().any(|r| r.passed_geometry > 0) {
                out.binding = None;
                out.why = Some("the cores would fit, and rules of the rest of the job refuse it".into());
            }
        }
    }
    out
}

/// Single ways that are offered and weigh more than the one found.
fn heavier(request: &Request<'_>, found: &RemedySearch) -> Vec<String> {
    let Some(cost) = found.cost.filter(|_| found.remedies.as_ref().is_some_and(|set| !set.is_empty())) else {
        return Vec::new();
    };
    let offered = Remedy::ALL.into_iter().filter(|remedy| !found.not_offered.contains_key(remedy));
    offered
        .filter_map(|remedy| request.ways.way(remedy))
        .filter_map(|way| Some((way, way.weight.filter(|w| *w > cost)?)))
        .map(|(way, weight)| format!("{} (weight {weight})", way.name))
        .collect()
}

fn way_out(
    request: &Request<'_>,
    desk: &Desk<'_, '_>,
    found: &RemedySearch,
    set: &[Remedy],
    settings: &Settings,
) -> Result<WayOut, String> {
    let changes = desk.changes(set, settings);
    let text = apply(request.text, &changes)?;
    let loaded = job::load(request.file, text.clone(), request.library);
    let job = loaded.job.ok_or("the changed job does not read")?;
    let sheet = facts::sheet(&job);
    let judgement = request.book.judge(&sheet, &job, &loaded.sources);
    let ways: Vec<&Way> = set.iter().filter_map(|r| request.ways.way(*r)).collect();
    Ok(WayOut {
        ways: ways.iter().map(|w| w.name.clone()).collect(),
        weight: found.cost.unwrap_or(0.0),
        changes: changes.iter().map(|c| changed(c, request.job)).collect(),
        figures: judged(&found.before, &found.after),
        facts: moved_facts(request.sheet, &sheet),
        needs: ways.iter().flat_map(|w| w.needs.iter().cloned()).collect(),
        still_open: still_open(&judgement),
        lapsed: judgement
            .findings
            .iter()
            .filter(|f| f.code.starts_with('Y'))
            .map(|f| f.message.clone())
            .collect(),
        text,
    })
}

fn changed(change: &Change, job: &Job) -> Changed {
    let own = job.text(&change.key);
    let of_group = || job.text(&format!("{}.type", change.key));
    Changed {
        key: change.key.clone(),
        before: own.or_else(of_group).unwrap_or_else(|| "not given".into()),
        after: change.to.clone(),
        why: change.why.clone(),
    }
}

fn still_open(judgement: &Judgement) -> Vec<String> {
    let findings = judgement.findings.iter().filter(|f| f.state == State::Open && !f.code.starts_with('Y'));
    let unjudged = judgement.not_judged.iter().filter(|n| n.is_open());
    findings
        .map(|f| format!("{} {}: {}", f.code, f.title, f.grade.words()))
        .chain(unjudged.map(|n| format!("{} {}: not judged, {}", n.code, n.title, n.why)))
        .collect()
}

/// Judged figures of both, in the order of the rules.
fn judged(before: &[JudgedFigure], after: &[JudgedFigure]) -> Vec<Compared> {
    let mut kinds: Vec<JudgedKind> = before.iter().chain(after).map(|f| f.kind).collect();
    kinds.sort();
    kinds.dedup();
    kinds
        .into_iter()
        .map(|kind| {
            let of = |all: &[JudgedFigure]| all.iter().find(|f| f.kind == kind).map(line);
            let (before, after) = (of(before), of(after));
            let least = after.as_ref().map_or_else(String::new, |f| f.least.clone());
            let text = |f: Option<FigureLine>| f.map_or_else(|| "none".into(), |f| f.actual);
            Compared {
                name: kind_name(kind).into(),
                title: figure_words(kind).into(),
                before: text(before),
                after: text(after),
                least,
            }
        })
        .collect()
}

/// Computed facts whose printed text changes; the judged ones stand apart.
fn moved_facts(before: &Sheet, after: &Sheet) -> Vec<Compared> {
    after
        .iter()
        .filter(|fact| fact.def.is_some() && fact.mark == Mark::Computed)
        .filter(|fact| facts::may_be_printed(after, &fact.name))
        .filter(|fact| !OWN_LINES.contains(&&*fact.name))
        .filter(|fact| !fact.name.starts_with("window_") && !fact.name.contains("_passes_"))
        .filter_map(|fact| {
            let said =
                |text: &str| if text == "not answered" { "none".to_string() } else { text.to_string() };
            let (was, is) = (said(before.text(&fact.name)), said(&fact.text));
            (was != is).then(|| Compared {
                name: fact.name.to_string(),
                title: fact.title.to_string(),
                before: was,
                after: is,
                least: String::new(),
            })
        })
        .collect()
}

/// Facts that print among the judged figures, and words of verdicts.
const OWN_LINES: [&str; 18] = [
    "chain_height",
    "chain_spare",
    "phase_gap",
    "edge_above_plate",
    "tube_above_plate",
    "edge_to_crutch",
    "wall_gap",
    "cover_gap",
    "back_gap",
    "bend_as_it_lies",
    "bend_place",
    "bend_limit",
    "height_verdict",
    "gap_verdict",
    "bend_verdict",
    "layout_state",
    "layout_why",
    "plate_or_entry",
];

fn not_offered(request: &Request<'_>, offer: &Offer, found: &RemedySearch) -> Vec<NotOffered> {
    let name = |remedy: Remedy| request.ways.way(remedy).map_or_else(String::new, |way| way.name.clone());
    let mut out: Vec<NotOffered> = found
        .not_offered
        .iter()
        .map(|(remedy, why)| NotOffered {
            way: name(*remedy),
            why: offer.reasons.get(remedy).cloned().unwrap_or_else(|| (*why).to_string()),
        })
        .collect();
    if found.remedies.as_ref().is_none_or(|set| !set.is_empty()) {
        let kits = offer.kits_left_out.iter();
        out.extend(kits.map(|(kit, why)| NotOffered { way: format!("kit {kit}"), why: why.clone() }));
    }
    out
}

fn why_not(rejected: &Rejected) -> Option<String> {
    if let Some(refusal) = rejected.refused {
        return Some(refusal.explain());
    }
    if rejected.remedies == [Remedy::EdgeUp] && rejected.at.insulation_exposed_mm.is_none() {
        return Some("the insulation exposed is at the kit's least already".into());
    }
    rejected.crosses.then(|| "cores cross, and cores that cross are never a pass".to_string())
}

fn refused(worse: &Worse) -> Refused {
    Refused { rule: worse.code.clone(), check: worse.check.clone(), message: worse.message.clone() }
}

/// The setting in words.
fn at_words(at: &Settings, set: &[Remedy]) -> Vec<String> {
    let mm = |v: f64| super::changes::mm(v);
    let mut out = Vec::new();
    if set.contains(&Remedy::CoreOrder) {
        out.push("cores to studs 1 2 3".to_string());
    }
    out.extend(at.kit.as_ref().map(|kit| format!("kit {kit}")));
    out.extend(at.extension_mm.map(|v| format!("spacer {}", mm(v))));
    out.extend(at.insulation_exposed_mm.map(|v| format!("insulation exposed {}", mm(v))));
    out.extend(at.crutch_height_mm.map(|v| format!("crutch {} above the plate", mm(v))));
    out.extend(at.entry_pitch_mm.map(|v| format!("entry pitch {}", mm(v))));
    out.extend(at.crutch_below_plate_mm.map(|v| format!("crutch {} below the plate", mm(v))));
    out
}

fn kind_name(kind: JudgedKind) -> &'static str {
    match kind {
        JudgedKind::Height => "height",
        JudgedKind::PhaseGap => "phase_gap",
        JudgedKind::PhaseGapAtStuds => "gap_at_studs",
        JudgedKind::EdgeAbove => "edge_above_plate",
        JudgedKind::TubeAbove => "tube_above_plate",
        JudgedKind::EdgeToCrutch => "edge_to_crutch",
        JudgedKind::Wall => "wall_gap",
        JudgedKind::Cover => "cover_gap",
        JudgedKind::Back => "back_gap",
        JudgedKind::BendInBox => "bend_in_box",
        JudgedKind::BendOutside => "bend_below_plate",
    }
}

/// A judged figure in words.
pub fn figure_words(kind: JudgedKind) -> &'static str {
    match kind {
        JudgedKind::Height => "plate to stud, against the chain",
        JudgedKind::PhaseGap => "least gap, cores as they lie",
        JudgedKind::PhaseGapAtStuds => "gap at the studs",
        JudgedKind::EdgeAbove => "edge above plate or entry",
        JudgedKind::TubeAbove => "tube end above plate or entry",
        JudgedKind::EdgeToCrutch => "screened length, crutch to edge",
        JudgedKind::Wall => "live length to side wall",
        JudgedKind::Cover => "live length to cover",
        JudgedKind::Back => "live length to back wall",
        JudgedKind::BendInBox => "bend in the box, to the axis",
        JudgedKind::BendOutside => "bend below the plate, to the axis",
    }
}

/// As printed: heights and radii in whole mm, gaps to 0.1; a figure that falls
/// short never looks like its limit.
fn line(figure: &JudgedFigure) -> FigureLine {
    let whole = matches!(figure.kind, JudgedKind::Height | JudgedKind::BendInBox | JudgedKind::BendOutside);
    let (actual, limit) = (figure.actual_mm, figure.limit_mm);
    let up = if figure.kind == JudgedKind::Height { Rounding::Up } else { Rounding::Nearest };
    let mut decimals = if whole { 0 } else { 1 };
    if !figure.passes() && fixed(actual, decimals, Rounding::Nearest) == fixed(limit, decimals, up) {
        decimals = decimals_that_differ(actual, limit, decimals);
    }
    let margin = figure.margin_mm();
    let sign = if margin > 0.0 { "+" } else { "" };
    let least = if (limit - limit.round()).abs() < 1e-6 { 0 } else { decimals };
    FigureLine {
        figure: figure_words(figure.kind),
        actual: format!("{} mm", fixed(actual, decimals, Rounding::Nearest)),
        least: format!("{} mm", fixed(limit, least, up)),
        margin: format!("{sign}{} mm", fixed(margin, decimals, Rounding::Nearest)),
        passes: figure.passes(),
    }
}

/// Findings of the enclosure as they were: what forced the way.
pub(super) fn forced_by(request: &Request<'_>) -> Vec<String> {
    let findings = request.judgement.findings.iter();
    findings
        .filter(|f| request.ways.must_pass.contains(&f.code) && f.grade > Grade::Advises)
        .map(|f| format!("{}: {}", f.code, f.message))
        .collect()
}
