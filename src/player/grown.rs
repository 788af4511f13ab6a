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
        grown.push(7);
        other.push(8);
        assert_eq!((grown.last(), other.last()), (Some(&7), Some(&8)));
        assert!(Grown::<u8>::default().is_empty() && !grown.is_empty());
    }
}
