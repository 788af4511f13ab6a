//! Whether a fuel hose may be used on this car.
use super::{CalcError, Calculator, Found, Given, InputSpec, Mark, Need, OutputSpec, Range, Source, Spec};
use crate::quantity::{Quantity, Unit};
use crate::table::{HoseClass, Tables};

const PRESSURE: Range = Range::new(
    "kPa",
    1.0,
    5000.0,
    "pumps and hoses of port-injected petrol cars and their prints",
);

/// Class, print and car to a verdict.
pub static SPEC: Spec = Spec {
    id: "hose-rating",
    revision: 1,
    title: "Accept or refuse a fuel hose",
    equation: "an injection class whose pressure is at least the dead-head pressure, or a printed pressure ≥ 1.5 · dead-head pressure",
    inputs: &[
        InputSpec::choice(
            "class",
            "Hose class",
            "printed behind SAE J30",
            &["R6", "R7", "R8", "R9", "R10", "R12", "R14"],
            Need::Optional,
        ),
        InputSpec::number(
            "printed_pressure",
            "Printed pressure",
            "p",
            "the working pressure printed on the hose",
            PRESSURE,
            Need::Optional,
        ),
        InputSpec::number(
            "dead_head_pressure",
            "Dead-head pressure",
            "p_0",
            "the pump's, against a closed line",
            PRESSURE,
            Need::Required,
        ),
        InputSpec::number(
            "temperature",
            "Hottest temperature",
            "T",
            "the hottest the hose will be",
            Range::new("°C", -40.0, 200.0, "from a winter night to beside a manifold"),
            Need::Required,
        ),
        InputSpec::choice(
            "fuel",
            "Fuel",
            "what it carries",
            &["petrol", "e10", "e85", "diesel"],
            Need::Required,
        ),
    ],
    outputs: &[
        OutputSpec::flag("accepted", "Accepted", "whether the hose may be used"),
        OutputSpec::new(
            "allowed",
            "Allowed pressure",
            "",
            "the working pressure that counts: the printed one, else that of the class",
            "kPa",
        ),
        OutputSpec::text("reason", "Reason", "why"),
    ],
    assumptions: &[
        "The supply side of an injection rail; the hose is whole and not out of date.",
        "R6, R7, R8, R12 and R14 are low-pressure classes and are refused whatever else is printed; R10 belongs in a tank.",
        "R9 hoses of 100 psi (class, from memory) and of 180 psi (one maker) are both sold: the print decides where there is one, and where there is none the lesser, 100 psi, counts: the safe side.",
        "Without a class the heat it stands is not known, and 100 °C, the least of the family, counts.",
    ],
    sources: &[
        Source::new(
            "SAE J30",
            "scope of the classes; their figures from catalogues",
            Mark::Memory,
        ),
        Source::new(
            "a hose maker's text",
            "R7 not for injection nor its return; R9 to 180 psi (quoted at saablink.net, thread 36691)",
            Mark::SecondHand,
        ),
        Source::new("1.5 times dead-head", "margin of the workshop", Mark::Practice),
    ],
    example: &[
        ("class", "R9"),
        ("printed_pressure", "180 psi"),
        ("dead_head_pressure", "6 bar"),
        ("temperature", "90 °C"),
        ("fuel", "petrol"),
    ],
};

pub(super) const CALCULATOR: Calculator = Calculator { spec: &SPEC, work };

/// A hose without an injection class must print this many times the dead-head pressure.
const MARGIN: f64 = 1.5;
/// The heat that every class of the family stands, in °C.
const COOLEST_CLASS_C: f64 = 100.0;

/// What [`hose_rating`] takes.
#[derive(Clone, Copy, Debug)]
pub struct Inputs<'a> {
    pub class: Option<&'a HoseClass>,
    pub printed: Option<Quantity>,
    pub dead_head: Quantity,
    pub temperature_c: f64,
    pub fuel: &'a str,
}

/// Why the hose is refused, or none where it is accepted.
///
/// # Inputs
/// A class, a printed working pressure or both; the pump's dead-head pressure; the hottest temperature in °C
/// (-40 to 200); the fuel.
///
/// # Result
/// None for a hose that may be used, else the first reason against it.
///
/// # Assumptions
/// The supply side of an injection rail.
///
/// # Source
/// SAE J30 scopes (quoted by sellers), figures of the classes from memory, the margin common practice.
///
/// # Errors
/// None; the ranges are checked where the inputs enter.
///
/// # Example
/// R7 at 3 bar is refused whatever it prints; R9 printed 180 psi is accepted to a dead-head of 12.4 bar; see
/// the tests.
pub fn hose_rating(inputs: &Inputs) -> Option<String> {
    against_fuel(inputs)
        .or_else(|| against_class(inputs))
        .or_else(|| against_heat(inputs))
        .or_else(|| against_pressure(inputs))
}

fn against_fuel(inputs: &Inputs) -> Option<String> {
    let known = matches!(inputs.fuel, "petrol" | "e10");
    (!known).then(|| {
        format!(
            "the classes are for petrol: the hose's maker must name {} in writing",
            inputs.fuel
        )
    })
}

fn against_class(inputs: &Inputs) -> Option<String> {
    let class = inputs.class.filter(|class| !class.injection)?;
    Some(format!(
        "{} is for {}, never for the supply of an injection rail",
        class.class, class.used_for
    ))
}

fn against_heat(inputs: &Inputs) -> Option<String> {
    let (coldest_c, hottest_c) = match inputs.class {
        Some(class) => (class.coldest.si() - 273.15, class.hottest.si() - 273.15),
        None => (-40.0, COOLEST_CLASS_C),
    };
    let bears = (coldest_c - 1e-9..=hottest_c + 1e-9).contains(&inputs.temperature_c);
    (!bears).then(|| {
        format!(
            "{:.0} °C is outside what it bears, {coldest_c:.0} °C to {hottest_c:.0} °C",
            inputs.temperature_c
        )
    })
}

fn against_pressure(inputs: &Inputs) -> Option<String> {
    let (dead_head_pa, dead_head) = (inputs.dead_head.si(), inputs.dead_head);
    let allowed = allowed(inputs)?;
    // Twelve digits are more than any hose prints; the slack only forgives the rounding of a conversion.
    let at_least = |pa: f64| allowed.si() >= pa * (1.0 - 1e-12);
    match inputs.class {
        Some(_) if at_least(dead_head_pa) => None,
        Some(class) => Some(format!(
            "{} at {allowed} is below the dead-head pressure of {dead_head}",
            class.class
        )),
        None if at_least(MARGIN * dead_head_pa) => None,
        None => Some(format!(
            "the printed {allowed} is below 1.5 times the dead-head pressure of {dead_head}"
        )),
    }
}

/// The printed pressure, else that of the class.
fn allowed(inputs: &Inputs) -> Option<Quantity> {
    inputs.printed.or(inputs.class.map(|class| class.working))
}

fn work(given: &Given, tables: &Tables) -> Result<Found, CalcError> {
    let class = given
        .word("class")
        .map(|class| tables.hose_class(class))
        .transpose()?;
    let inputs = Inputs {
        class,
        printed: given.optional("printed_pressure"),
        dead_head: given.quantity("dead_head_pressure")?,
        temperature_c: given.celsius("temperature")?,
        fuel: given.word("fuel").unwrap_or_default(),
    };
    let nothing = || given.refuse("class", "and no printed pressure: read what the hose itself says");
    let allowed = allowed(&inputs).ok_or_else(nothing)?;
    let against = hose_rating(&inputs);
    let accepted = against.is_none();
    let shown = Unit::find("kPa")
        .and_then(|unit| allowed.to(unit).ok())
        .unwrap_or(allowed);
    Ok(Found::new()
        .flag("accepted", accepted)
        .quantity("allowed", shown)
        .text("reason", against.unwrap_or_else(|| for_it(&inputs)))
        .note_if(
            accepted && inputs.printed.is_none(),
            "The class's pressure is from memory: read the pressure printed on the hose and give it.",
        )
        .note_if(
            class.is_none(),
            "No class was given: the heat that the hose bears is taken as 100 °C.",
        ))
}

fn for_it(inputs: &Inputs) -> String {
    match (inputs.class, inputs.printed) {
        (Some(class), Some(printed)) => format!(
            "{} is an injection class, and the printed {printed} covers the dead-head pressure",
            class.class
        ),
        (Some(class), None) => format!(
            "{} is an injection class and covers the dead-head pressure",
            class.class
        ),
        _ => "the printed pressure is at least 1.5 times the dead-head pressure".to_string(),
    }
}

#[cfg(test)]
pub(super) mod tests {
    use crate::calc::check::{Expected::Flag, Expected::Text, Kind, Row, check, exact, number, refused};

    const MAKER: &str = "a hose maker's text quoted at saablink.net, thread 36691: R7 not for injection, R9 to 180 psi (second-hand)";
    const MEMORY: &str =
        "SAE J30 classes: 100 psi and 135 °C for R9, petrol alone, R10 in a tank (from memory)";
    const MARGIN: &str = "1.5 times dead-head: common practice, no source";

    #[test]
    pub(in crate::calc) fn rows() {
        let by_class = |inputs, flag| exact(inputs, "accepted", Flag(flag), Kind::Published, MAKER);
        let by_memory = |inputs, flag| exact(inputs, "accepted", Flag(flag), Kind::Practice, MEMORY);
        let by_print = |inputs, flag| exact(inputs, "accepted", Flag(flag), Kind::Practice, MARGIN);
        let rows: &[Row] = &[
            by_class(
                "class=R9; printed_pressure=180 psi; dead_head_pressure=6 bar; temperature=90 °C; fuel=petrol",
                true,
            ),
            by_memory(
                "class=SAE J30R9; dead_head_pressure=5 bar; temperature=90 °C; fuel=e10",
                true,
            ),
            by_memory(
                "class=R9; dead_head_pressure=7 bar; temperature=90 °C; fuel=petrol",
                false,
            ),
            by_class(
                "class=R9; printed_pressure=100 psi; dead_head_pressure=7 bar; temperature=90 °C; fuel=petrol",
                false,
            ),
            by_class(
                "class=R7; dead_head_pressure=3 bar; temperature=60 °C; fuel=petrol",
                false,
            ),
            by_class(
                "class=R7; printed_pressure=20 bar; dead_head_pressure=3 bar; temperature=60 °C; fuel=petrol",
                false,
            ),
            by_class(
                "class=30R14; dead_head_pressure=2 bar; temperature=60 °C; fuel=petrol",
                false,
            ),
            by_memory(
                "class=R10; printed_pressure=20 bar; dead_head_pressure=3 bar; temperature=60 °C; fuel=petrol",
                false,
            ),
            by_print(
                "printed_pressure=9 bar; dead_head_pressure=6 bar; temperature=90 °C; fuel=petrol",
                true,
            ),
            by_print(
                "printed_pressure=8.99 bar; dead_head_pressure=6 bar; temperature=90 °C; fuel=petrol",
                false,
            ),
            by_print(
                "printed_pressure=9 bar; dead_head_pressure=6 bar; temperature=110 °C; fuel=petrol",
                false,
            ),
            by_memory(
                "class=R9; printed_pressure=180 psi; dead_head_pressure=6 bar; temperature=136 °C; fuel=petrol",
                false,
            ),
            by_memory(
                "class=R9; printed_pressure=180 psi; dead_head_pressure=6 bar; temperature=90 °C; fuel=e85",
                false,
            ),
            exact(
                "class=R7; dead_head_pressure=3 bar; temperature=60 °C; fuel=petrol",
                "reason",
                Text(
                    "R7 is for carburettor and vapour lines; not injection, not its return, never for the supply of an injection rail",
                ),
                Kind::Published,
                MAKER,
            ),
            number(
                "class=R9; printed_pressure=180 psi; dead_head_pressure=6 bar; temperature=90 °C; fuel=petrol",
                "allowed",
                (1241.056, "kPa"),
                5e-4,
                Kind::Independent,
                "pint 0.25.3",
            ),
        ];
        check("hose-rating", rows);
    }

    #[test]
    fn refusals() {
        refused(
            "hose-rating",
            &[
                (
                    "dead_head_pressure=6 bar; temperature=90 °C; fuel=petrol",
                    "`class`: found nothing, and no printed pressure",
                ),
                (
                    "class=R99; dead_head_pressure=6 bar; temperature=90 °C; fuel=petrol",
                    "`class`: found `R99`, expected one of R6, R7",
                ),
                (
                    "class=R9; dead_head_pressure=0 bar; temperature=90 °C; fuel=petrol",
                    "`dead_head_pressure`: found 0 bar, valid from 1 kPa to 5000 kPa",
                ),
            ],
        );
    }
}
