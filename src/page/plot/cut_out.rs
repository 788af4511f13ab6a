//! The fuel-pressure cut-out among the pressures that it lives with, as levels on one scale.

use super::asked::{Asked, number, shown};
use super::axis::Axis;
use super::{Along, Area, Level, Plot, Span, Style};
use crate::quantity::Unit;
use crate::say;
use crate::to_say;
use crate::words::Words;

/// The pressures in the unit of the flowing pressure.
struct Levels {
    unit: Unit,
    rail: f64,
    flowing: f64,
    trip: f64,
    reset: f64,
    tolerance: f64,
    margin: f64,
}

impl Levels {
    fn of(asked: &Asked<'_>) -> Option<Self> {
        let unit = asked.given("flowing_pressure")?.unit();
        let of = |name| number(asked.given(name)?, unit);
        let manifold = of("manifold_pressure").unwrap_or(0.0);
        Some(Self {
            unit,
            rail: of("rail_pressure")? + manifold,
            flowing: of("flowing_pressure")?,
            trip: of("trip")?,
            reset: of("reset")?,
            tolerance: of("tolerance")?,
            margin: number(asked.found("margin")?, unit)?,
        })
    }

    fn words(&self, value: f64) -> String {
        shown(value, self.unit)
    }

    fn lowest(&self) -> f64 {
        self.rail.min(self.flowing)
    }
}

/// The plot of `cut-out-margin`.
pub(super) fn plot(asked: &Asked<'_>) -> Option<Plot> {
    let of = Levels::of(asked)?;
    let low = of.trip.min(of.lowest()).min(of.reset);
    let high = of
        .rail
        .max(of.flowing)
        .max(of.reset + of.tolerance)
        .max(of.trip + of.tolerance);
    let room = (high - low).max(high.abs() * 1e-2).max(1e-9);
    let words = asked.words;
    let y = Axis::even(
        words.say("Fuel pressure by the gauge"),
        of.unit.symbol(),
        low - 0.12 * room,
        high + 0.08 * room,
    );
    let mut plot = Plot::new(
        words.say("The cut-out among the fuel pressures"),
        Axis::places("", 0.0, 1.0, Vec::new()),
        y,
    );
    tolerances(&mut plot, &of, &asked.given("tolerance")?.shown(3), words);
    let rail = if asked.word("regulator") == Some("manifold-referenced") {
        to_say!("Rail at vacuum")
    } else {
        to_say!("Rail alone")
    };
    for (name, at, style) in [
        (rail, of.rail, Style::Thin),
        (to_say!("Under flow"), of.flowing, Style::Thin),
        (to_say!("Closes again"), of.reset, Style::Strong),
        (to_say!("Opens"), of.trip, Style::Dashed),
    ] {
        plot.levels.push(Level {
            name: format!("{} {}", words.say(name), of.words(at)),
            style,
            along: Along::Y,
            at,
        });
    }
    margin(&mut plot, asked, &of);
    plot.says = says(asked, &of);
    Some(plot)
}

/// What switch and gauges may be off, above trip and reset.
fn tolerances(plot: &mut Plot, of: &Levels, shown: &str, words: &Words) {
    let tolerance = say!(words, "Tolerance {width}", width = shown);
    for (name, from) in [(String::new(), of.trip), (tolerance, of.reset)] {
        let (low, high) = (from, plot.y.within(from + of.tolerance));
        if high > low {
            plot.areas.push(Area {
                name,
                hatched: false,
                corners: vec![(0.0, low), (1.0, low), (1.0, high), (0.0, high)],
            });
        }
    }
}

fn margin(plot: &mut Plot, asked: &Asked<'_>, of: &Levels) {
    let counted = plot.y.within(of.reset + of.tolerance);
    let least = asked
        .judged
        .and_then(|(_, limits, _)| number(limits.low?, of.unit));
    let least = least.map(|least| say!(asked.words, " (at least {value})", value = of.words(least)));
    let name = if of.margin > 0.0 {
        say!(asked.words, "Margin {value}", value = of.words(of.margin)) + &least.unwrap_or_default()
    } else {
        say!(
            asked.words,
            "No margin: {value} short",
            value = of.words(-of.margin)
        )
    };
    plot.spans.push(Span {
        name,
        along: Along::Y,
        beside: 0.22,
        from: counted.min(of.lowest()),
        to: counted.max(of.lowest()),
    });
}

fn says(asked: &Asked<'_>, of: &Levels) -> String {
    let judged = asked.judged.map_or_else(String::new, |(_, limits, _)| {
        say!(
            asked.words,
            ", which must be {band}",
            band = limits.say(asked.words)
        )
    });
    let said = say!(
        asked.words,
        "Fuel pressures: the rail at its lowest {rail}, under flow {flowing}; the cut-out opens at {trip} and closes again at {reset}, each within {width}; the margin is {margin}",
        rail = of.words(of.rail),
        flowing = of.words(of.flowing),
        trip = of.words(of.trip),
        reset = of.words(of.reset),
        width = of.words(of.tolerance),
        margin = of.words(of.margin),
    );
    format!("{said}{judged}.")
}
