//! Rows to pages: no heading is left alone, no row splits badly, table heads stand again on each page.

use super::row::{Keep, Row};

/// A row on its page; `y` is its upper edge in points from the page's upper edge.
#[derive(Clone, Debug)]
pub struct Placed {
    pub row: Row,
    pub y: f32,
    /// A head that was already read out on an earlier page.
    pub again: bool,
}

/// Where rows may stand on a page.
#[derive(Clone, Copy, Debug)]
pub struct Frame {
    pub top: f32,
    pub bottom: f32,
}

/// Lays the rows out on as many pages as they need.
#[must_use]
pub fn lay_out(rows: Vec<Row>, heads: &[Row], frame: Frame) -> Vec<Vec<Placed>> {
    let mut press = Press {
        heads,
        frame,
        y: frame.top,
        pages: vec![Vec::new()],
    };
    let mut rest = rows.into_iter().collect::<std::collections::VecDeque<Row>>();
    while !rest.is_empty() {
        let group = group(&rest, frame.bottom - frame.top);
        let need = height(rest.iter().take(group));
        if need > press.room() && !press.fresh() {
            press.turn();
        }
        for row in rest.drain(..group).collect::<Vec<_>>() {
            press.put(row);
        }
    }
    press.pages
}

/// How many of the first rows stay together.
fn group(rows: &std::collections::VecDeque<Row>, page: f32) -> usize {
    let chain = |least: fn(Keep) -> bool| rows.iter().take_while(|row| least(row.keep)).count() + 1;
    let soft = chain(|keep| keep != Keep::No).min(rows.len());
    if height(rows.iter().take(soft)) <= page * 0.45 {
        return soft;
    }
    chain(|keep| keep == Keep::Always).min(rows.len())
}

/// The least height of rows that stay together.
fn height<'a>(rows: impl Iterator<Item = &'a Row>) -> f32 {
    let rows: Vec<&Row> = rows.collect();
    let last = rows.len().saturating_sub(1);
    let one =
        |(place, row): (usize, &&Row)| row.before + if place == last { row.least() } else { row.height() };
    rows.iter().enumerate().map(one).sum()
}

struct Press<'a> {
    heads: &'a [Row],
    frame: Frame,
    y: f32,
    pages: Vec<Vec<Placed>>,
}

impl Press<'_> {
    fn room(&self) -> f32 {
        self.frame.bottom - self.y
    }

    fn fresh(&self) -> bool {
        self.pages.last().is_none_or(Vec::is_empty)
    }

    fn turn(&mut self) {
        self.pages.push(Vec::new());
        self.y = self.frame.top;
    }

    fn put(&mut self, row: Row) {
        let mut next = Some(row);
        while let Some(row) = next.take() {
            self.head(&row);
            let before = if self.fresh() { 0.0 } else { row.before };
            if before + row.height() <= self.room() + 0.01 {
                self.place(row, before);
            } else if let Some((first, rest)) = row.split(self.room() - before) {
                self.place(first, before);
                self.turn();
                next = Some(rest);
            } else if self.only_heads() {
                // Nothing more can be done for a picture taller than a page, and none is drawn.
                self.place(row, before);
            } else {
                self.turn();
                next = Some(row);
            }
        }
    }

    /// The row's head stands again where the row begins a page.
    fn head(&mut self, row: &Row) {
        let Some(head) = row.head.filter(|_| self.fresh()) else {
            return;
        };
        if let Some(head) = self.heads.get(head).cloned() {
            let y = self.y;
            self.y += head.height();
            self.push(Placed {
                row: head,
                y,
                again: true,
            });
        }
    }

    fn only_heads(&self) -> bool {
        self.pages
            .last()
            .is_none_or(|page| page.iter().all(|placed| placed.again))
    }

    fn place(&mut self, row: Row, before: f32) {
        let y = self.y + before;
        self.y = y + row.height();
        self.push(Placed { row, y, again: false });
    }

    fn push(&mut self, placed: Placed) {
        if let Some(page) = self.pages.last_mut() {
            page.push(placed);
        }
    }
}
