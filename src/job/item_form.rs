//! Fresh items of the library, made from the table alone; where not every item has
//! every figure, in sections by what has them.

use super::form::{Group, TEMPLATES, Template, is_group};
use super::schema::{Key, Kind, Shelf};
use serde::Deserialize;

/// Items of the library that a form begins.
pub(super) const ITEMS: [(&str, Shelf); 4] =
    [("cable", Shelf::Cables), ("kit", Shelf::Kits), ("lug", Shelf::Lugs), ("boots", Shelf::Boots)];

pub(super) fn is_item(kind: &str) -> bool {
    ITEMS.iter().any(|(name, _)| *name == kind)
}

/// A form with every key of a shelf: what does not apply to an item stays empty.
pub(super) fn of_an_item(name: &str, shelf: Shelf) -> Template {
    fn groups(keys: &[Key], at: &str, out: &mut Vec<Group>) {
        // An item is written out in full and names no other.
        let plain = |k: &&Key| !is_group(k) && !matches!(k.kind, Kind::Item(_));
        let own = keys.iter().filter(plain).map(|k| k.name.to_string()).collect();
        out.push(Group { at: at.to_string(), keys: own, ..Group::default() });
        for key in keys {
            if let Kind::Group(inner) | Kind::List(inner) = key.kind {
                let below = if at.is_empty() { key.name.to_string() } else { format!("{at}.{}", key.name) };
                groups(inner, &below, out);
            }
        }
    }
    let mut all = Vec::new();
    groups(shelf.keys(), "", &mut all);
    let head = format!(
        "Item of the library: {name}. Save it as library/{}/CODE.yaml, named after\n\
         its code, beside the jobs or above them. Every figure comes from the item's\n\
         own sheet or drawing; what that does not say, or does not apply, stays empty.\n\n\
         Behind each key: what it is: how it is written; [planner] where no sheet\n\
         says it. Figures carry their unit (24 mm, 12.7 kV); no decimal comma; dates\n\
         are year-month-day.",
        shelf.folder()
    );
    Template {
        kind: name.to_string(),
        like: None,
        without: Vec::new(),
        head,
        groups: all,
        tail: String::new(),
    }
}

/// Keys that belong together, and to what.
pub(super) struct Section {
    pub about: String,
    pub keys: Vec<Key>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Named {
    about: String,
    keys: Vec<String>,
}

/// The keys of a form in its sections; in one where the form has none.
///
/// # Errors
/// A fault in our own file: a key that is not there, or in no section, or in two.
pub(super) fn sections(kind: &str, keys: &[Key]) -> Result<Vec<Section>, String> {
    let file = format!("items/{kind}.yaml");
    let Some(text) = TEMPLATES.get_file(&file).and_then(|file| file.contents_utf8()) else {
        return Ok(vec![Section { about: String::new(), keys: keys.to_vec() }]);
    };
    let fault = |what: String| format!("templates/new/{file}: {what}");
    let named: Vec<Named> = serde_yaml::from_str(text).map_err(|e| fault(e.to_string()))?;
    for key in keys {
        match named.iter().flat_map(|s| &s.keys).filter(|name| *name == key.name).count() {
            1 => {}
            0 => return Err(fault(format!("the key `{}` stands in no section", key.name))),
            _ => return Err(fault(format!("the key `{}` stands twice", key.name))),
        }
    }
    let found = |name: &String| keys.iter().find(|key| key.name == *name).copied();
    let whole = |s: Named| -> Result<Section, String> {
        let own: Result<Vec<Key>, String> = s
            .keys
            .iter()
            .map(|name| found(name).ok_or_else(|| fault(format!("there is no key `{name}`"))))
            .collect();
        Ok(Section { about: s.about, keys: own? })
    };
    named.into_iter().map(whole).collect()
}
