//! The procedures: each step with its command, its readings, its verdicts in words, and who signed when.

use super::compose::{Column, Composer, Table, columns, table_row};
use super::time;
use crate::page::Plot;
use crate::page::certificate::{Certificate, CertificateProcedure, CertificateStep, verdict_text};
use crate::page::sign::CoveredValue;
use crate::report::ink::Ink;
use crate::report::row::{Behind, Cell, Keep, Row};
use crate::report::text::Style;
use crate::report::tree::Place;
use crate::say;
use crate::to_say;
use crate::words::Words;
use chrono::{DateTime, FixedOffset};

/// Number, command or reading, value, band, and who or how it was judged.
type Columns = [Column; 5];

/// All procedures of the job.
pub fn procedures(to: &mut Composer<'_>, page: &Certificate) {
    if page.procedures.is_empty() {
        return;
    }
    let words = to.words.clone();
    to.heading(2, words.say("Procedures"));
    to.paragraph(
        Style::SOFT,
        words.say("A stripe of paint lies across every step that was marked as done. A step without a stripe was not done."),
    );
    if let Some(intro) = to.rows.last_mut() {
        intro.keep = Keep::Always;
    }
    for procedure in &page.procedures {
        one(to, procedure);
    }
}

fn one(to: &mut Composer<'_>, procedure: &CertificateProcedure) {
    let words = to.words.clone();
    let title = say!(
        words,
        "{title} (revision {revision})",
        title = procedure.title,
        revision = procedure.revision
    );
    to.heading(3, &title);
    if procedure.steps.is_empty() {
        to.paragraph(
            Style::BODY,
            words.say("No step of this procedure applies to this car."),
        );
        return;
    }
    let columns = columns([26.0, 166.0, 62.0, 104.0, 0.0]);
    let [number, what, value, band, who] = columns;
    let titles = [
        (number, words.say("No.")),
        (what, words.say("Step, and what was read")),
        (value, words.say("Value")),
        (band, words.say("Band")),
        (who, words.say("Who and when; verdict")),
    ];
    let table = to.table(&titles);
    for step in &procedure.steps {
        let first = to.rows.len();
        rows(to, &table, &columns, step);
        let count = to.rows.len();
        for row in &mut to.rows[first..count - 1] {
            if row.keep == Keep::No {
                row.keep = Keep::Group;
            }
        }
    }
}

fn rows(to: &mut Composer<'_>, table: &Table, columns: &Columns, step: &CertificateStep) {
    let [_, what, _, band, who] = *columns;
    let points = points(step, &to.words);
    let plots = step
        .line
        .values
        .iter()
        .filter(|value| value.plot.is_some())
        .count();
    let under = step.line.values.len() + plots + points.len() + step.deviations.len();
    command(to, table, columns, step, 1 + under);
    for value in &step.line.values {
        reading(to, table, columns, value);
        if let Some(drawn) = &value.plot {
            if let Some(row) = to.rows.last_mut() {
                row.keep = Keep::Always;
            }
            plot(to, table, columns, drawn);
        }
    }
    for (says, signed) in &points {
        let line = to.line(table);
        let cells = vec![
            to.cell(line, 3, &[(Style::STRONG, says)], what.to(band)),
            to.cell(line, 1, &[(Style::SMALL, signed)], who),
        ];
        to.rows.push(table_row(table, cells));
    }
    for deviation in &step.deviations {
        let line = to.line(table);
        let cells = vec![to.cell(line, 4, &[(Style::SMALL, deviation)], what.to(who))];
        to.rows.push(sub(table, cells, Behind::Bar));
    }
}

/// The step's own row, on its stripe; its number stands for all `rows` of the step.
fn command(to: &mut Composer<'_>, table: &Table, columns: &Columns, step: &CertificateStep, rows: usize) {
    let [number, what, _, band, who] = *columns;
    let (behind, ink) = match step.done {
        Some(_) => (Behind::Stripe, Ink::Paper),
        None => (Behind::NoStripe, Ink::Text),
    };
    let signed = match &step.done {
        Some((at, name)) => format!("{name}\n{}", time(at)),
        None => say!(to.words, "not done"),
    };
    let by = &step.line.by;
    let alone = step.done.as_ref().is_some_and(|(_, name)| *by == [name.as_str()]);
    let worked = if alone || by.is_empty() {
        String::new()
    } else {
        say!(to.words, "Worked on by {who}", who = by.join(", "))
    };
    let line = to.line(table);
    let inner = Column {
        x: number.x + 6.0,
        ..number
    };
    let texts = [
        (Style::STRONG, step.line.command.as_str()),
        (Style::SMALL, worked.as_str()),
    ];
    let cells = vec![
        to.name(
            line,
            rows,
            Style::STRONG.ink(ink),
            &step.number.to_string(),
            inner,
        ),
        to.cell(line, 3, &texts, what.to(band)),
        to.cell(line, 1, &[(Style::SMALL, &signed)], who),
    ];
    to.rows.push(sub(table, cells, behind));
}

/// A row with something behind it.
fn sub(table: &Table, cells: Vec<Cell>, behind: Behind) -> Row {
    Row {
        behind,
        ..table_row(table, cells)
    }
}

fn reading(to: &mut Composer<'_>, table: &Table, columns: &Columns, covered: &CoveredValue) {
    let [_, what, value, band, who] = *columns;
    let line: Place = to.line(table);
    let fails = covered.verdict.is_some_and(|verdict| verdict.fails());
    let style = if fails { Style::STRONG } else { Style::BODY };
    let verdict = match (fails, to.words.say(verdict_text(covered.verdict))) {
        (true, words) => format!("▲ {words}"),
        (false, "") => say!(to.words, "no band judges it"),
        (false, words) => words.to_owned(),
    };
    let shown = [(Style::STRONG, covered.shown.as_str())];
    let limits = [(Style::SMALL, covered.band.as_str())];
    let named = [
        (Style::BODY, covered.label.as_str()),
        (Style::SMALL, covered.with.as_str()),
    ];
    let mut cells = vec![to.cell(line, 1, &named, what)];
    if covered.band.is_empty() && covered.gauge.is_none() {
        // Nothing to hold it against: the value may be long, and takes the band's column too.
        cells.push(to.cell(line, 2, &shown, value.to(band)));
    } else {
        cells.push(to.cell(line, 1, &shown, value));
        cells.push(to.judged(line, &limits, covered.gauge.as_ref(), band));
    }
    cells.push(to.cell(line, 1, &[(style, &verdict)], who));
    let behind = if fails { Behind::Bar } else { Behind::Nothing };
    to.rows.push(sub(table, cells, behind));
}

/// A figure's plot, with what it leaves out beside it.
fn plot(to: &mut Composer<'_>, table: &Table, columns: &Columns, plot: &Plot) {
    let [_, what, _, band, who] = *columns;
    let line = to.line(table);
    let notes = plot.notes.join("\n");
    let mut cells = vec![to.drawn(line, if notes.is_empty() { 4 } else { 3 }, plot, what.to(band))];
    if !notes.is_empty() {
        cells.push(to.cell(line, 1, &[(Style::SOFT, &notes)], who));
    }
    to.rows.push(Row {
        rule: false,
        pad: 4.0,
        ..table_row(table, cells)
    });
}

/// Hold and witness points in words, with who and when.
fn points(step: &CertificateStep, words: &Words) -> Vec<(String, String)> {
    let signed = |at: &DateTime<FixedOffset>, name: &str| format!("{name}\n{}", time(at));
    let mut points = Vec::new();
    if let Some((at, name, attended)) = &step.witnessed {
        let says = if *attended {
            to_say!("Witness point: attended")
        } else {
            to_say!("Witness point: called, not attended")
        };
        points.push((words.say(says).to_owned(), signed(at, name)));
    }
    if let Some((at, name)) = &step.released {
        points.push((say!(words, "Hold point: released"), signed(at, name)));
    }
    points
}
