//! Whether the proofs would see a wrong rule: every comparison, `and`, `or` and
//! `not` of the rule files is turned round in turn, and a proof or a sound job
//! has to come out otherwise.

use crate::limits::at_limits;
use crate::proofs::PROVED;
use crate::support::{BOOK, judge};
use cutback::cli::Judged;
use cutback::rules::RuleBook;
use std::collections::BTreeMap;
use std::sync::LazyLock;

/// The sound jobs, each judged once.
static SOUND: LazyLock<Vec<Judged>> =
    LazyLock::new(|| ["D-2201-P4", "K-0417-P1", "K-0417-P2", "K-0417-P3", "K-0417-P4"].map(judge).into());

/// What a comparison becomes when it is turned round, and when only its limit
/// is taken in or left out.
const TURNED: &[(&str, &str, Kind)] = &[
    (" <= ", " > ", Kind::Turned),
    (" >= ", " < ", Kind::Turned),
    (" < ", " >= ", Kind::Turned),
    (" > ", " <= ", Kind::Turned),
    (" == ", " != ", Kind::Turned),
    (" != ", " == ", Kind::Turned),
    (" and ", " or ", Kind::Turned),
    (" or ", " and ", Kind::Turned),
    ("not ", "", Kind::Turned),
    (" <= ", " < ", Kind::Limit),
    (" >= ", " > ", Kind::Limit),
    (" < ", " <= ", Kind::Limit),
    (" > ", " >= ", Kind::Limit),
];

#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Kind {
    Turned,
    Limit,
}

struct Mutant {
    kind: Kind,
    /// File, line, and what the condition became.
    what: String,
    rule: String,
    files: Vec<(String, String)>,
}

fn rule_files() -> Vec<(String, String)> {
    let folder = crate::support::root().join("templates/rules");
    let mut files: Vec<(String, String)> = std::fs::read_dir(&folder)
        .expect("the rules")
        .map(|entry| entry.expect("a file").path())
        .map(|path| {
            let name = path.file_name().expect("a name").to_string_lossy().into_owned();
            (format!("templates/rules/{name}"), std::fs::read_to_string(&path).expect("a text"))
        })
        .collect();
    files.sort();
    files
}

/// Every condition with one word of it turned round.
fn mutants() -> Vec<Mutant> {
    let files = rule_files();
    let mut out = Vec::new();
    for (at, (name, text)) in files.iter().enumerate() {
        let mut rule = String::new();
        let mut start = 0;
        for (number, line) in text.split_inclusive('\n').enumerate() {
            let bare = line.trim_start().trim_start_matches("- ");
            if let Some(code) = bare.strip_prefix("code: ") {
                rule = code.trim().to_string();
            }
            if bare.starts_with("when: ") || bare.starts_with("applies: ") {
                for (from, to, kind) in TURNED {
                    for (i, _) in line.match_indices(from) {
                        let turned = format!("{}{to}{}", &line[..i], &line[i + from.len()..]);
                        let mut changed = files.clone();
                        changed[at].1.replace_range(start..start + line.len(), &turned);
                        let what = format!("{name}:{}: {}", number + 1, turned.trim());
                        out.push(Mutant { kind: *kind, what, rule: rule.clone(), files: changed });
                    }
                }
            }
            start += line.len();
        }
    }
    out
}

/// What one rule says of a job, by the rules of `book`.
fn says(book: &RuleBook, rule: &str, judged: &Judged) -> Vec<String> {
    let Some((job, sheet, _)) = &judged.judged else { return Vec::new() };
    let judgement = book.judge(sheet, job, &judged.sources);
    let own = judgement.findings.iter().filter(|f| f.code == rule);
    let mut out: Vec<String> = own.map(|f| format!("{} {:?} {}", f.check, f.grade, f.message)).collect();
    let silent = judgement.not_judged.iter().filter(|n| n.code == rule);
    out.extend(silent.map(|n| format!("{} not judged", n.check)));
    out.sort();
    out
}

/// The share and what was missed stand in `target/tmp/mutants.txt`.
#[test]
fn proofs_see_a_rule_turned_round() {
    let thorough = std::env::var("VARY").is_ok_and(|v| v == "all");
    let mutants = mutants();
    assert!(mutants.len() > 150, "only {} conditions to turn round", mutants.len());
    let mut caught: BTreeMap<Kind, (usize, usize)> = BTreeMap::new();
    let mut missed = Vec::new();
    for mutant in mutants.into_iter().step_by(if thorough { 1 } else { 9 }) {
        let counts = caught.entry(mutant.kind).or_default();
        counts.1 += 1;
        // A file that is not read any more is seen as well.
        let seen = match RuleBook::read(mutant.files) {
            Err(_) => true,
            Ok(book) => {
                let own =
                    PROVED.iter().filter(|((code, _), _)| *code == mutant.rule).map(|(_, judged)| judged);
                own.chain(SOUND.iter())
                    .chain(at_limits(&mutant.rule))
                    .any(|judged| says(&BOOK, &mutant.rule, judged) != says(&book, &mutant.rule, judged))
            }
        };
        if seen {
            counts.0 += 1;
        } else {
            missed.push((mutant.kind, mutant.what));
        }
    }
    let share = |kind: Kind| caught.get(&kind).map_or(1.0, |(seen, all)| *seen as f64 / *all as f64);
    let table: Vec<String> = missed.iter().map(|(kind, what)| format!("{kind:?} {what}")).collect();
    let table = table.join("\n");
    let summary = format!("turned {:.3}, limits {:.3}: {caught:?}", share(Kind::Turned), share(Kind::Limit));
    let told = std::path::Path::new(env!("CARGO_TARGET_TMPDIR")).join("mutants.txt");
    std::fs::write(told, format!("{summary}\n{table}\n")).expect("written");
    assert!(share(Kind::Turned) >= LEAST, "{:.3} are seen; these are not:\n{table}", share(Kind::Turned));
    assert!(
        share(Kind::Limit) >= LEAST,
        "limits: {:.3} are seen; these are not:\n{table}",
        share(Kind::Limit)
    );
}

/// Share of turned conditions, and of limits moved to their other side, that must
/// be seen. The rest needs two answers changed at once, which a proof does not do.
const LEAST: f64 = 0.8;
