//! People of a record: one for each number, with every stay between a sign-on and its
//! sign-off.

use super::item::Item;
use super::view::{View, leading, minutes, plain, same};
use jiff::Timestamp;
use jiff::civil::Date;

/// A person of the record with what the pack knows of him.
#[derive(Clone, Debug, Default)]
pub(super) struct Person {
    /// Name of his first entry, `people.0`.
    pub at: String,
    pub authorisation: String,
    /// The pack's, where the pack names him.
    pub role: String,
    pub valid_to: Option<Date>,
    pub stays: Vec<Stay>,
    /// Named by the pack.
    pub named: bool,
    /// Greatest voltage he may work on, kV.
    up_to: Option<f64>,
    checked_by: Option<String>,
    /// What his entries call him and his role, each with its place.
    names: Vec<(String, String)>,
    roles: Vec<(String, String)>,
}

/// One sign-on and its sign-off.
#[derive(Clone, Debug, Default)]
pub(super) struct Stay {
    pub on: Option<Timestamp>,
    pub off: Option<Timestamp>,
}

/// Everybody on the sheet. Who signs off in the evening and on again has an entry a day.
pub(super) fn read(view: &View) -> Vec<Person> {
    let mut people: Vec<Person> = Vec::new();
    for i in 0..view.record.count("people").unwrap_or(0) {
        let entry = entry(view, i);
        match people.iter_mut().find(|p| same(&p.authorisation, &entry.authorisation)) {
            Some(person) => person.add(entry),
            None => people.push(entry),
        }
    }
    for person in &mut people {
        let crew = view.pack.briefing.crew.iter().find(|c| same(&c.authorisation, &person.authorisation));
        let own = person.roles.first().map(|(_, role)| role.clone());
        person.role = crew.map(|c| c.role.clone()).or(own).unwrap_or_default();
        person.named = crew.is_some();
        person.valid_to = person.valid_to.or_else(|| crew.and_then(|c| c.valid_to.parse().ok()));
        person.up_to = person.up_to.or_else(|| crew.and_then(|c| leading(&c.up_to)));
    }
    people
}

fn entry(view: &View, i: usize) -> Person {
    let at = format!("people.{i}");
    let part = |key: &str| format!("{at}.{key}");
    let placed = |key: &str| view.text(&part(key)).map(|text| (part(key), text)).into_iter().collect();
    Person {
        authorisation: view.text(&part("authorisation")).unwrap_or_default(),
        valid_to: view.date(&part("valid_to")),
        up_to: view.number(&part("up_to")),
        checked_by: view.text(&part("checked_by")),
        stays: vec![Stay { on: view.time(&part("on")), off: view.time(&part("off")) }],
        names: placed("name"),
        roles: placed("role"),
        at,
        ..Person::default()
    }
}

impl Person {
    /// Another entry of the same number. Of two dates or two voltages the lesser counts.
    fn add(&mut self, other: Person) {
        let least = |a: Option<f64>, b: Option<f64>| a.zip(b).map_or(a.or(b), |(a, b)| Some(a.min(b)));
        self.valid_to = self.valid_to.into_iter().chain(other.valid_to).min();
        self.up_to = least(self.up_to, other.up_to);
        self.checked_by = self.checked_by.take().or(other.checked_by);
        self.stays.extend(other.stays);
        self.names.extend(other.names);
        self.roles.extend(other.roles);
    }

    /// Named by the pack, or checked at sign-on by somebody.
    pub fn known(&self) -> bool {
        self.named || self.checked_by.is_some()
    }

    /// Whether his entries have him elsewhere then, give or take `slack` minutes. Of one
    /// whose times aren't all written nothing is said.
    pub fn away(&self, time: Timestamp, slack: f64) -> bool {
        let stays: Option<Vec<_>> = self.stays.iter().map(|s| s.on.zip(s.off)).collect();
        let out =
            |(on, off): &(Timestamp, Timestamp)| minutes(*on, time) < -slack || minutes(time, *off) < -slack;
        stays.is_some_and(|all| all.iter().all(out))
    }

    /// His times on the sheet, in words.
    pub fn times(&self, view: &View) -> String {
        let show = |t: Option<Timestamp>| t.map_or("no time".to_string(), |t| view.show(t));
        let stays = self.stays.iter().map(|s| format!("{} to {}", show(s.on), show(s.off)));
        stays.collect::<Vec<_>>().join(", ")
    }

    /// The last day that he was there or released anything.
    fn last_day(&self, view: &View) -> Option<Date> {
        let own = |at: &str| view.text(at).is_some_and(|by| same(&by, &self.authorisation));
        let points = view.pack.form.points.iter();
        let released = points
            .filter(|p| own(&format!("points.{}.released_by", p.id)))
            .flat_map(|p| view.releases(p))
            .filter_map(|(_, t)| t);
        let whole = self.stays.iter().all(|s| s.off.is_some());
        let last = self.stays.iter().filter_map(|s| s.off).chain(released).max();
        last.filter(|_| whole).map_or_else(|| view.last_day(), |t| Some(view.day(t)))
    }
}

/// Numbers of several people in one answer: apart by commas, strokes, `and`.
pub(super) fn listed(view: &View, text: &str) -> Vec<String> {
    if view.person_by(text).is_some() {
        return vec![text.to_string()];
    }
    let apart = text.replace(" and ", ",");
    let each = apart.split([',', ';', '+', '/', '&']).map(str::trim).filter(|t| !t.is_empty());
    each.map(String::from).collect()
}

/// Why somebody can't have been there at these times, give or take `slack` minutes.
pub(super) fn missing(view: &View, who: &str, times: &[Timestamp], slack: f64) -> Option<String> {
    let Some(person) = view.person_by(who) else { return Some(format!("{who} is not on the sign-on sheet")) };
    let time = times.iter().find(|t| person.away(**t, slack))?;
    Some(format!("{who} was signed on {}, and not {}", person.times(view), view.show(*time)))
}

pub(super) fn items(view: &View) -> Option<Vec<Item>> {
    view.record.count("people")?;
    Some(view.people.iter().map(|p| item(view, p)).collect())
}

fn item(view: &View, person: &Person) -> Item {
    let mut item = Item::new(person.at.clone());
    let part = |key: &str| format!("{}.{key}", person.at);
    let title = format!("{} ({})", person.authorisation, person.role);
    let checked = checked(view, person);
    let known = if person.named || !NOBODY.iter().any(|w| checked.starts_with(w)) { "yes" } else { "no" };
    let elsewhere = view.dossier.elsewhere.iter().find(|e| {
        let meets = |s: &Stay| s.on.zip(s.off).is_some_and(|(on, off)| e.on < off && on < e.off);
        let other = e.site != view.pack.job.site;
        same(&e.authorisation, &person.authorisation) && other && person.stays.iter().any(meets)
    });
    let elsewhere = elsewhere.map_or("none".to_string(), |e| {
        format!("{}, {}, {} to {}", e.place, e.site, view.show(e.on), view.show(e.off))
    });
    let role = person.roles.iter().find(|(_, role)| !same(role, &person.role));
    let (role_at, role) =
        role.map_or((part("role"), "none".to_string()), |(at, role)| (at.clone(), role.clone()));
    let (name_at, double) = double(view, person);
    item.word("person.title", Some(title), &part("authorisation"))
        .word("person.known", Some(known.into()), &part("checked_by"))
        .word("person.checked", Some(checked), &part("checked_by"))
        .word("person.power", Some(power(view, person)), &part("valid_to"))
        .word("person.hours", Some(hours(view, person)), &part("on"))
        .word("person.elsewhere", Some(elsewhere), &part("on"))
        .yes("person.named", Some(person.named), &part("authorisation"))
        .word("person.other_role", Some(role), &role_at)
        .word("person.double", Some(double), &name_at);
    item
}

/// How the words of a check begin that is none.
const NOBODY: [&str; 2] = ["not checked", "checked by himself"];

/// Who checked a person that the pack does not name: from one to the next the checks
/// begin with somebody whom it names.
fn checked(view: &View, person: &Person) -> String {
    if person.named {
        return "named by the pack".into();
    }
    let Some(first) = &person.checked_by else { return "not checked at sign-on".into() };
    let mut by = first;
    for _ in &view.people {
        if same(by, &person.authorisation) {
            return "checked by himself at sign-on, or by one whom he checked".into();
        }
        let Some(checker) = view.person_by(by) else {
            return format!("checked at sign-on by {by}, who is not on the sign-on sheet");
        };
        match &checker.checked_by {
            _ if checker.named => return "checked".into(),
            Some(next) => by = next,
            None => return format!("checked at sign-on by {by}, whom nobody checked"),
        }
    }
    format!("checked at sign-on by {first}, and in the end by nobody whom the pack names")
}

/// Roles that need a voltage on their authorisation.
const WITH_VOLTAGE: [&str; 2] = ["jointer", "test engineer"];

fn power(view: &View, person: &Person) -> String {
    let kv = view.fact_number("system.nominal");
    let needs = WITH_VOLTAGE.iter().any(|r| person.role.to_lowercase().contains(r));
    // A pack is not asked here for what its own rules did not ask of a test engineer.
    let asked = !person.named || person.role.contains("jointer");
    match (person.valid_to, person.last_day(view), person.up_to, kv) {
        _ if !view.complete() && person.stays.iter().all(|s| s.on.is_none()) => "valid".into(),
        (Some(until), Some(day), ..) if until < day => format!("ran out on {until}, on site {day}"),
        (None, ..) => "no date of validity".into(),
        (.., Some(up_to), Some(kv)) if needs && up_to < kv => {
            format!("up to {} kV, the system has {} kV", plain(up_to), plain(kv))
        }
        (.., None, _) if needs && asked => "no voltage named".into(),
        _ => "valid".into(),
    }
}

fn hours(view: &View, person: &Person) -> String {
    if !view.complete() {
        return "in order".into();
    }
    let mut stays = Vec::new();
    for stay in &person.stays {
        match (stay.on, stay.off) {
            (None, _) => return "no sign-on".into(),
            (_, None) => return "no sign-off".into(),
            (Some(on), Some(off)) if off < on => {
                return format!("signed off {}, before the sign-on {}", view.show(off), view.show(on));
            }
            (Some(on), Some(off)) => stays.push((on, off)),
        }
    }
    stays.sort();
    match stays.windows(2).find(|pair| pair[1].0 < pair[0].1) {
        Some(pair) => {
            format!("signed on {}, before he signed off {}", view.show(pair[1].0), view.show(pair[0].1))
        }
        None => "in order".into(),
    }
}

/// One number under two names, or one name under two numbers; with its place.
fn double(view: &View, person: &Person) -> (String, String) {
    let at = format!("{}.name", person.at);
    let Some((_, name)) = person.names.first() else { return (at, "none".into()) };
    if let Some((at, other)) = person.names.iter().find(|(_, n)| !same(n, name)) {
        return (at.clone(), format!("is called {name}, and {other} too"));
    }
    let twin = view.people.iter().find(|p| {
        !same(&p.authorisation, &person.authorisation) && p.names.iter().any(|(_, n)| same(n, name))
    });
    match twin {
        Some(twin) => (at, format!("has the name of {}, {name}", twin.authorisation)),
        None => (at, "none".into()),
    }
}
