//! What a seal holds, when there is none, and what was changed after it.

use super::{edit, pdf, replaced};
use crate::verified::{Site, site};
use cutback::issuing::sha256;
use std::path::{Path, PathBuf};

fn in_the_last_line(bytes: Vec<u8>, from: &str, to: &str) -> Vec<u8> {
    let text = String::from_utf8(bytes).expect("text");
    let at = text.trim_end().rfind('\n').expect("two lines");
    format!("{}{}", &text[..at], text[at..].replacen(from, to, 1)).into_bytes()
}

fn sealed() -> Site {
    let site = site();
    let (code, said, trouble) = site.verify(&["--seal", "--date", "2031-05-14"]);
    assert_eq!((code, trouble.as_str()), (0, ""), "{said}");
    assert!(said.contains("sealed: "), "{said}");
    site
}

/// The seal is a line that `sha256sum` and a text editor check: chain, pack, record,
/// report, list of photographs.
#[test]
fn a_seal_is_checked_by_hand() {
    let site = sealed();
    let register = std::fs::read_to_string(site.root().join("issued/register.jsonl")).expect("a register");
    let lines: Vec<&str> = register.lines().collect();
    let seal: serde_json::Value = serde_json::from_str(lines[1]).expect("a line");
    let sum = |path: &Path| sha256(&std::fs::read(path).expect("a file"));
    assert_eq!(seal["previous"], sha256(lines[0].as_bytes()));
    assert_eq!(seal["pack_sha256"], sum(&site.pack().join("pack.json")));
    assert_eq!(seal["record_sha256"], sum(&site.record));
    assert_eq!(seal["report_sha256"], sum(&site.reports("pdf")[0]));
    let folder = site.record.with_file_name("photos");
    let mut list: Vec<String> = std::fs::read_dir(&folder)
        .expect("photographs")
        .filter_map(Result::ok)
        .map(|e| format!("{}  photos/{}\n", sum(&e.path()), e.file_name().to_string_lossy()))
        .collect();
    list.sort();
    assert_eq!(seal["photos_sha256"], sha256(list.concat().as_bytes()));
    // Sealed twice it stands once, and the sealed report is left as it is.
    let report = sum(&site.reports("pdf")[0]);
    let (code, said, _) = site.verify(&["--seal", "--date", "2031-05-20"]);
    assert_eq!(code, 0, "{said}");
    assert!(said.contains("sealed before"), "{said}");
    assert_eq!(
        std::fs::read_to_string(site.root().join("issued/register.jsonl")).expect("a register"),
        register
    );
    assert!(site.reports("pdf").iter().any(|p| sum(p) == report));
}

/// After sealing: record, photograph, report, register, list of checksums, pack,
/// attachment. Each change is found by the rule that should.
#[test]
fn what_was_changed_after_sealing_is_found() {
    let site = sealed();
    let register = site.root().join("issued/register.jsonl");
    let report = site.reports("pdf")[0].clone();
    let other_pack = pdf(&[("pack.json", b"{}", false)]);
    type Change<'a> = (&'a str, PathBuf, Box<dyn Fn(Vec<u8>) -> Vec<u8>>);
    let changes: Vec<Change> = vec![
        ("A10", site.record.clone(), Box::new(|b| replaced(b, "air_start: 16.0", "air_start: 16.5"))),
        (
            "A10",
            site.record.clone(),
            Box::new(|b| replaced(b, "# The verifier's queries", "# the verifier's queries")),
        ),
        (
            "I09",
            site.record.with_file_name("photos/5.jpg"),
            Box::new(|mut b| {
                let last = b.len() - 40;
                b[last] ^= 1;
                b
            }),
        ),
        (
            "A10",
            report,
            Box::new(|mut b| {
                b[200] ^= 1;
                b
            }),
        ),
        (
            "A10",
            register.clone(),
            Box::new(|b| in_the_last_line(b, "\"record_sha256\":\"", "\"record_sha256\":\"0")),
        ),
        ("A02", register.clone(), Box::new(|b| replaced(b, "2031-04-28", "2031-04-29"))),
        (
            "A09",
            register.clone(),
            Box::new(|mut b| {
                b.pop();
                b
            }),
        ),
        (
            "A09",
            site.pack().join("SHA256SUMS"),
            Box::new(|mut b| {
                b[3] = if b[3] == b'0' { b'1' } else { b'0' };
                b
            }),
        ),
        ("A09", site.pack().join("pack.json"), Box::new(|b| replaced(b, "Tarnholt", "Tarnhold"))),
        (
            "A09",
            site.pack().join("pack.pdf"),
            Box::new(|mut b| {
                b[5000] ^= 1;
                b
            }),
        ),
        ("A09", site.pack().join("pack.pdf"), Box::new(move |_| other_pack.clone())),
    ];
    for (i, (code, path, change)) in changes.iter().enumerate() {
        let before = edit(path, change);
        let (exit, said, trouble) = site.verify(&[]);
        assert_eq!(exit, 1, "change {i}: {trouble}{said}");
        assert!(said.contains(&format!("error[{code}]")), "change {i}, {code}: {said}");
        std::fs::write(path, before).expect("put back");
    }
    let (exit, said, _) = site.verify(&[]);
    assert_eq!(exit, 0, "all put back: {said}");
    // A record that replaces a sealed one names it, and is sealed anew.
    let sum = sha256(&std::fs::read(&site.record).expect("a record"));
    site.edit("  completed:", &format!("  replaces: {sum}\n  completed:"));
    let (exit, said, trouble) = site.verify(&["--seal", "--date", "2031-05-20"]);
    assert_eq!(exit, 0, "{trouble}{said}");
    assert_eq!(std::fs::read_to_string(&register).expect("a register").lines().count(), 3);
    // Lines taken off the end are missed by nobody but whoever kept the checksum of
    // the last one: the README says so.
    edit(&register, |b| {
        let text = String::from_utf8(b).expect("text");
        format!("{}\n", text.lines().next().expect("a line")).into_bytes()
    });
    assert_eq!(site.verify(&[]).0, 0);
}

/// Only an acceptable record is sealed, on a day that is named, into a register that is
/// there; else nothing is written down and the words say why.
#[test]
fn what_may_not_be_sealed_is_not() {
    let site = site();
    let register = site.root().join("issued/register.jsonl");
    let before = std::fs::read(&register).expect("a register");
    let whole = std::fs::read_to_string(&site.record).expect("a record");
    let refused = |args: &[&str], word: &str| {
        let (code, said, trouble) = site.verify(args);
        assert_eq!(code, 2, "{word}: {said}{trouble}");
        assert!(trouble.contains("not sealed: ") && trouble.contains(word), "{word}: {trouble}");
        assert_eq!(std::fs::read(&register).ok().as_deref().unwrap_or(&before), before, "{word}");
    };
    let sealing = ["--seal", "--date", "2031-05-14"];
    refused(&["--seal"], "give the day with --date");
    for (from, to, word) in [
        ("completed: 2031-05-13 13:30", "completed:", "the record is not completed"),
        ("L3: 2031-05-12 18:40}", "L3: 2031-05-12 18:20}", "not acceptable"),
        ("far_end_guard: ", "far_end_guard: as usual # ", "acceptable with queries"),
    ] {
        site.edit(from, to);
        refused(&sealing, word);
        std::fs::write(&site.record, &whole).expect("put back");
    }
    let alone = site.root().join("alone.pdf");
    std::fs::copy(site.pack().join("pack.pdf"), &alone).expect("copied");
    refused(&[&sealing[..], &["--pack", "alone.pdf"]].concat(), "no register where the pack was found");
}

/// The table of readings beside a record is a part of what is sealed, and what is wrong
/// with a reading in it is told at its line.
#[test]
fn a_table_is_sealed_with_its_record() {
    let site = site();
    let path = site.record.with_file_name("readings.csv");
    let name = path.to_string_lossy().into_owned();
    assert_eq!(site.verify(&["--table", &name]).0, 0);
    site.edit("  completed:", "  table: readings.csv\n  completed:");
    let (code, said, trouble) = site.verify(&["--seal", "--date", "2031-05-14"]);
    assert_eq!(code, 0, "{said}{trouble}");
    assert_eq!(site.verify(&[]).0, 0);
    let before = edit(&path, |b| replaced(b, "\n", "\n\n"));
    let (code, said, _) = site.verify(&[]);
    assert_eq!(code, 1);
    assert!(
        said.contains("error[A10]") && said.contains("the table of readings is not the one sealed"),
        "{said}"
    );
    std::fs::write(&path, before).expect("put back");
    assert_eq!(site.verify(&[]).0, 0);
    // A reading that stands in the table alone.
    site.edit("    length: {L1: ", "    length: {L1: null} # {");
    edit(&path, |b| replaced(b, "tube,length,L2,201", "tube,length,L2,20"));
    let (_, said, _) = site.verify(&[]);
    let text = std::fs::read_to_string(&path).expect("a table");
    let line = text.lines().position(|l| l.starts_with("tube,length,L2")).expect("a row") + 1;
    assert!(said.contains(&format!("readings.csv:{line}:")), "{said}");
    let reports = site.reports("json");
    let latest = |p: &&PathBuf| std::fs::metadata(p).and_then(|m| m.modified()).expect("a time");
    let report = std::fs::read_to_string(reports.iter().max_by_key(latest).expect("a report")).expect("JSON");
    assert!(report.contains(&format!("table line {line}, points.tube.length.L2")), "{report}");
}
