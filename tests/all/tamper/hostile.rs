//! PDF files that are no pack of ours, or are made to harm.

use super::{pdf, small};
use cutback::issuing::sha256;
use cutback::record::attached_pack;

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
