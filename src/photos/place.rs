//! Which frame of the photo list a picture shows.
//!
//! A card names stage and phase; some stages have several frames. What follows
//! from the cards alone is taken; what only seems so is proposed, and a person
//! confirms it in the list of frames; nothing is guessed.

use super::ledger::{By, Ledger, Picture};
use crate::procedure::{FormFrame, Pack};
use std::collections::{BTreeMap, BTreeSet};

const PHASES: [&str; 3] = ["L1", "L2", "L3"];

/// One picture to take.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub struct Frame {
    /// Row of the photo list, phase, number within it: `9-L1-2`.
    pub id: String,
    pub row: String,
    pub point: String,
    /// `L1`, `L2`, `L3` or `all`.
    pub phase: String,
    /// The label card in it; for a frame of all phases the stage of the three.
    pub card: String,
    pub text: String,
}

/// The frames of a pack, in the order of its photo list.
pub fn frames(pack: &Pack) -> Vec<Frame> {
    let point = |row: &str| {
        let of = pack.photos.rows.iter().find(|r| r.number == row);
        of.map_or(String::new(), |r| r.point.clone())
    };
    let one = |f: &FormFrame| Frame {
        id: f.id.clone(),
        row: f.row.clone(),
        point: point(&f.row),
        phase: f.phase.clone(),
        card: f.card.clone(),
        text: f.text.clone(),
    };
    pack.form.frames.iter().map(one).collect()
}

/// The one card of this pack that a picture's cards make: a single card, or all
/// three phases of a stage. `Err` lists more than one.
pub fn card_of(ours: &BTreeSet<String>, pack: &Pack) -> Result<Option<String>, Vec<String>> {
    let list: Vec<&str> = ours.iter().map(String::as_str).collect();
    match list[..] {
        [] => Ok(None),
        [one] => Ok(Some(one.to_string())),
        _ => {
            let stage = list[0].rsplit_once('-').map_or("", |(stage, _)| stage);
            let three = PHASES.iter().map(|p| format!("{stage}-{p}")).collect::<Vec<_>>();
            let shared = frames(pack).iter().any(|f| f.card == stage && f.phase == "all");
            if shared && list == three {
                Ok(Some(stage.to_string()))
            } else {
                Err(list.iter().map(ToString::to_string).collect())
            }
        }
    }
}

/// A frame that only seems to follow: by the order of time.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub struct Proposal {
    pub sha256: String,
    pub frame: String,
}

/// More pictures of a card than its frames can tell apart.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub struct Unclear {
    pub card: String,
    pub pictures: usize,
    pub frames: Vec<String>,
}

#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Placed {
    pub proposals: Vec<Proposal>,
    pub unclear: Vec<Unclear>,
}

/// Gives every picture its frame where the card alone says it, keeps what a
/// person said, and proposes the rest. `cards` names each picture's card.
pub fn place(ledger: &mut Ledger, frames: &[Frame], cards: &BTreeMap<String, String>) -> Placed {
    let mut placed = Placed::default();
    for picture in ledger.pictures.values_mut().filter(|p| p.by == Some(By::Card)) {
        (picture.frame, picture.by) = (None, None);
    }
    let names: BTreeSet<&String> = cards.values().collect();
    for card in names {
        let taken: BTreeSet<String> = ledger.pictures.values().filter_map(|p| p.frame.clone()).collect();
        let open: Vec<&Frame> = frames.iter().filter(|f| f.card == *card && !taken.contains(&f.id)).collect();
        let mut own: Vec<(String, String)> = ledger
            .pictures
            .iter()
            .filter(|(sha, p)| cards.get(*sha) == Some(card) && p.by.is_none())
            .map(|(sha, p)| (p.seen.meta.taken.clone().unwrap_or_default(), sha.clone()))
            .collect();
        own.sort();
        if own.is_empty() || open.is_empty() {
            continue;
        }
        let one_row = open.iter().all(|f| f.row == open[0].row);
        let rows_of_card: BTreeSet<&str> =
            frames.iter().filter(|f| f.card == *card).map(|f| f.row.as_str()).collect();
        let timed = own.windows(2).all(|w| w[0].0 < w[1].0) && own.iter().all(|o| !o.0.is_empty());
        if one_row && rows_of_card.len() == 1 && own.len() <= open.len() {
            for ((_, sha), frame) in own.iter().zip(&open) {
                set(ledger.pictures.get_mut(sha), &frame.id);
            }
        } else if own.len() == open.len() && (timed || own.len() == 1) {
            let one = |((_, sha), frame): (&(String, String), &&Frame)| Proposal {
                sha256: sha.clone(),
                frame: frame.id.clone(),
            };
            placed.proposals.extend(own.iter().zip(&open).map(one));
        } else {
            placed.unclear.push(Unclear {
                card: card.clone(),
                pictures: own.len(),
                frames: open.iter().map(|f| f.id.clone()).collect(),
            });
        }
    }
    placed
}

fn set(picture: Option<&mut Picture>, frame: &str) {
    if let Some(picture) = picture {
        picture.frame = Some(frame.to_string());
        picture.by = Some(By::Card);
    }
}
