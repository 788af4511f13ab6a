//! Where pictures are found and decoded, beside the screen: one thread for as long as a page of photographs is open.

use crate::photo::{self, Seen};
use crate::session::{self, Inbox, Look, SessionError};
use std::collections::VecDeque;
use std::path::PathBuf;
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, TryRecvError, channel};
use std::time::Duration;

/// The pause between two looks at the folder.
const LOOK: Duration = Duration::from_millis(700);
/// The longest side of a picture in the list, in pixels.
const SMALL: u32 = 420;
/// The longest side of the picture that is looked at, in pixels.
const LARGE: u32 = photo::KEPT_SIDE;

/// Where the pictures lie.
#[derive(Clone, Debug)]
pub(super) enum Shelf {
    /// A folder that a camera fills.
    Inbox(PathBuf),
    /// The photographs of a job.
    Kept(PathBuf),
}

/// What is wanted of the darkroom. What was wanted before and is not done yet is forgotten.
enum Order {
    /// These, small.
    Small(Vec<String>),
    /// This one, large.
    Large(String),
}

/// What comes out of the darkroom.
pub(super) enum Print {
    Looked(Result<Look, SessionError>),
    Small(String, Result<Seen, SessionError>),
    Large(String, Result<Seen, SessionError>),
}

/// The thread as the screen holds it; it ends when this is dropped.
pub(super) struct Darkroom {
    orders: Sender<Order>,
    prints: Receiver<Print>,
}

impl Darkroom {
    pub fn open(shelf: Shelf) -> Self {
        let (orders, wanted) = channel();
        let (done, prints) = channel();
        std::thread::spawn(move || Worker::new(shelf, done).work(&wanted));
        Self { orders, prints }
    }

    /// These pictures are wanted small, and no others any more.
    pub fn small(&self, names: Vec<String>) {
        // A thread that is gone has told why, or its window is closed.
        let _ = self.orders.send(Order::Small(names));
    }

    /// This picture is wanted large.
    pub fn large(&self, name: &str) {
        let _ = self.orders.send(Order::Large(name.to_owned()));
    }

    /// What came out since the last time.
    pub fn prints(&self) -> Vec<Print> {
        self.prints.try_iter().collect()
    }
}

struct Worker {
    shelf: Shelf,
    inbox: Option<Inbox>,
    done: Sender<Print>,
    small: VecDeque<String>,
    large: Option<String>,
    /// What was told of the folder last, so that the same is not told again.
    told: Option<Result<Vec<session::Snap>, String>>,
}

impl Worker {
    fn new(shelf: Shelf, done: Sender<Print>) -> Self {
        let inbox = match &shelf {
            Shelf::Inbox(folder) => Some(Inbox::new(folder)),
            Shelf::Kept(_) => None,
        };
        Self {
            shelf,
            inbox,
            done,
            small: VecDeque::new(),
            large: None,
            told: None,
        }
    }

    /// Works until nobody waits any more.
    fn work(mut self, wanted: &Receiver<Order>) {
        let mut open = self.look();
        while open {
            open = match self.next() {
                Some(print) => self.done.send(print).is_ok() && self.newer(wanted),
                None => match wanted.recv_timeout(LOOK) {
                    Ok(order) => {
                        self.take(order);
                        true
                    }
                    Err(RecvTimeoutError::Timeout) => self.look(),
                    Err(RecvTimeoutError::Disconnected) => false,
                },
            };
        }
    }

    /// What was ordered while a picture was decoded.
    fn newer(&mut self, wanted: &Receiver<Order>) -> bool {
        loop {
            match wanted.try_recv() {
                Ok(order) => self.take(order),
                Err(TryRecvError::Empty) => return true,
                Err(TryRecvError::Disconnected) => return false,
            }
        }
    }

    fn take(&mut self, order: Order) {
        match order {
            Order::Small(names) => self.small = names.into(),
            Order::Large(name) => self.large = Some(name),
        }
    }

    /// The next picture; a large one first, since somebody looks at an empty frame.
    fn next(&mut self) -> Option<Print> {
        if let Some(name) = self.large.take() {
            let seen = self.decode(&name, LARGE);
            return Some(Print::Large(name, seen));
        }
        let name = self.small.pop_front()?;
        let seen = self.decode(&name, SMALL);
        Some(Print::Small(name, seen))
    }

    fn decode(&self, name: &str, side: u32) -> Result<Seen, SessionError> {
        let bytes = match &self.shelf {
            Shelf::Inbox(folder) => session::snap(folder, name, photo::MOST_BYTES as u64)?,
            Shelf::Kept(folder) => session::kept_photo(folder, name)?,
        };
        Ok(photo::seen(&bytes, side)?)
    }

    /// Looks at the folder and tells what changed. Whether anybody still waits.
    fn look(&mut self) -> bool {
        let Some(inbox) = &mut self.inbox else {
            return true;
        };
        let look = inbox.look().map_err(SessionError::from);
        let told = match &look {
            Ok(look) => Ok(look.snaps.clone()),
            Err(error) => Err(error.to_string()),
        };
        let fresh = look.as_ref().is_ok_and(|look| !look.fresh.is_empty());
        if !fresh && self.told.as_ref() == Some(&told) {
            return true;
        }
        self.told = Some(told);
        self.done.send(Print::Looked(look)).is_ok()
    }
}
