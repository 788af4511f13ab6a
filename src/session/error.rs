//! What stopped a request, with one hint. Nothing was half done.

use crate::diagnostic::nearest;
use crate::people::{PeopleRule, Roster};
use crate::player::Refusal;
use crate::seal::KeyError;
use crate::to_say;

/// Why a request was not carried out.
#[derive(Debug, thiserror::Error)]
pub enum SessionError {
    #[error(transparent)]
    Refused(#[from] Refusal),
    #[error(transparent)]
    Disk(#[from] crate::disk::Error),
    #[error(transparent)]
    Key(#[from] KeyError),
    #[error(transparent)]
    Record(#[from] crate::record::RecordError),
    #[error(transparent)]
    Line(#[from] crate::seal::LineError),
    #[error(transparent)]
    Entry(#[from] crate::seal::envelope::EnvelopeError),
    #[error(transparent)]
    Photo(#[from] crate::photo::PhotoError),
    #[error(transparent)]
    Bundle(#[from] super::bundle::BundleError),
    #[error("the content cannot be played:\n{0}")]
    Content(String),
    #[error("the register of instruments cannot be used:\n{0}")]
    Instruments(String),
    #[error("the calibration certificate of {instrument} cannot be pinned: {what}")]
    Photograph { instrument: String, what: String },
    #[error("the photograph {0} was altered: its bytes are not the ones that the record names")]
    PhotoAltered(String),
    #[error("the {file} does not hold: {what}")]
    Broken { file: String, what: String },
    #[error("nobody of the id “{0}” is in this shop's roster")]
    NoPerson(String),
    #[error("nobody of the id “{id}” is in this shop's roster.{meant}")]
    Unknown {
        id: String,
        /// A question with the id that was probably meant, or nothing.
        meant: String,
    },
    #[error("there is no key of {0} on this machine")]
    NoKey(String),
    #[error("{0} has left the shop")]
    HasLeft(String),
    #[error("the validity would end at {0}, which is past")]
    Past(String),
    #[error("{0} has these roles already")]
    SameRoles(String),
    #[error("whoever signs with their own key has not lost it")]
    NotLost,
    #[error("{0} is this tablet, which signs the ledger")]
    ThisTablet(String),
    #[error("no key of a tablet that is valid now stands on this machine")]
    NoTablet,
    /// A machine that lost its clock's battery says so at its next start.
    #[error("this machine's clock says {now}, but its own key begins only at {from}")]
    ClockBehind { now: String, from: String },
    #[error("the key does not belong to {0}, or is not valid now")]
    NotTheirKey(String),
    #[error("nobody is signed on")]
    NobodySignedOn,
    /// After a wrong passphrase, in seconds.
    #[error("the last passphrase was wrong: the next one can be typed in {0} s")]
    Wait(u32),
    #[error("no job is open on the screen")]
    NoJob,
    #[error("there is no job “{0}” in the content")]
    NoSuchJob(String),
    #[error("{0}")]
    Passphrase(#[from] crate::people::passphrase::PassphraseFault),
    #[error("{what}: {why}")]
    Named { what: String, why: String },
    /// The content differs from what a supervisor signed.
    #[error("“{title}” (revision {revision}) cannot be opened for proof: {why}")]
    NotApproved {
        title: String,
        revision: u32,
        why: String,
    },
    #[error("no approval of “{0}” stands")]
    NoSuchApproval(String),
    #[error("“{0}” is no supervisor now")]
    NoSupervisor(String),
    /// A roster or an approval may not be changed so.
    #[error("{what}")]
    Unfit { what: String, rule: PeopleRule },
    #[error("there is a shop in this folder already")]
    ShopThere,
    #[error("there is no shop in this folder")]
    NoShop,
    #[error("the system gives no random bytes: {0}")]
    Randomness(String),
    #[error("the certificate could not be made: {0}")]
    Certificate(String),
}

impl SessionError {
    /// Nobody has this id; the one that was probably meant is named.
    #[must_use]
    pub fn unknown(roster: &Roster, id: &str) -> Self {
        let known = roster.people().chain(roster.tablets());
        let known = known.filter(|holder| holder.retired().is_none());
        let near = nearest(id, known.map(|holder| holder.id().as_str()));
        Self::Unknown {
            id: id.to_owned(),
            meant: near.map_or_else(String::new, |near| format!(" Did you mean {near}?")),
        }
    }

    /// What to do about it, in one sentence.
    #[must_use]
    pub fn hint(&self) -> &'static str {
        match self {
            Self::Refused(_) => to_say!("Nothing was written. Do what comes now, then try again."),
            Self::Disk(error) => error.hint(),
            Self::Photo(_) => to_say!("Take the photograph again, as JPEG or PNG."),
            Self::Bundle(error) => error.hint(),
            Self::Key(KeyError::WrongPassphrase) => {
                to_say!("Type the passphrase again; watch capital letters.")
            }
            Self::Key(_) | Self::NotTheirKey(_) => {
                to_say!("Ask a supervisor to look at your key in the roster.")
            }
            Self::Record(_) | Self::Line(_) | Self::Entry(_) => {
                to_say!("Nothing was written. Keep a note of this and tell the author.")
            }
            Self::Content(_) => {
                to_say!("Run `witnessmark check` on the content folder and mend what it lists.")
            }
            Self::Instruments(_) => to_say!("Mend instruments.yaml in the shop's folder."),
            Self::Photograph { .. } => {
                to_say!(
                    "Put the photograph into certificates/ in the shop's folder, or take its name out of instruments.yaml."
                )
            }
            Self::Broken { .. } | Self::PhotoAltered(_) => {
                to_say!("Keep a copy of the shop's folder and run `witnessmark verify` on it.")
            }
            Self::NoPerson(_) => to_say!("Pick a name from the list, or have a supervisor add the person."),
            Self::Unknown { .. } => "`witnessmark people list` shows who is in the roster.",
            Self::NoKey(_) => {
                to_say!(
                    "Use the tablet that has it, or have a supervisor make a new one with `witnessmark people lost`."
                )
            }
            Self::HasLeft(_) => "An id is never given again: join them under another one.",
            Self::Past(_) => "Give a date that lies ahead.",
            Self::SameRoles(_) => "Nothing was written.",
            Self::NotLost => {
                "Use `witnessmark people rotate` for a key of one's own; a lost one takes another supervisor."
            }
            Self::ThisTablet(_) => {
                "Give it a new key with `witnessmark people tablet rotate`, or another tablet first."
            }
            Self::NoTablet => "A supervisor gives this machine one: `witnessmark people tablet add --by ID`.",
            Self::ClockBehind { .. } => "Set this machine's clock, then start again. Nothing was written.",
            Self::NobodySignedOn => to_say!("Sign on first."),
            Self::Wait(_) => to_say!("Wait until then; watch capital letters."),
            Self::NoJob => to_say!("Open a job first."),
            Self::NoSuchJob(_) => to_say!("Choose one of the jobs in the content."),
            Self::Passphrase(_) => "Choose another passphrase.",
            Self::Named { .. } => "Write it in another way.",
            Self::NotApproved { .. } => {
                to_say!(
                    "A supervisor approves it with `witnessmark approve`. A practice run can be opened meanwhile."
                )
            }
            Self::NoSuchApproval(_) => "`witnessmark approve --list` shows what is approved.",
            Self::NoSupervisor(_) => "Have a supervisor of this shop do it with their own passphrase.",
            Self::Unfit { rule, .. } => unfit(*rule),
            Self::ShopThere => "Choose another folder, or open this shop.",
            Self::NoShop => {
                "Make one with `witnessmark people found`, bring one back from its bundle with `witnessmark restore`, or choose the shop's folder with --shop."
            }
            Self::Randomness(_) => "Start the machine again; keys are not made without randomness.",
            Self::Certificate(_) => to_say!("The record itself is whole. Try `witnessmark report` later."),
        }
    }
}

fn unfit(rule: PeopleRule) -> &'static str {
    match rule {
        PeopleRule::LastSupervisor => "Make somebody else a supervisor first.",
        PeopleRule::IdRepeat => {
            "Choose another id; `witnessmark people list --all` shows all that were given."
        }
        PeopleRule::BadValidity => "Nothing was written. Mend the dates, or try again in a moment.",
        PeopleRule::UnknownPerson => "`witnessmark people list` shows who is in the roster.",
        PeopleRule::ApprovalMismatch => "`witnessmark approve --list` shows what is approved.",
        _ => "Nothing was written.",
    }
}

/// What a supervisor asked for that the roster or the approvals cannot take, or a file that does not hold.
pub(super) fn refused(file: &str, findings: &[crate::people::PeopleFinding]) -> SessionError {
    let wrong = findings.iter().find(|finding| finding.rule.breaks());
    match wrong {
        Some(finding) if !matches!(finding.rule, PeopleRule::Line(_)) => SessionError::Unfit {
            what: finding.what.clone(),
            rule: finding.rule,
        },
        _ => broken(file, findings),
    }
}

/// A file whose lines do not hold, with the first findings.
pub(super) fn broken(file: &str, findings: &[crate::people::PeopleFinding]) -> SessionError {
    let what: Vec<String> = findings.iter().take(3).map(ToString::to_string).collect();
    SessionError::Broken {
        file: file.to_owned(),
        what: what.join("; "),
    }
}
