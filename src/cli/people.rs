//! `witnessmark people`: the roster and its keys.

use super::Stop;
use crate::people::Role;
use crate::session::{Content, PersonPlan, Session, ShopPlan, World, found};
use clap::Subcommand;
use std::io::{BufRead, IsTerminal, Write};
use std::path::Path;
use std::process::ExitCode;
use zeroize::Zeroizing;

#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    #[command(subcommand)]
    command: Command,
    /// Read passphrases from this descriptor, one a line, instead of asking for them
    #[arg(long, global = true, value_name = "N")]
    passphrase_fd: Option<u32>,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Make a shop: its root supervisor, further people, and the tablet's key
    Found {
        /// The shop's name
        #[arg(long)]
        name: String,
        /// The root supervisor as id=Name, for example tomasz.okafor="Tomasz Okafor"
        #[arg(long, value_name = "ID=NAME")]
        root: String,
        /// Further people as role:id=Name; roles are apprentice, fitter, supervisor and author
        #[arg(long = "person", value_name = "ROLE:ID=NAME")]
        people: Vec<String>,
    },
    /// List the people of the shop, with the root supervisor's fingerprint
    List,
    /// Add a person, signed by a supervisor
    Join {
        /// The supervisor who signs
        #[arg(long, value_name = "ID")]
        by: String,
        /// The person as role:id=Name
        #[arg(value_name = "ROLE:ID=NAME")]
        person: String,
    },
}

/// Asks for passphrases, or reads them from a descriptor; never from an argument.
pub(super) struct Passphrases {
    lines: Option<std::io::Lines<std::io::BufReader<std::fs::File>>>,
}

impl Passphrases {
    pub fn new(descriptor: Option<u32>) -> Result<Self, Stop> {
        let Some(descriptor) = descriptor else {
            return Ok(Self { lines: None });
        };
        let path = format!("/dev/fd/{descriptor}");
        let file = std::fs::File::open(&path).map_err(|error| {
            Stop::unusable(
                format!("descriptor {descriptor} cannot be read: {error}"),
                "Open it in the shell, for example 3<file.",
            )
        })?;
        Ok(Self {
            lines: Some(std::io::BufReader::new(file).lines()),
        })
    }

    pub fn next(&mut self, of: &str) -> Result<Zeroizing<String>, Stop> {
        if let Some(lines) = &mut self.lines {
            let line = lines
                .next()
                .transpose()
                .map_err(|error| Stop::unusable(error.to_string(), ""))?;
            return line.map(Zeroizing::new).ok_or_else(|| {
                Stop::unusable(
                    format!("there is no line for the passphrase of {of}"),
                    "Give one line for each person.",
                )
            });
        }
        if !std::io::stdin().is_terminal() {
            return Err(Stop::unusable(
                format!("the passphrase of {of} cannot be asked for without a terminal"),
                "Use --passphrase-fd N.",
            ));
        }
        ask(of)
    }
}

/// Asks at the terminal with the echo switched off.
fn ask(of: &str) -> Result<Zeroizing<String>, Stop> {
    eprint!("Passphrase of {of}: ");
    let _ = std::io::stderr().flush();
    let echo = |on: &str| std::process::Command::new("stty").arg(on).status();
    let hidden = echo("-echo").is_ok_and(|status| status.success());
    if !hidden {
        eprint!("(it will be visible) ");
    }
    let mut line = Zeroizing::new(String::new());
    let read = std::io::stdin().lock().read_line(&mut line);
    if hidden {
        let _ = echo("echo");
        eprintln!();
    }
    read.map_err(|error| Stop::unusable(error.to_string(), ""))?;
    Ok(Zeroizing::new(line.trim_end_matches(['\r', '\n']).to_owned()))
}

pub(super) fn run(arguments: &Arguments, shop: &Path, content: Content) -> Result<ExitCode, Stop> {
    let mut passphrases = Passphrases::new(arguments.passphrase_fd)?;
    match &arguments.command {
        Command::Found { name, root, people } => {
            let plan = plan(name, root, people, &mut passphrases)?;
            let fingerprint = found(shop, &plan, &content, &World::real())?;
            println!("The shop stands in {}.", shop.display());
            println!("Root fingerprint: {fingerprint}");
            println!(
                "Give this fingerprint to customers by another way than the record: on paper, or on your door."
            );
        }
        Command::List => list(&Session::open(shop, content, World::real())?),
        Command::Join { by, person } => {
            let mut session = Session::open(shop, content, World::real())?;
            let supervisor = passphrases.next(by)?;
            session.sign_on_with(by, &supervisor)?;
            let (role, rest) = role(person)?;
            let plan = person_plan(rest, vec![role], &mut passphrases)?;
            session.join(&plan)?;
            println!("{} joined.", plan.name);
        }
    }
    Ok(ExitCode::SUCCESS)
}

fn list(session: &Session) {
    println!("{}", session.shop_name());
    println!("Root fingerprint: {}", session.root_fingerprint());
    for person in session.people() {
        println!(
            "{:<24} {:<28} {}",
            person.id,
            person.name,
            person.roles.join(", ")
        );
    }
}

fn plan(name: &str, root: &str, people: &[String], passphrases: &mut Passphrases) -> Result<ShopPlan, Stop> {
    let root = person_plan(root, vec![Role::Supervisor, Role::Author], passphrases)?;
    let mut others = Vec::new();
    for person in people {
        let (role, rest) = role(person)?;
        others.push(person_plan(rest, vec![role], passphrases)?);
    }
    Ok(ShopPlan {
        shop: name.to_owned(),
        root,
        people: others,
        instruments: None,
    })
}

fn role(text: &str) -> Result<(Role, &str), Stop> {
    let (role, rest) = text.split_once(':').ok_or_else(|| not_a_person(text))?;
    let found = Role::ALL.into_iter().find(|known| known.as_str() == role);
    let role = found.ok_or_else(|| {
        Stop::unusable(
            format!("“{role}” is not a role"),
            "Roles are apprentice, fitter, supervisor and author.",
        )
    })?;
    Ok((role, rest))
}

fn not_a_person(text: &str) -> Stop {
    Stop::unusable(
        format!("“{text}” names no person"),
        "Write ROLE:ID=NAME, for example apprentice:ines.varga=\"Ines Varga\".",
    )
}

fn person_plan(text: &str, roles: Vec<Role>, passphrases: &mut Passphrases) -> Result<PersonPlan, Stop> {
    let (id, name) = text.split_once('=').ok_or_else(|| not_a_person(text))?;
    Ok(PersonPlan {
        id: id.to_owned(),
        name: name.to_owned(),
        roles,
        passphrase: passphrases.next(name)?,
    })
}
