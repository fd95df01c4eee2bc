//! What a person has to look at before the pictures can prove anything.

use super::card::{Card, CardOf};
use super::ledger::{Ledger, Picture};
use super::look::Kind;
use super::place::card_of;
use super::report::Question;
use crate::procedure::Pack;
use crate::record::Likeness;
use std::collections::{BTreeMap, BTreeSet};

/// The card of this pack that each picture shows, where it shows one.
pub fn cards(ledger: &Ledger, pack: &Pack) -> BTreeMap<String, String> {
    let one = |(sha, picture): (&String, &Picture)| {
        let ours = read(picture, pack, &ledger.pack).1;
        Some((sha.clone(), card_of(&ours, pack).ok()??))
    };
    ledger.pictures.iter().filter_map(one).collect()
}

/// Every code in a picture, and the names of this pack's own cards among them.
pub fn read(picture: &Picture, pack: &Pack, checksum: &str) -> (Vec<Card>, BTreeSet<String>) {
    let all: Vec<Card> = picture.seen.codes.iter().map(|c| Card::new(c, pack, checksum)).collect();
    let own = |card: &Card| if let CardOf::Ours(name) = &card.of { Some(name.clone()) } else { None };
    let ours = all.iter().filter_map(own).collect();
    (all, ours)
}

/// What is open; `cards` is what [`cards`] found.
pub fn questions(ledger: &Ledger, pack: &Pack, cards: &BTreeMap<String, String>) -> Vec<Question> {
    let mut questions = Vec::new();
    for (sha, picture) in ledger.pictures.iter().filter(|(_, p)| p.kind != Kind::Video) {
        let (all, ours) = read(picture, pack, &ledger.pack);
        let mut ask = |kind, what: String, help| {
            questions.push(Question { kind, pictures: vec![name(picture)], what, help });
        };
        for card in &all {
            if let Some((kind, what, help)) = foreign(&card.of) {
                ask(kind, what, help);
            }
        }
        match card_of(&ours, pack) {
            Ok(None) if picture.by.is_none() && all.iter().all(|c| c.of == CardOf::NoCard) => {
                ask(
                    "no-card",
                    without(picture, all.len()),
                    "If it shows a frame, write the frame beside it in the list; else leave it. It is not filed.",
                );
            }
            Err(list) if picture.by.is_none() => {
                let what = format!("several cards in one picture: {}", list.join(", "));
                ask("several-cards", what, "Say in the list which frame it shows, or `none`.");
            }
            _ => {}
        }
        if cards.contains_key(sha) || picture.frame.is_some() {
            for sign in &picture.seen.meta.signs {
                ask(
                    "not-original",
                    sign.clone(),
                    "Fetch the original file from the phone; what a messenger sends is saved again.",
                );
            }
            if let Some(why) = picture.seen.trouble.as_ref().filter(|_| !all.is_empty()) {
                ask("damaged", why.clone(), "Copy the file from the phone again.");
            }
        }
    }
    alike(ledger, cards, &mut questions);
    questions.sort();
    questions
}

fn foreign(of: &CardOf) -> Option<(&'static str, String, &'static str)> {
    match of {
        CardOf::OtherEnd(l) => Some((
            "card-of-another-end",
            format!("shows the card of job {}, end {}", l.job, l.end),
            "The picture belongs to that job's record, or the wrong card lay there: take it again.",
        )),
        CardOf::OtherPack(l) => Some((
            "card-of-another-pack",
            format!("shows a card of revision {} (pack {}…), not of this pack", l.revision, l.checksum),
            "The cards in use must be cut from the pack in force; find out which pack was built to.",
        )),
        CardOf::Unknown(l) => Some((
            "card-unknown",
            format!("shows the card `{}`, which this pack does not have", l.card),
            "Say in the list which frame it shows, or `none`.",
        )),
        CardOf::Ours(_) | CardOf::NoCard => None,
    }
}

fn without(picture: &Picture, codes: usize) -> String {
    match &picture.seen.trouble {
        Some(why) => why.clone(),
        None if codes > 0 => "a code that is no label card's".into(),
        None => "no card read".into(),
    }
}

/// Pictures that are all but the same under different cards or frames.
fn alike(ledger: &Ledger, cards: &BTreeMap<String, String>, questions: &mut Vec<Question>) {
    let hash = |p: &Picture| Likeness::read(p.seen.look.as_deref()?);
    let filed: Vec<(&String, &Picture, Likeness)> = ledger
        .pictures
        .iter()
        .filter(|(sha, p)| cards.contains_key(*sha) || p.frame.is_some())
        .filter_map(|(sha, p)| Some((sha, p, hash(p)?)))
        .collect();
    for (i, (sha, picture, look)) in filed.iter().enumerate() {
        let twin = |(other_sha, other, other_look): &&(&String, &Picture, Likeness)| {
            let same_label = cards.get(*sha) == cards.get(*other_sha)
                && (picture.frame == other.frame || picture.frame.is_none());
            !same_label && look.alike(other_look)
        };
        // One question a picture: ten thousand alike would make fifty million.
        if let Some((_, other, _)) = filed[i + 1..].iter().find(twin) {
            questions.push(Question {
                kind: "alike-under-two-labels",
                pictures: vec![name(picture), name(other)],
                what: "all but the same picture, under different labels".into(),
                help: "Look at both: one shot can't show two phases or two points, unless the photo list says so.",
            });
        }
    }
}

fn name(picture: &Picture) -> String {
    picture.names.first().cloned().unwrap_or_default()
}
