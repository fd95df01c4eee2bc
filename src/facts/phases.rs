//! What a phase map says, read as far as words allow.

use super::def::{Def, Out, Show};
use crate::job::schema::Mark;

pub(super) const FACTS: &[Def] = &[Def {
    name: "phase_map_trouble",
    title: "trouble with the phase map",
    formula: "each stretch of circuit.phase_map up to a `;` names L1, L2 and L3 equally often, and cores 1 to 3 where it names cores; with circuit.phases it says the same",
    inputs: &["circuit.phase_map", "circuit.phases"],
    mark: Mark::Computed,
    show: Show::Word,
    meaning: "A map is a sentence of the client's; only which phases and cores it names is read, never how they lie.",
    compute: |x| {
        let map = x.word("circuit.phase_map")?;
        let phases = x.word("circuit.phases").ok();
        Ok(trouble(&map, phases.as_deref()).map_or(Out::None("none"), Out::Word))
    },
}];

/// Words as they stand, punctuation off; a `;` or a line's end parts stretches.
fn stretches(map: &str) -> impl Iterator<Item = Vec<String>> {
    map.split([';', '\n']).map(|part| {
        part.split(|c: char| !c.is_ascii_alphanumeric())
            .filter(|word| !word.is_empty())
            .map(str::to_uppercase)
            .collect()
    })
}

/// The number of a phase, `L2` as 2; a word that is none gives nothing.
fn phase(word: &str) -> Option<&str> {
    word.strip_prefix('L').filter(|n| !n.is_empty() && n.chars().all(|c| c.is_ascii_digit()))
}

/// What is wrong with a map, in words.
fn trouble(map: &str, phases: Option<&str>) -> Option<String> {
    let mut named = false;
    for words in stretches(map) {
        let of: Vec<&str> = words.iter().filter_map(|w| phase(w)).collect();
        if of.is_empty() {
            continue;
        }
        named = true;
        if let Some(wrong) = uneven(&of, "L") {
            return Some(wrong);
        }
        let cores: Vec<&str> = core_numbers(&words).collect();
        if let Some(wrong) = uneven(&cores, "core ").filter(|_| !cores.is_empty()) {
            return Some(wrong);
        }
        if let Some(phases) = phases
            && let Some(marked) = core_by_core(&words)
            && marked != phases
        {
            return Some(format!("it puts {marked} on cores 1, 2, 3, and `circuit.phases` {phases}"));
        }
    }
    (!named).then(|| "it names none of L1, L2, L3".to_string())
}

/// The first of 1, 2, 3 that is missing or stands more often than the others, or a
/// number that is none of them.
fn uneven(numbers: &[&str], before: &str) -> Option<String> {
    if let Some(other) = numbers.iter().find(|n| !["1", "2", "3"].contains(n)) {
        return Some(format!("there is no {before}{other}"));
    }
    let count = |n: &str| numbers.iter().filter(|m| **m == n).count();
    let most = ["1", "2", "3"].into_iter().map(count).max().unwrap_or(0);
    let missing = ["1", "2", "3"].into_iter().find(|n| count(n) == 0);
    let twice = ["1", "2", "3"].into_iter().find(|n| count(n) == most && most > 1);
    let short = ["1", "2", "3"].into_iter().find(|n| count(n) < most);
    match (missing, twice, short) {
        (_, _, None) => None,
        (Some(missing), Some(twice), _) => {
            Some(format!("{before}{twice} stands {most} times and {before}{missing} not at all"))
        }
        (Some(missing), None, _) => Some(format!("{before}{missing} is missing")),
        (None, _, Some(short)) => Some(format!("{before}{short} stands fewer times than the others")),
    }
}

/// Numbers behind the word `core`.
fn core_numbers(words: &[String]) -> impl Iterator<Item = &str> {
    words.windows(2).filter(|w| w[0] == "CORE" && w[1].parse::<u8>().is_ok()).map(|w| w[1].as_str())
}

/// `core 1 L2, core 2 L1, core 3 L3` as `L2 L1 L3`; nothing in other words.
fn core_by_core(words: &[String]) -> Option<String> {
    let of = |core: &str| {
        let mut found = words.windows(3).filter(|w| w[0] == "CORE" && w[1] == core && phase(&w[2]).is_some());
        found.next().filter(|_| found.next().is_none()).map(|w| w[2].clone())
    };
    Some([of("1")?, of("2")?, of("3")?].join(" "))
}

#[cfg(test)]
mod tests {
    use super::trouble;

    #[test]
    fn what_a_map_names_is_held_against_three_phases() {
        for sound in [
            "L1, L2, L3 from left, as at panel F4",
            "core 1 L1, core 2 L2, core 3 L3; L1, L2, L3 from the road side",
            "L1-L1, L2-L3, L3-L2",
            "l1 / l2 / l3, X as Y",
            "Core 1 = L2, core 2 = L1, core 3 = L3",
        ] {
            assert_eq!(trouble(sound, None), None, "{sound}");
        }
        for (wrong, why) in [
            ("none", "it names none of L1, L2, L3"),
            ("R, Y, B from left", "it names none of L1, L2, L3"),
            ("??", "it names none of L1, L2, L3"),
            ("L1, L2, L4", "there is no L4"),
            ("L1, L2 from left", "L3 is missing"),
            ("L1, L2, X", "L3 is missing"),
            ("L1, L1, L3", "L1 stands 2 times and L2 not at all"),
            ("L1-L1, L2-L3, L3-L3", "L1 stands fewer times than the others"),
            ("core 1 L1, core 1 L2, core 3 L3", "core 1 stands 2 times and core 2 not at all"),
            ("L1, L2, L3; L1, L2, L2", "L2 stands 2 times and L3 not at all"),
        ] {
            assert_eq!(trouble(wrong, None).as_deref(), Some(why), "{wrong}");
        }
        let map = "core 1 L1, core 2 L2, core 3 L3";
        assert_eq!(trouble(map, Some("L1 L2 L3")), None);
        let both = trouble(map, Some("L1 L3 L2"));
        assert_eq!(both.as_deref(), Some("it puts L1 L2 L3 on cores 1, 2, 3, and `circuit.phases` L1 L3 L2"));
    }
}
