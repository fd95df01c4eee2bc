//! The computed reasons at the points: this job's figures, the model's own
//! printing rule, and the facts as `explain` shows them for a job.

use crate::issuing::pack_of;
use crate::support::{job_text, root};
use cutback::facts;
use cutback::procedure::Pack;
use std::process::Command;

fn reason(pack: &Pack, id: &str) -> String {
    let points = pack.release.stops.iter().flat_map(|s| &s.points);
    assert!(points.clone().count() > 10);
    let steps = pack.method.runs.iter().flat_map(|r| &r.steps);
    let own = steps.clone().filter_map(|s| s.control.as_ref());
    let stopped = steps.filter_map(|s| s.stop.as_ref()).flat_map(|s| s.points.iter().map(|p| &p.banner));
    let found = own.chain(stopped).find(|b| b.id == id).unwrap_or_else(|| panic!("no point `{id}`"));
    found.reason.clone()
}

fn edited(edits: &[(&str, &str)]) -> Pack {
    let mut text = job_text("K-0417-P1");
    for (from, to) in edits {
        assert!(text.contains(from), "{from}");
        text = text.replacen(from, to, 1);
    }
    pack_of(text).0
}

/// The air left at the edge: figures where the model lets them print, one phase
/// earthed said where only that brings them up, nothing where it gives none.
#[test]
fn air_at_the_edge_prints_by_its_rule() {
    let (pack, _) = pack_of(job_text("D-2201-P4"));
    let text = reason(&pack, "filler");
    assert!(text.contains("0.7 mm can discharge from about 12 kV"), "{text}");
    assert!(text.contains("in service") && text.contains("12.0 kV"), "{text}");

    let thin = edited(&[("dia_over_core_screen: 23.4 mm", "dia_over_core_screen: 22.6 mm")]);
    let text = reason(&thin, "filler");
    assert!(text.contains("can discharge from about 8.4 kV"), "{text}");
    assert!(text.contains("while another phase is earthed") && text.contains("11.0 kV"), "{text}");

    // A step no thicker than the model holds for: no figure, and no reassurance.
    let thinner = edited(&[("dia_over_core_screen: 23.4 mm", "dia_over_core_screen: 22.3 mm")]);
    assert_eq!(reason(&thinner, "filler"), "");
    let row = thinner.basis.iter().find(|b| b.name == "air_inception").expect("a row of the basis");
    assert!(row.value.starts_with("no figure: "), "{}", row.value);
}

/// Where the model says nothing is printed, the basis is no way round it; what
/// only explains is on no paper, and `explain` shows it for this job.
#[test]
fn what_only_explains_is_on_no_paper() {
    let low = edited(&[("nominal: 11 kV, highest: 12 kV", "nominal: 3.3 kV, highest: 3.6 kV")]);
    assert_eq!(reason(&low, "filler"), "");
    assert!(low.basis.iter().all(|b| !b.name.starts_with("air_")));
    for job in ["D-2201-P4", "K-0417-P1"] {
        let (pack, _) = pack_of(job_text(job));
        assert!(pack.basis.iter().all(|b| !b.name.starts_with("tube_decay") && b.name != "tube_reach"));
        assert!(pack.basis.iter().any(|b| b.name == "air_inception"));
    }
    let explained = |fact: &str, job: &str| {
        let out = Command::new(env!("CARGO_BIN_EXE_cutback"))
            .current_dir(root())
            .args(["explain", fact, job])
            .output()
            .expect("a run");
        String::from_utf8(out.stdout).expect("text")
    };
    let text = explained("tube_reach", "jobs/demo/D-2201-P4.yaml");
    assert!(text.contains("in this job: about 57 mm") && text.contains("is on no"), "{text}");
    // A moulded body has no tube to run along.
    let moulded = explained("tube_decay_length", "jobs/demo/D-2201-P3.yaml");
    assert!(moulded.contains("none: the stress control is moulded"), "{moulded}");
}

#[test]
fn no_reason_promises_or_soothes() {
    for job in ["D-2201-P4", "K-0417-P1"] {
        let (pack, _) = pack_of(job_text(job));
        let mut seen = 0;
        for id in
            ["trial-fit", "screens-joined", "semicon-edge", "filler", "tube", "discharged", "final-gaps"]
        {
            let text = reason(&pack, id);
            assert!(!text.is_empty(), "{job} {id}");
            let sentences = text.matches(". ").count() + 1;
            assert!(sentences <= 2 && text.ends_with(['.', ')']), "{job} {id}: {text}");
            for word in [" will ", "safe", "not answered", "{{"] {
                assert!(!text.contains(word), "{job} {id}: {text}");
            }
            seen += usize::from(text.contains(|c: char| c.is_ascii_digit()));
        }
        assert_eq!(seen, 7, "{job}: each carries a figure of the job");
    }
}

#[test]
fn explain_shows_a_fact_with_the_figures_of_a_job() {
    let run = |what: &str| {
        let out = Command::new(env!("CARGO_BIN_EXE_cutback"))
            .current_dir(root())
            .args(["explain", what, "jobs/demo/D-2201-P4.yaml"])
            .output()
            .expect("a run");
        assert_eq!(out.status.code(), Some(0));
        String::from_utf8(out.stdout).expect("text")
    };
    let text = run("stored_energy");
    let flat = text.split_whitespace().collect::<Vec<_>>().join(" ");
    for part in ["in this job: about 420 J", "C V peak^2 / 2", "1200 m", "36.0 kV rms", "source: computed"] {
        assert!(flat.contains(part), "{part}: {text}");
    }
    assert!(text.lines().all(|l| l.chars().count() <= 80), "{text}");
    let none = run("standing_voltage");
    assert!(none.contains("none: not answered:"), "{none}");
}

/// Every computed fact of the demonstration has its row in the basis, with
/// formula and mark; where a model gives no figure the row says why. What only
/// explains has none.
#[test]
fn the_basis_carries_every_fact() {
    let judged = crate::support::judge("D-2201-P4");
    let (_, sheet, _) = judged.judged.as_ref().expect("judged");
    let (pack, _) = pack_of(job_text("D-2201-P4"));
    let mut rows = 0;
    for fact in sheet.iter().filter(|f| f.def.is_some()) {
        let row = pack.basis.iter().find(|b| b.name == fact.name);
        if matches!(fact.value, Err(facts::Gap::Missing(_))) || !facts::may_be_printed(sheet, &fact.name) {
            continue;
        }
        let row = row.unwrap_or_else(|| panic!("no row for {}", fact.name));
        assert!(!row.formula.is_empty() && !row.mark.is_empty(), "{}", fact.name);
        rows += 1;
    }
    assert!(rows > 150, "{rows}");
}
