//! Rows are taken or refused with a sentence, and the shipped ones keep their order.
use std::collections::BTreeMap;

use super::{Table, Tables};
use crate::quantity::Quantity;

fn row(cells: &[(&str, &str)]) -> BTreeMap<String, String> {
    cells
        .iter()
        .map(|(column, text)| ((*column).to_string(), (*text).to_string()))
        .collect()
}

#[test]
fn a_bad_row_is_refused_with_what_is_allowed() {
    let fuse = |rating, mark| {
        row(&[
            ("rating", rating),
            ("colour", "red"),
            ("source", "a chart"),
            ("mark", mark),
        ])
    };
    let clamp = row(&[("kind", "worm"), ("least", "12 mm"), ("most", "8 mm")]);
    let cases = [
        (
            "fuses",
            fuse("10 A", "seen"),
            "there is no table `fuses`; there are wire, ampacity, bundle, fuse, ",
        ),
        (
            "fuse",
            row(&[("size", "10 A")]),
            "table `fuse` has no column `size`; it has rating, colour, source, mark",
        ),
        (
            "fuse",
            row(&[("rating", "10 A")]),
            "a row of table `fuse` has no `colour`",
        ),
        (
            "fuse",
            fuse("10 V", "seen"),
            "table `fuse`, column `rating`: found 10 V, expected a current: A, mA",
        ),
        (
            "fuse",
            fuse("10", "seen"),
            "table `fuse`, column `rating`: found 10, expected a current: A, mA",
        ),
        (
            "fuse",
            fuse("ten", "seen"),
            "table `fuse`, column `rating`: found `ten`, expected a number",
        ),
        (
            "fuse",
            fuse("10 A", "sure"),
            "table `fuse`, column `mark`: found `sure`, expected one of seen, second-hand, memory, computed, practice",
        ),
        (
            "clamp",
            clamp,
            "table `clamp`, column `most`: found 8 mm, expected no less than `least`, 12 mm",
        ),
    ];
    for (table, cells, sentence) in cases {
        let error = Tables::from_rows([(table, cells)]).unwrap_err().to_string();
        assert!(error.starts_with(sentence), "{error}");
    }
}

#[test]
fn every_table_has_its_name_and_its_columns() {
    for table in Table::ALL {
        assert_eq!(Table::find(table.name()), Ok(*table));
        let columns: Vec<&str> = table.columns().iter().map(|(column, _)| *column).collect();
        assert!(columns.ends_with(&["source", "mark"]), "{columns:?}");
    }
}

/// Every shipped table has rows; a bigger wire never resists more, carries less or holds less copper, and no
/// factor or derating exceeds 1 or rises.
#[test]
fn the_shipped_rows_are_in_order() {
    let tables = Tables::shipped();
    let gauges = tables
        .wires
        .iter()
        .filter(|wire| wire.gauge.unit().is_gauge())
        .count();
    assert_eq!((gauges, tables.wires.len()), (11, 20));
    for family in tables.wires.chunk_by(|a, b| a.gauge.unit() == b.gauge.unit()) {
        let mut wires: Vec<_> = family.iter().collect();
        wires.sort_by(|a, b| a.gauge.si().total_cmp(&b.gauge.si()));
        for pair in wires.windows(2) {
            assert!(pair[0].least_area.si() < pair[1].least_area.si(), "{:?}", pair[1]);
            assert!(
                pair[0].most_resistance.si() > pair[1].most_resistance.si(),
                "{:?}",
                pair[1]
            );
        }
        // The greatest resistance lies above that of pure copper of the nominal area (1.7241e-8 Ω·m).
        assert!(
            wires
                .iter()
                .all(|wire| wire.most_resistance.si() * wire.gauge.si() >= 1.7240e-8)
        );
    }
    for derating in [&tables.fuse_deratings, &tables.tube_deratings] {
        assert!(
            derating
                .windows(2)
                .all(|pair| pair[0].factor.si() >= pair[1].factor.si())
        );
        assert!(derating.iter().all(|row| (0.0..=1.0).contains(&row.factor.si())));
    }
    for count in 1..=200 {
        let factor = tables.bundle_factor(f64::from(count)).unwrap();
        assert!((0.4..=1.0).contains(&factor) && factor <= tables.bundle_factor(1.0).unwrap());
    }
    assert!(!tables.clamps.is_empty() && !tables.hose_classes.is_empty() && !tables.flares.is_empty());
    assert!(!tables.fuses.is_empty() && !tables.fuse_times.is_empty() && !tables.pipe_threads.is_empty());
}

#[test]
fn a_derating_is_never_extrapolated() {
    let tables = Tables::shipped();
    // A maker's sheet: 0.85 at 65 °C, 0.75 at 85 °C, straight between.
    assert!((tables.fuse_derating(75.0).unwrap() - 0.80).abs() < 1e-12);
    assert_eq!(tables.fuse_derating(-40.0), Ok(1.0));
    let error = tables.fuse_derating(126.0).unwrap_err().to_string();
    assert_eq!(
        error,
        "table `fuse-derating` has no row for 126 °C; it has -40 °C, 25 °C, 65 °C, 85 °C, 110 °C, 125 °C"
    );
}

#[test]
fn a_wire_is_found_by_its_own_name_only() {
    let tables = Tables::shipped();
    let find = |text: &str| {
        tables
            .wire(Quantity::parse(text, None).unwrap())
            .map(|wire| wire.gauge.to_string())
    };
    assert_eq!(find("12 AWG"), Some("12 AWG".to_string()));
    assert_eq!(find("2.5 mm2"), Some("2.5 mm²".to_string()));
    assert_eq!(find("0.025 cm2"), Some("2.5 mm²".to_string()));
    assert_eq!(find("13 AWG"), None);
    assert_eq!(find("3.3088 mm2"), None);
}

/// Under each name the highest resistance is that of the least area in pure copper or more, and of the nominal area
/// too: otherwise the worst wire would be better than one that is sold. 0.1 % is left to the table's last digits.
#[test]
fn no_wire_is_worse_than_its_worst() {
    const COPPER_OHM_M: f64 = 1.7241e-8;
    for wire in &Tables::shipped().wires {
        let area_m2 = wire.least_area.si().min(wire.gauge.si());
        let share = wire.most_resistance.si() / (COPPER_OHM_M / area_m2);
        assert!(share > 0.999, "{}: {share}", wire.gauge);
    }
}
