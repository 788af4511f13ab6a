//! One line of a `.jsonl` file: the entry's text, who signed it, and the signature.

use serde::{Deserialize, Serialize};

use super::json::NotJson;
use super::key::SigningKey;
use super::namespace::Namespace;
use super::signature::{SignatureError, sign, verify};
use super::signer::{NotASignerId, SignerId};
use super::{PublicKey, json};

/// The longest line that is written or read, in bytes, without its LF.
pub const MAX_LINE_BYTES: usize = 1024 * 1024;

/// A signed line, not yet checked.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Line {
    /// The entry: a JSON object as text. Exactly these bytes are signed.
    pub entry: String,
    /// Who says to have signed.
    pub signer: SignerId,
    /// The armoured SSHSIG signature, ending in LF.
    pub sig: String,
}

/// Why bytes are not a line.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum LineError {
    /// Nothing stands on the line.
    #[error("the line is empty")]
    Empty,
    /// The line is longer than allowed.
    #[error("the line has {len} bytes or more; {max} are allowed")]
    TooLong {
        /// Bytes that were seen.
        len: usize,
        /// The limit.
        max: usize,
    },
    /// The bytes are not UTF-8.
    #[error("byte {at} of the line is not UTF-8")]
    NotUtf8 {
        /// Offset of the first bad byte, from 0.
        at: usize,
    },
    /// Something stands before or after the object: a byte order mark, a blank, a CR.
    #[error("the line does not begin with `{{` and end with `}}`")]
    NotBare,
    /// The text is not the object that is expected.
    #[error("not a signed line: {what}")]
    Json {
        /// What was found, and at which column.
        what: String,
    },
    /// The entry's text spans lines or holds other control characters, which tools cut or change.
    #[error("the entry's text holds the control character U+{code:04X}; it is one line of JSON")]
    Control {
        /// The character's code.
        code: u32,
    },
    /// The signer is no id.
    #[error(transparent)]
    Signer(#[from] NotASignerId),
}

impl From<NotJson> for LineError {
    fn from(fault: NotJson) -> LineError {
        LineError::Json { what: fault.what }
    }
}

impl Line {
    /// Signs an entry's text.
    pub fn signed(entry: String, signer: SignerId, key: &SigningKey, namespace: Namespace) -> Line {
        let sig = sign(key, namespace, entry.as_bytes());
        Line { entry, signer, sig }
    }

    /// Reads one line without its LF, of at most `max` bytes (usually [`MAX_LINE_BYTES`]).
    ///
    /// Strict: exactly the keys `entry`, `signer` and `sig`, each once and a string, and nothing around the
    /// object. The signature and the entry inside are not looked at.
    ///
    /// # Errors
    /// See [`LineError`].
    pub fn parse(raw: &[u8], max: usize) -> Result<Line, LineError> {
        if raw.is_empty() {
            return Err(LineError::Empty);
        }
        if raw.len() > max {
            return Err(LineError::TooLong { len: raw.len(), max });
        }
        let text = std::str::from_utf8(raw).map_err(|error| LineError::NotUtf8 {
            at: error.valid_up_to(),
        })?;
        match Line::as_written(text) {
            Some(line) => Ok(line),
            None => Line::in_any_form(text),
        }
    }

    /// Reads a line that stands as [`Line::to_bytes`] writes nearly all of them: in the entry only quotes and
    /// backslashes are escaped, in the signature only line feeds. None where anything differs or is wrong.
    fn as_written(text: &str) -> Option<Line> {
        let rest = text.strip_prefix("{\"entry\":\"")?;
        let (entry, rest) = unescaped(rest)?;
        let rest = rest.strip_prefix(",\"signer\":\"")?;
        let (signer, rest) = rest.split_once('"')?;
        let rest = rest.strip_prefix(",\"sig\":\"")?;
        let sig = rest.strip_suffix("\"}")?;
        let signs = |byte: u8| (b' '..=b'~').contains(&byte) & (byte != b'"');
        if !sig.bytes().fold(true, |all, byte| all & signs(byte)) {
            return None;
        }
        let sig = sig.replace("\\n", "\n");
        if sig.contains('\\') {
            return None;
        }
        let signer = signer.parse().ok()?;
        Some(Line { entry, signer, sig })
    }

    fn in_any_form(text: &str) -> Result<Line, LineError> {
        if !text.starts_with('{') || !text.ends_with('}') {
            return Err(LineError::NotBare);
        }
        let Parts { entry, signer, sig } = serde_json::from_str(text).map_err(|error| named(&error))?;
        if let Some(control) = entry.bytes().find(|byte| *byte < b' ') {
            return Err(LineError::Control { code: control.into() });
        }
        Ok(Line {
            entry,
            signer: signer.parse()?,
            sig,
        })
    }

    /// The bytes as they stand in the file: the object with its keys in a fixed order, and LF.
    ///
    /// # Errors
    /// The line would be longer than a reader accepts.
    pub fn to_bytes(&self) -> Result<Vec<u8>, LineError> {
        let mut bytes = serde_json::to_vec(self).map_err(|error| named(&error))?;
        if bytes.len() > MAX_LINE_BYTES {
            return Err(LineError::TooLong {
                len: bytes.len(),
                max: MAX_LINE_BYTES,
            });
        }
        bytes.push(b'\n');
        Ok(bytes)
    }

    /// Checks that `key` signed this entry for `namespace`.
    ///
    /// # Errors
    /// See [`SignatureError`].
    pub fn verify(&self, key: &PublicKey, namespace: Namespace) -> Result<(), SignatureError> {
        verify(key, namespace, self.entry.as_bytes(), &self.sig)
    }

    /// The entry as an object without repeated keys.
    ///
    /// # Errors
    /// The entry is no such object.
    pub fn object(&self) -> Result<serde_json::Map<String, serde_json::Value>, LineError> {
        Ok(json::parse_object(&self.entry)?)
    }
}

/// A string of JSON up to its closing quote, and what stands behind that. None where it has another escape than those
/// of a quote and of a backslash, or a control character.
fn unescaped(text: &str) -> Option<(String, &str)> {
    let (mut plain, mut bytes) = (Vec::with_capacity(text.len()), text.bytes());
    loop {
        plain.push(match bytes.next()? {
            b'"' => break,
            b'\\' => bytes.next().filter(|byte| matches!(byte, b'"' | b'\\'))?,
            0..b' ' => return None,
            byte => byte,
        });
    }
    let behind = text.len() - bytes.len();
    Some((String::from_utf8(plain).ok()?, &text[behind..]))
}

/// The same keys before the signer's id is checked, so that its fault has its own sentence.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Parts {
    entry: String,
    signer: String,
    sig: String,
}

fn named(error: &serde_json::Error) -> LineError {
    LineError::Json {
        what: error.to_string(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line() -> Line {
        let signer = "ines.varga".parse().expect("an id");
        let entry = "{\"n\":0,\"note\":\"3,6 bar “ok”\\n\"}".to_owned();
        Line::signed(
            entry,
            signer,
            &SigningKey::generate(&[7; 32]),
            Namespace::JobRecord,
        )
    }

    fn bytes() -> Vec<u8> {
        line().to_bytes().expect("bytes")
    }

    #[test]
    fn what_is_written_is_read_again() {
        let bytes = bytes();
        assert!(bytes.starts_with(b"{\"entry\":\"{") && bytes.ends_with(b"\"}\n"));
        let again = Line::parse(&bytes[..bytes.len() - 1], MAX_LINE_BYTES).expect("a line");
        assert_eq!(again, line());
        assert_eq!(
            again.verify(SigningKey::generate(&[7; 32]).public(), Namespace::JobRecord),
            Ok(())
        );
    }

    #[test]
    fn both_ways_read_the_same() {
        let text = String::from_utf8(bytes()).expect("UTF-8");
        let text = text.trim_end();
        assert_eq!(Line::as_written(text), Some(line()));
        let agree = |text: &str| {
            let short = Line::as_written(text);
            assert!(short.is_none() || short == Line::in_any_form(text).ok(), "{text}");
        };
        for (at, was) in text.char_indices() {
            for with in [
                "", "\"", "\\", "\\\\", "\\n", "\\\"", "\\u0041", "\t", "\u{7f}", "\u{e9}", "}", ",", "A",
            ] {
                agree(&format!("{}{with}{}", &text[..at], &text[at..]));
                agree(&format!("{}{with}{}", &text[..at], &text[at + was.len_utf8()..]));
            }
            agree(&text[..at]);
            agree(&text[at..]);
        }
        // What is escaped in another way is read in any form alone.
        for other in [
            text.replacen("\\\"", "\\u0022", 1),
            text.replacen("{\"entry", "{ \"entry", 1),
        ] {
            assert!(
                Line::as_written(&other).is_none()
                    && Line::parse(other.as_bytes(), MAX_LINE_BYTES) == Ok(line())
            );
        }
    }

    #[test]
    fn refuses_everything_loose() {
        let good = String::from_utf8(bytes()).expect("UTF-8");
        let good = good.trim_end();
        for (bad, why) in [
            (String::new(), "empty"),
            (format!("\u{feff}{good}"), "byte order mark"),
            (format!(" {good}"), "blank before"),
            (format!("{good}\r"), "CR"),
            (format!("{good}{good}"), "two objects"),
            (good.replacen('{', "{\"entry\":\"{}\",", 1), "repeated key"),
            (good.replacen('{', "{\"more\":1,", 1), "unknown key"),
            (good.replacen("\"signer\":\"ines.varga\",", "", 1), "missing key"),
            (good.replacen("\"ines.varga\"", "\"*\"", 1), "pattern as signer"),
            (good.replacen("\"ines.varga\"", "7", 1), "number as signer"),
            (good.replacen("{\\\"n", "{\\n\\\"n", 1), "entry on two lines"),
            (format!("[{}]", good), "array"),
            (
                "{\"entry\":\"\\ud800\",\"signer\":\"a\",\"sig\":\"\"}".to_owned(),
                "half a character",
            ),
        ] {
            assert!(
                Line::parse(bad.as_bytes(), MAX_LINE_BYTES).is_err(),
                "{why}: {bad}"
            );
        }
    }

    #[test]
    fn bytes_that_are_not_text_are_named() {
        let mut bad = bytes();
        bad[20] = 0xff;
        assert_eq!(
            Line::parse(&bad, MAX_LINE_BYTES),
            Err(LineError::NotUtf8 { at: 20 })
        );
    }

    #[test]
    fn length_is_bounded_both_ways() {
        let raw = bytes();
        assert!(matches!(
            Line::parse(&raw, raw.len() - 1),
            Err(LineError::TooLong { .. })
        ));
        let long = Line {
            entry: "x".repeat(MAX_LINE_BYTES),
            ..line()
        };
        assert!(matches!(long.to_bytes(), Err(LineError::TooLong { .. })));
    }
}
