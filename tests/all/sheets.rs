//! The sheets round the method: points, stops, frames, cards, hazards, and no
//! reading asked for twice.

use crate::issuing::pack_of;
use crate::support::{job_path, job_text};
use cutback::procedure::{Banner, Pack, Procedures, Segment, Shape};
use std::collections::{BTreeMap, BTreeSet};

const JOBS: [&str; 7] =
    ["D-2201-P1", "D-2201-P2", "D-2201-P4", "K-0417-P1", "K-0417-P2", "K-0417-P3", "with all of it"];

/// Each job, and the demonstration with everything that may be left out.
fn packs() -> Vec<(&'static str, Pack)> {
    JOBS.iter()
        .map(|name| {
            let text = match *name {
                "with all of it" => job_text("D-2201-P4")
                    .replace("before_work_test: none", "before_work_test: \"client's test notice\"")
                    .replace("confined: no", "confined: yes")
                    .replace("parallel_circuit: no", "parallel_circuit: yes"),
                name => job_text(name),
            };
            (*name, pack_of(text).0)
        })
        .collect()
}

fn points(pack: &Pack) -> Vec<&Banner> {
    pack.method.runs.iter().flat_map(|r| &r.steps).filter_map(|s| s.control.as_ref()).collect()
}

#[test]
fn counts_of_the_demonstration() {
    let (pack, _) = pack_of(job_text("D-2201-P4"));
    let points = points(&pack);
    let holds = points.iter().filter(|p| p.letter == "H").count();
    let steps = pack.method.runs.iter().map(|r| r.steps.len()).sum::<usize>();
    assert_eq!((points.len(), holds), (27, 21), "points, holds");
    assert_eq!(pack.release.stops.len(), 8, "stops");
    assert_eq!(pack.photos.total, 34, "frames, the clock's too");
    assert_eq!(pack.labels.cards.len(), 20, "label cards");
    assert_eq!(pack.hazards.len(), 14, "hazards");
    assert_eq!(pack.pocket.figures.len(), 8, "figures of the pocket card");
    assert!(steps <= 78, "{steps} steps");
    let numbers: Vec<String> = pack.pocket.figures.iter().map(|f| f.text.clone()).collect();
    let expected = ["435 mm", "385 mm", "345 mm", "75 mm", "80 mm", "100 mm", "70 mm", "270 mm"];
    assert_eq!(numbers, expected.map(String::from));
}

#[test]
fn never_more_than_the_releaser_and_the_camera_can_bear() {
    for (job, pack) in packs() {
        assert!(pack.release.stops.len() <= 8, "{job}");
        assert!(pack.photos.total <= 36, "{job}: {} frames", pack.photos.total);
        assert!((15..=22).contains(&pack.labels.cards.len()), "{job}: {} cards", pack.labels.cards.len());
        let ids: BTreeSet<&str> = pack.labels.cards.iter().map(|c| c.id.as_str()).collect();
        assert_eq!(ids.len(), pack.labels.cards.len(), "{job}: two cards of one name");
        // Every frame has its card, and every card its frame.
        for row in &pack.photos.rows {
            let stem = |id: &str| id.split('-').next() == Some(row.card.as_str());
            assert!(pack.labels.cards.iter().any(|c| stem(&c.id)), "{job}: no card for {}", row.text);
            assert!(!row.phases || row.count == 1 || row.count.is_multiple_of(3), "{job}: {}", row.text);
        }
    }
}

/// Every point is released by somebody, once, and behind its step.
#[test]
fn every_point_is_released_by_somebody() {
    for (job, pack) in packs() {
        let mut released: BTreeMap<&str, usize> = BTreeMap::new();
        for stop in &pack.release.stops {
            for point in &stop.points {
                assert!(!point.by.is_empty());
                *released.entry(&point.short).or_default() += 1;
            }
        }
        for point in points(&pack) {
            assert_eq!(released.get(point.short.as_str()), Some(&1), "{job}: {}", point.id);
            assert!(!point.stop.is_empty() && !point.release_note.is_empty(), "{job}: {}", point.id);
            let sentences = point.prevents.matches(". ").count() + 1;
            assert!(point.prevents.ends_with('.') && sentences <= 2, "{job}: {}", point.id);
        }
        assert_eq!(pack.schedule.len(), points(&pack).len(), "{job}");
        // A stop stands behind its last hold, with its own blanks once.
        for step in pack.method.runs.iter().flat_map(|r| &r.steps) {
            let Some(stop) = &step.stop else { continue };
            let here: Vec<&str> =
                stop.points.iter().filter(|p| p.here).map(|p| p.banner.short.as_str()).collect();
            let control = step.control.as_ref().expect("a stop stands behind a point");
            assert_eq!(here, [control.short.as_str()], "{job}: stop {}", stop.number);
            let holds = stop.points.iter().filter(|p| p.banner.letter == "H").count();
            assert_eq!(holds > 1, !stop.run.is_empty(), "{job}: stop {}: {}", stop.number, stop.run);
        }
    }
}

/// No figure is asked for twice: the name of a reading, datum and all, is unique
/// over banners, test sheet and completion sheet.
#[test]
fn no_reading_is_asked_for_twice() {
    for (job, pack) in packs() {
        let mut asked = BTreeSet::new();
        let banners = points(&pack);
        let names = banners
            .iter()
            .flat_map(|p| p.measures.iter().map(|m| m.name.as_str()))
            .chain(pack.tests.rows.iter().map(|r| r.name.as_str()))
            .chain(pack.completion.phases.iter().map(|r| r.name.as_str()))
            .chain(pack.completion.lines.iter().map(|r| r.name.as_str()));
        for name in names {
            assert!(asked.insert(name.to_lowercase()), "{job}: `{name}` is asked for twice");
        }
    }
}

/// Words the print does not use, and names that are the tool's own.
#[test]
fn words_that_never_print() {
    for (job, pack) in packs() {
        let mut value = serde_json::to_value(&pack).expect("JSON");
        // Findings and basis are worded by rules and facts; the tests of those
        // rooms watch them.
        for own in ["findings", "basis", "rules", "front"] {
            value.as_object_mut().expect("an object").remove(own);
        }
        let text = serde_json::to_string(&value).expect("JSON");
        for word in ["hp-", "hz-", "solid gap", "S-bend", "spread bound", "two arcs", "RSS", "root-sum"] {
            // A job's own names may hold anything: the press of the demonstration is HP-14.
            assert!(!text.contains(word), "{job}: `{word}` in print");
        }
        assert!(!text.contains("{{") && !text.contains("{%"), "{job}: a sentence unfinished");
    }
}

#[test]
fn numbers_of_documents_and_locks_are_blanks() {
    let text = std::fs::read_to_string(job_path("D-2201-P4")).expect("a job");
    assert!(!text.contains("lock_number") && !text.contains("key_number"));
    let (pack, _) = pack_of(text);
    assert_eq!(pack.isolation.points.len(), 2);
    assert_eq!(pack.isolation.back_feed.len(), 6);
    // One line a change of document, from the first step to the last.
    let order = &pack.isolation.order;
    assert!(order.windows(2).all(|w| w[0].document != w[1].document));
    assert!(order.first().is_some_and(|l| l.steps.starts_with("1 ")));
}

fn hazards(text: String) -> BTreeSet<String> {
    pack_of(text).0.hazards.into_iter().map(|h| h.id).collect()
}

#[test]
fn hazards_of_the_demonstration() {
    let expected = [
        "isolation",
        "prove-dead",
        "earthing",
        "permit",
        "sanction-test",
        "backfeed",
        "stored-charge",
        "gas-torch",
        "solvent",
        "knives",
        "hydraulic",
        "manual",
        "earth-potential",
        "magnet-heat",
    ];
    assert_eq!(hazards(job_text("D-2201-P4")), expected.map(String::from).into());
    let (pack, _) = pack_of(job_text("D-2201-P4"));
    for hazard in &pack.hazards {
        assert!(!hazard.fact.contains("not answered"), "{}: {}", hazard.id, hazard.fact);
        assert!(!hazard.actions.is_empty() && !hazard.leans_on.is_empty(), "{}", hazard.id);
        assert!(!hazard.leans_on.contains("OSHA"), "{}: another jurisdiction's rule", hazard.id);
    }
}

/// What is not answered prints and says so; each trigger works on its own.
#[test]
fn hazards_are_brought_up_by_facts() {
    let p4 = job_text("D-2201-P4");
    let with = |from: &str, to: &str| {
        assert!(p4.contains(from), "{from}");
        hazards(p4.replace(from, to))
    };
    let base = hazards(p4.clone());
    for (from, to, hazard) in [
        ("adjacent_live: no", "adjacent_live: yes", "adjacent-live"),
        ("adjacent_live: no", "adjacent_live: yes", "arc-flash"),
        ("depth: 0 m", "depth: 1.3 m", "confined"),
        ("depth: 0 m", "depth: 0.4 m", "other-services"),
        ("height: 0 m", "height: 2.4 m", "height"),
        ("hazardous_zone: none", "hazardous_zone: zone 2", "hazardous-area"),
        ("outdoor: no", "outdoor: yes", "weather"),
        ("year: 2029", "year: 1974", "asbestos"),
        ("cable_temperature: 19 C", "cable_temperature: -4 C", "cold-cable"),
        ("lone: no", "lone: yes", "lone"),
        ("lone: no,\n", "\n", "lone"),
        ("resin: none", "resin: polyurethane", "resin"),
        ("opens_existing_cable: no", "opens_existing_cable: yes", "identify-cut"),
    ] {
        let now = with(from, to);
        assert!(now.contains(hazard) && !base.contains(hazard), "{to}: {now:?}");
    }
    let gone = with("generator: changeover locked", "generator: none");
    assert!(gone.contains("backfeed"), "low voltage still feeds back");
    let us = pack_of(p4.replace("jurisdiction: uk", "jurisdiction: us")).0;
    assert!(us.hazards.iter().all(|h| !h.leans_on.contains("HSE")), "only the job's own jurisdiction");
    let unknown = pack_of(p4.replace("lone: no,\n", "\n")).0;
    let lone = unknown.hazards.iter().find(|h| h.id == "lone").expect("not hidden");
    assert!(lone.fact.starts_with("Not answered: lone work"), "{}", lone.fact);
}

/// The point of the boots holds the work only where the clearance relies on them.
#[test]
fn a_letter_follows_the_job() {
    let letter = |text: String| {
        points(&pack_of(text).0).iter().find(|p| p.id == "boots-fitted").map(|p| p.letter.clone())
    };
    assert_eq!(letter(job_text("D-2201-P4")).as_deref(), Some("H"));
    assert_eq!(letter(job_text("K-0417-P1")), None, "no boots, no point");
    let roomy = job_text("D-2201-P4")
        .replace("stud_pitch: 150 mm", "stud_pitch: 300 mm")
        .replace("stud_to_wall: 110 mm", "stud_to_wall: 300 mm")
        .replace("stud_to_cover: 140 mm", "stud_to_cover: 300 mm")
        .replace("stud_to_back: 160 mm", "stud_to_back: 300 mm");
    assert_eq!(letter(roomy).as_deref(), Some("C"));
}

/// Steps are short enough to be read with one hand on the core.
#[test]
fn steps_are_short() {
    for (job, pack) in packs() {
        let mut words = Vec::new();
        for step in pack.method.runs.iter().flat_map(|r| &r.steps) {
            let text: String = step
                .text
                .iter()
                .map(|s| match s {
                    Segment::Words(t) | Segment::Figure(t) | Segment::Cut(t) | Segment::Blank(t) => {
                        t.as_str()
                    }
                })
                .collect();
            let count = text.split_whitespace().count();
            assert!(count <= 48, "{job}: {} has {count} words", step.id);
            words.push(count);
        }
        words.sort_unstable();
        assert!(
            words[words.len() / 2] <= 32,
            "{job}: half the steps are longer than {}",
            words[words.len() / 2]
        );
    }
}

/// The strip is true to the chain, and its tiles fit the sheet.
#[test]
fn the_gauge_strip_is_at_full_size() {
    let (pack, _) = pack_of(job_text("D-2201-P4"));
    assert_eq!(pack.gauge.pieces.len(), 3);
    assert!(pack.gauge.notes[0].contains("only before the final clean"));
    let mut marks = BTreeSet::new();
    for piece in &pack.gauge.pieces {
        crate::pack::on_its_own_ground(piece);
        assert!(piece.width_mm <= 178.0 && piece.height_mm <= 240.0 && piece.scale == "1 : 1");
        let bar = piece.shapes.iter().any(|s| match s {
            Shape::Line { x1, y1, x2, y2, .. } => x1 == x2 && (y2 - y1 - 100.0).abs() < 1e-9,
            _ => false,
        });
        assert!(bar, "{}: no 100 mm bar", piece.id);
        for shape in &piece.shapes {
            if let Shape::Text { s, y, .. } = shape {
                assert!((0.0..=piece.height_mm).contains(y), "{}: {s}", piece.id);
                marks.extend(s.strip_suffix(" mm").filter(|n| n.parse::<u32>().is_ok()).map(String::from));
            }
        }
    }
    let expected = ["75", "165", "345", "365", "385", "435"];
    assert_eq!(marks, expected.map(String::from).into());
}

/// A wrong stop is a fault of ours, with file and line.
#[test]
fn stops_are_checked() {
    let fault = |from: &str, to: &str| {
        let files = crate::pack::procedure_files(&|name, text| {
            if name.ends_with("term-box-3c-hs.yaml") {
                assert!(text.contains(from), "{from}");
                text.replacen(from, to, 1)
            } else {
                text
            }
        });
        let fault = Procedures::read(files).map(|_| ()).expect_err(to);
        assert!(fault.line >= 1);
        fault.to_string()
    };
    assert!(fault("[outer-sealed, test", "[test").contains("nobody would"));
    let late = fault(
        "points: [tube]\n\n  - stop: test\n    except: untested\n    points: [outer-sealed, ",
        "points: [tube, outer-sealed]\n\n  - stop: test\n    except: untested\n    points: [",
    );
    assert!(late.contains("comes after this stop is released"), "{late}");
    assert!(fault("points: [tube]", "points: [tube, lug]").contains("already"));
    assert!(
        fault("run: {from: HT01, to: HT04}", "run: {from: HT01, to: HT02}").contains("leaves a hold outside")
    );
    let run = fault("    run: {from: Z02, to: Z09}\n", "");
    assert!(run.contains("need an attended run") && run.contains("term-box-3c-hs.yaml line"), "{run}");
    assert!(fault("points: [tube]", "points: []").contains("without a hold"));
    assert!(fault("[phase-identity, trial-fit]", "[phase-identity, trial-fat]").contains("trial-fat"));
}

/// The kit's longest time from the last wipe is a limit where its sheet was keyed with it;
/// else a blank to copy it from the sheet.
#[test]
fn the_wipe_has_its_limit_or_a_blank() {
    let reading = |job: &str| {
        let pack = pack_of(job_text(job)).0;
        let point = pack.form.points.into_iter().find(|p| p.id == "clean_before_cover").expect("the point");
        point.readings.into_iter().find(|r| r.id == "minutes").expect("the minutes")
    };
    let keyed = reading("D-2201-P4");
    assert_eq!((keyed.limits.as_str(), keyed.limit.most), ("at most 15 min", Some(15.0)));
    assert!(!keyed.title.contains('_'), "{}", keyed.title);
    let blank = reading("K-0417-P1");
    assert_eq!((blank.limits.as_str(), blank.limit.most), ("kit sheet's figure", None));
    assert!(blank.title.ends_with("; kit's most _____"), "{}", blank.title);
}
