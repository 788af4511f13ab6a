//! The `allowed_signers` file: who may sign for which purpose, and when. Stock ssh-keygen reads it too.
//!
//! Narrower than ssh-keygen on purpose. It takes patterns (`*` would let anyone sign), certificate
//! authorities and dates in local time; here a line names one id, one Ed25519 key and dates in UTC.
//! Whatever is accepted here means the same to ssh-keygen; a test holds the two against each other.

use std::fmt;

use chrono::{DateTime, Utc};

use super::finding::{ChainFinding, Rule};
use super::instant::{format_utc, parse_utc};
use super::namespace::Namespace;
use super::open::Signers;
use super::public_key::PublicKey;
use super::signature::Signature;
use super::signer::SignerId;

/// The longest file that is read, in bytes. A line takes about 200.
pub const MAX_BYTES: usize = 4 * 1024 * 1024;

/// One line: a key of one signer, for what and when.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Grant {
    /// Whose key it is.
    pub id: SignerId,
    /// What it may sign for; none means everything, as for ssh-keygen.
    pub namespaces: Option<Vec<Namespace>>,
    /// The first second in which it is valid.
    pub valid_after: Option<DateTime<Utc>>,
    /// The last second in which it is valid.
    pub valid_before: Option<DateTime<Utc>>,
    /// The key.
    pub key: PublicKey,
}

/// A whole file.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct AllowedSigners {
    grants: Vec<Grant>,
}

/// A line that is refused.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("allowed_signers line {line}: {what}")]
pub struct SignersError {
    /// The line's number, from 1.
    pub line: usize,
    /// What was found and what is allowed.
    pub what: String,
}

impl AllowedSigners {
    /// A file with these lines.
    pub fn new(grants: Vec<Grant>) -> AllowedSigners {
        AllowedSigners { grants }
    }

    /// Reads a file. Comments (`#`) and blank lines are passed over; one bad line refuses the whole.
    ///
    /// # Errors
    /// The first line that is refused.
    pub fn parse(text: &str) -> Result<AllowedSigners, SignersError> {
        if text.len() > MAX_BYTES {
            let what = format!("the file has {} bytes; {MAX_BYTES} are allowed", text.len());
            return Err(SignersError { line: 1, what });
        }
        let lines = text.split('\n').enumerate();
        let kept =
            lines.filter(|(_, line)| !line.starts_with('#') && !line.trim_matches([' ', '\t']).is_empty());
        let grants =
            kept.map(|(at, line)| Grant::parse(line).map_err(|what| SignersError { line: at + 1, what }));
        Ok(AllowedSigners {
            grants: grants.collect::<Result<_, _>>()?,
        })
    }

    /// All lines, in order.
    pub fn grants(&self) -> &[Grant] {
        &self.grants
    }

    /// The lines of `id` that are for `namespace` and valid at `at`.
    pub fn find<'a>(
        &'a self,
        id: &'a SignerId,
        namespace: Namespace,
        at: DateTime<Utc>,
    ) -> impl Iterator<Item = &'a Grant> {
        self.grants
            .iter()
            .filter(move |grant| grant.id == *id && grant.is_for(namespace) && grant.is_valid(at))
    }
}

impl Signers for AllowedSigners {
    fn check(
        &self,
        id: &SignerId,
        key: &PublicKey,
        namespace: Namespace,
        at: DateTime<Utc>,
    ) -> Result<(), ChainFinding> {
        let known: Vec<&Grant> = self
            .grants
            .iter()
            .filter(|grant| grant.id == *id && grant.key == *key)
            .collect();
        if known.is_empty() {
            let what = format!("the key {} is not known as a key of `{id}`", key.fingerprint());
            return Err(ChainFinding::new(Rule::UnknownSigner, what));
        }
        let meant: Vec<&&Grant> = known.iter().filter(|grant| grant.is_for(namespace)).collect();
        if meant.is_empty() {
            let what = format!("`{id}` may not sign for `{namespace}`");
            return Err(ChainFinding::new(Rule::WrongNamespace, what));
        }
        if meant.iter().any(|grant| grant.is_valid(at)) {
            return Ok(());
        }
        let what = format!(
            "`{id}` could not sign for `{namespace}` with this key at {}",
            format_utc(&at)
        );
        Err(ChainFinding::new(Rule::ExpiredSigner, what))
    }

    fn known(&self, id: &SignerId, signature: &Signature) -> Option<&PublicKey> {
        let mut own = self.grants.iter().filter(|grant| grant.id == *id);
        own.find(|grant| signature.names(&grant.key))
            .map(|grant| &grant.key)
    }
}

impl Grant {
    fn is_for(&self, namespace: Namespace) -> bool {
        self.namespaces
            .as_ref()
            .is_none_or(|allowed| allowed.contains(&namespace))
    }

    /// Both ends belong to the validity, and parts of a second do not count, as for ssh-keygen.
    fn is_valid(&self, at: DateTime<Utc>) -> bool {
        let second = at.timestamp();
        self.valid_after.is_none_or(|from| from.timestamp() <= second)
            && self.valid_before.is_none_or(|until| second <= until.timestamp())
    }

    fn parse(line: &str) -> Result<Grant, String> {
        if let Some(bad) = line.chars().find(|c| c.is_control() && *c != '\t') {
            return Err(format!("the control character {bad:?} stands in it"));
        }
        let (principal, rest) = line
            .split_once([' ', '\t'])
            .ok_or("a key is expected after the signer's id")?;
        let id = principal.parse().map_err(|error| format!("{error}"))?;
        let rest = rest.trim_start_matches([' ', '\t']);
        let (options, key) = if rest.starts_with("ssh-ed25519 ") {
            ("", rest)
        } else {
            cut_options(rest)?
        };
        let key = PublicKey::from_openssh(key).map_err(|error| error.to_string())?;
        let mut grant = Grant {
            id,
            key,
            namespaces: None,
            valid_after: None,
            valid_before: None,
        };
        grant.take_options(options)?;
        Ok(grant)
    }

    fn take_options(&mut self, mut options: &str) -> Result<(), String> {
        while !options.is_empty() {
            let (name, value, rest) = cut_option(options)?;
            self.take_option(name, value)?;
            options = rest;
        }
        match (self.valid_after, self.valid_before) {
            (Some(from), Some(until)) if until <= from => Err("valid-before is not after valid-after".into()),
            _ => Ok(()),
        }
    }

    fn take_option(&mut self, name: &str, value: &str) -> Result<(), String> {
        let twice = || format!("the option {name} stands twice");
        let date = || parse_utc(value).map_err(|error| format!("{name}: {error}"));
        match name {
            "namespaces" if self.namespaces.is_some() => Err(twice()),
            "valid-after" if self.valid_after.is_some() => Err(twice()),
            "valid-before" if self.valid_before.is_some() => Err(twice()),
            "namespaces" => {
                let names = value.split(',').map(str::parse).collect::<Result<_, _>>();
                self.namespaces = Some(names.map_err(|error: super::UnknownNamespace| error.to_string())?);
                Ok(())
            }
            "valid-after" => date().map(|at| self.valid_after = Some(at)),
            "valid-before" => date().map(|at| self.valid_before = Some(at)),
            _ => Err(unknown(name)),
        }
    }
}

fn unknown(name: &str) -> String {
    let name: String = name.chars().take(40).collect();
    format!("`{name}` is not an option: namespaces, valid-after or valid-before, each with =\"…\"")
}

/// Parts the options from the key: they end at the first blank outside quotes.
fn cut_options(rest: &str) -> Result<(&str, &str), String> {
    let mut quoted = false;
    let end = rest.find(|c: char| {
        quoted ^= c == '"';
        !quoted && (c == ' ' || c == '\t')
    });
    let end = end.ok_or("a key is expected after the options")?;
    Ok((&rest[..end], rest[end..].trim_start_matches([' ', '\t'])))
}

/// Takes the first `name="value"` and gives what stands after its comma.
fn cut_option(options: &str) -> Result<(&str, &str, &str), String> {
    let (name, rest) = options.split_once("=\"").ok_or_else(|| unknown(options))?;
    let (value, rest) = rest
        .split_once('"')
        .ok_or_else(|| format!("the value of {name} has no closing quote"))?;
    match rest.strip_prefix(',') {
        _ if rest.is_empty() => Ok((name, value, "")),
        Some(more) if !more.is_empty() => Ok((name, value, more)),
        _ => Err(format!(
            "one comma and an option, or the key, are expected after {name}"
        )),
    }
}

impl fmt::Display for Grant {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mut options = Vec::new();
        if let Some(namespaces) = &self.namespaces {
            let names: Vec<&str> = namespaces.iter().map(|namespace| namespace.as_str()).collect();
            options.push(format!("namespaces=\"{}\"", names.join(",")));
        }
        options.extend(
            self.valid_after
                .map(|at| format!("valid-after=\"{}\"", format_utc(&at))),
        );
        options.extend(
            self.valid_before
                .map(|at| format!("valid-before=\"{}\"", format_utc(&at))),
        );
        let gap = if options.is_empty() { "" } else { " " };
        write!(f, "{} {}{gap}{}", self.id, options.join(","), self.key)
    }
}

impl fmt::Display for AllowedSigners {
    /// Writes the file, each line ending in LF.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.grants.iter().try_for_each(|grant| writeln!(f, "{grant}"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const KEY: &str = "ssh-ed25519 AAAAC3NzaC1lZDI1NTE5AAAAINdamAGCsQq31Uv+08lkBzoO4XLz2qYjJa8CGmj3B1Ea";

    fn at(text: &str) -> DateTime<Utc> {
        parse_utc(text).expect(text)
    }

    #[test]
    fn text_and_back() {
        for line in [
            format!("ines.varga {KEY}\n"),
            format!("ines.varga namespaces=\"job-record,practice-record\" {KEY}\n"),
            format!(
                "tablet-01 namespaces=\"shop-ledger\",valid-after=\"20260101000000Z\",valid-before=\"20270101000000Z\" {KEY}\n"
            ),
        ] {
            assert_eq!(
                AllowedSigners::parse(&line).map(|file| file.to_string()),
                Ok(line)
            );
        }
    }

    #[test]
    fn a_fault_names_its_line() {
        let text = format!("# people\n\n  \nines.varga {KEY}\n* {KEY}\n");
        let error = AllowedSigners::parse(&text).expect_err("a pattern");
        assert_eq!(error.line, 5);
        assert!(error.what.contains("`*`"), "{error}");
    }

    #[test]
    fn finds_by_purpose_and_time_with_both_ends() {
        let line =
            "namespaces=\"job-record\",valid-after=\"20260101000000Z\",valid-before=\"20260201000000Z\"";
        let file = AllowedSigners::parse(&format!("a {line} {KEY}\n")).expect("a file");
        let id = "a".parse().expect("an id");
        let count = |namespace, text| file.find(&id, namespace, at(text)).count();
        for (text, found) in [
            ("20251231235959Z", 0),
            ("20260101000000Z", 1),
            ("20260201000000Z", 1),
            ("20260201000001Z", 0),
        ] {
            assert_eq!(count(Namespace::JobRecord, text), found, "{text}");
            assert_eq!(count(Namespace::PracticeRecord, text), 0, "{text}");
        }
    }

    #[test]
    fn options_are_parted_by_one_comma() {
        for options in [
            ",namespaces=\"job-record\"",
            "namespaces=\"job-record\",",
            "namespaces=\"job-record\"x",
            "\"",
        ] {
            assert!(
                AllowedSigners::parse(&format!("a {options} {KEY}")).is_err(),
                "{options}"
            );
        }
    }

    #[test]
    fn too_long_a_file_is_refused() {
        assert!(AllowedSigners::parse(&"#".repeat(MAX_BYTES + 1)).is_err());
    }
}
