//! What work with a secret leaves on the stack is overwritten.

use std::hint::black_box;

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

/// The zeros are written for whoever might look at them, so that no compiler leaves them out.
#[inline(never)]
fn sweep() {
    black_box(&mut [0_u8; SWEPT]);
}
