//! Pages as drawn: furniture first, then each row with what lies behind it, its text and its pictures.

use super::brush::Brush;
use super::furniture::{Furniture, LEFT};
use super::ink::Ink;
use super::pages::Placed;
use super::row::{Behind, Cell, Mark, Piece, Row};
use super::sheet::Composer;
use super::tree::Tree;
use krilla::Document;
use krilla::geom::{Point, Rect};
use krilla::outline::{Outline, OutlineNode};
use krilla::page::PageSettings;
use krilla::tagging::{Artifact, ArtifactType, ContentTag, SpanTag};

/// A4 in points.
pub const SHEET: (f32, f32) = (595.28, 841.89);

/// Draws all pages, then hands tags and outline to the document.
pub fn paint(document: &mut Document, composer: Composer<'_>, pages: &[Vec<Placed>], furniture: &Furniture) {
    let Composer { faces, mut tree, .. } = composer;
    let mut headings = Vec::new();
    for (number, rows) in pages.iter().enumerate() {
        let settings = PageSettings::from_wh(SHEET.0, SHEET.1).unwrap_or_default();
        let mut page = document.start_page_with(settings);
        let mut surface = page.surface();
        let mut brush = Brush {
            surface: &mut surface,
            faces,
        };
        furniture.draw(&mut brush, number, pages.len());
        for placed in rows {
            if let Some((level, text)) = &placed.row.entry {
                headings.push((*level, text.clone(), number, placed.y));
            }
            row(&mut brush, &mut tree, placed, number);
        }
        surface.finish();
        page.finish();
    }
    document.set_tag_tree(tree.finish());
    document.set_outline(outline(headings));
}

/// The headings as a tree of two levels: sections, and the parts in them.
fn outline(headings: Vec<(u16, String, usize, f32)>) -> Outline {
    let mut outline = Outline::new();
    let mut open: Option<OutlineNode> = None;
    for (level, text, page, y) in headings {
        let target = krilla::destination::XyzDestination::new(page, Point::from_xy(LEFT, y));
        let node = OutlineNode::new(text, target);
        match &mut open {
            Some(section) if level > 2 => section.push_child(node),
            _ => {
                if let Some(section) = open.replace(node) {
                    outline.push_child(section);
                }
            }
        }
    }
    if let Some(section) = open {
        outline.push_child(section);
    }
    outline
}

/// Runs a drawing that is no content: lines, grounds, page furniture.
pub fn artifact(brush: &mut Brush<'_, '_>, kind: ArtifactType, draw: impl FnOnce(&mut Brush<'_, '_>)) {
    brush
        .surface
        .start_tagged(ContentTag::Artifact(Artifact::with_kind(kind)));
    draw(brush);
    brush.surface.end_tagged();
}

fn row(brush: &mut Brush<'_, '_>, tree: &mut Tree, placed: &Placed, page: usize) {
    let (row, y) = (&placed.row, placed.y);
    artifact(brush, ArtifactType::Layout, |brush| behind(brush, row, y));
    if placed.again {
        artifact(brush, ArtifactType::PaginationOther, |brush| again(brush, row, y));
        return;
    }
    for cell in &row.cells {
        content(brush, tree, cell, y + row.pad, page);
    }
}

fn behind(brush: &mut Brush<'_, '_>, row: &Row, y: f32) {
    let (left, width) = (LEFT, super::sheet::WIDTH);
    let height = row.height();
    match row.behind {
        Behind::Nothing => {}
        Behind::Ground(ink) => brush.rect(ink, left, y, width, height),
        Behind::Boxed => brush.frame(Ink::Text, left, y, width, height, 1.2),
        Behind::Bar => brush.rect(Ink::Text, left + row_start(row) - 6.0, y + 1.0, 2.4, height - 2.0),
        Behind::Stripe => {
            brush.stripe(Ink::Wash, left + 6.0, y + 1.0, width - 6.0, height - 2.0);
            brush.stripe(Ink::Paint, left - 3.0, y + 1.0, 29.0, height - 2.0);
        }
        Behind::NoStripe => brush.frame(Ink::Rule, left - 2.0, y + 2.0, 24.0, height - 4.0, 0.7),
        Behind::WholeStripe => brush.stripe(Ink::Paint, left - 6.0, y, width + 12.0, height),
        Behind::NoWholeStripe => brush.frame(Ink::Text, left, y, width, height, 2.0),
    }
    if row.rule {
        let whole = matches!(row.behind, Behind::Stripe | Behind::NoStripe);
        let start = if whole { 0.0 } else { row_start(row) };
        brush.rect(Ink::Rule, left + start, y - 0.2, width - start, 0.4);
    }
}

/// Where the first cell of the row begins.
fn row_start(row: &Row) -> f32 {
    row.cells
        .iter()
        .map(|cell| cell.x)
        .fold(f32::INFINITY, f32::min)
        .min(super::sheet::WIDTH)
}

/// A table's head on a later page: drawn, but read out only once.
fn again(brush: &mut Brush<'_, '_>, row: &Row, y: f32) {
    for cell in &row.cells {
        let mut top = y + row.pad;
        for piece in &cell.pieces {
            if let Mark::Text(line) = &piece.mark {
                brush.line(line, LEFT + cell.x, top);
            }
            top += piece.height();
        }
    }
}

fn content(brush: &mut Brush<'_, '_>, tree: &mut Tree, cell: &Cell, y: f32, page: usize) {
    let mut top = y;
    for piece in &cell.pieces {
        draw(brush, tree, piece, (LEFT + cell.x, top), page);
        top += piece.height();
    }
}

fn draw(brush: &mut Brush<'_, '_>, tree: &mut Tree, piece: &Piece, (x, y): (f32, f32), page: usize) {
    match &piece.mark {
        Mark::Gap(_) => {}
        Mark::Text(line) => {
            // Cells pull digits apart: who copies a hash gets it in one piece.
            let whole = line.style.cell.map(|_| line.text.replace(' ', ""));
            let tag = SpanTag::empty().with_actual_text(whole.as_deref());
            let drawn = brush.surface.start_tagged(ContentTag::Span(tag));
            brush.line(line, x, y);
            brush.surface.end_tagged();
            tree.draw(piece.place, drawn);
        }
        Mark::Picture(picture) => {
            let drawn = brush.surface.start_tagged(ContentTag::Other);
            picture.draw(brush, x, y);
            brush.surface.end_tagged();
            tree.draw(piece.place, drawn);
            if let Some(area) = Rect::from_xywh(x, y, picture.width(), picture.height()) {
                tree.box_of(piece.place, page, area);
            }
        }
    }
}
