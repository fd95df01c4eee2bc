//! Every rule's proofs: one edit of a sound job, and what changes.

use crate::support::{BOOK, PRESS, findings, job_path, job_text, judge_with, library};
use cutback::cli::{Judged, judge_text};
use cutback::facts::Sheet;
use cutback::finding::State;
use cutback::rules::{Edit, RuleBook};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::LazyLock;

/// Sound jobs with the findings they carry, accepted or advice.
const SOUND: &[(&str, &[&str])] = &[
    (
        "D-2201-P4",
        &["B04 live asks accepted", "D02 cover asks accepted", "T01 palms advises", "W06 flame advises"],
    ),
    ("K-0417-P1", &[]),
    ("K-0417-P2", &["B02 gap asks accepted", "B05 bend asks accepted"]),
    ("K-0417-P4", &[]),
    ("K-0417-P3", &["D02 screening asks accepted", "D04 length asks accepted"]),
];

fn sound_judged(name: &str) -> Judged {
    judge_text(&format!("{name}.yaml"), job_text(name), &library(), &BOOK, &PRESS)
}

/// What each proof's edit comes to, once for all tests: by code and place among
/// the rule's proofs.
pub static PROVED: LazyLock<BTreeMap<(String, usize), Judged>> = LazyLock::new(|| {
    let runs = BOOK.entries.iter().flat_map(|entry| {
        let one = |(i, p): (usize, &cutback::rules::Proof)| {
            ((entry.code.clone(), i), edited(&p.job, p.edits().next().expect("an edit")))
        };
        entry.proofs.iter().enumerate().map(one)
    });
    runs.collect()
});

fn edited(name: &str, edit: &Edit) -> Judged {
    judge_with(name, &edit.set, edit.to.as_deref().unwrap_or(""))
}

fn difference(from: &[String], to: &[String]) -> Vec<String> {
    let mut left: Vec<String> = from.to_vec();
    for one in to {
        if let Some(i) = left.iter().position(|l| l == one) {
            left.remove(i);
        }
    }
    left
}

#[test]
fn sound_jobs_leave_nothing_open() {
    for (name, carried) in SOUND {
        let judged = sound_judged(name);
        assert_eq!(judged.report().open(), 0, "{name}: {:?}", findings(&judged));
        assert_eq!(findings(&judged), carried.iter().map(|s| (*s).to_string()).collect::<Vec<_>>(), "{name}");
        assert!(job_path(name).is_file());
    }
}

#[test]
fn every_proof_holds() {
    let mut wrong = Vec::new();
    let mut sound: BTreeMap<&str, Vec<String>> = BTreeMap::new();
    for entry in &BOOK.entries {
        for (i, proof) in entry.proofs.iter().enumerate() {
            let before = sound.entry(&proof.job).or_insert_with(|| findings(&sound_judged(&proof.job)));
            let after = findings(&PROVED[&(entry.code.clone(), i)]);
            let mut new: Vec<String> = proof.new.iter().map(|e| e.finding.clone()).collect();
            let mut gone: Vec<String> = proof.gone.iter().map(|e| e.finding.clone()).collect();
            new.sort();
            gone.sort();
            let (really_new, really_gone) = (difference(&after, before), difference(before, &after));
            if really_new != new || really_gone != gone {
                wrong.push(format!(
                    "{} on {}, {:?} to {:?}:\n  new  {really_new:?}\n  said {new:?}\n  gone {really_gone:?}\n  said {gone:?}",
                    entry.code, proof.job, proof.edit.as_ref().map(|e| &e.set), proof.edit.as_ref().map(|e| &e.to)
                ));
            }
            for expected in proof.new.iter().chain(&proof.gone) {
                let own = expected.finding.starts_with(&entry.code);
                if !own && expected.because.as_deref().is_none_or(|b| b.trim().len() < 10) {
                    wrong.push(format!(
                        "{}: `{}` goes with it without a reason",
                        entry.code, expected.finding
                    ));
                }
            }
            if !proof.new.iter().any(|e| e.finding.starts_with(&entry.code)) {
                wrong.push(format!(
                    "{}: the proof by {:?} does not prove it",
                    entry.code,
                    proof.edit.as_ref().map(|e| &e.set)
                ));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// One proof a grade and branch: every rung of every check is reached.
#[test]
fn every_rung_is_proved() {
    let mut reached: BTreeSet<(String, String, String)> = BTreeSet::new();
    let sound: Vec<Judged> = SOUND.iter().map(|(name, _)| sound_judged(name)).collect();
    for judged in sound.iter().chain(PROVED.values()) {
        let Some((_, _, judgement)) = &judged.judged else { continue };
        for f in &judgement.findings {
            if let Some(entry) = BOOK.entry(&f.code) {
                let check = entry.checks.iter().find(|c| c.id == f.check).expect("a check of the rule");
                // The rung is told by its remedy, which has no figures.
                let rung = check
                    .ladder
                    .iter()
                    .position(|r| r.grade == f.grade && r.remedy == f.remedy)
                    .expect("a rung");
                reached.insert((f.code.clone(), f.check.clone(), rung.to_string()));
            }
        }
    }
    let mut missing = Vec::new();
    for entry in &BOOK.entries {
        for check in &entry.checks {
            for (i, rung) in check.ladder.iter().enumerate() {
                if !reached.contains(&(entry.code.clone(), check.id.clone(), i.to_string())) {
                    missing.push(format!(
                        "{} {} rung {i} ({:?}): {}",
                        entry.code, check.id, rung.grade, rung.when
                    ));
                }
            }
        }
    }
    assert!(missing.is_empty(), "no proof reaches:\n{}", missing.join("\n"));
}

/// Answers a job may leave out: a stated fallback stands in, or the rules that
/// need them do not apply. Each with the reason.
const OPTIONAL: &[(&str, &str, &str)] = &[
    ("*", "layout.insulation_exposed", "the kit's nominal stands in"),
    ("*", "kit.insulation_exposed.nominal", "the layout's own choice stands before it"),
    ("*", "layout.ring_below_screen_cut", "50 mm, common practice, stands in"),
    ("*", "tolerances.insulation_cut", "2 mm, common practice, stands in"),
    ("*", "tolerances.semicon_edge", "2 mm, common practice, stands in"),
    ("*", "tolerances.box", "3 mm, common practice, stands in"),
    ("*", "cable.min_bend_cable", "a multiple of the diameter stands in"),
    ("T01", "tests.level", "needed where the test follows the table of IEEE 400.2"),
    ("B05", "cable.armour.kind", "needed where the cable states no least radius"),
    ("B05", "cable.cores", "as above"),
    ("*", "tolerances.tube_lower_mark", "3 mm, common practice, stands in"),
    ("*", "kit.sct.over_insulation_least", "the screening figure stands in and the rule says so"),
    ("*", "kit.sct.stated_for_um", "not stated is an answer that the rule refuses where it matters"),
    ("*", "kit.sheet.number", "as above"),
    ("*", "kit.sheet.issue", "as above"),
    ("*", "kit.filler.on_semicon", "not stated is what D03 refuses"),
    ("*", "kit.filler.on_insulation", "as above"),
    ("*", "kit.dia_outer_at_edge", "walls over the core screen stand in"),
    ("*", "kit.wall_over_semicon", "needed only where the diameter at the edge is not stated"),
    ("*", "cable.dia_over_core_screen", "as above"),
    ("*", "kit.outer_tube.wall", "the tube's diameter stands in, never too favourable"),
    ("*", "kit.below_body", "an outer tube is assumed, never too favourable"),
    ("*", "cable.dia_over_insulation", "needed only with a stated outer wall or a bare core"),
    ("*", "cable.min_bend_core_to", "unstated counts as the inside, the stricter"),
    ("*", "layout.trefoil_turn", "nought: the middle core towards the cover"),
    ("*", "layout.lean", "nought: upright"),
    ("*", "layout.crutch_height", "needed with the crutch inside only"),
    ("*", "layout.entry_pitch", "needed with the crutch outside only"),
    ("*", "layout.entry_height", "as above"),
    ("*", "layout.crutch_below_plate", "as above"),
    ("*", "kit.edge_to_crutch_least", "needed with the crutch inside only"),
    ("*", "kit.technique", "needed where the stress control is declared moulded"),
    ("*", "enclosure.type_test_with_boots", "needed where live metal is near"),
    ("*", "boots.code", "as above"),
    ("*", "boots.phase_to_phase", "needed where live metal is near and boots are fitted"),
    ("*", "boots.phase_to_earth", "as above"),
    ("W06", "site.gas_plan", "asked of pits and confined spaces only"),
    ("W07", "site.gas_plan", "as above"),
    ("W07", "kit.code", "asked of an inspection only, and of others by K10"),
    ("W07", "cable.min_bend_core", "in a box B05 asks for it"),
    ("W07", "kit.filler.required", "D03 asks for it"),
    ("W07", "layout.armour", "printed of ends on a pole only"),
    ("W07", "lug.palm", "printed of screened connectors only"),
    ("W07", "site.altitude", "printed of ends looked at on a pole; else other rules ask"),
    ("W07", "system.nominal", "printed of inspections; else other rules ask"),
    ("R03", "people.prepared.date", "its order is asked where it is given; W07 warns without it"),
    ("R03", "people.checked.date", "as above"),
    ("R03", "people.approved.date", "as above"),
    ("R03", "job.date", "given with `issue` or asked by it"),
    ("R03", "job.planned", "held against the pack where it is given; R01 asks for it"),
    ("R03", "job.replaces", "W07 warns without it"),
    ("W07", "tests.note", "printed where no test is planned"),
    ("P04", "tools.torque_range", "may stand in the wrench's name; else it is advised of"),
    ("P04", "tools.torque_wrench", "as above, and W07 asks for it"),
    ("R01", "tests.planned", "asked only where the crew names no test engineer"),
    ("R01", "documents.before_work_test", "as above"),
    ("E01", "cable.armour.area", "needed where the armour counts"),
    ("E01", "cable.armour.final_temperature", "as above"),
];

/// The check that warns of answers that only cautions print, and holds up nothing.
const WARNS: &str = "unsaid";

/// No rule passes in silence: take any answer it rests on away, and it says so.
#[test]
fn a_missing_answer_never_passes() {
    let optional: BTreeSet<(&str, &str)> = OPTIONAL.iter().map(|(rule, fact, _)| (*rule, *fact)).collect();
    assert!(OPTIONAL.iter().all(|(_, _, why)| why.len() > 6));
    let mut wrong = Vec::new();
    let mut tried = 0;
    for (name, _) in SOUND {
        let judged = sound_judged(name);
        let (job, sheet, judgement) = judged.judged.as_ref().expect("a sound job");
        // Many rules rest on one answer: each is taken away once.
        let mut without: BTreeMap<String, Judged> = BTreeMap::new();
        for entry in BOOK.entries.iter().filter(|e| judgement.judged.contains(&e.code)) {
            for given in roots(&BOOK, entry.code.as_str(), sheet) {
                if job.get(&given).is_none() || sheet.get(&given).is_none() {
                    continue;
                }
                tried += 1;
                let after = without
                    .entry(given.clone())
                    .or_insert_with(|| edited(name, &Edit { set: given.clone(), to: None }));
                let said = match &after.judged {
                    None => true,
                    Some((_, _, j)) => {
                        j.not_judged.iter().any(|n| n.code == entry.code)
                            || j.findings
                                .iter()
                                .any(|f| f.code == entry.code && (f.state == State::Open || f.check == WARNS))
                    }
                };
                let excused =
                    ["*", entry.code.as_str()].iter().any(|r| optional.contains(&(*r, given.as_str())));
                if !said && !excused {
                    wrong.push(format!("{name}: {} passes without {given}", entry.code));
                }
            }
        }
    }
    assert!(tried > 150, "only {tried} answers were taken away");
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// Given facts that the conditions of a rule's checks rest on, through computed
/// ones, for the checks that have something to judge on this sheet.
fn roots(book: &RuleBook, code: &str, sheet: &Sheet) -> BTreeSet<String> {
    let declared = cutback::facts::declared();
    let mut open: Vec<String> = book
        .facts_by_check(code)
        .into_iter()
        .filter(|(check, _)| book.applies(code, check, sheet))
        .map(|(_, fact)| fact)
        .collect();
    let mut seen = BTreeSet::new();
    let mut out = BTreeSet::new();
    while let Some(name) = open.pop() {
        if !seen.insert(name.clone()) {
            continue;
        }
        match declared.get(&name) {
            Some(d) if d.formula.is_some() => open.extend(d.inputs.iter().map(|i| (*i).to_string())),
            _ => {
                out.insert(name);
            }
        }
    }
    out
}

/// Whatever one fact a rule's conditions read directly: without it, "not judged".
#[test]
fn every_fact_of_a_condition_is_needed() {
    let mut wrong = Vec::new();
    for (name, _) in SOUND {
        let judged = sound_judged(name);
        let (job, sheet, _) = judged.judged.as_ref().expect("a sound job");
        for entry in &BOOK.entries {
            for (check, fact) in BOOK.facts_by_check(&entry.code) {
                if sheet.get(&fact).is_none_or(|f| f.value.is_err()) {
                    continue;
                }
                let judgement = BOOK.judge(&sheet.without(&fact), job, &judged.sources);
                let applied = BOOK.applies(&entry.code, &check, sheet);
                let said = judgement.not_judged.iter().any(|n| n.code == entry.code && n.check == check);
                if applied && !said {
                    wrong.push(format!("{name}: {} {check} is silent without {fact}", entry.code));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn every_rule_has_a_code_of_its_own_a_basis_and_a_remedy() {
    let mut codes: Vec<&str> = BOOK
        .entries
        .iter()
        .map(|e| e.code.as_str())
        .chain(BOOK.coming.iter().map(|c| c.code.as_str()))
        .collect();
    codes.sort_unstable();
    let count = codes.len();
    codes.dedup();
    assert_eq!(codes.len(), count, "a code stands twice");
    for entry in &BOOK.entries {
        for check in &entry.checks {
            assert!(!check.basis.is_empty() && !check.figures.is_empty(), "{} {}", entry.code, check.id);
            for rung in &check.ladder {
                assert!(!rung.remedy.contains("{{"), "{} {}: a remedy has a figure", entry.code, check.id);
                assert!(rung.remedy.len() > 10 && rung.message.len() > 10);
            }
        }
    }
}

/// What blocks by a figure lies on the wrong side of its limit, and the margin says so in a
/// unit of theirs.
#[test]
fn a_margin_has_the_sign_and_the_unit_of_its_figures() {
    let mut seen = BTreeSet::new();
    for judged in PROVED.values() {
        let Some((_, sheet, judgement)) = &judged.judged else { continue };
        for f in &judgement.findings {
            let Some(check) = BOOK.entry(&f.code).and_then(|e| e.checks.iter().find(|c| c.id == f.check))
            else {
                continue;
            };
            let (Some(margin), Some(actual), Some(limit)) = (&f.margin, &check.actual, &check.limit) else {
                continue;
            };
            let what = format!("{} {}: {margin}", f.code, f.check);
            let (number, unit) = margin.split_once(' ').expect("a unit");
            let texts = [sheet.text(actual), sheet.text(limit)];
            assert!(texts.iter().any(|t| t.split(' ').any(|word| word == unit)), "{what} of {texts:?}");
            let wrong = f.grade == cutback::finding::Grade::Blocks && number.starts_with('+');
            assert!(!wrong, "{what}: it blocks, {texts:?}");
            seen.insert(format!("{} {}", f.code, f.check));
        }
    }
    assert!(seen.len() > 30, "{seen:?}");
}

#[test]
fn margins_in_volts_and_across_units() {
    for (job, key, to, check, margin) in [
        ("D-3314-P1", "bonding.standing_most", "10 V", "standing", None),
        ("D-3316-P1", "bay.length", "2 m", "bay", Some(" mm")),
        ("K-0417-P1", "tests.lowest_rating", "12 kV rms", "connected", Some("-7.1 kV")),
        ("D-3316-P1", "system.nominal", "40 kV", "pair", Some("-4 kV")),
        ("D-1106-P2", "arresters.lead_total", "1.25 m", "arrester", Some("-250 mm")),
    ] {
        let judged = judge_with(job, key, to);
        let (_, sheet, judgement) = judged.judged.as_ref().expect("judged");
        let found = judgement.findings.iter().find(|f| f.check == check).expect("a finding");
        let said = found.margin.as_deref().expect("a margin");
        match margin {
            Some(margin) => assert!(said.ends_with(margin) && said.starts_with('-'), "{check}: {said}"),
            None => {
                let more = sheet.number("standing_voltage").expect("a voltage") * 1000.0 - 10.0;
                assert_eq!(said, format!("-{more:.1} V"));
            }
        }
    }
}
