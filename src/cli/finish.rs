//! What is left behind by `verify`: the printed report, and the seal.

use super::args::Verify;
use super::verify::Opened;
use crate::finding::{Finding, Judgement};
use crate::issuing::{self, Seal, sha256};
use crate::press::Press;
use crate::record::{self, Answer, Dossier, Identity, Verdict};
use std::fmt::Write;

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
    let source = &one.loaded.sources[0];
    let place = |f: &Finding| match f.places.first() {
        Some(place) => {
            let at = place.bytes.clone().unwrap_or_else(|| source.locate(&place.pointer).at);
            let name = place.pointer.trim_start_matches('/').replace('/', ".");
            format!("record line {}, {name}", source.line_column(at.start).0)
        }
        None => "the record".into(),
    };
    let identity = Identity { record_sha256: &one.sha256, place: &place };
    let report = record::report(dossier, judgement, verdict, &identity);
    let json = serde_json::to_vec_pretty(&report).map_err(|e| format!("fault of the tool: {e}"))?;
    let job = &dossier.pack.job;
    let ident = format!("cutback/verified/{}/{}/{}", job.number, job.end, job.revision);
    let pdf = Press::new()
        .print_report(&json, &ident, &completed(dossier))
        .map_err(|fault| format!("fault of the tool, not of the record: {fault}"))?;
    let out = args.out.clone().unwrap_or_default();
    let short = one.sha256.get(..12).unwrap_or(&one.sha256);
    let folder = out.join("verified").join(&job.number).join(&job.end).join(&job.revision);
    let path = folder.join(format!("verification-{short}.pdf"));
    issuing::write_atomically(&path, &pdf).map_err(|e| e.to_string())?;
    let mut lines = format!("report: {}\n", path.display());
    if args.seal {
        let said = seal(one, dossier, verdict, &pdf, args)?;
        let _ = writeln!(lines, "{said}");
    }
    lines.push('\n');
    Ok(lines)
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
        photos_sha256: sha256(photo_list(dossier).as_bytes()),
        previous: String::new(),
    };
    issuing::seal(root, seal).map_err(|e| e.to_string())?;
    Ok(format!("sealed: {}", root.join("register.jsonl").display()))
}

/// The photographs as `sha256sum` lists them, sorted.
fn photo_list(dossier: &Dossier) -> String {
    let text = |name: String| dossier.record.get(&name).map_or(String::new(), |g| g.text.to_lowercase());
    let file = |i: usize| dossier.record.get(&format!("photos.{i}.file")).map_or("", |g| g.text.as_str());
    let mut lines: Vec<String> = (0..dossier.record.count("photos").unwrap_or(0))
        .map(|i| format!("{}  {}\n", text(format!("photos.{i}.sha256")), file(i)))
        .collect();
    lines.sort();
    lines.concat()
}
