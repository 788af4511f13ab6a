//! Which branches carry one and the same current whatever they resist, and which can carry none.
//!
//! The links that close the loops of a circuit are numbered, each with the one loop that it closes through a
//! spanning tree. Branches on the same loops are in series: cutting any two of them parts the circuit, so one
//! current flows through all, and only the sum of what they resist matters to it. A branch on no loop carries
//! nothing. Branches that a relay or a diode opens only make fewer loops, so what is found with all of them
//! there holds in every state.
use super::branch::Branch;

/// For each branch the loops that it lies on, by the numbers of their links.
pub(super) fn loops(nodes: usize, branches: &[Branch]) -> Vec<Vec<usize>> {
    let tree = Tree::of(nodes, branches);
    let mut loops = vec![Vec::new(); branches.len()];
    for (link, branch) in branches.iter().enumerate() {
        if tree.is_in(link, branch) || branch.from == branch.to {
            continue;
        }
        loops[link].push(link);
        let (there, back) = (tree.to_root(branch.from), tree.to_root(branch.to));
        let one_way = |path: &[usize], other: &[usize]| -> Vec<usize> {
            path.iter()
                .copied()
                .filter(|edge| !other.contains(edge))
                .collect()
        };
        for edge in one_way(&there, &back).into_iter().chain(one_way(&back, &there)) {
            loops[edge].push(link);
        }
    }
    loops
}

/// A spanning forest: from each node the branch that leads towards its root, and the node there.
struct Tree {
    up: Vec<Option<(usize, usize)>>,
}

impl Tree {
    fn of(nodes: usize, branches: &[Branch]) -> Tree {
        let mut up = vec![None; nodes];
        let mut seen = vec![false; nodes];
        for root in 0..nodes {
            let mut waiting = if seen[root] { Vec::new() } else { vec![root] };
            seen[root] = true;
            while let Some(node) = waiting.pop() {
                for (at, branch) in branches.iter().enumerate() {
                    let other = match (branch.from == node, branch.to == node) {
                        (true, false) => branch.to,
                        (false, true) => branch.from,
                        _ => continue,
                    };
                    if !seen[other] {
                        seen[other] = true;
                        up[other] = Some((at, node));
                        waiting.push(other);
                    }
                }
            }
        }
        Tree { up }
    }

    fn is_in(&self, at: usize, branch: &Branch) -> bool {
        let leads = |node: usize| self.up[node].is_some_and(|(edge, _)| edge == at);
        leads(branch.from) || leads(branch.to)
    }

    fn to_root(&self, node: usize) -> Vec<usize> {
        let mut path = Vec::new();
        let mut at = node;
        while let Some((edge, next)) = self.up[at] {
            path.push(edge);
            at = next;
        }
        path
    }
}
