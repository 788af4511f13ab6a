//! The names in a drawing: of marks, spans, bands, levels, curves and areas, each beside what it names.

use super::drawing::{Ink, Sketch};
use super::shape::{self, Run};
use super::{Along, Level, Mark, Point, Sign, Style};

impl Sketch<'_> {
    /// Everything's name: what was read first, since it has the first choice of place.
    pub fn names(&mut self) {
        let plot = self.plot;
        if self.column {
            self.name_column();
        }
        let mut marks: Vec<&Mark> = plot.marks.iter().collect();
        marks.sort_by_key(|mark| !matches!(mark.sign, Sign::Reading | Sign::Out));
        for mark in marks {
            let strong = matches!(mark.sign, Sign::Reading | Sign::Out);
            self.labels.beside(&mark.name, strong, &[self.at(mark.at)]);
        }
        for span in &plot.spans {
            let at =
                |share: f64| self.along(span.along, span.from + share * (span.to - span.from), span.beside);
            self.labels.beside(&span.name, true, &[at(0.5), at(0.7), at(0.3)]);
        }
        for band in &plot.bands {
            let axis = plot.axis(band.along);
            let (low, high) = (band.low.unwrap_or(axis.from), band.high.unwrap_or(axis.to));
            let ends = [low, high].map(|end| self.along(band.along, end, band.beside));
            let middle = ((ends[0].0 + ends[1].0) / 2.0, (ends[0].1 + ends[1].1) / 2.0);
            self.labels.beside(&band.name, false, &[ends[0], ends[1], middle]);
        }
        if !self.column {
            plot.levels.iter().for_each(|level| self.name_level(level));
        }
        for line in &plot.lines {
            let run: Run = line.points.iter().map(|point| self.at(*point)).collect();
            self.labels
                .beside(&line.name, line.style == Style::Strong, &stations(&run));
        }
        self.name_areas();
    }

    fn name_column(&mut self) {
        let names: Vec<(String, bool, f64)> = self
            .plot
            .levels
            .iter()
            .map(|level| (level.name.clone(), level.style == Style::Strong, self.y(level.at)))
            .collect();
        let right = self.field.right;
        let middles = self.labels.column(right + 0.9 * self.em, &names);
        let leader = |(name, middle): (&(String, bool, f64), &f64)| {
            vec![
                (right, name.2),
                (right + 0.3 * self.em, name.2),
                (right + 0.7 * self.em, *middle),
            ]
        };
        let leaders = names.iter().zip(&middles).map(leader).collect();
        self.stroke(Ink::Line, 0.06, leaders);
    }

    fn name_level(&mut self, level: &Level) {
        let run = self.level(level);
        let width = (self.labels.measure)(&level.name, false);
        let (from, to) = (run[0], run[1]);
        let share = |share: f64| (from.0 + share * (to.0 - from.0), from.1 + share * (to.1 - from.1));
        let points: Vec<Point> = match level.along {
            Along::Y => {
                let half = width / 2.0;
                let off = 0.72 * self.labels.leading;
                [
                    self.field.left + half + 0.4 * self.em,
                    self.field.right - half - 0.4 * self.em,
                ]
                .into_iter()
                .flat_map(|x| [(x, from.1 - off), (x, from.1 + off)])
                .collect()
            }
            Along::X => {
                let points = [0.9, 0.8, 0.7, 0.5, 0.3].map(share);
                return self.labels.beside(&level.name, false, &points);
            }
        };
        self.labels.upon(&level.name, false, &points);
    }

    fn name_areas(&mut self) {
        for area in self.plot.areas.iter().filter(|area| !area.name.is_empty()) {
            let corners: Run = area.corners.iter().map(|corner| self.at(*corner)).collect();
            let places = (1..16).flat_map(|right| (1..16).map(move |down| (right, down)));
            let point = |(right, down): (i32, i32)| {
                let share = |number: i32| f64::from(number) / 16.0;
                let x = self.field.left + share(right) * (self.field.right - self.field.left);
                (
                    x,
                    self.field.top + share(down) * (self.field.bottom - self.field.top),
                )
            };
            let inside: Vec<Point> = places
                .map(point)
                .filter(|at| self.fits(&corners, &area.name, *at))
                .collect();
            let mut edge = corners.clone();
            edge.extend(corners.first().copied());
            let before = self.labels.lines.len();
            self.labels.keep_clear(&edge);
            if inside.is_empty() {
                self.labels.beside(&area.name, false, &stations(&corners));
            } else {
                self.labels.upon(&area.name, false, &inside);
            }
            self.labels.lines.truncate(before);
        }
    }

    /// Whether the words stand wholly inside the outline with their middle here, and cover no line.
    fn fits(&self, corners: &[Point], text: &str, (x, y): Point) -> bool {
        let (half, down) = (
            (self.labels.measure)(text, false) / 2.0,
            self.labels.leading / 2.0,
        );
        let ends = [(-half, -down), (half, -down), (-half, down), (half, down)];
        let inside = ends
            .iter()
            .all(|(right, below)| shape::contains(corners, (x + right, y + below)));
        inside && self.labels.free((x - half, y - down), 2.0 * half)
    }
}

/// Points along a run where its name may stand, the best first.
fn stations(run: &[Point]) -> Vec<Point> {
    let length = |pair: &[Point]| (pair[1].0 - pair[0].0).hypot(pair[1].1 - pair[0].1);
    let whole: f64 = run.windows(2).map(length).sum();
    let at = |share: f64| {
        let mut left = share * whole;
        for pair in run.windows(2) {
            let here = length(pair);
            if here >= left && here > 0.0 {
                let part = left / here;
                let (one, other) = (pair[0], pair[1]);
                return Some((one.0 + part * (other.0 - one.0), one.1 + part * (other.1 - one.1)));
            }
            left -= here;
        }
        run.last().copied()
    };
    [0.5, 0.62, 0.38, 0.74, 0.26, 0.86, 0.14, 0.95]
        .into_iter()
        .filter_map(at)
        .collect()
}
