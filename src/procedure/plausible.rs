//! What a reading can be where its author says nothing: the range of its kind of quantity at a road car.
//!
//! The ranges are wide, for they catch slips alone: a wrong unit, a lost decimal mark, a digit too many. They are
//! common practice, no source. A record is played again with them, so a range that is out is never altered.

use crate::quantity::{Dimension, Quantity};

/// Every kind of quantity that has a range of its own, with its ends.
const RANGES: [(Dimension, &str, &str); 15] = [
    (Dimension::Length, "0 mm", "20000 mm"),
    (Dimension::Volume, "0 l", "200 l"),
    (Dimension::Mass, "0 kg", "3500 kg"),
    (Dimension::Time, "0 s", "24 h"),
    (Dimension::Angle, "-360 °", "360 °"),
    (Dimension::Temperature, "-40 °C", "150 °C"),
    (Dimension::Pressure, "-1 bar", "250 bar"),
    (Dimension::Force, "0 N", "20000 N"),
    (Dimension::Torque, "0 N·m", "1000 N·m"),
    (Dimension::Voltage, "-60 V", "60 V"),
    (Dimension::Current, "-1000 A", "1000 A"),
    (Dimension::Resistance, "0 Ω", "1000 MΩ"),
    (Dimension::Frequency, "0 Hz", "100 kHz"),
    (Dimension::RotationalSpeed, "0 rpm", "20000 rpm"),
    (Dimension::VolumeFlow, "0 l/h", "1000 l/h"),
];

/// From where to where a reading of this kind of quantity can be; nothing where a kind says too little, as a plain
/// number does, so that its author has to.
#[must_use]
pub fn range(of: Dimension) -> Option<(Quantity, Quantity)> {
    let (_, from, to) = RANGES.into_iter().find(|(dimension, ..)| *dimension == of)?;
    let end = |text| Quantity::parse(text, None).ok();
    end(from).zip(end(to))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_range_is_of_its_kind_and_goes_up() {
        for (dimension, low, high) in RANGES {
            let (from, to) = range(dimension).unwrap_or_else(|| panic!("{low} to {high} cannot be read"));
            assert_eq!((from.dimension(), to.dimension()), (dimension, dimension));
            assert!(from.si() < to.si(), "{from} to {to}");
        }
        assert_eq!(range(Dimension::Number), None);
    }
}
