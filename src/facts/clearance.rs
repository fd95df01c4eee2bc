//! Bare live metal in air, altitude, boots, and the palms during the test.

use super::def::{Def, Gap, Inputs, Out, Show, refused};
use crate::calc::{
    AltitudeInput, Clearance, ClearanceInput, ClearanceRow, FORM_IEC62271_1, TestClearanceInput, altitude,
    altitude_factor, clearance_lookup, test_clearance,
};
use crate::job::schema::Mark;
use crate::tables::{
    ALTITUDE_SOURCE, APPROACH_SOURCE, CLEARANCE_SOURCE, CLEARANCES, IMPULSE_LEVELS_KV, approach_mm,
};

const AIR: &[&str] = &["system.highest", "system.impulse_level", "site.altitude", "site.outdoor"];

fn air(x: &Inputs) -> Result<Clearance, Gap> {
    let [um_kv, liwv_kv, altitude_mm] =
        x.numbers(["system.highest", "system.impulse_level", "site.altitude"])?;
    let place = if x.yes("site.outdoor")? { "outdoor" } else { "indoor" };
    let rows: Vec<ClearanceRow> = CLEARANCES
        .iter()
        .map(|r| ClearanceRow {
            um_kv: r.um_kv,
            liwv_kv: r.impulse_kv,
            indoor_mm: r.indoor_mm,
            outdoor_mm: r.outdoor_mm,
        })
        .collect();
    let input = ClearanceInput {
        um_kv,
        liwv_kv,
        altitude_m: altitude_mm / 1000.0,
        place: place.into(),
        form: FORM_IEC62271_1.into(),
    };
    clearance_lookup(&rows, &input).map_err(|r| refused(r.code(), r))
}

const METAL: &[&str] = &[
    "enclosure.stud_pitch",
    "enclosure.stud_to_wall",
    "enclosure.stud_to_cover",
    "enclosure.stud_to_back",
    "enclosure.arcing_distance",
    "family",
    "lug.palm_width",
];

fn phase_to_phase(x: &Inputs) -> Result<f64, Gap> {
    let [pitch, palm] = x.numbers(["enclosure.stud_pitch", "lug.palm_width"])?;
    Ok(pitch - palm)
}

fn phase_to_earth(x: &Inputs) -> Result<f64, Gap> {
    if x.word("family")? == "outdoor" {
        return x.number("enclosure.arcing_distance");
    }
    let [wall, cover, back, palm] = x.numbers([
        "enclosure.stud_to_wall",
        "enclosure.stud_to_cover",
        "enclosure.stud_to_back",
        "lug.palm_width",
    ])?;
    Ok(wall.min(cover).min(back) - palm / 2.0)
}

const LIVE: &[&str] = &[
    "system.highest",
    "system.impulse_level",
    "site.altitude",
    "site.outdoor",
    "enclosure.stud_pitch",
    "enclosure.stud_to_wall",
    "enclosure.stud_to_cover",
    "enclosure.stud_to_back",
    "enclosure.arcing_distance",
    "family",
    "lug.palm_width",
    "boots.code",
    "boots.phase_to_phase",
    "boots.phase_to_earth",
];

fn short(x: &Inputs) -> Result<bool, Gap> {
    let table = air(x)?.clearance_mm;
    Ok(phase_to_phase(x)? < table - 1e-6 || phase_to_earth(x)? < table - 1e-6)
}

fn has_boots(x: &Inputs) -> Result<bool, Gap> {
    Ok(x.word("boots.code")? != "none")
}

fn needed(x: &Inputs, boots: &'static str) -> Result<Out, Gap> {
    if short(x)? && has_boots(x)? {
        return x.number(boots).map(Out::Number);
    }
    Ok(Out::Number(air(x)?.clearance_mm))
}

const fn live(
    name: &'static str,
    title: &'static str,
    formula: &'static str,
    show: Show,
    compute: fn(&Inputs) -> Result<Out, Gap>,
) -> Def {
    Def { name, title, formula, inputs: LIVE, mark: Mark::Computed, show, meaning: "", compute }
}

pub(super) const FACTS: &[Def] = &[
    Def {
        name: "altitude_factor",
        title: "altitude factor",
        formula: "exp((H - 1000)/8150) above 1000 m, else 1",
        inputs: &["site.altitude"],
        mark: Mark::Standard(ALTITUDE_SOURCE),
        show: Show::Factor,
        meaning: "A rated level serves up to 1000 m; above, external insulation needs more. This is the convention of IEC 62271-1, which counts from 1000 m. IEC 60071-2 counts from sea level; on a rated level that would count the first kilometre twice.",
        compute: |x| {
            let metres = x.number("site.altitude")? / 1000.0;
            altitude_factor(FORM_IEC62271_1, metres, 1.0).map(Out::Number).map_err(|r| refused(r.code(), r))
        },
    },
    Def {
        name: "impulse_needed",
        title: "impulse level needed at this altitude",
        formula: "altitude_factor x system.impulse_level",
        inputs: &["site.altitude", "system.impulse_level"],
        mark: Mark::Standard(ALTITUDE_SOURCE),
        show: Show::Kv(1),
        meaning: "",
        compute: |x| {
            let [altitude_mm, liwv_kv] = x.numbers(["site.altitude", "system.impulse_level"])?;
            let input = AltitudeInput {
                form: FORM_IEC62271_1.into(),
                altitude_m: altitude_mm / 1000.0,
                m: 1.0,
                liwv_kv,
            };
            altitude(IMPULSE_LEVELS_KV, &input)
                .map(|level| Out::Number(level.required_kv))
                .map_err(|r| refused(r.code(), r))
        },
    },
    Def {
        name: "bare_clearance",
        title: "clearance of bare metal in air by the table",
        formula: "row of the least tabulated level not below impulse_needed; stepwise, never between rows",
        inputs: AIR,
        mark: Mark::Standard(CLEARANCE_SOURCE),
        show: Show::MmUp,
        meaning: "Phase to earth and phase to phase alike; for bare metal only, never for tube surfaces or for people.",
        compute: |x| Ok(Out::Number(air(x)?.clearance_mm)),
    },
    Def {
        name: "live_phase_to_phase",
        title: "live metal, phase to phase",
        formula: "enclosure.stud_pitch - lug.palm_width",
        inputs: &["enclosure.stud_pitch", "lug.palm_width"],
        mark: Mark::Computed,
        show: Show::Mm(0),
        meaning: "",
        compute: |x| phase_to_phase(x).map(Out::Number),
    },
    Def {
        name: "live_phase_to_earth",
        title: "live metal to earthed metal",
        formula: "least of wall, cover and back - half of lug.palm_width; outdoors enclosure.arcing_distance",
        inputs: METAL,
        mark: Mark::Computed,
        show: Show::Mm(0),
        meaning: "",
        compute: |x| phase_to_earth(x).map(Out::Number),
    },
    live(
        "live_short",
        "live metal nearer than the table allows",
        "either live figure below bare_clearance",
        Show::Word,
        |x| short(x).map(Out::YesNo),
    ),
    live(
        "boots_reach",
        "boots allow the live clearance",
        "both live figures reach what the boots state",
        Show::Word,
        |x| {
            if !has_boots(x)? {
                return Ok(Out::YesNo(false));
            }
            let [phase, earth] = x.numbers(["boots.phase_to_phase", "boots.phase_to_earth"])?;
            Ok(Out::YesNo(phase_to_phase(x)? >= phase - 1e-6 && phase_to_earth(x)? >= earth - 1e-6))
        },
    ),
    live(
        "relies_on_boots",
        "live clearance relies on boots",
        "live_short, and boots are fitted",
        Show::Word,
        |x| Ok(Out::YesNo(short(x)? && has_boots(x)?)),
    ),
    live(
        "live_gap_phase_needed",
        "least distance of bare metal, phase to phase",
        "boots.phase_to_phase where boots are relied on, else bare_clearance",
        Show::MmUp,
        |x| needed(x, "boots.phase_to_phase"),
    ),
    live(
        "live_gap_earth_needed",
        "least distance of bare metal to earth",
        "boots.phase_to_earth where boots are relied on, else bare_clearance",
        Show::MmUp,
        |x| needed(x, "boots.phase_to_earth"),
    ),
    Def {
        name: "outdoor_phase_gap",
        title: "gap between phases outdoors",
        formula: "enclosure.stud_pitch - dia_outer_at_edge",
        inputs: &["enclosure.stud_pitch", "dia_outer_at_edge"],
        mark: Mark::Computed,
        show: Show::Mm(1),
        meaning: "Ends that stand straight beside each other on one crossarm; the hold point measures.",
        compute: |x| {
            let [pitch, tube] = x.numbers(["enclosure.stud_pitch", "dia_outer_at_edge"])?;
            Ok(Out::Number(pitch - tube))
        },
    },
    Def {
        name: "outdoor_earth_gap",
        title: "gap from tube or body to earthed metal beside it, outdoors",
        formula: "enclosure.core_to_earthed - half of dia_outer_at_edge",
        inputs: &["enclosure.core_to_earthed", "dia_outer_at_edge"],
        mark: Mark::Computed,
        show: Show::Mm(1),
        meaning: "Crossarm, bracket, stay or earth lead that stands beside the live length; sheds do not count. The hold point measures.",
        compute: |x| {
            let [beside, tube] = x.numbers(["enclosure.core_to_earthed", "dia_outer_at_edge"])?;
            Ok(Out::Number(beside - tube / 2.0))
        },
    },
    Def {
        name: "arm_below_terminal",
        title: "height of the terminal above the earthed metal nearest to it",
        formula: "root of enclosure.arcing_distance squared - enclosure.core_to_earthed squared",
        inputs: &["enclosure.arcing_distance", "enclosure.core_to_earthed"],
        mark: Mark::Computed,
        show: Show::Mm(0),
        meaning: "Where one edge of a crossarm is what is nearest both to the terminal and to the core.",
        compute: |x| {
            let [arcing, beside] = x.numbers(["enclosure.arcing_distance", "enclosure.core_to_earthed"])?;
            if beside >= arcing {
                return Ok(Out::None("beside the terminal"));
            }
            Ok(Out::Number((arcing * arcing - beside * beside).sqrt()))
        },
    },
    Def {
        name: "approach_distance",
        title: "distance of approach to live parts, vicinity zone",
        formula: "by the voltage of live parts beside the work, else the system's; interpolated between rows",
        inputs: &["site.adjacent_voltage", "system.nominal"],
        mark: Mark::Standard(APPROACH_SOURCE),
        show: Show::MmUp,
        meaning: "The outer limit of the vicinity zone; the owner's rule comes first, and some rules add for altitude.",
        compute: |x| {
            let kv = x.number("site.adjacent_voltage").or_else(|_| x.number("system.nominal"))?;
            approach_mm(kv).map(Out::Number).ok_or_else(|| {
                refused("voltage-not-in-table", format!("no distance of approach is tabulated for {kv} kV"))
            })
        },
    },
    Def {
        name: "test_clearance",
        title: "air between palms during the test",
        formula: "4 mm x peak of tests.vlf in kV (sqrt 2 x an r.m.s. value)",
        inputs: &["tests.vlf", "enclosure.stud_pitch", "lug.palm_width"],
        mark: Mark::CommonPractice,
        show: Show::MmUp,
        meaning: "Between a palm under test and its earthed neighbours; the maker's figure first.",
        compute: |x| {
            let test_kv_rms = super::testing::test_rms(x)?;
            // The clearance rests on the voltage alone; a joint has no palms.
            let stud_pitch_mm = x.maybe("enclosure.stud_pitch").unwrap_or(0.0);
            let palm_width_mm = x.maybe("lug.palm_width").unwrap_or(0.0);
            let input =
                TestClearanceInput { test_kv_rms, stud_pitch_mm, palm_width_mm, mm_per_kv_peak: None };
            test_clearance(&input).map(|t| Out::Number(t.test_clearance_mm)).map_err(|r| refused(r.code(), r))
        },
    },
];
