//! A circuit's voltages, point by point, with the span that its uncertain parts leave and what was read there.

use super::asked::{Asked, Held, number, shown};
use super::axis::{Axis, Tick};
use super::{Along, Band, Mark, Plot, Sign};
use crate::calc::Value;
use crate::quantity::{Dimension, Quantity, Unit};
use crate::say;

/// Fewer points than this are a sentence and no plot.
const LEAST: usize = 3;
/// More points than this are a list and no plot.
const MOST: usize = 12;

/// One point of the circuit: its name, its volts, and between what they may lie.
struct Node<'a> {
    name: &'a str,
    volts: f64,
    low: f64,
    high: f64,
}

/// The plot of a circuit that was asked for at least three voltages; two are told sooner than drawn.
pub(super) fn plot(asked: &Asked<'_>) -> Option<Plot> {
    let volt = Unit::find("V")?;
    let nodes = nodes(asked, volt);
    if !(LEAST..=MOST).contains(&nodes.len()) {
        return None;
    }
    let read = asked
        .beside
        .readings
        .iter()
        .filter_map(|held| held.value_in(volt));
    let all: Vec<f64> = nodes
        .iter()
        .flat_map(|node| [node.low, node.high])
        .chain(read)
        .collect();
    let (least, most) = all.iter().fold((0.0f64, 0.0f64), |(least, most), volts| {
        (least.min(*volts), most.max(*volts))
    });
    let count = nodes.len() as f64;
    let x = Axis::even(asked.words.say("Voltage"), "V", least, most.max(1e-3));
    // Rows are counted downwards.
    let row = |place: usize| count - 0.5 - place as f64;
    let ticks = nodes.iter().enumerate().map(|(place, node)| Tick {
        at: row(place),
        text: called(asked, node.name),
    });
    let y = Axis::places("", 0.0, count, ticks.collect());
    let mut plot = Plot::new(asked.words.say("Voltages in the circuit"), x, y);
    for (place, node) in nodes.iter().enumerate() {
        point(&mut plot, asked, node, row(place), volt);
    }
    plot.says = says(&nodes, asked, volt);
    Some(plot)
}

fn nodes<'a>(asked: &Asked<'a>, volt: Unit) -> Vec<Node<'a>> {
    let volts = |value: &Value| {
        value
            .quantity()
            .filter(|q| q.dimension() == Dimension::Voltage)
            .map(Quantity::si)
    };
    let side = |name: &str, end: &str| {
        asked
            .found(&format!("{name}_{end}"))
            .and_then(|found| number(found, volt))
    };
    let node = |(name, value): &'a (String, Value)| {
        let volts = volts(value)?;
        let named = |end: &str| {
            let whole = name.strip_suffix(end)?;
            asked.found(whole)
        };
        if named("_low").is_some() || named("_high").is_some() {
            return None;
        }
        Some(Node {
            name,
            volts,
            low: side(name, "low").unwrap_or(volts),
            high: side(name, "high").unwrap_or(volts),
        })
    };
    asked.outputs.iter().filter_map(node).collect()
}

fn point(plot: &mut Plot, asked: &Asked<'_>, node: &Node<'_>, row: f64, volt: Unit) {
    if node.high > node.low {
        plot.bands.push(Band {
            name: String::new(),
            along: Along::X,
            beside: row,
            low: Some(node.low),
            high: Some(node.high),
        });
    }
    let held = asked.beside.readings.iter().find(|held| about(held, node.name));
    let read = held.and_then(|held| Some((held.value_in(volt)?, held.fails)));
    plot.marks.push(Mark {
        name: if read.is_some() {
            String::new()
        } else {
            shown(node.volts, volt)
        },
        sign: Sign::Knee,
        at: (node.volts, row),
    });
    if let Some((value, fails)) = read {
        plot.marks.push(Mark {
            name: say!(asked.words, "Read {value}", value = shown(value, volt)),
            sign: if fails { Sign::Out } else { Sign::Reading },
            at: (value, row),
        });
    }
}

/// Whether a reading's band rests on the volts of this point.
fn about(held: &Held, name: &str) -> bool {
    let output = held.output.as_str();
    let whole = output
        .strip_suffix("_low")
        .or_else(|| output.strip_suffix("_high"));
    output == name || whole == Some(name)
}

/// An answer by its author's label, else by its name.
fn called(asked: &Asked<'_>, name: &str) -> String {
    let label = asked.beside.names.get(name);
    label.map_or_else(|| name.replace(['_', '-'], " "), Clone::clone)
}

fn says(nodes: &[Node<'_>], asked: &Asked<'_>, volt: Unit) -> String {
    let one = |node: &Node<'_>| {
        let mut says = format!("{}: {}", called(asked, node.name), shown(node.volts, volt));
        if node.high > node.low {
            says += &say!(
                asked.words,
                " ({low} to {high})",
                low = shown(node.low, volt),
                high = shown(node.high, volt)
            );
        }
        let held = asked.beside.readings.iter().find(|held| about(held, node.name));
        if let Some(value) = held.and_then(|held| held.value_in(volt)) {
            says += &say!(asked.words, ", {value} was read", value = shown(value, volt));
        }
        says
    };
    let list: Vec<String> = nodes.iter().map(one).collect();
    say!(
        asked.words,
        "Voltages in the circuit: {list}.",
        list = list.join("; ")
    )
}
