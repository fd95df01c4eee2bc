//! Answers that the pack prints and that no rule compares: without one it would say "not
//! answered". What a point, a test or a document hangs on must be said before issue, the
//! rest is warned of. "No" and "none" are answers; silence is none.

use super::def::{Def, Gap, Inputs, Out, Show};
use crate::job::leaf_keys;
use crate::job::schema::Mark;

/// Where an answer is printed.
#[derive(Clone, Copy)]
enum In {
    Every,
    /// A test is planned under this pack.
    Tests,
    /// An end or joint is made, and its test comes under another pack.
    Untested,
    /// A test is planned, and an end or joint is made.
    NewWork,
    /// A palm or contact is tightened: all but joints.
    Palm,
    /// A lug or connector is pressed on.
    Pressed,
    Joint,
    /// On a pole and looked at; of a new end other rules ask.
    PoleInspected,
    /// On a pole with surge arresters.
    Arresters,
    /// In a cable box, new or looked at.
    Boxed,
    /// A new end, not a joint.
    NewEnd,
    /// A new end outside a box, where no rule bends the core by its figure.
    FreeEnd,
    /// A new end on a pole.
    NewPole,
    /// A new heat-shrink end.
    TubeEnd,
    /// Void-filling mastic goes on.
    Filler,
    Connector,
    Inspection,
    KnownKitInspected,
    /// Existing cable is cut, and the spiked piece taken out.
    CableCut,
}

const MUST: &[(&str, In)] = &[
    ("circuit.name", In::Every),
    ("circuit.asset", In::Every),
    ("circuit.place", In::Every),
    ("circuit.far_end", In::Every),
    ("site.name", In::Every),
    ("site.hazardous_zone", In::Every),
    ("system.phase_fault", In::Every),
    ("system.phase_fault_time", In::Every),
    ("cable.type", In::Every),
    ("cable.u", In::Every),
    ("cable.um", In::Every),
    ("cable.length", In::Every),
    ("documents.before_work_test", In::Every),
    ("earthing.max_resistance", In::Every),
    ("earthing.point", In::Palm),
    ("torque.value", In::Palm),
    ("tools.torque_wrench", In::Every),
    ("cable.min_bend_core", In::FreeEnd),
    ("kit.sheds.count", In::NewPole),
    ("kit.parked.on_cable", In::Joint),
    ("kit.parked.on_core", In::Joint),
    ("boots", In::Boxed),
    ("lug.crimps", In::Pressed),
    ("lug.across_flats", In::Pressed),
    ("lug.length", In::Joint),
    ("tools.test_set", In::Tests),
    ("tests.disconnect", In::Tests),
    ("tests.palms_in_test", In::Tests),
    ("tests.note", In::Untested),
    ("tests.sheath", In::NewWork),
    ("tests.sheath_minutes", In::NewWork),
    ("site.pollution_class", In::PoleInspected),
    ("site.altitude", In::PoleInspected),
    ("arresters.earth_point", In::Arresters),
    ("arresters.earth_resistance_most", In::Arresters),
    ("arresters.lead_total", In::Arresters),
    ("arresters.lead_total_most", In::Arresters),
    ("system.nominal", In::Inspection),
    ("inspection.discharge_most", In::Inspection),
    ("inspection.hotter_most", In::Inspection),
    ("inspection.recheck_months", In::Inspection),
];

const SHOULD: &[(&str, In)] = &[
    ("site.traffic", In::Every),
    ("site.public", In::Every),
    ("site.lone", In::Every),
    ("site.parallel_live_cables", In::Every),
    ("isolation.parallel_circuit", In::Every),
    ("site.substation_earth_grid", In::Every),
    ("site.depth", In::Every),
    ("work.excavation", In::Every),
    ("work.load", In::Every),
    ("cable.lead_sheath", In::Every),
    ("cable.drum", In::Every),
    ("consumables.solvent", In::Every),
    ("consumables.resin", In::Every),
    ("tools.hydraulic", In::Every),
    ("tools.cartridge", In::Every),
    ("tools.powered", In::Every),
    ("bonding.scheme", In::Every),
    ("plant.kind", In::Every),
    ("job.end_name", In::Every),
    ("job.replaces", In::Every),
    ("people.prepared.date", In::Every),
    ("people.checked.date", In::Every),
    ("people.approved.date", In::Every),
    ("documents.identification", In::Every),
    ("work.piece_removed", In::CableCut),
    ("bay.width", In::Joint),
    ("bay.under", In::Joint),
    ("bay.straight_each_side", In::Joint),
    ("cable.min_bend_core_to", In::NewEnd),
    ("enclosure.plate.metal", In::Boxed),
    ("enclosure.plate.thickness", In::Boxed),
    ("layout.first_cleat", In::NewPole),
    ("layout.cleats", In::NewPole),
    ("layout.armour", In::NewPole),
    ("kit.filler.material", In::Filler),
    ("kit.filler.tolerance", In::Filler),
    ("kit.outer_tube.over_lug", In::TubeEnd),
    ("kit.outer_tube.over_breakout", In::TubeEnd),
    ("kit.sct.supplied", In::TubeEnd),
    ("kit.sheds.first", In::NewPole),
    ("kit.sheds.pitch", In::NewPole),
    ("kit.test_adaptor", In::Connector),
    ("kit.witness_mark", In::Connector),
    ("kit.stop_below_edge", In::Connector),
    ("kit.store_least", In::Connector),
    ("lug.palm", In::Connector),
    ("kit.sheet.number", In::KnownKitInspected),
    ("kit.sheet.issue", In::KnownKitInspected),
];

const KEYS: usize = MUST.len() + SHOULD.len();
/// What tells where an answer is printed, and every answer.
const INPUTS: &[&str] = &{
    let first = [
        "family",
        "stress_part",
        "kit.filler.required",
        "found_outdoors",
        "kit_known",
        "connection",
        "work.cuts_existing_cable",
        "tests.planned",
        "arresters.fitted",
    ];
    let mut all = [""; KEYS + 9];
    let mut i = 0;
    while i < all.len() {
        all[i] = if i < MUST.len() {
            MUST[i].0
        } else if i < KEYS {
            SHOULD[i - MUST.len()].0
        } else {
            first[i - KEYS]
        };
        i += 1;
    }
    all
};

impl In {
    /// Whether it prints in this job.
    fn prints(self, x: &Inputs) -> Result<bool, Gap> {
        let family = x.word("family")?;
        let outdoors = family == "outdoor" || x.yes("found_outdoors")?;
        let of = |families: &[&str]| families.contains(&family.as_str());
        let fits = family != "inspection";
        Ok(match self {
            In::Every => true,
            In::Tests => x.yes("tests.planned")?,
            In::Untested => fits && !x.yes("tests.planned")?,
            In::NewWork => fits && x.yes("tests.planned")?,
            In::Palm => !of(&["joint"]),
            In::Pressed => fits && x.word("connection")? == "pressed",
            In::Joint => of(&["joint"]),
            In::PoleInspected => outdoors && !fits,
            In::Arresters => outdoors && x.yes("arresters.fitted")?,
            In::Boxed => of(&["box"]) || (!fits && !outdoors),
            In::NewEnd => of(&["box", "outdoor", "connector"]),
            In::FreeEnd => of(&["outdoor", "connector"]),
            In::NewPole => of(&["outdoor"]),
            In::TubeEnd => of(&["box", "outdoor"]) && x.word("stress_part")? == "tube",
            // Whether it is required is asked by a rule of its own.
            In::Filler => fits && x.yes("kit.filler.required").unwrap_or(false),
            In::Connector => of(&["connector"]),
            In::Inspection => !fits,
            In::KnownKitInspected => !fits && x.yes("kit_known")?,
            In::CableCut => fits && x.yes("work.cuts_existing_cable")?,
        })
    }
}

/// Every key without an answer, by its title and its name.
fn open(x: &Inputs, keys: &[(&'static str, In)]) -> Result<Out, Gap> {
    let mut open = Vec::new();
    for (key, printed) in keys {
        if printed.prints(x)? && !x.answered(key) {
            let known = leaf_keys().get(key);
            // Blanks that hold a line of a form together are plain ones here.
            let takes = known.map_or(String::new(), |known| known.hint().replace('\u{a0}', " "));
            let takes = if takes.is_empty() { "text".into() } else { takes };
            let title = known.map_or("", |known| known.title);
            open.push((format!("{title} (`{key}`: {takes})"), key.to_string()));
        }
    }
    Ok(if open.is_empty() { Out::None("none") } else { Out::Open(open) })
}

const fn def(
    name: &'static str,
    title: &'static str,
    formula: &'static str,
    compute: fn(&Inputs) -> Result<Out, Gap>,
) -> Def {
    Def {
        name,
        title,
        formula,
        inputs: INPUTS,
        mark: Mark::Planner,
        show: Show::Word,
        meaning: "\"No\" and \"none\" are answers; silence is none.",
        compute,
    }
}

pub(super) const FACTS: &[Def] = &[
    def(
        "paper_open",
        "what points, tests and documents print and nobody says",
        "all answers without which a limit, a test, a tool or a place prints as not answered",
        |x| open(x, MUST),
    ),
    def(
        "paper_unsaid",
        "what cautions and front sheet print and nobody says",
        "all answers without which a caution or the front sheet prints as not answered",
        |x| open(x, SHOULD),
    ),
];
