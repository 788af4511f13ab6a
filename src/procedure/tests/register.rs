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
