//! Anything changed after issue or after sealing is found and named; what can't be
//! found is said here.

mod flips;
mod hostile;
mod seal;

use crate::issuing::pack_of;
use crate::record_verify::PACKS;
use crate::support::job_text;
use crate::verified::site;
use cutback::issuing::sha256;
use cutback::procedure::Pack;
use std::path::Path;

/// A PDF of the plainest kind with a file attached under each name.
pub fn pdf(attached: &[(&str, &[u8], bool)]) -> Vec<u8> {
    let mut out = b"%PDF-1.7\n".to_vec();
    let mut at = Vec::new();
    let mut object = |out: &mut Vec<u8>, bytes: &[u8]| {
        at.push(out.len());
        out.extend_from_slice(format!("{} 0 obj\n", at.len()).as_bytes());
        out.extend_from_slice(bytes);
        out.extend_from_slice(b"\nendobj\n");
    };
    object(&mut out, b"<</Type/Catalog/Pages 2 0 R>>");
    object(&mut out, b"<</Type/Pages/Kids[]/Count 0>>");
    for (i, (name, bytes, packed)) in attached.iter().enumerate() {
        let file = 4 + 2 * i;
        object(&mut out, format!("<</Type/Filespec/F({name})/UF({name})/EF<</F {file} 0 R>>>>").as_bytes());
        let filter = if *packed { "/Filter/FlateDecode" } else { "" };
        let head = format!("<</Type/EmbeddedFile{filter}/Length {}>>\nstream\n", bytes.len());
        object(&mut out, &[head.as_bytes(), bytes, b"\nendstream"].concat());
    }
    let start = out.len();
    out.extend_from_slice(format!("xref\n0 {}\n0000000000 65535 f \n", at.len() + 1).as_bytes());
    for place in &at {
        out.extend_from_slice(format!("{place:010} 00000 n \n").as_bytes());
    }
    let tail = format!("trailer\n<</Size {}/Root 1 0 R>>\nstartxref\n{start}\n%%EOF\n", at.len() + 1);
    out.extend_from_slice(tail.as_bytes());
    out
}

/// A part of a pack with every list in it empty.
fn emptied(part: &impl serde::Serialize) -> serde_json::Value {
    fn empty(value: &mut serde_json::Value) {
        match value {
            serde_json::Value::Array(list) => list.clear(),
            serde_json::Value::Object(map) => map.values_mut().for_each(empty),
            _ => {}
        }
    }
    let mut value = serde_json::to_value(part).expect("JSON");
    empty(&mut value);
    value
}

/// A pack of ours with little in it, so that every byte of its folder can be tried.
fn small() -> (Pack, Vec<u8>) {
    let (mut pack, _) = pack_of(job_text("D-2201-P4"));
    pack.drawings.clear();
    pack.hazards.clear();
    pack.method.runs.clear();
    pack.schedule.clear();
    pack.matches.clear();
    pack.findings.clear();
    pack.labels.cards.clear();
    pack.basis.truncate(2);
    pack.form.points.truncate(2);
    pack.form.frames.truncate(2);
    pack.form.tests.clear();
    pack.release.stops.clear();
    pack.photos.rows.clear();
    pack.summary.controls.clear();
    pack.rules.apart.clear();
    pack.remedy = None;
    pack.deviations = serde_json::from_value(emptied(&pack.deviations)).expect("emptied");
    pack.completion = serde_json::from_value(emptied(&pack.completion)).expect("emptied");
    pack.briefing = serde_json::from_value(emptied(&pack.briefing)).expect("emptied");
    pack.tests = serde_json::from_value(emptied(&pack.tests)).expect("emptied");
    let json = serde_json::to_vec(&pack).expect("JSON");
    (pack, json)
}

fn edit(path: &Path, change: impl Fn(Vec<u8>) -> Vec<u8>) -> Vec<u8> {
    let before = std::fs::read(path).expect("a file");
    std::fs::write(path, change(before.clone())).expect("written");
    before
}

fn replaced(bytes: Vec<u8>, from: &str, to: &str) -> Vec<u8> {
    let text = String::from_utf8(bytes).expect("text");
    assert!(text.contains(from), "nothing like {from}");
    text.replacen(from, to, 1).into_bytes()
}

/// The paper file alone is enough to judge a record; what only the folder can show
/// is listed as not run.
#[test]
fn a_record_is_judged_from_the_pdf_alone() {
    let site = site();
    let alone = site.root().join("alone.pdf");
    std::fs::copy(site.pack().join("pack.pdf"), &alone).expect("copied");
    std::fs::remove_dir_all(site.root().join("issued")).expect("removed");
    let (code, said, trouble) = site.verify(&["--pack", "alone.pdf"]);
    assert_eq!((code, trouble.as_str()), (0, ""), "{said}");
    assert!(said.contains("ACCEPTABLE") && said.contains("A09") && said.contains("A02"), "{said}");
}

/// A pack issued earlier keeps reading when fields are added since.
#[test]
fn an_earlier_pack_still_reads() {
    let bytes = include_bytes!("../../packs/first.json");
    let pack: Pack =
        serde_json::from_slice(bytes).expect("an earlier pack reads: a new field wants a serde default");
    assert_eq!(pack.format, cutback::procedure::PACK_FORMAT);
    let form = &pack.form;
    assert!(form.points.len() > 20 && form.frames.len() > 30 && form.tests.len() > 5);
    // What a record is judged by is all there: the blank made from it asks the same.
    let sum = sha256(bytes);
    let blank = cutback::record::blank(&pack, &sum).replace("  zone:  ", "  zone: \"+01:00\"  ");
    let loaded = cutback::record::load("record.yaml", blank, form);
    assert!(loaded.findings.is_empty(), "{:?}", loaded.findings);
    let record = loaded.record.expect("a record");
    let book = cutback::record::rule_book().expect("sound rules");
    let dossier = cutback::record::Dossier::bare(&record, &pack, &sum, &[]);
    let judgement = cutback::record::judge(&book, &dossier, &loaded.sources);
    assert!(judgement.findings.is_empty());
    let now = &PACKS["D-2201-P4"].0;
    assert_eq!(form.points.len(), now.form.points.len());
}
