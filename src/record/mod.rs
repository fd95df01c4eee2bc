//! The completed record of a pack: the blank that goes out with it, the log of
//! its photographs, and a filled one read, held against its pack and judged.

mod answer;
mod blank;
mod facts;
mod instruments;
mod judge;
mod likeness;
mod pdf;
mod photos;
mod read;
mod report;
mod schema;
mod struck;
mod table;

pub use answer::{Answer, offset};
pub use blank::blank;
pub use facts::{Dossier, FileState, Presence, Sibling, Standing, declared, presences, sibling};
pub use judge::{Progress, Verdict, is_complete, judge, progress, rule_book, verdict};
pub use likeness::Likeness;
pub use pdf::attached_pack;
pub use photos::{PhotoRow, with_photos};
pub use read::{Given, Head, Loaded, Record, head, load};
pub use report::{Identity, Picture, Report, report};
pub use schema::record_schema;
pub use table::{fill as fill_from_table, write as table};

/// Name and version of the form of a record file.
pub const FORMAT: &str = "cutback-record-1";
