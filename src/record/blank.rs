//! The blank record of a pack: every field with its unit and limits beside it.
//! What the pack knows is not typed again.

use super::FORMAT;
use super::facts::is_palms;
use super::struck::DECIDED_AT;
use crate::procedure::{FormPoint, Pack, Reading};
use std::fmt::Write;

const WIDTH: usize = 90;

/// The text of the blank record; `checksum` is that of the pack's `pack.json`.
pub fn blank(pack: &Pack, checksum: &str) -> String {
    let mut form = Blank { out: String::new() };
    form.head(pack, checksum);
    form.people(pack);
    form.documents(pack);
    form.instruments(pack);
    form.points(pack);
    form.tests(pack);
    form.close(pack);
    form.out
}

struct Blank {
    out: String,
}

impl Blank {
    fn line(&mut self, text: &str) {
        self.out.push_str(text.trim_end());
        self.out.push('\n');
    }

    /// A comment, broken at blanks.
    fn say(&mut self, indent: &str, text: &str) {
        let mut line = format!("{indent}#");
        for word in text.split_whitespace() {
            if line.chars().count() + 1 + word.chars().count() > WIDTH && !line.ends_with('#') {
                self.line(&line);
                line = format!("{indent}#");
            }
            let _ = write!(line, " {word}");
        }
        self.line(&line);
    }

    fn head(&mut self, pack: &Pack, checksum: &str) {
        let job = &pack.job;
        if job.invented {
            self.say("", "INVENTED demonstration: no place, person, circuit or product is real.");
        }
        self.say("", &format!(
            "Record of job {}, revision {}, end {} ({}). Fill in a copy of this file; what was issued stays as it is.",
            job.number, job.revision, job.end, job.end_name
        ));
        self.say("", "Behind each name: the unit; then the limit and whose it is. The pack's own words stand over these.");
        self.say("", "A time is written 2031-05-12 14:05, in the zone below; another zone is written behind it, +02:00.");
        self.say("", "No answer: `n/a: why`. Over the range of the instrument: `> full scale`. Never OK, never \"as above\".");
        self.say("", "Whoever is asked for is named by authorisation number, as signed on below.");
        self.line("record:");
        self.line(&format!("  format: {FORMAT}"));
        self.line(&format!("  job: {}", job.number));
        self.line(&format!("  revision: {}", job.revision));
        self.line(&format!("  end: {}", job.end));
        self.line(&format!("  pack: {checksum}"));
        self.line("  zone:            # offset of the times here from UTC, like +01:00");
        self.line("  completed:       # time; empty while the work goes on");
        if pack.form.points.iter().any(|p| p.id == DECIDED_AT) {
            self.line(
                "  as_found:        # the as-found file the decision was computed from, beside this record",
            );
        }
        self.line("");
    }

    fn people(&mut self, pack: &Pack) {
        self.say("", "Everybody who worked, released or tested. A person the pack does not name is checked at sign-on: add an entry with up_to, valid_to and checked_by.");
        self.line("people:");
        for person in &pack.briefing.crew {
            self.line(&format!("  - authorisation: {}", scalar(&person.authorisation)));
            self.line(&format!("    role: {}", scalar(&person.role)));
            self.line(&format!("    name: {}", scalar(&person.name)));
            self.line("    employer:");
            self.line("    on:            # time of sign-on");
            self.line("    off:           # time of sign-off");
        }
        self.line("");
    }

    fn documents(&mut self, pack: &Pack) {
        self.say("", "Safety documents in the order they were held; numbers are copied by the holder.");
        self.line("documents:");
        for document in &pack.form.documents {
            self.line(&format!(
                "  - document: {}      # steps {} to {}",
                document.document, document.from_step, document.to_step
            ));
            self.line("    number:");
            self.line("    holder:        # authorisation number");
            self.line("    received:      # time");
            self.line("    returned:      # time; for the last one, cleared");
        }
        self.line("");
        self.line("isolation:");
        self.line("  points:          # one a row of the isolation page, with its lock number");
        for point in &pack.isolation.points {
            self.say("    ", &format!("{}: {}", point.number, point.device));
            self.line("    - {locked: , lock: }");
        }
        self.line("  working_earths: {on: , off: }   # how many");
        self.line("");
    }

    fn instruments(&mut self, pack: &Pack) {
        self.say("", "Instruments and tools that decide a figure. `until` is the last day of the calibration. `range` of a torque wrench like 20 to 100 N.m; `digit` of a test set is the worth of its last digit, like 0.1 kV.");
        self.line("instruments:");
        for (what, serial) in super::instruments::asked(pack) {
            let serial = serial.unwrap_or_default();
            let more = match what {
                "torque wrench" => ", range: ",
                "test set" => ", digit: ",
                _ => "",
            };
            let line =
                format!("  - {{what: {what}, serial: {}, until: , certificate: {more}}}", scalar(&serial));
            self.line(&line);
        }
        self.line("");
    }

    fn points(&mut self, pack: &Pack) {
        self.say("", "Points of control in working order. `asked` and `released` are times; released phase by phase where three blanks stand. `done_by` and `released_by`: authorisation numbers. `remote: yes` where the releaser saw the original frame and was not there.");
        self.line("points:");
        for point in &pack.form.points {
            self.line("");
            self.say(
                "  ",
                &format!(
                    "{} {}, step {}, STOP {}: {}",
                    point.letter, point.short, point.step, point.stop, point.title
                ),
            );
            self.line(&format!("  {}:", point.id));
            for reading in &point.readings {
                self.reading("    ", reading);
            }
            self.line("    done_by:");
            self.line("    asked:");
            self.line(&format!("    released: {}", if point.phases { "{L1: , L2: , L3: }" } else { "" }));
            self.line(&format!("    released_by:   # {}", by(point)));
            if point.id == DECIDED_AT {
                self.line("");
                self.say("  ", "Remake or redesign: from here on only the last point is written; `back` of what stays off is left empty too.");
            }
        }
        self.line("");
    }

    fn reading(&mut self, indent: &str, reading: &Reading) {
        // The plan of a key figure stays out: nobody is to copy it.
        let plan = reading.plan.filter(|_| !reading.key).map_or(String::new(), |p| format!("; planned {p}"));
        self.say(
            indent,
            &format!("{}: {}; {} ({}){plan}", reading.title, reading.unit, reading.limits, reading.basis),
        );
        let cells: Vec<String> = reading.cells.iter().map(|c| format!("{c}: ")).collect();
        let blanks =
            if reading.cells.len() > 1 { format!("{{{}}}", cells.join(", ")) } else { String::new() };
        self.line(&format!("{indent}{}: {blanks}", reading.id));
    }

    fn tests(&mut self, pack: &Pack) {
        self.say("", "The test sheet. A voltage says rms or peak: 36.0 kV rms.");
        self.line("tests:");
        for reading in &pack.form.tests {
            self.reading("  ", reading);
        }
        self.line("");
        self.line("disconnected:        # times; palms: bolted on again for good; by: who put it back");
        let torqued = pack.form.points.iter().any(|p| p.id == "terminal_torque");
        for item in &pack.form.disconnect {
            self.line(&format!("  - item: {}", scalar(item)));
            if torqued && is_palms(item) {
                self.line("    here:            # yes: palms of this end; no: of another");
            }
            self.line("    off:");
            self.line("    back:");
            self.line("    by:");
        }
        self.line("");
    }

    fn close(&mut self, pack: &Pack) {
        self.say("", "Deviations: none, or entries with point, reading, cell (L2), found, action (conceded, reworked, cut back), lost (length cut off), chain_checked (yes), reason, accepted_by, accepted_role, at.");
        self.line("deviations:");
        self.line("");
        self.say(
            "",
            &format!(
                "Photographs, {} in all; the pack's receive command writes this list.",
                pack.form.frames.len()
            ),
        );
        for row in &pack.photos.rows {
            let own: Vec<&str> =
                pack.form.frames.iter().filter(|f| f.row == row.number).map(|f| f.id.as_str()).collect();
            self.say("", &format!("frames {}: {} ({})", own.join(" "), row.text, row.point));
        }
        self.line("photos: []");
        self.line("");
        self.line("signatures:          # authorisation number and time");
        for (key, who) in [("jointer", "jointer in charge"), ("supervisor", "supervisor")] {
            self.line(&format!("  {key}: {{by: , at: }}       # {who}"));
        }
        self.line("hand_back:");
        self.line("  returned_to:         # the control engineer's name");
        self.line("  returned:            # time");
        self.line("  next_look:           # date, 24 h to 4 weeks after energising");
        self.line("  next_look_by:");
        self.line("");
        self.say("", "The verifier's queries, answered here: entries with query (its code), check, at (its place), answer, by, when.");
        self.line("answers:");
    }
}

fn by(point: &FormPoint) -> String {
    let not = if point.holder { "" } else { "; not who did it" };
    format!("{}{not}", point.by)
}

/// A text as a plain scalar where it may be one, else in quotes.
pub(super) fn scalar(text: &str) -> String {
    let plain = !text.is_empty()
        && text.chars().all(|c| c.is_alphanumeric() || matches!(c, ' ' | '-' | '_' | '.' | '/'))
        && text.starts_with(|c: char| c.is_alphabetic())
        && !matches!(text, "yes" | "no" | "true" | "false" | "null" | "none");
    if plain || text.is_empty() { text.to_string() } else { serde_json::Value::from(text).to_string() }
}
