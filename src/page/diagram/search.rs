//! The cheapest way along the tracks from one place to another.

use super::board::{Board, Use};
use super::outline::{At, Way};
use std::cmp::Reverse;
use std::collections::BinaryHeap;

/// What a track, a bend, a crossing, a place beside another line and a fourth line at a dot cost.
const STEP: u32 = 10;
const BEND: u32 = 25;
const CROSS: u32 = 45;
const BESIDE: u32 = 5;
const FOURTH: u32 = 40;

/// Dijkstra's search, over places and the way in which each was reached.
pub struct Search<'a> {
    board: &'a Board,
    goal: Vec<bool>,
    best: Vec<u32>,
    came: Vec<Option<usize>>,
    heap: BinaryHeap<Reverse<(u32, usize)>>,
}

impl<'a> Search<'a> {
    /// A search for one of these places.
    #[must_use]
    pub fn new(board: &'a Board, to: &[At]) -> Self {
        let mut goal = vec![false; board.size()];
        for index in to.iter().filter_map(|at| board.index(*at)) {
            goal[index] = true;
        }
        let states = board.size() * 4;
        Self {
            board,
            goal,
            best: vec![u32::MAX; states],
            came: vec![None; states],
            heap: BinaryHeap::new(),
        }
    }

    /// Leaves a place of the node's in every way that is free.
    pub fn begin(&mut self, at: At) {
        let cost = if self.board.degree(at) > 2 { FOURTH } else { 0 };
        for way in Way::ALL {
            self.step(at, way, cost, None);
        }
    }

    /// The cheapest path, place by place; nothing where there is none.
    pub fn run(&mut self) -> Option<Vec<At>> {
        while let Some(Reverse((cost, state))) = self.heap.pop() {
            if cost > self.best[state] {
                continue;
            }
            let (at, way) = self.place(state);
            if self.is_goal(at) {
                return Some(self.back(state));
            }
            // Over another line the way goes straight on.
            let over = matches!(self.board.at(at), Use::Along { .. });
            for turn in Way::ALL {
                if turn == way {
                    self.step(at, turn, cost, Some(state));
                } else if !over && turn != way.back() {
                    self.step(at, turn, cost + BEND, Some(state));
                }
            }
        }
        None
    }

    fn is_goal(&self, at: At) -> bool {
        self.board.index(at).is_some_and(|index| self.goal[index])
    }

    fn step(&mut self, from: At, way: Way, cost: u32, came: Option<usize>) {
        let at = from.going(way, 1);
        let Some(index) = self.board.index(at) else {
            return;
        };
        if self.board.leaves(from, way) {
            return;
        }
        let Some(entering) = self.entering(at, way) else {
            return;
        };
        let (cost, state) = (cost + STEP + entering, index * 4 + way as usize);
        if cost < self.best[state] {
            self.best[state] = cost;
            self.came[state] = came;
            self.heap.push(Reverse((cost, state)));
        }
    }

    /// What it costs to come to a place that way; nothing where it is not allowed.
    fn entering(&self, at: At, way: Way) -> Option<u32> {
        let used = self.board.at(at);
        if self.is_goal(at) {
            let fourth = if self.board.degree(at) > 2 { FOURTH } else { 0 };
            return (used != Use::Crossed).then_some(fourth);
        }
        match used {
            Use::Free => {
                let side = |way: Way| self.board.at(at.going(way, 1)) != Use::Free;
                let beside = Way::ALL.iter().filter(|other| other.across() != way.across());
                let count = beside.filter(|way| side(**way)).count();
                Some(BESIDE * u32::try_from(count).unwrap_or(0))
            }
            Use::Along { across } if across != way.across() => Some(CROSS),
            _ => None,
        }
    }

    fn place(&self, state: usize) -> (At, Way) {
        let index = i32::try_from(state / 4).unwrap_or(0);
        let at = At {
            x: index % self.board.width,
            y: index / self.board.width,
        };
        (at, Way::ALL[state % 4])
    }

    /// From the goal to the place where it began, turned round.
    fn back(&self, state: usize) -> Vec<At> {
        let mut path = Vec::new();
        let mut state = Some(state);
        while let Some(now) = state {
            let (at, way) = self.place(now);
            path.push(at);
            state = self.came[now];
            if state.is_none() {
                path.push(at.going(way.back(), 1));
            }
        }
        path.reverse();
        path
    }
}
