//! The text of a PO file to a catalogue.
//!
//! The small libraries for PO files tell no line of a fault and let a second translation of the same text
//! quietly take the place of the first, so this reader is our own.

use super::{Catalogue, Entry, Fault, LARGEST_CATALOGUE, Language, MOST_ENTRIES};

/// So many faults are told.
const MOST_FAULTS: usize = 100;
/// How many forms a text with a number has, and which of them is meant.
const TWO_FORMS: &str = "nplurals=2; plural=(n != 1);";

pub(super) fn catalogue(bytes: &[u8]) -> Result<Catalogue, Vec<Fault>> {
    let text = text(bytes).map_err(|fault| vec![fault])?;
    let mut reader = Reader::default();
    for (at, line) in text.lines().enumerate() {
        reader.line = u32::try_from(at + 1).unwrap_or(u32::MAX);
        reader.take(line.trim_end());
        if reader.stopped || reader.faults.len() >= MOST_FAULTS {
            return Err(reader.faults);
        }
    }
    reader.end_entry();
    reader.catalogue.end_remarks = std::mem::take(&mut reader.entry.comments);
    reader.whole()
}

fn text(bytes: &[u8]) -> Result<&str, Fault> {
    if bytes.len() > LARGEST_CATALOGUE {
        let expected = format!("at most {LARGEST_CATALOGUE} bytes in one catalogue");
        return Err(Fault::new(0, format!("{} bytes", bytes.len()), expected));
    }
    let line = |before: &[u8]| u32::try_from(before.split(|byte| *byte == b'\n').count()).unwrap_or(u32::MAX);
    let text = std::str::from_utf8(bytes).map_err(|error| {
        let at = error.valid_up_to();
        let found = format!(
            "the byte 0x{:02X}, which is not UTF-8",
            bytes.get(at).unwrap_or(&0)
        );
        Fault::new(line(&bytes[..at]), found, "plain UTF-8 text")
    })?;
    match text.char_indices().find(|(_, c)| is_unwanted(*c)) {
        None => Ok(text),
        Some((at, c)) => {
            let found = format!("the character U+{:04X}", c as u32);
            let expected = "plain text without control characters, byte order marks and marks of direction";
            Err(Fault::new(line(&bytes[..at]), found, expected))
        }
    }
}

fn is_unwanted(c: char) -> bool {
    let layout = matches!(c, '\n' | '\r' | '\t');
    (c.is_control() && !layout) || matches!(c, '\u{feff}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}

/// The part of an entry that a line of text alone goes on with.
#[derive(Clone, Copy, Default, PartialEq)]
enum Part {
    #[default]
    None,
    Context,
    Text,
    Many,
    Says(usize),
}

#[derive(Default)]
struct Reader {
    line: u32,
    entry: Entry,
    part: Part,
    catalogue: Catalogue,
    has_header: bool,
    entries: usize,
    /// What follows would only be told again.
    stopped: bool,
    faults: Vec<Fault>,
}

impl Reader {
    fn fault(&mut self, found: impl Into<String>, expected: impl Into<String>) {
        self.faults.push(Fault::new(self.line, found, expected));
    }

    fn take(&mut self, line: &str) {
        let (stale, line) = match line.strip_prefix("#~") {
            // What a stale entry said before its English text changed is a comment like any other.
            Some(rest) if !rest.starts_with('|') => (true, rest.trim_start()),
            _ => (false, line),
        };
        match line {
            "" => self.end_entry(),
            line if line.starts_with('#') => self.comment(line),
            line if line.starts_with('"') => self.go_on(line),
            line => self.keyword(line, stale),
        }
    }

    fn comment(&mut self, line: &str) {
        if matches!(self.part, Part::Says(_)) {
            self.end_entry();
        } else if self.part != Part::None {
            return self.fault(
                "a comment inside an entry",
                "comments before the `msgid` of an entry",
            );
        }
        let Some(flags) = line.strip_prefix("#,") else {
            return self.entry.comments.push(line.to_owned());
        };
        let (fuzzy, others): (Vec<&str>, _) =
            flags.split(',').map(str::trim).partition(|flag| *flag == "fuzzy");
        self.entry.fuzzy |= !fuzzy.is_empty();
        if !others.is_empty() {
            self.entry.comments.push(format!("#, {}", others.join(", ")));
        }
    }

    fn keyword(&mut self, line: &str, stale: bool) {
        let (key, rest) = line.split_at(line.find([' ', '\t', '"']).unwrap_or(line.len()));
        let begins = matches!(key, "msgctxt") || (key == "msgid" && self.part != Part::Context);
        if begins && self.part != Part::None {
            self.end_entry();
        }
        let part = match (key, self.part) {
            ("msgctxt", Part::None) => Part::Context,
            ("msgid", Part::None | Part::Context) => Part::Text,
            ("msgid_plural", Part::Text) => Part::Many,
            ("msgstr", Part::Text) => Part::Says(0),
            ("msgstr[0]", Part::Many) => Part::Says(0),
            ("msgstr[1]", Part::Says(0)) if self.entry.many.is_some() => Part::Says(1),
            _ => {
                let found = format!("`{}`", key.chars().take(40).collect::<String>());
                return self.fault(found, self.next_keys());
            }
        };
        self.part = part;
        match part {
            Part::Context => self.entry.context = Some(String::new()),
            Part::Text => (self.entry.line, self.entry.stale) = (self.line, stale),
            Part::Many => self.entry.many = Some(String::new()),
            Part::Says(_) => self.entry.says.push(String::new()),
            Part::None => {}
        }
        self.go_on(rest.trim_start());
    }

    /// What may stand where the reader is.
    fn next_keys(&self) -> &'static str {
        match self.part {
            Part::None => "`msgctxt`, `msgid`, a comment or an empty line",
            Part::Context => "`msgid` or a further string",
            Part::Text => "`msgstr`, `msgid_plural` or a further string",
            Part::Many => "`msgstr[0]` or a further string",
            Part::Says(0) if self.entry.many.is_some() => "`msgstr[1]` or a further string",
            Part::Says(_) => "a further string, or an empty line and the next entry",
        }
    }

    fn go_on(&mut self, string: &str) {
        let piece = match unquoted(string) {
            Ok(piece) => piece,
            Err((found, expected)) => return self.fault(found, expected),
        };
        let entry = &mut self.entry;
        let part = match self.part {
            Part::Context => entry.context.as_mut(),
            Part::Text => Some(&mut entry.text),
            Part::Many => entry.many.as_mut(),
            Part::Says(form) => entry.says.get_mut(form),
            Part::None => None,
        };
        match part {
            Some(part) => part.push_str(&piece),
            None => self.fault("a string on its own", self.next_keys()),
        }
    }

    fn end_entry(&mut self) {
        let (entry, part) = (std::mem::take(&mut self.entry), std::mem::take(&mut self.part));
        let forms = if entry.many.is_some() { 2 } else { 1 };
        match part {
            // Comments before an empty line belong to what follows.
            Part::None => self.entry = entry,
            Part::Says(form) if form + 1 == forms => self.end_whole(entry),
            _ => {
                let expected = if forms == 2 {
                    "`msgstr[0]` and `msgstr[1]`"
                } else {
                    "`msgstr`"
                };
                self.faults.push(Fault::new(
                    entry.line.max(1),
                    "an entry that breaks off",
                    expected,
                ));
            }
        }
    }

    fn end_whole(&mut self, entry: Entry) {
        self.entries += 1;
        let line = entry.line;
        if self.entries > MOST_ENTRIES + 1 {
            let expected = format!("at most {MOST_ENTRIES} entries");
            self.stopped = true;
            return self.faults.push(Fault::new(line, "one entry more", expected));
        }
        if entry.text.is_empty() && entry.context.is_none() {
            return self.header(&entry);
        }
        if !self.has_header {
            self.has_header = true;
            let expected = "the header (`msgid \"\"`) before every other entry";
            self.faults.push(Fault::new(line, "an entry", expected));
        }
        let counted = entry.many.is_some();
        if counted && self.catalogue.header("Plural-Forms") != Some(TWO_FORMS) {
            let expected = format!("`Plural-Forms: {TWO_FORMS}` in the header, since no other rule is known");
            self.faults
                .push(Fault::new(line, "an entry with two forms", expected));
        }
        if let Err(before) = self.catalogue.add(entry) {
            let expected = format!("one translation of a text; the first stands in line {before}");
            self.faults
                .push(Fault::new(line, "the same `msgid` again", expected));
        }
    }

    fn header(&mut self, entry: &Entry) {
        if self.has_header {
            return self.faults.push(Fault::new(
                entry.line,
                "a second header",
                "one header, at the beginning",
            ));
        }
        self.has_header = true;
        self.catalogue.remarks.clone_from(&entry.comments);
        for field in entry.says[0].lines() {
            match field.split_once(':') {
                Some((key, value)) => {
                    let field = (key.trim().to_owned(), value.trim().to_owned());
                    self.catalogue.header.push(field);
                }
                None => {
                    let found = format!("`{}`", field.chars().take(40).collect::<String>());
                    self.faults
                        .push(Fault::new(entry.line, found, "`Key: value` in the header"));
                }
            }
        }
        self.header_is_whole(entry.line);
    }

    fn header_is_whole(&mut self, line: u32) {
        let utf8 = self
            .catalogue
            .header("Content-Type")
            .is_some_and(|kind| kind.ends_with("charset=UTF-8"));
        if !utf8 {
            let expected = "`Content-Type: text/plain; charset=UTF-8` in the header";
            self.faults
                .push(Fault::new(line, "another or no charset", expected));
        }
        let fault = match self.catalogue.header("Language").map(Language::parse) {
            Some(Ok(_)) => return,
            Some(Err(error)) => Fault::new(
                line,
                format!("the language `{}`", error.found),
                "a tag such as `de`",
            ),
            None => Fault::new(line, "no language", "`Language: <tag>` in the header"),
        };
        self.faults.push(fault);
    }

    fn whole(mut self) -> Result<Catalogue, Vec<Fault>> {
        if !self.has_header {
            self.faults.push(Fault::new(
                1,
                "no header",
                "an entry `msgid \"\"` that names the language",
            ));
        }
        if self.faults.is_empty() {
            return Ok(self.catalogue);
        }
        self.faults.sort_by_key(|fault| fault.line);
        Err(self.faults)
    }
}

/// A string without its quotation marks, its escapes read.
fn unquoted(string: &str) -> Result<String, (String, &'static str)> {
    let expected = "a string in quotation marks";
    let Some(inside) = string.strip_prefix('"') else {
        return Err(("no string".to_owned(), expected));
    };
    let mut text = String::with_capacity(inside.len());
    let mut chars = inside.chars();
    while let Some(c) = chars.next() {
        match c {
            '"' if chars.as_str().trim().is_empty() => return Ok(text),
            '"' => {
                return Err((
                    "something behind the string".to_owned(),
                    "the line's end, or `\\\"`",
                ));
            }
            '\\' => text.push(escaped(chars.next())?),
            c => text.push(c),
        }
    }
    Err(("a string without its end".to_owned(), expected))
}

fn escaped(c: Option<char>) -> Result<char, (String, &'static str)> {
    match c {
        Some('n') => Ok('\n'),
        Some('r') => Ok('\r'),
        Some('t') => Ok('\t'),
        Some(c @ ('"' | '\\')) => Ok(c),
        other => {
            let found = other.map_or("a backslash at the end".to_owned(), |c| format!("`\\{c}`"));
            Err((found, "`\\n`, `\\t`, `\\r`, `\\\"` or `\\\\`"))
        }
    }
}
