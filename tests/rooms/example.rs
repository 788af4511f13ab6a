//! The steps of the shipped jobs as `witnessmark preview` shows them: on the job's example car, in its midst.

use std::collections::BTreeSet;
use std::ops::ControlFlow;
use std::sync::Arc;

use witnessmark::page::diagram::{self, Plan};
use witnessmark::player::example::{self, Answers};
use witnessmark::player::{Body, Play, State, foresee, foreseen, pictured, wording};
use witnessmark::procedure::circuit::Sight;
use witnessmark::procedure::{Picture, Step, StepRef};
use witnessmark::words::Language;

use crate::own_circuit::library;
use crate::worked_car::Car;

fn plays() -> Vec<Arc<Play>> {
    let library = library();
    let play = |job| Play::new(job, library.shared.clone(), library.tables.clone(), Vec::new());
    library.jobs.iter().cloned().map(play).map(Arc::new).collect()
}

/// Goes through a job on a car in English, and gives the last state and what the card came to.
fn through(play: &Arc<Play>, card: &Answers, seen: &mut dyn FnMut(&StepRef, &State)) -> example::Came {
    example::through(play, &Language::english(), card, &mut |at, state| {
        seen(at, state);
        ControlFlow::Continue(())
    })
}

/// Every step of a job on the example car, and those that do not come there on the nearest car on which they do.
fn every_step(play: &Arc<Play>, seen: &mut dyn FnMut(&StepRef, &Step, &State)) {
    let mut left: BTreeSet<StepRef> = play.steps().map(|(at, ..)| at).collect();
    let own = example::answers(play);
    while let Some(at) = left.first().cloned() {
        let card = example::on_which_comes(play, &own, &at).unwrap_or_else(|| panic!("{at} never comes"));
        let (mut here, others): (BTreeSet<_>, _) =
            left.into_iter().partition(|at| example::comes(play, &card, at));
        left = others;
        example::through(play, &Language::english(), &card, &mut |at, state| {
            if here.remove(at) {
                seen(at, play.step(at).expect("a step"), state);
            }
            match here.is_empty() {
                true => ControlFlow::Break(()),
                false => ControlFlow::Continue(()),
            }
        });
        assert!(here.is_empty(), "{here:?} do not come");
    }
}

#[test]
fn the_example_car_of_each_job_is_whole_and_accepted() {
    for play in plays() {
        assert_eq!(example::assumed(&play), [""; 0], "{}", play.job.id);
        let mut last = None;
        let came = through(&play, &example::answers(&play), &mut |_, state| {
            last = Some(state.clone())
        });
        assert!(came.acceptable(), "{}: {came:?}", play.job.id);
        let last = last.expect("a last step");
        assert!(last.facts().len() > 200, "{}", last.facts().len());
        let fails = last.facts().iter().find(|fact| match &fact.body {
            Body::Read(taken) => taken.verdict.fails(),
            _ => false,
        });
        assert!(fails.is_none(), "{fails:?}");
    }
}

/// Only what waits for a reading of its own step stands open, as it does before whoever plays the job.
#[test]
fn every_step_shows_its_values() {
    let (mut steps, mut open) = (0, 0);
    for play in plays() {
        every_step(&play, &mut |at, step, state| {
            steps += 1;
            let ahead = foreseen(state, at);
            let words = wording::of(&ahead, step);
            let labels = step.read.iter().map(|reading| ahead.render(&reading.label));
            let said = [words.command, words.why, words.right, words.wrong];
            let said: Vec<String> = said.into_iter().chain(words.callouts).chain(labels).collect();
            let waits = foresee(state, at).iter().any(Result::is_err);
            if said.iter().any(|text| text.contains('…')) {
                open += 1;
                assert!(waits && !step.read.is_empty(), "{at}: {said:?}");
            }
        });
    }
    assert!(steps > 450 && open < 5, "{steps} steps, {open} of them open");
}

/// Each body with whether it acts and whether it is out; the lines; what is live.
type Drawn = (Vec<(String, bool, bool)>, Vec<String>, Vec<String>);

/// What a drawing shows of parts and pressure, without the figures beside them.
fn drawn(plan: &Plan) -> Drawn {
    let bodies = plan.bodies.iter();
    let mut bodies: Vec<_> = bodies
        .map(|body| (body.name.clone(), body.acting, body.out))
        .collect();
    bodies.sort();
    (
        bodies,
        plan.lines.iter().map(|line| line.name.clone()).collect(),
        plan.live.clone(),
    )
}

fn plan(shared: &witnessmark::procedure::Shared, picture: &Picture, sight: &Sight) -> Option<Plan> {
    Some(match picture {
        Picture::File(_) => return None,
        Picture::Circuit(shown) => diagram::of_circuit(&shared.circuits[&shown.circuit], shown, sight),
        Picture::Layout(setup) => diagram::of_layout(&shared.layouts[&setup.layout], setup, sight),
    })
}

/// Beside the demonstration's car with all that was read on it, worked out apart from the player.
#[test]
fn circuits_and_layouts_stand_as_on_the_car_of_the_demonstration() {
    let car = Car::with(&[]);
    let real = Sight {
        value: &|reference| car.value(reference),
        holds: &|condition| car.holds(condition),
    };
    let mut seen = 0;
    through(&car.play, &example::answers(&car.play), &mut |at, state| {
        let step = car.play.step(at).expect("a step");
        let Some(wanted) = step
            .picture
            .as_ref()
            .and_then(|picture| plan(&car.play.shared, picture, &real))
        else {
            return;
        };
        let sight = Sight {
            value: &|reference| state.value(reference),
            holds: &|condition| state.holds(condition),
        };
        let shown = step
            .picture
            .as_ref()
            .and_then(|picture| plan(&car.play.shared, picture, &sight));
        assert_eq!(drawn(&shown.expect("a drawing")), drawn(&wanted), "{at}");
        assert!(pictured::diagram(state, step).is_some(), "{at}");
        seen += 1;
    });
    assert!(seen > 50, "{seen}");
}

#[test]
fn a_card_changes_the_example_and_is_told_of_every_answer_that_cannot_stand() {
    let play = &plays()[1];
    let typed = |pairs: &[(&str, &str)]| {
        let pairs = pairs
            .iter()
            .map(|(at, text)| ((*at).to_owned(), (*text).to_owned()));
        example::with(play, example::answers(play), &pairs.collect())
    };
    let own = example::answers(play);
    let card = typed(&[("fuel.supply", "Flare-fitted line"), ("car.owner", "Edda Quill")]).expect("a card");
    let changed: Vec<_> = card
        .iter()
        .filter(|(at, answer)| own.get(at) != Some(answer))
        .collect();
    assert_eq!(
        changed,
        [(&("fuel".to_owned(), "supply".to_owned()), &"flare".to_owned())]
    );
    let wrong = typed(&[
        ("fuel.supply", "steam"),
        ("fuel.rial", "3 bar"),
        ("fuel.rail", "300 bar"),
        ("car.fuel", "diesel"),
    ]);
    let wrong = wrong.expect_err("four faults");
    let told = |at: &str, part: &str| {
        assert!(
            wrong.iter().any(|(place, why)| place == at && why.contains(part)),
            "{at}: {wrong:?}"
        )
    };
    assert_eq!(wrong.len(), 4);
    told("fuel.supply", "expected one of flare, quick, moulded");
    told("fuel.rial", "no such field");
    told("fuel.rail", "outside 1.5 bar to 7 bar");
    told("car.fuel", "A diesel has no throttle");
}
