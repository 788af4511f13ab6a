//! Large pieces of memory, which go back to the system as soon as nobody needs them.
//!
//! The allocator of glibc watches how large the pieces are that are given back, and from then on keeps what is as large
//! for later. One photograph of 8 megapixels takes 24 MB while it is decoded: after a few of them, on threads that have
//! a heap each, 85 MiB stayed with the kiosk for nothing. A threshold that is set does not move.

use std::sync::Once;

/// From this size on a piece of memory is the system's own, in bytes.
const LARGE: i32 = 1024 * 1024;

/// Sees to it, once; elsewhere than on glibc it does nothing.
pub(super) fn give_back() {
    static ONCE: Once = Once::new();
    ONCE.call_once(|| {
        #[cfg(all(target_os = "linux", target_env = "gnu"))]
        {
            // SAFETY: it sets a number of the allocator's, under the allocator's lock; a thread that asks for memory
            // meanwhile finds the old number or the new one, and either will do.
            #[allow(unsafe_code)]
            let done = unsafe { libc::mallopt(libc::M_MMAP_THRESHOLD, LARGE) };
            // It refuses only thresholds beyond its largest heap, and nothing is lost but memory.
            debug_assert_eq!(done, 1, "the threshold was refused");
        }
    });
}
