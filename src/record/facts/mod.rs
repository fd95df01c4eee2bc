//! What follows from a record held against its pack: named facts, for the whole
//! record and for each of its readings, points, photographs, phases.
//!
//! Nothing of the pack is computed again: what was issued is what is judged. The
//! rules compare these facts and never compute.

mod circuit;
mod closing;
mod connected;
mod inspected;
mod item;
mod names;
mod people;
mod phases;
mod photos;
mod points;
mod readings;
mod signed;
mod tested;
mod tools;
mod view;
mod whole;

pub use circuit::{Sibling, sibling};
pub(super) use connected::is_palms;
pub use item::Item;
pub use names::{declared, scopes};

use super::read::Record;
use super::struck;
use crate::job::Job;
use crate::procedure::Pack;
use jiff::Timestamp;
use jiff::civil::Date;
use std::collections::BTreeMap;
use view::View;

/// A record with everything it is judged against.
pub struct Dossier<'a> {
    pub record: &'a Record,
    pub pack: &'a Pack,
    /// SHA-256 of the `pack.json` at hand.
    pub pack_sha256: &'a str,
    /// What the register says, where there is one.
    pub register: Option<Standing>,
    /// Photographs beside the record, by the name the record gives; nothing
    /// where no such folder is at hand.
    pub files: Option<BTreeMap<String, FileState>>,
    /// The original time that each of those files holds itself, by the same names.
    pub taken: BTreeMap<String, String>,
    /// Where the people of this record were by other records.
    pub elsewhere: &'a [Presence],
    /// The other records of its circuit, where they were given together.
    pub siblings: &'a [Sibling],
    /// `as issued`, or what differs among the files of the pack's folder; nothing
    /// where there is only one file to go by.
    pub pack_files: Option<String>,
    /// `as sealed`, or what changed since; nothing where it was never sealed.
    pub seal: Option<String>,
    /// The day of judging, where it is given.
    pub today: Option<Date>,
    /// The as-found file that the record names, or why it can't be read.
    pub as_found: Option<&'a Result<Job, String>>,
}

impl<'a> Dossier<'a> {
    /// A record and its pack, and nothing beside them.
    pub fn bare(
        record: &'a Record,
        pack: &'a Pack,
        pack_sha256: &'a str,
        elsewhere: &'a [Presence],
    ) -> Dossier<'a> {
        Dossier {
            record,
            pack,
            pack_sha256,
            register: None,
            files: None,
            taken: BTreeMap::new(),
            elsewhere,
            siblings: &[],
            pack_files: None,
            seal: None,
            today: None,
            as_found: None,
        }
    }
}

/// How the register speaks of the record's revision.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Standing {
    /// The revision's own line holds this very pack.
    pub listed: bool,
    /// The revision that replaced it and its date, where one did.
    pub replaced_by: Option<(String, String)>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FileState {
    Same,
    Changed,
    Absent,
}

/// One person at one place for a time.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Presence {
    pub authorisation: String,
    /// Job and end.
    pub place: String,
    pub site: String,
    pub on: Timestamp,
    pub off: Timestamp,
}

/// Where everybody was by this record.
pub fn presences(record: &Record, pack: &Pack) -> Vec<Presence> {
    let nobody: [Presence; 0] = [];
    let dossier = Dossier::bare(record, pack, "", &nobody);
    let view = View::new(&dossier, pack);
    let of = |p: &people::Person| -> Vec<Presence> {
        let stays = p.stays.iter().filter_map(|s| s.on.zip(s.off));
        stays
            .map(|(on, off)| Presence {
                authorisation: p.authorisation.clone(),
                place: format!("{} {}", pack.job.number, pack.job.end),
                site: pack.job.site.clone(),
                on,
                off,
            })
            .collect()
    };
    view.people.iter().flat_map(of).collect()
}

/// The facts of the whole record, and of each thing in it by scope; a scope is
/// nothing where the record does not say whether there are such things.
pub struct Facts {
    pub whole: Item,
    pub each: BTreeMap<&'static str, Option<Vec<Item>>>,
}

/// Works out every fact.
pub fn facts(dossier: &Dossier) -> Facts {
    let asked = struck::asked(dossier.record, dossier.pack);
    let view = View::new(dossier, &asked);
    let each = BTreeMap::from([
        ("reading", Some(readings::items(&view))),
        ("point", Some(points::items(&view))),
        ("stop", Some(points::stops(&view))),
        ("frame", Some(photos::frames(&view))),
        ("photo", photos::items(&view)),
        ("phase", Some(phases::items(&view))),
        ("pair", Some(phases::pairs(&view))),
        ("instrument", tools::instruments(&view)),
        ("person", people::items(&view)),
        ("document", Some(tools::documents(&view))),
        ("disconnection", Some(closing::disconnections(&view))),
        ("deviation", closing::deviations(&view)),
    ]);
    Facts { whole: whole::item(&view), each }
}
