//! Jobs and libraries for the tests.

use cutback::cli::Judged;
use cutback::cli::judge_text;
use cutback::job::Library;
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
