//! What is read, what is refused, and that conversions agree with pint 0.25.3.
use proptest::prelude::*;

use super::{Dimension, Quantity, Unit};

fn unit(symbol: &str) -> Unit {
    Unit::find(symbol).unwrap_or_else(|| panic!("no unit {symbol}"))
}

fn read(text: &str, default: &str) -> Result<Quantity, String> {
    let default = (!default.is_empty()).then(|| unit(default));
    Quantity::parse(text, default).map_err(|error| error.to_string())
}

#[test]
fn reads_what_a_person_types() {
    let rows = [
        ("52psi", "bar", 52.0, "psi"),
        ("52 psi", "", 52.0, "psi"),
        ("3,6 bar", "kPa", 3.6, "bar"),
        ("11.9", "V", 11.9, "V"),
        ("-5 °C", "°C", -5.0, "°C"),
        ("\u{2212}5 °C", "°C", -5.0, "°C"),
        ("20degC", "°C", 20.0, "°C"),
        ("20 deg C", "°C", 20.0, "°C"),
        ("68F", "°C", 68.0, "°F"),
        ("293.15 K", "°C", 293.15, "K"),
        ("43.5psi", "bar", 43.5, "psi"),
        ("43.5 PSI", "bar", 43.5, "psi"),
        ("12AWG", "mm2", 12.0, "AWG"),
        ("AWG 12", "mm2", 12.0, "AWG"),
        ("awg12", "mm2", 12.0, "AWG"),
        ("00 AWG", "mm2", -1.0, "AWG"),
        ("4/0 AWG", "mm2", -3.0, "AWG"),
        ("4/0AWG", "", -3.0, "AWG"),
        ("AWG 4/0", "", -3.0, "AWG"),
        ("0000 AWG", "", -3.0, "AWG"),
        ("1/0 AWG", "", 0.0, "AWG"),
        ("0 AWG", "", 0.0, "AWG"),
        ("-3 AWG", "", -3.0, "AWG"),
        ("4/0", "AWG", -3.0, "AWG"),
        ("00", "AWG", -1.0, "AWG"),
        ("0", "AWG", 0.0, "AWG"),
        ("00", "V", 0.0, "V"),
        ("2.5 mm2", "AWG", 2.5, "mm²"),
        ("2,5mm²", "AWG", 2.5, "mm²"),
        ("0.68kg/L", "kg/m3", 0.68, "kg/L"),
        ("4.7ohm", "ohm", 4.7, "Ω"),
        ("4.7 \u{2126}", "ohm", 4.7, "Ω"),
        ("15 mohm", "ohm", 15.0, "mΩ"),
        ("1e-3", "V", 1e-3, "V"),
        ("8.3E-4 Pa m3/s", "", 8.3e-4, "Pa·m³/s"),
        ("1 000 psi", "bar", 1000.0, "psi"),
        ("1\u{2009}000\u{202f}psi", "bar", 1000.0, "psi"),
        ("12 345 678,5 Pa", "", 12_345_678.5, "Pa"),
        ("٣٫٦ bar", "", 3.6, "bar"),
        ("۱٬۲۳۴٫۵ rpm", "", 1234.5, "rpm"),
        ("3٫600 bar", "", 3.6, "bar"),
        ("1,234.5 rpm", "", 1234.5, "rpm"),
        ("1.234,5 rpm", "", 1234.5, "rpm"),
        ("1,234,567 Pa", "", 1_234_567.0, "Pa"),
        ("0,125 bar", "", 0.125, "bar"),
        ("1234,567 Pa", "", 1234.567, "Pa"),
        (".5 V", "", 0.5, "V"),
        ("+12 V", "", 12.0, "V"),
        ("-0", "V", 0.0, "V"),
        ("9 Nm", "N·m", 9.0, "N·m"),
        ("9 N m", "N·m", 9.0, "N·m"),
        ("9 lbf ft", "N·m", 9.0, "lbf·ft"),
        ("9 ft-lb", "N·m", 9.0, "lbf·ft"),
        ("210 cc/min", "ml/min", 210.0, "ml/min"),
        ("0.5 mPa s", "", 0.5, "mPa·s"),
        ("0.5 lb/hp h", "g/kWh", 0.5, "lb/hp·h"),
        ("3 %", "1", 3.0, "%"),
        ("0.8", "", 0.8, "1"),
        ("3000 1/min", "rpm", 3000.0, "rpm"),
        ("2 scc/s", "", 2.0, "std cm³/s"),
    ];
    for (text, default, value, symbol) in rows {
        let quantity = read(text, default).unwrap_or_else(|error| panic!("{text}: {error}"));
        assert_eq!(
            (quantity.value(), quantity.unit().symbol()),
            (value, symbol),
            "{text}"
        );
        assert!(
            quantity.value().is_sign_positive() || quantity.value() < 0.0,
            "{text} is a negative zero"
        );
    }
}

#[test]
fn refuses_with_a_sentence() {
    let rows = [
        ("", "V", "found nothing, expected a number, a voltage: V, mV"),
        ("  ", "", "found nothing, expected a number"),
        ("NaN", "", "found `NaN`, expected a number in decimal digits"),
        (
            "inf V",
            "V",
            "found `inf V`, expected a number in decimal digits, a voltage: V, mV",
        ),
        ("½ in", "", "found `½ in`, expected a number in decimal digits"),
        (
            "1,000 psi",
            "psi",
            "found `1,000`, which may mean 1.000 or 1000: write 1.000 or 1000",
        ),
        ("1,2,3", "", "found `1,2,3`, expected a number in decimal digits"),
        ("12,", "V", "found `12,`, expected a number in decimal digits"),
        ("1..5", "V", "found `1..5`, expected a number in decimal digits"),
        ("1e999 V", "V", "found `1e999`, expected a finite number"),
        ("1e307 MPa", "bar", "found `1e307 MPa`, expected a finite number"),
        ("0x10", "V", "found the unit `x10`, expected a voltage: V, mV"),
        ("5-10 V", "V", "found the unit `-10 V`, expected a voltage: V, mV"),
        (
            "12 mPa",
            "MPa",
            "found the unit `mPa`, expected a pressure: Pa, hPa, kPa, MPa, bar",
        ),
        ("52 psig", "psi", "found the unit `psig`, expected a pressure"),
        (
            "5 m s",
            "s",
            "found the unit `m s`, expected a time: s, ms, min, h",
        ),
        (
            "1 0000 V",
            "V",
            "found the unit `0000 V`, expected a voltage: V, mV",
        ),
        (
            "3 V",
            "bar",
            "found 3 V, expected a pressure: Pa, hPa, kPa, MPa, bar, mbar, psi",
        ),
        ("3 V", "1", "found 3 V, expected a plain number, or one in %, ppm"),
        (
            "99 AWG",
            "mm2",
            "found 99 AWG, expected a wire size from 4/0 AWG to 56 AWG",
        ),
        (
            "5/0 AWG",
            "mm2",
            "found 5/0 AWG, expected a wire size from 4/0 AWG to 56 AWG",
        ),
        (
            "00000 AWG",
            "",
            "found 00000 AWG, expected a wire size from 4/0 AWG to 56 AWG",
        ),
        (
            "thick AWG",
            "mm2",
            "found `thick AWG`, expected a number in decimal digits, an area",
        ),
    ];
    for (text, default, sentence) in rows {
        let error = read(text, default).expect_err(text);
        assert!(error.starts_with(sentence), "{text}: {error}");
    }
    let long = "1".repeat(65);
    assert_eq!(
        read(&long, "").unwrap_err(),
        "found 65 characters, expected a number and its unit in at most 64"
    );
    assert!(Quantity::new(f64::NAN, unit("V")).is_err());
    assert!(Quantity::from_si(f64::INFINITY, unit("V")).is_err());
    assert!(
        Quantity::from_si(-1.0, unit("AWG")).is_err(),
        "no gauge has a negative area"
    );
}

/// Independent rows: pint 0.25.3, each to the last digit that was kept.
#[test]
fn converts_as_pint_does() {
    let rows = [
        ("3.0 bar", "psi", 43.511321, 5e-7),
        ("43.5 psi", "bar", 2.999219, 5e-7),
        ("58 psi", "bar", 3.998959, 5e-7),
        ("1000 psi", "bar", 68.947573, 5e-7),
        ("900 psi", "bar", 62.052816, 5e-7),
        ("1 psi", "Pa", 6894.757293, 5e-7),
        ("1 atm", "Pa", 101_325.0, 1e-9),
        ("1 lb", "kg", 0.45359237, 1e-15),
        ("1 hp", "W", 745.699872, 5e-7),
        ("1 lb/(hp h)", "g/kWh", 608.2774, 5e-5),
        ("1 in-lb", "Nm", 0.112984829, 5e-10),
        ("1 ft-lb", "Nm", 1.355817948, 5e-10),
        ("1 scc/s", "Pa m3/s", 0.101325, 1e-15),
        ("1 mbar l/s", "Pa m3/s", 0.1, 1e-15),
        ("68 °F", "°C", 20.0, 1e-12),
        ("-40 °F", "°C", -40.0, 1e-12),
        ("20 °C", "K", 293.15, 1e-12),
        ("150 l/h", "ml/min", 2500.0, 1e-9),
    ];
    for (from, to, expected, within) in rows {
        let found = read(from, "").unwrap().to(unit(to)).unwrap().value();
        assert!(
            (found - expected).abs() <= within,
            "{from} is {found} {to}, expected {expected}"
        );
    }
}

/// Independent rows: ASTM B258's formula in Python, as mm² to four decimals.
#[test]
fn a_gauge_is_an_area() {
    let rows = [
        (0, 53.4751),
        (2, 33.6308),
        (8, 8.3656),
        (10, 5.2612),
        (12, 3.3088),
        (18, 0.8230),
        (22, 0.3255),
    ];
    for (gauge, area_mm2) in rows {
        let found = read(&format!("{gauge} AWG"), "")
            .unwrap()
            .to(unit("mm2"))
            .unwrap();
        assert!((found.value() - area_mm2).abs() <= 5e-5, "{gauge} AWG is {found}");
        let back = found.to(unit("AWG")).unwrap();
        assert!(
            (back.value() - f64::from(gauge)).abs() < 1e-9,
            "{found} is {back}"
        );
    }
}

/// The sizes thicker than 1 AWG print by their names, and the names read back.
#[test]
fn a_thick_gauge_prints_its_name() {
    for (number, name) in [
        (0.0, "1/0 AWG"),
        (-1.0, "2/0 AWG"),
        (-2.0, "3/0 AWG"),
        (-3.0, "4/0 AWG"),
    ] {
        let gauge = Quantity::new(number, unit("AWG")).unwrap();
        assert_eq!(
            (gauge.to_string(), gauge.shown(4)),
            (name.to_string(), name.to_string())
        );
        assert_eq!(read(name, "").unwrap(), gauge);
        let through_area = gauge.to(unit("mm2")).unwrap().to(unit("AWG")).unwrap();
        assert_eq!(through_area.shown(4), name);
    }
    assert_eq!(read("12 AWG", "").unwrap().to_string(), "12 AWG");
    assert_eq!(
        read("2.5 mm2", "").unwrap().to(unit("AWG")).unwrap().shown(3),
        "13.2 AWG"
    );
}

#[test]
fn shows_digits_that_a_workshop_can_use() {
    let rows = [
        ("43.511321 psi", 3, "43.5 psi"),
        ("2095.4 rpm", 2, "2095 rpm"),
        ("52 psi", 3, "52 psi"),
        ("1000 psi", 3, "1000 psi"),
        ("0.000833333 Pa·m³/s", 3, "0.000833 Pa·m³/s"),
        ("8.333e-7 Pa·m³/s", 2, "8.3e-7 Pa·m³/s"),
        ("9.996 V", 3, "10 V"),
        ("0.62", 3, "0.62"),
        ("0 V", 3, "0 V"),
        ("-3.14159 V", 3, "-3.14 V"),
    ];
    for (text, digits, expected) in rows {
        assert_eq!(read(text, "").unwrap().shown(digits), expected);
    }
}

#[test]
fn a_difference_has_no_zero_point() {
    assert_eq!(read("2 °C", "").unwrap().difference_si(), 2.0);
    assert_eq!(read("9 °F", "").unwrap().difference_si(), 5.0);
    assert_eq!(read("2 K", "").unwrap().difference_si(), 2.0);
    assert_eq!(read("2 bar", "").unwrap().difference_si(), 2e5);
}

#[test]
fn every_symbol_finds_its_own_unit() {
    for unit in Unit::all() {
        assert_eq!(Unit::find(unit.symbol()), Some(unit));
        assert_eq!(
            Unit::find(&super::text::normal_symbol(unit.symbol())),
            Some(unit),
            "{unit}"
        );
        assert!(unit.dimension().units().any(|other| other == unit));
    }
    assert_eq!(Unit::find(""), None);
    assert_eq!(Unit::find("K").map(Unit::dimension), Some(Dimension::Temperature));
}

proptest! {
    #[test]
    fn what_is_printed_reads_back(value in -1e30_f64..1e30, small in -1.0_f64..1.0, index in 0_usize..200) {
        let units: Vec<Unit> = Unit::all().filter(|unit| !unit.is_gauge()).collect();
        let unit = units[index % units.len()];
        for value in [value, small, small * 1e-9] {
            let quantity = Quantity::new(value, unit).unwrap();
            prop_assert_eq!(Quantity::parse(&quantity.to_string(), None), Ok(quantity));
            prop_assert!(Quantity::parse(&quantity.shown(4), None).is_ok());
            let back = Quantity::from_si(quantity.si(), unit).unwrap();
            prop_assert!((back.value() - value).abs() <= 1e-12 * value.abs().max(1e3));
        }
    }

    #[test]
    fn nothing_typed_panics(text in "\\PC{0,70}") {
        let _ = Quantity::parse(&text, None);
        let _ = Quantity::parse(&text, Unit::find("bar"));
    }

    #[test]
    fn near_numbers_never_panic(text in "[-+0-9., eEAWGawg/ΩmpVk\u{2212}]{0,20}") {
        if let Ok(quantity) = Quantity::parse(&text, None) {
            prop_assert!(quantity.value().is_finite() && quantity.si().is_finite());
        }
    }
}
