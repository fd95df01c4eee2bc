//! The job of the new end: the inspection's own file, comments kept, with what the
//! as-found end changes in it. What nobody can know yet is left open, so that no
//! rule passes on it.

use super::judge::{Decided, Decision, Request};
use super::rebuilt::kind_of_new_end;
use crate::facts::Sheet;
use crate::finding::Grade;
use crate::job::Value;
use crate::remedies::{Change, append, apply};
use crate::units::{Rounding, fixed};
use serde::Serialize;
use std::fmt::Write;

/// What a new end costs and comes to, in words, and its job file.
#[derive(Clone, Debug, Serialize)]
pub struct Remake {
    /// Kind of work that builds it; nothing where it is left open.
    pub work_type: Option<String>,
    /// The kit, or why one must be named.
    pub kit: String,
    /// Cable lost with the old end and to draw up, and what is left, mm.
    pub length: Vec<String>,
    /// Stations of the new end from the stud, by the kit.
    pub chain: Vec<String>,
    #[serde(skip)]
    pub text: String,
}

/// Stations printed of the new chain.
const CHAIN: [(&str, &str); 6] = [
    ("insulation cut A", "lug_insulation_end_to_stud"),
    ("upper end U", "sct_upper_from_stud"),
    ("semicon edge B", "semicon_edge_from_stud"),
    ("lower end L", "sct_lower_from_stud"),
    ("metallic screen cut M", "metal_screen_cut_from_stud"),
    ("ring R", "ring_from_stud"),
];

/// Rows on the kit itself: where one fires, the same kit is no answer.
const KIT_ROWS: [(&str, &str); 5] =
    [("Q01", "voltage"), ("Q01", "kit"), ("Q16", "class"), ("Q16", "environment"), ("Q18", "class")];

/// The job of the new end; `way` is the changed job of a way out of the box.
///
/// # Errors
/// Why there is none, in words.
pub fn remake(request: &Request, decided: &Decided, way: Option<&str>) -> Result<Remake, String> {
    match decided.decision {
        Decision::Remake | Decision::Redesign => {}
        Decision::NotDecided => return Err("it is not decided yet".into()),
        Decision::Keep | Decision::KeepAndWatch => return Err("the end is kept".into()),
    }
    let fired = |code: &str, check: &str| {
        decided.judgement.findings.iter().any(|f| f.code == code && f.check == check)
    };
    let unfit = KIT_ROWS.iter().any(|(code, check)| fired(code, check));
    let known = request.sheet.is_yes("kit_known");
    let by_stress = match request.found.text("stress_control.kind").as_deref() {
        Some("tube") => "heat-shrink",
        _ => "cold-shrink",
    };
    let kind = kind_of_new_end(request.sheet).map(String::from).or_else(|| {
        let cores = match request.sheet.text("cable.cores") {
            "3" => "3c",
            "1" => "1c",
            _ => return None,
        };
        Some(format!("term-box-{cores}-{}", if by_stress == "heat-shrink" { "hs" } else { "cs" }))
    });
    let keep_kit = known && (!unfit || way.is_some());
    let kit = match (known, unfit && way.is_none()) {
        (false, _) => format!(
            "to be named: not known{}; a tube at {} is {} to {}",
            if by_stress == "heat-shrink" { "" } else { ", a moulded body" },
            request.sheet.text("system.nominal"),
            request.sheet.text("voltage_tube_low"),
            request.sheet.text("voltage_tube_high")
        ),
        (true, true) => {
            format!("to be named: {} is not the kit for this end", request.sheet.text("kit.code"))
        }
        (true, false) => format!("{}, a new one, its date to be entered", kit_of(request, way)),
    };
    let lost = lost(request);
    let mut text = apply(way.unwrap_or(request.text), &changes(request, kind.as_deref(), lost, keep_kit))?;
    if !keep_kit {
        text = append(&text, &format!("kit:{}# {kit}\n", " ".repeat(27)));
    }
    let chain = match (&decided.rebuilt, way, keep_kit) {
        (Ok(new), None, true) => chain(&new.sheet),
        _ => Vec::new(),
    };
    let length = length(request, lost);
    let text = format!("{}{text}", head(request, decided, &kit, &length, &chain));
    Ok(Remake { work_type: kind, kit, length, chain, text })
}

fn kit_of(request: &Request, way: Option<&str>) -> String {
    let named = way.and_then(|text| {
        let (source, _) = crate::source::Source::read("job", text.to_string());
        source.has("/kit").then(|| text[source.locate("/kit").at].to_string())
    });
    named.unwrap_or_else(|| request.sheet.text("kit.code").to_string())
}

/// Cable lost with the old end, mm.
fn lost(request: &Request) -> Option<f64> {
    let cut = request.found.get("remake.cut_from_stud").and_then(Value::number)?;
    Some(cut - request.sheet.number("lug_end_offset").unwrap_or(0.0))
}

fn changes(request: &Request, kind: Option<&str>, lost: Option<f64>, keep_kit: bool) -> Vec<Change> {
    let mut out = Vec::new();
    let mut set =
        |key: &str, to: Option<String>| out.push(Change { key: key.into(), to, why: String::new() });
    let say = |text: &str| Some(text.to_string());
    let number = request.sheet.text("job.number");
    set("job.number", Some(format!("{number}-R")));
    set("job.revision", say("P1"));
    set("job.replaces", say("none"));
    if let Some(kind) = kind {
        set("job.work_type", say(kind));
    }
    // Dates, the names that answered for the inspection, and its own limits go.
    for key in ["job.date", "job.planned", "people", "inspection", "acceptances"] {
        set(key, None);
    }
    set("work.cuts_existing_cable", say("yes"));
    set("work.opens_existing_cable", say("yes"));
    set("work.removes_old_accessory", say("yes"));
    // Who identifies, and how, is the owner's word: asked again.
    set("documents.identification", None);
    set("work.identification", None);
    if let Some(lost) = lost {
        set("work.piece_removed", Some(format!("{} mm", fixed(lost, 0, Rounding::Up))));
    }
    if !keep_kit {
        set("kit", None);
    }
    out
}

fn length(request: &Request, lost: Option<f64>) -> Vec<String> {
    let mm = |v: f64| format!("{} mm", fixed(v, 0, Rounding::Nearest));
    let mut out = Vec::new();
    let slack = request.found.get("remake.slack").and_then(Value::number);
    match (lost, slack) {
        (Some(lost), Some(slack)) => {
            out.push(format!("cable lost with the old end {}, to draw up {}", mm(lost), mm(slack)));
            out.push(if slack + 1e-9 >= lost {
                format!("another end closes, {} left", mm(slack - lost))
            } else {
                format!("short by {}: new length and a joint outside, or tails", mm(lost - slack))
            });
        }
        _ => out.push("cable lost with the old end: not measured".into()),
    }
    out
}

fn chain(sheet: &Sheet) -> Vec<String> {
    let answered = CHAIN.iter().filter(|(_, fact)| sheet.get(fact).is_some_and(|f| f.value.is_ok()));
    answered.map(|(what, fact)| format!("{what} {}", sheet.text(fact))).collect()
}

/// Comments above the job: whence it comes and what it is still to be told.
fn head(request: &Request, decided: &Decided, kit: &str, length: &[String], chain: &[String]) -> String {
    let mut lines = vec![format!(
        "New end after the inspection of job {} {}, {}: {}.",
        request.sheet.text("job.number"),
        request.sheet.text("job.revision"),
        request.sheet.text("job.end"),
        decided.decision.words(),
    )];
    let reasons = decided.judgement.findings.iter().filter(|f| f.grade > Grade::Advises);
    lines.extend(reasons.map(|f| format!("{}: {}", f.code, f.message)));
    lines.push(format!("Kit {kit}."));
    lines.push(format!("Length: {}.", length.join("; ")));
    if !chain.is_empty() {
        lines.push(format!("New chain from the stud T0: {}.", chain.join(", ")));
    }
    lines.push("Open: dates, people, identification of the cable and its document, kit and lug in hand. `cutback check` names what is missing.".into());
    let mut out = String::new();
    for line in lines {
        for (i, part) in crate::remedies::comment_lines(&line).into_iter().enumerate() {
            let _ = writeln!(out, "#{}{part}", if i == 0 { " " } else { "   " });
        }
    }
    out
}
