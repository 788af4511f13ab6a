//! The job card and the figures that follow from it.

use super::compose::{Composer, columns, table_row};
use crate::page::certificate::{CardSection, Certificate, verdict_text};
use crate::page::step::FigureView;
use crate::report::row::Keep;
use crate::report::text::Style;
use crate::to_say;
use crate::words::Words;

/// The line that a gauge stands beside.
const JUDGED: &str = to_say!("Judged");

/// The groups of the job card that do not stand on the first page.
pub fn card(to: &mut Composer<'_>, page: &Certificate) {
    if page.card.len() < 2 {
        return;
    }
    let words = to.words.clone();
    to.heading(2, words.say("Job card"));
    for section in page.card.iter().skip(1) {
        to.heading(3, &section.title);
        answers(to, section);
    }
}

/// The answers of a group, two to a row.
pub fn answers(to: &mut Composer<'_>, section: &CardSection) {
    let columns = columns([112.0, 122.0, 112.0, 0.0]);
    let table = to.table(&[]);
    for pair in section.answers.chunks(2) {
        let line = to.line(&table);
        let mut cells = Vec::new();
        for (place, (label, answer)) in pair.iter().enumerate() {
            let wide = pair.len() == 1;
            let value = if wide {
                columns[1].to(columns[3])
            } else {
                columns[2 * place + 1]
            };
            cells.push(to.name(line, 1, Style::SOFT, label, columns[2 * place]));
            cells.push(to.cell(line, if wide { 3 } else { 1 }, &[(Style::BODY, answer)], value));
        }
        to.rows.push(table_row(&table, cells));
    }
}

/// Every figure of the card, with its equation and its sources.
pub fn figures(to: &mut Composer<'_>, page: &Certificate) {
    if page.figures.is_empty() {
        return;
    }
    let words = to.words.clone();
    to.heading(2, words.say("Figures worked out for this car"));
    for figure in &page.figures {
        figure_rows(to, figure);
    }
}

fn figure_rows(to: &mut Composer<'_>, figure: &FigureView) {
    // Where no output is judged, the result is all of them, and they stand below with their names.
    match figure.verdict {
        Some(_) => to.heading(3, &format!("{}: {}", figure.label, figure.result)),
        None => to.heading(3, &figure.label),
    }
    let words = to.words.clone();
    let [label, rest] = columns([92.0, 0.0]);
    let table = to.table(&[]);
    let lines = lines(figure, &words);
    if let Some(plot) = &figure.plot {
        let line = to.line(&table);
        let cells = vec![
            to.name(line, 1, Style::SOFT, words.say("Drawn"), label),
            to.drawn(line, 1, plot, rest),
        ];
        let mut row = table_row(&table, cells);
        row.keep = Keep::Group;
        to.rows.push(row);
    }
    for (place, (name, text)) in lines.iter().enumerate() {
        let line = to.line(&table);
        let title = to.name(line, 1, Style::SOFT, words.say(name), label);
        let texts = [(Style::BODY, text.as_str())];
        let gauge = figure.gauge.as_ref().filter(|_| *name == JUDGED);
        let cells = vec![title, to.judged(line, &texts, gauge, rest)];
        let mut row = table_row(&table, cells);
        row.keep = if place + 1 < lines.len() {
            Keep::Group
        } else {
            Keep::No
        };
        to.rows.push(row);
    }
}

/// A figure's way from its inputs to its verdict, without what there is nothing to say about.
fn lines(figure: &FigureView, words: &Words) -> Vec<(&'static str, String)> {
    let joined = |values: &[(String, String)]| {
        let one = |(name, value): &(String, String)| format!("{name} = {value}");
        values.iter().map(one).collect::<Vec<_>>().join("; ")
    };
    let judged = [words.say(verdict_text(figure.verdict)), &figure.band].join("; ");
    let mut lines = vec![
        (JUDGED, judged.trim_matches([';', ' ']).to_owned()),
        (to_say!("Worked out by"), figure.calculator.clone()),
        (to_say!("Equation"), figure.equation.clone()),
        (to_say!("From"), joined(&figure.inputs)),
        (to_say!("Gives"), joined(&figure.outputs)),
        (to_say!("Source"), figure.sources.join("\n")),
        (to_say!("Note"), figure.notes.join("\n")),
    ];
    lines.retain(|(_, text)| !text.is_empty());
    lines
}
