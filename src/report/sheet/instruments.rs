//! The instruments that readings were taken with, and the rule that judged them.

use super::compose::{Composer, columns, table_row};
use crate::page::certificate::Certificate;
use crate::report::text::Style;

/// Each instrument with its calibration, its uncertainty and the proof of it.
pub fn instruments(to: &mut Composer<'_>, page: &Certificate) {
    let words = to.words.clone();
    to.heading(2, words.say("Instruments"));
    to.paragraph(Style::BODY, &page.decision);
    if page.instruments.is_empty() {
        to.paragraph(Style::BODY, words.say("No reading was taken with an instrument."));
        return;
    }
    let [what, calibrated, uncertainty, certificate] = columns([150.0, 84.0, 110.0, 0.0]);
    let titles = [
        (what, words.say("Instrument, serial number")),
        (calibrated, words.say("Calibrated")),
        (uncertainty, words.say("Expanded uncertainty")),
        (certificate, words.say("Calibration certificate")),
    ];
    let table = to.table(&titles);
    for instrument in &page.instruments {
        let line = to.line(&table);
        let name = [
            (Style::STRONG, instrument.name.as_str()),
            (Style::SMALL, instrument.serial.as_str()),
        ];
        let cells = vec![
            to.cell(line, 1, &name, what),
            to.cell(line, 1, &[(Style::SMALL, &instrument.calibrated)], calibrated),
            to.cell(line, 1, &[(Style::SMALL, &instrument.uncertainty)], uncertainty),
            to.cell(line, 1, &[(Style::SMALL, &instrument.certificate)], certificate),
        ];
        to.rows.push(table_row(&table, cells));
    }
}
