//! The ways out as data: names, weights, what else each changes in a job and
//! what has to be seen to.

use crate::calc::Remedy;
use crate::job;
use serde::Deserialize;
use std::collections::BTreeMap;

const FILE: &str = "templates/remedies/ways.yaml";

/// All ways, and how they are held together.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Ways {
    pub(super) most_together: usize,
    /// Codes of the rules that must pass afterwards.
    pub(super) must_pass: Vec<String>,
    technique_makes: BTreeMap<String, String>,
    ways: Vec<Way>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Way {
    id: Id,
    /// In plain words, readable after a colon.
    pub name: String,
    /// Common practice, no source.
    pub weight: f64,
    /// What has to be seen to, and no figure shows.
    #[serde(default)]
    pub needs: Vec<String>,
    /// What else it changes in the job file.
    #[serde(default)]
    pub(super) also: Vec<Also>,
}

/// A further change that goes with a way.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Also {
    /// Dotted name of a key or a group.
    pub set: String,
    /// The new text, `{name}` standing for another key of the changed job;
    /// nothing takes the key out.
    #[serde(default)]
    pub to: Option<String>,
    /// Left alone where it says one of these already.
    #[serde(default)]
    pub unless: Vec<String>,
    pub why: String,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
enum Id {
    CoreOrder,
    EdgeUp,
    CrutchLower,
    CrutchOutside,
    OtherKit,
    Extension,
}

impl Id {
    fn of(remedy: Remedy) -> Id {
        match remedy {
            Remedy::CoreOrder => Id::CoreOrder,
            Remedy::EdgeUp => Id::EdgeUp,
            Remedy::CrutchLower => Id::CrutchLower,
            Remedy::CrutchOutside => Id::CrutchOutside,
            Remedy::OtherKit => Id::OtherKit,
            Remedy::Extension => Id::Extension,
        }
    }
}

impl Ways {
    /// The ways built into the binary.
    ///
    /// # Errors
    /// A fault in our own file, in words.
    pub fn built_in() -> Result<Ways, String> {
        Ways::read(include_str!("../../templates/remedies/ways.yaml"))
    }

    /// Reads a file of ways.
    ///
    /// # Errors
    /// What is wrong with it, with the file's name.
    pub fn read(text: &str) -> Result<Ways, String> {
        let fault = |what: String| format!("{FILE}: {what}");
        let ways: Ways = serde_yaml::from_str(text).map_err(|e| fault(e.to_string()))?;
        for remedy in Remedy::ALL {
            let same = ways.ways.iter().filter(|w| w.id == Id::of(remedy)).count();
            if same > 1 {
                return Err(fault(format!("the way {:?} stands there {same} times", Id::of(remedy))));
            }
        }
        let keys = job::leaf_keys();
        let known =
            |name: &str| keys.contains_key(name) || keys.keys().any(|k| k.starts_with(&format!("{name}.")));
        for way in &ways.ways {
            if !way.weight.is_finite() || way.weight < 0.0 {
                return Err(fault(format!("the weight of `{}` is no figure from nought up", way.name)));
            }
            if let Some(also) = way.also.iter().find(|also| !known(&also.set)) {
                return Err(fault(format!("there is no key `{}` in a job file", also.set)));
            }
        }
        Ok(ways)
    }

    pub fn way(&self, remedy: Remedy) -> Option<&Way> {
        self.ways.iter().find(|way| way.id == Id::of(remedy))
    }

    /// Weight of each way that the file holds.
    pub(super) fn weights(&self) -> BTreeMap<Remedy, f64> {
        Remedy::ALL.into_iter().filter_map(|r| Some((r, self.way(r)?.weight))).collect()
    }

    /// The kind of work that `technique` makes of `work_type`.
    pub(super) fn work_type(&self, work_type: &str, technique: &str) -> Option<String> {
        let (kind, last) = work_type.rsplit_once('-')?;
        self.technique_makes.values().find(|makes| *makes == last)?;
        Some(format!("{kind}-{}", self.technique_makes.get(technique)?))
    }
}
