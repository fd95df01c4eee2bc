//! Whose card a code in a picture is.

use crate::procedure::{Label, Pack, read_label};

/// A code read in a picture, held against the pack.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Card {
    /// The whole code as read.
    pub code: String,
    pub of: CardOf,
}

#[derive(Clone, Debug, PartialEq, Eq)]
pub enum CardOf {
    /// A card of this very pack, by its name: `filler-L1`.
    Ours(String),
    /// A card of another job or end.
    OtherEnd(Label),
    /// Of this job and end, by another revision or another print of the pack.
    OtherPack(Label),
    /// Of this pack by its own word, and the pack has no such card.
    Unknown(Label),
    /// Not a label card, or a character of it is wrong.
    NoCard,
}

impl Card {
    /// `checksum` is that of the pack's `pack.json`.
    pub fn new(code: &str, pack: &Pack, checksum: &str) -> Card {
        let of = match read_label(code) {
            None => CardOf::NoCard,
            Some(label) if label.job != pack.job.number || label.end != pack.job.end => {
                CardOf::OtherEnd(label)
            }
            Some(label) if label.revision != pack.job.revision || !checksum.starts_with(&label.checksum) => {
                CardOf::OtherPack(label)
            }
            Some(label) => {
                let own = pack.labels.cards.iter().find(|c| c.id.eq_ignore_ascii_case(&label.card));
                own.map_or(CardOf::Unknown(label), |card| CardOf::Ours(card.id.clone()))
            }
        };
        Card { code: code.to_string(), of }
    }
}
