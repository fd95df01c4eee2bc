//! The README's rule table is the registry's. `UPDATE=1 cargo test readme`
//! rewrites it.

use crate::support::{BOOK, PRESS, job_text, library, root};
use cutback::finding::Grade;
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

fn table() -> String {
    let mut out = String::from("| code | name of the wrong | can |\n|---|---|---|\n");
    for entry in &BOOK.entries {
        let grades: BTreeSet<Grade> = entry.checks.iter().flat_map(|c| &c.ladder).map(|r| r.grade).collect();
        let words: Vec<&str> = grades
            .iter()
            .rev()
            .map(|g| match g {
                Grade::Blocks => "block",
                Grade::Asks => "ask for acceptance",
                Grade::Advises => "advise",
            })
            .collect();
        let _ = writeln!(out, "| {} | `{}` | {} |", entry.code, entry.name, words.join(", "));
    }
    out
}

#[test]
fn readme_rule_table_is_current() {
    let path = root().join("README.md");
    let text = std::fs::read_to_string(&path).expect("README.md");
    let (open, close) = ("<!-- rules -->\n", "<!-- /rules -->");
    let start = text.find(open).expect("the table's place") + open.len();
    let end = text.find(close).expect("the table's end");
    let table = table();
    if std::env::var_os("UPDATE").is_some() {
        let new = format!("{}{table}{}", &text[..start], &text[end..]);
        std::fs::write(&path, new).expect("README.md");
        return;
    }
    assert_eq!(&text[start..end], table, "run UPDATE=1 cargo test readme");
}
