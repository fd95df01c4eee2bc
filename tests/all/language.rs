//! A second language: a folder of texts that is held to the English it translates, and
//! prints drafts only while it is on trial or not complete.

use crate::issuing::{pack_of, pack_told};
use crate::kinds::KINDS;
use crate::support::{job_text, job_with, judge, root, rust_files};
use cutback::language::{self, Language};
use cutback::procedure::Procedures;
use std::process::{Command, Output};

/// The files of the German folder, one of them changed.
fn german(file: &str, from: &str, to: &str) -> Vec<(String, String)> {
    let folder = root().join("templates/language/de");
    let mut files: Vec<(String, String)> = ["language.yaml", "pages.yaml", "hazards.yaml", "answers.yaml"]
        .map(|name| (format!("de/{name}"), std::fs::read_to_string(folder.join(name)).expect("a file")))
        .into();
    if !file.is_empty() {
        let (_, text) = files.iter_mut().find(|(name, _)| name.ends_with(file)).expect("the file");
        assert!(text.contains(from), "{file}: {from}");
        *text = text.replacen(from, to, 1);
    }
    files
}

/// What is said of the German folder with one change.
fn refused(file: &str, from: &str, to: &str) -> String {
    let told = Language::read("de", &german(file, from, to)).map_err(|f| f.to_string());
    let told = told.and_then(|l| built_in().told(&l).map_err(|f| f.to_string()));
    told.expect_err("a folder that does not hold").replace('\u{a0}', " ")
}

fn built_in() -> Procedures {
    Procedures::built_in().expect("sound procedures")
}

#[test]
fn every_language_holds() {
    assert_eq!(language::tags(), ["de", "en"]);
    for tag in language::tags() {
        let language = Language::named(&tag).expect("a sound folder");
        let told = built_in().told(&language).expect("texts that hold");
        // A folder under way may lack texts; what is there is whole.
        assert_eq!(told.hazards.len(), built_in().hazards.len());
    }
    let unknown = Language::named("../de").expect_err("no path").to_string();
    assert_eq!(unknown, "there is no language `../de`; there is de, en");
}

#[test]
fn a_folder_that_does_not_hold_is_refused_with_its_place() {
    for (file, from, to, says) in [
        // A word that no template asks for, and one that lost its place to fill.
        ("pages.yaml", "  see:", "  saw:", "the part `hazards` has no word `saw`"),
        ("pages.yaml", "hazards:", "dangers:", "no page has a part `dangers`"),
        ("pages.yaml", "Mappe {short}", "Mappe", "`pack.pack` leaves out {short}"),
        ("pages.yaml", "Siehe {points}", "Siehe {point}", "leaves out {points}"),
        ("pages.yaml", "\"GEFAHR\"", "\" \"", "`hazards.danger` is empty"),
        ("language.yaml", "decimal:", "comma:", "unknown field `comma`"),
        ("hazards.yaml", "\n  lone:", "\n  alone:", "alone: there is no such hazard"),
        // A key that is missing, and one too many.
        (
            "hazards.yaml",
            "    caution: \"Niemand arbeitet allein",
            "    warning: \"Niemand arbeitet allein",
            "unknown field `warning`",
        ),
        ("hazards.yaml", "    title: Alleinarbeit\n", "", "missing field `title`"),
        (
            "hazards.yaml",
            "      - \"Beim ersten Donner herunter.\"\n",
            "",
            "1 things to do, and the English text has 2",
        ),
        // A caution must not lose its figure, its number or its condition.
        (
            "hazards.yaml",
            "{{ system.phase_fault_time }} bringen",
            "einige Zeit bringen",
            "earthing: without the figure {{ system.phase_fault_time }}",
        ),
        (
            "hazards.yaml",
            "mindestens {{ test_clearance }}",
            "genug",
            "without the figure {{ test_clearance }}",
        ),
        ("hazards.yaml", "mindestens 5 min", "lange", "without the number 5"),
        ("hazards.yaml", "auf 50 V", "auf 60 V", "the number 60"),
        ("hazards.yaml", "plant.medium == 'oil' or plant.fill == 'oil'", "plant.fill == 'oil'", "gas-torch"),
        (
            "hazards.yaml",
            "Mit dem Brenner",
            "Mit {{ tools.press }} dem Brenner",
            "the figure {{ tools.press }}",
        ),
        ("hazards.yaml", "{{ site.pole }}", "{{ site.pole | upper }}", "more than the name of one figure"),
        ("hazards.yaml", "\"CDM 2015\": CDM 2015", "\"CDM 2051\": CDM 2015", "no hazard leans on `CDM 2051`"),
        ("answers.yaml", "  motor: Motor", "  motors: Motor", "`plant.kind` is never answered with `motors`"),
    ] {
        let wrong = refused(file, from, to);
        assert!(wrong.contains(says), "{from} -> {to}: {wrong}");
        assert!(wrong.contains(file), "{from} -> {to} names no file: {wrong}");
    }
    // The line is that of the text.
    for (file, from, to) in [(2, "mindestens 5 min", "lange"), (3, "  motor: Motor", "  motors: Motor")] {
        let (name, text) = german("", "", "")[file].clone();
        let wrong = refused(&name, from, to);
        let line = text.lines().position(|l| l.contains(from)).expect("the text") + 1;
        assert!(line > 1 && wrong.contains(&format!("line {line}:")), "{wrong}");
    }
}

#[test]
fn what_is_missing_is_counted_and_prints_in_english() {
    let whole = Language::read("de", &german("", "", "")).expect("sound");
    let missing = |l: &Language, part: &str| {
        let told = built_in().told(l).expect("sound");
        told.untold(l).into_iter().find(|u| u.part == part).map(|u| (u.missing, u.of))
    };
    let all = built_in().hazards.len();
    let add = "templates/language/de/hazards.yaml has no text of a hazard";
    assert_eq!(missing(&whole, "hazards"), Some((0, all)), "{add}");
    assert_eq!(missing(&whole, "what hazards lean on").map(|(missing, _)| missing), Some(0));
    let steps = built_in().steps.len();
    assert_eq!(missing(&whole, "steps"), Some((steps, steps)));
    let pages =
        |l: &Language, part: &str| l.missing_pages().into_iter().find(|(p, ..)| p == part).map(|(_, n, _)| n);
    assert_eq!((pages(&whole, "hazards"), pages(&whole, "pack")), (Some(0), Some(0)));

    let cut = german("", "", "")[2].1.find("\n  lone:").expect("the last hazard");
    let lone = german("", "", "")[2].1[cut..].to_string();
    let short = Language::read("de", &german("hazards.yaml", &lone, "\n")).expect("sound");
    assert_eq!(missing(&short, "hazards"), Some((1, all)));
    let word = Language::read("de", &german("pages.yaml", "  here: \"Hier:\"\n", "")).expect("sound");
    assert_eq!(pages(&word, "hazards"), Some(1));
    let words: serde_json::Value = serde_json::from_slice(&word.page_words()).expect("JSON");
    assert_eq!(words["hazards"]["here"], "Here:");
    assert_eq!(words["hazards"]["danger"], "GEFAHR");
}

#[test]
fn hazards_print_in_german_with_german_figures() {
    let german = Language::named("de").expect("sound");
    let point = regex::Regex::new("[0-9]\\.[0-9]").expect("a pattern");
    for job in KINDS.iter().map(|(_, job, _)| *job).chain(["D-2201-P4"]) {
        let text = job_text(job);
        let (english, told) = (pack_of(text.clone()).0, pack_told(text, &german));
        let ids = |list: &[_]| list.len();
        assert_eq!(ids(&english.hazards), ids(&told.hazards));
        for (before, now) in english.hazards.iter().zip(&told.hazards) {
            assert_eq!((&before.id, &before.severity), (&now.id, &now.severity));
            assert_ne!(
                before.caution, now.caution,
                "{job}: {} has no text in templates/language/de/hazards.yaml",
                now.id
            );
            let all = [&now.fact, &now.caution]
                .into_iter()
                .chain(&now.actions)
                .cloned()
                .collect::<Vec<_>>()
                .join(" ");
            // The numbers of standards and laws stand in what a hazard leans on.
            assert!(!point.is_match(&all), "{job}: {}: {all}", now.id);
            assert!(!all.contains("{{") && !all.contains("not answered"), "{job}: {all}");
        }
        // Everything else is the English pack: the record is judged by that.
        assert_eq!(english.form, told.form, "{job}");
    }
    let told = pack_told(job_text("D-2201-P4"), &german);
    let charge = told.hazards.iter().find(|h| h.id == "stored-charge").expect("charge");
    assert!(
        charge.fact.contains("0,27\u{a0}µF/km") && charge.fact.contains("etwa 420\u{a0}J"),
        "{}",
        charge.fact
    );
    // What a person wrote stays as it was written, whatever it looks like.
    for wild in ["yes", "12.5 mm", "{{ told.x }}", "{% if %} #strong[1.5]", "{points} *none*"] {
        let text = job_with("D-2201-P4", "/documents/permit", &format!("{wild:?}"));
        let told = pack_told(text, &german);
        let permit = told.hazards.iter().find(|h| h.id == "permit").expect("the permit");
        assert!(permit.fact.ends_with(&format!("von: {wild}")), "{wild}: {}", permit.fact);
    }
}

#[test]
fn english_figures_stay_as_a_job_file_has_them() {
    let style = &Language::english().expect("sound").head.figures;
    let judged = judge("D-2201-P4");
    let (_, sheet, _) = judged.judged.as_ref().expect("a job that reads");
    let figures = std::cell::Cell::new(0);
    sheet.tree(|fact| {
        if fact.number().is_some() {
            assert_eq!(style.figure(&fact.text), fact.text, "{}", fact.name);
            figures.set(figures.get() + 1);
        }
        None
    });
    assert!(figures.get() > 200, "{}", figures.get());
}

/// A number becomes text in `units`, where its rounding has a name.
#[test]
fn numbers_become_text_in_one_place() {
    let pattern = regex::Regex::new(r"\{[a-z_]*:\.[0-9*a-z]").expect("a pattern");
    let mut wrong = Vec::new();
    for file in rust_files(&root().join("src")) {
        let name = file.display().to_string();
        if name.contains("/src/units/") || name.contains("/photos/eye/") {
            continue;
        }
        let text = std::fs::read_to_string(&file).expect("a source");
        let own = text.split("#[cfg(test)]").next().unwrap_or("");
        wrong.extend(own.lines().filter(|l| pattern.is_match(l)).map(|l| format!("{name}: {}", l.trim())));
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

fn issue(out: &std::path::Path, more: &[&str]) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_cutback"));
    command.current_dir(root()).args(["issue", "--out"]).arg(out).args(more).arg("jobs/demo/N-0316-P1.yaml");
    command.output().expect("a run")
}

#[test]
fn a_language_on_trial_prints_drafts_only() {
    let out = tempfile::tempdir().expect("a folder");
    let said = |done: &Output| {
        format!("{}{}", String::from_utf8_lossy(&done.stdout), String::from_utf8_lossy(&done.stderr))
    };
    let unknown = issue(out.path(), &["--language", "xx", "--draft"]);
    assert_eq!(unknown.status.code(), Some(2));
    assert!(said(&unknown).contains("there is no language `xx`; there is de, en"), "{}", said(&unknown));
    let issued = issue(out.path(), &["--language", "de"]);
    assert_eq!(issued.status.code(), Some(2));
    assert!(said(&issued).contains("no pack is issued in it"), "{}", said(&issued));
    assert_eq!(std::fs::read_dir(out.path()).expect("read").count(), 0, "nothing is written");

    let draft = issue(out.path(), &["--language", "de", "--draft"]);
    assert_eq!(draft.status.code(), Some(0), "{}", said(&draft));
    let all = said(&draft);
    let steps = built_in().steps.len();
    assert!(all.contains("on trial") && all.contains(&format!("  {steps} of {steps}   steps\n")), "{all}");
    assert!(all.lines().filter(|l| !l.starts_with("draft,")).all(|l| l.chars().count() <= 80), "{all}");
    let folder = out.path().join("drafts/N-0316");
    let files: Vec<_> = walk(&folder);
    assert_eq!(files, ["pack-NOT-ISSUED-de.pdf"], "{all}");
}

fn walk(folder: &std::path::Path) -> Vec<String> {
    let mut out = Vec::new();
    for entry in std::fs::read_dir(folder).expect("a folder").flatten() {
        let path = entry.path();
        if path.is_dir() {
            out.extend(walk(&path))
        } else {
            out.push(entry.file_name().to_string_lossy().into_owned())
        }
    }
    out
}
