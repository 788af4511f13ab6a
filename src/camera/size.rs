//! Which of a camera's sizes is asked for: the largest that the record keeps whole.

use crate::photo::KEPT_SIDE;

/// What is asked of a camera that names no sizes, in pixels; it answers with the nearest that it has.
const ASKED: (u32, u32) = (1920, 1080);

/// The sizes that a camera gives in one format, in pixels.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Sizes {
    /// These: width and height.
    Listed(Vec<(u32, u32)>),
    /// All up to this width and height, in steps of so many pixels.
    Stepped { most: (u32, u32), step: (u32, u32) },
    /// The camera does not say.
    Unknown,
}

/// The size to ask for: the largest whose longest side is kept whole, or else the smallest; none where none is
/// listed.
#[must_use]
pub fn best(sizes: &Sizes) -> Option<(u32, u32)> {
    match sizes {
        Sizes::Unknown => Some(ASKED),
        Sizes::Stepped { most, step } => Some(stepped(*most, *step)),
        Sizes::Listed(all) => {
            let whole = all
                .iter()
                .filter(|(width, height)| *width.max(height) <= KEPT_SIDE);
            let largest = whole.max_by_key(|size| area(**size));
            largest
                .or_else(|| all.iter().min_by_key(|size| area(**size)))
                .copied()
        }
    }
}

/// Pixels in all.
pub(super) fn area((width, height): (u32, u32)) -> u64 {
    u64::from(width) * u64::from(height)
}

/// The largest size made smaller in its own shape until it is kept whole, on the camera's steps.
fn stepped((width, height): (u32, u32), step: (u32, u32)) -> (u32, u32) {
    let longest = u64::from(width.max(height).max(1));
    let kept = u64::from(KEPT_SIDE).min(longest);
    let fit = |side: u32, step: u32| {
        let side = u32::try_from(u64::from(side) * kept / longest).unwrap_or(KEPT_SIDE);
        let step = step.max(1);
        (side / step * step).max(step)
    };
    (fit(width, step.0), fit(height, step.1))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_largest_size_that_is_kept_whole_is_asked_for() {
        let listed = |all: &[(u32, u32)]| best(&Sizes::Listed(all.to_vec()));
        let usual = [(640, 480), (1920, 1080), (3264, 2448), (1280, 720)];
        assert_eq!(listed(&usual), Some((1920, 1080)));
        assert_eq!(listed(&[(4000, 3000), (2592, 1944)]), Some((2592, 1944)));
        assert_eq!(listed(&[]), None);
        assert_eq!(best(&Sizes::Unknown), Some(ASKED));
    }

    #[test]
    fn a_size_in_steps_keeps_its_shape_and_lies_on_a_step() {
        let stepped = |most, step| best(&Sizes::Stepped { most, step });
        assert_eq!(stepped((1280, 960), (2, 2)), Some((1280, 960)));
        assert_eq!(stepped((4096, 3072), (16, 16)), Some((2048, 1536)));
        assert_eq!(stepped((4000, 3000), (16, 16)), Some((2048, 1536)));
        assert_eq!(stepped((3000, 10), (8, 0)), Some((2048, 6)));
        assert_eq!(stepped((0, 0), (0, 0)), Some((1, 1)));
    }
}
