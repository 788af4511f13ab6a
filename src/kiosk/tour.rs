//! A walk through the places that are reached by choice, for pictures: the same touches as a person's.

use super::headless::{Easel, PictureError};
use super::{CalculatorsPage, Frame, JobState, JobsPage, KeypadPage, Place, SignOnPage, StepPage};
use crate::session::Session;
use slint::ComponentHandle;
use std::time::Duration;

/// Takes a picture by its name, as the bytes of a PNG file.
pub type Keep<'a> = dyn FnMut(&str, Vec<u8>) -> Result<(), String> + 'a;

/// Draws the places that no job leads to by itself. The session has a person signed on and a job open at a
/// step that wants a reading.
///
/// # Errors
/// The renderer fails, or a picture cannot be kept.
pub fn tour(easel: &Easel, session: Session, keep: &mut Keep<'_>) -> Result<(), String> {
    super::join(&easel.app, session);
    let mut draw = |name: &str| {
        wait(easel);
        let png = easel.png().map_err(|error: PictureError| error.to_string())?;
        keep(name, png)
    };
    let app = &easel.app;
    let (frame, step) = (app.global::<Frame>(), app.global::<StepPage>());
    draw("practice-step")?;
    step.invoke_go_on();
    draw("keypad")?;
    for key in ["2", "1"] {
        app.global::<KeypadPage>().invoke_key(key.into());
    }
    draw("keypad-typed")?;
    frame.invoke_toggle_theme();
    draw("keypad-night")?;
    frame.invoke_toggle_theme();
    frame.invoke_back();
    step.invoke_show_plan();
    draw("plan")?;
    frame.invoke_back();
    frame.invoke_back();
    wait(easel);
    records(easel, &mut draw)?;
    calculators(easel, &mut draw)?;
    frame.invoke_go(Place::About);
    draw("about")?;
    frame.invoke_back();
    frame.invoke_sign_off();
    draw("sign-on")?;
    app.global::<SignOnPage>().invoke_pick("ines.varga".into());
    draw("passphrase")?;
    frame.invoke_toggle_theme();
    draw("passphrase-night")?;
    frame.invoke_toggle_theme();
    Ok(())
}

fn records(easel: &Easel, draw: &mut dyn FnMut(&str) -> Result<(), String>) -> Result<(), String> {
    let (app, jobs) = (&easel.app, easel.app.global::<JobsPage>());
    jobs.invoke_show(JobState::Closed);
    wait(easel);
    jobs.invoke_choose(0);
    draw("jobs")?;
    jobs.invoke_record();
    draw("record")?;
    app.global::<Frame>().invoke_back();
    wait(easel);
    Ok(())
}

fn calculators(easel: &Easel, draw: &mut dyn FnMut(&str) -> Result<(), String>) -> Result<(), String> {
    let frame = easel.app.global::<Frame>();
    frame.invoke_go(Place::Calculators);
    draw("calculators")?;
    easel.app.global::<CalculatorsPage>().invoke_choose(0);
    draw("calculator")?;
    frame.invoke_back();
    frame.invoke_back();
    wait(easel);
    Ok(())
}

/// Lets what goes on beside the screen come to its end: time passes for the screen and for its threads.
fn wait(easel: &Easel) {
    for _ in 0..2000 {
        easel.pass(Duration::from_millis(50));
        if !easel.app.global::<Frame>().get_busy() {
            break;
        }
        std::thread::sleep(Duration::from_millis(10));
    }
    easel.settle();
}
