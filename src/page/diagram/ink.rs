//! The diagram as SVG, in the colours of the drawing language by day.

use super::Diagram;
use super::glyph;
use super::mark::{self, CLAMP, DISC, Marked, TEXT, point};
use super::outline::{At, PITCH};
use super::probe::Probe;
use super::room::{Point, Rod};
use super::route::{Run, Who};
use super::symbol;

const INK: &str = "#1a1a1a";
const SHEET: &str = "#ffffff";
const LEAD: &str = "#8a8a8a";
const WORKED: &str = "#9fd6cb";
/// The white round everything.
const RIM: f64 = 14.0;
/// The least width and height of the sheet: as wide as three bodies with their lines, as high as one with its sign.
const SMALLEST: (f64, f64) = (400.0, 130.0);
/// Half the width of a hop over another line.
const HOP: f64 = 5.0;

/// The whole drawing.
#[must_use]
pub fn svg(diagram: &Diagram) -> String {
    let (least, most) = sheet(diagram);
    let (width, height) = (most.x - least.x, most.y - least.y);
    let mut drawn = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"{:.0} {:.0} {width:.0} {height:.0}\" role=\"img\">\n  \
         <rect x=\"{:.0}\" y=\"{:.0}\" width=\"{width:.0}\" height=\"{height:.0}\" rx=\"16\" fill=\"{SHEET}\"/>\n",
        least.x, least.y, least.x, least.y
    );
    drawn += &lines(diagram);
    drawn += &diagram.placed.iter().map(symbol::svg).collect::<String>();
    drawn += &diagram.marked.iter().map(marked).collect::<String>();
    drawn + "</svg>\n"
}

/// The corners of the sheet, which shows a small drawing no larger than a large one.
fn sheet(diagram: &Diagram) -> (Point, Point) {
    let (mut least, mut most) = corners(diagram);
    let (wide, high) = (SMALLEST.0 - (most.x - least.x), SMALLEST.1 - (most.y - least.y));
    least.x -= wide.max(0.0) / 2.0;
    most.x += wide.max(0.0) / 2.0;
    least.y -= high.max(0.0) / 2.0;
    most.y += high.max(0.0) / 2.0;
    (least, most)
}

fn corners(diagram: &Diagram) -> (Point, Point) {
    let (mut least, mut most) = mark::bounds(&diagram.placed, &diagram.routed);
    for rod in diagram.marked.iter().map(rod) {
        for at in [rod.from, rod.to] {
            least.x = least.x.min(at.x - rod.radius);
            least.y = least.y.min(at.y - rod.radius);
            most.x = most.x.max(at.x + rod.radius);
            most.y = most.y.max(at.y + rod.radius);
        }
    }
    let rim = |at: Point, by: f64| Point {
        x: at.x + by,
        y: at.y + by,
    };
    (rim(least, -RIM), rim(most, RIM))
}

/// The room of a mark.
#[must_use]
pub fn rod(marked: &Marked) -> Rod {
    match marked {
        Marked::Probe(probe) => probe.handle(),
        Marked::Clamp { at, .. } => Rod::disc(*at, CLAMP),
        Marked::Number { at, .. } => Rod::disc(*at, DISC),
        Marked::Text { text, at } => mark::text_rod(*at, glyph::width(text, TEXT) / 2.0),
    }
}

/// Lines of the worked part lie on its colour, dead lines below live ones, and dots on all of them.
fn lines(diagram: &Diagram) -> String {
    let (routed, mut drawn) = (&diagram.routed, String::new());
    for run in routed.runs.iter().filter(|run| worked(diagram, run)) {
        drawn += &stroke(&path(run, &[]), WORKED, 14.0, "");
    }
    let (live, dead): (Vec<&Run>, Vec<&Run>) = routed.runs.iter().partition(|run| live(diagram, run));
    for (runs, colour, weight) in [(dead, LEAD, 4.0), (live, INK, 5.0)] {
        for run in runs {
            drawn += &stroke(&path(run, &routed.hops), colour, weight, &kept(diagram, run));
            drawn += &clamps(diagram, run);
        }
    }
    for at in &routed.dots {
        let at = point(*at);
        drawn += &format!(
            "  <circle cx=\"{:.0}\" cy=\"{:.0}\" r=\"6\" fill=\"{INK}\"/>\n",
            at.x, at.y
        );
    }
    drawn
}

fn worked(diagram: &Diagram, run: &Run) -> bool {
    matches!(run.who, Who::Line(index) if diagram.plan.lines[index].worked)
}

fn live(diagram: &Diagram, run: &Run) -> bool {
    let node = match &run.who {
        Who::Line(index) => &diagram.plan.lines[*index].ends[0],
        Who::Node(node) => node,
    };
    !diagram.plan.told_live || diagram.plan.live.contains(node)
}

/// The line's name, and that it is broken where it is taken off.
fn kept(diagram: &Diagram, run: &Run) -> String {
    let Who::Line(index) = run.who else {
        return String::new();
    };
    let line = &diagram.plan.lines[index];
    let broken = if line.out {
        " stroke-dasharray=\"2 10\""
    } else {
        ""
    };
    format!(" id=\"line-{}\"{broken}", line.name)
}

/// How far a clamp sits from the end of its hose.
const CLAMP_AT: f64 = 9.0;

/// A clamp across each end of a hose or a tube.
fn clamps(diagram: &Diagram, run: &Run) -> String {
    let clamped = matches!(run.who, Who::Line(index) if diagram.plan.lines[index].clamped);
    if !clamped || run.points.len() < 2 {
        return String::new();
    }
    let last = run.points.len() - 1;
    let ends = [
        (run.points[0], run.points[1]),
        (run.points[last], run.points[last - 1]),
    ];
    let clamp = |(end, next): (At, At)| {
        let (x, y) = (
            f64::from((next.x - end.x).signum()),
            f64::from((next.y - end.y).signum()),
        );
        let at = point(end);
        let far = CLAMP_AT.min(f64::from(end.far(next)) * PITCH / 2.0);
        let middle = (at.x + x * far, at.y + y * far);
        let (dx, dy) = (y * 9.0, x * 9.0);
        let path = format!(
            "M{:.0} {:.0}L{:.0} {:.0}",
            middle.0 - dx,
            middle.1 - dy,
            middle.0 + dx,
            middle.1 + dy
        );
        stroke(&path, INK, 5.0, "")
    };
    ends.map(clamp).concat()
}

fn stroke(path: &str, colour: &str, weight: f64, id: &str) -> String {
    format!(
        "  <path{id} d=\"{path}\" fill=\"none\" stroke=\"{colour}\" stroke-width=\"{weight}\" \
         stroke-linecap=\"round\" stroke-linejoin=\"round\"/>\n"
    )
}

/// The run as a path, hopping over every line that it crosses from side to side.
fn path(run: &Run, hops: &[At]) -> String {
    let mut drawn = String::new();
    for (index, at) in run.points.iter().enumerate() {
        let here = point(*at);
        if index == 0 {
            drawn += &format!("M{:.0} {:.0}", here.x, here.y);
            continue;
        }
        let from = run.points[index - 1];
        if from.y == at.y {
            let right = at.x > from.x;
            let mut over: Vec<i32> = hops
                .iter()
                .filter(|hop| hop.y == at.y && between(from.x, hop.x, at.x))
                .map(|hop| hop.x)
                .collect();
            over.sort_unstable();
            if !right {
                over.reverse();
            }
            let sign = if right { 1.0 } else { -1.0 };
            for x in over {
                let middle = point(At { x, y: at.y });
                drawn += &format!("L{:.0} {:.0}", middle.x - sign * HOP, middle.y);
                let sweep = i32::from(right);
                drawn += &format!("a{HOP} {HOP} 0 0 {sweep} {:.0} 0", sign * 2.0 * HOP);
            }
        }
        drawn += &format!("L{:.0} {:.0}", here.x, here.y);
    }
    drawn
}

fn between(from: i32, x: i32, to: i32) -> bool {
    from.min(to) < x && x < from.max(to)
}

fn marked(marked: &Marked) -> String {
    match marked {
        Marked::Probe(held) => probe(held),
        Marked::Clamp { at, across } => clamp(*at, *across),
        Marked::Number { number, at, to } => numbered(*number, *at, *to),
        Marked::Text { text, at } => {
            format!("  {}\n", glyph::text(text, at.x, at.y, TEXT, 2.4, INK))
        }
    }
}

/// A needle, a handle, and on it the sign of its end: plus for red, minus for black.
fn probe(probe: &Probe) -> String {
    let (fill, sign) = if probe.red { (SHEET, INK) } else { (INK, SHEET) };
    let plus = if probe.red { "M17-5L17 5" } else { "" };
    let (tip, needle, degrees) = (probe.tip, probe.needle, probe.degrees);
    format!(
        "  <g transform=\"translate({:.0} {:.0}) rotate({degrees:.0})\"><path d=\"M0 0L{needle:.0} 0\" \
         stroke=\"{INK}\" stroke-width=\"4\" stroke-linecap=\"round\"/><g transform=\"translate({needle:.0} 0)\"><path \
         d=\"M0-5L8-9L28-9C32-9 36-5 36 0C36 5 32 9 28 9L8 9L0 5Z\" fill=\"{fill}\" stroke=\"{INK}\" \
         stroke-width=\"3\" stroke-linejoin=\"round\"/><path d=\"M12 0L22 0{plus}\" fill=\"none\" stroke=\"{sign}\" \
         stroke-width=\"3\" stroke-linecap=\"round\" transform=\"rotate({:.0} 17 0)\"/></g></g>\n",
        tip.x, tip.y, -degrees
    )
}

fn clamp(at: Point, across: bool) -> String {
    let (rx, ry) = if across { (8.0, CLAMP) } else { (CLAMP, 8.0) };
    format!(
        "  <ellipse cx=\"{:.0}\" cy=\"{:.0}\" rx=\"{rx}\" ry=\"{ry}\" fill=\"none\" stroke=\"{INK}\" \
         stroke-width=\"6\"/>\n",
        at.x, at.y
    )
}

fn numbered(number: usize, at: Point, to: Point) -> String {
    format!(
        "  <g id=\"callout-{number}\"><path d=\"M{:.1} {:.1}L{:.1} {:.1}\" stroke=\"{INK}\" stroke-width=\"3\"/>\
         <circle cx=\"{:.1}\" cy=\"{:.1}\" r=\"4.5\" fill=\"{INK}\"/><circle cx=\"{:.1}\" cy=\"{:.1}\" r=\"{DISC}\" \
         fill=\"{INK}\"/>{}</g>\n",
        at.x,
        at.y,
        to.x,
        to.y,
        to.x,
        to.y,
        at.x,
        at.y,
        glyph::text(&number.to_string(), at.x, at.y, 21.0, 4.0, SHEET)
    )
}
