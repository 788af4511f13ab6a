//! A circuit with this car's figures, asked what an author wants to know of it.

use super::build::netlist;
use super::refused::Refused;
use super::{Call, Circuit, Find, Given, GivenLimits, METER_INPUT, Part, PartFigure};
use crate::calc::{Outcome, Value};
use crate::circuit::{self, Asked, End, Fault, Finding, Kind, Meter, Setting, Spanned, Spread};
use crate::procedure::band::compare;
use crate::procedure::model::{Condition, Reference, Tolerance};
use crate::procedure::operand::{moved, scaled};
use crate::quantity::{Quantity, Unit};
use std::cmp::Ordering;
use std::collections::BTreeMap;

/// What the car is known to be.
pub struct Sight<'a> {
    pub value: &'a dyn Fn(&Reference) -> Option<Value>,
    pub holds: &'a dyn Fn(&Condition) -> bool,
}

/// A given at its middle, its least and its most.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ends {
    pub middle: Quantity,
    pub least: Quantity,
    pub most: Quantity,
}

impl Ends {
    pub(super) fn at(self, end: End) -> Quantity {
        match end {
            End::Middle => self.middle,
            End::Least => self.least,
            End::Most => self.most,
        }
    }
}

/// The voltmeter across the probes, which no author can name: a part's name has no spaces.
pub(super) const PROBES: &str = "the voltmeter";

/// What the parts that apply do in the setting of the call.
///
/// Each voltage is what a meter across its two nodes shows, with the input resistance of the given
/// [`METER_INPUT`], or 10 MΩ.
///
/// # Errors
/// A given without a value or outside its own limits, figures that no circuit can have, a part that
/// is not on this car, and whatever [`Spread::ask`] refuses.
pub fn run(circuit: &Circuit, call: &Call, sight: &Sight) -> Result<Outcome, Refused> {
    let values = values(circuit, sight)?;
    let applies = |part: &Part| (sight.holds)(&part.when);
    let figure = |part: &Part, name: &str, end: End| {
        let (_, figure) = part.figures.iter().find(|(known, _)| *known == name)?;
        match figure {
            PartFigure::Fixed(quantity) => Some(*quantity),
            PartFigure::Given(given) => values.get(given.as_str()).map(|ends| ends.at(end)),
        }
    };
    let unknown = || Refused::Unknown(circuit.title.clone());
    let spread = spread(circuit, &applies, &figure)
        .ok_or_else(unknown)?
        .map_err(Refused::Findings)?;
    let setting = setting(circuit, call, &applies);
    let mut findings = Vec::new();
    let outputs = answers(&spread, &setting, call, &values, &mut findings)?;
    Ok(Outcome {
        calculator: format!("circuit.{}", circuit.id),
        revision: circuit.revision,
        inputs: inputs(circuit, call, &values),
        outputs,
        notes: findings.iter().map(Finding::note).collect(),
    })
}

/// The circuit with its figures at all three ends, or what the builder refuses; nothing where a figure is not
/// known.
pub(super) fn spread(
    circuit: &Circuit,
    applies: &dyn Fn(&Part) -> bool,
    figure: &super::Figures,
) -> Option<Result<Spread, Vec<Finding>>> {
    let build = |end| netlist(circuit, applies, figure, end);
    let ends = [build(End::Middle)?, build(End::Least)?, build(End::Most)?];
    Some(Spread::of(ends))
}

fn values<'c>(circuit: &'c Circuit, sight: &Sight) -> Result<BTreeMap<&'c str, Ends>, Refused> {
    let applying = circuit.given.iter().filter(|given| (sight.holds)(&given.when));
    applying
        .map(|given| Ok((given.name.as_str(), ends_of(given, sight.value)?)))
        .collect()
}

/// A given as it is now.
///
/// # Errors
/// A reference without a value, a middle outside its limits, a limit that is not finite.
pub fn ends_of(given: &Given, value: &dyn Fn(&Reference) -> Option<Value>) -> Result<Ends, Refused> {
    let middle = given.is.quantity(value).map_err(Refused::Given)?;
    let (one, other) = match &given.limits {
        None => (middle, middle),
        Some(GivenLimits::Between(from, to)) => (*from, *to),
        Some(GivenLimits::Within(within)) => {
            around(middle, within).ok_or_else(|| Refused::NotFinite(given.label.clone()))?
        }
    };
    let (least, most) = if compare(one, other) == Ordering::Greater {
        (other, one)
    } else {
        (one, other)
    };
    if compare(middle, least) == Ordering::Less || compare(middle, most) == Ordering::Greater {
        let label = given.label.clone();
        return Err(Refused::Outside(label, Ends { middle, least, most }));
    }
    Ok(Ends { middle, least, most })
}

fn around(middle: Quantity, within: &Tolerance) -> Option<(Quantity, Quantity)> {
    match within {
        Tolerance::Absolute(width) => Some((moved(middle, *width, -1.0)?, moved(middle, *width, 1.0)?)),
        Tolerance::Share(share) => Some((scaled(middle, 1.0 - share)?, scaled(middle, 1.0 + share)?)),
    }
}

/// What the call says of parts that are not on this car is left out.
pub(super) fn setting(circuit: &Circuit, call: &Call, applies: &dyn Fn(&Part) -> bool) -> Setting {
    let there = |name: &&String| circuit.part(name).is_some_and(applies);
    let closed = call.closed.iter().filter(there);
    let setting = closed.fold(Setting::new(), |setting, name| setting.close(name));
    let held = call.held.iter().filter(there);
    let setting = held.fold(setting, |setting, name| setting.held(name));
    let out = call.out.iter().filter(there);
    out.fold(setting, |setting, name| setting.fault(Fault::Open(name.clone())))
}

type Outputs = Vec<(String, Value)>;

fn answers(
    spread: &Spread,
    setting: &Setting,
    call: &Call,
    values: &BTreeMap<&str, Ends>,
    findings: &mut Vec<Finding>,
) -> Result<Outputs, Refused> {
    let outlook = spread.ask(setting, &asked(call))?;
    let mut currents = outlook.spanned.iter();
    let mut outputs = Vec::new();
    for (name, find) in &call.find {
        match find {
            Find::Volts { red, black } => {
                let black = black.as_deref().unwrap_or(&spread.middle().nodes()[0]);
                let shown = volts(spread, setting, [red, black], values)?;
                outputs.extend(spanned_as(name, shown, "V"));
                findings.extend(floating(&outlook.middle, [red, black]));
            }
            Find::Amps(part) | Find::ContactAmps(part) => {
                let coil = matches!(find, Find::Amps(_)) && is_relay(spread, part);
                let found = currents.next().copied().ok_or(Finding::Unlike)?;
                let found = if coil { turned(found) } else { found };
                outputs.extend(spanned_as(name, found, "A"));
            }
            Find::Ohms(source) => {
                let across = currents
                    .next()
                    .and_then(|spanned| across(spread, source, *spanned));
                let across = across.ok_or_else(|| Refused::Insulated(source.clone()))?;
                outputs.extend(spanned_as(name, across, "Ω"));
            }
            Find::Pulled(relay) => {
                let pulled = outlook.middle.pulled(relay);
                let pulled = pulled.ok_or_else(|| Refused::NotThere(relay.clone()))?;
                outputs.push((name.clone(), Value::Flag(pulled)));
            }
        }
    }
    let floats = |finding: &&Finding| matches!(finding, Finding::Floating { .. });
    let others = outlook.middle.findings().iter();
    findings.extend(others.filter(|finding| !floats(finding)).cloned());
    Ok(outputs)
}

/// What a meter of its own shows across two nodes.
fn volts(
    spread: &Spread,
    setting: &Setting,
    probes: [&str; 2],
    values: &BTreeMap<&str, Ends>,
) -> Result<Spanned, Finding> {
    let probed = spread.probed(PROBES, probes, meter(values))?;
    let outlook = probed.ask(setting, &[Asked::Reading(PROBES)])?;
    outlook.spanned.first().copied().ok_or(Finding::Unlike)
}

/// What resists the current of a source, its own resistance apart; nothing where no current flows, or where
/// another source drives it back. The least resistance carries the most current.
fn across(spread: &Spread, source: &str, carried: Spanned) -> Option<Spanned> {
    let mut parts = spread.middle().parts().iter();
    let Kind::Source(source) = parts.find(|part| part.name() == source)?.kind() else {
        return None;
    };
    let ohm = |amps: f64| (amps > 0.0).then(|| source.emf_v / amps - source.internal_ohm);
    Some(Spanned {
        middle: ohm(carried.middle)?,
        low: ohm(carried.high)?,
        high: ohm(carried.low)?,
    })
}

fn is_relay(spread: &Spread, part: &str) -> bool {
    let mut parts = spread.middle().parts().iter();
    parts.any(|other| other.name() == part && matches!(other.kind(), Kind::Relay(_)))
}

/// A coil's current is told from 86 to 85, the way it is usually driven; the solver counts it from 85.
fn turned(spanned: Spanned) -> Spanned {
    Spanned {
        middle: 0.0 - spanned.middle,
        low: 0.0 - spanned.high,
        high: 0.0 - spanned.low,
    }
}

/// The currents, in their order; all are found in one circuit, while each voltage has a meter of its own.
fn asked(call: &Call) -> Vec<Asked<'_>> {
    let finds = call.find.iter();
    finds
        .filter_map(|(_, find)| match find {
            Find::Amps(part) | Find::Ohms(part) => Some(Asked::Amps(part)),
            Find::ContactAmps(relay) => Some(Asked::ContactAmps(relay)),
            Find::Volts { .. } | Find::Pulled(_) => None,
        })
        .collect()
}

pub(super) fn meter(values: &BTreeMap<&str, Ends>) -> [Meter; 3] {
    let given = values.get(METER_INPUT).copied();
    [End::Middle, End::Least, End::Most].map(|end| Meter {
        input_ohm: given.map_or(METER_OHM, |ends| ends.at(end).si()),
    })
}

/// The input resistance of a common digital multimeter on its voltage ranges: common practice, no source.
pub const METER_OHM: f64 = 10e6;

fn floating(middle: &circuit::Solution, nodes: [&str; 2]) -> Vec<Finding> {
    let findings = middle.findings().iter();
    findings
        .filter(|finding| matches!(finding, Finding::Floating { node } if nodes.contains(&node.as_str())))
        .cloned()
        .collect()
}

fn spanned_as(name: &str, spanned: Spanned, unit: &str) -> Outputs {
    let ends = [
        ("", spanned.middle),
        ("_low", spanned.low),
        ("_high", spanned.high),
    ];
    let quantity = |value| Quantity::new(value, Unit::find(unit)?).ok();
    ends.into_iter()
        .filter_map(|(end, value)| Some((format!("{name}{end}"), Value::Quantity(quantity(value)?))))
        .collect()
}

/// The figures that were taken, the setting, and which revision of the solver took them.
fn inputs(circuit: &Circuit, call: &Call, values: &BTreeMap<&str, Ends>) -> Outputs {
    let mut inputs = Outputs::new();
    for given in &circuit.given {
        let Some(ends) = values.get(given.name.as_str()) else {
            continue;
        };
        inputs.push((given.name.clone(), Value::Quantity(ends.middle)));
        if given.limits.is_some() {
            inputs.push((format!("{}_low", given.name), Value::Quantity(ends.least)));
            inputs.push((format!("{}_high", given.name), Value::Quantity(ends.most)));
        }
    }
    let list = |names: &[String]| {
        let words = if names.is_empty() {
            "none".to_owned()
        } else {
            names.join(", ")
        };
        Value::Text(words)
    };
    let lists = [("closed", &call.closed), ("out", &call.out), ("held", &call.held)];
    inputs.extend(lists.map(|(name, names)| (name.to_owned(), list(names))));
    inputs.push((SOLVER.to_owned(), Value::Text(circuit::REVISION.to_string())));
    inputs
}

/// The input under which a record keeps [`circuit::REVISION`].
pub const SOLVER: &str = "solver";
