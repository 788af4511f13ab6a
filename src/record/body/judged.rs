//! Readings and figures, each with the band that judged it.

use super::form::{Form, Unfit, form, words};
use super::value::{Amount, Named, Value};
use crate::player::fact::{self, Verdict};
use crate::procedure;
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};

form! {
    /// The body of `reading`.
    Reading for fact::ReadingTaken {
        step: String,
        name: String,
        label: String,
        typed: String,
        #[serde(rename = "is")]
        value: Value,
        shown: String,
        #[serde(skip_serializing_if = "Option::is_none")]
        instrument: Option<Instrument>,
        #[serde(skip_serializing_if = "Option::is_none")]
        live: Option<Live>,
        #[serde(rename = "band", skip_serializing_if = "Option::is_none")]
        limits: Option<Band>,
        #[serde(skip_serializing_if = "Option::is_none")]
        guard_band: Option<GuardBand>,
        #[serde(skip_serializing_if = "Option::is_none")]
        unjudged: Option<String>,
        verdict: Outcome,
        #[serde(default, skip_serializing_if = "std::ops::Not::not")]
        confirmed: bool,
    }

    /// The instrument with its calibration and its uncertainty.
    Instrument for fact::InstrumentUsed {
        id: String,
        name: String,
        serial: String,
        calibrated: NaiveDate,
        due: NaiveDate,
        #[serde(skip_serializing_if = "Option::is_none")]
        uncertainty: Option<Amount>,
        #[serde(skip_serializing_if = "Option::is_none")]
        stated: Option<String>,
        #[serde(skip_serializing_if = "Option::is_none")]
        certificate: Option<String>,
    }

    /// What the instrument itself said.
    Live for fact::Live {
        identity: Said,
        asked: Said,
        reply: Said,
    }

    /// What the instrument's uncertainty leaves of a band.
    GuardBand for procedure::GuardBand {
        width: Amount,
        #[serde(skip_serializing_if = "Option::is_none")]
        low: Option<Amount>,
        #[serde(skip_serializing_if = "Option::is_none")]
        high: Option<Amount>,
    }

    /// The body of `work-out`, and a figure of the job card.
    WorkOut for fact::WorkedOut {
        #[serde(skip_serializing_if = "Option::is_none")]
        step: Option<String>,
        name: String,
        label: String,
        calculator: String,
        revision: u32,
        inputs: Vec<Named>,
        outputs: Vec<Named>,
        notes: Vec<String>,
        #[serde(skip_serializing_if = "Option::is_none")]
        judged: Option<Judged>,
    }

    /// What a value had to lie in.
    Band for fact::LimitsShown {
        #[serde(skip_serializing_if = "Option::is_none")]
        low: Option<Amount>,
        #[serde(skip_serializing_if = "Option::is_none")]
        high: Option<Amount>,
        #[serde(skip_serializing_if = "Option::is_none")]
        one_of: Option<Vec<String>>,
        origin: String,
        #[serde(skip_serializing_if = "Option::is_none")]
        because: Option<String>,
        #[serde(skip_serializing_if = "Option::is_none")]
        no_concession: Option<String>,
    }
}

words! {
    /// How a value lay to its band.
    Outcome for Verdict { In, Undecided, Below, Above, NotAmong, Unjudged }
}

/// A text as an instrument may say it.
#[derive(Serialize, Deserialize)]
#[serde(transparent)]
pub(super) struct Said(String);

impl Form<String> for Said {
    fn form(part: &String) -> Self {
        Self(part.clone())
    }

    fn part(self) -> Result<String, Unfit> {
        if fact::Live::may_say(&self.0) {
            return Ok(self.0);
        }
        let found: String = self.0.escape_default().take(80).collect();
        Err(Unfit(format!(
            "`{found}` is not what a meter says: 1 to {} characters of printable ASCII are expected",
            fact::Live::LONGEST
        )))
    }
}

/// Which output was judged, by which band, and how.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Judged {
    output: String,
    band: Band,
    verdict: Outcome,
}

impl Form<(String, fact::LimitsShown, Verdict)> for Judged {
    fn form((output, limits, verdict): &(String, fact::LimitsShown, Verdict)) -> Self {
        Self {
            output: output.clone(),
            band: Form::form(limits),
            verdict: Form::form(verdict),
        }
    }

    fn part(self) -> Result<(String, fact::LimitsShown, Verdict), Unfit> {
        Ok((self.output, self.band.part()?, self.verdict.part()?))
    }
}
