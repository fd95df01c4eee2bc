//! What a record and its pack say, by name, for the facts that follow.

use super::super::answer::Answer;
use super::super::read::Record;
use super::Dossier;
use super::people::{self, Person};
use crate::procedure::{FormPoint, Pack};
use crate::units::{Rounding, fixed};
use jiff::Timestamp;
use jiff::civil::Date;
use jiff::tz::Offset;

pub(super) const PHASES: [&str; 3] = ["L1", "L2", "L3"];

pub(super) struct View<'a> {
    pub dossier: &'a Dossier<'a>,
    pub record: &'a Record,
    /// The dossier's, less what the record's decision strikes through.
    pub pack: &'a Pack,
    pub people: Vec<Person>,
}

impl<'a> View<'a> {
    pub fn new(dossier: &'a Dossier<'a>, pack: &'a Pack) -> View<'a> {
        let mut view = View { dossier, record: dossier.record, pack, people: Vec::new() };
        view.people = people::read(&view);
        view
    }

    pub fn answer(&self, name: &str) -> Option<&'a Answer> {
        self.record.get(name).map(|g| &g.answer)
    }

    pub fn text(&self, name: &str) -> Option<String> {
        match self.answer(name)? {
            Answer::Text(text) | Answer::Words(text) => Some(text.clone()),
            _ => None,
        }
    }

    pub fn number(&self, name: &str) -> Option<f64> {
        match self.answer(name)? {
            Answer::Number { value, .. } => Some(*value),
            _ => None,
        }
    }

    pub fn yes(&self, name: &str) -> Option<bool> {
        match self.answer(name)? {
            Answer::YesNo(yes) => Some(*yes),
            _ => None,
        }
    }

    pub fn date(&self, name: &str) -> Option<Date> {
        match self.answer(name)? {
            Answer::Date(date) => Some(*date),
            _ => None,
        }
    }

    pub fn time(&self, name: &str) -> Option<Timestamp> {
        match self.answer(name)? {
            Answer::Time(time) => Some(*time),
            _ => None,
        }
    }

    pub fn complete(&self) -> bool {
        self.time("record.completed").is_some()
    }

    /// A figure of the pack's basis, as printed.
    pub fn fact(&self, name: &str) -> Option<&'a str> {
        let row = self.pack.basis.iter().find(|b| b.name == name)?;
        (row.value != "not answered").then_some(row.value.as_str())
    }

    /// The number a figure of the pack starts with, in its own unit.
    pub fn fact_number(&self, name: &str) -> Option<f64> {
        leading(self.fact(name)?)
    }

    pub fn person_by(&self, authorisation: &str) -> Option<&Person> {
        self.people.iter().find(|p| same(&p.authorisation, authorisation))
    }

    pub fn point(&self, id: &str) -> Option<&'a FormPoint> {
        self.pack.form.points.iter().find(|p| p.id == id)
    }

    /// The releases of a point, phase by phase or one.
    pub fn releases(&self, point: &FormPoint) -> Vec<(&'static str, Option<Timestamp>)> {
        let name = format!("points.{}.released", point.id);
        if point.phases {
            PHASES.iter().map(|p| (*p, self.time(&format!("{name}.{p}")))).collect()
        } else {
            vec![("", self.time(&name))]
        }
    }

    /// When the last phase of a point was released; nothing where one is not.
    pub fn released(&self, point: &FormPoint) -> Option<Timestamp> {
        self.releases(point)
            .into_iter()
            .map(|(_, t)| t)
            .try_fold(Timestamp::MIN, |last, t| Some(last.max(t?)))
    }

    pub fn released_id(&self, id: &str) -> Option<Timestamp> {
        self.released(self.point(id)?)
    }

    /// When the last safety document was cleared.
    pub fn cleared(&self) -> Option<Timestamp> {
        let last = self.pack.form.documents.len().checked_sub(1)?;
        self.time(&format!("documents.{last}.returned"))
    }

    /// Index of the document that was in force at a step.
    pub fn document_at(&self, step: &str) -> Option<usize> {
        let step: usize = step.parse().ok()?;
        self.pack.form.documents.iter().position(|d| {
            let end = |text: &str| text.parse::<usize>().ok();
            end(&d.from_step).is_some_and(|a| a <= step) && end(&d.to_step).is_some_and(|b| step <= b)
        })
    }

    /// A time as people read it, in the record's zone.
    pub fn show(&self, time: Timestamp) -> String {
        let zone = self.record.zone.unwrap_or(Offset::UTC);
        let t = zone.to_datetime(time);
        format!("{} {:02}:{:02}", t.date(), t.hour(), t.minute())
    }

    pub fn day(&self, time: Timestamp) -> Date {
        self.record.zone.unwrap_or(Offset::UTC).to_datetime(time).date()
    }

    /// The last day on which anything was released or tested.
    pub fn last_day(&self) -> Option<Date> {
        let times = self.pack.form.points.iter().flat_map(|p| self.releases(p)).filter_map(|(_, t)| t);
        times.max().map(|t| self.day(t))
    }
}

/// Names of people and codes are the same whatever blanks and case.
pub(super) fn same(a: &str, b: &str) -> bool {
    let plain = |t: &str| t.split_whitespace().collect::<String>().to_lowercase();
    plain(a) == plain(b) && !a.trim().is_empty()
}

/// The number a printed figure starts with.
pub(super) fn leading(text: &str) -> Option<f64> {
    let end = text.find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | '-'))).unwrap_or(text.len());
    text[..end].parse().ok()
}

/// Whole minutes from `a` to `b`; below nought where `b` is earlier.
pub(super) fn minutes(a: Timestamp, b: Timestamp) -> f64 {
    (b.as_second() - a.as_second()) as f64 / 60.0
}

/// A number without needless places.
pub(super) fn plain(value: f64) -> String {
    let text = fixed(value, 2, Rounding::Nearest);
    text.trim_end_matches('0').trim_end_matches('.').to_string()
}
