//! What answers given in words amount to: the base and waveform of the test, and
//! the thread of the stud with what its bolt must hold.

use super::def::{Def, Gap, Inputs, Out, Show, refused};
use crate::job::schema::Mark;

/// Share of the thread that nut (0.8), washers (0.5) and two threads out (0.3)
/// take of a bolt. Common practice, no source.
const BOLT_SHARE: f64 = 1.6;

/// Two voltages agree that differ by less than the last digit of a display,
/// 0.1 kV.
const DISPLAY_KV: f64 = 0.1;

/// The frequencies at which the standards give their levels, Hz: HD 620 and
/// IEC 60502-2 from memory 0.1, IEEE 400.2-2013 from 0.01 to 0.1.
fn frequencies(standard: &str) -> (f64, f64) {
    if standard == "IEEE 400.2" { (0.01, 0.1) } else { (0.1, 0.1) }
}

/// Every number of a text in order; letters and signs part them.
fn numbers(text: &str) -> Vec<f64> {
    text.split(|c: char| !c.is_ascii_digit() && c != '.').filter_map(|part| part.parse().ok()).collect()
}

/// Multiple and U0 in kV of a base like `3 x U0 12 kV`.
fn multiple(base: &str) -> Option<(f64, f64)> {
    let text = base.to_lowercase();
    let (before, after) = text.split_once("u0")?;
    match (numbers(before).as_slice(), numbers(after).as_slice()) {
        ([k], [u0]) if after.contains("kv") => Some((*k, *u0)),
        _ => None,
    }
}

/// The number before `Hz`.
fn hertz(waveform: &str) -> Option<f64> {
    let text = waveform.to_lowercase();
    numbers(text.split_once("hz")?.0).last().copied()
}

fn base_trouble(x: &Inputs) -> Result<&'static str, Gap> {
    let [kv, cable] = x.numbers(["tests.vlf", "cable.u0"])?;
    let base = x.word("tests.base")?;
    let Some((k, u0)) = multiple(&base) else {
        // The levels of IEEE 400.2 stand in a table by class, not by a multiple.
        let by_table = x.word("tests.standard")? == "IEEE 400.2" && base != "none";
        return Ok(if by_table { "none" } else { "unreadable" });
    };
    if (u0 - cable).abs() > 1e-9 {
        return Ok("other U0");
    }
    let said = match x.word("test_nature")?.as_str() {
        "rms" => k * u0,
        "peak" => k * u0 * std::f64::consts::SQRT_2,
        // Neither is said: another check asks for it.
        _ => return Ok("none"),
    };
    Ok(if (said - kv).abs() >= DISPLAY_KV { "other voltage" } else { "none" })
}

fn waveform_trouble(x: &Inputs) -> Result<&'static str, Gap> {
    let waveform = x.word("tests.waveform")?;
    let (low, high) = frequencies(&x.word("tests.standard")?);
    let text = waveform.to_lowercase();
    let sine = text.contains("sin") && !text.contains("cosin");
    let other =
        text.contains("cos") || text.contains("rect") || text.contains("dc") || text.contains("direct");
    Ok(match hertz(&waveform) {
        _ if other => "other shape",
        Some(hz) if sine && (low..=high).contains(&hz) => "none",
        Some(_) if sine => "other frequency",
        _ => "unreadable",
    })
}

/// Thread of a metric stud, mm: `M12` as 12.
fn thread(x: &Inputs) -> Result<f64, Gap> {
    let stud = x.word("enclosure.stud")?;
    let number =
        stud.strip_prefix('M').and_then(|n| n.parse::<f64>().ok()).filter(|n| (2.0..=64.0).contains(n));
    number.ok_or_else(|| refused("no-thread", format!("`{stud}` is not a metric thread like M12")))
}

pub(super) const FACTS: &[Def] = &[
    Def {
        name: "test_base_trouble",
        title: "trouble with the base of the test voltage",
        formula: "tests.base read as a multiple of a U0, against cable.u0 and tests.vlf",
        inputs: &["tests.base", "tests.vlf", "tests.standard", "cable.u0", "test_nature"],
        mark: Mark::Computed,
        show: Show::Word,
        meaning: "none, unreadable, other U0, or other voltage; within one digit of a display, 0.1 kV.",
        compute: |x| base_trouble(x).map(|word| Out::Word(word.into())),
    },
    Def {
        name: "test_base_voltage",
        title: "test voltage by its base",
        formula: "multiple x U0, as tests.base says",
        inputs: &["tests.base"],
        mark: Mark::Computed,
        show: Show::Kv(2),
        meaning: "",
        compute: |x| {
            let said = multiple(&x.word("tests.base")?);
            Ok(said.map_or(Out::None("no multiple is named"), |(k, u0)| Out::Number(k * u0)))
        },
    },
    Def {
        name: "test_waveform_trouble",
        title: "trouble with the waveform of the test",
        formula: "shape and frequency in tests.waveform, against tests.standard",
        inputs: &["tests.waveform", "tests.standard"],
        mark: Mark::Standard(
            "HD 620, IEC 60502-2:2014: 0.1 Hz (from memory); IEEE 400.2-2013: 0.01 to 0.1 Hz",
        ),
        show: Show::Word,
        meaning: "none, unreadable, other shape, or other frequency.",
        compute: |x| waveform_trouble(x).map(|word| Out::Word(word.into())),
    },
    Def {
        name: "bolt_taken",
        title: "length of the palm bolt that its own parts take",
        formula: "1.6 x thread of enclosure.stud: nut 0.8, washers 0.5, two threads out 0.3",
        inputs: &["enclosure.stud"],
        mark: Mark::CommonPractice,
        show: Show::Mm(1),
        meaning: "What is left of the bolt holds palm and pad.",
        compute: |x| Ok(Out::Number(BOLT_SHARE * thread(x)?)),
    },
    Def {
        name: "bolt_grip",
        title: "length of the palm bolt left for palm and pad",
        formula: "enclosure.bolt_length - bolt_taken",
        inputs: &["enclosure.bolt_length", "bolt_taken"],
        mark: Mark::Computed,
        show: Show::Mm(1),
        meaning: "",
        compute: |x| {
            let [length, taken] = x.numbers(["enclosure.bolt_length", "bolt_taken"])?;
            Ok(Out::Number(length - taken))
        },
    },
    Def {
        name: "bolt_grip_wanted",
        title: "length of the palm bolt wanted for palm and pad",
        formula: "0.8 x thread of enclosure.stud",
        inputs: &["enclosure.stud"],
        mark: Mark::CommonPractice,
        show: Show::Mm(1),
        meaning: "Palm and pad together are rarely thinner; thinner ones are measured first.",
        compute: |x| Ok(Out::Number(0.8 * thread(x)?)),
    },
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_base_is_a_multiple_and_its_u0() {
        assert_eq!(multiple("3 x U0 12 kV"), Some((3.0, 12.0)));
        assert_eq!(multiple("2.5 U0 (U0 = 12 kV)"), None);
        assert_eq!(multiple("3U0, 6.35 kV"), Some((3.0, 6.35)));
        assert_eq!(multiple("3 x U0"), None);
        assert_eq!(multiple("none"), None);
    }

    #[test]
    fn a_frequency_stands_before_its_unit() {
        assert_eq!(hertz("sinusoidal 0.1 Hz"), Some(0.1));
        assert_eq!(hertz("sine, 0.05Hz"), Some(0.05));
        assert_eq!(hertz("sinusoidal"), None);
    }
}
