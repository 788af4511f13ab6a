//! The objects of a PDF file: numbers, names, texts, lists, dictionaries, references.

use super::file::fault;
use crate::report::ReportError;

/// An object. Booleans, reals and nothing are read past: no attachment depends on them.
#[derive(Clone, Debug, PartialEq)]
pub enum Object {
    Whole(u64),
    Name(String),
    Text(Vec<u8>),
    Array(Vec<Object>),
    Dict(Dict),
    Reference(u32),
    Other,
}

/// A dictionary, in which each key stands once.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Dict(Vec<(String, Object)>);

impl Dict {
    /// The value of a key.
    pub fn get(&self, key: &str) -> Option<&Object> {
        self.0
            .iter()
            .find(|(name, _)| name == key)
            .map(|(_, value)| value)
    }
}

/// How deep lists and dictionaries may be nested.
const DEEPEST: usize = 16;
/// How many keys a dictionary may have, so that looking for doubles stays cheap.
const MOST_KEYS: usize = 256;

/// Reads objects from a window of the file.
pub struct Lexer<'a> {
    bytes: &'a [u8],
    at: usize,
}

impl<'a> Lexer<'a> {
    /// Reads from `at` to at most `end`.
    pub fn new(bytes: &'a [u8], at: usize, end: usize) -> Self {
        let end = end.min(bytes.len());
        Self {
            bytes: &bytes[..end],
            at: at.min(end),
        }
    }

    /// The place that is read next.
    pub fn at(&self) -> usize {
        self.at
    }

    fn wrong(&self, expected: &'static str) -> ReportError {
        let rest = &self.bytes[self.at..];
        let some = &rest[..rest.len().min(24)];
        fault(format!("`{}`", some.escape_ascii()), self.at, expected)
    }

    fn peek(&self) -> Option<u8> {
        self.bytes.get(self.at).copied()
    }

    fn space(&mut self) {
        while self
            .peek()
            .is_some_and(|byte| matches!(byte, b' ' | b'\n' | b'\r' | b'\t' | 0 | 12))
        {
            self.at += 1;
        }
    }

    fn eat(&mut self, word: &str) -> bool {
        let found = self.bytes[self.at..].starts_with(word.as_bytes());
        if found {
            self.at += word.len();
        }
        found
    }

    /// This word, after any space.
    ///
    /// # Errors
    /// Something else stands there.
    pub fn word(&mut self, word: &'static str) -> Result<(), ReportError> {
        self.space();
        if self.eat(word) {
            Ok(())
        } else {
            Err(self.wrong(word))
        }
    }

    /// The end of the line, and where the next one begins.
    ///
    /// # Errors
    /// Something else stands there.
    pub fn end_of_line(&mut self) -> Result<usize, ReportError> {
        if self.eat("\n") || self.eat("\r\n") {
            Ok(self.at)
        } else {
            Err(self.wrong("the end of the line"))
        }
    }

    /// A whole number that is not negative.
    ///
    /// # Errors
    /// Something else stands there.
    pub fn whole(&mut self) -> Result<u64, ReportError> {
        self.space();
        let digits = self.bytes[self.at..]
            .iter()
            .take_while(|byte| byte.is_ascii_digit())
            .count();
        let text = &self.bytes[self.at..self.at + digits];
        let number = std::str::from_utf8(text).ok().and_then(|text| text.parse().ok());
        let number = number.ok_or_else(|| self.wrong("a whole number"))?;
        self.at += digits;
        Ok(number)
    }

    /// The next object.
    ///
    /// # Errors
    /// What stands there is none, or is nested too deep.
    pub fn object(&mut self, depth: usize) -> Result<Object, ReportError> {
        self.space();
        if depth > DEEPEST {
            return Err(self.wrong("less nesting"));
        }
        if self.eat("<<") {
            return self.dict(depth);
        }
        match self.peek() {
            Some(b'/') => self.name().map(Object::Name),
            Some(b'(') => self.text().map(Object::Text),
            Some(b'<') => self.hex().map(Object::Text),
            Some(b'[') => self.array(depth),
            Some(byte) if byte.is_ascii_digit() => self.number(),
            Some(byte) if byte.is_ascii_alphabetic() || matches!(byte, b'-' | b'+' | b'.') => {
                self.skip_word();
                Ok(Object::Other)
            }
            _ => Err(self.wrong("an object")),
        }
    }

    fn skip_word(&mut self) {
        while self
            .peek()
            .is_some_and(|byte| byte.is_ascii_alphanumeric() || matches!(byte, b'-' | b'+' | b'.'))
        {
            self.at += 1;
        }
    }

    /// A whole number, the start of a reference, or a real number.
    fn number(&mut self) -> Result<Object, ReportError> {
        let start = self.at;
        let number = self.whole()?;
        if self.peek() == Some(b'.') {
            self.skip_word();
            return Ok(Object::Other);
        }
        let after = self.at;
        if self.eat(" 0 R") {
            let number =
                u32::try_from(number).map_err(|_| fault(number.to_string(), start, "an object's number"))?;
            return Ok(Object::Reference(number));
        }
        self.at = after;
        Ok(Object::Whole(number))
    }

    fn array(&mut self, depth: usize) -> Result<Object, ReportError> {
        self.at += 1;
        let mut items = Vec::new();
        loop {
            self.space();
            if self.eat("]") {
                return Ok(Object::Array(items));
            }
            items.push(self.object(depth + 1)?);
        }
    }

    fn dict(&mut self, depth: usize) -> Result<Object, ReportError> {
        let mut dict = Dict::default();
        loop {
            self.space();
            if self.eat(">>") {
                return Ok(Object::Dict(dict));
            }
            let key = self.name()?;
            if dict.get(&key).is_some() || dict.0.len() >= MOST_KEYS {
                return Err(self.wrong("each key once, and not too many"));
            }
            let value = self.object(depth + 1)?;
            dict.0.push((key, value));
        }
    }

    fn name(&mut self) -> Result<String, ReportError> {
        if !self.eat("/") {
            return Err(self.wrong("a name"));
        }
        let regular = |byte: &&u8| byte.is_ascii_graphic() && !b"()<>[]{}/%".contains(byte);
        let length = self.bytes[self.at..].iter().take_while(regular).count();
        let name = String::from_utf8_lossy(&self.bytes[self.at..self.at + length]).into_owned();
        self.at += length;
        Ok(name)
    }

    /// A text in parentheses. Those of names need no escapes; others are kept as they are written.
    fn text(&mut self) -> Result<Vec<u8>, ReportError> {
        self.at += 1;
        let (start, mut open) = (self.at, 1);
        while let Some(byte) = self.peek() {
            self.at += 1;
            match byte {
                b'\\' => self.at = (self.at + 1).min(self.bytes.len()),
                b'(' => open += 1,
                b')' => open -= 1,
                _ => {}
            }
            if open == 0 {
                return Ok(self.bytes[start..self.at - 1].to_vec());
            }
        }
        Err(self.wrong("the end of a text"))
    }

    fn hex(&mut self) -> Result<Vec<u8>, ReportError> {
        let start = self.at;
        let rest = &self.bytes[start..];
        let end = rest
            .iter()
            .position(|byte| *byte == b'>')
            .ok_or_else(|| self.wrong("the end of a text"))?;
        self.at = start + end + 1;
        Ok(rest[..=end].to_vec())
    }
}
