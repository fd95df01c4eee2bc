//! Every fact of an as-found end by name: what a row of the decision table may
//! read.

use std::collections::{BTreeMap, BTreeSet};

/// Name and title; the word before the point says of what, nothing of the whole
/// end.
const NAMES: &[(&str, &[(&str, &str)])] = &[
    (
        "",
        &[
            ("end.kit", "kit that is built in"),
            ("end.kit_known", "the kit is known"),
            ("end.tube", "stress control is a tube"),
            ("end.dressable", "cores can be dressed apart below the lower step"),
            ("end.kit_um", "Um of the kit"),
            ("end.kit_environment", "environment of the kit"),
            ("end.highest", "highest system voltage Um"),
            ("end.cable_u0", "cable U0"),
            ("end.u0_required", "U0 the system asks for"),
            ("end.lengths_differ", "lengths of the phases differ by"),
            ("end.recheck", "months to the next look"),
            ("survey.discharge", "discharge in the survey"),
            ("survey.warmth", "warmth in the survey"),
            ("survey.smell", "smell in the survey"),
            ("tested.result", "tests against before"),
            ("box.gap", "gap of a new end by this kit in this box"),
            ("box.gap_most", "most any dressing gives"),
            ("box.height", "height of a new end by this kit in this box"),
            ("box.earth", "distance of a new end by this kit to earthed metal"),
            ("box.arcing", "arcing distance of a new end at this place"),
            ("box.why", "why that is not computed"),
            ("end.outdoors", "the end stands on a pole or structure"),
            ("end.place", "where a new end would stand"),
            ("end.kit_creepage", "creepage of the kit"),
            ("end.creepage_needed", "creepage the site asks for"),
            ("end.pollution", "pollution class of the site"),
        ],
    ),
    (
        "phase",
        &[
            ("phase.name", "phase"),
            ("phase.where", "where"),
            ("tube.length", "length between the two steps"),
            ("tube.upper", "upper step from T0"),
            ("tube.lower", "lower step from T0"),
            ("tube.voltage", "operating voltage"),
            ("tube.class", "class of the length"),
            ("tube.least", "least at this voltage"),
            ("tube.most", "most at this voltage"),
            ("tube.suits", "voltage the tube suits"),
            ("tube.stated", "the kit's sheet states this length for this Um"),
            ("tube.kit_least", "kit's least recovered length"),
            ("cover.length", "cover on the insulation"),
            ("cover.least", "least cover"),
            ("cover.from", "how the cover is known"),
            ("step.height", "lower step above plate or entry"),
            ("step.least", "least height of the lower step"),
            ("edge.known", "the edge is felt"),
            ("edge.height", "edge above plate or entry"),
            ("edge.least", "least height of the edge"),
            ("earth.gap", "least gap to earthed metal"),
            ("earth.least", "least allowed to earthed metal"),
            ("edge.mastic", "mastic at the edge"),
            ("edge.finish", "finish of the edge"),
            ("upper.mastic", "mastic at the upper end"),
            ("upper.finish", "upper step"),
            ("mark.colour", "discoloration"),
            ("mark.powder", "powder"),
            ("mark.surface", "surface"),
            ("palm.state", "palm and lug"),
            ("palm.insulation", "insulation at the lug"),
            ("lead.state", "earth lead of the screen"),
            ("creep.found", "creepage as found"),
            ("arc.found", "arcing distance as found"),
            ("arc.needed", "least arcing distance"),
            ("shed.state", "sheds"),
            ("seal.state", "seals"),
        ],
    ),
    (
        "pair",
        &[
            ("pair.name", "pair"),
            ("pair.gap", "least gap"),
            ("pair.least", "least allowed between phases"),
            ("pair.height", "height of that gap"),
            ("pair.cores", "how the cores lie"),
            ("pair.short", "the gap is short"),
        ],
    ),
    (
        "new end",
        &[
            ("new.called", "a new end is called for"),
            ("new.lost", "cable lost with the old end"),
            ("new.slack", "cable that can be drawn up"),
            ("new.cut", "where the old end is cut off, from T0"),
        ],
    ),
];

pub(super) fn title(name: &str) -> Option<&'static str> {
    NAMES.iter().flat_map(|(_, list)| *list).find(|(n, _)| *n == name).map(|(_, title)| *title)
}

/// Names a row may read, by what it asks one by one: its own and the whole end's.
pub fn declared(scope: &str) -> BTreeMap<String, String> {
    let own = NAMES.iter().filter(|(s, _)| s.is_empty() || *s == scope);
    own.flat_map(|(_, list)| *list).map(|(name, title)| ((*name).into(), (*title).into())).collect()
}

/// What a row may ask one by one.
pub fn scopes() -> BTreeSet<&'static str> {
    NAMES.iter().map(|(scope, _)| *scope).filter(|s| !s.is_empty()).collect()
}
