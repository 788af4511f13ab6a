//! What is where on the sheet, and how far a new thing would be from it.

/// A point of the sheet, in the drawing's units.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Point {
    pub x: f64,
    pub y: f64,
}

impl Point {
    /// `far` away at an angle in degrees, clockwise from the right.
    #[must_use]
    pub fn polar(self, degrees: f64, far: f64) -> Self {
        let (sin, cos) = degrees.to_radians().sin_cos();
        Self {
            x: self.x + far * cos,
            y: self.y + far * sin,
        }
    }

    /// How far away.
    #[must_use]
    pub fn far(self, other: Self) -> f64 {
        (self.x - other.x).hypot(self.y - other.y)
    }
}

/// A straight thing with round ends: everything on the sheet is one, or a [`Taken::Box`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rod {
    pub from: Point,
    pub to: Point,
    pub radius: f64,
}

impl Rod {
    /// A disc.
    #[must_use]
    pub fn disc(at: Point, radius: f64) -> Self {
        Self {
            from: at,
            to: at,
            radius,
        }
    }

    /// The corners of its room.
    fn corners(&self) -> (Point, Point) {
        let least = Point {
            x: self.from.x.min(self.to.x) - self.radius,
            y: self.from.y.min(self.to.y) - self.radius,
        };
        let most = Point {
            x: self.from.x.max(self.to.x) + self.radius,
            y: self.from.y.max(self.to.y) + self.radius,
        };
        (least, most)
    }

    /// The room between two rods; less than nothing where they overlap.
    #[must_use]
    pub fn gap(&self, other: &Self) -> f64 {
        apart(self.from, self.to, other.from, other.to) - self.radius - other.radius
    }
}

/// What has its place on the sheet.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Taken {
    Box { least: Point, most: Point },
    Rod(Rod),
}

impl Taken {
    /// Whether this could be within `air` of a rod; a quick look before [`Self::gap`].
    #[must_use]
    pub fn near(&self, rod: &Rod, air: f64) -> bool {
        let (least, most) = match self {
            Self::Box { least, most } => (*least, *most),
            Self::Rod(other) => other.corners(),
        };
        let (low, high) = rod.corners();
        let apart =
            low.x > most.x + air || high.x < least.x - air || low.y > most.y + air || high.y < least.y - air;
        !apart
    }

    /// The room between this and a rod; less than nothing where they overlap.
    #[must_use]
    pub fn gap(&self, rod: &Rod) -> f64 {
        match self {
            Self::Rod(other) => other.gap(rod),
            Self::Box { least, most } => to_box(*least, *most, rod) - rod.radius,
        }
    }
}

fn to_box(least: Point, most: Point, rod: &Rod) -> f64 {
    let inside = |at: Point| (least.x..=most.x).contains(&at.x) && (least.y..=most.y).contains(&at.y);
    if inside(rod.from) || inside(rod.to) {
        return 0.0;
    }
    let corner = |x, y| Point { x, y };
    let corners = [
        corner(least.x, least.y),
        corner(most.x, least.y),
        corner(most.x, most.y),
        corner(least.x, most.y),
    ];
    let edge = |at: usize| apart(rod.from, rod.to, corners[at], corners[(at + 1) % 4]);
    (0..4).map(edge).fold(f64::INFINITY, f64::min)
}

/// The distance between two straight stretches.
fn apart(a: Point, b: Point, c: Point, d: Point) -> f64 {
    let side = |p: Point, q: Point, r: Point| (q.x - p.x) * (r.y - p.y) - (q.y - p.y) * (r.x - p.x);
    let crossing = side(a, b, c) * side(a, b, d) < 0.0 && side(c, d, a) * side(c, d, b) < 0.0;
    if crossing {
        return 0.0;
    }
    let all = [
        to_stretch(a, c, d),
        to_stretch(b, c, d),
        to_stretch(c, a, b),
        to_stretch(d, a, b),
    ];
    all.into_iter().fold(f64::INFINITY, f64::min)
}

fn to_stretch(at: Point, from: Point, to: Point) -> f64 {
    let (dx, dy) = (to.x - from.x, to.y - from.y);
    let long = dx * dx + dy * dy;
    if long == 0.0 {
        return at.far(from);
    }
    let share = (((at.x - from.x) * dx + (at.y - from.y) * dy) / long).clamp(0.0, 1.0);
    at.far(Point {
        x: from.x + share * dx,
        y: from.y + share * dy,
    })
}
