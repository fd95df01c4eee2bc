//! Issuing: whole or not at all, the same bytes, a register that holds.

use crate::support::{BOOK, PRESS, job_text, library};
use cutback::cli::{Judged, judge_text};
use cutback::issuing::{self, Issued, PackFiles, Register};
use cutback::language::Language;
use cutback::press::Copy;
use cutback::procedure::{self, HouseNote, Pack, PackRequest, Procedures};
use cutback::rules::RuleBook;
use std::path::Path;
use std::sync::LazyLock;

static PROCEDURES: LazyLock<Procedures> =
    LazyLock::new(|| Procedures::built_in().expect("our procedures are sound"));

/// The pack of a job text, with its JSON.
pub fn pack_of(text: String) -> (Pack, Vec<u8>) {
    pack_by(text, &BOOK, &PROCEDURES, None)
}

/// The pack of a job text as it prints in another language.
pub fn pack_told(text: String, language: &Language) -> Pack {
    let judged = judge_text("job.yaml", text, &library(), &BOOK, &PRESS);
    let procedures = PROCEDURES.clone().told(language).expect("texts that hold");
    pack_judged(&judged, &BOOK, &procedures, None, Some(language)).0
}

/// The pack of a job that was judged.
pub fn pack_from(judged: &Judged) -> (Pack, Vec<u8>) {
    pack_judged(judged, &BOOK, &PROCEDURES, None, None)
}

/// The same by other rules and wording.
pub fn pack_by(
    text: String,
    book: &RuleBook,
    procedures: &Procedures,
    house: Option<HouseNote>,
) -> (Pack, Vec<u8>) {
    pack_judged(&judge_text("job.yaml", text, &library(), book, &PRESS), book, procedures, house, None)
}

fn pack_judged(
    judged: &Judged,
    book: &RuleBook,
    procedures: &Procedures,
    house: Option<HouseNote>,
    language: Option<&Language>,
) -> (Pack, Vec<u8>) {
    let (job, sheet, judgement) = judged.judged.as_ref().expect("a job that reads");
    let rule_uses = book.uses();
    let date = job.text("job.date").expect("a date");
    let request = PackRequest {
        job,
        sheet,
        judgement,
        rule_uses: &rule_uses,
        procedures,
        never: book.never(),
        date,
        house,
        language,
    };
    let pack = procedure::build(&request).expect("our wording is sound").expect("a procedure");
    let json = serde_json::to_vec_pretty(&pack).expect("JSON");
    (pack, json)
}

/// Stand-ins for PDF and record: what is tested here is the folder.
fn files(json: &[u8]) -> PackFiles<'_> {
    PackFiles { json, pdf: b"%PDF stand-in", record: b"record: {}\n" }
}

fn issue(root: &Path, text: String) -> Issued {
    let (pack, json) = pack_of(text);
    issuing::issue(root, &pack, &files(&json)).expect("a writable folder")
}

fn p4() -> String {
    job_text("D-2201-P4")
}

fn next(revision: &str, replaces: &str) -> String {
    p4().replace("revision: P4", &format!("revision: {revision}"))
        .replace("replaces: none", &format!("replaces: {replaces}"))
}

#[test]
fn issued_once_and_never_changed() {
    let dir = tempfile::tempdir().expect("a folder");
    let root = dir.path().join("issued");
    let Issued::Now(folder) = issue(&root, p4()) else { panic!("not issued") };
    let sums = std::fs::read_to_string(folder.join("SHA256SUMS")).expect("sums");
    for line in sums.lines() {
        let (sum, name) = line.split_once("  ").expect("the form of sha256sum");
        assert_eq!(issuing::sha256(&std::fs::read(folder.join(name)).expect("a file")), sum);
    }
    let register = std::fs::read(root.join("register.jsonl")).expect("a register");
    assert!(matches!(issue(&root, p4()), Issued::Before(_)));
    assert_eq!(
        std::fs::read(root.join("register.jsonl")).expect("a register"),
        register,
        "a second run adds nothing"
    );
    // Other contents under the same revision are refused.
    let Issued::Refused(finding) = issue(
        &root,
        p4().replace("drum: DR-7719", "drum: DR-7720").replace("altitude: 240 m", "altitude: 241 m"),
    ) else {
        panic!("a changed pack was issued under the same revision")
    };
    assert_eq!(finding.code, "Z01");
}

#[test]
fn a_live_revision_must_be_named() {
    let dir = tempfile::tempdir().expect("a folder");
    let root = dir.path().join("issued");
    assert!(matches!(issue(&root, next("P4", "P3")), Issued::Refused(_)), "P3 was never issued");
    assert!(matches!(issue(&root, p4()), Issued::Now(_)));
    let Issued::Refused(finding) = issue(&root, next("P5", "none")) else {
        panic!("P4 is in force and not named")
    };
    assert!(finding.message.contains("P4"), "{}", finding.message);
    assert!(matches!(issue(&root, next("P5", "P4")), Issued::Now(_)));
    let register = Register::read(&root).expect("a register");
    let live: Vec<&str> = register.live("D-2201", "TX2-HV").iter().map(|e| e.revision.as_str()).collect();
    assert_eq!(live, ["P5"]);
}

#[test]
fn a_changed_register_stops_everything() {
    let dir = tempfile::tempdir().expect("a folder");
    let root = dir.path().join("issued");
    issue(&root, p4());
    issue(&root, next("P5", "P4"));
    let path = root.join("register.jsonl");
    let text = std::fs::read_to_string(&path).expect("a register");
    let changed = text.replacen("\"2031-04-28\"", "\"2031-04-29\"", 1);
    std::fs::write(&path, &changed).expect("written");
    let error = Register::read(&root).expect_err("a changed line is seen").to_string();
    assert!(error.contains("line 2") && error.contains("hash of the line before"), "{error}");
    std::fs::write(&path, text.lines().nth(1).map(|l| format!("{l}\n")).expect("two lines"))
        .expect("written");
    assert!(Register::read(&root).is_err(), "a line taken out is seen");
}

/// Copies what one folder holds into another, as any copying program would.
fn gather(from: &Path, to: &Path) {
    for entry in walkdir::WalkDir::new(from).min_depth(1) {
        let entry = entry.expect("a readable folder");
        let at = to.join(entry.path().strip_prefix(from).expect("below"));
        if entry.file_type().is_dir() {
            std::fs::create_dir_all(at).expect("a folder");
        } else {
            std::fs::copy(entry.path(), at).expect("a copy");
        }
    }
}

/// Shares keep registers of their own; copied together they are one.
#[test]
fn registers_of_shares_lie_side_by_side() {
    let dir = tempfile::tempdir().expect("a folder");
    let whole = dir.path().join("whole");
    let issue_part = |root: &Path, part, text: String| {
        let (pack, json) = pack_of(text);
        issuing::issue_part(root, Some(part), &pack, &files(&json)).expect("a writable folder")
    };
    let other_end = p4().replace("end: TX2-HV", "end: TX3-HV");
    let shares = [(1, p4()), (2, other_end.clone())].map(|(nth, text)| {
        let root = dir.path().join(format!("share-{nth}"));
        assert!(matches!(issue_part(&root, (nth, 2), text), Issued::Now(_)));
        assert!(Register::lies_in(&root) && !root.join("register.jsonl").exists());
        root
    });
    // More than one line in one of them.
    issue_part(&shares[1], (2, 2), other_end.replace("end: TX3-HV", "end: TX4-HV"));
    shares.iter().for_each(|share| gather(share, &whole));
    let register = Register::read(&whole).expect("registers that hold");
    assert_eq!(register.entries().len(), 3);
    // A run over the whole knows every pack, and adds to a file of its own.
    assert!(matches!(issue(&whole, p4()), Issued::Before(_)));
    assert!(matches!(issue(&whole, next("P5", "none")), Issued::Refused(_)), "P4 of a share is in force");
    assert!(matches!(issue(&whole, next("P5", "P4")), Issued::Now(_)));
    let live = |root: &Path| Register::read(root).expect("a register").live("D-2201", "TX2-HV").len();
    assert_eq!(live(&whole), 1);
    let lines = |name: &str| std::fs::read_to_string(whole.join(name)).expect("a register").lines().count();
    assert_eq!(["register.jsonl", "register-1-of-2.jsonl", "register-2-of-2.jsonl"].map(lines), [1, 1, 2]);
    // Each line holds the checksum of the one before.
    let second = std::fs::read_to_string(whole.join("register-2-of-2.jsonl")).expect("a register");
    let [first, last] = second.lines().collect::<Vec<_>>()[..] else { panic!("two lines") };
    assert!(last.contains(&issuing::sha256(first.as_bytes())));
    // A changed line of a share is seen, and so is another pack under the same revision.
    let path = whole.join("register-2-of-2.jsonl");
    std::fs::write(&path, second.replacen("TX3-HV", "TX9-HV", 1)).expect("written");
    let said = Register::read(&whole).expect_err("a changed line").to_string();
    assert!(said.contains("register-2-of-2.jsonl line 2"), "{said}");
    std::fs::write(&path, second).expect("written");
    let third = dir.path().join("share-3");
    issue_part(&third, (3, 3), p4().replace("drum: DR-7719", "drum: DR-7720"));
    std::fs::copy(third.join("register-3-of-3.jsonl"), whole.join("register-3-of-3.jsonl")).expect("a copy");
    let said = Register::read(&whole).expect_err("two packs of one revision").to_string();
    assert!(said.contains("register-3-of-3.jsonl line 1: revision P4 of D-2201 at TX2-HV"), "{said}");
}

/// A run killed anywhere leaves the old state or the new.
#[test]
fn killed_runs_are_completed() {
    let dir = tempfile::tempdir().expect("a folder");
    let root = dir.path().join("issued");
    // Killed before the register line: a folder stands, half of it wrong.
    let folder = root.join("D-2201/TX2-HV/P4");
    std::fs::create_dir_all(&folder).expect("made");
    std::fs::write(folder.join("pack.pdf"), b"half").expect("written");
    let Issued::Now(folder) = issue(&root, p4()) else { panic!("not completed") };
    assert_eq!(std::fs::read(folder.join("pack.pdf")).expect("a file"), b"%PDF stand-in");
    // Killed while the next line was written: it never counted.
    let path = root.join("register.jsonl");
    let whole = std::fs::read(&path).expect("a register");
    let mut torn = whole.clone();
    torn.extend_from_slice(b"{\"job\":\"D-22");
    std::fs::write(&path, &torn).expect("written");
    assert!(matches!(issue(&root, next("P5", "P4")), Issued::Now(_)));
    let register = Register::read(&root).expect("a register that holds");
    assert_eq!(register.entries().len(), 2);
    assert!(std::fs::read(&path).expect("a register").starts_with(&whole));
    // Files lost after the line: the next run puts them back.
    std::fs::remove_file(folder.join("pack.json")).expect("removed");
    assert!(matches!(issue(&root, p4()), Issued::Before(_)));
    assert!(folder.join("pack.json").is_file());
    // A record filled in where it lies is somebody's work.
    std::fs::write(folder.join("record.yaml"), b"record: {filled: yes}\n").expect("written");
    std::fs::write(folder.join("pack.pdf"), b"changed").expect("written");
    assert!(matches!(issue(&root, p4()), Issued::Before(_)));
    assert_eq!(std::fs::read(folder.join("pack.pdf")).expect("a file"), b"%PDF stand-in");
    assert_eq!(std::fs::read(folder.join("record.yaml")).expect("a file"), b"record: {filled: yes}\n");
    // Nothing is left lying about.
    let left: Vec<String> = walkdir::WalkDir::new(&root)
        .into_iter()
        .filter_map(Result::ok)
        .map(|e| e.file_name().to_string_lossy().into_owned())
        .filter(|n| n.starts_with(".part") || n.starts_with(".old"))
        .collect();
    assert!(left.is_empty(), "{left:?}");
}

#[test]
fn two_runs_at_once_make_one_line() {
    let dir = tempfile::tempdir().expect("a folder");
    let root = dir.path().join("issued");
    let (pack, json) = pack_of(p4());
    std::thread::scope(|scope| {
        for _ in 0..4 {
            scope.spawn(|| issuing::issue(&root, &pack, &files(&json)).expect("issued"));
        }
    });
    assert_eq!(Register::read(&root).expect("a register").entries().len(), 1);
}

#[cfg(unix)]
#[test]
fn a_folder_that_can_not_be_written_says_so() {
    let dir = tempfile::tempdir().expect("a folder");
    let file = dir.path().join("issued");
    std::fs::write(&file, b"in the way").expect("written");
    let (pack, json) = pack_of(p4());
    let error = issuing::issue(&file, &pack, &files(&json)).expect_err("a file is no folder").to_string();
    assert!(error.contains("issued"), "{error}");
    assert_eq!(std::fs::read(&file).expect("still there"), b"in the way");
}

#[test]
fn same_job_same_bytes() {
    let (pack, json) = pack_of(p4());
    let (_, again) = pack_of(p4());
    assert!(json == again, "pack.json differs between two runs");
    let copy = Copy::new(&pack, &issuing::sha256(&json), true, 0);
    let one = PRESS.print(&pack, &json, &copy).expect("a PDF");
    let two = cutback::press::Press::new().print(&pack, &json, &copy).expect("a PDF");
    assert!(one == two, "the PDF differs between two presses");
    for path in ["/tmp", "/home", env!("CARGO_MANIFEST_DIR")] {
        assert!(!String::from_utf8_lossy(&json).contains(path), "a machine path in pack.json: {path}");
    }
}
