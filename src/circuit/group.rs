//! Which jobs are of one circuit, and which of them are in force.

use crate::facts::Sheet;
use crate::job::{Job, Sources};
use std::cmp::Ordering;
use std::collections::{BTreeMap, BTreeSet};

/// One job with its facts.
#[derive(Clone, Copy)]
pub struct Member<'a> {
    pub file: &'a str,
    pub sources: &'a Sources,
    pub job: &'a Job,
    pub sheet: &'a Sheet,
}

impl Member<'_> {
    fn text(&self, name: &str) -> String {
        self.job.text(name).unwrap_or_default()
    }
}

/// The jobs of one circuit, by their number among those given.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Circuit {
    pub name: String,
    /// The last revision of each end, in the order given.
    pub jobs: Vec<usize>,
    /// Earlier revisions, oldest first, each with the job in force of its end.
    pub earlier: Vec<(usize, usize)>,
    /// Names of the earlier revisions.
    pub revisions: BTreeMap<usize, String>,
}

/// The circuits that have more than one job in force here. A circuit is told by
/// its name, whatever the capitals and blanks; a job without one stands alone.
pub fn circuits(all: &[Member]) -> Vec<Circuit> {
    let mut groups: BTreeMap<String, Vec<usize>> = BTreeMap::new();
    let mut files = BTreeSet::new();
    for (i, member) in all.iter().enumerate() {
        let name = words(&member.text("circuit.name"));
        // The same file named twice is one job.
        if !name.is_empty() && files.insert(member.file) {
            groups.entry(name).or_default().push(i);
        }
    }
    let mut groups: Vec<Vec<usize>> = groups.into_values().collect();
    groups.sort();
    let found = groups.into_iter().map(|own| in_force(all, &own));
    found.filter(|c| c.jobs.len() > 1).collect()
}

fn in_force(all: &[Member], own: &[usize]) -> Circuit {
    let mut ends: BTreeMap<(String, String), Vec<usize>> = BTreeMap::new();
    for &i in own {
        ends.entry((words(&all[i].text("job.number")), words(&all[i].text("job.end")))).or_default().push(i);
    }
    let mut circuit = Circuit {
        name: own.first().map_or(String::new(), |i| all[*i].text("circuit.name")),
        jobs: Vec::new(),
        earlier: Vec::new(),
        revisions: BTreeMap::new(),
    };
    for mut revisions in ends.into_values() {
        revisions.sort_by(|a, b| age(&all[*a], &all[*b]));
        let Some(&last) = revisions.last() else { continue };
        for &i in &revisions {
            // Two files of the last revision are both held against the rest.
            if age(&all[i], &all[last]) == Ordering::Equal {
                circuit.jobs.push(i);
            } else {
                circuit.earlier.push((i, last));
                circuit.revisions.insert(i, all[i].text("job.revision"));
            }
        }
    }
    circuit.jobs.sort_unstable();
    circuit
}

fn words(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ").to_lowercase()
}

/// Which of two revisions came first: by the date of the pack, then by the
/// revision's letters and number.
fn age(a: &Member, b: &Member) -> Ordering {
    let revision = |m: &Member| {
        let text = m.text("job.revision");
        let letters: String = text.chars().take_while(|c| !c.is_ascii_digit()).collect();
        let number = text[letters.len()..].parse::<u64>().unwrap_or(0);
        (letters, number, text)
    };
    a.text("job.date").cmp(&b.text("job.date")).then_with(|| revision(a).cmp(&revision(b)))
}
