//! Who signed for the pack and in what order, and whether its days can follow each other.

use super::def::{Def, Gap, Inputs, Out, Show};
use crate::job::leaf_keys;
use crate::job::schema::Mark;

/// Those who sign, in their order, by the word and the keys of name and day.
const SIGNED: [(&str, &str, &str); 3] = [
    ("prepared", "people.prepared.name", "people.prepared.date"),
    ("checked", "people.checked.name", "people.checked.date"),
    ("approved", "people.approved.name", "people.approved.date"),
];

/// Days of the work, which comes after the pack.
const WORK: [&str; 2] = ["job.starts", "job.planned"];

/// A name as it is compared: capitals and blanks tell no two people apart.
fn plain(name: &str) -> String {
    name.split_whitespace().collect::<Vec<_>>().join(" ").to_lowercase()
}

fn one_person_twice(x: &Inputs) -> Result<Out, Gap> {
    let mut names = Vec::new();
    for (what, key, _) in SIGNED {
        names.push((what, key, x.word(key)?));
    }
    let pairs =
        names.iter().enumerate().flat_map(|(i, one)| names[i + 1..].iter().map(move |two| (one, two)));
    let twice: Vec<_> = pairs
        .filter(|(one, two)| plain(&one.2) == plain(&two.2))
        .map(|(one, two)| (format!("{} and {} by {}", one.0, two.0, one.2), two.1.to_string()))
        .collect();
    Ok(open(twice))
}

/// The days given, each with its key and words for it; ISO dates compare as text.
fn days(x: &Inputs) -> Vec<(&'static str, String, String)> {
    let signed = SIGNED.map(|(what, _, key)| (key, what.to_string()));
    let pack = [("job.date", "dated".to_string())];
    let given = signed.into_iter().chain(pack).filter_map(|(key, what)| Some((key, what, x.word(key).ok()?)));
    given.collect()
}

fn signed_out_of_turn(x: &Inputs) -> Out {
    let days = days(x);
    let wrong = days.windows(2).filter(|two| two[1].2 < two[0].2).map(|two| {
        let [(_, before, first), (key, what, day)] = two else { return Default::default() };
        (format!("{what} {day}, before it was {before} {first}"), (*key).to_string())
    });
    open(wrong.collect())
}

fn work_before_pack(x: &Inputs) -> Out {
    let Some((_, what, last)) = days(x).into_iter().max_by(|a, b| a.2.cmp(&b.2)) else { return open(vec![]) };
    let early = WORK.into_iter().filter_map(|key| Some((key, x.word(key).ok()?)));
    let early = early.filter(|(_, day)| *day < last).map(|(key, day)| {
        let title = leaf_keys().get(key).map_or("", |known| known.title);
        (format!("{title} {day}, and the pack is {what} {last}"), key.to_string())
    });
    open(early.collect())
}

fn open(open: Vec<(String, String)>) -> Out {
    if open.is_empty() { Out::None("none") } else { Out::Open(open) }
}

const fn def(
    name: &'static str,
    title: &'static str,
    formula: &'static str,
    inputs: &'static [&'static str],
    compute: fn(&Inputs) -> Result<Out, Gap>,
) -> Def {
    Def { name, title, formula, inputs, mark: Mark::Computed, show: Show::Word, meaning: "", compute }
}

pub(super) const FACTS: &[Def] = &[
    def(
        "one_person_twice",
        "one person who signs twice for the pack",
        "any two of prepared, checked and approved by one name",
        &["people.prepared.name", "people.checked.name", "people.approved.name"],
        one_person_twice,
    ),
    def(
        "signed_out_of_turn",
        "signatures out of turn",
        "of the days given: prepared, checked, approved, date of the pack, none before the one before it",
        &["people.prepared.date", "people.checked.date", "people.approved.date", "job.date"],
        |x| Ok(signed_out_of_turn(x)),
    ),
    def(
        "work_before_pack",
        "work planned before the pack",
        "of the days given: start or end of the work before a signature or the date of the pack",
        &[
            "people.prepared.date",
            "people.checked.date",
            "people.approved.date",
            "job.date",
            "job.starts",
            "job.planned",
        ],
        |x| Ok(work_before_pack(x)),
    ),
    def(
        "replaces_itself",
        "a revision that replaces itself",
        "job.replaces is job.revision",
        &["job.replaces", "job.revision"],
        |x| {
            let revision = x.word("job.revision")?;
            Ok(Out::YesNo(x.word("job.replaces").is_ok_and(|replaced| replaced == revision)))
        },
    ),
];
