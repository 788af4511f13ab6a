//! When a blade fuse opens: its time-current band as the tables print it, in steps, since nothing is interpolated.

use super::asked::{Asked, shown};
use super::axis::Axis;
use super::{Along, Area, Band, Level, Line, Plot, Point, Style};
use crate::quantity::{Quantity, Unit};
use crate::say;
use crate::table::FuseTime;
use crate::to_say;
use crate::words::Words;

/// The longest time that is drawn: 100 hours, in s.
const LONGEST_S: f64 = 1e6;
/// The shortest, in s.
const SHORTEST_S: f64 = 1e-2;

/// The plot of `fuse-time`.
pub(super) fn plot(asked: &Asked<'_>) -> Option<Plot> {
    let (ampere, second) = (Unit::find("A")?, Unit::find("s")?);
    let rating = asked.given("rating")?.si();
    let current = asked.given("current")?.si();
    let mut rows = asked.tables.fuse_times_for(asked.word("type")?).ok()?;
    rows.retain(|row| row.up_to.is_none_or(|up_to| rating <= up_to.si()));
    let last = rows.last()?.multiple.si() * rating;
    let words = asked.words;
    let x = Axis::powers(
        words.say("Current"),
        "A",
        (rating * 0.9).min(current),
        last.max(current),
    );
    let y = Axis::powers(words.say("Time to open"), "s", SHORTEST_S, LONGEST_S);
    let mut plot = Plot::new(words.say("When the fuse opens"), x, y);
    let (least, most) = (least(&rows, rating, plot.x.from), most(&rows, rating, last));
    plot.areas.push(Area {
        name: String::new(),
        hatched: false,
        corners: least.iter().copied().chain(most.iter().rev().copied()).collect(),
    });
    let line = |name: &str, style, points| Line {
        name: words.say(name).to_owned(),
        style,
        points,
    };
    plot.lines = vec![
        line(to_say!("Not before"), Style::Strong, least),
        line(to_say!("Open by then"), Style::Thin, most),
    ];
    plot.levels.push(Level {
        name: say!(words, "Rating {value}", value = shown(rating, ampere)),
        style: Style::Dotted,
        along: Along::X,
        at: rating,
    });
    let seconds = |name| asked.found(name).map(Quantity::si);
    let (soonest, latest) = (seconds("opens_after_min")?, seconds("opens_after_max"));
    plot.bands.push(Band {
        name: format!(
            "{}: {}",
            shown(current, ampere),
            span(soonest, latest, second, words)
        ),
        along: Along::Y,
        beside: current,
        low: Some(plot.y.within(soonest)),
        high: latest.map(|latest| plot.y.within(latest)),
    });
    plot.notes.push(say!(
        words,
        "Both scales grow by powers of ten. Advice at 23 °C from rest, never an acceptance limit."
    ));
    plot.says = say!(
        words,
        "When a {rating} fuse opens: at {current} {span}.",
        rating = shown(rating, ampere),
        current = shown(current, ampere),
        span = span(soonest, latest, second, words)
    );
    Some(plot)
}

fn span(soonest: f64, latest: Option<f64>, second: Unit, words: &Words) -> String {
    match latest {
        Some(latest) => say!(
            words,
            "{low} to {high}",
            low = shown(soonest, second),
            high = shown(latest, second)
        ),
        None => say!(
            words,
            "not before {time}, perhaps never",
            time = shown(soonest, second)
        ),
    }
}

/// The least times as stairs: up to a printed multiple its own time holds.
fn least(rows: &[&FuseTime], rating: f64, from: f64) -> Vec<Point> {
    let mut stairs = Vec::new();
    let mut start = from;
    for row in rows {
        let (end, Some(time)) = (row.multiple.si() * rating, row.least.map(Quantity::si)) else {
            continue;
        };
        let time = time.clamp(SHORTEST_S, LONGEST_S);
        stairs.extend([(start.max(from), time), (end.max(from), time)]);
        start = end;
    }
    stairs
}

/// The greatest times as stairs: from a printed multiple on its own time holds.
fn most(rows: &[&FuseTime], rating: f64, last: f64) -> Vec<Point> {
    let timed: Vec<(f64, f64)> = rows
        .iter()
        .filter_map(|row| {
            Some((
                row.multiple.si() * rating,
                row.most?.si().clamp(SHORTEST_S, LONGEST_S),
            ))
        })
        .collect();
    let mut stairs: Vec<Point> = timed
        .first()
        .map(|(at, _)| (*at, LONGEST_S))
        .into_iter()
        .collect();
    for (place, (at, time)) in timed.iter().enumerate() {
        let end = timed.get(place + 1).map_or(last, |(next, _)| *next);
        stairs.extend([(*at, *time), (end, *time)]);
    }
    stairs
}
