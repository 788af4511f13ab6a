//! A PDF file with one plain cross-reference table, and objects by their numbers.

use super::lexer::{Dict, Lexer, Object};
use crate::report::ReportError;

/// How many bytes of an object other than a stream's content are looked at.
const MOST_OBJECT: usize = 64 * 1024;
/// Of the catalogue, which lists all attachments.
const MOST_ROOT: usize = 4 * 1024 * 1024;
/// One line of the cross-reference table.
const LINE: usize = 20;

/// An opened file.
pub struct File<'a> {
    bytes: &'a [u8],
    /// Where the lines of the cross-reference table begin, and how many there are.
    table: (usize, usize),
    root: u32,
}

/// What was found instead of what was expected.
pub fn fault(found: String, at: usize, expected: &'static str) -> ReportError {
    ReportError::NotOurs { found, at, expected }
}

/// A few bytes for a message.
fn sample(bytes: &[u8], at: usize) -> String {
    let rest = bytes.get(at..).unwrap_or_default();
    let some = &rest[..rest.len().min(24)];
    if some.is_empty() {
        "the end of the file".to_owned()
    } else {
        format!("`{}`", some.escape_ascii())
    }
}

impl<'a> File<'a> {
    /// Finds the cross-reference table and the trailer.
    ///
    /// # Errors
    /// The file does not begin and end as this program's certificates do.
    pub fn open(bytes: &'a [u8]) -> Result<Self, ReportError> {
        if !bytes.starts_with(b"%PDF-1.7\n") {
            return Err(fault(sample(bytes, 0), 0, "`%PDF-1.7`"));
        }
        let table = Self::table(bytes)?;
        let end = table.0 + table.1 * LINE;
        let root = Self::trailer(bytes, end)?;
        Ok(Self { bytes, table, root })
    }

    /// Where the lines of the cross-reference table begin, and how many there are.
    fn table(bytes: &[u8]) -> Result<(usize, usize), ReportError> {
        let start = Self::start(bytes)?;
        let mut lexer = Lexer::new(bytes, start, start.saturating_add(64));
        lexer.word("xref")?;
        let first = lexer.whole()?;
        let count = usize::try_from(lexer.whole()?).unwrap_or(usize::MAX);
        let lines = lexer.end_of_line()?;
        let end = count.checked_mul(LINE).and_then(|size| size.checked_add(lines));
        if first == 0 && end.is_some_and(|end| end < bytes.len()) {
            Ok((lines, count))
        } else {
            Err(fault(
                format!("a table of {count} objects"),
                start,
                "one that fits the file",
            ))
        }
    }

    /// The number of the catalogue.
    fn trailer(bytes: &[u8], at: usize) -> Result<u32, ReportError> {
        let mut lexer = Lexer::new(bytes, at, at.saturating_add(MOST_OBJECT));
        lexer.word("trailer")?;
        let Object::Dict(trailer) = lexer.object(0)? else {
            return Err(fault(sample(bytes, at), at, "the trailer"));
        };
        if trailer.get("Prev").is_some() || trailer.get("Encrypt").is_some() {
            return Err(fault(
                "a file that was changed later".to_owned(),
                at,
                "one trailer, not encrypted",
            ));
        }
        match trailer.get("Root") {
            Some(Object::Reference(root)) => Ok(*root),
            _ => Err(fault(
                "a trailer without its root".to_owned(),
                at,
                "a reference to the catalogue",
            )),
        }
    }

    /// Where the cross-reference table begins: the last number of the file.
    fn start(bytes: &[u8]) -> Result<usize, ReportError> {
        let tail = bytes.len().saturating_sub(48);
        let expected = "`startxref`, a number and `%%EOF` at the very end";
        let wrong = || fault(sample(bytes, tail), tail, expected);
        let text = bytes[tail..].strip_suffix(b"%%EOF").ok_or_else(wrong)?;
        let word = b"startxref\n";
        let at = text
            .windows(word.len())
            .rposition(|window| window == word)
            .ok_or_else(wrong)?;
        let digits = std::str::from_utf8(&text[at + word.len()..]).map_err(|_| wrong())?;
        digits.trim_end_matches('\n').parse().map_err(|_| wrong())
    }

    /// The catalogue.
    ///
    /// # Errors
    /// There is none, or it is no dictionary.
    pub fn root(&self) -> Result<Dict, ReportError> {
        self.dict_within(self.root, MOST_ROOT).map(|(dict, _)| dict)
    }

    /// The dictionary with this number.
    ///
    /// # Errors
    /// There is no such object, or it is no dictionary.
    pub fn dict(&self, number: u32) -> Result<Dict, ReportError> {
        self.dict_within(number, MOST_OBJECT).map(|(dict, _)| dict)
    }

    fn dict_within(&self, number: u32, most: usize) -> Result<(Dict, usize), ReportError> {
        let at = self.offset(number)?;
        let mut lexer = Lexer::new(self.bytes, at, at.saturating_add(most));
        let same = lexer.whole()? == u64::from(number) && lexer.whole()? == 0;
        if !same {
            return Err(fault(
                sample(self.bytes, at),
                at,
                "the object that the table names",
            ));
        }
        lexer.word("obj")?;
        match lexer.object(0)? {
            Object::Dict(dict) => Ok((dict, lexer.at())),
            _ => Err(fault(sample(self.bytes, at), at, "a dictionary")),
        }
    }

    /// The stream with this number, still packed.
    ///
    /// # Errors
    /// There is no such stream, or it does not end where it says.
    pub fn stream(&self, number: u32) -> Result<(Dict, &'a [u8]), ReportError> {
        let (dict, after) = self.dict_within(number, MOST_OBJECT)?;
        let mut lexer = Lexer::new(self.bytes, after, after.saturating_add(64));
        lexer.word("stream")?;
        let start = lexer.end_of_line()?;
        let length = match dict.get("Length") {
            Some(Object::Whole(length)) => usize::try_from(*length).ok(),
            _ => None,
        };
        let end = length.and_then(|length| start.checked_add(length));
        let packed = end.and_then(|end| self.bytes.get(start..end));
        let wrong = || {
            fault(
                format!("stream {number}"),
                after,
                "a length that stays inside the file",
            )
        };
        let packed = packed.ok_or_else(wrong)?;
        let end = start + packed.len();
        Lexer::new(self.bytes, end, end.saturating_add(64)).word("endstream")?;
        Ok((dict, packed))
    }

    fn offset(&self, number: u32) -> Result<usize, ReportError> {
        let (lines, count) = self.table;
        let wrong = || {
            fault(
                format!("a reference to object {number}"),
                lines,
                "an object of the table",
            )
        };
        let place = usize::try_from(number)
            .ok()
            .filter(|place| *place < count)
            .ok_or_else(wrong)?;
        let at = lines + place * LINE;
        let line = self.bytes.get(at..at + LINE).ok_or_else(wrong)?;
        let (digits, rest) = line.split_at(10);
        if rest != b" 00000 n\r\n" {
            return Err(fault(sample(self.bytes, at), at, "an object in use"));
        }
        let digits = std::str::from_utf8(digits).map_err(|_| wrong())?;
        digits.parse().map_err(|_| wrong())
    }
}
