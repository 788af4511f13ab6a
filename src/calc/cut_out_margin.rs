//! How far the fuel-pressure cut-out stands below the pressure it must live with.
use super::{CalcError, Calculator, Found, Given, InputSpec, Mark, Need, OutputSpec, Range, Source, Spec};
use crate::note;
use crate::quantity::Quantity;
use crate::table::Tables;
use crate::to_say;

const RAIL: Range = Range::new(
    "kPa",
    10.0,
    1000.0,
    "carburettor lines to rails of port-injected petrol cars, gauge",
);
const SWITCH: Range = Range::new("kPa", 5.0, 1000.0, "cut-out switches, gauge");

/// Rail and switch to a margin.
pub static SPEC: Spec = Spec {
    id: "cut-out-margin",
    revision: 1,
    title: "Margin of the fuel-pressure cut-out",
    equation: "margin = min(p_rail [+ p_manifold], p_flowing) − p_reset − tolerance",
    inputs: &[
        InputSpec::number(
            "rail_pressure",
            "Rail pressure",
            "p_rail",
            "the lowest rail pressure without nitrous, gauge; with a manifold-referenced regulator its pressure over the manifold",
            RAIL,
            Need::Required,
        ),
        InputSpec::number(
            "flowing_pressure",
            "Flowing rail pressure",
            "p_flowing",
            "the rail pressure while the nitrous fuel flows, gauge",
            RAIL,
            Need::Required,
        ),
        InputSpec::number(
            "trip",
            "Trip pressure",
            "p_trip",
            "where the contacts open on falling pressure, gauge",
            SWITCH,
            Need::Required,
        ),
        InputSpec::number(
            "reset",
            "Reset pressure",
            "p_reset",
            "where they close again on rising pressure, gauge",
            SWITCH,
            Need::Required,
        ),
        InputSpec::number(
            "tolerance",
            "Tolerance",
            "",
            "what the readings and the switch may be off together",
            Range::new("kPa", 0.0, 200.0, "gauges and switches of the trade"),
            Need::Required,
        ),
        InputSpec::choice(
            "regulator",
            "Regulator",
            "fixed, or following the manifold; fixed also where the idle pressure was read at the rail",
            &["fixed", "manifold-referenced"],
            Need::Default("fixed"),
        ),
        InputSpec::number(
            "manifold_pressure",
            "Manifold vacuum",
            "p_manifold",
            "the deepest manifold vacuum, gauge, so at most 0; only with a manifold-referenced regulator",
            Range::new(
                "kPa",
                -100.0,
                0.0,
                "vacuum measured from the air; a boost only raises the rail",
            ),
            Need::Optional,
        ),
    ],
    outputs: &[
        OutputSpec::new(
            "margin",
            "Cut-out margin",
            "",
            "between the lowest pressure and the reset point, negative when there is none",
            "kPa",
        ),
        OutputSpec::words(
            "verdict",
            "Cut-out verdict",
            "holds, may not close again, or drops out",
            &["holds", "may not close again", "drops out"],
        ),
    ],
    assumptions: &[
        "Every pressure is gauge. The lowest rail pressure must close the contacts again after a dip, so the reset point counts.",
        "That the margin is taken from the lowest pressure and the reset point is common practice, no source.",
    ],
    sources: &[Source::new(
        "fuel-pressure cut-out",
        "rule of the trade",
        Mark::Practice,
    )],
    example: &[
        ("rail_pressure", "3.0 bar"),
        ("flowing_pressure", "2.8 bar"),
        ("trip", "30 psi"),
        ("reset", "33 psi"),
        ("tolerance", "1 psi"),
    ],
};

pub(super) const CALCULATOR: Calculator = Calculator { spec: &SPEC, work };

/// What [`cut_out_margin`] takes, all pressures gauge.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Inputs {
    pub rail_pa: f64,
    pub flowing_pa: f64,
    pub trip_pa: f64,
    pub reset_pa: f64,
    pub tolerance_pa: f64,
    /// 0 where the regulator does not follow the manifold.
    pub manifold_pa: f64,
}

/// The margin in Pa, and what it means for the relay.
///
/// margin = min(p_rail + p_manifold, p_flowing) − p_reset − tolerance
///
/// # Inputs
/// Gauge pressures in Pa: rail and flowing 1e4 to 1e6, trip and reset 5e3 to 1e6, tolerance to 2e5, manifold
/// -1e5 to 0.
///
/// # Result
/// Pa, and one of `holds`, `may not close again`, `drops out`.
///
/// # Assumptions
/// After a dip the contacts close only at the reset point, so that it counts, not the trip.
///
/// # Source
/// Common practice, no source.
///
/// # Errors
/// None; a reset below the trip is refused where the inputs enter.
///
/// # Example
/// ```
/// use witnessmark::calc::cut_out_margin::{Inputs, cut_out_margin};
/// let found = cut_out_margin(Inputs {
///     rail_pa: 300e3, flowing_pa: 280e3, trip_pa: 200e3, reset_pa: 220e3, tolerance_pa: 10e3, manifold_pa: 0.0,
/// });
/// assert_eq!(found, (50e3, "holds"));
/// ```
pub fn cut_out_margin(inputs: Inputs) -> (f64, &'static str) {
    let lowest_pa = (inputs.rail_pa + inputs.manifold_pa).min(inputs.flowing_pa);
    let margin_pa = lowest_pa - inputs.reset_pa - inputs.tolerance_pa;
    let verdict = if margin_pa > 0.0 {
        "holds"
    } else if lowest_pa > inputs.trip_pa + inputs.tolerance_pa {
        "may not close again"
    } else {
        "drops out"
    };
    (margin_pa, verdict)
}

/// A trip below this share of the flowing pressure lets the engine run lean first (common practice).
const LATE: f64 = 0.6;

fn work(given: &Given, _: &Tables) -> Result<Found, CalcError> {
    let inputs = read(given)?;
    let (margin_pa, verdict) = cut_out_margin(inputs);
    let advice = match verdict {
        "may not close again" => {
            to_say!(
                "After a dip the contacts may stay open: the reset point is too near the lowest pressure."
            )
        }
        "drops out" => {
            to_say!(
                "The contacts open at a pressure that this car has in health: take a lower trip, or judge the switch under load only."
            )
        }
        _ => "",
    };
    Ok(Found::new()
        .si("margin", margin_pa)
        .text("verdict", verdict)
        .note_if(!advice.is_empty(), advice)
        .note_if(
            inputs.trip_pa < LATE * inputs.flowing_pa,
            "The trip is below 0.6 of the flowing pressure: the engine runs lean before the switch opens (common practice, no source).",
        ))
}

fn read(given: &Given) -> Result<Inputs, CalcError> {
    let (trip, reset) = (given.quantity("trip")?, given.quantity("reset")?);
    if reset.si() < trip.si() * (1.0 - 1e-12) {
        return Err(given.refuse(
            "reset",
            note!("expected no less than the trip, {trip}", trip = trip),
        ));
    }
    let follows = given.is("regulator", "manifold-referenced");
    let manifold_pa = match (follows, given.optional("manifold_pressure").map(Quantity::si)) {
        (true, Some(manifold_pa)) => manifold_pa,
        (true, None) => {
            return Err(given.refuse(
                "manifold_pressure",
                "which a manifold-referenced regulator follows: give its deepest vacuum",
            ));
        }
        (false, None) => 0.0,
        (false, Some(_)) => return Err(given.refuse("manifold_pressure", "but the regulator is fixed")),
    };
    Ok(Inputs {
        rail_pa: given.si("rail_pressure")?,
        flowing_pa: given.si("flowing_pressure")?,
        trip_pa: trip.si(),
        reset_pa: reset.si(),
        tolerance_pa: given.si("tolerance")?,
        manifold_pa,
    })
}

#[cfg(test)]
pub(super) mod tests {
    use crate::calc::check::{Expected::Text, Kind, Row, check, exact, number, refused};

    const TRADE: &str =
        "a manifold-referenced 3 bar rail idles near 2.4 bar, which is 35 psi: common practice";

    #[test]
    pub(in crate::calc) fn rows() {
        let rail = "rail_pressure=3 bar; flowing_pressure=2.8 bar; tolerance=1 psi; ";
        let with = |rest: &str| -> &'static str { Box::leak(format!("{rail}{rest}").into_boxed_str()) };
        let idle = "trip=34 psi; reset=36 psi; regulator=manifold-referenced; manifold_pressure=-60 kPa";
        let verdict = |inputs, text| exact(inputs, "verdict", Text(text), Kind::Practice, TRADE);
        let rows: &[Row] = &[
            number(
                with("trip=30 psi; reset=33 psi"),
                "margin",
                (280.0 - 34.0 * 6.894757293, "kPa"),
                1e-6,
                Kind::Property,
                "2.8 bar less 34 psi",
            ),
            verdict(with("trip=30 psi; reset=33 psi"), "holds"),
            number(
                with(idle),
                "margin",
                (240.0 - 37.0 * 6.894757293, "kPa"),
                1e-6,
                Kind::Property,
                "2.4 bar less 37 psi",
            ),
            verdict(with(idle), "drops out"),
            verdict(with("trip=30 psi; reset=40.5 psi"), "may not close again"),
            verdict(with("trip=40 psi; reset=40.5 psi"), "drops out"),
        ];
        check("cut-out-margin", rows);
    }

    #[test]
    fn refusals() {
        refused(
            "cut-out-margin",
            &[
                (
                    "rail_pressure=3 bar; flowing_pressure=2.8 bar; trip=35 psi; reset=34 psi; tolerance=1 psi",
                    "`reset`: found 34 psi, expected no less than the trip, 35 psi",
                ),
                (
                    "rail_pressure=3 bar; flowing_pressure=2.8 bar; trip=35 psi; reset=36 psi; tolerance=1 psi; \
                     regulator=manifold-referenced",
                    "`manifold_pressure`: found nothing, which a manifold-referenced regulator follows",
                ),
                (
                    "rail_pressure=3 bar; flowing_pressure=2.8 bar; trip=35 psi; reset=36 psi; tolerance=1 psi; \
                     regulator=manifold-referenced; manifold_pressure=40 kPa",
                    "`manifold_pressure`: found 40 kPa, valid from -100 kPa to 0 kPa",
                ),
                (
                    "rail_pressure=3 bar; flowing_pressure=2.8 bar; trip=35 psi; reset=36 psi; tolerance=1 psi; \
                     manifold_pressure=-40 kPa",
                    "`manifold_pressure`: found -40 kPa, but the regulator is fixed",
                ),
            ],
        );
    }
}
