//! Rules of verification: each proved by one change to a sound record.

use crate::issuing::pack_of;
use crate::support::{job_text, root};
use cutback::finding::{Grade, Judgement};
use cutback::issuing::sha256;
use cutback::job::{Job, load_as_found};
use cutback::procedure::Pack;
use cutback::record::{self, Dossier, FileState, Presence, Sibling, Standing, Verdict};
use cutback::rules::{Edit, Proof, RuleBook};
use cutback::source::Source;
use serde_json::Value as Json;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::LazyLock;

static VERIFY: LazyLock<RuleBook> =
    LazyLock::new(|| record::rule_book().expect("our rules of verification are sound"));
/// Jobs of the demonstration with a clean record: a three-core end, single-core
/// ends, an end on a pole, a joint, an inspection.
pub const DEMO: [&str; 5] = ["D-2201-P4", "D-3314-P1", "D-1106-P2", "D-0627-P1", "I-0512-P1"];

pub static PACKS: LazyLock<BTreeMap<&str, (Pack, String)>> = LazyLock::new(|| {
    DEMO.into_iter()
        .map(|job| {
            let (pack, mut json) = pack_of(job_text(job));
            json.push(b'\n');
            (job, (pack, sha256(&json)))
        })
        .collect()
});

/// The clean record of a job, for the pack as it is issued now.
pub fn clean(job: &str) -> String {
    let path = root().join(format!("jobs/demo/records/{job}/clean/record.yaml"));
    let text = std::fs::read_to_string(&path).expect("a clean record");
    let old = record::head(&text).pack;
    text.replace(&old, &PACKS[job].1)
}

/// What stands beside a record.
#[derive(Default)]
struct Beside {
    register: Option<Standing>,
    files: Option<BTreeMap<String, FileState>>,
    taken: BTreeMap<String, String>,
    elsewhere: Vec<Presence>,
    siblings: Vec<Sibling>,
    pack_files: Option<String>,
    seal: Option<String>,
}

impl Beside {
    fn sound(record: &record::Record) -> Beside {
        let files = (0..record.count("photos").unwrap_or(0))
            .filter_map(|i| record.get(&format!("photos.{i}.file")))
            .map(|g| (g.text.clone(), FileState::Same));
        Beside {
            register: Some(Standing { listed: true, replaced_by: None }),
            files: Some(files.collect()),
            pack_files: Some("as issued".into()),
            ..Beside::default()
        }
    }

    fn with(mut self, change: &Json, record: &record::Record) -> Beside {
        let text = |v: &Json| v.as_str().expect("a text").to_string();
        if let Some(register) = change.get("register") {
            let by = register.get("replaced_by").map(|r| (text(&r[0]), text(&r[1])));
            let listed = register["listed"].as_bool().expect("listed");
            self.register = Some(Standing { listed, replaced_by: by });
        }
        if let Some(files) = change.get("files") {
            for (key, state) in [("changed", FileState::Changed), ("absent", FileState::Absent)] {
                if let Some(i) = files.get(key) {
                    let name = record.get(&format!("photos.{i}.file")).expect("a photograph").text.clone();
                    self.files.as_mut().expect("files").insert(name, state);
                }
            }
        }
        if let Some(taken) = change.get("taken") {
            let name = record.get(&format!("photos.{}.file", taken["photo"])).expect("a photograph");
            self.taken.insert(name.text.clone(), text(&taken["is"]));
        }
        if let Some(other) = change.get("elsewhere") {
            let time = |key: &str| {
                let text = format!("{}:00+01:00", text(&other[key]).replace(' ', "T"));
                text.parse().expect("a time")
            };
            self.elsewhere.push(Presence {
                authorisation: text(&other["who"]),
                place: "X-1 END".into(),
                site: "another site".into(),
                on: time("on"),
                off: time("off"),
            });
        }
        for other in change.get("siblings").and_then(Json::as_array).into_iter().flatten() {
            let time = |v: &Json| format!("{}:00+01:00", text(v).replace(' ', "T")).parse().expect("a time");
            self.siblings.push(Sibling {
                place: text(&other["place"]),
                tested: other.get("tested").map(time),
                cores: other.get("cores").map(|c| [0, 1, 2].map(|i| text(&c[i]))),
                releases: other
                    .get("releases")
                    .and_then(Json::as_array)
                    .map(|all| all.iter().map(|r| (text(&r[0]), time(&r[1]))).collect())
                    .unwrap_or_default(),
            });
        }
        for (key, slot) in [("pack_files", &mut self.pack_files), ("seal", &mut self.seal)] {
            if let Some(words) = change.get(key) {
                *slot = Some(text(words));
            }
        }
        self
    }
}

/// The text with what stands under a dotted name written in another way.
pub fn edit(text: &str, pack: &Pack, edit: &Edit) -> String {
    let loaded = record::load("record.yaml", text.to_string(), &pack.form);
    let record = loaded.record.expect("a record");
    let mut pointer = record.place(&edit.set, "").pointer;
    let (source, _) = Source::read("record.yaml", text.to_string());
    if !source.has(&pointer) {
        pointer = format!("/{}", edit.set.replace('.', "/"));
    }
    assert!(source.has(&pointer), "nothing stands at {} to edit", edit.set);
    let mut text = text.to_string();
    text.replace_range(source.locate(&pointer).at, edit.to.as_deref().unwrap_or(""));
    text
}

fn changed(proof: &Proof) -> String {
    let pack = &PACKS[proof.job.as_str()].0;
    let mut text = clean(&proof.job);
    if let Some(copy) = proof.with.get("copy") {
        let from = copy["from"].as_str().expect("from");
        let loaded = record::load("record.yaml", text.clone(), &pack.form);
        let value = loaded.record.expect("a record").get(from).expect("a value").text.clone();
        let to = Some(format!("\"{value}\""));
        text = edit(&text, pack, &Edit { set: copy["to"].as_str().expect("to").into(), to });
    }
    if let Some(later) = proof.with.get("later") {
        let hours = later["hours"].as_i64().expect("hours");
        text = shifted(&text, later["from"].as_str().expect("a time"), hours);
    }
    proof.edits().fold(text, |text, one| edit(&text, pack, one))
}

/// The text with every time from one on moved, as if the work had paused there.
fn shifted(text: &str, from: &str, hours: i64) -> String {
    let form = "%Y-%m-%d %H:%M";
    let time = |t: &str| jiff::civil::DateTime::strptime(form, t).ok();
    let (from, length) = (time(from).expect("a time"), from.len());
    let mut out = String::new();
    let mut at = 0;
    while let Some(rest) = text.get(at..).filter(|rest| !rest.is_empty()) {
        let whole = |t: &&str| t.starts_with(|c: char| c.is_ascii_digit()) && !t.ends_with(' ');
        match rest.get(..length).filter(whole).and_then(time) {
            Some(found) => {
                let moved = if found < from { found } else { found + jiff::Span::new().hours(hours) };
                out.push_str(&moved.strftime(form).to_string());
                at += length;
            }
            None => {
                let next = rest.chars().next().expect("a character");
                out.push(next);
                at += next.len_utf8();
            }
        }
    }
    out
}

pub fn judge(job: &str, text: &str, with: &Json) -> (Judgement, Verdict) {
    let (pack, sum) = &PACKS[job];
    let loaded = record::load("record.yaml", text.to_string(), &pack.form);
    let said: Vec<&str> = loaded.findings.iter().map(|f| f.message.as_str()).collect();
    assert!(said.is_empty(), "{job}: {said:?}");
    let record = loaded.record.expect("a record");
    let beside = Beside::sound(&record).with(with, &record);
    let mut dossier = Dossier::bare(&record, pack, sum, &beside.elsewhere);
    dossier.siblings = &beside.siblings;
    dossier.register = beside.register;
    dossier.files = beside.files;
    dossier.taken = beside.taken;
    dossier.pack_files = beside.pack_files;
    dossier.seal = beside.seal;
    let found = as_found(job, &record);
    dossier.as_found = found.as_ref();
    let judgement = record::judge(&VERIFY, &dossier, &loaded.sources);
    let verdict = record::verdict(&judgement, record::is_complete(&record));
    (judgement, verdict)
}

/// The as-found file that a record names, from the folder of the clean one.
fn as_found(job: &str, record: &record::Record) -> Option<Result<Job, String>> {
    let name = record.get("record.as_found")?.text.clone();
    let file = root().join(format!("jobs/demo/records/{job}/clean")).join(&name);
    let Ok(text) = std::fs::read_to_string(file) else { return Some(Err(format!("{name} can't be read"))) };
    Some(load_as_found(&name, text).job.ok_or_else(|| "unsound".into()))
}

pub fn findings(judgement: &Judgement) -> Vec<String> {
    let grade = |g: Grade| match g {
        Grade::Blocks => "reject",
        Grade::Asks => "query",
        Grade::Advises => "note",
    };
    let mut out: Vec<String> =
        judgement.findings.iter().map(|f| format!("{} {} {}", f.code, f.check, grade(f.grade))).collect();
    out.sort();
    out
}

#[test]
fn clean_records_are_acceptable_with_every_rule_run() {
    let mut judged = BTreeSet::new();
    for job in DEMO {
        let (judgement, verdict) = judge(job, &clean(job), &Json::Null);
        let said: Vec<String> =
            judgement.findings.iter().map(|f| format!("{}: {}", f.code, f.message)).collect();
        assert!(said.is_empty(), "{job}: {}", said.join("\n"));
        assert_eq!(verdict, Verdict::Acceptable, "{job}");
        assert!(judgement.left_out.is_empty(), "{job}: {:?}", judgement.left_out);
        let apart: Vec<&str> = judgement.apart.iter().map(|l| l.code.as_str()).collect();
        assert_eq!(judgement.judged.len() + apart.len(), VERIFY.entries.len(), "{job}");
        // Nothing of a tube on a slip-on body, nothing of a joint on an end.
        let expected: &[&str] = match job {
            "D-0627-P1" => {
                &["A10", "F04", "F10", "F12", "F13", "F16", "F18", "F19", "U06", "X01", "X02", "X03"]
            }
            "D-1106-P2" => &["A10", "A11", "F04", "F16", "F17", "F18", "F19", "X01", "X02", "X03"],
            "D-3314-P1" => &[
                "A10", "A11", "F04", "F09", "F10", "F11", "F12", "F16", "F17", "F18", "F19", "X01", "X02",
                "X03",
            ],
            "I-0512-P1" => &[
                "A10", "A11", "F04", "F09", "F10", "F11", "F12", "F13", "F15", "F16", "F17", "M02", "X01",
                "X02", "X03",
            ],
            _ => &["A10", "A11", "F04", "F16", "F17", "F18", "F19", "X01", "X02", "X03"],
        };
        assert_eq!(apart, expected, "{job}");
        judged.extend(judgement.judged.iter().cloned());
    }
    // No deviation, no concession, no seal, no second record in any of them.
    assert_eq!(judged.len() + 6, VERIFY.entries.len());
}

/// Every proof judged once: code, number of the proof, judgement.
static PROVED: LazyLock<Vec<(usize, usize, Judgement)>> = LazyLock::new(|| {
    let all: Vec<(usize, usize)> = VERIFY
        .entries
        .iter()
        .enumerate()
        .flat_map(|(e, entry)| (0..entry.proofs.len()).map(move |p| (e, p)))
        .collect();
    let one = |(e, p): &(usize, usize)| {
        let proof = &VERIFY.entries[*e].proofs[*p];
        (*e, *p, judge(&proof.job, &changed(proof), &proof.with).0)
    };
    let (left, right) = all.split_at(all.len() / 2);
    std::thread::scope(|scope| {
        let left = scope.spawn(|| left.iter().map(one).collect::<Vec<_>>());
        let mut out: Vec<_> = right.iter().map(one).collect();
        out.extend(left.join().expect("a judged half"));
        out
    })
});

#[test]
fn one_change_makes_its_own_rule_fire() {
    let mut wrong = Vec::new();
    for (e, p, judgement) in &*PROVED {
        let entry = &VERIFY.entries[*e];
        let proof = &entry.proofs[*p];
        let mut expected: Vec<String> = proof.new.iter().map(|e| e.finding.clone()).collect();
        expected.sort();
        let found = findings(judgement);
        let names: Vec<&str> = proof.edits().map(|e| e.set.as_str()).collect();
        if found != expected {
            let said: Vec<&str> = judgement.findings.iter().map(|f| f.message.as_str()).collect();
            wrong.push(format!(
                "{} by {names:?} {}:\n  found {found:?}\n  said  {expected:?}\n  {}",
                entry.code,
                proof.with,
                said.join("\n  ")
            ));
        }
        for expected in &proof.new {
            let own = expected.finding.starts_with(&entry.code);
            if !own && expected.because.as_deref().is_none_or(|b| b.len() < 10) {
                wrong.push(format!("{}: `{}` goes with it without a reason", entry.code, expected.finding));
            }
        }
        if !proof.new.iter().any(|e| e.finding.starts_with(&entry.code)) {
            wrong.push(format!("{}: the proof by {names:?} does not prove it", entry.code));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// Every grade of every check is reached by some proof.
#[test]
fn every_grade_is_proved() {
    let mut reached: BTreeSet<(String, String, Grade)> = BTreeSet::new();
    for (_, _, judgement) in &*PROVED {
        reached.extend(judgement.findings.iter().map(|f| (f.code.clone(), f.check.clone(), f.grade)));
    }
    let mut missing = Vec::new();
    for entry in &VERIFY.entries {
        for check in &entry.checks {
            for rung in &check.ladder {
                if !reached.contains(&(entry.code.clone(), check.id.clone(), rung.grade)) {
                    missing.push(format!("{} {} {:?}", entry.code, check.id, rung.grade));
                }
            }
        }
    }
    assert!(missing.is_empty(), "{missing:?}");
}

/// A rule whose answer is missing is listed, never passed.
#[test]
fn what_is_not_at_hand_is_not_passed() {
    let (pack, sum) = &PACKS["D-2201-P4"];
    let loaded = record::load("record.yaml", clean("D-2201-P4"), &pack.form);
    let record = loaded.record.expect("a record");
    let dossier = Dossier::bare(&record, pack, sum, &[]);
    let judgement = record::judge(&VERIFY, &dossier, &loaded.sources);
    let codes: Vec<&str> = judgement.left_out.iter().map(|l| l.code.as_str()).collect();
    assert_eq!(codes, ["A02", "A09", "I09"]);
    assert!(judgement.left_out.iter().all(|l| !l.why.is_empty()));
}

/// Without the times of the last connection nothing is said of what came before it.
#[test]
fn the_last_connection_without_its_time_is_not_judged() {
    let job = "D-2201-P4";
    let bare = |names: &[&str]| {
        let blank =
            |text: String, name: &&str| edit(&text, &PACKS[job].0, &Edit { set: (*name).into(), to: None });
        judge(job, &names.iter().fold(clean(job), blank), &Json::Null).0
    };
    for names in [
        ["points.terminal_torque.released", "points.terminal_torque.asked"].as_slice(),
        &["points.final_gaps.released", "points.final_gaps.asked", "photos.31.taken"],
        &["disconnected.0.back"],
    ] {
        let judgement = bare(names);
        assert!(judgement.left_out.iter().any(|l| l.code == "U06"), "{names:?}: {:?}", judgement.left_out);
        assert!(judgement.findings.iter().all(|f| f.code != "U06"), "{names:?}");
    }
    // Palms of the far end, put back when this one was closed, ask nothing.
    let far = "  - item: panel F4 palms\n    off: 2031-05-12 15:00\n    back: 2031-05-13 11:00\n";
    let text = clean(job).replace("\n\n# Deviations", &format!("\n{far}\n# Deviations"));
    assert!(text.contains("panel F4 palms"));
    assert_eq!(findings(&judge(job, &text, &Json::Null).0), Vec::<String>::new());
}

/// A record in work is a state: what is there is judged, what is missing comes next.
#[test]
fn a_half_filled_record_says_what_comes_next() {
    let (pack, sum) = &PACKS["D-2201-P4"];
    let blank = record::blank(pack, sum).replace("  zone:  ", "  zone: \"+01:00\"  ");
    let loaded = record::load("record.yaml", blank.clone(), &pack.form);
    assert!(loaded.findings.is_empty(), "{:?}", loaded.findings);
    let empty = record::progress(loaded.record.as_ref().expect("a record"), pack);
    assert_eq!(empty.filled, 0);
    assert!(empty.total > 200 && empty.next.contains("STOP 1, point 1"), "{empty:?}");
    let (judgement, verdict) = judge("D-2201-P4", &blank, &Json::Null);
    assert_eq!(verdict, Verdict::InWork);
    let said: Vec<&String> = judgement.findings.iter().map(|f| &f.message).collect();
    assert!(said.is_empty(), "{said:?}");
    // Halfway: the figure outside its limit is told at once.
    let half = clean("D-2201-P4").replace("completed: 2031-05-13 13:30", "completed:");
    let half = edit(&half, pack, &Edit { set: "points.semicon_edge.edge.L2".into(), to: Some("95".into()) });
    let (judgement, verdict) = judge("D-2201-P4", &half, &Json::Null);
    assert_eq!(verdict, Verdict::InWork);
    assert!(findings(&judgement).contains(&"F03 limit reject".to_string()));
}

/// A fault as a change on the clean record, and what it comes to.
#[derive(serde::Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Fault {
    pub what: String,
    pub change: Vec<Edit>,
    pub finds: Vec<String>,
    pub verdict: String,
}

/// The planted faults beside a clean record, by the names of their folders.
pub fn faults(job: &str) -> BTreeMap<String, Fault> {
    let folder = root().join(format!("jobs/demo/records/{job}"));
    let all = std::fs::read_dir(&folder).expect("records").filter_map(Result::ok);
    let fault = |path: std::path::PathBuf| {
        let text = std::fs::read_to_string(path.join("change.yaml")).expect("a change");
        serde_yaml::from_str::<Fault>(&text).expect("a change of the known form")
    };
    all.map(|e| (e.file_name().to_string_lossy().into_owned(), e.path()))
        .filter(|(name, _)| name.starts_with("fault-"))
        .map(|(name, path)| (name, fault(path)))
        .collect()
}

/// The planted faults beside the clean records: each a small change, each found
/// by the rule that should, with evidence.
#[test]
fn every_planted_fault_is_found() {
    let mut seen = 0;
    for job in DEMO {
        let sound = clean(job);
        for (name, fault) in faults(job) {
            let text = planted(job, &name, &fault, &sound);
            let other = text.lines().filter(|l| !sound.lines().any(|s| s == *l)).count();
            assert!(other <= 3, "{name}: {other} lines differ");
            let (judgement, found) = judge(job, &text, &Json::Null);
            let said: Vec<&str> = judgement.findings.iter().map(|f| f.message.as_str()).collect();
            assert_eq!(findings(&judgement), fault.finds, "{job} {name}: {said:?}");
            assert_eq!(found.words(), fault.verdict, "{job} {name}");
            assert!(judgement.findings.iter().all(|f| !f.figures.is_empty()), "{name}: no evidence");
            assert!(fault.what.len() > 20, "{name}");
            seen += 1;
        }
    }
    assert_eq!(seen, 14);
}

/// The text of a fault: a whole record for the first job, which the README verifies,
/// and a change on the clean one for the others.
fn planted(job: &str, name: &str, fault: &Fault, sound: &str) -> String {
    let pack = &PACKS[job].0;
    let text = fault.change.iter().fold(sound.to_string(), |text, one| edit(&text, pack, one));
    let whole = root().join(format!("jobs/demo/records/{job}/{name}/record.yaml"));
    if let Ok(whole) = std::fs::read_to_string(whole) {
        let whole = whole.replace(&record::head(&whole).pack, &PACKS[job].1);
        assert_eq!(whole, text, "{name}: record and change differ");
    }
    text
}

/// The demonstration records name the pack as it is issued now.
/// `UPDATE=1 cargo test demonstration_records` rewrites that line.
#[test]
fn demonstration_records_name_the_pack() {
    let folder = root().join("jobs/demo/records");
    for entry in walkdir::WalkDir::new(&folder).into_iter().filter_map(Result::ok) {
        if entry.file_name() != "record.yaml" {
            continue;
        }
        let text = std::fs::read_to_string(entry.path()).expect("a record");
        let head = record::head(&text);
        let sum = &PACKS[format!("{}-{}", head.job, head.revision).as_str()].1;
        if std::env::var_os("UPDATE").is_some() {
            std::fs::write(entry.path(), text.replace(&head.pack, sum)).expect("written");
            continue;
        }
        assert_eq!(
            &head.pack,
            sum,
            "{}: run UPDATE=1 cargo test demonstration_records",
            entry.path().display()
        );
    }
}

/// Trouble in the text is told all at once, each at its line, with the nearest key.
#[test]
fn reading_trouble_is_told_all_at_once() {
    let pack = &PACKS["D-2201-P4"].0;
    let text = clean("D-2201-P4")
        .replace("    edge: {", "    egde: {")
        .replace("earth_lead: 16", "earth_lead: 1,600")
        .replace("kit_expiry: 2034-01-31", "kit_expiry: 01/02/2034");
    let loaded = record::load("record.yaml", text, &pack.form);
    let said: Vec<String> = loaded.findings.iter().map(|f| format!("{} {}", f.message, f.remedy)).collect();
    assert_eq!(said.len(), 3, "{said:?}");
    assert!(said.iter().any(|s| s.contains("egde") && s.contains("Did you mean `edge`")), "{said:?}");
    assert_eq!(said.iter().filter(|s| s.contains("two ways")).count(), 2, "{said:?}");
    for hostile in ["", "a: [", "&a [*a]", "- 1", "record: 5", "points: {tube: {length: {L1: {x: 1}}}}"] {
        let loaded = record::load("record.yaml", hostile.to_string(), &pack.form);
        assert!(loaded.record.is_none() || !loaded.findings.is_empty() || hostile.is_empty(), "{hostile}");
    }
}
