//! The first page: what was done, for which car, who signed, how to recognise the record, and what it proves.

use super::compose::{Column, Composer, GUTTER, WIDTH, cell, columns, row, table_row};
use super::{count, time};
use crate::page::certificate::{Certificate, Signature};
use crate::report::ReportError;
use crate::report::ink::Ink;
use crate::report::picture::{Code, Picture};
use crate::report::row::{Behind, Cell, Mark, Piece};
use crate::report::text::Style;
use crate::report::tree::Place;
use krilla::tagging::Tag;

/// Composes the first page.
///
/// # Errors
/// The final hash cannot be drawn as a code.
pub fn cover(to: &mut Composer<'_>, page: &Certificate) -> Result<(), ReportError> {
    masthead(to, page);
    state(to, page);
    if let Some(section) = page.card.first() {
        to.heading(3, &section.title);
        super::card::answers(to, section);
    }
    signed_by(to, page);
    seals(to, page)?;
    caution(to, page);
    proves(to, page);
    Ok(())
}

fn masthead(to: &mut Composer<'_>, page: &Certificate) {
    let [left, right] = columns([330.0, 0.0]);
    let shop = to.text(to.part, Tag::P, Style::PART, &page.shop, left.width);
    let job = format!("Certificate of job {}", page.number);
    let job = to.text(to.part, Tag::P, Style::PART, &job, right.width);
    to.rows.push(row(vec![cell(left, shop), cell(right, job)]));
    to.heading(1, &page.title);
}

/// The stripe across the whole job, with its state in words.
fn state(to: &mut Composer<'_>, page: &Certificate) {
    let (behind, ink) = if page.closed && !page.practice {
        (Behind::WholeStripe, Ink::Paper)
    } else {
        (Behind::NoWholeStripe, Ink::Text)
    };
    let inner = Column {
        x: 16.0,
        width: WIDTH - 32.0,
    };
    let mut pieces = to.text(
        to.part,
        Tag::P,
        Style::SECTION.ink(ink),
        &state_line(page),
        inner.width,
    );
    pieces.extend(to.text(
        to.part,
        Tag::P,
        Style::BODY.ink(ink),
        &work_line(page),
        inner.width,
    ));
    let mut stripe = row(vec![cell(inner, pieces)]);
    stripe.before = 6.0;
    stripe.pad = 6.0;
    stripe.behind = behind;
    to.rows.push(stripe);
}

fn state_line(page: &Certificate) -> String {
    match (page.practice, page.closed, &page.closed_at) {
        (true, true, _) => "Practice run, finished. It proves nothing about a car.".to_owned(),
        (true, false, _) => "Practice run, not finished. It proves nothing about a car.".to_owned(),
        (false, true, Some(at)) => format!("Closed {}", time(at)),
        (false, true, None) => "Closed".to_owned(),
        (false, false, _) => "Not closed: the work is not finished, or not signed off.".to_owned(),
    }
}

fn work_line(page: &Certificate) -> String {
    let steps = || page.procedures.iter().flat_map(|procedure| &procedure.steps);
    let done = steps().filter(|step| step.done.is_some()).count();
    let released = steps().filter(|step| step.released.is_some()).count();
    let opened = page
        .opened
        .as_ref()
        .map_or_else(String::new, |at| format!("Opened {}. ", time(at)));
    let open = page
        .deviations
        .iter()
        .filter(|deviation| !deviation.settled)
        .count();
    format!(
        "{opened}{done} of {} done, {} released, {}{}, {}.",
        count(steps().count(), "step"),
        count(released, "hold point"),
        count(page.deviations.len(), "deviation"),
        if open > 0 {
            format!(" ({open} not settled)")
        } else {
            String::new()
        },
        entries(page.entries),
    )
}

fn entries(number: u64) -> String {
    if number == 1 {
        "1 entry".to_owned()
    } else {
        format!("{number} entries")
    }
}

/// Everybody who signed, with the last thing that they signed for.
fn signed_by(to: &mut Composer<'_>, page: &Certificate) {
    to.heading(3, "Signed by");
    if page.signatures.is_empty() {
        to.paragraph(Style::BODY, "Nobody has signed for the job yet.");
        return;
    }
    let [who, times, last, when] = columns([110.0, 52.0, 207.0, 0.0]);
    let titles = [
        (who, "Who"),
        (times, "Signatures"),
        (last, "Last signed for"),
        (when, "When"),
    ];
    let table = to.table(&titles);
    for (name, number, signature) in signers(page) {
        let line = to.line(&table);
        let (number, at) = (number.to_string(), time(&signature.at));
        let cells = vec![
            to.name(line, 1, Style::STRONG, name, who),
            to.cell(line, 1, &[(Style::BODY, &number)], times),
            to.cell(line, 1, &[(Style::SMALL, &signature.meaning)], last),
            to.cell(line, 1, &[(Style::SMALL, &at)], when),
        ];
        to.rows.push(table_row(&table, cells));
    }
}

/// Each name once, in the order of first signing.
fn signers(page: &Certificate) -> Vec<(&str, usize, &Signature)> {
    let mut list: Vec<(&str, usize, &Signature)> = Vec::new();
    for signature in &page.signatures {
        match list.iter_mut().find(|(_, _, other)| other.by == signature.by) {
            Some(found) => (found.1, found.2) = (found.1 + 1, signature),
            None => list.push((&signature.name, 1, signature)),
        }
    }
    list
}

fn seals(to: &mut Composer<'_>, page: &Certificate) -> Result<(), ReportError> {
    to.heading(3, "How to recognise the record");
    let side = 104.0;
    let [code, hashes] = columns([side, 0.0]);
    let mut cells = Vec::new();
    if !page.seals.final_hash.is_empty() {
        let picture = Picture::Code(Code::new(&page.seals.final_hash, side)?);
        let says = format!("QR code of the final hash {}", page.seals.final_hash);
        // The code's quiet zone may reach into the margin.
        let code = Column { x: -9.0, ..code };
        cells.push(cell(code, vec![to.picture(to.part, picture, says)]));
    }
    let title = if page.closed {
        "Final hash: SHA-256 of the record's last line; the code holds the same"
    } else {
        "Hash so far: SHA-256 of the last line of a record that is still open"
    };
    let mut pieces = seal(to, title, &page.seals.final_hash, true, hashes.width);
    pieces.extend(seal(
        to,
        "Ledger: SHA-256 of the last line about this job in the shop's ledger",
        &page.seals.ledger_head,
        true,
        hashes.width,
    ));
    pieces.extend(seal(
        to,
        "Root fingerprint: the key from which all trust in this shop begins",
        &page.seals.root_fingerprint,
        false,
        hashes.width,
    ));
    cells.push(cell(hashes, pieces));
    to.rows.push(row(cells));
    Ok(())
}

fn seal(to: &mut Composer<'_>, title: &str, value: &str, hash: bool, width: f32) -> Vec<Piece> {
    let mut pieces = to.text(to.part, Tag::P, Style::SOFT, title, width);
    let (style, value) = match (value.is_empty(), hash) {
        (true, _) => (Style::BODY, "none yet".to_owned()),
        (false, true) => (Style::HASH, grouped(value)),
        (false, false) => (Style::STRONG, value.to_owned()),
    };
    pieces.extend(to.text(to.part, Tag::P, style, &value, width));
    pieces.push(Piece {
        mark: Mark::Gap(4.0),
        place: to.part,
    });
    pieces
}

/// A hash in groups of four digits, eight groups to a line.
#[must_use]
pub fn grouped(hash: &str) -> String {
    let digits: Vec<char> = hash.chars().collect();
    let line = |digits: &[char]| {
        let groups: Vec<String> = digits.chunks(4).map(|group| group.iter().collect()).collect();
        groups.join(" ")
    };
    digits.chunks(32).map(line).collect::<Vec<_>>().join("\n")
}

fn caution(to: &mut Composer<'_>, page: &Certificate) {
    let inner = Column {
        x: 10.0,
        width: WIDTH - 20.0,
    };
    let mut pieces = to.text(to.part, Tag::P, Style::STRONG, "Read this first", inner.width);
    pieces.extend(to.text(to.part, Tag::P, Style::BODY, &page.caution, inner.width));
    let aid = "An aid only: makers' instructions, local code and licensed practitioners first; closed course where the law says so.";
    pieces.extend(to.text(to.part, Tag::P, Style::SOFT, aid, inner.width));
    let mut boxed = row(vec![cell(inner, pieces)]);
    boxed.before = 10.0;
    boxed.pad = 6.0;
    boxed.behind = Behind::Boxed;
    to.rows.push(boxed);
}

fn proves(to: &mut Composer<'_>, page: &Certificate) {
    let half = (WIDTH - GUTTER) / 2.0;
    let right = Column {
        x: half + GUTTER,
        width: half,
    };
    let mut cells = list(
        to,
        "What the signed record proves",
        &page.proves,
        Column { x: 0.0, width: half },
    );
    cells.extend(list(to, "What it cannot prove", &page.proves_not, right));
    let mut lists = row(cells);
    lists.before = 10.0;
    to.rows.push(lists);
}

/// A title, and a list under it: bullets in one cell, texts in the next.
fn list(to: &mut Composer<'_>, title: &str, items: &[&str], column: Column) -> Vec<Cell> {
    let head = to.text(to.part, Tag::P, Style::STRONG, title, column.width);
    let blank: Vec<Piece> = head.iter().map(|piece| gap(piece, to.part)).collect();
    let text = Column {
        x: column.x + 10.0,
        width: column.width - 10.0,
    };
    let (bullets, texts) = to.list(items, Style::BODY, text.width);
    let bullets = blank.iter().cloned().chain(bullets).collect();
    let texts = blank.iter().cloned().chain(texts).collect();
    vec![cell(column, head), cell(column, bullets), cell(text, texts)]
}

fn gap(piece: &Piece, place: Place) -> Piece {
    Piece {
        mark: Mark::Gap(piece.height()),
        place,
    }
}
