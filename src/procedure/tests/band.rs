use super::*;
use crate::procedure::band::{Verdict, compare, resolve};
use crate::procedure::model::{Band, Operand, Shift, Tolerance};
use crate::quantity::Unit;
use std::cmp::Ordering;

fn fixed(text: &str) -> Operand {
    Operand::Fixed(Value::Quantity(quantity(text)))
}

fn word(text: &str) -> Operand {
    Operand::Fixed(Value::Text(text.to_owned()))
}

fn refer(field: &str) -> Operand {
    Operand::Refer(card(field))
}

fn shifted(field: &str, by: Shift) -> Operand {
    Operand::Shifted { of: card(field), by }
}

fn least(operands: Vec<Operand>) -> Band {
    Band {
        at_least: operands,
        ..Band::default()
    }
}

fn most(operands: Vec<Operand>) -> Band {
    Band {
        at_most: operands,
        ..Band::default()
    }
}

fn around(middle: Operand, within: Tolerance) -> Band {
    Band {
        around: Some((middle, within)),
        ..Band::default()
    }
}

#[track_caller]
fn judged(band: &Band, value: &str) -> Verdict {
    resolve(band, &lookup)
        .unwrap()
        .judge(&Value::Quantity(quantity(value)))
}

#[track_caller]
fn worded(band: &Band, value: Value) -> Verdict {
    resolve(band, &lookup).unwrap().judge(&value)
}

#[test]
fn a_limit_itself_is_in() {
    let two_psi = || Tolerance::Absolute(quantity("2 psi"));
    let rows = [
        (around(refer("trip"), two_psi()), "33 psi", Verdict::In),
        (around(refer("trip"), two_psi()), "37 psi", Verdict::In),
        (around(refer("trip"), two_psi()), "32.999999 psi", Verdict::Below),
        (around(refer("trip"), two_psi()), "37.000001 psi", Verdict::Above),
        (
            around(fixed("2.4 bar"), Tolerance::Share(0.1)),
            "2.16 bar",
            Verdict::In,
        ),
        (
            around(fixed("2.4 bar"), Tolerance::Share(0.1)),
            "264 kPa",
            Verdict::In,
        ),
        (
            around(fixed("2.4 bar"), Tolerance::Share(0.1)),
            "2.65 bar",
            Verdict::Above,
        ),
        (
            around(refer("oil"), Tolerance::Absolute(quantity("5 K"))),
            "65 °C",
            Verdict::In,
        ),
        (
            around(refer("oil"), Tolerance::Absolute(quantity("5 °C"))),
            "54.9 °C",
            Verdict::Below,
        ),
        (
            around(fixed("-10 V"), Tolerance::Share(0.1)),
            "-11 V",
            Verdict::In,
        ),
        (least(vec![fixed("0.3 bar")]), "30 kPa", Verdict::In),
        (least(vec![fixed("0.3 bar")]), "29.999 kPa", Verdict::Below),
        (
            most(vec![shifted("third", Shift::Times(3.0))]),
            "0.3 V",
            Verdict::In,
        ),
        (
            least(vec![shifted("third", Shift::Times(3.0))]),
            "0.3 V",
            Verdict::In,
        ),
        (
            most(vec![shifted("fuse", Shift::Times(0.75))]),
            "18.75 A",
            Verdict::In,
        ),
        (
            most(vec![shifted("fuse", Shift::Times(0.75))]),
            "18.76 A",
            Verdict::Above,
        ),
        (
            least(vec![shifted("trip", Shift::Plus(quantity("0.1 bar")))]),
            "36.4 psi",
            Verdict::Below,
        ),
        (
            least(vec![shifted("trip", Shift::Minus(quantity("5 psi")))]),
            "30 psi",
            Verdict::In,
        ),
    ];
    for (band, value, expected) in rows {
        assert_eq!(judged(&band, value), expected, "{value} against {band:?}");
    }
}

#[test]
fn the_strictest_of_several_limits_counts() {
    let band = Band {
        at_most: vec![
            fixed("20 A"),
            shifted("fuse", Shift::Times(0.75)),
            fixed("19000 mA"),
        ],
        at_least: vec![fixed("1 A"), fixed("2 A")],
        ..Band::default()
    };
    let limits = resolve(&band, &lookup).unwrap();
    assert_eq!(limits.low, Some(quantity("2 A")));
    assert_eq!(limits.high, Some(quantity("18.75 A")));
    assert_eq!(
        limits.origin,
        "at least 1 A; at least 2 A; at most 20 A; at most card.g.fuse × 0.75 (18.75 A); at most 19000 mA"
    );
}

#[test]
fn a_thicker_wire_is_more_though_its_number_is_less() {
    let band = least(vec![refer("wire")]);
    assert_eq!(judged(&band, "10 AWG"), Verdict::In);
    assert_eq!(judged(&band, "12 AWG"), Verdict::In);
    assert_eq!(judged(&band, "14 AWG"), Verdict::Below);
    assert_eq!(judged(&band, "2.5 mm²"), Verdict::Below);
    assert_eq!(
        judged(&least(vec![shifted("wire", Shift::Times(0.5))]), "1.7 mm²"),
        Verdict::In
    );
}

#[test]
fn words_are_among_or_not() {
    let equals = |operand| Band {
        equals: Some(operand),
        ..Band::default()
    };
    let flare = || Value::Text("flare".to_owned());
    assert_eq!(worded(&equals(refer("style")), flare()), Verdict::In);
    assert_eq!(worded(&equals(word("quick")), flare()), Verdict::NotAmong);
    assert_eq!(
        worded(&equals(Operand::Fixed(Value::Flag(true))), Value::Flag(true)),
        Verdict::In
    );
    assert_eq!(
        worded(&equals(refer("turbo")), Value::Flag(false)),
        Verdict::NotAmong
    );
    let both = Band {
        one_of: vec!["quick".into()],
        ..equals(refer("style"))
    };
    assert_eq!(worded(&both, flare()), Verdict::NotAmong);
    let one_of = Band {
        one_of: vec!["quick".into(), "flare".into()],
        ..Band::default()
    };
    assert_eq!(worded(&one_of, flare()), Verdict::In);
}

#[test]
fn a_value_of_another_kind_is_never_in() {
    assert_eq!(judged(&least(vec![fixed("1 A")]), "5 V"), Verdict::NotAmong);
    assert_eq!(
        worded(&least(vec![fixed("1 A")]), Value::Flag(true)),
        Verdict::NotAmong
    );
}

#[test]
fn what_cannot_be_known_is_said() {
    let rows = [
        (least(vec![refer("nowhere")]), "card.g.nowhere is not known yet"),
        (
            least(vec![refer("style")]),
            "card.g.style is flare, and a quantity is needed",
        ),
        (
            least(vec![shifted("fuse", Shift::Plus(quantity("1 V")))]),
            "the shift of card.g.fuse is a voltage, and a current is needed",
        ),
        (
            around(refer("fuse"), Tolerance::Absolute(quantity("1 V"))),
            "1 V is a voltage, and a current is needed",
        ),
        (
            least(vec![fixed("1 V"), refer("fuse")]),
            "25 A is a current, and a voltage is needed",
        ),
        (
            least(vec![shifted("largest", Shift::Times(1e300))]),
            &format!("card.g.largest × {} gives no finite value", 1e300),
        ),
    ];
    for (band, sentence) in rows {
        assert_eq!(resolve(&band, &lookup).unwrap_err().to_string(), sentence);
    }
}

proptest::proptest! {
    #[test]
    fn a_reading_is_at_its_own_limit(value in -1e6_f64..1e6, index in 0_usize..200) {
        let units: Vec<_> = crate::quantity::Unit::all().filter(|unit| !unit.is_gauge()).collect();
        let unit = units[index % units.len()];
        let one = Quantity::new(value, unit).unwrap();
        let other = units.iter().find(|other| other.dimension() == unit.dimension()).unwrap();
        proptest::prop_assert_eq!(compare(one, one), Ordering::Equal);
        proptest::prop_assert_eq!(compare(one, one.to(*other).unwrap()), Ordering::Equal);
    }
}

#[test]
fn a_band_whose_limits_stand_in_it_needs_no_origin() {
    let psi = Unit::find("psi");
    let both = Band {
        at_least: vec![fixed("33 psi")],
        ..most(vec![fixed("37 psi")])
    };
    assert!(both.says_itself(psi) && both.says_itself(None));
    assert!(
        !both.says_itself(Unit::find("bar")),
        "the origin tells the author's unit"
    );
    let equals = |operand| Band {
        equals: Some(operand),
        ..Band::default()
    };
    assert!(equals(word("yes")).says_itself(None));
    assert!(!equals(refer("supply")).says_itself(None));
    assert!(!least(vec![refer("trip")]).says_itself(psi));
    assert!(!around(fixed("35 psi"), Tolerance::Share(0.1)).says_itself(psi));
}
