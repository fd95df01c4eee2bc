//! The method of one job: the sequence of its work type with this job's figures,
//! its points behind their steps and its stops behind the last step they hold.

use super::fault::ProcedureFault;
use super::form::{self, Printed};
use super::marks;
use super::order;
use super::pack::{Banner, Frame, Measure, Method, Run, Segment, Step, StopBanner, StopPoint};
use super::sequence::{Control, Procedures, Sequence, StopText, StopWords};
use super::words::Words;
use std::collections::BTreeSet;

const WAYS: &str = "templates/procedures/ways.yaml";
const STOPS: &str = "templates/procedures/stops.yaml";

/// The method, and the stops with the points each one counts, in order.
pub(super) struct Built {
    pub method: Method,
    pub stops: Vec<BuiltStop>,
}

/// A stop of this job with all its points, those after it too.
pub(super) struct BuiltStop {
    pub number: String,
    pub title: String,
    pub run: String,
    pub points: Vec<Banner>,
}

impl Built {
    pub fn steps(&self) -> impl Iterator<Item = &Step> {
        self.method.runs.iter().flat_map(|r| &r.steps)
    }

    /// Every point, in working order.
    pub fn points(&self) -> impl Iterator<Item = &Banner> {
        self.steps().filter_map(|s| s.control.as_ref())
    }

    /// `hold 12`, `check 10`; nothing where this job does not have the point.
    pub fn name_of(&self, control: &str) -> Option<String> {
        let banner = self.points().find(|b| b.id == control)?;
        Some(point_name(banner))
    }
}

pub(super) fn point_name(banner: &Banner) -> String {
    format!("{} {}", banner.letter_text.to_lowercase(), banner.short)
}

/// Steps, banners and stops of `sequence` that this job takes.
pub(super) fn method(all: &Procedures, sequence: &Sequence, words: &Words) -> Result<Built, ProcedureFault> {
    let mut taken = BTreeSet::new();
    for way in sequence.ways() {
        let Some(when) = all.ways.get(way) else { continue };
        if words.holds(when).map_err(|m| all.fault(WAYS, &format!("/{way}"), m))? {
            taken.insert(way);
        }
    }
    let sequence = &sequence.along(&taken);
    let mut number = 0;
    let mut controls = 0;
    let mut runs = Vec::new();
    for run in &sequence.runs {
        let mut steps = Vec::new();
        for id in &run.steps {
            let Some(step) = all.steps.get(id) else { continue };
            let fault = |message: String| all.fault_at(id, format!("{id}: {message}"));
            if !words.applies(step.when.as_deref()).map_err(fault)? {
                continue;
            }
            number += 1;
            let control = match step.control.as_deref().and_then(|c| all.control(c)) {
                Some(control) => {
                    let mut banner = banner(all, control, words)?;
                    if let Some(banner) = &mut banner {
                        controls += 1;
                        banner.short = controls.to_string();
                        banner.step = number.to_string();
                    }
                    banner
                }
                None => None,
            };
            steps.push(Step {
                number: number.to_string(),
                id: id.clone(),
                text: words.rich(&step.text).map_err(fault)?,
                tools: words.plain(&step.tools).map_err(fault)?,
                phases: step.phases.holds(words).map_err(fault)?,
                control,
                stop: None,
            });
        }
        if steps.is_empty() {
            continue;
        }
        let document = all.documents.get(run.band.as_ref().unwrap_or(&run.document));
        let title = words.plain(&run.title).map_err(|m| all.fault(&run.at.0, &run.at.1, m))?;
        runs.push(Run {
            document: run.document.clone(),
            band: document.map_or(String::new(), |d| d.band.clone()),
            band_note: document.map_or(String::new(), |d| d.note.clone()),
            title,
            tools: tools(&steps),
            steps,
        });
    }
    let steps: BTreeSet<&str> = runs.iter().flat_map(|r: &Run| &r.steps).map(|s| s.id.as_str()).collect();
    order::as_taken(all, sequence, &|id| steps.contains(id))?;
    let mut built = Built { method: Method { key: marks::KEY.into(), runs }, stops: Vec::new() };
    for stop in &sequence.stops {
        if let Some(text) = all.stops.get(&stop.stop) {
            let plain =
                |text: &str| words.plain(text).map_err(|m| all.fault(STOPS, &format!("/{}", stop.stop), m));
            let text = StopText {
                title: plain(&text.title)?,
                who: plain(&text.who)?,
                when_text: plain(&text.when_text)?,
            };
            place(&mut built, stop, &text);
        }
    }
    Ok(built)
}

/// Every tool of these steps once, in the order of use: what is laid out before
/// the first of them.
fn tools(steps: &[Step]) -> String {
    let mut all: Vec<&str> = Vec::new();
    for tool in steps.iter().flat_map(|s| s.tools.split(", ")) {
        if !tool.is_empty() && !all.contains(&tool) {
            all.push(tool);
        }
    }
    all.join(", ")
}

/// Numbers a stop, tells its points, and puts it behind the last step it holds.
fn place(built: &mut Built, stop: &StopWords, text: &StopText) {
    let number = (built.stops.len() + 1).to_string();
    let steps: Vec<&mut Step> = built.method.runs.iter_mut().flat_map(|r| &mut r.steps).collect();
    let mine = |step: &Step| step.control.as_ref().is_some_and(|b| stop.points.contains(&b.id));
    let holds = |step: &Step| mine(step) && step.control.as_ref().is_some_and(|b| b.letter == "H");
    let first = steps.iter().position(|s| holds(s));
    let Some(end) = steps.iter().rposition(|s| holds(s)) else { return };
    // The run prints where this job's holds really stand at more than one step.
    let (run, from) = match &stop.run {
        Some(run) if first != Some(end) => {
            let at = |id: &str| steps.iter().position(|s| s.id == id);
            let from = at(&run.from).or(first).unwrap_or(end);
            let to = at(&run.to).unwrap_or(end);
            let from = steps[from].number.clone();
            (format!("attended run, steps {from} to {}", steps[to].number), from)
        }
        _ => (String::new(), String::new()),
    };
    let mut points = Vec::new();
    for (i, step) in steps.into_iter().enumerate() {
        if !mine(step) {
            continue;
        }
        let Some(banner) = &mut step.control else { continue };
        banner.stop.clone_from(&number);
        banner.release_note = if i <= end {
            format!("released at STOP {number}")
        } else {
            format!("signed by the {}; counted with STOP {number}, looked at on the next visit", banner.by)
        };
        points.push((i, banner.clone()));
    }
    let banner = StopBanner {
        number: number.clone(),
        title: text.title.clone(),
        run: run.clone(),
        from,
        points: points
            .iter()
            .filter(|(i, _)| *i <= end)
            .map(|(i, banner)| StopPoint { banner: banner.clone(), here: *i == end })
            .collect(),
        releases: text.who.clone(),
        when: text.when_text.clone(),
    };
    if let Some(step) = built.method.runs.iter_mut().flat_map(|r| &mut r.steps).nth(end) {
        step.stop = Some(banner);
    }
    built.stops.push(BuiltStop {
        number,
        title: text.title.clone(),
        run,
        points: points.into_iter().map(|(_, b)| b).collect(),
    });
}

fn banner(all: &Procedures, control: &Control, words: &Words) -> Result<Option<Banner>, ProcedureFault> {
    let fault = |message: String| all.fault_in_control(&control.id, format!("{}: {message}", control.id));
    if !words.applies(control.when.as_deref()).map_err(fault)? {
        return Ok(None);
    }
    let letter = match (&control.letter_when, &control.becomes) {
        (Some(when), Some(letter)) if words.holds(when).map_err(fault)? => letter,
        _ => &control.letter,
    };
    let mut measures = Vec::new();
    let mut readings = Vec::new();
    for m in &control.measures {
        if words.applies(m.when.as_deref()).map_err(fault)? {
            let basis = words.plain(&m.basis).map_err(fault)?;
            let (name, limits) =
                (words.plain(&m.name).map_err(fault)?, words.plain(&m.limits).map_err(fault)?);
            let plan = m.record.plan.as_ref().map(|p| words.plain(p)).transpose().map_err(fault)?;
            let phases = m.phases.holds(words).map_err(fault)?;
            let printed = Printed { name: &name, unit: &m.unit, limits: &limits, basis: &basis, phases };
            readings.extend(form::readings(&printed, &m.record, plan.as_deref()));
            measures.push(Measure {
                name,
                unit: m.unit.clone(),
                limits,
                mark: marks::short(&basis),
                basis,
                cells: if phases { 3 } else { 1 },
            });
        }
    }
    let mut frames = Vec::new();
    for f in &control.frames {
        if words.applies(f.when.as_deref()).map_err(fault)? {
            let text = words.plain(&f.text).map_err(fault)?;
            frames.push(Frame { text, count: f.count, card: f.card.clone(), phases: f.phases });
        }
    }
    let plain = |text: &str| words.plain(text).map_err(fault);
    Ok(Some(Banner {
        id: control.id.clone(),
        short: String::new(),
        letter: letter.clone(),
        letter_text: letter_words(letter).into(),
        title: plain(&control.title)?,
        prevents: plain(&control.prevents)?,
        reason: reason(control, words).map_err(fault)?,
        releases: plain(&control.released_by)?,
        by: plain(&control.by)?,
        not_met: plain(&control.not_met)?,
        when: plain(&control.when_text)?,
        step: String::new(),
        stop: String::new(),
        release_note: String::new(),
        measures,
        frames,
        hidden: control.hidden,
        readings,
    }))
}

/// The first reason whose condition holds; none where a figure of it is missing.
fn reason(control: &Control, words: &Words) -> Result<String, String> {
    for reason in &control.reasons {
        if words.applies(reason.when.as_deref())? {
            let blank = words.rich(&reason.text)?.iter().any(|s| matches!(s, Segment::Blank(_)));
            return if blank { Ok(String::new()) } else { words.plain(&reason.text) };
        }
    }
    Ok(String::new())
}

fn letter_words(letter: &str) -> &'static str {
    match letter {
        "H" => "HOLD",
        "W" => "WITNESS",
        "R" => "REVIEW",
        _ => "CHECK",
    }
}
