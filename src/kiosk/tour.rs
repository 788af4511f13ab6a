//! A walk through the places that are reached by choice, for pictures: the same touches as a person's.

use super::headless::{Easel, PictureError};
use super::{
    CalculatorsPage, EntryKind, Frame, JobState, JobsPage, KeypadPage, Place, SettingsPage, SignOnPage,
    StepPage,
};
use crate::calc;
use crate::session::Session;
use slint::{ComponentHandle, Model};
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
    let look = app.global::<SettingsPage>();
    draw("practice-step")?;
    step.invoke_go_on();
    draw("keypad")?;
    for key in ["2", "1"] {
        app.global::<KeypadPage>().invoke_key(key.into());
    }
    draw("keypad-typed")?;
    look.invoke_choose_night(true);
    draw("keypad-night")?;
    look.invoke_choose_night(false);
    wait(easel);
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
    frame.invoke_go(Place::Settings);
    draw("settings")?;
    frame.invoke_back();
    frame.invoke_back();
    frame.invoke_sign_off();
    draw("sign-on")?;
    app.global::<SignOnPage>().invoke_pick("ines.varga".into());
    draw("passphrase")?;
    look.invoke_choose_night(true);
    draw("passphrase-night")?;
    look.invoke_choose_night(false);
    wait(easel);
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
    worked_out(easel, draw)?;
    frame.invoke_back();
    wait(easel);
    Ok(())
}

/// Works the examples of the calculators that have a plot, by their own keys.
fn worked_out(easel: &Easel, draw: &mut dyn FnMut(&str) -> Result<(), String>) -> Result<(), String> {
    let (frame, look) = (easel.app.global::<Frame>(), easel.app.global::<SettingsPage>());
    for calculator in calc::all() {
        type_example(easel, calculator.spec);
        if easel.app.global::<CalculatorsPage>().get_plot().shown {
            draw(&format!("calculator-{}", calculator.spec.id))?;
        }
        if calculator.spec.id == "bottle-state" {
            look.invoke_choose_night(true);
            draw("calculator-night")?;
            look.invoke_choose_night(false);
            wait(easel);
        }
        frame.invoke_back();
    }
    Ok(())
}

fn type_example(easel: &Easel, spec: &calc::Spec) {
    let (page, keypad) = (
        easel.app.global::<CalculatorsPage>(),
        easel.app.global::<KeypadPage>(),
    );
    let place = |found: Option<usize>| i32::try_from(found.unwrap_or_default()).unwrap_or_default();
    page.invoke_choose(place(page.get_rows().iter().position(|row| row.id == spec.id)));
    for (name, text) in spec.example {
        page.invoke_edit(place(
            page.get_inputs().iter().position(|input| input.name == *name),
        ));
        if keypad.get_kind() == EntryKind::Number {
            let (number, unit) = text.split_once(' ').unwrap_or((text, ""));
            keypad.invoke_pick_unit(unit.into());
            for key in number.chars() {
                keypad.invoke_key(key.to_string().into());
            }
        } else {
            keypad.invoke_pick((*text).into());
        }
        keypad.invoke_enter();
        wait(easel);
    }
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
