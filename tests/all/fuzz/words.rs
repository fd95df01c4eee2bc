//! The smallest readers: one quantity, one label.

use super::{run, spoilt};
use crate::record_verify::PACKS;
use crate::support::Dice;
use cutback::photos::{Card, CardOf};
use cutback::procedure::{label_code, read_label};
use cutback::units::{Dimension, Quantity, Range};

#[test]
fn quantities_and_ranges() {
    let mut dice = Dice(0xf1a5);
    let seeds = ["640 mm", "22 kV rms", "24.0 to 34.0 mm", "-3 C", "0.27 uF/km", "60 N.m", "1.2 m"];
    let mut read = 0;
    run("quantities", 10.0, |_| {
        let seed = *dice.one(&seeds);
        let text = spoilt(&mut dice, seed);
        for dimension in Dimension::ALL {
            if let Ok(quantity) = Quantity::parse(&text, dimension) {
                read += 1;
                // Shown and read again it is the same figure.
                let again = Quantity::parse(&quantity.to_string(), dimension).expect("reads itself");
                let near = (again.base() - quantity.base()).abs() <= 1e-6 * quantity.base().abs().max(1.0);
                assert!(near && quantity.base().is_finite(), "{text:?}: {quantity} and {again}");
            }
            if let Ok(range) = Range::parse(&text, dimension) {
                assert!(range.low.base() <= range.high.base(), "{text:?}");
            }
        }
    });
    assert!(read > 100, "only {read} were read");
}

/// Two characters wrong may fit the check digits by chance, one in 97; a text that
/// reads is then another card's, never half of one.
#[test]
fn codes_of_label_cards() {
    let mut dice = Dice(0x1abe);
    let (pack, checksum) = &PACKS["D-2201-P4"];
    let codes: Vec<String> =
        pack.labels.cards.iter().map(|card| label_code(pack, checksum, &card.id)).collect();
    let (mut same, mut other) = (0usize, 0usize);
    run("label codes", 10.0, |_| {
        let code = dice.one(&codes).clone();
        let text = spoilt(&mut dice, &code);
        let of = Card::new(&text, pack, checksum).of;
        assert_eq!(read_label(&text).is_none(), of == CardOf::NoCard, "{text:?}");
        match of {
            CardOf::Ours(id) => {
                assert!(pack.labels.cards.iter().any(|card| card.id == id), "{text:?}");
                // Written again from what was read it is the same text, but for what the
                // code shortens.
                assert_eq!(label_code(pack, checksum, &id), text);
                same += 1;
            }
            CardOf::NoCard => {}
            CardOf::OtherEnd(_) | CardOf::OtherPack(_) | CardOf::Unknown(_) => other += 1,
        }
    });
    assert!(same > 100, "only {same} were ours ({other} another's)");
}
