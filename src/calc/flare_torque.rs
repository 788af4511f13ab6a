//! How tight a 37° flare joint is drawn.
use super::{
    CalcError, Calculator, Found, Given, InputKind, InputSpec, Mark, Need, OutputSpec, Range, Source, Spec,
};
use crate::note;
use crate::quantity::Quantity;
use crate::table::{Flare, Tables};

/// Size and material to a torque.
pub static SPEC: Spec = Spec {
    id: "flare-torque",
    revision: 1,
    title: "Torque of a 37° flare joint",
    equation: "a row of the flare table; dash n is n/16 in of tube outside diameter",
    inputs: &[
        InputSpec::number(
            "dash",
            "Dash size",
            "n",
            "the dash size, written 6 or -6",
            Range::new("1", -16.0, 16.0, "SAE J514 sizes to one inch"),
            Need::Required,
        ),
        InputSpec::choice(
            "material",
            "Material",
            "of the tube nut, or a hose's swivel nut",
            &["aluminium", "steel", "hose"],
            Need::Required,
        ),
        InputSpec::new(
            "lubricated",
            "Lubricated threads",
            "",
            "whether the threads are lubricated",
            InputKind::Flag,
            Need::Required,
        ),
    ],
    outputs: &[
        OutputSpec::new("low", "Least torque", "", "least torque", "N·m"),
        OutputSpec::new("high", "Greatest torque", "", "greatest torque", "N·m"),
        OutputSpec::text(
            "flats",
            "Flats from contact",
            "flats of the nut from the contact of the seats, where they are known",
        ),
    ],
    assumptions: &[
        "Dry seats without sealant, lubricated threads, two spanners.",
        "Where aluminium meets steel the aluminium row counts.",
        "Sets of other makers contradict this one by up to a factor of two, by material, lubrication and where the count begins: never mix them. This set is taken because it alone names both the material and the lubrication.",
        "The safe side: begin at the low end and prove the joint, since a joint that weeps can be drawn further and a split flare cannot be undone. The fitting maker's own figure comes first.",
        "Flats count from the contact of the seats. One flat from finger-tight, which manuals of steel swivel adapters print, is another count and is not used.",
    ],
    sources: &[
        Source::new(
            "US Army TM 55-1730-229-12",
            "flared tube and hose fittings, lubricated (powersupplies.tpub.com)",
            Mark::Seen,
        ),
        Source::new(
            "US Army TM 9-2320-364-20-4",
            "page 2-3218, flats from the contact of the seats (tpub.com)",
            Mark::Seen,
        ),
        Source::new(
            "SAE J514",
            "sizes of the dash numbers, as service manuals print them",
            Mark::SecondHand,
        ),
    ],
    example: &[("dash", "6"), ("material", "aluminium"), ("lubricated", "yes")],
};

pub(super) const CALCULATOR: Calculator = Calculator { spec: &SPEC, work };

/// What [`flare_torque`] takes.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Inputs<'a> {
    /// Sixteenths of an inch, positive.
    pub dash: f64,
    /// `aluminium`, `steel` or `hose`.
    pub material: &'a str,
}

/// The row of the flare table; none where there is none.
///
/// # Inputs
/// A dash number (sixteenths of an inch of tube outside diameter), a material.
///
/// # Result
/// Least and greatest torque, and flats where they are known.
///
/// # Assumptions
/// Lubricated threads.
///
/// # Source
/// US Army TM 55-1730-229-12 and TM 9-2320-364-20-4. Makers' sets for steel swivel nuts (12, 24 and 46 N·m for
/// dash 4, 6 and 8, or 16, 25 and 50) contradict it; the army's is taken because it names material and lubrication,
/// with the safe side of beginning at its low end.
///
/// # Errors
/// None; the ranges are checked where the inputs enter.
///
/// # Example
/// Dash 6 aluminium: 100 to 125 lbf·in; see the tests.
pub fn flare_torque<'a>(inputs: Inputs, tables: &'a Tables) -> Option<&'a Flare> {
    tables
        .flares
        .iter()
        .find(|row| row.dash.value() == inputs.dash && row.material == inputs.material)
}

fn work(given: &Given, tables: &Tables) -> Result<Found, CalcError> {
    if !given.flag("lubricated") {
        return Err(given.refuse(
            "lubricated",
            "but the table is for lubricated threads: ask the fitting's maker for dry ones",
        ));
    }
    let inputs = Inputs {
        dash: given.si("dash")?.abs(),
        material: given.word("material").unwrap_or_default(),
    };
    let row = flare_torque(inputs, tables).ok_or_else(|| unknown(given, inputs, tables))?;
    let flats = match (
        row.flats_low.map(Quantity::value),
        row.flats_high.map(Quantity::value),
    ) {
        (Some(low), Some(high)) => format!("{low} to {high}"),
        _ => "not known".to_string(),
    };
    Ok(Found::new()
        .si("low", row.torque_low.si())
        .si("high", row.torque_high.si())
        .text("flats", flats)
        .note(note!(
            "{source}. Other makers' sets differ by up to a factor of two: begin at the low end, prove the joint, and put the fitting maker's own figure first."
        ).with("source", vec![row.origin.parts()]))
        .note_if(
            inputs.material == "steel",
            "Where steel meets aluminium the aluminium torque counts.",
        ))
}

fn unknown(given: &Given, inputs: Inputs, tables: &Tables) -> CalcError {
    let sizes = tables.flares.iter().filter(|row| row.material == inputs.material);
    let sizes: Vec<String> = sizes.map(|row| row.dash.to_string()).collect();
    given.refuse("dash", note!("expected one of {sizes}", sizes = sizes.join(", ")))
}

#[cfg(test)]
pub(super) mod tests {
    use crate::calc::check::{Expected::Text, Kind, Row, check, exact, number, refused};

    #[test]
    pub(in crate::calc) fn rows() {
        const ARMY: &str = "US Army TM 55-1730-229-12, lbf·in times 0.112984829 (pint 0.25.3)";
        const FLATS: &str = "US Army TM 9-2320-364-20-4 page 2-3218";
        const INCH_POUND: f64 = 0.112984829;
        let newton = |inputs, output, inch_pound: f64| {
            number(
                inputs,
                output,
                (inch_pound * INCH_POUND, "N·m"),
                1e-6,
                Kind::Published,
                ARMY,
            )
        };
        let rows: &[Row] = &[
            newton("dash=6; material=aluminium; lubricated=yes", "low", 100.0),
            newton("dash=-6; material=aluminium; lubricated=yes", "high", 125.0),
            newton("dash=6; material=steel; lubricated=true", "low", 270.0),
            newton("dash=4; material=hose; lubricated=yes", "high", 120.0),
            newton("dash=8; material=hose; lubricated=yes", "low", 340.0),
            exact(
                "dash=4; material=hose; lubricated=yes",
                "flats",
                Text("1.5 to 1.75"),
                Kind::Published,
                FLATS,
            ),
            exact(
                "dash=6; material=steel; lubricated=yes",
                "flats",
                Text("2.25 to 2.75"),
                Kind::Published,
                FLATS,
            ),
            exact(
                "dash=6; material=aluminium; lubricated=yes",
                "flats",
                Text("not known"),
                Kind::Published,
                FLATS,
            ),
        ];
        check("flare-torque", rows);
    }

    #[test]
    fn refusals() {
        refused(
            "flare-torque",
            &[
                (
                    "dash=7; material=steel; lubricated=yes",
                    "`dash`: found 7, expected one of 4, 6, 8, 10, 12, 16",
                ),
                (
                    "dash=6; material=steel; lubricated=no",
                    "`lubricated`: found no, but the table is for lubricated threads",
                ),
                (
                    "dash=6; material=brass; lubricated=yes",
                    "`material`: found `brass`, expected one of aluminium, steel, hose",
                ),
                (
                    "dash=6; material=steel; lubricated=perhaps",
                    "`lubricated`: found `perhaps`, expected one of yes, no",
                ),
            ],
        );
    }
}
