//! Every blank of the pack that takes an answer, cell by cell.

use super::super::answer::{Answer, Kind};
use super::super::struck;
use super::super::table::answer_name;
use super::item::Item;
use super::view::{View, leading, plain, same};
use crate::procedure::Reading;

/// Readings that a rule of their own judges.
const OWN_RULE: [&str; 2] = ["tests.voltage", "tests.minutes"];

/// Torque of palms somebody else's maker gave the figure of: within 4 % of what was
/// written for it. ISO 6789 (from memory).
const MAKERS_SHARE: f64 = 0.04;

/// What the maker's figure written beside a torque makes of it.
fn by_the_maker(view: &View, point: &str, reading: &Reading, number: Option<f64>) -> Option<String> {
    let side = reading.id.strip_prefix("torque").filter(|s| s.is_empty() || s.starts_with('_'))?;
    let maker = view.number(&answer_name(point, &format!("torque_maker{side}"), ""))?;
    let torque = number?;
    let off = (torque - maker).abs() > MAKERS_SHARE * maker + 1e-6;
    off.then(|| format!("the maker's figure is written as {} {}", plain(maker), reading.unit))
}

/// A figure printed without an allowance: a reading further off asks. Common practice, no
/// source.
const PRINTED_SHARE: f64 = 0.05;

fn off_print(reading: &Reading, number: Option<f64>) -> bool {
    let printed =
        leading(&reading.limits).filter(|v| format!("{} {}", plain(*v), reading.unit) == reading.limits);
    number.zip(printed).is_some_and(|(v, printed)| (v - printed).abs() > PRINTED_SHARE * printed.abs())
}

/// A reading tenfold off its plan is a slip of unit or point.
const SLIP: f64 = 8.0;

pub(super) fn items(view: &View) -> Vec<Item> {
    let points =
        view.pack.form.points.iter().flat_map(|p| p.readings.iter().map(move |r| (p.id.as_str(), r)));
    let all = points.chain(view.pack.form.tests.iter().map(|r| ("tests", r)));
    all.flat_map(|(point, reading)| reading.cells.iter().map(move |cell| item(view, point, reading, cell)))
        .collect()
}

fn item(view: &View, point: &str, reading: &Reading, cell: &str) -> Item {
    let at = answer_name(point, &reading.id, cell);
    let group = match view.point(point) {
        Some(p) => format!("point {}, ", p.short),
        None => "test sheet, ".into(),
    };
    let phase = if cell.is_empty() { String::new() } else { format!(", {cell}") };
    let title = format!("{group}{}{phase}", reading.title);
    let mut item = Item::new(at.clone());
    let answer = view.answer(&at);
    let written = view.record.get(&at).map(|g| g.text.clone());
    let state = match answer {
        None => "missing",
        Some(Answer::Words(text)) if reading.limit.or.as_deref().is_some_and(|or| same(or, text)) => "given",
        Some(Answer::Words(_)) => "words",
        Some(Answer::NotApplicable(_)) => "not-applicable",
        Some(Answer::OverRange) => "over-range",
        Some(_) => "given",
    };
    let kind = match Kind::of_unit(&reading.unit) {
        Kind::Number(_) | Kind::Count => "number",
        Kind::Text => "text",
        _ => "answer",
    };
    let out = answer.is_some_and(|a| is_out(reading, a));
    let number = match answer {
        Some(Answer::Number { value, .. }) => Some(*value),
        _ => None,
    };
    let slip = number
        .zip(reading.plan)
        .is_some_and(|(v, plan)| !out && plan > 0.0 && v > 0.0 && (v >= plan * SLIP || v <= plan / SLIP));
    // A trip ends an inspection's test; it goes to the decision, and is not made good.
    let tested = point == "tests" || point == "hv_test";
    let as_found = tested && struck::given_up(view.record);
    // What is found at an inspection goes to the decision.
    let judged = reading.words.as_ref().filter(|_| !super::inspected::is_as_found(point));
    let denied =
        judged.is_some_and(|words| matches!(answer, Some(Answer::Text(text)) if words.is_wrong(text)));
    let maker = by_the_maker(view, point, reading, number);
    let concession = super::closing::concession(view, point, &reading.id, cell);
    item.word("reading.title", Some(title), &at)
        .word("reading.state", Some(state.into()), &at)
        .word("reading.kind", Some(kind.into()), &at)
        .word("reading.text", Some(shown(written, reading, answer)), &at)
        .word("reading.limits", Some(reading.limits.clone()), &at)
        .word("reading.mark", Some(reading.basis.clone()), &at)
        .word("reading.unit", Some(reading.unit.clone()), &at)
        .yes("reading.key", Some(reading.key || reading.never), &at)
        .yes("reading.own_rule", Some(OWN_RULE.contains(&format!("{point}.{}", reading.id).as_str())), &at)
        .yes("reading.out", Some(out), &at)
        .yes("reading.firm", Some(reading.never || firm(&reading.basis)), &at)
        .yes("reading.kit_limit", Some(reading.never || reading.basis.starts_with("kit")), &at)
        .yes("reading.place_only", Some(point == "located"), &at)
        .yes("reading.slip", Some(slip), &at)
        .number("reading.plan", Some(reading.plan.unwrap_or(0.0)), &reading.unit, &at)
        .yes("reading.as_found", Some(as_found), &at)
        .yes("reading.off_print", Some(off_print(reading, number)), &at)
        .yes("reading.denied", Some(denied), &at)
        .word("reading.maker", Some(maker.unwrap_or_else(|| "none".into())), &at)
        .yes("reading.conceded", Some(concession.is_some()), &at)
        .word("reading.concession", Some(concession.unwrap_or_else(|| "none".into())), &at);
    item
}

/// The value with its unit, where it was written bare.
fn shown(written: Option<String>, reading: &Reading, answer: Option<&Answer>) -> String {
    let Some(text) = written else { return "nothing".into() };
    let bare = matches!(answer, Some(Answer::Number { .. })) && text.ends_with(|c: char| c.is_ascii_digit());
    if bare && reading.unit != "count" { format!("{text} {}", reading.unit) } else { text }
}

fn is_out(reading: &Reading, answer: &Answer) -> bool {
    let limit = &reading.limit;
    match answer {
        Answer::Number { value, .. } => {
            limit.least.is_some_and(|l| *value < l - 1e-6) || limit.most.is_some_and(|m| *value > m + 1e-6)
        }
        // Beyond the range is beyond any greatest value too.
        Answer::OverRange => limit.most.is_some(),
        Answer::YesNo(yes) => limit.equal.as_deref().is_some_and(|e| (e == "yes") != *yes),
        Answer::Text(text) => limit.equal.as_deref().is_some_and(|e| !same(e, text)),
        Answer::Date(date) => limit
            .from
            .as_deref()
            .and_then(|f| f.parse::<jiff::civil::Date>().ok())
            .is_some_and(|from| *date < from),
        Answer::Time(_) | Answer::NotApplicable(_) | Answer::Words(_) => false,
    }
}

/// Whether a limit of this mark can reject: it has another source than common
/// practice or arithmetic of our own.
fn firm(basis: &str) -> bool {
    basis.split(';').map(str::trim).any(|part| {
        let part = part.strip_prefix("else ").unwrap_or(part);
        !(part.starts_with("common practice") || part == "computed" || part.is_empty())
    })
}

#[cfg(test)]
mod tests {
    #[test]
    fn common_practice_alone_only_asks() {
        for (basis, can) in [
            ("kit", true),
            ("kit; else common practice, no source", true),
            ("common practice, no source", false),
            ("computed", false),
            ("computed; equipment", true),
            ("EN 50110-1, from memory; owner's rules", true),
            ("client", true),
        ] {
            assert_eq!(super::firm(basis), can, "{basis}");
        }
    }
}
