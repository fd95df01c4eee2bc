//! The files of a house as JSON Schema, for an editor. A test holds the keys here
//! against those the readers take.

use serde_json::{Map, Value as Json, json};

/// One file of a house.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum HouseFile {
    Head,
    Grades,
    Points,
    Words,
    Weights,
    Rules,
    Hazards,
}

impl HouseFile {
    pub const ALL: [HouseFile; 7] = [
        HouseFile::Head,
        HouseFile::Grades,
        HouseFile::Points,
        HouseFile::Words,
        HouseFile::Weights,
        HouseFile::Rules,
        HouseFile::Hazards,
    ];

    /// Where it lies in the folder of a house.
    pub fn place(self) -> &'static str {
        match self {
            HouseFile::Head => "house.yaml",
            HouseFile::Grades => "grades.yaml",
            HouseFile::Points => "points.yaml",
            HouseFile::Words => "words.yaml",
            HouseFile::Weights => "weights.yaml",
            HouseFile::Rules => "rules/",
            HouseFile::Hazards => "hazards/",
        }
    }

    /// JSON Schema of it.
    pub fn schema(self) -> Json {
        let body = match self {
            HouseFile::Head => group(
                &[
                    ("name", text("Name of the owner")),
                    ("revision", text("Revision of this house")),
                    ("issued_by", text("Who issued it, by name and authorisation")),
                ],
                &[],
            ),
            HouseFile::Grades => list(grade()),
            HouseFile::Points => {
                list(group(&[("after", text("Name of the step it stands behind")), ("point", point())], &[]))
            }
            HouseFile::Words => group(
                &[(
                    "steps",
                    json!({
                        "title": "Sentences of steps, by the step's name; every figure of the sentence replaced stands in the new one",
                        "type": "object",
                        "additionalProperties": {"type": "string"},
                    }),
                )],
                &[],
            ),
            HouseFile::Weights => json!({
                "type": "object",
                "additionalProperties": {"anyOf": [{"type": "number", "minimum": 0}, {"enum": ["none"]}]},
            }),
            HouseFile::Rules => list(rule()),
            HouseFile::Hazards => list(hazard()),
        };
        let mut out = Map::new();
        out.insert("$schema".into(), json!("https://json-schema.org/draft/2020-12/schema"));
        out.insert("title".into(), json!(format!("{} of a house of cutback", self.place())));
        out.extend(body.as_object().cloned().unwrap_or_default());
        Json::Object(out)
    }
}

type Keys<'a> = &'a [(&'a str, Json)];

fn group(required: Keys, others: Keys) -> Json {
    let properties: Map<String, Json> =
        required.iter().chain(others).map(|(name, schema)| ((*name).to_string(), schema.clone())).collect();
    let names: Vec<&str> = required.iter().map(|(name, _)| *name).collect();
    json!({
        "type": "object",
        "properties": properties,
        "required": names,
        "additionalProperties": false,
    })
}

fn list(items: Json) -> Json {
    json!({"type": "array", "items": items})
}

fn text(title: &str) -> Json {
    json!({"type": "string", "title": title})
}

fn yes(title: &str) -> Json {
    json!({"type": "boolean", "title": title})
}

fn texts(title: &str) -> Json {
    json!({"type": "array", "items": {"type": "string"}, "title": title})
}

fn pairs(title: &str) -> Json {
    json!({"type": "array", "items": texts("A name and its words"), "title": title})
}

/// True, or the condition on which there is one a phase.
fn each_phase() -> Json {
    json!({"type": ["boolean", "string"], "title": "One a phase, or where"})
}

fn one_of(title: &str, words: &[&str]) -> Json {
    json!({"title": title, "enum": words})
}

fn grade() -> Json {
    let grades = ["blocks", "asks", "advises"];
    let who = group(
        &[
            ("name", text("Who takes it on")),
            ("authorisation", text("Authorisation")),
            ("why", text("Why")),
            ("date", json!({"type": "string", "title": "Day", "format": "date"})),
        ],
        &[],
    );
    group(
        &[("rule", text("Code of a rule, like W02"))],
        &[
            ("check", text("One check of it; else every one")),
            ("at_least", one_of("Stricter: every lower grade is raised to this", &grades)),
            ("at_most", one_of("Milder: every higher grade is lowered to this", &grades)),
            ("taken_on", who),
        ],
    )
}

fn rule() -> Json {
    let rung = group(
        &[
            ("grade", one_of("Grade", &["blocks", "asks", "advises"])),
            ("when", text("Condition over facts")),
            ("message", text("What is wrong, with figures as {{ fact }}")),
            ("remedy", text("What would help")),
        ],
        &[],
    );
    let check = group(
        &[
            ("id", text("Name of the check")),
            ("title", text("What it asks")),
            ("ladder", list(rung)),
            ("at", text("The key of the job it points at")),
            ("basis", text("Where its limit is from")),
        ],
        &[
            ("applies", text("Condition; else always")),
            ("figures", texts("Facts printed with it, and named in an acceptance")),
            ("actual", text("Fact that is held against the limit")),
            ("limit", text("Fact that is the limit")),
            ("limit_is_most", yes("More than the limit is wrong")),
            ("also", pairs("Further places")),
            ("would_pass", pairs("Facts that say where it would pass")),
        ],
    );
    group(
        &[
            ("code", json!({"type": "string", "title": "Code", "pattern": "^H[0-9]{2}$"})),
            ("name", text("Name of the wrong, readable after `allow`")),
            ("title", text("Title")),
            ("meaning", text("What it means, for `explain`")),
            ("checks", list(check)),
        ],
        &[("applies", text("Condition; else every job")), ("never", texts("What is no way out"))],
    )
}

fn point() -> Json {
    let part = group(&[("id", text("Name")), ("title", text("Title"))], &[("unit", text("Unit"))]);
    let words = group(
        &[],
        &[
            ("begins", texts("An answer that begins so is right")),
            ("names", texts("One of these is named; track* is every word that begins so")),
            ("against", texts("None of these is named")),
        ],
    );
    let record = group(
        &[],
        &[
            ("id", text("Name in the record")),
            ("parts", list(part)),
            ("pairs", yes("The three blanks are pairs of phases")),
            ("equal", yes("It must be the printed text")),
            ("never", yes("Outside its limit there is no concession")),
            ("plan", text("The planned figure")),
            ("key", yes("A key figure")),
            ("words", words),
            ("elsewhere", yes("Another group of the record asks for it")),
        ],
    );
    let measure = group(
        &[
            ("name", text("What is measured")),
            ("unit", text("Unit, or text, count, yes/no, date, time")),
            ("limits", text("Limits as they print")),
            ("basis", text("Where they are from")),
        ],
        &[("phases", each_phase()), ("when", text("Condition")), ("record", record)],
    );
    let frame = group(
        &[
            ("text", text("What the photograph shows")),
            ("count", json!({"type": "integer", "minimum": 0, "title": "How many"})),
            ("card", text("Label card in it")),
        ],
        &[("phases", yes("One a phase")), ("when", text("Condition"))],
    );
    let reason = group(&[("text", text("Sentence"))], &[("when", text("Condition"))]);
    group(
        &[
            ("id", text("Name of the point")),
            ("letter", one_of("Witness, review or check", &["W", "R", "C"])),
            ("title", text("Title")),
            ("prevents", text("What it prevents")),
            ("measures", list(measure)),
            ("by", text("Who does it")),
            ("released_by", text("Who releases it")),
            ("not_met", text("What to do where it is not met")),
            ("when_text", text("When, in words")),
        ],
        &[
            ("called", text("What a job calls it when it names its releaser")),
            ("becomes", text("The letter it takes instead")),
            ("letter_when", text("Where it takes it")),
            ("when", text("Condition")),
            ("key", yes("One of those that most early failures come from")),
            ("hidden", yes("What covers it hides it for good")),
            ("reasons", list(reason)),
            ("frames", list(frame)),
        ],
    )
}

fn hazard() -> Json {
    let leans_on = json!({
        "type": "object",
        "title": "What it leans on, by jurisdiction",
        "properties": {"any": {"type": "string"}, "uk": {"type": "string"}, "eu": {"type": "string"}, "us": {"type": "string"}},
        "additionalProperties": false,
    });
    group(
        &[
            ("id", text("Name")),
            ("title", text("Title")),
            ("severity", one_of("Severity", &["danger", "warning", "caution"])),
            ("fact", text("The fact that brings it up")),
            ("caution", text("What happens")),
            ("do", texts("What to do")),
            ("leans_on", leans_on),
        ],
        &[
            ("when", texts("Conditions, any of which is enough")),
            ("when_steps", texts("Steps, any of which is enough")),
            ("when_flame", yes("A step with a flame is enough")),
            (
                "names",
                one_of("A list of the job that ends the fact", &["points", "back_feed", "flame_steps"]),
            ),
            ("controls", texts("Points that hold it")),
        ],
    )
}
