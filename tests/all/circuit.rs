//! Jobs of one circuit judged across: every rule's proofs, which jobs belong
//! together, and what a folder's report says.

use crate::support::{BOOK, PRESS, library, root};
use cutback::circuit::{self, Member};
use cutback::cli::{Judged, judge_text};
use cutback::finding::{Grade, Judgement, Part};
use cutback::rules::{Edit, RuleBook};
use cutback::source::Source;
use std::collections::{BTreeMap, BTreeSet};
use std::process::Command;
use std::sync::LazyLock;

const FOLDER: &str = "jobs/demo/hollin-loop";
const JOBS: [&str; 3] = ["H-0921-P1", "H-0922-P1", "H-0923-P1"];

static ACROSS: LazyLock<RuleBook> = LazyLock::new(|| circuit::rule_book().expect("our rule files are sound"));

fn text_of(job: &str) -> String {
    std::fs::read_to_string(root().join(FOLDER).join(format!("{job}.yaml"))).expect("a job")
}

/// The text with one answer written in another way, or added to its group; none
/// takes it away.
fn changed(text: String, key: &str, to: Option<&str>) -> String {
    let (source, error) = Source::read("job.yaml", text.clone());
    assert!(error.is_none(), "{error:?}");
    let pointer = format!("/{}", key.replace('.', "/"));
    let mut text = text;
    if source.has(&pointer) {
        text.replace_range(source.locate(&pointer).at, to.unwrap_or(""));
        return text;
    }
    let (group, leaf) = key.rsplit_once('.').expect("a group");
    let at = source.locate(&format!("/{}", group.replace('.', "/"))).at.start;
    let to = to.expect("an answer to add");
    let flow = text[at..].starts_with('{');
    let (at, line) =
        if flow { (at + 1, format!("{leaf}: {to}, ")) } else { (at, format!("{leaf}: {to}\n  ")) };
    text.insert_str(at, &line);
    text
}

/// The sound circuit with a proof's changes.
fn files(job: &str, edits: &[&Edit], with: &serde_json::Value) -> Vec<(String, String)> {
    let set = |mut text: String, changes: &serde_json::Value| {
        for (key, to) in changes.as_object().into_iter().flatten() {
            text = changed(text, key, to.as_str());
        }
        text
    };
    let mut out: Vec<(String, String)> = Vec::new();
    for name in JOBS {
        let mut text = text_of(name);
        for edit in edits.iter().filter(|_| name == job) {
            text = changed(text, &edit.set, edit.to.as_deref());
        }
        out.push((format!("{name}.yaml"), set(text, &with[name])));
    }
    for (name, changes) in with["again"].as_object().into_iter().flatten() {
        out.push((format!("{name}-again.yaml"), set(text_of(name), changes)));
    }
    out
}

struct Folder {
    jobs: Vec<Judged>,
}

impl Folder {
    fn new(files: &[(String, String)]) -> Folder {
        let judge = |(name, text): &(String, String)| {
            let judged = judge_text(name, text.clone(), &library(), &BOOK, &PRESS);
            assert!(judged.judged.is_some(), "{name}: {:?}", judged.reading);
            judged
        };
        Folder { jobs: files.iter().map(judge).collect() }
    }

    fn members(&self) -> Vec<Member<'_>> {
        let mut out = Vec::new();
        for one in &self.jobs {
            if let Some((job, sheet, _)) = one.judged.as_ref() {
                out.push(Member { file: &one.file, sources: &one.sources, job, sheet });
            }
        }
        out
    }

    /// Findings across the one circuit of the folder.
    fn judgement(&self) -> (Judgement, Vec<Source>) {
        let all = self.members();
        let circuits = circuit::circuits(&all);
        assert_eq!(circuits.len(), 1, "one circuit");
        let own: Vec<Member> = circuits[0].jobs.iter().map(|i| all[*i]).collect();
        let sources = circuit::sources(&own);
        (circuit::judge(&ACROSS, &circuits[0], &own, &sources), sources)
    }
}

fn told(judgement: &Judgement) -> Vec<String> {
    let mut out: Vec<String> = judgement
        .findings
        .iter()
        .map(|f| {
            let grade = match f.grade {
                Grade::Blocks => "blocks",
                Grade::Asks => "asks",
                Grade::Advises => "advises",
            };
            format!("{} {} {grade}", f.code, f.check)
        })
        .collect();
    out.extend(judgement.not_judged.iter().map(|n| format!("{} {} not-judged", n.code, n.check)));
    out.sort();
    out
}

#[test]
fn the_sound_circuit_agrees() {
    let (judgement, _) = Folder::new(&files("", &[], &serde_json::Value::Null)).judgement();
    assert_eq!(told(&judgement), Vec::<String>::new());
    assert_eq!(judgement.judged.len(), ACROSS.entries.len(), "every rule had something to judge");
}

#[test]
fn every_proof_across_jobs_holds() {
    let mut wrong = Vec::new();
    let mut reached: BTreeSet<(String, String, String)> = BTreeSet::new();
    for entry in &ACROSS.entries {
        for (i, proof) in entry.proofs.iter().enumerate() {
            let edits: Vec<&Edit> = proof.edits().collect();
            let (judgement, sources) = Folder::new(&files(&proof.job, &edits, &proof.with)).judgement();
            let mut said: Vec<String> = proof.new.iter().map(|e| e.finding.clone()).collect();
            said.sort();
            let found = told(&judgement);
            if found != said {
                wrong.push(format!("{} proof {}:\n  found {found:?}\n  said  {said:?}", entry.code, i + 1));
            }
            let mut seen = BTreeMap::new();
            for expected in &proof.new {
                let first = *seen.entry(&expected.finding).and_modify(|n| *n += 1).or_insert(1) == 1;
                let own = expected.finding.starts_with(&entry.code) && first;
                if !own && expected.because.as_deref().is_none_or(|b| b.trim().len() < 10) {
                    wrong.push(format!("{}: `{}` without a reason", entry.code, expected.finding));
                }
            }
            for finding in judgement.findings.iter().filter(|f| f.code == entry.code) {
                let check = entry.checks.iter().find(|c| c.id == finding.check).expect("a check");
                let rung = check.ladder.iter().position(|r| r.remedy == finding.remedy).expect("a rung");
                reached.insert((entry.code.clone(), finding.check.clone(), rung.to_string()));
                // Every place is really written in the file it names.
                for place in &finding.places {
                    let source = &sources[place.source];
                    assert!(
                        source.has(&place.pointer),
                        "{}: {} in {}",
                        entry.code,
                        place.pointer,
                        source.name()
                    );
                    assert_eq!(place.part, Part::Value);
                }
                let jobs: BTreeSet<&str> = finding.places.iter().map(|p| sources[p.source].name()).collect();
                let two = !matches!(entry.each.as_deref(), None | Some("member"));
                assert!(!two || jobs.len() > 1, "{}: names one file only: {jobs:?}", entry.code);
            }
        }
    }
    for entry in &ACROSS.entries {
        for check in &entry.checks {
            for rung in 0..check.ladder.len() {
                if !reached.contains(&(entry.code.clone(), check.id.clone(), rung.to_string())) {
                    wrong.push(format!("{} {} rung {}: no proof reaches it", entry.code, check.id, rung + 1));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// Whatever a rule reads and one job leaves out is a question, never agreement.
#[test]
fn no_rule_across_jobs_passes_in_silence() {
    for (key, code) in [
        ("circuit.phases", "C01"),
        ("bonding.scheme", "C02"),
        ("cable.length", "C02"),
        ("system.neutral", "C02"),
        ("isolation.back_feed.solar", "C03"),
        ("documents.permit", "C03"),
        ("tests.planned", "C04"),
        ("tests.lowest_rating", "C05"),
        ("tests.disconnect", "C05"),
        ("job.planned", "C05"),
        ("job.planned", "C09"),
    ] {
        let edit = Edit { set: key.into(), to: None };
        let (judgement, sources) =
            Folder::new(&files("H-0921-P1", &[&edit], &serde_json::Value::Null)).judgement();
        let open: Vec<_> = judgement.not_judged.iter().filter(|n| n.code == code && n.is_open()).collect();
        assert!(!open.is_empty(), "{key} left out and {code} says nothing: {:?}", told(&judgement));
        for one in open {
            assert_eq!(one.missing[0].name, key, "named as the job file names it");
            let at = sources[one.place.source].name();
            assert!(at == "H-0921-P1.yaml" || key == "cable.length", "{key} missing at {at}");
            assert!(one.why.contains("H-0921-P1.yaml"), "{}", one.why);
        }
    }
}

/// Files of other circuits, plans never issued and earlier revisions do not meet.
#[test]
fn jobs_that_do_not_belong_together() {
    let mut texts: Vec<(String, String)> = ["D-2201-P1", "D-2201-P2", "D-2201-P4", "K-0417-P1", "D-3314-P1"]
        .iter()
        .map(|name| (format!("{name}.yaml"), crate::support::job_text(name)))
        .collect();
    let folder = Folder::new(&texts);
    assert_eq!(circuit::circuits(&folder.members()), Vec::new());
    // The same file twice is one job; capitals and blanks part no circuit.
    texts.push(("H-0921-P1.yaml".into(), text_of("H-0921-P1")));
    texts.push(("H-0921-P1.yaml".into(), text_of("H-0921-P1")));
    assert_eq!(circuit::circuits(&Folder::new(&texts).members()), Vec::new());
    let other = text_of("H-0923-P1").replace("\"Hollin loop, section 2\"", "\"hollin  Loop, section 2\"");
    texts.push(("H-0923-P1.yaml".into(), other));
    let folder = Folder::new(&texts);
    let found = circuit::circuits(&folder.members());
    assert_eq!(found.len(), 1);
    assert_eq!((found[0].name.as_str(), &found[0].jobs), ("Hollin loop, section 2", &vec![5, 7]));
}

/// P10 comes after P9, and the date of the pack before both.
#[test]
fn the_last_revision_counts() {
    let h = |revision: &str, date: &str| {
        let text = changed(text_of("H-0923-P1"), "job.revision", Some(revision));
        (format!("{revision}.yaml"), changed(text, "job.date", Some(date)))
    };
    let texts = [
        ("H-0921-P1.yaml".to_string(), text_of("H-0921-P1")),
        h("P10", "2031-06-10"),
        h("P9", "2031-06-10"),
        h("C1", "2031-06-12"),
        h("P11", "2031-06-11"),
    ];
    let folder = Folder::new(&texts);
    let found = circuit::circuits(&folder.members());
    assert_eq!(found[0].jobs, [0, 3], "C1, by its date");
    let earlier: Vec<usize> = found[0].earlier.iter().map(|(i, _)| *i).collect();
    assert_eq!(earlier, [2, 1, 4], "P9, P10, P11");
}

fn run(dir: &std::path::Path, args: &[&str]) -> (i32, String) {
    let out = Command::new(env!("CARGO_BIN_EXE_cutback"))
        .args(args)
        .current_dir(dir)
        .env("NO_COLOR", "1")
        .output()
        .expect("cutback runs");
    (out.status.code().unwrap_or(-1), String::from_utf8_lossy(&out.stdout).into_owned())
}

/// A folder of one circuit with a swapped phase map is refused, in text, JSON and
/// SARIF, naming both files and lines, and none of its packs is issued.
#[test]
fn a_swapped_phase_map_is_refused() {
    let dir = tempfile::tempdir().expect("a folder");
    let folder = dir.path().join("loop");
    std::fs::create_dir(&folder).expect("a folder");
    for name in JOBS {
        let mut text = text_of(name);
        if name == "H-0923-P1" {
            text = changed(text, "circuit.phases", Some("L1 L3 L2"));
            text = text.replace("core 2 L2, core 3 L3", "core 2 L3, core 3 L2");
        }
        std::fs::write(folder.join(format!("{name}.yaml")), text).expect("a job");
    }
    let line = |name: &str| {
        let text = std::fs::read_to_string(folder.join(format!("{name}.yaml"))).expect("a job");
        1 + text.lines().position(|l| l.trim_start().starts_with("phases:")).expect("phases")
    };
    let (first, last) = (line("H-0921-P1"), line("H-0923-P1"));
    let library = root().join("jobs/library");
    let library = library.to_str().expect("a path");
    let (code, text) = run(dir.path(), &["check", "loop", "--library", library]);
    assert_eq!(code, 1, "{text}");
    for wanted in [
        format!("loop/H-0921-P1.yaml:{first}:"),
        format!("loop/H-0923-P1.yaml:{last}:"),
        "error[C01]: blocks issue".to_string(),
        "do not agree".to_string(),
    ] {
        assert!(text.contains(&wanted), "no `{wanted}` in\n{text}");
    }
    assert!(text.lines().all(|l| l.chars().count() <= 80), "{text}");
    let (code, json) = run(dir.path(), &["check", "loop", "--library", library, "--format", "json"]);
    assert_eq!(code, 1);
    let all: Vec<serde_json::Value> =
        json.lines().map(|l| serde_json::from_str(l).expect("an object a line")).collect();
    let circuit = all.last().expect("the circuit");
    assert_eq!(circuit["circuit"], "Hollin loop, section 2");
    let places = circuit["findings"][0]["places"].as_array().expect("places");
    let at: Vec<(String, u64)> = places
        .iter()
        .map(|p| (p["file"].as_str().expect("a file").to_string(), p["line"].as_u64().expect("a line")))
        .collect();
    assert_eq!(
        at,
        [("H-0921-P1.yaml".to_string(), first as u64), ("H-0923-P1.yaml".to_string(), last as u64)]
    );
    let (code, sarif) = run(dir.path(), &["check", "loop", "--library", library, "--format", "sarif"]);
    assert_eq!(code, 1);
    let log: serde_json::Value = serde_json::from_str(&sarif).expect("SARIF");
    let results = log["runs"][0]["results"].as_array().expect("results");
    let swapped = results.iter().find(|r| r["ruleId"] == "C01").expect("the finding");
    let uri = |place: &serde_json::Value| {
        let at = &place["physicalLocation"];
        (at["artifactLocation"]["uri"].clone(), at["region"]["startLine"].clone())
    };
    assert_eq!(uri(&swapped["locations"][0]), ("loop/H-0921-P1.yaml".into(), first.into()));
    assert_eq!(uri(&swapped["relatedLocations"][0]), ("loop/H-0923-P1.yaml".into(), last.into()));
    assert_eq!(log["runs"][0]["properties"]["circuits"][0]["open"], 1);
    let (code, text) = run(dir.path(), &["issue", "loop", "--library", library]);
    assert_eq!(code, 1);
    assert_eq!(text.matches("not issued: the jobs of its circuit do not agree").count(), 3, "{text}");
    assert!(!dir.path().join("issued").exists());
}

/// The sound circuit is issued whole: one pack tests, two say where.
#[test]
fn a_sound_circuit_is_issued_and_tested_once() {
    for (name, tested) in [("H-0921-P1", false), ("H-0922-P1", false), ("H-0923-P1", true)] {
        let (pack, json) = crate::issuing::pack_of(text_of(name));
        let steps: Vec<&str> =
            pack.method.runs.iter().flat_map(|r| &r.steps).map(|s| s.id.as_str()).collect();
        assert_eq!(steps.contains(&"Z06"), tested, "{name}");
        assert_eq!(steps.contains(&"S03-again"), tested, "{name}");
        assert_eq!(pack.tests.rows.is_empty(), !tested, "{name}");
        assert_eq!(pack.hazards.iter().any(|h| h.id == "stored-charge"), tested, "{name}");
        assert_eq!(pack.method.runs.iter().any(|r| r.document == "test"), tested, "{name}");
        if !tested {
            assert!(pack.tests.notes[0].contains("H-0923 SW9-C1"), "{:?}", pack.tests.notes);
        }
        let copy = cutback::press::Copy::new(&pack, &"0".repeat(64), true, 0);
        PRESS.print(&pack, &json, &copy).expect("it prints");
    }
}

/// However the folder is called, a circuit's findings read the same and name no machine;
/// what both jobs lack is asked of each.
#[test]
fn files_are_named_from_the_circuits_folder() {
    let dir = tempfile::tempdir().expect("a folder");
    let folder = dir.path().join("east/loop");
    std::fs::create_dir_all(&folder).expect("a folder");
    for job in JOBS {
        let mut text = changed(text_of(job), "tests.planned", Some("yes"));
        if job != "H-0923-P1" {
            text = changed(text, "circuit.phases", None);
        }
        if job == "H-0922-P1" {
            text = changed(text, "isolation.points.0.device", Some("switch 12 open"));
        }
        std::fs::write(folder.join(format!("{job}.yaml")), text).expect("written");
    }
    let run = |at: &std::path::Path, path: &str, format: &str| {
        let mut command = Command::new(env!("CARGO_BIN_EXE_cutback"));
        let library = root().join("jobs/library");
        let args = ["check", path, "--format", format, "--library"];
        let out = command.current_dir(at).args(args).arg(&library).output().expect("a run");
        String::from_utf8(out.stdout).expect("text")
    };
    let whole = folder.to_str().expect("a path").to_string();
    let line = |path: &str| {
        let text = run(dir.path(), path, "json");
        text.lines().find(|l| l.contains("\"circuit\":")).expect("the circuit's line").to_string()
    };
    let typed = line("east/loop");
    assert!(typed.contains("circuit: H-0921-P1.yaml, H-0922-P1.yaml, H-0923-P1.yaml"), "{typed}");
    assert!(typed.contains("switch 12 open (only in H-0922-P1.yaml)"), "{typed}");
    assert!(!typed.contains("east"), "{typed}");
    assert_eq!(line("./east/../east/loop"), typed);
    assert_eq!(line(&whole), typed);
    let sarif = run(dir.path(), &whole, "sarif");
    assert_eq!(sarif, run(dir.path(), "east/loop", "sarif"));
    assert!(!sarif.contains(&whole), "names the machine");
    // C01 asks each file once.
    let parsed: serde_json::Value = serde_json::from_str(&typed).expect("JSON");
    let asked = parsed["not_judged"].as_array().expect("a list").iter().filter(|n| n["code"] == "C01");
    let asked: Vec<&str> = asked.filter_map(|n| n["why"].as_str()).collect();
    assert_eq!(
        asked,
        ["`circuit.phases` is missing in H-0921-P1.yaml, `circuit.phases` is missing in H-0922-P1.yaml"]
    );
}
