//! Anything changed after issue or after sealing is found and named; what can't be
//! found is said here.

use crate::issuing::pack_of;
use crate::record_verify::PACKS;
use crate::support::job_text;
use crate::verified::{Site, site};
use cutback::cli::opened;
use cutback::issuing::{PackFiles, issue, sha256};
use cutback::procedure::Pack;
use cutback::record::attached_pack;
use std::path::{Path, PathBuf};

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

/// Whether the folder is found to be as it was issued.
fn holds(path: &Path, sum: &str) -> bool {
    matches!(opened(path), Ok((found, Some(files), true)) if found == sum && files == "as issued")
}

/// An issued folder of a small pack, written below `root`; the path of its pack.json.
fn small_folder(root: &Path, pack: &Pack, json: &[u8]) -> PathBuf {
    let whole = pdf(&[("pack.json", json, false)]);
    let files = PackFiles { json, pdf: &whole, record: b"record: {}\n" };
    issue(root, pack, &files).expect("issued");
    root.join("D-2201/TX2-HV/P4/pack.json")
}

/// One change to a file: which, where, which bits.
type Flip<'a> = (&'a str, usize, u8);

/// Makes each change in a folder of its own, one at a time; those nothing found.
fn unfound<'a>(root: &Path, path: &Path, sum: &str, flips: &[Flip<'a>]) -> Vec<Flip<'a>> {
    let mut missed = Vec::new();
    let mut at = ("", Vec::new());
    for flip in flips {
        let (name, i, bits) = *flip;
        let file = root.join(name);
        if at.0 != name {
            at = (name, std::fs::read(&file).expect("a file"));
        }
        at.1[i] ^= bits;
        std::fs::write(&file, &at.1).expect("written");
        if holds(path, sum) {
            missed.push(*flip);
        }
        at.1[i] ^= bits;
        std::fs::write(&file, &at.1).expect("written");
    }
    missed
}

/// Every byte of an issued folder changed, one at a time: it is always found. One
/// file is not held to anything: the blank record, which is there to be filled; what
/// is in it counts from the moment it is sealed, and its checksum stands in the list
/// and in the register, which are held. `FLIPS=all` tries every byte of the two large
/// files as well, else every 41st.
#[test]
#[allow(clippy::disallowed_methods, clippy::print_stderr)]
fn every_byte_of_an_issued_folder_is_held() {
    let dirs = [0, 1].map(|_| tempfile::tempdir().expect("a folder"));
    let (pack, json) = small();
    let sum = sha256(&json);
    let places = [0, 1].map(|i| (dirs[i].path(), small_folder(dirs[i].path(), &pack, &json)));
    for (_, path) in &places {
        assert!(holds(path, &sum), "{:?}", opened(path));
    }
    let all = std::env::var("FLIPS").is_ok_and(|f| f == "all");
    let bits: &[u8] = if all { &[0x01, 0x02, 0x04, 0x08, 0x10, 0x20, 0x40, 0x80] } else { &[0x01, 0x20] };
    let step = if all { 1 } else { 41 };
    let files = [
        ("D-2201/TX2-HV/P4/SHA256SUMS", 1, bits),
        ("register.jsonl", 1, bits),
        ("D-2201/TX2-HV/P4/pack.json", step, &bits[..1]),
        ("D-2201/TX2-HV/P4/pack.pdf", step, &bits[..1]),
    ];
    let size = |name: &str| std::fs::read(places[0].0.join(name)).expect("a file").len();
    let mut flips: Vec<Flip> = Vec::new();
    for (name, step, patterns) in files {
        let bytes = (0..size(name)).step_by(step);
        flips.extend(bytes.flat_map(|i| patterns.iter().map(move |bits| (name, i, *bits))));
    }
    let begun = std::time::Instant::now();
    // Every other change in either folder: both cores, and each its share of each file.
    let halves = [0, 1].map(|half| flips.iter().skip(half).step_by(2).copied().collect::<Vec<Flip>>());
    let missed: Vec<Flip> = std::thread::scope(|scope| {
        let run = |i: usize| unfound(places[i].0, &places[i].1, &sum, &halves[i]);
        let other = scope.spawn(move || run(1));
        let mut all = run(0);
        all.extend(other.join().expect("an end"));
        all
    });
    let whole: usize = files.iter().map(|f| size(f.0)).sum();
    eprintln!("{} changes to {whole} bytes in {:.0} s", flips.len(), begun.elapsed().as_secs_f64());
    for (_, path) in &places {
        assert!(holds(path, &sum), "all put back");
    }
    assert!(missed.is_empty(), "{} of {}: {:?}", missed.len(), flips.len(), &missed[..missed.len().min(8)]);
    assert!(flips.len() > 2000, "{}", flips.len());
    // The one file that is not held: changed, the folder is still as it was issued.
    std::fs::write(places[0].1.with_file_name("record.yaml"), "record: {job: D-2201}\n").expect("written");
    assert!(holds(&places[0].1, &sum), "the blank record is there to be filled");
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

fn in_the_last_line(bytes: Vec<u8>, from: &str, to: &str) -> Vec<u8> {
    let text = String::from_utf8(bytes).expect("text");
    let at = text.trim_end().rfind('\n').expect("two lines");
    format!("{}{}", &text[..at], text[at..].replacen(from, to, 1)).into_bytes()
}

fn sealed() -> Site {
    let site = site();
    let (code, said, trouble) = site.verify(&["--seal", "--date", "2031-05-14"]);
    assert_eq!((code, trouble.as_str()), (0, ""), "{said}");
    assert!(said.contains("sealed: "), "{said}");
    site
}

/// The seal is a line that `sha256sum` and a text editor check: chain, pack, record,
/// report, list of photographs.
#[test]
fn a_seal_is_checked_by_hand() {
    let site = sealed();
    let register = std::fs::read_to_string(site.root().join("issued/register.jsonl")).expect("a register");
    let lines: Vec<&str> = register.lines().collect();
    let seal: serde_json::Value = serde_json::from_str(lines[1]).expect("a line");
    let sum = |path: &Path| sha256(&std::fs::read(path).expect("a file"));
    assert_eq!(seal["previous"], sha256(lines[0].as_bytes()));
    assert_eq!(seal["pack_sha256"], sum(&site.pack().join("pack.json")));
    assert_eq!(seal["record_sha256"], sum(&site.record));
    assert_eq!(seal["report_sha256"], sum(&site.reports("pdf")[0]));
    let folder = site.record.with_file_name("photos");
    let mut list: Vec<String> = std::fs::read_dir(&folder)
        .expect("photographs")
        .filter_map(Result::ok)
        .map(|e| format!("{}  photos/{}\n", sum(&e.path()), e.file_name().to_string_lossy()))
        .collect();
    list.sort();
    assert_eq!(seal["photos_sha256"], sha256(list.concat().as_bytes()));
    // Sealed twice it stands once, and the sealed report is left as it is.
    let report = sum(&site.reports("pdf")[0]);
    let (code, said, _) = site.verify(&["--seal", "--date", "2031-05-20"]);
    assert_eq!(code, 0, "{said}");
    assert!(said.contains("sealed before"), "{said}");
    assert_eq!(
        std::fs::read_to_string(site.root().join("issued/register.jsonl")).expect("a register"),
        register
    );
    assert!(site.reports("pdf").iter().any(|p| sum(p) == report));
}

/// After sealing: record, photograph, report, register, list of checksums, pack,
/// attachment. Each change is found by the rule that should.
#[test]
fn what_was_changed_after_sealing_is_found() {
    let site = sealed();
    let register = site.root().join("issued/register.jsonl");
    let report = site.reports("pdf")[0].clone();
    let other_pack = pdf(&[("pack.json", b"{}", false)]);
    type Change<'a> = (&'a str, PathBuf, Box<dyn Fn(Vec<u8>) -> Vec<u8>>);
    let changes: Vec<Change> = vec![
        ("A10", site.record.clone(), Box::new(|b| replaced(b, "air_start: 16.0", "air_start: 16.5"))),
        (
            "A10",
            site.record.clone(),
            Box::new(|b| replaced(b, "# The verifier's queries", "# the verifier's queries")),
        ),
        (
            "I09",
            site.record.with_file_name("photos/5.jpg"),
            Box::new(|mut b| {
                let last = b.len() - 40;
                b[last] ^= 1;
                b
            }),
        ),
        (
            "A10",
            report,
            Box::new(|mut b| {
                b[200] ^= 1;
                b
            }),
        ),
        (
            "A10",
            register.clone(),
            Box::new(|b| in_the_last_line(b, "\"record_sha256\":\"", "\"record_sha256\":\"0")),
        ),
        ("A02", register.clone(), Box::new(|b| replaced(b, "2031-04-28", "2031-04-29"))),
        (
            "A09",
            register.clone(),
            Box::new(|mut b| {
                b.pop();
                b
            }),
        ),
        (
            "A09",
            site.pack().join("SHA256SUMS"),
            Box::new(|mut b| {
                b[3] = if b[3] == b'0' { b'1' } else { b'0' };
                b
            }),
        ),
        ("A09", site.pack().join("pack.json"), Box::new(|b| replaced(b, "Tarnholt", "Tarnhold"))),
        (
            "A09",
            site.pack().join("pack.pdf"),
            Box::new(|mut b| {
                b[5000] ^= 1;
                b
            }),
        ),
        ("A09", site.pack().join("pack.pdf"), Box::new(move |_| other_pack.clone())),
    ];
    for (i, (code, path, change)) in changes.iter().enumerate() {
        let before = edit(path, change);
        let (exit, said, trouble) = site.verify(&[]);
        assert_eq!(exit, 1, "change {i}: {trouble}{said}");
        assert!(said.contains(&format!("error[{code}]")), "change {i}, {code}: {said}");
        std::fs::write(path, before).expect("put back");
    }
    let (exit, said, _) = site.verify(&[]);
    assert_eq!(exit, 0, "all put back: {said}");
    // A record that replaces a sealed one names it, and is sealed anew.
    let sum = sha256(&std::fs::read(&site.record).expect("a record"));
    site.edit("  completed:", &format!("  replaces: {sum}\n  completed:"));
    let (exit, said, trouble) = site.verify(&["--seal", "--date", "2031-05-20"]);
    assert_eq!(exit, 0, "{trouble}{said}");
    assert_eq!(std::fs::read_to_string(&register).expect("a register").lines().count(), 3);
    // Lines taken off the end are missed by nobody but whoever kept the checksum of
    // the last one: the README says so.
    edit(&register, |b| {
        let text = String::from_utf8(b).expect("text");
        format!("{}\n", text.lines().next().expect("a line")).into_bytes()
    });
    assert_eq!(site.verify(&[]).0, 0);
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

/// PDF files that are no pack of ours, or are made to harm, end in words.
#[test]
fn hostile_pdfs_are_refused() {
    let (_, json) = small();
    let sound = pdf(&[("pack.json", &json, false)]);
    assert_eq!(attached_pack(sound.clone()).as_deref(), Ok(json.as_slice()));
    let same = pdf(&[("pack.json", &json, false), ("pack.json", &json, false)]);
    assert_eq!(attached_pack(same).as_deref(), Ok(json.as_slice()), "twice the very same is one");
    let two = pdf(&[("pack.json", &json, false), ("pack.json", b"{}", false)]);
    assert!(attached_pack(two).is_err_and(|e| e.contains("2 different attachments")));
    for (bytes, word) in [
        (pdf(&[("other.json", &json, false)]), "no pack.json"),
        (pdf(&[]), "no pack.json"),
        (b"not a PDF".to_vec(), "no PDF"),
        (Vec::new(), "no PDF"),
        (sound[..sound.len() / 2].to_vec(), "cut short"),
        (replaced_bytes(&pdf(&[("pack.json", &json, true)]), b"/FlateDecode", b"/LZWDecode  "), "packed"),
        (replaced_bytes(&sound, b"/EmbeddedFile", b"/Embedded#46ile"), "escape"),
        (
            replaced_bytes(&sound, b"/Root 1 0 R", b"/Root 1 0 R/Encrypt<</Filter/Standard/V 2/R 3>>"),
            "encrypted",
        ),
        (
            replaced_bytes(&sound, b"/Kids[]", &[b"/Kids".as_slice(), &b"[".repeat(300_000)].concat()),
            "nested",
        ),
        (
            replaced_bytes(&sound, b"/Kids[]", &[b"/Kids[]".as_slice(), &b"/A<<".repeat(300_000)].concat()),
            "nested",
        ),
        (pdf(&[("pack.json", &zipped(&b"[".repeat(300_000)), true)]), "nested"),
        ([sound.as_slice(), &b"9 0 obj\n1\nendobj\n".repeat(200_001), b"%%EOF\n"].concat(), "more objects"),
    ] {
        let said = attached_pack(bytes).expect_err(word);
        assert!(said.contains(word), "{said}, not {word}");
    }
    // Sizes that promise more than there is, and objects that name themselves: words or
    // the pack, and no more memory than the file has.
    for (from, to) in [
        (&b"/Root 1 0 R"[..], &b"/Root 1 0 R/Size 4294967295"[..]),
        (b"xref\n0 ", b"xref\n0 42949672"),
        (b"/EF<</F 4 0 R>>", b"/EF<</F 3 0 R>>"),
        (b"/EF<</F 4 0 R>>", b"/EF 3 0 R"),
        (b"/Kids[]", b"/Kids[2 0 R]"),
        (b"startxref\n", b"startxref\n9"),
    ] {
        let found = attached_pack(replaced_bytes(&sound, from, to));
        assert!(found.as_deref().map_or(true, |found| found == json), "{}", String::from_utf8_lossy(to));
    }
    // Cut anywhere, any byte changed: words, never a panic.
    for end in (0..sound.len()).step_by(sound.len() / 80) {
        let _ = attached_pack(sound[..end].to_vec());
        let mut bent = sound.clone();
        bent[end] ^= 0x11;
        let _ = attached_pack(bent);
    }
    // A few kilobytes that unpack to a gigabyte.
    let bomb = deflated(1 << 30);
    assert!(bomb.len() < 1_200_000);
    let said = attached_pack(pdf(&[("pack.json", &bomb, true)])).expect_err("a bomb");
    assert!(said.contains("unpacks to more"), "{said}");
}

fn replaced_bytes(bytes: &[u8], from: &[u8], to: &[u8]) -> Vec<u8> {
    let at = bytes.windows(from.len()).position(|w| w == from).expect("something to replace");
    [&bytes[..at], to, &bytes[at + from.len()..]].concat()
}

/// Bytes packed as a PDF packs them.
fn zipped(bytes: &[u8]) -> Vec<u8> {
    use std::io::Write;
    let mut packer = flate2::write::ZlibEncoder::new(Vec::new(), flate2::Compression::best());
    packer.write_all(bytes).expect("packed");
    packer.finish().expect("packed")
}

/// The program says which file, and why; it writes nothing and exits with 2.
#[test]
fn a_hostile_pdf_is_named_by_the_program() {
    let dir = tempfile::tempdir().expect("a folder");
    let root = dir.path();
    let (pack, json) = small();
    let sound = pdf(&[("pack.json", &json, false)]);
    std::fs::write(root.join("record.yaml"), cutback::record::blank(&pack, &sha256(&json))).expect("written");
    std::fs::create_dir_all(root.join("phone")).expect("a folder");
    let cases = [
        ("cut.pdf", sound[..sound.len() / 2].to_vec(), "the PDF is cut short"),
        (
            "two.pdf",
            pdf(&[("pack.json", &json, false), ("pack.json", b"{}", false)]),
            "2 different attachments",
        ),
        ("other.pdf", pdf(&[("other.json", &json, false)]), "this PDF is no pack of ours"),
        ("words.pdf", b"words".to_vec(), "no PDF file"),
        ("deep.pdf", replaced_bytes(&sound, b"/Kids[]", &b"[".repeat(300_000)), "nested deeper"),
        ("empty.pdf", pdf(&[("pack.json", b"{}", false)]), "no pack of this tool"),
    ];
    for (name, bytes, word) in &cases {
        std::fs::write(root.join(name), bytes).expect("written");
        for args in
            [vec!["verify", "record.yaml", "--pack", name], vec!["receive", name, "--photos", "phone"]]
        {
            let done = std::process::Command::new(env!("CARGO_BIN_EXE_cutback"))
                .current_dir(root)
                .args(&args)
                .output()
                .expect("the program");
            let said = String::from_utf8_lossy(&done.stderr);
            assert_eq!(done.status.code(), Some(2), "{args:?}: {said}");
            assert!(said.contains(word) && said.contains(&format!("{name}: ")), "{args:?}: {said}");
        }
    }
    let mut left: Vec<String> = std::fs::read_dir(root)
        .expect("a folder")
        .filter_map(Result::ok)
        .map(|e| e.file_name().to_string_lossy().into_owned())
        .collect();
    left.retain(|n| !n.ends_with(".pdf"));
    left.sort();
    assert_eq!(left, ["phone", "record.yaml"], "nothing is written");
}

/// Only an acceptable record is sealed, on a day that is named, into a register that is
/// there; else nothing is written down and the words say why.
#[test]
fn what_may_not_be_sealed_is_not() {
    let site = site();
    let register = site.root().join("issued/register.jsonl");
    let before = std::fs::read(&register).expect("a register");
    let whole = std::fs::read_to_string(&site.record).expect("a record");
    let refused = |args: &[&str], word: &str| {
        let (code, said, trouble) = site.verify(args);
        assert_eq!(code, 2, "{word}: {said}{trouble}");
        assert!(trouble.contains("not sealed: ") && trouble.contains(word), "{word}: {trouble}");
        assert_eq!(std::fs::read(&register).ok().as_deref().unwrap_or(&before), before, "{word}");
    };
    let sealing = ["--seal", "--date", "2031-05-14"];
    refused(&["--seal"], "give the day with --date");
    for (from, to, word) in [
        ("completed: 2031-05-13 13:30", "completed:", "the record is not completed"),
        ("L3: 2031-05-12 18:40}", "L3: 2031-05-12 18:20}", "not acceptable"),
        ("far_end_guard: ", "far_end_guard: as usual # ", "acceptable with queries"),
    ] {
        site.edit(from, to);
        refused(&sealing, word);
        std::fs::write(&site.record, &whole).expect("put back");
    }
    let alone = site.root().join("alone.pdf");
    std::fs::copy(site.pack().join("pack.pdf"), &alone).expect("copied");
    refused(&[&sealing[..], &["--pack", "alone.pdf"]].concat(), "no register where the pack was found");
}

/// The table of readings beside a record is a part of what is sealed, and what is wrong
/// with a reading in it is told at its line.
#[test]
fn a_table_is_sealed_with_its_record() {
    let site = site();
    let path = site.record.with_file_name("readings.csv");
    let name = path.to_string_lossy().into_owned();
    assert_eq!(site.verify(&["--table", &name]).0, 0);
    site.edit("  completed:", "  table: readings.csv\n  completed:");
    let (code, said, trouble) = site.verify(&["--seal", "--date", "2031-05-14"]);
    assert_eq!(code, 0, "{said}{trouble}");
    assert_eq!(site.verify(&[]).0, 0);
    let before = edit(&path, |b| replaced(b, "\n", "\n\n"));
    let (code, said, _) = site.verify(&[]);
    assert_eq!(code, 1);
    assert!(
        said.contains("error[A10]") && said.contains("the table of readings is not the one sealed"),
        "{said}"
    );
    std::fs::write(&path, before).expect("put back");
    assert_eq!(site.verify(&[]).0, 0);
    // A reading that stands in the table alone.
    site.edit("    length: {L1: ", "    length: {L1: null} # {");
    edit(&path, |b| replaced(b, "tube,length,L2,201", "tube,length,L2,20"));
    let (_, said, _) = site.verify(&[]);
    let text = std::fs::read_to_string(&path).expect("a table");
    let line = text.lines().position(|l| l.starts_with("tube,length,L2")).expect("a row") + 1;
    assert!(said.contains(&format!("readings.csv:{line}:")), "{said}");
    let reports = site.reports("json");
    let latest = |p: &&PathBuf| std::fs::metadata(p).and_then(|m| m.modified()).expect("a time");
    let report = std::fs::read_to_string(reports.iter().max_by_key(latest).expect("a report")).expect("JSON");
    assert!(report.contains(&format!("table line {line}, points.tube.length.L2")), "{report}");
}

/// So many noughts, packed as a PDF packs them.
fn deflated(size: usize) -> Vec<u8> {
    use std::io::Write;
    let mut packer = flate2::write::ZlibEncoder::new(Vec::new(), flate2::Compression::best());
    let piece = vec![0u8; 1 << 20];
    for _ in 0..size >> 20 {
        packer.write_all(&piece).expect("packed");
    }
    packer.finish().expect("packed")
}

/// A pack issued earlier keeps reading when fields are added since.
#[test]
fn an_earlier_pack_still_reads() {
    let bytes = include_bytes!("../packs/first.json");
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
