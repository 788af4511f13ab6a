//! A plot in a box: strokes and fills in ink, and words clear of them. Screen and sheet draw the same.

use super::axis::{Axis, Scale};
use super::labels::{Area as Room, Labels};
use super::shape::{self, Run};
use super::{Along, Band, Level, Mark, Plot, Point, Sign, Span, Style};

/// The box and the text that a plot is set with; all lengths in one unit of the caller's.
#[derive(Clone, Copy)]
pub struct Setting<'a> {
    pub width: f64,
    pub height: f64,
    /// The size of the text.
    pub em: f64,
    /// From one line of text to the next.
    pub leading: f64,
    /// The width of a text, strong or plain.
    pub measure: &'a dyn Fn(&str, bool) -> f64,
}

/// What a stroke stands for; the screen and the sheet each have their inks for these.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ink {
    Grid,
    /// Axes, levels, thin curves, spans and marks.
    Line,
    /// The curve that the plot is about.
    Data,
    /// The ground of an area.
    Wash,
    /// Hatching, and the edges of bands.
    Hatch,
    /// The ground that everything stands on.
    Ground,
}

/// Runs of points in one ink.
#[derive(Clone, Debug, PartialEq)]
pub struct Stroke {
    pub ink: Ink,
    /// The line's width; nothing where the runs are outlines to be filled.
    pub width: Option<f64>,
    pub runs: Vec<Vec<Point>>,
}

/// Words with the upper left corner of their line here.
#[derive(Clone, Debug, PartialEq)]
pub struct Word {
    pub text: String,
    pub x: f64,
    pub y: f64,
    pub width: f64,
    pub strong: bool,
    /// Whether the words stand on a plate of ground, so that nothing shows through.
    pub plate: bool,
}

/// A plot that only wants ink: first the strokes in their order, then the words.
#[derive(Clone, Debug, PartialEq)]
pub struct Drawing {
    pub strokes: Vec<Stroke>,
    pub words: Vec<Word>,
}

impl Drawing {
    /// Sets the plot into the box.
    #[must_use]
    pub fn new(plot: &Plot, setting: &Setting<'_>) -> Self {
        let mut sketch = Sketch::new(plot, setting);
        sketch.areas();
        sketch.axes();
        sketch.levels();
        sketch.lines();
        plot.bands.iter().for_each(|band| sketch.band(band));
        plot.spans.iter().for_each(|span| sketch.span(span));
        plot.marks.iter().for_each(|mark| sketch.mark(mark));
        sketch.names();
        Self {
            strokes: sketch.strokes,
            words: sketch.labels.words,
        }
    }
}

pub(super) struct Sketch<'a> {
    pub plot: &'a Plot,
    pub em: f64,
    pub field: Room,
    /// Levels are named in a column beside the field.
    pub column: bool,
    pub strokes: Vec<Stroke>,
    pub labels: Labels<'a>,
}

impl<'a> Sketch<'a> {
    fn new(plot: &'a Plot, setting: &Setting<'a>) -> Self {
        let (em, leading) = (setting.em, setting.leading);
        let wide = |texts: &mut dyn Iterator<Item = &str>, strong: bool| {
            texts
                .map(|text| (setting.measure)(text, strong))
                .fold(0.0, f64::max)
        };
        let column = plot.x.scale == Scale::Places && plot.x.ticks.is_empty();
        let names = wide(&mut plot.levels.iter().map(|level| level.name.as_str()), true);
        let ticks = wide(&mut plot.y.ticks.iter().map(|tick| tick.text.as_str()), false);
        let foot = [!plot.x.ticks.is_empty(), !plot.x.title().is_empty()];
        let rows = foot.iter().filter(|row| **row).count() as f64;
        let field = Room {
            left: ticks + 0.6 * em,
            top: if plot.y.title().is_empty() {
                0.4 * em
            } else {
                leading * 1.7
            },
            right: setting.width - if column { names + 1.1 * em } else { 0.9 * em },
            bottom: setting.height - rows * leading - if rows > 0.0 { 0.35 * em } else { 0.55 * leading },
        };
        let page = Room::at((0.0, 0.0), setting.width, setting.height);
        let labels = Labels {
            page,
            field,
            em,
            leading,
            measure: setting.measure,
            lines: Vec::new(),
            taken: Vec::new(),
            words: Vec::new(),
        };
        Self {
            plot,
            em,
            field,
            column,
            strokes: Vec::new(),
            labels,
        }
    }

    fn x(&self, value: f64) -> f64 {
        self.field.left + self.plot.x.place(value).clamp(0.0, 1.0) * (self.field.right - self.field.left)
    }

    pub fn y(&self, value: f64) -> f64 {
        self.field.bottom - self.plot.y.place(value).clamp(0.0, 1.0) * (self.field.bottom - self.field.top)
    }

    pub fn at(&self, (x, y): Point) -> Point {
        (self.x(x), self.y(y))
    }

    /// A point by what is counted along an axis and where it stands on the other.
    pub fn along(&self, along: Along, value: f64, beside: f64) -> Point {
        match along {
            Along::X => self.at((value, beside)),
            Along::Y => self.at((beside, value)),
        }
    }

    pub fn stroke(&mut self, ink: Ink, width: f64, runs: Vec<Run>) {
        self.add(ink, Some(width * self.em), runs);
    }

    fn fill(&mut self, ink: Ink, runs: Vec<Run>) {
        self.add(ink, None, runs);
    }

    fn add(&mut self, ink: Ink, width: Option<f64>, runs: Vec<Run>) {
        let runs: Vec<Run> = runs.into_iter().filter(|run| run.len() > 1).collect();
        if !runs.is_empty() {
            self.strokes.push(Stroke { ink, width, runs });
        }
    }

    fn areas(&mut self) {
        for area in &self.plot.areas {
            let corners: Run = area.corners.iter().map(|corner| self.at(*corner)).collect();
            self.fill(Ink::Wash, vec![corners.clone()]);
            if area.hatched {
                self.stroke(Ink::Hatch, 0.07, shape::hatch(&corners, 0.5 * self.em));
            }
        }
    }

    fn axes(&mut self) {
        let (plot, field) = (self.plot, self.field);
        let down = |x: f64| vec![(x, field.top), (x, field.bottom)];
        let across = |y: f64| vec![(field.left, y), (field.right, y)];
        let columns: Vec<Run> = plot.x.ticks.iter().map(|tick| down(self.x(tick.at))).collect();
        let rows: Vec<Run> = plot.y.ticks.iter().map(|tick| across(self.y(tick.at))).collect();
        self.stroke(Ink::Grid, 0.045, columns.into_iter().chain(rows).collect());
        let mut axes = vec![down(field.left)];
        if !self.column && plot.y.scale != Scale::Places {
            axes.push(across(field.bottom));
        }
        self.stroke(Ink::Line, 0.08, axes);
        self.ticks(&plot.x, Along::X);
        self.ticks(&plot.y, Along::Y);
        let leading = self.labels.leading;
        let title = |text: String, labels: &mut Labels<'_>, right: Option<f64>, top: f64| {
            let width = (labels.measure)(&text, false);
            let left = right.map_or(0.0, |right| right - width).max(0.0);
            if !text.is_empty() {
                labels.put(&text, false, Room::at((left, top), width, leading), false);
            }
        };
        let bottom = self.labels.page.bottom - leading;
        title(plot.y.title(), &mut self.labels, None, 0.0);
        title(plot.x.title(), &mut self.labels, Some(field.right), bottom);
    }

    /// The texts at the ticks; where two would touch, the later one is left out.
    fn ticks(&mut self, axis: &Axis, along: Along) {
        let leading = self.labels.leading;
        let mut before = f64::NEG_INFINITY;
        for tick in &axis.ticks {
            let width = (self.labels.measure)(&tick.text, false);
            let area = match along {
                Along::X => {
                    let most = self.labels.page.right - width;
                    let left = (self.x(tick.at) - width / 2.0).clamp(0.0, most.max(0.0));
                    Room::at((left, self.field.bottom + 0.3 * self.em), width, leading)
                }
                Along::Y => {
                    let left = self.field.left - 0.5 * self.em - width;
                    Room::at((left, self.y(tick.at) - leading / 2.0), width, leading)
                }
            };
            if along == Along::X {
                if area.left < before + 0.5 * self.em {
                    continue;
                }
                before = area.right;
            }
            self.labels.put(&tick.text, false, area, false);
        }
    }

    fn levels(&mut self) {
        for level in &self.plot.levels {
            let run = self.level(level);
            self.labels.keep_clear(&run);
            let (ink, width) = weight(level.style);
            self.stroke(ink, width, shape::styled(&run, level.style, self.em));
        }
    }

    pub fn level(&self, level: &Level) -> Run {
        let (x, y) = (self.x(level.at), self.y(level.at));
        match level.along {
            Along::Y => vec![(self.field.left, y), (self.field.right, y)],
            Along::X => vec![(x, self.field.bottom), (x, self.field.top)],
        }
    }

    fn lines(&mut self) {
        for line in &self.plot.lines {
            let run: Run = line.points.iter().map(|point| self.at(*point)).collect();
            self.labels.keep_clear(&run);
            let (ink, width) = weight(line.style);
            self.stroke(ink, width, shape::styled(&run, line.style, self.em));
        }
    }

    /// A beam with a foot at each end that is closed.
    fn band(&mut self, band: &Band) {
        let axis = self.plot.axis(band.along);
        let ends = [band.low.unwrap_or(axis.from), band.high.unwrap_or(axis.to)];
        let [low, high] = ends.map(|end| self.along(band.along, end, band.beside));
        let half = 0.55 * self.em;
        let foot = |at: Point| match band.along {
            Along::Y => vec![(at.0 - half, at.1), (at.0 + half, at.1)],
            Along::X => vec![(at.0, at.1 - half), (at.0, at.1 + half)],
        };
        let feet = [(band.low, low), (band.high, high)];
        let feet = feet
            .into_iter()
            .filter(|(end, _)| end.is_some())
            .map(|(_, at)| foot(at));
        let runs: Vec<Run> = std::iter::once(vec![low, high]).chain(feet).collect();
        runs.iter().for_each(|run| self.labels.keep_clear(run));
        self.stroke(Ink::Hatch, 0.13, runs);
    }

    fn span(&mut self, span: &Span) {
        let [from, to] = [span.from, span.to].map(|end| self.along(span.along, end, span.beside));
        let length = (to.0 - from.0).hypot(to.1 - from.1);
        self.labels.keep_clear(&[from, to]);
        let half = 0.6 * self.em;
        let foot = |at: Point| match span.along {
            Along::Y => vec![(at.0 - half, at.1), (at.0 + half, at.1)],
            Along::X => vec![(at.0, at.1 - half), (at.0, at.1 + half)],
        };
        self.stroke(Ink::Line, 0.08, vec![vec![from, to], foot(from), foot(to)]);
        if length > 0.0 {
            let way = ((to.0 - from.0) / length, (to.1 - from.1) / length);
            let size = (0.55 * self.em).min(length / 2.5);
            let heads = vec![
                shape::arrow(to, way, size),
                shape::arrow(from, (-way.0, -way.1), size),
            ];
            self.fill(Ink::Line, heads);
        }
    }

    fn mark(&mut self, mark: &Mark) {
        let at = self.at(mark.at);
        let outline = shape::outline(mark.sign, at, self.em);
        let closed: Run = outline.iter().copied().chain(outline.first().copied()).collect();
        let reach = 0.5 * self.em;
        self.labels
            .taken
            .push(Room::at((at.0 - reach, at.1 - reach), 2.0 * reach, 2.0 * reach));
        match mark.sign {
            Sign::Reading | Sign::End => {
                self.stroke(Ink::Ground, 0.3, vec![closed]);
                self.fill(Ink::Line, vec![outline]);
            }
            Sign::Knee | Sign::Out => {
                self.fill(Ink::Ground, vec![outline]);
                self.stroke(Ink::Line, 0.12, vec![closed]);
            }
        }
        if mark.sign == Sign::Out {
            self.stroke(Ink::Line, 0.1, shape::cross(at, self.em));
        }
    }
}

fn weight(style: Style) -> (Ink, f64) {
    match style {
        Style::Strong => (Ink::Data, 0.2),
        Style::Thin => (Ink::Line, 0.09),
        Style::Dashed => (Ink::Line, 0.1),
        Style::Dotted => (Ink::Line, 0.12),
    }
}
