//! What kind of work it is, as rules and sentences ask for it.

use super::def::{Def, Out, Show};
use crate::job::schema::Mark;

pub(super) const FACTS: &[Def] = &[FAMILY, ARRESTERS, SINGLE_ENTRIES, ARMOUR_IN_GLAND, CONNECTION];

const SINGLE_ENTRIES: Def = Def {
    name: "single_entries",
    title: "one core by itself through a plate",
    formula: "in a box: cable.cores is 1, or layout.crutch is outside",
    inputs: &["family", "cable.cores", "layout.crutch"],
    mark: Mark::Computed,
    show: Show::Word,
    meaning: "",
    compute: |x| {
        if x.word("family")? != "box" {
            return Ok(Out::YesNo(false));
        }
        Ok(Out::YesNo(x.word("cable.cores")? == "1" || x.word("layout.crutch")? == "outside"))
    },
};

const ARMOUR_IN_GLAND: Def = Def {
    name: "armour_in_gland",
    title: "armour clamped in a gland",
    formula: "in a box: layout.armour is in a gland",
    inputs: &["family", "layout.armour"],
    mark: Mark::Computed,
    show: Show::Word,
    meaning: "",
    compute: |x| {
        if x.word("family")? != "box" {
            return Ok(Out::YesNo(false));
        }
        Ok(Out::YesNo(x.word("layout.armour")? == "in a gland"))
    },
};

const CONNECTION: Def = Def {
    name: "connection",
    title: "how the conductor is connected",
    formula: "shear bolts where lug.shear_heads is given, else pressed",
    inputs: &["lug.shear_heads"],
    mark: Mark::Kit,
    show: Show::Word,
    meaning: "",
    compute: |x| Ok(Out::Word(if x.answered("lug.shear_heads") { "shear bolts" } else { "pressed" }.into())),
};

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
