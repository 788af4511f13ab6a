//! The small drawings: a gauge beside a reading, a figure's plot, and the final hash as a code.

use super::ReportError;
use super::brush::Brush;
use super::ink::Ink;
use crate::page::Gauge;
use qrcode::{Color, EcLevel, QrCode};

/// A drawing in a cell.
#[derive(Clone, Debug)]
pub enum Picture {
    Gauge { gauge: Gauge, width: f32 },
    Code(Code),
    Plot(super::plot::Sketch),
}

/// A QR code with its quiet zone.
#[derive(Clone, Debug)]
pub struct Code {
    /// The modules, row by row; true is dark.
    dark: Vec<bool>,
    modules: usize,
    side: f32,
}

/// The gauge's height in points.
const GAUGE: f32 = 17.0;
/// The quiet zone that ISO/IEC 18004 asks for around a QR code, in modules (from memory).
const QUIET: usize = 4;

impl Code {
    /// The text as a code of this side in points.
    ///
    /// # Errors
    /// The text is too long for a code.
    pub fn new(text: &str, side: f32) -> Result<Self, ReportError> {
        let code =
            QrCode::with_error_correction_level(text, EcLevel::M).map_err(|error| ReportError::Code {
                why: error.to_string(),
            })?;
        Ok(Self {
            dark: code
                .to_colors()
                .into_iter()
                .map(|colour| colour == Color::Dark)
                .collect(),
            modules: code.width(),
            side,
        })
    }

    /// Each dark run of a row: column, row and length in modules, the quiet zone counted in.
    fn runs(&self) -> Vec<(usize, usize, usize)> {
        let mut runs = Vec::new();
        for (row, line) in self.dark.chunks(self.modules.max(1)).enumerate() {
            let mut column = 0;
            for run in line.chunk_by(|one, next| one == next) {
                if run[0] {
                    runs.push((column + QUIET, row + QUIET, run.len()));
                }
                column += run.len();
            }
        }
        runs
    }
}

impl Picture {
    /// In points.
    #[must_use]
    pub fn height(&self) -> f32 {
        match self {
            Picture::Gauge { .. } => GAUGE,
            Picture::Code(code) => code.side,
            Picture::Plot(sketch) => sketch.height,
        }
    }

    /// In points.
    #[must_use]
    pub fn width(&self) -> f32 {
        match self {
            Picture::Gauge { width, .. } => *width,
            Picture::Code(code) => code.side,
            Picture::Plot(sketch) => sketch.width,
        }
    }

    /// Draws with the upper left corner here.
    pub(super) fn draw(&self, brush: &mut Brush<'_, '_>, x: f32, y: f32) {
        match self {
            Picture::Gauge { gauge, width } => draw_gauge(brush, gauge, x, y, *width),
            Picture::Code(code) => draw_code(brush, code, x, y),
            Picture::Plot(sketch) => sketch.draw(brush, x, y),
        }
    }
}

/// The scale as a line with ticks, the band as a bar on it, the reading as a pointer from above.
fn draw_gauge(brush: &mut Brush<'_, '_>, gauge: &Gauge, x: f32, y: f32, width: f32) {
    let place = |number: f64| x + 3.0 + gauge.place(number) as f32 * (width - 6.0);
    let base = y + 13.0;
    brush.rect(Ink::Rule, x + 3.0, base, width - 6.0, 0.6);
    for tick in &gauge.ticks {
        brush.rect(Ink::Rule, place(*tick) - 0.25, base, 0.5, 2.6);
    }
    let low = gauge.low.unwrap_or(gauge.from);
    let high = gauge.high.unwrap_or(gauge.to);
    // A band of one value is still seen.
    let (left, right) = (place(low), place(high).max(place(low) + 1.2));
    brush.rect(Ink::Paint, left, base - 3.0, right - left, 3.0);
    // The guarded ends: paper with strokes across, so that they are told from the band without colour.
    for (from, to) in gauge.guard_zones() {
        let (left, right) = (place(from), place(to));
        brush.rect(Ink::Paper, left, base - 3.0, right - left, 3.0);
        let strokes = ((right - left) / 1.6).floor() as usize;
        for stroke in 0..=strokes.min(80) {
            brush.rect(Ink::Text, left + stroke as f32 * 1.6, base - 3.0, 0.4, 3.0);
        }
    }
    for end in [gauge.low, gauge.high].into_iter().flatten() {
        brush.rect(Ink::Text, place(end) - 0.4, base - 4.6, 0.8, 5.6);
    }
    if let Some(value) = gauge.value {
        let at = place(value);
        brush.polygon(
            Ink::Text,
            &[(at - 3.0, y + 2.0), (at + 3.0, y + 2.0), (at, base - 3.6)],
        );
        brush.rect(Ink::Text, at - 0.3, base - 3.8, 0.6, 4.4);
    }
}

fn draw_code(brush: &mut Brush<'_, '_>, code: &Code, x: f32, y: f32) {
    let module = code.side / (code.modules + 2 * QUIET) as f32;
    brush.rect(Ink::Paper, x, y, code.side, code.side);
    let runs = code.runs();
    let squares = runs.iter().map(|&(column, row, length)| {
        let at = |modules: usize| modules as f32 * module;
        (x + at(column), y + at(row), at(length), module)
    });
    brush.rects(Ink::Text, squares);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_code_keeps_its_quiet_zone_and_all_its_dark_modules() {
        let code = Code::new(&"0123456789abcdef".repeat(4), 100.0).expect("64 letters fit");
        let runs = code.runs();
        let side = code.modules + 2 * QUIET;
        let inside = |run: &(usize, usize, usize)| {
            run.0 >= QUIET && run.1 >= QUIET && run.0 + run.2 <= side - QUIET && run.1 < side - QUIET
        };
        assert!(runs.iter().all(inside));
        let dark: usize = runs.iter().map(|run| run.2).sum();
        assert_eq!(dark, code.dark.iter().filter(|dark| **dark).count());
        assert_eq!(code.dark.len(), code.modules * code.modules);
    }

    #[test]
    fn a_text_that_no_code_holds_is_refused() {
        assert!(matches!(
            Code::new(&"x".repeat(5000), 100.0),
            Err(ReportError::Code { .. })
        ));
    }
}
