//! `verify`: judge completed records against their packs.

use super::args::{Format, Verify};
use super::find_pack::{self, Found};
use super::finish;
use super::{Outcome, check, complain, paths, sarif, say};
use crate::issuing::{Register, sha256};
use crate::job::{self, Job, Library};
use crate::photos;
use crate::record::{self, Dossier, FileState, Loaded, Presence, Sibling, Standing, Verdict};
use crate::report::{self, JobReport, Kind};
use crate::rules::RuleBook;
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::fmt::Write;
use std::path::{Component, Path, PathBuf};

/// A record read with the pack it belongs to.
pub(super) struct Opened {
    pub path: PathBuf,
    pub sha256: String,
    /// Of the table of readings beside it; empty where it names none.
    pub table_sha256: String,
    pub found: Found,
    pub loaded: Loaded,
}

pub fn run(args: &Verify) -> Outcome {
    let book = match record::rule_book() {
        Ok(book) => book,
        Err(fault) => {
            complain(&format!("fault of the tool, not of the record: {fault}"));
            return Outcome::Trouble;
        }
    };
    let (files, trouble) = record_files(&args.records);
    let mut outcome = if trouble.is_empty() { Outcome::Good } else { Outcome::Trouble };
    if args.table.is_some() && files.len() > 1 {
        complain("one table holds the readings of one record: give one record with --table");
        return Outcome::Trouble;
    }
    let mut log = (args.format == Format::Sarif).then(|| sarif::Log::new(&[&book]));
    for one in &trouble {
        complain(&one.to_string());
        log.iter_mut().for_each(|log| log.trouble(one));
    }
    let mut opened = Vec::new();
    for path in files {
        match open(&path, args) {
            Ok(one) => opened.push(one),
            Err(bad) => outcome = outcome.max(bad),
        }
    }
    // Where people were by the other records of this run.
    let presences: Vec<Vec<Presence>> = opened
        .iter()
        .map(|o| o.loaded.record.as_ref().map_or(Vec::new(), |r| record::presences(r, &o.found.pack)))
        .collect();
    let siblings: Vec<Option<Sibling>> =
        opened.iter().map(|o| Some(record::sibling(o.loaded.record.as_ref()?, &o.found.pack))).collect();
    let mut circuits: BTreeMap<&str, Vec<(&Opened, Verdict)>> = BTreeMap::new();
    for (i, one) in opened.iter().enumerate() {
        let others = || (0..opened.len()).filter(|n| *n != i);
        let elsewhere: Vec<Presence> = others().flat_map(|n| presences[n].clone()).collect();
        let own = others().filter(|n| of_one_circuit(&opened[*n], one));
        let beside: Vec<Sibling> = own.filter_map(|n| siblings[n].clone()).collect();
        let (verdict, bad) = verify(one, &elsewhere, &beside, &book, args, &mut log);
        outcome = outcome.max(bad);
        circuits.entry(one.found.pack.job.circuit.as_str()).or_default().push((one, verdict));
    }
    for (circuit, records) in &circuits {
        if records.iter().any(|(one, _)| of_one_circuit(one, records[0].0)) {
            say_circuit(circuit, records, args.format);
        }
    }
    if let Some(log) = log {
        say(&log.finish(outcome));
    }
    outcome
}

/// Records as given; in folders, the files called `record.yaml`.
fn record_files(given: &[PathBuf]) -> (Vec<PathBuf>, Vec<paths::Trouble>) {
    let (files, trouble) = paths::job_files(given);
    let named = |f: &PathBuf| given.contains(f) || f.file_name().is_some_and(|n| n == "record.yaml");
    (files.into_iter().filter(named).collect(), trouble)
}

fn open(path: &Path, args: &Verify) -> Result<Opened, Outcome> {
    let text = paths::read(path).map_err(|error| check::unreadable(&error))?;
    let head = record::head(&text);
    // Without a head there is no pack to read it by: what hides the head is said instead.
    if args.pack.is_none()
        && head == record::Head::default()
        && let Some(error) = crate::source::unreadable(&text)
    {
        complain(&format!(
            "{}:{}:{}: {}. {}",
            path.display(),
            error.line,
            error.column,
            error.message,
            error.help
        ));
        return Err(Outcome::Findings);
    }
    let found =
        find_pack::find(path, &head, args.pack.as_deref(), args.out.as_deref()).map_err(|message| {
            complain(&format!("{}: {message}", path.display()));
            Outcome::Trouble
        })?;
    let sha256 = sha256(text.as_bytes());
    let mut loaded = record::load(&path.display().to_string(), text, &found.pack.form);
    let mut table_sha256 = String::new();
    if !head.table.is_empty() {
        let table = path.parent().unwrap_or(Path::new(".")).join(&head.table);
        let inside = Path::new(&head.table).components().all(|c| matches!(c, Component::Normal(_)));
        match inside.then(|| paths::read(&table)) {
            Some(Ok(text)) => {
                table_sha256 = crate::issuing::sha256(text.as_bytes());
                record::fill_from_table(&mut loaded, &table.display().to_string(), text, &found.pack.form);
            }
            Some(Err(error)) => return Err(check::unreadable(&error)),
            None => {
                complain(&format!(
                    "{}: the table `{}` must lie beside the record",
                    path.display(),
                    head.table
                ));
                return Err(Outcome::Findings);
            }
        }
    }
    Ok(Opened { path: path.to_path_buf(), sha256, table_sha256, found, loaded })
}

/// Records of two ends, or of an end and a joint, of one circuit.
fn of_one_circuit(a: &Opened, b: &Opened) -> bool {
    let (a, b) = (&a.found.pack.job, &b.found.pack.job);
    a.circuit == b.circuit && !a.circuit.is_empty() && (&a.number, &a.end) != (&b.number, &b.end)
}

/// One verdict for a circuit: the worst of its records, each judged against the
/// others. What was not given can't be judged, and the words say so.
fn say_circuit(circuit: &str, records: &[(&Opened, Verdict)], format: Format) {
    // A reject weighs more than work that goes on elsewhere.
    let weight = |v: &Verdict| match v {
        Verdict::Acceptable => 0,
        Verdict::Queries => 1,
        Verdict::InWork => 2,
        Verdict::NotAcceptable => 3,
    };
    let Some(verdict) = records.iter().map(|(_, v)| *v).max_by_key(weight) else { return };
    let place = |one: &Opened| format!("{} {}", one.found.pack.job.number, one.found.pack.job.end);
    let name = circuit;
    match format {
        Format::Text => {
            let each: Vec<String> =
                records.iter().map(|(one, v)| format!("{} {}", place(one), v.words())).collect();
            say(&report::folded(&format!(
                "circuit {name}: {}. {} records judged across: {}. An end or joint whose record was not given is not judged.",
                verdict.words().to_uppercase(),
                records.len(),
                each.join(", ")
            )));
        }
        Format::Json => {
            let each: Vec<Value> = records
                .iter()
                .map(|(one, v)| {
                    let job = &one.found.pack.job;
                    json!({"job": job.number, "end": job.end, "revision": job.revision, "sha256": one.sha256, "verdict": v.words()})
                })
                .collect();
            say(&format!(
                "{}\n",
                json!({"format": "cutback-circuit-verification-1", "circuit": circuit, "verdict": verdict.words(), "records": each})
            ));
        }
        Format::Sarif => {}
    }
}

fn verify(
    one: &Opened,
    elsewhere: &[Presence],
    siblings: &[Sibling],
    book: &RuleBook,
    args: &Verify,
    log: &mut Option<sarif::Log>,
) -> (Verdict, Outcome) {
    let file = one.path.display().to_string();
    let pack = &one.found.pack;
    if let (Some(table), Some(record)) = (&args.table, &one.loaded.record)
        && let Err(error) =
            crate::issuing::write_atomically(table, record::table(&pack.form, Some(record)).as_bytes())
    {
        complain(&error.to_string());
        return (Verdict::NotAcceptable, Outcome::Trouble);
    }
    let as_found = one.loaded.record.as_ref().and_then(|record| as_found(record, &one.path));
    let dossier = one.loaded.record.as_ref().filter(|_| one.loaded.findings.is_empty()).map(|record| {
        let mut dossier = Dossier::bare(record, pack, &one.found.sha256, elsewhere);
        dossier.siblings = siblings;
        dossier.register = standing(&one.found);
        dossier.files = photo_files(record, &one.path);
        dossier.taken = own_times(dossier.files.as_ref(), &one.path);
        dossier.pack_files.clone_from(&one.found.files);
        dossier.seal = seal_of(one, record, args.out.as_deref());
        dossier.today = args.date;
        dossier.as_found = as_found.as_ref();
        dossier
    });
    let judgement = dossier.as_ref().map(|d| record::judge(book, d, &one.loaded.sources));
    let verdict = match (&judgement, &dossier) {
        (Some(judgement), Some(dossier)) => record::verdict(judgement, record::is_complete(dossier.record)),
        _ => Verdict::NotAcceptable,
    };
    let report = JobReport {
        file: &file,
        sources: &one.loaded.sources,
        reading: &one.loaded.findings,
        judgement: judgement.as_ref(),
        kind: Kind::Record,
    };
    match (args.format, log) {
        (Format::Text, _) => {
            say(&format!("{}{}", report::text(&report, check::look()), summary(one, &report, verdict)))
        }
        (Format::Json, _) => say(&format!("{}\n", object(one, &report, verdict))),
        (Format::Sarif, Some(log)) => log.job(&report, &one.path, &Library::default(), None),
        (Format::Sarif, None) => {}
    }
    let outcome = if verdict == Verdict::Acceptable { Outcome::Good } else { Outcome::Findings };
    let (Some(dossier), Some(judgement)) = (&dossier, &judgement) else { return (verdict, outcome) };
    let outcome = match finish::finish(one, dossier, judgement, verdict, args) {
        Ok(lines) => {
            // Machines read one object or one log; where files went is for people.
            if args.format == Format::Text {
                say(&lines);
            }
            outcome
        }
        Err(message) => {
            complain(&format!("{file}: {message}"));
            Outcome::Trouble
        }
    };
    (verdict, outcome)
}

/// The as-found file an inspection's record names, from the record's own folder.
fn as_found(record: &record::Record, path: &Path) -> Option<Result<Job, String>> {
    let name = record.get("record.as_found").map(|g| g.text.clone()).filter(|n| !n.is_empty())?;
    let file = path.parent().unwrap_or(Path::new(".")).join(&name);
    let text = match paths::read(&file) {
        Ok(text) => text,
        Err(_) => return Some(Err(format!("{name} can't be read"))),
    };
    let loaded = job::load_as_found(&name, text);
    let sound = loaded.job.filter(|_| loaded.findings.is_empty());
    Some(sound.ok_or_else(|| format!("{name} is no sound as-found file; `cutback decide` says why")))
}

/// What the register says of the pack; nothing where there is none.
fn standing(found: &Found) -> Option<Standing> {
    let (_, register) = found.register.as_ref()?;
    let Ok(register) = register else {
        // A register that does not hold speaks for nothing.
        return Some(Standing { listed: false, replaced_by: None });
    };
    Some(standing_in(register, found))
}

fn standing_in(register: &Register, found: &Found) -> Standing {
    let job = &found.pack.job;
    let entry = register.find(&job.number, &job.end, &job.revision);
    let own = register.entries().iter().filter(|e| e.job == job.number && e.end == job.end);
    let after = own.skip_while(|e| e.revision != job.revision).skip(1);
    let mut after = after.filter(|e| e.replaces == job.revision);
    Standing {
        listed: entry.is_some_and(|e| e.pack_sha256 == found.sha256),
        replaced_by: after.next().map(|e| (e.revision.clone(), e.date.clone())),
    }
}

/// The photographs beside the record; nothing where none of them is there.
fn photo_files(record: &record::Record, path: &Path) -> Option<BTreeMap<String, FileState>> {
    let folder = path.parent().unwrap_or(Path::new("."));
    let text = |i: usize, key: &str| record.get(&format!("photos.{i}.{key}")).map(|g| g.text.clone());
    let inside = |name: &str| Path::new(name).components().all(|c| matches!(c, Component::Normal(_)));
    let named: Vec<(String, Option<String>)> =
        (0..record.count("photos")?).filter_map(|i| Some((text(i, "file")?, text(i, "sha256")))).collect();
    let paths: Vec<PathBuf> = named
        .iter()
        // What leads out of the folder is not looked at; the folder itself is no file.
        .map(|(name, _)| if inside(name) { folder.join(name) } else { folder.to_path_buf() })
        .collect();
    let mut out = BTreeMap::new();
    for ((name, logged), sum) in named.into_iter().zip(photos::sums(&paths)) {
        let state = match sum {
            Some(sum) if logged.is_some_and(|s| s.eq_ignore_ascii_case(&sum)) => FileState::Same,
            Some(_) => FileState::Changed,
            None => FileState::Absent,
        };
        // One file under two checksums is not the file of both.
        let worse = out.get(&name).is_none_or(|before| *before == FileState::Same);
        if worse {
            out.insert(name, state);
        }
    }
    out.values().any(|s| *s != FileState::Absent).then_some(out)
}

/// The time that each photograph beside the record holds itself, where it is the one that
/// was logged.
fn own_times(files: Option<&BTreeMap<String, FileState>>, path: &Path) -> BTreeMap<String, String> {
    let folder = path.parent().unwrap_or(Path::new("."));
    let same = files.into_iter().flatten().filter(|(_, state)| **state == FileState::Same);
    let names: Vec<&String> = same.map(|(name, _)| name).collect();
    let paths: Vec<PathBuf> = names.iter().map(|name| folder.join(name)).collect();
    let times = names.into_iter().cloned().zip(photos::taken(&paths));
    times.filter_map(|(name, time)| Some((name, time?))).collect()
}

/// What the last seal of this end says of the record at hand.
fn seal_of(one: &Opened, record: &record::Record, out: Option<&Path>) -> Option<String> {
    let (_, register) = one.found.register.as_ref()?;
    let register = register.as_ref().ok()?;
    let job = &one.found.pack.job;
    let seals = register.seals(&job.number, &job.end, &job.revision);
    let seal = seals.last()?;
    let other = |what: &str| Some(format!("the {what} is not the one sealed on {}", seal.date));
    if seal.record_sha256 != one.sha256 {
        let named =
            record.get("record.replaces").is_some_and(|g| g.text.eq_ignore_ascii_case(&seal.record_sha256));
        return if named {
            Some(format!("replaces the record sealed on {}", seal.date))
        } else {
            other("record")
        };
    }
    if seal.pack_sha256 != one.found.sha256 {
        return other("pack");
    }
    if seal.table_sha256 != one.table_sha256 {
        return other("table of readings");
    }
    if seal.photos_sha256 != sha256(finish::photo_list(record).as_bytes()) {
        return other("list of photographs");
    }
    if seal.verdict != Verdict::Acceptable.words() || seal.sealed != "record" {
        return other("verdict");
    }
    // The report may lie elsewhere; where it stands, it is the sealed one.
    if finish::report_changed(one, out, &seal.report_sha256) {
        return other("report");
    }
    Some("as sealed".into())
}

fn counts(report: &JobReport) -> (usize, usize, usize, usize) {
    use crate::finding::{Grade, State};
    let findings = report.findings();
    let open = |grade: Grade| findings.iter().filter(|f| f.grade == grade && f.state == State::Open).count();
    let answered = findings.iter().filter(|f| f.state == State::Accepted).count();
    let notes = findings.iter().filter(|f| f.state == State::Advice).count();
    (open(Grade::Blocks), open(Grade::Asks), answered, notes)
}

/// The verdict in words, what was not run, and how far an open record is.
fn summary(one: &Opened, report: &JobReport, verdict: Verdict) -> String {
    let file = report.file;
    let Some(judgement) = report.judgement else {
        let places = report.reading.len();
        let noun = if places == 1 { "place" } else { "places" };
        return report::folded(&format!(
            "{file}: can't be read as a record of this pack, {places} {noun} to mend. No rule was run."
        ));
    };
    let (rejects, queries, answered, notes) = counts(report);
    let mut parts = Vec::new();
    for (n, one, many) in [
        (rejects, "reject", "rejects"),
        (queries, "query", "queries"),
        (answered, "query answered", "queries answered"),
        (notes, "note", "notes"),
    ] {
        if n > 0 {
            parts.push(format!("{n} {}", if n == 1 { one } else { many }));
        }
    }
    let found = if parts.is_empty() { "no findings".to_string() } else { parts.join(", ") };
    let mut out = report::folded(&format!(
        "{file}: {}. {found}. {} of {} rules run, {} had nothing to judge.",
        verdict.words().to_uppercase(),
        judgement.judged.len(),
        judgement.total,
        judgement.apart.len()
    ));
    let mut reasons: BTreeMap<&str, Vec<&str>> = BTreeMap::new();
    for left in &judgement.left_out {
        reasons.entry(left.why.as_str()).or_default().push(left.code.as_str());
    }
    for (why, codes) in reasons {
        out.push_str(&report::folded(&format!("not run: {} ({why})", codes.join(", "))));
    }
    if let (Verdict::InWork, Some(record)) = (verdict, &one.loaded.record) {
        let progress = record::progress(record, &one.found.pack);
        out.push_str(&report::folded(&format!(
            "{} of {} blanks filled. Next: {}.",
            progress.filled, progress.total, progress.next
        )));
    }
    let _ =
        writeln!(out, "pack: {} ({})", one.found.sha256.get(..12).unwrap_or(""), one.found.path.display());
    out.push('\n');
    out
}

fn object(one: &Opened, report: &JobReport, verdict: Verdict) -> Value {
    let (rejects, queries, answered, notes) = counts(report);
    let job = &one.found.pack.job;
    let mut out = report::json(report);
    out["format"] = json!("cutback-verification-1");
    out["verdict"] = json!(verdict.words());
    out["record"] =
        json!({"sha256": one.sha256, "job": job.number, "revision": job.revision, "end": job.end});
    out["pack"] = json!({"sha256": one.found.sha256});
    out["counts"] = json!({"reject": rejects, "query": queries, "answered": answered, "note": notes});
    if let (Verdict::InWork, Some(record)) = (verdict, &one.loaded.record) {
        let progress = record::progress(record, &one.found.pack);
        out["progress"] = json!({"filled": progress.filled, "of": progress.total, "next": progress.next});
    }
    out
}
