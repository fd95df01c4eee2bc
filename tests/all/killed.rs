//! Issuing killed at random moments: the folder is whole after each, and the
//! next run goes on from there. `KILLS=200` sets how often.
//!
//! The child is this test binary itself; it issues one revision after another
//! as fast as the disk takes them, with a stand-in for the PDF.

use crate::issuing::pack_of;
use crate::support::job_text;
use cutback::issuing::{self, Issued, PackFiles, Register};
use cutback::procedure::Pack;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

const ROOT: &str = "CUTBACK_TEST_KILLED_ROOT";
const TEST: &str = "killed::killed_at_any_moment_the_folder_is_whole";

/// Issues revisions that replace each other, until killed or `last`.
fn child(root: &Path, last: Option<usize>) {
    let json = std::fs::read(root.join("pack.json")).expect("the pack");
    let mut pack: Pack = serde_json::from_slice(&json).expect("a pack");
    let pdf: Vec<u8> = (0..400_000usize).map(|i| (i * 31 % 251) as u8).collect();
    let issued = root.join("issued");
    let mut number = Register::read(&issued).map_or(0, |r| r.entries().len());
    loop {
        pack.job.revision = format!("P{}", number + 1);
        pack.job.replaces = if number == 0 { "none".into() } else { format!("P{number}") };
        let json = serde_json::to_vec(&pack).expect("JSON");
        let made =
            issuing::issue(&issued, &pack, &PackFiles { json: &json, pdf: &pdf, record: b"record: {}\n" })
                .expect("a folder that can be written");
        assert!(matches!(made, Issued::Now(_)), "{made:?}");
        number += 1;
        if last == Some(number) {
            return;
        }
    }
}

/// Every line of the register follows from the one before, and names a folder
/// that holds just what it says. Gives the number of packs.
fn whole(issued: &Path) -> usize {
    let Ok(register) = Register::read(issued) else { panic!("the register is not whole") };
    for entry in register.entries() {
        let folder = issued.join(&entry.job).join(&entry.end).join(&entry.revision);
        let sum = |name: &str| issuing::sha256(&std::fs::read(folder.join(name)).expect("a file"));
        assert_eq!(sum("pack.json"), entry.pack_sha256, "{}", folder.display());
        assert_eq!(sum("pack.pdf"), entry.pdf_sha256, "{}", folder.display());
        let sums = std::fs::read_to_string(folder.join("SHA256SUMS")).expect("sums");
        assert!(sums.contains(&entry.pack_sha256) && sums.contains(&entry.pdf_sha256));
    }
    register.entries().len()
}

fn left_over(issued: &Path) -> Vec<PathBuf> {
    let all = walkdir::WalkDir::new(issued).into_iter().filter_map(Result::ok);
    let own = |name: &str| name.starts_with(".part-") || name.starts_with(".old-");
    all.filter(|e| own(&e.file_name().to_string_lossy())).map(walkdir::DirEntry::into_path).collect()
}

fn spawn(root: &Path) -> std::process::Child {
    Command::new(std::env::current_exe().expect("this binary"))
        .args(["--exact", TEST, "--nocapture"])
        .env(ROOT, root)
        .stdout(Stdio::null())
        .stderr(Stdio::piped())
        .spawn()
        .expect("a child")
}

/// How long a child takes to its first pack.
#[allow(clippy::disallowed_methods)]
fn first_pack(root: &Path, issued: &Path) -> Duration {
    let begun = Instant::now();
    let mut run = spawn(root);
    while !issued.join("register.jsonl").is_file() && begun.elapsed() < Duration::from_secs(60) {
        std::thread::sleep(Duration::from_millis(1));
    }
    let took = begun.elapsed();
    run.kill().expect("killed");
    run.wait().expect("an end");
    took
}

#[test]
fn killed_at_any_moment_the_folder_is_whole() {
    if let Some(root) = std::env::var_os(ROOT) {
        return child(Path::new(&root), None);
    }
    let kills: usize = std::env::var("KILLS").ok().and_then(|n| n.parse().ok()).unwrap_or(12);
    let dir = tempfile::tempdir().expect("a folder");
    let root = dir.path();
    let (_, json) = pack_of(job_text("D-2201-P4"));
    std::fs::write(root.join("pack.json"), json).expect("written");
    let issued = root.join("issued");
    let first = first_pack(root, &issued);
    let mut dice: u64 = 0x6b11;
    let (mut torn, mut most) = (0, 0);
    for kill in 0..kills {
        if kill % 25 == 0 {
            // A fresh folder now and then, so that the first pack is hit as well.
            let _ = std::fs::remove_dir_all(&issued);
        }
        dice = dice.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        let mut run = spawn(root);
        // From well before the first pack to a few packs on, however slow the machine is now.
        std::thread::sleep(first.mul_f64(0.3 + 2.2 * (dice >> 33) as f64 / (1u64 << 31) as f64));
        let early = run.try_wait().expect("a state").is_some();
        run.kill().expect("killed");
        let output = run.wait_with_output().expect("an end");
        assert!(!early, "kill {kill}: the child gave up: {}", String::from_utf8_lossy(&output.stderr));
        most = most.max(whole(&issued));
        torn += left_over(&issued).len();
    }
    // Something was issued, and something was cut off in the middle of it.
    assert!(most > 0 && (torn > 0 || kills < 100), "{most} packs, {torn} cut off");
    let last = whole(&issued) + 1;
    child(root, Some(last));
    assert_eq!(whole(&issued), last);
    assert_eq!(left_over(&issued), Vec::<PathBuf>::new(), "left lying about");
}
