//! The customer's data beside the record, held against the commitments in its cards.

use super::{Files, Finding, Meaning, files};
use crate::player::fact::{Answer, Body, Fact};
use crate::record::Personal;
use std::sync::Arc;

/// The longest `personal.json` that is read, in bytes.
const MOST_PERSONAL: u64 = 4 * 1024 * 1024;

/// Every commitment is opened by an answer of its own field. The file may be left out, since the data may be
/// nobody's business; more answers than commitments may stand in it, for an interruption can come between both.
pub(super) fn check(folder: &dyn Files, facts: &[Arc<Fact>]) -> Vec<Finding> {
    const FILE: &str = "personal.json";
    let bytes = match files::bytes(folder, FILE, MOST_PERSONAL) {
        Ok(Some(bytes)) => bytes,
        Ok(None) => return Vec::new(),
        Err(error) => return vec![Finding::new(Meaning::Unreadable, FILE, error.to_string())],
    };
    let altered = |what: String| Finding::new(Meaning::PersonalAltered, FILE, what);
    let personal = match serde_json::from_slice::<Personal>(&bytes) {
        Ok(personal) if personal.v == 1 => personal,
        Ok(personal) => return vec![altered(format!("it is of version {}", personal.v))],
        Err(error) => return vec![altered(error.to_string())],
    };
    let opened = |group: &str, field: &str, commitment: &str| {
        let own = personal
            .answers
            .iter()
            .filter(|answer| answer.group == group && answer.field == field);
        own.into_iter()
            .any(|answer| answer.commitment().to_string() == commitment)
    };
    let cards = facts.iter().filter_map(|fact| match &fact.body {
        Body::Card(card) => Some((fact.n, card)),
        _ => None,
    });
    let committed = cards.flat_map(|(n, card)| card.answers.iter().map(move |given| (n, given)));
    let closed = committed.filter(|(_, given)| match &given.answer {
        Answer::Committed { commitment } => !opened(&given.group, &given.field, commitment),
        Answer::Open { .. } => false,
    });
    closed
        .map(|(n, given)| {
            let (group, field) = (&given.group, &given.field);
            altered(format!(
                "no answer in it opens the commitment to {group}.{field} in entry {n}"
            ))
        })
        .collect()
}
