//! What stands on the glass is what the page says, also where only what changed is drawn, as in a real window.

use slint::platform::software_renderer::{MinimalSoftwareWindow, PremultipliedRgbaColor, RepaintBufferType};
use slint::platform::{Platform, PlatformError, WindowAdapter};
use slint::{ComponentHandle, PhysicalSize};
use std::cell::Cell;
use std::rc::Rc;
use std::time::Duration;
use witnessmark::kiosk::{App, Frame, Place, StepPage};

const SIZE: (u32, u32) = (1280, 800);
/// Slint 1.18 keeps the shapes of 1024 texts before it lets some go.
const TEXTS: usize = 1_100;

/// A window whose pixels stay from one drawing to the next.
struct Kept(Rc<MinimalSoftwareWindow>);

impl Platform for Kept {
    fn create_window_adapter(&self) -> Result<Rc<dyn WindowAdapter>, PlatformError> {
        Ok(self.0.clone())
    }

    /// Time stands still, so that nothing moves between two drawings.
    fn duration_since_start(&self) -> Duration {
        Duration::from_secs(1)
    }
}

#[test]
fn a_text_that_changes_after_a_thousand_others_is_drawn_anew() {
    let window = MinimalSoftwareWindow::new(RepaintBufferType::ReusedBuffer);
    slint::platform::set_platform(Box::new(Kept(window.clone()))).expect("the first of this thread");
    let app = App::new().expect("the screen");
    window.set_size(PhysicalSize::new(SIZE.0, SIZE.1));
    app.show().expect("it is shown");
    let mut glass = vec![PremultipliedRgbaColor::default(); (SIZE.0 * SIZE.1) as usize];
    let drawn = Cell::new(0);
    let mut draw = || {
        window.draw_if_needed(|renderer| {
            renderer.render(&mut glass, SIZE.0 as usize);
            drawn.set(drawn.get() + 1);
        });
        glass.clone()
    };
    // The procedure has the room that is left, so that nothing but what it says changes.
    let (frame, step) = (app.global::<Frame>(), app.global::<StepPage>());
    frame.set_place(Place::Step);
    frame.set_signed_on(true);
    frame.set_person("Olena Marsh of Alder Quay".into());
    step.set_procedure("The first procedure".into());
    draw();
    for text in 0..TEXTS {
        step.set_command(format!("Do the thing {text}.").into());
        draw();
    }
    assert!(drawn.get() > TEXTS, "each of them is drawn");
    step.set_procedure("Another procedure".into());
    let kept = draw();
    let anew = app.window().take_snapshot().expect("a whole picture");
    let apart = kept
        .iter()
        .zip(anew.as_slice())
        .enumerate()
        .filter(|(_, (kept, anew))| {
            let steps = [
                kept.red.abs_diff(anew.r),
                kept.green.abs_diff(anew.g),
                kept.blue.abs_diff(anew.b),
            ];
            // Where a drawing begins within a letter's edge, it may be smoothed by a step or two otherwise.
            steps.iter().any(|step| *step > 16)
        });
    let places: Vec<(usize, usize)> = apart
        .map(|(at, _)| (at % SIZE.0 as usize, at / SIZE.0 as usize))
        .collect();
    assert!(
        places.is_empty(),
        "{} pixels still show what was said before, from {:?}",
        places.len(),
        places.first()
    );
}
