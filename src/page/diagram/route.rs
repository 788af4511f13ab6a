//! Lines along the tracks: each joins what the netlist joins, crosses others squarely, and touches nothing else.

use super::board::{Board, Use};
use super::outline::{At, Way};
use super::place::Placed;
use super::plan::{Plan, Shape};
use super::search::Search;
use std::collections::BTreeMap;

/// A line as it runs.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Run {
    pub who: Who,
    /// Its ends and its bends.
    pub points: Vec<At>,
}

/// What a line is: the wire of the plan, or a node's own stretch between pins.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Who {
    Line(usize),
    Node(String),
}

/// Lines, where they are joined, and where they cross without touching.
#[derive(Clone, Debug, Default)]
pub struct Routed {
    pub runs: Vec<Run>,
    pub dots: Vec<At>,
    pub hops: Vec<At>,
}

/// A line that must be found.
#[derive(Clone, Debug)]
enum Wanted {
    /// From anywhere on the first node to anywhere on the second.
    Line(usize),
    /// The stretch of a node that holds this place, to another stretch of it.
    Node(String, At),
}

/// Tracks left free round all bodies.
const MARGIN: i32 = 4;
/// How often another order of lines is tried.
const TRIES: usize = 24;

/// Finds a way for every line; nothing where there is no room for one.
#[must_use]
pub fn route(plan: &Plan, placed: &[Placed]) -> Option<Routed> {
    let mut order = wanted(plan, placed);
    for _ in 0..TRIES {
        let mut router = Router::new(plan, placed);
        let failed = order.iter().position(|wanted| router.find(wanted).is_none());
        match failed {
            None => return Some(router.routed()),
            Some(at) => order[..=at].rotate_right(1),
        }
    }
    None
}

/// All lines that must be found, the short ones first.
fn wanted(plan: &Plan, placed: &[Placed]) -> Vec<Wanted> {
    let mut nodes: BTreeMap<&str, Vec<At>> = BTreeMap::new();
    for body in placed {
        for (pin, node) in body.joined() {
            nodes.entry(node).or_default().push(stub_end(body, pin));
        }
    }
    let mut all: Vec<(i32, Wanted)> = Vec::new();
    for (node, pins) in &nodes {
        all.extend(
            spanning(pins)
                .into_iter()
                .map(|(far, at)| (far, Wanted::Node((*node).to_owned(), at))),
        );
    }
    for (index, line) in plan.lines.iter().enumerate() {
        let [from, to] = [0, 1].map(|end| nodes.get(line.ends[end].as_str()));
        let far = |from: &Vec<At>, to: &Vec<At>| {
            let pairs = from.iter().flat_map(|from| to.iter().map(|to| from.far(*to)));
            pairs.min().unwrap_or(0)
        };
        all.push((
            from.zip(to).map_or(0, |(from, to)| far(from, to)),
            Wanted::Line(index),
        ));
    }
    all.sort_by_key(|(far, _)| *far);
    all.into_iter().map(|(_, wanted)| wanted).collect()
}

/// One pin after the other, each with its distance from the nearest before it.
fn spanning(pins: &[At]) -> Vec<(i32, At)> {
    let mut joined: Vec<At> = pins.first().copied().into_iter().collect();
    let mut open: Vec<At> = pins.iter().skip(1).copied().collect();
    let mut found = Vec::new();
    while !open.is_empty() {
        let far = |at: &At| joined.iter().map(|other| other.far(*at)).min().unwrap_or(0);
        let Some((index, far)) = open.iter().map(far).enumerate().min_by_key(|(_, far)| *far) else {
            break;
        };
        let at = open.remove(index);
        found.push((far, at));
        joined.push(at);
    }
    found
}

/// Where the short line at a pin ends, from which all others go.
#[must_use]
pub fn stub_end(body: &Placed, pin: usize) -> At {
    let (_, way) = body.outline.pins[pin];
    let stub = i32::from(body.body.shape != Shape::Joint);
    body.pin(pin).going(way, stub)
}

struct Router<'a> {
    plan: &'a Plan,
    board: Board,
    /// The stretches of each node, as yet apart.
    nodes: BTreeMap<String, Vec<Vec<At>>>,
    runs: Vec<Run>,
}

impl<'a> Router<'a> {
    fn new(plan: &'a Plan, placed: &[Placed]) -> Self {
        let most = placed.iter().map(|body| body.room().1);
        let (width, height) = most.fold((0, 0), |(x, y), at| (x.max(at.x), y.max(at.y)));
        let mut router = Self {
            plan,
            board: Board::new(width + 1 + MARGIN, height + 1 + MARGIN),
            nodes: BTreeMap::new(),
            runs: Vec::new(),
        };
        placed.iter().for_each(|body| router.block(body));
        placed.iter().for_each(|body| router.stubs(body));
        router
    }

    fn block(&mut self, body: &Placed) {
        if body.body.shape == Shape::Joint {
            return;
        }
        let (least, most) = body.room();
        for y in least.y..=most.y {
            for x in least.x..=most.x {
                self.board.set(At { x, y }, Use::Body);
            }
        }
    }

    fn stubs(&mut self, body: &Placed) {
        for (pin, node) in body.joined() {
            let (from, end) = (body.pin(pin), stub_end(body, pin));
            let (_, way) = body.outline.pins[pin];
            self.board.set(end, Use::Node);
            if from != end {
                self.board.join(from, way);
                let who = Who::Node(node.to_owned());
                self.runs.push(Run {
                    who,
                    points: vec![from, end],
                });
            }
            self.nodes.entry(node.to_owned()).or_default().push(vec![end]);
        }
    }

    fn find(&mut self, wanted: &Wanted) -> Option<()> {
        match wanted {
            Wanted::Line(index) => {
                let [from, to] = &self.plan.lines[*index].ends;
                let from = self.nodes.get(from)?.concat();
                let to = self.nodes.get(to)?.concat();
                let path = self.path(&from, &to)?;
                self.lay(&path, Who::Line(*index));
            }
            Wanted::Node(node, at) => {
                let stretches = self.nodes.get(node)?;
                let own = stretches.iter().position(|stretch| stretch.contains(at))?;
                let others = stretches.iter().enumerate().filter(|(index, _)| *index != own);
                let others: Vec<At> = others.flat_map(|(_, stretch)| stretch).copied().collect();
                // The stretch may have been joined already, from its other side.
                if others.is_empty() {
                    return Some(());
                }
                let path = self.path(&stretches[own], &others)?;
                self.lay(&path, Who::Node(node.clone()));
                self.merge(node, &path);
            }
        }
        Some(())
    }

    /// The stretches that the path joined are one now, the path with them.
    fn merge(&mut self, node: &str, path: &[At]) {
        let Some(stretches) = self.nodes.get_mut(node) else {
            return;
        };
        let touches = |stretch: &Vec<At>| stretch.iter().any(|at| path.contains(at));
        let (joined, mut apart): (Vec<_>, Vec<_>) = stretches.drain(..).partition(touches);
        let mut one = joined.concat();
        one.extend(path.iter().filter(|at| self.board.at(**at) != Use::Crossed));
        one.sort_unstable();
        one.dedup();
        apart.push(one);
        *stretches = apart;
    }

    /// The cheapest way from one of these places to one of those, place by place.
    fn path(&self, from: &[At], to: &[At]) -> Option<Vec<At>> {
        if let Some(both) = from.iter().find(|at| to.contains(at)) {
            return Some(vec![*both]);
        }
        let mut search = Search::new(&self.board, to);
        for at in from {
            if self.board.at(*at) != Use::Crossed {
                search.begin(*at);
            }
        }
        search.run()
    }

    /// Uses the path for a line.
    fn lay(&mut self, path: &[At], who: Who) {
        for pair in path.windows(2) {
            let way = way_between(pair[0], pair[1]);
            self.board.join(pair[0], way);
        }
        for three in path.windows(3) {
            let (before, behind) = (way_between(three[0], three[1]), way_between(three[1], three[2]));
            let used = match self.board.at(three[1]) {
                Use::Along { .. } => Use::Crossed,
                _ if before != behind => Use::Bend,
                _ => Use::Along {
                    across: before.across(),
                },
            };
            self.board.set(three[1], used);
        }
        for end in [path.first(), path.last()].into_iter().flatten() {
            self.board.set(*end, Use::Node);
        }
        let points = corners(path);
        self.runs.push(Run { who, points });
    }

    fn routed(self) -> Routed {
        let mut dots = Vec::new();
        let mut hops = Vec::new();
        for y in 0..self.board.height {
            for x in 0..self.board.width {
                let at = At { x, y };
                match self.board.at(at) {
                    Use::Crossed => hops.push(at),
                    Use::Node if self.board.degree(at) > 2 => dots.push(at),
                    _ => {}
                }
            }
        }
        Routed {
            runs: self.runs,
            dots,
            hops,
        }
    }
}

/// The ends and bends of a path.
fn corners(path: &[At]) -> Vec<At> {
    let mut points: Vec<At> = path.first().copied().into_iter().collect();
    for three in path.windows(3) {
        if way_between(three[0], three[1]) != way_between(three[1], three[2]) {
            points.push(three[1]);
        }
    }
    if path.len() > 1 {
        points.extend(path.last());
    }
    points
}

/// The way from one place to another beside it.
fn way_between(from: At, to: At) -> Way {
    let next = |way: &&Way| from.going(**way, 1) == to;
    Way::ALL.iter().find(next).copied().unwrap_or(Way::Right)
}
