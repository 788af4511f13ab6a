//! Properties that hold whatever a table says: an output that rises or falls with an input, goes with a power of it,
//! or leads back to it. They stand as data in `tests/vectors/calc`.
use super::check::{Checked, Kind, bound, run_typed};
use super::{Value, find};

const LAWS: &str = include_str!("../../tests/vectors/calc/laws.txt");
const INVERSES: &str = include_str!("../../tests/vectors/calc/inverses.txt");

/// The rows of a file, cut at their bars.
fn cells<const N: usize>(file: &'static str) -> impl Iterator<Item = [&'static str; N]> {
    file.lines().filter(|line| !line.starts_with('#')).map(|line| {
        let cells: Vec<&str> = line.split('|').map(str::trim).collect();
        cells
            .try_into()
            .unwrap_or_else(|_| panic!("not {N} cells: {line}"))
    })
}

/// A number of an output: a flag counts as one or nothing.
fn value(id: &str, typed: &str, output: &str) -> (f64, Value) {
    let outcome = run_typed(id, typed).unwrap_or_else(|error| panic!("{id} {typed}: {error}"));
    let found = outcome
        .output(output)
        .unwrap_or_else(|| panic!("{id} {typed}: no {output}"));
    let number = match found {
        Value::Quantity(quantity) => quantity.value(),
        Value::Flag(flag) => f64::from(u8::from(*flag)),
        Value::Text(text) => panic!("{id} {output}: {text} is no number"),
    };
    (number, found.clone())
}

fn hold([id, beside, input, through, output, goes]: [&str; 6]) {
    let spec = find(id).unwrap_or_else(|| panic!("no calculator {id}")).spec;
    let point = |text: &str| {
        let typed = format!("{input}={text}");
        let given = bound(spec, &typed).unwrap_or_else(|error| panic!("{id} {typed}: {error}"));
        let x = given[input].quantity().map_or(f64::NAN, |x| x.si());
        (x, value(id, &format!("{beside}; {typed}"), output).0)
    };
    let points: Vec<(f64, f64)> = through.split(", ").map(point).collect();
    assert!(points.len() > 2, "{id}: {} values prove no law", points.len());
    for pair in points.windows(2) {
        let [(x0, y0), (x1, y1)] = [pair[0], pair[1]];
        let holds = match goes {
            "rises" => y1 > y0,
            "falls" => y1 < y0,
            "never-falls" => y1 >= y0,
            "never-rises" => y1 <= y0,
            power => {
                let power: f64 = power.trim_start_matches("power ").parse().unwrap();
                (y1 / y0 / (x1 / x0).powf(power) - 1.0).abs() < 1e-9
            }
        };
        assert!(
            holds,
            "{id}: {output} with {input}: {y0}, then {y1}, expected {goes}"
        );
    }
}

fn leads_back([id, forth, given, beside, taken, output, expected]: [&str; 7]) {
    let (_, there) = value(id, forth, given);
    let back = format!("{beside}; {taken}={there}");
    let (found, expected) = (value(id, &back, output).0, expected.parse::<f64>().unwrap());
    assert!(
        (found - expected).abs() <= 1e-6,
        "{id} {forth}: {back} leads back to {found}, not {expected}"
    );
}

#[test]
fn every_law_holds() {
    cells(LAWS).for_each(hold);
    cells(INVERSES).for_each(leads_back);
}

/// The laws as rows, one for each run, for the tally.
pub(super) fn rows() -> impl Iterator<Item = Checked> {
    let row = |id: &str, inputs: String, source| Checked {
        id: id.to_string(),
        inputs,
        kind: Kind::Property,
        source,
    };
    let laws = cells(LAWS).flat_map(move |[id, beside, input, through, ..]: [&str; 6]| {
        through
            .split(", ")
            .map(move |text| row(id, format!("{beside}; {input}={text}"), "a law"))
    });
    let back = move |[id, forth, ..]: [&'static str; 7]| row(id, forth.to_string(), "an inverse");
    laws.chain(cells(INVERSES).map(back))
}
