//! The bytes of a file to text that is safe to read and to show.

use super::{LARGEST_FILE, Spot};
use crate::diagnostic::Diagnostic;

/// The text of a file.
///
/// # Errors
/// `too-large` above [`LARGEST_FILE`]; `encoding` for bytes that are not UTF-8, a byte order mark,
/// a control character, or a character that reorders the text around it and so hides what is meant.
pub(super) fn text<'a>(path: &str, bytes: &'a [u8]) -> Result<&'a str, Box<Diagnostic>> {
    if bytes.len() > LARGEST_FILE {
        let found = format!("{} bytes", bytes.len());
        let expected = format!("at most {LARGEST_FILE} bytes in one file");
        let fault = Diagnostic::new(Spot::default().within(path), "too-large", found, expected);
        return Err(Box::new(fault.help("split the work into several procedures")));
    }
    let text = std::str::from_utf8(bytes).map_err(|error| {
        let good = String::from_utf8_lossy(&bytes[..error.valid_up_to()]);
        let byte = bytes.get(error.valid_up_to()).copied().unwrap_or_default();
        refusal(path, &good, format!("the byte 0x{byte:02X}, which is not UTF-8"))
    })?;
    match text.char_indices().find(|(_, c)| is_unwanted(*c)) {
        None => Ok(text),
        Some((at, c)) => {
            let found = format!("the character U+{:04X}, {}", c as u32, named(c));
            Err(refusal(path, &text[..at], found))
        }
    }
}

fn refusal(path: &str, before: &str, found: String) -> Box<Diagnostic> {
    let fault = Diagnostic::new(end_of(before).within(path), "encoding", found, "plain UTF-8 text");
    Box::new(fault.help("save the file as UTF-8 without a byte order mark, and delete this character"))
}

/// The spot right after a text.
fn end_of(text: &str) -> Spot {
    let line = text.matches('\n').count() + 1;
    let column = text.rsplit('\n').next().map_or(0, |last| last.chars().count()) + 1;
    Spot {
        line: u32::try_from(line).unwrap_or(u32::MAX),
        column: u32::try_from(column).unwrap_or(u32::MAX),
    }
}

fn is_unwanted(c: char) -> bool {
    let layout = matches!(c, '\n' | '\r' | '\t');
    (c.is_control() && !layout) || matches!(c, '\u{feff}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}

fn named(c: char) -> &'static str {
    match c {
        '\u{feff}' => "a byte order mark",
        c if c.is_control() => "a control character",
        _ => "which changes the direction of the text",
    }
}
