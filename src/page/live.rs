//! What an instrument that answers for itself says at this moment, in words.

use super::gauge::Gauge;
use crate::quantity::{Quantity, Unit};
use crate::say;
use crate::words::Words;

/// How it stands between the tablet and a meter. Nothing but a value can be taken.
#[derive(Clone, Debug, PartialEq)]
pub enum LiveState {
    /// Nothing was heard yet.
    Connecting { at: String },
    /// A value that stands there now.
    Value(Quantity),
    /// Above or below what the meter can show.
    Overload,
    /// The meter says that it has none.
    NoValue,
    /// It said something before, last at this time of day: `14:03:21`.
    Silent { since: String },
    /// Nobody answers at its address, or nothing was ever said.
    NoAnswer { at: String },
    /// Another meter than the register's.
    Stranger { found: String, expected: String },
    /// It did not say who it is.
    Nameless { found: String },
    /// No question of the register is answered in what is measured here.
    Misfit { unit: &'static str, has: String },
    /// It answered a question for a value with something else.
    NoReading { reply: String },
    /// It answered with no text.
    Garbled,
}

/// The same as a page shows it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct LiveView {
    /// The number alone, where one stands there.
    pub value: String,
    pub unit: String,
    /// What stands beside the number, or in its place.
    pub says: String,
    /// Whether there is a value to be taken.
    pub ready: bool,
}

impl LiveState {
    /// The value, where one stands there.
    #[must_use]
    pub fn value(&self) -> Option<Quantity> {
        match self {
            Self::Value(value) => Some(*value),
            _ => None,
        }
    }

    /// One sentence without its full stop; of a value, that it is one.
    #[must_use]
    pub fn say(&self, words: &Words) -> String {
        match self {
            Self::Connecting { at } => say!(words, "Connecting to the meter at {at}", at = at),
            Self::Value(_) => say!(words, "Live"),
            Self::Overload => say!(
                words,
                "Overload: the meter's range or its leads do not fit what is measured"
            ),
            Self::NoValue => say!(words, "The meter has no value"),
            Self::Silent { since } => say!(
                words,
                "Silent since {time}. Is the meter on, and its lead in?",
                time = since
            ),
            Self::NoAnswer { at } => say!(
                words,
                "No answer from {at}. Is the meter on, its lead in, and the speed of its line right?",
                at = at
            ),
            _ => self.say_misfit(words),
        }
    }

    /// What does not fit between the register and the meter.
    fn say_misfit(&self, words: &Words) -> String {
        match self {
            Self::Stranger { found, expected } => say!(
                words,
                "Wrong meter: found serial number {found}, the register says {expected}",
                found = found,
                expected = expected
            ),
            Self::Nameless { found } => say!(
                words,
                "Unknown meter: it did not say who it is, but “{found}”",
                found = found
            ),
            Self::Misfit { unit, has } => say!(
                words,
                "The register has no question to this meter for {unit}; it has {has}",
                unit = unit,
                has = has
            ),
            Self::NoReading { reply } => {
                say!(
                    words,
                    "The meter answered what is no value: {reply}",
                    reply = reply
                )
            }
            _ => say!(
                words,
                "The meter answered something that is not one line of plain text"
            ),
        }
    }

    /// The state as a page shows it.
    #[must_use]
    pub fn view(&self, words: &Words) -> LiveView {
        let text = self.value().map_or_else(String::new, |value| value.to_string());
        let unit = self.value().map_or("", |value| value.unit().symbol());
        LiveView {
            value: text.strip_suffix(unit).unwrap_or(&text).trim_end().to_owned(),
            unit: unit.to_owned(),
            says: self.say(words),
            ready: self.value().is_some(),
        }
    }

    /// The gauge with the value on it, which is not judged yet; as it was where there is none.
    #[must_use]
    pub fn on(&self, mut gauge: Gauge) -> Gauge {
        let unit = Unit::find(gauge.unit);
        let turned = self.value().and_then(|value| value.to(unit?).ok());
        gauge.value = turned.map(Quantity::value);
        gauge
    }
}

/// Why no value can be taken at this moment, and what to do.
#[must_use]
pub fn nothing_to_take(state: &LiveState, words: &Words) -> String {
    say!(
        words,
        "No live value stands there now: {why}. Wait for one, or type what you read.",
        why = state.say(words).trim_end_matches(['.', '?'])
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::words::Language;

    fn volts(value: f64) -> LiveState {
        let unit = Unit::find("V").expect("a unit");
        LiveState::Value(Quantity::new(value, unit).expect("it is finite"))
    }

    fn every() -> Vec<LiveState> {
        let at = || "tcp://192.0.2.7:5025".to_owned();
        let text = |text: &str| text.to_owned();
        vec![
            LiveState::Connecting { at: at() },
            volts(12.6),
            LiveState::Overload,
            LiveState::NoValue,
            LiveState::Silent {
                since: text("14:03:21"),
            },
            LiveState::NoAnswer { at: at() },
            LiveState::Stranger {
                found: text("VM-0094"),
                expected: text("VM-0093"),
            },
            LiveState::Nameless { found: text("DM-4") },
            LiveState::Misfit {
                unit: "A",
                has: text("V, mV"),
            },
            LiveState::NoReading {
                reply: text("12.6 V"),
            },
            LiveState::Garbled,
        ]
    }

    #[test]
    fn every_state_says_something_of_its_own_in_every_language() {
        let german = Words::program(&Language::parse("de").expect("a language"));
        let mut said = std::collections::BTreeSet::new();
        let states = every();
        for state in &states {
            let (here, there) = (state.say(&Words::english()), state.say(&german));
            assert!(
                here.len() > 3 && !here.contains('{') && !there.contains('{'),
                "{state:?}"
            );
            assert!(here != there || state.value().is_some(), "{state:?}: {there}");
            said.insert(here);
        }
        assert_eq!(said.len(), states.len());
    }

    #[test]
    fn nothing_but_a_value_can_be_taken() {
        for state in every() {
            let view = state.view(&Words::english());
            assert_eq!(view.ready, matches!(state, LiveState::Value(_)), "{state:?}");
            assert_eq!(view.value.is_empty(), !view.ready, "{state:?}");
        }
        let view = volts(12.6031).view(&Words::english());
        assert_eq!((view.value.as_str(), view.unit.as_str()), ("12.6031", "V"));
    }

    #[test]
    fn the_value_stands_on_the_gauge_in_its_unit() {
        let parse = |text: &str| Quantity::parse(text, None).expect("a quantity");
        let limits = crate::player::fact::LimitsShown {
            low: Some(parse("12 V")),
            high: Some(parse("13 V")),
            one_of: None,
            origin: String::new(),
            because: None,
            no_concession: None,
        };
        let millivolt = Unit::find("mV").expect("a unit");
        let gauge = || Gauge::new(&limits, millivolt, None).expect("a gauge");
        let value = volts(12.5).on(gauge()).value.expect("a value");
        assert!((value - 12_500.0).abs() < 1e-6, "{value}");
        assert_eq!(LiveState::Overload.on(gauge()).value, None);
    }
}
