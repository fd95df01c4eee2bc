//! `issue`: check, then write the pack; `--draft` prints it marked NOT ISSUED.

use super::args::Issue;
use super::check::{self, Judged, Libraries};
use super::many::{self, Share};
use super::progress::Progress;
use super::{Outcome, across, complain, language, paths, say};
use crate::finding::{Finding, ReadingCode};
use crate::house::House;
use crate::issuing::{self, Issued, PackFiles};
use crate::job::Job;
use crate::language::{ENGLISH, Language};
use crate::press::{Copy, Press};
use crate::procedure::{self, HouseNote, Pack, PackRequest, Procedures};
use crate::rules::RuleBook;
use crate::{record, report};
use std::panic::resume_unwind;
use std::path::PathBuf;

struct Workshop {
    book: RuleBook,
    procedures: Procedures,
    press: Press,
    house: Option<House>,
    libraries: Libraries,
    /// Another language, and the procedures with its texts.
    told: Option<(Language, Procedures)>,
}

impl Workshop {
    fn open(args: &Issue) -> Result<Workshop, Outcome> {
        let house = check::house(args.house.as_ref())?;
        // Wording and type are read while the rules are: a pack alone waits for both.
        let (book, (procedures, press)) = std::thread::scope(|scope| {
            let other = scope.spawn(|| (procedures(house.as_ref()), Press::new()));
            (check::rule_book(house.as_ref()), other.join().unwrap_or_else(|panic| resume_unwind(panic)))
        });
        let (book, procedures) = (book?, procedures?);
        let libraries = Libraries::new(args.library.as_ref());
        let told = language::told(args, &procedures, &book)?;
        Ok(Workshop { book, procedures, press, house, libraries, told })
    }
}

fn procedures(house: Option<&House>) -> Result<Procedures, Outcome> {
    match house {
        Some(house) => house.procedures().map_err(|error| check::bad_house(&error)),
        None => Procedures::built_in().map_err(|fault| {
            complain(&format!("fault of the tool, not of the job: {fault}"));
            Outcome::Trouble
        }),
    }
}

pub fn run(args: &Issue) -> Outcome {
    let shop = match Workshop::open(args) {
        Ok(shop) => shop,
        Err(outcome) => return outcome,
    };
    check::say_house(shop.house.as_ref());
    let (files, trouble) = paths::job_files(&args.paths);
    let files = Share::of(args.many.share, files);
    many::stop_on_interrupt();
    let mut outcome = if trouble.is_empty() { Outcome::Good } else { Outcome::Trouble };
    trouble.iter().for_each(|t| complain(&t.to_string()));
    let jobs = match read_all(&shop, &files, args) {
        Ok(jobs) => jobs,
        Err(bad) => return bad,
    };
    outcome = outcome.max(jobs.outcome);
    let mut progress = Progress::new(jobs.texts.len());
    progress.reached(0);
    // Judged and printed at the same time, written one after the other: the
    // register's lines come in the order of the list.
    let begin = |job: &Text| prepare(&shop, job, args);
    let done = many::in_order(&jobs.texts, args.many.at_once, begin, |job, prepared| {
        progress.wipe();
        outcome = outcome.max(prepared.finish(args));
        progress.next(&job.path);
    });
    drop(progress);
    outcome.max(check::interrupted(done, jobs.texts.len()))
}

/// A job file as it was read, once.
struct Text {
    path: PathBuf,
    text: String,
    /// What makes packs alike, where more than one job was given.
    alike: Option<Alike>,
    /// Open findings of its circuit, where there are any.
    across: Option<usize>,
}

/// Kind of work, kit, cable and site: packs that share them share most of their
/// paragraphs, which the typesetter then sets once.
type Alike = [Option<String>; 4];

fn alike(job: &Job) -> Alike {
    ["job.work_type", "kit", "cable.library", "site.name"].map(|name| job.text(name))
}

struct Texts {
    texts: Vec<Text>,
    outcome: Outcome,
}

/// Reads all jobs and says what stands against their circuits: all are judged
/// before any is issued, for a circuit holds up each of its jobs. A job alone is
/// judged when it is printed. Like ones come out together, else in the order of the
/// files.
fn read_all(shop: &Workshop, files: &[PathBuf], args: &Issue) -> Result<Texts, Outcome> {
    let book = across::rule_book()?;
    let mut progress = Progress::new(files.len());
    let begin = |path: &PathBuf| {
        let text = paths::read(path)?;
        let library = shop.libraries.of(path);
        let judged = (files.len() > 1).then(|| {
            check::judge(&path.display().to_string(), text.clone(), &library, &shop.book, &shop.press)
        });
        let alike = judged.as_ref().and_then(|j| Some(alike(&j.judged.as_ref()?.0)));
        Ok((text, alike, judged.map(across::kept)))
    };
    let mut all = Texts { texts: Vec::new(), outcome: Outcome::Good };
    let mut kept = Vec::new();
    let done = many::in_order(files, args.many.at_once, begin, |path, read| match read {
        Ok((text, alike, judged)) => {
            all.texts.push(Text { path: path.clone(), text, alike, across: None });
            kept.extend(judged);
            progress.reached(all.texts.len());
        }
        Err(error) => {
            progress.wipe();
            all.outcome = all.outcome.max(check::unreadable(&error));
        }
    });
    progress.wipe();
    if done < files.len() {
        return Err(check::interrupted(0, files.len()));
    }
    across::of_a_share(args.many.share.is_some());
    for circuit in across::judge(&kept, &book) {
        say(&format!("{}\n", circuit.text(&kept, check::look())));
        if circuit.is_open() {
            all.outcome = all.outcome.max(Outcome::Findings);
            circuit.jobs.iter().for_each(|i| all.texts[*i].across = Some(circuit.report().open()));
        }
    }
    all.texts.sort_by(|a, b| a.alike.cmp(&b.alike));
    Ok(all)
}

/// A job read, judged and printed, with nothing written yet.
struct Prepared {
    judged: Judged,
    /// Open findings of its own, and with those of its circuit.
    own: usize,
    open: usize,
    /// Its pack, where one could be printed; else why there is none, unless the
    /// findings say it already.
    printed: Option<Result<Printed, String>>,
}

/// A pack as bytes.
struct Printed {
    pack: Pack,
    json: Vec<u8>,
    pdf: Vec<u8>,
    record: String,
}

fn prepare(shop: &Workshop, job: &Text, args: &Issue) -> Prepared {
    let library = shop.libraries.of(&job.path);
    let file = job.path.display().to_string();
    let mut judged = check::judge(&file, job.text.clone(), &library, &shop.book, &shop.press);
    let date = date_of(&judged, args);
    if date.is_none()
        && let Some((job, ..)) = &judged.judged
    {
        let place = job.place("job.date", "no date of the pack");
        judged.reading.push(super::check::missing_date(place));
    }
    let late = judged.judged.as_ref().zip(date.as_ref()).and_then(|((job, ..), date)| before_pack(job, date));
    judged.reading.extend(late);
    let own = judged.report().open();
    let open = own + job.across.unwrap_or(0);
    let wanted = open == 0 || args.draft;
    let printed = date.filter(|_| wanted).and_then(|date| print(shop, &judged, date, open, args).transpose());
    Prepared { judged, own, open, printed }
}

impl Prepared {
    /// Writes the pack and says what was found and done.
    fn finish(self, args: &Issue) -> Outcome {
        let file = &self.judged.file;
        let wanted = self.open == 0 || args.draft;
        let made =
            self.printed.filter(|_| wanted).map(|printed| printed.and_then(|printed| write(&printed, args)));
        let own = self.judged.report();
        let refused = matches!(made, Some(Ok(Made::Finding(_)))) || !wanted;
        let kind = if self.own == 0 && refused { report::Kind::HeldUp } else { own.kind };
        say(&report::text(&report::JobReport { kind, ..own }, check::look()));
        let found = if self.open > 0 { Outcome::Findings } else { Outcome::Good };
        if !wanted {
            let why = if self.own == 0 { ": the jobs of its circuit do not agree" } else { "" };
            say(&format!("{file}: not issued{why}.\n\n"));
            return found;
        }
        found.max(match made {
            None => found,
            Some(Ok(Made::Finding(finding))) => {
                let reading = [*finding];
                let report = report::JobReport {
                    file,
                    sources: &self.judged.sources,
                    reading: &reading,
                    judgement: None,
                    kind: report::Kind::Issue,
                };
                say(&report::text(&report, check::look()));
                say("\n");
                Outcome::Findings
            }
            Some(Ok(Made::At(line))) => {
                say(&line);
                Outcome::Good
            }
            Some(Err(message)) => {
                complain(&message);
                Outcome::Trouble
            }
        })
    }
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

/// Work that lies before a pack whose date was given from outside: of the job's own date a
/// rule has judged it. ISO dates compare as text.
fn before_pack(job: &Job, date: &str) -> Option<Finding> {
    if job.get("job.date").is_some() {
        return None;
    }
    let early = |key: &str| job.text(key).filter(|day| day.as_str() < date).map(|day| (key.to_string(), day));
    let (key, day) = ["job.starts", "job.planned"].into_iter().find_map(early)?;
    Some(Finding::reading(
        ReadingCode::NotCredible,
        format!("`{key}` is {day}, and the pack would be dated {date}: the work lies before its pack"),
        "Correct the day of the work, or give the pack's own with `--date`.",
        job.place(&key, "before the pack"),
    ))
}

/// The pack of a judged job; nothing where the job could not be read.
fn print(
    shop: &Workshop,
    judged: &Judged,
    date: String,
    open: usize,
    args: &Issue,
) -> Result<Option<Printed>, String> {
    let Some((job, sheet, judgement)) = &judged.judged else { return Ok(None) };
    let fault = |fault: &dyn std::fmt::Display| format!("fault of the tool, not of the job: {fault}");
    let rule_uses = shop.book.uses();
    let request = PackRequest {
        job,
        sheet,
        judgement,
        rule_uses: &rule_uses,
        procedures: &shop.procedures,
        never: shop.book.never(),
        date,
        house: shop.house.as_ref().map(|house| HouseNote {
            title: house.title(),
            issued_by: house.head.issued_by.clone(),
            milder: house.milder(),
        }),
        language: None,
    };
    let Some(pack) = procedure::build(&request).map_err(|f| fault(&f))? else {
        return Err(format!(
            "{}: there is no procedure for `{}` yet; the job can be checked and not issued",
            judged.file,
            sheet.text("job.work_type")
        ));
    };
    let mut json = serde_json::to_vec_pretty(&pack).map_err(|e| fault(&e))?;
    json.push(b'\n');
    let checksum = issuing::sha256(&json);
    let mut copy = Copy::new(&pack, &checksum, !args.draft, open);
    if let Some((language, procedures)) = &shop.told {
        let told = PackRequest { procedures, language: Some(language), ..request };
        let parts = procedure::build(&told).map_err(|f| fault(&f))?;
        let parts = parts.map(|told| language::parts(&pack, &told)).unwrap_or_default();
        copy = copy.told(language.clone(), parts);
    }
    let pdf = shop.press.print(&pack, &json, &copy).map_err(|e| fault(&e))?;
    let record = record::blank(&pack, &checksum);
    Ok(Some(Printed { pack, json, pdf, record }))
}

enum Made {
    At(String),
    Finding(Box<Finding>),
}

/// Writes a printed pack: a draft beside the others, or the issue itself.
fn write(printed: &Printed, args: &Issue) -> Result<Made, String> {
    let Printed { pack, json, pdf, record } = printed;
    let out = args.out.clone().unwrap_or_default();
    if args.draft {
        let path =
            out.join("drafts").join(&pack.job.number).join(&pack.job.end).join(&pack.job.revision).join(
                match args.language.as_str() {
                    ENGLISH => "pack-NOT-ISSUED.pdf".to_string(),
                    tag => format!("pack-NOT-ISSUED-{tag}.pdf"),
                },
            );
        issuing::write_atomically(&path, pdf).map_err(|e| e.to_string())?;
        return Ok(Made::At(format!("draft, not issued: {}\n\n", path.display())));
    }
    let root = out.join("issued");
    let not_issued = |e: issuing::IssueError| format!("{e}; the pack is not issued");
    let files = PackFiles { json, pdf, record: record.as_bytes() };
    let part = args.many.share.map(Share::part);
    match issuing::issue_part(&root, part, pack, &files).map_err(not_issued)? {
        Issued::Now(folder) => Ok(Made::At(format!("issued: {}\n\n", folder.join("pack.pdf").display()))),
        Issued::Before(folder) => {
            Ok(Made::At(format!("issued before, the same pack: {}\n\n", folder.join("pack.pdf").display())))
        }
        Issued::Refused(finding) => Ok(Made::Finding(finding)),
    }
}
