//! Engineering calculators, one file each, and their registry.
//!
//! Each calculator is a pure function with a [`Spec`]. [`run`] checks the inputs against the spec, never
//! clamps and never extrapolates; [`bind`] reads what a person typed for one of them.
//!
//! ```
//! use std::collections::BTreeMap;
//! use witnessmark::calc;
//! use witnessmark::table::Tables;
//!
//! let spec = calc::find("convert").unwrap().spec;
//! let typed = [("value", "43.5 psi"), ("to", "bar")];
//! let inputs: BTreeMap<_, _> =
//!     typed.iter().map(|(name, text)| (name.to_string(), calc::bind(spec, name, text).unwrap())).collect();
//! let outcome = calc::run("convert", &inputs, &Tables::default()).unwrap();
//! assert_eq!(outcome.output("value").unwrap().shown(4), "2.999 bar");
//! ```
pub mod ampacity;
mod bind;
pub mod bottle_fill;
pub mod bottle_state;
#[cfg(test)]
mod check;
pub mod clamp_pick;
pub mod coil_release;
pub mod convert;
pub mod copper;
pub mod cut_out_margin;
#[cfg(test)]
mod edges;
mod error;
#[cfg(test)]
mod evidence;
mod explain;
pub mod flare_torque;
pub mod flow_check;
pub mod fuel_demand;
pub mod fuse_size;
pub mod fuse_time;
mod given;
pub mod hose_drop;
pub mod hose_rating;
pub mod jet_flow;
#[cfg(test)]
mod laws;
pub mod leak_decay;
#[cfg(test)]
mod measure;
pub mod mixture;
pub mod nitrous;
pub mod nitrous_flow;
pub mod nitrous_saturation;
mod note;
mod outcome;
pub mod pipe_engagement;
pub mod relay_coil;
pub mod rpm_window;
pub mod solenoid_current;
mod spec;
#[cfg(test)]
mod tests;
pub mod tube_rating;
mod value;
pub mod wire_drop;
pub mod wire_resistance;
pub mod wire_size;

use std::collections::BTreeMap;

pub use bind::bind;
pub use error::CalcError;
pub use explain::explain;
pub use given::{Found, Given};
pub use note::Note;
pub use outcome::{Outcome, outcome_json};
pub use spec::{InputKind, InputSpec, Need, OutputKind, OutputSpec, Range, Source, Spec};
pub use value::Value;

pub use crate::table::Mark;

use crate::table::Tables;

/// A spec and the function behind it.
#[derive(Debug)]
pub struct Calculator {
    pub spec: &'static Spec,
    work: fn(&Given, &Tables) -> Result<Found, CalcError>,
}

static ALL: &[Calculator] = &[
    wire_resistance::CALCULATOR,
    wire_drop::CALCULATOR,
    wire_size::CALCULATOR,
    fuse_size::CALCULATOR,
    fuse_time::CALCULATOR,
    relay_coil::CALCULATOR,
    coil_release::CALCULATOR,
    solenoid_current::CALCULATOR,
    jet_flow::CALCULATOR,
    hose_drop::CALCULATOR,
    fuel_demand::CALCULATOR,
    clamp_pick::CALCULATOR,
    hose_rating::CALCULATOR,
    tube_rating::CALCULATOR,
    flare_torque::CALCULATOR,
    pipe_engagement::CALCULATOR,
    cut_out_margin::CALCULATOR,
    leak_decay::CALCULATOR,
    flow_check::CALCULATOR,
    nitrous_saturation::CALCULATOR,
    bottle_state::CALCULATOR,
    bottle_fill::CALCULATOR,
    nitrous_flow::CALCULATOR,
    mixture::CALCULATOR,
    rpm_window::CALCULATOR,
    convert::CALCULATOR,
];

/// Every calculator, in the order of the help.
pub fn all() -> &'static [Calculator] {
    ALL
}

/// The calculator of this id.
pub fn find(id: &str) -> Option<&'static Calculator> {
    ALL.iter().find(|calculator| calculator.spec.id == id)
}

/// Runs the calculator `id`.
///
/// # Errors
/// An unknown id or input with the legal names, a missing input, a value of the wrong kind or outside its
/// range, inputs that do not go together, or a result that is not finite.
pub fn run(id: &str, inputs: &BTreeMap<String, Value>, tables: &Tables) -> Result<Outcome, CalcError> {
    let unknown = || CalcError::UnknownCalculator {
        found: id.chars().take(64).collect(),
        legal: ALL.iter().map(|calculator| calculator.spec.id).collect(),
    };
    let calculator = find(id).ok_or_else(unknown)?;
    let given = Given::of(calculator.spec, inputs)?;
    (calculator.work)(&given, tables)?.outcome(&given)
}
