//! What work with a secret leaves on the stack is overwritten.

use std::hint::black_box;
use zeroize::Zeroize;

/// How much of the stack is overwritten, in bytes: more than the deepest work with a key takes without optimisation,
/// which `tests/rooms/wiping.rs` holds it to, and little of the 2 MiB that a thread has.
const SWEPT: usize = 128 * 1024;

/// Does work with a secret, then overwrites the stack that it used: libraries copy seeds and passphrases there and
/// leave them. What the work gives must hold no secret but on the heap.
pub(super) fn swept<T>(work: impl FnOnce() -> T) -> T {
    let done = below(work);
    sweep();
    done
}

/// A frame of its own, so that all that the work puts on the stack lies where `sweep` reaches.
#[inline(never)]
fn below<T>(work: impl FnOnce() -> T) -> T {
    black_box(work())
}

#[inline(never)]
fn sweep() {
    let mut room = [0xff_u8; SWEPT];
    black_box(&mut room);
    room.zeroize();
    black_box(&room);
}
