//! The positions of the switches, the faults, and which relays were pulled in before.
use super::netlist::{Kind, Netlist, Terminal};
use super::range::OHM;
use super::{Finding, netlist::Joins};

/// What bridges a shorted part: a bolted lug rather than nothing at all, so that every current has a bound.
/// A figure of our own, no source.
pub const SHORT_OHM: f64 = 1e-3;

/// Something wrong with a part, which is named. Of a relay, `Open`, `Shorted` and `Added` mean the coil; its
/// contacts' resistance is added at the wires that lead to them.
#[derive(Clone, PartialEq, Debug)]
pub enum Fault {
    /// Conducts nothing.
    Open(String),
    /// Bridged by [`SHORT_OHM`].
    Shorted(String),
    /// This many ohms more, in series.
    Added(String, f64),
    /// A fuse that has opened.
    Blown(String),
    /// A switch, or a relay's 30 and 87, that stays closed.
    Welded(String),
    /// What leads to these two terminals of a relay, exchanged.
    Swapped(String, Terminal, Terminal),
}

/// A switch that is not closed here is open.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Setting {
    closed: Vec<String>,
    held: Vec<String>,
    faults: Vec<Fault>,
}

impl Setting {
    /// All switches open, all relays released, no faults.
    pub fn new() -> Setting {
        Setting::default()
    }

    /// With this switch closed.
    #[must_use]
    pub fn close(mut self, switch: &str) -> Setting {
        self.closed.push(switch.to_owned());
        self
    }

    /// With this relay pulled in just before, so that it stays so down to its release voltage.
    #[must_use]
    pub fn held(mut self, relay: &str) -> Setting {
        self.held.push(relay.to_owned());
        self
    }

    /// With this fault; several of one part act together.
    #[must_use]
    pub fn fault(mut self, fault: Fault) -> Setting {
        self.faults.push(fault);
        self
    }
}

/// A part as the setting leaves it.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(super) struct Condition {
    pub joins: Joins,
    /// Of a switch: closed. Of a relay: pulled in before.
    pub on: bool,
    pub open: bool,
    pub bridged: bool,
    pub welded: bool,
    pub added_ohm: f64,
}

/// Every part's condition, in the netlist's order.
pub(super) fn conditions(netlist: &Netlist, setting: &Setting) -> Result<Vec<Condition>, Finding> {
    let healthy = |joins| Condition {
        joins,
        on: false,
        open: false,
        bridged: false,
        welded: false,
        added_ohm: 0.0,
    };
    let mut all: Vec<Condition> = netlist.parts.iter().map(|part| healthy(part.joins)).collect();
    for name in &setting.closed {
        let (at, kind) = find(netlist, name)?;
        fit(matches!(kind, Kind::Switch(_)), name, "closed", "a switch")?;
        all[at].on = true;
    }
    for name in &setting.held {
        let (at, kind) = find(netlist, name)?;
        fit(matches!(kind, Kind::Relay(_)), name, "pulled in", "a relay")?;
        all[at].on = true;
    }
    for fault in &setting.faults {
        apply(netlist, fault, &mut all)?;
    }
    Ok(all)
}

fn apply(netlist: &Netlist, fault: &Fault, all: &mut [Condition]) -> Result<(), Finding> {
    let (Fault::Open(name) | Fault::Shorted(name) | Fault::Added(name, _)) = fault else {
        return apply_to_kind(netlist, fault, all);
    };
    let (at, _) = find(netlist, name)?;
    match fault {
        Fault::Added(_, ohm) => {
            OHM.check(name, *ohm)?;
            all[at].added_ohm += ohm;
        }
        Fault::Shorted(_) => all[at].bridged = true,
        _ => all[at].open = true,
    }
    Ok(())
}

/// The faults that only some parts can have.
fn apply_to_kind(netlist: &Netlist, fault: &Fault, all: &mut [Condition]) -> Result<(), Finding> {
    match fault {
        Fault::Blown(name) => {
            let (at, kind) = find(netlist, name)?;
            fit(matches!(kind, Kind::Fuse(_)), name, "blown", "a fuse")?;
            all[at].open = true;
        }
        Fault::Welded(name) => {
            let (at, kind) = find(netlist, name)?;
            let can = matches!(kind, Kind::Switch(_) | Kind::Relay(_));
            fit(can, name, "welded", "a switch or a relay")?;
            all[at].welded = true;
        }
        Fault::Swapped(name, one, other) => {
            let (at, kind) = find(netlist, name)?;
            fit(matches!(kind, Kind::Relay(_)), name, "swapped", "a relay")?;
            all[at].joins.swap(*one as usize, *other as usize);
        }
        Fault::Open(_) | Fault::Shorted(_) | Fault::Added(..) => {}
    }
    Ok(())
}

fn find(netlist: &Netlist, name: &str) -> Result<(usize, Kind), Finding> {
    let at = netlist.numbered(name)?;
    Ok((at, netlist.parts[at].kind))
}

fn fit(fits: bool, part: &str, what: &'static str, expected: &'static str) -> Result<(), Finding> {
    let part = || part.to_owned();
    fits.then_some(()).ok_or_else(|| Finding::Unfit {
        part: part(),
        what,
        expected,
    })
}
