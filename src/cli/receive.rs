//! `receive`: files what came off the phones, says what is missing.

use super::args::{Receive, ReceiveFormat};
use super::progress::Progress;
use super::{Outcome, complain, say};
use crate::issuing;
use crate::photos::{self, ReceiveError, Report, Request};
use crate::press::Press;
use crate::procedure::Pack;
use crate::record;
use std::path::Path;

pub fn run(args: &Receive) -> Outcome {
    let (pack, checksum) = match pack(&args.pack) {
        Ok(read) => read,
        Err(why) => {
            complain(&why);
            return Outcome::Trouble;
        }
    };
    for folder in &args.photos {
        if !folder.is_dir() {
            complain(&format!("{}: there is no such folder", folder.display()));
            return Outcome::Trouble;
        }
    }
    let job = &pack.job;
    let folder = args
        .out
        .clone()
        .unwrap_or_default()
        .join("received")
        .join(&job.number)
        .join(&job.end)
        .join(&job.revision);
    let list = match args.frames.as_ref().map(|path| (path, std::fs::read_to_string(path))) {
        Some((path, Err(error))) => {
            complain(&format!("{}: {error}", path.display()));
            return Outcome::Trouble;
        }
        Some((_, Ok(text))) => Some(text),
        None => None,
    };
    let request = Request {
        pack: &pack,
        checksum: &checksum,
        photos: &args.photos,
        folder: &folder,
        frames: list.as_deref(),
    };
    let mut line: Option<Progress> = None;
    let mut hear = |done, all| line.get_or_insert_with(|| Progress::new(all)).reached(done);
    let received = photos::receive(&request, &mut hear);
    drop(line);
    match received {
        Ok(report) => {
            if let Err(why) = sheet(&report, &pack, &folder) {
                complain(&why);
                return Outcome::Trouble;
            }
            match args.format {
                ReceiveFormat::Text => say(&report.text()),
                ReceiveFormat::Json => {
                    say(&format!("{}\n", serde_json::to_string_pretty(&report).unwrap_or_default()));
                }
            }
            report.trouble.iter().for_each(|t| complain(t));
            match (report.trouble.is_empty(), report.complete()) {
                (false, _) => Outcome::Trouble,
                (true, false) => Outcome::Findings,
                (true, true) => Outcome::Good,
            }
        }
        Err(ReceiveError::World(why)) => {
            complain(&why);
            Outcome::Trouble
        }
        Err(ReceiveError::Frames(lines)) => {
            let name = args.frames.as_ref().map_or(String::new(), |p| format!("{} ", p.display()));
            lines.iter().for_each(|line| complain(&format!("{name}{line}")));
            Outcome::Findings
        }
    }
}

/// The sheet for the phone, beside the record.
fn sheet(report: &Report, pack: &Pack, folder: &Path) -> Result<(), String> {
    let proposed: Vec<&str> = report.proposals.iter().map(|p| p.frame.as_str()).collect();
    let list = serde_json::json!({
        "job": report.job,
        "revision": report.revision,
        "end": report.end,
        "pack": report.pack,
        "frames": report.frames,
        "needed": report.needed,
        "proposed": proposed,
    });
    let pdf = Press::new()
        .print_needed(list.to_string().as_bytes(), &pack.job.date)
        .map_err(|fault| format!("fault of the tool, not of the pictures: {fault}"))?;
    issuing::write_atomically(&folder.join("needed.pdf"), &pdf).map_err(|e| e.to_string())
}

/// The pack in a folder, a `pack.pdf` or a `pack.json`, and its checksum.
fn pack(path: &Path) -> Result<(Pack, String), String> {
    let file = if path.is_dir() { path.join("pack.json") } else { path.to_path_buf() };
    let bytes = std::fs::read(&file).map_err(|e| {
        format!("{}: {e}; give the folder of an issued pack, its pack.pdf or pack.json", file.display())
    })?;
    let mut name = file.display().to_string();
    let bytes = if bytes.starts_with(b"%PDF-") || file.extension().is_some_and(|e| e == "pdf") {
        let attached = record::attached_pack(bytes).map_err(|why| format!("{name}: {why}"))?;
        name.push_str(": the attached pack.json,");
        attached
    } else {
        bytes
    };
    let pack: Pack = serde_json::from_slice(&bytes)
        .map_err(|e| format!("{name} line {} column {}: no pack of this tool: {e}", e.line(), e.column()))?;
    let checksum = issuing::sha256(&bytes);
    let sums = std::fs::read_to_string(file.with_file_name("SHA256SUMS")).unwrap_or_default();
    let listed = sums.lines().find_map(|line| line.strip_suffix("  pack.json"));
    if listed.is_some_and(|sum| sum != checksum) {
        return Err(format!(
            "{}: is not what was issued: SHA256SUMS beside it says otherwise",
            file.display()
        ));
    }
    let plain = |text: &str| {
        !text.is_empty()
            && !text.starts_with('.')
            && text.bytes().all(|b| b.is_ascii_alphanumeric() || b"._-".contains(&b))
    };
    let job = &pack.job;
    if ![&job.number, &job.end, &job.revision].into_iter().all(|t| plain(t)) {
        return Err(format!("{}: job, end or revision can't name a folder", file.display()));
    }
    Ok((pack, checksum))
}
