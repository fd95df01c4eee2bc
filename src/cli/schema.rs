//! `schema`: the forms of the files that people write, for an editor.

use super::args::{Document, Schema};
use super::{Outcome, complain, find_pack, say};
use crate::house::HouseFile;
use crate::job::schema::{Shelf, as_found_schema, item_schema, job_schema};
use crate::record::{Head, record_schema};
use std::path::Path;

pub fn run(args: &Schema) -> Outcome {
    let schema = match args.of {
        Document::Job => job_schema(),
        Document::Cable => item_schema(Shelf::Cables),
        Document::Kit => item_schema(Shelf::Kits),
        Document::Lug => item_schema(Shelf::Lugs),
        Document::Boots => item_schema(Shelf::Boots),
        Document::AsFound => as_found_schema(),
        Document::Record => {
            let pack = args.pack.as_deref().unwrap_or(Path::new("."));
            match find_pack::find(Path::new("record.yaml"), &Head::default(), Some(pack), None) {
                Ok(found) => record_schema(&found.pack),
                Err(why) => {
                    complain(&why);
                    return Outcome::Trouble;
                }
            }
        }
        Document::House => HouseFile::Head.schema(),
        Document::HouseGrades => HouseFile::Grades.schema(),
        Document::HousePoints => HouseFile::Points.schema(),
        Document::HouseWords => HouseFile::Words.schema(),
        Document::HouseWeights => HouseFile::Weights.schema(),
        Document::HouseRules => HouseFile::Rules.schema(),
        Document::HouseHazards => HouseFile::Hazards.schema(),
    };
    say(&format!("{schema:#}\n"));
    Outcome::Good
}
