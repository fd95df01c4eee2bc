//! Every byte of an issued folder.

use super::{pdf, small};
use cutback::cli::opened;
use cutback::issuing::{PackFiles, issue, sha256};
use cutback::procedure::Pack;
use std::path::{Path, PathBuf};

/// Whether the folder is found to be as it was issued.
fn holds(path: &Path, sum: &str) -> bool {
    matches!(opened(path), Ok((found, Some(files), true)) if found == sum && files == "as issued")
}

/// An issued folder of a small pack, written below `root`; the path of its pack.json.
fn small_folder(root: &Path, pack: &Pack, json: &[u8]) -> PathBuf {
    let whole = pdf(&[("pack.json", json, false)]);
    let files = PackFiles { json, pdf: &whole, record: b"record: {}\n" };
    issue(root, pack, &files).expect("issued");
    root.join("D-2201/TX2-HV/P4/pack.json")
}

/// One change to a file: which, where, which bits.
type Flip<'a> = (&'a str, usize, u8);

/// Makes each change in a folder of its own, one at a time; those nothing found.
fn unfound<'a>(root: &Path, path: &Path, sum: &str, flips: &[Flip<'a>]) -> Vec<Flip<'a>> {
    let mut missed = Vec::new();
    let mut at = ("", Vec::new());
    for flip in flips {
        let (name, i, bits) = *flip;
        let file = root.join(name);
        if at.0 != name {
            at = (name, std::fs::read(&file).expect("a file"));
        }
        at.1[i] ^= bits;
        std::fs::write(&file, &at.1).expect("written");
        if holds(path, sum) {
            missed.push(*flip);
        }
        at.1[i] ^= bits;
        std::fs::write(&file, &at.1).expect("written");
    }
    missed
}

/// Every byte of an issued folder changed, one at a time: it is always found. One
/// file is not held to anything: the blank record, which is there to be filled; what
/// is in it counts from the moment it is sealed, and its checksum stands in the list
/// and in the register, which are held. `FLIPS=all` tries every byte of the two large
/// files as well, else every 41st.
#[test]
#[allow(clippy::disallowed_methods, clippy::print_stderr)]
fn every_byte_of_an_issued_folder_is_held() {
    let dirs = [0, 1].map(|_| tempfile::tempdir().expect("a folder"));
    let (pack, json) = small();
    let sum = sha256(&json);
    let places = [0, 1].map(|i| (dirs[i].path(), small_folder(dirs[i].path(), &pack, &json)));
    for (_, path) in &places {
        assert!(holds(path, &sum), "{:?}", opened(path));
    }
    let all = std::env::var("FLIPS").is_ok_and(|f| f == "all");
    let bits: &[u8] = if all { &[0x01, 0x02, 0x04, 0x08, 0x10, 0x20, 0x40, 0x80] } else { &[0x01, 0x20] };
    let step = if all { 1 } else { 41 };
    let files = [
        ("D-2201/TX2-HV/P4/SHA256SUMS", 1, bits),
        ("register.jsonl", 1, bits),
        ("D-2201/TX2-HV/P4/pack.json", step, &bits[..1]),
        ("D-2201/TX2-HV/P4/pack.pdf", step, &bits[..1]),
    ];
    let size = |name: &str| std::fs::read(places[0].0.join(name)).expect("a file").len();
    let mut flips: Vec<Flip> = Vec::new();
    for (name, step, patterns) in files {
        let bytes = (0..size(name)).step_by(step);
        flips.extend(bytes.flat_map(|i| patterns.iter().map(move |bits| (name, i, *bits))));
    }
    let begun = std::time::Instant::now();
    // Every other change in either folder: both cores, and each its share of each file.
    let halves = [0, 1].map(|half| flips.iter().skip(half).step_by(2).copied().collect::<Vec<Flip>>());
    let missed: Vec<Flip> = std::thread::scope(|scope| {
        let run = |i: usize| unfound(places[i].0, &places[i].1, &sum, &halves[i]);
        let other = scope.spawn(move || run(1));
        let mut all = run(0);
        all.extend(other.join().expect("an end"));
        all
    });
    let whole: usize = files.iter().map(|f| size(f.0)).sum();
    eprintln!("{} changes to {whole} bytes in {:.0} s", flips.len(), begun.elapsed().as_secs_f64());
    for (_, path) in &places {
        assert!(holds(path, &sum), "all put back");
    }
    assert!(missed.is_empty(), "{} of {}: {:?}", missed.len(), flips.len(), &missed[..missed.len().min(8)]);
    assert!(flips.len() > 2000, "{}", flips.len());
    // The one file that is not held: changed, the folder is still as it was issued.
    std::fs::write(places[0].1.with_file_name("record.yaml"), "record: {job: D-2201}\n").expect("written");
    assert!(holds(&places[0].1, &sum), "the blank record is there to be filled");
}
