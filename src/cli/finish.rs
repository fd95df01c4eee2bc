//! What is left behind by `verify`: the printed report, and the seal.

use super::args::Verify;
use super::verify::Opened;
use crate::finding::{Finding, Judgement};
use crate::issuing::{self, Seal, sha256};
use crate::photos::{self, Wanted};
use crate::press::Press;
use crate::record::{self, Answer, Dossier, Identity, Record, Report, Verdict};
use std::collections::BTreeMap;
use std::fmt::Write;
use std::path::{Path, PathBuf};

/// Prints the report, and seals the record where that is asked; says where.
///
/// # Errors
/// Disk, the register, or a fault of our own template.
pub fn finish(
    one: &Opened,
    dossier: &Dossier,
    judgement: &Judgement,
    verdict: Verdict,
    args: &Verify,
) -> Result<String, String> {
    let place = |f: &Finding| match f.places.first() {
        Some(place) => {
            // The record itself, or the table of readings beside it.
            let source = one.loaded.sources.get(place.source).unwrap_or(&one.loaded.sources[0]);
            let file = if place.source == 0 { "record" } else { "table" };
            let at = place.bytes.clone().unwrap_or_else(|| source.locate(&place.pointer).at);
            let name = place.pointer.trim_start_matches('/').replace('/', ".");
            format!("{file} line {}, {name}", source.line_column(at.start).0)
        }
        None => "the record".into(),
    };
    let layout = sha256(&Press::layout());
    let identity = Identity {
        record_sha256: &one.sha256,
        table_sha256: &one.table_sha256,
        place: &place,
        layout: &layout,
    };
    let mut report = record::report(dossier, judgement, verdict, &identity);
    let job = &dossier.pack.job;
    let out = args.out.clone().unwrap_or_default();
    let folder = folder(one, Some(&out));
    let pictures = pictures(&mut report, &one.path, &folder);
    let json = serde_json::to_vec_pretty(&report).map_err(|e| format!("fault of the tool: {e}"))?;
    // Named by what it says: a report, sealed or not, is never written over by
    // another one.
    let files = Files::new(&folder, &one.sha256, &json);
    let pdf = match files.standing(&json) {
        // The same record, pictures, rules and layout: the same bytes stand there.
        Some(pdf) => pdf,
        None => {
            let ident = format!("cutback/verified/{}/{}/{}", job.number, job.end, job.revision);
            let pdf = Press::new()
                .print_report(&json, pictures, &ident, &completed(dossier))
                .map_err(|fault| format!("fault of the tool, not of the record: {fault}"))?;
            files.write(&json, &pdf)?;
            pdf
        }
    };
    let mut lines = format!("report: {}\n", files.pdf.display());
    if args.seal {
        let said = seal(one, dossier, verdict, &pdf, args)?;
        let _ = writeln!(lines, "{said}");
    }
    lines.push('\n');
    Ok(lines)
}

/// Folder of the reports of a record's end.
fn folder(one: &Opened, out: Option<&Path>) -> PathBuf {
    let job = &one.found.pack.job;
    out.unwrap_or(Path::new("")).join("verified").join(&job.number).join(&job.end).join(&job.revision)
}

/// Whether the report with this checksum was printed here and is another now.
pub fn report_changed(one: &Opened, out: Option<&Path>, sum: &str) -> bool {
    let folder = folder(one, out);
    let files = std::fs::read_dir(&folder).into_iter().flatten().filter_map(Result::ok).map(|e| e.path());
    let lists = files.filter(|p| p.extension().is_some_and(|e| e == "sha256"));
    lists.filter_map(|p| std::fs::read_to_string(p).ok()).any(|list| {
        let named = list.lines().filter_map(|l| l.strip_prefix(sum)?.strip_prefix("  "));
        // Gone is not changed: it may lie elsewhere.
        named
            .filter_map(|n| std::fs::read(folder.join(Path::new(n).file_name()?)).ok())
            .any(|b| sha256(&b) != sum)
    })
}

/// The photographs that the report shows, made small, by their names in it; the
/// report says of the others why not.
fn pictures(report: &mut Report, record: &Path, folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let beside = record.parent().unwrap_or(Path::new("."));
    let shown: Vec<usize> =
        (0..report.pictures.len()).filter(|i| report.pictures[*i].hidden.is_empty()).collect();
    let wanted: Vec<Wanted> = shown
        .iter()
        .map(|i| &report.pictures[*i])
        .map(|p| Wanted { path: beside.join(&p.file), sha256: p.sha256.clone(), side: p.side })
        .collect();
    let made = photos::smalls(&wanted, &folder.join("small"));
    let mut out = BTreeMap::new();
    for (i, made) in shown.into_iter().zip(made) {
        let picture = &mut report.pictures[i];
        match made {
            Some(jpeg) => {
                out.insert(picture.id.clone(), jpeg);
            }
            None => picture.hidden = "no picture that can be decoded here: open the file".into(),
        }
    }
    out
}

/// The report on disk: its value as JSON, the PDF, and the checksums of both as
/// `sha256sum` writes them.
struct Files {
    json: PathBuf,
    pdf: PathBuf,
    sums: PathBuf,
}

impl Files {
    fn new(folder: &Path, record: &str, json: &[u8]) -> Files {
        let short = record.get(..12).unwrap_or(record);
        let own = sha256(json);
        let own = own.get(..8).unwrap_or(&own);
        let file = |ending: &str| folder.join(format!("verification-{short}-{own}.{ending}"));
        Files { json: file("json"), pdf: file("pdf"), sums: file("sha256") }
    }

    fn list(&self, json: &[u8], pdf: &[u8]) -> String {
        let name = |path: &Path| path.file_name().map_or(String::new(), |n| n.to_string_lossy().into_owned());
        format!("{}  {}\n{}  {}\n", sha256(json), name(&self.json), sha256(pdf), name(&self.pdf))
    }

    /// The PDF of this very report, if it stands there whole.
    fn standing(&self, json: &[u8]) -> Option<Vec<u8>> {
        let same = std::fs::read(&self.json).ok()? == json;
        let pdf = std::fs::read(&self.pdf).ok().filter(|_| same)?;
        (std::fs::read_to_string(&self.sums).ok()? == self.list(json, &pdf)).then_some(pdf)
    }

    fn write(&self, json: &[u8], pdf: &[u8]) -> Result<(), String> {
        let put =
            |path: &Path, bytes: &[u8]| issuing::write_atomically(path, bytes).map_err(|e| e.to_string());
        put(&self.json, json)?;
        put(&self.pdf, pdf)?;
        put(&self.sums, self.list(json, pdf).as_bytes())
    }
}

/// Day on which the record was completed; the pack's date while it is not.
fn completed(dossier: &Dossier) -> String {
    match dossier.record.get("record.completed").map(|g| &g.answer) {
        Some(Answer::Time(time)) => dossier.record.day(*time).to_string(),
        _ => dossier.pack.job.date.clone(),
    }
}

fn seal(
    one: &Opened,
    dossier: &Dossier,
    verdict: Verdict,
    pdf: &[u8],
    args: &Verify,
) -> Result<String, String> {
    if verdict != Verdict::Acceptable {
        return Err(format!("not sealed: the record is {}", verdict.words()));
    }
    let date = args.date.ok_or("not sealed: give the day with --date, like 2031-05-14")?;
    let (root, register) =
        one.found.register.as_ref().ok_or("not sealed: there is no register where the pack was found")?;
    register.as_ref().map_err(Clone::clone)?;
    if dossier.seal.as_deref() == Some("as sealed") {
        return Ok("sealed before, the same record".into());
    }
    let job = &dossier.pack.job;
    let seal = Seal {
        sealed: "record".into(),
        job: job.number.clone(),
        end: job.end.clone(),
        revision: job.revision.clone(),
        date: date.to_string(),
        verdict: verdict.words().into(),
        pack_sha256: one.found.sha256.clone(),
        record_sha256: one.sha256.clone(),
        report_sha256: sha256(pdf),
        table_sha256: one.table_sha256.clone(),
        photos_sha256: sha256(photo_list(dossier.record).as_bytes()),
        previous: String::new(),
    };
    issuing::seal(root, seal).map_err(|e| e.to_string())?;
    Ok(format!("sealed: {}", root.join("register.jsonl").display()))
}

/// The photographs as `sha256sum` lists them, sorted.
pub fn photo_list(record: &Record) -> String {
    let text = |name: String| record.get(&name).map_or(String::new(), |g| g.text.to_lowercase());
    let file = |i: usize| record.get(&format!("photos.{i}.file")).map_or("", |g| g.text.as_str());
    let mut lines: Vec<String> = (0..record.count("photos").unwrap_or(0))
        .map(|i| format!("{}  {}\n", text(format!("photos.{i}.sha256")), file(i)))
        .collect();
    lines.sort();
    lines.concat()
}
