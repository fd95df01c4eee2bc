//! A way out as a proposed fix: what it replaces in the job file, line by line.

use super::place::Artifacts;
use super::text;
use serde_json::{Value, json};
use similar::{DiffTag, TextDiff};

/// A way out of a box that does not fit, as plain data: the rooms above know
/// what it is made of. A tool may offer to take it; this one never does.
#[derive(Clone, Debug)]
pub struct ProposedFix {
    /// Rules whose findings it answers.
    pub codes: Vec<String>,
    pub description: String,
    /// The changed job file; nothing where there is no way out.
    pub changed: Option<String>,
    /// The whole report of the search.
    pub report: Value,
}

/// The fix of the file at `uri` that holds `before`.
pub(super) fn fix(artifacts: &mut Artifacts, uri: &str, before: &str, fix: &ProposedFix) -> Option<Value> {
    let changed = fix.changed.as_deref()?;
    let replacements = replacements(before, changed);
    (!replacements.is_empty()).then(|| {
        json!({
            "description": text(&fix.description),
            "artifactChanges": [{
                "artifactLocation": artifacts.location(uri),
                "replacements": replacements,
            }],
        })
    })
}

/// Whole lines taken out and put in, from the start of one line to the start of
/// another; lines at the end of a file that lacks its last line end too.
fn replacements(before: &str, after: &str) -> Vec<Value> {
    let diff = TextDiff::from_lines(before, after);
    let (old, new) = (diff.old_slices(), diff.new_slices());
    let mut out = Vec::new();
    for op in diff.ops().iter().filter(|op| op.tag() != DiffTag::Equal) {
        let (gone, put) = (op.old_range(), op.new_range());
        let mut region = json!({
            "startLine": gone.start + 1,
            "startColumn": 1,
            "endLine": gone.end + 1,
            "endColumn": 1,
        });
        let mut words: String = new[put].concat();
        // The file ends without a line end: no line stands behind its last one.
        if gone.end == old.len() && old.last().is_some_and(|line| !line.ends_with('\n')) {
            let last = old[old.len() - 1];
            let column = last.chars().count() + 1;
            region["endLine"] = json!(old.len());
            region["endColumn"] = json!(column);
            if gone.start == old.len() {
                region["startLine"] = json!(old.len());
                region["startColumn"] = json!(column);
                words.insert(0, '\n');
            }
        }
        out.push(json!({"deletedRegion": region, "insertedContent": {"text": words}}));
    }
    out
}

#[cfg(test)]
mod tests {
    use super::replacements;

    /// Takes the replacements as a reader of SARIF would, from the last one up.
    fn taken(before: &str, after: &str) -> String {
        let byte = |line: u64, column: u64| {
            let lines = before.split_inclusive('\n').take(line as usize - 1);
            let start: usize = lines.map(str::len).sum();
            let chars = before[start..].chars().take(column as usize - 1);
            start + chars.map(char::len_utf8).sum::<usize>()
        };
        let mut out = before.to_string();
        for one in replacements(before, after).iter().rev() {
            let at = |key: &str| one["deletedRegion"][key].as_u64().expect("a number");
            let (from, to) = (byte(at("startLine"), at("startColumn")), byte(at("endLine"), at("endColumn")));
            out.replace_range(from..to, one["insertedContent"]["text"].as_str().expect("a text"));
        }
        out
    }

    #[test]
    fn a_reader_that_takes_them_has_the_changed_file() {
        for (before, after) in [
            ("a: 1\nb: 2\nc: 3\n", "a: 1\nb: 9\nc: 3\nd: 4\n"),
            ("a: 1\nb: 2\n", "b: 2\n"),
            ("a: 1\nb: ä", "a: 1\nb: ä\nc: 3\n"),
            ("a: 1\nb: ä", "a: 2\nb: 3"),
            ("a: 1\r\nb: 2\r\n", "a: 1\r\nb: 3\r\nc: 4\r\n"),
            ("a: 1\n", "a: 1\n"),
        ] {
            assert_eq!(taken(before, after), after, "{before:?}");
        }
        assert!(replacements("a: 1\n", "a: 1\n").is_empty());
    }
}
