//! Changes to the text of a job file: only the lines that change differ, and
//! every comment stays.

use crate::job::{Job, leaf_keys};
use crate::source::Source;

/// One key set to a new text, or taken out.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Change {
    /// Dotted name of a key or a group.
    pub key: String,
    pub to: Option<String>,
    pub why: String,
}

/// The text with every change made, in order.
///
/// # Errors
/// The change that could not be made, in words.
pub fn apply(text: &str, changes: &[Change]) -> Result<String, String> {
    changes.iter().try_fold(text.to_string(), |text, change| {
        let pointer = format!("/{}", change.key.replace('.', "/"));
        match &change.to {
            Some(to) => {
                // A group is written as YAML, a key's text may need quotes.
                let plain = leaf_keys().contains_key(change.key.as_str());
                set(&text, &pointer, &if plain { quoted(to) } else { to.clone() })
            }
            None => take_out(&text, &pointer),
        }
        .map_err(|what| format!("`{}`: {what}", change.key))
    })
}

/// Lines added at the end of the file.
pub fn append(text: &str, lines: &str) -> String {
    let end = line_end(text);
    let mut out = text.trim_end_matches(['\n', '\r', ' ']).to_string();
    out.push_str(end);
    out.push_str(&lines.replace('\n', end));
    out
}

/// A sentence broken at blanks for comments of a job file, within 80 columns.
pub fn comment_lines(text: &str) -> Vec<String> {
    const WIDTH: usize = 74;
    let mut lines = vec![String::new()];
    for word in text.split_whitespace() {
        let last = lines.last_mut();
        match last {
            Some(line) if line.is_empty() => line.push_str(word),
            Some(line) if line.chars().count() + 1 + word.chars().count() <= WIDTH => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_string()),
        }
    }
    lines
}

fn line_end(text: &str) -> &'static str {
    if text.contains("\r\n") { "\r\n" } else { "\n" }
}

fn read(text: &str) -> Result<Source, String> {
    let (source, error) = Source::read("job", text.to_string());
    error.map_or(Ok(source), |e| Err(e.message))
}

fn set(text: &str, pointer: &str, to: &str) -> Result<String, String> {
    let source = read(text)?;
    if source.has(pointer) {
        let mut at = source.locate(pointer).at;
        let key = source.locate_key(pointer).at;
        let mut to = to.to_string();
        if at.start <= key.end {
            // A key without an answer: the text goes behind its colon.
            let colon = text[key.end..].find(':').map_or(key.end, |i| key.end + i + 1);
            (at, to) = (colon..colon, format!(" {to}"));
        }
        return Ok(format!("{}{to}{}", &text[..at.start], &text[at.end..]));
    }
    let (parent, key) = pointer.rsplit_once('/').unwrap_or(("", pointer));
    if parent.is_empty() {
        return Ok(append(text, &format!("{key}: {to}\n")));
    }
    if !source.has(parent) || text[source.locate(parent).at].trim().is_empty() {
        return set(text, parent, &format!("{{{key}: {to}}}"));
    }
    let at = source.locate(parent).at;
    if text[at.clone()].starts_with('{') {
        let inside = text[at.start..at.end].trim_end_matches('}').trim_end();
        let comma = if inside == "{" { "" } else { ", " };
        let behind = at.start + inside.len();
        return Ok(format!("{}{comma}{key}: {to}{}", &text[..behind], &text[behind..]));
    }
    // A group in lines: one more line, as far in as its first key.
    let first = text[..at.start].rfind('\n').map_or(0, |i| i + 1);
    let indent = " ".repeat(at.start - first);
    let behind = text[at.end..].find('\n').map_or(text.len(), |i| at.end + i + 1);
    let end = line_end(text);
    let before = if text[..behind].ends_with('\n') { "" } else { end };
    Ok(format!("{}{before}{indent}{key}: {to}{end}{}", &text[..behind], &text[behind..]))
}

/// Takes a key out with its value: the whole line where it stands alone there.
fn take_out(text: &str, pointer: &str) -> Result<String, String> {
    let source = read(text)?;
    if !source.has(pointer) {
        return Ok(text.to_string());
    }
    let (key, value) = (source.locate_key(pointer).at, source.locate(pointer).at);
    let line = text[..key.start].rfind('\n').map_or(0, |i| i + 1);
    let end = value.end.max(key.end);
    if text[line..key.start].trim().is_empty() {
        let behind = text[end..].find('\n').map_or(text.len(), |i| end + i + 1);
        let rest = text[end..behind].trim();
        if rest.is_empty() || rest.starts_with('#') || rest == ":" {
            return Ok(format!("{}{}", &text[..line], &text[behind..]));
        }
    }
    // In a group on one line: with the comma behind it, or the one before.
    let rest = &text[end..];
    if let Some(more) = rest.trim_start().strip_prefix(',') {
        let behind = text.len() - more.trim_start_matches(' ').len();
        return Ok(format!("{}{}", &text[..key.start], &text[behind..]));
    }
    let before = text[..key.start].trim_end().trim_end_matches(',').len();
    Ok(format!("{}{rest}", &text[..before]))
}

/// The text as YAML takes it: in quotes where it could mean something else.
pub fn quoted(text: &str) -> String {
    let awkward = |c: char| ",[]{}:#&*!|>'\"%@`\\".contains(c) || c.is_control();
    let plain = !text.is_empty()
        && text.trim() == text
        && !text.contains(awkward)
        && !text.starts_with(['-', '?', '~', '='])
        && !matches!(text, "null" | "yes" | "no" | "true" | "false");
    if plain {
        return text.to_string();
    }
    if matches!(text, "yes" | "no") {
        // Answers of the schema, written bare as everywhere in a job file.
        return text.to_string();
    }
    let mut out = String::from("\"");
    for c in text.chars() {
        match c {
            '"' | '\\' => out.extend(['\\', c]),
            c if c.is_control() => out.push(' '),
            c => out.push(c),
        }
    }
    out.push('"');
    out
}

/// The job's text for `{name}` in `template`.
pub(super) fn filled(template: &str, job: &Job) -> String {
    let mut out = template.to_string();
    while let Some((from, to)) = out.find('{').and_then(|i| Some((i, i + out[i..].find('}')?))) {
        let name = out[from + 1..to].to_string();
        if !leaf_keys().contains_key(name.as_str()) {
            break;
        }
        let text = job.text(&name).unwrap_or_default();
        out.replace_range(from..=to, &text);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn change(key: &str, to: Option<&str>) -> Change {
        Change { key: key.into(), to: to.map(Into::into), why: String::new() }
    }

    fn changed(text: &str, key: &str, to: Option<&str>) -> String {
        apply(text, &[change(key, to)]).expect("a change that can be made")
    }

    #[test]
    fn only_the_value_changes() {
        let text = "# head\nlayout:\n  crutch: inside   # for now\n  former: yes\nkit: A\n";
        assert_eq!(
            changed(text, "layout.crutch", Some("outside")),
            "# head\nlayout:\n  crutch: outside   # for now\n  former: yes\nkit: A\n"
        );
        assert_eq!(changed(text, "kit", Some("B-2")), text.replace("kit: A", "kit: B-2"));
    }

    #[test]
    fn a_new_key_gets_a_line_of_its_group() {
        let text = "layout:\n  former: yes  # on site\n\nkit: A\n";
        assert_eq!(
            changed(text, "layout.entry_pitch", Some("65 mm")),
            "layout:\n  former: yes  # on site\n  entry_pitch: 65 mm\n\nkit: A\n"
        );
        let flow = "enclosure:\n  plate: {metal: steel}\n";
        assert_eq!(
            changed(flow, "enclosure.plate.thickness", Some("6 mm")),
            "enclosure:\n  plate: {metal: steel, thickness: 6 mm}\n"
        );
        assert_eq!(changed("kit: A\n", "gland", Some("{type: none}")), "kit: A\ngland: {type: none}\n");
        assert_eq!(
            changed("kit: A\nlayout:\n", "layout.former", Some("no")),
            "kit: A\nlayout: {former: no}\n"
        );
        assert_eq!(changed("layout:\n  former:\n", "layout.former", Some("no")), "layout:\n  former: no\n");
    }

    #[test]
    fn a_key_goes_with_its_line() {
        let text = "layout:\n  crutch_height: 60 mm  # low\n  former: yes\n";
        assert_eq!(changed(text, "layout.crutch_height", None), "layout:\n  former: yes\n");
        let flow = "tests: {planned: yes, kind: withstand, level: acceptance}\n";
        assert_eq!(changed(flow, "tests.kind", None), "tests: {planned: yes, level: acceptance}\n");
        assert_eq!(changed(flow, "tests.level", None), "tests: {planned: yes, kind: withstand}\n");
        assert_eq!(changed(flow, "tests.sheath", None), flow);
    }

    #[test]
    fn texts_that_could_mean_more_get_quotes() {
        assert_eq!(quoted("65 mm"), "65 mm");
        assert_eq!(quoted("aluminium, three"), "\"aluminium, three\"");
        assert_eq!(quoted("say \"so\""), "\"say \\\"so\\\"\"");
        assert_eq!(quoted("no"), "no");
        let text = "layout:\n  crutch: inside\n";
        let twice = changed(text, "layout.plate_as_drilled", Some("a: b, c"));
        assert_eq!(twice, "layout:\n  crutch: inside\n  plate_as_drilled: \"a: b, c\"\n");
    }

    #[test]
    fn windows_lines_stay_windows_lines() {
        let text = "layout:\r\n  crutch: inside\r\nkit: A\r\n";
        assert_eq!(
            changed(text, "layout.former", Some("no")),
            "layout:\r\n  crutch: inside\r\n  former: no\r\nkit: A\r\n"
        );
    }
}
