//! Codes are found in drawn pictures, and nothing is read that is not there.
//! `tests/photos` measures the share read over a thousand pictures.

use crate::drawn::{Lie, STRAIGHT, jpeg, lay, png, scene, through};
use cutback::photos::{Card, CardOf};
use cutback::procedure::label_code;
use cutback::record::Likeness;
use cutback_eye::{Beyond, NotDecoded, codes, decode, likeness};

const MOST: usize = 10_000_000;
const TEXT: &str = "CB1/D-2201/P4/TX2-HV/644ff8e7/filler-L1/35";

fn read(bytes: &[u8]) -> Vec<String> {
    let picture = decode(bytes, MOST).expect("a picture");
    codes(&picture.gray).into_iter().map(|c| c.text).collect()
}

#[test]
fn a_card_is_read_however_it_lies() {
    for (turn, tilt, side) in
        [(0.0, 0.0, 0.16), (37.0, 30.0, 0.2), (180.0, 45.0, 0.2), (271.0, 50.0, 0.24), (135.0, 0.0, 0.1)]
    {
        let mut picture = scene(1200, 900, 7);
        lay(&mut picture, TEXT, Lie { turn, tilt, side, ..STRAIGHT });
        assert_eq!(read(&jpeg(&picture, 85)), [TEXT], "turned {turn}, tilted {tilt}");
        assert_eq!(read(&png(&picture)), [TEXT]);
    }
}

#[test]
fn a_card_is_read_in_bad_light_and_dirty() {
    let mut dim = scene(1200, 900, 3);
    lay(&mut dim, TEXT, Lie { turn: 20.0, ..STRAIGHT });
    let sound = dim.clone();
    through(&mut dim, |x, y, v| v * 0.1 + f64::from((x * 7919 + y * 104_729) % 7) - 3.0);
    assert_eq!(read(&jpeg(&dim, 85)), [TEXT], "a tenth of the light");
    let mut shadow = sound.clone();
    through(&mut shadow, |x, _, v| if x < 470 { v * 0.3 } else { v });
    assert_eq!(read(&jpeg(&shadow, 85)), [TEXT], "half in the shadow");
    let mut dirty = sound.clone();
    // A smear over a corner of the data, a twentieth of the code.
    through(&mut dirty, |x, y, v| if (450..495).contains(&x) && (430..475).contains(&y) { 90.0 } else { v });
    assert_eq!(read(&jpeg(&dirty, 40)), [TEXT], "a smear, quality 40");
}

/// Patches of grease over a tenth of the code touch two words in five: more than it
/// mends by itself, but it can be seen which.
#[test]
fn a_card_with_patches_over_it_is_read() {
    let mut picture = scene(1200, 900, 11);
    lay(&mut picture, TEXT, Lie { at: (0.4, 0.4), side: 0.3, ..STRAIGHT });
    let place = |i: f64| 480.0 + (i - 0.5) * 360.0;
    let covered = |x: f64, y: f64| {
        let patch = |(px, py): (f64, f64)| ((x - place(px)) / 34.0).hypot((y - place(py)) / 22.0) < 1.0;
        [(0.45, 0.3), (0.6, 0.45), (0.4, 0.6), (0.62, 0.75), (0.8, 0.55)].into_iter().any(patch)
    };
    through(&mut picture, |x, y, v| {
        let (x, y) = (f64::from(x), f64::from(y));
        if covered(x, y) { 120.0 + 25.0 * libm::sin(x / 9.0) * libm::cos(y / 7.0) } else { v }
    });
    assert_eq!(read(&jpeg(&picture, 85)), [TEXT]);
}

#[test]
fn a_code_is_held_against_the_pack() {
    let (pack, json) = crate::issuing::pack_of(crate::support::job_text("D-2201-P4"));
    let checksum = cutback::issuing::sha256(&json);
    let of = |code: &str| Card::new(code, &pack, &checksum).of;
    let code = label_code(&pack, &checksum, "filler-L1");
    assert_eq!(of(&code), CardOf::Ours("filler-L1".into()));
    assert_eq!(of(&code.replace("L1", "L2")), CardOf::NoCard, "the check digits are another's");
    assert!(matches!(of(&label_code(&pack, "0123456789", "filler-L1")), CardOf::OtherPack(_)));
    assert!(matches!(of(&label_code(&pack, &checksum, "filler-L4")), CardOf::Unknown(_)));
    // Cards were once printed in small letters: those of a pack in force still count.
    assert_eq!(
        Card::new("CB1/D-2201/P4/TX2-HV/644ff8e7/filler-L1/20", &pack, "644ff8e7aa").of,
        CardOf::Ours("filler-L1".into())
    );
    let mut other = pack.clone();
    other.job.end = "TX3-HV".into();
    assert!(matches!(of(&label_code(&other, &checksum, "filler-L1")), CardOf::OtherEnd(_)));
}

#[test]
fn every_card_in_a_picture_is_read() {
    let mut picture = scene(1200, 900, 5);
    let texts = [TEXT, "CB1/D-2201/P4/TX2-HV/644ff8e7/filler-L2/11", "a code of something else"];
    for (i, text) in texts.iter().enumerate() {
        let at = (0.17 + 0.33 * i as f64, 0.15 + 0.2 * i as f64);
        lay(&mut picture, text, Lie { at, side: 0.12, turn: 40.0 * i as f64, tilt: 10.0 });
    }
    let mut found = read(&jpeg(&picture, 85));
    found.sort();
    let mut all = texts.map(String::from).to_vec();
    all.sort();
    assert_eq!(found, all);
}

#[test]
fn nothing_is_read_where_nothing_is() {
    for seed in 0..4 {
        assert!(read(&jpeg(&scene(1200, 900, seed), 85)).is_empty());
    }
    let mut hidden = scene(1200, 900, 9);
    lay(&mut hidden, TEXT, STRAIGHT);
    // Half of the code covered: no error correction brings it back.
    through(&mut hidden, |_, y, v| if y > 420 { 120.0 } else { v });
    assert!(read(&jpeg(&hidden, 85)).is_empty());
}

#[test]
fn alike_pictures_are_told_from_others() {
    let mut one = scene(1200, 900, 1);
    lay(&mut one, TEXT, STRAIGHT);
    let mut other = scene(1200, 900, 0x9e37_79b9);
    lay(&mut other, TEXT, Lie { at: (0.7, 0.5), side: 0.3, turn: 70.0, tilt: 0.0 });
    let (a, b, c) = (look(&jpeg(&one, 90), true), look(&jpeg(&one, 30), true), look(&jpeg(&other, 90), true));
    assert!(a.alike(&b) && !a.alike(&c), "{a} {b} {c}");
    // As it is written into a record and read again.
    assert_eq!(Likeness::read(&a.to_string()), Some(a));
    let whole = look(&jpeg(&one, 90), false);
    assert_eq!(whole.to_string().len(), 16, "nothing covered, nothing to say of it");
    assert_eq!(Likeness::read(&whole.to_string()), Some(whole));
    for wrong in
        ["", "12", "f2a74de452e6b4389", "f2a74de452e6b438/", "f2a74de452e6b438/12", "+2a74de452e6b438"]
    {
        assert_eq!(Likeness::read(wrong), None, "{wrong}");
    }
}

/// The hash of a picture, with the cards drawn in it taken out or left in.
fn look(bytes: &[u8], without_cards: bool) -> Likeness {
    let gray = decode(bytes, MOST).expect("a picture").gray;
    let drawn = Beyond { left: 1.45, right: 0.3, above: 0.3, below: 0.3 };
    let cards: Vec<_> = codes(&gray).iter().filter_map(|c| c.printed_on(drawn)).collect();
    assert!(!cards.is_empty(), "a card to take out");
    let hash = likeness(&gray, if without_cards { &cards } else { &[] }).expect("a hash");
    Likeness { bits: hash.bits, counted: hash.counted }
}

/// A dull scene, a bright card: left in, the card decides.
#[test]
fn a_card_makes_no_two_pictures_alike() {
    let with = |seed: u32, text: &str, lie: Lie| {
        let mut picture = scene(1200, 900, seed);
        // Wide shades, as of a cable before sheeting, with a grain upon them.
        through(&mut picture, |x, y, v| {
            let (x, y, s) = (f64::from(x) / 300.0, f64::from(y) / 300.0, f64::from(seed));
            70.0 + 25.0 * libm::sin(x * 1.7 + s)
                + 25.0 * libm::cos(y * 2.3 - x + 2.0 * s)
                + (v - 120.0) * 0.03
        });
        lay(&mut picture, text, lie);
        jpeg(&picture, 85)
    };
    let other_text = "CB1/D-2201/P4/TX2-HV/644ff8e7/filler-L2/11";
    let big = Lie { at: (0.6, 0.4), side: 0.22, ..STRAIGHT };
    let moved = Lie { at: (0.57, 0.36), side: 0.2, turn: 8.0, tilt: 5.0 };
    let mut fooled = 0;
    for seed in 0..6 {
        let (one, same) = (with(seed, TEXT, big), with(seed, other_text, moved));
        assert!(look(&one, true).alike(&look(&same, true)), "scene {seed} with another card");
        let other = with(seed + 20, TEXT, big);
        assert!(!look(&one, true).alike(&look(&other, true)), "scenes {seed} and {}", seed + 20);
        fooled += u32::from(!look(&one, false).alike(&look(&same, false)));
        fooled += u32::from(look(&one, false).alike(&look(&other, false)));
    }
    assert!(fooled >= 3, "with the cards left in {fooled} of 12 would go wrong: else this test says little");
}

#[test]
fn broken_files_are_said_to_be() {
    let mut picture = scene(400, 300, 2);
    lay(&mut picture, TEXT, STRAIGHT);
    let (jpeg, png) = (jpeg(&picture, 85), png(&picture));
    assert_eq!(decode(b"", MOST).unwrap_err(), NotDecoded::OtherKind);
    assert_eq!(decode(b"GIF89a", MOST).unwrap_err(), NotDecoded::OtherKind);
    for whole in [&jpeg, &png] {
        assert!(!decode(whole, MOST).expect("whole").cut_short);
        assert_eq!(decode(whole, 1000).unwrap_err(), NotDecoded::TooLarge { width: 400, height: 300 });
        // Cut anywhere: an error or a picture marked as cut short, never a panic.
        for end in (0..whole.len() - 2).step_by(whole.len() / 60) {
            if let Ok(part) = decode(&whole[..end], MOST) {
                assert!(part.cut_short, "cut at {end} of {}", whole.len());
            }
        }
        // Any byte changed: an error or a picture, never a panic.
        for at in (0..whole.len()).step_by(whole.len() / 150) {
            let mut bent = whole.clone();
            bent[at] ^= 0x55;
            if let Ok(picture) = decode(&bent, MOST)
                && at % 20 == 0
            {
                codes(&picture.gray);
            }
        }
    }
}
