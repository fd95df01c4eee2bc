//! How one copy of a pack stands: draft or issued, its checksum and its code.

use crate::procedure::{Pack, label_code};
use qrcode::{Color, EcLevel, QrCode};
use serde_json::{Map, Value, json};

/// What is printed beside the pack and is no part of its checksum.
pub struct Copy {
    issued: bool,
    open: usize,
    checksum: String,
    qr: Vec<String>,
    labels: Map<String, Value>,
}

impl Copy {
    /// A copy of `pack` with the checksum of its `pack.json`; `open` findings
    /// make it a draft.
    pub fn new(pack: &Pack, checksum: &str, issued: bool, open: usize) -> Copy {
        // Version, job, revision, end, checksum, apart by blanks.
        let code = format!("CUTBACK1 {} {} {} {checksum}", pack.job.number, pack.job.revision, pack.job.end);
        // A draft has no label cards: nothing of it may be photographed as proof.
        let cards = pack.labels.cards.iter().filter(|_| issued);
        let labels = cards.map(|card| {
            let code = label_code(pack, checksum, &card.id);
            (card.id.clone(), Value::from(modules(&code)))
        });
        let labels = labels.collect();
        Copy { issued, open, checksum: checksum.to_string(), qr: modules(&code), labels }
    }

    /// What the layout reads beside the pack.
    pub fn json(&self) -> Vec<u8> {
        let stamp = match (self.issued, self.open) {
            (true, _) => String::new(),
            (false, 0) => "NOT ISSUED – draft".to_string(),
            (false, 1) => "NOT ISSUED – 1 finding".to_string(),
            (false, open) => format!("NOT ISSUED – {open} findings"),
        };
        json!({
            "state": if self.issued { "issued" } else { "draft" },
            "findings": self.open,
            "stamp": stamp,
            "checksum": self.checksum,
            "short": self.checksum.get(..12).unwrap_or(&self.checksum),
            "qr": self.qr,
            "labels": self.labels,
        })
        .to_string()
        .into_bytes()
    }
}

/// Rows of a QR code at level H, for hands and grease; empty where the text is too long
/// for one.
fn modules(text: &str) -> Vec<String> {
    let Ok(code) = QrCode::with_error_correction_level(text, EcLevel::H) else { return Vec::new() };
    let row = |colors: &[Color]| colors.iter().map(|c| if *c == Color::Dark { '1' } else { '0' }).collect();
    code.to_colors().chunks(code.width()).map(row).collect()
}
