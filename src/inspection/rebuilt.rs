//! What a new end by the kit of the job would come to in this box: the same job
//! as the kind of work that builds it.

use crate::facts::{self, Sheet};
use crate::finding::{Grade, Judgement};
use crate::job::{self, Job, Library, Sources};
use crate::remedies::{Change, apply};
use crate::rules::RuleBook;

/// The job as a new end, read and judged.
pub struct Rebuilt {
    pub text: String,
    pub job: Job,
    pub sheet: Sheet,
    pub judgement: Judgement,
    pub sources: Sources,
}

/// The kind of work that builds such an end; nothing where kit or cable leave it
/// open.
pub(super) fn kind_of_new_end(sheet: &Sheet) -> Option<&'static str> {
    if sheet.is_yes("found_outdoors") {
        return Some("term-outdoor");
    }
    let hot = match sheet.text("kit.technique") {
        "heat-shrink" => true,
        "cold-shrink" | "slip-on" => false,
        _ => return None,
    };
    Some(match (sheet.text("cable.cores"), hot) {
        ("3", true) => "term-box-3c-hs",
        ("3", false) => "term-box-3c-cs",
        ("1", true) => "term-box-1c-hs",
        ("1", false) => "term-box-1c-cs",
        _ => return None,
    })
}

/// The job of an inspection as a new end by its kit.
///
/// # Errors
/// Why there is nothing to compute, in words.
pub fn rebuilt(
    file: &str,
    text: &str,
    sheet: &Sheet,
    library: &Library,
    book: &RuleBook,
) -> Result<Rebuilt, String> {
    if !sheet.is_yes("kit_known") {
        return Err("the kit is not known".into());
    }
    let kind = kind_of_new_end(sheet).ok_or("kit or cable do not say which kind of work builds it")?;
    let change = Change { key: "job.work_type".into(), to: Some(kind.into()), why: String::new() };
    let text = apply(text, &[change])?;
    let loaded = job::load(file, text.clone(), library);
    let job = loaded.job.ok_or("the job does not read")?;
    let sheet = facts::sheet(&job);
    let judgement = book.judge(&sheet, &job, &loaded.sources);
    Ok(Rebuilt { text, job, sheet, judgement, sources: loaded.sources })
}

/// How a new end does on some checks of the enclosure.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Fits {
    Yes,
    TrialFit,
    No,
    NotKnown,
}

impl Fits {
    pub fn words(self) -> &'static str {
        match self {
            Fits::Yes => "fits",
            Fits::TrialFit => "fits if the trial fit says so",
            Fits::No => "does not fit",
            Fits::NotKnown => "not known",
        }
    }
}

impl Rebuilt {
    /// The worst that these rules and checks come to.
    pub(super) fn fits(&self, checks: &[(&str, &[&str])]) -> Fits {
        let mine = |code: &str, check: &str| {
            checks.iter().any(|(c, list)| *c == code && (list.is_empty() || list.contains(&check)))
        };
        let worst = self.judgement.findings.iter().filter(|f| mine(&f.code, &f.check)).map(|f| f.grade).max();
        let unjudged = self.judgement.not_judged.iter().any(|n| mine(&n.code, &n.check));
        let held = self.judgement.left_out.iter().any(|l| checks.iter().any(|(c, _)| *c == l.code));
        match worst {
            Some(Grade::Blocks) => Fits::No,
            _ if unjudged || held => Fits::NotKnown,
            Some(Grade::Asks) => Fits::TrialFit,
            _ => Fits::Yes,
        }
    }
}
