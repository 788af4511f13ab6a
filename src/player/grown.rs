//! A list that only grows and costs little to copy: a state is copied at each event, however long its job is.

use std::sync::Arc;

/// How many items share one block. A copy shares all blocks; growing it copies at most the last one.
const BLOCK: usize = 64;

/// Items in their order. Copies share what both have.
#[derive(Clone, Debug)]
pub struct Grown<T> {
    full: Arc<Vec<Arc<Vec<T>>>>,
    last: Arc<Vec<T>>,
}

impl<T> Default for Grown<T> {
    fn default() -> Self {
        Self {
            full: Arc::default(),
            last: Arc::default(),
        }
    }
}

impl<T> Grown<T> {
    /// How many items there are.
    #[must_use]
    pub fn len(&self) -> usize {
        self.full.len() * BLOCK + self.last.len()
    }

    /// Whether there is none.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// The item at a place, counted from 0.
    #[must_use]
    pub fn get(&self, place: usize) -> Option<&T> {
        let block = self.full.get(place / BLOCK);
        let block = block.or_else(|| (place / BLOCK == self.full.len()).then_some(&self.last));
        block?.get(place % BLOCK)
    }

    /// How many items stand before the first of which `before` does not hold, where it holds of all before it and
    /// of none behind.
    pub(super) fn partition_point(&self, before: impl Fn(&T) -> bool) -> usize {
        let full = |block: &Arc<Vec<T>>| block.last().is_some_and(&before);
        let blocks = self.full.partition_point(full);
        let block = self.full.get(blocks).unwrap_or(&self.last);
        blocks * BLOCK + block.partition_point(before)
    }

    /// The item that came last.
    #[must_use]
    pub fn last(&self) -> Option<&T> {
        self.iter().next_back()
    }

    /// All items, from either end.
    pub fn iter(&self) -> impl DoubleEndedIterator<Item = &T> {
        self.full
            .iter()
            .chain([&self.last])
            .flat_map(|block| block.iter())
    }
}

impl<T: Clone> Grown<T> {
    /// The item at a place, to be changed: its block is copied if another list has it too.
    pub(super) fn get_mut(&mut self, place: usize) -> Option<&mut T> {
        let block = if place / BLOCK == self.full.len() {
            &mut self.last
        } else {
            Arc::make_mut(&mut self.full).get_mut(place / BLOCK)?
        };
        Arc::make_mut(block).get_mut(place % BLOCK)
    }

    /// Adds an item.
    pub fn push(&mut self, item: T) {
        let last = Arc::make_mut(&mut self.last);
        last.push(item);
        if last.len() == BLOCK {
            Arc::make_mut(&mut self.full).push(std::mem::take(&mut self.last));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_is_a_list_and_its_copies_go_their_own_ways() {
        let (mut grown, mut list) = (Grown::default(), Vec::new());
        for item in 0..3 * BLOCK + 2 {
            let before = grown.clone();
            grown.push(item);
            list.push(item);
            assert_eq!((before.len(), grown.len()), (item, item + 1));
            assert_eq!((before.get(item), grown.get(item)), (None, Some(&item)));
            assert_eq!(
                (grown.last(), before.last()),
                (Some(&item), item.checked_sub(1).as_ref())
            );
        }
        assert!(grown.iter().eq(&list) && grown.iter().rev().eq(list.iter().rev()));
        assert!((0..=list.len() + BLOCK).all(|place| grown.get(place) == list.get(place)));
        let mut other = grown.clone();
        grown.push(700);
        other.push(800);
        assert_eq!((grown.last(), other.last()), (Some(&700), Some(&800)));
        for place in 0..=list.len() + 1 {
            assert_eq!(grown.partition_point(|item| *item < place), place.min(list.len()));
        }
        for place in [0, BLOCK, list.len()] {
            *grown.get_mut(place).expect("an item") = 1_000 + place;
            assert_eq!(grown.get(place), Some(&(1_000 + place)));
            assert!(other.get(place).is_some_and(|item| *item < 1_000));
        }
        assert_eq!(grown.get_mut(list.len() + 1), None);
        assert_eq!(grown.get_mut(list.len() + BLOCK), None);
        assert!(Grown::<u8>::default().is_empty() && !grown.is_empty());
    }
}
