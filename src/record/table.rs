//! Readings as a table (CSV), for those who type in a sheet: written from a
//! record, and read back beside one.
//!
//! The header is stated: `point,reading,cell,value,unit,title,limits`. A row is found by
//! its first three columns; title and limits are for the person who types and are not
//! read. A sheet may save it with semicolons or tabs, a mark before the first byte, lines
//! ending either way and decimal commas: all of that reads, and nothing is guessed.

use super::answer::{self, Kind};
use super::read::{Given, Loaded, Record};
use crate::finding::{Finding, Place, ReadingCode};
use crate::procedure::{Form, Reading};
use crate::source::Source;
use std::collections::BTreeMap;
use std::ops::Range;

/// The header of the table.
pub const HEADER: [&str; 7] = ["point", "reading", "cell", "value", "unit", "title", "limits"];

/// Point and reading of every blank, the test sheet under `tests`.
fn rows(form: &Form) -> impl Iterator<Item = (&str, &Reading)> {
    let points = form.points.iter().flat_map(|p| p.readings.iter().map(move |r| (p.id.as_str(), r)));
    points.chain(form.tests.iter().map(|r| ("tests", r)))
}

/// Name of a cell's answer in a record.
pub(super) fn answer_name(point: &str, reading: &str, cell: &str) -> String {
    let group = if point == "tests" { "tests".to_string() } else { format!("points.{point}") };
    if cell.is_empty() { format!("{group}.{reading}") } else { format!("{group}.{reading}.{cell}") }
}

/// Whether a sheet would take a text for a formula and run it.
fn is_formula(text: &str) -> bool {
    let signed = text.strip_prefix(['-', '+']);
    text.starts_with(['=', '@', '\t', '\r'])
        || signed.is_some_and(|rest| !rest.starts_with(|c: char| c.is_ascii_digit()))
}

/// All readings of a record as a table; blanks where nothing was written. What a sheet
/// would run as a formula stands behind an apostrophe, as sheets have it.
pub fn write(form: &Form, record: Option<&Record>) -> String {
    let mut out = csv::Writer::from_writer(Vec::new());
    let mut line = |fields: [&str; 7]| out.write_record(fields).is_ok();
    line(HEADER);
    for (point, reading) in rows(form) {
        for cell in &reading.cells {
            let given = record.and_then(|r| r.get(&answer_name(point, &reading.id, cell)));
            let text = given.map_or("", |g| g.text.as_str());
            let value = if is_formula(text) { format!("'{text}") } else { text.to_string() };
            line([point, &reading.id, cell, &value, &reading.unit, &reading.title, &reading.limits]);
        }
    }
    out.into_inner().map_or(String::new(), |bytes| String::from_utf8_lossy(&bytes).into_owned())
}

/// Where the columns stand that are read.
struct Columns {
    point: usize,
    reading: usize,
    cell: usize,
    value: usize,
    unit: Option<usize>,
    all: usize,
}

impl Columns {
    /// # Errors
    /// What is wrong with the header, and what would help.
    fn of(header: &csv::StringRecord) -> Result<Columns, (String, String)> {
        let names: Vec<String> = header.iter().map(|h| h.trim().to_lowercase()).collect();
        let whole = format!("It is: {}.", HEADER.join(","));
        let known = names.iter().filter(|n| HEADER.contains(&n.as_str())).count();
        if known == 0 {
            return Err(("the first row is not the header of a table of readings".into(), whole));
        }
        if let Some(twice) = HEADER.iter().find(|h| names.iter().filter(|n| n == *h).count() > 1) {
            return Err((format!("the column `{twice}` stands twice in the header"), whole));
        }
        let find = |name: &str| names.iter().position(|n| n == name);
        let missing: Vec<&str> = HEADER[..4].iter().filter(|h| find(h).is_none()).copied().collect();
        let [Some(point), Some(reading), Some(cell), Some(value)] = [0, 1, 2, 3].map(|i| find(HEADER[i]))
        else {
            let strange = names.iter().find(|n| !n.is_empty() && !HEADER.contains(&n.as_str()));
            let near = strange.and_then(|s| crate::job::nearest(s, missing.iter().copied()).map(|m| (s, m)));
            let help = near.map_or(whole.clone(), |(s, m)| format!("Is `{s}` meant as `{m}`? {whole}"));
            return Err((format!("the header lacks {}", missing.join(", ")), help));
        };
        Ok(Columns { point, reading, cell, value, unit: find("unit"), all: names.len() })
    }
}

/// The sign between columns, by the first line: a sheet that writes decimal commas parts
/// with semicolons.
fn sign_of(first: &str) -> u8 {
    let count = |c: char| first.matches(c).count();
    match (count(','), count(';'), count('\t')) {
        (c, s, t) if s > c && s >= t => b';',
        (c, _, t) if t > c => b'\t',
        _ => b',',
    }
}

/// Reads the table called `name` into a record: it fills blanks, and what both
/// say differently is a finding.
pub fn fill(loaded: &mut Loaded, name: &str, text: String, form: &Form) {
    let id = loaded.sources.len();
    // The index finds no YAML in a table; its places are bytes.
    let (source, _) = Source::read(name, text.clone());
    loaded.sources.push(source);
    let Some(record) = &mut loaded.record else { return };
    let skip = if text.starts_with('\u{feff}') { '\u{feff}'.len_utf8() } else { 0 };
    let body = &text[skip..];
    let first = skip..skip + body.lines().next().map_or(0, str::len);
    let mut reader = csv::ReaderBuilder::new()
        .flexible(true)
        .trim(csv::Trim::All)
        .delimiter(sign_of(&text[first.clone()]))
        .from_reader(body.as_bytes());
    let trouble = |at: Range<usize>, (message, help): (String, String)| {
        let mut place = Place::value(id, "", "this row");
        place.bytes = Some(at);
        Finding::reading(ReadingCode::WrongKind, message, help, place)
    };
    let header = reader.headers().cloned().unwrap_or_default();
    let columns = match Columns::of(&header) {
        Ok(columns) => columns,
        Err(wrong) => {
            loaded.findings.push(trouble(first, wrong));
            return;
        }
    };
    let mut filling = Filling { record, id, form, columns, seen: BTreeMap::new() };
    for row in reader.records() {
        let Ok(row) = row else {
            let wrong = ("a row that can't be read".into(), "Save the table as CSV in UTF-8.".into());
            loaded.findings.push(trouble(first, wrong));
            return;
        };
        let start = row.position().map_or(0, |p| usize::try_from(p.byte()).unwrap_or(0)).min(body.len());
        // The reader leaves the second byte of a line's end to the row behind it.
        let start = start + body[start..].bytes().take_while(|b| matches!(b, b'\r' | b'\n')).count();
        let length = body.get(start..).and_then(|t| t.find('\n')).unwrap_or(body.len() - start);
        let at = skip + start..skip + start + length;
        if let Err(wrong) = filling.row(&row, &at) {
            loaded.findings.push(trouble(at, wrong));
        }
    }
}

/// A table on its way into a record.
struct Filling<'a> {
    record: &'a mut Record,
    /// The table among the sources.
    id: usize,
    form: &'a Form,
    columns: Columns,
    /// Readings met, with their lines.
    seen: BTreeMap<String, u64>,
}

impl Filling<'_> {
    /// Enters one row, or says what is wrong with it and what would help.
    fn row(&mut self, row: &csv::StringRecord, at: &Range<usize>) -> Result<(), (String, String)> {
        let columns = &self.columns;
        let part = |i: usize| row.get(i).unwrap_or("");
        let (point, reading, cell) = (part(columns.point), part(columns.reading), part(columns.cell));
        let value = part(columns.value);
        // Back from behind its apostrophe.
        let value = value.strip_prefix('\'').filter(|rest| is_formula(rest)).unwrap_or(value);
        if value.is_empty() {
            return Ok(());
        }
        if row.len() > columns.all && (columns.all..row.len()).any(|i| !part(i).is_empty()) {
            return Err((
                format!("the row has {} columns, the header {}", row.len(), columns.all),
                "A comma within a value parts it in two: put that value in double quotes.".into(),
            ));
        }
        let known = rows(self.form)
            .find(|(p, r)| *p == point && r.id == reading && r.cells.iter().any(|c| c == cell));
        let Some((_, known)) = known else {
            let ids: Vec<String> = rows(self.form).map(|(p, r)| format!("{p} {}", r.id)).collect();
            let near = crate::job::nearest(&format!("{point} {reading}"), ids.iter().map(String::as_str));
            let near = near.map_or(String::new(), |n| format!("Did you mean `{n}`? "));
            return Err((
                format!("there is no reading `{point}`, `{reading}`, `{cell}` in this pack"),
                format!("{near}Point, reading and cell as the blank table has them."),
            ));
        };
        let name = answer_name(point, reading, cell);
        let line = row.position().map_or(0, csv::Position::line);
        if let Some(before) = self.seen.insert(name.clone(), line) {
            return Err((
                format!("this reading stands in line {before} of the table already"),
                "One of the two rows is wrong: take it out.".into(),
            ));
        }
        let kind = Kind::of_unit(&known.unit);
        // The table's own unit counts where the value has none and it is another.
        let unit = columns
            .unit
            .map(part)
            .filter(|u| !u.is_empty() && *u != known.unit && matches!(kind, Kind::Number(_)));
        let bare = value.ends_with(|c: char| c.is_ascii_digit());
        let whole = match unit {
            Some(unit) if bare => format!("{value} {unit}"),
            _ => value.to_string(),
        };
        let answer = answer::read(&whole, &kind, self.record.zone)?;
        match self.record.given.get(&name) {
            Some(there) if there.answer != answer => {
                return Err((
                    format!("the record says {} here, and the table {value}", there.text),
                    "One of the two is wrong: mend it.".into(),
                ));
            }
            Some(_) => {}
            None => {
                let pointer = format!("/{}", name.replace('.', "/"));
                let given = Given {
                    answer,
                    text: value.to_string(),
                    source: self.id,
                    pointer,
                    bytes: Some(at.clone()),
                };
                self.record.given.insert(name, given);
            }
        }
        Ok(())
    }
}
