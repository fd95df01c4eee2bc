//! How one copy of a pack stands: draft or issued, its checksum and its code.

use crate::language::{Language, LanguageFault, fill};
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
    /// Another language, and the parts of the pack in it.
    told: Option<(Language, Map<String, Value>)>,
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
        Copy { issued, open, checksum: checksum.to_string(), qr: modules(&code), labels, told: None }
    }

    /// The copy in another language: `parts` of the pack print in place of the English
    /// ones. The pack itself, its checksum and the record's form stay what they are, so
    /// that a copy in any language is the same pack.
    pub fn told(self, language: Language, parts: Map<String, Value>) -> Copy {
        Copy { told: Some((language, parts)), ..self }
    }

    /// The page words of its language.
    pub fn words(&self) -> Result<Vec<u8>, LanguageFault> {
        match &self.told {
            Some((language, _)) => Ok(language.page_words()),
            None => Ok(Language::english()?.page_words()),
        }
    }

    fn stamp(&self) -> Result<String, LanguageFault> {
        let english = Language::english()?;
        if self.issued {
            return Ok(String::new());
        }
        if self.told.is_some() {
            return Ok(english.made("trial").to_string());
        }
        Ok(match self.open {
            0 => english.made("draft").to_string(),
            1 => english.made("finding").to_string(),
            open => fill(english.made("findings"), &[("count", &open.to_string())]),
        })
    }

    /// What the layout reads beside the pack.
    ///
    /// # Errors
    /// A fault in our own words.
    pub fn json(&self) -> Result<Vec<u8>, LanguageFault> {
        let mut print = json!({
            "state": if self.issued { "issued" } else { "draft" },
            "findings": self.open,
            "stamp": self.stamp()?,
            "checksum": self.checksum,
            "short": self.checksum.get(..12).unwrap_or(&self.checksum),
            "qr": self.qr,
            "labels": self.labels,
        });
        if let Some((language, parts)) = &self.told {
            print["told"] = Value::Object(parts.clone());
            // What is on trial says so in both languages: either reader must see it.
            print["stamp_told"] = language.made("trial").into();
        }
        Ok(print.to_string().into_bytes())
    }
}

/// Rows of a QR code at level H, for hands and grease; empty where the text is too long
/// for one.
fn modules(text: &str) -> Vec<String> {
    let Ok(code) = QrCode::with_error_correction_level(text, EcLevel::H) else { return Vec::new() };
    let row = |colors: &[Color]| colors.iter().map(|c| if *c == Color::Dark { '1' } else { '0' }).collect();
    code.to_colors().chunks(code.width()).map(row).collect()
}
