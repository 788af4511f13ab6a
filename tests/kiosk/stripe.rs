//! The stripe is a deliberate drag; a plate and a key do the same.

use crate::hand::Hand;
use slint::{ComponentHandle, LogicalPosition};
use std::cell::Cell;
use std::rc::Rc;
use std::time::Duration;
use witnessmark::kiosk::{Frame, Place, StepNext, StepPage};

const TRACK: &str = "Draw the stripe across: done";

/// A step whose readings are all in, and how often it was marked.
fn at_a_step() -> (Hand, Rc<Cell<usize>>) {
    let hand = Hand::new(1280, 800);
    let marked = Rc::new(Cell::new(0));
    let page = hand.easel.app.global::<StepPage>();
    let count = marked.clone();
    page.on_mark(move || count.set(count.get() + 1));
    page.set_next(StepNext::Mark);
    page.set_next_text(TRACK.into());
    hand.easel.app.global::<Frame>().set_place(Place::Step);
    hand.easel.settle();
    (hand, marked)
}

#[test]
fn a_drag_across_most_of_the_track_marks_the_step() {
    let (hand, marked) = at_a_step();
    hand.drag_across(TRACK, 0.7);
    assert_eq!(marked.get(), 1);
}

#[test]
fn a_short_drag_a_tap_and_a_drag_back_mark_nothing() {
    let (hand, marked) = at_a_step();
    hand.drag_across(TRACK, 0.5);
    hand.drag_across(TRACK, 0.0);
    hand.drag_across(TRACK, -0.5);
    hand.touch(TRACK);
    assert_eq!(marked.get(), 0);
}

#[test]
fn the_plate_and_the_keys_are_its_equals() {
    let (hand, marked) = at_a_step();
    hand.touch("Mark done");
    assert_eq!(marked.get(), 1);
    let (hand, marked) = at_a_step_again(hand, marked);
    hand.key(" ");
    hand.key("\n");
    assert_eq!(marked.get(), 3);
}

/// The page comes up anew, so that its main control has the keys.
fn at_a_step_again(hand: Hand, marked: Rc<Cell<usize>>) -> (Hand, Rc<Cell<usize>>) {
    let frame = hand.easel.app.global::<Frame>();
    frame.set_place(Place::About);
    hand.easel.settle();
    frame.set_place(Place::Step);
    hand.easel.settle();
    (hand, marked)
}

/// Numbers that look random and are the same every time (the multiplier and increment are those of Knuth's MMIX).
struct Chance(u64);

impl Chance {
    fn between(&mut self, low: f32, high: f32) -> f32 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        let share = (self.0 >> 40) as f32 / (1u64 << 24) as f32;
        low + (high - low) * share
    }
}

/// The track in the window; points on it are shares of its width and height.
struct Track {
    at: LogicalPosition,
    width: f32,
    height: f32,
}

impl Track {
    fn of(hand: &Hand) -> Track {
        let (at, size) = (hand.find(TRACK).absolute_position(), hand.find(TRACK).size());
        Track {
            at: LogicalPosition::new(at.x, at.y),
            width: size.width,
            height: size.height,
        }
    }

    fn point(&self, x: f32, y: f32) -> LogicalPosition {
        LogicalPosition::new(self.at.x + self.width * x, self.at.y + self.height * y)
    }

    /// A way from one place to another in so many moves.
    fn way(&self, from: (f32, f32), to: (f32, f32), moves: usize) -> Vec<LogicalPosition> {
        let part = |step: usize| step as f32 / moves as f32;
        (0..=moves)
            .map(|step| {
                self.point(
                    from.0 + (to.0 - from.0) * part(step),
                    from.1 + (to.1 - from.1) * part(step),
                )
            })
            .collect()
    }
}

/// What happens to a track that nobody means to mark.
fn accident(hand: &Hand, track: &Track, chance: &mut Chance, kind: &str) {
    let at = (chance.between(0.0, 1.0), chance.between(0.05, 0.95));
    let quick = Duration::from_millis(chance.between(4.0, 30.0) as u64);
    let to = |chance: &mut Chance, low: f32, high: f32| {
        (
            (at.0 + chance.between(low, high)).clamp(-0.1, 1.1),
            at.1 + chance.between(-3.0, 1.5),
        )
    };
    match kind {
        "tap" => hand.gesture(&[track.point(at.0, at.1)], quick),
        "brush" => {
            let end = to(chance, -0.55, 0.55);
            hand.gesture(&track.way(at, end, 6), quick);
        }
        "palm" => {
            let spread = |chance: &mut Chance| {
                (
                    at.0 + chance.between(-0.12, 0.12),
                    at.1 + chance.between(-0.4, 0.4),
                )
            };
            let points: Vec<_> = (0..4)
                .map(|_| spread(chance))
                .map(|(x, y)| track.point(x.clamp(0.0, 1.0), y.clamp(0.0, 1.0)))
                .collect();
            hand.palm(&points);
        }
        // From above the track, slowly over it, and on to its end.
        "sleeve from outside" => {
            let from = (chance.between(0.0, 0.2), chance.between(-3.0, -0.5));
            let mut points = track.way(from, (0.3, 0.5), 8);
            points.extend(track.way((0.3, 0.5), (1.0, 0.5), 10));
            hand.gesture(&points, Duration::from_millis(90));
        }
        // Across the whole track, but up over its edge on the way.
        "sleeve astray" => {
            let high = chance.between(-2.0, -0.4);
            let mut points = track.way((0.05, 0.5), (0.4, high), 8);
            points.extend(track.way((0.4, high), (0.95, 0.5), 8));
            hand.gesture(&points, Duration::from_millis(60));
        }
        // Something lies on the glass and creeps.
        "sleeve creeping" => {
            let points = track.way((0.05, 0.5), (0.95, 0.5), 12);
            hand.gesture(
                &points,
                Duration::from_millis(chance.between(450.0, 900.0) as u64),
            );
        }
        _ => {
            let points = track.way((chance.between(0.7, 1.0), at.1), (0.0, at.1), 8);
            hand.gesture(&points, quick);
        }
    }
}

#[test]
fn a_thousand_accidents_mark_nothing() {
    let (hand, marked) = at_a_step();
    let (track, mut chance) = (Track::of(&hand), Chance(7));
    let mut table = Vec::new();
    for (kind, times) in [
        ("tap", 300),
        ("brush", 300),
        ("palm", 150),
        ("sleeve from outside", 80),
        ("sleeve astray", 80),
        ("sleeve creeping", 40),
        ("right to left", 50),
    ] {
        let before = marked.get();
        for _ in 0..times {
            accident(&hand, &track, &mut chance, kind);
        }
        table.push((kind, times, marked.get() - before));
    }
    println!("{table:?}");
    assert_eq!(table.iter().map(|(_, times, _)| times).sum::<usize>(), 1000);
    assert!(table.iter().all(|(_, _, marks)| *marks == 0), "{table:?}");
}

#[test]
fn two_hundred_deliberate_drags_all_mark() {
    let (hand, marked) = at_a_step();
    let (track, mut chance) = (Track::of(&hand), Chance(11));
    for n in 1..=200 {
        let from = (chance.between(0.02, 0.3), chance.between(0.1, 0.9));
        let to = (
            (from.0 + chance.between(0.62, 0.9)).min(1.02),
            from.1 + chance.between(-0.15, 0.15),
        );
        let moves = chance.between(5.0, 40.0) as usize;
        // From a tenth of a second to three seconds in all.
        let pause = chance.between(100.0, 3_000.0) / moves as f32;
        hand.gesture(&track.way(from, to, moves), Duration::from_millis(pause as u64));
        assert_eq!(marked.get(), n, "from {from:?} to {to:?} in {moves} moves");
    }
}
