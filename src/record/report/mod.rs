//! The verification report as a value: what is printed for the verifier. The
//! layout prints it and never computes.

mod pictures;
mod strip;

pub use pictures::Picture;

use super::answer::Answer;
use super::facts::{Dossier, Item, facts};
use super::judge::Verdict;
use super::read::Record;
use crate::facts::Sheet;
use crate::finding::{Finding, Grade, Judgement, State};
use jiff::Timestamp;
use jiff::tz::Offset;
use pictures::{Look, about, looks};
use serde::Serialize;
use std::collections::BTreeMap;
use strip::Strip;

/// Findings named on the first page; the rest is counted there.
const BRIEF: usize = 9;

#[derive(Debug, Serialize)]
pub struct Report {
    pub layout: String,
    pub job: String,
    pub revision: String,
    pub end: String,
    pub end_name: String,
    pub circuit: String,
    pub invented: bool,
    pub verdict: String,
    pub meaning: String,
    pub counts: Vec<Named>,
    pub identity: Vec<Named>,
    /// What is wrong and where to look, one line each; for the first page.
    pub brief: Vec<Brief>,
    /// Findings beyond those lines.
    pub brief_more: usize,
    pub strip: Strip,
    pub rejects: Vec<Line>,
    pub queries: Vec<Line>,
    pub answered: Vec<Line>,
    pub notes: Vec<Line>,
    pub outside: Vec<Outside>,
    pub concessions: Vec<Named>,
    pub timeline: Vec<Event>,
    pub pictures: Vec<Picture>,
    pub looks: Vec<Look>,
    pub not_run: Vec<NotRun>,
    pub nothing_to_judge: Vec<NotRun>,
}

/// A finding on the first page.
#[derive(Debug, Serialize)]
pub struct Brief {
    pub code: String,
    pub grade: String,
    /// Name of the wrong, in words.
    pub name: String,
    /// Of the first finding of its kind; the others are counted.
    pub message: String,
    pub more: usize,
    /// Where the verifier looks: stop and point, photograph, test sheet.
    pub look: String,
}

#[derive(Debug, Serialize)]
pub struct Named {
    pub name: String,
    pub text: String,
}

/// One finding with its evidence.
#[derive(Debug, Serialize)]
pub struct Line {
    pub code: String,
    /// Name of the wrong, in words.
    pub name: String,
    pub check: String,
    pub title: String,
    pub message: String,
    pub remedy: String,
    pub basis: String,
    /// Place in the record, by name and line.
    pub place: String,
    /// Where to look on site and on paper.
    pub look: String,
    pub evidence: Vec<Named>,
    pub notes: Vec<String>,
    /// Photographs that bear on it, by their place in the list.
    pub pictures: Vec<usize>,
}

/// A reading outside its limit, conceded or not.
#[derive(Debug, Serialize)]
pub struct Outside {
    pub reading: String,
    pub value: String,
    pub limit: String,
    pub mark: String,
    pub conceded: String,
}

#[derive(Debug, Serialize)]
pub struct Event {
    pub day: String,
    pub time: String,
    pub what: String,
    pub who: String,
}

#[derive(Debug, Serialize)]
pub struct NotRun {
    pub code: String,
    pub title: String,
    pub why: String,
}

/// Checksums and places of what was judged.
pub struct Identity<'a> {
    pub record_sha256: &'a str,
    /// Of the table of readings beside it; empty where there is none.
    pub table_sha256: &'a str,
    /// Checksum of the templates it is printed with.
    pub layout: &'a str,
    /// Where each finding stands, in words: line and column of the record.
    pub place: &'a dyn Fn(&Finding) -> String,
}

/// The report of one judged record.
pub fn report(dossier: &Dossier, judgement: &Judgement, verdict: Verdict, identity: &Identity) -> Report {
    let pack = dossier.pack;
    let facts = facts(dossier);
    let lines = |grade: Grade, state: State| -> Vec<Line> {
        let wanted = judgement.findings.iter().filter(|f| f.grade == grade && f.state == state);
        wanted.map(|f| line(f, dossier, identity)).collect()
    };
    let rejects = lines(Grade::Blocks, State::Open);
    let queries = lines(Grade::Asks, State::Open);
    let answered = lines(Grade::Asks, State::Accepted);
    let notes = lines(Grade::Advises, State::Advice);
    let named = |name: &str, text: String| Named { name: name.into(), text };
    let readings = facts.each.get("reading").and_then(Option::as_ref);
    let outside =
        readings.into_iter().flatten().filter(|i| i.sheet.is_yes("reading.out")).map(outside).collect();
    let left = |list: &[crate::finding::LeftOut]| {
        list.iter()
            .map(|l| NotRun { code: l.code.clone(), title: l.title.clone(), why: l.why.clone() })
            .collect::<Vec<_>>()
    };
    let whole = &facts.whole.sheet;
    let said: Vec<&Line> = rejects.iter().chain(&queries).chain(&answered).collect();
    let pictures = pictures::pictures(dossier, &said);
    let mut flagged: BTreeMap<usize, Vec<&str>> = BTreeMap::new();
    for line in rejects.iter().chain(&queries).filter(|l| l.code.starts_with('I')) {
        for i in &line.pictures {
            let codes = flagged.entry(*i).or_default();
            if !codes.contains(&line.code.as_str()) {
                codes.push(&line.code);
            }
        }
    }
    let flagged: Vec<(usize, String)> = flagged.into_iter().map(|(i, codes)| (i, codes.join(" "))).collect();
    let open = rejects.iter().map(|l| (l, "REJECT")).chain(queries.iter().map(|l| (l, "query")));
    let (brief, brief_more) = briefly(open);
    Report {
        brief_more,
        brief,
        strip: strip::strip(dossier, &flagged),
        looks: looks(dossier, &pictures),
        pictures,
        layout: identity.layout.into(),
        job: pack.job.number.clone(),
        revision: pack.job.revision.clone(),
        end: pack.job.end.clone(),
        end_name: pack.job.end_name.clone(),
        circuit: pack.job.circuit.clone(),
        invented: pack.job.invented,
        verdict: verdict.words().to_uppercase(),
        meaning: meaning(verdict).into(),
        counts: vec![
            named("Rejects", rejects.len().to_string()),
            named("Queries open", queries.len().to_string()),
            named("Queries answered", answered.len().to_string()),
            named("Notes", notes.len().to_string()),
            named("Rules run", format!("{} of {}", judgement.judged.len(), judgement.total)),
            named("Rules with nothing to judge", judgement.apart.len().to_string()),
            named("Rules not run", judgement.left_out.len().to_string()),
        ],
        identity: vec![
            named("Pack, SHA-256 of pack.json", dossier.pack_sha256.into()),
            named("Record, SHA-256", identity.record_sha256.into()),
            named("Table of readings, SHA-256", identity.table_sha256.into()),
            named("Revision in the register", whole.text("pack.standing").into()),
            named("Files of the pack", whole.text("pack.files").into()),
            named("Seal before this run", whole.text("record.seal").into()),
        ]
        .into_iter()
        .filter(|n| !n.text.is_empty())
        .collect(),
        rejects,
        queries,
        answered,
        notes,
        outside,
        concessions: concessions(dossier.record),
        timeline: timeline(dossier),
        not_run: left(&judgement.left_out),
        nothing_to_judge: left(&judgement.apart),
    }
}

/// One line for the findings of a code and grade, as many as the first page takes,
/// and how many findings it does not speak of.
fn briefly<'l>(open: impl Iterator<Item = (&'l Line, &'static str)>) -> (Vec<Brief>, usize) {
    let mut out: Vec<Brief> = Vec::new();
    for (line, grade) in open {
        match out.iter_mut().find(|b| b.code == line.code && b.grade == grade) {
            Some(brief) => brief.more += 1,
            None => out.push(Brief {
                code: line.code.clone(),
                grade: grade.into(),
                name: line.name.clone(),
                message: line.message.clone(),
                more: 0,
                look: line.look.clone(),
            }),
        }
    }
    let beyond = out.iter().skip(BRIEF).map(|b| b.more + 1).sum();
    out.truncate(BRIEF);
    (out, beyond)
}

fn meaning(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Acceptable => {
            "Nothing in the record speaks against this end. What no rule can see is listed for a person."
        }
        Verdict::Queries => {
            "Nothing rejects this end. Each query below is answered in the record before it is accepted."
        }
        Verdict::NotAcceptable => {
            "This end is not accepted until each reject below is put right and the record verified again."
        }
        Verdict::InWork => "The record is not completed: what is there was judged, what is missing was not.",
    }
}

fn line(f: &Finding, dossier: &Dossier, identity: &Identity) -> Line {
    let pointer = f.places.first().map_or("", |p| p.pointer.as_str());
    Line {
        look: whereabouts(dossier, pointer),
        pictures: about(dossier, pointer),
        code: f.code.clone(),
        name: capital(&f.name.replace('-', " ")),
        check: f.check.clone(),
        title: f.title.clone(),
        message: f.message.clone(),
        remedy: f.remedy.clone(),
        basis: f.basis.clone(),
        place: (identity.place)(f),
        evidence: f.figures.iter().map(|g| Named { name: g.title.clone(), text: g.text.clone() }).collect(),
        notes: f.notes.clone(),
    }
}

fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or(String::new(), |c| c.to_uppercase().collect::<String>() + chars.as_str())
}

/// What stands at a place of the record, by the names of the pack.
fn whereabouts(dossier: &Dossier, pointer: &str) -> String {
    let parts: Vec<&str> = pointer.trim_start_matches('/').split('/').collect();
    let text = |name: &str| dossier.record.get(name).map_or(String::new(), |g| g.text.clone());
    let form = &dossier.pack.form;
    let of = |id: &str| {
        let point = form.points.iter().find(|p| p.id == id)?;
        Some(format!("STOP {}, point {}, step {}", point.stop, point.short, point.step))
    };
    let phase = parts.last().filter(|p| p.starts_with('L')).map_or(String::new(), |p| format!(", {p}"));
    match parts[..] {
        ["points", id, ..] => of(id).map_or("points".into(), |at| at + &phase),
        ["tests", ..] => format!("test sheet{phase}"),
        ["photos", i, ..] => {
            let frame = text(&format!("photos.{i}.frame"));
            let point = form.frames.iter().find(|f| f.id == frame).and_then(|f| of(&f.point));
            let at = point.map_or(String::new(), |p| format!("; {p}"));
            format!("photograph of frame {}{at}", if frame.is_empty() { "none" } else { &frame })
        }
        ["photos"] => "the photo list".into(),
        ["people", i, ..] => format!("sign-on of {}", text(&format!("people.{i}.authorisation"))),
        ["documents", i, ..] => {
            format!("{} {}", text(&format!("documents.{i}.document")), text(&format!("documents.{i}.number")))
        }
        ["instruments", i, ..] => format!("instrument: {}", text(&format!("instruments.{i}.what"))),
        ["disconnected", ..] => "disconnection list".into(),
        ["isolation", ..] => "isolation page".into(),
        ["deviations", ..] => "deviations".into(),
        ["signatures", ..] | ["hand_back", ..] => "signatures and hand-back".into(),
        _ => "head of the record".into(),
    }
}

fn outside(item: &Item) -> Outside {
    let text = |sheet: &Sheet, name: &str| sheet.text(name).to_string();
    Outside {
        reading: text(&item.sheet, "reading.title"),
        value: text(&item.sheet, "reading.text"),
        limit: text(&item.sheet, "reading.limits"),
        mark: text(&item.sheet, "reading.mark"),
        conceded: text(&item.sheet, "reading.concession"),
    }
}

fn concessions(record: &Record) -> Vec<Named> {
    let text = |name: String| record.get(&name).map_or(String::new(), |g| g.text.clone());
    (0..record.count("deviations").unwrap_or(0))
        .map(|i| {
            let part = |key: &str| text(format!("deviations.{i}.{key}"));
            Named {
                name: format!("{} {} {}", part("point"), part("reading"), part("cell")).trim().to_string(),
                text: format!(
                    "found {}; {}; {}; accepted by {}, {}, {}",
                    part("found"),
                    part("action"),
                    part("reason"),
                    part("accepted_by"),
                    part("accepted_role"),
                    part("at")
                ),
            }
        })
        .collect()
}

/// Everything with a time, in the order of time.
fn timeline(dossier: &Dossier) -> Vec<Event> {
    let record = dossier.record;
    let zone = record.zone.unwrap_or(Offset::UTC);
    let time = |name: &str| match record.get(name).map(|g| &g.answer) {
        Some(Answer::Time(time)) => Some(*time),
        _ => None,
    };
    let text = |name: &str| record.get(name).map_or(String::new(), |g| g.text.clone());
    let mut events: Vec<(Timestamp, String, String)> = Vec::new();
    let mut add = |at: Option<Timestamp>, what: String, who: String| {
        events.extend(at.map(|at| (at, what, who)));
    };
    for (i, document) in dossier.pack.form.documents.iter().enumerate() {
        let part = |key: &str| format!("documents.{i}.{key}");
        let what = format!("{} {}", document.document, text(&part("number")));
        add(time(&part("received")), format!("{what} received"), text(&part("holder")));
        add(time(&part("returned")), format!("{what} returned"), text(&part("holder")));
    }
    for point in &dossier.pack.form.points {
        let phases: &[&str] = if point.phases { &[".L1", ".L2", ".L3"] } else { &[""] };
        let times: Vec<(Timestamp, &str)> = phases
            .iter()
            .filter_map(|p| {
                Some((time(&format!("points.{}.released{p}", point.id))?, p.trim_start_matches('.')))
            })
            .collect();
        let who = text(&format!("points.{}.released_by", point.id));
        let what = format!("STOP {}, point {} {}: {}", point.stop, point.letter, point.short, point.title);
        let together = times.len() == phases.len() && times.iter().all(|(t, _)| *t == times[0].0);
        match times.first() {
            Some((at, _)) if together => add(Some(*at), what, who),
            _ => times.iter().for_each(|(at, p)| add(Some(*at), format!("{what}, {p}"), who.clone())),
        }
    }
    for phase in ["L1", "L2", "L3"] {
        let held = text(&format!("tests.voltage.{phase}"));
        add(
            time(&format!("tests.full_voltage_reached.{phase}")),
            format!("test {phase}: full voltage, {held}"),
            String::new(),
        );
        add(
            time(&format!("tests.full_voltage_off.{phase}")),
            format!("test {phase}: taken off"),
            String::new(),
        );
    }
    add(
        time("hand_back.returned"),
        format!("circuit handed back to {}", text("hand_back.returned_to")),
        String::new(),
    );
    add(time("record.completed"), "record completed".into(), String::new());
    events.sort_by_key(|(at, ..)| *at);
    let mut last_day = String::new();
    events
        .into_iter()
        .map(|(at, what, who)| {
            let civil = zone.to_datetime(at);
            let day = civil.date().to_string();
            let shown = if day == last_day { String::new() } else { day.clone() };
            last_day = day;
            Event { day: shown, time: format!("{:02}:{:02}", civil.hour(), civil.minute()), what, who }
        })
        .collect()
}
