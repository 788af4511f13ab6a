//! The fuel-pressure cut-out among the pressures that it lives with, as levels on one scale.

use super::asked::{Asked, number, shown};
use super::axis::Axis;
use super::{Along, Area, Level, Plot, Span, Style};
use crate::quantity::Unit;

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
    let y = Axis::even(
        "Fuel pressure by the gauge",
        of.unit.symbol(),
        low - 0.12 * room,
        high + 0.08 * room,
    );
    let mut plot = Plot::new(
        "The cut-out among the fuel pressures",
        Axis::places("", 0.0, 1.0, Vec::new()),
        y,
    );
    tolerances(&mut plot, &of, &asked.given("tolerance")?.shown(3));
    let rail = if asked.word("regulator") == Some("manifold-referenced") {
        "Rail at vacuum"
    } else {
        "Rail alone"
    };
    for (name, at, style) in [
        (rail, of.rail, Style::Thin),
        ("Under flow", of.flowing, Style::Thin),
        ("Closes again", of.reset, Style::Strong),
        ("Opens", of.trip, Style::Dashed),
    ] {
        plot.levels.push(Level {
            name: format!("{name} {}", of.words(at)),
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
fn tolerances(plot: &mut Plot, of: &Levels, shown: &str) {
    for (name, from) in [(String::new(), of.trip), (format!("Tolerance {shown}"), of.reset)] {
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
    let least = least.map(|least| format!(" (at least {})", of.words(least)));
    let name = if of.margin > 0.0 {
        format!("Margin {}{}", of.words(of.margin), least.unwrap_or_default())
    } else {
        format!("No margin: {} short", of.words(-of.margin))
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
        format!(", which must be {}", limits.in_words())
    });
    format!(
        "Fuel pressures: the rail at its lowest {}, under flow {}; the cut-out opens at {} and closes again at {}, each within {}; the margin is {}{judged}.",
        of.words(of.rail),
        of.words(of.flowing),
        of.words(of.trip),
        of.words(of.reset),
        of.words(of.tolerance),
        of.words(of.margin),
    )
}
