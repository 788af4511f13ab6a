//! Both ends of every range are reached, and what lies just outside is refused with the range named.
//!
//! The ends come from the specs, so that no calculator can be forgotten: each is tried with the spec's own example,
//! or with the inputs below where one input reaches its end only beside others than the example's.
use super::check::{bound, run_bound};
use super::{CalcError, InputSpec, Range, Spec, Value, all};
use crate::quantity::Quantity;
use std::collections::BTreeMap;

/// Calculator, input, unit of its range, the end, and the other inputs as typed.
const BESIDE: &[(&str, &str, &str, f64, &str)] = &[
    (
        "wire-drop",
        "return_resistance",
        "mohm",
        1000.0,
        "current=1 A; length=4 m; gauge=12 AWG; return=chassis; temperature=60 °C; supply=13.8 V",
    ),
    (
        "wire-size",
        "current",
        "A",
        200.0,
        "length=1 m; allowed_drop=20 %; supply=12 V; return=chassis; insulation=200 °C; bundle=1; ambient=30 °C; place=cabin",
    ),
    (
        "wire-size",
        "length",
        "m",
        50.0,
        "current=1 A; allowed_drop=3 %; supply=12 V; return=wire; insulation=105 °C; bundle=1; ambient=30 °C; place=cabin",
    ),
    (
        "wire-size",
        "allowed_drop",
        "%",
        0.1,
        "current=1 A; length=0.5 m; supply=12 V; return=wire; insulation=105 °C; bundle=1; ambient=30 °C; place=cabin",
    ),
    (
        "wire-size",
        "allowed_drop",
        "V",
        0.01,
        "current=1 A; length=0.5 m; supply=12 V; return=wire; insulation=105 °C; bundle=1; ambient=30 °C; place=cabin",
    ),
    (
        "wire-size",
        "ambient",
        "°C",
        125.0,
        "current=1 A; length=1 m; allowed_drop=3 %; supply=12 V; return=wire; insulation=200 °C; bundle=1; place=cabin",
    ),
    (
        "fuse-size",
        "current",
        "A",
        80.0,
        "ambient=25 °C; gauge=2 AWG; duty=0.1 s",
    ),
    (
        "fuse-size",
        "ambient",
        "°C",
        125.0,
        "current=1 A; gauge=12 AWG; insulation=200 °C",
    ),
    ("fuse-time", "rating", "A", 1.0, "current=2 A"),
    ("fuse-time", "rating", "A", 80.0, "current=160 A; type=maxi"),
    ("fuse-time", "current", "A", 200.0, "rating=80 A; type=maxi"),
    (
        "coil-release",
        "value",
        "V",
        0.2,
        "supply=13.5 V; coil=85 ohm; inductance=350 mH; suppression=diode",
    ),
    (
        "coil-release",
        "value",
        "V",
        100.0,
        "supply=13.5 V; coil=85 ohm; inductance=350 mH; suppression=tvs",
    ),
    (
        "solenoid-current",
        "cold_temperature",
        "°C",
        180.0,
        "supply=14.4 V; nitrous_coil=0.9 ohm; fuel_coil=3.2 ohm; coil_temperature=20 °C; hot_temperature=180 °C",
    ),
    (
        "solenoid-current",
        "hot_temperature",
        "°C",
        -40.0,
        "supply=14.4 V; nitrous_coil=0.9 ohm; fuel_coil=3.2 ohm; coil_temperature=20 °C; cold_temperature=-40 °C",
    ),
    (
        "hose-drop",
        "roughness",
        "µm",
        500.0,
        "flow=150 l/h; bore=10 mm; length=1 m; density=745 kg/m3; viscosity=0.5 mPa s; losses=0",
    ),
    ("clamp-pick", "outside", "mm", 32.0, "kind=worm"),
    (
        "tube-rating",
        "outside",
        "mm",
        3.0,
        "wall=0.75 mm; temperature=80 °C",
    ),
    (
        "tube-rating",
        "wall",
        "mm",
        3.0,
        "outside=16 mm; temperature=80 °C",
    ),
    (
        "cut-out-margin",
        "trip",
        "kPa",
        1000.0,
        "rail_pressure=3 bar; flowing_pressure=2.8 bar; reset=1000 kPa; tolerance=1 psi",
    ),
    (
        "cut-out-margin",
        "reset",
        "kPa",
        5.0,
        "rail_pressure=3 bar; flowing_pressure=2.8 bar; trip=5 kPa; tolerance=1 psi",
    ),
    (
        "cut-out-margin",
        "manifold_pressure",
        "kPa",
        -100.0,
        "rail_pressure=3 bar; flowing_pressure=2.8 bar; trip=30 psi; reset=33 psi; tolerance=1 psi; regulator=manifold-referenced",
    ),
    (
        "cut-out-margin",
        "manifold_pressure",
        "kPa",
        0.0,
        "rail_pressure=3 bar; flowing_pressure=2.8 bar; trip=30 psi; reset=33 psi; tolerance=1 psi; regulator=manifold-referenced",
    ),
    ("nitrous-saturation", "pressure", "kPa", 87.84, ""),
    ("nitrous-saturation", "pressure", "kPa", 7244.7, ""),
    ("nitrous-saturation", "pressure_gauge", "kPa", -13.48, ""),
    ("nitrous-saturation", "pressure_gauge", "kPa", 7143.3, ""),
    ("bottle-state", "temperature", "°C", 251.85, "fill=0.2 kg/L"),
    ("bottle-state", "fill", "kg/L", 1.2, "temperature=-85 °C"),
    ("bottle-state", "pressure", "kPa", 87.84, "fill=0.68 kg/L"),
    ("bottle-state", "pressure", "kPa", 7244.7, "fill=0.452 kg/L"),
    ("bottle-state", "pressure_gauge", "kPa", -13.48, "fill=0.68 kg/L"),
    ("bottle-state", "pressure_gauge", "kPa", 7143.3, "fill=0.452 kg/L"),
    (
        "bottle-fill",
        "tare",
        "kg",
        150.0,
        "gross=150 kg; capacity=6.7 L; test_pressure=207 bar",
    ),
    (
        "bottle-fill",
        "gross",
        "kg",
        0.1,
        "tare=0.1 kg; capacity=6.7 L; test_pressure=207 bar",
    ),
    (
        "nitrous-flow",
        "temperature",
        "°C",
        -89.5,
        "diameter=1 mm; coefficient=0.75; pressure=saturated; back_pressure=0 kPa",
    ),
    (
        "nitrous-flow",
        "pressure",
        "kPa",
        95.22,
        "diameter=1 mm; coefficient=0.75; temperature=-89.5 °C; back_pressure=0 kPa",
    ),
    (
        "nitrous-flow",
        "back_pressure",
        "kPa",
        7244.7,
        "diameter=1 mm; coefficient=0.75; temperature=20 °C; pressure=100 bar",
    ),
];

struct End {
    spec: &'static Spec,
    input: &'static InputSpec,
    range: Range,
    at: f64,
    other: f64,
}

fn ends() -> Vec<End> {
    let mut ends = Vec::new();
    for spec in all().iter().map(|calculator| calculator.spec) {
        for input in spec.inputs {
            for range in input.kind.ranges() {
                for (at, other) in [(range.min, range.max), (range.max, range.min)] {
                    ends.push(End {
                        spec,
                        input,
                        range: *range,
                        at,
                        other,
                    });
                }
            }
        }
    }
    ends
}

impl End {
    fn name(&self) -> String {
        format!(
            "{} {} {} {}",
            self.spec.id, self.input.name, self.at, self.range.unit
        )
    }

    /// The inputs that stand beside this one.
    fn beside(&self) -> BTreeMap<String, Value> {
        let own = |row: &&(&str, &str, &str, f64, &str)| {
            (row.0, row.1, row.2) == (self.spec.id, self.input.name, self.range.unit) && row.3 == self.at
        };
        let typed = BESIDE.iter().find(own).map_or_else(
            || {
                self.spec
                    .example
                    .iter()
                    .map(|(name, text)| format!("{name}={text};"))
                    .collect()
            },
            |row| row.4.to_string(),
        );
        bound(self.spec, &typed).unwrap_or_else(|error| panic!("{}: {error}", self.name()))
    }

    fn run_at(&self, value: f64) -> Result<super::Outcome, CalcError> {
        let quantity = Quantity::new(value, self.range.unit()).unwrap();
        let mut inputs = self.beside();
        inputs.insert(self.input.name.to_string(), Value::Quantity(quantity));
        run_bound(self.spec.id, &inputs)
    }
}

#[test]
fn every_end_of_every_range_is_reached() {
    let unreached: Vec<String> = ends()
        .iter()
        .filter_map(|end| Some(format!("{}: {}", end.name(), end.run_at(end.at).err()?)))
        .collect();
    assert!(unreached.is_empty(), "{}", unreached.join("\n"));
}

#[test]
fn just_outside_every_end_is_refused_with_the_range() {
    for end in ends() {
        let beyond = end.at + (end.at - end.other) * 1e-6;
        // Past 4/0 there is no gauge at all, which the quantity itself refuses.
        if Quantity::new(beyond, end.range.unit()).is_err() {
            assert_eq!((end.range.unit, end.at), ("AWG", -3.0), "{}", end.name());
            continue;
        }
        match end.run_at(beyond) {
            Err(CalcError::OutOfRange { input, range, .. }) => {
                assert_eq!(
                    (input, range.in_words()),
                    (end.input.name, end.range.in_words()),
                    "{}",
                    end.name()
                );
                assert_eq!(range.range_from, end.range.range_from);
            }
            other => panic!("{} takes {beyond}: {other:?}", end.name()),
        }
    }
}

/// No row above stands for an end that is no more.
#[test]
fn every_explicit_row_is_used() {
    for (id, input, unit, at, _) in BESIDE {
        let used = ends().iter().any(|end| {
            (end.spec.id, end.input.name, end.range.unit) == (*id, *input, *unit) && end.at == *at
        });
        assert!(used, "{id} {input} {at} {unit}");
    }
}
