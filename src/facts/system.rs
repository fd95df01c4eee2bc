//! Facts of system and cable.

use super::def::{Def, Out, Show, refused};
use crate::job::schema::Mark;
use crate::tables;

pub(super) const FACTS: &[Def] = &[Def {
    name: "u0_required",
    title: "least U0 for the system",
    formula: "least U0 of the table for Um and earth-fault category",
    inputs: &["system.highest", "system.earthing_category"],
    mark: Mark::Standard(tables::LEAST_U0_SOURCE),
    show: Show::Kv(1),
    meaning: "Category A clears an earth fault within one minute, B within about an hour; C is everything else and takes the next class of insulation.",
    compute: |x| {
        let um = x.number("system.highest")?;
        let category = x.word("system.earthing_category")?;
        tables::least_u0_kv(um, &category).map(Out::Number).ok_or_else(|| {
            refused(
                "um-not-in-table",
                format!("no least U0 is tabulated for Um {um} kV, category {category}"),
            )
        })
    },
}];
