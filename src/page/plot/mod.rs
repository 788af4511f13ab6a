//! Plots: a figure as curves, limits and the reading on them, in numbers and not yet in ink.
//!
//! [`of`] makes the plot of a figure by its calculator; [`Drawing`] sets a plot into a box of a given size, once
//! for screen and sheet alike.
//!
//! | file | noun |
//! | --- | --- |
//! | `axis` | an axis with its ticks |
//! | `asked`, `beside` | a figure and what stands beside it at its step |
//! | `bottle`, `wire`, `leak`, `cut_out`, `jet`, `fuse`, `circuit` | the plot of that calculator |
//! | `drawing`, `names`, `labels`, `shape` | a plot in a box: strokes, fills, and words that stand clear of them |

mod asked;
mod axis;
mod beside;
mod bottle;
mod circuit;
mod cut_out;
mod drawing;
mod fuse;
mod jet;
mod labels;
mod leak;
mod names;
mod shape;
#[cfg(test)]
mod tests;
mod wire;

pub use asked::{Asked, Beside, Held};
pub use axis::{Axis, Scale, Tick};
pub use beside::figure;
pub use drawing::{Drawing, Ink, Setting, Stroke, Word};

/// A point in the units of the axes.
pub type Point = (f64, f64);

/// A plot without ink. Everything in it is finite and lies inside its axes.
#[derive(Clone, Debug, PartialEq)]
pub struct Plot {
    pub title: String,
    pub x: Axis,
    pub y: Axis,
    pub areas: Vec<Area>,
    pub lines: Vec<Line>,
    pub levels: Vec<Level>,
    pub marks: Vec<Mark>,
    pub bands: Vec<Band>,
    pub spans: Vec<Span>,
    /// What the drawing leaves out, in sentences.
    pub notes: Vec<String>,
    /// The whole plot in a sentence, for those who cannot see it.
    pub says: String,
}

/// How a line is drawn; lines are told apart by this and by their label, never by colour.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Style {
    /// What the plot is about.
    Strong,
    /// What it is held against.
    Thin,
    Dashed,
    Dotted,
}

/// A curve with its label beside it.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    pub name: String,
    pub style: Style,
    pub points: Vec<Point>,
}

/// A region with its label; hatched where values must lie in it, plain where they may.
#[derive(Clone, Debug, PartialEq)]
pub struct Area {
    pub name: String,
    pub hatched: bool,
    pub corners: Vec<Point>,
}

/// Along which axis something is counted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Along {
    X,
    Y,
}

/// A straight line across the plot at one value.
#[derive(Clone, Debug, PartialEq)]
pub struct Level {
    pub name: String,
    pub style: Style,
    pub along: Along,
    pub at: f64,
}

/// What a mark stands for, and so its shape.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sign {
    /// A reading or the figure itself: a filled diamond.
    Reading,
    /// A reading outside its band: an open diamond with a cross.
    Out,
    /// A point of the curve that has a name: a ring.
    Knee,
    /// Where a curve ends by nature: a filled disc.
    End,
}

/// A point with a name.
#[derive(Clone, Debug, PartialEq)]
pub struct Mark {
    pub name: String,
    pub sign: Sign,
    pub at: Point,
}

/// Within what a value must lie, at one place of the other axis.
#[derive(Clone, Debug, PartialEq)]
pub struct Band {
    pub name: String,
    pub along: Along,
    /// The place on the other axis.
    pub beside: f64,
    /// Absent where the band is open on that side.
    pub low: Option<f64>,
    pub high: Option<f64>,
}

/// A distance between two values, dimensioned as on a drawing.
#[derive(Clone, Debug, PartialEq)]
pub struct Span {
    pub name: String,
    pub along: Along,
    pub beside: f64,
    pub from: f64,
    pub to: f64,
}

/// The plot of a figure; none where its calculator has none or its values give none.
#[must_use]
pub fn of(asked: &Asked<'_>) -> Option<Plot> {
    let plot = match asked.calculator {
        "bottle-state" | "nitrous-saturation" => bottle::plot(asked),
        "wire-drop" => wire::plot(asked),
        "leak-decay" => leak::plot(asked),
        "cut-out-margin" => cut_out::plot(asked),
        "jet-flow" => jet::plot(asked),
        "fuse-time" => fuse::plot(asked),
        other if other.starts_with("circuit.") => circuit::plot(asked),
        _ => None,
    }?;
    plot.sound().then_some(plot)
}

impl Plot {
    fn new(title: impl Into<String>, x: Axis, y: Axis) -> Self {
        Self {
            title: title.into(),
            x,
            y,
            areas: Vec::new(),
            lines: Vec::new(),
            levels: Vec::new(),
            marks: Vec::new(),
            bands: Vec::new(),
            spans: Vec::new(),
            notes: Vec::new(),
            says: String::new(),
        }
    }

    /// How many rows of named places stand along the upright axis; none where it counts.
    #[must_use]
    pub fn rows(&self) -> Option<usize> {
        (self.y.scale == Scale::Places).then_some(self.y.ticks.len())
    }

    fn axis(&self, along: Along) -> &Axis {
        match along {
            Along::X => &self.x,
            Along::Y => &self.y,
        }
    }

    /// Whether every number is finite and stands inside its axis.
    fn sound(&self) -> bool {
        let on = |along: Along, value: f64| self.axis(along).holds(value);
        let point = |at: &Point| on(Along::X, at.0) && on(Along::Y, at.1);
        let across = |along: Along, beside: f64| {
            let other = if along == Along::X { Along::Y } else { Along::X };
            on(other, beside)
        };
        let ends = |along: Along, ends: [Option<f64>; 2]| ends.iter().flatten().all(|end| on(along, *end));
        self.x.sound()
            && self.y.sound()
            && self.lines.iter().all(|line| line.points.iter().all(point))
            && self.areas.iter().all(|area| area.corners.iter().all(point))
            && self.marks.iter().all(|mark| point(&mark.at))
            && self.levels.iter().all(|level| on(level.along, level.at))
            && self
                .bands
                .iter()
                .all(|band| across(band.along, band.beside) && ends(band.along, [band.low, band.high]))
            && self.spans.iter().all(|span| {
                across(span.along, span.beside) && ends(span.along, [Some(span.from), Some(span.to)])
            })
    }
}
