//! The table of points that facts read, against the procedures it is drawn from.

use crate::support::root;
use serde_yaml::Value;
use std::collections::{BTreeMap, BTreeSet};

fn yaml(path: &std::path::Path) -> Value {
    serde_yaml::from_str(&std::fs::read_to_string(path).expect("a text")).expect("YAML")
}

fn files(folder: &str) -> Vec<std::path::PathBuf> {
    let listed = std::fs::read_dir(root().join(folder)).expect("a folder").filter_map(Result::ok);
    let mut files: Vec<_> = listed.map(|f| f.path()).filter(|p| p.extension().is_some()).collect();
    files.sort();
    files
}

fn drawn() -> String {
    let mut kinds: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for order in files("templates/procedures").iter().map(|path| yaml(path)) {
        let Some(kind) = order["work_type"].as_str() else { continue };
        for stop in order["stops"].as_sequence().expect("stops") {
            for point in stop["points"].as_sequence().expect("points") {
                kinds.entry(point.as_str().expect("an id").into()).or_default().insert(kind.into());
            }
        }
    }
    let mut lines = vec!["point,called,by,letter,printed,kinds".to_string()];
    for file in files("templates/procedures/controls") {
        for point in yaml(&file).as_sequence().expect("points") {
            let text = |key: &str| point[key].as_str().unwrap_or("").to_string();
            let id = text("id");
            let printed = if text("when").is_empty() { "always" } else { "sometimes" };
            let kinds: Vec<_> = kinds.get(&id).into_iter().flatten().map(String::as_str).collect();
            let fields = [id, text("called"), text("by"), text("letter"), printed.into(), kinds.join(" ")];
            assert!(fields.iter().all(|field| !field.contains(',')), "{fields:?}");
            lines.push(fields.join(","));
        }
    }
    lines.join("\n") + "\n"
}

#[test]
fn the_points_table_is_drawn_from_the_procedures() {
    let path = root().join("templates/points.csv");
    if std::env::var_os("UPDATE").is_some() {
        std::fs::write(&path, drawn()).expect("written");
    }
    let table = std::fs::read_to_string(path).expect("the table");
    assert_eq!(table, drawn(), "run UPDATE=1 cargo test points_table");
}

/// The words that a form offers a second jointer are those that he may release.
#[test]
fn a_form_says_what_a_second_jointer_may_release() {
    let table = std::fs::read_to_string(root().join("templates/points.csv")).expect("the table");
    for kind in cutback::job::schema::WORK_TYPES {
        let form = cutback::job::fresh(kind).expect("a form");
        let offered = form.lines().find_map(|line| line.split_once("second jointer: [")?.1.split(']').next());
        let mut offered: Vec<&str> = offered.map_or(Vec::new(), |words| words.split(", ").collect());
        let mut may: Vec<&str> = table
            .lines()
            .map(|line| line.split(',').collect::<Vec<_>>())
            .filter(|p| p[5].split(' ').any(|k| k == *kind) && p[2].contains("second jointer"))
            .map(|p| if p[1].is_empty() { p[0] } else { p[1] })
            .collect();
        may.sort_unstable();
        offered.sort_unstable();
        assert_eq!(offered, may, "{kind}");
    }
}
