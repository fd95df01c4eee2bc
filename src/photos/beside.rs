//! The photographs beside a record: held against their checksums, and made small
//! for the report.

use super::look::{Desk, Kind, MOST_PIXELS};
use super::meta::{meta, orientation};
use cutback_eye::small;
use rayon::prelude::*;
use std::fs::File;
use std::io::Read;
use std::path::{Path, PathBuf};

/// SHA-256 of each file, on all cores; nothing where it is no plain file.
pub fn sums(files: &[PathBuf]) -> Vec<Option<String>> {
    let one = |path: &PathBuf| {
        let meta = std::fs::symlink_metadata(path).ok()?;
        meta.is_file().then(|| crate::issuing::sha256_of_file(path).ok())?
    };
    files.par_iter().map(one).collect()
}

/// Bytes from a file's start in which a camera writes its metadata.
const HEAD: u64 = 1 << 20;

/// The original time that each file holds, RFC 3339, on all cores; nothing where it
/// holds none in its first part.
pub fn taken(files: &[PathBuf]) -> Vec<Option<String>> {
    let one = |path: &PathBuf| {
        let mut head = Vec::new();
        File::open(path).ok()?.take(HEAD).read_to_end(&mut head).ok()?;
        meta(&head, None).taken
    };
    files.par_iter().map(one).collect()
}

/// A photograph that a page shows.
pub struct Wanted {
    pub path: PathBuf,
    /// Its checksum: the file was found to have it.
    pub sha256: String,
    /// Longer side on the page, pixels.
    pub side: usize,
}

/// Each photograph made small, as a JPEG without metadata; nothing where it can't
/// be decoded or is no longer the file it was. What was made is kept in `store`,
/// under the checksum of what it was made from, with its own behind: one that was
/// changed is made again.
pub fn smalls(wanted: &[Wanted], store: &Path) -> Vec<Option<Vec<u8>>> {
    let desk = Desk::default();
    wanted.par_iter().map(|one| kept(one, store).or_else(|| made(one, store, &desk))).collect()
}

fn stem(one: &Wanted) -> String {
    format!("{}-{}-", one.sha256.get(..32).unwrap_or(&one.sha256), one.side)
}

fn kept(one: &Wanted, store: &Path) -> Option<Vec<u8>> {
    let stem = stem(one);
    let name = std::fs::read_dir(store).ok()?.filter_map(Result::ok).map(|e| e.file_name());
    let name = name.filter_map(|n| n.into_string().ok()).find(|n| n.starts_with(&stem))?;
    let bytes = std::fs::read(store.join(&name)).ok()?;
    let own = crate::issuing::sha256(&bytes);
    (name == format!("{stem}{}.jpg", own.get(..32)?)).then_some(bytes)
}

fn made(one: &Wanted, store: &Path, desk: &Desk) -> Option<Vec<u8>> {
    let (bytes, _place) = desk.read(&one.path).ok()?;
    let picture = matches!(Kind::of(&bytes), Some(Kind::Jpeg | Kind::Png));
    // A file longer than is read has another checksum.
    if !picture || crate::issuing::sha256(&bytes) != one.sha256 {
        return None;
    }
    let made = small(&bytes, MOST_PIXELS, one.side, orientation(&bytes)).ok()?.jpeg;
    let own = crate::issuing::sha256(&made);
    // Kept for the next run only: where it can't be written, it is made again.
    let name = format!("{}{}.jpg", stem(one), own.get(..32)?);
    let _ = std::fs::create_dir_all(store)
        .ok()
        .and_then(|()| crate::issuing::write_atomically(&store.join(name), &made).ok());
    Some(made)
}
