//! The first page: what was done, for which car, who signed, how to recognise the record, and what it proves.

use super::compose::{Column, Composer, GUTTER, WIDTH, cell, columns, row, table_row};
use super::time;
use crate::page::certificate::{Certificate, Signature};
use crate::report::ReportError;
use crate::report::ink::Ink;
use crate::report::picture::{Code, Picture};
use crate::report::row::{Behind, Cell, Mark, Piece};
use crate::report::text::Style;
use crate::report::tree::Place;
use crate::say;
use crate::words::Words;
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
    let job = say!(page.words, "Certificate of job {number}", number = page.number);
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
    let words = &page.words;
    match (page.practice, page.closed, &page.closed_at) {
        (true, true, _) => say!(words, "Practice run, finished. It proves nothing about a car."),
        (true, false, _) => say!(
            words,
            "Practice run, not finished. It proves nothing about a car."
        ),
        (false, true, Some(at)) => say!(words, "Closed {at}", at = time(at)),
        (false, true, None) => say!(words, "Closed"),
        (false, false, _) => say!(words, "Not closed: the work is not finished, or not signed off."),
    }
}

fn work_line(page: &Certificate) -> String {
    let words = &page.words;
    let steps = || page.procedures.iter().flat_map(|procedure| &procedure.steps);
    let done = steps().filter(|step| step.done.is_some()).count();
    let released = steps().filter(|step| step.released.is_some()).count();
    let opened = page
        .opened
        .as_ref()
        .map_or_else(String::new, |at| say!(words, "Opened {at}", at = time(at)) + ". ");
    let open = page
        .deviations
        .iter()
        .filter(|deviation| !deviation.settled)
        .count();
    let (all, deviations) = (steps().count() as u64, page.deviations.len() as u64);
    let open = match open {
        0 => String::new(),
        open => say!(words, " ({n} not settled)", n = open),
    };
    let parts = [
        say!(
            words,
            "{done} of {n} step done" | "{done} of {n} steps done",
            n = all,
            done = done
        ),
        say!(
            words,
            "{n} hold point released" | "{n} hold points released",
            n = released as u64
        ),
        say!(words, "{n} deviation" | "{n} deviations", n = deviations) + &open,
        say!(words, "{n} entry" | "{n} entries", n = page.entries),
    ];
    format!("{opened}{}.", parts.join(", "))
}

/// Everybody who signed, with the last thing that they signed for.
fn signed_by(to: &mut Composer<'_>, page: &Certificate) {
    let words = to.words.clone();
    to.heading(3, words.say("Signed by"));
    if page.signatures.is_empty() {
        to.paragraph(Style::BODY, words.say("Nobody has signed for the job yet."));
        return;
    }
    let [who, times, last, when] = columns([110.0, 52.0, 207.0, 0.0]);
    let titles = [
        (who, words.say("Who")),
        (times, words.say("Signatures")),
        (last, words.say("Last signed for")),
        (when, words.say("When")),
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
    let words = to.words.clone();
    to.heading(3, words.say("How to recognise the record"));
    let side = 104.0;
    let [code, hashes] = columns([side, 0.0]);
    let mut cells = Vec::new();
    if !page.seals.final_hash.is_empty() {
        let picture = Picture::Code(Code::new(&page.seals.final_hash, side)?);
        let says = say!(
            words,
            "QR code of the final hash {hash}",
            hash = page.seals.final_hash
        );
        // The code's quiet zone may reach into the margin.
        let code = Column { x: -9.0, ..code };
        cells.push(cell(code, vec![to.picture(to.part, picture, says)]));
    }
    let title = if page.closed {
        words.say("Final hash: SHA-256 of the record's last line; the code holds the same")
    } else {
        words.say("Hash so far: SHA-256 of the last line of a record that is still open")
    };
    let mut pieces = seal(to, title, &page.seals.final_hash, true, hashes.width);
    pieces.extend(seal(
        to,
        words.say("Ledger: SHA-256 of the last line about this job in the shop's ledger"),
        &page.seals.ledger_head,
        true,
        hashes.width,
    ));
    pieces.extend(seal(
        to,
        words.say("Root fingerprint: the key from which all trust in this shop begins"),
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
        (true, _) => (Style::BODY, say!(to.words, "none yet")),
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
    let words = to.words.clone();
    let first = words.say("Read this first");
    let mut pieces = to.text(to.part, Tag::P, Style::STRONG, first, inner.width);
    pieces.extend(to.text(to.part, Tag::P, Style::BODY, &page.caution, inner.width));
    let aid = words.say("An aid only: makers' instructions, local code and licensed practitioners first; closed course where the law says so.");
    pieces.extend(to.text(to.part, Tag::P, Style::SOFT, aid, inner.width));
    let mut boxed = row(vec![cell(inner, pieces)]);
    boxed.before = 10.0;
    boxed.pad = 6.0;
    boxed.behind = Behind::Boxed;
    to.rows.push(boxed);
}

fn proves(to: &mut Composer<'_>, page: &Certificate) {
    let words = to.words.clone();
    let half = (WIDTH - GUTTER) / 2.0;
    let right = Column {
        x: half + GUTTER,
        width: half,
    };
    let mut cells = list(
        to,
        words.say("What the signed record proves"),
        &said(&page.proves, &words),
        Column { x: 0.0, width: half },
    );
    let not = said(&page.proves_not, &words);
    cells.extend(list(to, words.say("What it cannot prove"), &not, right));
    let mut lists = row(cells);
    lists.before = 10.0;
    to.rows.push(lists);
}

fn said<'a>(lines: &'a [&'static str], words: &'a Words) -> Vec<&'a str> {
    lines.iter().map(|line| words.say(line)).collect()
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
