//! Shapes in a box: dashes, hatching, diamonds and rings, all as runs of points.

use super::{Point, Sign, Style};

/// A run of points: joined by lines, or the outline of what is filled.
pub(super) type Run = Vec<Point>;

/// A style as runs: whole, or cut into dashes; `em` is the size of the text.
pub(super) fn styled(run: &[Point], style: Style, em: f64) -> Vec<Run> {
    match style {
        Style::Strong | Style::Thin => vec![run.to_vec()],
        Style::Dashed => cut(run, 0.75 * em, 0.4 * em),
        Style::Dotted => cut(run, 0.16 * em, 0.34 * em),
    }
}

/// The run in dashes of length `on` with `off` between them.
fn cut(run: &[Point], on: f64, off: f64) -> Vec<Run> {
    let (mut dashes, mut dash) = (Vec::new(), Vec::new());
    let (mut drawn, mut left) = (true, on);
    for pair in run.windows(2) {
        let (start, end) = (pair[0], pair[1]);
        let length = (end.0 - start.0).hypot(end.1 - start.1);
        let mut at = 0.0;
        if drawn && dash.is_empty() {
            dash.push(start);
        }
        while length - at > left {
            at += left;
            let share = at / length;
            let here = (
                start.0 + share * (end.0 - start.0),
                start.1 + share * (end.1 - start.1),
            );
            dash.push(here);
            if drawn {
                dashes.push(std::mem::take(&mut dash));
            } else {
                dash = vec![here];
            }
            drawn = !drawn;
            left = if drawn { on } else { off };
        }
        left -= length - at;
        if drawn {
            dash.push(end);
        }
    }
    if drawn && dash.len() > 1 {
        dashes.push(dash);
    }
    dashes
}

/// Lines at 45° inside a polygon, `gap` apart.
pub(super) fn hatch(corners: &[Point], gap: f64) -> Vec<Run> {
    let sums = corners.iter().map(|(x, y)| x + y);
    let (least, most) = sums.fold((f64::INFINITY, f64::NEG_INFINITY), |(least, most), sum| {
        (least.min(sum), most.max(sum))
    });
    let step = gap * std::f64::consts::SQRT_2;
    let count = ((most - least) / step).floor().clamp(0.0, 400.0) as usize;
    let mut runs = Vec::new();
    for number in 1..=count {
        let sum = least + step * number as f64;
        let mut crossings = crossings(corners, sum);
        crossings.sort_by(f64::total_cmp);
        for pair in crossings.chunks_exact(2) {
            runs.push(vec![(pair[0], sum - pair[0]), (pair[1], sum - pair[1])]);
        }
    }
    runs
}

/// Where the line x + y = sum meets the outline, by x.
fn crossings(corners: &[Point], sum: f64) -> Vec<f64> {
    let next = corners.iter().cycle().skip(1);
    let edges = corners.iter().zip(next);
    let crossing = |(one, other): (&Point, &Point)| {
        let (start, end) = (one.0 + one.1 - sum, other.0 + other.1 - sum);
        let crosses = (start <= 0.0) != (end <= 0.0);
        crosses.then(|| one.0 + (other.0 - one.0) * start / (start - end))
    };
    edges.filter_map(crossing).collect()
}

/// A polygon of equal sides around a point.
pub(super) fn round(at: Point, radius: f64, corners: u32) -> Run {
    let corner = |number: u32| {
        let turn = std::f64::consts::TAU * f64::from(number) / f64::from(corners);
        (at.0 + radius * turn.sin(), at.1 - radius * turn.cos())
    };
    (0..corners).map(corner).collect()
}

/// The outline of a mark.
pub(super) fn outline(sign: Sign, at: Point, em: f64) -> Run {
    match sign {
        Sign::Reading | Sign::Out => round(at, 0.46 * em, 4),
        Sign::Knee => round(at, 0.32 * em, 32),
        Sign::End => round(at, 0.24 * em, 32),
    }
}

/// The cross inside a reading that is out of its band.
pub(super) fn cross(at: Point, em: f64) -> Vec<Run> {
    let arm = 0.17 * em;
    vec![
        vec![(at.0 - arm, at.1 - arm), (at.0 + arm, at.1 + arm)],
        vec![(at.0 - arm, at.1 + arm), (at.0 + arm, at.1 - arm)],
    ]
}

/// An arrowhead with its tip here, pointing along a direction of length 1.
pub(super) fn arrow(tip: Point, (dx, dy): Point, size: f64) -> Run {
    let (back, half) = ((tip.0 - dx * size, tip.1 - dy * size), 0.32 * size);
    vec![
        tip,
        (back.0 - dy * half, back.1 + dx * half),
        (back.0 + dy * half, back.1 - dx * half),
    ]
}

/// Whether a point lies inside a polygon.
pub(super) fn contains(corners: &[Point], (x, y): Point) -> bool {
    let next = corners.iter().cycle().skip(1);
    let crossed = corners.iter().zip(next).filter(|(one, other)| {
        (one.1 > y) != (other.1 > y) && x < one.0 + (other.0 - one.0) * (y - one.1) / (other.1 - one.1)
    });
    crossed.count() % 2 == 1
}
