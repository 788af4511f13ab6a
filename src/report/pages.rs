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

/// How full a last page is at least, as a share; a few lines alone are drawn in by closer rows where that is enough.
const LAST: f32 = 0.2;

/// Lays the rows out on as many pages as they need.
#[must_use]
pub fn lay_out(rows: Vec<Row>, heads: &[Row], frame: Frame) -> Vec<Vec<Placed>> {
    let pages = press(rows.clone(), heads, frame);
    let foot = |placed: &Placed| placed.y + placed.row.height() - frame.top;
    let filled = pages.last().and_then(|page| page.last()).map_or(0.0, foot);
    if pages.len() < 2 || filled >= LAST * (frame.bottom - frame.top) {
        return pages;
    }
    let closer = |share: f32| {
        let rows = rows.iter().cloned().map(|row| Row {
            before: row.before * share,
            ..row
        });
        press(rows.collect(), heads, frame)
    };
    let spared = [0.85, 0.7].into_iter().map(closer);
    spared
        .into_iter()
        .find(|closer| closer.len() < pages.len())
        .unwrap_or(pages)
}

fn press(rows: Vec<Row>, heads: &[Row], frame: Frame) -> Vec<Vec<Placed>> {
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::face::{Faces, Weight};
    use crate::report::ink::Ink;
    use crate::report::row::{Behind, Cell, Mark, Piece};
    use crate::report::text::{Style, line};
    use crate::report::tree::{Place, Tree};
    use proptest::prelude::*;

    const FRAME: Frame = Frame {
        top: 50.0,
        bottom: 450.0,
    };

    fn place() -> Place {
        Tree::new(krilla::tagging::Tag::Part).1
    }

    /// A row of this many lines of 12 points, with its text as a mark to find it by.
    fn row(text: &str, lines: usize, keep: Keep, head: Option<usize>) -> Row {
        let faces = Faces::new().expect("the faces are compiled in");
        let style = Style {
            size: 8.0,
            leading: 12.0,
            weight: Weight::Plain,
            ink: Ink::Text,
            cell: None,
        };
        let piece = |number| Piece {
            mark: Mark::Text(line(&faces, style, &format!("{text}{number}"))),
            place: place(),
        };
        Row {
            cells: vec![Cell {
                x: 0.0,
                pieces: (0..lines).map(piece).collect(),
            }],
            before: 4.0,
            pad: 2.0,
            rule: false,
            behind: Behind::Nothing,
            keep,
            head,
            entry: None,
        }
    }

    fn texts(page: &[Placed]) -> Vec<String> {
        let pieces = page
            .iter()
            .flat_map(|placed| placed.row.cells.iter().flat_map(|cell| &cell.pieces));
        pieces
            .filter_map(|piece| match &piece.mark {
                Mark::Text(line) => Some(line.text.clone()),
                _ => None,
            })
            .collect()
    }

    #[test]
    fn a_heading_goes_to_the_page_of_what_it_heads() {
        let rows = vec![
            row("a", 28, Keep::No, None),
            row("heading", 1, Keep::Always, None),
            row("b", 3, Keep::No, None),
        ];
        let pages = lay_out(rows, &[], FRAME);
        assert_eq!(pages.len(), 2);
        assert_eq!(texts(&pages[1])[0], "heading0");
    }

    #[test]
    fn a_group_stays_together_unless_it_is_too_tall() {
        let group = |lines| {
            vec![
                row("a", 27, Keep::No, None),
                row("b", lines, Keep::Group, None),
                row("c", 3, Keep::No, None),
            ]
        };
        assert_eq!(texts(&lay_out(group(3), &[], FRAME)[1])[0], "b0");
        assert!(texts(&lay_out(group(30), &[], FRAME)[0]).len() > 27);
    }

    #[test]
    fn a_head_stands_again_on_each_page() {
        let heads = [row("head", 1, Keep::Always, None)];
        let rows: Vec<Row> = (0..60).map(|_| row("x", 2, Keep::No, Some(0))).collect();
        let pages = lay_out(rows, &heads, FRAME);
        assert!(pages.len() > 3);
        for page in &pages {
            assert!(page[0].again && texts(page)[0] == "head0");
            assert_eq!(page.iter().filter(|placed| placed.again).count(), 1);
        }
    }

    #[test]
    fn a_last_page_of_a_few_lines_is_drawn_in() {
        // 25 rows of 12 points with 4 before each: two lines too many for the page, unless they stand closer.
        let rows = |count| {
            (0..count)
                .map(|_| row("x", 1, Keep::No, None))
                .collect::<Vec<Row>>()
        };
        let loose = |count| press(rows(count), &[], FRAME).len();
        let many = (1..40)
            .find(|count| loose(*count) == 2)
            .expect("they need a second page");
        assert_eq!(lay_out(rows(many), &[], FRAME).len(), 1);
        assert_eq!(lay_out(rows(many + 15), &[], FRAME).len(), 2);
    }

    #[test]
    fn a_row_leaves_at_least_three_lines_on_each_side() {
        for above in 20..32 {
            let rows = vec![row("a", above, Keep::No, None), row("long", 20, Keep::No, None)];
            let pages = lay_out(rows, &[], FRAME);
            let here = texts(&pages[0])
                .iter()
                .filter(|text| text.starts_with("long"))
                .count();
            assert!(
                here == 0 || (3..=17).contains(&here) || here == 20,
                "{above}: {here}"
            );
        }
    }

    proptest! {
        #[test]
        fn every_line_stands_once_in_order_inside_its_page(
            shape in prop::collection::vec((1usize..70, 0u8..3, any::<bool>()), 0..40),
        ) {
            let keeps = [Keep::No, Keep::Group, Keep::Always];
            let rows: Vec<Row> = shape
                .iter()
                .map(|(lines, keep, head)| row("x", *lines, keeps[usize::from(*keep)], head.then_some(0)))
                .collect();
            let expected: Vec<String> = shape.iter().flat_map(|(lines, ..)| (0..*lines).map(|n| format!("x{n}"))).collect();
            let pages = lay_out(rows, &[row("head", 1, Keep::Always, None)], FRAME);
            let mut found = Vec::new();
            for page in &pages {
                for placed in page {
                    prop_assert!(placed.y >= FRAME.top && placed.y + placed.row.height() <= FRAME.bottom + 0.02);
                }
                prop_assert!(page.windows(2).all(|two| two[0].y + two[0].row.height() <= two[1].y + 0.02));
                let own: Vec<Placed> = page.iter().filter(|placed| !placed.again).cloned().collect();
                found.extend(texts(&own));
            }
            prop_assert_eq!(found, expected);
        }
    }
}
