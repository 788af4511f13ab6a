//! How full the tablet's battery is, where it has one and the system is Linux.
#![allow(clippy::disallowed_methods)]

use crate::say;
use crate::words::Words;
use std::path::Path;

/// Where Linux tells of batteries and chargers (Documentation/ABI/testing/sysfs-class-power).
const SUPPLIES: &str = "/sys/class/power_supply";
/// Below this the battery is said, in percent.
const LOW: u8 = 20;
/// Below this it is said that the tablet will soon be off, in percent.
const EMPTY: u8 = 8;

/// A battery that is not being charged, in percent.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Draining(u8);

/// The tablet's battery, if it is being emptied; the emptiest of several.
pub(super) fn draining() -> Option<Draining> {
    draining_in(Path::new(SUPPLIES))
}

fn draining_in(supplies: &Path) -> Option<Draining> {
    let all: Vec<_> = std::fs::read_dir(supplies).ok()?.flatten().collect();
    let batteries = all.iter().filter_map(|supply| battery(&supply.path()));
    batteries.min().map(Draining)
}

/// How full a supply is, where it is a battery of the machine itself and is being emptied.
fn battery(supply: &Path) -> Option<u8> {
    let read = |name: &str| std::fs::read_to_string(supply.join(name)).ok();
    let is = |name: &str, word: &str| read(name).is_some_and(|text| text.trim() == word);
    // A stylus or a mouse has a battery too.
    if !is("type", "Battery") || is("scope", "Device") || !is("status", "Discharging") {
        return None;
    }
    read("capacity")?.trim().parse().ok()
}

impl Draining {
    /// What the head of the page says: the whole and, where there is little room, in short; none while there is enough.
    pub fn says(self, words: &Words) -> Option<(String, String)> {
        let Self(percent) = self;
        let short = say!(words, "Battery {n} %", n = percent);
        if percent < EMPTY {
            let long = say!(words, "Battery {n} %: charge it now", n = percent);
            return Some((long, short));
        }
        (percent < LOW).then(|| (short.clone(), short))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn supplies(name: &str, files: &[(&str, &str, &str)]) -> Option<Draining> {
        let root = std::env::temp_dir().join(format!("witnessmark-power-{name}-{}", std::process::id()));
        for (supply, file, text) in files {
            std::fs::create_dir_all(root.join(supply)).expect("a folder");
            std::fs::write(root.join(supply).join(file), text).expect("a file");
        }
        let found = draining_in(&root);
        let _ = std::fs::remove_dir_all(&root);
        found
    }

    #[test]
    fn only_a_battery_of_the_machine_that_is_being_emptied_counts() {
        let of = |name: &str, status: &str, scope: &str| {
            supplies(
                name,
                &[
                    ("AC", "type", "Mains\n"),
                    ("BAT0", "type", "Battery\n"),
                    ("BAT0", "status", status),
                    ("BAT0", "scope", scope),
                    ("BAT0", "capacity", "7\n"),
                ],
            )
        };
        assert_eq!(of("out", "Discharging\n", "System\n"), Some(Draining(7)));
        assert_eq!(of("in", "Charging\n", "System\n"), None);
        assert_eq!(of("pen", "Discharging\n", "Device\n"), None);
        assert_eq!(draining_in(Path::new("/no/such/folder")), None);
    }

    #[test]
    fn a_battery_is_said_below_20_and_below_8_percent() {
        let words = Words::english();
        let long = |percent| Draining(percent).says(&words).map(|(long, _)| long);
        assert_eq!(long(20), None);
        assert_eq!(long(19).as_deref(), Some("Battery 19 %"));
        assert_eq!(long(8).as_deref(), Some("Battery 8 %"));
        assert_eq!(long(7).as_deref(), Some("Battery 7 %: charge it now"));
    }
}
