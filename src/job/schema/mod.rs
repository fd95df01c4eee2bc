//! Every key that a job or library file may hold, as data.
//!
//! One table serves the reader, the given facts, the nearest-key advice and the
//! basis printed beside a figure. A given fact's name is the key's path with
//! dots: `kit.sct.recovered`.

mod cable;
mod enclosure;
mod inspection;
mod items;
mod job;
mod json;
mod kinds;
mod site;
mod words;

pub use cable::CABLE;
pub use inspection::AS_FOUND;
pub use items::{BOOTS, KIT, LUG};
pub use json::{as_found_schema, item_schema, job_schema};
pub use kinds::{WORK_TYPES, WorkKind, work_kind};

use crate::units::Dimension;

/// Where a figure comes from; printed beside it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Mark {
    /// Standard and edition, "from memory" where the text was not at hand.
    Standard(&'static str),
    Kit,
    Cable,
    Equipment,
    Client,
    /// The planner's own choice or statement.
    Planner,
    CommonPractice,
    Computed,
}

impl Mark {
    pub fn words(self) -> &'static str {
        match self {
            Mark::Standard(name) => name,
            Mark::Kit => "kit",
            Mark::Cable => "cable",
            Mark::Equipment => "equipment",
            Mark::Client => "client",
            Mark::Planner => "planner",
            Mark::CommonPractice => "common practice, no source",
            Mark::Computed => "computed",
        }
    }
}

/// Folder of the library that an item is looked up in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Shelf {
    Cables,
    Kits,
    Lugs,
    Boots,
}

impl Shelf {
    pub fn folder(self) -> &'static str {
        match self {
            Shelf::Cables => "cables",
            Shelf::Kits => "kits",
            Shelf::Lugs => "lugs",
            Shelf::Boots => "boots",
        }
    }

    /// What one of its items is called by `new` and `schema`.
    pub fn one(self) -> &'static str {
        match self {
            Shelf::Cables => "cable",
            Shelf::Kits => "kit",
            Shelf::Lugs => "lug",
            Shelf::Boots => "boots",
        }
    }

    pub fn keys(self) -> &'static [Key] {
        match self {
            Shelf::Cables => CABLE,
            Shelf::Kits => KIT,
            Shelf::Lugs => LUG,
            Shelf::Boots => BOOTS,
        }
    }
}

/// What a key takes.
#[derive(Clone, Copy, Debug)]
pub enum Kind {
    Quantity(Dimension),
    Range(Dimension),
    Count,
    YesNo,
    Text,
    /// At most 40 of `A-Z a-z 0-9 . _ -`, no leading dot: it names folders.
    Name,
    Choice(&'static [&'static str]),
    Date,
    Texts,
    Group(&'static [Key]),
    List(&'static [Key]),
    /// The name of an item in the library.
    Item(Shelf),
    /// Printed figures by fact name, as text.
    Figures,
}

/// One key: its name, what it takes, whose figure it is, its title in print.
#[derive(Clone, Copy, Debug)]
pub struct Key {
    pub name: &'static str,
    pub kind: Kind,
    pub mark: Mark,
    pub title: &'static str,
    /// `none` is an answer here.
    pub none: bool,
    /// Without it the file is not a job at all.
    pub required: bool,
    /// A sentence for `explain` and editors, where the title does not say enough.
    pub note: &'static str,
    /// How a text that is read by its form is written; empty where any will do.
    pub like: &'static str,
}

impl Key {
    const fn or_none(mut self) -> Key {
        self.none = true;
        self
    }

    const fn noted(mut self, note: &'static str) -> Key {
        self.note = note;
        self
    }

    const fn like(mut self, like: &'static str) -> Key {
        self.like = like;
        self
    }

    const fn required(mut self) -> Key {
        self.required = true;
        self
    }
}

const fn key(name: &'static str, kind: Kind, mark: Mark, title: &'static str) -> Key {
    Key { name, kind, mark, title, none: false, required: false, note: "", like: "" }
}

const fn group(name: &'static str, keys: &'static [Key], title: &'static str) -> Key {
    key(name, Kind::Group(keys), Mark::Planner, title)
}

const fn list(name: &'static str, keys: &'static [Key], title: &'static str) -> Key {
    key(name, Kind::List(keys), Mark::Planner, title)
}

const fn mm(name: &'static str, mark: Mark, title: &'static str) -> Key {
    key(name, Kind::Quantity(Dimension::Length), mark, title)
}

const fn kv(name: &'static str, mark: Mark, title: &'static str) -> Key {
    key(name, Kind::Quantity(Dimension::Voltage), mark, title)
}

const fn text(name: &'static str, mark: Mark, title: &'static str) -> Key {
    key(name, Kind::Text, mark, title)
}

const fn yes_no(name: &'static str, mark: Mark, title: &'static str) -> Key {
    key(name, Kind::YesNo, mark, title)
}

/// The job file, in the planner's own order.
pub const JOB: &[Key] = &[
    group("job", job::JOB_GROUP, "job"),
    group("people", job::PEOPLE, "people"),
    group("circuit", job::CIRCUIT, "circuit"),
    group("system", job::SYSTEM, "system"),
    group("cable", CABLE, "cable"),
    group("enclosure", enclosure::ENCLOSURE, "enclosure"),
    key("kit", Kind::Item(Shelf::Kits), Mark::Planner, "kit").or_none(),
    key("lug", Kind::Item(Shelf::Lugs), Mark::Planner, "lug"),
    key("boots", Kind::Item(Shelf::Boots), Mark::Planner, "boots").or_none(),
    group("torque", enclosure::TORQUE, "palm torque"),
    group("layout", enclosure::LAYOUT, "layout"),
    group("bay", enclosure::BAY, "joint bay"),
    group("tolerances", enclosure::TOLERANCES, "tolerances of the work"),
    group("site", site::SITE, "site"),
    group("plant", site::PLANT, "plant"),
    group("work", site::WORK, "work"),
    group("tools", site::TOOLS, "tools"),
    group("consumables", site::CONSUMABLES, "consumables"),
    group("weather", site::WEATHER, "weather"),
    group("isolation", site::ISOLATION, "isolation"),
    group("documents", site::DOCUMENTS, "safety documents"),
    list("crew", site::CREW, "crew"),
    group("tests", site::TESTS, "tests"),
    group("bonding", site::BONDING, "bonding"),
    group("arresters", site::ARRESTERS, "surge arresters"),
    group("earthing", site::EARTHING, "earth leads"),
    group("gland", site::GLAND, "gland"),
    group("core_balance", site::CORE_BALANCE, "core-balance transformer"),
    group("inspection", inspection::INSPECTION, "inspection"),
    group("remedy", job::REMEDY, "way out of a tight box"),
    list("acceptances", job::ACCEPTANCES, "acceptances"),
];
