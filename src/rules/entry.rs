//! What a rule file holds.

use crate::finding::Grade;
use serde::Deserialize;

/// One rule.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Entry {
    /// Letter and two digits: `B02`.
    pub code: String,
    /// Name of the wrong, readable after "allow": `phases-too-close`.
    pub name: String,
    pub title: String,
    /// What the rule means, for `explain`.
    pub meaning: String,
    /// Expression; where it is false the rule has nothing to judge.
    #[serde(default)]
    pub applies: Option<String>,
    /// What the rule asks one by one (`reading`, `photo`); else the whole.
    #[serde(default)]
    pub each: Option<String>,
    /// It misses something, and so only speaks of what is said to be complete.
    #[serde(default)]
    pub complete: bool,
    /// What is done to win room and is no way out, for `explain` and the pack.
    #[serde(default)]
    pub never: Vec<String>,
    pub checks: Vec<Check>,
    /// A house's own rule may have none; ours can't.
    #[serde(default)]
    pub proofs: Vec<Proof>,
    /// What an owner's layer changed in it; empty for a rule as built in.
    #[serde(skip)]
    pub layers: Vec<String>,
}

/// One question of a rule. The first rung whose condition holds makes the
/// finding.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Check {
    pub id: String,
    pub title: String,
    #[serde(default)]
    pub applies: Option<String>,
    pub ladder: Vec<Rung>,
    /// Facts printed with the finding, and named in an acceptance.
    #[serde(default)]
    pub figures: Vec<String>,
    #[serde(default)]
    pub actual: Option<String>,
    #[serde(default)]
    pub limit: Option<String>,
    /// Whether more than the limit is wrong (the limit is a greatest value).
    #[serde(default)]
    pub limit_is_most: bool,
    /// The given fact whose place is pointed at.
    pub at: String,
    /// Further places, each with what to say there.
    #[serde(default)]
    pub also: Vec<(String, String)>,
    /// Facts that say at which setting of one measure the check would pass, and
    /// the words for it; a fact that has no answer here is left out.
    #[serde(default)]
    pub would_pass: Vec<(String, String)>,
    pub basis: String,
}

/// One grade of a check.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Rung {
    #[serde(deserialize_with = "grade")]
    pub grade: Grade,
    pub when: String,
    pub message: String,
    pub remedy: String,
}

fn grade<'de, D: serde::Deserializer<'de>>(from: D) -> Result<Grade, D::Error> {
    match String::deserialize(from)?.as_str() {
        "blocks" | "reject" | "redesign" => Ok(Grade::Blocks),
        "asks" | "query" | "remake" => Ok(Grade::Asks),
        "advises" | "note" | "watch" => Ok(Grade::Advises),
        other => Err(serde::de::Error::custom(format!(
            "`{other}` is none of: blocks, asks, advises (reject, query, note; redesign, remake, watch)"
        ))),
    }
}

/// One edit of a sound job and what it changes in the findings.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Proof {
    /// File name of the sound job, without its ending; for a record, of its job.
    pub job: String,
    #[serde(default)]
    pub edit: Option<Edit>,
    /// Several edits that only together are one change.
    #[serde(default)]
    pub edits: Vec<Edit>,
    /// A change beside a record: register, files, other records.
    #[serde(default)]
    pub with: serde_json::Value,
    /// Findings that were not there before: `B02 spread blocks`.
    pub new: Vec<Expected>,
    /// Findings of the sound job that are no longer there.
    #[serde(default)]
    pub gone: Vec<Expected>,
}

impl Proof {
    pub fn edits(&self) -> impl Iterator<Item = &Edit> {
        self.edit.iter().chain(&self.edits)
    }
}

/// A value put in place of another; no value removes the answer.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Edit {
    pub set: String,
    #[serde(default)]
    pub to: Option<String>,
}

/// A finding of a proof: code, check and grade, and for one that is not of the
/// proved rule the reason why it must go with it.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Expected {
    pub finding: String,
    #[serde(default)]
    pub because: Option<String>,
}

/// A rule that is planned and not built.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Coming {
    pub code: String,
    pub name: String,
    pub title: String,
}
