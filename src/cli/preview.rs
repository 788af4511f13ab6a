//! `witnessmark preview`: steps as the kiosk would draw them, on an example car in the midst of its job.

mod draw;

use super::Stop;
use crate::diagnostic::nearest;
use crate::page::step::{self, StepPage};
use crate::player::Play;
use crate::player::example::{self, Answers};
use crate::procedure::{Library, StepRef};
use crate::words::Language;
use std::collections::{BTreeMap, BTreeSet};
use std::ops::ControlFlow;
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::sync::Arc;

#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    /// The procedure's file in a content folder
    file: PathBuf,
    /// The step's id
    #[arg(required_unless_present = "all", conflicts_with = "all")]
    step: Option<String>,
    /// Draw every step of the procedure
    #[arg(long)]
    all: bool,
    /// The car's answers, as a JSON object of `group.field` and what is typed; what it leaves out is the job's example
    #[arg(long, value_name = "FILE")]
    card: Option<PathBuf>,
    /// Where the picture goes, or with --all the folder of the pictures
    #[arg(
        long,
        value_name = "PATH",
        default_value = "step.png",
        default_value_if("all", "true", "steps")
    )]
    out: PathBuf,
    /// In night colours
    #[arg(long)]
    night: bool,
    /// The language of the pages, by its tag
    #[arg(long, value_name = "TAG", default_value = "en", value_parser = super::language)]
    language: Language,
}

pub(super) fn run(arguments: &Arguments, content: Option<&Path>) -> Result<ExitCode, Stop> {
    let folder = content.map(Path::to_owned).or_else(|| around(&arguments.file));
    let content = super::content(folder.as_deref())?;
    let library = content.library()?;
    let card = arguments.card.as_deref().map(typed).transpose()?;
    let seen = see(
        library,
        &arguments.file,
        arguments.step.as_deref(),
        card.as_ref(),
        &arguments.language,
    )?;
    seen.said.iter().for_each(|said| eprintln!("{said}"));
    draw::draw(arguments, library, &seen.pages)?;
    Ok(ExitCode::SUCCESS)
}

/// The content folder of a procedure's file. A file named from within it has nothing before `procedures`.
fn around(file: &Path) -> Option<PathBuf> {
    let folder = file.parent()?.parent()?;
    Some(match folder.as_os_str().is_empty() {
        true => PathBuf::from("."),
        false => folder.to_owned(),
    })
}

/// The answers of a card's file.
fn typed(path: &Path) -> Result<BTreeMap<String, String>, Stop> {
    const FORM: &str = "A card is a JSON object: {\"car.fuel\": \"petrol\", \"fuel.rail\": \"3.0 bar\"}.";
    let wrong = |error: String| Stop::unusable(format!("{}: {error}", path.display()), FORM);
    let text = std::fs::read(path).map_err(|error| wrong(error.to_string()))?;
    serde_json::from_slice(&text).map_err(|error| wrong(error.to_string()))
}

/// Pages of steps, and what their author should know of the cars that they are shown on.
struct Previewed {
    pages: Vec<StepPage>,
    said: Vec<String>,
}

/// The page of one step, or of every step of the procedure, in its order.
fn see(
    library: &Library,
    file: &Path,
    step: Option<&str>,
    card: Option<&BTreeMap<String, String>>,
    language: &Language,
) -> Result<Previewed, Stop> {
    let slug = file
        .file_stem()
        .map(|stem| stem.to_string_lossy().into_owned())
        .unwrap_or_default();
    let play = played(library, &slug)?;
    let steps = play
        .steps()
        .map(|(at, ..)| at)
        .filter(|at| at.procedure.as_str() == slug);
    let mut wanted: Vec<StepRef> = steps.collect();
    if let Some(step) = step {
        let ids: Vec<String> = wanted.iter().map(|at| at.step.to_string()).collect();
        wanted.retain(|at| at.step.as_str() == step);
        if wanted.is_empty() {
            return Err(Stop::unusable(
                format!("there is no step {step} in {slug}"),
                mean(step, &ids),
            ));
        }
    }
    let mut previewed = Previewed {
        pages: Vec::new(),
        said: Vec::new(),
    };
    match card {
        None => on_examples(&play, language, &wanted, &mut previewed),
        Some(typed) => on_card(&play, language, &wanted, typed, &mut previewed)?,
    }
    previewed
        .pages
        .sort_by_key(|page| wanted.iter().position(|at| *at == page.step));
    Ok(previewed)
}

/// The first job that plays a procedure.
fn played(library: &Library, slug: &str) -> Result<Arc<Play>, Stop> {
    let mut jobs = library.jobs.iter();
    let job = jobs.find(|job| {
        job.procedures
            .iter()
            .any(|(procedure, _)| procedure.id.as_str() == slug)
    });
    let job = job.ok_or_else(|| {
        let slugs = library.jobs.iter().flat_map(|job| &job.procedures);
        let slugs: Vec<String> = slugs.map(|(procedure, _)| procedure.id.to_string()).collect();
        Stop::unusable(format!("no job plays a procedure {slug}"), mean(slug, &slugs))
    })?;
    let (shared, tables) = (library.shared.clone(), library.tables.clone());
    Ok(Arc::new(Play::new(job.clone(), shared, tables, Vec::new())))
}

/// What there is, and which of it was probably meant.
fn mean(written: &str, there: &[String]) -> String {
    match nearest(written, there.iter().map(String::as_str)) {
        Some(near) => format!("Did you mean {near}?"),
        None => format!("There are {}.", there.join(", ")),
    }
}

/// The steps on the car of a card; one that does not come there is not drawn, and at least one must come.
fn on_card(
    play: &Arc<Play>,
    language: &Language,
    wanted: &[StepRef],
    typed: &BTreeMap<String, String>,
    previewed: &mut Previewed,
) -> Result<(), Stop> {
    let fields: Vec<String> = play
        .fields()
        .map(|field| format!("{}.{}", field.group, field.id))
        .collect();
    let card = example::with(play, example::answers(play), typed).map_err(|wrong| {
        let lines = wrong.iter().map(|(at, why)| match fields.contains(at) {
            true => format!("\n  {at}: {why}"),
            false => format!("\n  {at}: {why}. {}", mean(at, &fields)),
        });
        Stop::unusable(
            format!(
                "the card has answers that cannot stand:{}",
                lines.collect::<String>()
            ),
            "",
        )
    })?;
    let (here, elsewhere): (Vec<_>, Vec<_>) = wanted
        .iter()
        .cloned()
        .partition(|at| example::comes(play, &card, at));
    if here.is_empty() {
        let what = wanted.first().map_or_else(String::new, ToString::to_string);
        return Err(Stop::unusable(
            format!("{what} does not come on this card"),
            "Change an answer that its condition asks for.",
        ));
    }
    let left = elsewhere
        .iter()
        .map(|at| format!("{at} does not come on this card"));
    previewed.said.extend(left);
    show(play, language, &card, here, previewed);
    Ok(())
}

/// The steps on the job's example car; one that does not come there, on the nearest car on which it does.
fn on_examples(play: &Arc<Play>, language: &Language, wanted: &[StepRef], previewed: &mut Previewed) {
    let assumed = example::assumed(play);
    if !assumed.is_empty() {
        previewed.said.push(format!(
            "without an `example`, so assumed: {}",
            assumed.join(", ")
        ));
    }
    let own = example::answers(play);
    let mut left = wanted.to_vec();
    while let Some(at) = left.first().cloned() {
        let Some(card) = example::on_which_comes(play, &own, &at) else {
            previewed.said.push(format!("{at} comes on no card"));
            left.remove(0);
            continue;
        };
        let here: Vec<StepRef>;
        (here, left) = left.into_iter().partition(|at| example::comes(play, &card, at));
        if let Some(changes) = changes(&own, &card) {
            let here: Vec<String> = here.iter().map(|at| at.step.to_string()).collect();
            previewed
                .said
                .push(format!("with {changes}: {}", here.join(", ")));
        }
        show(play, language, &card, here, previewed);
    }
}

/// How a card differs from the example, if it does.
fn changes(own: &Answers, card: &Answers) -> Option<String> {
    let changed = card.iter().filter(|(at, answer)| own.get(at) != Some(answer));
    let changed: Vec<String> = changed
        .map(|((group, field), answer)| format!("{group}.{field}: {answer}"))
        .collect();
    (!changed.is_empty()).then(|| changed.join(", "))
}

/// Goes through the job on a car and keeps the pages of these steps, all of which come there.
fn show(
    play: &Arc<Play>,
    language: &Language,
    card: &Answers,
    steps: Vec<StepRef>,
    previewed: &mut Previewed,
) {
    let mut left: BTreeSet<StepRef> = steps.into_iter().collect();
    let evaluation = example::through(play, language, card, &mut |at, state| {
        if left.remove(at) {
            previewed.pages.push(step::page(state, at, &[]));
        }
        match left.is_empty() {
            true => ControlFlow::Break(()),
            false => ControlFlow::Continue(()),
        }
    });
    let faults = evaluation
        .faults
        .iter()
        .map(|fault| format!("{}: {}", fault.label, fault.why));
    let refused = evaluation
        .unworkable
        .iter()
        .map(|(what, why)| format!("{what}: {why}"));
    let failing = evaluation
        .failing()
        .map(|check| format!("{}: {}", check.id, check.says));
    let wrong = faults.chain(refused).chain(failing);
    previewed
        .said
        .extend(wrong.map(|wrong| format!("the job would not accept this card: {wrong}")));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::session::shipped;

    fn seen(slug: &str, step: Option<&str>, card: &[(&str, &str)]) -> Result<Previewed, Stop> {
        let (library, report) = crate::procedure::load(shipped::files());
        let library = library.unwrap_or_else(|| panic!("{}", report.render()));
        let card = card
            .iter()
            .map(|(at, text)| ((*at).to_owned(), (*text).to_owned()));
        let card: BTreeMap<String, String> = card.collect();
        let card = Some(&card).filter(|card| !card.is_empty());
        see(
            &library,
            Path::new(&format!("procedures/{slug}.yaml")),
            step,
            card,
            &Language::english(),
        )
    }

    fn refused(slug: &str, step: Option<&str>, card: &[(&str, &str)]) -> String {
        let stop = seen(slug, step, card).err().expect("a refusal");
        format!("{}\n{}", stop.message, stop.hint)
    }

    #[test]
    fn all_steps_of_a_procedure_come_in_its_order_each_on_a_car_that_has_it() {
        let all = seen("fuel-hose", None, &[]).expect("pages");
        let places: Vec<usize> = all.pages.iter().map(|page| page.number).collect();
        let ids: Vec<String> = all.pages.iter().map(|page| page.step.step.to_string()).collect();
        assert!(
            ids.contains(&"hose-clamp".to_owned()) && ids.contains(&"tube-clamp".to_owned()),
            "{ids:?}"
        );
        let at = |id: &str| ids.iter().position(|found| found == id).expect("a step");
        assert!(
            at("inlet-fitting") < at("tube-size") && at("tube-clamp") < at("ready"),
            "{ids:?}"
        );
        assert!(places.iter().all(|place| *place > 0), "{places:?}");
        let with: Vec<&String> = all
            .said
            .iter()
            .filter(|said| said.starts_with("with hose.kind: polyamide"))
            .collect();
        assert!(!with.is_empty(), "{:?}", all.said);
    }

    #[test]
    fn a_step_shows_the_value_of_the_card_that_is_given() {
        let told = |card: &[(&str, &str)]| {
            let one = seen("nitrous-side", Some("bottle-mass"), card).expect("a page");
            let [page] = one.pages.as_slice() else {
                panic!("{} pages", one.pages.len())
            };
            format!("{page:?}")
        };
        assert!(told(&[]) != told(&[("bottle.gross", "10.9 kg")]));
    }

    #[test]
    fn what_is_wrong_is_told_with_what_was_probably_meant() {
        let rows = [
            (
                refused("fuel-hsoe", None, &[]),
                "no job plays a procedure fuel-hsoe\nDid you mean fuel-hose?",
            ),
            (
                refused("fuel-hose", Some("redy"), &[]),
                "there is no step redy in fuel-hose\nDid you mean ready?",
            ),
            (
                refused("fuel-hose", Some("ready"), &[("fuel.rial", "3 bar")]),
                "fuel.rial: the card has no such field. Did you mean fuel.rail?",
            ),
            (
                refused("fuel-hose", Some("tube-clamp"), &[("hose.kind", "rubber")]),
                "fuel-hose.tube-clamp does not come on this card",
            ),
        ];
        for (found, part) in rows {
            assert!(found.contains(part), "{found}");
        }
    }
}
