//! Rows: everything on the sheet is a row of cells, and a cell is a column of lines and pictures.

use super::ink::Ink;
use super::picture::Picture;
use super::text::Line;
use super::tree::Place;

/// What stands in a cell, one under the other.
#[derive(Clone, Debug)]
pub enum Mark {
    Text(Line),
    Picture(Picture),
    Gap(f32),
}

/// A mark with the part of the document that it belongs to.
#[derive(Clone, Debug)]
pub struct Piece {
    pub mark: Mark,
    pub place: Place,
}

impl Piece {
    /// In points.
    #[must_use]
    pub fn height(&self) -> f32 {
        match &self.mark {
            Mark::Text(line) => line.style.leading,
            Mark::Picture(picture) => picture.height(),
            Mark::Gap(height) => *height,
        }
    }
}

/// A column of pieces; `x` counts from the left margin.
#[derive(Clone, Debug)]
pub struct Cell {
    pub x: f32,
    pub pieces: Vec<Piece>,
}

impl Cell {
    fn height(&self) -> f32 {
        self.pieces.iter().map(Piece::height).sum()
    }

    /// The pieces that fit into the height, and the others.
    fn split(self, height: f32) -> (Cell, Cell) {
        let mut sum = 0.0;
        let fits = |piece: &&Piece| {
            sum += piece.height();
            sum <= height + 0.01
        };
        let count = self.pieces.iter().take_while(fits).count();
        let (mut first, mut rest) = (self.clone(), self);
        first.pieces.truncate(count);
        rest.pieces.drain(..count);
        (first, rest)
    }
}

/// How strongly a row holds on to the next.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Keep {
    /// The next may stand on another page.
    No,
    /// Together where the whole group is not too tall.
    Group,
    /// Always together, as a heading with what it heads.
    Always,
}

/// What lies behind a row's text.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Behind {
    Nothing,
    /// A plain ground.
    Ground(Ink),
    /// A box with a line around it.
    Boxed,
    /// A heavy bar at the left, for what wants a second look.
    Bar,
    /// The witness stripe across a step that was done.
    Stripe,
    /// The place where the stripe would be.
    NoStripe,
    /// The stripe across the whole certificate.
    WholeStripe,
    /// The certificate's stripe, not yet drawn.
    NoWholeStripe,
}

/// A row of cells.
#[derive(Clone, Debug)]
pub struct Row {
    pub cells: Vec<Cell>,
    /// Above the row, unless it begins a page.
    pub before: f32,
    /// Above and below the pieces.
    pub pad: f32,
    /// A line above the row.
    pub rule: bool,
    pub behind: Behind,
    pub keep: Keep,
    /// Which of the heads stands above the row again where it begins a page.
    pub head: Option<usize>,
    /// The heading's level and text, for the outline.
    pub entry: Option<(u16, String)>,
}

/// The least number of points that a split leaves on each side: three lines.
const LEAST: f32 = 36.0;

impl Row {
    /// In points, without the space before it.
    #[must_use]
    pub fn height(&self) -> f32 {
        self.cells.iter().map(Cell::height).fold(0.0, f32::max) + 2.0 * self.pad
    }

    /// The least height that the row takes at the end of a page.
    #[must_use]
    pub fn least(&self) -> f32 {
        let mut pieces = self.cells.iter().flat_map(|cell| &cell.pieces);
        let whole = pieces.any(|piece| piece.height() > LEAST);
        if !whole && self.height() > 2.0 * LEAST + 2.0 * self.pad {
            LEAST + 2.0 * self.pad
        } else {
            self.height()
        }
    }

    /// What fits into `height`, and what goes to the next page; nothing if the row would split badly.
    #[must_use]
    pub fn split(&self, height: f32) -> Option<(Row, Row)> {
        let room = height - 2.0 * self.pad;
        let whole = self.height() - 2.0 * self.pad;
        // The rest keeps at least three lines as well, and some piece has to move forward.
        let room = room.min(whole - LEAST).max(LEAST);
        if whole < 2.0 * LEAST || room + 2.0 * self.pad > height + 0.01 {
            return None;
        }
        let cells = self.cells.iter().cloned().map(|cell| cell.split(room));
        let (first, rest): (Vec<Cell>, Vec<Cell>) = cells.unzip();
        let moved = |cells: &[Cell]| cells.iter().any(|cell| !cell.pieces.is_empty());
        if !moved(&first) || !moved(&rest) {
            return None;
        }
        let (mut head, mut tail) = (self.clone(), self.clone());
        head.cells = first;
        head.keep = Keep::No;
        tail.cells = rest;
        tail.before = 0.0;
        tail.entry = None;
        Some((head, tail))
    }
}
