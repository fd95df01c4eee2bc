//! How a key is explained to a person: what it takes and who knows it. The same
//! words stand in the JSON Schema and in a fresh job file.

use super::{Key, Kind, Mark};
use crate::units::Dimension;

impl Mark {
    /// Who can give a figure of this mark.
    pub fn from_whom(self) -> &'static str {
        match self {
            Mark::Kit => "the maker's sheet",
            Mark::Cable => "the cable maker's data sheet",
            Mark::Equipment => "the equipment maker, or measured on site",
            Mark::Client => "the client",
            Mark::Planner => "the planner",
            Mark::CommonPractice => "the planner; else common practice, no source",
            Mark::Standard(name) => name,
            Mark::Computed => "computed",
        }
    }
}

impl Key {
    /// What the key takes, with an example: `a length, like 640 mm`.
    pub fn takes(&self) -> String {
        let takes = match self.kind {
            Kind::Quantity(d) => format!("{}, like `{}`", d.article(), d.example()),
            Kind::Range(_) => format!("a range, like `{}`", self.sample()),
            Kind::Count => "a whole number without unit".into(),
            Kind::YesNo => "yes or no".into(),
            Kind::Text if !self.like.is_empty() => format!("a text, like `{}`", self.like),
            Kind::Text | Kind::Figures => String::new(),
            Kind::Name => "a short name (letters, digits, `.` `_` `-`)".into(),
            Kind::Choice(words) => {
                let quoted: Vec<String> = words.iter().map(|word| format!("`{word}`")).collect();
                quoted.join(", ")
            }
            Kind::Date => "a date, like `2031-05-12`".into(),
            Kind::Texts => "a list, like `[one, two]`".into(),
            Kind::Group(_) | Kind::List(_) => String::new(),
            Kind::Item(shelf) => format!("the name of a file under `library/{}`", shelf.folder()),
        };
        match (self.none, takes.is_empty()) {
            (false, _) => takes,
            (true, true) => "a text, or `none`".into(),
            (true, false) => format!("{takes}, or `none`"),
        }
    }

    /// The same in the fewest words, for the comment behind a key.
    pub fn hint(&self) -> String {
        let hint = match self.kind {
            // Nobody gives a figure of a job in centimetres first.
            Kind::Quantity(Dimension::Length) => "in mm, m or km".into(),
            Kind::Quantity(d) => format!("in {}", or(d.unit_names().collect())),
            Kind::Range(_) | Kind::Date => self.sample(),
            Kind::Count => "whole number".into(),
            Kind::YesNo => "yes | no".into(),
            Kind::Name => "letters, digits . _ -".into(),
            // Blanks inside a choice don't part lines.
            Kind::Choice(words) => words.join(" | ").replace(' ', "\u{a0}").replace("\u{a0}|\u{a0}", " | "),
            Kind::Texts => "[one, two]".into(),
            Kind::Item(shelf) => format!("file in library/{}", shelf.folder()),
            Kind::Text if !self.like.is_empty() => format!("like {}", self.like).replace(' ', "\u{a0}"),
            Kind::Text | Kind::Figures | Kind::Group(_) | Kind::List(_) => String::new(),
        };
        match (self.none, hint.is_empty()) {
            (false, _) => hint,
            (true, true) => "text | none".into(),
            (true, false) => format!("{hint} | none"),
        }
    }

    /// A value of the right kind.
    pub fn sample(&self) -> String {
        match self.kind {
            Kind::Quantity(d) => d.example().into(),
            Kind::Range(Dimension::Length) => "24.0 to 34.0 mm".into(),
            Kind::Range(d) => {
                let example = d.example();
                let (number, unit) = example.split_once(' ').unwrap_or((example, ""));
                format!("0 to {number} {unit}")
            }
            Kind::Count => "3".into(),
            Kind::YesNo => "yes".into(),
            Kind::Choice(words) => words.first().copied().unwrap_or("").into(),
            Kind::Date => "2031-05-12".into(),
            Kind::Name => match self.name {
                "revision" => "P1",
                "end" => "TX2-HV",
                _ => "D-2201",
            }
            .into(),
            _ if !self.like.is_empty() => self.like.into(),
            _ => "…".into(),
        }
    }
}

fn or(words: Vec<&str>) -> String {
    match words.split_last() {
        Some((last, [])) => (*last).to_string(),
        Some((last, others)) => format!("{} or {last}", others.join(", ")),
        None => String::new(),
    }
}
