//! A bottle's pressure against its temperature: the saturation line, this filling's own line, and the reading.

use super::asked::{Asked, Held, number, shown};
use super::axis::Axis;
use super::{Along, Band, Line, Mark, Plot, Point, Sign, Style};
use crate::calc::nitrous::saturation::{self, CRITICAL_PA};
use crate::calc::nitrous::state::{Content, full_at_k, vessel};
use crate::calc::nitrous::{CRITICAL_K, HOTTEST_K, TRIPLE_K};
use crate::quantity::{Dimension, Quantity, Unit};
use crate::say;
use crate::words::Words;

/// What the plot shows at least: a cold workshop to a car in the sun.
const COLD_K: f64 = 273.15;
const WARM_K: f64 = 333.15;
/// The highest pressure of a filling that is drawn where the reading asks for no more: 200 bar.
const TOP_PA: f64 = 2e7;
/// The pressure up to which every plot reaches: a little more than the critical one.
const LEAST_PA: f64 = 7.5e6;
/// Steps of a curve.
const STEPS: usize = 120;

/// Temperature and pressure by the gauge in the units of the step.
struct Scales {
    warmth: Unit,
    pressure: Unit,
    air_pa: f64,
}

impl Scales {
    fn of(asked: &Asked<'_>) -> Option<Self> {
        let given = |name| asked.given(name).map(Quantity::unit);
        let found = |name| asked.found(name).map(Quantity::unit);
        Some(Self {
            warmth: given("temperature").or_else(|| found("temperature"))?,
            pressure: asked
                .step_unit(Dimension::Pressure)
                .or_else(|| given("pressure_gauge"))
                .or_else(|| found("pressure_gauge"))?,
            air_pa: asked.given("ambient_pressure")?.si(),
        })
    }

    fn x(&self, kelvin: f64) -> Option<f64> {
        Quantity::from_si(kelvin, self.warmth).ok().map(Quantity::value)
    }

    fn kelvin(&self, x: f64) -> Option<f64> {
        Quantity::new(x, self.warmth).ok().map(Quantity::si)
    }

    fn y(&self, pressure_pa: f64) -> Option<f64> {
        let gauge = Quantity::from_si(pressure_pa - self.air_pa, self.pressure).ok()?;
        Some(gauge.value())
    }

    fn point(&self, (kelvin, pressure_pa): (f64, f64)) -> Option<Point> {
        Some((self.x(kelvin)?, self.y(pressure_pa)?))
    }

    fn points(&self, states: &[(f64, f64)]) -> Vec<Point> {
        states.iter().filter_map(|state| self.point(*state)).collect()
    }

    fn axes(&self, kelvins: (f64, f64), top_pa: f64, words: &Words) -> Option<(Axis, Axis)> {
        let x = Axis::even(
            words.say("Temperature of the bottle"),
            self.warmth.symbol(),
            self.x(kelvins.0)?,
            self.x(kelvins.1)?,
        );
        let y = Axis::even(
            words.say("Pressure by the gauge"),
            self.pressure.symbol(),
            0.0,
            self.y(top_pa)?,
        );
        Some((x, y))
    }
}

/// The plot of `bottle-state` or `nitrous-saturation`.
pub(super) fn plot(asked: &Asked<'_>) -> Option<Plot> {
    let scales = Scales::of(asked)?;
    let kelvin = asked.found("temperature")?.si();
    let pressure_pa = asked.found("pressure")?.si();
    let fill = asked.given("fill").or(asked.beside.fill).map(Quantity::si);
    let kelvins = (
        COLD_K.min(kelvin - 5.0).max(TRIPLE_K),
        WARM_K.max(kelvin + 5.0).min(HOTTEST_K),
    );
    let top_pa = top_pa(asked, pressure_pa, fill.map(|fill| isochore(kelvins, fill)));
    let (x, y) = scales.axes(kelvins, top_pa, asked.words)?;
    let kelvins = (
        scales.kelvin(x.from)?.max(TRIPLE_K),
        scales.kelvin(x.to)?.min(HOTTEST_K),
    );
    let mut plot = Plot::new(
        asked.words.say("Pressure in the bottle against its temperature"),
        x,
        y,
    );
    curves(&mut plot, &scales, kelvins, fill, asked.words);
    figure(&mut plot, asked, &scales, (kelvin, pressure_pa));
    for held in &asked.beside.readings {
        reading(&mut plot, &scales, kelvin, held, asked.words);
    }
    plot.notes.push(say!(
        asked.words,
        "Pure nitrous oxide of one temperature in a bottle that does not stretch; the relief disc may open before."
    ));
    plot.says = says(asked, &scales, fill)?;
    Some(plot)
}

/// How high the plot reaches: over the figure, the readings and the bottle's own line.
fn top_pa(asked: &Asked<'_>, pressure_pa: f64, own: Option<Vec<(f64, f64)>>) -> f64 {
    let read = asked.beside.readings.iter();
    let read_pa = read.filter_map(|held| Some(held.value?.si()));
    let warm_pa = own
        .and_then(|own| own.last().copied())
        .map_or(LEAST_PA, |(_, warm_pa)| warm_pa.clamp(LEAST_PA, TOP_PA));
    read_pa.fold(pressure_pa * 1.05, f64::max).max(warm_pa)
}

fn curves(plot: &mut Plot, scales: &Scales, kelvins: (f64, f64), fill: Option<f64>, words: &Words) {
    let saturated = saturated(kelvins.0);
    plot.lines.push(Line {
        name: say!(words, "Liquid and vapour together"),
        style: if fill.is_some() {
            Style::Thin
        } else {
            Style::Strong
        },
        points: inside(plot, scales.points(&saturated)),
    });
    if let Some(end) = scales.point((CRITICAL_K, CRITICAL_PA)) {
        let at = scales
            .x(CRITICAL_K)
            .map_or_else(String::new, |at| shown(at, scales.warmth));
        plot.marks.push(Mark {
            name: say!(words, "Critical point {at}", at = at),
            sign: Sign::End,
            at: end,
        });
    }
    let Some(fill_kg_m3) = fill else { return };
    let own = isochore(kelvins, fill_kg_m3);
    let points = inside(plot, scales.points(&own));
    plot.lines.push(Line {
        name: say!(words, "This bottle, {fill}", fill = filling(fill_kg_m3)),
        style: Style::Strong,
        points,
    });
    knee(plot, scales, fill_kg_m3, words);
}

/// Where the liquid fills the bottle, if that is on the plot.
fn knee(plot: &mut Plot, scales: &Scales, fill_kg_m3: f64, words: &Words) {
    let full = full_at_k(fill_kg_m3).ok().flatten();
    let state = full.and_then(|kelvin| Some((kelvin, saturation::at_temperature(kelvin).ok()?.pressure_pa)));
    let Some(at) = state.and_then(|state| scales.point(state)) else {
        return;
    };
    if plot.x.holds(at.0) && plot.y.holds(at.1) {
        plot.marks.push(Mark {
            name: say!(
                words,
                "Full of liquid at {warmth}",
                warmth = shown(at.0, scales.warmth)
            ),
            sign: Sign::Knee,
            at,
        });
    }
}

/// What the calculator found: the mark where nothing was read, else a ring that the reading is held against.
fn figure(plot: &mut Plot, asked: &Asked<'_>, scales: &Scales, state: (f64, f64)) {
    let Some(at) = scales.point(state) else { return };
    let taken = asked.beside.readings.iter().any(|held| held.value.is_some());
    let name = format!("{}, {}", shown(at.0, scales.warmth), shown(at.1, scales.pressure));
    if !taken {
        plot.marks.push(Mark {
            name,
            sign: Sign::Reading,
            at,
        });
    }
}

/// The gauge that was read, with the band that it must lie in.
fn reading(plot: &mut Plot, scales: &Scales, kelvin: f64, held: &Held, words: &Words) {
    let Some(beside) = scales.x(kelvin) else { return };
    let (low, high) = held.limits_in(scales.pressure);
    if low.is_some() || high.is_some() {
        let on = |limit: Option<f64>| limit.map(|limit| plot.y.within(limit));
        plot.bands.push(Band {
            name: held.limits.as_ref().map_or_else(String::new, |limits| {
                say!(words, "Must be {band}", band = limits.say(words))
            }),
            along: Along::Y,
            beside,
            low: on(low),
            high: on(high),
        });
    }
    if let Some(value) = held
        .value_in(scales.pressure)
        .filter(|value| plot.y.holds(*value))
    {
        plot.marks.push(Mark {
            name: say!(words, "Read {value}", value = shown(value, scales.pressure)),
            sign: if held.fails { Sign::Out } else { Sign::Reading },
            at: (beside, value),
        });
    }
}

/// States on the saturation line from a temperature to the critical point.
fn saturated(from_k: f64) -> Vec<(f64, f64)> {
    let kelvin = |number: usize| from_k + (CRITICAL_K - from_k) * number as f64 / STEPS as f64;
    let mut states: Vec<(f64, f64)> = (0..STEPS)
        .filter_map(|number| {
            let found = saturation::at_temperature(kelvin(number)).ok()?;
            Some((found.temperature_k, found.pressure_pa))
        })
        .collect();
    if from_k < CRITICAL_K {
        states.push((CRITICAL_K, CRITICAL_PA));
    }
    states
}

/// States of one filling, as far as the equation goes; the knee is one of them.
fn isochore((from_k, to_k): (f64, f64), fill_kg_m3: f64) -> Vec<(f64, f64)> {
    let step = (to_k - from_k) / STEPS as f64;
    let mut kelvins: Vec<f64> = (0..=STEPS).map(|number| from_k + step * number as f64).collect();
    let full = full_at_k(fill_kg_m3).ok().flatten();
    kelvins.extend(
        full.into_iter()
            .chain([CRITICAL_K])
            .filter(|kelvin| (from_k..=to_k).contains(kelvin)),
    );
    kelvins.sort_by(f64::total_cmp);
    let state = |kelvin: f64| {
        let found = vessel(kelvin, fill_kg_m3).ok()?;
        // In the two-phase region near the critical point vapour and liquid stand at saturation.
        (found.content != Content::Vapour || found.pressure_pa > 0.0).then_some((kelvin, found.pressure_pa))
    };
    kelvins.into_iter().map_while(state).collect()
}

/// The part of a rising curve that lies on the plot, cut where it leaves it.
fn inside(plot: &Plot, points: Vec<Point>) -> Vec<Point> {
    let mut kept: Vec<Point> = Vec::new();
    for point in points {
        if plot.x.holds(point.0) && plot.y.holds(point.1) {
            kept.push(point);
            continue;
        }
        if let Some(last) = kept.last().copied().filter(|_| plot.x.holds(point.0)) {
            let share = (plot.y.to - last.1) / (point.1 - last.1);
            if share.is_finite() && (0.0..=1.0).contains(&share) {
                kept.push((last.0 + share * (point.0 - last.0), plot.y.to));
            }
            break;
        }
    }
    kept
}

fn filling(fill_kg_m3: f64) -> String {
    let unit = Unit::find("kg/L");
    let filled = unit.and_then(|unit| Quantity::from_si(fill_kg_m3, unit).ok());
    filled.map_or_else(String::new, |filled| filled.shown(3))
}

fn says(asked: &Asked<'_>, scales: &Scales, fill: Option<f64>) -> Option<String> {
    let warmth = number(asked.found("temperature")?, scales.warmth)?;
    let gauge = number(asked.found("pressure_gauge")?, scales.pressure)?;
    let (warmth, gauge) = (shown(warmth, scales.warmth), shown(gauge, scales.pressure));
    let words = asked.words;
    let mut says = say!(
        words,
        "Pressure in the bottle against its temperature: at {warmth} the gauge should show {gauge}",
        warmth = warmth,
        gauge = gauge
    );
    if let Some(fill) = fill {
        let full = full_at_k(fill).ok().flatten().and_then(|kelvin| scales.x(kelvin));
        says += &match full {
            Some(at) => say!(
                words,
                "; a filling of {fill} is full of liquid from {warmth} on, and its pressure then climbs steeply",
                fill = filling(fill),
                warmth = shown(at, scales.warmth)
            ),
            None => say!(
                words,
                "; a filling of {fill} never fills the bottle with liquid",
                fill = filling(fill)
            ),
        };
    }
    for held in &asked.beside.readings {
        if let Some(value) = held.value_in(scales.pressure) {
            says += &say!(words, "; {value} was read", value = shown(value, scales.pressure));
        }
    }
    Some(says + ".")
}
