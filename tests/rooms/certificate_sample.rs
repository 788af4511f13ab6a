//! A certificate's model as a job in an invented workshop leaves it.

use chrono::{DateTime, Duration, FixedOffset};
use witnessmark::page::certificate::{
    CardSection, Certificate, CertificateDeviation, CertificateProcedure, CertificateStep, PROVES,
    PROVES_NOT, Seals, Signature,
};
use witnessmark::page::instrument::InstrumentLine;
use witnessmark::page::sign::{CoveredLine, CoveredValue};
use witnessmark::page::step::FigureView;
use witnessmark::page::{Gauge, Plot};
use witnessmark::player::fact::{LimitsShown, Verdict};
use witnessmark::procedure::{ProcedureId, StepId, StepRef};
use witnessmark::quantity::Quantity;
use witnessmark::report::Attachment;
use witnessmark::table::Tables;

pub const HASH: &str = "9f2c4b1e7a6d0385c1fe94b27d5a08e3b6c7d1f02a9e8b4475d3c0619fa2e8b7";

/// The time of an entry: minutes after the job was opened.
pub fn at(minutes: i64) -> DateTime<FixedOffset> {
    let opened = DateTime::parse_from_rfc3339("2026-03-02T08:05:00+01:00").expect("a time");
    opened + Duration::minutes(minutes)
}

fn pair(label: &str, answer: &str) -> (String, String) {
    (label.to_owned(), answer.to_owned())
}

fn card() -> Vec<CardSection> {
    let section = |title: &str, answers: &[(&str, &str)]| CardSection {
        title: title.to_owned(),
        answers: answers
            .iter()
            .map(|(label, answer)| pair(label, answer))
            .collect(),
    };
    vec![
        section(
            "The car",
            &[
                ("Car", "1999 Larkfield Pell 1.8 coupe"),
                ("Registration", "kept beside the record, committed to by its hash"),
                ("Fuel", "petrol, port injection"),
                ("Engine speed limit", "6800 rpm"),
                ("Battery", "12 V, 55 A·h, in the engine bay"),
            ],
        ),
        section(
            "Fuel supply",
            &[
                (
                    "How the rail is fed",
                    "quick-connect rail, with a return line to the tank",
                ),
                ("Rail pressure, key on", "3 bar"),
                ("Regulator", "manifold-referenced"),
                ("Pump's dead-head pressure", "6.2 bar"),
            ],
        ),
        section(
            "The kit",
            &[
                ("Kit", "Corvane 50, wet, single nozzle"),
                ("Nitrous solenoid, cold current", "17.4 A"),
                ("Fuel solenoid, cold current", "4.1 A"),
                ("Wire to the solenoids", "4 mm², 2.6 m"),
            ],
        ),
    ]
}

fn limits(low: Option<&str>, high: Option<&str>) -> LimitsShown {
    let quantity = |text: &str| Quantity::parse(text, None).expect("a quantity");
    LimitsShown {
        low: low.map(quantity),
        high: high.map(quantity),
        one_of: None,
        origin: "from the job card".to_owned(),
        because: None,
        no_concession: None,
    }
}

fn value(label: &str, shown: &str, low: Option<&str>, high: Option<&str>, verdict: Verdict) -> CoveredValue {
    let limits = limits(low, high);
    let quantity = Quantity::parse(shown, None).expect("a quantity");
    CoveredValue {
        label: label.to_owned(),
        shown: shown.to_owned(),
        band: limits.in_words(),
        verdict: Some(verdict),
        with: String::new(),
        gauge: Gauge::new(&limits, quantity.unit(), Some(quantity)),
        plot: None,
    }
}

fn instruments() -> Vec<InstrumentLine> {
    vec![InstrumentLine {
        name: "Multimeter, volts".to_owned(),
        serial: "AQ-0105".to_owned(),
        calibrated: "2026-01-01 to 2027-01-01".to_owned(),
        uncertainty: "0.1 % of the reading + 0.02 V, k = 2".to_owned(),
        certificate: "No certificate is kept with this record".to_owned(),
        readings: 3,
    }]
}

fn figures() -> Vec<FigureView> {
    let load = value("", "21.5 A", None, Some("25 A"), Verdict::In);
    vec![
        FigureView {
            label: "Load on the solenoid fuse".to_owned(),
            result: "21.5 A".to_owned(),
            verdict: Some(Verdict::In),
            gauge: load.gauge,
            band: load.band,
            calculator: "Load of a solenoid pair".to_owned(),
            equation: "I = U × (1 / R_nitrous + 1 / R_fuel)".to_owned(),
            inputs: vec![
                pair("voltage", "14.4 V"),
                pair("R_nitrous", "0.83 Ω"),
                pair("R_fuel", "3.5 Ω"),
            ],
            outputs: vec![pair("current", "21.5 A")],
            sources: vec![
                "practice, cold maximum at charging voltage (common practice, no source)".to_owned(),
            ],
            plot: None,
            notes: vec!["The coils are cold: the current falls by about a fifth as they warm.".to_owned()],
        },
        FigureView {
            label: "Wire drop".to_owned(),
            result: "0.34 V".to_owned(),
            verdict: None,
            gauge: None,
            band: String::new(),
            calculator: "Voltage drop along a wire".to_owned(),
            equation: "U = I × ρ × 2 × l / A".to_owned(),
            inputs: vec![pair("length", "2.6 m"), pair("area", "4 mm²")],
            outputs: vec![pair("drop", "0.34 V"), pair("share", "2.4 %")],
            sources: Vec::new(),
            notes: Vec::new(),
            plot: plot("wire-drop"),
        },
    ]
}

/// A figure that no band judges.
fn unjudged() -> CoveredValue {
    CoveredValue {
        label: "Turns past hand-tight".to_owned(),
        shown: "engagement 4.102 mm, least 2, most 3".to_owned(),
        band: String::new(),
        verdict: None,
        with: String::new(),
        gauge: None,
        plot: None,
    }
}

/// A calculator's result drawn, from inputs as they would be typed.
pub fn plot(calculator: &str) -> Option<Plot> {
    let spec = witnessmark::calc::find(calculator).expect("a calculator").spec;
    let example = spec.example.iter();
    let typed = example
        .map(|(name, text)| ((*name).to_owned(), (*text).to_owned()))
        .collect();
    let page = witnessmark::page::calculator::page(
        calculator,
        &typed,
        &Tables::default(),
        &witnessmark::words::Words::english(),
    );
    page.expect("it is listed").plot
}

/// The margin of the cut-out, worked out and drawn.
fn margin() -> CoveredValue {
    CoveredValue {
        plot: plot("cut-out-margin"),
        ..value(
            "Margin of the cut-out",
            "45.58 kPa",
            Some("30 kPa"),
            None,
            Verdict::In,
        )
    }
}

/// A command with its readings; the third of them is above its band.
fn commands() -> Vec<(&'static str, Vec<CoveredValue>)> {
    vec![
        (
            "Shut the bottle valve and vent the nitrous line outdoors, then leave it open-ended.",
            vec![],
        ),
        (
            "Read this car's own rail pressure, key on and at idle, before anything is tapped.",
            vec![
                value(
                    "Rail pressure, key on",
                    "3.02 bar",
                    Some("2.8 bar"),
                    Some("3.2 bar"),
                    Verdict::In,
                ),
                value(
                    "Rail pressure at idle",
                    "2.41 bar",
                    Some("2.2 bar"),
                    Some("2.6 bar"),
                    Verdict::In,
                ),
            ],
        ),
        (
            "Measure the outside diameter over the barb.",
            vec![value(
                "Diameter over the barb",
                "15.8 mm",
                Some("13 mm"),
                Some("15 mm"),
                Verdict::Above,
            )],
        ),
        (
            "Let the pump pressure fall slowly until the meter shows an open circuit.",
            vec![
                value(
                    "Trip pressure",
                    "34.6 psi",
                    Some("33 psi"),
                    Some("37 psi"),
                    Verdict::In,
                ),
                unjudged(),
                margin(),
            ],
        ),
        (
            "Route the hose away from the exhaust, from edges and from belts; leave slack for the engine's movement.",
            vec![],
        ),
        (
            "Hold the meter to terminal 87 with the arming switch off, then with each interlock opened alone.",
            vec![
                value("87 with arming off", "0 V", None, Some("0.1 V"), Verdict::In),
                value("Drop at the solenoid", "0.38 V", None, Some("0.5 V"), Verdict::In),
            ],
        ),
    ]
}

fn step(number: usize, done: bool) -> CertificateStep {
    let commands = commands();
    let (command, values) = commands[(number - 1) % commands.len()].clone();
    let name = "Ines Varga".to_owned();
    let minute = i64::try_from(number).expect("small") * 4;
    let deviates = values
        .iter()
        .any(|value| value.verdict.is_some_and(Verdict::fails));
    let deviation = "Deviation 21: Diameter over the barb: 15.8 mm is above 13 mm to 15 mm (accepted by Tomasz Okafor: \
                     the next clamp size, 14 to 16 mm, was fitted and pull-tested)";
    CertificateStep {
        number,
        line: CoveredLine {
            step: StepRef {
                procedure: ProcedureId("fuel-hose".to_owned()),
                step: StepId(format!("step-{number}")),
            },
            command: command.to_owned(),
            by: if done { vec![name.clone()] } else { Vec::new() },
            values: if done { values } else { Vec::new() },
            deviations: Vec::new(),
        },
        deviations: if deviates && done {
            vec![deviation.to_owned()]
        } else {
            Vec::new()
        },
        done: done.then(|| (at(minute), name)),
        released: (done && number.is_multiple_of(6)).then(|| (at(minute + 2), "Tomasz Okafor".to_owned())),
        witnessed: (done && number.is_multiple_of(5)).then(|| {
            (
                at(minute + 1),
                "Tomasz Okafor".to_owned(),
                number.is_multiple_of(2),
            )
        }),
    }
}

const TITLES: [&str; 12] = [
    "Make safe and check parts",
    "Fuel supply tap",
    "Fuel hose to the solenoid",
    "Fuel-pressure cut-out",
    "Switched-power tap",
    "Arming switch and trigger",
    "Interlocks",
    "Relay and solenoid power",
    "Electrical proof",
    "Fuel leak, pressure and flow",
    "Nitrous side: inspection, then first opening",
    "Release",
];

fn procedures(steps: usize, done: usize) -> Vec<CertificateProcedure> {
    let numbers: Vec<usize> = (1..=steps).collect();
    let chunks = numbers.chunks(steps.div_ceil(TITLES.len()).max(1));
    let one = |(title, numbers): (&&str, &[usize])| CertificateProcedure {
        title: (*title).to_owned(),
        revision: 3,
        steps: numbers
            .iter()
            .map(|&number| step(number, number <= done))
            .collect(),
    };
    TITLES.iter().zip(chunks).map(one).collect()
}

fn signatures(end: i64) -> Vec<Signature> {
    let sign = |entry: u64, minutes: i64, by: &str, name: &str, meaning: &str| Signature {
        entry,
        at: at(minutes),
        by: by.to_owned(),
        name: name.to_owned(),
        meaning: meaning.to_owned(),
    };
    vec![
        sign(23, 14, "t.okafor", "Tomasz Okafor", "Accepted deviation 21."),
        sign(
            41,
            26,
            "t.okafor",
            "Tomasz Okafor",
            "Released the hold point at make-safe/parts-suit.",
        ),
        sign(
            211,
            end,
            "i.varga",
            "Ines Varga",
            "I did the work as the record says, and every deviation is in it.",
        ),
        sign(
            212,
            end + 3,
            "t.okafor",
            "Tomasz Okafor",
            "I looked at the work and at the record, and I release the job.",
        ),
        sign(213, end + 3, "tablet-1", "tablet-1", "Closed the record."),
    ]
}

/// A closed job with this many steps.
pub fn closed(steps: usize) -> Certificate {
    let end = i64::try_from(steps).expect("small") * 4 + 10;
    Certificate {
        shop: "Alder Quay Motor Works".to_owned(),
        number: "2026-0001".to_owned(),
        title: "Wet nitrous system, single nozzle".to_owned(),
        practice: false,
        closed: true,
        program: "witnessmark 0.1.0".to_owned(),
        content_revision: 4,
        caution: "This program helps a trained fitter; it does not replace one. It does not know your car.".to_owned(),
        opened: Some(at(0)),
        closed_at: Some(at(end + 3)),
        card: card(),
        figures: figures(),
        procedures: procedures(steps, steps),
        instruments: instruments(),
        decision: "Guarded acceptance.".to_owned(),
        words: witnessmark::words::Words::english(),
        deviations: vec![CertificateDeviation {
            number: 21,
            step: "fuel-hose/diameter".to_owned(),
            what: "Diameter over the barb: 15.8 mm is above 13 mm to 15 mm".to_owned(),
            course: vec![
                "Entry 22, 2026-03-02 08:18, Ines Varga: measure again, deviation 21: the caliper sat askew".to_owned(),
                "Entry 23, 2026-03-02 08:19, Tomasz Okafor: concession, deviation 21: the next clamp size, 14 to 16 mm, was fitted and pull-tested".to_owned(),
            ],
            outcome: "accepted by concession".to_owned(),
            settled: true,
        }],
        signatures: signatures(end),
        entries: 214,
        seals: Seals {
            final_hash: HASH.to_owned(),
            ledger_head: HASH.chars().rev().collect(),
            root_fingerprint: "SHA256:pXcW0r6gQ0fXx1J5bq0yq8W2uYwq4j7c1nqk6rLmJ5E".to_owned(),
            ..Seals::default()
        },
        proves: PROVES,
        proves_not: PROVES_NOT,
    }
}

/// The same job with the first steps done only, and nobody's signature under the whole.
pub fn open(steps: usize, done: usize) -> Certificate {
    let mut page = closed(steps);
    page.procedures = procedures(steps, done);
    (page.closed, page.closed_at) = (false, None);
    page.signatures.truncate(1);
    page.seals.ledger_head = String::new();
    page
}

/// Files as a job's folder has them.
pub fn files() -> Vec<Attachment> {
    let file = |name: &str, mime: &'static str, description: &str, bytes: Vec<u8>| Attachment {
        name: name.to_owned(),
        mime,
        description: description.to_owned(),
        bytes,
        modified: at(300),
    };
    let noise: Vec<u8> = (0..70_000_u32)
        .map(|n| (n.wrapping_mul(2_654_435_761) >> 13) as u8)
        .collect();
    vec![
        file(
            "record.jsonl",
            "application/jsonl",
            "The signed record of the job",
            b"{\"entry\":\"{}\"}\n".repeat(400),
        ),
        file(
            "roster.jsonl",
            "application/jsonl",
            "The shop's people and keys",
            b"{}\n".to_vec(),
        ),
        file(
            "allowed_signers",
            "text/plain",
            "Keys and dates as ssh-keygen reads them",
            b"i.varga ssh-ed25519 AAAA\n".to_vec(),
        ),
        file(
            "ledger-extract.jsonl",
            "application/jsonl",
            "The two ledger lines of this job",
            Vec::new(),
        ),
        file(
            &format!("{HASH}.jpeg"),
            "image/jpeg",
            "A photo of the hose",
            noise,
        ),
    ]
}
