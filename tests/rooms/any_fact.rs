//! Facts of every kind, with whatever can stand in them.

use chrono::{DateTime, FixedOffset, NaiveDate};
use proptest::collection::vec;
use proptest::option::of;
use proptest::prelude::*;
use witnessmark::calc::Value;
use witnessmark::player::fact::*;
use witnessmark::procedure::{GuardBand, HazardId, ProcedureId, SignalWord, StepId, StepRef};
use witnessmark::quantity::{Quantity, Unit};
use witnessmark::words::Language;

/// Any fact that the player could make for the job `2026-0001`, and many that it would not.
pub fn fact() -> impl Strategy<Value = Fact> {
    let by = "[a-z0-9._-]{1,64}";
    (0..1_u64 << 53, moment(), by, body()).prop_map(|(n, at, by, body)| Fact { n, at, by, body })
}

fn body() -> impl Strategy<Value = Body> {
    prop_oneof![
        whole().boxed(),
        at_work().boxed(),
        deviation().boxed(),
        point().boxed(),
        aside().boxed(),
        end().boxed()
    ]
}

fn whole() -> impl Strategy<Value = Body> {
    // On the heap, one by one: together they are more than a test's stack holds.
    prop_oneof![
        opening().prop_map(Body::Opening).boxed(),
        card().prop_map(Body::Card).boxed(),
        vec(planned(), 0..3).prop_map(Body::Plan).boxed(),
        reading().prop_map(Body::Read).boxed(),
        worked_out().prop_map(Body::WorkedOut).boxed(),
    ]
}

fn at_work() -> impl Strategy<Value = Body> {
    let lists = (texts(), texts(), texts(), vec(hazard(), 0..3));
    let begin = (procedure(), text(), lists).prop_map(|(procedure, title, lists)| {
        let (conditions, people, tools, hazards) = lists;
        Body::Begin {
            procedure,
            title,
            conditions,
            people,
            tools,
            hazards,
        }
    });
    let known =
        (step(), vec(hazard(), 0..3)).prop_map(|(step, hazards)| Body::Acknowledged { step, hazards });
    let done = (step(), wording()).prop_map(|(step, wording)| Body::Done { step, wording });
    let close = (procedure(), texts()).prop_map(|(procedure, lines)| Body::CloseOut { procedure, lines });
    prop_oneof![begin, known, done, close]
}

fn deviation() -> impl Strategy<Value = Body> {
    let (number, words) = (any::<u64>, text);
    prop_oneof![
        (step(), of(number()), words()).prop_map(|(step, concerns, what)| Body::Deviation {
            step,
            concerns,
            what
        }),
        (number(), words()).prop_map(|(deviation, reason)| Body::MeasureAgain { deviation, reason }),
        (number(), words(), steps()).prop_map(|(deviation, what, reopens)| Body::Rework {
            deviation,
            what,
            reopens
        }),
        (number(), words()).prop_map(|(deviation, reason)| Body::Concession { deviation, reason }),
        (number(), number()).prop_map(|(deviation, by_entry)| Body::Resolved { deviation, by_entry }),
    ]
}

fn point() -> impl Strategy<Value = Body> {
    prop_oneof![
        (step(), text(), any::<bool>()).prop_map(|(step, says, attended)| Body::Witness {
            step,
            says,
            attended
        }),
        (step(), text(), numbers()).prop_map(|(step, says, covers)| Body::Release { step, says, covers }),
        (step(), text(), steps()).prop_map(|(step, reason, reopens)| Body::SendBack {
            step,
            reason,
            reopens
        }),
    ]
}

fn aside() -> impl Strategy<Value = Body> {
    prop_oneof![
        (step(), text(), text(), any::<bool>()).prop_map(|(step, ask, chosen, right)| Body::Answered {
            step,
            ask,
            chosen,
            right
        }),
        (of(step()), text()).prop_map(|(step, text)| Body::Note { step, text }),
        (of(step()), of(any::<u64>()), text()).prop_map(|(step, deviation, photo)| Body::Photograph {
            step,
            deviation,
            photo
        }),
        of(text()).prop_map(|torn| Body::Resume { torn }),
        "[a-z]{2,3}(-[A-Z]{2})?".prop_map(|tag| Body::Language {
            language: Language::parse(&tag).unwrap()
        }),
    ]
}

fn end() -> impl Strategy<Value = Body> {
    prop_oneof![
        (text(), numbers()).prop_map(|(statement, covers)| Body::SignOff { statement, covers }),
        (text(), numbers()).prop_map(|(statement, covers)| Body::JobRelease { statement, covers }),
        any::<u64>().prop_map(|entries| Body::Closing { entries }),
    ]
}

fn opening() -> impl Strategy<Value = Opening> {
    let named = (id(), text(), any::<u32>(), any::<bool>());
    let told = (text(), text(), text(), text());
    let rule = prop_oneof![Just(None), Just(Some(DecisionRule::GuardedAcceptance))];
    let approval = (any::<u64>(), text(), text(), text(), any::<u64>());
    let pinned = (text(), any::<u64>(), pairs(), of(approval), rule);
    (named, told, pinned).prop_map(|(named, told, pinned)| {
        let (job, title, revision, practice) = named;
        let (language, program, shop, caution) = told;
        let (roster_head, roster_lines, content, approval, decision) = pinned;
        let approval = approval.map(|(n, line, content, head, lines)| ApprovalPinned {
            n,
            line,
            content,
            head,
            lines,
        });
        let number = "2026-0001".to_owned();
        Opening {
            number,
            job,
            title,
            revision,
            practice,
            language,
            program,
            shop,
            roster_head,
            roster_lines,
            content,
            caution,
            approval,
            decision,
        }
    })
}

fn card() -> impl Strategy<Value = Card> {
    (
        vec(answer(), 0..4),
        vec(worked_out(), 0..2),
        vec(check(), 0..2),
        steps(),
    )
        .prop_map(|(answers, figures, checks, reopens)| Card {
            answers,
            figures,
            checks,
            reopens,
        })
}

fn answer() -> impl Strategy<Value = CardAnswer> {
    let answer = prop_oneof![
        (text(), value(), text()).prop_map(|(typed, value, shown)| Answer::Open { typed, value, shown }),
        text().prop_map(|commitment| Answer::Committed { commitment }),
    ];
    (id(), id(), text(), answer).prop_map(|(group, field, label, answer)| CardAnswer {
        group,
        field,
        label,
        answer,
    })
}

fn check() -> impl Strategy<Value = CheckDone> {
    (id(), text(), value(), limits(), verdict(), any::<bool>()).prop_map(
        |(id, says, value, limits, verdict, advice)| CheckDone {
            id,
            says,
            value,
            limits,
            verdict,
            advice,
        },
    )
}

fn planned() -> impl Strategy<Value = PlannedProcedure> {
    let step = (step(), text(), pairs(), any::<bool>(), any::<bool>()).prop_map(
        |(step, command, readings, hold, witness)| PlannedStep {
            step,
            command,
            readings,
            hold,
            witness,
        },
    );
    (procedure(), text(), any::<u32>(), vec(step, 0..3)).prop_map(|(procedure, title, revision, steps)| {
        PlannedProcedure {
            procedure,
            title,
            revision,
            steps,
        }
    })
}

fn reading() -> impl Strategy<Value = ReadingTaken> {
    let asked = (step(), id(), text(), text());
    let judged = (
        of(limits()),
        of(guard_band()),
        of(text()),
        verdict(),
        any::<bool>(),
    );
    let with = (of(instrument()), of(live().prop_map(Box::new)));
    (asked, value(), text(), with, judged).prop_map(|(asked, value, shown, (instrument, live), judged)| {
        let (step, name, label, typed) = asked;
        let (limits, guard_band, unjudged, verdict, confirmed) = judged;
        ReadingTaken {
            step,
            name,
            label,
            typed,
            value,
            shown,
            instrument,
            live,
            limits,
            guard_band,
            unjudged,
            verdict,
            confirmed,
        }
    })
}

fn live() -> impl Strategy<Value = Live> {
    let said = || "[ -~]{1,40}";
    (said(), said(), said()).prop_map(|(identity, asked, reply)| Live {
        identity,
        asked,
        reply,
    })
}

fn guard_band() -> impl Strategy<Value = GuardBand> {
    (quantity(), of(quantity()), of(quantity())).prop_map(|(width, low, high)| GuardBand { width, low, high })
}

fn worked_out() -> impl Strategy<Value = WorkedOut> {
    let named = (of(step()), id(), text(), id(), any::<u32>());
    let judged = of((id(), limits(), verdict()));
    (named, values(), values(), texts(), judged).prop_map(|(named, inputs, outputs, notes, judged)| {
        let (step, name, label, calculator, revision) = named;
        WorkedOut {
            step,
            name,
            label,
            calculator,
            revision,
            inputs,
            outputs,
            notes,
            judged,
        }
    })
}

fn instrument() -> impl Strategy<Value = InstrumentUsed> {
    let named = (id(), text(), text(), date(), date());
    let proved = (of(quantity()), of(text()), of(text()));
    (named, proved).prop_map(
        |((id, name, serial, calibrated, due), (uncertainty, stated, certificate))| InstrumentUsed {
            id,
            name,
            serial,
            calibrated,
            due,
            uncertainty,
            stated,
            certificate,
        },
    )
}

fn limits() -> impl Strategy<Value = LimitsShown> {
    let asked = (of(quantity()), of(quantity()), of(texts()));
    (asked, text(), of(text()), of(text())).prop_map(
        |((low, high, one_of), origin, because, no_concession)| LimitsShown {
            low,
            high,
            one_of,
            origin,
            because,
            no_concession,
        },
    )
}

fn hazard() -> impl Strategy<Value = HazardShown> {
    use SignalWord::{Caution, Danger, Notice, Warning};
    let word = prop::sample::select(vec![Danger, Warning, Caution, Notice]);
    (id(), word, id(), text(), text(), texts()).prop_map(|(id, word, sign, what, happens, avoid)| {
        HazardShown {
            id: HazardId(id),
            word,
            sign,
            what,
            happens,
            avoid,
        }
    })
}

fn wording() -> impl Strategy<Value = Wording> {
    let words = (text(), text(), text(), text());
    (words, texts(), texts(), of(text()), texts()).prop_map(
        |((command, why, right, wrong), hazards, tools, picture, callouts)| Wording {
            command,
            why,
            right,
            wrong,
            hazards,
            tools,
            picture,
            callouts,
        },
    )
}

fn verdict() -> impl Strategy<Value = Verdict> {
    use Verdict::{Above, Below, In, NotAmong, Undecided, Unjudged};
    prop::sample::select(vec![In, Undecided, Below, Above, NotAmong, Unjudged])
}

fn value() -> impl Strategy<Value = Value> {
    prop_oneof![
        quantity().prop_map(Value::Quantity),
        text().prop_map(Value::Text),
        any::<bool>().prop_map(Value::Flag),
    ]
}

/// Any finite number in any unit, the sizes of wires among them.
fn quantity() -> impl Strategy<Value = Quantity> {
    let units: Vec<Unit> = Unit::all().collect();
    let number = prop_oneof![
        proptest::num::f64::NORMAL,
        proptest::num::f64::SUBNORMAL,
        -3.0..56.0_f64
    ];
    (number, prop::sample::select(units)).prop_filter_map("no such quantity", |(number, unit)| {
        Quantity::new(number, unit).ok()
    })
}

fn values() -> impl Strategy<Value = Vec<(String, Value)>> {
    vec((id(), value()), 0..4)
}

fn moment() -> impl Strategy<Value = DateTime<FixedOffset>> {
    (86_400..250_000_000_000_i64, -14 * 60..14 * 60_i32).prop_filter_map(
        "no such time",
        |(second, minutes)| {
            let offset = FixedOffset::east_opt(minutes * 60)?;
            Some(DateTime::from_timestamp(second, 0)?.with_timezone(&offset))
        },
    )
}

fn date() -> impl Strategy<Value = NaiveDate> {
    (1..3_000_000).prop_filter_map("no such date", NaiveDate::from_num_days_from_ce_opt)
}

fn step() -> impl Strategy<Value = StepRef> {
    (procedure(), id()).prop_map(|(procedure, step)| StepRef {
        procedure,
        step: StepId(step),
    })
}

fn steps() -> impl Strategy<Value = Vec<StepRef>> {
    vec(step(), 0..3)
}

fn procedure() -> impl Strategy<Value = ProcedureId> {
    id().prop_map(ProcedureId)
}

fn pairs() -> impl Strategy<Value = Vec<(String, String)>> {
    vec((text(), text()), 0..3)
}

fn numbers() -> impl Strategy<Value = Vec<u64>> {
    vec(any::<u64>(), 0..5)
}

fn texts() -> impl Strategy<Value = Vec<String>> {
    vec(text(), 0..3)
}

/// Any characters, so also quotes, controls and what lies beyond the basic plane.
fn text() -> impl Strategy<Value = String> {
    vec(any::<char>(), 0..12).prop_map(String::from_iter)
}

fn id() -> impl Strategy<Value = String> {
    "[a-z][a-z0-9_-]{0,11}"
}
