//! Which entry stands last for each name: the reading or the figure that counts now.

use super::fact::{Body, Fact, ReadingTaken, WorkedOut};
use super::grown::Grown;
use crate::procedure::ProcedureId;
use std::collections::BTreeMap;
use std::sync::Arc;

/// For each procedure and name the number of the entry that stands. Copies share each procedure's names.
#[derive(Clone, Debug, Default)]
pub(super) struct Latest(Arc<BTreeMap<ProcedureId, Arc<BTreeMap<String, u64>>>>);

impl Latest {
    /// The entry that stands for this name.
    pub(super) fn get(&self, procedure: &ProcedureId, name: &str) -> Option<u64> {
        self.0.get(procedure)?.get(name).copied()
    }

    /// The entries that stand, in the order of procedures and names.
    pub(super) fn entries(&self) -> impl Iterator<Item = u64> {
        self.0.values().flat_map(|names| names.values().copied())
    }

    /// From here on this entry stands for the name.
    pub(super) fn set(&mut self, procedure: &ProcedureId, name: &str, n: u64) {
        let all = Arc::make_mut(&mut self.0);
        let names = Arc::make_mut(all.entry(procedure.clone()).or_default());
        names.insert(name.to_owned(), n);
    }

    /// From here on no entry stands for the name.
    pub(super) fn remove(&mut self, procedure: &ProcedureId, name: &str) {
        if self.get(procedure, name).is_some() {
            let names = Arc::make_mut(&mut self.0).get_mut(procedure);
            names.and_then(|names| Arc::make_mut(names).remove(name));
        }
    }

    /// Keeps the entries of which `stands` holds.
    pub(super) fn retain(&mut self, stands: impl Fn(u64) -> bool) {
        if self.entries().any(|n| !stands(n)) {
            for names in Arc::make_mut(&mut self.0).values_mut() {
                if names.values().any(|n| !stands(*n)) {
                    Arc::make_mut(names).retain(|_, n| stands(*n));
                }
            }
        }
    }
}

/// The reading that an entry took.
pub(super) fn reading_of(facts: &Grown<Arc<Fact>>, n: u64) -> Option<&ReadingTaken> {
    match &facts.get(usize::try_from(n).ok()?)?.body {
        Body::Read(reading) => Some(reading),
        _ => None,
    }
}

/// The figure that an entry worked out.
pub(super) fn work_of(facts: &Grown<Arc<Fact>>, n: u64) -> Option<&WorkedOut> {
    match &facts.get(usize::try_from(n).ok()?)?.body {
        Body::WorkedOut(worked) => Some(worked),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_last_entry_of_a_name_stands_and_copies_go_their_own_ways() {
        let (cut_out, fuel) = (ProcedureId::from("cut-out"), ProcedureId::from("fuel"));
        let mut latest = Latest::default();
        latest.set(&fuel, "trip", 4);
        latest.set(&cut_out, "trip", 5);
        latest.set(&cut_out, "idle", 6);
        let before = latest.clone();
        latest.set(&cut_out, "trip", 9);
        assert_eq!(
            [
                latest.get(&cut_out, "trip"),
                before.get(&cut_out, "trip"),
                latest.get(&fuel, "idle")
            ],
            [Some(9), Some(5), None]
        );
        assert_eq!(latest.entries().collect::<Vec<_>>(), [6, 9, 4]);
        latest.remove(&fuel, "trip");
        latest.remove(&fuel, "trip");
        latest.retain(|n| n != 6);
        assert_eq!(latest.entries().collect::<Vec<_>>(), [9]);
        assert_eq!(before.entries().collect::<Vec<_>>(), [6, 5, 4]);
    }
}
