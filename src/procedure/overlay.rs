//! What an owner lays over the wording built in: cautions, points and sentences.

use super::fault::ProcedureFault;
use super::sequence::{Control, Procedures, Sequence, StepWords};
use super::words;
use crate::source::Source;
use serde::Deserialize;
use std::collections::BTreeMap;

/// A point of the owner's behind a step that has none.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ExtraPoint {
    /// The step it stands behind.
    pub after: String,
    pub point: Control,
    /// Its file, for the line of a fault.
    #[serde(skip)]
    pub file: String,
}

/// The parts of a layer, hazards by file name and text.
pub struct Overlay<'a> {
    pub hazards: &'a [(String, String)],
    pub points: &'a [ExtraPoint],
    /// Sentences of steps by the step's name, and the file they stand in.
    pub words: &'a BTreeMap<String, String>,
    pub file: &'a str,
}

impl Procedures {
    /// Lays `overlay` over what was read; what it says is held to the same proofs.
    pub(super) fn lay(&mut self, overlay: &Overlay) -> Result<(), ProcedureFault> {
        for (file, text) in overlay.hazards {
            let (source, error) = Source::read(file.clone(), text.clone());
            if let Some(error) = error {
                return Err(ProcedureFault::new(file, source.line_column(error.at.start).0, error.message));
            }
            self.take_hazards(file, &source)?;
            self.sources.insert(file.clone(), source);
        }
        for (i, extra) in overlay.points.iter().enumerate() {
            let line = |message: String| {
                ProcedureFault::new(&extra.file, i + 1, format!("entry {}: {message}", i + 1))
            };
            let id = extra.point.id.clone();
            if extra.point.may_hold() {
                return Err(line(format!(
                    "`{id}` is a hold, and no stop releases it; a point of a house is a W, R or C"
                )));
            }
            if self.control(&id).is_some() {
                return Err(line(format!("there is a point `{id}` already")));
            }
            let Some(step) = self.steps.get_mut(&extra.after) else {
                return Err(line(format!("there is no step `{}`", extra.after)));
            };
            if let Some(own) = &step.control {
                return Err(line(format!("the step `{}` has the point `{own}` already", extra.after)));
            }
            step.control = Some(id.clone());
            self.controls.push(extra.point.clone());
            self.at.insert(format!("control {id}"), (extra.file.clone(), format!("/{i}/point")));
        }
        for (id, text) in overlay.words {
            let wrong = |message: String| ProcedureFault::new(overlay.file, 1, message);
            let Some(step) = self.steps.get_mut(id) else {
                return Err(wrong(format!("there is no step `{id}`")));
            };
            let names = |text: &str| words::names(text, false).map_err(|m| wrong(format!("{id}: {m}")));
            let (now, before) = (names(text)?, names(&step.text)?);
            if let Some(lost) = before.into_iter().find(|name| !now.contains(name)) {
                return Err(wrong(format!("{id}: the figure {{{{ {lost} }}}} of this step is left out")));
            }
            step.text.clone_from(text);
        }
        Ok(())
    }

    /// Gives each point of the layer to the first stop that comes behind it, else to
    /// the last: whoever releases there looks at it too.
    pub(super) fn seat(&mut self, extra: &[ExtraPoint]) {
        let (steps, sequences) = (&self.steps, &mut self.sequences);
        for sequence in sequences.values_mut() {
            for one in extra {
                let seats = seats(steps, sequence, &one.point.id);
                for (stop, before) in seats {
                    sequence.stops[stop].points.insert(before, one.point.id.clone());
                }
            }
        }
    }
}

/// The stop that releases a point of the layer, and its place among the points of that
/// stop: one for each way of working that has a stop of its own there.
fn seats(steps: &BTreeMap<String, StepWords>, sequence: &Sequence, point: &str) -> BTreeMap<usize, usize> {
    let mut seats = BTreeMap::new();
    for taken in sequence.mixtures() {
        let order: Vec<&String> =
            sequence.runs.iter().filter(|run| run.stands(&taken)).flat_map(|run| &run.steps).collect();
        let last = |point: &str| {
            order
                .iter()
                .rposition(|id| steps.get(*id).and_then(|step| step.control.as_deref()) == Some(point))
        };
        let Some(at) = last(point) else { continue };
        let end = |points: &[String]| points.iter().filter_map(|p| last(p)).max();
        let mut stops = sequence.stops.iter().enumerate().filter(|(_, stop)| stop.stands(&taken));
        let behind = stops.clone().find(|(_, stop)| end(&stop.points) > Some(at)).or(stops.next_back());
        if let Some((i, stop)) = behind {
            seats.insert(i, stop.points.iter().take_while(|p| last(p) < Some(at)).count());
        }
    }
    seats
}
