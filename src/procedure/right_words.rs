//! Which words in a blank for words are wrong ones. They stand with the blank in the
//! wording files and travel in the pack, so that a record is judged by what its pack says.

use serde::{Deserialize, Serialize};

/// What an answer in words says when it is right. Upper and lower case are one; a word that
/// ends in `*` stands for every word that begins so.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RightWords {
    /// An answer that begins with one of these is right, whatever follows.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub begins: Vec<String>,
    /// One of these is named.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub names: Vec<String>,
    /// None of these is named.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub against: Vec<String>,
}

impl RightWords {
    /// Whether an answer says what it must not, or not what it must.
    pub fn is_wrong(&self, answer: &str) -> bool {
        let answer = plain(answer);
        let named = |list: &[String]| list.iter().any(|words| has(&answer, words));
        if self.begins.iter().any(|words| starts(&answer, words)) {
            return false;
        }
        // With beginnings alone nothing else is right.
        let must = !self.names.is_empty() || (!self.begins.is_empty() && self.against.is_empty());
        named(&self.against) || (must && !named(&self.names))
    }
}

/// Lower case words, each with a space before and behind it.
fn plain(text: &str) -> String {
    let lower = text.to_lowercase();
    let words = lower.split(|c: char| !c.is_alphanumeric()).filter(|w| !w.is_empty());
    words.fold(" ".to_string(), |all, word| all + word + " ")
}

/// As it is looked for: `track*` open at its end.
fn sought(words: &str) -> String {
    let plain = plain(words);
    if words.ends_with('*') { plain.trim_end().to_string() } else { plain }
}

fn has(answer: &str, words: &str) -> bool {
    answer.contains(&sought(words))
}

fn starts(answer: &str, words: &str) -> bool {
    answer.starts_with(&sought(words))
}

#[cfg(test)]
mod tests {
    use super::RightWords;

    fn right_words(begins: &[&str], names: &[&str], against: &[&str]) -> RightWords {
        let owned = |list: &[&str]| list.iter().map(ToString::to_string).collect();
        RightWords { begins: owned(begins), names: owned(names), against: owned(against) }
    }

    #[test]
    fn whole_words_or_their_beginnings_are_told() {
        let surface = right_words(&[], &[], &["track*", "shrunk back"]);
        for (answer, wrong) in [
            ("sound", false),
            ("two Tracks near L1", true),
            ("tracking", true),
            ("untracked", false),
            ("insulation shrunk  back", true),
            ("shrunk, back", true),
            ("shrunk on, laid back", false),
        ] {
            assert_eq!(surface.is_wrong(answer), wrong, "{answer}");
        }
    }

    #[test]
    fn what_must_be_named_is_missed_and_a_denial_is_heard() {
        let spike = right_words(&[], &["spike*", "trace*"], &["no", "not"]);
        let tripped = right_words(&["nothing", "none"], &[], &[]);
        let dead = right_words(&["no bare conductor"], &["yes", "dead"], &["not"]);
        for (words, answer, wrong) in [
            (&spike, "spiked 09:12", false),
            (&spike, "cut", true),
            (&spike, "spike not fired", true),
            (&tripped, "nothing; control 09:20", false),
            (&tripped, "feeder 4, nothing else", true),
            (&dead, "no bare conductor, not needed", false),
            (&dead, "not proved dead", true),
            (&dead, "Dead, unit ZD-4", false),
            (&dead, "assumed", true),
        ] {
            assert_eq!(words.is_wrong(answer), wrong, "{answer}");
        }
    }
}
