//! The folder of a house: what may lie in it, read and refused with its place.

use super::change::{Change, Words};
use crate::procedure::{ExtraPoint, Overlay, ProcedureFault, Procedures};
use crate::rules::{RuleBook, RuleFault};
use crate::source::Source;
use serde::Deserialize;
use serde::de::DeserializeOwned;
use std::fmt;
use std::path::{Path, PathBuf};

/// What is larger is no file a person wrote.
const MAX_BYTES: u64 = 1 << 20;
const FILES: [&str; 5] = ["house.yaml", "grades.yaml", "points.yaml", "words.yaml", "weights.yaml"];
const FOLDERS: [&str; 2] = ["rules", "hazards"];

/// A house as its folder gives it.
#[derive(Debug, Default)]
pub struct House {
    pub head: Head,
    /// Rules of its own, by file.
    rules: Vec<(String, String)>,
    hazards: Vec<(String, String)>,
    changes: Vec<Change>,
    points: Vec<ExtraPoint>,
    words: Words,
    /// Its weights of the ways out, read where those are searched.
    pub weights: Option<PathBuf>,
}

/// Whose layer it is.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Head {
    pub name: String,
    pub revision: String,
    /// Who issued it, by name and authorisation.
    pub issued_by: String,
}

/// Why a house can't be used: its folder, or what it says.
#[derive(Debug)]
pub enum HouseError {
    Disk(PathBuf, std::io::Error),
    Wrong { file: String, line: usize, why: String },
}

impl fmt::Display for HouseError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            HouseError::Disk(path, error) => write!(f, "can't read {}: {error}", path.display()),
            HouseError::Wrong { file, line, why } => write!(f, "{file} line {line}: {why}"),
        }
    }
}

impl std::error::Error for HouseError {}

impl From<RuleFault> for HouseError {
    fn from(fault: RuleFault) -> HouseError {
        HouseError::Wrong { file: fault.file, line: fault.line, why: fault.message }
    }
}

impl From<ProcedureFault> for HouseError {
    fn from(fault: ProcedureFault) -> HouseError {
        HouseError::Wrong { file: fault.file, line: fault.line, why: fault.message }
    }
}

impl House {
    /// Reads the folder `root`.
    ///
    /// # Errors
    /// Disk, a file that has no place in a house, or one that does not read.
    pub fn read(root: &Path) -> Result<House, HouseError> {
        let mut house = House::default();
        let mut named = false;
        for path in entries(root)? {
            let name = path.file_name().map_or(String::new(), |n| n.to_string_lossy().into_owned());
            if path.is_dir() && FOLDERS.contains(&name.as_str()) {
                let files = if name == "rules" { &mut house.rules } else { &mut house.hazards };
                for file in entries(&path)? {
                    files.push((shown(&file), text(&file)?));
                }
                continue;
            }
            match name.as_str() {
                "house.yaml" => (house.head, named) = (parse(&path)?, true),
                "grades.yaml" => house.changes = Change::read(&shown(&path), &text(&path)?)?,
                "points.yaml" => {
                    let file = shown(&path);
                    house.points = parse::<Vec<ExtraPoint>>(&path)?;
                    house.points.iter_mut().for_each(|p| p.file.clone_from(&file));
                }
                "words.yaml" => house.words = Words { file: shown(&path), ..parse(&path)? },
                "weights.yaml" => house.weights = Some(path.clone()),
                _ => {
                    let why = format!(
                        "this has no place in a house; it may hold {} and the folders {}",
                        FILES.join(", "),
                        FOLDERS.join(", ")
                    );
                    return Err(HouseError::Wrong { file: shown(&path), line: 1, why });
                }
            }
        }
        if !named {
            let why = "a house names itself here: `name`, `revision`, `issued_by`".into();
            return Err(HouseError::Wrong { file: shown(&root.join("house.yaml")), line: 1, why });
        }
        Ok(house)
    }

    /// The rules built in, with this house's own and its grades.
    ///
    /// # Errors
    /// What the house says of rules does not hold.
    pub fn rule_book(&self) -> Result<RuleBook, HouseError> {
        let mut book = RuleBook::with(self.rules.clone())?;
        for change in &self.changes {
            change.apply(&mut book, &self.title())?;
        }
        Ok(book)
    }

    /// The procedures built in, with this house's cautions, points and wording.
    ///
    /// # Errors
    /// What the house says of them does not hold.
    pub fn procedures(&self) -> Result<Procedures, HouseError> {
        let overlay = Overlay {
            hazards: &self.hazards,
            points: &self.points,
            words: &self.words.steps,
            file: &self.words.file,
        };
        Ok(Procedures::with(&overlay)?)
    }

    /// As it prints: name and revision.
    pub fn title(&self) -> String {
        format!("{}, revision {}", self.head.name, self.head.revision)
    }

    /// What it makes milder, and who takes that on, for the front sheet.
    pub fn milder(&self) -> Vec<String> {
        self.changes.iter().filter_map(|change| change.milder(&self.head.name)).collect()
    }
}

fn entries(folder: &Path) -> Result<Vec<PathBuf>, HouseError> {
    let disk = |error| HouseError::Disk(folder.to_path_buf(), error);
    let mut all = Vec::new();
    for entry in std::fs::read_dir(folder).map_err(disk)? {
        let path = entry.map_err(disk)?.path();
        let hidden = path.file_name().is_some_and(|n| n.to_string_lossy().starts_with('.'));
        if !hidden {
            all.push(path);
        }
    }
    all.sort();
    Ok(all)
}

/// With forward slashes, as it is named in messages.
fn shown(path: &Path) -> String {
    path.display().to_string().replace('\\', "/")
}

fn text(path: &Path) -> Result<String, HouseError> {
    let disk = |error| HouseError::Disk(path.to_path_buf(), error);
    if std::fs::metadata(path).map_err(disk)?.len() > MAX_BYTES {
        let why = format!("too large, {MAX_BYTES} bytes at most");
        return Err(HouseError::Wrong { file: shown(path), line: 1, why });
    }
    std::fs::read_to_string(path).map_err(disk)
}

fn parse<T: DeserializeOwned>(path: &Path) -> Result<T, HouseError> {
    parse_text(&shown(path), &text(path)?)
}

/// Reads YAML as strictly as a job: no anchors, no second document, no key twice.
pub(super) fn parse_text<T: DeserializeOwned>(file: &str, text: &str) -> Result<T, HouseError> {
    let wrong = |line: usize, why: String| HouseError::Wrong { file: file.to_string(), line, why };
    let (source, error) = Source::read(file.to_string(), text.to_string());
    if let Some(error) = error {
        return Err(wrong(source.line_column(error.at.start).0, error.message));
    }
    serde_yaml::from_str(source.text())
        .map_err(|e| wrong(e.location().map_or(1, |l| l.line()), e.to_string()))
}
