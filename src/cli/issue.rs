//! `issue`: check, then write the pack; `--draft` prints it marked NOT ISSUED.

use super::args::Issue;
use super::check::{self, Judged};
use super::progress::Progress;
use super::{Outcome, across, complain, paths, say};
use crate::finding::{Finding, Place, ReadingCode};
use crate::issuing::{self, Issued, PackFiles};
use crate::press::{Copy, Press};
use crate::procedure::{self, Pack, PackRequest, Procedures};
use crate::rules::RuleBook;
use crate::{record, report};

struct Workshop {
    book: RuleBook,
    procedures: Procedures,
    press: Press,
}

pub fn run(args: &Issue) -> Outcome {
    let book = match check::rule_book() {
        Ok(book) => book,
        Err(outcome) => return outcome,
    };
    let procedures = match Procedures::built_in() {
        Ok(procedures) => procedures,
        Err(fault) => {
            complain(&format!("fault of the tool, not of the job: {fault}"));
            return Outcome::Trouble;
        }
    };
    let shop = Workshop { book, procedures, press: Press::new() };
    let book_across = match across::rule_book() {
        Ok(book) => book,
        Err(outcome) => return outcome,
    };
    let (files, trouble) = paths::job_files(&args.paths);
    let mut outcome = if trouble.is_empty() { Outcome::Good } else { Outcome::Trouble };
    trouble.iter().for_each(|t| complain(&t.to_string()));
    let mut progress = Progress::new(files.len());
    // All are judged before any is issued: a circuit holds up each of its jobs.
    let mut all = Vec::new();
    for path in files {
        progress.next(&path);
        let text = match paths::read(&path) {
            Ok(text) => text,
            Err(error) => {
                progress.wipe();
                outcome = outcome.max(check::unreadable(&error));
                continue;
            }
        };
        let library = check::library_for(&path, args.library.as_ref());
        all.push(check::judge(&path.display().to_string(), text, &library, &shop.book, &shop.press));
    }
    progress.wipe();
    let mut held = vec![None; all.len()];
    for circuit in across::judge(&all, &book_across) {
        say(&format!("{}\n", circuit.text(&all, check::look())));
        if circuit.is_open() {
            outcome = outcome.max(Outcome::Findings);
            circuit.jobs.iter().for_each(|i| held[*i] = Some(circuit.report().open()));
        }
    }
    for (judged, across) in all.iter_mut().zip(held) {
        outcome = outcome.max(issue_one(&shop, judged, across, args, &progress));
    }
    outcome
}

/// Issues one job, or says why not; `across` are the open findings of its circuit.
fn issue_one(
    shop: &Workshop,
    judged: &mut Judged,
    across: Option<usize>,
    args: &Issue,
    progress: &Progress,
) -> Outcome {
    let date = date_of(judged, args);
    if date.is_none()
        && let Some((job, ..)) = &judged.judged
    {
        let place = job.place("job.date", "no date of the pack");
        judged.reading.push(missing_date(place));
    }
    let report = judged.report();
    let own = report.open();
    progress.wipe();
    say(&report::text(&report, check::look()));
    let open = own + across.unwrap_or(0);
    let outcome = if open > 0 { Outcome::Findings } else { Outcome::Good };
    if open > 0 && !args.draft {
        let why = if own == 0 { ": the jobs of its circuit do not agree" } else { "" };
        say(&format!("{}: not issued{why}.\n\n", judged.file));
        return outcome;
    }
    let Some(date) = date else { return outcome };
    progress.again();
    outcome.max(print(shop, judged, date, open, args, progress))
}

/// The pack's date: the job's own, else `--date`, else `SOURCE_DATE_EPOCH`.
fn date_of(judged: &Judged, args: &Issue) -> Option<String> {
    let job = judged.judged.as_ref().and_then(|(job, ..)| job.text("job.date"));
    job.or_else(|| args.date.map(|d| d.to_string())).or_else(|| {
        let seconds: i64 = std::env::var("SOURCE_DATE_EPOCH").ok()?.trim().parse().ok()?;
        let time = jiff::Timestamp::from_second(seconds).ok()?;
        Some(jiff::tz::Offset::UTC.to_datetime(time).date().to_string())
    })
}

fn missing_date(place: Place) -> Finding {
    Finding::reading(
        ReadingCode::MissingKey,
        "`job.date` (date of the pack) is missing",
        "Write `date: 2031-04-28` under `job`, or give `--date`.",
        place,
    )
}

fn print(
    shop: &Workshop,
    judged: &Judged,
    date: String,
    open: usize,
    args: &Issue,
    progress: &Progress,
) -> Outcome {
    let Some((job, sheet, judgement)) = &judged.judged else { return Outcome::Findings };
    let rule_uses = shop.book.uses();
    let request = PackRequest {
        job,
        sheet,
        judgement,
        rule_uses: &rule_uses,
        procedures: &shop.procedures,
        never: shop.book.never(),
        date,
    };
    let pack = match procedure::build(&request) {
        Ok(Some(pack)) => pack,
        Ok(None) => {
            progress.wipe();
            complain(&format!(
                "{}: there is no procedure for `{}` yet; the job can be checked and not issued",
                judged.file,
                sheet.text("job.work_type")
            ));
            return Outcome::Trouble;
        }
        Err(fault) => {
            progress.wipe();
            complain(&format!("fault of the tool, not of the job: {fault}"));
            return Outcome::Trouble;
        }
    };
    let made = make(shop, &pack, open, args);
    progress.wipe();
    match made {
        Ok(Made::Finding(finding)) => {
            let reading = [*finding];
            let report = report::JobReport {
                file: &judged.file,
                sources: &judged.sources,
                reading: &reading,
                judgement: None,
                kind: report::Kind::Job,
            };
            say(&report::text(&report, check::look()));
            Outcome::Findings
        }
        Ok(Made::At(line)) => {
            say(&line);
            Outcome::Good
        }
        Err(message) => {
            complain(&message);
            Outcome::Trouble
        }
    }
}

enum Made {
    At(String),
    Finding(Box<Finding>),
}

fn make(shop: &Workshop, pack: &Pack, open: usize, args: &Issue) -> Result<Made, String> {
    let mut json = serde_json::to_vec_pretty(pack).map_err(|e| format!("fault of the tool: {e}"))?;
    json.push(b'\n');
    let checksum = issuing::sha256(&json);
    let copy = Copy::new(pack, &checksum, !args.draft, open);
    let pdf = shop
        .press
        .print(pack, &json, &copy)
        .map_err(|e| format!("fault of the tool, not of the job: {e}"))?;
    let out = args.out.clone().unwrap_or_default();
    if args.draft {
        let path = out
            .join("drafts")
            .join(&pack.job.number)
            .join(&pack.job.end)
            .join(&pack.job.revision)
            .join("pack-NOT-ISSUED.pdf");
        issuing::write_atomically(&path, &pdf).map_err(|e| e.to_string())?;
        return Ok(Made::At(format!("draft, not issued: {}\n\n", path.display())));
    }
    let root = out.join("issued");
    let not_issued = |e: issuing::IssueError| format!("{e}; the pack is not issued");
    let record = record::blank(pack, &checksum);
    let files = PackFiles { json: &json, pdf: &pdf, record: record.as_bytes() };
    match issuing::issue(&root, pack, &files).map_err(not_issued)? {
        Issued::Now(folder) => Ok(Made::At(format!("issued: {}\n\n", folder.join("pack.pdf").display()))),
        Issued::Before(folder) => {
            Ok(Made::At(format!("issued before, the same pack: {}\n\n", folder.join("pack.pdf").display())))
        }
        Issued::Refused(finding) => Ok(Made::Finding(finding)),
    }
}
