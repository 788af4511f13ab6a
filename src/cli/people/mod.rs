//! `witnessmark people`: the roster and its keys.

mod list;
mod passphrases;
mod person;

pub(super) use passphrases::Passphrases;

use super::Stop;
use crate::people::Role;
use crate::session::{Content, Session, World, found, give_tablet_key};
use clap::Subcommand;
use std::path::Path;
use std::process::ExitCode;

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
    /// Make a shop: its root supervisor, further people, the tablet's key, and the approval of the content
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
    List {
        /// Those who have left and the tablets as well, with every key
        #[arg(long)]
        all: bool,
    },
    /// Show the fingerprint of the shop's root, or those of a person's or tablet's keys
    Fingerprint {
        /// A person or tablet
        id: Option<String>,
    },
    /// Add a person
    Join {
        #[command(flatten)]
        by: By,
        /// The last day of their key as 2027-03-31, or its last second as 2027-03-31T17:00:00+01:00
        #[arg(long, value_name = "DATE")]
        valid_until: Option<String>,
        /// The person as role:id=Name, or role,role:id=Name
        #[arg(value_name = "ROLE:ID=NAME")]
        person: String,
    },
    /// Give a person other roles from now on
    Roles {
        #[command(flatten)]
        by: By,
        /// The person
        id: String,
        /// All their roles
        #[arg(required = true, value_name = "ROLE")]
        roles: Vec<Role>,
    },
    /// Change the passphrase of one's own key; nothing else changes
    Passphrase {
        /// The person
        id: String,
    },
    /// End a person's keys now: they have left
    Retire {
        #[command(flatten)]
        by: By,
        #[command(flatten)]
        why: Why,
        /// The person
        id: String,
    },
    /// A new key for a person whose key or passphrase is lost, or known to others; the old one ends now
    Lost {
        #[command(flatten)]
        by: By,
        #[command(flatten)]
        why: Why,
        /// The person
        id: String,
    },
    /// A new key for a person who is there and opens the old one, which ends now
    Rotate {
        #[command(flatten)]
        by: By,
        /// Why
        #[arg(long, value_name = "TEXT", default_value = "a new key in its time")]
        reason: String,
        /// The person
        id: String,
    },
    /// The keys of tablets
    #[command(subcommand)]
    Tablet(Tablet),
}

#[derive(Debug, Subcommand)]
enum Tablet {
    /// Give this machine a tablet's key of its own: after a backup, a loss, or for a second tablet
    Add {
        #[command(flatten)]
        by: By,
    },
    /// A new key for this tablet; the old one ends now
    Rotate {
        #[command(flatten)]
        by: By,
        /// Why
        #[arg(long, value_name = "TEXT", default_value = "a new key in its time")]
        reason: String,
    },
    /// End another tablet's key now: it is gone
    Retire {
        #[command(flatten)]
        by: By,
        #[command(flatten)]
        why: Why,
        /// The tablet
        id: String,
    },
}

#[derive(Debug, clap::Args)]
struct By {
    /// The supervisor who signs
    #[arg(long, value_name = "ID")]
    by: String,
}

#[derive(Debug, clap::Args)]
struct Why {
    /// Why
    #[arg(long, value_name = "TEXT")]
    reason: String,
}

pub(super) fn run(arguments: &Arguments, shop: &Path, content: Content) -> Result<ExitCode, Stop> {
    let passphrases = Passphrases::new(arguments.passphrase_fd)?;
    let mut at = At {
        shop,
        content,
        passphrases,
    };
    match &arguments.command {
        Command::Found { name, root, people } => at.found(name, root, people)?,
        Command::List { all } => print!("{}", list::list(shop, *all)?),
        Command::Fingerprint { id } => print!("{}", list::fingerprint(shop, id.as_deref())?),
        Command::Join {
            by,
            valid_until,
            person,
        } => at.join(&by.by, valid_until.as_deref(), person)?,
        Command::Passphrase { id } => at.passphrase(id)?,
        change => at.change(change)?,
    }
    Ok(ExitCode::SUCCESS)
}

/// Where a command does its work.
struct At<'a> {
    shop: &'a Path,
    content: Content,
    passphrases: Passphrases,
}

impl At<'_> {
    /// The shop, opened by a supervisor who signs what follows.
    fn signed_by(&mut self, by: &str) -> Result<Session, Stop> {
        let mut session = Session::open(self.shop, self.content.clone(), World::real())?;
        // A misspelt id is told before its passphrase is asked for.
        session.key_file(by)?;
        let passphrase = self.passphrases.next(by)?;
        session.sign_on_with(by, &passphrase)?;
        Ok(session)
    }

    fn found(&mut self, name: &str, root: &str, people: &[String]) -> Result<(), Stop> {
        let plan = person::shop_plan(name, root, people, &mut self.passphrases)?;
        let fingerprint = found(self.shop, &plan, &self.content, &World::real())?;
        println!("The shop stands in {}.", self.shop.display());
        println!("Root fingerprint: {fingerprint}");
        println!(
            "Give this fingerprint to customers by another way than the record: on paper, or on your door."
        );
        if people.iter().all(|person| !person.contains("supervisor")) {
            println!(
                "Add a second supervisor soon: the root's passphrase, once lost, can be replaced by another one alone."
            );
        }
        Ok(())
    }

    fn join(&mut self, by: &str, until: Option<&str>, person: &str) -> Result<(), Stop> {
        let until = until.map(person::last_second).transpose()?;
        let mut session = self.signed_by(by)?;
        let plan = person::person_plan(person, &mut self.passphrases)?;
        session.join_until(&plan, until)?;
        println!("{} joined.", plan.name);
        Ok(())
    }

    fn passphrase(&mut self, id: &str) -> Result<(), Stop> {
        let mut session = Session::open(self.shop, self.content.clone(), World::real())?;
        session.key_file(id)?;
        let old = self.passphrases.next(id)?;
        // A wrong one is told before a new one is thought of.
        session.sign_on_with(id, &old)?;
        let new = self.passphrases.new_for(id)?;
        session.change_passphrase(id, &old, &new)?;
        println!(
            "{} has a new passphrase; the key is the same.",
            session.name_of(id)
        );
        Ok(())
    }

    fn change(&mut self, command: &Command) -> Result<(), Stop> {
        match command {
            Command::Roles { by, id, roles } => {
                let mut session = self.signed_by(&by.by)?;
                session.change_roles(id, roles)?;
                println!("{} has other roles from now on.", session.name_of(id));
            }
            Command::Retire { by, why, id } => {
                self.signed_by(&by.by)?.retire(id, &why.reason)?;
                println!("The keys of {id} ended now.");
            }
            Command::Lost { by, why, id } => {
                let mut session = self.signed_by(&by.by)?;
                session.present(id)?;
                let new = self.passphrases.new_for(id)?;
                session.replace_lost(id, &new, &why.reason)?;
                println!("{} has a new key; the old one ended now.", session.name_of(id));
            }
            Command::Rotate { by, reason, id } => self.rotate(&by.by, id, reason)?,
            Command::Tablet(tablet) => self.tablet(tablet)?,
            Command::Found { .. }
            | Command::List { .. }
            | Command::Fingerprint { .. }
            | Command::Join { .. }
            | Command::Passphrase { .. } => {}
        }
        Ok(())
    }

    fn rotate(&mut self, by: &str, id: &str, reason: &str) -> Result<(), Stop> {
        let mut session = self.signed_by(by)?;
        session.key_file(id)?;
        let old = self.passphrases.next(&format!("{id} (old)"))?;
        let new = self.passphrases.new_for(id)?;
        session.rotate(id, &old, &new, reason)?;
        println!("{} has a new key; the old one ended now.", session.name_of(id));
        Ok(())
    }

    fn tablet(&mut self, command: &Tablet) -> Result<(), Stop> {
        match command {
            Tablet::Add { by } => {
                let secret = self.passphrases.next(&by.by)?;
                let by = (by.by.as_str(), &secret);
                let (_, id) = give_tablet_key(self.shop, self.content.clone(), by, World::real())?;
                println!("This machine is {id} from now on.");
            }
            Tablet::Rotate { by, reason } => {
                let id = self.signed_by(&by.by)?.rotate_tablet(reason)?;
                println!("{id} has a new key; the old one ended now.");
            }
            Tablet::Retire { by, why, id } => {
                self.signed_by(&by.by)?.retire(id, &why.reason)?;
                println!("The key of {id} ended now.");
            }
        }
        Ok(())
    }
}
