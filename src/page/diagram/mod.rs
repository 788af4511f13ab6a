//! Diagrams: a job's circuit or layout as a schematic, drawn from its parts and nodes and from nothing else.
//!
//! | file | what it does |
//! | --- | --- |
//! | `circuit`, `layout` | a circuit or a layout as it is on this car, as a plan |
//! | `live` | which nodes stand under voltage or pressure |
//! | `plan` | what is to be drawn |
//! | `place`, `outline` | where bodies sit and what room they take |
//! | `route`, `search`, `board` | lines along the tracks between them |
//! | `ladder` | the plain drawing for what finds no room |
//! | `mark`, `probe`, `room` | probes, numbers and texts where nothing else is |
//! | `ink`, `symbol`, `fluid`, `sign`, `glyph` | the drawing as SVG |

mod board;
mod circuit;
mod fluid;
mod glyph;
mod ink;
mod ladder;
mod layout;
mod live;
mod mark;
pub mod outline;
pub mod place;
mod plan;
mod probe;
pub mod room;
pub mod route;
mod search;
mod sign;
mod symbol;

pub use circuit::of_circuit;
pub use layout::of_layout;
use mark::Marked;
use place::Placed;
pub use plan::{Body, Line, Plan, Shape};
use room::{Rod, Taken};
use route::Routed;

/// A plan with a place for everything.
#[derive(Clone, Debug)]
pub struct Diagram {
    plan: Plan,
    placed: Vec<Placed>,
    routed: Routed,
    marked: Vec<Marked>,
    on_the_grid: bool,
}

/// Between so many tracks at the least and at the most bodies are set apart, before the ladder is taken.
const GAPS: [i32; 5] = [3, 4, 5, 6, 7];

impl Diagram {
    /// Finds a place for everything.
    #[must_use]
    pub fn new(plan: Plan) -> Self {
        Self::with(plan, &GAPS)
    }

    /// The plain drawing in rungs, which always finds room.
    #[must_use]
    pub fn ladder(plan: Plan) -> Self {
        Self::with(plan, &[])
    }

    fn with(plan: Plan, gaps: &[i32]) -> Self {
        let cells = place::cells(&plan);
        let found = gaps.iter().find_map(|gap| {
            let placed = place::place(&plan, &cells, *gap);
            let routed = route::route(&plan, &placed)?;
            Some((placed, routed))
        });
        let on_the_grid = found.is_some();
        let (placed, routed) = found.unwrap_or_else(|| ladder::ladder(&plan));
        let marked = mark::marks(&plan, &placed, &routed);
        Self {
            plan,
            placed,
            routed,
            marked,
            on_the_grid,
        }
    }

    /// What was drawn: every part that applies and is shown.
    #[must_use]
    pub fn plan(&self) -> &Plan {
        &self.plan
    }

    /// The bodies on the tracks.
    #[must_use]
    pub fn placed(&self) -> &[Placed] {
        &self.placed
    }

    /// The lines as they run, where they are joined and where they cross.
    #[must_use]
    pub fn routed(&self) -> &Routed {
        &self.routed
    }

    /// The rooms of all probes, clamps, numbers and texts, and of everything else on the sheet.
    #[must_use]
    pub fn rooms(&self) -> (Vec<Rod>, Vec<Taken>) {
        let marks = self.marked.iter().map(ink::rod).collect();
        (marks, mark::taken(&self.placed, &self.routed))
    }

    /// Whether a place was found for everything on the grid, so that it need not be drawn as a ladder.
    #[must_use]
    pub fn on_the_grid(&self) -> bool {
        self.on_the_grid
    }

    /// The drawing by day, in the colours of the drawing language.
    #[must_use]
    pub fn svg(&self) -> String {
        ink::svg(self)
    }
}
