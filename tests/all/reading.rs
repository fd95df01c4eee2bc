//! Bad job files: every trouble has a place, says what was expected, and comes
//! with the others at once.

use crate::support::{findings, job_text, judge_edited};
use cutback::cli::Judged;
use cutback::report::{Look, text};

/// (code, line, part of the message, part of the help), in report order.
fn troubles(judged: &Judged) -> Vec<(String, usize, String, String)> {
    let report = judged.report();
    report
        .findings()
        .iter()
        .map(|f| {
            let place = f.places.first().expect("a place");
            let source = &report.sources[place.source];
            let at = match (&place.bytes, place.part) {
                (Some(bytes), _) => bytes.clone(),
                (None, cutback::finding::Part::Value) => source.locate(&place.pointer).at,
                (None, cutback::finding::Part::Key) => source.locate_key(&place.pointer).at,
            };
            (f.code.clone(), source.line_column(at.start).0, f.message.clone(), f.remedy.clone())
        })
        .collect()
}

fn p4_with(changes: &[(&str, &str)]) -> Judged {
    let mut text = job_text("D-2201-P4");
    for (from, to) in changes {
        assert!(text.contains(from), "`{from}` is in the job");
        text = text.replacen(from, to, 1);
    }
    judge_edited(text)
}

#[test]
fn several_troubles_at_once_in_order() {
    let judged = p4_with(&[
        ("{nominal: 20 kV,", "{nominal: 20,"),
        ("  stud_pitch: 150 mm", "  stud_pich: 150 mm"),
        ("  stud_to_wall: 110 mm", "  stud_to_wall: 9 inches"),
        ("  crutch: outside", "  crutch: outsid"),
        ("  planned: 2031-05-12", "  planned: 12.5.2031"),
    ]);
    let all = troubles(&judged);
    let short: Vec<(&str, &str)> = all.iter().map(|(c, _, m, _)| (c.as_str(), m.as_str())).collect();
    assert_eq!(
        short,
        [
            ("Y03", "`12.5.2031` is no date"),
            ("Y03", "`20` has no unit"),
            ("Y02", "there is no key `stud_pich` under `enclosure`"),
            ("Y03", "`9 inches` has an unknown unit `inches`"),
            ("Y03", "`outsid` is none of the choices for `crutch`"),
        ]
    );
    let lines: Vec<usize> = all.iter().map(|(_, line, ..)| *line).collect();
    assert!(lines.windows(2).all(|w| w[0] < w[1]), "{lines:?}");
    assert_eq!(all[1].3, "Did you mean `20 kV`?");
    assert_eq!(all[2].3, "Did you mean `stud_pitch`?");
    assert_eq!(all[4].3, "Did you mean `outside`?");
    assert!(judged.judged.is_none(), "nothing is judged before the file is right");
}

#[test]
fn a_missing_key_points_at_its_parent() {
    let judged = p4_with(&[("  revision: P4\n", "")]);
    let all = troubles(&judged);
    assert_eq!((all[0].0.as_str(), all[0].2.as_str()), ("Y04", "`job.revision` (revision) is missing"));
    let source = &judged.sources[0];
    assert_eq!(source.text().lines().nth(all[0].1 - 1), Some("job:"));
}

#[test]
fn a_value_of_the_library_points_into_its_file_and_names_the_job() {
    let kit = std::fs::read_to_string(crate::support::root().join("jobs/library/kits/ZQ24-3I-240.yaml"))
        .expect("the kit")
        .replace("semicon_left: 40 mm", "semicon_left: 40 kV");
    let library = crate::support::library().with(cutback::job::schema::Shelf::Kits, "ZQ24-3I-240", kit);
    let judged = cutback::cli::judge_text(
        "job.yaml",
        job_text("D-2201-P4"),
        &library,
        &crate::support::BOOK,
        &crate::support::PRESS,
    );
    let finding = &judged.reading[0];
    assert_eq!(judged.sources[finding.places[0].source].name(), "library/kits/ZQ24-3I-240.yaml");
    assert_eq!(finding.places[1].pointer, "/kit");
    assert_eq!(finding.places[1].label, "used by this job");
    assert!(finding.message.contains("is a voltage, and a length belongs here"), "{}", finding.message);
}

#[test]
fn measured_values_stand_over_the_library() {
    let judged = p4_with(&[("drum: DR-7719,", "drum: DR-7719, dia_over_metal_screen: 30.6 mm,")]);
    let (job, sheet, _) = judged.judged.as_ref().expect("judged");
    assert_eq!(sheet.text("cable.dia_over_metal_screen"), "30.6 mm");
    assert_eq!(job.place("cable.dia_over_metal_screen", "").source, 0);
    assert_eq!(sheet.text("cable.dia_over_insulation"), "28.4 mm");
    assert!(job.place("cable.dia_over_insulation", "").source > 0);
}

#[test]
fn unknown_items_get_the_nearest_name() {
    let judged = p4_with(&[("kit: ZQ24-3I-240", "kit: ZQ24-3I-24O")]);
    let all = troubles(&judged);
    assert_eq!(all[0].0, "Y05");
    assert_eq!(all[0].3, "Did you mean `ZQ24-3I-240`?");
    let judged = p4_with(&[("kit: ZQ24-3I-240", "kit: ../../../etc/passwd")]);
    assert_eq!(troubles(&judged)[0].2, "`../../../etc/passwd` can't name a folder or a file");
}

#[test]
fn names_that_make_folders_are_checked() {
    for bad in ["../P4", ".P4", "P 4", "P/4", "", "Ä4", &"x".repeat(41)] {
        let judged = p4_with(&[("revision: P4", &format!("revision: \"{bad}\""))]);
        assert_eq!(troubles(&judged)[0].0, "Y03", "{bad} was accepted");
    }
}

#[test]
fn what_the_fonts_lack_is_named() {
    for (text, code) in [
        ("Tarnholt 漢 Works", "U+6F22"),
        ("Tarn\u{202e}holt", "U+202E"),
        ("a \u{e000} b", "U+E000"),
        ("tick \u{2705}", "U+2705"),
    ] {
        let judged = p4_with(&[("name: Tarnholt Lift Works", &format!("name: \"{text}\""))]);
        let all = troubles(&judged);
        assert_eq!(all[0].0, "Y06", "{text}");
        assert!(all[0].2.contains(code), "{}", all[0].2);
    }
    for fine in [
        "Παραγωγή Ω",
        "Насосная №2",
        "Żółw – “x” ≥ 5 µΩ",
        "#panic() *b* $x$ @ref <l> {{ job.number }} {% raw %}",
    ] {
        let judged = p4_with(&[("name: Tarnholt Lift Works", &format!("name: \"{fine}\""))]);
        assert_eq!(judged.report().open(), 0, "{fine}: {:?}", findings(&judged));
    }
}

#[test]
fn no_text_makes_it_panic() {
    let whole = job_text("D-2201-P4");
    let mut texts: Vec<String> = vec![
        String::new(),
        " ".into(),
        "just words".into(),
        "- a\n- list\n".into(),
        "a: [1, 2\n".into(),
        "job: 5\n".into(),
        "job: {number: [1, 2]}\n".into(),
        "? [a]\n: b\n".into(),
        "a: &x [*x]\n".into(),
        "!!binary x\n".into(),
        "job:\n\tnumber: x\n".into(),
        "\u{feff}job: {}\n".into(),
        "job: {}\n---\njob: {}\n".into(),
        "%YAML 9.9\n---\na: b\n".into(),
        format!("a: {}", "x".repeat(3_000_000)),
        "{".repeat(5000),
    ];
    // The job torn at every 97th byte, and with every line left out in turn.
    texts.extend((0..whole.len()).step_by(97).filter_map(|i| whole.get(..i).map(String::from)));
    let lines: Vec<&str> = whole.lines().collect();
    texts.extend((0..lines.len()).step_by(3).map(|i| {
        lines.iter().enumerate().filter(|(j, _)| *j != i).map(|(_, l)| *l).collect::<Vec<_>>().join("\n")
    }));
    for one in texts {
        let judged = judge_edited(one.clone());
        let report = judged.report();
        let shown = text(&report, Look::Plain);
        assert!(!shown.is_empty());
        let _ = cutback::report::json(&report);
        if judged.judged.is_none() {
            assert!(report.open() > 0, "read as nothing and not told: {one}");
        }
    }
}

/// Every path of every job and library file has a place.
#[test]
fn every_value_of_every_file_has_a_place() {
    for name in ["D-2201-P1", "D-2201-P4", "K-0417-P1", "K-0417-P2", "K-0417-P3"] {
        let judged = crate::support::judge(name);
        let (job, ..) = judged.judged.as_ref().expect("judged");
        for (fact, given) in job.texts() {
            let located = judged.sources[given.source].locate(&given.pointer);
            assert!(located.exact && !located.at.is_empty(), "{name}: {fact} has no place");
        }
    }
}

#[test]
fn the_terminal_stays_in_eighty_columns() {
    for name in ["D-2201-P1", "D-2201-P2", "D-2201-P3", "D-2201-P4"] {
        let judged = crate::support::judge(name);
        let shown = text(&judged.report(), Look::Plain);
        let wide: Vec<&str> =
            shown.lines().filter(|l| l.chars().count() > 80 && !l.contains(" | ")).collect();
        assert!(wide.is_empty(), "{name}: {wide:?}");
    }
}

/// A text that would turn the line round on a terminal is shown without that.
#[test]
fn directions_of_a_file_do_not_reach_the_screen() {
    for pointer in ["/acceptances/0/reason", "/circuit/name", "/acceptances/0/figures/bare_clearance"] {
        let judged = judge_edited(crate::support::job_with("D-2201-P4", pointer, "a \u{202e}b\u{7f} c"));
        let shown = cutback::report::text(&judged.report(), cutback::report::Look::Plain);
        assert!(!shown.contains(['\u{202e}', '\u{7f}']), "{pointer}: {shown}");
        assert!(judged.report().open() > 0, "{pointer}: found and told");
    }
}
