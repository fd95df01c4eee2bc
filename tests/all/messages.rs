//! What a planner is told who knows the tool by its messages only: what is wrong, where
//! it is written, and what may be written there.

use crate::support::{findings, job_text, judge_edited, root};
use cutback::source::Source;
use std::path::Path;
use std::process::Command;

/// The findings of one text as a screen shows them, library beside it.
fn told(folder: &Path, text: &str) -> String {
    std::fs::write(folder.join("job.yaml"), text).expect("written");
    run(folder, &["check", "job.yaml"])
}

fn run(folder: &Path, args: &[&str]) -> String {
    let library = root().join("jobs/library");
    let mut command = Command::new(env!("CARGO_BIN_EXE_cutback"));
    command.current_dir(folder).args(args).arg("--library").arg(library);
    let out = command.output().expect("a run");
    String::from_utf8([out.stdout, out.stderr].concat()).expect("text")
}

/// Words in one line, wherever a line was broken.
fn plain(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn without(job: &str, key: &str) -> String {
    with(job, key, "")
}

/// The job with what stands at a dotted key written in another way.
fn with(job: &str, key: &str, to: &str) -> String {
    let (source, error) = Source::read("job", job.to_string());
    let pointer = format!("/{}", key.replace('.', "/"));
    assert!(error.is_none() && source.has(&pointer), "nothing stands at {key} to edit");
    let mut text = source.text().to_string();
    text.replace_range(source.locate(&pointer).at, to);
    text
}

/// A fresh form with nothing but its names: each key is asked once, at its line, and no
/// line is wider than the screen.
#[test]
fn a_form_without_answers_is_asked_group_by_group() {
    let dir = tempfile::tempdir().expect("a folder");
    for kind in ["joint-1c-cs", "term-outdoor", "sep-connector"] {
        let form = cutback::job::fresh(kind).expect("a form");
        let form =
            form.replacen("  number:", "  number: S-1", 1).replacen("  revision:", "  revision: P1", 1);
        let all = told(dir.path(), &form.replacen("\n  end:", "\n  end: E-1", 1));
        let asked: Vec<&str> = all.lines().filter(|l| l.contains("not judged: `kit`")).collect();
        assert_eq!(asked.len(), 1, "{kind}: {all}");
        assert!(!all.contains("kit.") && !all.contains("lug."), "{kind}: {all}");
        assert!(all.contains("kit: …    # file in library/kits\n"), "{kind}: {all}");
        assert!(all.contains("cores: …    # number of cores: whole number"), "{kind}: {all}");
        let wide: Vec<&str> = all.lines().filter(|l| l.chars().count() > 80).collect();
        assert!(wide.is_empty(), "{kind}: {wide:?}");
    }
}

/// A job without its kit is told once, with the kits that may do and no other.
#[test]
fn a_kit_that_is_not_named_is_one_question_with_its_choices() {
    let dir = tempfile::tempdir().expect("a folder");
    for (job, fits, not) in [
        ("D-3316-P1", "ZJ36-1C-800", "ZS24-1C-630"),
        ("M-0508-P1", "ZS24-1C-630", "ZJ36-1C-800"),
        ("D-1106-P2", "ZQ12-1O-S3", "ZH12-1I-240"),
        ("K-0417-P1", "ZH12-3I-150", "ZQ12-3O-S5"),
    ] {
        let text = without(&job_text(job), "kit");
        let all = told(dir.path(), &text);
        assert_eq!(all.matches("not judged: ").count(), 1, "{job}: {all}");
        let all = plain(&all);
        assert!(all.contains("not judged: `kit` is missing"), "{job}: {all}");
        let choices = all.split("Behind `kit:` may stand").nth(1).expect("choices");
        let choices = choices.split(';').next().unwrap_or("");
        assert!(choices.contains(fits) && !choices.contains(not), "{job}: {choices}");
        assert!(all.contains("`cutback new kit --out library/kits/CODE.yaml`"), "{job}: {all}");
    }
}

/// What no model takes and no finding tells names the answers it rests on.
#[test]
fn a_refusal_without_a_finding_names_what_it_rests_on() {
    let dir = tempfile::tempdir().expect("a folder");
    let job = job_text("K-0417-P1");
    let cold = with(
        &with(&job, "earthing.lead_final_temperature", "80 C"),
        "earthing.lead_start_temperature",
        "80 C",
    );
    let all = plain(&told(dir.path(), &cold));
    assert!(all.contains("the final temperature is not above the temperature at the start"), "{all}");
    assert!(all.contains("`earthing.lead_final_temperature` 80 C"), "{all}");
    assert!(!all.contains("mend that first"), "{all}");
    // Here a finding says it.
    let all = plain(&told(dir.path(), &with(&job, "layout.crutch_height", "500 mm")));
    assert!(all.contains("B01 tells the same: mend that first."), "{all}");
}

/// The base that the message proposes is the one that is sound, at every voltage.
#[test]
fn the_base_of_the_test_voltage_is_proposed_for_this_cable() {
    for (job, base) in [
        ("D-0627-P1", "3 x U0 3.8 kV"),
        ("K-0417-P1", "3 x U0 6.35 kV"),
        ("D-2201-P4", "3 x U0 12 kV"),
        ("D-3314-P1", "3 x U0 19 kV"),
    ] {
        let text = job_text(job);
        let judged = judge_edited(with(&text, "tests.base", "as agreed"));
        let (_, _, judgement) = judged.judged.as_ref().expect("judged");
        let finding = judgement.findings.iter().find(|f| f.check == "words").expect("a finding");
        assert!(finding.message.contains(&format!("like `{base}`")), "{}", finding.message);
        let sound = judge_edited(with(&text, "tests.base", base));
        assert_eq!(findings(&sound), findings(&judge_edited(text)), "{job}");
    }
}

#[test]
fn a_bare_number_is_taken_for_what_it_can_be() {
    let job = job_text("K-0417-P1");
    for (key, to, help) in [
        ("system.nominal", "11000", "Did you mean `11 kV`?"),
        ("system.nominal", "11", "Did you mean `11 kV`?"),
        ("system.impulse_level", "75", "Did you mean `75 kV`?"),
        ("enclosure.gland_to_stud", "640", "Did you mean `640 mm`?"),
        ("system.earth_fault", "1500", "Write its unit: `1500 A` or `1500 mA`."),
        // Nothing that could be meant: the general form.
        ("enclosure.gland_to_stud", "99999", "Write a length like `640 mm`."),
    ] {
        let judged = judge_edited(with(&job, key, to));
        let told: Vec<&str> = judged.reading.iter().map(|f| f.remedy.as_str()).collect();
        assert_eq!(told, [help], "{key}: {to}");
    }
}

/// `none` where a figure belongs is told what stands there instead.
#[test]
fn none_where_a_figure_belongs() {
    let job = job_text("K-0417-P1");
    for (key, part) in [
        ("tests.lowest_rating", "Never none"),
        ("site.depth", "Write `0 m` for none"),
        ("system.nominal", "leave the key empty"),
    ] {
        let judged = judge_edited(with(&job, key, "none"));
        let finding = judged.reading.first().expect("a finding");
        assert!(finding.remedy.contains(part), "{key}: {}", finding.remedy);
        assert!(finding.message.contains("`none` is no answer here"), "{key}: {}", finding.message);
    }
}

/// Each person, point or document is pointed at by its own line.
#[test]
fn what_is_open_in_the_papers_has_its_own_line() {
    let job = job_text("K-0417-P1");
    for (key, line) in [
        ("crew.2.authorisation", "/crew/2/authorisation"),
        ("isolation.points.1.earth", "/isolation/points/1/earth"),
        ("isolation.back_feed.solar", "/isolation/back_feed/solar"),
        ("documents.contact", "/documents/contact"),
        ("site.confined", "/site/confined"),
    ] {
        let judged = judge_edited(without(&job, key));
        let (_, _, judgement) = judged.judged.as_ref().expect("judged");
        let places: Vec<&str> = judgement.findings.iter().map(|f| f.places[0].pointer.as_str()).collect();
        assert!(places.contains(&line), "{key}: {places:?}");
    }
}

/// Without a gland nobody is asked what it is made of.
#[test]
fn no_gland_no_questions_about_it() {
    let job = job_text("D-1106-P2");
    assert!(job.contains("gland: {type: none}"), "says nothing of its metal");
    let asked = |text: String| findings(&judge_edited(text)).contains(&"E04 gland not-judged".to_string());
    assert!(!asked(job.clone()));
    assert!(asked(with(&job, "gland.type", "invented GZ-1")));
    let steel = judge_edited(with(&job_text("D-3314-P1"), "gland.metal", "steel"));
    assert!(findings(&steel).iter().any(|f| f.starts_with("E04 gland blocks")), "{:?}", findings(&steel));
}

/// What was issued stays: the second issue says so in its own words.
#[test]
fn an_issued_revision_is_not_called_unreadable() {
    let dir = tempfile::tempdir().expect("a folder");
    let job = job_text("K-0417-P1");
    std::fs::write(dir.path().join("job.yaml"), &job).expect("written");
    assert!(run(dir.path(), &["issue", "job.yaml"]).contains("issued: "));
    std::fs::write(dir.path().join("job.yaml"), with(&job, "site.access", "by the other gate"))
        .expect("written");
    let all = plain(&run(dir.path(), &["issue", "job.yaml"]));
    assert!(all.contains("K-0417 P1 of RMU3-2 is issued already, with other contents"), "{all}");
    assert!(all.contains("Write a new revision and `replaces: P1` under `job`"), "{all}");
    assert!(all.contains("not issued, the register speaks against it"), "{all}");
    assert!(!all.contains("can't be read"), "{all}");
}

/// The kinds stand in the help, the sections in the form of a kit.
#[test]
fn help_names_the_kinds_and_the_kit_its_sections() {
    let out = Command::new(env!("CARGO_BIN_EXE_cutback")).args(["new", "--help"]).output().expect("a run");
    let help = String::from_utf8(out.stdout).expect("text");
    for kind in cutback::job::schema::WORK_TYPES {
        assert!(help.contains(&format!("\n  {kind} ")), "{kind}: {help}");
    }
    let form = cutback::job::fresh("kit").expect("a form");
    let at = |words: &str| form.find(words).unwrap_or_else(|| panic!("{words}: {form}"));
    assert!(at("# Every kit.") < at("\num:") && at("\num:") < at("# Ends of any kind"));
    assert!(at("# Ends on a pole.") < at("\ncreepage:") && at("\ncreepage:") < at("# Joints"));
}

/// The day of the pack is asked for before `issue` asks for it, and counted there.
#[test]
fn a_job_without_its_date_is_told_before_it_is_issued() {
    let dir = tempfile::tempdir().expect("a folder");
    let text = without(&job_text("K-0417-P1"), "job.date");
    let all = plain(&told(dir.path(), &text));
    assert!(all.contains("advice[Y04]: `job.date` (date of the pack) is missing"), "{all}");
    assert!(all.contains("can be issued. 1 advice."), "{all}");
    let all = plain(&run(dir.path(), &["issue", "job.yaml"]));
    assert!(all.contains("can't be issued. 1 blocks issue."), "{all}");
    assert!(!all.contains("no findings"), "{all}");
    let all = plain(&run(dir.path(), &["issue", "job.yaml", "--date", "2031-03-01"]));
    assert!(all.contains("issued: ") && !all.contains("Y04"), "{all}");
}

/// A final temperature above what stands beside it: both figures, and what to write.
#[test]
fn a_final_temperature_too_high_says_what_to_write() {
    let dir = tempfile::tempdir().expect("a folder");
    let job = job_text("K-0417-P1");
    let (source, _) = Source::read("job", job.clone());
    let job = match source.has("/cable/sheath") {
        true => with(&job, "cable.sheath", "PE"),
        false => job.replacen("\n  lead_sheath:", "\n  sheath: PE\n  lead_sheath:", 1),
    };
    let all = plain(&told(dir.path(), &with(&job, "cable.screen.final_temperature", "250 C")));
    let part = "`cable.screen.final_temperature` is 250 C, and what lies beside it (`cable.sheath`) stands 150 C: write at most 150 C";
    assert!(all.contains(part), "{all}");
}

/// Without plant nobody is asked how old it is; with it both are asked at once.
#[test]
fn plant_that_is_not_there_is_not_asked_about() {
    let job = job_text("K-0417-P1");
    let job = without(&without(&job, "plant.year"), "plant.asbestos_possible");
    let of = |text: String| {
        let judged = judge_edited(text);
        let (_, _, judgement) = judged.judged.expect("judged");
        judgement.findings.iter().filter(|f| f.check == "site").map(|f| f.message.clone()).collect::<Vec<_>>()
    };
    let asked = of(job.clone());
    assert!(asked[0].contains("year the plant was built") && asked[0].contains("asbestos"), "{asked:?}");
    assert_eq!(of(with(&job, "plant.kind", "none")), Vec::<String>::new());
}

/// Every word of `releases` that can't stand is told at once, at its own line, and whoever
/// releases nothing may say so.
#[test]
fn all_wrong_releases_are_told_at_once() {
    let job = with(&job_text("K-0417-P1"), "crew.1.releases", "[edge, surface, filler, body, trial-fit]");
    let judged = judge_edited(job);
    let (_, _, judgement) = judged.judged.as_ref().expect("judged");
    let found = judgement.findings.iter().find(|f| f.check == "releasers").expect("a finding");
    assert!(found.message.contains("`body`, named for the second jointer, is no point of"), "{found:?}");
    let both = "`trial-fit` is released by the supervisor, the second jointer can't release it";
    assert!(found.message.contains(both), "{found:?}");
    assert_eq!(found.places[0].pointer, "/crew/1/releases");
    let none = with(&job_text("I-0512-P1"), "crew.1.valid_to", "2031-09-30, releases: [none]");
    assert_eq!(findings(&judge_edited(none)), findings(&judge_edited(job_text("I-0512-P1"))));
}

/// What is asked in words carries its own choices, not those of another key.
#[test]
fn an_unsaid_answer_is_asked_with_its_choices() {
    let judged = judge_edited(without(&without(&job_text("K-0417-P1"), "site.lone"), "cable.type"));
    let (_, _, judgement) = judged.judged.as_ref().expect("judged");
    let said: Vec<&str> = judgement.findings.iter().map(|f| f.message.as_str()).collect();
    assert!(said.iter().any(|m| m.contains("(`site.lone`: yes | no)")), "{said:?}");
    assert!(said.iter().any(|m| m.contains("(`cable.type`: text)")), "{said:?}");
}

#[test]
fn the_list_of_all_names_stays_on_the_screen() {
    let dir = tempfile::tempdir().expect("a folder");
    let out = Command::new(env!("CARGO_BIN_EXE_cutback"))
        .current_dir(dir.path())
        .args(["explain", "all"])
        .output()
        .expect("a run");
    let all = String::from_utf8(out.stdout).expect("text");
    let wide: Vec<&str> = all.lines().filter(|l| l.chars().count() > 80).collect();
    assert!(all.lines().count() > 300 && wide.is_empty(), "{wide:?}");
}
