//! The deviations of a job and how far each has come.

use super::grown::Grown;
use crate::procedure::StepRef;
use std::collections::BTreeSet;
use std::sync::Arc;

/// How far a deviation has come.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Course {
    /// Somebody must decide.
    Open,
    /// The reading is being taken again.
    Measuring,
    /// The work is being done again.
    Reworking,
    /// Accepted by a supervisor, in this entry.
    Conceded(u64),
    /// In its band again, by this entry.
    Resolved(u64),
}

/// What a deviation is about.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Concern {
    Reading(String),
    WorkOut(String),
    NotAsWritten,
}

/// A deviation and its course.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Deviation {
    pub n: u64,
    pub step: StepRef,
    pub concern: Concern,
    pub what: String,
    pub course: Course,
    /// The reason why no supervisor may accept it.
    pub no_concession: Option<String>,
}

impl Deviation {
    /// Whether the job may end with it.
    #[must_use]
    pub fn settled(&self) -> bool {
        matches!(self.course, Course::Conceded(_) | Course::Resolved(_))
    }
}

/// All deviations of a job, by the number of their entry. Copies share what both have, and those that are resolved,
/// which a long job has many of, are not looked through for the few that are not.
#[derive(Clone, Debug, Default)]
pub struct Deviations {
    all: Grown<Arc<Deviation>>,
    /// The places of those that are not resolved.
    unresolved: Arc<BTreeSet<usize>>,
}

impl Deviations {
    /// How many there are.
    #[must_use]
    pub fn len(&self) -> usize {
        self.all.len()
    }

    /// Whether there is none.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.all.is_empty()
    }

    /// The deviation that this entry opened.
    #[must_use]
    pub fn get(&self, n: u64) -> Option<&Deviation> {
        self.all.get(self.place(n)?).map(|deviation| &**deviation)
    }

    /// All of them, in the order of their entries.
    pub fn iter(&self) -> impl Iterator<Item = &Deviation> {
        self.all.iter().map(|deviation| &**deviation)
    }

    /// Those that are not resolved, the conceded ones among them, in the order of their entries.
    pub fn unresolved(&self) -> impl Iterator<Item = &Deviation> {
        let places = self.unresolved.iter();
        places.filter_map(|place| self.all.get(*place).map(|deviation| &**deviation))
    }

    /// Adds one that is open. Its entry stands behind those of all others.
    pub(super) fn add(&mut self, deviation: Deviation) {
        Arc::make_mut(&mut self.unresolved).insert(self.all.len());
        self.all.push(Arc::new(deviation));
    }

    /// Gives the deviation of this entry another course; without one, nothing changes.
    pub(super) fn set_course(&mut self, n: u64, course: Course) {
        let Some(place) = self.place(n) else { return };
        let Some(deviation) = self.all.get_mut(place) else {
            return;
        };
        Arc::make_mut(deviation).course = course;
        let resolved = matches!(course, Course::Resolved(_));
        if resolved == self.unresolved.contains(&place) {
            let unresolved = Arc::make_mut(&mut self.unresolved);
            if resolved {
                unresolved.remove(&place);
            } else {
                unresolved.insert(place);
            }
        }
    }

    fn place(&self, n: u64) -> Option<usize> {
        let place = self.all.partition_point(|deviation| deviation.n < n);
        let found = self.all.get(place);
        found.is_some_and(|deviation| deviation.n == n).then_some(place)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn deviation(n: u64) -> Deviation {
        Deviation {
            n,
            step: StepRef {
                procedure: "box".into(),
                step: "close".into(),
            },
            concern: Concern::NotAsWritten,
            what: "The lid was bent.".into(),
            course: Course::Open,
            no_concession: None,
        }
    }

    fn unresolved(of: &Deviations) -> Vec<u64> {
        of.unresolved().map(|deviation| deviation.n).collect()
    }

    #[test]
    fn each_is_found_by_its_entry_and_only_resolved_ones_are_passed_over() {
        let mut all = Deviations::default();
        for n in 0..200 {
            all.add(deviation(3 * n + 1));
        }
        for n in 0..605 {
            let found = all.get(n).map(|deviation| deviation.n);
            assert_eq!(found, (n % 3 == 1 && n < 600).then_some(n), "{n}");
        }
        let before = all.clone();
        for n in (0..200).filter(|n| *n != 70 && *n != 71) {
            all.set_course(3 * n + 1, Course::Resolved(700));
        }
        all.set_course(2, Course::Resolved(700));
        all.set_course(214, Course::Conceded(701));
        assert_eq!(unresolved(&all), [211, 214]);
        assert_eq!((all.len(), unresolved(&before).len()), (200, 200));
        // A record that lies may name one again that has ended.
        all.set_course(1, Course::Reworking);
        assert_eq!(unresolved(&all), [1, 211, 214]);
        assert_eq!(
            all.get(1).map(|deviation| deviation.course),
            Some(Course::Reworking)
        );
    }
}
