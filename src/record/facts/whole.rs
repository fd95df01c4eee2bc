//! Facts of the record as a whole: whose it is, its order in time, its sums.

use super::super::answer::Answer;
use super::super::struck;
use super::super::table::answer_name;
use super::item::Item;
use super::view::{PHASES, View, minutes, plain, same};
use jiff::Timestamp;

/// Hours after the clearance within which a record is expected. Common practice,
/// no source.
const LATE_H: f64 = 24.0;

pub(super) fn item(view: &View) -> Item {
    let mut item = Item::new("record");
    identity(view, &mut item);
    sums(view, &mut item);
    copied(view, &mut item);
    order(view, &mut item);
    air(view, &mut item);
    existing(view, &mut item);
    super::connected::facts(view, &mut item);
    super::circuit::facts(view, &mut item);
    super::inspected::facts(view, &mut item);
    super::tested::facts(view, &mut item);
    super::signed::facts(view, &mut item);
    item
}

fn short(hash: &str) -> String {
    hash.get(..12).unwrap_or(hash).to_string()
}

fn identity(view: &View, item: &mut Item) {
    let job = &view.pack.job;
    let written = view.text("record.pack");
    item.yes("record.complete", Some(view.complete()), "record.completed")
        .word("record.pack", written.as_deref().map(short), "record.pack")
        .word("pack.sum", Some(short(view.dossier.pack_sha256)), "record.pack")
        .yes("record.pack_matches", written.map(|w| w == view.dossier.pack_sha256), "record.pack");
    let named = [("job", &job.number), ("revision", &job.revision), ("end", &job.end)];
    let other = named.iter().find_map(|(key, own)| {
        let text = view.text(&format!("record.{key}"))?;
        (!same(&text, own)).then(|| format!("{key} {text}, the pack has {own}"))
    });
    item.word("record.identity", Some(other.unwrap_or_else(|| "agrees".into())), "record.job");
    let day = view.last_day().map(|d| d.to_string());
    let standing = view.dossier.register.as_ref().map(|s| match (&s.replaced_by, s.listed, &day) {
        (_, false, _) => "not in the register with this pack".to_string(),
        (Some((by, date)), true, Some(day)) if date <= day => format!("{by} was in force from {date}"),
        _ => "in force".into(),
    });
    item.word("record.revision", Some(job.revision.clone()), "record.revision").word(
        "pack.standing",
        standing,
        "record.revision",
    );
    match view.dossier.pack_files.clone() {
        Some(files) => item.word("pack.files", Some(files), "record.pack"),
        None => item.absent("pack.files", "no register and checksum list beside the pack", "record.pack"),
    };
    let replaces = view.dossier.seal.as_ref().is_some_and(|s| s.starts_with("replaces"));
    item.yes("record.replaces_seal", Some(replaces), "record.replaces");
    item.yes("record.sealed", Some(view.dossier.seal.is_some()), "record.completed").word(
        "record.seal",
        Some(view.dossier.seal.clone().unwrap_or_else(|| "none".into())),
        "record.completed",
    );
    let expiry = view.date("points.kit_cable_match.kit_expiry");
    let has_kit = view.point("kit_cable_match").is_some();
    let kit = expiry.zip(view.last_day()).map(|(until, day)| {
        if until < day { format!("expired {until}, used {day}") } else { "in date".into() }
    });
    item.yes("record.has_kit", Some(has_kit), "points").word(
        "kit.state",
        kit,
        "points.kit_cable_match.kit_expiry",
    );
}

/// Isolation, earths, tools: what was counted twice must agree.
fn sums(view: &View, item: &mut Item) {
    let wanted = view.pack.isolation.points.len();
    let written = view.record.count("isolation.points");
    let locked = written
        .map(|n| (0..n).filter(|i| view.yes(&format!("isolation.points.{i}.locked")) == Some(true)).count());
    let unlocked_numbers = written
        .map(|n| (0..n).filter(|i| view.text(&format!("isolation.points.{i}.lock")).is_none()).count());
    let words = locked.zip(unlocked_numbers).map(|(locked, bare)| {
        if locked != wanted {
            format!("{locked} found locked, the isolation page has {wanted}")
        } else if bare > 0 {
            format!("{bare} without a lock number")
        } else {
            "agrees".into()
        }
    });
    item.word("isolation.tally", words, "isolation.points");
    let locks: Vec<String> =
        (0..written.unwrap_or(0)).filter_map(|i| view.text(&format!("isolation.points.{i}.lock"))).collect();
    let twice = (1..locks.len()).find(|i| locks[..*i].iter().any(|l| same(l, &locks[*i])));
    item.word(
        "isolation.twice",
        Some(twice.map_or("none".into(), |i| locks[i].clone())),
        &twice.map_or("isolation.points".to_string(), |i| format!("isolation.points.{i}.lock")),
    );
    let earths = view
        .pack
        .isolation
        .points
        .iter()
        .filter(|p| !p.earth.is_empty() && !p.earth.starts_with("none"))
        .count();
    let asks = |reading: &'static str| {
        let own = |p: &&crate::procedure::FormPoint| p.readings.iter().any(|r| r.id == reading);
        view.pack.form.points.iter().find(own).map(|p| p.id.as_str())
    };
    let seen_by = asks("circuit_earths");
    let seen_at = &format!("points.{}.circuit_earths", seen_by.unwrap_or("permit_received"));
    let seen = view.number(seen_at).map(|seen| {
        if seen as usize == earths {
            "agrees".to_string()
        } else {
            format!("{seen} seen, the isolation page has {earths}")
        }
    });
    item.word("isolation.earths", if seen_by.is_some() { seen } else { Some("not asked".into()) }, seen_at);
    let (on, off) = (view.number("isolation.working_earths.on"), view.number("isolation.working_earths.off"));
    item.number("earths.on", on, "", "isolation.working_earths.on").number(
        "earths.off",
        off,
        "",
        "isolation.working_earths.off",
    );
    item.yes("earths.written", Some(on.is_some() && off.is_some()), "isolation.working_earths");
    clear(view, asks("clear_persons"), item);
    let counted = asks("tools_out");
    let at = |which: &str| format!("points.{}.tools_{which}", counted.unwrap_or("box_closed"));
    item.yes("record.counts_tools", Some(counted.is_some()), "points")
        .number("tools.out", view.number(&at("out")), "", &at("out"))
        .number("tools.in", view.number(&at("in")), "", &at("in"));
}

/// Persons clear against the sign-on sheet: those on it when the last document was cleared,
/// or all who were on it while that document was held.
fn clear(view: &View, point: Option<&str>, item: &mut Item) {
    let at = format!("points.{}.clear_persons", point.unwrap_or("handback"));
    let last = view.pack.form.documents.len().checked_sub(1);
    let received = last.and_then(|i| view.time(&format!("documents.{i}.received")));
    let words = view.number(&at).zip(view.cleared()).map(|(clear, cleared)| {
        let there = view.people.iter().filter(|p| !p.away(cleared, 0.0)).count();
        let meets = |on: Timestamp, off: Timestamp| on <= cleared && received.is_none_or(|r| off >= r);
        let held = view
            .people
            .iter()
            .filter(|p| p.stays.iter().any(|s| s.on.zip(s.off).is_some_and(|(on, off)| meets(on, off))))
            .count();
        if [there, held].iter().any(|n| (*n as f64 - clear).abs() < 0.5) {
            "agree".to_string()
        } else {
            format!("{} written, {there} signed on when the last document was cleared", plain(clear))
        }
    });
    let words = if point.is_some() { words } else { Some("not asked".into()) };
    item.word("clear.persons", words, &at);
}

/// Signs of figures copied from the pack or from one phase to the next.
fn copied(view: &View, item: &mut Item) {
    let (mut planned, mut equal, mut rows, mut same_rows) = (0usize, 0usize, 0usize, Vec::new());
    let mut has_plan = false;
    for point in &view.pack.form.points {
        for reading in &point.readings {
            if reading.unit == "count" {
                continue;
            }
            let values: Vec<f64> = reading
                .cells
                .iter()
                .filter_map(|c| match view.answer(&answer_name(&point.id, &reading.id, c))? {
                    Answer::Number { value, .. } => Some(*value),
                    _ => None,
                })
                .collect();
            // Torque is set on the wrench: it is the planned one.
            if let Some(plan) = reading.plan.filter(|_| reading.unit != "N.m") {
                has_plan = true;
                planned += values.len();
                equal += values.iter().filter(|v| (**v - plan).abs() < 1e-9).count();
            }
            // Nor does a torque scatter, and a kit part has one size.
            if values.len() == PHASES.len() && reading.unit == "mm" {
                rows += 1;
                if values.windows(2).all(|w| (w[0] - w[1]).abs() < 1e-9) {
                    same_rows.push(reading.title.clone());
                }
            }
        }
    }
    // An inspection plans no figure, and so none is copied.
    let share = match (has_plan, planned) {
        (false, _) => Some(0.0),
        (true, 0) => None,
        (true, _) => Some(equal as f64 / planned as f64 * 100.0),
    };
    item.number("record.planned_share", share, "%", "points")
        .number("record.equal_rows", (rows > 0).then_some(same_rows.len() as f64), "", "points")
        .word(
            "record.equal_names",
            Some(same_rows.iter().take(6).cloned().collect::<Vec<_>>().join("; ")),
            "points",
        );
}

fn order(view: &View, item: &mut Item) {
    let completed = view.time("record.completed");
    let cleared = view.cleared();
    let late = completed.zip(cleared).map(|(c, l)| minutes(l, c) / 60.0);
    item.number("record.late_h", late, "h", "record.completed")
        .yes("record.late", late.map(|h| h > LATE_H), "record.completed")
        .word("record.cleared", cleared.map(|t| view.show(t)), "documents");
    let early = completed.map(|c| {
        let last = view.pack.form.points.iter().filter_map(|p| view.released(p)).max();
        match last {
            Some(t) if c < t => {
                format!("completed {}, and a point was released {}", view.show(c), view.show(t))
            }
            _ => "in order".into(),
        }
    });
    item.word("record.end_order", early, "record.completed");
    let future = view.dossier.today.zip(completed).map(|(today, c)| view.day(c) > today);
    item.yes("record.future", future, "record.completed");
    // The last point of the accessory itself, before the tests.
    let planned = view.fact("tests.planned") == Some("yes");
    let reached = |p: &str| view.time(&format!("tests.full_voltage_reached.{p}"));
    let first: Option<Timestamp> = PHASES.iter().filter_map(|p| reached(p)).min();
    // An old end may trip before it ever stands at full voltage.
    let stood = first.is_some() || !struck::given_up(view.record);
    item.yes("record.tested", Some(planned && stood), "tests");
    let last = super::circuit::finished(view);
    let words = first.zip(last).map(|(first, (t, point))| {
        if first < t {
            format!(
                "full voltage {}, and {} was released {}",
                view.show(first),
                super::points::name(point),
                view.show(t)
            )
        } else {
            "after it".into()
        }
    });
    item.word("test.order", words, "tests.full_voltage_reached");
    let off: Option<Timestamp> =
        PHASES.iter().filter_map(|p| view.time(&format!("tests.full_voltage_off.{p}"))).max();
    let earthed = view.released_id("discharged");
    let minutes_at = "points.discharged.minutes";
    let claimed = view.number(minutes_at);
    let words = off.zip(earthed).zip(claimed).map(|((off, earthed), claimed)| {
        let there = minutes(off, earthed);
        if earthed < off {
            format!("released {}, before the test ended {}", view.show(earthed), view.show(off))
        } else if there + 0.5 < claimed {
            format!(
                "{} min written, and {} min lie between the end of the test and the release",
                super::view::plain(claimed),
                super::view::plain(there)
            )
        } else {
            "agrees".into()
        }
    });
    item.word("discharge.times", words, minutes_at);
}

/// Least margins above the dew point; common practice, from ISO 8502-4.
fn air(view: &View, item: &mut Item) {
    item.yes("record.has_air", Some(super::phases::air_point(view, "start").is_some()), "points");
    for (when, usual) in [("start", "environment"), ("covering", "clean_before_cover")] {
        let point = super::phases::air_point(view, when).unwrap_or(usual);
        let at = format!("points.{point}.surface_{when}");
        let margin = super::phases::dew_margin(view, when);
        let written = view.number(&format!("points.{point}.above_dew_point_{when}"));
        item.number(&format!("dew.{when}"), margin, "K", &at)
            .yes(&format!("dew.{when}_differs"), margin.zip(written).map(|(a, b)| (a - b).abs() > 1.0), &at)
            .number(&format!("dew.{when}_written"), written, "K", &at);
    }
}

/// What has to stand before an existing cable is touched, and before a connector
/// goes on.
fn existing(view: &View, item: &mut Item) {
    let identified = view.point("cable_identified");
    item.yes("record.identifies", Some(identified.is_some()), "points");
    if let Some(point) = identified {
        let asked: Vec<&str> = ["spike", "tripped", "initials"]
            .into_iter()
            .filter(|id| point.readings.iter().any(|r| r.id == *id))
            .filter(|id| {
                let given = view.answer(&format!("points.cable_identified.{id}"));
                !matches!(given, Some(Answer::Text(_) | Answer::YesNo(true)))
            })
            .collect();
        let own = view.released(point);
        // A document's point may be signed after its bearer's first look; the cable
        // itself is touched from the points behind this one.
        let after = view.pack.form.points.iter().skip_while(|p| p.id != point.id).skip(1);
        let sooner = after
            .filter_map(|p| Some((view.released(p)?, p)))
            .find(|(time, _)| own.is_some_and(|own| *time < own));
        let words = if let Some(first) = asked.first() {
            let title = point.readings.iter().find(|r| r.id == *first).map_or(*first, |r| r.title.as_str());
            format!("no answer to: {title}")
        } else if own.is_none() {
            "never released".into()
        } else if let (Some((time, other)), Some(own)) = (sooner, own) {
            format!("released {}, and {} {}", view.show(own), super::points::name(other), view.show(time))
        } else {
            "proved".into()
        };
        let at = asked.first().map_or("points.cable_identified.released".to_string(), |id| {
            format!("points.cable_identified.{id}")
        });
        item.word("identification.state", Some(words), &at);
    }
    let (parked, connector) = (view.point("parked"), view.point("connector"));
    item.yes("record.parks", Some(parked.is_some() && connector.is_some()), "points");
    if let (Some(parked), Some(connector)) = (parked, connector) {
        let counted = view.released(parked);
        let first = view.releases(connector).into_iter().filter_map(|(_, t)| t).min();
        let words = counted.zip(first).map(|(counted, first)| {
            if counted > first {
                format!(
                    "counted {}, the first connector was released {}",
                    view.show(counted),
                    view.show(first)
                )
            } else {
                "before".to_string()
            }
        });
        item.word("parked.order", words, "points.parked.released");
    }
}
