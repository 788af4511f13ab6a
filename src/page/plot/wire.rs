//! The voltage along a wire run, from the battery to the load and back.

use super::asked::{Asked, Held, number, shown};
use super::axis::{Axis, Tick};
use super::{Along, Band, Level, Line, Mark, Plot, Sign, Span, Style};
use crate::quantity::{Dimension, Unit};
use crate::say;
use crate::words::Words;

/// Battery, load, and battery again.
const PLACES: [f64; 3] = [0.0, 1.0, 2.0];

/// The plot of `wire-drop`: what is left of the supply along the way, the load's own volts left out.
pub(super) fn plot(asked: &Asked<'_>) -> Option<Plot> {
    let volt = Unit::find("V")?;
    let supply = asked.given("supply")?.si();
    let drop = asked.found("drop")?.si();
    let chassis = asked.word("return") == Some("chassis");
    let back = if chassis {
        asked.given("current")?.si() * asked.given("return_resistance")?.si()
    } else {
        drop / 2.0
    };
    let (feed, length) = (drop - back, asked.given("length")?);
    let held = held(asked);
    let lowest = held.iter().fold(supply - drop, |lowest, held| {
        let value = held.value_in(volt).into_iter();
        value
            .chain(held.limits_in(volt).1)
            .map(|lost| supply - lost)
            .fold(lowest, f64::min)
    });
    let room = (supply - lowest).max(supply * 1e-3);
    let words = asked.words;
    let y = Axis::even(
        words.say("Left of the supply"),
        "V",
        lowest - 0.15 * room,
        supply + 0.1 * room,
    );
    let load = say!(words, "Load, {length}", length = length.shown(3));
    let mut plot = Plot::new(
        words.say("Voltage along the wire"),
        Axis::places(
            "",
            -0.12,
            2.12,
            places(&[words.say("Battery +"), &load, words.say("Battery −")]),
        ),
        y,
    );
    let (there, end) = (supply - feed, supply - drop);
    plot.levels.push(level(
        say!(words, "Supply {value}", value = shown(supply, volt)),
        supply,
    ));
    plot.lines.push(Line {
        name: String::new(),
        style: Style::Strong,
        points: PLACES.into_iter().zip([supply, there, end]).collect(),
    });
    let share = asked
        .found("drop_percent")
        .map_or_else(String::new, |share| format!(", {}", share.shown(3)));
    plot.spans.push(Span {
        name: say!(words, "Lost {value}", value = shown(drop, volt)) + &share,
        along: Along::Y,
        beside: 2.0,
        from: end,
        to: supply,
    });
    for held in held {
        reading(&mut plot, held, supply, volt, words);
    }
    if chassis && back == 0.0 {
        plot.notes
            .push(say!(words, "The chassis counts as 0 Ω: measure it."));
    }
    plot.notes.push(say!(
        words,
        "Joints, fuse, relay and switches are not counted, and the load's own voltage is left out."
    ));
    plot.says = says(supply, feed, drop, volt, asked);
    Some(plot)
}

fn places(names: &[&str; 3]) -> Vec<Tick> {
    let tick = |(at, name): (f64, &&str)| Tick {
        at,
        text: (*name).to_owned(),
    };
    PLACES.into_iter().zip(names).map(tick).collect()
}

fn level(name: String, at: f64) -> Level {
    Level {
        name,
        style: Style::Dashed,
        along: Along::Y,
        at,
    }
}

/// The readings of lost volts that rest on the drop.
fn held<'a>(asked: &Asked<'a>) -> Vec<&'a Held> {
    let readings = asked.beside.readings.iter();
    readings
        .filter(|held| held.output == "drop" && held.unit.dimension() == Dimension::Voltage)
        .collect()
}

fn reading(plot: &mut Plot, held: &Held, supply: f64, volt: Unit, words: &Words) {
    if let Some(most) = held.limits_in(volt).1 {
        plot.bands.push(Band {
            name: say!(words, "At most {value} lost here", value = shown(most, volt)),
            along: Along::Y,
            beside: 1.0,
            low: Some(supply - most),
            high: Some(supply),
        });
    }
    if let Some(lost) = held.value_in(volt).filter(|lost| plot.y.holds(supply - lost)) {
        plot.marks.push(Mark {
            name: say!(words, "Read {value} lost", value = shown(lost, volt)),
            sign: if held.fails { Sign::Out } else { Sign::Reading },
            at: (1.0, supply - lost),
        });
    }
}

fn says(supply: f64, feed: f64, drop: f64, volt: Unit, asked: &Asked<'_>) -> String {
    let mut says = say!(
        asked.words,
        "Voltage along the wire: of {supply} at the battery {feed} is lost on the way to the load and {lost} in all, so that {left} is left for it",
        supply = shown(supply, volt),
        feed = shown(feed, volt),
        lost = shown(drop, volt),
        left = shown(supply - drop, volt),
    );
    for held in held(asked) {
        if let Some(lost) = held.value.and_then(|value| number(value, volt)) {
            says += &say!(asked.words, "; {value} lost was read", value = shown(lost, volt));
        }
    }
    says + "."
}
