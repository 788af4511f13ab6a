//! How much room a body takes on the tracks, and where its pins come out.

use super::plan::{Body, Shape};
use crate::procedure::drawing::Towards;
use crate::procedure::layout::FittingKind;

/// Tracks are this far apart in the drawing's units.
pub const PITCH: f64 = 10.0;

/// A place on the tracks, to the right and downwards.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct At {
    pub x: i32,
    pub y: i32,
}

impl At {
    /// The place `steps` further that way.
    #[must_use]
    pub fn going(self, way: Way, steps: i32) -> Self {
        let (dx, dy) = way.step();
        Self {
            x: self.x + dx * steps,
            y: self.y + dy * steps,
        }
    }

    /// How far away along the tracks.
    #[must_use]
    pub fn far(self, other: Self) -> i32 {
        (self.x - other.x).abs() + (self.y - other.y).abs()
    }
}

/// A way along the tracks.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Way {
    Right,
    Down,
    Left,
    Up,
}

impl Way {
    pub const ALL: [Self; 4] = [Self::Right, Self::Down, Self::Left, Self::Up];

    #[must_use]
    pub fn step(self) -> (i32, i32) {
        match self {
            Self::Right => (1, 0),
            Self::Down => (0, 1),
            Self::Left => (-1, 0),
            Self::Up => (0, -1),
        }
    }

    #[must_use]
    pub fn back(self) -> Self {
        Self::ALL[(self as usize + 2) % 4]
    }

    /// The way to the right of it.
    #[must_use]
    pub fn right(self) -> Self {
        Self::ALL[(self as usize + 1) % 4]
    }

    #[must_use]
    pub fn across(self) -> bool {
        matches!(self, Self::Right | Self::Left)
    }
}

/// How a body lies: where its second end points, and, of a relay, on which side of the contact its coil is. 86 is
/// always drawn beside 87, so that whoever looks for a terminal finds it in the same place on every page.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Lie {
    pub towards: Towards,
    pub coil_above: bool,
}

impl Lie {
    /// A body that lies so, its coil below.
    #[must_use]
    pub fn plain(towards: Towards) -> Self {
        Self {
            towards,
            coil_above: false,
        }
    }

    /// Every way in which the body may lie; the author's way alone where there is one.
    #[must_use]
    pub fn choices(body: &Body) -> Vec<Self> {
        let wanted = body.seat.and_then(|seat| seat.towards);
        let all: &[Towards] = match body.shape {
            Shape::Joint => &[Towards::Right],
            Shape::Relay => &[Towards::Right, Towards::Left],
            _ => &[Towards::Right, Towards::Down, Towards::Left, Towards::Up],
        };
        let some = all
            .iter()
            .copied()
            .filter(|way| wanted.is_none_or(|wanted| wanted == *way));
        let mut lies: Vec<Self> = some.map(Self::plain).collect();
        if lies.is_empty() {
            lies.push(Self::plain(all[0]));
        }
        if body.shape == Shape::Relay {
            let with = |lie: &Self| [false, true].map(|coil_above| Self { coil_above, ..*lie });
            lies = lies.iter().flat_map(with).collect();
        }
        lies
    }
}

/// A body's room about its anchor, in tracks: from the anchor to each side, and its pins.
#[derive(Clone, Debug, PartialEq)]
pub struct Outline {
    pub left: i32,
    pub right: i32,
    pub up: i32,
    pub down: i32,
    /// Sign and text beyond the body itself.
    pub sign: Option<Way>,
    /// Each pin's place from the anchor, and the way out.
    pub pins: Vec<(At, Way)>,
}

/// Half of a body's length and width, in tracks.
const LONG: i32 = 3;
const WIDE: i32 = 2;
/// What a sign and a line of text take.
const SIGN: i32 = 5;
const TEXT: i32 = 2;
/// A relay's half width, and its contact's and its coil's distance from its edges.
pub const RELAY: i32 = 7;
pub const CONTACT: i32 = 3;
pub const COIL: i32 = 6;
pub const EDGE: i32 = 2;

impl Outline {
    /// The room of a body that lies this way.
    #[must_use]
    pub fn of(body: &Body, lie: Lie) -> Self {
        match body.shape {
            Shape::Joint => Self::joint(body.nodes.len()),
            Shape::Relay => Self::relay(lie),
            Shape::Fluid(_) => Self::fluid(body, lie.towards),
            _ => Self::two_ends(body, lie.towards),
        }
    }

    /// Ends along the part, those of a tap and a regulator to its sides too, what flows back into a tank from above.
    fn fluid(body: &Body, towards: Towards) -> Self {
        let (way, middle) = (way(towards), At { x: 0, y: 0 });
        let (x, y) = half(body.shape, towards);
        let edge = |way: Way| (middle.going(way, if way.across() { x } else { y }), way);
        let pins = body.shape.pins().iter().map(|pin| match *pin {
            "to" => edge(way),
            "branch" => edge(way.right()),
            "spare" => edge(way.right().back()),
            // A spring's side stays on top, and what lies left is drawn in a mirror.
            "reference" if way.across() => edge(Way::Up),
            "reference" => edge(way.right().back()),
            "back" => edge(if way.across() { Way::Up } else { Way::Right }),
            _ => edge(way.back()),
        });
        let told = i32::from(!body.text.is_empty());
        Self {
            left: x,
            right: x + if way.across() { 0 } else { SIGN * told },
            up: y,
            down: y + if way.across() { TEXT * told } else { 0 },
            sign: None,
            pins: pins.collect(),
        }
    }

    /// So many places in a row, for as many lines as meet there.
    fn joint(places: usize) -> Self {
        let places = i32::try_from(places).unwrap_or(1);
        Self {
            left: 0,
            right: places - 1,
            up: 0,
            down: 0,
            sign: None,
            pins: (0..places).map(|x| (At { x, y: 0 }, Way::Right)).collect(),
        }
    }

    fn two_ends(body: &Body, towards: Towards) -> Self {
        let way = way(towards);
        let (across, along) = if way.across() { (LONG, WIDE) } else { (WIDE, LONG) };
        let from = At { x: 0, y: 0 }.going(way.back(), LONG);
        let to = At { x: 0, y: 0 }.going(way, LONG);
        let (signed, told) = (i32::from(body.sign.is_some()), i32::from(!body.text.is_empty()));
        let beside = if way.across() { 0 } else { SIGN * signed.max(told) };
        Self {
            left: across,
            right: across + beside,
            up: along + if way.across() { SIGN * signed } else { 0 },
            down: along + if way.across() { TEXT * told } else { 0 },
            sign: body.sign.map(|_| if way.across() { Way::Up } else { Way::Right }),
            pins: vec![(from, way.back()), (to, way)],
        }
    }

    /// The anchor is the middle of the contact.
    fn relay(lie: Lie) -> Self {
        let to = way(lie.towards);
        let side = |way, y| (At { x: 0, y }.going(way, RELAY), way);
        let coil = if lie.coil_above { -COIL } else { COIL };
        let loose = if lie.coil_above { CONTACT - 1 } else { 2 };
        // A terminal's number stands above its line, and clear of the case.
        let (near, far) = (CONTACT + 1, COIL + EDGE + 1);
        Self {
            left: RELAY,
            right: RELAY,
            up: if lie.coil_above { far + 1 } else { near },
            down: if lie.coil_above { near } else { far },
            sign: None,
            pins: vec![
                side(to, coil),
                side(to.back(), coil),
                side(to.back(), 0),
                side(to, 0),
                side(to, loose),
            ],
        }
    }
}

/// Half of a body's width and height.
#[must_use]
pub fn half(shape: Shape, towards: Towards) -> (i32, i32) {
    match shape {
        Shape::Fluid(FittingKind::Tank | FittingKind::Can | FittingKind::Gauge) => (LONG, LONG),
        _ if way(towards).across() => (LONG, WIDE),
        _ => (WIDE, LONG),
    }
}

/// The way along the tracks.
#[must_use]
pub fn way(towards: Towards) -> Way {
    match towards {
        Towards::Right => Way::Right,
        Towards::Down => Way::Down,
        Towards::Left => Way::Left,
        Towards::Up => Way::Up,
    }
}
