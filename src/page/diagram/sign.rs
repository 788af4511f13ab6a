//! Small signs beside parts: what works a switch, what flows through a valve.

use crate::procedure::drawing::Sign;

/// The sign about the middle of its room, 54 wide and 38 high.
#[must_use]
pub fn svg(sign: Sign) -> String {
    match sign {
        Sign::Key => key(),
        Sign::Lever => lever(),
        Sign::Button => button(),
        Sign::Pedal => pedal(),
        Sign::Speed => dial("M-6-13A14 14 0 0 1 13-4", "M0 0L6-11"),
        Sign::Pressure => pressure(),
        Sign::Handle => handle(),
        Sign::Nitrous => line("M0-13L0 13M-11.3-6.5L11.3 6.5M-11.3 6.5L11.3-6.5", 4.0),
        Sign::Fuel => shape(
            "M0-16C10-3 11 2 11 5C11 11 6 15 0 15C-6 15-11 11-11 5C-11 2-10-3 0-16Z",
            "#ffffff",
        ),
        Sign::Purge => line(
            "M-16 6C-10-2-6 12 0 4C6-4 10 10 16 2M-10-8L10-8M4-14L10-8L4-2",
            3.0,
        ),
        Sign::Car => {
            shape(
                "M-24 10L-24 0C-24-4-18-4-14-5L-7-14L8-14L15-5C20-4 24-3 24 1L24 10Z",
                "#c9ced4",
            ) + &disc(-13.0, 11.0, 5.0, "#4a4a4a")
                + &disc(13.0, 11.0, 5.0, "#4a4a4a")
        }
        Sign::Controller => controller(),
        Sign::Ohms => super::glyph::text("Ω", 0.0, 0.0, 20.0, 3.0, "#1a1a1a"),
        Sign::Bolt | Sign::Inside => String::new(),
    }
}

fn line(path: &str, weight: f64) -> String {
    format!(
        "<path d=\"{path}\" fill=\"none\" stroke=\"#1a1a1a\" stroke-width=\"{weight}\" stroke-linecap=\"round\" \
         stroke-linejoin=\"round\"/>"
    )
}

fn shape(path: &str, fill: &str) -> String {
    format!(
        "<path d=\"{path}\" fill=\"{fill}\" stroke=\"#1a1a1a\" stroke-width=\"3\" stroke-linejoin=\"round\"/>"
    )
}

fn disc(x: f64, y: f64, radius: f64, fill: &str) -> String {
    format!(
        "<circle cx=\"{x}\" cy=\"{y}\" r=\"{radius}\" fill=\"{fill}\" stroke=\"#1a1a1a\" stroke-width=\"3\"/>"
    )
}

/// A key with its ring and its bit.
fn key() -> String {
    line("M-4 0L22 0M13 0L13 9M21 0L21 9", 5.0)
        + &disc(-13.0, 0.0, 10.0, "#c9ced4")
        + &disc(-13.0, 0.0, 3.0, "#ffffff")
}

fn lever() -> String {
    shape("M-12-16L-4-16L-4 16L-12 16Z", "#c9ced4")
        + &line("M-4 2L13-12", 6.0)
        + &disc(-3.0, 3.0, 5.0, "#8d959e")
}

fn button() -> String {
    shape("M-20 3L20 3L20 15L-20 15Z", "#c9ced4")
        + &shape("M-10-2L10-2L10 3L-10 3Z", "#8d959e")
        + &line("M0-18L0-6M-7-12L0-5L7-12", 4.0)
}

fn pedal() -> String {
    line("M-24 14L24 14", 3.0) + &line("M-17 8L19-10", 7.0) + &disc(-17.0, 8.0, 4.0, "#ffffff")
}

fn dial(arc: &str, hand: &str) -> String {
    disc(0.0, 0.0, 17.0, "#ffffff")
        + &format!("<path d=\"{arc}\" fill=\"none\" stroke=\"#8d959e\" stroke-width=\"6\"/>")
        + &line(hand, 4.0)
        + &disc(0.0, 0.0, 2.0, "#1a1a1a")
}

fn pressure() -> String {
    let ticks =
        "M-9.5 9.5L-12 12M-13 0L-16 0M-9.5-9.5L-12-12M0-13L0-16M9.5-9.5L12-12M13 0L16 0M9.5 9.5L12 12";
    disc(0.0, 0.0, 18.0, "#ffffff")
        + &line(ticks, 2.5)
        + &line("M0 0L10-4", 4.0)
        + &disc(0.0, 0.0, 3.0, "#1a1a1a")
}

/// The rotary grip of an isolator on its square plate: nothing round, so that it is not taken for a key.
fn handle() -> String {
    shape("M-17-17L17-17L17 17L-17 17Z", "#c9ced4")
        + &shape("M-5-15L5-15L5 15L-5 15Z", "#8d959e")
        + &disc(0.0, 0.0, 2.0, "#1a1a1a")
}

fn controller() -> String {
    let pins =
        "M-12-16L-12-11M-4-16L-4-11M4-16L4-11M12-16L12-11M-12 11L-12 16M-4 11L-4 16M4 11L4 16M12 11L12 16";
    line(pins, 3.0) + &shape("M-18-11L18-11L18 11L-18 11Z", "#8d959e") + &disc(-11.0, -4.0, 1.5, "#1a1a1a")
}
