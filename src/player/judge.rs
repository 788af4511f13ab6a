//! A typed value understood, and a value against its band.

use super::fact::{LimitsShown, Verdict};
use crate::calc::Value;
use crate::procedure::{Band, GuardBand, Operand, ReadingKind, Reference, Text, band};
use crate::quantity::{Quantity, Unit};
use crate::say;
use crate::words::Words;

/// What a band is judged with: the values that references stand for now, texts with their values, and what
/// references are called by people.
pub struct Sight<'a> {
    pub value: &'a dyn Fn(&Reference) -> Option<Value>,
    pub text: &'a dyn Fn(&Text) -> String,
    pub name: &'a dyn Fn(&Reference) -> String,
    pub words: &'a Words,
}

/// Judges a value; gives the band as it stood.
///
/// # Errors
/// Why the band cannot be known yet.
pub fn judge(band: &Band, value: &Value, sight: &Sight) -> Result<(LimitsShown, Verdict), String> {
    let limits = resolve(band, sight)?;
    let verdict = limits.judge(value).into();
    Ok((shown(band, limits, sight).beside(value), verdict))
}

/// The band as it stands now, for the gauge before anything is read.
///
/// # Errors
/// Why the band cannot be known yet.
pub fn limits(band: &Band, sight: &Sight) -> Result<LimitsShown, String> {
    let limits = resolve(band, sight)?;
    Ok(shown(band, limits, sight))
}

/// Judges a measured value by guarded acceptance, with the uncertainty that its instrument has there.
///
/// # Errors
/// Why the band cannot be known yet.
pub fn judge_guarded(
    band: &Band,
    value: &Value,
    uncertainty: Quantity,
    sight: &Sight,
) -> Result<(LimitsShown, Option<GuardBand>, Verdict), String> {
    let limits = resolve(band, sight)?;
    let guard_band = GuardBand::of(&limits, uncertainty);
    let verdict = match &guard_band {
        Some(guard_band) => limits.judge_guarded(value, guard_band),
        None => limits.judge(value),
    };
    let shown = shown(band, limits, sight).beside(value);
    Ok((
        shown,
        guard_band.map(|guard_band| beside(guard_band, value)),
        verdict.into(),
    ))
}

fn resolve(band: &Band, sight: &Sight) -> Result<band::Limits, String> {
    band::resolve_in(band, sight.value, sight.words).map_err(|error| error.say(sight.words))
}

/// The acceptance limits in the value's unit.
fn beside(mut guard_band: GuardBand, value: &Value) -> GuardBand {
    if let Value::Quantity(found) = value {
        let turn = |limit: Quantity| limit.to(found.unit()).unwrap_or(limit);
        guard_band.low = guard_band.low.map(turn);
        guard_band.high = guard_band.high.map(turn);
    }
    guard_band
}

fn shown(band: &Band, limits: band::Limits, sight: &Sight) -> LimitsShown {
    LimitsShown {
        low: limits.low,
        high: limits.high,
        one_of: limits.one_of,
        origin: named(band, limits.origin, sight),
        because: band.because.as_ref().map(sight.text),
        no_concession: band.no_concession.clone(),
    }
}

/// The origin with its references called as people call them.
fn named(band: &Band, mut origin: String, sight: &Sight) -> String {
    let around = band.around.iter().map(|(middle, _)| middle);
    let operands = band
        .at_least
        .iter()
        .chain(&band.at_most)
        .chain(around)
        .chain(&band.equals);
    let mut references: Vec<&Reference> = operands.filter_map(Operand::reference).collect();
    // A reference may begin with the whole of another one.
    references.sort_by_key(|reference| std::cmp::Reverse(reference.to_string().len()));
    for reference in references {
        origin = origin.replace(&reference.to_string(), &(sight.name)(reference));
    }
    origin
}

impl From<band::Verdict> for Verdict {
    fn from(verdict: band::Verdict) -> Self {
        match verdict {
            band::Verdict::In => Self::In,
            band::Verdict::Undecided => Self::Undecided,
            band::Verdict::Below => Self::Below,
            band::Verdict::Above => Self::Above,
            band::Verdict::NotAmong => Self::NotAmong,
        }
    }
}

impl LimitsShown {
    /// The limits as a reading of this kind shows them: in its unit, and by the words of its choices.
    #[must_use]
    pub fn for_kind(mut self, kind: &ReadingKind) -> Self {
        match kind {
            ReadingKind::Number { unit, .. } => self.in_unit(*unit),
            ReadingKind::Choice(options) => {
                let named = |keys: Vec<String>| keys.iter().map(|key| option_label(options, key)).collect();
                self.one_of = self.one_of.map(named);
                self
            }
            ReadingKind::YesNo | ReadingKind::Text { .. } | ReadingKind::Photo => self,
        }
    }

    /// The limits beside a value: in the value's unit.
    #[must_use]
    pub fn beside(self, value: &Value) -> Self {
        match value {
            Value::Quantity(quantity) => self.in_unit(quantity.unit()),
            Value::Text(_) | Value::Flag(_) => self,
        }
    }

    /// The limits in one unit. A gauge number that stands for an area has no use for fractions, so wires keep
    /// the author's unit.
    fn in_unit(mut self, unit: Unit) -> Self {
        let stays = |limit: &Quantity| limit.unit().symbol() == "AWG" || unit.symbol() == "AWG";
        let turn = |limit: Quantity| {
            if stays(&limit) {
                limit
            } else {
                limit.to(unit).unwrap_or(limit)
            }
        };
        self.low = self.low.map(turn);
        self.high = self.high.map(turn);
        self
    }
}

/// Free text, trimmed, of at most `most` characters.
///
/// # Errors
/// Says that it is empty, too long, or holds control characters.
pub fn free_text(text: &str, most: usize, words: &Words) -> Result<Value, String> {
    let text = text.trim();
    match text.chars().count() {
        0 => Err(words.say("nothing was written").to_owned()),
        count if count > most => Err(say!(
            words,
            "{count} characters, at most {most} are allowed",
            count = count,
            most = most
        )),
        _ if text.chars().any(char::is_control) => Err(words
            .say("line breaks and control characters are not allowed")
            .to_owned()),
        _ => Ok(Value::Text(text.to_owned())),
    }
}

/// The chosen key: the key itself or its label may be given.
///
/// # Errors
/// Lists the choices.
pub fn choice(text: &str, options: &[(String, String)], words: &Words) -> Result<Value, String> {
    let text = text.trim();
    options
        .iter()
        .find(|(key, label)| key == text || label == text)
        .map(|(key, _)| Value::Text(key.clone()))
        .ok_or_else(|| {
            let keys: Vec<&str> = options.iter().map(|(key, _)| key.as_str()).collect();
            say!(
                words,
                "found “{text}”, expected one of {choices}",
                text = text,
                choices = keys.join(", ")
            )
        })
}

/// Yes or no.
///
/// # Errors
/// Says what was found.
pub fn yes_no(text: &str, words: &Words) -> Result<Value, String> {
    match text.trim() {
        "yes" => Ok(Value::Flag(true)),
        "no" => Ok(Value::Flag(false)),
        other => Err(say!(words, "found “{text}”, expected yes or no", text = other)),
    }
}

/// What a choice is called.
#[must_use]
pub fn option_label(options: &[(String, String)], key: &str) -> String {
    options
        .iter()
        .find(|(id, _)| id == key)
        .map_or_else(|| key.to_owned(), |(_, label)| label.clone())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn quantity(text: &str) -> Quantity {
        Quantity::parse(text, None).expect("a quantity")
    }

    fn limits(low: &str, high: &str) -> LimitsShown {
        LimitsShown {
            low: Some(quantity(low)),
            high: Some(quantity(high)),
            one_of: None,
            origin: String::new(),
            because: None,
            no_concession: None,
        }
    }

    #[test]
    fn a_band_is_shown_in_the_unit_of_its_reading() {
        let bar = Unit::find("bar").expect("a unit");
        let kind = ReadingKind::Number {
            unit: bar,
            from: quantity("0 bar"),
            to: quantity("10 bar"),
        };
        let shown = limits("37.35 psi", "3.3 bar").for_kind(&kind);
        assert_eq!(shown.in_words(), "2.575 bar to 3.3 bar");
    }

    #[test]
    fn a_figure_is_judged_in_its_own_unit_and_a_wire_keeps_its_gauge() {
        let margin = Value::Quantity(quantity("35.75 kPa"));
        assert_eq!(
            limits("0.3 bar", "1 bar").beside(&margin).in_words(),
            "30 kPa to 100 kPa"
        );
        let wire = Value::Quantity(quantity("10 AWG"));
        assert_eq!(
            limits("4 mm2", "6 mm2").beside(&wire).in_words(),
            "4 mm² to 6 mm²"
        );
    }

    #[test]
    fn choices_are_shown_by_their_words() {
        let kind = ReadingKind::Choice(vec![("fuel".into(), "In the fuel side".into())]);
        let shown = LimitsShown {
            one_of: Some(vec!["fuel".into()]),
            low: None,
            high: None,
            ..limits("1 bar", "2 bar")
        };
        assert_eq!(shown.for_kind(&kind).in_words(), "In the fuel side");
    }
}
