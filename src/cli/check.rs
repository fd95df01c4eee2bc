//! `check`: judge jobs, print findings.

use super::args::{Check, Format};
use super::many::{self, Share};
use super::progress::Progress;
use super::{Outcome, across, complain, paths, remedies, sarif, say};
use crate::facts::{self, Sheet};
use crate::finding::{Finding, Grade, Judgement, Place, ReadingCode, State};
use crate::house::{House, HouseError};
use crate::job::{self, Job, Library, Loaded, Sources};
use crate::press::Press;
use crate::report::{self, JobReport, Look};
use crate::rules::RuleBook;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, PoisonError};

/// A job read and judged, with everything a report or a pack needs.
pub struct Judged {
    pub file: String,
    pub sources: Sources,
    pub reading: Vec<Finding>,
    pub judged: Option<(Job, Sheet, Judgement)>,
}

impl Judged {
    pub fn report(&self) -> JobReport<'_> {
        JobReport {
            file: &self.file,
            sources: &self.sources,
            reading: &self.reading,
            judgement: self.judged.as_ref().map(|(_, _, judgement)| judgement),
            kind: report::Kind::Job,
        }
    }
}

/// Reads and judges one job text.
pub fn judge(file: &str, text: String, library: &Library, book: &RuleBook, press: &Press) -> Judged {
    let Loaded { sources, job, findings } = job::load(file, text, library);
    let mut reading = findings;
    if let Some(job) = &job {
        reading.extend(super::glyphs::unprintable(job, press));
    }
    let judged = job.filter(|_| reading.is_empty()).map(|job| {
        let sheet = facts::sheet(&job);
        let judgement = book.judge(&sheet, &job, &sources);
        (job, sheet, judgement)
    });
    Judged { file: file.to_string(), sources, reading, judged }
}

/// No pack is issued without its date.
pub fn missing_date(place: Place) -> Finding {
    Finding::reading(
        ReadingCode::MissingKey,
        "`job.date` (date of the pack) is missing",
        "Write `date: 2031-04-28` under `job`, or give `issue` the day with `--date 2031-04-28`.",
        place,
    )
}

/// What is no trouble yet, and will be one at `issue` unless it is given there.
fn advise_date(judged: &mut Judged) {
    let Some((job, ..)) = judged.judged.as_ref().filter(|(job, ..)| job.text("job.date").is_none()) else {
        return;
    };
    let place = job.place("job.date", "no date of the pack");
    judged.reading.push(Finding { grade: Grade::Advises, state: State::Advice, ..missing_date(place) });
}

/// The libraries of a run: jobs of one library share what was read of it.
pub struct Libraries {
    named: Option<Library>,
    near: Mutex<BTreeMap<Option<PathBuf>, Library>>,
}

impl Libraries {
    pub fn new(named: Option<&PathBuf>) -> Libraries {
        Libraries { named: named.map(Library::at), near: Mutex::default() }
    }

    /// The one named, else the nearest to the job.
    pub fn of(&self, job: &Path) -> Library {
        if let Some(named) = &self.named {
            return named.clone();
        }
        let near = Library::near(job);
        let mut known = self.near.lock().unwrap_or_else(PoisonError::into_inner);
        known.entry(near.root().map(Path::to_path_buf)).or_insert(near).clone()
    }
}

pub fn library_for(job: &Path, named: Option<&PathBuf>) -> Library {
    Libraries::new(named).of(job)
}

/// The rules, those of a house laid over them, or the fault that keeps us from
/// judging anything.
pub fn rule_book(house: Option<&House>) -> Result<RuleBook, Outcome> {
    match house {
        Some(house) => house.rule_book().map_err(|error| bad_house(&error)),
        None => RuleBook::built_in().map_err(|fault| {
            complain(&format!("fault of the tool, not of the job: {fault}"));
            Outcome::Trouble
        }),
    }
}

/// The layer of the owner, where one is named.
pub fn house(named: Option<&PathBuf>) -> Result<Option<House>, Outcome> {
    named.map(|folder| House::read(folder)).transpose().map_err(|error| bad_house(&error))
}

pub fn bad_house(error: &HouseError) -> Outcome {
    complain(&format!("the house can't be used: {error}"));
    Outcome::Trouble
}

/// Whose layer a run judges by, and what that makes milder.
pub fn say_house(house: Option<&House>) {
    if let Some(house) = house {
        say(&report::folded(&format!("House: {}, issued by {}", house.title(), house.head.issued_by)));
        house.milder().iter().for_each(|line| say(&report::folded(line)));
        say("\n");
    }
}

pub fn run(args: &Check) -> Outcome {
    let house = match house(args.house.as_ref()) {
        Ok(house) => house,
        Err(outcome) => return outcome,
    };
    let book = match rule_book(house.as_ref()) {
        Ok(book) => book,
        Err(outcome) => return outcome,
    };
    let book_across = match across::rule_book() {
        Ok(book) => book,
        Err(outcome) => return outcome,
    };
    let weights = args.weights.as_deref().or(house.as_ref().and_then(|h| h.weights.as_deref()));
    let ways = match remedies::ways(weights) {
        Ok(ways) => ways,
        Err(trouble) => {
            complain(&trouble);
            return Outcome::Trouble;
        }
    };
    let (files, trouble) = paths::job_files(&args.paths);
    let files = Share::of(args.many.share, files);
    many::stop_on_interrupt();
    if args.write.is_some() && files.len() != 1 {
        complain("--write takes one job file, so that it is plain which one is written");
        return Outcome::Trouble;
    }
    let mut outcome = if trouble.is_empty() { Outcome::Good } else { Outcome::Trouble };
    let mut log = (args.format == Format::Sarif).then(|| sarif::Log::new(&[&book, &book_across]));
    for one in &trouble {
        complain(&one.to_string());
        log.iter_mut().for_each(|log| log.trouble(one));
    }
    if args.format == Format::Text {
        say_house(house.as_ref());
    }
    let look = look();
    let press = Press::new();
    let mut progress = Progress::new(files.len());
    let libraries = Libraries::new(args.library.as_ref());
    let begin = |path: &PathBuf| {
        let text = paths::read(path)?;
        let library = libraries.of(path);
        let mut judged = judge(&path.display().to_string(), text.clone(), &library, &book, &press);
        let way = args.remedies.then(|| remedies::search(&judged, &text, &library, &book, &ways)).flatten();
        advise_date(&mut judged);
        Ok((judged, library, way))
    };
    progress.reached(0);
    // What is judged across jobs, once all of them are read.
    let (mut kept, mut uris) = (Vec::new(), Vec::new());
    let mut finish = |path: &PathBuf, judged| {
        progress.wipe();
        let (judged, library, way): (Judged, Library, Option<remedies::Found>) = match judged {
            Ok(judged) => judged,
            Err(error) => {
                log.iter_mut().for_each(|log| log.trouble(paths::Unreadable::trouble(&error)));
                outcome = outcome.max(unreadable(&error));
                return;
            }
        };
        let report = judged.report();
        if report.open() > 0 {
            outcome = outcome.max(Outcome::Findings);
        }
        match (args.format, &mut log) {
            (Format::Text, _) => {
                say(&report::text(&report, look));
                if let Some((found, _)) = &way {
                    say(&format!("\n{}", remedies::text(&judged.file, found)));
                }
            }
            (Format::Json, _) => {
                let mut line = report::json(&report);
                if let (Some((found, _)), Some(map)) = (&way, line.as_object_mut()) {
                    map.insert("remedies".into(), serde_json::json!(found));
                }
                say(&format!("{line}\n"));
            }
            (Format::Sarif, Some(log)) => {
                let fix = way.as_ref().map(|found| remedies::proposed(found, &ways));
                log.job(&report, path, &library, fix.as_ref());
            }
            (Format::Sarif, None) => {}
        }
        if let Some(target) = &args.write {
            outcome = outcome.max(remedies::write(target, path, way.as_ref()));
        }
        uris.push(sarif::uris(&judged.sources, path, &library));
        kept.push(across::kept(judged));
        progress.next(path);
    };
    let done = many::in_order(&files, args.many.at_once, begin, &mut finish);
    drop(progress);
    outcome = outcome.max(interrupted(done, files.len()));
    across::of_a_share(args.many.share.is_some());
    for circuit in across::judge(&kept, &book_across) {
        if circuit.is_open() {
            outcome = outcome.max(Outcome::Findings);
        }
        match (args.format, &mut log) {
            (Format::Text, _) => say(&circuit.text(&kept, look)),
            (Format::Json, _) => say(&format!("{}\n", circuit.json(&kept))),
            (Format::Sarif, Some(log)) => {
                let own: Vec<String> = circuit.jobs.iter().flat_map(|i| uris[*i].clone()).collect();
                log.circuit(&circuit.name, &circuit.report(), &own);
            }
            (Format::Sarif, None) => {}
        }
    }
    if let Some(log) = log {
        say(&log.finish(outcome));
    }
    outcome
}

/// Says so where a run was stopped before its end.
pub fn interrupted(done: usize, of: usize) -> Outcome {
    if done == of {
        return Outcome::Good;
    }
    complain(&format!("interrupted: {done} of {of} files are done, the others were not begun"));
    Outcome::Trouble
}

pub fn unreadable(error: &paths::Unreadable) -> Outcome {
    complain(&error.trouble().to_string());
    match error {
        paths::Unreadable::World(_) => Outcome::Trouble,
        paths::Unreadable::NoJob(_) => Outcome::Findings,
    }
}

/// Colour only on a terminal, and never where `NO_COLOR` is set.
pub fn look() -> Look {
    use std::io::IsTerminal;
    let plain = std::env::var_os("NO_COLOR").is_some_and(|v| !v.is_empty());
    if std::io::stdout().is_terminal() && !plain { Look::Colour } else { Look::Plain }
}
