//! The pictures as rows of the record's photo log.

use super::card::{Card, CardOf};
use super::ledger::{By, Ledger};
use crate::procedure::Pack;
use crate::record::{PhotoRow, load, with_photos};

/// One row for every picture filed, in order of time.
pub fn rows(ledger: &Ledger, pack: &Pack) -> Vec<PhotoRow> {
    let mut rows: Vec<PhotoRow> = Vec::new();
    for (sha, picture) in &ledger.pictures {
        let Some(file) = &picture.file else { continue };
        if picture.by == Some(By::Person) && picture.frame.is_none() {
            continue;
        }
        let seen = &picture.seen;
        let ours = |code: &&String| matches!(Card::new(code, pack, &ledger.pack).of, CardOf::Ours(_));
        let card = seen.codes.iter().find(ours).cloned();
        rows.push(PhotoRow {
            file: file.clone(),
            sha256: sha.clone(),
            taken: seen.meta.taken.clone(),
            frame: picture.frame.clone(),
            card_seen: card.as_ref().map(|_| true),
            card,
            rule_seen: None,
            look: seen.look.clone(),
            resaved: (!seen.meta.signs.is_empty()).then(|| seen.meta.signs.join("; ")),
            by: None,
        });
    }
    rows.sort_by(|a, b| a.taken.cmp(&b.taken).then(a.sha256.cmp(&b.sha256)));
    rows
}

/// The text of a record with its photo log brought up to date: what a person
/// wrote in a row stays, and so does a row of a file we know nothing of.
///
/// # Errors
/// Why the record can't be read; it is then left as it is.
pub fn into_record(name: &str, text: &str, pack: &Pack, rows: Vec<PhotoRow>) -> Result<String, String> {
    let loaded = load(name, text.to_string(), &pack.form);
    let Some(record) = loaded.record else {
        let why = loaded.findings.first().map_or(String::new(), |f| format!(": {}", f.message));
        return Err(format!("{name}: the record can't be read{why}; `cutback verify` says where"));
    };
    let mut rows = rows;
    for i in 0..record.count("photos").unwrap_or(0) {
        let part = |key: &str| record.get(&format!("photos.{i}.{key}")).map(|g| g.text.trim().to_string());
        let yes = |key: &str| part(key).map(|t| t.eq_ignore_ascii_case("yes") || t == "true");
        let sha256 = part("sha256").unwrap_or_default();
        match rows.iter_mut().find(|r| r.sha256 == sha256) {
            Some(row) => {
                row.by = part("by");
                row.rule_seen = yes("rule_seen");
                row.card_seen = yes("card_seen").or(row.card_seen);
                row.frame = row.frame.clone().or(part("frame"));
            }
            None => rows.push(PhotoRow {
                file: part("file").unwrap_or_default(),
                sha256,
                taken: part("taken"),
                frame: part("frame"),
                card: part("card"),
                card_seen: yes("card_seen"),
                rule_seen: yes("rule_seen"),
                look: part("look"),
                resaved: part("resaved"),
                by: part("by"),
            }),
        }
    }
    with_photos(text, &rows).map_err(|why| format!("{name}: {why}"))
}
