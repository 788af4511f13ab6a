//! The tracks, and what runs over each of their crossings.

use super::outline::{At, Way};

/// What a crossing of tracks is used for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Use {
    Free,
    /// A body, its sign or its text.
    Body,
    /// A conductor runs straight over it.
    Along {
        across: bool,
    },
    /// Two conductors cross without touching.
    Crossed,
    /// A conductor bends.
    Bend,
    /// A place of a node: an end, or where lines meet.
    Node,
}

/// All crossings of tracks.
#[derive(Debug)]
pub struct Board {
    pub width: i32,
    pub height: i32,
    uses: Vec<Use>,
    /// For each crossing the ways in which a line leaves it, one bit each.
    ways: Vec<u8>,
}

impl Board {
    /// An empty board.
    #[must_use]
    pub fn new(width: i32, height: i32) -> Self {
        let size = usize::try_from(width.max(1) * height.max(1)).unwrap_or(1);
        Self {
            width,
            height,
            uses: vec![Use::Free; size],
            ways: vec![0; size],
        }
    }

    /// How many crossings there are.
    #[must_use]
    pub fn size(&self) -> usize {
        self.uses.len()
    }

    /// The crossing's number, where it is on the board.
    #[must_use]
    pub fn index(&self, at: At) -> Option<usize> {
        let inside = (0..self.width).contains(&at.x) && (0..self.height).contains(&at.y);
        inside
            .then(|| usize::try_from(at.y * self.width + at.x).ok())
            .flatten()
    }

    /// What the crossing is used for; beyond the board nothing may run.
    #[must_use]
    pub fn at(&self, at: At) -> Use {
        self.index(at).map_or(Use::Body, |index| self.uses[index])
    }

    /// Uses the crossing.
    pub fn set(&mut self, at: At, to: Use) {
        if let Some(index) = self.index(at) {
            self.uses[index] = to;
        }
    }

    /// Whether a line already leaves the crossing that way.
    #[must_use]
    pub fn leaves(&self, at: At, way: Way) -> bool {
        self.index(at)
            .is_some_and(|index| self.ways[index] & bit(way) != 0)
    }

    /// How many lines leave the crossing.
    #[must_use]
    pub fn degree(&self, at: At) -> u32 {
        self.index(at).map_or(0, |index| self.ways[index].count_ones())
    }

    /// A line runs from here to the next crossing that way.
    pub fn join(&mut self, at: At, way: Way) {
        for (at, way) in [(at, way), (at.going(way, 1), way.back())] {
            if let Some(index) = self.index(at) {
                self.ways[index] |= bit(way);
            }
        }
    }
}

fn bit(way: Way) -> u8 {
    1 << way as u8
}
