//! The bodies of parts, after IEC 60617 in the plain shapes of the drawing language.

use super::fluid;
use super::glyph;
use super::mark::{TEXT, point};
use super::outline::{self, CONTACT, EDGE, PITCH, RELAY, Way};
use super::place::Placed;
use super::plan::Shape;
use super::room::Point;
use crate::procedure::drawing::Sign;

const INK: &str = "#1a1a1a";
const SHEET: &str = "#ffffff";
const PLAIN: &str = "#eef0f2";
const WORKED: &str = "#9fd6cb";

/// The height of a relay terminal's number, which is read from arm's length.
const NUMBER: f64 = 22.0;

/// The corners of the body itself, without its sign and text.
#[must_use]
pub fn face(placed: &Placed) -> (Point, Point) {
    let at = point(placed.anchor);
    let (left, up, right, down) = if placed.body.shape == Shape::Relay {
        let (up, down) = (placed.outline.up, placed.outline.down);
        (RELAY, up, RELAY, down)
    } else {
        let (x, y) = outline::half(placed.body.shape, placed.lie.towards);
        (x, y, x, y)
    };
    let far = |tracks: i32| f64::from(tracks) * PITCH;
    let least = Point {
        x: at.x - far(left),
        y: at.y - far(up),
    };
    let most = Point {
        x: at.x + far(right),
        y: at.y + far(down),
    };
    (least, most)
}

/// The part with its sign and its text.
#[must_use]
pub fn svg(placed: &Placed) -> String {
    let body = &placed.body;
    let at = point(placed.anchor);
    let inside = match body.shape {
        Shape::Joint => return joint(placed),
        Shape::Relay => relay(placed),
        Shape::Fluid(kind) => fluid::svg(placed, kind),
        _ => turned(placed, &(case(placed) + &two_ends(placed))),
    };
    let id = if body.name.is_empty() {
        String::new()
    } else {
        format!(" id=\"part-{}\"", body.name)
    };
    format!(
        "  <g{id} transform=\"translate({:.0} {:.0})\">{inside}{}</g>\n",
        at.x,
        at.y,
        beside(placed)
    )
}

/// Turned so that its second end points where it should.
pub(super) fn turned(placed: &Placed, inside: &str) -> String {
    match outline::way(placed.lie.towards) {
        Way::Right => inside.to_owned(),
        Way::Down => format!("<g transform=\"rotate(90)\">{inside}</g>"),
        Way::Left => format!("<g transform=\"rotate(180)\">{inside}</g>"),
        Way::Up => format!("<g transform=\"rotate(-90)\">{inside}</g>"),
    }
}

pub(super) fn case(placed: &Placed) -> String {
    let fill = if placed.body.worked { WORKED } else { PLAIN };
    if placed.body.out {
        return format!(
            "<rect x=\"-30\" y=\"-20\" width=\"60\" height=\"40\" rx=\"8\" fill=\"{SHEET}\" stroke=\"{INK}\" \
             stroke-width=\"3\" stroke-dasharray=\"7 6\"/>"
        ) + &ring(-20.0, 0.0)
            + &ring(20.0, 0.0);
    }
    format!(
        "<rect x=\"-30\" y=\"-20\" width=\"60\" height=\"40\" rx=\"8\" fill=\"{fill}\" stroke=\"{INK}\" \
         stroke-width=\"3\"/>"
    )
}

fn two_ends(placed: &Placed) -> String {
    let body = &placed.body;
    if body.out {
        return String::new();
    }
    match body.shape {
        Shape::Fuse => {
            "<rect x=\"-23\" y=\"-12\" width=\"46\" height=\"24\" rx=\"4\" fill=\"#ffffff\" stroke=\"#1a1a1a\" \
             stroke-width=\"3\"/>"
                .to_owned()
                + &line("M-30 0L-20 0q10-13 20 0t20 0L30 0", 3.0)
        }
        Shape::Switch => {
            let blade = if body.acting { "M-18 0L18 0" } else { "M-18 0L14-14" };
            // The bar at the fixed contact is that of a switch that isolates (IEC 60617).
            let fixed = match body.sign {
                Some(Sign::Handle) => line("M18-9L18 9", 4.0),
                _ => ring(18.0, 0.0),
            };
            line("M-30 0L-18 0M18 0L30 0", 4.0) + &line(blade, 5.0) + &ring(-18.0, 0.0) + &fixed
        }
        Shape::Diode => {
            line("M-30 0L30 0", 3.0)
                + &format!("<path d=\"M-12-12L-12 12L10 0Z\" fill=\"{INK}\" stroke=\"{INK}\" stroke-width=\"2\"/>")
                + &line("M11-12L11 12", 4.0)
        }
        Shape::Lamp => {
            line("M-30 0L30 0", 3.0)
                + &format!("<circle r=\"14\" fill=\"{SHEET}\" stroke=\"{INK}\" stroke-width=\"3\"/>")
                + &line("M-10-10L10 10M-10 10L10-10", 3.0)
        }
        Shape::Source => source(placed),
        Shape::Meter => line("M-30 0L-16 0M16 0L30 0", 3.0) + &upright(placed, "V"),
        _ => coil(-20.0, 0.0, 40.0, 24.0) + &line("M-30 0L-20 0M20 0L30 0", 3.0),
    }
}

/// Its plus is the end that lies first.
fn source(placed: &Placed) -> String {
    if placed.body.sign == Some(Sign::Ohms) {
        return line("M-30 0L-18 0M18 0L30 0", 3.0) + &upright(placed, "Ω");
    }
    line("M-22-7L-22 7M-29 0L-15 0M15-7L15 7", 3.5) + &line("M-6-12L-6 12", 3.0) + &line("M3-6L3 6", 6.0)
}

/// A letter that stands upright however the part lies.
fn upright(placed: &Placed, letter: &str) -> String {
    let turn = match outline::way(placed.lie.towards) {
        Way::Right => 0,
        Way::Down => -90,
        Way::Left => 180,
        Way::Up => 90,
    };
    format!(
        "<g transform=\"rotate({turn})\"><circle r=\"16\" fill=\"{SHEET}\" stroke=\"{INK}\" stroke-width=\"3\"/>{}</g>",
        glyph::text(letter, 0.0, 0.0, 16.0, 3.0, INK)
    )
}

pub(super) fn coil(x: f64, y: f64, width: f64, height: f64) -> String {
    let (top, foot, right) = (y - height / 2.0, y + height / 2.0, x + width);
    format!(
        "<rect x=\"{x:.0}\" y=\"{top:.0}\" width=\"{width:.0}\" height=\"{height:.0}\" rx=\"3\" fill=\"{SHEET}\" \
         stroke=\"{INK}\" stroke-width=\"3\"/>"
    ) + &line(&format!("M{x:.0} {foot:.0}L{right:.0} {top:.0}"), 3.0)
}

pub(super) fn line(path: &str, weight: f64) -> String {
    format!(
        "<path d=\"{path}\" fill=\"none\" stroke=\"{INK}\" stroke-width=\"{weight}\" stroke-linecap=\"round\" \
         stroke-linejoin=\"round\"/>"
    )
}

pub(super) fn ring(x: f64, y: f64) -> String {
    format!(
        "<circle cx=\"{x:.0}\" cy=\"{y:.0}\" r=\"5\" fill=\"{SHEET}\" stroke=\"{INK}\" stroke-width=\"3\"/>"
    )
}

/// The contact about the anchor, the coil above or below it, each terminal with its number.
fn relay(placed: &Placed) -> String {
    let (body, half) = (&placed.body, f64::from(RELAY) * PITCH);
    let (up, down) = (
        f64::from(placed.outline.up) * PITCH,
        f64::from(placed.outline.down) * PITCH,
    );
    let (fill, dash) = match (body.out, body.worked) {
        (true, _) => (SHEET, " stroke-dasharray=\"7 6\""),
        (false, true) => (WORKED, ""),
        (false, false) => (PLAIN, ""),
    };
    let case = format!(
        "<rect x=\"{:.0}\" y=\"{:.0}\" width=\"{:.0}\" height=\"{:.0}\" rx=\"10\" fill=\"{fill}\" stroke=\"{INK}\" \
         stroke-width=\"3\"{dash}/>",
        -half,
        -up,
        half * 2.0,
        up + down
    );
    let pins = placed.outline.pins.iter().zip(body.shape.pins());
    let names = pins.filter(|(_, name)| **name != "t87a" || body.nodes[4].is_some());
    let numbers = names.map(|((at, way), name)| {
        let (x, y) = (f64::from(at.x) * PITCH, f64::from(at.y) * PITCH);
        let inset = if *way == Way::Left { 1.0 } else { -1.0 };
        // 87a stands below its own line, since 87 has its line above it.
        let (inset, y, size) = if *name == "t87a" {
            (inset * 20.0, y + 12.0, 14.0)
        } else {
            (inset * 26.0, y - 19.0, NUMBER)
        };
        glyph::text(&name[1..], x + inset, y, size, 2.6, INK)
    });
    case + &numbers.collect::<String>() + &if body.out { sockets(placed) } else { works(placed) }
}

fn sockets(placed: &Placed) -> String {
    let pins = placed
        .outline
        .pins
        .iter()
        .zip(&placed.body.nodes)
        .filter(|(_, node)| node.is_some());
    pins.map(|((at, way), _)| {
        let x = f64::from(at.x) * PITCH + if *way == Way::Left { 10.0 } else { -10.0 };
        ring(x, f64::from(at.y) * PITCH)
    })
    .collect()
}

fn works(placed: &Placed) -> String {
    let body = &placed.body;
    let turn = if outline::way(placed.lie.towards) == Way::Right {
        1.0
    } else {
        -1.0
    };
    let coil_y = f64::from(placed.outline.pins[0].0.y) * PITCH;
    let toward_coil = coil_y.signum();
    // At rest the blade leans away from the coil, where no rod crosses it.
    let rest = if body.nodes[4].is_some() {
        f64::from(placed.outline.pins[4].0.y) * PITCH
    } else {
        13.0 * toward_coil
    };
    let blade = if body.acting { 0.0 } else { rest };
    let edge = f64::from(RELAY) * PITCH;
    let mut drawn = line(&format!("M-{edge:.0} 0L-26 0M26 0L{edge:.0} 0"), 4.0);
    drawn += &line(
        &format!("M-{edge:.0} {coil_y:.0}L-26 {coil_y:.0}M26 {coil_y:.0}L{edge:.0} {coil_y:.0}"),
        4.0,
    );
    if body.nodes[4].is_some() {
        drawn += &line(
            &format!("M{:.0} {rest:.0}L{:.0} {rest:.0}", 26.0 * turn, edge * turn),
            4.0,
        );
        drawn += &ring(26.0 * turn, rest);
    }
    drawn += &coil(-26.0, coil_y, 52.0, 26.0);
    let reach = if body.acting { 26.0 } else { 22.0 };
    drawn += &line(
        &format!("M{:.0} 0L{:.0} {blade:.0}", -26.0 * turn, reach * turn),
        5.0,
    );
    drawn += &format!(
        "<path d=\"M0 {:.0}L0 {:.0}\" fill=\"none\" stroke=\"{INK}\" stroke-width=\"2\" stroke-dasharray=\"4 4\"/>",
        coil_y - 13.0 * toward_coil,
        blade / 2.0
    );
    drawn + &ring(-26.0, 0.0) + &ring(26.0, 0.0)
}

/// A place where lines meet and no part is.
fn joint(placed: &Placed) -> String {
    let at = point(placed.anchor);
    let right = f64::from(placed.outline.right) * PITCH;
    if placed.body.sign == Some(Sign::Bolt) {
        return format!(
            "  <g transform=\"translate({:.0} {:.0})\"><circle r=\"12\" fill=\"{SHEET}\" stroke=\"{INK}\" \
             stroke-width=\"3\"/><circle r=\"4\" fill=\"{INK}\"/></g>\n",
            at.x + right / 2.0,
            at.y
        );
    }
    format!(
        "  <circle cx=\"{:.0}\" cy=\"{:.0}\" r=\"5\" fill=\"{SHEET}\" stroke=\"{INK}\" stroke-width=\"3\"/>\n",
        at.x + right / 2.0,
        at.y
    )
}

/// Sign and text, above and below, or to the right of a part that stands.
fn beside(placed: &Placed) -> String {
    let (body, across) = (&placed.body, outline::way(placed.lie.towards).across());
    if body.shape == Shape::Relay {
        return String::new();
    }
    let signed = body
        .sign
        .filter(|sign| *sign != Sign::Ohms && *sign != Sign::Bolt);
    let mut drawn = String::new();
    if let Some(sign) = signed {
        let (x, y) = if across {
            (0.0, -44.0)
        } else {
            (46.0, if body.text.is_empty() { 0.0 } else { -11.0 })
        };
        drawn += &format!(
            "<g transform=\"translate({x} {y})\">{}</g>",
            super::sign::svg(sign)
        );
    }
    if !body.text.is_empty() {
        let (x, y) = if across {
            (0.0, 35.0)
        } else {
            (46.0, if signed.is_some() { 20.0 } else { 0.0 })
        };
        drawn += &glyph::text(&body.text, x, y, TEXT, 2.4, INK);
    }
    drawn
}

/// How far the relay's case reaches beyond its terminals.
const _: () = assert!(CONTACT > EDGE);
