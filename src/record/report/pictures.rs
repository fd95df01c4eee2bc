//! The photographs on the pages of a report: every frame of the pack in the order
//! of its points, those that nobody can look at again first.

use super::super::facts::{Dossier, FileState};
use super::super::struck;
use super::Line;
use crate::record::{Answer, Record};
use jiff::tz::Offset;
use serde::Serialize;
use std::collections::BTreeMap;

/// What a person has to look at on the photographs of a point, and whether it can
/// not be looked at again: those come first, and large.
const QUESTIONS: [(&str, bool, &str); 22] = [
    ("semicon_edge", true, "Is the edge smooth and square all round, without teeth, tongue or lifted place?"),
    ("joint_edge", true, "Is each edge smooth and square all round, without teeth, tongue or lifted place?"),
    ("filler", true, "Does the filler lie over the edge all round, and nowhere else on the insulation?"),
    (
        "joint_fill",
        true,
        "Does the filler lie over both edges and the connector all round, and nowhere else?",
    ),
    ("final_gaps", true, "Does the gauge block stand in the tightest place? Do no two tubes touch or cross?"),
    ("gaps_outdoor", true, "Are all sheds there, skirts down? Is nothing nearer than the pack allows?"),
    ("joint_closed", true, "Is nothing bent at the joint's ends, and no other cable touching it?"),
    ("kit_cable_match", false, "Kit, sheet and sheath print: are they those of the pack, and readable?"),
    ("insulation_surface", false, "No ring, nick or knife line; no black trace?"),
    ("joint_surface", false, "No ring, nick or knife line; no black trace?"),
    ("screens_joined", false, "Are all wires under the clamp, and does no wire end point at the edge?"),
    ("joint_screens", false, "Are springs and braid on every core, on both sides?"),
    ("lug", false, "Right die stamp, all crimps there, barrel home, no burr?"),
    ("connector", false, "Bolts sheared flush, holes filled, both gaps alike?"),
    ("parked", false, "Is every part parked on its core, none left on the bench?"),
    ("tube_placed", false, "Do the lower ends stand at their mark, all three alike?"),
    ("tube", false, "No wrinkle, scorch, split or bubble? Both ends tight on the core?"),
    ("tube_centred", false, "No wrinkle, scorch, split or bubble? Both ends alike from the centre?"),
    ("body_seated", false, "Is the body against its stop, and the witness mark covered evenly?"),
    ("body_centred", false, "Are both ends of every body alike from the centre?"),
    ("terminal_torque", false, "Paint line across nut and palm on every phase, palms flat?"),
    ("box_closed", false, "Is nothing left inside: tool, rag, wire end?"),
];

/// Longer side of a small picture and of a large one, pixels.
const SMALL: usize = 480;
const LARGE: usize = 1000;

/// Pictures shown of one frame, and of no frame at all: the report stays small
/// however many the record lists.
const PER_FRAME: usize = 4;
const OTHERS: usize = 24;

/// One photograph of the record.
#[derive(Clone, Debug, Serialize)]
pub struct Picture {
    /// Name of its small copy among the report's own, where there is one.
    pub id: String,
    pub file: String,
    pub frame: String,
    pub taken: String,
    pub sha256: String,
    /// Longer side to be made, pixels.
    pub side: usize,
    /// Why no picture is shown; nothing where one is.
    pub hidden: String,
    /// Codes of the findings that name it.
    pub codes: Vec<String>,
}

/// One point with its frames.
#[derive(Debug, Serialize)]
pub struct Look {
    pub point: String,
    pub stop: String,
    /// What a person answers by looking.
    pub question: String,
    pub large: bool,
    pub frames: Vec<Frame>,
}

/// One frame of the pack's list, and its photographs by their place in the list.
#[derive(Debug, Serialize)]
pub struct Frame {
    pub id: String,
    pub text: String,
    pub pictures: Vec<usize>,
}

/// A time as people read it, in the record's zone.
fn shown(record: &Record, name: &str) -> String {
    match record.get(name).map(|g| &g.answer) {
        Some(Answer::Time(time)) => {
            let t = record.zone.unwrap_or(Offset::UTC).to_datetime(*time);
            format!("{} {:02}:{:02}", t.date(), t.hour(), t.minute())
        }
        _ => "no time".into(),
    }
}

/// Every photograph the record lists.
pub(super) fn pictures(dossier: &Dossier, lines: &[&Line]) -> Vec<Picture> {
    let record = dossier.record;
    let one = |i: usize| {
        let part = |key: &str| record.get(&format!("photos.{i}.{key}")).map(|g| g.text.clone());
        let (file, frame) = (part("file").unwrap_or_default(), part("frame").unwrap_or_default());
        let state = dossier.files.as_ref().and_then(|f| f.get(&file));
        let hidden = match state {
            Some(FileState::Same) => "",
            Some(FileState::Changed) => "not the file that was logged",
            Some(FileState::Absent) | None => "not beside the record",
        };
        let codes = lines.iter().filter(|l| l.pictures.contains(&i)).map(|l| l.code.clone());
        let point = dossier.pack.form.frames.iter().find(|f| f.id == frame).map(|f| f.point.as_str());
        Picture {
            id: format!("{i}.jpg"),
            side: if point.is_some_and(is_large) { LARGE } else { SMALL },
            taken: shown(record, &format!("photos.{i}.taken")),
            sha256: part("sha256").unwrap_or_default().to_lowercase(),
            hidden: hidden.into(),
            codes: codes.collect(),
            file,
            frame,
        }
    };
    let mut all: Vec<Picture> = (0..record.count("photos").unwrap_or(0)).map(one).collect();
    let mut room: BTreeMap<String, usize> = BTreeMap::new();
    for picture in &mut all {
        let listed = dossier.pack.form.frames.iter().any(|f| f.id == picture.frame);
        let (key, most) = if listed { (picture.frame.clone(), PER_FRAME) } else { (String::new(), OTHERS) };
        let used = room.entry(key).or_default();
        *used += usize::from(picture.hidden.is_empty());
        if *used > most && picture.hidden.is_empty() {
            picture.hidden = "more pictures of this frame than are shown".into();
        }
    }
    all
}

fn is_large(point: &str) -> bool {
    QUESTIONS.iter().any(|(id, large, _)| *id == point && *large)
}

/// Every point with frames: first, and large, what nobody can look at again, then
/// the rest; both in working order.
pub(super) fn looks(dossier: &Dossier, pictures: &[Picture]) -> Vec<Look> {
    let asked = struck::asked(dossier.record, dossier.pack);
    let form = &asked.form;
    let frames = |point: &str| -> Vec<Frame> {
        let own = form.frames.iter().filter(|f| f.point == point);
        own.map(|f| {
            let here = pictures.iter().enumerate().filter(|(_, p)| p.frame == f.id);
            Frame { id: f.id.clone(), text: f.text.clone(), pictures: here.map(|(i, _)| i).collect() }
        })
        .collect()
    };
    let briefing = Look {
        point: "Briefing".into(),
        stop: String::new(),
        question: "Does the phone's clock agree with the watch beside it?".into(),
        large: false,
        frames: frames(""),
    };
    let points = form.points.iter().map(|point| {
        let words = QUESTIONS.iter().find(|(id, ..)| *id == point.id);
        Look {
            point: format!("Point {}, {}", point.short, point.title),
            stop: format!("STOP {}", point.stop),
            question: words.map_or("Does it show what its frame asks for?", |(.., q)| q).into(),
            large: is_large(&point.id),
            frames: frames(&point.id),
        }
    });
    let mut all: Vec<Look> =
        std::iter::once(briefing).chain(points).filter(|l| !l.frames.is_empty()).collect();
    // A stable sort: both halves stay in working order.
    all.sort_by_key(|l| !l.large);
    all
}

/// Photographs that bear on what stands at `pointer` in the record: the
/// photograph itself, or those of the point and phase.
pub(super) fn about(dossier: &Dossier, pointer: &str) -> Vec<usize> {
    let mut parts = pointer.trim_start_matches('/').split('/');
    let record = dossier.record;
    let frame_of = |i: usize| record.get(&format!("photos.{i}.frame")).map(|g| g.text.clone());
    let point = match parts.next() {
        Some("photos") => {
            let own = parts.next().and_then(|i| i.parse::<usize>().ok());
            return own.into_iter().filter(|i| *i < record.count("photos").unwrap_or(0)).collect();
        }
        Some("points") => parts.next().unwrap_or_default(),
        Some("tests") => "hv_test",
        _ => return Vec::new(),
    };
    let phase = parts.next_back().filter(|p| p.starts_with('L')).unwrap_or_default();
    let fits = |i: &usize| {
        let id = frame_of(*i);
        dossier.pack.form.frames.iter().any(|f| {
            Some(&f.id) == id.as_ref()
                && f.point == point
                && (phase.is_empty() || f.phase == "all" || phase.contains(&f.phase))
        })
    };
    (0..record.count("photos").unwrap_or(0)).filter(fits).take(3).collect()
}
