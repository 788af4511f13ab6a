//! Headings, paragraphs and tables as rows, each with its tag in the document's tree.

use crate::page::{Gauge, Plot};
use crate::report::face::Faces;
use crate::report::picture::Picture;
use crate::report::plot::Sketch;
use crate::report::row::{Behind, Cell, Keep, Mark, Piece, Row};
use crate::report::text::{Style, wrap};
use crate::report::tree::{Place, Tree};
use crate::say;
use crate::words::Words;
use krilla::tagging::{ListNumbering, TableHeaderScope, Tag, TagKind};
use std::num::{NonZeroU16, NonZeroU32};

/// The width between the margins, in points.
pub const WIDTH: f32 = 493.0;
/// Between two columns.
pub const GUTTER: f32 = 8.0;

/// A column: from where, and how wide.
#[derive(Clone, Copy, Debug)]
pub struct Column {
    pub x: f32,
    pub width: f32,
}

/// Columns of these widths with gutters between them; the last takes what is left.
#[must_use]
pub fn columns<const N: usize>(widths: [f32; N]) -> [Column; N] {
    let mut x = 0.0;
    widths.map(|width| {
        let width = if width == 0.0 { WIDTH - x } else { width };
        let column = Column { x, width };
        x += width + GUTTER;
        column
    })
}

impl Column {
    /// From this column's left edge to the other's right edge.
    #[must_use]
    pub fn to(self, last: Column) -> Column {
        Column {
            x: self.x,
            width: last.x + last.width - self.x,
        }
    }
}

/// Rows and tags as they are composed.
pub struct Composer<'a> {
    pub faces: &'a Faces,
    /// The language of the sheet.
    pub words: Words,
    pub tree: Tree,
    pub rows: Vec<Row>,
    pub heads: Vec<Row>,
    /// The part that new parts belong to.
    pub part: Place,
}

impl<'a> Composer<'a> {
    pub fn new(faces: &'a Faces, words: Words) -> Self {
        let (tree, part) = Tree::new(Tag::Part);
        Self {
            faces,
            words,
            tree,
            rows: Vec::new(),
            heads: Vec::new(),
            part,
        }
    }

    /// The text as pieces of a new part of the tree.
    pub fn text(
        &mut self,
        under: Place,
        tag: impl Into<TagKind>,
        style: Style,
        text: &str,
        width: f32,
    ) -> Vec<Piece> {
        let place = self.tree.add(under, tag);
        let lines = wrap(self.faces, style, text, width);
        let piece = |line| Piece {
            mark: Mark::Text(line),
            place,
        };
        lines.into_iter().map(piece).collect()
    }

    /// A picture with what it shows in words.
    pub fn picture(&mut self, under: Place, picture: Picture, says: String) -> Piece {
        let place = self.tree.add(under, Tag::Figure(Some(says)));
        Piece {
            mark: Mark::Picture(picture),
            place,
        }
    }

    /// A heading, which stays with what it heads.
    pub fn heading(&mut self, level: u16, text: &str) {
        let (style, before) = match level {
            1 => (Style::TITLE, 4.0),
            2 => (Style::SECTION, 20.0),
            _ => (Style::PART, 13.0),
        };
        let number = NonZeroU16::new(level).unwrap_or(NonZeroU16::MIN);
        let tag = Tag::Hn(number, Some(text.to_owned()));
        let pieces = self.text(self.part, tag, style, text, WIDTH);
        let mut row = row(vec![Cell { x: 0.0, pieces }]);
        row.before = before;
        row.pad = 2.0;
        row.keep = Keep::Always;
        row.entry = Some((level, text.to_owned()));
        self.rows.push(row);
    }

    /// A paragraph across the sheet.
    pub fn paragraph(&mut self, style: Style, text: &str) {
        let pieces = self.text(self.part, Tag::P, style, text, WIDTH);
        let mut row = row(vec![Cell { x: 0.0, pieces }]);
        row.before = 3.0;
        self.rows.push(row);
    }

    /// A list in a column, as pieces.
    pub fn list(&mut self, items: &[&str], style: Style, width: f32) -> (Vec<Piece>, Vec<Piece>) {
        let list = self.tree.add(self.part, Tag::L(ListNumbering::Disc));
        let (mut bullets, mut texts) = (Vec::new(), Vec::new());
        for item in items {
            let line = self.tree.add(list, Tag::LI);
            let bullet = self.text(line, Tag::Lbl, style, "•", width);
            let text = self.text(line, Tag::LBody, style, item, width);
            let rest = text.len().saturating_sub(bullet.len());
            let gaps = text.iter().rev().take(rest).map(|piece| Piece {
                mark: Mark::Gap(piece.height()),
                place: piece.place,
            });
            bullets.extend(bullet);
            bullets.extend(gaps.collect::<Vec<_>>());
            texts.extend(text);
        }
        (bullets, texts)
    }

    /// Opens a table; its rows are added with [`Composer::line`].
    pub fn table(&mut self, titles: &[(Column, &str)]) -> Table {
        let table = self.tree.add(self.part, Tag::Table);
        if titles.is_empty() {
            let body = self.tree.add(table, Tag::TBody);
            return Table { body, head: None };
        }
        let head = self.tree.add(table, Tag::THead);
        let line = self.tree.add(head, Tag::TR);
        let cells = titles.iter().map(|(column, title)| {
            let tag = Tag::TH(TableHeaderScope::Column);
            let pieces = self.text(line, tag, Style::SOFT, title, column.width);
            cell(*column, pieces)
        });
        let mut row = row(cells.collect());
        row.pad = 3.0;
        row.before = 3.0;
        row.behind = Behind::Ground(crate::report::ink::Ink::Ground);
        row.keep = Keep::Always;
        self.rows.push(row.clone());
        self.heads.push(row);
        let body = self.tree.add(table, Tag::TBody);
        Table {
            body,
            head: Some(self.heads.len() - 1),
        }
    }

    /// Opens a row of a table.
    pub fn line(&mut self, table: &Table) -> Place {
        self.tree.add(table.body, Tag::TR)
    }

    /// A cell that names its row.
    pub fn name(&mut self, line: Place, rows: usize, style: Style, text: &str, column: Column) -> Cell {
        let rows = u32::try_from(rows)
            .ok()
            .and_then(NonZeroU32::new)
            .filter(|rows| rows.get() > 1);
        let tag = Tag::TH(TableHeaderScope::Row).with_row_span(rows);
        let pieces = self.text(line, tag, style, text, column.width);
        cell(column, pieces)
    }

    /// A cell with paragraphs; it takes as many columns of the table as `span` says.
    pub fn cell(&mut self, line: Place, span: u32, texts: &[(Style, &str)], column: Column) -> Cell {
        let span = NonZeroU32::new(span).filter(|span| span.get() > 1);
        let data = self.tree.add(line, Tag::TD.with_col_span(span));
        let pieces = self.paragraphs(data, texts, column.width);
        cell(column, pieces)
    }

    /// A cell with a gauge under its paragraphs.
    pub fn judged(
        &mut self,
        line: Place,
        texts: &[(Style, &str)],
        gauge: Option<&Gauge>,
        column: Column,
    ) -> Cell {
        let data = self.tree.add(line, Tag::TD);
        let mut pieces = self.paragraphs(data, texts, column.width);
        if let Some(gauge) = gauge {
            let place = self
                .tree
                .add(data, Tag::Figure(Some(gauge_in_words(gauge, &self.words))));
            let width = column.width.min(GAUGE_WIDTH);
            let picture = Picture::Gauge {
                gauge: gauge.clone(),
                width,
            };
            pieces.push(Piece {
                mark: Mark::Picture(picture),
                place,
            });
        }
        cell(column, pieces)
    }

    /// A cell with a plot, as wide as its column up to `PLOT_WIDTH`.
    pub fn drawn(&mut self, line: Place, span: u32, plot: &Plot, column: Column) -> Cell {
        let span = NonZeroU32::new(span).filter(|span| span.get() > 1);
        let data = self.tree.add(line, Tag::TD.with_col_span(span));
        let width = column.width.min(PLOT_WIDTH);
        let height = plot
            .rows()
            .map_or(PLOT_HEIGHT, |rows| (rows as f32 + 2.0) * PLOT_ROW);
        let sketch = Sketch::new(self.faces, plot, width, height);
        let piece = self.picture(data, Picture::Plot(sketch), plot.says.clone());
        cell(column, vec![piece])
    }

    fn paragraphs(&mut self, under: Place, texts: &[(Style, &str)], width: f32) -> Vec<Piece> {
        let mut pieces = Vec::new();
        for (style, text) in texts.iter().filter(|(_, text)| !text.trim().is_empty()) {
            pieces.extend(self.text(under, Tag::P, *style, text, width));
        }
        if pieces.is_empty() {
            pieces = self.text(under, Tag::P, Style::SOFT, "–", width);
        }
        pieces
    }
}

/// The widest that a gauge is drawn.
const GAUGE_WIDTH: f32 = 112.0;

/// The widest that a plot is drawn, and how high.
const PLOT_WIDTH: f32 = 348.0;
const PLOT_HEIGHT: f32 = 138.0;
/// The height of one row of a plot of named places.
const PLOT_ROW: f32 = 17.0;

/// What a gauge shows, for those who cannot see it.
fn gauge_in_words(gauge: &Gauge, words: &Words) -> String {
    let guarded: Vec<String> = gauge
        .guard_zones()
        .iter()
        .map(|(from, to)| say!(words, ", not decided from {low} to {high}", low = from, high = to))
        .collect();
    let band = format!("{}{}", gauge.band, guarded.concat());
    match gauge.value {
        Some(value) => say!(
            words,
            "Gauge: band {band}, reading {value} {unit}",
            band = band,
            value = value,
            unit = gauge.unit
        ),
        None => say!(words, "Gauge: band {band}, no reading", band = band),
    }
}

/// A table that is being filled.
pub struct Table {
    body: Place,
    pub head: Option<usize>,
}

/// A cell that fills a column.
#[must_use]
pub fn cell(column: Column, pieces: Vec<Piece>) -> Cell {
    Cell { x: column.x, pieces }
}

/// A plain row.
#[must_use]
pub fn row(cells: Vec<Cell>) -> Row {
    Row {
        cells,
        before: 0.0,
        pad: 0.0,
        rule: false,
        behind: Behind::Nothing,
        keep: Keep::No,
        head: None,
        entry: None,
    }
}

/// A row of a table, with a line above it.
#[must_use]
pub fn table_row(table: &Table, cells: Vec<Cell>) -> Row {
    Row {
        rule: true,
        pad: 2.5,
        head: table.head,
        ..row(cells)
    }
}
