//! The order of safety, proved at load with file and line: a sequence that opens
//! an existing cable before it is identified, covers what a control still has to
//! see, tests under a working permit, connects for good before the test, or has
//! two safety documents in force, is a fault of ours.

use super::fault::ProcedureFault;
use super::sequence::{CableState, Connection, Procedures, Sequence, StepWords, Subject};
use std::collections::BTreeMap;

/// More visits than this and the releaser stops coming.
const MOST_STOPS: usize = 8;

pub(super) fn check(all: &Procedures) -> Result<(), ProcedureFault> {
    for sequence in all.sequences.values() {
        for taken in sequence.mixtures() {
            let sequence = sequence.along(&taken);
            let walk = Walk::new(all, &sequence)?;
            walk.documents()?;
            walk.identified()?;
            walk.tested()?;
            walk.controls()?;
            walk.stops()?;
        }
    }
    Ok(())
}

/// The documents of the steps that one job really takes: a condition that leaves out
/// the step that takes or gives back a document is a fault too.
pub(super) fn as_taken(
    all: &Procedures,
    sequence: &Sequence,
    takes: &dyn Fn(&str) -> bool,
) -> Result<(), ProcedureFault> {
    let mut walk = Walk::new(all, sequence)?;
    walk.places.retain(|place| takes(&place.step.id));
    walk.documents()?;
    walk.tested()
}

/// A step of the sequence in its place.
#[derive(Clone, Copy)]
struct Place<'a> {
    step: &'a StepWords,
    document: &'a str,
    run: usize,
    index: usize,
}

struct Walk<'a> {
    all: &'a Procedures,
    sequence: &'a Sequence,
    places: Vec<Place<'a>>,
    /// Order of every step by its id.
    at: BTreeMap<&'a str, usize>,
}

impl<'a> Walk<'a> {
    fn new(all: &'a Procedures, sequence: &'a Sequence) -> Result<Walk<'a>, ProcedureFault> {
        let mut walk = Walk { all, sequence, places: Vec::new(), at: BTreeMap::new() };
        for (r, run) in sequence.runs.iter().enumerate() {
            if !all.documents.contains_key(&run.document) {
                return Err(walk.fault(r, 0, format!("there is no document `{}`", run.document)));
            }
            for (s, id) in run.steps.iter().enumerate() {
                let Some(step) = all.steps.get(id) else {
                    return Err(walk.fault(r, s, format!("there is no step {id}")));
                };
                let place = Place { step, document: &run.document, run: r, index: s };
                if walk.at.insert(id, walk.places.len()).is_some() {
                    return Err(walk.fault(
                        r,
                        s,
                        format!("{id} stands twice; give the second pass an id of its own"),
                    ));
                }
                walk.places.push(place);
            }
        }
        Ok(walk)
    }

    fn fault(&self, run: usize, step: usize, message: String) -> ProcedureFault {
        let (file, pointer) = &self.sequence.runs[run].at;
        self.all.fault(file, &format!("{pointer}/steps/{step}"), message)
    }

    fn fault_at(&self, place: &Place, message: String) -> ProcedureFault {
        self.fault(place.run, place.index, message)
    }

    /// One document at a time: given back before the next is taken, and each
    /// step under the one it needs.
    fn documents(&self) -> Result<(), ProcedureFault> {
        let mut held: Option<&str> = None;
        for place in &self.places {
            let step = place.step;
            if let Some(needs) = step.needs.as_ref().filter(|n| *n != place.document) {
                let message =
                    format!("{} needs the document `{needs}`, this run has `{}`", step.id, place.document);
                return Err(self.fault_at(place, message));
            }
            // A step may give one document back and take the next; one that only
            // gives back does so when it is done.
            let both = step.takes.is_some();
            if let (true, Some(back)) = (both, step.returns.as_deref()) {
                if held != Some(back) {
                    return Err(
                        self.fault_at(place, format!("{} gives back `{back}`, which is not held", step.id))
                    );
                }
                held = None;
            }
            if let Some(takes) = step.takes.as_deref() {
                if let Some(other) = held {
                    return Err(self.fault_at(
                        place,
                        format!("{} takes `{takes}` while `{other}` is still in force", step.id),
                    ));
                }
                held = Some(takes);
            }
            let wanted = Some(place.document).filter(|d| *d != "none");
            if held != wanted {
                return Err(self.fault_at(
                    place,
                    format!(
                        "{} stands under `{}`, but the document in force is `{}`",
                        step.id,
                        place.document,
                        held.unwrap_or("none")
                    ),
                ));
            }
            if let (false, Some(back)) = (both, step.returns.as_deref()) {
                if held != Some(back) {
                    return Err(
                        self.fault_at(place, format!("{} gives back `{back}`, which is not held", step.id))
                    );
                }
                held = None;
            }
        }
        match (held, self.places.last()) {
            (Some(document), Some(last)) => {
                Err(self.fault_at(last, format!("`{document}` is never given back")))
            }
            _ => Ok(()),
        }
    }

    /// Nothing of an existing cable is opened, bent, cut or connected before it
    /// is identified.
    fn identified(&self) -> Result<(), ProcedureFault> {
        if self.sequence.cable == CableState::New {
            return Ok(());
        }
        for place in &self.places {
            if place.step.identifies == Some(Subject::Cable) {
                return Ok(());
            }
            if place.step.touches == Some(Subject::Cable) {
                return Err(
                    self.fault_at(place, format!("{} comes before the cable is identified", place.step.id))
                );
            }
        }
        Ok(())
    }

    /// No test under a working permit, no connection before the test that would
    /// be undone for it and torqued twice.
    fn tested(&self) -> Result<(), ProcedureFault> {
        let last_test = self.places.iter().rposition(|p| p.step.tests);
        for (i, place) in self.places.iter().enumerate() {
            if place.step.tests && place.document != "test" {
                return Err(self.fault_at(
                    place,
                    format!("{} is a test and stands under `{}`", place.step.id, place.document),
                ));
            }
            if place.step.connects == Some(Connection::Final) && last_test.is_some_and(|t| t > i) {
                return Err(
                    self.fault_at(place, format!("{} connects for good before the last test", place.step.id))
                );
            }
        }
        Ok(())
    }

    /// Nothing is hidden before its control has seen it, and something hides it
    /// afterwards: a hold that nothing waits for holds nothing.
    fn controls(&self) -> Result<(), ProcedureFault> {
        for control in &self.all.controls {
            let names = |p: &&Place| p.step.control.as_deref() == Some(control.id.as_str());
            let Some(after) = self.places.iter().rposition(|p| names(&p)) else { continue };
            let hides = |p: &Place| p.step.covers.contains(&control.id);
            if let Some(place) = self.places[..after].iter().find(|p| hides(p) && !names(p)) {
                let message =
                    format!("{} covers what the control `{}` still has to see", place.step.id, control.id);
                return Err(self.fault_at(place, message));
            }
            if control.may_hold() && !self.places[after + 1..].iter().any(hides) {
                let message =
                    format!("no step behind {} waits for `{}`", self.places[after].step.id, control.id);
                return Err(self.fault_at(&self.places[after], message));
            }
        }
        Ok(())
    }

    /// At most eight stops, every point in one of them, in the order of the steps.
    fn stops(&self) -> Result<(), ProcedureFault> {
        let kind = self.sequence.work_type.as_str();
        let stops = &self.sequence.stops;
        let file = format!("templates/procedures/{kind}.yaml");
        let fault = |stop: usize, message: String| self.all.fault(&file, &format!("/stops/{stop}"), message);
        if stops.len() > MOST_STOPS {
            return Err(fault(MOST_STOPS, format!("{} stops; {MOST_STOPS} at most", stops.len())));
        }
        // Where each point stands, and whether it may hold the work.
        let mut stands: BTreeMap<&str, (Vec<usize>, bool)> = BTreeMap::new();
        for (i, place) in self.places.iter().enumerate() {
            if let Some(control) = place.step.control.as_deref().and_then(|c| self.all.control(c)) {
                let entry = stands.entry(&control.id).or_insert((Vec::new(), control.may_hold()));
                entry.0.push(i);
            }
        }
        let mut seen: BTreeMap<&str, usize> = BTreeMap::new();
        let mut last_end = None;
        for (s, stop) in stops.iter().enumerate() {
            if !self.all.stops.contains_key(&stop.stop) {
                return Err(fault(s, format!("there are no words for the stop `{}`", stop.stop)));
            }
            let mut holds: Vec<usize> = Vec::new();
            let mut latest: Option<(&str, usize)> = None;
            for point in &stop.points {
                let Some((at, may_hold)) = stands.get(point.as_str()) else {
                    return Err(fault(s, format!("no step of `{kind}` has the control `{point}`")));
                };
                if let Some(other) = seen.insert(point, s) {
                    return Err(fault(s, format!("`{point}` is released at stop {} already", other + 1)));
                }
                if *may_hold {
                    holds.extend(at);
                }
                let place = at.iter().max().copied().unwrap_or(0);
                if latest.is_none_or(|(_, other)| other < place) {
                    latest = Some((point, place));
                }
            }
            let (Some(first), Some(end)) = (holds.iter().min().copied(), holds.iter().max().copied()) else {
                return Err(fault(s, "a stop without a hold is no stop".into()));
            };
            if last_end.is_some_and(|last| end <= last) {
                return Err(fault(s, "this stop comes before the one above it".into()));
            }
            last_end = Some(end);
            // The releaser would sign for what is not done yet; the next visit sees it.
            if let Some((point, _)) = latest.filter(|(_, at)| *at > end && s + 1 < stops.len()) {
                return Err(fault(
                    s,
                    format!("`{point}` comes after this stop is released; the next one looks at it"),
                ));
            }
            match &stop.run {
                Some(run) => {
                    let place = |id: &str| {
                        self.at
                            .get(id)
                            .copied()
                            .ok_or_else(|| fault(s, format!("there is no step {id} here")))
                    };
                    let (from, to) = (place(&run.from)?, place(&run.to)?);
                    if from > first || to < end {
                        return Err(fault(
                            s,
                            format!(
                                "the attended run {} to {} leaves a hold outside; its holds stand at {} to {}",
                                run.from, run.to, self.places[first].step.id, self.places[end].step.id
                            ),
                        ));
                    }
                }
                None if first != end => {
                    return Err(fault(s, "holds at more than one step need an attended run".into()));
                }
                None => {}
            }
        }
        match stands.keys().find(|point| !seen.contains_key(*point)) {
            Some(point) => Err(self
                .all
                .fault_in_control(point, format!("no stop of `{kind}` releases `{point}`: nobody would"))),
            None => Ok(()),
        }
    }
}
