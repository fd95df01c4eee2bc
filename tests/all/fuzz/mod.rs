//! Random texts and bytes through every reader: nothing panics, nothing hangs, and
//! what is no file of ours says so. `FUZZ=1000000` sets the runs of the smallest
//! readers; each other takes the share of it that is written beside it. With
//! `--nocapture` each prints how many it did. What once failed stays in `tests/fuzz`.

mod bytes;
mod files;
mod words;

use crate::support::{BOOK, Dice, PRESS, library, root};
use cutback::cli::judge_text;
use cutback::report::{self, Look};

/// What means something to one of the readers.
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

/// The same for files of bytes: PDF, JPEG, PNG and their metadata.
const BYTES: &[&[u8]] = &[
    b"%PDF-1.7",
    b"%%EOF",
    b"stream\n",
    b"endstream",
    b"endobj",
    b"1 0 obj",
    b"xref",
    b"trailer",
    b"startxref",
    b"<<",
    b">>",
    b"/Filter/FlateDecode",
    b"/Filter /LZWDecode",
    b"/F (pack.json)",
    b"/Length 99999999999999999999",
    b"/Prev 0",
    b"/ObjStm",
    b"0 0 R",
    b"4294967296 0 R",
    b"\xff\xd8\xff",
    b"\xff\xda",
    b"\xff\xc4",
    b"\xff\xdb",
    b"\xff\xc0\x00\x11\x08\xff\xff\xff\xff",
    b"\xff\xe1\x00\x02",
    b"\xff\xd9",
    b"Exif\0\0MM\0*",
    b"Exif\0\0II*\0",
    b"\x89PNG\r\n\x1a\n",
    b"IHDR",
    b"IDAT",
    b"IEND",
    b"eXIf",
    b"ftypheic",
    b"\xff\xff\xff\xff",
    b"\0\0\0\0",
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
                let word = *dice.one(WORDS);
                chars.splice(at..end, word.chars());
            }
        }
    }
    chars.into_iter().collect()
}

/// `bytes` with a few of them flipped, cut, doubled or overwritten, or the end gone.
fn bent(dice: &mut Dice, bytes: &[u8]) -> Vec<u8> {
    let mut out = bytes.to_vec();
    for _ in 0..=dice.below(5) {
        let at = dice.below(out.len() + 1);
        let end = (at + dice.below(40)).min(out.len());
        match dice.below(7) {
            0 => drop(out.drain(at..end)),
            1 => {
                let piece = out[at..end].to_vec();
                out.splice(at..at, piece);
            }
            2 if dice.below(4) == 0 => out.truncate(at),
            3 => {
                let wild = *dice.one(&[0u8, 1, 0x7f, 0x80, 0xff]);
                out[at..end].fill(wild);
            }
            4 => {
                let word = *dice.one(BYTES);
                out.splice(at..end, word.iter().copied());
            }
            _ => {
                if let Some(byte) = out.get_mut(at) {
                    *byte ^= 1 << dice.below(8);
                }
            }
        }
    }
    out
}

/// Calls `one` as often as `share` of the runs says, with how many were done before,
/// and prints the count and the time.
#[allow(clippy::print_stdout, clippy::disallowed_methods)]
fn run(name: &str, share: f64, mut one: impl FnMut(usize)) {
    let runs = std::env::var("FUZZ").ok().and_then(|n| n.parse::<f64>().ok()).unwrap_or(4000.0);
    let runs = (runs * share).ceil() as usize;
    let from = std::time::Instant::now();
    (0..runs).for_each(&mut one);
    println!("fuzz {name}: {runs} runs in {:.0} s", from.elapsed().as_secs_f64());
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
