//! What a run of `receive` came to, for people, for machines, for the phone.

use super::gather::LeftAlone;
use super::place::{Frame, Proposal, Unclear};
use serde::Serialize;
use std::fmt::Write;

/// What is wrong with a picture: nothing is guessed, each wants a look.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub struct Question {
    /// Name of the wrong, in words apart by hyphens.
    pub kind: &'static str,
    /// The picture, or two of them, by the first name each came under.
    pub pictures: Vec<String>,
    pub what: String,
    pub help: &'static str,
}

/// Name and version of the form of the report for machines.
pub const REPORT_FORMAT: &str = "cutback-receive-1";

#[derive(Clone, Debug, Serialize)]
pub struct Report {
    pub format: &'static str,
    pub job: String,
    pub revision: String,
    pub end: String,
    /// Checksum of the pack.
    pub pack: String,
    /// The folder of the record.
    pub folder: String,
    /// Files looked at in this run, and how many of them were new.
    pub looked_at: usize,
    pub new: usize,
    /// Pictures that are filed, now and before.
    pub filed: usize,
    pub frames: usize,
    pub needed: Vec<Frame>,
    pub proposals: Vec<Proposal>,
    pub unclear: Vec<Unclear>,
    pub questions: Vec<Question>,
    /// Films, hashed and not looked at, by their names.
    pub videos: Vec<String>,
    /// Names under which one and the same file came.
    pub same: Vec<Vec<String>>,
    pub left_alone: Vec<LeftAlone>,
    /// Copies that could not be made.
    pub trouble: Vec<String>,
}

impl Report {
    /// Whether every frame is there and nothing is open.
    pub fn complete(&self) -> bool {
        self.needed.is_empty() && self.questions.is_empty() && self.unclear.is_empty()
    }

    pub fn text(&self) -> String {
        let mut out = String::new();
        let have = self.frames - self.needed.len();
        let _ = writeln!(
            out,
            "{} {} {}: {have} of {} frames there.\n{} files, {} of them new; {} pictures filed in\n{}.",
            self.job, self.revision, self.end, self.frames, self.looked_at, self.new, self.filed, self.folder
        );
        if !self.needed.is_empty() {
            out.push_str("\nStill needed:\n");
            out.push_str(&self.list());
        }
        if !self.questions.is_empty() {
            out.push_str("\nTo be looked at:\n");
        }
        let mut last = "";
        for q in self.questions.iter().take(LISTED) {
            let pictures = format!("  {}: ", q.pictures.join(" and "));
            let _ = writeln!(out, "{pictures}{}", wrapped(&q.what, pictures.chars().count(), 4));
            if q.kind != last {
                let _ = writeln!(out, "    {}", wrapped(q.help, 4, 4));
            }
            last = q.kind;
        }
        more(&mut out, self.questions.len());
        for u in &self.unclear {
            let head = format!("  card {}: ", u.card);
            let frames = u.frames.join(", ");
            let what = format!(
                "{} pictures for the frames {frames}; say in the list which shows which.",
                u.pictures
            );
            let _ = writeln!(out, "{head}{}", wrapped(&what, head.chars().count(), 4));
        }
        if !self.proposals.is_empty() {
            let _ = writeln!(
                out,
                "\n{} pictures have a frame proposed by the order of time, which proves nothing:\n  look through {}/frames-to-confirm.csv, save it\n  under another name, and give that with `--frames`.",
                self.proposals.len(),
                self.folder
            );
        }
        let same: Vec<String> = self.same.iter().map(|names| names.join(" = ")).collect();
        let left: Vec<String> = self.left_alone.iter().map(|l| format!("{}: {}", l.name, l.why)).collect();
        listed(&mut out, "The same file under several names, counted once", &same);
        listed(&mut out, "Films, hashed and not looked at", &self.videos);
        listed(&mut out, "Left alone", &left);
        out
    }

    /// The sheet for the phone and for paper.
    pub fn sheet(&self) -> String {
        let mut out = format!(
            "STILL NEEDED BEFORE YOU LEAVE SITE\n{} {}, {}   pack {}\n",
            self.job,
            self.revision,
            self.end,
            self.pack.get(..12).unwrap_or("")
        );
        if self.needed.is_empty() {
            out.push_str("\nEvery frame of the photo list is there.\n");
        } else {
            let _ = writeln!(
                out,
                "{} of {} frames. Put the label card in each.\n",
                self.needed.len(),
                self.frames
            );
            out.push_str(&self.list());
        }
        out.push_str("\nA photograph of what is covered by now can't be taken again: say so to the\nplanner, never take it of something else. This list gives nobody leave to work.\n");
        out
    }

    fn list(&self) -> String {
        let mut out = String::new();
        for frame in &self.needed {
            let proposed = self.proposals.iter().any(|p| p.frame == frame.id);
            let note = if proposed { ", confirm the picture proposed" } else { "" };
            let phase = if frame.phase == "all" { String::new() } else { format!(", {}", frame.phase) };
            let head = format!("[ ] {:<7} {}{phase}, card {}{note}", frame.id, frame.point, frame.card);
            let _ = writeln!(out, "  {head}\n              {}", wrapped(&frame.text, 14, 14));
        }
        out
    }
}

/// Most lines of a list that a person reads on the screen.
const LISTED: usize = 40;

fn listed(out: &mut String, title: &str, lines: &[String]) {
    if lines.is_empty() {
        return;
    }
    let _ = writeln!(out, "\n{title}:");
    for line in lines.iter().take(LISTED) {
        let _ = writeln!(out, "  {}", wrapped(line, 2, 4));
    }
    more(out, lines.len());
}

fn more(out: &mut String, all: usize) {
    if all > LISTED {
        let _ = writeln!(out, "  and {} more (`--format json` lists all)", all - LISTED);
    }
}

/// Words on lines of at most 79 columns: the first begins at column `start`, the
/// later ones at `indent`.
fn wrapped(text: &str, start: usize, indent: usize) -> String {
    let (mut out, mut column) = (String::new(), start);
    for word in text.split_whitespace() {
        let n = word.chars().count();
        if column + 1 + n > 79 && !out.is_empty() {
            out.push('\n');
            out.extend(std::iter::repeat_n(' ', indent));
            column = indent;
        } else if !out.is_empty() {
            out.push(' ');
            column += 1;
        }
        out.push_str(word);
        column += n;
    }
    out
}
