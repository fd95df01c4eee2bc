//! What kind of work it is, as rules and sentences ask for it.

use super::def::{Def, Out, Show};
use crate::job::schema::Mark;

pub(super) const FACTS: &[Def] = &[FAMILY, ARRESTERS];

const ARRESTERS: Def = Def {
    name: "arresters_here",
    title: "surge arresters at this end",
    formula: "outdoors arresters.fitted, else no",
    inputs: &["family", "arresters.fitted"],
    mark: Mark::Computed,
    show: Show::Word,
    meaning: "",
    compute: |x| {
        if x.word("family")? != "outdoor" {
            return Ok(Out::YesNo(false));
        }
        x.yes("arresters.fitted").map(Out::YesNo)
    },
};

const FAMILY: Def = Def {
    name: "family",
    title: "family of the work",
    formula: "box, outdoor, joint, inspection or connector, from job.work_type",
    inputs: &["job.work_type"],
    mark: Mark::Computed,
    show: Show::Word,
    meaning: "Rules about a box have nothing to judge on a pole, and those about a chain from the stud nothing in a joint.",
    compute: |x| {
        let family = match x.word("job.work_type")?.as_str() {
            "term-outdoor" => "outdoor",
            "inspect-term" => "inspection",
            "sep-connector" => "connector",
            kind if kind.starts_with("joint") => "joint",
            _ => "box",
        };
        Ok(Out::Word(family.into()))
    },
};
