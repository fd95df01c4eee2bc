//! Jobs and libraries for the tests.

use cutback::cli::Judged;
use cutback::cli::judge_text;
use cutback::job::schema::Shelf;
use cutback::job::{self, Library};
use cutback::press::Press;
use cutback::rules::RuleBook;
use std::path::{Path, PathBuf};
use std::sync::LazyLock;

pub static BOOK: LazyLock<RuleBook> =
    LazyLock::new(|| RuleBook::built_in().expect("our rule files are sound"));
pub static PRESS: LazyLock<Press> = LazyLock::new(Press::new);

pub fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

pub fn library() -> Library {
    Library::at(root().join("jobs/library"))
}

/// Path of a job by its name without ending, demo or test.
pub fn job_path(name: &str) -> PathBuf {
    let demo = root().join(format!("jobs/demo/{name}.yaml"));
    if demo.is_file() { demo } else { root().join(format!("tests/jobs/{name}.yaml")) }
}

pub fn job_text(name: &str) -> String {
    let path = job_path(name);
    std::fs::read_to_string(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()))
}

pub fn judge(name: &str) -> Judged {
    judge_text(&format!("{name}.yaml"), job_text(name), &library(), &BOOK, &PRESS)
}

pub fn judge_edited(text: String) -> Judged {
    judge_text("job.yaml", text, &library(), &BOOK, &PRESS)
}

/// The job with one value replaced or taken away, wherever it is written: in
/// the job file, or in the library item that gave it.
pub fn judge_with(name: &str, key: &str, to: &str) -> Judged {
    let file = format!("{name}.yaml");
    let text = job_text(name);
    let loaded = job::load(&file, text.clone(), &library());
    let place = loaded.job.as_ref().expect("a sound job").place(key, "");
    let source = &loaded.sources[place.source];
    assert!(source.has(&place.pointer), "{name}: nothing stands at {key} to edit");
    let mut changed = source.text().to_string();
    changed.replace_range(source.locate(&place.pointer).at, to);
    if place.source == 0 {
        return judge_text(&file, changed, &library(), &BOOK, &PRESS);
    }
    let parts: Vec<&str> = source.name().trim_end_matches(".yaml").split('/').collect();
    let shelf = match parts[1] {
        "cables" => Shelf::Cables,
        "kits" => Shelf::Kits,
        "lugs" => Shelf::Lugs,
        _ => Shelf::Boots,
    };
    let library: Library = library().with(shelf, parts[2], changed);
    judge_text(&file, text, &library, &BOOK, &PRESS)
}

/// A job with what stands at `pointer` written in another way.
pub fn job_with(name: &str, pointer: &str, to: &str) -> String {
    let (source, error) = cutback::source::Source::read(name, job_text(name));
    assert!(error.is_none() && source.has(pointer), "{name}: nothing stands at {pointer} to edit");
    let mut text = source.text().to_string();
    text.replace_range(source.locate(pointer).at, to);
    text
}

/// `D02 cover asks accepted`, one line a finding; unjudged checks too.
pub fn findings(judged: &Judged) -> Vec<String> {
    let mut out: Vec<String> = judged.reading.iter().map(|f| format!("{} reading", f.code)).collect();
    if let Some((_, _, judgement)) = &judged.judged {
        out.extend(judgement.findings.iter().map(|f| {
            let grade = match f.grade {
                cutback::finding::Grade::Blocks => "blocks",
                cutback::finding::Grade::Asks => "asks",
                cutback::finding::Grade::Advises => "advises",
            };
            let state = if f.state == cutback::finding::State::Accepted { " accepted" } else { "" };
            let check = if f.check.is_empty() { String::new() } else { format!(" {}", f.check) };
            format!("{}{check} {grade}{state}", f.code)
        }));
        out.extend(judgement.not_judged.iter().map(|n| format!("{} {} not-judged", n.code, n.check)));
    }
    out.sort();
    out
}

/// All Rust files under `dir`, sorted.
pub fn rust_files(dir: &Path) -> Vec<PathBuf> {
    let mut files: Vec<PathBuf> = walkdir::WalkDir::new(dir)
        .into_iter()
        .filter_map(Result::ok)
        .map(walkdir::DirEntry::into_path)
        .filter(|p| p.extension().is_some_and(|e| e == "rs"))
        .collect();
    files.sort();
    files
}

/// A small generator of pseudo-random numbers, so that every run is the same.
pub struct Dice(pub u64);

impl Dice {
    pub fn roll(&mut self) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        self.0
    }

    pub fn below(&mut self, n: usize) -> usize {
        (self.roll() % n.max(1) as u64) as usize
    }

    pub fn one<'a, T>(&mut self, from: &'a [T]) -> &'a T {
        &from[self.below(from.len())]
    }

    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * (self.below(1_000_000) as f64 / 1e6)
    }
}
