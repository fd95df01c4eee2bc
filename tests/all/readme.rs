//! What the README says of rules, findings and counts is what the tool says.
//! `UPDATE=1 cargo test readme` rewrites the rule table.

use crate::issuing::pack_of;
use crate::support::{BOOK, PRESS, job_text, library, root};
use cutback::finding::Grade;
use cutback::press::Copy;
use cutback::procedure::Pack;
use cutback::rules::RuleBook;
use std::collections::BTreeSet;
use std::fmt::Write;

/// The finding that the README shows is the one that `check` prints.
#[test]
fn readme_shows_a_finding_as_it_is() {
    let path = "jobs/demo/D-2201-P1.yaml";
    let readme = std::fs::read_to_string(root().join("README.md")).expect("README.md");
    let shown = readme.split("```text\n").nth(1).and_then(|t| t.split("```").next()).expect("a finding");
    let judged = cutback::cli::judge_text(path, job_text("D-2201-P1"), &library(), &BOOK, &PRESS);
    let report = cutback::report::text(&judged.report(), cutback::report::Look::Plain);
    assert!(report.contains(shown), "the README shows\n{shown}\nand check prints\n{report}");
}

/// Rules by code, name and what they can; `words` for what blocks, asks, advises.
fn table(book: &RuleBook, words: [&str; 3]) -> String {
    let mut out = String::from("| code | name of the wrong | can |\n|---|---|---|\n");
    for entry in &book.entries {
        let grades: BTreeSet<Grade> = entry.checks.iter().flat_map(|c| &c.ladder).map(|r| r.grade).collect();
        let can: Vec<&str> = grades
            .iter()
            .rev()
            .map(|g| match g {
                Grade::Blocks => words[0],
                Grade::Asks => words[1],
                Grade::Advises => words[2],
            })
            .collect();
        let _ = writeln!(out, "| {} | `{}` | {} |", entry.code, entry.name, can.join(", "));
    }
    out
}

/// What a pack of each kind of work asks of the people who carry it.
fn kinds() -> String {
    let mut out = String::from(
        "| kind | pages carried | steps | points | stops | photographs |\n|---|---|---|---|---|---|\n",
    );
    let mut seen = BTreeSet::new();
    for (kind, job, _) in crate::kinds::KINDS.iter().filter(|k| seen.insert(k.0)) {
        let (pack, json) = pack_of(job_text(job));
        let (carried, _) = pages(&pack, &json);
        let steps = pack.method.runs.iter().map(|r| r.steps.len()).sum::<usize>();
        let points = pack.release.stops.iter().map(|s| s.points.len()).sum::<usize>();
        let (stops, photos) = (pack.release.stops.len(), pack.photos.total);
        let _ = writeln!(out, "| `{kind}` | {carried} | {steps} | {points} | {stops} | {photos} |");
    }
    out
}

/// A newcomer has only the notes: a file or folder that they name is there.
#[test]
fn notes_name_files_that_are_there() {
    let notes = std::fs::read_to_string(root().join("DEVELOPERS.md")).expect("DEVELOPERS.md");
    let begins = ["src/", "tests/", "templates/", "jobs/", ".ci/"];
    let named = |t: &&str| {
        begins.iter().any(|b| t.starts_with(b))
            && !t.contains(|c: char| c.is_uppercase() || " *<…".contains(c))
    };
    // Between backticks, whatever the line; every second piece.
    let paths: BTreeSet<&str> = notes.split('`').skip(1).step_by(2).filter(named).collect();
    let missing: Vec<&&str> = paths.iter().filter(|path| !root().join(path).exists()).collect();
    assert!(paths.len() > 20, "{paths:?}");
    assert!(missing.is_empty(), "DEVELOPERS.md names files that are not there: {missing:?}");
}

/// All tables in one test: each rewrites the whole file.
#[test]
fn readme_rule_tables_are_current() {
    let path = root().join("README.md");
    let mut text = std::fs::read_to_string(&path).expect("README.md");
    let verify = cutback::record::rule_book().expect("our rules of verification are sound");
    let across = cutback::circuit::rule_book().expect("our rules across jobs are sound");
    let decide = cutback::inspection::table().expect("our decision table is sound");
    for (mark, table) in [
        ("kinds", kinds()),
        ("rules", table(&BOOK, ["block", "ask for acceptance", "advise"])),
        ("rules across", table(&across, ["block", "ask for acceptance", "advise"])),
        ("verification", table(&verify, ["reject", "query", "note"])),
        ("decision", table(&decide, ["redesign", "remake", "watch"])),
    ] {
        let (open, close) = (format!("<!-- {mark} -->\n"), format!("<!-- /{mark} -->"));
        let start = text.find(&open).expect("the table's place") + open.len();
        let end = text.find(&close).expect("the table's end");
        if std::env::var_os("UPDATE").is_none() {
            assert_eq!(&text[start..end], table, "run UPDATE=1 cargo test readme");
        }
        text.replace_range(start..end, &table);
    }
    if std::env::var_os("UPDATE").is_some() {
        std::fs::write(&path, text).expect("README.md");
    }
}

/// `explain` finds a rule by code or name: neither stands twice, in jobs or records.
#[test]
fn no_rule_is_called_like_another() {
    let verify = cutback::record::rule_book().expect("our rules of verification are sound");
    let across = cutback::circuit::rule_book().expect("our rules across jobs are sound");
    let mut seen = BTreeSet::new();
    let decide = cutback::inspection::table().expect("our decision table is sound");
    for entry in [&*BOOK, &across, &verify, &decide].into_iter().flat_map(|b| &b.entries) {
        assert!(seen.insert(entry.code.clone()) && seen.insert(entry.name.clone()), "{} twice", entry.name);
    }
}

/// Pages of an issued pack, carried and cut out: a label of its own each.
fn pages(pack: &Pack, json: &[u8]) -> (usize, usize) {
    let copy = Copy::new(pack, &cutback::issuing::sha256(json), true, 0);
    let pdf = PRESS.print(pack, json, &copy).expect("it prints");
    let labels = |form: &[u8]| pdf.windows(form.len()).filter(|w| *w == form).count();
    (labels(b"/Type/PageLabel/S/D/St "), labels(b"/Type/PageLabel/S/D/P(C)/St "))
}

#[test]
fn readme_counts_are_those_of_the_pack() {
    let (pack, json) = pack_of(job_text("D-2201-P4"));
    let (carried, cut_out) = pages(&pack, &json);
    let points = pack.release.stops.iter().map(|s| s.points.len()).sum::<usize>();
    let said = format!(
        "stops the jointer at {} stops that release {points} points, asks for {} photographs on {} label cards, \
         and has {carried} pages to carry, {cut_out} to cut out",
        pack.release.stops.len(),
        pack.photos.total,
        pack.labels.cards.len(),
    );
    let readme = std::fs::read_to_string(root().join("README.md")).expect("README.md");
    let words = readme.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(words.contains(&said), "the README does not say: {said}");
}

/// What a jointer carries: at most 16 pages, 8 stops and 36 photographs, in every
/// job of the demonstration that can be issued.
#[test]
fn a_pack_that_is_carried_not_filed() {
    let mut seen = 0;
    let folders = ["jobs/demo", "jobs/demo/hollin-loop"].map(|folder| root().join(folder));
    for entry in folders.iter().flat_map(|folder| std::fs::read_dir(folder).expect("the demonstration")) {
        let path = entry.expect("an entry").path();
        if path.extension().is_none_or(|e| e != "yaml") {
            continue;
        }
        let name = path.file_stem().expect("a name").to_string_lossy().into_owned();
        let text = std::fs::read_to_string(&path).expect("a job");
        let judged = cutback::cli::judge_text(&name, text.clone(), &library(), &BOOK, &PRESS);
        if judged.report().open() > 0 {
            continue;
        }
        let (pack, json) = pack_of(text);
        let (carried, _) = pages(&pack, &json);
        assert!(
            carried <= 16,
            "{name}: {carried} pages to carry; say what was added, or something else, shorter"
        );
        assert!(pack.release.stops.len() <= 8, "{name}: {} stops", pack.release.stops.len());
        assert!(pack.photos.total <= 36, "{name}: {} photographs", pack.photos.total);
        seen += 1;
    }
    assert!(seen >= 2, "{seen} jobs of the demonstration can be issued");
}
