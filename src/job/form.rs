//! Fresh job files: the keys of one kind of work with a comment each, built from
//! the schema table and a template that says which keys, and what a planner must
//! know beyond the table.

use super::item_form::{ITEMS, is_item, of_an_item, sections};
use super::read::nearest;
use super::schema::{AS_FOUND, JOB, Key, Kind, Mark, Shelf, WORK_TYPES};
use include_dir::{Dir, include_dir};
use serde::Deserialize;
use std::collections::BTreeMap;
use std::fmt::Write;

/// One file a kind of work, named after it, and one for the as-found file.
pub(super) static TEMPLATES: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/templates/new");

/// What there is a form for: the kinds in the order of their table, then others.
fn known() -> Vec<&'static str> {
    let stem = |file: &'static include_dir::File<'_>| file.path().file_stem()?.to_str();
    let mut names: Vec<&str> = TEMPLATES.files().filter_map(stem).collect();
    let place = |name: &str| WORK_TYPES.iter().position(|kind| *kind == name).unwrap_or(WORK_TYPES.len());
    names.sort_by_key(|name| place(name));
    names
}

/// Every form by name, with the first words of its own head: what it is for.
pub fn forms() -> Vec<(&'static str, String)> {
    let about = |kind: &str| {
        let head = template(kind, 0).map(|t| t.head).unwrap_or_default();
        let head = head.split_whitespace().collect::<Vec<_>>().join(" ");
        let words = head.split_once(": ").map_or(head.as_str(), |(_, words)| words);
        words.split_once(". ").map_or(words, |(first, _)| first).to_string()
    };
    let kinds = known().into_iter().map(|kind| (kind, about(kind)));
    let items = ITEMS.iter().map(|(name, shelf)| (*name, format!("an item of library/{}", shelf.folder())));
    kinds.chain(items).collect()
}

/// Column where the comment behind a key starts.
const COMMENT_AT: usize = 30;
const WIDTH: usize = 80;
/// A blank that parts no lines.
const HOLD: char = '\u{a0}';

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Template {
    pub kind: String,
    /// The kind whose form this one starts from.
    #[serde(default)]
    pub like: Option<String>,
    /// Groups and keys of that form that this kind does not ask, by dotted name.
    #[serde(default)]
    pub without: Vec<String>,
    #[serde(default)]
    pub head: String,
    pub groups: Vec<Group>,
    #[serde(default)]
    pub tail: String,
}

impl Template {
    /// This form over the one it is like: its keys come in addition, its notes
    /// and answers stand before those of the other.
    fn over(self, mut base: Template) -> Template {
        for name in &self.without {
            base.groups.retain(|g| g.at != *name);
            let (at, key) = name.rsplit_once('.').unwrap_or(("", name));
            for group in base.groups.iter_mut().filter(|g| g.at == at) {
                group.keys.retain(|k| k != key);
                group.about.remove(key);
                group.given.remove(key);
            }
        }
        for group in self.groups {
            match base.groups.iter_mut().find(|g| g.at == group.at) {
                Some(own) => {
                    own.keys.extend(group.keys);
                    own.about.extend(group.about);
                    own.given.extend(group.given);
                    if !group.note.is_empty() {
                        own.note = group.note;
                    }
                    own.entries = own.entries.max(group.entries);
                }
                None => base.groups.push(group),
            }
        }
        let or = |own: String, other: String| if own.is_empty() { other } else { own };
        Template {
            kind: self.kind,
            like: None,
            without: Vec::new(),
            head: or(self.head, base.head),
            groups: base.groups,
            tail: or(self.tail, base.tail),
        }
    }
}

/// The keys of one group that the file holds.
#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Group {
    /// Dotted name; nothing for the top of the file.
    pub at: String,
    #[serde(default)]
    pub note: String,
    #[serde(default)]
    pub keys: Vec<String>,
    /// Answers that follow from the kind of work; in a list `0.role`.
    #[serde(default)]
    pub given: BTreeMap<String, String>,
    /// What to know of a key beyond the table.
    #[serde(default)]
    pub about: BTreeMap<String, String>,
    /// Entries of a list.
    #[serde(default)]
    pub entries: usize,
}

/// Why there is no fresh file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum NoForm {
    /// What is wrong with the kind named, and what helps.
    Unknown(String),
    /// Our own template is wrong.
    Fault(String),
}

/// A commented job file for `kind` of work, its answers left empty.
///
/// # Errors
/// There is no such kind, or our template is at fault.
pub fn fresh(kind: &str) -> Result<String, NoForm> {
    let item = ITEMS.iter().find(|(name, _)| *name == kind);
    let (template, keys) = match item {
        Some((name, shelf)) => (of_an_item(name, *shelf), shelf.keys()),
        None => (template(kind, 0)?, table(kind)),
    };
    if item.is_none() {
        check(&template).map_err(|what| NoForm::Fault(format!("templates/new/{kind}.yaml: {what}")))?;
    }
    let mut form = Form { template: &template, out: String::new() };
    form.comment(&template.head, "");
    for section in sections(kind, keys).map_err(NoForm::Fault)? {
        if !section.about.is_empty() {
            form.out.push('\n');
            form.comment(&section.about, "");
        }
        form.keys(&section.keys, "", "");
    }
    form.out.push('\n');
    form.comment(&template.tail, "");
    Ok(form.out)
}

/// The keys a form is made of: those of a job, or of an as-found file.
fn table(kind: &str) -> &'static [Key] {
    if kind == "as-found" { AS_FOUND } else { JOB }
}

/// More steps from one form to the next than this are a circle.
const DEEPEST: usize = 4;

fn template(kind: &str, depth: usize) -> Result<Template, NoForm> {
    let file = known().contains(&kind).then(|| TEMPLATES.get_file(format!("{kind}.yaml"))).flatten();
    let Some(text) = file.and_then(|file| file.contents_utf8()) else {
        return Err(NoForm::Unknown(unknown(kind)));
    };
    let fault = |what: String| NoForm::Fault(format!("templates/new/{kind}.yaml: {what}"));
    let own: Template = serde_yaml::from_str(text).map_err(|e| fault(e.to_string()))?;
    if own.kind != kind {
        return Err(fault(format!("holds the kind `{}`", own.kind)));
    }
    match own.like.clone() {
        None => Ok(own),
        Some(_) if depth == DEEPEST => Err(fault("is like another in a circle".into())),
        Some(like) => Ok(own.over(template(&like, depth + 1)?)),
    }
}

fn unknown(kind: &str) -> String {
    let mut known = known();
    known.extend(ITEMS.map(|(name, _)| name));
    let list = known.join(", ");
    if WORK_TYPES.contains(&kind) {
        return format!("there is no form for `{kind}` yet; there is one for: {list}");
    }
    let shown: String = kind.chars().take(60).collect();
    match nearest(kind, known.iter().copied()) {
        Some(near) => format!("there is no kind of work `{shown}`; did you mean `{near}`?"),
        None => format!("there is no kind of work `{shown}`; there is a form for: {list}"),
    }
}

/// Every name of the template stands in the table, once.
fn check(template: &Template) -> Result<(), String> {
    let mut seen = Vec::new();
    for group in &template.groups {
        let at = &group.at;
        if seen.contains(&at) {
            return Err(format!("the group `{at}` stands twice"));
        }
        seen.push(at);
        let keys = inside(table(&template.kind), at).ok_or_else(|| format!("there is no group `{at}`"))?;
        let known = |name: &str| keys.iter().any(|k| k.name == name && !is_group(k));
        if let Some(name) = group.keys.iter().find(|name| !known(name)) {
            return Err(format!("there is no key `{name}` in `{at}`"));
        }
        let loose = group.about.keys().chain(group.given.keys()).map(|name| name.rsplit('.').next());
        if let Some(name) = loose.flatten().find(|name| !group.keys.iter().any(|k| k == name)) {
            return Err(format!("`{name}` is not among the keys of `{at}`"));
        }
        let parent = at.rsplit_once('.').map(|(parent, _)| parent);
        if parent.is_some_and(|parent| !template.groups.iter().any(|g| g.at == parent)) {
            return Err(format!("the group above `{at}` is not there"));
        }
    }
    Ok(())
}

/// Keys of the group or list with this dotted name.
fn inside(mut keys: &'static [Key], name: &str) -> Option<&'static [Key]> {
    for word in name.split('.').filter(|word| !word.is_empty()) {
        keys = match keys.iter().find(|k| k.name == word)?.kind {
            Kind::Group(inner) | Kind::List(inner) => inner,
            _ => return None,
        };
    }
    Some(keys)
}

pub(super) fn is_group(key: &Key) -> bool {
    matches!(key.kind, Kind::Group(_) | Kind::List(_))
}

struct Form<'t> {
    template: &'t Template,
    out: String,
}

impl<'t> Form<'t> {
    fn group(&self, at: &str) -> Option<&'t Group> {
        self.template.groups.iter().find(|g| g.at == at)
    }

    /// The keys of one group, in the order of the table.
    fn keys(&mut self, keys: &[Key], at: &str, indent: &str) {
        let own = self.group(at);
        let mut noted = !at.is_empty();
        for key in keys {
            let name = if at.is_empty() { key.name.to_string() } else { format!("{at}.{}", key.name) };
            match key.kind {
                Kind::Group(inner) if self.group(&name).is_some() => {
                    self.heading(key, &name, indent);
                    self.keys(inner, &name, &format!("{indent}  "));
                }
                Kind::List(inner) if self.group(&name).is_some() => {
                    self.heading(key, &name, indent);
                    self.entries(inner, &name, &format!("{indent}  "));
                }
                _ => {
                    let Some(group) = own.filter(|g| g.keys.iter().any(|k| k == key.name)) else { continue };
                    if !noted {
                        self.out.push('\n');
                        self.comment(&group.note, indent);
                        noted = true;
                    }
                    self.line(group, key, "", indent, indent);
                }
            }
        }
    }

    fn entries(&mut self, keys: &[Key], at: &str, indent: &str) {
        let Some(group) = self.group(at) else { return };
        for entry in 0..group.entries.max(1) {
            let mut lead = format!("{indent}- ");
            for key in keys.iter().filter(|key| group.keys.iter().any(|k| k == key.name)) {
                self.line(group, key, &format!("{entry}."), &lead, &format!("{indent}  "));
                lead = format!("{indent}  ");
            }
        }
    }

    fn heading(&mut self, key: &Key, at: &str, indent: &str) {
        if indent.is_empty() {
            self.out.push('\n');
        }
        let note = self.group(at).map_or("", |g| g.note.as_str());
        self.comment(note, indent);
        let _ = writeln!(self.out, "{indent}{}:", key.name);
    }

    /// One key with its answer, if it has one, and its comment.
    fn line(&mut self, group: &Group, key: &Key, entry: &str, lead: &str, indent: &str) {
        if let Some(about) = group.about.get(key.name) {
            self.comment(about, indent);
        }
        let given = group.given.get(&format!("{entry}{}", key.name));
        let answer = given.map_or(String::new(), |text| format!(" {text}"));
        let written = format!("{lead}{}:{answer}", key.name);
        // Nothing to choose where the kind of work has chosen.
        let mut hint = if given.is_some() { String::new() } else { key.hint() };
        // Only of an old end it may be that nobody knows the kit.
        if matches!(key.kind, Kind::Item(Shelf::Kits)) && !self.template.kind.starts_with("inspect") {
            hint = hint.trim_end_matches(" | none").to_string();
        }
        let hint = if hint.is_empty() { hint } else { format!(": {hint}") };
        // Of an item all but a little comes from its own sheet.
        let own = matches!(key.mark, Mark::Kit | Mark::Cable) && is_item(&self.template.kind);
        let from = if own { String::new() } else { format!(" [{}]", key.mark.words()) };
        let comment = format!("{}{hint}{from}", key.title);
        let line = format!("{written:COMMENT_AT$} # {comment}");
        if line.chars().count() <= WIDTH {
            let _ = writeln!(self.out, "{}", line.replace(HOLD, " "));
        } else {
            self.comment(&comment, indent);
            let _ = writeln!(self.out, "{written}");
        }
    }

    /// Comment lines; a text with line breaks keeps them.
    fn comment(&mut self, text: &str, indent: &str) {
        for line in text.lines() {
            let mut out = format!("{indent}#");
            let room = WIDTH - out.len() - 1;
            if line.chars().count() <= room {
                out.push_str(&format!(" {line}"));
            } else {
                out = even(line, room).iter().map(|part| format!("{indent}# {part}\n")).collect();
            }
            let _ = writeln!(self.out, "{}", out.trim_end().replace(HOLD, " "));
        }
    }
}

/// Lines of one paragraph, no wider than `room`, as even as they come: no word is left
/// alone on the last one.
fn even(text: &str, room: usize) -> Vec<String> {
    let broken = |room: usize| {
        let mut lines = vec![String::new()];
        for word in text.split(' ').filter(|word| !word.is_empty()) {
            let last = lines.last().map_or(0, |line: &String| line.chars().count());
            if last > 0 && last + 1 + word.chars().count() > room {
                lines.push(String::new());
            }
            let Some(line) = lines.last_mut() else { continue };
            if !line.is_empty() {
                line.push(' ');
            }
            line.push_str(word);
        }
        lines
    };
    let count = broken(room).len();
    let fits = |narrow: &usize| {
        let lines = broken(*narrow);
        lines.len() == count && lines.iter().all(|l| l.chars().count() <= *narrow)
    };
    let least = (room / 2..=room).find(fits).unwrap_or(room);
    broken(least)
}
