//! The command that decides of an end as it was found: its exit codes and formats, what
//! it refuses, and the job it begins of the new end.

use crate::decide::{DEMO, found_text};
use crate::support::{job_text, library, root};
use cutback::inspection::Decision;
use cutback::job;
use std::process::{Command, Output};

pub fn cutback(args: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_cutback")).current_dir(root()).args(args).output().expect("a run")
}

#[test]
fn exit_codes_and_formats() {
    for (found, job, decision, _) in DEMO {
        let (job, found) = (format!("jobs/demo/{job}.yaml"), format!("jobs/demo/found/{found}.yaml"));
        let run = cutback(&["decide", &job, &found, "--format", "json"]);
        let kept = matches!(decision, Decision::Keep | Decision::KeepAndWatch);
        assert_eq!(run.status.code(), Some(i32::from(!kept)), "{found}");
        let line: serde_json::Value = serde_json::from_slice(&run.stdout).expect("JSON");
        assert_eq!(line["format"], "cutback-decision-1");
        assert_eq!(line["decision"], serde_json::json!(decision));
        assert_eq!(line["new_end"].is_null(), kept, "{found}");
        assert_eq!(line["remedies"].is_null(), *decision != Decision::Redesign, "{found}");
        for finding in line["findings"].as_array().expect("a list") {
            assert!(finding["places"][0]["line"].as_u64().is_some_and(|l| l > 1), "{finding}");
        }
    }
}

/// Several at once, each with line and what would help; figures of another end and
/// a job that is no inspection decide nothing.
#[test]
fn what_can_not_be_read_decides_nothing() {
    let dir = tempfile::tempdir().expect("a folder");
    let file = dir.path().join("found.yaml");
    let text = found_text("sound")
        .replacen("upper_step: 161 mm", "uper_step: 161 mm", 1)
        .replacen("edge: 250 mm", "edge: 2500 mm", 1)
        .replacen("can_be_dressed: no", "can_be_dressed: maybe", 1);
    std::fs::write(&file, text).expect("written");
    let run = cutback(&["decide", "jobs/demo/I-0512-P1.yaml", &file.display().to_string()]);
    let said = String::from_utf8_lossy(&run.stdout).to_string();
    assert_eq!(run.status.code(), Some(1));
    for part in [
        "Did you mean `upper_step`?",
        "believed: 40 mm to 1500 mm",
        "neither yes nor no",
        "Nothing was decided",
    ] {
        assert!(said.contains(part), "{part}:\n{said}");
    }
    let run = cutback(&["decide", "jobs/demo/I-0518-P1.yaml", "jobs/demo/found/sound.yaml"]);
    let said = String::from_utf8_lossy(&run.stdout).to_string();
    assert!(said.contains("`found.job` is I-0512, the job's `job.number` is I-0518"), "{said}");
    assert_eq!(run.status.code(), Some(1));
    let run = cutback(&["decide", "jobs/demo/K-0417-P1.yaml", "jobs/demo/found/sound.yaml"]);
    assert!(String::from_utf8_lossy(&run.stderr).contains("no inspection"));
    assert_eq!(run.status.code(), Some(1));
    assert_eq!(
        cutback(&["decide", "jobs/demo/none.yaml", "jobs/demo/found/sound.yaml"]).status.code(),
        Some(2)
    );
}

/// The job of the new end reads, keeps the comments, leaves open what nobody can
/// know yet, and is never written over a file.
#[test]
fn a_new_end_has_a_job_begun() {
    let dir = tempfile::tempdir().expect("a folder");
    for (found, job, decision, _) in DEMO.iter().filter(|d| d.2 >= Decision::Remake) {
        let file = dir.path().join(format!("{found}.yaml"));
        let target = file.display().to_string();
        let (job_file, found_file) =
            (format!("jobs/demo/{job}.yaml"), format!("jobs/demo/found/{found}.yaml"));
        let args = ["decide", job_file.as_str(), found_file.as_str(), "--write", target.as_str()];
        assert_eq!(cutback(&args).status.code(), Some(1), "{found}");
        let text = std::fs::read_to_string(&file).expect("written");
        let loaded = job::load("remake.yaml", text.clone(), &library());
        assert_eq!(loaded.findings, [], "{found}");
        let new = loaded.job.expect("a job");
        assert_eq!(
            new.text("job.work_type").as_deref(),
            Some(if *found == "tracking" { "term-outdoor" } else { "term-box-3c-hs" }),
            "{found}"
        );
        assert_eq!(new.text("work.removes_old_accessory").as_deref(), Some("yes"));
        assert!(new.get("work.identification").is_none() && new.get("job.planned").is_none());
        let kit = new.text("kit");
        match *found {
            "tube-short" => assert_eq!(kit, None, "a kit is to be named"),
            "mastic" => assert_eq!(kit.as_deref(), Some("ZH12-3I-150")),
            "tracking" => assert_eq!(kit.as_deref(), Some("ZQ12-3O-S5")),
            _ => assert_eq!(new.text("layout.crutch").as_deref(), Some("outside")),
        }
        // Lost with the cut, less what stands in the lug.
        let lost = match *found {
            "tube-short" => "820 mm",
            "mastic" => "660 mm",
            "tracking" => "1150 mm",
            _ => "655 mm",
        };
        assert_eq!(new.text("work.piece_removed").as_deref(), Some(lost), "{found}");
        // Every comment of the inspection's file stays, and nothing passes unasked.
        let comments = job_text(job);
        let comment = comments
            .lines()
            .find(|l| l.starts_with("# An old end") || l.starts_with("# Old ends"))
            .expect("a comment");
        assert!(text.contains(comment), "{found}");
        let judged = crate::support::judge_edited(text);
        assert!(judged.report().open() > 0);
        let open = crate::support::findings(&judged);
        assert!(open.contains(&"W05 identification blocks".to_string()), "{found}: {open:?}");
        // A file that is there is left alone.
        std::fs::write(&file, "mine").expect("written");
        assert_eq!(cutback(&args).status.code(), Some(2), "{found} {decision:?}");
        assert_eq!(std::fs::read_to_string(&file).expect("there"), "mine");
    }
    let target = dir.path().join("kept.yaml").display().to_string();
    let kept = ["decide", "jobs/demo/I-0512-P1.yaml", "jobs/demo/found/sound.yaml", "--write", &target];
    assert_eq!(cutback(&kept).status.code(), Some(1));
    assert!(!dir.path().join("kept.yaml").exists());
}
