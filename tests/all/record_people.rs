//! People, instruments and signatures of a record: what is no fault asks nothing, and what
//! a dishonest hand would write is found.

use crate::record_verify::{clean, findings, judge};
use serde_json::Value as Json;

/// What the clean record of the three-core end says once these texts are replaced.
fn said(changes: &[(&str, &str)]) -> Vec<String> {
    let text = changes.iter().fold(clean("D-2201-P4"), |text, (from, to)| {
        assert!(text.contains(from), "no `{from}`");
        text.replace(from, to)
    });
    findings(&judge("D-2201-P4", &text, &Json::Null).0)
}

const SUPERVISOR: &str = "    on: 2031-05-12 07:25\n    off: 2031-05-13 12:40\n";

/// The supervisor's sheet with a night between two stays.
fn two_days(second: &str) -> String {
    format!(
        "    on: 2031-05-12 07:25\n    off: 2031-05-12 19:30\n  - authorisation: HV-S-07\n    {second}\n    on: 2031-05-13 07:50\n    off: 2031-05-13 12:40\n"
    )
}

/// Who goes home in the evening signs off and on again: one person with two entries.
#[test]
fn a_sign_on_sheet_a_day_asks_nothing() {
    for second in ["role: site supervisor", "name: C. Rigg (invented)", "employer: Tarnholt Works (invented)"]
    {
        assert_eq!(said(&[(SUPERVISOR, &two_days(second))]), Vec::<String>::new(), "{second}");
    }
    let other = two_days("name: A. Nother (invented)");
    assert_eq!(said(&[(SUPERVISOR, &other)]), ["N01 double query"]);
    // Between his two stays he released nothing.
    let home = two_days("role: site supervisor").replace("off: 2031-05-12 19:30", "off: 2031-05-12 14:00");
    assert_eq!(said(&[(SUPERVISOR, &home)]), ["G06 away reject"]);
    let over = two_days("role: site supervisor").replace("on: 2031-05-13 07:50", "on: 2031-05-12 19:00");
    assert_eq!(said(&[(SUPERVISOR, &over)]), ["N01 hours query"]);
}

/// Authorisation and calibration hold to the day of the last use, not of the last release.
#[test]
fn valid_to_the_last_own_day_is_valid() {
    let last_day = [
        ("valid_to: 2031-12-31", "valid_to: 2031-05-12"),
        ("until: 2031-09-30, certificate: C-VS-02", "until: 2031-05-12, certificate: C-VS-02"),
        ("until: 2031-12-31, certificate: C-IR-14", "until: 2031-05-12, certificate: C-IR-14"),
        ("until: 2031-12-31, certificate: C-TH-05", "until: 2031-05-12, certificate: C-TH-05"),
        ("until: 2031-11-30, certificate: C-PR-09", "until: 2031-05-12, certificate: C-PR-09"),
    ];
    assert_eq!(said(&last_day), Vec::<String>::new());
    let day_before = last_day.map(|(from, to)| (from, to.replace("05-12", "05-11")));
    let day_before: Vec<(&str, &str)> = day_before.iter().map(|(a, b)| (*a, b.as_str())).collect();
    let found = said(&day_before);
    assert_eq!(found.iter().filter(|f| *f == "M01 date reject").count(), 4, "{found:?}");
    assert!(found.contains(&"N01 power reject".to_string()), "{found:?}");
    // The wrench and the ohmmeter were used on the second day.
    let wrench = ("until: 2031-10-31", "until: 2031-05-12");
    assert_eq!(said(&[wrench]), ["M01 date reject"]);
}

#[test]
fn an_instrument_taken_out_of_the_list_is_missed() {
    let text = clean("D-2201-P4");
    let lines: Vec<&str> = text.lines().filter(|l| l.starts_with("  - {what: ")).collect();
    assert_eq!(lines.len(), 8);
    for line in lines {
        assert_eq!(said(&[(&format!("{line}\n"), "")]), ["M01 date reject"], "{line}");
    }
}

/// Texts replaced, and the findings they bring.
type Tried<'a> = (&'a [(&'a str, &'a str)], &'a [&'a str]);

/// What was tried on the record of this end, each with all that finds it.
#[test]
fn what_a_dishonest_hand_would_write_is_found() {
    let tried: [Tried; 16] = [
        (&[("HV-J-12 at panel F4, radio", "none")], &["U07 guard reject"]),
        (&[("HV-J-12 at panel F4, radio", "HV-T-03 himself")], &["U07 guard reject"]),
        // The end after shrinking, and the lug, photographed when the box was measured.
        (&[("taken: 2031-05-12 14:07", "taken: 2031-05-12 08:45")], &["I10 ahead query"]),
        (&[("taken: 2031-05-12 12:22", "taken: 2031-05-12 08:45")], &["I10 ahead query"]),
        // The last view inside before anything was back.
        (&[("taken: 2031-05-13 10:55", "taken: 2031-05-13 08:30")], &["I10 ahead query"]),
        (&[("name: B. Calder", "name: A. Fenn")], &["N01 double query", "N01 double query"]),
        (&[("    up_to: 36 kV\n", "    up_to: 1 kV\n")], &["N01 power reject"]),
        (
            &[("off: 2031-05-12 19:30", "off: 2031-05-12 19:00")],
            &["A04 holder query", "G06 away reject", "G07 doer query"],
        ),
        (&[("supervisor: {by: HV-S-07", "supervisor: {by: HV-J-24")], &["N02 signer reject"]),
        (&[("supervisor: {by: HV-S-07", "supervisor: {by: CL-V-02")], &["N02 signer query"]),
        (&[("at: 2031-05-13 12:35", "at: 2031-06-13 12:35")], &["N02 signer query"]),
        (&[("at: 2031-05-13 12:35", "at: 2031-05-12 12:35")], &["N02 signer reject"]),
        (&[("returned: 2031-05-13 12:30", "returned: 2031-05-12 12:30")], &["N02 time reject"]),
        (&[("clear_persons: 4", "clear_persons: 5")], &["A07 persons query"]),
        (
            &[("working_earths: {on: 2, off: 2}", "working_earths: {on: , off: }")],
            &["A07 earths-written reject"],
        ),
        (
            &[(
                "done_by: HV-J-24\n    asked: 2031-05-12 11:45",
                "done_by: HV-T-03\n    asked: 2031-05-12 11:45",
            )],
            &["G07 doer query"],
        ),
    ];
    for (changes, expected) in tried {
        assert_eq!(said(changes), *expected, "{changes:?}");
    }
}
