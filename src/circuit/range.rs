//! What a figure of a part may be, so that no sum or quotient of them leaves the numbers.
use super::Finding;
use crate::to_say;

/// A figure's name, unit and bounds.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(super) struct Range {
    pub name: &'static str,
    pub unit: &'static str,
    pub least: f64,
    pub most: f64,
}

impl Range {
    const fn new(name: &'static str, unit: &'static str, least: f64, most: f64) -> Range {
        Range {
            name,
            unit,
            least,
            most,
        }
    }

    /// Refuses what is not finite or lies outside, in a sentence that names the part.
    pub fn check(self, part: &str, found: f64) -> Result<(), Finding> {
        // A NaN is in no range.
        if (self.least..=self.most).contains(&found) {
            return Ok(());
        }
        Err(Finding::OutOfRange {
            part: part.to_owned(),
            figure: self.name,
            found: format!("{found} {}", self.unit),
            least: format!("{} {}", self.least, self.unit),
            most: format!("{} {}", self.most, self.unit),
        })
    }
}

pub(super) const OHM: Range = Range::new(to_say!("resistance"), "Ω", 1e-6, 1e9);
/// A diode's rise above its drop; less would make the rounding of volts a current worth naming.
pub(super) const SLOPE_OHM: Range = Range::new(to_say!("slope resistance"), "Ω", 1e-4, 1e9);
pub(super) const EMF_V: Range = Range::new(to_say!("voltage"), "V", 1e-3, 1e3);
pub(super) const FORWARD_V: Range = Range::new(to_say!("forward drop"), "V", 1e-3, 1e3);
pub(super) const PULL_IN_V: Range = Range::new(to_say!("pull-in voltage"), "V", 1e-3, 1e3);
pub(super) const RELEASE_V: Range = Range::new(to_say!("release voltage"), "V", 1e-3, 1e3);
pub(super) const RATING_A: Range = Range::new(to_say!("rating"), "A", 1e-2, 1e4);
