//! What kind of work it is, as rules and sentences ask for it.

use super::def::{Def, Gap, Inputs, Out, Show};
use crate::job::schema::{Mark, WorkKind, work_kind};

pub(super) const FACTS: &[Def] = &[
    FAMILY,
    DATUM,
    KIND_CORES,
    TECHNIQUE_FITS,
    KIT_WORK,
    STRESS_PART,
    ARRESTERS,
    SINGLE_ENTRIES,
    ARMOUR_IN_GLAND,
    GLAND_FITTED,
    CONNECTION,
    FOUND_OUTDOORS,
];

/// The kind's line in the table; a job file can name no other.
fn kind(x: &Inputs) -> Result<WorkKind, Gap> {
    let name = x.word("job.work_type")?;
    work_kind(&name).ok_or_else(|| Gap::Missing(vec!["job.work_type".into()]))
}

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

const GLAND_FITTED: Def = Def {
    name: "gland_fitted",
    title: "a gland at this end",
    formula: "gland.type, unless it is none; a joint has none, and of an old end nothing is asked",
    inputs: &["family", "gland.type"],
    mark: Mark::Equipment,
    show: Show::Word,
    meaning: "Where there is none, nobody is asked what it is made of.",
    compute: |x| {
        if !["box", "outdoor", "connector"].contains(&x.word("family")?.as_str()) {
            return Ok(Out::YesNo(false));
        }
        let gland = x.word("gland.type")?;
        Ok(Out::YesNo(gland != "none" && !gland.starts_with("none,")))
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

const FOUND_OUTDOORS: Def = Def {
    name: "found_outdoors",
    title: "the end looked at stands on a pole or structure",
    formula: "job.work_type is inspect-outdoor",
    inputs: &["job.work_type"],
    mark: Mark::Planner,
    show: Show::Word,
    meaning: "Sheds, creepage and the line's earths stand where a box has its plate and walls.",
    compute: |x| Ok(Out::YesNo(x.word("job.work_type")? == "inspect-outdoor")),
};

const KIT_WORK: Def = Def {
    name: "kit_work",
    title: "work a kit must be made for here",
    formula: "joint in a joint, separable connector on a connector's bushing, else termination",
    inputs: &["family"],
    mark: Mark::Computed,
    show: Show::Word,
    meaning: "",
    compute: |x| {
        let work = match x.word("family")?.as_str() {
            "joint" => "joint",
            "connector" => "separable connector",
            _ => "termination",
        };
        Ok(Out::Word(work.into()))
    },
};

const STRESS_PART: Def = Def {
    name: "stress_part",
    title: "part that carries the stress control",
    formula: "a tube where kit.technique is heat-shrink, else a body",
    inputs: &["kit.technique"],
    mark: Mark::Kit,
    show: Show::Word,
    meaning: "",
    compute: |x| {
        let hot = x.word("kit.technique")? == "heat-shrink";
        Ok(Out::Word(if hot { "tube" } else { "body" }.into()))
    },
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

const KIND_CORES: Def = Def {
    name: "kind_cores",
    title: "cores of the cable by the kind of work",
    formula: "3 or 1 by the table of kinds, or any",
    inputs: &["job.work_type"],
    mark: Mark::Computed,
    show: Show::Word,
    meaning: "",
    compute: |x| Ok(kind(x)?.cores.map_or(Out::None("any"), Out::Count)),
};

const TECHNIQUE_FITS: Def = Def {
    name: "technique_fits",
    title: "kit of the technique that the kind of work is written for",
    formula: "by the table of kinds: hot is heat-shrink, cold is cold-shrink or slip-on, or any",
    inputs: &["job.work_type", "kit.technique"],
    mark: Mark::Computed,
    show: Show::Word,
    meaning: "The steps for one technique leave out what the other needs.",
    compute: |x| {
        let hot = x.word("kit.technique")? == "heat-shrink";
        Ok(Out::YesNo(match kind(x)?.technique {
            "hot" => hot,
            "cold" => !hot,
            _ => true,
        }))
    },
};

const FAMILY: Def = Def {
    name: "family",
    title: "family of the work",
    formula: "of job.work_type, by the table of kinds",
    inputs: &["job.work_type"],
    mark: Mark::Computed,
    show: Show::Word,
    meaning: "Rules about a box have nothing to judge on a pole, and those about a chain from the stud nothing in a joint.",
    compute: |x| Ok(Out::Word(kind(x)?.family.into())),
};

const DATUM: Def = Def {
    name: "datum",
    title: "what the figures of the work are measured from",
    formula: "of job.work_type, by the table of kinds: stud, centre of a joint, or none",
    inputs: &["job.work_type"],
    mark: Mark::Computed,
    show: Show::Word,
    meaning: "",
    compute: |x| Ok(Out::Word(kind(x)?.datum.into())),
};
