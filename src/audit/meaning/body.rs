//! What should stand, held against what stands.

use super::value::{band, guarded, in_words, said, same_ends, same_limits, same_value, same_values};
use crate::audit::Meaning;
use crate::calc;
use crate::player::fact::{
    Answer, Body, Card, CardAnswer, CheckDone, InstrumentUsed, LimitsShown, ReadingTaken, Verdict, WorkedOut,
};
use crate::procedure::GuardBand;
use crate::quantity::Quantity;
use crate::record::Kind;

type Differences = Vec<(Meaning, String)>;

/// Everything in which a fact differs from what it should be. Both are of one kind.
///
/// `statements`: whether the words that people sign must be this program's.
pub(super) fn differences(should: &Body, found: &Body, statements: bool) -> Differences {
    match (should, found) {
        (Body::Card(should), Body::Card(found)) => cards(should, found),
        (Body::Read(should), Body::Read(found)) => readings(should, found),
        (Body::WorkedOut(should), Body::WorkedOut(found)) => figures(should, found),
        (Body::SignOff { covers, .. }, Body::SignOff { covers: other, .. })
        | (Body::JobRelease { covers, .. }, Body::JobRelease { covers: other, .. })
        | (Body::Release { covers, .. }, Body::Release { covers: other, .. })
            if covers != other =>
        {
            vec![(Meaning::CoverageDiffers, covered(covers, other))]
        }
        (Body::SignOff { .. } | Body::JobRelease { .. }, _) if !statements => Vec::new(),
        _ if should == found => Vec::new(),
        _ => vec![(
            rule_of(should),
            format!("the {} differs from {}", Kind::from(found), source_of(should)),
        )],
    }
}

/// What it means that a fact is not there.
pub(super) fn missing(should: &Body) -> (Meaning, String) {
    let (rule, what) = match should {
        Body::Deviation { step, what, .. } => (
            Meaning::ReadingWithoutDeviation,
            format!("no deviation was opened at step {step} before this: {what}"),
        ),
        Body::Plan(_) => (Meaning::PlanDiffers, "no plan follows the job card".to_owned()),
        Body::WorkedOut(worked) => (
            Meaning::OutputDiffers,
            format!("the figure “{}” was not worked out before this", worked.label),
        ),
        Body::Resolved { deviation, .. } => (
            Meaning::EntryDiffers,
            format!("the end of deviation {deviation} does not stand before this"),
        ),
        other => (
            Meaning::MissingStep,
            format!("the {} is missing before this", Kind::from(other)),
        ),
    };
    (rule, what)
}

fn rule_of(should: &Body) -> Meaning {
    match should {
        Body::Plan(_) | Body::Rework { .. } | Body::SendBack { .. } => Meaning::PlanDiffers,
        Body::Begin { .. }
        | Body::Acknowledged { .. }
        | Body::Done { .. }
        | Body::Witness { .. }
        | Body::Release { .. }
        | Body::CloseOut { .. }
        | Body::SignOff { .. }
        | Body::JobRelease { .. } => Meaning::WordingDiffers,
        Body::Answered { .. } => Meaning::VerdictDiffers,
        Body::Closing { .. } => Meaning::CoverageDiffers,
        _ => Meaning::EntryDiffers,
    }
}

fn source_of(should: &Body) -> &'static str {
    match should {
        Body::Closing { .. } => "the number of entries",
        Body::SignOff { .. } | Body::JobRelease { .. } => "the words that are signed",
        Body::Deviation { .. } | Body::Resolved { .. } => "what the values give",
        _ => "what the content gives for this card",
    }
}

fn covered(should: &[u64], found: &[u64]) -> String {
    let list = |these: &[u64], those: &[u64]| {
        let alone = these.iter().filter(|n| !those.contains(n)).take(10);
        let alone: Vec<String> = alone.map(ToString::to_string).collect();
        if alone.is_empty() {
            "none".to_owned()
        } else {
            alone.join(", ")
        }
    };
    format!(
        "entries left out: {}; entries that are not of this work: {}",
        list(should, found),
        list(found, should)
    )
}

fn readings(should: &ReadingTaken, found: &ReadingTaken) -> Differences {
    let mut differences = Vec::new();
    if !same_value(&should.value, &found.value) {
        let (typed, is, stands) = (&found.typed, said(&should.value), said(&found.value));
        differences.push((
            Meaning::ValueDiffers,
            format!("“{typed}” is {is}, the entry has {stands}"),
        ));
    }
    if (&should.label, &should.shown, &should.unjudged) != (&found.label, &found.shown, &found.unjudged) {
        let what = "label, shown value or the reason for having no band differ from what the content gives";
        differences.push((Meaning::WordingDiffers, what.to_owned()));
    }
    if should.confirmed != found.confirmed {
        let what = "whether the value lies outside what can be, and was confirmed, differs from what the content gives";
        differences.push((Meaning::ValueDiffers, what.to_owned()));
    }
    differences.extend(instruments(should.instrument.as_ref(), found.instrument.as_ref()));
    differences.extend(limits(should.limits.as_ref(), found.limits.as_ref()));
    differences.extend(guard_bands(should.guard_band.as_ref(), found.guard_band.as_ref()));
    differences.extend(verdicts(should.verdict, found.verdict));
    differences
}

fn limits(should: Option<&LimitsShown>, found: Option<&LimitsShown>) -> Option<(Meaning, String)> {
    let words = |limits: Option<&LimitsShown>| limits.map_or_else(|| "none".to_owned(), band);
    let same = match (should, found) {
        (Some(should), Some(found)) => same_limits(should, found),
        (should, found) => should.is_none() && found.is_none(),
    };
    let what = || format!("the band is {}, the entry has {}", words(should), words(found));
    (!same).then(|| (Meaning::BandDiffers, what()))
}

fn instruments(should: Option<&InstrumentUsed>, found: Option<&InstrumentUsed>) -> Option<(Meaning, String)> {
    let bare = |used: &InstrumentUsed| InstrumentUsed {
        uncertainty: None,
        ..used.clone()
    };
    if should.map(bare) != found.map(bare) {
        let what =
            "the content wants an instrument for this reading, or wants none, other than the entry has";
        return Some((Meaning::Instrument, what.to_owned()));
    }
    let uncertainty = |used: Option<&InstrumentUsed>| used.and_then(|used| used.uncertainty);
    let (should, found) = (uncertainty(should), uncertainty(found));
    let what = || {
        format!(
            "the register gives the instrument an uncertainty of {}, the entry has {}",
            width(should),
            width(found)
        )
    };
    (!same_ends(should, found)).then(|| (Meaning::Instrument, what()))
}

fn guard_bands(should: Option<&GuardBand>, found: Option<&GuardBand>) -> Option<(Meaning, String)> {
    let same = match (should, found) {
        (Some(should), Some(found)) => {
            same_ends(Some(should.width), Some(found.width))
                && same_ends(should.low, found.low)
                && same_ends(should.high, found.high)
        }
        (should, found) => should.is_none() && found.is_none(),
    };
    let words = |guard_band: Option<&GuardBand>| guard_band.map_or_else(|| "none".to_owned(), guarded);
    let what = || {
        format!(
            "the guard band is {}, the entry has {}",
            words(should),
            words(found)
        )
    };
    (!same).then(|| (Meaning::BandDiffers, what()))
}

fn width(width: Option<Quantity>) -> String {
    width.map_or_else(|| "none".to_owned(), |width| width.to_string())
}

fn verdicts(should: Verdict, found: Verdict) -> Option<(Meaning, String)> {
    let what = || {
        format!(
            "the value lies {}, the entry says {}",
            verdict(should),
            verdict(found)
        )
    };
    (should != found).then(|| (Meaning::VerdictDiffers, what()))
}

fn verdict(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::In => "in its band",
        Verdict::Undecided => "in its band, but nearer to a limit than its instrument can tell",
        Verdict::Below => "below its band",
        Verdict::Above => "above its band",
        Verdict::NotAmong => "outside what is allowed",
        Verdict::Unjudged => "in no band",
    }
}

fn figures(should: &WorkedOut, found: &WorkedOut) -> Differences {
    let mut differences: Differences = outputs(should, found).into_iter().collect();
    if (&should.label, &should.notes) != (&found.label, &found.notes) {
        differences.push((
            Meaning::WordingDiffers,
            format!("label or notes of “{}” differ", should.label),
        ));
    }
    match (&should.judged, &found.judged) {
        (Some((a, low, one)), Some((b, high, other))) if a == b => {
            differences.extend(limits(Some(low), Some(high)));
            differences.extend(verdicts(*one, *other));
        }
        (None, None) => {}
        _ => differences.push((
            Meaning::BandDiffers,
            "another output is judged than the content names".into(),
        )),
    }
    differences
}

fn outputs(should: &WorkedOut, found: &WorkedOut) -> Option<(Meaning, String)> {
    let run = |worked: &WorkedOut| {
        let WorkedOut {
            calculator,
            revision,
            name,
            ..
        } = worked;
        format!("{calculator} revision {revision} for “{name}”")
    };
    let differ = |what: &str, should: String, found: String| {
        Some((
            Meaning::OutputDiffers,
            format!("{what} {should}, the entry has {found}"),
        ))
    };
    if should.step != found.step || run(should) != run(found) {
        differ("the content runs", run(should), run(found))
    } else if !same_values(&should.inputs, &found.inputs) {
        differ(
            "the inputs are",
            in_words(&should.inputs),
            in_words(&found.inputs),
        )
    } else if !same_values(&should.outputs, &found.outputs) {
        differ(
            "the outputs are",
            in_words(&should.outputs),
            in_words(&found.outputs),
        )
    } else {
        None
    }
}

fn cards(should: &Card, found: &Card) -> Differences {
    let mut differences = Vec::new();
    if should.answers.len() != found.answers.len()
        || should.figures.len() != found.figures.len()
        || should.checks.len() != found.checks.len()
    {
        let what = "answers, figures or checks are more or fewer than the content has for this car";
        return vec![(Meaning::CardDiffers, what.to_owned())];
    }
    differences.extend(
        should
            .answers
            .iter()
            .zip(&found.answers)
            .filter_map(|(a, b)| answer(a, b)),
    );
    differences.extend(
        should
            .figures
            .iter()
            .zip(&found.figures)
            .flat_map(|(a, b)| figures(a, b)),
    );
    differences.extend(
        should
            .checks
            .iter()
            .zip(&found.checks)
            .flat_map(|(a, b)| check(a, b)),
    );
    if should.reopens != found.reopens {
        differences.push((
            Meaning::PlanDiffers,
            "the card opens other steps again than it should".to_owned(),
        ));
    }
    differences
}

fn answer(should: &CardAnswer, found: &CardAnswer) -> Option<(Meaning, String)> {
    if should == found {
        return None;
    }
    let place = format!("card.{}.{}", should.group, should.field);
    match (&should.answer, &found.answer) {
        (Answer::Open { typed, value, .. }, Answer::Open { value: other, .. })
            if !same_value(value, other) =>
        {
            let what = format!(
                "{place}: “{typed}” is {}, the entry has {}",
                said(value),
                said(other)
            );
            Some((Meaning::ValueDiffers, what))
        }
        (
            Answer::Open {
                value: calc::Value::Quantity(_),
                shown,
                ..
            },
            Answer::Open { shown: other, .. },
        ) if (&should.group, &should.field, &should.label, shown)
            == (&found.group, &found.field, &found.label, other) =>
        {
            None
        }
        _ => Some((
            Meaning::CardDiffers,
            format!("{place}: label, shown value or form differ"),
        )),
    }
}

fn check(should: &CheckDone, found: &CheckDone) -> Differences {
    let mut differences = Vec::new();
    if (&should.id, &should.says, should.advice) != (&found.id, &found.says, found.advice) {
        differences.push((
            Meaning::WordingDiffers,
            format!("the check {} differs", should.id),
        ));
    }
    if !same_value(&should.value, &found.value) {
        let (is, stands) = (said(&should.value), said(&found.value));
        differences.push((
            Meaning::ValueDiffers,
            format!("the check {} judges {is}, the entry has {stands}", should.id),
        ));
    }
    differences.extend(limits(Some(&should.limits), Some(&found.limits)));
    differences.extend(verdicts(should.verdict, found.verdict));
    differences
}
