//! Words that stand beside what they name, clear of lines and of each other.

use super::Point;
use super::drawing::Word;

/// A box: left, top, right, bottom.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Area {
    pub left: f64,
    pub top: f64,
    pub right: f64,
    pub bottom: f64,
}

impl Area {
    pub fn at((left, top): Point, width: f64, height: f64) -> Self {
        Self {
            left,
            top,
            right: left + width,
            bottom: top + height,
        }
    }

    fn overlap(&self, other: &Area) -> f64 {
        let wide = (self.right.min(other.right) - self.left.max(other.left)).max(0.0);
        let high = (self.bottom.min(other.bottom) - self.top.max(other.top)).max(0.0);
        wide * high
    }

    fn holds(&self, other: &Area) -> bool {
        self.left <= other.left
            && self.top <= other.top
            && self.right >= other.right
            && self.bottom >= other.bottom
    }

    pub fn grown(&self, by: f64) -> Self {
        Self {
            left: self.left - by,
            top: self.top - by,
            right: self.right + by,
            bottom: self.bottom + by,
        }
    }

    /// Whether a stretch of line passes through the box (Liang and Barsky's clipping).
    fn crossed(&self, (from, to): &(Point, Point)) -> bool {
        let (dx, dy) = (to.0 - from.0, to.1 - from.1);
        let sides = [
            (-dx, from.0 - self.left),
            (dx, self.right - from.0),
            (-dy, from.1 - self.top),
            (dy, self.bottom - from.1),
        ];
        let (mut enter, mut leave) = (0.0f64, 1.0f64);
        for (slope, room) in sides {
            if slope == 0.0 {
                if room < 0.0 {
                    return false;
                }
            } else if slope < 0.0 {
                enter = enter.max(room / slope);
            } else {
                leave = leave.min(room / slope);
            }
        }
        enter <= leave
    }
}

/// What words must keep clear of, and the words placed so far.
pub(super) struct Labels<'a> {
    /// Where words may stand.
    pub page: Area,
    pub field: Area,
    pub em: f64,
    pub leading: f64,
    pub measure: &'a dyn Fn(&str, bool) -> f64,
    pub lines: Vec<(Point, Point)>,
    pub taken: Vec<Area>,
    pub words: Vec<Word>,
}

/// The sides of a point, in the order in which they are tried: how far right, how far down.
const SIDES: [Point; 8] = [
    (1.0, 0.0),
    (-1.0, 0.0),
    (1.0, -1.0),
    (-1.0, -1.0),
    (1.0, 1.0),
    (-1.0, 1.0),
    (0.0, -1.0),
    (0.0, 1.0),
];

impl Labels<'_> {
    /// A run of lines that words keep clear of.
    pub fn keep_clear(&mut self, run: &[Point]) {
        self.lines.extend(run.windows(2).map(|pair| (pair[0], pair[1])));
    }

    /// Puts the words beside one of these points, the earlier the better.
    pub fn beside(&mut self, text: &str, strong: bool, points: &[Point]) {
        if text.is_empty() || points.is_empty() {
            return;
        }
        let size = ((self.measure)(text, strong), self.leading);
        let mut best: Option<(f64, Area)> = None;
        for (rank, point) in points.iter().enumerate() {
            for (side, way) in SIDES.iter().enumerate() {
                for far in [0.62, 1.3, 2.2] {
                    let area = self.at_side(*point, *way, far, size);
                    let cost = self.cost(&area) + 0.25 * rank as f64 + 0.4 * side as f64 + 1.6 * (far - 0.62);
                    if best.as_ref().is_none_or(|(least, _)| cost < *least) {
                        best = Some((cost, area));
                    }
                }
            }
        }
        if let Some((_, area)) = best {
            self.put(text, strong, area, true);
        }
    }

    /// Puts the words where their middle lies on one of these points, the earlier the better.
    pub fn upon(&mut self, text: &str, strong: bool, points: &[Point]) {
        let width = (self.measure)(text, strong);
        let area = |at: &Point| {
            Area::at(
                (at.0 - width / 2.0, at.1 - self.leading / 2.0),
                width,
                self.leading,
            )
        };
        let costed = points.iter().enumerate().map(|(rank, at)| {
            let area = area(at);
            (self.cost(&area) + 0.1 * rank as f64, area)
        });
        let best = costed.min_by(|one, other| one.0.total_cmp(&other.0));
        if let Some((_, area)) = best.filter(|_| !text.is_empty()) {
            self.put(text, strong, area, true);
        }
    }

    fn at_side(&self, (x, y): Point, (right, down): Point, far: f64, (width, height): Point) -> Area {
        let gap = far * self.em;
        // Beside a point at a slant the words need less distance.
        let slant = if right != 0.0 && down != 0.0 { 0.6 } else { 1.0 };
        let left = x + (right - 1.0) * width / 2.0 + right * gap * slant;
        let top = y + (down - 1.0) * height / 2.0 + down * gap * slant * 0.75;
        Area::at((left, top), width, height)
    }

    fn cost(&self, area: &Area) -> f64 {
        let mut cost = 0.0;
        if !self.page.holds(area) {
            cost += 1e4;
        }
        if !self.field.holds(area) {
            cost += 40.0;
        }
        let clear = area.grown(0.12 * self.em);
        let whole = (area.right - area.left) * (area.bottom - area.top);
        cost += self
            .taken
            .iter()
            .map(|taken| taken.overlap(&clear) / whole.max(1e-9))
            .map(|share| if share > 0.0 { 60.0 + 600.0 * share } else { 0.0 })
            .sum::<f64>();
        cost + 9.0 * self.lines.iter().filter(|line| area.crossed(line)).count().min(8) as f64
    }

    /// Whether a line of words of this width, its upper left corner here, covers no line.
    pub fn free(&self, at: Point, width: f64) -> bool {
        let area = Area::at(at, width, self.leading);
        !self.lines.iter().any(|line| area.crossed(line))
    }

    /// Puts the words into a box that is now taken.
    pub fn put(&mut self, text: &str, strong: bool, area: Area, plate: bool) {
        self.taken.push(area);
        self.words.push(Word {
            text: text.to_owned(),
            x: area.left,
            y: area.top,
            width: area.right - area.left,
            strong,
            plate,
        });
    }

    /// Words in a column right of `x`, each as near its height as the others allow; gives back where each stands.
    pub fn column(&mut self, x: f64, texts: &[(String, bool, f64)]) -> Vec<f64> {
        let mut order: Vec<usize> = (0..texts.len()).collect();
        order.sort_by(|one, other| texts[*one].2.total_cmp(&texts[*other].2));
        let apart = self.leading * 1.08;
        let mut middles: Vec<f64> = Vec::new();
        for place in &order {
            let wanted = texts[*place].2;
            middles.push(middles.last().map_or(wanted, |last| wanted.max(last + apart)));
        }
        let mut foot = self.page.bottom - self.leading / 2.0;
        for middle in middles.iter_mut().rev() {
            *middle = middle.min(foot);
            foot = *middle - apart;
        }
        let mut found = vec![0.0; texts.len()];
        for (place, middle) in order.into_iter().zip(middles) {
            let (text, strong, _) = &texts[place];
            let width = (self.measure)(text, *strong);
            let area = Area::at((x, middle - self.leading / 2.0), width, self.leading);
            self.put(text, *strong, area, false);
            found[place] = middle;
        }
        found
    }
}
