//! Schema and reader are of one mind on what is written beside a job: as-found
//! files, records, the files of a house.

use crate::json_schema::Schema;
use crate::record_verify::{DEMO, PACKS, clean};
use crate::support::root;
use cutback::house::{House, HouseFile};
use cutback::job::load_as_found;
use cutback::job::schema::as_found_schema;
use cutback::record::{self, record_schema};
use cutback::source::Source;
use serde_json::Value as Json;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

fn value(text: &str) -> Json {
    serde_yaml::from_str(text).expect("YAML")
}

fn yaml_below(folder: &Path) -> Vec<PathBuf> {
    let files = walkdir::WalkDir::new(folder).sort_by_file_name().into_iter().filter_map(Result::ok);
    files.map(walkdir::DirEntry::into_path).filter(|p| p.extension().is_some_and(|e| e == "yaml")).collect()
}

#[test]
fn as_found_files_validate() {
    let schema = Schema::new(as_found_schema());
    let files = yaml_below(&root().join("jobs/demo/found"));
    assert!(files.len() >= 5);
    for path in files {
        let text = std::fs::read_to_string(&path).expect("a text");
        assert_eq!(schema.errors(&value(&text)), Vec::<String>::new(), "{}", path.display());
        for (from, to) in
            [("found: {", "found: {zzz: 1, "), ("l1:\n", "l1:\n  zzz: 1\n"), ("palm: sound", "palm: [sound]")]
        {
            let bad = text.replacen(from, to, 1);
            assert!(bad != text && !schema.accepts(&value(&bad)), "{}: {to}", path.display());
            assert!(!load_as_found("f.yaml", bad).findings.is_empty(), "{}: {to}", path.display());
        }
    }
}

/// Whether the reader takes the form of a record's text.
fn reads(job: &str, text: &str) -> bool {
    record::load("record.yaml", text.to_string(), &PACKS[job].0.form).findings.is_empty()
}

#[test]
fn records_validate() {
    for job in DEMO {
        let schema = Schema::new(record_schema(&PACKS[job].0));
        let files = yaml_below(&root().join("jobs/demo/records").join(job));
        let records: Vec<&PathBuf> = files.iter().filter(|p| p.ends_with("record.yaml")).collect();
        assert!(!records.is_empty(), "{job}");
        for path in records {
            let text = std::fs::read_to_string(path).expect("a text");
            assert!(reads(job, &text), "{}", path.display());
            assert_eq!(schema.errors(&value(&text)), Vec::<String>::new(), "{}", path.display());
        }
        let blank = record::blank(&PACKS[job].0, &PACKS[job].1);
        assert!(reads(job, &blank), "{job}: the blank");
        assert_eq!(schema.errors(&value(&blank)), Vec::<String>::new(), "{job}: the blank");
    }
}

/// A shape that no reader takes is refused by both; and what the schema refuses, the
/// reader does. The other way about values are the reader's: a figure, a time and a
/// reason may be written in many ways.
#[test]
fn shapes_of_a_record_are_refused_by_both() {
    let job = "D-2201-P4";
    let text = clean(job);
    let schema = Schema::new(record_schema(&PACKS[job].0));
    let (source, _) = Source::read("record.yaml", text.clone());
    let long = "x".repeat(4001);
    let shapes = ["{zzz: 1}", "[[a]]", "[{zzz: 1}]", long.as_str()];
    let (mut tried, mut refused) = (0, 0);
    for (i, pointer) in source.pointers().enumerate().filter(|(i, p)| i % 53 == 0 && !p.is_empty()) {
        for to in shapes.iter().chain(&["~", "none", "'n/a: not here'", "yes", "12"]) {
            let mut bad = text.clone();
            bad.replace_range(source.locate(pointer).at, to);
            let (read, valid) = (reads(job, &bad), schema.accepts(&value(&bad)));
            assert!(valid || !read, "{i} {pointer}: the schema refuses `{to:.20}`, the reader takes it");
            if shapes.contains(to) {
                assert!(!read && !valid, "{i} {pointer}: `{to:.20}` read {read}, valid {valid}");
            }
            (tried, refused) = (tried + 1, refused + usize::from(!valid));
        }
    }
    assert!(tried > 60 && refused > 25, "{tried} tried, {refused} refused");
}

/// Every group of a value, by its pointer.
fn groups(value: &Json, at: &str, out: &mut Vec<String>) {
    match value {
        Json::Object(map) => {
            out.push(at.to_string());
            map.iter().for_each(|(k, v)| groups(v, &format!("{at}/{}", k.replace('/', "~1")), out));
        }
        Json::Array(items) => {
            items.iter().enumerate().for_each(|(i, v)| groups(v, &format!("{at}/{i}"), out))
        }
        _ => {}
    }
}

/// The schema of what stands at a pointer.
fn at<'s>(schema: &'s Json, pointer: &str) -> &'s Json {
    pointer
        .split('/')
        .skip(1)
        .fold(schema, |s, part| if s["items"].is_object() { &s["items"] } else { &s["properties"][part] })
}

/// The keys a reader lists when it meets one it does not know.
fn listed(said: &str) -> BTreeSet<String> {
    let behind = said.split_once("expected").map_or("", |(_, keys)| keys);
    behind.split('`').skip(1).step_by(2).map(String::from).collect()
}

/// Keys a rule of ours has and one of a house has no use for: proofs are ours, and the
/// other two are asked of records.
const OURS: [&str; 3] = ["each", "complete", "proofs"];

#[test]
fn files_of_a_house_take_the_same_keys_in_both() {
    let demo = root().join("jobs/house");
    for file in HouseFile::ALL {
        let (json, path) = (file.schema(), demo.join(file.place()));
        let path = if path.is_dir() { yaml_below(&path).remove(0) } else { path };
        let schema = Schema::new(json.clone());
        let whole = value(&std::fs::read_to_string(&path).expect("a file of the demonstration house"));
        assert_eq!(schema.errors(&whole), Vec::<String>::new(), "{}", path.display());
        // The house with this file written anew.
        let said = |changed: &Json| -> Result<(), String> {
            let dir = tempfile::tempdir().expect("a folder");
            for from in yaml_below(&demo) {
                let to = dir.path().join(from.strip_prefix(&demo).expect("below"));
                std::fs::create_dir_all(to.parent().expect("a folder")).expect("a folder");
                std::fs::copy(&from, to).expect("a copy");
            }
            let text = serde_yaml::to_string(changed).expect("YAML");
            std::fs::write(dir.path().join(path.strip_prefix(&demo).expect("below")), text).expect("a file");
            let house = House::read(dir.path()).map_err(|e| e.to_string())?;
            house.rule_book().map_err(|e| e.to_string())?;
            house.procedures().map(|_| ()).map_err(|e| e.to_string())
        };
        assert_eq!(said(&whole), Ok(()), "{}", path.display());
        let mut all = Vec::new();
        groups(&whole, "", &mut all);
        for pointer in all {
            // Names that the owner gives, not keys.
            if !at(&json, &pointer)["properties"].is_object() || pointer.ends_with("/leans_on") {
                continue;
            }
            let mut other = whole.clone();
            let map = other.pointer_mut(&pointer).and_then(Json::as_object_mut).expect("a group");
            map.insert("zzz".into(), "1".into());
            assert!(!schema.accepts(&other), "{}{pointer}: the schema takes any key", path.display());
            let told = listed(&said(&other).expect_err("a key that is not known"));
            let own: BTreeSet<String> = at(&json, &pointer)["properties"]
                .as_object()
                .into_iter()
                .flatten()
                .map(|(k, _)| k.clone())
                .collect();
            let ours: BTreeSet<String> = OURS.iter().map(|k| (*k).to_string()).collect();
            let missing: Vec<_> = told.difference(&own).filter(|k| !ours.contains(*k)).collect();
            assert!(missing.is_empty(), "{}{pointer}: the schema lacks {missing:?}", path.display());
            assert!(own.is_subset(&told), "{}{pointer}: {own:?} against {told:?}", path.display());
            // Each key in turn left out.
            let keys: Vec<String> = whole
                .pointer(&pointer)
                .and_then(Json::as_object)
                .into_iter()
                .flatten()
                .map(|k| k.0.clone())
                .collect();
            for key in keys {
                let mut other = whole.clone();
                other
                    .pointer_mut(&pointer)
                    .and_then(Json::as_object_mut)
                    .expect("a group")
                    .shift_remove(&key);
                let lacks = said(&other).is_err_and(|e| e.contains("missing field"));
                assert_eq!(!schema.accepts(&other), lacks, "{}{pointer}: without {key}", path.display());
            }
        }
    }
}
