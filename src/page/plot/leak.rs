//! A closed branch under gas: its pressure as read, and with the temperature taken out.

use super::asked::{Asked, limits_in, number, shown};
use super::axis::Axis;
use super::{Area, Line, Mark, Plot, Sign, Style};
use crate::quantity::{Quantity, Unit};
use crate::say;
use crate::words::Words;

/// Start and end of a test, pressures in the unit of the first reading.
struct Decay {
    unit: Unit,
    time: Quantity,
    start: f64,
    end: f64,
    /// The end, had the temperature stayed.
    corrected: f64,
    drop: f64,
}

impl Decay {
    fn of(asked: &Asked<'_>) -> Option<Self> {
        let unit = asked.given("start_pressure")?.unit();
        let pascal = |name| Some(asked.given(name)?.si());
        let start = number(asked.given("start_pressure")?, unit)?;
        let drop_pa = asked.found("corrected_drop")?.si();
        let corrected = Quantity::from_si(pascal("start_pressure")? - drop_pa, unit)
            .ok()?
            .value();
        Some(Self {
            unit,
            time: asked.given("time")?,
            start,
            end: number(asked.given("end_pressure")?, unit)?,
            corrected,
            drop: start - corrected,
        })
    }
}

/// The plot of `leak-decay`.
pub(super) fn plot(asked: &Asked<'_>) -> Option<Plot> {
    let decay = Decay::of(asked)?;
    let over = decay.time.value();
    let allowed = allowed(asked, &decay);
    let ends = [
        Some(decay.start),
        Some(decay.end),
        Some(decay.corrected),
        allowed.0,
        allowed.1,
    ];
    let (low, high) = ends
        .iter()
        .flatten()
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), end| {
            (low.min(*end), high.max(*end))
        });
    let room = (high - low).max(decay.start.abs() * 1e-3).max(1e-6);
    let x = Axis::even(
        asked.words.say("Time"),
        decay.time.unit().symbol(),
        0.0,
        over * 1.5,
    );
    let y = Axis::even(
        asked.words.say("Pressure of the closed branch"),
        decay.unit.symbol(),
        low - 0.2 * room,
        high + 0.2 * room,
    );
    let mut plot = Plot::new(
        asked.words.say("Pressure of the closed branch against time"),
        x,
        y,
    );
    let words = asked.words;
    wedge(&mut plot, &decay, allowed, words);
    let line = |name: String, style, end| Line {
        name,
        style,
        points: vec![(0.0, decay.start), (over, end)],
    };
    plot.lines = vec![
        line(say!(words, "As read"), Style::Dashed, decay.end),
        line(
            say!(words, "Temperature taken out"),
            Style::Strong,
            decay.corrected,
        ),
    ];
    let mark = |name: String, sign, at| Mark { name, sign, at };
    plot.marks = vec![
        mark(String::new(), Sign::End, (0.0, decay.start)),
        mark(
            say!(words, "Read {value}", value = shown(decay.end, decay.unit)),
            Sign::Knee,
            (over, decay.end),
        ),
        mark(
            say!(words, "Fall {value}", value = shown(decay.drop, decay.unit)),
            if asked.judged.is_some_and(|(.., verdict)| verdict.fails()) {
                Sign::Out
            } else {
                Sign::Reading
            },
            (over, decay.corrected),
        ),
    ];
    plot.says = says(asked, &decay);
    Some(plot)
}

/// The lowest and highest end that the band on the corrected drop allows.
fn allowed(asked: &Asked<'_>, decay: &Decay) -> (Option<f64>, Option<f64>) {
    let Some((_, limits, _)) = asked.judged.filter(|(output, ..)| output == "corrected_drop") else {
        return (None, None);
    };
    let (least, most) = limits_in(limits, decay.unit);
    (
        most.map(|most| decay.start - most),
        least.map(|least| decay.start - least),
    )
}

/// The permitted ends as a wedge from the start.
fn wedge(plot: &mut Plot, decay: &Decay, allowed: (Option<f64>, Option<f64>), words: &Words) {
    let (Some(low), over) = (allowed.0, decay.time.value()) else {
        return;
    };
    let high = allowed.1.unwrap_or(plot.y.to);
    plot.areas.push(Area {
        name: say!(words, "Allowed"),
        hatched: true,
        corners: vec![(0.0, decay.start), (over, low), (over, high)],
    });
}

fn says(asked: &Asked<'_>, decay: &Decay) -> String {
    let value = |value| shown(value, decay.unit);
    let mut says = say!(
        asked.words,
        "Pressure of the closed branch: {start} at the start and {end} after {time}; with the temperature taken out it fell by {fall}",
        start = value(decay.start),
        end = value(decay.end),
        time = decay.time.shown(3),
        fall = value(decay.drop)
    );
    if let Some((_, limits, _)) = asked.judged {
        says += &say!(
            asked.words,
            ", which must be {band}",
            band = limits.say(asked.words)
        );
    }
    says + "."
}
