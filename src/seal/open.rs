//! One raw line to a checked entry: who signed, whether they could, and what the entry carries.

use chrono::{DateTime, Utc};
use serde_json::{Map, Value};

use super::digest::{Digest, digest};
use super::envelope::{Envelope, EnvelopeError};
use super::finding::{ChainFinding, Rule};
use super::line::{Line, MAX_LINE_BYTES};
use super::lines::RawLine;
use super::namespace::Namespace;
use super::public_key::PublicKey;
use super::signature::{Signature, SignatureError};
use super::signer::SignerId;

/// Who may sign what, and when: a roster, or an `allowed_signers` file. Asked from several threads at once.
pub trait Signers: Sync {
    /// Checks that `key` is one of `id`'s, that it may sign for `namespace`, and was valid at `at`.
    ///
    /// # Errors
    /// A finding of `unknown-signer`, `wrong-namespace` or `expired-signer`.
    fn check(
        &self,
        id: &SignerId,
        key: &PublicKey,
        namespace: Namespace,
        at: DateTime<Utc>,
    ) -> Result<(), ChainFinding>;

    /// The key of `id` that a signature names, where it is known: it was found to be a sound point of the curve
    /// before, which need not be found again at each line.
    fn known(&self, id: &SignerId, signature: &Signature) -> Option<&PublicKey>;
}

/// A line that was read, with its entry.
#[derive(Debug, Clone, PartialEq)]
pub struct Opened<B = Map<String, Value>> {
    /// The line.
    pub line: Line,
    /// Its entry.
    pub entry: Envelope<B>,
    /// The SHA-256 of the line's bytes without LF.
    pub hash: Digest,
}

impl Opened {
    /// Reads a line and its entry, without checking the signature.
    ///
    /// # Errors
    /// A finding of `malformed-line`.
    pub fn read(raw: &[u8]) -> Result<Opened, ChainFinding> {
        Opened::read_hashed(raw, digest(raw), Envelope::parse)
    }

    /// Reads a line as it came from a file, with the hash that was made on the way.
    ///
    /// # Errors
    /// As [`Opened::read_as`].
    pub fn read_line(line: &RawLine) -> Result<Opened, ChainFinding> {
        Opened::read_as(line, Envelope::parse)
    }
}

impl<B> Opened<B> {
    /// Reads a line as it came from a file, and its entry by `parse`.
    ///
    /// # Errors
    /// A finding of `malformed-line`, the line too long to be kept whole among them.
    pub fn read_as(line: &RawLine, parse: Parse<B>) -> Result<Opened<B>, ChainFinding> {
        let whole = line.whole();
        let raw = whole.map_err(|error| ChainFinding::new(Rule::MalformedLine, error.to_string()))?;
        Opened::read_hashed(raw, line.hash, parse)
    }

    fn read_hashed(raw: &[u8], hash: Digest, parse: Parse<B>) -> Result<Opened<B>, ChainFinding> {
        let malformed = |what: String| ChainFinding::new(Rule::MalformedLine, what);
        let line = Line::parse(raw, MAX_LINE_BYTES).map_err(|error| malformed(error.to_string()))?;
        let entry = parse(&line.entry).map_err(|error| malformed(error.to_string()))?;
        Ok(Opened { line, entry, hash })
    }
}

/// Reads an entry's text.
pub type Parse<B> = fn(&str) -> Result<Envelope<B>, EnvelopeError>;

/// Reads one line without its LF and checks its signature against those who may sign.
///
/// Numbers and previous hashes are the chain's matter.
///
/// # Errors
/// The first finding: `malformed-line`, or what [`check_line`] finds.
pub fn open_line(raw: &[u8], signers: &dyn Signers, namespace: Namespace) -> Result<Opened, ChainFinding> {
    let opened = Opened::read(raw)?;
    match check_line(&opened, signers, namespace).into_iter().next() {
        Some(finding) => Err(finding),
        None => Ok(opened),
    }
}

/// Everything that is wrong with a line's signature: `signer-not-by`, `bad-signature`, `wrong-namespace`,
/// `unknown-signer`, `expired-signer`.
pub fn check_line<B>(opened: &Opened<B>, signers: &dyn Signers, namespace: Namespace) -> Vec<ChainFinding> {
    let mut findings = Vec::new();
    let Opened { line, entry, .. } = opened;
    if line.signer != entry.by {
        let what = format!(
            "`{}` signed an entry that says to be by `{}`",
            line.signer, entry.by
        );
        findings.push(ChainFinding::new(Rule::SignerNotBy, what));
    }
    findings.extend(check_seal(line, entry, signers, namespace).err());
    findings
}

fn check_seal<B>(
    line: &Line,
    entry: &Envelope<B>,
    signers: &dyn Signers,
    namespace: Namespace,
) -> Result<(), ChainFinding> {
    // The key inside the signature is believed only as far as the signers know it, and is verified after.
    let signature = Signature::read(&line.sig).map_err(|error| named(&error))?;
    let stranger;
    let key = match signers.known(&line.signer, &signature) {
        Some(known) => known,
        None => {
            stranger = signature.key().map_err(|error| named(&error))?;
            &stranger
        }
    };
    signers.check(&line.signer, key, namespace, entry.at.with_timezone(&Utc))?;
    let verified = signature.verify(key, namespace, line.entry.as_bytes());
    verified.map_err(|error| named(&error))
}

fn named(error: &SignatureError) -> ChainFinding {
    let rule = match error {
        SignatureError::Namespace { .. } => Rule::WrongNamespace,
        SignatureError::OtherKey { .. } => Rule::UnknownSigner,
        _ => Rule::BadSignature,
    };
    ChainFinding::new(rule, error.to_string())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::seal::{AllowedSigners, Link, SigningKey};

    const TEXT: &str = concat!(
        r#"{"v":1,"n":0,"prev":"0000000000000000000000000000000000000000000000000000000000000000","#,
        r#""at":"2026-03-14T09:26:53+01:00","by":"ines.varga","kind":"note"}"#
    );

    fn key() -> SigningKey {
        SigningKey::generate(&[7; 32])
    }

    fn signers(options: &str) -> AllowedSigners {
        AllowedSigners::parse(&format!("ines.varga {options} {}\n", key().public())).expect("signers")
    }

    fn raw(signer: &str, key: &SigningKey, namespace: Namespace) -> Vec<u8> {
        let line = Line::signed(TEXT.to_owned(), signer.parse().expect("an id"), key, namespace);
        let mut bytes = line.to_bytes().expect("bytes");
        bytes.pop();
        bytes
    }

    const JOBS: &str = r#"namespaces="job-record,practice-record""#;

    #[test]
    fn a_good_line_opens() {
        let raw = raw("ines.varga", &key(), Namespace::JobRecord);
        let opened = open_line(&raw, &signers(JOBS), Namespace::JobRecord).expect("a good line");
        assert_eq!(
            (opened.entry.n, opened.entry.prev, opened.hash),
            (0, Link::FIRST.prev, digest(&raw))
        );
    }

    #[test]
    fn each_fault_has_its_rule() {
        let other = SigningKey::generate(&[8; 32]);
        let job = Namespace::JobRecord;
        let late = format!("{JOBS},valid-after=\"20260314082654Z\"");
        let cases = [
            (
                raw("ines.varga", &other, job),
                signers(JOBS),
                job,
                Rule::UnknownSigner,
            ),
            (
                raw("tomasz.okafor", &key(), job),
                signers(JOBS),
                job,
                Rule::SignerNotBy,
            ),
            (
                raw("ines.varga", &key(), Namespace::PracticeRecord),
                signers(JOBS),
                job,
                Rule::WrongNamespace,
            ),
            (
                raw("ines.varga", &key(), Namespace::ShopRoster),
                signers(JOBS),
                Namespace::ShopRoster,
                Rule::WrongNamespace,
            ),
            (
                raw("ines.varga", &key(), job),
                signers(&late),
                job,
                Rule::ExpiredSigner,
            ),
            (b"{}".to_vec(), signers(JOBS), job, Rule::MalformedLine),
        ];
        for (raw, signers, namespace, rule) in cases {
            let finding = open_line(&raw, &signers, namespace).expect_err(rule.as_str());
            assert_eq!(finding.rule, rule, "{finding}");
        }
    }

    #[test]
    fn a_changed_entry_is_a_bad_signature() {
        let text = String::from_utf8(raw("ines.varga", &key(), Namespace::JobRecord)).expect("UTF-8");
        let changed = text.replacen("\\\"note\\\"", "\\\"nota\\\"", 1);
        assert_ne!(changed, text);
        let finding =
            open_line(changed.as_bytes(), &signers(JOBS), Namespace::JobRecord).expect_err("changed");
        assert_eq!(finding.rule, Rule::BadSignature);
    }
}
