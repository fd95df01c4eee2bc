//! From the phone to the verdict, for every job with a clean record: a drawing for each
//! frame is received by its card, logged, verified beside the record; then each planted
//! fault among real files.

use crate::drawn::{jpeg, of_cards, stamped_at};
use crate::issuing::pack_of;
use crate::record_verify::{Fault, PACKS, clean, edit, faults};
use crate::support::{job_text, root as repository};
use crate::tamper::pdf;
use crate::verified::cards_of;
use cutback::issuing::{PackFiles, issue, sha256};
use cutback::procedure::label_code;
use cutback::record::{Record, load, with_photos};
use cutback::rules::Edit;
use serde_json::Value as Json;
use std::path::{Path, PathBuf};
use std::process::Command;

struct Site {
    job: &'static str,
    dir: tempfile::TempDir,
    /// Folder of the record, below `received/`.
    folder: PathBuf,
    /// The clean record as it lies in the repository, without its invented log.
    plan: Record,
}

fn run(root: &Path, args: &[&str]) -> (i32, String) {
    let program = Command::new(env!("CARGO_BIN_EXE_cutback")).current_dir(root).args(args).output();
    let done = program.expect("the program");
    let said = [done.stdout.as_slice(), &done.stderr].concat();
    (done.status.code().expect("a code"), String::from_utf8_lossy(&said).into_owned())
}

fn part(record: &Record, row: usize, key: &str) -> String {
    record.get(&format!("photos.{row}.{key}")).map_or(String::new(), |g| g.text.clone())
}

/// Issues the pack, puts the filled record without photographs where they will be
/// received, and a drawing for each frame into `phone/`; `foreign` frames show the card
/// of another end.
fn site(job: &'static str, foreign: &[&str]) -> Site {
    let dir = tempfile::tempdir().expect("a folder");
    let root = dir.path();
    let (pack, sum) = &PACKS[job];
    let (_, mut json) = pack_of(job_text(job));
    json.push(b'\n');
    assert_eq!(&sha256(&json), sum);
    let whole = pdf(&[("pack.json", &json, false)]);
    let blank = cutback::record::blank(pack, sum);
    issue(&root.join("issued"), pack, &PackFiles { json: &json, pdf: &whole, record: blank.as_bytes() })
        .expect("issued");
    let text = clean(job);
    let plan = load("record.yaml", text.clone(), &pack.form).record.expect("a record");
    let folder = root.join("received").join(&pack.job.number).join(&pack.job.end).join(&pack.job.revision);
    std::fs::create_dir_all(&folder).expect("a folder");
    std::fs::create_dir_all(root.join("phone")).expect("a folder");
    std::fs::write(folder.join("record.yaml"), with_photos(&text, &[]).expect("a record")).expect("written");
    if let Some(found) = plan.get("record.as_found").map(|g| g.text.clone()) {
        // It lies beside the record by the same way as in the repository.
        let there = folder.join(&found);
        std::fs::create_dir_all(there.parent().expect("a folder")).expect("a folder");
        let own = repository().join(format!("jobs/demo/records/{job}/clean")).join(&found);
        std::fs::copy(own, there).expect("an as-found file");
    }
    let zone = plan.get("record.zone").expect("a zone").text.clone();
    let mut other = pack.clone();
    other.job.end = "P08-rear".into();
    for row in 0..plan.count("photos").expect("a log") {
        let id = part(&plan, row, "frame");
        let frame = pack.form.frames.iter().find(|f| f.id == id).expect("a frame");
        let cards = cards_of(pack, &frame.card, frame.phase == "all");
        let of = if foreign.contains(&id.as_str()) { &other } else { pack };
        let codes: Vec<String> = cards.iter().map(|card| label_code(of, sum, card)).collect();
        let taken = part(&plan, row, "taken").replace('-', ":") + ":00";
        let bytes = stamped_at(&jpeg(&of_cards(&codes, row as u32 + 1), 85), &taken, &zone);
        std::fs::write(root.join(format!("phone/{}.jpg", name(row))), bytes).expect("written");
    }
    Site { job, dir, folder, plan }
}

/// Name of the picture of a row as the phone gave it: it says nothing.
fn name(row: usize) -> String {
    format!("IMG_{:04}", 2000 + (row * 37) % 100)
}

impl Site {
    fn root(&self) -> &Path {
        self.dir.path()
    }

    fn below(&self, path: &Path) -> String {
        path.strip_prefix(self.root()).expect("below").to_string_lossy().into_owned()
    }

    fn receive(&self, more: &[&str]) -> (i32, Json) {
        let folder = self.below(&self.folder).replacen("received", "issued", 1);
        let head = ["receive", folder.as_str(), "--photos", "phone", "--format", "json"];
        let (code, said) = run(self.root(), &[&head, more].concat());
        (code, serde_json::from_str(&said).unwrap_or_else(|e| panic!("{e}: {said}")))
    }

    /// Says of each picture which frame it shows, as a person does who looks.
    fn list(&self, leave_out: &[&str]) -> String {
        let mut list = String::from("picture,frame\n");
        for row in 0..self.plan.count("photos").expect("a log") {
            let frame = part(&self.plan, row, "frame");
            if !leave_out.contains(&frame.as_str()) {
                list += &format!("{}.jpg,{frame}\n", name(row));
            }
        }
        list
    }

    /// What a person adds to the log: a rule was seen, and who took the picture.
    fn looked_through(&self) -> String {
        let text = std::fs::read_to_string(self.folder.join("record.yaml")).expect("a record");
        let by = part(&self.plan, 0, "by");
        text.replace("    rule_seen:\n", "    rule_seen: yes\n")
            .replace("    by:\n", &format!("    by: {by}\n"))
    }

    /// Verifies a text in the record's folder; gives the exit code and what it says.
    fn verify(&self, text: &str) -> (i32, Json) {
        let path = self.folder.join("tried.yaml");
        std::fs::write(&path, text).expect("written");
        let (code, said) = run(self.root(), &["verify", &self.below(&path), "--format", "json"]);
        (code, serde_json::from_str(&said).unwrap_or_else(|e| panic!("{e}: {said}")))
    }
}

fn found(report: &Json) -> Vec<String> {
    let grade = |g: &str| match g {
        "blocks" => "reject",
        "asks" => "query",
        _ => "note",
    };
    let text = |f: &Json, key: &str| f[key].as_str().expect("a text").to_string();
    let one = |f: &Json| format!("{} {} {}", text(f, "code"), text(f, "check"), grade(&text(f, "grade")));
    let mut all: Vec<String> = report["findings"].as_array().expect("findings").iter().map(one).collect();
    all.sort();
    all
}

/// The edits of a fault, which name rows of the clean record's log, for the log as it was
/// received: its rows stand in order of time and hold other checksums. A checksum taken
/// from another row means that picture in place of this one: its file is put there.
fn for_the_log(site: &Site, log: &Record, fault: &Fault) -> (Vec<Edit>, Vec<(PathBuf, Vec<u8>)>) {
    let rows = log.count("photos").expect("a log");
    let of_frame = |frame: &str| (0..rows).find(|i| part(log, *i, "frame") == frame).expect("a row");
    let row_of = |planned: usize| of_frame(&part(&site.plan, planned, "frame"));
    let (mut edits, mut files) = (Vec::new(), Vec::new());
    for one in &fault.change {
        let parts: Vec<&str> = one.set.split('.').collect();
        let ["photos", planned, key] = parts[..] else {
            edits.push(one.clone());
            continue;
        };
        let row = row_of(planned.parse().expect("a row"));
        let mut to = one.to.clone();
        if key == "taken" {
            // The file says so too: the picture was taken then.
            let path = site.folder.join(part(log, row, "file"));
            let before = std::fs::read(&path).expect("a file");
            let time = |text: &str| text.replace('-', ":").replace('T', " ").as_bytes()[..16].to_vec();
            let (old, new) = (time(&part(log, row, "taken")), time(to.as_deref().expect("a time")));
            let at = before.windows(old.len()).position(|w| w == old).expect("its own time");
            let later = [&before[..at], &new, &before[at + old.len()..]].concat();
            edits.push(Edit { set: format!("photos.{row}.sha256"), to: Some(sha256(&later)) });
            files.push((path, later));
        }
        if key == "sha256" {
            let old = to.as_ref().expect("a checksum").trim_matches('"').to_string();
            let count = site.plan.count("photos").expect("a log");
            let other = (0..count).find(|i| part(&site.plan, *i, "sha256") == old).expect("another row");
            let other = row_of(other);
            to = Some(part(log, other, "sha256"));
            let path = |row: usize| site.folder.join(part(log, row, "file"));
            files.push((path(row), std::fs::read(path(other)).expect("a file")));
        }
        edits.push(Edit { set: format!("photos.{row}.{key}"), to });
    }
    (edits, files)
}

/// The whole way for one job; gives the number of faults tried.
fn all_the_way(job: &'static str) -> usize {
    let site = site(job, &[]);
    let pack = &PACKS[job].0;
    let (_, first) = site.receive(&[]);
    assert_eq!(first["questions"], Json::Array(Vec::new()), "{job}: {first:#}");
    let count = pack.form.frames.len();
    assert_eq!((first["filed"].as_u64(), first["new"].as_u64()), (Some(count as u64), Some(count as u64)));
    // Where a card has several frames, a person says which; the cards are read already.
    std::fs::write(site.root().join("frames.csv"), site.list(&[])).expect("written");
    let (code, second) = site.receive(&["--frames", "frames.csv"]);
    assert_eq!((code, second["new"].as_u64()), (0, Some(0)), "{job}: {second:#}");
    assert_eq!(second["needed"], Json::Array(Vec::new()));
    let text = site.looked_through();
    let (code, report) = site.verify(&text);
    assert_eq!(found(&report), Vec::<String>::new(), "{job}: {report:#}");
    assert_eq!((code, report["verdict"].as_str()), (0, Some("acceptable")), "{job}");
    assert_eq!(report["rules"]["left_out"], Json::Array(Vec::new()), "{job}: every rule was run");
    let log = load("record.yaml", text.clone(), &pack.form).record.expect("a record");
    for row in 0..count {
        let frame = part(&log, row, "frame");
        let planned = (0..count).find(|i| part(&site.plan, *i, "frame") == frame).expect("a planned row");
        let time = |r: &Record, i| r.get(&format!("photos.{i}.taken")).map(|g| g.answer.clone());
        assert_eq!(time(&log, row), time(&site.plan, planned), "{job} {frame}: the file's own time");
        assert!(part(&log, row, "card").starts_with("CB1/"), "{job} {frame}: the code as read");
    }
    let mut tried = 0;
    for (name, fault) in faults(job) {
        let (edits, files) = for_the_log(&site, &log, &fault);
        let changed = edits.iter().fold(text.clone(), |text, one| edit(&text, pack, one));
        let kept: Vec<Vec<u8>> = files.iter().map(|(to, _)| std::fs::read(to).expect("a file")).collect();
        for (to, bytes) in &files {
            std::fs::write(to, bytes).expect("put there");
        }
        let (code, report) = site.verify(&changed);
        files.iter().zip(kept).for_each(|((to, _), bytes)| std::fs::write(to, bytes).expect("put back"));
        assert_eq!(found(&report), fault.finds, "{job} {name}");
        assert_eq!((code, report["verdict"].as_str()), (1, Some(fault.verdict.as_str())), "{job} {name}");
        tried += 1;
    }
    tried
}

#[test]
fn a_three_core_end_from_its_phones() {
    assert_eq!(all_the_way("D-2201-P4"), 3);
}

#[test]
fn an_end_on_a_pole_from_its_phones() {
    assert_eq!(all_the_way("D-1106-P2"), 3);
}

#[test]
fn single_core_ends_from_their_phones() {
    assert_eq!(all_the_way("D-3314-P1"), 3);
}

#[test]
fn a_joint_from_its_phones() {
    assert_eq!(all_the_way("D-0627-P1"), 4);
}

#[test]
fn an_inspection_from_its_phones() {
    assert_eq!(all_the_way("I-0512-P1"), 1);
}

/// The finished end photographed with the card of the next panel: asked when received,
/// not filed for any frame whatever a person says, and missing at the end.
#[test]
fn pictures_with_the_card_of_the_next_panel() {
    let frames = ["20", "21"];
    let site = site("D-3314-P1", &frames);
    let (code, report) = site.receive(&[]);
    let kinds: Vec<&str> = report["questions"]
        .as_array()
        .expect("questions")
        .iter()
        .filter_map(|q| q["kind"].as_str())
        .collect();
    assert_eq!((code, kinds.as_slice()), (1, &["card-of-another-end"; 2][..]), "{report:#}");
    assert!(report["questions"][0]["what"].as_str().is_some_and(|w| w.contains("P08-rear")));
    std::fs::write(site.root().join("frames.csv"), site.list(&[])).expect("written");
    let folder = site.below(&site.folder).replacen("received", "issued", 1);
    let (code, said) = run(site.root(), &["receive", &folder, "--photos", "phone", "--frames", "frames.csv"]);
    assert_eq!((code, said.matches("a card of another end or pack").count()), (1, 2), "{said}");
    std::fs::write(site.root().join("frames.csv"), site.list(&frames)).expect("written");
    let (code, report) = site.receive(&["--frames", "frames.csv"]);
    let needed: Vec<&str> =
        report["needed"].as_array().expect("needed").iter().filter_map(|f| f["id"].as_str()).collect();
    assert_eq!((code, needed.as_slice()), (1, &frames[..]));
    let (code, report) = site.verify(&site.looked_through());
    assert_eq!((code, found(&report)), (1, vec!["I01 frame reject".to_string(); 2]), "{}", site.job);
}
