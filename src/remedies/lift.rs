//! From a layout that passes to a job that does: each is written out, read back
//! and judged by every rule.

use super::Request;
use super::changes::{MOVED, changes};
use super::edit::{Change, apply};
use super::offer::Offer;
use crate::calc::{Remedy, Settings, TriedLayout};
use crate::facts::{self, Sheet};
use crate::finding::{Grade, Judgement};
use crate::job::{self, Job, Sources};
use std::collections::{BTreeMap, BTreeSet};

/// Jobs judged before the search takes no more.
const MOST_JOBS: usize = 400;

/// The rule on the heights over plate or entry, and its checks.
const HEIGHTS: (&str, [&str; 2]) = ("B03", ["edge", "tube"]);

/// A rule that weighs worse than before, or one of the enclosure that does not
/// pass.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Worse {
    pub code: String,
    pub check: String,
    pub message: String,
}

/// Judges changed jobs against the job as it was.
pub(super) struct Desk<'r, 'a> {
    request: &'r Request<'a>,
    offer: &'r Offer,
    before: BTreeMap<(String, String), u8>,
    /// What judging reads.
    wanted: BTreeSet<String>,
    /// Checks whose verdict moves with the figures that the search moves.
    moving: BTreeSet<(String, String)>,
    /// Refused whatever the figures: kit, place of the crutch, order.
    settled: BTreeMap<(bool, bool, bool, Option<String>), Vec<Worse>>,
    /// Settings, without pitch and depth of the entries, at which edge or tube
    /// end came too low: no pitch and no depth lifts them.
    low: Vec<Settings>,
    /// Why the first setting of each set that passed by geometry did not serve.
    refused: BTreeMap<Vec<Remedy>, Vec<Worse>>,
    pub jobs: usize,
}

impl<'r, 'a> Desk<'r, 'a> {
    pub fn new(request: &'r Request<'a>, offer: &'r Offer) -> Self {
        let mut moving = BTreeSet::new();
        for entry in &request.book.entries {
            for (check, fact) in request.book.facts_by_check(&entry.code) {
                let rests_on = facts::with_inputs([fact]);
                if MOVED.iter().any(|name| rests_on.contains(*name)) {
                    moving.insert((entry.code.clone(), check));
                }
            }
        }
        Self {
            request,
            offer,
            before: weights(request, request.judgement),
            wanted: request.book.facts_judged(),
            moving,
            settled: BTreeMap::new(),
            low: Vec::new(),
            refused: BTreeMap::new(),
            jobs: 0,
        }
    }

    pub fn why_refused(&self, set: &[Remedy]) -> &[Worse] {
        self.refused.get(set).map_or(&[], Vec::as_slice)
    }

    pub fn gave_up(&self) -> bool {
        self.jobs >= MOST_JOBS
    }

    pub fn changes(&self, set: &[Remedy], settings: &Settings) -> Vec<Change> {
        changes(self.request.job, self.request.ways, self.offer, set, settings)
    }

    /// Whether the job, changed so, passes the rules of the enclosure and no
    /// other rule weighs worse than before.
    pub fn serves(&mut self, set: &[Remedy], tried: &TriedLayout<'_>) -> bool {
        let settings = &tried.settings;
        let has = |remedy: Remedy| set.contains(&remedy);
        let place = (
            has(Remedy::CoreOrder),
            has(Remedy::CrutchOutside),
            has(Remedy::EntriesMoved),
            settings.kit.clone(),
        );
        if let Some(worse) = self.settled.get(&place) {
            self.refused.entry(set.to_vec()).or_insert_with(|| worse.clone());
            return false;
        }
        let upright = Settings { entry_pitch_mm: None, crutch_below_plate_mm: None, ..settings.clone() };
        // Where cores lean, another pitch moves the heights a little as well.
        let upright_cores = tried.layout.start.lean_deg.is_none_or(|lean| lean <= 0.0);
        let single = upright_cores && (has(Remedy::CrutchOutside) || has(Remedy::EntriesMoved));
        if self.gave_up() || (single && self.low.contains(&upright)) {
            return false;
        }
        let worse = self.judge(set, settings);
        let is_low = |w: &Worse| w.code == HEIGHTS.0 && HEIGHTS.1.contains(&w.check.as_str());
        if single && worse.iter().any(is_low) {
            self.low.push(upright);
        }
        if worse.is_empty() {
            return true;
        }
        if worse.iter().any(|w| !self.moving.contains(&(w.code.clone(), w.check.clone()))) {
            self.settled.insert(place, worse.clone());
        }
        self.refused.entry(set.to_vec()).or_insert(worse);
        false
    }

    fn judge(&mut self, set: &[Remedy], settings: &Settings) -> Vec<Worse> {
        self.jobs += 1;
        let fault = |message: String| vec![Worse { code: "job file".into(), check: String::new(), message }];
        let text = match apply(self.request.text, &self.changes(set, settings)) {
            Ok(text) => text,
            Err(message) => return fault(message),
        };
        let loaded = job::load(self.request.file, text, self.request.library);
        let job = match loaded.job {
            Some(job) if loaded.findings.is_empty() => job,
            _ => {
                let first = loaded.findings.into_iter().next();
                return fault(first.map_or_else(|| "does not read".into(), |f| f.message));
            }
        };
        let sheet = facts::sheet_of(&job, &self.wanted);
        let judgement = self.request.book.judge(&sheet, &job, &loaded.sources);
        self.worse(&judgement)
    }

    /// What weighs worse than before, or does not pass and must.
    fn worse(&self, after: &Judgement) -> Vec<Worse> {
        worse_than(self.request, &self.before, after, |at, weight| {
            self.request.ways.must_pass.contains(&at.0) && weight > weight_of(Grade::Advises)
        })
    }
}

/// Whether a rule is one on system, cable or kit.
pub(super) fn of_the_kit(code: &str) -> bool {
    code.starts_with(['S', 'K'])
}

/// The first rule on cable or kit that weighs worse with another kit than with
/// the job's own: such a kit does not suit, wherever the cores lie.
pub(super) fn speaks_against_kit(
    request: &Request<'_>,
    job: &Job,
    sheet: &Sheet,
    sources: &Sources,
) -> Option<Worse> {
    let before = weights(request, request.judgement);
    let after = request.book.judge_by(sheet, job, sources, of_the_kit);
    worse_than(request, &before, &after, |_, _| false).into_iter().find(|w| of_the_kit(&w.code))
}

fn worse_than(
    request: &Request<'_>,
    before: &BTreeMap<(String, String), u8>,
    after: &Judgement,
    besides: impl Fn(&(String, String), u8) -> bool,
) -> Vec<Worse> {
    let message = |code: &str, check: &str| {
        let found = after.findings.iter().find(|f| f.code == code && f.check == check);
        let unjudged = || after.not_judged.iter().find(|n| n.code == code && n.check == check);
        found
            .map(|f| format!("{}: {}", f.grade.words(), f.message))
            .or_else(|| unjudged().map(|n| format!("not judged: {}", n.why)))
            .unwrap_or_default()
    };
    weights(request, after)
        .into_iter()
        .filter(|(at, weight)| *weight > before.get(at).copied().unwrap_or(0) || besides(at, *weight))
        .map(|((code, check), _)| Worse { message: message(&code, &check), code, check })
        .collect()
}

fn weight_of(grade: Grade) -> u8 {
    match grade {
        Grade::Advises => 1,
        Grade::Asks => 2,
        Grade::Blocks => 3,
    }
}

/// How badly each check weighs, accepted or not. A check that is not judged
/// counts as its worst. Acceptances are no rule: those that lapse are told
/// apart.
fn weights(request: &Request<'_>, judgement: &Judgement) -> BTreeMap<(String, String), u8> {
    let found = judgement.findings.iter().map(|f| (&f.code, &f.check, weight_of(f.grade)));
    let unjudged = judgement.not_judged.iter().map(|n| (&n.code, &n.check, weight_of(n.grade)));
    let mut out = BTreeMap::new();
    for (code, check, weight) in found.chain(unjudged) {
        if request.book.entry(code).is_some() {
            let slot = out.entry((code.clone(), check.clone())).or_insert(0);
            *slot = weight.max(*slot);
        }
    }
    out
}
