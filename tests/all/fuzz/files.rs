//! Readers of whole files: jobs, library, as found, records, tables, registers, lists
//! of frames, packs, houses.

use super::{run, spoilt};
use crate::record_verify::{PACKS, clean};
use crate::support::{BOOK, Dice, PRESS, job_text, library, root};
use cutback::cli::judge_text;
use cutback::house::House;
use cutback::issuing::Register;
use cutback::job::schema::Shelf;
use cutback::job::{self, load_as_found};
use cutback::photos::{Ledger, frames, read_list};
use cutback::procedure::Pack;
use cutback::record::{self, Dossier};
use cutback::report::{self, Look};
use cutback::source::Source;

#[test]
fn places_of_a_text() {
    let mut dice = Dice(0x50f7);
    let seeds = [job_text("D-2201-P4"), job_text("K-0417-P1"), "a: {b: [1, 'x'], c: \"d\"}\n- e\n".into()];
    run("places of a text", 0.25, |_| {
        let seed = dice.one(&seeds).clone();
        let text = spoilt(&mut dice, &seed);
        let (source, error) = Source::read("fuzz", text);
        let inside = |at: &std::ops::Range<usize>| source.text().get(at.clone()).is_some();
        if let Some(error) = error {
            assert!(inside(&error.at) && !error.message.is_empty(), "{:?}", source.text());
        }
        for pointer in source.pointers() {
            assert!(inside(&source.locate(pointer).at), "{pointer} in {:?}", source.text());
        }
    });
}

#[test]
fn jobs_judged() {
    let mut dice = Dice(0x10b5);
    let job = job_text("D-2201-P4");
    let kit = std::fs::read_to_string(root().join("jobs/library/kits/ZQ24-3I-240.yaml")).expect("the kit");
    let (mut judged_whole, mut all) = (0, 0);
    run("jobs judged whole", 0.02, |run| {
        let (text, library) = if run % 3 == 0 {
            (job.clone(), library().with(Shelf::Kits, "ZQ24-3I-240", spoilt(&mut dice, &kit)))
        } else {
            (spoilt(&mut dice, &job), library())
        };
        let judged = judge_text("fuzz.yaml", text.clone(), &library, &BOOK, &PRESS);
        let report = judged.report();
        let shown = report::text(&report, Look::Plain);
        assert!(!shown.is_empty() && !report::json(&report).to_string().is_empty());
        let bad = shown.chars().find(|c| (c.is_control() && *c != '\n') || *c == '\u{202e}');
        assert_eq!(bad, None, "reaches the terminal: {text:?}");
        let wide = shown.lines().find(|line| line.chars().count() > 80);
        assert_eq!(wide, None, "{text:?}");
        all += 1;
        match judged.judged {
            Some(_) => judged_whole += 1,
            None => assert!(report.open() > 0, "no job, and nothing said: {text:?}"),
        }
    });
    assert!(judged_whole * 100 > all, "only {judged_whole} of {all} were judged");
}

/// The readers of the schema table alone: job, each shelf of the library, as found.
#[test]
fn jobs_items_and_as_found_read() {
    let mut dice = Dice(0x5c4e);
    let of = |path: &str| std::fs::read_to_string(root().join(path)).expect("a demonstration file");
    let job = job_text("D-2201-P4");
    let item = |shelf: Shelf, code: &'static str| {
        (shelf, code, of(&format!("jobs/library/{}/{code}.yaml", shelf.folder())))
    };
    let items = [
        item(Shelf::Kits, "ZQ24-3I-240"),
        item(Shelf::Cables, "ZX20-3C-AL185"),
        item(Shelf::Lugs, "ZL-AL185-12B"),
        item(Shelf::Boots, "ZB24-BOOT"),
    ];
    let found = of("jobs/demo/found/tube-short.yaml");
    let (mut read, mut refused) = (0, 0);
    run("jobs, library items and as-found files", 0.1, |run| {
        let loaded = match run % 3 {
            0 => job::load("fuzz.yaml", spoilt(&mut dice, &job), &library()),
            1 => {
                let (shelf, code, text) = dice.one(&items).clone();
                let spoilt = spoilt(&mut dice, &text);
                job::load("fuzz.yaml", job.clone(), &library().with(shelf, code, spoilt))
            }
            _ => load_as_found("fuzz.yaml", spoilt(&mut dice, &found)),
        };
        for finding in &loaded.findings {
            assert!(!finding.message.is_empty() && !finding.places.is_empty(), "{finding:?}");
        }
        match (&loaded.job, loaded.findings.is_empty()) {
            (Some(_), true) => read += 1,
            (None, true) => panic!("nothing read, and nothing said: {:?}", loaded.sources[0].text()),
            _ => refused += 1,
        }
    });
    assert!(read > 0 && refused > 0, "{read} read, {refused} refused");
}

/// The head of a record, one point and one test of it: small, and every kind of answer.
fn short(record: &str) -> String {
    let lines: Vec<&str> = record.lines().filter(|l| !l.trim_start().starts_with('#')).collect();
    let top = |l: &str| !l.starts_with([' ', '-']) && l.contains(':');
    let mut out = String::new();
    let mut under = "";
    let mut kept = 0;
    for line in lines {
        if top(line) {
            (under, kept) = (line.split(':').next().unwrap_or(""), 0);
        }
        kept += 1;
        if under == "record" || kept < 9 {
            out.push_str(line);
            out.push('\n');
        }
    }
    out
}

#[test]
fn records_read() {
    let mut dice = Dice(0x4ec0);
    let (pack, _) = &PACKS["D-2201-P4"];
    let whole = clean("D-2201-P4");
    let small = short(&whole);
    let (mut read, mut refused) = (0, 0);
    run("records", 0.25, |run| {
        let seed = if run % 20 == 0 { &whole } else { &small };
        let text = spoilt(&mut dice, seed);
        let _ = record::head(&text);
        let loaded = record::load("record.yaml", text, &pack.form);
        match (&loaded.record, loaded.findings.is_empty()) {
            (Some(_), true) => read += 1,
            (None, true) => panic!("nothing read, and nothing said: {:?}", loaded.sources[0].text()),
            _ => refused += 1,
        }
    });
    assert!(read > 0 && refused > 0, "{read} read, {refused} refused");
}

/// A record and its pack, each spoilt, judged to the end.
#[test]
fn records_judged() {
    let mut dice = Dice(0x4ec1);
    let (pack, sum) = &PACKS["D-2201-P4"];
    let json = serde_json::to_string(pack).expect("JSON");
    let rules = record::rule_book().expect("our rules");
    let text = clean("D-2201-P4");
    let mut judged = 0;
    run("records judged against packs", 0.01, |run| {
        let other: Pack;
        let (pack, text) = if run % 2 == 0 {
            (pack, spoilt(&mut dice, &text))
        } else {
            match serde_json::from_str(&spoilt(&mut dice, &json)) {
                Ok(read) => other = read,
                Err(_) => return,
            }
            (&other, text.clone())
        };
        let loaded = record::load("record.yaml", text, &pack.form);
        let Some(record) = &loaded.record else { return };
        let judgement = record::judge(&rules, &Dossier::bare(record, pack, sum, &[]), &loaded.sources);
        let _ = record::verdict(&judgement, record::is_complete(record));
        judged += 1;
    });
    assert!(judged > 0);
}

#[test]
fn packs_read() {
    let mut dice = Dice(0x9ac6);
    let json = serde_json::to_string(&PACKS["D-2201-P4"].0).expect("JSON");
    let mut refused = 0;
    run("pack.json", 0.02, |_| {
        refused += usize::from(serde_json::from_str::<Pack>(&spoilt(&mut dice, &json)).is_err());
    });
    assert!(refused > 0);
}

#[test]
fn tables_of_readings() {
    let mut dice = Dice(0x7ab1);
    let (pack, _) = &PACKS["D-2201-P4"];
    let head = "record: {zone: \"+01:00\"}\n";
    // Rows of every kind of answer, a few at a time.
    let table = record::table(&pack.form, record::load("r", clean("D-2201-P4"), &pack.form).record.as_ref());
    let rows: Vec<&str> = table.lines().collect();
    let (mut filled, mut told) = (0, 0);
    run("tables of readings", 1.0, |_| {
        let from = 1 + dice.below(rows.len() - 3);
        let text = spoilt(&mut dice, &[&rows[..1], &rows[from..from + 2]].concat().join("\n"));
        let mut loaded = record::load("record.yaml", head.into(), &pack.form);
        record::fill_from_table(&mut loaded, "table.csv", text.clone(), &pack.form);
        for finding in &loaded.findings {
            let at = finding.places[0].bytes.clone().expect("a place in bytes");
            assert!(text.get(at).is_some() && !finding.message.is_empty(), "{text:?}");
        }
        let (yes, no) = (loaded.findings.is_empty(), !loaded.findings.is_empty());
        (filled, told) = (filled + usize::from(yes), told + usize::from(no));
    });
    assert!(filled > 100 && told > 100, "{filled} without a finding, {told} with");
}

#[test]
fn lists_of_frames() {
    let mut dice = Dice(0xf4a3);
    let (pack, checksum) = &PACKS["D-2201-P4"];
    let ledger = ledger(checksum);
    let frames = frames(pack);
    let list = format!("picture,frame\na.jpg,{}\n{},none\n# b\n", frames[0].id, &"b".repeat(12));
    let (mut read, mut refused) = (0, 0);
    run("lists of frames", 2.0, |_| match read_list(&spoilt(&mut dice, &list), &ledger, &frames) {
        Ok(said) => {
            assert!(said.len() <= 2);
            read += 1;
        }
        Err(lines) => {
            assert!(lines.iter().all(|l| l.starts_with("line ")), "{lines:?}");
            refused += 1;
        }
    });
    assert!(read > 100 && refused > 100, "{read} read, {refused} refused");
}

/// Two pictures received.
fn ledger(checksum: &str) -> Ledger {
    let picture = |name: &str| {
        format!(
            r#"{{"kind":"jpeg","bytes":9,"names":["{name}"],"codes":["CB1/x/12"],"look":null,"trouble":null,"taken":"2031-05-12T10:00:00","camera":"x","signs":[],"file":"photos/x/a.jpg","frame":null,"by":"card"}}"#
        )
    };
    let text = format!(
        r#"{{"format":"cutback-photos-1","pack":"{checksum}","pictures":{{"{}":{},"{}":{}}}}}"#,
        "a".repeat(64),
        picture("a.jpg"),
        "b".repeat(64),
        picture("b.jpg"),
    );
    serde_json::from_str(&text).expect("a ledger")
}

#[test]
fn ledgers_of_photographs() {
    let mut dice = Dice(0x1ed9);
    let (_, checksum) = &PACKS["D-2201-P4"];
    let whole = ledger(checksum).text();
    let dir = tempfile::tempdir().expect("a folder");
    let path = dir.path().join("photos.json");
    let mut refused = 0;
    run("ledgers of photographs", 0.1, |_| {
        std::fs::write(&path, spoilt(&mut dice, &whole)).expect("written");
        match Ledger::read(&path, checksum) {
            // What is read names files by their checksum, and lies below its folder.
            Ok(ledger) => ledger.pictures.iter().for_each(|(sha, picture)| {
                assert!(sha.len() == 64, "{sha:?}");
                let file = std::path::Path::new(picture.file.as_deref().unwrap_or("x"));
                assert!(file.components().all(|c| matches!(c, std::path::Component::Normal(_))), "{file:?}");
            }),
            Err(error) => {
                assert!(error.contains("photos.json"), "{error}");
                refused += 1;
            }
        }
    });
    assert!(refused > 20, "only {refused} were refused");
}

#[test]
fn registers() {
    let mut dice = Dice(0x4e61);
    let line = |previous: &str| {
        format!(
            "{{\"job\":\"D\",\"end\":\"E\",\"revision\":\"P1\",\"replaces\":\"none\",\"date\":\"2031-01-01\",\"pack_sha256\":\"a\",\"pdf_sha256\":\"b\",\"previous\":\"{previous}\"}}\n"
        )
    };
    let first = line(&"0".repeat(64));
    let whole = first.clone() + &line(&cutback::issuing::sha256(first.trim_end().as_bytes()));
    let dir = tempfile::tempdir().expect("a folder");
    let path = dir.path().join("register.jsonl");
    let mut refused = 0;
    run("registers", 0.2, |_| {
        std::fs::write(&path, spoilt(&mut dice, &whole)).expect("written");
        match Register::read(dir.path()) {
            Ok(register) => assert!(register.entries().len() <= 3),
            Err(error) => {
                refused += 1;
                assert!(error.to_string().contains("line "), "{error}");
            }
        }
    });
    assert!(refused > 20, "only {refused} were refused");
}

#[test]
fn houses() {
    let mut dice = Dice(0x4005);
    let dir = tempfile::tempdir().expect("a folder");
    let names = ["house.yaml", "grades.yaml", "points.yaml", "words.yaml"];
    let texts = names.map(|n| std::fs::read_to_string(root().join("jobs/house").join(n)).expect("a file"));
    for (name, text) in names.iter().zip(&texts) {
        std::fs::write(dir.path().join(name), text).expect("written");
    }
    let (mut read, mut refused) = (0, 0);
    run("files of a house", 0.01, |run| {
        let which = run % names.len();
        let path = dir.path().join(names[which]);
        std::fs::write(&path, spoilt(&mut dice, &texts[which])).expect("written");
        match House::read(dir.path()) {
            // Laid over the rules built in as well.
            Ok(house) => {
                let _ = house.rule_book();
                read += 1;
            }
            Err(error) => {
                assert!(error.to_string().contains("line "), "{error}");
                refused += 1;
            }
        }
        std::fs::write(&path, &texts[which]).expect("written");
    });
    assert!(read > 0 && refused > 0, "{read} read, {refused} refused");
}
