//! Lines of a long file taken together, so that all cores check their signatures.

use std::io::{self, BufRead};
use std::num::NonZero;

use crate::seal::{Lines, RawLine};

/// The most lines that are in memory at once.
const MOST_LINES: usize = 1024;
/// The most bytes of them, the last line apart.
const MOST_BYTES: usize = 4 * 1024 * 1024;
/// Fewer lines are sooner checked by one thread.
const FEW: usize = 32;
/// The most threads.
const MOST_THREADS: usize = 8;

/// The next lines, none at the end of the file; and the error that no line comes after.
pub(super) fn next<R: BufRead>(lines: &mut Lines<R>) -> (Vec<RawLine>, Option<io::Error>) {
    let (mut batch, mut bytes) = (Vec::new(), 0);
    while batch.len() < MOST_LINES && bytes < MOST_BYTES {
        match lines.next() {
            None => break,
            Some(Err(error)) => return (batch, Some(error)),
            Some(Ok(line)) => {
                bytes += line.bytes.len();
                batch.push(line);
            }
        }
    }
    (batch, None)
}

/// What `make` makes of each line, in the lines' order.
pub(super) fn side_by_side<T: Send>(lines: &[RawLine], make: &(dyn Fn(&RawLine) -> T + Sync)) -> Vec<T> {
    let alone = || lines.iter().map(make).collect();
    if lines.len() < FEW {
        return alone();
    }
    let cores = std::thread::available_parallelism().map_or(1, NonZero::get);
    if cores == 1 {
        return alone();
    }
    let share = lines.len().div_ceil(cores.min(MOST_THREADS));
    std::thread::scope(|scope| {
        let parts: Vec<_> = lines
            .chunks(share)
            .map(|part| scope.spawn(|| part.iter().map(make).collect::<Vec<T>>()))
            .collect();
        let joined = parts.into_iter().flat_map(|part| match part.join() {
            Ok(made) => made,
            Err(panic) => std::panic::resume_unwind(panic),
        });
        joined.collect()
    })
}
