//! Nodal analysis by elimination without subtraction.
//!
//! A node is eliminated by joining its neighbours to one another (star to mesh): only products, quotients and
//! sums of conductances, all above zero. So a volt-meter of 10 MΩ beside a strap of 1 mΩ costs no digits, no
//! pivot is ever zero, and none has to be looked for. The scheme is that of Grassmann, Taksar and Heyman for
//! Markov chains (from memory).
//!
//! What a source drives is kept between two nodes and not summed up at each: the sums of a battery that only a
//! volt-meter joins to ground would cancel down to rounding, and that rounding would be its voltage.
use super::branch::Branch;

/// Each node's potential against the first node of its island, and which that is: zero where ground is.
#[derive(Clone, PartialEq, Debug)]
pub(super) struct Potentials {
    pub volt: Vec<f64>,
    pub island: Vec<usize>,
}

impl Potentials {
    /// From first to second node of the branch; zero where nothing else joins them.
    pub fn current_a(&self, branch: &Branch) -> f64 {
        (self.across_v(branch) + branch.emf_v) / branch.ohm
    }

    /// The first node's potential over the second's; zero where nothing joins the two.
    pub fn across_v(&self, branch: &Branch) -> f64 {
        if self.island[branch.from] == self.island[branch.to] {
            self.volt[branch.from] - self.volt[branch.to]
        } else {
            0.0
        }
    }
}

/// The potentials of `nodes` nodes joined by these branches.
pub(super) fn potentials<'a>(nodes: usize, branches: impl Iterator<Item = &'a Branch> + Clone) -> Potentials {
    let mut mesh = Mesh::of(nodes, branches.clone());
    let island = islands(nodes, branches);
    for node in (0..nodes).filter(|node| island[*node] != *node) {
        mesh.eliminate(node, &island);
    }
    let mut volt = vec![0.0; nodes];
    for node in (0..nodes).rev().filter(|node| island[*node] != *node) {
        volt[node] = mesh.potential(node, &island, &volt);
    }
    Potentials { volt, island }
}

/// The least node that each is joined to.
fn islands<'a>(nodes: usize, branches: impl Iterator<Item = &'a Branch> + Clone) -> Vec<usize> {
    let mut island: Vec<usize> = (0..nodes).collect();
    for branch in branches {
        let (one, other) = (island[branch.from], island[branch.to]);
        if one != other {
            let (least, most) = (one.min(other), one.max(other));
            island
                .iter_mut()
                .filter(|node| **node == most)
                .for_each(|node| *node = least);
        }
    }
    island
}

struct Mesh {
    nodes: usize,
    /// Conductance between two nodes, at row times nodes plus column.
    siemens: Vec<f64>,
    /// Driven from the row's node to the column's; the other way with the other sign.
    driven_a: Vec<f64>,
    /// Sum of a node's conductances to those left when it was eliminated.
    sum: Vec<f64>,
}

impl Mesh {
    fn of<'a>(nodes: usize, branches: impl Iterator<Item = &'a Branch>) -> Mesh {
        let mut siemens = vec![0.0; nodes * nodes];
        let mut driven_a = vec![0.0; nodes * nodes];
        for branch in branches.filter(|branch| branch.from != branch.to) {
            let (there, back) = (branch.from * nodes + branch.to, branch.to * nodes + branch.from);
            siemens[there] += 1.0 / branch.ohm;
            siemens[back] += 1.0 / branch.ohm;
            driven_a[there] += branch.emf_v / branch.ohm;
            driven_a[back] -= branch.emf_v / branch.ohm;
        }
        Mesh {
            nodes,
            siemens,
            driven_a,
            sum: vec![0.0; nodes],
        }
    }

    /// Nodes are eliminated in their order; left are those after this one, and the first of the island.
    fn left<'a>(&self, node: usize, island: &'a [usize]) -> impl Iterator<Item = usize> + Clone + use<'a> {
        std::iter::once(island[node]).chain(node + 1..self.nodes)
    }

    fn eliminate(&mut self, node: usize, island: &[usize]) {
        let row = node * self.nodes;
        let left = self.left(node, island).filter(|other| *other != node);
        let sum: f64 = left.clone().map(|other| self.siemens[row + other]).sum();
        self.sum[node] = sum;
        for one in left.clone() {
            let (share, driven_a) = (self.siemens[row + one] / sum, self.driven_a[row + one] / sum);
            if share == 0.0 {
                continue;
            }
            for other in left.clone().filter(|other| *other != one) {
                let (to_other, place) = (row + other, one * self.nodes + other);
                self.siemens[place] += share * self.siemens[to_other];
                self.driven_a[place] += share * self.driven_a[to_other] - driven_a * self.siemens[to_other];
            }
        }
    }

    fn potential(&self, node: usize, island: &[usize], volt: &[f64]) -> f64 {
        let row = node * self.nodes;
        let inward_a: f64 = self
            .left(node, island)
            .map(|other| self.siemens[row + other] * volt[other] - self.driven_a[row + other])
            .sum();
        inward_a / self.sum[node]
    }
}
