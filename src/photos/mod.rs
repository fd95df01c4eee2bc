//! What comes off the phones: finds the label card in each picture, files a copy
//! under its card, and says what is still missing.
//!
//! Memory: pictures of at most [`MOST_PIXELS`] pixels in work at a time, eight
//! bytes each at most, and files of at most twice [`MOST_FILE`] in all: below 700 MB
//! however many pictures and cores there are.

mod beside;
mod card;
mod filing;
mod frames;
mod gather;
mod ledger;
mod look;
mod meta;
mod place;
mod questions;
mod report;
mod rows;

pub use beside::{Wanted, smalls, sums, taken};
pub use card::{Card, CardOf};
pub use frames::{Said, read as read_list};
pub use gather::LeftAlone;
pub use ledger::{By, Ledger, Picture};
pub use look::{Kind, MOST_FILE, MOST_PIXELS, Seen};
pub use meta::{Meta, meta};
pub use place::{Frame, Proposal, Unclear, frames};
pub use report::{Question, Report};

use crate::issuing::write_atomically;
use crate::procedure::Pack;
use crate::record::blank;
use gather::Found;
use look::{Desk, Sum, look, sum};
use rayon::prelude::*;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// What to receive, and where to.
pub struct Request<'a> {
    pub pack: &'a Pack,
    /// Checksum of its `pack.json`.
    pub checksum: &'a str,
    /// Folders of pictures; nothing in them is changed.
    pub photos: &'a [PathBuf],
    /// Folder of the record.
    pub folder: &'a Path,
    /// A list of frames as a person left it.
    pub frames: Option<&'a str>,
}

/// Why a run came to nothing.
#[derive(Debug)]
pub enum ReceiveError {
    /// Disk, or a ledger that is not ours.
    World(String),
    /// Lines of the list of frames that can't be used.
    Frames(Vec<String>),
}

/// Files between two writings of the ledger: a killed run loses no more.
const PIECE: usize = 32;

/// Looks at every file, files what shows a card of the pack, and says what is
/// missing; `progress` hears the files done and all.
///
/// # Errors
/// The folder of the record can't be written or holds another pack's; the list
/// of frames can't be read. A picture that can't be read is no error: it is listed.
pub fn receive(request: &Request, progress: &mut dyn FnMut(usize, usize)) -> Result<Report, ReceiveError> {
    let ledger_path = request.folder.join("photos.json");
    let mut ledger = Ledger::read(&ledger_path, request.checksum).map_err(ReceiveError::World)?;
    let write = |path: &Path, text: &str| {
        write_atomically(path, text.as_bytes()).map_err(|e| ReceiveError::World(e.to_string()))
    };
    filing::sweep(request.folder);
    let slots = frames(request.pack);
    let (files, mut left) = gather::gather(request.photos);
    let before = ledger.pictures.len();
    let mut trouble = Vec::new();
    let mut originals: BTreeMap<String, PathBuf> = BTreeMap::new();
    let desk = Desk::default();
    let many = PIECE.max(files.len() / 40);
    for (i, piece) in files.chunks(many).enumerate() {
        take_in(piece, &mut ledger, &mut originals, &mut left, &desk);
        let cards = questions::cards(&ledger, request.pack);
        file_all(&mut ledger, &cards, &originals, request.folder, &mut trouble);
        write(&ledger_path, &ledger.text())?;
        progress(i * many + piece.len(), files.len());
    }
    if let Some(text) = request.frames {
        let said = frames::read(text, &ledger, &slots).map_err(ReceiveError::Frames)?;
        by_person(&mut ledger, request.pack, &said, &slots).map_err(ReceiveError::Frames)?;
    }
    let cards = questions::cards(&ledger, request.pack);
    let placed = place::place(&mut ledger, &slots, &cards);
    file_all(&mut ledger, &cards, &originals, request.folder, &mut trouble);
    write(&ledger_path, &ledger.text())?;
    // The record's log of photographs; a record that can't be read stays as it is.
    let record_path = request.folder.join("record.yaml");
    let record = match std::fs::read_to_string(&record_path) {
        Ok(text) => text,
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => blank(request.pack, request.checksum),
        Err(error) => return Err(ReceiveError::World(format!("{}: {error}", record_path.display()))),
    };
    match rows::into_record("record.yaml", &record, request.pack, rows::rows(&ledger, request.pack)) {
        Ok(text) => write(&record_path, &text)?,
        Err(why) => trouble.push(why),
    }
    let questions = questions::questions(&ledger, request.pack, &cards);
    let have: Vec<&str> = ledger.pictures.values().filter_map(|p| p.frame.as_deref()).collect();
    let needed: Vec<Frame> = slots.iter().filter(|f| !have.contains(&f.id.as_str())).cloned().collect();
    left.sort();
    left.dedup();
    let job = &request.pack.job;
    let mut videos = Vec::new();
    let mut same = Vec::new();
    for picture in ledger.pictures.values() {
        if picture.kind == Kind::Video {
            videos.extend(picture.names.first().cloned());
        }
        if picture.names.len() > 1 {
            same.push(picture.names.iter().cloned().collect());
        }
    }
    videos.sort();
    same.sort();
    let report = Report {
        format: report::REPORT_FORMAT,
        job: job.number.clone(),
        revision: job.revision.clone(),
        end: job.end.clone(),
        pack: request.checksum.to_string(),
        folder: request.folder.display().to_string(),
        looked_at: files.len(),
        new: ledger.pictures.len() - before,
        filed: ledger.pictures.values().filter(|p| p.file.is_some()).count(),
        frames: slots.len(),
        needed,
        proposals: placed.proposals.clone(),
        unclear: placed.unclear.clone(),
        questions,
        videos,
        same,
        left_alone: left,
        trouble,
    };
    write(&request.folder.join("frames-to-confirm.csv"), &frames::list(&ledger, &placed, &cards, &slots))?;
    write(&request.folder.join("needed.txt"), &report.sheet())?;
    Ok(report)
}

/// Hashes files and looks at those not known yet, on all cores.
fn take_in(
    piece: &[Found],
    ledger: &mut Ledger,
    originals: &mut BTreeMap<String, PathBuf>,
    left: &mut Vec<LeftAlone>,
    desk: &Desk,
) {
    let sums: Vec<std::io::Result<Sum>> = piece.par_iter().map(|f| sum(&f.path)).collect();
    let mut fresh: BTreeMap<&str, (&Found, &Sum)> = BTreeMap::new();
    for (found, sum) in piece.iter().zip(&sums) {
        let why = match sum {
            Err(error) => format!("can't be read: {error}"),
            Ok(sum) if sum.bytes == 0 => "empty".into(),
            Ok(sum) if sum.kind.is_none() => "no picture and no video".into(),
            Ok(sum) => {
                originals.insert(sum.sha256.clone(), found.path.clone());
                match ledger.pictures.get_mut(&sum.sha256) {
                    Some(known) => {
                        known.names.insert(found.name.clone());
                    }
                    None => {
                        fresh.entry(&sum.sha256).or_insert((found, sum));
                    }
                }
                continue;
            }
        };
        left.push(LeftAlone { name: found.name.clone(), why });
    }
    let seen: Vec<(&str, Picture)> = fresh
        .into_par_iter()
        .filter_map(|(sha, (found, sum))| {
            let kind = sum.kind?;
            let seen = if kind == Kind::Video { Seen::default() } else { look(&found.path, sum, desk) };
            let names = [found.name.clone()].into();
            Some((sha, Picture { kind, bytes: sum.bytes, names, seen, file: None, frame: None, by: None }))
        })
        .collect();
    for (sha, picture) in seen {
        ledger.pictures.insert(sha.to_string(), picture);
    }
    // One picture under two names in one piece.
    for (found, sum) in piece.iter().zip(&sums) {
        if let Some(picture) = sum.as_ref().ok().and_then(|s| ledger.pictures.get_mut(&s.sha256)) {
            picture.names.insert(found.name.clone());
        }
    }
}

/// Copies every picture with a card of this pack, or that a person gave a frame.
fn file_all(
    ledger: &mut Ledger,
    cards: &BTreeMap<String, String>,
    originals: &BTreeMap<String, PathBuf>,
    root: &Path,
    trouble: &mut Vec<String>,
) {
    let jobs: Vec<(String, String, &PathBuf)> = ledger
        .pictures
        .iter()
        .filter_map(|(sha, p)| {
            let folder = match (cards.get(sha), &p.frame) {
                (Some(card), _) => card.as_str(),
                (None, Some(_)) => "by-hand",
                (None, None) => return None,
            };
            let sum = Sum { sha256: sha.clone(), bytes: p.bytes, kind: Some(p.kind) };
            let to = filing::path_of(&sum, p.kind, folder, p.seen.meta.taken.as_deref());
            let there = p.file.as_ref() == Some(&to) && root.join(&to).is_file();
            (!there).then(|| Some((sha.clone(), to, originals.get(sha)?))).flatten()
        })
        .collect();
    let done: Vec<Result<(), String>> =
        jobs.par_iter().map(|(sha, to, from)| filing::copy(from, root, to, sha)).collect();
    for ((sha, to, _), done) in jobs.into_iter().zip(done) {
        match done {
            Ok(()) => {
                if let Some(picture) = ledger.pictures.get_mut(&sha) {
                    picture.file = Some(to);
                }
            }
            Err(why) => trouble.push(why),
        }
    }
}

/// What a person said about pictures, over what cards say; against what a card
/// says it is refused.
fn by_person(
    ledger: &mut Ledger,
    pack: &Pack,
    said: &[frames::Said],
    slots: &[Frame],
) -> Result<(), Vec<String>> {
    let mut wrong = Vec::new();
    let checksum = ledger.pack.clone();
    for one in said {
        let taken = ledger.pictures.iter().find(|(sha, p)| {
            p.by == Some(By::Person)
                && p.frame.is_some()
                && p.frame == one.frame
                && **sha != one.sha256
                && !said.iter().any(|s| s.sha256 == **sha)
        });
        if let Some((sha, _)) = taken {
            wrong.push(format!(
                "line {}: that frame was given to picture {} before; give that one `none` or another frame",
                one.line,
                &sha[..12]
            ));
            continue;
        }
        let frame = one.frame.as_ref().and_then(|id| slots.iter().find(|f| f.id == *id));
        if let Some(picture) = ledger.pictures.get_mut(&one.sha256) {
            let (all, ours) = questions::read(picture, pack, &checksum);
            if frame.is_some()
                && all.iter().any(|c| matches!(c.of, CardOf::OtherEnd(_) | CardOf::OtherPack(_)))
            {
                wrong.push(format!(
                    "line {}: the picture shows a card of another end or pack; it proves nothing here",
                    one.line
                ));
                continue;
            }
            let stage = |card: &str| card.rsplit_once('-').map_or(card.to_string(), |(s, _)| s.to_string());
            let fits = |f: &Frame, card: &str| *card == f.card || (f.phase == "all" && stage(card) == f.card);
            if let Some(frame) = frame
                && !ours.is_empty()
                && !ours.iter().any(|card| fits(frame, card))
            {
                let shown: Vec<&str> = ours.iter().map(String::as_str).collect();
                wrong.push(format!(
                    "line {}: the picture shows the card {}, frame {} wants {}",
                    one.line,
                    shown.join(", "),
                    frame.id,
                    frame.card
                ));
                continue;
            }
            picture.frame = one.frame.clone();
            picture.by = Some(By::Person);
        }
    }
    if wrong.is_empty() { Ok(()) } else { Err(wrong) }
}
