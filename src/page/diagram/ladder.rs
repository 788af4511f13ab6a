//! A plain drawing that always works: bodies in one row, every node a rung of its own below them.

use super::outline::{At, Lie, Outline};
use super::place::Placed;
use super::plan::{Plan, Shape};
use super::route::{Routed, Run, Who};
use crate::procedure::drawing::Towards;
use std::collections::BTreeMap;

/// Tracks between bodies, and between rungs.
const GAP: i32 = 8;
const RUNG: i32 = 2;

/// The bodies in a row, and their lines. Each pin and each line has a column of tracks of its own, each node a
/// row, so that two lines meet nowhere but where a column ends on its row.
#[must_use]
pub fn ladder(plan: &Plan) -> (Vec<Placed>, Routed) {
    let placed = in_a_row(plan);
    let foot = placed.iter().map(|body| body.room().1.y).max().unwrap_or(0);
    let mut rungs: BTreeMap<&str, Rung> = BTreeMap::new();
    let pins = placed.iter().flat_map(|body| body.joined().map(|(_, node)| node));
    for node in pins.chain(
        plan.lines
            .iter()
            .flat_map(|line| line.ends.iter().map(String::as_str)),
    ) {
        let next = i32::try_from(rungs.len()).unwrap_or(i32::MAX / 8);
        rungs.entry(node).or_insert(Rung {
            y: foot + RUNG * (next + 2),
            feet: Vec::new(),
        });
    }
    let mut runs = Vec::new();
    for body in placed.iter().filter(|body| body.body.shape != Shape::Joint) {
        runs.extend(drops(body, &mut rungs));
    }
    let edge = placed.iter().map(|body| body.room().1.x).max().unwrap_or(0) + GAP;
    lines(plan, edge, &mut rungs, &mut runs);
    let mut routed = Routed::default();
    for (node, rung) in &rungs {
        runs.extend(rung.run(node));
        routed.dots.extend(rung.dots());
    }
    routed.hops = crossings(&runs);
    routed.runs = runs;
    (placed, routed)
}

/// A node's own row, and where lines come down on it or leave it.
struct Rung {
    y: i32,
    feet: Vec<i32>,
}

impl Rung {
    fn ends(&self) -> Option<(i32, i32)> {
        let least = self.feet.iter().min()?;
        Some((*least, *self.feet.iter().max()?))
    }

    fn run(&self, node: &str) -> Option<Run> {
        let (from, to) = self.ends().filter(|(from, to)| from < to)?;
        let points = [from, to].map(|x| At { x, y: self.y }).to_vec();
        Some(Run {
            who: Who::Node(node.to_owned()),
            points,
        })
    }

    fn dots(&self) -> Vec<At> {
        let ends = self.ends();
        let inner = |x: &&i32| ends.is_some_and(|(from, to)| from < **x && **x < to);
        self.feet
            .iter()
            .filter(inner)
            .map(|x| At { x: *x, y: self.y })
            .collect()
    }
}

fn in_a_row(plan: &Plan) -> Vec<Placed> {
    let mut x = 0;
    let seat = |body: &super::plan::Body| {
        let lie = Lie::plain(Towards::Right);
        let outline = Outline::of(body, lie);
        if body.shape != Shape::Joint {
            x += GAP + outline.left;
        }
        let anchor = At { x, y: 12 };
        if body.shape != Shape::Joint {
            x += outline.right;
        }
        Placed {
            body: body.clone(),
            lie,
            outline,
            anchor,
        }
    };
    let bodies: Vec<Placed> = plan.bodies.iter().map(seat).collect();
    bodies
        .into_iter()
        .filter(|body| body.body.shape != Shape::Joint)
        .collect()
}

/// The lines from a body's pins: out to a column of their own, the upper ones further, and down. From the top of a
/// body the line leads over it.
fn drops(body: &Placed, rungs: &mut BTreeMap<&str, Rung>) -> Vec<Run> {
    let mut runs = Vec::new();
    let mut used = [0, 0];
    let mut pins: Vec<(usize, &str)> = body.joined().collect();
    pins.sort_by_key(|(pin, _)| std::cmp::Reverse(body.pin(*pin).y));
    for (pin, node) in pins {
        let (from, (_, way)) = (body.pin(pin), body.outline.pins[pin]);
        let side = &mut used[usize::from(way == super::outline::Way::Left)];
        *side += 1;
        let mut points = vec![from];
        let turn = if way == super::outline::Way::Up {
            let over = from.going(way, 1);
            points.push(over);
            At {
                x: body.room().1.x + *side,
                y: over.y,
            }
        } else {
            from.going(way, *side)
        };
        if let Some(rung) = rungs.get_mut(node) {
            rung.feet.push(turn.x);
            points.extend([turn, At { x: turn.x, y: rung.y }]);
            points.dedup();
            runs.push(Run {
                who: Who::Node(node.to_owned()),
                points,
            });
        }
    }
    runs
}

/// Each line in a column of its own behind all bodies.
fn lines(plan: &Plan, edge: i32, rungs: &mut BTreeMap<&str, Rung>, runs: &mut Vec<Run>) {
    let mut x = edge;
    for (index, line) in plan.lines.iter().enumerate() {
        let mut ends = Vec::new();
        for end in &line.ends {
            if let Some(rung) = rungs.get_mut(end.as_str()) {
                rung.feet.push(x);
                ends.push(At { x, y: rung.y });
            }
        }
        runs.push(Run {
            who: Who::Line(index),
            points: ends,
        });
        x += 2;
    }
}

/// Where a column passes a row that is not its own.
fn crossings(runs: &[Run]) -> Vec<At> {
    let pieces = |run: &Run| {
        run.points
            .windows(2)
            .map(|two| (two[0], two[1]))
            .collect::<Vec<_>>()
    };
    let all: Vec<(At, At)> = runs.iter().flat_map(pieces).collect();
    let (rows, columns): (Vec<_>, Vec<_>) = all.into_iter().partition(|(from, to)| from.y == to.y);
    let mut hops = Vec::new();
    for (from, to) in &rows {
        let (left, right) = (from.x.min(to.x), from.x.max(to.x));
        for (top, foot) in &columns {
            let (high, low) = (top.y.min(foot.y), top.y.max(foot.y));
            if left < top.x && top.x < right && high < from.y && from.y < low {
                hops.push(At { x: top.x, y: from.y });
            }
        }
    }
    hops
}
