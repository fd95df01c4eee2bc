//! Every fact of a record by name: what a rule of verification may read.

use std::collections::{BTreeMap, BTreeSet};

/// Name and title; the word before the point is the scope it belongs to, or the
/// whole record.
const NAMES: &[(&str, &[(&str, &str)])] = &[
    (
        "",
        &[
            ("record.complete", "record completed"),
            ("record.pack", "checksum in the record"),
            ("pack.sum", "checksum of the pack"),
            ("record.pack_matches", "record and pack belong together"),
            ("record.identity", "job, revision and end"),
            ("record.revision", "revision built to"),
            ("pack.standing", "standing of the revision"),
            ("pack.files", "files of the pack"),
            ("record.sealed", "sealed before"),
            ("record.seal", "record against its seal"),
            ("record.has_kit", "kit read at a point"),
            ("kit.state", "kit's expiry"),
            ("isolation.tally", "isolation points found locked"),
            ("isolation.earths", "circuit earths seen"),
            ("earths.on", "working earths on"),
            ("earths.off", "working earths off"),
            ("record.counts_tools", "tools are counted"),
            ("tools.out", "tools counted out"),
            ("tools.in", "tools counted in"),
            ("record.planned_share", "readings equal to the plan"),
            ("record.equal_rows", "rows with one value for all phases"),
            ("record.equal_names", "those rows"),
            ("record.late_h", "hours from clearance to completion"),
            ("record.late", "completed late"),
            ("record.cleared", "last document cleared"),
            ("record.end_order", "completion after the last release"),
            ("record.future", "completed after today"),
            ("record.tested", "a test is planned"),
            ("test.order", "test after the accessory"),
            ("discharge.times", "discharge by the times"),
            ("record.has_air", "air is read"),
            ("dew.start", "surface above dew point at the start"),
            ("dew.start_differs", "written margin differs at the start"),
            ("dew.start_written", "margin written at the start"),
            ("dew.covering", "surface above dew point when covering"),
            ("dew.covering_differs", "written margin differs when covering"),
            ("dew.covering_written", "margin written when covering"),
            ("record.identifies", "an existing cable is identified"),
            ("identification.state", "identification"),
            ("record.parks", "parts are parked and counted"),
            ("parked.order", "count of the parked parts against the connector"),
            ("record.unsigned", "signatures missing"),
            ("record.handed_back", "handed back"),
        ],
    ),
    (
        "reading",
        &[
            ("reading.title", "reading"),
            ("reading.state", "state"),
            ("reading.kind", "kind of answer"),
            ("reading.text", "as written"),
            ("reading.limits", "limit"),
            ("reading.mark", "whose limit"),
            ("reading.unit", "unit"),
            ("reading.key", "key figure"),
            ("reading.own_rule", "judged by a rule of its own"),
            ("reading.out", "outside its limit"),
            ("reading.firm", "limit can reject"),
            ("reading.kit_limit", "limit of the kit"),
            ("reading.place_only", "says where the joint lies"),
            ("reading.slip", "tenfold off its plan"),
            ("reading.plan", "planned"),
            ("reading.conceded", "conceded"),
            ("reading.concession", "concession"),
        ],
    ),
    (
        "point",
        &[
            ("point.title", "point"),
            ("point.letter", "letter"),
            ("point.by", "released by"),
            ("point.holder", "a document's point"),
            ("point.missing", "releases missing"),
            ("point.who_missing", "names missing"),
            ("point.early", "released before its turn"),
            ("point.released_by", "who released"),
            ("point.self_release", "released by who did it"),
            ("point.releaser", "whether the releaser fits"),
            ("point.power", "authorisation of the releaser"),
            ("point.absence", "releaser away"),
            ("point.document", "document in force"),
            ("point.after_clearance", "released after the clearance"),
            ("point.asked_late", "asked for after the release"),
        ],
    ),
    ("stop", &[("stop.title", "stop"), ("stop.one_sitting", "signed in one sitting")]),
    (
        "frame",
        &[
            ("frame.title", "frame"),
            ("frame.text", "what it shows"),
            ("frame.point", "point"),
            ("frame.taken", "photograph there"),
        ],
    ),
    (
        "photo",
        &[
            ("photo.file", "file"),
            ("photo.frame", "frame"),
            ("photo.state", "whether the frame is known"),
            ("photo.taken", "taken"),
            ("photo.time", "time of its own"),
            ("photo.no_hash", "no checksum"),
            ("photo.twice", "the same file elsewhere"),
            ("photo.alike", "a picture much like it"),
            ("photo.minutes_early", "minutes outside its document"),
            ("photo.early", "taken outside its document"),
            ("photo.hidden", "taken after its subject was covered"),
            ("photo.card", "label card"),
            ("photo.rule", "rule"),
            ("photo.telling", "edge or filler"),
            ("photo.other_label", "label of something else"),
            ("photo.on_disk", "file beside the record"),
        ],
    ),
    (
        "phase",
        &[
            ("phase.name", "phase"),
            ("phase.has_tube", "a tube is measured"),
            ("phase.has_filler", "filler is measured"),
            ("chain.length_gap", "length against its two ends"),
            ("chain.steps_gap", "steps felt against the length"),
            ("chain.cover_gap", "cover against tube end and edge"),
            ("chain.exposed_gap", "cover and clear surface against the insulation exposed"),
            ("phase.has_overlap", "the tube's overlap follows from readings"),
            ("phase.is_joint", "a joint's core"),
            ("chain.overlap_gap", "overlap written against the two figures"),
            ("tube.overlap", "tube over the core screen"),
            ("tube.overlap_least", "least overlap"),
            ("tube.length", "tube as recovered"),
            ("tube.class", "class of the tube length"),
            ("tube.band_least", "least usual length for the voltage"),
            ("tube.suits", "voltage the tube suits"),
            ("filler.over_edge", "filler lies over the edge"),
            ("filler.words", "filler and edge"),
            ("phase.identity", "phase identity"),
            ("phase.tested", "a test is planned"),
            ("test.nature", "r.m.s. or peak"),
            ("test.held", "voltage held"),
            ("test.need", "voltage needed"),
            ("test.verdict", "voltage against the need"),
            ("test.minutes", "minutes at full voltage"),
            ("test.minutes_needed", "minutes needed"),
            ("test.span", "from full voltage to off"),
            ("test.span_short", "the times are too near"),
            ("test.span_differs", "times and minutes differ"),
            ("test.resistance", "insulation resistance"),
            ("torque.before_test", "torque before the test ended"),
        ],
    ),
    (
        "pair",
        &[
            ("gap.pair", "pair of phases"),
            ("gap.measured", "gap measured"),
            ("gap.planned", "least gap planned"),
            ("gap.far_below_plan", "far below the plan"),
        ],
    ),
    (
        "instrument",
        &[
            ("instrument.what", "instrument"),
            ("instrument.state", "state"),
            ("instrument.suits", "suited to its use"),
        ],
    ),
    (
        "person",
        &[
            ("person.title", "person"),
            ("person.known", "named or checked"),
            ("person.power", "authorisation"),
            ("person.hours", "sign-on and sign-off"),
            ("person.elsewhere", "at another place"),
        ],
    ),
    (
        "document",
        &[
            ("document.title", "document"),
            ("document.gaps", "entries missing"),
            ("document.order", "received and returned"),
            ("document.overlap", "two at once"),
        ],
    ),
    ("disconnection", &[("disconnection.item", "item"), ("disconnection.state", "state")]),
    (
        "deviation",
        &[
            ("deviation.title", "deviation"),
            ("deviation.power", "acceptance"),
            ("deviation.chain", "chain after a cut back"),
            ("deviation.unknown", "names no point of the pack"),
        ],
    ),
];

pub(super) fn title(name: &str) -> Option<&'static str> {
    NAMES.iter().flat_map(|(_, list)| *list).find(|(n, _)| *n == name).map(|(_, title)| *title)
}

/// Names a rule may read, by the scope it asks: its own and the whole record's.
pub fn declared(scope: &str) -> BTreeMap<String, String> {
    let own = NAMES.iter().filter(|(s, _)| s.is_empty() || *s == scope);
    own.flat_map(|(_, list)| *list).map(|(name, title)| ((*name).into(), (*title).into())).collect()
}

/// Scopes that a rule may ask each item of.
pub fn scopes() -> BTreeSet<&'static str> {
    NAMES.iter().map(|(scope, _)| *scope).filter(|s| !s.is_empty()).collect()
}
