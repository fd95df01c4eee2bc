//! The plan of the house: which room may use which, and which outside crate.

use crate::support::{root, rust_files};
use std::collections::{BTreeMap, BTreeSet};

/// Room: what it may use of the others, and the outside crates only it uses.
const PLAN: &[(&str, &[&str], &[&str])] = &[
    ("units", &[], &[]),
    ("source", &[], &["saphyr_parser"]),
    ("finding", &["source"], &[]),
    ("tables", &["units"], &[]),
    ("calc", &["units"], &["libm"]),
    ("language", &["units", "source"], &["serde_yaml", "include_dir"]),
    ("job", &["units", "source", "finding"], &["serde_yaml", "walkdir", "strsim", "jiff", "include_dir"]),
    ("facts", &["units", "tables", "calc", "job"], &[]),
    (
        "rules",
        &["facts", "finding", "job", "source", "units"],
        &["minijinja", "serde_yaml", "serde_path_to_error", "include_dir"],
    ),
    (
        "procedure",
        &["language", "facts", "job", "finding", "source", "units"],
        &["minijinja", "serde_yaml", "include_dir"],
    ),
    (
        "press",
        &["procedure", "language", "finding"],
        &["typst", "typst_kit", "typst_layout", "typst_pdf", "include_dir", "qrcode", "jiff"],
    ),
    (
        "photos",
        &["procedure", "issuing", "record"],
        &[
            "cutback_eye",
            "blockhash",
            "exif",
            "png",
            "rayon",
            "rqrr",
            "sha2",
            "tempfile",
            "walkdir",
            "zune_core",
            "zune_jpeg",
        ],
    ),
    ("issuing", &["procedure", "finding", "source"], &["sha2", "tempfile"]),
    (
        "record",
        &["procedure", "rules", "facts", "job", "calc", "finding", "source", "units"],
        &["serde_yaml", "jiff", "include_dir", "csv", "flate2", "hayro_syntax"],
    ),
    ("remedies", &["rules", "facts", "job", "finding", "source", "units", "calc"], &["serde_yaml"]),
    (
        "inspection",
        &["remedies", "rules", "facts", "job", "calc", "finding", "source", "units"],
        &["include_dir"],
    ),
    ("circuit", &["rules", "facts", "job", "finding", "source"], &["include_dir"]),
    ("house", &["rules", "procedure", "finding", "source"], &["serde_yaml", "jiff"]),
    ("report", &["finding", "source", "units"], &["codespan_reporting", "similar"]),
    (
        "cli",
        &[
            "units",
            "source",
            "finding",
            "language",
            "job",
            "facts",
            "rules",
            "procedure",
            "press",
            "photos",
            "issuing",
            "record",
            "remedies",
            "circuit",
            "inspection",
            "house",
            "report",
        ],
        &["clap", "clap_complete", "clap_mangen", "signal_hook", "walkdir", "jiff", "strsim"],
    ),
];

/// Crates that any room may use.
const COMMON: &[&str] = &["serde", "serde_json", "thiserror", "std", "crate", "super", "self"];

fn words_after<'t>(text: &'t str, mark: &'t str) -> impl Iterator<Item = &'t str> {
    text.match_indices(mark).map(move |(i, _)| {
        let rest = &text[i + mark.len()..];
        let end = rest
            .find(|c: char| !(c.is_ascii_lowercase() || c == '_' || c.is_ascii_digit()))
            .unwrap_or(rest.len());
        &rest[..end]
    })
}

#[test]
fn imports_go_down_only() {
    let rooms: BTreeMap<&str, BTreeSet<&str>> =
        PLAN.iter().map(|(r, may, _)| (*r, may.iter().copied().collect())).collect();
    let mut wrong = Vec::new();
    for (room, may) in &rooms {
        let files = rust_files(&root().join("src").join(room));
        assert!(!files.is_empty(), "the room {room} has no file");
        for file in files {
            let text = std::fs::read_to_string(&file).expect("a source file");
            for used in words_after(&text, "crate::") {
                if rooms.contains_key(used) && used != *room && !may.contains(used) {
                    wrong.push(format!("{} takes `{used}`, which its room `{room}` may not", file.display()));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn outside_crates_stay_in_their_rooms() {
    let ours: BTreeSet<&str> = PLAN.iter().flat_map(|(_, _, crates)| crates.iter().copied()).collect();
    let mut wrong = Vec::new();
    for (room, _, crates) in PLAN {
        for file in rust_files(&root().join("src").join(room)) {
            let text = std::fs::read_to_string(&file).expect("a source file");
            for line in text.lines().map(str::trim).filter(|l| l.starts_with("use ") || l.contains("::")) {
                for name in &ours {
                    let named = line.starts_with(&format!("use {name}::"))
                        || line.starts_with(&format!("use {name};"));
                    let called = line.match_indices(&format!("{name}::")).any(|(i, _)| {
                        !line[..i].ends_with(|c: char| c.is_ascii_alphanumeric() || c == '_' || c == ':')
                    });
                    if (named || called)
                        && !crates.contains(name)
                        && !COMMON.contains(name)
                        && !line.starts_with("//")
                    {
                        wrong.push(format!("{}: `{name}` belongs to another room: {line}", file.display()));
                    }
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn every_room_is_in_the_plan() {
    let planned: BTreeSet<String> = PLAN.iter().map(|(r, _, _)| (*r).to_string()).collect();
    let built: BTreeSet<String> = std::fs::read_dir(root().join("src"))
        .expect("src")
        .filter_map(Result::ok)
        .filter(|e| e.path().is_dir())
        .map(|e| e.file_name().to_string_lossy().into_owned())
        .collect();
    assert_eq!(built, planned);
}

#[test]
fn files_stay_readable() {
    let files = rust_files(&root().join("src"));
    let mut lengths: Vec<(usize, String)> = files
        .iter()
        .map(|f| {
            (std::fs::read_to_string(f).expect("a source file").lines().count(), f.display().to_string())
        })
        .collect();
    lengths.sort();
    let long: Vec<&(usize, String)> = lengths.iter().filter(|(n, _)| *n > 500).collect();
    assert!(long.is_empty(), "past 500 lines, asking to be two: {long:?}");
    let median = lengths[lengths.len() / 2].0;
    assert!((60..=250).contains(&median), "median file {median} lines");
}
