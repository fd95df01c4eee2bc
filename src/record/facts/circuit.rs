//! A record against the others of its circuit: the ends and joints that were given
//! together.

use super::super::read::Record;
use super::Dossier;
use super::item::Item;
use super::view::{PHASES, View, minutes, same};
use crate::procedure::{FormPoint, Pack};
use jiff::Timestamp;

/// One person can't release at two ends within this time, minutes. Common practice,
/// no source.
const APART_MIN: f64 = 10.0;

/// What another record of the circuit says.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Sibling {
    /// Job and end.
    pub place: String,
    /// When each phase first stood at full voltage there; nothing without a test.
    pub tested: Option<Timestamp>,
    /// Words for each phase's core, in the order L1, L2, L3.
    pub cores: Option<[String; 3]>,
    /// Who released something, and when.
    pub releases: Vec<(String, Timestamp)>,
}

/// What the others of the circuit have to know of a record.
pub fn sibling(record: &Record, pack: &Pack) -> Sibling {
    let nobody = [];
    let dossier = Dossier::bare(record, pack, "", &nobody);
    let view = View::new(&dossier, pack);
    Sibling {
        place: format!("{} {}", pack.job.number, pack.job.end),
        tested: tested(&view),
        cores: cores(&view),
        releases: releases(&view),
    }
}

/// The first time at full voltage of the phase that came to it last.
fn tested(view: &View) -> Option<Timestamp> {
    PHASES.iter().map(|p| view.time(&format!("tests.full_voltage_reached.{p}"))).min()?
}

fn cores(view: &View) -> Option<[String; 3]> {
    let of = |point: &str, phase: &str| view.text(&format!("points.{point}.phase.{phase}"));
    let one = |phase: &str| of("phase_identity", phase).or_else(|| of("joint_phases_again", phase));
    Some([one("L1")?, one("L2")?, one("L3")?])
}

fn releases(view: &View) -> Vec<(String, Timestamp)> {
    let one = |p: &FormPoint| {
        let who = view.text(&format!("points.{}.released_by", p.id))?;
        // What is released remotely needs nobody there.
        let remote = view.yes(&format!("points.{}.remote", p.id)).unwrap_or(false);
        (!remote).then_some((who, view.released(p)?))
    };
    view.pack.form.points.iter().filter_map(one).collect()
}

/// The last point of the accessory itself, before the tests.
pub(super) fn finished<'a>(view: &View<'a>) -> Option<(Timestamp, &'a FormPoint)> {
    let stop = view.point("hv_test").map(|p| p.stop.clone()).unwrap_or_default();
    // A check done after its stop is counted with the test's, and is none of the test.
    let testing = |p: &FormPoint| p.stop == stop && p.document == "test";
    let before = view.pack.form.points.iter().take_while(|p| !testing(p));
    before.filter_map(|p| view.released(p).map(|t| (t, p))).max_by_key(|(t, _)| *t)
}

pub(super) fn facts(view: &View, item: &mut Item) {
    let others = view.dossier.siblings;
    item.yes("record.in_circuit", Some(!others.is_empty()), "record.job");
    if others.is_empty() {
        return;
    }
    let own = tested(view).map(|t| (t, "here".to_string()));
    let tests: Vec<(Timestamp, String)> =
        others.iter().filter_map(|o| Some((o.tested?, o.place.clone()))).chain(own).collect();
    let done = finished(view);
    let at =
        done.map_or("tests.full_voltage_reached".to_string(), |(_, p)| format!("points.{}.released", p.id));
    let words = match (&done, tests.iter().max_by_key(|(t, _)| *t)) {
        (_, None) => Some("no record of it holds a test".to_string()),
        (Some((time, point)), Some((test, place))) if test < time => Some(format!(
            "the last test began {} ({place}), and {} was released {}",
            view.show(*test),
            super::points::name(point),
            view.show(*time)
        )),
        (Some(_), Some(_)) => Some("after it".into()),
        (None, _) => None,
    };
    item.word("circuit.test", words, &at);
    let identity =
        if view.point("phase_identity").is_some() { "phase_identity" } else { "joint_phases_again" };
    let phases_at = format!("points.{identity}.phase");
    let map = cores(view).map(|own| phases(&own, others));
    item.yes("circuit.comparable", map.as_ref().map(|(_, comparable)| *comparable), &phases_at).word(
        "circuit.phases",
        map.map(|(words, _)| words),
        &phases_at,
    );
    let near = releases(view).into_iter().find_map(|(who, time)| {
        let other = others.iter().find_map(|o| {
            let close = |(w, t): &&(String, Timestamp)| same(w, &who) && minutes(*t, time).abs() < APART_MIN;
            o.releases.iter().find(close).map(|(_, t)| (o.place.clone(), *t))
        });
        other.map(|(place, there)| {
            format!("{who} released here {} and at {place} {}", view.show(time), view.show(there))
        })
    });
    item.word("circuit.two_places", Some(near.unwrap_or_else(|| "nobody".into())), "points");
}

/// Whether every other end names the same core for each phase, and whether the words
/// can be compared: ends that use other words can't.
fn phases(own: &[String; 3], others: &[Sibling]) -> (String, bool) {
    let plain = |t: &String| t.split_whitespace().collect::<String>().to_lowercase();
    let sorted = |cores: &[String; 3]| {
        let mut all = cores.each_ref().map(plain);
        all.sort();
        all
    };
    let mut unlike = None;
    for other in others {
        let Some(theirs) = &other.cores else { continue };
        if sorted(own) != sorted(theirs) {
            unlike = unlike.or(Some(format!(
                "the words of {} can't be compared: {}",
                other.place,
                theirs.join(", ")
            )));
            continue;
        }
        for (i, phase) in PHASES.iter().enumerate() {
            if !same(&own[i], &theirs[i]) {
                let words = format!("{phase} is `{}` here and `{}` at {}", own[i], theirs[i], other.place);
                return (words, true);
            }
        }
    }
    let comparable = unlike.is_none();
    (unlike.unwrap_or_else(|| "agree".into()), comparable)
}
