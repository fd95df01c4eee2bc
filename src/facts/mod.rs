//! Everything that follows from the job: named values with unit, formula,
//! inputs and mark.
//!
//! A given fact is a key of the job or a library item, under its dotted name; a
//! computed fact has a single name and an entry in one of the lists below. The
//! lists are in working order: a fact's inputs stand before it.

mod chain;
mod clearance;
mod context;
mod core;
mod cutting;
mod def;
mod earthing;
mod ends;
mod found_plan;
mod free;
mod gap_stack;
mod geometry;
mod inspection;
mod joint;
mod kind;
mod limits;
mod papers;
mod parts;
mod passes;
mod phases;
mod picture;
mod places;
mod releases;
mod said;
mod sheet;
mod signed;
mod stack;
mod stress;
mod system;
mod tails;
mod testing;
mod window;
mod wording;
mod wrench;

pub use def::{Def, Gap};
pub use inspection::tube_series;
pub use picture::{Across, GapTo, Picture, PictureGap, PicturePhase, Zone, picture};
pub use sheet::{Fact, Sheet};

use crate::job::Job;
use crate::job::schema::{Kind, Mark};
use std::collections::{BTreeMap, BTreeSet};

/// A range is a fact, and so is each of its ends.
const RANGE_ENDS: [(&str, &str); 2] = [("_low", "least"), ("_high", "most")];

/// Whether a fact may stand on paper: what only explains does not.
pub fn may_be_printed(sheet: &Sheet, name: &str) -> bool {
    core::may_be_printed(sheet, name)
}

/// Every computed fact, in the order of computation.
pub fn computed() -> impl Iterator<Item = &'static Def> {
    [
        kind::FACTS,
        system::FACTS,
        core::FACTS,
        stress::FACTS,
        chain::FACTS,
        stack::FACTS,
        limits::FACTS,
        inspection::FACTS,
        joint::FACTS,
        free::FACTS,
        geometry::FACTS,
        gap_stack::FACTS,
        tails::FACTS,
        passes::FACTS,
        places::FACTS,
        cutting::FACTS,
        clearance::FACTS,
        parts::FACTS,
        papers::FACTS,
        phases::FACTS,
        releases::FACTS,
        signed::FACTS,
        wrench::FACTS,
        said::FACTS,
        earthing::FACTS,
        found_plan::FACTS,
        testing::FACTS,
        ends::FACTS,
        wording::FACTS,
        window::FACTS,
    ]
    .into_iter()
    .flatten()
}

/// What a fact's name stands for, whether given or computed.
#[derive(Clone, Debug)]
pub struct Declared {
    pub title: String,
    pub formula: Option<&'static str>,
    pub inputs: &'static [&'static str],
    pub mark: Mark,
    pub meaning: &'static str,
}

/// Every name that a rule or a sentence may use.
pub fn declared() -> BTreeMap<String, Declared> {
    let ends = crate::job::leaf_keys().iter().filter(|(_, key)| matches!(key.kind, Kind::Range(_)));
    let ends = ends.flat_map(|(name, key)| {
        RANGE_ENDS.map(|(end, words)| {
            let title = format!("{}, {words}", key.title);
            (
                format!("{name}{end}"),
                Declared { title, formula: None, inputs: &[], mark: key.mark, meaning: "" },
            )
        })
    });
    let given = crate::job::leaf_keys().iter().map(|(name, key)| {
        (
            name.to_string(),
            Declared {
                title: key.title.into(),
                formula: None,
                inputs: &[],
                mark: key.mark,
                meaning: key.note,
            },
        )
    });
    let computed = computed().map(|def| {
        (
            def.name.to_string(),
            Declared {
                title: def.title.into(),
                formula: Some(def.formula),
                inputs: def.inputs,
                mark: def.mark,
                meaning: def.meaning,
            },
        )
    });
    given.chain(ends).chain(computed).collect()
}

/// Computes every fact of `job`.
pub fn sheet(job: &Job) -> Sheet {
    compute(job, |_| true)
}

/// Computes the facts named and what they rest on, and no other: for searches
/// that judge many jobs.
pub fn sheet_of(job: &Job, named: &BTreeSet<String>) -> Sheet {
    let needed = with_inputs(named.iter().cloned());
    compute(job, |name| needed.contains(name))
}

fn compute(job: &Job, wanted: impl Fn(&str) -> bool) -> Sheet {
    let mut sheet = Sheet::given(job);
    let context = context::Context::default();
    for def in computed().filter(|def| wanted(def.name)) {
        let fact = def.work_out(&sheet, &context);
        sheet.insert(fact);
    }
    let (layout, geometry) = context.into_layout();
    sheet.layout = layout;
    sheet.geometry = geometry.map(std::sync::Arc::new);
    sheet
}

/// The facts named and every fact they rest on, given ones included.
pub fn with_inputs(named: impl IntoIterator<Item = String>) -> BTreeSet<String> {
    let mut all: BTreeSet<String> = named.into_iter().collect();
    let defs: Vec<&Def> = computed().collect();
    // Inputs stand before what rests on them, so one way back finds them all.
    for def in defs.into_iter().rev() {
        if all.contains(def.name) {
            all.extend(def.inputs.iter().map(ToString::to_string));
        }
    }
    all
}
