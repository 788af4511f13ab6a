//! `witnessmark demo`: the demonstration job through the same session, player, record and pages as any other.

#[cfg(feature = "kiosk")]
mod pictures;
pub(crate) mod script;
#[cfg(test)]
mod tests;

use super::Stop;
use crate::people::Role;
use crate::player::Event;
use crate::seal::SigningKey;
use crate::session::{Content, PersonPlan, Session, SessionError, Settings, ShopPlan, World, found, unlock};
use crate::words::Language;
use script::{Act, ScriptLine};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use zeroize::Zeroizing;

#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    /// Play without a screen and leave job folder, certificate and page pictures in this folder
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    /// The language of the screen and of the job, by its tag
    #[arg(long, value_name = "TAG", default_value = "en", value_parser = super::language)]
    language: Language,
    /// Another script of events, one JSON object a line
    #[arg(long, value_name = "FILE")]
    script: Option<PathBuf>,
}

/// The workshop of the demonstration; its passphrases are no secret.
pub(crate) const PASSPHRASES: [(&str, &str); 2] = [
    ("ines.varga", "copper washer teal"),
    ("tomasz.okafor", "quiet harbour crane"),
];
/// The job of the demonstration.
pub(crate) const JOB: &str = "wet-nitrous";

/// The photograph of the demonstration: a drawing of the joints, as the tablet of an apprentice would show them.
const JOINTS: &[u8] = include_bytes!("joints.jpg");

/// The register of instruments of the demonstration, calibrated two months ago for a year.
pub(crate) fn instruments(today: chrono::NaiveDate) -> String {
    let day = |offset: i64| (today + chrono::Duration::days(offset)).to_string();
    include_str!("instruments.yaml")
        .replace("CALIBRATED", &day(-60))
        .replace("DUE", &day(305))
}

/// The people of the demonstration's shop.
pub(crate) fn plan(today: chrono::NaiveDate) -> ShopPlan {
    let person = |at: usize, name: &str, roles: &[Role]| PersonPlan {
        id: PASSPHRASES[at].0.to_owned(),
        name: name.to_owned(),
        roles: roles.to_vec(),
        passphrase: Zeroizing::new(PASSPHRASES[at].1.to_owned()),
    };
    ShopPlan {
        shop: "Alder Quay Motor Works".to_owned(),
        root: person(1, "Tomasz Okafor", &[Role::Supervisor, Role::Author]),
        people: vec![person(0, "Ines Varga", &[Role::Apprentice])],
        instruments: Some(instruments(today)),
    }
}

pub(super) fn run(arguments: &Arguments, content: Option<&Path>) -> Result<ExitCode, Stop> {
    let content = super::content(content)?;
    match &arguments.out {
        None if screen() => on_screen(content, &arguments.language),
        out => {
            let folder = out.clone().unwrap_or_else(|| PathBuf::from("witnessmark-demo"));
            play(&folder, arguments, content)
        }
    }
}

/// Whether there is a screen to open a window on.
fn screen() -> bool {
    let set = |name| std::env::var_os(name).is_some_and(|value| !value.is_empty());
    cfg!(feature = "kiosk") && (set("DISPLAY") || set("WAYLAND_DISPLAY"))
}

/// Opens the kiosk on a prepared shop: a job is open, and its card is filled and not yet accepted.
#[cfg(feature = "kiosk")]
fn on_screen(content: Content, language: &Language) -> Result<ExitCode, Stop> {
    let folder = std::env::temp_dir().join(format!("witnessmark-demo-{}", std::process::id()));
    let mut stage = Stage::new(&folder, content, language)?;
    if let Some(Act::Card { answers }) = script::read(script::SCRIPT)?.first().map(|line| &line.act) {
        stage.fill_card(answers)?;
    }
    stage.session()?.leave_job();
    stage.session()?.sign_off_person();
    println!(
        "The demonstration's shop stands in {}.",
        folder.join("shop").display()
    );
    for (id, passphrase) in PASSPHRASES {
        println!("  {id}: passphrase “{passphrase}”");
    }
    println!("Sign on as ines.varga and open the job: its card is filled and waits to be accepted.");
    println!("`witnessmark demo --out DIR` plays the whole job without a screen.");
    let session = stage.session.take().ok_or(SessionError::NoJob)?;
    let shown = crate::kiosk::run(|| Ok::<_, Stop>(session), None)?;
    shown.map_err(|error| Stop::unusable(error, super::NO_SCREEN))?;
    Ok(ExitCode::SUCCESS)
}

#[cfg(not(feature = "kiosk"))]
fn on_screen(content: Content, language: &Language) -> Result<ExitCode, Stop> {
    let arguments = Arguments {
        out: None,
        language: language.clone(),
        script: None,
    };
    play(Path::new("witnessmark-demo"), &arguments, content)
}

fn play(folder: &Path, arguments: &Arguments, content: Content) -> Result<ExitCode, Stop> {
    let text = match &arguments.script {
        None => script::SCRIPT.to_owned(),
        Some(path) => std::fs::read_to_string(path).map_err(|error| {
            Stop::unusable(
                format!("{}: {error}", path.display()),
                "Name a script that can be read.",
            )
        })?,
    };
    let lines = script::read(&text)?;
    let mut stage = Stage::new(folder, content, &arguments.language)?;
    #[cfg(feature = "kiosk")]
    let mut pictures = pictures::Pictures::new(&folder.join("pages"), &stage.session()?.words())
        .map_err(|error| Stop::unusable(error, ""))?;
    for (at, line) in lines.iter().enumerate() {
        #[cfg(feature = "kiosk")]
        pictures
            .before(stage.session()?)
            .map_err(|error| Stop::unusable(error, ""))?;
        stage.play(line).map_err(|stop| Stop {
            message: format!("line {}: {}", at + 1, stop.message),
            ..stop
        })?;
    }
    #[cfg(feature = "kiosk")]
    pictures
        .closed(stage.session()?)
        .map_err(|error| Stop::unusable(error, ""))?;
    let told = tell(folder, stage.session()?)?;
    #[cfg(feature = "kiosk")]
    pictures
        .tour(stage.practise(&lines)?)
        .map_err(|error| Stop::unusable(error, ""))?;
    Ok(told)
}

fn tell(folder: &Path, session: &Session) -> Result<ExitCode, Stop> {
    let job = session.job().ok_or(SessionError::NoJob)?;
    if !job.state().closed() {
        let now = job.state().prompt();
        return Err(Stop::unusable(
            format!("the script ended before the job did: {now}"),
            "Add the events that are missing.",
        ));
    }
    let number = job.number();
    let shop = folder.join("shop");
    println!("Job {number} is closed: {} entries.", job.state().next_number());
    println!(
        "  record       {}",
        shop.join("jobs").join(number).join("record.jsonl").display()
    );
    println!(
        "  certificate  {}",
        shop.join("jobs").join(number).join("certificate.pdf").display()
    );
    println!("  pages        {}", folder.join("pages").display());
    println!(
        "Verify it:     witnessmark verify {}",
        shop.join("jobs").join(number).display()
    );
    println!("Root fingerprint of this shop: {}", session.root_fingerprint());
    Ok(ExitCode::SUCCESS)
}

/// The shop of a demonstration with its people's opened keys.
pub(crate) struct Stage {
    /// None only while the power is cut.
    session: Option<Session>,
    shop: PathBuf,
    content: Content,
    /// Those who are called beside the one who works.
    keys: BTreeMap<String, SigningKey>,
    /// Who works: signed on from the first line on.
    worker: &'static str,
}

impl Stage {
    pub(crate) fn new(folder: &Path, content: Content, language: &Language) -> Result<Self, Stop> {
        let shop = folder.join("shop");
        // The passphrases of the demonstration are no secret, so the fewest rounds do.
        let world = World::real().with_rounds(crate::seal::BCRYPT_ROUNDS);
        found(&shop, &plan(world.now().date_naive()), &content, &world)?;
        let mut session = Session::open(&shop, content.clone(), world)?;
        let mut keys = BTreeMap::new();
        for (id, passphrase) in PASSPHRASES {
            keys.insert(id.to_owned(), unlock(&session.key_file(id)?, passphrase)?);
        }
        let worker = PASSPHRASES[0].0;
        session.keep_settings(&Settings {
            language: language.clone(),
            ..Settings::default()
        })?;
        session.sign_on_with(worker, PASSPHRASES[0].1)?;
        session.start(JOB, false)?;
        Ok(Self {
            session: Some(session),
            shop,
            content,
            keys,
            worker,
        })
    }

    pub(crate) fn session(&mut self) -> Result<&mut Session, Stop> {
        self.session.as_mut().ok_or_else(|| SessionError::NoJob.into())
    }

    pub(crate) fn play(&mut self, line: &ScriptLine) -> Result<(), Stop> {
        match &line.act {
            Act::PowerCut => self.power_cut(),
            Act::Card { answers } => self.card(answers),
            act => {
                let job = self.session()?.job().ok_or(SessionError::NoJob)?;
                let event = act.event(job.state()).ok_or(SessionError::NoJob)?;
                if matches!(&event, Event::Read { typed, .. } if typed.ends_with(".jpg")) {
                    self.session()?.attach(JOINTS)?;
                }
                self.act(line.by.as_deref().unwrap_or(self.worker), event)
            }
        }
    }

    fn act(&mut self, by: &str, event: Event) -> Result<(), Stop> {
        let key = self.keys.get(by);
        let key = key.ok_or_else(|| SessionError::NoPerson(by.to_owned()))?;
        let session = self.session.as_mut().ok_or(SessionError::NoJob)?;
        Ok(session.act_with(by, key, event)?)
    }

    fn card(&mut self, answers: &BTreeMap<String, String>) -> Result<(), Stop> {
        self.fill_card(answers)?;
        Ok(self.session()?.accept_card()?)
    }

    fn fill_card(&mut self, answers: &BTreeMap<String, String>) -> Result<(), Stop> {
        for (path, text) in answers {
            let (group, field) = path.split_once('.').unwrap_or((path, ""));
            self.session()?.type_answer(group, field, text)?;
        }
        Ok(())
    }

    /// The session with a practice run of the job, played by the same script to a reading with an instrument.
    #[cfg(feature = "kiosk")]
    fn practise(mut self, lines: &[ScriptLine]) -> Result<Session, Stop> {
        self.session()?.leave_job();
        self.session()?.start(JOB, true)?;
        for line in lines {
            self.answer_question()?;
            if matches!(line.act, Act::Read { with: Some(_), .. }) {
                break;
            }
            self.play(line)?;
        }
        self.session.take().ok_or_else(|| SessionError::NoJob.into())
    }

    /// Practice asks questions that the script of a job does not answer.
    #[cfg(feature = "kiosk")]
    fn answer_question(&mut self) -> Result<(), Stop> {
        let job = self.session()?.job().ok_or(SessionError::NoJob)?;
        let crate::player::Prompt::Question(step) = job.state().prompt() else {
            return Ok(());
        };
        let question = job
            .state()
            .play()
            .step(&step)
            .and_then(|step| step.question.as_ref());
        let choice = question.and_then(|question| question.answers.iter().position(|answer| answer.right));
        let event = Event::Answer {
            step,
            choice: choice.unwrap_or(0),
        };
        self.act(self.worker, event)
    }

    /// The session goes without a word, as when the power does, and a new one finds the job again.
    fn power_cut(&mut self) -> Result<(), Stop> {
        let number = self
            .session()?
            .job()
            .ok_or(SessionError::NoJob)?
            .number()
            .to_owned();
        drop(self.session.take());
        let mut session = Session::open(&self.shop, self.content.clone(), World::real())?;
        session.sign_on_with(self.worker, PASSPHRASES[0].1)?;
        session.resume(&number)?;
        self.session = Some(session);
        Ok(())
    }
}
