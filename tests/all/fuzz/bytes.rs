//! Readers of what other programs wrote: the PDF of a pack, pictures, their metadata.

use super::{bent, run};
use crate::drawn::{Lie, STRAIGHT, jpeg, lay, png, scene, stamped};
use crate::record_verify::PACKS;
use crate::support::{Dice, PRESS};
use crate::tamper::pdf;
use cutback::photos::meta;
use cutback::press::Copy;
use cutback::record::attached_pack;
use cutback_eye::{codes, decode, likeness, size_of, small};

/// Plain files, with the attachment packed or not, and now and then one of the press.
#[test]
fn pdfs_of_packs() {
    let mut dice = Dice(0x9df0);
    let json = br#"{"format":"cutback-pack-1","job":{"number":"D-2201"}}"#;
    let mut packed = flate2::write::ZlibEncoder::new(Vec::new(), flate2::Compression::default());
    std::io::Write::write_all(&mut packed, json).expect("packed");
    let packed = packed.finish().expect("packed");
    let seeds = [
        pdf(&[("pack.json", json, false)]),
        pdf(&[("pack.json", &packed, true)]),
        pdf(&[("other.txt", b"x", false), ("pack.json", &packed, true)]),
    ];
    let (pack, sum) = &PACKS["D-2201-P4"];
    let whole = serde_json::to_vec(pack).expect("JSON");
    let whole = PRESS.print(pack, &whole, &Copy::new(pack, sum, false, 1)).expect("a pack that prints");
    let (mut read, mut same) = (0usize, 0usize);
    run("PDFs of packs", 0.05, |run| {
        let seed = if run % 200 == 0 { &whole } else { dice.one(&seeds) };
        let seed = seed.clone();
        match attached_pack(bent(&mut dice, &seed)) {
            Ok(bytes) => (read, same) = (read + 1, same + usize::from(bytes == json)),
            Err(why) => assert!(!why.is_empty()),
        }
    });
    assert!(same > 0 && read >= same, "{read} read, {same} as they were");
}

#[test]
fn pictures() {
    let mut dice = Dice(0x91c7);
    let mut drawn = scene(220, 160, 3);
    lay(&mut drawn, "CB1/D-2201/P4/T/644ff8e7/x/35", Lie { side: 0.4, at: (0.6, 0.4), ..STRAIGHT });
    let seeds = [jpeg(&drawn, 80), png(&drawn), stamped(&jpeg(&drawn, 60), "2031:05:12 10:00:00")];
    let (mut seen, mut coded) = (0usize, 0usize);
    // Most pixels allowed: as many as the drawing has four times over.
    let most = 4 * 220 * 160;
    run("pictures", 0.01, |run| {
        let seed = dice.one(&seeds).clone();
        let bytes = bent(&mut dice, &seed);
        if let Ok(picture) = decode(&bytes, most) {
            assert!(picture.gray.width * picture.gray.height <= most);
            seen += 1;
            let _ = likeness(&picture.gray, &[[(-9.0, 3.0), (80.0, 0.0), (70.0, 90.0), (4.0, 1e9)]]);
            // The search for codes is the slow part, and takes any shades.
            if run % 20 == 0 {
                coded += usize::from(!codes(&picture.gray).is_empty());
            }
        }
        if run % 10 == 1 {
            let _ = small(&bytes, most, 60, 1 + dice.below(9) as u32);
        }
    });
    assert!(seen > 0 && coded > 0, "{seen} seen, {coded} with a code");
}

#[test]
fn metadata_of_pictures() {
    let mut dice = Dice(0x3e7a);
    let drawn = scene(24, 24, 3);
    let plain = stamped(&jpeg(&drawn, 40), "2031:05:12 10:00:00");
    // Metadata of a PNG stands in a piece of its own; of others in a box.
    let tiff = plain[12..200.min(plain.len())].to_vec();
    let boxed = [&b"\0\0\0\x18ftypheic\0\0\0\0mif1heic"[..], &tiff].concat();
    let seeds = [plain, png(&drawn), boxed];
    let mut taken = 0usize;
    run("metadata of pictures", 1.0, |_| {
        let seed = dice.one(&seeds).clone();
        // The head of the file, where metadata stands, more often than its rest.
        let head = seed.len().min(260);
        let mut bytes = bent(&mut dice, &seed[..head]);
        bytes.extend_from_slice(&seed[head..]);
        let size = size_of(&bytes).ok();
        let meta = meta(&bytes, size);
        let texts = meta.taken.iter().chain(&meta.camera).chain(&meta.signs);
        texts.for_each(|t| assert!(!t.chars().any(char::is_control) && !t.contains('\u{202e}'), "{t:?}"));
        taken += usize::from(meta.taken.is_some());
    });
    assert!(taken > 10, "only {taken} with a time");
}
