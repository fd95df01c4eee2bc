//! The page templates hold no word of their own: every one stands in the file of page
//! words, each of those is used, and each that is asked for is there.

use crate::support::{root, rust_files};
use cutback::language::Language;
use std::collections::BTreeSet;
use std::path::PathBuf;
use typst::syntax::{LinkedNode, Source, SyntaxKind, ast};

/// Letters that stand in a template, and why they are no words of a language.
const NO_WORDS: &[(&str, &str)] = &[
    ("L1", "name of a phase, as the cores are marked"),
    ("L2", "name of a phase"),
    ("L3", "name of a phase"),
    ("L1, L2, L3", "names of phases"),
    ("SHA-256", "name of a checksum"),
    ("[U+", "number of a character"),
    ("C", "prefix of the page numbers of what is cut out"),
    ("A", "prefix of the page numbers of the annex"),
    ("C1", "pattern of a page label"),
    ("H", "kind of a point, as the data has it"),
    ("W", "kind of a point, as the data has it"),
    ("REJECT", "grade, as the data has it"),
    ("Inter", "name of the type"),
    ("a drawing holds a shape of a kind not known: ", "a fault of ours, never printed"),
    ("the drawing ", "a fault of ours, never printed"),
    (" is ", "a fault of ours, never printed"),
    (" mm by ", "a fault of ours, never printed"),
    (" mm and must be printed at full size, but the sheet has only ", "a fault of ours, never printed"),
    (" mm", "a fault of ours, never printed"),
];

/// Functions that take names of data and not words to print.
const TAKE_NAMES: &[&str] = &[
    "at",
    "field",
    "list-of",
    "has",
    "part",
    "contains",
    "starts-with",
    "ends-with",
    "json",
    "regex",
    "label",
    "numbering",
    "any-long",
    "display",
    "insert",
    "with",
    "attach",
];

fn templates() -> Vec<(String, Source)> {
    let mut files: Vec<PathBuf> = std::fs::read_dir(root().join("templates/layout"))
        .expect("the templates")
        .map(|entry| entry.expect("a file").path())
        .collect();
    files.sort();
    let read = |path: PathBuf| {
        let text = std::fs::read_to_string(&path).expect("a template");
        (path.file_stem().expect("a name").to_string_lossy().into_owned(), Source::detached(text))
    };
    files.into_iter().map(read).collect()
}

fn walk<'a>(node: &LinkedNode<'a>, see: &mut dyn FnMut(&LinkedNode<'a>)) {
    see(node);
    node.children().for_each(|child| walk(&child, see));
}

/// Letters beside those of an escape: `\n`, `\u{2028}`.
fn has_letters(text: &str) -> bool {
    let mut rest = text;
    while let Some(c) = rest.chars().next() {
        let after = match rest.strip_prefix('\\') {
            Some(escape) if escape.starts_with("u{") => escape.split_once('}').map_or("", |(_, after)| after),
            Some(escape) => escape.get(1..).unwrap_or(""),
            None => &rest[c.len_utf8()..],
        };
        if !rest.starts_with('\\') && c.is_alphabetic() {
            return true;
        }
        rest = after;
    }
    false
}

/// The last name of the function whose argument a string is.
fn function(node: &LinkedNode) -> Option<String> {
    let args = node.parent().filter(|p| p.kind() == SyntaxKind::Args)?;
    let call = args.parent()?.cast::<ast::FuncCall>()?;
    Some(match call.callee() {
        ast::Expr::FieldAccess(access) => access.field().as_str().to_string(),
        ast::Expr::Ident(name) => name.as_str().to_string(),
        _ => String::new(),
    })
}

/// A name of data: where it is compared, listed as a key, or given to what takes names.
fn is_name(node: &LinkedNode, text: &str) -> bool {
    if !text.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || "_-./:".contains(c)) {
        return false;
    }
    let parent = node.parent().map(|p| p.kind());
    match parent {
        Some(SyntaxKind::Args) => function(node).is_some_and(|f| TAKE_NAMES.contains(&f.as_str())),
        Some(SyntaxKind::ContentBlock | SyntaxKind::Markup) => false,
        // A named argument is an option of the typesetter's: `weight: "bold"`.
        _ => true,
    }
}

#[test]
fn templates_hold_no_words() {
    let mut wrong = Vec::new();
    let mut met: BTreeSet<&str> = BTreeSet::new();
    for (name, source) in templates() {
        assert!(source.root().errors_and_warnings().0.is_empty(), "{name}");
        walk(&LinkedNode::new(source.root()), &mut |node| {
            let text = match node.kind() {
                SyntaxKind::Text => node.leaf_text().to_string(),
                SyntaxKind::Str => node.leaf_text().trim_matches('"').to_string(),
                _ => return,
            };
            let pattern = function(node).is_some_and(|f| f == "regex");
            let path = text.starts_with('/') || text.ends_with(".typ") || text == "application/json";
            if !has_letters(&text) || path || pattern {
                return;
            }
            if let Some((known, _)) =
                NO_WORDS.iter().find(|(known, _)| *known == text.trim() || *known == text)
            {
                met.insert(known);
            } else if node.kind() == SyntaxKind::Text || !is_name(node, &text) {
                let line = source.lines().byte_to_line(node.offset()).unwrap_or(0) + 1;
                wrong.push(format!("templates/layout/{name}.typ line {line}: {text:?}"));
            }
        });
    }
    assert!(wrong.is_empty(), "words belong to templates/language/en/pages.yaml:\n{}", wrong.join("\n"));
    let stale: Vec<&&str> = NO_WORDS.iter().map(|(t, _)| t).filter(|t| !met.contains(**t)).collect();
    assert!(stale.is_empty(), "no template holds these any more: {stale:?}");
}

/// `part.role` of every word a template asks for.
fn asked() -> BTreeSet<String> {
    let mut asked = BTreeSet::new();
    for (name, source) in templates() {
        let mut part = None;
        let mut roles = BTreeSet::new();
        walk(&LinkedNode::new(source.root()), &mut |node| {
            let Some(access) = node.cast::<ast::FieldAccess>() else { return };
            let ast::Expr::Ident(of) = access.target() else { return };
            match of.as_str() {
                // `#let say = words.front`
                "words" if node.parent_kind() == Some(SyntaxKind::LetBinding) => {
                    part = Some(access.field().as_str().to_string());
                }
                "say" => {
                    roles.insert(access.field().as_str().to_string());
                }
                _ => {}
            }
        });
        match part {
            Some(part) => asked.extend(roles.iter().map(|role| format!("{part}.{role}"))),
            None => assert!(roles.is_empty(), "{name} asks for words and names no part"),
        }
    }
    let sources = rust_files(&root().join("src"));
    let rust: String = sources.iter().map(|f| std::fs::read_to_string(f).expect("a source")).collect();
    for role in rust.split("made(\"").skip(1).filter_map(|rest| rest.split('"').next()) {
        asked.insert(format!("made.{role}"));
    }
    asked
}

#[test]
fn every_page_word_is_used_and_every_one_used_is_there() {
    let english = Language::english().expect("sound words");
    let there: BTreeSet<String> = english
        .own
        .iter()
        .flat_map(|(part, roles)| roles.keys().map(move |r| format!("{part}.{r}")))
        .collect();
    let asked = asked();
    let missing: Vec<&String> = asked.difference(&there).collect();
    let unused: Vec<&String> = there.difference(&asked).collect();
    assert!(missing.is_empty() && unused.is_empty(), "not there: {missing:?}; not used: {unused:?}");
}
