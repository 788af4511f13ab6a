//! Which parts a view draws: those that it seats, and the lines that lead from one of them to another.

use super::drawing::View;
use std::collections::BTreeSet;

/// A part as far as it matters what is drawn.
#[derive(Clone, Debug)]
pub struct Member<'a> {
    pub name: &'a str,
    pub nodes: Vec<&'a str>,
    /// A line needs no seat.
    pub is_line: bool,
}

/// The names of the parts that are drawn of those that apply; without a view all of them. `is_part` tells the names
/// of parts from those of nodes, which a view may seat as well.
#[must_use]
pub fn drawn<'a>(
    applying: &[Member<'a>],
    seats: Option<&View>,
    is_part: &dyn Fn(&str) -> bool,
) -> BTreeSet<&'a str> {
    let Some(seats) = seats else {
        return applying.iter().map(|part| part.name).collect();
    };
    let bodies = || applying.iter().filter(|part| !part.is_line);
    let nodes = |part: &Member<'a>| part.nodes.clone();
    let left_out = bodies().filter(|part| !seats.contains_key(part.name));
    let mut away: BTreeSet<&str> = left_out.flat_map(nodes).collect();
    for node in bodies()
        .filter(|part| seats.contains_key(part.name))
        .flat_map(nodes)
    {
        away.remove(node);
    }
    // A node with a seat is there although its part is not, and a line may end on it.
    let seated = seats.keys().map(String::as_str).filter(|name| !is_part(name));
    let kept: Vec<&str> = seated.filter(|node| away.remove(node)).collect();
    let drawn = |part: &&Member| {
        if part.is_line {
            part.nodes.iter().all(|node| !away.contains(node))
        } else {
            seats.contains_key(part.name)
        }
    };
    let mut parts: Vec<&Member> = applying.iter().filter(drawn).collect();
    while let Some(index) = dangling(&parts, &kept) {
        parts.remove(index);
    }
    parts.iter().map(|part| part.name).collect()
}

/// A line with an end where nothing else that is drawn is joined.
fn dangling(parts: &[&Member], kept: &[&str]) -> Option<usize> {
    let joined = |node: &&str, but: usize| {
        let mut others = parts.iter().enumerate().filter(|(index, _)| *index != but);
        others.any(|(_, part)| part.nodes.contains(node))
    };
    let loose = |index: &usize| {
        let part = parts[*index];
        let end = |node: &&str| !kept.contains(node) && !joined(node, *index);
        part.is_line && part.nodes.iter().any(end)
    };
    (0..parts.len()).find(loose)
}
