//! The printed verification, with photographs beside the record.

use crate::drawn::{jpeg, of_cards, stamped_at};
use crate::issuing::pack_of;
use crate::record_verify::{PACKS, clean};
use crate::support::{PRESS, job_text};
use cutback::issuing::{PackFiles, issue, sha256};
use cutback::press::Copy;
use cutback::procedure::{Pack, label_code};
use serde_json::Value as Json;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::LazyLock;

/// A pack issued and its clean record with a photograph for each frame: drawings
/// that hold the frame's card.
pub struct Site {
    pub dir: tempfile::TempDir,
    pub record: PathBuf,
}

impl Site {
    pub fn root(&self) -> &Path {
        self.dir.path()
    }

    pub fn pack(&self) -> PathBuf {
        self.root().join("issued/D-2201/TX2-HV/P4")
    }

    /// Runs `verify` on the record; gives exit code, standard output and errors.
    pub fn verify(&self, more: &[&str]) -> (i32, String, String) {
        let done = Command::new(env!("CARGO_BIN_EXE_cutback"))
            .current_dir(self.root())
            .arg("verify")
            .arg(&self.record)
            .args(more)
            .output()
            .expect("the program");
        let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
        (done.status.code().expect("a code"), text(&done.stdout), text(&done.stderr))
    }

    /// The reports printed so far, by their ending.
    pub fn reports(&self, ending: &str) -> Vec<PathBuf> {
        let folder = self.root().join("verified/D-2201/TX2-HV/P4");
        let all = std::fs::read_dir(folder).into_iter().flatten().filter_map(Result::ok).map(|e| e.path());
        let mut all: Vec<PathBuf> = all.filter(|p| p.extension().is_some_and(|e| e == ending)).collect();
        all.sort();
        all
    }

    pub fn edit(&self, from: &str, to: &str) {
        let text = std::fs::read_to_string(&self.record).expect("a record");
        assert!(text.contains(from), "the record does not hold `{from}`");
        std::fs::write(&self.record, text.replacen(from, to, 1)).expect("written");
    }
}

/// A drawing with the card of a frame, or the three of its stage.
fn drawing(pack: &Pack, sum: &str, card: &str, all: bool, seed: u32) -> Vec<u8> {
    let codes = cards_of(pack, card, all).iter().map(|card| label_code(pack, sum, card)).collect::<Vec<_>>();
    jpeg(&of_cards(&codes, seed), 85)
}

/// The cards in a frame's picture: its own, or those of its three phases.
pub fn cards_of(pack: &Pack, card: &str, all: bool) -> Vec<String> {
    if all && !pack.labels.cards.iter().any(|c| c.id == card) {
        ["L1", "L2", "L3"].map(|p| format!("{card}-{p}")).to_vec()
    } else {
        vec![card.to_string()]
    }
}

/// Pack and record of the sound demonstration job with all photographs, by path:
/// made once, written for each test.
static FILES: LazyLock<Vec<(String, Vec<u8>)>> = LazyLock::new(|| {
    let (pack, sum) = &PACKS["D-2201-P4"];
    let (_, mut json) = pack_of(job_text("D-2201-P4"));
    json.push(b'\n');
    assert_eq!(&sha256(&json), sum);
    let pdf = PRESS.print(pack, &json, &Copy::new(pack, sum, true, 0)).expect("a PDF");
    let mut text = clean("D-2201-P4");
    let loaded = cutback::record::load("record.yaml", text.clone(), &pack.form);
    let log = loaded.record.expect("a record");
    let row = |i: usize| {
        let part = |key: &str| log.get(&format!("photos.{i}.{key}")).expect("a part").text.clone();
        let frame = pack.form.frames.iter().find(|f| f.id == part("frame")).expect("a frame");
        let taken = part("taken").replace('-', ":") + ":00";
        let drawn = drawing(pack, sum, &frame.card, frame.phase == "all", i as u32);
        (part("file"), part("sha256"), stamped_at(&drawn, &taken, "+01:00"))
    };
    let rows: Vec<_> = (0..log.count("photos").expect("photographs")).map(row).collect();
    let mut files = vec![("pack.json".to_string(), json), ("pack.pdf".to_string(), pdf)];
    for (file, old, bytes) in rows {
        text = text.replacen(&old, &sha256(&bytes), 1);
        files.push((format!("done/{file}"), bytes));
    }
    files.push(("done/record.yaml".into(), text.into_bytes()));
    files
});

/// The site of the sound demonstration job, with its photographs beside the record.
pub fn site() -> Site {
    let dir = tempfile::tempdir().expect("a folder");
    let (pack, sum) = &PACKS["D-2201-P4"];
    let of = |name: &str| &FILES.iter().find(|(n, _)| n == name).expect("a file").1;
    let blank = cutback::record::blank(pack, sum);
    let files = PackFiles { json: of("pack.json"), pdf: of("pack.pdf"), record: blank.as_bytes() };
    issue(&dir.path().join("issued"), pack, &files).expect("issued");
    std::fs::create_dir_all(dir.path().join("done/photos")).expect("a folder");
    for (name, bytes) in FILES.iter().filter(|(n, _)| n.starts_with("done/")) {
        std::fs::write(dir.path().join(name), bytes).expect("written");
    }
    let record = dir.path().join("done/record.yaml");
    Site { dir, record }
}

fn json_of(path: &Path) -> Json {
    serde_json::from_slice(&std::fs::read(path).expect("a report")).expect("JSON")
}

/// The same record and photographs give the same bytes, on another machine's disk,
/// with the small pictures kept or made anew; a changed small picture is not used.
#[test]
fn same_record_same_report() {
    let (one, two) = (site(), site());
    let (code, said, trouble) = one.verify(&[]);
    assert_eq!((code, trouble.as_str()), (0, ""), "{said}");
    two.verify(&[]);
    let pdf = |site: &Site| std::fs::read(&site.reports("pdf")[0]).expect("a report");
    let first = pdf(&one);
    assert!(first == pdf(&two), "the report differs between two folders");
    // Nothing changed: the report stands and is not printed again.
    let before = std::fs::metadata(&one.reports("pdf")[0]).expect("a file").modified().expect("a time");
    one.verify(&[]);
    assert_eq!(
        std::fs::metadata(&one.reports("pdf")[0]).expect("a file").modified().expect("a time"),
        before
    );
    // A report that was touched is printed anew, from the small pictures kept, and
    // one of these that was touched is made anew.
    std::fs::write(&one.reports("pdf")[0], b"%PDF-1.7 other").expect("written");
    let kept = std::fs::read_dir(one.reports("pdf")[0].with_file_name("small")).expect("small pictures");
    let kept: Vec<PathBuf> = kept.filter_map(Result::ok).map(|e| e.path()).collect();
    assert_eq!(kept.len(), 34);
    let other = std::fs::read(&kept[1]).expect("a small picture");
    std::fs::write(&kept[0], other).expect("written");
    one.verify(&[]);
    assert!(pdf(&one) == first, "printed anew it differs");
    // The checksums beside it are those of sha256sum.
    let sums = std::fs::read_to_string(&one.reports("sha256")[0]).expect("sums");
    for line in sums.lines() {
        let (sum, name) = line.split_once("  ").expect("the form of sha256sum");
        let file = one.reports("pdf")[0].with_file_name(name);
        assert_eq!(sha256(&std::fs::read(file).expect("a file")), sum);
    }
}

/// Each frame of the pack stands in the report once, those first that nobody can
/// look at again; each finding has the pictures that bear on it.
#[test]
fn a_person_finds_every_picture() {
    let site = site();
    site.edit("taken: 2031-05-12 13:16", "taken: 2031-05-12 14:26");
    site.edit("L3: 2031-05-12 18:40}", "L3: 2031-05-12 18:20}");
    std::fs::remove_file(site.record.with_file_name("photos/14-L2.jpg")).expect("removed");
    std::fs::write(site.record.with_file_name("photos/15-L1.jpg"), b"\xff\xd8\xff other").expect("written");
    let (code, ..) = site.verify(&[]);
    assert_eq!(code, 1);
    let report = json_of(&site.reports("json")[0]);
    let looks = report["looks"].as_array().expect("looks");
    let large: Vec<bool> = looks.iter().map(|l| l["large"].as_bool().expect("large")).collect();
    assert_eq!(large.iter().filter(|l| **l).count(), 3);
    assert!(large.is_sorted_by(|a, b| a >= b), "the three stand first");
    let names: Vec<&str> = looks.iter().take(3).filter_map(|l| l["point"].as_str()).collect();
    for (name, word) in names.iter().zip(["Semicon edge", "mastic", "Gaps"]) {
        assert!(name.contains(word), "{names:?}");
    }
    let frames: Vec<&Json> = looks.iter().flat_map(|l| l["frames"].as_array().expect("frames")).collect();
    assert_eq!(frames.len(), PACKS["D-2201-P4"].0.form.frames.len());
    assert!(frames.iter().all(|f| f["pictures"].as_array().is_some_and(|p| p.len() == 1)));
    let picture = |i: &Json| &report["pictures"][i.as_u64().expect("a place") as usize];
    for reject in report["rejects"].as_array().expect("rejects") {
        let shown = reject["pictures"].as_array().expect("pictures");
        assert!(!shown.is_empty(), "{reject}");
        for i in shown {
            assert!(picture(i)["codes"].as_array().is_some_and(|c| c.contains(&reject["code"])));
        }
    }
    let hidden = |file: &str| {
        let all = report["pictures"].as_array().expect("pictures");
        let own = all.iter().find(|p| p["file"] == file).expect("listed");
        own["hidden"].as_str().expect("words").to_string()
    };
    assert_eq!(hidden("photos/14-L2.jpg"), "not beside the record");
    assert_eq!(hidden("photos/15-L1.jpg"), "not the file that was logged");
    assert_eq!(hidden("photos/1.jpg"), "");
    // The first page names every kind of finding, with where to look.
    let codes: Vec<&str> =
        report["brief"].as_array().expect("brief").iter().filter_map(|b| b["code"].as_str()).collect();
    assert_eq!(codes, ["I05", "I07", "I09", "U02", "I09"], "{report}");
    // The line: documents, tests, stops, and the picture that came too late.
    let strip = &report["strip"];
    assert_eq!(strip["bars"].as_array().expect("bars").len(), 6);
    assert_eq!(strip["stretches"].as_array().expect("stretches").len(), 2, "a night between");
    let places = ["bars", "marks", "flags"].into_iter().flat_map(|k| strip[k].as_array().expect("places"));
    for place in places {
        let at = place.get("at").or_else(|| place.get("from")).and_then(Json::as_f64).expect("a share");
        assert!((0.0..=1.0).contains(&at), "{place}");
    }
    assert!(strip["flags"].as_array().expect("flags").iter().any(|f| f["label"] == "I05 I07"));
}

/// However many pictures a record lists, few are decoded and shown.
#[test]
fn a_report_of_many_pictures_stays_small() {
    let site = site();
    let text = std::fs::read_to_string(&site.record).expect("a record");
    let row = |i: usize| {
        format!(
            "  - file: photos/1.jpg\n    sha256: {:064x}\n    taken: 2031-05-12 07:45\n    frame: \"1\"\n    card_seen: yes\n",
            i + 1
        )
    };
    let more: String = (0..400).map(row).collect();
    std::fs::write(&site.record, text.replacen("photos:\n", &format!("photos:\n{more}"), 1))
        .expect("written");
    site.verify(&[]);
    let report = json_of(&site.reports("json")[0]);
    let shown = report["pictures"].as_array().expect("pictures").iter().filter(|p| p["hidden"] == "").count();
    assert!(shown <= 34 * 4 + 24, "{shown} pictures shown");
}
