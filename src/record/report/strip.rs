//! The whole job on one line: places along it are worked out here, the layout
//! draws them.

use super::super::answer::Answer;
use super::super::facts::Dossier;
use jiff::Timestamp;
use jiff::tz::Offset;
use serde::Serialize;

/// Hours without any entry after which the line is broken: a night.
const PAUSE_H: i64 = 4;

/// Share of the line that a break takes, and the least that a stretch takes.
const BREAK: f64 = 0.035;
const LEAST: f64 = 0.06;

/// Marks nearer to each other than this share stand on different heights.
const NEAR: f64 = 0.022;

#[derive(Debug, Default, Serialize)]
pub struct Strip {
    pub stretches: Vec<Stretch>,
    pub bars: Vec<Bar>,
    pub marks: Vec<Mark>,
    /// Times of photographs, as shares of the line.
    pub photos: Vec<f64>,
    /// Photographs that a finding names.
    pub flags: Vec<Mark>,
}

/// A part of the line without a break.
#[derive(Debug, Serialize)]
pub struct Stretch {
    pub from: f64,
    pub to: f64,
    pub day: String,
    pub start: String,
    pub end: String,
}

/// From one time to another: a document held, a phase under test.
#[derive(Debug, Serialize)]
pub struct Bar {
    pub row: usize,
    pub from: f64,
    pub to: f64,
    pub label: String,
}

#[derive(Debug, Serialize)]
pub struct Mark {
    pub at: f64,
    pub label: String,
    /// Height, from nought: marks that would touch stand above each other.
    pub level: usize,
}

struct Scale {
    /// Seconds from, to, share from, to.
    parts: Vec<(i64, i64, f64, f64)>,
}

impl Scale {
    fn new(times: &[i64]) -> Scale {
        let mut runs: Vec<(i64, i64)> = Vec::new();
        for t in times {
            match runs.last_mut() {
                Some((_, to)) if *t - *to < PAUSE_H * 3600 => *to = *t,
                _ => runs.push((*t, *t)),
            }
        }
        let breaks = BREAK * runs.len().saturating_sub(1) as f64;
        let floor = LEAST.min(0.8 / runs.len().max(1) as f64);
        let free = (1.0 - breaks - floor * runs.len() as f64).max(0.0);
        let all: i64 = runs.iter().map(|(a, b)| b - a).sum::<i64>().max(1);
        let mut at = 0.0;
        let parts = runs
            .into_iter()
            .map(|(a, b)| {
                let from = at;
                let to = from + floor + free * (b - a) as f64 / all as f64;
                at = to + BREAK;
                (a, b, from, to)
            })
            .collect();
        Scale { parts }
    }

    fn at(&self, time: Timestamp) -> f64 {
        let t = time.as_second();
        let part = self.parts.iter().find(|(_, b, ..)| t <= *b).or(self.parts.last());
        let Some((a, b, from, to)) = part else { return 0.0 };
        let share = (t.clamp(*a, *b) - a) as f64 / (b - a).max(1) as f64;
        ((from + (to - from) * share) * 1e4).round() / 1e4
    }
}

/// Marks that would touch are put on up to three heights.
fn apart(mut marks: Vec<Mark>) -> Vec<Mark> {
    marks.sort_by(|a, b| a.at.total_cmp(&b.at));
    let mut last = [f64::MIN; 3];
    for mark in &mut marks {
        let level = (0..3).find(|l| mark.at - last[*l] >= NEAR).unwrap_or(2);
        last[level] = mark.at;
        mark.level = level;
    }
    marks
}

/// The line of a record; `flagged` are the photographs that findings name, with
/// their codes.
pub(super) fn strip(dossier: &Dossier, flagged: &[(usize, String)]) -> Strip {
    let record = dossier.record;
    let zone = record.zone.unwrap_or(Offset::UTC);
    let time = |name: &str| match record.get(name).map(|g| &g.answer) {
        Some(Answer::Time(time)) => Some(*time),
        _ => None,
    };
    let text = |name: &str| record.get(name).map_or(String::new(), |g| g.text.clone());
    let form = &dossier.pack.form;
    let mut bars: Vec<(usize, Timestamp, Timestamp, String)> = Vec::new();
    for (i, document) in form.documents.iter().enumerate() {
        let span = time(&format!("documents.{i}.received")).zip(time(&format!("documents.{i}.returned")));
        bars.extend(span.filter(|(a, b)| a <= b).map(|(a, b)| {
            (0, a, b, format!("{} {}", document.document, text(&format!("documents.{i}.number"))))
        }));
    }
    for phase in ["L1", "L2", "L3"] {
        let at = |key: &str| time(&format!("tests.full_voltage_{key}.{phase}"));
        let span = at("reached").zip(at("off")).filter(|(a, b)| a <= b);
        bars.extend(span.map(|(a, b)| (1, a, b, phase.to_string())));
    }
    // A stop is over with the last release of its points.
    let stops = dossier.pack.release.stops.iter().filter_map(|stop| {
        let points = form.points.iter().filter(|p| p.stop == stop.number);
        let names = points.flat_map(|p| {
            let phases: &[&str] = if p.phases { &[".L1", ".L2", ".L3"] } else { &[""] };
            phases.iter().map(move |phase| format!("points.{}.released{phase}", p.id))
        });
        Some((names.filter_map(|n| time(&n)).max()?, stop.number.clone()))
    });
    let stops: Vec<(Timestamp, String)> = stops.collect();
    let photos: Vec<Option<Timestamp>> =
        (0..record.count("photos").unwrap_or(0)).map(|i| time(&format!("photos.{i}.taken"))).collect();
    let ends = [("hand_back.returned", "back"), ("record.completed", "record")];
    let ends: Vec<(Timestamp, String)> =
        ends.iter().filter_map(|(name, word)| Some((time(name)?, (*word).to_string()))).collect();
    let mut times: Vec<i64> = bars.iter().flat_map(|(_, a, b, _)| [*a, *b]).map(|t| t.as_second()).collect();
    times.extend(stops.iter().chain(&ends).map(|(t, _)| t.as_second()));
    times.extend(photos.iter().flatten().map(|t| t.as_second()));
    times.sort_unstable();
    let scale = Scale::new(&times);
    let clock = |t: i64| {
        let civil = Timestamp::from_second(t).map(|t| zone.to_datetime(t)).unwrap_or_default();
        (civil.date().to_string(), format!("{:02}:{:02}", civil.hour(), civil.minute()))
    };
    let stretches = scale.parts.iter().map(|(a, b, from, to)| {
        let ((day, start), (_, end)) = (clock(*a), clock(*b));
        Stretch { from: *from, to: *to, day, start, end }
    });
    let mark = |(t, label): &(Timestamp, String)| Mark { at: scale.at(*t), label: label.clone(), level: 0 };
    let flags = flagged.iter().filter_map(|(i, code)| {
        let taken = (*photos.get(*i)?)?;
        Some(Mark { at: scale.at(taken), label: code.clone(), level: 0 })
    });
    Strip {
        stretches: stretches.collect(),
        bars: bars
            .iter()
            .map(|(row, a, b, label)| Bar {
                row: *row,
                from: scale.at(*a),
                to: scale.at(*b),
                label: label.clone(),
            })
            .collect(),
        marks: apart(stops.iter().chain(&ends).map(mark).collect()),
        photos: photos.iter().flatten().map(|t| scale.at(*t)).collect(),
        flags: apart(flags.collect()),
    }
}
