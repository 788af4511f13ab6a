//! The corners of what a circuit's figures may be, gone through with one figure turned at a time.
use std::collections::BTreeMap;

use super::branch::{Branch, Layout};
use super::series::loops;

/// The branches of one circuit with each figure in the middle, at its least, and at its most.
pub(super) struct Ends {
    pub middle: Layout,
    pub least: Layout,
    pub most: Layout,
}

/// A figure that has two ends.
#[derive(Clone, PartialEq, Debug)]
enum Figure {
    /// What these branches resist, all of them in series.
    Ohm(Vec<usize>),
    Emf(usize),
}

#[derive(Clone, PartialEq, Debug)]
pub(super) struct Corners {
    figures: Vec<Figure>,
}

impl Corners {
    pub fn of(nodes: usize, ends: &Ends) -> Corners {
        let loops = loops(nodes, &ends.middle.branches);
        let mut in_series: BTreeMap<(&[usize], usize), Vec<usize>> = BTreeMap::new();
        let mut figures = Vec::new();
        for (at, loops) in loops.iter().enumerate().filter(|(_, loops)| !loops.is_empty()) {
            let differs =
                |of: fn(&Branch) -> f64| of(&ends.least.branches[at]) != of(&ends.most.branches[at]);
            if differs(|branch| branch.ohm) {
                // What is told as the voltage across a branch depends on that branch beside the sum.
                let alone = if ends.is_told(at) { at + 1 } else { 0 };
                in_series.entry((loops, alone)).or_default().push(at);
            }
            if differs(|branch| branch.emf_v) {
                figures.push(Figure::Emf(at));
            }
        }
        figures.extend(in_series.into_values().map(Figure::Ohm));
        Corners { figures }
    }

    pub fn count(&self) -> usize {
        self.figures.len()
    }

    /// How many corners there are. Asked only where the figures are few.
    pub fn corners(&self) -> usize {
        1 << self.figures.len()
    }

    /// From the corner before, or from all at their least, to this one: as in a Gray code one figure turns.
    pub fn turn(&self, corner: usize, ends: &Ends, layout: &mut Layout) {
        let Some(figure) = self.figures.get(corner.trailing_zeros() as usize) else {
            return;
        };
        let gray = corner ^ (corner >> 1);
        let to = if gray >> corner.trailing_zeros() & 1 == 1 {
            &ends.most
        } else {
            &ends.least
        };
        match figure {
            Figure::Ohm(branches) => branches.iter().for_each(|at| {
                layout.branches[*at].ohm = to.branches[*at].ohm;
                let coils = layout.coils.iter_mut().zip(&to.coils);
                coils
                    .filter(|(coil, _)| coil.branch == Some(*at))
                    .for_each(|(coil, to)| coil.relay = to.relay);
            }),
            Figure::Emf(at) => layout.branches[*at].emf_v = to.branches[*at].emf_v,
        }
    }
}

impl Ends {
    /// Whether the voltage across a branch is told: a coil's and a voltmeter's.
    fn is_told(&self, at: usize) -> bool {
        let branch = &self.middle.branches[at];
        self.middle.coils.iter().any(|coil| coil.branch == Some(at))
            || self.middle.meters.contains(&branch.part)
    }
}
