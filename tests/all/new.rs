//! A fresh job file: it reads, it asks for what must stand, and filled in with
//! sound figures it can be issued.

use crate::json_schema::Schema;
use crate::support::{findings, job_text, judge_edited, library, root};
use cutback::job::schema::Shelf;
use cutback::job::{NoForm, fresh};
use cutback::source::Source;
use std::process::Command;

const KIND: &str = "term-box-3c-hs";

fn form() -> String {
    fresh(KIND).expect("a form")
}

/// Pointers of the keys that are not answered.
fn open_questions(text: &str) -> Vec<String> {
    let tree: serde_json::Value = serde_yaml::from_str(text).expect("YAML");
    let (source, error) = Source::read("form.yaml", text.to_string());
    assert_eq!(error, None);
    source.pointers().filter(|p| tree.pointer(p).is_some_and(|v| v.is_null())).map(String::from).collect()
}

/// The form with the answers of a job put behind its keys, comments kept.
pub fn filled(form: &str, job: &str) -> String {
    let (form_source, _) = Source::read("form.yaml", form.to_string());
    let (job_source, _) = Source::read("job.yaml", job.to_string());
    let mut answers: Vec<(usize, String)> = open_questions(form)
        .into_iter()
        .filter(|pointer| job_source.has(pointer))
        .map(|pointer| {
            let answer = &job_source.text()[job_source.locate(&pointer).at];
            (form_source.locate_key(&pointer).at.end + 1, format!(" {answer}"))
        })
        .collect();
    answers.sort();
    let mut text = form.to_string();
    for (at, answer) in answers.into_iter().rev() {
        text.insert_str(at, &answer);
    }
    text
}

#[test]
fn fresh_it_reads_and_asks_only_for_the_names() {
    let judged = judge_edited(form());
    let mut asked: Vec<&str> = judged.reading.iter().map(|f| f.message.as_str()).collect();
    asked.sort_unstable();
    assert_eq!(
        asked,
        [
            "`job.end` (end) is missing",
            "`job.number` (job number) is missing",
            "`job.revision` (revision) is missing"
        ]
    );
    assert!(judged.reading.iter().all(|f| f.code == "Y04"));
    // Each points at its own empty key.
    for finding in &judged.reading {
        let place = &finding.places[0];
        let at = judged.sources[0].locate_key(&place.pointer);
        let word = &judged.sources[0].text()[at.at];
        assert!(place.pointer.ends_with(word) && at.exact, "{}: {word}", place.pointer);
    }
}

#[test]
fn with_the_names_the_rules_say_what_is_missing() {
    let mut text = form();
    for (key, answer) in [("number", "K-0417"), ("revision", "P1"), ("end", "RMU3-2")] {
        text = text.replacen(&format!("\n  {key}:"), &format!("\n  {key}: {answer}"), 1);
    }
    let judged = judge_edited(text);
    assert_eq!(judged.reading, []);
    let (_, _, judgement) = judged.judged.as_ref().expect("judged");
    assert!(judgement.not_judged.len() > 10, "{:?}", findings(&judged));
    assert!(judgement.not_judged.iter().any(|n| n.missing.iter().any(|m| m.name == "system.highest")));
}

#[test]
fn filled_in_it_is_judged_like_the_job_it_was_filled_from() {
    for (job, sound) in [("K-0417-P1", true), ("D-2201-P1", false)] {
        let text = filled(&form(), &job_text(job));
        let tree = serde_yaml::from_str(&text).expect("YAML");
        let schema = Schema::new(cutback::job::schema::job_schema());
        assert_eq!(schema.errors(&tree), Vec::<String>::new(), "{job}");
        let judged = judge_edited(text);
        assert_eq!(findings(&judged), findings(&crate::support::judge(job)), "{job}");
        assert_eq!(judged.report().open() == 0, sound, "{job}");
    }
}

#[test]
fn filled_in_it_is_issued() {
    let dir = tempfile::tempdir().expect("a folder");
    let text = filled(&form(), &job_text("K-0417-P1"));
    std::fs::write(dir.path().join("K-0417.yaml"), text).expect("written");
    let run = Command::new(env!("CARGO_BIN_EXE_cutback"))
        .current_dir(dir.path())
        .args(["issue", "K-0417.yaml", "--library"])
        .arg(root().join("jobs/library"))
        .output()
        .expect("a run");
    assert_eq!(run.status.code(), Some(0), "{}", String::from_utf8_lossy(&run.stderr));
    assert!(dir.path().join("issued/K-0417/RMU3-2/P1/pack.pdf").is_file());
}

/// With acceptances copied from the findings, as the last lines say.
#[test]
fn filled_in_with_acceptances_it_can_be_issued() {
    let job = job_text("D-2201-P4");
    let acceptances = job.split_once("acceptances:\n").expect("acceptances").1;
    let form = form();
    assert!(form.ends_with("\n# acceptances:\n"));
    let form = format!("{}acceptances:\n{acceptances}", form.trim_end_matches("# acceptances:\n"));
    let text = filled(&form, &job);
    assert_eq!(judge_edited(text.clone()).report().open(), 0);
    let (pack, _) = crate::issuing::pack_of(text);
    let (other, _) = crate::issuing::pack_of(job);
    let words = |pack: &cutback::procedure::Pack| serde_json::to_value(&pack.method).expect("JSON");
    assert!(words(&pack) == words(&other), "the method differs");
}

/// Keys that rules read and this kind of work never needs.
const NOT_HERE: &[(&str, &[&str])] = &[
    (
        "single-core cable",
        &[
            "bonding.at_joint",
            "bonding.design_current",
            "bonding.earthed_at",
            "bonding.far_end",
            "bonding.formation",
            "bonding.spacing",
            "bonding.standing_most",
            "cable.screen.mean_diameter",
            "gland.metal",
            "layout.cleats",
            "layout.sheath_cut_above_plate",
        ],
    ),
    (
        "outdoor ends",
        &[
            "arresters.earth_point",
            "arresters.earth_resistance_most",
            "arresters.fitted",
            "arresters.lead_total",
            "arresters.lead_total_most",
            "enclosure.arcing_distance",
            "enclosure.core_to_earthed",
            "layout.attitude",
            "layout.first_cleat",
            "layout.screen_left",
            "site.pollution_class",
            "site.wind_most",
        ],
    ),
    (
        "inspections",
        &[
            "inspection.discharge_most",
            "inspection.earth_gap_least",
            "inspection.edge_to_plate_least",
            "inspection.hotter_most",
            "inspection.phase_gap_least",
            "inspection.recheck_months",
            "inspection.record",
            "inspection.reason",
        ],
    ),
    (
        "connectors, and three cores outside a box",
        &[
            "enclosure.bushing.caps",
            "enclosure.bushing.current",
            "enclosure.bushing.interface",
            "enclosure.bushing.open",
            "layout.drain_earth",
            "layout.straight_below",
            "layout.tail",
        ],
    ),
    ("joints", &["bay.lap", "bay.length", "bay.straight_each_side", "bay.under", "bay.width"]),
    ("cold-shrink bodies", &["consumables.body_expires"]),
    ("demonstration data", &["cable.invented"]),
    ("written after the first check", &["acceptances"]),
    (
        "written with a way out of a tight box",
        &[
            "remedy.alternatives",
            "remedy.chosen_by",
            "remedy.forced_by",
            "remedy.needs",
            "remedy.planned_before",
            "remedy.method_gone",
            "remedy.method_new",
            "remedy.taken",
        ],
    ),
];

/// What rules, facts or sentences name, and what the sound jobs answer, is asked.
#[test]
fn every_key_that_is_needed_is_asked() {
    let questions = open_questions(&form());
    let asked = |name: &str| {
        let pointer = format!("/{}", name.replace('.', "/"));
        let below = format!("{pointer}/");
        pointer == "/job/work_type" || questions.iter().any(|q| *q == pointer || q.starts_with(&below))
    };
    let mut readers = String::new();
    for folder in [
        "src/facts",
        "src/procedure",
        "src/cli",
        "src/circuit",
        "templates/rules",
        "templates/circuit",
        "templates/procedures",
    ] {
        for entry in walkdir::WalkDir::new(root().join(folder)).into_iter().filter_map(Result::ok) {
            if entry.file_type().is_file() {
                let text = std::fs::read_to_string(entry.path()).expect("a text");
                // Proofs edit keys of sound jobs, and name them for that only.
                readers.extend(text.lines().filter(|l| !l.contains("edit:")).map(|l| format!("{l}\n")));
            }
        }
    }
    let part_of_a_name = |c: char| c.is_ascii_alphanumeric() || c == '_' || c == '.';
    let named = |name: &str| {
        readers.match_indices(name).any(|(i, _)| {
            !readers[..i].ends_with(part_of_a_name) && !readers[i + name.len()..].starts_with(part_of_a_name)
        })
    };
    let shelves = ["kit.", "lug.", "boots."];
    let left_out = |name: &str| NOT_HERE.iter().any(|(_, names)| names.contains(&name));
    let missing: Vec<&str> = cutback::job::leaf_keys()
        .keys()
        .copied()
        .filter(|name| !shelves.iter().any(|shelf| name.starts_with(shelf)))
        .filter(|name| !left_out(name))
        .filter(|name| named(name) && !asked(name))
        .collect();
    assert!(missing.is_empty(), "read and not asked: {missing:?}");
    for job in ["K-0417-P1", "D-2201-P4"] {
        let tree: serde_json::Value = serde_yaml::from_str(&job_text(job)).expect("YAML");
        for name in cutback::job::leaf_keys().keys().filter(|n| !left_out(n)) {
            let answered = tree.pointer(&format!("/{}", name.replace('.', "/"))).is_some();
            assert!(!answered || asked(name), "{job} answers `{name}`, the form does not ask it");
        }
    }
}

#[test]
fn every_question_has_a_comment() {
    let text = form();
    let lines: Vec<&str> = text.lines().collect();
    for (i, line) in lines.iter().enumerate().filter(|(_, l)| !l.trim_start().starts_with('#')) {
        let last = line.split('#').next().is_some_and(|l| l.trim_end().ends_with(':'));
        let group = lines.get(i + 1).is_some_and(|next| {
            next.len() - next.trim_start().len() > line.len() - line.trim_start().len()
                && !line.trim_start().starts_with("- ")
        });
        if last && !group {
            let explained = line.contains(" # ") || (i > 0 && lines[i - 1].trim_start().starts_with('#'));
            assert!(explained, "no comment: {line}");
        }
        assert!(line.chars().count() <= 80, "too wide: {line}");
    }
    let wide: Vec<&&str> =
        lines.iter().filter(|l| l.trim_start().starts_with('#') && l.chars().count() > 80).collect();
    assert!(wide.is_empty(), "{wide:?}");
}

#[test]
fn other_kinds_get_the_nearest_or_the_list() {
    for (kind, part) in [
        ("term-box-3c-h", "did you mean `term-box-3c-hs`?"),
        ("lamp", "there is a form for: term-box-3c-hs"),
        ("", "there is a form for: term-box-3c-hs"),
    ] {
        let Err(NoForm::Unknown(message)) = fresh(kind) else { panic!("{kind} has a form") };
        assert!(message.contains(part), "{kind}: {message}");
    }
}

/// Each item of the demonstration's library typed into a fresh form reads as itself.
#[test]
fn an_item_of_the_library_begins_with_a_form() {
    let mut tried = 0;
    for shelf in [Shelf::Cables, Shelf::Kits, Shelf::Lugs, Shelf::Boots] {
        let form = fresh(shelf.one()).unwrap_or_else(|e| panic!("{shelf:?}: {e:?}"));
        assert!(form.lines().all(|l| l.chars().count() <= 80), "{shelf:?}");
        assert!(
            !form.lines().any(|l| l.starts_with("# ") && !l[2..].contains(' ')),
            "{shelf:?}: a word alone"
        );
        for code in library().codes(shelf) {
            let path = root().join(format!("jobs/library/{}/{code}.yaml", shelf.folder()));
            let item = std::fs::read_to_string(path).expect("an item");
            let text = filled(&form, &item);
            assert!(text.lines().next().is_some_and(|l| l.contains("Item of the library")));
            let plain = |text: &str| -> serde_json::Value {
                let mut value = serde_yaml::from_str(text).expect("YAML");
                without_empty(&mut value);
                value
            };
            assert_eq!(plain(&text), plain(&item), "{code}");
            tried += 1;
        }
    }
    assert!(tried >= 20, "{tried}");
}

/// Takes keys without an answer out, and groups that hold none.
fn without_empty(value: &mut serde_json::Value) {
    if let serde_json::Value::Object(map) = value {
        map.values_mut().for_each(without_empty);
        map.retain(|_, v| !v.is_null() && v.as_object().is_none_or(|m| !m.is_empty()));
    }
}

/// Without a library, and with a shelf that lacks the item, the message says how to begin.
#[test]
fn a_stranger_is_told_how_to_begin_a_library() {
    let dir = tempfile::tempdir().expect("a folder");
    let job = "job: {number: S-1, revision: P1, work_type: joint-3c-hs, end: E1}\nkit: ZN-1\n";
    std::fs::write(dir.path().join("job.yaml"), job).expect("written");
    let run = |args: &[&str]| {
        let out = Command::new(env!("CARGO_BIN_EXE_cutback"))
            .current_dir(dir.path())
            .args(args)
            .output()
            .expect("a run");
        let text = [out.stdout, out.stderr].concat();
        String::from_utf8_lossy(&text).split_whitespace().collect::<Vec<_>>().join(" ")
    };
    let told = run(&["check", "job.yaml"]);
    assert!(told.contains("`cutback new kit --out library/kits/ZN-1.yaml` begins it"), "{told}");
    let written = run(&["new", "kit", "--out", "library/kits/ZN-1.yaml"]);
    assert!(written.contains("then name its code behind `kit:` in a job"), "{written}");
    let told = run(&["check", "job.yaml"]);
    assert!(told.contains("library/kits/ZN-1.yaml:") && !told.contains("new kit"), "{told}");
    std::fs::write(dir.path().join("job.yaml"), job.replace("ZN-1", "QQ-7")).expect("written");
    let told = run(&["check", "job.yaml"]);
    assert!(told.contains("The shelf holds: ZN-1. `cutback new kit --out library/kits/QQ-7.yaml`"), "{told}");
}

#[test]
fn a_file_that_is_there_is_left_alone() {
    let dir = tempfile::tempdir().expect("a folder");
    let path = dir.path().join("east/job.yaml");
    let run = |kind: &str| {
        Command::new(env!("CARGO_BIN_EXE_cutback"))
            .args(["new", kind, "--out"])
            .arg(&path)
            .output()
            .expect("a run")
    };
    assert_eq!(run(KIND).status.code(), Some(0));
    assert_eq!(std::fs::read_to_string(&path).expect("written"), form());
    std::fs::write(&path, "mine").expect("written");
    let again = run(KIND);
    assert_eq!(again.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&again.stderr).contains("left as it is"));
    assert_eq!(std::fs::read_to_string(&path).expect("still there"), "mine");
    assert_eq!(run("lamp").status.code(), Some(2));
    let left = std::fs::read_dir(dir.path().join("east")).expect("a folder").count();
    assert_eq!(left, 1, "nothing else lies about");
}
