//! Records of one circuit, verified together: each has its verdict, and the
//! circuit has one.

use crate::issuing::pack_of;
use crate::record_verify::{PACKS, clean};
use crate::support::job_text;
use cutback::issuing::{PackFiles, issue, sha256};
use std::path::Path;
use std::process::Command;

/// Issues a pack with a stand-in for the PDF; gives its checksum.
fn issued(root: &Path, text: String) -> String {
    let (pack, json) = pack_of(text);
    let files = PackFiles { json: &json, pdf: b"%PDF stand-in", record: b"record: {}\n" };
    issue(&root.join("issued"), &pack, &files).expect("issued");
    sha256(&json)
}

fn record(root: &Path, name: &str, sum: &str, change: impl Fn(String) -> String) {
    let text = clean("D-2201-P4").replace(&PACKS["D-2201-P4"].1, sum);
    std::fs::create_dir_all(root.join(name)).expect("a folder");
    std::fs::write(root.join(name).join("record.yaml"), change(text)).expect("written");
}

fn verify(root: &Path, more: &[&str]) -> String {
    let done = Command::new(env!("CARGO_BIN_EXE_cutback"))
        .current_dir(root)
        .args(["verify", "one", "two"])
        .args(more)
        .output()
        .expect("the program");
    String::from_utf8_lossy(&done.stdout).into_owned()
}

#[test]
fn a_circuit_has_one_verdict() {
    let dir = tempfile::tempdir().expect("a folder");
    let root = dir.path();
    let one = issued(root, job_text("D-2201-P4"));
    // The other end of the same circuit: another job number, end and day.
    let two = issued(
        root,
        job_text("D-2201-P4")
            .replace("number: D-2201", "number: D-2202")
            .replace("end: TX2-HV", "end: F4-REAR"),
    );
    let other_end =
        |t: String| t.replace("job: D-2201", "job: D-2202").replace("end: TX2-HV", "end: F4-REAR");
    let earlier =
        |t: String| other_end(t).replace("2031-05-13", "2031-05-11").replace("2031-05-12", "2031-05-10");
    record(root, "one", &one, |t| t);
    record(root, "two", &two, earlier);
    // The stand-in for the PDF is told at both; nothing else is.
    let count = |said: &str, code: &str| said.matches(&format!("error[{code}]")).count();
    let said = verify(root, &[]);
    assert_eq!((count(&said, "A09"), said.matches("error[").count()), (2, 2), "{said}");
    assert!(said.contains("2 records judged across"), "{said}");
    // On the same days the same people released at both ends within minutes.
    record(root, "two", &two, other_end);
    let said = verify(root, &[]);
    assert_eq!(count(&said, "X03"), 2, "{said}");
    // Swapped cores at one end: told at both.
    record(root, "two", &two, |t| {
        earlier(t).replacen("phase: {L1: L1, L2: L2, L3: L3}", "phase: {L1: L2, L2: L1, L3: L3}", 1)
    });
    let said = verify(root, &[]);
    assert_eq!(count(&said, "X02"), 2, "{said}");
    // The later end was finished after the only test, which was at the earlier one.
    record(root, "one", &one, |t| {
        let from = t.find("  full_voltage_reached:").expect("a test");
        let to = t.find("  # insulation resistance after").expect("the next row");
        format!("{}{}", &t[..from], &t[to..])
    });
    record(root, "two", &two, earlier);
    let said = verify(root, &[]);
    assert_eq!(count(&said, "X01"), 1, "{said}");
    let json = verify(root, &["--format", "json"]);
    let last: serde_json::Value = serde_json::from_str(json.lines().last().expect("a line")).expect("JSON");
    assert_eq!(last["format"], "cutback-circuit-verification-1");
    assert_eq!(last["verdict"], "not acceptable");
    assert_eq!(last["records"].as_array().map(Vec::len), Some(2));
}
