//! The JSON Schema and the reader are of one mind, on every file of the
//! repository, on every kind of key and on a heap of bad values.

use crate::json_schema::Schema;
use crate::support::{job_text, job_with, root};
use cutback::job::schema::{JOB, Key, Kind, Shelf, item_schema, job_schema};
use cutback::job::{Library, load};
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

const SHELVES: [Shelf; 4] = [Shelf::Cables, Shelf::Kits, Shelf::Lugs, Shelf::Boots];

/// Where schema and reader differ, and why it must be so. The reader takes a
/// value as it is written; a schema sees what YAML makes of it.
const KNOWN: &[(&str, &str)] = &[
    ("34 to 24 mm", "a pattern can't tell which of two figures is the lower"),
    ("9999999999 mm", "a pattern can't tell the size of a number"),
    ("0.0000000000000001 mm", "the reader takes numbers of 16 characters at most"),
    ("'640'", "a count in quotes is a text to a schema, and the reader takes quotes off"),
    ("3.0", "a whole number to a schema, and written with a point"),
    ("0x1F", "a number to YAML, not to a planner"),
    ("+5", "a number to YAML, and no name with a plus"),
    ("True", "true to YAML; the reader takes yes, no, true and false"),
    ("'true'", "a text to a schema, and the reader takes quotes off"),
    ("' 640 mm '", "the reader takes blanks at the ends off"),
    ("' yes '", "the reader takes blanks at the ends off"),
    ("' D-2201 '", "the reader takes blanks at the ends off"),
    ("' 2031-05-12 '", "the reader takes blanks at the ends off"),
];

/// Values of every kind, good for some keys and bad for the others.
const PROBES: &str = "\
640 mm|640mm|1.2 m|-3 mm|-3 C|-3 to 4 C|-0 mm|-3 to 4 mm|-0 C|.5 mm|5. mm|640|1.5|mm|1e3 mm|NaN mm|--1 mm|1.2.3 mm|9 inches|640 MM|'1,5 mm'|\
22 kV|22 kV rms|22 kV  peak|125 V|22 kVrms|16 kA|60 min|19 C|85 %|185 mm2|0.27 uF/km|60 N.m|60 Nxm|\
18 kg|50 Hz|30 deg|10 m/s|50 mohm|640 mm rms|'640 mm, about'|\
24.0 to 34.0 mm|24 mm to 34 mm|2 cm to 34 mm|24  to  34 mm|1 to 2 kV rms|24 to mm|to 34 mm|24-34 mm|\
24 kV to 34 mm|70 to 150 mm2|0 to 45 C|0 to 85 %|3|0|-1|1000000|1000001|3.5|yes|no|true|false|Yes|on|y|\
2031-05-12|2031-02-30|12.5.2031|2031-5-2|20310512|'2031-05-12T10:00'|2031-13-01|\
D-2201|P1|'../x'|'.P4'|P 4|a/b|''|' '|none|'none, built in'|nonesuch|None|A|copper|coper|XLPE|1 2 3|\
on site|~||[a, b]|[]|[1, yes]|[[a]]|[{a: b}]|[~]|{a: b}|{}|{a: ~}|{a: [b]}";

fn probes() -> Vec<String> {
    let mut out: Vec<String> = PROBES.split('|').map(String::from).collect();
    out.extend([40, 41, 4000, 4001].map(|n| "x".repeat(n)));
    out.extend(KNOWN.iter().map(|(probe, _)| (*probe).to_string()));
    out
}

/// A document with `probe` at `path`, in YAML's flow form.
fn document(job: bool, path: &[&Key], probe: &str) -> String {
    let mut inner = probe.to_string();
    let mut parts: Vec<String> = Vec::new();
    for (depth, key) in path.iter().enumerate().rev() {
        let listed = matches!(key.kind, Kind::List(_)) && depth + 1 < path.len();
        let value = if listed { format!("[{{{inner}}}]") } else { inner };
        inner = match (depth, path.len()) {
            (d, n) if d + 1 == n => format!("{}: {value}", key.name),
            _ if listed => format!("{}: {value}", key.name),
            _ => format!("{}: {{{value}}}", key.name),
        };
    }
    if job {
        let own = |name: &str| {
            path.first().is_some_and(|k| k.name == "job") && path.get(1).is_some_and(|k| k.name == name)
        };
        let mut head: Vec<String> =
            [("number", "X"), ("revision", "P1"), ("work_type", "term-box-3c-hs"), ("end", "E")]
                .iter()
                .filter(|(name, _)| !own(name))
                .map(|(name, value)| format!("{name}: {value}"))
                .collect();
        match path {
            [first] if first.name == "job" => {}
            [first, last] if first.name == "job" => {
                head.push(format!("{}: {probe}", last.name));
                inner = format!("job: {{{}}}", head.join(", "));
            }
            _ => parts.push(format!("job: {{{}}}", head.join(", "))),
        }
    }
    parts.push(inner);
    format!("{{{}}}\n", parts.join(", "))
}

/// Whether the reader takes the text without trouble of its form.
fn reads(shelf: Option<Shelf>, text: &str) -> bool {
    // A cable that names another is told as what the library lacks.
    let form = |code: &str| {
        matches!(code, "Y01" | "Y02" | "Y03" | "Y04") || (shelf == Some(Shelf::Cables) && code == "Y05")
    };
    let Some(shelf) = shelf else {
        let loaded = load("job.yaml", text.to_string(), &Library::default());
        return !loaded.findings.iter().any(|f| form(&f.code));
    };
    let named = match shelf {
        Shelf::Cables => "cable: {library: X}",
        Shelf::Kits => "kit: X",
        Shelf::Lugs => "lug: X",
        Shelf::Boots => "boots: X",
    };
    let job = format!("job: {{number: X, revision: P1, work_type: term-box-3c-hs, end: E}}\n{named}\n");
    let library = Library::default().with(shelf, "X", text.to_string());
    !load("job.yaml", job, &library).findings.iter().any(|f| form(&f.code))
}

fn validates(schema: &Schema, text: &str) -> Result<(), Vec<String>> {
    let value: serde_json::Value = serde_yaml::from_str(text).map_err(|e| vec![e.to_string()])?;
    let errors = schema.errors(&value);
    if errors.is_empty() { Ok(()) } else { Err(errors) }
}

fn schemas() -> Vec<(Option<Shelf>, &'static [Key], Schema)> {
    let mut all = vec![(None, JOB, Schema::new(job_schema()))];
    all.extend(SHELVES.map(|shelf| (Some(shelf), shelf.keys(), Schema::new(item_schema(shelf)))));
    all
}

fn every_key(keys: &'static [Key], above: &[&'static Key], see: &mut dyn FnMut(&[&'static Key])) {
    for key in keys {
        let path: Vec<&Key> = above.iter().copied().chain([key]).collect();
        see(&path);
        if let Kind::Group(inner) | Kind::List(inner) = key.kind {
            every_key(inner, &path, see);
        }
    }
}

#[test]
fn every_kind_of_key_takes_the_same_in_both() {
    let probes = probes();
    let short: Vec<String> = ["640 mm", "3", "yes", "''", "{}", "~"].map(String::from).to_vec();
    let mut differ: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    let mut counted = (0, 0);
    for (shelf, keys, schema) in schemas() {
        let mut seen = BTreeSet::new();
        every_key(keys, &[], &mut |path| {
            let key = path[path.len() - 1];
            if shelf.is_some() && matches!(key.kind, Kind::Item(_)) {
                return;
            }
            let kind = match key.kind {
                Kind::Group(_) => "group".to_string(),
                Kind::List(_) => "list".to_string(),
                other => format!("{other:?}"),
            };
            let fresh = seen.insert((kind.clone(), key.none, key.required));
            let own = match key.kind {
                Kind::Choice(words) => words.iter().map(|w| (*w).to_string()).collect(),
                _ => vec![key.sample()],
            };
            for probe in own.iter().chain(if fresh { &probes } else { &short }) {
                let text = document(shelf.is_none(), path, probe);
                let (read, valid) = (reads(shelf, &text), validates(&schema, &text).is_ok());
                counted.0 += 1;
                counted.1 += usize::from(read);
                if read != valid {
                    let what = if read { "read, not valid" } else { "valid, not read" };
                    differ.entry(probe.clone()).or_default().insert(format!("{} {kind}: {what}", key.name));
                }
            }
        });
    }
    let known: BTreeSet<&str> = KNOWN.iter().map(|(probe, _)| *probe).collect();
    let new: Vec<_> = differ.iter().filter(|(probe, _)| !known.contains(probe.as_str())).collect();
    assert!(new.is_empty(), "schema and reader differ: {new:#?}");
    let same: Vec<_> = known.iter().filter(|probe| !differ.contains_key(**probe)).collect();
    assert!(same.is_empty(), "listed as different and the same in both: {same:?}");
    assert!(counted.0 > 4000 && counted.1 > 500, "few probes: {counted:?}");
}

#[test]
fn every_group_refuses_what_it_does_not_know() {
    for (shelf, keys, schema) in schemas() {
        let mut texts = vec!["{zzz: 1}".to_string(), "[]".into(), "5".into()];
        every_key(keys, &[], &mut |path| {
            let probes: &[&str] = match path[path.len() - 1].kind {
                Kind::Group(_) => &["{zzz: 1}", "5", "[]", "[a]", "text"],
                Kind::List(_) => &["[{zzz: 1}]", "[5]", "[~]", "{a: b}", "5"],
                _ => return,
            };
            texts.extend(probes.iter().map(|probe| document(shelf.is_none(), path, probe)));
        });
        for text in texts {
            assert!(!reads(shelf, &text), "the reader takes {text}");
            assert!(validates(&schema, &text).is_err(), "the schema takes {text}");
        }
    }
}

#[test]
fn what_must_stand_is_asked_for_by_both() {
    let schema = Schema::new(job_schema());
    let whole = [("number", "X"), ("revision", "P1"), ("work_type", "term-box-3c-hs"), ("end", "E")];
    let text = |left_out: Option<usize>, empty: Option<usize>| {
        let keys: Vec<String> = whole
            .iter()
            .enumerate()
            .filter(|(i, _)| Some(*i) != left_out)
            .map(|(i, (name, value))| format!("  {name}: {}\n", if Some(i) == empty { "" } else { value }))
            .collect();
        format!("job:\n{}", keys.concat())
    };
    assert!(reads(None, &text(None, None)) && validates(&schema, &text(None, None)).is_ok());
    let mut bad: Vec<String> = (0..4).flat_map(|i| [text(Some(i), None), text(None, Some(i))]).collect();
    bad.extend(["job:\n", "job: {}\n", "{}\n", "system: {nominal: 22 kV}\n"].map(String::from));
    for text in bad {
        assert!(!reads(None, &text), "the reader takes {text}");
        assert!(validates(&schema, &text).is_err(), "the schema takes {text}");
    }
}

fn yaml_files(folder: &Path) -> Vec<(String, String)> {
    let mut files: Vec<_> = walkdir::WalkDir::new(folder)
        .into_iter()
        .filter_map(Result::ok)
        // Completed records and as-found files lie there too, and are no jobs.
        .filter(|e| !e.path().components().any(|c| c.as_os_str() == "records" || c.as_os_str() == "found"))
        .filter(|e| e.path().extension().is_some_and(|e| e == "yaml"))
        .map(|e| (e.path().display().to_string(), std::fs::read_to_string(e.path()).expect("a text")))
        .collect();
    files.sort();
    files
}

#[test]
fn every_file_of_the_repository_validates() {
    let job = Schema::new(job_schema());
    let mut jobs = yaml_files(&root().join("jobs/demo"));
    jobs.extend(yaml_files(&root().join("tests/jobs")));
    assert!(jobs.len() >= 7, "{}", jobs.len());
    for (name, text) in jobs {
        assert!(reads(None, &text), "{name} is read");
        assert_eq!(validates(&job, &text), Ok(()), "{name}");
    }
    for shelf in SHELVES {
        let schema = Schema::new(item_schema(shelf));
        let items = yaml_files(&root().join("jobs/library").join(shelf.folder()));
        assert!(!items.is_empty());
        for (name, text) in items {
            assert!(reads(Some(shelf), &text), "{name} is read");
            assert_eq!(validates(&schema, &text), Ok(()), "{name}");
        }
    }
}

#[test]
fn bad_edits_are_refused_by_both() {
    let schema = Schema::new(job_schema());
    for (at, to) in [
        ("/system/nominal", "20 mm"),
        ("/system/nominal", "20"),
        ("/system/nominal", "-20 kV"),
        ("/enclosure/stud_to_wall", "9 inches"),
        ("/enclosure/stud_to_wall", "\"110,5 mm\""),
        ("/layout/crutch", "outsid"),
        ("/layout/crutch", "yes"),
        ("/layout/former", "perhaps"),
        ("/job/planned", "12.5.2031"),
        ("/job/planned", "2031-02-30"),
        ("/job/work_type", "term-box"),
        ("/job/revision", "\"\""),
        ("/job/revision", "../P4"),
        ("/job/end", ""),
        ("/kit", "[ZQ24-3I-240]"),
        ("/boots", "\"no boots\""),
        ("/plant/year", "2029.5"),
        ("/tests/minutes", "60 kV"),
        ("/cable/drum", "\"\""),
        ("/crew/0/techniques", "{heat: shrink}"),
        ("/crew", "{role: jointer}"),
        ("/people", "[a, b]"),
    ] {
        let text = job_with("D-2201-P4", at, to);
        assert!(!reads(None, &text), "the reader takes `{to}` at {at}");
        assert!(validates(&schema, &text).is_err(), "the schema takes `{to}` at {at}");
    }
    let misspelt = job_text("D-2201-P4").replacen("stud_pitch:", "stud_pich:", 1);
    assert!(!reads(None, &misspelt) && validates(&schema, &misspelt).is_err());
    // A library item names no other.
    let cable = Schema::new(item_schema(Shelf::Cables));
    for text in ["{library: X, type: a}", "{library: X}"] {
        assert!(!reads(Some(Shelf::Cables), text) && validates(&cable, text).is_err(), "{text}");
    }
}

/// What an editor shows: every key with title and description, every figure
/// with an example, and no reference that leads nowhere.
#[test]
fn every_key_is_explained() {
    fn walk(at: &str, schema: &serde_json::Value, root: &serde_json::Value) {
        for (name, key) in schema["properties"].as_object().into_iter().flatten() {
            let at = format!("{at}.{name}");
            assert!(key["title"].as_str().is_some_and(|t| !t.is_empty()), "{at} has no title");
            if let Some(reference) = key["$ref"].as_str() {
                assert!(root.pointer(&reference[1..]).is_some(), "{at}: {reference}");
                let figure = reference.ends_with("length") || reference.ends_with("voltage");
                assert!(!figure || key["examples"][0].is_string(), "{at} has no example");
            }
            let groups = key["properties"].is_object() || key["items"].is_object();
            let text = key["description"].as_str().unwrap_or_default();
            assert!(groups || text.contains("From "), "{at}: {text}");
            walk(&at, key, root);
            walk(&at, &key["items"], root);
        }
    }
    for schema in std::iter::once(job_schema()).chain(SHELVES.map(item_schema)) {
        walk("", &schema, &schema);
    }
}
