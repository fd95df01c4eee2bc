//! What must never become a pack: each ends with a located message that fits the
//! screen, the exit code of its kind, and nothing written.

use crate::support::{job_text, root};
use std::path::Path;
use std::process::{Command, Output};

/// Runs the tool in `folder`, whose library is the demonstration's.
fn run(folder: &Path, args: &[&str]) -> Output {
    let library = root().join("jobs/library");
    Command::new(env!("CARGO_BIN_EXE_cutback"))
        .current_dir(folder)
        .args(args)
        .args(if args[0] == "issue" { &["--library"][..] } else { &[] })
        .args((args[0] == "issue").then_some(library))
        .output()
        .expect("the tool runs")
}

fn said(output: &Output) -> String {
    String::from_utf8_lossy(&output.stdout).into_owned() + &String::from_utf8_lossy(&output.stderr)
}

/// A sound job with one text in place of another.
fn with(from: &str, to: &str) -> Vec<u8> {
    let text = job_text("D-2201-P4");
    assert!(text.contains(from), "`{from}` is in the job");
    text.replacen(from, to, 1).into_bytes()
}

fn bomb() -> Vec<u8> {
    let mut text = String::from("a: &a [x, x, x, x, x, x, x, x, x]\n");
    for (one, before) in "bcdefghij".chars().zip("abcdefghi".chars()) {
        text += &format!("{one}: &{one} [{}]\n", vec![format!("*{before}"); 9].join(", "));
    }
    text.into_bytes()
}

/// Name, file, and where and what the message says.
fn cases() -> Vec<(&'static str, Vec<u8>, &'static str, &'static str)> {
    let pitch = |to: &str| with("stud_pitch: 150 mm", &format!("stud_pitch: {to}"));
    let asset = |to: &str| with("TX2, 1600 kVA", to);
    let latin = {
        let mut bytes = with("Weir Lane", "W#ir Lane");
        let at = bytes.iter().rposition(|b| *b == b'#').expect("the mark");
        bytes[at] = 0xe9;
        bytes
    };
    let wide: Vec<u8> =
        [0xff, 0xfe].into_iter().chain(job_text("D-2201-P4").bytes().flat_map(|b| [b, 0])).collect();
    let twice = job_text("D-2201-P4") + "---\njob: {}\n";
    vec![
        ("empty", vec![], ":1:1", "the file is empty"),
        ("comment", b"# only a comment\n".to_vec(), ":1:1", "no groups of keys"),
        ("words", b"just some words\n".to_vec(), ":1:1", "no groups of keys"),
        ("list", b"- a\n- list\n".to_vec(), ":1:1", "no groups of keys"),
        ("not-yaml", b"job: {number: [1, 2\n".to_vec(), ":2:1", "not readable as YAML"),
        ("picture", b"\x89PNG\r\n\x1a\n\0".to_vec(), "line 1", "save the file as UTF-8"),
        ("latin", latin, "line ", "save the file as UTF-8"),
        ("utf-16", wide, "utf-16.yaml", "UTF-16 text; save the file as UTF-8"),
        ("two", twice.into_bytes(), ":131:1", "a second document starts here"),
        ("tab", with("  revision: P4", "\trevision: P4"), ":6:1", "a tab in the indentation"),
        ("twice", with("  end: TX2-HV", "  end: TX2-HV\n  end: TX3"), ":10:3", "stands here a second time"),
        ("bomb", bomb(), ":1:4", "anchors and aliases"),
        (
            "deep",
            format!("job: {}{}", "[".repeat(90_000), "]".repeat(90_000)).into_bytes(),
            ":1:",
            "nested more than 32",
        ),
        (
            "steps",
            (0..200).map(|i| "  ".repeat(i) + "a:\n").collect::<String>().into_bytes(),
            ":33:65",
            "nested more than 32",
        ),
        ("large", vec![b'#'; 50_000_000], "large.yaml", "too large to be a job file (50000000 bytes"),
        ("unit", pitch("150 kV"), ":34:15", "is a voltage, and a length belongs here"),
        ("bare", pitch("150"), ":34:15", "has no unit"),
        ("below", pitch("-150 mm"), ":34:15", "has a minus"),
        ("minus-nought", pitch("-0 mm"), ":34:15", "has a minus"),
        ("nought", pitch("0 mm"), ":34:15", "0 mm, which no such job has"),
        ("ten-times", pitch("1500 mm"), ":34:15", "believed: 40 mm to 600 mm"),
        ("nan", pitch("NaN mm"), ":34:15", "`NaN mm` is not a length"),
        ("nan-yaml", pitch(".nan"), ":34:15", "plain number"),
        ("endless", pitch(".inf mm"), ":34:15", "plain number"),
        ("huge", pitch("99999999999999999999 mm"), ":34:15", "out of any sensible range"),
        ("comma", pitch("150,5 mm"), ":34:15", "decimal comma"),
        ("kit", with("kit: ZQ24-3I-240", "kit: ZQ24-3I-250"), ":47:6", "Did you mean `ZQ24-3I-240`?"),
        ("missing", with("  revision: P4\n", ""), ":4:1", "`job.revision` (revision) is missing"),
        ("unknown", with("stud_pitch:", "stud_pich:"), ":34:3", "Did you mean `stud_pitch`?"),
        ("choice", with("kind: transformer", "kind: transfomer"), ":73:15", "Did you mean `transformer`?"),
        ("date", with("planned: 2031-05-12", "planned: 2031-02-30"), ":12:12", "is no date"),
        ("control", asset("TX2\u{7}"), ":20:14", "control character U+0007"),
        ("nul", asset("TX2\0"), ":20:14", "control character U+0000"),
        ("escape", asset("TX2\\e[31m"), ":20:10", "U+001B"),
        ("direction", asset("TX2\u{202e}"), ":20:10", "Delete it: it can't be seen"),
        ("glyph", asset("TX2 \u{6f22}"), ":20:10", "U+6F22"),
        ("long", asset(&"x".repeat(4100)), ":20:10", "longer than 4000 characters"),
        ("up", with("end: TX2-HV", "end: ../../etc"), ":9:8", "can't name a folder"),
        ("hidden", with("end: TX2-HV", "end: .x"), ":9:8", "no leading dot"),
        ("group", pitch("{a: b}"), ":34:15", "one plain value belongs here"),
    ]
}

#[test]
fn each_bad_file_says_where_and_what_and_writes_nothing() {
    let dir = tempfile::tempdir().expect("a folder");
    let mut seen = 0;
    for (name, bytes, place, words) in cases() {
        seen += 1;
        let file = format!("{name}.yaml");
        std::fs::write(dir.path().join(&file), bytes).expect("written");
        let output = run(dir.path(), &["issue", &file]);
        let said = said(&output);
        assert_eq!(output.status.code(), Some(1), "{name}: {said}");
        let plain = said.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(plain.contains(words), "{name}: {said}");
        let placed = if place.starts_with(':') { format!("{file}{place}") } else { place.to_string() };
        assert!(said.contains(&placed), "{name} is not at {placed}: {said}");
        let wide: Vec<&str> = said.lines().filter(|line| line.chars().count() > 80).collect();
        assert!(wide.is_empty(), "{name}: {wide:?}");
        assert!(
            !said.contains("panicked") && !said.chars().any(|c| c == '\u{202e}' || c == '\u{1b}'),
            "{name}"
        );
        assert!(!dir.path().join("issued").exists(), "{name} left something behind");
    }
    assert!(seen >= 38, "only {seen} files");
}

#[test]
fn the_world_is_told_from_the_job() {
    let dir = tempfile::tempdir().expect("a folder");
    let at = dir.path();
    std::fs::write(at.join("job.yaml"), job_text("K-0417-P1")).expect("written");
    std::fs::create_dir(at.join("none")).expect("made");
    std::fs::write(at.join("file"), b"in the way").expect("written");
    for (args, words) in [
        (vec!["issue", "absent.yaml"], "absent.yaml: there is no such file or folder"),
        (vec!["issue", "none"], "no job file (.yaml) in this folder"),
        (vec!["issue", "--out", "file", "job.yaml"], "can't make the folder file/issued"),
        (vec!["check", "/dev/null"], "neither a file nor a folder"),
        (vec!["explain", "B0Z"], "nothing is called `B0Z`"),
        (vec!["new", "term-bx-3c-hs"], "did you mean"),
    ] {
        let output = run(at, &args);
        let said = said(&output);
        assert_eq!(output.status.code(), Some(2), "{args:?}: {said}");
        assert!(said.contains(words) && said.contains("cutback: "), "{args:?}: {said}");
        assert!(!at.join("issued").exists(), "{args:?} left something behind");
    }
    assert_eq!(std::fs::read(at.join("file")).expect("still there"), b"in the way");
}

/// Results that can't be written are told, with the exit code of trouble.
#[cfg(target_os = "linux")]
#[test]
fn lost_results_are_told() {
    let full = || std::fs::File::options().write(true).open("/dev/full").expect("a full disk");
    for args in [&["schema"][..], &["explain", "all"], &["new", "term-box-3c-hs"]] {
        let output =
            Command::new(env!("CARGO_BIN_EXE_cutback")).args(args).stdout(full()).output().expect("runs");
        assert_eq!(output.status.code(), Some(2), "{args:?}");
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        assert!(said.starts_with("cutback: the results can't be written: "), "{said}");
        assert_eq!(said.lines().count(), 1, "{said}");
    }
}
