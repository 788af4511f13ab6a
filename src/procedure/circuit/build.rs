//! From authored parts to a netlist.

use super::kind::PartKind;
use super::{Circuit, Part};
use crate::circuit::{
    Builder, Copper, Diode, End, Fuse, Load, Meter, Netlist, Relay, Source, Switch, Terminals, Wire,
};
use crate::quantity::{Quantity, Unit};

/// The value of a part's figure at an end of its limits, by the size of what it measures; of a gauge, of the
/// area behind it. Nothing where it is not known.
pub type Figures<'a> = dyn Fn(&Part, &str, End) -> Option<Quantity> + 'a;

/// The parts for which `applies` holds, each with its figures at `end`, which a thick wire turns round: it
/// resists least. Nothing where a figure is not known.
pub fn netlist(
    circuit: &Circuit,
    applies: &dyn Fn(&Part) -> bool,
    figure: &Figures,
    end: End,
) -> Option<Builder> {
    let mut parts = circuit.parts.iter().filter(|part| applies(part));
    parts.try_fold(Netlist::grounded_at(&circuit.ground), |builder, part| {
        let turned = |name: &str| name == "gauge";
        let at = |name: &str| figure(part, name, if turned(name) { opposite(end) } else { end });
        add(builder, part, &at)
    })
}

fn opposite(end: End) -> End {
    match end {
        End::Middle => End::Middle,
        End::Least => End::Most,
        End::Most => End::Least,
    }
}

fn add(builder: Builder, part: &Part, figure: &dyn Fn(&str) -> Option<Quantity>) -> Option<Builder> {
    let si = |name| figure(name).map(Quantity::si);
    let (name, ends) = (part.name.as_str(), two_ends(part));
    Some(match part.kind {
        PartKind::Source => {
            let (emf_v, internal_ohm) = (si("volts")?, si("internal")?);
            builder.source(name, ends, Source { emf_v, internal_ohm })
        }
        PartKind::Wire if part.has("gauge") => {
            let (gauge, length, temperature) = (figure("gauge")?, figure("length")?, figure("temperature")?);
            let copper = Copper {
                gauge,
                length,
                temperature,
            };
            builder.copper(name, ends, copper)
        }
        PartKind::Wire => {
            let ohm = si("resistance")?;
            builder.wire(name, ends, Wire { ohm })
        }
        PartKind::Relay => builder.relay(name, terminals(part), relay(&si)?),
        PartKind::Fuse
        | PartKind::Switch
        | PartKind::Solenoid
        | PartKind::Lamp
        | PartKind::Diode
        | PartKind::Meter => return add_plain(builder, part, &si),
    })
}

/// The kinds with two ends whose figures are plain numbers.
fn add_plain(builder: Builder, part: &Part, si: &dyn Fn(&'static str) -> Option<f64>) -> Option<Builder> {
    let (name, ends) = (part.name.as_str(), two_ends(part));
    Some(match part.kind {
        PartKind::Fuse => {
            let (rating_a, cold_ohm) = (si("rating")?, si("resistance")?);
            builder.fuse(name, ends, Fuse { rating_a, cold_ohm })
        }
        PartKind::Switch => {
            let contact_ohm = si("contact")?;
            builder.switch(name, ends, Switch { contact_ohm })
        }
        // To the solver both are a resistance.
        PartKind::Solenoid | PartKind::Lamp => {
            let ohm = si("resistance")?;
            builder.lamp(name, ends, Load { ohm })
        }
        PartKind::Diode => {
            let (forward_v, slope_ohm) = (si("drop")?, si("slope")?);
            builder.diode(name, ends, Diode { forward_v, slope_ohm })
        }
        PartKind::Meter => {
            let input_ohm = si("input")?;
            builder.voltmeter(name, ends, Meter { input_ohm })
        }
        PartKind::Source | PartKind::Wire | PartKind::Relay => builder,
    })
}

fn relay(si: &dyn Fn(&'static str) -> Option<f64>) -> Option<Relay> {
    Some(Relay {
        coil_ohm: si("coil")?,
        pull_in_v: si("pull_in")?,
        release_v: si("release")?,
        contact_ohm: si("contact")?,
    })
}

fn two_ends(part: &Part) -> [&str; 2] {
    [0, 1].map(|at| part.joins.get(at).map_or("", |(_, node)| node.as_str()))
}

fn terminals(part: &Part) -> Terminals<'_> {
    let at = |end: &str| {
        let join = part.joins.iter().find(|(name, _)| *name == end);
        join.map(|(_, node)| node.as_str())
    };
    Terminals {
        t85: at("t85"),
        t86: at("t86"),
        t30: at("t30"),
        t87: at("t87"),
        t87a: at("t87a"),
    }
}

impl Part {
    /// Whether the part is given by this figure.
    #[must_use]
    pub fn has(&self, figure: &str) -> bool {
        self.figures.iter().any(|(name, _)| *name == figure)
    }
}

/// What stands, while content is checked, for a figure that is known only at the car.
#[must_use]
pub fn typical(part: &Part, figure: &str) -> Option<Quantity> {
    let (value, unit) = match figure {
        "volts" => (12.0, "V"),
        "pull_in" => (8.0, "V"),
        "release" => (2.0, "V"),
        "drop" => (0.7, "V"),
        "rating" => (20.0, "A"),
        "gauge" => (2.5, "mm²"),
        "length" => (1.0, "m"),
        "temperature" => (20.0, "°C"),
        "input" => (10e6, "Ω"),
        _ if part.kind == PartKind::Relay => (90.0, "Ω"),
        _ => (0.1, "Ω"),
    };
    Quantity::new(value, Unit::find(unit)?).ok()
}
