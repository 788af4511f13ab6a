//! What stands on the glass is what the page says, also where only what changed is drawn, as in a real window.

use slint::platform::software_renderer::{MinimalSoftwareWindow, PremultipliedRgbaColor, RepaintBufferType};
use slint::platform::{Platform, PlatformError, WindowAdapter};
use slint::{ComponentHandle, PhysicalSize};
use std::cell::RefCell;
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

/// The head of a step's page as far as the procedure may stand there, in 8 bits a channel.
fn head(pixels: impl Iterator<Item = [u8; 3]>) -> Vec<[u8; 3]> {
    let head = pixels.take((SIZE.0 * 36) as usize).enumerate();
    head.filter(|(at, _)| at % SIZE.0 as usize <= 800)
        .map(|(_, pixel)| pixel)
        .collect()
}

#[test]
fn a_text_that_changes_after_a_thousand_others_is_drawn_anew() {
    let window = MinimalSoftwareWindow::new(RepaintBufferType::ReusedBuffer);
    slint::platform::set_platform(Box::new(Kept(window.clone()))).expect("the first of this thread");
    let app = App::new().expect("the screen");
    window.set_size(PhysicalSize::new(SIZE.0, SIZE.1));
    app.show().expect("it is shown");
    let glass = RefCell::new(vec![
        PremultipliedRgbaColor::default();
        (SIZE.0 * SIZE.1) as usize
    ]);
    let draw = || {
        window.draw_if_needed(|renderer| {
            renderer.render(&mut glass.borrow_mut(), SIZE.0 as usize);
        })
    };
    let seen = || {
        head(
            glass
                .borrow()
                .iter()
                .map(|pixel| [pixel.red, pixel.green, pixel.blue]),
        )
    };
    // The procedure has the room that is left, so that nothing but what it says changes.
    let step = app.global::<StepPage>();
    app.global::<Frame>().set_place(Place::Step);
    step.set_strip_text("1 of 5 done".into());
    step.set_procedure("The first procedure".into());
    draw();
    let before = seen();
    for text in 0..TEXTS {
        step.set_command(format!("Do the thing {text}.").into());
        assert!(draw(), "each of them is drawn");
    }
    assert!(seen() == before, "the head stays as it is");
    step.set_procedure("Another procedure".into());
    draw();
    let after = seen();
    assert!(after != before, "the head still shows what was said before");
    let anew = app.window().take_snapshot().expect("a whole picture");
    let anew = head(anew.as_slice().iter().map(|pixel| [pixel.r, pixel.g, pixel.b]));
    let far =
        |(after, anew): &(&[u8; 3], &[u8; 3])| after.iter().zip(*anew).any(|(a, b)| a.abs_diff(*b) > 16);
    // Along the edge of what was drawn anew a letter may be smoothed otherwise; other words differ in hundreds.
    let apart = after.iter().zip(&anew).filter(far).count();
    assert!(apart < 20, "{apart} pixels differ from the page drawn as a whole");
}
