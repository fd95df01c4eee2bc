//! What the papers of a job leave open: isolation, documents, people, answers
//! about the site. Each fact names what is missing and where, or is `none`.

use super::def::{Def, Gap, Inputs, Out, Show};
use crate::job::Value;
use crate::job::schema::Mark;
use std::collections::BTreeMap;

type Entry = BTreeMap<String, Value>;

/// From here on a fall is planned for. Common practice, no source: the Work at Height
/// Regulations 2005 (from memory) name no height at all.
const AT_HEIGHT_MM: f64 = 2000.0;

/// From here on a pit holds its own air: the hold on it prints, and a gas plan is due.
/// Common practice, no source.
const PIT_MM: f64 = 1200.0;

/// Whether the air of the work place is tested before anyone goes in; the hold point and the
/// hazard of the pit stand on the same two answers.
fn in_pit(x: &Inputs) -> Result<bool, Gap> {
    Ok(x.yes("site.confined")? || x.number("site.depth")? >= PIT_MM)
}

const fn def(
    name: &'static str,
    title: &'static str,
    formula: &'static str,
    inputs: &'static [&'static str],
    compute: fn(&Inputs) -> Result<Out, Gap>,
) -> Def {
    Def { name, title, formula, inputs, mark: Mark::Computed, show: Show::Word, meaning: "", compute }
}

/// What is left open, each with the key it belongs to.
#[derive(Default)]
struct Open(Vec<(String, String)>);

impl Open {
    fn push(&mut self, at: &str, words: impl Into<String>) {
        self.0.push((words.into(), at.to_string()));
    }

    fn out(self) -> Result<Out, Gap> {
        Ok(if self.0.is_empty() { Out::None("none") } else { Out::Open(self.0) })
    }
}

fn text(entry: &Entry, key: &str) -> String {
    entry.get(key).map(Value::to_string).unwrap_or_default()
}

fn incomplete_points(points: &[Entry]) -> Open {
    let mut open = Open::default();
    if points.is_empty() {
        open.push("isolation.points", "no isolation point is listed");
    }
    for (i, point) in points.iter().enumerate() {
        for (key, words) in [
            ("device", "no device"),
            ("locked_by", "no way of locking"),
            ("earth", "no earth"),
            ("by", "nobody who does it"),
        ] {
            let given = text(point, key);
            let nothing = given.trim().eq_ignore_ascii_case("none");
            let at = format!("isolation.points.{i}.{key}");
            if given.is_empty() || (nothing && key != "earth") {
                open.push(&at, format!("point {} has {words}", i + 1));
            } else if nothing {
                // Where no earth fits (a low-voltage breaker), what holds it dead is said instead.
                open.push(&at, format!("point {} has no earth and no reason for that", i + 1));
            }
        }
    }
    open
}

/// Roles that must be on the list, by the word they hold.
fn people_open(crew: &[Entry], x: &Inputs) -> Result<Open, Gap> {
    let planned = x.word("job.planned")?;
    let um = x.number("system.highest")?;
    // An inspection fits nothing, and the kit may not be known any more.
    let technique = match x.word("family")?.as_str() {
        "inspection" => None,
        _ => Some(x.word("kit.technique")?),
    };
    let mut open = Open::default();
    if !crew.iter().any(|p| text(p, "role").contains("jointer")) {
        open.push("crew", "no jointer is named");
    }
    if x.yes("at_height")? {
        let may = |p: &Entry, key: &str| matches!(p.get(key), Some(Value::YesNo(true)));
        let place = if x.yes("site.pole")? {
            "work on a pole".to_string()
        } else {
            format!("work {} m above ground", x.number("site.height")? / 1000.0)
        };
        if !crew.iter().any(|p| may(p, "height_rescue")) {
            let words = format!("{place}, and nobody is named to bring a person down (`height_rescue`)");
            open.push("crew", words);
        }
        if !crew.iter().any(|p| text(p, "role").contains("jointer") && may(p, "height_work")) {
            open.push("crew", format!("{place}, and no jointer is authorised for it (`height_work`)"));
        }
    }
    for (i, person) in crew.iter().enumerate() {
        let at = |key: &str| format!("crew.{i}.{key}");
        let role = text(person, "role");
        if role.is_empty() {
            open.push(&at("role"), "a person without a role");
            continue;
        }
        if text(person, "authorisation").is_empty() {
            open.push(&at("authorisation"), format!("{role} has no authorisation"));
            continue;
        }
        // ISO dates compare as text.
        let valid = text(person, "valid_to");
        if valid.is_empty() || valid < planned {
            let until = if valid.is_empty() { "no stated date" } else { &valid };
            open.push(&at("valid_to"), format!("{role} is authorised until {until}"));
        }
        if !role.contains("jointer") {
            continue;
        }
        match person.get("up_to").and_then(Value::number) {
            Some(kv) if kv >= um - 1e-9 => {}
            _ => open.push(&at("up_to"), format!("{role} is not authorised for Um {um} kV")),
        }
        let Some(technique) = &technique else { continue };
        match person.get("techniques") {
            Some(Value::Texts(known)) if known.contains(technique) => {}
            _ => open.push(&at("techniques"), format!("{role} is not authorised for {technique}")),
        }
    }
    Ok(open)
}

fn back_feed(x: &Inputs) -> Open {
    let mut open = Open::default();
    for (name, source) in [
        ("isolation.back_feed.low_voltage", "low voltage"),
        ("isolation.back_feed.voltage_transformer", "voltage transformer"),
        ("isolation.back_feed.generator", "generator"),
        ("isolation.back_feed.solar", "solar"),
        ("isolation.back_feed.ring_end", "ring end"),
        ("isolation.back_feed.capacitor", "capacitor"),
    ] {
        if !x.answered(name) {
            open.push(name, format!("from {source} is not answered"));
        }
    }
    open
}

/// Each of these says that the cable has been in service.
const EXISTING: &[&str] =
    &["work.cuts_existing_cable", "work.opens_existing_cable", "work.removes_old_accessory"];

pub(super) const FACTS: &[Def] = &[
    def(
        "isolation_open",
        "isolation left open",
        "isolation points without device, locking, earth or person; no earth wants its reason, as `none, breaker racked out and locked`",
        &["isolation.points"],
        |x| incomplete_points(x.entries("isolation.points")?).out(),
    ),
    def(
        "back_feed_open",
        "back-feed left open",
        "sources of back-feed without an answer",
        &[
            "isolation.back_feed.low_voltage",
            "isolation.back_feed.voltage_transformer",
            "isolation.back_feed.generator",
            "isolation.back_feed.solar",
            "isolation.back_feed.ring_end",
            "isolation.back_feed.capacitor",
        ],
        |x| back_feed(x).out(),
    ),
    def(
        "documents_open",
        "safety documents left open",
        "documents, guard or contact that the sequence needs and the job does not name",
        &[
            "documents.permit",
            "documents.test",
            "documents.far_end_guard",
            "documents.contact",
            "tests.planned",
        ],
        |x| {
            let mut open = Open::default();
            let named = |name| x.word(name).is_ok_and(|w| w != "none");
            if !named("documents.permit") {
                open.push("documents.permit", "no issuer of the permit is named");
            }
            if x.yes("tests.planned")? {
                if !named("documents.test") {
                    open.push("documents.test", "a test is planned and no test document is named");
                }
                if !named("documents.far_end_guard") {
                    open.push("documents.far_end_guard", "a test is planned and nobody guards the far end");
                }
                if !named("documents.contact") {
                    open.push(
                        "documents.contact",
                        "a test is planned and the contact with the far end is not named",
                    );
                }
            }
            open.out()
        },
    ),
    def(
        "existing_cable",
        "existing cable opened or cut, or an old accessory cut off",
        "work.cuts_existing_cable, work.opens_existing_cable or work.removes_old_accessory",
        EXISTING,
        |x| {
            // The cable behind an old end or joint has been in service, whoever cuts it.
            let mut any = false;
            for key in EXISTING {
                any |= x.yes(key)?;
            }
            Ok(Out::YesNo(any))
        },
    ),
    def(
        "identification_open",
        "identification left open",
        "method, document or number of cables missing where existing cable is opened",
        &["existing_cable", "work.identification", "documents.identification", "site.cables_in_trench"],
        |x| {
            let mut open = Open::default();
            if !x.yes("existing_cable")? {
                return open.out();
            }
            let named = |name| x.word(name).is_ok_and(|w| w != "none");
            if !named("work.identification") {
                open.push("work.identification", "no way of identifying the cable is named");
            }
            if !named("documents.identification") {
                open.push("documents.identification", "no document for identification is named");
            }
            if !x.answered("site.cables_in_trench") {
                open.push("site.cables_in_trench", "the number of cables in the trench is not answered");
            }
            open.out()
        },
    ),
    Def {
        name: "at_height",
        title: "work on a pole or at height",
        formula: "site.pole, or site.height of 2000 mm or more",
        inputs: &["site.pole", "site.height"],
        mark: Mark::CommonPractice,
        show: Show::Word,
        meaning: "Whoever hangs in a harness is brought down by people on site, from a structure or a roof as from a pole.",
        compute: |x| Ok(Out::YesNo(x.yes("site.pole")? || x.number("site.height")? >= AT_HEIGHT_MM)),
    },
    def(
        "crew_open",
        "authorisations left open",
        "persons without a valid authorisation for voltage, technique and date",
        &[
            "crew",
            "job.planned",
            "system.highest",
            "kit.technique",
            "at_height",
            "site.pole",
            "site.height",
            "family",
        ],
        |x| {
            let crew = x.entries("crew")?;
            people_open(crew, x)?.out()
        },
    ),
    def(
        "crew_at_sign_on",
        "people named at sign-on",
        "people of the crew who are named only when they sign on",
        &["crew"],
        |x| {
            let at_sign_on = |p: &Entry| p.values().any(|v| v.to_string().contains("named at sign-on"));
            Ok(Out::Count(x.entries("crew")?.iter().filter(|p| at_sign_on(p)).count()))
        },
    ),
    def(
        "site_open",
        "answers about the site left open",
        "answers on access, height, wind, live parts, confined space, and with plant on its old materials, that are missing",
        &[
            "site.access",
            "site.height",
            "site.pole",
            "site.outdoor",
            "site.wind_most",
            "site.adjacent_live",
            "site.adjacent_voltage",
            "circuit.emergency_point",
            "site.confined",
            "site.depth",
            "site.gas_plan",
            "plant.kind",
            "plant.year",
            "plant.asbestos_possible",
            "plant.asbestos_survey",
        ],
        |x| {
            let mut open = Open::default();
            for (name, words) in [
                ("site.access", "access"),
                ("circuit.emergency_point", "the emergency meeting point"),
                ("site.height", "height of the work place"),
                ("site.pole", "whether it is a pole"),
                ("site.outdoor", "whether the work lies outdoors"),
                ("site.adjacent_live", "whether parts beside the work stay live"),
                ("site.confined", "whether it is a confined space"),
            ] {
                if !x.answered(name) {
                    open.push(name, format!("{words} is not answered"));
                }
            }
            if x.yes("site.outdoor").unwrap_or(false) && !x.answered("site.wind_most") {
                open.push("site.wind_most", "work outdoors, and the greatest wind is not answered");
            }
            if x.yes("site.adjacent_live").unwrap_or(false) && !x.answered("site.adjacent_voltage") {
                open.push(
                    "site.adjacent_voltage",
                    "parts beside the work stay live, and their voltage is not answered",
                );
            }
            let plant = x.word("plant.kind").map_or(true, |kind| kind != "none");
            let year = x.maybe("plant.year");
            if plant && year.is_none() {
                open.push("plant.year", "the year the plant was built is not answered");
            }
            if plant && !x.answered("plant.asbestos_possible") {
                open.push("plant.asbestos_possible", "whether asbestos is possible is not answered");
            }
            // What is said of a trench without plant counts; silence is asked of plant only.
            let possible = x.yes("plant.asbestos_possible").unwrap_or(plant);
            if (year.is_some_and(|year| year < 2000.0) || possible) && !x.answered("plant.asbestos_survey") {
                open.push(
                    "plant.asbestos_survey",
                    "plant of before 2000, or with possible asbestos, and no survey is named",
                );
            }
            if in_pit(x).unwrap_or(false) && x.word("site.gas_plan").map_or(true, |w| w == "none") {
                open.push("site.gas_plan", "a confined space or a pit of 1.2 m or more, and no gas plan");
            }
            open.out()
        },
    ),
    def(
        "signatories_open",
        "who answers for the pack, left open",
        "those of prepared, checked and approved without name or authorisation",
        &[
            "people.prepared.name",
            "people.prepared.authorisation",
            "people.checked.name",
            "people.checked.authorisation",
            "people.approved.name",
            "people.approved.authorisation",
        ],
        |x| {
            let lines = [
                ("people.prepared.name", "nobody is named who prepared it"),
                ("people.prepared.authorisation", "who prepared it has no authorisation"),
                ("people.checked.name", "nobody is named who checked it"),
                ("people.checked.authorisation", "who checked it has no authorisation"),
                ("people.approved.name", "nobody is named who approved it"),
                ("people.approved.authorisation", "who approved it has no authorisation"),
            ];
            let mut open = Open::default();
            lines
                .into_iter()
                .filter(|(name, _)| !x.answered(name))
                .for_each(|(name, words)| open.push(name, words));
            open.out()
        },
    ),
    def(
        "flame_used",
        "the work uses a flame",
        "kit.technique is heat-shrink, and a part is fitted",
        &["kit.technique", "family"],
        |x| {
            let fits = x.word("family")? != "inspection";
            Ok(Out::YesNo(fits && x.word("kit.technique")? == "heat-shrink"))
        },
    ),
    def(
        "flame_barred",
        "what bars a flame",
        "hazardous zone, oil or compound in the box, pit or confined space without gas plan, hot-work ban",
        &[
            "site.hazardous_zone",
            "plant.fill",
            "site.confined",
            "site.depth",
            "site.gas_plan",
            "site.hot_work_banned",
        ],
        |x| {
            let mut open = Open::default();
            let zone = x.word("site.hazardous_zone")?;
            if zone != "none" {
                open.push("site.hazardous_zone", format!("a hazardous area, {zone}"));
            }
            let fill = x.word("plant.fill")?.to_lowercase();
            if ["oil", "compound", "bitumen"].iter().any(|w| fill.contains(w)) {
                open.push("plant.fill", format!("the box holds {fill}"));
            }
            if in_pit(x)? && x.word("site.gas_plan")? == "none" {
                open.push("site.gas_plan", "a pit or confined space without a gas plan");
            }
            if x.yes("site.hot_work_banned")? {
                open.push("site.hot_work_banned", "hot work is banned here");
            }
            open.out()
        },
    ),
];
