//! The ways out as data: names, weights, what else each changes in a job and
//! what has to be seen to.

use crate::calc::Remedy;
use crate::job;
use crate::source::Source;
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
    /// Common practice, no source; none: it is not looked at.
    pub weight: Option<f64>,
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
    /// Only where the way changes this key as well.
    #[serde(default)]
    pub only_with: Option<String>,
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
    EntriesMoved,
    OtherKit,
    Extension,
}

impl Id {
    /// As the files write it.
    fn word(self) -> &'static str {
        match self {
            Id::CoreOrder => "core-order",
            Id::EdgeUp => "edge-up",
            Id::CrutchLower => "crutch-lower",
            Id::CrutchOutside => "crutch-outside",
            Id::EntriesMoved => "entries-moved",
            Id::OtherKit => "other-kit",
            Id::Extension => "extension",
        }
    }

    fn of(remedy: Remedy) -> Id {
        match remedy {
            Remedy::CoreOrder => Id::CoreOrder,
            Remedy::EdgeUp => Id::EdgeUp,
            Remedy::CrutchLower => Id::CrutchLower,
            Remedy::CrutchOutside => Id::CrutchOutside,
            Remedy::EntriesMoved => Id::EntriesMoved,
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

    /// The same ways with the weights of `text`, a house's own file: a line a way,
    /// `crutch-outside: 3`; `none` takes a way out of the search, and one that is
    /// not named keeps its weight.
    ///
    /// # Errors
    /// What is wrong with the file, with its name, line and column.
    pub fn weighed(mut self, name: &str, text: &str) -> Result<Ways, String> {
        let (source, error) = Source::read(name, text.to_string());
        let place = |at: usize| {
            let (line, column) = source.line_column(at);
            format!("{name}:{line}:{column}")
        };
        if let Some(error) = error {
            return Err(format!("{}: {}", place(error.at.start), error.message));
        }
        let house: BTreeMap<String, serde_yaml::Value> = match serde_yaml::from_str(text) {
            Ok(Some(house)) => house,
            Ok(None) => return Err(format!("{name}: no weights stand in it")),
            Err(_) => return Err(format!("{}: a line for each way is wanted, like `edge-up: 2`", place(0))),
        };
        let ids: Vec<&str> = self.ways.iter().map(|way| way.id.word()).collect();
        let known = ids.join(", ");
        for (id, weight) in &house {
            let pointer = format!("/{id}");
            let Some(way) = self.ways.iter_mut().find(|way| way.id.word() == id) else {
                let at = place(source.locate_key(&pointer).at.start);
                return Err(format!("{at}: there is no way `{id}`; the ways are {known}"));
            };
            way.weight = match weight {
                serde_yaml::Value::String(word) if word == "none" => None,
                serde_yaml::Value::Number(n) => n.as_f64().filter(|w| w.is_finite() && *w >= 0.0),
                _ => None,
            };
            if way.weight.is_none() && weight.as_str() != Some("none") {
                let at = place(source.locate(&pointer).at.start);
                return Err(format!("{at}: the weight of `{id}` is a figure from nought up, or `none`"));
            }
        }
        Ok(self)
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
            if way.weight.is_none_or(|w| !w.is_finite() || w < 0.0) {
                return Err(fault(format!("the weight of `{}` is no figure from nought up", way.name)));
            }
            if let Some(also) = way.also.iter().find(|also| !known(&also.set)) {
                return Err(fault(format!("there is no key `{}` in a job file", also.set)));
            }
        }
        Ok(ways)
    }

    /// Name in a house's file, weight and words of each way, in their order.
    pub fn listed(&self) -> impl Iterator<Item = (&'static str, Option<f64>, &str)> {
        self.ways.iter().map(|way| (way.id.word(), way.weight, way.name.as_str()))
    }

    /// Codes of the rules that must pass after a way out.
    pub fn must_pass(&self) -> &[String] {
        &self.must_pass
    }

    pub fn way(&self, remedy: Remedy) -> Option<&Way> {
        self.ways.iter().find(|way| way.id == Id::of(remedy))
    }

    /// Weight of each way that the file holds.
    pub(super) fn weights(&self) -> BTreeMap<Remedy, f64> {
        Remedy::ALL.into_iter().filter_map(|r| Some((r, self.way(r)?.weight?))).collect()
    }

    /// The kind of work that `technique` makes of `work_type`.
    pub(super) fn work_type(&self, work_type: &str, technique: &str) -> Option<String> {
        let (kind, last) = work_type.rsplit_once('-')?;
        self.technique_makes.values().find(|makes| *makes == last)?;
        Some(format!("{kind}-{}", self.technique_makes.get(technique)?))
    }
}
