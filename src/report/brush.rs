//! Filled shapes and lines of text on a page.

use super::face::{Faces, Glyph};
use super::ink::Ink;
use super::text::Line;
use krilla::geom::{Path, PathBuilder, Point, Rect};
use krilla::num::NormalizedF32;
use krilla::paint::{Fill, FillRule, LineCap, LineJoin, Stroke};
use krilla::surface::Surface;
use krilla::text::{GlyphId, KrillaGlyph};

/// Draws on one page; points from its upper left corner.
pub struct Brush<'a, 'p> {
    pub surface: &'a mut Surface<'p>,
    pub faces: &'a Faces,
}

fn fill(ink: Ink) -> Fill {
    Fill {
        paint: ink.colour().into(),
        opacity: NormalizedF32::ONE,
        rule: FillRule::NonZero,
    }
}

impl Brush<'_, '_> {
    /// A filled rectangle.
    pub fn rect(&mut self, ink: Ink, x: f32, y: f32, width: f32, height: f32) {
        self.rects(ink, std::iter::once((x, y, width, height)));
    }

    /// Filled rectangles as one shape: x, y, width, height.
    pub fn rects(&mut self, ink: Ink, rects: impl Iterator<Item = (f32, f32, f32, f32)>) {
        let mut path = PathBuilder::new();
        for (x, y, width, height) in rects {
            if let Some(rect) = Rect::from_xywh(x, y, width, height) {
                path.push_rect(rect);
            }
        }
        self.path(ink, path.finish());
    }

    /// A filled polygon.
    pub fn polygon(&mut self, ink: Ink, corners: &[(f32, f32)]) {
        self.path(ink, traced(&[corners.to_vec()], true));
    }

    /// The outline of a rectangle.
    pub fn frame(&mut self, ink: Ink, x: f32, y: f32, width: f32, height: f32, line: f32) {
        let mut path = PathBuilder::new();
        if let Some(rect) = Rect::from_xywh(x, y, width, height) {
            path.push_rect(rect);
        }
        self.surface.set_fill(None);
        self.surface.set_stroke(Some(Stroke {
            paint: ink.colour().into(),
            width: line,
            miter_limit: 4.0,
            line_cap: LineCap::Butt,
            line_join: LineJoin::Miter,
            opacity: NormalizedF32::ONE,
            dash: None,
        }));
        if let Some(path) = path.finish() {
            self.surface.draw_path(&path);
        }
        self.surface.set_stroke(None);
    }

    /// Lines through these runs of points, with round joins.
    pub fn lines(&mut self, ink: Ink, width: f32, runs: &[Vec<(f32, f32)>]) {
        let path = traced(runs, false);
        self.surface.set_fill(None);
        self.surface.set_stroke(Some(Stroke {
            paint: ink.colour().into(),
            width,
            miter_limit: 4.0,
            line_cap: LineCap::Butt,
            line_join: LineJoin::Round,
            opacity: NormalizedF32::ONE,
            dash: None,
        }));
        if let Some(path) = path {
            self.surface.draw_path(&path);
        }
        self.surface.set_stroke(None);
    }

    /// Filled polygons as one shape.
    pub fn polygons(&mut self, ink: Ink, outlines: &[Vec<(f32, f32)>]) {
        self.path(ink, traced(outlines, true));
    }

    fn path(&mut self, ink: Ink, path: Option<Path>) {
        self.surface.set_stroke(None);
        self.surface.set_fill(Some(fill(ink)));
        if let Some(path) = path {
            self.surface.draw_path(&path);
        }
    }

    /// The line with the upper left corner of its box here.
    pub fn line(&mut self, line: &Line, x: f32, y: f32) {
        let style = line.style;
        // Capitals are three quarters of the size high and stand in the middle of their line.
        let base = y + style.leading / 2.0 + style.size * 0.36;
        self.surface.set_stroke(None);
        self.surface.set_fill(Some(fill(style.ink)));
        let mut x = x;
        for run in line.glyphs.chunk_by(|one, next| one.face == next.face) {
            let glyphs: Vec<KrillaGlyph> = run.iter().map(drawn).collect();
            let font = self.faces.font(run[0].face).clone();
            let start = Point::from_xy(x, base);
            self.surface
                .draw_glyphs(start, &glyphs, font, &line.text, style.size, false);
            x += run.iter().map(|glyph| glyph.advance * style.size).sum::<f32>();
        }
    }

    /// Five bristles of paint as one shape, so that the ends look brushed.
    pub fn stripe(&mut self, ink: Ink, x: f32, y: f32, width: f32, height: f32) {
        let bristle = height / 5.0;
        let ragged = (height * 0.5).min(width * 0.2).min(9.0);
        // The bristles lean, as a stroke that was drawn in one go.
        let lean = (bristle * 0.35).min(3.0);
        let (mut left, mut right) = (Vec::new(), Vec::new());
        for (row, reach) in [0.55, 1.0, 0.75, 0.95, 0.35].into_iter().enumerate() {
            let start = (1.0 - reach) * ragged;
            let end = width - start * (0.6 + 0.2 * (row % 3) as f32);
            let (top, foot) = (y + row as f32 * bristle, y + (row + 1) as f32 * bristle);
            left.extend([(x + start + lean, top), (x + start, foot)]);
            right.extend([(x + end + lean, top), (x + end, foot)]);
        }
        left.extend(right.into_iter().rev());
        self.polygon(ink, &left);
    }
}

fn traced(runs: &[Vec<(f32, f32)>], closed: bool) -> Option<Path> {
    let mut path = PathBuilder::new();
    for run in runs {
        for (place, (x, y)) in run.iter().enumerate() {
            if place == 0 {
                path.move_to(*x, *y);
            } else {
                path.line_to(*x, *y);
            }
        }
        if closed {
            path.close();
        }
    }
    path.finish()
}

fn drawn(glyph: &Glyph) -> KrillaGlyph {
    KrillaGlyph::new(
        GlyphId::new(glyph.id),
        glyph.advance,
        glyph.right,
        glyph.up,
        0.0,
        glyph.range.clone(),
        None,
    )
}
