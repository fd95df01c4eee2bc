//! The side index: from pointer to bytes, built from parser events.

use super::{MAX_BYTES, SyntaxError, escape};
use saphyr_parser::{Event, Parser, Span};
use std::collections::BTreeMap;
use std::ops::Range;

const MAX_DEPTH: usize = 32;

#[derive(Clone, Debug)]
pub(super) struct Spot {
    pub key: Option<Range<usize>>,
    pub value: Range<usize>,
}

#[derive(Clone, Debug, Default)]
pub(super) struct Index(BTreeMap<String, Spot>);

impl Index {
    pub fn get(&self, pointer: &str) -> Option<&Spot> {
        self.0.get(pointer)
    }

    pub fn pointers(&self) -> impl Iterator<Item = &str> {
        self.0.keys().map(String::as_str)
    }
}

enum Level {
    List { pointer: String, start: usize, next: usize },
    Map { pointer: String, start: usize, key: Option<(String, Range<usize>)> },
}

/// Turns character positions of the parser into bytes.
struct Bytes(Vec<usize>);

impl Bytes {
    fn new(text: &str) -> Self {
        let mut table: Vec<usize> = text.char_indices().map(|(i, _)| i).collect();
        table.push(text.len());
        Bytes(table)
    }

    fn at(&self, character: usize) -> usize {
        self.0.get(character).or(self.0.last()).copied().unwrap_or(0)
    }

    fn range(&self, span: Span) -> Range<usize> {
        self.at(span.start.index())..self.at(span.end.index())
    }
}

fn refuse<T>(
    at: Range<usize>,
    message: impl Into<String>,
    help: impl Into<String>,
) -> Result<T, SyntaxError> {
    Err(SyntaxError { at, message: message.into(), help: help.into() })
}

pub(super) fn build(text: &str) -> Result<Index, SyntaxError> {
    if text.len() > MAX_BYTES {
        return refuse(
            0..0,
            format!("the file is too large: {} bytes, most {MAX_BYTES}", text.len()),
            "A job file is a page or two; check that this is the right file.",
        );
    }
    if text.trim_start_matches('\u{feff}').trim().is_empty() {
        return refuse(
            0..0,
            "the file is empty",
            "`cutback new` writes one to fill in; `cutback new --help` says how.",
        );
    }
    if let Some((at, c)) =
        text.char_indices().find(|(_, c)| c.is_control() && !matches!(c, '\n' | '\r' | '\t'))
    {
        return refuse(
            at..at + c.len_utf8(),
            format!("control character U+{:04X}", u32::from(c)),
            "Remove it; a job file is plain text in UTF-8.",
        );
    }
    let bytes = Bytes::new(text);
    let mut index = Index::default();
    let mut levels: Vec<Level> = Vec::new();
    let mut documents = 0;
    for event in Parser::new_from_str(text) {
        let (event, span) = match event {
            Ok(pair) => pair,
            Err(error) => {
                if let Some(at) = indenting_tab(text) {
                    return refuse(
                        at,
                        "a tab in the indentation",
                        "Indent with blanks, two a level; editors have a setting for it.",
                    );
                }
                let start = bytes.at(error.marker().index());
                let end = text[start..].chars().next().map_or(start, |c| start + c.len_utf8());
                if error.info().contains("recursion") {
                    return too_deep(start..end);
                }
                return refuse(
                    start..end,
                    format!("not readable as YAML: {}", error.info()),
                    "Check indentation (spaces, never tabs), quotes and colons on this line and the one above.",
                );
            }
        };
        let at = bytes.range(span);
        match event {
            Event::DocumentStart(_) => {
                documents += 1;
                if documents > 1 {
                    return refuse(
                        at,
                        "a second document starts here",
                        "Put one job in a file; remove the `---`.",
                    );
                }
            }
            Event::Alias(_) => return no_anchors(at),
            Event::Scalar(value, _, anchor, _) => {
                if anchor > 0 {
                    return no_anchors(at);
                }
                scalar(&mut index, &mut levels, &value, trim(text, at))?;
            }
            Event::SequenceStart(anchor, _) | Event::MappingStart(anchor, _) if anchor > 0 => {
                return no_anchors(at);
            }
            Event::SequenceStart(..) => {
                let pointer = open(&mut levels, &at)?;
                levels.push(Level::List { pointer, start: at.start, next: 0 });
            }
            Event::MappingStart(..) => {
                let pointer = open(&mut levels, &at)?;
                levels.push(Level::Map { pointer, start: at.start, key: None });
            }
            Event::SequenceEnd | Event::MappingEnd => close(&mut index, &mut levels, text, at.end),
            _ => {}
        }
    }
    Ok(index)
}

fn too_deep<T>(at: Range<usize>) -> Result<T, SyntaxError> {
    refuse(
        at,
        format!("nested more than {MAX_DEPTH} levels deep"),
        "No part of a job file is nested that deep; check the brackets and indentation.",
    )
}

/// The first tab that stands before the words of a line.
fn indenting_tab(text: &str) -> Option<Range<usize>> {
    let mut start = 0;
    for line in text.split_inclusive('\n') {
        let indent = line.len() - line.trim_start_matches([' ', '\t']).len();
        if let Some(tab) = line[..indent].find('\t')
            && !line.trim().is_empty()
        {
            return Some(start + tab..start + tab + 1);
        }
        start += line.len();
    }
    None
}

fn no_anchors<T>(at: Range<usize>) -> Result<T, SyntaxError> {
    refuse(
        at,
        "anchors and aliases (`&`, `*`) are not read here",
        "Write the value out; put text that starts with `*` or `&` in quotes.",
    )
}

/// Block scalars and collections end after their trailing blank space.
fn trim(text: &str, at: Range<usize>) -> Range<usize> {
    let part = text.get(at.clone()).unwrap_or("");
    at.start..at.start + part.trim_end().len()
}

fn scalar(index: &mut Index, levels: &mut [Level], value: &str, at: Range<usize>) -> Result<(), SyntaxError> {
    if let Some(Level::Map { pointer, key, .. }) = levels.last_mut()
        && key.is_none()
    {
        let child = format!("{pointer}/{}", escape(value));
        if index.0.contains_key(&child) {
            return refuse(
                at,
                format!("the key `{value}` stands here a second time"),
                "Keep one of the two.",
            );
        }
        // Entered at once, so that a repeat is seen while the value is open.
        index.0.insert(child.clone(), Spot { key: Some(at.clone()), value: at.clone() });
        *key = Some((child, at));
        return Ok(());
    }
    let (pointer, key) = place(levels);
    index.0.insert(pointer, Spot { key, value: at });
    Ok(())
}

/// The pointer of the value that starts now; its key is used up.
fn place(levels: &mut [Level]) -> (String, Option<Range<usize>>) {
    match levels.last_mut() {
        None => (String::new(), None),
        Some(Level::List { pointer, next, .. }) => {
            *next += 1;
            (format!("{pointer}/{}", *next - 1), None)
        }
        Some(Level::Map { key, .. }) => match key.take() {
            Some((pointer, at)) => (pointer, Some(at)),
            None => (String::new(), None),
        },
    }
}

fn open(levels: &mut [Level], at: &Range<usize>) -> Result<String, SyntaxError> {
    if levels.len() >= MAX_DEPTH {
        return too_deep(at.clone());
    }
    if let Some(Level::Map { key: None, .. }) = levels.last() {
        return refuse(
            at.clone(),
            "a list or a group can't be a key",
            "Write a plain word before the colon.",
        );
    }
    // The key stays in the level until the group is closed.
    Ok(match levels.last_mut() {
        None => String::new(),
        Some(Level::List { pointer, next, .. }) => {
            *next += 1;
            format!("{pointer}/{}", *next - 1)
        }
        Some(Level::Map { key, .. }) => key.as_ref().map_or_else(String::new, |(p, _)| p.clone()),
    })
}

fn close(index: &mut Index, levels: &mut Vec<Level>, text: &str, end: usize) {
    let Some(level) = levels.pop() else { return };
    let (pointer, start) = match level {
        Level::List { pointer, start, .. } | Level::Map { pointer, start, .. } => (pointer, start),
    };
    let key = match levels.last_mut() {
        Some(Level::Map { key, .. }) => key.take().map(|(_, at)| at),
        _ => None,
    };
    let value = trim(text, start..end.max(start));
    index.0.insert(pointer, Spot { key, value });
}

#[cfg(test)]
mod tests {
    use super::super::Source;

    fn at<'a>(text: &'a str, pointer: &str) -> &'a str {
        let (source, error) = Source::read("t", text.to_string());
        assert_eq!(error, None, "{text}");
        let range = source.locate(pointer).at;
        &text[range]
    }

    fn error(text: &str) -> (String, (usize, usize)) {
        let (source, error) = Source::read("t", text.to_string());
        let error = error.expect("an error");
        let place = source.line_column(error.at.start);
        (error.message, place)
    }

    #[test]
    fn every_value_has_its_bytes() {
        let text =
            "a: {b: [1 mm, 'q / x'], \"k/y\": é ü}\nc:\n  - d: 5\n    e: |\n      two\n      lines\n  - f\n";
        assert_eq!(at(text, "/a/b/0"), "1 mm");
        assert_eq!(at(text, "/a/b/1"), "'q / x'");
        assert_eq!(at(text, "/a/k~1y"), "é ü");
        assert_eq!(at(text, "/c/0/d"), "5");
        assert_eq!(at(text, "/c/1"), "f");
        assert_eq!(at(text, "/a/b"), "[1 mm, 'q / x']");
    }

    #[test]
    fn a_missing_value_points_at_its_nearest_parent() {
        let text = "# head\ncable:\n  conductor:\n    area: 185 mm2\n";
        assert_eq!(at(text, "/cable/conductor/metal"), "conductor");
        assert_eq!(at(text, "/cable/screen/kind"), "cable");
        assert_eq!(at(text, "/kit"), "cable:");
    }

    #[test]
    fn what_cannot_be_read_has_a_place() {
        assert_eq!(error("a: 1\nb: [1, 2\n").1.0, 3);
        assert_eq!(error("a: 1\na: 2\n"), ("the key `a` stands here a second time".into(), (2, 1)));
        assert_eq!(error("a: 1\n---\nb: 2\n").0, "a second document starts here");
        assert_eq!(error("a: &x 1\nb: *x\n").1, (1, 4));
        assert_eq!(error("a:\n  b: 1\n\tc: 2\n"), ("a tab in the indentation".into(), (3, 1)));
        assert_eq!(error("  \n").0, "the file is empty");
        assert_eq!(error("a: \u{7}\n"), ("control character U+0007".into(), (1, 4)));
        for depth in [60, 400, 100_000] {
            let deep = format!("a: {}{}", "[".repeat(depth), "]".repeat(depth));
            let (message, (line, _)) = error(&deep);
            assert_eq!(message, "nested more than 32 levels deep");
            assert_eq!(line, 1);
        }
    }
}
