//! What comes off the phones: filed by its cards, listed where it is not, never
//! changed; hostile files among it.

use crate::drawn::{Lie, STRAIGHT, jpeg, lay, png, scene, stamped};
use crate::support::{job_text, root};
use cutback::issuing::sha256;
use cutback::photos::{ReceiveError, Report, Request, frames, receive};
use cutback::procedure::{Pack, label_code};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::LazyLock;

static PACK: LazyLock<(Pack, Vec<u8>, String)> = LazyLock::new(|| {
    let (pack, json) = crate::issuing::pack_of(job_text("D-2201-P4"));
    let checksum = sha256(&json);
    (pack, json, checksum)
});

/// A picture with the cards named, of a scene of its own.
fn picture(cards: &[&str], seed: u32, taken: &str) -> Vec<u8> {
    let (pack, _, checksum) = &*PACK;
    let mut drawn = scene(900, 700, seed.wrapping_mul(0x9e37_79b9));
    for (i, card) in cards.iter().enumerate() {
        let at = (0.2 + 0.3 * i as f64, 0.3 + 0.01 * f64::from(seed % 7));
        let lie = Lie {
            at,
            side: if cards.len() > 1 { 0.13 } else { 0.2 },
            turn: f64::from(seed * 31),
            ..STRAIGHT
        };
        lay(&mut drawn, &label_code(pack, checksum, card), lie);
    }
    stamped(&jpeg(&drawn, 85), taken)
}

fn run(photos: &Path, folder: &Path, list: Option<&str>) -> Result<Report, ReceiveError> {
    let (pack, _, checksum) = &*PACK;
    let photos = [photos.to_path_buf()];
    receive(&Request { pack, checksum, photos: &photos, folder, frames: list }, &mut |_, _| {})
}

/// Every file below a folder with its bytes' hash.
fn tree(folder: &Path) -> BTreeMap<String, String> {
    let files = walkdir::WalkDir::new(folder).into_iter().filter_map(Result::ok);
    files
        .filter(|e| e.file_type().is_file())
        .map(|e| {
            let name = e.path().strip_prefix(folder).expect("below").to_string_lossy().into_owned();
            (name, sha256(&std::fs::read(e.path()).expect("a file")))
        })
        .collect()
}

fn put(folder: &Path, name: &str, bytes: &[u8]) {
    std::fs::write(folder.join(name), bytes).expect("a file");
}

/// Pictures of some frames: by card alone, two views, all phases, one of many.
fn some(folder: &Path) {
    put(folder, "a.jpg", &picture(&["filler-L1"], 1, "2031:05:12 10:01:00"));
    put(folder, "b.jpg", &picture(&["filler-L1", "filler-L2", "filler-L3"], 2, "2031:05:12 10:02:00"));
    put(folder, "c.jpg", &picture(&["edge-L2"], 3, "2031:05:12 09:01:00"));
    put(folder, "d.jpg", &picture(&["edge-L2"], 4, "2031:05:12 09:02:00"));
    put(folder, "e.jpg", &picture(&["box"], 5, "2031:05:12 08:02:00"));
}

fn kinds(report: &Report) -> Vec<&str> {
    report.questions.iter().map(|q| q.kind).collect()
}

#[test]
fn pictures_file_themselves() {
    let dir = tempfile::tempdir().expect("a folder");
    let (photos, folder) = (dir.path().join("phone"), dir.path().join("record"));
    std::fs::create_dir_all(&photos).expect("a folder");
    some(&photos);
    let before = tree(&photos);
    let report = run(&photos, &folder, None).expect("received");
    let all = frames(&PACK.0).len();
    assert_eq!((report.looked_at, report.new, report.filed, report.frames), (5, 5, 5, all));
    assert!(report.questions.is_empty(), "{:?}", report.questions);
    let missing: Vec<&str> = report.needed.iter().map(|f| f.id.as_str()).collect();
    let row = |card: &str, phase: &str| {
        let of = |f: &&cutback::photos::Frame| f.card == card && f.phase == phase;
        frames(&PACK.0).iter().filter(of).map(|f| f.id.clone()).collect::<Vec<_>>()
    };
    for id in [row("filler-L1", "L1"), row("filler", "all"), row("edge-L2", "L2")].concat() {
        assert!(!missing.contains(&id.as_str()), "{id} is there");
    }
    assert_eq!(missing.len(), all - 4, "a card of several frames proves none of them");
    assert_eq!(report.unclear.len(), 1);
    assert!(
        report.sheet().contains("STILL NEEDED") && report.text().lines().all(|l| l.chars().count() <= 80)
    );
    assert_eq!(tree(&photos), before, "originals stay as they were");
    let record = std::fs::read_to_string(folder.join("record.yaml")).expect("a record");
    assert_eq!(record.matches("\n  - file: ").count(), 5, "each picture stands in the record's log");
    // Again: nothing new, not one byte changed.
    let after = tree(&folder);
    let again = run(&photos, &folder, None).expect("received");
    assert_eq!((again.new, again.filed), (0, 5));
    assert_eq!(tree(&folder), after);
    // One more picture: only that is added.
    put(&photos, "f.jpg", &picture(&["lug-L3"], 6, "2031:05:12 09:30:00"));
    let more = run(&photos, &folder, None).expect("received");
    assert_eq!((more.new, more.filed, more.needed.len()), (1, 6, all - 5));
    assert!(
        after.iter().filter(|(n, _)| n.starts_with("photos/")).all(|(n, h)| tree(&folder).get(n) == Some(h))
    );
}

#[test]
fn a_person_says_what_no_card_can() {
    let dir = tempfile::tempdir().expect("a folder");
    let (photos, folder) = (dir.path().join("phone"), dir.path().join("record"));
    std::fs::create_dir_all(&photos).expect("a folder");
    some(&photos);
    put(&photos, "bare.jpg", &picture(&[], 8, "2031:05:12 11:00:00"));
    let first = run(&photos, &folder, None).expect("received");
    assert_eq!(kinds(&first), ["no-card"]);
    let of = |card: &str| frames(&PACK.0).into_iter().find(|f| f.card == card).expect("a frame").id;
    let (boxed, lug) = (of("box"), of("lug-L2"));
    let list = format!("picture,frame\ne.jpg,{boxed}\nbare.jpg,{lug}\n");
    let said = run(&photos, &folder, Some(&list)).expect("received");
    assert!(said.questions.is_empty() && said.unclear.is_empty(), "{:?}", said.questions);
    assert_eq!(said.needed.len(), first.needed.len() - 2);
    assert_eq!(said.filed, 6);
    // What was said once stays said.
    assert_eq!(run(&photos, &folder, None).expect("received").needed.len(), said.needed.len());
    let wrong =
        format!("picture,frame\na.jpg,{lug}\nnobody.jpg,{boxed}\na.jpg,99-L9\nc.jpg,none\nc.jpg,none\n");
    let Err(ReceiveError::Frames(lines)) = run(&photos, &folder, Some(&wrong)) else { panic!("refused") };
    let starts: Vec<&str> = lines.iter().filter_map(|l| l.split(':').next()).collect();
    assert_eq!(starts, ["line 3", "line 4", "line 6"], "{lines:?}");
    let other = frames(&PACK.0).into_iter().filter(|f| f.card == "box").nth(1).expect("a frame").id;
    let against = format!("picture;frame\na.jpg;{other}\n");
    let Err(ReceiveError::Frames(lines)) = run(&photos, &folder, Some(&against)) else { panic!("refused") };
    assert!(lines[0].contains("shows the card filler-L1"), "{lines:?}");
}

#[test]
fn cards_of_others_and_doubts_are_found() {
    let dir = tempfile::tempdir().expect("a folder");
    let (photos, folder) = (dir.path().join("phone"), dir.path().join("record"));
    std::fs::create_dir_all(&photos).expect("a folder");
    let (pack, _, checksum) = &*PACK;
    let with = |text: &str, seed: u32| {
        let mut drawn = scene(900, 700, seed.wrapping_mul(0x9e37_79b9));
        lay(&mut drawn, text, STRAIGHT);
        stamped(&jpeg(&drawn, 85), "2031:05:12 10:00:00")
    };
    let mut other = pack.clone();
    other.job.end = "TX9-HV".into();
    put(&photos, "other-end.jpg", &with(&label_code(&other, checksum, "filler-L1"), 11));
    put(&photos, "other-pack.jpg", &with(&label_code(pack, "00000000", "filler-L1"), 12));
    put(&photos, "several.jpg", &picture(&["filler-L1", "lug-L1"], 13, "2031:05:12 10:00:00"));
    // One scene with the card changed between two shots.
    put(&photos, "twin-1.jpg", &with(&label_code(pack, checksum, "tube-L1"), 14));
    put(&photos, "twin-2.jpg", &with(&label_code(pack, checksum, "tube-L2"), 14));
    // The same card, large, in two scenes.
    for (name, seed) in [("card-1.jpg", 31u32), ("card-2.jpg", 32)] {
        let mut drawn = scene(900, 700, seed.wrapping_mul(0x9e37_79b9));
        let lie = Lie { at: (0.6, 0.4), side: 0.22, ..STRAIGHT };
        lay(&mut drawn, &label_code(pack, checksum, &format!("edge-L{}", seed - 30)), lie);
        put(&photos, name, &stamped(&jpeg(&drawn, 85), "2031:05:12 10:00:00"));
    }
    let mut drawn = scene(900, 700, 99);
    lay(&mut drawn, &label_code(pack, checksum, "outer-L1"), STRAIGHT);
    put(&photos, "stripped.jpg", &jpeg(&drawn, 85));
    let report = run(&photos, &folder, None).expect("received");
    let expected = [
        "alike-under-two-labels",
        "card-of-another-end",
        "card-of-another-pack",
        "not-original",
        "several-cards",
    ];
    assert_eq!(kinds(&report), expected, "{:?}", report.questions);
    let twins = &report.questions.iter().find(|q| q.kind == expected[0]).expect("a question").pictures;
    assert!(twins.iter().all(|p| p.starts_with("twin-")), "{twins:?}");
    assert_eq!(report.filed, 5, "what is not this pack's, or two things at once, is not filed");
}

#[test]
fn hostile_files_are_listed_and_harm_nothing() {
    let dir = tempfile::tempdir().expect("a folder");
    let (photos, folder) = (dir.path().join("phone"), dir.path().join("record"));
    std::fs::create_dir_all(photos.join("sub")).expect("a folder");
    let whole = picture(&["lug-L1"], 21, "2031:05:12 10:00:00");
    put(&photos, "whole.jpg", &whole);
    put(&photos, "whole again.jpg", &whole);
    put(&photos, "cut.jpg", &whole[..whole.len() / 3]);
    put(&photos, "empty.jpg", b"");
    put(&photos, "words.jpg", b"not a picture");
    put(&photos, "film.mp4", b"\0\0\0\x18ftypisom0000");
    put(&photos, "still.heic", b"\0\0\0\x18ftypheic0000");
    // Heads that promise 30,000 x 30,000 pixels; one with a false check sum too.
    let mut bomb = whole.clone();
    let size = bomb.windows(2).position(|w| w == [0xff, 0xc0]).expect("a frame header") + 5;
    bomb[size..size + 4].copy_from_slice(&[0x75, 0x30, 0x75, 0x30]);
    put(&photos, "bomb.jpg", &bomb);
    let mut bomb = png(&scene(64, 64, 1));
    bomb[16..20].copy_from_slice(&30_000u32.to_be_bytes());
    bomb[20..24].copy_from_slice(&30_000u32.to_be_bytes());
    put(&photos, "bomb.png", &bomb);
    // Metadata whose list of entries points back at itself.
    let looped =
        b"\xff\xd8\xff\xe1\0\x22Exif\0\0II*\0\x08\0\0\0\x01\0\x69\x87\x04\0\x01\0\0\0\x08\0\0\0\x08\0\0\0";
    let other = picture(&["outer-L1"], 22, "2031:05:12 10:10:00");
    put(&photos, "loop.jpg", &[&looped[..], &other[2..]].concat());
    #[cfg(unix)]
    {
        put(&photos, "line\nbreak\u{1b}[31m\u{202e}.txt", b"x");
        std::fs::write(dir.path().join("outside.jpg"), &whole).expect("a file");
        std::os::unix::fs::symlink(dir.path().join("outside.jpg"), photos.join("link.jpg")).expect("a link");
        std::os::unix::fs::symlink(dir.path(), photos.join("sub/round")).expect("a link");
    }
    let before = tree(dir.path());
    let report = run(&photos, &folder, None).expect("received");
    let after = tree(dir.path());
    assert!(before.iter().all(|(n, h)| after.get(n) == Some(h)), "nothing outside the record is touched");
    assert!(after.keys().all(|n| before.contains_key(n) || n.starts_with("record/")));
    let left: Vec<&str> = report.left_alone.iter().map(|l| l.name.as_str()).collect();
    for name in ["empty.jpg", "words.jpg"] {
        assert!(left.contains(&name), "{left:?}");
    }
    #[cfg(unix)]
    assert!(
        left.contains(&"link.jpg")
            && left.contains(&"sub/round")
            && left.iter().any(|n| n.contains("\\u{1b}"))
    );
    let text = report.text();
    assert!(!text.contains('\u{1b}') && !text.contains('\u{202e}'));
    let of = |name: &str| -> Vec<&str> {
        report
            .questions
            .iter()
            .filter(|q| q.pictures.iter().any(|p| p == name))
            .map(|q| q.what.as_str())
            .collect()
    };
    assert!(of("bomb.jpg")[0].contains("30000 x 30000"), "{:?}", report.questions);
    assert!(of("bomb.png")[0].contains("can't be decoded"), "{:?}", report.questions);
    assert!(of("still.heic")[0].contains("by hand"), "{:?}", of("still.heic"));
    assert!(!of("cut.jpg").is_empty() && of("film.mp4").is_empty());
    assert_eq!(report.videos, ["film.mp4"]);
    assert_eq!(report.same, [["whole again.jpg", "whole.jpg"]]);
    assert!(text.contains("Films, hashed and not looked at:\n  film.mp4"), "{text}");
    assert!(text.contains("whole again.jpg = whole.jpg"), "{text}");
    let lug = frames(&PACK.0).into_iter().find(|f| f.card == "lug-L1").expect("a frame");
    assert!(!report.needed.contains(&lug), "the whole picture counts, under either name");
}

/// A folder of many small files of every sort: all looked at or listed, the words on the
/// screen few, everything in the report for machines, and no question for every pair.
#[test]
fn a_folder_of_many_files_stays_readable() {
    let dir = tempfile::tempdir().expect("a folder");
    let (photos, folder) = (dir.path().join("phone"), dir.path().join("record"));
    std::fs::create_dir_all(&photos).expect("a folder");
    let bare = png(&scene(48, 36, 1));
    let (pack, _, checksum) = &*PACK;
    let carded = |card: &str| {
        let mut drawn = scene(480, 360, 3);
        lay(&mut drawn, &label_code(pack, checksum, card), Lie { at: (0.5, 0.4), side: 0.22, ..STRAIGHT });
        jpeg(&drawn, 90)
    };
    let (one, other) = (carded("lug-L1"), carded("lug-L2"));
    for i in 0..300u16 {
        // What follows the end of a picture makes each a file of its own.
        let tail = i.to_be_bytes();
        put(&photos, &format!("bare-{i:03}.png"), &[bare.as_slice(), &tail].concat());
        put(&photos, &format!("note-{i:03}.txt"), &tail);
        put(&photos, &format!("film-{i:03}.mp4"), &[b"\0\0\0\x18ftypisom".as_slice(), &tail].concat());
        let shot = if i % 2 == 0 { &one } else { &other };
        put(&photos, &format!("shot-{i:03}.jpg"), &[shot.as_slice(), &tail].concat());
    }
    let report = run(&photos, &folder, None).expect("received");
    assert_eq!((report.looked_at, report.new, report.filed), (1200, 900, 300));
    assert_eq!((report.left_alone.len(), report.videos.len()), (300, 300));
    let count = |kind: &str| report.questions.iter().filter(|q| q.kind == kind).count();
    assert_eq!(count("no-card"), 300);
    let alike = count("alike-under-two-labels");
    assert!((1..300).contains(&alike), "one a picture at most, not one a pair: {alike}");
    let text = report.text();
    assert!(text.lines().count() < 400, "{} lines", text.lines().count());
    assert!(text.lines().all(|l| l.chars().count() <= 80), "{text}");
    assert_eq!(text.matches("(`--format json` lists all)").count(), 3, "{text}");
    let json = serde_json::to_value(&report).expect("JSON");
    assert_eq!(json["format"], "cutback-receive-1");
    assert_eq!(json["left_alone"].as_array().map(Vec::len), Some(300));
    assert_eq!(json["needed"].as_array().map(Vec::len), Some(report.needed.len()));
    for frame in json["needed"].as_array().expect("needed") {
        for key in ["id", "point", "phase", "card", "text"] {
            assert!(frame[key].as_str().is_some_and(|t| !t.is_empty()), "{key}: {frame}");
        }
    }
}

/// The program itself, killed at ten moments by dice (`KILLS` sets how often), then
/// left to finish: the folder is that of one run.
#[test]
#[allow(clippy::disallowed_methods)]
fn killed_runs_end_as_one_run() {
    let dir = tempfile::tempdir().expect("a folder");
    let photos = dir.path().join("phone");
    std::fs::create_dir_all(&photos).expect("a folder");
    some(&photos);
    for (i, card) in ["lug-L1", "lug-L2", "lug-L3", "outer-L1", "outer-L2", "crutch"].into_iter().enumerate()
    {
        put(&photos, &format!("k{i}.jpg"), &picture(&[card], 30 + i as u32, "2031:05:12 12:00:00"));
    }
    let pack = dir.path().join("pack.json");
    std::fs::write(&pack, &PACK.1).expect("a pack");
    let start = |out: &str| {
        std::process::Command::new(env!("CARGO_BIN_EXE_cutback"))
            .current_dir(root())
            .arg("receive")
            .arg(&pack)
            .arg("--photos")
            .arg(&photos)
            .arg("--out")
            .arg(dir.path().join(out))
            .stdout(std::process::Stdio::null())
            .stderr(std::process::Stdio::null())
            .spawn()
            .expect("the program")
    };
    let begun = std::time::Instant::now();
    assert_eq!(start("whole").wait().expect("an end").code(), Some(1));
    // Moments by dice over the time that one run takes on this machine as it is.
    let long = u64::try_from(begun.elapsed().as_millis()).expect("a short run").max(40);
    let kills: u64 = std::env::var("KILLS").ok().and_then(|n| n.parse().ok()).unwrap_or(10);
    let mut dice: u64 = 0x2f6d;
    let record: PathBuf = ["received", "D-2201", "TX2-HV", "P4"].iter().collect();
    let whole = tree(&dir.path().join("whole").join(&record));
    assert_eq!(whole.keys().filter(|n| n.starts_with("photos/")).count(), 11);
    for kill in 0..kills.min(60) {
        if kill % 10 == 9 {
            let _ = std::fs::remove_dir_all(dir.path().join("killed"));
        }
        dice = dice.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        let mut child = start("killed");
        std::thread::sleep(std::time::Duration::from_millis((dice >> 33) % long));
        let _ = child.kill();
        let _ = child.wait();
    }
    assert_eq!(start("killed").wait().expect("an end").code(), Some(1));
    assert_eq!(tree(&dir.path().join("killed").join(&record)), whole);
}
