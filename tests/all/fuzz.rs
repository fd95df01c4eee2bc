//! Random texts through every reader: nothing panics, nothing hangs, and what
//! is not a job says so. `FUZZ=1000000` sets the runs of the small readers (the
//! others take a share of it); what once failed stays in `tests/fuzz`.

use crate::support::{BOOK, PRESS, job_text, library, root};
use cutback::cli::judge_text;
use cutback::issuing::Register;
use cutback::job::schema::Shelf;
use cutback::report::{self, Look};
use cutback::source::Source;
use cutback::units::{Dimension, Quantity, Range};

/// A small generator, so that every run is the same.
struct Dice(u64);

impl Dice {
    fn roll(&mut self) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        self.0
    }

    fn below(&mut self, n: usize) -> usize {
        (self.roll() % n.max(1) as u64) as usize
    }

    fn one<'a>(&mut self, from: &[&'a str]) -> &'a str {
        from[self.below(from.len())]
    }
}

const WORDS: &[&str] = &[
    ":",
    ": ",
    "- ",
    "\n",
    "\n  ",
    "\t",
    " ",
    "#",
    "{",
    "}",
    "[",
    "]",
    ",",
    "'",
    "\"",
    "|",
    ">",
    "&a",
    "*a",
    "!!",
    "---",
    "...",
    "?",
    "%",
    "@",
    "~",
    "null",
    "none",
    "yes",
    "no",
    "-0",
    "0",
    "1e9",
    "-",
    ".",
    "640 mm",
    "22 kV",
    "24 to 34 mm",
    " to ",
    "mm",
    "kV peak",
    "2031-02-29",
    "\u{feff}",
    "\u{202e}",
    "\u{0}",
    "\u{85}",
    "é",
    "漢",
    "\u{1f600}",
    "{{ job }}",
    "#panic()",
    "\\",
    "\\u0000",
    "999999999999999999999",
    "/",
    "../",
    "kit:",
    "job:",
    "crew:",
    "acceptances:",
    "{\"job\":",
    "}\n",
    "0000000000000000",
];

/// `text` with a few pieces cut, doubled, moved or put in.
fn spoilt(dice: &mut Dice, text: &str) -> String {
    let mut chars: Vec<char> = text.chars().collect();
    for _ in 0..=dice.below(4) {
        let at = dice.below(chars.len() + 1);
        let end = (at + dice.below(24)).min(chars.len());
        match dice.below(4) {
            0 => drop(chars.drain(at..end)),
            1 => {
                let piece: Vec<char> = chars[at..end].to_vec();
                chars.splice(at..at, piece);
            }
            2 => {
                let piece: Vec<char> = chars.drain(at..end).collect();
                let to = dice.below(chars.len() + 1);
                chars.splice(to..to, piece);
            }
            _ => {
                let word = dice.one(WORDS);
                chars.splice(at..end, word.chars());
            }
        }
    }
    chars.into_iter().collect()
}

fn runs() -> usize {
    std::env::var("FUZZ").ok().and_then(|n| n.parse().ok()).unwrap_or(4000)
}

#[test]
fn quantities_and_ranges() {
    let mut dice = Dice(0xf1a5);
    let seeds = ["640 mm", "22 kV rms", "24.0 to 34.0 mm", "-3 C", "0.27 uF/km", "60 N.m", "1.2 m"];
    let mut read = 0;
    for _ in 0..runs() * 10 {
        let seed = dice.one(&seeds);
        let text = spoilt(&mut dice, seed);
        for dimension in Dimension::ALL {
            if let Ok(quantity) = Quantity::parse(&text, dimension) {
                read += 1;
                // Shown and read again it is the same figure.
                let again = Quantity::parse(&quantity.to_string(), dimension).expect("reads itself");
                let near = (again.base() - quantity.base()).abs() <= 1e-6 * quantity.base().abs().max(1.0);
                assert!(near && quantity.base().is_finite(), "{text:?}: {quantity} and {again}");
            }
            if let Ok(range) = Range::parse(&text, dimension) {
                assert!(range.low.base() <= range.high.base(), "{text:?}");
            }
        }
    }
    assert!(read > 100, "only {read} were read");
}

#[test]
fn places_of_a_text() {
    let mut dice = Dice(0x50f7);
    let seeds = [job_text("D-2201-P4"), job_text("K-0417-P1"), "a: {b: [1, 'x'], c: \"d\"}\n- e\n".into()];
    for _ in 0..runs() / 4 {
        let seed = &seeds[dice.below(seeds.len())];
        let text = spoilt(&mut dice, seed);
        let (source, error) = Source::read("fuzz", text);
        let inside = |at: &std::ops::Range<usize>| source.text().get(at.clone()).is_some();
        if let Some(error) = error {
            assert!(inside(&error.at) && !error.message.is_empty(), "{:?}", source.text());
        }
        for pointer in source.pointers() {
            assert!(inside(&source.locate(pointer).at), "{pointer} in {:?}", source.text());
        }
    }
}

#[test]
fn jobs_and_library_items() {
    let mut dice = Dice(0x10b5);
    let job = job_text("D-2201-P4");
    let kit = std::fs::read_to_string(root().join("jobs/library/kits/ZQ24-3I-240.yaml")).expect("the kit");
    let mut judged_whole = 0;
    for run in 0..runs() / 20 {
        let (text, library) = if run % 3 == 0 {
            (job.clone(), library().with(Shelf::Kits, "ZQ24-3I-240", spoilt(&mut dice, &kit)))
        } else {
            (spoilt(&mut dice, &job), library())
        };
        let judged = judge_text("fuzz.yaml", text.clone(), &library, &BOOK, &PRESS);
        let report = judged.report();
        let shown = report::text(&report, Look::Plain);
        assert!(!shown.is_empty() && !report::json(&report).to_string().is_empty());
        let bad = shown.chars().find(|c| (c.is_control() && *c != '\n') || *c == '\u{202e}');
        assert_eq!(bad, None, "reaches the terminal: {text:?}");
        let wide = shown.lines().find(|line| line.chars().count() > 80);
        assert_eq!(wide, None, "{text:?}");
        match judged.judged {
            Some(_) => judged_whole += 1,
            None => assert!(report.open() > 0, "no job, and nothing said: {text:?}"),
        }
    }
    assert!(judged_whole > runs() / 2000, "only {judged_whole} were judged");
}

#[test]
fn registers() {
    let mut dice = Dice(0x4e61);
    let line = |previous: &str| {
        format!(
            "{{\"job\":\"D\",\"end\":\"E\",\"revision\":\"P1\",\"replaces\":\"none\",\"date\":\"2031-01-01\",\"pack_sha256\":\"a\",\"pdf_sha256\":\"b\",\"previous\":\"{previous}\"}}\n"
        )
    };
    let first = line(&"0".repeat(64));
    let whole = first.clone() + &line(&cutback::issuing::sha256(first.trim_end().as_bytes()));
    let dir = tempfile::tempdir().expect("a folder");
    let path = dir.path().join("register.jsonl");
    let mut refused = 0;
    for _ in 0..runs() / 8 {
        std::fs::write(&path, spoilt(&mut dice, &whole)).expect("written");
        match Register::read(dir.path()) {
            Ok(register) => assert!(register.entries().len() <= 3),
            Err(error) => {
                refused += 1;
                assert!(error.to_string().contains("line "), "{error}");
            }
        }
    }
    assert!(refused > 20, "only {refused} were refused");
}

/// What once failed.
#[test]
fn finds_stay_mended() {
    let folder = root().join("tests/fuzz");
    let mut tried = 0;
    for entry in std::fs::read_dir(folder).expect("the finds").flatten() {
        tried += 1;
        let text = String::from_utf8_lossy(&std::fs::read(entry.path()).expect("a find")).into_owned();
        let judged = judge_text("find.yaml", text, &library(), &BOOK, &PRESS);
        let shown = report::text(&judged.report(), Look::Plain);
        let wide = shown.lines().find(|line| line.chars().count() > 80);
        assert_eq!(wide, None, "{}", entry.path().display());
        assert!(!shown.contains('\u{202e}'), "{}", entry.path().display());
    }
    assert!(tried > 0);
}
