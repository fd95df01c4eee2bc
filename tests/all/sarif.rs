//! SARIF: valid by the published schema, the same findings as the text, no
//! machine in it.

use crate::json_schema::Schema;
use crate::support::{findings, job_text, job_with, judge, root};
use crate::verified::site;
use serde_json::Value;
use std::path::Path;
use std::process::Command;

/// Exit code and log of `check --format sarif`, which must be valid.
fn check(folder: &Path, args: &[&str]) -> (i32, Value, String) {
    let out = Command::new(env!("CARGO_BIN_EXE_cutback"))
        .current_dir(folder)
        .args(["check", "--format", "sarif"])
        .args(args)
        .output()
        .expect("a run");
    let text = String::from_utf8(out.stdout).expect("UTF-8");
    (out.status.code().expect("a code"), valid(&text), text)
}

/// The log in a text, which must be valid by the published schema.
fn valid(text: &str) -> Value {
    let log: Value = serde_json::from_str(text).expect("JSON");
    let published = std::fs::read_to_string(root().join("tests/schemas/sarif-2.1.0.json")).expect("a schema");
    let schema = Schema::new(serde_json::from_str(&published).expect("JSON"));
    assert_eq!(schema.errors(&log), Vec::<String>::new());
    log
}

fn results(log: &Value) -> &[Value] {
    log["runs"][0]["results"].as_array().expect("results")
}

#[test]
fn the_demo_jobs_as_one_log() {
    let (code, log, text) = check(&root(), &["jobs/demo"]);
    assert_eq!(code, 1);
    let run = &log["runs"][0];
    assert_eq!(run["invocations"][0]["executionSuccessful"], true);
    assert_eq!(run["invocations"][0]["exitCode"], 1);
    // As many results a job and level as findings.
    let count = |job: &str, level: &str| {
        let home = format!("jobs/demo/{job}.yaml|");
        results(&log)
            .iter()
            .filter(|r| r["level"] == level)
            .filter(|r| {
                r["partialFingerprints"]["rulePlace/v1"].as_str().is_some_and(|f| f.starts_with(&home))
            })
            .count()
    };
    for job in ["D-2201-P1", "D-2201-P2", "D-2201-P3", "D-2201-P4", "K-0417-P1"] {
        let judged = findings(&judge(job));
        for (level, word) in [("error", " blocks"), ("warning", " asks"), ("note", " advises")] {
            let expected = judged.iter().filter(|f| f.contains(word)).count();
            assert_eq!(count(job, level), expected, "{job} {level}; does another job name its circuit?");
        }
    }
    // The value itself, in characters from 1, the end behind it.
    let of_p1 = |r: &&Value| {
        r["locations"][0]["physicalLocation"]["artifactLocation"]["uri"] == "jobs/demo/D-2201-P1.yaml"
    };
    let first = results(&log).iter().find(of_p1).expect("a result of the first plan");
    assert_eq!(first["ruleId"], "B02");
    let place = &first["locations"][0]["physicalLocation"];
    assert_eq!(place["artifactLocation"]["uri"], "jobs/demo/D-2201-P1.yaml");
    let job = job_text("D-2201-P1");
    let line = job.lines().position(|l| l == "  gland_to_stud: 520 mm").expect("the line") + 1;
    assert_eq!(
        place["region"],
        serde_json::json!({"startLine": line, "startColumn": 18, "endLine": line, "endColumn": 24})
    );
    assert_eq!(
        first["locations"][0]["logicalLocations"][0]["fullyQualifiedName"],
        "/enclosure/gland_to_stud"
    );
    assert!(first["message"]["text"].as_str().expect("a text").contains("9.1 mm"));
    assert_eq!(first["properties"]["figures"]["phase_gap_bound"], "9.1 mm");
    // Figures of the library point into its files, which are there.
    for artifact in run["artifacts"].as_array().expect("artifacts") {
        let uri = artifact["location"]["uri"].as_str().expect("an address");
        assert!(root().join(uri).is_file(), "{uri}");
    }
    assert!(text.contains("jobs/library/kits/ZQ24-3I-240.yaml"));
    // Rules by their index.
    for result in results(&log) {
        let index = result["ruleIndex"].as_u64().expect("an index") as usize;
        let rule = &run["tool"]["driver"]["rules"][index];
        assert_eq!(rule["id"], result["ruleId"]);
        assert!(rule["fullDescription"]["text"].as_str().is_some_and(|t| t.len() > 20));
    }
}

/// The way out stands at the findings it answers, as lines that a reader can take.
#[test]
fn a_way_out_is_a_proposed_fix() {
    let (code, log, _) = check(&root(), &["--remedies", "jobs/demo/D-2201-P1.yaml"]);
    assert_eq!(code, 1);
    let with_fix: Vec<&str> = results(&log)
        .iter()
        .filter(|r| r["fixes"].is_array())
        .map(|r| r["ruleId"].as_str().expect("a rule"))
        .collect();
    assert_eq!(with_fix, ["B02", "B05"]);
    let fix = &results(&log)[0]["fixes"][0];
    assert!(fix["description"]["text"].as_str().is_some_and(|t| t.contains("three single entries")));
    let change = &fix["artifactChanges"][0];
    assert_eq!(change["artifactLocation"]["uri"], "jobs/demo/D-2201-P1.yaml");
    // Taken from the last one up they make the job that `--write` writes.
    let mut lines: Vec<String> = job_text("D-2201-P1").split_inclusive('\n').map(String::from).collect();
    for one in change["replacements"].as_array().expect("replacements").iter().rev() {
        let at = |key: &str| one["deletedRegion"][key].as_u64().expect("a number") as usize;
        assert_eq!((at("startColumn"), at("endColumn")), (1, 1), "whole lines");
        let put = one["insertedContent"]["text"].as_str().expect("a text").to_string();
        lines.splice(at("startLine") - 1..at("endLine") - 1, [put]);
    }
    let dir = tempfile::tempdir().expect("a folder");
    let target = dir.path().join("changed.yaml");
    let run = Command::new(env!("CARGO_BIN_EXE_cutback"))
        .current_dir(root())
        .args(["check", "--remedies", "--write"])
        .args([target.to_str().expect("a path"), "jobs/demo/D-2201-P1.yaml"])
        .output()
        .expect("a run");
    assert_eq!(run.status.code(), Some(1));
    assert_eq!(lines.concat(), std::fs::read_to_string(&target).expect("the changed job"));
    let report = &log["runs"][0]["properties"]["jobs"][0]["remedies"];
    assert_eq!(report["outcome"], "way-out");
    assert_eq!(report["binding"]["margin"], "+15 mm");
    // What needs none proposes none.
    let (_, log, _) = check(&root(), &["--remedies", "jobs/demo/D-2201-P4.yaml"]);
    assert!(results(&log).iter().all(|r| r["fixes"].is_null()));
    assert_eq!(log["runs"][0]["properties"]["jobs"][0]["remedies"]["outcome"], "nothing-to-do");
}

#[test]
fn what_is_accepted_is_suppressed_and_says_by_whom() {
    let (code, log, _) = check(&root(), &["jobs/demo/D-2201-P4.yaml"]);
    assert_eq!(code, 0);
    let asked: Vec<&Value> = results(&log).iter().filter(|r| r["level"] == "warning").collect();
    assert_eq!(asked.len(), 2);
    for result in asked {
        let suppression = &result["suppressions"][0];
        assert_eq!(suppression["kind"], "external");
        assert!(suppression["justification"].as_str().is_some_and(|j| j.starts_with("accepted by T. Lorne")));
    }
    let (_, log, _) = check(&root(), &["jobs/demo/D-2201-P3.yaml"]);
    assert!(results(&log).iter().all(|r| r["suppressions"] == serde_json::json!([])));
}

#[test]
fn the_same_jobs_give_the_same_bytes_however_they_are_named() {
    let (_, _, one) = check(&root(), &["jobs/demo"]);
    let (_, _, two) = check(&root(), &[root().join("jobs/demo").to_str().expect("a path")]);
    let (_, _, three) = check(&root(), &["./jobs/../jobs/demo/"]);
    assert!(one == two && one == three, "the log rests on how the folder is named");
    for path in ["/tmp", "/home", "/root", env!("CARGO_MANIFEST_DIR")] {
        assert!(!one.contains(path), "a machine path: {path}");
    }
}

#[test]
fn files_that_are_no_job_are_in_the_log() {
    let dir = tempfile::tempdir().expect("a folder");
    let put = |name: &str, bytes: &[u8]| std::fs::write(dir.path().join(name), bytes).expect("written");
    put("a b ä.yaml", job_with("D-2201-P4", "/system/nominal", "20").as_bytes());
    put("broken.yaml", b"job: [1, 2\n");
    put("empty.yaml", b"");
    put("latin.yaml", b"job: \xe4\n");
    put("link.yaml", "job: {number: \"[a](b) {0}\"}\n".as_bytes());
    put("open.yaml", job_with("D-2201-P4", "/system/highest", "").as_bytes());
    let library = root().join("jobs/library");
    let (code, log, text) = check(dir.path(), &["--library", library.to_str().expect("a path"), "."]);
    assert_eq!(code, 1);
    let run = &log["runs"][0];
    assert_eq!(run["invocations"][0]["executionSuccessful"], true);
    let note = &run["invocations"][0]["toolExecutionNotifications"][0];
    assert_eq!(note["locations"][0]["physicalLocation"]["artifactLocation"]["uri"], "latin.yaml");
    assert!(note["message"]["text"].as_str().is_some_and(|t| t.contains("not UTF-8")));
    let of = |uri: &str| -> Vec<&Value> {
        let named = |r: &&Value| r["locations"][0]["physicalLocation"]["artifactLocation"]["uri"] == uri;
        results(&log).iter().filter(named).collect()
    };
    assert_eq!(of("a%20b%20%C3%A4.yaml")[0]["ruleId"], "Y03");
    assert_eq!(of("broken.yaml")[0]["ruleId"], "Y01");
    assert_eq!(of("empty.yaml")[0]["ruleId"], "Y01");
    // Brackets and braces of a job are no links and no placeholders.
    let number = of("link.yaml").into_iter().find(|r| r["ruleId"] == "Y03").expect("a finding");
    let message = number["message"]["text"].as_str().expect("a text");
    assert!(
        message.starts_with(r"`\[a\](b) {{0}}` can't name a folder or a file. What helps: "),
        "{message}"
    );
    let open = of("open.yaml");
    assert!(open.iter().any(|r| r["level"] == "error"
        && r["ruleId"] == "K01"
        && r["message"]["text"].as_str().is_some_and(|t| t.starts_with("Not judged, "))));
    assert!(!text.contains(dir.path().to_str().expect("a path")), "a machine path");
}

#[test]
fn trouble_with_the_world_is_told_as_such() {
    let dir = tempfile::tempdir().expect("a folder");
    let missing = dir.path().join("gone.yaml");
    let (code, log, text) = check(dir.path(), &[missing.to_str().expect("a path")]);
    assert_eq!(code, 2);
    let invocation = &log["runs"][0]["invocations"][0];
    assert_eq!(invocation["executionSuccessful"], false);
    assert_eq!(invocation["exitCode"], 2);
    assert_eq!(
        invocation["toolExecutionNotifications"][0]["message"]["text"],
        "there is no such file or folder"
    );
    assert!(!text.contains(dir.path().to_str().expect("a path")), "a machine path");
}

/// A verified record: each result at the very value in the record, the same places as the
/// report for machines has, a query a warning and a reject an error.
#[test]
fn a_verified_record_as_a_log() {
    let site = site();
    site.edit("  voltage: {L1: 36.1 kV rms", "  voltage: {L1: 35.9 kV rms");
    site.edit("  minutes: {L1: 60, L2: 60, L3: 60}", "  minutes: {L1: 60, L2: 60, L3: 45}");
    site.edit("    length: {L1: ", "    length: {L1: Ma\u{df}, L2: 20, L3: 201} # {");
    let (code, text, trouble) = site.verify(&["--format", "sarif"]);
    assert_eq!((code, trouble.as_str()), (1, ""));
    let log = valid(&text);
    assert!(!text.contains(&*site.root().to_string_lossy()), "no path of the machine");
    let record = std::fs::read_to_string(&site.record).expect("a record");
    let place = |result: &Value| result["locations"][0]["physicalLocation"].clone();
    let mut said = Vec::new();
    for result in results(&log) {
        assert_eq!(place(result)["artifactLocation"]["uri"], "done/record.yaml");
        let number = |key: &str| place(result)["region"][key].as_u64().expect("a number") as usize;
        assert_eq!(number("startLine"), number("endLine"));
        let line = record.lines().nth(number("startLine") - 1).expect("a line");
        let value = line.chars().skip(number("startColumn") - 1);
        let value: String = value.take(number("endColumn") - number("startColumn")).collect();
        let word = |key: &str| result[key].as_str().expect("a word");
        said.push(format!("{} {} {value}", word("ruleId"), word("level")));
    }
    for one in
        ["F02 error Ma\u{df}", "U01 warning 35.9 kV rms", "U02 error 45", "U02 warning 2031-05-12 17:40"]
    {
        assert!(said.iter().any(|s| s == one), "{one}: {said:?}");
    }
    // Behind a letter of two bytes the columns still count characters.
    assert!(said.iter().any(|s| s.ends_with("error 20")), "{said:?}");
    let (_, text, _) = site.verify(&["--format", "json"]);
    let report: Value = serde_json::from_str(&text).expect("JSON");
    let report = if report.is_array() { &report[0] } else { &report };
    let list = |key: &str| report[key].as_array().expect("a list");
    // Rules that lack an answer stand behind the findings.
    let findings = list("findings");
    assert_eq!(findings.len() + list("not_judged").len(), results(&log).len());
    for (finding, result) in findings.iter().zip(results(&log)) {
        let (at, region) = (&finding["places"][0], &place(result)["region"]);
        assert_eq!((&finding["code"], &at["line"]), (&result["ruleId"], &region["startLine"]));
        assert_eq!((&at["column"], &at["end_column"]), (&region["startColumn"], &region["endColumn"]));
        let level = if finding["grade"] == "blocks" { "error" } else { "warning" };
        assert_eq!(result["level"], level);
    }
}
