//! Probes, clamps, numbers and the texts of lines, each where nothing else is.

use super::glyph;
use super::outline::{At, PITCH};
use super::place::Placed;
use super::plan::{Plan, Shape};
use super::probe::Probe;
use super::room::{Point, Rod, Taken};
use super::route::{Routed, Who};
use crate::procedure::drawing::Pointed;
use crate::procedure::layout::FittingKind;

/// A thing that was set on the sheet after parts and lines.
#[derive(Clone, Debug, PartialEq)]
pub enum Marked {
    Probe(Probe),
    /// The jaws round a line.
    Clamp {
        at: Point,
        across: bool,
    },
    /// A number, and the place that it leads to.
    Number {
        number: usize,
        at: Point,
        to: Point,
    },
    /// A line's text, about its middle.
    Text {
        text: String,
        at: Point,
    },
}

/// The disc of a number.
pub const DISC: f64 = 20.0;
/// Half the size of a clamp's jaws.
pub const CLAMP: f64 = 17.0;
/// The height of a text.
pub const TEXT: f64 = 18.0;
/// The room that is kept round everything that is set.
const AIR: f64 = 5.0;

/// Sets everything that the plan points at, and the texts of its lines.
#[must_use]
pub fn marks(plan: &Plan, placed: &[Placed], routed: &Routed) -> Vec<Marked> {
    let mut sheet = Sheet::new(plan, placed, routed);
    let targets: Vec<Vec<Point>> = plan.marks.iter().map(|pointed| sheet.point(pointed)).collect();
    for (index, targets) in targets.iter().enumerate() {
        sheet.number(index + 1, targets);
    }
    for (index, line) in plan.lines.iter().enumerate() {
        if !line.text.is_empty() {
            sheet.text(index, &line.text);
        }
    }
    sheet.marked
}

/// The middle of a crossing of tracks.
#[must_use]
pub fn point(at: At) -> Point {
    Point {
        x: f64::from(at.x) * PITCH,
        y: f64::from(at.y) * PITCH,
    }
}

pub(super) struct Sheet<'a> {
    plan: &'a Plan,
    pub(super) placed: &'a [Placed],
    pub(super) routed: &'a Routed,
    pub(super) taken: Vec<Taken>,
    /// The corners of what parts and lines take.
    least: Point,
    most: Point,
    pub(super) marked: Vec<Marked>,
}

impl<'a> Sheet<'a> {
    fn new(plan: &'a Plan, placed: &'a [Placed], routed: &'a Routed) -> Self {
        let taken = taken(placed, routed);
        let (least, most) = bounds(placed, routed);
        Self {
            plan,
            placed,
            routed,
            taken,
            least,
            most,
            marked: Vec::new(),
        }
    }

    /// How much a rod would overlap, and how far it would reach beyond the sheet.
    pub(super) fn cost(&self, rod: &Rod) -> f64 {
        let overlap = |taken: &Taken| (AIR - taken.gap(rod)).max(0.0);
        let near = self.taken.iter().filter(|taken| taken.near(rod, AIR));
        let overlaps: f64 = near.map(overlap).sum();
        let out = |at: Point| {
            let x = (self.least.x - at.x + rod.radius).max(at.x + rod.radius - self.most.x);
            let y = (self.least.y - at.y + rod.radius).max(at.y + rod.radius - self.most.y);
            x.max(0.0) + y.max(0.0)
        };
        overlaps * 100.0 + (out(rod.from) + out(rod.to)) * 0.6
    }

    /// Sets what the plan points with, and answers where a number may lead to.
    fn point(&mut self, pointed: &Pointed) -> Vec<Point> {
        match pointed {
            Pointed::Part(name) => self.of_part(name),
            Pointed::Red(node) => self.probe(node, true),
            Pointed::Black(node) => self.probe(node, false),
            Pointed::Clamp(name) => self.clamp(name),
            Pointed::Node(node) => self.terminals(node),
        }
    }

    fn of_part(&self, name: &str) -> Vec<Point> {
        if let Some(body) = self.placed.iter().find(|body| body.body.name == name) {
            return edge(body);
        }
        self.stretches(name)
            .into_iter()
            .flat_map(|(from, to)| along(from, to))
            .collect()
    }

    /// The straight stretches of a line.
    fn stretches(&self, name: &str) -> Vec<(Point, Point)> {
        let line = self.plan.lines.iter().position(|line| line.name == name);
        let runs = self
            .routed
            .runs
            .iter()
            .filter(|run| matches!(run.who, Who::Line(index) if Some(index) == line));
        let pieces = runs.flat_map(|run| run.points.windows(2).map(|two| (point(two[0]), point(two[1]))));
        pieces.collect()
    }

    fn clamp(&mut self, name: &str) -> Vec<Point> {
        let stretches = self.stretches(name);
        let long = |(from, to): &(Point, Point)| from.far(*to);
        let longest = stretches.iter().max_by(|a, b| long(a).total_cmp(&long(b)));
        let Some((from, to)) = longest.copied() else {
            return Vec::new();
        };
        let at = Point {
            x: f64::midpoint(from.x, to.x),
            y: f64::midpoint(from.y, to.y),
        };
        self.taken.push(Taken::Rod(Rod::disc(at, CLAMP)));
        let across = (from.y - to.y).abs() < 0.5;
        self.marked.push(Marked::Clamp { at, across });
        let half = if across { (0.0, CLAMP) } else { (CLAMP, 0.0) };
        let side = |sign: f64| Point {
            x: at.x + sign * half.0,
            y: at.y + sign * half.1,
        };
        vec![side(-1.0), side(1.0)]
    }

    /// Sets a number near one of the places that it may lead to.
    fn number(&mut self, number: usize, targets: &[Point]) {
        let mut best: Option<(f64, Point, Point)> = None;
        for to in targets {
            for ring in 0..30_u32 {
                let far = 28.0 + 6.0 * f64::from(ring);
                if best.is_some_and(|(least, ..)| least <= far) {
                    break;
                }
                for turn in 0..24_u32 {
                    let at = to.polar(f64::from(turn) * 15.0 - 67.5, far);
                    let mut cost = far + self.cost(&Rod::disc(at, DISC));
                    if best.is_none_or(|(least, ..)| cost < least) {
                        cost += self.leading(*to, at);
                    }
                    if best.is_none_or(|(least, ..)| cost < least) {
                        best = Some((cost, at, *to));
                    }
                }
            }
        }
        if let Some((_, at, to)) = best {
            self.taken.push(Taken::Rod(Rod::disc(at, DISC)));
            self.taken.push(Taken::Rod(Rod {
                from: to,
                to: at,
                radius: 1.5,
            }));
            self.marked.push(Marked::Number { number, at, to });
        }
    }

    /// What it costs to lead a line over other things.
    fn leading(&self, to: Point, at: Point) -> f64 {
        let far = to.far(at);
        let share = |part: f64| Point {
            x: to.x + (at.x - to.x) * part / far,
            y: to.y + (at.y - to.y) * part / far,
        };
        let rod = Rod {
            from: share(7.0),
            to: share(far - DISC),
            radius: 1.5,
        };
        let over = |taken: &&Taken| taken.near(&rod, 0.0) && taken.gap(&rod) < 0.0;
        40.0 * f64::from(u32::try_from(self.taken.iter().filter(over).count()).unwrap_or(u32::MAX))
    }

    /// A line's text beside its longest free stretch; left out where there is no room.
    fn text(&mut self, line: usize, text: &str) {
        let name = &self.plan.lines[line].name;
        let half = glyph::width(text, TEXT) / 2.0;
        let mut stretches = self.stretches(name);
        stretches.sort_by(|a, b| b.0.far(b.1).total_cmp(&a.0.far(a.1)));
        for (from, to) in stretches {
            for middle in along(from, to) {
                let across = (from.y - to.y).abs() < 0.5;
                let aside = if across { TEXT / 2.0 + 7.0 } else { half + 8.0 };
                for sign in [-1.0, 1.0] {
                    let at = if across {
                        Point {
                            y: middle.y + sign * aside,
                            ..middle
                        }
                    } else {
                        Point {
                            x: middle.x + sign * aside,
                            ..middle
                        }
                    };
                    let rod = text_rod(at, half);
                    if self.cost(&rod) < 0.01 {
                        self.taken.push(Taken::Rod(rod));
                        let text = text.to_owned();
                        return self.marked.push(Marked::Text { text, at });
                    }
                }
            }
        }
    }
}

/// The room of a text about its middle.
#[must_use]
pub fn text_rod(at: Point, half: f64) -> Rod {
    let reach = (half - TEXT / 2.0).max(0.0);
    Rod {
        from: Point {
            x: at.x - reach,
            ..at
        },
        to: Point {
            x: at.x + reach,
            ..at
        },
        radius: TEXT / 2.0,
    }
}

/// Everything that parts and lines take.
#[must_use]
pub fn taken(placed: &[Placed], routed: &Routed) -> Vec<Taken> {
    let mut taken: Vec<Taken> = placed.iter().map(body_taken).collect();
    for run in &routed.runs {
        for two in run.points.windows(2) {
            let (from, to) = (point(two[0]), point(two[1]));
            let rod = Rod {
                from,
                to,
                radius: 3.0,
            };
            taken.push(Taken::Rod(rod));
        }
    }
    let hops = routed.hops.iter().chain(&routed.dots);
    taken.extend(hops.map(|at| Taken::Rod(Rod::disc(point(*at), 6.0))));
    taken
}

fn body_taken(body: &Placed) -> Taken {
    if body.body.shape == Shape::Joint {
        return Taken::Rod(Rod::disc(point(body.anchor), 8.0));
    }
    let (least, most) = body.room();
    Taken::Box {
        least: point(least),
        most: point(most),
    }
}

/// The corners of all parts and lines.
#[must_use]
pub fn bounds(placed: &[Placed], routed: &Routed) -> (Point, Point) {
    let rooms = placed.iter().flat_map(|body| [body.room().0, body.room().1]);
    let all = rooms.chain(routed.runs.iter().flat_map(|run| run.points.iter().copied()));
    let far = f64::INFINITY;
    let start = (Point { x: far, y: far }, Point { x: -far, y: -far });
    all.map(point).fold(start, |(least, most), at| {
        let least = Point {
            x: least.x.min(at.x),
            y: least.y.min(at.y),
        };
        let most = Point {
            x: most.x.max(at.x),
            y: most.y.max(at.y),
        };
        (least, most)
    })
}

/// Where a number may lead to at a body.
fn edge(body: &Placed) -> Vec<Point> {
    if body.body.shape == Shape::Joint {
        return vec![point(body.anchor)];
    }
    let (least, most) = super::symbol::face(body);
    let middle = Point {
        x: f64::midpoint(least.x, most.x),
        y: f64::midpoint(least.y, most.y),
    };
    // A dial has no corners.
    let round = body.body.shape == Shape::Fluid(FittingKind::Gauge);
    let inset = if round { 16.0 } else { 5.0 };
    let (left, right, top, foot) = (least.x + inset, most.x - inset, least.y + inset, most.y - inset);
    let at = |x, y| Point { x, y };
    vec![
        at(left, top),
        at(middle.x, top),
        at(right, top),
        at(left, foot),
        at(middle.x, foot),
        at(right, foot),
    ]
}

/// Places along a stretch, the middle first.
pub(super) fn along(from: Point, to: Point) -> Vec<Point> {
    let shares = [0.5, 0.35, 0.65, 0.2, 0.8, 0.0, 1.0];
    let at = |share: f64| Point {
        x: from.x + (to.x - from.x) * share,
        y: from.y + (to.y - from.y) * share,
    };
    shares.map(at).to_vec()
}
