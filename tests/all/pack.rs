//! The pack as a value: order, controls, counts, words.

use crate::issuing::{pack_from, pack_of};
use crate::support::{BOOK, PRESS, job_text, library, root};
use cutback::cli::judge_text;
use cutback::job::schema::Shelf;
use cutback::press::Copy;
use cutback::procedure::{Drawing, Procedures, Segment, Shape};
use std::collections::BTreeSet;

/// The eight that most early failures come from, among the points in working order.
#[test]
fn eight_key_points_in_working_order() {
    let (pack, _) = pack_of(job_text("D-2201-P4"));
    let key = [
        "trial-fit",
        "semicon-edge",
        "insulation-surface",
        "lug",
        "filler",
        "tube",
        "final-gaps",
        "screens-earthed",
    ];
    let banners: Vec<_> =
        pack.method.runs.iter().flat_map(|r| &r.steps).filter_map(|s| s.control.as_ref()).collect();
    let found: Vec<_> = banners.iter().filter(|b| key.contains(&b.id.as_str())).collect();
    let ids: Vec<&str> = found.iter().map(|b| b.id.as_str()).collect();
    assert_eq!(ids, key);
    for banner in found {
        let sentences = banner.prevents.matches(". ").count() + usize::from(banner.prevents.ends_with('.'));
        assert_eq!(sentences, 2, "{}: says in two sentences what goes wrong", banner.id);
        assert!(!banner.frames.is_empty());
    }
    for banner in banners {
        assert!(!banner.measures.is_empty() && !banner.releases.is_empty());
        for measure in &banner.measures {
            assert!(
                !measure.limits.is_empty() && !measure.limits.contains("{{"),
                "{} {}",
                banner.id,
                measure.name
            );
            assert!(!measure.limits.contains("not answered"), "{} {}", banner.id, measure.name);
        }
    }
}

/// Our procedure files, each as `change` leaves it.
pub fn procedure_files(change: &dyn Fn(&str, String) -> String) -> Vec<(String, String)> {
    let root = crate::support::root();
    let mut files = Vec::new();
    for dir in ["templates/procedures", "templates/hazards"] {
        for entry in walkdir::WalkDir::new(root.join(dir))
            .into_iter()
            .filter_map(Result::ok)
            .filter(|e| e.file_type().is_file())
        {
            let name =
                entry.path().strip_prefix(&root).expect("below the root").to_string_lossy().into_owned();
            let text = std::fs::read_to_string(entry.path()).expect("a procedure file");
            files.push((name.clone(), change(&name, text)));
        }
    }
    files
}

/// A wrong order in a sequence is a fault of ours with file and line.
#[test]
fn the_order_of_safety_is_checked() {
    let files = procedure_files;
    Procedures::read(files(&|_, text| text)).expect("as it stands it is sound");
    let edit = |edits: &[(&'static str, &'static str)]| {
        Procedures::read(files(&|name, mut text| {
            if name.ends_with("term-box-3c-hs.yaml") {
                for (from, to) in edits {
                    assert!(text.contains(from), "{from}");
                    text = text.replacen(from, to, 1);
                }
            }
            text
        }))
        .map(|_| ())
    };
    let swap = |from: &'static str, to: &'static str| edit(&[(from, to)]);
    // The tube before its filler was seen.
    let fault =
        swap("HT02, HT02-built-in, HT04", "HT04, HT02, HT02-built-in").expect_err("covers the filler");
    assert!(fault.to_string().contains("term-box-3c-hs.yaml line"), "{fault}");
    // A test under a working permit.
    let fault = edit(&[(", Z06, Z08", ", Z08"), ("[S03-again, S05-again,", "[S03-again, S05-again, Z06,")])
        .expect_err("a test under a permit");
    assert!(fault.message.contains("needs the document `test`"), "{fault}");
    // A second document while the first is in force; one nobody holds; one that
    // is never given back.
    let fault = edit(&[("[S03-again, ", "["), ("[S03, S05, X04, B00,", "[S03, S05, S03-again, X04, B00,")])
        .expect_err("two documents");
    assert!(fault.message.contains("while `permit` is still in force"), "{fault}");
    let fault = swap("[Z01, Z02,", "[Z02, Z01,").expect_err("a test document nobody holds");
    assert!(fault.message.contains("the document in force is `permit`"), "{fault}");
    let fault = swap("F05, Z10, Z11]", "F05, Z10]").expect_err("a permit nobody clears");
    assert!(fault.message.contains("but the document in force is `permit`"), "{fault}");
    // Connected for good before the test, and torqued twice.
    let fault =
        edit(&[("F01-final, F02, F02-gaps", "F01-final, F02-gaps"), ("[F01, F03,", "[F01, F02, F03,")])
            .expect_err("connected before the test");
    assert!(fault.message.contains("F02 connects for good before the last test"), "{fault}");
    // An existing cable touched before it is identified.
    let fault = swap("steps: [X02, X03]", "steps: []").expect_err("nobody identified it");
    assert!(fault.message.contains("X05 comes before the cable is identified"), "{fault}");
    assert!(fault.line > 1, "{fault}");
    // A test step whose own line forgets its document.
    let fault = Procedures::read(files(&|name, text| {
        if name.ends_with("steps/tests.yaml") {
            text.replacen("  needs: test\n  tests: true", "  needs: permit\n  tests: true", 1)
        } else {
            text
        }
    }))
    .map(|_| ())
    .expect_err("a test under a permit");
    assert!(fault.message.contains("needs the document `permit`"), "{fault}");
    // A flame nobody is warned of.
    let fault = Procedures::read(files(&|name, text| {
        if name.ends_with("heat-shrink.yaml") { text.replacen("  flame: true\n", "", 1) } else { text }
    }))
    .map(|_| ())
    .expect_err("a torch without its flag");
    assert!(fault.message.contains("torch") && fault.line > 1, "{fault}");
    // A step that does not exist.
    assert!(swap("[Z12, Z13]", "[Z12, Z99]").expect_err("unknown step").message.contains("Z99"));
}

#[test]
fn every_fact_in_a_sentence_is_answered_in_the_demo() {
    for job in ["D-2201-P4", "K-0417-P1"] {
        let (pack, _) = pack_of(job_text(job));
        for step in pack.method.runs.iter().flat_map(|r| &r.steps) {
            let blank = step.text.iter().any(|s| matches!(s, Segment::Blank(_)));
            assert!(!blank, "{job}: step {} has a blank", step.id);
        }
        for row in &pack.basis {
            assert!(!row.mark.is_empty() && !row.value.is_empty(), "{job}: {}", row.name);
        }
        let names: BTreeSet<&str> = pack.basis.iter().map(|b| b.name.as_str()).collect();
        for needed in
            ["sct_over_insulation", "phase_gap", "kit.sct.recovered", "bare_clearance", "tube_band_low"]
        {
            assert!(names.contains(needed), "{job}: no basis for {needed}");
        }
    }
}

/// What is typed prints as typed, whatever it looks like.
#[test]
fn job_text_is_never_markup() {
    let nasty = "#panic() *b* $x$ @ref <l> {{ job.number }} {% if %} `x` = - + //";
    let text = job_text("D-2201-P4")
        .replace("name: Tarnholt Lift Works", &format!("name: \"{nasty}\""))
        .replace("asset: \"TX2, 1600 kVA, 20/0.42 kV\"", &format!("asset: \"{nasty}\""));
    let (pack, json) = pack_of(text);
    assert_eq!(pack.job.site, nasty);
    let copy = Copy::new(&pack, &"0".repeat(64), false, 3);
    PRESS.print(&pack, &json, &copy).expect("it prints");
}

#[test]
fn long_texts_still_print() {
    let long = "x".repeat(2000);
    let words = "cable box ".repeat(190);
    let text = job_text("D-2201-P4")
        .replace("asset: \"TX2, 1600 kVA, 20/0.42 kV\"", &format!("asset: \"{long}\""))
        .replace("place: \"TX2 cable box, transformer bay 2\"", &format!("place: \"{words}\""));
    let (pack, json) = pack_of(text);
    PRESS.print(&pack, &json, &Copy::new(&pack, &"0".repeat(64), true, 0)).expect("it prints");
}

#[test]
fn a_draft_of_a_refused_job_prints() {
    for job in ["D-2201-P1", "D-2201-P2"] {
        let (pack, json) = pack_of(job_text(job));
        PRESS.print(&pack, &json, &Copy::new(&pack, &"0".repeat(64), false, 4)).expect("it prints");
    }
}

/// Drawings stay on their own ground, and the summary has a copy of its own.
#[test]
fn drawings_are_on_the_sheet() {
    let boxed: &[&str] = &["cut-back", "box", "box-small"];
    let joint: &[&str] = &["joint-core", "joint", "joint-small"];
    let outdoor: &[&str] = &["cut-back", "crossarm", "crossarm-small"];
    for (jobs, wanted) in [
        (
            &["D-2201-P1", "D-2201-P4", "K-0417-P1", "K-0417-P2", "N-0316-P1", "L-0853-P1", "D-3314-P1"]
                as &[&str],
            boxed,
        ),
        (&["D-0627-P1", "D-3316-P1", "G-0733-P1", "J-0418-P1"], joint),
        (&["D-1106-P2"], outdoor),
    ] {
        for job in jobs {
            let (pack, _) = pack_of(job_text(job));
            let ids: Vec<&str> = pack.drawings.iter().map(|d| d.id.as_str()).collect();
            assert_eq!(ids, wanted, "{job}");
            assert_eq!(pack.summary.drawing, wanted[2], "{job}");
            for drawing in &pack.drawings {
                // The small ones leave room for the stops beside them.
                let most = if drawing.id == wanted[2] { (123.0, 92.0) } else { (178.0, 226.0) };
                assert!(
                    drawing.width_mm <= most.0 && drawing.height_mm <= most.1,
                    "{job} {}: {} x {}",
                    drawing.id,
                    drawing.width_mm,
                    drawing.height_mm
                );
                on_its_own_ground(drawing);
            }
        }
    }
}

fn words_of(drawing: &Drawing) -> Vec<&str> {
    let words = drawing.shapes.iter().filter_map(|shape| match shape {
        Shape::Text { s, .. } => Some(s.as_str()),
        _ => None,
    });
    words.collect()
}

/// Every least gap stands on the drawing with figure, limit and what is to spare, and
/// each that lies level has a plan at its own height.
#[test]
fn each_least_gap_is_dimensioned_where_it_is() {
    for job in ["D-2201-P1", "D-2201-P4", "K-0417-P1", "N-0316-P1", "L-0853-P1", "D-3314-P1"] {
        let text = job_text(job);
        let judged = crate::support::judge_edited(text.clone());
        let (_, sheet, _) = judged.judged.as_ref().expect("a job");
        let picture = cutback::facts::picture(sheet).expect("a layout");
        let (pack, _) = pack_of(text);
        let drawing = pack.drawings.iter().find(|d| d.id == "box").expect("the box");
        let words = words_of(drawing);
        let mut plans: Vec<f64> =
            words.iter().filter_map(|w| w.strip_prefix("plan ")?.split(' ').next()?.parse().ok()).collect();
        assert!(picture.gaps.len() >= 3, "{job}");
        for gap in &picture.gaps {
            let (figure, limit, spare) = sheet.texts_beside(gap.figure, gap.limit).expect("a figure");
            let at = words.iter().position(|w| *w == figure || w.ends_with(&format!(": {figure}")));
            let at = at.unwrap_or_else(|| panic!("{job}: no {figure} of {} in {words:?}", gap.figure));
            assert_eq!(words[at + 1], format!("least {}", limit.trim_end_matches(" mm")), "{job}");
            assert_eq!(words[at + 2], format!("spare {spare:.1}"), "{job} {}", gap.figure);
            let level = gap.to != cutback::facts::GapTo::Plate;
            let here = plans.iter().any(|plan| (plan - gap.height()).abs() <= 12.5);
            assert!(here || !level, "{job}: no plan at {:.0} mm, only {plans:?}", gap.height());
        }
        plans.retain(|plan| !picture.gaps.iter().any(|gap| (plan - gap.height()).abs() <= 12.5));
        assert!(plans.is_empty(), "{job}: a plan of no gap: {plans:?}");
    }
}

/// No shape leaves its drawing.
pub fn on_its_own_ground(drawing: &Drawing) {
    for shape in &drawing.shapes {
        let points: Vec<[f64; 2]> = match shape {
            Shape::Line { x1, y1, x2, y2, .. } | Shape::Arrow { x1, y1, x2, y2, .. } => {
                vec![[*x1, *y1], [*x2, *y2]]
            }
            Shape::Poly { pts, .. } | Shape::Path { pts, .. } => pts.clone(),
            Shape::Circle { x, y, r, .. } => vec![[x - r, y - r], [x + r, y + r]],
            Shape::Text { x, y, s, size, anchor, rot, .. } => {
                let wide = if *rot == 0.0 { s.chars().count() as f64 * size * 0.19 } else { 0.0 };
                let left = match anchor.as_str() {
                    "start" => *x,
                    "end" => x - wide,
                    _ => x - wide / 2.0,
                };
                vec![[left, *y], [left + wide, *y]]
            }
        };
        for [x, y] in points {
            let inside =
                (-0.5..=drawing.width_mm + 0.5).contains(&x) && (-0.5..=drawing.height_mm + 0.5).contains(&y);
            assert!(inside, "{}: {shape:?} leaves the sheet", drawing.id);
        }
    }
}

/// Names of models and slugs that mean nothing to a jointer never reach paper.
#[test]
fn words_that_are_never_printed() {
    const NEVER: &[&str] = &[
        "solid gap",
        "s-bend",
        "sbend",
        "spread bound",
        "two arcs",
        "two equal arcs",
        "root-sum",
        "hp-",
        "hz-",
    ];
    for job in ["D-2201-P1", "D-2201-P4", "K-0417-P1", "K-0417-P2"] {
        let (_, json) = pack_of(job_text(job));
        let text = String::from_utf8(json).expect("UTF-8").to_lowercase();
        let found: Vec<&&str> = NEVER.iter().filter(|w| text.contains(**w)).collect();
        assert!(found.is_empty(), "{job}: {found:?}");
        assert!(!text.contains("rss ") && !text.contains(" rss"), "{job}");
    }
}

/// Writes a pack as the layout reads it, for a comparison with the typesetter's
/// own command line: `EXPORT=folder cargo test export_a_pack`.
#[test]
fn export_a_pack() {
    let Some(folder) = std::env::var_os("EXPORT").map(std::path::PathBuf::from) else { return };
    let (pack, mut json) = pack_of(job_text("D-2201-P4"));
    json.push(b'\n');
    let copy = cutback::press::Copy::new(&pack, &cutback::issuing::sha256(&json), true, 0);
    std::fs::create_dir_all(folder.join("fonts")).expect("made");
    let root = crate::support::root();
    for (from, to) in [("templates/layout", ""), ("fonts", "fonts")] {
        for entry in std::fs::read_dir(root.join(from)).expect("a folder").flatten() {
            std::fs::copy(entry.path(), folder.join(to).join(entry.file_name())).expect("copied");
        }
    }
    std::fs::write(folder.join("pack.json"), json).expect("written");
    std::fs::write(folder.join("print.json"), copy.json().expect("sound words")).expect("written");
    std::fs::write(folder.join("words.json"), copy.words().expect("sound words")).expect("written");
}

/// A job that is not marked invented, on an item that is, says so on every page and in its record.
#[test]
fn an_invented_item_marks_the_whole_pack() {
    let own = job_text("K-0417-P1").replace("  invented: yes\n", "");
    assert!(!own.contains("invented: yes"), "job and cable are marked elsewhere");
    assert!(pack_of(own.clone()).0.job.invented, "its kit and its lug are invented");
    let item = |folder: &str, code: &str| {
        let path = root().join(format!("jobs/library/{folder}/{code}.yaml"));
        std::fs::read_to_string(path).expect("an item").replace("invented: yes\n", "")
    };
    let kit = library().with(Shelf::Kits, "ZH12-3I-150", item("kits", "ZH12-3I-150"));
    let both = kit.clone().with(Shelf::Lugs, "ZL-CU150-10", item("lugs", "ZL-CU150-10"));
    for (library, invented) in [(kit, true), (both, false)] {
        let judged = judge_text("job.yaml", own.clone(), &library, &BOOK, &PRESS);
        assert_eq!(pack_from(&judged).0.job.invented, invented);
    }
}
