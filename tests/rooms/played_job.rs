//! A job of the demonstration shop that was really played: the content of `tests/vectors/content/cut-out`, the
//! player, the record and keys, as a session has them.

use std::collections::BTreeMap;
use std::sync::{Arc, LazyLock};

use witnessmark::audit::{self, REGISTER, actor, stored_name};
use witnessmark::people::ledger::{JobClosed, JobOpened};
use witnessmark::people::{LedgerEntry, Role, Roster};
use witnessmark::player::fact::{Body, DecisionRule, Fact, Live, Opening};
use witnessmark::player::{Event, Play, Refusal, State, Typed, advance};
use witnessmark::procedure::{self, ProcedureId, StepRef};
use witnessmark::record;
use witnessmark::seal::{Digest, Namespace, digest};
use witnessmark::words::Language;

use crate::shop::{self, INES, Log, TABLET, TOMASZ};

pub const JOB: &str = "2026-0007";
/// A second apprentice, so that four eyes can fail between people without the role.
pub const RUTH: &str = "ruth.lindqvist";

type Files = BTreeMap<String, Vec<u8>>;

/// The content that the job pins.
pub fn content() -> Files {
    let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/vectors/content/cut-out");
    let mut files = Files::new();
    for name in [
        "hazards.yaml",
        "tools.yaml",
        "instruments.yaml",
        "jobs/cut-out.yaml",
        REGISTER,
    ] {
        files.insert(name.to_owned(), std::fs::read(root.join(name)).expect("content"));
    }
    for name in ["cut-out", "box", "bottle"] {
        let name = format!("procedures/{name}.yaml");
        files.insert(name.clone(), std::fs::read(root.join(&name)).expect("content"));
    }
    for name in ["jobs/cut-out", "procedures/cut-out", "procedures/box"] {
        let name = format!("lang/de/{name}.po");
        files.insert(name.clone(), std::fs::read(root.join(&name)).expect("content"));
    }
    files
}

/// The job, ready to be played, with the shop's one gauge.
pub fn play() -> Arc<Play> {
    static PLAY: LazyLock<Arc<Play>> = LazyLock::new(|| Arc::new(play_of(content())));
    PLAY.clone()
}

/// The first job of these files, ready to be played.
pub fn play_of(mut files: Files) -> Play {
    let register = String::from_utf8(files.remove(REGISTER).expect("a register")).expect("text");
    let register = procedure::register(&register).unwrap_or_else(|report| panic!("{}", report.render()));
    let (library, report) = procedure::load(files);
    let mut library = library.unwrap_or_else(|| panic!("{}", report.render()));
    Play::new(library.jobs.remove(0), library.shared, library.tables, register)
}

/// Tomasz, Ines, Ruth and the tablet.
pub fn roster() -> Log {
    let mut log = shop::roster();
    log.roster(
        "08:03:00",
        TOMASZ,
        TOMASZ,
        &shop::join(RUTH, "Ruth Lindqvist", &[Role::Apprentice], "08:03:00"),
    );
    log
}

/// The hash of the content's list of files: what Tomasz approves.
pub fn content_hash() -> Digest {
    audit::content_list(&pinned()).expect("a list").hash()
}

fn pinned() -> Vec<(String, String)> {
    let files = content().into_iter();
    files
        .map(|(path, bytes)| (path, digest(&bytes).to_string()))
        .collect()
}

/// The shop's approvals: this content, and nothing else.
pub fn approvals() -> Log {
    let mut log = Log::new(Namespace::ContentApproval);
    let revision = play().job.revision;
    log.approval(
        "08:30:00",
        TOMASZ,
        &shop::approve("cut-out", revision, content_hash()),
    );
    log
}

pub fn opening(practice: bool, roster: &Roster) -> Opening {
    let job = play().job.clone();
    Opening {
        approval: (!practice).then(|| shop::pinned(&approvals(), 0, content_hash())),
        number: JOB.into(),
        job: job.id.to_string(),
        title: job.title,
        revision: job.revision,
        practice,
        language: "en".into(),
        program: record::PROGRAM.into(),
        shop: roster.shop().into(),
        roster_head: roster.head().expect("a root").hash.to_string(),
        roster_lines: roster.lines(),
        content: pinned(),
        caution: job.caution,
        decision: Some(DecisionRule::GuardedAcceptance),
    }
}

pub fn step(text: &str) -> StepRef {
    let (procedure, step) = text.split_once('.').expect("procedure.step");
    StepRef {
        procedure: procedure.into(),
        step: step.into(),
    }
}

pub fn card(trip: &str, boxed: &str) -> Event {
    let open =
        |group: &str, field: &str, typed: &str| (group.into(), field.into(), Typed::Open(typed.into()));
    let owner = record::Personal::new()
        .commit("car", "owner", "Ada Brandt", [9; 32])
        .to_string();
    Event::Card(vec![
        open("car", "name", "1999 Larkfield Pell 1.8"),
        ("car".into(), "owner".into(), Typed::Committed(owner)),
        open("fuel", "trip", trip),
        open("fuel", "reset", "33 psi"),
        open("fuel", "boxed", boxed),
    ])
}

/// What the fine gauge says that answers for itself, with this reply.
pub fn said(reply: &str) -> Live {
    Live {
        identity: "Sample Works,PM-2,AQ-0335,1.02".into(),
        asked: "MEAS:PRES?".into(),
        reply: reply.into(),
    }
}

/// The trip pressure as that gauge gave it.
pub fn live(typed: &str, said: &Live) -> Event {
    Event::Read {
        step: step("cut-out.trip"),
        name: "trip".into(),
        typed: typed.into(),
        instrument: Some("pg-5".into()),
        live: Some(Box::new(said.clone())),
    }
}

/// A job being played.
#[derive(Clone)]
pub struct Run {
    state: State,
    pub facts: Vec<Fact>,
    roster: Roster,
    minute: u32,
}

impl Run {
    pub fn new(practice: bool) -> Run {
        Run::in_language(&Language::english(), practice)
    }

    /// A job for proof that is opened in the language of this tag.
    pub fn speaking(tag: &str) -> Run {
        Run::in_language(&Language::parse(tag).expect("a language"), false)
    }

    fn in_language(language: &Language, practice: bool) -> Run {
        let roster = Roster::replay(roster().bytes.as_slice()).expect("a whole roster");
        let job = play().in_language(language).job.clone();
        let opening = Opening {
            language: language.to_string(),
            title: job.title,
            caution: job.caution,
            ..opening(practice, &roster)
        };
        let mut run = Run {
            state: State::new(play()),
            facts: Vec::new(),
            roster,
            minute: 0,
        };
        run.act(TABLET, Event::Open(opening));
        run
    }

    /// One event a minute, from nine o'clock on.
    pub fn act(&mut self, who: &str, event: Event) -> &mut Run {
        let at = shop::at(&format!("{:02}:{:02}:00", 9 + self.minute / 60, self.minute % 60));
        self.minute += 1;
        let (state, facts) = advance(&self.state, &actor(&self.roster, who, at), event.clone())
            .unwrap_or_else(|refusal| panic!("{event:?}: {refusal}"));
        self.state = state;
        self.facts.extend(facts);
        self
    }

    /// What the player says to an event that it does not carry out.
    pub fn refused(&self, who: &str, event: Event) -> Refusal {
        let actor = actor(&self.roster, who, shop::at("17:00:00"));
        advance(&self.state, &actor, event).expect_err("a refusal")
    }

    /// Takes these facts as all there are: an interruption left no more.
    pub fn cut(&mut self, count: usize) -> &mut Run {
        self.facts.truncate(count);
        let state = State::new(play());
        self.state = witnessmark::player::replay(&state, self.facts.iter().cloned()).expect("the same facts");
        self
    }

    /// A job of which one reading, with the figure that rests on it, is taken again so many times within a minute.
    #[allow(dead_code, reason = "the bench's long record")]
    pub fn measured(times: usize) -> Run {
        let mut run = Run::new(false);
        run.act(INES, card("30 psi", "yes"));
        let at = step("cut-out.trip");
        run.begin("cut-out").done("cut-out.fit", false);
        run.act(INES, Event::Acknowledge { step: at });
        run.read_with("cut-out.trip", "trip", "31.7", Some("pg-5"));
        run.read("cut-out.trip", "clean", "yes", false);
        run.done("cut-out.trip", false);
        let minute = run.minute;
        for _ in 0..times {
            run.read("cut-out.margin", "idle", "2.4 bar", true)
                .again("The engine was cold.");
            run.minute = minute;
        }
        run
    }

    /// The whole job, with a deviation of each course, up to the end or short of it.
    pub fn through(practice: bool) -> Run {
        let mut run = Run::new(practice);
        run.act(INES, card("30 psi", "yes"));
        run.cut_out(practice).hold().rest(practice);
        run
    }

    /// The first procedure up to its hold point: a reading and a figure taken again, a reading conceded.
    pub fn cut_out(&mut self, practice: bool) -> &mut Run {
        self.begin("cut-out").done("cut-out.fit", practice);
        self.act(
            INES,
            Event::Acknowledge {
                step: step("cut-out.trip"),
            },
        );
        self.read("cut-out.trip", "trip", "36", true)
            .again("The hose was loose.");
        // 0.3 psi below the limit, which this gauge cannot tell from it.
        self.read("cut-out.trip", "trip", "31.7", true)
            .again("The fine gauge is free now.");
        self.act(INES, live("31.7 psi", &said("+3.17000000E+01")));
        self.read("cut-out.trip", "clean", "no", false);
        let (deviation, reason) = (self.deviation(), "One bounce, below ten milliseconds.".to_owned());
        self.act(TOMASZ, Event::Concede { deviation, reason });
        self.done("cut-out.trip", practice);
        self.act(
            INES,
            Event::Note {
                step: None,
                text: "Tea.".into(),
            },
        );
        self.act(TABLET, Event::Resume { torn: None });
        self.read("cut-out.margin", "idle", "2.4 bar", true)
            .again("The engine was cold.");
        self.read("cut-out.margin", "idle", "3 bar", true);
        self.done("cut-out.margin", practice)
    }

    pub fn hold(&mut self) -> &mut Run {
        self.act(
            TOMASZ,
            Event::Release {
                step: step("cut-out.margin"),
            },
        );
        self.close_out("cut-out")
    }

    pub fn rest(&mut self, practice: bool) -> &mut Run {
        self.begin("box").done("box.close", practice);
        let (at, attended) = (step("box.close"), true);
        self.act(TOMASZ, Event::Witness { step: at, attended });
        self.close_out("box").begin("bottle");
        self.read("bottle.open", "note", "Nothing.", false);
        self.done("bottle.open", practice).close_out("bottle");
        self.act(INES, Event::SignOff);
        self.act(TOMASZ, Event::ReleaseJob);
        self.act(TABLET, Event::Close)
    }

    fn begin(&mut self, procedure: &str) -> &mut Run {
        let procedure = ProcedureId::from(procedure);
        self.act(INES, Event::Begin { procedure })
    }

    fn close_out(&mut self, procedure: &str) -> &mut Run {
        let procedure = ProcedureId::from(procedure);
        self.act(INES, Event::CloseOut { procedure })
    }

    fn read(&mut self, at: &str, name: &str, typed: &str, gauge: bool) -> &mut Run {
        self.read_with(at, name, typed, gauge.then_some("pg-3"))
    }

    fn read_with(&mut self, at: &str, name: &str, typed: &str, gauge: Option<&str>) -> &mut Run {
        let (step, name, typed) = (step(at), name.to_owned(), typed.to_owned());
        let instrument = gauge.map(str::to_owned);
        self.act(
            INES,
            Event::Read {
                step,
                name,
                typed,
                instrument,
                live: None,
            },
        )
    }

    fn again(&mut self, reason: &str) -> &mut Run {
        let (deviation, reason) = (self.deviation(), reason.to_owned());
        self.act(INES, Event::MeasureAgain { deviation, reason })
    }

    fn done(&mut self, at: &str, practice: bool) -> &mut Run {
        if practice && at == "cut-out.fit" {
            let choice = 1;
            self.act(
                INES,
                Event::Answer {
                    step: step(at),
                    choice,
                },
            );
        }
        self.act(INES, Event::Done { step: step(at) })
    }

    /// The number of the last deviation.
    fn deviation(&self) -> u64 {
        let last = self
            .facts
            .iter()
            .rev()
            .find(|fact| matches!(fact.body, Body::Deviation { .. }));
        last.expect("a deviation").n
    }
}

/// The record of these facts, each signed by its author.
pub fn record(facts: &[Fact], practice: bool) -> Log {
    let mut log = Log::new(record::namespace(practice));
    for fact in facts {
        let text = record::write(fact, log.link().prev, JOB).expect("an entry");
        log.add_text(text, &fact.by, &fact.by);
    }
    log
}

/// The whole folder of these facts, closed in the ledger when they are.
pub fn folder(facts: &[Fact], practice: bool) -> Files {
    let (people, record) = (roster(), record(facts, practice));
    let roster = Roster::replay(people.bytes.as_slice()).expect("a whole roster");
    let signers = roster.to_allowed_signers().to_string();
    let mut files = Files::from([
        ("allowed_signers".to_owned(), signers.into_bytes()),
        ("roster.jsonl".to_owned(), people.bytes),
        ("ledger-extract.jsonl".to_owned(), ledger(facts, &record).bytes),
        ("record.jsonl".to_owned(), record.bytes),
    ]);
    if !practice {
        files.insert("approvals.jsonl".to_owned(), approvals().bytes);
    }
    for (path, bytes) in content() {
        files.insert(stored_name(&path, &digest(&bytes).to_string()), bytes);
    }
    files
}

fn ledger(facts: &[Fact], record: &Log) -> Log {
    let lines = record.lines();
    let opened = LedgerEntry::Opened(JobOpened {
        title: shop::label("Cut-out"),
        first_hash: digest(&lines[0]),
    });
    let mut said = vec![opened];
    if facts.iter().any(|fact| matches!(fact.body, Body::Closing { .. })) {
        let final_hash = digest(lines.last().expect("lines"));
        said.push(LedgerEntry::Closed(JobClosed {
            final_hash,
            entries: lines.len() as u64,
        }));
    }
    let mut log = Log::new(Namespace::ShopLedger);
    for entry in said {
        let text = entry
            .text(log.link(), shop::at("12:00:00"), &shop::id(TABLET), JOB)
            .expect("an entry");
        log.add_text(text, TABLET, TABLET);
    }
    log
}
