//! What is to be done with an end as it was found: decisions and reasons of the
//! demonstration, every row of the table proved, and nothing kept on a question
//! that was not answered.

use crate::decide_command::cutback;
use crate::support::{BOOK, job_text, library, root};
use cutback::facts;
use cutback::finding::{Finding, Grade};
use cutback::inspection::{self, Decided, Decision, Request};
use cutback::job::{self, Job};
use cutback::rules::RuleBook;
use cutback::source::Source;
use std::collections::BTreeSet;
use std::path::PathBuf;
use std::sync::LazyLock;

static TABLE: LazyLock<RuleBook> = LazyLock::new(|| inspection::table().expect("our table is sound"));

/// As-found file, its job, what comes out, and the reasons that call for more than
/// watching.
pub const DEMO: &[(&str, &str, Decision, &[&str])] = &[
    ("sound", "I-0512-P1", Decision::Keep, &[]),
    ("no-record", "I-0518-P1", Decision::KeepAndWatch, &["Q16 record watch"]),
    (
        "tube-short",
        "I-0518-P1",
        Decision::Remake,
        &[
            "Q01 voltage remake",
            "Q01 voltage remake",
            "Q01 voltage remake",
            "Q02 cover remake",
            "Q02 cover remake",
            "Q02 cover remake",
            "Q16 record watch",
        ],
    ),
    (
        "mastic",
        "I-0512-P1",
        Decision::Remake,
        &["Q03 mastic remake", "Q04 colour remake", "Q15 discharge watch"],
    ),
    (
        "geometry",
        "I-0523-P1",
        Decision::Redesign,
        &[
            "Q08 gap redesign",
            "Q08 gap redesign",
            "Q12 powder watch",
            "Q15 discharge watch",
            "Q15 tests watch",
        ],
    ),
    (
        "tracking",
        "I-0607-P1",
        Decision::Remake,
        &[
            "Q12 powder watch",
            "Q12 surface remake",
            "Q15 discharge watch",
            "Q18 found remake",
            "Q19 sheds watch",
        ],
    ),
];

fn path(found: &str) -> PathBuf {
    root().join(format!("jobs/demo/found/{found}.yaml"))
}

pub fn found_text(found: &str) -> String {
    std::fs::read_to_string(path(found)).unwrap_or_else(|e| panic!("{found}: {e}"))
}

fn job_of(found: &str) -> &'static str {
    DEMO.iter().find(|(name, ..)| *name == found).map(|(_, job, ..)| *job).expect("a demonstration")
}

/// The text with what stands at a dotted key written in another way; nothing takes
/// the answer away.
fn edited(text: String, key: &str, to: Option<&str>) -> String {
    let (source, error) = Source::read("edited", text);
    let pointer = format!("/{}", key.replace('.', "/"));
    assert!(error.is_none() && source.has(&pointer), "nothing stands at {key} to edit");
    let mut text = source.text().to_string();
    let quoted = to.map(|t| if t.contains(',') { format!("\"{t}\"") } else { t.to_string() });
    text.replace_range(source.locate(&pointer).at, quoted.as_deref().unwrap_or(""));
    text
}

struct Case {
    decided: Decided,
    lines: Vec<String>,
}

fn grade(f: Grade) -> &'static str {
    match f {
        Grade::Blocks => "redesign",
        Grade::Asks => "remake",
        Grade::Advises => "watch",
    }
}

fn decided(job_name: &str, job: String, found: String, library: &job::Library) -> Case {
    let file = format!("{job_name}.yaml");
    let loaded = job::load(&file, job.clone(), library);
    assert_eq!(loaded.findings, [], "{job_name}");
    let read = loaded.job.expect("a job");
    let sheet = facts::sheet(&read);
    let as_found = job::load_as_found("found.yaml", found);
    assert_eq!(as_found.findings, [], "{job_name}: as found");
    let found: Job = as_found.job.expect("an as-found file");
    let sources = as_found.sources.into_iter().chain(loaded.sources).collect();
    let request = Request {
        found: &found,
        file: &file,
        text: &job,
        job: &read,
        sheet: &sheet,
        sources: &sources,
        library,
        book: &BOOK,
        table: &TABLE,
    };
    let decided = inspection::decide(&request);
    let line = |f: &Finding| format!("{} {} {}", f.code, f.check, grade(f.grade));
    let mut lines: Vec<String> = decided.judgement.findings.iter().map(line).collect();
    lines.extend(decided.judgement.not_judged.iter().map(|n| format!("{} {} not-judged", n.code, n.check)));
    lines.sort();
    Case { decided, lines }
}

fn demo(found: &str) -> Case {
    let job = job_of(found);
    decided(job, job_text(job), found_text(found), &library())
}

/// The demonstration with answers changed: keys of the as-found file, after `job:`
/// of the job or of the kit it names.
fn changed(found: &str, edits: &[(&str, Option<&str>)]) -> Case {
    let name = job_of(found);
    let (mut job, mut text, mut shelves) = (job_text(name), found_text(found), library());
    for (key, to) in edits {
        match key.strip_prefix("job:") {
            None => text = edited(text, key, *to),
            Some(key) if key.starts_with("kit.") => {
                let kit =
                    job::load(name, job.clone(), &shelves).job.and_then(|j| j.text("kit")).expect("a kit");
                let shelf = cutback::job::schema::Shelf::Kits;
                let item = shelves.fetch(shelf, &kit).expect("in the library").text;
                shelves = shelves.with(shelf, &kit, edited(item, &key["kit.".len()..], *to));
            }
            Some(key) => job = edited(job, key, *to),
        }
    }
    decided(name, job, text, &shelves)
}

#[test]
fn ends_and_what_becomes_of_them() {
    for (found, _, decision, reasons) in DEMO {
        let case = demo(found);
        assert_eq!(case.decided.decision, *decision, "{found}: {:?}", case.lines);
        assert_eq!(case.lines, *reasons, "{found}");
        assert_eq!(case.decided.judgement.not_judged, [], "{found}");
    }
}

#[test]
fn a_tube_of_90_mm_at_22_kv_says_what_it_suits() {
    let case = demo("tube-short");
    let tube = case.decided.judgement.findings.iter().find(|f| f.code == "Q01").expect("a finding");
    for part in ["Phase L1", "90 mm", "suits 6.6 kV", "at 22 kV", "190 mm to 250 mm"] {
        assert!(tube.message.contains(part), "{part}: {}", tube.message);
    }
    assert_eq!(tube.basis, "common practice, no source");
    assert_eq!(tube.margin.as_deref(), Some("-100 mm"));
}

#[test]
fn mastic_in_the_wrong_place_is_told_by_phase() {
    let case = demo("mastic");
    let messages: Vec<&str> = case.decided.judgement.findings.iter().map(|f| f.message.as_str()).collect();
    let wrong = messages.iter().find(|m| m.contains("upper end")).expect("a reason");
    assert!(wrong.starts_with("Phase L2:") && wrong.contains("none at the semicon edge"), "{wrong}");
}

/// The box forces it: 9.1 mm is the most any dressing gives, 25 mm the least; the
/// way out is the crutch below the plate.
#[test]
fn geometry_is_computed_and_searched() {
    let case = demo("geometry");
    assert!(case.decided.geometry);
    let gap = case.decided.judgement.findings.iter().find(|f| f.code == "Q08").expect("a finding");
    assert!(gap.message.contains("most any dressing gives in this box 9.1 mm"), "{}", gap.message);
    let run = cutback(&["decide", "jobs/demo/I-0523-P1.yaml", "jobs/demo/found/geometry.yaml"]);
    let text = String::from_utf8_lossy(&run.stdout);
    assert_eq!(run.status.code(), Some(1));
    for part in ["REDESIGN", "crutch below the plate, three single entries", "35.9 mm"] {
        assert!(text.contains(part), "{part}:\n{text}");
    }
    assert!(text.lines().all(|l| l.chars().count() <= 80), "wider than 80 columns:\n{text}");
}

#[test]
fn every_proof_of_the_table_holds() {
    let mut wrong = Vec::new();
    for entry in &TABLE.entries {
        for proof in &entry.proofs {
            let edits: Vec<(&str, Option<&str>)> =
                proof.edits().map(|e| (e.set.as_str(), e.to.as_deref())).collect();
            let (before, after) = (demo(&proof.job).lines, changed(&proof.job, &edits).lines);
            let (new, gone) = (difference(&after, &before), difference(&before, &after));
            let said = |list: &[cutback::rules::Expected]| {
                let mut all: Vec<String> = list.iter().map(|e| e.finding.clone()).collect();
                all.sort();
                all
            };
            if new != said(&proof.new) || gone != said(&proof.gone) {
                wrong.push(format!(
                    "{} on {}, {edits:?}:\n  new  {new:?}\n  gone {gone:?}",
                    entry.code, proof.job
                ));
            }
            if !proof.new.iter().any(|e| e.finding.starts_with(&entry.code)) {
                wrong.push(format!("{}: {edits:?} does not prove it", entry.code));
            }
            for expected in &proof.new {
                let own = expected.finding.starts_with(&entry.code);
                if !own && expected.because.as_deref().is_none_or(|b| b.trim().len() < 10) {
                    wrong.push(format!(
                        "{}: `{}` goes with it without a reason",
                        entry.code, expected.finding
                    ));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

fn difference(from: &[String], to: &[String]) -> Vec<String> {
    let mut left = from.to_vec();
    for one in to {
        if let Some(i) = left.iter().position(|l| l == one) {
            left.remove(i);
        }
    }
    left
}

#[test]
fn every_rung_of_the_table_is_reached() {
    let mut reached = BTreeSet::new();
    let mut note = |case: &Case| {
        for f in &case.decided.judgement.findings {
            let entry = TABLE.entry(&f.code).expect("a row");
            let check = entry.checks.iter().find(|c| c.id == f.check).expect("a check");
            let rung = check.ladder.iter().position(|r| r.grade == f.grade && r.remedy == f.remedy);
            reached.insert((f.code.clone(), f.check.clone(), rung.expect("a rung")));
        }
    };
    DEMO.iter().for_each(|(found, ..)| note(&demo(found)));
    for proof in TABLE.entries.iter().flat_map(|e| &e.proofs) {
        let edits: Vec<_> = proof.edits().map(|e| (e.set.as_str(), e.to.as_deref())).collect();
        note(&changed(&proof.job, &edits));
    }
    let mut missing = Vec::new();
    for entry in &TABLE.entries {
        for check in &entry.checks {
            for (i, rung) in check.ladder.iter().enumerate() {
                assert!(rung.remedy.len() > 10 && !rung.remedy.contains("{{"), "{}", entry.code);
                if !reached.contains(&(entry.code.clone(), check.id.clone(), i)) {
                    missing.push(format!("{} {} rung {i}: {}", entry.code, check.id, rung.when));
                }
            }
        }
    }
    assert!(missing.is_empty(), "no proof reaches:\n{}", missing.join("\n"));
}

/// Answers that say nothing about the end, or are asked only where something else
/// was found, each with the reason.
const MAY_BE_LEFT_OUT: &[(&str, &str)] = &[
    ("found.date", "the record has it"),
    ("found.by", "the record has it"),
    ("found.invented", "of the demonstration"),
    ("survey.load", "written beside the survey, judged by nobody"),
    ("height", "where the least gap lies is printed with a gap that is short"),
    ("where", "printed with what was found"),
    ("remake.cut_from_stud", "asked where a new end is called for"),
    ("remake.slack", "asked where a new end is called for"),
];

/// Whatever one answer is taken away: not kept, and it is named.
#[test]
fn nothing_is_kept_on_a_missing_answer() {
    let (source, _) = Source::read("found.yaml", found_text("sound"));
    let keys: Vec<String> = source
        .pointers()
        .filter(|p| !source.pointers().any(|other| other.starts_with(&format!("{p}/"))))
        .map(|p| p.trim_start_matches('/').replace('/', "."))
        .filter(|key| !matches!(key.as_str(), "found.job" | "found.revision" | "found.end"))
        .collect();
    assert!(keys.len() > 60, "{}", keys.len());
    let mut wrong = Vec::new();
    for key in &keys {
        let last = key.rsplit('.').next().unwrap_or(key);
        let excused =
            MAY_BE_LEFT_OUT.iter().any(|(name, why)| !why.is_empty() && (name == key || *name == last));
        let case = changed("sound", &[(key, None)]);
        let named =
            case.decided.judgement.not_judged.iter().any(|n| n.missing.iter().any(|m| m.name == *key));
        match (excused, case.decided.decision) {
            (true, Decision::Keep) => {}
            (false, Decision::NotDecided) if named => {}
            (_, decision) => wrong.push(format!("without {key}: {decision:?}, {:?}", case.lines)),
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// What is certain is said though an answer is missing; only a redesign stands
/// whatever else comes.
#[test]
fn certain_and_open_at_once() {
    let case = changed("tube-short", &[("l1.surface", None)]);
    assert_eq!((case.decided.decision, case.decided.at_least), (Decision::NotDecided, Decision::Remake));
    let case = changed("tube-short", &[("remake.slack", None)]);
    assert_eq!(case.decided.decision, Decision::NotDecided);
    let case = changed("geometry", &[("l1.surface", None)]);
    assert_eq!(case.decided.decision, Decision::Redesign);
    let case = changed("sound", &[("job:kit.sct.recovered_least", None)]);
    assert_eq!(case.decided.decision, Decision::NotDecided);
}

/// The blank form reads, asks every key, and filled in decides like the file it was
/// filled from.
#[test]
fn the_form_asks_everything() {
    let form = job::fresh("as-found").expect("a form");
    let text = crate::new::filled(&form, &found_text("tube-short"));
    let case = decided("I-0518-P1", job_text("I-0518-P1"), text, &library());
    assert_eq!(case.decided.decision, Decision::Remake);
    assert_eq!(case.lines, demo("tube-short").lines);
    let schema = crate::json_schema::Schema::new(cutback::job::schema::as_found_schema());
    for (found, ..) in DEMO {
        let tree = serde_yaml::from_str(&found_text(found)).expect("YAML");
        assert_eq!(schema.errors(&tree), Vec::<String>::new(), "{found}");
    }
}

/// Old slip-on ends on a pole that nobody has a record of: the client's limits are asked,
/// the tube's rows have nothing to ask of a body, and sheds and creepage decide.
#[test]
fn an_outdoor_end_of_unknown_make() {
    let mut job =
        job_text("I-0607-P1").replace("kit: ZQ12-3O-S5\nlug: ZL-AL95-12S\n", "kit: none, no record\n");
    let open = crate::support::findings(&crate::support::judge_edited(job.clone()));
    assert_eq!(open, ["K11 client blocks"]);
    job = job.replace("inspection: {", "inspection: {phase_gap_least: 200 mm, earth_gap_least: 150 mm, ");
    assert_eq!(crate::support::findings(&crate::support::judge_edited(job.clone())), Vec::<String>::new());
    let (pack, _) = crate::issuing::pack_of(job.clone());
    assert!(pack.front.authority[1].detail.contains("kit not known"));
    let found = found_text("tracking").replace("kind: tube", "kind: moulded body");
    let sound = found
        .replace("surface: tracking", "surface: sound")
        .replace("sheds: torn", "sheds: sound")
        .replace("creepage: 338 mm", "creepage: 416 mm")
        .replace("powder: wipes off", "powder: none")
        .replace("discharge: above it", "discharge: within the client's limit");
    let kept = decided("I-0607-P1", job.clone(), sound.clone(), &library());
    assert_eq!(
        (kept.decided.decision, kept.lines),
        (Decision::KeepAndWatch, vec!["Q16 record watch".into()])
    );
    // Short for the dirt of the site: as much is said of a body as of a tube.
    let short = sound.replace("creepage: 416 mm", "creepage: 338 mm");
    let short = decided("I-0607-P1", job.clone(), short, &library());
    assert_eq!(short.decided.decision, Decision::Remake);
    assert_eq!(short.lines, ["Q16 record watch", "Q18 found remake"]);
    // A phase closer than the client's limit is told, though no kit says so.
    let close = sound.replace("gap: 412 mm", "gap: 190 mm");
    let close = decided("I-0607-P1", job, close, &library());
    assert!(close.lines.iter().any(|l| l.starts_with("Q08 ")), "{:?}", close.lines);
}
