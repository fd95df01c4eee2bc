//! `schema`: the forms of job and library files, for an editor.

use super::args::{Document, Schema};
use super::{Outcome, say};
use crate::job::schema::{Shelf, as_found_schema, item_schema, job_schema};

pub fn run(args: &Schema) -> Outcome {
    let schema = match args.of {
        Document::Job => job_schema(),
        Document::Cable => item_schema(Shelf::Cables),
        Document::Kit => item_schema(Shelf::Kits),
        Document::Lug => item_schema(Shelf::Lugs),
        Document::Boots => item_schema(Shelf::Boots),
        Document::AsFound => as_found_schema(),
    };
    say(&format!("{schema:#}\n"));
    Outcome::Good
}
