//! Photographs against the frames the pack asks for.

use super::FileState;
use super::item::Item;
use super::people;
use super::view::{PHASES, View, minutes, same};
use crate::procedure::FormFrame;
use crate::record::answer::{self, Answer, Kind};
use crate::record::likeness::Likeness;
use jiff::Timestamp;

/// Cards of the frames that nobody can take again and that hide the commonest
/// faults.
const TELLING: [&str; 2] = ["edge", "filler"];

/// What a phone's clock may be off, minutes. Common practice, no source.
const CLOCK_MIN: f64 = 10.0;

struct Photo<'a> {
    at: String,
    file: String,
    sha256: Option<String>,
    taken: Option<Timestamp>,
    frame_text: Option<String>,
    frame: Option<&'a FormFrame>,
    look: Option<Likeness>,
}

fn all<'a>(view: &View<'a>) -> Option<Vec<Photo<'a>>> {
    let count = view.record.count("photos")?;
    let photo = |i: usize| {
        let at = format!("photos.{i}");
        let part = |key: &str| view.text(&format!("{at}.{key}"));
        let frame_text = part("frame");
        Photo {
            file: part("file").unwrap_or_else(|| format!("photo {}", i + 1)),
            sha256: part("sha256"),
            taken: view.time(&format!("{at}.taken")),
            frame: frame_text
                .as_ref()
                .and_then(|f| view.dossier.pack.form.frames.iter().find(|w| same(&w.id, f))),
            look: part("look").and_then(|h| Likeness::read(&h)),
            frame_text,
            at,
        }
    };
    Some((0..count).map(photo).collect())
}

/// Every frame of the pack.
pub(super) fn frames(view: &View) -> Vec<Item> {
    let photos = all(view).unwrap_or_default();
    let one = |frame: &FormFrame| {
        let title = format!("frame {}", frame.id);
        let mut item = Item::new("photos");
        let taken = photos.iter().any(|p| p.frame.is_some_and(|f| f.id == frame.id));
        let point = view.point(&frame.point).map_or("the briefing".to_string(), super::points::name);
        item.word("frame.title", Some(title), "photos")
            .word("frame.text", Some(frame.text.clone()), "photos")
            .word("frame.point", Some(point), "photos")
            .yes("frame.taken", Some(taken), "photos");
        item
    };
    view.pack.form.frames.iter().map(one).collect()
}

/// Every photograph of the record.
pub(super) fn items(view: &View) -> Option<Vec<Item>> {
    let photos = all(view)?;
    Some(photos.iter().map(|p| item(view, p, &photos)).collect())
}

fn item(view: &View, photo: &Photo, all: &[Photo]) -> Item {
    let part = |key: &str| format!("{}.{key}", photo.at);
    let mut item = Item::new(photo.at.clone());
    let others = || all.iter().filter(|o| o.at != photo.at);
    let frame = |p: &Photo| p.frame_text.clone().unwrap_or_else(|| "no frame".into());
    let twice = others().find(|o| {
        (o.sha256.is_some() && o.sha256 == photo.sha256 || o.file == photo.file) && frame(o) != frame(photo)
    });
    let alike = others().find(|o| {
        let near = photo.look.zip(o.look).is_some_and(|(a, b)| a.alike(&b));
        near && o.sha256 != photo.sha256 && frame(o) != frame(photo)
    });
    let pair =
        |o: Option<&Photo>| o.map_or("none".to_string(), |o| format!("{} (frame {})", o.file, frame(o)));
    let resaved = view.text(&part("resaved"));
    let time = match (photo.taken, &resaved) {
        (None, _) => "no time of its own".to_string(),
        (_, Some(why)) if !same(why, "no") => format!("saved again: {why}"),
        _ => "original".into(),
    };
    let state = match (&photo.frame_text, photo.frame) {
        (Some(_), Some(_)) => "listed",
        (Some(_), None) => "not in the pack's list",
        (None, _) => "no frame named",
    };
    let seen = |key: &str| match view.yes(&part(key)) {
        Some(true) => "seen",
        Some(false) => "not seen",
        None => "not said",
    };
    let card = photo.frame.map_or("", |f| f.card.split('-').next().unwrap_or(""));
    let file = view.dossier.files.as_ref().map(|files| match files.get(&photo.file) {
        Some(FileState::Same) => "as logged",
        Some(FileState::Changed) => "changed",
        Some(FileState::Absent) | None => "not there",
    });
    let (early_at, taken_at) = (part("taken"), part("taken"));
    let early = before_document(view, photo);
    let late = after_release(view, photo);
    let ahead = too_soon(view, photo);
    let by = view.text(&part("by"));
    let times: Vec<Timestamp> = photo.taken.into_iter().collect();
    let by = by.and_then(|who| people::missing(view, &who, &times, CLOCK_MIN));
    item.word("photo.by", Some(by.unwrap_or_else(|| "there".into())), &part("by"))
        .number("photo.minutes_ahead", Some(ahead.0), "min", &taken_at)
        .word("photo.ahead", Some(ahead.1), &taken_at);
    item.word("photo.file", Some(photo.file.clone()), &part("file"))
        .word("photo.frame", Some(frame(photo)), &part("frame"))
        .word("photo.state", Some(state.into()), &part("frame"))
        .word("photo.taken", photo.taken.map(|t| view.show(t)), &taken_at)
        .word("photo.time", Some(time), &taken_at)
        .word("photo.clock", Some(clock(view, photo)), &taken_at)
        .yes("photo.no_hash", Some(photo.sha256.is_none()), &part("sha256"))
        .word("photo.twice", Some(pair(twice)), &part("sha256"))
        .word("photo.alike", Some(pair(alike)), &part("look"))
        .number("photo.minutes_early", Some(early.0), "min", &early_at)
        .word("photo.early", Some(early.1), &early_at)
        .word("photo.hidden", Some(hidden(view, photo)), &taken_at)
        .number("photo.minutes_late", Some(late.0), "min", &taken_at)
        .word("photo.late", Some(late.1), &taken_at)
        .word("photo.card", Some(seen("card_seen").into()), &part("card_seen"))
        .word("photo.rule", Some(seen("rule_seen").into()), &part("rule_seen"))
        .yes("photo.telling", Some(TELLING.contains(&card)), &part("frame"))
        .word("photo.other_label", Some(other_label(view, photo)), &part("card"));
    match file {
        Some(state) => item.word("photo.on_disk", Some(state.into()), &part("file")),
        None => item.absent("photo.on_disk", "no photographs beside the record", &part("file")),
    };
    item
}

/// Whether the time written for a photograph is that of its file, to the minute.
fn clock(view: &View, photo: &Photo) -> String {
    let own = view.dossier.taken.get(&photo.file);
    let own = own.and_then(|t| match answer::read(t, &Kind::Time, view.record.zone) {
        Ok(Answer::Time(time)) => Some(time),
        _ => None,
    });
    match photo.taken.zip(own) {
        Some((written, own)) if minutes(written, own).abs() > 1.0 => {
            format!("the file itself says {}", view.show(own))
        }
        Some(_) => "agrees".into(),
        None => "not known".into(),
    }
}

/// How long before the document of its step was received, or after the last
/// clearance, it was taken; minutes and words.
fn before_document(view: &View, photo: &Photo) -> (f64, String) {
    let none = (0.0, "none".to_string());
    let (Some(taken), Some(frame)) = (photo.taken, photo.frame) else { return none };
    let Some(point) = view.point(&frame.point) else { return none };
    if let Some(i) = view.document_at(&point.step)
        && let Some(received) = view.time(&format!("documents.{i}.received"))
        && taken < received
    {
        let what = &view.pack.form.documents[i].document;
        let words = format!("before the {what} was received, {}", view.show(received));
        return (minutes(taken, received), words);
    }
    match view.cleared() {
        Some(cleared) if taken > cleared => {
            (minutes(cleared, taken), format!("after the permit was cleared, {}", view.show(cleared)))
        }
        _ => none,
    }
}

/// How long before its subject was there it was taken; minutes and words. Nothing behind
/// a stop is begun before the last hold of it.
fn too_soon(view: &View, photo: &Photo) -> (f64, String) {
    let none = (0.0, "none".to_string());
    let (Some(taken), Some(frame)) = (photo.taken, photo.frame) else { return none };
    let points = &view.pack.form.points;
    let Some(at) = points.iter().position(|p| p.id == frame.point) else { return none };
    let (own, stops) = (&points[at], &view.pack.release.stops);
    let of_phase = |p: &str| p.is_empty() || frame.phase == "all" || p == frame.phase;
    let holds = |number: &str| -> Option<(Timestamp, String)> {
        let above = points[..at].iter().filter(|p| p.letter == "H" && p.stop == number);
        let released = above.flat_map(|p| view.releases(p).into_iter().map(move |(ph, t)| (ph, t, p)));
        let all = released.filter(|(phase, ..)| of_phase(phase)).filter_map(|(_, t, p)| Some((t?, p)));
        let last = all.max_by_key(|(t, _)| *t);
        last.map(|(t, p)| (t, format!("STOP {number}, {} was released", super::points::name(p))))
    };
    let stop = stops.iter().position(|s| s.number == own.stop).unwrap_or(0);
    let above = stops[..stop].iter().rev().find_map(|s| holds(&s.number));
    let more = match own.id.as_str() {
        "hv_test" => PHASES
            .iter()
            .filter_map(|p| view.time(&format!("tests.full_voltage_off.{p}")))
            .max()
            .map(|t| (t, "the last full voltage was taken off".to_string())),
        "terminal_torque" => super::connected::back_here(view),
        "box_closed" => holds(&own.stop),
        _ => None,
    };
    match above.into_iter().chain(more).max_by_key(|(t, _)| *t) {
        Some((time, what)) if taken < time => {
            (minutes(taken, time), format!("before {what}, {}", view.show(time)))
        }
        _ => none,
    }
}

/// A photograph of what was covered by then.
fn hidden(view: &View, photo: &Photo) -> String {
    let (Some(taken), Some(frame)) = (photo.taken, photo.frame) else { return "none".into() };
    let Some(cover) = view.point(&frame.covered_by) else { return "none".into() };
    let releases = view.releases(cover);
    let own = releases.iter().filter(|(p, _)| p.is_empty() || frame.phase == "all" || *p == frame.phase);
    match own.filter_map(|(_, t)| *t).min() {
        Some(released) if taken > released => format!(
            "{} min after {} was released, {}",
            super::view::plain(minutes(released, taken)),
            super::points::name(cover),
            view.show(released)
        ),
        _ => "none".into(),
    }
}

/// How long after its own point was released something was photographed that a later
/// step hides for good; minutes and words. The releaser saw it without this picture, and
/// when its covering began nobody writes down. A frame of all phases counts from the
/// last of them.
fn after_release(view: &View, photo: &Photo) -> (f64, String) {
    let none = (0.0, "none".to_string());
    let (Some(taken), Some(frame)) = (photo.taken, photo.frame) else { return none };
    let (Some(own), Some(cover)) = (view.point(&frame.point), view.point(&frame.covered_by)) else {
        return none;
    };
    let of_phase = || view.releases(own).into_iter().find(|(p, _)| *p == frame.phase).and_then(|(_, t)| t);
    match of_phase().or_else(|| view.released(own)) {
        Some(released) if taken > released => (
            minutes(released, taken),
            format!(
                "after {} was released, {}; {} hides it",
                super::points::name(own),
                view.show(released),
                super::points::name(cover)
            ),
        ),
        _ => none,
    }
}

/// What the label card in it says, where that is not this pack or not this frame.
fn other_label(view: &View, photo: &Photo) -> String {
    let Some(code) = view.text(&format!("{}.card", photo.at)) else { return "none".into() };
    let Some(frame) = photo.frame else { return "none".into() };
    let fields: Vec<&str> = code.split('/').collect();
    let [_, job, revision, end, sum, card, ..] = fields[..] else {
        return if same(&code, &frame.card) {
            "none".into()
        } else {
            format!("card {code}, the frame wants {}", frame.card)
        };
    };
    let own = &view.pack.job;
    if job != own.number || end != own.end {
        return format!("label card of job {job}, end {end}");
    }
    if revision != own.revision || !view.dossier.pack_sha256.starts_with(&sum.to_lowercase()) {
        return format!("label card of revision {revision}, pack {sum}");
    }
    // A frame of all phases shows a card of each; any of its stage will do.
    let stage = |card: &str| card.split('-').next().unwrap_or("").to_lowercase();
    if same(card, &frame.card) || (frame.phase == "all" && stage(card) == stage(&frame.card)) {
        "none".into()
    } else {
        format!("label card {card}, the frame wants {}", frame.card)
    }
}
