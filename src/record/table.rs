//! Readings as a table (CSV), for those who type in a sheet: written from a
//! record, and read back beside one.
//!
//! The header is stated and fixed: `point,reading,cell,value,unit,title,limits`.
//! A row is found by its first three columns; title and limits are for the
//! person who types and are not read.

use super::answer::{self, Kind};
use super::read::{Given, Loaded};
use crate::finding::{Finding, Place, ReadingCode};
use crate::procedure::{Form, Reading};
use crate::source::Source;

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

/// All readings of a record as a table; blanks where nothing was written.
pub fn write(form: &Form, record: Option<&super::Record>) -> String {
    let mut out = csv::Writer::from_writer(Vec::new());
    let mut line = |fields: [&str; 7]| out.write_record(fields).is_ok();
    line(HEADER);
    for (point, reading) in rows(form) {
        for cell in &reading.cells {
            let given = record.and_then(|r| r.get(&answer_name(point, &reading.id, cell)));
            let value = given.map_or("", |g| g.text.as_str());
            line([point, &reading.id, cell, value, &reading.unit, &reading.title, &reading.limits]);
        }
    }
    out.into_inner().map_or(String::new(), |bytes| String::from_utf8_lossy(&bytes).into_owned())
}

/// Reads the table called `name` into a record: it fills blanks, and what both
/// say differently is a finding.
pub fn fill(loaded: &mut Loaded, name: &str, text: String, form: &Form) {
    let id = loaded.sources.len();
    // The index finds no YAML in a table; its places are bytes.
    let (source, _) = Source::read(name, text.clone());
    loaded.sources.push(source);
    let Some(record) = &mut loaded.record else { return };
    let mut reader =
        csv::ReaderBuilder::new().flexible(true).trim(csv::Trim::All).from_reader(text.as_bytes());
    let trouble = |at: std::ops::Range<usize>, message: String, help: &str| {
        let mut place = Place::value(id, "", "this row");
        place.bytes = Some(at);
        Finding::reading(ReadingCode::WrongKind, message, help, place)
    };
    let header = reader.headers().cloned().unwrap_or_default();
    let first = 0..text.lines().next().map_or(0, str::len);
    let column = |name: &str| header.iter().position(|h| h == name);
    let [Some(point_at), Some(reading_at), Some(cell_at), Some(value_at)] =
        [column("point"), column("reading"), column("cell"), column("value")]
    else {
        let message = "the first row is not the header of a table of readings".to_string();
        loaded.findings.push(trouble(first, message, "It is: point,reading,cell,value,unit,title,limits."));
        return;
    };
    let unit_at = column("unit");
    for row in reader.records() {
        let Ok(row) = row else {
            loaded.findings.push(trouble(
                first.clone(),
                "a row that is no text in UTF-8".into(),
                "Save the table as CSV in UTF-8.",
            ));
            return;
        };
        let start = row.position().map_or(0, |p| usize::try_from(p.byte()).unwrap_or(0)).min(text.len());
        let length = text.get(start..).and_then(|t| t.find('\n')).unwrap_or(text.len() - start);
        let at = start..start + length;
        let part = |i: usize| row.get(i).unwrap_or("");
        let (point, reading, cell, value) = (part(point_at), part(reading_at), part(cell_at), part(value_at));
        if value.is_empty() {
            continue;
        }
        let known =
            rows(form).find(|(p, r)| *p == point && r.id == reading && r.cells.iter().any(|c| c == cell));
        let Some((_, known)) = known else {
            let message = format!("there is no reading `{point}`, `{reading}`, `{cell}` in this pack");
            let ids: Vec<String> = rows(form).map(|(p, r)| format!("{p} {}", r.id)).collect();
            let near = crate::job::nearest(&format!("{point} {reading}"), ids.iter().map(String::as_str));
            let help = near.map_or("Point, reading and cell as the blank table has them.".into(), |n| {
                format!("Did you mean `{n}`? Point, reading and cell as the blank table has them.")
            });
            loaded.findings.push(trouble(at, message, &help));
            continue;
        };
        let kind = Kind::of_unit(&known.unit);
        // The table's own unit counts where the value has none.
        let unit = unit_at.map(part).filter(|u| !u.is_empty() && matches!(kind, Kind::Number(_)));
        let bare = value.ends_with(|c: char| c.is_ascii_digit());
        let whole = match unit {
            Some(unit) if bare => format!("{value} {unit}"),
            _ => value.to_string(),
        };
        match answer::read(&whole, &kind, record.zone) {
            Ok(answer) => {
                let name = answer_name(point, reading, cell);
                match record.given.get(&name) {
                    Some(there) if there.answer != answer => {
                        let message = format!("the record says {} here, and the table {value}", there.text);
                        loaded.findings.push(trouble(at, message, "One of the two is wrong: mend it."));
                    }
                    Some(_) => {}
                    None => {
                        let given = Given {
                            answer,
                            text: value.to_string(),
                            source: id,
                            pointer: String::new(),
                            bytes: Some(at),
                        };
                        record.given.insert(name, given);
                    }
                }
            }
            Err((message, help)) => loaded.findings.push(trouble(at, message, &help)),
        }
    }
}
