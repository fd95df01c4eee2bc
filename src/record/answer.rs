//! One answer of a record: forgiving in form, strict in meaning.

use jiff::Timestamp;
use jiff::civil::{Date, DateTime};
use jiff::tz::Offset;

/// What a field takes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Kind {
    Text,
    /// A number in this unit; a bare one is meant in it.
    Number(String),
    Count,
    YesNo,
    Date,
    Time,
    /// An offset from UTC.
    Zone,
    /// 64 hex digits.
    Hash,
}

impl Kind {
    /// Of a reading by its printed unit.
    pub fn of_unit(unit: &str) -> Kind {
        match unit {
            "text" | "go/no go" => Kind::Text,
            "count" => Kind::Count,
            "yes/no" => Kind::YesNo,
            "date" => Kind::Date,
            "time" => Kind::Time,
            unit => Kind::Number(unit.to_string()),
        }
    }

    /// How one is written, for messages.
    pub fn example(&self) -> String {
        match self {
            Kind::Text => "in words".into(),
            Kind::Number(unit) => format!("like `12.5 {}`", unit.split(" or ").next().unwrap_or(unit)),
            Kind::Count => "as a whole number, `3`".into(),
            Kind::YesNo => "`yes` or `no`".into(),
            Kind::Date => "like `2031-05-12`".into(),
            Kind::Time => "like `2031-05-12 14:05`".into(),
            Kind::Zone => "like `+01:00`".into(),
            Kind::Hash => "as 64 hexadecimal digits".into(),
        }
    }
}

#[derive(Clone, Debug, PartialEq)]
pub enum Answer {
    Text(String),
    /// In the field's unit; places behind the point, and `rms` or `peak`.
    Number {
        value: f64,
        places: usize,
        nature: Option<&'static str>,
    },
    /// Beyond the range of the instrument.
    OverRange,
    YesNo(bool),
    Date(Date),
    Time(Timestamp),
    /// No answer, and why.
    NotApplicable(String),
    /// Words where a figure, a date or a yes belongs: `OK`, `as above`.
    Words(String),
}

/// What is wrong with a text, and what would help.
pub type Wrong = (String, String);

/// Reads `text` as an answer of `kind`; times without a zone are in `zone`.
///
/// # Errors
/// It can be read in two ways, or in none.
pub fn read(text: &str, kind: &Kind, zone: Option<Offset>) -> Result<Answer, Wrong> {
    let text = text.trim();
    let short: String = text.chars().take(60).collect();
    if let Some(rest) = strip_word(text, &["n/a", "na", "n.a.", "not applicable"]) {
        let why = rest.trim_matches(|c: char| c.is_whitespace() || matches!(c, ':' | ',' | '-' | '(' | ')'));
        if why.is_empty() {
            return Err((
                format!("`{short}` gives no reason"),
                "Write why: `n/a: no armour on this cable` (in quotes).".into(),
            ));
        }
        return Ok(Answer::NotApplicable(why.to_string()));
    }
    // What a pack has the jointer write through what a decision struck out.
    if text.eq_ignore_ascii_case("remade") && *kind != Kind::Text {
        return Ok(Answer::NotApplicable(text.to_string()));
    }
    if is_vague(text) && *kind != Kind::YesNo {
        return Ok(Answer::Words(text.to_string()));
    }
    match kind {
        Kind::Text => Ok(Answer::Text(text.to_string())),
        Kind::YesNo => match text.to_lowercase().as_str() {
            "yes" | "y" | "true" => Ok(Answer::YesNo(true)),
            "no" | "n" | "false" => Ok(Answer::YesNo(false)),
            _ if is_vague(text) => Ok(Answer::Words(text.to_string())),
            _ => Err((format!("`{short}` is neither yes nor no"), "Write `yes` or `no`.".into())),
        },
        Kind::Count => match text.parse::<i64>().ok().filter(|n| (0..=1_000_000).contains(n)) {
            Some(n) => Ok(Answer::Number { value: n as f64, places: 0, nature: None }),
            None => Err((format!("`{short}` is no count"), "Write a whole number: `3`.".into())),
        },
        Kind::Number(unit) => number(text, unit),
        Kind::Date => date(text).map(Answer::Date),
        Kind::Time => time(text, zone).map(Answer::Time),
        Kind::Zone => match offset(text) {
            Some(_) => Ok(Answer::Text(text.to_string())),
            None => Err((format!("`{short}` is no offset from UTC"), "Write it like `+01:00`.".into())),
        },
        Kind::Hash => {
            let hash = text.to_lowercase();
            if hash.len() == 64 && hash.bytes().all(|b| b.is_ascii_hexdigit()) {
                Ok(Answer::Text(hash))
            } else {
                Err((
                    format!("`{short}` is no SHA-256"),
                    "64 hexadecimal digits, as `sha256sum` prints them.".into(),
                ))
            }
        }
    }
}

fn strip_word<'t>(text: &'t str, words: &[&str]) -> Option<&'t str> {
    let lower = text.to_lowercase();
    words.iter().find_map(|word| {
        let rest = lower.strip_prefix(word)?;
        let ends = rest.chars().next().is_none_or(|c| !c.is_alphanumeric());
        // Lower case may change lengths; the words are ASCII, so the cut holds.
        ends.then(|| text.get(word.len()..)).flatten()
    })
}

/// Words that stand in for an entry and say nothing.
fn is_vague(text: &str) -> bool {
    let text = text.to_lowercase();
    let text = text.trim_end_matches(['.', '!']);
    const WHOLE: [&str; 14] = [
        "ok",
        "okay",
        "good",
        "fine",
        "done",
        "ditto",
        "as above",
        "see above",
        "as before",
        "as usual",
        "passed",
        "pass",
        "satisfactory",
        "-",
    ];
    const START: [&str; 4] = ["see above", "as above", "as usual", "as before"];
    WHOLE.contains(&text) || START.iter().any(|s| text.starts_with(s))
}

fn number(text: &str, unit: &str) -> Result<Answer, Wrong> {
    let short: String = text.chars().take(60).collect();
    if text.starts_with('>') || text.to_lowercase().starts_with("over range") {
        return Ok(Answer::OverRange);
    }
    let end = text
        .find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | ',' | '-' | '+')))
        .unwrap_or(text.len());
    let (digits, rest) = text.split_at(end);
    let rest = rest.trim();
    if digits.is_empty() {
        return match rest.chars().next() {
            Some(c) if c.is_alphabetic() => Ok(Answer::Words(text.to_string())),
            _ => Err((
                format!("`{short}` is no number"),
                format!("Write it {}.", Kind::Number(unit.into()).example()),
            )),
        };
    }
    let plain = match digits.split_once(',') {
        None => digits.to_string(),
        Some((whole, places))
            if !places.contains([',', '.'])
                && !whole.contains('.')
                // No thousand begins with nought.
                && (places.len() != 3 || matches!(whole, "0" | "-0" | "+0")) =>
        {
            format!("{whole}.{places}")
        }
        Some(_) => {
            return Err((
                format!("`{short}` can be read in two ways: the comma may part thousands or decimals"),
                "Write a decimal point and no sign between thousands.".into(),
            ));
        }
    };
    let value: f64 = match plain.parse() {
        Ok(value) if plain.len() <= 16 => value,
        _ => {
            return Err((
                format!("`{short}` does not start with a plain number"),
                format!("Write it {}.", Kind::Number(unit.into()).example()),
            ));
        }
    };
    let (name, nature) = match rest.rsplit_once(' ') {
        Some((name, "rms")) => (name.trim(), Some("rms")),
        Some((name, "r.m.s.")) => (name.trim(), Some("rms")),
        Some((name, "peak")) => (name.trim(), Some("peak")),
        _ => (rest, None),
    };
    // `pC or 1e-3`: either stands.
    let size = if name.is_empty() || unit.split(" or ").any(|unit| same_unit(name, unit)) {
        1.0
    } else {
        factor(name, unit).ok_or_else(|| {
            (
                format!("`{short}` is not in {unit}"),
                format!("Write it {}.", Kind::Number(unit.into()).example()),
            )
        })?
    };
    let places = plain.split_once('.').map_or(0, |(_, p)| p.len());
    // Noise of the conversion stays far below any reading.
    let value = (value * size * 1e9).round() / 1e9;
    Ok(Answer::Number { value, places, nature })
}

fn same_unit(a: &str, b: &str) -> bool {
    let plain = |t: &str| {
        let t = t.to_lowercase().replace(['.', ' ', '°', '²', '·'], "").replace(['Ω', 'ω'], "ohm");
        match t.as_str() {
            "degc" | "k" => "c".to_string(),
            _ => t,
        }
    };
    // Milli and mega differ by the case of one letter only.
    let first = |t: &str| t.chars().next();
    plain(a) == plain(b) && (!plain(a).contains("ohm") || first(a) == first(b))
}

/// What one of `name` is in `unit`.
fn factor(name: &str, unit: &str) -> Option<f64> {
    Some(match (name, unit) {
        ("cm", "mm") => 10.0,
        ("m", "mm") => 1000.0,
        ("mm", "m") => 0.001,
        ("s", "min") => 1.0 / 60.0,
        ("h", "min") => 60.0,
        ("V", "kV") => 0.001,
        ("Gohm" | "GΩ", "Mohm") => 1000.0,
        ("kohm" | "kΩ", "Mohm") => 0.001,
        ("ohm" | "Ω", "mohm") => 1000.0,
        ("mohm" | "mΩ", "ohm") => 0.001,
        ("uA" | "µA" | "μA", "mA") => 0.001,
        ("A", "mA") => 1000.0,
        _ => return None,
    })
}

const MONTHS: [&str; 12] =
    ["jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"];

fn date(text: &str) -> Result<Date, Wrong> {
    let short: String = text.chars().take(40).collect();
    let wrong =
        || (format!("`{short}` is no date"), "Write it like `2031-05-12` (year-month-day).".to_string());
    let parts: Vec<&str> = text.split(['-', '.', '/', ' ']).filter(|p| !p.is_empty()).collect();
    let [a, b, c] = parts[..] else { return Err(wrong()) };
    let number = |t: &str| t.parse::<i16>().map_err(|_| wrong());
    let small = |t: i16| i8::try_from(t).map_err(|_| wrong());
    let month = MONTHS.iter().position(|m| b.len() >= 3 && b.to_lowercase().starts_with(m));
    let (year, month, day) = if a.len() == 4 {
        (number(a)?, small(number(b)?)?, small(number(c)?)?)
    } else if c.len() != 4 {
        return Err(wrong());
    } else if let Some(month) = month {
        (number(c)?, small(month as i16 + 1)?, small(number(a)?)?)
    } else {
        let (first, second) = (small(number(a)?)?, small(number(b)?)?);
        // Day and month stand either way round in figures; a point means day first.
        if text.contains('/') && first <= 12 && second <= 12 && first != second {
            return Err((
                format!("`{short}` can be read in two ways: day and month"),
                "Write it like `2031-05-12` (year-month-day).".into(),
            ));
        }
        if first > 12 || !text.contains('/') {
            (number(c)?, second, first)
        } else {
            (number(c)?, first, second)
        }
    };
    Date::new(year, month, day).map_err(|_| wrong())
}

fn time(text: &str, zone: Option<Offset>) -> Result<Timestamp, Wrong> {
    let short: String = text.chars().take(40).collect();
    let wrong =
        || (format!("`{short}` is no date and time"), "Write it like `2031-05-12 14:05`.".to_string());
    let text = text.trim_end_matches(" h").trim();
    // A zone behind the time: Z, or an offset after the colon of the minutes.
    let colon = text.find(':').ok_or_else(wrong)?;
    let sign = text[colon..].rfind(['+', '-']).map(|i| i + colon);
    let (body, own) = match sign {
        Some(i) => (&text[..i], Some(offset(&text[i..]).ok_or_else(wrong)?)),
        None => match text.strip_suffix(['Z', 'z']) {
            Some(body) => (body, Some(Offset::UTC)),
            None => (text, None),
        },
    };
    let body = body.trim();
    let cut = body.rfind(['T', ' ']).ok_or_else(wrong)?;
    let (day, clock) = (date(body[..cut].trim())?, body[cut + 1..].trim());
    let parts: Vec<&str> = clock.split(':').collect();
    let unit = |i: usize| parts.get(i).map_or(Ok(0), |p| p.parse::<i8>().map_err(|_| wrong()));
    if !(2..=3).contains(&parts.len()) {
        return Err(wrong());
    }
    let civil = DateTime::new(day.year(), day.month(), day.day(), unit(0)?, unit(1)?, unit(2)?, 0);
    let civil = civil.map_err(|_| wrong())?;
    let Some(zone) = own.or(zone) else {
        return Err((
            format!("`{short}` has no zone"),
            "Give `zone:` under `record`, like +01:00, or write the offset behind the time.".into(),
        ));
    };
    zone.to_timestamp(civil).map_err(|_| wrong())
}

/// `+01:00`, `-0330`, `Z`.
pub fn offset(text: &str) -> Option<Offset> {
    let text = text.trim();
    if matches!(text, "Z" | "z" | "UTC") {
        return Some(Offset::UTC);
    }
    let (sign, rest) = match text.split_at_checked(1)? {
        ("+", rest) => (1, rest),
        ("-", rest) => (-1, rest),
        _ => return None,
    };
    let digits = rest.replace(':', "");
    if !(digits.len() == 4 || digits.len() == 2) || !digits.bytes().all(|b| b.is_ascii_digit()) {
        return None;
    }
    let hours: i32 = digits[..2].parse().ok()?;
    let minutes: i32 = digits.get(2..4).map_or(Some(0), |m| m.parse().ok())?;
    if hours > 14 || minutes > 59 {
        return None;
    }
    Offset::from_seconds(sign * (hours * 3600 + minutes * 60)).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn n(text: &str, unit: &str) -> Result<f64, String> {
        match read(text, &Kind::Number(unit.into()), None) {
            Ok(Answer::Number { value, .. }) => Ok(value),
            Ok(other) => Err(format!("{other:?}")),
            Err((message, _)) => Err(message),
        }
    }

    #[test]
    fn numbers_are_read_in_many_forms_and_never_guessed() {
        assert_eq!(n("90", "mm"), Ok(90.0));
        assert_eq!(n("9.05 cm", "mm"), Ok(90.5));
        assert_eq!(n("1,5 mm", "mm"), Ok(1.5));
        assert_eq!(n("36.0 kV rms", "kV"), Ok(36.0));
        assert_eq!(n("2 GΩ", "Mohm"), Ok(2000.0));
        assert_eq!(n("6 pC", "pC or 1e-3"), Ok(6.0));
        assert!(n("6 mm", "pC or 1e-3").is_err());
        assert_eq!(n("0,386 ohm", "ohm"), Ok(0.386), "no thousand begins with nought");
        assert!(n("1,500", "mm").is_err_and(|m| m.contains("two ways")));
        assert!(n("90 kV", "mm").is_err_and(|m| m.contains("not in mm")));
        assert!(n("5 Mohm", "mohm").is_err(), "milli and mega");
        assert_eq!(read("> full scale", &Kind::Number("Mohm".into()), None), Ok(Answer::OverRange));
        assert_eq!(read("OK", &Kind::Number("mm".into()), None), Ok(Answer::Words("OK".into())));
        assert_eq!(
            read("n/a: unarmoured", &Kind::Number("mohm".into()), None),
            Ok(Answer::NotApplicable("unarmoured".into()))
        );
        assert!(read("n/a", &Kind::YesNo, None).is_err());
    }

    #[test]
    fn times_carry_their_zone() {
        let zone = offset("+01:00");
        let t = |text: &str| match read(text, &Kind::Time, zone) {
            Ok(Answer::Time(t)) => Ok(t.to_string()),
            other => Err(format!("{other:?}")),
        };
        for text in [
            "2031-05-12 14:05",
            "12.05.2031 14:05",
            "12 May 2031 14:05",
            "2031-05-12T13:05Z",
            "2031-05-12 15:05 +02:00",
        ] {
            assert_eq!(t(text), Ok("2031-05-12T13:05:00Z".into()), "{text}");
        }
        assert!(t("12/05/2031 14:05").is_err_and(|m| m.contains("two ways")));
        assert_eq!(t("25/05/2031 14:05"), Ok("2031-05-25T13:05:00Z".into()));
        for bad in ["14:05", "2031-05-12", "2031-13-12 14:05", "2031-05-12 25:00", "", "2031-05-12 1:2:3:4"] {
            assert!(t(bad).is_err(), "{bad}");
        }
        assert!(read("2031-05-12 14:05", &Kind::Time, None).is_err_and(|(m, _)| m.contains("no zone")));
    }
}
