use crate::procedure::register;

const GAUGE: &str = "\
register:
  - id: gauge-1
    kind: pressure-gauge
    name: Fuel gauge
    serial: 007
    range: { from: 0 bar, to: 10 bar }
    resolution: 0.5 psi
    calibrated: 2026-03-02
    due: 2027-03-02
";

#[test]
fn an_instrument_keeps_what_was_written() {
    let register = register(GAUGE).unwrap();
    assert_eq!(register.len(), 1);
    assert_eq!(
        (register[0].serial.as_str(), register[0].to.to_string().as_str()),
        ("007", "10 bar")
    );
}

/// A row with another key below the resolution.
fn below(key: &str, value: &str, expected: &'static str) -> (&'static str, &'static str, &'static str) {
    let wrong = format!("resolution: 0.5 psi\n    {key}: {value}");
    ("resolution: 0.5 psi", wrong.leak(), expected)
}

fn uncertain(value: &str, expected: &'static str) -> (&'static str, &'static str, &'static str) {
    below("uncertainty", value, expected)
}

fn proved(value: &str, expected: &'static str) -> (&'static str, &'static str, &'static str) {
    below("certificate", value, expected)
}

#[test]
fn every_fault_is_told_at_its_place() {
    let rows = [
        ("kind: pressure-gauge", "kind: Pressure Gauge", "3:11 id-spelling"),
        ("serial: 007", "serial:", "5:11 wrong-type"),
        ("to: 10 bar", "to: 10 V", "6:12 plausible-range"),
        ("to: 10 bar", "to: -1 bar", "6:12 plausible-range"),
        ("to: 10 bar", "to: .inf", "6:31 not-finite"),
        ("resolution: 0.5 psi", "resolution: 0 psi", "7:17 unit-mismatch"),
        ("resolution: 0.5 psi", "resolution: 1 s", "7:17 unit-mismatch"),
        ("due: 2027-03-02", "due: 2027-02-30", "9:10 wrong-type"),
        ("due: 2027-03-02", "due: 27-3-2", "9:10 wrong-type"),
        ("due: 2027-03-02", "due: 2026-03-02", "9:10 wrong-type"),
        ("    due: 2027-03-02\n", "", "2:5 missing-key"),
        (
            "due: 2027-03-02",
            "due: 2027-03-02\n    colour: red",
            "10:5 unknown-key",
        ),
        ("register:", "instruments:", "1:1 missing-key"),
        uncertain("0 bar", "8:18 unit-mismatch"),
        uncertain("1 s", "8:18 unit-mismatch"),
        uncertain("a lot", "8:18 wrong-type"),
        uncertain("{ of_reading: 0.5 bar }", "8:32 unit-mismatch"),
        uncertain("{ of_reading: 100 % }", "8:32 unit-mismatch"),
        uncertain("{ of_reading: -1 % }", "8:32 unit-mismatch"),
        uncertain("{ plus: 0.1 bar, k: 0.5 }", "8:38 plausible-range"),
        uncertain("{ plus: 0.1 bar, k: 2 bar }", "8:38 plausible-range"),
        uncertain("{ k: 2 }", "8:18 missing-key"),
        uncertain("{ within: 1 bar }", "8:20 unknown-key"),
        proved("../roster.jsonl", "8:18 path-escape"),
        proved(".jpg", "8:18 path-escape"),
        proved("certificates/a.jpg", "8:18 path-escape"),
        proved("a.exe", "8:18 path-escape"),
    ];
    for (right, wrong, expected) in rows {
        let report = register(&GAUGE.replacen(right, wrong, 1)).unwrap_err();
        let told = |fault: &crate::diagnostic::Diagnostic| {
            format!("{}:{} {}", fault.place.line, fault.place.column, fault.rule)
        };
        let told: Vec<String> = report.faults().iter().map(told).collect();
        assert!(told.contains(&expected.to_owned()), "{wrong}: {told:?}");
    }
}

#[test]
fn an_id_stands_once_and_an_empty_register_is_refused() {
    let twice = format!("{GAUGE}{}", GAUGE.strip_prefix("register:\n").unwrap());
    assert!(register(&twice).unwrap_err().render().contains("[duplicate-id]"));
    assert!(register("").is_err());
    assert!(register("register: []\n").unwrap().is_empty());
    assert!(register("a: [").unwrap_err().render().contains("[yaml-syntax]"));
}

#[test]
fn an_older_register_states_no_uncertainty_and_a_newer_one_may() {
    let old = register(GAUGE).unwrap().remove(0);
    assert_eq!((&old.uncertainty, &old.certificate), (&None, &None));
    let more = "resolution: 0.5 psi\n    uncertainty: { of_reading: 0.5 %, plus: 0.02 bar }\n    certificate: 2026-PG_7.jpg";
    let new = register(&GAUGE.replace("resolution: 0.5 psi", more))
        .unwrap()
        .remove(0);
    assert_eq!(new.uncertainty_said(), "0.5 % of the reading + 0.02 bar, k = 2");
    assert_eq!(new.certificate.as_deref(), Some("2026-PG_7.jpg"));
}

#[test]
fn kinds_are_held_against_the_content() {
    let mut shared = crate::procedure::Shared::default();
    let told = |shared: &crate::procedure::Shared| {
        let report = crate::procedure::register_for(GAUGE.as_bytes(), "shop/instruments.yaml", shared);
        report.map_err(|report| report.render())
    };
    assert!(told(&shared).unwrap_err().contains("[unknown-instrument]"));
    let sort = |measures| crate::procedure::InstrumentSort {
        finest: None,
        name: "Pressure gauge".into(),
        measures,
    };
    let kind = crate::procedure::InstrumentKind::from("pressure-gauge");
    shared
        .instruments
        .insert(kind.clone(), sort(crate::quantity::Dimension::Voltage));
    let faults = told(&shared).unwrap_err();
    assert!(
        faults.contains("shop/instruments.yaml:6:12") && faults.contains("[instrument-dimension]"),
        "{faults}"
    );
    shared
        .instruments
        .insert(kind, sort(crate::quantity::Dimension::Pressure));
    assert_eq!(told(&shared).unwrap().len(), 1);
}
