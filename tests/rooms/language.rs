//! A job in another language: what its record says, that it is whole, and what of the content is translated.

use crate::played_job::{self, Run};
use crate::shop::{INES, TABLET, TOMASZ};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;
use witnessmark::audit::{Against, Report, verify_job};
use witnessmark::calc::{self, Value};
use witnessmark::circuit::Finding;
use witnessmark::player::fact::{Body, Fact, Wording};
use witnessmark::player::{Event, Play, Refusal, State, wording};
use witnessmark::procedure;
use witnessmark::quantity::{Quantity, Unit};
use witnessmark::session::shipped;
use witnessmark::words::{Language, Words};

fn german() -> Language {
    Language::parse("de").expect("a language")
}

fn verified(facts: &[Fact]) -> Report {
    let report = verify_job(&played_job::folder(facts, false), &Against::default()).report;
    assert!(report.whole(), "{}", report.to_text());
    report
}

/// The commands of the steps that were done, in order.
fn commands(facts: &[Fact]) -> Vec<&str> {
    let done = facts.iter().filter_map(|fact| match &fact.body {
        Body::Done { wording, .. } => Some(wording.command.as_str()),
        _ => None,
    });
    done.collect()
}

/// The job of `played_job`, its opening in a language and with a switch to another before the second procedure.
fn played(language: &str, then: Option<&str>) -> Vec<Fact> {
    let mut run = Run::speaking(language);
    run.act(INES, played_job::card("30 psi", "yes"));
    run.cut_out(false).hold();
    if let Some(then) = then {
        run.act(INES, Event::Language(Language::parse(then).expect("a language")));
    }
    run.rest(false);
    run.facts
}

#[test]
fn a_job_in_german_is_whole_and_says_what_was_shown() {
    let facts = played("de", None);
    verified(&facts);
    let Body::Opening(opening) = &facts[0].body else {
        panic!("an opening")
    };
    assert_eq!(
        (opening.language.as_str(), opening.title.as_str()),
        ("de", "Druckwächter einbauen und prüfen")
    );
    let said = commands(&facts);
    assert_eq!(said[0], "Den Druckwächter in den freien Anschluss schrauben.");
    // What has no translation is said in English.
    assert_eq!(said[3], "Close the box over the switch.");
    let trip = facts.iter().find_map(|fact| match &fact.body {
        Body::Read(taken) => Some(taken),
        _ => None,
    });
    let trip = trip.expect("a reading");
    let limits = trip.limits.as_ref().expect("a band");
    assert_eq!(trip.label, "Schaltdruck");
    assert_eq!(
        limits.because.as_deref(),
        Some("Die Reserve wurde für diesen Schaltdruck berechnet.")
    );
    assert!(
        limits.origin.contains("„Gewünschter Schaltdruck“"),
        "{}",
        limits.origin
    );
    let shown = facts
        .iter()
        .any(|fact| matches!(&fact.body, Body::Read(taken) if taken.shown == "nein"));
    assert!(shown, "a no is shown as the German word");
}

#[test]
fn a_switch_is_an_entry_and_what_follows_is_worded_in_the_other_language() {
    let english = played("en", None);
    let german = played("de", None);
    let switched = played("de", Some("en"));
    let report = verified(&switched);
    let at = switched
        .iter()
        .position(|fact| matches!(fact.body, Body::Language { .. }));
    let at = at.expect("the switch");
    assert_eq!(report.entries, english.len() as u64 + 1);
    let bodies = |facts: &[Fact]| facts.iter().map(|fact| fact.body.clone()).collect::<Vec<_>>();
    assert_eq!(bodies(&switched[..at]), bodies(&german[..at]));
    // Numbers of entries stand one further, so only what has none is compared.
    assert_eq!(commands(&switched[at..]), commands(&english[at..]));
    let begun = |facts: &[Fact]| match &facts[at..]
        .iter()
        .find(|fact| matches!(fact.body, Body::Begin { .. }))
        .expect("it begins")
        .body
    {
        Body::Begin { title, .. } => title.clone(),
        _ => String::new(),
    };
    assert_eq!(
        (begun(&german), begun(&switched)),
        ("Den Kasten schließen".to_owned(), "Close the box".to_owned())
    );
}

/// The values, verdicts and limits are the same in every language: only words differ.
#[test]
fn no_number_depends_on_the_language() {
    type Judged = (String, String, Option<(String, String)>);
    let judged = |facts: &[Fact]| -> Vec<Judged> {
        let taken = facts.iter().filter_map(|fact| match &fact.body {
            Body::Read(taken) => Some((
                taken.value.to_string(),
                format!("{:?}", taken.verdict),
                taken
                    .limits
                    .as_ref()
                    .map(|limits| (format!("{:?}", limits.low), format!("{:?}", limits.high))),
            )),
            Body::WorkedOut(worked) => Some((
                format!("{:?}{:?}", worked.inputs, worked.outputs),
                format!("{:?}", worked.judged.as_ref().map(|(_, _, verdict)| *verdict)),
                None,
            )),
            _ => None,
        });
        taken.collect()
    };
    assert_eq!(judged(&played("en", None)), judged(&played("de", None)));
}

#[test]
fn a_card_that_is_accepted_again_in_another_language_opens_nothing() {
    let mut run = Run::speaking("en");
    run.act(INES, played_job::card("30 psi", "yes"));
    run.cut_out(false);
    run.act(TABLET, Event::Language(german()));
    let before = run.facts.len();
    run.act(INES, played_job::card("30 psi", "yes"));
    let Body::Card(card) = &run.facts[before].body else {
        panic!("a card")
    };
    assert_eq!(card.reopens, []);
    assert_eq!(card.answers[2].label, "Gewünschter Schaltdruck");
    run.hold().rest(false);
    verified(&run.facts);
}

#[test]
fn a_switch_to_the_same_or_to_no_language_is_refused() {
    let mut run = Run::speaking("de");
    let refused =
        |run: &Run, who, tag: &str| run.refused(who, Event::Language(Language::parse(tag).expect("a tag")));
    assert_eq!(refused(&run, INES, "de"), Refusal::LanguageThere(german()));
    let unknown = refused(&run, TOMASZ, "fr");
    assert_eq!(
        unknown.to_string(),
        "This job does not know the language `fr`. Choose one of: en, de."
    );
    assert!(matches!(refused(&run, "nobody", "en"), Refusal::NotYours { .. }));
    run.act(TABLET, Event::Language(Language::english()));
}

#[test]
fn a_refusal_is_said_in_the_language_that_is_asked_for() {
    let run = Run::speaking("de");
    let refusal = run.refused(TABLET, Event::Language(german()));
    assert_eq!(
        refusal.to_string(),
        "The job is in the language `de` already. Go on with it."
    );
    let said = refusal.say(&Words::program(&german()));
    assert_eq!(said, "Der Auftrag ist schon in der Sprache „de“. Weitermachen.");
}

/// What the standard job plays is translated to the last text; other content may come later.
#[test]
fn the_standard_job_is_translated_whole() {
    let (library, report) = procedure::load(shipped::files());
    let library = library.unwrap_or_else(|| panic!("{}", report.render()));
    let job = library
        .jobs
        .iter()
        .find(|job| job.id.as_str() == "wet-nitrous")
        .expect("the standard job");
    let mut wanted: BTreeSet<String> = ["hazards", "tools", "instruments", "glossary", "jobs/wet-nitrous"]
        .map(|name| format!("{name}.yaml"))
        .into();
    for (procedure, _) in &job.procedures {
        wanted.insert(format!("procedures/{}.yaml", procedure.id));
        let work = procedure.steps.iter().flat_map(|step| &step.work_out);
        let methods = work
            .map(|work| &work.method)
            .chain(job.figures.iter().map(|figure| &figure.method));
        wanted.extend(methods.filter_map(|method| match method {
            procedure::Method::Circuit(call) => Some(format!("circuits/{}.yaml", call.circuit)),
            procedure::Method::Calculator { .. } => None,
        }));
    }
    let coverage = library.shared.languages.coverage(&german());
    for path in &wanted {
        let file = coverage.get(path).unwrap_or_else(|| panic!("{path} has texts"));
        assert!(file.missing.is_empty(), "{path}: {:?}", file.missing);
    }
    let (spoken, shared) = library
        .shared
        .languages
        .job(&german(), &job.id)
        .expect("it reads");
    assert_eq!(spoken.procedures.len(), job.procedures.len());
    assert_eq!(shared.hazards.len(), library.shared.hazards.len());
    assert_ne!(spoken.title, job.title);
}

/// The shipped content with a text of one file in other words.
fn changed(path: &str, text: &str, other: &str) -> BTreeMap<String, Vec<u8>> {
    let mut files = shipped::files();
    let old = String::from_utf8(files[path].clone()).expect("text");
    assert_eq!(old.matches(text).count(), 1, "{path}: {text}");
    files.insert(path.to_owned(), old.replace(text, other).into_bytes());
    files
}

/// What a German-speaking apprentice reads of a step, which is what is signed.
fn shown(files: BTreeMap<String, Vec<u8>>, step: &str) -> (Wording, procedure::Library) {
    let (library, report) = procedure::load(files);
    let library = library.unwrap_or_else(|| panic!("{}", report.render()));
    let job = library.jobs.iter().find(|job| job.id.as_str() == "wet-nitrous");
    let (job, shared) = (job.expect("the job").clone(), library.shared.clone());
    let play = Arc::new(Play::new(job, shared, library.tables.clone(), Vec::new()));
    let state = State::new(play).in_language(&german());
    let (procedure, step) = step.split_once('.').expect("a step");
    let at = procedure::StepRef {
        procedure: procedure.into(),
        step: step.into(),
    };
    let step = state.play().step(&at).expect("a step").clone();
    (wording::of(&state, &step), library)
}

const MAKE_SAFE: &str = "procedures/make-safe.yaml";
const EXTINGUISHER: &str = "Put the extinguisher within reach and read its date and its gauge.";

#[test]
fn a_text_that_was_changed_is_shown_in_english_and_its_translation_is_a_note() {
    let before = shown(shipped::files(), "make-safe.extinguisher").0;
    let other = "Stand the extinguisher within reach and read its date and its gauge.";
    let files = changed(MAKE_SAFE, EXTINGUISHER, other);
    let after = shown(files.clone(), "make-safe.extinguisher").0;
    assert_eq!(
        after,
        Wording {
            command: other.to_owned(),
            ..before.clone()
        }
    );
    assert_ne!(
        (before.command.as_str(), before.why.as_str()),
        (EXTINGUISHER, "A petrol fire grows past control in seconds.")
    );
    let (library, report) = procedure::check(files);
    assert!(library.is_some() && report.is_clean(), "{}", report.render());
    let stale = report
        .notes()
        .iter()
        .filter(|note| note.rule == "stale-translation");
    let stale: Vec<_> = stale.collect();
    assert_eq!(stale.len(), 1, "{stale:?}");
    assert_eq!(stale[0].place.path, "lang/de/procedures/make-safe.po");
}

#[test]
fn a_catalogue_that_cannot_be_read_leaves_its_file_in_english_and_is_a_fault_of_the_check() {
    let path = "lang/de/procedures/make-safe.po";
    let mut files = shipped::files();
    files.insert(path.to_owned(), b"msgid \"broken".to_vec());
    let (wording, library) = shown(files.clone(), "make-safe.extinguisher");
    assert_eq!(wording.command, EXTINGUISHER);
    let coverage = library.shared.languages.coverage(&german());
    let missing = |of: &str| coverage[of].missing.len();
    assert_eq!(
        (missing(MAKE_SAFE), missing("tools.yaml")),
        (coverage[MAKE_SAFE].texts, 0)
    );
    let (library, report) = procedure::check(files);
    let rules: BTreeSet<&str> = report.faults().iter().map(|fault| fault.rule).collect();
    assert!(library.is_some());
    assert_eq!(rules, BTreeSet::from(["catalogue-syntax"]));
}

#[test]
fn a_translation_that_shows_other_values_counts_as_none() {
    let path = "lang/de/procedures/make-safe.po";
    let mut files = shipped::files();
    let old = String::from_utf8(files[path].clone()).expect("text");
    let says = shown(files.clone(), "make-safe.extinguisher").0.command;
    files.insert(
        path.to_owned(),
        old.replace(&says, "Der {card.car.redline} greifbar hinstellen.")
            .into_bytes(),
    );
    assert_eq!(shown(files, "make-safe.extinguisher").0.command, EXTINGUISHER);
}

/// What an apprentice is told of a slip, in German; places, units and numbers stay as they are.
#[test]
fn what_is_refused_is_said_in_german() {
    let words = Words::program(&german());
    let unit = Unit::find("bar");
    let typed = |text: &str| Quantity::parse(text, unit).expect_err(text).say(&words);
    let no_error = |found: String, part: &str| assert!(found.contains(part), "{found}");
    no_error(typed("3,6,0 bar"), "gefunden, erwartet wird eine Zahl");
    no_error(typed("3 V"), "3 V gefunden, erwartet wird ein Druck: ");
    no_error(typed(""), "nichts gefunden, erwartet wird eine Zahl, ein Druck");
    let ran = |inputs: &[(&str, &str)]| {
        let inputs = inputs
            .iter()
            .map(|(name, text)| ((*name).to_owned(), Value::Text((*text).to_owned())));
        calc::run(
            "flow-check",
            &inputs.collect(),
            &crate::own_circuit::library().tables,
        )
        .expect_err("a refusal")
        .say(&words)
    };
    no_error(
        ran(&[("volume", "520 ml"), ("time", "0 s"), ("expected", "1070 ml/min")]),
        "„time“: 0 s gefunden, gültig von 1 s bis 3600 s (eine Stoppuhr in der Hand)",
    );
    no_error(
        ran(&[("volume", "520 ml"), ("time", "30 s")]),
        "„flow-check“ braucht „expected“: ",
    );
    let relay = Finding::Unsure {
        relay: "relay".into(),
        least_v: 7.1,
        most_v: 7.4,
        does: "pulls in",
        from_v: 7.2,
        to_v: 7.2,
    };
    no_error(
        relay.say(&words),
        "das Relais „relay“ ist im Zweifel: Seine Spule hat 7.10 V bis 7.40 V, und es zieht an bei 7.2 V",
    );
}
