//! The bodies of a layout's parts, after the manner of ISO 1219-1 (from memory) in the plain shapes of the drawing
//! language.

use super::outline::{self, Way};
use super::place::Placed;
use super::symbol::{case, coil, line, ring, turned};
use crate::procedure::layout::FittingKind;

const INK: &str = "#1a1a1a";
const SHEET: &str = "#ffffff";
const METAL: &str = "#c9ced4";
const WORKED: &str = "#9fd6cb";

/// The part about its middle, without what stands beside it.
#[must_use]
pub fn svg(placed: &Placed, kind: FittingKind) -> String {
    if placed.body.out {
        return match kind {
            FittingKind::Tank | FittingKind::Can | FittingKind::Gauge => dashed(30),
            _ => laid(placed, &case(placed)),
        };
    }
    let acting = placed.body.acting;
    let cased = |inside: String| laid(placed, &(case(placed) + &inside));
    let bare = |inside: String| laid(placed, &(tint(placed, 20) + &inside));
    let upright = |inside: String| tint(placed, 30) + &inside;
    match kind {
        FittingKind::Tank => upright(tank()),
        FittingKind::Can => upright(can()),
        FittingKind::Gauge => gauge(placed, acting),
        FittingKind::Bottle => bare(bottle()),
        FittingKind::Nozzle => bare(nozzle()),
        FittingKind::Intake => bare(intake()),
        FittingKind::Vent => bare(vent()),
        FittingKind::Plug => bare(plug()),
        FittingKind::Pump => cased(pump()),
        FittingKind::Check => cased(check()),
        FittingKind::Filter => cased(filter()),
        FittingKind::Rail => cased(rail()),
        FittingKind::Regulator => cased(regulator()),
        FittingKind::Jet => cased(jet()),
        FittingKind::Disc => cased(relief_disc()),
        FittingKind::PressureSwitch => cased(pressure_switch(acting)),
        FittingKind::Valve => cased(passage(acting) + &line("M0-4L0-15M-10-15L10-15", 4.0)),
        FittingKind::Solenoid => {
            cased(passage(acting) + &line("M0 1L0-6", 3.0) + &coil(-11.0, -11.5, 22.0, 12.0))
        }
        FittingKind::FlareTap | FittingKind::QuickTap | FittingKind::HoseTap => cased(tap(placed, kind)),
        FittingKind::Line | FittingKind::Hose | FittingKind::Tube => String::new(),
    }
}

/// Turned so that its second end points where it should; to the left in a mirror, so that its top stays on top.
fn laid(placed: &Placed, inside: &str) -> String {
    match outline::way(placed.lie.towards) {
        Way::Left => format!("<g transform=\"scale(-1 1)\">{inside}</g>"),
        _ => turned(placed, inside),
    }
}

/// The colour of the worked part behind one that has no case.
fn tint(placed: &Placed, half: i32) -> String {
    if !placed.body.worked {
        return String::new();
    }
    format!(
        "<rect x=\"-30\" y=\"{}\" width=\"60\" height=\"{}\" rx=\"8\" fill=\"{WORKED}\"/>",
        -half,
        half * 2
    )
}

fn dashed(half: i32) -> String {
    format!(
        "<rect x=\"-30\" y=\"{}\" width=\"60\" height=\"{}\" rx=\"8\" fill=\"{SHEET}\" stroke=\"{INK}\" \
         stroke-width=\"3\" stroke-dasharray=\"7 6\"/>",
        -half,
        half * 2
    )
}

fn shape(path: &str, fill: &str) -> String {
    format!(
        "<path d=\"{path}\" fill=\"{fill}\" stroke=\"{INK}\" stroke-width=\"3\" stroke-linejoin=\"round\"/>"
    )
}

fn disc(x: f64, radius: f64) -> String {
    format!("<circle cx=\"{x:.0}\" r=\"{radius:.0}\" fill=\"{SHEET}\" stroke=\"{INK}\" stroke-width=\"3\"/>")
}

/// A vessel with its level, and a drop of petrol in it.
fn tank() -> String {
    shape("M-30-22L-20-28L20-28L30-22L30 22L20 28L-20 28L-30 22Z", METAL)
        + &shape("M-30-6L30-6L30 22L20 28L-20 28L-30 22Z", SHEET)
        + &drop_of_petrol(12.0)
}

fn drop_of_petrol(y: f64) -> String {
    format!("<g transform=\"translate(0 {y:.0})\">")
        + &shape(
            "M0-13C8-3 9 1 9 4C9 9 5 12 0 12C-5 12-9 9-9 4C-9 1-8-3 0-13Z",
            METAL,
        )
        + "</g>"
}

/// An open vessel with lines across its liquid.
fn can() -> String {
    shape("M-24-26L-24 28L24 28L24-26", SHEET)
        + &shape("M-24 4L24 4L24 28L-24 28Z", METAL)
        + &line("M-24-8L-14-8M-24 4L-14 4M-24 16L-14 16", 3.0)
}

/// The dial with its hand at rest or up.
fn gauge(placed: &Placed, acting: bool) -> String {
    let (dx, dy) = outline::way(placed.lie.towards).back().step();
    let stem = format!("M{} {}L{} {}", dx * 20, dy * 20, dx * 30, dy * 30);
    let fill = if placed.body.worked { WORKED } else { SHEET };
    let hand = if acting { "M0 0L10-10" } else { "M0 0L-10 10" };
    line(&stem, 5.0)
        + &format!("<circle r=\"22\" fill=\"{fill}\" stroke=\"{INK}\" stroke-width=\"3\"/>")
        + &line(
            "M-11.5 11.5L-14 14M-16 0L-20 0M-11.5-11.5L-14-14M0-16L0-20M11.5-11.5L14-14M16 0L20 0M11.5 11.5L14 14",
            2.5,
        )
        + &line(hand, 4.0)
        + &format!("<circle r=\"3\" fill=\"{INK}\"/>")
}

fn bottle() -> String {
    shape(
        "M14-8L8-17L-20-17C-26-17-29-10-29 0C-29 10-26 17-20 17L8 17L14 8Z",
        METAL,
    ) + &shape("M14-7L22-7L22 7L14 7Z", SHEET)
        + &line("M22 0L30 0", 4.0)
}

/// A body that narrows, and what leaves it.
fn nozzle() -> String {
    line("M-30 0L-22 0", 4.0)
        + &shape("M-22-12L-4-12L8-5L8 5L-4 12L-22 12Z", METAL)
        + &line("M13-5L28-14M14 0L30 0M13 5L28 14", 3.0)
}

/// A duct with its throttle, and the port behind it.
fn intake() -> String {
    shape("M-16-18L28-18L28 18L-16 18Z", SHEET)
        + &line("M-30 0L-16 0", 4.0)
        + &line("M-16-18L28-18M-16 18L28 18", 4.0)
        + &line("M0 14L14-14", 3.0)
        + &disc(7.0, 3.0)
}

/// An end that leads into the open: an arrow out of the line.
fn vent() -> String {
    line("M-30 0L20 0M8-11L22 0L8 11", 4.0)
}

/// A closed end.
fn plug() -> String {
    line("M-30 0L-8 0", 4.0) + &shape("M-8-13L2-13L2 13L-8 13Z", METAL) + &shape("M2-8L14-8L14 8L2 8Z", METAL)
}

/// A circle with a full triangle that points where the liquid goes.
fn pump() -> String {
    line("M-30 0L-16 0M16 0L30 0", 4.0)
        + &disc(0.0, 16.0)
        + &format!("<path d=\"M-4-13L15 0L-4 13Z\" fill=\"{INK}\"/>")
}

/// A ball on its seat, which opens away from the seat.
fn check() -> String {
    line("M-30 0L-13 0M11 0L30 0", 4.0) + &line("M4-14L-14 0L4 14", 4.0) + &disc(2.0, 9.0)
}

/// A square on its tip with a broken line across the flow.
fn filter() -> String {
    line("M-30 0L-18 0M18 0L30 0", 4.0)
        + &shape("M-18 0L0-17L18 0L0 17Z", SHEET)
        + &format!("<path d=\"M0-14L0 14\" stroke=\"{INK}\" stroke-width=\"3\" stroke-dasharray=\"5 4\"/>")
}

/// A pipe with its injectors.
fn rail() -> String {
    shape("M-26-12L26-12L26 0L-26 0Z", METAL)
        + &line("M-30-1L-26-1M26-1L30-1", 4.0)
        + &shape(
            "M-21 0L-13 0L-15 8L-19 8ZM-4 0L4 0L2 8L-2 8ZM13 0L21 0L19 8L15 8Z",
            SHEET,
        )
        + &line("M-17 8L-17 15M0 8L0 15M17 8L17 15", 3.0)
}

/// A square with an arrow through it and a spring on it.
fn regulator() -> String {
    line("M-30 0L-13 0M13 0L30 0", 4.0)
        + &shape("M-13-9L13-9L13 15L-13 15Z", SHEET)
        + &line("M-13 0L10 0M4-5L10 0L4 5", 3.0)
        + &line("M-7-18L7-16.500L-7-14L7-12L0-9", 2.5)
}

/// A throttle: two arcs that narrow the line.
fn jet() -> String {
    line("M-30 0L30 0", 4.0) + &line("M-13-14Q0-3 13-14M-13 14Q0 3 13 14", 4.0)
}

/// A bowed disc between two flanges.
fn relief_disc() -> String {
    line("M-30 0L-12 0M12 0L30 0", 4.0)
        + &shape("M-12-14L-5-14L-5 14L-12 14Z", METAL)
        + &shape("M5-14L12-14L12 14L5 14Z", METAL)
        + &line("M-5-12Q9 0-5 12", 3.0)
}

/// Two triangles tip to tip: hollow with the line through them when open, full when shut.
fn passage(open: bool) -> String {
    let drawn = if open {
        shape("M-18-10L-18 12L18-10L18 12Z", SHEET) + &line("M-18 1L18 1", 5.0)
    } else {
        shape("M-18-10L-18 12L18-10L18 12Z", INK)
    };
    line("M-30 0L-18 0M18 0L30 0", 4.0) + &drawn
}

/// Pressure pushes a plunger against a contact, which it closes.
fn pressure_switch(closed: bool) -> String {
    let blade = if closed { "M2-8L22-8" } else { "M2-8L19-18" };
    line("M-30 0L-20 0", 4.0)
        + &shape("M-20-14L-12-14L-12 14L-20 14Z", METAL)
        + &line("M-12 0L-2 0M-2-6L-2 6", 4.0)
        + &line("M2-8L2 14M22-8L22 14", 3.0)
        + &line(blade, 4.0)
        + &format!(
            "<g transform=\"translate(0 -8)\">{}{}</g>",
            ring(2.0, 0.0),
            ring(22.0, 0.0)
        )
}

/// The passage of a tap with its ends as they are joined to the line.
fn tap(placed: &Placed, kind: FittingKind) -> String {
    let spare = placed.body.nodes.get(3).is_some_and(Option::is_some);
    let through = line(
        if spare {
            "M-30 0L30 0M0-20L0 20"
        } else {
            "M-30 0L30 0M0 0L0 20"
        },
        6.0,
    );
    let end = match kind {
        FittingKind::FlareTap => shape("M-24-11L-18-11L-10-4L-10 4L-18 11L-24 11Z", METAL),
        FittingKind::QuickTap => shape("M-25-9L-12-9L-12 9L-25 9Z", SHEET) + &line("M-18-12L-18 12", 4.0),
        _ => line("M-22-10L-22 10M-15-10L-15 10", 4.0),
    };
    format!("{through}{end}<g transform=\"rotate(180)\">{end}</g>")
}
