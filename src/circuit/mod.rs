//! Netlist, switch positions and faults to node voltages and branch currents: direct current, at rest.
//!
//! ```
//! use witnessmark::circuit::{Fault, Fuse, Load, Netlist, Setting, Source, Switch, solve};
//!
//! let netlist = Netlist::grounded_at("chassis")
//!     .source("battery", ["plus", "chassis"], Source { emf_v: 13.8, internal_ohm: 0.01 })
//!     .fuse("fuse", ["plus", "fused"], Fuse { rating_a: 25.0, cold_ohm: 0.003 })
//!     .switch("arming", ["fused", "armed"], Switch { contact_ohm: 0.002 })
//!     .lamp("lamp", ["armed", "chassis"], Load { ohm: 6.885 })
//!     .build()
//!     .unwrap();
//! let armed = solve(&netlist, &Setting::new().close("arming")).unwrap();
//! assert!((armed.current_a("lamp").unwrap() - 2.0).abs() < 1e-12);
//! let blown = Setting::new().close("arming").fault(Fault::Blown("fuse".into()));
//! assert_eq!(solve(&netlist, &blown).unwrap().voltage_v("armed"), Some(0.0));
//! ```
//!
//! Every resistance is finite and above zero, so that no circuit has a current without bound; what is not
//! joined to ground has no voltage, which is said and never made up.
mod branch;
mod builder;
mod corner;
mod finding;
mod netlist;
mod nodal;
#[cfg(test)]
mod property;
mod range;
mod series;
mod setting;
mod settle;
mod solution;
mod spread;
#[cfg(test)]
mod spread_tests;
#[cfg(test)]
mod tests;
#[cfg(test)]
mod vectors;

pub use builder::Builder;
pub use finding::Finding;
pub use netlist::{Copper, Diode, Fuse, Kind, Load, MOST_NODES, Meter, Netlist, Part, Relay, Source, Switch};
pub use netlist::{Terminal, Terminals, Wire};
pub use setting::{Fault, SHORT_OHM, Setting};
pub use solution::Solution;
pub use spread::{Asked, End, MOST_CORNER_FIGURES, Outlook, Spanned, Spread};

/// Rises whenever the same circuit would give other figures: records name it beside what was worked out.
pub const REVISION: u32 = 1;

/// What the circuit does in this setting.
///
/// Nodal analysis; relays start released, or as [`Setting::held`] says, and are followed until they rest, all
/// moving at once, so that two which race each other count as never resting;
/// diodes conduct or block until none is against its state. A fuse is never opened here: what it carries
/// beyond its rating is a finding, whose [`Finding::opens`] gives the time band as advice.
///
/// # Errors
/// A setting that names no part of the netlist or asks of it what it cannot do, relays that never rest
/// (`Chatter`), or diodes for which no state was found (`Undecided`).
pub fn solve(netlist: &Netlist, setting: &Setting) -> Result<Solution, Finding> {
    settle::settle(netlist, setting)
}
