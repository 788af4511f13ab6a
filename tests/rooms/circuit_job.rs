//! A job whose figures come from a circuit: played, written, read back and worked out again by the audit.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use crate::played_job;
use crate::shop::{self, INES, TABLET};
use witnessmark::audit::{self, Finding};
use witnessmark::calc::Value;
use witnessmark::circuit::{Fuse, Load, Meter, Netlist, Setting, Source, Switch, Wire, solve};
use witnessmark::page::step::figure_view;
use witnessmark::people::Roster;
use witnessmark::player::depend::reopened;
use witnessmark::player::fact::{Body, DecisionRule, Fact, Opening, WorkedOut};
use witnessmark::player::{Event, Play, State, Typed, advance};
use witnessmark::procedure::{self, ProcedureId, StepRef};
use witnessmark::quantity::Quantity;
use witnessmark::record;
use witnessmark::seal::digest;

const FILES: [(&str, &str); 3] = [
    (
        "jobs/lamp.yaml",
        "job: lamp
title: Prove a lamp
revision: 1
about: A short job about one circuit.
caution: The makers' instructions come first.
card:
  - group: car
    title: The car
    ask:
      - { id: name, label: Car, text: 60 }
      - { id: second, label: A second lamp, yes_no: yes }
      - { id: gauge, label: Wire, quantity: mm², from: 0.5 mm², to: 10 mm² }
figures:
  planned: { label: As planned, circuit: planned, find: { at_lamp: { volts: out } } }
procedures:
  - { procedure: lamp }
",
    ),
    (
        "procedures/lamp.yaml",
        "procedure: lamp
title: Prove the lamp
revision: 1
before: { conditions: [The ignition is off.] }
steps:
  - id: battery
    do: Read the battery at its posts.
    why: Everything rests on it.
    right: It is steady.
    wrong: It falls while you look.
    read:
      battery: { label: Battery, unit: V, plausible: { from: 0 V, to: 20 V }, unjudged: The circuit takes it. }
  - id: lamp
    do: Read the volts at the lamp.
    why: A bad joint takes what the lamp lacks.
    right: It is close to the battery.
    wrong: A volt is missing.
    read:
      at_lamp:
        label: Volts at the lamp
        unit: V
        plausible: { from: 0 V, to: 20 V }
        band: { at_least: { of: work.on.at_lamp_low, minus: 50 mV }, at_most: { of: work.on.at_lamp_high, plus: 50 mV }, because: A joint is bad. }
    work_out:
      on:
        label: The lamp on
        circuit: lamp
        closed: [trigger]
        find: { at_lamp: { volts: [out, frame] }, feed: { amps: main } }
        band: { of: feed_high, at_most: 10 A }
close_out: [The ignition is off.]
",
    ),
    (
        "circuits/lamp.yaml",
        "circuit: lamp
title: The lamp behind its switch
revision: 3
ground: minus
given:
  battery: { label: Battery at its posts, is: read.lamp.battery, within: 50 mV }
  gauge: { label: Wire, is: card.car.gauge }
  contact: { label: A clean contact, is: 10 mΩ, from: 1 mΩ, to: 50 mΩ }
  second: { label: Second lamp, is: 6 Ω, within: 10 %, when: { card.car.second: yes } }
parts:
  - { source: cells, plus: plus, minus: minus, volts: battery, internal: 1 mΩ }
  - { fuse: main, from: plus, to: fused, rating: 5 A, resistance: 3 mΩ }
  - { switch: trigger, from: fused, to: run, contact: contact }
  - { wire: feed, from: run, to: out, gauge: gauge, length: 3 m, temperature: 20 °C }
  - { lamp: lamp, from: out, to: frame, resistance: 4 Ω }
  - { lamp: second, from: out, to: frame, resistance: second, when: { card.car.second: yes } }
  - { wire: strap, from: frame, to: minus, resistance: 2 mΩ }
",
    ),
];

/// The second circuit is the first with a figure of the card for what is not read yet.
fn planned() -> String {
    let lamp = FILES[2].1.replace("circuit: lamp", "circuit: planned");
    lamp.replace("read.lamp.battery", "12.6 V")
}

fn play() -> Arc<Play> {
    let files = FILES.map(|(path, text)| (path.to_owned(), text.as_bytes().to_vec()));
    let mut files = BTreeMap::from(files);
    files.insert("circuits/planned.yaml".into(), planned().into_bytes());
    let (library, report) = procedure::load(files);
    let mut library = library.unwrap_or_else(|| panic!("{}", report.render()));
    Arc::new(Play::new(
        library.jobs.remove(0),
        library.shared,
        library.tables,
        Vec::new(),
    ))
}

fn roster() -> Roster {
    Roster::replay(played_job::roster().bytes.as_slice()).expect("a whole roster")
}

fn opening() -> Opening {
    let (play, roster) = (play(), roster());
    Opening {
        number: "2026-0008".into(),
        job: play.job.id.to_string(),
        title: play.job.title.clone(),
        revision: play.job.revision,
        practice: false,
        language: "en".into(),
        program: record::PROGRAM.into(),
        shop: roster.shop().into(),
        roster_head: roster.head().expect("a root").hash.to_string(),
        roster_lines: roster.lines(),
        decision: Some(DecisionRule::GuardedAcceptance),
        approval: None,
        content: Vec::new(),
        caution: play.job.caution.clone(),
    }
}

fn step(id: &str) -> StepRef {
    StepRef {
        procedure: "lamp".into(),
        step: id.into(),
    }
}

fn read(step: StepRef, name: &str, typed: &str) -> Event {
    Event::Read {
        step,
        name: name.into(),
        typed: typed.into(),
        instrument: None,
        live: None,
    }
}

fn events(second: &str, at_lamp: &str) -> Vec<(&'static str, Event)> {
    let answer = |field: &str, text: &str| ("car".into(), field.into(), Typed::Open(text.into()));
    let card = [("name", "Larkfield Pell"), ("second", second), ("gauge", "2.5")];
    let card = card.map(|(field, text)| answer(field, text));
    let procedure = ProcedureId::from("lamp");
    vec![
        (TABLET, Event::Open(opening())),
        (INES, Event::Card(card.to_vec())),
        (INES, Event::Begin { procedure }),
        (INES, read(step("battery"), "battery", "12.6")),
        (
            INES,
            Event::Done {
                step: step("battery"),
            },
        ),
        (INES, read(step("lamp"), "at_lamp", at_lamp)),
    ]
}

fn played(second: &str, at_lamp: &str) -> (State, Vec<Fact>) {
    let (roster, mut state, mut facts) = (roster(), State::new(play()), Vec::new());
    for (minute, (who, event)) in events(second, at_lamp).into_iter().enumerate() {
        let at = shop::at(&format!("10:{minute:02}:00"));
        let (next, more) = advance(&state, &audit::actor(&roster, who, at), event.clone())
            .unwrap_or_else(|refusal| panic!("{event:?}: {refusal}"));
        state = next;
        facts.extend(more);
    }
    (state, facts)
}

fn meaning(facts: &[Fact]) -> Vec<Finding> {
    let roster = roster();
    let play = Play::clone(&play());
    let facts: Vec<_> = facts.iter().cloned().map(Arc::new).collect();
    audit::meaning::check(
        play,
        &facts,
        &|id, at| audit::actor(&roster, id, at),
        record::PROGRAM,
    )
}

fn worked(facts: &[Fact]) -> WorkedOut {
    let found = facts.iter().find_map(|fact| match &fact.body {
        Body::WorkedOut(worked) => Some(worked.clone()),
        _ => None,
    });
    found.expect("a figure")
}

fn si(values: &[(String, Value)], name: &str) -> f64 {
    let found = values.iter().find(|(known, _)| known == name);
    found
        .and_then(|(_, value)| value.quantity())
        .expect("a quantity")
        .si()
}

type Lie<'a> = &'a dyn Fn(&mut WorkedOut);

/// The lamp's voltage under a meter, and the current of the fuse, from the solver itself.
fn by_hand(battery_v: f64, contact_ohm: f64, second_ohm: Option<f64>) -> (f64, f64) {
    // Copper of 20 °C, 1/58 Ω mm²/m (IEC 60028), as the calculator has it.
    let feed = Wire {
        ohm: 3.0 / 58.0 / 2.5,
    };
    let (rating_a, cold_ohm, internal_ohm) = (5.0, 0.003, 0.001);
    let emf_v = battery_v;
    let mut builder = Netlist::grounded_at("minus")
        .source("cells", ["plus", "minus"], Source { emf_v, internal_ohm })
        .fuse("main", ["plus", "fused"], Fuse { rating_a, cold_ohm })
        .switch("trigger", ["fused", "run"], Switch { contact_ohm })
        .wire("feed", ["run", "out"], feed)
        .lamp("lamp", ["out", "frame"], Load { ohm: 4.0 })
        .wire("strap", ["frame", "minus"], Wire { ohm: 0.002 })
        .voltmeter("meter", ["out", "frame"], Meter { input_ohm: 1e7 });
    if let Some(ohm) = second_ohm {
        builder = builder.lamp("second", ["out", "frame"], Load { ohm });
    }
    let found = solve(
        &builder.build().expect("a circuit"),
        &Setting::new().close("trigger"),
    )
    .expect("a state");
    let (volts, amps) = (found.reading_v("meter"), found.current_a("main"));
    (volts.expect("a meter"), amps.expect("a fuse"))
}

#[test]
fn a_circuits_figure_is_what_the_solver_finds() {
    for (second, ohm) in [("yes", Some([6.0, 5.4, 6.6])), ("no", None)] {
        let worked = worked(&played(second, "12.5").1);
        assert_eq!((worked.calculator.as_str(), worked.revision), ("circuit.lamp", 3));
        let names: Vec<&str> = worked.inputs.iter().map(|(name, _)| name.as_str()).collect();
        let known = ohm.is_some();
        assert_eq!(names.contains(&"second_low"), known, "{names:?}");
        assert_eq!(names[names.len() - 4..], ["closed", "out", "held", "solver"]);
        let at = |place: usize| ohm.map(|ohm| ohm[place]);
        let (middle, amps) = by_hand(12.6, 0.01, at(0));
        // Least at the lamp: a low battery, a bad contact and a greedy second lamp.
        let (low, high) = (by_hand(12.55, 0.05, at(1)).0, by_hand(12.65, 0.001, at(2)).0);
        let most_amps = by_hand(12.65, 0.001, at(1)).1;
        for (name, expected) in [
            ("at_lamp", middle),
            ("at_lamp_low", low),
            ("at_lamp_high", high),
            ("feed", amps),
            ("feed_high", most_amps),
        ] {
            let found = si(&worked.outputs, name);
            // The meter at the lamp takes a microampere, which the current is found without.
            assert!(
                (found - expected).abs() < 5e-6,
                "{second}, {name}: {found}, {expected}"
            );
        }
    }
}

#[test]
fn a_reading_is_judged_by_the_circuit_and_the_figure_is_shown_in_its_words() {
    let (state, facts) = played("yes", "11.6");
    let what = facts.iter().find_map(|fact| match &fact.body {
        Body::Deviation { what, .. } => Some(what.clone()),
        _ => None,
    });
    assert!(what.is_some_and(|what| what.starts_with("Volts at the lamp: 11.6 V is not 12.")));
    let view = figure_view(&worked(&facts), Some(state.play()), state.words());
    assert_eq!(view.calculator, "The lamp behind its switch");
    assert_eq!(view.inputs[0].0, "Battery at its posts");
    assert!(view.outputs.iter().any(|(label, _)| label == "At lamp, least"));
    assert_eq!(view.sources.len(), 2);
    // 12.6 V over some 2.4 Ω is more than the fuse's 5 A.
    assert!(
        view.notes[0].starts_with("`main` carries 5.1"),
        "{:?}",
        view.notes
    );
}

#[test]
fn a_record_of_a_circuit_comes_back_and_its_lies_are_found() {
    let (_, facts) = played("yes", "12.5");
    let mut prev = witnessmark::seal::Digest::ZERO;
    let back = facts.iter().map(|fact| {
        let text = record::write(fact, prev, "2026-0008").expect("an entry");
        prev = digest(text.as_bytes());
        record::read(&text).expect("a fact").1
    });
    let back: Vec<Fact> = back.collect();
    assert_eq!(back, facts);
    assert_eq!(meaning(&back), []);
    let better = |values: &mut Vec<(String, Value)>, name: &str, text: &str| {
        let found = values
            .iter_mut()
            .find(|(known, _)| known == name)
            .expect("a name");
        found.1 = Value::Quantity(Quantity::parse(text, None).expect("a quantity"));
    };
    let lies: [(&str, Lie); 5] = [
        ("output-differs", &|worked| {
            better(&mut worked.outputs, "at_lamp_low", "11 V")
        }),
        ("output-differs", &|worked| {
            better(&mut worked.inputs, "contact_high", "900 mΩ")
        }),
        ("output-differs", &|worked| worked.revision = 2),
        ("output-differs", &|worked| {
            worked.calculator = "circuit.planned".into()
        }),
        ("wording-differs", &|worked| worked.notes.clear()),
    ];
    for (rule, lie) in lies {
        let mut told = facts.clone();
        let found = told.iter_mut().find_map(|fact| match &mut fact.body {
            Body::WorkedOut(worked) => Some(worked),
            _ => None,
        });
        lie(found.expect("a figure"));
        let rules: BTreeSet<&str> = meaning(&told)
            .iter()
            .map(|finding| finding.rule.as_str())
            .collect();
        assert!(rules.contains(rule), "{rule}: {rules:?}");
    }
    let mut told = facts.clone();
    let card = told.iter_mut().find_map(|fact| match &mut fact.body {
        Body::Card(card) => card.figures.first_mut(),
        _ => None,
    });
    better(&mut card.expect("a figure").outputs, "at_lamp", "12 V");
    assert!(!meaning(&told).is_empty(), "a lie about a figure of the card");
}

#[test]
fn what_a_circuit_takes_opens_its_step_again() {
    let (state, _) = played("no", "12.5");
    let opened = |first: &[StepRef], fields: &[&str]| {
        let fields = fields.iter().map(|field| ("car".to_owned(), (*field).to_owned()));
        let opened = reopened(&state, first, &fields.collect());
        opened
            .iter()
            .map(|step| step.step.to_string())
            .collect::<Vec<_>>()
    };
    assert_eq!(opened(&[step("battery")], &[]), ["battery", "lamp"]);
    assert_eq!(opened(&[], &["name"]), [""; 0]);
    assert_eq!(opened(&[], &["gauge"]), ["lamp"]);
    // Which parts the circuit has is an answer of the card too.
    assert_eq!(opened(&[], &["second"]), ["lamp"]);
    let fields = state.play().figure_fields("planned");
    let named: Vec<&str> = fields.iter().map(|(_, field)| field.as_str()).collect();
    assert_eq!(named, ["gauge", "second"]);
}
