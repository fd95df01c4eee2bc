//! The table of readings: out of a record and back into a blank one, as sheets save it,
//! and as nobody should.

use crate::record_verify::{DEMO, PACKS, clean};
use cutback::procedure::Pack;
use cutback::record::{self, Answer, Loaded, Record};
use std::collections::BTreeMap;

fn loaded(job: &str, text: String) -> Loaded {
    record::load("record.yaml", text, &PACKS[job].0.form)
}

/// The blank record in the zone of the clean one, and its table of readings.
fn filled(job: &str, table: &str) -> Loaded {
    let (pack, sum) = &PACKS[job];
    let whole = loaded(job, clean(job)).record.expect("a record");
    let zone = &whole.get("record.zone").expect("a zone").text;
    let blank = record::blank(pack, sum).replace("  zone:  ", &format!("  zone: \"{zone}\"  "));
    let mut back = loaded(job, blank);
    record::fill_from_table(&mut back, "readings.csv", table.to_string(), &pack.form);
    back
}

/// Every answer of a point or of the test sheet that is asked for.
fn readings(pack: &Pack, record: &Record) -> BTreeMap<String, Answer> {
    let points =
        pack.form.points.iter().flat_map(|p| p.readings.iter().map(move |r| (format!("points.{}", p.id), r)));
    let all = points.chain(pack.form.tests.iter().map(|r| ("tests".to_string(), r)));
    let names = all.flat_map(|(group, r)| {
        let name = format!("{group}.{}", r.id);
        r.cells.iter().map(move |c| if c.is_empty() { name.clone() } else { format!("{name}.{c}") })
    });
    names.filter_map(|n| Some((n.clone(), record.get(&n)?.answer.clone()))).collect()
}

fn out(job: &str) -> String {
    record::table(&PACKS[job].0.form, loaded(job, clean(job)).record.as_ref())
}

/// The fields of a table, by our own reading of its quotes.
fn fields(table: &str) -> Vec<Vec<String>> {
    let mut reader = csv::ReaderBuilder::new().has_headers(false).from_reader(table.as_bytes());
    let row = |r: csv::Result<csv::StringRecord>| r.expect("a row").iter().map(String::from).collect();
    reader.records().map(row).collect()
}

/// The same table as another sheet saves it.
fn saved(table: &str, sign: u8, comma: bool) -> String {
    let terminator = csv::Terminator::CRLF;
    let mut writer = csv::WriterBuilder::new().delimiter(sign).terminator(terminator).from_writer(Vec::new());
    for (i, mut row) in fields(table).into_iter().enumerate() {
        let value = row[3].clone();
        // What is asked in words keeps its point.
        let plain = row[4] != "text" && value.split(' ').next().is_some_and(|n| n.parse::<f64>().is_ok());
        if comma && i > 0 && plain {
            row[3] = value.replacen('.', ",", 1);
        }
        writer.write_record(row).expect("a row");
    }
    String::from_utf8(writer.into_inner().expect("bytes")).expect("text")
}

/// Out, filled in, and in again: the same answers, however the sheet saved them.
#[test]
fn a_table_comes_back_as_it_went_out() {
    for job in DEMO {
        let pack = &PACKS[job].0;
        let whole = readings(pack, &loaded(job, clean(job)).record.expect("a record"));
        assert!(whole.len() > 60, "{job}: {}", whole.len());
        let table = out(job);
        assert!(table.starts_with("point,reading,cell,value,unit,title,limits\n"));
        let forms = [
            table.clone(),
            format!("\u{feff}{}", saved(&table, b',', false)),
            saved(&table, b',', true),
            format!("\u{feff}{}", saved(&table, b';', true)),
            saved(&table, b'\t', true),
            table.replacen("point,reading,cell", "Point, Reading ,CELL", 1),
        ];
        for (i, form) in forms.iter().enumerate() {
            let back = filled(job, form);
            let said: Vec<&str> = back.findings.iter().map(|f| f.message.as_str()).collect();
            assert!(said.is_empty(), "{job}, form {i}: {said:?}");
            let record = back.record.expect("a record");
            let got = readings(pack, &record);
            let differ = whole.iter().find(|(name, answer)| got.get(*name) != Some(answer));
            assert_eq!(differ.map(|(n, a)| (n, a, got.get(n))), None, "{job}, form {i}");
            assert_eq!(got.len(), whole.len(), "{job}, form {i}");
            if i == 0 {
                assert_eq!(record::table(&pack.form, Some(&record)), table, "{job}: the same bytes");
            }
        }
    }
}

/// What is found in a table stands at its row, in its own file.
#[test]
fn trouble_in_a_table_is_told_at_its_row() {
    let job = "D-2201-P4";
    let pack = &PACKS[job].0;
    let table = out(job);
    let tell = |table: String| {
        let mut whole = loaded(job, clean(job));
        record::fill_from_table(&mut whole, "readings.csv", table, &pack.form);
        let line = |f: &cutback::finding::Finding| {
            let place = &f.places[0];
            let source = &whole.sources[place.source];
            assert_eq!(source.name(), "readings.csv");
            source.line_column(place.bytes.as_ref().expect("bytes").start).0
        };
        let told = |f: &cutback::finding::Finding| (line(f), format!("{} {}", f.message, f.remedy));
        whole.findings.iter().map(told).collect::<Vec<_>>()
    };
    assert_eq!(tell(table.clone()), [], "nothing wrong, nothing told");
    let row = |start: &str| table.lines().position(|l| l.starts_with(start)).expect("a row") + 1;
    let one = |change: &dyn Fn(&str) -> String| {
        let mut all = tell(change(&table));
        assert_eq!(all.len(), 1, "{all:?}");
        all.remove(0)
    };
    // Behind a byte mark and within lines of either ending the row is the same.
    for (name, table) in [
        ("plain", table.clone()),
        ("marked", format!("\u{feff}{table}")),
        ("crlf", table.replace('\n', "\r\n")),
    ] {
        let wrong = table
            .replace("tube,length,L2,201", "tube,length,L2,211")
            .replace("tube,clear,L1", "tube,clera,L1");
        let all = tell(wrong);
        let lines: Vec<usize> = all.iter().map(|(line, _)| *line).collect();
        assert_eq!(lines, [row("tube,length,L2"), row("tube,clear,L1")], "{name}: {all:?}");
        assert!(all[0].1.contains("record says 201"), "{all:?}");
        assert!(all[1].1.contains("clera") && all[1].1.contains("Did you mean"), "{all:?}");
    }
    let (line, said) = one(&|t| t.replacen("tube,length,L2,201", "tube,length,L2,20,1", 1));
    assert_eq!(line, row("tube,length,L2"));
    assert!(said.contains("8 columns, the header 7") && said.contains("double quotes"), "{said}");
    let (_, said) = one(&|t| t.replacen("tube,length,L2,201", "tube,length,L2,\"2,010\"", 1));
    assert!(said.contains("two ways"), "{said}");
    let (_, said) = one(&|t| t.replacen("tube,length,L2,201", "tube,length,L2,201 kV", 1));
    assert!(said.contains("not in mm"), "{said}");
    let (line, said) = one(&|t| format!("{t}tube,length,L2,201,mm,,\n"));
    assert_eq!(line, table.lines().count() + 1);
    assert!(said.contains(&format!("line {} of the table already", row("tube,length,L2"))), "{said}");
    // The header: none, a column lacking, misspelt, twice.
    for (header, word) in [
        ("length,mm", "not the header"),
        ("point,reading,value,unit", "lacks cell"),
        ("point,reeding,cell,value,unit,title,limits", "Is `reeding` meant as `reading`?"),
        ("point,reading,cell,value,value,title,limits", "`value` stands twice"),
        ("", "not the header"),
    ] {
        let (line, said) = one(&|t| t.replacen("point,reading,cell,value,unit,title,limits", header, 1));
        assert_eq!(line, 1);
        assert!(said.contains(word), "{header}: {said}");
    }
    // Nothing at all, and nothing that is a table.
    for hostile in ["", "\u{feff}", "\"", "\0\0\0", "point,reading,cell,value\n\"tube,length"] {
        tell(hostile.to_string());
    }
}

/// A text that a sheet would run as a formula goes out behind an apostrophe and comes
/// back as it was.
#[test]
fn no_text_becomes_a_formula() {
    let job = "D-2201-P4";
    let pack = &PACKS[job].0;
    let evil = "=HYPERLINK(\"http://x\",\"y\")";
    let text = clean(job).replace("far_end_guard: ", "far_end_guard: '=HYPERLINK(\"http://x\",\"y\")' # ");
    let whole = loaded(job, text);
    assert!(whole.findings.is_empty(), "{:?}", whole.findings);
    let table = record::table(&pack.form, whole.record.as_ref());
    assert_eq!(table.matches("\"'=HYPERLINK").count(), 1, "{table}");
    let back = filled(job, &table).record.expect("a record");
    let name = "points.test_authority.far_end_guard";
    assert_eq!(back.get(name).map(|g| g.text.as_str()), Some(evil));
}
