//! Probes: the tip at a node, the handle where nothing else is.

use super::mark::{Marked, Sheet, along, point};
use super::plan::Shape;
use super::room::{Point, Rod, Taken};
use super::route::Who;

/// A probe's handle: its length, and half its width.
pub const HANDLE: f64 = 36.0;
pub const PROBE_WIDE: f64 = 9.0;
/// How long a probe's needle may be, and where its handle may point.
const NEEDLES: [f64; 5] = [18.0, 30.0, 45.0, 65.0, 90.0];
const ANGLES: [f64; 12] = [
    -60.0, -90.0, -45.0, -120.0, -135.0, 60.0, 90.0, 120.0, 45.0, 135.0, 0.0, 180.0,
];
/// A probe at a node.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Probe {
    pub tip: Point,
    /// Where it points to from its tip.
    pub degrees: f64,
    /// How long its needle is.
    pub needle: f64,
    pub red: bool,
}

impl Probe {
    /// The room of the handle.
    #[must_use]
    pub fn handle(&self) -> Rod {
        Rod {
            from: self.tip.polar(self.degrees, self.needle + 6.0),
            to: self.tip.polar(self.degrees, self.needle + HANDLE),
            radius: PROBE_WIDE,
        }
    }
}

impl Sheet<'_> {
    /// Sets a probe at a node; the end of its handle is where a number may lead to.
    pub(super) fn probe(&mut self, node: &str, red: bool) -> Vec<Point> {
        let mut best: Option<(f64, Point, f64, f64)> = None;
        for tip in self.places(node) {
            for needle in NEEDLES {
                for degrees in ANGLES {
                    let cost = self.held(tip, degrees, needle);
                    if best.is_none_or(|(least, ..)| cost < least) {
                        best = Some((cost, tip, degrees, needle));
                    }
                }
            }
        }
        let Some((_, tip, degrees, needle)) = best else {
            return Vec::new();
        };
        let probe = Probe {
            tip,
            degrees,
            needle,
            red,
        };
        let shaft = Rod {
            from: tip,
            to: probe.handle().from,
            radius: 2.0,
        };
        self.taken.extend([Taken::Rod(probe.handle()), Taken::Rod(shaft)]);
        self.marked.push(Marked::Probe(probe));
        vec![probe.handle().to]
    }

    /// What it costs to hold a probe so.
    fn held(&self, tip: Point, degrees: f64, needle: f64) -> f64 {
        let probe = Probe {
            tip,
            degrees,
            needle,
            red: true,
        };
        let shaft = Rod {
            from: tip.polar(degrees, 6.0),
            to: tip.polar(degrees, needle),
            radius: 2.0,
        };
        let over = |taken: &&Taken| taken.near(&shaft, 0.0) && taken.gap(&shaft) < 0.0;
        let over = self.taken.iter().filter(over);
        let crossed: f64 = over
            .map(|taken| {
                if matches!(taken, Taken::Box { .. }) {
                    900.0
                } else {
                    12.0
                }
            })
            .sum();
        needle * 0.5 + crossed + self.cost(&probe.handle())
    }

    /// Where a number may lead to at a node: a relay's terminal, which is known by its mark, before any other place.
    pub(super) fn terminals(&self, node: &str) -> Vec<Point> {
        let relays = self.placed.iter().filter(|body| body.body.shape == Shape::Relay);
        let pins = relays.flat_map(|body| body.joined().map(|(pin, at)| (at, body.pin(pin))));
        let own = pins.filter(|(at, _)| *at == node);
        let terminals: Vec<Point> = own.map(|(_, pin)| point(pin)).collect();
        if terminals.is_empty() {
            self.places(node)
        } else {
            terminals
        }
    }

    /// Every place of a node.
    fn places(&self, node: &str) -> Vec<Point> {
        let own = self
            .routed
            .runs
            .iter()
            .filter(|run| matches!(&run.who, Who::Node(name) if name == node));
        let pieces = own.flat_map(|run| run.points.windows(2).map(|two| (point(two[0]), point(two[1]))));
        let mut places: Vec<Point> = pieces.flat_map(|(from, to)| along(from, to)).collect();
        let joints = self.placed.iter().filter(|body| body.body.shape == Shape::Joint);
        let joints = joints.filter(|body| body.joined().any(|(_, at)| at == node));
        places.extend(joints.map(|body| point(body.anchor)));
        places
    }
}
