//! What a jet passes against the pressure drop across it, with the scatter of such jets and what was measured.

use super::asked::{Asked, number, shown};
use super::axis::Axis;
use super::{Area, Line, Mark, Plot, Point, Sign, Style};
use crate::quantity::Quantity;
use crate::say;

const STEPS: usize = 60;

/// The plot of `jet-flow`: every flow of this jet follows the root of the drop.
pub(super) fn plot(asked: &Asked<'_>) -> Option<Plot> {
    let drop = asked.given("drop")?;
    let flow = asked.found("volume_flow")?;
    let unit = flow.unit();
    let flow_of = |name| number(asked.found(name)?, unit);
    let (low, high) = (flow_of("volume_flow_low")?, flow_of("volume_flow_high")?);
    let measured = asked.beside.measured.and_then(|measured| number(measured, unit));
    let at = drop.value();
    let far = at * 1.6;
    let root = |drop: f64| (drop / at).max(0.0).sqrt();
    let top = (high * root(far)).max(measured.unwrap_or(0.0) * 1.05);
    let words = asked.words;
    let x = Axis::even(
        words.say("Pressure drop across the jet"),
        drop.unit().symbol(),
        0.0,
        far,
    );
    let y = Axis::even(words.say("Flow"), unit.symbol(), 0.0, top);
    let far = x.to.min(far);
    let curve = |flow: f64| -> Vec<Point> {
        // Finer towards the start, where the root is steep.
        let drop = |number: usize| far * (number as f64 / STEPS as f64).powi(2);
        (0..=STEPS)
            .map(|number| (drop(number), flow * root(drop(number))))
            .collect()
    };
    let mut plot = Plot::new(words.say("Flow of the jet against its pressure drop"), x, y);
    let mut corners = curve(high);
    corners.extend(curve(low).into_iter().rev());
    plot.areas.push(Area {
        name: say!(words, "Scatter of such jets"),
        hatched: false,
        corners,
    });
    plot.lines.push(Line {
        name: say!(words, "This jet"),
        style: Style::Strong,
        points: curve(flow.value()),
    });
    plot.marks.push(Mark {
        name: say!(
            words,
            "{flow} at {drop}",
            flow = flow.shown(3),
            drop = drop.shown(3)
        ),
        sign: if measured.is_some() {
            Sign::Knee
        } else {
            Sign::Reading
        },
        at: (at, flow.value()),
    });
    if let Some(measured) = measured {
        let fails = asked.judged.is_some_and(|(.., verdict)| verdict.fails());
        plot.marks.push(Mark {
            name: say!(words, "Measured {value}", value = shown(measured, unit)),
            sign: if fails { Sign::Out } else { Sign::Reading },
            at: (at, measured),
        });
    }
    plot.says = says(drop, flow, (low, high), asked);
    Some(plot)
}

fn says(drop: Quantity, flow: Quantity, scatter: (f64, f64), asked: &Asked<'_>) -> String {
    let (unit, words) = (flow.unit(), asked.words);
    let mut says = say!(
        words,
        "Flow of the jet against its pressure drop: {flow} at {drop}, with the scatter of such jets {low} to {high}",
        flow = flow.shown(3),
        drop = drop.shown(3),
        low = shown(scatter.0, unit),
        high = shown(scatter.1, unit),
    );
    if let Some(measured) = asked.beside.measured.and_then(|measured| number(measured, unit)) {
        says += &say!(words, "; {value} was measured", value = shown(measured, unit));
    }
    says + "."
}
