//! A gauge of the page model as the screen draws it: shares of its scale, and figures in words.

use super::{GaugePicture, GuardZone, Verdict};
use crate::page::Gauge;
use crate::player::fact;
use crate::quantity::{Quantity, Unit};
use crate::say;
use crate::to_say;
use crate::words::Words;

/// The verdict as the screen knows it.
pub(super) fn verdict(verdict: Option<fact::Verdict>) -> Verdict {
    match verdict {
        None => Verdict::None,
        Some(fact::Verdict::In) => Verdict::Within,
        Some(fact::Verdict::Undecided) => Verdict::Undecided,
        Some(fact::Verdict::Below) => Verdict::Below,
        Some(fact::Verdict::Above) => Verdict::Above,
        Some(fact::Verdict::NotAmong) => Verdict::NotAmong,
        Some(fact::Verdict::Unjudged) => Verdict::Unjudged,
    }
}

/// The verdict in the words that stand beside its shape; nothing before there is one.
pub(super) fn verdict_text(verdict: Option<fact::Verdict>, measured: bool) -> &'static str {
    match verdict {
        None => "",
        Some(fact::Verdict::In) if measured => to_say!("In its band"),
        Some(fact::Verdict::In) => to_say!("As it must be"),
        Some(fact::Verdict::Undecided) => to_say!("Too near a limit"),
        Some(fact::Verdict::Below) => to_say!("Below its band"),
        Some(fact::Verdict::Above) => to_say!("Above its band"),
        Some(fact::Verdict::NotAmong) => to_say!("Not as it must be"),
        Some(fact::Verdict::Unjudged) => to_say!("Not judged"),
    }
}

/// The picture of a gauge; an empty one where there is no band to draw.
pub(super) fn picture(gauge: Option<&Gauge>, judged: Option<fact::Verdict>, words: &Words) -> GaugePicture {
    let Some(gauge) = gauge else {
        return GaugePicture::default();
    };
    let place = |number: Option<f64>| number.map_or(0.0, |number| gauge.place(number) as f32);
    let text = |number: Option<f64>| number.map_or_else(String::new, |number| shown(number, gauge.unit));
    let ticks: Vec<f32> = gauge.ticks.iter().map(|tick| place(Some(*tick))).collect();
    let zones = gauge.guard_zones();
    let guards: Vec<GuardZone> = zones.iter().map(|zone| guard_zone(gauge, *zone)).collect();
    GaugePicture {
        shown: true,
        low: place(gauge.low),
        high: place(gauge.high),
        has_low: gauge.low.is_some(),
        has_high: gauge.high.is_some(),
        low_text: text(gauge.low).into(),
        high_text: text(gauge.high).into(),
        value: place(gauge.value),
        has_value: gauge.value.is_some(),
        value_text: text(gauge.value).into(),
        ticks: super::list(ticks),
        guards: super::list(guards),
        guard_text: guard_text(gauge, words).into(),
        verdict: verdict(judged),
    }
}

fn guard_zone(gauge: &Gauge, (from, to): (f64, f64)) -> GuardZone {
    GuardZone {
        from: gauge.place(from) as f32,
        to: gauge.place(to) as f32,
    }
}

/// The guarded ends in words, for those who cannot see the hatching.
fn guard_text(gauge: &Gauge, words: &Words) -> String {
    let zone = |(from, to): &(f64, f64)| {
        let (low, high) = (shown(*from, gauge.unit), shown(*to, gauge.unit));
        say!(words, "{low} to {high}", low = low, high = high)
    };
    let zones: Vec<String> = gauge.guard_zones().iter().map(zone).collect();
    match zones.as_slice() {
        [] => String::new(),
        [one] => say!(words, "Not decided from {zone}", zone = one),
        [one, other, ..] => say!(
            words,
            "Not decided from {zone} and from {other}",
            zone = one,
            other = other
        ),
    }
}

fn shown(number: f64, unit: &str) -> String {
    let quantity = Unit::find(unit).and_then(|unit| Quantity::new(number, unit).ok());
    quantity.map_or_else(|| format!("{number} {unit}"), |quantity| quantity.shown(4))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn limits_and_reading_stand_at_their_shares_of_the_scale() {
        let gauge = Gauge {
            unit: "psi",
            from: 30.0,
            to: 40.0,
            low: Some(33.0),
            high: None,
            value: Some(35.0),
            accept_low: Some(34.0),
            accept_high: None,
            ticks: vec![32.0],
            band: "at least 33 psi".to_owned(),
        };
        let picture = picture(Some(&gauge), Some(fact::Verdict::In), &Words::english());
        assert!((picture.low - 0.3).abs() < 1e-6 && (picture.value - 0.5).abs() < 1e-6);
        assert!(picture.has_low && !picture.has_high);
        assert_eq!(
            (picture.low_text.as_str(), picture.value_text.as_str()),
            ("33 psi", "35 psi")
        );
        assert_eq!(picture.verdict, Verdict::Within);
        let zone = slint::Model::row_data(&picture.guards, 0).expect("a guard");
        assert!((zone.from - 0.3).abs() < 1e-6 && (zone.to - 0.4).abs() < 1e-6);
        assert_eq!(picture.guard_text.as_str(), "Not decided from 33 psi to 34 psi");
    }
}
