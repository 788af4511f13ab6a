//! The rules of a record, each with its name, its weight and what to do when it is broken.

use crate::people::PeopleRule;
use crate::seal;
use std::fmt;

/// A rule that a record keeps or breaks.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Rule {
    /// Of lines and chains.
    Line(seal::Rule),
    /// Of the roster and the ledger.
    People(PeopleRule),
    /// Of the meaning of a job's entries.
    Meaning(Meaning),
}

macro_rules! meanings {
    ($($(#[$doc:meta])* $rule:ident = $name:literal, $advice:literal;)*) => {
        /// The rules of meaning: what the entries say, held against the content that they pin.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum Meaning { $($(#[$doc])* $rule),* }

        impl Meaning {
            /// Every rule.
            pub const ALL: &'static [Meaning] = &[$(Meaning::$rule),*];

            /// The rule's name, as reports print it.
            #[must_use]
            pub const fn as_str(self) -> &'static str {
                match self { $(Meaning::$rule => $name),* }
            }

            /// What to do when it is broken.
            #[must_use]
            pub const fn advice(self) -> &'static str {
                match self { $(Meaning::$rule => $advice),* }
            }
        }
    };
}

meanings! {
    /// A file of the folder cannot be read.
    Unreadable = "unreadable", "Look whether the file can be read, then verify again.";
    /// There is more than a verifier takes.
    TooLong = "too-long", "No job of a shop is so long: keep a copy and ask who wrote it.";
    /// The record is not there or empty.
    RecordMissing = "record-missing", "Fetch the whole folder again from whoever keeps it.";
    /// An entry is not of its kind's form.
    MalformedEntry = "malformed-entry", "The signer's program wrote something else than the format: ask which one it was.";
    /// The record does not begin with its opening, or opens another job.
    BadOpening = "bad-opening", "Compare with the ledger which job this folder should hold.";
    /// A step was passed over, or a reading or marking of it is missing.
    MissingStep = "missing-step", "Look at the car whether the step was done; the record does not show it.";
    /// Work went on behind a hold point that nobody had released.
    UnreleasedHold = "unreleased-hold", "Have a supervisor look at what lay behind the hold point.";
    /// An entry stands where the procedure does not have it.
    OutOfOrder = "out-of-order", "Read the entries around it: work was not done in the order of the procedure.";
    /// A value is not what was typed.
    ValueDiffers = "value-differs", "Trust what was typed; the value beside it was altered or misread.";
    /// A value that a meter is said to have sent is not what its raw reply says.
    ReplyDiffers = "reply-differs", "Trust the meter's raw reply; what is claimed beside it was altered.";
    /// A band is not the one that content and card give.
    BandDiffers = "band-differs", "Judge the reading again by the band that the verifier names.";
    /// A calculator gives something else.
    OutputDiffers = "output-differs", "Work the figure out again before relying on it.";
    /// A value was judged otherwise than its band does.
    VerdictDiffers = "verdict-differs", "Judge the value again by its band.";
    /// A wording is not the one that the content gives.
    WordingDiffers = "wording-differs", "What was shown is not what the content says: compare both.";
    /// The plan is not the one that content and card give.
    PlanDiffers = "plan-differs", "Compare the plan with the content for this car.";
    /// The card holds what the content does not allow.
    CardDiffers = "card-differs", "Compare the job card with the car and the content.";
    /// A signature covers other entries than the work.
    CoverageDiffers = "coverage-differs", "See which entries the signature leaves out or adds.";
    /// Something else in an entry is not what it should be.
    EntryDiffers = "entry-differs", "Read the entry beside the content.";
    /// An instrument does not fit its reading, or its calibration had lapsed.
    Instrument = "instrument", "Measure again with an instrument that is fit and calibrated.";
    /// A reading outside its band has no deviation.
    ReadingWithoutDeviation = "reading-without-deviation", "Treat the reading as failed until a supervisor has judged it.";
    /// A concession where the content allows none.
    NoConcession = "no-concession", "Treat the deviation as open.";
    /// The signer did not have the role that the entry takes.
    WrongRole = "wrong-role", "Have somebody with that role look at the work.";
    /// One person stands on both sides.
    SamePerson = "same-person", "Have another supervisor look at the work.";
    /// A file that the opening pins is not there.
    ContentMissing = "content-missing", "Fetch the whole folder again; without its content the meaning cannot be checked.";
    /// A file is not what its name says.
    ContentAltered = "content-altered", "Fetch the file again from whoever keeps the folder.";
    /// The pinned content cannot be played.
    ContentFaulty = "content-faulty", "Check the content with the program version that the opening names.";
    /// An attachment that an entry names is not there.
    AttachmentMissing = "attachment-missing", "Fetch the whole folder again from whoever keeps it.";
    /// An attachment that an entry names stands in the job's folder, not in the certificate alone.
    AttachmentElsewhere = "attachment-elsewhere", "Ask the shop for the job's folder to see it; a file with this name as its SHA-256 is the one.";
    /// An attachment is not what its name says.
    AttachmentAltered = "attachment-altered", "Fetch the attachment again from whoever keeps the folder.";
    /// The customer's data are not those that a card committed to.
    PersonalAltered = "personal-altered", "Ask who keeps the customer's data for the file as it was.";
    /// The ledger says something else of this job.
    LedgerMismatch = "ledger-mismatch", "The record was shortened, replaced or never closed: compare with the shop's ledger.";
    /// The roster is not the one that the opening pins, or not the one that is trusted.
    RosterMismatch = "roster-mismatch", "Ask the shop for the fingerprint of its root key by another way.";
    /// The job was opened for proof with content that no supervisor had approved.
    UnapprovedContent = "unapproved-content", "Have a supervisor compare the content that was used with the one that the shop approved.";
    /// The opening names no approval of its content.
    ApprovalMissing = "approval-missing", "Ask the shop who approved this content; the record does not say.";
    /// Entries stand behind the closing.
    LinesAfterClosing = "lines-after-closing", "Count nothing that stands behind the closing.";
    /// The certificate is not the one of this record.
    CertificateMismatch = "certificate-mismatch", "Trust the record, and have the certificate made again from it.";
    /// The job is closed and has no certificate.
    CertificateMissing = "certificate-missing", "Have the certificate made from the record.";
    /// The manifest of a bundle is not there or not of its form.
    BundleManifest = "bundle-manifest", "Export the bundle again; without its manifest nothing is taken from it.";
    /// A file of a bundle is missing, altered, or not in the manifest.
    BundleFile = "bundle-file", "Export the bundle again, and look whether the stick is failing.";
    /// The opening names no rule of decision, so that instruments' uncertainties judged nothing.
    SimpleAcceptance = "simple-acceptance", "Hold readings near a limit against the uncertainty of their instruments yourself.";
    /// A calculator has another revision now, so that it was not run again.
    CalculatorRevised = "calculator-revised", "Verify with the program version that the opening names to run it again.";
}

impl Rule {
    /// The rule's name, as reports print it.
    #[must_use]
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Line(rule) => rule.as_str(),
            Self::People(rule) => rule.as_str(),
            Self::Meaning(rule) => rule.as_str(),
        }
    }

    /// Whether the record is not whole when this rule is broken. Otherwise it is only told.
    #[must_use]
    pub const fn breaks(self) -> bool {
        match self {
            Self::Line(rule) => rule.breaks(),
            Self::People(rule) => rule.breaks(),
            Self::Meaning(rule) => !matches!(
                rule,
                Meaning::CertificateMissing
                    | Meaning::AttachmentElsewhere
                    | Meaning::SimpleAcceptance
                    | Meaning::CalculatorRevised
                    | Meaning::ApprovalMissing
            ),
        }
    }

    /// What to do when it is broken.
    #[must_use]
    pub const fn advice(self) -> &'static str {
        match self {
            Self::Line(rule) | Self::People(PeopleRule::Line(rule)) => line_advice(rule),
            Self::People(_) => "Ask the shop which people, keys and jobs are its own.",
            Self::Meaning(rule) => rule.advice(),
        }
    }
}

const fn line_advice(rule: seal::Rule) -> &'static str {
    match rule {
        seal::Rule::TimeBackwards => {
            "Times before and after it are as the tablet's clock had them; the order of lines holds."
        }
        seal::Rule::TruncatedLine => {
            "The last line was never acknowledged: open the job on the tablet, which moves it aside."
        }
        seal::Rule::UnknownSigner | seal::Rule::ExpiredSigner => {
            "Ask the shop whose key this is and when it was valid."
        }
        _ => "The line was altered, left out or added after it was signed: compare with an earlier copy.",
    }
}

impl fmt::Display for Rule {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.as_str())
    }
}

impl From<seal::Rule> for Rule {
    fn from(rule: seal::Rule) -> Self {
        Self::Line(rule)
    }
}

impl From<PeopleRule> for Rule {
    fn from(rule: PeopleRule) -> Self {
        match rule {
            PeopleRule::Line(rule) => Self::Line(rule),
            other => Self::People(other),
        }
    }
}

impl From<Meaning> for Rule {
    fn from(rule: Meaning) -> Self {
        Self::Meaning(rule)
    }
}
