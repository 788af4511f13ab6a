//! What went otherwise, and every signature with its meaning.

use super::compose::{Composer, columns, row, table_row};
use super::time;
use crate::page::certificate::Certificate;
use crate::report::row::{Behind, Keep};
use crate::report::sheet::compose::{Column, WIDTH, cell};
use crate::report::text::Style;
use crate::say;
use krilla::tagging::Tag;

/// Each deviation with its whole course and its outcome.
pub fn deviations(to: &mut Composer<'_>, page: &Certificate) {
    let words = to.words.clone();
    to.heading(2, words.say("Deviations"));
    if page.deviations.is_empty() {
        to.paragraph(Style::BODY, words.say("None was opened."));
        return;
    }
    for deviation in &page.deviations {
        to.heading(
            3,
            &say!(
                words,
                "Deviation {n}: {outcome}",
                n = deviation.number,
                outcome = deviation.outcome
            ),
        );
        let inner = Column {
            x: 10.0,
            width: WIDTH - 10.0,
        };
        let what = say!(
            words,
            "At step {step}: {what}",
            step = deviation.step,
            what = deviation.what
        );
        let texts: Vec<(Style, &str)> = std::iter::once((Style::STRONG, what.as_str()))
            .chain(deviation.course.iter().map(|line| (Style::BODY, line.as_str())))
            .collect();
        for (place, (style, text)) in texts.iter().enumerate() {
            let pieces = to.text(to.part, Tag::P, *style, text, inner.width);
            let mut line = row(vec![cell(inner, pieces)]);
            line.behind = Behind::Bar;
            line.pad = 1.5;
            line.keep = if place + 1 < texts.len() {
                Keep::Group
            } else {
                Keep::No
            };
            to.rows.push(line);
        }
    }
}

/// Every signature in the order of the record.
pub fn signatures(to: &mut Composer<'_>, page: &Certificate) {
    let words = to.words.clone();
    to.heading(2, words.say("Signatures"));
    if page.signatures.is_empty() {
        to.paragraph(Style::BODY, words.say("Nobody has signed for the job yet."));
        return;
    }
    let [entry, at, who, meaning] = columns([34.0, 106.0, 128.0, 0.0]);
    let titles = [
        (entry, words.say("Entry")),
        (at, words.say("When")),
        (who, words.say("Who")),
        (meaning, words.say("Signed for")),
    ];
    let table = to.table(&titles);
    for signature in &page.signatures {
        let line = to.line(&table);
        let id = if signature.by == signature.name {
            ""
        } else {
            signature.by.as_str()
        };
        let cells = vec![
            to.name(line, 1, Style::BODY, &signature.entry.to_string(), entry),
            to.cell(line, 1, &[(Style::SMALL, &time(&signature.at))], at),
            to.cell(
                line,
                1,
                &[(Style::STRONG, &signature.name), (Style::SOFT, id)],
                who,
            ),
            to.cell(line, 1, &[(Style::BODY, &signature.meaning)], meaning),
        ];
        to.rows.push(table_row(&table, cells));
    }
}
