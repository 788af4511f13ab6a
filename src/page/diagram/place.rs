//! Where each body sits: its cell of the grid, how it lies, and its anchor on the tracks.

use super::outline::{At, Lie, Outline};
use super::plan::{Body, Plan, Shape};
use crate::procedure::drawing::Pointed;
use std::collections::{BTreeMap, BTreeSet};

/// A body on the tracks.
#[derive(Clone, Debug)]
pub struct Placed {
    pub body: Body,
    pub lie: Lie,
    pub outline: Outline,
    pub anchor: At,
}

impl Placed {
    /// Where a pin comes out of the body.
    #[must_use]
    pub fn pin(&self, index: usize) -> At {
        let (at, _) = self.outline.pins[index];
        At {
            x: self.anchor.x + at.x,
            y: self.anchor.y + at.y,
        }
    }

    /// The corners of its room, both inside it.
    #[must_use]
    pub fn room(&self) -> (At, At) {
        let (at, room) = (self.anchor, &self.outline);
        let least = At {
            x: at.x - room.left,
            y: at.y - room.up,
        };
        let most = At {
            x: at.x + room.right,
            y: at.y + room.down,
        };
        (least, most)
    }

    /// The pins that are joined, with their nodes.
    pub fn joined(&self) -> impl Iterator<Item = (usize, &str)> {
        let nodes = self.body.nodes.iter().enumerate();
        nodes.filter_map(|(pin, node)| Some((pin, node.as_deref()?)))
    }
}

/// Cells by the bodies' places in the plan.
pub type Cells = Vec<(i32, i32)>;

/// Each body's cell: its seat, and for those without one, or whose seat is taken, the free cell next to what
/// they are joined to.
#[must_use]
pub fn cells(plan: &Plan) -> Cells {
    let near = neighbours(plan);
    let count = plan.bodies.len();
    let mut cells: Vec<Option<(i32, i32)>> = vec![None; count];
    let mut taken = BTreeSet::new();
    for (body, cell) in plan.bodies.iter().zip(&mut cells) {
        let seat = body
            .seat
            .map(|seat| (i32::from(seat.column), i32::from(seat.row)));
        *cell = seat.filter(|seat| taken.insert(*seat));
    }
    while let Some(next) = most_bound(&cells, &near) {
        let seated: Vec<(i32, i32)> = near[next].iter().filter_map(|other| cells[*other]).collect();
        let cell = free_cell(&taken, &seated, count);
        taken.insert(cell);
        cells[next] = Some(cell);
    }
    cells.into_iter().flatten().collect()
}

/// The body without a cell that has the most neighbours with one.
fn most_bound(cells: &[Option<(i32, i32)>], near: &[BTreeSet<usize>]) -> Option<usize> {
    let open = (0..cells.len()).filter(|index| cells[*index].is_none());
    open.max_by_key(|index| {
        let seated = near[*index].iter().filter(|other| cells[**other].is_some());
        (seated.count(), std::cmp::Reverse(*index))
    })
}

fn free_cell(taken: &BTreeSet<(i32, i32)>, seated: &[(i32, i32)], count: usize) -> (i32, i32) {
    let side = i32::try_from(count).unwrap_or(i32::MAX - 2).saturating_add(1);
    let wide = (3..).find(|wide| wide * wide * 2 >= side * 3).unwrap_or(side);
    let all = (1..=side).flat_map(|row| (1..=wide.max(2)).map(move |column| (column, row)));
    let away = |cell: &(i32, i32)| -> i32 {
        let to = |other: &(i32, i32)| (cell.0 - other.0).abs() + (cell.1 - other.1).abs();
        seated.iter().map(to).sum()
    };
    let free = all.filter(|cell| !taken.contains(cell));
    free.min_by_key(|cell| (away(cell), cell.1, cell.0))
        .unwrap_or((1, side))
}

/// Which bodies share a node, or the two ends of a line.
fn neighbours(plan: &Plan) -> Vec<BTreeSet<usize>> {
    let groups = Groups::of(plan);
    let mut at: BTreeMap<usize, BTreeSet<usize>> = BTreeMap::new();
    for (index, body) in plan.bodies.iter().enumerate() {
        for node in body.nodes.iter().flatten() {
            at.entry(groups.group(node)).or_default().insert(index);
        }
    }
    let of = |index: usize| {
        let all = at.values().filter(move |group| group.contains(&index));
        all.flatten().copied().filter(|other| *other != index).collect()
    };
    (0..plan.bodies.len()).map(of).collect()
}

/// Nodes, those that lines join taken together.
#[derive(Debug)]
pub struct Groups(BTreeMap<String, usize>);

impl Groups {
    /// The groups of a plan.
    #[must_use]
    pub fn of(plan: &Plan) -> Self {
        let mut groups = BTreeMap::new();
        let pins = plan.bodies.iter().flat_map(|body| body.nodes.iter().flatten());
        for node in pins.chain(plan.lines.iter().flat_map(|line| &line.ends)) {
            let next = groups.len();
            groups.entry(node.clone()).or_insert(next);
        }
        for line in &plan.lines {
            let (one, other) = (groups[&line.ends[0]], groups[&line.ends[1]]);
            groups
                .values_mut()
                .filter(|group| **group == other)
                .for_each(|group| *group = one);
        }
        Self(groups)
    }

    /// The group of a node of the plan.
    #[must_use]
    pub fn group(&self, node: &str) -> usize {
        self.0.get(node).copied().unwrap_or(usize::MAX)
    }
}

/// Where everything sits, with at least `gap` tracks between bodies of different rows or columns.
#[must_use]
pub fn place(plan: &Plan, cells: &Cells, gap: i32) -> Vec<Placed> {
    let lies = lies(plan, cells);
    let outlines: Vec<Outline> = plan
        .bodies
        .iter()
        .zip(&lies)
        .map(|(body, lie)| Outline::of(body, *lie))
        .collect();
    let across = cells
        .iter()
        .zip(&outlines)
        .map(|(cell, room)| (cell.0, room.left, room.right));
    let down = cells
        .iter()
        .zip(&outlines)
        .map(|(cell, room)| (cell.1, room.up, room.down));
    let (wide, high) = wider(plan, cells);
    let (columns, rows) = (anchors(across, gap, &wide), anchors(down, gap, &high));
    let bodies = plan.bodies.iter().zip(lies).zip(outlines).zip(cells);
    bodies
        .map(|(((body, lie), outline), (column, row))| Placed {
            body: body.clone(),
            lie,
            outline,
            anchor: At {
                x: columns[column],
                y: rows[row],
            },
        })
        .collect()
}

/// So many tracks more are left where a line lies that is pointed at.
const WIDER: i32 = 5;

/// The columns and rows in front of which a line lies that is pointed at.
fn wider(plan: &Plan, cells: &Cells) -> (BTreeSet<i32>, BTreeSet<i32>) {
    let (mut columns, mut rows) = (BTreeSet::new(), BTreeSet::new());
    let clamped = |name: &str| plan.marks.contains(&Pointed::Clamp(name.to_owned()));
    for line in plan
        .lines
        .iter()
        .filter(|line| line.worked || clamped(&line.name))
    {
        let at = |end: usize| {
            let bodies = plan.bodies.iter().zip(cells);
            let joined = bodies
                .filter(move |(body, _)| body.nodes.iter().flatten().any(|node| *node == line.ends[end]));
            joined.map(|(_, cell)| *cell)
        };
        let pairs = at(0).flat_map(|from| at(1).map(move |to| (from, to)));
        let far = |(from, to): &((i32, i32), (i32, i32))| (from.0 - to.0).abs() + (from.1 - to.1).abs();
        let Some((from, to)) = pairs.filter(|(from, to)| from != to).min_by_key(far) else {
            continue;
        };
        if from.0 == to.0 {
            rows.insert(from.1.max(to.1));
        } else {
            columns.insert(from.0.max(to.0));
        }
    }
    (columns, rows)
}

/// The anchor of each column or row, from its number and what lies before and behind each anchor in it.
fn anchors(
    bodies: impl Iterator<Item = (i32, i32, i32)>,
    gap: i32,
    wider: &BTreeSet<i32>,
) -> BTreeMap<i32, i32> {
    let mut lines: BTreeMap<i32, (i32, i32)> = BTreeMap::new();
    for (line, before, behind) in bodies {
        let room = lines.entry(line).or_default();
        *room = (room.0.max(before), room.1.max(behind));
    }
    let mut end = 0;
    let anchor = |(line, (before, behind)): (i32, (i32, i32))| {
        let more = if wider.contains(&line) { WIDER } else { 0 };
        let anchor = end + gap + more + before;
        end = anchor + behind;
        (line, anchor)
    };
    lines.into_iter().map(anchor).collect()
}

/// A cell counts as this many tracks while nothing is placed.
const CELL: i32 = 12;

/// How each body lies: of its choices the one whose pins are nearest to what they are joined to, twice over,
/// since the first round did not know how the later ones lie.
fn lies(plan: &Plan, cells: &Cells) -> Vec<Lie> {
    let groups = Groups::of(plan);
    let mut lies: Vec<Lie> = plan.bodies.iter().map(|body| Lie::choices(body)[0]).collect();
    for _ in 0..2 {
        for index in 0..lies.len() {
            let choices = Lie::choices(&plan.bodies[index]);
            let best = choices
                .into_iter()
                .min_by_key(|lie| stretch(plan, cells, &lies, &groups, index, *lie));
            lies[index] = best.unwrap_or(lies[index]);
        }
    }
    lies
}

/// How far the pins of a body would be from those that they are joined to.
fn stretch(plan: &Plan, cells: &Cells, lies: &[Lie], groups: &Groups, index: usize, lie: Lie) -> i32 {
    let own = ends(&plan.bodies[index], cells[index], lie, groups);
    let others = (0..lies.len()).filter(|other| *other != index);
    let others: Vec<(usize, At)> = others
        .flat_map(|other| ends(&plan.bodies[other], cells[other], lies[other], groups))
        .collect();
    let nearest = |(group, at): &(usize, At)| {
        let same = others.iter().filter(|(other, _)| other == group);
        same.map(|(_, other)| at.far(*other)).min().unwrap_or(0)
    };
    own.iter().map(nearest).sum()
}

/// Where a body's pins would end their stubs, with the groups of their nodes.
fn ends(body: &Body, cell: (i32, i32), lie: Lie, groups: &Groups) -> Vec<(usize, At)> {
    let outline = Outline::of(body, lie);
    let stub = if body.shape == Shape::Joint { 0 } else { 1 };
    let nodes = body.nodes.iter().zip(&outline.pins);
    nodes
        .filter_map(|(node, (at, way))| {
            let at = At {
                x: cell.0 * CELL + at.x,
                y: cell.1 * CELL + at.y,
            };
            Some((groups.group(node.as_deref()?), at.going(*way, stub)))
        })
        .collect()
}
